//! What each substance rests on.

use stemwise_thermo::transport::{self, Method};
use stemwise_thermo::{Coverage, Fluid, PairSource, Substance};
use stemwise_wire as wire;

use crate::Error;
use crate::properties::RequestError;

/// What every substance rests on, or one of them: equations, interaction parameters, ranges, agreement with outside values.
///
/// # Errors
/// [`Error::Request`] for an unknown name.
///
/// ```
/// let r401a = &stemwise_answer::coverage(Some("r401a"))?.substances[0];
/// assert!(r401a.estimate && r401a.pairs.len() == 3);
/// assert!(stemwise_answer::coverage(Some("R-999")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn coverage(name: Option<&str>) -> Result<wire::CoverageAnswer, Error> {
    let wanted = name.map(Substance::named).transpose().map_err(RequestError::Thermo)?;
    let mut all = stemwise_thermo::coverage();
    if let Some(substance) = wanted {
        let name = substance.name();
        all.retain(|entry| entry.name == name);
        if all.is_empty() {
            return Err(RequestError::NotCatalogued { name }.into());
        }
    }
    Ok(wire::CoverageAnswer { substances: all.iter().map(entry).collect() })
}

fn entry(found: &Coverage) -> wire::CoverageEntry {
    let equations = found.equations.iter();
    wire::CoverageEntry {
        name: found.name.into(),
        estimate: found.is_estimate(),
        equations: equations.map(|(of, paper)| source((*of).into(), (*paper).into(), false)).collect(),
        pairs: found.pairs.iter().map(pair).collect(),
        composition: found.composition.map(Into::into),
        lowest_temperature: found.temperatures.0.as_k(),
        highest_temperature: found.temperatures.1.as_k(),
        highest_pressure: found.highest_pressure.as_pa(),
        papers_temperature: found.papers_cover.0.as_k(),
        papers_pressure: found.papers_cover.1.as_pa(),
        library: found.library.as_ref().map(|library| {
            format!("{} values of {} agree within {:e}", library.values, library.library, library.within)
        }),
        printed: found.printed.as_ref().map(|point| {
            let both = |bubble: f64, dew: Option<f64>, digits: usize| {
                let bubble = format!("{bubble:.digits$}");
                dew.map_or_else(|| bubble.clone(), |dew| format!("{bubble}/{dew:.digits$}"))
            };
            let computed = both(point.computed.0, point.dew.map(|_| point.computed.1), 2);
            format!(
                "boils at {computed} °C, printed {} °C ({})",
                both(point.bubble, point.dew, 1),
                point.source
            )
        }),
        transport: Fluid::named(found.name).map_or_else(|_| Vec::new(), methods),
    }
}

fn pair((one, two, found): &(&str, &str, PairSource)) -> wire::NamedSource {
    let of = format!("{one} with {two}");
    match found {
        PairSource::Published(paper) => source(of, (*paper).into(), false),
        PairSource::Estimated(how) => source(of, how.clone(), true),
    }
}

fn methods(fluid: &Fluid) -> Vec<wire::NamedSource> {
    let covered = transport::coverage(fluid);
    let first = |of: &str, methods: &[Method]| {
        methods.first().map(|method| source(of.into(), method.word().into(), method.is_estimate()))
    };
    let all = [
        first("viscosity", &covered.viscosity),
        first("thermal conductivity", &covered.conductivity),
        first("surface tension", &covered.surface_tension),
    ];
    all.into_iter().flatten().collect()
}

fn source(of: String, source: String, estimate: bool) -> wire::NamedSource {
    wire::NamedSource { of, source, estimate }
}
