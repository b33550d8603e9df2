//! Which ports the hoses go on.

use stemwise_circuit::{Assembly, PortId, PortOn};

use super::run::Runs;
use super::skeleton::{Move, Skeleton};
use crate::{Job, JobKind};

/// The manifold has two hoses that go on ports.
const HOSES: usize = 2;

/// The ports to put hoses on before anything else: those that the skeleton uses first, then one on each side for watching the
/// pressures, as long as there are hoses.
pub(super) fn ports_to_fit(assembly: &Assembly, runs: &Runs<'_>, skeleton: &Skeleton) -> Vec<PortId> {
    let mut ports: Vec<PortId> =
        skeleton.ports().into_iter().filter(|&port| runs.can_fit(port)).take(HOSES).collect();
    for low in [true, false] {
        if ports.len() >= HOSES || ports.iter().any(|&port| runs.reads_low_side(port) == low) {
            continue;
        }
        ports.extend(watching_port(assembly, runs, low));
    }
    ports
}

/// The port for watching one side: by the stem moves that it costs, vapour before liquid, in the order of the circuit file.
pub(super) fn watching_port(assembly: &Assembly, runs: &Runs<'_>, low_side: bool) -> Option<PortId> {
    let cost = |on: PortOn| match on {
        PortOn::Space(_) => 0,
        PortOn::ServiceValve(_) => 2,
    };
    assembly
        .circuit
        .graph
        .ports_with_ids()
        .filter(|&(id, _)| runs.can_fit(id) && runs.reads_low_side(id) == low_side)
        .min_by_key(|&(id, port)| (cost(port.on) + if runs.reads_liquid(id) { 3 } else { 0 }, id))
        .map(|(id, _)| id)
}

/// Whether a port is used at or after a move of the skeleton.
pub(super) fn is_used_later(skeleton: &Skeleton, at: usize, port: PortId) -> bool {
    skeleton.moves.iter().skip(at).any(|step| match *step {
        Move::Recover(used) | Move::Evacuate(used) | Move::Attach(_, used) => used == port,
        _ => false,
    })
}

/// Whether the repair is made with a flame: part of the estimate of hazards, so on the safe side where joints may be brazed.
/// A drier or metering device may be flared; the maker's joints decide, so the brazed case is the one that is planned.
pub(super) const fn is_brazed(job: &Job) -> bool {
    matches!(
        job.kind,
        JobKind::ReplaceDrier
            | JobKind::ReplaceCompressor
            | JobKind::ReplaceMetering
            | JobKind::RepairLiquidLine
    )
}
