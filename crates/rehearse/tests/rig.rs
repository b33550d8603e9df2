//! The rig in motion: recovery, evacuation, nitrogen, charging, venting; mass and energy kept throughout.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::Position;
use stemwise_service::Action;
use stemwise_units::{GaugePressure, Mass, Pressure};
use support::bench;

#[test]
fn standing_nothing_moves() {
    let mut here = bench("walk-in-cooler", false);
    let before = here.bar("receiver");
    here.now.advance(3600.0);
    // Vapour goes into the oil, and what boils off for it cools the receiver a little.
    assert!((here.bar("receiver") / before - 1.0).abs() < 0.025, "{}", here.bar("receiver"));
    here.kept();
}

#[test]
fn running_comes_to_the_design_balance() {
    let mut here = bench("walk-in-cooler", true);
    here.now.advance(1800.0);
    // 28 °C + 12 K and 3 °C - 8 K, as `settle` takes it.
    assert!((here.bar("receiver") / 10.1659 - 1.0).abs() < 0.05, "{}", here.bar("receiver"));
    assert!((here.bar("evaporator") / 2.433 - 1.0).abs() < 0.05, "{}", here.bar("evaporator"));
    here.kept();
}

#[test]
fn a_recovery_empties_the_system() {
    let mut here = bench("walk-in-cooler", false);
    let rigged = here.assembly.rigged.clone();
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("drier-port") });
    here.turn("low-hand-valve", Position::Open);
    here.act(Action::Start(rigged.recovery_machine.unwrap()));
    for minute in 0..12 {
        here.now.advance(600.0);
        println!(
            "{minute} {:.3} bar {:.3} kg in cylinder {:?}",
            here.bar("receiver"),
            here.kg("cylinder"),
            here.now.statistics()
        );
    }
    for (id, space) in here.assembly.graph.spaces_with_ids() {
        let view = here.now.space(id).unwrap();
        println!(
            "{} {:.3} bar {:.1} C {:.4} kg {:.3}",
            space.id,
            view.pressure.as_bar(),
            view.temperature.as_celsius(),
            view.refrigerant.as_kg(),
            view.liquid
        );
    }
    here.kept();
    assert!(here.kg("cylinder") > 3.0, "{}", here.kg("cylinder"));
}

#[test]
fn an_evacuation_comes_down() {
    let mut here = bench("walk-in-cooler", false);
    let rigged = here.assembly.rigged.clone();
    // Empty system with air in it.
    let mut state = here.now.state();
    for (held, space) in state
        .contents
        .iter_mut()
        .zip(&here.assembly.graph.spaces)
        .take(here.assembly.circuit.graph.spaces.len())
    {
        held.refrigerant = Mass::from_kg(0.0);
        held.air = Mass::from_kg(space.volume.value.as_m3() * 1.0e5 / (287.05 * held.temperature.as_k()));
    }
    let (assembly, refrigerant, stops) = (here.assembly, here.refrigerant, here.stops);
    here = support::from(assembly, refrigerant, stops, &state);
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("drier-port") });
    here.act(Action::AttachHose { hose: rigged.high_hose, port: here.port("discharge-valve-port") });
    here.turn("discharge-valve", Position::MidSeated);
    here.turn("low-hand-valve", Position::Open);
    here.turn("high-hand-valve", Position::Open);
    here.act(Action::Evacuate { to: Pressure::from_micron(400.0) });
    for minute in 0..30 {
        here.now.advance(60.0);
        println!(
            "{minute} {:.1} micron at the receiver, {:.1} at the pump {:?}",
            here.now.pressure(here.space("receiver")).unwrap().as_micron(),
            here.now.micron_gauge().as_micron(),
            here.now.statistics()
        );
    }
    here.kept();
    assert!(here.bar("evaporator") < 0.05);
}

#[test]
fn nitrogen_goes_in_and_out() {
    let mut here = bench("split-air-conditioner", false);
    let rigged = here.assembly.rigged.clone();
    let mut state = here.now.state();
    for held in &mut state.contents {
        held.refrigerant = Mass::from_kg(0.0);
    }
    let (assembly, refrigerant, stops) = (here.assembly, here.refrigerant, here.stops);
    here = support::from(assembly, refrigerant, stops, &state);
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("liquid-valve-port") });
    here.turn("low-hand-valve", Position::Open);
    here.act(Action::AdmitNitrogen { to: GaugePressure::from_bar(20.0) });
    here.now.advance(1200.0);
    assert!((here.bar("evaporator") - 21.0).abs() < 0.4, "{}", here.bar("evaporator"));
    here.kept();
    here.act(Action::ReleaseNitrogen { to: GaugePressure::from_bar(0.2) });
    here.now.advance(1200.0);
    assert!(here.bar("evaporator") < 1.4, "{}", here.bar("evaporator"));
    here.kept();
}

#[test]
fn charging_by_weight_stops_at_the_weight() {
    let mut here = bench("walk-in-cooler", true);
    let rigged = here.assembly.rigged.clone();
    // What goes into the oil, or comes out of it, is in the circuit too.
    let inside = |here: &support::Bench| {
        let oil = here.now.space(here.space("compressor")).unwrap().dissolved;
        here.now.state().circuit_mass(&here.assembly).as_kg() + oil.as_kg()
    };
    let before = inside(&here);
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("suction-valve-port") });
    here.turn("suction-valve", Position::MidSeated);
    here.turn("low-hand-valve", Position::Open);
    here.act(Action::Charge { mass: Mass::from_g(300.0), liquid: false });
    here.now.advance(600.0);
    here.kept();
    assert!(here.now.tasks().is_empty(), "{:?}", here.now.tasks());
    let gained = inside(&here) - before;
    assert!((gained - 0.3).abs() < 0.012, "{gained}");
}

#[test]
fn what_is_opened_under_pressure_goes_out() {
    let mut here = bench("walk-in-cooler", false);
    let drier = here.space("drier");
    let charge = here.now.totals()[0];
    here.act(Action::OpenUp { spaces: vec![drier], with_heat: false });
    here.now.advance(3600.0);
    here.kept();
    let left = here.now.state().circuit_mass(&here.assembly).as_kg();
    assert!(left < 0.2 * charge, "{left} of {charge}");
    assert!((here.bar("condenser") / here.assembly.circuit.atmosphere.as_bar() - 1.0).abs() < 0.01);
}
