//! Every refrigerant of the catalogue is drawn and tabled.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use roxmltree::Document;
use stemwise_report::{Options, PageOptions, pressure_enthalpy, saturation_page};
use stemwise_thermo::{Substance, blends, fluids};
use stemwise_units::{Pressure, UnitSystem};
use support::{lines, overlap, texts};

#[test]
#[ignore = "slow"]
fn every_refrigerant_is_drawn_and_tabled() {
    let names = fluids().into_iter().chain(blends().iter().map(|blend| blend.name()));
    let mut problems = Vec::new();
    let mut drawn = 0;
    for name in names {
        let substance = Substance::named(name).unwrap();
        match pressure_enthalpy(&substance, &Options::default()) {
            Ok(svg) => problems.extend(faults(&svg).into_iter().map(|fault| format!("{name}: {fault}"))),
            Err(error) => problems.push(format!("{name}: {error}")),
        }
        let page = PageOptions::usual(UnitSystem::Ip, Pressure::from_pa(101_325.0));
        if let Err(error) = saturation_page(&substance, &page) {
            problems.push(format!("{name}, page: {error}"));
        }
        drawn += 1;
    }
    assert!(drawn > 70, "{drawn}");
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

fn faults(svg: &str) -> Vec<String> {
    let document = match Document::parse(svg) {
        Ok(document) => document,
        Err(error) => return vec![error.to_string()],
    };
    let mut faults = Vec::new();
    for (class, least) in
        [("isotherm", 20), ("isentrope", 4), ("quality", 9), ("bubble-line", 1), ("dew-line", 1)]
    {
        let found = lines(&document, class).len();
        if found < least {
            faults.push(format!("{found} paths of {class}"));
        }
    }
    if svg.len() > 300_000 {
        faults.push(format!("{} bytes", svg.len()));
    }
    let texts = texts(&document);
    for (at, (text, _)) in texts.iter().enumerate() {
        let over = texts[at + 1..].iter().filter(|(other, _)| overlap(text, other));
        faults.extend(over.map(|(other, _)| format!("{} lies on {}", text.letters, other.letters)));
    }
    faults
}
