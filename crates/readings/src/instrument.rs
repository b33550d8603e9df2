//! Instruments: what their class says about how far a reading may be off.

use stemwise_circuit::{GAUGE_CLASS, gauge_top};
use stemwise_units::{
    ElectricCurrent, GaugePressure, Mass, Power, PressureDifference, TemperatureDifference, TypedPressure,
    Voltage, VolumeFlow,
};

use crate::uncertain::rectangular;

/// What kind of quantity an instrument measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measured {
    /// Pressure, Pa.
    Pressure,
    /// Temperature, K.
    Temperature,
    /// Mass, kg.
    Mass,
    /// Electric power, W.
    Power,
    /// Current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// A flow of air, m³/s.
    VolumeFlow,
    /// A part of one.
    Part,
}

/// How a temperature sensor touches what it measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Contact {
    /// Clamped or strapped on a pipe, open to the air.
    Bare,
    /// Strapped on a pipe and insulated over.
    Insulated,
    /// In the stream, in a well with paste, or in the air itself.
    Immersed,
}

impl Contact {
    /// Up to which part of the way from the pipe's temperature to the air's the reading may lie: 5 %, 2 %, 0; common practice, no standard
    /// gives one number.
    pub const fn part(self) -> f64 {
        match self {
            Self::Bare => 0.05,
            Self::Insulated => 0.02,
            Self::Immersed => 0.0,
        }
    }

    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bare => "clamped on, bare",
            Self::Insulated => "strapped on, insulated",
            Self::Immersed => "immersed",
        }
    }
}

/// How far a reading may be off, by the rule of its class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Accuracy {
    /// EN 837-1 class: so many per cent of the span, anywhere on the dial.
    Class {
        /// The class: 0.1, 0.25, 0.6, 1, 1.6, 2.5 or 4.
        percent: f64,
        /// The span, Pa.
        span: f64,
    },
    /// ASME B40.100 grade: per cent of the span at the ends and in the middle half of the scale.
    Grade {
        /// In the lowest quarter.
        lower: f64,
        /// In the middle half.
        middle: f64,
        /// In the highest quarter.
        upper: f64,
        /// Bottom of the scale, gauge, Pa.
        bottom: f64,
        /// The span, Pa.
        span: f64,
    },
    /// So much either way, in the quantity's SI unit.
    Within(f64),
    /// A part of the reading.
    OfReading(f64),
    /// IEC 60751 or IEC 60584: so many kelvin at 0 °C and a part of the Celsius temperature; the larger of both, or their sum.
    Sensor {
        /// K.
        fixed: f64,
        /// Per °C.
        part: f64,
        /// Whether the two are added (resistance thermometers) or the larger one counts (thermocouples).
        added: bool,
    },
}

/// An instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// Its class.
    pub accuracy: Accuracy,
    /// How a temperature sensor is fitted.
    pub contact: Contact,
    /// What it is, as a person reads it.
    pub words: String,
    /// Nobody said what it is: a usual one is assumed.
    pub assumed: bool,
}

/// Why an instrument was not understood.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "\"{typed}\" is not understood as an instrument for {wanted}; write it like {}", .examples
)]
pub struct InstrumentError {
    /// What was typed.
    pub typed: String,
    /// What it should measure.
    pub wanted: &'static str,
    /// What would be understood.
    pub examples: &'static str,
}

impl Instrument {
    /// What is assumed where nobody says: a dial gauge of class 1.6 (EN 837-1) with the smallest usual scale from −1 bar that holds the reading;
    /// a temperature clamp good to 1 K, bare; 1 % of a power, current or voltage; 10 % of a flow of air; 0.1 % and no less than 5 g of a mass.
    pub fn usual(measured: Measured, si: f64) -> Self {
        let (accuracy, words) = match measured {
            Measured::Pressure => {
                let top = gauge_top(GaugePressure::from_pa(si)).as_bar();
                let accuracy = Accuracy::Class { percent: GAUGE_CLASS, span: (top + 1.0) * 1e5 };
                return Self::assumed(accuracy, format!("EN 837-1 class {GAUGE_CLASS}, -1 to {top} bar"));
            }
            Measured::Temperature => (Accuracy::Within(1.0), "clamp, 1 K"),
            Measured::Mass => (Accuracy::Within((1e-3 * si.abs()).max(5e-3)), "scale, 0.1 %, at least 5 g"),
            Measured::Power | Measured::Current | Measured::Voltage => {
                (Accuracy::OfReading(0.01), "1 % of reading")
            }
            Measured::VolumeFlow => (Accuracy::OfReading(0.1), "10 % of reading"),
            Measured::Part => (Accuracy::Within(0.05), "0.05"),
        };
        Self::assumed(accuracy, words.to_owned())
    }

    const fn assumed(accuracy: Accuracy, words: String) -> Self {
        Self { accuracy, contact: Contact::Bare, words, assumed: true }
    }

    /// Reads "class 1.6, -1 to 25 bar" (EN 837-1), "grade 2A, 0 to 500 psi" (ASME B40.100), "2 psi", "0.5 % of reading",
    /// "1 % of 0 to 800 psi", "Pt100 class B" (IEC 60751), "thermocouple K class 1" (IEC 60584); with ", bare", ", insulated" or
    /// ", immersed" for a temperature.
    ///
    /// # Errors
    /// [`InstrumentError`] with what would be understood.
    ///
    /// ```
    /// use stemwise_readings::{Instrument, Measured};
    /// let gauge = Instrument::parse("class 1.6, -1 to 24 bar", Measured::Pressure)?;
    /// assert!((gauge.limit(10e5, 10e5) - 0.4e5).abs() < 1.0);
    /// assert!(Instrument::parse("good", Measured::Pressure).is_err());
    /// # Ok::<(), stemwise_readings::InstrumentError>(())
    /// ```
    pub fn parse(text: &str, measured: Measured) -> Result<Self, InstrumentError> {
        let mut contact = Contact::Bare;
        let mut left = text.trim();
        for (word, this) in
            [("bare", Contact::Bare), ("insulated", Contact::Insulated), ("immersed", Contact::Immersed)]
        {
            if let Some(rest) = left.strip_suffix(word) {
                (left, contact) = (rest.trim_end().trim_end_matches(','), this);
                break;
            }
        }
        let found = accuracy(left, measured);
        let accuracy = found.filter(|accuracy| fits(accuracy, measured)).ok_or_else(|| InstrumentError {
            typed: text.trim().chars().take(60).collect(),
            wanted: wanted(measured),
            examples: examples(measured),
        })?;
        Ok(Self { accuracy, contact, words: text.trim().chars().take(60).collect(), assumed: false })
    }

    /// How far a reading may be off by its class: half the width, SI. A pressure is given both absolute and gauge.
    pub fn limit(&self, si: f64, gauge: f64) -> f64 {
        match self.accuracy {
            Accuracy::Class { percent, span } => percent / 100.0 * span,
            Accuracy::Grade { lower, middle, upper, bottom, span } => {
                let part = (gauge - bottom) / span;
                let percent = match part {
                    part if part < 0.25 => lower,
                    part if part <= 0.75 => middle,
                    _ => upper,
                };
                percent / 100.0 * span
            }
            Accuracy::Within(half) => half,
            Accuracy::OfReading(part) => part * gauge.abs(),
            Accuracy::Sensor { fixed, part, added } => {
                let celsius = (si - 273.15).abs();
                if added { fixed + part * celsius } else { fixed.max(part * celsius) }
            }
        }
    }

    /// The standard uncertainty of one reading, the class's limits taken as a rectangle; for a pipe's temperature with what the air around
    /// may do, `air` its temperature in K.
    pub fn standard(&self, si: f64, gauge: f64, air: Option<f64>) -> f64 {
        let own = rectangular(self.limit(si, gauge));
        let contact = air.map_or(0.0, |air| rectangular(self.contact.part() * (si - air).abs()));
        (own * own + contact * contact).sqrt()
    }
}

const fn wanted(measured: Measured) -> &'static str {
    match measured {
        Measured::Pressure => "a pressure",
        Measured::Temperature => "a temperature",
        Measured::Mass => "a mass",
        Measured::Power => "a power",
        Measured::Current => "a current",
        Measured::Voltage => "a voltage",
        Measured::VolumeFlow => "a volume flow",
        Measured::Part => "a part",
    }
}

const fn examples(measured: Measured) -> &'static str {
    match measured {
        Measured::Pressure => {
            "\"class 1.6, -1 to 24 bar\", \"grade 2A, 0 to 500 psi\", \"1 psi\", \"0.5 % of reading\" or \"1 % of 0 to 800 psi\""
        }
        Measured::Temperature => {
            "\"0.5 K, insulated\", \"Pt100 class B, immersed\" or \"thermocouple K class 1, bare\""
        }
        Measured::Mass => "\"5 g\" or \"0.1 % of reading\"",
        _ => "\"1 % of reading\"",
    }
}

/// A class of a dial belongs to a pressure, a sensor to a temperature.
const fn fits(accuracy: &Accuracy, measured: Measured) -> bool {
    match accuracy {
        Accuracy::Class { .. } | Accuracy::Grade { .. } => matches!(measured, Measured::Pressure),
        Accuracy::Sensor { .. } => matches!(measured, Measured::Temperature),
        Accuracy::OfReading(_) => !matches!(measured, Measured::Temperature),
        Accuracy::Within(_) => true,
    }
}

fn accuracy(text: &str, measured: Measured) -> Option<Accuracy> {
    let lower = text.trim().trim_start_matches('±').trim_start_matches("+-").trim().to_lowercase();
    let lower = lower.strip_prefix("en 837-1 ").unwrap_or(&lower);
    if let Some(rest) = lower.strip_prefix("class ") {
        let (class, range) = rest.split_once(',')?;
        let percent = number(class)?;
        let known = [0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0].iter().any(|it: &f64| (it - percent).abs() < 1e-9);
        let (_, span) = scale(range)?;
        return known.then_some(Accuracy::Class { percent, span });
    }
    if let Some(rest) = lower.strip_prefix("grade ") {
        let (grade, range) = rest.split_once(',')?;
        let (bottom, span) = scale(range)?;
        let (lower, middle, upper) = grade_percent(grade.trim())?;
        return Some(Accuracy::Grade { lower, middle, upper, bottom, span });
    }
    if let Some(found) = sensor(lower) {
        return Some(found);
    }
    if let Some((percent, of)) = lower.split_once("% of ") {
        let part = number(percent)? / 100.0;
        if of.trim() == "reading" {
            return (part > 0.0 && part < 1.0).then_some(Accuracy::OfReading(part));
        }
        let (_, span) = scale(of)?;
        return Some(Accuracy::Within(part * span));
    }
    plain(text.trim().trim_start_matches('±').trim_start_matches("+-"), measured).map(Accuracy::Within)
}

fn number(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse().ok().filter(|it: &f64| it.is_finite() && *it > 0.0)
}

/// "-1 to 25 bar": bottom and span, Pa.
fn scale(text: &str) -> Option<(f64, f64)> {
    let (bottom, top) = text.trim().split_once(" to ")?;
    let unit = top.trim().trim_start_matches(|c: char| c.is_ascii_digit() || ".,-+ ".contains(c));
    let pascal = |text: &str| match TypedPressure::parse(text).ok()? {
        TypedPressure::Gauge(gauge) => Some(gauge.as_pa()),
        TypedPressure::Absolute(pressure) => Some(pressure.as_pa()),
    };
    let low = pascal(&format!("{bottom} {unit}"))?;
    let high = pascal(top.trim())?;
    (high > low).then_some((low, high - low))
}

/// ASME B40.100, from memory; grade A read as 2-1-2 % of the span.
fn grade_percent(grade: &str) -> Option<(f64, f64, f64)> {
    match grade {
        "4a" => Some((0.1, 0.1, 0.1)),
        "3a" => Some((0.25, 0.25, 0.25)),
        "2a" => Some((0.5, 0.5, 0.5)),
        "1a" => Some((1.0, 1.0, 1.0)),
        "a" => Some((2.0, 1.0, 2.0)),
        "b" => Some((3.0, 2.0, 3.0)),
        "c" => Some((4.0, 3.0, 4.0)),
        "d" => Some((5.0, 5.0, 5.0)),
        _ => None,
    }
}

/// Tolerances of IEC 60751 (resistance thermometers) and IEC 60584-1 (thermocouples), from memory.
fn sensor(text: &str) -> Option<Accuracy> {
    let resistance = |fixed, part| Some(Accuracy::Sensor { fixed, part, added: true });
    let couple = |fixed, part| Some(Accuracy::Sensor { fixed, part, added: false });
    match text.trim() {
        "pt100 class aa" | "pt1000 class aa" => resistance(0.1, 0.0017),
        "pt100 class a" | "pt1000 class a" => resistance(0.15, 0.002),
        "pt100 class b" | "pt1000 class b" => resistance(0.3, 0.005),
        "pt100 class c" | "pt1000 class c" => resistance(0.6, 0.01),
        "thermocouple k class 1" | "thermocouple j class 1" => couple(1.5, 0.004),
        "thermocouple k class 2" | "thermocouple j class 2" => couple(2.5, 0.0075),
        "thermocouple t class 1" => couple(0.5, 0.004),
        "thermocouple t class 2" => couple(1.0, 0.0075),
        _ => None,
    }
}

/// A half-width with its unit.
fn plain(text: &str, measured: Measured) -> Option<f64> {
    let si = match measured {
        Measured::Pressure => match TypedPressure::parse(text).ok()? {
            TypedPressure::Gauge(_) => PressureDifference::parse(text).ok()?.as_pa(),
            TypedPressure::Absolute(pressure) => pressure.as_pa(),
        },
        Measured::Temperature => TemperatureDifference::parse(text).ok()?.as_k(),
        Measured::Mass => Mass::parse(text).ok()?.as_kg(),
        Measured::Power => Power::parse(text).ok()?.as_w(),
        Measured::Current => ElectricCurrent::parse(text).ok()?.as_a(),
        Measured::Voltage => Voltage::parse(text).ok()?.as_v(),
        Measured::VolumeFlow => VolumeFlow::parse(text).ok()?.as_m3_per_s(),
        Measured::Part => number(text)?,
    };
    (si > 0.0).then_some(si)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn limit(text: &str, measured: Measured, si: f64, gauge: f64) -> f64 {
        Instrument::parse(text, measured).unwrap_or_else(|error| unreachable!("{error}")).limit(si, gauge)
    }

    #[test]
    fn classes_and_grades() {
        let psi = 6894.757;
        // facts.md, 7.5: a 500 psi gauge of 3-2-3 % is good to 10 psi in the middle of its scale.
        let grade = |at: f64| limit("grade B, 0 to 500 psi", Measured::Pressure, 0.0, at * psi) / psi;
        assert!((grade(250.0) - 10.0).abs() < 1e-6 && (grade(20.0) - 15.0).abs() < 1e-6);
        assert!((grade(490.0) - 15.0).abs() < 1e-6);
        // EN 837-1: class 1.6 is 1.6 % of the span.
        assert!((limit("class 1.6, -1 to 24 bar", Measured::Pressure, 0.0, 5e5) - 0.4e5).abs() < 1e-6);
        assert!((limit("0.5 % of reading", Measured::Pressure, 6e5, 5e5) - 2500.0).abs() < 1e-6);
        assert!((limit("1 % of 0 to 800 psi", Measured::Pressure, 0.0, 0.0) - 8.0 * psi).abs() < 0.1);
        assert!((limit("7 psi", Measured::Pressure, 0.0, 0.0) - 7.0 * psi).abs() < 0.1);
        assert!((limit("Pt100 class B, immersed", Measured::Temperature, 313.15, 0.0) - 0.5).abs() < 1e-9);
        assert!(
            (limit("thermocouple K class 1, bare", Measured::Temperature, 313.15, 0.0) - 1.5).abs() < 1e-9
        );
        assert!((limit("±0,5 K, insulated", Measured::Temperature, 313.15, 0.0) - 0.5).abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "",
            "class 1.7, 0 to 10 bar",
            "class 1.6",
            "grade E, 0 to 10 bar",
            "class 1, 10 to 0 bar",
            "0 psi",
        ] {
            let error = Instrument::parse(text, Measured::Pressure);
            assert!(error.is_err(), "{text}");
        }
        assert!(Instrument::parse("class 1, 0 to 10 bar", Measured::Temperature).is_err());
        assert!(Instrument::parse("1 % of reading", Measured::Temperature).is_err());
    }
}
