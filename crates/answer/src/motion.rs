//! A circuit in motion under one's hands: actions at any time, a clock, moments to come back to.

mod drill;
mod follow;
mod replay;
mod seen;

use std::sync::Arc;

use stemwise_circuit::{Assembly, JointId, JointKind, Metering, PlaceId, SpaceId, SpaceKind};
use stemwise_prove::{Task, words_of};
use stemwise_rehearse::{Balance, Danger, Fault, Medium, Rehearsal, Trip};
use stemwise_service::{Finding, Refrigerant, State, Stops, required_level_of};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire as wire;

use self::follow::Followed;
use self::replay::Replay;
use self::seen::Seen;
use crate::frame::frame;
use crate::report::{CycleWords, DiagramAsk, diagram};
use crate::trial::{TrialError, read_action};
use crate::{Error, check};

/// A rehearsal on the circuit of a file.
#[derive(Debug)]
pub struct Motion {
    pub(crate) refrigerant: Refrigerant,
    stops: Stops,
    medium: Arc<Medium>,
    /// The moment that is seen.
    pub(crate) now: Rehearsal,
    /// Moments to come back to: one before each action, or each step of a procedure.
    marks: Vec<Mark>,
    /// What the last action was found to do.
    found: Vec<Finding>,
    /// Every action with its time, in seconds.
    done: Vec<(f64, String)>,
    /// What was seen to go wrong.
    seen: Seen,
    /// The procedure that is followed.
    followed: Option<Followed>,
    /// How it was when it began.
    beginning: Rehearsal,
    /// The run that is seen once more.
    replay: Option<Replay>,
}

/// A moment to come back to.
#[derive(Debug)]
struct Mark {
    now: Rehearsal,
    done: usize,
    seen: Seen,
    steps: usize,
}

/// Makes a fault of a size: a part from 0 to 1, kg, g, K or mm².
type Make = Box<dyn Fn(f64) -> Fault>;

/// What another refrigerant inside is called as a fault, and which there are (common practice: what is on the vans).
const WRONG: &str = "wrong-refrigerant";
const OTHERS: [&str; 8] = ["R-134a", "R-22", "R-404A", "R-407C", "R-410A", "R-32", "R-290", "R-1234yf"];

/// Older moments than this many actions can't be come back to: each holds the whole circuit.
const MOST_MARKS: usize = 64;

impl Motion {
    /// In normal running, or standing, with its charge.
    ///
    /// # Errors
    /// [`Error::Circuit`], those of the refrigerant, [`Error::Rehearse`].
    ///
    /// ```
    /// use stemwise_answer::{Motion, example};
    /// let mut motion = Motion::new(example("walk-in-cooler")?.as_bytes(), true)?;
    /// motion.advance(60.0);
    /// assert!(motion.moment().cooling_w > 500.0);
    /// motion.act("cap off stem king")?;
    /// assert!(motion.act("paint the receiver").is_err());
    /// assert!(motion.back());
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn new(file: &[u8], running: bool) -> Result<Self, Error> {
        let circuit = check::circuit(file)?;
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        let rig = crate::plan::rig(&circuit, &refrigerant, &[], None)?;
        let assembly = Assembly::new(circuit, rig);
        let start = Task::new(&assembly, &refrigerant, None).start(!running);
        Self::of(refrigerant, &assembly, &start.state)
    }

    fn of(refrigerant: Refrigerant, assembly: &Assembly, state: &State) -> Result<Self, Error> {
        let medium = Arc::new(Medium::named(&assembly.circuit.refrigerant)?);
        let now = Rehearsal::with(Arc::clone(&medium), assembly, state)?;
        let stops = Stops::usual(required_level_of(assembly, &refrigerant));
        Ok(Self {
            refrigerant,
            stops,
            medium,
            beginning: now.clone(),
            now,
            marks: Vec::new(),
            found: Vec::new(),
            done: Vec::new(),
            seen: Seen::default(),
            followed: None,
            replay: None,
        })
    }

    /// From a state on, with nothing done.
    fn begin(&mut self, assembly: &Assembly, state: &State) -> Result<(), Error> {
        self.now = Rehearsal::with(Arc::clone(&self.medium), assembly, state)?;
        self.beginning = self.now.clone();
        self.replay = None;
        self.marks.clear();
        self.found.clear();
        self.done.clear();
        self.seen = Seen::default();
        self.followed = None;
        Ok(())
    }

    /// Keeps the moment to come back to.
    fn mark(&mut self) {
        if self.marks.len() == MOST_MARKS {
            self.marks.remove(0);
        }
        self.marks.push(Mark {
            now: self.now.clone(),
            done: self.done.len(),
            seen: self.seen.clone(),
            steps: self.followed.as_ref().map_or(0, Followed::count),
        });
    }

    /// The atmosphere's pressure at the site, Pa.
    pub fn atmosphere_pa(&self) -> f64 {
        self.now.assembly().circuit.atmosphere.as_pa()
    }

    /// Does an action, in the words of the procedure file; what it starts goes on as time advances. A run that is seen once more ends there.
    ///
    /// # Errors
    /// [`TrialError`]; nothing has changed then.
    pub fn act(&mut self, said: &str) -> Result<(), Error> {
        let assembly = self.now.assembly().clone();
        let action = read_action(&assembly, said)?;
        let before = self.now.done();
        // What stands in the way of the hands is the same whether the clock runs or not.
        Task::new(&assembly, &self.refrigerant, None)
            .hands(&before.state, &action)
            .map_err(|why| TrialError::CanNot { why })?;
        let found = self.now.hazards(&self.refrigerant, &self.stops, Some(&action));
        self.mark();
        if let Err(why) = self.now.act(&action) {
            self.marks.pop();
            return Err(TrialError::CanNot { why: why.to_string() }.into());
        }
        self.replay = None;
        self.seen.found(found.clone());
        self.found = found;
        self.done.push((self.now.seconds(), words_of(&assembly, &action)));
        Ok(())
    }

    /// What an action would do, by the rules; nothing changes.
    ///
    /// # Errors
    /// [`TrialError`].
    pub fn would(&self, said: &str, units: UnitSystem) -> Result<Vec<wire::Hazard>, Error> {
        let assembly = self.now.assembly();
        let action = read_action(assembly, said)?;
        let before = self.now.done();
        let hands = Task::new(assembly, &self.refrigerant, None).hands(&before.state, &action);
        hands.map_err(|why| TrialError::CanNot { why })?;
        let found = self.now.hazards(&self.refrigerant, &self.stops, Some(&action));
        Ok(found.iter().map(|finding| crate::words::hazard(finding, assembly, units)).collect())
    }

    /// Back to the moment before the last action; false where there is none.
    pub fn back(&mut self) -> bool {
        let Some(mark) = self.marks.pop() else { return false };
        self.replay = None;
        self.now = mark.now;
        self.found.clear();
        self.done.truncate(mark.done);
        self.seen = mark.seen;
        if let Some(followed) = &mut self.followed {
            followed.back_to(mark.steps);
        }
        true
    }

    /// Lets time pass; while a run is seen once more, as it passed then.
    pub fn advance(&mut self, seconds: f64) {
        if self.replay.is_some() {
            return self.replay_until(self.now.seconds() + seconds);
        }
        self.now.advance(seconds);
        self.seen.moment(&self.now);
    }

    /// Lets it run until it comes to rest, and says what it comes to.
    pub(crate) fn come_to_balance(&mut self) -> Balance {
        let found = self.now.come_to_balance();
        self.seen.moment(&self.now);
        found
    }

    /// What went wrong so far, each thing when it came about first.
    pub fn went_wrong(&self) -> Vec<wire::WentWrong> {
        self.seen.within(&self.now, (-1.0, f64::INFINITY))
    }

    /// What was done so far, with its time in seconds.
    pub fn done(&self) -> &[(f64, String)] {
        &self.done
    }

    /// How everything stands and what is inside.
    pub fn frame(&self, units: UnitSystem) -> wire::Frame {
        let mut found = self.found.clone();
        let now = self.now.hazards(&self.refrigerant, &self.stops, None);
        found.extend(now.into_iter().filter(|new| !self.found.contains(new)));
        let done = self.now.done();
        frame(self.now.assembly(), &self.refrigerant, &done, &found, units)
    }

    /// What goes on.
    pub fn moment(&self) -> wire::MotionFrame {
        let assembly = self.now.assembly();
        let graph = &assembly.graph;
        let atmosphere = self.atmosphere_pa();
        let attached = &self.now.done().state.lineup.attached;
        let gauges = self.now.gauges().into_iter().filter_map(|gauge| {
            let dial_pa = self.dial(gauge.hose == assembly.rigged.low_hose);
            let port = attached.iter().find(|on| on.hose == gauge.hose).and_then(|on| graph.port(on.port));
            Some(wire::MotionGauge {
                hose: graph.space(gauge.hose)?.id.clone(),
                port: port.map(|port| port.id.clone()),
                shows_pa: gauge.shows.as_pa(),
                low_pa: gauge.low.as_pa(),
                high_pa: gauge.high.as_pa(),
                needle: ((gauge.shows.as_pa() - atmosphere) / dial_pa).clamp(-0.06, 1.0),
                dial_pa,
                beyond: gauge.beyond,
            })
        });
        let compressors = graph.joints_with_ids().filter_map(|(id, joint)| {
            let JointKind::Compressor(_) = joint.kind else { return None };
            let view = self.now.compressor(id)?;
            Some(wire::MotionCompressor {
                id: joint.id.clone(),
                runs: view.runs,
                trip: view.trip.map(|trip| trip_words(trip).into()),
                power_w: view.power.as_w(),
                superheat_k: view.superheat.map(|superheat| superheat.as_k()),
                discharge_k: view.discharge.as_k(),
            })
        });
        let tasks: Vec<String> =
            self.now.tasks().iter().map(|task| words_of(assembly, &task.action)).collect();
        wire::MotionFrame {
            seconds: self.now.seconds(),
            gauges: gauges.collect(),
            clocks: self.now.clocks().iter().filter_map(|clock| self.clock(clock)).collect(),
            compressors: compressors.collect(),
            power_w: self.now.power().as_w(),
            cooling_w: self.now.refrigeration().as_w(),
            vacuum_pa: self.now.micron_gauge().as_pa(),
            is_still: tasks.is_empty() && !self.now.is_turning(),
            tasks,
        }
    }

    /// The dial of a gauge: the first range of EN 837-1 (1, 1.6, 2.5, 4 or 6 times a power of ten, in bar) above the pressure that its side is built
    /// for.
    fn dial(&self, low: bool) -> f64 {
        let assembly = self.now.assembly();
        let side = |kind| {
            matches!(kind, SpaceKind::Evaporator | SpaceKind::SuctionLine | SpaceKind::CompressorShell) == low
        };
        let spaces = assembly.circuit.graph.spaces.iter().filter(|space| side(space.kind));
        let design = spaces.filter_map(|space| space.design.as_ref()).map(|design| design.value.as_pa());
        let most = design.fold(0.0, f64::max) - self.atmosphere_pa();
        let ranges = [6e5, 10e5, 16e5, 25e5, 40e5, 60e5, 100e5, 160e5];
        ranges.into_iter().find(|range| *range > most).unwrap_or(250e5)
    }

    /// What each gauge showed so far.
    pub fn curves(&self) -> Vec<wire::MotionCurve> {
        let graph = &self.now.assembly().graph;
        let curve = |curve: &stemwise_rehearse::Curve| {
            Some(wire::MotionCurve {
                hose: graph.space(curve.hose)?.id.clone(),
                points: curve.points.clone(),
            })
        };
        self.now.curves().of_gauges().iter().filter_map(curve).collect()
    }

    /// The pressure-enthalpy diagram with the cycle that the first compressor to turn makes at the moment (compression drawn without loss); without a
    /// cycle where none turns.
    ///
    /// # Errors
    /// [`Error::Report`] for what can't be drawn.
    pub fn diagram(&self, narrow: bool, units: UnitSystem) -> Result<wire::DiagramAnswer, Error> {
        let atmosphere = Pressure::from_pa(self.atmosphere_pa());
        let ask = |cycle| DiagramAsk { narrow, cycle, ..DiagramAsk::default() };
        let draw = |cycle| diagram(&self.refrigerant.substance().name(), &ask(cycle), atmosphere, units);
        match self.cycle() {
            // Between two states, or pumped down, there may be none to draw.
            Some(cycle) => draw(Some(cycle)).or_else(|_| draw(None)),
            None => draw(None),
        }
    }

    fn cycle(&self) -> Option<CycleWords> {
        let assembly = self.now.assembly();
        let turning = |(id, joint): &(JointId, &stemwise_circuit::Joint)| {
            matches!(joint.kind, JointKind::Compressor(_)) && self.now.runs(*id)
        };
        let (id, joint) = assembly.graph.joints_with_ids().find(turning)?;
        let typed = |space| self.now.pressure(space).map(|pressure| format!("{:.5} bara", pressure.as_bar()));
        let superheat = self.now.compressor(id)?.superheat.filter(|superheat| superheat.as_k() > 0.0);
        let liquid =
            assembly.graph.spaces_with_ids().filter(|(_, space)| space.kind == SpaceKind::LiquidLine);
        let subcooling = liquid
            .filter_map(|(at, _)| self.now.subcooling(at))
            .map(|by| by.as_k())
            .filter(|by| *by > 0.0)
            .last();
        Some(CycleWords {
            evaporating: typed(joint.a)?,
            condensing: typed(joint.b)?,
            superheat: superheat.map(|superheat| format!("{:.2} K", superheat.as_k())),
            subcooling: subcooling.map(|by| format!("{by:.2} K")),
            ..CycleWords::default()
        })
    }

    /// What was taken by rule because the file doesn't say: quantity, value and rule in a sentence.
    pub fn assumed(&self) -> Vec<String> {
        let told = |assumed: &stemwise_rehearse::Assumed| {
            format!(
                "{}: {} {} {} ({})",
                assumed.what,
                assumed.property,
                short(assumed.value),
                assumed.unit,
                assumed.rule
            )
        };
        self.now.assumed().iter().map(told).collect()
    }

    fn clock(&self, clock: &stemwise_rehearse::Clock) -> Option<wire::MotionClock> {
        let (id, on, say) = danger_words(self.now.assembly(), clock.danger)?;
        Some(wire::MotionClock { id: id.into(), on, say, seconds: clock.seconds })
    }
    /// The faults that can be put in here, each kind wherever it makes sense.
    pub fn faults(&self) -> Vec<wire::FaultChoice> {
        let choices = self.choices().into_iter().map(|(choice, _)| choice);
        choices.chain(self.others().map(|(choice, _)| choice)).collect()
    }

    /// Other refrigerants that may be inside.
    fn others(&self) -> impl Iterator<Item = (wire::FaultChoice, &'static str)> {
        let own = self.medium.substance().name();
        OTHERS.into_iter().filter(move |other| **other != own).map(move |other| {
            let own = self.medium.substance().name();
            let choice = wire::FaultChoice {
                id: format!("{WRONG} {other}"),
                say: format!("{other} is inside instead of {own}"),
                unit: "%".into(),
                usual: 100.0,
                most: 100.0,
            };
            (choice, other)
        })
    }

    /// Puts a fault in, by its id and size.
    ///
    /// # Errors
    /// [`TrialError::NotAnAction`] where there is none of that id, or the size is none.
    ///
    /// ```
    /// use stemwise_answer::{Motion, example};
    /// let mut motion = Motion::new(example("walk-in-cooler")?.as_bytes(), true)?;
    /// motion.put_fault("moisture evaporator", 5.0)?;
    /// motion.put_fault("wrong-refrigerant R-22", 100.0)?;
    /// motion.advance(60.0);
    /// // A part of another refrigerant would be a third one.
    /// assert!(motion.put_fault("wrong-refrigerant R-22", 50.0).is_err());
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn put_fault(&mut self, id: &str, size: f64) -> Result<(), Error> {
        // All of it or none: what is mixed would be a third refrigerant.
        let other =
            self.others().find(|(choice, _)| choice.id == id && size >= choice.most && size <= choice.most);
        if let Some((_, name)) = other {
            self.now.put_refrigerant(Arc::new(Medium::named(name)?));
            return Ok(());
        }
        let found = self.choices().into_iter().find(|(choice, _)| choice.id == id);
        let Some((choice, make)) = found.filter(|(choice, _)| size > 0.0 && size <= choice.most) else {
            let say = format!("there is no fault \"{id}\" of the size {size} here");
            return Err(TrialError::NotAnAction { say }.into());
        };
        self.now.put_fault(make(if choice.unit == "%" { size / 100.0 } else { size }));
        Ok(())
    }

    fn choices(&self) -> Vec<(wire::FaultChoice, Make)> {
        let assembly = self.now.assembly();
        let charge = assembly.circuit.charge.value.as_kg();
        let mut all: Vec<(wire::FaultChoice, Make)> = Vec::new();
        let mut put =
            |kind: &str, on: &str, say: String, unit: &str, (usual, most): (f64, f64), make: Make| {
                let id = if on.is_empty() { kind.to_owned() } else { format!("{kind} {on}") };
                all.push((wire::FaultChoice { id, say, unit: unit.into(), usual, most }, make));
            };
        put(
            "undercharge",
            "",
            "charge is missing".into(),
            "kg",
            (0.3 * charge, 0.9 * charge),
            Box::new(|missing| Fault::Undercharge { missing }),
        );
        put(
            "overcharge",
            "",
            "too much charge".into(),
            "kg",
            (0.3 * charge, charge),
            Box::new(|more| Fault::Overcharge { more }),
        );
        put(
            "air",
            "",
            "air in the condenser".into(),
            "kg",
            (0.02, 0.2),
            Box::new(|mass| Fault::Air { mass }),
        );
        let own = assembly.circuit.graph.joints.len();
        for (joint, found) in assembly.graph.joints_with_ids().take(own) {
            let name = &found.name;
            let stem = found.stem.as_ref().is_some_and(|stem| stem.packing_nut);
            match &found.kind {
                JointKind::Solenoid { .. } => put(
                    "stuck",
                    &found.id,
                    format!("the {name} is stuck shut"),
                    "%",
                    (100.0, 100.0),
                    Box::new(move |part| Fault::Stuck { joint, open: 1.0 - part }),
                ),
                JointKind::Metering(Metering::Thermostatic { .. }) => {
                    put(
                        "starved",
                        &found.id,
                        format!("the bulb of the {name} has lost charge"),
                        "K",
                        (8.0, 20.0),
                        Box::new(move |kelvin| Fault::Starved { joint, kelvin }),
                    );
                    put(
                        "flooding",
                        &found.id,
                        format!("the bulb of the {name} hangs loose"),
                        "K",
                        (10.0, 20.0),
                        Box::new(move |kelvin| Fault::Flooding { joint, kelvin }),
                    );
                }
                JointKind::Compressor(_) => put(
                    "leaking-reed",
                    &found.id,
                    format!("a discharge valve of the {name} leaks back"),
                    "%",
                    (30.0, 90.0),
                    Box::new(move |part| Fault::LeakingReed { joint, part }),
                ),
                _ => {}
            }
            if stem {
                put(
                    "leaking-packing",
                    &found.id,
                    format!("the packing of the {name} leaks"),
                    "mm²",
                    (0.01, 1.0),
                    Box::new(move |square_mm| Fault::LeakingPacking { joint, square_mm }),
                );
            }
        }
        for (space, found) in assembly.circuit.graph.spaces_with_ids() {
            let name = &found.name;
            match found.kind {
                SpaceKind::Condenser => {
                    put(
                        "fouled",
                        &found.id,
                        format!("the {name} is fouled"),
                        "%",
                        (50.0, 95.0),
                        Box::new(move |part| Fault::Fouled { space, part }),
                    );
                    put(
                        "fan",
                        &found.id,
                        format!("the fan of the {name} has failed"),
                        "%",
                        (100.0, 100.0),
                        Box::new(move |part| Fault::Fan { space, part }),
                    );
                }
                SpaceKind::Evaporator => {
                    put(
                        "moisture",
                        &found.id,
                        format!("water in the {name}"),
                        "g",
                        (5.0, 100.0),
                        Box::new(move |grams| Fault::Moisture { space, mass: 1e-3 * grams }),
                    );
                    put(
                        "frosted",
                        &found.id,
                        format!("the {name} is frosted"),
                        "%",
                        (60.0, 95.0),
                        Box::new(move |part| Fault::Frosted { space, part }),
                    );
                    put(
                        "fan",
                        &found.id,
                        format!("the fan of the {name} has failed"),
                        "%",
                        (100.0, 100.0),
                        Box::new(move |part| Fault::Fan { space, part }),
                    );
                }
                SpaceKind::Drier => {
                    let outlet = assembly.circuit.graph.joints_with_ids().find(|(_, joint)| joint.a == space);
                    if let Some((joint, _)) = outlet {
                        put(
                            "restricted",
                            &found.id,
                            format!("the {name} is clogged"),
                            "%",
                            (95.0, 99.9),
                            Box::new(move |part| Fault::Restricted { joint, part }),
                        );
                    }
                }
                _ => {}
            }
        }
        for (place, found) in (0..).map(PlaceId).zip(&assembly.circuit.places) {
            let mut coils = assembly.circuit.graph.spaces.iter();
            if coils.any(|space| space.kind == SpaceKind::Evaporator && space.place == Some(place)) {
                put(
                    "damp-air",
                    &found.id,
                    format!("the air in the {} is damp", found.name),
                    "%",
                    (85.0, 100.0),
                    Box::new(move |humidity| Fault::DampAir { place, humidity }),
                );
            }
        }
        for (port, found) in assembly.circuit.graph.ports_with_ids().filter(|(_, port)| port.core) {
            put(
                "leaking-core",
                &found.id,
                format!("the core of the {} leaks", found.name),
                "mm²",
                (0.01, 1.0),
                Box::new(move |square_mm| Fault::LeakingCore { port, square_mm }),
            );
        }
        all
    }

    /// Starts over, running or standing, with the refrigerant's tables that are ready.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn start_over(&mut self, running: bool) -> Result<(), Error> {
        let assembly = self.now.assembly().clone();
        let start = Task::new(&assembly, &self.refrigerant, None).start(!running);
        self.begin(&assembly, &start.state)
    }
}

/// A danger: its id, the thing that it threatens, and a sentence.
fn danger_words(assembly: &Assembly, danger: Danger) -> Option<(&'static str, String, String)> {
    let graph = &assembly.graph;
    let joint = |id: JointId| graph.joint(id).map(|joint| (joint.id.clone(), joint.name.clone()));
    let space = |id: SpaceId| graph.space(id).map(|space| (space.id.clone(), space.name.clone()));
    let (id, (on, name), what) = match danger {
        Danger::ReliefLifts(at) => ("relief-lifts", joint(at)?, "lifts"),
        Danger::PastDesign(at) => ("past-design", space(at)?, "passes the pressure that it is built for"),
        Danger::Bursts(at) => ("bursts", space(at)?, "bursts"),
        Danger::PastFill(at) => ("past-fill", space(at)?, "is filled past its limit"),
        Danger::LowCutOut(at) => ("low-cut-out", joint(at)?, "is stopped by its low-pressure control"),
        Danger::HighCutOut(at) => ("high-cut-out", joint(at)?, "is stopped by its high-pressure control"),
        Danger::IntoVacuum(at) => ("into-vacuum", joint(at)?, "draws below the atmosphere"),
        Danger::MotorHot(at) => ("motor-hot", joint(at)?, "gets too hot in its motor"),
        Danger::Slugging(at) => ("slugging", joint(at)?, "draws liquid"),
        Danger::HeldBack(at) => ("held-back", joint(at)?, "holds refrigerant back from the machine or pump"),
        Danger::OilFroths(at) => ("oil-froths", joint(at)?, "draws up its oil, which froths"),
    };
    Some((id, on, format!("the {name} {what}")))
}

/// Something that came about.
fn went_wrong(assembly: &Assembly, seconds: f64, danger: Danger) -> Option<wire::WentWrong> {
    let (id, on, say) = danger_words(assembly, danger)?;
    Some(wire::WentWrong { seconds, id: id.into(), on, say })
}

/// Three digits that count.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".into();
    }
    let digits = (2.0 - libm::floor(libm::log10(value.abs()))).clamp(0.0, 12.0) as usize;
    format!("{value:.digits$}")
}

const fn trip_words(trip: Trip) -> &'static str {
    match trip {
        Trip::LowPressure => "stopped by its low-pressure control",
        Trip::HighPressure => "stopped by its high-pressure control",
        Trip::Motor => "stopped by its motor protector",
        Trip::Broken => "broken",
    }
}
