//! Liquid that is shut in and warmed: its pressure rises by bars for each kelvin, and what holds it bursts and stays open.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::{Assembly, PlaceId, Position, Rig, examples, read};
use stemwise_rehearse::Danger;
use stemwise_service::{Refrigerant, State, Stops, required_level_of};
use stemwise_thermo::{Given, Substance};
use stemwise_units::{Mass, Temperature};
use support::{Bench, from};

const SHUT_IN: [&str; 3] = ["liquid-line", "drier", "sight-glass"];

/// A walk-in cooler that stands, its liquid line full of liquid at 28 °C and shut at its far end, and at the receiver too if said; then the room warms by 15 K.
fn warmed(at_the_receiver: bool) -> (Bench, f64) {
    let text = examples().iter().find(|found| found.name == "walk-in-cooler").unwrap().text;
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let mut state = State::start(&assembly, &refrigerant, &stops, false).state;
    let graph = &assembly.graph;
    let warm = Temperature::from_celsius(28.0);
    let substance = Substance::named(&assembly.circuit.refrigerant).unwrap();
    let liquid = substance.state(Given::TemperatureQuality(warm, 0.0)).unwrap().density();
    for id in SHUT_IN {
        let space = graph.find_space(id).unwrap();
        let volume = graph.space(space).unwrap().volume.value.as_m3();
        let held = &mut state.contents[space.index()];
        held.refrigerant = Mass::from_kg(0.999 * volume * liquid.as_kg_per_m3());
        held.temperature = warm;
    }
    state.lineup.set(graph, graph.find_joint("drier-valve").unwrap(), Position::Shut);
    if at_the_receiver {
        state.lineup.set(graph, graph.find_joint("king").unwrap(), Position::FrontSeated);
    }
    let mut here = from(assembly, refrigerant, stops, &state);
    here.now.set_place(PlaceId(0), Temperature::from_celsius(43.0));
    let (mut most, mut warned) = (0.0f64, false);
    for _ in 0..240 {
        here.now.advance(15.0);
        most = most.max(here.bar("drier"));
        warned |= here.now.clocks().iter().any(|clock| {
            matches!(clock.danger, Danger::Bursts(_)) && clock.seconds > 0.0 && clock.seconds < 600.0
        });
        assert!(warned || SHUT_IN.iter().all(|id| !here.now.has_burst(here.space(id))));
    }
    here.kept();
    (here, most)
}

/// The part is built for 20 bar and stands three times that (EN 378-2, from memory); before that a clock runs, and after it the part stays open.
#[test]
fn liquid_that_is_shut_in_bursts_its_line() {
    let (mut here, most) = warmed(true);
    let burst: Vec<_> = SHUT_IN.iter().filter(|id| here.now.has_burst(here.space(id))).collect();
    println!("{burst:?}, {most} bar, {:?}", here.now.statistics());
    assert_eq!(burst.len(), 1, "{burst:?}");
    let space = here.space(burst[0]);
    let limit = here.now.burst_pressure(space).unwrap().as_bar();
    assert!((limit - (1.01325 + 3.0 * 20.0)).abs() < 0.3, "{limit} bar");
    let lost = here.now.state().left.lost_kg;
    assert!(lost > 0.05 && here.bar("drier") < 1.1, "{lost} kg lost, {} bar", here.bar("drier"));
    // Nothing that hands do mends it.
    here.turn("drier-valve", Position::Open);
    here.now.advance(1800.0);
    assert!(here.now.state().left.lost_kg > lost + 0.05);
    assert!(
        here.now.clocks().iter().any(|clock| clock.danger == Danger::Bursts(space) && clock.seconds <= 0.0)
    );
    here.kept();
}

/// With a way to the receiver liquid has room, and the receiver its relief valve.
#[test]
fn liquid_with_room_bursts_nothing() {
    let (here, most) = warmed(false);
    let graph = &here.assembly.circuit.graph;
    assert!(graph.spaces_with_ids().all(|(id, _)| !here.now.has_burst(id)));
    assert!(most < 20.0 && here.now.state().left.lost_kg < 1e-9, "{most} bar");
}
