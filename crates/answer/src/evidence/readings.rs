//! A set of readings: everything that follows, with its uncertainty and what it should be.

use stemwise_readings::{
    BY_BALANCE, Evidence, Instrument, Item, Measured, MeteringKind, ModelRanker, Reading, ReadingSet, Target,
    Value, Word, WorkedOut, standards, work_out,
};
use stemwise_rehearse::{SteadyError, SteadyKind, SteadyPlant};
use stemwise_report::{Chart, Mark, Series, SeriesKind};
use stemwise_units::{
    ElectricCurrent, Power, Temperature, TemperatureDifference, Time, TypedPressure, Voltage, VolumeFlow,
    parse_fraction,
};
use stemwise_wire as wire;

use super::{Basis, Builder, EvidenceCommon, EvidenceError, ReadLog, name_value};
use crate::Error;

/// A set of readings, as people type it.
#[derive(Clone, Debug, Default)]
pub struct SetAsk {
    /// "suction-pressure=118 psig", each once.
    pub reads: Vec<String>,
    /// "suction-pressure=class 1.6, -1 to 9 bar": with what it was read.
    pub instruments: Vec<String>,
    /// "subcooling=10 F": what it should be on this system.
    pub targets: Vec<String>,
    /// "superheat=12 F" or "superheat=12 F, 2 F": how it is when the system is well, and how far either way is nothing. For faults.
    pub healthy: Vec<String>,
    /// "fixed" or "thermostatic".
    pub metering: Option<String>,
    /// 1 or 3.
    pub phases: Option<u32>,
    /// A log whose last rows are the readings.
    pub log: Option<ReadLog>,
    /// Over how long they are taken; 5 minutes if left out.
    pub over: Option<String>,
}

/// A set read and worked out.
pub(super) struct Read {
    pub(super) worked: WorkedOut,
    pub(super) values: Vec<(Reading, f64)>,
    pub(super) standards: Vec<(Reading, f64)>,
    pub(super) metering: MeteringKind,
    pub(super) plant: Option<Result<SteadyPlant, SteadyError>>,
}

impl Read {
    pub(super) fn evidence<'a>(&'a self, healthy: &'a [(String, f64, f64)]) -> Evidence<'a> {
        Evidence {
            worked: &self.worked,
            readings: &self.values,
            standards: &self.standards,
            metering: self.metering,
            healthy,
        }
    }

    /// The ranker by this circuit's balance; none without a circuit, or where it has none.
    pub(super) fn ranker(&self, basis: &Basis) -> Option<ModelRanker<'_>> {
        let plant = self.plant.as_ref()?.as_ref().ok()?;
        Some(ModelRanker { plant, atmosphere_pa: basis.atmosphere.as_pa() })
    }

    /// What this circuit's balance makes of the derived values, where nobody gave or published what they should be. What limits a discharge line
    /// stays a limit.
    fn put_expected(&mut self, basis: &Basis) {
        let list = self.ranker(basis).and_then(|ranker| ranker.expected(&self.evidence(&[])));
        for it in list.into_iter().flatten() {
            let Some(derived) = self.worked.derived.iter_mut().find(|derived| derived.id == it.id) else {
                continue;
            };
            let free = derived.target.as_ref().is_none_or(|target| target.word == Word::Practice);
            if free && it.id != "discharge-line" {
                derived.target = Some(Target {
                    low: Some(it.value - 2.0 * it.standard),
                    high: Some(it.value + 2.0 * it.standard),
                    word: Word::Circuit,
                    source: BY_BALANCE.into(),
                });
            }
        }
    }
}

pub(super) fn unknown(what: &'static str, typed: &str) -> EvidenceError {
    let known = Reading::ALL.map(Reading::word).join(", ");
    EvidenceError::UnknownName { what, typed: typed.chars().take(40).collect(), known }
}

/// Works a set of readings out.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`] for what was not understood.
///
/// ```
/// use stemwise_answer::{EvidenceCommon, SetAsk, readings};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-410A".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)),
///     measured_atmosphere: false, units: UnitSystem::Ip, page: None, heading: None };
/// let ask = SetAsk { reads: vec!["suction-pressure=118.4 psig".into(), "suction-line=52 F".into()], ..SetAsk::default() };
/// let answer = readings(&common, &ask)?;
/// assert!(answer.values.iter().any(|value| value.id == "superheat" && (value.value - 6.67).abs() < 0.05));
/// assert!(readings(&common, &SetAsk { reads: vec!["suction=1 bar".into()], ..SetAsk::default() }).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn readings(common: &EvidenceCommon, ask: &SetAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let mut builder = Builder::new(&basis, "readings", "Readings");
    let read = read(&basis, common, ask, Some(&mut builder))?;
    add_derived(&mut builder, &read.worked);
    builder.answer.remarks.extend(more(&read.worked));
    let targets: Vec<&wire::Estimate> =
        builder.answer.values.iter().filter(|it| it.target.is_some()).collect();
    let off: Vec<String> = targets.iter().filter_map(|it| says(it)).collect();
    let doubtful = targets
        .iter()
        .filter(|it| it.target.as_ref().is_some_and(|target| target.against == "doubtful"))
        .count();
    let (mark, say) = if !off.is_empty() {
        (Mark::Bad, format!("{}.", off.join("; ")))
    } else if doubtful > 0 || targets.is_empty() {
        (
            Mark::Open,
            if targets.is_empty() {
                "Worked out; nothing says what these should be.".into()
            } else {
                "So near to what it should be that these instruments can't tell.".to_owned()
            },
        )
    } else {
        (Mark::Good, "As it should be, as far as this was read.".into())
    };
    builder.verdict(mark, say);
    if swapped(&read.values) {
        builder.verdict(
            Mark::Bad,
            "The suction pressure is not below the discharge pressure: the hoses or the readings are swapped, or it does not run. Nothing that follows counts.",
        );
    }
    builder.done()
}

/// Whether the suction pressure is no lower than the discharge pressure.
fn swapped(values: &[(Reading, f64)]) -> bool {
    let of = |wanted| values.iter().find(|(reading, _)| *reading == wanted).map(|(_, value)| *value);
    of(Reading::SuctionPressure)
        .zip(of(Reading::DischargePressure))
        .is_some_and(|(suction, discharge)| suction >= discharge)
}

/// What each further reading would give, one sentence for each.
fn more(worked: &WorkedOut) -> Vec<String> {
    let mut by_reading: Vec<(&str, Vec<&str>)> = Vec::new();
    for it in &worked.missing {
        let Some(lacks) = it.lacks.first().map(|reading| reading.word()) else { continue };
        match by_reading.iter_mut().find(|(word, _)| *word == lacks) {
            Some((_, gives)) => gives.push(it.name),
            None => by_reading.push((lacks, vec![it.name])),
        }
    }
    by_reading.iter().map(|(word, gives)| format!("{word} would also give: {}.", gives.join(", "))).collect()
}

fn says(it: &wire::Estimate) -> Option<String> {
    let target = it.target.as_ref()?;
    let word = match target.against.as_str() {
        "below" => "below",
        "above" => "above",
        _ => return None,
    };
    Some(format!("{} is {}, {word} what it should be ({})", it.name, it.shown, target.shown))
}

pub(super) fn add_derived(builder: &mut Builder<'_>, worked: &WorkedOut) {
    for it in &worked.derived {
        builder.full_value(it.id, it.name, it.kind, &it.value, it.from, it.estimate, it.target.as_ref());
    }
    for remark in &worked.remarks {
        builder.remark(remark.clone());
    }
}

/// Reads the set; tells the builder what was given.
pub(super) fn read(
    basis: &Basis,
    common: &EvidenceCommon,
    ask: &SetAsk,
    builder: Option<&mut Builder<'_>>,
) -> Result<Read, Error> {
    let substance = basis.substance()?;
    let mut items: Vec<Item> = Vec::new();
    let mut shown: Vec<(&'static str, String)> = Vec::new();
    for typed in &ask.reads {
        let (name, text) = name_value("--read", typed)?;
        let reading = Reading::by_word(name).ok_or_else(|| unknown("--read", name))?;
        if items.iter().any(|item| item.reading == reading) {
            return Err(EvidenceError::Twice { what: "--read", name: name.to_owned() }.into());
        }
        shown.push((reading.word(), text.to_owned()));
        items.push(Item { reading, value: value(reading, text, basis)?, instrument: None });
    }
    if let Some(log) = &ask.log {
        let over = ask
            .over
            .as_deref()
            .map_or(Ok(Time::from_min(5.0)), |text| Time::parse(text).map_err(Error::typed("over")))?;
        for (reading, mean) in last_means(log, over.as_s()) {
            if !items.iter().any(|item| item.reading == reading) {
                shown.push((reading.word(), format!("mean of the log's last {:.0} min", over.as_min())));
                items.push(Item { reading, value: Value::Si(mean), instrument: None });
            }
        }
    }
    if items.is_empty() {
        return Err(EvidenceError::Needs { what: "at least one reading, NAME=VALUE" }.into());
    }
    put_instruments(&mut items, &ask.instruments, &mut shown)?;
    let metering = metering(ask.metering.as_deref())?;
    let set = ReadingSet {
        substance,
        atmosphere: basis.atmosphere,
        atmosphere_within: basis.atmosphere_within(common),
        items,
        metering,
        phases: ask.phases.unwrap_or(1),
        given_targets: targets(&ask.targets)?,
    };
    if let Some(builder) = builder {
        shown.into_iter().for_each(|(name, value)| builder.given(name, value));
        ask.log.iter().filter_map(ReadLog::gaps).for_each(|say| builder.remark(say));
        builder.chart = ask.log.as_ref().and_then(|log| chart(log, basis));
    }
    let plant = basis.plant();
    let metering = match (&plant, metering) {
        (Some(Ok(plant)), MeteringKind::Unknown) if plant.kind() == SteadyKind::Fixed => MeteringKind::Fixed,
        (Some(Ok(_)), MeteringKind::Unknown) => MeteringKind::Thermostatic,
        _ => metering,
    };
    let set = ReadingSet { metering, ..set };
    let values = set.items.iter().map(|item| (item.reading, absolute(item.value, basis))).collect();
    let mut read = Read { worked: work_out(&set), values, standards: standards(&set), metering, plant };
    read.put_expected(basis);
    Ok(read)
}

const fn absolute(value: Value, basis: &Basis) -> f64 {
    match value {
        Value::Gauge(gauge) => gauge + basis.atmosphere.as_pa(),
        Value::Si(si) => si,
    }
}

fn value(reading: Reading, text: &str, basis: &Basis) -> Result<Value, Error> {
    let what = reading.word();
    let si = match reading.measured() {
        Measured::Pressure => {
            let typed = TypedPressure::parse(text).map_err(Error::typed(what))?;
            let pressure = typed.existing(basis.atmosphere).map_err(Error::typed(what))?;
            return Ok(match typed {
                TypedPressure::Gauge(gauge) => Value::Gauge(gauge.as_pa()),
                TypedPressure::Absolute(_) => Value::Si(pressure.as_pa()),
            });
        }
        Measured::Temperature => Temperature::parse(text).map_err(Error::typed(what))?.as_k(),
        Measured::Power => Power::parse(text).map_err(Error::typed(what))?.as_w(),
        Measured::Current => ElectricCurrent::parse(text).map_err(Error::typed(what))?.as_a(),
        Measured::Voltage => Voltage::parse(text).map_err(Error::typed(what))?.as_v(),
        Measured::VolumeFlow => VolumeFlow::parse(text).map_err(Error::typed(what))?.as_m3_per_s(),
        Measured::Part | Measured::Mass => parse_fraction(text).map_err(Error::typed(what))?,
    };
    Ok(Value::Si(si))
}

fn put_instruments(
    items: &mut [Item],
    typed: &[String],
    shown: &mut [(&'static str, String)],
) -> Result<(), EvidenceError> {
    for one in typed {
        let (name, text) = name_value("--with", one)?;
        let reading = Reading::by_word(name).ok_or_else(|| unknown("--with", name))?;
        let instrument = Instrument::parse(text, reading.measured());
        let instrument =
            instrument.map_err(|error| EvidenceError::Instrument { what: name.to_owned(), error })?;
        if let Some((_, value)) = shown.iter_mut().find(|(it, _)| *it == reading.word()) {
            value.push_str(&format!(" (by {})", instrument.words));
        }
        match items.iter_mut().find(|item| item.reading == reading) {
            Some(item) => item.instrument = Some(instrument),
            None => return Err(unknown("--with (it is not among the readings)", name)),
        }
    }
    Ok(())
}

pub(super) fn metering(typed: Option<&str>) -> Result<MeteringKind, EvidenceError> {
    match typed {
        None => Ok(MeteringKind::Unknown),
        Some("fixed") => Ok(MeteringKind::Fixed),
        Some("thermostatic" | "electronic") => Ok(MeteringKind::Thermostatic),
        Some(other) => Err(EvidenceError::Choice {
            what: "--metering",
            typed: other.chars().take(40).collect(),
            choices: "fixed, thermostatic or electronic",
        }),
    }
}

fn targets(typed: &[String]) -> Result<Vec<(String, f64)>, Error> {
    let one = |typed: &String| {
        let (name, text) = name_value("--target", typed)?;
        Ok::<_, Error>((
            name.to_owned(),
            TemperatureDifference::parse(text).map_err(Error::typed(name))?.as_k(),
        ))
    };
    typed.iter().map(one).collect()
}

/// "superheat=12 F, 2 F": an id, its value and how far either way is nothing, SI. A temperature where the derived value is one.
pub(super) fn healthy(typed: &[String]) -> Result<Vec<(String, f64, f64)>, Error> {
    let one = |typed: &String| {
        let (name, text) = name_value("--healthy", typed)?;
        let (value, within) =
            text.split_once(',').map_or((text, None), |(value, within)| (value.trim(), Some(within.trim())));
        let temperature =
            ["evaporating", "condensing-bubble", "condensing-dew", "discharge-line"].contains(&name);
        let value = if temperature {
            Temperature::parse(value).map_err(Error::typed(name))?.as_k()
        } else {
            TemperatureDifference::parse(value).map_err(Error::typed(name))?.as_k()
        };
        // Two runs of one sound system differ by some 1.5 K; assumed.
        let within = within.map_or(Ok(TemperatureDifference::from_k(1.5)), TemperatureDifference::parse);
        Ok::<_, Error>((name.to_owned(), value, within.map_err(Error::typed(name))?.as_k()))
    };
    typed.iter().map(one).collect()
}

/// Means over the end of a log.
fn last_means(log: &ReadLog, over: f64) -> Vec<(Reading, f64)> {
    let last = log.log.seconds.last().copied().unwrap_or(0.0);
    let from = log.log.seconds.iter().position(|t| *t >= last - over).unwrap_or(0);
    let mean = |name: &String| {
        let column = log.column(name)?.get(from..)?;
        let (sum, n) =
            column.iter().filter(|v| v.is_finite()).fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
        Some((Reading::by_word(name)?, sum / n)).filter(|_| n > 0.0)
    };
    log.names.iter().filter_map(mean).collect()
}

/// The temperatures of a log over time.
fn chart(log: &ReadLog, basis: &Basis) -> Option<Chart> {
    let ip = matches!(basis.shown.units, stemwise_units::UnitSystem::Ip);
    let step = log.log.seconds.len().div_ceil(600).max(1);
    let series: Vec<Series> = log
        .names
        .iter()
        .filter(|name| Reading::by_word(name).is_some_and(|it| it.measured() == Measured::Temperature))
        .zip([SeriesKind::Model, SeriesKind::Ideal, SeriesKind::Measured])
        .filter_map(|(name, kind)| {
            let shown = |kelvin: &f64| {
                let t = Temperature::from_k(*kelvin);
                if ip { t.as_fahrenheit() } else { t.as_celsius() }
            };
            let points = log
                .log
                .seconds
                .iter()
                .map(|t| t / 60.0)
                .zip(log.column(name)?.iter().map(shown))
                .step_by(step);
            Some(Series { name: name.clone(), kind, points: points.collect() })
        })
        .collect();
    (!series.is_empty()).then(|| Chart {
        title: "Temperatures over time".into(),
        across: "minutes".into(),
        up: if ip { "°F" } else { "°C" }.into(),
        logarithmic: false,
        series,
        levels: Vec::new(),
    })
}
