//! The refrigerant's properties as settling needs them: few temperatures occur, so each saturation is solved once.

use std::cell::RefCell;
use std::collections::BTreeMap;

use stemwise_thermo::{Error, Substance};
use stemwise_units::Pressure;

/// Saturation at one temperature, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sat {
    /// Pressure where there is liquid, Pa.
    pub(crate) p: f64,
    /// Density of the liquid, kg/m³.
    pub(crate) liquid: f64,
    /// Density of the vapour above it, kg/m³.
    pub(crate) vapour: f64,
    /// Up to this pressure it is vapour alone by the model, Pa; of a pure fluid the same as `p`.
    pub(crate) dew: f64,
    /// The density there, kg/m³.
    at_dew: f64,
}

/// A refrigerant with the saturation points that were needed so far.
///
/// A blend keeps its composition wherever it is: where there is liquid, the pressure is that of its bubble point, the highest it can have, and
/// between dew and bubble point the vapour's density is taken in proportion to the pressure.
#[derive(Debug)]
pub struct Refrigerant {
    substance: Substance,
    cache: RefCell<BTreeMap<u64, Option<Sat>>>,
}

impl Refrigerant {
    /// By name.
    ///
    /// # Errors
    /// [`Error::UnknownFluid`].
    pub fn named(name: &str) -> Result<Self, Error> {
        Ok(Self { substance: Substance::named(name)?, cache: RefCell::new(BTreeMap::new()) })
    }

    /// The substance itself.
    pub const fn substance(&self) -> &Substance {
        &self.substance
    }

    /// Saturation at a temperature; none above the critical or below the lowest one.
    pub(crate) fn sat(&self, kelvin: f64) -> Option<Sat> {
        if let Some(found) = self.cache.borrow().get(&kelvin.to_bits()) {
            return *found;
        }
        let found = self.substance.saturation_raw(kelvin).ok().map(|at| Sat {
            p: at.bubble,
            liquid: at.liquid,
            vapour: at.vapour * at.bubble / at.dew,
            dew: at.dew,
            at_dew: at.vapour,
        });
        self.cache.borrow_mut().insert(kelvin.to_bits(), found);
        found
    }

    /// The temperature at which liquid has a pressure.
    pub(crate) fn boiling_at(&self, pascal: f64) -> Option<f64> {
        let found = self.substance.saturation_at_pressure(Pressure::from_pa(pascal)).ok()?;
        Some(found.bubble.temperature().as_k())
    }

    /// Density below saturation pressure (or of the single phase above the critical temperature), kg/m³.
    pub(crate) fn thin(&self, kelvin: f64, pascal: f64) -> f64 {
        let ideal = pascal * self.substance.molar_mass_kg_per_mol() / (GAS_CONSTANT * kelvin);
        // Below a thousandth of an atmosphere the ideal gas is good to 1e-5.
        if pascal < 100.0 {
            return ideal.max(0.0);
        }
        let found = match self.sat(kelvin) {
            Some(sat) if pascal >= sat.p => Some(sat.vapour),
            Some(sat) if pascal >= sat.dew => Some(sat.at_dew * pascal / sat.dew),
            Some(sat) => self.substance.vapour_density_raw(kelvin, pascal, sat.at_dew),
            None => self.substance.density_kg_per_m3(kelvin, pascal).ok(),
        };
        found.unwrap_or(ideal)
    }

    /// Pressure of a vapour of a density, no denser than saturated, Pa: the way back from [`Refrigerant::thin`].
    pub(crate) fn pressure_of_thin(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        let ideal = kg_per_m3 * GAS_CONSTANT * kelvin / self.substance.molar_mass_kg_per_mol();
        if ideal < 100.0 {
            return ideal.max(0.0);
        }
        match self.sat(kelvin) {
            Some(sat) if kg_per_m3 >= sat.at_dew => (kg_per_m3 * sat.dew / sat.at_dew).min(sat.p),
            _ => self.substance.pressure_pa(kelvin, kg_per_m3),
        }
    }

    /// Density at or above saturation pressure, kg/m³.
    pub(crate) fn dense(&self, kelvin: f64, pascal: f64) -> f64 {
        match self.sat(kelvin) {
            Some(sat) if pascal <= sat.p => sat.liquid,
            Some(sat) => self.substance.liquid_density_raw(kelvin, pascal, sat.liquid).unwrap_or(sat.liquid),
            None => self.thin(kelvin, pascal),
        }
    }

    /// Pressure of a space that holds liquid only, Pa.
    pub(crate) fn liquid_full_pressure(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        self.substance.pressure_pa(kelvin, kg_per_m3)
    }
}

/// J/(mol K); CODATA 2018.
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar mass of dry air, kg/mol (US Standard Atmosphere 1976).
pub(crate) const AIR: f64 = 0.028_964_4;
/// Molar mass of nitrogen, kg/mol.
pub(crate) const NITROGEN: f64 = 0.028_013_4;

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
mod tests {
    use super::Refrigerant;

    /// There and back: the pressure of a density is the one at which a vapour has that density, thin, saturated, between dew and bubble point of a
    /// blend, and above the critical temperature.
    #[test]
    fn the_pressure_of_a_thin_vapour_is_the_way_back_from_its_density() {
        let mut checked = 0;
        for name in ["R-134a", "R-290", "R-744", "R-404A", "R-407C"] {
            let refrigerant = Refrigerant::named(name).unwrap();
            for kelvin in [243.15, 273.15, 303.15, 323.15] {
                let most = refrigerant.sat(kelvin).map_or(200.0, |sat| sat.vapour);
                for part in [1e-7, 1e-4, 0.01, 0.3, 0.8, 0.97, 0.999] {
                    let density = part * most;
                    let pressure = refrigerant.pressure_of_thin(kelvin, density);
                    let back = refrigerant.thin(kelvin, pressure);
                    // Where the ideal gas takes over, it is good to 1e-5.
                    let near = if pressure < 150.0 { 2e-5 } else { 1e-9 };
                    assert!(
                        (back / density - 1.0).abs() < near,
                        "{name} {kelvin} {part}: {back} of {density}"
                    );
                    checked += 1;
                }
            }
        }
        assert_eq!(checked, 140);
    }
}
