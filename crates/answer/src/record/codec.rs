//! The job file: a heading, then one entry a line, each with a check sum, so that a damaged or cut-off file loses only what was damaged.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use stemwise_record::{Event, EventId, Moment, What};
use stemwise_wire as wire;

use super::convert;

/// The version of the format.
const VERSION: u64 = 1;
/// What stands before the check sum at the end of a line.
const CHECK: &str = ",\"check\":\"";
/// So many problems are listed; the rest is counted.
const MOST: usize = 200;
/// So much of a damaged line is shown, in characters.
const EXCERPT: usize = 100;

/// What a file gave.
#[derive(Default)]
pub(super) struct Read {
    pub(super) events: Vec<Event>,
    pub(super) unread: BTreeSet<String>,
    pub(super) problems: Vec<wire::Problem>,
    left_out: usize,
}

/// The fields that every entry has.
#[derive(Serialize, Deserialize)]
struct Head {
    id: String,
    order: i64,
    at: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    by: Option<String>,
    kind: String,
}

#[derive(Serialize, Deserialize)]
struct Heading {
    stemwise: String,
    version: u64,
}

pub(super) fn file(events: &[Event], unread: &BTreeSet<String>) -> String {
    let heading = Heading { stemwise: "job".into(), version: VERSION };
    let mut text = checked(serde_json::to_string(&heading).unwrap_or_default());
    for line in events.iter().map(line).chain(unread.iter().cloned()) {
        text.push('\n');
        text.push_str(&line);
    }
    text.push('\n');
    text
}

/// An event as its line.
pub(super) fn line(event: &Event) -> String {
    // These shapes have text keys and plain values only, so writing them can't fail.
    let (mut text, more) = match &event.what {
        What::Unknown { kind, fields } => {
            (serde_json::to_string(&head(event, kind)).unwrap_or_default(), fields.as_slice())
        }
        _ => (serde_json::to_string(&convert::event(event)).unwrap_or_default(), &[][..]),
    };
    for (name, value) in more.iter().chain(&event.also) {
        text.truncate(text.len().saturating_sub(1));
        let name = serde_json::to_string(name).unwrap_or_default();
        text.push_str(&format!(",{name}:{value}}}"));
    }
    checked(text)
}

fn head(event: &Event, kind: &str) -> Head {
    Head {
        id: event.id.to_string(),
        order: event.order,
        at: event.at.to_string(),
        by: event.by.clone(),
        kind: kind.into(),
    }
}

/// An object's text with its check sum as the last field.
fn checked(mut text: String) -> String {
    text.truncate(text.len().saturating_sub(1));
    let sum = crc32(text.as_bytes());
    text.push_str(&format!("{CHECK}{sum:08x}\"}}"));
    text
}

/// Whether a line ends in its own check sum.
fn is_intact(line: &str) -> bool {
    let Some(at) = line.rfind(CHECK) else { return false };
    let (body, end) = line.split_at(at);
    let sum = end.strip_prefix(CHECK).and_then(|end| end.strip_suffix("\"}"));
    sum.is_some_and(|sum| sum == format!("{:08x}", crc32(body.as_bytes())))
}

/// CRC-32 as ISO/IEC 8802-3 has it (reflected, polynomial 0xEDB88320): it finds every error of up to 32 bits in a row.
fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for &byte in bytes {
        sum ^= u32::from(byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

/// Reads a file, or any part of one.
pub(super) fn read(bytes: &[u8]) -> Read {
    let mut read = Read::default();
    let mut lines = bytes.split(|byte| *byte == b'\n').enumerate().peekable();
    while let Some((at, line)) = lines.next() {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        read.line(at + 1, line, lines.peek().is_none());
    }
    if read.left_out > 0 {
        let say = format!("there are {} more problems", read.left_out);
        read.problems.push(problem(
            wire::Severity::Error,
            "many-problems",
            1,
            "",
            say,
            "is this the right file?",
        ));
    }
    read
}

fn problem(
    severity: wire::Severity,
    id: &str,
    line: usize,
    text: &str,
    say: String,
    hint: &str,
) -> wire::Problem {
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    let excerpt: String = text.chars().take(EXCERPT).map(clean).collect();
    let mark = [0, excerpt.chars().count().max(1)];
    wire::Problem { severity, id: id.into(), line, column: 1, excerpt, mark, say, hint: hint.into() }
}

/// How to go on with a damaged line.
const ANOTHER_COPY: &str =
    "merge another copy of the file, from the device that made the entry; what is intact stays";

impl Read {
    fn tell(&mut self, severity: wire::Severity, id: &str, line: usize, text: &str, say: String, hint: &str) {
        if self.problems.len() < MOST {
            self.problems.push(problem(severity, id, line, text, say, hint));
        } else {
            self.left_out += 1;
        }
    }

    fn line(&mut self, n: usize, bytes: &[u8], last: bool) {
        let text = String::from_utf8_lossy(bytes);
        let sound = core::str::from_utf8(bytes).is_ok_and(is_intact);
        if !sound && last {
            let say = "the file ends in the middle of this line: the entry is not whole".into();
            return self.tell(wire::Severity::Error, "cut-off", n, &text, say, ANOTHER_COPY);
        }
        if !sound {
            let say = "the line is not what was written: its check sum is wrong or missing".into();
            return self.tell(wire::Severity::Error, "damaged-line", n, &text, say, ANOTHER_COPY);
        }
        if let Ok(heading) = serde_json::from_str::<Heading>(&text) {
            return self.heading(n, &text, &heading);
        }
        match entry(&text) {
            Ok((event, None)) => self.events.push(event),
            Ok((event, Some(why))) => {
                self.events.push(event);
                let say = format!("the entry is kept, but not understood: {why}");
                self.tell(wire::Severity::Warning, "not-understood", n, &text, say, NEWER);
            }
            Err(why) => {
                self.unread.insert(text.into_owned());
                let say = format!("the line is kept, but it is no entry that can be placed: {why}");
                self.tell(wire::Severity::Warning, "not-an-entry", n, "", say, NEWER);
            }
        }
    }

    fn heading(&mut self, n: usize, text: &str, heading: &Heading) {
        if heading.stemwise != "job" {
            let say = format!("this file says that it holds a {}, not a job", heading.stemwise);
            self.tell(wire::Severity::Error, "not-a-job", n, text, say, "is this the right file?");
        } else if heading.version > VERSION {
            let say = format!("the file has version {}; this program knows {VERSION}", heading.version);
            self.tell(wire::Severity::Warning, "newer-version", n, text, say, NEWER);
        }
    }
}

const NEWER: &str = "a newer version of the program shows it; nothing of it is lost";

/// An intact line as an event, and why it was not understood where it was not.
fn entry(text: &str) -> Result<(Event, Option<String>), String> {
    let fields: BTreeMap<String, Box<RawValue>> =
        serde_json::from_str(text).map_err(|error| error.to_string())?;
    let head: Head = serde_json::from_str(text).map_err(|error| error.to_string())?;
    let id = EventId::parse(&head.id).map_err(|error| error.to_string())?;
    let at = Moment::parse(&head.at).map_err(|error| error.to_string())?;
    let event = |what, also| Event { id, order: head.order, at, by: head.by.clone(), what, also };
    let others = |known: &[String]| -> Vec<(String, String)> {
        let other = fields.iter().filter(|(name, _)| *name != "check" && !known.contains(name));
        other.map(|(name, value)| (name.clone(), value.get().to_owned())).collect()
    };
    let why = match serde_json::from_str::<wire::JobEvent>(text) {
        Ok(known) => match convert::what(&known.entry, None) {
            Ok(what) => return Ok((event(what, others(&names(&known))), None)),
            Err(error) => Some(error.to_string()),
        },
        // A kind of a newer version is no fault.
        Err(_) if !convert::KINDS.contains(&head.kind.as_str()) => None,
        Err(error) => Some(error.to_string()),
    };
    let heads = ["id", "order", "at", "kind"].map(str::to_owned);
    let mut kept = others(&heads);
    if head.by.is_some() {
        kept.retain(|(name, _)| name != "by");
    }
    Ok((event(What::Unknown { kind: head.kind, fields: kept }, Vec::new()), why))
}

/// The names of the fields that an entry is written with.
fn names(event: &wire::JobEvent) -> Vec<String> {
    match serde_json::to_value(event) {
        Ok(serde_json::Value::Object(fields)) => fields.into_iter().map(|(name, _)| name).collect(),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn check_sum_of_the_published_vector() {
        // The check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms (G. Cook).
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
    }

    #[test]
    fn every_known_kind_is_listed() {
        let text = serde_json::to_string(&schemars_kinds()).unwrap_or_default();
        for kind in convert::KINDS {
            assert!(text.contains(&format!("\"{kind}\"")), "{kind}");
        }
        assert_eq!(text.matches("\"const\":").count(), convert::KINDS.len());
    }

    fn schemars_kinds() -> serde_json::Value {
        let schemas = wire::schemas();
        let found = schemas.iter().find(|(name, _)| *name == "job-event");
        let schema = found.map(|(_, schema)| serde_json::to_value(schema).unwrap_or_default());
        schema.unwrap_or_default()["oneOf"].clone()
    }
}
