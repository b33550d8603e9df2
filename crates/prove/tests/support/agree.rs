//! Plans one job on each of many made circuits and holds the verifier against it.

use stemwise_circuit::read;
use stemwise_prove::Certificate;
use stemwise_service::{Job, jobs};

use super::Bench;
use super::made::{Dice, circuit};

/// What came of many.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    pub(crate) planned: usize,
    /// Of these, jobs that open the circuit.
    pub(crate) opened: usize,
    /// No safe way.
    pub(crate) none: usize,
    /// Verdicts that differ, with their seeds.
    pub(crate) disagreements: Vec<String>,
}

impl Tally {
    pub(crate) fn over(seeds: impl IntoIterator<Item = u64>) -> Self {
        let mut tally = Self::default();
        for seed in seeds {
            tally.add(seed);
        }
        tally
    }

    fn add(&mut self, seed: u64) {
        let text = circuit(seed);
        let reading = read(text.as_bytes());
        let Some(made) = reading.circuit else { panic!("seed {seed}: {:?}\n{text}", reading.problems) };
        let bench = Bench::of(made);
        let offered = jobs(&bench.assembly.circuit);
        let at = Dice::new(seed ^ 0xABCD).roll(offered.len().max(1) as u64) as usize;
        let planned = offered.get(at).map(|job| (job, bench.planned(job)));
        let Some((job, Ok(procedure))) = planned else {
            self.none += 1;
            return;
        };
        self.planned += 1;
        self.opened += usize::from(job.opens());
        let certificate = bench.verify(Some(job), &procedure);
        match certificate.first_failure() {
            None => {}
            Some(failure) => self.disagreements.push(format!("seed {seed}, {}: {failure:?}", job.words())),
        }
        self.balance(seed, job, &certificate);
    }

    fn balance(&mut self, seed: u64, job: &Job, certificate: &Certificate) {
        if certificate.account.gap() > 1e-9 {
            self.disagreements.push(format!("seed {seed}, {}: {:?}", job.words(), certificate.account));
        }
    }
}
