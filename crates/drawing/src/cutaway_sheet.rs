//! Writes a cutaway as a whole SVG file.

use std::collections::BTreeMap;

use crate::geometry::short;
use crate::markup::Element as Tag;
use crate::sheet::open;
use crate::{Callout, Cutaway, Fill, LETTERS, Opening, Passage, Piece, Point, Stuff, style, width};

/// A cutaway as a whole SVG file; each passage filled with what its connection holds, by pattern and word.
///
/// ```
/// use std::collections::BTreeMap;
/// use stemwise_drawing::{Fill, Fixture, Opening, cutaway, cutaway_svg};
/// let holds = BTreeMap::from([(Opening::Line, Fill::Liquid), (Opening::Body, Fill::Vacuum)]);
/// let file = cutaway_svg(&cutaway(Fixture::BallValve, 1.0), &holds);
/// assert!(file.contains("fill-liquid") && file.contains("vacuum"));
/// ```
pub fn cutaway_svg(cutaway: &Cutaway, holds: &BTreeMap<Opening, Fill>) -> String {
    let mut file = open(&cutaway.view, &format!("{}, cut open", cutaway.name), &description(cutaway, holds))
        .child(style::patterns())
        .all(cutaway.metal.iter().map(piece))
        .all(
            cutaway
                .passages
                .iter()
                .filter(|passage| !is_in_ball(cutaway, passage))
                .flat_map(|found| passage(found, holds)),
        );
    // What lies inside a moving ball is drawn on it.
    let (inner, outer): (Vec<&Passage>, Vec<&Passage>) =
        cutaway.passages.iter().partition(|passage| is_in_ball(cutaway, passage));
    file = file
        .all(cutaway.pieces.iter().map(piece))
        .all(inner.into_iter().flat_map(|found| passage(found, holds)));
    let mut said: Vec<Opening> = Vec::new();
    let first = outer.into_iter().filter(|passage| {
        let new = !said.contains(&passage.opening);
        said.push(passage.opening);
        new
    });
    let words: Vec<Tag> = first.filter_map(|passage| word(passage, holds)).collect();
    file.all(words).all(cutaway.callouts.iter().flat_map(callout)).write()
}

/// Whether a moving piece, drawn later, would hide a passage altogether.
fn is_in_ball(cutaway: &Cutaway, passage: &Passage) -> bool {
    let inside = |piece: &Piece| {
        piece.stuff == Stuff::Moving
            && piece.outline.len() > 20
            && passage.outline.iter().all(|at| within(&piece.outline, *at, 4.0))
    };
    cutaway.pieces.iter().any(inside)
}

/// Whether a point lies in the box of an outline, or nearly.
fn within(outline: &[Point], at: Point, by: f64) -> bool {
    let boxes = outline.iter().map(|point| crate::Rect::spanning(*point, *point));
    boxes.reduce(|one, other| one.with(&other)).is_some_and(|around| around.grown(by).holds(at))
}

fn description(cutaway: &Cutaway, holds: &BTreeMap<Opening, Fill>) -> String {
    let held = holds.iter().map(|(opening, fill)| format!("{}: {}", opening.word(), fill.word()));
    let held: Vec<String> = held.collect();
    let joined = cutaway.joined.iter().map(|group| {
        let names: Vec<&str> = group.iter().map(|opening| opening.word()).collect();
        if names.len() > 1 {
            format!("{} are joined", names.join(" and "))
        } else {
            format!("{} is by itself", names.join(""))
        }
    });
    let joined: Vec<String> = joined.collect();
    format!("{}. {}.", joined.join("; "), held.join("; "))
}

impl Opening {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::Body => "body",
            Self::Port => "port",
            Self::Pocket => "ball",
        }
    }
}

fn d(outline: &[Point], closed: bool) -> String {
    let mut text = String::new();
    for (at, point) in outline.iter().enumerate() {
        text.push(if at == 0 { 'M' } else { 'L' });
        text.push_str(&format!("{} {}", short(point.x), short(point.y)));
    }
    if closed {
        text.push('Z');
    }
    text
}

fn piece(piece: &Piece) -> Tag {
    Tag::new("path")
        .with("class", piece.stuff.word())
        .with("d", d(&piece.outline, piece.stuff != Stuff::Line))
}

fn passage(passage: &Passage, holds: &BTreeMap<Opening, Fill>) -> Vec<Tag> {
    let outline = Tag::new("path").with("class", "passage").with("d", d(&passage.outline, true));
    let filled = holds.get(&passage.opening).map(|fill| format!("fill:url(#{})", fill.pattern()));
    vec![outline.with("style", filled.unwrap_or_else(|| "fill:#fff".into()))]
}

fn word(passage: &Passage, holds: &BTreeMap<Opening, Fill>) -> Option<Tag> {
    let fill = holds.get(&passage.opening)?;
    Some(
        Tag::new("text")
            .with("class", "held")
            .with("x", short(passage.label.x))
            .with("y", short(passage.label.y))
            .with("text-anchor", "middle")
            .text(fill.word()),
    )
}

fn callout(found: &Callout) -> Vec<Tag> {
    let lines = crate::wrap(&found.text, 142.0, 4);
    let widest = lines.iter().map(|line| width(line)).fold(0.0, f64::max);
    let anchor = if found.on_right { "start" } else { "end" };
    let gap = if found.on_right { 5.0 } else { -5.0 };
    let top = found.from.y - crate::LINE * (lines.len() as f64 - 1.0) / 2.0 + LETTERS * 0.35;
    let text = |(at, line): (usize, &String)| {
        Tag::new("text")
            .with("x", short(found.from.x + gap))
            .with("y", short(top + crate::LINE * at as f64))
            .with("text-anchor", anchor)
            .text(line)
    };
    let mut tags: Vec<Tag> = Vec::new();
    if widest > 0.0 {
        tags.push(Tag::new("path").with("class", "leader").with("d", d(&[found.from, found.to], false)));
        tags.push(
            Tag::new("circle")
                .with("class", "tee")
                .with("cx", short(found.to.x))
                .with("cy", short(found.to.y))
                .with("r", "2.5"),
        );
    }
    tags.extend(lines.iter().enumerate().map(text));
    tags
}
