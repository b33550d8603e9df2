//! Plans that turn only the stems near the work, and what a plan that turns another one costs at least.
//!
//! With most stems left alone, cells that they join are one, and so are the ports on them: what is left is as small as the section worked on,
//! whatever the size of the plant. A plan for it is a plan for the whole. It is the cheapest for the whole too, where the bound says that
//! every plan that turns one of the others costs no less: the bound for the same plant with that stem turned for nothing, and the two turns
//! that it takes off its place and back.

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::plant::{Cell, PortAt, ValveAt, WayAt, root};
use super::state::{Layout, State};
use super::{Action, Goal, Planner, Plant, Steps, bound};
use crate::Outcome;
use crate::astar::{Model, Statistics};
use crate::cut::INFINITE;

/// So many stems are tried first; then those without which the bound does not prove the plan, and twice as many.
const FEW: usize = 6;
const ROUNDS: usize = 4;
/// Where nothing is found with them: with fewer stems a plan that costs much more than the bound is found after all.
const FEWER: [usize; 2] = [4, 2];
/// The later rounds have so many times fewer states: with more stems each takes longer, and few more are worth it.
const LESS: u64 = 4;
/// At most so many stems more at a time.
const MORE: usize = 24;
/// Bounds computed to find them.
const BOUNDS: usize = 96;

/// What was found with the stems that matter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nearby {
    /// The cheapest plan that turns only these stems, with its cost.
    pub plan: Option<(Vec<Steps>, u64)>,
    /// No plan costs less. Where the plan's cost is the same, it is proved the cheapest of all.
    pub at_least: u64,
    /// What it took.
    pub statistics: Statistics,
}

impl Nearby {
    /// Whether the plan is proved to be the cheapest of all.
    pub fn proved(&self) -> bool {
        self.plan.as_ref().is_some_and(|(_, cost)| *cost <= self.at_least)
    }
}

impl Plant {
    /// The same plant with only so many stems that can be turned: those nearest to the component, and those that are not where they belong.
    /// A plan for it is a plan for the whole.
    ///
    /// ```
    /// # use stemwise_search::stems::*;
    /// let space = SpaceSpec { content: Content::Nothing, liquid: 0, room: 0, vapour: 30, residual: 4, limit: 100_000, rank: 0, sink: false, relief: false };
    /// let valve = |a, b| Joint::Valve { a, b, three: false, port_stays_with: b, position: Position::OpenOrBack, normal: Position::OpenOrBack, cost: 1, movable: true };
    /// let machinery = Machinery { recovery: true, vacuum: true, cylinder_room: 1000, rigging: Rigging::Separate };
    /// let cost = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
    /// let plant = Plant::new(vec![space; 3], vec![valve(0, 1), valve(1, 2)], vec![], machinery, cost, Goal::Job, &[0])?;
    /// assert!(plant.near(1).replay(&[Action::Turn(0, Position::ShutOrFront)]).is_ok());
    /// assert!(plant.near(1).replay(&[Action::Turn(1, Position::ShutOrFront)]).is_err());
    /// # Ok::<(), PlantError>(())
    /// ```
    #[must_use]
    pub fn near(&self, stems: usize) -> Self {
        let mut still = vec![false; self.valves.len()];
        for place in self.by_distance().into_iter().skip(stems) {
            if let Some(slot) = still.get_mut(place) {
                *slot = true;
            }
        }
        self.with_still(&still)
    }

    /// The stems that can be turned and are where they belong, the nearest to the component first.
    fn by_distance(&self) -> Vec<usize> {
        let away = self.away();
        let at = |cell: u32| away.get(cell as usize).copied().unwrap_or(u32::MAX);
        let mut order: Vec<(u32, usize)> = self
            .valves
            .iter()
            .enumerate()
            .filter(|(_, valve)| valve.movable && valve.position == valve.normal)
            .map(|(place, valve)| (at(valve.a).min(at(valve.b)), place))
            .collect();
        order.sort_unstable();
        order.into_iter().map(|(_, place)| place).collect()
    }

    /// For each cell, how many joints it is away from the component.
    fn away(&self) -> Vec<u32> {
        let mut joined: Vec<Vec<u32>> = vec![Vec::new(); self.cells.len()];
        let valves = self.valves.iter().map(|valve| (valve.a, valve.b));
        for (a, b) in valves.chain(self.ways.iter().map(|way| (way.from, way.to))) {
            for (one, other) in [(a, b), (b, a)] {
                if let Some(found) = joined.get_mut(one as usize) {
                    found.push(other);
                }
            }
        }
        let mut away = vec![u32::MAX; self.cells.len()];
        let mut queue = self.component.clone();
        for &cell in &queue {
            if let Some(slot) = away.get_mut(cell as usize) {
                *slot = 0;
            }
        }
        let mut next = 0;
        while let Some(&here) = queue.get(next) {
            next += 1;
            let further = away.get(here as usize).map_or(u32::MAX, |here| here.saturating_add(1));
            for &there in joined.get(here as usize).into_iter().flatten() {
                if let Some(slot) = away.get_mut(there as usize)
                    && *slot == u32::MAX
                {
                    *slot = further;
                    queue.push(there);
                }
            }
        }
        away
    }

    /// The same plant with some stems left alone, by their places: what they join is one cell. Joints and ports keep their numbers. Of the
    /// cores on one cell two serve, as there are two hoses.
    fn with_still(&self, still: &[bool]) -> Self {
        let is_still = |place: usize| still.get(place).is_some_and(|still| *still);
        let mut up: Vec<u32> = (0u32..).take(self.cells.len()).collect();
        for (_, valve) in
            self.valves.iter().enumerate().filter(|(place, valve)| is_still(*place) && valve.position.joins())
        {
            let (a, b) = (root(&mut up, valve.a), root(&mut up, valve.b));
            if let Some(slot) = up.get_mut(a.max(b) as usize) {
                *slot = a.min(b);
            }
        }
        // In the order of their first cells, as the cells of the whole are in the order of their first spaces.
        let mut number = vec![u32::MAX; self.cells.len()];
        let mut next = 0;
        let mut becomes = Vec::with_capacity(self.cells.len());
        for cell in (0u32..).take(self.cells.len()) {
            let Some(slot) = number.get_mut(root(&mut up, cell) as usize) else { continue };
            if *slot == u32::MAX {
                *slot = next;
                next += 1;
            }
            becomes.push(*slot);
        }
        self.joined_up(&becomes, next as usize, is_still)
    }

    /// With the cells that they become.
    fn joined_up(&self, becomes: &[u32], count: usize, is_still: impl Fn(usize) -> bool) -> Self {
        let to = |cell: u32| becomes.get(cell as usize).copied().unwrap_or(0);
        let mut cells = vec![Cell::default(); count];
        let mut relief = vec![false; count];
        for ((own, relieved), &cell) in self.cells.iter().zip(&self.relief).zip(becomes) {
            if let (Some(sum), Some(any)) = (cells.get_mut(cell as usize), relief.get_mut(cell as usize)) {
                sum.vapour += own.vapour;
                sum.residual += own.residual;
                sum.limit += own.limit;
                sum.sink |= own.sink;
                *any |= relieved;
            }
        }
        let mut valves: Vec<ValveAt> = Vec::new();
        // For each valve its new place.
        let mut places_of = Vec::with_capacity(self.valves.len());
        for (place, valve) in self.valves.iter().enumerate() {
            let still = is_still(place);
            if still && valve.position.joins() {
                places_of.push(u32::MAX);
                continue;
            }
            places_of.push(u32::try_from(valves.len()).unwrap_or(u32::MAX));
            let (a, b, stays) = (to(valve.a), to(valve.b), to(valve.stays));
            valves.push(ValveAt { a, b, stays, movable: valve.movable && !still, ..*valve });
        }
        let mut places = self.places.clone();
        for (valve, &place) in self.valves.iter().zip(&places_of) {
            if let Some(slot) = places.get_mut(valve.joint as usize) {
                *slot = place;
            }
        }
        let mut ways: Vec<WayAt> = Vec::new();
        for way in self.ways.iter().map(|way| WayAt { from: to(way.from), to: to(way.to) }) {
            if way.from != way.to && !ways.contains(&way) {
                ways.push(way);
            }
        }
        let compressors = self.compressors.iter().map(|found| super::plant::CompressorAt {
            from: to(found.from),
            to: to(found.to),
            ..*found
        });
        let port = |port: &PortAt| match *port {
            PortAt::Core { cell } => PortAt::Core { cell: to(cell) },
            PortAt::Valve { valve, a, stays } => match places_of.get(valve as usize) {
                Some(&place) if place != u32::MAX => {
                    PortAt::Valve { valve: place, a: to(a), stays: to(stays) }
                }
                _ => PortAt::Still,
            },
            PortAt::Still => PortAt::Still,
        };
        let port_cells: Vec<PortAt> = self.port_cells.iter().map(port).collect();
        let mut cores = vec![0; count];
        let mut serves = |port: &u32| match port_cells.get(*port as usize) {
            Some(PortAt::Core { cell }) => cores.get_mut(*cell as usize).is_some_and(|on| {
                *on += 1;
                *on <= 2
            }),
            Some(PortAt::Valve { .. }) => true,
            _ => false,
        };
        let useful = self.useful.iter().copied().filter(|port| serves(port)).collect();
        let mut component: Vec<u32> = self.component.iter().map(|&cell| to(cell)).collect();
        component.sort_unstable();
        component.dedup();
        Self {
            spaces: self.spaces.clone(),
            joints: self.joints.clone(),
            ports: self.ports.clone(),
            cell_of: self.cell_of.iter().map(|&cell| to(cell)).collect(),
            filling: self.filling.iter().map(|&(cell, room)| (to(cell), room)).collect(),
            places,
            ways,
            compressors: compressors.collect(),
            useful,
            component,
            layout: Layout::new(valves.len(), count, self.compressors.len()),
            cells,
            relief,
            valves,
            port_cells,
            ..*self
        }
    }
}

/// The bound for a plant of which some stems are turned for nothing.
struct Freed<'p> {
    plant: Plant,
    whole: &'p Planner<'p>,
    start: State,
    bounds: Option<bound::Bounds>,
    /// How often it was computed.
    count: usize,
}

impl Freed<'_> {
    /// What a plan that turns one of these stems costs at least.
    fn turning_one_of(&mut self, places: &[usize]) -> u64 {
        let Self { plant, whole, start, bounds, count } = self;
        *count += 1;
        let mut turns = u64::MAX;
        let mut costs = Vec::with_capacity(places.len());
        for &place in places {
            let Some(valve) = plant.valves.get_mut(place) else { continue };
            costs.push(valve.cost);
            turns = turns.min(valve.cost);
            valve.cost = 0;
        }
        let steps = match plant.goal {
            Goal::Ready => 1,
            Goal::Job => 2,
        };
        let bounds_of = bounds.take().unwrap_or_else(|| bound::Bounds::new(plant));
        let (weights, effort) = (whole.weights, whole.effort);
        let planner = Planner { plant, weights, effort, bounds: bounds_of, scratch: RefCell::default() };
        let rest = planner.bound(start);
        *bounds = Some(planner.bounds);
        for (&place, cost) in places.iter().zip(costs) {
            if let Some(valve) = plant.valves.get_mut(place) {
                valve.cost = cost;
            }
        }
        // Where there is no way even so, there is none.
        rest.map_or(INFINITE, |rest| rest.saturating_add(weights.price(steps * turns, 0)))
    }

    /// The least that a plan costs that turns one of these stems, and those of them whose own least is below `target`, as far as they are told
    /// apart: groups of them are halved, the cheapest first.
    fn beyond(&mut self, places: Vec<usize>, target: u64) -> (u64, Vec<usize>) {
        let most = self.count + BOUNDS;
        let mut groups = BinaryHeap::new();
        if !places.is_empty() {
            groups.push((Reverse(self.turning_one_of(&places)), places));
        }
        let (mut least, mut wanted) = (INFINITE, Vec::new());
        while let Some((Reverse(bound), mut group)) = groups.pop() {
            if bound >= target || (group.len() > 1 && self.count >= most) {
                least = least.min(bound);
                break;
            }
            if let [place] = *group.as_slice() {
                least = least.min(bound);
                wanted.push(place);
                if wanted.len() > MORE {
                    break;
                }
                continue;
            }
            let half = group.split_off(group.len() / 2);
            for part in [group, half] {
                // A part costs no less than the whole that it is of.
                groups.push((Reverse(self.turning_one_of(&part).max(bound)), part));
            }
        }
        (least, wanted)
    }
}

impl Planner<'_> {
    /// Finds a cheapest plan of those that turn only the stems that matter, expanding at most `limit` states each time that more stems are taken in,
    /// and says how far it may be from the cheapest of all. None where it is certain that there is no plan.
    ///
    /// ```
    /// # use stemwise_search::stems::*;
    /// # let space = SpaceSpec { content: Content::Pressure, liquid: 0, room: 0, vapour: 30, residual: 4, limit: 100_000, rank: 0, sink: false, relief: false };
    /// # let valve = |a, b| Joint::Valve { a, b, three: false, port_stays_with: b, position: Position::OpenOrBack, normal: Position::OpenOrBack, cost: 1, movable: true };
    /// # let machinery = Machinery { recovery: true, vacuum: true, cylinder_room: 1000, rigging: Rigging::Separate };
    /// # let cost = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
    /// # let plant = |ports| Plant::new(vec![space; 3], vec![valve(0, 1), valve(1, 2)], ports, machinery, cost, Goal::Job, &[0]);
    /// let with_a_port = plant(vec![PortOn::Core(0)])?;
    /// let found = Planner::new(&with_a_port, Weights::BALANCED, Effort::Full).plan_near(1_000);
    /// assert!(found.is_some_and(|found| found.proved()));
    /// let without = plant(vec![])?;
    /// assert_eq!(Planner::new(&without, Weights::BALANCED, Effort::Full).plan_near(1_000), None);
    /// # Ok::<(), PlantError>(())
    /// ```
    pub fn plan_near(&self, limit: u64) -> Option<Nearby> {
        let start = self.plant.start().ok()?;
        let root = self.bound(&start)?;
        let order = self.plant.by_distance();
        let mut still = vec![false; self.plant.valves.len()];
        for &place in order.iter().skip(FEW) {
            if let Some(slot) = still.get_mut(place) {
                *slot = true;
            }
        }
        let mut freed = Freed { plant: self.plant.clone(), whole: self, start, bounds: None, count: 0 };
        let mut found = Nearby { plan: None, at_least: root, statistics: Statistics::default() };
        let mut nearest = FEW;
        for round in 0..ROUNDS {
            let before = found.plan.as_ref().map(|(_, cost)| *cost);
            let limit = if round > 0 { limit / LESS } else { limit };
            let within = self.plan_without(&still, limit, &mut found);
            let cost = found.plan.as_ref().map(|(_, cost)| *cost);
            let others: Vec<usize> =
                order.iter().copied().filter(|&place| still.get(place).is_some_and(|still| *still)).collect();
            if found.proved() || others.is_empty() {
                found.at_least = found.at_least.max(within);
                break;
            }
            // Without a plan: what one of the cheapest cuts goes through.
            let (beyond, mut more) = freed.beyond(others, cost.unwrap_or(root + 1));
            found.at_least = found.at_least.max(within.min(beyond));
            if found.proved() || (before.is_some() && before == cost) {
                break;
            }
            if cost.is_none() || more.len() > MORE {
                nearest *= 2;
                more.truncate(MORE);
                more.extend(order.iter().take(nearest));
            }
            for place in more {
                if let Some(slot) = still.get_mut(place) {
                    *slot = false;
                }
            }
        }
        for few in FEWER {
            if found.plan.is_some() || found.at_least >= INFINITE {
                break;
            }
            let still: Vec<bool> =
                (0..still.len()).map(|place| !order.iter().take(few).any(|near| *near == place)).collect();
            let only = |place: usize| {
                self.plant.valves.get(place).is_some_and(|valve| valve.position == valve.normal)
            };
            let still: Vec<bool> =
                still.into_iter().enumerate().map(|(place, still)| still && only(place)).collect();
            self.plan_without(&still, limit, &mut found);
        }
        (found.plan.is_some() || found.at_least < INFINITE).then_some(found)
    }

    /// Finds some plan with the nearest stems: the bound is weighted, so that one is found soon, and the plan is freed from what it can do without.
    /// How far it may be off is not known.
    ///
    /// ```
    /// # use stemwise_search::stems::*;
    /// # let space = SpaceSpec { content: Content::Pressure, liquid: 0, room: 0, vapour: 30, residual: 4, limit: 100_000, rank: 0, sink: false, relief: false };
    /// # let valve = |a, b| Joint::Valve { a, b, three: false, port_stays_with: b, position: Position::OpenOrBack, normal: Position::OpenOrBack, cost: 1, movable: true };
    /// # let machinery = Machinery { recovery: true, vacuum: true, cylinder_room: 1000, rigging: Rigging::Separate };
    /// # let cost = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
    /// # let plant = Plant::new(vec![space; 3], vec![valve(0, 1), valve(1, 2)], vec![PortOn::Core(0)], machinery, cost, Goal::Job, &[0])?;
    /// let planner = Planner::new(&plant, Weights::BALANCED, Effort::Full);
    /// let best = planner.plan_near(1_000).and_then(|found| found.plan).map(|(_, cost)| cost);
    /// let hasty = planner.plan_hastily(2, 8, 1_000).map(|(_, cost)| cost);
    /// assert!(best.is_some() && hasty >= best);
    /// assert_eq!(planner.plan_hastily(2, 8, 1), None, "with one state it finds nothing");
    /// # Ok::<(), PlantError>(())
    /// ```
    pub fn plan_hastily(&self, stems: usize, weight: u64, limit: u64) -> Option<(Vec<Action>, u64)> {
        let few = self.plant.near(stems);
        let search = Planner::new(&few, self.weights, self.effort).plan_impatiently(weight, limit);
        let Outcome::Solved { plan, .. } = search.outcome else { return None };
        let plan: Vec<Action> = plan.into_iter().flatten().collect();
        few.shortened(self.weights, &plan)
    }

    /// Searches with some stems left alone; returns what a plan that leaves them alone costs at least.
    fn plan_without(&self, still: &[bool], limit: u64, found: &mut Nearby) -> u64 {
        let plant = self.plant.with_still(still);
        let search = Planner::new(&plant, self.weights, self.effort).plan(limit);
        found.statistics = found.statistics.and(search.statistics);
        match search.outcome {
            Outcome::Solved { plan, cost } => {
                if found.plan.as_ref().is_none_or(|(_, before)| cost < *before) {
                    found.plan = Some((plan, cost));
                }
                cost
            }
            Outcome::Unsolvable => INFINITE,
            Outcome::Limit { at_least } => at_least,
        }
    }
}
