//! Thermodynamic identities of blends by differences of states, and equilibrium by differences of the Gibbs energy: none of it uses the solver's own
//! slopes.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_thermo::{Given, MassFractions, RawState, Substance};
use stemwise_units::{Density, Pressure, SpecificHeat, Temperature};

const BLENDS: [&str; 5] = ["R-410A", "R-407C", "R-454B", "R-455A", "R-448A"];

fn at(substance: &Substance, t: f64, rho: f64) -> RawState {
    let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
    substance.raw_state(given).unwrap()
}

/// A thin vapour, a dense one, a liquid, a hot dense fluid.
fn states(substance: &Substance) -> Vec<RawState> {
    let critical = substance.critical_temperature().as_k();
    let edge = |share: f64, q| {
        let given = Given::TemperatureQuality(Temperature::from_k(share * critical), q);
        substance.raw_state(given).unwrap().rho
    };
    vec![
        at(substance, 0.8 * critical, 0.3 * edge(0.8, 1.0)),
        at(substance, 0.9 * critical, 0.9 * edge(0.9, 1.0)),
        at(substance, 0.75 * critical, 1.02 * edge(0.75, 0.0)),
        at(substance, 1.15 * critical, 0.5 * edge(0.75, 0.0)),
    ]
}

#[track_caller]
fn same(what: &str, one: f64, other: f64, within: f64) {
    assert!((one / other - 1.0).abs() < within, "{what}: {one} and {other}");
}

#[test]
fn maxwell_and_the_speed_of_sound() {
    for name in BLENDS {
        let substance = Substance::named(name).unwrap();
        for state in states(&substance) {
            let (t, rho) = (state.t, state.rho);
            let (dt, dr) = (1e-3, 1e-5 * rho);
            let (hot, cold) = (at(&substance, t + dt, rho), at(&substance, t - dt, rho));
            let (dense, thin) = (at(&substance, t, rho + dr), at(&substance, t, rho - dr));
            let by_t = |of: fn(&RawState) -> f64| (of(&hot) - of(&cold)) / (2.0 * dt);
            let by_rho = |of: fn(&RawState) -> f64| (of(&dense) - of(&thin)) / (2.0 * dr);
            // cv = du/dT and T ds/dT; the entropy's slope by density is that of the pressure by temperature (Maxwell).
            same("cv by u", by_t(|s| s.u), state.cv.unwrap(), 1e-6);
            same("cv by s", t * by_t(|s| s.s), state.cv.unwrap(), 1e-6);
            same("Maxwell", -rho * rho * by_rho(|s| s.s), by_t(|s| s.p), 1e-5);
            same("energy", rho * rho * by_rho(|s| s.u), state.p - t * by_t(|s| s.p), 2e-4);
            // The speed of sound is the slope of the pressure by density along an isentrope.
            let along = |rho: f64| {
                let s = SpecificHeat::from_j_per_kg_k(state.s);
                substance.raw_state(Given::DensityEntropy(Density::from_kg_per_m3(rho), s)).unwrap().p
            };
            let w2 = (along(rho + dr) - along(rho - dr)) / (2.0 * dr);
            same("speed of sound", w2.sqrt(), state.w.unwrap(), 1e-5);
            let heated = |t: f64| {
                let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(state.p));
                substance.raw_state(given).unwrap().h
            };
            same("cp", (heated(t + dt) - heated(t - dt)) / (2.0 * dt), state.cp.unwrap(), 1e-5);
        }
    }
}

/// The chemical potential of each component, J/mol, as the slope of the whole Gibbs energy of a phase by the amount of the component at constant
/// temperature and pressure.
fn potentials(components: &[&str], moles: &[f64], t: f64, p: f64) -> Vec<f64> {
    let fluids: Vec<_> = components.iter().map(|name| Substance::component(name).unwrap()).collect();
    let whole = |moles: &[f64]| {
        let mass: Vec<f64> =
            moles.iter().zip(&fluids).map(|(n, fluid)| n * fluid.molar_mass_kg_per_mol()).collect();
        let total: f64 = mass.iter().sum();
        let phase = Substance::by_mass(fluids.clone(), &MassFractions::of_parts(&mass).unwrap()).unwrap();
        let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
        let state = phase.raw_state(given).unwrap();
        // Each composition has its own zero of enthalpy and entropy: taken out by its ideal gas, which has none.
        let thin = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(1.0));
        let gas = phase.raw_state(thin).unwrap();
        let ideal: f64 = {
            let n: f64 = moles.iter().sum();
            moles.iter().map(|x| x * 8.314_462_618 * t * libm::log(x / n)).sum()
        };
        total * ((state.h - t * state.s) - (gas.h - t * gas.s)) + ideal
    };
    (0..moles.len())
        .map(|i| {
            let step = 1e-5 * moles[i];
            let moved = |by: f64| {
                let mut moles = moles.to_vec();
                moles[i] += by;
                whole(&moles)
            };
            (moved(step) - moved(-step)) / (2.0 * step)
        })
        .collect()
}

/// Where the reference library finds no bubble or dew point (in the range in which condensers work), the one found here is an equilibrium: every
/// component's chemical potential is the same in both phases. °C; the windows are those measured with CoolProp 8.0.0.
#[test]
fn equilibria_where_the_reference_library_has_none() {
    let windows = [
        ("R-410A", [42.0, 43.2, 44.5]),
        ("R-407C", [55.0, 57.0, 59.0]),
        ("R-454B", [56.5, 58.0, 63.0]),
        ("R-452B", [55.0, 56.0, 57.0]),
        ("R-507A", [53.5, 55.5, 57.5]),
        ("R-463A", [32.5, 38.0, 54.0]),
    ];
    for (name, temperatures) in windows {
        let substance = Substance::named(name).unwrap();
        let components: Vec<&str> = substance.components().iter().map(|fluid| fluid.name()).collect();
        for celsius in temperatures {
            let t = Temperature::from_celsius(celsius);
            let at = substance.saturation_at(t).unwrap();
            for state in [&at.bubble, &at.dew] {
                let p = state.pressure().as_pa();
                // A breath above and below the pressure, so that each composition is the one phase that is meant.
                let liquid =
                    potentials(&components, state.liquid().unwrap().values(), t.as_k(), p * (1.0 + 1e-7));
                let vapour =
                    potentials(&components, state.vapour().unwrap().values(), t.as_k(), p * (1.0 - 1e-7));
                for (one, other) in liquid.iter().zip(&vapour) {
                    let apart = (one - other).abs() / (8.314_462_618 * t.as_k());
                    assert!(apart < 2e-5, "{name} at {celsius} °C: {liquid:?}, {vapour:?}");
                }
            }
        }
    }
}
