//! Plans one job on each of many made circuits and holds the verifier against it.

use std::ops::Range;

use stemwise_circuit::read;
use stemwise_prove::{Certificate, Failure};
use stemwise_service::{Action, Job, jobs};

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
    /// Plans whose nitrogen test stays below what proves anything.
    pub(crate) untested: usize,
    /// Verdicts that differ, with their seeds.
    pub(crate) disagreements: Vec<String>,
}

impl Tally {
    pub(crate) fn over(seeds: Range<u64>) -> Self {
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
        self.opened += usize::from(job.kind.opens());
        let certificate = bench.verify(Some(job), &procedure);
        // The planner keeps nitrogen below what stands behind a standing compressor's valves; where that is next to nothing its test proves
        // nothing, and the verifier says so.
        let weak = procedure.steps.iter().flat_map(|step| &step.actions).all(|action| match action {
            Action::AdmitNitrogen { to } => to.as_bar() < 0.5,
            _ => true,
        });
        match certificate.first_failure() {
            None => {}
            Some(Failure::Missing(asked)) if asked.id == "proved-tight" && weak => self.untested += 1,
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
