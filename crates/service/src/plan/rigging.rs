//! Which ports the hoses go on.

use stemwise_circuit::{Assembly, Graph, Joint, JointKind, PortId, PortOn, SpaceId, SpaceKind};

use super::run::Runs;
use super::skeleton::{Move, Skeleton};
use super::write::is_on_valve;
use crate::{Job, JobKind, Target};

/// The manifold has two hoses that go on ports.
const HOSES: usize = 2;

/// What a port on a space reads: that, or the tube that a piercing valve is on.
fn read_by(graph: &Graph, port: PortId, space: SpaceId) -> SpaceId {
    graph.needle(port).and_then(|needle| graph.joint(needle)).map_or(space, |needle| needle.a)
}

/// The spaces on either side of what a port is on.
fn beside(graph: &Graph, port: PortId) -> Vec<SpaceId> {
    match graph.port(port).map(|port| port.on) {
        Some(PortOn::Space(space)) => vec![read_by(graph, port, space)],
        Some(PortOn::ServiceValve(valve)) => {
            graph.joint(valve).map_or_else(Vec::new, |joint| vec![joint.a, joint.b])
        }
        None => Vec::new(),
    }
}

/// Whether liquid may be let in by a port: between condenser and metering device, where no compressor is next to it.
pub(super) fn takes_liquid(graph: &Graph, port: PortId) -> bool {
    let spaces = beside(graph, port);
    let feeds = |kind| {
        matches!(kind, SpaceKind::Condenser | SpaceKind::Receiver | SpaceKind::LiquidLine | SpaceKind::Drier)
    };
    let kinds = || spaces.iter().filter_map(|&space| graph.space(space)).map(|space| space.kind);
    kinds().any(feeds) && kinds().all(|kind| feeds(kind) || kind == SpaceKind::Stub)
}

/// Whether a port is on the suction side, where a running compressor draws what is let in.
pub(super) fn is_on_suction(graph: &Graph, port: PortId) -> bool {
    beside(graph, port).first().is_some_and(|&space| crate::jobs::is_suction_side(graph, space))
}

/// The ports to put hoses on before anything else: those that the skeleton uses first, then one on each side for watching the
/// pressures, as long as there are hoses.
pub(super) fn ports_to_fit(
    assembly: &Assembly,
    runs: &Runs<'_>,
    skeleton: &Skeleton,
    job: &Job,
) -> Vec<PortId> {
    let mut ports: Vec<PortId> =
        skeleton.ports().into_iter().filter(|&port| runs.can_fit(port)).take(HOSES).collect();
    // A part in several sections, like a compressor between its shut valves, is reached through a port on each.
    for port in job
        .spaces
        .iter()
        .filter(|_| job.spaces.len() > 1)
        .filter_map(|&space| port_staying_with(assembly, space))
    {
        if ports.len() < HOSES && !ports.contains(&port) && runs.can_fit(port) && !skeleton.ports().is_empty()
        {
            ports.push(port);
        }
    }
    for low in [true, false] {
        if ports.len() >= HOSES || ports.iter().any(|&port| runs.reads_low_side(port) == low) {
            continue;
        }
        ports.extend(watching_port(assembly, runs, low));
    }
    ports
}

/// A port that still reads a space when the valves around it are shut.
fn port_staying_with(assembly: &Assembly, space: SpaceId) -> Option<PortId> {
    let graph = &assembly.circuit.graph;
    let stays = |id: PortId, on: PortOn| match on {
        PortOn::Space(at) => read_by(graph, id, at) == space,
        PortOn::ServiceValve(valve) => graph.joint(valve).is_some_and(|joint| match joint.kind {
            JointKind::ServiceValve { port_stays_with, .. } => joint.end(port_stays_with) == space,
            _ => false,
        }),
    };
    graph.ports_with_ids().find(|(id, port)| stays(*id, port.on)).map(|(id, _)| id)
}

/// The port for watching one side: by the stem moves that it costs, vapour before liquid, in the order of the circuit file.
pub(super) fn watching_port(assembly: &Assembly, runs: &Runs<'_>, low_side: bool) -> Option<PortId> {
    let cost = |id: PortId| if is_on_valve(assembly, id) { 2 } else { 0 };
    assembly
        .circuit
        .graph
        .ports_with_ids()
        .filter(|&(id, _)| runs.can_fit(id) && runs.reads_low_side(id) == low_side)
        .min_by_key(|&(id, _)| (cost(id) + if runs.reads_liquid(id) { 3 } else { 0 }, id))
        .map(|(id, _)| id)
}

/// Whether a port is used at or after a move of the skeleton.
pub(super) fn is_used_later(skeleton: &Skeleton, at: usize, port: PortId) -> bool {
    skeleton.moves.iter().skip(at).any(|step| match *step {
        Move::Recover(used) | Move::Evacuate(used) | Move::Attach(_, used) => used == port,
        _ => false,
    })
}

/// Whether the repair is made with a flame: part of the estimate of hazards, so on the safe side where joints may be brazed. A compressor between service valves is
/// unbolted from them.
pub(super) fn is_brazed(assembly: &Assembly, job: &Job) -> bool {
    job.parts().iter().any(|part| {
        let brazed = part.kind.opening().is_some_and(|opening| opening.brazed);
        match part.kind {
            JobKind::ReplaceCompressor => brazed && !is_bolted(assembly, part),
            JobKind::ChangeOil => is_welded(assembly, part),
            _ => brazed,
        }
    })
}

/// Whether the compressor that a job is about hangs between two service valves.
fn is_bolted(assembly: &Assembly, job: &Job) -> bool {
    let Target::Joint(compressor) = job.about else { return false };
    let graph = &assembly.circuit.graph;
    let valve_on = |body| {
        let on = |joint: &Joint| matches!(joint.kind, JointKind::ServiceValve { .. }) && joint.b == body;
        graph.joints.iter().any(on)
    };
    graph.joint(compressor).is_some_and(|found| valve_on(found.a) && valve_on(found.b))
}

/// Whether the compressor that a job is about is a welded shell on brazed tubes: its oil has no drain.
pub(super) fn is_welded(assembly: &Assembly, job: &Job) -> bool {
    let Target::Joint(compressor) = job.about else { return false };
    let found = assembly.circuit.graph.joint(compressor);
    let hermetic = found
        .is_some_and(|found| matches!(&found.kind, JointKind::Compressor(of) if of.motor_in_refrigerant));
    hermetic && !is_bolted(assembly, job)
}
