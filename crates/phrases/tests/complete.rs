//! Whether the shipped books say everything that the core says: asked of the answer layer over all examples, and of the sources.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise, and tells how far the book goes"
)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use stemwise_phrases::{Kept, Phrasebook, SPANISH};
use support::Said;

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
fn holds(all_jobs: bool) {
    let said = support::everything(all_jobs);
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
        assert!(*all > 0);
    }
    let (whole, all) = by_topic.values().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    println!("{:>12}: {whole} of {all} texts whole in {}", "all", book.language());
    let unused = book.entries().enumerate().filter(|(at, entry)| !used.contains(at) && !entry.rare);
    let unused: Vec<String> =
        unused.map(|(_, entry)| format!("line {}: {}", entry.line, entry.english)).collect();
    println!("{:>12}: {} phrases, {} of them met", "book", book.entries().count(), used.len());
    assert!(all > 5000, "hardly anything was asked");
    assert!(wanting.is_empty(), "{} texts stay English:\n{}", wanting.len(), wanting.join("\n"));
    assert!(
        unused.is_empty(),
        "{} phrases are never met; mend them, or move them into a table called rare:\n{}",
        unused.len(),
        unused.join("\n")
    );
}

#[test]
fn spanish_says_everything_that_is_asked() {
    holds(false);
}

#[test]
#[ignore = "slow"]
fn spanish_says_everything_over_all_jobs() {
    holds(true);
}

/// The core's sources and data, without what breaks a text over lines.
fn sources() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut all = String::new();
    let mut folders = vec![root.join("crates"), root.join("data"), root.join("examples")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if !["phrases", "app", "tests", "static", "bundle"].contains(&name.as_str()) {
                    folders.push(path);
                }
            } else if name.ends_with(".rs") || name.ends_with(".toml") {
                all.push_str(&fs::read_to_string(path).unwrap());
            }
        }
    }
    let mut out = String::new();
    for (at, part) in all.split("\\\n").enumerate() {
        out.push_str(if at == 0 { part } else { part.trim_start() });
    }
    out.replace("\\\"", "\"").replace("\\u{b1}", "±").to_lowercase()
}

/// Whether the words stand there: as they are, as an id, or put together from runs that are two words long on average.
fn stands_in(sources: &str, text: &str) -> bool {
    if sources.contains(text) || sources.contains(&text.replace(' ', "-")) {
        return true;
    }
    let words: Vec<&str> = text.split(' ').collect();
    let (mut at, mut runs) = (0, 0);
    while at < words.len() {
        let longest = (at + 1..=words.len()).rev().find(|end| {
            sources.contains(words[at..*end].join(" ").trim_matches(|c: char| " ,.;:()\"".contains(c)))
        });
        let Some(end) = longest else { return false };
        (at, runs) = (end, runs + 1);
    }
    words.len() >= 2 * runs
}

/// A phrase whose words stand nowhere in the core is one that no sentence can match.
#[test]
fn the_words_of_every_rare_phrase_stand_in_the_core() {
    let (sources, book) = (sources(), Phrasebook::read(SPANISH).unwrap());
    let mut checked = 0;
    let mut lost = Vec::new();
    for entry in book.entries().filter(|entry| entry.rare && !entry.name) {
        for (at, piece) in entry.english.split(['{', '}']).enumerate().filter(|(at, _)| at % 2 == 0) {
            let words = piece.trim_matches(|c: char| " ,.;:()\"".contains(c)).to_lowercase();
            let there = words.len() < 4 || stands_in(&sources, &words);
            checked += 1;
            if !there {
                lost.push(format!("line {}: \"{words}\" (piece {at})", entry.line));
            }
        }
    }
    assert!(checked > 20, "nothing to check");
    assert!(lost.is_empty(), "{}", lost.join("\n"));
}
