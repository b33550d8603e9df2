//! Charts over time and sheets of evidence, read back as XML.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use roxmltree::Document;
use stemwise_report::{Chart, EvidenceSheet, Mark, Paper, Series, SeriesKind, chart, evidence_sheet};

fn rise(logarithmic: bool, points: Vec<(f64, f64)>) -> Chart {
    let model = points.iter().map(|(t, p)| (*t, p * 1.01)).collect();
    Chart {
        title: "Rise <with> the valve & shut".into(),
        across: "minutes".into(),
        up: "micron".into(),
        logarithmic,
        series: vec![
            Series { name: "measured".into(), kind: SeriesKind::Measured, points },
            Series { name: "fit".into(), kind: SeriesKind::Model, points: model },
        ],
        levels: vec![(500.0, "target".into()), (1e9, "far off".into())],
    }
}

fn sheet(chart: Option<Chart>) -> EvidenceSheet {
    let rule = |mark| (mark, ["wants & more", "met", "why", "source <1>"].map(str::to_owned));
    EvidenceSheet {
        title: "Decay test".into(),
        heading: Some("Cold room <2>".into()),
        verdict: "Tight & dry.".into(),
        mark: Mark::Good,
        given: vec![("volume".into(), "12 L".into())],
        values: vec![["leak", "1e-5 ± 1e-6 mbar L/s", ""].map(str::to_owned)],
        rules: vec![rule(Mark::Good), rule(Mark::Bad), rule(Mark::Open)],
        advice: vec!["Do this.".into()],
        notes: vec!["By that.".into()],
        chart,
        paper: Paper::Letter,
    }
}

#[test]
fn every_point_is_on_the_chart_and_inside_it() {
    let points: Vec<(f64, f64)> = (0..50).map(|k| (f64::from(k), 300.0 + 12.0 * f64::from(k))).collect();
    for logarithmic in [false, true] {
        let svg = chart(&rise(logarithmic, points.clone()));
        let document = Document::parse(&svg).unwrap();
        let dots: Vec<_> = document.descendants().filter(|node| node.has_tag_name("circle")).collect();
        // One more for the legend.
        assert_eq!(dots.len(), 51);
        for dot in dots {
            let at = |name: &str| dot.attribute(name).unwrap().parse::<f64>().unwrap();
            assert!((0.0..=760.0).contains(&at("cx")) && (0.0..=400.0).contains(&at("cy")));
        }
        let said: String = document.descendants().filter_map(|node| node.text()).collect();
        assert!(
            said.contains("minutes")
                && said.contains("micron")
                && said.contains("target")
                && !said.contains("far off")
        );
        assert!(document.root_element().attribute("aria-label").unwrap().contains("<with>"));
    }
}

#[test]
fn what_can_not_be_drawn_is_said() {
    for points in [vec![], vec![(0.0, f64::NAN)], vec![(f64::INFINITY, 1.0)]] {
        assert!(chart(&rise(true, points)).contains("nothing to draw"));
    }
    // One point, a level line, and no spread at all.
    let svg = chart(&rise(false, vec![(5.0, 500.0)]));
    assert!(Document::parse(&svg).is_ok() && !svg.contains("NaN"));
    // Far more points than can be seen are thinned.
    let many: Vec<(f64, f64)> = (0..100_000).map(|k| (f64::from(k), 1.0 + f64::from(k % 7))).collect();
    assert!(chart(&rise(false, many)).len() < 200_000);
}

#[test]
fn a_sheet_is_whole_and_escaped() {
    let html = evidence_sheet(&sheet(Some(rise(false, vec![(0.0, 300.0), (9.0, 480.0)])))).unwrap();
    let document = Document::parse(html.strip_prefix("<!DOCTYPE html>\n").unwrap()).unwrap();
    let said: String = document.descendants().filter_map(|node| node.text()).collect();
    for part in [
        "Decay test",
        "Cold room <2>",
        "Tight & dry.",
        "12 L",
        "source <1>",
        "Do this.",
        "By that.",
        "Signature",
        "size: letter",
    ] {
        assert!(said.contains(part), "{part}");
    }
    assert_eq!(document.descendants().filter(|node| node.has_tag_name("svg")).count(), 1);
    // Marks are more than colour.
    for sign in ["\u{2713}", "\u{2717}", "?"] {
        assert!(said.contains(sign));
    }
    assert!(!html.contains("http://") || html.matches("http").count() == 1, "nothing is fetched");
    assert!(evidence_sheet(&sheet(None)).unwrap().contains("Decay test"));
}
