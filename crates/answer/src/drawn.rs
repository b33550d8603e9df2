//! A circuit as a drawing: placed by `stemwise-drawing`, set as a frame says.

use stemwise_circuit::{Assembly, Attached, Lineup, Position};
use stemwise_drawing::{
    Cutaway, Element, Fixture, Options, RigShown, Scene, Setting, Sheet, Thing, cutaway_at, position_at,
    turns_at,
};
use stemwise_wire as wire;

use crate::{Error, check, words};

/// A circuit with the rig of a usual van, to be drawn.
#[derive(Clone, Debug)]
pub struct Drawn {
    assembly: Assembly,
}

impl Drawn {
    /// From a circuit file.
    ///
    /// # Errors
    /// [`Error::Circuit`] and those of the refrigerant.
    ///
    /// ```
    /// use stemwise_answer::{Drawn, Trial, example};
    /// let file = example("walk-in-cooler")?.as_bytes();
    /// let frame = Trial::new(file, true)?.frame(stemwise_units::UnitSystem::Si);
    /// let scene = Drawn::new(file)?.scene(&frame, false);
    /// assert!(scene.elements.len() > 10 && scene.unrouted == 0);
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn new(file: &[u8]) -> Result<Self, Error> {
        let circuit = check::circuit(file)?;
        let refrigerant = stemwise_service::Refrigerant::named(&circuit.refrigerant)?;
        let rig = crate::plan::rig(&circuit, &refrigerant, &[], None)?;
        Ok(Self { assembly: Assembly::new(circuit, rig) })
    }

    /// The scene with what of the rig is connected; upright for a phone, or wide.
    pub fn scene(&self, frame: &wire::Frame, tall: bool) -> Scene {
        let sheet = if tall { Sheet::Tall } else { Sheet::Wide };
        let options = Options { sheet, rig: RigShown::Connected, focus: None };
        Scene::of_assembly(&self.assembly, &self.lineup(frame), &options)
    }

    /// How an element is set.
    pub fn setting(&self, element: &Element, frame: &wire::Frame) -> Setting {
        Setting::of(element, &self.assembly.graph, &self.lineup(frame))
    }

    /// The id of what an element stands for: a space's, a joint's or a port's.
    pub fn id(&self, thing: Thing) -> Option<&str> {
        let graph = &self.assembly.graph;
        match thing {
            Thing::Space(id) => graph.space(id).map(|space| space.id.as_str()),
            Thing::Joint(id) => graph.joint(id).map(|joint| joint.id.as_str()),
            Thing::Port(id) => graph.port(id).map(|port| port.id.as_str()),
        }
    }

    /// The valve of that id cut open, its stem so many turns off its back seat (or from open); none where it is not drawn so.
    pub fn cut(&self, valve: &str, turns: f64) -> Option<Cutaway> {
        let joint = self.assembly.graph.joint(self.assembly.graph.find_joint(valve)?)?;
        let fixture = Fixture::of_joint(joint)?;
        let all = joint.stem.as_ref().map_or(1.0, |stem| stem.turns.value);
        Some(cutaway_at(fixture, turns, all))
    }

    /// The turns of a valve's stem from its back seat to its front seat, or from open to shut.
    pub fn turns(&self, valve: &str) -> Option<f64> {
        let joint = self.assembly.graph.joint(self.assembly.graph.find_joint(valve)?)?;
        joint.stem.as_ref().map(|stem| stem.turns.value)
    }

    /// How many turns off its back seat (or from open) a stem stands in a position.
    pub fn turns_of(&self, valve: &str, position: &str) -> Option<f64> {
        Some(turns_at(words::read_position(position)?, self.turns(valve)?))
    }

    /// The position in which a stem stands after so many turns.
    pub fn position_of(&self, valve: &str, turns: f64) -> Option<&'static str> {
        let joint = self.assembly.graph.joint(self.assembly.graph.find_joint(valve)?)?;
        let three = joint.positions().contains(&Position::BackSeated);
        Some(words::position(position_at(turns, joint.stem.as_ref()?.turns.value, three)))
    }

    fn lineup(&self, frame: &wire::Frame) -> Lineup {
        let graph = &self.assembly.graph;
        let mut lineup = Lineup::normal(graph);
        for (id, joint) in graph.joints_with_ids() {
            if let Some(position) = frame.stems.get(&joint.id).and_then(|word| words::read_position(word)) {
                lineup.set(graph, id, position);
            }
            lineup.switch(graph, id, frame.running.contains(&joint.id));
            if frame.held_open.contains(&joint.id) {
                lineup.held_open.insert(id);
            }
        }
        let attached = |on: &wire::HoseOn| {
            Some(Attached { hose: graph.find_space(&on.hose)?, port: graph.find_port(&on.port)? })
        };
        lineup.attached = frame.hoses.iter().filter_map(attached).collect();
        lineup.cores_out = frame.cores_out.iter().filter_map(|id| graph.find_port(id)).collect();
        lineup
    }
}
