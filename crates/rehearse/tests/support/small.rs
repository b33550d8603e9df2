//! The two runs that are compared with a stiff integrator in another language: `small.toml` pumped down, and full of air and evacuated.
#![allow(clippy::unwrap_used, reason = "what is made of a file of our own is there")]

use super::Rehearsal;
use stemwise_circuit::{Assembly, JointKind, Position, Rig, read};
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};
use stemwise_units::{Mass, Pressure, Temperature};

pub(crate) type Start = fn() -> Rehearsal;

pub(crate) const RUNS: [(&str, Start); 2] = [("pump-down", pump_down), ("evacuation", evacuation)];

/// The networks, and the curves that the script found for them.
pub(crate) const REFERENCE: &str = include_str!("../motion_reference.json");

/// The circuit with its king valve shut and its compressor just started, most of its charge in the receiver, the rest behind the valve.
fn pump_down() -> Rehearsal {
    let (assembly, mut state) = small();
    let graph = &assembly.graph;
    let held = [
        ("compressor-head", 0.009, 25.0),
        ("condenser", 0.2, 25.0),
        ("receiver", 1.2, 25.0),
        ("liquid-line", 0.2, 25.0),
        ("evaporator", 0.4, 0.0),
        ("suction-line", 0.009, 10.0),
        ("compressor", 0.028, 25.0),
    ];
    for (space, kg, celsius) in held {
        let slot = &mut state.contents[graph.find_space(space).unwrap().index()];
        (slot.refrigerant, slot.temperature) = (Mass::from_kg(kg), Temperature::from_celsius(celsius));
    }
    state.lineup.set(graph, graph.find_joint("king").unwrap(), Position::Shut);
    let compressor =
        graph.joints_with_ids().find(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_)));
    state.lineup.switch(graph, compressor.unwrap().0, true);
    Rehearsal::new(&assembly, &state).unwrap()
}

/// The circuit full of air, a hose on its liquid line, and the vacuum pump just started.
fn evacuation() -> Rehearsal {
    let (assembly, state) = small();
    let rigged = assembly.rigged.clone();
    let mut hands = Rehearsal::new(&assembly, &state).unwrap();
    let port = assembly.graph.find_port("liquid-port").unwrap();
    hands.act(&Action::AttachHose { hose: rigged.low_hose, port }).unwrap();
    hands.act(&Action::Turn { valve: rigged.low_hand_valve, to: Position::Open }).unwrap();
    let mut state = hands.state();
    for (held, space) in state.contents.iter_mut().zip(&assembly.graph.spaces) {
        held.refrigerant = Mass::from_kg(0.0);
        held.nitrogen = Mass::from_kg(0.0);
        held.temperature = Temperature::from_celsius(20.0);
        held.air = Mass::from_kg(space.volume.value.as_m3() * 1e5 / (287.05 * 293.15));
    }
    let mut now = Rehearsal::new(&assembly, &state).unwrap();
    now.act(&Action::Evacuate { to: Pressure::from_micron(10.0) }).unwrap();
    now
}

fn small() -> (Assembly, State) {
    let circuit = read(include_bytes!("../small.toml")).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let state = State::start(&assembly, &refrigerant, &stops, false).state;
    (assembly, state)
}
