//! Diagrams and pages that the command writes.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fs;
use std::path::PathBuf;

use stemwise_wire::{DiagramAnswer, DrawAnswer, FailureAnswer, PageAnswer};
use support::{check, run, shape};

/// A path of its own for each test, nothing there yet.
fn fresh(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_file(&path);
    path
}

#[test]
fn a_diagram_is_printed_or_written_once() {
    let ran = run(&["diagram", "R-290", "--narrow", "--heading", "A <b> & c"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.starts_with("<svg") && ran.out.contains("A &lt;b&gt; &amp; c") && ran.out.contains("A3"));
    let path = fresh("diagram.svg");
    let path = path.to_str().unwrap();
    let ask = ["diagram", "R-134a", "--evaporating", "-10 C", "--condensing", "40 C", "--write", path];
    check(
        &ask,
        0,
        &["Diagram of R-134a written to", "COP, cooling", "discharge temperature", "by Helmholtz"],
    );
    let drawn = fs::read_to_string(path).unwrap();
    assert!(drawn.contains("id=\"cycle\""));
    check(&ask, 2, &["could not write", path]);
    assert_eq!(fs::read_to_string(path).unwrap(), drawn);
}

#[test]
fn a_cycle_is_answered_in_json() {
    // Çengel and Boles, Thermodynamics, example 11-1: COP 3.97.
    let ask = ["diagram", "R-134a", "--evaporating", "140 kPa abs", "--condensing", "800 kPa abs", "--json"];
    let answer: DiagramAnswer = shape(&run(&ask));
    assert!((answer.cycle.unwrap().cooling_cop - 3.97).abs() < 0.01);
    let gas = [
        "diagram",
        "R-744",
        "--evaporating",
        "-10 C",
        "--condensing",
        "95 bara",
        "--outlet",
        "35 C",
        "--json",
    ];
    let answer: DiagramAnswer = shape(&run(&gas));
    assert!(answer.cycle.unwrap().points[2].p > 7.4e6);
}

#[test]
fn what_can_not_be_drawn_is_said() {
    let cycle = |low: &'static str, high: &'static str| {
        ["diagram", "R-744", "--evaporating", low, "--condensing", high]
    };
    check(&cycle("-10 C", "40 C"), 1, &["no saturation at 313.15 K"]);
    check(&cycle("-10 C", "95 bara"), 2, &["nothing condenses", "temperature at the outlet"]);
    check(&cycle("-10 C", "-20 C"), 2, &["the second must be the higher"]);
    check(&cycle("10", "20 C"), 2, &["10 has no unit"]);
    check(&["diagram", "R-744", "--evaporating", "-10 C"], 2, &["--condensing"]);
    check(&["diagram", "R-999"], 1, &["no refrigerant is called"]);
    let failure: FailureAnswer =
        shape(&run(&["diagram", "R-744", "--pressure-from", "9 bar", "--pressure-to", "2 bar", "--json"]));
    assert_eq!(failure.error.kind, "axis-range");
}

#[test]
fn a_page_is_written_once() {
    let path = fresh("page.html");
    let path = path.to_str().unwrap();
    let ask = ["saturation", "R-407C", "--page", path, "--paper", "letter", "--altitude", "1500 m"];
    check(&ask, 0, &["Saturation tables of R-407C written to", "by multi-fluid"]);
    let page = fs::read_to_string(path).unwrap();
    assert!(page.contains("size: letter") && page.contains("for superheat") && page.contains("0.846 bar(a)"));
    check(&ask, 2, &["could not write"]);
    let other = fresh("page-json.html");
    let ask = ["saturation", "R-290", "--page", other.to_str().unwrap(), "--json"];
    let answer: PageAnswer = shape(&run(&ask));
    assert_eq!(answer.html, fs::read_to_string(other).unwrap());
    check(&["saturation", "R-290", "--page", "x.html", "--paper", "a5"], 2, &["\"a5\" is no paper"]);
    let step = ["--from", "0 C", "--to", "40 C", "--step", "0.01 K"];
    let ask = [&["saturation", "R-290", "--page", "x.html"][..], &step].concat();
    check(&ask, 2, &["has no rows, or more than 400"]);
}

#[test]
fn a_piping_diagram_is_printed_or_written_once() {
    let ran = run(&["draw", "example:walk-in-cooler", "--set", "king=front-seated", "--hose", "king-port"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for part in [
        "<svg",
        "id=\"king\"",
        "receiver outlet (king) valve, service valve: front-seated",
        "gauge of the gauge hose 1",
    ] {
        assert!(ran.out.contains(part), "{part}");
    }
    let path = fresh("piping.svg");
    let path = path.to_str().unwrap();
    let ask = ["draw", "example:rack", "--around", "receiver", "--narrow", "--write", path];
    check(&ask, 0, &["Piping diagram of Three-compressor rack written to", "receiver outlet (king) valve"]);
    check(&ask, 2, &["could not write", path]);
    let answer: DrawAnswer = shape(&run(&["draw", "example:sealed-freezer", "--json"]));
    assert_eq!(answer.along.first().map(String::as_str), Some("compressor"));
    check(
        &["draw", "example:rack", "--around", "chimney"],
        2,
        &["no part, line or valve is called \"chimney\"", "stemwise list"],
    );
    check(&["draw", "example:rack", "--set", "king=sideways"], 2, &["king can't be"]);
}

#[test]
fn procedures_and_tables_come_as_pdf_too() {
    let plan = fresh("plan.pdf");
    let ask = [
        "plan",
        "example:walk-in-cooler",
        "--job",
        "pump down",
        "--page",
        plan.to_str().unwrap(),
        "--paper",
        "letter",
    ];
    let ran = run(&ask);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let file = lopdf::Document::load(&plan).unwrap();
    let sheets: Vec<u32> = file.get_pages().keys().copied().collect();
    let text = file.extract_text(&sheets).unwrap();
    for words in ["Pump down", "HOLD POINT", "Initials", "Afterwards", "Carried out by"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let table = fresh("table.pdf");
    let ask = ["saturation", "R-407C", "--page", table.to_str().unwrap()];
    check(&ask, 0, &["Saturation tables of R-407C written to"]);
    let file = lopdf::Document::load(&table).unwrap();
    assert!((2..=6).contains(&file.get_pages().len()));
    assert!(file.extract_text(&[1]).unwrap().contains("R-407C saturation"));
    check(&ask, 2, &["could not write"]);
}
