//! Reads keys of a table by what they should be; reports everything that they are not.

use std::ops::Range;

use stemwise_units::ParseError;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::keys::{Key, TABLES, Table, Value};
use super::problem::Problems;

/// A value with its place in the file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct At<T> {
    pub(crate) value: T,
    pub(crate) at: Range<usize>,
}

/// One table of the file.
pub(crate) struct Fields<'d> {
    /// How messages call it.
    pub(crate) called: String,
    pub(crate) at: Range<usize>,
    table: &'d DeTable<'d>,
}

impl<'d> Fields<'d> {
    pub(crate) fn new(called: impl Into<String>, at: Range<usize>, table: &'d DeTable<'d>) -> Self {
        Self { called: called.into(), at, table }
    }

    /// Refuses unknown keys and keys that this kind can't have; misses required ones.
    pub(crate) fn check(&self, table: &Table, kind: Option<&str>, problems: &mut Problems<'_>) {
        for (name, _) in self.table {
            let found = table.keys.iter().find(|key| key.name == name.get_ref().as_ref());
            match (found, kind) {
                (None, _) => self.unknown(name.get_ref(), &name.span(), table, problems),
                (Some(key), Some(kind)) if !key.kinds.is_empty() && !key.kinds.contains(&kind) => problems
                    .error(
                        &name.span(),
                        "key-not-for-this-kind",
                        format!("\"{}\" has no meaning for {} of kind \"{kind}\"", key.name, self.called),
                        format!("it belongs to: {}; leave it out here", key.kinds.join(", ")),
                    ),
                _ => {}
            }
        }
        let wanted = |key: &&Key| {
            key.required && (key.kinds.is_empty() || kind.is_some_and(|kind| key.kinds.contains(&kind)))
        };
        for key in table.keys.iter().filter(wanted).filter(|key| !self.has(key.name)) {
            let say = format!("{} has no \"{}\"", self.called, key.name);
            problems.error(&self.at, "missing-key", say, format!("add {}: {}", example(key), key.doc));
        }
    }

    fn unknown(&self, name: &str, at: &Range<usize>, table: &Table, problems: &mut Problems<'_>) {
        let names: Vec<&str> = table.keys.iter().map(|key| key.name).collect();
        let hint = match nearest(name, &names) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("it can have: {}", names.join(", ")),
        };
        problems.error(at, "unknown-key", format!("{} can't have \"{}\"", self.called, shorten(name)), hint);
    }

    /// Whether a key is there, right or wrong.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.table.contains_key(name)
    }

    fn raw(&self, name: &str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.table.get(name)
    }

    pub(crate) fn text(&self, name: &str, problems: &mut Problems<'_>) -> Option<At<String>> {
        let raw = self.raw(name)?;
        match raw.get_ref().as_str() {
            Some(text) => Some(At { value: text.to_owned(), at: raw.span() }),
            None => {
                self.wrong_type(name, raw, "text in quotes", problems);
                None
            }
        }
    }

    pub(crate) fn flag(&self, name: &str, usual: bool, problems: &mut Problems<'_>) -> bool {
        let Some(raw) = self.raw(name) else { return usual };
        raw.get_ref().as_bool().unwrap_or_else(|| {
            self.wrong_type(name, raw, "true or false", problems);
            usual
        })
    }

    pub(crate) fn number(&self, name: &str, problems: &mut Problems<'_>) -> Option<At<f64>> {
        let raw = self.raw(name)?;
        let text = match raw.get_ref() {
            DeValue::Integer(value) => value.as_str().to_owned(),
            DeValue::Float(value) => value.as_str().to_owned(),
            _ => String::new(),
        };
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Some(At { value, at: raw.span() }),
            _ => {
                self.wrong_type(name, raw, "a number", problems);
                None
            }
        }
    }

    /// A word from a list.
    pub(crate) fn word(
        &self,
        name: &str,
        words: &[&'static str],
        problems: &mut Problems<'_>,
    ) -> Option<At<&'static str>> {
        let typed = self.text(name, problems)?;
        if let Some(word) = words.iter().find(|word| **word == typed.value) {
            return Some(At { value: word, at: typed.at });
        }
        let hint = match nearest(&typed.value, words) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("it can be: {}", words.join(", ")),
        };
        let say = format!("\"{}\" is no \"{name}\" of {}", shorten(&typed.value), self.called);
        problems.error(&typed.at, "unknown-word", say, hint);
        None
    }

    /// A quantity typed with its unit.
    pub(crate) fn quantity<T>(
        &self,
        name: &str,
        parse: impl Fn(&str) -> Result<T, ParseError>,
        problems: &mut Problems<'_>,
    ) -> Option<At<T>> {
        let raw = self.raw(name)?;
        let Some(text) = raw.get_ref().as_str() else {
            let say = format!("\"{name}\" of {} is not text with a unit", self.called);
            problems.error(
                &raw.span(),
                "wrong-type",
                say,
                "write the number with its unit in quotes, like \"4.5 kg\"",
            );
            return None;
        };
        match parse(text) {
            Ok(value) => Some(At { value, at: raw.span() }),
            Err(error) => {
                let say = format!("\"{name}\" of {}: {error}", self.called);
                problems.error(&raw.span(), "bad-quantity", say, "write the number with its unit");
                None
            }
        }
    }

    /// A range of two quantities.
    pub(crate) fn range<T: PartialOrd>(
        &self,
        name: &str,
        parse: impl Fn(&str) -> Result<T, ParseError>,
        problems: &mut Problems<'_>,
    ) -> Option<(T, T)> {
        let names = self.names(name, problems)?;
        let mut ends = Vec::new();
        for end in &names {
            match parse(&end.value) {
                Ok(value) => ends.push(value),
                Err(error) => {
                    let say = format!("\"{name}\" of {}: {error}", self.called);
                    problems.error(&end.at, "bad-quantity", say, "write the number with its unit");
                }
            }
        }
        let at = self.raw(name).map_or(self.at.clone(), Spanned::span);
        let (high, low) = (ends.pop(), ends.pop());
        match (low, high) {
            (Some(low), Some(high)) if ends.is_empty() && low <= high => Some((low, high)),
            _ => {
                let say = format!("\"{name}\" of {} is no range", self.called);
                problems.error(&at, "bad-range", say, "write two values, the lower first");
                None
            }
        }
    }

    /// A list of texts.
    pub(crate) fn names(&self, name: &str, problems: &mut Problems<'_>) -> Option<Vec<At<String>>> {
        let raw = self.raw(name)?;
        let Some(list) = raw.get_ref().as_array() else {
            self.wrong_type(name, raw, "a list of texts", problems);
            return None;
        };
        let mut names = Vec::new();
        for item in list.iter() {
            match item.get_ref().as_str() {
                Some(text) => names.push(At { value: text.to_owned(), at: item.span() }),
                None => self.wrong_type(name, item, "text in quotes", problems),
            }
        }
        Some(names)
    }

    /// A table inside.
    pub(crate) fn table(&self, name: &str, problems: &mut Problems<'_>) -> Option<Fields<'d>> {
        let raw = self.raw(name)?;
        match raw.get_ref().as_table() {
            Some(table) => Some(Fields::new(format!("\"{name}\""), raw.span(), table)),
            None => {
                self.wrong_type(name, raw, "a table", problems);
                None
            }
        }
    }

    /// Named tables inside, in the order of the file.
    pub(crate) fn tables(&self, name: &str, problems: &mut Problems<'_>) -> Vec<(At<String>, Fields<'d>)> {
        let Some(group) = self.table(name, problems) else { return Vec::new() };
        let mut found = Vec::new();
        for (id, value) in group.table {
            let at = id.span();
            match value.get_ref().as_table() {
                Some(table) => {
                    let called = format!("{name} \"{}\"", shorten(id.get_ref()));
                    found.push((
                        At { value: id.get_ref().to_string(), at: at.clone() },
                        Fields::new(called, at, table),
                    ));
                }
                None => problems.error(
                    &at,
                    "wrong-type",
                    format!("\"{name}.{}\" is not a table", shorten(id.get_ref())),
                    format!("write it as [{name}.NAME] with its keys below"),
                ),
            }
        }
        found.sort_by_key(|(id, _)| id.at.start);
        found
    }

    /// A list of tables inside.
    pub(crate) fn list(&self, name: &str, problems: &mut Problems<'_>) -> Vec<Fields<'d>> {
        let Some(raw) = self.raw(name) else { return Vec::new() };
        let Some(list) = raw.get_ref().as_array() else {
            self.wrong_type(name, raw, "a list of tables, each written as [[walk]]", problems);
            return Vec::new();
        };
        let mut found = Vec::new();
        for (n, item) in list.iter().enumerate() {
            match item.get_ref().as_table() {
                Some(table) => found.push(Fields::new(format!("{name} {}", n + 1), item.span(), table)),
                None => self.wrong_type(name, item, "a table", problems),
            }
        }
        found
    }

    fn wrong_type(&self, name: &str, raw: &Spanned<DeValue<'_>>, wanted: &str, problems: &mut Problems<'_>) {
        let got = raw.get_ref().type_str();
        let say = format!("\"{name}\" of {} is a TOML {got}, not {wanted}", self.called);
        problems.error(&raw.span(), "wrong-type", say, format!("write {wanted}"));
    }
}

/// The keys of a table.
pub(crate) fn keys_of(name: &str) -> &'static Table {
    TABLES.iter().find(|table| table.name == name).unwrap_or(&TABLES[0])
}

fn example(key: &Key) -> String {
    match key.value {
        Value::Text => format!("{} = \"…\"", key.name),
        Value::Word(words) => format!("{} = \"{}\"", key.name, words.first().copied().unwrap_or("…")),
        Value::Quantity(what) => format!("{} = \"{what} with its unit\"", key.name),
        Value::Range(_) | Value::Names => format!("{} = [\"…\", \"…\"]", key.name),
        Value::Flag => format!("{} = true", key.name),
        Value::Number => format!("{} = 1", key.name),
        Value::Table => format!("[[{}]]", key.name),
    }
}

/// At most so many characters of what was typed.
pub(crate) fn shorten(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_owned();
    }
    text.chars().take(39).chain(core::iter::once('…')).collect()
}

/// The name that differs least, if it differs little.
pub(crate) fn nearest<'n>(typed: &str, names: &[&'n str]) -> Option<&'n str> {
    if typed.len() > 60 {
        return None;
    }
    let length = typed.chars().count();
    let alike = names.iter().filter(|name| name.chars().count().abs_diff(length) <= 3);
    let scored = alike.map(|name| (distance(typed, name), *name));
    let (how_far, name) = scored.min_by_key(|(how_far, _)| *how_far)?;
    (how_far <= 1 + name.chars().count() / 4).then_some(name)
}

fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.chars().enumerate() {
        let mut left = i + 1;
        let mut above_left = i;
        for (j, &b) in other.iter().enumerate() {
            let above = row.get(j + 1).copied().unwrap_or(usize::MAX - 1);
            let here = (above_left + usize::from(a != b)).min(above + 1).min(left + 1);
            above_left = above;
            if let Some(slot) = row.get_mut(j) {
                *slot = left;
            }
            left = here;
        }
        if let Some(slot) = row.last_mut() {
            *slot = left;
        }
    }
    row.last().copied().unwrap_or(usize::MAX)
}
