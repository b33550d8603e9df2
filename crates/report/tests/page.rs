//! The saturation page read back and held against the properties.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use roxmltree::{Document, Node};
use stemwise_report::{PageOptions, Paper, saturation_page};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, Temperature, TemperatureDifference, UnitSystem};

const SEA_LEVEL: Pressure = Pressure::from_pa(101_325.0);

fn page(name: &str, options: &PageOptions) -> String {
    saturation_page(&Substance::named(name).unwrap(), options).unwrap()
}

fn document(page: &str) -> Document<'_> {
    Document::parse(page.strip_prefix("<!DOCTYPE html>\n").unwrap()).unwrap()
}

fn numbers(row: Node<'_, '_>) -> Vec<f64> {
    let cells = row.children().filter(Node::is_element);
    cells.map(|cell| cell.text().unwrap().replace('\u{2212}', "-").parse().unwrap()).collect()
}

/// The rows of numbers of the section with a title.
fn rows(document: &Document<'_>, title: &str) -> Vec<Vec<f64>> {
    let section = document.descendants().find(|node| {
        node.has_tag_name("section") && node.children().any(|child| child.text() == Some(title))
    });
    let bodies = section.unwrap().descendants().filter(|node| node.has_tag_name("tbody"));
    bodies
        .flat_map(|body| body.children().filter(Node::is_element).map(numbers).collect::<Vec<_>>())
        .collect()
}

/// ASHRAE Handbook Fundamentals, chapter on thermophysical properties of refrigerants, table of R-134a: pressure in MPa, liquid
/// density, enthalpies of liquid and vapour; from memory of it.
#[test]
fn the_full_table_is_the_handbooks() {
    let html = page("R-134a", &PageOptions::usual(UnitSystem::Si, SEA_LEVEL));
    let document = document(&html);
    let rows = rows(&document, "Saturation by temperature");
    for (celsius, mpa, rho, liquid, vapour) in [
        (-40.0, 0.05121, 1417.7, 148.14, 374.00),
        (0.0, 0.29280, 1294.8, 200.00, 398.60),
        (40.0, 1.0166, 1146.7, 256.41, 419.43),
    ] {
        let row = rows.iter().find(|row| (row[0] - celsius).abs() < 1e-9).unwrap();
        let close = |found: f64, book: f64, by: f64| {
            assert!((found - book).abs() <= by, "{celsius} °C: {found}, {book}")
        };
        close(row[1], 10.0 * mpa, 0.001);
        close(row[2], 10.0 * mpa - 1.01325, 0.006);
        close(row[3], rho, 1.0);
        close(row[5], liquid, 0.06);
        close(row[7], vapour, 0.06);
        close(row[6], vapour - liquid, 0.11);
    }
}

#[test]
fn both_directions_agree_and_the_right_column_is_marked() {
    let denver = Pressure::from_kpa(83.4);
    let html = page("R-407C", &PageOptions::usual(UnitSystem::Ip, denver));
    let document = document(&html);
    let substance = Substance::named("R-407C").unwrap();
    let by_pressure = rows(&document, "Gauge pressure to temperature");
    assert!(by_pressure.len() > 60, "{}", by_pressure.len());
    for row in &by_pressure {
        let pressure = Pressure::from_pa(Pressure::from_psi(row[0]).as_pa() + denver.as_pa());
        let both = substance.saturation_at_pressure(pressure).unwrap();
        assert!((both.bubble.temperature().as_fahrenheit() - row[1]).abs() < 0.051, "{row:?}");
        assert!((both.dew.temperature().as_fahrenheit() - row[2]).abs() < 0.051, "{row:?}");
    }
    let by_temperature = rows(&document, "Temperature to gauge pressure");
    assert!(by_temperature.len() > 80, "{}", by_temperature.len());
    for row in &by_temperature {
        let both = substance.saturation_at(Temperature::from_fahrenheit(row[0])).unwrap();
        assert!((both.bubble.pressure().gauge(denver).as_psi() - row[1]).abs() < 0.051, "{row:?}");
        assert!((both.dew.pressure().gauge(denver).as_psi() - row[2]).abs() < 0.051, "{row:?}");
    }
    let heads: Vec<&str> =
        document.descendants().filter(|node| node.has_tag_name("th")).filter_map(|th| th.text()).collect();
    let column = |words: &str| heads.iter().position(|head| *head == words).unwrap();
    assert_eq!(column("for superheat"), column("for subcooling") + 1);
    assert_eq!(column("dew"), column("bubble") + 1);
}

#[test]
fn a_page_needs_nothing_else_and_says_what_it_rests_on() {
    let heading = Some("Bakery </style> & \"sons\"".to_owned());
    let options = PageOptions {
        heading: heading.clone(),
        paper: Paper::Letter,
        ..PageOptions::usual(UnitSystem::Si, SEA_LEVEL)
    };
    let html = page("R-22/R-124 50/50", &options);
    for what in ["href", "<script", "@import", "url(", "src="] {
        assert!(!html.contains(what), "{what}");
    }
    let document = document(&html);
    let text: Vec<&str> = document.descendants().filter_map(|node| node.text()).collect();
    for words in ["ESTIMATED", "the maker's data", "IIR", "1.013 bar(a)", "Model: ", "size: letter"] {
        assert!(text.iter().any(|text| text.contains(words)), "{words}");
    }
    assert!(text.iter().any(|text| Some(*text) == heading.as_deref()));
    // HTML reads a style sheet as it stands: nothing in it may have needed escaping.
    let style = html.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    assert!(style.contains("@media print") && !style.contains('&'), "{style}");
}

#[test]
fn bad_pages_are_refused() {
    let r744 = Substance::named("R-744").unwrap();
    let usual = PageOptions::usual(UnitSystem::Si, SEA_LEVEL);
    let kind = |options: PageOptions| saturation_page(&r744, &options).unwrap_err().kind();
    let celsius = |low, high| Some((Temperature::from_celsius(low), Temperature::from_celsius(high)));
    assert_eq!(kind(PageOptions { temperatures: celsius(0.0, 40.0), ..usual.clone() }), "no-saturation");
    assert_eq!(kind(PageOptions { temperatures: celsius(10.0, 0.0), ..usual.clone() }), "rows");
    assert_eq!(kind(PageOptions { temperatures: celsius(f64::NAN, 0.0), ..usual.clone() }), "rows");
    let step = Some(TemperatureDifference::from_k(0.0));
    assert_eq!(kind(PageOptions { temperatures: celsius(-10.0, 10.0), step, ..usual.clone() }), "rows");
    assert_eq!(kind(PageOptions { step, ..usual.clone() }), "rows");
    assert_eq!(kind(PageOptions { atmosphere: Pressure::from_bar(3.0), ..usual.clone() }), "atmosphere");
    assert_eq!(kind(PageOptions { heading: Some("x".repeat(61)), ..usual }), "heading");
}
