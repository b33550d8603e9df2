//! The answer to checking a circuit file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What checking a file found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CheckAnswer {
    /// Whether the file can be used: no problem is an error.
    pub ok: bool,
    /// Everything found, in the order of the file.
    pub problems: Vec<Problem>,
}

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The file can't be used.
    Error,
    /// It can be used, but look at this.
    Warning,
}

/// One problem in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// The kind of problem, stable, kebab-case.
    pub id: String,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// The line itself, shortened.
    pub excerpt: String,
    /// Where in the excerpt the problem is: characters before it, and how many characters.
    #[serde(default)]
    pub mark: [usize; 2],
    /// What is wrong.
    pub say: String,
    /// What to do.
    pub hint: String,
}
