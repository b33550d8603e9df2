//! What can be chosen about a diagram.

use stemwise_thermo::Substance;
use stemwise_units::{Pressure, SpecificEnergy, UnitSystem};

use crate::Error;
use crate::cycle::CycleAsk;

/// The longest heading that is printed.
const LONGEST_HEADING: usize = 60;

/// Where the pressure axis reads zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum PressureAxis {
    /// Absolute pressure.
    #[default]
    Absolute,
    /// What a gauge shows at a site with this atmosphere.
    Gauge(Pressure),
}

/// The shape of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sheet {
    /// As broad as a page on its side, for a screen, a projector or a wall.
    #[default]
    Wide,
    /// As narrow as a telephone held upright.
    Narrow,
}

/// What can be chosen about a diagram; what is left out follows from the refrigerant.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// The units to print.
    pub units: UnitSystem,
    /// Where the pressure axis reads zero.
    pub pressure_axis: PressureAxis,
    /// The shape of the sheet.
    pub sheet: Sheet,
    /// A heading of one's own, at most 60 characters.
    pub heading: Option<String>,
    /// The ends of the pressure axis.
    pub pressures: Option<(Pressure, Pressure)>,
    /// The ends of the enthalpy axis.
    pub enthalpies: Option<(SpecificEnergy, SpecificEnergy)>,
    /// Whether lines of constant density are drawn.
    pub densities: bool,
    /// A cycle to draw.
    pub cycle: Option<CycleAsk>,
}

impl Options {
    pub(crate) fn check(&self) -> Result<(), Error> {
        check_heading(self.heading.as_deref())?;
        if let PressureAxis::Gauge(atmosphere) = self.pressure_axis {
            check_atmosphere(atmosphere)?;
        }
        if let Some((low, high)) = self.pressures {
            let (low, high) = (low.as_pa(), high.as_pa());
            let fine = low > 0.0 && high >= 1.5 * low && high.is_finite() && high < 1e9;
            fine.then_some(()).ok_or(Error::PressureRange { low, high })?;
        }
        if let Some((low, high)) = self.enthalpies {
            let (low, high) = (low.as_j_per_kg(), high.as_j_per_kg());
            let fine = low.is_finite() && high - low >= 5000.0 && high - low < 1e8;
            fine.then_some(()).ok_or(Error::EnthalpyRange { low, high })?;
        }
        Ok(())
    }
}

pub(crate) fn check_heading(heading: Option<&str>) -> Result<(), Error> {
    let characters = heading.map_or(0, |heading| heading.chars().count());
    if characters > LONGEST_HEADING {
        return Err(Error::Heading { characters, most: LONGEST_HEADING });
    }
    Ok(())
}

pub(crate) fn check_atmosphere(atmosphere: Pressure) -> Result<(), Error> {
    let pascal = atmosphere.as_pa();
    // From the top of the highest mountains to the bottom of the deepest valleys.
    if (20_000.0..=110_000.0).contains(&pascal) { Ok(()) } else { Err(Error::Atmosphere { pascal }) }
}

/// The highest temperature for which the equations were fitted; the property crate answers up to half as much again.
pub(crate) fn highest_fitted(substance: &Substance) -> f64 {
    let highest = match substance {
        Substance::Pure(fluid) => fluid.highest_temperature(),
        _ => match substance.mixture() {
            Some(mixture) => mixture.temperature_range().1,
            None => substance.critical_temperature(),
        },
    };
    highest.as_k() / 1.5
}
