//! Writes drawings of every example circuit into a folder: `cargo run -p stemwise-drawing --example sheets FOLDER`.
#![allow(clippy::print_stdout, reason = "a tool run by hand says what it drew")]

use std::collections::BTreeMap;

use stemwise_circuit::{Assembly, Attached, Lineup, Rig, examples, read};

use stemwise_drawing::{
    Fill, Fixture, Opening, Options, Painted, RigShown, Scene, Setting, Sheet, Symbol, cutaway, cutaway_svg,
    picture, svg,
};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".into());
    for example in examples() {
        let Some(circuit) = read(example.text.as_bytes()).circuit else { continue };
        let assembly = Assembly::new(circuit, Rig::usual());
        let mut lineup = Lineup::normal(&assembly.graph);
        for (name, sheet) in [("wide", Sheet::Wide), ("tall", Sheet::Tall)] {
            let options = Options { sheet, ..Options::default() };
            let scene = Scene::of_circuit(&assembly.circuit, &options);
            println!(
                "{} {name}: {} elements, {:.0} x {:.0}, {} crossings, {} unrouted, looked at {}",
                example.name,
                scene.elements.len(),
                scene.view.width,
                scene.view.height,
                scene.crossings.len(),
                scene.unrouted,
                scene.looked_at
            );
            let painted = Painted { lineup: Some((&assembly.graph, &lineup)), title: None };
            std::fs::write(format!("{folder}/{}-{name}.svg", example.name), svg(&scene, &painted))?;
        }
        let hoses = [assembly.rigged.low_hose, assembly.rigged.high_hose];
        let ports = assembly.graph.ports_with_ids().map(|(port, _)| port);
        lineup.attached = hoses.into_iter().zip(ports).map(|(hose, port)| Attached { hose, port }).collect();
        let options = Options { rig: RigShown::All, ..Options::default() };
        let scene = Scene::of_assembly(&assembly, &lineup, &options);
        let painted = Painted { lineup: Some((&assembly.graph, &lineup)), title: None };
        std::fs::write(format!("{folder}/{}-rig.svg", example.name), svg(&scene, &painted))?;
    }
    for symbol in Symbol::all() {
        let file = format!("{folder}/symbol-{}.svg", symbol.name().replace(' ', "-"));
        std::fs::write(file, picture(*symbol, &Setting::default(), 96))?;
    }
    cutaways(&folder)
}

fn cutaways(folder: &str) -> std::io::Result<()> {
    let mut page = String::from(
        "<!doctype html><meta charset=utf-8><body style='display:grid;grid-template-columns:repeat(3,1fr)'>",
    );
    for fixture in Fixture::ALL {
        for travel in [0.0, 1.0 / 64.0, 0.5, 1.0] {
            let holds = BTreeMap::from([
                (Opening::Line, Fill::Liquid),
                (Opening::Body, Fill::Vapour),
                (Opening::Port, Fill::Air),
                (Opening::Pocket, Fill::Both),
            ]);
            let file = cutaway_svg(&cutaway(fixture, travel), &holds);
            if !(0.001..=0.99).contains(&travel) || matches!(fixture, Fixture::ServiceValve { .. }) {
                page.push_str(&file);
            }
        }
    }
    std::fs::write(format!("{folder}/cutaways.html"), page)?;
    let mut page = String::from(
        "<!doctype html><meta charset=utf-8><body style='display:grid;grid-template-columns:repeat(8,1fr);font:12px sans-serif'>",
    );
    for symbol in Symbol::all() {
        page.push_str(&format!(
            "<div>{}<br>{}</div>",
            picture(*symbol, &Setting::default(), 96),
            symbol.name()
        ));
    }
    std::fs::write(format!("{folder}/symbols.html"), page)
}
