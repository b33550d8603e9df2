//! What follows the pressures and the clock by itself: stems that are being turned, valves with bulbs, cut-outs, motors, fans, gauges; and faults.

use stemwise_circuit::{Compressor, JointId, JointKind, Metering, Position, SpaceId};
use stemwise_service::State;
use stemwise_units::{Power, Time};

use crate::engine::network::{Cell, Gate, Law, Link};
use crate::engine::step::{Moment, Network};
use crate::equipment::compressor::CrankcaseHeater;
use crate::equipment::flow::Opening;
use crate::equipment::gauge;
use crate::equipment::metering::{Charge, Thermostatic};
use crate::equipment::recovery::Stop;
use crate::faults::{Fault, Faults};
use crate::frost::{self, Frosted};
use crate::rehearsal::Stage;

/// Why a compressor stands although it was started.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Trip {
    /// The low-pressure control; it lets the compressor start again when the pressure is back.
    LowPressure,
    /// The high-pressure control; it stays out until the compressor is started anew.
    HighPressure,
    /// The motor's overload protector; it lets the compressor start again when the motor has cooled.
    Motor,
    /// It broke: liquid in the cylinder, or a burnt motor. It stays broken.
    Broken,
}

/// What guards a compressor that stands: as the file has it, unless set.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Guard {
    /// A crankcase heater, on while the compressor stands.
    pub heater: Option<CrankcaseHeater>,
    /// After it has stopped it doesn't start again for so long, whatever asks for it, s (3 to 5 min are common practice).
    pub delay_s: f64,
}

impl Guard {
    /// As the file has it.
    pub(crate) fn of(compressor: &Compressor) -> Self {
        let heater = |power: Power| CrankcaseHeater { power_w: power.as_w(), self_regulating_k: None };
        Self {
            heater: compressor.crankcase_heater.map(heater),
            delay_s: compressor.restart_delay.map_or(0.0, Time::as_s),
        }
    }
}

/// A compressor's controls at the moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Starter {
    pub(crate) joint: JointId,
    pub(crate) trip: Option<Trip>,
    /// Temperature of the motor's winding, K.
    pub(crate) motor: f64,
    /// K/s.
    pub(crate) climbs: f64,
    /// How long it has stood since it ran, s.
    stood: f64,
    /// Liquid drawn in lately, kg; it drains away.
    pub(crate) slug: f64,
    low: Option<f64>,
    high: Option<f64>,
    /// Watts of motor heat at the design point.
    rated: f64,
    guard: Guard,
}

/// A metering device's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Meter {
    pub(crate) joint: JointId,
    pub(crate) kind: Metering,
    pub(crate) evaporator: Option<usize>,
    /// K.
    pub(crate) bulb: f64,
    /// 0 to 1.
    pub(crate) opening: f64,
}

/// A gauge on a hose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// The hose.
    pub hose: SpaceId,
    /// Where its pointer stands, absolute, Pa; it lags behind its hose.
    pub(crate) pascal: f64,
}

/// A recovery machine that stops and starts by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Recoverer {
    joint: JointId,
    stop: Option<Stop>,
}

/// A room that warms and cools, with a thermostat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Heat capacity of air, goods and walls, J/K.
    pub heat_capacity: f64,
    /// Heat that comes in for each kelvin that it is colder than outside, W/K.
    pub gain: f64,
    /// Temperature outside, K.
    pub outside: f64,
    /// Heat that comes in besides, W.
    pub load: f64,
    /// The thermostat calls for cooling above this, K.
    pub on: f64,
    /// And until this, K.
    pub off: f64,
}

/// A place at the moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Around {
    /// K.
    pub(crate) t: f64,
    pub(crate) room: Option<Room>,
    /// Relative humidity of its air, 0 to 1; none: so dry that nothing freezes.
    pub(crate) humidity: Option<f64>,
    /// Whether the thermostat calls.
    pub(crate) calls: bool,
}

/// Everything that has a will of its own.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Controls {
    /// How far each joint's stem is open, 0 to 1.
    lifts: Vec<f64>,
    pub(crate) starters: Vec<Starter>,
    pub(crate) meters: Vec<Meter>,
    pub(crate) gauges: Vec<Gauge>,
    /// What every gauge of the manifold is.
    pub(crate) dial: gauge::Gauge,
    /// What the vacuum gauge on the centre hose shows, Pa.
    pub(crate) vacuum: f64,
    centre: usize,
    recoverers: Vec<Recoverer>,
    pub(crate) faults: Faults,
    pub(crate) around: Vec<Around>,
    /// On coils in damp air.
    pub(crate) frost: Vec<Frosted>,
    /// Absolute pressure that the nitrogen regulator is set to, Pa.
    pub(crate) regulator: f64,
    moving: bool,
    running: bool,
}

/// Time constant of a valve's stem, s (common practice).
const STEM: f64 = 6.0;
/// A thermostatic valve: its bulb's charge keeps the superheat about the same, 3.5 K to begin to open and 3.75 K more to be open (common practice). The passage
/// itself is the engine's.
const VALVE: Thermostatic = Thermostatic {
    opening: Opening { area_m2: 0.0, discharge: 1.0, hydraulic_diameter_m: 0.0, softening_pa: 1.0 },
    bleed_m2: 0.0,
    static_superheat_k: 3.5,
    opening_superheat_k: 3.75,
    set_slope_pa_per_k: 0.0,
    charge: Charge::Cross,
    bulb_s: 25.0,
};
/// Of the way from the temperature at a coil's mean density, which is near the bubble point, to the dew point: where the middle of the flow is.
const GLIDE: f64 = 0.6;
/// What passes a shut metering device, of its full flow; one with a bleed.
const SEAT: f64 = 0.004;
const BLEED: f64 = 0.05;
/// The low-pressure control lets a compressor start again this far above where it stops it, Pa (common practice).
pub(crate) const DIFFERENTIAL: f64 = 0.8e5;
/// And no sooner than so many seconds after: its relay keeps it from going on and off (30 s to 5 min, common practice).
const REST: f64 = 30.0;
/// A winding's limit, where the overload protector comes back, and where insulation fails, K (class B, common practice).
pub(crate) const HOT: f64 = 273.15 + 130.0;
const COOL: f64 = 273.15 + 75.0;
const BURNT: f64 = 273.15 + 200.0;
/// Liquid that a compressor swallows before its valves break, as multiples of its swept volume (assumed).
const SLUG: f64 = 40.0;

impl Controls {
    pub(crate) fn new(stage: &Stage, state: &State) -> Self {
        let graph = &stage.assembly.graph;
        let atmosphere = stage.assembly.circuit.atmosphere;
        let starter = |(joint, found): (JointId, &stemwise_circuit::Joint)| {
            let JointKind::Compressor(kind) = &found.kind else { return None };
            let absolute = |gauge: stemwise_units::GaugePressure| gauge.absolute(atmosphere).as_pa();
            Some(Starter {
                joint,
                trip: None,
                motor: 313.15,
                climbs: 0.0,
                stood: f64::INFINITY,
                slug: 0.0,
                low: kind.low_cut_out.map(absolute),
                high: kind.high_cut_out.map(absolute),
                rated: (stage.plant.design.rejected - stage.plant.design.capacity)
                    * (1.0 - crate::design::MOTOR)
                    * crate::design::share(&stage.assembly, joint),
                guard: Guard::of(kind),
            })
        };
        let meter = |(joint, found): (JointId, &stemwise_circuit::Joint)| {
            let JointKind::Metering(kind) = found.kind else { return None };
            let evaporator =
                stage.plant.feeds.iter().find(|(id, _)| *id == joint).map(|(_, space)| space.index());
            Some(Meter { joint, kind, evaporator, bulb: 293.15, opening: 0.0 })
        };
        let rigged = &stage.assembly.rigged;
        let hoses = [rigged.low_hose, rigged.high_hose, rigged.centre_hose];
        let hoses = hoses.into_iter().chain(rigged.gauge_hoses.iter().copied());
        let lift = |(id, _): (JointId, _)| target(state, id);
        let push_pull = rigged.push_pull.map(|found| found.machine);
        let machines = rigged.recovery_machine.into_iter().chain(push_pull);
        Self {
            lifts: graph.joints_with_ids().map(lift).collect(),
            starters: graph.joints_with_ids().filter_map(starter).collect(),
            meters: graph.joints_with_ids().filter_map(meter).collect(),
            dial: gauge::Gauge {
                lowest_pa: -atmosphere.as_pa(),
                highest_pa: stage.assembly.rig.gauge_range.as_pa() - atmosphere.as_pa(),
                class_percent: 1.0,
                lag_s: 0.8,
                ..gauge::Gauge::LOW_SIDE
            },
            vacuum: atmosphere.as_pa(),
            centre: rigged.centre_hose.index(),
            recoverers: machines.map(|joint| Recoverer { joint, stop: None }).collect(),
            gauges: hoses.map(|hose| Gauge { hose, pascal: atmosphere.as_pa() }).collect(),
            faults: Faults::default(),
            around: stage
                .assembly
                .circuit
                .places
                .iter()
                .map(|place| Around {
                    t: place.temperature.value.as_k(),
                    room: None,
                    humidity: None,
                    calls: true,
                })
                .collect(),
            frost: Vec::new(),
            regulator: atmosphere.as_pa() + 10e5,
            moving: false,
            running: false,
        }
    }

    /// Bulbs, valves and gauges as they would have become by the start.
    pub(crate) fn settle_in(&mut self, network: &Network, moment: &Moment) {
        self.running = network
            .links
            .iter()
            .any(|link| matches!(link.law, Law::Compressor(machine) if machine.speed > 0.0));
        for meter in &mut self.meters {
            let Some(at) = meter.evaporator else { continue };
            meter.bulb = outlet(network, moment, at);
            meter.opening = if self.running && meter.bulb > 0.0 { 0.66 } else { 0.0 };
        }
        for gauge in &mut self.gauges {
            gauge.pascal = moment.evals.get(gauge.hose.index()).map_or(gauge.pascal, |eval| eval.p);
        }
        self.vacuum = moment.evals.get(self.centre).map_or(self.vacuum, |eval| eval.p);
    }

    /// How long a step may be for what follows it here, s.
    pub(crate) fn longest(&self) -> f64 {
        if self.moving {
            0.1
        } else if !self.frost.iter().any(Frosted::is_at_work) {
            f64::INFINITY
        } else {
            frost::LONGEST
        }
    }

    /// Whether something that stands may start by itself.
    pub(crate) fn may_switch(&self) -> bool {
        self.starters.iter().any(|starter| starter.trip.is_some() || starter.waits())
            || self.around.iter().any(|around| around.room.is_some())
            || self.recovery_stop().is_some()
    }

    /// Someone pressed the button.
    pub(crate) fn started(&mut self, joint: JointId) {
        for starter in self.starters.iter_mut().filter(|starter| starter.joint == joint) {
            if starter.trip == Some(Trip::HighPressure) {
                starter.trip = None;
            }
        }
    }

    fn stands(&self, joint: JointId) -> bool {
        self.starters
            .iter()
            .any(|starter| starter.joint == joint && (starter.trip.is_some() || starter.waits()))
    }

    pub(crate) fn guard(&mut self, joint: JointId, guard: Guard) {
        for starter in self.starters.iter_mut().filter(|starter| starter.joint == joint) {
            starter.guard = guard;
        }
    }

    /// Heat of crankcase heaters into the shells of compressors that stand.
    pub(crate) fn warm_shells(&self, links: &[Link], cells: &mut [Cell], moment: &Moment) {
        for starter in &self.starters {
            let Some(heater) = starter.guard.heater else { continue };
            let Some(link) = links.get(starter.joint.index()) else { continue };
            let (Some(cell), Some(&wall)) = (cells.get_mut(link.a.cell), moment.walls.get(link.a.cell))
            else {
                continue;
            };
            cell.onto_wall = if link.law.runs() { 0.0 } else { heater.heat_w(wall) };
        }
    }

    /// Temperatures of the places into the cells.
    pub(crate) fn on_places(&self, stage: &Stage, cells: &mut [Cell]) {
        for (cell, place) in cells.iter_mut().zip(&stage.plant.places) {
            if let Some(around) = self.around.get(*place) {
                cell.around = around.t;
            }
        }
    }

    /// Whether the thermostats of a place call for cooling; of none, whether any does.
    fn calls(&self, place: Option<usize>) -> bool {
        match place.and_then(|place| self.around.get(place)) {
            Some(around) => around.calls,
            None => {
                let mut rooms = self.around.iter().filter(|around| around.room.is_some()).peekable();
                rooms.peek().is_none() || rooms.any(|around| around.calls)
            }
        }
    }

    /// Rooms warm and cool; true where a thermostat switched.
    fn warm_rooms(&mut self, stage: &Stage, network: &mut Network, moment: &Moment, dt: f64) -> bool {
        let mut changed = false;
        for (at, around) in self.around.iter_mut().enumerate() {
            let Some(room) = around.room else { continue };
            let cells = network.cells.iter().zip(&moment.walls).zip(&moment.evals).zip(&stage.plant.places);
            let given = |((cell, wall), eval): ((&Cell, &f64), &crate::engine::cell::Eval)| {
                cell.outer_at(eval) * (wall - cell.around)
            };
            let heat: f64 = cells.filter(|(_, place)| **place == at).map(|(one, _)| given(one)).sum();
            let rate = heat + room.gain * (room.outside - around.t) + room.load;
            around.t += dt * rate / room.heat_capacity.max(1.0);
            let calls = if around.t > room.on {
                true
            } else if around.t < room.off {
                false
            } else {
                around.calls
            };
            changed |= calls != around.calls;
            around.calls = calls;
        }
        self.on_places(stage, &mut network.cells);
        changed
    }

    /// Fans run with the compressors at the condenser, always at the evaporator (common practice for coolers).
    pub(crate) fn on_cells(&self, cells: &mut [Cell]) {
        for (at, cell) in cells.iter_mut().enumerate() {
            self.on_coil(at, cell);
        }
        for frosted in &self.frost {
            if let Some(cell) = cells.get_mut(frosted.cell) {
                frosted.on_cell(cell);
            }
        }
    }

    fn on_coil(&self, at: usize, cell: &mut Cell) {
        if let Some(coil) = &mut cell.coil {
            coil.fan = if coil.condenses && !self.running { 0.1 } else { 1.0 };
            coil.glide = if self.running { GLIDE } else { 0.0 };
            self.faults.on_coil(at, coil);
        }
    }

    /// The air of a place is that damp from now on, whatever is taken out of it; its coils may frost.
    pub(crate) fn damp_air(&mut self, stage: &Stage, cells: &[Cell], place: usize, humidity: f64) {
        let Some(around) = self.around.get_mut(place) else { return };
        around.humidity = Some(humidity.clamp(0.0, 1.0));
        for (at, (cell, found)) in cells.iter().zip(&stage.plant.places).enumerate() {
            if *found == place && cell.coil.is_some() && self.frost.iter().all(|frosted| frosted.cell != at) {
                self.frost.push(Frosted::new(at, cell.outer));
            }
        }
    }

    /// Frost on a cell, kg.
    pub(crate) fn frost_on(&self, at: usize) -> f64 {
        self.frost.iter().find(|frosted| frosted.cell == at).map_or(0.0, |frosted| frosted.kg)
    }

    fn freeze(&mut self, stage: &Stage, network: &mut Network, moment: &Moment, dt: f64) {
        let air_pa = stage.assembly.circuit.atmosphere.as_pa();
        let mut frost = core::mem::take(&mut self.frost);
        for frosted in &mut frost {
            let at = frosted.cell;
            let around = stage.plant.places.get(at).and_then(|place| self.around.get(*place));
            let (Some(around), Some(cell)) = (around, network.cells.get_mut(at)) else { continue };
            frosted.go_on(cell, around, moment, air_pa, dt);
            self.on_coil(at, cell);
            frosted.on_cell(cell);
        }
        self.frost = frost;
    }

    /// Openings and speeds into the links.
    pub(crate) fn on_links(&mut self, stage: &Stage, links: &mut [Link], state: &State) {
        let graph = &stage.assembly.graph;
        self.running = false;
        for (id, joint) in graph.joints_with_ids() {
            let Some(link) = links.get_mut(id.index()) else { continue };
            match (&joint.kind, &mut link.law) {
                (JointKind::Compressor(_), Law::Compressor(machine)) => {
                    let wanted = stage.plant.has_solenoid || self.calls(None);
                    let on = state.lineup.is_active(id) && !self.stands(id) && wanted;
                    machine.speed = f64::from(u8::from(on));
                    self.running |= machine.speed > 0.0;
                    self.faults.on_machine(id, machine);
                }
                (JointKind::RecoveryMachine, Law::Recovery { speed, .. }) => {
                    let stopped = self.recoverers.iter().any(|one| one.joint == id && one.stop.is_some());
                    *speed = f64::from(u8::from(state.lineup.is_active(id) && !stopped));
                }
                (JointKind::Metering(kind), Law::Passage(passage)) => {
                    if let Some(meter) = self.meters.iter().find(|meter| meter.joint == id) {
                        let leak =
                            if matches!(kind, Metering::Thermostatic { bleed: true }) { BLEED } else { SEAT };
                        let open = match kind {
                            Metering::Orifice | Metering::Capillary => 1.0,
                            _ => leak + (1.0 - leak) * meter.opening,
                        };
                        (passage.open, passage.back) = (open, open);
                    }
                }
                (JointKind::Solenoid { energised_opens, .. }, Law::Passage(passage)) => {
                    let evaporator = stage.plant.behind.iter().find(|(joint, _)| *joint == id);
                    let place =
                        evaporator.and_then(|(_, space)| stage.plant.places.get(space.index()).copied());
                    let held = state.lineup.held_open.contains(&id);
                    let energised = state.lineup.is_active(id) && self.calls(place);
                    passage.open = f64::from(u8::from(held || energised == *energised_opens));
                    passage.back = 1.0;
                }
                (JointKind::NitrogenRegulator, Law::Passage(passage)) => {
                    passage.open = self.lifts[id.index()];
                    passage.gate = Gate::Downstream(0.97 * self.regulator, 1.003 * self.regulator);
                }
                (_, Law::Passage(passage)) if joint.stem.is_some() => {
                    let lift = self.lifts[id.index()];
                    (passage.open, passage.back) = (lift, lift);
                }
                _ => {}
            }
            if let Law::Passage(passage) = &mut link.law {
                self.faults.on_passage(id, passage);
            }
        }
    }

    pub(crate) fn leaks(&self, stage: &Stage) -> Vec<Link> {
        self.faults.leaks(stage)
    }

    /// After a step: everything moves on. True where machines started or stopped.
    pub(crate) fn after(
        &mut self,
        stage: &Stage,
        network: &mut Network,
        moment: &Moment,
        state: &State,
        dt: f64,
    ) -> bool {
        self.turn_stems(stage, state, dt);
        self.follow_superheat(stage, network, moment, dt);
        let mut changed = self.watch(stage, network, moment, state, dt);
        changed |= self.recover(network, moment, state);
        changed |= self.warm_rooms(stage, network, moment, dt);
        if !self.frost.is_empty() {
            self.freeze(stage, network, moment, dt);
        }
        self.on_links(stage, &mut network.links, state);
        self.warm_shells(&network.links, &mut network.cells, moment);
        changed
    }

    fn turn_stems(&mut self, stage: &Stage, state: &State, dt: f64) {
        self.moving = false;
        for (id, joint) in stage.assembly.graph.joints_with_ids() {
            let (Some(stem), Some(lift)) = (&joint.stem, self.lifts.get_mut(id.index())) else { continue };
            let to = target(state, id);
            // A turn a second.
            let most = dt / stem.turns.value.max(0.2);
            *lift += (to - *lift).clamp(-most, most);
            self.moving |= (to - *lift).abs() > 1e-9;
        }
    }

    /// Whether a stem is still being turned.
    pub(crate) const fn turning(&self) -> bool {
        self.moving
    }

    fn follow_superheat(&mut self, stage: &Stage, network: &Network, moment: &Moment, dt: f64) {
        let running = self.running;
        let lag = |time: f64| 1.0 - libm::exp(-dt / time);
        for meter in &mut self.meters {
            let Some(at) = meter.evaporator else { continue };
            let out = outlet(network, moment, at);
            meter.bulb += (out - meter.bulb) * lag(VALVE.bulb_s);
            let p = moment.evals[at].p_r.max(1e3);
            let wanted = match meter.kind {
                Metering::Electronic if !running => 0.0,
                _ => {
                    // A bulb is charged for what the file says.
                    let medium = &stage.label;
                    let slope = medium.dew_slope(p);
                    let bulb = medium.dew(meter.bulb + self.faults.bulb(meter.joint));
                    VALVE.position(bulb, p, slope).0.clamp(0.0, 1.0)
                }
            };
            meter.opening += (wanted - meter.opening) * lag(STEM);
        }
    }

    fn watch(&mut self, stage: &Stage, network: &Network, moment: &Moment, state: &State, dt: f64) -> bool {
        let mut changed = false;
        for starter in &mut self.starters {
            let Some(link) = network.links.get(starter.joint.index()) else { continue };
            let Law::Compressor(machine) = &link.law else { continue };
            let (a, b) = (&moment.evals[link.a.cell], &moment.evals[link.b.cell]);
            let before = starter.trip;
            let runs = machine.speed > 0.0;
            starter.warm(stage, machine, network, moment, link, dt);
            if !state.jumpered {
                match starter.trip {
                    None if runs && starter.low.is_some_and(|low| a.p < low) => {
                        starter.trip = Some(Trip::LowPressure)
                    }
                    None if runs && starter.high.is_some_and(|high| b.p > high) => {
                        starter.trip = Some(Trip::HighPressure)
                    }
                    Some(Trip::LowPressure)
                        if starter.stood > REST && starter.low.is_none_or(|low| a.p > low + DIFFERENTIAL) =>
                    {
                        starter.trip = None
                    }
                    _ => {}
                }
            }
            if starter.motor > HOT && starter.trip.is_none() && runs {
                starter.trip = Some(Trip::Motor);
            } else if starter.trip == Some(Trip::Motor) && starter.motor < COOL {
                starter.trip = None;
            }
            if starter.slug > SLUG * machine.swept() / 25.0 * 1e3 || starter.motor > BURNT {
                starter.trip = Some(Trip::Broken);
            }
            let waited = starter.waits();
            starter.stood = if runs { 0.0 } else { starter.stood + dt };
            changed |= before != starter.trip || waited != starter.waits();
        }
        changed
    }

    /// A recovery machine stops at its lowest pressure and at its high-pressure control, and starts again; true where it did.
    fn recover(&mut self, network: &Network, moment: &Moment, state: &State) -> bool {
        let mut changed = false;
        for one in &mut self.recoverers {
            let Some(link) = network.links.get(one.joint.index()) else { continue };
            let Law::Recovery { machine, .. } = &link.law else { continue };
            let before = one.stop;
            let (inlet, outlet) = (moment.evals[link.a.cell].p, moment.evals[link.b.cell].p);
            one.stop =
                if state.lineup.is_active(one.joint) { machine.stops(one.stop, inlet, outlet) } else { None };
            changed |= before != one.stop;
        }
        changed
    }

    /// Why the recovery machine stands although it was started.
    pub(crate) fn recovery_stop(&self) -> Option<Stop> {
        self.recoverers.iter().find_map(|one| one.stop)
    }

    pub(crate) fn read_gauges(&mut self, moment: &Moment, atmosphere: f64, dt: f64) {
        let part = |lag: f64| 1.0 - libm::exp(-dt / lag);
        for gauge in &mut self.gauges {
            let Some(eval) = moment.evals.get(gauge.hose.index()) else { continue };
            let rest = self.dial.at_rest_pa(eval.p - atmosphere) + atmosphere;
            gauge.pascal += (rest - gauge.pascal) * part(self.dial.lag_s);
        }
        if let Some(eval) = moment.evals.get(self.centre) {
            self.vacuum += (eval.p - self.vacuum) * part(gauge::MicronGauge::COMMON.lag_s);
        }
    }

    pub(crate) fn put_fault(&mut self, fault: Fault) {
        self.faults.put(fault);
    }
}

impl Starter {
    /// Whether it has stood too short a while.
    fn waits(&self) -> bool {
        self.stood > 0.0 && self.stood < self.guard.delay_s
    }

    /// Warms and cools the motor, and counts the liquid that was drawn in.
    fn warm(
        &mut self,
        stage: &Stage,
        machine: &crate::engine::network::Machine,
        network: &Network,
        moment: &Moment,
        link: &Link,
        dt: f64,
    ) {
        let (a, b) = (&moment.evals[link.a.cell], &moment.evals[link.b.cell]);
        let cell = &network.cells[link.a.cell];
        let from = crate::engine::network::stream(cell, a, link.a.draw);
        let (flow, shaft, electric) = machine.run(&from, a.p, b.p);
        let design = &stage.plant.design;
        // Half of the cooling is by the gas that passes; in a vacuum it is gone. 35 K above the gas at the design point (common practice).
        let over = self.rated.max(1.0) / 35.0;
        let gas = 0.75 * over * (flow / (machine.swept() * design.suction_density).max(1e-9)).min(1.5);
        let shell = 0.25 * over * (a.rho / design.suction_density).clamp(0.15, 1.0);
        let cooling = gas + shell;
        // 600 J/K for each kilowatt of capacity in winding and iron.
        let heat = (600.0 * self.rated / 150.0).max(50.0);
        // In thin gas a motor idles, but its own losses remain.
        let losses = (electric - shaft) + if machine.speed > 0.0 { 0.35 * self.rated } else { 0.0 };
        let end = a.t + losses / cooling;
        self.climbs = (end - self.motor) * cooling / heat;
        self.motor += (end - self.motor) * (1.0 - libm::exp(-dt * cooling / heat));
        let drawn = from.liquid * flow * dt;
        self.slug = self.slug * libm::exp(-dt / 10.0) + drawn;
    }
}

/// How far open a stem's position is.
fn target(state: &State, joint: JointId) -> f64 {
    match state.lineup.position(joint) {
        Some(Position::FrontSeated | Position::Shut) => 0.0,
        _ => 1.0,
    }
}

/// Temperature at a coil's far end, K.
pub(crate) fn outlet(network: &Network, moment: &Moment, at: usize) -> f64 {
    let (cell, eval) = (&network.cells[at], &moment.evals[at]);
    cell.coil.as_ref().map_or(eval.t, |coil| coil.outlet(cell, eval))
}
