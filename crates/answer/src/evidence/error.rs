//! What can be wrong with a question about readings.

use stemwise_readings::{AirError, DecayError, InstrumentError, LogError, PullError, StandingError};
use stemwise_thermo::FractionationError;

/// Why there is no evidence.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EvidenceError {
    /// Not a name with a value.
    #[error("{what}: \"{typed}\" is not understood; write it as NAME=VALUE")]
    NameValue {
        /// Which option.
        what: &'static str,
        /// What was typed.
        typed: String,
    },
    /// No such name.
    #[error("{what}: nothing is called \"{typed}\"; it can be: {known}")]
    UnknownName {
        /// Which option.
        what: &'static str,
        /// What was typed.
        typed: String,
        /// What there is.
        known: String,
    },
    /// Given twice.
    #[error("{what}: {name} is given twice")]
    Twice {
        /// Which option.
        what: &'static str,
        /// Which name.
        name: String,
    },
    /// Something must be given.
    #[error("give {what}")]
    Needs {
        /// What.
        what: &'static str,
    },
    /// A word that is none of the choices.
    #[error("{what} is \"{typed}\"; it can be {choices}")]
    Choice {
        /// Which option.
        what: &'static str,
        /// What was typed.
        typed: String,
        /// What it can be.
        choices: &'static str,
    },
    /// Not a paper.
    #[error("\"{typed}\" is no paper; it can be a4 or letter")]
    Paper {
        /// What was typed.
        typed: String,
    },
    /// A number that is none, or out of its range.
    #[error("{what} is \"{typed}\"; it must be {wanted}")]
    Number {
        /// Which option.
        what: &'static str,
        /// What was typed.
        typed: String,
        /// What it must be.
        wanted: &'static str,
    },
    /// An instrument that was not understood.
    #[error("{what}: {error}")]
    Instrument {
        /// Of what.
        what: String,
        /// Why.
        error: InstrumentError,
    },
    /// A log that can't be read.
    #[error(transparent)]
    Log(#[from] LogError),
    /// A line that can't be split into fields.
    #[error("row {row}: {why}")]
    Fields {
        /// The line of the file, from 1.
        row: u64,
        /// What is wrong with it.
        why: String,
    },
    /// A standing test that has no answer.
    #[error(transparent)]
    Standing(#[from] StandingError),
    /// A decay test that has no answer.
    #[error(transparent)]
    Decay(#[from] DecayError),
    /// A pull-down that has no answer.
    #[error(transparent)]
    Pull(#[from] PullError),
    /// Air that can't be told.
    #[error(transparent)]
    Air(#[from] AirError),
    /// A blend's shift that has no answer.
    #[error(transparent)]
    Fractionation(#[from] FractionationError),
}

impl EvidenceError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::NameValue { .. } => "name-value",
            Self::UnknownName { .. } => "unknown-name",
            Self::Twice { .. } => "given-twice",
            Self::Needs { .. } => "needs-more",
            Self::Choice { .. } | Self::Number { .. } => "not-understood",
            Self::Paper { .. } => "paper",
            Self::Instrument { .. } => "instrument",
            Self::Log(error) => error.kind(),
            Self::Fields { .. } => "log-row",
            Self::Standing(_) => "standing-test",
            Self::Decay(_) | Self::Pull(_) => "vacuum",
            Self::Air(_) => "air",
            Self::Fractionation(error) => error.kind(),
        }
    }

    pub(crate) const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Log(LogError::NoColumn { .. } | LogError::Several { .. }) => {
                Some("name the file's column with --column NAME=HEADER")
            }
            Self::Log(LogError::NoUnit { .. } | LogError::Unit { .. }) => {
                Some("give a column's unit with --unit NAME=UNIT")
            }
            Self::Log(LogError::WhichDate { .. }) => Some("--dates day-first or --dates month-first says it"),
            _ => None,
        }
    }

    /// Whether the question was understood and has no answer.
    pub(crate) const fn no_answer(&self) -> bool {
        matches!(self, Self::Standing(StandingError::NoState { .. }) | Self::Air(_) | Self::Fractionation(_))
    }
}
