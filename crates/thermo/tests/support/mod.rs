//! What the tests of curves share.

pub(crate) mod random;

use random::Random;
use stemwise_thermo::{Error, Fluid, Given, RawState};
use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

/// Curves against the full solve: the worst relative gaps of pressure and densities at `count` temperatures, half of them close to the top.
pub(crate) fn worst_gaps(fluid: &Fluid, count: usize) -> [f64; 3] {
    let (low, high) = (fluid.lowest_temperature().as_k(), fluid.curve_facts().unwrap().0);
    let mut worst = [0.0f64; 3];
    let mut compared = 0;
    for n in 0..count {
        let part = (n as f64 + 0.5) / count as f64;
        let t = if n % 2 == 0 {
            low + (high - low) * part
        } else {
            high - (high - low) * libm::exp(-12.0 * part)
        };
        let curve = fluid.saturation_raw(t).unwrap();
        // The full solve itself gives up at a few temperatures next to the critical point.
        let Ok(full) = fluid.solve_saturation_raw(t) else { continue };
        compared += 1;
        let gaps = [curve.0 / full.0, curve.1 / full.1, curve.2 / full.2];
        for (worst, ratio) in worst.iter_mut().zip(gaps) {
            *worst = worst.max((ratio - 1.0).abs());
        }
    }
    assert!(compared * 100 > count * 98, "{}: only {compared} of {count} compared", fluid.name());
    worst
}

/// A state in one phase: anywhere, or close to the critical point.
pub(crate) fn random_state(fluid: &Fluid, random: &mut Random, close: bool) -> Result<RawState, Error> {
    let (tc, pc) = (fluid.critical_temperature().as_k(), fluid.critical_pressure().as_pa());
    let low = fluid.lowest_temperature().as_k();
    let (t, p) = if close {
        (tc * (0.95 + 0.1 * random.next()), pc * (0.8 + 0.6 * random.next()))
    } else {
        (low + random.next() * (1.3 * tc - low), pc * libm::exp(-7.0 + 8.5 * random.next()))
    };
    fluid.raw_state(Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p)))
}

/// The same state again from every other pair of its values.
#[track_caller]
pub(crate) fn comes_back(fluid: &Fluid, state: &RawState) {
    let (p, rho) = (Pressure::from_pa(state.p), Density::from_kg_per_m3(state.rho));
    let u = SpecificEnergy::from_j_per_kg(state.u);
    let pairs = [
        Given::TemperatureDensity(Temperature::from_k(state.t), rho),
        Given::PressureEnthalpy(p, SpecificEnergy::from_j_per_kg(state.h)),
        Given::PressureEntropy(p, SpecificHeat::from_j_per_kg_k(state.s)),
        Given::PressureEnergy(p, u),
        Given::DensityEnergy(rho, u),
    ];
    for given in pairs {
        let again =
            fluid.raw_state(given).unwrap_or_else(|e| panic!("{} {state:?} {given:?}: {e}", fluid.name()));
        // Next to the critical point a temperature moves an enthalpy hardly at all: what must agree is what was given.
        let cp = state.cp.unwrap_or(1000.0).clamp(500.0, 1e5);
        let same = (again.h - state.h).abs() <= 1e-9 * state.h.abs().max(1e5)
            && (again.t - state.t).abs() <= 1e-7 * state.t
            && (again.rho / state.rho - 1.0).abs() <= 1e-7 * cp / 1000.0;
        assert!(same, "{} {state:?} {given:?}: {again:?}", fluid.name());
    }
}
