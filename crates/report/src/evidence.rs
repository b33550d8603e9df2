//! The evidence sheet: one test on one page to print and to sign, as a whole HTML file.

use crate::chart::{self, Chart};
use crate::ink::FACES;
use crate::markup::Element;
use crate::options::check_heading;
use crate::page::Paper;
use crate::{Error, words};

/// How a test or a rule came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Good.
    Good,
    /// Bad.
    Bad,
    /// Neither, or not yet.
    Open,
}

/// A sheet of evidence; all text as it is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct EvidenceSheet {
    /// What was tested: "Standing test with nitrogen".
    pub title: String,
    /// A heading of one's own above it, at most 60 characters: the customer, the system.
    pub heading: Option<String>,
    /// How it came out, in a sentence.
    pub verdict: String,
    /// The same as a mark.
    pub mark: Mark,
    /// What was given: name and value.
    pub given: Vec<(String, String)>,
    /// What follows: name, value with its uncertainty, what it should be.
    pub values: Vec<[String; 3]>,
    /// Rules: what each wants, how the test stands to it, why, and where it stands written.
    pub rules: Vec<(Mark, [String; 4])>,
    /// What to do and what to know.
    pub advice: Vec<String>,
    /// Small print: where numbers come from.
    pub notes: Vec<String>,
    /// The series over time.
    pub chart: Option<Chart>,
    /// The paper.
    pub paper: Paper,
}

/// Writes the sheet: a whole HTML file that needs nothing else, with rules for print.
///
/// # Errors
/// [`Error::Heading`] for a heading that is too long.
///
/// ```
/// use stemwise_report::{EvidenceSheet, Mark, Paper, evidence_sheet};
/// let sheet = EvidenceSheet { title: "Decay test".into(), heading: None, verdict: "Tight and dry.".into(), mark: Mark::Good, given: vec![],
///     values: vec![], rules: vec![], advice: vec![], notes: vec![], chart: None, paper: Paper::A4 };
/// assert!(evidence_sheet(&sheet)?.contains("size: A4"));
/// assert!(evidence_sheet(&EvidenceSheet { heading: Some("x".repeat(61)), ..sheet }).is_err());
/// # Ok::<(), stemwise_report::Error>(())
/// ```
pub fn evidence_sheet(sheet: &EvidenceSheet) -> Result<String, Error> {
    check_heading(sheet.heading.as_deref())?;
    let mut body = Element::new("body").child(header(sheet));
    body = body.child(
        Element::new("p").with("class", format!("verdict {}", class(sheet.mark))).text(&*sheet.verdict),
    );
    if let Some(chart) = &sheet.chart {
        body = body.child(Element::new("div").with("class", "chart").child(chart::element(chart)));
    }
    let columns = Element::new("div").with("class", "columns");
    body = body.child(columns.all(tables(sheet)));
    body = body.all(lists(sheet)).child(signature());
    let language = Element::new("html").with("lang", "en").child(head(sheet)).child(body);
    Ok(format!("<!DOCTYPE html>\n{}", language.write()))
}

const fn class(mark: Mark) -> &'static str {
    match mark {
        Mark::Good => "good",
        Mark::Bad => "bad",
        Mark::Open => "open",
    }
}

const fn sign(mark: Mark) -> &'static str {
    match mark {
        Mark::Good => "\u{2713}",
        Mark::Bad => "\u{2717}",
        Mark::Open => "?",
    }
}

fn header(sheet: &EvidenceSheet) -> Element {
    let heading =
        sheet.heading.clone().map(|heading| Element::new("p").with("class", "heading").text(heading));
    Element::new("header").all(heading).child(Element::new("h1").text(&*sheet.title))
}

fn table(title: &str, rows: impl Iterator<Item = Element>) -> Option<Element> {
    let rows: Vec<Element> = rows.collect();
    if rows.is_empty() {
        return None;
    }
    let body = Element::new("table").child(Element::new("tbody").all(rows));
    Some(Element::new("section").child(Element::new("h2").text(title)).child(body))
}

fn cell(text: &str) -> Element {
    Element::new("td").text(text)
}

fn tables(sheet: &EvidenceSheet) -> Vec<Element> {
    let named = |name: &str| Element::new("tr").child(Element::new("th").with("scope", "row").text(name));
    let given = table("Given", sheet.given.iter().map(|(name, value)| named(name).child(cell(value))));
    let values = table(
        "What follows",
        sheet.values.iter().map(|[name, value, should]| named(name).child(cell(value)).child(cell(should))),
    );
    let rules = table(
        "Published criteria",
        sheet.rules.iter().map(|(mark, [wants, outcome, why, source])| {
            let outcome =
                Element::new("td").with("class", class(*mark)).text(format!("{} {outcome}", sign(*mark)));
            let wants = Element::new("td").text(&**wants).child(Element::new("small").text(&**source));
            Element::new("tr").child(outcome).child(wants).child(cell(why))
        }),
    );
    [given, values, rules].into_iter().flatten().collect()
}

fn lists(sheet: &EvidenceSheet) -> Vec<Element> {
    let list = |title: &str, class: &'static str, items: &[String]| {
        let lines = items.iter().map(|item| Element::new("li").text(&**item));
        let section = Element::new("section").with("class", class).child(Element::new("h2").text(title));
        (!items.is_empty()).then(|| section.child(Element::new("ul").all(lines)))
    };
    let mut notes = sheet.notes.clone();
    notes.push(words::CAUTION.to_owned());
    [list("To know and to do", "advice", &sheet.advice), list("Where it comes from", "notes", &notes)]
        .into_iter()
        .flatten()
        .collect()
}

/// Lines to fill in by hand.
fn signature() -> Element {
    let line = |what: &str| Element::new("p").text(format!("{what}: ")).child(Element::new("span").text(""));
    Element::new("footer").all(["Place and system", "Date and time", "Technician", "Signature"].map(line))
}

fn head(sheet: &EvidenceSheet) -> Element {
    let paper = match sheet.paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let style = STYLE.replace("PAPER", paper).replace("FACES", &FACES.replace('\'', ""));
    let charset = Element::new("meta").with("charset", "utf-8");
    let scale =
        Element::new("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1");
    let title = Element::new("title").text(&*sheet.title);
    Element::new("head").all([charset, scale, title, Element::new("style").text(style)])
}

const STYLE: &str = "
@page { size: PAPER; margin: 11mm }
* { box-sizing: border-box }
body { font-family: FACES; font-size: 14px; line-height: 1.3; color: #1a1a1a; background: #fff; max-width: 60em; margin: 1em auto; padding: 0 1em }
h1 { font-size: 1.6em; margin: 0 }
h2 { font-size: 1.05em; margin: 0.8em 0 0.2em; border-bottom: 1.5px solid #1a1a1a }
p { margin: 0.2em 0 }
.heading { color: #4d4d4d; font-weight: bold }
.verdict { border: 2px solid #1a1a1a; padding: 0.35em 0.6em; font-weight: bold; margin: 0.5em 0 }
.verdict.good { border-color: #1d5c1d; color: #1d5c1d }
.verdict.bad { border-color: #8a0012; color: #8a0012 }
.chart svg { max-height: 26em }
.columns { display: grid; grid-template-columns: 2fr 3fr; gap: 0 1.6em; align-items: start }
.columns section:nth-child(3) { grid-column: 1 / -1 }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums }
th, td { text-align: left; vertical-align: top; padding: 0.1em 0.5em 0.1em 0; font-weight: normal }
tr { border-bottom: 1px solid #dcdcdc }
th { color: #4d4d4d; width: 38% }
td.good { color: #1d5c1d; font-weight: bold; white-space: nowrap }
td.bad { color: #8a0012; font-weight: bold; white-space: nowrap }
td.open { font-weight: bold; white-space: nowrap }
small { display: block; color: #4d4d4d; font-size: 0.8em }
ul { margin: 0.2em 0; padding-left: 1.2em }
.notes { font-size: 0.8em; color: #4d4d4d }
footer { display: grid; grid-template-columns: 1fr 1fr; gap: 1em 2em; margin-top: 1.2em }
footer p { display: flex; gap: 0.5em }
footer span { flex: 1; border-bottom: 1px solid #1a1a1a }
@media (max-width: 40em) { .columns { display: block } }
@media print {
  body { font-size: 7.6pt; line-height: 1.2; margin: 0; padding: 0; max-width: none }
  section, tr, .chart, footer { break-inside: avoid }
  .chart svg { max-height: 56mm }
  h2 { margin: 0.5em 0 0.15em }
  footer { margin-top: 0.8em; gap: 0.8em 2em }
  .verdict, td { print-color-adjust: exact; -webkit-print-color-adjust: exact }
}
";
