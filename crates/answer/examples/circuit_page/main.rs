//! Writes `docs/circuit-file.schema.json` and the made part of `docs/circuit-file.md` anew:
//! `cargo run -p stemwise-answer --example circuit_page`. A test compares them.

mod kinds;
mod sections;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let schema =
        serde_json::to_string_pretty(&stemwise_answer::circuit_schema()).map_err(std::io::Error::other)?;
    std::fs::write(docs.join("circuit-file.schema.json"), schema + "\n")?;
    let page = std::fs::read_to_string(docs.join("circuit-file.md"))?;
    std::fs::write(docs.join("circuit-file.md"), sections::renewed(&page))
}
