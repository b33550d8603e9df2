//! Questions and drills on the command line.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fs;
use std::path::PathBuf;

use stemwise_wire::{DrillAnswer, DrillScore, DrillsAnswer, FailureAnswer, GradesAnswer, QuestionsAnswer};
use support::{check, run, run_with, shape};

const COOLER: &str = "example:walk-in-cooler";

fn fresh(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_file(&path);
    path.to_str().unwrap().to_owned()
}

#[test]
fn questions_are_asked_answered_and_graded() {
    let ask = ["questions", COOLER, "--count", "17", "--seed", "3"];
    let ran = check(&ask, 0, &["Walk-in cooler, paper 3", "1) ", "--reply"]);
    assert!(!ran.out.contains("Why:"));
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "wider than 80: {line}");
    }
    check(&[&ask[..], &["--answers"]].concat(), 0, &["Why:", "not: ", " * "]);
    let answer: QuestionsAnswer = shape(&run(&[&ask[..], &["--json"]].concat()));
    assert_eq!(answer.questions.len(), 17);
    let mut reply: Vec<String> = Vec::new();
    for question in &answer.questions {
        let right = question.choices.iter().position(|choice| choice.right).map(|at| (at + 1).to_string());
        reply.push("--reply".into());
        reply.push(right.unwrap_or_else(|| question.number.as_ref().unwrap().say.replace("(g)", "")));
    }
    let mut all: Vec<&str> = ask.to_vec();
    all.extend(reply.iter().map(String::as_str));
    check(&all, 0, &["17 of 17 right."]);
    let graded: GradesAnswer = shape(&run(&[&all[..], &["--json"]].concat()));
    assert_eq!((graded.right, graded.of), (17, 17));
    let wrong = ["questions", COOLER, "--kind", "superheat", "--count", "1", "--reply", "99 K"];
    check(&wrong, 0, &["WRONG", "It is: ", "0 of 1 right"]);
}

#[test]
fn questions_that_can_not_be_are_explained() {
    check(
        &["questions", COOLER, "--kind", "weather"],
        2,
        &["no kind of question is called \"weather\"", "reads-now"],
    );
    check(&["questions", COOLER, "--count", "0"], 2, &["0"]);
    check(&["questions", "example:sealed-freezer", "--kind", "port-side"], 1, &["gives no question"]);
    let one = ["questions", COOLER, "--kind", "superheat", "--count", "1"];
    check(&[&one[..], &["--reply", "5 bar"]].concat(), 2, &["a temperature difference"]);
    check(&[&one[..], &["--reply", "5 K", "--reply", "6 K"]].concat(), 2, &["there is no question 2"]);
}

#[test]
fn drills_are_listed_shown_and_scored() {
    let list: DrillsAnswer = shape(&run(&["drills", "--json"]));
    assert!(list.drills.len() >= 6);
    check(&["drills"], 0, &["drill:shut-ball-valve", "Goal: take readings."]);
    for drill in &list.drills {
        let named = format!("drill:{}", drill.id);
        let shown: DrillAnswer = shape(&run(&["drills", &named, "--json"]));
        assert_eq!(shown.job.is_none(), !shown.questions.is_empty());
        let ran = check(&["drills", &named], 0, &[&shown.name]);
        assert!(!ran.out.contains("Fault:") && !ran.out.contains("Why:"), "{}", ran.out);
    }
    check(
        &["drills", "drill:shut-ball-valve", "--answers"],
        0,
        &["Fault: closed-valve at drier-valve", "Invented"],
    );
    let best = run(&["drills", "drill:shut-ball-valve", "--best"]);
    assert!(best.code == 0 && best.out.starts_with("procedure 1\n"), "{}", best.out);
    let way = fresh("best-way.txt");
    fs::write(&way, &best.out).unwrap();
    check(
        &["drills", "drill:shut-ball-valve", "--run", &way],
        0,
        &["PASSED", "100 of 100 marks", "best known way"],
    );
    let worse = best.out.replacen("turn drier-valve to open", "read", 1);
    fs::write(&way, worse).unwrap();
    let ask = ["drills", "drill:shut-ball-valve", "--run", &way];
    check(
        &ask,
        1,
        &["NOT PASSED", "Where it went wrong first", "The best way here: turn drier-valve to open"],
    );
    let scored: DrillScore = shape(&run(&[&ask[..], &["--json"]].concat()));
    assert!(!scored.passed && scored.fork.is_some() && scored.marks < 100);
}

#[test]
fn a_drill_is_written_out_and_read_back() {
    let path = fresh("my-drill.toml");
    check(&["drills", "drill:leaking-core", "--write", &path], 0, &["Written to"]);
    let shown: DrillAnswer = shape(&run(&["drills", &path, "--json"]));
    assert_eq!((shown.name.as_str(), shown.units.as_str()), ("A core that does not shut", "ip"));
    check(&["drills", "drill:leaking-core", "--write", &path], 2, &["could not write"]);
}

#[test]
fn drills_that_can_not_be_are_explained() {
    check(&["drills", "drill:none"], 2, &["no drill is called \"none\"", "leaking-core"]);
    check(&["drills", "no-such.toml"], 2, &["could not read no-such.toml"]);
    let ran = run_with(&["drills", "-"], b"schema = 1\nname = 5\n");
    assert!(
        ran.code == 1 && ran.err.contains("[wrong-type] line 2") && ran.err.contains("docs/drill-file.md"),
        "{}",
        ran.err
    );
    let failure: FailureAnswer = shape(&run_with(&["drills", "-", "--json"], b""));
    assert!(failure.error.kind == "drill-file" && !failure.error.problems.is_empty());
    let way = fresh("no-way.txt");
    fs::write(&way, "procedure 1\nstep: x\n  read\n").unwrap();
    check(&["drills", "drill:air-in-the-cooler", "--run", &way], 1, &["questions, not a job", "--reply"]);
}
