//! Drills: every shipped one is solvable, the planner's way is worth full marks, bad ways less; files with faults say where.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stemwise_prove::{Procedure, Step};
use stemwise_service::Action;
use stemwise_teach::{
    Drill, DrillExample, Goal, KEYS, NoBestWay, best_way, drill_questions, drills, read_drill, score,
};

fn drill(example: &DrillExample) -> Drill {
    let reading = read_drill(example.text.as_bytes());
    reading.drill.unwrap_or_else(|| panic!("{}: {:?}", example.name, reading.problems))
}

fn named(name: &str) -> Drill {
    drill(drills().iter().find(|example| example.name == name).unwrap())
}

fn jobs() -> Vec<(&'static str, Drill)> {
    let all = drills().iter().map(|example| (example.name, drill(example)));
    all.filter(|(_, drill)| matches!(drill.goal, Goal::Job(_))).collect()
}

/// The best way without some of its actions.
fn without(best: &Procedure, wanted: impl Fn(&Action) -> bool) -> Procedure {
    let steps = best.steps.iter().map(|step| {
        let actions = step.actions.iter().filter(|action| !wanted(action)).cloned().collect();
        Step { actions, ..step.clone() }
    });
    Procedure { steps: steps.collect(), ..best.clone() }
}

#[test]
fn shipped_drills_are_sound_and_marked_as_invented() {
    assert!(drills().len() >= 6);
    for example in drills() {
        let reading = read_drill(example.text.as_bytes());
        assert!(reading.problems.is_empty(), "{}: {:?}", example.name, reading.problems);
        assert!(drill(example).note.unwrap().contains("Invented"), "{}", example.name);
    }
}

#[test]
fn the_best_way_is_worth_full_marks() {
    let all = jobs();
    assert!(all.len() >= 6);
    for (name, drill) in all {
        let best = best_way(&drill).unwrap().procedure;
        let found = score(&drill, &best).unwrap();
        assert_eq!(found.marks, 100, "{name}: {:?} {:?} {:?}", found.heads, found.missing, found.fired);
        assert!(found.passed && found.fork.is_none() && found.missing.is_empty() && found.refused.is_none());
        assert!(found.trace.len() > 3 && found.trace.iter().all(|trace| trace.on_best), "{name}");
        assert_eq!(found.heads.iter().map(|head| head.of).sum::<u32>(), 100);
    }
}

#[test]
fn doing_nothing_is_worth_nothing() {
    for (name, drill) in jobs() {
        let found = score(&drill, &Procedure::default()).unwrap();
        assert_eq!(found.marks, 0, "{name}: {:?}", found.heads);
        assert!(!found.missing.is_empty() && found.fork.is_some(), "{name}: {found:?}");
    }
}

#[test]
fn every_way_that_leaves_something_out_is_worth_less() {
    let mut tried = 0;
    for (name, drill) in jobs() {
        let best = best_way(&drill).unwrap().procedure;
        let caps = |action: &Action| matches!(action, Action::PutCapOn(_));
        let hoses = |action: &Action| matches!(action, Action::DetachHose { .. });
        for (what, worse) in [("caps", without(&best, caps)), ("hoses", without(&best, hoses))] {
            if worse == best {
                continue;
            }
            let found = score(&drill, &worse).unwrap();
            assert!(found.marks < 100 && !found.passed, "{name} without {what}: {}", found.marks);
            let fork = found.fork.unwrap();
            assert!(
                fork.marks > 0 && !fork.best.is_empty() && !fork.why.is_empty(),
                "{name} without {what}: {fork:?}"
            );
            tried += 1;
        }
    }
    assert!(tried >= 8, "{tried}");
}

#[test]
fn hidden_faults_have_to_be_seen_to() {
    // The planner's own way, which knows nothing of the fault, leaves it.
    for (name, left) in [
        ("forgotten-cap", "every cap is back on"),
        ("shut-ball-valve", "every stem stands as in normal running"),
    ] {
        let drill = named(name);
        let sound = best_way(&Drill { faults: Vec::new(), ..drill.clone() }).unwrap().procedure;
        let found = score(&drill, &sound).unwrap();
        assert!(
            found.marks < 100 && found.missing.iter().any(|missing| missing.starts_with(left)),
            "{name}: {found:?}"
        );
    }
}

#[test]
fn the_first_costly_turn_is_found() {
    let drill = named("drier-change");
    let mut run = best_way(&drill).unwrap().procedure;
    // Early in the work the discharge valve is front-seated while the compressor runs.
    let reading = stemwise_circuit::read(drill.on.text.as_bytes()).circuit.unwrap();
    let valve = reading.graph.find_joint("discharge-valve").unwrap();
    let to = stemwise_circuit::Position::FrontSeated;
    let cap = stemwise_service::Cap::Stem(valve);
    let actions = vec![Action::TakeCapOff(cap), Action::EaseNut(valve), Action::Turn { valve, to }];
    run.steps.insert(1, Step { say: "A slip.".into(), actions, ..Step::default() });
    let found = score(&drill, &run).unwrap();
    let fork = found.fork.unwrap();
    assert!(fork.yours.iter().any(|line| line == "turn discharge-valve to front-seated"), "{fork:?}");
    assert!(
        found.fired.iter().any(|fired| fired.finding.rule == "compressor-against-shut-discharge"),
        "{:?}",
        found.fired
    );
    assert!(fork.why.to_lowercase().contains("discharge"), "{}", fork.why);
    assert!(!found.passed);
}

#[test]
fn longer_ways_cost_stems_and_time() {
    let drill = named("first-readings");
    let mut run = best_way(&drill).unwrap().procedure;
    run.steps.push(Step { actions: vec![Action::Hold { minutes: 60 }], ..Step::default() });
    let found = score(&drill, &run).unwrap();
    let time = found.heads.iter().find(|head| head.id == "time").unwrap();
    assert!(time.got == 0 && found.marks == 90, "{:?}", found.heads);
    assert!(found.fork.unwrap().why.contains("It costs more"));
}

#[test]
fn question_drills_have_questions_and_no_procedure() {
    let drill = named("air-in-the-cooler");
    let questions = drill_questions(&drill).unwrap();
    assert_eq!((questions.len(), questions[0].kind.word()), (6, "what-is-wrong"));
    assert!(
        questions[0].why.contains("air is in it") || questions[0].why.contains("Air is in it"),
        "{}",
        questions[0].why
    );
    assert_eq!(score(&drill, &Procedure::default()).unwrap_err(), NoBestWay::Questions);
    assert_eq!(drill_questions(&named("two-temperatures-by-eye")).unwrap().len(), 12);
    assert!(drill_questions(&named("drier-change")).unwrap().is_empty());
}

#[test]
fn faults_of_a_file_are_told_with_their_place() {
    let file = r#"schema = 2
name = "x"
brief = "y"
circuit = "example:walk-in-coler"
colour = "red"
pass = 120

[goal]
job = "replace the drier"
"#;
    let told: Vec<(usize, &str)> =
        read_drill(file.as_bytes()).problems.iter().map(|problem| (problem.line, problem.id)).collect();
    assert_eq!(told, [(1, "not-in-range"), (4, "unknown-circuit"), (5, "unknown-key"), (6, "not-in-range")]);
    let file = r#"schema = 1
name = "x"
brief = "y"
circuit = "example:walk-in-cooler"
turned = ["king=sideways", "kong=open", "king"]
without = ["coffee"]
[[fault]]
kind = "closed-valve"
at = "drier-valv"
[[fault]]
kind = "undercharge"
size = "9 kg"
[[fault]]
kind = "air"
at = "king"
size = "3 bar"
[[fault]]
kind = "ghost"
[[fault]]
kind = "fouled-condenser"
at = "condenser"
size = "40 %"
[goal]
job = "replace the drier"
questions = 4
kinds = ["reads-now", "reads-later"]
"#;
    let problems = read_drill(file.as_bytes()).problems;
    let told: Vec<(usize, &str)> = problems.iter().map(|problem| (problem.line, problem.id)).collect();
    let wanted = [
        (5, "unknown-position"),
        (5, "unknown-name"),
        (5, "not-a-setting"),
        (6, "unknown-thing"),
        (9, "unknown-name"),
        (12, "bad-size"),
        (15, "key-not-for-this-kind"),
        (16, "bad-size"),
        (18, "unknown-word"),
        (19, "not-at-rest"),
        (24, "two-goals"),
        (26, "unknown-word"),
    ];
    for place in wanted {
        assert!(told.contains(&place), "{place:?} is not in {told:?}");
    }
    assert!(problems.iter().any(|problem| problem.hint.contains("drier-valve")));
    assert!(problems.iter().all(|problem| !problem.hint.is_empty()));
}

#[test]
fn a_circuit_can_stand_in_the_file() {
    let example = drills().iter().find(|example| example.name == "first-readings").unwrap();
    let circuit = stemwise_circuit::examples()[0].text;
    let text = example
        .text
        .replace("circuit = \"example:walk-in-cooler\"", &format!("circuit-text = '''\n{circuit}'''"));
    let reading = read_drill(text.as_bytes());
    let drill = reading.drill.unwrap_or_else(|| panic!("{:?}", reading.problems));
    assert_eq!((drill.on.example.clone(), drill.on.circuit.name.as_str()), (None, "Walk-in cooler"));
    assert_eq!(score(&drill, &best_way(&drill).unwrap().procedure).unwrap().marks, 100);
    let broken = text.replace("charge = \"4.6 kg\"", "charge = \"4.6 bar\"");
    let problems = read_drill(broken.as_bytes()).problems;
    assert!(
        problems.iter().any(|problem| problem.id == "circuit" && problem.say.contains("bar")),
        "{problems:?}"
    );
}

#[test]
fn the_page_has_every_key_and_every_fault() {
    let page = include_str!("../../../docs/drill-file.md");
    assert!(KEYS.len() > 15);
    for key in KEYS {
        assert!(page.contains(&format!("| `{}`", key.name)) && page.contains(key.doc), "{}", key.name);
    }
    for (word, at, size, doc) in stemwise_teach::fault_words() {
        let row = page
            .lines()
            .find(|line| line.starts_with(&format!("| `{word}` |")))
            .unwrap_or_else(|| panic!("{word}"));
        assert!(row.contains(at) && row.contains(size) && row.contains(doc), "{row}");
    }
    let (_, after) = page.split_once("```toml\n").unwrap();
    let (file, _) = after.split_once("```").unwrap();
    assert_eq!(read_drill(file.as_bytes()).problems, []);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = read_drill(&bytes);
    }

    #[test]
    fn damaged_drills_are_read(which in any::<prop::sample::Index>(), flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8), end in any::<prop::sample::Index>()) {
        let mut bytes = drills()[which.index(drills().len())].text.as_bytes().to_vec();
        for (at, with) in flips {
            let at = at.index(bytes.len());
            bytes[at] = with;
        }
        bytes.truncate(end.index(bytes.len()) + 1);
        let _ = read_drill(&bytes);
    }
}
