//! The tables by density and energy: close to the full model, whole across the saturation curve, and with an answer everywhere.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

#[path = "support/random.rs"]
mod random;
mod table_support;

use random::Random;
use stemwise_thermo::{Fluid, Given, StateTable, Substance};
use stemwise_units::{Density, SpecificEnergy, Temperature};
use table_support::{Asked, random_table_state, table_gaps};

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

/// Hotter than the tables, denser than the tables, and in their holes: one phase by the model alone is the state that the full way finds, with slopes by
/// differences of it; none where there are two phases.
#[test]
fn one_phase_beyond_the_tables_is_the_full_models() {
    for name in ["R-134a", "R-410A", "R-454B"] {
        let table = StateTable::of(Substance::named(name).unwrap()).unwrap();
        let substance = table.substance();
        let critical = substance.critical_temperature().as_k();
        let full = |rho: f64, u: f64| {
            let (rho, u) = (Density::from_kg_per_m3(rho), SpecificEnergy::from_j_per_kg(u));
            substance.raw_state(Given::DensityEnergy(rho, u)).unwrap()
        };
        for (t, rho) in
            [(1.38 * critical, 5.0), (1.36 * critical, 496.0), (310.0, 1300.0), (1.01 * critical, 470.0)]
        {
            let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
            let u = substance.raw_state(given).unwrap().u;
            let (found, exact) = (table.one_phase(rho, u).unwrap(), full(rho, u));
            assert!((found.kelvin / exact.t - 1.0).abs() < 1e-9, "{name}: {found:?} {exact:?}");
            assert!((found.pascal / exact.p - 1.0).abs() < 1e-7, "{name}: {found:?} {exact:?}");
            assert!((found.entropy - exact.s).abs() < 1e-4, "{name}: {found:?} {exact:?}");
            let near = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-3;
            let (more, warmer) = (1e-4 * rho, 20.0);
            let across = |of: fn(&stemwise_thermo::RawState) -> f64| {
                let by_rho = (of(&full(rho + more, u)) - of(&full(rho - more, u))) / (2.0 * more);
                (by_rho, (of(&full(rho, u + warmer)) - of(&full(rho, u - warmer))) / (2.0 * warmer))
            };
            let (p, t) = (across(|state| state.p), across(|state| state.t));
            assert!(
                near(found.pressure_by_density, p.0) && near(found.pressure_by_energy, p.1),
                "{name}: {found:?} {p:?}"
            );
            assert!(
                near(found.temperature_by_density, t.0) && near(found.temperature_by_energy, t.1),
                "{name}: {found:?} {t:?}"
            );
        }
        assert!(table.one_phase(100.0, 250e3).is_none() && table.one_phase(f64::NAN, 250e3).is_none());
        assert!(table.one_phase(5.0, -1e6).is_none() && table.one_phase(5.0, 1e9).is_none());
    }
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

fn blend(name: &str) -> StateTable {
    StateTable::of(Substance::named(name).unwrap()).unwrap()
}

/// A few states of each; `slow.rs` asks for a million.
#[test]
fn tables_of_blends_and_of_any_composition_agree_with_the_full_model() {
    for name in ["R-404A", "R-448A", "R-455A", "R-32/R-134a 30/70", "nitrogen"] {
        let table = blend(name);
        assert!(table.bytes() < 8 << 20, "{name}: {} bytes", table.bytes());
        let asked = table_gaps(&table, 1500, 11);
        let Asked { missing, two_phase, .. } = asked;
        assert!(missing < 10 && two_phase > 300, "{name}: {missing} missing, {two_phase} in two phases");
    }
}

/// Along an isotherm a blend's pressure falls from bubble to dew point, and parts of both phases go from none to all.
#[test]
fn the_glide_of_a_blend_is_in_the_table() {
    let table = blend("R-407C");
    let substance = Substance::named("R-407C").unwrap();
    let mut pressures = Vec::new();
    for q in [0.001, 0.2, 0.5, 0.8, 0.999] {
        let full = substance.state(Given::TemperatureQuality(Temperature::from_celsius(20.0), q)).unwrap();
        let found = table.look_up_detail(full.raw().rho, full.raw().u).unwrap();
        let phases = found.phases.unwrap();
        assert!((found.kelvin - 293.15).abs() < 1e-3, "{found:?}");
        assert!(phases.vapour_mass > 0.0 && phases.vapour_mass < 1.0, "{phases:?}");
        pressures.push(found.pascal);
    }
    assert!(pressures.windows(2).all(|pair| pair[1] < pair[0]), "{pressures:?}");
    // ASHRAE Fundamentals gives bubble and dew point of R-407C more than a bar apart at 20 °C.
    assert!(pressures[0] - pressures[4] > 1e5, "{pressures:?}");
}

/// What flows out as liquid and as vapour carries the energy of the whole, and both fill the space.
#[test]
fn both_phases_add_up() {
    let table = blend("R-448A");
    let mut random = Random(5);
    let mut seen = 0;
    while seen < 300 {
        let Some(state) = random_table_state(table.substance(), &mut random) else { continue };
        let raw = *state.raw();
        let Some(phases) = table.look_up_detail(raw.rho, raw.u).and_then(|found| found.phases) else {
            continue;
        };
        let found = table.look_up_detail(raw.rho, raw.u).unwrap();
        let w = phases.vapour_mass;
        let volume = (1.0 - w) / phases.liquid_density + w / phases.vapour_density;
        let enthalpy = (1.0 - w) * phases.liquid_enthalpy + w * phases.vapour_enthalpy;
        assert!((volume * raw.rho - 1.0).abs() < 1e-9, "{phases:?}");
        assert!((enthalpy - raw.u - found.pascal / raw.rho).abs() < 1e-6, "{phases:?}");
        assert!((phases.vapour_volume - w * raw.rho / phases.vapour_density).abs() < 1e-12);
        seen += 1;
    }
}

/// Slopes against differences of the table itself, and against the full model's heat capacity and speed of sound.
#[test]
fn slopes_are_those_of_the_surface() {
    for name in ["R-134a", "R-448A"] {
        let table = blend(name);
        let tc = table.substance().critical_temperature().as_k();
        let mut random = Random(9);
        let mut seen = 0;
        while seen < 400 {
            let Some(state) = random_table_state(table.substance(), &mut random) else { continue };
            let raw = *state.raw();
            let (rho, u) = (raw.rho, raw.u);
            let steps = (1e-6 * rho, 0.2);
            let ends = [(rho + steps.0, u), (rho - steps.0, u), (rho, u + steps.1), (rho, u - steps.1)]
                .map(|(rho, u)| table.look_up(rho, u));
            let [Some(a), Some(b), Some(c), Some(d)] = ends else { continue };
            let Some(here) = table.look_up_detail(rho, u) else { continue };
            let two_phase = here.phases.is_some();
            if [a, b, c, d].iter().any(|end| end.two_phase != two_phase) {
                continue;
            }
            let close = |slope: f64, one: f64, two: f64, step: f64, size: f64| {
                let by_difference = (one - two) / (2.0 * step);
                assert!(
                    (slope - by_difference).abs() < 1e-4 * slope.abs() + 1e-9 * size / step,
                    "{name}: {slope} {by_difference} {here:?}"
                );
            };
            close(here.temperature_by_density, a.kelvin, b.kelvin, steps.0, here.kelvin);
            close(here.temperature_by_energy, c.kelvin, d.kelvin, steps.1, here.kelvin);
            close(here.pressure_by_density, a.pascal, b.pascal, steps.0, here.pascal);
            close(here.pressure_by_energy, c.pascal, d.pascal, steps.1, here.pascal);
            if let (Some(cv), Some(w)) = (raw.cv, raw.w)
                && (raw.t / tc - 1.0).abs() > 0.1
            {
                assert!((here.isochoric_heat() / cv - 1.0).abs() < 1e-3, "{name}: {raw:?}");
                assert!((here.speed_of_sound(rho) / w - 1.0).abs() < 1e-3, "{name}: {raw:?}");
            }
            seen += 1;
        }
    }
}

/// Down to a hundredth of a pascal a gas is ideal: p V = n R T, and energy depends on temperature alone.
#[test]
fn tables_reach_down_to_vacuum() {
    for name in ["R-134a", "R-454B", "nitrogen"] {
        let table = blend(name);
        let substance = table.substance();
        let thin = |t: f64, rho: f64| {
            let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
            *substance.state(given).unwrap().raw()
        };
        for kelvin in [230.0, 293.15, 440.0] {
            for pascal in [0.01, 1.0, 50.0] {
                let r = 8.314_462_618 / substance.molar_mass_kg_per_mol();
                let raw = thin(kelvin, pascal / (r * kelvin));
                let found = table.look_up_detail(raw.rho, raw.u).unwrap();
                assert!((found.kelvin - kelvin).abs() < 1e-4, "{name}: {found:?}");
                assert!((found.pascal / pascal - 1.0).abs() < 1e-5 + 2e-6 * pascal, "{name}: {found:?}");
                assert!((found.entropy - raw.s).abs() < 0.01, "{name}: {found:?} {raw:?}");
            }
        }
    }
}

/// The full model's answers have slopes and phases too: next to the critical point of a blend.
#[test]
fn where_a_blends_table_ends_the_full_model_answers() {
    let table = blend("R-454B");
    let kelvin = 0.99 * table.substance().critical_temperature().as_k();
    let given = Given::TemperatureQuality(Temperature::from_k(kelvin), 0.5);
    let state = table.substance().state(given).unwrap();
    let raw = state.raw();
    assert!(table.look_up(raw.rho, raw.u).is_none());
    let found = table.detail(raw.rho, raw.u).unwrap();
    assert!((found.kelvin - kelvin).abs() < 1e-5 && (found.pascal / raw.p - 1.0).abs() < 1e-8, "{found:?}");
    assert!(found.pressure_by_density.is_finite() && found.temperature_by_energy > 0.0, "{found:?}");
    let phases = found.phases.unwrap();
    assert!(phases.vapour_enthalpy > phases.liquid_enthalpy && phases.liquid_density > phases.vapour_density);
    assert_eq!(table.detail(1e5, 300e3).unwrap_err().kind(), table.state(1e5, 300e3).unwrap_err().kind());
    assert!(table.look_up(0.0, 300e3).is_none() && table.detail(f64::INFINITY, 300e3).is_err());
    assert!(table.detail(10.0, -1e12).is_err() && table.detail(10.0, 1e12).is_err());
}
