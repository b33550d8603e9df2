//! A procedure in motion: step by step by the clock, with what each gauge showed beside what was expected.

use stemwise_circuit::Rig;
use stemwise_prove::{Procedure, Step, Task, read, words_of};
use stemwise_rehearse::{Band, Fit, Ran, Shown};
use stemwise_service::find_job;
use stemwise_wire as wire;

use super::Motion;
use super::seen::Seen;
use crate::Error;

/// A procedure that is followed.
#[derive(Clone, Debug)]
pub(super) struct Followed {
    procedure: Procedure,
    /// What came of each step that was done.
    ran: Vec<Followable>,
}

/// What came of a step.
#[derive(Clone, Debug)]
struct Followable {
    ran: Ran,
    /// Why it could not be done.
    refused: Option<String>,
}

impl Followed {
    pub(super) const fn new(procedure: Procedure) -> Self {
        Self { procedure, ran: Vec::new() }
    }

    pub(super) const fn count(&self) -> usize {
        self.ran.len()
    }

    pub(super) fn back_to(&mut self, count: usize) {
        self.ran.truncate(count);
    }

    /// The step that comes next; none at the end, or where one could not be done.
    fn next(&self) -> Option<&Step> {
        let stuck = self.ran.last().is_some_and(|last| last.refused.is_some());
        self.procedure.steps.get(self.ran.len()).filter(|_| !stuck)
    }
}

impl Motion {
    /// Starts over with a procedure to follow: with its rig, running or standing as it says, and with the empty system of a job that begins with one.
    ///
    /// # Errors
    /// [`Error::Procedure`] with every fault of the file, [`Error::Job`], [`Error::Rehearse`]; nothing has changed then.
    ///
    /// ```
    /// use stemwise_answer::{Motion, ProcedureAsk, example, procedure_file};
    /// let circuit = example("walk-in-cooler")?.as_bytes();
    /// let ask = ProcedureAsk { job: Some("take readings".into()), ..ProcedureAsk::default() };
    /// let mut motion = Motion::new(circuit, true)?;
    /// motion.follow(procedure_file(circuit, &ask)?.as_bytes())?;
    /// while motion.next_step() {}
    /// assert!(motion.followed().unwrap().steps.iter().all(|step| step.stands == "done"));
    /// assert!(motion.follow(b"procedure 9").is_err());
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn follow(&mut self, procedure_file: &[u8]) -> Result<(), Error> {
        let circuit = &self.now.assembly().circuit;
        let reading = read(procedure_file, circuit, Rig::usual());
        let Some(procedure) = reading.procedure else {
            return Err(Error::Procedure { problems: reading.problems });
        };
        let job = procedure.job.as_deref().map(|said| find_job(circuit, said)).transpose()?;
        let start = Task::new(&reading.assembly, &self.refrigerant, job.as_ref()).start(procedure.standing);
        self.begin(&reading.assembly, &start.state)?;
        self.followed = Some(Followed::new(procedure));
        Ok(())
    }

    /// The step that [`Motion::next_step`] would do; none where there is none, or the one before could not be done.
    pub(crate) fn coming_step(&self) -> Option<wire::StepInMotion> {
        let followed = self.followed.as_ref()?;
        let step = followed.next()?;
        Some(wire::StepInMotion {
            n: followed.ran.len() + 1,
            say: step.say.clone(),
            hold: step.hold.clone(),
            stands: "next".into(),
            from_s: None,
            to_s: None,
            shown: Vec::new(),
            refused: None,
            happened: Vec::new(),
        })
    }

    /// Does the next step to its end: its actions, and the wait until the gauges show what they should or come no nearer. False where there is none, or
    /// the one before could not be done.
    pub fn next_step(&mut self) -> bool {
        let Some(step) = self.followed.as_ref().and_then(Followed::next).cloned() else { return false };
        self.mark();
        let band = |expected: &stemwise_prove::Expected| Band {
            port: expected.port,
            low: expected.low,
            high: expected.high,
        };
        let bands: Vec<Band> = step.expect.iter().map(band).collect();
        let (refrigerant, stops, seen) = (&self.refrigerant, &self.stops, &mut self.seen);
        let mut begun = Vec::new();
        let ran = self.now.follow_step(&step.actions, &bands, stops, &mut |now, action| {
            if let Some(action) = action {
                seen.before(now, refrigerant, stops, action);
                begun.push((now.seconds(), words_of(now.assembly(), action)));
            }
            seen.moment(now);
        });
        if ran.refused.is_some() {
            begun.pop();
        }
        self.done.append(&mut begun);
        let refused = ran.refused.as_ref().map(ToString::to_string);
        if let Some(followed) = &mut self.followed {
            followed.ran.push(Followable { ran, refused });
        }
        true
    }

    /// The procedure that is followed, and what came of it so far; none where there is none.
    pub fn followed(&self) -> Option<wire::FollowedProcedure> {
        let followed = self.followed.as_ref()?;
        let steps = followed.procedure.steps.iter().enumerate().map(|(at, step)| {
            let came = followed.ran.get(at);
            let next = at == followed.ran.len() && followed.next().is_some();
            let stands = match came {
                Some(Followable { refused: Some(_), .. }) => "refused",
                Some(Followable { ran, .. }) if ran.gave_up => "not-ended",
                Some(_) => "done",
                None if next => "next",
                None => "to-come",
            };
            let from_to = came.map(|came| (came.ran.from, came.ran.to));
            wire::StepInMotion {
                n: at + 1,
                say: step.say.clone(),
                hold: step.hold.clone(),
                stands: stands.into(),
                from_s: from_to.map(|(from, _)| from),
                to_s: from_to.map(|(_, to)| to),
                shown: came
                    .map(|came| came.ran.shown.iter().map(|shown| self.gauge(shown)).collect())
                    .unwrap_or_default(),
                refused: came.and_then(|came| came.refused.clone()),
                happened: from_to.map(|span| self.seen.within(&self.now, span)).unwrap_or_default(),
            }
        });
        Some(wire::FollowedProcedure { job: followed.procedure.job.clone(), steps: steps.collect() })
    }

    fn gauge(&self, shown: &Shown) -> wire::GaugeInMotion {
        let port = self.now.assembly().graph.port(shown.port);
        wire::GaugeInMotion {
            gauge: port.map_or_else(String::new, |port| port.id.clone()),
            shows_pa: shown.pressure.as_pa(),
            low_pa: shown.low.as_pa(),
            high_pa: shown.high.as_pa(),
            may_err_pa: shown.gauge_pa,
            fit: match shown.fit() {
                Fit::Expected => "as-expected",
                Fit::OnTheWay => "on-the-way",
                Fit::Off => "off",
            }
            .into(),
        }
    }
}

impl Seen {
    /// What went wrong in a stretch of time.
    pub(super) fn within(
        &self,
        now: &stemwise_rehearse::Rehearsal,
        (from, to): (f64, f64),
    ) -> Vec<wire::WentWrong> {
        let inside = self.happened().iter().filter(|(at, _)| *at > from && *at <= to);
        inside.filter_map(|(at, danger)| super::went_wrong(now.assembly(), *at, *danger)).collect()
    }
}
