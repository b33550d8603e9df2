//! Recovering the whole charge: nothing is isolated, so nothing is searched but the ports.

use stemwise_circuit::PortId;
use stemwise_search::stems::Weights;

use super::Planning;
use super::rigging::watching_port;
use super::run::Runs;
use super::skeleton::{Machine, Move, Skeleton};
use super::write::is_on_valve;
use crate::compressors;

impl Planning<'_> {
    /// Where a sealed system that is only to be emptied is pierced: the compressor's process tube, or else the first tube.
    fn way_in(&self) -> Option<PortId> {
        if self.job.works() || !self.assembly.circuit.graph.ports.is_empty() {
            return None;
        }
        self.assembly.graph.ports_with_ids().map(|(id, _)| id).next()
    }

    /// A hose on each side, the charge out through both, the work, and the vacuum; none where there is no port, or no machine for it.
    ///
    /// Its price is that of the search: grams that leave, and so much for each move.
    pub(super) fn whole(&self) -> Option<Skeleton> {
        let rigged = &self.assembly.rigged;
        rigged.recovery_machine?;
        let works = self.job.works();
        if works && rigged.vacuum_pump.is_none() {
            return None;
        }
        let runs = Runs::new(self.assembly, self.refrigerant, self.stops, self.job, false);
        let mut ports: Vec<_> =
            [true, false].into_iter().filter_map(|low| watching_port(self.assembly, &runs, low)).collect();
        ports.dedup();
        if let Some(access) = self.job.access(self.assembly).or_else(|| self.way_in()) {
            ports = vec![access];
        }
        let first = *ports.first()?;
        let all = compressors(&self.assembly.circuit);
        let mut moves: Vec<Move> = all.iter().map(|&compressor| Move::Stop(compressor)).collect();
        moves.extend(ports.iter().map(|&port| Move::Attach(Machine::Recovery, port)));
        moves.extend(ports.iter().map(|&port| Move::Recover(port)));
        if works {
            moves.extend([Move::Work, Move::Evacuate(first)]);
            moves.extend(all.iter().map(|&compressor| Move::Start(compressor)));
        }
        let turns = 2 * ports.iter().filter(|port| is_on_valve(self.assembly, **port)).count();
        let (gram, step) = (Weights::BALANCED.gram, Weights::BALANCED.step);
        let grams = (self.assembly.circuit.charge.value.as_g()).max(0.0) as u64;
        let steps = (moves.len() + ports.len() + turns) as u64;
        let critical = vec![false; moves.len()];
        Some(Skeleton { moves, critical, cost: gram * grams + step * steps, gap: None, expanded: 0 })
    }
}
