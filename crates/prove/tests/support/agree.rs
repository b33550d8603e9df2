//! Plans one job on a made circuit and holds the verifier against it.

use stemwise_circuit::read;
use stemwise_prove::Certificate;
use stemwise_service::{Job, jobs};

use super::Bench;
use super::made::{Dice, circuit};

/// What came of a seed.
pub(crate) enum Came {
    /// The planner found no way, or the circuit offers nothing.
    NoWay,
    /// A plan, and the verdict on it.
    Planned(Box<(Job, Certificate)>),
}

pub(crate) fn agree(seed: u64) -> Came {
    let text = circuit(seed);
    let reading = read(text.as_bytes());
    let Some(made) = reading.circuit else { panic!("seed {seed}: {:?}\n{text}", reading.problems) };
    let bench = Bench::of(made);
    let offered = jobs(&bench.assembly.circuit);
    let Some(job) = offered.get(Dice::new(seed ^ 0xABCD).roll(offered.len().max(1) as u64) as usize) else {
        return Came::NoWay;
    };
    let Ok(procedure) = bench.planned(job) else { return Came::NoWay };
    let certificate = bench.verify(Some(job), &procedure);
    Came::Planned(Box::new((job.clone(), certificate)))
}
