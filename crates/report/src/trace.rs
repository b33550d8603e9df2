//! Curves with as few points as look smooth.

use crate::geometry::Point;

/// So far may a chord run from its curve, in the sheet's units; a hairline is ten times as wide.
const SMOOTH: f64 = 0.1;
const DEEPEST: u32 = 9;

/// What is to be seen at a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Look {
    At(Point),
    /// The curve doesn't go there: its end lies before.
    Outside,
    /// Nothing is known there; the curve may well go on.
    Unknown,
}

impl From<Option<Point>> for Look {
    fn from(point: Option<Point>) -> Self {
        point.map_or(Self::Unknown, Self::At)
    }
}

/// The pieces of a curve over a range of its parameter, started with `base` equal steps.
pub(crate) fn trace((start, end): (f64, f64), base: u32, look: &dyn Fn(f64) -> Look) -> Vec<Vec<Point>> {
    let at = |n: u32| start + (end - start) * f64::from(n) / f64::from(base);
    let seen: Vec<(f64, Look)> = (0..=base).map(at).map(|at| (at, look(at))).collect();
    let mut pieces = Vec::new();
    let mut piece: Vec<(f64, Point)> = Vec::new();
    let mut before: Option<f64> = None;
    for (at, looked) in seen {
        match looked {
            Look::Unknown => continue,
            Look::At(point) => {
                if let (true, Some(outside)) = (piece.is_empty(), before) {
                    piece.extend(border(at, outside, look));
                }
                piece.push((at, point));
            }
            Look::Outside => {
                if let Some((inside, _)) = piece.last().copied() {
                    piece.extend(border(inside, at, look));
                }
                pieces.push(core::mem::take(&mut piece));
            }
        }
        before = Some(at);
    }
    pieces.push(piece);
    pieces.into_iter().filter(|piece| piece.len() > 1).map(|piece| refined(&piece, look)).collect()
}

/// The last point inside, by halving.
fn border(mut inside: f64, mut outside: f64, look: &dyn Fn(f64) -> Look) -> Option<(f64, Point)> {
    let mut found = None;
    for _ in 0..16 {
        let middle = f64::midpoint(inside, outside);
        if let Look::At(point) = look(middle) {
            found = Some((middle, point));
            inside = middle;
        } else {
            outside = middle;
        }
    }
    found
}

fn refined(piece: &[(f64, Point)], look: &dyn Fn(f64) -> Look) -> Vec<Point> {
    let mut out: Vec<Point> = piece.first().map(|(_, point)| *point).into_iter().collect();
    for (from, to) in piece.iter().zip(piece.iter().skip(1)) {
        refine(*from, *to, DEEPEST, look, &mut out);
    }
    out
}

fn refine(
    from: (f64, Point),
    to: (f64, Point),
    depth: u32,
    look: &dyn Fn(f64) -> Look,
    out: &mut Vec<Point>,
) {
    let middle = f64::midpoint(from.0, to.0);
    if depth > 0
        && from.1.distance(to.1) > 4.0 * SMOOTH
        && let Look::At(point) = look(middle)
        && off_chord(from.1, to.1, point) > SMOOTH
    {
        refine(from, (middle, point), depth - 1, look, out);
        refine((middle, point), to, depth - 1, look, out);
    } else {
        out.push(to.1);
    }
}

/// How far a point lies from a chord.
fn off_chord(from: Point, to: Point, at: Point) -> f64 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let square = dx * dx + dy * dy;
    let part = (((at.x - from.x) * dx + (at.y - from.y) * dy) / square.max(1e-300)).clamp(0.0, 1.0);
    from.to(to, part).distance(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle(at: f64) -> Point {
        Point::new(100.0 * libm::cos(at), 100.0 * libm::sin(at))
    }

    #[test]
    fn a_circle_is_smooth_with_few_points() {
        let pieces = trace((0.0, 6.0), 8, &|at| Look::At(circle(at)));
        let points = &pieces[0];
        // A chord of 100 that runs 0.1 off spans 0.0894 rad: 67 chords would do; halving takes at most twice as many.
        assert!((67..140).contains(&points.len()), "{}", points.len());
        assert!(points.iter().all(|at| (at.distance(Point::new(0.0, 0.0)) - 100.0).abs() < 1e-9));
    }

    #[test]
    fn borders_are_found_and_gaps_bridged() {
        let look = |at: f64| match at {
            at if at > 2.0 => Look::Outside,
            at if (1.0..1.2).contains(&at) => Look::Unknown,
            at => Look::At(Point::new(100.0 * at, 0.0)),
        };
        let pieces = trace((0.0, 3.0), 7, &look);
        assert_eq!(pieces.len(), 1);
        assert!((pieces[0].last().unwrap().x - 200.0).abs() < 0.1, "{pieces:?}");
    }
}
