//! Planner and verifier agree on every job of every example.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_circuit::{Rig, examples};
use stemwise_prove::{Verdict, read, write};
use stemwise_service::jobs;
use support::Bench;

#[test]
fn every_planned_procedure_is_accepted() {
    let mut accepted = 0;
    for example in examples() {
        let bench = Bench::example(example.name);
        for job in jobs(&bench.assembly.circuit) {
            let Ok(procedure) = bench.planned(&job) else { continue };
            let certificate = bench.verify(Some(&job), &procedure);
            println!("{} {}: {:?}", example.name, job.words(), certificate.first_failure());
            for (n, step) in certificate.steps.iter().enumerate() {
                if step.verdict != Verdict::Holds {
                    println!("   step {} {:?} {:?} {:?}", n + 1, step.verdict, step.found, step.reads);
                }
            }
            accepted += usize::from(certificate.accepted());
        }
    }
    assert!(accepted > 30, "{accepted}");
}

#[test]
fn a_planned_procedure_goes_through_its_file() {
    for (example, said) in [("walk-in-cooler", "replace the drier"), ("heat-pump", "recover all")] {
        let bench = Bench::example(example);
        let job = bench.job(said);
        let procedure = bench.planned(&job).unwrap();
        let text = write(&bench.assembly, &procedure);
        println!("{text}");
        let reading = read(text.as_bytes(), &bench.assembly.circuit, Rig::usual());
        assert_eq!(reading.problems, []);
        let again = reading.procedure.unwrap();
        assert_eq!(write(&bench.assembly, &again), text);
        let actions = |procedure: &stemwise_prove::Procedure| {
            procedure.steps.iter().map(|step| (step.say.clone(), step.actions.clone())).collect::<Vec<_>>()
        };
        assert_eq!(actions(&again), actions(&procedure));
        let (one, other) = (bench.verify(Some(&job), &procedure), bench.verify(Some(&job), &again));
        assert_eq!(one.end, other.end);
        assert!(other.accepted());
    }
}
