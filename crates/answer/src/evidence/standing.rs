//! The standing test with nitrogen, from readings at both ends or from a log.

use stemwise_readings::{
    Ends, Kind, Measured, RefrigerantLeak, StandingLog, StandingTest, Stood, TestPart, Uncertain,
};
use stemwise_report::{Chart, Mark, Series, SeriesKind};
use stemwise_units::{
    Pressure, PressureDifference, Temperature, TemperatureDifference, Time, TypedPressure, UnitSystem,
};
use stemwise_wire as wire;

use super::{
    Basis, Builder, EvidenceCommon, EvidenceError, ReadLog, a_volume, instrument, name_value, of_rules,
};
use crate::Error;

/// A standing test, as people type it.
#[derive(Clone, Debug, Default)]
pub struct StandingAsk {
    /// Pressure at the start: "300 psig".
    pub start: Option<String>,
    /// Pressure at the end.
    pub end: Option<String>,
    /// How long it stood: "24 h".
    pub time: Option<String>,
    /// "outdoor=70 F, 50 F" or "outdoor=70 F, 50 F, 2": a part with its temperatures at start and end, and its share of the volume.
    pub parts: Vec<String>,
    /// Or a log of it.
    pub log: Option<ReadLog>,
    /// "outdoor=2": a part's share of the volume, for a log.
    pub shares: Vec<String>,
    /// The volume under test.
    pub volume: Option<String>,
    /// The gauge: "0.5 % of 0 to 40 bar".
    pub gauge: Option<String>,
    /// The thermometers: "0.5 K, insulated".
    pub probe: Option<String>,
    /// The rule that decides, by its id; all of them if left out.
    pub rule: Option<String>,
}

/// Judges a standing test.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{EvidenceCommon, StandingAsk, standing_test};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: None, circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Ip, page: None, heading: None };
/// let text = |text: &str| Some(text.to_owned());
/// let ask = StandingAsk { start: text("500 psig"), end: text("479.4 psig"), time: text("24 h"), parts: vec!["all=80 F, 60 F".into()],
///     ..StandingAsk::default() };
/// let answer = standing_test(&common, &ask)?;
/// assert_eq!(answer.outcome, "good");
/// let fell = StandingAsk { end: text("440 psig"), ..ask };
/// assert_eq!(standing_test(&common, &fell)?.outcome, "bad");
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn standing_test(common: &EvidenceCommon, ask: &StandingAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let mut builder = Builder::new(&basis, "standing-test", "Standing test with nitrogen");
    let volume = match &ask.volume {
        Some(text) => Some(a_volume("volume", text)?),
        None => basis.volume(),
    };
    if let Some(volume) = volume {
        builder.given("volume", basis.shown.units.volume(volume));
    }
    let pressure = |what: &'static str, text: &Option<String>| {
        let text = text
            .as_deref()
            .ok_or(EvidenceError::Needs { what: "the pressures at start and end and the time, or a log" })?;
        let typed = TypedPressure::parse(text).and_then(|typed| typed.existing(basis.atmosphere));
        typed.map_err(Error::typed(what))
    };
    let highest = match &ask.log {
        Some(log) => log
            .column("pressure")
            .and_then(|column| column.iter().copied().find(|p| p.is_finite()))
            .unwrap_or(1e6),
        None => pressure("start", &ask.start)?.as_pa(),
    };
    let test = StandingTest {
        substance: basis.substance.as_ref(),
        atmosphere: basis.atmosphere,
        weather: PressureDifference::from_kpa(1.0),
        volume,
        volume_within: if ask.volume.is_some() { 0.1 } else { 0.3 },
        gauge: instrument("gauge", ask.gauge.as_deref(), Measured::Pressure, highest)?,
        probe: instrument("probe", ask.probe.as_deref(), Measured::Temperature, 293.15)?,
        spread: TemperatureDifference::from_k(0.5),
        units: common.units,
    };
    builder.given("gauge", &*test.gauge.words);
    builder.given("thermometers", &*test.probe.words);
    if test.gauge.assumed || test.probe.assumed {
        builder.remark(
            "Nobody said which gauge or thermometer: usual ones are assumed. Better ones see smaller leaks.",
        );
    }
    let stood = match &ask.log {
        Some(log) => test.log(&log_of(log, &ask.shares)?).map_err(EvidenceError::Standing)?,
        None => {
            let ends = Ends {
                start: pressure("start", &ask.start)?,
                end: pressure("end", &ask.end)?,
                time: ask
                    .time
                    .as_deref()
                    .ok_or(EvidenceError::Needs { what: "how long it stood" })
                    .map_err(Error::from)
                    .and_then(|text| Time::parse(text).map_err(Error::typed("time")))?,
                parts: parts(&ask.parts)?,
            };
            for part in &ends.parts {
                let units = basis.shown.units;
                builder.given(
                    part.name.clone(),
                    format!("{} to {}", units.temperature(part.start), units.temperature(part.end)),
                );
            }
            builder
                .given("at the start", basis.shown.units.gauge_pressure(ends.start.gauge(basis.atmosphere)));
            builder.given("at the end", basis.shown.units.gauge_pressure(ends.end.gauge(basis.atmosphere)));
            test.ends(&ends).map_err(EvidenceError::Standing)?
        }
    };
    ask.log.iter().filter_map(ReadLog::gaps).for_each(|say| builder.remark(say));
    builder.given("it stood for", basis.shown.plain(Kind::Time, stood.time.as_s()));
    put(&mut builder, &stood, ask.rule.as_deref())?;
    builder.done()
}

fn parts(typed: &[String]) -> Result<Vec<TestPart>, Error> {
    let one = |typed: &String| {
        let (name, text) = name_value("--part", typed)?;
        let mut fields = text.split(',').map(str::trim);
        let mut next = || fields.next().filter(|field| !field.is_empty());
        let wrong = || EvidenceError::NameValue {
            what: "--part wants NAME=START, END or NAME=START, END, SHARE",
            typed: typed.chars().take(60).collect(),
        };
        let start = Temperature::parse(next().ok_or_else(wrong)?).map_err(Error::typed(name))?;
        let end = Temperature::parse(next().ok_or_else(wrong)?).map_err(Error::typed(name))?;
        let share = next().map_or(Ok(1.0), |text| share(name, text))?;
        Ok::<_, Error>(TestPart { name: name.to_owned(), share, start, end })
    };
    typed.iter().map(one).collect()
}

fn share(_name: &str, text: &str) -> Result<f64, EvidenceError> {
    let wrong = || EvidenceError::Number {
        what: "a share",
        typed: text.chars().take(40).collect(),
        wanted: "a number above 0",
    };
    text.parse::<f64>().ok().filter(|share| share.is_finite() && *share > 0.0).ok_or_else(wrong)
}

fn log_of(log: &ReadLog, shares: &[String]) -> Result<StandingLog, EvidenceError> {
    let mut given: Vec<(&str, f64)> = Vec::new();
    for typed in shares {
        let (name, text) = name_value("--share", typed)?;
        given.push((name, share(name, text)?));
    }
    let names: Vec<String> = log.names.iter().filter(|name| *name != "pressure").cloned().collect();
    if let Some((name, _)) = given.iter().find(|(name, _)| !names.iter().any(|it| it == name)) {
        return Err(EvidenceError::UnknownName {
            what: "--share",
            typed: (*name).to_owned(),
            known: names.join(", "),
        });
    }
    let share_of = |name: &str| given.iter().find(|(it, _)| *it == name).map_or(1.0, |(_, share)| *share);
    Ok(StandingLog {
        seconds: log.log.seconds.clone(),
        pressure: log.column("pressure").unwrap_or_default().to_vec(),
        temperatures: names.iter().map(|name| log.column(name).unwrap_or_default().to_vec()).collect(),
        parts: names.iter().map(|name| (name.clone(), share_of(name))).collect(),
    })
}

fn put(builder: &mut Builder<'_>, stood: &Stood, rule: Option<&str>) -> Result<(), EvidenceError> {
    builder.value(
        "expected",
        "pressure that the temperatures explain",
        Kind::Pressure,
        &stood.expected,
        "real nitrogen (Span et al. 2000), the parts at their own temperatures, the mass kept",
    );
    builder.value(
        "drop",
        "drop that they don't explain",
        Kind::PressureDifference,
        &stood.drop,
        "that less the pressure at the end",
    );
    let smallest = Uncertain::plain(stood.smallest_drop, 0.0);
    builder.value(
        "smallest-drop",
        "smallest drop that would have shown",
        Kind::PressureDifference,
        &smallest,
        "3.29 standard uncertainties: 5 % risk either way (ISO 11843-1)",
    );
    if let Some(leak) = stood.leak.as_ref().filter(|_| stood.dropped) {
        builder.value(
            "leak",
            "leak of nitrogen at the test pressure",
            Kind::GasFlow,
            leak,
            "drop by volume over time, at 20 °C",
        );
    }
    if let Some(leak) = stood.smallest_leak {
        builder.value(
            "smallest-leak",
            "smallest leak that would have shown",
            Kind::GasFlow,
            &Uncertain::plain(leak, 0.0),
            "the smallest drop by volume over time",
        );
    }
    // How the gas flows is in doubt, and so is the leak itself.
    let yearly = |leak: &RefrigerantLeak, part: f64| {
        let (laminar, molecular) = (leak.laminar.as_kg_per_s(), leak.molecular.as_kg_per_s());
        let (by_flow, by_leak) = ((laminar - molecular).abs() / 2.0, part * laminar);
        Uncertain::plain(laminar, (by_flow * by_flow + by_leak * by_leak).sqrt())
    };
    let part =
        stood.leak.as_ref().map_or(0.0, |leak| leak.standard / leak.value.abs().max(f64::MIN_POSITIVE));
    const FROM: &str = "the same channel with the refrigerant at rest at 20 °C: laminar flow; molecular flow and the leak's own doubt give the doubt";
    if let Some(leak) = &stood.refrigerant {
        builder.full_value(
            "refrigerant",
            "what that leak lets out of the refrigerant",
            Kind::YearlyMass,
            &yearly(leak, part),
            FROM,
            true,
            None,
        );
    }
    if let Some(leak) = &stood.smallest_refrigerant {
        builder.full_value(
            "smallest-refrigerant",
            "the same of the smallest leak that would have shown",
            Kind::YearlyMass,
            &yearly(leak, 0.0),
            FROM,
            true,
            None,
        );
    }
    let mut rules = stood.rules.clone();
    if let Some(rule) = rule {
        let known: Vec<&str> = stood.rules.iter().map(|it| it.id.as_str()).collect();
        if !known.contains(&rule) {
            return Err(EvidenceError::UnknownName {
                what: "--rule",
                typed: rule.chars().take(40).collect(),
                known: known.join(", "),
            });
        }
        rules.retain(|it| it.id == rule);
    }
    builder.rules(&rules);
    let (mark, say) = if stood.dropped {
        (Mark::Bad, "It leaks: the pressure fell by more than temperatures and instruments explain.")
    } else if stood.rose {
        (
            Mark::Open,
            "The pressure rose by more than the temperatures explain: a regulator left open, or a temperature read elsewhere. This proves nothing.",
        )
    } else if stood.maybe {
        (
            Mark::Open,
            "Undecided: the pressure seems to have fallen by more than the temperatures explain, but by less than these instruments can tell from nothing. Use a finer gauge, or let it stand longer.",
        )
    } else {
        match of_rules(&rules) {
            Mark::Open => (
                Mark::Open,
                "No drop so far that temperatures and instruments don't explain, but it has not stood long enough for any of the rules.",
            ),
            mark => (mark, "It held: no drop that temperatures and instruments don't explain."),
        }
    };
    builder.verdict(mark, say);
    if stood.dropped {
        builder.advise("Look for the leak with soap at every joint while the nitrogen is in there, mend it, and test again.");
    } else if !stood.rose && !stood.maybe {
        builder.advise("Let the nitrogen out to the open air, slowly, before the system is evacuated.");
    }
    builder.advise("Dry nitrogen only, from a regulator with a relief behind it; never oxygen or air, and never above the lowest design pressure of what is joined (ANSI/ASHRAE 15 §10).");
    chart(builder, stood);
    Ok(())
}

fn chart(builder: &mut Builder<'_>, stood: &Stood) {
    if stood.points.is_empty() {
        return;
    }
    let shown = builder.basis.shown;
    let ip = matches!(shown.units, UnitSystem::Ip);
    let up = |pascal: f64| {
        let gauge = Pressure::from_pa(pascal).gauge(shown.atmosphere);
        if ip { gauge.as_psi() } else { gauge.as_bar() }
    };
    let series = |name: &str, kind, of: &dyn Fn(&stemwise_readings::StandingPoint) -> f64| Series {
        name: name.into(),
        kind,
        points: stood.points.iter().map(|point| (point.seconds / 3600.0, up(of(point)))).collect(),
    };
    builder.chart = Some(Chart {
        title: "Pressure of the standing test over time".into(),
        across: "hours".into(),
        up: if ip { "psig" } else { "bar(g)" }.into(),
        logarithmic: false,
        series: vec![
            series("measured", SeriesKind::Measured, &|point| point.measured),
            series("what the temperatures explain", SeriesKind::Model, &|point| point.expected),
        ],
        levels: Vec::new(),
    });
}
