//! Questions about states: what gauges show, what the next turn does, where liquid is shut in, what a pressure at rest says.

use stemwise_circuit::{JointId, JointKind, PortId, PortOn, Position, SpaceId};
use stemwise_service::{Action, Cap, Done, Finding, Look, Severity, apply, hazards, settle};
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature};

use super::{Maker, choice, question};
use crate::classroom::{capital, position};
use crate::{Answer, Choice, Kind, Quantity, Question, Scene};

/// A gauge is read to this part of its reading, and no finer than this (Pa): what a small dial lets one tell apart (assumed).
const READ: f64 = 0.03;
const FINEST: f64 = 0.1e5;

/// What is looked for is tried so often.
const TRIES: usize = 40;

impl Maker<'_> {
    pub(super) fn tolerance(pressure: Pressure) -> f64 {
        (pressure.as_pa() * READ).max(FINEST)
    }

    fn quantity(&self, pressure: Pressure) -> Quantity {
        Quantity::Gauge(pressure.gauge(self.room.atmosphere()))
    }

    /// The stem of a port's valve off its back seat, so that the port reads.
    fn off_its_seat(&self, port: PortId) -> Vec<(JointId, Position)> {
        match self.room.graph().port(port).map(|port| port.on) {
            Some(PortOn::ServiceValve(valve)) => vec![(valve, Position::Cracked)],
            _ => Vec::new(),
        }
    }

    /// The compressor that runs, with its suction side and its discharge side.
    fn compressor(&self) -> Option<(SpaceId, SpaceId)> {
        let joints = self.room.graph().joints.iter();
        joints
            .filter(|joint| matches!(joint.kind, JointKind::Compressor(_)))
            .map(|joint| (joint.a, joint.b))
            .next()
    }

    fn dew(&self, pressure: Pressure) -> Option<Temperature> {
        let found = self.room.refrigerant.substance().saturation_at_pressure(pressure).ok()?;
        Some(Temperature::from_k(found.dew.raw().t))
    }

    fn bubble(&self, pressure: Pressure) -> Option<Temperature> {
        let found = self.room.refrigerant.substance().saturation_at_pressure(pressure).ok()?;
        Some(Temperature::from_k(found.bubble.raw().t))
    }

    pub(super) fn gauge_shows(&mut self) -> Option<Question> {
        let ports = self.room.ports();
        let (suction, discharge) = self.compressor()?;
        for _ in 0..TRIES {
            let port = *self.dice.pick(&ports)?;
            let running = self.dice.flip();
            let turned = self.off_its_seat(port);
            let mut scene = Scene { running, turned, hoses: vec![port], ..Scene::default() };
            let done = self.room.settled(&scene);
            let Some(space) = self.room.reads(&done, port) else { continue };
            let pressure = |space| done.settled.pressure(space);
            let (Some(shown), Some(low), Some(high)) =
                (pressure(space), pressure(suction), pressure(discharge))
            else {
                continue;
            };
            let (Some(dew), Some(bubble)) = (self.dew(low), self.bubble(high)) else { continue };
            let told = |temperature| self.room.units.temperature(temperature);
            scene.given.push(("refrigerant".into(), self.room.refrigerant.substance().name()));
            if running {
                scene.given.push(("it evaporates at (dew point)".into(), told(dew)));
                scene.given.push(("it condenses to (bubble point)".into(), told(bubble)));
            } else {
                let Some(here) = self.bubble(shown) else { continue };
                scene.given.push(("the coldest place that still has vapour above liquid".into(), told(here)));
            }
            scene.given.push((
                "the atmosphere at the site".into(),
                self.room.units.absolute_pressure(self.room.atmosphere()),
            ));
            return Some(self.gauge_question(scene, port, (space, shown), [low, high]));
        }
        None
    }

    fn gauge_question(
        &self,
        scene: Scene,
        port: PortId,
        (space, shown): (SpaceId, Pressure),
        sides: [Pressure; 2],
    ) -> Question {
        let value = self.quantity(shown);
        let tolerance = Self::tolerance(shown);
        let absolute = Quantity::Gauge(GaugePressure::from_pa(shown.as_pa()));
        let mut wrong = vec![(
            absolute,
            "that is the absolute pressure: a gauge reads zero at the atmosphere".to_owned(),
        )];
        for other in sides.into_iter().filter(|other| (other.as_pa() - shown.as_pa()).abs() > 2.0 * tolerance)
        {
            wrong.push((self.quantity(other), "that is the pressure of the other side".into()));
        }
        let stands = self.room.stands(&scene);
        let ask = format!("{stands} What does the gauge on the {} show?", self.room.port(port));
        let how = if scene.running {
            "While it runs, each side stands at the saturation of its coil."
        } else {
            "At rest joined spaces stand at the saturation of the coldest place that still has vapour above its liquid."
        };
        let why = format!(
            "It reads the {}: {} absolute, less the atmosphere of {} makes {}. {how}",
            self.room.space(space),
            self.room.units.absolute_pressure(shown),
            self.room.units.absolute_pressure(self.room.atmosphere()),
            self.room.gauge(shown)
        );
        question(Kind::GaugeShows, scene, ask, Answer::Number { value, tolerance, wrong }, why)
    }

    /// A scene in which every stem may be turned: caps off, packing nuts eased, so that only what the turn joins matters.
    fn ready(&self, scene: &Scene) -> Done {
        let mut done = self.room.settled(scene);
        for valve in self.room.stems() {
            done.state.caps_off.insert(Cap::Stem(valve));
            done.state.nuts_eased.insert(valve);
        }
        done
    }

    /// The worst that a turn does.
    fn turn(&self, before: &Done, valve: JointId, to: Position) -> Option<(Done, Option<Finding>)> {
        let action = Action::Turn { valve, to };
        let (assembly, refrigerant) = (&self.room.assembly, &self.room.refrigerant);
        let after = apply(assembly, refrigerant, &self.room.stops(), &before.state, &action).ok()?;
        let found = hazards(&Look { assembly, refrigerant, before, action: Some(&action), after: &after });
        let new = found.into_iter().filter(|finding| finding.severity > Severity::Caution);
        let worst = new.max_by_key(|finding| finding.severity);
        Some((after, worst))
    }

    pub(super) fn next_turn(&mut self) -> Option<Question> {
        let stems = self.room.stems();
        let scene = Scene { running: true, ..Scene::default() };
        let before = self.ready(&scene);
        let mut outcomes: Vec<(JointId, Position, Choice)> = Vec::new();
        for &valve in &stems {
            for &to in self.room.graph().joint(valve).map_or(&[] as &[Position], |joint| joint.positions()) {
                if before.state.lineup.position(valve) == Some(to) {
                    continue;
                }
                let Some((after, worst)) = self.turn(&before, valve, to) else { continue };
                outcomes.push((valve, to, self.outcome(&after, worst.as_ref(), &scene)));
            }
        }
        let dangerous: Vec<usize> = (0..outcomes.len())
            .filter(|&at| outcomes.get(at).is_some_and(|one| !one.2.say.starts_with("Nothing")))
            .collect();
        let all: Vec<usize> = (0..outcomes.len()).collect();
        // The turns that do something are asked about more often.
        let from = if !dangerous.is_empty() && self.dice.roll(4) > 0 { &dangerous } else { &all };
        let at = *self.dice.pick(from)?;
        let (valve, to, right) = outcomes.get(at)?.clone();
        let mut wrong: Vec<Choice> = outcomes
            .iter()
            .filter(|(_, _, other)| other.say != right.say)
            .map(|(other, at, outcome)| {
                let because =
                    format!("that is what turning the {} to {} does", self.room.joint(*other), position(*at));
                choice(outcome.say.clone(), because)
            })
            .collect();
        wrong.extend(self.usual_fears(&right));
        let why = right.because.clone();
        let answer = self.choices(right, wrong)?;
        let ask = format!(
            "The system runs, every stem as in normal running. What comes of turning the {} to {}?",
            self.room.joint(valve),
            position(to)
        );
        Some(question(Kind::NextTurn, scene, ask, answer, why))
    }

    fn outcome(&self, after: &Done, worst: Option<&Finding>, scene: &Scene) -> Choice {
        let pumped = after
            .settled
            .compressors
            .iter()
            .any(|(_, running)| *running == stemwise_service::Running::PumpedDown);
        match worst {
            Some(finding) => {
                let rule = finding.rule();
                let avoid = rule.map_or("", |rule| rule.avoid.as_str());
                let say = finding.say(&self.room.assembly, self.room.units);
                choice(say.clone(), format!("{say} {avoid}"))
            }
            None if pumped && scene.running => {
                let low = self.compressor().and_then(|(suction, _)| after.settled.pressure(suction));
                let low =
                    low.map_or_else(String::new, |low| format!(" and stops at {}", self.room.gauge(low)));
                let say =
                    "Nothing dangerous: the supply of the low side is cut, and the compressor pumps it down";
                choice(say, format!("{say}{low}."))
            }
            None => {
                let say = "Nothing dangerous: it goes on running as before";
                choice(say, "No rule fires: what was joined stays joined, or no flow passes there.")
            }
        }
    }

    /// What people fear of any turn, where the circuit offers too few other outcomes.
    fn usual_fears(&self, right: &Choice) -> Vec<Choice> {
        let fears = [
            ("Nothing dangerous: it goes on running as before", "the turn changes what is joined"),
            (
                "Nothing dangerous: the supply of the low side is cut, and the compressor pumps it down",
                "its supply is not cut by that",
            ),
            ("Refrigerant goes to the atmosphere", "nothing is open to the atmosphere"),
        ];
        let others = fears.into_iter().filter(|(say, _)| *say != right.say);
        others.map(|(say, because)| choice(say, because)).collect()
    }

    pub(super) fn shut_in(&mut self) -> Option<Question> {
        let stems = self.room.stems();
        for _ in 0..TRIES {
            let mut two = stems.clone();
            self.dice.shuffle(&mut two);
            two.truncate(2);
            let shut =
                |valve: JointId| Some((valve, self.room.graph().joint(valve)?.positions().last().copied()?));
            let turned: Vec<_> = two.iter().filter_map(|&valve| shut(valve)).collect();
            let scene = Scene { turned, ..Scene::default() };
            let done = self.room.settled(&scene);
            let found = self.room.hazards(&done);
            let Some(finding) = found.iter().find(|finding| finding.rule == "liquid-shut-in") else {
                continue;
            };
            let Some(space) = finding.space else { continue };
            let members = self.room.section(&done, space);
            let why = finding.say(&self.room.assembly, self.room.units);
            let right = choice(capital(&self.room.names(&members)), why.clone());
            let sections = done.settled.sections.iter();
            let own = sections.map(|members| {
                members.iter().copied().filter(|&at| self.room.is_own(at)).collect::<Vec<_>>()
            });
            let mut wrong: Vec<Choice> = own
                .filter(|members| !members.is_empty() && !members.contains(&space))
                .map(|members| {
                    choice(
                        capital(&self.room.names(&members)),
                        "it has room for its liquid to expand, or a way out",
                    )
                })
                .collect();
            wrong.push(choice(
                "Nowhere",
                "between the two shut stems a section is full of liquid, with no relief and no way out",
            ));
            if let Some(answer) = self.choices(right, wrong) {
                let ask = format!("{} Where is liquid shut in?", self.room.stands(&scene));
                return Some(question(Kind::ShutIn, scene, ask, answer, why));
            }
        }
        None
    }

    /// A scene at rest in which a gauge shows saturation at the coldest place that it reads: with the space read and that temperature.
    fn saturated(&mut self) -> Option<(Scene, PortId, SpaceId, Temperature)> {
        let (ports, stems) = (self.room.ports(), self.room.stems());
        for _ in 0..TRIES {
            let port = *self.dice.pick(&ports)?;
            let mut turned = self.off_its_seat(port);
            if let Some(&valve) = self.dice.pick(&stems).filter(|_| self.dice.flip())
                && !turned.iter().any(|(off, _)| *off == valve)
            {
                turned.push((valve, self.room.graph().joint(valve)?.positions().last().copied()?));
            }
            let scene = Scene { turned, hoses: vec![port], ..Scene::default() };
            let done = self.room.settled(&scene);
            let Some(space) = self.room.reads(&done, port) else { continue };
            let (Some(shown), Some(coldest)) =
                (done.settled.pressure(space), self.coldest(&done, &done.settled, space))
            else {
                continue;
            };
            let there = self.saturation(coldest)?;
            if (shown.as_pa() - there.as_pa()).abs() <= 0.2 * Self::tolerance(there) {
                return Some((scene, port, space, coldest));
            }
        }
        None
    }

    /// The pressure over liquid at a temperature.
    fn saturation(&self, at: Temperature) -> Option<Pressure> {
        let found = self.room.refrigerant.substance().saturation_at(at).ok()?;
        Some(Pressure::from_pa(found.bubble.raw().p))
    }

    pub(super) fn at_rest(&mut self) -> Option<Question> {
        let (mut scene, port, space, coldest) = self.saturated()?;
        let mut done = self.room.settled(&scene);
        let case = self.dice.roll(3);
        let charge = self.room.assembly.circuit.charge.value;
        match case {
            // A hundredth of the charge as air.
            1 => {
                let held = done.state.contents.get_mut(space.index())?;
                held.air = Mass::from_kg(charge.as_kg() * 0.01);
            }
            // A sixtieth of the charge is left.
            2 => done
                .state
                .contents
                .iter_mut()
                .for_each(|held| held.refrigerant = held.refrigerant * (1.0 / 60.0)),
            _ => {}
        }
        let stops = self.room.stops();
        let settled = settle(&self.room.assembly, &self.room.refrigerant, &stops, &mut done.state);
        let shown = settled.pressure(space)?;
        let saturation = self.saturation(coldest)?;
        let tolerance = Self::tolerance(saturation);
        let off = shown.as_pa() - saturation.as_pa();
        // Only what a gauge can tell apart is asked about.
        if (case == 1 && off < tolerance) || (case == 2 && off > -tolerance) {
            return None;
        }
        scene.given.push(("refrigerant".into(), self.room.refrigerant.substance().name()));
        scene.given.push(("the coldest place that it reads".into(), self.room.units.temperature(coldest)));
        scene.given.push((format!("the gauge on the {}", self.room.port(port)), self.room.gauge(shown)));
        self.at_rest_question(scene, case, shown, saturation)
    }

    /// The coldest place that a space is joined to.
    fn coldest(
        &self,
        done: &Done,
        settled: &stemwise_service::Settled,
        space: SpaceId,
    ) -> Option<Temperature> {
        let section = settled.sections.of(space)?;
        let held = settled.sections.members(section).iter().filter(|&&at| self.room.is_own(at));
        let kelvin = held.filter_map(|at| done.state.held(*at)).map(|held| held.temperature.as_k());
        kelvin.min_by(f64::total_cmp).map(Temperature::from_k)
    }

    fn at_rest_question(
        &mut self,
        scene: Scene,
        case: usize,
        shown: Pressure,
        saturation: Pressure,
    ) -> Option<Question> {
        let (shown, right_there) = (self.room.gauge(shown), self.room.gauge(saturation));
        let why = match case {
            0 => format!(
                "Saturation at the coldest place is {right_there}: the gauge shows the same, so there is liquid and no other gas."
            ),
            1 => format!(
                "Saturation at the coldest place is {right_there}; the gauge shows {shown}, more: a gas that does not condense adds its pressure."
            ),
            _ => format!(
                "Saturation at the coldest place is {right_there}; the gauge shows {shown}, less: no liquid is left anywhere."
            ),
        };
        let says = [
            "It is as it should be: liquid and vapour of this refrigerant",
            "Air or another gas that does not condense is in it",
            "So little refrigerant is left that all of it is vapour",
        ];
        let mistakes = [
            "then the gauge would show saturation at the coldest place",
            "then the gauge would show more than saturation at the coldest place",
            "then the gauge would show less than saturation at the coldest place",
        ];
        let right = choice(*says.get(case)?, why.clone());
        let others = says.into_iter().zip(mistakes).enumerate().filter(|(at, _)| *at != case);
        let wrong = others.map(|(_, (say, mistake))| choice(say, mistake)).collect();
        let answer = self.choices(right, wrong)?;
        let ask =
            format!("{} It has stood long enough. What does the reading say?", self.room.stands(&scene));
        Some(question(Kind::AtRest, scene, ask, answer, why))
    }
}
