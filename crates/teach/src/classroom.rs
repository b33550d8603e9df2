//! A circuit with the rig of a usual van, ready to be asked about.

use stemwise_circuit::{
    Assembly, Attached, Circuit, Graph, JointId, PortId, Position, Rig, SpaceId, SpaceKind, port_reach,
};
use stemwise_service::{
    Done, Finding, Look, Refrigerant, State, Stops, cylinders_for, hazards, required_level_of, settle,
};
use stemwise_units::{Pressure, UnitSystem};

use crate::Scene;

/// A circuit, its refrigerant and a rig.
#[derive(Debug)]
pub struct Classroom {
    /// The circuit with the rig.
    pub assembly: Assembly,
    /// The refrigerant.
    pub refrigerant: Refrigerant,
    /// The units of the sentences.
    pub units: UnitSystem,
}

/// More names than this are counted.
const MOST_NAMES: usize = 6;

impl Classroom {
    /// A circuit with the rig of a usual van, and as many cylinders as its charge needs.
    ///
    /// # Errors
    /// [`stemwise_thermo::Error`] for a refrigerant that is not known.
    pub fn new(circuit: &Circuit, units: UnitSystem) -> Result<Self, stemwise_thermo::Error> {
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        let mut rig = Rig::usual();
        if let Some(cylinder) = &mut rig.cylinder {
            let count = cylinders_for(&refrigerant, cylinder.water_capacity, circuit.charge.value);
            cylinder.count = count.unwrap_or(1);
        }
        Ok(Self { assembly: Assembly::new(circuit.clone(), rig), refrigerant, units })
    }

    pub(crate) const fn graph(&self) -> &Graph {
        &self.assembly.graph
    }

    pub(crate) const fn atmosphere(&self) -> Pressure {
        self.assembly.circuit.atmosphere
    }

    pub(crate) fn stops(&self) -> Stops {
        Stops::usual(required_level_of(&self.assembly, &self.refrigerant))
    }

    /// How a scene settles: normal running or standing, then the hoses on and the stems turned.
    pub fn settled(&self, scene: &Scene) -> Done {
        let stops = self.stops();
        let begin = if scene.running {
            State::start(&self.assembly, &self.refrigerant, &stops, true)
        } else {
            State::standing(&self.assembly, &self.refrigerant, &stops)
        };
        let mut state = begin.state;
        for &(valve, position) in &scene.turned {
            state.lineup.set(self.graph(), valve, position);
        }
        let rigged = &self.assembly.rigged;
        for (&hose, &port) in [rigged.low_hose, rigged.high_hose].iter().zip(&scene.hoses) {
            state.lineup.attached.push(Attached { hose, port });
        }
        let settled = settle(&self.assembly, &self.refrigerant, &stops, &mut state);
        Done { state, settled }
    }

    /// The hazards of a settled state.
    pub(crate) fn hazards(&self, done: &Done) -> Vec<Finding> {
        let (assembly, refrigerant) = (&self.assembly, &self.refrigerant);
        hazards(&Look { assembly, refrigerant, before: done, action: None, after: done })
    }

    /// The space of the system that a port reads.
    pub(crate) fn reads(&self, done: &Done, port: PortId) -> Option<SpaceId> {
        port_reach(self.graph(), port, &done.state.lineup)?.of_system()
    }

    /// The circuit's own spaces that are joined to one.
    pub(crate) fn section(&self, done: &Done, space: SpaceId) -> Vec<SpaceId> {
        let sections = &done.settled.sections;
        let members = sections.of(space).map_or(&[][..], |section| sections.members(section));
        members.iter().copied().filter(|&member| self.is_own(member)).collect()
    }

    /// Whether a space is of the circuit and not the atmosphere.
    pub(crate) fn is_own(&self, space: SpaceId) -> bool {
        let own = space.index() < self.assembly.circuit.graph.spaces.len();
        own && self.graph().space(space).is_some_and(|space| space.kind != SpaceKind::Atmosphere)
    }

    pub(crate) fn own_spaces(&self) -> Vec<SpaceId> {
        self.graph().spaces_with_ids().map(|(id, _)| id).filter(|&id| self.is_own(id)).collect()
    }

    /// The circuit's own valves with a stem.
    pub(crate) fn stems(&self) -> Vec<JointId> {
        let own = self.assembly.circuit.graph.joints_with_ids();
        own.filter(|(_, joint)| joint.stem.is_some()).map(|(id, _)| id).collect()
    }

    /// The ports that are there.
    pub(crate) fn ports(&self) -> Vec<PortId> {
        self.assembly.circuit.graph.ports_with_ids().map(|(id, _)| id).collect()
    }

    pub(crate) fn joint(&self, id: JointId) -> &str {
        self.graph().joint(id).map_or("", |joint| joint.name.as_str())
    }

    pub(crate) fn port(&self, id: PortId) -> &str {
        self.graph().port(id).map_or("", |port| port.name.as_str())
    }

    pub(crate) fn space(&self, id: SpaceId) -> &str {
        self.graph().space(id).map_or("", |space| space.name.as_str())
    }

    /// "the drier, the liquid line and 3 more".
    pub(crate) fn names(&self, spaces: &[SpaceId]) -> String {
        let mut names: Vec<String> =
            spaces.iter().take(MOST_NAMES).map(|&space| format!("the {}", self.space(space))).collect();
        match spaces.len().saturating_sub(MOST_NAMES) {
            0 => {}
            more => names.push(format!("{more} more")),
        }
        match names.split_last() {
            None => "nothing of the system".into(),
            Some((last, [])) => last.clone(),
            Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        }
    }

    pub(crate) fn gauge(&self, pressure: Pressure) -> String {
        self.units.as_read(pressure, self.atmosphere())
    }

    /// How the stems of a scene stand, in a sentence.
    pub(crate) fn stands(&self, scene: &Scene) -> String {
        let turned = scene.turned.iter();
        let said: Vec<String> =
            turned.map(|&(valve, at)| format!("the {} is {}", self.joint(valve), position(at))).collect();
        let runs = if scene.running { "The system runs" } else { "The system stands" };
        if said.is_empty() {
            return format!("{runs}, every stem as in normal running.");
        }
        format!("{runs}; {}; every other stem as in normal running.", said.join(", "))
    }
}

/// A position in words.
pub(crate) const fn position(position: Position) -> &'static str {
    match position {
        Position::BackSeated => "back-seated",
        Position::Cracked => "cracked",
        Position::MidSeated => "mid-seated",
        Position::FrontSeated => "front-seated",
        Position::Open => "open",
        Position::Shut => "shut",
    }
}

/// With a capital letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
