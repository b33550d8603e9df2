//! Reads power-supply-restoration problems in PDDL and prints the optimal cost of each:
//! `cargo run --release -p stemwise-search --example power_supply -- p1.pddl …`.
#![allow(clippy::print_stdout, reason = "a program by hand")]

#[path = "support/supply.rs"]
mod supply;

use stemwise_search::{Outcome, search};
use supply::Supply;

/// More states than this are not expanded.
const LIMIT: u64 = 20_000_000;

fn solved(path: &str) -> Result<String, String> {
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    let problem = Supply::read(&text)?;
    let found = search(&problem, problem.closed, LIMIT);
    let expanded = found.statistics.expanded;
    Ok(match found.outcome {
        Outcome::Solved { plan, cost } => {
            let name = |device: &usize| problem.devices[*device].as_str();
            let words: Vec<String> = plan
                .iter()
                .map(|step| match step {
                    supply::Step::Open(device) => format!("open {}", name(device)),
                    supply::Step::Close(device) => format!("close {}", name(device)),
                    supply::Step::Wait => "wait".into(),
                })
                .collect();
            format!("cost {cost}, {expanded} states expanded: {}", words.join(", "))
        }
        Outcome::Unsolvable => format!("no plan, {expanded} states expanded"),
        Outcome::Limit { at_least } => format!("gave up; the cost is at least {at_least}"),
    })
}

fn main() {
    for path in std::env::args().skip(1) {
        match solved(&path) {
            Ok(said) => println!("{path}: {said}"),
            Err(why) => println!("{path}: {why}"),
        }
    }
}
