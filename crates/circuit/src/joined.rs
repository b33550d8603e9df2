//! What is joined: the passages that a lineup opens, the sections that follow, and what each port reads.

use crate::{
    End, Graph, Joint, JointId, JointKind, Lineup, Metering, PortId, PortOn, Position, Regulator, SpaceId,
};

/// How a joint stands at the moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Passage {
    /// Both ways, freely.
    Open,
    /// Both ways, through a small restriction: pressures meet, but slowly.
    Restricted,
    /// Only from the first space to the second.
    OneWay(SpaceId, SpaceId),
    /// Driven from the first space to the second by a machine that runs.
    Pumped(SpaceId, SpaceId),
    /// Not at all.
    Shut,
}

impl Passage {
    /// Whether the two spaces come to one pressure through it.
    pub const fn joins(self) -> bool {
        matches!(self, Self::Open | Self::Restricted)
    }
}

/// How a joint stands in a lineup.
pub fn passage(joint: &Joint, id: JointId, lineup: &Lineup) -> Passage {
    let (a, b) = (joint.a, joint.b);
    let on = lineup.is_active(id);
    match &joint.kind {
        JointKind::Pipe => Passage::Open,
        JointKind::ServiceValve { .. } => match lineup.position(id) {
            Some(Position::FrontSeated) => Passage::Shut,
            _ => Passage::Open,
        },
        JointKind::LineSetValve { .. }
        | JointKind::HandValve { .. }
        | JointKind::PiercingValve
        | JointKind::CylinderValve => {
            if lineup.position(id) == Some(Position::Shut) {
                Passage::Shut
            } else {
                Passage::Open
            }
        }
        JointKind::Check => Passage::OneWay(a, b),
        JointKind::Solenoid { energised_opens, .. } => {
            if on == *energised_opens || lineup.held_open.contains(&id) {
                Passage::Open
            } else {
                Passage::OneWay(b, a)
            }
        }
        JointKind::Metering(Metering::Thermostatic { .. } | Metering::Electronic)
        | JointKind::Metering(Metering::Orifice | Metering::Capillary) => Passage::Restricted,
        JointKind::Regulator { kind: Regulator::HeadPressure, .. } => Passage::Open,
        JointKind::Regulator { .. } => Passage::Restricted,
        JointKind::Relief { .. } => Passage::Shut,
        JointKind::Compressor(_) if on => Passage::Pumped(a, b),
        JointKind::Compressor(_) => Passage::OneWay(a, b),
        JointKind::ReversingPath { open_in } => {
            if *open_in == lineup.mode {
                Passage::Open
            } else {
                Passage::Shut
            }
        }
        JointKind::RecoveryMachine | JointKind::VacuumPump if on => Passage::Pumped(a, b),
        JointKind::RecoveryMachine | JointKind::VacuumPump => Passage::Shut,
        JointKind::NitrogenRegulator => {
            if lineup.position(id) == Some(Position::Open) {
                Passage::OneWay(a, b)
            } else {
                Passage::Shut
            }
        }
    }
}

/// Why a port reads what it reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// Nothing presses the core.
    CoreShut,
    /// A hose with a depressor is on, or the core is out.
    Access,
    /// The port belongs to a plain opening.
    NoCore,
    /// The needle of a bolt-on piercing valve stands so: shut, the port is parted from the system.
    Needle(JointId, Position),
    /// The service valve is back-seated: its port is shut off.
    BackSeated(JointId),
    /// The service valve is off its back seat: its port is joined to line and body.
    OffBackSeat(JointId, Position),
    /// The service valve is front-seated: its port stays with one side.
    FrontSeated(JointId, End),
}

/// What a port is joined to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PortReach {
    /// One space of the section that it reads; none: it reads nothing of the system.
    pub space: Option<SpaceId>,
    /// Through a small restriction.
    pub restricted: bool,
    /// Why.
    pub why: Why,
}

impl PortReach {
    /// One space of the system that it reads; none where a seat, a core or a needle parts it from the system.
    pub const fn of_system(&self) -> Option<SpaceId> {
        match self.why {
            Why::Needle(_, Position::Shut) => None,
            _ => self.space,
        }
    }
}

/// What a port is joined to, for a hose that is on it.
pub fn port_reach(graph: &Graph, port: PortId, lineup: &Lineup) -> Option<PortReach> {
    let found = graph.port(port)?;
    let open = !found.core || lineup.hose_on(port).is_some() || lineup.cores_out.contains(&port);
    if !open {
        return Some(PortReach { space: None, restricted: false, why: Why::CoreShut });
    }
    match found.on {
        PortOn::Space(space) => {
            let why = match needle(graph, space, lineup) {
                Some(needle) => needle,
                None if found.core => Why::Access,
                None => Why::NoCore,
            };
            Some(PortReach { space: Some(space), restricted: found.core, why })
        }
        PortOn::ServiceValve(valve) => Some(service_port_reach(graph.joint(valve)?, valve, lineup)),
    }
}

/// How the needle stands, where a port is on the passage behind one.
fn needle(graph: &Graph, passage: SpaceId, lineup: &Lineup) -> Option<Why> {
    let (id, _) = graph
        .joints_with_ids()
        .find(|(_, joint)| matches!(joint.kind, JointKind::PiercingValve) && joint.b == passage)?;
    lineup.position(id).map(|position| Why::Needle(id, position))
}

fn service_port_reach(joint: &Joint, id: JointId, lineup: &Lineup) -> PortReach {
    match (&joint.kind, lineup.position(id)) {
        (JointKind::ServiceValve { port_stays_with, .. }, Some(Position::FrontSeated)) => PortReach {
            space: Some(joint.end(*port_stays_with)),
            restricted: false,
            why: Why::FrontSeated(id, *port_stays_with),
        },
        (_, Some(position @ (Position::Cracked | Position::MidSeated))) => PortReach {
            space: Some(joint.b),
            restricted: position == Position::Cracked,
            why: Why::OffBackSeat(id, position),
        },
        _ => PortReach { space: None, restricted: false, why: Why::BackSeated(id) },
    }
}

/// The spaces of a graph, parted into those that are joined at the moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sections {
    of: Vec<u32>,
    members: Vec<Vec<SpaceId>>,
    /// The ways that pass or drive fluid in one direction between two sections, as (joint, from, to).
    pub one_way: Vec<(JointId, SpaceId, SpaceId)>,
    /// Those of them that a machine drives at the moment.
    pub pumped: Vec<(JointId, SpaceId, SpaceId)>,
}

impl Sections {
    /// What the lineup joins. Sections are in the order of their first space.
    pub fn new(graph: &Graph, lineup: &Lineup) -> Self {
        let mut union = UnionFind::new(graph.spaces.len());
        let (mut one_way, mut pumped) = (Vec::new(), Vec::new());
        for (id, joint) in graph.joints_with_ids() {
            match passage(joint, id, lineup) {
                Passage::Open | Passage::Restricted => union.join(joint.a, joint.b),
                Passage::OneWay(from, to) => one_way.push((id, from, to)),
                Passage::Pumped(from, to) => {
                    one_way.push((id, from, to));
                    pumped.push((id, from, to));
                }
                Passage::Shut => {}
            }
        }
        for attached in &lineup.attached {
            if let Some(space) = port_reach(graph, attached.port, lineup).and_then(|reach| reach.space) {
                union.join(attached.hose, space);
            }
        }
        let (of, members) = union.parts();
        Self { of, members, one_way, pumped }
    }

    /// How many sections there are.
    pub fn len(&self) -> usize {
        self.members.len()
    }
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.members.is_empty()
    }
    /// The section of a space.
    pub fn of(&self, space: SpaceId) -> Option<usize> {
        self.of.get(space.index()).map(|&section| section as usize)
    }
    /// The spaces of a section, in the graph's order.
    pub fn members(&self, section: usize) -> &[SpaceId] {
        self.members.get(section).map_or(&[], Vec::as_slice)
    }
    /// Whether two spaces are joined.
    pub fn joined(&self, one: SpaceId, other: SpaceId) -> bool {
        self.of(one).is_some() && self.of(one) == self.of(other)
    }
    /// Every section's spaces.
    pub fn iter(&self) -> impl Iterator<Item = &[SpaceId]> {
        self.members.iter().map(Vec::as_slice)
    }
    /// The section of a space and all from which fluid can reach it one way, without the machines if so asked.
    pub fn upstream(&self, of: usize, through_machines: bool) -> Vec<usize> {
        let mut found = vec![of];
        let mut at = 0;
        while let Some(&section) = found.get(at) {
            at += 1;
            for way in &self.one_way {
                let (Some(from), Some(to)) = (self.of(way.1), self.of(way.2)) else { continue };
                let passes = through_machines || !self.pumped.contains(way);
                if passes && to == section && !found.contains(&from) {
                    found.push(from);
                }
            }
        }
        found
    }
}

struct UnionFind(Vec<u32>);

impl UnionFind {
    fn new(len: usize) -> Self {
        Self((0..u32::try_from(len).unwrap_or(u32::MAX)).collect())
    }
    fn root(&mut self, of: u32) -> u32 {
        let mut at = of;
        while let Some(&up) = self.0.get(at as usize) {
            if up == at {
                break;
            }
            let above = self.0.get(up as usize).copied().unwrap_or(up);
            if let Some(slot) = self.0.get_mut(at as usize) {
                *slot = above;
            }
            at = above;
        }
        at
    }
    fn join(&mut self, one: SpaceId, other: SpaceId) {
        let (one, other) = (self.root(one.0), self.root(other.0));
        let (low, high) = (one.min(other), one.max(other));
        if let Some(slot) = self.0.get_mut(high as usize) {
            *slot = low;
        }
    }
    fn parts(mut self) -> (Vec<u32>, Vec<Vec<SpaceId>>) {
        let mut of = Vec::with_capacity(self.0.len());
        let mut members: Vec<Vec<SpaceId>> = Vec::new();
        for space in 0..u32::try_from(self.0.len()).unwrap_or(u32::MAX) {
            let root = self.root(space);
            let section = if root == space {
                members.push(Vec::new());
                u32::try_from(members.len()).unwrap_or(u32::MAX).saturating_sub(1)
            } else {
                of.get(root as usize).copied().unwrap_or(0)
            };
            of.push(section);
            if let Some(list) = members.get_mut(section as usize) {
                list.push(SpaceId(space));
            }
        }
        (of, members)
    }
}
