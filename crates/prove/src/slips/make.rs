//! Which slips there are at a step.

use std::collections::BTreeSet;

use stemwise_circuit::{JointId, JointKind, Position, SpaceId};
use stemwise_service::{Action, Cap, State};
use stemwise_units::GaugePressure;

use super::SlipKind;
use super::judge::{Base, Edit};

/// Above so many stems or ports only the nearest can be mistaken for the right one.
const NEAREST: usize = 24;

/// How far ahead of its time a step may slip.
const AHEAD: usize = 3;

/// Every slip at a step.
pub(super) fn edits(base: &Base<'_>, step: usize) -> Vec<Edit> {
    let mut found = Vec::new();
    let range = base.range(step);
    let actions: Vec<Action> = base.actions(range.clone()).to_vec();
    let Some(before) = base.state(range.start) else { return found };
    let mut push = |kind, done: Vec<Action>| {
        found.push(Edit { step, kind, at: range.start, remove: range.len(), done });
    };
    if actions.iter().any(does_something) {
        push(SlipKind::Skipped, Vec::new());
    }
    for (at, action) in actions.iter().enumerate() {
        if actions.len() > 1 && does_something(action) {
            let kind = if matches!(action, Action::Stop(_)) { SlipKind::LeftOn } else { SlipKind::Forgotten };
            push(kind, without(&actions, at));
        }
        for (kind, done) in wrong(base, before, &actions, at) {
            push(kind, done);
        }
    }
    found.extend(moved(base, step));
    found.extend(started(base, step, before));
    found
}

fn does_something(action: &Action) -> bool {
    !matches!(action, Action::Read)
}

fn without(actions: &[Action], at: usize) -> Vec<Action> {
    actions.iter().enumerate().filter(|(index, _)| *index != at).map(|(_, action)| action.clone()).collect()
}

fn with(actions: &[Action], at: usize, new: Action) -> Vec<Action> {
    let replaced = |(index, action): (usize, &Action)| if index == at { new.clone() } else { action.clone() };
    actions.iter().enumerate().map(replaced).collect()
}

/// What can go wrong with one action.
fn wrong(base: &Base<'_>, before: &State, actions: &[Action], at: usize) -> Vec<(SlipKind, Vec<Action>)> {
    let Some(action) = actions.get(at) else { return Vec::new() };
    let gauge = |to: GaugePressure, part: f64| GaugePressure::from_pa(to.as_pa() * part);
    let one = |kind, new| vec![(kind, with(actions, at, new))];
    match action {
        Action::Turn { valve, to } => {
            let mut found = wrong_positions(base, before, actions, at, *valve, *to);
            let again = |action: &Action| matches!(action, Action::Turn { valve: same, .. } if same == valve);
            if !actions.iter().take(at).any(again) {
                found.extend(wrong_stems(base, before, actions, *valve, *to));
            }
            found
        }
        Action::AttachHose { hose, port } => wrong_ports(base, before, *hose, *port),
        Action::OpenUp { spaces, with_heat } => wrong_parts(base, actions, at, spaces, *with_heat),
        Action::PullCore { port, with_tool: true } => {
            one(SlipKind::NoTool, Action::PullCore { port: *port, with_tool: false })
        }
        Action::AdmitNitrogen { to } if to.as_pa() > 0.0 => {
            one(SlipKind::TooFar, Action::AdmitNitrogen { to: gauge(*to, 1.5) })
        }
        Action::Charge { mass, liquid } if mass.as_g() > 10.0 => {
            one(SlipKind::TooFar, Action::Charge { mass: *mass * 2.0, liquid: *liquid })
        }
        _ => Vec::new(),
    }
}

fn wrong_positions(
    base: &Base<'_>,
    before: &State,
    actions: &[Action],
    at: usize,
    valve: JointId,
    to: Position,
) -> Vec<(SlipKind, Vec<Action>)> {
    let positions = base.graph().joint(valve).map_or(&[] as &[Position], |joint| joint.positions());
    let index = |wanted| positions.iter().position(|position| *position == wanted);
    // A stem may be turned twice in a step: where it stands then is what the step says before.
    let earlier = actions.iter().take(at).rev().find_map(|action| match action {
        Action::Turn { valve: same, to } if *same == valve => Some(*to),
        _ => None,
    });
    let from = earlier.or(before.lineup.position(valve)).and_then(index);
    let (Some(from), Some(goal)) = (from, index(to)) else { return Vec::new() };
    let kind = |position: usize| {
        if (position < from) != (goal < from) || goal == from {
            SlipKind::WrongWay
        } else if position.abs_diff(from) > goal.abs_diff(from) {
            SlipKind::TooFar
        } else {
            SlipKind::NotFarEnough
        }
    };
    let others = positions.iter().enumerate().filter(|(position, _)| *position != from && *position != goal);
    others.map(|(position, &to)| (kind(position), with(actions, at, Action::Turn { valve, to }))).collect()
}

/// The same movement on another stem, with its care.
fn wrong_stems(
    base: &Base<'_>,
    before: &State,
    actions: &[Action],
    valve: JointId,
    to: Position,
) -> Vec<(SlipKind, Vec<Action>)> {
    let graph = base.graph();
    let own = base.task().assembly.circuit.graph.joints.len();
    let of_rig = valve.index() >= own;
    let alike = |other: JointId| {
        let joint = graph.joint(other)?;
        if other == valve || (other.index() >= own) != of_rig || joint.stem.is_none() {
            return None;
        }
        let to = alike(to, joint.positions())?;
        (before.lineup.position(other) != Some(to)).then_some(other)
    };
    let candidates: Vec<JointId> =
        nearest_joints(base, valve).into_iter().filter_map(alike).take(NEAREST).collect();
    candidates
        .into_iter()
        .map(|other| (SlipKind::WrongStem, instead(base, before, actions, valve, other)))
        .collect()
}

fn alike(to: Position, positions: &[Position]) -> Option<Position> {
    let wanted: &[Position] = match to {
        Position::FrontSeated | Position::Shut => &[Position::FrontSeated, Position::Shut],
        Position::Cracked | Position::MidSeated => &[Position::Cracked, Position::Open],
        Position::BackSeated | Position::Open => &[Position::BackSeated, Position::Open],
    };
    positions.iter().copied().find(|position| wanted.contains(position))
}

/// The actions with one valve in place of another; care only as far as it has what is cared for.
fn instead(
    base: &Base<'_>,
    before: &State,
    actions: &[Action],
    valve: JointId,
    other: JointId,
) -> Vec<Action> {
    let joint = base.graph().joint(other);
    let positions = joint.map_or(&[] as &[Position], |joint| joint.positions());
    let stem = joint.and_then(|joint| joint.stem.as_ref());
    let nut = stem.is_some_and(|stem| stem.packing_nut);
    let capped = stem.is_some_and(|stem| stem.cap) && !before.caps_off.contains(&Cap::Stem(other));
    let mut found: Vec<Action> = Vec::new();
    if capped {
        found.push(Action::TakeCapOff(Cap::Stem(other)));
    }
    for action in actions {
        match action {
            Action::TakeCapOff(Cap::Stem(at)) if *at == valve => {}
            Action::EaseNut(at) | Action::TightenNut(at) if *at == valve => {}
            Action::Turn { valve: at, to } if *at == valve => {
                let Some(to) = alike(*to, positions) else { continue };
                let turn = Action::Turn { valve: other, to };
                match nut {
                    true => found.extend([Action::EaseNut(other), turn, Action::TightenNut(other)]),
                    false => found.push(turn),
                }
            }
            same => found.push(same.clone()),
        }
    }
    found
}

/// Every joint, those that are few spaces away first.
fn nearest_joints(base: &Base<'_>, valve: JointId) -> Vec<JointId> {
    let graph = base.graph();
    let Some(joint) = graph.joint(valve) else { return Vec::new() };
    let mut reached: BTreeSet<SpaceId> = [joint.a, joint.b].into();
    let mut found: Vec<JointId> = Vec::new();
    loop {
        let touches = |id: &JointId| {
            graph.joint(*id).is_some_and(|joint| reached.contains(&joint.a) || reached.contains(&joint.b))
        };
        let all = graph.joints_with_ids().map(|(id, _)| id);
        let ring: Vec<JointId> = all.filter(|id| !found.contains(id) && touches(id)).collect();
        if ring.is_empty() || found.len() > 8 * NEAREST {
            return found;
        }
        for joint in ring.iter().filter_map(|&id| graph.joint(id)) {
            reached.extend([joint.a, joint.b]);
        }
        found.extend(ring);
    }
}

fn wrong_ports(
    base: &Base<'_>,
    before: &State,
    hose: SpaceId,
    port: stemwise_circuit::PortId,
) -> Vec<(SlipKind, Vec<Action>)> {
    let others = base.graph().ports_with_ids().filter(|(id, _)| *id != port);
    let free = others.filter(|(id, _)| before.lineup.hose_on(*id).is_none()).take(NEAREST);
    let fit = |(id, found): (stemwise_circuit::PortId, &stemwise_circuit::Port)| {
        let mut done = Vec::new();
        if found.cap && !before.caps_off.contains(&Cap::Port(id)) {
            done.push(Action::TakeCapOff(Cap::Port(id)));
        }
        done.push(Action::AttachHose { hose, port: id });
        (SlipKind::WrongPort, done)
    };
    free.map(fit).collect()
}

/// A neighbour of what is to be opened.
fn wrong_parts(
    base: &Base<'_>,
    actions: &[Action],
    at: usize,
    spaces: &[SpaceId],
    with_heat: bool,
) -> Vec<(SlipKind, Vec<Action>)> {
    let graph = &base.task().assembly.circuit.graph;
    let mut neighbours: BTreeSet<SpaceId> = BTreeSet::new();
    for joint in &graph.joints {
        for (one, other) in [(joint.a, joint.b), (joint.b, joint.a)] {
            let outside =
                graph.space(other).is_none_or(|space| space.kind == stemwise_circuit::SpaceKind::Atmosphere);
            if spaces.contains(&one) && !spaces.contains(&other) && !outside {
                neighbours.insert(other);
            }
        }
    }
    let open = |space| with(actions, at, Action::OpenUp { spaces: vec![space], with_heat });
    neighbours.into_iter().take(NEAREST).map(|space| (SlipKind::WrongPart, open(space))).collect()
}

/// The step before its time.
fn moved(base: &Base<'_>, step: usize) -> Vec<Edit> {
    let own = base.range(step);
    if own.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut passed = 0;
    for earlier in (0..step).rev() {
        let start = base.range(earlier).start;
        if base.range(earlier).is_empty() {
            continue;
        }
        passed += 1;
        let mut done = base.actions(own.clone()).to_vec();
        done.extend_from_slice(base.actions(start..own.start));
        let kind = if passed == 1 { SlipKind::Swapped } else { SlipKind::Early };
        found.push(Edit { step, kind, at: start, remove: own.end - start, done });
        if passed == AHEAD {
            break;
        }
    }
    found
}

/// A machine that stands is started before the step: a compressor at any, a machine of the rig where the step opens the manifold to it.
fn started(base: &Base<'_>, step: usize, before: &State) -> Vec<Edit> {
    let rigged = &base.task().assembly.rigged;
    let hand_valve = |action: &Action| {
        matches!(action, Action::Turn { valve, to: Position::Open }
            if *valve == rigged.low_hand_valve || *valve == rigged.high_hand_valve)
    };
    let open = |valve| before.lineup.position(valve) == Some(Position::Open);
    let opens = base.actions(base.range(step)).iter().any(hand_valve)
        || open(rigged.low_hand_valve)
        || open(rigged.high_hand_valve);
    let hosed = opens && !before.lineup.attached.is_empty();
    let machine = |(id, joint): (JointId, &stemwise_circuit::Joint)| {
        let can = match joint.kind {
            JointKind::Compressor(_) => true,
            JointKind::RecoveryMachine | JointKind::VacuumPump => hosed,
            _ => false,
        };
        (can && !before.lineup.is_active(id)).then_some(id)
    };
    let range = base.range(step);
    let machines = base.graph().joints_with_ids().filter_map(machine).take(NEAREST);
    let starts = |id| *base.actions(range.clone()) != [Action::Start(id)];
    machines
        .filter(|&id| starts(id))
        .map(|id| Edit {
            step,
            kind: SlipKind::StartedEarly,
            at: range.start,
            remove: 0,
            done: vec![Action::Start(id)],
        })
        .collect()
}
