//! What planning costs, beside a fixed piece of work in the same run: `cargo run --release -p stemwise-answer --example plan_speed`.
//!
//! The yardstick is ten thousand states of R-134a from temperature and density.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, reason = "a benchmark")]

use std::hint::black_box;
use std::time::Instant;

use stemwise_answer::{Batch, PlanAsk, example, plan};

/// The median of five runs, in milliseconds.
fn median(mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..5)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[2]
}

fn main() {
    let line = br#"{"id":1,"fluid":"R-134a","given":{"T":300,"rho":5}}"#;
    let mut out = Vec::new();
    let mut batch = Batch::default();
    let yardstick = median(|| {
        for _ in 0..10_000 {
            out.clear();
            batch.line(black_box(line), &mut out);
        }
    });
    println!("yardstick, 10,000 states: {yardstick:.1} ms");
    for (circuit, job) in [
        ("walk-in-cooler", "replace the drier"),
        ("walk-in-cooler", "replace the compressor"),
        ("split-air-conditioner", "repair the liquid line"),
        ("rack", "replace the drier"),
        ("rack", "replace the metering device: branch-3-expansion"),
        ("rack", "replace the compressor: compressor-1"),
    ] {
        let file = example(circuit).unwrap().as_bytes();
        let ask = PlanAsk { job: job.into(), ..PlanAsk::default() };
        let time = median(|| {
            black_box(plan(black_box(file), &ask).unwrap());
        });
        println!("{circuit}, {job}: {time:.1} ms, {:.2} yardsticks", time / yardstick);
    }
}
