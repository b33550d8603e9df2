//! Many more random circuits. `cargo run --release -p stemwise-prove --example agree -- 10000` tries as many as you like.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use support::agree::Tally;

#[test]
#[ignore = "slow"]
fn planner_and_verifier_agree_on_many_random_circuits() {
    let tally = Tally::over(200..1_400);
    assert_eq!(tally.disagreements, Vec::<String>::new());
    assert!(tally.planned >= 600 && tally.opened >= 300, "{tally:?}");
}
