//! The record command: where a job stands, damage, merging, the page.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fs;
use std::path::PathBuf;

use stemwise_answer::{JobOpening, JobRecord, Moment, ProcedureAsk, Stamp, example};
use stemwise_units::UnitSystem;
use stemwise_wire::{FailureAnswer, JobAnswer, JobEntry, JobMeasured, JobStep};
use support::{check, run, shape};

fn stamp(device: &str, minute: i64) -> Stamp {
    let at = Moment { unix_ms: 1_790_000_000_000 + 60_000 * minute, offset_min: 60 };
    Stamp { device: device.into(), random: 99, at }
}

fn opened() -> JobRecord {
    let ask = ProcedureAsk { job: Some("replace the drier".into()), ..ProcedureAsk::default() };
    let circuit_file = example("walk-in-cooler").unwrap().as_bytes();
    let opening = JobOpening { circuit_file, ask: &ask, words: None, by: Some("Ana") };
    JobRecord::open(&opening, &stamp("phone", 0)).unwrap().0
}

/// A file of its own for each test.
fn written(name: &str, text: &str) -> String {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

fn fresh(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_file(&path);
    path.to_str().unwrap().to_owned()
}

#[test]
fn two_files_are_told_merged_and_printed() {
    let mut phone = opened();
    let (mut tablet, _) = JobRecord::read(phone.file().as_bytes());
    let step = |n| JobStep { n, procedure: None };
    for n in 1..=3 {
        if phone.state(UnitSystem::Si).steps[n - 1].hold.is_some() {
            let proved = JobEntry::HoldPoint { step: step(n), proved: true, say: "weighed and seen".into() };
            phone.add(&proved, None, &stamp("phone", 10 * n as i64 - 1)).unwrap();
        }
        phone
            .add(&JobEntry::StepBegun { step: step(n) }, Some("Ana"), &stamp("phone", 10 * n as i64))
            .unwrap();
        phone
            .add(&JobEntry::StepDone { step: step(n) }, Some("Ana"), &stamp("phone", 10 * n as i64 + 4))
            .unwrap();
    }
    let note = JobEntry::Note { step: Some(step(2)), text: "cap <stuck>".into() };
    tablet.add(&note, Some("Ben"), &stamp("tablet", 12)).unwrap();
    let measured = JobMeasured { of: "pressure".into(), typed: "22 psig".into(), value: None };
    let reading = JobEntry::Reading {
        step: Some(step(2)),
        place: "suction-valve-port".into(),
        measured,
        instrument: None,
    };
    tablet.add(&reading, None, &stamp("tablet", 13)).unwrap();
    let (one, other) = (written("phone.jsonl", &phone.file()), written("tablet.jsonl", &tablet.file()));
    let (both, page) = (fresh("both.jsonl"), fresh("both.html"));
    let ran = check(
        &["record", &one, &other, "--merge", &both, "--page", &page, "--all", "--units", "ip"],
        0,
        &[
            "OPEN",
            "Next, step 4",
            "[done, 4 min]",
            "cap <stuck>",
            "22 psig",
            "Missing before it may be closed",
        ],
    );
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80 || line.starts_with("Written to"), "wider than 80: {line}");
    }
    let html = fs::read_to_string(&page).unwrap();
    assert!(html.contains("cap &lt;stuck&gt;") && html.contains("size: A4") && html.contains("22.0 psig"));
    let answer: JobAnswer = shape(&run(&["record", &both, "--json"]));
    assert_eq!((answer.entries, answer.state.next), (phone.entries() + 2, Some(4)));
    check(&["record", &one, "--merge", &both], 2, &["could not write"]);
    check(&["record", &one, "--page", "x.html", "--paper", "a5"], 2, &["\"a5\" is no paper"]);
}

#[test]
fn damage_is_told_with_its_line() {
    let mut job = opened();
    job.add(&JobEntry::Paused { why: "no key".into() }, None, &stamp("phone", 1)).unwrap();
    let file = job.file();
    let cut = written("cut.jsonl", &file[..file.len() - 9]);
    check(&["record", &cut], 1, &["error [cut-off] line 3", "1 entry", "merge another copy"]);
    let flipped = written("flipped.jsonl", &file.replacen("no key", "no fey", 1));
    check(&["record", &flipped], 1, &["error [damaged-line] line 3", "OPEN"]);
    let middle = written("middle.jsonl", &(file.replacen("Walk-in", "Malk-in", 1)));
    check(&["record", &middle], 1, &["[damaged-line] line 2", "opening is missing", "NOT-OPENED"]);
}

#[test]
fn what_is_no_job_is_said() {
    let none = written("none.jsonl", "hello\n");
    check(&["record", &none], 1, &["no entry of a job can be read", "docs/job-file.md"]);
    check(&["record", "no-such-file.jsonl"], 2, &["could not read no-such-file.jsonl"]);
    let failure: FailureAnswer = shape(&run(&["record", &none, "--json"]));
    assert_eq!(failure.error.kind, "job-file");
    let mut elsewhere = ProcedureAsk { job: Some("pump down".into()), ..ProcedureAsk::default() };
    elsewhere.without = vec!["nitrogen".into()];
    let circuit_file = example("walk-in-cooler").unwrap().as_bytes();
    let opening = JobOpening { circuit_file, ask: &elsewhere, words: Some("pump it down"), by: None };
    let other = JobRecord::open(&opening, &stamp("desk", 0)).unwrap().0;
    let (one, other) = (written("a.jsonl", &opened().file()), written("b.jsonl", &other.file()));
    check(&["record", &one, &other], 1, &["two different jobs"]);
}
