//! What may be entered next: nothing passes a hold point, a reading or a step silently.

use crate::open_items::{blocks, unaccepted};
use crate::revision::revision;
use crate::{Block, EventId, Kind, Log, Open, Progress, StepRef, What};

/// Why an event can't be entered.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotAllowed {
    /// The job is not opened.
    #[error("the job has not been opened")]
    NotOpened,
    /// It is opened already.
    #[error("the job is open already")]
    AlreadyOpened,
    /// It is closed.
    #[error("the job is closed; take the closing back first, and say why")]
    Closed,
    /// No such step in the procedure in force.
    #[error("step {} is not a step of the procedure in force, which has {steps}", .asked + 1)]
    UnknownStep {
        /// The step, from 0.
        asked: usize,
        /// How many there are.
        steps: usize,
    },
    /// The step belongs to a procedure that was replaced.
    #[error("step {} belongs to a procedure that has been replaced", .asked + 1)]
    Replaced {
        /// The step, from 0.
        asked: usize,
    },
    /// The step is done or skipped.
    #[error("step {} is over; take that back first, and say why", .step + 1)]
    StepOver {
        /// The step, from 0.
        step: usize,
    },
    /// An earlier step is neither done nor skipped.
    #[error("step {} is neither done nor skipped; do it first, or skip it and say why", .step + 1)]
    EarlierOpen {
        /// That step, from 0.
        step: usize,
    },
    /// Something keeps the step from being done.
    #[error("{}", blocked(.step, .block))]
    Blocked {
        /// The step, from 0.
        step: usize,
        /// What.
        block: Block,
    },
    /// A reason is missing.
    #[error("say why")]
    NoReason,
    /// A text is missing.
    #[error("{what} is missing")]
    NoText {
        /// What.
        what: &'static str,
    },
    /// A text is too long.
    #[error("{what} has {length} characters; at most {most}")]
    TooLong {
        /// What.
        what: &'static str,
        /// How many.
        length: usize,
        /// At most so many.
        most: usize,
    },
    /// No such event.
    #[error("no entry has the id {id}")]
    UnknownEvent {
        /// The id.
        id: EventId,
    },
    /// The event is of another kind.
    #[error("entry {id} is not {wanted}")]
    WrongEvent {
        /// The id.
        id: EventId,
        /// What it should be.
        wanted: &'static str,
    },
    /// The event was taken back.
    #[error("entry {id} has been taken back")]
    TakenBack {
        /// The id.
        id: EventId,
    },
    /// The reading is not outside its band.
    #[error("entry {id} is not a reading outside its band that waits to be accepted")]
    NothingToAccept {
        /// The id.
        id: EventId,
    },
    /// The step has no hold point.
    #[error("step {} has no hold point", .step + 1)]
    NoHoldPoint {
        /// The step, from 0.
        step: usize,
    },
    /// The timer has ended.
    #[error("the timer of entry {id} has ended")]
    TimerEnded {
        /// The event that began it.
        id: EventId,
    },
    /// The value is of another kind.
    #[error("{what} is {wanted}, not {}", .got.word())]
    WrongKind {
        /// What.
        what: &'static str,
        /// What it should be.
        wanted: &'static str,
        /// What it is.
        got: Kind,
    },
    /// The procedure can't be used.
    #[error("the procedure can't be used: {why}")]
    Procedure {
        /// The first fault.
        why: String,
    },
    /// The circuit can't be used.
    #[error("the job can't be opened: {why}")]
    Circuit {
        /// The first fault.
        why: String,
    },
    /// The work rests.
    #[error("the work rests; take it up again first")]
    Paused,
    /// The work does not rest.
    #[error("the work does not rest")]
    NotPaused,
    /// Something is open.
    #[error("{count} things are open; see to them, or say why the job is closed in spite of them")]
    StillOpen {
        /// How many.
        count: usize,
        /// The first.
        first: Box<Open>,
    },
    /// This version does not make such events.
    #[error("there is no entry of the kind \"{kind}\"")]
    UnknownKind {
        /// The kind.
        kind: String,
    },
}

fn blocked(step: &usize, block: &Block) -> String {
    let n = step + 1;
    match block {
        Block::NotOpened => "the job has not been opened".into(),
        Block::Unreadable(why) => why.clone(),
        Block::Closed => "the job is closed".into(),
        Block::Paused(why) => format!("the work rests ({why}); take it up again first"),
        Block::Held(why) => format!("step {n} is held ({why}); begin it again first"),
        Block::HoldPoint(say) => {
            format!("step {n} is a hold point: prove it, or pass it over and say why. To prove: {say}")
        }
        Block::OutsideBand(id) => {
            format!(
                "entry {id} of step {n} lies outside its band: accept it and say why, read again, or hold the step"
            )
        }
        Block::Timer(id) => format!("the timer of entry {id} still runs"),
    }
}

/// The longest sentence, and the longest note.
const SENTENCE: usize = 1_000;
const NOTE: usize = 20_000;

/// Whether an event may be entered into a log, which folds to this progress.
///
/// # Errors
/// [`NotAllowed`], with what to do first. A merged log may hold what no single device would have let in; the fold shows it.
pub fn allowed(log: &Log, progress: &Progress, what: &What) -> Result<(), NotAllowed> {
    let asking = Asking { log, progress };
    texts(what)?;
    match (what, &progress.opened) {
        (What::Opened(opened), None) => return opening(opened),
        (What::Opened(_), Some(_)) => return Err(NotAllowed::AlreadyOpened),
        (_, None) => return Err(NotAllowed::NotOpened),
        _ => {}
    }
    let afterwards =
        matches!(what, What::Note { .. } | What::Photo(_) | What::Corrected { .. } | What::Retracted { .. });
    if progress.closed.is_some() && !afterwards {
        return Err(NotAllowed::Closed);
    }
    if let Some(step) = what.step() {
        asking.step(step)?;
    }
    asking.what(what)
}

fn opening(opened: &crate::Opened) -> Result<(), NotAllowed> {
    let id = EventId { device: "device".into(), counter: 1, random: 0 };
    let revisions = crate::revision::Revisions::open(&id, opened);
    match revisions.unreadable.first() {
        Some(why) => Err(NotAllowed::Circuit { why: why.clone() }),
        None => Ok(()),
    }
}

/// Every text that must be there, and none too long.
fn texts(what: &What) -> Result<(), NotAllowed> {
    let needs = |what: &'static str, text: &str, most: usize| match text.chars().count() {
        0 => Err(NotAllowed::NoText { what }),
        length if length > most => Err(NotAllowed::TooLong { what, length, most }),
        _ if text.trim().is_empty() => Err(NotAllowed::NoText { what }),
        _ => Ok(()),
    };
    let reason = |why: &str| match needs("the reason", why, SENTENCE) {
        Err(NotAllowed::NoText { .. }) => Err(NotAllowed::NoReason),
        other => other,
    };
    match what {
        What::StepSkipped { why, .. }
        | What::StepHeld { why, .. }
        | What::ReadingAccepted { why, .. }
        | What::Corrected { why, .. }
        | What::Retracted { why, .. }
        | What::Lost { why, .. }
        | What::ProcedureReplaced { why, .. }
        | What::Paused { why } => reason(why),
        What::HoldPoint { say, .. } => reason(say),
        What::Closed { despite: Some(why) } => reason(why),
        What::Note { text, .. } => needs("the note", text, NOTE),
        What::Reading(reading) => {
            needs("the place of the reading", &reading.place, 200)?;
            needs("the instrument", reading.instrument.as_deref().unwrap_or("-"), 200)
        }
        What::Photo(photo) => {
            needs("the photo's hash", &photo.hash, 200)?;
            needs("the photo's media type", &photo.mime, 100)?;
            needs("the caption", if photo.caption.is_empty() { "-" } else { &photo.caption }, SENTENCE)
        }
        What::Weighed { cylinder, .. } => needs("the name of the cylinder", cylinder, 200),
        What::Opened(opened) => needs("the job", &opened.job, SENTENCE),
        _ => Ok(()),
    }
}

struct Asking<'a> {
    log: &'a Log,
    progress: &'a Progress,
}

impl Asking<'_> {
    fn step(&self, step: &StepRef) -> Result<(), NotAllowed> {
        if self.progress.procedure.as_ref() != Some(&step.procedure) {
            return Err(NotAllowed::Replaced { asked: step.step });
        }
        let steps = self.progress.steps.len();
        if step.step < steps { Ok(()) } else { Err(NotAllowed::UnknownStep { asked: step.step, steps }) }
    }

    /// A step that is the next one, or to be done in its turn.
    fn in_turn(&self, step: usize) -> Result<(), NotAllowed> {
        if self.progress.steps.get(step).is_some_and(crate::StepState::is_over) {
            return Err(NotAllowed::StepOver { step });
        }
        match self.progress.next {
            Some(next) if next < step => Err(NotAllowed::EarlierOpen { step: next }),
            _ => Ok(()),
        }
    }

    fn event(&self, id: &EventId) -> Result<&What, NotAllowed> {
        let event = self.log.get(id).ok_or_else(|| NotAllowed::UnknownEvent { id: id.clone() })?;
        if self.progress.retracted.iter().any(|(back, _)| back == id) {
            return Err(NotAllowed::TakenBack { id: id.clone() });
        }
        Ok(&event.what)
    }

    fn what(&self, what: &What) -> Result<(), NotAllowed> {
        match what {
            What::StepBegun { step } => {
                if self.progress.paused.is_some() {
                    return Err(NotAllowed::Paused);
                }
                self.in_turn(step.step)
            }
            What::StepDone { step } => self.done(step.step),
            What::StepSkipped { step, .. } | What::StepHeld { step, .. } => self.in_turn(step.step),
            What::HoldPoint { step, .. } => {
                let holds = self.progress.steps.get(step.step).is_some_and(|state| state.hold.is_some());
                if holds { Ok(()) } else { Err(NotAllowed::NoHoldPoint { step: step.step }) }
            }
            What::ReadingAccepted { reading, .. } => {
                self.event(reading)?;
                let waits = unaccepted(self.progress).any(|found| found.event == *reading);
                if waits { Ok(()) } else { Err(NotAllowed::NothingToAccept { id: reading.clone() }) }
            }
            What::Corrected { event, measured, .. } => self.correction(event, measured.value.kind()),
            What::Retracted { event, .. } => match self.event(event)? {
                What::Opened(_) | What::Retracted { .. } => {
                    Err(NotAllowed::WrongEvent { id: event.clone(), wanted: "one that can be taken back" })
                }
                _ => Ok(()),
            },
            What::TimerBegun(timer) => pressures(timer.pressure.as_ref(), timer.temperature.as_ref()),
            What::TimerEnded { timer, pressure, temperature } => {
                if !matches!(self.event(timer)?, What::TimerBegun(_)) {
                    return Err(NotAllowed::WrongEvent { id: timer.clone(), wanted: "the begin of a timer" });
                }
                let ended =
                    self.progress.timers.iter().any(|state| state.event == *timer && state.ended.is_some());
                if ended {
                    return Err(NotAllowed::TimerEnded { id: timer.clone() });
                }
                pressures(pressure.as_ref(), temperature.as_ref())
            }
            What::Weighed { mass, .. } => is_mass("the cylinder's weight", mass.value.kind()),
            What::Lost { mass, .. } => is_mass("what was lost", mass.value.kind()),
            What::ProcedureReplaced { procedure, .. } => self.procedure(procedure),
            What::Paused { .. } if self.progress.paused.is_some() => Err(NotAllowed::Paused),
            What::Resumed if self.progress.paused.is_none() => Err(NotAllowed::NotPaused),
            What::Closed { despite: None } => match self.progress.open.first() {
                Some(first) => Err(NotAllowed::StillOpen {
                    count: self.progress.open.len(),
                    first: Box::new(first.clone()),
                }),
                None => Ok(()),
            },
            What::Unknown { kind, .. } => Err(NotAllowed::UnknownKind { kind: kind.clone() }),
            _ => Ok(()),
        }
    }

    fn done(&self, step: usize) -> Result<(), NotAllowed> {
        self.in_turn(step)?;
        match blocks(self.progress, step).into_iter().next() {
            Some(block) => Err(NotAllowed::Blocked { step, block }),
            None => Ok(()),
        }
    }

    fn correction(&self, id: &EventId, kind: Kind) -> Result<(), NotAllowed> {
        match self.event(id)?.measured() {
            Some(measured) if measured.value.kind() == kind => Ok(()),
            Some(measured) => Err(NotAllowed::WrongKind {
                what: "the correction",
                wanted: measured.value.kind().word(),
                got: kind,
            }),
            None => Err(NotAllowed::WrongEvent { id: id.clone(), wanted: "a reading, a weighing or a loss" }),
        }
    }

    fn procedure(&self, text: &str) -> Result<(), NotAllowed> {
        let Some(What::Opened(opened)) = self.log.opening().map(|event| &event.what) else {
            return Err(NotAllowed::NotOpened);
        };
        let circuit = stemwise_circuit::read(opened.circuit.as_bytes()).circuit;
        let Some(circuit) = circuit else { return Ok(()) };
        let id = EventId { device: "device".into(), counter: 1, random: 0 };
        revision(&id, text, &circuit, None).map(|_| ()).map_err(|why| NotAllowed::Procedure { why })
    }
}

fn is_mass(what: &'static str, got: Kind) -> Result<(), NotAllowed> {
    if got == Kind::Mass { Ok(()) } else { Err(NotAllowed::WrongKind { what, wanted: "a mass", got }) }
}

fn pressures(
    pressure: Option<&crate::Measured>,
    temperature: Option<&crate::Measured>,
) -> Result<(), NotAllowed> {
    let kind = |measured: Option<&crate::Measured>| measured.map(|found| found.value.kind());
    match (kind(pressure), kind(temperature)) {
        (Some(got), _) if got != Kind::Pressure => {
            Err(NotAllowed::WrongKind { what: "the timer's pressure", wanted: "a pressure", got })
        }
        (_, Some(got)) if got != Kind::Temperature => {
            Err(NotAllowed::WrongKind { what: "the timer's temperature", wanted: "a temperature", got })
        }
        _ => Ok(()),
    }
}
