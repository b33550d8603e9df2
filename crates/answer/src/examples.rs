//! The examples that are built in.

use stemwise_circuit::{Example, headline};
use stemwise_wire as wire;

use crate::Error;

/// Every example, with what it is.
pub fn examples() -> wire::ExamplesAnswer {
    wire::ExamplesAnswer { examples: stemwise_circuit::examples().iter().map(entry).collect() }
}

/// The file of an example.
///
/// # Errors
/// [`Error::UnknownExample`] with the names there are.
///
/// ```
/// assert!(stemwise_answer::example("walk-in-cooler")?.contains("R-134a"));
/// assert!(stemwise_answer::example("walk-in-freezer").is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn example(name: &str) -> Result<&'static str, Error> {
    let all = stemwise_circuit::examples();
    let found = all.iter().find(|example| example.name.eq_ignore_ascii_case(name.trim()));
    found.map(|example| example.text).ok_or_else(|| Error::UnknownExample {
        name: name.chars().take(60).collect(),
        known: all.iter().map(|example| example.name).collect(),
    })
}

fn entry(example: &Example) -> wire::ExampleEntry {
    let said = headline(example.text.as_bytes());
    wire::ExampleEntry {
        name: example.name.into(),
        circuit: said.name.unwrap_or_default(),
        refrigerant: said.refrigerant.unwrap_or_default(),
        note: said.note,
    }
}
