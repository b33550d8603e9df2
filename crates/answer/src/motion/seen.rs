//! What was seen to go wrong in motion: rules that an action broke at its moment, and dangers that came about.

use stemwise_rehearse::{Danger, Rehearsal, Trip};
use stemwise_service::{Action, Finding, Refrigerant, Severity, Stops};

/// Compressors that something stopped between two looks, when its clock is gone already.
fn stopped(now: &Rehearsal) -> Vec<Danger> {
    let joints = now.assembly().graph.joints_with_ids();
    joints
        .filter_map(|(id, _)| match now.compressor(id)?.trip? {
            Trip::HighPressure => Some(Danger::HighCutOut(id)),
            Trip::Motor => Some(Danger::MotorHot(id)),
            // The low-pressure control stops it in the course of every pump-down.
            Trip::LowPressure | Trip::Broken => None,
        })
        .collect()
}

/// What was seen so far. It can be cut back to an earlier moment.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    /// With the number of the action, from 0.
    findings: Vec<(usize, Finding)>,
    /// With its time, s.
    happened: Vec<(f64, Danger)>,
    /// How many actions there were.
    actions: usize,
}

impl Seen {
    /// An action is about to be done: what the rules say to it, at this moment.
    pub(super) fn before(
        &mut self,
        now: &Rehearsal,
        refrigerant: &Refrigerant,
        stops: &Stops,
        action: &Action,
    ) {
        let found = now.hazards(refrigerant, stops, Some(action));
        self.found(found);
    }

    /// The same where it is known already.
    pub(super) fn found(&mut self, found: Vec<Finding>) {
        let grave = found.into_iter().filter(|finding| finding.severity > Severity::Caution);
        self.findings.extend(grave.map(|finding| (self.actions, finding)));
        self.actions += 1;
    }

    /// A moment on the way: what has come about for the first time.
    pub(super) fn moment(&mut self, now: &Rehearsal) {
        let over = now.clocks().into_iter().filter(|clock| clock.seconds <= 0.0).map(|clock| clock.danger);
        for danger in over.chain(stopped(now)) {
            if !self.happened.iter().any(|(_, known)| *known == danger) {
                self.happened.push((now.seconds(), danger));
            }
        }
    }

    /// What came about, with its time in seconds.
    pub(super) fn happened(&self) -> &[(f64, Danger)] {
        &self.happened
    }

    /// What rules said to actions above a caution, with the number of the action.
    pub(super) fn findings(&self) -> &[(usize, Finding)] {
        &self.findings
    }
}
