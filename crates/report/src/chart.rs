//! A series over time: measured points, what a model makes of them, and limits, as an SVG.

use crate::geometry::Point;
use crate::ink::{Anchor, BLACK, FACES, GREY, Pen, drawn, path, straight, text};
use crate::lettering::{short, width};
use crate::markup::Element;
use crate::scale::{multiples, nice_step};

/// The drawing's size, in its own units.
const SIZE: (f64, f64) = (760.0, 400.0);
const LEFT: f64 = 74.0;
const RIGHT: f64 = 18.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 52.0;
/// The size of its letters.
const LETTERS: f64 = 14.0;
/// No more points of a series are drawn.
const MOST: usize = 600;

/// What a series is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SeriesKind {
    /// Readings: dots.
    Measured,
    /// What a model makes of them: a line.
    Model,
    /// What it would be if all were well: a dashed line.
    Ideal,
}

/// Points over time, in the units of the axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: SeriesKind,
    /// The points.
    pub points: Vec<(f64, f64)>,
}

/// A chart of series over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows, for those who can't see it.
    pub title: String,
    /// What stands below the axis of time: "minutes".
    pub across: String,
    /// What stands at the other: "micron".
    pub up: String,
    /// Whether that one is logarithmic.
    pub logarithmic: bool,
    /// The series.
    pub series: Vec<Series>,
    /// Levels with their names: a target, a limit.
    pub levels: Vec<(f64, String)>,
}

/// The axes' ends.
struct Frame {
    across: (f64, f64),
    up: (f64, f64),
    logarithmic: bool,
}

impl Frame {
    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.across.0) / (self.across.1 - self.across.0) * (SIZE.0 - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        let place = |value: f64| if self.logarithmic { libm::log(value.max(1e-12)) } else { value };
        let (low, high) = (place(self.up.0), place(self.up.1));
        let part = ((place(value) - low) / (high - low)).clamp(-0.02, 1.02);
        SIZE.1 - BOTTOM - part * (SIZE.1 - TOP - BOTTOM)
    }
}

/// Draws a chart; one without points is a frame with a sentence.
///
/// ```
/// use stemwise_report::{Chart, Series, SeriesKind, chart};
/// let rise = Series { name: "gauge".into(), kind: SeriesKind::Measured, points: vec![(0.0, 300.0), (10.0, 450.0)] };
/// let svg = chart(&Chart { title: "decay".into(), across: "minutes".into(), up: "micron".into(), logarithmic: false, series: vec![rise],
///     levels: vec![(500.0, "limit".into())] });
/// assert!(svg.starts_with("<svg") && svg.contains("micron") && svg.contains("limit"));
/// ```
pub fn chart(chart: &Chart) -> String {
    element(chart).write()
}

pub(crate) fn element(chart: &Chart) -> Element {
    let svg = Element::new("svg")
        .with("xmlns", "http://www.w3.org/2000/svg")
        .with("viewBox", format!("0 0 {} {}", SIZE.0, SIZE.1))
        .with("width", "100%")
        .with("role", "img")
        .with("aria-label", &chart.title)
        .with("font-family", FACES);
    let paper = Element::new("rect").with("width", SIZE.0).with("height", SIZE.1).with("fill", "#fff");
    let svg = svg.child(paper);
    let Some(frame) = frame(chart) else {
        let middle = Point::new(SIZE.0 / 2.0, SIZE.1 / 2.0);
        return svg.child(text(middle, LETTERS, Anchor::Middle, "There is nothing to draw."));
    };
    let mut svg = svg.all(axes(chart, &frame)).all(levels(chart, &frame));
    for series in &chart.series {
        svg = svg.child(one(series, &frame));
    }
    svg.child(legend(chart))
}

/// Both axes' ends, with a little room; none where there is no point.
fn frame(chart: &Chart) -> Option<Frame> {
    let fits = |(x, y): &&(f64, f64)| x.is_finite() && y.is_finite() && (!chart.logarithmic || *y > 0.0);
    let points: Vec<(f64, f64)> =
        chart.series.iter().flat_map(|series| series.points.iter()).filter(fits).copied().collect();
    let ends = |values: &mut dyn Iterator<Item = f64>| {
        values.fold(None, |ends: Option<(f64, f64)>, value| {
            Some(ends.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
        })
    };
    let across = ends(&mut points.iter().map(|point| point.0))?;
    let (mut low, mut high) = ends(&mut points.iter().map(|point| point.1))?;
    let span = (high - low).max(1e-6 * high.abs()).max(1e-9);
    // A level is shown where it is near what was measured.
    for (level, _) in &chart.levels {
        let near = if chart.logarithmic {
            *level > low / 20.0 && *level < high * 20.0
        } else {
            *level > low - 3.0 * span && *level < high + 3.0 * span
        };
        if near {
            (low, high) = (low.min(*level), high.max(*level));
        }
    }
    let up = if chart.logarithmic {
        (low / 1.15, high * 1.15)
    } else {
        let room = 0.06 * (high - low).max(span);
        (low - room, high + room)
    };
    let across = if across.1 > across.0 { across } else { (across.0 - 0.5, across.0 + 0.5) };
    Some(Frame { across, up, logarithmic: chart.logarithmic })
}

fn axes(chart: &Chart, frame: &Frame) -> Vec<Element> {
    let (left, right, bottom) = (LEFT, SIZE.0 - RIGHT, SIZE.1 - BOTTOM);
    let mut grid = Element::new("g").with("stroke", "#dcdcdc").with("stroke-width", 0.8);
    let mut ticks = Element::new("g").with("fill", BLACK);
    let step = nice_step((frame.across.1 - frame.across.0) / 8.0);
    for value in multiples(step, frame.across) {
        let x = frame.x(value);
        grid = grid.child(straight(Point::new(x, TOP), Point::new(x, bottom)));
        ticks = ticks.child(text(Point::new(x, bottom + 18.0), LETTERS, Anchor::Middle, &short(value)));
    }
    for value in up_ticks(frame) {
        let y = frame.y(value);
        grid = grid.child(straight(Point::new(left, y), Point::new(right, y)));
        ticks = ticks.child(text(Point::new(left - 7.0, y + 5.0), LETTERS, Anchor::End, &short(value)));
    }
    let border = Element::new("rect")
        .with("x", left)
        .with("y", TOP)
        .with("width", right - left)
        .with("height", bottom - TOP);
    let border = border.with("fill", "none").with("stroke", GREY);
    let names = vec![
        text(Point::new((left + right) / 2.0, SIZE.1 - 10.0), LETTERS, Anchor::Middle, &chart.across),
        text(Point::new(left, TOP - 10.0), LETTERS, Anchor::End, &chart.up),
    ];
    [vec![grid, ticks, border], names].concat()
}

fn up_ticks(frame: &Frame) -> Vec<f64> {
    if !frame.logarithmic {
        return multiples(nice_step((frame.up.1 - frame.up.0) / 6.0), frame.up);
    }
    let decades = libm::log10(frame.up.1 / frame.up.0);
    let parts: &[f64] = if decades < 1.2 {
        &[1.0, 1.5, 2.0, 3.0, 5.0, 7.0]
    } else if decades < 3.0 {
        &[1.0, 2.0, 5.0]
    } else {
        &[1.0]
    };
    let values =
        (-6..=9).flat_map(|ten| parts.iter().map(move |part| part * libm::pow(10.0, f64::from(ten))));
    values.filter(|value| *value >= frame.up.0 && *value <= frame.up.1).collect()
}

fn levels(chart: &Chart, frame: &Frame) -> Vec<Element> {
    let inside = |level: f64| level >= frame.up.0 && level <= frame.up.1;
    let mut drawn_levels = Vec::new();
    for (level, name) in chart.levels.iter().filter(|(level, _)| inside(*level)) {
        let y = frame.y(*level);
        let line = straight(Point::new(LEFT, y), Point::new(SIZE.0 - RIGHT, y));
        drawn_levels.push(drawn(line, Pen { colour: "#8a0012", width: 1.4, dashes: "8 4" }));
        let label = text(Point::new(SIZE.0 - RIGHT - 4.0, y - 4.0), LETTERS - 1.0, Anchor::End, name);
        drawn_levels.push(label.with("fill", "#8a0012"));
    }
    drawn_levels
}

const fn pen(kind: SeriesKind) -> Pen {
    match kind {
        SeriesKind::Measured => Pen { colour: "#1a5a96", width: 1.2, dashes: "" },
        SeriesKind::Model => Pen { colour: "#a83a0c", width: 2.2, dashes: "" },
        SeriesKind::Ideal => Pen { colour: "#3d6b28", width: 1.8, dashes: "3 4" },
    }
}

fn one(series: &Series, frame: &Frame) -> Element {
    let size = series.points.len().div_ceil(MOST).max(1);
    let fits = |(x, y): &&(f64, f64)| x.is_finite() && y.is_finite() && (!frame.logarithmic || *y > 0.0);
    let kept = series.points.iter().step_by(size).filter(fits);
    let points: Vec<Point> = kept.map(|(x, y)| Point::new(frame.x(*x), frame.y(*y))).collect();
    let pen = pen(series.kind);
    if series.kind != SeriesKind::Measured {
        return drawn(path(&points), pen);
    }
    let radius = if points.len() > 150 { 1.6 } else { 2.6 };
    let dot = |at: &Point| {
        let place = |value: f64| format!("{value:.1}");
        Element::new("circle").with("cx", place(at.x)).with("cy", place(at.y)).with("r", radius)
    };
    Element::new("g").with("fill", pen.colour).all(points.iter().map(dot))
}

fn legend(chart: &Chart) -> Element {
    let mut group = Element::new("g").with("fill", BLACK);
    let mut x = LEFT + 40.0;
    for series in &chart.series {
        let pen = pen(series.kind);
        let y = TOP - 15.0;
        group = group.child(match series.kind {
            SeriesKind::Measured => Element::new("circle")
                .with("cx", x + 11.0)
                .with("cy", y)
                .with("r", 3.2)
                .with("fill", pen.colour),
            _ => drawn(straight(Point::new(x, y), Point::new(x + 22.0, y)), pen),
        });
        group = group.child(text(Point::new(x + 28.0, TOP - 10.0), LETTERS, Anchor::Start, &series.name));
        x += 46.0 + width(&series.name, LETTERS);
    }
    group
}
