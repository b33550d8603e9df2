//! The page and the committed schema of the circuit file against what the reader works with.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../examples/circuit_page/kinds.rs"]
mod kinds;
#[path = "../examples/circuit_page/sections.rs"]
mod sections;

use serde_json::Value as Json;
use stemwise_answer::circuit_schema;
use stemwise_circuit::{LINE_KINDS, PART_KINDS, TABLES, VALVE_KINDS, Value, read};

const PAGE: &str = include_str!("../../../docs/circuit-file.md");
const SCHEMA: &str = include_str!("../../../docs/circuit-file.schema.json");

#[test]
fn the_page_is_fresh() {
    assert!(PAGE.contains(sections::MARK));
    assert_eq!(sections::renewed(PAGE), PAGE, "run: cargo run -p stemwise-answer --example circuit_page");
}

#[test]
fn the_committed_schema_is_the_generated_one() {
    let committed: Json = serde_json::from_str(SCHEMA).unwrap();
    assert_eq!(committed, circuit_schema(), "run: cargo run -p stemwise-answer --example circuit_page");
}

#[test]
fn the_file_on_the_page_has_no_problem() {
    let (_, after) = PAGE.split_once("```toml\n").unwrap();
    let (file, _) = after.split_once("```").unwrap();
    assert_eq!(read(file.as_bytes()).problems, []);
}

#[test]
fn every_kind_is_explained_and_no_other() {
    for (explained, known) in
        [(kinds::PARTS, PART_KINDS), (kinds::LINES, LINE_KINDS), (kinds::VALVES, VALVE_KINDS)]
    {
        let explained: Vec<&str> = explained.iter().map(|(kind, _)| *kind).collect();
        assert_eq!(explained, known);
    }
}

#[test]
fn every_quantity_is_explained_and_its_example_is_read() {
    let wanted = TABLES.iter().flat_map(|table| table.keys).filter_map(|key| match key.value {
        Value::Quantity(what) | Value::Range(what) => Some(what),
        _ => None,
    });
    let mut used = 0;
    for what in wanted {
        used += 1;
        assert!(sections::QUANTITIES.iter().any(|(explained, ..)| *explained == what), "{what}");
    }
    assert!(used > 0);
    for (what, example, accepts) in sections::QUANTITIES {
        assert_eq!(accepts(example), Ok(()), "{what}");
    }
}

#[test]
fn every_rule_of_estimation_is_on_the_page() {
    let source = include_str!("../../circuit/src/file/estimate.rs").to_owned()
        + include_str!("../../circuit/src/file/build.rs");
    let rules: Vec<&str> = source.split('"').filter(|text| text.contains("(common practice)")).collect();
    assert!(rules.len() > 20, "{rules:?}");
    let shown = sections::estimates();
    for rule in rules {
        assert!(shown.contains(rule), "{rule} is not in bare.toml");
    }
}
