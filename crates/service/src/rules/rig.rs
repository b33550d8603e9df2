//! Cylinders, nitrogen, vacuum pump, gauges.

use stemwise_circuit::{JointKind, SpaceKind};
use stemwise_units::Pressure;

use crate::Action;
use crate::hazard::{Finding, Look, Severity};
use crate::level::cylinder_limit;

pub(crate) fn cylinder_overfull(look: &Look<'_>, found: &mut Vec<Finding>) {
    let (Some(at), Some(cylinder)) = (look.assembly.rigged.cylinder, &look.assembly.rig.cylinder) else {
        return;
    };
    let Some(held) = look.after.state.held(at) else { return };
    let Some(limit) = cylinder_limit(look.refrigerant, cylinder.all_water()) else { return };
    if held.refrigerant > limit {
        let mut finding = Finding::new("cylinder-overfull", Severity::Danger).space(at);
        (finding.mass, finding.mass_limit) = (Some(held.refrigerant), Some(limit));
        found.push(finding);
    }
}

fn recovers(look: &Look<'_>) -> bool {
    look.assembly.rigged.recovery_machine.is_some_and(|machine| look.action == Some(&Action::Start(machine)))
}

pub(crate) fn cylinder_out_of_date(look: &Look<'_>, found: &mut Vec<Finding>) {
    if recovers(look) && look.assembly.rig.cylinder.as_ref().is_some_and(|cylinder| cylinder.out_of_date) {
        found.push(Finding::new("cylinder-out-of-date", Severity::Danger));
    }
}

pub(crate) fn cylinder_holds_another(look: &Look<'_>, found: &mut Vec<Finding>) {
    let held = look.assembly.rig.cylinder.as_ref().and_then(|cylinder| cylinder.holds.as_ref());
    if recovers(look) && held.is_some_and(|(name, _)| *name != look.assembly.circuit.refrigerant) {
        found.push(Finding::new("cylinder-holds-another", Severity::Danger));
    }
}

/// Only while gas is let in: refrigerant above a design pressure is another matter.
pub(crate) fn test_pressure(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !matches!(look.action, Some(Action::AdmitNitrogen { .. })) {
        return;
    }
    for (id, space) in look.assembly.circuit.graph.spaces_with_ids() {
        let (pressure, before) = (look.pressure_after(id), look.pressure_before(id));
        if let Some(design) = space.design
            && pressure > design.value.as_pa() * (1.0 + 1e-6)
            && pressure > before * 1.001
        {
            let finding = Finding::new("test-pressure-too-high", Severity::Danger).space(id);
            found.push(finding.pressure(pressure).limit(design.value));
        }
    }
}

pub(crate) fn inert_gas(look: &Look<'_>, found: &mut Vec<Finding>) {
    if matches!(look.action, Some(Action::AdmitNitrogen { .. })) {
        found.push(Finding::new("dry-inert-gas-only", Severity::Caution));
    }
}

/// More than half a gram of nitrogen into a part that stood under its refrigerant's pressure with more than ten grams of it.
pub(crate) fn gas_into_charge(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !matches!(look.action, Some(Action::AdmitNitrogen { .. })) {
        return;
    }
    for (id, _) in look.assembly.circuit.graph.spaces_with_ids() {
        let (Some(before), Some(after)) = (look.before.state.held(id), look.after.state.held(id)) else {
            continue;
        };
        let more = after.nitrogen.as_g() - before.nitrogen.as_g();
        let under_pressure = look.pressure_before(id) > 1.5 * look.atmosphere();
        if more > 0.5 && before.nitrogen.as_g() < 0.5 && under_pressure && after.refrigerant.as_g() > 10.0 {
            let mut finding = Finding::new("gas-into-charge", Severity::Danger).space(id);
            finding.mass = Some(after.refrigerant);
            found.push(finding);
            return;
        }
    }
}

pub(crate) fn relief_under_test(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !matches!(look.action, Some(Action::AdmitNitrogen { .. })) {
        return;
    }
    for (id, joint) in look.assembly.graph.joints_with_ids() {
        if let JointKind::Relief { setting } = joint.kind {
            let lifts = setting.absolute(look.assembly.circuit.atmosphere);
            let (pressure, before) = (look.pressure_after(joint.a), look.pressure_before(joint.a));
            if pressure > 0.9 * lifts.as_pa() && pressure > before * 1.001 {
                let finding = Finding::new("relief-under-test", Severity::Danger).joint(id);
                found.push(finding.pressure(pressure).limit(lifts));
            }
        }
    }
}

pub(crate) fn vacuum_pump_on_pressure(look: &Look<'_>, found: &mut Vec<Finding>) {
    let starts =
        look.assembly.rigged.vacuum_pump.is_some_and(|pump| look.action == Some(&Action::Start(pump)));
    if !starts && !matches!(look.action, Some(Action::Evacuate { .. })) {
        return;
    }
    let pressure = look.pressure_before(look.assembly.rigged.centre_hose);
    if pressure > 1.05 * look.atmosphere() {
        found.push(Finding::new("vacuum-pump-on-pressure", Severity::Danger).pressure(pressure));
    }
}

pub(crate) fn vacuum_pump_stopped_open(look: &Look<'_>, found: &mut Vec<Finding>) {
    let stops = look.assembly.rigged.vacuum_pump.is_some_and(|pump| look.action == Some(&Action::Stop(pump)));
    let sections = &look.after.settled.sections;
    let centre = look.assembly.rigged.centre_hose;
    let own = look.assembly.circuit.graph.spaces_with_ids().any(|(space, _)| sections.joined(space, centre));
    if stops && own {
        found.push(Finding::new("vacuum-pump-stopped-open", Severity::Danger));
    }
}

pub(crate) fn gauge_beyond_range(look: &Look<'_>, found: &mut Vec<Finding>) {
    for (id, space) in
        look.assembly.graph.spaces_with_ids().filter(|(_, space)| space.kind == SpaceKind::Hose)
    {
        let pressure = look.pressure_after(id);
        if let Some(range) = space.design
            && pressure > range.value.as_pa()
        {
            let finding = Finding::new("gauge-beyond-range", Severity::Danger).space(id);
            found.push(finding.pressure(pressure).limit(Pressure::from_pa(range.value.as_pa())));
        }
    }
}
