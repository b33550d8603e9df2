//! What is drawn on a sheet, and how it gets there.

use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;

use crate::face::Faces;

/// A colour: red, green, blue.
pub(crate) type Colour = [u8; 3];

pub(crate) const BLACK: Colour = [0x1a; 3];
pub(crate) const GREY: Colour = [0x4d; 3];
pub(crate) const PALE: Colour = [0xc4; 3];
pub(crate) const RED: Colour = [0x8a, 0x00, 0x12];
pub(crate) const GREEN: Colour = [0x1d, 0x5c, 0x1d];

/// A line's looks.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pen {
    pub(crate) colour: Colour,
    pub(crate) width: f32,
    pub(crate) dashes: Vec<f32>,
}

impl Pen {
    pub(crate) const fn plain(colour: Colour, width: f32) -> Self {
        Self { colour, width, dashes: Vec::new() }
    }
}

/// Something drawn, in points from the top left corner of what it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Ink {
    /// Letters with the left end of their baseline.
    Text { at: (f32, f32), text: String, size: f32, bold: bool, colour: Colour },
    /// A line through points, open or closed.
    Line { points: Vec<(f32, f32)>, closed: bool, pen: Pen },
    /// A disc.
    Disc { at: (f32, f32), radius: f32, colour: Colour },
}

impl Ink {
    pub(crate) fn straight(from: (f32, f32), to: (f32, f32), pen: Pen) -> Self {
        Self::Line { points: vec![from, to], closed: false, pen }
    }

    pub(crate) fn frame(at: (f32, f32), (width, height): (f32, f32), pen: Pen) -> Self {
        let (x, y) = at;
        let points = vec![at, (x + width, y), (x + width, y + height), (x, y + height)];
        Self::Line { points, closed: true, pen }
    }

    /// The same elsewhere.
    pub(crate) fn moved(&self, dx: f32, dy: f32) -> Self {
        let moved = |(x, y): (f32, f32)| (x + dx, y + dy);
        let mut it = self.clone();
        match &mut it {
            Self::Text { at, .. } | Self::Disc { at, .. } => *at = moved(*at),
            Self::Line { points, .. } => points.iter_mut().for_each(|point| *point = moved(*point)),
        }
        it
    }

    /// Draws it.
    pub(crate) fn draw(&self, surface: &mut Surface<'_>, faces: &Faces) {
        match self {
            Self::Text { at, text, size, bold, colour } => {
                surface.set_stroke(None);
                surface.set_fill(Some(filled(*colour)));
                let face = faces.of(*bold);
                surface.draw_glyphs(
                    Point::from_xy(at.0, at.1),
                    &face.glyphs(text),
                    face.font(),
                    text,
                    *size,
                    false,
                );
            }
            Self::Line { points, closed, pen } => {
                let mut path = PathBuilder::new();
                for (index, (x, y)) in points.iter().enumerate() {
                    if index == 0 { path.move_to(*x, *y) } else { path.line_to(*x, *y) }
                }
                if *closed {
                    path.close();
                }
                let dash =
                    (!pen.dashes.is_empty()).then(|| StrokeDash { array: pen.dashes.clone(), offset: 0.0 });
                let (paint, width) = (colour(pen.colour).into(), pen.width);
                surface.set_fill(None);
                surface.set_stroke(Some(Stroke {
                    paint,
                    width,
                    dash,
                    line_join: LineJoin::Round,
                    ..Stroke::default()
                }));
                if let Some(path) = path.finish() {
                    surface.draw_path(&path);
                }
            }
            Self::Disc { at, radius, colour } => {
                surface.set_stroke(None);
                surface.set_fill(Some(filled(*colour)));
                if let Some(path) = disc(*at, *radius) {
                    surface.draw_path(&path);
                }
            }
        }
    }
}

fn colour([red, green, blue]: Colour) -> rgb::Color {
    rgb::Color::new(red, green, blue)
}

fn filled(of: Colour) -> Fill {
    Fill { paint: colour(of).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

/// Four cubic curves that are off a circle by 0.03 % of the radius (the usual handle, 4/3 of the tangent of a sixteenth of a turn).
fn disc((x, y): (f32, f32), radius: f32) -> Option<krilla::geom::Path> {
    const HANDLE: f32 = 0.552_284_8;
    let handle = HANDLE * radius;
    let mut path = PathBuilder::new();
    path.move_to(x + radius, y);
    path.cubic_to(x + radius, y + handle, x + handle, y + radius, x, y + radius);
    path.cubic_to(x - handle, y + radius, x - radius, y + handle, x - radius, y);
    path.cubic_to(x - radius, y - handle, x - handle, y - radius, x, y - radius);
    path.cubic_to(x + handle, y - radius, x + radius, y - handle, x + radius, y);
    path.close();
    path.finish()
}
