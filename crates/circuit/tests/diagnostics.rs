//! Faults in a file: all of them at once, each with its place and what to do.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_circuit::{Problem, Severity, read};

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

/// Exchanges one line for others and looks for a problem of that id, at that line, with those words.
#[track_caller]
fn check(old: &str, new: &str, id: &str, words: &[&str]) {
    assert!(SOUND.contains(old), "{old}");
    let text = SOUND.replacen(old, new, 1);
    let problems = found(&text);
    let problem =
        problems.iter().find(|problem| problem.id == id).unwrap_or_else(|| panic!("no {id} in {problems:?}"));
    let whole = format!("{} {}", problem.say, problem.hint);
    assert!(words.iter().all(|word| whole.contains(word)), "{whole}");
    let line = text.lines().nth(problem.line - 1).unwrap_or("");
    assert!(problem.excerpt.is_empty() || line.contains(problem.excerpt.trim()), "{problem:?}");
    assert!(problem.column <= line.chars().count() + 1);
}

#[test]
fn a_sound_file_has_none() {
    assert_eq!(found(SOUND), []);
    assert!(read(SOUND.as_bytes()).circuit.is_some());
}

#[test]
fn each_fault_has_its_place_and_its_hint() {
    check("schema = 1", "schema = 7", "unknown-schema", &["schema 7", "schema 1"]);
    check("name = \"Small\"\n", "", "missing-key", &["\"name\""]);
    check("name = \"Small\"", "nmae = \"Small\"", "unknown-key", &["nmae", "did you mean \"name\""]);
    check("\"R-134a\"", "\"R-134b\"", "unknown-refrigerant", &["R-134b", "R-134a"]);
    check("\"1 kg\"", "\"1 bar\"", "bad-quantity", &["bar", "a mass is wanted"]);
    check("\"1 kg\"", "1", "wrong-type", &["unit", "4.5 kg"]);
    check("\"1 kg\"", "\"90 kg\"", "charge-too-large", &["90.00 kg", "hold"]);
    check("\"20 C\"", "\"20 C\"\nrange = [\"30 C\", \"10 C\"]", "bad-range", &["lower first"]);
    check("kind = \"condenser\"", "kind = \"condensor\"", "unknown-word", &["condensor", "condenser"]);
    check("kind = \"condenser\"", "kind = \"condenser\"\nplace = \"rom\"", "unknown-place", &["room"]);
    check("kind = \"condenser\"\nvolume = \"1 L\"", "kind = \"condenser\"", "missing-volume", &["capacity"]);
    check(
        "kind = \"condenser\"",
        "kind = \"condenser\"\nlow-cut-out = \"1 bar\"",
        "key-not-for-this-kind",
        &["compressor"],
    );
    check(
        "kind = \"condenser\"\nvolume = \"1 L\"",
        "kind = \"condenser\"\nvolume = \"0 L\"",
        "not-positive",
        &["above 0"],
    );
    check("on = \"receiver\"", "on = \"reciever\"", "unknown-name", &["reciever", "receiver"]);
    check("on = \"receiver\"", "on = \"condenser\"", "body-side-unknown", &["king", "on ="]);
    check("kind = \"thermostatic-valve\"", "kind = \"relief-valve\"", "missing-key", &["setting"]);
    check("on = \"liquid-line\"", "on = \"liquid-lime\"", "port-on-nothing", &["liquid-line"]);
    check(
        "on = \"liquid-line\"",
        "on = \"liquid-line\"\nfitted = \"piercing\"",
        "piercing-valve",
        &["brazed"],
    );
    check("on = \"receiver\"", "on = \"receiver\"\nreachable = false", "stem-out-of-reach", &["king"]);
    check("\"king\", ", "\"kng\", ", "unknown-name", &["kng", "king"]);
    check("\"king\", ", "", "dangling-valve", &["king", "no walk"]);
    check(", \"evaporator\", \"compressor\"]", "]", "dangling-valve", &["txv", "nothing follows"]);
    check(", \"evaporator\", \"compressor\"]", ", \"compressor\"]", "not-joined", &["evaporator"]);
    check(
        "\"condenser\", \"receiver\"",
        "\"condenser\", \"condenser\", \"receiver\"",
        "joined-to-itself",
        &["itself"],
    );
    check(
        "[[walk]]",
        "[[walk]]\nalong = [\"condenser\", \"liquid-line\"]\n[[walk]]",
        "connection-in-use",
        &["condenser"],
    );
    check("[[walk]]", "[[walk]]\nalong = [\"king\"]\n[[walk]]", "walk-too-short", &["at least two"]);
    check("\"king\", ", "\"king.left\", ", "unknown-end", &["reversing"]);
    check("[port.access]", "[port.king]", "duplicate-name", &["king"]);
    check("[port.access]", "[port.\"a.b\"]", "bad-name", &["hyphens"]);
    check("name = \"Small\"", "name = \"Small\"\naltitude = \"20000 m\"", "bad-altitude", &["20000"]);
    check("name = \"Small\"", "name = \"Small\"\nbarometer = \"1 bar\"", "bad-barometer", &["absolute"]);
    check("name = \"Small\"", "name = \"Small", "syntax", &["TOML"]);
    check(
        "[place.room]",
        "[design]\nhigh = \"2 bar\"\n[place.room]",
        "design-below-saturation",
        &["saturation"],
    );
    check(
        "[[walk]]",
        "[part.lone]\nkind = \"vessel\"\nvolume = \"1 L\"\n[line.far]\nkind = \"suction\"\nvolume = \"1 L\"\n[[walk]]\nalong = [\"lone\", \"far\"]\n[[walk]]",
        "two-circuits",
        &["hang together"],
    );
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
