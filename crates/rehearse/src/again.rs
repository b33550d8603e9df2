//! Once more: oil gives refrigerant off after a pump-down, so that one looks after some minutes, runs down again if the pressure has climbed, and goes on
//! until it stays (common practice).

use stemwise_circuit::{JointId, JointKind};
use stemwise_service::Action;
use stemwise_units::GaugePressure;

use crate::carry::Wait;
use crate::log::Entry;
use crate::rehearsal::Rehearsal;

/// Nobody runs down more often: what still climbs then leaks back.
const MOST: u32 = 4;

impl Rehearsal {
    /// Runs the compressors that hands stopped last once more while the suction stands above a level, and looks again after so many seconds, until it stays.
    /// Nothing where anything else was done since.
    pub(crate) fn run_down_again(&mut self, level: GaugePressure, look: f64, watch: &mut dyn FnMut(&Self)) {
        let stopped = self.just_stopped();
        let above = level.absolute(self.assembly().circuit.atmosphere).as_pa() + self.gauge_error();
        for _ in 0..MOST {
            let suction = |joint: &JointId| {
                let at = self.assembly().graph.joint(*joint).map(|found| found.a.index());
                at.and_then(|at| self.moment.evals.get(at)).map_or(0.0, |eval| eval.p)
            };
            if stopped.iter().map(suction).fold(0.0, f64::max) <= above {
                return;
            }
            if stopped.iter().any(|joint| self.act(&Action::Start(*joint)).is_err()) {
                return;
            }
            self.wait(&Wait::PumpedDown(level), watch);
            if stopped.iter().any(|joint| self.act(&Action::Stop(*joint)).is_err()) {
                return;
            }
            let end = self.seconds() + look;
            while end - self.seconds() > 1e-9 {
                self.advance((end - self.seconds()).min(15.0));
                watch(self);
            }
        }
    }

    /// The compressors that were stopped by hand, with nothing done since but waiting.
    fn just_stopped(&self) -> Vec<JointId> {
        let mut stopped = Vec::new();
        for entry in self.log.entries().iter().rev() {
            match &entry.entry {
                Entry::Act(Action::Stop(joint)) if self.is_compressor(*joint) => stopped.push(*joint),
                Entry::Act(Action::Hold { .. }) | Entry::Advance(_) | Entry::Within { .. } => {}
                _ => break,
            }
        }
        stopped
    }

    fn is_compressor(&self, joint: JointId) -> bool {
        let found = self.assembly().graph.joint(joint);
        found.is_some_and(|found| matches!(found.kind, JointKind::Compressor(_)))
    }
}
