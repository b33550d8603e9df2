//! A plan that was found in a hurry, without what it could do without.

use super::actions::Action;
use super::settle::Scratch;
use super::state::State;
use super::{Plant, Weights};

impl Plant {
    /// The plan without actions that it can do without, taken out singly, in pairs and joint by joint as long as it gets cheaper by that; with what
    /// it costs then. None where it does not reach the goal.
    ///
    /// ```
    /// # use stemwise_search::stems::*;
    /// let space = SpaceSpec { content: Content::Nothing, liquid: 0, room: 0, vapour: 30, residual: 4, limit: 100_000, rank: 0, sink: false, relief: false };
    /// let valve = |a, b| Joint::Valve { a, b, three: false, port_stays_with: b, position: Position::OpenOrBack, normal: Position::OpenOrBack, cost: 1, movable: true };
    /// let machinery = Machinery { recovery: true, vacuum: true, cylinder_room: 1000, rigging: Rigging::Separate };
    /// let cost = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
    /// let ports = vec![PortOn::Core(0)];
    /// let plant = Plant::new(vec![space; 2], vec![valve(0, 1)], ports, machinery, cost, Goal::Job, &[0])?;
    /// let [shut, open] = [Action::Turn(0, Position::ShutOrFront), Action::Turn(0, Position::OpenOrBack)];
    /// let vacuum = [Action::Attach(Machine::Vacuum, 0), Action::Evacuate(None), Action::Detach(Machine::Vacuum, 0)];
    /// let long = [&[shut, Action::Work][..], &vacuum[..], &[open]].concat();
    /// let short = [&[Action::Work][..], &vacuum[..]].concat();
    /// assert_eq!(plant.shortened(Weights::BALANCED, &long), Some((short, 80)));
    /// assert_eq!(plant.shortened(Weights::BALANCED, &[shut, open]), None, "no work was done");
    /// # Ok::<(), PlantError>(())
    /// ```
    pub fn shortened(&self, weights: Weights, plan: &[Action]) -> Option<(Vec<Action>, u64)> {
        let mut best = Tried::of(self, weights, plan)?;
        while let Some(better) = best.shorter(self, weights) {
            best = better;
        }
        Some((best.plan, best.cost))
    }
}

/// A plan that reaches the goal, with the states along it and what was paid up to each.
struct Tried {
    plan: Vec<Action>,
    states: Vec<(State, u64)>,
    cost: u64,
}

impl Tried {
    fn of(plant: &Plant, weights: Weights, plan: &[Action]) -> Option<Self> {
        let mut scratch = Scratch::default();
        let mut states = vec![(plant.start().ok()?, 0)];
        for &action in plan {
            let (before, paid) = states.last()?;
            let (next, more) = plant.attempt(before, action, &mut scratch).ok()?;
            states.push((next, paid + weights.price(more.moves, more.grams)));
        }
        let (last, cost) = states.last()?;
        let cost = *cost;
        plant.is_goal(last).then(|| Self { plan: plan.to_vec(), states, cost })
    }

    /// The first way of leaving something out that makes it cheaper.
    fn shorter(&self, plant: &Plant, weights: Weights) -> Option<Self> {
        let count = self.plan.len();
        let pairs = (0..count).flat_map(|one| (one..count).map(move |other| vec![one, other]));
        let joints = self.plan.iter().filter_map(|action| match *action {
            Action::Turn(joint, _) => Some(joint),
            _ => None,
        });
        let of_joint = joints.map(|joint| {
            let is =
                |at: &usize| matches!(self.plan.get(*at), Some(Action::Turn(found, _)) if *found == joint);
            (0..count).filter(is).collect()
        });
        let mut scratch = Scratch::default();
        let left_out =
            of_joint.chain(pairs).find(|out| self.goes_without(plant, weights, out, &mut scratch))?;
        let rest = self.plan.iter().enumerate().filter(|(at, _)| !left_out.contains(at));
        let rest: Vec<Action> = rest.map(|(_, action)| *action).collect();
        Self::of(plant, weights, &rest)
    }

    /// Whether it reaches the goal without some actions, and costs less.
    fn goes_without(&self, plant: &Plant, weights: Weights, out: &[usize], scratch: &mut Scratch) -> bool {
        let Some(&first) = out.first() else { return false };
        let Some((state, mut paid)) = self.states.get(first).cloned() else { return false };
        let mut here = state;
        for (at, &action) in self.plan.iter().enumerate().skip(first) {
            if out.contains(&at) {
                continue;
            }
            let Ok((next, more)) = plant.attempt(&here, action, scratch) else { return false };
            paid += weights.price(more.moves, more.grams);
            here = next;
        }
        paid < self.cost && plant.is_goal(&here)
    }
}
