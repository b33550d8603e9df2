//! Scenes of the example circuits and of random ones: nothing overlaps, little crosses, little moves.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use stemwise_circuit::{Lineup, Position, Sections, examples};
use stemwise_drawing::{Options, Point, Scene, Sheet, Symbol, Thing};
use support::{circuit, drawn, example, rigged, sound};

/// Elements, width, crossings, and how many places the search for ways may look at, of every example on both sheets.
const COSTS: [(&str, Sheet, usize, f64, usize, usize); 12] = [
    ("walk-in-cooler", Sheet::Wide, 19, 900.0, 0, 2_000),
    ("walk-in-cooler", Sheet::Tall, 19, 362.0, 0, 3_000),
    ("split-air-conditioner", Sheet::Wide, 9, 620.0, 0, 4_000),
    ("split-air-conditioner", Sheet::Tall, 9, 362.0, 0, 6_000),
    ("sealed-freezer", Sheet::Wide, 5, 480.0, 0, 2_000),
    ("sealed-freezer", Sheet::Tall, 5, 362.0, 0, 2_000),
    ("heat-pump", Sheet::Wide, 18, 1_050.0, 0, 10_000),
    ("heat-pump", Sheet::Tall, 18, 412.0, 3, 20_000),
    ("two-temperature", Sheet::Wide, 22, 1_200.0, 0, 5_000),
    ("two-temperature", Sheet::Tall, 22, 362.0, 1, 20_000),
    ("rack", Sheet::Wide, 77, 1_800.0, 0, 10_000),
    ("rack", Sheet::Tall, 77, 412.0, 7, 80_000),
];

#[test]
fn the_examples_are_drawn_without_overlaps_and_at_a_known_cost() {
    for (name, sheet, elements, width, crossings, looked_at) in COSTS {
        let scene = drawn(&circuit(example(name)), sheet);
        sound(&scene, &format!("{name} {sheet:?}"));
        assert_eq!(scene.elements.len(), elements, "{name} {sheet:?}");
        assert!(scene.view.width <= width, "{name} {sheet:?} is {} wide", scene.view.width);
        assert!(scene.crossings.len() <= crossings, "{name} {sheet:?}: {} crossings", scene.crossings.len());
        assert!(scene.looked_at <= looked_at, "{name} {sheet:?} looked at {}", scene.looked_at);
    }
    assert_eq!(COSTS.len(), 2 * examples().len());
}

#[test]
fn a_rig_goes_below_and_moves_nothing_else() {
    for example in examples() {
        let circuit = circuit(example.text);
        for sheet in [Sheet::Wide, Sheet::Tall] {
            let (bare, with_rig) = (drawn(&circuit, sheet), rigged(&circuit, sheet));
            sound(&with_rig, &format!("{} {sheet:?} with a rig", example.name));
            // Where a circuit has no port, the accesses under the hoses are new themselves.
            for element in bare.elements.iter().filter(|_| !circuit.graph.ports.is_empty()) {
                assert_eq!(
                    with_rig.element(&element.id).unwrap().at,
                    element.at,
                    "{} {}",
                    example.name,
                    element.id
                );
            }
            let gauges = with_rig.elements.iter().filter(|element| element.symbol == Symbol::Gauge).count();
            assert_eq!(gauges, 2, "{}", example.name);
            assert!(with_rig.element("recovery-machine").is_some() && with_rig.element("nitrogen").is_some());
        }
    }
}

#[test]
fn everything_in_a_circuit_is_drawn_once() {
    for example in examples() {
        let circuit = circuit(example.text);
        let scene = drawn(&circuit, Sheet::Wide);
        for (id, joint) in circuit.graph.joints_with_ids() {
            let shown = scene.elements.iter().filter(|element| element.joints.contains(&id)).count();
            let pipe = matches!(joint.kind, stemwise_circuit::JointKind::Pipe);
            assert!(shown == 1 || (pipe && shown == 0), "{} {}: {shown} times", example.name, joint.id);
        }
        for (id, port) in circuit.graph.ports_with_ids() {
            assert!(scene.element_of(Thing::Port(id)).is_some(), "{} {}", example.name, port.id);
        }
        for (id, space) in circuit.graph.spaces_with_ids() {
            let shown = scene.elements.iter().any(|element| element.spaces.contains(&id))
                || scene.pipes.iter().any(|pipe| pipe.space == id);
            assert!(
                shown || space.kind == stemwise_circuit::SpaceKind::Atmosphere,
                "{} {}",
                example.name,
                space.id
            );
        }
    }
}

#[test]
fn the_circuit_is_read_clockwise_from_the_compressor() {
    let scene = drawn(&circuit(example("walk-in-cooler")), Sheet::Wide);
    let walk = [
        "compressor",
        "discharge-valve",
        "condenser",
        "queen",
        "receiver",
        "king",
        "drier",
        "sight-glass",
        "drier-valve",
        "solenoid",
        "expansion-valve",
        "evaporator",
        "suction-valve",
    ];
    let read: Vec<&str> = scene
        .elements
        .iter()
        .filter(|element| element.on.is_none())
        .map(|element| element.id.as_str())
        .collect();
    assert_eq!(read, walk);
    // Clockwise: twice the area that the walk encloses is positive where y grows downwards.
    let at: Vec<Point> = walk.iter().map(|id| scene.element(id).unwrap().at).collect();
    let area: f64 =
        (0..at.len()).map(|i| (at[i], at[(i + 1) % at.len()])).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
    assert!(area > 0.0, "{area}");
    // High side above, low side below.
    let y = |id: &str| scene.element(id).unwrap().at.y;
    assert!(y("condenser") < y("evaporator") && y("receiver") < y("compressor"));
}

/// Where everything is, by id.
fn places(scene: &Scene) -> BTreeMap<String, Point> {
    scene.elements.iter().map(|element| (element.id.clone(), element.at)).collect()
}

/// How many of the things in both are elsewhere now, and how many there are.
fn moved(before: &Scene, after: &Scene) -> (usize, usize) {
    let (before, after) = (places(before), places(after));
    let both = before.iter().filter_map(|(id, at)| after.get(id).map(|now| (at, now)));
    let moves: Vec<bool> = both.map(|(at, now)| (at.x - now.x).abs() + (at.y - now.y).abs() > 0.1).collect();
    (moves.iter().filter(|moved| **moved).count(), moves.len())
}

#[test]
fn one_thing_more_moves_only_what_comes_after_it_in_its_row() {
    let text = example("walk-in-cooler");
    let more = text
        .replace("[part.sight-glass]", "[part.second-drier]\nkind = \"drier\"\nplace = \"plant-room\"\nvolume = \"0.2 L\"\n\n[part.sight-glass]")
        .replace("\"drier\", \"sight-glass\"", "\"drier\", \"second-drier\", \"sight-glass\"");
    for sheet in [Sheet::Wide, Sheet::Tall] {
        let (moves, all) = moved(&drawn(&circuit(text), sheet), &drawn(&circuit(&more), sheet));
        assert_eq!(all, 19);
        assert!(moves <= 6, "{sheet:?}: {moves} of {all} moved");
    }
    let port = format!("{text}\n[port.more]\non = \"receiver\"\n");
    let (moves, all) = moved(&drawn(&circuit(text), Sheet::Wide), &drawn(&circuit(&port), Sheet::Wide));
    assert!(moves < all, "{moves} of {all} moved");
    let renamed = text.replace("name = \"filter drier\"", "name = \"drier no. 1\"");
    let (moves, _) = moved(&drawn(&circuit(text), Sheet::Wide), &drawn(&circuit(&renamed), Sheet::Wide));
    assert!(moves <= 6, "a new name moves {moves}");
}

#[test]
fn what_is_joined_lights_up() {
    let circuit = circuit(example("walk-in-cooler"));
    let scene = drawn(&circuit, Sheet::Wide);
    let mut lineup = Lineup::normal(&circuit.graph);
    let king = circuit.graph.find_joint("king").unwrap();
    let lit = |lineup: &Lineup| {
        let sections = Sections::new(&circuit.graph, lineup);
        let of = sections.of(circuit.graph.find_space("drier").unwrap()).unwrap();
        let lit = scene.lit(sections.members(of));
        let names: Vec<String> = lit.elements.iter().map(|at| scene.elements[*at].id.clone()).collect();
        assert!(!lit.pipes.is_empty());
        names
    };
    assert!(lit(&lineup).iter().any(|id| id == "receiver"));
    lineup.set(&circuit.graph, king, Position::FrontSeated);
    let shut = lit(&lineup);
    assert!(!shut.iter().any(|id| id == "receiver") && shut.iter().any(|id| id == "king"), "{shut:?}");
    assert_eq!(scene.touched(scene.element("king").unwrap().at).unwrap().id, "king");
}

#[test]
fn a_focus_shows_a_section_and_where_it_goes_on() {
    for name in ["walk-in-cooler", "rack", "heat-pump", "two-temperature"] {
        let circuit = circuit(example(name));
        for (id, space) in circuit.graph.spaces_with_ids() {
            if space.kind == stemwise_circuit::SpaceKind::Atmosphere {
                continue;
            }
            for sheet in [Sheet::Wide, Sheet::Tall] {
                let scene = Scene::of_circuit(
                    &circuit,
                    &Options { sheet, focus: Some(vec![id]), ..Options::default() },
                );
                let found = support::faults(&scene);
                assert!(found.is_empty() && scene.unrouted == 0, "{name} {} {sheet:?}: {found:?}", space.id);
                let pipe = scene.pipes.iter().any(|pipe| pipe.space == id);
                assert!(
                    pipe || scene.elements.iter().any(|element| element.spaces.contains(&id)),
                    "{name} {}",
                    space.id
                );
                assert!(scene.elements.len() < 40);
            }
        }
    }
    let circuit = circuit(example("walk-in-cooler"));
    let drier = circuit.graph.find_space("drier").unwrap();
    let scene = Scene::of_circuit(&circuit, &Options { focus: Some(vec![drier]), ..Options::default() });
    let ids: Vec<&str> = scene.elements.iter().map(|element| element.id.as_str()).collect();
    assert!(
        ids.contains(&"drier") && ids.contains(&"drier-port") && ids.contains(&"on-to-liquid-line"),
        "{ids:?}"
    );
}

/// A circuit with so many compressors and branches, and what each bit of the seed adds.
fn made_up(compressors: u32, branches: u32, seed: u32) -> String {
    let has = |bit: u32| seed >> bit & 1 == 1;
    let mut text =
        String::from("schema = 1\nname = \"made up\"\nrefrigerant = \"R-134a\"\ncapacity = \"20 kW\"\n");
    text.push_str("[place.a]\n[place.b]\n[place.c]\n");
    let mut walks = Vec::new();
    let part = |text: &mut String, id: &str, kind: &str, place: &str| {
        let _ = write!(text, "[part.{id}]\nkind = \"{kind}\"\nplace = \"{place}\"\nvolume = \"2 L\"\n");
    };
    let line = |text: &mut String, id: &str, kind: &str, place: &str| {
        let _ = write!(text, "[line.{id}]\nkind = \"{kind}\"\nplace = \"{place}\"\nvolume = \"0.4 L\"\n");
    };
    let valve = |text: &mut String, id: &str, kind: &str| {
        let _ = write!(text, "[valve.{id}]\nkind = \"{kind}\"\n");
    };
    line(&mut text, "hot", "discharge", "a");
    line(&mut text, "cold", "suction", "a");
    line(&mut text, "feed", "liquid", "a");
    part(&mut text, "condenser", "condenser", if has(0) { "b" } else { "a" });
    let mut high = vec!["hot".to_owned()];
    if has(1) {
        part(&mut text, "separator", "oil-separator", "a");
        high.push("separator".into());
    }
    high.push("condenser".into());
    if has(2) {
        part(&mut text, "receiver", "receiver", "a");
        valve(&mut text, "king", "service-valve");
        high.extend(["receiver".to_owned(), "king".into()]);
        text.push_str("[valve.relief]\nkind = \"relief-valve\"\non = \"receiver\"\nsetting = \"20 bar\"\n");
    }
    if has(3) {
        part(&mut text, "drier", "drier", "a");
        line(&mut text, "pipe", "liquid", "a");
        text.push_str("[port.drier-port]\non = \"drier\"\n");
        high.extend(["pipe".to_owned(), "drier".into()]);
    }
    high.push("feed".into());
    walks.push(high);
    for n in 1..=compressors {
        part(&mut text, &format!("compressor-{n}"), "compressor", "a");
        let mut walk = vec!["cold".to_owned()];
        if has(4) {
            valve(&mut text, &format!("suction-valve-{n}"), "service-valve");
            walk.push(format!("suction-valve-{n}"));
        }
        walk.push(format!("compressor-{n}"));
        if has(5) {
            valve(&mut text, &format!("discharge-valve-{n}"), "service-valve");
            walk.push(format!("discharge-valve-{n}"));
        }
        walk.push("hot".into());
        walks.push(walk);
    }
    for n in 1..=branches {
        let place = if n % 2 == 0 { "b" } else { "c" };
        part(&mut text, &format!("evaporator-{n}"), "evaporator", place);
        let mut walk = vec!["feed".to_owned()];
        if has(6) {
            valve(&mut text, &format!("solenoid-{n}"), "solenoid-valve");
            walk.push(format!("solenoid-{n}"));
        }
        valve(&mut text, &format!("metering-{n}"), if has(7) { "thermostatic-valve" } else { "capillary" });
        walk.extend([format!("metering-{n}"), format!("evaporator-{n}")]);
        if has(8) {
            line(&mut text, &format!("return-{n}"), "suction", place);
            let _ = write!(text, "[port.return-{n}-port]\non = \"return-{n}\"\n");
            walk.push(format!("return-{n}"));
        }
        if has(9) {
            valve(&mut text, &format!("check-{n}"), "check-valve");
            walk.push(format!("check-{n}"));
        }
        walk.push("cold".into());
        walks.push(walk);
    }
    if has(10) {
        text.push_str("[valve.bypass]\nkind = \"hand-valve\"\nnormal = \"shut\"\n");
        walks.push(vec!["hot".into(), "bypass".into(), "cold".into()]);
    }
    if has(11) {
        text.push_str("[port.hot-port]\non = \"hot\"\n[port.tap]\non = \"feed\"\nfitted = \"piercing\"\n");
    }
    for walk in walks {
        let _ = writeln!(text, "[[walk]]\nalong = {walk:?}");
    }
    text
}

#[test]
fn made_up_circuits_are_drawn_without_overlaps() {
    let mut drawn_ones = 0;
    let mut seed = 7u32;
    for round in 0..60 {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let text = made_up(1 + round % 3, 1 + (seed >> 29) % 4, seed >> 8);
        let circuit = circuit(&text);
        for sheet in [Sheet::Wide, Sheet::Tall] {
            let scene = drawn(&circuit, sheet);
            sound(&scene, &format!("round {round} {sheet:?}\n{text}"));
            drawn_ones += 1;
        }
    }
    assert_eq!(drawn_ones, 120);
}
