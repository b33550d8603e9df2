//! Planner and verifier agree on the jobs of the examples, and planned procedures go through their files.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_circuit::Rig;
use stemwise_prove::{Failure, Procedure, Scale, Verdict, read, write};
use stemwise_service::{Action, jobs};
use support::Bench;

#[test]
fn planned_procedures_are_accepted() {
    let mut accepted = 0;
    for example in ["walk-in-cooler", "split-air-conditioner", "heat-pump", "two-temperature"] {
        let bench = Bench::example(example);
        for job in &jobs(&bench.assembly.circuit) {
            let procedure =
                bench.planned(job).unwrap_or_else(|none| panic!("{example}, {}: {none:?}", job.words()));
            let certificate = bench.verify(Some(job), &procedure);
            match certificate.first_failure() {
                None => accepted += 1,
                Some(failure) => panic!("{example}, {}: {failure:?}", job.words()),
            }
            assert!(certificate.account.gap() <= 1e-9);
        }
    }
    assert!(accepted > 70, "{accepted}");
}

#[test]
fn the_certificate_has_numbers() {
    let bench = Bench::example("walk-in-cooler");
    let job = bench.job("replace the drier");
    let procedure = bench.planned(&job).unwrap();
    let certificate = bench.verify(Some(&job), &procedure);
    assert!(certificate.asked.iter().all(|asked| asked.met));
    assert_eq!(certificate.steps.len(), procedure.steps.len());
    assert!(certificate.steps.iter().all(|step| step.verdict == Verdict::Holds));
    let reads = certificate.steps.iter().flat_map(|step| &step.reads);
    assert!(reads.clone().count() > 10 && reads.clone().all(|reads| reads.fits != Some(false)));
    let margins: Vec<_> = certificate.steps.iter().flat_map(|step| &step.margins).collect();
    for kind in [
        |scale: Scale| matches!(scale, Scale::Pressure(_)),
        |scale: Scale| matches!(scale, Scale::Fill(_)),
        |scale: Scale| matches!(scale, Scale::Cylinder(_)),
        |scale: Scale| matches!(scale, Scale::Suction(_)),
    ] {
        assert!(margins.iter().any(|margin| kind(margin.scale)));
    }
    assert!(margins.iter().all(|margin| margin.used() <= 1.0), "{margins:?}");
    assert_eq!(certificate.opened.len(), 1);
    assert!(certificate.states > 70, "{}", certificate.states);
}

#[test]
fn a_planned_procedure_goes_through_its_file() {
    for (example, said) in [("walk-in-cooler", "replace the drier"), ("heat-pump", "recover all")] {
        let bench = Bench::example(example);
        let job = bench.job(said);
        let procedure = bench.planned(&job).unwrap();
        let text = write(&bench.assembly, &procedure);
        let reading = read(text.as_bytes(), &bench.assembly.circuit, Rig::usual());
        assert_eq!(reading.problems, []);
        let again = reading.procedure.unwrap();
        assert_eq!(write(&bench.assembly, &again), text);
        let actions = |procedure: &Procedure| {
            let steps = procedure.steps.iter();
            steps.map(|step| (step.say.clone(), step.hold.clone(), step.actions.clone())).collect::<Vec<_>>()
        };
        assert_eq!(actions(&again), actions(&procedure));
        let (one, other) = (bench.verify(Some(&job), &procedure), bench.verify(Some(&job), &again));
        assert_eq!(one.end, other.end);
        assert!(other.accepted());
    }
}

/// Edited, the verifier answers at once: steps out of order are refused where they stand.
#[test]
fn an_edited_procedure_is_judged_anew() {
    let bench = Bench::example("walk-in-cooler");
    let job = bench.job("replace the drier");
    let procedure = bench.planned(&job).unwrap();
    let opens = |step: &stemwise_prove::Step| {
        step.actions.iter().any(|action| matches!(action, Action::OpenUp { .. }))
    };
    let at = procedure.steps.iter().position(opens).unwrap();
    let mut early = procedure.clone();
    let moved = early.steps.remove(at);
    early.steps.insert(6, moved);
    let certificate = bench.verify(Some(&job), &early);
    let Some(Failure::Broken { step: 6, finding }) = certificate.first_failure() else {
        panic!("{:?}", certificate.first_failure())
    };
    assert_eq!(finding.rule, "pressure-opened");
    // Dangerous as it is, no mass is made or lost: what the running system held has gone once.
    assert!(certificate.account.gap() <= 1e-9, "{:?}", certificate.account);
    let mut noted = procedure.clone();
    noted.steps[2].notes.push("the cap sits tight".into());
    assert!(bench.verify(Some(&job), &noted).accepted());
}
