//! Feeds the file reader mutated circuits for a while: `cargo run --release --example fuzz_circuit -- SECONDS [SEED]`.
//!
//! A stable driver without instrumentation: it mutates the examples and everything in the corpus, and keeps in the corpus each input that
//! gives a set of problem ids that no other input gave.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a tool at the command line that stops by the clock"
)]

use std::collections::BTreeSet;
use std::path::Path;
use std::time::{Duration, Instant};

use stemwise_circuit::{examples, read};

/// A small deterministic generator (G. Marsaglia, J. Stat. Softw. 8 (2003) 14).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % limit.max(1) as u64).unwrap_or(0)
    }
}

fn mutate(input: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = input.to_vec();
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len() + 1);
        match dice.below(9) {
            0 => bytes.truncate(at),
            1 if at < bytes.len() => bytes[at] = dice.next() as u8,
            2 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            3 => bytes
                .splice(at..at, other.iter().copied().skip(dice.below(other.len())).take(40))
                .for_each(drop),
            4 => {
                let end = (at + dice.below(60)).min(bytes.len());
                bytes.drain(at..end);
            }
            5 => {
                let words: [&[u8]; 12] = [
                    b"\"NaN\"",
                    b"inf",
                    b"[[walk]]\n",
                    b"-1",
                    b"1e999",
                    b"\"1e308 kg\"",
                    b"{",
                    b"\"\"\"",
                    b"'",
                    b"\0",
                    b"[part.x]\n",
                    b"\xff\xfe",
                ];
                let word = words[dice.below(words.len())];
                bytes.splice(at..at, word.iter().copied());
            }
            6 => {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let mut lines: Vec<&str> = text.lines().collect();
                if !lines.is_empty() {
                    let (from, to) = (dice.below(lines.len()), dice.below(lines.len()));
                    let line = lines[from];
                    lines.insert(to, line);
                    bytes = lines.join("\n").into_bytes();
                }
            }
            7 => {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let mut lines: Vec<&str> = text.lines().collect();
                if lines.len() > 1 {
                    lines.remove(dice.below(lines.len()));
                    bytes = lines.join("\n").into_bytes();
                }
            }
            _ => {
                let digit = bytes.iter().position(|b| b.is_ascii_digit());
                if let Some(at) = digit.filter(|_| dice.below(2) == 0) {
                    bytes[at] = b'0' + u8::try_from(dice.below(10)).unwrap_or(0);
                }
            }
        }
    }
    bytes
}

fn ids(input: &[u8]) -> BTreeSet<&'static str> {
    let reading = read(input);
    for problem in &reading.problems {
        assert!(
            problem.line >= 1 && problem.column >= 1 && !problem.say.is_empty() && !problem.hint.is_empty()
        );
        assert!(problem.excerpt.chars().count() <= 100);
    }
    reading.problems.iter().map(|problem| problem.id).collect()
}

fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let seconds = arguments.next().and_then(|text| text.parse().ok()).unwrap_or(10);
    let mut dice =
        Dice(arguments.next().and_then(|text| text.parse().ok()).unwrap_or(88_172_645_463_325_252));
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let mut inputs: Vec<Vec<u8>> =
        examples().iter().map(|example| example.text.as_bytes().to_vec()).collect();
    let mut files: Vec<_> =
        std::fs::read_dir(&corpus)?.filter_map(Result::ok).map(|entry| entry.path()).collect();
    files.sort();
    for file in files {
        inputs.push(std::fs::read(file)?);
    }
    let mut seen: BTreeSet<BTreeSet<&'static str>> = inputs.iter().map(|input| ids(input)).collect();
    let end = Instant::now() + Duration::from_secs(seconds);
    let mut runs = 0u64;
    while Instant::now() < end {
        let (one, other) = (dice.below(inputs.len()), dice.below(inputs.len()));
        let input = mutate(&inputs[one], &inputs[other], &mut dice);
        let found = ids(&input);
        runs += 1;
        if inputs.len() < 150 && found.len() > 1 && input.len() < 4000 && seen.insert(found) {
            std::fs::write(corpus.join(format!("input-{:03}", inputs.len())), &input)?;
            inputs.push(input);
        }
    }
    println!(
        "{runs} inputs in {seconds} s, {} sets of problems, {} inputs kept, no panic",
        seen.len(),
        inputs.len()
    );
    Ok(())
}
