//! The running balance: where the pressures and the charge are while a compressor circulates.
//!
//! Steady and rough: evaporating and condensing temperatures follow from the places and the coils' approaches, the charge from stated
//! liquid fractions. What the parts with a fixed share leave over is in the receiver, or without one in the condenser.

use stemwise_circuit::{JointId, JointKind, Metering, SpaceId, SpaceKind};
use stemwise_units::{Mass, Temperature};

use crate::section::Load;
use crate::settle::{Marked, Settler};
use crate::{Contents, State};

/// Liquid fractions by volume while running (assumed, common practice): 20 % of an evaporator, 15 % of the lines behind a metering device,
/// 20 % of a condenser that a receiver follows; liquid lines and driers are full.
const EVAPORATOR: f64 = 0.20;
const DISTRIBUTOR: f64 = 0.15;
const CONDENSER: f64 = 0.20;
/// Liquid leaves the condenser this much below its saturation (common practice), K.
const SUBCOOLING: f64 = 4.0;

/// The balance of some spaces.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Balance {
    parts: Vec<Part>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Part {
    space: SpaceId,
    pressure: f64,
    kelvin: f64,
    liquid: f64,
    mass: f64,
    full: f64,
    vapour: f64,
    volume: f64,
    order: u8,
}

impl Balance {
    pub(crate) fn refrigerant(&self) -> f64 {
        self.parts.iter().map(|part| part.mass).sum()
    }

    /// The same for some of its spaces, in the order in which it was asked for.
    pub(crate) fn part(&self, first: usize, count: usize) -> Self {
        Self { parts: self.parts.iter().skip(first).take(count).copied().collect() }
    }

    pub(crate) fn write(
        &self,
        members: &[SpaceId],
        pressures: &mut [f64],
        liquid: &mut [f64],
        state: &mut State,
    ) {
        let gas = |pick: fn(&Contents) -> Mass| {
            members.iter().filter_map(|space| state.held(*space)).map(pick).sum::<Mass>()
        };
        let (air, nitrogen) = (gas(|held| held.air), gas(|held| held.nitrogen));
        let volume: f64 = self.parts.iter().map(|part| part.volume).sum();
        for part in &self.parts {
            let at = part.space.index();
            if let (Some(pressure), Some(level), Some(slot)) =
                (pressures.get_mut(at), liquid.get_mut(at), state.contents.get_mut(at))
            {
                let share = part.volume / volume.max(1e-30);
                *pressure = part.pressure;
                *level = part.liquid;
                *slot = Contents {
                    refrigerant: Mass::from_kg(part.mass),
                    air: air * share,
                    nitrogen: nitrogen * share,
                    temperature: Temperature::from_k(part.kelvin),
                    wet: slot.wet,
                };
            }
        }
    }
}

/// The balance of the spaces of a loop; none where there is no coil to give off heat.
pub(crate) fn balance(
    settler: &Settler<'_>,
    compressor: JointId,
    spaces: &[SpaceId],
    total: &Load,
) -> Option<Balance> {
    let graph = &settler.assembly.graph;
    let high = Marked::new(graph, high_side(settler, compressor, spaces));
    let full = fill(settler, spaces, &high, 1.0, None)?;
    let feed = feed(settler, spaces, &full, total.refrigerant);
    let mut parts = if feed < 1.0 {
        fill(settler, spaces, &high, feed, Some(settler.stop_level(compressor)))?
    } else {
        full
    };
    share_out(&mut parts, total.refrigerant);
    Some(Balance { parts })
}

/// The part of its usual flow that the metering device gets: all of it as long as there is liquid enough for the lines and the coils; through
/// a fixed opening without a receiver before it, in proportion to the charge (assumed: what is missing is missing before the opening).
fn feed(settler: &Settler<'_>, spaces: &[SpaceId], full: &[Part], total: f64) -> f64 {
    let graph = &settler.assembly.graph;
    let vapour: f64 = full.iter().map(|part| part.vapour).sum();
    let lines = full.iter().filter(|part| part.order <= 1);
    let wanted: f64 = lines.map(|part| part.liquid * (part.full - part.vapour)).sum();
    let fed = ((total - vapour).max(0.0) / wanted.max(1e-30)).min(1.0);
    let receiver =
        |&space: &SpaceId| graph.space(space).is_some_and(|found| found.kind == SpaceKind::Receiver);
    let fixed = graph.joints.iter().any(|joint| {
        matches!(joint.kind, JointKind::Metering(Metering::Orifice | Metering::Capillary))
            && spaces.contains(&joint.a)
    });
    let charge = settler.assembly.circuit.charge.value.as_kg();
    if fixed && !spaces.iter().any(receiver) { fed.min(total / charge) } else { fed }
}

/// The parts with what they hold at a part of the usual flow, liquid not yet shared out. The compressor takes the same volume of vapour always,
/// so that the suction pressure falls with the flow, as far as where it stops; the condenser is warmer than its air in proportion to the heat.
fn fill(
    settler: &Settler<'_>,
    spaces: &[SpaceId],
    high: &Marked,
    feed: f64,
    stops: Option<f64>,
) -> Option<Vec<Part>> {
    let coil = |space: SpaceId, on_high: bool, kind: SpaceKind| {
        let wanted = if on_high { SpaceKind::Condenser } else { SpaceKind::Evaporator };
        high.has(space) == on_high && (kind == wanted || kind == SpaceKind::ReversibleCoil)
    };
    let condensing = coil_temperature(settler, spaces, |space, kind| coil(space, true, kind), feed)?;
    let usual = coil_temperature(settler, spaces, |space, kind| coil(space, false, kind), -1.0)?;
    let refrigerant = settler.refrigerant;
    let (hot, usual_cold) = (refrigerant.sat(condensing)?, refrigerant.sat(usual)?);
    let (cold, evaporating) = match stops {
        Some(stop) => {
            let low = (feed * usual_cold.p).max(stop).min(usual_cold.p);
            let kelvin = refrigerant.boiling_at(low).unwrap_or(usual);
            (refrigerant.sat(kelvin).unwrap_or(usual_cold), kelvin)
        }
        None => (usual_cold, usual),
    };
    let subcooled = refrigerant.sat(condensing - SUBCOOLING).unwrap_or(hot);
    let mut parts = Vec::with_capacity(spaces.len());
    for &space in spaces {
        let found = settler.assembly.graph.space(space)?;
        let volume = found.volume.value.as_m3();
        let is_high = high.has(space);
        let (sat, kelvin) = if is_high { (hot, condensing) } else { (cold, evaporating) };
        let (share, order, dense) = share(found.kind, is_high, sat.liquid, subcooled.liquid);
        let vapour = volume * sat.vapour;
        let full = volume * dense;
        let (pressure, mass) = (sat.p, vapour);
        parts.push(Part { space, pressure, kelvin, liquid: share, mass, full, vapour, volume, order });
    }
    Some(parts)
}

/// The part of a space that liquid fills while it runs, in which order it gets it, and how dense that liquid is.
const fn share(kind: SpaceKind, is_high: bool, saturated: f64, subcooled: f64) -> (f64, u8, f64) {
    match kind {
        SpaceKind::LiquidLine | SpaceKind::Drier | SpaceKind::Stub if is_high => (1.0, 0, subcooled),
        SpaceKind::Evaporator => (EVAPORATOR, 1, saturated),
        SpaceKind::ReversibleCoil if !is_high => (EVAPORATOR, 1, saturated),
        SpaceKind::DistributorLine => (DISTRIBUTOR, 1, saturated),
        SpaceKind::Condenser | SpaceKind::ReversibleCoil => (CONDENSER, 2, saturated),
        SpaceKind::Receiver => (0.0, 3, saturated),
        _ => (0.0, 9, saturated),
    }
}

/// Gives each part liquid in order: lines, evaporator, condenser, receiver, the rest of the condenser, then wherever.
fn share_out(parts: &mut [Part], total: f64) {
    let vapour: f64 = parts.iter().map(|part| part.vapour).sum();
    if vapour >= total {
        let scale = total / vapour.max(1e-30);
        // Hardly anything to pump: vapour only, and the pressures with it.
        for part in parts.iter_mut() {
            part.mass = part.vapour * scale;
            part.liquid = 0.0;
            part.pressure *= scale;
        }
        return;
    }
    let mut left = total - vapour;
    let wanted: Vec<f64> = parts.iter().map(|part| part.liquid * (part.full - part.vapour)).collect();
    for order in [0, 1, 2] {
        let sum: f64 =
            parts.iter().zip(&wanted).filter(|(part, _)| part.order == order).map(|(_, wanted)| wanted).sum();
        let scale = if sum > 0.0 { (left / sum).min(1.0) } else { 0.0 };
        for (part, wanted) in parts.iter_mut().zip(&wanted).filter(|(part, _)| part.order == order) {
            part.mass += wanted * scale;
            left -= wanted * scale;
        }
    }
    for order in [3, 2, 1, 9] {
        let room: f64 =
            parts.iter().filter(|part| part.order == order).map(|part| part.full - part.mass).sum();
        let scale = if room > 0.0 { (left / room).clamp(0.0, 1.0) } else { 0.0 };
        for part in parts.iter_mut().filter(|part| part.order == order) {
            let more = (part.full - part.mass) * scale;
            part.mass += more;
            left -= more;
        }
    }
    let sum: f64 = parts.iter().map(|part| part.mass).sum();
    if let Some(largest) = parts.iter_mut().max_by(|a, b| a.mass.total_cmp(&b.mass)) {
        largest.mass += total - sum;
    }
    for part in parts.iter_mut() {
        let liquid = (part.mass - part.vapour) / (part.full - part.vapour).max(1e-30);
        part.liquid = liquid.clamp(0.0, 1.0);
    }
}

/// The spaces that a compressor discharges into, up to the metering devices.
fn high_side(settler: &Settler<'_>, compressor: JointId, spaces: &[SpaceId]) -> Vec<SpaceId> {
    let graph = &settler.assembly.graph;
    let hoses: Vec<(SpaceId, SpaceId)> = settler.hoses().collect();
    let within = Marked::new(graph, spaces.iter().copied());
    let mut high: Vec<SpaceId> = graph.joint(compressor).map(|joint| joint.b).into_iter().collect();
    let mut met = Marked::new(graph, high.iter().copied());
    let mut at = 0;
    while let Some(&space) = high.get(at) {
        at += 1;
        let through = settler.touching.at(space).iter().filter_map(|&id| settler.beyond(id, space));
        let on_it = hoses.iter().filter(|(_, reach)| *reach == space).map(|(hose, _)| *hose);
        high.extend(through.chain(on_it).filter(|&other| within.has(other) && met.add(other)));
    }
    high
}

/// The saturation temperature of the coils that a test picks: for evaporators the coldest, for condensers the hottest.
fn coil_temperature(
    settler: &Settler<'_>,
    spaces: &[SpaceId],
    pick: impl Fn(SpaceId, SpaceKind) -> bool,
    sign: f64,
) -> Option<f64> {
    let of = |&space: &SpaceId| {
        let found = settler.assembly.graph.space(space)?;
        let approach = found.approach?.value.as_k();
        pick(space, found.kind).then(|| settler.kelvin(space) + sign * approach)
    };
    let found = spaces.iter().filter_map(of);
    if sign > 0.0 { found.max_by(f64::total_cmp) } else { found.min_by(f64::total_cmp) }
}
