//! Holds the verifier against the planner on as many random circuits as asked for: `cargo run --release -p stemwise-prove --example agree -- 10000`.
//! With several numbers only those circuits are tried; with `show` and one number that circuit is printed.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program by hand, built on what the tests share"
)]

#[path = "../tests/support/mod.rs"]
mod support;

use support::agree::Tally;

fn main() {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let numbers: Vec<u64> = given.iter().filter_map(|typed| typed.parse().ok()).collect();
    if let ([word, _], [seed]) = (given.as_slice(), numbers.as_slice())
        && word == "show"
    {
        println!("{}", support::made::circuit(*seed));
        return;
    }
    let tally = match numbers.as_slice() {
        [] => Tally::over(0..1_000),
        [count] => Tally::over(0..*count),
        these => Tally::over(these.iter().copied()),
    };
    println!(
        "{} planned ({} of them open the circuit), {} without a safe way",
        tally.planned, tally.opened, tally.none
    );
    for disagreement in &tally.disagreements {
        println!("{disagreement}");
    }
    println!("{} disagreements", tally.disagreements.len());
}
