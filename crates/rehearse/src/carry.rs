//! A whole procedure in motion: each action is done, and what it waits for comes by the clock.

use stemwise_circuit::{JointId, JointKind, PortId, PushPull, SpaceId};
use stemwise_service::plan::{Doing, Step};
use stemwise_service::{Action, Refused, Stops};
use stemwise_units::{GaugePressure, Pressure};

use crate::control::DIFFERENTIAL;
use crate::rehearsal::Rehearsal;
use crate::task::drawn_on;

/// What a gauge showed after a step, beside what the plan expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The port.
    pub port: PortId,
    /// What the gauge showed.
    pub pressure: Pressure,
    /// What was expected; where only a range was given, the nearest value in it.
    pub expected: Pressure,
    /// The ends of what the plan still expects.
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
    /// What the gauge may be off by in either direction, Pa.
    pub gauge_pa: f64,
    /// What it showed before the step.
    pub before: Pressure,
}

/// How a reading compares with what a plan expects, which is where things come to rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// As expected, as well as the gauge can tell.
    Expected,
    /// Not there yet, but the step brought it nearer.
    OnTheWay,
    /// Something else.
    Off,
}

impl Shown {
    /// How it compares with what was expected.
    pub fn fit(&self) -> Fit {
        let shows = self.pressure.as_pa();
        let (low, high) = (self.low.as_pa() - self.gauge_pa, self.high.as_pa() + self.gauge_pa);
        let off = |pascal: f64| (low - pascal).max(pascal - high).max(0.0);
        let before = self.before.as_pa();
        let same_side = (before < low) == (shows < low);
        if off(shows) <= 0.0 {
            Fit::Expected
        } else if same_side && off(shows) < off(before) {
            Fit::OnTheWay
        } else {
            Fit::Off
        }
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
/// With oil among what is emptied the machine runs on for so long, s: what is dissolved comes out of it (common practice: ten minutes and a look).
const STAYS_EMPTY: f64 = 600.0;
/// Or when the compressors have stood for so long, s.
const STANDS: f64 = 3600.0;
/// Vapour in the sight glass for so long is no passing bubble, s (common practice).
const SIGHT_GLASS: f64 = 20.0;

/// What is waited for.
pub(crate) enum Wait {
    /// So many seconds.
    Seconds(f64),
    /// The tasks at hand.
    Tasks,
    /// The suction of every compressor is down to this and stays there: liquid that still boils away starts it again and again.
    PumpedDown(GaugePressure),
    /// What is joined to the centre hose is down to this and holds no liquid.
    Recovered(Pressure),
    /// Only vapour comes through the liquid hose, or the cylinder is at its limit.
    Pushed(PushPull),
}

impl Rehearsal {
    /// Runs a step of a planned procedure: its actions one after the other, each until what it waits for has come.
    pub fn run_step(&mut self, step: &Step, stops: &Stops) -> Ran {
        let before: Vec<f64> = self.controls.gauges.iter().map(|gauge| gauge.pascal).collect();
        let mut ran = Ran { from: self.seconds(), to: 0.0, shown: Vec::new(), gave_up: false, refused: None };
        for action in &step.actions {
            if let Err(refused) = self.act(action) {
                ran.refused = Some(refused);
                break;
            }
            ran.gave_up |= !self.wait(&wait_for(self, action, stops), &mut |_| ());
        }
        match &step.doing {
            Doing::PumpDown { to, .. } => ran.gave_up |= !self.wait(&Wait::PumpedDown(*to), &mut |_| ()),
            Doing::WaitForRise { limit, minutes } => {
                self.run_down_again(*limit, f64::from(*minutes) * 60.0, &mut |_| ());
            }
            _ => {}
        }
        ran.shown = step.expect.iter().filter_map(|expect| self.shown(expect, &before)).collect();
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

    fn shown(&self, expect: &stemwise_service::plan::Expect, before: &[f64]) -> Option<Shown> {
        let mut gauges = self.controls.gauges.iter().zip(before);
        let (gauge, before) = gauges.find(|(gauge, _)| gauge.hose == expect.gauge)?;
        Some(Shown {
            port: expect.port,
            pressure: Pressure::from_pa(gauge.pascal),
            expected: expect.pressure,
            low: expect.low,
            high: expect.high,
            gauge_pa: self.gauge_error(),
            before: Pressure::from_pa(*before),
        })
    }

    /// Lets time pass until it has come, and shows every moment to the one who watches; false where it didn't come.
    pub(crate) fn wait(&mut self, wait: &Wait, watch: &mut dyn FnMut(&Self)) -> bool {
        let start = self.seconds();
        if let Wait::Seconds(seconds) = wait {
            self.advance(*seconds);
            return true;
        }
        let longest = match wait {
            Wait::PumpedDown(_) if !self.has_low_control() => 1.0,
            Wait::Pushed(_) => 2.0,
            _ => 15.0,
        };
        let (mut pause, mut held) = (1.0, 0.0);
        let most = self.statistics().steps + MOST_STEPS;
        while self.seconds() - start < LIMIT && self.statistics().steps < most {
            self.advance_within(pause, MOST_STEPS);
            watch(self);
            let come = if self.is_turning() { None } else { self.has_come(wait) };
            held = if come.is_some() { held + pause } else { 0.0 };
            if come.is_some_and(|stays| held > stays) {
                return true;
            }
            pause = (pause * 1.2_f64).min(longest);
        }
        false
    }

    /// Whether it has come, and how long it has to stay so, s.
    fn has_come(&self, wait: &Wait) -> Option<f64> {
        match wait {
            Wait::Seconds(_) => Some(0.0),
            Wait::Tasks => self.tasks().is_empty().then_some(0.0),
            Wait::PumpedDown(to) => self.is_pumped_down(*to),
            Wait::Pushed(found) => self.is_pushed(found),
            Wait::Recovered(to) => {
                let done = self.with_centre_hose().iter().all(|&space| {
                    let (p, liquid) = self.at(space);
                    p <= to.as_pa() * 1.002 + 200.0 && liquid < 1e-3
                });
                done.then_some(if self.draws_on_oil() { STAYS_EMPTY } else { 0.0 })
            }
        }
    }

    /// Whether oil lies in what is joined to the centre hose.
    fn draws_on_oil(&self) -> bool {
        !self.sumps.is_empty() && {
            let drawn = self.with_centre_hose();
            self.sumps.iter().any(|sump| drawn.iter().any(|space| space.index() == sump.cell))
        }
    }

    /// The scale says that the cylinder is at its limit, or the sight glass has shown vapour for a while.
    fn is_pushed(&self, found: &PushPull) -> Option<f64> {
        let (vapour, full) = self.push_pull_signs(found);
        if full { Some(0.0) } else { vapour.then_some(SIGHT_GLASS) }
    }

    /// Whether the sight glass of the liquid hose shows vapour, and whether the cylinder is at its limit.
    fn push_pull_signs(&self, found: &PushPull) -> (bool, bool) {
        let graph = &self.assembly().graph;
        let Some(cylinder) = self.assembly().rigged.cylinder else { return (true, false) };
        let limit =
            graph.space(cylinder).and_then(|space| space.fill_limit.as_ref()).map_or(1.0, |f| f.value);
        let liquid =
            self.joint(found.liquid_valve).is_some_and(|view| view.kg_per_second > 0.0 && view.liquid > 0.5);
        (!liquid, self.at(cylinder).1 >= limit)
    }

    /// Without a control that stops it, a person stops a compressor as soon as it is down. With one it has to stay down, or to stand below where it would
    /// start again.
    fn is_pumped_down(&self, to: GaugePressure) -> Option<f64> {
        let level = to.absolute(self.assembly().circuit.atmosphere).as_pa();
        let graph = &self.assembly().graph;
        let of_joints =
            graph.joints_with_ids().filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_)));
        let (mut most, mut runs) = (0.0f64, false);
        for (id, joint) in of_joints {
            most = most.max(self.at(joint.a).0);
            runs |= self.runs(id);
        }
        if !self.has_low_control() {
            (most <= level).then_some(0.0)
        } else if most <= level + RISES {
            Some(STAYS_DOWN)
        } else {
            (!runs && most <= level + DIFFERENTIAL).then_some(STANDS)
        }
    }

    fn has_low_control(&self) -> bool {
        let graph = &self.assembly().graph;
        let stops =
            |kind: &JointKind| matches!(kind, JointKind::Compressor(one) if one.low_cut_out.is_some());
        graph.joints.iter().any(|joint| stops(&joint.kind))
    }

    /// Pressure (Pa) and level of a space.
    fn at(&self, space: SpaceId) -> (f64, f64) {
        self.moment.evals.get(space.index()).map_or((0.0, 0.0), |eval| (eval.p, eval.alpha))
    }

    /// The spaces that stand open to the centre hose at the moment.
    fn with_centre_hose(&self) -> Vec<SpaceId> {
        let assembly = self.assembly();
        drawn_on(&assembly.graph, &self.network, &self.moment, &self.state, assembly.rigged.centre_hose)
    }
}

/// Push–pull, if that joint is its machine.
fn push_pull(now: &Rehearsal, joint: JointId) -> Option<PushPull> {
    now.assembly().rigged.push_pull.filter(|found| found.machine == joint)
}

/// What follows an action.
pub(crate) fn wait_for(now: &Rehearsal, action: &Action, stops: &Stops) -> Wait {
    match action {
        Action::Hold { minutes } => Wait::Seconds(60.0 * f64::from(*minutes)),
        Action::Evacuate { .. }
        | Action::AdmitNitrogen { .. }
        | Action::ReleaseNitrogen { .. }
        | Action::Charge { .. }
        | Action::ChargeThrottled { .. } => Wait::Tasks,
        Action::Start(joint) => match now.assembly().graph.joint(*joint).map(|found| &found.kind) {
            Some(JointKind::RecoveryMachine) => {
                push_pull(now, *joint).map_or(Wait::Recovered(stops.recovery), Wait::Pushed)
            }
            _ => Wait::Seconds(60.0),
        },
        _ => Wait::Seconds(HANDS),
    }
}
