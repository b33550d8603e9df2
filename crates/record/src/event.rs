//! The events of a job: everything that anyone did, read, said or took back.

use crate::{EventId, Measured, Moment};

/// One event.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Its id.
    pub id: EventId,
    /// Its place in the order of the job: not before anything that its device knew when it was made, and near the clock's milliseconds.
    pub order: i64,
    /// When, by the clock of its device.
    pub at: Moment,
    /// Who, if that is known.
    pub by: Option<String>,
    /// What.
    pub what: What,
    /// What a newer version wrote beside it: names and JSON text, kept as they are.
    pub also: Vec<(String, String)>,
}

/// A step of a procedure.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StepRef {
    /// The event that brought the procedure: the opening or a replacement.
    pub procedure: EventId,
    /// The step, from 0.
    pub step: usize,
}

/// The units that a person types and reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Units {
    /// bar, °C, kg.
    #[default]
    Si,
    /// psig, °F, lb.
    Ip,
}

/// What a job begins with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// The text of the circuit file.
    pub circuit: String,
    /// The text of the procedure file.
    pub procedure: String,
    /// The job in words.
    pub job: String,
    /// The units that it is written up in.
    pub units: Units,
}

/// A reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The step that it belongs to.
    pub step: Option<StepRef>,
    /// Where: a port's id, or in words ("liquid line at the drier").
    pub place: String,
    /// What.
    pub measured: Measured,
    /// The instrument, if it is named.
    pub instrument: Option<String>,
}

/// How a hold point was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Proof {
    /// What it asks for was proved.
    Proved,
    /// It was passed over, for a reason.
    PassedOver,
}

/// A photo; its bytes lie with the host.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The step that it belongs to.
    pub step: Option<StepRef>,
    /// The hash of its bytes, by which the host finds it.
    pub hash: String,
    /// How many bytes.
    pub size: u64,
    /// Its media type: "image/jpeg".
    pub mime: String,
    /// What it shows.
    pub caption: String,
}

/// What a timer is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Test {
    /// A vacuum that should stay.
    Decay,
    /// A pressure that should stay.
    Standing,
    /// Something else is waited for.
    Wait,
}

/// A timer.
#[derive(Clone, Debug, PartialEq)]
pub struct Timer {
    /// The step that it belongs to.
    pub step: Option<StepRef>,
    /// What it is for.
    pub test: Test,
    /// How long it should run, minutes.
    pub minutes: u32,
    /// The pressure at its begin.
    pub pressure: Option<Measured>,
    /// The temperature of what is tested at its begin.
    pub temperature: Option<Measured>,
}

/// What the verifier said of a procedure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VerdictNoted {
    /// Whether it was accepted.
    pub accepted: bool,
    /// The first thing that kept it from being accepted.
    pub because: Option<String>,
}

/// What happened.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// The job was opened.
    Opened(Box<Opened>),
    /// A step was begun.
    StepBegun {
        /// Which.
        step: StepRef,
    },
    /// A step was done.
    StepDone {
        /// Which.
        step: StepRef,
    },
    /// A step was left out.
    StepSkipped {
        /// Which.
        step: StepRef,
        /// Why.
        why: String,
    },
    /// A step is held: it can't go on.
    StepHeld {
        /// Which.
        step: StepRef,
        /// Why.
        why: String,
    },
    /// Something was read.
    Reading(Reading),
    /// A reading outside its band was accepted.
    ReadingAccepted {
        /// Which.
        reading: EventId,
        /// Why.
        why: String,
    },
    /// A reading, weighing or loss was mistyped or misread; what was typed first stays to be seen.
    Corrected {
        /// Which.
        event: EventId,
        /// What it should have said.
        measured: Measured,
        /// Why.
        why: String,
    },
    /// An event is taken back; it stays to be seen.
    Retracted {
        /// Which.
        event: EventId,
        /// Why.
        why: String,
    },
    /// A hold point was proved, or passed over.
    HoldPoint {
        /// The step.
        step: StepRef,
        /// Which of the two.
        proof: Proof,
        /// How it was proved, or why it was passed over.
        say: String,
    },
    /// A note.
    Note {
        /// The step that it belongs to.
        step: Option<StepRef>,
        /// The note.
        text: String,
    },
    /// A photo.
    Photo(Photo),
    /// A timer was begun.
    TimerBegun(Timer),
    /// It was ended.
    TimerEnded {
        /// The event that began it.
        timer: EventId,
        /// The pressure then.
        pressure: Option<Measured>,
        /// The temperature then.
        temperature: Option<Measured>,
    },
    /// A cylinder was weighed.
    Weighed {
        /// The step that it belongs to.
        step: Option<StepRef>,
        /// The cylinder: its number or what people call it.
        cylinder: String,
        /// What it weighed, with what is in it.
        mass: Measured,
        /// Whether counting begins anew here: what went in or out since the last weighing was not of this job.
        anew: bool,
    },
    /// Refrigerant was lost.
    Lost {
        /// How much.
        mass: Measured,
        /// How.
        why: String,
    },
    /// The procedure was replaced by an edited one.
    ProcedureReplaced {
        /// The text of its file.
        procedure: String,
        /// What the verifier said of it.
        verdict: VerdictNoted,
        /// Why.
        why: String,
    },
    /// The work was paused.
    Paused {
        /// Why.
        why: String,
    },
    /// It was taken up again.
    Resumed,
    /// The job was closed.
    Closed {
        /// Why, in spite of what was open.
        despite: Option<String>,
    },
    /// Something that this version does not know: kept as it is.
    Unknown {
        /// Its kind.
        kind: String,
        /// Its fields, names and JSON text.
        fields: Vec<(String, String)>,
    },
}

impl What {
    /// Its kind, stable, kebab-case.
    pub fn kind(&self) -> &str {
        match self {
            Self::Opened(_) => "opened",
            Self::StepBegun { .. } => "step-begun",
            Self::StepDone { .. } => "step-done",
            Self::StepSkipped { .. } => "step-skipped",
            Self::StepHeld { .. } => "step-held",
            Self::Reading(_) => "reading",
            Self::ReadingAccepted { .. } => "reading-accepted",
            Self::Corrected { .. } => "corrected",
            Self::Retracted { .. } => "retracted",
            Self::HoldPoint { .. } => "hold-point",
            Self::Note { .. } => "note",
            Self::Photo(_) => "photo",
            Self::TimerBegun(_) => "timer-begun",
            Self::TimerEnded { .. } => "timer-ended",
            Self::Weighed { .. } => "weighed",
            Self::Lost { .. } => "lost",
            Self::ProcedureReplaced { .. } => "procedure-replaced",
            Self::Paused { .. } => "paused",
            Self::Resumed => "resumed",
            Self::Closed { .. } => "closed",
            Self::Unknown { kind, .. } => kind,
        }
    }

    /// The step that it belongs to.
    pub const fn step(&self) -> Option<&StepRef> {
        match self {
            Self::StepBegun { step }
            | Self::StepDone { step }
            | Self::StepSkipped { step, .. }
            | Self::StepHeld { step, .. }
            | Self::HoldPoint { step, .. } => Some(step),
            Self::Reading(reading) => reading.step.as_ref(),
            Self::Note { step, .. } | Self::Weighed { step, .. } => step.as_ref(),
            Self::Photo(photo) => photo.step.as_ref(),
            Self::TimerBegun(timer) => timer.step.as_ref(),
            _ => None,
        }
    }

    /// The measured value that it carries.
    pub const fn measured(&self) -> Option<&Measured> {
        match self {
            Self::Reading(reading) => Some(&reading.measured),
            Self::Weighed { mass, .. } | Self::Lost { mass, .. } => Some(mass),
            _ => None,
        }
    }
}
