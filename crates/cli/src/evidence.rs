//! Runs the commands about readings and tests: reads logs as they stream by, calls the one function, prints.

use std::fs::File;
use std::io::{self, BufRead, BufReader};

use csv::{ByteRecord, ReaderBuilder};
use stemwise_answer::{
    self as answer, AirAsk, ChargeAsk, Error, EvidenceCommon, EvidenceError, LogAsk, LogFeed, LogKind,
    ReadLog, RecoveryAsk, SetAsk, StandingAsk, VacuumAsk,
};
use stemwise_wire::EvidenceAnswer;

use crate::args::Common;
use crate::args::evidence::{self as args, About, LogFile, Set};
use crate::{files, site};

/// So much of a file is looked at to find its delimiter.
const START: usize = 1 << 16;

/// What everything takes, from the options and the settings.
fn common(common: &Common, about: &About) -> Result<EvidenceCommon, Error> {
    let circuit = about.circuit.as_deref().map(files::circuit).transpose()?;
    let given = about.site.altitude.is_some() || about.site.barometer.is_some();
    Ok(EvidenceCommon {
        fluid: about.fluid.clone(),
        atmosphere: if circuit.is_some() && !given {
            None
        } else {
            Some(site::site_atmosphere(&about.site)?)
        },
        circuit,
        measured_atmosphere: about.site.barometer.is_some(),
        units: site::unit_system(common)?,
        page: about.paper.page.is_some().then(|| about.paper.paper.clone().unwrap_or_default()),
        heading: about.paper.heading.clone(),
    })
}

/// Where gauges read zero for a log of gauge pressures.
fn atmosphere(common: &EvidenceCommon) -> Result<stemwise_units::Pressure, Error> {
    match (common.atmosphere, &common.circuit) {
        (Some(atmosphere), _) => Ok(atmosphere),
        (None, Some(circuit)) => answer::circuit_atmosphere(circuit),
        (None, None) => Ok(stemwise_units::Pressure::from_pa(101_325.0)),
    }
}

/// A log, line by line; only its numbers stay in memory.
fn log(file: &LogFile, kind: LogKind, common: &EvidenceCommon) -> Result<Option<ReadLog>, Error> {
    let Some(path) = file.log.as_deref() else { return Ok(None) };
    let ask = LogAsk { columns: file.column.clone(), units: file.unit.clone(), dates: file.dates.clone() };
    let atmosphere = atmosphere(common)?;
    let read = if path == "-" {
        stream(io::stdin().lock(), "standard input", &ask, kind, atmosphere)
    } else {
        let opened = File::open(path).map_err(|error| files::unreadable(path, &error))?;
        stream(BufReader::with_capacity(START, opened), path, &ask, kind, atmosphere)
    };
    read.map(Some)
}

fn stream(
    mut from: impl BufRead,
    what: &str,
    ask: &LogAsk,
    kind: LogKind,
    atmosphere: stemwise_units::Pressure,
) -> Result<ReadLog, Error> {
    let start = from.fill_buf().map_err(|error| files::unreadable(what, &error))?;
    let delimiter = answer::delimiter(start);
    let mut feed = LogFeed::new(ask, kind, atmosphere, delimiter)?;
    let mut reader =
        ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(from);
    let mut record = ByteRecord::new();
    loop {
        let row = reader.position().line();
        match reader.read_byte_record(&mut record) {
            Ok(true) => feed.record(row, &record)?,
            Ok(false) => return feed.finish(),
            Err(error) => match error.into_kind() {
                csv::ErrorKind::Io(error) => return Err(files::unreadable(what, &error)),
                other => return Err(EvidenceError::Fields { row, why: format!("{other:?}") }.into()),
            },
        }
    }
}

/// Writes what was asked for beside the answer.
fn written(answer: EvidenceAnswer, about: &About) -> Result<EvidenceAnswer, Error> {
    if let (Some(path), Some(page)) = (&about.paper.page, &answer.page) {
        files::write_page(path, page, about.paper.paper.as_deref())?;
    }
    if let Some(path) = &about.plot {
        let svg = answer.svg.as_deref();
        let svg = svg.ok_or_else(|| Error::Unwritable {
            what: path.clone(),
            why: "there is no series over time to draw".into(),
        })?;
        files::write_new(path, svg)?;
    }
    Ok(answer)
}

fn set(it: &Set, common: &EvidenceCommon, healthy: Vec<String>) -> Result<SetAsk, Error> {
    Ok(SetAsk {
        reads: it.read.clone(),
        instruments: it.with.clone(),
        targets: it.target.clone(),
        healthy,
        metering: it.metering.clone(),
        phases: it.phases,
        log: log(&it.log, LogKind::Readings, common)?,
        over: it.over.clone(),
    })
}

pub(crate) fn readings(options: &Common, it: &args::Readings) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    written(answer::readings(&common, &set(&it.set, &common, Vec::new())?)?, &it.about)
}

pub(crate) fn faults(options: &Common, it: &args::Faults) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    written(answer::faults(&common, &set(&it.set, &common, it.healthy.clone())?)?, &it.about)
}

pub(crate) fn standing_test(options: &Common, it: args::StandingTest) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    let ask = StandingAsk {
        log: log(&it.log, LogKind::PressureAndParts, &common)?,
        start: it.start,
        end: it.end,
        time: it.time,
        parts: it.part,
        shares: it.share,
        volume: it.volume,
        gauge: it.gauge,
        probe: it.probe,
        rule: it.rule,
    };
    written(answer::standing_test(&common, &ask)?, &it.about)
}

pub(crate) fn vacuum(options: &Common, it: args::Vacuum) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    let ask = VacuumAsk {
        log: log(&it.log, LogKind::Pressure, &common)?,
        pull: it.pull,
        rise: it.rise,
        shut_at: it.shut_at,
        volume: it.volume,
        at: it.at,
        target: it.target,
        pump: it.pump,
        ultimate: it.ultimate,
        hoses: it.hose,
        cores: it.cores,
        lines: it.lines,
        gauge: it.gauge,
    };
    written(answer::vacuum(&common, &ask)?, &it.about)
}

pub(crate) fn charge(options: &Common, it: args::Charge) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    let ask = ChargeAsk {
        set: set(&it.set, &common, Vec::new())?,
        nameplate: it.nameplate,
        included: it.included,
        lines: it.line,
        rate: it.rate,
        scale: it.scale,
        by: it.by,
        charge: it.charge,
        holds: it.holds,
        since: it.since,
        added: it.added,
        before: it.before,
        cylinder: it.cylinder,
        lost: it.lost,
        out: it.out,
        volume: it.volume,
        at: it.at,
    };
    written(answer::charge(&common, &ask)?, &it.about)
}

pub(crate) fn air(options: &Common, it: args::Air) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    let ask = AirAsk {
        pressure: it.pressure,
        temperature: it.temperature,
        room: it.room,
        volume: it.volume,
        charge: it.charge,
        gauge: it.gauge,
        probe: it.probe,
    };
    written(answer::air(&common, &ask)?, &it.about)
}

pub(crate) fn recovery(options: &Common, it: args::Recovery) -> Result<EvidenceAnswer, Error> {
    let common = common(options, &it.about)?;
    let ask = RecoveryAsk {
        log: log(&it.log, LogKind::Pressure, &common)?,
        charge: it.charge,
        machine: it.machine,
        small: it.small,
        pressure: it.pressure,
        at: it.at,
        volume: it.volume,
        recovered: it.recovered,
        cylinder: it.cylinder,
        holds: it.holds,
        gauge: it.gauge,
    };
    written(answer::recovery(&common, &ask)?, &it.about)
}
