//! What a diagram and a page say alike: composition, class, reference state, model, sources, cautions.

use stemwise_thermo::Substance;

/// The reference state, as both enthalpy and entropy have it.
pub(crate) const REFERENCE_STATE: &str = "Reference state: IIR, enthalpy 200 kJ/kg and entropy 1 kJ/(kg K) for the saturated liquid at 0 °C \
     (the bubble point of a blend; at 101.325 kPa where there is none at 0 °C).";

/// What comes before this in case of doubt.
pub const CAUTION: &str = "Calculated values. For work on a system the maker's data, the label on the equipment and \
     the cylinder, and local codes come first; work on refrigerant circuits is for licensed people.";

/// "R-744/R-32/R-1234yf 3/21.5/75.5 % by mass"; none for a pure fluid.
pub(crate) fn composition(substance: &Substance) -> Option<String> {
    let names: Vec<&str> = substance.components().iter().map(|fluid| fluid.name()).collect();
    let mass: Vec<f64> = match substance {
        Substance::Pure(_) => return None,
        Substance::Blend(blend, _) => blend.mass_percent().to_vec(),
        Substance::Mixture(mixture) => mixture.mass_fractions().values().iter().map(|w| 100.0 * w).collect(),
    };
    let part = |w: &f64| format!("{}", libm::round(1e3 * w) / 1e3);
    let parts: Vec<String> = mass.iter().map(part).collect();
    Some(format!("{} {} % by mass", names.join("/"), parts.join("/")))
}

/// "A2L", or that there is none.
pub(crate) fn safety_class(substance: &Substance) -> String {
    match substance.safety_class() {
        Some(class) => format!("Safety class {class}"),
        None => "No safety class assigned".to_owned(),
    }
}

/// What must be taken care of beyond the usual, by the class's own meaning (ANSI/ASHRAE Standard 34, section 6; ISO 817).
pub(crate) fn class_caution(substance: &Substance) -> Option<&'static str> {
    let class = substance.safety_class()?;
    match (class.starts_with('B'), class.trim_start_matches(['A', 'B'])) {
        (false, "1") => None,
        (true, "1") => Some("Toxic (class B): leak detection, breathing protection and trained people."),
        (false, _) => {
            Some("Flammable: no source of ignition, ventilation, tools and recovery machine made for it.")
        }
        (true, _) => Some(
            "Toxic and flammable: breathing protection, no source of ignition, ventilation, trained people.",
        ),
    }
}

/// The pairs whose parameters are estimated, as one sentence.
pub(crate) fn estimate(substance: &Substance) -> Option<String> {
    let pairs = substance.mixture()?.estimated_pairs();
    let pairs: Vec<String> = pairs.iter().map(|(one, other)| format!("{one} with {other}")).collect();
    let what = "no published interaction parameters for";
    (!pairs.is_empty())
        .then(|| format!("ESTIMATED: {what} {}. Every value here is an estimate.", pairs.join(", ")))
}

/// The model without its remarks on estimates, which stand apart.
pub(crate) fn model(substance: &Substance) -> String {
    let model = substance.model();
    let model = model.split("; ESTIMATED").next().unwrap_or_default();
    format!("Model: {model}.")
}

/// The papers: of the equation, or of the equations and of each pair.
pub(crate) fn sources(substance: &Substance) -> String {
    let mut papers: Vec<String> = Vec::new();
    let mut add = |paper: String| {
        if !paper.is_empty() && !papers.contains(&paper) {
            papers.push(paper);
        }
    };
    match substance.mixture() {
        None => substance
            .components()
            .iter()
            .for_each(|fluid| add(fluid.source().trim_end_matches('.').to_owned())),
        Some(mixture) => {
            for (_, _, source) in mixture.pair_sources() {
                add(source.unwrap_or_default().trim_end_matches('.').to_owned());
            }
        }
    }
    let of = if substance.mixture().is_some() { "Pairs of components" } else { "Equation" };
    if papers.is_empty() { String::new() } else { format!("{of}: {}.", papers.join("; ")) }
}
