//! The plain isolation, without a search: the nearest stems around the part shut, and what is left between them recovered.
//!
//! Where kilograms may have to come out, a search that pays for each gram does not come to an end. This is what a technician does with the
//! high side of a large plant: the low side pumped down and the receiver's outlet shut, the part parted from the compressors, its liquid
//! left to run down into the receiver, the way to the receiver shut, and the vapour that remains recovered.

use stemwise_circuit::{JointId, JointKind, PortId, Sections, SpaceId, SpaceKind, port_reach};

use super::skeleton::{Machine, Move, Skeleton};
use super::{Attempt, Planning};
use crate::compressors;
use crate::supply::king_valve;

/// So many stems are shut around a part at most.
const MOST_STEMS: usize = 16;

/// What lies between the nearest stems.
struct Region {
    spaces: Vec<SpaceId>,
    /// The stems around it, in the order in which they are shut: the lowest last, so that liquid can run out until then.
    stems: Vec<JointId>,
}

impl Planning<'_> {
    /// The procedure, with how far it may be off a lower bound; none where the plant does not lend itself to it.
    pub(super) fn isolated(&self, at_least: u64) -> Option<Attempt> {
        let skeleton = self.isolated_skeleton()?;
        Some(self.priced_by_physics(&skeleton, at_least))
    }

    fn isolated_skeleton(&self) -> Option<Skeleton> {
        let rigged = &self.assembly.rigged;
        if !self.job.works() || rigged.recovery_machine.is_none() || rigged.vacuum_pump.is_none() {
            return None;
        }
        let region = self.nearest()?;
        let port = self.port_of_region(&region)?;
        let all = compressors(&self.assembly.circuit);
        // With the receiver's outlet shut, the low side is pumped down and nothing can flow back there.
        let supply = king_valve(self.assembly).filter(|king| !region.stems.contains(king));
        let mut moves = Vec::new();
        if let Some(king) = supply {
            moves.push(Move::Turn(king, self.shut(king)?));
        }
        moves.extend(all.iter().map(|&compressor| Move::Stop(compressor)));
        for &stem in &region.stems {
            moves.push(Move::Turn(stem, self.shut(stem)?));
        }
        moves.extend([
            Move::Attach(Machine::Recovery, port),
            Move::Recover(port),
            Move::Work,
            Move::Evacuate(port),
        ]);
        for &valve in region.stems.iter().rev().chain(supply.iter()) {
            moves.push(Move::Turn(valve, self.joint(valve)?.stem.as_ref()?.normal));
        }
        moves.extend(all.iter().map(|&compressor| Move::Start(compressor)));
        Some(Skeleton { critical: vec![false; moves.len()], moves, cost: 0, gap: None, expanded: 0 })
    }

    /// What is joined to the job's spaces without a stem between, and what flows into it; none where that holds the receiver, or where no stem
    /// bounds it.
    fn nearest(&self) -> Option<Region> {
        let graph = &self.assembly.circuit.graph;
        let kind = |space: SpaceId| graph.space(space).map(|found| found.kind);
        let mut spaces: Vec<SpaceId> = self.job.spaces.clone();
        spaces.retain(|&space| kind(space).is_some_and(|kind| kind != SpaceKind::Atmosphere));
        let mut around: Vec<JointId> = Vec::new();
        let mut at = 0;
        while let Some(&here) = spaces.get(at) {
            at += 1;
            for (id, joint) in graph.joints_with_ids().filter(|(_, joint)| joint.touches(here)) {
                let other = joint.other(here);
                let crosses = match joint.kind {
                    JointKind::Relief { .. } | JointKind::PiercingValve => false,
                    JointKind::Check | JointKind::Compressor(_) => joint.b == here,
                    _ if joint.stem.is_some() => {
                        around.push(id);
                        false
                    }
                    _ => true,
                };
                if crosses && !spaces.contains(&other) {
                    spaces.push(other);
                }
            }
        }
        let outside = |id: JointId| {
            let joint = graph.joint(id)?;
            [joint.a, joint.b].into_iter().find(|end| !spaces.contains(end))
        };
        let height = |id: JointId| {
            let found = outside(id).and_then(|space| graph.space(space));
            found.map_or(0.0, |space| space.height.value.as_m())
        };
        around.retain(|&id| outside(id).is_some());
        around.sort_by(|&one, &other| height(other).total_cmp(&height(one)).then(one.cmp(&other)));
        around.dedup();
        let holds_receiver = spaces.iter().any(|&space| kind(space) == Some(SpaceKind::Receiver));
        let fits = !around.is_empty() && around.len() <= MOST_STEMS && !holds_receiver;
        fits.then_some(Region { spaces, stems: around })
    }

    /// A port that reads, or draws from, all of the region once its stems are shut: one with a core, or one on a stem that is shut then.
    fn port_of_region(&self, region: &Region) -> Option<PortId> {
        let graph = &self.assembly.graph;
        let mut lineup = self.start.state.lineup.clone();
        lineup.stop_all(graph);
        for (id, joint) in graph.joints_with_ids() {
            if let JointKind::Solenoid { energised_opens, .. } = joint.kind {
                lineup.switch(graph, id, energised_opens);
            }
        }
        for &valve in &region.stems {
            lineup.set(graph, valve, self.shut(valve)?);
        }
        let sections = Sections::new(graph, &lineup);
        let draws = |port: PortId| {
            let mut on = lineup.clone();
            on.cores_out.push(port);
            let space = match graph.needle(port).and_then(|needle| graph.joint(needle)) {
                Some(needle) => Some(needle.a),
                None => port_reach(graph, port, &on).and_then(|reach| reach.space),
            };
            let Some(section) = space.and_then(|space| sections.of(space)) else { return false };
            let upstream = sections.upstream(section, true);
            region.spaces.iter().all(|&at| sections.of(at).is_some_and(|of| upstream.contains(&of)))
        };
        let ports = self.assembly.circuit.graph.ports_with_ids().filter(|(id, _)| draws(*id));
        // A core is there at once; a port on a stem reads the region only when the stem is shut.
        ports.min_by_key(|(id, port)| (!port.core, *id)).map(|(id, _)| id)
    }
}
