//! The coverage table is complete, and its figures are those that come out.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../examples/agreement/table.rs"]
mod table;

use stemwise_thermo::{PairSource, blends, coverage, fluids};

#[test]
fn the_agreement_on_file_is_what_comes_out() {
    let file = include_str!("../../../data/agreement.toml");
    assert!(
        file == table::table(),
        "run: cargo run --release -p stemwise-thermo --example agreement > data/agreement.toml"
    );
}

#[test]
fn every_substance_says_what_it_rests_on() {
    let all = coverage();
    assert_eq!(all.len(), fluids().len() + blends().len());
    let (mut compared, mut estimated) = (0, Vec::new());
    for entry in &all {
        let n = entry.equations.len();
        assert!(n >= 1 && entry.pairs.len() == n * (n - 1) / 2, "{}", entry.name);
        assert!(entry.equations.iter().all(|(_, paper)| paper.len() > 20), "{}", entry.name);
        assert_eq!(entry.composition.is_some(), n > 1, "{}", entry.name);
        let (low, high) = entry.temperatures;
        assert!(low < entry.papers_cover.0 && entry.papers_cover.0 < high, "{}", entry.name);
        assert!(entry.highest_pressure > entry.papers_cover.1, "{}", entry.name);
        for (one, two, source) in &entry.pairs {
            match source {
                PairSource::Published(paper) => assert!(paper.len() > 20, "{one} {two}"),
                PairSource::Estimated(how) => assert!(how.contains("published pairs"), "{one} {two}: {how}"),
            }
        }
        if let Some(library) = &entry.library {
            compared += 1;
            // Where the same parameters are used.
            assert!(entry.is_estimate() || library.within <= 1e-6, "{}: {library:?}", entry.name);
        }
        if entry.is_estimate() {
            estimated.push(entry.name);
        }
        if let Some(point) = &entry.printed {
            let slack = match (n, entry.is_estimate()) {
                (1, _) => 0.35,
                (_, false) => 0.7,
                // Older data sheets print up to 1.2 K less than the standard for some of these.
                (_, true) => 1.75,
            };
            let dew = point.dew.map_or(0.0, |dew| (point.computed.1 - dew).abs());
            assert!(
                (point.computed.0 - point.bubble).abs() < slack && dew < slack,
                "{}: {point:?}",
                entry.name
            );
        }
    }
    assert!(compared >= 60, "{compared}");
    assert_eq!(estimated, ["R-401A", "R-402A", "R-402B", "R-408A", "R-409A", "R-413A", "R-437A", "R-438A"]);
}
