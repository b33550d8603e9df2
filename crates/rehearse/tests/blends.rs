//! Blends in motion: every example circuit with a blend of about the pressures that it is built for.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::{Position, examples};
use stemwise_service::Action;
use stemwise_thermo::Substance;
use stemwise_units::Pressure;
use support::{Bench, of_text};

/// An example with another refrigerant.
fn with(example: &str, blend: &str, running: bool) -> Bench {
    let text = examples().iter().find(|found| found.name == example).unwrap().text;
    let line = text.lines().find(|line| line.starts_with("refrigerant = ")).unwrap();
    of_text(&text.replacen(line, &format!("refrigerant = \"{blend}\""), 1), running)
}

/// Runs, and what the coils show is right: bubble and dew point by the full model (which is checked against an independent library), superheat above
/// the one, subcooling below the other, liquid in the condenser and vapour at the compressor.
fn runs(example: &str, blend: &str, glide: std::ops::Range<f64>) {
    let mut here = with(example, blend, true);
    here.now.advance(1500.0);
    here.kept();
    let refrigerant = Substance::named(blend).unwrap();
    let balance = here.now.balance(true);
    assert!(balance.capacity.as_w() > 0.6 * here.assembly.circuit.capacity.map_or(0.0, |watts| watts.as_w()));
    println!("{example} {blend}: {:.0} W of cooling, {:?}", balance.capacity.as_w(), here.now.statistics());
    for coil in &balance.coils {
        let exact = refrigerant.saturation_at_pressure(coil.pressure).unwrap();
        assert!((exact.bubble.temperature().as_k() - coil.bubble.as_k()).abs() < 0.01, "{coil:?}");
        assert!((exact.dew.temperature().as_k() - coil.dew.as_k()).abs() < 0.01, "{coil:?}");
        let difference = coil.difference.as_k();
        println!(
            "  {:.3} bar, bubble {:.2} dew {:.2} °C, {} {difference:.2} K",
            coil.pressure.as_bar(),
            coil.bubble.as_celsius(),
            coil.dew.as_celsius(),
            if coil.condenses { "subcooled by" } else { "superheated by" }
        );
        assert!(glide.contains(&(coil.dew.as_k() - coil.bubble.as_k())), "{coil:?}");
        assert!((-1.0..14.0).contains(&difference), "{coil:?}");
    }
    let said = here.now.assumed().iter().any(|assumed| assumed.property.contains("composition"));
    assert!(said, "that the composition stays the same is said");
}

#[test]
fn a_heat_pump_with_a_small_glide() {
    runs("heat-pump", "R-454B", 0.5..2.0);
}

#[test]
fn a_split_unit_with_a_large_glide() {
    runs("split-air-conditioner", "R-407C", 3.5..7.5);
}

#[test]
fn a_walk_in_cooler_with_hardly_any_glide() {
    runs("walk-in-cooler", "R-450A", 0.2..1.2);
}

#[test]
fn a_two_temperature_plant_with_a_glide() {
    runs("two-temperature", "R-437A", 1.5..6.0);
}

#[test]
fn a_sealed_freezer_with_a_composition_of_ones_own() {
    runs("sealed-freezer", "R-600a/R-290 80/20", 3.0..11.0);
}

/// R-407C at the atmosphere's pressure: bubble point -43.6 °C, dew point -36.6 °C (tables of ANSI/ASHRAE 34).
#[test]
fn the_glide_is_the_published_one() {
    let here = with("split-air-conditioner", "R-407C", false);
    let medium = stemwise_rehearse::Medium::named("R-407C").unwrap();
    let (bubble, dew) = medium.saturation_temperatures(Pressure::from_kpa(101.325));
    assert!((bubble.as_celsius() + 43.6).abs() < 0.2, "{}", bubble.as_celsius());
    assert!((dew.as_celsius() + 36.6).abs() < 0.2, "{}", dew.as_celsius());
    // What stands with liquid and vapour lies between the two.
    let rest = here.now.space(here.space("condenser")).unwrap();
    let (bubble, dew) = medium.saturation_temperatures(rest.pressure);
    let between = bubble.as_k() - 0.01..dew.as_k() + 0.01;
    assert!(rest.liquid > 0.0 && rest.liquid < 1.0 && between.contains(&rest.temperature.as_k()), "{rest:?}");
}

/// A blend is recovered, and what was in the system is in the cylinder.
#[test]
fn a_blend_is_recovered() {
    let mut here = with("walk-in-cooler", "R-437A", false);
    let rigged = here.assembly.rigged.clone();
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("drier-port") });
    here.turn("low-hand-valve", Position::Open);
    here.act(Action::Start(rigged.recovery_machine.unwrap()));
    here.now.advance(2.0 * 3600.0);
    here.kept();
    assert!(here.kg("cylinder") > 3.0, "{}", here.kg("cylinder"));
}
