//! Pens and letters: line styles that differ in black and white too, and colours that differ for colour-blind eyes.

use crate::geometry::Point;
use crate::lettering::fixed;
use crate::lines::Family;
use crate::markup::Element;

pub(crate) const BLACK: &str = "#1a1a1a";
pub(crate) const GREY: &str = "#4d4d4d";
pub(crate) const CYCLE: &str = "#a3005c";
pub(crate) const FACES: &str = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif";

/// How a line is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pen {
    pub(crate) colour: &'static str,
    pub(crate) width: f64,
    pub(crate) dashes: &'static str,
}

/// All colours have a contrast of at least 4.5 to 1 on white (WCAG 2.2, success criterion 1.4.3).
pub(crate) const fn pen(family: Family) -> Pen {
    match family {
        Family::Bubble | Family::Dew => Pen { colour: BLACK, width: 2.6, dashes: "" },
        Family::Isotherm => Pen { colour: "#a83a0c", width: 1.1, dashes: "" },
        Family::Isentrope => Pen { colour: "#1a5a96", width: 1.0, dashes: "9 4" },
        Family::Quality => Pen { colour: "#3d6b28", width: 1.0, dashes: "1.5 3.5" },
        Family::Density => Pen { colour: "#5c5470", width: 0.9, dashes: "12 3 2 3" },
    }
}

/// The pen on an element.
pub(crate) fn drawn(element: Element, pen: Pen) -> Element {
    let element = element.with("fill", "none").with("stroke", pen.colour).with("stroke-width", pen.width);
    let element = element.with("stroke-linejoin", "round");
    if pen.dashes.is_empty() { element } else { element.with("stroke-dasharray", pen.dashes) }
}

/// Path data with hundredths.
pub(crate) fn path_data(points: &[Point]) -> String {
    let number = |value: f64| fixed(value, 2).replace('\u{2212}', "-");
    let mut data = String::new();
    for (at, point) in points.iter().enumerate() {
        data.push(if at == 0 { 'M' } else { 'L' });
        data.push_str(&format!("{} {}", number(point.x), number(point.y)));
    }
    data
}

pub(crate) fn path(points: &[Point]) -> Element {
    Element::new("path").with("d", path_data(points))
}

fn place(value: f64) -> String {
    fixed(value, 2).replace('\u{2212}', "-")
}

pub(crate) fn straight(from: Point, to: Point) -> Element {
    let line = Element::new("line").with("x1", place(from.x)).with("y1", place(from.y));
    line.with("x2", place(to.x)).with("y2", place(to.y))
}

/// Where a text's own point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A text with its baseline at a point.
pub(crate) fn text(at: Point, size: f64, anchor: Anchor, what: &str) -> Element {
    let text = Element::new("text").with("x", place(at.x)).with("y", place(at.y)).with("font-size", size);
    let text = match anchor {
        Anchor::Start => text,
        Anchor::Middle => text.with("text-anchor", "middle"),
        Anchor::End => text.with("text-anchor", "end"),
    };
    text.text(what)
}
