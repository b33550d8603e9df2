//! The state of a circuit with a rig on it: how everything stands, what each space holds, what is open.

use std::collections::BTreeSet;

use stemwise_circuit::{Assembly, JointId, Lineup, PortId, SpaceId};
use stemwise_units::{Mass, Temperature};

/// What one space holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contents {
    /// Refrigerant, liquid and vapour together.
    pub refrigerant: Mass,
    /// Air.
    pub air: Mass,
    /// Dry nitrogen.
    pub nitrogen: Mass,
    /// Temperature.
    pub temperature: Temperature,
    /// Whether it has been open to the atmosphere, or had wet gas in it, since it was last evacuated.
    pub wet: bool,
}

/// What a cap covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cap {
    /// The cap of a port.
    Port(PortId),
    /// The cap of a stem.
    Stem(JointId),
}

/// Where refrigerant that is no longer in the circuit went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Left {
    /// Into the recovery cylinder, in kg.
    pub recovered_kg: f64,
    /// To the atmosphere, in kg.
    pub lost_kg: f64,
    /// Charged, in kg.
    pub charged_kg: f64,
    /// The part of it that did not come out of the recovery cylinder, in kg.
    pub new_kg: f64,
    /// Oil that was put in, in kg.
    pub oil_kg: f64,
}

/// The state at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// How every stem, coil, compressor and hose stands.
    pub lineup: Lineup,
    /// What each space of the assembly's graph holds, in its order.
    pub contents: Vec<Contents>,
    /// Caps that are off.
    pub caps_off: BTreeSet<Cap>,
    /// Packing nuts that are eased.
    pub nuts_eased: BTreeSet<JointId>,
    /// Hoses that hold no air: purged, or evacuated, since something was last put on their end.
    pub purged: BTreeSet<SpaceId>,
    /// For how many minutes the power has been on while every compressor stood and nothing was let in.
    pub rested: u32,
    /// Piercing valves fitted during the job.
    pub pierced: BTreeSet<PortId>,
    /// Access valves brazed on during the job.
    pub brazed: BTreeSet<PortId>,
    /// Spaces that are open to the atmosphere: cut, unbolted or without the part between them.
    pub open_spaces: BTreeSet<SpaceId>,
    /// Whether the power is locked out.
    pub locked_out: bool,
    /// Whether a jumper is on a safety control.
    pub jumpered: bool,
    /// Where refrigerant that left the circuit went.
    pub left: Left,
}

impl State {
    /// Refrigerant in the circuit's own spaces.
    pub fn circuit_mass(&self, assembly: &Assembly) -> Mass {
        let own = assembly.circuit.graph.spaces.len();
        self.contents.iter().take(own).map(|held| held.refrigerant).sum()
    }
    /// What a space holds.
    pub fn held(&self, space: SpaceId) -> Option<&Contents> {
        self.contents.get(space.index())
    }
}
