//! The usual pump-down, without a search: the supply shut, run down, stopped, each compressor shut off, what is left recovered.
//!
//! Where a plant has many stems and compressors the search may not come to an end; this is then often far better than recovering everything.

use stemwise_circuit::{Joint, JointId, JointKind, PortId, Position, Sections, SpaceId, port_reach};
use stemwise_search::stems::Weights;

use super::skeleton::{Machine, Move, Skeleton};
use super::{Attempt, Optimality, Planning, Way};
use crate::compressors;
use crate::supply::{king_valve, shut_position, supply};

impl Planning<'_> {
    /// The procedure, with how far it may be off a lower bound; none where the plant does not lend itself to it.
    pub(super) fn pumped(&self, at_least: u64) -> Option<Attempt> {
        let skeleton = self.pumped_skeleton()?;
        Some(self.priced_by_physics(&skeleton, at_least))
    }

    /// A skeleton that no search priced, written out and priced by what it comes to.
    pub(super) fn priced_by_physics(&self, skeleton: &Skeleton, at_least: u64) -> Attempt {
        let moves: usize = skeleton.moves.iter().map(|step| self.moves_of(step)).sum();
        let written = self.written(Way::Cheapest, skeleton);
        written.map(|(mut procedure, warnings)| {
            let grams = (procedure.cost.removed_kg + procedure.cost.lost_kg) * 1e3;
            let Weights { gram, step } = Weights::BALANCED;
            procedure.searched_cost = gram * grams.max(0.0) as u64 + step * moves as u64;
            procedure.optimality = Optimality::Within(procedure.searched_cost.saturating_sub(at_least));
            (procedure, warnings)
        })
    }

    /// Moves as the search counts them: a three-connection valve passes its middle.
    fn moves_of(&self, step: &Move) -> usize {
        match step {
            Move::Turn(valve, _) if self.joint(*valve).is_some_and(is_three) => 2,
            // The hose comes off again.
            Move::Attach(..) => 2,
            _ => 1,
        }
    }

    pub(super) fn joint(&self, id: JointId) -> Option<&Joint> {
        self.assembly.circuit.graph.joint(id)
    }

    /// The pump-down as the trade knows it: the receiver's outlet valve shut while every compressor runs, then stopped; none where that does not get
    /// the low side down.
    pub(super) fn by_the_outlet_valve(&self, at_least: u64) -> Option<Attempt> {
        let king = king_valve(self.assembly).filter(|king| self.supply() == Some(*king))?;
        let stops = compressors(&self.assembly.circuit).into_iter().map(Move::Stop);
        let moves: Vec<Move> = core::iter::once(Move::Turn(king, self.shut(king)?)).chain(stops).collect();
        let skeleton =
            Skeleton { critical: vec![false; moves.len()], moves, cost: 0, gap: None, expanded: 0 };
        Some(self.priced_by_physics(&skeleton, at_least))
    }

    fn pumped_skeleton(&self) -> Option<Skeleton> {
        let rigged = &self.assembly.rigged;
        if !self.job.works() || rigged.recovery_machine.is_none() || rigged.vacuum_pump.is_none() {
            return None;
        }
        let supply = self.supply()?;
        let all = compressors(&self.assembly.circuit);
        let guards: Option<Vec<JointId>> = all.iter().map(|&compressor| self.guard_of(compressor)).collect();
        let guards = guards?;
        let port = self.port_after(supply, &guards)?;
        let mut moves = vec![Move::Turn(supply, self.shut(supply)?)];
        moves.extend(all.iter().map(|&compressor| Move::Stop(compressor)));
        for &guard in &guards {
            moves.push(Move::Turn(guard, self.shut(guard)?));
        }
        // A compressor's valves let nothing back: what is shut in behind them comes out through a port of its own.
        for head in all.iter().zip(&guards).filter_map(|(&of, &guard)| self.port_of_head(of, guard)).take(1) {
            moves.extend([Move::Attach(Machine::Recovery, head), Move::Recover(head)]);
        }
        moves.extend([
            Move::Attach(Machine::Recovery, port),
            Move::Recover(port),
            Move::Work,
            Move::Evacuate(port),
        ]);
        for &valve in guards.iter().chain([&supply]) {
            moves.push(Move::Turn(valve, self.joint(valve)?.stem.as_ref()?.normal));
        }
        moves.extend(all.iter().map(|&compressor| Move::Start(compressor)));
        Some(Skeleton { critical: vec![false; moves.len()], moves, cost: 0, gap: None, expanded: 0 })
    }

    /// The port that reads a compressor's discharge side when its discharge valve is shut.
    fn port_of_head(&self, compressor: JointId, guard: JointId) -> Option<PortId> {
        let (head, valve) = (self.joint(compressor)?.b, self.joint(guard)?);
        match valve.kind {
            JointKind::ServiceValve { port, port_stays_with, .. } if valve.end(port_stays_with) == head => {
                port
            }
            _ => None,
        }
    }

    pub(super) fn shut(&self, valve: JointId) -> Option<Position> {
        Some(shut_position(self.joint(valve)?))
    }

    /// The stem that, shut while the compressors run, pumps down what the job is about.
    fn supply(&self) -> Option<JointId> {
        supply(self.assembly, self.refrigerant, &self.stops, &self.start, &self.job.spaces)
    }

    /// A stem beside a compressor that parts it from the charge: on its suction side, or on its discharge side where the suction side is part of
    /// the job.
    fn guard_of(&self, compressor: JointId) -> Option<JointId> {
        let found = self.joint(compressor)?;
        let beside = |space: SpaceId| {
            let joints = self.assembly.circuit.graph.joints_with_ids();
            joints
                .filter(|(_, joint)| joint.stem.is_some() && joint.touches(space))
                .filter(|(_, joint)| !matches!(joint.kind, JointKind::PiercingValve))
                .map(|(id, _)| id)
                .next()
        };
        let (suction, discharge) = (beside(found.a), beside(found.b));
        let about = |valve: JointId| {
            self.joint(valve)
                .is_some_and(|joint| [joint.a, joint.b].iter().all(|side| self.job.spaces.contains(side)))
        };
        if self.job.spaces.contains(&found.a) || self.job.spaces.contains(&found.b) {
            return discharge.filter(|&valve| !about(valve));
        }
        suction.or(discharge)
    }

    /// A port with a core that reads all that the job is about when these stems are shut.
    fn port_after(&self, supply: JointId, guards: &[JointId]) -> Option<PortId> {
        let graph = &self.assembly.graph;
        let mut lineup = self.start.state.lineup.clone();
        lineup.stop_all(graph);
        for &valve in guards.iter().chain([&supply]) {
            lineup.set(graph, valve, self.shut(valve)?);
        }
        let sections = Sections::new(graph, &lineup);
        let reads = |port: PortId| {
            let mut on = lineup.clone();
            on.cores_out.push(port);
            let space = match graph.needle(port).and_then(|needle| graph.joint(needle)) {
                Some(needle) => Some(needle.a),
                None => port_reach(graph, port, &on).and_then(|reach| reach.space),
            };
            space.is_some_and(|space| self.job.spaces.iter().all(|&target| sections.joined(target, space)))
        };
        let ports = self.assembly.circuit.graph.ports_with_ids();
        ports
            .filter(|(id, port)| (port.core || graph.needle(*id).is_some()) && reads(*id))
            .map(|(id, _)| id)
            .next()
    }
}

const fn is_three(joint: &Joint) -> bool {
    matches!(joint.kind, JointKind::ServiceValve { .. })
}
