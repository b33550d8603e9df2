//! Push–pull: a recovery machine that draws vapour from the cylinder and pushes it into the system, so that the system's liquid runs into the cylinder.

use stemwise_circuit::{Assembly, JointKind, Lineup, Sections, SpaceId, port_reach};

use crate::State;

/// What is joined without passing a metering device or a regulator: through one liquid runs so slowly that nothing is gained.
fn sections(assembly: &Assembly, lineup: &Lineup) -> Sections {
    let mut graph = assembly.graph.clone();
    let slow = |kind: &JointKind| matches!(kind, JointKind::Metering(_) | JointKind::Regulator { .. });
    for joint in graph.joints.iter_mut().filter(|joint| slow(&joint.kind)) {
        joint.kind = JointKind::Check;
    }
    Sections::new(&graph, lineup)
}

/// Whether the way round is open: what the machine pushes in at one hose can press liquid out at the other, into the cylinder.
pub(crate) fn goes_round(assembly: &Assembly, lineup: &Lineup) -> bool {
    let Some(found) = assembly.rigged.push_pull else { return false };
    let Some(cylinder) = assembly.rigged.cylinder else { return false };
    let sections = sections(assembly, lineup);
    let hoses = [found.push_hose, found.liquid_hose];
    let on = |hose: &SpaceId| lineup.attached.iter().any(|attached| attached.hose == *hose);
    hoses.iter().all(on)
        && sections.joined(found.liquid_hose, cylinder)
        && sections.joined(found.push_hose, found.liquid_hose)
}

/// Where liquid runs while the machine runs and the way round is open: the cylinder, and the spaces whose liquid comes. The machine keeps the cylinder's
/// pressure below theirs.
pub(crate) fn drawn(assembly: &Assembly, state: &State) -> Option<(SpaceId, Vec<SpaceId>)> {
    let found = assembly.rigged.push_pull?;
    let cylinder = assembly.rigged.cylinder?;
    if !state.lineup.is_active(found.machine) || !goes_round(assembly, &state.lineup) {
        return None;
    }
    let sections = sections(assembly, &state.lineup);
    let section = sections.of(cylinder)?;
    let members = sections.members(section).iter().copied().filter(|&space| space != cylinder);
    Some((cylinder, members.collect()))
}

/// The space of the system that the liquid hose is joined to.
pub(crate) fn liquid_comes_from(assembly: &Assembly, lineup: &Lineup) -> Option<SpaceId> {
    let found = assembly.rigged.push_pull?;
    let attached = lineup.attached.iter().find(|attached| attached.hose == found.liquid_hose)?;
    port_reach(&assembly.graph, attached.port, lineup)?.of_system()
}
