//! On circuits made at random planner and verifier never disagree.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use support::agree::Tally;

#[test]
fn planner_and_verifier_agree_on_random_circuits() {
    let tally = Tally::over(0..200);
    assert_eq!(tally.disagreements, Vec::<String>::new());
    assert!(tally.planned >= 100 && tally.opened >= 50, "{tally:?}");
}
