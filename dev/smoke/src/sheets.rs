//! `drawing`: every example circuit on both sheets, and every fixture cut open, as files.

use std::collections::BTreeMap;

use stemwise_circuit::{examples, read};
use stemwise_drawing::{Fill, Fixture, Opening, Options, Painted, Scene, Sheet, cutaway, cutaway_svg, svg};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for example in examples() {
        let Some(circuit) = read(example.text.as_bytes()).circuit else {
            report.line(&format!("error: {} has no circuit", example.name));
            continue;
        };
        for sheet in [Sheet::Wide, Sheet::Tall] {
            let scene = Scene::of_circuit(&circuit, &Options { sheet, ..Options::default() });
            let what = format!("{} {sheet:?}, {} looked at", example.name, scene.looked_at);
            report.digest(&what, &svg(&scene, &Painted::default()));
        }
    }
    let holds = BTreeMap::from([(Opening::Line, Fill::Liquid), (Opening::Body, Fill::Vacuum)]);
    for fixture in Fixture::ALL {
        let travels = [0.0, 0.3, 1.0].map(|travel| cutaway_svg(&cutaway(fixture, travel), &holds));
        report.digest(&format!("{fixture:?}"), &travels.concat());
    }
}
