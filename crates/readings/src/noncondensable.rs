//! Air in the system: the pressure of a standing system against the temperature of its liquid.

use stemwise_thermo::{Fill, Substance, Vessel};
use stemwise_units::{Mass, Temperature, Volume};

use crate::leak::{AIR, GAS_CONSTANT};
use crate::uncertain::{Input, Uncertain, propagate, rectangular};
use crate::vacuum::Seen;

/// So far the saturation temperature may lie above the liquid's: more is air. NAVEDTRA 14075, 5 °F; K.
pub const AIR_LIMIT: f64 = 5.0 / 1.8;

/// A standing system.
#[derive(Debug)]
pub struct AirAsk<'a> {
    /// The refrigerant.
    pub substance: &'a Substance,
    /// Absolute pressure, Pa.
    pub pressure: Input,
    /// The liquid's temperature: of the condenser, once it no longer changes, K.
    pub temperature: Input,
    /// The room above the liquid, where it is known.
    pub gas_volume: Option<Volume>,
    /// All of the volume and the charge, where they are known: what stands over a blend depends on how much is liquid.
    pub inside: Option<(Volume, Mass)>,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct AirFound {
    /// Saturation temperature at the pressure, K.
    pub saturation: Uncertain,
    /// By how much it lies above the liquid's temperature, K.
    pub over: Uncertain,
    /// The pressure that the refrigerant alone would have, Pa.
    pub own: Uncertain,
    /// What is over it, Pa.
    pub partial: Uncertain,
    /// Air, by mass, kg; where the room above the liquid is known.
    pub air: Option<Uncertain>,
    /// Whether there is air.
    pub there: Seen,
    /// The pressure lies below what liquid would have: there is no liquid there, the temperature is another's, or it is another refrigerant.
    pub below: bool,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AirError {
    /// No saturation there.
    #[error(
        "the refrigerant has no liquid at {kelvin:.1} K and {pascal:.0} Pa absolute: air can't be told from it there"
    )]
    NoLiquid {
        /// K.
        kelvin: f64,
        /// Pa.
        pascal: f64,
    },
}

impl AirAsk<'_> {
    /// Compares.
    ///
    /// # Errors
    /// [`AirError`].
    ///
    /// ```
    /// use stemwise_readings::{AirAsk, Input, Seen};
    /// use stemwise_thermo::Substance;
    /// let fluid = Substance::named("R-134a")?;
    /// let at = |bar: f64| AirAsk { substance: &fluid, pressure: Input::new("gauge", bar * 1e5, 3e3), temperature: Input::new("condenser", 298.15, 0.3),
    ///     gas_volume: None, inside: None };
    /// assert_eq!(at(6.66).judge().unwrap().there, Seen::No); // R-134a stands at 6.65 bar at 25 °C
    /// assert_eq!(at(8.0).judge().unwrap().there, Seen::Yes);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn judge(&self) -> Result<AirFound, AirError> {
        let none = || AirError::NoLiquid { kelvin: self.temperature.value, pascal: self.pressure.value };
        let data = if self.substance.mixture().is_some() { 0.005 } else { 0.001 };
        let inputs = [
            self.pressure.clone(),
            self.temperature.clone(),
            Input::new("refrigerant data", 0.0, rectangular(data)),
            Input::new("how much is liquid", 0.5, self.liquid_doubt()),
        ];
        let own = |x: &[f64]| {
            self.own(x.get(1).copied()?, x.get(3).copied()?)
                .map(|p| p * (1.0 + x.get(2).copied().unwrap_or(0.0)))
        };
        let saturation = |x: &[f64]| {
            self.temperature_at(
                x.first().copied()? / (1.0 + x.get(2)?),
                x.get(3).copied()?,
                x.get(1).copied()?,
            )
        };
        let over = propagate(&inputs, |x| Some(saturation(x)? - x.get(1)?)).ok_or_else(none)?;
        let partial = propagate(&inputs, |x| Some(x.first()? - own(x)?)).ok_or_else(none)?;
        let air = self.gas_volume.and_then(|volume| {
            let factor = volume.as_m3() * AIR / (GAS_CONSTANT * self.temperature.value);
            propagate(&inputs, |x| Some((x.first()? - own(x)?) * factor))
        });
        let there = if over.above(AIR_LIMIT) > 0.95 {
            Seen::Yes
        } else if over.above(AIR_LIMIT) < 0.05 {
            Seen::No
        } else {
            Seen::CantTell
        };
        Ok(AirFound {
            saturation: propagate(&inputs, saturation).ok_or_else(none)?,
            own: propagate(&inputs, own).ok_or_else(none)?,
            below: over.value < 0.0 && over.above(0.0) < 0.025,
            over,
            partial,
            air,
            there,
        })
    }

    /// Over a blend of unknown fill the pressure lies a little below the bubble point's: from there to a third of the way to the dew point's.
    fn liquid_doubt(&self) -> f64 {
        if self.substance.mixture().is_some() && self.inside.is_none() { rectangular(0.5) } else { 0.0 }
    }

    /// The refrigerant's own pressure, Pa; `part` from 0 to 1 along that doubt.
    fn own(&self, kelvin: f64, part: f64) -> Option<f64> {
        let saturation = self.substance.saturation_raw(kelvin).ok()?;
        if self.substance.mixture().is_none() {
            return Some(saturation.bubble);
        }
        if let Some((volume, charge)) = self.inside {
            let vessel =
                Vessel::new(self.substance, Temperature::from_k(kelvin), Fill::VolumeMass(volume, charge))
                    .ok()?;
            return vessel.content().ok().map(|content| content.pressure.as_pa());
        }
        Some(saturation.bubble - part.clamp(0.0, 1.0) * (saturation.bubble - saturation.dew) / 3.0)
    }

    /// The temperature at which the refrigerant alone has a pressure, K.
    fn temperature_at(&self, pascal: f64, part: f64, near: f64) -> Option<f64> {
        let (mut t, mut step) = (near, 0.5);
        for _ in 0..30 {
            let (here, there) = (self.own(t, part)?, self.own(t + step, part)?);
            let next =
                t + (libm::log(pascal) - libm::log(here)) * step / (libm::log(there) - libm::log(here));
            if !next.is_finite() {
                return None;
            }
            let moved = next - t;
            t = next;
            step = moved.abs().clamp(1e-3, 0.5);
            if moved.abs() < 1e-7 {
                break;
            }
        }
        Some(t)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask<'a>(substance: &'a Substance, bar: f64, celsius: f64) -> AirAsk<'a> {
        AirAsk {
            substance,
            pressure: Input::new("gauge", bar * 1e5, 5e3),
            temperature: Input::new("condenser", 273.15 + celsius, 0.3),
            gas_volume: Some(Volume::from_l(4.0)),
            inside: None,
        }
    }

    #[test]
    fn amount_by_partial_pressure() {
        // R-22 at 20 °C stands at 9.1002 bar (facts.md, section 6); 1 bar of air in 4 L at 20 °C: 4.755 g by the ideal gas.
        let r22 = Substance::named("R-22").unwrap();
        let found = ask(&r22, 10.1002, 20.0).judge().unwrap();
        assert!((found.partial.value - 1e5).abs() < 50.0, "{}", found.partial.value);
        let grams = 1e3 * found.air.unwrap().value;
        assert!((grams - 1e5 * 0.004 * 0.028_964_4 / (8.314_462_6 * 293.15) * 1e3).abs() < 0.01, "{grams}");
        assert_eq!(found.there, Seen::Yes);
        // 3 K (5 °F) is the line: at 2.5 K over these instruments can't tell.
        let at = |kelvin_over: f64| {
            let bar = r22.saturation_raw(293.15 + kelvin_over).unwrap().bubble / 1e5;
            ask(&r22, bar, 20.0).judge().unwrap().there
        };
        assert_eq!((at(0.5), at(2.7), at(5.0)), (Seen::No, Seen::CantTell, Seen::Yes));
        assert!(ask(&r22, 8.0, 20.0).judge().unwrap().below);
    }

    #[test]
    fn a_blends_fill_is_doubt() {
        let r407c = Substance::named("R-407C").unwrap();
        // facts.md, section 6: 20 °C bubble 10.3755, dew 8.8029 bar.
        let open = ask(&r407c, 10.2, 20.0).judge().unwrap();
        let known =
            AirAsk { inside: Some((Volume::from_l(6.0), Mass::from_kg(3.0))), ..ask(&r407c, 10.2, 20.0) }
                .judge()
                .unwrap();
        assert!(open.own.standard > 1.5 * known.own.standard);
        assert!(known.own.value < 10.3755e5 && known.own.value > 9.9e5, "{}", known.own.value);
        assert_eq!((open.there, known.there), (Seen::No, Seen::No));
    }
}
