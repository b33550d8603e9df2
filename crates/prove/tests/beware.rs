//! No slip that can hurt someone, lose the charge or break a machine is silent: a gauge, a hold point or a sentence at the step is there.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_prove::{Consequence, Procedure, Slip, Task, slips, words_of};
use stemwise_service::plan::{Beware, Step, plan};
use stemwise_units::UnitSystem;
use support::Bench;

/// Whether a step says what a slip at it leads to.
fn says(step: &Step, slip: &Slip) -> bool {
    let Some((_, Consequence::Broken(finding))) = &slip.first else { return false };
    step.hold.is_some() || step.beware.iter().any(|beware: &Beware| beware.rules().contains(&finding.rule))
}

/// The silent slips of a planned job, in words, and how many dangerous ones there are.
fn silent(example: &str, said: &str) -> (Vec<String>, usize) {
    let bench = Bench::example(example);
    let job = bench.job(said);
    let found = plan(&bench.assembly, &bench.refrigerant, &job).unwrap();
    let procedure = Procedure::planned(&bench.assembly, &found.best, &[], UnitSystem::Si);
    let all = slips(&Task::new(&bench.assembly, &bench.refrigerant, Some(&job)), &procedure).slips;
    let dangerous: Vec<&Slip> = all.iter().filter(|slip| slip.is_dangerous()).collect();
    let unsaid = dangerous.iter().filter(|slip| !slip.guarded && !says(&found.best.steps[slip.step], slip));
    let words = |slip: &&&Slip| {
        let done: Vec<String> = slip.done.iter().map(|action| words_of(&bench.assembly, action)).collect();
        let rule = match &slip.first {
            Some((_, Consequence::Broken(finding))) => finding.rule.to_owned(),
            other => format!("{other:?}"),
        };
        let step = &found.best.steps[slip.step].doing;
        format!("{example}, {said}, step {}: {:?} {done:?}: {rule} ({step:?})", slip.step + 1, slip.kind)
    };
    (unsaid.map(|slip| words(&slip)).collect(), dangerous.len())
}

#[track_caller]
fn check(jobs: &[(&str, &str)]) {
    let (mut unsaid, mut dangerous) = (Vec::new(), 0);
    for (example, said) in jobs {
        let (found, count) = silent(example, said);
        unsaid.extend(found);
        dangerous += count;
    }
    assert!(unsaid.is_empty(), "{} of {dangerous}:\n{}", unsaid.len(), unsaid.join("\n"));
    // Every "always" has its "sometimes".
    assert!(dangerous > 10 * jobs.len(), "{dangerous}");
}

#[test]
fn on_the_walk_in_cooler() {
    check(&[
        ("walk-in-cooler", "take readings"),
        ("walk-in-cooler", "pump down"),
        ("walk-in-cooler", "replace the drier"),
        ("walk-in-cooler", "replace the compressor"),
        ("walk-in-cooler", "replace the condenser"),
        ("walk-in-cooler", "replace the evaporator"),
        // A hose goes on again while what was opened is under vacuum; a hose is drawn empty by a stem shut for it.
        ("walk-in-cooler", "replace the receiver"),
        ("walk-in-cooler", "replace the service valve: king"),
        ("walk-in-cooler", "recover all"),
        ("walk-in-cooler", "charge the empty system"),
        ("walk-in-cooler", "top up"),
    ]);
}

#[test]
fn on_split_units_and_the_sealed_freezer() {
    check(&[
        ("split-air-conditioner", "pump down into the outdoor unit"),
        ("split-air-conditioner", "release the factory charge"),
        ("split-air-conditioner", "charge by superheat"),
        ("split-air-conditioner", "replace the evaporator"),
        ("heat-pump", "charge by subcooling"),
        ("heat-pump", "replace the reversing valve"),
        ("sealed-freezer", "fit an access valve: compressor"),
        ("sealed-freezer", "replace the compressor"),
        ("sealed-freezer", "charge the empty system"),
    ]);
}

#[test]
fn on_the_two_temperature_cabinet() {
    check(&[
        ("two-temperature", "pump down"),
        ("two-temperature", "replace the drier"),
        ("two-temperature", "replace the evaporator: freezer-evaporator"),
        ("two-temperature", "replace the metering device: cooler-expansion"),
    ]);
}
