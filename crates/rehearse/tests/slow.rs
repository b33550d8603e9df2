//! Slow sweeps: planned procedures on larger circuits, and those that take hours by the clock. Run optimised: `scripts/test.sh`.

mod support;

use support::procedure;

fn ends(example: &str, said: &str) {
    let carried = procedure(example, said, true);
    assert!(carried.gave_up.is_empty(), "{:?}", carried.gave_up);
    assert!(carried.expected > carried.off.len(), "{:#?}", carried.off);
}

#[test]
#[ignore = "slow"]
fn a_rack_is_pumped_down() {
    ends("rack", "pump down");
}

#[test]
#[ignore = "slow"]
fn a_racks_drier_is_replaced() {
    ends("rack", "replace the drier");
}

#[test]
#[ignore = "slow"]
fn a_walk_in_cooler_is_charged_for_the_first_time() {
    ends("walk-in-cooler", "first charge");
}

#[test]
#[ignore = "slow"]
fn a_heat_pump_is_pumped_down_and_emptied() {
    ends("heat-pump", "pump down");
    ends("heat-pump", "recover all");
}

#[test]
#[ignore = "slow"]
fn two_temperatures_are_emptied_and_evacuated() {
    ends("two-temperature", "recover all");
    ends("two-temperature", "evacuate");
}

#[test]
#[ignore = "slow"]
fn a_heat_pump_is_charged_for_the_first_time() {
    ends("heat-pump", "first charge");
}
