//! The sheet around a diagram: title, legend, the cycle's table, notes.

use stemwise_thermo::Substance;
use stemwise_units::{Pressure, UnitSystem};

use crate::Error;
use crate::cycle::{Cycle, cycle};
use crate::diagram::{Drawing, axes};
use crate::geometry::{Point, Rectangle};
use crate::ink::{Anchor, BLACK, CYCLE, FACES, GREY, Pen, drawn, pen, straight, text};
use crate::lettering::{bold_width, fixed, width, wrap};
use crate::lines::{Family, Plotter};
use crate::markup::Element;
use crate::options::{Options, PressureAxis, Sheet};
use crate::scale::{Frame, Shown};
use crate::tables::{figures, points};
use crate::view::{Asked, view};
use crate::words;

/// Sizes of a sheet, in its own units.
#[derive(Clone, Copy, Debug)]
struct Sizes {
    width: f64,
    plot: f64,
    margin: f64,
    title: f64,
    text: f64,
    label: f64,
    note: f64,
}

const WIDE: Sizes =
    Sizes { width: 1180.0, plot: 610.0, margin: 26.0, title: 30.0, text: 14.0, label: 12.5, note: 11.0 };
const NARROW: Sizes =
    Sizes { width: 480.0, plot: 560.0, margin: 14.0, title: 25.0, text: 13.0, label: 12.0, note: 10.5 };

/// Draws the pressure-enthalpy diagram of a refrigerant, a blend or any composition: a whole SVG file that needs nothing else.
///
/// The pressure axis is logarithmic in absolute pressure. Each vertex of a line has the line's value to within what a hundredth of
/// the sheet's unit means; between two of them a line runs less than a fifth of a unit off its curve. Lines end where the equations
/// were no longer fitted. The group `plot` says in its `data-` attributes which enthalpies (J/kg) and absolute pressures (Pa) its
/// edges stand for, and each path which value (K, J/(kg K), kg/m³, or the vapour's part of the mass) it is drawn for.
///
/// # Errors
/// [`Error`] for what can't be drawn.
///
/// ```
/// use stemwise_report::{Options, pressure_enthalpy};
/// use stemwise_thermo::Substance;
/// let svg = pressure_enthalpy(&Substance::named("R-290")?, &Options::default())?;
/// assert!(svg.starts_with("<svg") && svg.contains("Safety class A3"));
/// let heading = Some("x".repeat(100));
/// assert!(pressure_enthalpy(&Substance::named("R-290")?, &Options { heading, ..Options::default() }).is_err());
/// # Ok::<(), stemwise_report::Error>(())
/// ```
pub fn pressure_enthalpy(substance: &Substance, options: &Options) -> Result<String, Error> {
    options.check()?;
    let asked = Asked::new(substance)?;
    let cycle = options.cycle.as_ref().map(|ask| cycle(substance, ask)).transpose()?;
    let sizes = match options.sheet {
        Sheet::Wide => WIDE,
        Sheet::Narrow => NARROW,
    };
    let shown = Shown { units: options.units, axis: options.pressure_axis };
    let mut writer = Writer { sizes, shown, y: sizes.margin, elements: Vec::new() };
    writer.header(&asked, options);
    writer.legend(options.densities, cycle.is_some());
    let frame = Frame { view: view(&asked, options, cycle.as_ref()), room: writer.room() };
    let plotter = Plotter { asked, frame, shown };
    let drawing =
        Drawing { plotter, sheet: options.sheet, densities: options.densities, label_size: sizes.label };
    writer.plot(&drawing, substance, cycle.as_ref());
    if let Some(cycle) = &cycle {
        writer.cycle(cycle);
    }
    writer.notes(substance, cycle.is_some());
    Ok(writer.done(substance, cycle.as_ref()))
}

/// Writes a sheet from its top down.
struct Writer {
    sizes: Sizes,
    shown: Shown,
    y: f64,
    elements: Vec<Element>,
}

impl Writer {
    const fn right(&self) -> f64 {
        self.sizes.width - self.sizes.margin
    }
    fn inner(&self) -> f64 {
        self.sizes.width - 2.0 * self.sizes.margin
    }

    /// Lines of text below what is there.
    fn paragraph(&mut self, what: &str, size: f64, colour: &'static str, bold: bool) {
        let room = if bold { self.inner() / 1.12 } else { self.inner() };
        for line in wrap(what, size, room) {
            self.y += 1.3 * size;
            let at = Point::new(self.sizes.margin, self.y);
            let line = text(at, size, Anchor::Start, &line).with("fill", colour);
            self.elements.push(if bold { line.with("font-weight", "bold") } else { line });
        }
    }

    fn header(&mut self, asked: &Asked<'_>, options: &Options) {
        let Sizes { margin, title, text: size, .. } = self.sizes;
        let substance = asked.substance;
        if let Some(heading) = &options.heading {
            self.paragraph(heading, size, GREY, true);
        }
        self.badge(&words::safety_class(substance));
        let name = if substance.safety_class().is_none() && substance.mixture().is_some() {
            "Own mixture".to_owned()
        } else {
            substance.name()
        };
        self.y += 1.05 * title;
        let first = text(Point::new(margin, self.y), title, Anchor::Start, &name).with("font-weight", "bold");
        self.elements.push(first.with("fill", BLACK));
        let (kind, room) = ("pressure\u{2013}enthalpy diagram", 0.58 * title);
        let beside = margin + bold_width(&name, title) + 0.4 * title;
        let fits = beside + width(kind, room) < self.right() - 180.0;
        if !fits {
            self.y += 1.3 * room;
        }
        let at = Point::new(if fits { beside } else { margin }, self.y);
        self.elements.push(text(at, room, Anchor::Start, kind).with("fill", GREY));
        self.y += 0.2 * size;
        if let Some(composition) = words::composition(substance) {
            self.paragraph(&composition, size, BLACK, false);
        }
        self.paragraph(&self.facts(asked), size, BLACK, false);
        if let Some(caution) = words::class_caution(substance) {
            self.paragraph(caution, size, BLACK, false);
        }
        if let Some(estimate) = words::estimate(substance) {
            self.paragraph(&estimate, size, "#8a0012", true);
        }
    }

    /// The safety class in a box of its own, at the top on the right.
    fn badge(&mut self, class: &str) {
        let size = self.sizes.text;
        let (broad, high) = (bold_width(class, size) + 1.4 * size, 1.9 * size);
        let (left, top) = (self.right() - broad, self.y + 1.0);
        let frame = Element::new("rect")
            .with("x", fixed(left, 1))
            .with("y", fixed(top, 1))
            .with("width", fixed(broad, 1));
        let frame =
            frame.with("height", fixed(high, 1)).with("rx", 3).with("fill", "#fff").with("stroke", BLACK);
        let at = Point::new(left + broad / 2.0, top + 1.3 * size);
        let words = text(at, size, Anchor::Middle, class).with("font-weight", "bold").with("fill", BLACK);
        self.elements.extend([frame.with("stroke-width", 1.4), words]);
    }

    fn facts(&self, asked: &Asked<'_>) -> String {
        let critical = asked.critical;
        let units = self.shown.units;
        let temperature = fixed(self.shown.temperature(critical.kelvin), 1);
        let pressure = Pressure::from_pa(critical.pascal);
        let pressure = match units {
            UnitSystem::Si => format!("{} bar(a)", fixed(pressure.as_bar(), 2)),
            UnitSystem::Ip => format!("{} psia", fixed(pressure.as_psi(), 1)),
        };
        let molar = fixed(1000.0 * asked.substance.molar_mass_kg_per_mol(), 2);
        format!(
            "Critical point {temperature} {}, {pressure} \u{b7} molar mass {molar} g/mol",
            self.shown.temperature_unit()
        )
    }

    /// A sample of each kind of line with its name, in rows.
    fn legend(&mut self, densities: bool, cycle: bool) {
        let shown = self.shown;
        let mut entries: Vec<(Pen, String)> = vec![
            (pen(Family::Bubble), "bubble and dew line".into()),
            (pen(Family::Isotherm), format!("temperature, {}", shown.temperature_unit())),
            (pen(Family::Isentrope), format!("entropy, {}", shown.entropy_unit())),
            (pen(Family::Quality), "vapour fraction by mass".into()),
        ];
        if densities {
            entries.push((pen(Family::Density), format!("density, {}", shown.density_unit())));
        }
        if cycle {
            entries.push((Pen { colour: CYCLE, width: 3.4, dashes: "" }, "cycle".into()));
        }
        let (size, sample) = (self.sizes.text - 1.0, 40.0);
        let mut x = self.sizes.margin;
        self.y += 2.0 * size;
        for (pen, name) in entries {
            let broad = sample + 7.0 + width(&name, size) + 1.6 * size;
            if x + broad - 1.6 * size > self.right() {
                x = self.sizes.margin;
                self.y += 1.5 * size;
            }
            let line =
                straight(Point::new(x, self.y - 0.34 * size), Point::new(x + sample, self.y - 0.34 * size));
            let words = text(Point::new(x + sample + 7.0, self.y), size, Anchor::Start, &name);
            self.elements.extend([drawn(line, pen), words.with("fill", pen.colour)]);
            x += broad;
        }
        self.y += 1.2 * size;
    }

    /// Where the plot goes.
    fn room(&self) -> Rectangle {
        let Sizes { margin, plot, label, .. } = self.sizes;
        Rectangle { left: margin + 5.2 * label, top: self.y, right: self.right(), bottom: self.y + plot }
    }

    fn plot(&mut self, drawing: &Drawing<'_>, substance: &Substance, cycle: Option<&Cycle>) {
        let frame = &drawing.plotter.frame;
        let room = frame.room;
        let size = self.sizes.text;
        let mut plot = Element::new("g").with("id", "plot");
        let edges = [
            ("data-left", room.left),
            ("data-right", room.right),
            ("data-top", room.top),
            ("data-bottom", room.bottom),
            ("data-enthalpy-left", frame.view.enthalpy.0),
            ("data-enthalpy-right", frame.view.enthalpy.1),
            ("data-pressure-bottom", frame.view.pressure.0),
            ("data-pressure-top", frame.view.pressure.1),
        ];
        for (name, value) in edges {
            plot = plot.with(name, value);
        }
        let border =
            Element::new("rect").with("x", room.left).with("y", room.top).with("width", room.width());
        let border = border
            .with("height", room.height())
            .with("fill", "none")
            .with("stroke", BLACK)
            .with("stroke-width", 1.4);
        plot = plot
            .all(axes(&drawing.plotter, self.sizes.label))
            .all(drawing.elements(substance, cycle))
            .child(border);
        self.elements.push(plot);
        self.y = room.bottom + 1.35 * self.sizes.label + 1.45 * size;
        let middle = f64::midpoint(room.left, room.right);
        let enthalpy = format!("Enthalpy, {}", self.shown.enthalpy_unit());
        let enthalpy =
            text(Point::new(middle, self.y), size, Anchor::Middle, &enthalpy).with("font-weight", "bold");
        let (x, y) = (self.sizes.margin + 0.8 * size, f64::midpoint(room.top, room.bottom));
        let pressure = Element::new("text")
            .with("transform", format!("translate({} {}) rotate(-90)", fixed(x, 2), fixed(y, 2)));
        let pressure =
            pressure.with("font-size", size).with("text-anchor", "middle").with("font-weight", "bold");
        let pressure = pressure.text(format!("Pressure, {}", self.shown.pressure_unit()));
        self.elements.extend([enthalpy.with("fill", BLACK), pressure.with("fill", BLACK)]);
        self.y += 0.4 * size;
    }

    /// The cycle's points as a table, its figures beside or below.
    fn cycle(&mut self, cycle: &Cycle) {
        let size = if self.sizes.width < 600.0 { 0.72 * self.sizes.text } else { 0.9 * self.sizes.text };
        let rows = points(cycle, self.shown);
        let figures = figures(cycle, self.shown);
        let narrow = self.sizes.width < 600.0;
        let broad = if narrow { self.inner() } else { 0.53 * self.inner() };
        let top = self.y + 0.8 * size;
        self.y = top;
        self.table(&rows, size, broad);
        let below = self.y;
        let columns = if narrow { 1 } else { 2 };
        let left = if narrow { self.sizes.margin } else { self.sizes.margin + broad + 2.6 * size };
        let size = if narrow { self.sizes.text * 0.9 } else { size };
        let per_column = figures.len().div_ceil(columns);
        let column = (self.right() - left) / f64::from(u32::try_from(columns).unwrap_or(1));
        let start = if narrow { below + 0.3 * size } else { top };
        for (at, (what, much)) in figures.iter().enumerate() {
            let x = left + column * (at / per_column) as f64;
            let y = start + 1.5 * size * (1 + at % per_column) as f64;
            let end = x + column - if narrow { 0.0 } else { 1.4 * size };
            let (what, much) = (
                text(Point::new(x, y), size, Anchor::Start, what),
                text(Point::new(end, y), size, Anchor::End, much),
            );
            self.elements
                .extend([what.with("fill", GREY), much.with("fill", BLACK).with("font-weight", "bold")]);
        }
        self.y = below.max(start + 1.5 * size * per_column as f64) + 0.2 * size;
    }

    fn table(&mut self, rows: &[Vec<String>], size: f64, broad: f64) {
        let columns = rows.first().map_or(0, Vec::len);
        let wide = |column: usize| -> f64 {
            let cells = rows.iter().enumerate().filter_map(|(at, row)| Some((at, row.get(column)?)));
            cells
                .map(|(at, cell)| if at == 0 { bold_width(cell, size) } else { width(cell, size) })
                .fold(0.0, f64::max)
        };
        let widths: Vec<f64> = (0..columns).map(wide).collect();
        let gap = ((broad - widths.iter().sum::<f64>()) / (columns.max(2) - 1) as f64).max(2.0);
        for (number, row) in rows.iter().enumerate() {
            self.y += 1.5 * size;
            let mut right = self.sizes.margin;
            for (column, cell) in row.iter().enumerate() {
                right += widths.get(column).copied().unwrap_or(0.0);
                let cell = match column {
                    0 => text(Point::new(self.sizes.margin, self.y), size, Anchor::Start, cell),
                    _ => text(Point::new(right, self.y), size, Anchor::End, cell),
                };
                let cell = cell.with("fill", BLACK);
                self.elements.push(if number == 0 { cell.with("font-weight", "bold") } else { cell });
                right += gap;
            }
            if number == 0 {
                self.y += 0.35 * size;
                let (from, to) =
                    (Point::new(self.sizes.margin, self.y), Point::new(self.sizes.margin + broad, self.y));
                self.elements.push(straight(from, to).with("stroke", BLACK).with("stroke-width", 1));
            }
        }
    }

    fn notes(&mut self, substance: &Substance, cycle: bool) {
        let size = self.sizes.note;
        self.y += 0.9 * size;
        if cycle {
            let say = "Cycle: saturation temperatures at the dew point; subcooling from the bubble point; no pressure lost in lines \
                       and heat exchangers; the figures are of the refrigerant alone.";
            self.paragraph(say, size, GREY, false);
        }
        if let PressureAxis::Gauge(atmosphere) = self.shown.axis {
            let at = self.shown.units.absolute_pressure(atmosphere);
            self.paragraph(
                &format!("Gauges read zero at {at}; the axis is logarithmic in absolute pressure."),
                size,
                GREY,
                false,
            );
        }
        self.paragraph(words::REFERENCE_STATE, size, GREY, false);
        self.paragraph(&words::model(substance), size, GREY, false);
        let sources = words::sources(substance);
        if !sources.is_empty() {
            self.paragraph(&sources, size, GREY, false);
        }
        self.paragraph(words::CAUTION, size, GREY, false);
    }

    fn done(self, substance: &Substance, cycle: Option<&Cycle>) -> String {
        let high = libm::ceil(self.y + 0.8 * self.sizes.margin);
        let title = format!("{}: pressure-enthalpy diagram", substance.name());
        let background =
            Element::new("rect").with("width", self.sizes.width).with("height", high).with("fill", "#fff");
        let svg = Element::new("svg").with("xmlns", "http://www.w3.org/2000/svg");
        let svg = svg.with("viewBox", format!("0 0 {} {high}", self.sizes.width)).with("role", "img");
        let svg = svg.with("aria-labelledby", "title desc").with("font-family", FACES);
        let title = Element::new("title").with("id", "title").text(title);
        let desc = Element::new("desc").with("id", "desc").text(describe(substance, self.shown, cycle));
        svg.all([title, desc, background]).all(self.elements).write()
    }
}

/// The diagram in words, for those who hear it.
fn describe(substance: &Substance, shown: Shown, cycle: Option<&Cycle>) -> String {
    let mut says = vec![format!(
        "Enthalpy in {} runs to the right, pressure in {} upwards on a logarithmic scale. The bubble line and the dew line meet at the \
         critical point, {} {}.",
        shown.enthalpy_unit(),
        shown.pressure_unit(),
        fixed(shown.temperature(substance.critical_temperature().as_k()), 1),
        shown.temperature_unit()
    )];
    says.extend(words::composition(substance).map(|what| format!("{what}.")));
    says.push(format!("{}.", words::safety_class(substance)));
    if let Some(cycle) = cycle {
        let figures = figures(cycle, shown);
        let figures: Vec<String> = figures.iter().map(|(what, much)| format!("{what} {much}")).collect();
        says.push(format!("A cycle is drawn on it: {}.", figures.join("; ")));
    }
    says.extend(words::estimate(substance));
    says.join(" ")
}
