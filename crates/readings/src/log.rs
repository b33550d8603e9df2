//! Logged readings: columns of any name and unit, times in any usual form, row by row as they come.
//!
//! Who splits the file into fields calls [`LogReader::row`] for each line; nothing of the file but its numbers is kept.

use core::fmt::Write as _;

use stemwise_units::{Mass, Power, Pressure, Temperature, Time, TypedPressure};

use crate::instrument::Measured;

/// More rows than this no log has.
const MOST_ROWS: usize = 20_000_000;
/// So many rows without a reading are told by their line.
pub const GAP_ROWS: usize = 5;
/// A clock that goes back by more than this has passed midnight, s.
const MIDNIGHT: f64 = 43_200.0;

/// A column that is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// What it is called in the answer: "time", "pressure", "temperature of the receiver".
    pub name: String,
    /// The file's header; one that begins so where none is the same.
    pub header: String,
    /// Its unit, where the header does not say it.
    pub unit: Option<String>,
    /// What it holds; the time is none of these.
    pub measured: Option<Measured>,
    /// Whether it may be missing in the file.
    pub optional: bool,
}

/// Which comes first in a date with slashes or dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// 27/11/2026.
    DayFirst,
    /// 11/27/2026.
    MonthFirst,
}

/// What is wrong with a log.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LogError {
    /// No line at all.
    #[error("the log is empty: its first line must name the columns")]
    Empty,
    /// No column of that name.
    #[error("no column is called \"{wanted}\"; the columns are: {columns}")]
    NoColumn {
        /// What was wanted.
        wanted: String,
        /// What there is.
        columns: String,
    },
    /// Several columns of that name.
    #[error(
        "{count} columns are called \"{wanted}\"; rename all but one in the file, or give a longer part of the header"
    )]
    Several {
        /// What was wanted.
        wanted: String,
        /// How many.
        count: usize,
    },
    /// No unit.
    #[error("column {column} (\"{header}\") says no unit; give it as {name}=UNIT")]
    NoUnit {
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
        /// The name it goes by.
        name: String,
    },
    /// A unit that is none of that quantity.
    #[error("column {column} (\"{header}\"): \"{unit}\" is not a unit for it")]
    Unit {
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
        /// The unit.
        unit: String,
    },
    /// A field that is no number.
    #[error("row {row}, column {column} (\"{header}\"): \"{found}\" is not a number")]
    NotANumber {
        /// The line of the file, from 1; the header is row 1.
        row: u64,
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
        /// What stands there.
        found: String,
    },
    /// A field that is no time.
    #[error(
        "row {row}, column {column} (\"{header}\"): \"{found}\" is not a time; it can be a number, 14:03:20, or a date with a time"
    )]
    NotATime {
        /// The line of the file, from 1.
        row: u64,
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
        /// What stands there.
        found: String,
    },
    /// A date that can be read two ways.
    #[error("row {row}, column {column}: \"{found}\" could be day or month first; say which")]
    WhichDate {
        /// The line of the file, from 1.
        row: u64,
        /// From 1.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// Time goes back.
    #[error(
        "row {row}: the time {found} lies before that of the row above; sort the log by time, or cut it where a new one begins"
    )]
    Backwards {
        /// The line of the file, from 1.
        row: u64,
        /// What stands there.
        found: String,
    },
    /// Too few fields.
    #[error("row {row} has {fields} fields, but column {column} (\"{header}\") is wanted")]
    Short {
        /// The line of the file, from 1.
        row: u64,
        /// How many there are.
        fields: usize,
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
    },
    /// Below absolute zero or below no pressure.
    #[error("row {row}, column {column} (\"{header}\"): {found} is less than can be")]
    Impossible {
        /// The line of the file, from 1.
        row: u64,
        /// From 1.
        column: usize,
        /// Its header.
        header: String,
        /// What stands there.
        found: String,
    },
    /// No row with a time and a value.
    #[error("the log has no row with a time and a value in it")]
    NoRows,
    /// Far too many rows.
    #[error("row {row}: more than {MOST_ROWS} rows are no log of one test")]
    TooLong {
        /// The line of the file, from 1.
        row: u64,
    },
}

impl LogError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Empty | Self::NoRows => "empty-log",
            Self::NoColumn { .. } | Self::Several { .. } => "log-column",
            Self::NoUnit { .. } | Self::Unit { .. } => "log-unit",
            _ => "log-row",
        }
    }
}

/// A unit as a scale: SI = offset + factor × number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scale {
    offset: f64,
    factor: f64,
    gauge: bool,
}

/// A column that was found.
struct Found {
    at: usize,
    header: String,
    scale: Scale,
    measured: Measured,
    values: Vec<f64>,
}

/// Reads a log row by row.
pub struct LogReader {
    atmosphere: f64,
    dates: Option<DateOrder>,
    time: usize,
    time_header: String,
    time_factor: Option<f64>,
    columns: Vec<Option<Found>>,
    names: Vec<String>,
    seconds: Vec<f64>,
    first: Option<f64>,
    midnights: f64,
    last: f64,
    gaps: u64,
    gap_rows: Vec<u64>,
    decimal_comma: bool,
}

/// A log in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Seconds since the first row.
    pub seconds: Vec<f64>,
    /// The wanted columns in the order in which they were wanted: absolute Pa, K, kg, W; NaN where a row has none. None where an optional
    /// column is not in the file.
    pub columns: Vec<Option<Vec<f64>>>,
    /// How many fields were empty or said that there is no reading.
    pub gaps: u64,
    /// The lines of the file, from 1, of the first rows with such a field; at most [`GAP_ROWS`].
    pub gap_rows: Vec<u64>,
}

/// "Vac 1 [micron]": what stands in the last brackets.
fn bracketed(header: &str) -> Option<&str> {
    let end = header.rfind([']', ')'])?;
    let start = header.get(..end)?.rfind(['[', '('])?;
    header.get(start + 1..end).map(str::trim).filter(|unit| !unit.is_empty())
}

fn plain(text: &str) -> String {
    text.trim().trim_start_matches('\u{feff}').to_lowercase()
}

/// The unit's scale, from what 0 and 1 of it are.
fn scale(measured: Measured, unit: &str) -> Option<Scale> {
    let text = |number: f64| {
        let mut text = String::new();
        let _ = write!(text, "{number} {unit}");
        text
    };
    let two = |si: &dyn Fn(&str) -> Option<f64>, gauge: bool| {
        // 500 and 1500 are numbers that every unit here can have.
        let (low, high) = (si(&text(500.0))?, si(&text(1500.0))?);
        let factor = (high - low) / 1000.0;
        Some(Scale { offset: low - 500.0 * factor, factor, gauge })
    };
    match measured {
        Measured::Pressure => match TypedPressure::parse(&text(1.0)).ok()? {
            TypedPressure::Absolute(_) => two(
                &|text| Some(TypedPressure::parse(text).ok()?.absolute(Pressure::from_pa(0.0)).as_pa()),
                false,
            ),
            TypedPressure::Gauge(_) => two(
                &|text| Some(TypedPressure::parse(text).ok()?.gauge(Pressure::from_pa(0.0)).as_pa()),
                true,
            ),
        },
        Measured::Temperature => two(&|text| Some(Temperature::parse(text).ok()?.as_k()), false),
        Measured::Mass => two(&|text| Some(Mass::parse(text).ok()?.as_kg()), false),
        Measured::Power => two(&|text| Some(Power::parse(text).ok()?.as_w()), false),
        _ => None,
    }
}

impl LogReader {
    /// Finds the wanted columns in the header; the first wanted one is the time.
    ///
    /// # Errors
    /// [`LogError`] for a column that is not there, is there twice, or has no unit.
    pub fn new(
        header: &[&str],
        wanted: &[Wanted],
        atmosphere: Pressure,
        dates: Option<DateOrder>,
        decimal_comma: bool,
    ) -> Result<Self, LogError> {
        let Some((time, others)) = wanted.split_first() else { return Err(LogError::Empty) };
        if header.iter().all(|name| name.trim().is_empty()) {
            return Err(LogError::Empty);
        }
        let at = find(header, time)?.ok_or_else(|| no_column(header, time))?;
        let time_header = (*header.get(at).unwrap_or(&"")).trim().to_owned();
        let time_factor = time_factor(at, &time_header, time)?;
        let mut columns = Vec::with_capacity(others.len());
        for it in others {
            columns.push(match find(header, it)? {
                Some(at) => Some(found(header, at, it)?),
                None if it.optional => None,
                None => return Err(no_column(header, it)),
            });
        }
        Ok(Self {
            atmosphere: atmosphere.as_pa(),
            dates,
            time: at,
            time_header,
            time_factor,
            columns,
            names: others.iter().map(|it| it.name.clone()).collect(),
            seconds: Vec::new(),
            first: None,
            midnights: 0.0,
            last: f64::NEG_INFINITY,
            gaps: 0,
            gap_rows: Vec::new(),
            decimal_comma,
        })
    }

    /// What the columns are called, in order, without the time.
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Takes a line; `row` is its number in the file, from 1. An empty line is left out.
    ///
    /// # Errors
    /// [`LogError`] with row and column.
    pub fn row<'f>(
        &mut self,
        row: u64,
        fields: impl Iterator<Item = &'f [u8]> + Clone,
    ) -> Result<(), LogError> {
        let count = fields.clone().count();
        let field = |at: usize| fields.clone().nth(at).map(<[u8]>::trim_ascii);
        if fields.clone().all(|field| field.trim_ascii().is_empty()) {
            return Ok(());
        }
        if self.seconds.len() >= MOST_ROWS {
            return Err(LogError::TooLong { row });
        }
        let short = |at: usize, header: &str| LogError::Short {
            row,
            fields: count,
            column: at + 1,
            header: header.to_owned(),
        };
        let time = field(self.time).ok_or_else(|| short(self.time, &self.time_header))?;
        let time = self.time(row, time)?;
        for column in self.columns.iter_mut().flatten() {
            let text = field(column.at).ok_or_else(|| short(column.at, &column.header))?;
            let value = column.value(row, text, self.atmosphere, self.decimal_comma)?;
            if value.is_nan() {
                self.gaps += 1;
                if self.gap_rows.len() < GAP_ROWS && self.gap_rows.last() != Some(&row) {
                    self.gap_rows.push(row);
                }
            }
            column.values.push(value);
        }
        self.seconds.push(time);
        Ok(())
    }

    /// Seconds since the first row.
    fn time(&mut self, row: u64, field: &[u8]) -> Result<f64, LogError> {
        let column = self.time + 1;
        let lossy = || shown(field);
        let not = || LogError::NotATime { row, column, header: self.time_header.clone(), found: lossy() };
        let text = core::str::from_utf8(field).map_err(|_| not())?;
        let stamp = stamp(text, self.dates, self.decimal_comma);
        let (mut time, clock) = match stamp {
            Stamp::Number(number) => (
                number
                    * self.time_factor.ok_or_else(|| LogError::NoUnit {
                        column,
                        header: self.time_header.clone(),
                        name: "time".into(),
                    })?,
                false,
            ),
            Stamp::Clock(seconds) => (seconds, true),
            Stamp::Date(seconds) => (seconds, false),
            Stamp::Which => return Err(LogError::WhichDate { row, column, found: lossy() }),
            Stamp::None => return Err(not()),
        };
        if clock {
            if time + self.midnights < self.last - MIDNIGHT {
                self.midnights += 86_400.0;
            }
            time += self.midnights;
        }
        if time < self.last {
            return Err(LogError::Backwards { row, found: lossy() });
        }
        self.last = time;
        let first = *self.first.get_or_insert(time);
        Ok(time - first)
    }

    /// The whole log.
    ///
    /// # Errors
    /// [`LogError::NoRows`].
    pub fn finish(self) -> Result<Log, LogError> {
        let columns: Vec<Option<Vec<f64>>> =
            self.columns.into_iter().map(|column| column.map(|it| it.values)).collect();
        let any = columns.iter().flatten().any(|column| column.iter().any(|value| value.is_finite()));
        if self.seconds.is_empty() || !any {
            return Err(LogError::NoRows);
        }
        Ok(Log { seconds: self.seconds, columns, gaps: self.gaps, gap_rows: self.gap_rows })
    }
}

fn no_column(header: &[&str], wanted: &Wanted) -> LogError {
    let columns: Vec<String> = header.iter().take(40).map(|name| format!("\"{}\"", name.trim())).collect();
    LogError::NoColumn { wanted: wanted.header.clone(), columns: columns.join(", ") }
}

/// A column by its header; one that begins so where none is the same.
fn find(header: &[&str], wanted: &Wanted) -> Result<Option<usize>, LogError> {
    let name = plain(&wanted.header);
    let places = |fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        header.iter().enumerate().filter(|(_, it)| fits(&plain(it))).map(|(at, _)| at).collect()
    };
    let mut places_found = places(&|it| it == name);
    if places_found.is_empty() {
        places_found = places(&|it| it.starts_with(&name));
    }
    match places_found.as_slice() {
        [] => Ok(None),
        [one] => Ok(Some(*one)),
        several => Err(LogError::Several { wanted: wanted.header.clone(), count: several.len() }),
    }
}

fn time_factor(at: usize, header: &str, wanted: &Wanted) -> Result<Option<f64>, LogError> {
    let unit = wanted.unit.as_deref().or_else(|| bracketed(header));
    let parsed = unit.map(|unit| (unit, Time::parse(&format!("1 {unit}")).ok()));
    match parsed {
        Some((_, Some(time))) => Ok(Some(time.as_s())),
        Some((unit, None)) if wanted.unit.is_some() => {
            Err(LogError::Unit { column: at + 1, header: header.to_owned(), unit: unit.to_owned() })
        }
        // "Time (local)" says no unit; a clock needs none.
        _ => Ok(None),
    }
}

fn found(header: &[&str], at: usize, wanted: &Wanted) -> Result<Found, LogError> {
    let name = header.get(at).map_or("", |name| name.trim()).to_owned();
    let measured = wanted.measured.unwrap_or(Measured::Pressure);
    let unit = wanted.unit.as_deref().or_else(|| bracketed(&name)).map(str::to_owned);
    let unit = unit.ok_or_else(|| LogError::NoUnit {
        column: at + 1,
        header: name.clone(),
        name: wanted.name.clone(),
    })?;
    let scale = scale(measured, &unit).ok_or_else(|| LogError::Unit {
        column: at + 1,
        header: name.clone(),
        unit: unit.clone(),
    })?;
    Ok(Found { at, header: name, scale, measured, values: Vec::new() })
}

/// What cannot be read as text is shown all the same, shortened.
fn shown(field: &[u8]) -> String {
    String::from_utf8_lossy(field).chars().take(40).collect()
}

/// What loggers write where they have no reading.
const NO_READING: [&str; 10] = ["", "-", "--", "---", "nan", "n/a", "na", "null", "none", "over"];

impl Found {
    fn value(&self, row: u64, field: &[u8], atmosphere: f64, decimal_comma: bool) -> Result<f64, LogError> {
        let not = || LogError::NotANumber {
            row,
            column: self.at + 1,
            header: self.header.clone(),
            found: shown(field),
        };
        let text = core::str::from_utf8(field).map_err(|_| not())?;
        let Some(number) = number(text, decimal_comma) else {
            let lower = text.to_ascii_lowercase();
            return if NO_READING.contains(&lower.as_str()) { Ok(f64::NAN) } else { Err(not()) };
        };
        let si =
            self.scale.offset + self.scale.factor * number + if self.scale.gauge { atmosphere } else { 0.0 };
        let impossible = match self.measured {
            Measured::Pressure => si < -0.01 * atmosphere,
            Measured::Temperature => si < 0.0,
            _ => false,
        };
        if impossible || !si.is_finite() {
            return Err(LogError::Impossible {
                row,
                column: self.at + 1,
                header: self.header.clone(),
                found: shown(field),
            });
        }
        Ok(if self.measured == Measured::Pressure { si.max(1e-6) } else { si })
    }
}

fn number(text: &str, decimal_comma: bool) -> Option<f64> {
    if !text.bytes().next()?.is_ascii_digit() && !text.starts_with(['-', '+', '.', ',']) {
        return None;
    }
    let value = match text.parse() {
        Ok(value) => value,
        Err(_) if decimal_comma && text.bytes().filter(|b| *b == b',').count() == 1 => {
            text.replace(',', ".").parse().ok()?
        }
        Err(_) => return None,
    };
    Some(value).filter(|value: &f64| value.is_finite())
}

/// What a time's text stands for.
enum Stamp {
    Number(f64),
    /// Seconds since midnight.
    Clock(f64),
    /// Seconds since some day.
    Date(f64),
    /// Day or month first?
    Which,
    None,
}

fn stamp(text: &str, dates: Option<DateOrder>, decimal_comma: bool) -> Stamp {
    if let Some(number) = number(text, decimal_comma) {
        return Stamp::Number(number);
    }
    let cut = text.find([' ', 'T']).filter(|at| *at >= 8);
    let Some(cut) = cut else {
        return clock(text).map_or(Stamp::None, Stamp::Clock);
    };
    let (date, rest) = text.split_at(cut);
    let Some(day_seconds) = clock(rest.trim_start_matches(['T', ' '])) else {
        // "10:03:20 PM" has a blank too.
        return clock(text).map_or(Stamp::None, Stamp::Clock);
    };
    match days(date, dates) {
        Some(Ok(days)) => Stamp::Date(days * 86_400.0 + day_seconds),
        Some(Err(())) => Stamp::Which,
        None => Stamp::None,
    }
}

/// "14:03", "14:03:20.5", "2:03:20 PM", with or without a zone behind it; seconds since midnight.
fn clock(text: &str) -> Option<f64> {
    let lower = text.trim().to_ascii_lowercase();
    let (text, half) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(text), _) => (text.trim(), Some(0.0)),
        (_, Some(text)) => (text.trim(), Some(12.0)),
        _ => (lower.as_str(), None),
    };
    let text = text.trim_end_matches('z');
    // A zone is the same all along a log.
    let text = text.find(['+', '-']).map_or(text, |at| text.get(..at).unwrap_or(text));
    let mut parts = text.split(':');
    let whole = |part: Option<&str>, most: f64| {
        part?.parse::<u32>().ok().map(f64::from).filter(|value| *value <= most)
    };
    let mut hours = whole(parts.next(), 24.0)?;
    let minutes = whole(parts.next(), 59.0)?;
    let seconds = match parts.next() {
        Some(part) => part.replace(',', ".").parse::<f64>().ok().filter(|s| (0.0..61.0).contains(s))?,
        None => 0.0,
    };
    if parts.next().is_some() {
        return None;
    }
    if let Some(half) = half {
        if !(1.0..=12.0).contains(&hours) {
            return None;
        }
        hours = hours % 12.0 + half;
    }
    Some(hours * 3600.0 + minutes * 60.0 + seconds)
}

/// Days of the calendar since year 0; `Err` where day and month can't be told.
fn days(text: &str, order: Option<DateOrder>) -> Option<Result<f64, ()>> {
    let parts: Vec<&str> = text.split(['-', '/', '.']).collect();
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.len() <= 4);
    let [a, b, c] = parts.as_slice() else { return None };
    let (one, two, three) = (number(a)?, number(b)?, number(c)?);
    let (year, month, day) = if a.len() == 4 {
        (one, two, three)
    } else {
        let year = if c.len() == 2 { 2000 + three } else { three };
        match order {
            Some(DateOrder::DayFirst) => (year, two, one),
            Some(DateOrder::MonthFirst) => (year, one, two),
            // Dots are written day first; a number above 12 is no month.
            None if text.contains('.') || one > 12 => (year, two, one),
            None if two > 12 || one == two => (year, one, two),
            None => return Some(Err(())),
        }
    };
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) || year > 9999 {
        return None;
    }
    // H. Hinnant, "chrono-Compatible Low-Level Date Algorithms": days from civil.
    let (y, m) = (i64::from(year) - i64::from(month <= 2), i64::from(month));
    let era = y.div_euclid(400);
    let of_era = y.rem_euclid(400);
    let of_year = (153 * (m + if m > 2 { -3 } else { 9 }) + 2) / 5 + i64::from(day) - 1;
    let of_era = of_era * 365 + of_era / 4 - of_era / 100 + of_year;
    Some(Ok((era * 146_097 + of_era) as f64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn wanted(name: &str, header: &str, unit: Option<&str>, measured: Option<Measured>) -> Wanted {
        Wanted {
            name: name.into(),
            header: header.into(),
            unit: unit.map(str::to_owned),
            measured,
            optional: false,
        }
    }

    fn read(text: &str, columns: &[Wanted], dates: Option<DateOrder>) -> Result<Log, LogError> {
        let mut lines = text.lines();
        let header: Vec<&str> = lines.next().unwrap_or("").split(';').collect();
        let mut reader = LogReader::new(&header, columns, Pressure::from_pa(101_325.0), dates, true)?;
        for (line, row) in lines.zip(2..) {
            reader.row(row, line.split(';').map(str::as_bytes))?;
        }
        reader.finish()
    }

    fn vacuum(time: &str) -> [Wanted; 2] {
        [
            wanted("time", time, None, None),
            wanted("pressure", "vac", Some("micron"), Some(Measured::Pressure)),
        ]
    }

    #[test]
    fn times_in_every_usual_form() {
        for (text, seconds) in [
            ("t [min];vac\n0;900\n0,5;700\n2;400", [0.0, 30.0, 120.0]),
            ("t;vac\n23:59:00;900\n23:59:30;700\n0:01:00;400", [0.0, 30.0, 120.0]),
            ("t;vac\n11:59:00 AM;900\n11:59:30 AM;700\n12:01:00 PM;400", [0.0, 30.0, 120.0]),
            (
                "t;vac\n2026-02-28T23:59:00Z;900\n2026-02-28T23:59:30Z;700\n2026-03-01 00:01:00;400",
                [0.0, 30.0, 120.0],
            ),
            (
                "t;vac\n28.02.2026 23:59:00;900\n28.02.2026 23:59:30;700\n01.03.2026 00:01:00;400",
                [0.0, 30.0, 120.0],
            ),
            (
                "t;vac\n02/28/2026 11:59 PM;900\n02/28/2026 11:59:30 PM;700\n03/01/2026 12:01 AM;400",
                [0.0, 30.0, 120.0],
            ),
        ] {
            let order = text.contains('/').then_some(DateOrder::MonthFirst);
            let log = read(text, &vacuum("t"), order).unwrap_or_else(|error| unreachable!("{text}: {error}"));
            assert_eq!(log.seconds, seconds, "{text}");
            let micron = log
                .columns
                .first()
                .and_then(Option::as_ref)
                .and_then(|column| column.get(2))
                .copied()
                .unwrap();
            assert!((Pressure::from_pa(micron).as_micron() - 400.0).abs() < 1e-9);
        }
        let leap = |date: &str| days(date, None).unwrap().unwrap();
        assert!((leap("2024-03-01") - leap("2024-02-28") - 2.0).abs() < 1e-9);
        assert!((leap("2026-01-01") - leap("2025-01-01") - 365.0).abs() < 1e-9);
    }

    #[test]
    fn units_from_header_or_as_given() {
        let columns = [
            wanted("time", "time", None, None),
            wanted("pressure", "line", None, Some(Measured::Pressure)),
            wanted("temperature", "shed", None, Some(Measured::Temperature)),
        ];
        let log =
            read("Time (s);Line [psig];Shed (°F)\n0;300;70\n60;;n/a\n120;299,5;68", &columns, None).unwrap();
        let column = |at: usize| log.columns.get(at).and_then(Option::as_ref).unwrap();
        assert!((Pressure::from_pa(column(0)[0]).as_psi() - 314.696).abs() < 0.001);
        assert!((Temperature::from_k(column(1)[0]).as_fahrenheit() - 70.0).abs() < 1e-6);
        assert!(column(0)[1].is_nan() && log.gaps == 2 && log.gap_rows == [3]);
    }

    #[test]
    fn faults_have_row_and_column() {
        let say = |text: &str, time: &str| read(text, &vacuum(time), None).unwrap_err().to_string();
        assert!(
            say("t [s];vac\n0;900\n1;9oo\n", "t")
                .contains("row 3, column 2 (\"vac\"): \"9oo\" is not a number")
        );
        assert!(
            say("t [s];vac\n0;900\nsoon;800\n", "t")
                .contains("row 3, column 1 (\"t [s]\"): \"soon\" is not a time")
        );
        assert!(say("t [s];vac\n5;900\n4;800\n", "t").contains("row 3: the time 4 lies before"));
        assert!(say("t [s];vac\n5\n", "t").contains("row 2 has 1 fields"));
        assert!(say("t [s];vac\n", "t").contains("no row"));
        assert!(say("t;vac\n5;900\n", "t").contains("says no unit"));
        assert!(
            say("t [s];pressure\n5;900\n", "t")
                .contains("no column is called \"vac\"; the columns are: \"t [s]\", \"pressure\"")
        );
        assert!(say("t [s];vac 1;vac 2\n5;900;1\n", "t").contains("2 columns"));
        assert!(say("", "t").contains("empty"));
        assert!(say("t;vac\n02/03/2026 10:00;1\n", "t").contains("day or month first"));
        let cold = [
            wanted("time", "t", Some("s"), None),
            wanted("temperature", "x", Some("C"), Some(Measured::Temperature)),
        ];
        assert!(read("t;x\n0;-300\n", &cold, None).unwrap_err().to_string().contains("less than can be"));
        let bad = [
            wanted("time", "t", Some("kg"), None),
            wanted("temperature", "x", Some("C"), Some(Measured::Temperature)),
        ];
        assert!(read("t;x\n0;1\n", &bad, None).unwrap_err().to_string().contains("not a unit"));
    }

    proptest! {
        #[test]
        fn nothing_panics(text in "[ -~;\n\u{b0}é0-9:./TZ,+-]{0,200}", bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            let _ = read(&text, &vacuum("t"), None);
            let mut reader = LogReader::new(&["t [s]", "vac"], &vacuum("t"), Pressure::from_pa(1e5), None, false).unwrap();
            let _ = reader.row(2, bytes.split(|b| *b == b';'));
            let _ = stamp(&text, Some(DateOrder::DayFirst), true);
            let _ = clock(&text);
            let _ = days(&text, None);
            let _ = scale(Measured::Pressure, &text);
        }
    }
}
