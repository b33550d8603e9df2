//! Says a text: finds the phrase that fits best, fills its gaps, and puts articles and contractions right.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::{Article, NameForm, Phrase, Phrasebook, Piece};
use crate::grammar::Form;
use crate::pattern::Fill;
use crate::said::{Kept, Said};
use crate::text::{capitalise, folded, is_figure, sentences};

/// How deep phrases may lie in gaps of phrases.
const DEEPEST: usize = 14;
/// How much is tried on one text at most, in phrases and in bytes of what they are tried on, so that no text takes long.
const MOST_TRIES: usize = 400_000;
/// How many ways of laying a phrase of signs alone are tried.
const WAYS_OF_FORMS: usize = 2;
/// How many places are tried for the last "and" of a list.
const MOST_ANDS: usize = 4;
/// An unknown text of more words than this in a gap is no name.
const LONGEST_NAME: usize = 6;
/// A list of more items than this is taken item by item.
const LONGEST_ITEM: usize = 4;

/// Something said: a name without its article, or any other text.
#[derive(Clone, Debug, Default)]
struct Out {
    said: Said,
    /// For a name.
    form: Option<Form>,
    article: Spoken,
    /// Whether it began with a capital.
    capital: bool,
    /// Whether only its form is known: a list, or parts with nothing but signs between.
    loose: bool,
    used: BTreeSet<usize>,
}

/// The article that stood before a name.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Spoken {
    #[default]
    None,
    Definite,
    Indefinite,
    /// A list: each item has its own.
    Within,
}

/// The best so far, with what it costs.
#[derive(Default)]
struct Best {
    cost: usize,
    out: Option<Out>,
}

impl Best {
    fn take(&mut self, out: Option<Out>) {
        let Some(out) = out else { return };
        let cost = out.said.cost();
        if self.out.is_none() || cost < self.cost {
            *self = Self { cost, out: Some(out) };
        }
    }

    /// Whether nothing can be better.
    const fn done(&self) -> bool {
        self.out.is_some() && self.cost == 0
    }
}

/// Says one text; remembers what it has said of it.
pub(crate) struct Speaker<'b> {
    book: &'b Phrasebook,
    memory: BTreeMap<String, Option<Out>>,
    depth: usize,
    tries: usize,
    /// Whether something was given up for its depth or the number of tries: then a result is no final one.
    cut: bool,
    used: BTreeSet<usize>,
}

impl<'b> Speaker<'b> {
    pub(crate) const fn new(book: &'b Phrasebook) -> Self {
        Self { book, memory: BTreeMap::new(), depth: 0, tries: 0, cut: false, used: BTreeSet::new() }
    }

    pub(crate) fn used(self) -> Vec<usize> {
        self.used.into_iter().collect()
    }

    /// Lines and sentences, each for itself.
    pub(crate) fn text(&mut self, text: &str) -> Said {
        let mut said = Said::default();
        for (at, line) in text.split('\n').enumerate() {
            if at > 0 {
                said.push("\n");
            }
            let inner = line.trim_matches(' ');
            let lead = line.len() - line.trim_start_matches(' ').len();
            said.push(&line[..lead]);
            for (at, sentence) in sentences(inner).into_iter().enumerate() {
                if at > 0 {
                    said.push(" ");
                }
                self.sentence(sentence, &mut said);
            }
            said.push(&line[(lead + inner.len()).min(line.len())..]);
        }
        said
    }

    fn sentence(&mut self, sentence: &str, said: &mut Said) {
        let (body, stop) = sentence.strip_suffix('.').map_or((sentence, ""), |body| (body, "."));
        // Where most of what is put together is unknown, nothing is known.
        let known = |out: &Out| {
            let (count, bytes) = out.said.kept_words();
            !((out.loose || count > 1) && 2 * bytes > body.len())
        };
        match self.piece(body).filter(known) {
            Some(out) => {
                self.used.extend(&out.used);
                said.append(&self.with_article(&out, Article::AsSaid));
                said.push(stop);
            }
            None if nothing_to_say(sentence) => said.push(sentence),
            None => said.push_kept(sentence, Kept::English),
        }
    }

    /// A name on its own.
    pub(crate) fn name(&mut self, name: &str) -> Said {
        match self.piece(name) {
            Some(out) => self.with_article(&out, Article::AsSaid),
            None => {
                let mut said = Said::default();
                said.push_kept(name, Kept::AsTyped);
                said
            }
        }
    }

    /// The best that the book has for a text, if it has anything.
    fn piece(&mut self, text: &str) -> Option<Out> {
        if let Some(known) = self.memory.get(text) {
            return known.clone();
        }
        if self.depth >= DEEPEST || self.tries >= MOST_TRIES {
            self.cut = true;
            return None;
        }
        self.tries += text.len();
        let cut = core::mem::replace(&mut self.cut, false);
        self.depth += 1;
        let small = folded(text).filter(|_| !self.book.units.contains_key(text));
        let mut found = self.small_piece(small.as_deref().unwrap_or(text), small.is_some());
        self.depth -= 1;
        if let (Some(out), Some(_)) = (&mut found, small) {
            out.capital = true;
        }
        if !self.cut {
            self.memory.insert(text.to_owned(), found.clone());
        }
        self.cut |= cut;
        found
    }

    fn small_piece(&mut self, text: &str, capital: bool) -> Option<Out> {
        if let Some(at) = self.book.exactly(text, capital) {
            return self.fill(at, &[]);
        }
        // A whole name behind its article, before a phrase takes a part of it for a gap.
        let (article, name) = cut_article(text);
        if article != Spoken::None
            && self.book.exactly(name, false).is_some()
            && let Some(out) = self.articled(text)
        {
            return Some(out);
        }
        if let Some(said) = self.quantity(text) {
            return Some(Out { said, ..Out::default() });
        }
        let mut best = Best::default();
        let book = self.book;
        // What has words of its own first, then names and lists, and signs alone last.
        let (worded, forms): (Vec<usize>, Vec<usize>) = book
            .may_fit(text, capital)
            .into_iter()
            .partition(|at| book.phrases.get(*at).is_some_and(|phrase| phrase.pattern.has_words()));
        // Clauses each for themselves, unless a phrase has the semicolon in itself.
        let (clausal, worded): (Vec<usize>, Vec<usize>) = worded
            .into_iter()
            .partition(|at| book.phrases.get(*at).is_some_and(|phrase| phrase.pattern.has_clauses()));
        self.try_phrases(text, &clausal, usize::MAX, &mut best);
        if !best.done() && text.contains("; ") {
            best.take(self.clauses(text));
        }
        self.try_phrases(text, &worded, usize::MAX, &mut best);
        for other in [Self::articled, Self::list, Self::several] {
            if !best.done() {
                best.take(other(self, text));
            }
        }
        self.try_phrases(text, &forms, WAYS_OF_FORMS, &mut best);
        best.out
    }

    fn try_phrases(&mut self, text: &str, phrases: &[usize], ways: usize, best: &mut Best) {
        for &at in phrases {
            let Some(phrase) = self.book.phrases.get(at).filter(|_| !best.done()) else { return };
            let mut left = ways;
            phrase.pattern.lay(text, &mut |fillers| {
                best.take(self.fill(at, fillers));
                left -= 1;
                best.done() || left == 0
            });
        }
    }

    /// A phrase with its gaps filled.
    fn fill(&mut self, at: usize, fillers: &[&str]) -> Option<Out> {
        let phrase: &Phrase = self.book.phrases.get(at)?;
        self.tries += 1 + fillers.iter().map(|filler| filler.len()).sum::<usize>();
        if phrase.name.is_some() && !may_name(phrase, fillers) {
            return None;
        }
        let filled: Vec<Out> =
            phrase.pattern.gaps.iter().zip(fillers).map(|(gap, text)| self.filler(text, gap.fill)).collect();
        let mut out = Out::default();
        out.used.insert(at);
        for (place, piece) in phrase.said.iter().enumerate() {
            match piece {
                Piece::Text(text) => self.join(&mut out.said, &Said { text: text.clone(), kept: Vec::new() }),
                Piece::Agrees(gap, forms) => {
                    let form = filled.get(*gap)?.form.unwrap_or_default();
                    out.said.push(&forms[form.feminine as usize + 2 * form.plural as usize]);
                }
                Piece::Gap(gap, article) => {
                    let filler = filled.get(*gap)?;
                    // A name that begins with a gap takes its article where the whole name stands.
                    let lead = place == 0 && phrase.name == Some(NameForm::OfGap(*gap));
                    let said = self.with_article(filler, if lead { Article::None } else { *article });
                    self.join(&mut out.said, &said);
                    out.used.extend(&filler.used);
                }
            }
        }
        out.form = match phrase.name {
            Some(NameForm::Own(form)) => Some(form),
            Some(NameForm::OfGap(gap)) => Some(filled.get(gap)?.form.unwrap_or_default()),
            None => None,
        };
        // "the drier's inlet" is the inlet: what a name begins with has the article of the whole.
        if let (true, Some(first)) = (out.form.is_some() && phrase.pattern.begins_with_gap(), filled.first())
        {
            out.article = first.article;
        }
        out.loose = !phrase.pattern.has_words();
        Some(out)
    }

    /// What stands in a gap; whatever it is, something comes out.
    fn filler(&mut self, text: &str, fill: Fill) -> Out {
        if fill == Fill::Verbatim {
            return Out { said: Said { text: text.to_owned(), kept: Vec::new() }, ..Out::default() };
        }
        if let Some(mut out) = self.piece(text) {
            if out.form.is_some() && out.article == Spoken::None && is_numbered(text) {
                out.article = Spoken::Definite;
            }
            return out;
        }
        if nothing_to_say(text) {
            return Out { said: Said { text: text.to_owned(), kept: Vec::new() }, ..Out::default() };
        }
        let (article, name) = cut_article(text);
        let mut said = Said::default();
        let long = name.split(' ').count() > LONGEST_NAME;
        said.push_kept(name, if long { Kept::English } else { Kept::AsTyped });
        Out { said, form: (article != Spoken::None).then(Form::default), article, ..Out::default() }
    }

    /// "the", "a" or "an" before a name that the book knows.
    fn articled(&mut self, text: &str) -> Option<Out> {
        let (article, name) = cut_article(text);
        if article == Spoken::None {
            return None;
        }
        let mut out = self.piece(name)?;
        // "the drier and the valve" is no drier-and-valve with an article.
        if out.form.is_none() || out.article == Spoken::Within {
            return None;
        }
        out.article = article;
        Some(out)
    }

    /// A figure with words that are figures or units.
    fn quantity(&self, text: &str) -> Option<Said> {
        let mut said = Said::default();
        if let Some(unit) = self.book.units.get(text) {
            said.push(unit);
            return Some(said);
        }
        for (at, word) in text.split(' ').enumerate() {
            let bare = word.trim_matches(|c| matches!(c, ',' | ';' | '(' | ')'));
            let whole = self.book.units.get(word).map(|unit| (word, unit));
            let unit = whole.or_else(|| self.book.units.get(bare).map(|unit| (bare, unit)));
            match unit.filter(|_| at > 0) {
                Some((bare, unit)) => said.push(&format!(" {}", word.replace(bare, unit))),
                None if is_figure(word) && at == 0 => said.push(word),
                None if is_figure(word) => said.push(&format!(" {word}")),
                None => return None,
            }
        }
        Some(said)
    }

    /// "a, b and c": each item is known or a name; an item may have commas of its own.
    fn list(&mut self, text: &str) -> Option<Out> {
        let mut best = Best::default();
        for (word, or) in [(" and ", false), (" or ", true)] {
            for (at, _) in text.rmatch_indices(word).take(MOST_ANDS) {
                if !best.done() {
                    best.take(self.listed(&text[..at], Some(&text[at + word.len()..]), or));
                }
            }
        }
        if !best.done() && text.contains(", ") {
            best.take(self.listed(text, None, false));
        }
        best.out
    }

    /// "a; b; c", as far as the semicolons are not within an item.
    fn clauses(&mut self, text: &str) -> Option<Out> {
        let mut out = Out { loose: true, ..Out::default() };
        for (at, clause) in text.split("; ").enumerate() {
            if at > 0 {
                out.said.push("; ");
            }
            let item = self.filler(clause, Fill::Any);
            out.said.append(&self.with_article(&item, Article::AsSaid));
            out.used.extend(&item.used);
        }
        Some(out)
    }

    fn listed(&mut self, head: &str, last: Option<&str>, or: bool) -> Option<Out> {
        let mut items = self.items(head);
        if let Some(last) = last {
            items.push(self.filler(last, Fill::Any));
        }
        if items.len() < 2 {
            return None;
        }
        let names = items.iter().all(|item| item.form.is_some());
        let feminine = items.iter().all(|item| item.form.is_some_and(|form| form.feminine));
        let mut out = Out::default();
        let count = items.len();
        for (at, item) in items.into_iter().enumerate() {
            let said = self.with_article(&item, Article::AsSaid);
            if at > 0 && at + 1 == count && last.is_some() {
                let joiner = if or { &self.book.grammar.or } else { &self.book.grammar.and };
                out.said.push(&format!(" {} ", joiner.before(said.text())));
            } else if at > 0 {
                out.said.push(", ");
            }
            out.said.append(&said);
            out.used.extend(&item.used);
        }
        out.form = names.then_some(Form { feminine, plural: true });
        out.article = Spoken::Within;
        out.loose = true;
        Some(out)
    }

    /// The items before the last; a phrase of several comma'd parts is one.
    fn items(&mut self, text: &str) -> Vec<Out> {
        let parts: Vec<&str> = text.split(", ").collect();
        let (mut items, mut at) = (Vec::new(), 0);
        while at < parts.len() {
            let longest = (at + LONGEST_ITEM).min(parts.len());
            let known = (at + 1..=longest).rev().find_map(|end| {
                if end == at + 1 {
                    return None;
                }
                let joined = parts[at..end].join(", ");
                let out =
                    if at == 0 && end == parts.len() { self.fitting(&joined) } else { self.piece(&joined) };
                out.filter(|out| out.said.cost() == 0 && out.form.is_none_or(|form| !form.plural))
                    .map(|out| (end, out))
            });
            let (end, out) = known.unwrap_or_else(|| (at + 1, self.filler(parts[at], Fill::Any)));
            items.push(out);
            at = end;
        }
        items
    }

    /// A phrase for a whole text, not a list.
    fn fitting(&mut self, text: &str) -> Option<Out> {
        self.book.exactly(text, false).and_then(|at| self.fill(at, &[]))
    }

    /// Several sentences in a gap.
    fn several(&mut self, text: &str) -> Option<Out> {
        if sentences(text).len() < 2 {
            return None;
        }
        let mut inner = Said::default();
        let used = core::mem::take(&mut self.used);
        for (at, sentence) in sentences(text).into_iter().enumerate() {
            if at > 0 {
                inner.push(" ");
            }
            self.sentence(sentence, &mut inner);
        }
        let used = core::mem::replace(&mut self.used, used);
        Some(Out { said: inner, used, ..Out::default() })
    }

    fn with_article(&self, out: &Out, article: Article) -> Said {
        let grammar = &self.book.grammar;
        let word = out.form.and_then(|form| match (article, out.article) {
            (Article::None, _) | (_, Spoken::Within) | (Article::AsSaid, Spoken::None) => None,
            (Article::Definite, _) | (_, Spoken::Definite) => Some(grammar.definite(form)),
            (_, Spoken::Indefinite) => Some(grammar.indefinite(form)),
        });
        let mut said = Said::default();
        if let Some(word) = word {
            said.push(word);
            said.push(" ");
        }
        said.append(&out.said);
        if out.capital {
            capitalise(&mut said.text);
        }
        said
    }

    /// Puts a text behind another, contracted where the book says so.
    fn join(&self, said: &mut Said, next: &Said) {
        if let Some((front, back, both)) = self.book.grammar.contraction(&said.text, &next.text) {
            said.text.truncate(said.text.len() - front);
            said.push(both);
            said.append(&next.without_front(back));
        } else {
            said.append(next);
        }
    }
}

/// Whether these can be parts of a name: none is a list of things, and in "the valve of the cooler's branch" the branch is the cooler's.
fn may_name(phrase: &Phrase, fillers: &[&str]) -> bool {
    let list = |text: &&str| text.contains(", ") || text.contains(" and ");
    let possessive = phrase.pattern.literals.get(1).is_some_and(|literal| literal.starts_with("'s"));
    let several =
        |text: &&str| [" of ", " in ", " on ", " at ", " to "].iter().any(|word| text.contains(word));
    !(fillers.iter().any(list) || possessive && fillers.first().is_some_and(several))
}

/// Figures, signs and identifiers in capitals are the same in every language.
fn nothing_to_say(text: &str) -> bool {
    !text.chars().any(char::is_alphabetic)
        || text.split(' ').all(|word| {
            let letters = || word.chars().filter(|c| c.is_alphabetic());
            letters().count() == 0
                || word.starts_with("R-")
                || (letters().all(char::is_uppercase) && word.chars().count() > 1)
        })
}

fn cut_article(text: &str) -> (Spoken, &str) {
    for (article, spoken) in
        [("the ", Spoken::Definite), ("a ", Spoken::Indefinite), ("an ", Spoken::Indefinite)]
    {
        if let Some(name) = text.strip_prefix(article) {
            return (spoken, name);
        }
    }
    (Spoken::None, text)
}

/// "compressor 1" does without an article in English.
fn is_numbered(text: &str) -> bool {
    text.split(' ').nth(1).is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit()))
}
