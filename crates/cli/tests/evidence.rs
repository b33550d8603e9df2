//! Readings and tests on the command line.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use stemwise_wire::{EvidenceAnswer, FailureAnswer};
use support::{check, run, run_with, shape};

/// A path of its own for each test, nothing there yet.
fn fresh(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_file(&path);
    path
}

fn value(answer: &EvidenceAnswer, id: &str) -> f64 {
    answer.values.iter().find(|it| it.id == id).unwrap_or_else(|| unreachable!("no {id}")).value
}

const RUNNING: [&str; 12] = [
    "--read",
    "suction-pressure=118.4 psig",
    "--read",
    "suction-line=52 F",
    "--read",
    "discharge-pressure=340.8 psig",
    "--read",
    "liquid-line=95 F",
    "--with",
    "liquid-line=0.5 K, insulated",
    "--with",
    "suction-line=0.5 K, insulated",
];

#[test]
fn a_set_of_readings() {
    let ask = [&["readings", "R-410A", "--metering", "thermostatic", "--units", "ip"][..], &RUNNING].concat();
    check(
        &ask,
        0,
        &[
            "superheat at the compressor 12.0 ± ",
            "subcooling 9.8 ± ",
            "within 4.00 °F to 25.0 °F",
            "onto-condenser would also give",
        ],
    );
    let json = [&ask[..], &["--json"]].concat();
    let answer: EvidenceAnswer = shape(&run(&json));
    // facts.md, section 6: R-410A at the dew point, 40 °F 118.4 psig.
    assert!((value(&answer, "superheat") - 12.0 / 1.8).abs() < 0.05);
    assert!(answer.values.iter().all(|it| it.low <= it.value && it.value <= it.high));
    let high = [&ask[..], &["--altitude", "5000 ft", "--json"]].concat();
    let answer: EvidenceAnswer = shape(&run(&high));
    assert!(value(&answer, "superheat") > 12.0 / 1.8 + 0.5, "at 5000 ft the same gauge means less pressure");
}

#[test]
fn what_is_not_understood_is_said() {
    check(
        &["readings", "R-410A", "--read", "suction=1 bar"],
        2,
        &["nothing is called \"suction\"", "suction-pressure"],
    );
    check(&["readings", "R-410A", "--read", "suction-pressure 1 bar"], 2, &["write it as NAME=VALUE"]);
    check(&["readings", "R-410A"], 2, &["give at least one reading"]);
    check(&["readings", "--read", "suction-pressure=1 bar"], 2, &["give the refrigerant"]);
    check(&["readings", "R-410A", "--read", "suction-pressure=1 kg"], 2, &["is a unit of a mass"]);
    check(
        &["readings", "R-410A", "--read", "suction-line=9 C", "--with", "suction-line=good"],
        2,
        &["is not understood as an instrument"],
    );
    let json = run(&["vacuum", "R-32", "--json"]);
    let failure: FailureAnswer = shape(&json);
    assert_eq!((failure.error.kind.as_str(), json.code), ("needs-more", 2));
}

#[test]
fn refrigerant_is_never_called_for_where_a_restriction_looks_alike() {
    let starved = [
        "faults",
        "R-22",
        "--metering",
        "fixed",
        "--read",
        "suction-pressure=48 psig",
        "--read",
        "suction-line=70 F",
        "--read",
        "onto-evaporator=75 F",
        "--read",
        "discharge-pressure=200 psig",
        "--read",
        "onto-condenser=95 F",
        "--healthy",
        "superheat=12 F, 3 F",
    ];
    let answer: EvidenceAnswer = shape(&run(&[&starved[..], &["--json"]].concat()));
    assert_eq!(answer.may_add.as_deref(), Some("not-parted"));
    assert!(answer.next.unwrap().read.contains(&"liquid-line".to_owned()));
    let parted = [
        &starved[..],
        &[
            "--read",
            "liquid-line=99 F",
            "--with",
            "liquid-line=0.5 K, insulated",
            "--with",
            "discharge-pressure=1 psi",
            "--healthy",
            "subcooling=10 F, 2 F",
            "--json",
        ],
    ]
    .concat();
    let answer: EvidenceAnswer = shape(&run(&parted));
    assert_eq!(answer.suspects.first().unwrap().id, "undercharge");
    assert_eq!(answer.may_add.as_deref(), Some("yes"));
    let trim = [
        "charge",
        "R-22",
        "--by",
        "superheat",
        "--metering",
        "fixed",
        "--charge",
        "7 lb",
        "--read",
        "suction-pressure=55 psig",
        "--read",
        "suction-line=75 F",
        "--read",
        "onto-condenser=90 F",
        "--read",
        "wet-bulb-onto-evaporator=66 F",
    ];
    check(&trim, 1, &["Do not change the charge yet", "Read the liquid line"]);
}

#[test]
fn a_standing_test_from_both_ends_and_from_a_log() {
    let ends = [
        "standing-test",
        "R-410A",
        "--start",
        "500 psig",
        "--end",
        "479.4 psig",
        "--time",
        "24 h",
        "--part",
        "all=80 F, 60 F",
        "--volume",
        "12 L",
    ];
    check(&ends, 0, &["It held", "met", "UFGS", "smallest leak that would have shown"]);
    let fell = ends.map(|it| if it == "479.4 psig" { "430 psig" } else { it });
    check(&fell, 1, &["It leaks", "not met"]);
    let mut log = String::from("Zeit;P1 [bar];Dach (°C)\n");
    for minute in 0..300 {
        let celsius = 25.0 - 0.02 * f64::from(minute);
        let _ = writeln!(
            log,
            "{:02}:{:02}:00;{:.3};{celsius:.2}",
            20 + minute / 60 - if minute < 240 { 0 } else { 24 },
            minute % 60,
            30.0 * (273.15 + celsius) / 298.15 + 0.0
        );
    }
    let log = log.replace('.', ",");
    let ask = [
        "standing-test",
        "--log",
        "-",
        "--column",
        "time=Zeit",
        "--column",
        "pressure=P1",
        "--column",
        "roof=Dach",
        "--json",
    ];
    let answer: EvidenceAnswer = shape(&run_with(&ask, log.as_bytes()));
    assert!(answer.svg.as_ref().unwrap().contains("what the temperatures explain"));
    assert!((value(&answer, "expected") - 3.0e6).abs() < 1.5e5);
}

#[test]
fn an_evacuation_with_its_page_and_its_plot() {
    let mut log = String::from("Time (s),Vacuum (micron)\n");
    for k in 0..120 {
        let t = 10.0 * f64::from(k);
        let _ = writeln!(log, "{t},{:.0}", 300.0 + 0.4 * t);
    }
    let (page, plot) = (fresh("vacuum.html"), fresh("vacuum.svg"));
    let (page, plot) = (page.to_str().unwrap(), plot.to_str().unwrap());
    let ask = [
        "vacuum",
        "R-32",
        "--log",
        "-",
        "--column",
        "time=Time",
        "--column",
        "pressure=Vac",
        "--shut-at",
        "0 s",
        "--volume",
        "10 L",
        "--page",
        page,
        "--paper",
        "letter",
        "--heading",
        "Kitchen cold room",
        "--plot",
        plot,
    ];
    let ran = run_with(&ask, log.as_bytes());
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("It leaks") && ran.out.contains("a year") && ran.out.contains("not met"),
        "{}",
        ran.out
    );
    let page = fs::read_to_string(page).unwrap();
    assert!(
        page.contains("size: letter")
            && page.contains("Kitchen cold room")
            && page.contains("<svg")
            && page.contains("Signature")
    );
    assert!(fs::read_to_string(plot).unwrap().starts_with("<svg"));
    let bad = log.replace(",316", ",3l6");
    let ran =
        run_with(&["vacuum", "--log", "-", "--column", "pressure=Vac", "--volume", "10 L"], bad.as_bytes());
    assert!(
        ran.code == 2 && ran.err.contains("row 6, column 2") && ran.err.contains("is not a number"),
        "{}",
        ran.err
    );
    let ran =
        run_with(&["vacuum", "--log", "-", "--column", "pressure=P", "--volume", "10 L"], log.as_bytes());
    assert!(
        ran.err.contains("no column is called \"P\"") && ran.err.contains("--column NAME=HEADER"),
        "{}",
        ran.err
    );
}

#[test]
fn charging_air_and_recovery() {
    check(
        &[
            "charge",
            "R-410A",
            "--nameplate",
            "6 lb",
            "--included",
            "50 ft",
            "--line",
            "liquid=1/4 in, 25 ft",
            "--rate",
            "0.27 oz/ft",
        ],
        0,
        &["Weigh in", "as liquid"],
    );
    check(
        &["charge", "R-407C", "--charge", "5 kg", "--lost", "2.5 kg", "--volume", "10 L", "--at", "25 C"],
        1,
        &["out of its tolerance", "recover all of it"],
    );
    check(
        &[
            "air",
            "R-22",
            "--pressure",
            "142 psig",
            "--temperature",
            "70 F",
            "--gauge",
            "1 psi",
            "--probe",
            "0.5 K",
        ],
        1,
        &["There is air", "over the condenser's temperature"],
    );
    check(
        &["recovery", "R-134a", "--charge", "10 lb", "--pressure", "12 inHg vac", "--gauge", "0.5 psi"],
        0,
        &["is reached", "82.156"],
    );
    check(
        &["recovery", "--circuit", "example:walk-in-cooler", "--recovered", "0.1 kg", "--cylinder", "1 lb"],
        1,
        &["no room"],
    );
}

#[test]
fn nothing_panics_on_broken_logs() {
    let files: [&[u8]; 9] = [
        b"",
        b"\n\n",
        b"a,b",
        b"Time [s],Vac [micron]\n",
        b"Time [s],Vac [micron]\n0,\xff\xfe\n",
        b"Time [s],Vac [micron]\n\"0,1\n2,3",
        b";;;;\n1;2;3",
        b"Time [s],Vac [micron]\n0,1e400\n",
        b"\xef\xbb\xbfTime [s],Vac [micron]\n0,-500000\n1,3\n",
    ];
    for file in files {
        let ran =
            run_with(&["vacuum", "R-32", "--log", "-", "--column", "pressure=Vac", "--volume", "10 L"], file);
        assert!(ran.code == 2 && ran.err.starts_with("error"), "{file:?}: {} {}", ran.code, ran.err);
    }
}

/// One sheet for the customer, whatever was tested.
#[test]
fn each_test_is_one_sheet_of_pdf() {
    let tests: [&[&str]; 7] = [
        &[&["readings", "R-410A", "--metering", "thermostatic"][..], &RUNNING].concat(),
        &[&["faults", "R-410A", "--metering", "thermostatic"][..], &RUNNING].concat(),
        &[
            "standing-test",
            "R-410A",
            "--start",
            "500 psig",
            "--end",
            "479 psig",
            "--time",
            "24 h",
            "--part",
            "all=80 F, 60 F",
            "--volume",
            "12 L",
        ],
        &[
            "vacuum",
            "R-410A",
            "--volume",
            "12 L",
            "--rise",
            "0 min=280 micron",
            "--rise",
            "5 min=330 micron",
            "--rise",
            "10 min=370 micron",
        ],
        &[
            "charge",
            "R-410A",
            "--nameplate",
            "6 lb",
            "--included",
            "15 ft",
            "--line",
            "liquid=3/8 in, 40 ft",
            "--rate",
            "0.6 oz/ft",
        ],
        &["air", "R-22", "--pressure", "142 psig", "--temperature", "75 F"],
        &["recovery", "R-134a", "--charge", "10 lb", "--pressure", "12 inHg vac", "--gauge", "0.5 psi"],
    ];
    for (index, test) in tests.iter().enumerate() {
        for paper in ["a4", "letter"] {
            let path = fresh(&format!("evidence-{index}-{paper}.pdf"));
            let path = path.to_str().unwrap();
            let ran =
                run(&[test, &["--page", path, "--paper", paper, "--heading", "Bakery, shop 2"][..]].concat());
            assert!(ran.code < 2, "{test:?}: {}", ran.err);
            let file = lopdf::Document::load(path).unwrap();
            assert_eq!(file.get_pages().len(), 1, "{test:?} on {paper}");
            let text = file.extract_text(&[1]).unwrap();
            assert!(text.contains("Bakery, shop 2") && text.contains("Signature"), "{test:?}: {text}");
        }
    }
}
