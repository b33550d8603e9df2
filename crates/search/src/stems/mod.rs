//! The abstract service model: which stems to turn, what to pump, recover and evacuate, so that a component can be opened.
//!
//! Small, whole-numbered and deterministic. A **space** holds nothing (evacuated), residual vapour at atmospheric pressure, refrigerant
//! under pressure, or air. Joined spaces form a **class** with one content. Liquid is conserved and settles by rank; vapour is not:
//! equalising never makes a pressure safe, which is on the safe side. The rules of settling and the hazards are in the settling module;
//! [`Plant`] says what there is.

mod actions;
mod bound;
mod check;
mod near;
mod plant;
mod settle;
mod shorten;
mod state;

pub use actions::{Action, Machine, Refused, Steps};
pub use check::{Deviation, Fault, Replay, Trace, Verdict};
pub use near::Nearby;
pub use plant::{
    Content, Cost, Goal, Joint, Machinery, Plant, PlantError, PortOn, Position, Rigging, SpaceSpec, Weights,
};
pub use settle::Hazard;
pub use state::State;

use std::cell::RefCell;

use crate::astar::{Model, Search, search};

/// A plan's search: canonical actions and the isolation-cut bound, or every single action and the plain bound for comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// Machines are attached together with their first use; the bound cuts the component off.
    Full,
    /// Single actions, and only the count of what is out of place: slow, for comparison.
    Plain,
}

/// The search model of a plant with weights.
#[derive(Debug)]
pub struct Planner<'p> {
    pub(crate) plant: &'p Plant,
    pub(crate) weights: Weights,
    pub(crate) effort: Effort,
    pub(crate) bounds: bound::Bounds,
    pub(crate) scratch: RefCell<settle::Scratch>,
}

impl<'p> Planner<'p> {
    /// Prepares the search.
    pub fn new(plant: &'p Plant, weights: Weights, effort: Effort) -> Self {
        Self { plant, weights, effort, bounds: bound::Bounds::new(plant), scratch: RefCell::default() }
    }

    /// Finds a cheapest plan, expanding at most `limit` states.
    pub fn plan(&self, limit: u64) -> Search<Steps> {
        match self.plant.start() {
            Ok(start) => search(self, start, limit),
            Err(_) => {
                Search { outcome: crate::Outcome::Unsolvable, statistics: crate::Statistics::default() }
            }
        }
    }
}

/// The same model with its bound weighted: a plan is found sooner, and costs at most that many times the optimum.
struct Impatient<'a, 'p> {
    planner: &'a Planner<'p>,
    weight: u64,
}

impl Model for Impatient<'_, '_> {
    type State = State;
    type Action = Steps;

    fn successors(&self, state: &State, out: &mut Vec<(Steps, u64, State)>) {
        self.planner.successors(state, out);
    }
    fn is_goal(&self, state: &State) -> bool {
        self.planner.is_goal(state)
    }
    fn quick_bound(&self, state: &State) -> u64 {
        self.planner.quick_bound(state).saturating_mul(self.weight)
    }
    fn bound(&self, state: &State) -> Option<u64> {
        self.planner.bound(state).map(|bound| bound.saturating_mul(self.weight))
    }
}

impl Planner<'_> {
    /// Finds a plan that costs at most `weight` times the optimum, usually much less, expanding at most `limit` states.
    pub fn plan_impatiently(&self, weight: u64, limit: u64) -> Search<Steps> {
        match self.plant.start() {
            Ok(start) => search(&Impatient { planner: self, weight: weight.max(1) }, start, limit),
            Err(_) => {
                Search { outcome: crate::Outcome::Unsolvable, statistics: crate::Statistics::default() }
            }
        }
    }
}

impl Model for Planner<'_> {
    type State = State;
    type Action = Steps;

    fn successors(&self, state: &State, out: &mut Vec<(Steps, u64, State)>) {
        match self.effort {
            Effort::Full => self.canonical_successors(state, out),
            Effort::Plain => self.plain_successors(state, out),
        }
    }

    fn is_goal(&self, state: &State) -> bool {
        self.plant.is_goal(state)
    }

    fn quick_bound(&self, state: &State) -> u64 {
        self.left_to_do(state)
    }

    fn bound(&self, state: &State) -> Option<u64> {
        match self.effort {
            Effort::Full => self.isolation_bound(state),
            Effort::Plain => Some(self.left_to_do(state)),
        }
    }
}
