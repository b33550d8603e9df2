//! Best-first search with a lower bound, over any transition model with whole-number costs.

use std::collections::BinaryHeap;
use std::hash::Hash;

use hashbrown::HashTable;
use rustc_hash::FxBuildHasher;
use std::hash::BuildHasher;

/// A transition model: states, the actions that lead on from them, and lower bounds on what is still to pay.
pub trait Model {
    /// A state.
    type State: Clone + Eq + Hash;
    /// An action, or several that are taken together.
    type Action: Clone;

    /// Appends every safe successor of a state: the action, its cost, and the state after it.
    fn successors(&self, state: &Self::State, out: &mut Vec<(Self::Action, u64, Self::State)>);
    /// Whether the state is a goal.
    fn is_goal(&self, state: &Self::State) -> bool;
    /// A lower bound on the cost to a goal that costs next to nothing to compute.
    fn quick_bound(&self, _state: &Self::State) -> u64 {
        0
    }
    /// The best lower bound on the cost to a goal; none where no goal can be reached.
    fn bound(&self, state: &Self::State) -> Option<u64> {
        Some(self.quick_bound(state))
    }
}

/// What a search did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// States expanded.
    pub expanded: u64,
    /// Successors generated.
    pub generated: u64,
    /// Times the good bound was computed.
    pub bounded: u64,
    /// States kept at the end.
    pub kept: u64,
    /// Times a state was reached again more cheaply after it had been expanded.
    pub reopened: u64,
}

impl Statistics {
    /// Of two searches together.
    pub(crate) const fn and(self, other: Self) -> Self {
        Self {
            expanded: self.expanded + other.expanded,
            generated: self.generated + other.generated,
            bounded: self.bounded + other.bounded,
            kept: self.kept + other.kept,
            reopened: self.reopened + other.reopened,
        }
    }
}

/// How a search ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome<A> {
    /// A cheapest plan.
    Solved {
        /// The actions, in order.
        plan: Vec<A>,
        /// What they cost.
        cost: u64,
    },
    /// Every reachable state was looked at: there is no plan.
    Unsolvable,
    /// The limit came first; no plan costs less than this.
    Limit {
        /// The lower bound.
        at_least: u64,
    },
}

/// A search's outcome and what it took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Search<A> {
    /// How it ended.
    pub outcome: Outcome<A>,
    /// What it took.
    pub statistics: Statistics,
}

struct Node<S, A> {
    state: S,
    cost: u64,
    came_from: Option<(u32, A)>,
    bound: u64,
    bounded: bool,
    expanded: bool,
}

/// Ordered so that the heap gives the smallest estimate first, then the most advanced, then the newest.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Entry {
    estimate: std::cmp::Reverse<u64>,
    cost: u64,
    newest: u64,
    node: u32,
}

struct Searcher<'m, M: Model> {
    model: &'m M,
    nodes: Vec<Node<M::State, M::Action>>,
    table: HashTable<u32>,
    hasher: FxBuildHasher,
    open: BinaryHeap<Entry>,
    pushed: u64,
    statistics: Statistics,
}

/// Finds a cheapest plan from a state, expanding at most `limit` states.
///
/// The bounds must never exceed the true cost; then the plan is proved cheapest. Deterministic: the same input takes the same steps.
pub fn search<M: Model>(model: &M, start: M::State, limit: u64) -> Search<M::Action> {
    let mut searcher = Searcher {
        model,
        nodes: Vec::new(),
        table: HashTable::new(),
        hasher: FxBuildHasher,
        open: BinaryHeap::new(),
        pushed: 0,
        statistics: Statistics::default(),
    };
    searcher.reach(start, 0, None, 0);
    let outcome = searcher.run(limit);
    let kept = searcher.nodes.len() as u64;
    Search { outcome, statistics: Statistics { kept, ..searcher.statistics } }
}

impl<M: Model> Searcher<'_, M> {
    fn run(&mut self, limit: u64) -> Outcome<M::Action> {
        let mut successors = Vec::new();
        // No estimate that was once the smallest of all exceeds the cost of a plan, even where a smaller one comes up later.
        let mut proved = 0;
        while let Some(entry) = self.open.pop() {
            let Some(node) = self.nodes.get(entry.node as usize) else { continue };
            if node.expanded || node.cost != entry.cost {
                continue;
            }
            proved = proved.max(entry.estimate.0);
            if !node.bounded && !self.bound(&entry) {
                continue;
            }
            let Some(node) = self.nodes.get_mut(entry.node as usize) else { continue };
            if self.model.is_goal(&node.state) {
                return self.plan(entry.node);
            }
            if self.statistics.expanded >= limit {
                return Outcome::Limit { at_least: proved };
            }
            node.expanded = true;
            self.statistics.expanded += 1;
            self.model.successors(&node.state, &mut successors);
            let cost = node.cost;
            self.statistics.generated += successors.len() as u64;
            for (action, price, state) in successors.drain(..) {
                self.reach(state, cost + price, Some((entry.node, action)), entry.estimate.0);
            }
        }
        Outcome::Unsolvable
    }

    /// Computes the good bound of a node that has come up; false if it has to wait for its turn.
    fn bound(&mut self, entry: &Entry) -> bool {
        self.statistics.bounded += 1;
        let Some(node) = self.nodes.get_mut(entry.node as usize) else { return false };
        node.bounded = true;
        let Some(bound) = self.model.bound(&node.state) else {
            node.bound = u64::MAX;
            return false;
        };
        node.bound = node.bound.max(bound);
        let estimate = node.cost.saturating_add(node.bound);
        if estimate <= entry.estimate.0 {
            return true;
        }
        let cost = node.cost;
        self.push(entry.node, cost, estimate);
        false
    }

    /// A state reached at a cost; `floor` is the estimate of the state before, below which this one's need not go.
    fn reach(&mut self, state: M::State, cost: u64, came_from: Option<(u32, M::Action)>, floor: u64) {
        let hash = self.hasher.hash_one(&state);
        let nodes = &self.nodes;
        let same = |&at: &u32| nodes.get(at as usize).is_some_and(|node| node.state == state);
        if let Some(&at) = self.table.find(hash, same) {
            self.reach_again(at, cost, came_from);
            return;
        }
        let at = u32::try_from(self.nodes.len()).unwrap_or(u32::MAX);
        let hasher = &self.hasher;
        self.table.insert_unique(hash, at, |&other| {
            nodes.get(other as usize).map_or(hash, |node| hasher.hash_one(&node.state))
        });
        let bound = self.model.quick_bound(&state).max(floor.saturating_sub(cost));
        self.nodes.push(Node { state, cost, came_from, bound, bounded: false, expanded: false });
        self.push(at, cost, cost.saturating_add(bound));
    }

    fn reach_again(&mut self, at: u32, cost: u64, came_from: Option<(u32, M::Action)>) {
        let Some(node) = self.nodes.get_mut(at as usize) else { return };
        if cost >= node.cost || node.bound == u64::MAX {
            return;
        }
        node.cost = cost;
        node.came_from = came_from;
        if node.expanded {
            node.expanded = false;
            self.statistics.reopened += 1;
        }
        // A bound says what is still to pay from this state, whichever way it was reached: it stays.
        let estimate = cost.saturating_add(node.bound);
        self.push(at, cost, estimate);
    }

    fn push(&mut self, node: u32, cost: u64, estimate: u64) {
        self.pushed += 1;
        self.open.push(Entry { estimate: std::cmp::Reverse(estimate), cost, newest: self.pushed, node });
    }

    fn plan(&self, goal: u32) -> Outcome<M::Action> {
        let mut plan = Vec::new();
        let mut at = goal;
        while let Some((before, action)) = self.nodes.get(at as usize).and_then(|node| node.came_from.clone())
        {
            plan.push(action);
            at = before;
        }
        plan.reverse();
        Outcome::Solved { plan, cost: self.nodes.get(goal as usize).map_or(0, |node| node.cost) }
    }
}
