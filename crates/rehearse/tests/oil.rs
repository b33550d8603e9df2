//! Refrigerant in the oil of a crankcase: it goes in while the compressor stands cold, and comes out when the pressure falls or a heater is on.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::{PlaceId, Position, examples};
use stemwise_rehearse::equipment::compressor::CrankcaseHeater;
use stemwise_rehearse::equipment::oil::Pair;
use stemwise_rehearse::{Danger, Guard};
use stemwise_service::Action;
use stemwise_units::{Pressure, Temperature};
use support::{Bench, bench, of_text};

fn dissolved(here: &Bench) -> f64 {
    here.now.space(here.space("compressor")).unwrap().dissolved.as_kg()
}

/// The walk-in cooler with its oil's mass as given; none: the file doesn't say.
fn with_oil(kilograms: Option<f64>, running: bool) -> Bench {
    let text = examples().iter().find(|found| found.name == "walk-in-cooler").unwrap().text;
    let oil = kilograms.map_or_else(
        || "oil = { kind = \"POE 32\" }".into(),
        |kg| format!("oil = {{ kind = \"POE 32\", mass = \"{kg} kg\" }}"),
    );
    let text = text.replace("oil = { kind = \"POE 32\", mass = \"1.0 kg\" }", &oil);
    // Sound valves: nothing comes back through them.
    of_text(&text.replace("[part.compressor]", "[part.compressor]\nleaks-back = false"), running)
}

/// The compressor shut off by its own two valves, the low-side hose on its suction valve's port, with the recovery machine on it until 0.4 bar.
fn recovered(mut here: Bench) -> Bench {
    let rigged = here.assembly.rigged.clone();
    let machine = rigged.recovery_machine.unwrap();
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("suction-valve-port") });
    here.turn("suction-valve", Position::FrontSeated);
    here.turn("discharge-valve", Position::FrontSeated);
    here.turn("low-hand-valve", Position::Open);
    here.act(Action::Start(machine));
    while here.bar("compressor") > 0.4 && here.now.seconds() < 3600.0 {
        here.now.advance(5.0);
    }
    here.turn("low-hand-valve", Position::Shut);
    here.act(Action::Stop(machine));
    here.now.advance(5.0);
    here
}

/// The pressure comes back up after the machine has stopped, where there is oil and only there, and ends where the law of the solution has it: what is in the oil and
/// what is above it, at one pressure and temperature, are together what there was.
#[test]
fn the_pressure_comes_back_up() {
    let rise = |kilograms: Option<f64>| {
        let mut here = recovered(with_oil(kilograms, false));
        let low = here.bar("compressor");
        here.now.advance(4.0 * 3600.0);
        here.kept();
        println!(
            "{kilograms:?} kg: {low:.3} bar, then {:.3} bar, {:.4} kg in oil, {:?}",
            here.bar("compressor"),
            dissolved(&here),
            here.now.statistics()
        );
        (here, low)
    };
    let (with, low) = rise(Some(1.0));
    let (without, low_without) = rise(None);
    let (up, bare) = (with.bar("compressor") - low, without.bar("compressor") - low_without);
    assert!(up > 0.4 && bare < 0.1 && up > 5.0 * bare.abs(), "{up} bar with oil, {bare} bar without");
    // By the property library and the solution's law alone.
    let view = with.now.space(with.space("compressor")).unwrap();
    let kelvin = view.wall.as_k();
    let substance = with.refrigerant.substance();
    let sat = substance.saturation_raw(kelvin).unwrap();
    let held = Pair::POLYOL_ESTER.dissolved(view.pressure.as_pa(), sat.bubble, sat.liquid);
    assert!((dissolved(&with) / held - 1.0).abs() < 0.02, "{} kg, {held} kg by the law", dissolved(&with));
}

/// Standing it takes up more than it holds after running; a heater keeps it out (common practice: that is what it is for).
#[test]
fn a_cold_crankcase_takes_refrigerant_up_and_a_heater_keeps_it_out() {
    let [cold, warm] = [None, Some(60.0)].map(|watts| {
        let mut here = with_oil(Some(1.0), true);
        here.now.advance(1800.0);
        let ran = dissolved(&here);
        let heater = watts.map(|power_w| CrankcaseHeater { power_w, self_regulating_k: None });
        here.now.set_guard(here.joint("compressor"), Guard { heater, delay_s: 0.0 });
        here.act(Action::LockOut);
        here.now.advance(6.0 * 3600.0);
        here.kept();
        println!(
            "{watts:?} W: {ran:.3} kg running, {:.3} kg after a night, shell {:.1} C, {:.2} bar",
            dissolved(&here),
            here.celsius("compressor"),
            here.bar("compressor")
        );
        (ran, dissolved(&here))
    });
    assert!(cold.0 > 0.02 && cold.0 < 0.2, "{cold:?}");
    assert!(cold.1 > 1.2 * cold.0 && cold.1 <= 0.541, "{cold:?}");
    assert!(warm.1 < 0.75 * cold.1, "{warm:?} beside {cold:?}");
}

/// What the oil still holds raises a vacuum after the pump has stopped; longer pumping leaves less of it.
#[test]
fn a_vacuum_over_oil_does_not_hold_at_first() {
    let rise = |kilograms: Option<f64>, minutes: f64| {
        let mut here = recovered(with_oil(kilograms, false));
        here.turn("low-hand-valve", Position::Open);
        here.act(Action::Evacuate { to: Pressure::from_micron(20.0) });
        here.now.advance(60.0 * minutes);
        here.act(Action::Stop(here.assembly.rigged.vacuum_pump.unwrap()));
        here.turn("low-hand-valve", Position::Shut);
        here.now.advance(5.0);
        let low = here.bar("compressor") * 1e5 / 0.133_322;
        here.now.advance(600.0);
        let after = here.bar("compressor") * 1e5 / 0.133_322;
        here.kept();
        println!("{kilograms:?} kg, {minutes} min: {low:.0} micron, ten minutes later {after:.0}");
        after - low
    };
    let (short, long, bare) = (rise(Some(1.0), 10.0), rise(Some(1.0), 60.0), rise(None, 10.0));
    assert!(short > 2000.0, "{short} micron");
    assert!(long < 0.2 * short && bare < 0.05 * short, "{short}, {long}, without oil {bare} micron");
}

/// A compressor that starts on oil full of refrigerant froths it; the one with a heater doesn't.
#[test]
fn oil_full_of_refrigerant_froths_when_it_starts() {
    let froths = |watts: Option<f64>| {
        let mut here = with_oil(Some(1.0), true);
        let heater = watts.map(|power_w| CrankcaseHeater { power_w, self_regulating_k: None });
        here.now.set_guard(here.joint("compressor"), Guard { heater, delay_s: 0.0 });
        here.act(Action::LockOut);
        here.now.set_place(PlaceId(0), Temperature::from_celsius(8.0));
        here.now.advance(10.0 * 3600.0);
        let held = dissolved(&here);
        here.act(Action::RestorePower);
        let compressor = here.joint("compressor");
        here.act(Action::Start(compressor));
        let mut found = false;
        for _ in 0..120 {
            here.now.advance(1.0);
            found |= here.now.clocks().iter().any(|clock| clock.danger == Danger::OilFroths(compressor));
        }
        here.now.advance(1200.0);
        let later = here.now.clocks().iter().any(|clock| clock.danger == Danger::OilFroths(compressor));
        println!(
            "{watts:?} W: {held:.3} kg in the oil, froths {found}, later {later}, {:.3} kg",
            dissolved(&here)
        );
        here.kept();
        assert!(!later, "it is over");
        found
    };
    assert!(froths(None) && !froths(Some(100.0)));
}

/// Where a file doesn't say how much oil there is, nothing dissolves; oil that hands add takes its part.
#[test]
fn only_oil_that_is_known_holds_refrigerant() {
    let mut here = with_oil(None, false);
    here.now.advance(3600.0);
    assert!(dissolved(&here) <= 0.0);
    let mut more = bench("walk-in-cooler", false);
    more.now.advance(4.0 * 3600.0);
    let before = dissolved(&more);
    more.act(Action::AddOil { mass: stemwise_units::Mass::from_kg(0.5) });
    more.now.advance(12.0 * 3600.0);
    more.kept();
    assert!(dissolved(&more) > 1.2 * before, "{} after {before}", dissolved(&more));
}
