//! Sweeps over every fluid that take too long for every run.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

mod support;

use stemwise_thermo::{Fluid, Given, StateTable, fluids};
use stemwise_units::{Density, Temperature};
use support::{Random, comes_back, random_state, worst_gaps};

#[test]
#[ignore = "slow"]
fn curves_agree_with_the_full_solve_at_ten_thousand_temperatures() {
    for name in fluids() {
        let [p, liquid, vapour] = worst_gaps(Fluid::named(name).unwrap(), 10_000);
        assert!(p < 1e-9 && liquid < 1e-9 && vapour < 1e-9, "{name}: {p:e} {liquid:e} {vapour:e}");
    }
}

#[test]
#[ignore = "slow"]
fn states_come_back_from_every_pair() {
    let mut random = Random(23);
    for name in fluids() {
        let fluid = Fluid::named(name).unwrap();
        let found = (0..4000)
            .filter_map(|n| random_state(fluid, &mut random, n % 4 == 0).ok())
            .map(|state| comes_back(fluid, &state))
            .count();
        assert!(found > 3000, "{name}: {found}");
    }
}

/// The tables against the full model at a million random states: within the bounds that their page states, and seldom without an answer.
#[test]
#[ignore = "slow"]
fn tables_keep_their_bounds_at_a_million_states() {
    let fluids =
        ["R-134a", "R-32", "R-744", "R-290", "R-717", "R-22", "R-1234yf", "R-600a", "R-125", "R-152a"];
    for name in fluids {
        let fluid = Fluid::named(name).unwrap();
        let table = StateTable::new(fluid).unwrap();
        assert!(table.bytes() < 8 << 20, "{name}: {} bytes", table.bytes());
        let critical = fluid.critical_temperature().as_k();
        let cold = fluid.lowest_temperature().as_k().max(0.55 * critical) * 1.0001;
        let (_, liquid, vapour) = fluid.saturation_raw(cold).unwrap();
        let mut dice = Random(name.bytes().map(u64::from).sum::<u64>() * 7919);
        let (mut asked, mut missing, mut two_phase) = (0u32, 0u32, 0u32);
        while asked < 100_000 {
            let t = cold + dice.next() * (1.3 * critical - cold);
            let thin = libm::log(vapour / 5.0);
            let rho = libm::exp(thin + dice.next() * (libm::log(liquid) - thin));
            let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
            let Ok(full) = fluid.raw_state(given) else { continue };
            if full.p > 29e6 {
                continue;
            }
            asked += 1;
            let Some(found) = table.look_up(rho, full.u) else {
                missing += 1;
                continue;
            };
            two_phase += u32::from(found.two_phase);
            let off = (found.pascal - full.p).abs();
            // What an error of the pressure means as one of the density: that of a liquid is stiff.
            let stands_for = full.w.map_or(f64::INFINITY, |w| off / (rho * w * w));
            assert!((found.kelvin / full.t - 1.0).abs() < 3e-6, "{name}: {found:?}, {full:?}");
            assert!(off < 1e-5 * full.p || stands_for < 1e-6, "{name}: {found:?}, {full:?}");
        }
        assert!(
            missing < asked / 25 && two_phase > asked / 10,
            "{name}: {missing} missing, {two_phase} in two phases"
        );
    }
}
