//! A pressure regulator that holds refrigerant back from a recovery machine or a pump.

use stemwise_circuit::{Graph, Joint, JointId, JointKind, Regulator, Sections, SpaceId};

use crate::Action;
use crate::hazard::{Finding, Look, Severity};

/// What shows on a gauge as more than nothing left, kg.
const LEFT: f64 = 1e-3;

/// For each regulator that isn't held open by hand and has the machine or pump on one side alone, and by its way of working shuts the other off: the space
/// behind it, and the pressure that stays there.
pub(crate) fn holds_back(look: &Look<'_>, found: &mut Vec<Finding>) {
    let rigged = &look.assembly.rigged;
    let recovers = rigged.recovery_machine.is_some_and(|id| look.action == Some(&Action::Start(id)));
    if !recovers && !matches!(look.action, Some(Action::Evacuate { .. })) {
        return;
    }
    let lineup = &look.before.state.lineup;
    let shut = |(id, joint): (JointId, &Joint)| {
        let regulates = matches!(
            joint.kind,
            JointKind::Regulator { kind: Regulator::EvaporatorPressure | Regulator::CrankcasePressure, .. }
        );
        regulates && !lineup.held_open.contains(&id)
    };
    let graph = &look.assembly.graph;
    if !graph.joints_with_ids().any(shut) {
        return;
    }
    let set = |joint: &Joint| match joint.kind {
        JointKind::Regulator { setting, .. } => setting.absolute(look.assembly.circuit.atmosphere).as_pa(),
        _ => 0.0,
    };
    // Whether it shuts off what is behind it, drawn on from one of its ends: before an evaporator regulator the pressure falls below its setting sooner or later.
    let holds = |joint: &Joint, from: SpaceId| match joint.kind {
        JointKind::Regulator { kind: Regulator::CrankcasePressure, .. } => {
            joint.a == from && look.pressure_before(joint.b) >= set(joint)
        }
        _ => true,
    };
    let centre = rigged.centre_hose;
    let mut opened: Vec<JointId> = Vec::new();
    loop {
        let sections = Sections::new(&without(graph, |one| shut(one) && !opened.contains(&one.0)), lineup);
        let drawn_end =
            |joint: &Joint| [joint.a, joint.b].into_iter().find(|&end| sections.joined(end, centre));
        let mut all = graph.joints_with_ids().filter(|&one| shut(one) && !opened.contains(&one.0));
        let through = all.find(|(_, joint)| drawn_end(joint).is_some_and(|end| !holds(joint, end)));
        if let Some((id, _)) = through {
            opened.push(id);
            continue;
        }
        for (id, joint) in graph.joints_with_ids().filter(|&one| shut(one) && !opened.contains(&one.0)) {
            let Some(end) = drawn_end(joint) else { continue };
            let behind = joint.other(end);
            let pressure = look.pressure_before(behind);
            let evaporator = behind == joint.a;
            let stays = if evaporator { pressure.min(set(joint)) } else { pressure };
            let kg =
                |space: &SpaceId| look.before.state.held(*space).map_or(0.0, |held| held.refrigerant.as_kg());
            let held: f64 = sections.of(behind).map_or(0.0, |at| sections.members(at).iter().map(kg).sum());
            if !sections.joined(behind, centre) && held > LEFT {
                let finding = Finding::new("regulator-holds-back", Severity::Caution).joint(id).space(behind);
                found.push(finding.pressure(stays));
            }
        }
        return;
    }
}

/// The graph without some of its joints.
fn without(graph: &Graph, gone: impl Fn((JointId, &Joint)) -> bool) -> Graph {
    let mut parted = graph.clone();
    for (id, joint) in graph.joints_with_ids().filter(|&one| gone(one)) {
        if let Some(slot) = parted.joints.get_mut(id.index()) {
            // Nothing passes a relief valve.
            let setting = stemwise_units::GaugePressure::from_pa(f64::MAX);
            *slot = Joint { kind: JointKind::Relief { setting }, ..joint.clone() };
        }
    }
    parted
}
