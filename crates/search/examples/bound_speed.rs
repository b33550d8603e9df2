//! What the isolation-cut bound saves against counting what is out of place, on the published problems, in one run:
//! `cargo run --release -p stemwise-search --example bound_speed`.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, reason = "a benchmark")]

mod support;

use std::time::Instant;

use stemwise_search::stems::{Effort, Planner, Weights};
use support::{Constants, Problem};

fn main() {
    let file: serde_json::Value =
        serde_json::from_str(include_str!("../tests/data/service-plans.json")).unwrap();
    let constants = Constants::read(&file);
    println!("problem       full: states      ms   plain: states      ms   states saved   time saved");
    for value in file["instances"].as_array().unwrap() {
        let problem = Problem::read(value, constants).unwrap();
        let run = |effort| {
            let start = Instant::now();
            let found = Planner::new(&problem.plant, Weights::BALANCED, effort).plan(300_000);
            (found.statistics.expanded, start.elapsed().as_secs_f64() * 1e3)
        };
        let ((full, full_ms), (plain, plain_ms)) = (run(Effort::Full), run(Effort::Plain));
        let (states, time) = (plain as f64 / full.max(1) as f64, plain_ms / full_ms);
        println!(
            "{:<12} {full:>13} {full_ms:>7.1} {plain:>15} {plain_ms:>7.1} {states:>13.1}x {time:>11.1}x",
            value["id"].as_str().unwrap_or_default()
        );
    }
}
