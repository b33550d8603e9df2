//! What a log folds to.

use stemwise_circuit::Position;
use stemwise_units::{Mass, Pressure, PressureDifference, Time};

use crate::{EventId, Kind, Measured, Moment, Proof, Test, Units};

/// Where a job stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// The event that opened it.
    pub opened: Option<EventId>,
    /// When.
    pub opened_at: Option<Moment>,
    /// By whom.
    pub opened_by: Option<String>,
    /// The job in words.
    pub job: String,
    /// The units that it is written up in.
    pub units: Units,
    /// The circuit's name and its refrigerant, as far as its file can be read.
    pub circuit: Option<(String, String)>,
    /// Where gauges read zero.
    pub atmosphere: Option<Pressure>,
    /// The event that brought the procedure that is in force.
    pub procedure: Option<EventId>,
    /// How often the procedure was replaced.
    pub replaced: usize,
    /// Why a circuit or a procedure in the log can't be used.
    pub unreadable: Vec<String>,
    /// The steps of the procedure in force.
    pub steps: Vec<StepState>,
    /// Steps of earlier procedures that were done or begun and that the one in force no longer has.
    pub dropped: Vec<StepState>,
    /// The step that comes next, from 0.
    pub next: Option<usize>,
    /// What keeps it from being done.
    pub blocks: Vec<Block>,
    /// Every reading, those corrected and taken back too.
    pub readings: Vec<ReadingState>,
    /// Every timer.
    pub timers: Vec<TimerState>,
    /// The refrigerant so far.
    pub account: Account,
    /// What does not stand as it belongs, by the steps that are done.
    pub not_back: Vec<NotBack>,
    /// Steps that were done and that can't be followed in the model, from 0, and why.
    pub not_followed: Vec<(usize, String)>,
    /// What is missing before the job may be closed.
    pub open: Vec<Open>,
    /// Since when and why the work rests.
    pub paused: Option<(Moment, String)>,
    /// When it was closed, and why in spite of what was open.
    pub closed: Option<(Moment, Option<String>)>,
    /// Events that were taken back, each with the event that did it.
    pub retracted: Vec<(EventId, EventId)>,
    /// Ids that more than one event has.
    pub conflicts: Vec<EventId>,
    /// How many events this version does not know.
    pub unknown: usize,
}

/// How a step stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Not begun.
    #[default]
    ToDo,
    /// Begun.
    Begun,
    /// Held: it can't go on.
    Held,
    /// Done.
    Done,
    /// Left out, with a reason.
    Skipped,
}

/// What a gauge should show after a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// The port's id.
    pub port: String,
    /// The lower end.
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
    /// The reading that counts for it, if one was taken.
    pub reading: Option<EventId>,
}

/// A step of the procedure, and what came of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepState {
    /// What is done.
    pub say: String,
    /// What people wrote to it in the procedure.
    pub notes: Vec<String>,
    /// What must be proved before going on.
    pub hold: Option<String>,
    /// What the gauges should show.
    pub bands: Vec<Band>,
    /// How it stands.
    pub standing: Standing,
    /// Why it was skipped or is held.
    pub why: Option<String>,
    /// How its hold point was left.
    pub proof: Option<(Proof, String)>,
    /// When it was begun.
    pub begun: Option<Moment>,
    /// When it was done or skipped.
    pub ended: Option<Moment>,
    /// How long it took, pauses not counted; none where its begin is not in the log or clocks contradict each other.
    pub took: Option<Time>,
    /// Every event about it.
    pub events: Vec<EventId>,
}

impl StepState {
    /// Whether it is behind us.
    pub const fn is_over(&self) -> bool {
        matches!(self.standing, Standing::Done | Standing::Skipped)
    }
}

/// A reading against its band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum VerdictOnReading {
    /// Nothing is expected there.
    NoBand,
    /// It fits.
    Fits,
    /// Below its band, by so much.
    Below(PressureDifference),
    /// Above its band, by so much.
    Above(PressureDifference),
}

/// A reading, and what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingState {
    /// Its event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// By whom.
    pub by: Option<String>,
    /// The step of the procedure in force, from 0.
    pub step: Option<usize>,
    /// Where.
    pub place: String,
    /// What counts: the last correction, or what was typed.
    pub measured: Measured,
    /// The instrument.
    pub instrument: Option<String>,
    /// The band: low, high.
    pub band: Option<(Pressure, Pressure)>,
    /// Against the band.
    pub verdict: VerdictOnReading,
    /// Why it was accepted though outside its band.
    pub accepted: Option<String>,
    /// What it said before each correction, and why it was corrected.
    pub corrected: Vec<(Measured, String)>,
    /// Why it was taken back.
    pub retracted: Option<String>,
}

impl ReadingState {
    /// Whether it lies outside its band.
    pub const fn is_outside(&self) -> bool {
        matches!(self.verdict, VerdictOnReading::Below(_) | VerdictOnReading::Above(_))
    }
}

/// A timer, and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct TimerState {
    /// The event that began it.
    pub event: EventId,
    /// The step of the procedure in force, from 0.
    pub step: Option<usize>,
    /// What it is for.
    pub test: Test,
    /// How long it should run, minutes.
    pub minutes: u32,
    /// When it was begun.
    pub begun: Moment,
    /// Pressure and temperature at its begin.
    pub start: (Option<Measured>, Option<Measured>),
    /// When it was ended.
    pub ended: Option<Moment>,
    /// Pressure and temperature at its end.
    pub end: (Option<Measured>, Option<Measured>),
    /// How long it ran; none while it runs or where clocks contradict each other.
    pub ran: Option<Time>,
    /// By how much the pressure rose (or, negative, fell).
    pub change: Option<PressureDifference>,
    /// The same with the end brought back to the temperature of the begin, for a gas in a closed volume: p ∝ T (Gay-Lussac's law); only for a
    /// standing test with both temperatures.
    pub change_at_same_temperature: Option<PressureDifference>,
    /// Why it was taken back.
    pub retracted: Option<String>,
}

/// What keeps the next step from being done.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The log has no opening.
    NotOpened,
    /// The circuit or the procedure can't be read.
    Unreadable(String),
    /// The job is closed.
    Closed,
    /// The work rests.
    Paused(String),
    /// The step is held.
    Held(String),
    /// Its hold point is neither proved nor passed over.
    HoldPoint(String),
    /// A reading lies outside its band and was not accepted.
    OutsideBand(EventId),
    /// A timer of the step runs.
    Timer(EventId),
}

/// What is missing before the job may be closed.
#[derive(Clone, Debug, PartialEq)]
pub enum Open {
    /// The log has no opening, or what it opened can't be read.
    Unreadable(String),
    /// The work rests.
    Paused,
    /// A step is neither done nor skipped.
    Step(usize),
    /// A step is done and its hold point neither proved nor passed over.
    HoldPoint(usize),
    /// A reading lies outside its band and was not accepted.
    OutsideBand(EventId),
    /// A step is done and one of its readings was not taken.
    NoReading {
        /// The step.
        step: usize,
        /// The port.
        port: String,
    },
    /// A timer was never ended.
    Timer(EventId),
    /// Something does not stand as it belongs.
    NotBack(NotBack),
    /// Refrigerant was moved, and no cylinder was weighed before and after.
    NotWeighed,
}

/// What kind of thing is not back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NotBackKind {
    /// A port's cap is off.
    PortCap,
    /// A stem's cap is off.
    StemCap,
    /// A packing nut is eased.
    Nut,
    /// A core is out.
    Core,
    /// A hose is on.
    Hose,
    /// A stem stands otherwise than in normal running.
    Stem,
    /// A space is open to the atmosphere.
    OpenSpace,
    /// A piercing valve is on.
    PiercingValve,
    /// A jumper is on a safety control.
    Jumper,
    /// The power is locked out.
    Lock,
}

/// Something that does not stand as it belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotBack {
    /// What kind of thing.
    pub kind: NotBackKind,
    /// The id of the port, valve, hose or space; empty for lock and jumper.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// For a stem: where it stands and where it belongs.
    pub stem: Option<(Position, Position)>,
    /// Whether the procedure leaves it so in the end.
    pub meant: bool,
}

/// One cylinder's weighings.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderAccount {
    /// The cylinder.
    pub cylinder: String,
    /// How often it was weighed.
    pub weighings: usize,
    /// What went in between weighings.
    pub recovered: Mass,
    /// What came out between weighings.
    pub charged: Mass,
    /// The last weight.
    pub last: Mass,
}

/// The refrigerant so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// By cylinder, in the order of their names.
    pub cylinders: Vec<CylinderAccount>,
    /// What went into cylinders, by weight.
    pub recovered: Mass,
    /// What came out of cylinders, by weight.
    pub charged: Mass,
    /// What people entered as lost.
    pub lost: Mass,
    /// What the done steps come to in the model: recovered, charged, lost.
    pub reckoned: Option<(Mass, Mass, Mass)>,
}

impl Default for Account {
    fn default() -> Self {
        let nothing = Mass::from_kg(0.0);
        Self { cylinders: Vec::new(), recovered: nothing, charged: nothing, lost: nothing, reckoned: None }
    }
}

impl Kind {
    /// The word in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pressure => "pressure",
            Self::Temperature => "temperature",
            Self::Mass => "mass",
            Self::Other => "other",
        }
    }
}
