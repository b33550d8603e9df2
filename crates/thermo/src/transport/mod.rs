//! Transport properties: viscosity, thermal conductivity, surface tension.
//!
//! From published correlations where one is at hand, otherwise by a stated general method that is marked as an estimate. Each value comes
//! with its method, its source, its uncertainty and where that figure is from.
//!
//! Of mixtures, R-404A, R-407C, R-410A and R-507A have correlations of their own; all others are estimated from their components
//! ([`mixture_viscosity`], [`mixture_thermal_conductivity`], [`mixture_surface_tension`]).
//!
//! A fluid's own published parameters are preferred to residual entropy scaling, whose thin gas stands 9 to 14 % above the fluids' own
//! correlations; [`viscosity_by`] still answers by it.

mod conductivity;
mod conformal;
mod data;
mod error;
mod general;
mod mixture;
mod spot;
mod tension;
mod viscosity;

use stemwise_units::{Density, DynamicViscosity, Temperature, ThermalConductivity};

use crate::{Fluid, Given, Phase};
use data::{ConductivityModel, Entry, ViscosityModel, of};
pub use error::TransportError;
pub use mixture::{
    mixture_surface_tension, mixture_surface_tension_estimate, mixture_thermal_conductivity,
    mixture_thermal_conductivity_estimate, mixture_viscosity, mixture_viscosity_estimate,
};
use spot::Spot;
pub use tension::{surface_tension, surface_tension_by};

/// A transport property.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Property {
    /// Dynamic viscosity.
    Viscosity,
    /// Thermal conductivity.
    Conductivity,
    /// Surface tension of the liquid against its vapour.
    SurfaceTension,
}

impl Property {
    /// As printed.
    ///
    /// ```
    /// assert_eq!(stemwise_thermo::transport::Property::Viscosity.word(), "viscosity");
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Self::Viscosity => "viscosity",
            Self::Conductivity => "thermal conductivity",
            Self::SurfaceTension => "surface tension",
        }
    }
}

/// How a value was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// A correlation fitted to measurements of this fluid.
    Correlation,
    /// Extended corresponding states with parameters fitted to measurements of this fluid.
    CorrespondingStates,
    /// Residual entropy scaling with one parameter fitted to measurements of this fluid.
    EntropyScaling,
    /// An estimate: the method of Chung et al. with constants of the fluid.
    Chung,
    /// An estimate: extended corresponding states with nothing fitted to this fluid.
    GeneralCorrespondingStates,
    /// An estimate: surface tension from critical point and acentric factor.
    GeneralTension,
    /// An estimate for mixtures: the components at the same reduced state, nothing fitted to mixtures.
    Mixing,
}

impl Method {
    /// As printed.
    ///
    /// ```
    /// assert!(!stemwise_thermo::transport::Method::Chung.word().is_empty());
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Self::Correlation => "correlation",
            Self::CorrespondingStates => "extended corresponding states, fitted",
            Self::EntropyScaling => "residual entropy scaling",
            Self::Chung => "method of Chung et al.",
            Self::GeneralCorrespondingStates => "extended corresponding states, nothing fitted",
            Self::GeneralTension => "corresponding states of surface tension",
            Self::Mixing => "mixing of the components at the same reduced state",
        }
    }

    /// Whether nothing in it was fitted to measurements of this very fluid.
    ///
    /// ```
    /// use stemwise_thermo::transport::Method;
    /// assert!(Method::Chung.is_estimate() && !Method::Correlation.is_estimate());
    /// ```
    pub const fn is_estimate(self) -> bool {
        matches!(self, Self::Chung | Self::GeneralCorrespondingStates | Self::GeneralTension | Self::Mixing)
    }
}

/// Where a figure of uncertainty comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Deserialize)]
pub enum Origin {
    /// The paper itself (its title, abstract or text was at hand).
    #[serde(rename = "paper")]
    Paper,
    /// Recalled of the paper, which was not at hand.
    #[serde(rename = "from memory")]
    Memory,
    /// Measured against the fluids that have correlations of their own; the crate's tests repeat it.
    #[serde(rename = "measured here")]
    Measured,
    /// No figure is at hand.
    #[serde(rename = "not stated")]
    NotStated,
}

impl Origin {
    /// As printed.
    ///
    /// ```
    /// assert!(!stemwise_thermo::transport::Origin::Paper.word().is_empty());
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Self::Paper => "paper",
            Self::Memory => "from memory",
            Self::Measured => "measured here",
            Self::NotStated => "not stated",
        }
    }
}

/// How far a value may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Of the value, per cent, away from the critical point; none where no figure is at hand.
    pub percent: Option<f64>,
    /// What it holds for.
    pub words: &'static str,
    /// Where the figure is from.
    pub origin: Origin,
}

/// A value with what is to be known about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimated<Q> {
    /// The value.
    pub value: Q,
    /// How it was found.
    pub method: Method,
    /// The paper.
    pub source: &'static str,
    /// How far it may be off.
    pub uncertainty: Uncertainty,
    /// Whether the temperature lies outside the range that the paper's title, or else the equation of state's paper, names.
    pub extrapolated: bool,
}

/// Which methods answer for a fluid, the preferred first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Coverage {
    /// For viscosity.
    pub viscosity: Vec<Method>,
    /// For thermal conductivity.
    pub conductivity: Vec<Method>,
    /// For surface tension.
    pub surface_tension: Vec<Method>,
}

/// Which methods answer for a fluid.
///
/// ```
/// use stemwise_thermo::{Fluid, transport};
/// let covered = transport::coverage(Fluid::named("R-115")?);
/// assert!(covered.viscosity.iter().all(|method| method.is_estimate()));
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
pub fn coverage(fluid: &Fluid) -> Coverage {
    let data = of(fluid.name());
    let general = || Method::GeneralCorrespondingStates;
    let flows =
        data.into_iter().flat_map(|data| data.viscosity.iter().map(|entry| flow_method(&entry.model)));
    let conducts = data.and_then(|data| data.conductivity.as_ref());
    let pulls = data.and_then(|data| data.surface_tension.as_ref());
    let with = |fitted: Vec<Method>, general: Method| fitted.into_iter().chain([general]).collect();
    Coverage {
        viscosity: with(flows.collect(), general()),
        conductivity: with(conducts.map(|entry| heat_method(&entry.model)).into_iter().collect(), general()),
        surface_tension: with(
            pulls.map(|_| Method::Correlation).into_iter().collect(),
            Method::GeneralTension,
        ),
    }
}

/// The dynamic viscosity of one phase, by the preferred method.
///
/// # Errors
/// [`TransportError::State`] where the state is out of range, [`TransportError::TwoPhases`], [`TransportError::BeyondFormula`].
///
/// ```
/// use stemwise_thermo::{Fluid, transport};
/// use stemwise_units::{Density, Temperature};
/// let fluid = Fluid::named("R-134a")?;
/// let at = Temperature::from_celsius(25.0);
/// let liquid = fluid.saturation_at(at)?.liquid;
/// let found = transport::viscosity(fluid, at, liquid.density())?;
/// assert!((found.value.as_micropascal_s() - 194.9).abs() < 0.1); // CoolProp 8.0.0, same correlation
/// assert!(transport::viscosity(fluid, at, Density::from_kg_per_m3(600.0)).is_err()); // in the dome
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn viscosity(
    fluid: &Fluid,
    temperature: Temperature,
    density: Density,
) -> Result<Estimated<DynamicViscosity>, TransportError> {
    let spot = spot(fluid, temperature, density)?;
    match preferred(fluid, &spot) {
        Some(entry) => by_entry(fluid, entry, &spot),
        None => viscosity_by(fluid, Method::GeneralCorrespondingStates, temperature, density),
    }
}

/// The first model that may be asked for this density.
fn preferred(fluid: &Fluid, spot: &Spot<'_>) -> Option<&'static Entry<ViscosityModel>> {
    let rho = spot.mass_density();
    let fits = |entry: &&Entry<ViscosityModel>| entry.densest.is_none_or(|most| rho <= most);
    of(fluid.name())?.viscosity.iter().find(fits)
}

/// The dynamic viscosity of one phase by a method of one's choice ([`coverage`] says which there are).
///
/// # Errors
/// As [`viscosity`]; [`TransportError::NoModel`] where the method has no parameters for the fluid.
///
/// ```
/// use stemwise_thermo::{Fluid, transport, transport::Method};
/// use stemwise_units::{Density, Temperature};
/// let (fluid, at) = (Fluid::named("R-134a")?, Temperature::from_celsius(25.0));
/// let by = |rho: f64| transport::viscosity_by(fluid, Method::GeneralCorrespondingStates, at, Density::from_kg_per_m3(rho));
/// assert!(by(4.2)?.method.is_estimate());
/// assert!(by(600.0).is_err()); // in the dome
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn viscosity_by(
    fluid: &Fluid,
    method: Method,
    temperature: Temperature,
    density: Density,
) -> Result<Estimated<DynamicViscosity>, TransportError> {
    let spot = spot(fluid, temperature, density)?;
    let entries = of(fluid.name()).map(|data| data.viscosity.as_slice()).unwrap_or_default();
    if let Some(entry) = entries.iter().find(|entry| flow_method(&entry.model) == method) {
        return by_entry(fluid, entry, &spot);
    }
    if method != Method::GeneralCorrespondingStates {
        return Err(no_model(fluid, Property::Viscosity, method));
    }
    let model = general::viscosity_model(spot.eos);
    let value = model.and_then(|model| viscosity::viscosity(&model, &spot));
    Ok(Estimated {
        value: DynamicViscosity::from_pa_s(checked(
            fluid,
            Property::Viscosity,
            &spot,
            value,
            general::SOURCE,
        )?),
        method,
        source: general::SOURCE,
        uncertainty: general::VISCOSITY,
        extrapolated: beyond(&spot, None),
    })
}

/// The thermal conductivity of one phase, by the preferred method, with its critical enhancement.
///
/// # Errors
/// As [`viscosity`]. At the very critical point the enhancement has no bound: [`TransportError::BeyondFormula`].
///
/// ```
/// use stemwise_thermo::{Fluid, transport};
/// use stemwise_units::{Density, Temperature};
/// let fluid = Fluid::named("R-290")?;
/// let found = transport::thermal_conductivity(fluid, Temperature::from_k(300.0), Density::from_kg_per_m3(1.0))?;
/// assert!(!found.method.is_estimate());
/// assert!((found.value.as_mw_per_m_k() - 18.4).abs() < 0.2); // CoolProp 8.0.0, same correlation
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn thermal_conductivity(
    fluid: &Fluid,
    temperature: Temperature,
    density: Density,
) -> Result<Estimated<ThermalConductivity>, TransportError> {
    let spot = spot(fluid, temperature, density)?;
    let published = of(fluid.name()).and_then(|data| data.conductivity.as_ref());
    let Some((entry, flow)) = published.zip(preferred(fluid, &spot)) else {
        return thermal_conductivity_by(fluid, Method::GeneralCorrespondingStates, temperature, density);
    };
    let value = conductivity::conductivity(&entry.model, &spot, &flow.model);
    let value = checked(fluid, Property::Conductivity, &spot, value, &entry.source)?;
    Ok(labelled(ThermalConductivity::from_w_per_m_k(value), heat_method(&entry.model), entry, &spot))
}

/// The thermal conductivity of one phase by a method of one's choice ([`coverage`] says which there are).
///
/// # Errors
/// As [`thermal_conductivity`]; [`TransportError::NoModel`] where the method has no parameters for the fluid.
///
/// ```
/// use stemwise_thermo::{Fluid, transport, transport::Method};
/// use stemwise_units::{Density, Temperature};
/// let (fluid, at) = (Fluid::named("R-134a")?, Temperature::from_celsius(25.0));
/// let by = |rho: f64| transport::thermal_conductivity_by(fluid, Method::GeneralCorrespondingStates, at, Density::from_kg_per_m3(rho));
/// assert!(by(4.2)?.method.is_estimate());
/// assert!(by(600.0).is_err()); // in the dome
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn thermal_conductivity_by(
    fluid: &Fluid,
    method: Method,
    temperature: Temperature,
    density: Density,
) -> Result<Estimated<ThermalConductivity>, TransportError> {
    let published = of(fluid.name()).and_then(|data| data.conductivity.as_ref());
    if published.is_some_and(|entry| heat_method(&entry.model) == method) {
        return thermal_conductivity(fluid, temperature, density);
    }
    if method != Method::GeneralCorrespondingStates {
        return Err(no_model(fluid, Property::Conductivity, method));
    }
    let spot = spot(fluid, temperature, density)?;
    let models = general::conductivity_model(spot.eos).zip(general::viscosity_model(spot.eos));
    let value = models.and_then(|(model, flow)| conductivity::conductivity(&model, &spot, &flow));
    let value = checked(fluid, Property::Conductivity, &spot, value, general::SOURCE)?;
    Ok(Estimated {
        value: ThermalConductivity::from_w_per_m_k(value),
        method,
        source: general::SOURCE,
        uncertainty: general::CONDUCTIVITY,
        extrapolated: beyond(&spot, None),
    })
}

fn by_entry(
    fluid: &Fluid,
    entry: &'static Entry<ViscosityModel>,
    spot: &Spot<'_>,
) -> Result<Estimated<DynamicViscosity>, TransportError> {
    let asked = entry.densest.is_none_or(|most| spot.mass_density() <= most);
    let value = if asked { viscosity::viscosity(&entry.model, spot) } else { None };
    let value = checked(fluid, Property::Viscosity, spot, value, &entry.source)?;
    Ok(labelled(DynamicViscosity::from_pa_s(value), flow_method(&entry.model), entry, spot))
}

fn labelled<Q, M>(value: Q, method: Method, entry: &'static Entry<M>, spot: &Spot<'_>) -> Estimated<Q> {
    let (source, uncertainty) = (&entry.source, entry.uncertainty());
    Estimated { value, method, source, uncertainty, extrapolated: beyond(spot, entry.range) }
}

impl<M> Entry<M> {
    fn uncertainty(&'static self) -> Uncertainty {
        Uncertainty {
            percent: self.uncertainty_percent,
            words: &self.uncertainty_words,
            origin: self.uncertainty_origin,
        }
    }
}

fn beyond(spot: &Spot<'_>, range: Option<[f64; 2]>) -> bool {
    let [low, high] = range.unwrap_or([spot.eos.data.min_temperature, spot.eos.data.max_temperature]);
    !(spot.t >= low && spot.t <= high)
}

const fn flow_method(model: &ViscosityModel) -> Method {
    match model {
        ViscosityModel::CorrespondingStates(_) => Method::CorrespondingStates,
        ViscosityModel::EntropyScaling(_) => Method::EntropyScaling,
        ViscosityModel::Chung { .. } => Method::Chung,
        ViscosityModel::Terms(_) | ViscosityModel::R23(_) | ViscosityModel::Water { .. } => {
            Method::Correlation
        }
    }
}

const fn heat_method(model: &ConductivityModel) -> Method {
    match model {
        ConductivityModel::CorrespondingStates(_) => Method::CorrespondingStates,
        ConductivityModel::Terms(_) | ConductivityModel::R23(_) | ConductivityModel::Water { .. } => {
            Method::Correlation
        }
    }
}

fn no_model(fluid: &Fluid, property: Property, method: Method) -> TransportError {
    TransportError::NoModel { fluid: fluid.name().to_owned(), property, method }
}

/// A vapour fraction that is rounding: a saturated state's density given back.
const ROUNDING: f64 = 1e-6;

/// The state, if it is one phase and stable.
fn spot(fluid: &Fluid, temperature: Temperature, density: Density) -> Result<Spot<'_>, TransportError> {
    let state = fluid.raw_state(Given::TemperatureDensity(temperature, density))?;
    if state.phase == Phase::TwoPhase && state.q.is_some_and(|q| q > ROUNDING && q < 1.0 - ROUNDING) {
        return Err(TransportError::TwoPhases {
            fluid: fluid.name().to_owned(),
            kelvin: state.t,
            kg_per_m3: density.as_kg_per_m3(),
        });
    }
    let eos = fluid.eos();
    Ok(Spot::new(eos, state.t, density.as_kg_per_m3() / eos.data.molar_mass))
}

/// A value that can be: finite and above zero.
fn checked(
    fluid: &Fluid,
    property: Property,
    spot: &Spot<'_>,
    value: Option<f64>,
    source: &str,
) -> Result<f64, TransportError> {
    value.filter(|value| value.is_finite() && *value > 0.0).ok_or_else(|| TransportError::BeyondFormula {
        fluid: fluid.name().to_owned(),
        property,
        kelvin: spot.t,
        kg_per_m3: spot.mass_density(),
        source_of_formula: source.to_owned(),
    })
}
