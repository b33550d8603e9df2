//! Pieces onto sheets, and sheets into the file.

use krilla::Document;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;

use crate::face::Faces;
use crate::flow::{Flow, Piece};
use crate::ink::{GREY, Ink};
use crate::{Error, Sheet};

/// Room left free on each side, in points: 14 mm.
const MARGIN: f32 = 39.7;
/// The size of what stands at the foot of each of several sheets.
const FOOT: f32 = 8.0;

/// Sheets with what stands on each.
pub(crate) struct Pages {
    sheet: Sheet,
    title: String,
    sheets: Vec<Vec<Ink>>,
}

impl Pages {
    pub(crate) fn new(sheet: Sheet, title: &str) -> Self {
        Self { sheet, title: title.to_owned(), sheets: Vec::new() }
    }

    /// The width and height between the margins.
    pub(crate) const fn room(&self) -> (f32, f32) {
        let (width, height) = self.sheet.size();
        (width - 2.0 * MARGIN, height - 2.0 * MARGIN)
    }

    pub(crate) fn count(&self) -> usize {
        self.sheets.len()
    }

    /// Sets pieces one below the other; those that stay together with the next go over with it.
    pub(crate) fn fill(mut self, flow: &Flow<'_>, pieces: Vec<Piece>) -> Self {
        let (_, height) = self.room();
        let mut y = f32::INFINITY;
        let mut left = pieces.into_iter().peekable();
        let mut group = Vec::new();
        while let Some(piece) = left.next() {
            let keeps = piece.keeps && left.peek().is_some();
            group.push(piece);
            if keeps {
                continue;
            }
            let needs: f32 = group.iter().map(|piece| piece.above + piece.height).sum();
            // A group that fills more than a sheet is parted after all.
            let together = needs <= height;
            for (index, piece) in core::mem::take(&mut group).into_iter().enumerate() {
                let needs = if together && index == 0 { needs } else { piece.above + piece.height };
                let over = y + needs > height && (!together || index == 0);
                if over {
                    self.sheets.push(Vec::new());
                    y = 0.0;
                    if let Some(head) = &piece.head {
                        self.put(&head.inks, y);
                        y += head.height;
                    }
                } else {
                    y += piece.above;
                }
                self.put(&piece.inks, y);
                y += piece.height;
            }
        }
        if self.sheets.len() > 1 {
            self.number(flow);
        }
        self
    }

    fn put(&mut self, inks: &[Ink], y: f32) {
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.extend(inks.iter().map(|ink| ink.moved(MARGIN, MARGIN + y)));
        }
    }

    /// The title and the sheet's number at the foot of each.
    fn number(&mut self, flow: &Flow<'_>) {
        let (width, height) = self.sheet.size();
        let (all, y) = (self.sheets.len(), height - 0.55 * MARGIN);
        for (index, sheet) in self.sheets.iter_mut().enumerate() {
            let number = format!("{} / {all}", index + 1);
            let right = width - MARGIN - flow.faces.width(&number, FOOT, false);
            let text =
                |x: f32, text: String| Ink::Text { at: (x, y), text, size: FOOT, bold: false, colour: GREY };
            sheet.push(text(right, number));
            // A long title keeps clear of the number.
            let mut title = self.title.clone();
            while MARGIN + flow.faces.width(&title, FOOT, false) > right - 2.0 * FOOT {
                title.pop();
            }
            sheet.push(text(MARGIN, title));
        }
    }

    /// Writes the file.
    pub(crate) fn write(self, faces: &Faces, language: String) -> Result<Vec<u8>, Error> {
        let (width, height) = self.sheet.size();
        let mut document = Document::new();
        document
            .set_metadata(Metadata::new().title(self.title).language(language).creator("Stemwise".into()));
        for inks in &self.sheets {
            let settings = PageSettings::from_wh(width, height);
            let settings = settings.ok_or_else(|| Error::Writing("the paper has no size".into()))?;
            let mut page = document.start_page_with(settings);
            let mut surface = page.surface();
            inks.iter().for_each(|ink| ink.draw(&mut surface, faces));
            surface.finish();
            page.finish();
        }
        document.finish().map_err(|error| Error::Writing(format!("{error:?}")))
    }
}
