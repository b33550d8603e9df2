//! Frost on a coil in damp air: it grows, takes the coil's work away, and melts when the coil stands above 0 °C.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::PlaceId;
use stemwise_rehearse::Fault;
use stemwise_service::Action;
use stemwise_units::Temperature;
use support::{Bench, bench};

fn damp(humidity: f64) -> Bench {
    let mut here = bench("walk-in-cooler", true);
    here.now.put_fault(Fault::DampAir { place: PlaceId(1), humidity });
    here
}

fn frost(here: &Bench) -> f64 {
    here.now.space(here.space("evaporator")).unwrap().frost.as_kg()
}

/// The coil at work in air of 3 °C with 85 %: what freezes carries L·Δw/(cp·Δt) times the sensible heat (any psychrometric text; Lewis number 1). Saturation pressures
/// of ASHRAE Fundamentals, psychrometrics (from memory; IAPWS agrees): 757.8 Pa over water at 3 °C; over ice 517.3 Pa at -2 °C and 475.7 at -3.
#[test]
fn frost_grows_as_psychrometrics_has_it() {
    let mut here = damp(0.85);
    here.now.advance(600.0);
    let (kg, evaporator) = (frost(&here), here.space("evaporator"));
    let (mut sensible, mut time) = (0.0, 0.0);
    let (mut coldest, mut warmest) = (f64::MAX, f64::MIN);
    while time < 600.0 {
        here.now.advance(10.0);
        sensible += 10.0 * here.now.coil(evaporator).unwrap().heat.as_w();
        let wall = here.now.space(evaporator).unwrap().wall.as_celsius();
        (coldest, warmest) = (wall.min(coldest), wall.max(warmest));
        time += 10.0;
    }
    let grown = frost(&here) - kg;
    let air = here.assembly.circuit.atmosphere.as_pa();
    let ratio = |pa: f64| 0.621_945 * pa / (air - pa);
    let wall = 0.5 * (coldest + warmest);
    println!("{kg} kg, {grown} kg more in 10 min, walls {coldest} to {warmest} C, {sensible} J");
    assert!((-4.0..-0.5).contains(&wall) && warmest - coldest < 1.0, "{coldest} to {warmest} C");
    // Straight in the logarithm between the two printed pressures.
    let over_ice = 517.3 * libm::exp((wall + 2.0) * libm::log(517.3 / 475.7));
    let expected = sensible / (1006.0 * (3.0 - wall)) * (ratio(0.85 * 757.8) - ratio(over_ice));
    assert!((grown / expected - 1.0).abs() < 0.03, "{grown} kg, {expected} kg");
    here.kept();
}

/// Hours of it take the coil's air away: less cooling, a colder coil. Standing in a room above 0 °C the frost melts and takes its heat; dry air leaves none, and a
/// coil above 0 °C none either.
#[test]
fn frost_takes_the_cooling_away_and_melts() {
    let mut here = damp(0.9);
    let evaporator = here.space("evaporator");
    here.now.advance(1200.0);
    let (first, warm) = (here.now.refrigeration().as_w(), here.bar("evaporator"));
    for hour in 1..=6 {
        here.now.advance(3600.0);
        println!(
            "{hour} h: {} kg, {} W, {} bar, {:?}",
            frost(&here),
            here.now.refrigeration().as_w(),
            here.bar("evaporator"),
            here.now.statistics()
        );
    }
    let (last, cold) = (here.now.refrigeration().as_w(), here.bar("evaporator"));
    let grown = frost(&here);
    assert!(last < 0.8 * first && cold < warm, "{first} W, {last} W");
    here.act(Action::LockOut);
    here.now.advance(1200.0);
    let wall = here.now.space(evaporator).unwrap().wall.as_celsius();
    let melting = frost(&here);
    assert!(melting < grown && melting > 0.0 && wall < 2.0, "{melting} kg of {grown}, wall {wall} C");
    let mut hours = 0;
    while frost(&here) > 0.0 {
        here.now.advance(3600.0);
        hours += 1;
        assert!(hours < 48, "{} kg left", frost(&here));
    }
    println!("melted within {hours} h");
    here.kept();
    let mut dry = damp(0.2);
    dry.now.advance(3600.0);
    assert!(frost(&dry) <= 0.0, "{} kg", frost(&dry));
    let mut warm = damp(0.8);
    warm.now.set_place(PlaceId(1), Temperature::from_celsius(24.0));
    warm.now.advance(120.0);
    let (before, wall) = (frost(&warm), warm.now.space(evaporator).unwrap().wall.as_celsius());
    assert!(wall > 0.0, "{wall} C");
    warm.now.advance(1800.0);
    assert!(frost(&warm) <= before, "{} kg, {before} kg at {wall} C", frost(&warm));
}
