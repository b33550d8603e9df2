//! Vacuum: pull-down and decay, from typed readings or a log.

use stemwise_readings::{
    Decay, DecayAsk, DecayError, Element, Kind, Line, Path, Pull, PullAsk, PullError, Pump, Seen, Uncertain,
    WhatLimits, acceptance, ice_warning,
};
use stemwise_report::{Chart, Mark, Series, SeriesKind};
use stemwise_units::{Length, Pressure, Temperature, Time, TypedPressure, Volume, VolumeFlow};
use stemwise_wire as wire;

use super::{Basis, Builder, EvidenceCommon, EvidenceError, ReadLog, a_volume, of_rules};
use crate::Error;

/// Evacuation, as people type it.
#[derive(Clone, Debug, Default)]
pub struct VacuumAsk {
    /// "5 min=2000 micron", while the pump pulls.
    pub pull: Vec<String>,
    /// "0 min=300 micron", with the valve to the pump shut.
    pub rise: Vec<String>,
    /// A log of all of it.
    pub log: Option<ReadLog>,
    /// When in that log the valve was shut: "35 min"; never, if left out. "0 min" makes all of it a rise.
    pub shut_at: Option<String>,
    /// The volume that is evacuated; the circuit's, if left out.
    pub volume: Option<String>,
    /// How warm it is there; 20 °C if left out.
    pub at: Option<String>,
    /// Where to: "500 micron" if left out.
    pub target: Option<String>,
    /// The pump's speed: "5 cfm".
    pub pump: Option<String>,
    /// The lowest pressure of the pump: "15 micron" if left out.
    pub ultimate: Option<String>,
    /// "3/8 in x 1.5 m": inside diameter and length of each hose, from the system to the pump.
    pub hoses: Vec<String>,
    /// How many valve cores are in the way.
    pub cores: u32,
    /// How many such lines there are side by side.
    pub lines: Option<u32>,
    /// By which part of its reading the gauge may be off: "10 %" if left out.
    pub gauge: Option<String>,
}

/// Judges an evacuation.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{EvidenceCommon, VacuumAsk, vacuum};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-32".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Si, page: None, heading: None };
/// let rise = |per_minute: f64| (0..=30).map(|m| format!("{m} min={} micron", 250.0 + per_minute * f64::from(m))).collect();
/// let ask = |per_minute| VacuumAsk { rise: rise(per_minute), volume: Some("10 L".into()), ..VacuumAsk::default() };
/// assert_eq!(vacuum(&common, &ask(0.5))?.outcome, "good");
/// assert!(vacuum(&common, &ask(60.0))?.verdict.contains("leaks"));
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn vacuum(common: &EvidenceCommon, ask: &VacuumAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let mut builder = Builder::new(&basis, "vacuum", "Evacuation");
    let rig = rig(&basis, ask)?;
    if let Some(volume) = rig.volume {
        builder.given("volume", basis.shown.units.volume(volume));
    }
    builder.given("temperature", basis.shown.units.temperature(rig.at));
    let (pull, rise) = series(ask, &basis)?;
    ask.log.iter().filter_map(ReadLog::gaps).for_each(|say| builder.remark(say));
    let highest = pull.1.iter().chain(&rise.1).copied().filter(|p| p.is_finite()).fold(0.0, f64::max);
    if highest > 1.05 * basis.atmosphere.as_pa() {
        return Err(EvidenceError::Number {
            what: "a reading of the vacuum gauge",
            typed: basis.shown.units.absolute_pressure(Pressure::from_pa(highest)),
            wanted: "below the atmosphere (micron, Pa, mbar abs)",
        }
        .into());
    }
    if pull.0.is_empty() && rise.0.is_empty() {
        return Err(EvidenceError::Needs {
            what: "readings of the vacuum gauge: while the pump pulls, with the valve shut, or a log",
        }
        .into());
    }
    let decay = match decay(&basis, &rig, &rise) {
        _ if rise.0.is_empty() => None,
        // The criteria can be judged all the same.
        Err(EvidenceError::Decay(few @ DecayError::TooFew { .. })) => {
            builder.remark(format!("{few}."));
            None
        }
        split => Some(split?),
    };
    let pulled = match (&rig.path, rig.volume) {
        (Some(path), Some(volume)) if !pull.0.is_empty() => {
            let known_leak = decay.as_ref().and_then(|decay| decay.leak.as_ref()).map(|leak| leak.value);
            let ask =
                PullAsk { seconds: &pull.0, pascal: &pull.1, volume, path, target: rig.target, known_leak };
            match ask.judge() {
                Err(few @ PullError::TooFew { .. }) => {
                    builder.remark(format!("{few}."));
                    None
                }
                judged => Some(judged.map_err(EvidenceError::Pull)?),
            }
        }
        _ => None,
    };
    if !pull.0.is_empty() && pulled.is_none() {
        builder.remark("The pull-down is held against a model where the volume, the pump's speed and the hoses are given.");
    }
    if let Some(pulled) = &pulled {
        put_pull(&mut builder, pulled, &rig, decay.is_some());
    }
    if !rise.0.is_empty() {
        let rules = acceptance(&rise.0, &rise.1, rig.gauge);
        match &decay {
            Some(decay) => {
                put_decay(&mut builder, decay);
                judge(&mut builder, decay, of_rules(&rules));
            }
            None => judge_by_rules(&mut builder, of_rules(&rules)),
        }
        builder.rules(&rules);
    }
    let water =
        decay.as_ref().is_some_and(|decay| decay.wet == Seen::Yes) || pulled.as_ref().is_some_and(boils);
    let lowest =
        pull.1.iter().chain(&rise.1).copied().filter(|p| p.is_finite()).fold(f64::INFINITY, f64::min);
    if let Some(say) = ice_warning(lowest, rig.at.as_k(), water) {
        builder.advise(say);
    }
    builder.advise("Never run a compressor in a vacuum, nor put a megohmmeter to its windings there.");
    builder.chart = Some(chart(pulled.as_ref(), decay.as_ref(), &pull, &rise, rig.target));
    builder.done()
}

struct Rig {
    volume: Option<Volume>,
    volume_within: f64,
    at: Temperature,
    target: Pressure,
    path: Option<Path>,
    gauge: f64,
}

fn rig(basis: &Basis, ask: &VacuumAsk) -> Result<Rig, Error> {
    let absolute = |what: &'static str, text: &str| {
        TypedPressure::parse(text)
            .and_then(|typed| typed.existing(basis.atmosphere))
            .map_err(Error::typed(what))
    };
    let at = ask.at.as_deref().map_or(Ok(Temperature::from_celsius(20.0)), |text| {
        Temperature::parse(text).map_err(Error::typed("at"))
    })?;
    let volume = match &ask.volume {
        Some(text) => Some(a_volume("volume", text)?),
        None => basis.volume(),
    };
    let pump =
        ask.pump.as_deref().map(|text| VolumeFlow::parse(text).map_err(Error::typed("pump"))).transpose()?;
    let path = match pump {
        None => None,
        Some(speed) => {
            let ultimate = ask
                .ultimate
                .as_deref()
                .map_or(Ok(Pressure::from_micron(15.0)), |text| absolute("ultimate", text))?;
            let mut elements = ask.hoses.iter().map(|typed| hose(typed)).collect::<Result<Vec<_>, _>>()?;
            elements.extend((0..ask.cores.min(20)).map(|_| Element::core()));
            let lines = vec![Line { elements, count: ask.lines.unwrap_or(1).clamp(1, 20) }];
            Some(Path { lines, pump: Pump { speed, ultimate }, temperature: at })
        }
    };
    let gauge = ask
        .gauge
        .as_deref()
        .map_or(Ok(0.1), |text| stemwise_units::parse_fraction(text).map_err(Error::typed("gauge")))?;
    Ok(Rig {
        volume,
        volume_within: if ask.volume.is_some() { 0.1 } else { 0.3 },
        at,
        target: ask
            .target
            .as_deref()
            .map_or(Ok(Pressure::from_micron(500.0)), |text| absolute("target", text))?,
        path,
        gauge,
    })
}

/// "3/8 in x 1.5 m".
fn hose(typed: &str) -> Result<Element, Error> {
    let parts = typed.split_once(['x', '×', '*']);
    let (bore, length) = parts.ok_or_else(|| EvidenceError::Choice {
        what: "--hose",
        typed: typed.chars().take(40).collect(),
        choices: "an inside diameter and a length, like \"8 mm x 1.5 m\"",
    })?;
    let bore = Length::parse(bore).map_err(Error::typed("hose"))?;
    let length = Length::parse(length).map_err(Error::typed("hose"))?;
    if bore.as_m() <= 0.0 || length.as_m() <= 0.0 {
        return Err(EvidenceError::Number {
            what: "--hose",
            typed: typed.chars().take(40).collect(),
            wanted: "an inside diameter and a length above 0",
        }
        .into());
    }
    Ok(Element::tube(format!("hose of {:.1} mm by {:.1} m", bore.as_mm(), length.as_m()), bore, length))
}

type Points = (Vec<f64>, Vec<f64>);

/// The pull-down's and the rise's points: seconds and Pa; the rise counts from when the valve was shut.
fn series(ask: &VacuumAsk, basis: &Basis) -> Result<(Points, Points), Error> {
    let (mut pull, mut rise) = (typed(&ask.pull, "--pull", basis)?, typed(&ask.rise, "--rise", basis)?);
    if let Some(log) = &ask.log {
        let pascal = log.column("pressure").unwrap_or_default();
        let shut = match ask.shut_at.as_deref() {
            Some(text) => Time::parse(text).map_err(Error::typed("shut-at"))?.as_s(),
            None => f64::INFINITY,
        };
        let at = log.log.seconds.iter().position(|t| *t >= shut).unwrap_or(log.log.seconds.len());
        let part = |list: &[f64], late: bool| {
            list.get(if late { at..list.len() } else { 0..at.min(list.len()) }).unwrap_or_default().to_vec()
        };
        if pull.0.is_empty() && at > 0 {
            pull = (part(&log.log.seconds, false), part(pascal, false));
        }
        if rise.0.is_empty() && at < log.log.seconds.len() {
            let seconds = part(&log.log.seconds, true);
            let first = seconds.first().copied().unwrap_or(0.0);
            rise = (seconds.iter().map(|t| t - first).collect(), part(pascal, true));
        }
    }
    Ok((pull, rise))
}

fn typed(points: &[String], what: &'static str, basis: &Basis) -> Result<Points, Error> {
    let mut read: Vec<(f64, f64)> = Vec::new();
    for point in points {
        let (time, pressure) = super::name_value(what, point)?;
        let time = Time::parse(time).map_err(Error::typed(what))?.as_s();
        let typed = TypedPressure::parse(pressure).and_then(|typed| typed.existing(basis.atmosphere));
        read.push((time, typed.map_err(Error::typed(what))?.as_pa()));
    }
    read.sort_by(|one, other| one.0.total_cmp(&other.0));
    Ok(read.into_iter().unzip())
}

fn decay(basis: &Basis, rig: &Rig, rise: &Points) -> Result<Decay, EvidenceError> {
    let ask = DecayAsk {
        seconds: &rise.0,
        pascal: &rise.1,
        volume: rig.volume,
        volume_within: rig.volume_within,
        temperature: rig.at,
        gauge_part: rig.gauge,
        substance: basis.substance.as_ref(),
        atmosphere: basis.atmosphere.as_pa(),
    };
    ask.split().map_err(EvidenceError::Decay)
}

fn put_pull(builder: &mut Builder<'_>, pull: &Pull, rig: &Rig, has_decay: bool) {
    let plain = |value: f64| Uncertain::plain(value, 0.0);
    builder.value("now", "pressure now", Kind::Vacuum, &plain(pull.now), "the last of the pull-down");
    builder.full_value(
        "load",
        "gas that comes in now",
        Kind::GasFlow,
        &plain(pull.load),
        "what the pump takes away through its hoses at this pressure",
        true,
        None,
    );
    if pull.stays_at > rig.target.as_pa() {
        builder.full_value(
            "stays-at",
            "pressure at which it would stay",
            Kind::Vacuum,
            &plain(pull.stays_at),
            "where as much flows out as comes in",
            true,
            None,
        );
    }
    if let Some(left) = pull.left {
        let doubt = Uncertain::plain(left.as_s(), 0.15 * left.as_s());
        builder.full_value(
            "left",
            "time left to the target",
            Kind::Time,
            &doubt,
            "the model with the gas that comes in now",
            true,
            None,
        );
    }
    if pull.factor < 0.7 || pull.factor > 1.5 {
        builder.remark(format!(
            "The log goes {:.1} times as fast as the rig and the volume as given would: one of them is not as given.",
            pull.factor
        ));
    }
    let (mark, say) = match &pull.limits {
        WhatLimits::Nothing => (
            Mark::Good,
            "It has come to its target. Shut the valve to the pump and watch the rise.".to_owned(),
        ),
        WhatLimits::Way(stage) => {
            builder.advise(format!(
                "{} of the resistance is in the {}: shorter, wider, a second one side by side, or cores out with a core tool would help most.",
                super::shown::significant(100.0 * stage.part, 2) + " %",
                stage.name
            ));
            (Mark::Open, format!("It is going down; the {} holds it back most.", stage.name))
        }
        WhatLimits::SteadyLoad => {
            builder.advise("Shut the valve to the pump and watch the rise: a leak rises straight on. If it hardly rises, change the pump's oil.");
            (Mark::Bad, "It will not come to its target: gas comes in steadily, from a leak, or the pump does not pull as its plate says.".to_owned())
        }
        WhatLimits::PumpItself => {
            builder.advise("Change the pump's oil while it is warm, and let it run with its inlet shut: it must come below the target alone.");
            (
                Mark::Bad,
                "The pump itself holds it back: the system lets in far less than the pump should take away."
                    .to_owned(),
            )
        }
        WhatLimits::FadingLoad => {
            builder.advise("Water or gas out of the oil is leaving. Breaking the vacuum with dry nitrogen and evacuating again takes it along faster.");
            (
                Mark::Open,
                "It is going down slowly: what comes in grows less, as water or gas out of the oil does."
                    .to_owned(),
            )
        }
    };
    if boils(pull) {
        builder.advise("It stood where water boils at this temperature: there is water. Break with dry nitrogen, warm it, and evacuate again.");
    } else if pull.at_waters_pressure {
        builder.remark("Water that has cooled as it boils could hold such a pressure too: the rise with the valve shut tells it from a leak.");
    }
    if !has_decay {
        builder.verdict(mark, say);
    } else if mark == Mark::Bad {
        builder.remark(say);
    }
}

/// Whether it stood where water boils; a load that stays the same is as well a leak or a pump.
const fn boils(pull: &Pull) -> bool {
    pull.at_waters_pressure && !matches!(pull.limits, WhatLimits::SteadyLoad | WhatLimits::PumpItself)
}

fn put_decay(builder: &mut Builder<'_>, decay: &Decay) {
    builder.value(
        "start",
        "pressure as the valve was shut",
        Kind::Vacuum,
        &Uncertain::plain(decay.start, 0.0),
        "by the fit of the rise",
    );
    if decay.jump > 0.2 * decay.start && decay.jump > 3.0 {
        builder.value(
            "jump",
            "gauge's first reading was lower by",
            Kind::Vacuum,
            &Uncertain::plain(decay.jump, 0.0),
            "the gauge sits nearer to the pump than the system: it jumped within seconds",
        );
        builder.remark("The gauge sits on the pump's side of a hose or core: it read lower than the system was. Put it at the far end.");
    }
    let rise = |it: &Uncertain, factor: f64| Uncertain {
        value: it.value * factor,
        standard: it.standard * factor,
        shares: it.shares.clone(),
    };
    builder.value(
        "steady",
        "rise that goes on, in an hour",
        Kind::Vacuum,
        &rise(&decay.steady, 3600.0),
        "the straight part of the rise",
    );
    builder.value(
        "ending",
        "rise that ends",
        Kind::Vacuum,
        &decay.ending,
        "the part of the rise that slows down or stops",
    );
    if let Some(leak) = &decay.leak {
        builder.value(
            "leak",
            "leak into the vacuum",
            Kind::GasFlow,
            leak,
            "the straight rise by the volume, at 20 °C",
        );
    }
    if let Some(smallest) = decay.smallest_leak {
        builder.value(
            "smallest-leak",
            "smallest leak that would have shown",
            Kind::GasFlow,
            &Uncertain::plain(smallest, 0.0),
            "what the fit can tell, and no less than 100 micron an hour, which seals may give off",
        );
    }
    if let Some(leak) = &decay.refrigerant {
        let value = Uncertain::plain(
            leak.laminar.as_kg_per_s(),
            (leak.laminar.as_kg_per_s() - leak.molecular.as_kg_per_s()).abs() / 2.0,
        );
        builder.full_value("refrigerant", "what that leak lets out of the refrigerant", Kind::YearlyMass, &value, "the same channel with the refrigerant at rest at 20 °C: laminar flow; molecular flow gives the doubt", true, None);
    }
    if let Some(water) = &decay.water {
        let from = if decay.soaked {
            "what stands there as vapour; there is liquid or ice, and more"
        } else {
            "the rise that ends, as water vapour in the volume; gas out of the oil would count as water here"
        };
        builder.value("water", "water left", Kind::Mass, water, from);
    }
    builder.value(
        "half-time",
        "half of the rise that ends took",
        Kind::Time,
        &Uncertain::plain(decay.half_time, 0.0),
        "by the fit",
    );
}

fn judge(builder: &mut Builder<'_>, decay: &Decay, rules: Mark) {
    let (mark, say) = match (decay.leaks, decay.wet) {
        (Seen::Yes, Seen::Yes) => (Mark::Bad, "It leaks, and it is wet."),
        (Seen::Yes, Seen::No) => (Mark::Bad, "It leaks."),
        (Seen::Yes, Seen::CantTell) => (Mark::Bad, "It leaks; whether it is wet too can't be told yet."),
        (_, Seen::Yes) if decay.soaked => {
            (Mark::Bad, "It is wet: the rise came to the pressure of water. A leak can't be told beside it.")
        }
        (Seen::No, Seen::Yes) => {
            (Mark::Bad, "It is wet, or gas comes out of the oil; it does not leak as far as this test sees.")
        }
        (Seen::CantTell, Seen::Yes) => (Mark::Open, "It is wet; whether it leaks too can't be told yet."),
        (Seen::No, Seen::No) if rules == Mark::Bad => {
            (Mark::Open, "Tight and dry as far as this test sees, but not every criterion is met.")
        }
        (Seen::No, Seen::No) => (Mark::Good, "Tight and dry, as far as this test sees."),
        _ => (Mark::Open, "It can't be told yet."),
    };
    builder.verdict(mark, say);
    if let Some(longer) = decay.longer {
        builder
            .advise(format!("Let it stand for {:.0} min longer with the valve shut to tell.", longer / 60.0));
    }
    if decay.wet == Seen::Yes {
        builder.advise("Break the vacuum with dry nitrogen, warm the system, evacuate again, and change the pump's oil: it takes up the water.");
    }
    if decay.leaks == Seen::Yes {
        builder.advise("Find the leak with nitrogen and soap: a vacuum shows that there is one, not where. Look at hoses, cores and the rig first.");
    }
    builder.remark("Water and gas out of the oil rise alike; only their amounts and times tell them apart, and a break with dry nitrogen.");
}

/// Where there are too few readings to tell why the pressure rises.
fn judge_by_rules(builder: &mut Builder<'_>, rules: Mark) {
    let say = match rules {
        Mark::Good => "What these few readings can judge by is met; a leak can't be told from water by them.",
        Mark::Bad => "Not every criterion is met; whether by a leak or by water takes more readings to tell.",
        Mark::Open => "It can't be told yet.",
    };
    builder.verdict(rules, say);
    builder.advise("Go on reading, with the valve to the pump shut: every minute at first, then every five.");
}

fn chart(
    pull: Option<&Pull>,
    decay: Option<&Decay>,
    pulled: &Points,
    rise: &Points,
    target: Pressure,
) -> Chart {
    let micron = |pascal: f64| Pressure::from_pa(pascal).as_micron();
    let line = |name: &str, kind, points: Vec<(f64, f64)>| Series { name: name.into(), kind, points };
    if let Some(decay) = decay {
        let of = |which: &dyn Fn(&stemwise_readings::DecayPoint) -> f64| {
            decay.points.iter().map(|point| (point.seconds / 60.0, micron(which(point)))).collect()
        };
        return Chart {
            title: "Rise with the valve shut".into(),
            across: "minutes since the valve was shut".into(),
            up: "micron".into(),
            logarithmic: false,
            series: vec![
                line("measured", SeriesKind::Measured, of(&|p| p.measured)),
                line("fit", SeriesKind::Model, of(&|p| p.fitted)),
            ],
            levels: vec![(micron(target.as_pa()), "target".into())],
        };
    }
    let measured = |points: &Points| {
        let points = points.0.iter().zip(&points.1).map(|(t, p)| (t / 60.0, micron(*p))).collect();
        vec![line("measured", SeriesKind::Measured, points)]
    };
    let series = match pull {
        Some(pull) => {
            let of = |which: &dyn Fn(&stemwise_readings::PullPoint) -> f64| {
                pull.points.iter().map(|point| (point.seconds / 60.0, micron(which(point)))).collect()
            };
            vec![
                line("measured", SeriesKind::Measured, of(&|p| p.measured)),
                line("model", SeriesKind::Model, of(&|p| p.model)),
                line("tight and dry", SeriesKind::Ideal, of(&|p| p.ideal)),
            ]
        }
        None if pulled.0.is_empty() => measured(rise),
        None => measured(pulled),
    };
    let pulls = !pulled.0.is_empty();
    Chart {
        title: if pulls { "Pull-down" } else { "Rise with the valve shut" }.into(),
        across: if pulls { "minutes" } else { "minutes since the valve was shut" }.into(),
        up: "micron".into(),
        logarithmic: pulls,
        series,
        levels: vec![(micron(target.as_pa()), "target".into())],
    }
}
