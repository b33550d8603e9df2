//! Whether the shipped book says everything that the answer layer says over all examples, and whether each of its phrases is met.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise, and tells how far the book goes"
)]

mod support;

use support::{Reach, judge};

#[test]
#[ignore = "slow"]
fn spanish_says_everything_and_each_phrase_is_met() {
    judge::holds(Reach::All);
}

#[test]
#[ignore = "slow"]
fn spanish_says_everything_over_all_jobs() {
    judge::holds(Reach::AllJobs);
}
