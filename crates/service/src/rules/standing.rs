//! What shut sections and vessels hold.

use stemwise_circuit::{JointKind, SpaceId, SpaceKind};
use stemwise_units::{Pressure, Temperature};

use crate::hazard::{Finding, Look, Severity};
use crate::settle::Running;

/// A shut section that is liquid-full at its hottest likely temperature.
pub(crate) fn liquid_shut_in(look: &Look<'_>, found: &mut Vec<Finding>) {
    let sections = &look.after.settled.sections;
    for members in sections.iter() {
        if members.len() == look.assembly.circuit.graph.spaces.len() || has_way_out(look, members) {
            continue;
        }
        let Some((mass, volume, hottest, fullest)) = weigh(look, members) else { continue };
        let hot = hottest.as_k().min(0.97 * look.refrigerant.substance().critical_temperature().as_k());
        let Some(sat) = look.refrigerant.sat(hot) else { continue };
        if volume > 0.0 && mass / volume > sat.liquid {
            let pressure = look.refrigerant.liquid_full_pressure(hot, mass / volume);
            let mut finding = Finding::new("liquid-shut-in", Severity::Danger)
                .space(fullest)
                .pressure(pressure.max(sat.p).min(crate::section::HIGHEST));
            finding.temperature = Some(Temperature::from_k(hot));
            found.push(finding);
        }
    }
}

/// The atmosphere, a relief valve, or a machine that draws from it.
fn has_way_out(look: &Look<'_>, members: &[SpaceId]) -> bool {
    let graph = &look.assembly.graph;
    let vessel = |space: &SpaceId| {
        graph.space(*space).is_none_or(|space| {
            matches!(space.kind, SpaceKind::Atmosphere | SpaceKind::NitrogenCylinder | SpaceKind::Cylinder)
        })
    };
    let relieved = graph
        .joints
        .iter()
        .any(|joint| matches!(joint.kind, JointKind::Relief { .. }) && members.contains(&joint.a));
    let passes_on = look.after.settled.sections.one_way.iter().any(|(_, from, _)| members.contains(from));
    relieved || passes_on || members.iter().any(vessel)
}

/// Mass, volume, hottest likely temperature, and the space with the most liquid.
fn weigh(look: &Look<'_>, members: &[SpaceId]) -> Option<(f64, f64, Temperature, SpaceId)> {
    let (mut mass, mut volume) = (0.0, 0.0);
    let mut hottest = Temperature::from_k(0.0);
    for &space in members {
        let found = look.assembly.graph.space(space)?;
        mass += look.after.state.held(space).map_or(0.0, |held| held.refrigerant.as_kg());
        volume += found.volume.value.as_m3();
        let place = found.place.or(Some(stemwise_circuit::PlaceId(0)))?;
        let high = look.assembly.circuit.places.get(place.index()).map(|place| place.temperature.high);
        hottest = hottest.max(high.unwrap_or(hottest));
    }
    let level = |space: &&SpaceId| look.after.settled.liquid_fraction(**space);
    let fullest = members.iter().max_by(|a, b| level(a).total_cmp(&level(b)))?;
    Some((mass, volume, hottest, *fullest))
}

pub(crate) fn receiver_overfull(look: &Look<'_>, found: &mut Vec<Finding>) {
    for (id, space) in look.assembly.circuit.graph.spaces_with_ids() {
        let level = look.after.settled.liquid_fraction(id);
        if let Some(limit) = space.fill_limit
            && level > limit.value + 1e-9
        {
            let mut finding = Finding::new("receiver-overfull", Severity::Danger).space(id);
            finding.fraction = Some((level, limit.value));
            found.push(finding);
        }
    }
}

/// More than 95 % of a condenser while its compressor still works on it, or more liquid than condenser, receiver and liquid lines hold: it
/// would stand in the discharge line.
pub(crate) fn condenser_full(look: &Look<'_>, found: &mut Vec<Finding>) {
    if look.after.settled.compressors.is_empty() {
        return;
    }
    backs_up(look, found);
    for (id, space) in look.assembly.circuit.graph.spaces_with_ids() {
        let level = look.after.settled.liquid_fraction(id);
        let high = look.pressure_after(id) > 1.05 * lowest_suction(look);
        if matches!(space.kind, SpaceKind::Condenser | SpaceKind::ReversibleCoil) && level > 0.95 && high {
            let mut finding = Finding::new("condenser-full", Severity::Danger).space(id);
            finding.fraction = Some((level, 0.95));
            found.push(finding);
        }
    }
}

fn backs_up(look: &Look<'_>, found: &mut Vec<Finding>) {
    let graph = &look.assembly.circuit.graph;
    let sections = &look.after.settled.sections;
    for &(joint, running) in &look.after.settled.compressors {
        let head = graph.joint(joint).and_then(|joint| sections.of(joint.b));
        let Some(head) = head.filter(|_| running == Running::PumpedDown) else { continue };
        let (mut liquid, mut room) = (0.0, 0.0);
        let mut condenser = None;
        for &member in sections.members(head) {
            let Some(space) = graph.space(member) else { continue };
            let volume = space.volume.value.as_m3();
            liquid += volume * look.after.settled.liquid_fraction(member);
            match space.kind {
                SpaceKind::Condenser | SpaceKind::ReversibleCoil => condenser = condenser.or(Some(member)),
                SpaceKind::Receiver | SpaceKind::LiquidLine | SpaceKind::Drier | SpaceKind::Stub => {}
                _ => continue,
            }
            room += volume;
        }
        if let Some(condenser) = condenser.filter(|_| liquid > 0.95 * room) {
            let mut finding = Finding::new("condenser-full", Severity::Danger).space(condenser);
            finding.fraction = Some((liquid / room.max(1e-30), 0.95));
            found.push(finding);
            return;
        }
    }
}

fn lowest_suction(look: &Look<'_>) -> f64 {
    let shells =
        look.after.settled.compressors.iter().filter_map(|(joint, _)| look.assembly.graph.joint(*joint));
    let pressures = shells.map(|joint| look.after.settled.pressure(joint.a).map_or(0.0, Pressure::as_pa));
    pressures.fold(f64::INFINITY, f64::min)
}
