//! Sweeps over every fluid that take too long for every run.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

mod support;
mod table_support;

use stemwise_thermo::{Fluid, StateTable, Substance, blends, fluids};
use support::random::{self, Random};
use support::{comes_back, random_state, worst_gaps};
use table_support::table_gaps;

#[test]
#[ignore = "slow"]
fn curves_agree_with_the_full_solve_at_ten_thousand_temperatures() {
    for name in fluids() {
        let [p, liquid, vapour] = worst_gaps(Fluid::named(name).unwrap(), 10_000);
        // Seen: R-13's densities are off by 1.2e-9, all others by less than 1e-9.
        assert!(p < 1e-9 && liquid < 2e-9 && vapour < 2e-9, "{name}: {p:e} {liquid:e} {vapour:e}");
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
        keeps_its_bounds(name, 100_000);
    }
}

#[test]
#[ignore = "slow"]
fn tables_of_blends_keep_their_bounds_at_a_million_states_each() {
    for name in ["R-404A", "R-448A"] {
        keeps_its_bounds(name, 1_000_000);
    }
}

#[test]
#[ignore = "slow"]
fn every_blend_has_tables() {
    for blend in blends() {
        keeps_its_bounds(blend.name(), 5_000);
    }
}

fn keeps_its_bounds(name: &str, count: u32) {
    let table = StateTable::of(Substance::named(name).unwrap()).unwrap();
    assert!(table.bytes() < 8 << 20, "{name}: {} bytes", table.bytes());
    let asked = table_gaps(&table, count, name.bytes().map(u64::from).sum::<u64>() * 7919);
    assert!(asked.missing < count / 300 && asked.two_phase > count / 5, "{name}: {asked:?}");
}
