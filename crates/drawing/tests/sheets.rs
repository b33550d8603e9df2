//! Files and symbols: every kind has one, each position shows, every file is sound XML with names for a screen reader.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::collections::BTreeSet;

use stemwise_circuit::{End, Lineup, Mode, PART_KINDS, Position, VALVE_KINDS, examples};
use stemwise_drawing::{Painted, Pose, Setting, Sheet, Symbol, glyph, picture, svg};
use support::{circuit, drawn, rigged};

#[test]
fn every_kind_of_the_circuit_file_has_a_symbol() {
    for kind in PART_KINDS.iter().chain(VALVE_KINDS) {
        let symbol = Symbol::of_kind(kind).unwrap_or_else(|| panic!("{kind} has no symbol"));
        assert!(Symbol::all().iter().any(|known| known.name() == symbol.name()), "{kind}");
    }
    assert_eq!(Symbol::of_kind("chimney"), None);
}

#[test]
fn no_two_symbols_look_alike() {
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for symbol in Symbol::all() {
        let strokes = glyph(*symbol, Pose::Right, &Setting::default());
        let same = matches!(symbol, Symbol::CylinderValve);
        assert!(seen.insert(format!("{strokes:?}")) || same, "{}", symbol.name());
    }
}

/// Every coordinate of a symbol lies in its box, but for the thickness of lines.
#[test]
fn symbols_keep_to_their_boxes() {
    for symbol in Symbol::all() {
        // Cylinders stand in rows only.
        let rows_only = matches!(symbol, Symbol::Cylinder | Symbol::NitrogenCylinder);
        let poses = [Pose::Right, Pose::Left, Pose::Down, Pose::Up];
        for &pose in poses.iter().take(if rows_only { 2 } else { 4 }) {
            for on in [false, true] {
                let setting = Setting { on, position: Some(Position::Shut), ..Setting::default() };
                for stroke in glyph(*symbol, pose, &setting)
                    .iter()
                    .filter(|stroke| !stroke.d.contains('A') && !stroke.d.contains('C'))
                {
                    let numbers: Vec<f64> = stroke
                        .d
                        .split(|c: char| c.is_ascii_alphabetic() || c == ' ')
                        .filter_map(|number| number.parse().ok())
                        .collect();
                    for point in numbers.chunks(2) {
                        let at = stemwise_drawing::Point::new(point[0], point[1]);
                        assert!(symbol.bounds().grown(2.0).holds(at), "{} {pose:?}: {at:?}", symbol.name());
                    }
                }
            }
        }
    }
}

#[test]
fn each_position_shows() {
    let looks = |symbol: Symbol, settings: &[Setting]| {
        let looks: BTreeSet<String> =
            settings.iter().map(|setting| format!("{:?}", glyph(symbol, Pose::Right, setting))).collect();
        assert_eq!(looks.len(), settings.len(), "{}", symbol.name());
    };
    let at = |position| Setting { position: Some(position), ..Setting::default() };
    let four = [Position::BackSeated, Position::Cracked, Position::MidSeated, Position::FrontSeated].map(at);
    for stays_with in [End::Line, End::Body] {
        looks(Symbol::ServiceValve { body_ahead: true, stays_with, port: true }, &four);
    }
    let two = [Position::Open, Position::Shut].map(at);
    for symbol in [
        Symbol::BallValve,
        Symbol::HandValve,
        Symbol::PiercingValve,
        Symbol::LineSetValve { line_set_ahead: true, port: true },
        Symbol::NitrogenRegulator,
    ] {
        looks(symbol, &two);
    }
    let on = |on| Setting { on, open: Some(on), ..Setting::default() };
    for symbol in [Symbol::SolenoidValve, Symbol::Compressor, Symbol::RecoveryMachine, Symbol::VacuumPump] {
        looks(symbol, &[on(false), on(true)]);
    }
    let mode = |mode| Setting { mode: Some(mode), ..Setting::default() };
    looks(Symbol::ReversingValve, &[mode(Mode::Cooling), mode(Mode::Heating)]);
    looks(
        Symbol::AccessPort,
        &[
            Setting::default(),
            Setting { hose_on: true, ..Setting::default() },
            Setting { core_out: true, ..Setting::default() },
        ],
    );
    looks(Symbol::Gauge, &[0.1, 0.5].map(|part| Setting { needle: Some(part), ..Setting::default() }));
}

#[test]
fn files_are_sound_and_named_throughout() {
    for example in examples() {
        let circuit = circuit(example.text);
        let lineup = Lineup::normal(&circuit.graph);
        for scene in
            [drawn(&circuit, Sheet::Wide), drawn(&circuit, Sheet::Tall), rigged(&circuit, Sheet::Wide)]
        {
            let painted = Painted { lineup: Some((&circuit.graph, &lineup)), title: Some("<A & B>") };
            let file = svg(&scene, &painted);
            assert_eq!(file, svg(&scene, &painted));
            let document = roxmltree::Document::parse(&file).unwrap();
            let root = document.root_element();
            assert_eq!(root.attribute("aria-label"), Some("<A & B>"));
            let ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
            assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{}", example.name);
            let elements = document.descendants().filter(|node| node.attribute("class") == Some("element"));
            let named = elements
                .filter(|node| node.attribute("aria-label").is_some_and(|name| !name.is_empty()))
                .count();
            assert_eq!(named, scene.elements.len());
            assert!(!file.contains("NaN") && !file.contains("inf"));
        }
    }
}

#[test]
fn pictures_to_choose_from_are_files_of_their_own() {
    for symbol in Symbol::all() {
        let file = picture(*symbol, &Setting::default(), 96);
        let document = roxmltree::Document::parse(&file).unwrap();
        assert_eq!(document.root_element().attribute("width"), Some("96"));
        assert_eq!(document.root_element().attribute("aria-label"), Some(symbol.name()));
    }
}
