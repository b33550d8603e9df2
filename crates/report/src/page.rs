//! The saturation page: tables of bubble and dew points to print and to hang beside the gauges.

use stemwise_thermo::{BubbleDew, Substance};
use stemwise_units::{Pressure, Temperature, TemperatureDifference, UnitSystem};

use crate::Error;
use crate::ink::FACES;
use crate::lettering::{digits, fixed};
use crate::markup::Element;
use crate::options::{PressureAxis, check_atmosphere, check_heading};
use crate::scale::{Shown, multiples};
use crate::words;

/// More rows than this are no page to print.
const MOST_ROWS: u32 = 400;
/// What is printed unless asked otherwise: what service meets, in °C.
const USUAL: (f64, f64) = (-50.0, 65.0);
/// So far the last row stays below the critical point.
const BELOW_CRITICAL: f64 = 1.0;

/// The paper to print on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Paper {
    /// 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// What can be chosen about a saturation page.
#[derive(Clone, Debug, PartialEq)]
pub struct PageOptions {
    /// The units to print.
    pub units: UnitSystem,
    /// Where gauges read zero, 20 to 110 kPa.
    pub atmosphere: Pressure,
    /// The ends of the tables; if left out, from −50 °C to 65 °C as far as the refrigerant has them.
    pub temperatures: Option<(Temperature, Temperature)>,
    /// The step of the full table; if left out, 5 K or 10 °F.
    pub step: Option<TemperatureDifference>,
    /// The paper.
    pub paper: Paper,
    /// A heading of one's own, at most 60 characters.
    pub heading: Option<String>,
}

impl PageOptions {
    /// The usual page in these units, for gauges that read zero at this pressure.
    pub const fn usual(units: UnitSystem, atmosphere: Pressure) -> Self {
        Self { units, atmosphere, temperatures: None, step: None, paper: Paper::A4, heading: None }
    }
}

/// Writes the saturation page of a refrigerant, a blend or any composition: a whole HTML file that needs nothing else, with rules for
/// print.
///
/// # Errors
/// [`Error`] for what can't be printed; [`Error::Thermo`] where a temperature has no saturation.
///
/// ```
/// use stemwise_report::{PageOptions, saturation_page};
/// use stemwise_thermo::Substance;
/// use stemwise_units::{Pressure, UnitSystem};
/// let usual = |kilopascal| PageOptions::usual(UnitSystem::Si, Pressure::from_kpa(kilopascal));
/// let page = saturation_page(&Substance::named("R-407C")?, &usual(101.325))?;
/// assert!(page.contains("for subcooling") && page.contains("for superheat"));
/// assert!(saturation_page(&Substance::named("R-407C")?, &usual(300.0)).is_err());
/// # Ok::<(), stemwise_report::Error>(())
/// ```
pub fn saturation_page(substance: &Substance, options: &PageOptions) -> Result<String, Error> {
    check_heading(options.heading.as_deref())?;
    check_atmosphere(options.atmosphere)?;
    let writer = Writer {
        substance,
        options,
        gauge: Shown { units: options.units, axis: PressureAxis::Gauge(options.atmosphere) },
        absolute: Shown { units: options.units, axis: PressureAxis::Absolute },
        blend: substance.mixture().is_some(),
        kelvin: temperatures(substance, options)?,
    };
    let (full, by_pressure, by_temperature) =
        (writer.full()?, writer.by_pressure()?, writer.by_temperature()?);
    let body =
        Element::new("body").all(writer.header()).all([full, writer.notes(), by_pressure, by_temperature]);
    let language = Element::new("html").with("lang", "en").child(writer.head()).child(body);
    Ok(format!("<!DOCTYPE html>\n{}", language.write()))
}

/// The ends of the tables, K.
fn temperatures(substance: &Substance, options: &PageOptions) -> Result<(f64, f64), Error> {
    let lowest = substance.lowest_temperature().as_k() + 0.01;
    let highest = substance.critical_temperature().as_k() - BELOW_CRITICAL;
    let (low, high) = options.temperatures.map_or_else(
        || {
            let usual = |celsius| Temperature::from_celsius(celsius).as_k();
            // Air and its gases have none of the usual temperatures: their table ends below the critical point.
            let low = usual(USUAL.0).min(highest - 60.0).max(lowest);
            (low, usual(USUAL.1).max(low + 60.0).min(highest))
        },
        |(low, high)| (low.as_k(), high.as_k()),
    );
    let step = options.step.map_or(5.0, TemperatureDifference::as_k);
    let rows = (high - low) / step;
    if !(step > 0.0 && (0.0..f64::from(MOST_ROWS)).contains(&rows)) {
        return Err(Error::Rows { low, high, step, most: MOST_ROWS });
    }
    if options.temperatures.is_some() {
        // What there is no saturation at is said in the words of the equation.
        for end in [low, high] {
            substance.saturation_at(Temperature::from_k(end))?;
        }
    }
    Ok((low, high))
}

struct Writer<'s> {
    substance: &'s Substance,
    options: &'s PageOptions,
    gauge: Shown,
    absolute: Shown,
    blend: bool,
    kelvin: (f64, f64),
}

/// A cell of a table's head: its words, and over how many columns it goes.
fn heads(cells: &[(&str, u32)]) -> Element {
    let cell = |(words, over): &(&str, u32)| {
        let cell = Element::new("th").with("scope", "col");
        let cell = if *over > 1 { cell.with("colspan", over) } else { cell };
        cell.text(*words)
    };
    Element::new("tr").all(cells.iter().map(cell))
}

fn row(cells: Vec<String>) -> Element {
    let mut row = Element::new("tr");
    for (at, cell) in cells.into_iter().enumerate() {
        row = row.child(if at == 0 {
            Element::new("th").with("scope", "row").text(cell)
        } else {
            Element::new("td").text(cell)
        });
    }
    row
}

fn table(head: &[Element], rows: impl IntoIterator<Item = Element>) -> Element {
    let head = Element::new("thead").all(head.iter().cloned());
    Element::new("table").child(head).child(Element::new("tbody").all(rows))
}

impl Writer<'_> {
    const fn ip(&self) -> bool {
        matches!(self.options.units, UnitSystem::Ip)
    }

    fn at(&self, kelvin: f64) -> Result<BubbleDew, Error> {
        Ok(self.substance.saturation_at(Temperature::from_k(kelvin))?)
    }

    /// Round temperatures between the ends, as shown, by a step in shown degrees.
    fn steps(&self, step: f64) -> Vec<f64> {
        multiples(step, (self.gauge.temperature(self.kelvin.0), self.gauge.temperature(self.kelvin.1)))
    }

    fn gauge_pressure(&self, pascal: f64) -> String {
        fixed(self.gauge.pressure(pascal), if self.ip() { 1 } else { 2 })
    }

    fn absolute_pressure(&self, pascal: f64) -> String {
        if self.ip() {
            fixed(self.absolute.pressure(pascal), 1)
        } else {
            fixed(self.absolute.pressure(pascal), 3)
        }
    }

    fn temperature(&self, kelvin: f64) -> String {
        fixed(self.gauge.temperature(kelvin), 1)
    }

    /// The full table, by temperature.
    fn full(&self) -> Result<Element, Error> {
        let step = self.options.step.map_or(if self.ip() { 10.0 } else { 5.0 }, |step| {
            if self.ip() { step.as_fahrenheit_degrees() } else { step.as_k() }
        });
        let given = self.options.temperatures.is_some();
        let start = self.gauge.temperature(self.kelvin.0);
        let count = ((self.gauge.temperature(self.kelvin.1) - start) / step + 1e-9) as u32;
        // Asked for by a person, the table starts where they said; otherwise at a round number.
        let values =
            if given { (0..=count).map(|n| start + f64::from(n) * step).collect() } else { self.steps(step) };
        let (absolute, gauge) = (self.absolute.pressure_unit(), self.gauge.pressure_unit());
        let (t, rho, h) =
            (self.gauge.temperature_unit(), self.gauge.density_unit(), self.gauge.enthalpy_unit());
        let head = if self.blend {
            let points = [("", 1), ("Bubble point", 2), ("Dew point", 2), ("Density", 2), ("Enthalpy", 2)];
            let units = [t, absolute, gauge, absolute, gauge, rho, rho, h, h].map(|unit| (unit, 1));
            let sides = [("", 5), ("liquid", 1), ("vapour", 1), ("liquid", 1), ("vapour", 1)];
            vec![heads(&points), heads(&sides), heads(&units)]
        } else {
            let points = [("", 1), ("Pressure", 2), ("Density", 2), ("Enthalpy", 3)];
            let sides = [("", 3), ("liquid", 1), ("vapour", 1), ("liquid", 1), ("latent", 1), ("vapour", 1)];
            let units = [t, absolute, gauge, rho, rho, h, h, h].map(|unit| (unit, 1));
            vec![heads(&points), heads(&sides), heads(&units)]
        };
        let rows: Vec<Element> =
            values.into_iter().map(|value| self.full_row(value)).collect::<Result<_, _>>()?;
        let title = Element::new("h2").text("Saturation by temperature");
        Ok(Element::new("section").with("class", "full").child(title).child(table(&head, rows)))
    }

    fn full_row(&self, shown: f64) -> Result<Element, Error> {
        let BubbleDew { bubble, dew } = self.at(self.gauge.kelvin(shown))?;
        let (l, v) = (*bubble.raw(), *dew.raw());
        let density = |rho: f64| digits(rho / self.gauge.density_size(), 4);
        let enthalpy = |h: f64| fixed(self.gauge.enthalpy(h), 1);
        let mut cells = vec![fixed(shown, 1), self.absolute_pressure(l.p), self.gauge_pressure(l.p)];
        if self.blend {
            cells.extend([self.absolute_pressure(v.p), self.gauge_pressure(v.p)]);
        }
        cells.extend([density(l.rho), density(v.rho), enthalpy(l.h)]);
        if !self.blend {
            cells.push(enthalpy(v.h - l.h));
        }
        cells.push(enthalpy(v.h));
        Ok(row(cells))
    }

    /// From the gauge to the temperature: steps grow with the pressure, as a gauge is read.
    fn by_pressure(&self) -> Result<Element, Error> {
        let (low, high) = (self.at(self.kelvin.0)?, self.at(self.kelvin.1)?);
        let (low, high) = (self.gauge.pressure(low.bubble.raw().p), self.gauge.pressure(high.dew.raw().p));
        let rows: Vec<Element> = gauge_steps(self.ip())
            .into_iter()
            .filter(|value| *value >= low && *value <= high)
            .map(|value| self.pressure_row(value))
            .collect::<Result<_, _>>()?;
        let unit = self.gauge.pressure_unit();
        let t = self.gauge.temperature_unit();
        Ok(self.strips("Gauge pressure to temperature", unit, t, rows))
    }

    fn pressure_row(&self, shown: f64) -> Result<Element, Error> {
        let BubbleDew { bubble, dew } =
            self.substance.saturation_at_pressure(Pressure::from_pa(self.gauge.pascal(shown)))?;
        let mut cells = vec![fixed(shown, if self.ip() { 0 } else { 1 }), self.temperature(bubble.raw().t)];
        if self.blend {
            cells.push(self.temperature(dew.raw().t));
        }
        Ok(row(cells))
    }

    /// From the temperature to the gauge.
    fn by_temperature(&self) -> Result<Element, Error> {
        let range = self.gauge.temperature(self.kelvin.1) - self.gauge.temperature(self.kelvin.0);
        let usual = if self.ip() { 2.0 } else { 1.0 };
        let step = usual * libm::ceil(range / 130.0 / usual).max(1.0);
        let rows: Vec<Element> = self
            .steps(step)
            .into_iter()
            .map(|value| self.temperature_row(value))
            .collect::<Result<_, _>>()?;
        let t = self.gauge.temperature_unit();
        Ok(self.strips("Temperature to gauge pressure", t, self.gauge.pressure_unit(), rows))
    }

    fn temperature_row(&self, shown: f64) -> Result<Element, Error> {
        let BubbleDew { bubble, dew } = self.at(self.gauge.kelvin(shown))?;
        let mut cells = vec![fixed(shown, 0), self.gauge_pressure(bubble.raw().p)];
        if self.blend {
            cells.push(self.gauge_pressure(dew.raw().p));
        }
        Ok(row(cells))
    }

    const fn strip_count(&self) -> usize {
        if self.blend { 4 } else { 5 }
    }

    /// A long narrow table in strips side by side.
    fn strips(&self, title: &str, from: &str, to: &str, rows: Vec<Element>) -> Element {
        let each = rows.len().div_ceil(self.strip_count()).max(1);
        let head = if self.blend {
            vec![
                heads(&[("", 1), ("bubble", 1), ("dew", 1)]),
                heads(&[(from, 1), (to, 1), (to, 1)]),
                heads(&[("", 1), ("for subcooling", 1), ("for superheat", 1)]),
            ]
        } else {
            vec![heads(&[(from, 1), (to, 1)])]
        };
        let tables = rows.chunks(each).map(|rows| table(&head, rows.iter().cloned()));
        let tables: Vec<Element> = tables.collect();
        let strips = Element::new("div").with("class", "strips").all(tables);
        let how = if self.blend {
            "Subcooling: the bubble point less the liquid line's temperature. Superheat: the suction line's temperature less the dew \
             point. Between the two the blend glides."
        } else {
            "Subcooling: this less the liquid line's temperature. Superheat: the suction line's temperature less this."
        };
        let title = Element::new("h2").text(title);
        Element::new("section")
            .with("class", "gauge")
            .child(title)
            .child(Element::new("p").text(how))
            .child(strips)
    }

    fn head(&self) -> Element {
        let title = Element::new("title").text(format!("{}: saturation tables", self.substance.name()));
        let charset = Element::new("meta").with("charset", "utf-8");
        let scale = Element::new("meta")
            .with("name", "viewport")
            .with("content", "width=device-width, initial-scale=1");
        Element::new("head").all([charset, scale, title, Element::new("style").text(self.style())])
    }

    fn style(&self) -> String {
        let paper = match self.options.paper {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        };
        STYLE
            .replace("PAPER", paper)
            .replace("STRIPS", &self.strip_count().to_string())
            .replace("FACES", &FACES.replace('\'', ""))
    }

    fn header(&self) -> Vec<Element> {
        let paragraph =
            |class: &'static str, words: String| Element::new("p").with("class", class).text(words);
        let mut parts = Vec::new();
        parts.extend(self.options.heading.clone().map(|heading| paragraph("heading", heading)));
        parts.push(Element::new("h1").text(format!("{} saturation", self.substance.name())));
        parts.push(paragraph("class", words::safety_class(self.substance)));
        parts.extend(words::composition(self.substance).map(|what| paragraph("", what)));
        let at = self.options.units.absolute_pressure(self.options.atmosphere);
        parts.push(paragraph(
            "",
            format!("Gauges read zero at {at}. At another height above the sea they read otherwise."),
        ));
        parts.extend(words::class_caution(self.substance).map(|what| paragraph("", what.to_owned())));
        parts.extend(words::estimate(self.substance).map(|what| paragraph("estimate", what)));
        vec![Element::new("header").all(parts)]
    }

    fn notes(&self) -> Element {
        let notes = [
            words::CAUTION.to_owned(),
            words::REFERENCE_STATE.to_owned(),
            words::model(self.substance),
            words::sources(self.substance),
        ];
        let notes =
            notes.into_iter().filter(|note| !note.is_empty()).map(|note| Element::new("p").text(note));
        Element::new("section").with("class", "notes").all(notes)
    }
}

/// Gauge pressures as a page lists them: bar, or psi; finer where a degree is a smaller step.
fn gauge_steps(ip: bool) -> Vec<f64> {
    let steps: &[(i32, i32, i32, f64)] = if ip {
        &[(-14, 50, 2, 1.0), (50, 150, 5, 1.0), (150, 400, 10, 1.0), (400, 1200, 25, 1.0)]
    } else {
        // Tenths of a bar.
        &[(-9, 20, 1, 0.1), (20, 60, 2, 0.1), (60, 150, 5, 0.1), (150, 300, 10, 0.1), (300, 800, 20, 0.1)]
    };
    let mut values = Vec::new();
    for &(from, to, step, size) in steps {
        let mut at = from;
        while at < to {
            values.push(f64::from(at) * size);
            at += step;
        }
    }
    values
}

const STYLE: &str = "
@page { size: PAPER; margin: 12mm }
* { box-sizing: border-box }
body { font-family: FACES; font-size: 14px; line-height: 1.35; color: #1a1a1a; background: #fff; max-width: 60em; margin: 1em auto; padding: 0 1em }
h1 { font-size: 1.9em; margin: 0 }
h2 { font-size: 1.15em; margin: 1.4em 0 0.4em; border-bottom: 2px solid #1a1a1a }
p { margin: 0.25em 0 }
header { position: relative }
.heading { color: #4d4d4d; font-weight: bold }
.class { display: inline-block; border: 1.5px solid #1a1a1a; border-radius: 3px; padding: 0.1em 0.6em; font-weight: bold }
.estimate { border: 2px solid #8a0012; color: #8a0012; font-weight: bold; padding: 0.3em 0.6em }
table { border-collapse: collapse; font-variant-numeric: tabular-nums }
.full { overflow-x: auto }
.full table { width: 100% }
th, td { text-align: right; padding: 0.12em 0.5em; font-weight: normal }
thead th { color: #4d4d4d; font-size: 0.9em; white-space: nowrap }
thead th[colspan] { text-align: center; color: #1a1a1a; font-weight: bold }
thead tr:last-child th { border-bottom: 1.5px solid #1a1a1a }
tbody th { font-weight: bold }
tbody tr:nth-child(even) { background: #f1f1ee }
tbody tr:nth-child(5n) { border-bottom: 1px solid #8c8c8c }
.strips { display: grid; grid-template-columns: repeat(auto-fill, minmax(13em, 1fr)); gap: 0.6em 1.2em; align-items: start }
.strips table { width: 100%; font-size: 0.93em; table-layout: fixed }
.strips thead th { white-space: normal; vertical-align: bottom }
section.notes { margin-top: 1.4em; font-size: 0.8em; color: #4d4d4d }
@media print {
  body { font-size: 9pt; margin: 0; padding: 0; max-width: none }
  tbody tr { print-color-adjust: exact; -webkit-print-color-adjust: exact }
  thead { display: table-header-group }
  tr { break-inside: avoid }
  h2 { break-after: avoid }
  .gauge { break-inside: avoid }
  .strips { grid-template-columns: repeat(STRIPS, 1fr) }
  .strips tbody td, .strips tbody th { padding: 0.05em 0.4em }
}
";
