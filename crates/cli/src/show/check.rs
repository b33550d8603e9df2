//! Problems of a file, and what went wrong otherwise.

use std::io::{self, Write};

use stemwise_wire::{CheckAnswer, FailureAnswer, Problem, Severity};

use super::text::{Text, count};

/// So much of a line is shown around the place.
const EXCERPT: usize = 66;

pub(crate) fn check(file: &str, answer: &CheckAnswer) -> String {
    let mut text = Text::new();
    problems(&mut text, &answer.problems);
    let of = |severity| answer.problems.iter().filter(|problem| problem.severity == severity).count();
    let errors = count(of(Severity::Error), "error", "errors");
    let warnings = count(of(Severity::Warning), "warning", "warnings");
    let said = if answer.problems.is_empty() {
        format!("{file}: fine, nothing found.")
    } else if answer.ok {
        format!("{file}: usable; {warnings}.")
    } else {
        format!("{file}: {errors}, {warnings}.")
    };
    text.line("", &said);
    text.done()
}

/// What went wrong, on standard error.
pub(crate) fn failure(answer: &FailureAnswer) {
    let mut text = Text::new();
    problems(&mut text, &answer.error.problems);
    text.wrap("error: ", &answer.error.message);
    if let Some(hint) = &answer.error.hint {
        text.wrap("hint: ", hint);
    }
    // There is nowhere left to say that standard error is closed.
    let _ = io::stderr().lock().write_all(text.done().as_bytes());
}

pub(super) fn problems(text: &mut Text, problems: &[Problem]) {
    for problem in problems {
        one(text, problem);
        text.blank();
    }
}

fn one(text: &mut Text, problem: &Problem) {
    let severity = match problem.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let place = format!("{severity} [{}] line {}, column {}", problem.id, problem.line, problem.column);
    text.line("", &place);
    text.wrap("  ", &problem.say);
    if !problem.excerpt.trim().is_empty() {
        let (shown, before, marked) = window(&problem.excerpt, problem.mark);
        let number = problem.line.to_string();
        text.line("  ", &format!("{number} | {shown}"));
        let carets = format!("{}{}", " ".repeat(before), "^".repeat(marked));
        text.line("  ", &format!("{} | {carets}", " ".repeat(number.len())));
    }
    text.wrap("  hint: ", &problem.hint);
}

/// A part of the excerpt around the mark that fits on the screen, with the mark's place and length in it.
fn window(excerpt: &str, [from, length]: [usize; 2]) -> (String, usize, usize) {
    let whole = excerpt.chars().count();
    let start = if whole <= EXCERPT { 0 } else { from.saturating_sub(EXCERPT / 3).min(whole - EXCERPT) };
    let shown: String = excerpt.chars().skip(start).take(EXCERPT).collect();
    let before = from.saturating_sub(start).min(EXCERPT);
    (shown, before, length.clamp(1, (EXCERPT - before).max(1)))
}
