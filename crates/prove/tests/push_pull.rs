//! Push–pull in a procedure: the page's example, what is checked in it, and a whole recovery with it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_circuit::{Circuit, Rig, examples};
use stemwise_prove::{Failure, Procedure, Task, Verdict, read, verify, write};
use stemwise_service::plan::plan;
use stemwise_service::{Job, Refrigerant, find_job};
use stemwise_units::UnitSystem;

/// The example of the page.
fn page() -> &'static str {
    let page = include_str!("../../../docs/procedure-file.md");
    page.split("## Push–pull").nth(1).unwrap().split("```").nth(1).unwrap().trim_start()
}

/// The walk-in cooler; with a larger receiver and charge if so asked.
fn cooler(large: bool) -> Circuit {
    let mut text = examples().iter().find(|found| found.name == "walk-in-cooler").unwrap().text.to_owned();
    if large {
        text = text
            .replace("charge = \"4.6 kg\"", "charge = \"16 kg\"")
            .replace("volume = \"6.0 L\"", "volume = \"30 L\"");
    }
    stemwise_circuit::read(text.as_bytes()).circuit.unwrap()
}

fn judged(circuit: &Circuit, text: &str, job: Option<&Job>) -> stemwise_prove::Certificate {
    let reading = read(text.as_bytes(), circuit, Rig::usual());
    let procedure = reading.procedure.unwrap_or_else(|| panic!("{:#?}", reading.problems));
    // It is written as it was read.
    let again = read(write(&reading.assembly, &procedure).as_bytes(), circuit, Rig::usual());
    assert_eq!(again.procedure.as_ref(), Some(&procedure));
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    verify(&Task::new(&reading.assembly, &refrigerant, job), &procedure)
}

fn rules(certificate: &stemwise_prove::Certificate) -> Vec<&'static str> {
    certificate.steps.iter().flat_map(|step| &step.found).map(|found| found.finding.rule).collect()
}

#[test]
fn the_page_is_accepted_and_moves_the_liquid() {
    let certificate = judged(&cooler(true), page(), None);
    assert!(certificate.accepted(), "{:#?}", certificate.first_failure());
    let found = rules(&certificate);
    assert!(found.contains(&"push-pull-watched") && !found.contains(&"push-pull-small"), "{found:?}");
    // What is left is vapour: 60 L of it at some 36 kg/m³ at most, and what is shut in elsewhere.
    let moved = certificate.end.left.recovered_kg;
    assert!(moved > 12.0 && moved < 16.0 && certificate.account.gap() < 1e-9, "{moved} kg");
}

#[test]
fn a_small_charge_is_told_so() {
    let certificate = judged(&cooler(false), page(), None);
    assert!(certificate.accepted(), "{:#?}", certificate.first_failure());
    assert!(rules(&certificate).contains(&"push-pull-small"));
}

/// Without the liquid valve open, with it shut and the machine left running, or with a hose on the wrong side of the compressor, what is in the cylinder goes back.
#[test]
fn what_would_run_back_is_refused() {
    let not_open = page().replace("  turn cylinder-liquid-valve to open\n", "");
    let left_on = page().replace("  stop push-pull\n", "  wait 5 min\n  stop push-pull\n");
    let suction = page().replace("queen", "suction-valve");
    for text in [not_open, left_on, suction] {
        let certificate = judged(&cooler(true), &text, None);
        let failure = certificate.first_failure().unwrap();
        assert!(
            matches!(&failure, Failure::Broken { finding, .. } if finding.rule == "push-pull-runs-back"),
            "{text}\n{failure:#?}"
        );
    }
    // The same machine does one thing at a time.
    let twice = page().replace("  start push-pull\n", "  start push-pull\n  start recovery-machine\n");
    let certificate = judged(&cooler(true), &twice, None);
    assert!(certificate.steps.iter().any(|step| step.verdict == Verdict::Refused));
}

/// A liquid hose where only gas stands moves nothing worth the while.
#[test]
fn a_liquid_hose_without_liquid_is_told() {
    let text = page().replace("king", "discharge-valve");
    let certificate = judged(&cooler(true), &text, None);
    assert!(rules(&certificate).contains(&"push-pull-without-liquid"), "{:?}", rules(&certificate));
}

#[test]
fn a_cylinder_that_would_be_too_full_is_told_so() {
    let circuit = cooler(true);
    let text = stemwise_circuit::examples().iter().find(|found| found.name == "walk-in-cooler").unwrap().text;
    let text = text.replace("charge = \"4.6 kg\"", "charge = \"30 kg\"").replace("6.0 L", "36 L");
    let more = stemwise_circuit::read(text.as_bytes()).circuit.unwrap();
    let overfull =
        |circuit: &Circuit, text: &str| rules(&judged(circuit, text, None)).contains(&"cylinder-overfull");
    assert!(overfull(&more, page()) && !overfull(&circuit, page()));
    assert!(!overfull(&more, &page().replace("with: push-pull", "with: push-pull\ncylinders: 2")));
}

/// Liquid first, and then all the rest as the planner has it: the goal of the job is met.
#[test]
fn a_whole_recovery_begins_with_it() {
    let circuit = cooler(true);
    let job = find_job(&circuit, "recover all").unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let reading = read(page().as_bytes(), &circuit, Rig::usual());
    let found = plan(&reading.assembly, &refrigerant, &job).unwrap();
    let rest = Procedure::planned(&reading.assembly, &found.best, &[], UnitSystem::Si);
    assert_eq!(rest.with, ["push-pull"]);
    let whole = Procedure {
        job: Some(job.words()),
        steps: reading.procedure.unwrap().steps.into_iter().chain(rest.steps.clone()).collect(),
        standing: true,
        ..rest
    };
    let certificate = judged(&circuit, &write(&reading.assembly, &whole), Some(&job));
    assert!(certificate.accepted(), "{:#?}", certificate.first_failure());
    let all = certificate.end.left.recovered_kg;
    assert!((all / 16.0 - 1.0).abs() < 0.01, "{all} kg");
}
