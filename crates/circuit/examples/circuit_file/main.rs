//! Prints docs/circuit-file.md or its JSON Schema; a test compares them with what is committed.
//!
//! `cargo run -p stemwise-circuit --example circuit_file -- page > docs/circuit-file.md`
//! `cargo run -p stemwise-circuit --example circuit_file -- schema > docs/circuit-file.schema.json`
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "it prints a page")]

mod kinds;
mod page;
mod schema;

use std::process::ExitCode;

fn main() -> ExitCode {
    match std::env::args().nth(1).as_deref() {
        Some("page") => print!("{}", page::page()),
        Some("schema") => print!("{}", schema::text()),
        _ => {
            eprintln!("say which: page or schema");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}
