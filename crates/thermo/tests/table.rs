//! The tables by density and energy: close to the full model, whole across the saturation curve, and with an answer everywhere.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_thermo::{Fluid, Given, StateTable};
use stemwise_units::{Density, SpecificEnergy, Temperature};

fn table(name: &str) -> (&'static Fluid, StateTable) {
    let fluid = Fluid::named(name).unwrap();
    (fluid, StateTable::new(fluid).unwrap())
}

/// Where the table has no answer the full model gives it, with the same errors.
#[test]
fn outside_the_table_the_full_model_answers() {
    let (fluid, table) = table("R-134a");
    // Hotter than the table, denser than the table, next to the critical point.
    for (t, rho) in [(560.0, 5.0), (374.3, 511.0), (300.0, 1350.0)] {
        let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
        let full = fluid.raw_state(given).unwrap();
        let found = table.state(rho, full.u).unwrap();
        assert!(
            (found.kelvin / full.t - 1.0).abs() < 1e-7 && (found.pascal / full.p - 1.0).abs() < 1e-6,
            "{found:?} {full:?}"
        );
    }
    assert!(table.look_up(5.0, 900e3).is_none() && table.look_up(-1.0, 300e3).is_none());
    assert!(table.look_up(f64::NAN, 300e3).is_none() && table.look_up(5.0, f64::NAN).is_none());
    assert_eq!(table.state(-1.0, 300e3).unwrap_err().kind(), "density-out-of-range");
    assert_eq!(table.state(5.0, f64::NAN).unwrap_err().kind(), "not-finite");
}

/// A vessel that is heated at constant volume: pressure and temperature go on without a step where the last liquid is gone.
#[test]
fn nothing_jumps_at_the_saturation_curve() {
    let (fluid, table) = table("R-32");
    for t in [240.0, 290.0, 330.0] {
        let (_, liquid, vapour) = fluid.saturation_raw(t).unwrap();
        for rho in [liquid, vapour] {
            let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
            let u = fluid.raw_state(given).unwrap().u;
            let below = table.look_up(rho, u - 1.0).unwrap();
            let above = table.look_up(rho, u + 1.0).unwrap();
            assert!(below.two_phase && !above.two_phase, "{t} K");
            assert!((above.kelvin - below.kelvin).abs() < 5e-3, "{t} K: {below:?} {above:?}");
            let full = fluid.raw_state(Given::DensityEnergy(
                Density::from_kg_per_m3(rho),
                SpecificEnergy::from_j_per_kg(u + 1.0),
            ));
            assert!((above.kelvin / full.unwrap().t - 1.0).abs() < 2e-6, "{t} K");
        }
    }
}

/// A vessel that leaks and is heated, in small steps of mass and energy: what the table says of the end is what the full model says of it.
#[test]
fn mass_and_energy_are_what_the_table_is_asked_by() {
    let (fluid, table) = table("R-290");
    let volume = 0.004;
    let start = fluid.saturation_at(Temperature::from_celsius(20.0)).unwrap();
    let mut mass = 0.6 * volume * start.liquid.density().as_kg_per_m3();
    let mut energy = mass * start.liquid.energy().as_j_per_kg();
    for _ in 0..2000 {
        let state = table.state(mass / volume, energy / mass).unwrap();
        // A thousandth of what is above 5 bar leaves, with its enthalpy; heat comes in.
        let leaves = 1e-9 * (state.pascal - 5e5).max(0.0);
        energy += 40.0 - leaves * (energy / mass + state.pascal * volume / mass);
        mass -= leaves;
    }
    let end = table.state(mass / volume, energy / mass).unwrap();
    let given = Given::DensityEnergy(
        Density::from_kg_per_m3(mass / volume),
        SpecificEnergy::from_j_per_kg(energy / mass),
    );
    let full = fluid.raw_state(given).unwrap();
    assert!((end.kelvin / full.t - 1.0).abs() < 1e-6 && (end.pascal / full.p - 1.0).abs() < 5e-6, "{end:?}");
    assert!(mass < 1.2 && mass > 0.1, "{mass}");
}
