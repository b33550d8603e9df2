//! On circuits made at random planner and verifier never disagree.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use support::agree::{Came, agree};

#[test]
fn planner_and_verifier_agree_on_random_circuits() {
    let (mut planned, mut none) = (0, 0);
    let mut bad = 0;
    for seed in 0..200 {
        match agree(seed) {
            Came::NoWay => none += 1,
            Came::Planned(found) => {
                let (job, certificate) = *found;
                planned += 1;
                if let Some(failure) = certificate.first_failure() {
                    bad += 1;
                    println!("seed {seed}, {}: {failure:?}", job.words());
                }
            }
        }
    }
    println!("{planned} planned, {none} none, {bad} bad");
    assert!(planned >= 100, "{planned}");
}
