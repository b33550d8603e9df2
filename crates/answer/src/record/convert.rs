//! Entries as they are in files and as events.

use stemwise_record::{
    Event, EventId, Kind, Measured, Opened, Photo, Proof, Reading, StepRef, Test, Timer, Units, Value,
    VerdictNoted, What,
};
use stemwise_units::{Mass, Pressure, Temperature};
use stemwise_wire as wire;
use wire::JobEntry as Entry;

use super::RecordError;

/// Every kind that this version knows.
pub(super) const KINDS: [&str; 20] = [
    "opened",
    "step-begun",
    "step-done",
    "step-skipped",
    "step-held",
    "reading",
    "reading-accepted",
    "corrected",
    "retracted",
    "hold-point",
    "note",
    "photo",
    "timer-begun",
    "timer-ended",
    "weighed",
    "lost",
    "procedure-replaced",
    "paused",
    "resumed",
    "closed",
];

/// What an entry that is being made needs to know.
pub(super) struct Made {
    /// Where gauges read zero.
    pub(super) atmosphere: Pressure,
    /// The procedure in force.
    pub(super) procedure: Option<EventId>,
}

/// What an entry says. One that is being made has its values read from what was typed; one from a file brings them.
pub(super) fn what(entry: &Entry, made: Option<&Made>) -> Result<What, RecordError> {
    let step = |step: &wire::JobStep| step_ref(step, made);
    let maybe_step = |at: &Option<wire::JobStep>| at.as_ref().map(step).transpose();
    let measured = |value: &wire::JobMeasured| self::measured(value, made);
    let maybe = |value: &Option<wire::JobMeasured>| value.as_ref().map(measured).transpose();
    let id = |text: &str| EventId::parse(text);
    Ok(match entry {
        Entry::Opened { circuit, procedure, job, units } => What::Opened(Box::new(Opened {
            circuit: circuit.clone(),
            procedure: procedure.clone(),
            job: job.clone(),
            units: read_units(units)?,
        })),
        Entry::StepBegun { step: at } => What::StepBegun { step: step(at)? },
        Entry::StepDone { step: at } => What::StepDone { step: step(at)? },
        Entry::StepSkipped { step: at, why } => What::StepSkipped { step: step(at)?, why: why.clone() },
        Entry::StepHeld { step: at, why } => What::StepHeld { step: step(at)?, why: why.clone() },
        Entry::Reading { step: at, place, measured: value, instrument } => What::Reading(Reading {
            step: maybe_step(at)?,
            place: place.clone(),
            measured: measured(value)?,
            instrument: instrument.clone(),
        }),
        Entry::ReadingAccepted { reading, why } => {
            What::ReadingAccepted { reading: id(reading)?, why: why.clone() }
        }
        Entry::Corrected { event, measured: value, why } => {
            What::Corrected { event: id(event)?, measured: measured(value)?, why: why.clone() }
        }
        Entry::Retracted { event, why } => What::Retracted { event: id(event)?, why: why.clone() },
        Entry::HoldPoint { step: at, proved, say } => What::HoldPoint {
            step: step(at)?,
            proof: if *proved { Proof::Proved } else { Proof::PassedOver },
            say: say.clone(),
        },
        Entry::Note { step: at, text } => What::Note { step: maybe_step(at)?, text: text.clone() },
        Entry::Photo { step: at, hash, size, mime, caption } => What::Photo(Photo {
            step: maybe_step(at)?,
            hash: hash.clone(),
            size: *size,
            mime: mime.clone(),
            caption: caption.clone(),
        }),
        Entry::TimerBegun { step: at, test, minutes, pressure, temperature } => What::TimerBegun(Timer {
            step: maybe_step(at)?,
            test: read_test(test)?,
            minutes: *minutes,
            pressure: maybe(pressure)?,
            temperature: maybe(temperature)?,
        }),
        Entry::TimerEnded { timer, pressure, temperature } => What::TimerEnded {
            timer: id(timer)?,
            pressure: maybe(pressure)?,
            temperature: maybe(temperature)?,
        },
        Entry::Weighed { step: at, cylinder, mass, anew } => What::Weighed {
            step: maybe_step(at)?,
            cylinder: cylinder.clone(),
            mass: measured(mass)?,
            anew: *anew,
        },
        Entry::Lost { mass, why } => What::Lost { mass: measured(mass)?, why: why.clone() },
        Entry::ProcedureReplaced { procedure, accepted, because, why } => What::ProcedureReplaced {
            procedure: procedure.clone(),
            verdict: VerdictNoted { accepted: *accepted, because: because.clone() },
            why: why.clone(),
        },
        Entry::Paused { why } => What::Paused { why: why.clone() },
        Entry::Resumed {} => What::Resumed,
        Entry::Closed { despite } => What::Closed { despite: despite.clone() },
    })
}

fn step_ref(step: &wire::JobStep, made: Option<&Made>) -> Result<StepRef, RecordError> {
    let n = step.n.checked_sub(1).ok_or(RecordError::StepZero)?;
    let in_force = || made.and_then(|made| made.procedure.clone());
    let procedure = match &step.procedure {
        Some(text) => EventId::parse(text)?,
        None => in_force().ok_or(stemwise_record::NotAllowed::NotOpened)?,
    };
    Ok(StepRef { procedure, step: n })
}

fn measured(value: &wire::JobMeasured, made: Option<&Made>) -> Result<Measured, RecordError> {
    let kind = read_kind(&value.of)?;
    if let Some(made) = made {
        return Ok(Measured::parse(kind, &value.typed, made.atmosphere)?);
    }
    let found = || value.value.ok_or_else(|| RecordError::NoValue { typed: value.typed.clone() });
    let value_of = match kind {
        Kind::Pressure => Value::Pressure(Pressure::from_pa(found()?)),
        Kind::Temperature => Value::Temperature(Temperature::from_k(found()?)),
        Kind::Mass => Value::Mass(Mass::from_kg(found()?)),
        Kind::Other => Value::Other,
    };
    Ok(Measured { typed: value.typed.clone(), value: value_of })
}

fn word(what: &'static str, typed: &str, known: &'static str) -> RecordError {
    RecordError::Word { what, typed: typed.chars().take(40).collect(), known }
}

fn read_kind(typed: &str) -> Result<Kind, RecordError> {
    let all = [Kind::Pressure, Kind::Temperature, Kind::Mass, Kind::Other];
    let found = all.into_iter().find(|kind| kind.word() == typed);
    found.ok_or_else(|| word("kind of reading", typed, "pressure, temperature, mass, other"))
}

fn read_units(typed: &str) -> Result<Units, RecordError> {
    match typed {
        "si" => Ok(Units::Si),
        "ip" => Ok(Units::Ip),
        _ => Err(word("system of units", typed, "si, ip")),
    }
}

fn read_test(typed: &str) -> Result<Test, RecordError> {
    let found = [Test::Decay, Test::Standing, Test::Wait].into_iter().find(|test| test_word(*test) == typed);
    found.ok_or_else(|| word("kind of timer", typed, "decay, standing, wait"))
}

pub(super) const fn test_word(test: Test) -> &'static str {
    match test {
        Test::Decay => "decay",
        Test::Standing => "standing",
        Test::Wait => "wait",
    }
}

/// An event as its entry; one of an unknown kind has none of its own and comes as a note about itself.
pub(super) fn event(event: &Event) -> wire::JobEvent {
    wire::JobEvent {
        id: event.id.to_string(),
        order: event.order,
        at: event.at.to_string(),
        by: event.by.clone(),
        entry: entry(&event.what),
    }
}

fn entry(what: &What) -> Entry {
    let step =
        |step: &StepRef| wire::JobStep { n: step.step + 1, procedure: Some(step.procedure.to_string()) };
    let maybe_step = |at: &Option<StepRef>| at.as_ref().map(step);
    let maybe = |value: &Option<Measured>| value.as_ref().map(wire_measured);
    match what {
        What::Opened(opened) => Entry::Opened {
            circuit: opened.circuit.clone(),
            procedure: opened.procedure.clone(),
            job: opened.job.clone(),
            units: match opened.units {
                Units::Si => "si".into(),
                Units::Ip => "ip".into(),
            },
        },
        What::StepBegun { step: at } => Entry::StepBegun { step: step(at) },
        What::StepDone { step: at } => Entry::StepDone { step: step(at) },
        What::StepSkipped { step: at, why } => Entry::StepSkipped { step: step(at), why: why.clone() },
        What::StepHeld { step: at, why } => Entry::StepHeld { step: step(at), why: why.clone() },
        What::Reading(reading) => Entry::Reading {
            step: maybe_step(&reading.step),
            place: reading.place.clone(),
            measured: wire_measured(&reading.measured),
            instrument: reading.instrument.clone(),
        },
        What::ReadingAccepted { reading, why } => {
            Entry::ReadingAccepted { reading: reading.to_string(), why: why.clone() }
        }
        What::Corrected { event, measured, why } => {
            Entry::Corrected { event: event.to_string(), measured: wire_measured(measured), why: why.clone() }
        }
        What::Retracted { event, why } => Entry::Retracted { event: event.to_string(), why: why.clone() },
        What::HoldPoint { step: at, proof, say } => {
            Entry::HoldPoint { step: step(at), proved: *proof == Proof::Proved, say: say.clone() }
        }
        What::Note { step: at, text } => Entry::Note { step: maybe_step(at), text: text.clone() },
        What::Photo(photo) => Entry::Photo {
            step: maybe_step(&photo.step),
            hash: photo.hash.clone(),
            size: photo.size,
            mime: photo.mime.clone(),
            caption: photo.caption.clone(),
        },
        What::TimerBegun(timer) => Entry::TimerBegun {
            step: maybe_step(&timer.step),
            test: test_word(timer.test).into(),
            minutes: timer.minutes,
            pressure: maybe(&timer.pressure),
            temperature: maybe(&timer.temperature),
        },
        What::TimerEnded { timer, pressure, temperature } => Entry::TimerEnded {
            timer: timer.to_string(),
            pressure: maybe(pressure),
            temperature: maybe(temperature),
        },
        What::Weighed { step: at, cylinder, mass, anew } => Entry::Weighed {
            step: maybe_step(at),
            cylinder: cylinder.clone(),
            mass: wire_measured(mass),
            anew: *anew,
        },
        What::Lost { mass, why } => Entry::Lost { mass: wire_measured(mass), why: why.clone() },
        What::ProcedureReplaced { procedure, verdict, why } => Entry::ProcedureReplaced {
            procedure: procedure.clone(),
            accepted: verdict.accepted,
            because: verdict.because.clone(),
            why: why.clone(),
        },
        What::Paused { why } => Entry::Paused { why: why.clone() },
        What::Resumed => Entry::Resumed {},
        What::Closed { despite } => Entry::Closed { despite: despite.clone() },
        What::Unknown { kind, .. } => {
            Entry::Note { step: None, text: format!("an entry of the kind {kind}") }
        }
    }
}

pub(super) fn wire_measured(measured: &Measured) -> wire::JobMeasured {
    let value = match measured.value {
        Value::Pressure(pressure) => Some(pressure.as_pa()),
        Value::Temperature(temperature) => Some(temperature.as_k()),
        Value::Mass(mass) => Some(mass.as_kg()),
        Value::Other => None,
    };
    wire::JobMeasured { of: measured.value.kind().word().into(), typed: measured.typed.clone(), value }
}
