//! The fold: from events to where the job stands.

use std::collections::BTreeMap;

use stemwise_prove::Step;
use stemwise_units::{Mass, Pressure, PressureDifference, Time};

use crate::account::{Weighing, account};
use crate::open_items::{blocks, open};
use crate::replay::{Replay, replay};
use crate::revision::Revisions;
use crate::{
    Band, Block, Event, EventId, Log, Measured, Moment, Progress, ReadingState, Standing, StepRef, StepState,
    Test, TimerState, Value, VerdictOnReading, What,
};

/// What a person wrote down is rounded: a reading may lie outside its band by this much, Pa (as the verifier allows).
const SLACK: f64 = 1_000.0;

/// Where a job stands by its log. Never fails: what can't be read or does not fit is in the answer.
pub fn fold(log: &Log) -> Progress {
    let retracted = retractions(log);
    let revisions = revisions(log, &retracted);
    let mut fold = Fold {
        log,
        retracted,
        revisions,
        places: BTreeMap::new(),
        progress: Progress::default(),
        done: Vec::new(),
    };
    fold.opening();
    fold.set_up_steps();
    for event in log.events() {
        if fold.counts(&event.id) {
            fold.event(event);
        }
    }
    fold.readings();
    fold.timers();
    fold.finish()
}

/// Each event that was taken back, with the first event that did so. An opening can't be taken back, nor can a retraction.
fn retractions(log: &Log) -> BTreeMap<EventId, EventId> {
    let mut found = BTreeMap::new();
    for event in log.events() {
        let What::Retracted { event: target, .. } = &event.what else { continue };
        let kept = |event: &Event| matches!(event.what, What::Opened(_) | What::Retracted { .. });
        if !log.get(target).is_some_and(kept) {
            found.entry(target.clone()).or_insert_with(|| event.id.clone());
        }
    }
    found
}

fn revisions(log: &Log, retracted: &BTreeMap<EventId, EventId>) -> Revisions {
    let Some(opening) = log.opening() else { return Revisions::default() };
    let What::Opened(opened) = &opening.what else { return Revisions::default() };
    let mut all = Revisions::open(&opening.id, opened);
    for event in log.events().iter().filter(|event| !retracted.contains_key(&event.id)) {
        if let What::ProcedureReplaced { procedure, .. } = &event.what {
            all.push(&event.id, procedure);
        }
    }
    all
}

struct Fold<'l> {
    log: &'l Log,
    retracted: BTreeMap<EventId, EventId>,
    revisions: Revisions,
    /// For each procedure, where its steps are in the one in force.
    places: BTreeMap<EventId, Vec<Option<usize>>>,
    progress: Progress,
    /// The done steps, in the order in which they were done.
    done: Vec<StepRef>,
}

impl Fold<'_> {
    fn counts(&self, id: &EventId) -> bool {
        !self.retracted.contains_key(id)
    }

    fn opening(&mut self) {
        let progress = &mut self.progress;
        progress.conflicts = self.log.conflicts().into_iter().cloned().collect();
        progress.retracted = self.retracted.iter().map(|(id, by)| (id.clone(), by.clone())).collect();
        progress.unreadable.clone_from(&self.revisions.unreadable);
        let Some(opening) = self.log.opening() else { return };
        progress.opened = Some(opening.id.clone());
        progress.opened_at = Some(opening.at);
        progress.opened_by.clone_from(&opening.by);
        if let What::Opened(opened) = &opening.what {
            progress.job.clone_from(&opened.job);
            progress.units = opened.units;
        }
        if let Some(circuit) = self.revisions.circuit() {
            progress.circuit = Some((circuit.name.clone(), circuit.refrigerant.clone()));
            progress.atmosphere = Some(circuit.atmosphere);
        }
    }

    fn set_up_steps(&mut self) {
        let Some(current) = self.revisions.current() else { return };
        self.progress.procedure = Some(current.id.clone());
        self.progress.steps =
            current.procedure.steps.iter().map(|step| state_of(step, &current.assembly.graph)).collect();
        let named = self.log.events().iter().filter_map(|event| event.what.step());
        for id in named.map(|step| &step.procedure) {
            if !self.places.contains_key(id) {
                self.places.insert(id.clone(), self.revisions.places(id));
            }
        }
    }

    /// Where a step is in the procedure in force.
    fn place(&self, step: &StepRef) -> Option<usize> {
        self.places.get(&step.procedure)?.get(step.step).copied().flatten()
    }

    /// The state of a step, wherever it is; a step that the procedure in force no longer has is remembered apart.
    fn step(&mut self, step: &StepRef, event: &Event) -> Option<&mut StepState> {
        let at = self.place(step);
        let state = match at {
            Some(at) => self.progress.steps.get_mut(at)?,
            None => {
                let (old, found) = (self.revisions.of(&step.procedure)?, self.revisions.step(step)?);
                let fresh = state_of(found, &old.assembly.graph);
                let known = self.progress.dropped.iter().position(|known| known.say == fresh.say);
                let at = known.unwrap_or(self.progress.dropped.len());
                if known.is_none() {
                    self.progress.dropped.push(fresh);
                }
                self.progress.dropped.get_mut(at)?
            }
        };
        state.events.push(event.id.clone());
        Some(state)
    }

    fn event(&mut self, event: &Event) {
        match &event.what {
            What::StepBegun { step } => {
                // What another device did in the meantime stays done: only taking it back undoes it.
                if let Some(state) = self.step(step, event) {
                    state.begun.get_or_insert(event.at);
                    if !state.is_over() {
                        (state.standing, state.why) = (Standing::Begun, None);
                    }
                }
            }
            What::StepDone { step } => self.over(step, event, Standing::Done, None),
            What::StepSkipped { step, why } => self.over(step, event, Standing::Skipped, Some(why)),
            What::StepHeld { step, why } => {
                if let Some(state) = self.step(step, event).filter(|state| !state.is_over()) {
                    (state.standing, state.why) = (Standing::Held, Some(why.clone()));
                }
            }
            What::HoldPoint { step, proof, say } => {
                let proof = (*proof, say.clone());
                if let Some(state) = self.step(step, event) {
                    state.proof = Some(proof);
                }
            }
            What::ProcedureReplaced { .. } => self.progress.replaced += 1,
            What::Paused { why } => self.progress.paused = Some((event.at, why.clone())),
            What::Resumed => self.progress.paused = None,
            What::Closed { despite } => self.progress.closed = Some((event.at, despite.clone())),
            What::Unknown { .. } => self.progress.unknown += 1,
            other => {
                if let Some(step) = other.step().cloned() {
                    self.step(&step, event);
                }
            }
        }
    }

    fn over(&mut self, step: &StepRef, event: &Event, standing: Standing, why: Option<&String>) {
        let pauses = pauses(self.log, &self.retracted);
        // One who did it outweighs one who left it out; the first who did it counts.
        let Some(state) = self.step(step, event).filter(|state| state.standing != Standing::Done) else {
            return;
        };
        (state.standing, state.ended, state.why) = (standing, Some(event.at), why.cloned());
        state.took = state.begun.and_then(|begun| took(begun, event.at, &pauses));
        if standing == Standing::Done {
            self.done.push(step.clone());
        }
    }

    fn readings(&mut self) {
        for event in self.log.events() {
            let What::Reading(reading) = &event.what else { continue };
            let step = reading.step.as_ref();
            let expected = step.and_then(|step| {
                let revision = self.revisions.of(&step.procedure)?;
                let port = revision.assembly.graph.find_port(&reading.place)?;
                let found = self.revisions.step(step)?;
                found.expect.iter().find(|expected| expected.port == port)
            });
            let band = expected.map(|expected| (expected.low, expected.high));
            let (measured, corrected) = self.corrected(event, &reading.measured);
            let state = ReadingState {
                event: event.id.clone(),
                at: event.at,
                by: event.by.clone(),
                step: step.and_then(|step| self.place(step)),
                place: reading.place.clone(),
                verdict: verdict(&measured, band),
                measured,
                instrument: reading.instrument.clone(),
                band,
                accepted: self.accepted(&event.id),
                corrected,
                retracted: self.retraction(&event.id),
            };
            self.note_reading(&state);
            self.progress.readings.push(state);
        }
    }

    /// The last reading that counts fills its band.
    fn note_reading(&mut self, reading: &ReadingState) {
        if reading.retracted.is_some() || reading.measured.value.pressure().is_none() {
            return;
        }
        let step = reading.step.and_then(|step| self.progress.steps.get_mut(step));
        let band = step.and_then(|step| step.bands.iter_mut().find(|band| band.port == reading.place));
        if let Some(band) = band {
            band.reading = Some(reading.event.clone());
        }
    }

    /// What counts of a measured value, and what it said before.
    fn corrected(&self, event: &Event, typed: &Measured) -> (Measured, Vec<(Measured, String)>) {
        let mut now = typed.clone();
        let mut before = Vec::new();
        for later in self.log.events().iter().filter(|later| self.counts(&later.id)) {
            if let What::Corrected { event: target, measured, why } = &later.what
                && *target == event.id
            {
                before.push((core::mem::replace(&mut now, measured.clone()), why.clone()));
            }
        }
        (now, before)
    }

    fn accepted(&self, id: &EventId) -> Option<String> {
        let counting = self.log.events().iter().filter(|event| self.counts(&event.id));
        counting
            .filter_map(|event| match &event.what {
                What::ReadingAccepted { reading, why } if reading == id => Some(why.clone()),
                _ => None,
            })
            .last()
    }

    fn retraction(&self, id: &EventId) -> Option<String> {
        let by = self.log.get(self.retracted.get(id)?)?;
        match &by.what {
            What::Retracted { why, .. } => Some(why.clone()),
            _ => None,
        }
    }

    fn timers(&mut self) {
        for event in self.log.events() {
            let What::TimerBegun(timer) = &event.what else { continue };
            let ends = self.log.events().iter().filter(|later| self.counts(&later.id));
            let end = ends
                .filter_map(|later| match &later.what {
                    What::TimerEnded { timer, pressure, temperature } if *timer == event.id => {
                        Some((later.at, pressure.clone(), temperature.clone()))
                    }
                    _ => None,
                })
                .next();
            let step = timer.step.as_ref().and_then(|step| self.place(step));
            let mut state = TimerState {
                event: event.id.clone(),
                step,
                test: timer.test,
                minutes: timer.minutes,
                begun: event.at,
                start: (timer.pressure.clone(), timer.temperature.clone()),
                ended: None,
                end: (None, None),
                ran: None,
                change: None,
                change_at_same_temperature: None,
                retracted: self.retraction(&event.id),
            };
            if let Some((at, pressure, temperature)) = end {
                (state.ended, state.end) = (Some(at), (pressure, temperature));
                state.ran = took(state.begun, at, &[]);
            }
            changes(&mut state);
            self.progress.timers.push(state);
        }
    }

    fn weighings(&self) -> (Vec<Weighing<'_>>, Mass) {
        let (mut weighings, mut lost) = (Vec::new(), Mass::from_kg(0.0));
        for event in self.log.events().iter().filter(|event| self.counts(&event.id)) {
            let mass = event.what.measured().and_then(|typed| self.corrected(event, typed).0.value.mass());
            match (&event.what, mass) {
                (What::Weighed { cylinder, anew, .. }, Some(mass)) => {
                    weighings.push(Weighing { cylinder, mass, anew: *anew });
                }
                (What::Lost { .. }, Some(mass)) => lost = lost + mass,
                _ => {}
            }
        }
        (weighings, lost)
    }

    fn finish(mut self) -> Progress {
        let (weighings, lost) = self.weighings();
        self.progress.account = account(&weighings, lost);
        let replayed = replay(&self.revisions, &self.done);
        if let (Some(replayed), Some(current)) = (&replayed, self.revisions.current()) {
            self.progress.account.reckoned = Some(replayed.account());
            self.progress.not_back = replayed.not_back(current);
            let place = |(at, why): &(usize, String)| {
                let step = self.done.get(*at)?;
                Some((self.place(step).unwrap_or(step.step), why.clone()))
            };
            self.progress.not_followed = replayed.not_followed.iter().filter_map(place).collect();
        }
        self.next(replayed.as_ref());
        self.progress
    }

    fn next(&mut self, replayed: Option<&Replay>) {
        let progress = &mut self.progress;
        progress.next = progress.steps.iter().position(|step| !step.is_over());
        progress.blocks = match (&progress.opened, progress.unreadable.first(), progress.next) {
            (None, ..) => vec![Block::NotOpened],
            (_, Some(why), _) if progress.steps.is_empty() => vec![Block::Unreadable(why.clone())],
            (_, _, Some(next)) => blocks(progress, next),
            (_, _, None) => Vec::new(),
        };
        progress.open = open(progress, replayed);
    }
}

fn state_of(step: &Step, graph: &stemwise_circuit::Graph) -> StepState {
    let band = |expected: &stemwise_prove::Expected| Band {
        port: graph.port(expected.port).map_or_else(String::new, |port| port.id.clone()),
        low: expected.low,
        high: expected.high,
        reading: None,
    };
    StepState {
        say: step.say.clone(),
        notes: step.notes.clone(),
        hold: step.hold.clone(),
        bands: step.expect.iter().map(band).collect(),
        ..StepState::default()
    }
}

fn verdict(measured: &Measured, band: Option<(Pressure, Pressure)>) -> VerdictOnReading {
    let (Value::Pressure(found), Some((low, high))) = (measured.value, band) else {
        return VerdictOnReading::NoBand;
    };
    if found.as_pa() < low.as_pa() - SLACK {
        VerdictOnReading::Below(low - found)
    } else if found.as_pa() > high.as_pa() + SLACK {
        VerdictOnReading::Above(found - high)
    } else {
        VerdictOnReading::Fits
    }
}

/// The pauses, milliseconds from and to; one that lasts has no end.
fn pauses(log: &Log, retracted: &BTreeMap<EventId, EventId>) -> Vec<(i64, i64)> {
    let mut found = Vec::new();
    let mut since = None;
    for event in log.events().iter().filter(|event| !retracted.contains_key(&event.id)) {
        match event.what {
            What::Paused { .. } => since = since.or(Some(event.at.unix_ms)),
            What::Resumed => found.extend(since.take().map(|from| (from, event.at.unix_ms))),
            _ => {}
        }
    }
    found.extend(since.map(|from| (from, i64::MAX)));
    found
}

/// From one moment to another without the pauses; none where clocks contradict each other.
fn took(begun: Moment, ended: Moment, pauses: &[(i64, i64)]) -> Option<Time> {
    let whole = ended.unix_ms.checked_sub(begun.unix_ms).filter(|ms| *ms >= 0)?;
    let within = |&(from, to): &(i64, i64)| (to.min(ended.unix_ms) - from.max(begun.unix_ms)).max(0);
    let rest: i64 = pauses.iter().map(within).sum();
    Some(Time::from_s((whole - rest).max(0) as f64 / 1000.0))
}

fn changes(state: &mut TimerState) {
    let pressure = |measured: &Option<Measured>| measured.as_ref().and_then(|found| found.value.pressure());
    let kelvin =
        |measured: &Option<Measured>| measured.as_ref()?.value.temperature().map(|found| found.as_k());
    let (Some(from), Some(to)) = (pressure(&state.start.0), pressure(&state.end.0)) else { return };
    state.change = Some(to - from);
    if let (Test::Standing, Some(cold), Some(warm)) =
        (state.test, kelvin(&state.start.1), kelvin(&state.end.1))
        && warm > 0.0
    {
        let back = to.as_pa() * cold / warm;
        state.change_at_same_temperature = Some(PressureDifference::from_pa(back - from.as_pa()));
    }
}
