//! Letters: how wide they are, and how the file gets them.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

use crate::Error;

/// A face in one weight.
pub(crate) struct Face {
    data: FontRef<'static>,
    font: Font,
}

/// The face in both weights.
pub(crate) struct Faces {
    normal: Face,
    bold: Face,
}

impl Face {
    fn new(bytes: &'static [u8]) -> Result<Self, Error> {
        let broken = || Error::Writing("the letters can't be read".into());
        let data = FontRef::new(bytes).map_err(|_| broken())?;
        let font = Font::new(bytes.into(), 0).ok_or_else(broken)?;
        Ok(Self { data, font })
    }

    /// Each letter with its width in parts of the size; what the face does not have gets its box for missing letters.
    pub(crate) fn glyphs(&self, text: &str) -> Vec<KrillaGlyph> {
        let (letters, widths) =
            (self.data.charmap(), self.data.glyph_metrics(Size::new(1.0), LocationRef::default()));
        let glyph = |(at, letter): (usize, char)| {
            let id = letters.map(letter).unwrap_or_default();
            let width = widths.advance_width(id).unwrap_or(0.5);
            KrillaGlyph::new(
                GlyphId::new(id.to_u32()),
                width,
                0.0,
                0.0,
                0.0,
                at..at + letter.len_utf8(),
                None,
            )
        };
        text.char_indices().map(glyph).collect()
    }

    pub(crate) fn font(&self) -> Font {
        self.font.clone()
    }
}

impl Faces {
    /// DejaVu Sans Condensed: Latin, Greek and Cyrillic letters, the signs of mathematics, narrow enough for tables.
    pub(crate) fn new() -> Result<Self, Error> {
        let (normal, bold) = (dejavu::sans_condensed::regular(), dejavu::sans_condensed::bold());
        Ok(Self { normal: Face::new(normal)?, bold: Face::new(bold)? })
    }

    pub(crate) const fn of(&self, bold: bool) -> &Face {
        if bold { &self.bold } else { &self.normal }
    }

    /// How wide a text is in a size.
    pub(crate) fn width(&self, text: &str, size: f32, bold: bool) -> f32 {
        self.of(bold).glyphs(text).iter().map(|glyph| glyph.x_advance * size).sum()
    }
}
