//! One phrase: literal text with gaps, and how a sentence is laid over it.

use crate::text::is_figure;

/// What may fill a gap of the English side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Fill {
    /// A quantity: it begins with a figure. Written `{n#}`.
    Figure,
    /// Anything, kept letter for letter. Written `{x!}`, and between quotation marks without.
    Verbatim,
    /// A name, a phrase, a list, a quantity. Written `{a}`.
    Any,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Gap {
    pub(crate) name: String,
    pub(crate) fill: Fill,
}

/// The English side of a phrase.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Pattern {
    /// One more than gaps.
    pub(crate) literals: Vec<String>,
    pub(crate) gaps: Vec<Gap>,
}

/// Why a pattern can't be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum BadPattern {
    Brace,
    GapName(String),
    Adjacent(String),
    Twice(String),
}

/// How many ways of laying one phrase over one text are tried.
const WAYS: usize = 48;

/// Text and gaps in turn: `Ok` is text, `Err` what stands between braces.
pub(crate) fn pieces(text: &str) -> Result<Vec<Result<&str, &str>>, BadPattern> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let (before, from) = rest.split_at(open);
        let close = from.find('}').ok_or(BadPattern::Brace)?;
        found.push(Ok(before));
        found.push(Err(&from[1..close]));
        rest = &from[close + 1..];
    }
    found.push(Ok(rest));
    let stray = |piece: &Result<&str, &str>| matches!(piece, Ok(text) if text.contains('}'));
    if found.iter().any(stray) { Err(BadPattern::Brace) } else { Ok(found) }
}

impl Pattern {
    pub(crate) fn read(text: &str) -> Result<Self, BadPattern> {
        let mut pattern = Self { literals: Vec::new(), gaps: Vec::new() };
        for piece in pieces(text)? {
            match piece {
                Ok(literal) => pattern.literals.push(literal.to_owned()),
                Err(gap) => pattern.add_gap(gap)?,
            }
        }
        let inner = pattern.literals.len().saturating_sub(1);
        for (at, literal) in pattern.literals.iter().enumerate().take(inner).skip(1) {
            if literal.is_empty() {
                return Err(BadPattern::Adjacent(pattern.gaps[at].name.clone()));
            }
        }
        for at in 0..pattern.gaps.len() {
            if pattern.literals[at].ends_with('"') && pattern.literals[at + 1].starts_with('"') {
                pattern.gaps[at].fill = Fill::Verbatim;
            }
        }
        Ok(pattern)
    }

    fn add_gap(&mut self, text: &str) -> Result<(), BadPattern> {
        let (name, fill) = match (text.strip_suffix('#'), text.strip_suffix('!')) {
            (Some(name), _) => (name, Fill::Figure),
            (_, Some(name)) => (name, Fill::Verbatim),
            _ => (text, Fill::Any),
        };
        if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') {
            return Err(BadPattern::GapName(text.to_owned()));
        }
        if self.gaps.iter().any(|gap| gap.name == name) {
            return Err(BadPattern::Twice(name.to_owned()));
        }
        self.gaps.push(Gap { name: name.to_owned(), fill });
        Ok(())
    }

    /// How much of it is fixed: the more, the more exactly it fits what it fits.
    pub(crate) fn weight(&self) -> (usize, usize) {
        let fixed = self.literals.iter().map(String::len).sum();
        (fixed, self.gaps.iter().filter(|gap| gap.fill != Fill::Any).count())
    }

    pub(crate) fn begins_with_gap(&self) -> bool {
        self.literals.first().is_some_and(String::is_empty)
    }

    /// Whether its text has any word.
    pub(crate) fn has_words(&self) -> bool {
        self.literals.iter().any(|literal| literal.contains(char::is_alphabetic))
    }

    /// The same for every pattern that fits the same texts.
    pub(crate) fn shape(&self) -> String {
        let mut shape = String::new();
        for (literal, gap) in self.literals.iter().zip(self.gaps.iter().map(Some).chain([None])) {
            shape.push_str(literal);
            match gap.map(|gap| gap.fill) {
                Some(Fill::Figure) => shape.push_str("{#}"),
                Some(_) => shape.push_str("{}"),
                None => {}
            }
        }
        shape
    }

    /// Lays the phrase over a text in every way that fits, the shortest first gaps first; `tried` says whether to stop. A bounded number of ways.
    pub(crate) fn lay<'t>(&self, text: &'t str, tried: &mut dyn FnMut(&[&'t str]) -> bool) {
        let (Some(first), Some(last)) = (self.literals.first(), self.literals.last()) else { return };
        if self.gaps.is_empty() {
            if text == first {
                tried(&[]);
            }
            return;
        }
        let Some(inner) = text.strip_prefix(first.as_str()).and_then(|rest| rest.strip_suffix(last.as_str()))
        else {
            return;
        };
        let (mut filled, mut left) = (Vec::with_capacity(self.gaps.len()), WAYS);
        self.fill(inner, &mut filled, &mut left, tried);
    }

    /// Fills the gaps from the one that is next; whether to stop.
    fn fill<'t>(
        &self,
        rest: &'t str,
        filled: &mut Vec<&'t str>,
        left: &mut usize,
        tried: &mut dyn FnMut(&[&'t str]) -> bool,
    ) -> bool {
        let at = filled.len();
        let Some(gap) = self.gaps.get(at) else { return true };
        if at + 1 == self.gaps.len() {
            if *left == 0 || !gap.takes(rest) {
                return *left == 0;
            }
            *left -= 1;
            filled.push(rest);
            let stop = tried(filled);
            filled.pop();
            return stop;
        }
        let next = self.literals[at + 1].as_str();
        for (found, _) in rest.match_indices(next) {
            if *left == 0 {
                return true;
            }
            let (filler, behind) = (&rest[..found], &rest[found + next.len()..]);
            if gap.takes(filler) {
                filled.push(filler);
                let stop = self.fill(behind, filled, left, tried);
                filled.pop();
                if stop {
                    return true;
                }
            } else {
                *left -= 1;
            }
        }
        false
    }
}

impl Gap {
    fn takes(&self, filler: &str) -> bool {
        let whole = !filler.is_empty() && !filler.starts_with(' ') && !filler.ends_with(' ');
        match self.fill {
            Fill::Figure => whole && filler.split(' ').next().is_some_and(is_figure),
            Fill::Verbatim => true,
            Fill::Any => whole,
        }
    }
}
