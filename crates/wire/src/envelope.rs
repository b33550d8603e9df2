//! The phase envelope of a refrigerant.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where two phases exist: bubble and dew line through the critical point. Compositions are mole fractions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EnvelopeAnswer {
    /// The refrigerant.
    pub fluid: String,
    /// Its components, in the order of every composition.
    pub components: Vec<String>,
    /// Where both lines meet and liquid and vapour are the same.
    pub critical: EnvelopeSpot,
    /// The highest temperature at which two phases exist.
    pub cricondentherm: EnvelopeSpot,
    /// The highest pressure at which two phases exist.
    pub cricondenbar: EnvelopeSpot,
    /// The bubble line from cold to the critical point, then the dew line back to cold.
    pub points: Vec<EnvelopeSpot>,
    /// The equation and data version behind it.
    pub model: String,
    /// Pairs of components whose interaction is estimated: every number here is an estimate then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
}

/// A point of the envelope.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EnvelopeSpot {
    /// The line that it is on; the critical point is on both and is given as bubble.
    pub line: EnvelopeLine,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// What a gauge at the site shows then, Pa.
    pub pressure_gauge_pa: f64,
    /// Density of the phase that is there, kg/m³.
    pub rho: f64,
    /// Density of the phase about to form, kg/m³.
    pub forming_rho: f64,
    /// Mole fractions in the phase about to form.
    pub forming: Vec<f64>,
}

/// One of both lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EnvelopeLine {
    /// Liquid about to boil.
    Bubble,
    /// Vapour about to condense.
    Dew,
}
