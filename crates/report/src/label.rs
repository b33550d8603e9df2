//! Places labels on lines: upright enough to read, over as few other lines as may be, never over one another.

use crate::geometry::{Label, Point, Rectangle, along, length};
use crate::lettering::width;

/// A label may cross so much and no more; an isotherm counts 1.
const MOST_CROSSED: f64 = 3.4;
/// What a line counts that no label may cross.
pub(crate) const HEAVY: f64 = 10.0;
/// So far labels keep from the middle of such a line.
const BERTH: f64 = 3.5;

/// Left free before and after a label, in parts of its size.
const GAP: f64 = 0.42;
/// Left free besides before a minus sign, so that it is no piece of the line.
const BEFORE_MINUS: f64 = 0.75;

/// Everything that labels keep clear of.
#[derive(Clone, Debug)]
pub(crate) struct Board {
    room: Rectangle,
    /// Straight pieces, each with the line it belongs to and how much it counts.
    strokes: Vec<(Point, Point, usize, f64)>,
    taken: Vec<Label>,
}

/// A label with its text, placed.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Placed {
    pub(crate) text: String,
    pub(crate) label: Label,
    /// How far the middle of the text lies behind that of the label.
    pub(crate) shift: f64,
}

/// Where along a line its label may stand: best first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Along<'a> {
    /// Parts of its length.
    Parts(&'a [f64]),
    /// Distances from its left end, in parts of the letters' size.
    Letters(&'a [f64]),
    /// Heights in the frame, 0 at its top and 1 at its bottom.
    Heights(&'a [f64]),
}

impl Board {
    pub(crate) const fn new(room: Rectangle) -> Self {
        Self { room, strokes: Vec::new(), taken: Vec::new() }
    }

    /// A line that labels should not cover.
    pub(crate) fn stroke(&mut self, points: &[Point], line: usize, counts: f64) {
        let pieces = points.iter().zip(points.iter().skip(1));
        self.strokes.extend(pieces.map(|(from, to)| (*from, *to, line, counts)));
    }

    /// A place that is taken.
    pub(crate) fn take(&mut self, label: Label) {
        self.taken.push(label);
    }

    /// Whether a label can stand there.
    pub(crate) fn free(&self, label: &Label) -> bool {
        label.inside(&self.room) && !self.taken.iter().any(|taken| taken.overlaps(label))
    }

    pub(crate) fn crossed(&self, label: &Label, own: usize) -> f64 {
        let over = self.strokes.iter().filter(|(_, _, line, _)| *line != own);
        let broad = Label { width: label.width + 2.0 * BERTH, height: label.height + 2.0 * BERTH, ..*label };
        let crosses = |from: Point, to: Point, counts: f64| {
            let label = if counts >= HEAVY { &broad } else { label };
            label.crossed_by(from, to)
        };
        over.filter(|(from, to, _, counts)| crosses(*from, *to, *counts)).map(|(.., counts)| counts).sum()
    }

    /// Places a label on a line, where there is a place for it.
    pub(crate) fn place(
        &mut self,
        text: &str,
        size: f64,
        points: &[Point],
        own: usize,
        along: Along<'_>,
    ) -> Option<Placed> {
        let before = if text.starts_with('\u{2212}') { BEFORE_MINUS * size } else { 0.0 };
        let broad = width(text, size) + 2.0 * GAP * size + before;
        let whole = length(points);
        let stations: Vec<f64> = match along {
            Along::Parts(parts) => parts.iter().map(|part| part * whole).collect(),
            Along::Letters(letters) => {
                let first = letters.iter().map(|letters| letters * size + broad / 2.0);
                let backward = points.first().zip(points.last()).is_some_and(|(from, to)| from.x > to.x);
                first.map(|from| if backward { whole - from } else { from }).collect()
            }
            Along::Heights(heights) => {
                let y = |part: f64| self.room.top + part * self.room.height();
                heights.iter().filter_map(|part| distance_at_height(points, y(*part))).collect()
            }
        };
        let mut best: Option<(f64, Label)> = None;
        for (rank, station) in stations.into_iter().enumerate() {
            let Some(label) = on_line(points, station, whole, broad, 1.16 * size) else { continue };
            if !self.free(&label) {
                continue;
            }
            let crossed = self.crossed(&label, own);
            let cost = crossed + 0.1 * f64::from(u32::try_from(rank).unwrap_or(u32::MAX));
            if crossed <= MOST_CROSSED && best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, label));
            }
        }
        let (_, label) = best?;
        self.take(label);
        Some(Placed { text: text.to_owned(), label, shift: before / 2.0 })
    }
}

/// A label lying on a line at a distance from its start; none where the line is too short or bends too much under it.
fn on_line(points: &[Point], station: f64, whole: f64, broad: f64, height: f64) -> Option<Label> {
    if station < broad / 2.0 || station > whole - broad / 2.0 {
        return None;
    }
    let (from, to) = (along(points, station - broad / 2.0)?, along(points, station + broad / 2.0)?);
    let (centre, chord) = (along(points, station)?, from.to(to, 0.5));
    if centre.distance(chord) > 0.18 * height {
        return None;
    }
    let (from, to) = if to.x < from.x { (to, from) } else { (from, to) };
    let mut angle = libm::atan2(to.y - from.y, to.x - from.x);
    // Steep lines are all read upwards, to whichever side they lean.
    if angle > 1.15 {
        angle -= core::f64::consts::PI;
    }
    Some(Label { centre, width: broad, height, angle })
}

/// How far along a line it first comes to a height.
fn distance_at_height(points: &[Point], y: f64) -> Option<f64> {
    let mut before = 0.0;
    for (from, to) in points.iter().zip(points.iter().skip(1)) {
        let length = from.distance(*to);
        if (from.y - y) * (to.y - y) <= 0.0 && (to.y - from.y).abs() > 1e-9 {
            return Some(before + length * ((y - from.y) / (to.y - from.y)).clamp(0.0, 1.0));
        }
        before += length;
    }
    None
}
