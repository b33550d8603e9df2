//! English text: sentences, words, the case of a first letter.

/// Cuts a text into sentences, each with its full stop and without the space behind it. A full stop ends one where a capital, a digit or an
/// opening mark follows, outside quotation marks; question and exclamation marks as well.
pub(crate) fn sentences(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let (mut start, mut quoted) = (0, false);
    for (at, c) in text.char_indices() {
        if c == '"' {
            quoted = !quoted;
        }
        let ends = at >= start && matches!(c, '.' | '?' | '!') && !quoted;
        if !ends || !text[at + 1..].starts_with(' ') {
            continue;
        }
        let next = text[at + 2..].chars().next();
        if next.is_some_and(|next| next.is_uppercase() || next.is_ascii_digit() || "\"¿¡(".contains(next)) {
            found.push(&text[start..=at]);
            start = at + 2;
        }
    }
    if start < text.len() {
        found.push(&text[start..]);
    }
    found
}

/// The words of a text: runs of letters, digits, apostrophes and hyphens.
pub(crate) fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !is_word(c)).filter(|word| !word.is_empty())
}

pub(crate) fn is_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '\'' | '-')
}

/// The text with a small first letter, where the first word is one that a sentence or a heading begins with and no abbreviation.
pub(crate) fn folded(text: &str) -> Option<String> {
    let mut chars = text.chars();
    let first = chars.next().filter(|c| c.is_uppercase())?;
    let second = chars.next();
    second
        .is_none_or(|c| c.is_lowercase() || c == ' ')
        .then(|| first.to_lowercase().chain(text[first.len_utf8()..].chars()).collect())
}

/// Makes the first letter a capital, behind opening marks.
pub(crate) fn capitalise(text: &mut String) {
    let first = text.char_indices().find(|(_, c)| !"¿¡\"(«".contains(*c));
    if let Some((at, c)) = first.filter(|(_, c)| c.is_lowercase()) {
        let capital: String = c.to_uppercase().collect();
        // A capital of another length would move what is kept; no language that a book is for has one.
        if capital.len() == c.len_utf8() {
            text.replace_range(at..at + c.len_utf8(), &capital);
        }
    }
}

/// Whether a word of a quantity is a figure.
pub(crate) fn is_figure(word: &str) -> bool {
    let word = word.trim_matches(|c| matches!(c, ',' | ';' | '(' | ')' | '.'));
    word.starts_with(|c: char| {
        c.is_ascii_digit() || matches!(c, '-' | '−' | '+' | '±' | '<' | '>' | '≤' | '≥' | '≈')
    }) && word.contains(|c: char| c.is_ascii_digit())
        && word.chars().filter(|c| c.is_alphabetic()).count() <= 2
}
