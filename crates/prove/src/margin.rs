//! How far each state stays from its limits: the numbers of the certificate.

use stemwise_circuit::{JointId, SpaceId, SpaceKind};
use stemwise_service::{Done, cylinder_limit};

use crate::verify::Task;

/// What is compared with its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scale {
    /// A space's pressure, Pa absolute, with the highest that it is built for.
    Pressure(SpaceId),
    /// The part of a vessel's volume that liquid fills, with the largest allowed.
    Fill(SpaceId),
    /// Refrigerant in the recovery cylinder, kg, with the most that it may hold.
    Cylinder(SpaceId),
    /// The suction pressure of a running compressor, Pa absolute, with the least: no vacuum.
    Suction(JointId),
}

/// A value and its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// What.
    pub scale: Scale,
    /// The value that came closest.
    pub value: f64,
    /// Its limit, in the same unit.
    pub limit: f64,
}

impl Margin {
    /// How much of the way to the limit has been used up: 1 at the limit.
    pub fn used(&self) -> f64 {
        match self.scale {
            Scale::Suction(_) => self.limit / self.value.max(1e-9),
            _ => self.value / self.limit.max(1e-9),
        }
    }
}

/// The tightest margin of each kind.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tightest(Vec<Margin>);

impl Tightest {
    pub(crate) fn into_vec(self) -> Vec<Margin> {
        self.0
    }

    pub(crate) fn look(&mut self, task: &Task<'_>, done: &Done) {
        let own = task.assembly.graph.spaces_with_ids();
        for (id, space) in own {
            let pressure = done.settled.pressure(id).map_or(0.0, |found| found.as_pa());
            if let Some(design) = space.design.filter(|_| space.kind != SpaceKind::NitrogenCylinder) {
                self.add(Margin { scale: Scale::Pressure(id), value: pressure, limit: design.value.as_pa() });
            }
            if let Some(limit) = space.fill_limit.filter(|_| space.kind != SpaceKind::Cylinder) {
                let value = done.settled.liquid_fraction(id);
                self.add(Margin { scale: Scale::Fill(id), value, limit: limit.value });
            }
        }
        self.cylinder(task, done);
        for (joint, _) in &done.settled.compressors {
            let shell = task.assembly.graph.joint(*joint).map(|found| found.a);
            if let Some(pressure) = shell.and_then(|shell| done.settled.pressure(shell)) {
                let limit = task.assembly.circuit.atmosphere.as_pa();
                self.add(Margin { scale: Scale::Suction(*joint), value: pressure.as_pa(), limit });
            }
        }
    }

    fn cylinder(&mut self, task: &Task<'_>, done: &Done) {
        let (Some(at), Some(cylinder)) = (task.assembly.rigged.cylinder, &task.assembly.rig.cylinder) else {
            return;
        };
        let limit = cylinder_limit(task.refrigerant, cylinder.all_water());
        if let (Some(held), Some(limit)) = (done.state.held(at), limit) {
            let value = held.refrigerant.as_kg();
            self.add(Margin { scale: Scale::Cylinder(at), value, limit: limit.as_kg() });
        }
    }

    fn add(&mut self, margin: Margin) {
        let same = core::mem::discriminant(&margin.scale);
        match self.0.iter_mut().find(|known| core::mem::discriminant(&known.scale) == same) {
            Some(known) if known.used() < margin.used() => *known = margin,
            Some(_) => {}
            None => self.0.push(margin),
        }
    }
}
