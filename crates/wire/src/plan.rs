//! The answer to planning a job.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A plan, or why there is none.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum PlanAnswer {
    /// A procedure.
    Found(Box<PlanFound>),
    /// No safe way.
    None(NoPlan),
}

/// A procedure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanFound {
    /// The circuit's name.
    #[serde(default)]
    pub circuit: String,
    /// The refrigerant.
    #[serde(default)]
    pub refrigerant: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    #[serde(default)]
    pub atmosphere_pa: f64,
    /// The job.
    pub job: String,
    /// True.
    pub found: bool,
    /// The way that it takes, in a sentence.
    pub way: String,
    /// What it costs.
    pub cost: Cost,
    /// True, or how far it may be off.
    pub optimal: Optimal,
    /// What "cheapest" means here.
    pub objective: String,
    /// What to bring.
    pub bring: Vec<String>,
    /// The recovery cylinders that what is taken out fills; left out where nothing is taken out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<Cylinders>,
    /// General cautions, to be read first.
    pub cautions: Vec<String>,
    /// The steps.
    pub steps: Vec<PlanStep>,
    /// The other ways and their prices.
    pub alternatives: Vec<Alternative>,
    /// The ways that no other beats in refrigerant, time and stem moves at once, the best by the objective first; left out where no cost was asked
    /// for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unbeaten: Vec<Alternative>,
    /// How everything stands afterwards.
    pub end_state: EndState,
}

/// Recovery cylinders of one size, filled one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Cylinders {
    /// How many.
    pub count: u32,
    /// The water capacity of each, kg.
    pub water_capacity_kg: f64,
    /// What each may hold of the refrigerant, kg.
    pub room_kg: f64,
}

/// What a procedure costs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Cost {
    /// Refrigerant that goes into the cylinder, kg.
    pub refrigerant_removed_kg: f64,
    /// Refrigerant lost to the atmosphere (hoses, last vapour), kg.
    pub refrigerant_lost_kg: f64,
    /// Turns of a stem from one position to another.
    pub stem_moves: usize,
    /// Time, by stated rules.
    pub minutes: f64,
}

/// Whether a plan is the best.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Optimal {
    /// True: proved.
    Proved(bool),
    /// It may be off by this much of the usual objective.
    Within {
        /// The objective's unit: grams, with stem moves at their exchange rate.
        within: u64,
        /// The same in per cent of the least that any way can cost.
        percent: f64,
    },
    /// It may be off by this much of a stated cost; left out where nothing is known but that it is the best of the ways that were tried.
    AtMost {
        /// In per cent of the least that any way can cost by the planner's count.
        percent: Option<f64>,
    },
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlanStep {
    /// From 1.
    pub n: usize,
    /// "prepare", "isolate", "empty", "work", "prove", "dry", "refill" or "return".
    pub phase: String,
    /// The action.
    pub action: PlanAction,
    /// What to do, care steps included.
    pub say: String,
    /// Why.
    pub why: String,
    /// What the gauges show afterwards.
    pub expect: Vec<Expect>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Whether something must be proved before going on.
    pub hold_point: bool,
    /// What must be proved.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hold: Option<String>,
}

/// An action.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PlanAction {
    /// Its kind, stable, kebab-case.
    pub kind: String,
    /// What it is done to: ids, separated by commas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
    /// The position or value that it is brought to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
}

/// What a gauge should show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Expect {
    /// The port that the gauge is on.
    pub gauge: String,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// The lower end of what is still as expected, Pa.
    pub low: f64,
    /// The upper end, Pa.
    pub high: f64,
}

/// Another way, and its price.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Alternative {
    /// The way, in a sentence.
    pub say: String,
    /// What it costs, if it exists.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<Cost>,
    /// Why not, if it does not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
}

/// How everything stands after the last step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EndState {
    /// Every stem's position, by the valve's id.
    pub stems: BTreeMap<String, String>,
    /// Caps that are off.
    pub caps_off: Vec<String>,
    /// Spaces that are open to the atmosphere.
    pub open_spaces: Vec<String>,
}

/// No safe way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NoPlan {
    /// The circuit's name.
    #[serde(default)]
    pub circuit: String,
    /// The job.
    pub job: String,
    /// False.
    pub found: bool,
    /// The reasons.
    pub because: Vec<Because>,
    /// The ways that were tried, and why each does not go.
    #[serde(default)]
    pub alternatives: Vec<Alternative>,
}

/// A reason why there is no safe way.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Because {
    /// The reason.
    pub say: String,
    /// What would help.
    pub would_help: String,
}
