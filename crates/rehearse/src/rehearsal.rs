//! A rehearsal: a circuit with its rig in motion, from any state, with a clock.

use std::collections::BTreeSet;
use std::sync::Arc;

use stemwise_circuit::{Assembly, JointId, PlaceId, PortId, SpaceId};
use stemwise_service::{Action, Refused, State, handle};
use stemwise_units::{Mass, Pressure, Temperature};

use crate::control::{Controls, Guard, Room};
use crate::design::Assumed;
use crate::engine::cell::{AIR, Amounts, COUNTED, ENERGY, Eval, GAS, NITROGEN, WATER, thermal};
use crate::engine::medium::Medium;
use crate::engine::step::{Accuracy, Moment, Network, Scratch, Statistics};
use crate::faults::Fault;
use crate::log::{Entry, Log};
use crate::plant::{Normal, Plant};
use crate::record::Curves;
use crate::sump::{self, Sump};
use crate::task::Task;
use crate::wet;

/// Why there is no rehearsal.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// The refrigerant has no tables.
    #[error("{refrigerant} can't be rehearsed: {why}")]
    Refrigerant {
        /// Its name.
        refrigerant: String,
        /// What the properties said.
        why: String,
    },
    /// The state is of another circuit.
    #[error("the state has {state} spaces, the circuit with its rig {assembly}")]
    OtherCircuit {
        /// Spaces of the state.
        state: usize,
        /// Spaces of the assembly.
        assembly: usize,
    },
}

/// What has crossed the border since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ledger {
    /// Heat from the surroundings and heaters, J.
    pub heat: f64,
    /// Work of machines, less what their coolers give off, J.
    pub work: f64,
    /// Energy that hands put in or took out (a hose taken off), J.
    pub hands: f64,
}

/// What never changes while a rehearsal runs; copies share it.
#[derive(Debug)]
pub(crate) struct Stage {
    pub(crate) assembly: Assembly,
    /// What is inside.
    pub(crate) medium: Arc<Medium>,
    /// What ought to be: valves are charged for it, and who reads a gauge goes by it.
    pub(crate) label: Arc<Medium>,
    pub(crate) plant: Plant,
}

/// A circuit in motion. A copy is cheap and goes its own way: that is how a moment is saved, restored, and looked ahead from.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    pub(crate) stage: Arc<Stage>,
    /// As hands left it; its contents are those of the start.
    pub(crate) state: State,
    pub(crate) normal: Normal,
    pub(crate) network: Network,
    pub(crate) moment: Moment,
    scratch: Scratch,
    pub(crate) seconds: f64,
    pub(crate) controls: Controls,
    pub(crate) tasks: Vec<Task>,
    pub(crate) open_ports: BTreeSet<PortId>,
    /// What has burst and stays so.
    pub(crate) burst: BTreeSet<SpaceId>,
    /// Oil in the crankcases.
    pub(crate) sumps: Vec<Sump>,
    pub(crate) log: Log,
    pub(crate) curves: Curves,
    pub(crate) ledger: Ledger,
    /// How fast pressure and level of each cell change at the moment.
    pub(crate) rates: Vec<Rate>,
    statistics: Statistics,
    tolerance: f64,
}

/// How fast a cell changes, smoothed over some seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Rate {
    /// Pa/s.
    pub(crate) pressure: f64,
    /// Part of the volume a second.
    pub(crate) liquid: f64,
}

/// Error of a step as a part of what each space holds.
const TOLERANCE: f64 = 5e-5;
/// The longest step while a machine runs, while one stands that may start by itself, and while all stands, s.
const LONGEST_RUNNING: f64 = 3.0;
const LONGEST_WAITING: f64 = 30.0;
const LONGEST_STANDING: f64 = 120.0;

impl Rehearsal {
    /// From a circuit with its rig and any state of it.
    ///
    /// # Errors
    /// [`Error`].
    pub fn new(assembly: &Assembly, state: &State) -> Result<Self, Error> {
        let name = &assembly.circuit.refrigerant;
        let medium = Medium::named(name)
            .map_err(|why| Error::Refrigerant { refrigerant: name.clone(), why: why.to_string() })?;
        Self::with(Arc::new(medium), assembly, state)
    }

    /// The same with a refrigerant that was made ready before: making it takes a few tenths of a second.
    ///
    /// # Errors
    /// [`Error::OtherCircuit`].
    pub fn with(medium: Arc<Medium>, assembly: &Assembly, state: &State) -> Result<Self, Error> {
        let spaces = assembly.graph.spaces.len();
        if state.contents.len() != spaces {
            return Err(Error::OtherCircuit { state: state.contents.len(), assembly: spaces });
        }
        let plant = Plant::new(assembly, &medium);
        let stage = Arc::new(Stage { assembly: assembly.clone(), label: Arc::clone(&medium), medium, plant });
        let mut rehearsal = Self {
            normal: Normal::new(assembly, state.lineup.mode),
            network: Network::default(),
            moment: Moment::default(),
            scratch: Scratch::default(),
            seconds: 0.0,
            controls: Controls::new(&stage, state),
            tasks: Vec::new(),
            open_ports: BTreeSet::new(),
            burst: BTreeSet::new(),
            sumps: stage.plant.sumps.clone(),
            log: Log::default(),
            curves: Curves::default(),
            ledger: Ledger::default(),
            rates: Vec::new(),
            statistics: Statistics::default(),
            tolerance: TOLERANCE,
            state: state.clone(),
            stage,
        };
        rehearsal.fill();
        rehearsal.fill_sumps();
        rehearsal.rebuild();
        rehearsal.controls.settle_in(&rehearsal.network, &rehearsal.moment);
        rehearsal.observe(0.0);
        Ok(rehearsal)
    }

    /// The circuit with its rig.
    pub fn assembly(&self) -> &Assembly {
        &self.stage.assembly
    }
    /// Seconds since the start.
    pub const fn seconds(&self) -> f64 {
        self.seconds
    }
    /// What was taken by rule because the file doesn't say.
    pub fn assumed(&self) -> &[Assumed] {
        &self.stage.plant.assumed
    }
    /// What the steps cost so far.
    pub const fn statistics(&self) -> Statistics {
        self.statistics
    }
    /// What has crossed the border so far.
    pub const fn ledger(&self) -> Ledger {
        self.ledger
    }
    /// What was done, when.
    pub const fn log(&self) -> &Log {
        &self.log
    }
    /// The recorded curves.
    pub const fn curves(&self) -> &Curves {
        &self.curves
    }
    /// What is going on and ends by itself.
    pub fn tasks(&self) -> &[Task] {
        &self.tasks
    }
    /// How exact the steps are: the error of each as a part of what a space holds; 5e-5 unless set.
    pub fn set_tolerance(&mut self, tolerance: f64) {
        self.tolerance = tolerance.clamp(1e-7, 1e-2);
    }

    /// The cells from the state's contents.
    fn fill(&mut self) {
        let stage = &self.stage;
        let assembly = &stage.assembly;
        self.network.cells = stage.plant.cells(assembly, &self.normal, true);
        let volume = |at: usize| self.network.cells[at].volume;
        let amounts = self.state.contents.iter().enumerate().map(|(at, held)| {
            let t = held.temperature.as_k();
            let mass = held.refrigerant.as_kg().max(trace_of(volume(at)));
            let mut all = [mass, 0.0, held.air.as_kg(), held.nitrogen.as_kg(), 0.0];
            all[ENERGY] = mass * stage.medium.energy(t, mass / volume(at)) + thermal(&all, t);
            all
        });
        self.moment.amounts = amounts.chain([[0.0; COUNTED]]).collect();
        self.moment.walls =
            self.state.contents.iter().map(|held| held.temperature.as_k()).chain([293.15]).collect();
        self.network.evaluate(&stage.medium, &mut self.moment);
        for (at, cell) in self.network.cells.iter().enumerate().filter(|(_, cell)| cell.boundless) {
            self.moment.amounts[at] = [0.0; COUNTED];
            self.moment.evals[at] = if at == stage.plant.supply {
                full_cylinder(&stage.medium, cell.around)
            } else {
                outside(assembly.circuit.atmosphere.as_pa(), cell.around)
            };
        }
        self.moment.next = crate::engine::step::FIRST;
    }

    /// What is dissolved in oil as it starts: it is of the charge, and missing where most of that is.
    fn fill_sumps(&mut self) {
        if self.sumps.is_empty() {
            return;
        }
        let stage = Arc::clone(&self.stage);
        self.moment.oil = vec![0.0; self.network.cells.len()];
        for sump in &self.sumps {
            let (eval, wall) = (&self.moment.evals[sump.cell], self.moment.walls[sump.cell]);
            let wanted = sump.at_the_start(&stage.medium, &stage.plant.design, eval.p_r, wall);
            let own = stage.assembly.circuit.graph.spaces.len();
            let held = self.moment.amounts.iter().take(own).map(|amounts| amounts[0]).enumerate();
            let Some((at, most)) = held.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
            let taken = wanted.min(0.5 * most);
            let amounts = &mut self.moment.amounts[at];
            // At the state that it has there.
            amounts[ENERGY] *= 1.0 - taken / most.max(1e-12);
            amounts[0] -= taken;
            self.moment.oil[sump.cell] += taken;
            self.network.evaluate_one(&stage.medium, &mut self.moment, at);
        }
    }

    /// Links and cells as the lineup has them now.
    pub(crate) fn rebuild(&mut self) {
        let stage = Arc::clone(&self.stage);
        let (assembly, plant) = (&stage.assembly, &stage.plant);
        self.network.links = plant.links(assembly, &self.state, &self.normal);
        let atmosphere = assembly.rigged.atmosphere;
        for &space in self.state.open_spaces.union(&self.burst) {
            let bore = plant.shapes.get(space.index()).map_or(8e-3, |shape| shape.bore);
            let area = 0.6 * core::f64::consts::FRAC_PI_4 * bore * bore;
            self.network.links.push(plant.opening(space, atmosphere, area));
        }
        for &port in &self.open_ports {
            if let Some(space) = self.port_space(port) {
                // The hole of a core: about 4 mm.
                self.network.links.push(plant.opening(space, atmosphere, 0.6 * 1.2e-5));
            }
        }
        for task in &self.tasks {
            self.network.links.extend(task.link(&stage));
        }
        self.network.links.extend(self.controls.leaks(&stage));
        self.network.relink();
        self.controls.on_links(&stage, &mut self.network.links, &self.state);
        self.network.cells = plant.cells(assembly, &self.normal, true);
        self.controls.on_cells(&mut self.network.cells);
        self.controls.on_places(&stage, &mut self.network.cells);
        self.controls.warm_shells(&self.network.links, &mut self.network.cells, &self.moment);
        self.moment.disturb();
    }

    fn port_space(&self, port: PortId) -> Option<SpaceId> {
        stemwise_circuit::port_reach(&self.stage.assembly.graph, port, &self.state.lineup)?.space
    }

    /// Does an action, at once; what it starts goes on as time advances.
    ///
    /// # Errors
    /// [`Refused`] where hands can't do it.
    pub fn act(&mut self, action: &Action) -> Result<(), Refused> {
        let stage = Arc::clone(&self.stage);
        let after = handle(&stage.assembly, stage.medium.substance(), &self.state, action)?;
        let before = core::mem::replace(&mut self.state, after);
        // Amounts live in the cells; what hands did to the state's own is no more than a note there.
        self.state.contents.clone_from(&before.contents);
        self.state.left = before.left;
        self.log.push(Entry::Act(action.clone()));
        match action {
            Action::DetachHose { port } => {
                if let Some(hose) = before.lineup.hose_on(*port) {
                    self.empty_out(hose);
                }
            }
            Action::PullCore { port, with_tool: false } if self.state.lineup.hose_on(*port).is_none() => {
                self.open_ports.insert(*port);
            }
            Action::PutCoreBack { port } => {
                self.open_ports.remove(port);
            }
            Action::AttachHose { port, .. } => {
                self.open_ports.remove(port);
            }
            Action::Evacuate { .. } | Action::AdmitNitrogen { .. } | Action::ReleaseNitrogen { .. } => {
                self.tasks.extend(Task::of(&stage, action));
                if let Some(set) = self.tasks.iter().filter_map(Task::regulator).next_back() {
                    self.controls.regulator = set;
                }
            }
            Action::Charge { .. } | Action::ChargeThrottled { .. } => {
                self.tasks.extend(Task::of(&stage, action))
            }
            Action::AddOil { mass } => {
                self.state.left.oil_kg += mass.as_kg();
                let each = mass.as_kg() / self.sumps.len().max(1) as f64;
                self.sumps.iter_mut().for_each(|sump| sump.oil += each);
            }
            Action::CloseUp { spaces, .. } => self.renew_oil(spaces),
            Action::Start(joint) => self.controls.started(*joint),
            _ => {}
        }
        if before.lineup.mode != self.state.lineup.mode {
            self.normal = Normal::new(&stage.assembly, self.state.lineup.mode);
        }
        self.rebuild();
        Ok(())
    }

    /// Puts a fault in. One that concerns the charge acts once; every other stays, and one of the same kind at the same thing takes its place.
    pub fn put_fault(&mut self, fault: Fault) {
        self.log.push(Entry::Fault(fault));
        match fault {
            Fault::Undercharge { missing } => self.put_in(-missing, 0.0),
            Fault::Overcharge { more } => self.put_in(more, 0.0),
            Fault::Air { mass } => self.put_in(0.0, mass),
            Fault::Moisture { space, mass } => self.wet(space, mass),
            Fault::DampAir { place, humidity } => {
                self.controls.damp_air(&self.stage, &self.network.cells, place.index(), humidity);
            }
            _ => self.controls.put_fault(fault),
        }
        self.rebuild();
    }

    /// Puts refrigerant and air (kg) where most refrigerant is, at the state it has there; takes it out if less than nothing.
    fn put_in(&mut self, refrigerant: f64, air: f64) {
        let cells = self.network.cells.iter().zip(&self.moment.amounts).enumerate();
        let own = self.stage.assembly.circuit.graph.spaces.len();
        let inside = cells.filter(|(at, (cell, _))| *at < own && !cell.boundless);
        let high = |at: usize| self.normal.high.get(at).copied().unwrap_or(false);
        let held =
            |(at, (_, amounts)): (usize, (_, &Amounts))| (at, amounts[0] * if high(at) { 1.0 } else { 1e-3 });
        let Some((at, _)) = inside.map(held).max_by(|a, b| a.1.total_cmp(&b.1)) else { return };
        let (amounts, t) = (self.moment.amounts[at], self.moment.evals[at].t);
        let mass = refrigerant.max(-0.95 * amounts[0]);
        let mut change = [mass, 0.0, air.max(0.0), 0.0, 0.0];
        change[ENERGY] = mass * amounts[ENERGY] / amounts[0].max(1e-12) + thermal(&change, t);
        let outside = self.stage.assembly.rigged.atmosphere.index();
        for (kind, part) in change.iter().enumerate() {
            self.moment.amounts[at][kind] += part;
            self.moment.amounts[outside][kind] -= part;
        }
        self.network.evaluate_one(&self.stage.medium, &mut self.moment, at);
    }

    /// Another refrigerant is in the circuit than its file says, all of it: each space keeps its temperature and its level of liquid, and the pressures
    /// become those of what is inside. What stands on the scale is then the same. Sizes, valves and what a view says of superheat and subcooling
    /// stay by the file, as hands would reckon them.
    pub fn put_refrigerant(&mut self, medium: Arc<Medium>) {
        self.log.push(Entry::Refrigerant(medium.substance().name()));
        let old = Arc::clone(&self.stage);
        let plant = old.plant.with_inside(&old.assembly, &medium);
        let stage = Stage { assembly: old.assembly.clone(), label: Arc::clone(&old.label), medium, plant };
        let outside = stage.assembly.rigged.atmosphere.index();
        for at in (0..self.network.cells.len()).filter(|&at| !self.network.cells[at].boundless) {
            let (before, t) = (self.moment.amounts[at], self.moment.evals[at].t);
            let after = self.exchanged(&old.medium, &stage, at);
            for (kind, (new, old)) in after.iter().zip(before).enumerate() {
                self.moment.amounts[outside][kind] -= new - old;
            }
            self.moment.amounts[at] = after;
            self.moment.evals[at].t = t;
            self.network.evaluate_one(&stage.medium, &mut self.moment, at);
        }
        // What is dissolved in oil is another's too, with another's energy.
        let change = sump::energy_of(&stage.medium) - sump::energy_of(&old.medium);
        self.moment.amounts[outside][ENERGY] -= change * self.moment.oil.iter().sum::<f64>();
        let supply = stage.plant.supply;
        self.moment.evals[supply] = full_cylinder(&stage.medium, self.network.cells[supply].around);
        self.stage = Arc::new(stage);
        self.rebuild();
    }

    /// What a cell holds with the stage's refrigerant instead of another one.
    fn exchanged(&self, old: &Medium, stage: &Stage, at: usize) -> Amounts {
        let (eval, volume, new) = (self.moment.evals[at], self.network.cells[at].volume, &stage.medium);
        let mut amounts = self.moment.amounts[at];
        let own = at < stage.assembly.circuit.graph.spaces.len();
        if own && amounts[0] > trace_of(volume) {
            let phases = |medium: &Medium| {
                let t = eval.t.min(0.96 * medium.substance().critical_temperature().as_k());
                medium.phases(medium.bubble(t))
            };
            let (was, is) = (phases(old), phases(new));
            // A level that leaves some room, as warmer liquid may grow more.
            let liquid = eval.alpha.clamp(0.0, 0.98);
            let vapour = if eval.alpha > 0.0 { 1.0 } else { (amounts[0] / (volume * was.rho_v)).min(1.0) };
            amounts[0] = volume * (liquid * is.rho_l + (1.0 - liquid) * vapour * is.rho_v);
        }
        amounts[ENERGY] = amounts[0] * new.energy(eval.t, amounts[0] / volume) + thermal(&amounts, eval.t);
        amounts
    }

    /// Puts water (kg) on the wall of a space.
    fn wet(&mut self, space: SpaceId, mass: f64) {
        let at = space.index();
        if !(mass > 0.0 && mass.is_finite()) || self.network.cells.get(at).is_none_or(|cell| cell.boundless) {
            return;
        }
        self.moment.damp.resize(self.network.cells.len(), 0.0);
        self.moment.damp[at] += mass;
        let outside = self.stage.assembly.rigged.atmosphere.index();
        self.moment.amounts[outside][WATER] -= mass;
        self.moment.amounts[outside][ENERGY] -= mass * wet::energy();
    }

    /// Gives a place another temperature; its room, if it had one, is gone.
    pub fn set_place(&mut self, place: PlaceId, temperature: Temperature) {
        self.log.push(Entry::Place(place, temperature));
        if let Some(around) = self.controls.around.get_mut(place.index()) {
            (around.t, around.room, around.calls) = (temperature.as_k(), None, true);
        }
        self.rebuild();
    }

    /// Makes a place a room that warms and cools, with a thermostat.
    pub fn set_room(&mut self, place: PlaceId, room: Room) {
        self.log.push(Entry::Room(place, room));
        if let Some(around) = self.controls.around.get_mut(place.index()) {
            around.room = Some(room);
        }
        self.rebuild();
    }

    /// Gives a compressor a crankcase heater and a delay, or takes them away; nothing where the joint is none.
    pub fn set_guard(&mut self, joint: JointId, guard: Guard) {
        self.log.push(Entry::Guard(joint, guard));
        self.controls.guard(joint, guard);
        self.rebuild();
    }

    /// Temperature of a place.
    pub fn place(&self, place: PlaceId) -> Option<Temperature> {
        self.controls.around.get(place.index()).map(|around| Temperature::from_k(around.t))
    }

    /// What was in a space is outside, and nothing is left in it.
    fn empty_out(&mut self, space: SpaceId) {
        let (at, outside) = (space.index(), self.stage.assembly.rigged.atmosphere.index());
        let gone = self.moment.amounts[at];
        for (slot, part) in self.moment.amounts[outside].iter_mut().zip(gone) {
            *slot += part;
        }
        let volume = self.network.cells[at].volume;
        let left = trace_of(volume);
        let t = self.network.cells[at].around;
        self.moment.amounts[at] = [left, left * self.stage.medium.thin_energy(t).0, 0.0, 0.0, 0.0];
        let kept = self.moment.amounts[at];
        for (slot, part) in self.moment.amounts[outside].iter_mut().zip(kept) {
            *slot -= part;
        }
        self.network.evaluate_one(&self.stage.medium, &mut self.moment, at);
    }

    /// A compressor that was opened is another one now, with fresh oil: what was dissolved in the old oil went out with it.
    fn renew_oil(&mut self, spaces: &[SpaceId]) {
        let outside = self.stage.assembly.rigged.atmosphere.index();
        for sump in self.sumps.iter().filter(|sump| spaces.iter().any(|space| space.index() == sump.cell)) {
            let gone = core::mem::take(&mut self.moment.oil[sump.cell]);
            self.moment.amounts[outside][0] += gone;
            self.moment.amounts[outside][ENERGY] += gone * sump::energy_of(&self.stage.medium);
        }
    }

    /// Lets time pass.
    pub fn advance(&mut self, seconds: f64) {
        if !(seconds > 0.0 && seconds.is_finite()) {
            return;
        }
        self.log.push(Entry::Advance(seconds));
        let end = self.seconds + seconds;
        while end - self.seconds > 1e-9 {
            self.tick(end - self.seconds);
        }
        self.seconds = end;
    }

    /// The same with a limit to the steps, for a face that must stay awake. Returns the seconds that passed; these are what the log holds.
    pub fn advance_within(&mut self, seconds: f64, steps: u64) -> f64 {
        if !(seconds > 0.0 && seconds.is_finite()) {
            return 0.0;
        }
        let (start, limit) = (self.seconds, self.statistics.steps + steps.max(1));
        let end = start + seconds;
        while end - self.seconds > 1e-9 && self.statistics.steps < limit {
            self.tick(end - self.seconds);
        }
        if end - self.seconds <= 1e-9 {
            self.seconds = end;
        }
        let passed = self.seconds - start;
        self.log.push(Entry::Within { seconds, steps });
        passed
    }

    /// One step of the engine, and what follows it.
    fn tick(&mut self, most: f64) {
        let runs = self.network.links.iter().any(|link| link.law.runs());
        let longest = match runs {
            true => LONGEST_RUNNING,
            false if self.controls.may_switch() => LONGEST_WAITING,
            false => LONGEST_STANDING,
        };
        let longest = self.tasks.iter().map(Task::longest).fold(longest, f64::min);
        let accuracy = Accuracy { tolerance: self.tolerance, longest: longest.min(self.controls.longest()) };
        let stage = Arc::clone(&self.stage);
        self.network.count(&self.moment);
        sump::soak(&self.sumps, &self.controls, &stage.medium, &mut self.network, &self.moment);
        wet::seep(&mut self.network.cells, &self.moment, accuracy.longest.min(most));
        let before: Vec<(f64, f64)> = self.moment.evals.iter().map(|eval| (eval.p, eval.alpha)).collect();
        let done = self.network.step(
            &stage.medium,
            &mut self.moment,
            &mut self.scratch,
            &accuracy,
            most,
            &mut self.statistics,
        );
        self.seconds += done.seconds;
        self.follow(&before, done.seconds);
        self.ledger.heat += done.heat;
        self.ledger.work += done.work;
        let changed = self.controls.after(&stage, &mut self.network, &self.moment, &self.state, done.seconds);
        let ended = self.go_on_with_tasks(done.seconds);
        if self.bursts() || changed || ended {
            self.rebuild();
        }
        self.observe(done.seconds);
    }

    fn follow(&mut self, before: &[(f64, f64)], dt: f64) {
        self.rates.resize(before.len(), Rate::default());
        let part = 1.0 - libm::exp(-dt / 3.0);
        for ((rate, old), new) in self.rates.iter_mut().zip(before).zip(&self.moment.evals) {
            rate.pressure += part * ((new.p - old.0) / dt - rate.pressure);
            rate.liquid += part * ((new.alpha - old.1) / dt - rate.liquid);
        }
    }

    /// The weakest of the spaces that can't hold their pressure any more breaks; true where one did.
    fn bursts(&mut self) -> bool {
        let graph = &self.stage.assembly.graph;
        let part = |id: SpaceId| {
            let (eval, limit) = (self.moment.evals.get(id.index())?, self.burst_pressure(id)?.as_pa());
            (eval.p >= limit && !self.burst.contains(&id)).then_some((id, eval.p / limit))
        };
        let weak = graph.spaces_with_ids().filter_map(|(id, _)| part(id));
        let weakest = weak.max_by(|one, other| one.1.total_cmp(&other.1));
        self.burst.extend(weakest.map(|(id, _)| id));
        weakest.is_some()
    }

    /// Tasks that have come to their end are taken off the list.
    fn go_on_with_tasks(&mut self, dt: f64) -> bool {
        if self.tasks.is_empty() {
            return false;
        }
        let stage = Arc::clone(&self.stage);
        let mut left = Vec::new();
        let mut changed = false;
        for mut task in core::mem::take(&mut self.tasks) {
            changed |= task.look(&stage, &self.network, &self.moment, &mut self.state, dt);
            if !task.is_over() {
                left.push(task);
            }
        }
        self.tasks = left;
        changed
    }

    fn observe(&mut self, dt: f64) {
        let atmosphere = self.stage.assembly.circuit.atmosphere.as_pa();
        self.controls.read_gauges(&self.moment, atmosphere, dt);
        self.curves.take(self.seconds, &self.controls.gauges);
    }

    /// The state at this moment, as the other parts of the program know it. What is dissolved in oil is not among its contents: settling knows no oil.
    pub fn state(&self) -> State {
        let mut state = self.state.clone();
        for ((held, amounts), eval) in
            state.contents.iter_mut().zip(&self.moment.amounts).zip(&self.moment.evals)
        {
            held.refrigerant = Mass::from_kg(amounts[0].max(0.0));
            held.air = Mass::from_kg(amounts[AIR].max(0.0));
            held.nitrogen = Mass::from_kg(amounts[NITROGEN].max(0.0));
            held.temperature = Temperature::from_k(eval.t);
        }
        let atmosphere = self.stage.assembly.rigged.atmosphere.index();
        if let Some(held) = state.contents.get_mut(atmosphere) {
            (held.refrigerant, held.air, held.nitrogen) =
                (Mass::from_kg(0.0), Mass::from_kg(0.0), Mass::from_kg(0.0));
        }
        let away = |at: usize| self.moment.amounts.get(at).map_or(0.0, |amounts| amounts[0]);
        state.left.lost_kg += away(atmosphere);
        if let Some(cylinder) = self.stage.assembly.rigged.cylinder {
            let before = self.state.held(cylinder).map_or(0.0, |held| held.refrigerant.as_kg());
            state.left.recovered_kg += away(cylinder.index()) - before;
        }
        let supply = self.stage.plant.supply;
        state.left.new_kg -= away(supply);
        state.left.charged_kg -= away(supply);
        state
    }

    /// Water over all cells, as vapour and on the walls; less what came in from outside. It stays what it was at the start.
    pub fn water(&self) -> Mass {
        let vapour: f64 = self.moment.amounts.iter().map(|amounts| amounts[WATER]).sum();
        Mass::from_kg(vapour + self.moment.damp.iter().sum::<f64>())
    }

    /// Everything that is counted, over all cells: refrigerant (kg), energy with that of the walls (J), air, nitrogen (kg).
    pub fn totals(&self) -> [f64; 4] {
        let mut sum = [0.0; COUNTED];
        for amounts in &self.moment.amounts {
            sum.iter_mut().zip(amounts).for_each(|(slot, part)| *slot += part);
        }
        let walls: f64 = self
            .network
            .cells
            .iter()
            .zip(&self.moment.walls)
            .filter(|(cell, _)| !cell.boundless)
            .map(|(cell, t)| cell.wall * t)
            .sum();
        let damp: f64 = self.moment.damp.iter().sum();
        let oil: f64 = self.moment.oil.iter().sum();
        let energy = sum[ENERGY] + walls + damp * wet::energy() + oil * sump::energy_of(&self.stage.medium);
        [sum[0] + oil, energy, sum[AIR], sum[NITROGEN]]
    }

    /// Whether a joint's machine runs at this moment.
    pub fn runs(&self, joint: JointId) -> bool {
        self.network.links.get(joint.index()).is_some_and(|link| link.law.runs())
    }

    /// The part of a space's volume that liquid fills.
    pub fn liquid_fraction(&self, space: SpaceId) -> f64 {
        self.moment.evals.get(space.index()).map_or(0.0, |eval| eval.alpha)
    }

    /// Density of the liquid in a space, or of what it would be there, kg/m³; none for a space that isn't there.
    ///
    /// ```
    /// # use stemwise_circuit::{Assembly, Rig, SpaceId, examples, read};
    /// # use stemwise_service::{Refrigerant, State, Stops, required_level_of};
    /// # let text = examples().iter().find(|example| example.name == "walk-in-cooler").map_or("", |example| example.text);
    /// # let assembly = Assembly::new(read(text.as_bytes()).circuit.ok_or("no circuit")?, Rig::usual());
    /// # let refrigerant = Refrigerant::named("R-134a")?;
    /// # let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    /// # let start = State::start(&assembly, &refrigerant, &stops, false);
    /// let now = stemwise_rehearse::Rehearsal::new(&assembly, &start.state)?;
    /// let receiver = assembly.graph.find_space("receiver").ok_or("no receiver")?;
    /// assert!(now.liquid_density(receiver).is_some_and(|density| density > 1100.0 && density < 1300.0));
    /// assert_eq!(now.liquid_density(SpaceId(9999)), None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn liquid_density(&self, space: SpaceId) -> Option<f64> {
        self.moment.evals.get(space.index()).map(|eval| eval.rho_l)
    }

    /// Mass flow through a joint from its first space to its second, kg/s.
    pub fn flow_kg_per_s(&self, joint: JointId) -> f64 {
        if joint.index() >= self.network.links.len() {
            return 0.0;
        }
        self.network.flux(&self.moment, joint.index()).mass()
    }

    /// Pressure of a space.
    pub fn pressure(&self, space: SpaceId) -> Option<Pressure> {
        self.moment.evals.get(space.index()).map(|eval| Pressure::from_pa(eval.p))
    }
}

/// What is left in an empty space, kg: a few thousandths of a pascal, so that there is a temperature.
const fn trace_of(volume: f64) -> f64 {
    1e-7 * volume
}

/// The atmosphere, dry.
fn outside(p: f64, t: f64) -> Eval {
    let rho = p / (GAS[0].constant() * t);
    let h = GAS[0].cp() * t;
    Eval {
        t,
        p,
        alpha: 0.0,
        x: 0.0,
        rho,
        h,
        rho_l: rho,
        h_l: h,
        rho_v: rho,
        h_v: h,
        w: [1.0, 0.0, 0.0],
        p_r: 0.0,
        t_l: t,
        t_v: t,
    }
}

/// A full cylinder of refrigerant at the temperature of its surroundings.
fn full_cylinder(medium: &Medium, t: f64) -> Eval {
    let p = medium.bubble(t).min(0.9 * medium.critical_pressure);
    let phases = medium.phases(p);
    Eval {
        t: phases.t_l,
        p,
        alpha: 0.8,
        x: 0.98,
        rho: 0.8 * phases.rho_l,
        h: phases.h_l,
        rho_l: phases.rho_l,
        h_l: phases.h_l,
        rho_v: phases.rho_v,
        h_v: phases.h_v,
        w: [0.0; 3],
        p_r: p,
        t_l: phases.t_l,
        t_v: phases.t_v,
    }
}
