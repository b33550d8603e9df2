//! The piping diagram of a circuit, as it stands or with hoses on.

use stemwise_circuit::{Assembly, Attached, Graph, Lineup, Rig, SpaceId};
use stemwise_drawing::{Options, Painted, RigShown, Scene, Sheet, svg};
use stemwise_wire as wire;

use crate::joined::{hoses, same, stems};
use crate::{Error, JoinedError, check};

/// What a piping diagram shall show.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DrawAsk {
    /// Whether the sheet is as narrow as a telephone.
    pub narrow: bool,
    /// Stems that stand otherwise than in normal running: "king=front-seated".
    pub set: Vec<String>,
    /// The ports with a hose and gauge on.
    pub hoses: Vec<String>,
    /// Parts, lines and valves to draw with what is beside them, instead of everything.
    pub around: Vec<String>,
}

/// Draws the piping diagram of a circuit.
///
/// # Errors
/// [`Error::Circuit`] and [`Error::Joined`].
///
/// ```
/// use stemwise_answer::{DrawAsk, draw, example};
/// let file = example("walk-in-cooler")?.as_bytes();
/// assert!(draw(file, &DrawAsk::default())?.svg.contains("id=\"king\""));
/// let around = |thing: &str| DrawAsk { around: vec![thing.into()], ..DrawAsk::default() };
/// assert!(!draw(file, &around("drier"))?.svg.contains("id=\"compressor\""));
/// assert!(draw(file, &around("chimney")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn draw(file: &[u8], ask: &DrawAsk) -> Result<wire::DrawAnswer, Error> {
    let circuit = check::circuit(file)?;
    let stems = stems(&circuit.graph, &ask.set)?;
    let ports = hoses(&circuit.graph, &ask.hoses)?;
    let around: Result<Vec<Vec<SpaceId>>, JoinedError> =
        ask.around.iter().map(|typed| spaces_around(&circuit.graph, typed)).collect();
    let around: Vec<SpaceId> = around?.into_iter().flatten().collect();
    let rig = Rig { single_gauges: ports.len(), ..Rig::usual() };
    let assembly = Assembly::new(circuit, rig);
    let mut lineup = Lineup::normal(&assembly.graph);
    for (stem, position) in stems {
        lineup.set(&assembly.graph, stem, position);
    }
    let gauges = assembly.rigged.gauge_hoses.iter().zip(ports);
    lineup.attached = gauges.map(|(&hose, port)| Attached { hose, port }).collect();
    let options = Options {
        sheet: if ask.narrow { Sheet::Tall } else { Sheet::Wide },
        rig: RigShown::Connected,
        focus: (!around.is_empty()).then_some(around),
    };
    let scene = Scene::of_assembly(&assembly, &lineup, &options);
    let painted = Painted { lineup: Some((&assembly.graph, &lineup)), title: None };
    Ok(wire::DrawAnswer {
        circuit: assembly.circuit.name.clone(),
        svg: svg(&scene, &painted),
        width: scene.view.width,
        height: scene.view.height,
        along: scene.elements.iter().map(|element| element.name.clone()).collect(),
    })
}

/// The spaces of a thing by its name and those beside it.
fn spaces_around(graph: &Graph, typed: &str) -> Result<Vec<SpaceId>, JoinedError> {
    let called = |id: &str, name: &str| same(id, typed) || same(name, typed);
    let joints = graph.joints.iter().filter(|joint| called(&joint.id, &joint.name));
    let spaces = graph.spaces_with_ids().filter(|(_, space)| called(&space.id, &space.name));
    let mut found: Vec<SpaceId> = joints.flat_map(|joint| [joint.a, joint.b]).collect();
    found.extend(spaces.map(|(id, _)| id));
    if found.is_empty() {
        return Err(JoinedError::UnknownThing { typed: typed.trim().chars().take(60).collect() });
    }
    let beside = graph.joints.iter().filter(|joint| found.contains(&joint.a) || found.contains(&joint.b));
    let beside: Vec<SpaceId> = beside.flat_map(|joint| [joint.a, joint.b]).collect();
    found.extend(beside);
    Ok(found)
}
