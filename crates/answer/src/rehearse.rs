//! A circuit in motion without hands: its running balance, or a procedure from its first step to its last.

use stemwise_circuit::PlaceId;
use stemwise_report::{Chart, Series, SeriesKind, chart};
use stemwise_units::{GaugePressure, Mass, Temperature, TemperatureDifference, UnitSystem, parse_fraction};
use stemwise_wire as wire;

use crate::{Error, Motion, ProcedureAsk, procedure_file};

/// What is to be rehearsed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RehearseAsk {
    /// Which procedure; with neither a file nor a job: the running balance.
    pub procedure: ProcedureAsk,
    /// Other temperatures than the file's: "cold-room=2 C".
    pub places: Vec<String>,
    /// Faults to put in at the start: "undercharge=0.5 kg", "fouled condenser=40 %".
    pub faults: Vec<String>,
}

/// Something that can't be rehearsed like that.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RehearseError {
    /// Not of the form "name=value".
    #[error("\"{typed}\" was not understood: say {example}")]
    NoValue {
        /// What was typed.
        typed: String,
        /// How it should look.
        example: &'static str,
    },
    /// No such place.
    #[error("there is no place \"{typed}\" in this circuit; there are: {}", .known.join(", "))]
    UnknownPlace {
        /// What was typed.
        typed: String,
        /// What there is.
        known: Vec<String>,
    },
    /// A temperature that no place has.
    #[error("{typed} is not a temperature that a place can have: say one from -60 to 80 °C")]
    Temperature {
        /// What was typed.
        typed: String,
    },
    /// No such fault.
    #[error("there is no fault \"{typed}\" in this circuit; there are: {}", .known.join(", "))]
    UnknownFault {
        /// What was typed.
        typed: String,
        /// What there is.
        known: Vec<String>,
    },
    /// A fault that is too large, or none.
    #[error("{typed} is no size for \"{fault}\": say more than 0 and at most {most} {unit}")]
    Size {
        /// What was typed.
        typed: String,
        /// The fault.
        fault: String,
        /// The largest size.
        most: String,
        /// Its unit.
        unit: String,
    },
}

impl RehearseError {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::NoValue { .. } => "no-value",
            Self::UnknownPlace { .. } => "unknown-place",
            Self::Temperature { .. } => "no-temperature",
            Self::UnknownFault { .. } => "unknown-fault",
            Self::Size { .. } => "no-size",
        }
    }
}

/// Sets a circuit in motion: follows a procedure to its end, each step until its gauges show what they should or come no nearer; without one, lets it
/// run until it comes to rest.
///
/// # Errors
/// Those of [`Motion::new`], of [`procedure_file`] and of [`Motion::follow`]; [`Error::RehearseAsk`], [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{RehearseAsk, example, rehearse};
/// let circuit = example("walk-in-cooler")?.as_bytes();
/// let balance = rehearse(circuit, &RehearseAsk::default())?.balance.unwrap();
/// assert!(balance.steady && balance.cooling_w > 1000.0);
/// let ask = RehearseAsk { faults: vec!["gremlins=3 kg".into()], ..RehearseAsk::default() };
/// assert!(rehearse(circuit, &ask).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn rehearse(circuit_file: &[u8], ask: &RehearseAsk) -> Result<wire::RehearseAnswer, Error> {
    rehearse_watched(circuit_file, ask, &mut |_, _| ())
}

/// The same for who wants to hear on the way: `watch` is told of each step before it is done, with the seconds since the start. A long step takes seconds of
/// its own.
///
/// # Errors
/// Those of [`rehearse`].
///
/// ```
/// use stemwise_answer::{ProcedureAsk, RehearseAsk, example, rehearse_watched};
/// let procedure = ProcedureAsk { job: Some("take readings".into()), ..ProcedureAsk::default() };
/// let ask = RehearseAsk { procedure, ..RehearseAsk::default() };
/// let mut told = Vec::new();
/// let answer = rehearse_watched(example("walk-in-cooler")?.as_bytes(), &ask, &mut |step, seconds| told.push((step.n, seconds)))?;
/// assert_eq!(told.len(), answer.procedure.unwrap().steps.len());
/// let ask = RehearseAsk { faults: vec!["gremlins=3 kg".into()], ..RehearseAsk::default() };
/// assert!(rehearse_watched(example("walk-in-cooler")?.as_bytes(), &ask, &mut |_, _| ()).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn rehearse_watched(
    circuit_file: &[u8],
    ask: &RehearseAsk,
    watch: &mut dyn FnMut(&wire::StepInMotion, f64),
) -> Result<wire::RehearseAnswer, Error> {
    let mut motion = Motion::new(circuit_file, true)?;
    let which = &ask.procedure;
    let follows = which.file.is_some() || which.job.is_some();
    match &which.file {
        Some(bytes) => motion.follow(bytes)?,
        None if follows => motion.follow(procedure_file(circuit_file, which)?.as_bytes())?,
        None => {}
    }
    for typed in &ask.places {
        let (place, temperature) = place(&motion, typed)?;
        motion.now.set_place(place, temperature);
    }
    let faults = ask.faults.iter().map(|typed| fault(&mut motion, typed)).collect::<Result<Vec<_>, _>>()?;
    let balance = if follows {
        while let Some(step) = motion.coming_step() {
            watch(&step, motion.now.seconds());
            motion.next_step();
        }
        None
    } else {
        Some(balance(&mut motion))
    };
    let left = motion.now.state().left;
    let circuit = &motion.now.assembly().circuit;
    Ok(wire::RehearseAnswer {
        circuit: circuit.name.clone(),
        refrigerant: motion.refrigerant.substance().name(),
        atmosphere_pa: motion.atmosphere_pa(),
        faults,
        balance,
        procedure: motion.followed(),
        seconds: motion.now.seconds(),
        went_wrong: motion.went_wrong(),
        recovered_kg: left.recovered_kg,
        charged_kg: left.charged_kg,
        lost_kg: left.lost_kg,
        curves: motion.curves(),
        assumed: motion.assumed(),
    })
}

/// The curves of a rehearsal as an SVG, in gauge pressure over minutes.
///
/// ```
/// use stemwise_answer::{ProcedureAsk, RehearseAsk, example, rehearse, rehearsed_chart};
/// use stemwise_units::UnitSystem;
/// let procedure = ProcedureAsk { job: Some("take readings".into()), ..ProcedureAsk::default() };
/// let ask = RehearseAsk { procedure, ..RehearseAsk::default() };
/// let answer = rehearse(example("walk-in-cooler")?.as_bytes(), &ask)?;
/// assert!(rehearsed_chart(&answer, UnitSystem::Si).contains("low gauge"));
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn rehearsed_chart(answer: &wire::RehearseAnswer, units: UnitSystem) -> String {
    let shown = |pascal: f64| {
        let gauge = GaugePressure::from_pa(pascal - answer.atmosphere_pa);
        match units {
            UnitSystem::Si => gauge.as_bar(),
            UnitSystem::Ip => gauge.as_psi(),
        }
    };
    let names =
        [("low-hose", "low gauge", SeriesKind::Model), ("high-hose", "high gauge", SeriesKind::Ideal)];
    let series = names.into_iter().filter_map(|(hose, name, kind)| {
        let curve = answer.curves.iter().find(|curve| curve.hose == hose)?;
        let points = curve.points.iter().map(|&(seconds, pascal)| (seconds / 60.0, shown(pascal))).collect();
        Some(Series { name: name.into(), kind, points })
    });
    chart(&Chart {
        title: format!("{}: what the gauges show", answer.circuit),
        across: "minutes".into(),
        up: match units {
            UnitSystem::Si => "bar (gauge)".into(),
            UnitSystem::Ip => "psig".into(),
        },
        logarithmic: false,
        series: series.collect(),
        levels: Vec::new(),
    })
}

/// Name and value.
fn parted<'t>(typed: &'t str, example: &'static str) -> Result<(&'t str, &'t str), RehearseError> {
    let (name, value) = typed
        .split_once('=')
        .ok_or_else(|| RehearseError::NoValue { typed: typed.chars().take(60).collect(), example })?;
    Ok((name.trim(), value.trim()))
}

fn place(motion: &Motion, typed: &str) -> Result<(PlaceId, Temperature), Error> {
    let (name, value) = parted(typed, "it like \"cold-room=2 C\"")?;
    let places = &motion.now.assembly().circuit.places;
    let found = places.iter().position(|place| place.id.eq_ignore_ascii_case(name));
    let unknown = || RehearseError::UnknownPlace {
        typed: name.chars().take(60).collect(),
        known: places.iter().map(|place| place.id.clone()).collect(),
    };
    let id = found.and_then(|at| u32::try_from(at).ok()).map(PlaceId).ok_or_else(unknown)?;
    let temperature = Temperature::parse(value).map_err(Error::typed(name))?;
    if !(-60.0..=80.0).contains(&temperature.as_celsius()) {
        return Err(RehearseError::Temperature { typed: value.chars().take(60).collect() }.into());
    }
    Ok((id, temperature))
}

/// Puts a fault in and says what it is.
fn fault(motion: &mut Motion, typed: &str) -> Result<String, Error> {
    let (name, value) = parted(typed, "it like \"undercharge=0.5 kg\" or \"fouled condenser=40 %\"")?;
    let all = motion.faults();
    let Some(choice) = all.iter().find(|choice| choice.id.eq_ignore_ascii_case(name)) else {
        let typed = name.chars().take(60).collect();
        return Err(RehearseError::UnknownFault {
            typed,
            known: all.into_iter().map(|choice| choice.id).collect(),
        }
        .into());
    };
    let understood = match choice.unit.as_str() {
        "%" => parse_fraction(value).map(|part| 100.0 * part),
        "kg" => Mass::parse(value).map(|mass| mass.as_kg()),
        "K" => TemperatureDifference::parse(value).map(|by| by.as_k()),
        unit => {
            let number = value.strip_suffix(unit).or_else(|| value.strip_suffix("mm2")).unwrap_or(value);
            Ok(number.trim().replace(',', ".").parse().unwrap_or(f64::NAN))
        }
    };
    let size = understood.map_err(Error::typed(name))?;
    if !(size > 0.0 && size <= choice.most * (1.0 + 1e-9)) {
        return Err(RehearseError::Size {
            typed: value.chars().take(60).collect(),
            fault: choice.id.clone(),
            most: crate::motion::short(choice.most),
            unit: choice.unit.clone(),
        }
        .into());
    }
    motion.put_fault(&choice.id, size.min(choice.most))?;
    Ok(format!("{} ({})", choice.say, value))
}

fn balance(motion: &mut Motion) -> wire::RunningBalance {
    let found = motion.come_to_balance();
    let assembly = motion.now.assembly();
    let space = |id| assembly.graph.space(id).map_or_else(String::new, |space| space.id.clone());
    let place = |(at, place): (u32, &stemwise_circuit::Place)| {
        let now = motion.now.place(PlaceId(at)).unwrap_or(place.temperature.value);
        wire::PlaceInMotion { id: place.id.clone(), temperature_k: now.as_k() }
    };
    let coil = |coil: &stemwise_rehearse::CoilBalance| wire::CoilInMotion {
        id: space(coil.space),
        condenses: coil.condenses,
        pressure_pa: coil.pressure.as_pa(),
        bubble_k: coil.bubble.as_k(),
        dew_k: coil.dew.as_k(),
        difference_k: coil.difference.as_k(),
        heat_w: coil.heat.as_w(),
    };
    let own = |id: &stemwise_circuit::SpaceId| *id != assembly.rigged.atmosphere;
    let charge = found
        .charge
        .iter()
        .filter(|(id, _)| own(id))
        .map(|(id, mass)| wire::ChargeInMotion { id: space(*id), kg: mass.as_kg() });
    wire::RunningBalance {
        steady: found.steady,
        places: (0..).zip(&assembly.circuit.places).map(place).collect(),
        coils: found.coils.iter().map(coil).collect(),
        compressors: motion.moment().compressors,
        cooling_w: found.capacity.as_w(),
        power_w: found.power.as_w(),
        kg_per_second: found.kg_per_second,
        charge: charge.collect(),
    }
}
