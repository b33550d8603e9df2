//! Slips along planned procedures.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_prove::{Harm, Task, slips, words_of};
use support::Bench;

#[test]
fn show() {
    let bench = Bench::example("walk-in-cooler");
    let job = bench.job("replace the drier");
    let procedure = bench.planned(&job).unwrap();
    let task = Task::new(&bench.assembly, &bench.refrigerant, Some(&job));
    let found = slips(&task, &procedure);
    println!("{} slips, {} prevented, {} replayed", found.slips.len(), found.prevented, found.replayed);
    for slip in &found.slips {
        if slip.harm == Harm::Harmless {
            continue;
        }
        let words = |actions: &[stemwise_service::Action]| {
            actions.iter().map(|a| words_of(&bench.assembly, a)).collect::<Vec<_>>().join("; ")
        };
        let first = slip.first.as_ref().map(|(at, c)| match c {
            stemwise_prove::Consequence::Broken(f) => {
                format!("{} {}", at + 1, f.say(&bench.assembly, stemwise_units::UnitSystem::Si))
            }
            other => format!("{} {other:?}", at + 1),
        });
        println!(
            "{} {:?} [{}] -> {:?} {:?} guarded {} noticed {:?} undo {:?}",
            slip.step + 1,
            slip.kind,
            words(&slip.done),
            slip.harm,
            first,
            slip.guarded,
            slip.noticed.map(|n| (n.step + 1, n.shows, n.expected)),
            match &slip.undo {
                stemwise_prove::Undo::By(a) => words(a),
                other => format!("{other:?}"),
            }
        );
    }
    println!("{:?}", found.sharpened);
}
