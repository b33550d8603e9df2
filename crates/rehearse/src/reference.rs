//! Two runs against a stiff integrator in another language with properties from another library: `scripts/motion_reference.py` on the same network.
//!
//! `tests/motion_reference.json` holds the networks as the crate makes them of `tests/small.toml`, and the curves that the script found for them.
//! Where they have changed a test says so with the new ones, and all is renewed by
//!
//! ```text
//! cargo test -p stemwise-rehearse --lib the_networks_are | grep '^{' > networks.json
//! mv networks.json crates/rehearse/tests/motion_reference.json
//! python scripts/motion_reference.py
//! ```
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::{Value, json};

use crate::engine::cell::AIR;
use crate::engine::network::{Cell, Draw, Gate, Law, Link, Passage};
use crate::equipment::vacuum::Rarefied;
use crate::rehearsal::Rehearsal;
use small::{REFERENCE, RUNS};

#[path = "../tests/support/small.rs"]
mod small;

fn cell(now: &Rehearsal, at: usize) -> Value {
    let Cell { volume, wall, inner, outer, around, coil, boundless, .. } = &now.network.cells[at];
    let coil = coil.as_ref().map(|coil| {
        json!({ "condenses": coil.condenses, "wet": coil.wet, "units": coil.units, "cp_v": coil.cp_v, "cp_l": coil.cp_l,
                "fan": coil.fan, "glide": coil.glide })
    });
    let id = now.assembly().graph.spaces.get(at).map(|space| space.id.clone());
    json!({ "id": id, "volume": volume, "wall": wall, "inner": inner, "outer": outer, "around": around, "coil": coil,
            "boundless": boundless, "refrigerant": now.moment.amounts[at][0], "air": now.moment.amounts[at][AIR],
            "t": now.moment.evals[at].t, "t_wall": now.moment.walls[at] })
}

fn passage(passage: &Passage) -> Value {
    assert!(passage.gate == Gate::Free, "the script knows no gates");
    let rarefied = match passage.rarefied {
        Some(Rarefied::Tube { bore_m, length_m }) => json!({ "bore": bore_m, "length": length_m }),
        Some(Rarefied::Aperture { area_m2, hydraulic_diameter_m }) => {
            json!({ "area": area_m2, "diameter": hydraulic_diameter_m })
        }
        None => Value::Null,
    };
    json!({ "area": passage.area, "laminar": passage.laminar, "rarefied": rarefied, "open": passage.open, "back": passage.back })
}

fn link(link: &Link) -> Option<Value> {
    let draw = |draw: Draw| match draw {
        Draw::Mixed => json!(["mixed", 0.0]),
        Draw::Bottom(from) => json!(["bottom", from]),
        Draw::Top(from) => json!(["top", from]),
        Draw::Coil => json!(["coil", 0.0]),
    };
    let law = match &link.law {
        law if law.is_shut() => return None,
        Law::Passage(one) => json!({ "passage": passage(one) }),
        Law::Compressor(one) => json!({ "compressor": {
            "swept": one.law.swept_m3_per_s, "clearance": one.law.clearance, "suction_loss": one.law.suction_loss,
            "filling": one.law.filling, "proportional_loss": one.law.proportional_loss, "friction": one.law.friction_pa,
            "speed": one.speed, "kappa": one.kappa, "work": one.work, "motor": one.motor,
            "in_refrigerant": one.in_refrigerant, "valves": one.valves, "leak": one.leak, "reeds": one.reeds } }),
        Law::Vacuum { pump, speed } => {
            json!({ "vacuum": { "speed": pump.speed_m3_per_s * speed, "ultimate": pump.ultimate(false) } })
        }
        other => unreachable!("the script has no law for {other:?}"),
    };
    Some(
        json!({ "a": link.a.cell, "b": link.b.cell, "draw_a": draw(link.a.draw), "draw_b": draw(link.b.draw), "drop": link.drop,
                 "law": law }),
    )
}

fn network(now: &Rehearsal) -> Value {
    let cells: Vec<Value> = (0..now.network.cells.len()).map(|at| cell(now, at)).collect();
    let links: Vec<Value> = now.network.links.iter().filter_map(link).collect();
    json!({ "cells": cells, "links": links })
}

/// Numbers to eight digits, all else exactly.
fn same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            (one - other).abs() <= 1e-8 * one.abs().max(other.abs())
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one.iter().all(|(key, value)| other.get(key).is_some_and(|there| same(value, there)))
        }
        _ => one == other,
    }
}

#[test]
fn the_networks_are_those_of_the_reference() {
    let all: Value = serde_json::from_str(REFERENCE).unwrap();
    let now = RUNS.map(|(name, start)| (name, network(&start())));
    let kept = now.iter().all(|(name, network)| same(&all[*name]["network"], network));
    let [(one, first), (other, second)] = now;
    let new = json!({ one: { "network": first }, other: { "network": second } });
    assert!(kept, "the networks have changed:\n{new}\n");
}

/// How far the rehearsal is from the reference at most: in pressure as a part of it, in what a space holds as a part of all; and where that was.
struct Off {
    pressure: (f64, String),
    mass: (f64, String),
}

/// Runs beside the curves of the reference.
fn beside(name: &str, mut now: Rehearsal, tolerance: Option<f64>) -> Off {
    let all: Value = serde_json::from_str(REFERENCE).unwrap();
    let reference = &all[name];
    if let Some(tolerance) = tolerance {
        now.set_tolerance(tolerance);
    }
    let number = |value: &Value| value.as_f64().unwrap();
    let list = |value: &Value| -> Vec<f64> { value.as_array().unwrap().iter().map(number).collect() };
    let cells: Vec<usize> = list(&reference["found"]["cells"]).into_iter().map(|at| at as usize).collect();
    let rows = reference["found"]["rows"].as_array().unwrap();
    assert!(cells.len() >= 6 && rows.len() >= 20, "{} cells, {} rows", cells.len(), rows.len());
    let pressures =
        |now: &Rehearsal| -> Vec<f64> { cells.iter().map(|&at| now.moment.evals[at].p).collect() };
    let mut off = Off { pressure: (0.0, String::new()), mass: (0.0, String::new()) };
    for row in rows {
        let (seconds, pa, kg) = (number(&row["s"]), list(&row["pa"]), list(&row["kg"]));
        now.advance(seconds - now.seconds());
        let (here, all) = (pressures(&now), kg.iter().sum::<f64>());
        for (place, &at) in cells.iter().enumerate() {
            let held = now.moment.amounts[at][0] + now.moment.amounts[at][AIR];
            let pressure = (here[place] / pa[place] - 1.0).abs();
            let mass = (held - kg[place]).abs() / all;
            let id = &now.assembly().graph.spaces[at].id;
            if pressure > off.pressure.0 {
                let say = format!("{name}, {seconds} s, {id}: {} Pa, {} Pa", here[place], pa[place]);
                off.pressure = (pressure, say);
            }
            if mass > off.mass.0 {
                off.mass = (mass, format!("{name}, {seconds} s, {id}: {held} kg, {} kg", kg[place]));
            }
        }
    }
    off
}

/// Pressures and contents lie within 1 % of the reference all along with the usual steps, from 1 bar to 0.2 mbar and from liquid to a vacuum, and within 0.1 %
/// with short ones: laws and properties agree.
#[test]
fn steps_come_to_the_stiff_integrators_curves() {
    for (name, start) in RUNS {
        let (usual, fine) = (beside(name, start(), None), beside(name, start(), Some(1e-6)));
        for (off, most) in [(usual, 0.01), (fine, 1e-3)] {
            assert!(off.pressure.0 < most, "{}", off.pressure.1);
            assert!(off.mass.0 < 0.5 * most, "{}", off.mass.1);
        }
    }
}

/// What is left falls as it must for steps of second order: by 4.6 times for a tenth of the tolerance (the power of two thirds), less where both are as
/// near as the reference's own digits. Steps are counted: no more are taken than first order took with eight times the tolerance (493 and 440), of which the pressures
/// were off by 12 and 7 %.
#[test]
fn shorter_steps_come_nearer_and_usual_ones_are_few() {
    for ((name, start), most) in RUNS.into_iter().zip([493, 440]) {
        let off = [1e-4, 1e-5].map(|tolerance| beside(name, start(), Some(tolerance)).pressure.0);
        assert!((3.0..8.0).contains(&(off[0] / off[1])), "{name}: {off:?}");
        let mut now = start();
        now.advance(900.0);
        let found = now.statistics();
        assert!(found.steps < most && found.steps > 200, "{name}: {found:?}");
        assert!(found.rejected < found.steps / 20 && found.forced == 0, "{name}: {found:?}");
    }
}
