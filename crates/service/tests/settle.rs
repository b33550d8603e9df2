//! Settling: mass is kept, joined spaces share one pressure, settling twice changes nothing; pump-down and migration as the trade knows them.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use stemwise_circuit::{Assembly, JointId, JointKind, PortId, Position, Rig, SpaceKind, examples, read};
use stemwise_service::{
    Action, Done, Refrigerant, Refused, Running, State, Stops, apply, required_level_of, settle,
};
use stemwise_units::{GaugePressure, Mass, Pressure};

struct Bench {
    assembly: Assembly,
    refrigerant: Refrigerant,
    stops: Stops,
}

fn bench(example: &str) -> Bench {
    let text = examples().iter().find(|found| found.name == example).unwrap().text;
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    Bench { assembly, refrigerant, stops }
}

impl Bench {
    fn start(&self, running: bool) -> Done {
        State::start(&self.assembly, &self.refrigerant, &self.stops, running)
    }
    fn act(&self, here: &Done, action: &Action) -> Done {
        apply(&self.assembly, &self.refrigerant, &self.stops, &here.state, action).unwrap()
    }
    fn turn(&self, here: &Done, id: &str, to: Position) -> Done {
        self.act(here, &Action::Turn { valve: self.assembly.graph.find_joint(id).unwrap(), to })
    }
    fn bar(&self, here: &Done, space: &str) -> f64 {
        here.settled.pressure(self.assembly.graph.find_space(space).unwrap()).unwrap().as_bar()
    }
    fn level(&self, here: &Done, space: &str) -> f64 {
        here.settled.liquid_fraction(self.assembly.graph.find_space(space).unwrap())
    }
    fn kg(&self, here: &Done) -> f64 {
        let inside: f64 = here.state.contents.iter().map(|held| held.refrigerant.as_kg()).sum();
        inside + here.state.left.lost_kg - here.state.left.new_kg
    }
}

#[test]
fn at_rest_liquid_is_where_it_is_coldest() {
    let bench = bench("walk-in-cooler");
    let here = bench.start(false);
    // Standing with everything open: the cold room draws the charge, and the pressure is one for all.
    assert!(bench.level(&here, "evaporator") > 0.99);
    let pressures: Vec<f64> =
        ["receiver", "evaporator", "compressor", "condenser"].iter().map(|id| bench.bar(&here, id)).collect();
    assert!(pressures.iter().all(|bar| (bar - pressures[0]).abs() < 1e-9));
}

#[test]
fn running_saturations_follow_the_places() {
    let bench = bench("walk-in-cooler");
    let here = bench.start(true);
    // 28 °C + 12 K and 3 °C - 8 K; R-134a at 40 °C 1016.59 kPa (ASHRAE tables, same formulation), at -5 °C 243.3 kPa.
    assert!((bench.bar(&here, "receiver") - 10.1659).abs() < 0.001);
    assert!((bench.bar(&here, "evaporator") - 2.433).abs() < 0.002);
    assert_eq!(here.settled.compressors[0].1, Running::Balanced);
}

#[test]
fn a_pump_down_stops_between_0_and_2_psig() {
    // US Army TM 5-4110-234-14 §5-6: stop at 0 to 2 psig, never below 0. Receiver at most 90 % full (CSA B52).
    let bench = bench("walk-in-cooler");
    let here = bench.turn(&bench.start(true), "king", Position::FrontSeated);
    let shell = here.settled.pressure(bench.assembly.graph.find_space("compressor").unwrap()).unwrap();
    let psig = shell.gauge(bench.assembly.circuit.atmosphere).as_psi();
    assert!((0.0..=2.0 + 1e-9).contains(&psig), "{psig} psig");
    assert!(bench.level(&here, "receiver") < 0.9 && bench.level(&here, "receiver") > 0.5);
    // A low-pressure control that is set higher stops it earlier, unless it is jumpered.
    let mut higher = self::bench("walk-in-cooler");
    let compressor = higher.assembly.graph.find_joint("compressor").unwrap();
    if let JointKind::Compressor(found) = &mut higher.assembly.graph.joints[compressor.index()].kind {
        found.low_cut_out = Some(GaugePressure::from_bar(0.5));
    }
    let here = higher.turn(&higher.start(true), "king", Position::FrontSeated);
    let shell = here.settled.pressure(higher.assembly.graph.find_space("compressor").unwrap()).unwrap();
    assert!((shell.gauge(higher.assembly.circuit.atmosphere).as_bar() - 0.5).abs() < 1e-6);
}

#[test]
fn a_solenoid_that_shuts_keeps_liquid_behind_it() {
    let bench = bench("walk-in-cooler");
    let solenoid = bench.assembly.graph.find_joint("solenoid").unwrap();
    let mut here = bench.start(true);
    here.state.lineup.switch(&bench.assembly.graph, solenoid, false);
    let here = bench.turn(&here, "king", Position::FrontSeated);
    assert!(bench.level(&here, "long-liquid-line") > 0.9, "{}", bench.level(&here, "long-liquid-line"));
    assert!(bench.level(&here, "evaporator") < 1e-9);
}

#[test]
fn recovery_stops_at_the_required_level() {
    let bench = bench("split-air-conditioner");
    let mut here = bench.start(false);
    let rigged = bench.assembly.rigged.clone();
    let port = bench.assembly.graph.find_port("liquid-valve-port").unwrap();
    here = bench.act(&here, &Action::AttachHose { hose: rigged.low_hose, port });
    here = bench.act(&here, &Action::Turn { valve: rigged.low_hand_valve, to: Position::Open });
    let before = bench.kg(&here);
    here = bench.act(&here, &Action::Start(rigged.recovery_machine.unwrap()));
    // R-32 is a very-high-pressure refrigerant: 0 inHg (40 CFR 82.156 Table 1).
    assert!((bench.bar(&here, "evaporator") - bench.assembly.circuit.atmosphere.as_bar()).abs() < 1e-4);
    assert!((bench.kg(&here) - before).abs() < 1e-9 * before);
    let in_cylinder = here.state.held(rigged.cylinder.unwrap()).unwrap().refrigerant.as_kg();
    assert!((in_cylinder - here.state.left.recovered_kg).abs() < 1e-9 && in_cylinder > 1.0);
}

/// Anything that hands might do, numbered.
fn some_action(bench: &Bench, pick: (u8, u32, u32)) -> Action {
    let graph = &bench.assembly.graph;
    let joint = JointId(pick.1 % u32::try_from(graph.joints.len()).unwrap());
    let port = PortId(pick.1 % u32::try_from(graph.ports.len().max(1)).unwrap());
    let positions = graph.joint(joint).unwrap().positions();
    let rigged = &bench.assembly.rigged;
    match pick.0 % 10 {
        0..=3 if !positions.is_empty() => {
            Action::Turn { valve: joint, to: positions[pick.2 as usize % positions.len()] }
        }
        4 => Action::Start(joint),
        5 => Action::Stop(joint),
        6 => Action::AttachHose {
            hose: if pick.2.is_multiple_of(2) { rigged.low_hose } else { rigged.high_hose },
            port,
        },
        7 => Action::DetachHose { port },
        8 => Action::AdmitNitrogen { to: GaugePressure::from_bar(f64::from(pick.2 % 12)) },
        9 => Action::Evacuate { to: Pressure::from_micron(300.0) },
        _ => Action::Turn { valve: rigged.low_hand_valve, to: Position::Open },
    }
}

fn check_settled(bench: &Bench, done: &Done, charge: f64) {
    let mass = bench.kg(done);
    assert!((mass - charge).abs() <= 1e-9 * charge, "{mass} kg of {charge} kg");
    let graph = &bench.assembly.graph;
    let circulates = done.settled.compressors.iter().any(|(_, running)| *running == Running::Balanced);
    for members in done.settled.sections.iter().filter(|_| !circulates) {
        let boundless = members.iter().any(|&space| {
            matches!(graph.space(space).unwrap().kind, SpaceKind::Atmosphere | SpaceKind::NitrogenCylinder)
        });
        let pressures: Vec<f64> =
            members.iter().map(|&space| done.settled.pressure(space).unwrap().as_pa()).collect();
        assert!(boundless || pressures.iter().all(|pa| (pa - pressures[0]).abs() <= 1e-9 * pressures[0]));
    }
    for (held, liquid) in done.state.contents.iter().zip(&done.settled.liquid) {
        assert!(held.refrigerant.as_kg() >= 0.0 && held.air.as_kg() >= 0.0 && (0.0..=1.0).contains(liquid));
        assert!(held.refrigerant.is_finite() && held.nitrogen.is_finite());
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 600,
        rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_125),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]
    #[test]
    fn whatever_hands_do_mass_is_kept(
        which in 0usize..6,
        running in any::<bool>(),
        picks in prop::collection::vec((any::<u8>(), any::<u32>(), any::<u32>()), 1..14),
    ) {
        let bench = bench(examples()[which].name);
        let mut here = bench.start(running);
        let charge = bench.kg(&here);
        check_settled(&bench, &here, charge);
        for pick in picks {
            let action = some_action(&bench, pick);
            if let Ok(done) = apply(&bench.assembly, &bench.refrigerant, &bench.stops, &here.state, &action) {
                check_settled(&bench, &done, charge);
                here = done;
            }
        }
        // The running balance does not say where gas gathers while refrigerant circulates: it is laid by the refrigerant's shares, anew each
        // time. Everything else stays where it is.
        let circulates = here.settled.compressors.iter().any(|(_, running)| *running == Running::Balanced);
        let gas = here.state.contents.iter().take(bench.assembly.circuit.graph.spaces.len()).any(|held| {
            held.nitrogen.as_kg() + held.air.as_kg() > 0.0
        });
        if circulates && gas {
            return Ok(());
        }
        let mut again = here.state.clone();
        let settled = settle(&bench.assembly, &bench.refrigerant, &bench.stops, &mut again);
        for (one, other) in here.settled.pressures.iter().zip(&settled.pressures) {
            prop_assert!((one - other).abs() <= 1e-6 * one.abs() + 1.0, "{one} and then {other} Pa");
        }
    }
}

/// Through a one-way joint passes no more than evens the pressures out, however little that is: not the whole of a section for a hundredth of a
/// pascal.
#[test]
fn next_to_no_difference_lets_next_to_nothing_pass() {
    let bench = bench("walk-in-cooler");
    let job = stemwise_service::find_job(&bench.assembly.circuit, "evacuate").unwrap();
    let here = State::begin(&bench.assembly, &bench.refrigerant, &bench.stops, Some(&job), false);
    let here = bench.turn(&here, "discharge-valve", Position::FrontSeated);
    let [shell, head] =
        ["compressor", "compressor-head"].map(|id| bench.assembly.graph.find_space(id).unwrap());
    let air = |state: &State, space: stemwise_circuit::SpaceId| state.held(space).unwrap().air.as_kg();
    for excess in [1e-8, 1e-7, 3e-7, 1e-6, 1e-3] {
        let mut state = here.state.clone();
        state.contents[shell.index()].air = state.contents[shell.index()].air * (1.0 + excess);
        let before = air(&state, head);
        settle(&bench.assembly, &bench.refrigerant, &bench.stops, &mut state);
        let passed = air(&state, head) / before - 1.0;
        assert!((-1e-12..=2.0 * excess).contains(&passed), "{excess}: {passed}");
    }
}

#[test]
fn a_charge_does_not_go_where_there_is_no_room() {
    let bench = bench("walk-in-cooler");
    let here = bench.start(false);
    let charge = |mass: f64| {
        let action = Action::Charge { mass: Mass::from_kg(mass), liquid: true };
        apply(&bench.assembly, &bench.refrigerant, &bench.stops, &here.state, &action)
    };
    // The hand valves are shut: the centre hose alone takes some grams and no more.
    assert_eq!(charge(0.46).err(), Some(Refused::NoRoom));
    assert!(charge(0.001).is_ok());
}
