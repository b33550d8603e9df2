//! Prints the report natively.
#![allow(clippy::print_stdout, reason = "this is what the program is for")]

fn main() {
    print!("{}", stemwise_smoke::smoke());
}
