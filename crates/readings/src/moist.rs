//! Moist air and water: what wet and dry bulb say, and at which pressure water boils or ice sublimes.

use stemwise_thermo::Fluid;

/// The triple point of water: K and Pa (IAPWS).
pub(crate) const TRIPLE_K: f64 = 273.16;
/// Pa.
pub(crate) const TRIPLE_PA: f64 = 611.657;
/// Molar mass of water, kg/mol.
pub(crate) const WATER: f64 = 0.018_015_268;

/// Pressure of water vapour over water, or below the triple point over ice, Pa; none above the critical point or below 50 K.
///
/// Ice: IAPWS R14-08(2011), equation 6. Water: the equation of state.
///
/// ```
/// use stemwise_readings::water_pressure;
/// use stemwise_units::Temperature;
/// let at = |celsius| water_pressure(Temperature::from_celsius(celsius)).unwrap().as_micron();
/// assert!((at(-24.5) - 500.0).abs() < 4.0 && (at(1.2) - 5000.0).abs() < 10.0);
/// ```
pub fn water_pressure(temperature: stemwise_units::Temperature) -> Option<stemwise_units::Pressure> {
    water_pa(temperature.as_k()).map(stemwise_units::Pressure::from_pa)
}

pub(crate) fn water_pa(kelvin: f64) -> Option<f64> {
    if !(50.0..=647.0).contains(&kelvin) {
        return None;
    }
    if kelvin >= TRIPLE_K {
        return Fluid::named("water").ok()?.saturation_raw(kelvin).ok().map(|(p, ..)| p);
    }
    let theta = kelvin / TRIPLE_K;
    let term = |a: f64, b: f64| a * libm::pow(theta, b);
    let sum = term(-21.214_400_6, 0.003_333_333_33)
        + term(27.320_381_9, 1.206_666_67)
        + term(-6.105_981_3, 1.703_333_33);
    Some(TRIPLE_PA * libm::exp(sum / theta))
}

/// Moist air by dry and wet bulb; per kilogram of dry air. ASHRAE Fundamentals, chapter "Psychrometrics", equations for the humidity ratio
/// from the wet bulb, enthalpy and volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct MoistAir {
    /// Enthalpy, J/kg.
    pub(crate) enthalpy: f64,
    /// Volume, m³/kg.
    pub(crate) volume: f64,
    /// Water, kg/kg.
    pub(crate) ratio: f64,
}

impl MoistAir {
    /// None where the bulbs don't belong together.
    pub(crate) fn by_bulbs(dry_k: f64, wet_k: f64, pascal: f64) -> Option<Self> {
        let (t, w) = (dry_k - 273.15, wet_k - 273.15);
        let saturated = water_pa(wet_k)?;
        if saturated >= pascal || w > t + 0.3 {
            return None;
        }
        let full = 0.621_945 * saturated / (pascal - saturated);
        let ratio = if w >= 0.0 {
            ((2501.0 - 2.326 * w) * full - 1.006 * (t - w)) / (2501.0 + 1.86 * t - 4.186 * w)
        } else {
            ((2830.0 - 0.24 * w) * full - 1.006 * (t - w)) / (2830.0 + 1.86 * t - 2.1 * w)
        };
        (ratio >= 0.0).then(|| Self::by_ratio(dry_k, ratio, pascal))
    }

    fn by_ratio(dry_k: f64, ratio: f64, pascal: f64) -> Self {
        let t = dry_k - 273.15;
        Self {
            enthalpy: 1e3 * (1.006 * t + ratio * (2501.0 + 1.86 * t)),
            volume: 287.042 * dry_k * (1.0 + 1.607_858 * ratio) / pascal,
            ratio,
        }
    }

    /// Dry air.
    pub(crate) fn dry(dry_k: f64, pascal: f64) -> Self {
        Self::by_ratio(dry_k, 0.0, pascal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_handbooks_example() {
        // ASHRAE Fundamentals (SI), psychrometrics, example 1, from memory: 40 °C, wet bulb 20 °C: W = 0.0065, h = 56.7 kJ/kg, v = 0.896 m³/kg.
        let air = MoistAir::by_bulbs(313.15, 293.15, 101_325.0).unwrap();
        assert!((air.ratio - 0.0065).abs() < 0.0001, "{air:?}");
        assert!((air.enthalpy - 56_700.0).abs() < 400.0 && (air.volume - 0.896).abs() < 0.001, "{air:?}");
        assert!(MoistAir::by_bulbs(293.15, 303.15, 101_325.0).is_none());
    }

    #[test]
    fn water_and_ice() {
        // facts.md 4.2 (IAPWS-95; ice R14-08): micron to °C.
        for (micron, celsius) in [
            (5000.0, 1.20),
            (2500.0, -7.2),
            (2000.0, -9.7),
            (1500.0, -12.9),
            (1000.0, -17.3),
            (750.0, -20.3),
            (500.0, -24.5),
            (300.0, -29.5),
            (200.0, -33.4),
            (100.0, -39.7),
            (50.0, -45.7),
        ] {
            let pa = water_pa(273.15 + celsius).unwrap();
            let step = water_pa(273.15 + celsius + 0.06).unwrap() - pa;
            assert!(
                (pa / 0.133_322 - micron).abs() < step / 0.133_322 + 1e-3 * micron,
                "{micron}: {}",
                pa / 0.133_322
            );
        }
        // torr, a public table: 20 °C 17.5424, 60 °C 149.50; within 0.05 %.
        for (celsius, torr) in
            [(0.01, 4.5851), (20.0, 17.5424), (30.0, 31.8439), (60.0, 149.50), (80.0, 355.33)]
        {
            assert!((water_pa(273.15 + celsius).unwrap() / 133.322 / torr - 1.0).abs() < 9e-4, "{celsius}");
        }
    }
}
