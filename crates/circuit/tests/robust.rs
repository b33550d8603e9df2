//! Bad input gets an answer, never a panic: broken, binary, deep, huge.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write;

use proptest::prelude::*;
use stemwise_circuit::{LARGEST_FILE, examples, read};

fn sane(bytes: &[u8]) {
    let reading = read(bytes);
    for problem in &reading.problems {
        assert!(problem.line >= 1 && problem.column >= 1);
        assert!(!problem.say.is_empty() && !problem.hint.is_empty());
        assert!(problem.excerpt.chars().count() <= 100);
    }
    assert!(reading.circuit.is_some() || !reading.problems.is_empty());
}

#[test]
fn the_corpus() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert!(files.len() > 50, "{}", files.len());
    for file in files {
        sane(&std::fs::read(file).unwrap());
    }
}

#[test]
fn every_truncation_of_an_example() {
    for example in examples() {
        for end in (0..example.text.len()).step_by(37) {
            sane(example.text.as_bytes().get(..end).unwrap());
        }
    }
}

#[test]
fn binary_deep_and_oversized_files() {
    sane(b"");
    sane(b"\0\0\0\0");
    sane(&[0xff, 0xfe, 0x00, 0x41]);
    let deep = "a = ".to_owned() + &"[".repeat(100_000);
    assert!(read(deep.as_bytes()).problems.iter().any(|problem| problem.id == "too-deep"));
    let tables = "[a.".to_owned() + &"b.".repeat(2000) + "c]";
    sane(tables.as_bytes());
    let big = vec![b' '; LARGEST_FILE + 1];
    assert!(read(&big).problems.iter().any(|problem| problem.id == "file-too-large"));
    let not_text = read(b"name = \"\xff\"").problems;
    assert!(not_text[0].id == "not-text" && not_text[0].say.contains("byte 8"), "{not_text:?}");
}

/// So many parts in one long walk.
fn long_circuit(parts: usize) -> String {
    let mut text = String::from("schema = 1\nname = \"Long\"\nrefrigerant = \"R-134a\"\ncharge = \"1 kg\"\n");
    let mut walk = Vec::new();
    for n in 0..parts {
        writeln!(
            text,
            "[part.p{n}]\nkind = \"vessel\"\nvolume = \"1 L\"\n[valve.v{n}]\nkind = \"ball-valve\""
        )
        .unwrap();
        walk.push(format!("\"p{n}\", \"v{n}\""));
    }
    writeln!(text, "[[walk]]\nalong = [{}, \"p0\"]", walk.join(", ")).unwrap();
    text
}

#[test]
fn ten_thousand_parts() {
    let reading = read(long_circuit(10_000).as_bytes());
    let found: Vec<&str> = reading.problems.iter().map(|problem| problem.id).collect();
    assert_eq!(found, ["no-compressor"]);
    let circuit = reading.circuit.unwrap();
    assert_eq!((circuit.graph.spaces.len(), circuit.graph.joints.len()), (10_000, 10_000));
    // Ten thousand faults: the first two hundred are told, the rest is counted.
    let broken = long_circuit(10_000).replace("kind = \"ball-valve\"", "kind = \"bal-valve\"");
    let problems = read(broken.as_bytes()).problems;
    assert!(problems.len() == 201 && problems[200].id == "many-problems", "{}", problems.len());
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_125),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]
    #[test]
    fn mutated_examples(which in 0usize..6, cuts in prop::collection::vec((any::<u16>(), any::<u8>(), 0usize..40), 1..6)) {
        let mut bytes = examples()[which].text.as_bytes().to_vec();
        for (at, byte, length) in cuts {
            let at = usize::from(at) % bytes.len().max(1);
            match byte % 4 {
                0 => bytes.truncate(at),
                1 => bytes.splice(at..at, [byte, b'"', b'\n']).for_each(drop),
                2 => bytes.drain(at..(at + length).min(bytes.len())).for_each(drop),
                _ => if let Some(slot) = bytes.get_mut(at) { *slot = byte },
            }
        }
        sane(&bytes);
    }

    #[test]
    fn any_text(text in "\\PC{0,300}") {
        sane(text.as_bytes());
    }
}
