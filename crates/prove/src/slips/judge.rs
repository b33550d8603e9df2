//! What comes of one slip: the rest of the procedure replayed after it, against the way it should have gone.

use std::ops::Range;

use stemwise_circuit::{Graph, PortId};
use stemwise_service::{Action, Done, Finding, Severity, State};
use stemwise_units::Pressure;

use super::{Consequence, Harm, Noticed, Slip, SlipKind, Undo};
use crate::goal::Watch;
use crate::procedure::Procedure;
use crate::verify::Task;

/// One slip as an edit: actions that are done in place of others.
#[derive(Clone, Debug)]
pub(super) struct Edit {
    pub(super) step: usize,
    pub(super) kind: SlipKind,
    /// Where in all actions.
    pub(super) at: usize,
    /// How many are not done.
    pub(super) remove: usize,
    /// What is done instead.
    pub(super) done: Vec<Action>,
}

/// A gauge is read as different beyond this (common practice: a class 1.6 gauge on a range of some 20 bar, read by eye).
const READ_PA: f64 = 0.15e5;
const READ_PART: f64 = 0.03;
/// Contents that differ by less than this are the same, kg.
const SAME_KG: f64 = 2e-3;

/// The procedure as it should go.
pub(super) struct Base<'a> {
    task: &'a Task<'a>,
    actions: Vec<Action>,
    /// Where each step's actions begin; one more for the end.
    starts: Vec<usize>,
    holds: Vec<bool>,
    /// The state before each action, and at the end.
    states: Vec<Done>,
    watches: Vec<Watch<'a, 'a>>,
    /// The rules that fire anyway, by action.
    known: Vec<Vec<Finding>>,
    reads: Vec<Vec<(PortId, Pressure)>>,
}

/// How a replay after a slip came out.
struct Outcome {
    first: Option<(usize, Consequence)>,
    warned: Option<(usize, Consequence)>,
    noticed: Option<Noticed>,
    after: Option<Done>,
}

impl<'a> Base<'a> {
    pub(super) fn new(task: &'a Task<'a>, procedure: &Procedure) -> Self {
        let mut here = task.start(procedure.standing);
        let mut watch = Watch::new(task, &here);
        let mut base = Self {
            task,
            actions: Vec::new(),
            starts: vec![0],
            holds: Vec::new(),
            states: vec![here.clone()],
            watches: vec![watch.clone()],
            known: Vec::new(),
            reads: Vec::new(),
        };
        'steps: for (at, step) in procedure.steps.iter().enumerate() {
            for action in &step.actions {
                let Ok(after) = task.act(&here, action) else { break 'steps };
                base.known.push(task.hazards(&here, action, &after));
                watch.action(at, &here, action, &after);
                here = after;
                base.actions.push(action.clone());
                base.states.push(here.clone());
                base.watches.push(watch.clone());
            }
            base.starts.push(base.actions.len());
            base.holds.push(step.hold.is_some());
            base.reads.push(task.reads(&here));
        }
        let whole = base.starts.last().copied().unwrap_or(0);
        base.actions.truncate(whole);
        base
    }

    pub(super) fn steps(&self) -> usize {
        self.holds.len()
    }

    pub(super) const fn task(&self) -> &'a Task<'a> {
        self.task
    }

    pub(super) fn graph(&self) -> &'a Graph {
        &self.task.assembly.graph
    }

    pub(super) fn range(&self, step: usize) -> Range<usize> {
        let at = |index: usize| self.starts.get(index).copied().unwrap_or(self.actions.len());
        at(step)..at(step + 1)
    }

    pub(super) fn actions(&self, range: Range<usize>) -> &[Action] {
        self.actions.get(range).unwrap_or(&[])
    }

    pub(super) fn state(&self, at: usize) -> Option<&State> {
        self.states.get(at).map(|done| &done.state)
    }

    fn step_of(&self, action: usize) -> usize {
        self.starts.partition_point(|&start| start <= action).saturating_sub(1)
    }

    /// What comes of a slip; none where the lock prevents it.
    pub(super) fn judge(&self, edit: &Edit, replayed: &mut usize) -> Option<Slip> {
        let before = self.states.get(edit.at)?;
        let starts = matches!(edit.done.first(), Some(Action::Start(_)));
        if edit.kind == SlipKind::StartedEarly
            && starts
            && edit.done.first().is_some_and(|start| self.task.act(before, start).is_err())
        {
            return None;
        }
        let outcome = self.replay(before, edit, replayed);
        let first = outcome.first.or(outcome.warned);
        let harm = first.as_ref().map_or(Harm::Harmless, |(_, consequence)| harm(consequence));
        let undo = self.undo(edit, before, outcome.after.as_ref(), first.is_some());
        let instead_of = self.actions(edit.at..edit.at + edit.remove).to_vec();
        let guarded = self.guarded(edit.step, first.as_ref(), outcome.noticed.as_ref());
        Some(Slip {
            step: edit.step,
            kind: edit.kind,
            instead_of,
            done: edit.done.clone(),
            first,
            harm,
            noticed: outcome.noticed,
            undo,
            guarded,
        })
    }

    fn guarded(&self, step: usize, first: Option<&(usize, Consequence)>, noticed: Option<&Noticed>) -> bool {
        let held = |at: usize| self.holds.get(at).copied().unwrap_or(false);
        match first {
            None => true,
            Some((_, Consequence::Missing(_))) => (step..self.steps()).any(held),
            Some((at, _)) => held(step) || noticed.is_some_and(|noticed| noticed.step < *at),
        }
    }

    fn replay(&self, before: &Done, edit: &Edit, replayed: &mut usize) -> Outcome {
        let mut outcome = Outcome { first: None, warned: None, noticed: None, after: None };
        let mut here = before.clone();
        let Some(mut watch) = self.watches.get(edit.at).cloned() else { return outcome };
        for action in &edit.done {
            *replayed += 1;
            if self.one(edit.step, &mut here, action, None, &mut watch, &mut outcome) {
                return outcome;
            }
        }
        outcome.after = Some(here.clone());
        let next = edit.at + edit.remove;
        let slipped = self.step_of(next.saturating_sub(1).max(edit.at));
        if edit.remove > 0 {
            self.look_at_gauges(slipped, &here, &mut outcome);
        }
        for at in next..self.actions.len() {
            let proofs = self.watches.get(at).is_some_and(|should| should.same_before_flames(&watch));
            if proofs && self.is_same(at, &here) {
                return outcome;
            }
            let step = self.step_of(at);
            let Some(action) = self.actions.get(at) else { break };
            *replayed += 1;
            if self.one(step, &mut here, action, self.known.get(at), &mut watch, &mut outcome) {
                return outcome;
            }
            if self.range(step).end == at + 1 {
                self.look_at_gauges(step, &here, &mut outcome);
            }
        }
        let proofs =
            self.watches.get(self.actions.len()).is_some_and(|should| should.same_before_flames(&watch));
        if !proofs || !self.is_same(self.actions.len(), &here) || edit_loses_proof(edit) {
            self.end(&here, watch, &mut outcome);
        }
        outcome
    }

    /// One action after a slip. Returns whether that is the end of it.
    fn one(
        &self,
        step: usize,
        here: &mut Done,
        action: &Action,
        known: Option<&Vec<Finding>>,
        watch: &mut Watch<'a, 'a>,
        outcome: &mut Outcome,
    ) -> bool {
        let after = match self.quick(here, action) {
            Some(after) => after,
            None => match self.task.act(here, action) {
                Ok(after) => after,
                Err(why) => {
                    outcome.first = Some((step, Consequence::Refused(why)));
                    return true;
                }
            },
        };
        let settles = settles(action);
        watch.action(step, here, action, &after);
        if settles {
            let anyway = |finding: &Finding| {
                known.is_some_and(|known| {
                    known.iter().any(|old| old.rule == finding.rule && old.severity >= finding.severity)
                })
            };
            let found = self.task.hazards(here, action, &after);
            let new = |severity| {
                found.iter().find(|finding| finding.severity == severity && !anyway(finding)).cloned()
            };
            if let Some(danger) = new(Severity::Danger) {
                *here = after;
                outcome.first = Some((step, Consequence::Broken(Box::new(danger))));
                return true;
            }
            if let (None, Some(warning)) = (&outcome.warned, new(Severity::Warning)) {
                outcome.warned = Some((step, Consequence::Broken(Box::new(warning))));
            }
        }
        *here = after;
        false
    }

    /// Care and looking change nothing that settles.
    fn quick(&self, here: &Done, action: &Action) -> Option<Done> {
        if settles(action) {
            return None;
        }
        let mut done = here.clone();
        let stem = |joint: &stemwise_circuit::JointId| {
            self.graph().joint(*joint).and_then(|joint| joint.stem.as_ref())
        };
        match action {
            Action::TakeCapOff(cap) => {
                done.state.caps_off.insert(*cap);
            }
            Action::PutCapOn(stemwise_service::Cap::Port(port))
                if here.state.lineup.hose_on(*port).is_some() =>
            {
                return None;
            }
            Action::PutCapOn(cap) => {
                done.state.caps_off.remove(cap);
            }
            Action::EaseNut(joint) if stem(joint).is_some_and(|stem| stem.packing_nut) => {
                done.state.nuts_eased.insert(*joint);
            }
            Action::TightenNut(joint) if stem(joint).is_some_and(|stem| stem.packing_nut) => {
                done.state.nuts_eased.remove(joint);
            }
            Action::Read | Action::SearchLeaks | Action::CheckAir | Action::Hold { .. } => {}
            _ => return None,
        }
        Some(done)
    }

    fn look_at_gauges(&self, step: usize, here: &Done, outcome: &mut Outcome) {
        let (None, Some(should)) = (&outcome.noticed, self.reads.get(step)) else { return };
        let shows = self.task.reads(here);
        let find =
            |list: &[(PortId, Pressure)], port| list.iter().find(|(at, _)| *at == port).map(|found| found.1);
        let ports = should.iter().chain(&shows).map(|(port, _)| *port);
        for port in ports {
            let (expected, shows) = (find(should, port), find(&shows, port));
            let differs = match (expected, shows) {
                (Some(one), Some(other)) => {
                    (one - other).as_pa().abs() > READ_PA.max(READ_PART * one.as_pa())
                }
                (None, None) => false,
                _ => true,
            };
            if differs {
                outcome.noticed = Some(Noticed { step, port, shows, expected });
                return;
            }
        }
    }

    /// Whether everything is as it should be before an action.
    fn is_same(&self, at: usize, here: &Done) -> bool {
        self.states.get(at).is_some_and(|should| is_same(&should.state, &here.state))
    }

    /// What is missing in the end that would not be missing anyway.
    fn end(&self, here: &Done, watch: Watch<'a, 'a>, outcome: &mut Outcome) {
        let Some(base_end) = self.states.get(self.actions.len()) else { return };
        let Some(start) = self.states.first() else { return };
        let missing = |watch: Watch<'a, 'a>, end: &Done| {
            let account = self.task.account(&start.state, &end.state);
            let (asked, _) = watch.finish(end, &account);
            asked.into_iter().filter(|asked| !asked.met && asked.needed).collect::<Vec<_>>()
        };
        let anyway = self.watches.get(self.actions.len()).map_or_else(Vec::new, |watch| {
            missing(watch.clone(), base_end).into_iter().map(|asked| asked.id).collect()
        });
        let found = missing(watch, here).into_iter().find(|asked| !anyway.contains(&asked.id));
        if let Some(asked) = found {
            outcome.first = Some((self.steps(), Consequence::Missing(asked.id.to_owned())));
        }
    }

    fn undo(&self, edit: &Edit, before: &Done, after: Option<&Done>, matters: bool) -> Undo {
        let original = self.actions(edit.at..edit.at + edit.remove);
        if !matters {
            return Undo::Nothing;
        }
        let back: Vec<Action> = match edit.kind {
            SlipKind::Skipped => original.to_vec(),
            SlipKind::Forgotten | SlipKind::LeftOn => {
                let left = |action: &&Action| !edit.done.contains(action);
                original.iter().filter(left).cloned().collect()
            }
            SlipKind::StartedEarly => {
                edit.done.iter().filter_map(|action| inverse(&before.state, action)).collect()
            }
            SlipKind::WrongStem
            | SlipKind::WrongWay
            | SlipKind::TooFar
            | SlipKind::NotFarEnough
            | SlipKind::WrongPort => {
                let taken_back = edit.done.iter().rev().filter(|action| !original.contains(action));
                let mut back: Vec<Action> =
                    taken_back.filter_map(|action| inverse(&before.state, action)).collect();
                back.extend(original.iter().filter(|action| !edit.done.contains(action)).cloned());
                back
            }
            _ => return Undo::NotByItself,
        };
        let (Some(after), false) = (after, back.is_empty()) else { return Undo::NotByItself };
        let mut here = after.clone();
        for action in &back {
            match self.task.act(&here, action) {
                Ok(next) => here = next,
                Err(_) => return Undo::NotByItself,
            }
        }
        if self.is_same(edit.at + edit.remove, &here) { Undo::By(back) } else { Undo::NotByItself }
    }
}

/// A proof that is left out leaves no trace in the state.
fn edit_loses_proof(edit: &Edit) -> bool {
    !matches!(edit.kind, SlipKind::WrongStem | SlipKind::WrongPort | SlipKind::StartedEarly)
}

fn settles(action: &Action) -> bool {
    !matches!(
        action,
        Action::TakeCapOff(_)
            | Action::PutCapOn(_)
            | Action::EaseNut(_)
            | Action::TightenNut(_)
            | Action::Read
            | Action::SearchLeaks
            | Action::CheckAir
            | Action::Hold { .. }
    )
}

/// What takes an action back.
fn inverse(before: &State, action: &Action) -> Option<Action> {
    match action {
        Action::Turn { valve, .. } => {
            before.lineup.position(*valve).map(|to| Action::Turn { valve: *valve, to })
        }
        Action::Start(machine) => Some(Action::Stop(*machine)),
        Action::AttachHose { port, .. } => Some(Action::DetachHose { port: *port }),
        Action::TakeCapOff(cap) => Some(Action::PutCapOn(*cap)),
        Action::TightenNut(valve) => Some(Action::EaseNut(*valve)),
        Action::EaseNut(valve) => Some(Action::TightenNut(*valve)),
        _ => None,
    }
}

fn is_same(one: &State, other: &State) -> bool {
    one.lineup == other.lineup
        && one.caps_off == other.caps_off
        && one.nuts_eased == other.nuts_eased
        && one.open_spaces == other.open_spaces
        && one.locked_out == other.locked_out
        && one.jumpered == other.jumpered
        && one.pierced == other.pierced
        && one.purged == other.purged
        && one.rested == other.rested
        && one.contents.iter().zip(&other.contents).all(|(one, other)| {
            (one.refrigerant.as_kg() - other.refrigerant.as_kg()).abs() <= SAME_KG
                && (one.air.as_kg() - other.air.as_kg()).abs() <= 1e-4
                && (one.nitrogen.as_kg() - other.nitrogen.as_kg()).abs() <= 1e-3
                && one.wet == other.wet
        })
}

/// How bad a consequence is: what its rule says it does to people, to the charge, to machines.
fn harm(consequence: &Consequence) -> Harm {
    let finding = match consequence {
        Consequence::Refused(_) => return Harm::Delays,
        Consequence::Missing(what) => return missing_harm(what),
        Consequence::Broken(finding) => finding,
    };
    if finding.severity < Severity::Danger {
        return Harm::Delays;
    }
    match finding.rule {
        "refrigerant-vented"
        | "air-drawn-in"
        | "gas-into-charge"
        | "cylinder-holds-another"
        | "hose-not-purged"
        | "blend-from-vapour" => Harm::LosesCharge,
        "compressor-in-vacuum"
        | "condenser-full"
        | "receiver-overfull"
        | "vacuum-pump-on-pressure"
        | "vacuum-pump-stopped-open"
        | "liquid-into-suction"
        | "start-beside-liquid"
        | "jumper-left"
        | "held-open-left" => Harm::BreaksMachine,
        _ => Harm::HurtsSomeone,
    }
}

fn missing_harm(what: &str) -> Harm {
    match what {
        "proved-tight" | "nuts" | "cores" | "caps" => Harm::LosesCharge,
        "proved-dry" | "jumper" => Harm::BreaksMachine,
        _ => Harm::Delays,
    }
}
