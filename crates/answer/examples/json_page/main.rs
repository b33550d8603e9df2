//! Prints docs/json.md: `cargo run -p stemwise-answer --example json_page > docs/json.md`. A test compares them.
#![allow(clippy::print_stdout, reason = "it prints a page")]

mod page;

fn main() {
    print!("{}", page::page());
}
