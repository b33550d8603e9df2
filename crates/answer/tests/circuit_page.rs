//! The page and the committed schema of the circuit file against the table of keys that the reader works with.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::Value;
use stemwise_answer::{circuit_keys_page, circuit_schema};

const PAGE: &str = include_str!("../../../docs/circuit-file.md");
const SCHEMA: &str = include_str!("../../../docs/circuit-file.schema.json");

#[test]
fn the_page_has_every_key() {
    let keys = circuit_keys_page();
    assert!(keys.lines().count() > 90);
    assert!(PAGE.contains(&keys), "docs/circuit-file.md is stale: run cargo run --example circuit_page");
}

#[test]
fn the_committed_schema_is_the_generated_one() {
    let committed: Value = serde_json::from_str(SCHEMA).unwrap();
    assert_eq!(
        committed,
        circuit_schema(),
        "docs/circuit-file.schema.json is stale: run cargo run --example circuit_page"
    );
}
