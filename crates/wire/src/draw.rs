//! The piping diagram.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A piping diagram of a circuit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrawAnswer {
    /// The circuit.
    pub circuit: String,
    /// The diagram, a whole SVG file.
    pub svg: String,
    /// Its width at the base scale, in pixels.
    pub width: f64,
    /// Its height at the base scale, in pixels.
    pub height: f64,
    /// What is drawn, in the order in which one walks along the pipe from the compressor.
    pub along: Vec<String>,
}
