//! What is joined at the moment: sections, what they hold, and what gauges read.

use stemwise_circuit::{
    Assembly, Attached, Basis, Circuit, End, Graph, JointId, Lineup, PortId, PortReach, Position, Rig,
    SpaceId, SpaceKind, Why, port_reach,
};
use stemwise_service::{Done, Look, Refrigerant, State, Stops, hazards, settle};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use crate::{Error, check, words};

/// A lineup as it is asked about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JoinedAsk {
    /// Stems that stand otherwise than in normal running: "king=front-seated".
    pub set: Vec<String>,
    /// The ports with a hose and gauge on.
    pub hoses: Vec<String>,
    /// Whether the system ran when the stems were set, and goes on running; otherwise it stands.
    pub running: bool,
    /// The units of the sentences.
    pub units: UnitSystem,
}

/// A lineup that can't be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum JoinedError {
    /// Not "STEM=POSITION".
    #[error("\"{typed}\" is not STEM=POSITION")]
    NotASetting {
        /// What was typed.
        typed: String,
    },
    /// No such stem.
    #[error("no valve with a stem is called \"{typed}\"; there are: {}", .stems.join(", "))]
    UnknownStem {
        /// What was typed.
        typed: String,
        /// The stems of the circuit.
        stems: Vec<String>,
    },
    /// Not a position, or not one of this stem's.
    #[error("{stem} can't be \"{typed}\"; it can be: {}", .positions.join(", "))]
    Position {
        /// The stem.
        stem: String,
        /// What was typed.
        typed: String,
        /// What it can be.
        positions: Vec<&'static str>,
    },
    /// No such port.
    #[error("no port is called \"{typed}\"; {}", known_ports(.ports))]
    UnknownPort {
        /// What was typed.
        typed: String,
        /// The ports of the circuit.
        ports: Vec<String>,
    },
    /// No such part, line or valve.
    #[error("no part, line or valve is called \"{typed}\"")]
    UnknownThing {
        /// What was typed.
        typed: String,
    },
    /// Two hoses on one port.
    #[error("two hoses can't be on {port}")]
    PortTwice {
        /// The port.
        port: String,
    },
}

fn known_ports(ports: &[String]) -> String {
    if ports.is_empty() { "this circuit has none".into() } else { format!("there are: {}", ports.join(", ")) }
}

impl JoinedError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::NotASetting { .. } => "not-a-setting",
            Self::UnknownStem { .. } => "unknown-stem",
            Self::Position { .. } => "position",
            Self::UnknownPort { .. } => "unknown-port",
            Self::UnknownThing { .. } => "unknown-thing",
            Self::PortTwice { .. } => "port-twice",
        }
    }

    pub(crate) const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NotASetting { .. } => Some("write it like --set king=front-seated"),
            Self::UnknownThing { .. } => Some("\"stemwise list CIRCUIT\" prints the names"),
            _ => None,
        }
    }
}

/// What a lineup joins. The circuit starts in normal running, or standing, with its charge; then the hoses go on and the stems are
/// set, and everything settles.
///
/// # Errors
/// [`Error::Circuit`] and [`Error::Joined`].
///
/// ```
/// use stemwise_answer::{JoinedAsk, example, joined};
/// let file = example("walk-in-cooler")?.as_bytes();
/// let ask = |set: &str| JoinedAsk { set: vec![set.into()], ..JoinedAsk::default() };
/// assert!(joined(file, &ask("king=front-seated"))?.sections.len() > 1);
/// assert!(joined(file, &ask("king=sideways")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn joined(file: &[u8], ask: &JoinedAsk) -> Result<wire::JoinedAnswer, Error> {
    let circuit = check::circuit(file)?;
    let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
    let stems = stems(&circuit.graph, &ask.set)?;
    let ports = hoses(&circuit.graph, &ask.hoses)?;
    let notes = notes(&circuit, ask.running);
    let rig = Rig { single_gauges: ports.len(), ..Rig::usual() };
    let assembly = Assembly::new(circuit, rig);
    // No recovery machine runs here, so its level decides nothing.
    let stops = Stops::usual(assembly.circuit.atmosphere);
    let begin = if ask.running {
        State::start(&assembly, &refrigerant, &stops, true)
    } else {
        State::standing(&assembly, &refrigerant, &stops)
    };
    let mut state = begin.state;
    for (stem, position) in stems {
        state.lineup.set(&assembly.graph, stem, position);
    }
    for (&hose, &port) in assembly.rigged.gauge_hoses.iter().zip(&ports) {
        state.lineup.attached.push(Attached { hose, port });
    }
    let settled = settle(&assembly, &refrigerant, &stops, &mut state);
    let view = View { assembly: &assembly, done: &Done { state, settled } };
    Ok(wire::JoinedAnswer {
        circuit: assembly.circuit.name.clone(),
        atmosphere_pa: assembly.circuit.atmosphere.as_pa(),
        sections: view.sections(),
        gauges: ports.iter().filter_map(|&port| view.gauge(port)).collect(),
        hazards: view.hazards(&refrigerant, ask.units),
        notes,
    })
}

/// Reads every "STEM=POSITION".
pub(crate) fn stems(graph: &Graph, set: &[String]) -> Result<Vec<(JointId, Position)>, JoinedError> {
    set.iter().map(|typed| stem(graph, typed)).collect()
}

fn stem(graph: &Graph, typed: &str) -> Result<(JointId, Position), JoinedError> {
    let short = |text: &str| text.trim().chars().take(60).collect::<String>();
    let (name, position) =
        typed.split_once('=').ok_or_else(|| JoinedError::NotASetting { typed: short(typed) })?;
    let called = |id: &str, other: &str| same(id, name) || same(other, name);
    let mut with_stem = graph.joints_with_ids().filter(|(_, joint)| joint.stem.is_some());
    let found = with_stem.find(|(_, joint)| called(&joint.id, &joint.name));
    let (id, joint) = found.ok_or_else(|| JoinedError::UnknownStem {
        typed: short(name),
        stems: graph.joints.iter().filter(|j| j.stem.is_some()).map(|j| j.id.clone()).collect(),
    })?;
    let position_read = words::read_position(position).filter(|read| joint.positions().contains(read));
    let position_read = position_read.ok_or_else(|| JoinedError::Position {
        stem: joint.id.clone(),
        typed: short(position),
        positions: joint.positions().iter().map(|&position| words::position(position)).collect(),
    })?;
    Ok((id, position_read))
}

pub(crate) fn same(known: &str, typed: &str) -> bool {
    known.to_lowercase() == typed.trim().to_lowercase()
}

/// Finds the ports that have a hose on, each once.
pub(crate) fn hoses(graph: &Graph, typed: &[String]) -> Result<Vec<PortId>, JoinedError> {
    let mut ports = Vec::new();
    for text in typed {
        let found = graph.ports_with_ids().find(|(_, port)| same(&port.id, text) || same(&port.name, text));
        let (id, port) = found.ok_or_else(|| JoinedError::UnknownPort {
            typed: text.trim().chars().take(60).collect(),
            ports: graph.ports.iter().map(|port| port.id.clone()).collect(),
        })?;
        if ports.contains(&id) {
            return Err(JoinedError::PortTwice { port: port.id.clone() });
        }
        ports.push(id);
    }
    Ok(ports)
}

/// What the figures rest on.
fn notes(circuit: &Circuit, running: bool) -> Vec<String> {
    let how = if running {
        "The system ran normally with the whole charge when the stems were set, and its compressors still have power."
    } else {
        "The system stood with the whole charge when the stems were set."
    };
    let mut notes = vec![how.to_owned()];
    if let Basis::Estimated { rule } = circuit.charge.basis {
        notes.push(format!("The charge is an estimate: {rule}."));
    }
    let estimated = circuit.graph.spaces.iter().filter(|space| space.volume.is_estimate());
    let names: Vec<&str> = estimated.map(|space| space.name.as_str()).collect();
    if !names.is_empty() {
        notes.push(format!("Volumes that are estimates: {}.", names.join(", ")));
    }
    notes
}

/// A settled state, to be looked at.
pub(crate) struct View<'a> {
    pub(crate) assembly: &'a Assembly,
    pub(crate) done: &'a Done,
}

impl View<'_> {
    const fn lineup(&self) -> &Lineup {
        &self.done.state.lineup
    }

    fn hazards(&self, refrigerant: &Refrigerant, units: UnitSystem) -> Vec<wire::Hazard> {
        let (assembly, before) = (self.assembly, self.done);
        let found = hazards(&Look { assembly, refrigerant, before, action: None, after: before });
        found.iter().map(|finding| words::hazard(finding, assembly, units)).collect()
    }

    /// Whether a space is of the circuit, or a hose that is on.
    fn is_shown(&self, space: SpaceId) -> bool {
        let own = space.index() < self.assembly.circuit.graph.spaces.len();
        let kind = self.assembly.graph.space(space).map(|space| space.kind);
        let on = self.lineup().attached.iter().any(|attached| attached.hose == space);
        (own && kind != Some(SpaceKind::Atmosphere)) || on
    }

    /// The sections that hold something of the circuit; a hose that is joined to nothing is none.
    fn sections(&self) -> Vec<wire::Section> {
        let own = self.assembly.circuit.graph.spaces.len();
        let all = self.done.settled.sections.iter();
        all.filter_map(|members| {
            let shown: Vec<SpaceId> = members.iter().copied().filter(|&space| self.is_shown(space)).collect();
            shown.iter().any(|space| space.index() < own).then(|| self.section(&shown))
        })
        .collect()
    }

    fn section(&self, spaces: &[SpaceId]) -> wire::Section {
        let parts: Vec<wire::PartOfSection> = spaces.iter().filter_map(|&space| self.part(space)).collect();
        let pressures = || parts.iter().map(|part| part.pressure_pa);
        let volume = |space: &SpaceId| {
            self.assembly.graph.space(*space).map_or(0.0, |space| space.volume.value.as_m3())
        };
        let whole: f64 = spaces.iter().map(volume).sum();
        let liquid: f64 =
            spaces.iter().map(|space| volume(space) * self.done.settled.liquid_fraction(*space)).sum();
        let ids = |space: &wire::PartOfSection| space.space.clone();
        wire::Section {
            spaces: parts.iter().map(ids).collect(),
            ports: self.ports(spaces),
            pressure_pa: pressures().fold(f64::INFINITY, f64::min),
            highest_pressure_pa: pressures().fold(0.0, f64::max),
            mass_kg: parts.iter().map(|part| part.mass_kg).sum(),
            liquid_fraction: if whole > 0.0 { liquid / whole } else { 0.0 },
            parts,
        }
    }

    fn part(&self, space: SpaceId) -> Option<wire::PartOfSection> {
        let held = self.done.state.held(space)?;
        Some(wire::PartOfSection {
            space: self.assembly.graph.space(space)?.id.clone(),
            pressure_pa: self.done.settled.pressure(space)?.as_pa(),
            temperature_k: held.temperature.as_k(),
            mass_kg: held.refrigerant.as_kg(),
            liquid_fraction: self.done.settled.liquid_fraction(space),
        })
    }

    /// The ports at which a gauge reads one of these spaces, or would if its hose were on.
    fn ports(&self, spaces: &[SpaceId]) -> Vec<String> {
        let graph = &self.assembly.graph;
        let reads = |id: PortId| {
            let mut lineup = self.lineup().clone();
            lineup.attached.push(Attached { hose: self.assembly.rigged.low_hose, port: id });
            port_reach(graph, id, &lineup).and_then(|reach| reach.of_system())
        };
        let ports =
            graph.ports_with_ids().filter(|(id, _)| reads(*id).is_some_and(|at| spaces.contains(&at)));
        ports.map(|(_, port)| port.id.clone()).collect()
    }

    pub(crate) fn gauge(&self, port: PortId) -> Option<wire::Gauge> {
        let graph = &self.assembly.graph;
        let reach = port_reach(graph, port, self.lineup())?;
        let atmosphere = self.assembly.circuit.atmosphere;
        let system = reach.of_system();
        let pressure = system.and_then(|space| self.done.settled.pressure(space));
        Some(wire::Gauge {
            at: graph.port(port)?.id.clone(),
            reads: system
                .and_then(|space| graph.space(space))
                .map_or_else(|| "nothing".into(), |space| space.id.clone()),
            pressure_gauge_pa: pressure.map(|pressure| pressure.gauge(atmosphere).as_pa()),
            why: self.why(port, &reach),
        })
    }

    fn why(&self, port: PortId, reach: &PortReach) -> String {
        let graph = &self.assembly.graph;
        let name = |valve: JointId| graph.joint(valve).map_or("valve", |joint| joint.name.as_str());
        let space = |id: SpaceId| graph.space(id).map_or("rest", |space| space.name.as_str());
        let port = graph.port(port).map_or("port", |port| port.name.as_str());
        match reach.why {
            Why::CoreShut => format!("nothing presses the core of the {port}"),
            Why::Access => format!("the hose presses the core of the {port} open"),
            Why::NoCore => format!("the {port} has no core and is always open"),
            Why::Needle(valve, position) => {
                format!("the needle of the {} is {}", name(valve), words::position(position))
            }
            Why::BackSeated(valve) => format!("the {} is back-seated; its port is shut off", name(valve)),
            Why::OffBackSeat(valve, position) => format!(
                "the {} is {}; its port is joined to line and body",
                name(valve),
                words::position(position)
            ),
            Why::FrontSeated(valve, end) => {
                let side = graph.joint(valve).map_or("line", |joint| space(joint.end(end)));
                let end = if end == End::Body { "body" } else { "line" };
                format!("the {} is front-seated; its port stays with the {end}: the {side}", name(valve))
            }
        }
    }
}
