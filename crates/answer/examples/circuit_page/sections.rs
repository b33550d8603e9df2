//! The made part of the page about the circuit file: keys, quantities, kinds, rules of estimation and problems, from the reader.

use std::collections::BTreeSet;
use std::fmt::Write;

use stemwise_circuit::{Basis, Known, PROBLEMS, Severity, read};
use stemwise_units::{
    Length, Mass, ParseError, Power, Temperature, TemperatureDifference, Time, TypedPressure, Volume,
    parse_fraction, tubes,
};

use super::kinds;

/// A circuit that leaves out all that can be left out.
const BARE: &str = include_str!("bare.toml");

type Accepts = fn(&str) -> Result<(), ParseError>;

/// How each quantity is written: what the keys call it, an example, its reader.
pub(crate) const QUANTITIES: &[(&str, &str, Accepts)] = &[
    ("a duration", "5 min", |text| Time::parse(text).map(drop)),
    ("a length", "12 m", |text| Length::parse(text).map(drop)),
    ("a mass", "4.6 kg", |text| Mass::parse(text).map(drop)),
    ("a power", "3.5 kW", |text| Power::parse(text).map(drop)),
    ("a pressure", "20 bar", |text| TypedPressure::parse(text).map(drop)),
    ("a temperature", "28 C", |text| Temperature::parse(text).map(drop)),
    ("a temperature difference", "8 K", |text| TemperatureDifference::parse(text).map(drop)),
    ("a volume", "2.4 L", |text| Volume::parse(text).map(drop)),
    ("an absolute pressure", "1013 mbar abs", |text| TypedPressure::parse(text).map(drop)),
    ("a fraction", "80 %", |text| parse_fraction(text).map(drop)),
];

/// What stands before the made part of the page.
pub(crate) const MARK: &str =
    "<!-- From here on made by cargo run -p stemwise-answer --example circuit_page -->\n";

/// The page with its made part renewed.
pub(crate) fn renewed(page: &str) -> String {
    let head = page.split(MARK).next().unwrap_or(page);
    format!("{head}{MARK}\n{}", made())
}

fn made() -> String {
    let mut page = stemwise_answer::circuit_keys_page();
    write_quantities(&mut page);
    page += "## The kinds\n\n";
    for (title, list) in [("Parts", kinds::PARTS), ("Lines", kinds::LINES), ("Valves", kinds::VALVES)] {
        write_kinds(&mut page, title, list);
    }
    write_estimates(&mut page);
    write_problems(&mut page);
    page
}

fn line(page: &mut String, text: core::fmt::Arguments<'_>) {
    // Writing to a string can't fail.
    let _ = page.write_fmt(text);
    page.push('\n');
}

fn write_quantities(page: &mut String) {
    line(page, format_args!("## The quantities\n\n| quantity | example | units |\n| --- | --- | --- |"));
    for (what, example, accepts) in QUANTITIES {
        let units = match accepts("1") {
            _ if *what == "an absolute pressure" => "those of a pressure that are absolute",
            Err(ParseError::MissingUnit { accepted, .. }) => accepted,
            _ => "%, or a plain number from 0 to 1",
        };
        line(page, format_args!("| {what} | `\"{example}\"` | {units} |"));
    }
    let sizes: Vec<&str> = tubes().iter().map(|tube| tube.size()).collect();
    line(page, format_args!("\nTube sizes are those printed on the tube: {}.\n", sizes.join(", ")));
}

fn write_kinds(page: &mut String, title: &str, list: &[(&str, &str)]) {
    line(page, format_args!("### {title}\n\n| kind | meaning |\n| --- | --- |"));
    for (kind, doc) in list {
        line(page, format_args!("| `{kind}` | {doc} |"));
    }
    page.push('\n');
}

fn rule<T>(known: &Known<T>) -> Option<&'static str> {
    match known.basis {
        Basis::Entered => None,
        Basis::Computed { rule } | Basis::Estimated { rule } => Some(rule),
    }
}

/// Every rule by which something is estimated in a circuit that leaves all out.
pub(crate) fn estimates() -> BTreeSet<&'static str> {
    let Some(circuit) = read(BARE.as_bytes()).circuit else { return BTreeSet::new() };
    let mut rules: BTreeSet<&'static str> = circuit
        .graph
        .spaces
        .iter()
        .flat_map(|space| {
            [
                rule(&space.volume),
                rule(&space.height),
                space.design.as_ref().and_then(rule),
                space.approach.as_ref().and_then(rule),
                space.fill_limit.as_ref().and_then(rule),
            ]
        })
        .flatten()
        .collect();
    let stems = circuit.graph.joints.iter().filter_map(|joint| joint.stem.as_ref());
    rules.extend(stems.filter_map(|stem| rule(&stem.turns)));
    rules.extend(circuit.places.iter().filter_map(|place| rule(&place.temperature)));
    rules.extend(rule(&circuit.charge));
    rules
}

fn write_estimates(page: &mut String) {
    line(
        page,
        format_args!(
            "## What is left out\n\nThese rules stand in for it. They are rough, and their ranges wide:\n"
        ),
    );
    for rule in estimates() {
        line(page, format_args!("- {rule}"));
    }
    page.push('\n');
}

fn write_problems(page: &mut String) {
    line(
        page,
        format_args!(
            "## The problems\n\nEvery problem has an id, which stays the same when its wording changes. With an error the file can't be used; with \
             warnings alone it can.\n\n| id | | found when |\n| --- | --- | --- |"
        ),
    );
    for problem in PROBLEMS {
        let severity = if problem.severity == Severity::Error { "error" } else { "warning" };
        line(page, format_args!("| `{}` | {severity} | {} |", problem.id, problem.doc));
    }
}
