//! Random small plants: what the bound says is checked against a search that has no bound but the count of what is out of place.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_search::stems::{
    Action, Content, Cost, Effort, Goal, Joint, Machinery, Planner, Plant, PortOn, Position, Rigging,
    SpaceSpec, Weights,
};
use stemwise_search::{Model, Outcome};

/// So many states a search without the bound may expand; problems that take more are left out.
const PLAIN: u64 = 12_000;

/// Numbers that look random (G. Marsaglia, "Xorshift RNGs", J. Stat. Softw. 8 (2003)).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % most
    }
    fn one_in(&mut self, many: u64) -> bool {
        self.below(many) == 0
    }
    fn space_of(&mut self, count: u32) -> u32 {
        u32::try_from(self.below(u64::from(count))).unwrap()
    }
}

fn space(numbers: &mut Numbers) -> SpaceSpec {
    let litres = 1 + numbers.below(5);
    let sink = numbers.one_in(3);
    SpaceSpec {
        content: if numbers.one_in(8) { Content::Residual } else { Content::Pressure },
        liquid: 0,
        room: 1170 * litres,
        vapour: 30 * litres,
        residual: 4 * litres,
        limit: 85 * 1200 * litres,
        rank: i64::try_from(numbers.below(5)).unwrap(),
        sink,
        relief: numbers.one_in(6),
    }
}

/// A plant of few spaces in a ring with more joints across, one compressor or none, ports on service valves and spaces.
fn plant(numbers: &mut Numbers, full: bool) -> Option<Plant> {
    let count = 4 + u32::try_from(numbers.below(4)).unwrap();
    let mut spaces: Vec<SpaceSpec> = (0..count).map(|_| space(numbers)).collect();
    // Liquid where there is room for it at the start.
    let at = numbers.space_of(count) as usize;
    let filled = &mut spaces[at];
    if filled.content == Content::Pressure {
        filled.liquid = filled.room * numbers.below(6) / 10;
    }
    if full {
        // More liquid than what is left when a vessel is opened can hold, more often than not.
        for space in &mut spaces {
            space.content = Content::Pressure;
            space.relief = false;
            space.liquid = space.room * (3 + numbers.below(5)) / 10;
        }
        let vessel = &mut spaces[at];
        (vessel.room, vessel.limit) = (3 * vessel.room, 3 * vessel.limit);
    }
    let mut joints = Vec::new();
    let mut ports = Vec::new();
    let across = numbers.below(3);
    for step in 0..count + u32::try_from(across).unwrap() {
        let (a, b) = if step < count {
            (step, (step + 1) % count)
        } else {
            (numbers.space_of(count), numbers.space_of(count))
        };
        if a == b {
            continue;
        }
        let (a, b) = if numbers.one_in(2) { (a, b) } else { (b, a) };
        let three = numbers.one_in(3);
        joints.push(match numbers.below(9) {
            0 if step > 0 => Joint::Check { from: a, to: b },
            1 => Joint::Pipe { a, b },
            2 if step > 1 => continue,
            _ => {
                if three && numbers.below(4) > 0 {
                    ports.push(PortOn::Valve(u32::try_from(joints.len()).unwrap()));
                }
                Joint::Valve {
                    a,
                    b,
                    three,
                    port_stays_with: if numbers.one_in(3) { a } else { b },
                    position: if numbers.one_in(8) { Position::ShutOrFront } else { Position::OpenOrBack },
                    normal: Position::OpenOrBack,
                    cost: 1,
                    movable: !numbers.one_in(9),
                }
            }
        });
    }
    if full || numbers.below(3) > 0 {
        let (from, to) = (numbers.space_of(count), numbers.space_of(count));
        if from != to {
            let running = numbers.one_in(2);
            joints.push(Joint::Compressor {
                from,
                to,
                running,
                normal: running,
                startable: true,
                leaks: numbers.one_in(5),
            });
        }
    }
    for _ in 0..numbers.below(3) {
        ports.push(PortOn::Core(numbers.space_of(count)));
    }
    let machinery = Machinery {
        recovery: !numbers.one_in(6),
        vacuum: true,
        cylinder_room: if numbers.one_in(5) { 300 } else { 1_000_000 },
        rigging: if numbers.one_in(2) { Rigging::Manifold } else { Rigging::Separate },
    };
    let one = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
    let goal = if numbers.one_in(6) { Goal::Ready } else { Goal::Job };
    let mut component = vec![if full { u32::try_from(at).unwrap() } else { numbers.space_of(count) }];
    if numbers.one_in(if full { 8 } else { 3 }) {
        component.push(numbers.space_of(count));
    }
    Plant::new(spaces, joints, ports, machinery, one, goal, &component).ok()
}

/// On every state of a cheapest way the bound is no more than what is left; the plan with the stems that matter is no cheaper than the optimum, and
/// says truly how far it may be off.
fn check(seed: u64, weights: Weights, full: bool) -> Option<bool> {
    let mut numbers = Numbers(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..8 {
        numbers.below(2);
    }
    let plant = plant(&mut numbers, full)?;

    let mut state = plant.start().ok()?;
    let plain = Planner::new(&plant, weights, Effort::Plain);
    let full = Planner::new(&plant, weights, Effort::Full);
    let (plan, cost) = match plain.plan(PLAIN).outcome {
        Outcome::Limit { .. } => return None,
        Outcome::Unsolvable => {
            assert_eq!(full.plan(PLAIN).outcome, Outcome::Unsolvable, "{seed}: {plant:?}");
            assert!(full.plan_near(PLAIN).is_none_or(|found| found.plan.is_none()), "{seed}: {plant:?}");
            return Some(false);
        }
        Outcome::Solved { plan, cost } => (plan, cost),
    };
    let mut left = cost;
    for steps in plan {
        let bound = full.bound(&state);
        assert!(
            bound.is_some_and(|bound| bound <= left),
            "{seed}: {bound:?} of {left}, {state:?}\n{plant:?}"
        );
        let mut successors = Vec::new();
        plain.successors(&state, &mut successors);
        let (_, price, next) = successors.into_iter().find(|(taken, ..)| *taken == steps).unwrap();
        (state, left) = (next, left - price);
    }
    for limit in [2, 30, PLAIN] {
        let found = full.plan_near(limit).unwrap();
        assert!(found.at_least <= cost, "{seed} {limit}: {} of {cost}\n{plant:?}", found.at_least);
        if let Some((plan, near)) = found.plan {
            assert!(near >= cost, "{seed}");
            let actions: Vec<Action> = plan.into_iter().flatten().collect();
            assert!(plant.replay(&actions).unwrap().goal, "{seed}");
        }
    }
    match full.plan(PLAIN).outcome {
        Outcome::Solved { cost: found, .. } => assert_eq!(found, cost, "{seed}"),
        other => assert!(matches!(other, Outcome::Limit { .. }), "{seed}: {other:?}"),
    }
    Some(true)
}

/// Those that once had a bound above the optimum are among them.
fn check_all(seeds: impl Iterator<Item = u64>, weights: Weights, full: bool) {
    let found: Vec<bool> = seeds.filter_map(|seed| check(seed, weights, full)).collect();
    let solved = found.iter().filter(|solved| **solved).count();
    assert!(solved > 40 && found.len() > solved, "{} {solved}", found.len());
}

#[test]
fn the_bound_is_never_more_than_the_optimum() {
    check_all((1..300).chain([2689]), Weights::BALANCED, false);
}

#[test]
fn the_bound_in_moves_is_never_more_than_the_optimum() {
    check_all((1000..1300).chain([11646]), Weights::MOVES, false);
}

/// Plants with much liquid, of which a vessel is opened: what has to be recovered is in the bound.
#[test]
fn the_bound_for_liquid_is_never_more_than_the_optimum() {
    check_all(5000..5400, Weights::BALANCED, true);
}
