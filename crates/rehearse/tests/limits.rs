//! `settle` is the limit: what is left alone comes to what `settle` says; and what steps cost stays within bounds.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::Position;
use stemwise_service::{Action, settle};
use support::bench;

/// Runs, is locked out, and stands for so many hours; then the pressures and where most refrigerant is, against `settle`. Differences that stay:
/// hydrostatic columns (settling knows none, up to 0.1 bar), and the last of the liquid on its way through a shut thermostatic valve's seat.
fn comes_to_rest(example: &str, hours: f64, pressure: f64, mass: f64) {
    let mut here = bench(example, true);
    here.now.advance(300.0);
    here.act(Action::LockOut);
    here.now.advance(3600.0 * hours);
    here.kept();
    let mut state = here.now.state();
    let settled = settle(&here.assembly, &here.refrigerant, &here.stops, &mut state);
    let whole = state.circuit_mass(&here.assembly).as_kg();
    for (id, space) in here.assembly.circuit.graph.spaces_with_ids() {
        let (now, rest) = (here.now.space(id).unwrap(), settled.pressure(id).unwrap());
        let held = state.held(id).unwrap().refrigerant.as_kg();
        println!(
            "{:20} {:8.4} bar, at rest {:8.4}; {:7.4} kg, at rest {:7.4}",
            space.id,
            now.pressure.as_bar(),
            rest.as_bar(),
            now.refrigerant.as_kg(),
            held
        );
        if space.id != "atmosphere" {
            assert!((now.pressure.as_pa() / rest.as_pa() - 1.0).abs() < pressure, "{}", space.id);
            assert!((now.refrigerant.as_kg() - held).abs() < mass * whole, "{}", space.id);
        }
    }
}

#[test]
fn a_split_unit_comes_to_rest_as_settled() {
    comes_to_rest("split-air-conditioner", 24.0, 0.02, 0.05);
}

#[test]
fn a_sealed_freezer_comes_to_rest_as_settled() {
    comes_to_rest("sealed-freezer", 24.0, 0.02, 0.05);
}

/// The pump-down ends at the same stop with the same liquid in the receiver as `settle` has it.
#[test]
fn a_pump_down_ends_as_settled() {
    let mut here = bench("walk-in-cooler", true);
    here.now.advance(300.0);
    here.turn("king", Position::FrontSeated);
    here.now.advance(3600.0);
    here.kept();
    let mut state = here.now.state();
    settle(&here.assembly, &here.refrigerant, &here.stops, &mut state);
    let high = ["receiver", "condenser", "condensate-line", "discharge-line", "compressor-head"];
    let now: f64 = high.iter().map(|id| here.kg(id)).sum();
    let rest: f64 = high.iter().map(|id| state.held(here.space(id)).unwrap().refrigerant.as_kg()).sum();
    assert!((now / rest - 1.0).abs() < 0.01, "{now} kg on the high side, {rest} kg by settling");
    let psig = (here.bar("compressor") - here.assembly.circuit.atmosphere.as_bar()) * 14.5038;
    assert!((-0.5..14.0).contains(&psig), "{psig} psig");
    let statistics = here.now.statistics();
    assert!(
        statistics.steps < 1000 && statistics.rejected < 120 && statistics.rounds < 3500,
        "{statistics:?}"
    );
}

/// What hours of running and of recovery cost in steps and rounds: a little more than was found.
#[test]
fn what_steps_cost_stays() {
    let most = |here: &support::Bench, steps: u64, rounds: u64| {
        let statistics = here.now.statistics();
        println!("{statistics:?}");
        assert!(statistics.steps < steps && statistics.rounds < rounds, "{statistics:?}");
        here.kept();
    };
    let mut running = bench("walk-in-cooler", true);
    running.now.advance(3600.0);
    most(&running, 1600, 2400);
    let mut recovery = bench("walk-in-cooler", false);
    let rigged = recovery.assembly.rigged.clone();
    recovery.act(Action::AttachHose { hose: rigged.low_hose, port: recovery.port("drier-port") });
    recovery.turn("low-hand-valve", Position::Open);
    recovery.act(Action::Start(rigged.recovery_machine.unwrap()));
    recovery.now.advance(3600.0);
    most(&recovery, 1500, 4000);
    let mut rack = bench("rack", true);
    rack.now.advance(600.0);
    // Its drier is on the brink of flashing.
    most(&rack, 700, 3600);
}
