//! The answer to which examples are built in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The examples that are built in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ExamplesAnswer {
    /// Each of them.
    pub examples: Vec<ExampleEntry>,
}

/// An example circuit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ExampleEntry {
    /// Its name, as `example:NAME` takes it.
    pub name: String,
    /// What it is.
    pub circuit: String,
    /// Its refrigerant.
    pub refrigerant: String,
    /// The remark in its file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}
