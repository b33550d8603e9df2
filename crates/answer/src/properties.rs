//! One state of a fluid from two given values.

use stemwise_thermo::{
    Blend, Fluid, Given, MassFractions, Mixture, MixtureState, MoleFractions, Substance, blends,
};
use stemwise_units::{
    Density, Pressure, SpecificEnergy, SpecificHeat, Temperature, TypedPressure, parse_fraction,
};
use stemwise_wire as wire;

use crate::Error;
use crate::transport::transport;

/// The pairs of given values that are answered.
const PAIRS: &str = "any two of T, p, rho, h, s and u, but for h with u; T or p with q";
/// How far the fractions' sum may be off 1.
const SUM_TOLERANCE: f64 = 1e-6;

/// What can be wrong with a property request.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RequestError {
    /// The line is empty.
    #[error("the line is empty; write one JSON object a line")]
    EmptyLine,
    /// The line is too long to be a request.
    #[error("the line has more than {most} bytes; write one JSON object a line")]
    LineTooLong {
        /// The most that is read.
        most: usize,
    },
    /// The line is not UTF-8.
    #[error("byte {at} of the line is not text (UTF-8)")]
    NotText {
        /// Where.
        at: usize,
    },
    /// The line is not JSON at all.
    #[error("not JSON: {say}")]
    NotJson {
        /// What the parser says.
        say: String,
    },
    /// It is JSON, but not a request.
    #[error("not a request: {say}")]
    NotARequest {
        /// What the parser says.
        say: String,
    },
    /// Neither a fluid nor a mixture.
    #[error("neither \"fluid\" nor \"mixture\" is given")]
    NoFluid,
    /// Both a fluid and a mixture.
    #[error("both \"fluid\" and \"mixture\" are given; keep one")]
    BothFluidAndMixture,
    /// A basis that is none.
    #[error("\"basis\" is \"{basis}\"; it can be \"mass\" or \"mole\"")]
    UnknownBasis {
        /// What was written.
        basis: String,
    },
    /// A mixture without a basis.
    #[error("a mixture of several components needs \"basis\": \"mass\" or \"mole\"")]
    NoBasis,
    /// Fractions that are no composition.
    #[error("the fraction of {component} is {fraction}; fractions lie between 0 and 1")]
    Fraction {
        /// Of which component.
        component: String,
        /// The fraction.
        fraction: f64,
    },
    /// Fractions that don't sum to 1.
    #[error("the fractions sum to {sum}, not to 1")]
    FractionSum {
        /// Their sum.
        sum: f64,
    },
    /// Not two given values.
    #[error("given: {names}; two values fix a state: {PAIRS}")]
    NotTwo {
        /// Which.
        names: String,
    },
    /// Two given values that are not answered together.
    #[error(
        "{first} and {second} don't fix a state{}; these pairs are answered: {PAIRS}",
        why_not(first, second)
    )]
    Pair {
        /// One of them.
        first: &'static str,
        /// The other.
        second: &'static str,
    },
    /// A composition of one's own where one of the catalogue is asked for.
    #[error("{name} is not in the catalogue; every answer about it says what is estimated")]
    NotCatalogued {
        /// It.
        name: String,
    },
    /// The fluid's equation has no answer.
    #[error(transparent)]
    Thermo(#[from] stemwise_thermo::Error),
}

impl RequestError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::EmptyLine => "empty-line",
            Self::LineTooLong { .. } => "line-too-long",
            Self::NotText { .. } => "not-text",
            Self::NotJson { .. } => "not-json",
            Self::NotARequest { .. } => "not-a-request",
            Self::NoFluid => "no-fluid",
            Self::BothFluidAndMixture => "fluid-and-mixture",
            Self::UnknownBasis { .. } | Self::NoBasis => "basis",
            Self::Fraction { .. } | Self::FractionSum { .. } => "fractions",
            Self::NotTwo { .. } => "not-two-values",
            Self::Pair { .. } => "unsupported-pair",
            Self::NotCatalogued { .. } => "not-catalogued",
            Self::Thermo(error) => error.kind(),
        }
    }

    pub(crate) const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NotTwo { .. } => {
                Some("give exactly two of the options that \"stemwise properties --help\" lists")
            }
            Self::Thermo(stemwise_thermo::Error::UnknownFluid { .. }) => {
                Some("\"stemwise properties --fluids\" lists the names")
            }
            _ => None,
        }
    }
}

/// Answers one request.
///
/// # Errors
/// [`Error::Request`]: the fluid, the pair of values, or the equation's range.
///
/// ```
/// use stemwise_wire::{Given, PropertyRequest};
/// let given = Given { temperature: Some(300.0), rho: Some(20.0), ..Given::default() };
/// let request = |fluid: &str| PropertyRequest {
///     id: 1.into(), fluid: Some(fluid.into()), mixture: None, basis: None, given,
/// };
/// assert_eq!(stemwise_answer::properties(&request("r134a"))?.phase, "vapour");
/// assert!(stemwise_answer::properties(&request("R-999")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn properties(request: &wire::PropertyRequest) -> Result<wire::StateAnswer, Error> {
    let mixture = request.mixture.as_ref().map(|mixture| mixture.iter().map(|(name, x)| (name.as_str(), *x)));
    let mixture: Option<Vec<(&str, f64)>> = mixture.map(Iterator::collect);
    let substance = substance(request.fluid.as_deref(), mixture.as_deref(), request.basis.as_deref())?;
    let state = substance.state(given(&request.given)?).map_err(RequestError::Thermo)?;
    Ok(answer(request.id.clone(), &substance, &state))
}

/// What a request names.
pub(crate) fn substance(
    name: Option<&str>,
    mixture: Option<&[(&str, f64)]>,
    basis: Option<&str>,
) -> Result<Substance, RequestError> {
    match (name, mixture) {
        (Some(_), Some(_)) => Err(RequestError::BothFluidAndMixture),
        (None, None) => Err(RequestError::NoFluid),
        (Some(name), None) => Ok(Substance::named(name)?),
        (None, Some(components)) => mixed(components, basis),
    }
}

/// A mixture by its components' fractions.
fn mixed(parts: &[(&str, f64)], basis: Option<&str>) -> Result<Substance, RequestError> {
    let mut components = Vec::new();
    for &(name, fraction) in parts {
        let fluid = Substance::component(name)?;
        if !(0.0..=1.0).contains(&fraction) {
            return Err(RequestError::Fraction { component: fluid.name().into(), fraction });
        }
        components.push(fluid);
    }
    let fractions: Vec<f64> = parts.iter().map(|(_, fraction)| *fraction).collect();
    let sum: f64 = fractions.iter().sum();
    if (sum - 1.0).abs() > SUM_TOLERANCE {
        return Err(RequestError::FractionSum { sum });
    }
    let several = fractions.iter().filter(|fraction| **fraction > 0.0).count() > 1;
    match basis {
        Some("mass") => Ok(Substance::by_mass(components, &MassFractions::of_parts(&fractions)?)?),
        Some("mole") => Ok(Substance::by_mole(components, &MoleFractions::of_parts(&fractions)?)?),
        Some(other) => Err(RequestError::UnknownBasis { basis: other.chars().take(40).collect() }),
        None if several => Err(RequestError::NoBasis),
        None => Ok(Substance::by_mole(components, &MoleFractions::of_parts(&fractions)?)?),
    }
}

fn why_not(first: &str, second: &str) -> &'static str {
    match (first, second) {
        ("h", "u") => " (a thin gas has the same at any pressure)",
        _ => "",
    }
}

/// The pair of given values.
pub(crate) fn given(given: &wire::Given) -> Result<Given, RequestError> {
    let wire::Given { temperature, p, rho, h, s, u, q } = *given;
    let t = temperature.map(Temperature::from_k);
    let pressure = p.map(Pressure::from_pa);
    let density = rho.map(Density::from_kg_per_m3);
    let energy = SpecificEnergy::from_j_per_kg;
    let heat = SpecificHeat::from_j_per_kg_k;
    let all = [("T", temperature), ("p", p), ("rho", rho), ("h", h), ("s", s), ("u", u), ("q", q)];
    let mut present = all.iter().filter_map(|(name, value)| value.map(|_| *name));
    let (Some(first), Some(second), None) = (present.next(), present.next(), present.next()) else {
        let names: Vec<&str> = all.iter().filter_map(|(name, value)| value.map(|_| *name)).collect();
        let listed = if names.is_empty() { "none".into() } else { names.join(", ") };
        return Err(RequestError::NotTwo { names: listed });
    };
    Ok(match (t, pressure, density, h, s, u, q) {
        (Some(t), Some(p), ..) => Given::TemperaturePressure(t, p),
        (Some(t), _, Some(rho), ..) => Given::TemperatureDensity(t, rho),
        (Some(t), _, _, _, _, _, Some(q)) => Given::TemperatureQuality(t, q),
        (_, Some(p), _, Some(h), ..) => Given::PressureEnthalpy(p, energy(h)),
        (_, Some(p), _, _, Some(s), ..) => Given::PressureEntropy(p, heat(s)),
        (_, Some(p), _, _, _, Some(u), _) => Given::PressureEnergy(p, energy(u)),
        (_, Some(p), _, _, _, _, Some(q)) => Given::PressureQuality(p, q),
        (_, _, Some(rho), _, _, Some(u), _) => Given::DensityEnergy(rho, energy(u)),
        (Some(t), _, _, Some(h), ..) => Given::TemperatureEnthalpy(t, energy(h)),
        (Some(t), _, _, _, Some(s), ..) => Given::TemperatureEntropy(t, heat(s)),
        (Some(t), _, _, _, _, Some(u), _) => Given::TemperatureEnergy(t, energy(u)),
        (_, Some(p), Some(rho), ..) => Given::PressureDensity(p, rho),
        (_, _, Some(rho), Some(h), ..) => Given::DensityEnthalpy(rho, energy(h)),
        (_, _, Some(rho), _, Some(s), ..) => Given::DensityEntropy(rho, heat(s)),
        (_, _, _, Some(h), Some(s), ..) => Given::EnthalpyEntropy(energy(h), heat(s)),
        (_, _, _, _, Some(s), Some(u), _) => Given::EntropyEnergy(heat(s), energy(u)),
        _ => return Err(RequestError::Pair { first, second }),
    })
}

pub(crate) fn answer(
    id: serde_json::Value,
    substance: &Substance,
    state: &MixtureState,
) -> wire::StateAnswer {
    let raw = state.raw();
    let blend = substance.mixture();
    let incipient = match raw.q {
        Some(q) if blend.is_some() && q <= 0.0 => raw.rho_v,
        Some(q) if blend.is_some() && q >= 1.0 => raw.rho_l,
        _ => None,
    };
    let list = |side: Option<&MoleFractions>| side.map_or_else(Vec::new, |side| side.values().to_vec());
    let names = |blend: &Mixture| blend.components().iter().map(|fluid| fluid.name().to_owned()).collect();
    wire::StateAnswer {
        id,
        temperature: raw.t,
        p: raw.p,
        rho: raw.rho,
        h: raw.h,
        s: raw.s,
        u: raw.u,
        cp: raw.cp.filter(|value| value.is_finite()),
        cv: raw.cv.filter(|value| value.is_finite()),
        w: raw.w.filter(|value| value.is_finite()),
        phase: raw.phase.word().into(),
        q: raw.q,
        rho_l: raw.rho_l,
        rho_v: raw.rho_v,
        rho_incipient: incipient,
        components: blend.map_or_else(Vec::new, names),
        x: list(state.liquid()),
        y: list(state.vapour()),
        model: substance.model(),
        estimated: estimated(substance),
        transport: Vec::new(),
    }
}

/// The pairs whose interaction is estimated, as printed.
pub(crate) fn estimated(substance: &Substance) -> Vec<String> {
    let pairs = substance.mixture().map_or_else(Vec::new, Mixture::estimated_pairs);
    pairs.iter().map(|(one, other)| format!("{one} with {other}")).collect()
}

/// The given values of one state, as people type them; exactly two.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StateAsk {
    /// "5 C", "40 F".
    pub temperature: Option<String>,
    /// "3 bar", "68 psig", "200 kPa abs".
    pub pressure: Option<String>,
    /// "1200 kg/m3".
    pub density: Option<String>,
    /// "400 kJ/kg".
    pub enthalpy: Option<String>,
    /// "1.72 kJ/(kg K)".
    pub entropy: Option<String>,
    /// "380 kJ/kg".
    pub energy: Option<String>,
    /// "0.3", "30 %"; 0 is the bubble point, 1 the dew point.
    pub quality: Option<String>,
}

/// One state from what was typed; gauge pressures are read with this atmosphere.
///
/// # Errors
/// [`Error::Typed`] for a value that was not understood, otherwise as [`properties`].
///
/// ```
/// use stemwise_answer::{StateAsk, state};
/// use stemwise_units::Pressure;
/// let ask = StateAsk { temperature: Some("5 C".into()), pressure: Some("1 bar".into()), ..StateAsk::default() };
/// assert_eq!(state("R-134a", &ask, Pressure::from_pa(101_325.0))?.phase, "vapour");
/// assert!(state("R-134a", &StateAsk::default(), Pressure::from_pa(101_325.0)).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn state(fluid: &str, ask: &StateAsk, atmosphere: Pressure) -> Result<wire::StateAnswer, Error> {
    let pressure = |text: &str| TypedPressure::parse(text).and_then(|typed| typed.existing(atmosphere));
    let given = wire::Given {
        temperature: typed("temperature", &ask.temperature, |text| {
            Temperature::parse(text).map(Temperature::as_k)
        })?,
        p: typed("pressure", &ask.pressure, |text| pressure(text).map(Pressure::as_pa))?,
        rho: typed("density", &ask.density, |text| Density::parse(text).map(Density::as_kg_per_m3))?,
        h: typed("enthalpy", &ask.enthalpy, |text| {
            SpecificEnergy::parse(text).map(SpecificEnergy::as_j_per_kg)
        })?,
        s: typed("entropy", &ask.entropy, |text| SpecificHeat::parse(text).map(SpecificHeat::as_j_per_kg_k))?,
        u: typed("energy", &ask.energy, |text| SpecificEnergy::parse(text).map(SpecificEnergy::as_j_per_kg))?,
        q: typed("quality", &ask.quality, parse_fraction)?,
    };
    let substance = Substance::named(fluid).map_err(RequestError::Thermo)?;
    let state = substance.state(self::given(&given)?).map_err(RequestError::Thermo)?;
    let answer = answer(serde_json::Value::Null, &substance, &state);
    Ok(wire::StateAnswer { transport: transport(&substance, &state), ..answer })
}

fn typed(
    what: &str,
    text: &Option<String>,
    parse: impl Fn(&str) -> Result<f64, stemwise_units::ParseError>,
) -> Result<Option<f64>, Error> {
    text.as_deref().map(|text| parse(text).map_err(Error::typed(what))).transpose()
}

/// The refrigerants that are known: pure fluids and blends.
pub fn fluids() -> wire::FluidsAnswer {
    let pure = stemwise_thermo::fluids().into_iter().filter_map(|name| Fluid::named(name).ok()).map(entry);
    wire::FluidsAnswer { fluids: pure.chain(blends().iter().filter_map(blend_entry)).collect() }
}

fn entry(fluid: &'static Fluid) -> wire::FluidEntry {
    wire::FluidEntry {
        name: fluid.name().into(),
        aliases: fluid.aliases().to_vec(),
        safety_class: fluid.safety_class().into(),
        composition: String::new(),
        critical_temperature: fluid.critical_temperature().as_k(),
        critical_pressure: fluid.critical_pressure().as_pa(),
        lowest_temperature: fluid.lowest_temperature().as_k(),
        source: fluid.source().into(),
    }
}

fn blend_entry(blend: &'static Blend) -> Option<wire::FluidEntry> {
    let mixture = blend.mixture()?;
    let parts: Vec<String> = blend.mass_percent().iter().map(f64::to_string).collect();
    Some(wire::FluidEntry {
        name: blend.name().into(),
        aliases: blend.aliases().to_vec(),
        safety_class: blend.safety_class().into(),
        composition: format!("{} {}", blend.components().join("/"), parts.join("/")),
        critical_temperature: mixture.critical_temperature().as_k(),
        critical_pressure: mixture.critical_pressure().as_pa(),
        lowest_temperature: mixture.temperature_range().0.as_k(),
        source: mixture.model(),
    })
}
