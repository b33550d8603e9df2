//! A lineup: how every stem, coil, compressor and hose stands at one moment.

use std::collections::BTreeSet;

use crate::{Graph, JointId, JointKind, Mode, PortId, Position, SpaceId};

/// A hose of the rig that is on a port.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Attached {
    /// The hose's space.
    pub hose: SpaceId,
    /// The port that it is on.
    pub port: PortId,
}

/// How everything that can be set stands. One entry for each joint of the graph it was made for.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Lineup {
    positions: Vec<Option<Position>>,
    active: Vec<bool>,
    /// How the reversing valve stands.
    pub mode: Mode,
    /// The hoses that are on.
    pub attached: Vec<Attached>,
    /// The ports whose core is out (behind a core removal tool).
    pub cores_out: Vec<PortId>,
    /// The solenoid valves that are held open by a magnet or their manual stem.
    pub held_open: BTreeSet<JointId>,
}

impl Lineup {
    /// Everything as it belongs in normal running; machines of the rig off and their hand valves shut.
    pub fn normal(graph: &Graph) -> Self {
        let positions =
            graph.joints.iter().map(|joint| joint.stem.as_ref().map(|stem| stem.normal)).collect();
        let active = graph.joints.iter().map(|joint| match &joint.kind {
            JointKind::Compressor(compressor) => compressor.normally_running,
            JointKind::Solenoid { normally_energised, .. } => *normally_energised,
            _ => false,
        });
        Self {
            positions,
            active: active.collect(),
            mode: Mode::Cooling,
            attached: Vec::new(),
            cores_out: Vec::new(),
            held_open: BTreeSet::new(),
        }
    }

    /// Where the stem of a joint stands; none if it has no stem.
    pub fn position(&self, joint: JointId) -> Option<Position> {
        self.positions.get(joint.index()).copied().flatten()
    }

    /// Sets a stem. Returns false, and changes nothing, where the joint has no stem or can't stand like that.
    pub fn set(&mut self, graph: &Graph, joint: JointId, position: Position) -> bool {
        let allowed = graph.joint(joint).is_some_and(|found| found.positions().contains(&position));
        if let (true, Some(slot)) = (allowed, self.positions.get_mut(joint.index())) {
            *slot = Some(position);
        }
        allowed
    }

    /// Whether a compressor or machine runs, or a solenoid's coil is energised.
    pub fn is_active(&self, joint: JointId) -> bool {
        self.active.get(joint.index()).copied().unwrap_or(false)
    }

    /// Starts or stops a compressor or machine, or switches a coil. Returns false where there is nothing to switch.
    pub fn switch(&mut self, graph: &Graph, joint: JointId, on: bool) -> bool {
        let switchable = graph.joint(joint).is_some_and(|found| {
            matches!(
                found.kind,
                JointKind::Compressor(_)
                    | JointKind::Solenoid { .. }
                    | JointKind::RecoveryMachine
                    | JointKind::VacuumPump
            )
        });
        if let (true, Some(slot)) = (switchable, self.active.get_mut(joint.index())) {
            *slot = on;
        }
        switchable
    }

    /// The hose on a port, if there is one.
    pub fn hose_on(&self, port: PortId) -> Option<SpaceId> {
        self.attached.iter().find(|attached| attached.port == port).map(|attached| attached.hose)
    }

    /// Stops every compressor.
    pub fn stop_all(&mut self, graph: &Graph) {
        for (id, joint) in graph.joints_with_ids() {
            if matches!(joint.kind, JointKind::Compressor(_)) {
                self.switch(graph, id, false);
            }
        }
    }

    /// Whether any compressor runs.
    pub fn runs(&self, graph: &Graph) -> bool {
        graph
            .joints_with_ids()
            .any(|(id, joint)| matches!(joint.kind, JointKind::Compressor(_)) && self.is_active(id))
    }
}
