//! The refrigerant's properties as settling needs them: few temperatures occur, so each saturation is solved once.

use std::cell::RefCell;
use std::collections::BTreeMap;

use stemwise_thermo::{Error, Fluid};

/// Saturation at one temperature, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sat {
    /// Pressure, Pa.
    pub(crate) p: f64,
    /// Density of the liquid, kg/m³.
    pub(crate) liquid: f64,
    /// Density of the vapour, kg/m³.
    pub(crate) vapour: f64,
}

/// A refrigerant with the saturation points that were needed so far.
#[derive(Debug)]
pub struct Refrigerant {
    fluid: &'static Fluid,
    cache: RefCell<BTreeMap<u64, Option<Sat>>>,
}

impl Refrigerant {
    /// By name.
    ///
    /// # Errors
    /// [`Error::UnknownFluid`].
    pub fn named(name: &str) -> Result<Self, Error> {
        Ok(Self { fluid: Fluid::named(name)?, cache: RefCell::new(BTreeMap::new()) })
    }

    /// The fluid itself.
    pub const fn fluid(&self) -> &'static Fluid {
        self.fluid
    }

    /// Saturation at a temperature; none above the critical or below the lowest one.
    pub(crate) fn sat(&self, kelvin: f64) -> Option<Sat> {
        if let Some(found) = self.cache.borrow().get(&kelvin.to_bits()) {
            return *found;
        }
        let found =
            self.fluid.saturation_raw(kelvin).ok().map(|(p, liquid, vapour)| Sat { p, liquid, vapour });
        self.cache.borrow_mut().insert(kelvin.to_bits(), found);
        found
    }

    /// Density below saturation pressure (or of the single phase above the critical temperature), kg/m³.
    pub(crate) fn thin(&self, kelvin: f64, pascal: f64) -> f64 {
        let ideal = pascal * self.fluid.molar_mass_kg_per_mol() / (GAS_CONSTANT * kelvin);
        // Below a thousandth of an atmosphere the ideal gas is good to 1e-5.
        if pascal < 100.0 {
            return ideal.max(0.0);
        }
        let found = match self.sat(kelvin) {
            Some(sat) if pascal >= sat.p => Some(sat.vapour),
            Some(sat) => self.fluid.vapour_density_raw(kelvin, pascal, sat.vapour),
            None => self.fluid.density_kg_per_m3(kelvin, pascal).ok(),
        };
        found.unwrap_or(ideal)
    }

    /// Density at or above saturation pressure, kg/m³.
    pub(crate) fn dense(&self, kelvin: f64, pascal: f64) -> f64 {
        match self.sat(kelvin) {
            Some(sat) if pascal <= sat.p => sat.liquid,
            Some(sat) => self.fluid.liquid_density_raw(kelvin, pascal, sat.liquid).unwrap_or(sat.liquid),
            None => self.thin(kelvin, pascal),
        }
    }

    /// Pressure of a space that holds liquid only, Pa.
    pub(crate) fn liquid_full_pressure(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        self.fluid.pressure_pa(kelvin, kg_per_m3)
    }
}

/// J/(mol K); CODATA 2018.
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar mass of dry air, kg/mol (US Standard Atmosphere 1976).
pub(crate) const AIR: f64 = 0.028_964_4;
/// Molar mass of nitrogen, kg/mol.
pub(crate) const NITROGEN: f64 = 0.028_013_4;
