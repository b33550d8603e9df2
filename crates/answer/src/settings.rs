//! What a user has set: units, and the site where gauges read zero.

use serde::Deserialize;
use stemwise_units::{Length, ParseError, Pressure, TypedPressure, UnitSystem, atmosphere_at};

/// What can be wrong with a settings file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SettingsError {
    /// Not UTF-8.
    #[error("it is not text (UTF-8)")]
    NotText,
    /// Not TOML, or an unknown key.
    #[error("line {line}, column {column}: {say}")]
    Syntax {
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
        /// What is wrong.
        say: String,
    },
    /// A key's value was not understood.
    #[error("{key}: {error}")]
    Value {
        /// The key.
        key: &'static str,
        /// What is wrong.
        error: ParseError,
    },
    /// Units of no system.
    #[error("units: \"{typed}\" is not a system of units; write \"si\" or \"ip\"")]
    Units {
        /// What was typed.
        typed: String,
    },
    /// Both say where gauges read zero.
    #[error("altitude and barometer both say where gauges read zero; keep one")]
    BothAltitudeAndBarometer,
}

/// A user's settings.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Settings {
    /// The units to print in.
    pub units: Option<UnitSystem>,
    /// The atmosphere's pressure at the site.
    pub atmosphere: Option<Pressure>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    units: Option<String>,
    altitude: Option<String>,
    barometer: Option<String>,
}

impl Settings {
    /// Reads a settings file: TOML with `units`, and `altitude` or `barometer`.
    ///
    /// # Errors
    /// [`SettingsError`] with the place.
    ///
    /// ```
    /// use stemwise_answer::Settings;
    /// let settings = Settings::read(b"units = \"ip\"\naltitude = \"5000 ft\"\n")?;
    /// assert!((settings.atmosphere.unwrap().as_psi() - 12.23).abs() < 0.01);
    /// assert!(Settings::read(b"unit = 1").is_err());
    /// # Ok::<(), stemwise_answer::SettingsError>(())
    /// ```
    pub fn read(file: &[u8]) -> Result<Self, SettingsError> {
        let text = core::str::from_utf8(file).map_err(|_| SettingsError::NotText)?;
        let file: File = toml::from_str(text).map_err(|error| syntax(text, &error))?;
        let units = file.units.as_deref().map(units).transpose()?;
        Ok(Self { units, atmosphere: atmosphere(file.altitude.as_deref(), file.barometer.as_deref())? })
    }
}

fn syntax(text: &str, error: &toml::de::Error) -> SettingsError {
    let at = error.span().map_or(0, |span| span.start);
    let before = text.get(..at).unwrap_or("");
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    SettingsError::Syntax {
        line: before.matches('\n').count() + 1,
        column: before.get(line_start..).map_or(0, |part| part.chars().count()) + 1,
        say: error.message().lines().collect::<Vec<_>>().join("; "),
    }
}

/// "si" or "ip", in any case.
///
/// # Errors
/// [`SettingsError::Units`] for anything else.
pub fn units(typed: &str) -> Result<UnitSystem, SettingsError> {
    match typed.trim().to_ascii_lowercase().as_str() {
        "si" => Ok(UnitSystem::Si),
        "ip" => Ok(UnitSystem::Ip),
        _ => Err(SettingsError::Units { typed: typed.chars().take(40).collect() }),
    }
}

/// The atmosphere that an altitude or a barometer gives; a barometer shows absolute pressure whatever its unit says.
///
/// # Errors
/// [`SettingsError`] where one was not understood, or both are given.
pub fn atmosphere(
    altitude: Option<&str>,
    barometer: Option<&str>,
) -> Result<Option<Pressure>, SettingsError> {
    match (altitude, barometer) {
        (Some(_), Some(_)) => Err(SettingsError::BothAltitudeAndBarometer),
        (Some(typed), None) => Length::parse(typed)
            .and_then(atmosphere_at)
            .map(Some)
            .map_err(|error| SettingsError::Value { key: "altitude", error }),
        (None, Some(typed)) => barometer_pressure(typed)
            .map(Some)
            .map_err(|error| SettingsError::Value { key: "barometer", error }),
        (None, None) => Ok(None),
    }
}

fn barometer_pressure(typed: &str) -> Result<Pressure, ParseError> {
    TypedPressure::parse(typed)?.existing(Pressure::from_pa(0.0))
}
