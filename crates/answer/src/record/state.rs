//! Where a job stands, as it leaves the program.

use stemwise_record::{
    Log, Moment, Progress, Proof, ReadingState, Standing, StepState, Test, TimerState, Units,
    VerdictOnReading,
};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use super::convert::{test_word, wire_measured};
use super::say::{Item, Say};
use crate::{EvidenceCommon, StandingAsk, VacuumAsk, standing_test, vacuum};

pub(super) fn state(
    log: &Log,
    progress: &Progress,
    circuit_file: Option<&str>,
    units: UnitSystem,
) -> wire::JobState {
    let judged = |found: &TimerState| judged(found, circuit_file, units);
    let say = Say { log, progress, units };
    let (circuit, refrigerant) = progress.circuit.clone().unwrap_or_default();
    let text = |moment: Moment| moment.to_string();
    let opened = progress.opened.is_some();
    wire::JobState {
        circuit,
        refrigerant,
        atmosphere_pa: progress.atmosphere.map(|atmosphere| atmosphere.as_pa()),
        job: progress.job.clone(),
        units: match progress.units {
            Units::Si => "si".into(),
            Units::Ip => "ip".into(),
        },
        stands: match (opened, &progress.closed, &progress.paused) {
            (false, ..) => "not-opened".into(),
            (_, Some(_), _) => "closed".into(),
            (_, None, Some(_)) => "paused".into(),
            (_, None, None) => "open".into(),
        },
        opened: progress.opened_at.map(text),
        opened_by: progress.opened_by.clone(),
        closed: progress.closed.as_ref().map(|(at, _)| text(*at)),
        closed_despite: progress.closed.as_ref().and_then(|(_, despite)| despite.clone()),
        paused: progress.paused.as_ref().map(|(_, why)| why.clone()),
        procedure: progress.procedure.as_ref().map(ToString::to_string),
        replaced: progress.replaced,
        next: progress.next.map(|next| next + 1),
        blocks: progress.blocks.iter().map(|block| item(say.block(block))).collect(),
        steps: progress.steps.iter().enumerate().map(|(at, state)| step(&say, at, state)).collect(),
        dropped: progress.dropped.iter().enumerate().map(|(at, state)| step(&say, at, state)).collect(),
        readings: progress.readings.iter().map(|found| reading(&say, found)).collect(),
        timers: progress.timers.iter().map(|found| timer(&say, found, judged(found))).collect(),
        account: account(progress),
        not_back: not_back(&say),
        open: progress.open.iter().map(|open| item(say.open(open))).collect(),
        trouble: say.trouble(),
        unknown: progress.unknown,
        timeline: timeline(&say),
    }
}

fn item(item: Item) -> wire::JobItem {
    wire::JobItem { id: item.id.into(), say: item.say, n: item.step.map(|step| step + 1), event: item.event }
}

fn step(say: &Say<'_>, at: usize, state: &StepState) -> wire::JobStepState {
    let band = |band: &stemwise_record::Band| wire::JobBand {
        gauge: band.port.clone(),
        low_pa: band.low.as_pa(),
        high_pa: band.high.as_pa(),
        say: say.band_of(band),
        reading: band.reading.as_ref().map(ToString::to_string),
    };
    wire::JobStepState {
        n: at + 1,
        say: state.say.clone(),
        notes: state.notes.clone(),
        stands: standing(state.standing).into(),
        why: state.why.clone(),
        hold: state.hold.clone(),
        proved: state.proof.as_ref().map(|(proof, _)| *proof == Proof::Proved),
        proof: state.proof.as_ref().map(|(_, how)| how.clone()),
        bands: state.bands.iter().map(band).collect(),
        begun: state.begun.map(|moment| moment.to_string()),
        ended: state.ended.map(|moment| moment.to_string()),
        took_s: state.took.map(|took| took.as_s()),
        events: state.events.iter().map(ToString::to_string).collect(),
    }
}

const fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::ToDo => "to-do",
        Standing::Begun => "begun",
        Standing::Held => "held",
        Standing::Done => "done",
        Standing::Skipped => "skipped",
    }
}

fn reading(say: &Say<'_>, reading: &ReadingState) -> wire::JobReading {
    let corrected = reading.corrected.iter();
    wire::JobReading {
        event: reading.event.to_string(),
        at: reading.at.to_string(),
        by: reading.by.clone(),
        n: reading.step.map(|step| step + 1),
        place: reading.place.clone(),
        measured: wire_measured(&reading.measured),
        instrument: reading.instrument.clone(),
        verdict: match reading.verdict {
            VerdictOnReading::NoBand => "no-band".into(),
            VerdictOnReading::Fits => "fits".into(),
            VerdictOnReading::Below(_) => "below".into(),
            VerdictOnReading::Above(_) => "above".into(),
        },
        say: say.reading(reading),
        accepted: reading.accepted.clone(),
        corrected: corrected
            .map(|(was, why)| wire::JobCorrection { was: was.typed.clone(), why: why.clone() })
            .collect(),
        retracted: reading.retracted.clone(),
    }
}

/// What a test by the clock proves; none where it isn't one, still runs, lacks a pressure, or can't be judged.
fn judged(timer: &TimerState, circuit_file: Option<&str>, units: UnitSystem) -> Option<(String, String)> {
    let minutes = timer.ran?.as_min();
    let (start, end) = (timer.start.0.as_ref()?, timer.end.0.as_ref()?);
    let common = EvidenceCommon {
        fluid: None,
        circuit: Some(circuit_file?.as_bytes().to_vec()),
        atmosphere: None,
        measured_atmosphere: false,
        units,
        page: None,
        heading: None,
    };
    let found = match timer.test {
        Test::Wait => return None,
        Test::Decay => {
            let rise = vec![format!("0 min={}", start.typed), format!("{minutes:.2} min={}", end.typed)];
            vacuum(&common, &VacuumAsk { rise, ..VacuumAsk::default() })
        }
        Test::Standing => {
            let warm =
                |of: &Option<stemwise_record::Measured>| of.as_ref().map(|measured| measured.typed.clone());
            let part = warm(&timer.start.1).zip(warm(&timer.end.1));
            standing_test(
                &common,
                &StandingAsk {
                    start: Some(start.typed.clone()),
                    end: Some(end.typed.clone()),
                    time: Some(format!("{minutes:.2} min")),
                    parts: part.map(|(from, to)| format!("all={from}, {to}")).into_iter().collect(),
                    ..StandingAsk::default()
                },
            )
        }
    };
    found.ok().map(|found| (found.outcome, found.verdict))
}

fn timer(say: &Say<'_>, timer: &TimerState, judged: Option<(String, String)>) -> wire::JobTimer {
    let (outcome, verdict) = judged.unzip();
    wire::JobTimer {
        event: timer.event.to_string(),
        n: timer.step.map(|step| step + 1),
        test: test_word(timer.test).into(),
        minutes: timer.minutes,
        begun: timer.begun.to_string(),
        ended: timer.ended.map(|moment| moment.to_string()),
        ran_s: timer.ran.map(|ran| ran.as_s()),
        change_pa: timer.change.map(|change| change.as_pa()),
        change_at_same_temperature_pa: timer.change_at_same_temperature.map(|change| change.as_pa()),
        say: say.timer(timer),
        outcome,
        verdict,
        retracted: timer.retracted.clone(),
    }
}

fn account(progress: &Progress) -> wire::JobAccount {
    let account = &progress.account;
    let cylinder = |of: &stemwise_record::CylinderAccount| wire::JobCylinder {
        cylinder: of.cylinder.clone(),
        weighings: of.weighings,
        recovered_kg: of.recovered.as_kg(),
        charged_kg: of.charged.as_kg(),
        last_kg: of.last.as_kg(),
    };
    wire::JobAccount {
        cylinders: account.cylinders.iter().map(cylinder).collect(),
        recovered_kg: account.recovered.as_kg(),
        charged_kg: account.charged.as_kg(),
        lost_kg: account.lost.as_kg(),
        reckoned: account.reckoned.map(|(recovered, charged, lost)| wire::JobReckoned {
            recovered_kg: recovered.as_kg(),
            charged_kg: charged.as_kg(),
            lost_kg: lost.as_kg(),
        }),
    }
}

fn not_back(say: &Say<'_>) -> Vec<wire::JobNotBack> {
    use stemwise_record::NotBackKind as Kind;
    let kind = |kind| match kind {
        Kind::PortCap => "port-cap",
        Kind::StemCap => "stem-cap",
        Kind::Nut => "nut",
        Kind::Core => "core",
        Kind::Hose => "hose",
        Kind::Stem => "stem",
        Kind::OpenSpace => "open-space",
        Kind::PiercingValve => "piercing-valve",
        Kind::Jumper => "jumper",
        Kind::Lock => "lock",
    };
    let told = |thing: &stemwise_record::NotBack| wire::JobNotBack {
        kind: kind(thing.kind).into(),
        id: thing.id.clone(),
        say: say.not_back(thing),
        meant: thing.meant,
    };
    say.progress.not_back.iter().map(told).collect()
}

fn timeline(say: &Say<'_>) -> Vec<wire::JobLine> {
    let events = say.log.events().iter();
    events
        .map(|event| {
            let back = say.progress.retracted.iter().find(|(id, _)| *id == event.id).map(|(_, by)| by);
            let why = back.and_then(|by| say.log.get(by)).map(|by| match &by.what {
                stemwise_record::What::Retracted { why, .. } => why.clone(),
                _ => String::new(),
            });
            wire::JobLine {
                id: event.id.to_string(),
                kind: event.what.kind().into(),
                at: event.at.to_string(),
                by: event.by.clone(),
                n: event.what.step().map(|step| step.step + 1),
                say: say.event(event),
                retracted: why,
            }
        })
        .collect()
}
