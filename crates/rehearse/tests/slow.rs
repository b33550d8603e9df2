//! Slow sweeps: planned procedures on larger circuits, and those that take hours by the clock. Run optimised: `scripts/test.sh`.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

#[path = "../../prove/tests/support/made.rs"]
mod made;
mod support;

use std::collections::BTreeMap;
use std::sync::Arc;

use stemwise_circuit::{Assembly, Rig, read};
use stemwise_rehearse::{Medium, Rehearsal};
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of, settle};
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

/// How far a circuit made from a seed, locked out and left alone for two days, is from what `settle` says of what is in it then: the largest part of a
/// pressure beyond a tenth of a bar (a column of liquid, which settling doesn't know), and the largest part of the charge that is elsewhere.
fn off_rest(seed: u64, media: &mut BTreeMap<String, Arc<Medium>>) -> (f64, f64, String) {
    let circuit = read(made::circuit(seed).as_bytes()).circuit.unwrap();
    let name = circuit.refrigerant.clone();
    let medium = media.entry(name.clone()).or_insert_with(|| Arc::new(Medium::named(&name).unwrap()));
    let refrigerant = Refrigerant::named(&name).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let start = State::start(&assembly, &refrigerant, &stops, true);
    let mut now = Rehearsal::with(Arc::clone(medium), &assembly, &start.state).unwrap();
    let first = now.totals();
    now.advance(120.0);
    now.act(&Action::LockOut).unwrap();
    now.advance(48.0 * 3600.0);
    let last = now.totals();
    assert!((last[0] / first[0] - 1.0).abs() < 1e-6, "seed {seed}: {} kg, then {} kg", first[0], last[0]);
    let mut state = now.state();
    let settled = settle(&assembly, &refrigerant, &stops, &mut state);
    let whole = state.circuit_mass(&assembly).as_kg();
    let (mut pressure, mut mass, mut say) = (0.0f64, 0.0f64, String::new());
    for (id, space) in assembly.circuit.graph.spaces_with_ids().filter(|(_, space)| space.id != "atmosphere")
    {
        let (here, rest) = (now.space(id).unwrap(), settled.pressure(id).unwrap().as_pa());
        let held = state.held(id).unwrap().refrigerant.as_kg();
        let pa = here.pressure.as_pa();
        let off = ((pa - rest).abs() - 1e4).max(0.0) / rest;
        let moved = (here.refrigerant.as_kg() - held).abs() / whole;
        if off > pressure || moved > mass {
            say = format!(
                "{name} {}: {pa:.0} Pa, at rest {rest:.0}; {:.4} kg of {whole:.3}, at rest {held:.4}; {:?}",
                space.id,
                here.refrigerant.as_kg(),
                now.statistics()
            );
        }
        (pressure, mass) = (pressure.max(off), mass.max(moved));
    }
    (pressure, mass, say)
}

/// A thousand circuits made at random come to rest where `settle` says.
#[test]
#[ignore = "slow"]
fn random_circuits_come_to_rest_as_settled() {
    let count = std::env::var("SEEDS").map_or(1000, |text| text.parse().unwrap());
    let mut media = BTreeMap::new();
    let mut off = Vec::new();
    for seed in 0..count {
        let (pressure, mass, say) = off_rest(seed, &mut media);
        if pressure > 0.02 || mass > 0.05 {
            println!("seed {seed}: {pressure:.4} of a pressure, {mass:.4} of the charge; {say}");
            off.push(seed);
        }
    }
    println!("{} of {count} off", off.len());
    assert!(off.len() as u64 <= count / 50, "{off:?}");
}
