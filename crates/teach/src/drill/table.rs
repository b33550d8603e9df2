//! Reads keys of a TOML table by what they should be, and reports everything that they are not.

use std::ops::Range;

use stemwise_circuit::Problems;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::keys::{KEYS, Key};

/// A value with its place in the file.
#[derive(Clone, Debug)]
pub(super) struct At<T> {
    pub(super) value: T,
    pub(super) at: Range<usize>,
}

/// One table of the file.
pub(super) struct Fields<'d> {
    /// Its name in the table of keys.
    name: &'static str,
    called: String,
    pub(super) at: Range<usize>,
    table: &'d DeTable<'d>,
}

impl<'d> Fields<'d> {
    pub(super) fn new(name: &'static str, called: String, at: Range<usize>, table: &'d DeTable<'d>) -> Self {
        Self { name, called, at, table }
    }

    fn keys(&self) -> impl Iterator<Item = &'static Key> {
        let name = self.name;
        KEYS.iter().filter(move |key| key.table == name)
    }

    /// Refuses unknown keys and misses required ones.
    pub(super) fn check(&self, problems: &mut Problems<'_>) {
        for (name, _) in self.table {
            let typed = name.get_ref().as_ref();
            if self.keys().any(|key| key.name == typed) {
                continue;
            }
            let known: Vec<&str> = self.keys().map(|key| key.name).collect();
            let say = format!("{} can't have \"{}\"", self.called, short(typed));
            problems.error(&name.span(), "unknown-key", say, meant(typed, &known));
        }
        for key in self.keys().filter(|key| key.required && !self.table.contains_key(key.name)) {
            let say = format!("{} has no \"{}\"", self.called, key.name);
            problems.error(
                &self.at,
                "missing-key",
                say,
                format!("add {} = {}: {}", key.name, key.value, key.doc),
            );
        }
    }

    fn wrong(&self, name: &str, raw: &Spanned<DeValue<'_>>, wanted: &str, problems: &mut Problems<'_>) {
        let say =
            format!("\"{name}\" of {} is a TOML {}, not {wanted}", self.called, raw.get_ref().type_str());
        problems.error(&raw.span(), "wrong-type", say, format!("write {wanted}"));
    }

    pub(super) fn has(&self, name: &str) -> bool {
        self.table.contains_key(name)
    }

    pub(super) fn text(&self, name: &str, problems: &mut Problems<'_>) -> Option<At<String>> {
        let raw = self.table.get(name)?;
        match raw.get_ref().as_str() {
            Some(text) => Some(At { value: text.to_owned(), at: raw.span() }),
            None => {
                self.wrong(name, raw, "text in quotes", problems);
                None
            }
        }
    }

    /// A whole number within a range.
    pub(super) fn whole(
        &self,
        name: &str,
        range: core::ops::RangeInclusive<u64>,
        problems: &mut Problems<'_>,
    ) -> Option<At<u64>> {
        let raw = self.table.get(name)?;
        let found = match raw.get_ref() {
            DeValue::Integer(value) => value.as_str().replace('_', "").parse::<u64>().ok(),
            _ => None,
        };
        match found.filter(|value| range.contains(value)) {
            Some(value) => Some(At { value, at: raw.span() }),
            None => {
                let say = format!(
                    "\"{name}\" of {} is no whole number from {} to {}",
                    self.called,
                    range.start(),
                    range.end()
                );
                problems.error(
                    &raw.span(),
                    "not-in-range",
                    say,
                    format!("write it like {name} = {}", range.start().max(&1)),
                );
                None
            }
        }
    }

    /// A word from a list.
    pub(super) fn word<'w>(
        &self,
        name: &str,
        words: &[&'w str],
        problems: &mut Problems<'_>,
    ) -> Option<At<&'w str>> {
        let typed = self.text(name, problems)?;
        if let Some(word) = words.iter().find(|word| **word == typed.value) {
            return Some(At { value: word, at: typed.at });
        }
        let say = format!("\"{}\" is no \"{name}\" of {}", short(&typed.value), self.called);
        problems.error(&typed.at, "unknown-word", say, meant(&typed.value, words));
        None
    }

    /// A list of texts.
    pub(super) fn texts(&self, name: &str, problems: &mut Problems<'_>) -> Vec<At<String>> {
        let Some(raw) = self.table.get(name) else { return Vec::new() };
        let Some(list) = raw.get_ref().as_array() else {
            self.wrong(name, raw, "a list of texts", problems);
            return Vec::new();
        };
        let mut found = Vec::new();
        for item in list.iter() {
            match item.get_ref().as_str() {
                Some(text) => found.push(At { value: text.to_owned(), at: item.span() }),
                None => self.wrong(name, item, "text in quotes", problems),
            }
        }
        found
    }

    pub(super) fn table(&self, name: &'static str, problems: &mut Problems<'_>) -> Option<Self> {
        let raw = self.table.get(name)?;
        match raw.get_ref().as_table() {
            Some(table) => Some(Fields::new(name, format!("\"{name}\""), raw.span(), table)),
            None => {
                self.wrong(name, raw, "a table", problems);
                None
            }
        }
    }

    /// Tables in a list.
    pub(super) fn tables(&self, name: &'static str, problems: &mut Problems<'_>) -> Vec<Self> {
        let Some(raw) = self.table.get(name) else { return Vec::new() };
        let Some(list) = raw.get_ref().as_array() else {
            self.wrong(name, raw, &format!("tables, each begun with [[{name}]]"), problems);
            return Vec::new();
        };
        let mut found = Vec::new();
        for (n, item) in list.iter().enumerate() {
            match item.get_ref().as_table() {
                Some(table) => found.push(Fields::new(name, format!("{name} {}", n + 1), item.span(), table)),
                None => self.wrong(name, item, "a table", problems),
            }
        }
        found
    }
}

/// At most so much of what was typed.
pub(super) fn short(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_owned();
    }
    text.chars().take(39).chain(core::iter::once('…')).collect()
}

/// What may have been meant.
pub(super) fn meant(typed: &str, known: &[&str]) -> String {
    let typed: Vec<char> = typed.to_lowercase().chars().take(60).collect();
    let near = known.iter().map(|word| (distance(&typed, word), *word)).min();
    match near {
        Some((off, word)) if off * 3 <= word.chars().count() + 1 => format!("did you mean \"{word}\"?"),
        _ if known.is_empty() => "there is none".into(),
        _ => format!("it can be: {}", known.join(", ")),
    }
}

/// Letters to insert, drop or change (Levenshtein).
fn distance(one: &[char], other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (at, letter) in one.iter().enumerate() {
        let mut diagonal = at;
        let mut left = at + 1;
        for (slot, against) in row.iter_mut().skip(1).zip(&other) {
            let changed = diagonal + usize::from(letter != against);
            diagonal = *slot;
            *slot = changed.min(left + 1).min(diagonal + 1);
            left = *slot;
        }
        if let Some(first) = row.first_mut() {
            *first = at + 1;
        }
    }
    row.last().copied().unwrap_or(0)
}
