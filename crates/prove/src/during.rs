//! What an action passes through on its way: a stem between its seats, a machine half run down, a hose before its purge.

use stemwise_circuit::{Position, port_reach};
use stemwise_service::{Action, Done, Finding, Look, Running, Severity, Stops, apply};
use stemwise_units::{GaugePressure, Pressure};

use crate::verify::{During, Task};

/// A state on the way, what of the action had been done by then, and what was found there.
pub(crate) struct Moment {
    pub(crate) during: During,
    pub(crate) done: Done,
    pub(crate) found: Vec<Finding>,
}

/// The states between before and after an action, with every rule checked in each.
///
/// Pressures and levels move one way while a machine runs down or gas is let in, so the ends bound what lies between; two states between are
/// looked at all the same.
pub(crate) fn moments(task: &Task<'_>, before: &Done, action: &Action, after: &Done) -> Vec<Moment> {
    let mut found = Vec::new();
    match action {
        Action::Turn { valve, to } => {
            for position in passed(task, before, *valve, *to) {
                let partial = Action::Turn { valve: *valve, to: position };
                found.extend(moment(task, before, &partial, &task.stops, During::Passing(position)));
            }
        }
        Action::AttachHose { hose, port } => found.extend(unpurged(task, before, *hose, *port, after)),
        Action::AdmitNitrogen { to } => {
            let half = GaugePressure::from_pa(to.as_pa() * 0.5);
            let partial = Action::AdmitNitrogen { to: half };
            found.extend(moment(task, before, &partial, &task.stops, During::Part(0.5)));
        }
        Action::Charge { mass, liquid } => {
            let partial = Action::Charge { mass: *mass * 0.5, liquid: *liquid };
            found.extend(moment(task, before, &partial, &task.stops, During::Part(0.5)));
        }
        Action::ChargeThrottled { mass } => {
            let partial = Action::ChargeThrottled { mass: *mass * 0.5 };
            found.extend(moment(task, before, &partial, &task.stops, During::Part(0.5)));
        }
        _ => {}
    }
    for part in [1.0 / 3.0, 2.0 / 3.0] {
        if let Some(stops) = part_way(task, before, action, after, part) {
            found.extend(moment(task, before, action, &stops, During::Part(part)));
        }
    }
    found
}

fn moment(task: &Task<'_>, before: &Done, partial: &Action, stops: &Stops, during: During) -> Option<Moment> {
    let done = apply(task.assembly, task.refrigerant, stops, &before.state, partial).ok()?;
    let found = stemwise_service::hazards(&Look {
        assembly: task.assembly,
        refrigerant: task.refrigerant,
        before,
        action: Some(partial),
        after: &done,
    });
    // Cautions go with the whole action.
    let found = found.into_iter().filter(|finding| finding.severity > Severity::Caution).collect();
    Some(Moment { during, done, found })
}

/// The positions that a stem passes between two others.
fn passed(task: &Task<'_>, before: &Done, valve: stemwise_circuit::JointId, to: Position) -> Vec<Position> {
    let positions = task.assembly.graph.joint(valve).map_or(&[] as &[Position], |joint| joint.positions());
    let at = |wanted: Position| positions.iter().position(|position| *position == wanted);
    let from = before.state.lineup.position(valve).and_then(at);
    let (Some(from), Some(to)) = (from, at(to)) else { return Vec::new() };
    let between = positions.get(from.min(to) + 1..from.max(to)).unwrap_or(&[]);
    if from < to { between.to_vec() } else { between.iter().rev().copied().collect() }
}

/// A hose goes on full of air: into a section below the atmosphere's pressure that air is drawn before anyone can purge it.
fn unpurged(
    task: &Task<'_>,
    before: &Done,
    hose: stemwise_circuit::SpaceId,
    port: stemwise_circuit::PortId,
    after: &Done,
) -> Option<Moment> {
    let space = port_reach(&task.assembly.graph, port, &after.state.lineup)?.of_system()?;
    let pressure = before.settled.pressure(space)?.as_pa();
    let open = before.state.open_spaces.iter().any(|&open| before.settled.sections.joined(open, space));
    let empty_hose = before.state.held(hose).is_some_and(|held| held.refrigerant.as_kg() <= 0.0)
        && !before.state.purged.contains(&hose);
    if pressure >= 0.97 * task.assembly.circuit.atmosphere.as_pa() || open || !empty_hose {
        return None;
    }
    let finding = Finding::new("air-drawn-in", Severity::Danger).space(space).pressure(pressure);
    Some(Moment { during: During::BeforePurge, done: after.clone(), found: vec![finding] })
}

/// The stops that hold a machine part of the way down; none where no machine runs anything down.
fn part_way(task: &Task<'_>, before: &Done, action: &Action, after: &Done, part: f64) -> Option<Stops> {
    let graph = &task.assembly.graph;
    let rigged = &task.assembly.rigged;
    let mut stops = task.stops;
    let between = |space| {
        let from = before.settled.pressure(space)?.as_pa();
        let to = after.settled.pressure(space)?.as_pa();
        (to < from * 0.98).then(|| Pressure::from_pa(from + (to - from) * part))
    };
    let centre = between(rigged.centre_hose);
    if matches!(action, Action::Evacuate { .. }) {
        stops.vacuum = centre?;
        return Some(stops);
    }
    if rigged.recovery_machine.is_some_and(|machine| *action == Action::Start(machine)) {
        stops.recovery = centre?;
        return Some(stops);
    }
    let falling = after.settled.compressors.iter().find(|(_, running)| *running == Running::PumpedDown)?;
    let shell = graph.joint(falling.0)?.a;
    stops.pump_down = between(shell)?.gauge(task.assembly.circuit.atmosphere);
    Some(stops)
}
