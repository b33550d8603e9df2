//! The piping diagram, and where it was written.

use stemwise_wire::DrawAnswer;

use super::text::Text;

/// The diagram itself, or where it was written.
pub(crate) fn draw(answer: &DrawAnswer, written: Option<&str>) -> String {
    let Some(path) = written else { return answer.svg.clone() };
    let mut text = Text::new();
    text.line("", &format!("Piping diagram of {} written to {path}.", answer.circuit));
    text.line("", &format!("Along the pipe: {}.", answer.along.join("; ")));
    text.done()
}
