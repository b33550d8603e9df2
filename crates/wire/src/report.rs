//! Diagrams and pages, and the cycle on a diagram.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A pressure-enthalpy diagram.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DiagramAnswer {
    /// The refrigerant.
    pub fluid: String,
    /// The diagram, a whole SVG file.
    pub svg: String,
    /// The cycle drawn on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cycle: Option<CycleAnswer>,
    /// The model and the data behind every number.
    pub model: String,
    /// Pairs of components whose parameters are estimated.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
}

/// A simple cycle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CycleAnswer {
    /// 1 compressor inlet, 2 compressor outlet, 3 before expansion, 4 after expansion.
    pub points: Vec<CyclePoint>,
    /// Heat taken up over work.
    pub cooling_cop: f64,
    /// Heat given off over work.
    pub heating_cop: f64,
    /// Temperature at the compressor's outlet, K.
    pub discharge_temperature: f64,
    /// Heat that a kilogram takes up, J/kg.
    pub refrigerating_effect: f64,
    /// Work that a kilogram needs, J/kg.
    pub work: f64,
    /// Heat that a cubic metre of drawn-in vapour takes up, J/m³.
    pub volumetric_effect: f64,
    /// The high pressure over the low one, both absolute.
    pub pressure_ratio: f64,
    /// The vapour's part of the mass after expansion.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vapour_after_expansion: Option<f64>,
    /// The isentropic efficiency that was given.
    pub efficiency: f64,
}

/// A point of a cycle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CyclePoint {
    /// Temperature, K.
    pub temperature: f64,
    /// Absolute pressure, Pa.
    pub p: f64,
    /// Density, kg/m³.
    pub rho: f64,
    /// Enthalpy, J/kg.
    pub h: f64,
    /// Entropy, J/(kg K).
    pub s: f64,
}

/// Saturation tables to print.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PageAnswer {
    /// The refrigerant.
    pub fluid: String,
    /// The page, a whole HTML file.
    pub html: String,
    /// The model and the data behind every number.
    pub model: String,
    /// Pairs of components whose parameters are estimated.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub estimated: Vec<String>,
}
