//! What can go wrong with a property request.

/// Why there is no answer. The values inside are in SI units.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// No fluid of that name.
    #[error("no refrigerant is called \"{name}\"{}", did_you_mean(.near))]
    UnknownFluid {
        /// What was asked for, shortened.
        name: String,
        /// The nearest name, if one is near.
        near: Option<String>,
    },
    /// Not a composition.
    #[error("{parts:?} is not a composition: give from 1 to 8 parts, none negative, not all of them zero")]
    Composition {
        /// The parts.
        parts: Vec<f64>,
    },
    /// Not components with their parts.
    #[error(
        "\"{typed}\" is not understood as a mixture: write the components and as many parts by mass, \"R-32/R-125 50/50\""
    )]
    NotAComposition {
        /// What was typed, shortened.
        typed: String,
    },
    /// A blend where a component is wanted.
    #[error("{name} is a blend itself: name its components")]
    BlendAsComponent {
        /// Which.
        name: String,
    },
    /// A component is there twice.
    #[error("{name} is in the mixture twice: give its whole part once")]
    TwiceInMixture {
        /// Which.
        name: String,
    },
    /// A given value is NaN or infinite.
    #[error("a given value is not a finite number")]
    NotFinite,
    /// Outside the equation's range.
    #[error("{kelvin:.2} K is outside the range of the equation, {low:.2} K to {high:.2} K")]
    TemperatureOutOfRange {
        /// The temperature.
        kelvin: f64,
        /// The lowest.
        low: f64,
        /// The highest.
        high: f64,
    },
    /// Outside the equation's range.
    #[error("{pascal:.0} Pa is outside the range of the equation, above 0 to {high:.0} Pa absolute")]
    PressureOutOfRange {
        /// The pressure.
        pascal: f64,
        /// The highest.
        high: f64,
    },
    /// Not a density.
    #[error("{kg_per_m3:.6} kg/m³ is not a density: it must be above 0 and finite")]
    DensityOutOfRange {
        /// The density.
        kg_per_m3: f64,
    },
    /// Not a vapour fraction.
    #[error("{quality} is not a vapour fraction: it must be from 0 to 1")]
    QualityOutOfRange {
        /// The fraction.
        quality: f64,
    },
    /// No saturation there.
    #[error(
        "there is no saturation at {kelvin:.2} K: the curve goes from {low:.2} K to the critical point, {high:.2} K"
    )]
    NoSaturationAtTemperature {
        /// The temperature.
        kelvin: f64,
        /// The lowest of the curve.
        low: f64,
        /// The critical temperature.
        high: f64,
    },
    /// No saturation there.
    #[error(
        "there is no saturation at {pascal:.0} Pa absolute: the curve ends at the critical point, {high:.0} Pa"
    )]
    NoSaturationAtPressure {
        /// The pressure.
        pascal: f64,
        /// The critical pressure.
        high: f64,
    },
    /// Temperature and pressure lie on the saturation curve, so they don't say how much is vapour.
    #[error(
        "{kelvin:.2} K and {pascal:.0} Pa lie on the saturation curve: give a vapour fraction with one of them"
    )]
    OnSaturation {
        /// The temperature.
        kelvin: f64,
        /// The pressure.
        pascal: f64,
    },
    /// No stable state there.
    #[error("no stable state at {kelvin:.2} K and {kg_per_m3:.6} kg/m³")]
    Unstable {
        /// The temperature.
        kelvin: f64,
        /// The density.
        kg_per_m3: f64,
    },
    /// The solver found nothing that reproduces what was given.
    #[error(
        "no {what} reproduces what was given (last tried near {kelvin:.2} K): is the state in the equation's range?"
    )]
    NotConverged {
        /// What was solved for.
        what: &'static str,
        /// Where it was.
        kelvin: f64,
    },
}

impl Error {
    /// The kind, stable, kebab-case.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// assert_eq!(Fluid::named("R-9999").unwrap_err().kind(), "unknown-fluid");
    /// ```
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::UnknownFluid { .. } => "unknown-fluid",
            Self::Composition { .. }
            | Self::NotAComposition { .. }
            | Self::BlendAsComponent { .. }
            | Self::TwiceInMixture { .. } => "composition",
            Self::NotFinite => "not-finite",
            Self::TemperatureOutOfRange { .. } => "temperature-out-of-range",
            Self::PressureOutOfRange { .. } => "pressure-out-of-range",
            Self::DensityOutOfRange { .. } => "density-out-of-range",
            Self::QualityOutOfRange { .. } => "quality-out-of-range",
            Self::NoSaturationAtTemperature { .. } | Self::NoSaturationAtPressure { .. } => "no-saturation",
            Self::OnSaturation { .. } => "on-saturation",
            Self::Unstable { .. } => "unstable",
            Self::NotConverged { .. } => "not-converged",
        }
    }
}

fn did_you_mean(near: &Option<String>) -> String {
    near.as_ref().map_or_else(String::new, |near| format!("; did you mean {near}?"))
}
