//! Holds the verifier against the planner on as many random circuits as asked for: `cargo run --release -p stemwise-prove --example agree -- 10000`.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program by hand, built on what the tests share"
)]

#[path = "../tests/support/mod.rs"]
mod support;

use support::agree::Tally;

fn main() {
    if let Some(seed) = std::env::args().nth(2).and_then(|typed| typed.parse().ok()) {
        println!("{}", support::made::circuit(seed));
        return;
    }
    let count = std::env::args().nth(1).and_then(|typed| typed.parse().ok()).unwrap_or(1_000);
    let tally = Tally::over(0..count);
    println!(
        "{} planned ({} of them open the circuit), {} without a safe way",
        tally.planned, tally.opened, tally.none
    );
    for disagreement in &tally.disagreements {
        println!("{disagreement}");
    }
    println!("{} disagreements", tally.disagreements.len());
}
