//! One state of a fluid from two given values.

use stemwise_thermo::{Fluid, Given, RawState};
use stemwise_units::{
    Density, Pressure, SpecificEnergy, SpecificHeat, Temperature, TypedPressure, parse_fraction,
};
use stemwise_wire as wire;

use crate::Error;

/// The pairs of given values that are answered.
const PAIRS: &str = "T and p, T and rho, p and h, p and s, p and u, rho and u, T and q, p and q";
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
    /// Mixtures are not answered yet.
    #[error(
        "mixtures of several components ({components}) are not answered by this version; a single component is"
    )]
    MixtureUnsupported {
        /// The components.
        components: String,
    },
    /// Not two given values.
    #[error("{count} values are given ({names}); two fix a state: {PAIRS}")]
    NotTwo {
        /// How many.
        count: usize,
        /// Which.
        names: String,
    },
    /// Two given values that are not answered together.
    #[error("{first} and {second} are not answered together; these pairs are: {PAIRS}")]
    Pair {
        /// One of them.
        first: &'static str,
        /// The other.
        second: &'static str,
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
            Self::MixtureUnsupported { .. } => "unsupported",
            Self::NotTwo { .. } => "not-two-values",
            Self::Pair { .. } => "unsupported-pair",
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
    let fluid = fluid(request.fluid.as_deref(), mixture.as_deref(), request.basis.as_deref())?;
    let state = fluid.raw_state(given(&request.given)?).map_err(RequestError::Thermo)?;
    Ok(answer(request.id.clone(), fluid, &state))
}

/// The fluid that a request names.
pub(crate) fn fluid(
    name: Option<&str>,
    mixture: Option<&[(&str, f64)]>,
    basis: Option<&str>,
) -> Result<&'static Fluid, RequestError> {
    match (name, mixture) {
        (Some(_), Some(_)) => Err(RequestError::BothFluidAndMixture),
        (None, None) => Err(RequestError::NoFluid),
        (Some(name), None) => Ok(Fluid::named(name)?),
        (None, Some(components)) => single_component(components, basis),
    }
}

/// A mixture that is one component only; others are refused, and what is wrong with them is said first.
fn single_component(components: &[(&str, f64)], basis: Option<&str>) -> Result<&'static Fluid, RequestError> {
    if let Some(basis) = basis.filter(|basis| !matches!(*basis, "mass" | "mole")) {
        return Err(RequestError::UnknownBasis { basis: basis.chars().take(40).collect() });
    }
    let mut present = Vec::new();
    for &(name, fraction) in components {
        let fluid = Fluid::named(name)?;
        if !(0.0..=1.0).contains(&fraction) {
            return Err(RequestError::Fraction { component: fluid.name().into(), fraction });
        }
        if fraction > 0.0 {
            present.push(fluid);
        }
    }
    let sum: f64 = components.iter().map(|(_, fraction)| fraction).sum();
    if (sum - 1.0).abs() > SUM_TOLERANCE {
        return Err(RequestError::FractionSum { sum });
    }
    match present.as_slice() {
        [only] => Ok(only),
        _ if basis.is_none() => Err(RequestError::NoBasis),
        several => Err(RequestError::MixtureUnsupported {
            components: several.iter().map(|fluid| fluid.name()).collect::<Vec<_>>().join(", "),
        }),
    }
}

/// The pair of given values.
pub(crate) fn given(given: &wire::Given) -> Result<Given, RequestError> {
    let wire::Given { temperature, p, rho, h, s, u, q } = *given;
    let t = temperature.map(Temperature::from_k);
    let pressure = p.map(Pressure::from_pa);
    let density = rho.map(Density::from_kg_per_m3);
    let energy = SpecificEnergy::from_j_per_kg;
    let all = [("T", temperature), ("p", p), ("rho", rho), ("h", h), ("s", s), ("u", u), ("q", q)];
    let mut present = all.iter().filter_map(|(name, value)| value.map(|_| *name));
    let (Some(first), Some(second), None) = (present.next(), present.next(), present.next()) else {
        let names: Vec<&str> = all.iter().filter_map(|(name, value)| value.map(|_| *name)).collect();
        let listed = if names.is_empty() { "none".into() } else { names.join(", ") };
        return Err(RequestError::NotTwo { count: names.len(), names: listed });
    };
    Ok(match (t, pressure, density, h, s, u, q) {
        (Some(t), Some(p), ..) => Given::TemperaturePressure(t, p),
        (Some(t), _, Some(rho), ..) => Given::TemperatureDensity(t, rho),
        (Some(t), _, _, _, _, _, Some(q)) => Given::TemperatureQuality(t, q),
        (_, Some(p), _, Some(h), ..) => Given::PressureEnthalpy(p, energy(h)),
        (_, Some(p), _, _, Some(s), ..) => Given::PressureEntropy(p, SpecificHeat::from_j_per_kg_k(s)),
        (_, Some(p), _, _, _, Some(u), _) => Given::PressureEnergy(p, energy(u)),
        (_, Some(p), _, _, _, _, Some(q)) => Given::PressureQuality(p, q),
        (_, _, Some(rho), _, _, Some(u), _) => Given::DensityEnergy(rho, energy(u)),
        _ => return Err(RequestError::Pair { first, second }),
    })
}

pub(crate) fn answer(id: serde_json::Value, fluid: &Fluid, state: &RawState) -> wire::StateAnswer {
    wire::StateAnswer {
        id,
        temperature: state.t,
        p: state.p,
        rho: state.rho,
        h: state.h,
        s: state.s,
        u: state.u,
        cp: state.cp.filter(|value| value.is_finite()),
        cv: state.cv.filter(|value| value.is_finite()),
        w: state.w.filter(|value| value.is_finite()),
        phase: state.phase.word().into(),
        q: state.q,
        rho_l: state.rho_l,
        rho_v: state.rho_v,
        model: fluid.model(),
    }
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
    let fluid = Some(fluid.to_owned());
    properties(&wire::PropertyRequest {
        id: serde_json::Value::Null,
        fluid,
        mixture: None,
        basis: None,
        given,
    })
}

fn typed(
    what: &str,
    text: &Option<String>,
    parse: impl Fn(&str) -> Result<f64, stemwise_units::ParseError>,
) -> Result<Option<f64>, Error> {
    text.as_deref().map(|text| parse(text).map_err(Error::typed(what))).transpose()
}

/// The refrigerants that are known.
pub fn fluids() -> wire::FluidsAnswer {
    let known = stemwise_thermo::fluids().into_iter().filter_map(|name| Fluid::named(name).ok());
    wire::FluidsAnswer { fluids: known.map(entry).collect() }
}

fn entry(fluid: &'static Fluid) -> wire::FluidEntry {
    wire::FluidEntry {
        name: fluid.name().into(),
        aliases: fluid.aliases().to_vec(),
        safety_class: fluid.safety_class().into(),
        critical_temperature: fluid.critical_temperature().as_k(),
        critical_pressure: fluid.critical_pressure().as_pa(),
        lowest_temperature: fluid.lowest_temperature().as_k(),
        source: fluid.source().into(),
    }
}
