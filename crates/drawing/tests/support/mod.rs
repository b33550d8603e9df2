//! What every scene must satisfy, and the example circuits.
#![allow(dead_code, unreachable_pub, reason = "each test uses its part")]

use std::collections::BTreeSet;

use stemwise_circuit::{Assembly, Attached, Circuit, Lineup, Rig, examples, read};
use stemwise_drawing::{Element, Options, Pipe, Point, Rect, RigShown, Scene, Sheet};

pub fn circuit(text: &str) -> Circuit {
    let reading = read(text.as_bytes());
    reading.circuit.unwrap_or_else(|| panic!("{:?}\n{text}", reading.problems))
}

pub fn example(name: &str) -> &'static str {
    examples().iter().find(|example| example.name == name).unwrap().text
}

pub fn drawn(circuit: &Circuit, sheet: Sheet) -> Scene {
    Scene::of_circuit(circuit, &Options { sheet, ..Options::default() })
}

/// With the whole rig, the manifold's hoses on the first two ports.
pub fn rigged(circuit: &Circuit, sheet: Sheet) -> Scene {
    let assembly = Assembly::new(circuit.clone(), Rig::usual());
    let mut lineup = Lineup::normal(&assembly.graph);
    let hoses = [assembly.rigged.low_hose, assembly.rigged.high_hose];
    let ports = assembly.graph.ports_with_ids().map(|(port, _)| port);
    lineup.attached = hoses.into_iter().zip(ports).map(|(hose, port)| Attached { hose, port }).collect();
    Scene::of_assembly(&assembly, &lineup, &Options { sheet, rig: RigShown::All, focus: None })
}

fn stretches(pipe: &Pipe) -> impl Iterator<Item = (Point, Point)> {
    pipe.runs.iter().flat_map(|run| run.windows(2).map(|pair| (pair[0], pair[1])))
}

/// What is wrong with a scene: overlaps, pipes through what they don't belong to, pipes along each other, names used twice.
pub fn faults(scene: &Scene) -> Vec<String> {
    let mut faults = Vec::new();
    element_faults(scene, &mut faults);
    label_faults(scene, &mut faults);
    pipe_faults(scene, &mut faults);
    let boxes: Vec<(usize, &Rect)> = scene
        .regions
        .iter()
        .enumerate()
        .flat_map(|(at, region)| region.boxes.iter().map(move |found| (at, found)))
        .collect();
    for (at, (region, one)) in boxes.iter().enumerate() {
        for (other_region, other) in boxes.iter().skip(at + 1) {
            if region != other_region && one.overlaps(other) {
                faults.push(format!("two places overlap: {one:?} {other:?}"));
            }
        }
    }
    faults
}

fn element_faults(scene: &Scene, faults: &mut Vec<String>) {
    let mut ids = BTreeSet::new();
    for (at, element) in scene.elements.iter().enumerate() {
        if !ids.insert(element.id.as_str()) {
            faults.push(format!("{} is there twice", element.id));
        }
        if element.hit.width < 44.0 || element.hit.height < 44.0 || element.name.is_empty() {
            faults.push(format!("{} is too small to touch, or has no name", element.id));
        }
        let whole = element.bounds.with(&element.hit);
        if element.hit != whole {
            faults.push(format!("{} is drawn beyond what can be touched", element.id));
        }
        for other in scene.elements.iter().skip(at + 1).filter(|other| element.hit.overlaps(&other.hit)) {
            faults.push(format!("{} overlaps {}", element.id, other.id));
        }
        if !scene.view.holds(element.hit.centre()) {
            faults.push(format!("{} lies outside", element.id));
        }
    }
    let pipes: BTreeSet<&str> = scene.pipes.iter().map(|pipe| pipe.id.as_str()).collect();
    if pipes.len() != scene.pipes.len() {
        faults.push("two pipes have the same id".into());
    }
}

fn label_faults(scene: &Scene, faults: &mut Vec<String>) {
    let elements =
        scene.elements.iter().filter_map(|element| Some((element.id.as_str(), element.label.as_ref()?)));
    let labels: Vec<_> =
        elements.chain(scene.regions.iter().map(|region| ("place", &region.label))).collect();
    for (at, (id, label)) in labels.iter().enumerate() {
        for (other_id, other) in
            labels.iter().skip(at + 1).filter(|(_, other)| label.bounds.overlaps(&other.bounds))
        {
            faults.push(format!(
                "the labels of {id} and {other_id} overlap: {:?} {:?}",
                label.lines, other.lines
            ));
        }
        for element in scene.elements.iter().filter(|element| element.hit.overlaps(&label.bounds)) {
            faults.push(format!("the label of {id} overlaps {}", element.id));
        }
        for pipe in &scene.pipes {
            if stretches(pipe).any(|(from, to)| label.bounds.is_cut_by(from, to)) {
                faults.push(format!("{} runs through the label of {id}", pipe.id));
            }
        }
    }
}

/// Whether a pipe passes through what an element draws, rather than ending at it.
fn passes_through(pipe: &Pipe, element: &Element) -> bool {
    let ends: Vec<Point> =
        pipe.runs.iter().flat_map(|run| [run.first(), run.last()]).flatten().copied().collect();
    let ends_there = |at: Point| element.bounds.holds(at) && ends.contains(&at);
    stretches(pipe)
        .any(|(from, to)| element.bounds.is_cut_by(from, to) && !ends_there(from) && !ends_there(to))
}

fn pipe_faults(scene: &Scene, faults: &mut Vec<String>) {
    for (at, pipe) in scene.pipes.iter().enumerate() {
        let small = pipe.id.strip_prefix("to-").and_then(|id| scene.element(id));
        let host = small.and_then(|small| scene.elements.get(small.on?));
        let others = scene.elements.iter().filter(|element| host.is_none_or(|host| host.id != element.id));
        for element in others.filter(|element| passes_through(pipe, element)) {
            faults.push(format!("{} runs through {}", pipe.id, element.id));
        }
        // Two short pipes from one part to what sits on it may share their beginning.
        let same = |other: &Pipe| {
            other.space == pipe.space && other.id.starts_with("to-") && pipe.id.starts_with("to-")
        };
        for other in scene.pipes.iter().skip(at + 1).filter(|other| !same(other)) {
            for (from, to) in stretches(pipe) {
                if stretches(other).any(|(one, two)| along_each_other((from, to), (one, two))) {
                    faults.push(format!("{} runs along {}", pipe.id, other.id));
                }
            }
        }
        let slanted =
            stretches(pipe).find(|(from, to)| (from.x - to.x).abs() > 0.1 && (from.y - to.y).abs() > 0.1);
        if let Some(slanted) = slanted {
            faults.push(format!("{} slants: {slanted:?}", pipe.id));
        }
    }
}

/// Whether two stretches lie on one line and have more than a point in common.
fn along_each_other(one: (Point, Point), other: (Point, Point)) -> bool {
    let shared =
        |a0: f64, a1: f64, b0: f64, b1: f64| a0.max(a1).min(b0.max(b1)) - a0.min(a1).max(b0.min(b1)) > 0.1;
    let level = |a: (Point, Point)| (a.0.y - a.1.y).abs() < 0.1;
    let upright = |a: (Point, Point)| (a.0.x - a.1.x).abs() < 0.1;
    (level(one)
        && level(other)
        && (one.0.y - other.0.y).abs() < 0.1
        && shared(one.0.x, one.1.x, other.0.x, other.1.x))
        || (upright(one)
            && upright(other)
            && (one.0.x - other.0.x).abs() < 0.1
            && shared(one.0.y, one.1.y, other.0.y, other.1.y))
}

#[track_caller]
pub fn sound(scene: &Scene, what: &str) {
    let found = faults(scene);
    assert!(found.is_empty(), "{what}:\n{}", found.join("\n"));
    assert_eq!(scene.unrouted, 0, "{what}: pipes without a way");
    assert!(!scene.elements.is_empty() && !scene.pipes.is_empty(), "{what}: nothing drawn");
}
