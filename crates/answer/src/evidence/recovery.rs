//! Recovery: the level required, what is still in there, the time left, and the cylinder's room.

use stemwise_readings::{self as core, Input, Kind, Measured, Outcome, SmallAppliance, Uncertain};
use stemwise_report::{Chart, Mark, Series, SeriesKind};
use stemwise_service::{Machine, PressureClass, Refrigerant};
use stemwise_units::{Mass, Pressure, Temperature, TypedPressure, UnitSystem};
use stemwise_wire as wire;

use super::{Basis, Builder, EvidenceCommon, EvidenceError, ReadLog, a_mass, a_volume, instrument};
use crate::Error;

/// Recovery, as people type it.
#[derive(Clone, Debug, Default)]
pub struct RecoveryAsk {
    /// The full charge; the circuit's, if left out.
    pub charge: Option<String>,
    /// "newer" (made on or after 15 November 1993, as if left out) or "older".
    pub machine: Option<String>,
    /// A small appliance whose compressor "works" or "fails".
    pub small: Option<String>,
    /// Pressure in there now.
    pub pressure: Option<String>,
    /// How warm it is there; 20 °C if left out.
    pub at: Option<String>,
    /// The volume that is emptied; the circuit's, if left out.
    pub volume: Option<String>,
    /// What the scale says has come out.
    pub recovered: Option<String>,
    /// The cylinder's water capacity.
    pub cylinder: Option<String>,
    /// What it holds already, before this or with it.
    pub holds: Option<String>,
    /// The gauge.
    pub gauge: Option<String>,
    /// Pressure over time.
    pub log: Option<ReadLog>,
}

/// Judges a recovery.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{EvidenceCommon, RecoveryAsk, recovery};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-134a".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Ip, page: None, heading: None };
/// let text = |text: &str| Some(text.to_owned());
/// let ask = RecoveryAsk { charge: text("10 lb"), pressure: text("12 inHg vac"), gauge: text("0.5 psi"), ..RecoveryAsk::default() };
/// assert_eq!(recovery(&common, &ask)?.outcome, "good"); // 10 inHg are required of a medium-pressure appliance
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn recovery(common: &EvidenceCommon, ask: &RecoveryAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let refrigerant = Refrigerant::named(&basis.substance()?.name())?;
    let mut builder = Builder::new(&basis, "recovery", "Recovery");
    let mass = |what: &'static str, text: &Option<String>| {
        text.as_deref().map(|text| a_mass(what, text)).transpose()
    };
    let charge = mass("charge", &ask.charge)?
        .or_else(|| basis.charge())
        .ok_or(EvidenceError::Needs { what: "the full charge, or a circuit that has it" })?;
    // A sealed appliance on file is judged as the planner empties it.
    let by_file = basis.circuit.as_ref().is_some_and(|circuit| {
        stemwise_service::level_of(circuit, &refrigerant).1 == stemwise_service::SMALL_LEVEL_RULE
    });
    let small = small(ask.small.as_deref())?.or(by_file.then_some(SmallAppliance::CompressorWorks));
    if small.is_some() && charge.as_lb() > SMALL_LB {
        return Err(EvidenceError::Number {
            what: "the charge of a small appliance",
            typed: basis.shown.units.mass(charge),
            wanted: "at most 5 lb, 2.27 kg (40 CFR 82.152)",
        }
        .into());
    }
    let volume = match &ask.volume {
        Some(text) => Some(a_volume("volume", text)?),
        None => basis.volume(),
    };
    let at = ask.at.as_deref().map_or(Ok(Temperature::from_celsius(20.0)), |text| {
        Temperature::parse(text).map_err(Error::typed("at"))
    })?;
    let pressure = pressure(&basis, ask)?;
    let series = ask.log.as_ref().and_then(|log| Some((log.log.seconds.as_slice(), log.column("pressure")?)));
    builder.given("charge", basis.shown.units.mass(charge));
    builder.given("temperature", basis.shown.units.temperature(at));
    let cylinder = mass("cylinder", &ask.cylinder)?;
    let holds = mass("holds", &ask.holds)?.unwrap_or(Mass::from_kg(0.0));
    let question = core::RecoveryAsk {
        refrigerant: &refrigerant,
        charge,
        atmosphere: basis.atmosphere,
        machine: machine(ask.machine.as_deref())?,
        small,
        volume,
        volume_within: if ask.volume.is_some() { 0.1 } else { 0.3 },
        pressure,
        temperature: Input::new("temperature", at.as_k(), 1.2),
        recovered: mass("recovered", &ask.recovered)?.map(|mass| Input::new("scale", mass.as_kg(), 0.01)),
        cylinder: cylinder.map(|water| (water, holds)),
        log: series,
    };
    ask.log.iter().filter_map(ReadLog::gaps).for_each(|say| builder.remark(say));
    put(&mut builder, &question.judge());
    super::fire(&mut builder, refrigerant.substance());
    builder.chart = series.map(|(seconds, pascal)| chart(&basis, seconds, pascal, question.required().level));
    builder.done()
}

/// A small appliance holds no more, lb (40 CFR 82.152).
const SMALL_LB: f64 = 5.0;

fn pressure(basis: &Basis, ask: &RecoveryAsk) -> Result<Option<Input>, Error> {
    let typed = match (&ask.pressure, &ask.log) {
        (Some(text), _) => TypedPressure::parse(text)
            .and_then(|typed| typed.existing(basis.atmosphere))
            .map_err(Error::typed("pressure"))?,
        (None, Some(log)) => match log
            .column("pressure")
            .and_then(|column| column.iter().rev().copied().find(|p| p.is_finite()))
        {
            Some(pascal) => Pressure::from_pa(pascal),
            None => return Ok(None),
        },
        (None, None) => return Ok(None),
    };
    let gauge = instrument("gauge", ask.gauge.as_deref(), Measured::Pressure, typed.as_pa())?;
    let standard = gauge.standard(typed.as_pa(), typed.as_pa() - basis.atmosphere.as_pa(), None);
    Ok(Some(Input::new("gauge", typed.as_pa(), standard)))
}

fn machine(typed: Option<&str>) -> Result<Machine, EvidenceError> {
    match typed {
        None | Some("newer") => Ok(Machine::Newer),
        Some("older") => Ok(Machine::Older),
        Some(other) => Err(EvidenceError::Choice {
            what: "--machine",
            typed: other.chars().take(40).collect(),
            choices: "newer (made on or after 15 November 1993) or older",
        }),
    }
}

fn small(typed: Option<&str>) -> Result<Option<SmallAppliance>, EvidenceError> {
    match typed {
        None => Ok(None),
        Some("works") => Ok(Some(SmallAppliance::CompressorWorks)),
        Some("fails") => Ok(Some(SmallAppliance::CompressorFails)),
        Some(other) => Err(EvidenceError::Choice {
            what: "--small",
            typed: other.chars().take(40).collect(),
            choices: "works or fails (its compressor)",
        }),
    }
}

fn put(builder: &mut Builder<'_>, found: &core::Recovery) {
    let class = match found.required.class {
        PressureClass::Low => "low-pressure",
        PressureClass::Medium => "medium-pressure",
        PressureClass::High => "high-pressure",
        PressureClass::VeryHigh => "very-high-pressure",
    };
    let level = Uncertain::plain(found.required.level.as_pa(), 0.0);
    builder.value("required", "level required", Kind::Pressure, &level, found.required.source);
    builder.given("class", class);
    if let Some(part) = found.required.part {
        builder.value(
            "required-part",
            "or this part of the charge",
            Kind::Part,
            &Uncertain::plain(part, 0.0),
            found.required.source,
        );
    }
    if let Some(still) = &found.still.by_scale {
        builder.value(
            "still-by-scale",
            "still in there by the scale",
            Kind::Mass,
            still,
            "charge less what came out; the charge on file may not be what was in there",
        );
    }
    if let Some(still) = &found.still.by_pressure {
        let from = if found.still.maybe_liquid {
            "vapour alone: there may be liquid, and any amount of it"
        } else {
            "vapour by pressure, temperature and volume"
        };
        builder.value("still-by-pressure", "still in there by the pressure", Kind::Mass, still, from);
    }
    if let Some(left) = &found.left {
        builder.full_value(
            "left",
            "time left",
            Kind::Time,
            left,
            "the fall of the pressure's logarithm over the last half of the log goes on",
            true,
            None,
        );
    }
    if let Some(room) = found.room {
        builder.value(
            "room",
            "room in the cylinder",
            Kind::Mass,
            &Uncertain::plain(room.as_kg(), 0.0),
            "AHRI Guideline K at 77 °F, and never liquid-full at 55 °C (49 CFR 173.304)",
        );
    }
    builder.remark(format!("The level is that of {}.", found.required.source));
    let (mark, say) = match found.reached {
        Some(Outcome::Met) => (Mark::Good, "The level required is reached."),
        Some(Outcome::NotYet | Outcome::NotMet) => (Mark::Bad, "The level required is not reached yet."),
        Some(Outcome::CantTell) => (Mark::Open, "So near the level that this gauge can't tell."),
        None => (Mark::Open, "Here is what is required; a pressure tells whether it is reached."),
    };
    builder.verdict(mark, say);
    if found.still.maybe_liquid {
        builder.advise("The pressure is that of saturation: there is liquid. Take liquid first, warm the cold spots, and go on.");
    }
    if found.still.by_scale.as_ref().is_some_and(|still| still.value + still.expanded() < 0.0) {
        builder.verdict(
            Mark::Bad,
            "More has come out than the whole charge: the scale, the charge on file or the cylinder's weight is wrong.",
        );
    }
    if found.fits == Some(false) {
        builder.verdict(Mark::Bad, "The cylinder has no room for what is still in there: bring another one.");
    }
    if let Some(over) = found.overfilled {
        let over = builder.basis.shown.plain(Kind::Mass, over.as_kg());
        builder.verdict(
            Mark::Bad,
            format!("DANGER: the cylinder is overfilled by {over}. Stop, keep it cool, and take that out: a cylinder full of liquid bursts."),
        );
    }
    builder.advise("After the level is reached wait and see whether the pressure comes back: oil and liquid give off more. Weigh the cylinder after its hose is off.");
    builder.remark("Cylinders are filled by weight alone, within their test date, and never with another refrigerant. Local codes decide.");
}

fn chart(basis: &Basis, seconds: &[f64], pascal: &[f64], level: Pressure) -> Chart {
    let ip = matches!(basis.shown.units, UnitSystem::Ip);
    let up = |pascal: f64| {
        let gauge = Pressure::from_pa(pascal).gauge(basis.atmosphere);
        if ip { gauge.as_psi() } else { gauge.as_bar() }
    };
    let step = seconds.len().div_ceil(600).max(1);
    let points = seconds.iter().zip(pascal).step_by(step).map(|(t, p)| (t / 60.0, up(*p)));
    Chart {
        title: "Pressure over the recovery".into(),
        across: "minutes".into(),
        up: if ip { "psig" } else { "bar(g)" }.into(),
        logarithmic: false,
        series: vec![Series {
            name: "measured".into(),
            kind: SeriesKind::Measured,
            points: points.collect(),
        }],
        levels: vec![(up(level.as_pa()), "required".into())],
    }
}
