//! Why no safe way exists: the single changes that would make one.

use stemwise_circuit::{JointId, JointKind, SpaceId, SpaceKind};
use stemwise_units::Temperature;

use super::Planning;
use super::run::Runs;
use super::sketch::{Found, Means, Sketch};
use crate::settle;
use crate::{JobKind, Way};

/// What is missing; each alone would make the job possible.
#[derive(Clone, Debug, PartialEq)]
pub enum Missing {
    /// There is no port to connect to.
    NoPort,
    /// The circuit is sealed, and what the job is for is not done on such a one.
    Sealed(JobKind),
    /// No recovery machine or no usable cylinder at hand.
    Recovery,
    /// No vacuum pump at hand.
    VacuumPump,
    /// The cylinder is too small, full, out of date or holds another refrigerant.
    CylinderRoom,
    /// The receiver or condenser can't take what a pump-down brings, or liquid would be shut in.
    Room,
    /// A core on this space would do.
    PortAt(SpaceId),
    /// A valve in place of this joint would do.
    ValveAt(JointId),
    /// No compressor to pump down with, or nothing that shuts the supply off.
    NothingToPumpInto,
    /// No nitrogen with a regulator at hand.
    Nitrogen,
    /// No core removal tool at hand.
    CoreTool,
    /// The published table gives no target superheat for these temperatures.
    NoTarget,
    /// The system stands below the atmosphere, and above it only where its cold part is warmer than this.
    TooCold(Temperature),
    /// Nothing that was tried by itself helps.
    Unknown,
}

/// So many joints are tried as valves, those of the section first.
const MOST_JOINTS: usize = 40;

impl Planning<'_> {
    /// Single changes that make the job possible, most useful first.
    pub(super) fn missing(&self) -> Vec<Missing> {
        let graph = &self.assembly.circuit.graph;
        let empties = matches!(self.job.kind, JobKind::RecoverAll | JobKind::Decommission);
        if let Some(cold) = self.too_cold().filter(|_| empties) {
            return vec![cold];
        }
        if graph.ports.is_empty() && !self.job.has(JobKind::FitAccess) && self.job.kind != JobKind::PumpDown {
            return vec![Missing::NoPort];
        }
        let way = match self.job.kind {
            JobKind::PumpDown => Way::PumpDownOnly,
            JobKind::RecoverAll | JobKind::Decommission => Way::RecoverWhole,
            _ => Way::Cheapest,
        };
        let base = Means { brief: true, ..Means::of(way) };
        if self.works(&base) {
            // A sequence exists; what forbids it is said with the ways that were tried.
            return vec![Missing::Unknown];
        }
        let mut found = Vec::new();
        let simple = [
            (Means { more_recovery: true, ..base }, Missing::Recovery),
            (Means { more_vacuum: true, ..base }, Missing::VacuumPump),
            (Means { cylinder_unlimited: true, ..base }, Missing::CylinderRoom),
            (Means { no_fill_limits: true, ..base }, Missing::Room),
        ];
        found.extend(simple.into_iter().filter(|(means, _)| self.works(means)).map(|(_, missing)| missing));
        // Where any recovery machine helps, the cylinder's room is the same thing said twice.
        if found.contains(&Missing::CylinderRoom) {
            found.retain(|missing| *missing != Missing::Recovery);
        }
        for &space in &self.job.spaces {
            if self.works(&Means { core_at: Some(space), ..base }) {
                found.push(Missing::PortAt(space));
                break;
            }
        }
        for joint in self.joints_by_distance().into_iter().take(MOST_JOINTS) {
            if self.works(&Means { closable: Some(joint), ..base }) {
                found.push(Missing::ValveAt(joint));
                break;
            }
        }
        if found.is_empty() {
            let none = if self.job.kind == JobKind::PumpDown {
                Missing::NothingToPumpInto
            } else {
                Missing::Unknown
            };
            found.push(none);
        }
        found
    }

    /// A sealed system that is to be pierced while it stands below the atmosphere, with no pump to evacuate the hose first.
    fn too_cold(&self) -> Option<Missing> {
        if self.assembly.rigged.vacuum_pump.is_some() || !self.assembly.circuit.graph.ports.is_empty() {
            return None;
        }
        let first = self.assembly.graph.ports_with_ids().map(|(id, _)| id).next();
        let access = self.job.access(self.assembly).or(first)?;
        let runs = Runs::new(self.assembly, self.refrigerant, self.stops, self.job, false);
        let mut standing = self.start.state.clone();
        standing.lineup.stop_all(&self.assembly.graph);
        let settled = settle(self.assembly, self.refrigerant, &self.stops, &mut standing);
        let found = settled.pressure(runs.reach(access)?)?;
        let atmosphere = self.assembly.circuit.atmosphere;
        let boils =
            self.refrigerant.substance().saturation_at_pressure(atmosphere).ok()?.bubble.temperature();
        (found < atmosphere).then_some(Missing::TooCold(boils))
    }

    fn works(&self, means: &Means) -> bool {
        let found = Sketch::solve(self.assembly, self.refrigerant, &self.start, self.job, means);
        matches!(found, Ok(Found::Skeleton(_)))
    }

    /// Joints without a stem, those at the job's spaces first.
    fn joints_by_distance(&self) -> Vec<JointId> {
        let graph = &self.assembly.circuit.graph;
        let outside =
            |space: SpaceId| graph.space(space).is_none_or(|space| space.kind == SpaceKind::Atmosphere);
        let candidate = |kind: &JointKind| {
            matches!(
                kind,
                JointKind::Pipe
                    | JointKind::Solenoid { .. }
                    | JointKind::Metering(_)
                    | JointKind::Regulator { .. }
            )
        };
        let mut reached: Vec<SpaceId> =
            self.job.spaces.iter().copied().filter(|space| !outside(*space)).collect();
        let mut joints: Vec<JointId> = Vec::new();
        let mut at = 0;
        while let Some(&space) = reached.get(at) {
            at += 1;
            for (id, joint) in
                graph.joints_with_ids().filter(|(_, joint)| joint.a == space || joint.b == space)
            {
                if joint.stem.is_none() && candidate(&joint.kind) && !joints.contains(&id) {
                    joints.push(id);
                }
                let other = if joint.a == space { joint.b } else { joint.a };
                if !reached.contains(&other) && !outside(other) {
                    reached.push(other);
                }
            }
        }
        joints
    }
}
