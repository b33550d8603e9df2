//! The pressure-enthalpy diagram: its lines with their labels, laid on a frame.

use stemwise_thermo::Substance;

use crate::cycle::{Cycle, compressed};
use crate::geometry::{Label, Point};
use crate::ink::{Anchor, BLACK, CYCLE, drawn, path, pen, straight, text};
use crate::label::{Along, Board, HEAVY, Placed};
use crate::lettering::{fixed, short};
use crate::lines::{Family, Line, Plotter, Region};
use crate::markup::Element;
use crate::options::Sheet;
use crate::trace::trace;

/// Heights and parts where labels are tried, best first.
const NEAR_TOP: [f64; 8] = [0.035, 0.08, 0.125, 0.17, 0.215, 0.26, 0.305, 0.35];
const NEAR_BOTTOM: [f64; 10] = [0.955, 0.91, 0.865, 0.82, 0.775, 0.73, 0.685, 0.64, 0.55, 0.45];
const IN_DOME: [f64; 14] = [0.9, 1.5, 2.2, 3.0, 3.8, 4.6, 5.5, 6.5, 8.0, 10.0, 12.0, 15.0, 18.0, 22.0];
const FROM_END: [f64; 16] =
    [0.95, 0.92, 0.89, 0.86, 0.83, 0.8, 0.75, 0.7, 0.65, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1, 0.05];

/// What a diagram draws with.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawing<'s> {
    pub(crate) plotter: Plotter<'s>,
    pub(crate) sheet: Sheet,
    pub(crate) densities: bool,
    pub(crate) label_size: f64,
}

impl Drawing<'_> {
    /// Every line, those below first.
    fn lines(&self) -> Vec<Line> {
        let plotter = &self.plotter;
        let room = plotter.frame.room;
        let mut lines = Vec::new();
        if self.densities {
            lines.extend(plotter.densities());
        }
        lines.extend(plotter.qualities(if self.sheet == Sheet::Narrow { 2 } else { 1 }));
        lines.extend(plotter.isentropes(room.width() / (3.8 * self.label_size)));
        lines.extend(plotter.isotherms(room.width() / (2.3 * self.label_size)));
        lines.extend(plotter.dome());
        lines
    }

    /// The inside of the frame: lines, labels, cycle.
    pub(crate) fn elements(&self, substance: &Substance, cycle: Option<&Cycle>) -> Vec<Element> {
        let lines = self.lines();
        let mut board = Board::new(self.plotter.frame.room);
        for (number, line) in lines.iter().enumerate() {
            let counts = match line.family {
                Family::Bubble | Family::Dew => HEAVY,
                Family::Isotherm => 1.0,
                Family::Isentrope | Family::Quality | Family::Density => 0.25,
            };
            line.parts.iter().for_each(|part| board.stroke(&part.points, number, counts));
        }
        let cycle = cycle.map(|cycle| (self.cycle_lines(substance, cycle), cycle));
        let mut marks = Vec::new();
        if let Some((curves, cycle)) = &cycle {
            curves.iter().for_each(|curve| board.stroke(curve, usize::MAX, HEAVY));
            marks = self.marks(&mut board, cycle);
        }
        let critical = self.critical_mark(&mut board);
        let labels = self.labels(&lines, &mut board);
        let fine = [Family::Density, Family::Quality, Family::Isentrope, Family::Isotherm];
        // The labels' blank paper interrupts fine lines alone.
        let mut elements = vec![strokes("lines", &fine, &lines), labels];
        elements.push(strokes("dome", &[Family::Bubble, Family::Dew], &lines));
        elements.extend(cycle.iter().map(|(curves, _)| cycle_strokes(curves)));
        elements.extend(critical);
        elements.extend(marks);
        elements
    }

    fn labels(&self, lines: &[Line], board: &mut Board) -> Element {
        let mut placed: Vec<(Family, Placed)> = Vec::new();
        let order = [Family::Isotherm, Family::Quality, Family::Isentrope, Family::Density];
        for family in order {
            for (number, line) in lines.iter().enumerate().filter(|(_, line)| line.family == family) {
                let text = self.label_text(line);
                for (points, along) in places(line) {
                    let label = board.place(&text, self.label_size, points, number, along);
                    placed.extend(label.map(|label| (family, label)));
                }
            }
        }
        let mut all = Element::new("g")
            .with("id", "labels")
            .with("font-size", self.label_size)
            .with("text-anchor", "middle");
        for family in order {
            let own = placed.iter().filter(|(of, _)| *of == family).map(|(_, label)| written(label));
            let group = Element::new("g").with("class", class(family)).with("fill", pen(family).colour);
            all = all.child(group.all(own));
        }
        all.with("stroke", "#fff")
            .with("stroke-width", 3.5)
            .with("paint-order", "stroke")
            .with("stroke-linejoin", "round")
    }

    fn label_text(&self, line: &Line) -> String {
        let shown = self.plotter.shown;
        match line.family {
            Family::Isotherm => format!("{}°", short(shown.temperature(line.value))),
            Family::Isentrope => {
                let value = line.value / shown.entropy_size();
                fixed(value, if (100.0 * value - (100.0 * value).round()).abs() < 1e-6 { 2 } else { 3 })
            }
            Family::Density => short(line.value / shown.density_size()),
            _ => short(line.value),
        }
    }

    fn critical_mark(&self, board: &mut Board) -> Option<Element> {
        let at = self.plotter.critical_point()?;
        let dot = Label { centre: at, width: 9.0, height: 9.0, angle: 0.0 };
        board.free(&dot).then(|| {
            board.take(dot);
            let dot =
                Element::new("circle").with("cx", fixed(at.x, 2)).with("cy", fixed(at.y, 2)).with("r", 4.2);
            dot.with("class", "critical-point")
                .with("fill", "#fff")
                .with("stroke", BLACK)
                .with("stroke-width", 2)
        })
    }

    /// The four lines of the cycle, each from one point to the next.
    fn cycle_lines(&self, substance: &Substance, cycle: &Cycle) -> Vec<Vec<Point>> {
        let [suction, discharge, liquid, expanded] = *cycle.points();
        let frame = &self.plotter.frame;
        let compressing = |log: f64| {
            let state = compressed(substance, &suction, libm::exp(log), cycle.efficiency()).ok();
            state.and_then(|state| frame.at(state.h, state.p)).into()
        };
        let (low, high) = (libm::log(suction.p), libm::log(discharge.p));
        let compression = trace((low + 1e-9, high), 12, &compressing).into_iter().flatten().collect();
        let straight = |one: stemwise_thermo::RawState, other: stemwise_thermo::RawState| {
            frame.at(one.h, one.p).into_iter().chain(frame.at(other.h, other.p)).collect()
        };
        let lines: Vec<Vec<Point>> = vec![
            compression,
            straight(discharge, liquid),
            straight(liquid, expanded),
            straight(expanded, suction),
        ];
        lines.iter().flat_map(|line| frame.room.pieces(line)).collect()
    }

    /// The points' numbers, beside them and clear of one another.
    fn marks(&self, board: &mut Board, cycle: &Cycle) -> Vec<Element> {
        let radius = 0.85 * self.label_size;
        let aside = 1.5 * radius;
        let beside = [(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)];
        let mut marks = Vec::new();
        for ((number, state), (right, down)) in (1..).zip(cycle.points()).zip(beside) {
            let Some(at) = self.plotter.frame.at(state.h, state.p) else { continue };
            let centre = Point::new(at.x + right * aside, at.y + down * aside);
            let dot = Label { centre: at, width: 8.0, height: 8.0, angle: 0.0 };
            if !board.free(&dot) {
                continue;
            }
            board.take(dot);
            board.take(Label { centre, width: 2.0 * radius, height: 2.0 * radius, angle: 0.0 });
            let circle = |at: Point, radius: f64, fill: &'static str| {
                let circle = Element::new("circle").with("cx", fixed(at.x, 2)).with("cy", fixed(at.y, 2));
                circle
                    .with("r", fixed(radius, 1))
                    .with("fill", fill)
                    .with("stroke", CYCLE)
                    .with("stroke-width", 1.8)
            };
            let baseline = Point::new(centre.x, centre.y + 0.36 * self.label_size);
            let digit = text(baseline, self.label_size, Anchor::Middle, &format!("{number}"));
            let digit = digit.with("font-weight", "bold").with("fill", CYCLE);
            let mark = Element::new("g").with("class", "cycle-point");
            marks.push(mark.all([circle(at, 3.4, CYCLE), circle(centre, radius, "#fff"), digit]));
        }
        marks
    }
}

fn strokes(id: &'static str, families: &[Family], lines: &[Line]) -> Element {
    let mut all = Element::new("g").with("id", id);
    for &family in families {
        let own = lines.iter().filter(|line| line.family == family);
        let paths = own.flat_map(|line| {
            line.parts.iter().map(move |part| path(&part.points).with("data-value", short_si(line.value)))
        });
        let group = Element::new("g").with("class", class(family));
        all = all.child(drawn(group, pen(family)).all(paths));
    }
    all
}

/// A value in SI as the drawing's own data give it: with as many digits as are there.
fn short_si(value: f64) -> String {
    format!("{}", libm::round(value * 1e6) / 1e6)
}

const fn class(family: Family) -> &'static str {
    match family {
        Family::Bubble => "bubble-line",
        Family::Dew => "dew-line",
        Family::Isotherm => "isotherm",
        Family::Isentrope => "isentrope",
        Family::Quality => "quality",
        Family::Density => "density",
    }
}

/// Which parts of a line get a label, and where it is tried.
fn places(line: &Line) -> Vec<(&[Point], Along<'static>)> {
    let mut places: Vec<(&[Point], Along<'static>)> = Vec::new();
    let whole = !line.parts.iter().any(|part| part.region == Region::Between);
    for part in &line.parts {
        let points = part.points.as_slice();
        match (line.family, part.region) {
            (Family::Isotherm, Region::Between) => places.push((points, Along::Letters(&IN_DOME))),
            (Family::Isotherm, Region::Lower) => places.push((points, Along::Heights(&NEAR_BOTTOM))),
            (Family::Isotherm, Region::Upper) => {
                places.push((points, Along::Heights(&NEAR_TOP)));
                if whole {
                    places.push((points, Along::Heights(&NEAR_BOTTOM)));
                }
            }
            (Family::Quality, _) => places.push((points, Along::Heights(&NEAR_BOTTOM))),
            _ => places.push((points, Along::Parts(&FROM_END))),
        }
    }
    places
}

/// A label on a piece of blank paper, so that no line runs through it.
fn written(placed: &Placed) -> Element {
    let Label { centre, angle, width, height } = placed.label;
    let place = |value: f64| fixed(value, 2).replace('\u{2212}', "-");
    let transform =
        format!("translate({} {}) rotate({})", place(centre.x), place(centre.y), place(angle.to_degrees()));
    let paper = Element::new("rect").with("x", place(-width / 2.0)).with("y", place(-height / 2.0));
    let paper = paper.with("width", place(width)).with("height", place(height)).with("fill", "#fff");
    let text = Element::new("text").with("x", place(placed.shift)).with("dy", "0.36em").text(&*placed.text);
    Element::new("g").with("transform", transform).child(paper).child(text)
}

fn cycle_strokes(curves: &[Vec<Point>]) -> Element {
    let halo = Element::new("g").with("fill", "none").with("stroke", "#fff").with("stroke-width", 6.5);
    let line = Element::new("g").with("fill", "none").with("stroke", CYCLE).with("stroke-width", 3.4);
    let paths = || curves.iter().map(|curve| path(curve));
    let line = line.with("stroke-linejoin", "round").with("stroke-linecap", "round").all(paths());
    Element::new("g").with("id", "cycle").child(halo.all(paths())).child(line)
}

/// Ticks, grid and names of both axes.
pub(crate) fn axes(plotter: &Plotter<'_>, tick_size: f64) -> Vec<Element> {
    let (frame, shown) = (&plotter.frame, plotter.shown);
    let room = frame.room;
    let mut grid = Element::new("g").with("id", "grid").with("stroke", "#dcdcdc").with("stroke-width", 0.8);
    let mut ticks = Element::new("g").with("id", "ticks").with("fill", BLACK);
    for tick in shown.pressure_ticks(frame, 2.0 * tick_size) {
        let y = frame.y(tick.at);
        grid = grid.child(straight(Point::new(room.left, y), Point::new(room.right, y)));
        let at = Point::new(room.left - 6.0, y + 0.36 * tick_size);
        ticks = ticks.child(text(at, tick_size, Anchor::End, &short(tick.value)));
    }
    for tick in shown.enthalpy_ticks(frame, 4.6 * tick_size) {
        let x = frame.x(tick.at);
        grid = grid.child(straight(Point::new(x, room.top), Point::new(x, room.bottom)));
        let at = Point::new(x, room.bottom + 1.35 * tick_size);
        ticks = ticks.child(text(at, tick_size, Anchor::Middle, &short(tick.value)));
    }
    vec![grid, ticks]
}
