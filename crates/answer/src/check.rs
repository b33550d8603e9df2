//! Checking a circuit file.

use stemwise_circuit::{Circuit, Problem, Severity, read};
use stemwise_wire as wire;

use crate::Error;

/// Checks a circuit file: everything found in it, in the order of the file.
///
/// ```
/// let answer = stemwise_answer::check(b"schema = 1\n");
/// assert!(!answer.ok && !answer.problems.is_empty());
/// ```
pub fn check(file: &[u8]) -> wire::CheckAnswer {
    let reading = read(file);
    wire::CheckAnswer {
        ok: reading.circuit.is_some() && !reading.problems.iter().any(is_error),
        problems: reading.problems.iter().map(problem).collect(),
    }
}

/// The circuit of a file, for the tasks that need a sound one.
///
/// # Errors
/// [`Error::Circuit`] with everything found.
pub(crate) fn circuit(file: &[u8]) -> Result<Circuit, Error> {
    let reading = read(file);
    match reading.circuit {
        Some(circuit) if !reading.problems.iter().any(is_error) => Ok(circuit),
        _ => Err(Error::Circuit { problems: reading.problems }),
    }
}

fn is_error(problem: &Problem) -> bool {
    problem.severity == Severity::Error
}

pub(crate) fn problem(problem: &Problem) -> wire::Problem {
    wire::Problem {
        severity: match problem.severity {
            Severity::Error => wire::Severity::Error,
            Severity::Warning => wire::Severity::Warning,
        },
        id: problem.id.into(),
        line: problem.line,
        column: problem.column,
        excerpt: problem.excerpt.clone(),
        mark: [problem.mark.0, problem.mark.1],
        say: problem.say.clone(),
        hint: problem.hint.clone(),
    }
}
