//! The verifier: replays a procedure action by action and checks every rule in every state, and in the states between.

use stemwise_circuit::{Assembly, JointKind, PortId, PortOn, Position, port_reach};
use stemwise_service::{
    Action, Cap, Done, Finding, Job, Look, Refrigerant, Severity, State, Stops, apply, hazards, left_behind,
    required_level_of,
};
use stemwise_units::Pressure;

use crate::during::moments;
use crate::goal::{Asked, Opened, Watch};
use crate::margin::{Margin, Tightest};
use crate::procedure::Procedure;

/// What a procedure is replayed on.
#[derive(Clone, Debug)]
pub struct Task<'a> {
    /// The circuit with the rig.
    pub assembly: &'a Assembly,
    /// The refrigerant.
    pub refrigerant: &'a Refrigerant,
    /// Where machines stop.
    pub stops: Stops,
    /// The job whose goal is to be met; none: only the rules and the end are checked.
    pub job: Option<&'a Job>,
}

/// Where in an action a state lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum During {
    /// The stem passes this position.
    Passing(Position),
    /// The hose is on and not yet purged.
    BeforePurge,
    /// This part of it is done.
    Part(f64),
    /// Made at once after the turns before it, with no time for a compressor to empty what they shut off.
    AtOnce,
}

/// A rule that fired.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The action of the step, from 0.
    pub action: usize,
    /// Where within it; none: at its end.
    pub during: Option<During>,
    /// The rule and its numbers.
    pub finding: Finding,
}

/// What a gauge shows after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reads {
    /// The port that its hose is on.
    pub port: PortId,
    /// What it shows, absolute.
    pub pressure: Pressure,
    /// Whether it lies within what the step expects; none where nothing is expected.
    pub fits: Option<bool>,
}

/// How a step came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// No rule is broken.
    Holds,
    /// Something is wrong, but not dangerous.
    Warned,
    /// A rule is broken.
    Broken,
    /// Hands can't do it.
    Refused,
    /// An earlier step can't be done.
    NotReached,
}

/// A step, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct StepVerdict {
    /// How it came out.
    pub verdict: Verdict,
    /// The rules that fired.
    pub found: Vec<Found>,
    /// The action that can't be done, from 0, and why.
    pub refused: Option<(usize, String)>,
    /// What the gauges show after it.
    pub reads: Vec<Reads>,
    /// The tightest margins in it.
    pub margins: Vec<Margin>,
    /// How many states were checked.
    pub states: usize,
}

/// Where the refrigerant is in the end, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Account {
    /// Everything there was: the charge, and what the cylinder held.
    pub start: f64,
    /// In the circuit.
    pub circuit: f64,
    /// In hoses and cylinders.
    pub rig: f64,
    /// To the atmosphere.
    pub lost: f64,
    /// New refrigerant that came in.
    pub new: f64,
}

impl Account {
    /// What is not accounted for, as a part of what there was and what came in.
    pub fn gap(&self) -> f64 {
        let all = (self.start + self.new).max(1e-9);
        (self.circuit + self.rig + self.lost - self.new - self.start).abs() / all
    }
}

/// The first thing that keeps a procedure from being accepted.
#[derive(Clone, Debug, PartialEq)]
pub enum Failure {
    /// An action that hands can't do.
    Refused {
        /// The step, from 0.
        step: usize,
        /// Why.
        why: String,
    },
    /// A rule broken.
    Broken {
        /// The step, from 0.
        step: usize,
        /// The rule and its numbers.
        finding: Finding,
    },
    /// Something asked for that is not there in the end.
    Missing(Asked),
}

/// The verdict on a procedure.
#[derive(Clone, Debug, PartialEq)]
pub struct Certificate {
    /// Each step.
    pub steps: Vec<StepVerdict>,
    /// What the job and the end ask for, met or not.
    pub asked: Vec<Asked>,
    /// The moments at which the circuit was opened.
    pub opened: Vec<Opened>,
    /// What is left behind, by the rules.
    pub left_behind: Vec<Finding>,
    /// The account of the refrigerant.
    pub account: Account,
    /// The state at the end, or before the action that can't be done.
    pub end: State,
    /// How many states were checked.
    pub states: usize,
}

impl Certificate {
    /// Whether nothing keeps it from being accepted.
    pub fn accepted(&self) -> bool {
        self.first_failure().is_none()
    }

    /// The first thing in the order of the steps, then of what is asked for.
    pub fn first_failure(&self) -> Option<Failure> {
        for (step, verdict) in self.steps.iter().enumerate() {
            let danger = verdict.found.iter().find(|found| found.finding.severity == Severity::Danger);
            if let Some(found) = danger {
                return Some(Failure::Broken { step, finding: found.finding.clone() });
            }
            if let Some((_, why)) = &verdict.refused {
                return Some(Failure::Refused { step, why: why.clone() });
            }
        }
        self.asked.iter().find(|asked| asked.needed && !asked.met).cloned().map(Failure::Missing)
    }
}

impl<'a> Task<'a> {
    /// With the usual stops.
    pub fn new(assembly: &'a Assembly, refrigerant: &'a Refrigerant, job: Option<&'a Job>) -> Self {
        Self { assembly, refrigerant, stops: Stops::usual(required_level_of(assembly, refrigerant)), job }
    }

    /// The state before the first step: as the job begins, or as the procedure says.
    pub fn start(&self, standing: bool) -> Done {
        State::begin(self.assembly, self.refrigerant, &self.stops, self.job, !standing)
    }

    /// Does an action.
    ///
    /// # Errors
    /// Why hands can't.
    pub fn act(&self, before: &Done, action: &Action) -> Result<Done, String> {
        self.hands(&before.state, action)?;
        apply(self.assembly, self.refrigerant, &self.stops, &before.state, action)
            .map_err(|why| why.to_string())
    }

    /// The rules that fire with an action.
    pub(crate) fn hazards(&self, before: &Done, action: &Action, after: &Done) -> Vec<Finding> {
        let (assembly, refrigerant) = (self.assembly, self.refrigerant);
        hazards(&Look { assembly, refrigerant, before, action: Some(action), after })
    }

    pub(crate) fn left_behind(&self, here: &Done) -> Vec<Finding> {
        let (assembly, refrigerant) = (self.assembly, self.refrigerant);
        left_behind(&Look { assembly, refrigerant, before: here, action: None, after: here })
    }

    /// What stands in the way of the hands: caps, hoses, tools that are not there.
    ///
    /// # Errors
    /// Why hands can't.
    pub fn hands(&self, state: &State, action: &Action) -> Result<(), String> {
        let graph = &self.assembly.graph;
        let joint = |id| graph.joint(id).map_or_else(String::new, |found| found.name.clone());
        let port_name = |id| graph.port(id).map_or_else(String::new, |found| found.name.clone());
        let stem = |id| graph.joint(id).and_then(|found| found.stem.as_ref());
        let capped = |cap: Cap, has: bool| has && !state.caps_off.contains(&cap);
        match *action {
            Action::Turn { valve, .. }
                if capped(Cap::Stem(valve), stem(valve).is_some_and(|stem| stem.cap)) =>
            {
                Err(format!("the cap is on the stem of the {}", joint(valve)))
            }
            Action::EaseNut(valve) | Action::TightenNut(valve)
                if !stem(valve).is_some_and(|stem| stem.packing_nut) =>
            {
                Err(format!("the {} has no packing nut", joint(valve)))
            }
            Action::AttachHose { port, .. }
                if capped(Cap::Port(port), graph.port(port).is_some_and(|port| port.cap)) =>
            {
                Err(format!("the cap is on the {}", port_name(port)))
            }
            Action::AttachHose { port, .. } | Action::PullCore { port, .. }
                if !self.is_fitted(state, port) =>
            {
                Err(format!("there is no {} yet", port_name(port)))
            }
            Action::BrazeAccess { port } if !self.stands_open(state, port) => {
                Err(format!("what the {} goes on is not open and empty", port_name(port)))
            }
            Action::PutCapOn(Cap::Port(port)) if state.lineup.hose_on(port).is_some() => {
                Err(format!("a hose is on the {}", port_name(port)))
            }
            Action::PullCore { with_tool: true, .. } if !self.assembly.rig.core_tool => {
                Err("there is no core removal tool at hand".into())
            }
            Action::PutCoreBack { port } if !state.lineup.cores_out.contains(&port) => {
                Err(format!("the core of the {} is not out", port_name(port)))
            }
            Action::OpenUp { ref spaces, .. } | Action::CloseUp { ref spaces, .. }
                if spaces.iter().any(|space| space.index() >= self.assembly.circuit.graph.spaces.len()) =>
            {
                Err("only a part or line of the circuit can be opened".into())
            }
            Action::CloseUp { ref spaces, .. } => {
                match spaces.iter().find(|space| !state.open_spaces.contains(space)) {
                    Some(&space) => {
                        let name = graph.space(space).map_or("", |space| space.name.as_str());
                        Err(format!("the {name} is not open"))
                    }
                    None => Ok(()),
                }
            }
            _ => Ok(()),
        }
    }

    /// Whether an action turns a stem of the circuit.
    fn turns_own_stem(&self, action: &Action) -> bool {
        let own = self.assembly.circuit.graph.joints.len();
        matches!(action, Action::Turn { valve, .. } if valve.index() < own)
    }

    /// Whether a port is one of the circuit, or was made during the job.
    fn is_fitted(&self, state: &State, port: PortId) -> bool {
        port.index() < self.assembly.circuit.graph.ports.len()
            || state.pierced.contains(&port)
            || state.brazed.contains(&port)
    }

    /// Whether what a port is on stands open to the atmosphere, no hose on the port.
    fn stands_open(&self, state: &State, port: PortId) -> bool {
        let on = self.assembly.graph.port(port).map(|port| port.on);
        let open = matches!(on, Some(PortOn::Space(space)) if state.open_spaces.contains(&space));
        open && state.lineup.hose_on(port).is_none()
    }

    /// Up to which pressure a low side counts as pumped down, Pa: the stop, or the low cut-out above it, and what a gauge can tell apart.
    pub(crate) fn pump_down_limit(&self) -> f64 {
        let cut_out = self.assembly.graph.joints.iter().filter_map(|joint| match &joint.kind {
            JointKind::Compressor(compressor) => compressor.low_cut_out,
            _ => None,
        });
        let stop = cut_out.fold(self.stops.pump_down, |one, other| one.max(other));
        stop.absolute(self.assembly.circuit.atmosphere).as_pa() + 0.05e5
    }

    /// What the gauges show: each hose whose port is joined to something.
    pub(crate) fn reads(&self, here: &Done) -> Vec<(PortId, Pressure)> {
        let joined = |attached: &stemwise_circuit::Attached| {
            port_reach(&self.assembly.graph, attached.port, &here.state.lineup)?.of_system()?;
            Some((attached.port, here.settled.pressure(attached.hose)?))
        };
        here.state.lineup.attached.iter().filter_map(joined).collect()
    }

    pub(crate) fn account(&self, start: &State, end: &State) -> Account {
        let kg = |state: &State| state.contents.iter().map(|held| held.refrigerant.as_kg()).sum::<f64>();
        let circuit = end.circuit_mass(self.assembly).as_kg();
        Account {
            start: kg(start),
            circuit,
            rig: kg(end) - circuit,
            lost: end.left.lost_kg,
            new: end.left.new_kg,
        }
    }
}

/// Replays a procedure and judges it.
pub fn verify(task: &Task<'_>, procedure: &Procedure) -> Certificate {
    verify_from(task, task.start(procedure.standing), procedure)
}

/// The same from a state of one's own: a system with faults.
pub fn verify_from(task: &Task<'_>, start: Done, procedure: &Procedure) -> Certificate {
    let mut here = start.clone();
    let mut watch = Watch::new(task, &start);
    let mut steps = Vec::with_capacity(procedure.steps.len());
    // Stems that are turned one after the other with no gauge looked at between, from where they began, in one step or in several.
    let (mut begun, mut turns) = (here.clone(), 0);
    for (at, step) in procedure.steps.iter().enumerate() {
        if steps.last().is_some_and(|last: &StepVerdict| last.verdict >= Verdict::Refused) {
            steps.push(not_reached());
            continue;
        }
        let mut judge = Judge { task, found: Vec::new(), margins: Tightest::default(), states: 0 };
        let mut refused = None;
        for (index, action) in step.actions.iter().enumerate() {
            match task.act(&here, action) {
                Ok(after) => {
                    judge.action(index, &here, action, &after);
                    watch.action(at, &here, action, &after);
                    if looks(action) {
                        (begun, turns) = (after.clone(), 0);
                    }
                    turns += usize::from(task.turns_own_stem(action));
                    if turns > 1 && task.turns_own_stem(action) && !begun.settled.compressors.is_empty() {
                        judge.at_once(index, &begun, action, &after);
                    }
                    here = after;
                }
                Err(why) => {
                    refused = Some((index, why));
                    break;
                }
            }
        }
        if !step.expect.is_empty() || step.hold.is_some() {
            (begun, turns) = (here.clone(), 0);
        }
        let reads = reads_after(task, &here, step);
        steps.push(judge.verdict(refused, reads));
    }
    let reached = steps.last().is_none_or(|last| last.verdict < Verdict::Refused);
    let account = task.account(&start.state, &here.state);
    let left_behind = task.left_behind(&here);
    let states = steps.iter().map(|step| step.states).sum();
    let (mut asked, opened) = watch.finish(&here, &account);
    if !reached {
        asked.retain(|asked| asked.met);
    }
    Certificate { steps, asked, opened, left_behind, account, end: here.state, states }
}

/// Whether an action takes so long, or looks so, that what a running compressor empties is empty after it.
const fn looks(action: &Action) -> bool {
    !matches!(
        action,
        Action::Turn { .. }
            | Action::TakeCapOff(_)
            | Action::PutCapOn(_)
            | Action::EaseNut(_)
            | Action::TightenNut(_)
            | Action::HoldOpen(_)
            | Action::LetGo(_)
    )
}

fn reads_after(task: &Task<'_>, here: &Done, step: &crate::procedure::Step) -> Vec<Reads> {
    let fits = |port, pressure: Pressure| {
        let expected = step.expect.iter().find(|expected| expected.port == port)?;
        // What a person wrote down is rounded.
        let slack = 1_000.0;
        Some(
            pressure.as_pa() >= expected.low.as_pa() - slack
                && pressure.as_pa() <= expected.high.as_pa() + slack,
        )
    };
    let reads = task.reads(here).into_iter();
    reads.map(|(port, pressure)| Reads { port, pressure, fits: fits(port, pressure) }).collect()
}

fn not_reached() -> StepVerdict {
    StepVerdict {
        verdict: Verdict::NotReached,
        found: Vec::new(),
        refused: None,
        reads: Vec::new(),
        margins: Vec::new(),
        states: 0,
    }
}

struct Judge<'a, 't> {
    task: &'a Task<'t>,
    found: Vec<Found>,
    margins: Tightest,
    states: usize,
}

impl Judge<'_, '_> {
    fn action(&mut self, index: usize, before: &Done, action: &Action, after: &Done) {
        for moment in moments(self.task, before, action, after) {
            self.states += 1;
            self.margins.look(self.task, &moment.done);
            for finding in moment.found {
                self.add(Found { action: index, during: Some(moment.during), finding });
            }
        }
        self.states += 1;
        self.margins.look(self.task, after);
        for finding in self.task.hazards(before, action, after) {
            self.add(Found { action: index, during: None, finding });
        }
    }

    /// Stems of one step are turned one right after the other: what a running compressor would have emptied in between is still full then.
    fn at_once(&mut self, index: usize, begun: &Done, action: &Action, after: &Done) {
        let mut still_full = after.clone();
        still_full.state.contents.clone_from(&begun.state.contents);
        still_full.settled.liquid.clone_from(&begun.settled.liquid);
        still_full.settled.pressures.clone_from(&begun.settled.pressures);
        let found = self.task.hazards(begun, action, &still_full);
        for finding in found.into_iter().filter(|finding| finding.rule == "liquid-shut-in") {
            self.add(Found { action: index, during: Some(During::AtOnce), finding });
        }
    }

    /// The same rule about the same thing is told once a step, the worst of it.
    fn add(&mut self, new: Found) {
        let same = |known: &Found| {
            known.finding.rule == new.finding.rule
                && known.finding.space == new.finding.space
                && known.finding.joint == new.finding.joint
                && known.finding.port == new.finding.port
        };
        match self.found.iter_mut().find(|known| same(known)) {
            Some(known) if known.finding.severity < new.finding.severity => *known = new,
            Some(_) => {}
            None => self.found.push(new),
        }
    }

    fn verdict(self, refused: Option<(usize, String)>, reads: Vec<Reads>) -> StepVerdict {
        let worst = self.found.iter().map(|found| found.finding.severity).max();
        let misread = reads.iter().any(|reads| reads.fits == Some(false));
        let verdict = match worst {
            _ if refused.is_some() => Verdict::Refused,
            Some(Severity::Danger) => Verdict::Broken,
            Some(Severity::Warning) => Verdict::Warned,
            _ if misread => Verdict::Warned,
            _ => Verdict::Holds,
        };
        StepVerdict {
            verdict,
            found: self.found,
            refused,
            reads,
            margins: self.margins.into_vec(),
            states: self.states,
        }
    }
}
