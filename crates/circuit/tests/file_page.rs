//! docs/circuit-file.md and docs/circuit-file.schema.json are what the reader does.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../examples/circuit_file/kinds.rs"]
mod kinds;
#[path = "../examples/circuit_file/page.rs"]
mod page;
#[path = "../examples/circuit_file/schema.rs"]
mod schema;

use stemwise_circuit::{LINE_KINDS, PART_KINDS, TABLES, VALVE_KINDS, Value, read};

#[test]
fn the_page_is_fresh() {
    assert_eq!(
        page::page(),
        include_str!("../../../docs/circuit-file.md"),
        "run: cargo run -p stemwise-circuit --example circuit_file -- page > docs/circuit-file.md"
    );
}

#[test]
fn the_schema_is_fresh() {
    assert_eq!(
        schema::text(),
        include_str!("../../../docs/circuit-file.schema.json"),
        "run: cargo run -p stemwise-circuit --example circuit_file -- schema > docs/circuit-file.schema.json"
    );
}

#[test]
fn the_file_on_the_page_has_no_problem() {
    assert_eq!(read(page::SMALL.as_bytes()).problems, []);
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
        assert!(page::QUANTITIES.iter().any(|(explained, ..)| *explained == what), "{what}");
    }
    assert!(used > 0);
    for (what, example, accepts) in page::QUANTITIES {
        assert_eq!(accepts(example), Ok(()), "{what}");
    }
}

#[test]
fn every_rule_of_estimation_is_on_the_page() {
    let source = include_str!("../src/file/estimate.rs").to_owned() + include_str!("../src/file/build.rs");
    let rules: Vec<&str> = source.split('"').filter(|text| text.contains("(common practice)")).collect();
    assert!(rules.len() > 20, "{rules:?}");
    let shown = page::estimates();
    for rule in rules {
        assert!(shown.contains(rule), "{rule} is not in examples/circuit_file/bare.toml");
    }
}
