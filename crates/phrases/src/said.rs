//! What came out, and what of it stayed as it was.

use std::ops::Range;

/// Why a part of a text stayed as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kept {
    /// The book has no phrase for it: it is still in the core's English.
    English,
    /// It stands where a name stands and the book does not know it: whatever a person typed.
    AsTyped,
}

/// A text in the language of a book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    pub(crate) text: String,
    pub(crate) kept: Vec<(Range<usize>, Kept)>,
}

impl Said {
    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text, to keep.
    pub fn into_text(self) -> String {
        self.text
    }

    /// Whether nothing stayed English; names that the book doesn't know may have stayed as typed.
    pub fn is_whole(&self) -> bool {
        !self.kept.iter().any(|(_, kept)| *kept == Kept::English)
    }

    /// The parts that stayed as they were: their place in [`text`](Self::text) in bytes, in order.
    pub fn kept(&self) -> &[(Range<usize>, Kept)] {
        &self.kept
    }

    /// The text cut where its language changes: `true` for parts that stayed English, to be marked `lang="en"`.
    pub fn parts(&self) -> impl Iterator<Item = (&str, bool)> {
        let mut cuts = Vec::with_capacity(2 * self.kept.len() + 1);
        let mut at = 0;
        for (range, _) in self.kept.iter().filter(|(_, kept)| *kept == Kept::English) {
            cuts.push((at..range.start, false));
            cuts.push((range.clone(), true));
            at = range.end;
        }
        cuts.push((at..self.text.len(), false));
        cuts.into_iter().filter_map(|(range, english)| {
            self.text.get(range).filter(|part| !part.is_empty()).map(|part| (part, english))
        })
    }

    pub(crate) fn push(&mut self, text: &str) {
        self.text.push_str(text);
    }

    pub(crate) fn push_kept(&mut self, text: &str, kept: Kept) {
        let start = self.text.len();
        self.text.push_str(text);
        self.kept.push((start..self.text.len(), kept));
    }

    pub(crate) fn append(&mut self, other: &Self) {
        let start = self.text.len();
        self.text.push_str(&other.text);
        self.kept.extend(other.kept.iter().map(|(at, kept)| (start + at.start..start + at.end, *kept)));
    }

    /// Takes bytes off the front, which must not be kept ones.
    pub(crate) fn without_front(&self, bytes: usize) -> Self {
        let text = self.text.get(bytes..).unwrap_or_default().to_owned();
        let less = |at: &Range<usize>| at.start.saturating_sub(bytes)..at.end.saturating_sub(bytes);
        Self { text, kept: self.kept.iter().map(|(at, kept)| (less(at), *kept)).collect() }
    }

    /// How many parts stayed and their bytes, ids (words with hyphens and no blank) not counted.
    pub(crate) fn kept_words(&self) -> (usize, usize) {
        let is_id = |text: &str| text.contains('-') && !text.contains(' ');
        let words =
            self.kept.iter().filter(|(at, _)| self.text.get(at.clone()).is_none_or(|text| !is_id(text)));
        words.fold((0, 0), |(count, bytes), (at, _)| (count + 1, bytes + at.len()))
    }

    /// How many bytes stayed, weighed; English counts for more than a name.
    pub(crate) fn cost(&self) -> usize {
        self.kept
            .iter()
            .map(|(at, kept)| match kept {
                Kept::English => 4 * at.len() + 4,
                Kept::AsTyped => at.len() + 1,
            })
            .sum()
    }
}
