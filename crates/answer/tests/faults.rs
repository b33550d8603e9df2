//! Readings, faults and charging by the running balance of a circuit, from what a person types to the shape that every face shows.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_answer::{ChargeAsk, EvidenceCommon, SetAsk, charge, faults, readings};
use stemwise_units::UnitSystem;

fn common() -> EvidenceCommon {
    let circuit = include_bytes!("../../../examples/circuits/split-air-conditioner.toml").to_vec();
    EvidenceCommon {
        fluid: None,
        circuit: Some(circuit),
        atmosphere: None,
        measured_atmosphere: false,
        units: UnitSystem::Si,
        page: Some("a4".into()),
        heading: None,
    }
}

fn set(reads: &[&str]) -> SetAsk {
    let with = |name: &str| {
        let instrument = if name.contains("pressure") { "1 % of reading" } else { "0.5 K, insulated" };
        format!("{name}={instrument}")
    };
    let names = reads.iter().filter_map(|read| read.split_once('=')).map(|(name, _)| name);
    SetAsk {
        reads: reads.iter().map(|read| (*read).to_owned()).collect(),
        instruments: names.filter(|name| *name != "power").map(with).collect(),
        ..SetAsk::default()
    }
}

/// The circuit's own balance at 35 °C (crates/rehearse, steady), in what a technician reads.
const WELL: [&str; 10] = [
    "suction-pressure=13.23 bar",
    "discharge-pressure=28.33 bar",
    "suction-line=23.5 C",
    "liquid-line=43.6 C",
    "discharge-line=79.2 C",
    "onto-condenser=35 C",
    "off-condenser=41.1 C",
    "onto-evaporator=26 C",
    "off-evaporator=22.0 C",
    "power=875 W",
];

/// The same with 80 % of the charge.
const LACKS: [&str; 10] = [
    "suction-pressure=11.56 bar",
    "discharge-pressure=26.57 bar",
    "suction-line=26.2 C",
    "liquid-line=44.4 C",
    "discharge-line=87.9 C",
    "onto-condenser=35 C",
    "off-condenser=40.2 C",
    "onto-evaporator=26 C",
    "off-evaporator=22.7 C",
    "power=843 W",
];

#[test]
fn a_sound_circuit_is_as_it_should_be() {
    let answer = readings(&common(), &set(&WELL)).unwrap();
    let subcooling = answer.values.iter().find(|value| value.id == "subcooling").unwrap();
    let target = subcooling.target.as_ref().unwrap();
    let (low, high) = (target.low.unwrap(), target.high.unwrap());
    assert!(low < 3.5 && high > 3.4, "{low} to {high}: {target:?}");
    assert!(
        answer
            .values
            .iter()
            .filter(|it| it.target.as_ref().is_some_and(|target| target.word == "circuit"))
            .count()
            >= 5
    );
    let ranked = faults(&common(), &set(&WELL)).unwrap();
    assert_eq!(
        (ranked.calibrated, ranked.suspects[0].id.as_str()),
        (Some(true), "none"),
        "{:?}",
        ranked.suspects
    );
    assert_eq!(ranked.may_add.as_deref(), Some("not-called-for"));
}

#[test]
fn what_is_missing_has_a_size_and_a_next_step() {
    let ranked = faults(&common(), &set(&LACKS)).unwrap();
    let first = &ranked.suspects[0];
    assert_eq!(first.id, "undercharge", "{:?}", ranked.suspects);
    let [low, high] = first.size.unwrap();
    assert!(low < 0.2 && high > 0.2 && high - low < 0.25, "{low} to {high}");
    assert!(first.sizes[0].ends_with("% of the charge"), "{:?}", first.sizes);
    assert!(!first.in_favour.is_empty() && ranked.page.unwrap().contains("of the charge"));
    let asked = ChargeAsk { by: Some("balance".into()), set: set(&LACKS), ..ChargeAsk::default() };
    let charging = charge(&common(), &asked).unwrap();
    if ranked.may_add.as_deref() == Some("yes") {
        assert!(charging.verdict.starts_with("Add "), "{}", charging.verdict);
        assert!(
            charging
                .values
                .iter()
                .any(|value| value.id == "missing" && value.low < 0.21 && value.high > 0.21)
        );
    } else {
        assert!(charging.verdict.starts_with("Do not change"), "{}", charging.verdict);
    }
}

#[test]
fn too_little_read_falls_back_to_named_signs() {
    let few = set(&LACKS[..4]);
    let ranked = faults(&common(), &few).unwrap();
    assert_eq!(ranked.calibrated, Some(false));
    assert!(ranked.remarks.iter().any(|it| it.contains("must both be read")), "{:?}", ranked.remarks);
    assert!(ranked.remarks.iter().any(|it| it.contains("Rossi and Braun")));
    assert_ne!(ranked.may_add.as_deref(), Some("yes"));
    let without = EvidenceCommon { circuit: None, fluid: Some("R-32".into()), ..common() };
    let ranked = faults(&without, &set(&LACKS)).unwrap();
    assert_eq!(ranked.calibrated, Some(false));
    let asked = ChargeAsk { by: Some("balance".into()), set: set(&LACKS), ..ChargeAsk::default() };
    assert!(charge(&without, &asked).unwrap_err().to_string().contains("circuit"));
}
