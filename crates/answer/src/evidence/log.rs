//! Logs in comma-separated files: which columns are wanted, and the rows as they come.

use csv::{ByteRecord, ReaderBuilder};
use stemwise_readings::{DateOrder, GAP_ROWS, Log, LogReader, Measured, Reading, Wanted};
use stemwise_units::Pressure;

use super::EvidenceError;
use super::name_value;
use crate::Error;

/// How the columns of a log are called, as people type it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LogAsk {
    /// "pressure=Vac 1": our name, and the file's header.
    pub columns: Vec<String>,
    /// "pressure=micron", where the header does not say it.
    pub units: Vec<String>,
    /// "day-first" or "month-first".
    pub dates: Option<String>,
}

/// What a log is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LogKind {
    /// A pressure over time.
    Pressure,
    /// A pressure and temperatures of parts over time.
    PressureAndParts,
    /// Any readings over time.
    Readings,
}

/// A log that has been read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadLog {
    /// The columns' names in our words, without the time.
    pub names: Vec<String>,
    /// The numbers.
    pub log: Log,
}

impl ReadLog {
    /// A column by its name.
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        let at = self.names.iter().position(|it| it == name)?;
        self.log.columns.get(at)?.as_deref()
    }

    /// How many of the wanted fields hold no reading, and in which lines; none where all do.
    pub(super) fn gaps(&self) -> Option<String> {
        let lines: Vec<String> = self.log.gap_rows.iter().map(u64::to_string).collect();
        let lines = lines.join(", ");
        match (self.log.gaps, self.log.gap_rows.len()) {
            (0, _) => None,
            (1, _) => Some(format!(
                "One field of the log holds no reading and was left out; it is in line {lines}."
            )),
            (gaps, 1) => Some(format!(
                "{gaps} fields of the log hold no reading and were left out; they are in line {lines}."
            )),
            (gaps, shown) if shown < GAP_ROWS => Some(format!(
                "{gaps} fields of the log hold no reading and were left out; they are in lines {lines}."
            )),
            (gaps, _) => Some(format!(
                "{gaps} fields of the log hold no reading and were left out; the first are in lines {lines}."
            )),
        }
    }
}

/// The delimiter of a file: the one of comma, semicolon and tab that its first line has most of.
pub fn delimiter(start: &[u8]) -> u8 {
    let line = start.split(|b| *b == b'\n').next().unwrap_or_default();
    let count = |delimiter: u8| line.iter().filter(|b| **b == delimiter).count();
    // Of equals the first stands.
    [b'\t', b';', b','].into_iter().rev().max_by_key(|it| count(*it)).unwrap_or(b',')
}

/// Takes a log line by line, for whoever splits the file.
pub struct LogFeed {
    wanted: Vec<Wanted>,
    dates: Option<DateOrder>,
    atmosphere: Pressure,
    decimal_comma: bool,
    reader: Option<LogReader>,
}

impl LogFeed {
    /// For a file with this delimiter.
    ///
    /// # Errors
    /// [`EvidenceError`] for a column that is not understood.
    pub fn new(ask: &LogAsk, kind: LogKind, atmosphere: Pressure, delimiter: u8) -> Result<Self, Error> {
        let dates = match ask.dates.as_deref() {
            None => None,
            Some("day-first") => Some(DateOrder::DayFirst),
            Some("month-first") => Some(DateOrder::MonthFirst),
            Some(typed) => {
                let typed = typed.chars().take(40).collect();
                return Err(EvidenceError::Choice {
                    what: "--dates",
                    typed,
                    choices: "day-first or month-first",
                }
                .into());
            }
        };
        Ok(Self {
            wanted: wanted(ask, kind)?,
            dates,
            atmosphere,
            decimal_comma: delimiter != b',',
            reader: None,
        })
    }

    /// The next line; the first is the header. `row` is its number in the file, from 1.
    ///
    /// # Errors
    /// [`EvidenceError::Log`] with row and column.
    pub fn record(&mut self, row: u64, record: &ByteRecord) -> Result<(), Error> {
        if let Some(reader) = &mut self.reader {
            return Ok(reader.row(row, record.iter()).map_err(EvidenceError::Log)?);
        }
        let header: Vec<String> =
            record.iter().map(|field| String::from_utf8_lossy(field).into_owned()).collect();
        let header: Vec<&str> = header.iter().map(String::as_str).collect();
        let reader = LogReader::new(&header, &self.wanted, self.atmosphere, self.dates, self.decimal_comma);
        self.reader = Some(reader.map_err(EvidenceError::Log)?);
        Ok(())
    }

    /// All of it.
    ///
    /// # Errors
    /// [`EvidenceError::Log`] for an empty log.
    pub fn finish(self) -> Result<ReadLog, Error> {
        let reader = self.reader.ok_or(EvidenceError::Log(stemwise_readings::LogError::Empty))?;
        let names = reader.names().to_vec();
        Ok(ReadLog { names, log: reader.finish().map_err(EvidenceError::Log)? })
    }
}

/// Reads a log that is whole in memory.
///
/// # Errors
/// [`EvidenceError`] with row and column.
///
/// ```
/// use stemwise_answer::{LogAsk, LogKind, read_log};
/// use stemwise_units::Pressure;
/// let sea_level = Pressure::from_pa(101_325.0);
/// let ask = LogAsk { columns: vec!["pressure=Vac".into()], ..LogAsk::default() };
/// let log = read_log(b"Time [s],Vac [micron]\n0,900\n60,700\n", &ask, LogKind::Pressure, sea_level)?;
/// assert_eq!(log.log.seconds, [0.0, 60.0]);
/// let error = read_log(b"Time [s],Vac [micron]\n0,9oo\n", &ask, LogKind::Pressure, sea_level).unwrap_err();
/// assert!(error.to_string().contains("row 2, column 2"));
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn read_log(bytes: &[u8], ask: &LogAsk, kind: LogKind, atmosphere: Pressure) -> Result<ReadLog, Error> {
    let delimiter = delimiter(bytes);
    let mut feed = LogFeed::new(ask, kind, atmosphere, delimiter)?;
    let mut reader =
        ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(bytes);
    let mut record = ByteRecord::new();
    loop {
        let row = reader.position().line();
        match reader.read_byte_record(&mut record) {
            Ok(true) => feed.record(row, &record)?,
            Ok(false) => return feed.finish(),
            Err(error) => return Err(EvidenceError::Fields { row, why: error.to_string() }.into()),
        }
    }
}

/// How a log calls its columns: the fields of its first line.
///
/// ```
/// assert_eq!(stemwise_answer::log_header(b"Time [s];Vac\n0;900\n"), ["Time [s]", "Vac"]);
/// ```
pub fn log_header(bytes: &[u8]) -> Vec<String> {
    let mut reader =
        ReaderBuilder::new().delimiter(delimiter(bytes)).has_headers(false).flexible(true).from_reader(bytes);
    let mut record = ByteRecord::new();
    // A first line that is none has no columns; reading the log says what is wrong with it.
    let _ = reader.read_byte_record(&mut record);
    record.iter().map(|field| String::from_utf8_lossy(field).trim().to_owned()).collect()
}

/// Which columns are wanted: the time first.
fn wanted(ask: &LogAsk, kind: LogKind) -> Result<Vec<Wanted>, Error> {
    let mut unit_of: Vec<(&str, &str)> = Vec::new();
    for typed in &ask.units {
        unit_of.push(name_value("--unit", typed)?);
    }
    let unit = |name: &str| unit_of.iter().find(|(it, _)| *it == name).map(|(_, unit)| (*unit).to_owned());
    let mut mapped: Vec<(&str, &str)> = Vec::new();
    for typed in &ask.columns {
        let pair = name_value("--column", typed)?;
        if mapped.iter().any(|(name, _)| *name == pair.0) {
            return Err(EvidenceError::Twice { what: "--column", name: pair.0.to_owned() }.into());
        }
        mapped.push(pair);
    }
    if let Some((name, _)) = unit_of.iter().find(|(name, _)| {
        !mapped.iter().any(|(it, _)| it == name) && !["time", "pressure", "temperature"].contains(name)
    }) {
        let known = mapped.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        return Err(EvidenceError::UnknownName { what: "--unit", typed: (*name).to_owned(), known }.into());
    }
    let header =
        |name: &str| mapped.iter().find(|(it, _)| *it == name).map_or(name, |(_, header)| *header).to_owned();
    let one = |name: &str, measured: Option<Measured>| Wanted {
        name: name.to_owned(),
        header: header(name),
        unit: unit(name),
        measured,
        optional: false,
    };
    let mut all = vec![one("time", None)];
    match kind {
        LogKind::Pressure => all.push(one("pressure", Some(Measured::Pressure))),
        LogKind::PressureAndParts => {
            all.push(one("pressure", Some(Measured::Pressure)));
            let parts: Vec<&str> = mapped
                .iter()
                .map(|(name, _)| *name)
                .filter(|name| !["time", "pressure"].contains(name))
                .collect();
            let parts = if parts.is_empty() { vec!["temperature"] } else { parts };
            all.extend(parts.into_iter().map(|name| one(name, Some(Measured::Temperature))));
        }
        LogKind::Readings => {
            for (name, _) in mapped.iter().filter(|(name, _)| *name != "time") {
                let reading =
                    Reading::by_word(name).ok_or_else(|| super::readings::unknown("--column", name))?;
                all.push(Wanted { name: reading.word().to_owned(), ..one(name, Some(reading.measured())) });
            }
        }
    }
    Ok(all)
}
