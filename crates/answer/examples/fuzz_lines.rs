//! Feeds mutated property requests and typed quantities to their readers for a while: `cargo run --release --example fuzz_lines -- SECONDS`.
#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a tool at the command line that stops by the clock"
)]

use std::time::{Duration, Instant};

use stemwise_answer::Batch;
use stemwise_units::{Length, Mass, Power, Temperature, Time, Tube, TypedPressure, Volume, parse_fraction};

const LINES: [&str; 17] = [
    r#"{"fluid":"R-454B","given":{"T":280,"q":0}}"#,
    r#"{"fluid":"R-407C","given":{"p":8e5,"h":300000}}"#,
    r#"{"mixture":{"R-32":0.689,"R-1234yf":0.311},"basis":"mass","given":{"rho":60,"u":300000}}"#,
    r#"{"mixture":{"R-744":0.03,"R-32":0.215,"R-1234yf":0.755},"basis":"mole","given":{"T":290,"p":900000}}"#,
    r#"{"fluid":"R-22","given":{"h":400000,"s":1700}}"#,
    r#"{"fluid":"R-22","given":{"T":300,"s":1700}}"#,
    r#"{"fluid":"R-22","given":{"rho":40,"s":1700}}"#,
    r#"{"fluid":"R-32/R-125 50/50","given":{"T":300,"rho":40}}"#,
    r#"{"id":7,"fluid":"R-134a","given":{"T":300,"rho":5}}"#,
    r#"{"id":"a","fluid":"r290","given":{"p":1e5,"h":450000}}"#,
    r#"{"id":null,"fluid":"CO2","given":{"p":8e6,"s":1500}}"#,
    r#"{"id":[1],"fluid":"R-717","given":{"rho":300,"u":400000}}"#,
    r#"{"fluid":"R-32","given":{"T":250,"q":0.5}}"#,
    r#"{"fluid":"R-1234yf","given":{"p":600000,"q":1}}"#,
    r#"{"mixture":{"R-32":1.0},"basis":"mass","given":{"T":300,"p":100000}}"#,
    r#"{"id":{"x":"\u00e9"},"fluid":"water","given":{"T":300,"p":611}}"#,
    r#"{"id":1e308,"fluid":"nitrogen","given":{"T":77.0,"p":1e5}}"#,
];
const TYPED: [&str; 12] = [
    "68 psig",
    "-2 inHg",
    "4,5 kg",
    "1 1/8 in",
    "500 micron",
    "2 lb 4 oz",
    "40 °F",
    "1 h 30 min",
    "80 %",
    "5'6\"",
    "1,234.5 g",
    "−0,3 bar",
];
const WORDS: [&str; 14] =
    ["NaN", "1e999", "-", "\"", "{", "}", "\u{0}", "null", "0", ",", ".", "/0", "e-400", "\u{2044}"];

struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % limit.max(1) as u64).unwrap_or(0)
    }
}

fn mutate(text: &str, dice: &mut Dice) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=dice.below(3) {
        let at = dice.below(bytes.len() + 1);
        match dice.below(6) {
            0 => bytes.truncate(at),
            1 if at < bytes.len() => bytes[at] = u8::try_from(dice.below(256)).unwrap_or(0),
            2 => bytes.splice(at..at, WORDS[dice.below(WORDS.len())].bytes()).for_each(drop),
            3 if at < bytes.len() => drop(bytes.remove(at)),
            4 => {
                let digit = bytes.iter().rposition(u8::is_ascii_digit);
                if let Some(digit) = digit {
                    bytes[digit] = b'0' + u8::try_from(dice.below(10)).unwrap_or(0);
                }
            }
            _ => bytes.splice(at..at, [b'0' + u8::try_from(dice.below(10)).unwrap_or(0)]).for_each(drop),
        }
    }
    bytes
}

fn main() {
    let seconds = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(10);
    let mut dice = Dice(88_172_645_463_325_252);
    let end = Instant::now() + Duration::from_secs(seconds);
    let (mut lines, mut typed, mut states) = (0u64, 0u64, 0u64);
    let mut out = Vec::new();
    let mut batch = Batch::default();
    while Instant::now() < end {
        let line = mutate(LINES[dice.below(LINES.len())], &mut dice);
        out.clear();
        batch.line(&line, &mut out);
        let breaks = out.iter().filter(|byte| **byte == b'\n').count();
        assert!(out.ends_with(b"\n") && breaks == 1, "{:?}", String::from_utf8_lossy(&line));
        lines += 1;
        states += u64::from(!out.windows(8).any(|part| part == b"\"error\":"));
        let text = String::from_utf8_lossy(&mutate(TYPED[dice.below(TYPED.len())], &mut dice)).into_owned();
        let _ = (
            Mass::parse(&text),
            Length::parse(&text),
            Volume::parse(&text),
            Time::parse(&text),
            Power::parse(&text),
        );
        let _ = (
            Temperature::parse(&text),
            TypedPressure::parse(&text),
            Tube::parse(&text),
            parse_fraction(&text),
        );
        typed += 1;
    }
    println!(
        "{lines} request lines ({states} of them states) and {typed} typed quantities in {seconds} s, no panic"
    );
}
