//! What was read off an instrument: as it was typed, and the value that was understood.

use stemwise_units::{Mass, ParseError, Pressure, Temperature, TypedPressure};

/// What kind of quantity was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A pressure or a vacuum.
    Pressure,
    /// A temperature.
    Temperature,
    /// A mass.
    Mass,
    /// Anything else ("12.4 A", "clear"): kept as it was typed.
    Other,
}

/// A value that was understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// Absolute.
    Pressure(Pressure),
    /// A temperature.
    Temperature(Temperature),
    /// A mass.
    Mass(Mass),
    /// Kept as it was typed.
    Other,
}

/// A measured value.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// As typed: "68 psig".
    pub typed: String,
    /// What was understood, at the site's atmosphere.
    pub value: Value,
}

/// What was typed can't be taken.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MeasuredError {
    /// Not understood.
    #[error(transparent)]
    NotUnderstood(#[from] ParseError),
    /// Too long to be a reading.
    #[error("{length} characters are too long for a reading; at most {most}; put the rest into a note")]
    TooLong {
        /// How long it is.
        length: usize,
        /// How long it may be.
        most: usize,
    },
}

/// Nothing longer is a reading.
const LONGEST: usize = 80;

impl Measured {
    /// Reads what was typed; pressures are gauge, at this atmosphere, unless their unit says absolute.
    ///
    /// # Errors
    /// [`MeasuredError`], which says what was understood.
    ///
    /// ```
    /// use stemwise_record::{Kind, Measured, Value};
    /// use stemwise_units::Pressure;
    /// let denver = Pressure::from_kpa(83.4);
    /// let read = Measured::parse(Kind::Pressure, "68 psig", denver)?;
    /// let Value::Pressure(pressure) = read.value else { unreachable!() };
    /// assert!((pressure.as_kpa() - (83.4 + 68.0 * 6.894757)).abs() < 0.01);
    /// assert!(Measured::parse(Kind::Pressure, "68 kg", denver).unwrap_err().to_string().contains("a mass"));
    /// # Ok::<(), stemwise_record::MeasuredError>(())
    /// ```
    pub fn parse(kind: Kind, typed: &str, atmosphere: Pressure) -> Result<Self, MeasuredError> {
        let typed = typed.trim();
        let length = typed.chars().count();
        if length > LONGEST {
            return Err(MeasuredError::TooLong { length, most: LONGEST });
        }
        let value = match kind {
            Kind::Pressure => Value::Pressure(TypedPressure::parse(typed)?.existing(atmosphere)?),
            Kind::Temperature => Value::Temperature(Temperature::parse(typed)?),
            Kind::Mass => Value::Mass(Mass::parse(typed)?),
            Kind::Other if typed.is_empty() => return Err(ParseError::Empty.into()),
            Kind::Other => Value::Other,
        };
        Ok(Self { typed: typed.into(), value })
    }
}

impl Value {
    /// What kind it is.
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Pressure(_) => Kind::Pressure,
            Self::Temperature(_) => Kind::Temperature,
            Self::Mass(_) => Kind::Mass,
            Self::Other => Kind::Other,
        }
    }

    /// As a pressure, if it is one.
    pub const fn pressure(&self) -> Option<Pressure> {
        match self {
            Self::Pressure(pressure) => Some(*pressure),
            _ => None,
        }
    }

    /// As a temperature, if it is one.
    pub const fn temperature(&self) -> Option<Temperature> {
        match self {
            Self::Temperature(temperature) => Some(*temperature),
            _ => None,
        }
    }

    /// As a mass, if it is one.
    pub const fn mass(&self) -> Option<Mass> {
        match self {
            Self::Mass(mass) => Some(*mass),
            _ => None,
        }
    }
}
