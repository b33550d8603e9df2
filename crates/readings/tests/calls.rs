//! Service calls that another simulator ran (scripts/fault_calls.py: coils marched in steps, flow through the orifice by homogeneous equilibrium,
//! properties of a general-purpose library): what the ranker makes of them.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod circuits;

use circuits::{Dice, System, Tally, rank, read_off};
use serde_json::Value;
use stemwise_readings::{FaultKind, MeteringKind, Reading};

/// What was there, in the order of the readings.
fn truths(call: &Value) -> Vec<(Reading, f64)> {
    let found = |name: &str| call["found"][name].as_f64().unwrap();
    vec![
        (Reading::SuctionPressure, found("suction_pa")),
        (Reading::DischargePressure, found("discharge_pa")),
        (Reading::SuctionLine, found("suction_line_k")),
        (Reading::EvaporatorOutlet, found("outlet_k")),
        (Reading::LiquidLine, found("liquid_line_k")),
        (Reading::LiquidLineEnd, found("liquid_end_k")),
        (Reading::DischargeLine, found("discharge_line_k")),
        (Reading::OntoCondenser, call["outdoor_k"].as_f64().unwrap()),
        (Reading::OffCondenser, found("condenser_off_k")),
        (Reading::OntoEvaporator, call["indoor_k"].as_f64().unwrap()),
        (Reading::OffEvaporator, found("air_off_k")),
        (Reading::Power, found("power_w")),
    ]
}

#[test]
#[allow(clippy::print_stderr, reason = "the figures are wanted")]
fn another_simulators_faults() {
    let file: Value = serde_json::from_str(include_str!("fault_calls.json")).unwrap();
    let mut dice = Dice::new(71);
    let system = System::new("split-air-conditioner", &mut dice);
    let mut tally = Tally::default();
    for call in file["calls"].as_array().unwrap() {
        let set = read_off(&system, truths(call), MeteringKind::Fixed, &mut dice);
        let named = |kind: &&FaultKind| Some(kind.id()) == call["fault"].as_str();
        let fault = FaultKind::ALL.iter().find(named).map(|kind| (*kind, call["size"].as_f64().unwrap()));
        let ranking = rank(&system, &set, &[]);
        tally.count(&circuits::Case { faults: fault.into_iter().collect(), ranking, with_healthy: None });
    }
    eprintln!("{}", tally.say("another simulator"));
    assert!(tally.all >= 100, "{}", tally.all);
    assert!(tally.part() >= 0.85, "{}", tally.part());
    assert!(tally.covered() + tally.covered_chance() >= 0.90, "{}", tally.covered());
    assert_eq!(tally.added_wrongly, 0, "of {} that may be topped up", tally.may_add);
}
