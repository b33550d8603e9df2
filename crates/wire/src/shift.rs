//! What a leak, a recovery, a charge out of a cylinder and a top-up make of a blend.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A draw from a vessel or system of fixed volume at a fixed temperature, moment by moment, and what top-ups make of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShiftAnswer {
    /// The refrigerant.
    pub fluid: String,
    /// Its components, in the order of every composition here.
    pub components: Vec<String>,
    /// Temperature of everything, K.
    pub temperature_k: f64,
    /// Volume of the vessel or system, m³.
    pub volume_m3: f64,
    /// What leaves: "vapour" or "liquid".
    pub leaves: String,
    /// Whether the composition can change; it can't for a pure fluid.
    pub changes: bool,
    /// The draw, from the start to the end.
    pub stages: Vec<ShiftStage>,
    /// What is left at the end against the nominal composition.
    pub deviation: ShiftDeviation,
    /// What is topped up: "vapour" or "liquid"; left out where nothing is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_up: Option<String>,
    /// Each round of the draw and the top-up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rounds: Vec<ShiftRound>,
    /// What to know about it, in sentences.
    pub remarks: Vec<String>,
    /// Steps that the integration of the draw took.
    pub steps: u32,
    /// Equilibria that it solved.
    pub equilibria: u32,
    /// The equation and data version behind it.
    pub model: String,
    /// Pairs of components whose interaction is estimated: every number here is an estimate then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
}

/// A moment of the draw.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShiftStage {
    /// "start", "passing", "last-drop" (the last liquid goes) or "end".
    pub moment: String,
    /// Which part of the mass at the start is left.
    pub part_left: f64,
    /// What is in there.
    pub content: ShiftContent,
    /// What leaves at this moment.
    pub leaving: Parts,
    /// What has left so far, kg.
    pub drawn_kg: f64,
    /// What that consists of, all together; left out before anything has left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawn: Option<Parts>,
}

/// What is in the vessel or system.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShiftContent {
    /// All of it, kg.
    pub mass_kg: f64,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// What a gauge at the site shows, Pa.
    pub pressure_gauge_pa: f64,
    /// How much of it is liquid, kg.
    pub liquid_kg: f64,
    /// Which part of the volume is liquid.
    pub liquid_part: f64,
    /// What all of it consists of: what circulates once the system runs.
    pub overall: Parts,
    /// What the liquid consists of; left out where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub liquid: Option<Parts>,
    /// What the vapour consists of.
    pub vapour: Parts,
    /// Bubble pressure of all of it at the temperature, Pa.
    pub bubble_pa: f64,
    /// Dew pressure of all of it, Pa.
    pub dew_pa: f64,
    /// By how much the bubble point is hotter than the nominal blend's at the same pressure, K.
    pub bubble_shift_k: f64,
    /// The same of the dew point, K.
    pub dew_shift_k: f64,
    /// By which part the bubble pressure is higher than the nominal blend's at the same temperature.
    pub bubble_shift_part: f64,
    /// The same of the dew pressure.
    pub dew_shift_part: f64,
    /// Whether every component is within its tolerance of the nominal composition.
    pub within_tolerance: bool,
}

/// A composition both ways; each list sums to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Parts {
    /// Mole fractions.
    pub mole: Vec<f64>,
    /// Mass fractions.
    pub mass: Vec<f64>,
}

/// A composition against the nominal one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShiftDeviation {
    /// Each component; none for a pure fluid.
    pub components: Vec<ComponentShift>,
    /// Whether all are within their tolerances.
    pub within: bool,
    /// Where the tolerances come from.
    pub source: String,
    /// Whether the tolerances are assumed, for want of the blend's own.
    pub assumed: bool,
}

/// A component against its nominal part, in per cent of the blend's mass.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComponentShift {
    /// The component.
    pub component: String,
    /// Its nominal part.
    pub nominal_percent: f64,
    /// Its part less the nominal one.
    pub off_percent: f64,
    /// So much less is allowed of a fresh blend.
    pub below_percent: f64,
    /// So much more is allowed.
    pub above_percent: f64,
    /// Whether it is within that.
    pub within: bool,
}

/// A draw and a top-up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShiftRound {
    /// After the draw.
    pub drawn: ShiftContent,
    /// What was topped up, kg.
    pub added_kg: f64,
    /// After the top-up.
    pub topped_up: ShiftContent,
    /// That against the nominal composition.
    pub deviation: ShiftDeviation,
}
