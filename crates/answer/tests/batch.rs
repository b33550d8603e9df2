//! The batch mode against an independent property library: every published point, asked by every pair of its values.
//!
//! The points are CoolProp 8.0.0's, cross-checked with teqp (`crates/thermo/tests/data`, origin in each file).

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::{Map, Value, json};
use stemwise_answer::Batch;

const FILES: [&str; 4] = [
    include_str!("../../thermo/tests/data/reference-points.json"),
    include_str!("../../thermo/tests/data/more-points.json"),
    include_str!("../../thermo/tests/data/blend-points.json"),
    include_str!("../../thermo/tests/data/more-blend-points.json"),
];
/// Everything that a state can be asked by, with what differs too little to count: of itself, and in its own unit (K, Pa, kg/m³, J/kg, J/(kg K)).
const VALUES: [(&str, f64, f64); 7] = [
    ("T", 1e-7, 0.0),
    ("p", 1e-6, 1e-2),
    ("rho", 1e-6, 0.0),
    ("h", 1e-6, 1e-2),
    ("s", 1e-6, 1e-4),
    ("u", 1e-6, 1e-2),
    ("q", 1e-6, 1e-6),
];

/// What the library knows of a state, by the batch mode's names.
fn known(point: &Value) -> Vec<Map<String, Value>> {
    let mut all: Map<String, Value> = point["in"].as_object().unwrap().clone();
    all.extend(point["out"].as_object().unwrap().clone());
    let number = |name: &str| all.get(name).and_then(Value::as_f64);
    let one = |suffix: &str, q: Option<f64>| {
        let mut state = Map::new();
        for name in ["T", "p"] {
            state.extend(number(name).map(|value| (name.to_owned(), json!(value))));
        }
        for name in ["rho", "h", "s", "u"] {
            state.extend(number(&format!("{name}{suffix}")).map(|value| (name.to_owned(), json!(value))));
        }
        state.extend(q.map(|q| ("q".to_owned(), json!(q))));
        let of = |state: &Map<String, Value>, name: &str| state.get(name).and_then(Value::as_f64);
        if let (Some(p), Some(rho), Some(h)) = (of(&state, "p"), of(&state, "rho"), of(&state, "h")) {
            state.insert("u".to_owned(), json!(h - p / rho));
        }
        state
    };
    match point["type"].as_str().unwrap() {
        "sat" => vec![one("_l", Some(0.0)), one("_v", Some(1.0))],
        "bubble" => vec![one("", Some(0.0))],
        "dew" => vec![one("", Some(1.0))],
        _ => vec![one("", number("q").or(number("x")))],
    }
}

/// Enthalpy and energy together fix no state, a vapour fraction only does with temperature or pressure; and on the saturation curve, which rounding
/// may leave to either side, temperature and pressure don't.
fn fixes(one: &str, other: &str, saturated: bool) -> bool {
    match (one, other) {
        ("T", "p") => !saturated,
        ("h", "u") => false,
        (_, "q") => matches!(one, "T" | "p"),
        ("q", _) => false,
        _ => true,
    }
}

/// What a pair leaves open beyond that, as a part and in Pa: the pressure of a liquid hardly moves its entropy and energy, a trace of thin vapour
/// hardly the enthalpy and entropy, but the density, and the thinness of a gas hardly its energy and enthalpy.
fn open(one: &str, other: &str, name: &str) -> (f64, f64) {
    match (one, other, name) {
        ("h", "s", "rho") => (5e-3, 0.0),
        ("s", "u", "p") => (2e-4, 200.0),
        ("s", "u", "T" | "rho") => (5e-6, 0.0),
        ("T", "h" | "u", "p" | "rho") => (3e-5, 0.0),
        _ => (0.0, 0.0),
    }
}

#[test]
fn every_point_comes_back_by_every_pair() {
    let mut batch = Batch::default();
    let (mut asked, mut others, mut off) = (0, 0, Vec::new());
    for text in FILES {
        let file: Value = serde_json::from_str(text).unwrap();
        for point in file["points"].as_array().unwrap() {
            for state in known(point) {
                let names: Vec<&String> = state.keys().collect();
                let pairs = names
                    .iter()
                    .enumerate()
                    .flat_map(|(n, one)| names.iter().skip(n + 1).map(move |other| (*one, *other)));
                for (one, other) in pairs.filter(|(one, other)| fixes(one, other, state.contains_key("q"))) {
                    let given = json!({ one: state[one.as_str()], other: state[other.as_str()] });
                    let line = json!({ "id": asked, "fluid": point["fluid"], "given": given }).to_string();
                    let mut out = Vec::new();
                    batch.line(line.as_bytes(), &mut out);
                    asked += 1;
                    let answer: Value = serde_json::from_slice(&out).unwrap();
                    let gaps: Vec<String> = VALUES
                        .iter()
                        .filter_map(|(name, relative, absolute)| {
                            let wanted = state.get(*name)?.as_f64()?;
                            // At the ends a state may be called one phase.
                            if *name == "q" && !(wanted > 0.0 && wanted < 1.0) {
                                return None;
                            }
                            let found = answer[*name].as_f64().unwrap_or(f64::NAN);
                            let gap = (found - wanted).abs();
                            let (part, more) = open(one, other, name);
                            (gap.is_nan() || gap > (relative + part) * wanted.abs() + absolute + more)
                                .then(|| format!("{name} {found:e} for {wanted:e}"))
                        })
                        .collect();
                    // Of two states that share temperature and enthalpy, or energy, the thinner one is meant.
                    let of = |state: &Value, name: &str| state[name].as_f64().unwrap_or(f64::NAN);
                    let shares =
                        |name: &str| (of(&answer, name) / state[name].as_f64().unwrap() - 1.0).abs() < 1e-8;
                    let thinner = one == "T"
                        && matches!(other.as_str(), "h" | "u")
                        && shares(one)
                        && shares(other)
                        && of(&answer, "rho") < 0.9999 * state["rho"].as_f64().unwrap();
                    others += usize::from(thinner);
                    if !gaps.is_empty() && !thinner {
                        off.push(format!(
                            "{} by {one}, {other}: {} {}",
                            point["id"],
                            gaps.join(", "),
                            answer["error"]
                        ));
                    }
                }
            }
        }
    }
    assert!(off.is_empty(), "{} of {asked}:\n{}", off.len(), off.join("\n"));
    assert!(others * 50 < asked, "{others} of {asked} are another state that shares what was given");
    assert!(asked > 10_000, "only {asked} asked");
}
