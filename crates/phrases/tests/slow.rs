//! Whether the shipped book says everything that the answer layer says over all examples, and whether nearly all of its phrases are met.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise, and tells how far the book goes"
)]

mod support;

use support::{Reach, judge};

/// With `STEMWISE_ALL_JOBS` set over every job of every example, the rack's too, which takes very long.
#[test]
#[ignore = "slow"]
fn spanish_says_everything_and_hardly_a_phrase_is_idle() {
    let all = std::env::var_os("STEMWISE_ALL_JOBS").is_some();
    judge::holds(if all { Reach::AllJobs } else { Reach::All });
}
