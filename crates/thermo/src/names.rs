//! Names of refrigerants as people write them: with or without the hyphen or the R, in any case.

use crate::Error;

/// Lower case, without hyphens, spaces, brackets.
pub(crate) fn key(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric() || *c == ',').flat_map(char::to_lowercase).collect()
}

/// Keys in order, each with the place of what it stands for.
#[derive(Debug)]
pub(crate) struct Index(Vec<(&'static str, usize)>);

impl Index {
    /// From each thing's keys, in the order of the things.
    pub(crate) fn new(things: impl Iterator<Item = impl Iterator<Item = &'static str>>) -> Self {
        let keys = things.enumerate().flat_map(|(at, keys)| keys.map(move |key| (key, at)));
        let mut keys: Vec<_> = keys.collect();
        keys.sort_unstable();
        Self(keys)
    }

    /// The place of what a typed key stands for; "410a" is as good as "r410a".
    pub(crate) fn find(&self, typed: &str) -> Option<usize> {
        let exact = |key: &str| {
            let at = self.0.binary_search_by(|(known, _)| (*known).cmp(key)).ok()?;
            self.0.get(at).map(|(_, at)| *at)
        };
        let number = typed.starts_with(|c: char| c.is_ascii_digit());
        exact(typed).or_else(|| if number { exact(&format!("r{typed}")) } else { None })
    }
}

/// The error for a name that nothing has.
pub(crate) fn unknown<'n>(name: &str, all: impl Iterator<Item = &'n str>) -> Error {
    Error::UnknownFluid { name: name.chars().take(60).collect(), near: nearest(&key(name), all) }
}

/// The nearest name by edits; of several the one that the typed letters begin.
fn nearest<'n>(typed: &str, all: impl Iterator<Item = &'n str>) -> Option<String> {
    let whole = format!("r{typed}");
    let scored = all.map(|name| {
        let known = key(name);
        let far = distance(typed, &known).min(distance(&whole, &known));
        let begun = known.starts_with(typed) || known.starts_with(&whole);
        (far, !begun, known.len(), name)
    });
    let (far, _, _, name) = scored.min()?;
    // Two letters off means nothing in a short name.
    (far <= if typed.len() > 4 { 2 } else { 1 }).then(|| name.to_owned())
}

/// Edits between two short words.
fn distance(one: &str, other: &str) -> usize {
    if one.len() > 60 {
        return usize::MAX;
    }
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.chars().enumerate() {
        let mut next = vec![i + 1];
        for (j, &b) in other.iter().enumerate() {
            let cost = |list: &[usize], at: usize| list.get(at).copied().unwrap_or(usize::MAX - 1);
            let swap = cost(&row, j) + usize::from(a != b);
            next.push(swap.min(cost(&row, j + 1) + 1).min(cost(&next, j) + 1));
        }
        row = next;
    }
    row.last().copied().unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_begun_is_meant() {
        for (typed, wanted) in
            [("r134", "R-134a"), ("R-134", "R-134a"), ("134", "R-134a"), ("r-1243yf", "R-1234yf")]
        {
            let near = nearest(&key(typed), ["R-13", "R-134a", "R-1234yf"].into_iter());
            assert_eq!(near.as_deref(), Some(wanted), "{typed}");
        }
    }
}
