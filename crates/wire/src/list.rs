//! The answer to what is in a circuit: valves, ports, jobs, and what was estimated.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What is in a circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ListAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The refrigerant.
    pub refrigerant: String,
    /// Its safety class.
    pub safety_class: String,
    /// The charge.
    pub charge: Quantity,
    /// The valves and other joints that can be set or that matter.
    pub valves: Vec<Valve>,
    /// The ports.
    pub ports: Vec<Port>,
    /// The jobs that make sense here, as `plan --job` takes them.
    pub jobs: Vec<String>,
    /// The spaces, with their volumes.
    pub spaces: Vec<Space>,
}

/// A value in SI units with its range and where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Quantity {
    /// The value.
    pub value: f64,
    /// The lower end of its range.
    pub low: f64,
    /// The upper end of its range.
    pub high: f64,
    /// "entered", "computed" or "estimated".
    pub from: String,
    /// The rule, where it was computed or estimated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule: Option<String>,
}

/// A valve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Valve {
    /// Its id in the file.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Its kind.
    pub kind: String,
    /// The two spaces that it joins: line side first.
    pub between: [String; 2],
    /// Where its stem belongs in normal running; none where it has no stem.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub normal: Option<String>,
    /// The positions that it can take.
    pub positions: Vec<String>,
    /// For a service valve: which side its port stays with when it is front-seated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub port_stays_with: Option<String>,
}

/// A port.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Port {
    /// Its id in the file.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// What it belongs to.
    pub on: String,
    /// Whether it has a spring core.
    pub core: bool,
}

/// A space.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Space {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Its volume in m³.
    pub volume: Quantity,
}
