//! Racks of any size: the search proves its plan with effort that belongs to the section worked on, not to the rack.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../examples/support/racks.rs"]
mod racks;

use racks::{Part, Rack};
use stemwise_search::stems::{Action, Effort, Planner, Weights};
use stemwise_search::{Model, Outcome, Search};

fn found(rack: &Rack, effort: Effort, limit: u64) -> Search<stemwise_search::stems::Steps> {
    Planner::new(&rack.plant().unwrap(), Weights::BALANCED, effort).plan(limit)
}

/// Cost and states expanded; the plan is replayed.
fn solved(rack: &Rack) -> (u64, u64) {
    let plant = rack.plant().unwrap();
    let search = found(rack, Effort::Full, 100_000);
    let Outcome::Solved { plan, cost } = search.outcome else { panic!("{rack:?} is not solved") };
    let actions: Vec<Action> = plan.into_iter().flatten().collect();
    let replay = plant.replay(&actions).unwrap();
    assert!(replay.goal, "{rack:?}");
    assert_eq!(cost, replay.grams + 20 * replay.moves, "{rack:?}");
    (cost, search.statistics.expanded)
}

#[test]
fn effort_does_not_grow_with_the_rack() {
    for part in [Part::Drier, Part::FirstEvaporator] {
        let small = solved(&Rack { branches: 10, compressors: 1, cores: true, part });
        for branches in [30, 60, 160] {
            let large = Rack { branches, compressors: 1, cores: true, part };
            assert_eq!(solved(&large), small, "{} valves", large.valves());
        }
    }
}

#[test]
fn states_expanded_are_pinned() {
    let at = |part, branches, compressors| solved(&Rack { branches, compressors, cores: true, part }).1;
    let small = [at(Part::Drier, 8, 1), at(Part::FirstEvaporator, 8, 1)];
    let large = [at(Part::Drier, 164, 3), at(Part::FirstEvaporator, 164, 3)];
    assert_eq!((small, large), ([9, 10], [13, 17]), "31 valves with one compressor, 503 with three");
}

#[test]
fn the_bound_never_exceeds_what_is_left_to_pay() {
    for part in [Part::Drier, Part::FirstEvaporator, Part::Compressor, Part::Condenser] {
        for (branches, cores) in [(1, true), (1, false)] {
            let rack = Rack { branches, compressors: 1, cores, part };
            let plant = rack.plant().unwrap();
            let planner = Planner::new(&plant, Weights::BALANCED, Effort::Full);
            let Outcome::Solved { plan, cost } = planner.plan(100_000).outcome else {
                panic!("{rack:?} is not solved");
            };
            let (mut state, mut left) = (plant.start().unwrap(), cost);
            for steps in plan {
                assert!(planner.bound(&state).is_some_and(|bound| bound <= left), "{rack:?}");
                let mut successors = Vec::new();
                planner.successors(&state, &mut successors);
                let (_, price, next) = successors.into_iter().find(|(taken, ..)| *taken == steps).unwrap();
                (state, left) = (next, left - price);
            }
            assert_eq!(left, 0);
        }
    }
}

/// The cost of a plan with the stems that matter, replayed on the whole rack and proved the cheapest, with the states that it took.
fn near(part: Part, branches: u32) -> (u64, u64) {
    let plant = Rack { branches, compressors: 1, cores: true, part }.plant().unwrap();
    let found = Planner::new(&plant, Weights::BALANCED, Effort::Full).plan_near(2_000).unwrap();
    assert!(found.proved(), "{part:?}: {} at least", found.at_least);
    let (plan, cost) = found.plan.unwrap();
    let actions: Vec<Action> = plan.into_iter().flatten().collect();
    let replay = plant.replay(&actions).unwrap();
    assert!(replay.goal);
    assert_eq!(cost, replay.grams + 20 * replay.moves);
    (cost, found.statistics.expanded)
}

/// The costs of a compressor and a condenser at one branch are those that the search proved before recovery was priced, by a million states and
/// more.
#[test]
fn every_part_has_a_proved_plan_at_any_size() {
    for (part, one_branch, more) in [
        (Part::Drier, (204, 9), (204, 9)),
        (Part::FirstEvaporator, (200, 6), (256, 22)),
        (Part::Condenser, (644, 433), (672, 57)),
        (Part::Compressor, (454, 368), (482, 308)),
    ] {
        assert_eq!(near(part, 1), one_branch, "{part:?}");
        for branches in [8, 60, 160, 331] {
            let (cost, states) = near(part, branches);
            assert_eq!(cost, more.0, "{part:?} {branches}");
            assert!(states.abs_diff(more.1) <= 2, "{part:?} {branches}: {states}");
        }
    }
    for part in [Part::LiquidHeader, Part::SuctionLine] {
        let costs = [8, 60, 160, 331].map(|branches| near(part, branches).0);
        assert_eq!(costs, [348, 1388, 3388, 6808], "{part:?}: each branch has its valve to shut and to open");
    }
}

/// A receiver is emptied into the condenser, as far as that has room, and what is left is recovered. From eight branches on there is more liquid than
/// everything else can hold, and the bound says how much.
#[test]
fn a_receiver_has_a_plan_with_a_gap_that_is_told() {
    for (branches, cost, least) in [
        (1, 690, 300),
        (2, 780, 300),
        (4, 960, 300),
        (8, 11_770, 3_800),
        (20, 25_486, 17_500),
        (60, 71_206, 63_200),
        (331, 380_959, 373_000),
    ] {
        let rack = Rack { branches, compressors: 1, cores: true, part: Part::Receiver };
        let plant = rack.plant().unwrap();
        let planner = Planner::new(&plant, Weights::BALANCED, Effort::Full);
        let found = planner.plan_near(2_000).unwrap();
        let (plan, price) = found.plan.unwrap();
        let plan: Vec<Action> = plan.into_iter().flatten().collect();
        let replay = plant.replay(&plan).unwrap();
        assert!(replay.goal, "{rack:?}");
        assert_eq!((price, replay.grams + 20 * replay.moves), (cost, cost), "{rack:?}");
        assert!((least..=cost).contains(&found.at_least), "{rack:?}: {}", found.at_least);
    }
}

/// With the stems that matter the plan is the one that the whole search finds.
#[test]
fn the_stems_that_matter_suffice() {
    for part in [Part::Drier, Part::FirstEvaporator, Part::Condenser, Part::Compressor] {
        for cores in [true, false] {
            for (branches, compressors) in [(1, 1), (2, 1), (1, 2)] {
                let rack = Rack { branches, compressors, cores, part };
                let plant = rack.plant().unwrap();
                let planner = Planner::new(&plant, Weights::BALANCED, Effort::Full);
                let found = planner.plan_near(1_000).unwrap();
                let whole = planner.plan(3_000);
                match whole.outcome {
                    Outcome::Solved { cost, .. } => {
                        assert!(found.at_least <= cost, "{rack:?}");
                        assert!(found.plan.is_none_or(|(_, near)| near >= cost), "{rack:?}");
                    }
                    Outcome::Limit { at_least } if found.proved() => assert!(at_least <= found.at_least),
                    _ => {}
                }
            }
        }
    }
}

#[test]
fn the_full_search_equals_the_plain_one() {
    for part in [Part::Drier, Part::FirstEvaporator] {
        let rack = Rack { branches: 1, compressors: 1, cores: true, part };
        let cost = |effort| match found(&rack, effort, 2_000_000).outcome {
            Outcome::Solved { cost, .. } => Some(cost),
            _ => None,
        };
        assert_eq!(cost(Effort::Full), cost(Effort::Plain), "{part:?}");
    }
}
