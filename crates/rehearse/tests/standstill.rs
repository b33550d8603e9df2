//! A compressor that stands: refrigerant that comes to its cold shell, a crankcase heater against it, and a delay before it starts again.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::{PlaceId, examples};
use stemwise_rehearse::equipment::compressor::CrankcaseHeater;
use stemwise_rehearse::{Guard, Room};
use stemwise_service::Action;
use stemwise_units::Temperature;
use support::{Bench, bench, of_text};

/// A split unit that stands through a night: 5 °C outdoors, 22 °C indoors.
fn night(watts: Option<f64>) -> Bench {
    let mut here = bench("split-air-conditioner", true);
    here.now.advance(600.0);
    let heater = watts.map(|power_w| CrankcaseHeater { power_w, self_regulating_k: None });
    here.now.set_guard(here.joint("compressor"), Guard { heater, delay_s: 0.0 });
    here.act(Action::LockOut);
    here.now.set_place(PlaceId(0), Temperature::from_celsius(5.0));
    here.now.set_place(PlaceId(1), Temperature::from_celsius(22.0));
    here.now.advance(10.0 * 3600.0);
    here.kept();
    here
}

/// Refrigerant leaves the warm rooms and comes down where it is cold, in the shell too; a heater that keeps the shell warmer than the coil beside it keeps it dry (common
/// practice: 30 to 50 W for such a unit).
#[test]
fn refrigerant_comes_to_a_cold_shell() {
    let [cold, warm] = [None, Some(50.0)].map(|watts| {
        let here = night(watts);
        let view = here.now.space(here.space("compressor")).unwrap();
        println!(
            "{watts:?} W: {} kg in the shell, {:.3} of it liquid, {} C {:?}",
            view.refrigerant.as_kg(),
            view.liquid,
            view.temperature.as_celsius(),
            here.now.statistics()
        );
        (view.refrigerant.as_kg(), view.liquid, view.temperature.as_celsius())
    });
    assert!(cold.1 > 0.02, "{cold:?}");
    assert!(warm.1 < 1e-3 && warm.0 < 0.5 * cold.0 && warm.2 > cold.2 + 3.0, "{warm:?} beside {cold:?}");
}

/// The file's own heater and delay do the same as those that are set.
#[test]
fn the_file_has_heater_and_delay() {
    let text = examples().iter().find(|found| found.name == "split-air-conditioner").unwrap().text;
    let keys = "[part.compressor]\ncrankcase-heater = \"50 W\"\nrestart-delay = \"4 min\"";
    let mut here = of_text(&text.replace("[part.compressor]", keys), true);
    here.now.advance(600.0);
    here.act(Action::LockOut);
    here.now.set_place(PlaceId(0), Temperature::from_celsius(5.0));
    here.now.set_place(PlaceId(1), Temperature::from_celsius(22.0));
    here.now.advance(10.0 * 3600.0);
    here.kept();
    let set = night(Some(50.0));
    let [file, set] = [&here, &set].map(|here| here.now.space(here.space("compressor")).unwrap());
    assert!((file.temperature.as_k() - set.temperature.as_k()).abs() < 0.05, "{file:?} {set:?}");
    assert!((file.refrigerant.as_kg() / set.refrigerant.as_kg() - 1.0).abs() < 0.01, "{file:?} {set:?}");
    // Power back on, it may not start again at once.
    here.act(Action::RestorePower);
    let joint = here.joint("compressor");
    here.act(Action::Start(joint));
    here.now.advance(60.0);
    assert!(here.now.runs(joint), "it has stood for hours");
    here.act(Action::Stop(joint));
    here.now.advance(10.0);
    here.act(Action::Start(joint));
    here.now.advance(200.0);
    assert!(!here.now.runs(joint), "the delay is not over");
    here.now.advance(60.0);
    assert!(here.now.runs(joint), "the delay is over");
}

/// A room that cools quickly has the compressor start and stop; with a delay no pause is shorter than that.
#[test]
fn a_delay_keeps_a_compressor_from_starting_again_at_once() {
    let pauses = |delay_s: f64| {
        let mut here = bench("split-air-conditioner", true);
        let joint = here.joint("compressor");
        here.now.set_guard(joint, Guard { heater: None, delay_s });
        here.now.set_room(
            PlaceId(1),
            Room { heat_capacity: 4e4, gain: 60.0, outside: 303.15, load: 2500.0, on: 299.15, off: 298.65 },
        );
        let (mut pauses, mut stood, mut started) = (Vec::new(), 0.0, false);
        for _ in 0..3600 {
            here.now.advance(1.0);
            if here.now.runs(joint) {
                if started && stood > 0.0 {
                    pauses.push(stood);
                }
                (stood, started) = (0.0, true);
            } else {
                stood += 1.0;
            }
        }
        here.kept();
        pauses
    };
    let (short, long) = (pauses(0.0), pauses(240.0));
    println!("{short:?} s without, {long:?} s with a delay of 240 s");
    assert!(short.len() >= 3 && short.iter().all(|pause| *pause < 200.0), "{short:?}");
    assert!(long.len() >= 2 && long.iter().all(|pause| (238.0..260.0).contains(pause)), "{long:?}");
}
