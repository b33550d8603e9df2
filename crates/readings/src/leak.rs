//! What a leak that one gas showed lets through of another.

use stemwise_thermo::{Fluid, Substance, transport};
use stemwise_units::{Density, MassFlow, Temperature};

/// J/(mol K); CODATA 2018.
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar mass of dry air, kg/mol (US Standard Atmosphere 1976).
pub(crate) const AIR: f64 = 0.028_964_4;
/// Viscosity of air or nitrogen at 20 °C, Pa s.
pub(crate) const AIR_VISCOSITY: f64 = 1.82e-5;
/// Where leak rates are reckoned, K.
pub(crate) const ROOM: f64 = 293.15;

/// What a leak gives of the refrigerant as it stands, by the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefrigerantLeak {
    /// If the gas creeps through in layers, as through any leak that a service test can see.
    pub laminar: MassFlow,
    /// If its molecules fly freely, as through the very finest.
    pub molecular: MassFlow,
    /// The absolute pressure of the refrigerant that it is worked out for, Pa: at rest at 20 °C.
    pub pressure: f64,
}

/// Turns a leak rate into the refrigerant's: laminar flow goes with the difference of the pressures' squares and against the viscosity
/// (Poiseuille's law for a gas), molecular flow with the pressure and against the root of the molar mass (Knudsen); the same for both gases
/// is the channel alone. Vacuum textbooks and EN 1779 convert so (from memory).
///
/// `flow` is the leak rate, Pa m³/s at 20 °C, from `inside` to `outside` (absolute pressures, Pa; the larger drives).
pub(crate) fn of_refrigerant(
    substance: &Substance,
    flow: f64,
    inside: f64,
    outside: f64,
    gas_molar: f64,
) -> Option<RefrigerantLeak> {
    let at = Temperature::from_k(ROOM.min(substance.critical_temperature().as_k() - 5.0));
    let saturation = substance.saturation_raw(at.as_k()).ok()?;
    let (pressure, density) = (saturation.dew, saturation.vapour);
    let viscosity = vapour_viscosity(substance, at, density)?;
    let atmosphere = 101_325.0;
    let molar = substance.molar_mass_kg_per_mol();
    let squares = (inside * inside - outside * outside).abs();
    let laminar =
        flow * (pressure * pressure - atmosphere * atmosphere).max(0.0) / squares * AIR_VISCOSITY / viscosity;
    let molecular =
        flow * (pressure - atmosphere).max(0.0) / (inside - outside).abs() * (gas_molar / molar).sqrt();
    // A vapour near saturation is denser than an ideal gas; what leaves is a gas at the atmosphere's pressure.
    let mass = |flow: f64| MassFlow::from_kg_per_s(flow * molar / (GAS_CONSTANT * ROOM));
    Some(RefrigerantLeak { laminar: mass(laminar), molecular: mass(molecular), pressure })
}

fn vapour_viscosity(substance: &Substance, at: Temperature, density: f64) -> Option<f64> {
    let density = Density::from_kg_per_m3(density * 0.999);
    let found = match substance {
        Substance::Pure(fluid) => transport::viscosity(fluid, at, density).ok(),
        _ => transport::mixture_viscosity(substance.mixture()?, at, density).ok(),
    };
    found.map(|it| it.value.as_pa_s())
}

/// Nitrogen by its equation of state.
pub(crate) fn nitrogen() -> Option<&'static Fluid> {
    Fluid::named("nitrogen").ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_through_the_same_leak_gives_itself_back() {
        // With nitrogen-like pressure and the same gas both ways the rate stays: R-134a stands at 5.717 bar at 20 °C (facts.md, section 6).
        let fluid = Substance::named("R-134a").unwrap();
        let leak = of_refrigerant(&fluid, 1e-5, 571_710.0, 101_325.0, AIR).unwrap();
        assert!((leak.pressure - 571_710.0).abs() < 50.0);
        let laminar = leak.laminar.as_kg_per_s() * GAS_CONSTANT * ROOM / 0.102_032;
        // Viscosity of the vapour at 20 °C 11.5 µPa s (REFPROP correlations, from memory): about 1.6 times as much as air.
        assert!((laminar / 1e-5 - 1.59).abs() < 0.05, "{laminar}");
        let molecular = leak.molecular.as_kg_per_s() * GAS_CONSTANT * ROOM / 0.102_032;
        assert!((molecular / 1e-5 - (0.028_964_4_f64 / 0.102_032).sqrt()).abs() < 0.003, "{molecular}");
    }
}
