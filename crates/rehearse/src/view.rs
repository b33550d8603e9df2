//! What there is to see at a moment: spaces, joints, machines, gauges, and how soon something goes wrong.

use stemwise_circuit::{JointId, JointKind, Metering, Sections, SpaceId, SpaceKind};
use stemwise_service::{Action, Done, Finding, Look, Refrigerant, Running, Settled, Stops, apply, hazards};
use stemwise_units::{Mass, Power, Pressure, Temperature, TemperatureDifference};

use crate::control::{Trip, outlet};
use crate::engine::cell::{AIR, NITROGEN, WATER};
use crate::engine::network::{Law, stream};
use crate::equipment::gauge::MicronGauge;
use crate::equipment::recovery::Stop;
use crate::rehearsal::Rehearsal;

/// A space at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpaceView {
    /// Absolute pressure.
    pub pressure: Pressure,
    /// Temperature of what is in it.
    pub temperature: Temperature,
    /// Temperature of its wall.
    pub wall: Temperature,
    /// The part of the volume that liquid fills, 0 to 1.
    pub liquid: f64,
    /// Refrigerant.
    pub refrigerant: Mass,
    /// Air.
    pub air: Mass,
    /// Nitrogen.
    pub nitrogen: Mass,
    /// Water vapour.
    pub water: Mass,
    /// Water or ice on its wall, inside.
    pub damp: Mass,
    /// Refrigerant dissolved in oil in it.
    pub dissolved: Mass,
    /// Frost on a coil, outside.
    pub frost: Mass,
    /// How fast the pressure changes, Pa/s.
    pub pascal_per_second: f64,
}

/// A joint at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointView {
    /// Mass flow from its first space to its second, kg/s.
    pub kg_per_second: f64,
    /// The part of the mass that flows as liquid, 0 to 1.
    pub liquid: f64,
    /// How far it is open, 0 to 1; for a machine its part of full speed.
    pub open: f64,
}

/// A compressor at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CompressorView {
    /// Whether it turns.
    pub runs: bool,
    /// Why it stands although it was started.
    pub trip: Option<Trip>,
    /// Electric power.
    pub power: Power,
    /// Superheat of what it draws in, above the dew point of the file's refrigerant; none where nothing of the kind can be said (no refrigerant, or liquid).
    pub superheat: Option<TemperatureDifference>,
    /// Temperature of its discharge.
    pub discharge: Temperature,
    /// Temperature of its motor's winding.
    pub motor: Temperature,
}

/// A metering device at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeteringView {
    /// How it works.
    pub kind: Metering,
    /// How far it is open, 0 to 1; a fixed one is always 1.
    pub opening: f64,
    /// Temperature of its bulb.
    pub bulb: Temperature,
    /// Superheat at its evaporator's outlet, above the dew point of the file's refrigerant.
    pub superheat: Option<TemperatureDifference>,
}

/// A gauge at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeView {
    /// The hose that it is on.
    pub hose: SpaceId,
    /// What it shows, absolute.
    pub shows: Pressure,
    /// What it may really be: the gauge's error class.
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
    /// Whether the needle is at the end of its range.
    pub beyond: bool,
}

/// What may happen soon.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Danger {
    /// A relief valve lifts.
    ReliefLifts(JointId),
    /// A space passes its design pressure.
    PastDesign(SpaceId),
    /// A space bursts; it stays open to the air then.
    Bursts(SpaceId),
    /// Liquid fills a receiver or a cylinder past its limit.
    PastFill(SpaceId),
    /// The low-pressure control stops a compressor.
    LowCutOut(JointId),
    /// The high-pressure control stops it.
    HighCutOut(JointId),
    /// A compressor draws below the atmosphere's pressure.
    IntoVacuum(JointId),
    /// The motor gets too hot.
    MotorHot(JointId),
    /// Liquid is drawn into a compressor.
    Slugging(JointId),
    /// Refrigerant boils out of a running compressor's oil, which froths and is drawn up with it.
    OilFroths(JointId),
    /// A pressure regulator has shut and holds refrigerant back, while the rig's machine or pump has drawn the other side down.
    HeldBack(JointId),
}

/// A danger and how long it takes, if things go on as they do at the moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// What.
    pub danger: Danger,
    /// In how many seconds; 0: now.
    pub seconds: f64,
}

/// The gauge pressure at which a space is taken to burst, as a multiple of the one that it is built for: what a part has to stand in a burst test by EN 378-2 and
/// ISO 5149-2 (three times the maximum allowable pressure, from memory). Sound parts stand more; nobody may count on it.
const BURSTS: f64 = 3.0;
/// A gauge shows so much as more than nothing, Pa.
const HELD_BACK: f64 = 2e4;
/// Clocks beyond this are not worth a word, s.
const FAR: f64 = 3600.0;

impl Rehearsal {
    /// Where a space is taken to burst, absolute; none where nothing is known of what it is built for.
    pub fn burst_pressure(&self, space: SpaceId) -> Option<Pressure> {
        let atmosphere = self.assembly().circuit.atmosphere.as_pa();
        let design = self.assembly().graph.space(space)?.design.as_ref()?.value.as_pa();
        Some(Pressure::from_pa(atmosphere + BURSTS * (design - atmosphere).max(0.0)))
    }

    /// Whether a space has burst: what it holds has a way out from then on, whatever hands do.
    pub fn has_burst(&self, space: SpaceId) -> bool {
        self.burst.contains(&space)
    }

    /// A space at this moment.
    pub fn space(&self, space: SpaceId) -> Option<SpaceView> {
        let at = space.index();
        let (eval, amounts) = (self.moment.evals.get(at)?, self.moment.amounts.get(at)?);
        let boundless = self.network.cells.get(at)?.boundless;
        let mass = |kind: usize| Mass::from_kg(if boundless { 0.0 } else { amounts[kind].max(0.0) });
        Some(SpaceView {
            pressure: Pressure::from_pa(eval.p),
            temperature: Temperature::from_k(eval.t),
            wall: Temperature::from_k(*self.moment.walls.get(at)?),
            liquid: eval.alpha,
            refrigerant: mass(0),
            air: mass(AIR),
            nitrogen: mass(NITROGEN),
            water: mass(WATER),
            dissolved: Mass::from_kg(self.moment.oil.get(at).copied().unwrap_or(0.0)),
            frost: Mass::from_kg(self.controls.frost_on(at)),
            damp: Mass::from_kg(self.moment.damp.get(at).map_or(0.0, |damp| damp.max(0.0))),
            pascal_per_second: self.rates.get(at).map_or(0.0, |rate| rate.pressure),
        })
    }

    /// A joint at this moment.
    pub fn joint(&self, joint: JointId) -> Option<JointView> {
        let link = self.network.links.get(joint.index())?;
        self.assembly().graph.joint(joint)?;
        let flux = self.network.flux(&self.moment, joint.index());
        let flow = flux.mass();
        let end = if flow >= 0.0 { link.a } else { link.b };
        let from = stream(&self.network.cells[end.cell], &self.moment.evals[end.cell], end.draw);
        let open = match &link.law {
            Law::Passage(passage) => passage.open.max(passage.back),
            Law::Compressor(machine) => machine.speed,
            Law::Recovery { speed, .. } | Law::Vacuum { speed, .. } => *speed,
            Law::Fixed { .. } => 1.0,
        };
        Some(JointView {
            kg_per_second: flow,
            liquid: if flow.abs() > 0.0 { from.liquid } else { 0.0 },
            open,
        })
    }

    /// A compressor at this moment; none for another joint.
    pub fn compressor(&self, joint: JointId) -> Option<CompressorView> {
        let link = self.network.links.get(joint.index())?;
        let Law::Compressor(machine) = &link.law else { return None };
        let starter = self.controls.starters.iter().find(|starter| starter.joint == joint)?;
        let (a, b) = (&self.moment.evals[link.a.cell], &self.moment.evals[link.b.cell]);
        let from = stream(&self.network.cells[link.a.cell], a, link.a.draw);
        let (_, _, electric) = machine.run(&from, a.p, b.p);
        let refrigerant = a.p_r > 2e3 && a.alpha < 1e-3;
        let superheat =
            refrigerant.then(|| TemperatureDifference::from_k(a.t - self.stage.label.phases(a.p_r).t_v));
        Some(CompressorView {
            runs: machine.speed > 0.0,
            trip: starter.trip,
            power: Power::from_w(electric),
            superheat,
            discharge: Temperature::from_k(b.t),
            motor: Temperature::from_k(starter.motor),
        })
    }

    /// A metering device at this moment; none for another joint.
    pub fn metering(&self, joint: JointId) -> Option<MeteringView> {
        let meter = self.controls.meters.iter().find(|meter| meter.joint == joint)?;
        let fixed = matches!(meter.kind, Metering::Orifice | Metering::Capillary);
        let superheat = meter.evaporator.and_then(|at| {
            let eval = self.moment.evals.get(at)?;
            let out = outlet(&self.network, &self.moment, at);
            (eval.p_r > 2e3)
                .then(|| TemperatureDifference::from_k(out - self.stage.label.phases(eval.p_r).t_v))
        });
        Some(MeteringView {
            kind: meter.kind,
            opening: if fixed { 1.0 } else { meter.opening },
            bulb: Temperature::from_k(meter.bulb),
            superheat,
        })
    }

    /// Subcooling at a condenser's or receiver's outlet, below the file's refrigerant's bubble point at its pressure; none where there is no liquid.
    pub fn subcooling(&self, space: SpaceId) -> Option<TemperatureDifference> {
        let at = space.index();
        let eval = self.moment.evals.get(at)?;
        let out = outlet(&self.network, &self.moment, at);
        (eval.alpha > 1e-3).then(|| TemperatureDifference::from_k(self.stage.label.phases(eval.p).t_l - out))
    }

    /// The gauges of the rig, with their lag and error.
    pub fn gauges(&self) -> Vec<GaugeView> {
        let (dial, error) = (&self.controls.dial, self.gauge_error());
        let atmosphere = self.assembly().circuit.atmosphere.as_pa();
        let view = |gauge: &crate::control::Gauge| {
            let beyond = gauge.pascal - atmosphere > dial.highest_pa;
            let shows = gauge.pascal.clamp(0.0, dial.highest_pa + atmosphere);
            Some(GaugeView {
                hose: gauge.hose,
                shows: Pressure::from_pa(shows),
                low: Pressure::from_pa((shows - error).max(0.0)),
                high: Pressure::from_pa(shows + error),
                beyond,
            })
        };
        self.controls.gauges.iter().filter_map(view).collect()
    }

    /// What a gauge of the manifold may be off by, Pa.
    pub(crate) fn gauge_error(&self) -> f64 {
        self.controls.dial.permitted_pa()
    }

    /// What the vacuum gauge on the centre hose shows, with its lag; where it is beyond its range, what is there.
    pub fn micron_gauge(&self) -> Pressure {
        let shown = self.controls.vacuum;
        Pressure::from_pa(MicronGauge::COMMON.reading_pa(shown).unwrap_or(shown))
    }

    /// Why the recovery machine stands although it was started.
    pub fn recovery_stop(&self) -> Option<Stop> {
        self.controls.recovery_stop()
    }

    /// Whether a stem is still being turned.
    pub const fn is_turning(&self) -> bool {
        self.controls.turning()
    }

    /// Electric power of all compressors.
    pub fn power(&self) -> Power {
        let all = self.controls.starters.iter().filter_map(|starter| self.compressor(starter.joint));
        Power::from_w(all.map(|compressor| compressor.power.as_w()).sum())
    }

    /// Heat that the evaporators take out of the air, W.
    pub fn refrigeration(&self) -> Power {
        let cells = self.network.cells.iter().enumerate();
        let of = |(at, cell): (usize, &crate::engine::network::Cell)| {
            let coil = cell.coil.as_ref().filter(|coil| !coil.condenses)?;
            let outer = cell.outer * coil.working(self.moment.evals[at].alpha) * coil.fan;
            Some(outer * (cell.around - self.moment.walls[at]))
        };
        Power::from_w(cells.filter_map(of).sum())
    }

    /// The moment as the hazard rules see it.
    pub fn done(&self) -> Done {
        let state = self.state();
        let spaces = self.assembly().graph.spaces.len();
        let running = |joint: JointId| {
            let link = &self.network.links[joint.index()];
            let (a, b) = (link.a.cell, link.b.cell);
            let atmosphere = self.assembly().circuit.atmosphere.as_pa();
            if self.moment.evals[b].p > 30e5 && self.network.flux(&self.moment, joint.index()).mass() < 1e-6 {
                Running::DeadHeaded
            } else if self.moment.evals[a].p < 0.5 * atmosphere {
                Running::Empty
            } else if self.moment.evals[a].p < 1.2 * atmosphere {
                Running::PumpedDown
            } else {
                Running::Balanced
            }
        };
        let starters = self.controls.starters.iter().filter(|starter| self.runs(starter.joint));
        let settled = Settled {
            pressures: self.moment.evals.iter().take(spaces).map(|eval| eval.p).collect(),
            liquid: self.moment.evals.iter().take(spaces).map(|eval| eval.alpha).collect(),
            compressors: starters.map(|starter| (starter.joint, running(starter.joint))).collect(),
            vented_kg: 0.0,
            air_in_kg: 0.0,
            recovered_kg: 0.0,
            sections: Sections::new(&self.assembly().graph, &state.lineup),
        };
        Done { state, settled }
    }

    /// What the hazard rules say to an action before it is done here, or to the moment itself.
    pub fn hazards(&self, refrigerant: &Refrigerant, stops: &Stops, action: Option<&Action>) -> Vec<Finding> {
        let before = self.done();
        let after =
            action.and_then(|action| apply(self.assembly(), refrigerant, stops, &before.state, action).ok());
        let after = after.as_ref().unwrap_or(&before);
        hazards(&Look { assembly: self.assembly(), refrigerant, before: &before, action, after })
    }

    /// What goes wrong soon if things go on as at this moment, the soonest first.
    pub fn clocks(&self) -> Vec<Clock> {
        let mut clocks = Vec::new();
        let graph = &self.assembly().graph;
        let until = |value: f64, rate: f64, limit: f64| {
            if value >= limit {
                0.0
            } else if rate > 0.0 {
                (limit - value) / rate
            } else {
                f64::INFINITY
            }
        };
        let mut put = |danger: Danger, seconds: f64| {
            if seconds < FAR {
                clocks.push(Clock { danger, seconds });
            }
        };
        for (id, space) in graph.spaces_with_ids().filter(|(_, space)| space.kind != SpaceKind::Atmosphere) {
            let (Some(eval), Some(rate)) = (self.moment.evals.get(id.index()), self.rates.get(id.index()))
            else {
                continue;
            };
            if let Some(design) = &space.design {
                put(Danger::PastDesign(id), until(eval.p, rate.pressure, design.value.as_pa()));
            }
            if let Some(limit) = self.burst_pressure(id) {
                let seconds = until(eval.p, rate.pressure, limit.as_pa());
                put(Danger::Bursts(id), if self.has_burst(id) { 0.0 } else { seconds });
            }
            if let Some(limit) = &space.fill_limit {
                put(Danger::PastFill(id), until(eval.alpha, rate.liquid, limit.value));
            }
        }
        let atmosphere = self.assembly().circuit.atmosphere;
        for (id, joint) in graph.joints_with_ids() {
            let Some(link) = self.network.links.get(id.index()) else { continue };
            let (a, b) = (link.a.cell, link.b.cell);
            let (Some(low), Some(high)) = (self.rates.get(a), self.rates.get(b)) else { continue };
            let (p_a, p_b) = (self.moment.evals[a].p, self.moment.evals[b].p);
            match &joint.kind {
                JointKind::Relief { setting } => {
                    put(
                        Danger::ReliefLifts(id),
                        until(p_a, low.pressure, setting.absolute(atmosphere).as_pa()),
                    );
                }
                JointKind::Regulator { .. } if self.holds_back(id) => put(Danger::HeldBack(id), 0.0),
                JointKind::Compressor(found) if self.runs(id) => {
                    let absolute = |gauge: stemwise_units::GaugePressure| gauge.absolute(atmosphere).as_pa();
                    if let Some(limit) = found.low_cut_out {
                        put(Danger::LowCutOut(id), until(-p_a, -low.pressure, -absolute(limit)));
                    }
                    if let Some(limit) = found.high_cut_out {
                        put(Danger::HighCutOut(id), until(p_b, high.pressure, absolute(limit)));
                    }
                    put(Danger::IntoVacuum(id), until(-p_a, -low.pressure, -atmosphere.as_pa()));
                    if let Some(starter) = self.controls.starters.iter().find(|starter| starter.joint == id) {
                        put(Danger::MotorHot(id), until(starter.motor, starter.climbs, crate::control::HOT));
                        if starter.slug > 1e-3 {
                            put(Danger::Slugging(id), 0.0);
                        }
                    }
                    if self.froths(id) {
                        put(Danger::OilFroths(id), 0.0);
                    }
                }
                _ => {}
            }
        }
        clocks.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
        clocks
    }

    /// Whether a regulator is shut by its pressures with much more on one side than on the other, where a recovery machine or a pump has drawn, or draws.
    fn holds_back(&self, joint: JointId) -> bool {
        let rigged = &self.assembly().rigged;
        let machines = [rigged.recovery_machine, rigged.vacuum_pump].into_iter().flatten();
        let draws = machines.into_iter().any(|machine| self.state.lineup.is_active(machine));
        let Some(link) = self.network.links.get(joint.index()) else { return false };
        let (a, b) = (&self.moment.evals[link.a.cell], &self.moment.evals[link.b.cell]);
        let low = 0.9 * self.assembly().circuit.atmosphere.as_pa();
        let drawn = a.p.min(b.p);
        let Law::Passage(passage) = &link.law else { return false };
        let sections = Sections::new(&self.assembly().graph, &self.state.lineup);
        let joined = |cell: usize| {
            u32::try_from(cell).is_ok_and(|cell| sections.joined(SpaceId(cell), rigged.centre_hose))
        };
        (draws || drawn < low)
            && passage.shut_by_pressure(a.p, b.p)
            && a.p.max(b.p) > drawn + HELD_BACK
            && joined(link.a.cell)
    }

    /// Whether the oil of a running compressor holds much refrigerant that is on its way out.
    fn froths(&self, joint: JointId) -> bool {
        self.sumps.iter().filter(|sump| sump.link == joint.index()).any(|sump| {
            let held = self.moment.oil.get(sump.cell).copied().unwrap_or(0.0);
            let pool = self.network.cells.get(sump.cell).and_then(|cell| cell.pool);
            held > crate::sump::FROTHS * (held + sump.oil) && pool.is_some_and(|pool| held > 1.1 * pool.kg)
        })
    }

    /// What would be in so many seconds, if nobody did anything: a copy that has gone on.
    pub fn look_ahead(&self, seconds: f64) -> Self {
        let mut copy = self.clone();
        copy.advance(seconds);
        copy
    }
}
