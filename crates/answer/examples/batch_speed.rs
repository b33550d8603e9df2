//! Property requests a second on one core, beside a loop that only parses and prints the same JSON, in one run.
//!
//! `cargo run --release -p stemwise-answer --example batch_speed -- 500000 [FILE]`; with FILE the requests are written there too, for
//! `stemwise properties --batch`. The requests are spread evenly over temperature and logarithm of density, dome included.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, reason = "a benchmark")]

use std::fmt::Write as _;
use std::time::Instant;

use stemwise_answer::Batch;
use stemwise_wire::PropertyAnswer;

const FLUIDS: [&str; 6] = ["R-134a", "R-22", "R-32", "R-290", "R-717", "R-744"];

/// The fractional parts of multiples of two irrational numbers: even, and the same every time.
fn requests(count: usize) -> String {
    let mut text = String::new();
    for n in 0..count {
        let part = |by: f64| (n as f64 * by).fract();
        let fluid = FLUIDS[n % FLUIDS.len()];
        let kelvin = 230.0 + 170.0 * part(0.618_033_988_749_895);
        let density = (part(0.754_877_666_246_693) * 6.9).exp();
        writeln!(text, r#"{{"id":{n},"fluid":"{fluid}","given":{{"T":{kelvin:.4},"rho":{density:.5}}}}}"#)
            .unwrap();
    }
    text
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let count = arguments.next().map_or(500_000, |text| text.parse().unwrap());
    let requests = requests(count);
    if let Some(path) = arguments.next() {
        std::fs::write(path, &requests).unwrap();
    }
    let mut out = Vec::new();
    let mut batch = Batch::default();
    let start = Instant::now();
    for line in requests.lines() {
        batch.line(line.as_bytes(), &mut out);
    }
    let answering = start.elapsed().as_secs_f64();
    let answers = String::from_utf8(out).unwrap();
    let of = |what: &str| answers.lines().filter(|line| line.contains(what)).count();
    println!(
        "answers: {}, errors {}, two-phase {}",
        answers.lines().count(),
        of("\"error\""),
        of("two-phase")
    );

    let answers: Vec<PropertyAnswer> =
        answers.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let mut printed = Vec::new();
    let start = Instant::now();
    for (request, answer) in requests.lines().zip(&answers) {
        let request: serde_json::Value = serde_json::from_str(request).unwrap();
        std::hint::black_box(&request);
        serde_json::to_writer(&mut printed, answer).unwrap();
        printed.push(b'\n');
    }
    let plain = start.elapsed().as_secs_f64();
    let rate = |seconds: f64| count as f64 / seconds;
    println!("answering:            {:>9.0} lines/s", rate(answering));
    println!("parse and print only: {:>9.0} lines/s", rate(plain));
    println!("ratio: {:.2} times the parse-and-print loop", answering / plain);
}
