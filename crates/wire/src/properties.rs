//! Property requests and answers, one JSON object a line in batch.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A request: a fluid or mixture and two given values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PropertyRequest {
    /// Anything; comes back with the answer.
    #[serde(default, skip_serializing_if = "serde_json::Value::is_null")]
    pub id: serde_json::Value,
    /// A refrigerant's name, with or without the hyphen, any case.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fluid: Option<String>,
    /// Or components and their fractions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mixture: Option<BTreeMap<String, f64>>,
    /// "mass" or "mole".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<String>,
    /// The given values.
    pub given: Given,
}

/// Two of these: T (K), p (Pa absolute), rho (kg/m³), h (J/kg), s (J/(kg K)), u (J/kg); or T or p with q.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Given {
    /// Temperature, K.
    #[serde(rename = "T", default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<f64>,
    /// Absolute pressure, Pa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub p: Option<f64>,
    /// Density, kg/m³.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rho: Option<f64>,
    /// Specific enthalpy, J/kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub h: Option<f64>,
    /// Specific entropy, J/(kg K).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub s: Option<f64>,
    /// Specific internal energy, J/kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub u: Option<f64>,
    /// 0 = bubble point, 1 = dew point, between = molar vapour fraction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub q: Option<f64>,
}

/// An answer: the state, or an error.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum PropertyAnswer {
    /// The state.
    State(Box<StateAnswer>),
    /// What went wrong with this line.
    Error(ErrorAnswer),
}

/// A state.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StateAnswer {
    /// From the request.
    pub id: serde_json::Value,
    /// Temperature, K.
    #[serde(rename = "T")]
    pub temperature: f64,
    /// Absolute pressure, Pa.
    pub p: f64,
    /// Density, kg/m³.
    pub rho: f64,
    /// Specific enthalpy, J/kg.
    pub h: f64,
    /// Specific entropy, J/(kg K).
    pub s: f64,
    /// Specific internal energy, J/kg.
    pub u: f64,
    /// Isobaric heat capacity, J/(kg K); left out where it has no meaning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cp: Option<f64>,
    /// Isochoric heat capacity, J/(kg K).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cv: Option<f64>,
    /// Speed of sound, m/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub w: Option<f64>,
    /// "liquid", "vapour", "two-phase" or "supercritical".
    pub phase: String,
    /// Molar vapour fraction, where it has a meaning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub q: Option<f64>,
    /// Density of the liquid, in two phases, kg/m³.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rho_l: Option<f64>,
    /// Density of the vapour, in two phases, kg/m³.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rho_v: Option<f64>,
    /// Of a blend at its bubble or dew point: density of the phase about to form, kg/m³; `y` or `x` is its composition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rho_incipient: Option<f64>,
    /// A blend's components, in the order of `x` and `y`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub components: Vec<String>,
    /// Mole fractions of the liquid of a blend, in two phases and at saturation.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub x: Vec<f64>,
    /// Mole fractions of its vapour.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub y: Vec<f64>,
    /// The equation and data version behind it.
    pub model: String,
    /// Pairs of components whose interaction is estimated, for want of published parameters: every number here is an estimate then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
    /// Viscosity, thermal conductivity and surface tension, where they were asked for and have a meaning; not in batch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub transport: Vec<TransportValue>,
}

/// A transport property.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TransportValue {
    /// "viscosity", "thermal conductivity" or "surface tension".
    pub property: String,
    /// In Pa s, W/(m K) or N/m; none where there is no answer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// Why not, if there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// How it was found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<String>,
    /// Whether nothing in the method was fitted to this very substance.
    pub estimate: bool,
    /// How far it may be off, and where that figure is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<String>,
    /// Where the method is published.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// What every substance rests on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CoverageAnswer {
    /// Each pure fluid and each blend of the catalogue.
    pub substances: Vec<CoverageEntry>,
}

/// What a substance rests on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CoverageEntry {
    /// Its name.
    pub name: String,
    /// Whether some interaction is estimated.
    pub estimate: bool,
    /// The equation of state of each component, by its paper.
    pub equations: Vec<NamedSource>,
    /// The parameters of each pair of components: the paper, or how they were estimated.
    pub pairs: Vec<NamedSource>,
    /// Where the composition of a blend comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub composition: Option<String>,
    /// The lowest temperature that is answered, K.
    pub lowest_temperature: f64,
    /// The highest temperature that is answered, K.
    pub highest_temperature: f64,
    /// The highest pressure that is answered, Pa absolute.
    pub highest_pressure: f64,
    /// The highest temperature that the papers of all components cover, K.
    pub papers_temperature: f64,
    /// The highest pressure that the papers of all components cover, Pa absolute.
    pub papers_pressure: f64,
    /// Agreement with a reference library, in a sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub library: Option<String>,
    /// The boiling point as printed and as computed, in a sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub printed: Option<String>,
    /// Viscosity, thermal conductivity and surface tension of a pure fluid: how they are found.
    pub transport: Vec<NamedSource>,
}

/// Something with its source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NamedSource {
    /// What.
    pub of: String,
    /// The source.
    pub source: String,
    /// Whether it is estimated.
    pub estimate: bool,
}

/// A line that could not be answered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ErrorAnswer {
    /// From the request; null where it could not be read.
    pub id: serde_json::Value,
    /// What went wrong.
    pub error: ErrorBody,
}

/// What went wrong.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ErrorBody {
    /// The kind, stable, kebab-case.
    pub kind: String,
    /// The sentence.
    pub message: String,
}

/// Saturation at one temperature or pressure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SaturationAnswer {
    /// The refrigerant.
    pub fluid: String,
    /// Temperature of the bubble point, K.
    pub bubble_k: f64,
    /// Temperature of the dew point, K.
    pub dew_k: f64,
    /// Absolute pressure of the bubble point, Pa.
    pub pressure_pa: f64,
    /// What a gauge at the site shows then, Pa.
    pub pressure_gauge_pa: f64,
    /// Absolute pressure of the dew point, Pa; another than the bubble point's only for a blend at a temperature.
    pub dew_pressure_pa: f64,
    /// What a gauge at the site shows then, Pa.
    pub dew_pressure_gauge_pa: f64,
    /// Liquid density at the bubble point, kg/m³.
    pub rho_l: f64,
    /// Vapour density at the dew point, kg/m³.
    pub rho_v: f64,
    /// Liquid enthalpy at the bubble point, J/kg.
    pub h_l: f64,
    /// Vapour enthalpy at the dew point, J/kg.
    pub h_v: f64,
    /// The equation and data version behind it.
    pub model: String,
    /// Pairs of components whose interaction is estimated: every number here is an estimate then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
}

/// Saturation at evenly spaced temperatures or pressures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SaturationTable {
    /// The rows, in the order of the request.
    pub rows: Vec<SaturationAnswer>,
}

/// The refrigerants that are known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FluidsAnswer {
    /// Each of them.
    pub fluids: Vec<FluidEntry>,
}

/// A refrigerant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FluidEntry {
    /// Its name.
    pub name: String,
    /// Other names.
    pub aliases: Vec<String>,
    /// Its safety class; empty where the standard gives none.
    pub safety_class: String,
    /// Of a blend: its components and their parts by mass.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub composition: String,
    /// Critical temperature, K.
    pub critical_temperature: f64,
    /// Critical pressure, Pa absolute.
    pub critical_pressure: f64,
    /// The lowest temperature that is answered, K.
    pub lowest_temperature: f64,
    /// The paper of the equation of state; of a blend, its model.
    pub source: String,
}
