//! The predicates of the hazard rules, by what they look at.

pub(crate) mod hands;
pub(crate) mod opening;
pub(crate) mod push_pull;
pub(crate) mod regulator;
pub(crate) mod rig;
pub(crate) mod running;
pub(crate) mod standing;

use stemwise_circuit::SpaceId;
use stemwise_units::Pressure;

use crate::apply::Done;
use crate::hazard::Look;

impl Look<'_> {
    pub(crate) fn atmosphere(&self) -> f64 {
        self.assembly.circuit.atmosphere.as_pa()
    }
    pub(crate) fn pressure_before(&self, space: SpaceId) -> f64 {
        pressure(self.before, space)
    }
    pub(crate) fn pressure_after(&self, space: SpaceId) -> f64 {
        pressure(self.after, space)
    }
}

fn pressure(done: &Done, space: SpaceId) -> f64 {
    done.settled.pressure(space).map_or(0.0, Pressure::as_pa)
}
