//! Cutaways say what the graph says: what is joined at each position, and that shut passages are apart in the drawing too.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::collections::{BTreeMap, BTreeSet};

use stemwise_circuit::{
    Assembly, Attached, JointKind, Lineup, PortOn, Position, Rig, Sections, examples, passage, port_reach,
};
use stemwise_drawing::{
    Cutaway, Fill, Fixture, Opening, Point, cutaway, cutaway_at, cutaway_svg, position_at, turns_at,
};
use support::circuit;

fn joined(cutaway: &Cutaway, one: Opening, other: Opening) -> bool {
    cutaway.joined.iter().any(|group| group.contains(&one) && group.contains(&other))
}

/// Every valve of every example, in every position, against what the graph joins.
#[test]
fn cutaways_join_what_the_graph_joins() {
    let mut checked = BTreeSet::new();
    for example in examples() {
        let assembly = Assembly::new(circuit(example.text), Rig::usual());
        let graph = &assembly.graph;
        for (id, joint) in graph.joints_with_ids() {
            let Some(fixture) = Fixture::of_joint(joint).filter(|fixture| fixture.has_stem()) else {
                continue;
            };
            let all = joint.stem.as_ref().unwrap().turns.value;
            for &position in joint.positions() {
                let mut lineup = Lineup::normal(graph);
                lineup.set(graph, id, position);
                let cut = cutaway_at(fixture, turns_at(position, all), all);
                let open = passage(joint, id, &lineup).joins();
                assert_eq!(joined(&cut, Opening::Line, Opening::Body), open, "{} {position:?}", joint.id);
                check_port(&assembly, id, &mut lineup, &cut);
                checked.insert(format!("{fixture:?} {position:?}"));
            }
        }
    }
    assert!(checked.len() >= 4 + 4 + 2 + 2 + 2 + 2, "{checked:?}");
}

/// The port of a service valve, with a hose on it: joined to the body, the line, or neither.
fn check_port(assembly: &Assembly, id: stemwise_circuit::JointId, lineup: &mut Lineup, cut: &Cutaway) {
    let graph = &assembly.graph;
    let joint = graph.joint(id).unwrap();
    let JointKind::ServiceValve { .. } = joint.kind else { return };
    let port = graph.ports_with_ids().find(|(_, port)| port.on == PortOn::ServiceValve(id));
    let Some((port, _)) = port else { return };
    lineup.attached = vec![Attached { hose: assembly.rigged.low_hose, port }];
    let reach = port_reach(graph, port, lineup).unwrap();
    let sections = Sections::new(graph, lineup);
    for (opening, space) in [(Opening::Body, joint.b), (Opening::Line, joint.a)] {
        let reads = reach.space.is_some_and(|found| {
            found == space || (sections.joined(found, space) && passage(joint, id, lineup).joins())
        });
        assert_eq!(
            joined(cut, Opening::Port, opening),
            reads,
            "{} {opening:?} {:?}",
            joint.id,
            lineup.position(id)
        );
    }
}

/// Whether two outlines touch: a stretch of one lies along a stretch of the other, or a corner inside the other.
fn touch(one: &[Point], other: &[Point]) -> bool {
    let edges = |outline: &[Point]| -> Vec<(Point, Point)> {
        (0..outline.len()).map(|at| (outline[at], outline[(at + 1) % outline.len()])).collect()
    };
    let near = |at: Point, (a, b): (Point, Point)| {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let long = dx * dx + dy * dy;
        let t =
            if long > 0.0 { (((at.x - a.x) * dx + (at.y - a.y) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
        let (x, y) = (a.x + t * dx - at.x, a.y + t * dy - at.y);
        x * x + y * y < 4.0
    };
    let meets = |one: &[Point], other: &[Point]| {
        one.iter().any(|at| edges(other).iter().any(|edge| near(*at, *edge)) || inside(*at, other))
    };
    meets(one, other) || meets(other, one)
}

fn inside(at: Point, outline: &[Point]) -> bool {
    let mut inside = false;
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
    }
    inside
}

#[test]
fn passages_touch_where_they_are_joined_and_only_there() {
    let (mut apart, mut together) = (0, 0);
    for fixture in Fixture::ALL {
        for travel in [0.0, 1.0 / 64.0, 0.25, 0.5, 0.9, 1.0] {
            let cut = cutaway(fixture, travel);
            let openings: BTreeSet<Opening> = cut.passages.iter().map(|passage| passage.opening).collect();
            for &one in &openings {
                for &other in openings.iter().filter(|other| **other > one) {
                    let of = |wanted: Opening| {
                        cut.passages.iter().filter(move |passage| passage.opening == wanted)
                    };
                    let touches = of(one).any(|a| of(other).any(|b| touch(&a.outline, &b.outline)));
                    let linked = joined(&cut, one, other);
                    if !linked {
                        assert!(
                            !touches,
                            "{fixture:?} at {travel}: {one:?} and {other:?} are shut off from each other, and touch"
                        );
                        apart += 1;
                    }
                    together += usize::from(linked && touches);
                }
            }
            let named: BTreeSet<Opening> = cut.joined.iter().flatten().copied().collect();
            assert!(openings.is_subset(&named), "{fixture:?} at {travel}: {openings:?} {named:?}");
        }
    }
    assert!(apart > 20 && together > 20, "{apart} {together}");
}

#[test]
fn a_stem_moves_what_it_turns_by_every_turn() {
    for fixture in Fixture::ALL.into_iter().filter(|fixture| fixture.has_stem()) {
        let mut last: Option<Vec<_>> = None;
        for step in 0..=64 {
            let cut = cutaway_at(fixture, 8.0 * f64::from(step) / 64.0, 8.0);
            assert!(last.as_ref() != Some(&cut.pieces), "{fixture:?} stands still at step {step}");
            last = Some(cut.pieces);
        }
        let again = cutaway_at(fixture, 8.0, 8.0);
        assert_eq!(Some(again.pieces), last);
        assert!(again.handle.is_some());
    }
}

#[test]
fn positions_are_ranges_of_travel() {
    for all in [0.25, 2.0, 6.0, 8.0, 12.0] {
        for position in [Position::BackSeated, Position::Cracked, Position::MidSeated, Position::FrontSeated]
        {
            if all > 1.0 {
                assert_eq!(position_at(turns_at(position, all), all, true), position, "{all} turns");
            }
        }
        for position in [Position::Open, Position::Shut] {
            assert_eq!(position_at(turns_at(position, all), all, false), position, "{all} turns");
        }
    }
    let mut order: Vec<Position> =
        (0..=800).map(|step| position_at(f64::from(step) / 100.0, 8.0, true)).collect();
    order.dedup();
    assert_eq!(order, [Position::BackSeated, Position::Cracked, Position::MidSeated, Position::FrontSeated]);
}

#[test]
fn a_cutaway_file_says_in_words_what_its_patterns_say() {
    let holds = BTreeMap::from([
        (Opening::Line, Fill::Liquid),
        (Opening::Body, Fill::Vapour),
        (Opening::Port, Fill::Air),
    ]);
    for fixture in Fixture::ALL {
        let file = cutaway_svg(&cutaway(fixture, 1.0), &holds);
        let document = roxmltree::Document::parse(&file).unwrap();
        let desc = document.descendants().find(|node| node.has_tag_name("desc")).unwrap().text().unwrap();
        assert!(desc.contains("liquid") && (desc.contains("joined") || desc.contains("by itself")), "{desc}");
        let texts: Vec<&str> = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter_map(|node| node.text())
            .collect();
        assert!(texts.contains(&"liquid"), "{fixture:?} {texts:?}");
    }
}
