//! A circuit with its rig at one moment, as a face draws it.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Gauge, Hazard};

/// Everything that can be seen, and what is inside.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Frame {
    /// Every stem's position, by the valve's id.
    pub stems: BTreeMap<String, String>,
    /// Compressors and machines that run, and coils that are energised.
    pub running: Vec<String>,
    /// Solenoid valves that are held open.
    pub held_open: Vec<String>,
    /// The hoses that are on.
    pub hoses: Vec<HoseOn>,
    /// Ports whose core is out.
    pub cores_out: Vec<String>,
    /// Caps that are off.
    pub caps_off: Vec<CapOff>,
    /// Packing nuts that are eased, by the valve's id.
    pub nuts_eased: Vec<String>,
    /// Accesses that were bolted or brazed on.
    pub fitted: Vec<String>,
    /// Spaces that are open to the atmosphere.
    pub open_spaces: Vec<String>,
    /// Whether the power is locked out.
    pub locked_out: bool,
    /// Every space.
    pub spaces: Vec<SpaceFrame>,
    /// A gauge for each port with a hose on.
    pub gauges: Vec<Gauge>,
    /// What is wrong with it.
    pub hazards: Vec<Hazard>,
    /// Where refrigerant that left the circuit went.
    pub left: LeftFrame,
}

/// A hose on a port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct HoseOn {
    /// The hose.
    pub hose: String,
    /// The port.
    pub port: String,
}

/// A cap that is off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CapOff {
    /// "port" or "stem".
    pub of: String,
    /// The port or the valve.
    pub id: String,
}

/// A space at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SpaceFrame {
    /// Its id.
    pub space: String,
    /// Spaces of one section are joined at the moment and share this number.
    pub section: usize,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Refrigerant in it, kg.
    pub refrigerant_kg: f64,
    /// Air in it, kg.
    pub air_kg: f64,
    /// Nitrogen in it, kg.
    pub nitrogen_kg: f64,
    /// The part of its volume that liquid fills.
    pub liquid_fraction: f64,
    /// "liquid", "liquid-and-vapour", "vapour", "nitrogen", "air" or "vacuum".
    pub holds: String,
}

/// Where refrigerant went, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LeftFrame {
    /// Into the recovery cylinder.
    pub recovered_kg: f64,
    /// To the atmosphere.
    pub lost_kg: f64,
    /// Charged.
    pub charged_kg: f64,
    /// Oil put in.
    pub oil_kg: f64,
}

/// A plan with what it does to the circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WalkedThrough {
    /// The plan, or why there is none.
    pub plan: crate::PlanAnswer,
    /// The procedure; left out where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<Walk>,
}

/// A procedure with the verdict on it and what it does to the circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Replayed {
    /// The verdict.
    pub verdict: crate::VerifyAnswer,
    /// The procedure.
    pub procedure: Walk,
}

/// A procedure, step by step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Walk {
    /// The procedure file.
    pub file: String,
    /// The actions of each step, as the procedure file has them.
    pub actions: Vec<Vec<String>>,
    /// The frame before the first step, and after each step that can be done.
    pub frames: Vec<Frame>,
}
