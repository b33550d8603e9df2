//! What is in a circuit: valves, ports, jobs, spaces, and what was estimated.

use stemwise_circuit::{Circuit, End, Graph, Joint, JointKind, Port, PortOn, SpaceId, SpaceKind};
use stemwise_thermo::Substance;
use stemwise_units::{Mass, Volume};
use stemwise_wire as wire;

use crate::{Error, check, words};

/// Lists what is in a circuit file.
///
/// # Errors
/// [`Error::Circuit`] where the file can't be used.
///
/// ```
/// let answer = stemwise_answer::list(stemwise_answer::example("walk-in-cooler")?.as_bytes())?;
/// assert!(answer.jobs.iter().any(|job| job == "replace the drier"));
/// assert!(stemwise_answer::list(b"no circuit").is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn list(file: &[u8]) -> Result<wire::ListAnswer, Error> {
    let circuit = check::circuit(file)?;
    let substance = Substance::named(&circuit.refrigerant)?;
    let graph = &circuit.graph;
    Ok(wire::ListAnswer {
        circuit: circuit.name.clone(),
        refrigerant: substance.name(),
        safety_class: substance.safety_class().unwrap_or_default().into(),
        charge: words::quantity(&circuit.charge, Mass::as_kg),
        valves: graph
            .joints
            .iter()
            .filter(|joint| is_listed(joint))
            .map(|joint| valve(graph, joint))
            .collect(),
        ports: graph.ports.iter().map(|port| self::port(graph, port)).collect(),
        jobs: stemwise_service::jobs(&circuit).iter().map(stemwise_service::Job::words).collect(),
        spaces: spaces(&circuit),
    })
}

const fn is_listed(joint: &Joint) -> bool {
    !matches!(joint.kind, JointKind::Pipe)
}

fn space_id(graph: &Graph, id: SpaceId) -> String {
    graph.space(id).map_or_else(String::new, |space| space.id.clone())
}

fn valve(graph: &Graph, joint: &Joint) -> wire::Valve {
    let stays_with = match joint.kind {
        JointKind::ServiceValve { port: Some(_), port_stays_with: End::Line, .. } => Some("line"),
        JointKind::ServiceValve { port: Some(_), port_stays_with: End::Body, .. } => Some("body"),
        _ => None,
    };
    wire::Valve {
        id: joint.id.clone(),
        name: joint.name.clone(),
        kind: words::joint_kind(&joint.kind).into(),
        between: [space_id(graph, joint.a), space_id(graph, joint.b)],
        normal: joint.stem.as_ref().map(|stem| words::position(stem.normal).into()),
        positions: joint.positions().iter().map(|&position| words::position(position).into()).collect(),
        port_stays_with: stays_with.map(str::to_owned),
    }
}

fn port(graph: &Graph, port: &Port) -> wire::Port {
    let on = match port.on {
        PortOn::ServiceValve(valve) => graph.joint(valve).map(|joint| joint.id.clone()),
        PortOn::Space(space) => graph.space(space).map(|space| space.id.clone()),
    };
    wire::Port { id: port.id.clone(), name: port.name.clone(), on: on.unwrap_or_default(), core: port.core }
}

fn spaces(circuit: &Circuit) -> Vec<wire::Space> {
    let own = circuit.graph.spaces.iter().filter(|space| space.kind != SpaceKind::Atmosphere);
    own.map(|space| wire::Space {
        id: space.id.clone(),
        name: space.name.clone(),
        volume: words::quantity(&space.volume, Volume::as_m3),
    })
    .collect()
}
