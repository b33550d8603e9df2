//! From a circuit to the pieces of its balance, each sized so that the design point is met.

use core::f64::consts::PI;

use stemwise_circuit::{Assembly, JointId, JointKind, Lineup, Metering, Regulator, SpaceId, SpaceKind};
use stemwise_thermo::Substance;

use super::curves::{Curves, Edges};
use super::look::{condense, wet_heat};
use super::{SteadyAsk, SteadyError, SteadyFaults, SteadyTuning};
use crate::design::{Assumed, SUBCOOLING, SUPERHEAT, guess_capacity};
use crate::equipment::compressor::Displacement;
use crate::equipment::exchange::{AIR_CP, CoilInside, CoilOutside};
use crate::equipment::flow::{Capillary, Opening};
use crate::equipment::metering::{Charge, Thermostatic};
use crate::plant::Normal;

/// Coefficients inside, W/(m² K): middle values of the textbooks' ranges in [`exchange`](crate::equipment::exchange).
const BOILING: f64 = 2500.0;
const CONDENSING: f64 = 2500.0;
const VAPOUR: f64 = 150.0;
const LIQUID: f64 = 500.0;
/// The part of a coil's resistance that is on the air's side, and by how much of its way to the refrigerant's temperature the air comes (common
/// practice).
const OUTSIDE: f64 = 0.8;
const EFFECT: f64 = 0.6;
/// The part of the compressor's power that its shell gives off (assumed; measured hermetics lose 5 to 20 %).
pub(super) const SHELL: f64 = 0.10;
/// Insulated suction line, W/(m² K) (common practice).
const INSULATED: f64 = 2.5;
/// A thermostatic valve: static superheat and that from there to fully open, K (common practice).
const STATIC: f64 = 3.5;
const STROKE: f64 = 3.75;
/// An electronic valve holds its superheat within this, K.
const HELD: f64 = 0.5;
/// A valve stands this far open at the design point (common practice).
const OPEN: f64 = 2.0 / 3.0;
/// What passes a shut valve, of its full flow; one with a bleed (as in motion).
const SEAT: f64 = 0.004;
const BLEED: f64 = 0.05;
/// A capillary's length, m (common practice); its bore follows.
const CAPILLARY: f64 = 2.0;

/// A coil.
#[derive(Clone, Debug)]
pub(super) struct Coil {
    pub(super) spaces: Vec<SpaceId>,
    pub(super) outside: CoilOutside,
    pub(super) inside: CoilInside,
    pub(super) volume: f64,
    /// The air onto it at the design point, K.
    pub(super) air_k: f64,
}

/// What lets the refrigerant into an evaporator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Meter {
    /// Fixed.
    Orifice(Opening),
    /// Fixed.
    Capillary(Capillary),
    /// By superheat.
    Valve(Thermostatic),
    /// Holds a superheat.
    Electronic { opening: Opening, target: f64, held: f64, at: f64, leak: f64 },
}

impl Meter {
    /// Of its opening, m.
    const fn bore(&self) -> f64 {
        match self {
            Self::Orifice(opening) | Self::Electronic { opening, .. } => opening.hydraulic_diameter_m,
            Self::Valve(valve) => valve.opening.hydraulic_diameter_m,
            Self::Capillary(capillary) => capillary.tube.bore_m,
        }
    }
}

/// An evaporator with what feeds it.
#[derive(Clone, Debug)]
pub(super) struct Feed {
    pub(super) coil: Coil,
    pub(super) meter: Meter,
    /// What an evaporator pressure regulator keeps, Pa.
    pub(super) floor: Option<f64>,
}

/// Volumes by what they hold in steady running, m³, with the spaces.
#[derive(Clone, Debug, Default)]
pub(super) struct Held {
    pub(super) volume: f64,
    pub(super) spaces: Vec<(SpaceId, f64)>,
}

impl Held {
    fn add(&mut self, space: SpaceId, volume: f64) {
        self.volume += volume;
        self.spaces.push((space, volume));
    }
}

/// How the metering devices of a circuit work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SteadyKind {
    /// All fixed.
    Fixed,
    /// Thermostatic or electronic.
    BySuperheat,
}

/// A circuit ready for its balance.
#[derive(Clone, Debug)]
pub struct SteadyPlant {
    pub(super) curves: Curves,
    pub(super) condenser: Coil,
    pub(super) feeds: Vec<Feed>,
    pub(super) machine: Displacement,
    pub(super) motor_in_refrigerant: bool,
    pub(super) discharge: Held,
    pub(super) suction: Held,
    pub(super) liquid: Held,
    pub(super) accumulator: Held,
    pub(super) receiver: Held,
    pub(super) suction_w_per_k: f64,
    pub(super) crankcase: Option<f64>,
    pub(super) head: Option<f64>,
    /// Room that air takes up in the high side, m³.
    pub(super) air_room: f64,
    pub(super) nameplate: f64,
    /// What the nameplate has more than the volumes take at the design point, kg; 0 with a receiver.
    pub(super) elsewhere: f64,
    pub(super) start: [f64; 3],
    pub(super) at_design: SteadyAsk,
    assumed: Vec<Assumed>,
}

/// The design point.
struct Point {
    outdoor: f64,
    p_low: f64,
    p_high: f64,
    high: Edges,
    h_liquid: f64,
    subcooling: f64,
}

/// An evaporator as it runs at the design point.
struct Sized {
    feed: Feed,
    flow: f64,
    h_out: f64,
}

impl SteadyPlant {
    /// Sizes the pieces of a circuit.
    ///
    /// # Errors
    /// [`SteadyError`] where the circuit lacks a piece, or where its design point can't be met.
    pub fn new(substance: &Substance, assembly: &Assembly) -> Result<Self, SteadyError> {
        let mut assumed = Vec::new();
        let parts = Parts::new(assembly)?;
        let curves = Curves::new(substance)?;
        let capacity = assembly
            .circuit
            .capacity
            .map_or_else(|| guess_capacity(assembly, &mut assumed), stemwise_units::Power::as_w);
        let point = design_point(assembly, &parts, &curves, substance)?;
        let all: f64 = parts.evaporators.iter().map(|(space, _)| volume(assembly, *space)).sum();
        let sized = parts
            .evaporators
            .iter()
            .map(|(space, joint)| {
                let duty = capacity * volume(assembly, *space) / all.max(1e-12);
                sized(assembly, &curves, &point, *space, *joint, duty)
            })
            .collect::<Result<Vec<_>, _>>()?;
        let flow: f64 = sized.iter().map(|it| it.flow).sum();
        let h_out = sized.iter().map(|it| it.flow * it.h_out).sum::<f64>() / flow;
        let indoor_k = sized.first().map_or(point.outdoor, |it| it.feed.coil.air_k);
        let atmosphere = assembly.circuit.atmosphere;
        let regulator = |wanted: Regulator| {
            assembly.circuit.graph.joints.iter().find_map(|joint| match &joint.kind {
                JointKind::Regulator { kind, setting, .. } if *kind == wanted => {
                    Some(setting.absolute(atmosphere).as_pa())
                }
                _ => None,
            })
        };
        let mut plant = Self {
            condenser: coil(assembly, &parts.condensers, point.outdoor, capacity / 10.0),
            machine: Displacement::piston(1.0),
            motor_in_refrigerant: parts.motor_in_refrigerant,
            suction_w_per_k: suction_gain(assembly),
            crankcase: regulator(Regulator::CrankcasePressure),
            head: regulator(Regulator::HeadPressure),
            air_room: 0.75 * parts.condensers.iter().map(|space| volume(assembly, *space)).sum::<f64>()
                + 0.5 * parts.receiver.volume,
            nameplate: assembly.circuit.charge.value.as_kg(),
            elsewhere: 0.0,
            start: [libm::log(point.p_low), libm::log(point.p_high), 0.3],
            at_design: SteadyAsk {
                outdoor_k: point.outdoor,
                indoor_k,
                humidity: usual_humidity(indoor_k),
                air_pa: atmosphere.as_pa(),
                faults: SteadyFaults::default(),
                tuning: SteadyTuning::default(),
            },
            discharge: parts.discharge,
            suction: parts.suction,
            liquid: parts.liquid,
            accumulator: parts.accumulator,
            receiver: parts.receiver,
            curves,
            feeds: sized.into_iter().map(|it| it.feed).collect(),
            assumed,
        };
        plant.size_machine(&point, flow, h_out)?;
        plant.size_condenser(&point, flow, h_out)?;
        plant.fill()?;
        plant.note(assembly);
        Ok(plant)
    }

    /// Writes the sizes down.
    fn note(&mut self, assembly: &Assembly) {
        let name = |coil: &Coil| {
            let space = coil.spaces.first().and_then(|space| assembly.graph.space(*space));
            space.map_or_else(String::new, |space| space.id.clone())
        };
        let rule = "so that capacity, approaches, superheat and subcooling are met at the design point";
        let mut list = Vec::new();
        let mut note = |what: String, property, value, unit| {
            list.push(Assumed { what, property, value, unit, rule });
        };
        note("system".into(), "swept volume", self.machine.swept_m3_per_s * 3600.0, "m³/h");
        for coil in core::iter::once(&self.condenser).chain(self.feeds.iter().map(|feed| &feed.coil)) {
            note(name(coil), "conductance on the air's side", coil.outside.nominal_w_per_k, "W/K");
            note(name(coil), "air flow", coil.outside.nominal_kg_per_s, "kg/s");
            note(name(coil), "inside surface", coil.inside.area_m2, "m²");
        }
        for feed in &self.feeds {
            let (what, property, value) =
                (name(&feed.coil), "bore of the opening before it", feed.meter.bore());
            note(what, property, 1e3 * value, "mm");
        }
        if !self.has_receiver() {
            note(
                "system".into(),
                "charge beyond what the volumes take at the design point",
                self.elsewhere,
                "kg",
            );
        }
        self.assumed.extend(list);
    }

    /// What was taken by rule.
    pub fn assumed(&self) -> &[Assumed] {
        &self.assumed
    }

    /// Its design point as a question.
    pub const fn design(&self) -> &SteadyAsk {
        &self.at_design
    }

    /// How it meters.
    pub fn kind(&self) -> SteadyKind {
        let fixed = |feed: &Feed| matches!(feed.meter, Meter::Orifice(_) | Meter::Capillary(_));
        if self.feeds.iter().all(fixed) { SteadyKind::Fixed } else { SteadyKind::BySuperheat }
    }

    /// How many evaporators it has.
    pub fn evaporators(&self) -> usize {
        self.feeds.len()
    }

    /// Whether it has a receiver, which hides how much is in it.
    pub fn has_receiver(&self) -> bool {
        self.receiver.volume > 0.0
    }

    /// Air that adds a bar to the condensing pressure of the design point, kg: what the condenser's vapour and half of the receiver leave room for.
    pub fn air_kg_per_bar(&self) -> f64 {
        1e5 * self.air_room / (super::look::AIR_GAS * self.curves.at(libm::exp(self.start[1])).dew)
    }

    /// The charge that its file gives, kg.
    pub const fn nameplate_kg(&self) -> f64 {
        self.nameplate
    }

    /// What the compressors sweep, from the flow at the design point.
    fn size_machine(&mut self, point: &Point, flow: f64, h_out: f64) -> Result<(), SteadyError> {
        let (h, _) = self.line_gain(&self.at_design, &self.curves.at(point.p_low), flow, h_out);
        let p = self.behind_crankcase_regulator(point.p_low);
        let edges = self.curves.at(p);
        let state = edges.vapour(edges.superheat(h));
        let (filling, _) = self.machine.volumetric(point.p_high / p, edges.kappa);
        if filling <= 0.05 {
            return Err(SteadyError::NoSize("compressor"));
        }
        self.machine.swept_m3_per_s = flow / (state.rho * filling);
        Ok(())
    }

    /// The condenser's heat transfer: zones take as much less of it as it is larger.
    fn size_condenser(&mut self, point: &Point, flow: f64, h_out: f64) -> Result<(), SteadyError> {
        let ask = self.at_design;
        let (h, _) = self.line_gain(&ask, &self.curves.at(point.p_low), flow, h_out);
        let drawn = self.compress(&ask, self.behind_crankcase_regulator(point.p_low), point.p_high, h);
        let air = self.condenser.air(ask.outdoor_k, 0.0, ask.air_pa, 1.0);
        let over_air = point.high.bubble - ask.outdoor_k;
        let end = -libm::log1p(-(point.subcooling / over_air).min(0.9));
        let zones = condense(&self.condenser, &air, &point.high, flow, drawn.h_out, point.h_liquid, end);
        let whole = zones.vapour + zones.wet + zones.liquid;
        if !(whole > 0.0 && whole.is_finite()) {
            return Err(SteadyError::NoSize("condenser"));
        }
        self.condenser.scale(whole);
        self.start[2] = end;
        Ok(())
    }

    /// What the charge in the file has more or less than the volumes take at the design point; a receiver takes up the difference.
    fn fill(&mut self) -> Result<(), SteadyError> {
        let ask = self.at_design;
        if self.has_receiver() {
            let half = [self.start[0], self.start[1], 0.5];
            if let Ok((x, _)) = self.seek(&ask, half, None) {
                self.start = x;
                return Ok(());
            }
        }
        let end = self.start[2];
        let (x, look) = self.seek(&ask, self.start, Some(end)).map_err(|_| SteadyError::NoSize("charge"))?;
        self.start = x;
        self.elsewhere = self.nameplate - look.mass;
        Ok(())
    }
}

impl Coil {
    /// Everything that carries heat, larger by a factor.
    fn scale(&mut self, by: f64) {
        let outside = &mut self.outside;
        outside.nominal_w_per_k *= by;
        outside.nominal_kg_per_s *= by;
        outside.still_w_per_k *= by;
        outside.area_m2 *= by;
        self.inside.area_m2 *= by;
    }
}

/// The pieces of a circuit by what they do.
struct Parts {
    condensers: Vec<SpaceId>,
    evaporators: Vec<(SpaceId, JointId)>,
    discharge: Held,
    suction: Held,
    liquid: Held,
    accumulator: Held,
    receiver: Held,
    motor_in_refrigerant: bool,
}

impl Parts {
    fn new(assembly: &Assembly) -> Result<Self, SteadyError> {
        let graph = &assembly.circuit.graph;
        let high = Normal::new(assembly, Lineup::normal(&assembly.graph).mode).high;
        let is_high = |space: SpaceId| high.get(space.index()).copied().unwrap_or(false);
        let mut motors = graph.joints.iter().filter_map(|joint| match &joint.kind {
            JointKind::Compressor(found) => Some(found.motor_in_refrigerant),
            _ => None,
        });
        let motor_in_refrigerant = motors.next().ok_or(SteadyError::Lacks("compressor"))?;
        let mut parts = Self {
            condensers: Vec::new(),
            evaporators: Vec::new(),
            discharge: Held::default(),
            suction: Held::default(),
            liquid: Held::default(),
            accumulator: Held::default(),
            receiver: Held::default(),
            motor_in_refrigerant,
        };
        for (id, space) in graph.spaces_with_ids() {
            let litres = space.volume.value.as_m3();
            match space.kind {
                SpaceKind::Condenser => parts.condensers.push(id),
                SpaceKind::ReversibleCoil if is_high(id) => parts.condensers.push(id),
                SpaceKind::Receiver => parts.receiver.add(id, litres),
                SpaceKind::Accumulator => parts.accumulator.add(id, litres),
                SpaceKind::DischargeLine | SpaceKind::CompressorHead | SpaceKind::OilSeparator => {
                    parts.discharge.add(id, litres);
                }
                SpaceKind::LiquidLine | SpaceKind::Drier => parts.liquid.add(id, litres),
                SpaceKind::CompressorShell | SpaceKind::SuctionLine => parts.suction.add(id, litres),
                SpaceKind::ReversibleLine if is_high(id) => parts.discharge.add(id, litres),
                SpaceKind::ReversibleLine => parts.suction.add(id, litres),
                SpaceKind::Stub | SpaceKind::Vessel if is_high(id) => parts.liquid.add(id, litres),
                SpaceKind::Stub | SpaceKind::Vessel | SpaceKind::DistributorLine => {
                    parts.suction.add(id, litres);
                }
                _ => {}
            }
        }
        parts.evaporators = feeds(assembly, &is_high);
        if parts.condensers.is_empty() {
            return Err(SteadyError::Lacks("condenser"));
        }
        if parts.evaporators.is_empty() {
            return Err(SteadyError::Lacks("evaporator with a metering device"));
        }
        Ok(parts)
    }
}

/// Each evaporator on the low side with the metering device that feeds it.
fn feeds(assembly: &Assembly, is_high: &impl Fn(SpaceId) -> bool) -> Vec<(SpaceId, JointId)> {
    let graph = &assembly.circuit.graph;
    let mut found: Vec<(SpaceId, JointId)> = Vec::new();
    for (id, joint) in graph.joints_with_ids() {
        if !matches!(joint.kind, JointKind::Metering(_)) || is_high(joint.a) == is_high(joint.b) {
            continue;
        }
        let low = if is_high(joint.a) { joint.b } else { joint.a };
        if let Some(space) =
            nearest(assembly, low, |kind| matches!(kind, SpaceKind::Evaporator | SpaceKind::ReversibleCoil))
            && !found.iter().any(|(space_there, _)| *space_there == space)
        {
            found.push((space, id));
        }
    }
    found
}

/// The nearest space of a kind that no compressor and no metering device lies before.
fn nearest(assembly: &Assembly, from: SpaceId, wanted: impl Fn(SpaceKind) -> bool) -> Option<SpaceId> {
    let graph = &assembly.circuit.graph;
    let mut seen = vec![from];
    let mut at = 0;
    while let Some(&space) = seen.get(at) {
        at += 1;
        if graph.space(space).is_some_and(|found| wanted(found.kind)) {
            return Some(space);
        }
        for joint in &graph.joints {
            let passes = !matches!(
                joint.kind,
                JointKind::Compressor(_) | JointKind::Metering(_) | JointKind::Relief { .. }
            );
            let other = match space {
                space if joint.a == space => joint.b,
                space if joint.b == space => joint.a,
                _ => continue,
            };
            if passes && !seen.contains(&other) {
                seen.push(other);
            }
        }
    }
    None
}

fn volume(assembly: &Assembly, space: SpaceId) -> f64 {
    assembly.graph.space(space).map_or(0.0, |space| space.volume.value.as_m3())
}

/// The air at a space, K.
fn around(assembly: &Assembly, space: SpaceId) -> f64 {
    let places = &assembly.circuit.places;
    let place = assembly.graph.space(space).and_then(|space| space.place);
    let place = place.and_then(|place| places.get(place.index())).or_else(|| places.first());
    place.map_or(293.15, |place| place.temperature.value.as_k())
}

fn approach(assembly: &Assembly, space: SpaceId) -> f64 {
    let given = assembly.graph.space(space).and_then(|space| space.approach.as_ref());
    given.map_or(10.0, |approach| approach.value.as_k()).max(1.0)
}

/// Rooms for people are at about 50 %, cold rooms at about 80 % (assumed).
fn usual_humidity(kelvin: f64) -> f64 {
    if kelvin > 288.0 { 0.5 } else { 0.8 }
}

/// Evaporating and condensing by the approaches, as for motion: the coldest evaporator, the warmest condenser.
fn design_point(
    assembly: &Assembly,
    parts: &Parts,
    curves: &Curves,
    substance: &Substance,
) -> Result<Point, SteadyError> {
    let out_of_range = |kelvin| SteadyError::OutOfRange { kelvin, refrigerant: substance.name() };
    let evaporating = parts
        .evaporators
        .iter()
        .map(|(space, _)| around(assembly, *space) - approach(assembly, *space))
        .fold(f64::MAX, f64::min);
    let (outdoor, over) = parts
        .condensers
        .iter()
        .map(|space| (around(assembly, *space), approach(assembly, *space)))
        .fold((f64::MIN, 10.0), |most, it| if it.0 + it.1 > most.0 + most.1 { it } else { most });
    let condensing = (outdoor + over).max(evaporating + 15.0);
    let (p_low, p_high) = (curves.pressures(evaporating).1, curves.pressures(condensing).0);
    if !(p_low > 1.01 * curves.lowest_pa && p_high < 0.98 * curves.highest_pa) {
        return Err(out_of_range(condensing));
    }
    let high = curves.at(p_high);
    let subcooling =
        if parts.receiver.volume > 0.0 { 0.0 } else { SUBCOOLING.min(0.5 * (condensing - outdoor)) };
    Ok(Point { outdoor, p_low, p_high, h_liquid: high.h_l - high.cp_l * subcooling, high, subcooling })
}

/// An evaporator and what feeds it, so that its duty is met with the design's superheat.
fn sized(
    assembly: &Assembly,
    curves: &Curves,
    point: &Point,
    space: SpaceId,
    joint: JointId,
    duty: f64,
) -> Result<Sized, SteadyError> {
    let (air_k, under) = (around(assembly, space), approach(assembly, space));
    let p = curves.pressures(air_k - under).1;
    let edges = curves.at(p);
    let superheat = SUPERHEAT.min(0.8 * under);
    let h_out = edges.vapour(superheat).h;
    let flow = duty / (h_out - point.h_liquid);
    let mut coil = coil(assembly, &[space], air_k, duty / under);
    let air = coil.air(air_k, usual_humidity(air_k), assembly.circuit.atmosphere.as_pa(), 1.0);
    let wet = wet_heat(&coil, &air, &edges, edges.quality(point.h_liquid));
    let boiled = flow * (edges.h_v - point.h_liquid) / wet.total;
    let dry = coil.through(&air, edges.dew + 2.0, coil.inside.vapour);
    let heat = (h_out - edges.h_v) / superheat;
    let over_dew = air_k - edges.dew;
    let rest = -flow * heat / dry * libm::log1p(-(superheat / over_dew).min(0.95));
    if !(boiled > 0.0 && rest > 0.0 && (boiled + rest).is_finite()) {
        return Err(SteadyError::NoSize("evaporator"));
    }
    coil.scale(boiled + rest);
    let meter = meter(assembly, curves, point, joint, p, flow);
    // An evaporator that is warmer than the coldest one needs its regulator to hold it.
    let floor = (p > 1.05 * point.p_low).then(|| held(assembly, space)).flatten();
    Ok(Sized { feed: Feed { coil, meter, floor }, flow, h_out })
}

/// What the evaporator pressure regulator behind an evaporator keeps, Pa.
fn held(assembly: &Assembly, space: SpaceId) -> Option<f64> {
    assembly.circuit.graph.joints.iter().find_map(|joint| match &joint.kind {
        JointKind::Regulator { kind: Regulator::EvaporatorPressure, setting, .. }
            if nearest(assembly, joint.a, |kind| kind == SpaceKind::Evaporator) == Some(space) =>
        {
            Some(setting.absolute(assembly.circuit.atmosphere).as_pa())
        }
        _ => None,
    })
}

fn meter(assembly: &Assembly, curves: &Curves, point: &Point, joint: JointId, p: f64, flow: f64) -> Meter {
    let kind = assembly.graph.joint(joint).map(|joint| &joint.kind);
    let from = curves.source(&point.high, point.p_high, point.h_liquid);
    // Flow grows in proportion to the area.
    let one = Opening::round(1e-3, 0.7);
    let opening = |flow: f64| {
        let factor = flow / one.into_pressure(&from, p).kg_per_s.max(1e-12);
        Opening::round(1e-3 * factor.max(1e-6).sqrt(), 0.7)
    };
    let edges = curves.at(p);
    match kind {
        Some(JointKind::Metering(Metering::Capillary)) => {
            let (mut thin, mut wide) = (2e-4, 8e-3);
            for _ in 0..60 {
                let bore = 0.5 * (thin + wide);
                let passes = Capillary::copper(bore, CAPILLARY).into_pressure(&from, p).kg_per_s;
                if passes < flow { thin = bore } else { wide = bore }
            }
            Meter::Capillary(Capillary::copper(0.5 * (thin + wide), CAPILLARY))
        }
        Some(JointKind::Metering(Metering::Thermostatic { bleed })) => {
            let opening = opening(flow / OPEN);
            let leak = if *bleed { BLEED } else { SEAT };
            Meter::Valve(Thermostatic {
                opening,
                bleed_m2: leak * opening.area_m2,
                static_superheat_k: STATIC,
                opening_superheat_k: STROKE,
                set_slope_pa_per_k: edges.slope(),
                charge: Charge::Cross,
                bulb_s: 25.0,
            })
        }
        Some(JointKind::Metering(Metering::Electronic)) => Meter::Electronic {
            opening: opening(flow / OPEN),
            target: SUPERHEAT,
            held: HELD,
            at: OPEN,
            leak: SEAT,
        },
        _ => Meter::Orifice(opening(flow)),
    }
}

/// A coil with that conductance from the air to the refrigerant in two phases, W/K.
fn coil(assembly: &Assembly, spaces: &[SpaceId], air_k: f64, over_all: f64) -> Coil {
    let air = over_all / EFFECT;
    let nominal = -air * libm::log1p(-EFFECT / OUTSIDE);
    let area = over_all / (1.0 - OUTSIDE) / BOILING;
    Coil {
        spaces: spaces.to_vec(),
        outside: CoilOutside {
            nominal_w_per_k: nominal,
            nominal_kg_per_s: air / AIR_CP,
            still_w_per_k: 0.04 * nominal,
            area_m2: 15.0 * area,
            gap_m: 2e-3,
        },
        inside: CoilInside {
            area_m2: area,
            boiling: BOILING,
            condensing: CONDENSING,
            vapour: VAPOUR,
            liquid: LIQUID,
            film: 0.2,
        },
        volume: spaces.iter().map(|space| volume(assembly, *space)).sum(),
        air_k,
    }
}

/// Conductance of the suction lines to the air around them, W/K.
fn suction_gain(assembly: &Assembly) -> f64 {
    let lines = assembly.circuit.graph.spaces.iter().filter(|space| space.kind == SpaceKind::SuctionLine);
    lines
        .map(|space| {
            let volume = space.volume.value.as_m3();
            let bore = space.bore.map_or(0.016, |bore| bore.as_m()).max(3e-3);
            INSULATED * (4.0 * volume / bore).min(60.0 * PI * bore)
        })
        .sum()
}
