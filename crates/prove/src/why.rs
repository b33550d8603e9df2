//! Why a step is there, why not another way, and what a stem is for: answered by replaying the procedure edited.

use stemwise_circuit::{JointId, JointKind, Position, SpaceId};
use stemwise_service::{Action, Done};
use stemwise_units::{Mass, Pressure};

use crate::goal::Asked;
use crate::procedure::Procedure;
use crate::verify::{Failure, Task, verify};

/// Another way to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instead {
    /// Leave the step out.
    LeftOut,
    /// Leave the step and the next one out.
    LeftOutWithNext,
    /// Leave this stem where it is through the whole procedure.
    StemUntouched(JointId),
    /// Do the step one earlier.
    Earlier,
    /// Do the step one later.
    Later,
}

/// One side of a stem at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// The space at the stem.
    pub space: SpaceId,
    /// Its pressure, absolute.
    pub pressure: Pressure,
    /// The refrigerant in what is joined to it.
    pub refrigerant: Mass,
}

/// A stem's position for some steps, and what is on its two sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StemUse {
    /// The stem.
    pub valve: JointId,
    /// The first step of it, from 0.
    pub from: usize,
    /// The last.
    pub to: usize,
    /// How it stands.
    pub position: Position,
    /// The line side after the step with the largest difference.
    pub line: Side,
    /// The body side then.
    pub body: Side,
}

/// Why a step is there.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// The step, from 0.
    pub step: usize,
    /// What else could be done, and what breaks first if it is; none: nothing does.
    pub instead: Vec<(Instead, Option<Failure>)>,
    /// What the stems that it turns are for.
    pub stems: Vec<StemUse>,
}

/// Explains a step; none where there is no such step.
pub fn why(task: &Task<'_>, procedure: &Procedure, step: usize) -> Option<Why> {
    let actions = &procedure.steps.get(step)?.actions;
    let mut turned: Vec<JointId> = Vec::new();
    for action in actions {
        if let Action::Turn { valve, .. } = action
            && !turned.contains(valve)
        {
            turned.push(*valve);
        }
    }
    let judge = |other: &Procedure| verify(task, other).first_failure();
    let mut instead = Vec::new();
    let mut offer = |what, other: Option<Procedure>| {
        if let Some(other) = other.filter(|other| other.steps != procedure.steps) {
            instead.push((what, judge(&other)));
        }
    };
    if !actions.is_empty() {
        offer(Instead::LeftOut, emptied(procedure, &[step]));
        offer(Instead::LeftOutWithNext, emptied(procedure, &[step, step + 1]));
        for &valve in &turned {
            offer(Instead::StemUntouched(valve), Some(untouched(procedure, valve)));
        }
        offer(Instead::Earlier, step.checked_sub(1).and_then(|before| swapped(procedure, before)));
        offer(Instead::Later, swapped(procedure, step));
    }
    let holds = |action: &Action| matches!(action, Action::HoldOpen(_));
    if actions.iter().any(holds)
        && let Some((_, nothing)) =
            instead.iter_mut().find(|(what, failure)| *what == Instead::LeftOut && failure.is_none())
    {
        *nothing =
            emptied(procedure, &[step]).and_then(|other| left_behind(task, procedure, &other, actions));
    }
    let stems = turned.iter().flat_map(|&valve| uses(task, procedure, valve)).collect();
    Some(Why { step, instead, stems })
}

/// The steps stay, so that their numbers do; their actions go, but for caps that later steps count on.
fn emptied(procedure: &Procedure, steps: &[usize]) -> Option<Procedure> {
    let mut other = procedure.clone();
    for &step in steps {
        other.steps.get_mut(step)?.actions.retain(|action| matches!(action, Action::TakeCapOff(_)));
    }
    Some(other)
}

fn swapped(procedure: &Procedure, step: usize) -> Option<Procedure> {
    let mut other = procedure.clone();
    (step + 1 < other.steps.len()).then(|| other.steps.swap(step, step + 1))?;
    Some(other)
}

fn untouched(procedure: &Procedure, valve: JointId) -> Procedure {
    let mut other = procedure.clone();
    for step in &mut other.steps {
        step.actions.retain(|action| {
            !matches!(action, Action::Turn { valve: at, .. } | Action::EaseNut(at) | Action::TightenNut(at) if *at == valve)
        });
    }
    other
}

/// A solenoid that is not held open parts what lies behind it from the rest, and breaks no rule by that: it is what stays as full as it was that
/// the step is for. A regulator keeps what it is there to keep.
fn left_behind(
    task: &Task<'_>,
    procedure: &Procedure,
    other: &Procedure,
    actions: &[Action],
) -> Option<Failure> {
    let graph = &task.assembly.circuit.graph;
    let held = actions.iter().find_map(|action| match *action {
        Action::HoldOpen(valve) => {
            graph.joint(valve).filter(|joint| matches!(joint.kind, JointKind::Regulator { .. }))
        }
        _ => None,
    });
    let say = if let Some(regulator) = held {
        format!("the {} lets what is behind it come down with the rest", regulator.name)
    } else {
        let (with, without) = (lowest(task, procedure), lowest(task, other));
        let level = task.stops.recovery.as_pa() * EMPTIED;
        let full = graph.spaces_with_ids().zip(with.iter().zip(&without));
        let shut_in = full
            .filter(|(_, (with, without))| **with <= level && **without > level)
            .max_by(|(_, (_, one)), (_, (_, two))| one.total_cmp(two));
        match shut_in {
            Some(((_, space), _)) => {
                format!("the {} is emptied with the rest, and not shut in behind a solenoid valve", space.name)
            }
            None => "both sides of the solenoid valve are emptied, tested and evacuated as one, its seat with them".to_owned(),
        }
    };
    Some(Failure::Missing(Asked { id: "emptied-behind", say, met: false, step: None, needed: true }))
}

/// A hair over the required level is at it.
const EMPTIED: f64 = 1.05;

/// The lowest pressure that each space of the circuit comes to, Pa.
fn lowest(task: &Task<'_>, procedure: &Procedure) -> Vec<f64> {
    let mut here = task.start(procedure.standing);
    let mut lowest = vec![f64::INFINITY; task.assembly.circuit.graph.spaces.len()];
    for action in procedure.steps.iter().flat_map(|step| &step.actions) {
        let Ok(after) = task.act(&here, action) else { break };
        here = after;
        for (slot, pressure) in lowest.iter_mut().zip(&here.settled.pressures) {
            *slot = slot.min(*pressure);
        }
    }
    lowest
}

/// How a stem stands over the procedure, and what is on its two sides where they differ most.
fn uses(task: &Task<'_>, procedure: &Procedure, valve: JointId) -> Vec<StemUse> {
    let mut found: Vec<StemUse> = Vec::new();
    let mut here = task.start(procedure.standing);
    for (at, step) in procedure.steps.iter().enumerate() {
        for action in &step.actions {
            match task.act(&here, action) {
                Ok(after) => here = after,
                Err(_) => return found,
            }
        }
        let Some(new) = in_use(task, &here, valve, at) else { continue };
        let difference = |used: &StemUse| (used.line.pressure - used.body.pressure).as_pa().abs();
        match found.last_mut().filter(|last| last.position == new.position) {
            Some(last) if difference(last) >= difference(&new) => last.to = at,
            Some(last) => *last = StemUse { from: last.from, ..new },
            None => found.push(new),
        }
    }
    found
}

fn in_use(task: &Task<'_>, here: &Done, valve: JointId, step: usize) -> Option<StemUse> {
    let joint = task.assembly.graph.joint(valve)?;
    let side = |space: SpaceId| {
        let section = here.settled.sections.of(space)?;
        let members = here.settled.sections.members(section).iter();
        let refrigerant = members.filter_map(|&member| here.state.held(member)).map(|held| held.refrigerant);
        Some(Side { space, pressure: here.settled.pressure(space)?, refrigerant: refrigerant.sum() })
    };
    let position = here.state.lineup.position(valve)?;
    Some(StemUse { valve, from: step, to: step, position, line: side(joint.a)?, body: side(joint.b)? })
}
