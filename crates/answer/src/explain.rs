//! Every error as a person reads it: the sentence, a hint, the exit code and the HTTP status.

use stemwise_circuit::Problem;
use stemwise_service::JobError;
use stemwise_units::ParseError;
use stemwise_wire as wire;

use crate::evidence::EvidenceError;
use crate::fractionate::ShiftError;
use crate::joined::JoinedError;
use crate::plan::PlanError;
use crate::properties::RequestError;
use crate::prove::ProveError;
use crate::record::RecordError;
use crate::rehearse::RehearseError;
use crate::saturation::SaturationError;
use crate::settings::SettingsError;
use crate::teach::TeachError;
use crate::trial::TrialError;

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// Something could not be read.
    #[error("could not read {what}: {why}")]
    Unreadable {
        /// What: a path, or "standard input".
        what: String,
        /// What the system says.
        why: String,
    },
    /// A circuit could not be read.
    #[error("could not read {what}: {why}")]
    NoCircuit {
        /// What: a path, or "standard input".
        what: String,
        /// What the system says.
        why: String,
    },
    /// Something could not be written.
    #[error("could not write {what}: {why}")]
    Unwritable {
        /// What: a path, or "standard output".
        what: String,
        /// What the system says.
        why: String,
    },
    /// The machine refused something.
    #[error("{say}")]
    Host {
        /// What, and what it says.
        say: String,
    },
    /// The circuit file can't be used.
    #[error("the circuit file has {}", count(.problems))]
    Circuit {
        /// Everything found.
        problems: Vec<Problem>,
    },
    /// The procedure file can't be used.
    #[error("the procedure file has {}", count(.problems))]
    Procedure {
        /// Everything found.
        problems: Vec<Problem>,
    },
    /// Nothing to verify or explain.
    #[error(transparent)]
    Prove(#[from] ProveError),
    /// The circuit can't be set in motion.
    #[error(transparent)]
    Rehearse(#[from] stemwise_rehearse::Error),
    /// Something that can't be rehearsed like that.
    #[error(transparent)]
    RehearseAsk(#[from] RehearseError),
    /// An action on a circuit that is being tried.
    #[error(transparent)]
    Trial(#[from] TrialError),
    /// No example of that name.
    #[error("no example is called \"{name}\"; there are: {}", .known.join(", "))]
    UnknownExample {
        /// What was asked for.
        name: String,
        /// What there is.
        known: Vec<&'static str>,
    },
    /// No schema of that name.
    #[error("no schema is called \"{name}\"; there are: {}", .known.join(", "))]
    UnknownSchema {
        /// What was asked for.
        name: String,
        /// What there is.
        known: Vec<&'static str>,
    },
    /// A typed quantity was not understood.
    #[error("{what}: {error}")]
    Typed {
        /// Which option or key.
        what: String,
        /// What is wrong with it.
        error: ParseError,
    },
    /// A property request can't be answered.
    #[error(transparent)]
    Request(#[from] RequestError),
    /// A saturation request can't be answered.
    #[error(transparent)]
    Saturation(#[from] SaturationError),
    /// A draw from a vessel that can't be answered.
    #[error(transparent)]
    Shift(#[from] ShiftError),
    /// Readings that prove nothing, or a question about them that was not understood.
    #[error(transparent)]
    Evidence(#[from] EvidenceError),
    /// A diagram or a page that can't be.
    #[error(transparent)]
    Report(#[from] stemwise_report::Error),
    /// A lineup that can't be.
    #[error(transparent)]
    Joined(#[from] JoinedError),
    /// A plan for what can't be.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// No such job.
    #[error(transparent)]
    Job(#[from] JobError),
    /// An entry that can't be made, or a job file that can't be used.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// Questions or drills that can't be.
    #[error(transparent)]
    Teach(#[from] TeachError),
    /// An option or a variable of the environment says no setting.
    #[error("{place}: {error}")]
    Chosen {
        /// Which.
        place: String,
        /// What is wrong with it.
        error: Box<SettingsError>,
    },
    /// The settings file is broken.
    #[error("the settings file {path}: {error}")]
    Settings {
        /// Which file.
        path: String,
        /// What is wrong with it.
        error: SettingsError,
    },
}

fn count(problems: &[Problem]) -> String {
    let errors =
        problems.iter().filter(|problem| problem.severity == stemwise_circuit::Severity::Error).count();
    if errors == 1 { "1 error".into() } else { format!("{errors} errors") }
}

impl From<stemwise_thermo::Error> for Error {
    fn from(error: stemwise_thermo::Error) -> Self {
        Self::Request(RequestError::Thermo(error))
    }
}

impl Error {
    /// A typed quantity that was not understood.
    pub fn typed(what: &str) -> impl FnOnce(ParseError) -> Self {
        let what = what.to_owned();
        move |error| Self::Typed { what, error }
    }

    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Unreadable { .. } | Self::NoCircuit { .. } => "unreadable",
            Self::Unwritable { .. } => "unwritable",
            Self::Host { .. } => "host",
            Self::Circuit { .. } => "circuit-file",
            Self::Procedure { .. } => "procedure-file",
            Self::Prove(error) => error.kind(),
            Self::Trial(error) => error.kind(),
            Self::Rehearse(_) => "can-not-rehearse",
            Self::RehearseAsk(error) => error.kind(),
            Self::UnknownExample { .. } => "unknown-example",
            Self::UnknownSchema { .. } => "unknown-schema",
            Self::Typed { .. } => "not-understood",
            Self::Request(error) => error.kind(),
            Self::Saturation(error) => error.kind(),
            Self::Shift(error) => error.kind(),
            Self::Evidence(error) => error.kind(),
            Self::Report(error) => error.kind(),
            Self::Joined(error) => error.kind(),
            Self::Plan(PlanError::UnknownThing { .. }) => "unknown-thing",
            Self::Plan(PlanError::UnknownCost { .. }) => "unknown-cost",
            Self::Job(JobError::Unknown { .. }) => "unknown-job",
            Self::Job(JobError::NothingThere { .. }) => "nothing-there",
            Self::Job(JobError::Several { .. }) => "several-jobs",
            Self::Job(JobError::Amount { .. }) => "bad-amount",
            Self::Job(JobError::NameOne { .. }) => "name-one",
            Self::Job(JobError::NotTogether { .. }) => "not-together",
            Self::Job(JobError::NotByThis { .. }) => "not-by-this",
            Self::Job(JobError::Difference { .. }) => "bad-difference",
            Self::Record(error) => error.kind(),
            Self::Teach(error) => error.kind(),
            Self::Settings { .. } | Self::Chosen { .. } => "settings",
        }
    }

    /// What to do about it, where the sentence does not say it already.
    pub const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NoCircuit { .. } => Some(
                "give the path of a circuit file, or example:NAME; \"stemwise examples\" lists those built in",
            ),
            Self::Circuit { .. } => {
                Some("mend these and check again; docs/circuit-file.md explains every key")
            }
            Self::Procedure { .. } => {
                Some("mend these and verify again; docs/procedure-file.md explains every line")
            }
            Self::Job(JobError::NotByThis { .. } | JobError::Difference { .. }) => None,
            Self::Job(_) => Some("say it as \"stemwise list CIRCUIT\" prints it, in quotes"),
            Self::Settings { .. } => {
                Some("mend or remove the file; docs/command-line.md lists what may be in it")
            }
            Self::Record(RecordError::NothingThere { .. }) => {
                Some("a job file holds one entry a line; docs/job-file.md explains it")
            }
            Self::Teach(error) => error.hint(),
            Self::Shift(error) => error.hint(),
            Self::Evidence(error) => error.hint(),
            Self::Joined(error) => error.hint(),
            Self::Request(error) => error.hint(),
            Self::Saturation(_)
            | Self::Report(_)
            | Self::Plan(_)
            | Self::Prove(_)
            | Self::Trial(_)
            | Self::Rehearse(_)
            | Self::RehearseAsk(_)
            | Self::Record(_)
            | Self::Unreadable { .. }
            | Self::Chosen { .. }
            | Self::Unwritable { .. }
            | Self::Host { .. }
            | Self::UnknownExample { .. }
            | Self::UnknownSchema { .. }
            | Self::Typed { .. } => None,
        }
    }

    /// The exit code of the command line: 1 where the input was read and has no good answer, 2 where it could not be read or was not
    /// understood.
    pub const fn exit_code(&self) -> u8 {
        match self {
            Self::Circuit { .. } | Self::Procedure { .. } | Self::Prove(ProveError::NoWay { .. }) => 1,
            Self::Request(RequestError::Thermo(_)) | Self::Saturation(SaturationError::Thermo(_)) => 1,
            Self::Shift(ShiftError::Fractionation(_)) => 1,
            Self::Record(RecordError::NothingThere { .. } | RecordError::OtherJob { .. }) => 1,
            Self::Teach(error) => error.exit_code(),
            Self::Report(stemwise_report::Error::Thermo(_)) => 1,
            Self::Evidence(error) if error.no_answer() => 1,
            _ => 2,
        }
    }

    /// The status with which a server answers.
    pub const fn http_status(&self) -> u16 {
        match self {
            Self::Unreadable { .. }
            | Self::NoCircuit { .. }
            | Self::UnknownExample { .. }
            | Self::UnknownSchema { .. } => 404,
            Self::Unwritable { .. } | Self::Host { .. } | Self::Chosen { .. } | Self::Settings { .. } => 500,
            Self::Teach(TeachError::UnknownDrill { .. }) => 404,
            Self::Circuit { .. }
            | Self::Procedure { .. }
            | Self::Job(_)
            | Self::Joined(_)
            | Self::Plan(_) => 422,
            Self::Prove(_) | Self::Trial(_) | Self::Rehearse(_) | Self::Teach(_) => 422,
            Self::Report(_) | Self::Record(_) => 422,
            Self::Request(RequestError::Thermo(_)) | Self::Saturation(SaturationError::Thermo(_)) => 422,
            Self::Shift(ShiftError::Fractionation(_)) => 422,
            Self::Evidence(error) if error.no_answer() => 422,
            Self::Evidence(_) => 400,
            Self::Typed { .. }
            | Self::Request(_)
            | Self::RehearseAsk(_)
            | Self::Saturation(_)
            | Self::Shift(_) => 400,
        }
    }

    /// As it leaves the program.
    pub fn failure(&self) -> wire::FailureAnswer {
        let problems = match self {
            Self::Circuit { problems } | Self::Procedure { problems } => {
                problems.iter().map(crate::check::problem).collect()
            }
            Self::Record(RecordError::NothingThere { problems }) => problems.clone(),
            Self::Teach(TeachError::DrillFile { problems }) => {
                problems.iter().map(crate::check::problem).collect()
            }
            _ => Vec::new(),
        };
        wire::FailureAnswer {
            error: wire::Failure {
                kind: self.kind().into(),
                message: self.to_string(),
                hint: self.hint().map(str::to_owned),
                problems,
            },
        }
    }
}
