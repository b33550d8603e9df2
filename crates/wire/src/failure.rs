//! What is printed instead of an answer when there is none.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::Problem;

/// A request that could not be answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FailureAnswer {
    /// What went wrong.
    pub error: Failure,
}

/// What went wrong, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Failure {
    /// The kind, stable, kebab-case.
    pub kind: String,
    /// The sentence.
    pub message: String,
    /// What to do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
    /// For a circuit file: everything that is wrong in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<Problem>,
}
