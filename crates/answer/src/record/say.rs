//! The sentences about a job as carried out.

use stemwise_record::{
    Band, Block, Event, Log, Measured, NotBack, NotBackKind, Open, Progress, Proof, ReadingState, Test,
    TimerState, Value, VerdictOnReading, What,
};
use stemwise_units::{Mass, Pressure, PressureDifference, Time, UnitSystem, VACUUM_GAUGE_BELOW};

use super::convert::test_word;
use crate::words;

/// Below this a change is told as one of a vacuum, Pa.
const VACUUM: f64 = VACUUM_GAUGE_BELOW.as_pa();

/// Puts things into words for one job.
pub(super) struct Say<'a> {
    pub(super) log: &'a Log,
    pub(super) progress: &'a Progress,
    pub(super) units: UnitSystem,
}

/// What a sentence is about: its id, the sentence, the step from 0, and the entry.
pub(super) struct Item {
    pub(super) id: &'static str,
    pub(super) say: String,
    pub(super) step: Option<usize>,
    pub(super) event: Option<String>,
}

impl Say<'_> {
    pub(super) fn pressure(&self, pressure: Pressure) -> String {
        let sea_level = Pressure::from_pa(101_325.0);
        self.units.as_read(pressure, self.progress.atmosphere.unwrap_or(sea_level))
    }

    fn change(&self, change: PressureDifference) -> String {
        let whole = change.as_pa().abs();
        let said = if whole < VACUUM {
            format!("{:.0} micron ({whole:.0} Pa)", Pressure::from_pa(whole).as_micron())
        } else {
            self.units.pressure_difference(PressureDifference::from_pa(whole))
        };
        match change.as_pa() {
            pa if pa > 0.0 => format!("rose by {said}"),
            pa if pa < 0.0 => format!("fell by {said}"),
            _ => "did not move".into(),
        }
    }

    pub(super) fn mass(&self, mass: Mass) -> String {
        self.units.mass(mass)
    }

    /// As typed, with what was understood.
    pub(super) fn measured(&self, measured: &Measured) -> String {
        let understood = match measured.value {
            Value::Pressure(pressure) => self.pressure(pressure),
            Value::Temperature(temperature) => self.units.temperature(temperature),
            Value::Mass(mass) => self.mass(mass),
            Value::Other => return measured.typed.clone(),
        };
        format!("{} (= {understood})", measured.typed)
    }

    pub(super) fn band(&self, low: Pressure, high: Pressure) -> String {
        if low == high {
            self.pressure(low)
        } else {
            format!("{} to {}", self.pressure(low), self.pressure(high))
        }
    }

    pub(super) fn band_of(&self, band: &Band) -> String {
        self.band(band.low, band.high)
    }

    pub(super) fn reading(&self, reading: &ReadingState) -> String {
        let found = self.measured(&reading.measured);
        let band = reading.band.map_or_else(String::new, |(low, high)| self.band(low, high));
        let off = |by: PressureDifference| {
            if by.as_pa() < VACUUM {
                format!("{:.0} micron ({:.0} Pa)", Pressure::from_pa(by.as_pa()).as_micron(), by.as_pa())
            } else {
                self.units.pressure_difference(by)
            }
        };
        match reading.verdict {
            VerdictOnReading::NoBand => found,
            VerdictOnReading::Fits => format!("{found}, as expected: {band}"),
            VerdictOnReading::Below(by) => format!("{found}, {} below what is expected: {band}", off(by)),
            VerdictOnReading::Above(by) => format!("{found}, {} above what is expected: {band}", off(by)),
        }
    }

    pub(super) fn timer(&self, timer: &TimerState) -> String {
        let what = match timer.test {
            Test::Decay => "Vacuum with the pump off",
            Test::Standing => "Standing pressure",
            Test::Wait => "Wait",
        };
        let planned = format!("{what}, {} min asked for", timer.minutes);
        let Some(ran) = timer.ran else {
            let state = if timer.ended.is_some() {
                "the clocks of its begin and end contradict each other"
            } else {
                "running"
            };
            return format!("{planned}: {state}");
        };
        let short =
            if ran.as_min() + 1e-9 < f64::from(timer.minutes) { ", shorter than asked for" } else { "" };
        let moved =
            timer.change.map_or_else(String::new, |change| format!("; the pressure {}", self.change(change)));
        let at_same = timer.change_at_same_temperature.map_or_else(String::new, |change| {
            format!("; brought back to the first temperature it {}", self.change(change))
        });
        format!("{planned}: {}{short}{moved}{at_same}", duration(ran))
    }

    pub(super) fn not_back(&self, thing: &NotBack) -> String {
        let name = &thing.name;
        let say = match thing.kind {
            NotBackKind::PortCap => format!("the cap of the {name} is off"),
            NotBackKind::StemCap => format!("the cap of the stem of the {name} is off"),
            NotBackKind::Nut => format!("the packing nut of the {name} is eased"),
            NotBackKind::Core => format!("the core of the {name} is out"),
            NotBackKind::Hose => format!("a hose is on the {name}"),
            NotBackKind::OpenSpace => format!("the {name} is open to the atmosphere"),
            NotBackKind::PiercingValve => format!("a piercing valve is on: {name}"),
            NotBackKind::Jumper => "a jumper is on a safety control".into(),
            NotBackKind::Lock => "the power is locked out".into(),
            NotBackKind::Stem => match thing.stem {
                Some((now, normal)) => format!(
                    "the {name} stands {}, in normal running {}",
                    words::position(now),
                    words::position(normal)
                ),
                None => format!("the {name} stands otherwise than in normal running"),
            },
        };
        if thing.meant { format!("{say}; the procedure leaves it so") } else { say }
    }

    pub(super) fn block(&self, block: &Block) -> Item {
        let step = self.progress.next;
        let (id, say, event) = match block {
            Block::NotOpened => ("not-opened", "the entry that opens the job is missing".into(), None),
            Block::Unreadable(why) => ("unreadable", why.clone(), None),
            Block::Closed => ("closed", "the job is closed".into(), None),
            Block::Paused(why) => ("paused", format!("the work rests: {why}"), None),
            Block::Held(why) => ("held", format!("the step is held: {why}"), None),
            Block::HoldPoint(say) => ("hold-point", format!("hold point, to be proved: {say}"), None),
            Block::OutsideBand(id) => ("outside-band", self.outside(id), Some(id.to_string())),
            Block::Timer(id) => ("timer", "a timer of the step still runs".into(), Some(id.to_string())),
        };
        Item { id, say, step, event }
    }

    fn outside(&self, id: &stemwise_record::EventId) -> String {
        let reading = self.progress.readings.iter().find(|reading| reading.event == *id);
        reading.map_or_else(
            || "a reading lies outside its band".into(),
            |reading| format!("reading at {}: {}; not accepted", reading.place, self.reading(reading)),
        )
    }

    pub(super) fn open(&self, open: &Open) -> Item {
        let item = |id, say: String, step| Item { id, say, step, event: None };
        match open {
            Open::Unreadable(why) => item("unreadable", why.clone(), None),
            Open::Paused => item("paused", "the work rests".into(), None),
            Open::Step(at) => item("step", format!("step {} is neither done nor skipped", at + 1), Some(*at)),
            Open::HoldPoint(at) => item(
                "hold-point",
                format!("the hold point of step {} was neither proved nor passed over", at + 1),
                Some(*at),
            ),
            Open::OutsideBand(id) => {
                let step = self.progress.readings.iter().find(|reading| reading.event == *id);
                let step = step.and_then(|reading| reading.step);
                Item { event: Some(id.to_string()), ..item("outside-band", self.outside(id), step) }
            }
            Open::NoReading { step, port } => item(
                "no-reading",
                format!("step {}: the gauge at {port} was not read", step + 1),
                Some(*step),
            ),
            Open::Timer(id) => {
                Item { event: Some(id.to_string()), ..item("timer", "a timer was never ended".into(), None) }
            }
            Open::NotBack(thing) => item("not-back", self.not_back(thing), None),
            Open::NotWeighed => item(
                "not-weighed",
                "refrigerant was moved, and no cylinder was weighed before and after".into(),
                None,
            ),
        }
    }

    /// The step in a sentence: of the procedure in force, or of an earlier one.
    fn step(&self, event: &Event) -> String {
        event.what.step().map_or_else(String::new, |step| format!("Step {}", step.step + 1))
    }

    /// One entry.
    pub(super) fn event(&self, event: &Event) -> String {
        let step = self.step(event);
        match &event.what {
            What::Opened(opened) => format!("Job opened: {}", opened.job),
            What::StepBegun { .. } => format!("{step} begun"),
            What::StepDone { .. } => format!("{step} done"),
            What::StepSkipped { why, .. } => format!("{step} skipped: {why}"),
            What::StepHeld { why, .. } => format!("{step} held: {why}"),
            What::Reading(reading) => {
                let by =
                    reading.instrument.as_ref().map_or_else(String::new, |with| format!(", with {with}"));
                format!("Read at {}: {}{by}", reading.place, self.measured(&reading.measured))
            }
            What::ReadingAccepted { reading, why } => format!("Reading of entry {reading} accepted: {why}"),
            What::Corrected { event, measured, why } => {
                format!("Entry {event} corrected to {}: {why}", self.measured(measured))
            }
            What::Retracted { event, why } => format!("Entry {event} taken back: {why}"),
            What::HoldPoint { proof: Proof::Proved, say, .. } => format!("{step}, hold point proved: {say}"),
            What::HoldPoint { say, .. } => format!("{step}, HOLD POINT PASSED OVER: {say}"),
            What::Note { text, .. } => format!("Note: {text}"),
            What::Photo(photo) => format!("Photo: {} ({} bytes)", photo.caption, photo.size),
            What::TimerBegun(timer) => {
                let from = timer
                    .pressure
                    .as_ref()
                    .map_or_else(String::new, |at| format!(", from {}", self.measured(at)));
                format!("Timer begun: {}, {} min{from}", test_word(timer.test), timer.minutes)
            }
            What::TimerEnded { timer, pressure, .. } => {
                let at =
                    pressure.as_ref().map_or_else(String::new, |at| format!(" at {}", self.measured(at)));
                format!("Timer of entry {timer} ended{at}")
            }
            What::Weighed { cylinder, mass, anew, .. } => {
                let anew = if *anew { "; counting begins anew" } else { "" };
                format!("Cylinder {cylinder} weighed: {}{anew}", self.measured(mass))
            }
            What::Lost { mass, why } => format!("Lost {}: {why}", self.measured(mass)),
            What::ProcedureReplaced { verdict, why, .. } => {
                let said = match (&verdict.because, verdict.accepted) {
                    (_, true) => "the verifier accepts it".to_owned(),
                    (Some(because), false) => format!("THE VERIFIER DOES NOT ACCEPT IT: {because}"),
                    (None, false) => "THE VERIFIER DOES NOT ACCEPT IT".into(),
                };
                format!("Procedure replaced: {why}; {said}")
            }
            What::Paused { why } => format!("Paused: {why}"),
            What::Resumed => "Taken up again".into(),
            What::Closed { despite: None } => "Job closed".into(),
            What::Closed { despite: Some(why) } => format!("Job closed in spite of what was open: {why}"),
            What::Unknown { kind, .. } => format!("An entry of a newer version: {kind}"),
        }
    }

    pub(super) fn trouble(&self) -> Vec<String> {
        let progress = self.progress;
        let mut said = progress.unreadable.clone();
        let conflict = |id| format!("two different entries have the id {id}; the first of them counts");
        said.extend(progress.conflicts.iter().map(conflict));
        let lost = |(step, why): &(usize, String)| {
            format!("step {} is done, and the model can't follow it: {why}", step + 1)
        };
        said.extend(progress.not_followed.iter().map(lost));
        let ids = |id: &stemwise_record::EventId| self.log.get(id).is_none();
        let missing = self.log.events().iter().filter_map(|event| match &event.what {
            What::Corrected { event: of, .. } | What::Retracted { event: of, .. } if ids(of) => Some(of),
            What::ReadingAccepted { reading: of, .. } | What::TimerEnded { timer: of, .. } if ids(of) => {
                Some(of)
            }
            _ => None,
        });
        said.extend(missing.map(|id| {
            format!("entry {id} is spoken of and not there; another copy of the file may have it")
        }));
        said
    }
}

/// "1 h 05 min", "12 min", "40 s".
pub(super) fn duration(time: Time) -> String {
    let seconds = time.as_s();
    if seconds < 60.0 {
        return format!("{seconds:.0} s");
    }
    let minutes = time.as_min();
    let hours = (minutes / 60.0).floor();
    if hours < 1.0 {
        format!("{minutes:.0} min")
    } else {
        format!("{hours:.0} h {:02.0} min", (minutes - 60.0 * hours).floor())
    }
}
