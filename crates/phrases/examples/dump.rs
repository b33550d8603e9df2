#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)]
#[path = "../tests/support/mod.rs"]
mod support;
fn main() {
    let said = support::everything(false);
    for (text, topic) in &said.texts {
        println!("{topic}\t{}", text.replace('\n', "\\n"));
    }
    for own in &said.own {
        println!("OWN\t{own}");
    }
}
