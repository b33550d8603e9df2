//! Each hazard rule fires where it should and keeps still where it should.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;

use stemwise_circuit::{Assembly, Attached, Fitted, Lineup, Position, Rig, SpaceId, examples, read};
use stemwise_service::{
    Action, Cap, Done, Look, Refrigerant, State, Stops, apply, hazards, left_behind, required_level_of,
    rules, settle,
};
use stemwise_units::{GaugePressure, Mass, Pressure, UnitSystem};

struct Bench {
    assembly: Assembly,
    refrigerant: Refrigerant,
    stops: Stops,
    here: Done,
}

impl Bench {
    fn new(example: &str, running: bool) -> Self {
        Self::with(example, running, Rig::usual(), |_| {})
    }

    fn with(example: &str, running: bool, rig: Rig, change: impl Fn(&mut Assembly)) -> Self {
        let text = examples().iter().find(|found| found.name == example).unwrap().text;
        let circuit = read(text.as_bytes()).circuit.unwrap();
        let mut assembly = Assembly::new(circuit, rig);
        change(&mut assembly);
        let refrigerant = Refrigerant::named(&assembly.circuit.refrigerant).unwrap();
        let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
        let here = State::start(&assembly, &refrigerant, &stops, running);
        Self { assembly, refrigerant, stops, here }
    }

    fn joint(&self, id: &str) -> stemwise_circuit::JointId {
        self.assembly.graph.find_joint(id).unwrap()
    }
    fn port(&self, id: &str) -> stemwise_circuit::PortId {
        self.assembly.graph.find_port(id).unwrap()
    }
    fn space(&self, id: &str) -> SpaceId {
        self.assembly.graph.find_space(id).unwrap()
    }
    fn turn(&mut self, id: &str, to: Position) -> BTreeSet<&'static str> {
        let valve = self.joint(id);
        self.act(&Action::Turn { valve, to })
    }

    /// Does an action; returns the rules that fire.
    fn act(&mut self, action: &Action) -> BTreeSet<&'static str> {
        let after = apply(&self.assembly, &self.refrigerant, &self.stops, &self.here.state, action).unwrap();
        let look = Look {
            assembly: &self.assembly,
            refrigerant: &self.refrigerant,
            before: &self.here,
            action: Some(action),
            after: &after,
        };
        let found = hazards(&look);
        for finding in &found {
            for units in [UnitSystem::Si, UnitSystem::Ip] {
                let said = finding.say(&self.assembly, units);
                assert!(!said.contains('{') && said.len() > 10, "{said}");
            }
        }
        self.here = after;
        found.into_iter().map(|finding| finding.rule).collect()
    }

    fn left(&self) -> BTreeSet<&'static str> {
        let look = Look {
            assembly: &self.assembly,
            refrigerant: &self.refrigerant,
            before: &self.here,
            action: None,
            after: &self.here,
        };
        left_behind(&look).into_iter().map(|finding| finding.rule).collect()
    }

    /// Puts the low hose on a port by the lineup, its hand valve open to the centre hose.
    fn hose(&mut self, port: &str) {
        let (hose, valve) = (self.assembly.rigged.low_hose, self.assembly.rigged.low_hand_valve);
        let port = self.port(port);
        self.here.state.lineup.attached.push(Attached { hose, port });
        self.here.state.lineup.set(&self.assembly.graph, valve, Position::Open);
        self.settle();
    }

    fn settle(&mut self) {
        self.here.settled = settle(&self.assembly, &self.refrigerant, &self.stops, &mut self.here.state);
    }

    /// Empties every space of the circuit, as after a recovery and an evacuation.
    fn emptied(mut self) -> Self {
        let nothing = State::empty(&self.assembly, Lineup::normal(&self.assembly.graph));
        self.here.state.contents = nothing.contents;
        self.here.state.lineup.stop_all(&self.assembly.graph);
        self.settle();
        self
    }
}

const COOLER: &str = "walk-in-cooler";

#[track_caller]
fn both(rule: &str, fires: &BTreeSet<&'static str>, still: &BTreeSet<&'static str>) {
    assert!(fires.contains(rule), "{rule} does not fire: {fires:?}");
    assert!(!still.contains(rule), "{rule} fires where it should not: {still:?}");
}

#[test]
fn every_rule_has_its_words_and_its_source() {
    let rules = rules();
    assert!(rules.len() > 30);
    let ids: BTreeSet<&str> = rules.iter().map(|rule| rule.id.as_str()).collect();
    assert_eq!(ids.len(), rules.len());
    for rule in rules {
        for text in [&rule.say, &rule.people, &rule.plant, &rule.avoid, &rule.source] {
            assert!(text.len() > 4, "{}", rule.id);
        }
    }
    // A predicate for each, and each with data: the list in the crate is compared through what it can say.
    let fired: BTreeSet<&str> = stemwise_service::predicate_ids().collect();
    assert_eq!(fired, ids);
}

#[test]
fn a_compressor_against_a_shut_discharge() {
    let (mut shut, mut open) = (Bench::new(COOLER, true), Bench::new(COOLER, true));
    let fires = shut.turn("discharge-valve", Position::FrontSeated);
    let still = open.turn("discharge-valve", Position::MidSeated);
    both("compressor-against-shut-discharge", &fires, &still);
}

#[test]
fn liquid_shut_in_between_two_valves() {
    let mut bench = Bench::new(COOLER, false);
    let still = bench.turn("king", Position::FrontSeated);
    let fires = bench.turn("drier-valve", Position::Shut);
    both("liquid-shut-in", &fires, &still);
}

#[test]
fn a_receiver_filled_past_its_limit_by_a_pump_down() {
    let big = |assembly: &mut Assembly| assembly.circuit.charge.value = Mass::from_kg(9.0);
    let mut full = Bench::with(COOLER, true, Rig::usual(), big);
    let mut usual = Bench::new(COOLER, true);
    let fires = full.turn("king", Position::FrontSeated);
    let still = usual.turn("king", Position::FrontSeated);
    both("receiver-overfull", &fires, &still);
}

#[test]
fn a_condenser_that_a_pump_down_fills() {
    let big = |assembly: &mut Assembly| assembly.circuit.charge.value = Mass::from_kg(2.2);
    let mut full = Bench::with("split-air-conditioner", true, Rig::usual(), big);
    let mut usual = Bench::new("split-air-conditioner", true);
    let fires = full.turn("liquid-valve", Position::Shut);
    let still = usual.turn("liquid-valve", Position::Shut);
    both("condenser-full", &fires, &still);
}

#[test]
fn a_compressor_in_a_vacuum() {
    let mut empty = Bench::new(COOLER, false).emptied();
    let start = Action::Start(empty.joint("compressor"));
    let fires = empty.act(&start);
    let mut usual = Bench::new(COOLER, false);
    let still = usual.act(&start);
    both("compressor-in-vacuum", &fires, &still);
}

#[test]
fn opening_under_pressure_under_vacuum_and_unlocked() {
    let open = |bench: &Bench, with_heat| Action::OpenUp { spaces: vec![bench.space("drier")], with_heat };
    let mut pressure = Bench::new(COOLER, false);
    let fires = pressure.act(&open(&pressure, true));
    let mut vacuum = Bench::new(COOLER, false).emptied();
    vacuum.act(&Action::LockOut);
    let under = vacuum.act(&open(&vacuum, false));
    let mut gentle = Bench::new(COOLER, false).emptied();
    gentle.hose("drier-port");
    gentle.act(&Action::LockOut);
    gentle.act(&Action::AdmitNitrogen { to: GaugePressure::from_pa(0.0) });
    let still = gentle.act(&open(&gentle, false));
    for rule in ["pressure-opened", "refrigerant-vented", "not-locked-out"] {
        both(rule, &fires, &still);
    }
    both("air-drawn-in", &under, &still);
    let hose_on = |bench: &mut Bench| {
        let attach =
            Action::AttachHose { hose: bench.assembly.rigged.low_hose, port: bench.port("drier-port") };
        bench.act(&attach)
    };
    let (mut vacuum, mut usual) = (Bench::new(COOLER, false).emptied(), Bench::new(COOLER, false));
    both("air-drawn-in", &hose_on(&mut vacuum), &hose_on(&mut usual));
    let braze = Action::CloseUp { spaces: vec![gentle.space("drier")], with_heat: true };
    both("heat-on-refrigerant", &fires, &gentle.act(&braze));
}

#[test]
fn cylinders() {
    let with = |change: fn(&mut Rig)| {
        let mut rig = Rig::usual();
        change(&mut rig);
        let mut bench = Bench::with(COOLER, false, rig, |_| {});
        bench.hose("drier-port");
        let start = Action::Start(bench.assembly.rigged.recovery_machine.unwrap());
        bench.act(&start)
    };
    let still = with(|_| {});
    let full =
        with(|rig| rig.cylinder.as_mut().unwrap().holds = Some(("R-134a".into(), Mass::from_kg(19.0))));
    let other = with(|rig| rig.cylinder.as_mut().unwrap().holds = Some(("R-22".into(), Mass::from_kg(2.0))));
    let old = with(|rig| rig.cylinder.as_mut().unwrap().out_of_date = true);
    both("cylinder-overfull", &full, &still);
    both("cylinder-holds-another", &other, &still);
    both("cylinder-out-of-date", &old, &still);
}

#[test]
fn nitrogen() {
    let to = |bar: f64| Action::AdmitNitrogen { to: GaugePressure::from_bar(bar) };
    let mut high = Bench::new(COOLER, false).emptied();
    high.hose("drier-port");
    let fires = high.act(&to(19.0));
    let mut low = Bench::new(COOLER, false).emptied();
    low.hose("drier-port");
    let still = low.act(&to(5.0));
    both("test-pressure-too-high", &fires, &still);
    both("relief-under-test", &fires, &still);
    assert!(still.contains("dry-inert-gas-only"));
    assert!(!low.act(&Action::Read).contains("dry-inert-gas-only"));
    // Into the low side at more than the high side's pressure: it passes the standing compressor's valves into the charge.
    let mut charged = Bench::new(COOLER, true);
    charged.turn("king", Position::FrontSeated);
    let stop = Action::Stop(charged.joint("compressor"));
    charged.act(&stop);
    charged.hose("drier-port");
    both("gas-into-charge", &charged.act(&to(11.0)), &still);
}

#[test]
fn vacuum_pumps_and_gauges() {
    let evacuate = Action::Evacuate { to: Pressure::from_micron(300.0) };
    let mut pressure = Bench::new(COOLER, false);
    pressure.hose("drier-port");
    let mut empty = Bench::new(COOLER, false).emptied();
    empty.hose("drier-port");
    both("vacuum-pump-on-pressure", &pressure.act(&evacuate), &empty.act(&evacuate));
    let pump = empty.assembly.rigged.vacuum_pump.unwrap();
    empty.act(&Action::Start(pump));
    let fires = empty.act(&Action::Stop(pump));
    empty.act(&Action::Start(pump));
    let shut = Action::Turn { valve: empty.assembly.rigged.low_hand_valve, to: Position::Shut };
    empty.act(&shut);
    both("vacuum-pump-stopped-open", &fires, &empty.act(&Action::Stop(pump)));
    let small = Rig { gauge_range: Pressure::from_bar(5.0), ..Rig::usual() };
    let mut beyond = Bench::with(COOLER, false, small, |_| {});
    beyond.hose("drier-port");
    let mut within = Bench::new(COOLER, false);
    within.hose("drier-port");
    both("gauge-beyond-range", &beyond.act(&Action::Read), &within.act(&Action::Read));
}

#[test]
fn hands_on_stems_caps_and_cores() {
    let mut bench = Bench::new(COOLER, true);
    let king = bench.joint("king");
    let tight = bench.turn("king", Position::FrontSeated);
    bench.act(&Action::EaseNut(king));
    assert!(bench.left().contains("packing-nut-loose"));
    let eased = bench.turn("king", Position::MidSeated);
    both("packing-nut-tight", &tight, &eased);
    bench.act(&Action::TightenNut(king));
    bench.turn("king", Position::FrontSeated);
    let fast = bench.turn("king", Position::BackSeated);
    both("fast-opening", &fast, &eased);
    let port = bench.port("drier-port");
    bench.act(&Action::TakeCapOff(Cap::Port(port)));
    let pulled = bench.act(&Action::PullCore { port, with_tool: false });
    assert!(bench.left().is_superset(&["cap-forgotten", "core-forgotten"].into()));
    bench.act(&Action::PutCoreBack { port });
    let tooled = bench.act(&Action::PullCore { port, with_tool: true });
    both("core-pulled-open", &pulled, &tooled);
    bench.act(&Action::PutCoreBack { port });
    bench.act(&Action::PutCapOn(Cap::Port(port)));
    bench.here.state.jumpered = true;
    bench.here.state.pierced.insert(port);
    bench.act(&Action::HoldOpen(bench.assembly.graph.find_joint("solenoid").unwrap()));
    let left = bench.left();
    assert_eq!(left, ["held-open-left", "jumper-left", "piercing-valve-left"].into());
    let clean = Bench::new(COOLER, true);
    assert!(clean.left().is_empty());
    assert!(clean.assembly.graph.ports.iter().all(|port| port.fitted != Fitted::Piercing));
}

#[test]
fn hoses_on_and_off_live_ports() {
    let attach = |bench: &Bench| Action::AttachHose {
        hose: bench.assembly.rigged.low_hose,
        port: bench.port("suction-valve-port"),
    };
    let mut live = Bench::new(COOLER, true);
    live.turn("suction-valve", Position::Cracked);
    let mut shut = Bench::new(COOLER, true);
    both("hose-on-live-port", &live.act(&attach(&live)), &shut.act(&attach(&shut)));
    let detach = Action::DetachHose { port: live.port("suction-valve-port") };
    both("hose-off-live-port", &live.act(&detach), &shut.act(&detach));
}

#[test]
fn charging() {
    let charge = |liquid| Action::Charge { mass: Mass::from_g(50.0), liquid };
    let mut low = Bench::new(COOLER, true);
    low.turn("suction-valve", Position::MidSeated);
    low.hose("suction-valve-port");
    let fires = low.act(&charge(true));
    let still = low.act(&charge(false));
    both("liquid-into-suction", &fires, &still);
    // A pure fluid doesn't shift, nor one whose bubble and dew points are one; a blend with a glide does.
    let blend = |name: &str, liquid| {
        let name = name.to_owned();
        let change = move |assembly: &mut Assembly| assembly.circuit.refrigerant.clone_from(&name);
        let mut bench = Bench::with(COOLER, true, Rig::usual(), change);
        bench.turn("suction-valve", Position::MidSeated);
        bench.hose("suction-valve-port");
        bench.act(&charge(liquid))
    };
    both("blend-from-vapour", &blend("R-407C", false), &still);
    both("blend-from-vapour", &blend("R-407C", false), &blend("R-407C", true));
    both("blend-from-vapour", &blend("R-454C", false), &blend("R-507A", false));
}

#[test]
fn what_the_refrigerant_asks_for() {
    let fitted = |example: &str, port: &str| {
        let mut bench = Bench::new(example, false);
        let attach = Action::AttachHose { hose: bench.assembly.rigged.low_hose, port: bench.port(port) };
        bench.act(&attach)
    };
    let (burns, safe) = (fitted("heat-pump", "suction-port"), fitted(COOLER, "drier-port"));
    both("flammable-refrigerant", &burns, &safe);
    both("very-high-pressure", &burns, &safe);
    let toxic = |assembly: &mut Assembly| assembly.circuit.refrigerant = "R-717".into();
    let mut bench = Bench::with(COOLER, false, Rig::usual(), toxic);
    bench.refrigerant = Refrigerant::named("R-717").unwrap();
    let attach = Action::AttachHose { hose: bench.assembly.rigged.low_hose, port: bench.port("drier-port") };
    both("toxic-refrigerant", &bench.act(&attach), &safe);
}
