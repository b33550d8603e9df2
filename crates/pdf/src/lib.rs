//! Pages of `stemwise-report` as PDF files: the HTML that it writes, set on paper, with its own letters and without a browser.
//!
//! It reads the elements and classes that those pages are made of and no others; it is no reader of the web's pages.

mod chart;
mod face;
mod flow;
mod ink;
mod pages;
mod set;

use crate::face::Faces;
use crate::flow::Flow;
use crate::pages::Pages;

/// Why there is no file.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The page can't be read.
    #[error("this is not a page of ours: {0}")]
    NotAPage(#[from] roxmltree::Error),
    /// It holds something that belongs to none of the pages that can be set.
    #[error("\"{0}\" belongs to no page that can be set")]
    Unknown(String),
    /// The letters or the file can't be made.
    #[error("the file can't be made: {0}")]
    Writing(String),
}

/// A sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sheet {
    /// 210 mm by 297 mm (ISO 216).
    A4,
    /// 8.5 in by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Sheet {
    /// Its width and height, in points of 1/72 in.
    const fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Sizes of letters that are tried for a page of evidence until it fits on one sheet, in points: the largest first.
const EVIDENCE: [f32; 7] = [9.0, 8.6, 8.2, 7.8, 7.4, 7.0, 6.6];
/// The size for everything else, in points.
const DOCUMENT: f32 = 10.0;

/// Sets a page; one of evidence in the largest letters with which it fits on one sheet.
///
/// # Errors
/// [`Error`].
///
/// ```
/// use stemwise_pdf::{Sheet, pdf};
/// use stemwise_report::{Document, document};
/// let page = document(&Document { title: "A job".into(), ..Document::default() })?;
/// assert!(pdf(&page, Sheet::A4)?.starts_with(b"%PDF-"));
/// assert!(pdf("<html><body><video/></body></html>", Sheet::A4).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn pdf(html: &str, sheet: Sheet) -> Result<Vec<u8>, Error> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let read = roxmltree::Document::parse_with_options(html, options)?;
    let faces = Faces::new()?;
    let named = |name: &str| read.descendants().find(|node| node.has_tag_name(name));
    let body = named("body").unwrap_or_else(|| read.root_element());
    let title = named("title").and_then(|it| it.text()).unwrap_or_default().to_owned();
    let language = read.root_element().attribute("lang").unwrap_or("en").to_owned();
    // Only a test has a verdict.
    let is_evidence = body.children().any(|node| set::is_of(node, "verdict"));
    let sizes: &[f32] = if is_evidence { &EVIDENCE } else { &[DOCUMENT] };
    let mut laid = None;
    for size in sizes {
        let pages = Pages::new(sheet, &title);
        let flow = Flow { faces: &faces, size: *size, height: pages.room().1 };
        let pieces = flow.body(body, pages.room().0)?;
        let pages = pages.fill(&flow, pieces);
        let fits = pages.count() == 1;
        laid = Some(pages);
        if fits {
            break;
        }
    }
    laid.map_or_else(
        || Err(Error::Writing("there is nothing to set".into())),
        |it| it.write(&faces, language),
    )
}
