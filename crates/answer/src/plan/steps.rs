//! The steps of a procedure, in words.

use stemwise_circuit::{JointId, SpaceId};
use stemwise_service::plan::{Doing, Expect, Phase, Procedure, Step, Words};
use stemwise_units::{GaugePressure, Mass, Pressure};
use stemwise_wire as wire;

use super::Telling;
use crate::words;

impl Telling<'_> {
    pub(super) fn steps(&self, best: &Procedure) -> Vec<wire::PlanStep> {
        let words = Words { assembly: self.assembly, units: self.units };
        (1..).zip(&best.steps).map(|(n, step)| self.step(n, step, best, &words)).collect()
    }

    fn step(&self, n: usize, step: &Step, best: &Procedure, told: &Words<'_>) -> wire::PlanStep {
        wire::PlanStep {
            n,
            phase: phase(step.phase).into(),
            action: self.action(&step.doing),
            say: told.say(step, &best.job),
            why: told.why(step),
            expect: step.expect.iter().map(|expect| self.expect(expect)).collect(),
            cautions: step
                .beware
                .iter()
                .map(|&beware| told.beware(beware).to_owned())
                .chain(step.cautions.iter().filter_map(|id| words::avoid(id)))
                .collect(),
            hold_point: step.hold.is_some(),
            hold: step.hold.map(|hold| told.hold(hold)),
        }
    }

    fn expect(&self, expect: &Expect) -> wire::Expect {
        wire::Expect {
            gauge: self.assembly.graph.port(expect.port).map_or_else(String::new, |port| port.id.clone()),
            pressure_pa: expect.pressure.as_pa(),
            low: expect.low.as_pa(),
            high: expect.high.as_pa(),
        }
    }

    /// The action for a machine: values in SI with their unit.
    fn action(&self, doing: &Doing) -> wire::PlanAction {
        let graph = &self.assembly.graph;
        let joints =
            |ids: &[JointId]| join(ids.iter().filter_map(|&id| graph.joint(id)).map(|j| j.id.as_str()));
        let spaces =
            |ids: &[SpaceId]| join(ids.iter().filter_map(|&id| graph.space(id)).map(|s| s.id.as_str()));
        let port = |id| graph.port(id).map(|port| port.id.clone());
        let pa = |pressure: Pressure| Some(format!("{} Pa", pressure.as_pa()));
        let gauge = |pressure: GaugePressure| pa(pressure.absolute(self.assembly.circuit.atmosphere));
        let kg = |mass: Mass| Some(format!("{} kg", mass.as_kg()));
        let (kind, on, to) = match doing {
            Doing::LookOver => ("look-over", None, None),
            Doing::FitHose { hose, port: at } => ("fit-hose", port(*at), spaces(&[*hose])),
            Doing::TakeHoseOff { port: at } => ("take-hose-off", port(*at), None),
            Doing::Turn { valve, to, .. } => {
                ("turn", joints(&[*valve]), Some(words::position(*to).to_owned()))
            }
            Doing::Read { .. } => ("read", None, None),
            Doing::HoldOpen { valves } => ("hold-open", joints(valves), None),
            Doing::LetGo { valves } => ("let-go", joints(valves), None),
            Doing::PumpDown { compressors, to } => ("pump-down", joints(compressors), gauge(*to)),
            Doing::Stop { compressors } => ("stop", joints(compressors), None),
            Doing::WaitForRise { limit, .. } => ("wait-for-rise", None, gauge(*limit)),
            Doing::LetDrain { into, minutes } => {
                ("let-drain", spaces(&[*into]), Some(format!("{minutes} min")))
            }
            Doing::LetWarm { beside, minutes } => {
                ("let-warm", spaces(&[*beside]), Some(format!("{minutes} min")))
            }
            Doing::LockOut => ("lock-out", None, None),
            Doing::Recover { ports, to, .. } => {
                ("recover", join(ports.iter().filter_map(|&at| port(at))), pa(*to))
            }
            Doing::BreakVacuum => ("break-vacuum", None, None),
            Doing::SweepOut { to } => ("sweep-out", None, gauge(*to)),
            Doing::PullSwept { to } => ("pull-swept", None, pa(*to)),
            Doing::CheckAir => ("check-air", None, None),
            Doing::OpenUp { spaces: open, .. } => ("open-up", spaces(open), None),
            Doing::CloseUp { spaces: open, .. } => ("close-up", spaces(open), None),
            Doing::PressureTest { to, .. } => ("pressure-test", None, gauge(*to)),
            Doing::ReleaseNitrogen => ("release-nitrogen", None, None),
            Doing::Evacuate { to, .. } => ("evacuate", None, pa(*to)),
            Doing::RestorePower => ("restore-power", None, None),
            Doing::Start { compressors } => ("start", joints(compressors), None),
            Doing::Charge { mass, .. } => ("charge", None, kg(*mass)),
            Doing::LetRun { minutes } => ("let-run", None, Some(format!("{minutes} min"))),
            Doing::Judge { port: at, target, .. } => {
                ("judge", port(*at), Some(format!("{} K", target.value.as_k())))
            }
            Doing::PullAndBreak { to, .. } => ("pull-and-break", None, pa(*to)),
            Doing::SwapCore { port: at } => ("swap-core", port(*at), None),
            Doing::AddOil { port: at, mass } => ("add-oil", port(*at), kg(*mass)),
            Doing::Pierce { port: at } => ("pierce", port(*at), None),
            Doing::BrazeAccess { port: at } => ("braze-access", port(*at), None),
            Doing::Label { .. } => ("label", None, None),
            Doing::SearchLeaks => ("search-leaks", None, None),
            Doing::Caps { .. } => ("caps", None, None),
            Doing::Record { .. } => ("record", None, None),
            Doing::Tag { valves } => ("tag", joints(valves), None),
        };
        wire::PlanAction { kind: kind.into(), on, to }
    }
}

fn join<T: AsRef<str>>(ids: impl Iterator<Item = T>) -> Option<String> {
    let mut joined = String::new();
    for id in ids {
        if !joined.is_empty() {
            joined.push(',');
        }
        joined.push_str(id.as_ref());
    }
    Some(joined)
}

const fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::Prepare => "prepare",
        Phase::Isolate => "isolate",
        Phase::Empty => "empty",
        Phase::Work => "work",
        Phase::Prove => "prove",
        Phase::Dry => "dry",
        Phase::Refill => "refill",
        Phase::Return => "return",
    }
}
