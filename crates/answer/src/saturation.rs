//! Saturation at a temperature or a pressure, alone or in even steps.

use stemwise_thermo::{BubbleDew, Substance};
use stemwise_units::{
    ParseError, Pressure, PressureDifference, Temperature, TemperatureDifference, TypedPressure,
};
use stemwise_wire as wire;

use crate::Error;
use crate::properties::estimated;

/// More rows than this are not a table that anyone reads.
const MOST_ROWS: u16 = 2000;

/// What can be wrong with a saturation request.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SaturationError {
    /// A number without a unit.
    #[error(
        "{number} has no unit; type a temperature (\"40 F\", \"5 C\") or a pressure (\"68 psig\", \"5 bar\", \"200 kPa abs\")"
    )]
    NoUnit {
        /// The number understood.
        number: f64,
    },
    /// One end is a temperature, the other a pressure.
    #[error(
        "{what} is a pressure and the start a temperature, or the other way round; give both as one of them"
    )]
    Mixed {
        /// Which one.
        what: &'static str,
    },
    /// The step leads away from the end, or nowhere.
    #[error("the step must be above 0")]
    Step,
    /// Too many rows.
    #[error("that makes more than {MOST_ROWS} rows; take a larger step")]
    TooManyRows,
    /// Paper of no known size.
    #[error("\"{typed}\" is no paper to print on here; write \"a4\" or \"letter\"")]
    Paper {
        /// What was typed.
        typed: String,
    },
    /// The fluid's equation has no answer.
    #[error(transparent)]
    Thermo(#[from] stemwise_thermo::Error),
}

impl SaturationError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::NoUnit { .. } => "no-unit",
            Self::Mixed { .. } => "mixed",
            Self::Step => "step",
            Self::TooManyRows => "too-many-rows",
            Self::Paper { .. } => "paper",
            Self::Thermo(error) => error.kind(),
        }
    }
}

/// A point of the curve: by temperature, or by absolute pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Point {
    Temperature(Temperature),
    Pressure(Pressure),
}

/// A table's ends and step, as people type them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableAsk {
    /// "-40 F", "0 bar".
    pub from: String,
    /// "60 C", "300 psig".
    pub to: String,
    /// "5 K", "10 psi".
    pub step: String,
}

/// Saturation at a temperature ("40 F") or a pressure ("68 psig"); gauges read zero at this atmosphere.
///
/// # Errors
/// [`Error::Typed`] or [`Error::Saturation`].
///
/// ```
/// use stemwise_units::Pressure;
/// let sea_level = Pressure::from_pa(101_325.0);
/// // ASHRAE Handbook Fundamentals, table of R-134a: 292.80 kPa at 0 °C.
/// let answer = stemwise_answer::saturation("R-134a", "0 C", sea_level)?;
/// assert!((answer.pressure_pa - 292_800.0).abs() < 10.0);
/// assert!(stemwise_answer::saturation("R-134a", "200 C", sea_level).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn saturation(fluid: &str, at: &str, atmosphere: Pressure) -> Result<wire::SaturationAnswer, Error> {
    let substance = Substance::named(fluid).map_err(SaturationError::Thermo)?;
    Ok(row(&substance, point("at", at, atmosphere)?, atmosphere)?)
}

/// Saturation in even steps, both ends included where the step meets them.
///
/// # Errors
/// [`Error::Typed`] or [`Error::Saturation`].
///
/// ```
/// use stemwise_answer::{TableAsk, saturation_table};
/// let ask = |step: &str| TableAsk { from: "0 C".into(), to: "20 C".into(), step: step.into() };
/// let sea_level = stemwise_units::Pressure::from_pa(101_325.0);
/// assert_eq!(saturation_table("R-290", &ask("5 K"), sea_level)?.rows.len(), 5);
/// assert!(saturation_table("R-290", &ask("0 K"), sea_level).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn saturation_table(
    fluid: &str,
    ask: &TableAsk,
    atmosphere: Pressure,
) -> Result<wire::SaturationTable, Error> {
    let substance = Substance::named(fluid).map_err(SaturationError::Thermo)?;
    let (from, to) = (point("from", &ask.from, atmosphere)?, point("to", &ask.to, atmosphere)?);
    let (start, end, step) = match (from, to) {
        (Point::Temperature(from), Point::Temperature(to)) => {
            let step = TemperatureDifference::parse(&ask.step).map_err(Error::typed("step"))?;
            (from.as_k(), to.as_k(), step.as_k())
        }
        (Point::Pressure(from), Point::Pressure(to)) => {
            let step = PressureDifference::parse(&ask.step).map_err(Error::typed("step"))?;
            (from.as_pa(), to.as_pa(), step.as_pa())
        }
        _ => return Err(SaturationError::Mixed { what: "the end" }.into()),
    };
    let at = |value| match from {
        Point::Temperature(_) => Point::Temperature(Temperature::from_k(value)),
        Point::Pressure(_) => Point::Pressure(Pressure::from_pa(value)),
    };
    let rows = steps(start, end, step)?.into_iter().map(|value| row(&substance, at(value), atmosphere));
    Ok(wire::SaturationTable { rows: rows.collect::<Result<_, _>>()? })
}

/// From one end to the other, up or down.
fn steps(start: f64, end: f64, step: f64) -> Result<Vec<f64>, SaturationError> {
    if step.is_nan() || step <= 0.0 {
        return Err(SaturationError::Step);
    }
    let count = ((end - start).abs() / step + 1e-9).floor();
    if count.is_nan() || count >= f64::from(MOST_ROWS) {
        return Err(SaturationError::TooManyRows);
    }
    let signed = if end < start { -step } else { step };
    Ok((0..=count as u32).map(|n| start + f64::from(n) * signed).collect())
}

/// Reads a temperature or a pressure, whichever the unit says.
pub(crate) fn point(what: &str, typed: &str, atmosphere: Pressure) -> Result<Point, Error> {
    let pressure = match TypedPressure::parse(typed) {
        Ok(pressure) => pressure,
        Err(ParseError::MissingUnit { number, .. }) => return Err(SaturationError::NoUnit { number }.into()),
        Err(ParseError::WrongQuantity { got: "a temperature", .. }) => return temperature(what, typed),
        Err(other) => {
            return temperature(what, typed).map_err(|_| Error::Typed { what: what.into(), error: other });
        }
    };
    pressure.existing(atmosphere).map(Point::Pressure).map_err(Error::typed(what))
}

fn temperature(what: &str, typed: &str) -> Result<Point, Error> {
    Temperature::parse(typed).map(Point::Temperature).map_err(Error::typed(what))
}

fn row(
    substance: &Substance,
    at: Point,
    atmosphere: Pressure,
) -> Result<wire::SaturationAnswer, SaturationError> {
    let BubbleDew { bubble, dew } = match at {
        Point::Temperature(temperature) => substance.saturation_at(temperature)?,
        Point::Pressure(pressure) => substance.saturation_at_pressure(pressure)?,
    };
    Ok(wire::SaturationAnswer {
        fluid: substance.name(),
        bubble_k: bubble.temperature().as_k(),
        dew_k: dew.temperature().as_k(),
        pressure_pa: bubble.pressure().as_pa(),
        pressure_gauge_pa: bubble.pressure().gauge(atmosphere).as_pa(),
        dew_pressure_pa: dew.pressure().as_pa(),
        dew_pressure_gauge_pa: dew.pressure().gauge(atmosphere).as_pa(),
        rho_l: bubble.density().as_kg_per_m3(),
        rho_v: dew.density().as_kg_per_m3(),
        h_l: bubble.enthalpy().as_j_per_kg(),
        h_v: dew.enthalpy().as_j_per_kg(),
        model: substance.model(),
        estimated: estimated(substance),
    })
}
