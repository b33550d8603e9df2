//! Writes `docs/circuit-file.schema.json` and the tables of keys in `docs/circuit-file.md` anew: `cargo run --example circuit_page`.

use std::path::Path;

const MARK: &str = "<!-- keys: made by cargo run --example circuit_page -->\n";

fn main() -> std::io::Result<()> {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let schema =
        serde_json::to_string_pretty(&stemwise_answer::circuit_schema()).map_err(std::io::Error::other)?;
    std::fs::write(docs.join("circuit-file.schema.json"), schema + "\n")?;
    let page = std::fs::read_to_string(docs.join("circuit-file.md"))?;
    let head = page.split(MARK).next().unwrap_or(&page);
    std::fs::write(
        docs.join("circuit-file.md"),
        format!("{head}{MARK}\n{}", stemwise_answer::circuit_keys_page()),
    )
}
