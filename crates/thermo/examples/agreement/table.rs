//! How well each substance agrees with the reference library, from the points that the tests use.

use std::collections::BTreeMap;

use serde_json::Value;
use stemwise_thermo::{Given, RawState, Substance, blends, fluids};
use stemwise_units::{Density, Pressure, Temperature};

const LIBRARY: &str = "CoolProp 8.0.0";

const FILES: [&str; 3] = [
    include_str!("../../tests/data/reference-points.json"),
    include_str!("../../tests/data/more-points.json"),
    include_str!("../../tests/data/more-blend-points.json"),
];

/// How many values were compared and the largest part that one was off.
type Found = BTreeMap<String, (u32, f64)>;

pub(crate) fn table() -> String {
    let mut found = Found::new();
    for file in FILES {
        let file: Value = serde_json::from_str(file).unwrap_or_default();
        for point in file["points"].as_array().into_iter().flatten() {
            compare(point, &mut found);
        }
    }
    let mut text = format!(
        "# Largest relative deviation from the property library {LIBRARY} over pressure, density, heat capacity and speed of sound at the points of\n\
         # crates/thermo/tests/data, rounded up to a power of ten; points within 1 % of a critical temperature are left out.\n\
         # Made by `cargo run --release -p stemwise-thermo --example agreement > data/agreement.toml`.\n"
    );
    let names = fluids().into_iter().chain(blends().iter().map(|blend| blend.name()));
    for name in names {
        if let Some((values, most)) = found.get(name) {
            let within = format!("1e{}", libm::log10(most.max(1e-12)).ceil());
            text += &format!(
                "\n[[agreement]]\nname = \"{name}\"\nsource = \"{LIBRARY}\"\nvalues = {values}\nwithin = {within}\n"
            );
        }
    }
    text
}

fn compare(point: &Value, found: &mut Found) {
    let Some(substance) = point["fluid"].as_str().and_then(|name| Substance::named(name).ok()) else {
        return;
    };
    let number = |side: &str, key: &str| point[side][key].as_f64();
    let Some(t) = number("in", "T") else { return };
    let critical = substance.critical_temperature().as_k();
    if (t / critical - 1.0).abs() < 0.01 {
        return;
    }
    let temperature = Temperature::from_k(t);
    let one = |given| substance.raw_state(given).ok();
    let quality = |q| one(Given::TemperatureQuality(temperature, q));
    let states: Vec<(Option<RawState>, &str)> = match point["type"].as_str().unwrap_or_default() {
        "sat" => vec![(quality(0.0), "_l"), (quality(1.0), "_v")],
        "bubble" => vec![(quality(0.0), "")],
        "dew" => vec![(quality(1.0), "")],
        "Trho" => {
            let rho = number("in", "rho").map(Density::from_kg_per_m3);
            vec![(rho.and_then(|rho| one(Given::TemperatureDensity(temperature, rho))), "")]
        }
        "pT" | "liquid" | "vapour" => {
            let p = number("in", "p").map(Pressure::from_pa);
            vec![(p.and_then(|p| one(Given::TemperaturePressure(temperature, p))), "")]
        }
        _ => return,
    };
    for (state, side) in states {
        let Some(state) = state else { continue };
        let ours = [
            ("p".to_owned(), Some(state.p)),
            (format!("rho{side}"), Some(state.rho)),
            (format!("cp{side}"), state.cp),
            (format!("w{side}"), state.w),
        ];
        for (key, ours) in ours {
            let (Some(ours), Some(theirs)) = (ours, number("out", &key)) else { continue };
            let entry = found.entry(substance.name()).or_insert((0, 0.0));
            *entry = (entry.0 + 1, entry.1.max((ours / theirs - 1.0).abs()));
        }
    }
}
