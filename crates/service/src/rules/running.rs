//! Compressors that run, and what is fed to them.

use stemwise_circuit::{JointKind, Sections};

use crate::hazard::{Finding, Look, Severity};
use crate::settle::Running;
use crate::{Action, Refrigerant};

pub(crate) fn dead_head(look: &Look<'_>, found: &mut Vec<Finding>) {
    for &(joint, running) in &look.after.settled.compressors {
        if running == Running::DeadHeaded {
            found.push(Finding::new("compressor-against-shut-discharge", Severity::Danger).joint(joint));
        }
    }
}

/// Below 0 on the gauge it is a warning, below half the atmosphere, or with nothing left, a danger.
pub(crate) fn in_vacuum(look: &Look<'_>, found: &mut Vec<Finding>) {
    for &(joint, running) in &look.after.settled.compressors {
        let Some(shell) = look.assembly.graph.joint(joint).map(|found| found.a) else { continue };
        let pressure = look.pressure_after(shell);
        let severity = if running == Running::Empty || pressure < 0.5 * look.atmosphere() {
            Severity::Danger
        } else if pressure < 0.99 * look.atmosphere() && running == Running::PumpedDown {
            Severity::Warning
        } else {
            continue;
        };
        found.push(Finding::new("compressor-in-vacuum", severity).joint(joint).pressure(pressure));
    }
}

pub(crate) fn liquid_into_suction(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::Charge { liquid: true, .. }) = look.action else { return };
    let sections = short_of_metering(look);
    let centre = look.assembly.rigged.centre_hose;
    let lowest =
        look.before.settled.compressors.iter().filter_map(|(joint, _)| look.assembly.graph.joint(*joint));
    for compressor in lowest {
        let low = look.pressure_before(compressor.a);
        let joined = sections.joined(centre, compressor.a);
        // While it circulates both sides are one section: the low side is where the pressure is the suction's.
        if joined && look.pressure_before(centre) <= low * 1.05 {
            found.push(Finding::new("liquid-into-suction", Severity::Danger));
        }
    }
}

/// Where what is charged into stands above the cylinder, it runs the other way.
pub(crate) fn charge_runs_back(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !matches!(look.action, Some(Action::Charge { .. } | Action::ChargeThrottled { .. })) {
        return;
    }
    let rigged = &look.assembly.rigged;
    let held = rigged.cylinder.and_then(|cylinder| look.before.state.held(cylinder));
    let kelvin = held.map_or(293.15, |held| held.temperature.as_k());
    let Ok(cylinder) = look.refrigerant.substance().saturation_raw(kelvin) else { return };
    let pressure = look.pressure_before(rigged.centre_hose);
    // What a gauge can't tell apart is no difference.
    if pressure > cylinder.bubble + 0.1e5 {
        found.push(Finding::new("charge-runs-back", Severity::Danger).pressure(pressure));
    }
}

/// What is joined short of the metering devices: liquid let in before one is metered like any other.
fn short_of_metering(look: &Look<'_>) -> Sections {
    let mut graph = look.assembly.graph.clone();
    for joint in graph.joints.iter_mut().filter(|joint| matches!(joint.kind, JointKind::Metering(_))) {
        joint.kind = JointKind::Check;
    }
    Sections::new(&graph, &look.before.state.lineup)
}

pub(crate) fn blend_from_vapour(look: &Look<'_>, found: &mut Vec<Finding>) {
    if let Some(Action::Charge { liquid: false, .. }) = look.action
        && is_zeotropic(look.refrigerant)
    {
        found.push(Finding::new("blend-from-vapour", Severity::Danger));
    }
}

/// A blend whose bubble and dew points lie apart at 0 °C; of a pure fluid they are one.
pub(crate) fn is_zeotropic(refrigerant: &Refrigerant) -> bool {
    let at = refrigerant.substance().saturation_raw(stemwise_units::Temperature::from_celsius(0.0).as_k());
    at.is_ok_and(|found| found.bubble / found.dew > 1.01)
}
