//! Compressors that run, and what is fed to them.

use stemwise_circuit::{Graph, JointId, JointKind, Lineup, Sections, SpaceId, SpaceKind};

use crate::hazard::{Finding, Look, Severity};
use crate::settle::Running;
use crate::{Action, Done, Refrigerant};

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

/// A centre hose that was on a pump, a machine or nitrogen, or on nothing, is full of air when it goes on the cylinder.
pub(crate) fn hose_not_purged(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !matches!(look.action, Some(Action::Charge { .. } | Action::ChargeThrottled { .. })) {
        return;
    }
    let centre = look.assembly.rigged.centre_hose;
    let sections = &look.before.settled.sections;
    let own = look.assembly.circuit.graph.spaces_with_ids();
    let joined = own.map(|(id, _)| id).find(|&space| sections.joined(space, centre));
    let Some(space) = joined.filter(|_| !look.before.state.purged.contains(&centre)) else { return };
    let pressure = look.pressure_before(centre);
    // Into what is evacuated all of it goes; against a pressure the hose's own leaks let some of it out again.
    let severity = if pressure < 0.97 * look.atmosphere() { Severity::Danger } else { Severity::Warning };
    found.push(Finding::new("hose-not-purged", severity).space(space).pressure(pressure));
}

/// So long with the power on a crankcase heater and the fans get before a start beside liquid (assumed; makers ask for up to 12 hours before a first start).
pub(crate) const WARM_MINUTES: u32 = 30;
/// Above this part of the volume beside a compressor's inlet its liquid is more than an evaporator holds while it runs (common practice: a fifth to a quarter).
const FLOODED: f64 = 0.3;

/// The part of the volume between the metering devices and a compressor's inlet that liquid fills while it stands, where that is more than it
/// should be; with the space that holds most of it.
pub(crate) fn flooded(done: &Done, graph: &Graph, compressor: JointId) -> Option<(SpaceId, f64)> {
    let shell = graph.joint(compressor)?.a;
    let sections = short_of(graph, &done.state.lineup);
    let (mut liquid, mut volume, mut most) = (0.0, 0.0, (shell, 0.0));
    for &space in sections.members(sections.of(shell)?) {
        let found = graph.space(space)?;
        let here = found.volume.value.as_m3();
        let level = here * done.settled.liquid_fraction(space);
        let coil = matches!(found.kind, SpaceKind::Evaporator | SpaceKind::ReversibleCoil);
        liquid += level;
        volume += if coil { here } else { 0.0 };
        if level > most.1 {
            most = (space, level);
        }
    }
    let part = liquid / volume.max(1e-30);
    (volume > 0.0 && part > FLOODED).then_some((most.0, part.min(1.0)))
}

pub(crate) fn start_beside_liquid(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::Start(joint)) = look.action else { return };
    let graph = &look.assembly.circuit.graph;
    let is = graph.joint(*joint).is_some_and(|joint| matches!(joint.kind, JointKind::Compressor(_)));
    let stood = !look.before.state.lineup.runs(&look.assembly.graph);
    if !is || !stood || look.before.state.rested >= WARM_MINUTES {
        return;
    }
    if let Some((space, part)) = flooded(look.before, graph, *joint) {
        let mut finding = Finding::new("start-beside-liquid", Severity::Warning).space(space).joint(*joint);
        finding.fraction = Some((part, FLOODED));
        found.push(finding);
    }
}

/// What is joined short of the metering devices: liquid let in before one is metered like any other.
fn short_of_metering(look: &Look<'_>) -> Sections {
    short_of(&look.assembly.graph, &look.before.state.lineup)
}

fn short_of(graph: &Graph, lineup: &Lineup) -> Sections {
    let mut graph = graph.clone();
    for joint in graph.joints.iter_mut().filter(|joint| matches!(joint.kind, JointKind::Metering(_))) {
        joint.kind = JointKind::Check;
    }
    Sections::new(&graph, lineup)
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
