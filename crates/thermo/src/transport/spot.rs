//! One phase of a fluid at a temperature and a density, with what the formulas need.

use crate::eos::{Eos, Props};
use crate::kernel::Alpha;

/// A place on the surface of state; density in mol/m³.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot<'a> {
    pub(super) eos: &'a Eos,
    pub(super) t: f64,
    pub(super) rho: f64,
    pub(super) residual: Alpha,
}

impl<'a> Spot<'a> {
    pub(super) fn new(eos: &'a Eos, t: f64, rho: f64) -> Self {
        let residual =
            eos.equation().residual(rho / eos.data.reducing_density, eos.data.reducing_temperature / t);
        Self { eos, t, rho, residual }
    }

    /// Reduced density of the equation of state.
    pub(super) fn delta(&self) -> f64 {
        self.rho / self.eos.data.reducing_density
    }
    /// Inverse reduced temperature of the equation of state.
    pub(super) fn tau(&self) -> f64 {
        self.eos.data.reducing_temperature / self.t
    }
    /// kg/m³.
    pub(super) fn mass_density(&self) -> f64 {
        self.rho * self.eos.data.molar_mass
    }
    /// g/mol.
    pub(super) fn grams_per_mol(&self) -> f64 {
        self.eos.data.molar_mass * 1000.0
    }
    pub(super) fn props(&self) -> Props {
        self.eos.props(self.t, self.rho)
    }
    /// Density times residual entropy, J/(m³ K).
    pub(super) fn residual_entropy(&self) -> f64 {
        self.rho * self.eos.data.gas_constant * (self.residual.t - self.residual.a)
    }
    /// Heat capacity of the ideal gas at constant pressure, J/(mol K).
    pub(super) fn ideal_cp(&self) -> f64 {
        self.eos.data.gas_constant * (1.0 - self.eos.ideal(self.tau()).tt)
    }
    /// dp/drho at a temperature and this density, J/mol.
    pub(super) fn slope_at(&self, t: f64) -> f64 {
        self.eos.pressure(t, self.rho).1
    }
}

/// `sum a x^t`.
pub(super) fn series(a: &[f64], t: &[f64], x: f64) -> f64 {
    a.iter().zip(t).map(|(a, &t)| a * libm::pow(x, t)).sum()
}

/// `sum a x^i`.
pub(super) fn polynomial(a: &[f64], x: f64) -> f64 {
    a.iter().rev().fold(0.0, |sum, a| sum * x + a)
}
