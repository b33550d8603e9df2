//! Whether a book says all that was gathered.

use std::collections::{BTreeMap, BTreeSet};

use stemwise_phrases::{Kept, Phrasebook, SPANISH};

use super::{Reach, Said, everything};

/// What of a text stayed that is no name of a file, no id and no word that was typed.
fn left(book: &Phrasebook, said: &Said, text: &str) -> Vec<String> {
    if said.own.contains(text) {
        return Vec::new();
    }
    let found = book.say(text);
    let own = |part: &&str| said.own.contains(*part) || said.own.contains(&part.to_lowercase());
    let parts = found.kept().iter().map(|(at, kept)| (&found.text()[at.clone()], *kept));
    parts
        .filter(|(part, kept)| *kept == Kept::English || !own(part))
        .map(|(part, _)| part.to_owned())
        .collect()
}

/// All that is asked of a book, with what `everything` gathered.
pub(crate) fn holds(reach: Reach) {
    let said = everything(reach);
    let book = Phrasebook::read(SPANISH).unwrap();
    let mut wanting = Vec::new();
    let mut by_topic: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut used = BTreeSet::new();
    for (text, topic) in &said.texts {
        let left = left(&book, &said, text);
        let (whole, all) = by_topic.entry(topic).or_default();
        *all += 1;
        *whole += usize::from(left.is_empty());
        if !left.is_empty() {
            wanting.push(format!("{topic}: {text}\n    stays: {left:?}"));
        }
        used.extend(book.used_for(text));
    }
    for (topic, (whole, all)) in &by_topic {
        println!("{topic:>12}: {whole} of {all} texts");
        assert!(*all > 1);
    }
    let (whole, all) = by_topic.values().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    println!("{:>12}: {whole} of {all} texts whole in {}", "all", book.language());
    let unused = book.entries().enumerate().filter(|(at, entry)| !used.contains(at) && !entry.rare);
    let unused: Vec<String> =
        unused.map(|(_, entry)| format!("line {}: {}", entry.line, entry.english)).collect();
    println!("{:>12}: {} phrases, {} of them met", "book", book.entries().count(), used.len());
    assert!(all > 3000, "hardly anything was asked");
    assert!(wanting.is_empty(), "{} texts stay English:\n{}", wanting.len(), wanting.join("\n"));
    assert!(
        reach == Reach::Quick || unused.len() * 20 < book.entries().count(),
        "{} phrases are never met, more than one in twenty; mend them, or move them into a table called rare:\n{}",
        unused.len(),
        unused.join("\n")
    );
}
