//! The procedure file: every fault at its place, and nothing panics.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use proptest::prelude::*;
use stemwise_circuit::{Circuit, Rig};
use stemwise_prove::{read, write};
use support::Bench;

fn cooler() -> Circuit {
    Bench::example("walk-in-cooler").assembly.circuit
}

/// The problems of a file, a line each.
fn faults(text: &str) -> String {
    let problems = read(text.as_bytes(), &cooler(), Rig::usual()).problems;
    let line = |problem: &stemwise_circuit::Problem| {
        format!("{}:{} {}: {} | {}\n", problem.line, problem.column, problem.id, problem.say, problem.hint)
    };
    problems.iter().map(line).collect()
}

#[test]
fn all_faults_are_told_at_once() {
    let text = "procedure 1\nstart: walking\nwithout: spoon\nlock out\nstep: Shut it.\n  turn kign to shut\n  turn king to shut\n  \
                ease king\n  nitrogen in 5 bar\n  nitrogen in to 5 kg\n  frobnicate\n  wait long min\n  charge 1 kg\n  read it\n";
    insta::assert_snapshot!(faults(text), @r#"
    2:1 unknown-start: the system can't start "walking" | say running or standing
    3:1 unknown-thing: nothing called "spoon" belongs to the rig | it can be: recovery-machine, cylinder, vacuum-pump, nitrogen, core-tool
    4:1 before-first-step: this stands before the first step | begin a step with the line: step: what is done
    6:8 unknown-name: no valve or machine is called "kign" | did you mean king?
    7:16 unknown-position: king can't stand "shut" | it can be: back-seated, cracked, mid-seated, front-seated
    8:3 unknown-action: no action begins with "ease" | the line is: ease nut VALVE
    9:15 missing-word: "to" is missing before "5" | the line is: nitrogen in to PRESSURE
    10:18 not-understood: "kg" is a unit of a mass, but a pressure is wanted here; it can be: psig, bar, kPa, MPa, inHg (below 0: vacuum), inHg vac; or absolute: psia, bara, kPa abs, micron, torr | write it like 2.5 bar, 35 psig or 300 micron
    11:3 unknown-action: no action begins with "frobnicate" | docs/procedure-file.md lists every action
    12:8 not-understood: "long" is not a number of minutes | the line is: wait 60 min
    13:14 missing-word: "as" is missing | the line is: charge MASS as liquid
    14:8 too-much: "it" is too much here | one action a line
    "#);
}

#[test]
fn what_is_no_procedure_says_so() {
    assert!(faults("schema = 1\n").contains("not-a-procedure"));
    assert!(faults("").contains("not-a-procedure"));
    assert!(faults("procedure 1\n").contains("no-step"));
    let bytes = [0xff, 0xfe, 0x00];
    assert_eq!(read(&bytes, &cooler(), Rig::usual()).problems[0].id, "not-text");
}

#[test]
fn notes_and_hold_points_are_kept() {
    let text = "procedure 1\ncircuit: A cooler\nnote: the whole\n  | of it\n\nstep: Look\n  | twice\n  note: one\n  note: two\n  read\n  \
                hold point: both read\n";
    let reading = read(text.as_bytes(), &cooler(), Rig::usual());
    let procedure = reading.procedure.unwrap();
    assert_eq!(procedure.notes, ["the whole of it"]);
    assert_eq!(procedure.steps[0].say, "Look twice");
    assert_eq!(procedure.steps[0].notes, ["one", "two"]);
    let again = read(write(&reading.assembly, &procedure).as_bytes(), &cooler(), Rig::usual());
    assert_eq!(again.procedure.unwrap(), procedure);
}

/// The page names every action and every key that the reader knows: its example is read without a fault.
#[test]
fn the_page_is_true() {
    let page = include_str!("../../../docs/procedure-file.md");
    let example = page.split("```").nth(1).unwrap();
    assert_eq!(faults(example.trim_start()), "");
    let actions = page.split("## Actions").nth(1).unwrap().split("## What").next().unwrap();
    let rows = actions.lines().filter(|line| line.starts_with("| `"));
    let forms: Vec<&str> =
        rows.flat_map(|row| row.split(" | ").next().unwrap().split('`').skip(1).step_by(2)).collect();
    assert!(forms.len() > 25, "{forms:?}");
    for form in forms {
        let line = form
            .replace("port NAME", "port king-port")
            .replace("VALVE", "king")
            .replace("POSITION", "cracked")
            .replace("HOSE", "low-hose")
            .replace("PORT", "drier-port")
            .replace("MACHINE", "compressor")
            .replace("SOLENOID", "solenoid")
            .replace("PRESSURE", "2 bar")
            .replace("SPACES", "drier, liquid-line")
            .replace("VACUUM", "300 micron")
            .replace("MASS", "1.5 kg")
            .replace("MINUTES", "5");
        assert_eq!(faults(&format!("procedure 1\nstep: x\n{line}\n")), "", "{form}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_panics(lines in proptest::collection::vec("[a-z|#:\" ,0-9-]{0,40}|turn king to .{0,12}|charge .{0,12}|open up .{0,20}|step: .{0,10}|expect .{0,20}", 0..12)) {
        let text = format!("procedure 1\nstep: x\n{}", lines.join("\n"));
        let reading = read(text.as_bytes(), &cooler(), Rig::usual());
        prop_assert!(reading.procedure.is_some() || !reading.problems.is_empty());
    }
}
