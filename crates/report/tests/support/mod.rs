//! Reads a drawing back: its frame, its lines, its texts.
#![allow(unreachable_pub, reason = "each test is a crate of its own")]
#![allow(clippy::disallowed_methods, reason = "tests run natively")]
#![allow(dead_code, reason = "each test reads what it needs")]

use roxmltree::{Document, Node};

/// What the edges of the plot stand for.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub enthalpy: (f64, f64),
    pub pressure: (f64, f64),
}

pub type Point = (f64, f64);

fn number(node: &Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap_or_else(|| panic!("{name} is missing")).parse().unwrap()
}

impl Frame {
    pub fn of(document: &Document<'_>) -> Self {
        let plot = document.descendants().find(|node| node.attribute("id") == Some("plot")).unwrap();
        let at = |name| number(&plot, name);
        Self {
            left: at("data-left"),
            right: at("data-right"),
            top: at("data-top"),
            bottom: at("data-bottom"),
            enthalpy: (at("data-enthalpy-left"), at("data-enthalpy-right")),
            pressure: (at("data-pressure-bottom"), at("data-pressure-top")),
        }
    }
    pub fn enthalpy_at(&self, x: f64) -> f64 {
        let (low, high) = self.enthalpy;
        low + (x - self.left) / (self.right - self.left) * (high - low)
    }
    pub fn pressure_at(&self, y: f64) -> f64 {
        let (low, high) = self.pressure;
        low * (high / low).powf((self.bottom - y) / (self.bottom - self.top))
    }
    pub fn x(&self, enthalpy: f64) -> f64 {
        let (low, high) = self.enthalpy;
        self.left + (enthalpy - low) / (high - low) * (self.right - self.left)
    }
    pub fn y(&self, pascal: f64) -> f64 {
        let (low, high) = self.pressure;
        self.bottom - (pascal / low).ln() / (high / low).ln() * (self.bottom - self.top)
    }
}

/// The paths of a class, each with the value it is drawn for.
pub fn lines(document: &Document<'_>, class: &str) -> Vec<(f64, Vec<Point>)> {
    let group = document.descendants().find(|node| {
        node.attribute("class") == Some(class) && node.children().any(|child| child.has_tag_name("path"))
    });
    let Some(group) = group else { return Vec::new() };
    let paths = group.children().filter(|node| node.has_tag_name("path"));
    paths.map(|path| (number(&path, "data-value"), points(path.attribute("d").unwrap()))).collect()
}

fn points(data: &str) -> Vec<Point> {
    let point = |text: &str| {
        let (x, y) = text.trim().split_once(' ').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    data.split(['M', 'L']).filter(|text| !text.trim().is_empty()).map(point).collect()
}

/// A text: its letters, and the corners of its box.
#[derive(Clone, Debug)]
pub struct Text {
    pub letters: String,
    pub corners: [Point; 4],
}

fn size(node: Node<'_, '_>) -> f64 {
    node.ancestors().find_map(|node| node.attribute("font-size")).unwrap().parse().unwrap()
}

/// The turn and the shift of a node and what it stands in, as a point's way to the sheet.
fn placed(node: Node<'_, '_>, mut at: Point) -> Point {
    for node in node.ancestors() {
        let Some(transform) = node.attribute("transform") else { continue };
        let numbers: Vec<f64> = transform
            .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
            .filter(|part| !part.is_empty())
            .map(|part| part.parse().unwrap())
            .collect();
        let [x, y, degrees] = numbers[..] else { panic!("{transform}") };
        let (sin, cos) = degrees.to_radians().sin_cos();
        at = (x + at.0 * cos - at.1 * sin, y + at.0 * sin + at.1 * cos);
    }
    at
}

/// As wide as in DejaVu Sans, the widest of the usual faces, within a few per cent: measured on printed lines.
fn width(letters: &str) -> f64 {
    let narrow = |c: char| "iljtfrI.,:;'()/- ".contains(c);
    letters.chars().map(|c| if narrow(c) { 0.35 } else { 0.62 }).sum()
}

/// Every text of a drawing; capitals and digits are 0.72 of their size high.
pub fn texts<'d>(document: &'d Document<'d>) -> Vec<(Text, Node<'d, 'd>)> {
    let text = |node: Node<'d, 'd>| {
        let letters = node.text().unwrap_or("").to_owned();
        let size = size(node);
        let wide = size * width(&letters);
        let own = |name: &str| node.attribute(name).map_or(0.0, |value| value.parse().unwrap());
        let anchor = node.ancestors().find_map(|node| node.attribute("text-anchor"));
        let left = own("x")
            - wide
                * match anchor {
                    Some("middle") => 0.5,
                    Some("end") => 1.0,
                    _ => 0.0,
                };
        let bottom = own("y") + if node.attribute("dy").is_some() { 0.36 * size } else { 0.0 };
        let top = bottom - 0.72 * size;
        let corners = [(left, top), (left + wide, top), (left + wide, bottom), (left, bottom)];
        (Text { letters, corners: corners.map(|corner| placed(node, corner)) }, node)
    };
    document.descendants().filter(|node| node.has_tag_name("text")).map(text).collect()
}

/// Whether two turned boxes share a point: no side of either parts them.
pub fn overlap(one: &Text, other: &Text) -> bool {
    !parted(&one.corners, &other.corners) && !parted(&other.corners, &one.corners)
}

fn parted(one: &[Point; 4], other: &[Point; 4]) -> bool {
    (0..4).any(|at| {
        let (a, b) = (one[at], one[(at + 1) % 4]);
        let normal = (b.1 - a.1, a.0 - b.0);
        let off = |p: &Point| (p.0 - a.0) * normal.0 + (p.1 - a.1) * normal.1;
        let inner = off(&one[(at + 2) % 4]);
        other.iter().all(|p| off(p) * inner.signum() < 0.0)
    })
}
