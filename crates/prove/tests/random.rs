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

/// Circuits on which they once did: test gas shut in with a drier, a test that did not get to a compressor's own side or had to stay below a charge on a cold
/// night, and a charge with a hose of liquid to be made up for.
#[test]
fn they_agree_where_they_once_did_not() {
    let tally = Tally::over([2378, 2755, 4147, 6902, 7952, 9404]);
    assert_eq!(tally.disagreements, Vec::<String>::new());
    assert_eq!(tally.planned, 6, "{tally:?}");
}
