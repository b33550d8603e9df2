//! Questions about what is joined: ports, sections, stems.

use std::collections::BTreeSet;

use stemwise_circuit::{
    End, JointId, JointKind, Passage, PortId, PortOn, Position, SpaceId, SpaceKind, passage,
};
use stemwise_service::Done;

use super::{Maker, choice, question};
use crate::classroom::{capital, position};
use crate::{Kind, Question, Scene};

/// A service valve with its port.
struct PortValve {
    valve: JointId,
    port: PortId,
    stays_with: End,
    line: SpaceId,
    body: SpaceId,
}

/// A scene is looked for so often.
const TRIES: usize = 12;

impl Maker<'_> {
    fn port_valves(&self) -> Vec<PortValve> {
        let joints = self.room.graph().joints_with_ids();
        joints
            .filter_map(|(valve, joint)| match joint.kind {
                JointKind::ServiceValve { port: Some(port), port_stays_with, .. } => {
                    Some(PortValve { valve, port, stays_with: port_stays_with, line: joint.a, body: joint.b })
                }
                _ => None,
            })
            .collect()
    }

    fn shut(&self, valve: JointId) -> Option<Position> {
        self.room.graph().joint(valve)?.positions().last().copied()
    }

    /// The sections that a port could read, as its own valve stands, with what someone must think for it.
    fn other_readings(&self, scene: &Scene, port: PortId) -> Vec<(Vec<SpaceId>, String)> {
        let mut found = Vec::new();
        if let Some(PortOn::ServiceValve(valve)) = self.room.graph().port(port).map(|port| port.on)
            && let Some(joint) = self.room.graph().joint(valve)
        {
            for &at in joint.positions() {
                let mut other = scene.clone();
                other.turned.retain(|(turned, _)| *turned != valve);
                other.turned.push((valve, at));
                let done = self.room.settled(&other);
                let read = self
                    .room
                    .reads(&done, port)
                    .map_or_else(Vec::new, |space| self.room.section(&done, space));
                found.push((read, format!("that is what it reads with the {} {}", joint.name, position(at))));
            }
            let done = self.room.settled(scene);
            for (space, side) in [(joint.a, "line"), (joint.b, "body")] {
                let section = self.room.section(&done, space);
                found.push((
                    section,
                    format!("that is the side of the {side}, which the port does not read alone here"),
                ));
            }
        }
        let untouched = Scene { turned: Vec::new(), ..scene.clone() };
        let done = self.room.settled(&untouched);
        if let Some(space) = self.room.reads(&done, port) {
            let say = "that would be so with every stem as in normal running";
            found.push((self.room.section(&done, space), say.into()));
        }
        found.push((Vec::new(), "a seat, a core or a needle would have to part it from the system".into()));
        found
    }

    pub(super) fn reads_now(&mut self) -> Option<Question> {
        let (ports, stems) = (self.room.ports(), self.room.stems());
        for _ in 0..TRIES {
            let port = *self.dice.pick(&ports)?;
            let mut turned = Vec::new();
            if let Some(PortOn::ServiceValve(valve)) = self.room.graph().port(port).map(|port| port.on) {
                let positions = self.room.graph().joint(valve)?.positions();
                turned.push((valve, *self.dice.pick(positions)?));
            }
            if let Some(&other) = self.dice.pick(&stems)
                && !turned.iter().any(|(valve, _)| *valve == other)
            {
                turned.push((other, self.shut(other)?));
            }
            let scene = Scene { turned, hoses: vec![port], ..Scene::default() };
            let done = self.room.settled(&scene);
            let read =
                self.room.reads(&done, port).map_or_else(Vec::new, |space| self.room.section(&done, space));
            let why = self.why_port(&done, port);
            let right = choice(self.room.names(&read), why.clone());
            let others = self.other_readings(&scene, port);
            let wrong =
                others.into_iter().map(|(spaces, why)| choice(self.room.names(&spaces), why)).collect();
            if let Some(answer) = self.choices(right, wrong) {
                let stands = self.room.stands(&scene);
                let ask = format!(
                    "{stands} A gauge is on the {}. Which spaces does it read?",
                    self.room.port(port)
                );
                return Some(question(Kind::ReadsNow, scene, ask, answer, why));
            }
        }
        None
    }

    /// Why a port reads what it reads.
    fn why_port(&self, done: &Done, port: PortId) -> String {
        use stemwise_circuit::Why;
        let name = |valve| self.room.joint(valve);
        let Some(reach) = stemwise_circuit::port_reach(self.room.graph(), port, &done.state.lineup) else {
            return String::new();
        };
        match reach.why {
            Why::CoreShut => "Nothing presses its core, so it reads nothing.".into(),
            Why::Access => "The hose presses its core open: it reads whatever its space is joined to.".into(),
            Why::NoCore => "It has no core: it reads whatever its space is joined to.".into(),
            Why::Needle(valve, at) => format!("The needle of the {} is {}.", name(valve), position(at)),
            Why::BackSeated(valve) => format!(
                "The {} is back-seated: line and body are joined, and the stem's back seat shuts its port off.",
                name(valve)
            ),
            Why::OffBackSeat(valve, at) => format!(
                "The {} is {}: line, body and port are all joined, and the gauge reads all that is joined to them.",
                name(valve),
                position(at)
            ),
            Why::FrontSeated(valve, end) => {
                let side = if end == End::Body { "body" } else { "line" };
                let space =
                    self.room.graph().joint(valve).map_or("", |joint| self.room.space(joint.end(end)));
                format!(
                    "The {} is front-seated: line and body are parted, and its port stays with the {side}, the {space}.",
                    name(valve)
                )
            }
        }
    }

    pub(super) fn port_side(&mut self) -> Option<Question> {
        let valves = self.port_valves();
        let found = self.dice.pick(&valves)?;
        let (line, body) = (self.room.space(found.line), self.room.space(found.body));
        let (valve, port) = (self.room.joint(found.valve), self.room.port(found.port));
        let with = |side: &str, space: &str| format!("the {side}: the {space}");
        let (own, other) = match found.stays_with {
            End::Line => (with("line", line), with("body", body)),
            End::Body => (with("body", body), with("line", line)),
        };
        let why = format!(
            "The circuit file says that the port of the {valve} stays with {own}. Makes differ: prove it first."
        );
        let right = choice(capital(&own), why.clone());
        let wrong = vec![
            choice(capital(&other), "valves are made that way too, this one is not"),
            choice(
                "Both: a service valve never parts its port from either",
                "front-seated parts line and body; only one keeps the port",
            ),
            choice("Nothing: the port is shut off", "that is so back-seated"),
        ];
        let scene = Scene {
            turned: vec![(found.valve, Position::FrontSeated)],
            hoses: vec![found.port],
            ..Scene::default()
        };
        let ask = format!("The {valve} is front-seated. Which side does the {port} stay with?");
        let answer = self.choices(right, wrong)?;
        Some(question(Kind::PortSide, scene, ask, answer, why))
    }

    pub(super) fn position(&mut self) -> Option<Question> {
        let valves = self.port_valves();
        let found = self.dice.pick(&valves)?;
        let valve = self.room.joint(found.valve).to_owned();
        let say = |at: Position| capital(position(at));
        let right = choice(
            say(Position::Cracked),
            "Cracked, about an eighth of a turn off the back seat, joins the port and leaves line and body joined.",
        );
        let shut = match found.stays_with {
            End::Body => format!(
                "that parts line and body: the {valve} no longer passes the flow, and the gauge reads the body alone"
            ),
            End::Line => format!(
                "that parts line and body: the {valve} no longer passes the flow, and the gauge reads the line alone"
            ),
        };
        let wrong = vec![
            choice(say(Position::BackSeated), "the back seat shuts the port off: the gauge reads nothing"),
            choice(say(Position::FrontSeated), shut),
        ];
        let answer = self.choices(right, wrong)?;
        let ask = format!(
            "The system runs. Where do you put the stem of the {valve} to read the pressure at its port while it goes on running as usual?"
        );
        let why = "Back-seated the port is shut off; front-seated line and body are parted; off both seats all three are joined. \
                   Cracked is enough to read, and leaves the stem near its back seat.";
        let scene = Scene { running: true, hoses: vec![found.port], ..Scene::default() };
        Some(question(Kind::Position, scene, ask, answer, why.into()))
    }

    /// The spaces and joints on a way from one space to another through joints that join.
    fn way(&self, done: &Done, from: SpaceId, to: SpaceId) -> Option<Vec<JointId>> {
        let graph = self.room.graph();
        let mut known: BTreeSet<SpaceId> = BTreeSet::from([from]);
        let mut open: Vec<(SpaceId, Vec<JointId>)> = vec![(from, Vec::new())];
        let mut at = 0;
        while let Some((here, way)) = open.get(at).cloned() {
            at += 1;
            if here == to {
                return Some(way);
            }
            for (id, joint) in graph.joints_with_ids() {
                let joins =
                    matches!(passage(joint, id, &done.state.lineup), Passage::Open | Passage::Restricted);
                let other = if joint.a == here { joint.b } else { joint.a };
                if joins && (joint.a == here || joint.b == here) && known.insert(other) {
                    let mut longer = way.clone();
                    longer.push(id);
                    open.push((other, longer));
                }
            }
        }
        None
    }

    /// Two of the circuit's larger spaces.
    fn two_spaces(&mut self) -> Option<(SpaceId, SpaceId)> {
        let mut spaces: Vec<SpaceId> = self.room.own_spaces();
        let stub = |space: &SpaceId| {
            self.room.graph().space(*space).is_some_and(|space| matches!(space.kind, SpaceKind::Stub))
        };
        spaces.retain(|space| !stub(space));
        self.dice.shuffle(&mut spaces);
        Some((*spaces.first()?, *spaces.get(1)?))
    }

    /// Whether nothing passes between two spaces, not even one way.
    fn nothing_passes(&self, done: &Done, one: SpaceId, other: SpaceId) -> bool {
        let sections = &done.settled.sections;
        let (Some(a), Some(b)) = (sections.of(one), sections.of(other)) else { return false };
        a != b && !sections.upstream(a, true).contains(&b) && !sections.upstream(b, true).contains(&a)
    }

    pub(super) fn parted(&mut self) -> Option<Question> {
        let stems = self.room.stems();
        for _ in 0..4 * TRIES {
            let (one, other) = self.two_spaces()?;
            let mut shut: Vec<JointId> = stems.clone();
            self.dice.shuffle(&mut shut);
            shut.truncate(2);
            let turned = shut.iter().filter_map(|&valve| Some((valve, self.shut(valve)?))).collect();
            let scene = Scene { turned, ..Scene::default() };
            let done = self.room.settled(&scene);
            let way = self.way(&done, one, other);
            if way.is_none() && !self.nothing_passes(&done, one, other) {
                continue;
            }
            if let Some(made) = self.parted_in(scene, (one, other), way.as_deref(), &shut) {
                return Some(made);
            }
        }
        None
    }

    fn parted_in(
        &mut self,
        scene: Scene,
        (one, other): (SpaceId, SpaceId),
        way: Option<&[JointId]>,
        shut: &[JointId],
    ) -> Option<Question> {
        let through = |joint: JointId| format!("No: they are joined, through the {}", self.room.joint(joint));
        let by = |joint: JointId| format!("Yes: the {} parts them", self.room.joint(joint));
        let named = |joint: &JointId| {
            self.room.graph().joint(*joint).is_some_and(|joint| !matches!(joint.kind, JointKind::Pipe))
        };
        let parts = |valve: JointId| {
            let turned = scene.turned.iter().copied().filter(|(turned, _)| *turned != valve).collect();
            let open = Scene { turned, ..Scene::default() };
            self.way(&self.room.settled(&open), one, other).is_some()
        };
        let (right, why, mut wrong) = match way {
            Some(way) => {
                let on_way: Vec<JointId> = way.iter().copied().filter(named).collect();
                let first = *on_way.first()?;
                let all: Vec<String> =
                    on_way.iter().map(|&joint| format!("the {}", self.room.joint(joint))).collect();
                let why = format!("They are joined, through {}.", all.join(", "));
                let wrong: Vec<_> = shut
                    .iter()
                    .map(|&valve| choice(by(valve), "it is shut, but not between the two"))
                    .chain(
                        on_way.iter().map(|&joint| choice(by(joint), "it lies between them, and it is open")),
                    )
                    .collect();
                (choice(through(first), why.clone()), why, wrong)
            }
            None => {
                let valve = *shut.iter().find(|&&valve| parts(valve))?;
                let why = format!(
                    "The {} is shut between them, and no other way leads round it.",
                    self.room.joint(valve)
                );
                let others = shut.iter().filter(|&&other| other != valve && !parts(other));
                let wrong: Vec<_> = core::iter::once(choice(through(valve), "that stem is shut"))
                    .chain(others.map(|&other| choice(by(other), "it is shut, but not between the two")))
                    .collect();
                (choice(by(valve), why.clone()), why, wrong)
            }
        };
        let untouched: Vec<JointId> =
            self.room.stems().into_iter().filter(|valve| !shut.contains(valve)).take(3).collect();
        wrong.extend(untouched.into_iter().filter(|_| way.is_none()).map(|valve| {
            choice(
                format!("No: they are joined, through the {}", self.room.joint(valve)),
                "that way does not lead round the shut stem",
            )
        }));
        let answer = self.choices(right, wrong)?;
        let stands = self.room.stands(&scene);
        let ask =
            format!("{stands} Is the {} parted from the {}?", self.room.space(one), self.room.space(other));
        Some(question(Kind::Parted, scene, ask, answer, why))
    }

    pub(super) fn which_stem(&mut self) -> Option<Question> {
        let stems = self.room.stems();
        for _ in 0..TRIES {
            let (one, other) = self.two_spaces()?;
            let normal = self.room.settled(&Scene::default());
            if self.way(&normal, one, other).is_none() {
                continue;
            }
            let parts = |valve: &JointId| {
                let turned = self.shut(*valve).map(|shut| vec![(*valve, shut)]).unwrap_or_default();
                let done = self.room.settled(&Scene { turned, ..Scene::default() });
                self.way(&done, one, other).is_none()
            };
            let (does, does_not): (Vec<JointId>, Vec<JointId>) = stems.iter().copied().partition(parts);
            let Some(&valve) = self.dice.pick(&does) else { continue };
            let name = |valve: JointId| format!("The {}", self.room.joint(valve));
            let why = format!(
                "Every way that joins the {} and the {} leads through the {}. What only passes one way (a standing compressor, a check valve) joins nothing.",
                self.room.space(one),
                self.room.space(other),
                self.room.joint(valve)
            );
            let right = choice(name(valve), why.clone());
            let wrong = does_not
                .iter()
                .map(|&other| choice(name(other), "with it shut, the two stay joined"))
                .collect();
            let ask = format!(
                "The system stands, every stem as in normal running. Which stem, shut alone, parts the {} from the {}, so that their pressures no longer meet?",
                self.room.space(one),
                self.room.space(other)
            );
            if let Some(answer) = self.choices(right, wrong) {
                return Some(question(Kind::WhichStem, Scene::default(), ask, answer, why));
            }
        }
        None
    }
}
