//! Ten thousand simulated circuits with faults, against what the ranker makes of their readings.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod circuits;

use circuits::{Dice, System, Tally, case};

#[test]
#[ignore = "slow"]
#[allow(clippy::print_stderr, reason = "the figures are wanted")]
fn ten_thousand_circuits() {
    let mut dice = Dice::new(2026);
    let mut whole = Tally::default();
    let many: u32 = std::env::var("STEMWISE_CIRCUITS").ok().and_then(|it| it.parse().ok()).unwrap_or(10_000);
    for name in ["split-air-conditioner", "heat-pump"] {
        let system = System::new(name, &mut dice);
        let mut tally = Tally::default();
        while tally.all < many / 2 {
            if let Some(case) = case(&system, &mut dice) {
                tally.count(&case);
                whole.count(&case);
            }
        }
        eprintln!("{}", tally.say(system.name));
    }
    eprintln!("{}", whole.say("all"));
    assert!(whole.part() >= 0.85, "{}", whole.part());
}
