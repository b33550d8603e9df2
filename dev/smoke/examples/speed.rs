//! Times each task natively, one a line: its name, the nanoseconds of an item, and what came out. `scripts/wasm.sh --speed` runs it.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program that reads the clock and prints what it measured"
)]

use std::time::Instant;

use stemwise_smoke::speed::{TASKS, work};

fn main() {
    for (task, (name, items)) in TASKS.into_iter().enumerate() {
        let sum = work(task, 1);
        let mut best = f64::INFINITY;
        let clock = Instant::now();
        let mut turns = 0;
        // As `speed.mjs` does it.
        while turns < 5 || (clock.elapsed().as_secs_f64() < 0.5 && turns < 1000) {
            let turn = Instant::now();
            work(task, 1);
            best = best.min(turn.elapsed().as_secs_f64() * 1e9 / f64::from(items));
            turns += 1;
        }
        println!("{name}\t{items}\t{best:.1}\t{sum:e}");
    }
}
