//! Prints data/agreement.toml: `cargo run --release -p stemwise-thermo --example agreement > data/agreement.toml`. A test compares them.
#![allow(clippy::print_stdout, reason = "this is what the program is for")]

mod table;

fn main() {
    print!("{}", table::table());
}
