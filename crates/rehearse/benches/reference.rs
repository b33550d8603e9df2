//! The runs of `scripts/motion_reference.py`: how long each takes here, and the pressures it comes to, a line of JSON each. `scripts/bench_motion.py` runs
//! this and the script by turns.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program that reads the clock and prints what it measured"
)]

use std::time::Instant;

use serde_json::{Value, json};
use small::{REFERENCE, RUNS, Start};
use stemwise_circuit::SpaceId;
use stemwise_rehearse::Rehearsal;

#[path = "../tests/support/small.rs"]
mod small;

const TURNS: usize = 20;

fn measure(name: &str, start: Start, reference: &Value) -> Value {
    let rows = reference["found"]["rows"].as_array().unwrap();
    let cells = reference["found"]["cells"].as_array().unwrap();
    let seconds: Vec<f64> = rows.iter().map(|row| row["s"].as_f64().unwrap()).collect();
    let first = start();
    let mut best = f64::INFINITY;
    for _ in 0..TURNS {
        let mut now = first.clone();
        let clock = Instant::now();
        now.advance(*seconds.last().unwrap());
        best = best.min(clock.elapsed().as_secs_f64());
    }
    let mut now = first;
    let pressure = |now: &Rehearsal, cell: &Value| {
        let at = u32::try_from(cell.as_u64().unwrap()).unwrap();
        now.pressure(SpaceId(at)).unwrap().as_pa()
    };
    let pressures = seconds.iter().map(|second| {
        now.advance(second - now.seconds());
        cells.iter().map(|cell| pressure(&now, cell)).collect::<Vec<f64>>()
    });
    let pressures: Vec<Vec<f64>> = pressures.collect();
    json!({ "run": name, "seconds": best, "pa": pressures })
}

fn main() {
    let all: Value = serde_json::from_str(REFERENCE).unwrap();
    for (name, start) in RUNS {
        println!("{}", measure(name, start, &all[name]));
    }
}
