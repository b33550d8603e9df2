//! Property requests as JSON lines: one line in, one line out.

use std::borrow::Cow;
use std::fmt;

use serde::Deserialize;
use serde::de::{MapAccess, Visitor};
use serde_json::value::RawValue;
use stemwise_thermo::Substance;
use stemwise_wire as wire;

use crate::properties::{RequestError, answer, given, substance};

/// A longer line is not a request.
pub const LONGEST_LINE: usize = 1 << 20;

/// A request that borrows from its line; the shape is [`wire::PropertyRequest`]'s.
#[derive(Deserialize)]
struct Line<'a> {
    #[serde(borrow, default)]
    id: Option<&'a RawValue>,
    #[serde(borrow, default)]
    fluid: Option<Text<'a>>,
    #[serde(borrow, default)]
    mixture: Option<Fractions<'a>>,
    #[serde(borrow, default)]
    basis: Option<Text<'a>>,
    given: wire::Given,
}

#[derive(Deserialize)]
struct Text<'a>(#[serde(borrow)] Cow<'a, str>);

impl Text<'_> {
    fn as_str(&self) -> &str {
        &self.0
    }
}

/// What can be told of a line that is no request.
#[derive(Deserialize)]
struct OnlyId<'a> {
    #[serde(borrow, default)]
    id: Option<&'a RawValue>,
}

/// Components and fractions; a name that comes twice is kept twice, so that the sum shows it.
struct Fractions<'a>(Vec<(Cow<'a, str>, f64)>);

impl<'de: 'a, 'a> Deserialize<'de> for Fractions<'a> {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Pairs;
        impl<'de> Visitor<'de> for Pairs {
            type Value = Fractions<'de>;
            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("components with their fractions")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some((Text(name), fraction)) = map.next_entry::<Text<'de>, f64>()? {
                    pairs.push((name, fraction));
                }
                Ok(Fractions(pairs))
            }
        }
        from.deserialize_map(Pairs)
    }
}

/// Answers lines; keeps the substances that lines named, so that a mixture is built once.
///
/// ```
/// let mut out = Vec::new();
/// let mut batch = stemwise_answer::Batch::default();
/// batch.line(br#"{"id":7,"fluid":"R-999","given":{"T":300,"rho":5}}"#, &mut out);
/// assert!(out.starts_with(br#"{"id":7,"error":{"kind":"unknown-fluid""#) && out.ends_with(b"\n"));
/// ```
#[derive(Debug, Default)]
pub struct Batch {
    /// The latest last.
    known: Vec<(Named, Substance)>,
}

/// So many substances are kept.
const KEPT: usize = 32;

/// What a request called its substance.
#[derive(Debug, PartialEq)]
struct Named {
    fluid: Option<String>,
    mixture: Option<Vec<(String, f64)>>,
    basis: Option<String>,
}

impl Named {
    fn of(line: &Line<'_>) -> Self {
        let text = |text: &Option<Text<'_>>| text.as_ref().map(|text| text.as_str().to_owned());
        let pairs = |Fractions(pairs): &Fractions<'_>| {
            pairs.iter().map(|(name, fraction)| (name.as_ref().to_owned(), *fraction)).collect()
        };
        Self { fluid: text(&line.fluid), mixture: line.mixture.as_ref().map(pairs), basis: text(&line.basis) }
    }

    fn fits(&self, line: &Line<'_>) -> bool {
        let same = |kept: &Option<String>, text: &Option<Text<'_>>| {
            kept.as_deref() == text.as_ref().map(Text::as_str)
        };
        let mixture = match (&self.mixture, &line.mixture) {
            (None, None) => true,
            (Some(kept), Some(Fractions(pairs))) => {
                kept.len() == pairs.len()
                    && kept.iter().zip(pairs).all(|(a, b)| a.0 == b.0 && a.1.to_bits() == b.1.to_bits())
            }
            _ => false,
        };
        mixture && same(&self.fluid, &line.fluid) && same(&self.basis, &line.basis)
    }
}

impl Batch {
    /// Answers one line (without its newline) and adds the answer's line, newline included, to `out`. Every line is answered: by a state,
    /// or by an error that carries the request's id where it could be read.
    pub fn line(&mut self, line: &[u8], out: &mut Vec<u8>) {
        let text = match core::str::from_utf8(line) {
            Ok(text) => text.trim(),
            Err(error) => return write_error(None, &RequestError::NotText { at: error.valid_up_to() }, out),
        };
        if text.is_empty() {
            return write_error(None, &RequestError::EmptyLine, out);
        }
        match serde_json::from_str::<Line<'_>>(text) {
            Ok(request) => match self.state(&request) {
                Ok(state) => write(request.id, &state, out),
                Err(error) => write_error(request.id, &error, out),
            },
            Err(error) => {
                let id = serde_json::from_str::<OnlyId<'_>>(text).ok().and_then(|only| only.id);
                write_error(id, &not_a_request(&error), out);
            }
        }
    }

    fn state(&mut self, request: &Line<'_>) -> Result<wire::StateAnswer, RequestError> {
        let substance = self.substance(request)?;
        let state = substance.state(given(&request.given)?)?;
        Ok(answer(serde_json::Value::Null, substance, &state))
    }

    fn substance(&mut self, request: &Line<'_>) -> Result<&Substance, RequestError> {
        let at = match self.known.iter().rposition(|(named, _)| named.fits(request)) {
            Some(at) => at,
            None => {
                let named = Named::of(request);
                let pairs = named.mixture.as_ref().map(|pairs| {
                    pairs.iter().map(|(name, fraction)| (name.as_str(), *fraction)).collect::<Vec<_>>()
                });
                let found = substance(named.fluid.as_deref(), pairs.as_deref(), named.basis.as_deref())?;
                if self.known.len() >= KEPT {
                    self.known.remove(0);
                }
                self.known.push((named, found));
                self.known.len() - 1
            }
        };
        self.known.get(at).map(|(_, substance)| substance).ok_or(RequestError::NoFluid)
    }
}

/// The answer to a line of more than [`LONGEST_LINE`] bytes.
pub fn line_too_long(out: &mut Vec<u8>) {
    write_error(None, &RequestError::LineTooLong { most: LONGEST_LINE }, out);
}

fn not_a_request(error: &serde_json::Error) -> RequestError {
    let say = error.to_string();
    if error.is_data() { RequestError::NotARequest { say } } else { RequestError::NotJson { say } }
}

fn write_error(id: Option<&RawValue>, error: &RequestError, out: &mut Vec<u8>) {
    let body = wire::ErrorBody { kind: error.kind().into(), message: error.to_string() };
    write(id, &wire::ErrorAnswer { id: serde_json::Value::Null, error: body }, out);
}

/// What an answer without an id begins with.
const NO_ID: &[u8] = br#"{"id":null"#;

/// Writes an answer whose own id is null, with the request's id in its place, letter for letter.
fn write<T: serde::Serialize>(id: Option<&RawValue>, answer: &T, out: &mut Vec<u8>) {
    let start = out.len();
    if let Some(id) = id {
        out.extend_from_slice(br#"{"id":"#);
        // A line break can only be insignificant space here; the answer stays one line.
        out.extend(id.get().bytes().filter(|byte| !matches!(byte, b'\n' | b'\r')));
    }
    let body = out.len();
    // The shapes have text keys and plain values only, so writing them to memory can't fail.
    if serde_json::to_writer(&mut *out, answer).is_err() {
        out.truncate(start);
        return;
    }
    if id.is_some() {
        out.drain(body..body + NO_ID.len());
    }
    out.push(b'\n');
}
