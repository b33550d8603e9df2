//! A procedure as text.

use std::fmt::Write as _;

use stemwise_circuit::Assembly;

use super::action::{absolute, name, words_of};
use crate::procedure::{Procedure, Step};

/// Longer sentences go on in lines that begin with a bar.
const WIDTH: usize = 100;

/// A procedure as its file. [`read`](crate::read) gives the same procedure back.
pub fn write(assembly: &Assembly, procedure: &Procedure) -> String {
    let mut text = String::from("procedure 1\n");
    entry(&mut text, "", "circuit", &procedure.circuit);
    if let Some(job) = &procedure.job {
        entry(&mut text, "", "job", job);
    }
    if procedure.standing {
        text.push_str("start: standing\n");
    }
    if !procedure.without.is_empty() {
        entry(&mut text, "", "without", &procedure.without.join(", "));
    }
    if !procedure.with.is_empty() {
        entry(&mut text, "", "with", &procedure.with.join(", "));
    }
    if procedure.cylinders != 1 {
        entry(&mut text, "", "cylinders", &procedure.cylinders.to_string());
    }
    for note in &procedure.notes {
        entry(&mut text, "", "note", note);
    }
    for step in &procedure.steps {
        write_step(&mut text, assembly, step);
    }
    text
}

fn write_step(text: &mut String, assembly: &Assembly, step: &Step) {
    text.push('\n');
    entry(text, "", "step", &step.say);
    for note in &step.notes {
        entry(text, "  ", "note", note);
    }
    for action in &step.actions {
        // Writing to a string does not fail.
        let _ = writeln!(text, "  {}", words_of(assembly, action));
    }
    for expect in &step.expect {
        let port = assembly.graph.port(expect.port).map_or_else(String::new, |port| name(&port.id));
        let (low, high) = (absolute(expect.low, assembly), absolute(expect.high, assembly));
        let range = if low == high { low } else { format!("{low} to {high}") };
        let _ = writeln!(text, "  expect {port} {range}");
    }
    if let Some(hold) = &step.hold {
        entry(text, "  ", "hold point", hold);
    }
}

/// "key: words", wrapped.
fn entry(text: &mut String, indent: &str, key: &str, said: &str) {
    let mut line = format!("{indent}{key}:");
    for word in said.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH && !line.ends_with(':') {
            text.push_str(&line);
            text.push('\n');
            line = format!("{indent}  |");
        }
        line.push(' ');
        line.push_str(word);
    }
    text.push_str(&line);
    text.push('\n');
}
