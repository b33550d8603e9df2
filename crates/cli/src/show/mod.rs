//! Answers as plain text: 80 columns, no colour needed.

mod check;
mod draw;
mod envelope;
mod evidence;
mod joined;
mod list;
mod plan;
mod properties;
mod prove;
mod record;
mod rehearse;
mod report;
mod shift;
mod teach;
mod text;

pub(crate) use check::{check, failure};
pub(crate) use draw::draw;
pub(crate) use envelope::envelope;
pub(crate) use evidence::evidence;
pub(crate) use joined::joined;
pub(crate) use list::{examples, list};
pub(crate) use plan::plan;
pub(crate) use properties::{coverage, fluids, saturation, saturation_table, state};
pub(crate) use prove::{slips, verify, why};
pub(crate) use record::job;
pub(crate) use rehearse::{coming_step, rehearsed, went_as_planned};
pub(crate) use report::{diagram, page};
pub(crate) use shift::shift;
pub(crate) use teach::{drill, drills, grades, questions, score};

use text::Text;

/// What to do after the first run.
pub(crate) fn first_steps(example: &str, job: &str) -> String {
    let mut text = Text::new();
    text.blank();
    text.heading("That was an example. On your own system");
    text.line("", &format!("stemwise examples {example} --write my-cooler.toml"));
    text.line("", "  edit it: every key is explained in docs/circuit-file.md");
    text.line("", "stemwise check my-cooler.toml");
    text.line("", "stemwise list my-cooler.toml");
    text.line("", &format!("stemwise plan my-cooler.toml --job \"{job}\""));
    text.line("", "stemwise --help has the rest.");
    text.done()
}
