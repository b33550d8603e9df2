//! Why there is no drawing and no page.

/// What can be wrong with what was asked for. The values inside are in SI units.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// A range of pressures that is none.
    #[error(
        "the pressure axis can't go from {low:.0} Pa to {high:.0} Pa absolute: give two pressures above 0, the lower first, the higher at least 1.5 times the lower"
    )]
    PressureRange {
        /// Where it starts, Pa absolute.
        low: f64,
        /// Where it ends.
        high: f64,
    },
    /// A range of enthalpies that is none.
    #[error(
        "the enthalpy axis can't go from {low} J/kg to {high} J/kg: give the lower first, and at least 5000 J/kg between"
    )]
    EnthalpyRange {
        /// Where it starts, J/kg.
        low: f64,
        /// Where it ends.
        high: f64,
    },
    /// Too long to be printed as a heading.
    #[error("the heading has {characters} characters; at most {most} are printed")]
    Heading {
        /// How many it has.
        characters: usize,
        /// How many are printed.
        most: usize,
    },
    /// An atmosphere that is none.
    #[error("{pascal:.0} Pa is no atmosphere that gauges read from: from 20000 Pa to 110000 Pa it can be")]
    Atmosphere {
        /// The pressure.
        pascal: f64,
    },
    /// Evaporating above condensing.
    #[error(
        "it can't evaporate at {low:.0} Pa absolute and give off heat at {high:.0} Pa absolute: the second must be the higher"
    )]
    Levels {
        /// The low side's pressure.
        low: f64,
        /// The high side's.
        high: f64,
    },
    /// An efficiency that is none.
    #[error("{efficiency} is no isentropic efficiency: it lies above 0.05 and goes up to 1")]
    Efficiency {
        /// What was given.
        efficiency: f64,
    },
    /// Superheat or subcooling that is none.
    #[error("{what} of {kelvin:.2} K: it lies between 0 K and 150 K")]
    Difference {
        /// Which.
        what: &'static str,
        /// What was given.
        kelvin: f64,
    },
    /// Subcooling where nothing condenses.
    #[error(
        "at {pascal:.0} Pa absolute nothing condenses, the critical pressure is {critical:.0} Pa: give the temperature at the outlet instead of a subcooling"
    )]
    NothingCondenses {
        /// The high side's pressure.
        pascal: f64,
        /// The critical pressure.
        critical: f64,
    },
    /// An outlet that is no liquid.
    #[error(
        "at {pascal:.0} Pa absolute it condenses down to {bubble:.2} K; an outlet at {kelvin:.2} K would still hold vapour"
    )]
    NotLiquid {
        /// The high side's pressure.
        pascal: f64,
        /// Its bubble point.
        bubble: f64,
        /// The outlet's temperature.
        kelvin: f64,
    },
    /// A cycle without refrigerating effect.
    #[error(
        "such a cycle takes up no heat: what leaves the condenser already holds as much as what is drawn in"
    )]
    NoEffect,
    /// Temperatures of a page that are none.
    #[error("a table from {low} K to {high} K in steps of {step} K has no rows, or more than {most}")]
    Rows {
        /// The first.
        low: f64,
        /// The last.
        high: f64,
        /// The step.
        step: f64,
        /// The most.
        most: u32,
    },
    /// The refrigerant's equation has no answer.
    #[error(transparent)]
    Thermo(#[from] stemwise_thermo::Error),
}

impl Error {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::PressureRange { .. } | Self::EnthalpyRange { .. } => "axis-range",
            Self::Heading { .. } => "heading",
            Self::Atmosphere { .. } => "atmosphere",
            Self::Levels { .. } | Self::NothingCondenses { .. } | Self::NotLiquid { .. } | Self::NoEffect => {
                "cycle"
            }
            Self::Efficiency { .. } => "efficiency",
            Self::Difference { .. } => "temperature-difference",
            Self::Rows { .. } => "rows",
            Self::Thermo(error) => error.kind(),
        }
    }
}
