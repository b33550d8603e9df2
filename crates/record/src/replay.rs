//! The done steps, followed in the model: what is off, eased, out, on or open by now.

use std::collections::BTreeMap;

use stemwise_circuit::{JointId, Position};
use stemwise_prove::{Procedure, Step, Task, read, write};
use stemwise_service::{Action, Cap, Done, State};
use stemwise_units::Mass;

use crate::revision::{Revision, Revisions};
use crate::{NotBack, NotBackKind, StepRef};

/// Where the done steps lead.
pub(crate) struct Replay {
    here: Done,
    /// Which of the done steps could not be followed, and why.
    pub(crate) not_followed: Vec<(usize, String)>,
    /// What went into cylinders and came out of them, kg.
    moved_kg: f64,
}

/// Less than this no service scale tells, kg (common practice).
const WEIGHED: f64 = 0.010;

/// Follows the done steps in the order in which they were done.
pub(crate) fn replay(revisions: &Revisions, done: &[StepRef]) -> Option<Replay> {
    let (current, refrigerant) = (revisions.current()?, revisions.refrigerant.as_ref()?);
    let task = Task::new(&current.assembly, refrigerant, current.job.as_ref());
    let here = task.start(current.procedure.standing);
    let mut replay = Replay { here, not_followed: Vec::new(), moved_kg: 0.0 };
    for (at, step) in done.iter().enumerate() {
        let Some(old) = revisions.of(&step.procedure) else { continue };
        let Some(found) = old.procedure.steps.get(step.step) else { continue };
        match actions(found, old, current) {
            Some(actions) => replay.follow(&task, at, &actions),
            None => replay.not_followed.push((at, "the procedure in force has another rig".into())),
        }
    }
    Some(replay)
}

/// The actions of a step, for the rig of the procedure in force: ids of another rig differ, names don't.
fn actions(step: &Step, old: &Revision, current: &Revision) -> Option<Vec<Action>> {
    if old.assembly.graph == current.assembly.graph {
        return Some(step.actions.clone());
    }
    let alone = Procedure {
        without: current.procedure.without.clone(),
        with: current.procedure.with.clone(),
        cylinders: current.procedure.cylinders,
        steps: vec![step.clone()],
        ..Procedure::default()
    };
    let text = write(&old.assembly, &alone);
    let reading = read(text.as_bytes(), &current.assembly.circuit, current.assembly.rig.clone());
    reading.procedure.map(|read| read.steps.into_iter().flat_map(|step| step.actions).collect())
}

impl Replay {
    fn follow(&mut self, task: &Task<'_>, at: usize, actions: &[Action]) {
        for action in actions {
            match task.act(&self.here, action) {
                Ok(after) => {
                    let moved = |state: &State| state.left.recovered_kg + state.left.charged_kg;
                    self.moved_kg += moved(&after.state) - moved(&self.here.state);
                    self.here = after;
                }
                Err(why) => {
                    self.not_followed.push((at, why));
                    return;
                }
            }
        }
    }

    /// Recovered, charged, lost.
    pub(crate) fn account(&self) -> (Mass, Mass, Mass) {
        let left = &self.here.state.left;
        (Mass::from_kg(left.recovered_kg), Mass::from_kg(left.charged_kg), Mass::from_kg(left.lost_kg))
    }

    /// Whether more refrigerant went into cylinders and came out of them than a scale needs to tell.
    pub(crate) const fn moves_refrigerant(&self) -> bool {
        self.moved_kg > WEIGHED
    }

    /// What does not stand as it belongs.
    pub(crate) fn not_back(&self, current: &Revision) -> Vec<NotBack> {
        let graph = &current.assembly.graph;
        let state = &self.here.state;
        let mut found = Vec::new();
        let mut add = |kind, id: &str, name: &str| {
            found.push(NotBack { kind, id: id.into(), name: name.into(), stem: None, meant: false });
        };
        let port = |id| graph.port(id).map_or(("", ""), |port| (port.id.as_str(), port.name.as_str()));
        let joint = |id| graph.joint(id).map_or(("", ""), |joint| (joint.id.as_str(), joint.name.as_str()));
        for cap in &state.caps_off {
            let (kind, (id, name)) = match *cap {
                Cap::Port(at) => (NotBackKind::PortCap, port(at)),
                Cap::Stem(at) => (NotBackKind::StemCap, joint(at)),
            };
            add(kind, id, name);
        }
        for &at in &state.nuts_eased {
            let (id, name) = joint(at);
            add(NotBackKind::Nut, id, name);
        }
        for &at in &state.lineup.cores_out {
            let (id, name) = port(at);
            add(NotBackKind::Core, id, name);
        }
        for attached in &state.lineup.attached {
            let (id, name) = port(attached.port);
            add(NotBackKind::Hose, id, name);
        }
        for &at in &state.open_spaces {
            let (id, name) = graph.space(at).map_or(("", ""), |space| (&space.id, &space.name));
            add(NotBackKind::OpenSpace, id, name);
        }
        for &at in &state.pierced {
            let (id, name) = port(at);
            add(NotBackKind::PiercingValve, id, name);
        }
        if state.jumpered {
            add(NotBackKind::Jumper, "", "");
        }
        found.extend(self.stems(current));
        found.extend(self.lock(current));
        found
    }

    fn stems(&self, current: &Revision) -> Vec<NotBack> {
        let ends = ends(&current.procedure);
        let own = current.assembly.circuit.graph.joints_with_ids();
        own.filter_map(|(id, joint)| {
            let normal = joint.stem.as_ref()?.normal;
            let now = self.here.state.lineup.position(id)?;
            let meant = ends.get(&id) == Some(&now);
            (now != normal).then(|| NotBack {
                kind: NotBackKind::Stem,
                id: joint.id.clone(),
                name: joint.name.clone(),
                stem: Some((now, normal)),
                meant,
            })
        })
        .collect()
    }

    fn lock(&self, current: &Revision) -> Option<NotBack> {
        let actions = || current.procedure.steps.iter().flat_map(|step| &step.actions);
        let last = actions().rev().find(|action| matches!(action, Action::LockOut | Action::RestorePower));
        self.here.state.locked_out.then(|| NotBack {
            kind: NotBackKind::Lock,
            id: String::new(),
            name: String::new(),
            stem: None,
            meant: last == Some(&Action::LockOut),
        })
    }
}

/// Where a procedure leaves the stems that it turns.
fn ends(procedure: &Procedure) -> BTreeMap<JointId, Position> {
    let turns = procedure.steps.iter().flat_map(|step| &step.actions).filter_map(|action| match action {
        Action::Turn { valve, to } => Some((*valve, *to)),
        _ => None,
    });
    turns.collect()
}
