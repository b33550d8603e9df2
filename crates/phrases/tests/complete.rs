//! Whether the shipped book says what the core says: asked of the answer layer, and of the sources.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise, and tells how far the book goes"
)]

mod support;

use std::fs;
use std::path::Path;

use stemwise_phrases::{Phrasebook, SPANISH};
use support::{Reach, judge};

#[test]
fn spanish_says_what_is_asked_in_a_moment() {
    judge::holds(Reach::Quick);
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
