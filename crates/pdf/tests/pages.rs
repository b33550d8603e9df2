//! Files as an independent reader of PDF (the crate lopdf) finds them.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stemwise_pdf::{Error, Sheet, pdf};
use stemwise_report::{
    Block, Chart, Document, Entry, EvidenceSheet, Mark, Paper, Section, Series, SeriesKind, document,
    evidence_sheet,
};

/// How many sheets, how large, and the words on all of them with single spaces.
fn read(file: &[u8]) -> (usize, Vec<f32>, String) {
    let read = lopdf::Document::load_mem(file).unwrap();
    let pages = read.get_pages();
    let first = read.get_dictionary(pages[&1]).unwrap();
    let size = first.get(b"MediaBox").and_then(lopdf::Object::as_array).unwrap();
    let size = size.iter().map(|number| number.as_float().unwrap()).collect();
    let numbers: Vec<u32> = pages.keys().copied().collect();
    let text = read.extract_text(&numbers).unwrap();
    (pages.len(), size, text.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn entry(number: usize, text: &str) -> Entry {
    Entry {
        mark: number.to_string(),
        stands: "open".into(),
        say: text.into(),
        under: vec![text.into()],
        warnings: vec![text.into()],
        boxes: vec!["Initials".into()],
    }
}

fn made(text: &str, many: usize) -> String {
    let blocks = vec![
        Block::Text(text.into()),
        Block::Warning(text.into()),
        Block::Facts(vec![(text.into(), text.into())]),
        Block::Table {
            head: vec!["Valve".into(), "Stands".into()],
            rows: vec![vec![text.into(), text.into()]; many],
        },
        Block::List(vec![text.into()]),
        Block::Entries((1..=many).map(|number| entry(number, text)).collect()),
        Block::Sign(vec![text.into()]),
    ];
    let page = Document {
        title: "Carried out".into(),
        heading: Some("Cold room".into()),
        boxed: vec!["closed".into()],
        lead: vec![text.into()],
        sections: vec![Section { title: "Section".into(), blocks }],
        notes: vec![text.into()],
        paper: Paper::A4,
    };
    document(&page).unwrap()
}

fn evidence(rows: usize) -> String {
    let points = (0..50).map(|k| (f64::from(k), 300.0 + f64::from(k))).collect();
    let series = vec![Series { name: "gauge".into(), kind: SeriesKind::Measured, points }];
    let chart = Chart {
        title: "rise".into(),
        across: "minutes".into(),
        up: "micron".into(),
        logarithmic: false,
        series,
        levels: vec![(320.0, "limit".into())],
    };
    let rule = ["at most 500 micron".into(), "met".into(), "it rose to 349".into(), "a standard".into()];
    let sheet = EvidenceSheet {
        title: "Decay test".into(),
        heading: None,
        verdict: "Tight and dry.".into(),
        mark: Mark::Good,
        given: vec![("volume".into(), "10 L".into())],
        values: vec![["rise".into(), "49 micron ± 5".into(), "should be small".into()]; rows],
        rules: vec![(Mark::Good, rule)],
        advice: vec!["Write it down.".into()],
        notes: vec!["By the gas law.".into()],
        chart: Some(chart),
        paper: Paper::Letter,
    };
    evidence_sheet(&sheet).unwrap()
}

#[test]
fn every_word_comes_back() {
    let words = "Öffnen \u{2264} 4 °C, niño Łódź Ω Жар \u{2713}";
    let (sheets, size, text) = read(&pdf(&made(words, 1), Sheet::A4).unwrap());
    // ISO 216: 210 mm by 297 mm.
    assert!((size[2] - 210.0 / 25.4 * 72.0).abs() < 0.01 && (size[3] - 297.0 / 25.4 * 72.0).abs() < 0.01);
    assert_eq!(sheets, 1);
    // Thirteen places hold it: one line above, one below, eight of blocks, three of the entry.
    assert_eq!(text.matches("niño").count(), 13, "{text}");
    for word in words.split(' ').chain(["Initials", "Carried", "closed", "Valve"]) {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn a_long_page_goes_over_sheets_and_numbers_them() {
    let (sheets, _, text) = read(&pdf(&made("turn the stem", 40), Sheet::A4).unwrap());
    assert!(sheets > 3, "{sheets}");
    assert!(text.contains(&format!("{sheets} / {sheets}")), "{text}");
    // The head of the table is said anew on each sheet that goes on with it.
    assert!(text.matches("Stands").count() >= 1 && text.matches("turn the stem").count() >= 40 * 5);
}

#[test]
fn evidence_stays_on_one_sheet_while_it_can() {
    let (sheets, size, text) = read(&pdf(&evidence(3), Sheet::Letter).unwrap());
    assert_eq!((sheets, size[2], size[3]), (1, 612.0, 792.0));
    for words in ["Tight and dry.", "micron", "limit", "minutes", "Signature", "Published criteria"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert_eq!(read(&pdf(&evidence(25), Sheet::Letter).unwrap()).0, 1);
    let (sheets, _, text) = read(&pdf(&evidence(120), Sheet::Letter).unwrap());
    assert!(sheets > 1 && text.matches("should be small").count() == 120, "nothing is cut off");
}

#[test]
fn what_is_no_page_is_said() {
    assert!(matches!(pdf("<html><body><video/></body></html>", Sheet::A4), Err(Error::Unknown(_))));
    assert!(matches!(pdf("<html><body>", Sheet::A4), Err(Error::NotAPage(_))));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]

    #[test]
    fn any_text_can_be_set(text in any::<String>()) {
        let file = pdf(&made(&text, 2), Sheet::Letter).unwrap();
        prop_assert!(lopdf::Document::load_mem(&file).unwrap().get_pages().len() < 20);
    }
}
