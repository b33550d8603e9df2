//! A document to print: headed sections of facts, tables, numbered entries and lines to sign on.

use crate::Error;
use crate::ink::FACES;
use crate::markup::Element;
use crate::options::check_heading;
use crate::page::Paper;

/// A document.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Document {
    /// Its title.
    pub title: String,
    /// A heading of one's own above it, at most 60 characters.
    pub heading: Option<String>,
    /// Words that are set in boxes beside the title.
    pub boxed: Vec<String>,
    /// What stands below the title.
    pub lead: Vec<String>,
    /// The sections.
    pub sections: Vec<Section>,
    /// What stands at the end in small type.
    pub notes: Vec<String>,
    /// The paper.
    pub paper: Paper,
}

/// A section with a title.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Section {
    /// The title.
    pub title: String,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// A paragraph.
    Text(String),
    /// A paragraph that must not be missed.
    Warning(String),
    /// Names and what belongs to each.
    Facts(Vec<(String, String)>),
    /// A table: its head and its rows.
    Table {
        /// The head.
        head: Vec<String>,
        /// The rows.
        rows: Vec<Vec<String>>,
    },
    /// Points, one line each.
    List(Vec<String>),
    /// Numbered entries.
    Entries(Vec<Entry>),
    /// Lines to write on, each with what it is for.
    Sign(Vec<String>),
}

/// A numbered entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entry {
    /// Its number or another short mark.
    pub mark: String,
    /// A word on how it stands.
    pub stands: String,
    /// What it says.
    pub say: String,
    /// What belongs to it, one line each.
    pub under: Vec<String>,
    /// What of it must not be missed, one line each.
    pub warnings: Vec<String>,
    /// Boxes to fill in by hand: what each is for.
    pub boxes: Vec<String>,
}

impl Block {
    /// Whether there is nothing in it.
    pub const fn is_empty(&self) -> bool {
        match self {
            Self::Text(text) | Self::Warning(text) => text.is_empty(),
            Self::Facts(facts) => facts.is_empty(),
            Self::Table { rows, .. } => rows.is_empty(),
            Self::List(points) | Self::Sign(points) => points.is_empty(),
            Self::Entries(entries) => entries.is_empty(),
        }
    }
}

/// Writes a document: a whole HTML file that needs nothing else, with rules for print.
///
/// # Errors
/// [`Error::Heading`] where the heading is too long.
///
/// ```
/// use stemwise_report::{Block, Document, Section, document};
/// let section = Section { title: "Readings".into(), blocks: vec![Block::Warning("<too high>".into())] };
/// let mut page = Document { title: "A job".into(), sections: vec![section], ..Document::default() };
/// assert!(document(&page)?.contains("&lt;too high&gt;"));
/// page.heading = Some("x".repeat(61));
/// assert!(document(&page).is_err());
/// # Ok::<(), stemwise_report::Error>(())
/// ```
pub fn document(document: &Document) -> Result<String, Error> {
    check_heading(document.heading.as_deref())?;
    let charset = Element::new("meta").with("charset", "utf-8");
    let scale =
        Element::new("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1");
    let title = Element::new("title").text(&document.title);
    let head =
        Element::new("head").all([charset, scale, title, Element::new("style").text(style(document.paper))]);
    let sections = document.sections.iter().map(section);
    let notes = Element::new("footer").all(document.notes.iter().map(|note| Element::new("p").text(note)));
    let main = Element::new("main").all(sections);
    let body = Element::new("body").child(header(document)).child(main).child(notes);
    let page = Element::new("html").with("lang", "en").child(head).child(body);
    Ok(format!("<!DOCTYPE html>\n{}", page.write()))
}

fn style(paper: Paper) -> String {
    let paper = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    STYLE.replace("PAPER", paper).replace("FACES", &FACES.replace('\'', ""))
}

fn header(document: &Document) -> Element {
    let mut header = Element::new("header");
    if let Some(heading) = &document.heading {
        header = header.child(Element::new("p").with("class", "heading").text(heading));
    }
    header = header.child(Element::new("h1").text(&document.title));
    let boxed = document.boxed.iter().map(|word| Element::new("span").text(word));
    if !document.boxed.is_empty() {
        header = header.child(Element::new("p").with("class", "boxed").all(boxed));
    }
    header.all(document.lead.iter().map(|lead| Element::new("p").text(lead)))
}

fn section(section: &Section) -> Element {
    let title = Element::new("h2").text(&section.title);
    Element::new("section").child(title).all(section.blocks.iter().map(block))
}

fn block(block: &Block) -> Element {
    match block {
        Block::Text(text) => Element::new("p").text(text),
        Block::Warning(text) => Element::new("p").with("class", "warning").text(text),
        Block::Facts(facts) => {
            let pair = |(name, what): &(String, String)| {
                [Element::new("dt").text(name), Element::new("dd").text(what)]
            };
            Element::new("dl").all(facts.iter().flat_map(pair))
        }
        Block::Table { head, rows } => table(head, rows),
        Block::List(points) => {
            Element::new("ul").all(points.iter().map(|point| Element::new("li").text(point)))
        }
        Block::Entries(entries) => {
            Element::new("div").with("class", "entries").all(entries.iter().map(entry))
        }
        Block::Sign(lines) => {
            let line = |what: &String| Element::new("p").child(Element::new("span").text(what));
            Element::new("div").with("class", "sign").all(lines.iter().map(line))
        }
    }
}

fn table(head: &[String], rows: &[Vec<String>]) -> Element {
    let cell = |cell: &String| Element::new("th").with("scope", "col").text(cell);
    let head = Element::new("thead").child(Element::new("tr").all(head.iter().map(cell)));
    let row =
        |row: &Vec<String>| Element::new("tr").all(row.iter().map(|cell| Element::new("td").text(cell)));
    let table = Element::new("table").child(head).child(Element::new("tbody").all(rows.iter().map(row)));
    Element::new("div").with("class", "wide").child(table)
}

fn entry(entry: &Entry) -> Element {
    let line = |class: &'static str, text: &String| Element::new("p").with("class", class).text(text);
    let stands = Element::new("span").with("class", "stands").text(&entry.stands);
    let say = Element::new("p").with("class", "say").child(stands).text(format!(" {}", entry.say));
    let words = Element::new("div")
        .child(say)
        .all(entry.under.iter().map(|under| line("under", under)))
        .all(entry.warnings.iter().map(|warning| line("warning", warning)))
        .all(boxes(&entry.boxes));
    let mark = Element::new("div").with("class", "mark").text(&entry.mark);
    Element::new("article").child(mark).child(words)
}

fn boxes(boxes: &[String]) -> Option<Element> {
    let named = boxes.iter().map(|what| Element::new("span").text(what));
    (!boxes.is_empty()).then(|| Element::new("p").with("class", "boxes").all(named))
}

const STYLE: &str = "
@page { size: PAPER; margin: 14mm 14mm 16mm }
* { box-sizing: border-box }
body { font-family: FACES; font-size: 16px; line-height: 1.4; color: #1a1a1a; background: #fff; max-width: 52em; margin: 1em auto; padding: 0 1em; overflow-wrap: anywhere }
h1 { font-size: 1.7em; line-height: 1.15; margin: 0 0 0.2em }
h2 { font-size: 1.1em; margin: 1.6em 0 0.4em; padding-bottom: 0.15em; border-bottom: 2px solid #1a1a1a }
p { margin: 0.25em 0 }
.heading { color: #4d4d4d; font-weight: bold }
.boxed span { display: inline-block; border: 1.5px solid #1a1a1a; border-radius: 3px; padding: 0.1em 0.6em; margin: 0 0.5em 0.3em 0; font-weight: bold }
.warning { border-left: 5px solid #8a0012; color: #8a0012; font-weight: bold; padding: 0.15em 0 0.15em 0.6em }
dl { display: grid; grid-template-columns: minmax(9em, max-content) 1fr; gap: 0.15em 1.2em; margin: 0.3em 0 }
dt { color: #4d4d4d }
dd { margin: 0; font-weight: bold }
.wide { overflow-x: auto }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums }
th, td { text-align: left; vertical-align: top; padding: 0.25em 0.8em 0.25em 0 }
thead th { color: #4d4d4d; font-weight: normal; font-size: 0.9em; border-bottom: 1.5px solid #1a1a1a }
tbody tr { border-bottom: 1px solid #c4c4bf }
article { display: grid; grid-template-columns: 2.6em 1fr; padding: 0.45em 0; border-bottom: 1px solid #c4c4bf }
.mark { font-weight: bold; font-size: 1.15em }
.stands { border: 1px solid #1a1a1a; border-radius: 3px; padding: 0 0.4em; font-size: 0.85em; white-space: nowrap }
.stands:empty { display: none }
.under { display: list-item; list-style: disc outside; margin-left: 1.1em; color: #333 }
.boxes { display: flex; gap: 0.8em; margin-top: 0.5em }
.boxes span { flex: 1; max-width: 20em; border: 1px solid #4d4d4d; height: 2.6em; padding: 0.1em 0.3em; font-size: 0.875em; color: #4d4d4d; overflow: hidden }
ul { margin: 0.3em 0; padding-left: 1.2em }
.sign { display: grid; grid-template-columns: 1fr 1fr; gap: 2.4em 2em; margin-top: 2.4em }
.sign p { border-top: 1px solid #1a1a1a; font-size: 0.85em; color: #4d4d4d }
footer { margin-top: 2em; font-size: 0.875em; color: #4d4d4d }
@media (max-width: 30em) { dl { grid-template-columns: 1fr } dd { margin-bottom: 0.4em } }
@media print {
  body { font-size: 10.5pt; margin: 0; padding: 0; max-width: none }
  h2 { break-after: avoid }
  article, tr, .sign { break-inside: avoid }
  thead { display: table-header-group }
}
";
