//! Documents: whatever text goes in comes out as well-formed XML, and the style is one that a browser reads.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stemwise_report::{Block, Document, Entry, Paper, Section, document};

fn made(text: &str) -> Document {
    let entry = Entry {
        mark: "1".into(),
        stands: text.into(),
        say: text.into(),
        under: vec![text.into()],
        warnings: vec![text.into()],
        boxes: vec![text.into()],
    };
    let blocks = vec![
        Block::Text(text.into()),
        Block::Warning(text.into()),
        Block::Facts(vec![(text.into(), text.into())]),
        Block::Table { head: vec![text.into()], rows: vec![vec![text.into()]] },
        Block::List(vec![text.into()]),
        Block::Entries(vec![entry]),
        Block::Sign(vec![text.into()]),
    ];
    let sections = vec![Section { title: text.into(), blocks }];
    Document {
        title: text.into(),
        boxed: vec![text.into()],
        lead: vec![text.into()],
        sections,
        notes: vec![text.into()],
        ..Document::default()
    }
}

fn parsed(page: &str) -> roxmltree::Document<'_> {
    roxmltree::Document::parse(page.strip_prefix("<!DOCTYPE html>\n").unwrap()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_well_formed(text in any::<String>()) {
        let page = document(&made(&text)).unwrap();
        let found = parsed(&page);
        prop_assert_eq!(found.descendants().filter(|node| node.has_tag_name("article")).count(), 1);
    }
}

#[test]
fn every_block_is_printed() {
    let page = document(&made("valve <7>")).unwrap();
    let found = parsed(&page);
    let texts =
        found.descendants().filter(|node| node.is_text() && node.text().unwrap().contains("valve <7>"));
    assert_eq!(texts.count(), 19);
}

/// In a style element nothing is unescaped: what has to be escaped may not be in it.
#[test]
fn the_style_needs_no_escape() {
    for (paper, size) in [(Paper::A4, "size: A4"), (Paper::Letter, "size: letter")] {
        let page = document(&Document { paper, ..made("x") }).unwrap();
        let style = page.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
        assert!(style.contains(size) && !style.contains('&'), "{style}");
    }
}
