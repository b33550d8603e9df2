//! Faults in a file: all of them at once, each with its place and what to do.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;

use stemwise_circuit::{LARGEST_FILE, PROBLEMS, Problem, Severity, read};

/// A file without a fault, into which each case puts one.
const SOUND: &str = r#"schema = 1
name = "Small"
refrigerant = "R-134a"
charge = "1 kg"
[place.room]
temperature = "20 C"
[part.compressor]
kind = "compressor"
volume = "1 L"
[part.condenser]
kind = "condenser"
volume = "1 L"
[part.receiver]
kind = "receiver"
volume = "3 L"
[part.evaporator]
kind = "evaporator"
volume = "1 L"
[line.liquid-line]
kind = "liquid"
size = "3/8 in"
length = "5 m"
[valve.king]
kind = "service-valve"
on = "receiver"
[valve.txv]
kind = "thermostatic-valve"
[port.access]
on = "liquid-line"
[[walk]]
along = ["compressor", "condenser", "receiver", "king", "liquid-line", "txv", "evaporator", "compressor"]
"#;

fn found(text: &str) -> Vec<Problem> {
    read(text.as_bytes()).problems
}

/// A fault: its id, what it replaces in the sound file, by what, where it is found (line, column and the text that is marked there), and
/// words that its sentence and hint have.
type Case = (&'static str, &'static str, &'static str, &'static str, &'static [&'static str]);

/// At least one for each kind of problem that a text can have.
const CASES: &[Case] = &[
    ("unknown-schema", "schema = 1", "schema = 7", "1:10 7", &["schema 7", "schema 1"]),
    ("missing-key", "name = \"Small\"\n", "", "1:1 s", &["\"name\""]),
    ("unknown-key", "name = \"Small\"", "nmae = \"Small\"", "2:1 nmae", &["nmae", "did you mean \"name\""]),
    ("unknown-refrigerant", "\"R-134a\"", "\"R-134b\"", "3:15 \"R-134b\"", &["R-134b", "R-134a"]),
    ("bad-quantity", "\"1 kg\"", "\"1 bar\"", "4:10 \"1 bar\"", &["bar", "a mass is wanted"]),
    ("wrong-type", "\"1 kg\"", "1", "4:10 1", &["unit", "4.5 kg"]),
    ("charge-too-large", "\"1 kg\"", "\"90 kg\"", "4:10 \"90 kg\"", &["90.00 kg", "hold"]),
    (
        "bad-range",
        "\"20 C\"",
        "\"20 C\"\nrange = [\"30 C\", \"10 C\"]",
        "7:9 [\"30 C\", \"10 C\"]",
        &["lower first"],
    ),
    (
        "unknown-word",
        "kind = \"condenser\"",
        "kind = \"condensor\"",
        "11:8 \"condensor\"",
        &["condensor", "condenser"],
    ),
    (
        "unknown-place",
        "kind = \"condenser\"",
        "kind = \"condenser\"\nplace = \"rom\"",
        "12:9 \"rom\"",
        &["room"],
    ),
    (
        "missing-volume",
        "kind = \"condenser\"\nvolume = \"1 L\"",
        "kind = \"condenser\"",
        "10:7 condenser",
        &["capacity"],
    ),
    (
        "key-not-for-this-kind",
        "kind = \"condenser\"",
        "kind = \"condenser\"\nlow-cut-out = \"1 bar\"",
        "12:1 low-cut-out",
        &["compressor"],
    ),
    (
        "not-positive",
        "kind = \"condenser\"\nvolume = \"1 L\"",
        "kind = \"condenser\"\nvolume = \"0 L\"",
        "12:10 \"0 L\"",
        &["above 0"],
    ),
    (
        "unknown-name",
        "on = \"receiver\"",
        "on = \"reciever\"",
        "25:6 \"reciever\"",
        &["reciever", "receiver"],
    ),
    ("body-side-unknown", "on = \"receiver\"", "on = \"condenser\"", "23:8 king", &["king", "on ="]),
    ("missing-key", "kind = \"thermostatic-valve\"", "kind = \"relief-valve\"", "26:8 txv", &["setting"]),
    (
        "port-on-nothing",
        "on = \"liquid-line\"",
        "on = \"liquid-lime\"",
        "29:6 \"liquid-lime\"",
        &["liquid-line"],
    ),
    (
        "piercing-valve",
        "on = \"liquid-line\"",
        "on = \"liquid-line\"\nfitted = \"piercing\"",
        "28:7 access",
        &["brazed"],
    ),
    (
        "relief-above-design",
        "[[walk]]",
        "[valve.relief]\nkind = \"relief-valve\"\non = \"receiver\"\nsetting = \"30 bar\"\n[design]\nhigh = \"20 bar\"\n[[walk]]",
        "30:8 relief",
        &["31.0 bar", "21.0 bar"],
    ),
    (
        "cut-out-above-design",
        "[part.compressor]",
        "[design]\nhigh = \"20 bar\"\n[part.compressor]\nhigh-cut-out = \"25 bar\"",
        "9:7 compressor",
        &["26.0 bar", "21.0 bar"],
    ),
    (
        "cut-outs-crossed",
        "[part.compressor]",
        "[part.compressor]\nlow-cut-out = \"5 bar\"\nhigh-cut-out = \"3 bar\"",
        "7:7 compressor",
        &["not below"],
    ),
    (
        "flows-backwards",
        "\"compressor\", \"condenser\", \"receiver\", \"king\", \"liquid-line\", \"txv\", \"evaporator\", \"compressor\"",
        "\"compressor\", \"evaporator\", \"txv\", \"liquid-line\", \"king\", \"receiver\", \"condenser\", \"compressor\"",
        "7:7 compressor",
        &["straight to an evaporator", "the way the refrigerant flows"],
    ),
    ("no-compressor", "kind = \"compressor\"", "kind = \"vessel\"", "1:1 s", &["no compressor"]),
    (
        "stem-out-of-reach",
        "on = \"receiver\"",
        "on = \"receiver\"\nreachable = false",
        "23:8 king",
        &["king"],
    ),
    ("unknown-name", "\"king\", ", "\"kng\", ", "31:49 \"kng\"", &["kng", "king"]),
    ("dangling-valve", "\"king\", ", "", "23:8 king", &["king", "no walk"]),
    ("dangling-valve", ", \"evaporator\", \"compressor\"]", "]", "26:8 txv", &["txv", "nothing follows"]),
    (
        "not-joined",
        ", \"evaporator\", \"compressor\"]",
        ", \"compressor\"]",
        "16:7 evaporator",
        &["evaporator"],
    ),
    (
        "joined-to-itself",
        "\"condenser\", \"receiver\"",
        "\"condenser\", \"condenser\", \"receiver\"",
        "31:37 \"condenser\"",
        &["itself"],
    ),
    (
        "connection-in-use",
        "[[walk]]",
        "[[walk]]\nalong = [\"condenser\", \"liquid-line\"]\n[[walk]]",
        "33:37 \"receiver\"",
        &["condenser"],
    ),
    (
        "walk-too-short",
        "[[walk]]",
        "[[walk]]\nalong = [\"king\"]\n[[walk]]",
        "31:10 \"king\"",
        &["at least two"],
    ),
    ("unknown-end", "\"king\", ", "\"king.left\", ", "31:49 \"king.left\"", &["reversing"]),
    ("duplicate-name", "[port.access]", "[port.king]", "28:7 king", &["king"]),
    ("bad-name", "[port.access]", "[port.\"a.b\"]", "28:7 \"a.b\"", &["hyphens"]),
    (
        "bad-altitude",
        "name = \"Small\"",
        "name = \"Small\"\naltitude = \"20000 m\"",
        "3:12 \"20000 m\"",
        &["20000"],
    ),
    (
        "bad-barometer",
        "name = \"Small\"",
        "name = \"Small\"\nbarometer = \"1 bar\"",
        "3:13 \"1 bar\"",
        &["absolute"],
    ),
    ("syntax", "name = \"Small\"", "name = \"Small", "2:14 ", &["TOML"]),
    (
        "design-below-saturation",
        "[place.room]",
        "[design]\nhigh = \"2 bar\"\n[place.room]",
        "5:1 [design]",
        &["saturation"],
    ),
    (
        "two-circuits",
        "[[walk]]",
        "[part.lone]\nkind = \"vessel\"\nvolume = \"1 L\"\n[line.far]\nkind = \"suction\"\nvolume = \"1 L\"\n[[walk]]\nalong = [\"lone\", \"far\"]\n[[walk]]",
        "30:7 lone",
        &["hang together"],
    ),
    ("charge-large", "\"1 kg\"", "\"6.5 kg\"", "4:10 \"6.5 kg\"", &["80 %"]),
    (
        "too-deep",
        "schema = 1",
        "schema = 1\nx = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]",
        "2:37 [",
        &["nested"],
    ),
    (
        "dangling-valve",
        "[port.access]",
        "[valve.relief]\nkind = \"relief-valve\"\nsetting = \"15 bar\"\n[port.access]",
        "28:8 relief",
        &["what it protects"],
    ),
    (
        "unknown-end",
        "kind = \"thermostatic-valve\"",
        "kind = \"reversing-valve\"",
        "31:72 \"txv\"",
        &["which end", "outdoor"],
    ),
    ("bad-quantity", "size = \"3/8 in\"", "size = \"13 mm\"", "21:8 \"13 mm\"", &["no tube", "12 mm"]),
    ("missing-volume", "length = \"5 m\"\n", "", "19:7 liquid-line", &["liquid-line", "size and length"]),
    ("walk-too-short", "[[walk]]", "[[walk]]\nalong = []\n[[walk]]", "30:1 [[walk]]", &["at least two"]),
    ("not-positive", "on = \"receiver\"", "on = \"receiver\"\nturns = -3", "26:9 -3", &["turns"]),
    ("bad-range", "\"20 C\"", "\"20 C\"\nrange = [\"30 C\", \"40 C\"]", "6:15 \"20 C\"", &["outside"]),
    ("bad-quantity", "\"1 kg\"", "\"1,234 kg\"", "4:10 \"1,234 kg\"", &["1.234", "1234"]),
    ("bad-quantity", "\"1 kg\"", "\"-1 kg\"", "4:10 \"-1 kg\"", &["negative"]),
    ("not-positive", "\"1 kg\"", "\"0 kg\"", "4:10 \"0 kg\"", &["nameplate"]),
    ("bad-quantity", "\"20 C\"", "\"-300 C\"", "6:15 \"-300 C\"", &["absolute zero"]),
    ("wrong-type", "name = \"Small\"", "name = 5", "2:8 5", &["text in quotes"]),
];

/// The line, the column and the text that a problem marks.
fn place(problem: &Problem) -> String {
    let marked: String = problem.excerpt.chars().skip(problem.mark.0).take(problem.mark.1).collect();
    format!("{}:{} {marked}", problem.line, problem.column)
}

#[track_caller]
fn check((id, old, new, expected, words): &Case) {
    assert!(SOUND.contains(old), "{old}");
    let text = SOUND.replacen(old, new, 1);
    let problems = found(&text);
    let problem = problems
        .iter()
        .find(|problem| problem.id == *id && place(problem) == *expected)
        .unwrap_or_else(|| panic!("no {id} at {expected} for {new} in {problems:#?}"));
    // One fault is one problem, except where something else is truly missing or apart as well.
    let several = matches!(*id, "unknown-key" | "dangling-valve" | "not-joined");
    assert!(several || problems.len() == 1, "{problems:#?}");
    let whole = format!("{} {}", problem.say, problem.hint);
    assert!(words.iter().all(|word| whole.contains(word)), "{whole}");
    assert!(!problem.hint.is_empty());
    let line = text.lines().nth(problem.line - 1).unwrap_or("");
    assert!(line.contains(&problem.excerpt), "{problem:?}");
}

#[test]
fn a_sound_file_has_none() {
    assert_eq!(found(SOUND), []);
    assert!(read(SOUND.as_bytes()).circuit.is_some());
}

#[test]
fn each_fault_has_its_place_and_its_hint() {
    CASES.iter().for_each(check);
}

#[test]
fn a_file_that_is_no_circuit_is_refused_at_once() {
    let only = |bytes: &[u8]| match read(bytes).problems.as_slice() {
        [only] => format!("{} {}", only.id, place(only)),
        several => panic!("{several:?}"),
    };
    assert_eq!(only(b"schema = 1\nname = \"\xff\xfe\"\n"), "not-text 2:9 ");
    assert_eq!(only(&vec![b'#'; LARGEST_FILE + 1]), "file-too-large 1:1 ");
}

#[test]
fn more_problems_than_anyone_reads_are_counted() {
    let text = format!("{SOUND}{}", "[[walk]]\nalong = [\"king\"]\n".repeat(300));
    let problems = found(&text);
    let last = problems.last().unwrap();
    assert_eq!((last.id, problems.len()), ("many-problems", 201));
    assert!(last.say.contains("100 more"), "{last:?}");
}

/// The ids that the reader's source hands to the collector of problems.
fn ids_in_the_source() -> BTreeSet<&'static str> {
    let files = [
        include_str!("../src/file/mod.rs"),
        include_str!("../src/file/build.rs"),
        include_str!("../src/file/element.rs"),
        include_str!("../src/file/problem.rs"),
        include_str!("../src/file/sense.rs"),
        include_str!("../src/file/table.rs"),
        include_str!("../src/file/walk.rs"),
    ];
    let is_id =
        |text: &&str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
    let calls = ["error(", "warning(", "refuse(", "id: \""];
    files
        .iter()
        .flat_map(|file| calls.iter().flat_map(|call| file.split(call).skip(1).map(|after| (*call, after))))
        .filter_map(|(call, after)| {
            let after = after.split(';').next().unwrap_or("");
            let texts =
                if call == "id: \"" { after.split('"').next().into_iter().collect() } else { quoted(after) };
            texts.into_iter().find(is_id).filter(|id| call != "id: \"" || *id == "many-problems")
        })
        .collect()
}

fn quoted(text: &'static str) -> Vec<&'static str> {
    text.split('"').skip(1).step_by(2).collect()
}

#[test]
fn the_list_of_problems_is_the_readers() {
    let listed: BTreeSet<&str> = PROBLEMS.iter().map(|problem| problem.id).collect();
    assert_eq!(listed.len(), PROBLEMS.len(), "one is listed twice");
    assert_eq!(ids_in_the_source(), listed);
}

#[test]
fn every_kind_of_problem_has_a_case_and_its_severity() {
    let mut tried: BTreeSet<&str> = CASES.iter().map(|(id, ..)| *id).collect();
    tried.extend(["not-text", "file-too-large", "many-problems"]);
    let listed: BTreeSet<&str> = PROBLEMS.iter().map(|problem| problem.id).collect();
    assert_eq!(tried, listed);
    for (_, old, new, ..) in CASES {
        for problem in found(&SOUND.replacen(old, new, 1)) {
            let listed = PROBLEMS.iter().find(|listed| listed.id == problem.id);
            assert_eq!(listed.map(|listed| listed.severity), Some(problem.severity), "{problem:?}");
        }
    }
}

#[test]
fn all_faults_at_once_in_the_order_of_the_file() {
    let text = SOUND
        .replace("\"R-134a\"", "\"R-999\"")
        .replace("size = \"3/8 in\"", "size = \"13 mm\"")
        .replace("\"txv\", ", "\"tvx\", ");
    let problems = found(&text);
    let lines: Vec<usize> = problems.iter().map(|problem| problem.line).collect();
    assert!(lines.is_sorted() && problems.len() >= 4, "{problems:?}");
    assert!(problems.iter().all(|problem| problem.severity == Severity::Error));
    assert!(read(text.as_bytes()).circuit.is_none());
}

#[test]
fn what_is_left_out_is_estimated_and_says_so() {
    let text = SOUND
        .replace("charge = \"1 kg\"\n", "capacity = \"4 kW\"\n")
        .replace("kind = \"condenser\"\nvolume = \"1 L\"", "kind = \"condenser\"");
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let condenser = &circuit.graph.spaces[circuit.graph.find_space("condenser").unwrap().index()];
    assert!(
        condenser.volume.is_estimate()
            && condenser.volume.low < condenser.volume.value
            && condenser.volume.value < condenser.volume.high
    );
    assert!(circuit.charge.is_estimate() && circuit.charge.low < circuit.charge.high);
    let line = &circuit.graph.spaces[circuit.graph.find_space("liquid-line").unwrap().index()];
    // 5 m of 3/8 in ACR tube, 7.90 mm bore.
    assert!((line.volume.value.as_ml() - 245.0).abs() < 1.0 && !line.volume.is_estimate());
}
