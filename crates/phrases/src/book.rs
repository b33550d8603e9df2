//! The book: its phrases and how the ones that may fit a text are found.

use std::collections::BTreeMap;

use crate::BookError;
use crate::grammar::{Form, Grammar};
use crate::pattern::Pattern;
use crate::read;
use crate::render::Speaker;
use crate::said::Said;
use crate::text::{is_word, words};

/// A phrasebook of one language.
///
/// ```
/// use stemwise_phrases::Phrasebook;
///
/// let book = Phrasebook::read(
///     r#"
///     language = "es"
///     [grammar]
///     the = ["el", "la", "los", "las"]
///     a = ["un", "una", "unos", "unas"]
///     and = ["y", "e", "i", "hi"]
///     or = ["o", "u", "o", "ho"]
///     contractions = [["de", "el", "del"]]
///     [names]
///     "drier" = "el filtro deshidratador"
///     [phrases]
///     "Take the hose off {a}." = "Retire la manguera de {a}."
///     "#,
/// )?;
/// assert_eq!(book.say("Take the hose off the drier.").text(), "Retire la manguera del filtro deshidratador.");
/// // What is wrong comes with its line.
/// let wrong = Phrasebook::read("language = \"es\"\n[phrases]\n\"Stop {a}.\" = \"Pare.\"\n").unwrap_err();
/// assert_eq!(wrong.line, 3);
/// # Ok::<(), stemwise_phrases::BookError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Phrasebook {
    pub(crate) language: String,
    pub(crate) grammar: Grammar,
    /// Words of units, and what they become.
    pub(crate) units: BTreeMap<String, String>,
    pub(crate) phrases: Vec<Phrase>,
    /// Phrases without gaps, by their English in small letters and whether it begins with a capital.
    exact: BTreeMap<(String, bool), usize>,
    /// Phrases with gaps by a word that each has and few others have.
    by_word: BTreeMap<String, Vec<usize>>,
    /// Phrases with gaps in which no whole word is sure.
    wordless: Vec<usize>,
}

/// A phrase of a book.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry<'b> {
    /// The English side, with its gaps.
    pub english: &'b str,
    /// The line of the book.
    pub line: usize,
    /// Whether the book says that only rare states give it.
    pub rare: bool,
}

#[derive(Clone, Debug)]
pub(crate) struct Phrase {
    /// With a small first letter.
    pub(crate) english: String,
    /// Whether the first letter was a capital: "Stop {a}." is said to a person, "stop {a}" is the name of an action.
    pub(crate) capital: bool,
    pub(crate) pattern: Pattern,
    pub(crate) said: Vec<Piece>,
    /// For the name of a thing.
    pub(crate) name: Option<NameForm>,
    pub(crate) line: usize,
    pub(crate) rare: bool,
}

/// Where the form of a name comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NameForm {
    /// From its own article.
    Own(Form),
    /// From the gap that it begins with.
    OfGap(usize),
}

/// A piece of the other side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Piece {
    Text(String),
    /// The filler, with the article that it has in English, with none or with the definite one.
    Gap(usize, Article),
    /// What agrees with a filler: masculine, feminine and both in the plural.
    Agrees(usize, [String; 4]),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Article {
    AsSaid,
    None,
    Definite,
}

impl Phrasebook {
    /// Reads a book.
    ///
    /// # Errors
    /// The first thing wrong with its line: not TOML; a table or a value that has no place; a gap that only one side has; two sides with
    /// different numbers of sentences; two phrases that fit the same texts, so that the second would never be used.
    pub fn read(text: &str) -> Result<Self, BookError> {
        read::book(text)
    }

    /// The language, as a tag like "es".
    pub fn language(&self) -> &str {
        &self.language
    }

    /// Says a text of the core (one sentence or several, or a title) in the book's language.
    ///
    /// A name that a person typed stays as typed; a sentence that the book doesn't know stays English, and [`Said::kept`] names both.
    pub fn say(&self, text: &str) -> Said {
        Speaker::new(self).text(text)
    }

    /// Says a name, where nothing else can stand: one that the book doesn't know is taken for a person's own.
    pub fn say_name(&self, name: &str) -> Said {
        Speaker::new(self).name(name)
    }

    /// The English side of every phrase.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        self.phrases.iter().map(|phrase| Entry {
            english: &phrase.english,
            line: phrase.line,
            rare: phrase.rare,
        })
    }

    /// The phrases of the book that [`say`](Self::say) uses for a text, by their place among [`entries`](Self::entries).
    pub fn used_for(&self, text: &str) -> Vec<usize> {
        let mut speaker = Speaker::new(self);
        speaker.text(text);
        speaker.used()
    }

    pub(crate) fn of(
        language: String,
        grammar: Grammar,
        units: BTreeMap<String, String>,
        phrases: Vec<Phrase>,
    ) -> Self {
        let mut book = Self {
            language,
            grammar,
            units,
            phrases,
            exact: BTreeMap::new(),
            by_word: BTreeMap::new(),
            wordless: Vec::new(),
        };
        let mut common: BTreeMap<&str, usize> = BTreeMap::new();
        for word in book.phrases.iter().flat_map(|phrase| sure_words(&phrase.pattern)) {
            *common.entry(word).or_default() += 1;
        }
        let (mut exact, mut by_word, mut wordless) =
            (BTreeMap::new(), BTreeMap::<_, Vec<_>>::new(), Vec::new());
        for (at, phrase) in book.phrases.iter().enumerate() {
            let rarest =
                sure_words(&phrase.pattern).min_by_key(|word| (common.get(word), usize::MAX - word.len()));
            match (phrase.pattern.gaps.is_empty(), rarest) {
                (true, _) => drop(exact.insert((phrase.pattern.literals.concat(), phrase.capital), at)),
                (false, Some(word)) => by_word.entry(word.to_owned()).or_default().push(at),
                (false, None) => wordless.push(at),
            }
        }
        (book.exact, book.by_word, book.wordless) = (exact, by_word, wordless);
        book
    }

    /// The phrase without gaps that is this text; one whose first letter is of the same size before the other.
    pub(crate) fn exactly(&self, text: &str, capital: bool) -> Option<usize> {
        let found = |capital| self.exact.get(&(text.to_owned(), capital));
        found(capital).or_else(|| found(!capital)).copied()
    }

    /// The phrases with gaps that may fit, the most exact first, and of equals one whose first letter is of the same size.
    pub(crate) fn may_fit(&self, text: &str, capital: bool) -> Vec<usize> {
        let mut found = self.wordless.clone();
        for word in words(text) {
            found.extend(self.by_word.get(word).into_iter().flatten());
        }
        found.sort_unstable();
        found.dedup();
        found.sort_by_key(|at| {
            self.phrases
                .get(*at)
                .map(|phrase| (core::cmp::Reverse(phrase.pattern.weight()), phrase.capital != capital))
        });
        found
    }
}

/// The words of a pattern's text that no gap touches.
fn sure_words(pattern: &Pattern) -> impl Iterator<Item = &str> {
    let last = pattern.literals.len().saturating_sub(1);
    pattern.literals.iter().enumerate().flat_map(move |(at, literal)| {
        let mut text = literal.as_str();
        if at > 0 {
            text = text.trim_start_matches(is_word);
        }
        if at < last {
            text = text.trim_end_matches(is_word);
        }
        words(text)
    })
}
