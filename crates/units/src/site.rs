//! The atmosphere at a site: what a gauge calls zero.

use crate::{Length, ParseError, Pressure};

/// The atmosphere's pressure at an altitude: US Standard Atmosphere 1976, troposphere,
/// `p = 101325 (1 - 2.25577e-5 h)^5.25588`, h in metres, from -500 to 11000.
///
/// # Errors
/// [`ParseError::AltitudeOutOfRange`] outside that range.
///
/// ```
/// use stemwise_units::{Length, atmosphere_at};
/// assert!((atmosphere_at(Length::from_ft(5000.0))?.as_psi() - 12.23).abs() < 0.01);
/// assert!(atmosphere_at(Length::from_m(20_000.0)).is_err());
/// # Ok::<(), stemwise_units::ParseError>(())
/// ```
pub fn atmosphere_at(altitude: Length) -> Result<Pressure, ParseError> {
    let metres = altitude.as_m();
    if !(-500.0..=11_000.0).contains(&metres) {
        return Err(ParseError::AltitudeOutOfRange { metres });
    }
    // T0 = 288.15 K, lapse rate 6.5 K/km, g0 = 9.80665 m/s², M = 28.9644 g/mol, R* = 8.31432 J/(mol K).
    let ratio = 1.0 - 0.0065 * metres / 288.15;
    let exponent = 9.806_65 * 0.028_964_4 / (8.314_32 * 0.0065);
    Ok(Pressure::from_pa(101_325.0 * libm::pow(ratio, exponent)))
}
