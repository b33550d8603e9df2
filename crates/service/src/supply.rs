//! The stem that cuts the supply of the low side: what is shut for a pump-down.

use stemwise_circuit::{Assembly, Joint, JointId, JointKind, Position, SpaceId, SpaceKind};
use stemwise_units::Pressure;

use crate::props::Refrigerant;
use crate::settle::Stops;
use crate::{Action, Done, apply, compressors};

/// Up to this part above the stop pressure a side counts as pumped down.
const DOWN: f64 = 1.05;
/// The stop pressure is no further above the atmosphere than this part of it.
const LOW: f64 = 1.5;

/// The stem that, shut while the compressors run, gets all of some spaces down to the stop pressure: the receiver's outlet valve, if it does.
pub(crate) fn supply(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    stops: &Stops,
    running: &Done,
    spaces: &[SpaceId],
) -> Option<JointId> {
    let stems = assembly.circuit.graph.joints_with_ids().filter(|(_, joint)| joint.stem.is_some());
    let tried = king_valve(assembly).into_iter().chain(stems.map(|(id, _)| id));
    let shut = |valve: JointId| {
        let to = shut_position(assembly.circuit.graph.joint(valve)?);
        apply(assembly, refrigerant, stops, &running.state, &Action::Turn { valve, to }).ok()
    };
    tried.into_iter().find(|&valve| shut(valve).is_some_and(|done| is_down(assembly, &done, spaces)))
}

/// Whether some spaces stand where the compressors stop.
fn is_down(assembly: &Assembly, done: &Done, spaces: &[SpaceId]) -> bool {
    let shells = compressors(&assembly.circuit).into_iter();
    let shells = shells.filter_map(|id| assembly.circuit.graph.joint(id).map(|joint| joint.a));
    let stopped =
        shells.filter_map(|shell| done.settled.pressure(shell)).map(Pressure::as_pa).fold(0.0, f64::max);
    let down =
        |&space: &SpaceId| done.settled.pressure(space).is_some_and(|found| found.as_pa() <= DOWN * stopped);
    stopped < LOW * assembly.circuit.atmosphere.as_pa() && spaces.iter().all(down)
}

/// Shut, in the words of the valve.
pub(crate) const fn shut_position(joint: &Joint) -> Position {
    match joint.kind {
        JointKind::ServiceValve { .. } => Position::FrontSeated,
        _ => Position::Shut,
    }
}

/// The receiver's outlet valve: the service valve on a receiver from whose line the condenser is not reached without going through the receiver.
pub(crate) fn king_valve(assembly: &Assembly) -> Option<JointId> {
    let graph = &assembly.circuit.graph;
    let is = |space: SpaceId, kinds: &[SpaceKind]| {
        graph.space(space).is_some_and(|found| kinds.contains(&found.kind))
    };
    let on_receiver = graph.joints_with_ids().filter(|(_, joint)| {
        matches!(joint.kind, JointKind::ServiceValve { .. }) && is(joint.b, &[SpaceKind::Receiver])
    });
    let leads_to_metering = |start: SpaceId| {
        let mut reached = vec![start];
        let mut at = 0;
        while let Some(&here) = reached.get(at) {
            at += 1;
            for joint in graph.joints.iter().filter(|joint| joint.a == here || joint.b == here) {
                let other = if joint.a == here { joint.b } else { joint.a };
                if matches!(joint.kind, JointKind::Metering(_)) && joint.a == here {
                    return true;
                }
                let stops = matches!(
                    joint.kind,
                    JointKind::Metering(_) | JointKind::Compressor(_) | JointKind::Relief { .. }
                );
                if !stops
                    && !is(other, &[SpaceKind::Receiver, SpaceKind::Condenser])
                    && !reached.contains(&other)
                {
                    reached.push(other);
                }
            }
        }
        false
    };
    on_receiver.filter(|(_, joint)| leads_to_metering(joint.a)).map(|(id, _)| id).next()
}
