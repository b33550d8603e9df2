//! What is known of each substance and how good it is: equations, pairs, ranges, agreement with outside values.

use std::sync::OnceLock;

use serde::Deserialize;
use stemwise_units::{Pressure, Temperature};

use crate::mixture::estimate_words;
use crate::{Fluid, Substance, blends, fluids};

/// The parameters of a pair of components.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PairSource {
    /// From this paper.
    Published(&'static str),
    /// Estimated, in this way.
    Estimated(String),
}

/// What is known of a substance.
#[derive(Clone, Debug)]
pub struct Coverage {
    /// Its name.
    pub name: &'static str,
    /// Each component with the paper of its equation of state; a pure fluid is its own component.
    pub equations: Vec<(&'static str, &'static str)>,
    /// Each pair of components.
    pub pairs: Vec<(&'static str, &'static str, PairSource)>,
    /// Where the composition of a blend comes from.
    pub composition: Option<&'static str>,
    /// The lowest and highest temperature that is answered.
    pub temperatures: (Temperature, Temperature),
    /// The highest pressure that is answered.
    pub highest_pressure: Pressure,
    /// The highest temperature and pressure that the papers cover, by all components together.
    pub papers_cover: (Temperature, Pressure),
    /// The comparison with the reference library, where there is one.
    pub library: Option<LibraryAgreement>,
    /// The boiling point at 101.325 kPa as printed and as computed.
    pub printed: Option<PrintedPoint>,
}

/// Agreement with a general-purpose property library at points.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LibraryAgreement {
    name: String,
    /// Which library.
    #[serde(rename = "source")]
    pub library: String,
    /// How many values were compared.
    pub values: u32,
    /// None is further off than this part.
    pub within: f64,
}

/// A boiling point at 101.325 kPa, °C.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintedPoint {
    /// Bubble point as printed.
    pub bubble: f64,
    /// Dew point as printed; none for a pure fluid.
    pub dew: Option<f64>,
    /// Where it is printed.
    pub source: &'static str,
    /// Bubble and dew point as computed.
    pub computed: (f64, f64),
}

impl Coverage {
    /// Whether some pair is estimated.
    ///
    /// ```
    /// let all = stemwise_thermo::coverage();
    /// let estimated = |name: &str| all.iter().find(|entry| entry.name == name).unwrap().is_estimate();
    /// assert!(estimated("R-401A") && !estimated("R-410A"));
    /// ```
    pub fn is_estimate(&self) -> bool {
        self.pairs.iter().any(|(_, _, source)| matches!(source, PairSource::Estimated(_)))
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AgreementFile {
    agreement: Vec<LibraryAgreement>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PrintedFile {
    point: Vec<Printed>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Printed {
    name: String,
    bubble: f64,
    dew: Option<f64>,
    source: String,
}

struct Outside {
    agreement: Vec<LibraryAgreement>,
    printed: Vec<Printed>,
}

fn outside() -> &'static Outside {
    static OUTSIDE: OnceLock<Outside> = OnceLock::new();
    OUTSIDE.get_or_init(|| Outside {
        agreement: toml::from_str::<AgreementFile>(include_str!("../../../data/agreement.toml"))
            .map_or_else(|_| Vec::new(), |file| file.agreement),
        printed: toml::from_str::<PrintedFile>(include_str!("../../../data/printed.toml"))
            .map_or_else(|_| Vec::new(), |file| file.point),
    })
}

/// What is known of every pure fluid and every blend of the catalogue.
///
/// ```
/// let all = stemwise_thermo::coverage();
/// let r401a = all.iter().find(|entry| entry.name == "R-401A").unwrap();
/// assert!(r401a.is_estimate() && r401a.equations.len() == 3);
/// ```
pub fn coverage() -> Vec<Coverage> {
    let names = fluids().into_iter().chain(blends().iter().map(|blend| blend.name()));
    names.filter_map(of).collect()
}

fn of(name: &'static str) -> Option<Coverage> {
    let substance = Substance::named(name).ok()?;
    let components = substance.components();
    let pairs = substance.mixture().map_or_else(Vec::new, |mixture| mixture.pair_sources());
    let pair = |(one, two, source): (&'static str, &'static str, Option<&'static str>)| {
        let source =
            source.map_or_else(|| PairSource::Estimated(estimate_words(one, two)), PairSource::Published);
        (one, two, source)
    };
    let least =
        |of: fn(&Fluid) -> f64| components.iter().map(|fluid| of(fluid)).fold(f64::INFINITY, f64::min);
    Some(Coverage {
        name,
        equations: components.iter().map(|fluid| (fluid.name(), fluid.source())).collect(),
        pairs: pairs.into_iter().map(pair).collect(),
        composition: blends().iter().find(|blend| blend.name() == name).map(|blend| blend.source()),
        temperatures: substance.temperatures(),
        highest_pressure: substance.highest_pressure(),
        papers_cover: (
            Temperature::from_k(least(|fluid| fluid.eos().data.max_temperature)),
            Pressure::from_pa(least(|fluid| fluid.eos().data.max_pressure)),
        ),
        library: outside().agreement.iter().find(|entry| entry.name == name).cloned(),
        printed: printed(name, &substance),
    })
}

fn printed(name: &str, substance: &Substance) -> Option<PrintedPoint> {
    let Printed { bubble, dew, source, .. } = outside().printed.iter().find(|point| point.name == name)?;
    let at = substance.saturation_at_pressure(Pressure::from_pa(101_325.0)).ok()?;
    let computed = (at.bubble.temperature().as_celsius(), at.dew.temperature().as_celsius());
    Some(PrintedPoint { bubble: *bubble, dew: *dew, source, computed })
}
