//! How the search grows with the rack while the section worked on stays the same: `cargo bench -p stemwise-search --bench racks`.
//!
//! Invented racks of 10 to 1,000 valves. Each search is timed in turns with a yardstick, the settling of the same rack after one turn of a
//! stem; the ratio says how many settlings a whole plan is worth. Memory is counted: states kept times the size of one of the
//! whole plant.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, reason = "a benchmark")]

#[path = "../examples/support/racks.rs"]
mod racks;

use std::hint::black_box;
use std::time::Instant;

use racks::{Part, Rack};
use stemwise_search::Model;
use stemwise_search::stems::{Action, Effort, Planner, Position, Weights};

/// So many states are expanded at most each time that more stems are taken in.
const LIMIT: u64 = 2_000;
/// Where that finds no plan: so many of the nearest stems, the weight of the bound, and states.
const HASTE: (usize, u64, u64) = (8, 8, 20_000);
const TURNS: usize = 1;

fn best_ms(mut run: impl FnMut()) -> f64 {
    let one = |_| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..TURNS).map(one).fold(f64::INFINITY, f64::min)
}

fn row(rack: &Rack) {
    let plant = rack.plant().unwrap();
    let planner = Planner::new(&plant, Weights::BALANCED, Effort::Full);
    let start = plant.start().unwrap();
    let root = planner.bound(&start).unwrap_or(0);
    let run = || {
        let near = planner.plan_near(LIMIT);
        let none = near.as_ref().is_some_and(|near| near.plan.is_none());
        let (stems, weight, limit) = HASTE;
        let hasty = if none { planner.plan_hastily(stems, weight, limit) } else { None };
        (near, hasty)
    };
    let (Some(found), hasty) = run() else { return };
    let ms = best_ms(|| drop(black_box(run())));
    let turn = [Action::Turn(0, Position::Mid)];
    let settling = best_ms(|| (0..20).for_each(|_| drop(black_box(plant.replay(&turn))))) / 40.0;
    let at_least = found.at_least;
    let cost = match &found.plan {
        Some((_, cost)) if found.proved() => cost.to_string(),
        Some((_, cost)) => format!("≤{cost}"),
        None => hasty.map_or_else(|| "-".into(), |(_, cost)| format!("≤{cost}")),
    };
    let kept = found.statistics.kept * (start.bytes() as u64 + 100);
    println!(
        "{:<16} {:>6} {:>8} {cost:>6} {root:>6} {at_least:>9} {:>9} {:>10} {ms:>9.2} {:>10.0} {:>8.2}",
        format!("{:?}", rack.part),
        rack.valves(),
        rack.branches,
        found.statistics.expanded,
        found.statistics.generated,
        ms / settling,
        kept as f64 / 1e6,
    );
}

fn main() {
    println!(
        "part             valves branches   cost  root≥  at least  expanded  generated        ms  settlings       MB"
    );
    for part in [Part::Drier, Part::FirstEvaporator] {
        for branches in [1, 4, 8, 20, 60, 160, 331] {
            row(&Rack { branches, compressors: 1, cores: true, part });
        }
    }
    for part in [Part::LiquidHeader, Part::SuctionLine, Part::Compressor, Part::Condenser, Part::Receiver] {
        for branches in [1, 8, 160] {
            row(&Rack { branches, compressors: 1, cores: true, part });
        }
    }
    for part in [Part::Drier, Part::FirstEvaporator] {
        row(&Rack { branches: 164, compressors: 3, cores: true, part });
    }
}
