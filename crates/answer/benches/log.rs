//! A log of a million rows read and fitted, against only adding up its bytes: `cargo bench -p stemwise-answer`.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::disallowed_methods, reason = "a benchmark")]

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};

use stemwise_answer::{EvidenceCommon, LogAsk, LogKind, VacuumAsk, read_log, vacuum};
use stemwise_units::{Pressure, UnitSystem};

const ROWS: u32 = 1_000_000;

/// An invented evacuation: 5000 s of pull-down, 5000 s of rise, a reading every 10 ms that flickers by half a percent.
fn made() -> String {
    let mut text = String::from("Time [s],Vac [micron]\n");
    let mut dice: u32 = 1;
    for row in 0..ROWS {
        let t = f64::from(row) * 0.01;
        dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let flicker = 1.0 + 0.005 * (f64::from(dice >> 8) / f64::from(1 << 23) - 1.0);
        let micron = 20.0 + 9000.0 * (-t.min(5000.0) / 600.0).exp() + 0.05 * (t - 5000.0).max(0.0);
        writeln!(text, "{t:.2},{:.1}", micron * flicker).unwrap();
    }
    text
}

fn best<T>(mut what: impl FnMut() -> T) -> Duration {
    let once = |_| {
        let start = Instant::now();
        black_box(what());
        start.elapsed()
    };
    (0..5).map(once).min().unwrap()
}

fn main() {
    let text = made();
    let sea_level = Pressure::from_pa(101_325.0);
    let common = EvidenceCommon {
        fluid: Some("R-410A".into()),
        circuit: None,
        atmosphere: Some(sea_level),
        measured_atmosphere: false,
        units: UnitSystem::Si,
        page: None,
        heading: None,
    };
    let columns = LogAsk { columns: vec!["pressure=Vac".into()], ..LogAsk::default() };
    let some = |text: &str| Some(text.to_owned());
    let fitted = || {
        let log = read_log(text.as_bytes(), &columns, LogKind::Pressure, sea_level).unwrap();
        let ask = VacuumAsk {
            log: Some(log),
            shut_at: some("5000 s"),
            volume: some("12 L"),
            pump: some("5 cfm"),
            hoses: vec!["8 mm x 1.5 m".into()],
            ..VacuumAsk::default()
        };
        vacuum(&common, &ask).unwrap().values.len()
    };
    let plain = best(|| text.bytes().map(u64::from).sum::<u64>());
    let read = best(|| read_log(text.as_bytes(), &columns, LogKind::Pressure, sea_level).unwrap());
    let whole = best(fitted);
    println!(
        "{ROWS} rows, {} bytes: read in {read:?}, read and fitted in {whole:?}, {:.0} times adding up its bytes ({plain:?})",
        text.len(),
        whole.as_secs_f64() / plain.as_secs_f64()
    );
}
