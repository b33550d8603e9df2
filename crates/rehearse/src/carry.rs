//! A whole procedure in motion: each action is done, and what it waits for comes by the clock.

use stemwise_circuit::{JointKind, PortId, Sections, SpaceId};
use stemwise_service::plan::{Doing, Step};
use stemwise_service::{Action, Refused, Stops};
use stemwise_units::{GaugePressure, Pressure};

use crate::rehearsal::Rehearsal;

/// What a gauge showed after a step, beside what the plan expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The port.
    pub port: PortId,
    /// What the gauge showed.
    pub pressure: Pressure,
    /// What was expected.
    pub expected: Pressure,
    /// The ends of what was still as expected.
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
}

impl Shown {
    /// Whether it lies within what was expected.
    pub fn as_expected(&self) -> bool {
        (self.low.as_pa()..=self.high.as_pa()).contains(&self.pressure.as_pa())
    }
}

/// A step that was run.
#[derive(Clone, Debug, PartialEq)]
pub struct Ran {
    /// When it began and ended, s.
    pub from: f64,
    /// When it ended, s.
    pub to: f64,
    /// What the gauges showed in the end.
    pub shown: Vec<Shown>,
    /// Whether something that it waits for did not come within the time limit.
    pub gave_up: bool,
    /// The action that hands could not do, if there was one.
    pub refused: Option<Refused>,
}

/// Nobody waits longer for one thing, s.
const LIMIT: f64 = 12.0 * 3600.0;
/// And no wait may cost more steps than this.
const MOST_STEPS: u64 = 60_000;
/// What an action of the hands takes besides, s (common practice).
const HANDS: f64 = 10.0;

/// A pump-down is over when the pressure has stayed within so many pascals of the level for so many seconds (common practice).
const RISES: f64 = 0.15e5;
const STAYS_DOWN: f64 = 90.0;

/// What is waited for.
enum Wait {
    /// So many seconds.
    Seconds(f64),
    /// The tasks at hand.
    Tasks,
    /// The suction of every compressor is down to this and stays there: liquid that still boils away starts it again and again.
    PumpedDown(GaugePressure),
    /// What is joined to the centre hose is down to this and holds no liquid.
    Recovered(Pressure),
}

impl Rehearsal {
    /// Runs a step of a planned procedure: its actions one after the other, each until what it waits for has come.
    pub fn run_step(&mut self, step: &Step, stops: &Stops) -> Ran {
        let mut ran = Ran { from: self.seconds(), to: 0.0, shown: Vec::new(), gave_up: false, refused: None };
        for action in &step.actions {
            if let Err(refused) = self.act(action) {
                ran.refused = Some(refused);
                break;
            }
            ran.gave_up |= !self.wait(&wait_for(self, action, stops));
        }
        if let Doing::PumpDown { to, .. } = &step.doing {
            ran.gave_up |= !self.wait(&Wait::PumpedDown(*to));
        }
        ran.shown = step.expect.iter().filter_map(|expect| self.shown(expect)).collect();
        ran.to = self.seconds();
        ran
    }

    /// Runs every step of a planned procedure, up to the first that hands can't do.
    pub fn run_steps(&mut self, steps: &[Step], stops: &Stops) -> Vec<Ran> {
        let mut ran = Vec::with_capacity(steps.len());
        for step in steps {
            let one = self.run_step(step, stops);
            let stuck = one.refused.is_some();
            ran.push(one);
            if stuck {
                break;
            }
        }
        ran
    }

    fn shown(&self, expect: &stemwise_service::plan::Expect) -> Option<Shown> {
        let gauge = self.controls.gauges.iter().find(|gauge| gauge.hose == expect.gauge)?;
        Some(Shown {
            port: expect.port,
            pressure: Pressure::from_pa(gauge.pascal),
            expected: expect.pressure,
            low: expect.low,
            high: expect.high,
        })
    }

    /// Lets time pass until it has come; false where it didn't.
    fn wait(&mut self, wait: &Wait) -> bool {
        let start = self.seconds();
        if let Wait::Seconds(seconds) = wait {
            self.advance(*seconds);
            return true;
        }
        let stays = if matches!(wait, Wait::PumpedDown(_)) { STAYS_DOWN } else { 0.0 };
        let (mut pause, mut held) = (1.0, 0.0);
        let most = self.statistics().steps + MOST_STEPS;
        while self.seconds() - start < LIMIT && self.statistics().steps < most {
            self.advance_within(pause, MOST_STEPS);
            held = if !self.is_turning() && self.has_come(wait) { held + pause } else { 0.0 };
            if held > stays {
                return true;
            }
            pause = (pause * 1.2_f64).min(15.0);
        }
        false
    }

    fn has_come(&self, wait: &Wait) -> bool {
        match wait {
            Wait::Seconds(_) => true,
            Wait::Tasks => self.tasks().is_empty(),
            Wait::PumpedDown(to) => {
                let level = to.absolute(self.assembly().circuit.atmosphere).as_pa();
                let graph = &self.assembly().graph;
                let compressors =
                    graph.joints.iter().filter(|joint| matches!(joint.kind, JointKind::Compressor(_)));
                compressors.into_iter().all(|joint| self.at(joint.a).0 <= level + RISES)
            }
            Wait::Recovered(to) => self.with_centre_hose().iter().all(|&space| {
                let (p, liquid) = self.at(space);
                p <= to.as_pa() * 1.002 + 200.0 && liquid < 1e-3
            }),
        }
    }

    /// Pressure (Pa) and level of a space.
    fn at(&self, space: SpaceId) -> (f64, f64) {
        self.moment.evals.get(space.index()).map_or((0.0, 0.0), |eval| (eval.p, eval.alpha))
    }

    /// The spaces that stand open to the centre hose at the moment.
    fn with_centre_hose(&self) -> Vec<SpaceId> {
        let centre = self.assembly().rigged.centre_hose;
        let sections = Sections::new(&self.assembly().graph, &self.state.lineup);
        sections.of(centre).map_or_else(Vec::new, |section| sections.members(section).to_vec())
    }
}

/// What follows an action.
fn wait_for(now: &Rehearsal, action: &Action, stops: &Stops) -> Wait {
    match action {
        Action::Hold { minutes } => Wait::Seconds(60.0 * f64::from(*minutes)),
        Action::Evacuate { .. }
        | Action::AdmitNitrogen { .. }
        | Action::ReleaseNitrogen { .. }
        | Action::Charge { .. }
        | Action::ChargeThrottled { .. } => Wait::Tasks,
        Action::Start(joint) => match now.assembly().graph.joint(*joint).map(|found| &found.kind) {
            Some(JointKind::RecoveryMachine) => Wait::Recovered(stops.recovery),
            _ => Wait::Seconds(60.0),
        },
        _ => Wait::Seconds(HANDS),
    }
}
