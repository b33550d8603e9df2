//! Reads a book: TOML with a place for each fault.

use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::book::{Article, NameForm, Phrase, Phrasebook, Piece};
use crate::grammar::{Grammar, Joiner};
use crate::pattern::{BadPattern, Pattern, pieces};
use crate::text::{folded, sentences};

/// What is wrong with a book, and on which line.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {fault}")]
pub struct BookError {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong there.
    pub fault: Fault,
}

/// What can be wrong with a book.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// It can't be read at all.
    #[error("not TOML: {message}")]
    NotToml {
        /// What the reader of TOML says.
        message: String,
    },
    /// A table or key that a book doesn't have, or one of another type.
    #[error(
        "\"{key}\" has no place here; a book has: language, grammar, units, glossary, names, phrases, rare"
    )]
    NoPlace {
        /// The key.
        key: String,
    },
    /// Something that a book needs is missing.
    #[error("\"{key}\" is missing")]
    Missing {
        /// The key.
        key: &'static str,
    },
    /// A list in the grammar is too short.
    #[error("\"{key}\" needs {needs} words")]
    TooShort {
        /// The key.
        key: String,
        /// How many.
        needs: usize,
    },
    /// A brace is not closed, or closed without being opened.
    #[error("a brace is not paired in \"{text}\"")]
    Brace {
        /// The side with it.
        text: String,
    },
    /// A gap has no name, or one with other signs than letters, digits and hyphens.
    #[error(
        "\"{{{gap}}}\" is no gap: a name of letters and digits, then # for a figure or ! for text kept as it is"
    )]
    GapName {
        /// What stands between the braces.
        gap: String,
    },
    /// Two gaps follow each other with nothing between.
    #[error(
        "nothing stands between the gap \"{gap}\" and the one before it, so where one ends can't be seen"
    )]
    Adjacent {
        /// The second one.
        gap: String,
    },
    /// A gap stands twice.
    #[error("the gap \"{gap}\" stands twice on one side")]
    GapTwice {
        /// Its name.
        gap: String,
    },
    /// A gap of the English side is not used.
    #[error("the gap \"{gap}\" is not on the other side")]
    GapUnused {
        /// Its name.
        gap: String,
    },
    /// A gap that the English side doesn't have.
    #[error("the gap \"{gap}\" is not on the English side")]
    GapUnknown {
        /// Its name.
        gap: String,
    },
    /// Both sides are taken sentence by sentence.
    #[error("{english} sentences in English and {other} on the other side; write as many")]
    Sentences {
        /// On the English side.
        english: usize,
        /// On the other.
        other: usize,
    },
    /// A side is empty.
    #[error("a side is empty")]
    Empty,
    /// A name without its article.
    #[error("the name \"{name}\" needs its definite article, or a gap, in front: that tells its gender")]
    NoArticle {
        /// What stands there.
        name: String,
    },
    /// Another phrase fits the same texts.
    #[error("\"{english}\" fits what the phrase on line {line} fits, and would never be used")]
    Shadowed {
        /// The English side.
        english: String,
        /// The line of the other.
        line: usize,
    },
}

struct Reader<'t> {
    text: &'t str,
    phrases: Vec<Phrase>,
    /// By shape: the line, the other side, and whether it is one of several sentences.
    shapes: BTreeMap<(String, bool), (usize, String, bool)>,
    grammar: Grammar,
}

type Read<T> = Result<T, BookError>;

pub(crate) fn book(text: &str) -> Read<Phrasebook> {
    let table = DeTable::parse(text).map_err(|error| BookError {
        line: line(text, error.span().map_or(0, |span| span.start)),
        fault: Fault::NotToml { message: error.message().to_owned() },
    })?;
    let mut reader =
        Reader { text, phrases: Vec::new(), shapes: BTreeMap::new(), grammar: Grammar::default() };
    let table = table.get_ref();
    let missing = |key| BookError { line: 1, fault: Fault::Missing { key } };
    let language = table.get("language").ok_or_else(|| missing("language"))?;
    let language = reader.words("language", language)?;
    if let Some(grammar) = table.get("grammar") {
        reader.grammar = reader.grammar(reader.table("grammar", grammar)?)?;
    }
    let mut units = BTreeMap::new();
    for (key, value) in in_order(table) {
        match key.get_ref().as_ref() {
            "language" | "grammar" => {}
            "glossary" => drop(reader.table("glossary", value)?),
            "units" => {
                for (unit, said) in reader.table("units", value)? {
                    units.insert(unit.get_ref().to_string(), reader.words(unit.get_ref(), said)?);
                }
            }
            "names" => {
                reader.entries(reader.table("names", value)?, Kind { name: true, ..Kind::default() })?
            }
            "phrases" => reader.entries(reader.table("phrases", value)?, Kind::default())?,
            "rare" => reader.entries(reader.table("rare", value)?, Kind { rare: true, ..Kind::default() })?,
            other => {
                let fault = Fault::NoPlace { key: other.to_owned() };
                return Err(reader.wrong(key.span().start, fault));
            }
        }
    }
    Ok(Phrasebook::of(language, reader.grammar, units, reader.phrases))
}

/// What an entry is.
#[derive(Clone, Copy, Default)]
struct Kind {
    name: bool,
    rare: bool,
    /// One of several sentences of an entry.
    several: bool,
    capital: bool,
}

type Item<'a, 'd> = (&'a Spanned<toml::de::DeString<'d>>, &'a Spanned<DeValue<'d>>);

/// Keys as they stand in the file, so that the later of two that collide is the one that is told of.
fn in_order<'a, 'd>(table: &'a DeTable<'d>) -> Vec<Item<'a, 'd>> {
    let mut items: Vec<Item<'a, 'd>> = table.iter().collect();
    items.sort_by_key(|(key, _)| key.span().start);
    items
}

fn line(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count()
}

impl<'t> Reader<'t> {
    fn wrong(&self, at: usize, fault: Fault) -> BookError {
        BookError { line: line(self.text, at), fault }
    }

    fn table<'a, 'd>(&self, key: &str, value: &'a Spanned<DeValue<'d>>) -> Read<&'a DeTable<'d>> {
        let no_place = || self.wrong(value.span().start, Fault::NoPlace { key: key.to_owned() });
        value.get_ref().as_table().ok_or_else(no_place)
    }

    fn words(&self, key: &str, value: &Spanned<DeValue<'_>>) -> Read<String> {
        let no_place = || self.wrong(value.span().start, Fault::NoPlace { key: key.to_owned() });
        value.get_ref().as_str().map(str::to_owned).ok_or_else(no_place)
    }

    fn list(&self, key: &str, value: &Spanned<DeValue<'_>>, needs: usize) -> Read<Vec<String>> {
        let no_place = || self.wrong(value.span().start, Fault::NoPlace { key: key.to_owned() });
        let items = value.get_ref().as_array().ok_or_else(no_place)?;
        let words: Vec<String> = items.iter().map(|item| self.words(key, item)).collect::<Read<_>>()?;
        if words.len() < needs {
            return Err(self.wrong(value.span().start, Fault::TooShort { key: key.to_owned(), needs }));
        }
        Ok(words)
    }

    fn grammar(&self, table: &DeTable<'_>) -> Read<Grammar> {
        let mut grammar = Grammar::default();
        for (key, value) in in_order(table) {
            let name = key.get_ref().as_ref();
            match name {
                "the" | "a" => {
                    let forms: [String; 4] = self.list(name, value, 4)?.try_into().map_err(|_| {
                        self.wrong(value.span().start, Fault::TooShort { key: name.to_owned(), needs: 4 })
                    })?;
                    *(if name == "the" { &mut grammar.definite } else { &mut grammar.indefinite }) = forms;
                }
                "and" | "or" => {
                    let mut words = self.list(name, value, 2)?.into_iter();
                    let (usual, other) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
                    let (not_before, before): (Vec<String>, Vec<String>) =
                        words.partition(|word| word.starts_with('!'));
                    let not_before = not_before.iter().map(|word| word[1..].to_owned()).collect();
                    let joiner = Joiner { usual, other, before, not_before };
                    *(if name == "and" { &mut grammar.and } else { &mut grammar.or }) = joiner;
                }
                "contractions" => {
                    for row in value.get_ref().as_array().into_iter().flatten() {
                        if let [first, second, both] = self.list(name, row, 3)?.as_slice() {
                            grammar.contractions.push((first.clone(), second.clone(), both.clone()));
                        }
                    }
                }
                other => return Err(self.wrong(key.span().start, Fault::NoPlace { key: other.to_owned() })),
            }
        }
        Ok(grammar)
    }

    /// Phrases, and tables of phrases, which only sort them.
    fn entries(&mut self, table: &DeTable<'_>, kind: Kind) -> Read<()> {
        for (key, value) in in_order(table) {
            if let Some(inner) = value.get_ref().as_table() {
                self.entries(inner, kind)?;
                continue;
            }
            let other = self.words(key.get_ref(), value)?;
            self.entry(key.get_ref(), &other, kind, key.span().start)?;
        }
        Ok(())
    }

    fn entry(&mut self, english: &str, other: &str, kind: Kind, at: usize) -> Read<()> {
        let (ours, theirs) = (sentences(english), sentences(other));
        if ours.len() != theirs.len() {
            let fault = Fault::Sentences { english: ours.len(), other: theirs.len() };
            return Err(self.wrong(at, fault));
        }
        if ours.is_empty() || theirs.iter().any(|text| text.trim().is_empty()) {
            return Err(self.wrong(at, Fault::Empty));
        }
        let several = ours.len() > 1;
        for (english, other) in ours.into_iter().zip(theirs) {
            let plain = |text: &str| {
                let text = text.strip_suffix('.').unwrap_or(text);
                folded(text).unwrap_or_else(|| text.to_owned())
            };
            let capital = folded(english).is_some() && !kind.name;
            let (english, other) = (plain(english), unopened(&plain(other)));
            self.sentence(&english, &other, Kind { several, capital, ..kind }, at)?;
        }
        Ok(())
    }

    fn sentence(&mut self, english: &str, other: &str, kind: Kind, at: usize) -> Read<()> {
        let pattern = Pattern::read(english).map_err(|bad| self.wrong(at, fault(bad, english)))?;
        let place = line(self.text, at);
        if pattern.weight().0 == 0 {
            return Err(self.wrong(at, Fault::Empty));
        }
        let shape = (pattern.shape(), kind.capital);
        let twin = self.shapes.get(&(shape.0.clone(), !kind.capital)).filter(|(_, said, _)| said == other);
        match self.shapes.get(&shape).or(twin) {
            // Sentences that longer texts share are said once.
            Some((_, said, among)) if (kind.several || *among) && said == other => return Ok(()),
            Some((before, ..)) => {
                let fault = Fault::Shadowed { english: english.to_owned(), line: *before };
                return Err(BookError { line: place, fault });
            }
            None => {}
        }
        self.shapes.insert(shape, (place, other.to_owned(), kind.several));
        let (name, other_bare) = self.name_form(other, kind, &pattern, at)?;
        let said = self.other_side(other_bare, &pattern, at)?;
        self.phrases.push(Phrase {
            english: english.to_owned(),
            capital: kind.capital,
            pattern,
            said,
            name,
            line: place,
            rare: kind.rare,
        });
        Ok(())
    }

    /// The form of a name and its text without the article.
    fn name_form<'s>(
        &self,
        other: &'s str,
        kind: Kind,
        pattern: &Pattern,
        at: usize,
    ) -> Read<(Option<NameForm>, &'s str)> {
        if !kind.name {
            return Ok((None, other));
        }
        if let Some((form, article)) = self.grammar.by_article(other) {
            return Ok((Some(NameForm::Own(form)), &other[article..]));
        }
        let first = other.strip_prefix('{').and_then(|rest| rest.split_once('}')).map(|(gap, _)| gap);
        let gap = first.and_then(|first| pattern.gaps.iter().position(|gap| gap.name == first));
        let no_article = || self.wrong(at, Fault::NoArticle { name: other.to_owned() });
        gap.map(|gap| (Some(NameForm::OfGap(gap)), other)).ok_or_else(no_article)
    }

    fn other_side(&self, other: &str, pattern: &Pattern, at: usize) -> Read<Vec<Piece>> {
        let mut said = Vec::new();
        let mut used = vec![false; pattern.gaps.len()];
        let wrong = |fault| self.wrong(at, fault);
        for piece in pieces(other).map_err(|bad| wrong(fault(bad, other)))? {
            let inside = match piece {
                Ok("") => continue,
                Ok(text) => {
                    said.push(Piece::Text(text.to_owned()));
                    continue;
                }
                Err(inside) => inside,
            };
            let (name, forms) =
                inside.split_once(':').map_or((inside, None), |(name, forms)| (name, Some(forms)));
            let (name, article) = match (name.strip_prefix('+'), name.strip_prefix('-')) {
                (Some(name), _) => (name, Article::Definite),
                (_, Some(name)) => (name, Article::None),
                _ => (name, Article::AsSaid),
            };
            let gap = pattern.gaps.iter().position(|gap| gap.name == name);
            let gap = gap.ok_or_else(|| wrong(Fault::GapUnknown { gap: name.to_owned() }))?;
            match forms {
                Some(forms) => said.push(Piece::Agrees(gap, agreeing(forms))),
                None if used[gap] => return Err(wrong(Fault::GapTwice { gap: name.to_owned() })),
                None => {
                    used[gap] = true;
                    said.push(Piece::Gap(gap, article));
                }
            }
        }
        match used.iter().position(|used| !used) {
            Some(gap) => Err(wrong(Fault::GapUnused { gap: pattern.gaps[gap].name.clone() })),
            None => Ok(said),
        }
    }
}

/// The other side with its first letter small behind an opening mark too.
fn unopened(text: &str) -> String {
    let inner = text.trim_start_matches(['¿', '¡']);
    folded(inner)
        .map_or_else(|| text.to_owned(), |small| format!("{}{small}", &text[..text.len() - inner.len()]))
}

/// "o|a": masculine and feminine, with "s" in the plural; "está/están": singular and plural; all four between bars.
fn agreeing(forms: &str) -> [String; 4] {
    let text = str::to_owned;
    if let Some((one, many)) = forms.split_once('/') {
        return [text(one), text(one), text(many), text(many)];
    }
    let all: Vec<&str> = forms.split('|').collect();
    match all.as_slice() {
        [his, hers, theirs, hers_too] => [text(his), text(hers), text(theirs), text(hers_too)],
        [his, hers] => [text(his), text(hers), format!("{his}s"), format!("{hers}s")],
        _ => [text(forms), text(forms), text(forms), text(forms)],
    }
}

fn fault(bad: BadPattern, text: &str) -> Fault {
    match bad {
        BadPattern::Brace => Fault::Brace { text: text.to_owned() },
        BadPattern::GapName(gap) => Fault::GapName { gap },
        BadPattern::Adjacent(gap) => Fault::Adjacent { gap },
        BadPattern::Twice(gap) => Fault::GapTwice { gap },
    }
}
