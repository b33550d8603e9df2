//! Questions about procedures: what is not back, where a step is missing, which steps changed places.

use stemwise_prove::{Failure, Procedure, Step, Task, verify};
use stemwise_service::plan::plan;
use stemwise_service::{Action, Cap, Done, Job, JobKind, find_job, jobs};

use super::{Maker, question};
use crate::classroom::capital;
use crate::{Choice, Kind, Question, Scene};

/// So many steps are shown before and after the place that is asked about.
const AROUND: usize = 4;
/// A place is looked for so often.
const TRIES: usize = 8;

/// The jobs that make good questions, the best first.
const JOBS: [JobKind; 6] = [
    JobKind::ReplaceDrier,
    JobKind::ReplaceMetering,
    JobKind::ReplaceEvaporator,
    JobKind::PumpDown,
    JobKind::TakeReadings,
    JobKind::RecoverAll,
];

impl Maker<'_> {
    /// A planned procedure for a job of the circuit, planned once.
    fn procedure(&mut self) -> Option<Procedure> {
        if self.planned.is_none() {
            self.planned = Some(self.plan().map(Box::new));
        }
        self.planned.as_ref()?.as_deref().cloned()
    }

    fn plan(&self) -> Option<Procedure> {
        let offered = jobs(&self.room.assembly.circuit);
        let mut wanted: Vec<&Job> = Vec::new();
        for kind in JOBS {
            wanted.extend(offered.iter().find(|job| job.kind == kind));
        }
        wanted.into_iter().find_map(|job| {
            let found = plan(&self.room.assembly, &self.room.refrigerant, job).ok()?;
            Some(Procedure::planned(&self.room.assembly, &found.best, &[], self.room.units))
        })
    }

    fn job(&self, procedure: &Procedure) -> Option<Job> {
        find_job(&self.room.assembly.circuit, procedure.job.as_deref()?).ok()
    }

    /// What breaks a procedure, in a sentence; none: nothing does.
    fn broken(&self, procedure: &Procedure) -> Option<String> {
        let job = self.job(procedure);
        let task = Task::new(&self.room.assembly, &self.room.refrigerant, job.as_ref());
        verify(&task, procedure).first_failure().map(|failure| match failure {
            Failure::Refused { why, .. } => format!("A later step can't be done: {why}."),
            Failure::Broken { finding, .. } => finding.say(&self.room.assembly, self.room.units),
            Failure::Missing(asked) => format!("In the end this is not met: {}.", asked.say),
        })
    }

    /// Steps as they are shown, numbered as in the procedure that is shown, around a place.
    fn around(steps: &[Step], place: usize) -> (Vec<String>, core::ops::Range<usize>) {
        let window = place.saturating_sub(AROUND)..(place + AROUND).min(steps.len());
        let told = steps.iter().enumerate().skip(window.start).take(window.len());
        (told.map(|(at, step)| format!("{}. {}", at + 1, step.say)).collect(), window)
    }

    pub(super) fn missing_step(&mut self) -> Option<Question> {
        let procedure = self.procedure()?;
        for _ in 0..TRIES {
            let at = 1 + self.dice.roll(procedure.steps.len().saturating_sub(2));
            let mut short = procedure.clone();
            if procedure.steps.get(at).is_none_or(|step| step.actions.is_empty()) {
                continue;
            }
            let missing = short.steps.remove(at);
            let Some(breaks) = self.broken(&short) else { continue };
            let (steps, window) = Self::around(&short.steps, at);
            let place = |after: usize| format!("Between step {} and step {}", after, after + 1);
            let why = format!("There it says: {} Without it: {breaks}", missing.say);
            let right = super::choice(place(at), why.clone());
            let others =
                window.clone().filter(|&after| after > 0 && after != at && after < short.steps.len());
            let wrong: Vec<Choice> = others
                .map(|after| {
                    Self::mistaken(
                        place(after),
                        "nothing is missing there: the planner's steps follow each other so",
                    )
                })
                .collect();
            if let Some(answer) = self.choices(right, wrong) {
                let scene = Scene { running: true, steps, ..Scene::default() };
                let ask = format!(
                    "From a procedure to \"{}\" one step is missing. Where?",
                    procedure.job.as_deref().unwrap_or("work")
                );
                return Some(question(Kind::MissingStep, scene, ask, answer, why));
            }
        }
        None
    }

    pub(super) fn swapped_steps(&mut self) -> Option<Question> {
        let procedure = self.procedure()?;
        for _ in 0..3 * TRIES {
            let at = 1 + self.dice.roll(procedure.steps.len().saturating_sub(2));
            let mut other = procedure.clone();
            if at + 1 >= other.steps.len() {
                continue;
            }
            other.steps.swap(at, at + 1);
            let Some(breaks) = self.broken(&other) else { continue };
            let (steps, window) = Self::around(&other.steps, at + 1);
            let pair = |first: usize| format!("Steps {} and {}", first + 1, first + 2);
            let why = format!("They belong the other way round. As they stand: {breaks}");
            let right = super::choice(pair(at), why.clone());
            let others =
                window.clone().filter(|&first| first.abs_diff(at) > 1 && window.contains(&(first + 1)));
            let wrong: Vec<Choice> =
                others.map(|first| Self::mistaken(pair(first), "these two stand as planned")).collect();
            if let Some(answer) = self.choices(right, wrong) {
                let scene = Scene { running: true, steps, ..Scene::default() };
                let ask = format!(
                    "In a procedure to \"{}\" two neighbouring steps have changed places. Which?",
                    procedure.job.as_deref().unwrap_or("work")
                );
                return Some(question(Kind::SwappedSteps, scene, ask, answer, why));
            }
        }
        None
    }

    pub(super) fn not_back(&mut self) -> Option<Question> {
        let procedure = self.procedure()?;
        let job = self.job(&procedure);
        let task = Task::new(&self.room.assembly, &self.room.refrigerant, job.as_ref());
        for _ in 0..TRIES {
            let until = 2 + self.dice.roll(procedure.steps.len().saturating_sub(3));
            let mut here = task.start(procedure.standing);
            for action in procedure.steps.iter().take(until).flat_map(|step| &step.actions) {
                here = task.act(&here, action).ok()?;
            }
            let (off, touched) = self.things(&here, &procedure);
            let Some(thing) = self.dice.pick(&off).cloned() else { continue };
            let why = format!("After step {until} it is so: {}.", off.join("; "));
            let right = super::choice(capital(&thing), why.clone());
            let wrong: Vec<Choice> = touched
                .iter()
                .filter(|other| !off.contains(other))
                .map(|other| Self::mistaken(capital(other), "that is as it belongs at this moment"))
                .collect();
            if let Some(answer) = self.choices(right, wrong) {
                let steps = procedure.steps.iter().take(until).enumerate();
                let steps = steps.map(|(at, step)| format!("{}. {}", at + 1, step.say)).collect();
                let scene = Scene { running: true, steps, ..Scene::default() };
                let ask = format!(
                    "The work ends here, after step {until}. Which of these has to be put right before you go?"
                );
                return Some(question(Kind::NotBack, scene, ask, answer, why));
            }
        }
        None
    }

    /// What is not back after some steps; and everything that the whole procedure touches, as if it were not back.
    fn things(&self, here: &Done, procedure: &Procedure) -> (Vec<String>, Vec<String>) {
        let state = &here.state;
        let cap = |cap: &Cap| match *cap {
            Cap::Port(port) => format!("the cap of the {} is off", self.room.port(port)),
            Cap::Stem(valve) => format!("the cap of the stem of the {} is off", self.room.joint(valve)),
        };
        let nut = |valve| format!("the packing nut of the {} is eased", self.room.joint(valve));
        let hose = |port| format!("a hose is on the {}", self.room.port(port));
        let stem = |valve| format!("the stem of the {} is not in its normal place", self.room.joint(valve));
        let normal = |valve| {
            self.room.graph().joint(valve).and_then(|joint| joint.stem.as_ref()).map(|stem| stem.normal)
        };
        let mut off: Vec<String> = state.caps_off.iter().map(cap).collect();
        off.extend(state.nuts_eased.iter().map(|&valve| nut(valve)));
        off.extend(state.lineup.attached.iter().map(|attached| hose(attached.port)));
        off.extend(
            self.room
                .stems()
                .into_iter()
                .filter(|&valve| state.lineup.position(valve) != normal(valve))
                .map(stem),
        );
        if state.locked_out {
            off.push("the power is locked out".into());
        }
        let own = |valve| self.room.stems().contains(&valve);
        let told = |action: &Action| match action {
            Action::TakeCapOff(which) => Some(cap(which)),
            Action::EaseNut(valve) => Some(nut(*valve)),
            Action::AttachHose { port, .. } => Some(hose(*port)),
            Action::Turn { valve, .. } if own(*valve) => Some(stem(*valve)),
            Action::LockOut => Some("the power is locked out".into()),
            _ => None,
        };
        let touched = procedure.steps.iter().flat_map(|step| &step.actions).filter_map(told).collect();
        (off, touched)
    }
}
