//! Replays plans action by action, and what every single slip along them would do. Shares the semantics with the search, not its code.

use super::actions::{Action, Refused};
use super::settle::Hazard;
use super::state::State;
use super::{Plant, PlantError};

/// A plan replayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replay {
    /// Grams that left the circuit.
    pub grams: u64,
    /// Moves.
    pub moves: u64,
    /// Whether the goal was met at the end.
    pub goal: bool,
}

/// Where a plan failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The action's place in the plan, from 0.
    pub step: usize,
    /// Why.
    pub why: Refused,
}

/// The states along a plan: before its first action and after each.
#[derive(Clone, Debug)]
pub struct Trace {
    states: Vec<State>,
}

/// What became of a plan with a step left out or two exchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Still safe, and the goal is met.
    Fine,
    /// Safe, but the goal is not met.
    GoalNotReached,
    /// A step could not be taken, or led to a hazard.
    Fails {
        /// Its place in the changed plan, from 0.
        step: usize,
        /// Why.
        why: Refused,
    },
}

/// A slip that leads to a hazard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Deviation {
    /// Before which step of the plan.
    pub step: usize,
    /// What was done instead.
    pub action: Action,
    /// What it leads to.
    pub hazards: Vec<Hazard>,
}

impl Plant {
    /// Replays a plan from the start.
    ///
    /// # Errors
    /// [`Fault`] at the first action that can't be taken or is unsafe.
    pub fn replay(&self, plan: &[Action]) -> Result<Replay, Fault> {
        let mut state =
            self.start().map_err(|_| Fault { step: 0, why: Refused::Not("the start is unsafe") })?;
        let (mut grams, mut moves) = (0, 0);
        for (step, &action) in plan.iter().enumerate() {
            let (next, paid) = self.apply(&state, action).map_err(|why| Fault { step, why })?;
            grams += paid.grams;
            moves += paid.moves;
            state = next;
        }
        Ok(Replay { grams, moves, goal: self.is_goal(&state) })
    }

    /// The states along a safe plan.
    ///
    /// # Errors
    /// [`PlantError::UnsafeStart`] where the start or an action of the plan is unsafe.
    pub fn trace(&self, plan: &[Action]) -> Result<Trace, PlantError> {
        let mut states = vec![self.start()?];
        for &action in plan {
            let Some(here) = states.last() else { break };
            let (next, _) = self.apply(here, action).map_err(|_| PlantError::UnsafeStart)?;
            states.push(next);
        }
        Ok(Trace { states })
    }

    /// Every single wrong turn, start or stop along a plan that leads to a hazard, and how many were tried.
    pub fn slips(&self, plan: &[Action], trace: &Trace) -> (Vec<Deviation>, usize) {
        let mut found = Vec::new();
        let mut tried = 0;
        for (step, (state, &planned)) in trace.states.iter().zip(plan).enumerate() {
            for action in self.single_actions(state).into_iter().filter(|action| *action != planned) {
                tried += 1;
                if let Err(Refused::Unsafe(hazards)) = self.apply(state, action) {
                    found.push(Deviation { step, action, hazards });
                }
            }
        }
        (found, tried)
    }

    /// What happens when each step is left out and the rest is carried out.
    pub fn omissions(&self, plan: &[Action], trace: &Trace) -> Vec<Verdict> {
        let without = |step: usize| self.carry_on(trace, step, plan.iter().copied().skip(step + 1));
        (0..plan.len()).map(without).collect()
    }

    /// What happens when each step is exchanged with the next.
    pub fn swaps(&self, plan: &[Action], trace: &Trace) -> Vec<Verdict> {
        let swapped = |step: usize| {
            let pair = [step + 1, step].into_iter().filter_map(|at| plan.get(at).copied());
            self.carry_on(trace, step, pair.chain(plan.iter().copied().skip(step + 2)))
        };
        (0..plan.len().saturating_sub(1)).map(swapped).collect()
    }

    fn carry_on(&self, trace: &Trace, from: usize, rest: impl Iterator<Item = Action>) -> Verdict {
        let Some(mut state) = trace.states.get(from).cloned() else { return Verdict::GoalNotReached };
        for (place, action) in rest.enumerate() {
            match self.apply(&state, action) {
                Ok((next, _)) => state = next,
                Err(why) => return Verdict::Fails { step: from + place, why },
            }
        }
        if self.is_goal(&state) { Verdict::Fine } else { Verdict::GoalNotReached }
    }
}
