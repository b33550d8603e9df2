//! Why there is no transport property.

use super::{Method, Property};

/// Why there is no answer. The values inside are in SI units.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TransportError {
    /// The state itself cannot be had.
    #[error(transparent)]
    State(#[from] crate::Error),
    /// Liquid and vapour together have no one value.
    #[error(
        "{fluid} at {kelvin} K and {kg_per_m3} kg/m³ is liquid and vapour together: ask for each phase at its own density"
    )]
    TwoPhases {
        /// The fluid.
        fluid: String,
        /// The temperature.
        kelvin: f64,
        /// The density.
        kg_per_m3: f64,
    },
    /// That method has no parameters for this fluid.
    #[error("no {} of {fluid} by {}: no published parameters are at hand", property.word(), method.word())]
    NoModel {
        /// The fluid.
        fluid: String,
        /// What was asked for.
        property: Property,
        /// By which method.
        method: Method,
    },
    /// No surface at and above the critical temperature.
    #[error("{fluid} has no surface tension at {kelvin} K: liquid and vapour are one above {critical} K")]
    NoSurface {
        /// The fluid.
        fluid: String,
        /// The temperature.
        kelvin: f64,
        /// The critical temperature.
        critical: f64,
    },
    /// The formula gives nothing that can be: too dense, too cold or too near the critical point.
    #[error(
        "the {} of {fluid} at {kelvin} K and {kg_per_m3} kg/m³ is beyond what its formula can tell ({source_of_formula})",
        property.word()
    )]
    BeyondFormula {
        /// The fluid.
        fluid: String,
        /// What was asked for.
        property: Property,
        /// The temperature.
        kelvin: f64,
        /// The density.
        kg_per_m3: f64,
        /// The formula's paper.
        source_of_formula: String,
    },
    /// A mixture for which the rule has no answer.
    #[error("no {} of this mixture at {kelvin} K: {why}", property.word())]
    Mixture {
        /// What was asked for.
        property: Property,
        /// The temperature.
        kelvin: f64,
        /// Why not.
        why: &'static str,
    },
}

impl TransportError {
    /// The kind, stable, kebab-case.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, transport};
    /// use stemwise_units::{Density, Temperature};
    /// let fluid = Fluid::named("R-134a")?;
    /// let in_the_dome = transport::viscosity(fluid, Temperature::from_celsius(25.0), Density::from_kg_per_m3(600.0));
    /// assert!(!in_the_dome.unwrap_err().kind().is_empty());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::State(error) => error.kind(),
            Self::TwoPhases { .. } => "two-phases",
            Self::NoModel { .. } => "no-model",
            Self::NoSurface { .. } => "no-surface",
            Self::BeyondFormula { .. } => "beyond-formula",
            Self::Mixture { .. } => "mixture",
        }
    }
}
