//! Derived readings against Monte Carlo with a general-purpose property library (`scripts/readings_monte_carlo.py`; CoolProp 8.0.0, numpy).
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::Value as Json;
use stemwise_readings::{Instrument, Item, Measured, MeteringKind, Reading, ReadingSet, Value, work_out};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, PressureDifference};

fn instrument(text: &str, measured: Measured) -> Option<Instrument> {
    Some(Instrument::parse(text, measured).unwrap())
}

fn items(inputs: &Json) -> Vec<Item> {
    let number = |name: &str| inputs[name].as_f64().unwrap();
    let pressure = |reading, name: &str, half: &str| Item {
        reading,
        value: Value::Gauge(number(name)),
        instrument: instrument(&format!("{} Pa", number(half)), Measured::Pressure),
    };
    let contact = match number("contact") {
        part if part > 0.03 => "bare",
        part if part > 0.0 => "insulated",
        _ => "immersed",
    };
    let temperature = |reading, name: &str| Item {
        reading,
        value: Value::Si(number(name)),
        instrument: instrument(&format!("{} K, {contact}", number("t_half")), Measured::Temperature),
    };
    vec![
        pressure(Reading::SuctionPressure, "suction_gauge", "p_half_low"),
        pressure(Reading::DischargePressure, "discharge_gauge", "p_half_high"),
        temperature(Reading::SuctionLine, "suction_line"),
        temperature(Reading::DischargeLine, "discharge_line"),
        temperature(Reading::LiquidLine, "liquid_line"),
        temperature(Reading::OntoCondenser, "outdoor"),
        Item { reading: Reading::Power, value: Value::Si(number("power")), instrument: None },
    ]
}

#[test]
fn derived_values_and_their_uncertainties() {
    let file: Json = serde_json::from_str(include_str!("monte_carlo.json")).unwrap();
    let mut checked = 0;
    for case in file["cases"].as_array().unwrap() {
        let substance = Substance::named(case["inputs"]["fluid"].as_str().unwrap()).unwrap();
        let worked = work_out(&ReadingSet {
            substance: &substance,
            atmosphere: Pressure::from_pa(101_325.0),
            atmosphere_within: PressureDifference::from_kpa(2.0),
            items: items(&case["inputs"]),
            metering: MeteringKind::Unknown,
            phases: 1,
            given_targets: Vec::new(),
        });
        for (id, drawn) in case["results"].as_object().unwrap() {
            let found = &worked.get(id).unwrap_or_else(|| unreachable!("{id} does not follow")).value;
            let number = |name: &str| drawn[name].as_f64().unwrap();
            let (mean, sd) = (number("mean"), number("sd"));
            assert!(
                (found.value - mean).abs() < 0.1 * sd,
                "{substance:?} {id}: {} against {mean}, sd {sd}",
                found.value
            );
            assert!((found.standard / sd - 1.0).abs() < 0.04, "{id}: {} against {sd}", found.standard);
            // The interval with coverage factor 2 holds at least the middle 95 %, and not much more (sums of rectangles are short-tailed).
            let (low, high) = (found.value - found.expanded(), found.value + found.expanded());
            assert!(low < number("low") + 0.15 * sd && high > number("high") - 0.15 * sd, "{id}");
            checked += 1;
        }
    }
    assert_eq!(checked, 30);
}
