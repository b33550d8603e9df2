//! A job as carried out: the entries of its file, and where it stands.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::Problem;

/// One entry of a job file. In the file a check sum of the line stands at its end, as `check`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobEvent {
    /// Device, the device's count, and a random number in hexadecimal, with dots between; unique.
    pub id: String,
    /// Its place in the order of the job: a whole number, near the milliseconds since 1970.
    pub order: i64,
    /// When, by the clock of its device (RFC 3339).
    pub at: String,
    /// Who.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// What.
    #[serde(flatten)]
    pub entry: JobEntry,
}

/// What an entry says. A kind that is not listed here is of a newer version: it is kept as it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum JobEntry {
    /// The job was opened.
    Opened {
        /// The text of the circuit file.
        circuit: String,
        /// The text of the procedure file.
        procedure: String,
        /// The job in words.
        job: String,
        /// "si" or "ip".
        units: String,
    },
    /// A step was begun.
    StepBegun {
        /// Which.
        step: JobStep,
    },
    /// A step was done.
    StepDone {
        /// Which.
        step: JobStep,
    },
    /// A step was left out.
    StepSkipped {
        /// Which.
        step: JobStep,
        /// Why.
        why: String,
    },
    /// A step is held.
    StepHeld {
        /// Which.
        step: JobStep,
        /// Why.
        why: String,
    },
    /// Something was read.
    Reading {
        /// The step that it belongs to.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<JobStep>,
        /// Where: a port's id, or in words.
        place: String,
        /// What.
        measured: JobMeasured,
        /// The instrument.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instrument: Option<String>,
    },
    /// A reading outside its band was accepted.
    ReadingAccepted {
        /// The reading's id.
        reading: String,
        /// Why.
        why: String,
    },
    /// A reading, weighing or loss is corrected; what was typed first stays.
    Corrected {
        /// The corrected entry's id.
        event: String,
        /// What it should have said.
        measured: JobMeasured,
        /// Why.
        why: String,
    },
    /// An entry is taken back; it stays to be seen.
    Retracted {
        /// Its id.
        event: String,
        /// Why.
        why: String,
    },
    /// A hold point was proved, or passed over.
    HoldPoint {
        /// The step.
        step: JobStep,
        /// True: what it asks for was proved; false: it was passed over.
        proved: bool,
        /// How it was proved, or why it was passed over.
        say: String,
    },
    /// A note.
    Note {
        /// The step that it belongs to.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<JobStep>,
        /// The note.
        text: String,
    },
    /// A photo; its bytes lie with the device.
    Photo {
        /// The step that it belongs to.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<JobStep>,
        /// The hash of its bytes.
        hash: String,
        /// How many bytes.
        size: u64,
        /// Its media type.
        mime: String,
        /// What it shows.
        caption: String,
    },
    /// A timer was begun.
    TimerBegun {
        /// The step that it belongs to.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<JobStep>,
        /// "decay", "standing" or "wait".
        test: String,
        /// How long it should run.
        minutes: u32,
        /// The pressure at its begin.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pressure: Option<JobMeasured>,
        /// The temperature of what is tested at its begin.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        temperature: Option<JobMeasured>,
    },
    /// A timer was ended.
    TimerEnded {
        /// The id of the entry that began it.
        timer: String,
        /// The pressure at its end.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pressure: Option<JobMeasured>,
        /// The temperature at its end.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        temperature: Option<JobMeasured>,
    },
    /// A cylinder was weighed.
    Weighed {
        /// The step that it belongs to.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<JobStep>,
        /// The cylinder: its number, or what people call it.
        cylinder: String,
        /// What it weighed, with what is in it.
        mass: JobMeasured,
        /// Whether counting begins anew here: what went in or out since its last weighing was not of this job.
        #[serde(default)]
        anew: bool,
    },
    /// Refrigerant was lost.
    Lost {
        /// How much.
        mass: JobMeasured,
        /// How.
        why: String,
    },
    /// The procedure was replaced by an edited one.
    ProcedureReplaced {
        /// The text of the new procedure file.
        procedure: String,
        /// Whether the verifier accepted it.
        accepted: bool,
        /// The first thing that kept it from being accepted.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        because: Option<String>,
        /// Why it was replaced.
        why: String,
    },
    /// The work was paused.
    Paused {
        /// Why.
        why: String,
    },
    /// It was taken up again.
    Resumed {},
    /// The job was closed.
    Closed {
        /// Why, in spite of what was open.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        despite: Option<String>,
    },
}

/// A step of a procedure.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobStep {
    /// From 1.
    pub n: usize,
    /// The entry that brought the procedure: the opening or a replacement. Where an entry is made, it may be left out: the procedure in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<String>,
}

/// A measured value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobMeasured {
    /// "pressure", "temperature", "mass" or "other".
    pub of: String,
    /// As typed, with its unit.
    pub typed: String,
    /// What was understood: Pa absolute, K or kg; left out for "other", and where an entry is made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
}

/// An entry that was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobAdded {
    /// Its id.
    pub id: String,
    /// Its line in the job file, without the line's end: what a device keeps.
    pub line: String,
}

/// What was found in a job file, and where the job stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobAnswer {
    /// How many entries are in it.
    pub entries: usize,
    /// What is damaged, with its line; every other entry was read.
    pub problems: Vec<Problem>,
    /// Where the job stands.
    pub state: JobState,
}

/// Where a job stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobState {
    /// The circuit's name; empty where its file can't be read.
    pub circuit: String,
    /// Its refrigerant.
    pub refrigerant: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub atmosphere_pa: Option<f64>,
    /// The job in words.
    pub job: String,
    /// The units that it is written up in: "si" or "ip".
    pub units: String,
    /// "not-opened", "open", "paused" or "closed".
    pub stands: String,
    /// When it was opened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened: Option<String>,
    /// By whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened_by: Option<String>,
    /// When it was closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed: Option<String>,
    /// Why it was closed in spite of what was open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed_despite: Option<String>,
    /// Why the work rests.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paused: Option<String>,
    /// The entry that brought the procedure in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<String>,
    /// How often the procedure was replaced.
    pub replaced: usize,
    /// The step that comes next, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<usize>,
    /// What keeps it from being done.
    pub blocks: Vec<JobItem>,
    /// The steps of the procedure in force.
    pub steps: Vec<JobStepState>,
    /// Steps of earlier procedures that were done or begun and that the one in force no longer has.
    pub dropped: Vec<JobStepState>,
    /// Every reading.
    pub readings: Vec<JobReading>,
    /// Every timer.
    pub timers: Vec<JobTimer>,
    /// The refrigerant so far.
    pub account: JobAccount,
    /// What does not stand as it belongs, by the steps that are done.
    pub not_back: Vec<JobNotBack>,
    /// What is missing before the job may be closed.
    pub open: Vec<JobItem>,
    /// What could not be read, or not be followed in the model.
    pub trouble: Vec<String>,
    /// How many entries are of kinds that this version does not know; they are kept.
    pub unknown: usize,
    /// Everything that was entered, in order.
    pub timeline: Vec<JobLine>,
}

/// Something that blocks, or that is open.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobItem {
    /// What kind of thing, stable, kebab-case.
    pub id: String,
    /// The sentence.
    pub say: String,
    /// The step, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// The entry that it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub event: Option<String>,
}

/// A step, and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobStepState {
    /// From 1.
    pub n: usize,
    /// What is done.
    pub say: String,
    /// What people wrote to it in the procedure.
    pub notes: Vec<String>,
    /// "to-do", "begun", "held", "done" or "skipped".
    pub stands: String,
    /// Why it was skipped or is held.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// What must be proved before going on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<String>,
    /// Whether that was proved (true) or passed over (false); left out while neither.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proved: Option<bool>,
    /// How it was proved, or why it was passed over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proof: Option<String>,
    /// What the gauges should show.
    pub bands: Vec<JobBand>,
    /// When it was begun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begun: Option<String>,
    /// When it was done or skipped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended: Option<String>,
    /// How long it took, pauses not counted, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub took_s: Option<f64>,
    /// The entries about it.
    pub events: Vec<String>,
}

/// What a gauge should show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobBand {
    /// The port.
    pub gauge: String,
    /// The lower end, Pa absolute.
    pub low_pa: f64,
    /// The upper end, Pa absolute.
    pub high_pa: f64,
    /// The same in words, as a gauge shows it.
    pub say: String,
    /// The reading that counts for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<String>,
}

/// A reading, and what became of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobReading {
    /// Its entry.
    pub event: String,
    /// When.
    pub at: String,
    /// By whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The step, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// Where.
    pub place: String,
    /// What counts: the last correction, or what was typed.
    pub measured: JobMeasured,
    /// The instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// "fits", "below", "above" or "no-band".
    pub verdict: String,
    /// The verdict in a sentence, with the band.
    pub say: String,
    /// Why it was accepted though outside its band.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accepted: Option<String>,
    /// What it said before each correction, with the reason.
    pub corrected: Vec<JobCorrection>,
    /// Why it was taken back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retracted: Option<String>,
}

/// What was corrected.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobCorrection {
    /// What was typed before.
    pub was: String,
    /// Why it was corrected.
    pub why: String,
}

/// A timer, and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobTimer {
    /// The entry that began it.
    pub event: String,
    /// The step, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// "decay", "standing" or "wait".
    pub test: String,
    /// How long it should run.
    pub minutes: u32,
    /// When it was begun.
    pub begun: String,
    /// When it was ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended: Option<String>,
    /// How long it ran, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ran_s: Option<f64>,
    /// By how much the pressure rose or, negative, fell, Pa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub change_pa: Option<f64>,
    /// The same at the temperature of the begin, Pa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub change_at_same_temperature_pa: Option<f64>,
    /// All of it in a sentence.
    pub say: String,
    /// What an ended decay or standing test with both pressures proves: "good", "bad" or "open".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcome: Option<String>,
    /// That in a sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<String>,
    /// Why it was taken back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retracted: Option<String>,
}

/// The refrigerant so far, kg.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobAccount {
    /// By cylinder.
    pub cylinders: Vec<JobCylinder>,
    /// Into cylinders, by weight.
    pub recovered_kg: f64,
    /// Out of cylinders, by weight.
    pub charged_kg: f64,
    /// Entered as lost.
    pub lost_kg: f64,
    /// What the done steps come to in the model.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reckoned: Option<JobReckoned>,
}

/// One cylinder's weighings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobCylinder {
    /// The cylinder.
    pub cylinder: String,
    /// How often it was weighed.
    pub weighings: usize,
    /// What went in, kg.
    pub recovered_kg: f64,
    /// What came out, kg.
    pub charged_kg: f64,
    /// The last weight, kg.
    pub last_kg: f64,
}

/// The refrigerant by the model, kg.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobReckoned {
    /// Into the recovery cylinder.
    pub recovered_kg: f64,
    /// Charged.
    pub charged_kg: f64,
    /// To the atmosphere.
    pub lost_kg: f64,
}

/// Something that does not stand as it belongs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobNotBack {
    /// "port-cap", "stem-cap", "nut", "core", "hose", "stem", "open-space", "piercing-valve", "jumper" or "lock".
    pub kind: String,
    /// The id of the port, valve or space; empty for jumper and lock.
    pub id: String,
    /// The sentence.
    pub say: String,
    /// Whether the procedure leaves it so in the end.
    pub meant: bool,
}

/// One entry in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobLine {
    /// Its id.
    pub id: String,
    /// Its kind.
    pub kind: String,
    /// When.
    pub at: String,
    /// By whom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The step, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// The sentence.
    pub say: String,
    /// Why it was taken back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retracted: Option<String>,
}

/// A page about a job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobPage {
    /// The whole HTML file.
    pub html: String,
}
