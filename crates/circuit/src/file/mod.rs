//! The circuit file: TOML in, a circuit and every problem out.

mod build;
mod catalogue;
mod element;
mod estimate;
mod headline;
mod keys;
mod problem;
mod sense;
mod table;
mod walk;

pub use catalogue::{PROBLEMS, ProblemKind};
pub use headline::{Headline, headline};
pub use keys::{Key, LINE_KINDS, PART_KINDS, STEM_KINDS, TABLES, Table, VALVE_KINDS, Value};
pub use problem::{Problem, Problems, Severity};

use table::Fields;
use toml::de::DeTable;

use crate::Circuit;

/// The version of the format that this program reads.
pub const SCHEMA: u32 = 1;
/// A larger file is not a circuit.
pub const LARGEST_FILE: usize = 4 << 20;
/// Deeper nesting is not a circuit either, and is refused before the parser meets it.
const DEEPEST: usize = 32;

/// What reading a file gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The circuit, if no error forbids it.
    pub circuit: Option<Circuit>,
    /// Everything found, in the order of the file.
    pub problems: Vec<Problem>,
}

/// Reads a circuit file. Never panics, whatever the bytes.
///
/// ```
/// let reading = stemwise_circuit::read(b"schema = 1\nname = \"Nothing yet\"\n");
/// assert!(reading.circuit.is_none());
/// assert!(reading.problems.iter().any(|problem| problem.id == "missing-key"));
/// ```
pub fn read(bytes: &[u8]) -> Reading {
    match text_of(bytes) {
        Ok(text) => read_text(text),
        Err(refused) => {
            let mut problems = Problems::new(refused.text);
            problems.error(&(refused.at..refused.at), refused.id, refused.say, refused.hint);
            Reading { circuit: None, problems: problems.finish() }
        }
    }
}

/// Why bytes are not even looked into: where, and what is said of it.
struct Refused<'b> {
    text: &'b str,
    at: usize,
    id: &'static str,
    say: String,
    hint: &'static str,
}

const fn refuse<'b>(
    text: &'b str,
    at: usize,
    id: &'static str,
    say: String,
    hint: &'static str,
) -> Refused<'b> {
    Refused { text, at, id, say, hint }
}

/// The text of a file that the parser may meet.
fn text_of(bytes: &[u8]) -> Result<&str, Refused<'_>> {
    if bytes.len() > LARGEST_FILE {
        let say = format!("the file has {} bytes; a circuit file has at most {LARGEST_FILE}", bytes.len());
        return Err(refuse("", 0, "file-too-large", say, "is this the right file?"));
    }
    let text = core::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let good = bytes.get(..at).and_then(|good| core::str::from_utf8(good).ok()).unwrap_or("");
        let say = format!("byte {at} of the file is not text (UTF-8)");
        refuse(good, at, "not-text", say, "is this a circuit file? save it as UTF-8 text")
    })?;
    match too_deep(text) {
        None => Ok(text),
        Some(at) => {
            let say = "brackets are nested too deeply".into();
            Err(refuse(text, at, "too-deep", say, "a circuit file needs no nesting"))
        }
    }
}

fn read_text(text: &str) -> Reading {
    let mut problems = Problems::new(text);
    let (document, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let at = error.span().unwrap_or(0..0);
        problems.error(
            &at,
            "syntax",
            format!("not TOML: {}", error.message()),
            "mend this line; see docs/circuit-file.md",
        );
    }
    let top = Fields::new("the file", 0..0, document.get_ref());
    let circuit = build::circuit(&top, &mut problems);
    let circuit = if problems.any_error() { None } else { circuit };
    Reading { circuit, problems: problems.finish() }
}

/// Where brackets nest too deeply, comments and texts not regarded: they can only make it stricter.
fn too_deep(text: &str) -> Option<usize> {
    let mut depth = 0usize;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            b'\n' if depth < 4 => depth = 0,
            _ => {}
        }
        if depth > DEEPEST {
            return Some(at);
        }
    }
    None
}
