//! Faults to teach with, each with a size.

use stemwise_circuit::{JointId, PlaceId, PortId, SpaceId};

use crate::engine::network::{Coil, Link, Machine, Passage};
use crate::plant::Plant;
use crate::rehearsal::Stage;

/// A fault. Sizes are parts from 0 (none) to 1 (complete) unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// So much charge is missing at once, kg.
    Undercharge {
        /// kg.
        missing: f64,
    },
    /// So much more charge is in the high side, kg.
    Overcharge {
        /// kg.
        more: f64,
    },
    /// Air in the condenser, kg.
    Air {
        /// kg.
        mass: f64,
    },
    /// Water in a part, kg: it stays where it is until it boils off.
    Moisture {
        /// The part.
        space: SpaceId,
        /// kg.
        mass: f64,
    },
    /// The air of a place is damp: frost grows on its coils.
    DampAir {
        /// The place.
        place: PlaceId,
        /// Relative humidity, which stays whatever freezes out.
        humidity: f64,
    },
    /// A passage (drier outlet, valve, tube joint) is narrowed.
    Restricted {
        /// The joint.
        joint: JointId,
        /// Part of its area that is gone.
        part: f64,
    },
    /// A solenoid or check valve does not move any more.
    Stuck {
        /// The joint.
        joint: JointId,
        /// How far it is open.
        open: f64,
    },
    /// A thermostatic valve's bulb has lost charge: it senses too cold by so many kelvin.
    Starved {
        /// The valve.
        joint: JointId,
        /// K.
        kelvin: f64,
    },
    /// Its bulb hangs loose and warm: it senses too warm by so many kelvin.
    Flooding {
        /// The valve.
        joint: JointId,
        /// K.
        kelvin: f64,
    },
    /// A coil's surface is fouled.
    Fouled {
        /// The coil.
        space: SpaceId,
        /// Part of the heat transfer that is gone.
        part: f64,
    },
    /// A coil's fan has slowed or stopped.
    Fan {
        /// The coil.
        space: SpaceId,
        /// Part of the air flow that is gone.
        part: f64,
    },
    /// Frost on an evaporator.
    Frosted {
        /// The coil.
        space: SpaceId,
        /// Part of the heat transfer that is gone.
        part: f64,
    },
    /// A discharge valve leaks back.
    LeakingReed {
        /// The compressor.
        joint: JointId,
        /// Part of the flow that comes back at the design's ratio.
        part: f64,
    },
    /// A stem's packing leaks to the atmosphere.
    LeakingPacking {
        /// The valve.
        joint: JointId,
        /// Hole, mm².
        square_mm: f64,
    },
    /// A port's core leaks to the atmosphere.
    LeakingCore {
        /// The port.
        port: PortId,
        /// Hole, mm².
        square_mm: f64,
    },
}

/// The faults that are in.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Faults {
    pub(crate) list: Vec<Fault>,
}

impl Faults {
    pub(crate) fn put(&mut self, fault: Fault) {
        let same = |old: &Fault| {
            core::mem::discriminant(old) == core::mem::discriminant(&fault) && at(old) == at(&fault)
        };
        self.list.retain(|old| !same(old));
        self.list.push(fault);
    }

    pub(crate) fn on_coil(&self, at: usize, coil: &mut Coil) {
        for fault in &self.list {
            match fault {
                Fault::Fouled { space, part } | Fault::Frosted { space, part } if space.index() == at => {
                    coil.fan *= (1.0 - part).clamp(0.02, 1.0);
                }
                Fault::Fan { space, part } if space.index() == at => {
                    coil.fan *= (1.0 - 0.9 * part).clamp(0.1, 1.0)
                }
                _ => {}
            }
        }
    }

    pub(crate) fn on_machine(&self, id: JointId, machine: &mut Machine) {
        for fault in &self.list {
            if let Fault::LeakingReed { joint, part } = fault
                && *joint == id
            {
                machine.valves *= 1.0 - part.clamp(0.0, 0.95);
                machine.leak =
                    machine.leak.max(2e-7 * (machine.swept() * 1e3).max(0.1)) * (1.0 + 20.0 * part);
            }
        }
    }

    pub(crate) fn on_passage(&self, id: JointId, passage: &mut Passage) {
        for fault in &self.list {
            match fault {
                Fault::Restricted { joint, part } if *joint == id => {
                    let left = (1.0 - part).clamp(0.0, 1.0);
                    passage.open *= left;
                    passage.back *= left;
                }
                Fault::Stuck { joint, open } if *joint == id => {
                    (passage.open, passage.back) = (open.clamp(0.0, 1.0), passage.back.max(*open));
                }
                _ => {}
            }
        }
    }

    /// What a bulb is off by, K.
    pub(crate) fn bulb(&self, id: JointId) -> f64 {
        let of = |fault: &Fault| match fault {
            Fault::Starved { joint, kelvin } if *joint == id => -kelvin,
            Fault::Flooding { joint, kelvin } if *joint == id => *kelvin,
            _ => 0.0,
        };
        self.list.iter().map(of).sum()
    }

    pub(crate) fn leaks(&self, stage: &Stage) -> Vec<Link> {
        let assembly = &stage.assembly;
        let atmosphere = assembly.rigged.atmosphere;
        let hole =
            |plant: &Plant, space: SpaceId, mm2: f64| plant.opening(space, atmosphere, 0.6e-6 * mm2.max(0.0));
        let of = |fault: &Fault| match fault {
            Fault::LeakingPacking { joint, square_mm } => {
                let body = assembly.graph.joint(*joint)?.b;
                Some(hole(&stage.plant, body, *square_mm))
            }
            Fault::LeakingCore { port, square_mm } => {
                let space = match assembly.graph.port(*port)?.on {
                    stemwise_circuit::PortOn::Space(space) => space,
                    stemwise_circuit::PortOn::ServiceValve(valve) => assembly.graph.joint(valve)?.b,
                };
                Some(hole(&stage.plant, space, *square_mm))
            }
            _ => None,
        };
        self.list.iter().filter_map(of).collect()
    }
}

/// Which thing a fault is about.
const fn at(fault: &Fault) -> u32 {
    match fault {
        Fault::Restricted { joint, .. }
        | Fault::Stuck { joint, .. }
        | Fault::Starved { joint, .. }
        | Fault::Flooding { joint, .. }
        | Fault::LeakingReed { joint, .. }
        | Fault::LeakingPacking { joint, .. } => joint.0,
        Fault::Fouled { space, .. } | Fault::Fan { space, .. } | Fault::Frosted { space, .. } => space.0,
        Fault::LeakingCore { port, .. } => port.0,
        Fault::Moisture { space, .. } => space.0,
        Fault::DampAir { place, .. } => place.0,
        Fault::Undercharge { .. } | Fault::Overcharge { .. } | Fault::Air { .. } => 0,
    }
}
