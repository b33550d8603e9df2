//! Which fault fits the readings: each fault that could be there is tried in the model, and only those with other readings are offered.

use stemwise_circuit::{Attached, JointKind, PortId, PortOn, Position};
use stemwise_prove::Task;
use stemwise_units::{Mass, Pressure};

use super::{Maker, choice, question};
use crate::drill::with_faults;
use crate::{Fault, FaultKind, Kind, Question, Scene, Size};

/// So many valves are suspected.
const SUSPECTS: usize = 8;

/// What each gauge shows; none: nothing of the system.
type Readings = Vec<Option<Pressure>>;

impl Maker<'_> {
    /// A port on the low side and one on the high side, if there are.
    fn two_ports(&self, scene: &Scene) -> Vec<PortId> {
        let mut found: Vec<(PortId, f64)> = Vec::new();
        for port in self.room.ports() {
            let mut one = scene.clone();
            one.turned = self.cracked(&[port]);
            one.hoses = vec![port];
            let done = self.room.settled(&one);
            let shown = self.room.reads(&done, port).and_then(|space| done.settled.pressure(space));
            found.extend(shown.map(|shown| (port, shown.as_pa())));
        }
        found.sort_by(|one, other| one.1.total_cmp(&other.1).then(one.0.cmp(&other.0)));
        let mut ports: Vec<PortId> =
            found.first().into_iter().chain(found.last()).map(|(port, _)| *port).collect();
        ports.dedup();
        ports
    }

    fn cracked(&self, ports: &[PortId]) -> Vec<(stemwise_circuit::JointId, Position)> {
        let on = |port: &PortId| match self.room.graph().port(*port)?.on {
            PortOn::ServiceValve(valve) => Some((valve, Position::Cracked)),
            PortOn::Space(_) => None,
        };
        ports.iter().filter_map(on).collect()
    }

    /// What the gauges show with some faults.
    fn shown(&self, ports: &[PortId], faults: &[Fault]) -> Readings {
        let task = Task::new(&self.room.assembly, &self.room.refrigerant, None);
        let mut start = task.start(false);
        let rigged = &self.room.assembly.rigged;
        for (&hose, &port) in [rigged.low_hose, rigged.high_hose].iter().zip(ports) {
            start.state.lineup.attached.push(Attached { hose, port });
        }
        let done = with_faults(&task, start, faults, &self.cracked(ports));
        let one = |port: &PortId| done.settled.pressure(self.room.reads(&done, *port)?);
        ports.iter().map(one).collect()
    }

    /// The faults that could be there, each alone.
    fn suspects(&self) -> Vec<Vec<Fault>> {
        let charge = self.room.assembly.circuit.charge.value;
        let whole = |kind, size| vec![Fault { kind, at: None, size }];
        let mut all = vec![
            Vec::new(),
            whole(FaultKind::Undercharge, Size::Part(0.5)),
            whole(FaultKind::Air, Size::Mass(Mass::from_kg(charge.as_kg() * 0.01))),
        ];
        let open = self.room.stems().into_iter().filter_map(|valve| self.room.graph().joint(valve)).filter(
            |joint| {
                let normal = joint.stem.as_ref().map(|stem| stem.normal);
                normal.is_some_and(|normal| !matches!(normal, Position::Shut | Position::FrontSeated))
                    && !matches!(joint.kind, JointKind::PiercingValve)
            },
        );
        all.extend(open.take(SUSPECTS).map(|joint| {
            vec![Fault { kind: FaultKind::ClosedValve, at: Some(joint.id.clone()), size: Size::None }]
        }));
        all
    }

    /// A fault in a sentence.
    fn fault(&self, faults: &[Fault]) -> String {
        let one = |fault: &Fault| {
            let at = fault.at.as_deref().unwrap_or("");
            let joint = self.room.graph().find_joint(at).map(|valve| self.room.joint(valve));
            let name = joint.or_else(|| self.room.graph().find_port(at).map(|port| self.room.port(port)));
            let name = name.unwrap_or(at);
            let size = match &fault.size {
                Size::Part(part) => format!("{:.0} % of it", part * 100.0),
                Size::Mass(mass) => self.room.units.mass(*mass),
                Size::Position(at) => crate::classroom::position(*at).to_owned(),
                Size::Difference(difference) => self.room.units.temperature_difference(*difference),
                Size::Refrigerant(name) => name.clone(),
                Size::None => String::new(),
            };
            match fault.kind {
                FaultKind::ClosedValve => format!("the {name} is shut"),
                FaultKind::WrongStem => format!("the {name} stands {size}"),
                FaultKind::Undercharge => format!("refrigerant is missing ({size})"),
                FaultKind::Overcharge => format!("too much refrigerant is in it ({size})"),
                FaultKind::Air => "air is in it".into(),
                FaultKind::ForgottenCap => format!("the cap of the {name} is off"),
                FaultKind::LeakingCore => format!("the core of the {name} does not shut"),
                FaultKind::Moisture => "it is wet inside".into(),
                other => other.word().replace('-', " "),
            }
        };
        match faults {
            [] => "Nothing is wrong".into(),
            _ => crate::classroom::capital(&faults.iter().map(one).collect::<Vec<_>>().join(", and ")),
        }
    }

    fn told(&self, readings: &Readings) -> Vec<String> {
        readings
            .iter()
            .map(|shown| shown.map_or_else(|| "nothing".into(), |shown| self.room.gauge(shown)))
            .collect()
    }

    /// Whether a gauge can tell two sets of readings apart.
    fn differ(one: &Readings, other: &Readings) -> bool {
        one.iter().zip(other).any(|pair| match pair {
            (Some(one), Some(other)) => (one.as_pa() - other.as_pa()).abs() > 2.0 * Self::tolerance(*one),
            (one, other) => one.is_some() != other.is_some(),
        })
    }

    pub(super) fn what_is_wrong(&mut self, hidden: Option<&[Fault]>) -> Option<Question> {
        let scene = Scene { running: true, ..Scene::default() };
        let ports = self.two_ports(&scene);
        if ports.is_empty() {
            return None;
        }
        let suspects: Vec<(Vec<Fault>, Readings)> = self
            .suspects()
            .into_iter()
            .map(|faults| {
                let shown = self.shown(&ports, &faults);
                (faults, shown)
            })
            .collect();
        let sound = &suspects.first()?.1;
        let (faults, shown) = match hidden {
            Some(faults) => (faults.to_vec(), self.shown(&ports, faults)),
            None => {
                let showing: Vec<&(Vec<Fault>, Readings)> = suspects
                    .iter()
                    .filter(|(faults, shown)| faults.is_empty() || Self::differ(sound, shown))
                    .collect();
                (*self.dice.pick(&showing)?).clone()
            }
        };
        let told = self.told(&shown);
        let normal = self.told(sound);
        let why = format!(
            "The gauges show {}; with nothing wrong they would show {}. {} gives just these readings in the model.",
            told.join(" and "),
            normal.join(" and "),
            self.fault(&faults)
        );
        let right = choice(self.fault(&faults), why.clone());
        let wrong = suspects
            .iter()
            .filter(|(other, found)| *other != faults && Self::differ(&shown, found))
            .map(|(other, found)| {
                choice(
                    self.fault(other),
                    format!("then the gauges would show {}", self.told(found).join(" and ")),
                )
            })
            .collect();
        let answer = self.choices(right, wrong)?;
        let mut scene = Scene { turned: self.cracked(&ports), hoses: ports.clone(), ..scene };
        scene.given.push(("refrigerant".into(), self.room.refrigerant.substance().name()));
        for place in &self.room.assembly.circuit.places {
            scene
                .given
                .push((format!("the {}", place.name), self.room.units.temperature(place.temperature.value)));
        }
        for (port, shown) in ports.iter().zip(&told) {
            scene.given.push((format!("the gauge on the {}", self.room.port(*port)), shown.clone()));
        }
        let ask = "The compressor has power; the stems of the gauges' ports are cracked. Which fault fits these readings?";
        Some(question(Kind::WhatIsWrong, scene, ask.into(), answer, why))
    }
}
