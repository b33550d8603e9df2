//! Properties in batch: one line in, one line out.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;

use insta::assert_snapshot;
use serde_json::Value;
use stemwise_wire::PropertyAnswer;
use support::{command, run_with};

fn answers(input: &[u8]) -> Vec<Value> {
    let ran = run_with(&["properties", "--batch"], input);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let line = |line: &str| {
        let value: Value = serde_json::from_str(line).unwrap();
        let shape: PropertyAnswer = serde_json::from_str(line).unwrap();
        assert_eq!(serde_json::to_value(&shape).unwrap(), value, "a field is not in the shape");
        value
    };
    ran.out.lines().map(line).collect()
}

fn kind(input: &str) -> String {
    let found = answers(input.as_bytes());
    assert_eq!(found.len(), 1, "{input}");
    found[0]["error"]["kind"].as_str().unwrap_or("a state").to_owned()
}

#[test]
fn a_state_has_every_field() {
    let ran =
        run_with(&["properties", "--batch"], br#"{"id":1,"fluid":"r 134A","given":{"T":300,"rho":20}}"#);
    assert_snapshot!(ran.out, @r#"{"id":1,"T":300.0,"p":443095.50130598387,"rho":20.0,"h":419406.90065398486,"s":1769.0136094305608,"u":397252.1255886857,"cp":933.4901701798523,"cv":798.0365674991256,"w":152.5311652240088,"phase":"vapour","model":"Helmholtz energy equation, TillnerRoth-JPCRD-1994 (R-134a); data 1"}"#);
}

#[test]
fn answers_come_in_order_and_a_bad_line_stops_nothing() {
    let input = b"{\"id\":\"a\",\"fluid\":\"R-32\",\"given\":{\"T\":280,\"q\":1}}\r\n\xff\xfe\n\n{\"id\":[1, 2.50],\"fluid\":\"R-32\",\"given\":{\"T\":280,\"q\":0}}";
    let found = answers(input);
    let kinds: Vec<&str> = found.iter().filter_map(|answer| answer["error"]["kind"].as_str()).collect();
    assert_eq!(kinds, ["not-text", "empty-line"]);
    assert_eq!(found[0]["id"], "a");
    assert_eq!((found[1]["id"].is_null(), found[3]["q"].as_f64()), (true, Some(0.0)));
    let ran = run_with(&["properties", "--batch"], input);
    assert!(ran.out.lines().last().unwrap().starts_with(r#"{"id":[1, 2.50],"T":280.0,"#), "{}", ran.out);
}

/// A blend by its name and by its composition, in and beside the dome; every number that a blend has and a pure fluid has not.
#[test]
fn a_blend_has_both_compositions() {
    let found = answers(
        br#"{"id":1,"fluid":"R-454B","given":{"T":278.15,"q":0}}
{"id":2,"mixture":{"R-32":0.689,"R-1234yf":0.311},"basis":"mass","given":{"T":278.15,"q":0}}
{"id":3,"fluid":"r454b","given":{"p":1e6,"q":0.4}}
{"id":4,"fluid":"R454B","given":{"T":300,"p":1e5}}
{"id":5,"fluid":"R-401A","given":{"T":300,"p":1e5}}"#,
    );
    let number = |at: usize, key: &str| found[at][key].as_f64().unwrap_or(f64::NAN);
    for key in ["p", "rho", "h", "rho_incipient"] {
        // A catalogued blend starts from its own curves, a typed one from a coarser table: the last bits of the iteration differ.
        assert!((number(0, key) / number(1, key) - 1.0).abs() < 1e-11, "{key}");
    }
    let list = |at: usize, key: &str| -> Vec<f64> {
        found[at][key].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
    };
    assert_eq!(found[2]["components"], serde_json::json!(["R-32", "R-1234yf"]));
    let (x, y, z) = (list(2, "x"), list(2, "y"), list(0, "x"));
    // What is in both phases together is the blend.
    assert!((0.6 * x[0] + 0.4 * y[0] - z[0]).abs() < 1e-9 && y[0] > x[0], "{x:?} {y:?} {z:?}");
    assert!(found[3].get("x").is_none() && found[3].get("estimated").is_none());
    assert_eq!(found[4]["estimated"], serde_json::json!(["R-22 with R-124", "R-152a with R-124"]));
}

#[test]
fn errors_have_kinds() {
    let given = |given: &str| kind(&format!(r#"{{"fluid":"R-134a","given":{given}}}"#));
    for (pair, expected) in [
        ("{}", "not-two-values"),
        (r#"{"T":300}"#, "not-two-values"),
        (r#"{"T":300,"p":1e5,"rho":5}"#, "not-two-values"),
        (r#"{"h":4e5,"u":3e5}"#, "unsupported-pair"),
        (r#"{"T":300,"x":1}"#, "not-a-request"),
        (r#"{"T":"NaN","p":1e5}"#, "not-a-request"),
        (r#"{"T":NaN,"p":1e5}"#, "not-json"),
        (r#"{"T":1e999,"p":1e5}"#, "not-json"),
        (r#"{"T":300,"rho":-1}"#, "density-out-of-range"),
        (r#"{"T":9000,"rho":1}"#, "temperature-out-of-range"),
        (r#"{"T":300,"p":0}"#, "pressure-out-of-range"),
        (r#"{"T":300,"q":1.5}"#, "quality-out-of-range"),
        (r#"{"T":400,"q":1}"#, "no-saturation"),
    ] {
        assert_eq!(given(pair), expected, "{pair}");
    }
    for (line, expected) in [
        (r#"{"fluid":"R-999","given":{"T":300,"rho":5}}"#, "unknown-fluid"),
        (r#"{"given":{"T":300,"rho":5}}"#, "no-fluid"),
        (r#"{"fluid":"R-32","mixture":{"R-32":1},"given":{"T":300,"rho":5}}"#, "fluid-and-mixture"),
        (r#"{"mixture":{"R-32":1.0},"basis":"mass","given":{"T":300,"rho":5}}"#, "a state"),
        (r#"{"mixture":{"r32":1,"R-125":0},"basis":"mole","given":{"T":300,"rho":5}}"#, "a state"),
        (r#"{"mixture":{"R-32":0.5,"R-125":0.5},"basis":"mass","given":{"T":300,"rho":5}}"#, "a state"),
        (r#"{"mixture":{"R-410A":0.5,"R-125":0.5},"basis":"mass","given":{"T":300,"rho":5}}"#, "composition"),
        (r#"{"mixture":{"R-32":0.5,"r32":0.5},"basis":"mass","given":{"T":300,"rho":5}}"#, "composition"),
        (r#"{"mixture":{"R-32":0.5,"R-125":0.5},"given":{"T":300,"rho":5}}"#, "basis"),
        (r#"{"mixture":{"R-32":0.5,"R-125":0.4},"basis":"mass","given":{"T":300,"rho":5}}"#, "fractions"),
        (r#"{"mixture":{"R-32":-1,"R-125":2},"basis":"mass","given":{"T":300,"rho":5}}"#, "fractions"),
        (r#"{"mixture":{},"basis":"mass","given":{"T":300,"rho":5}}"#, "fractions"),
        (r#"{"mixture":{"R-32":1},"basis":"volume","given":{"T":300,"rho":5}}"#, "basis"),
        (r#"{"fluid":"R-32"}"#, "not-a-request"),
        (r#"{"fluid":5,"given":{"T":300,"rho":5}}"#, "not-a-request"),
        ("[1,2]", "not-a-request"),
        ("{", "not-json"),
        ("heat", "not-json"),
    ] {
        assert_eq!(kind(line), expected, "{line}");
    }
}

#[test]
fn the_id_comes_back_from_a_bad_request() {
    let found = answers(br#"{"id":{"n":7},"fluid":"R-134a","given":{"T":"warm","p":1}}"#);
    assert_eq!(found[0]["id"]["n"], 7);
    let ran = run_with(&["properties", "--batch"], br#"{"id":12345678901234567890123,"given":{"T":1e999}}"#);
    assert!(ran.out.starts_with(r#"{"id":12345678901234567890123,"error""#), "{}", ran.out);
}

#[test]
fn a_line_that_is_too_long_is_one_error() {
    for length in [1 << 20, (1 << 20) + 1, 3 << 20] {
        let mut input = vec![b' '; length];
        input.extend_from_slice(b"\n{\"id\":2,\"fluid\":\"R-32\",\"given\":{\"T\":280,\"q\":1}}\n");
        let found = answers(&input);
        let expected = if length > 1 << 20 { "line-too-long" } else { "empty-line" };
        assert_eq!((found.len(), &found[0]["error"]["kind"]), (2, &Value::from(expected)), "{length}");
        assert_eq!(found[1]["id"], 2);
    }
}

#[test]
fn nothing_in_is_nothing_out() {
    assert!(answers(b"").is_empty());
    assert_eq!(answers(b"\n").len(), 1);
}

#[test]
fn a_program_can_hold_a_conversation() {
    let mut child =
        command(&["properties", "--batch"]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let (mut to, mut from) = (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
    for n in 0..3 {
        writeln!(to, r#"{{"id":{n},"fluid":"R-744","given":{{"T":280,"q":1}}}}"#).unwrap();
        let mut line = String::new();
        from.read_line(&mut line).unwrap();
        assert!(line.starts_with(&format!("{{\"id\":{n},")), "{line}");
    }
    drop(to);
    assert!(child.wait().unwrap().success());
}

#[test]
fn numbers_come_back_the_same() {
    let found = answers(br#"{"fluid":"R-134a","given":{"T":300.00000000000006,"rho":0.1}}"#);
    assert_eq!(found[0]["T"].as_f64().map(f64::to_bits), Some(300.000_000_000_000_06_f64.to_bits()));
    let again = format!(r#"{{"fluid":"R-134a","given":{{"T":300.00000000000006,"p":{}}}}}"#, found[0]["p"]);
    let rho = answers(again.as_bytes())[0]["rho"].as_f64().unwrap();
    assert!((rho - 0.1).abs() < 1e-12, "{rho}");
}
