//! The answer to what is joined at the moment.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a lineup joins, what each section holds, what each gauge reads, and what is dangerous about it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JoinedAnswer {
    /// The circuit's name.
    #[serde(default)]
    pub circuit: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    #[serde(default)]
    pub atmosphere_pa: f64,
    /// The sections.
    pub sections: Vec<Section>,
    /// A gauge for each port with a hose on.
    pub gauges: Vec<Gauge>,
    /// The hazards of this state.
    pub hazards: Vec<Hazard>,
    /// What the figures rest on where something was assumed.
    pub notes: Vec<String>,
}

/// Spaces that are joined at the moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Section {
    /// The spaces' ids.
    pub spaces: Vec<String>,
    /// The ports that read it.
    pub ports: Vec<String>,
    /// Absolute pressure, Pa. While running a section may have several; this is the lowest of them.
    pub pressure_pa: f64,
    /// The highest, Pa.
    pub highest_pressure_pa: f64,
    /// Refrigerant in it, kg.
    pub mass_kg: f64,
    /// The part of its volume that liquid fills.
    pub liquid_fraction: f64,
    /// Each space by itself.
    pub parts: Vec<PartOfSection>,
}

/// One space of a section.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PartOfSection {
    /// Its id.
    pub space: String,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Refrigerant in it, kg.
    pub mass_kg: f64,
    /// The part of its volume that liquid fills.
    pub liquid_fraction: f64,
}

/// What a gauge reads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Gauge {
    /// The port that it is on.
    pub at: String,
    /// A space of the section that it reads, or "nothing".
    pub reads: String,
    /// What it shows: pressure above the atmosphere at the site, Pa; none where it reads nothing of the system.
    pub pressure_gauge_pa: Option<f64>,
    /// Why, in a sentence.
    pub why: String,
}

/// A hazard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Hazard {
    /// The rule's id.
    pub id: String,
    /// "danger" or "warning".
    pub severity: String,
    /// The sentence, with its numbers.
    pub say: String,
    /// How to avoid it.
    pub avoid: String,
    /// Where the rule comes from.
    pub source: String,
}
