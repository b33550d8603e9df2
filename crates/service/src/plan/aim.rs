//! What is to be small: refrigerant, time, stem moves, or a mix; and the procedures that no other beats.

use stemwise_search::stems::Weights;

use super::sketch::Sketch;
use super::{Attempt, Because, Cost, NoWay, Optimality, Plan, Planning, Procedure, Way, other, price};
use crate::hazard::Finding;

/// The price of a gram that leaves the system, of a minute, and of a stem move. None is below 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim {
    /// Of a gram that leaves the system, into the cylinder or to the atmosphere.
    pub gram: f64,
    /// Of a minute.
    pub minute: f64,
    /// Of a turn of a stem from one position to another.
    pub turn: f64,
}

impl Aim {
    /// Refrigerant first; the rest decides between equals.
    pub const REFRIGERANT: Self = Self { gram: 1.0, minute: 1e-4, turn: 1e-3 };
    /// Time first.
    pub const TIME: Self = Self { gram: 1e-4, minute: 1.0, turn: 1e-3 };
    /// Stem moves first.
    pub const TURNS: Self = Self { gram: 1e-5, minute: 1e-4, turn: 1.0 };

    /// The price of a procedure.
    pub fn price(&self, cost: &Cost) -> f64 {
        self.gram * grams(cost) + self.minute * cost.minutes + self.turn * cost.stem_moves as f64
    }
}

/// Grams that leave the system.
fn grams(cost: &Cost) -> f64 {
    (cost.removed_kg + cost.lost_kg) * 1e3
}

/// Below these differences two procedures cost the same: a tenth of a gram, a tenth of a minute.
const SAME: f64 = 0.1;

/// Whether one is nowhere dearer than another, and somewhere cheaper.
fn beats(one: &Cost, other: &Cost) -> bool {
    let pairs = [
        (grams(one), grams(other)),
        (one.minutes, other.minutes),
        (one.stem_moves as f64, other.stem_moves as f64),
    ];
    pairs.iter().all(|(one, other)| *one <= other + SAME)
        && pairs.iter().any(|(one, other)| *one < other - SAME)
}

fn same(one: &Cost, other: &Cost) -> bool {
    (grams(one) - grams(other)).abs() <= SAME
        && (one.minutes - other.minutes).abs() <= SAME
        && one.stem_moves == other.stem_moves
}

/// The least of each kind that any way can come to by the search's count, which takes no note of what hoses hold.
#[derive(Clone, Copy, Debug, Default)]
struct Least {
    grams: f64,
    turns: f64,
}

impl Least {
    /// A bound on the price by an aim: the least grams, the least turns and the minutes that no way avoids, each by itself. It is at most what
    /// each of the procedures found has of it.
    fn price<'a>(&self, aim: &Aim, found: impl Iterator<Item = &'a Procedure>) -> f64 {
        let start = (self.grams, self.turns, f64::INFINITY);
        let (gram, turn, minute) = found.fold(start, |(gram, turn, minute), procedure| {
            (
                gram.min(grams(&procedure.cost)),
                turn.min(procedure.cost.stem_moves as f64),
                minute.min(price::unavoidable_minutes(&procedure.steps)),
            )
        });
        let minutes = if minute.is_finite() { minute + price::MINUTES_OF_A_TURN * turn } else { 0.0 };
        aim.gram * gram + aim.minute * minutes + aim.turn * turn
    }
}

impl Planning<'_> {
    fn fewest_turns(&self) -> u64 {
        Sketch::fewest_turns(self.assembly, self.refrigerant, &self.start, self.job).unwrap_or(0)
    }

    /// Every way, and the cheapest also by grams alone and by moves alone; the best by the aim.
    pub(super) fn by_aim(&self, aim: &Aim) -> Result<Plan, NoWay> {
        let mut tried: Vec<(Way, Attempt)> = Vec::new();
        let mut least = Least::default();
        for &way in self.ways() {
            let weights: &[Weights] = if way == Way::Cheapest {
                &[Weights::BALANCED, Weights::GRAMS, Weights::MOVES]
            } else {
                &[Weights::BALANCED]
            };
            for &weights in weights {
                let (attempt, at_least) = self.one_way_by(way, weights);
                if let (Way::Cheapest, Weights::GRAMS, Some(at_least)) = (way, weights, at_least) {
                    least.grams = (at_least / Weights::GRAMS.gram) as f64;
                }
                tried.push((way, attempt));
            }
        }
        if self.ways().contains(&Way::Cheapest) {
            least.turns = self.fewest_turns() as f64;
        }
        let mut found: Vec<(Procedure, Vec<Finding>)> = Vec::new();
        let mut others = Vec::new();
        for (way, attempt) in tried {
            match attempt {
                Ok(pair) if found.iter().any(|(known, _)| same(&known.cost, &pair.0.cost)) => {}
                Ok(pair) => found.push(pair),
                Err(because) => others.push((way, because)),
            }
        }
        found.sort_by(|one, other| aim.price(&one.0.cost).total_cmp(&aim.price(&other.0.cost)));
        let unreached = |(way, because): (Way, Because)| other(way, &Err(because));
        if found.is_empty() {
            return Err(NoWay {
                missing: self.missing(),
                tried: others.into_iter().map(unreached).collect(),
            });
        }
        let unbeaten = found
            .iter()
            .filter(|(one, _)| !found.iter().any(|(other, _)| beats(&other.cost, &one.cost)))
            .map(|(one, _)| one.clone())
            .collect();
        let bound = least.price(aim, found.iter().map(|(procedure, _)| procedure));
        let (mut best, warnings) = found.swap_remove(0);
        let price = aim.price(&best.cost);
        // A way that costs no more than the bound is proved, but for rounding.
        best.optimality = if price <= bound * (1.0 + 1e-9) {
            Optimality::Proved
        } else {
            Optimality::Above { price, at_least: bound }
        };
        others.retain(|(way, _)| *way != Way::Cheapest);
        Ok(Plan { best, warnings, others: others.into_iter().map(unreached).collect(), unbeaten })
    }
}
