//! Planned procedures run in motion to their end.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_rehearse::Ran;
use stemwise_service::plan::plan;
use stemwise_service::{State, find_job};

/// Plans a job on an example and runs it; how many readings there were and how many came as expected.
fn check(example: &str, said: &str) -> (Vec<Ran>, usize, usize) {
    let mut here = support::bench(example, true);
    let job = find_job(&here.assembly.circuit, said).unwrap();
    let planned = plan(&here.assembly, &here.refrigerant, &job).unwrap();
    let begin = State::begin(&here.assembly, &here.refrigerant, &here.stops, Some(&planned.best.job), true);
    let (assembly, refrigerant, stops) = (here.assembly, here.refrigerant, here.stops);
    here = support::from(assembly, refrigerant, stops, &begin.state);
    let ran = here.now.run_steps(&planned.best.steps, &stops);
    assert_eq!(ran.len(), planned.best.steps.len(), "{:?}", ran.last());
    let (mut all, mut fine) = (0, 0);
    for (step, one) in planned.best.steps.iter().zip(&ran) {
        for shown in &one.shown {
            all += 1;
            fine += usize::from(shown.as_expected());
            if !shown.as_expected() {
                println!("{:?}: {:?}", step.doing, shown);
            }
        }
        println!("{:8.0} s {:?} gave up {}", one.to, step.doing, one.gave_up);
    }
    println!("{fine} of {all} readings as planned; {:?}", here.now.statistics());
    here.kept();
    (ran, all, fine)
}

#[test]
#[ignore = "slow"]
fn replace_the_drier() {
    let (ran, all, fine) = check("walk-in-cooler", "replace the drier");
    assert!(ran.iter().all(|one| !one.gave_up));
    assert!(all > 5 && fine * 10 >= all * 8, "{fine} of {all}");
}
