//! Sweeps over every fluid that take too long for every run.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

mod support;

use stemwise_thermo::{Fluid, fluids};
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
