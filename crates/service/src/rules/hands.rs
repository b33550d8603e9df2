//! Stems, nuts, caps, cores, hoses.

use stemwise_circuit::{Fitted, PortOn, Position, port_reach};

use crate::hazard::{Finding, Look, Severity};
use crate::{Action, Cap, State};

/// Opening more than this at once moves liquid and oil with force (common practice).
const FAST: f64 = 5e5;

pub(crate) fn fast_opening(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::Turn { valve, to }) = look.action else { return };
    let from = look.before.state.lineup.position(*valve);
    let opens = matches!(
        (from, to),
        (Some(Position::FrontSeated), Position::BackSeated) | (Some(Position::Shut), Position::Open)
    );
    let Some(joint) = look.assembly.graph.joint(*valve) else { return };
    let difference = (look.pressure_before(joint.a) - look.pressure_before(joint.b)).abs();
    if opens && difference > FAST {
        let pressure = difference + look.atmosphere();
        found.push(Finding::new("fast-opening", Severity::Caution).joint(*valve).pressure(pressure));
    }
}

pub(crate) fn core_pulled(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::PullCore { port, with_tool: false }) = look.action else { return };
    let behind = match look.assembly.graph.port(*port).map(|port| port.on) {
        Some(PortOn::Space(space)) => look.pressure_before(space),
        Some(PortOn::ServiceValve(valve))
            if look.before.state.lineup.position(valve) != Some(Position::BackSeated) =>
        {
            look.assembly.graph.joint(valve).map_or(0.0, |joint| look.pressure_before(joint.a))
        }
        _ => 0.0,
    };
    if behind > 1.03 * look.atmosphere() {
        found.push(Finding::new("core-pulled-open", Severity::Danger).port(*port).pressure(behind));
    }
}

pub(crate) fn packing_nut_tight(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::Turn { valve, .. }) = look.action else { return };
    let nut = look
        .assembly
        .graph
        .joint(*valve)
        .and_then(|joint| joint.stem.as_ref())
        .is_some_and(|stem| stem.packing_nut);
    if nut && !look.before.state.nuts_eased.contains(valve) {
        found.push(Finding::new("packing-nut-tight", Severity::Warning).joint(*valve));
    }
}

pub(crate) fn packing_nut_loose(look: &Look<'_>, found: &mut Vec<Finding>) {
    for &joint in &look.after.state.nuts_eased {
        found.push(Finding::new("packing-nut-loose", Severity::Warning).joint(joint));
    }
}

pub(crate) fn cap_forgotten(look: &Look<'_>, found: &mut Vec<Finding>) {
    for cap in &look.after.state.caps_off {
        let finding = Finding::new("cap-forgotten", Severity::Warning);
        found.push(match *cap {
            Cap::Port(port) => finding.port(port),
            Cap::Stem(joint) => finding.joint(joint),
        });
    }
}

pub(crate) fn core_forgotten(look: &Look<'_>, found: &mut Vec<Finding>) {
    for &port in &look.after.state.lineup.cores_out {
        found.push(Finding::new("core-forgotten", Severity::Warning).port(port));
    }
}

pub(crate) fn piercing_left(look: &Look<'_>, found: &mut Vec<Finding>) {
    for (id, port) in look.assembly.graph.ports_with_ids() {
        if port.fitted == Fitted::Piercing || look.after.state.pierced.contains(&id) {
            found.push(Finding::new("piercing-valve-left", Severity::Warning).port(id));
        }
    }
}

pub(crate) fn jumper_left(look: &Look<'_>, found: &mut Vec<Finding>) {
    if look.after.state.jumpered {
        found.push(Finding::new("jumper-left", Severity::Danger));
    }
}

pub(crate) fn held_open_left(look: &Look<'_>, found: &mut Vec<Finding>) {
    let held = look.after.state.lineup.held_open.iter();
    found.extend(held.map(|joint| Finding::new("held-open-left", Severity::Warning).joint(*joint)));
}

/// A cored port is meant to take a hose under pressure; a service valve's port has to be shut off first.
pub(crate) fn hose_on(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::AttachHose { port, hose }) = look.action else { return };
    let reached = |state: &State| port_reach(&look.assembly.graph, *port, &state.lineup)?.of_system();
    let state = &look.before.state;
    if let Some(pressure) = reached(state).map(|space| look.pressure_before(space))
        && pressure > 1.03 * look.atmosphere()
    {
        found.push(Finding::new("hose-on-live-port", Severity::Warning).port(*port).pressure(pressure));
    }
    // A hose with nothing in it is full of air, and a section under vacuum gives nothing to purge it with. A core opens as the hose goes on.
    let Some(space) = reached(&look.after.state) else { return };
    let pressure = look.pressure_before(space);
    let with_air =
        state.held(*hose).is_some_and(|held| held.refrigerant.as_kg() <= 0.0) && !state.purged.contains(hose);
    let sections = &look.before.settled.sections;
    let open = state.open_spaces.iter().any(|&open| sections.joined(open, space));
    if pressure < 0.97 * look.atmosphere() && with_air && !open {
        found.push(Finding::new("air-drawn-in", Severity::Danger).space(space).pressure(pressure));
    }
}

pub(crate) fn hose_off(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(Action::DetachHose { port }) = look.action else { return };
    let cored = look.assembly.graph.port(*port).is_some_and(|port| port.core);
    let Some(reach) = port_reach(&look.assembly.graph, *port, &look.before.state.lineup) else { return };
    let Some(space) = reach.of_system().filter(|_| !cored) else { return };
    let pressure = look.pressure_before(space);
    if pressure > 1.03 * look.atmosphere() {
        found.push(Finding::new("hose-off-live-port", Severity::Danger).port(*port).pressure(pressure));
    }
}
