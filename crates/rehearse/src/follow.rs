//! A procedure of any origin in motion: after each step one waits, as at the plant, until the gauges show what they should.

use stemwise_circuit::PortId;
use stemwise_service::{Action, Stops};
use stemwise_units::Pressure;

use crate::carry::{Ran, Shown, Wait, wait_for};
use crate::equipment::gauge::MicronGauge;
use crate::rehearsal::Rehearsal;

/// What the gauge on a port should show after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The port.
    pub port: PortId,
    /// The lower end, absolute.
    pub low: Pressure,
    /// The upper end, absolute.
    pub high: Pressure,
}

/// What is read.
struct Reading {
    shows: Pressure,
    low: Pressure,
    /// What the instrument may be off by, Pa.
    error_pa: f64,
}

/// Below this part of the atmosphere the vacuum gauge is read.
const IN_VACUUM: f64 = 0.5;
/// Who watches sees a moment at least so often, s.
const PIECE: f64 = 10.0;
/// Nobody waits longer for a reading, s.
const PATIENCE: f64 = 4.0 * 3600.0;
/// A reading has to stay so long, s; longer while a compressor may start again, because liquid that still boils away starts it (common practice).
const STAYS: f64 = 5.0;
const STAYS_DOWN: f64 = 90.0;
/// What comes no nearer by this part in so many seconds does not come at all.
const NEARER: f64 = 0.02;
const LOOKS: f64 = 600.0;

impl Rehearsal {
    /// Does a step's actions one after the other, each until what it waits for has come, and then waits until every gauge shows what it should or comes no
    /// nearer to it. `watch` sees the moment before each action, with the action, and the moments on the way, one in 15 s at least.
    pub fn follow_step(
        &mut self,
        actions: &[Action],
        expect: &[Band],
        stops: &Stops,
        watch: &mut dyn FnMut(&Self, Option<&Action>),
    ) -> Ran {
        let before: Vec<Option<Reading>> = expect.iter().map(|band| self.reads(band)).collect();
        let mut ran = Ran { from: self.seconds(), to: 0.0, shown: Vec::new(), gave_up: false, refused: None };
        for action in actions {
            watch(self, Some(action));
            if let Err(refused) = self.act(action) {
                ran.refused = Some(refused);
                break;
            }
            match wait_for(self, action, stops) {
                Wait::Seconds(seconds) => self.pass(seconds, watch),
                wait => ran.gave_up |= !self.wait(&wait, &mut |now| watch(now, None)),
            }
        }
        if let [Action::Hold { minutes }] = actions
            && let Some(highest) = expect.iter().map(|band| band.high.as_pa()).reduce(f64::min)
        {
            let level = Pressure::from_pa(highest).gauge(self.assembly().circuit.atmosphere);
            self.run_down_again(level, 60.0 * f64::from(*minutes), &mut |now| watch(now, None));
        }
        if ran.refused.is_none() {
            self.wait_for_gauges(expect, watch);
        }
        let shown = expect.iter().zip(before).filter_map(|(band, before)| {
            let reading = self.reads(band)?;
            let pressure = reading.shows;
            let nearest = pressure.as_pa().max(reading.low.as_pa()).min(band.high.as_pa());
            Some(Shown {
                port: band.port,
                pressure,
                expected: Pressure::from_pa(nearest),
                low: reading.low,
                high: band.high,
                gauge_pa: reading.error_pa,
                before: before.map_or(pressure, |before| before.shows),
            })
        });
        ran.shown = shown.collect();
        ran.to = self.seconds();
        ran
    }

    /// What the gauge whose hose is on a port shows, absolute; none without a hose there.
    pub fn shows(&self, port: PortId) -> Option<Pressure> {
        let hose = self.state.lineup.hose_on(port)?;
        let gauge = self.controls.gauges.iter().find(|gauge| gauge.hose == hose)?;
        Some(Pressure::from_pa(gauge.pascal))
    }

    /// What is read beside a band: the vacuum gauge where a vacuum is expected, by which lower is as good; else the gauge on the port.
    fn reads(&self, band: &Band) -> Option<Reading> {
        let atmosphere = self.assembly().circuit.atmosphere.as_pa();
        if band.high.as_pa() > IN_VACUUM * atmosphere {
            let shows = self.shows(band.port)?;
            return Some(Reading { shows, low: band.low, error_pa: self.gauge_error() });
        }
        self.state.lineup.hose_on(band.port)?;
        let shows = self.micron_gauge();
        let error_pa = 0.01 * MicronGauge::COMMON.error_percent * band.high.as_pa();
        Some(Reading { shows, low: Pressure::from_pa(0.0), error_pa })
    }

    fn pass(&mut self, seconds: f64, watch: &mut dyn FnMut(&Self, Option<&Action>)) {
        let end = self.seconds() + seconds;
        while end - self.seconds() > 1e-9 {
            self.advance((end - self.seconds()).min(PIECE));
            watch(self, None);
        }
    }

    fn wait_for_gauges(&mut self, expect: &[Band], watch: &mut dyn FnMut(&Self, Option<&Action>)) {
        let (start, mut held, mut pause) = (self.seconds(), 0.0, 1.0);
        let (mut looked, mut off) = (start, self.off(expect));
        while self.seconds() - start < PATIENCE {
            let now = self.off(expect);
            held = if now > 0.0 { 0.0 } else { held + pause };
            let stays = if self.may_start_again() { STAYS_DOWN } else { STAYS };
            // What is as it should be from the first on needs no wait.
            if now <= 0.0 && (off <= 0.0 || held > stays) {
                return;
            }
            if self.seconds() - looked >= LOOKS {
                if now > 0.0 && now > off * (1.0 - NEARER) {
                    return;
                }
                (looked, off) = (self.seconds(), now.max(f64::MIN_POSITIVE));
            }
            self.pass(pause, watch);
            pause = (pause * 1.2_f64).min(PIECE);
        }
    }

    /// By how much the gauges are off what is expected, beyond what they may err by, Pa in all.
    fn off(&self, expect: &[Band]) -> f64 {
        let off = |band: &Band| {
            let reading = self.reads(band)?;
            let shows = reading.shows.as_pa();
            let (below, above) = (reading.low.as_pa() - shows, shows - band.high.as_pa());
            Some((below.max(above) - reading.error_pa).max(0.0))
        };
        expect.iter().filter_map(off).sum()
    }

    fn may_start_again(&self) -> bool {
        self.controls.starters.iter().any(|starter| self.runs(starter.joint) || starter.trip.is_some())
    }
}
