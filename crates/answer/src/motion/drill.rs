//! A drill by the clock: its faults in motion, and what a run of it is worth.

use stemwise_circuit::Assembly;
use stemwise_rehearse::Danger;
use stemwise_service::{Finding, Refrigerant, Severity};
use stemwise_teach::{Drill, Fault, Happened, Seen, best_way, drill_start, read_run, score_seen};
use stemwise_units::{Mass, Time, UnitSystem};
use stemwise_wire as wire;

use super::Motion;
use super::follow::Followed;
use crate::Error;
use crate::teach::{TeachError, in_motion, scored, sound};

/// A pause that is shorter is none, min.
const PAUSE: f64 = 1.0;

impl Motion {
    /// As a trainee finds it in a drill whose goal is a job, with every fault that can be put in motion.
    ///
    /// # Errors
    /// [`Error::Teach`] for a drill that can't be read, or that asks questions only; [`Error::Rehearse`].
    ///
    /// ```
    /// use stemwise_answer::{Motion, drill_file};
    /// let drill = drill_file("first-readings")?.as_bytes();
    /// let mut motion = Motion::of_drill(drill)?;
    /// motion.act("cap off port suction-valve-port")?;
    /// motion.advance(30.0);
    /// // Nothing was read, and a cap is off.
    /// assert!(!motion.drill_score(drill, None)?.passed);
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn of_drill(file: &[u8]) -> Result<Self, Error> {
        Self::found(&sound(file, None)?)
    }

    fn found(drill: &Drill) -> Result<Self, Error> {
        let (assembly, start) = drill_start(drill).map_err(TeachError::from)?;
        let refrigerant = Refrigerant::named(&assembly.circuit.refrigerant)?;
        let mut motion = Self::of(refrigerant, &assembly, &start.state)?;
        let charge = assembly.circuit.charge.value;
        // What shows at rest is in the state already.
        let in_motion =
            |fault: &Fault| (!fault.kind.shows_at_rest()).then(|| in_motion(fault, charge)).flatten();
        for fault in drill.faults.iter().filter_map(in_motion) {
            motion.put_fault(&fault.id, fault.size)?;
        }
        Ok(motion)
    }

    /// What was done so far as a procedure file, a step for each action; a pause of a minute and more is a wait.
    pub fn procedure(&self) -> String {
        let rig = &self.now.assembly().rig;
        let cylinders = rig.cylinder.as_ref().map_or(1, |cylinder| cylinder.count);
        let mut steps = String::new();
        let ends = self.done.iter().skip(1).map(|(at, _)| *at).chain(core::iter::once(self.now.seconds()));
        for ((at, words), end) in self.done.iter().zip(ends) {
            steps.push_str(&format!("\nstep: {words}\n  {words}\n"));
            let pause = libm::floor((end - at) / 60.0);
            if pause >= PAUSE {
                steps.push_str(&format!("  wait {} min\n", pause as u32));
            }
        }
        format!("procedure 1\ncylinders: {cylinders}\n{steps}")
    }

    /// What the run so far is worth, beside the best way done by the same clock.
    ///
    /// # Errors
    /// [`Error::Teach`] for the drill.
    pub fn drill_score(&self, file: &[u8], units: Option<UnitSystem>) -> Result<wire::DrillScore, Error> {
        let drill = sound(file, units)?;
        let run = read_run(&drill, self.procedure().as_bytes())
            .map_err(|problems| Error::Procedure { problems })?;
        let mut best = Self::found(&drill)?;
        best.followed = Some(Followed::new(best_way(&drill).map_err(TeachError::from)?.procedure));
        while best.next_step() {}
        let seen = self.seen_beside(&best);
        let found = score_seen(&drill, &run, &seen).map_err(TeachError::from)?;
        let assembly = Assembly::new(drill.on.circuit.clone(), stemwise_circuit::Rig::usual());
        Ok(scored(&drill, &found, &assembly))
    }

    fn seen_beside(&self, best: &Self) -> Seen {
        // The procedure has waits as actions of their own: numbers count those too.
        let number = |action: usize| {
            let ends = self.done.iter().skip(1).map(|(at, _)| *at);
            let pauses = self.done.iter().zip(ends).take(action);
            action + pauses.filter(|((at, _), end)| end - at >= 60.0 * PAUSE).count()
        };
        let lost = |motion: &Self| Mass::from_kg(motion.now.state().left.lost_kg);
        let time = |motion: &Self| Time::from_s(motion.now.seconds());
        let known = |danger: &Danger| best.seen.happened().iter().any(|(_, other)| other == danger);
        let happened = self.seen.happened().iter().filter(|(_, danger)| !known(danger));
        let happened = happened.filter_map(|(at, danger)| {
            let severity = severity(*danger)?;
            let wrong = super::went_wrong(self.now.assembly(), *at, *danger)?;
            let action = self.done.iter().filter(|(begun, _)| begun <= at).count();
            Some(Happened { action: number(action), severity, say: wrong.say })
        });
        Seen {
            findings: self.seen.findings().iter().map(|(at, found)| (number(*at), found.clone())).collect(),
            best_findings: best
                .seen
                .findings()
                .iter()
                .map(|(_, found)| found.clone())
                .collect::<Vec<Finding>>(),
            happened: happened.collect(),
            lost: lost(self),
            best_lost: lost(best),
            time: time(self),
            best_time: time(best),
        }
    }
}

/// How bad it is; a low-pressure control that stops a compressor does its work.
const fn severity(danger: Danger) -> Option<Severity> {
    match danger {
        Danger::ReliefLifts(_)
        | Danger::PastDesign(_)
        | Danger::Bursts(_)
        | Danger::PastFill(_)
        | Danger::MotorHot(_)
        | Danger::Slugging(_) => Some(Severity::Danger),
        Danger::HighCutOut(_) | Danger::IntoVacuum(_) | Danger::OilFroths(_) | Danger::HeldBack(_) => {
            Some(Severity::Warning)
        }
        Danger::LowCutOut(_) => None,
    }
}
