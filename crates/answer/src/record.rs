//! A job as carried out: made entry by entry, kept as a file of lines, merged, and told.

mod codec;
mod convert;
mod page;
mod say;
mod state;

use std::collections::BTreeSet;

use stemwise_record::{BadId, Log, MeasuredError, NotAllowed, Progress, Stamp, What, allowed, fold};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire as wire;

pub use page::JobPageAsk;

use crate::prove::{ProcedureAsk, procedure_file, verify};
use crate::{Error, check};
use convert::Made;

/// Why an entry can't be made, or a file not be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RecordError {
    /// Something has to come first.
    #[error(transparent)]
    NotAllowed(#[from] NotAllowed),
    /// What was read off an instrument was not understood.
    #[error(transparent)]
    Measured(#[from] MeasuredError),
    /// Not an id.
    #[error(transparent)]
    Id(#[from] BadId),
    /// Steps count from 1.
    #[error("there is no step 0; steps count from 1")]
    StepZero,
    /// A word from a list.
    #[error("\"{typed}\" is no {what}; it can be: {known}")]
    Word {
        /// What it should be.
        what: &'static str,
        /// What was there.
        typed: String,
        /// What there is.
        known: &'static str,
    },
    /// A value is missing that the file must have.
    #[error("the measured value of \"{typed}\" is missing")]
    NoValue {
        /// What was typed.
        typed: String,
    },
    /// A text that is longer than a file may be.
    #[error("{what} is not text (UTF-8)")]
    NotText {
        /// What.
        what: &'static str,
    },
    /// The files are of two jobs.
    #[error("these are two different jobs: one was opened as entry {one}, the other as entry {other}")]
    OtherJob {
        /// The opening of one.
        one: String,
        /// The opening of the other.
        other: String,
    },
    /// Nothing in the file can be read.
    #[error("no entry of a job can be read in it")]
    NothingThere {
        /// Everything found.
        problems: Vec<wire::Problem>,
    },
}

impl RecordError {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::NotAllowed(_) => "not-allowed",
            Self::Measured(_) => "not-understood",
            Self::Id(_) => "bad-id",
            Self::StepZero => "no-step",
            Self::Word { .. } => "unknown-word",
            Self::NoValue { .. } => "no-value",
            Self::NotText { .. } => "not-text",
            Self::OtherJob { .. } => "other-job",
            Self::NothingThere { .. } => "job-file",
        }
    }
}

/// What a job is opened with.
#[derive(Clone, Debug)]
pub struct JobOpening<'a> {
    /// The circuit file.
    pub circuit_file: &'a [u8],
    /// The procedure: a file, or the job to plan.
    pub ask: &'a ProcedureAsk,
    /// The job in words; what the procedure says, if left out.
    pub words: Option<&'a str>,
    /// Who opens it.
    pub by: Option<&'a str>,
}

/// A job as carried out.
///
/// The host keeps the line of each entry the moment it is made, and gives device, random number and time.
///
/// ```
/// use stemwise_answer::{JobOpening, JobRecord, Moment, ProcedureAsk, Stamp, example};
/// use stemwise_units::UnitSystem;
/// use stemwise_wire::JobEntry;
/// let stamp = |random, unix_ms| Stamp { device: "phone".into(), random, at: Moment { unix_ms, offset_min: 0 } };
/// let ask = ProcedureAsk { job: Some("take readings".into()), ..ProcedureAsk::default() };
/// let circuit_file = example("walk-in-cooler")?.as_bytes();
/// let opening = JobOpening { circuit_file, ask: &ask, words: None, by: Some("Ana") };
/// let (mut job, opened) = JobRecord::open(&opening, &stamp(1, 1_000))?;
/// let note = JobEntry::Note { step: None, text: "frost on the drier".into() };
/// let added = job.add(&note, Some("Ana"), &stamp(2, 2_000))?;
/// let (again, problems) = JobRecord::read(format!("{}\n{}\n", opened.line, added.line).as_bytes());
/// assert!(problems.is_empty() && again == job);
/// assert_eq!(job.state(UnitSystem::Si).next, Some(1));
/// assert!(job.add(&JobEntry::Resumed {}, None, &stamp(3, 3_000)).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobRecord {
    log: Log,
    /// Whole lines that a newer version wrote and that are no entries here; kept as they are.
    unread: BTreeSet<String>,
}

impl JobRecord {
    /// Reads a job file, or any part of one. Never fails: every intact entry is taken, and what is damaged is told with its line.
    pub fn read(bytes: &[u8]) -> (Self, Vec<wire::Problem>) {
        let read = codec::read(bytes);
        let record = Self { log: read.events.into_iter().collect(), unread: read.unread };
        (record, read.problems)
    }

    /// Opens a job.
    ///
    /// # Errors
    /// [`Error::Circuit`], [`Error::Procedure`], [`Error::Job`], [`Error::Plan`], [`Error::Prove`], [`Error::Record`].
    pub fn open(opening: &JobOpening<'_>, stamp: &Stamp) -> Result<(Self, wire::JobAdded), Error> {
        check::circuit(opening.circuit_file)?;
        let text = |what, bytes: &[u8]| {
            core::str::from_utf8(bytes).map(str::to_owned).map_err(|_| RecordError::NotText { what })
        };
        let procedure = match &opening.ask.file {
            Some(bytes) => {
                // Every fault of the file at once.
                procedure_file(opening.circuit_file, opening.ask)?;
                text("the procedure file", bytes)?
            }
            None => procedure_file(opening.circuit_file, opening.ask)?,
        };
        let said = procedure.lines().find_map(|line| line.trim().strip_prefix("job:"));
        let job = opening.words.or(said).map_or("as the procedure says", str::trim).to_owned();
        let units = match opening.ask.units {
            UnitSystem::Si => "si".into(),
            UnitSystem::Ip => "ip".into(),
        };
        let circuit = text("the circuit file", opening.circuit_file)?;
        let mut record = Self::default();
        let entry = wire::JobEntry::Opened { circuit, procedure, job, units };
        let added = record.add(&entry, opening.by, stamp)?;
        Ok((record, added))
    }

    /// Makes an entry and takes it in. Typed values are read here; of an edited procedure the verdict is worked out here.
    ///
    /// # Errors
    /// [`Error::Record`], with what was understood or what has to come first; faults of an edited procedure as [`Error::Procedure`].
    pub fn add(
        &mut self,
        entry: &wire::JobEntry,
        by: Option<&str>,
        stamp: &Stamp,
    ) -> Result<wire::JobAdded, Error> {
        let progress = fold(&self.log);
        let made = Made {
            atmosphere: progress.atmosphere.unwrap_or(Pressure::from_pa(101_325.0)),
            procedure: progress.procedure.clone(),
        };
        let what = match self.judged(entry)? {
            Some(judged) => convert::what(&judged, Some(&made))?,
            None => convert::what(entry, Some(&made))?,
        };
        allowed(&self.log, &progress, &what).map_err(RecordError::from)?;
        let by = by.map(str::trim).filter(|by| !by.is_empty());
        let event = self.log.next(stamp, by, what);
        let added = wire::JobAdded { id: event.id.to_string(), line: codec::line(&event) };
        self.log.insert(event);
        Ok(added)
    }

    /// An edited procedure with the verifier's verdict.
    fn judged(&self, entry: &wire::JobEntry) -> Result<Option<wire::JobEntry>, Error> {
        let opening = self.log.opening().map(|event| &event.what);
        let (wire::JobEntry::ProcedureReplaced { procedure, why, .. }, Some(What::Opened(opened))) =
            (entry, opening)
        else {
            return Ok(None);
        };
        let ask = ProcedureAsk { file: Some(procedure.clone().into_bytes()), ..ProcedureAsk::default() };
        let verdict = verify(opened.circuit.as_bytes(), &ask, false)?;
        Ok(Some(wire::JobEntry::ProcedureReplaced {
            procedure: procedure.clone(),
            accepted: verdict.accepted,
            because: verdict.because,
            why: why.clone(),
        }))
    }

    /// Takes in what another device, or another copy of the file, knows. Returns how many entries are new.
    ///
    /// # Errors
    /// [`Error::Record`] where the two are different jobs.
    pub fn merge(&mut self, other: &Self) -> Result<usize, Error> {
        if !self.log.same_job(&other.log) {
            let opening = |log: &Log| log.opening().map_or_else(String::new, |event| event.id.to_string());
            let (one, other) = (opening(&self.log), opening(&other.log));
            return Err(RecordError::OtherJob { one, other }.into());
        }
        let before = self.entries();
        self.log = self.log.merged(&other.log);
        self.unread.extend(other.unread.iter().cloned());
        Ok(self.entries() - before)
    }

    /// How many entries there are.
    pub fn entries(&self) -> usize {
        self.log.events().len()
    }

    /// The job file: a heading line, then one entry a line.
    pub fn file(&self) -> String {
        codec::file(self.log.events(), &self.unread)
    }

    /// Where the job stands, with sentences in a person's units.
    pub fn state(&self, units: UnitSystem) -> wire::JobState {
        state::state(&self.log, &self.progress(), self.circuit_file(), units)
    }

    /// The units that the job is written up in.
    pub fn units(&self) -> UnitSystem {
        match self.progress().units {
            stemwise_record::Units::Si => UnitSystem::Si,
            stemwise_record::Units::Ip => UnitSystem::Ip,
        }
    }

    /// The circuit file that the job was opened with.
    pub fn circuit_file(&self) -> Option<&str> {
        match &self.log.opening()?.what {
            What::Opened(opened) => Some(&opened.circuit),
            _ => None,
        }
    }

    /// The text of the procedure in force.
    pub fn procedure_file(&self) -> Option<&str> {
        let id = self.progress().procedure?;
        match &self.log.get(&id)?.what {
            What::Opened(opened) => Some(&opened.procedure),
            What::ProcedureReplaced { procedure, .. } => Some(procedure),
            _ => None,
        }
    }

    /// The job as carried out, to print.
    ///
    /// # Errors
    /// [`Error::Saturation`] for a paper that is none, [`Error::Report`] for a heading that is too long.
    pub fn page(&self, ask: &JobPageAsk, units: UnitSystem) -> Result<wire::JobPage, Error> {
        page::page(&self.state(units), ask, units)
    }

    fn progress(&self) -> Progress {
        fold(&self.log)
    }
}

/// Reads job files, merges them, and tells where the job stands; in the job's own units if none are given.
///
/// # Errors
/// [`Error::Record`] where no entry can be read at all, or the files are of different jobs.
///
/// ```
/// use stemwise_answer::job;
/// assert!(job(&[b"not a job file".to_vec()], None).is_err());
/// ```
pub fn job(files: &[Vec<u8>], units: Option<UnitSystem>) -> Result<(JobRecord, wire::JobAnswer), Error> {
    let mut all = JobRecord::default();
    let mut problems = Vec::new();
    for file in files {
        let (record, found) = JobRecord::read(file);
        if record.entries() == 0 {
            return Err(RecordError::NothingThere { problems: found }.into());
        }
        problems.extend(found);
        all.merge(&record)?;
    }
    let units = units.unwrap_or_else(|| all.units());
    let answer = wire::JobAnswer { entries: all.entries(), problems, state: all.state(units) };
    Ok((all, answer))
}
