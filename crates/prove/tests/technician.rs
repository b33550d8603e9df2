//! What a working technician found wrong with plans and verdicts for circuits of his own; each named for what went wrong.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_circuit::{PortOn, Position, SpaceKind};
use stemwise_prove::{Failure, Procedure, read, verify};
use stemwise_service::plan::{Doing, Words, plan};
use stemwise_service::{Action, State};
use stemwise_units::UnitSystem;
use support::Bench;

/// A reach-in freezer, invented: a bolt-on piercing valve on its process tube, or sealed.
fn freezer(pierced: bool) -> Bench {
    let port = "[port.tap]\non = \"process\"\nfitted = \"piercing\"\n";
    let text = format!("{FREEZER}{}", if pierced { port } else { "" });
    Bench::of(stemwise_circuit::read(text.as_bytes()).circuit.unwrap())
}

const FREEZER: &str = r#"
schema = 1
name = "Freezer"
refrigerant = "R-290"
charge = "140 g"
capacity = "0.6 kW"
[place.kitchen]
temperature = "27 C"
range = ["15 C", "40 C"]
[place.cabinet]
temperature = "-20 C"
range = ["-25 C", "40 C"]
[part.compressor]
kind = "compressor"
hermetic = true
[part.condenser]
kind = "condenser"
[part.drier]
kind = "drier"
volume = "30 mL"
[part.evaporator]
kind = "evaporator"
place = "cabinet"
[line.discharge]
kind = "discharge"
size = "1/4 in"
length = "1 m"
[line.liquid]
kind = "liquid"
size = "1/4 in"
length = "0.4 m"
[line.suction]
kind = "suction"
size = "3/8 in"
length = "2.5 m"
[line.process]
kind = "suction"
size = "1/4 in"
length = "15 cm"
[valve.cap]
kind = "capillary"
[[walk]]
along = ["compressor", "discharge", "condenser", "liquid", "drier", "cap", "evaporator", "suction", "compressor"]
[[walk]]
along = ["suction", "process"]
"#;

#[track_caller]
fn accepted(bench: &Bench, said: &str) -> Procedure {
    let job = bench.job(said);
    let planned = bench.planned(&job).unwrap_or_else(|none| panic!("{said}: {none:?}"));
    let certificate = bench.verify(Some(&job), &planned);
    assert_eq!(certificate.first_failure(), None, "{said}");
    assert!(certificate.account.gap() <= 1e-9, "{said}");
    planned
}

/// The passage above a shut needle holds air, and no vacuum: the port works like any other.
#[test]
fn a_piercing_valve_that_is_on_the_file_is_a_way_in() {
    let bench = freezer(true);
    let needle = bench.assembly.graph.find_joint("tap").unwrap();
    for said in [
        "take readings",
        "recover all",
        "decommission",
        "replace the drier",
        "replace the evaporator",
        "replace the metering device",
        "repair the discharge line",
        "test with nitrogen",
        "evacuate",
        "charge the empty system",
        "top up: 20 g",
        "charge by superheat: 8 K",
        "add oil",
    ] {
        let planned = accepted(&bench, said);
        let actions: Vec<&Action> = planned.steps.iter().flat_map(|step| &step.actions).collect();
        let turned = |to| actions.iter().any(|action| **action == Action::Turn { valve: needle, to });
        assert!(turned(Position::Open) && turned(Position::Shut), "{said}");
    }
}

/// By hand: hose on, needle back, recovered, needle in, hose off.
#[test]
fn a_tap_that_is_there_is_used_by_hand() {
    let bench = freezer(true);
    let text = "procedure 1\njob: recover all\nstep: Stop.\n  stop compressor\n  lock out\nstep: Hose on.\n  cap off port tap-port\n  fit low-hose on tap-port\n  \
                turn tap to open\nstep: Recover.\n  turn low-hand-valve to open\n  start recovery-machine\n  stop recovery-machine\n  \
                turn low-hand-valve to shut\nstep: Off.\n  turn tap to shut\n  take hose off tap-port\n  cap on port tap-port\n";
    let reading = read(text.as_bytes(), &bench.assembly.circuit, stemwise_circuit::Rig::usual());
    let procedure = reading.procedure.unwrap();
    let job = bench.job("recover all");
    assert_eq!(bench.verify(Some(&job), &procedure).first_failure(), None);
    // With the needle out, the hose comes off what is under pressure.
    let careless = text
        .replace("  turn tap to shut\n", "")
        .replace("  start recovery-machine\n  stop recovery-machine\n", "");
    let careless = read(careless.as_bytes(), &bench.assembly.circuit, stemwise_circuit::Rig::usual());
    let failure = bench.verify(Some(&job), &careless.procedure.unwrap()).first_failure();
    assert!(matches!(failure, Some(Failure::Broken { finding, .. }) if finding.rule == "hose-off-live-port"));
}

/// A bolt-on valve goes on a tube, and the compressor stands (common practice).
#[test]
fn nobody_pierces_a_drier_or_a_running_system() {
    let mut pierced = 0;
    for bench in [freezer(false), Bench::example("sealed-freezer")] {
        for said in ["recover all", "decommission", "fit an access valve: compressor"] {
            let job = bench.job(said);
            let found = plan(&bench.assembly, &bench.refrigerant, &job).unwrap();
            let task = stemwise_prove::Task::new(&bench.assembly, &bench.refrigerant, Some(&job));
            let mut here = task.start(false);
            for action in found.best.steps.iter().flat_map(|step| &step.actions) {
                if let Action::Pierce { port } = action {
                    pierced += 1;
                    let PortOn::Space(at) = bench.assembly.graph.port(*port).unwrap().on else { panic!() };
                    let kind = bench.assembly.graph.space(at).unwrap().kind;
                    assert!(matches!(kind, SpaceKind::CompressorShell | SpaceKind::SuctionLine), "{kind:?}");
                    assert!(
                        !here.state.lineup.runs(&bench.assembly.graph) && here.state.locked_out,
                        "{said}"
                    );
                }
                here = task.act(&here, action).unwrap();
            }
            accepted(&bench, said);
        }
        let offered = stemwise_service::jobs(&bench.assembly.circuit);
        assert!(!offered.iter().any(|job| job.words() == "fit an access valve: drier"));
    }
    assert_eq!(pierced, 6);
}

/// R-600a stands below the atmosphere at −18 °C: a hose full of air on the needle would let it in.
#[test]
fn a_hose_is_evacuated_before_a_cold_system_is_pierced() {
    let bench = Bench::example("sealed-freezer");
    let job = bench.job("recover all");
    let mut planned = accepted(&bench, "recover all");
    for step in &mut planned.steps {
        step.actions.retain(|action| !matches!(action, Action::PurgeHose { .. }));
    }
    let failure = bench.verify(Some(&job), &planned).first_failure();
    assert!(matches!(failure, Some(Failure::Broken { finding, .. }) if finding.rule == "air-drawn-in"));
}

/// From the pump to the cylinder the centre hose takes air along, which goes into what has just been evacuated (common practice: purge it).
#[test]
fn a_centre_hose_full_of_air_is_not_opened_to_a_vacuum() {
    for (example, said) in [
        ("walk-in-cooler", "charge the empty system"),
        ("split-air-conditioner", "charge the empty system"),
        ("sealed-freezer", "fit an access valve: compressor"),
    ] {
        let bench = Bench::example(example);
        let job = bench.job(said);
        let mut planned = accepted(&bench, said);
        let centre = bench.assembly.rigged.centre_hose;
        let purges = |action: &Action| *action == Action::PurgeHose { hose: centre };
        assert!(planned.steps.iter().any(|step| step.actions.iter().any(purges)), "{example}");
        for step in &mut planned.steps {
            step.actions.retain(|action| !purges(action));
        }
        let failure = bench.verify(Some(&job), &planned).first_failure();
        let Some(Failure::Broken { finding, .. }) = failure else { panic!("{example}: {failure:?}") };
        assert_eq!(finding.rule, "hose-not-purged", "{example}");
    }
}

/// Liquid beside the compressor: heater and fans first (common practice).
#[test]
fn nobody_starts_a_compressor_beside_a_flooded_evaporator() {
    let mut waited = 0;
    for (example, said) in [
        ("walk-in-cooler", "replace the receiver"),
        ("sealed-freezer", "fit an access valve: compressor"),
        ("two-temperature", "replace the condenser"),
        ("walk-in-cooler", "charge the empty system"),
        ("heat-pump", "replace the compressor"),
    ] {
        let bench = Bench::example(example);
        let job = bench.job(said);
        let mut planned = accepted(&bench, said);
        let rule = "start-beside-liquid";
        let fires = |planned: &Procedure| {
            let steps = bench.verify(Some(&job), planned).steps;
            steps.iter().flat_map(|step| &step.found).any(|found| found.finding.rule == rule)
        };
        assert!(!fires(&planned), "{example}, {said}");
        let before = planned.steps.iter().map(|step| step.actions.len()).sum::<usize>();
        for step in &mut planned.steps {
            step.actions.retain(|action| *action != Action::Hold { minutes: 30 });
        }
        if planned.steps.iter().map(|step| step.actions.len()).sum::<usize>() < before {
            waited += 1;
            assert!(fires(&planned), "{example}, {said}");
        }
    }
    assert!(waited >= 2, "{waited}");
}

/// Who says no amount is told so, and what would settle it.
#[test]
fn a_top_up_without_an_amount_says_so() {
    for (example, tells) in
        [("walk-in-cooler", "weighed"), ("split-air-conditioner", "superheat"), ("heat-pump", "subcooling")]
    {
        let bench = Bench::example(example);
        let why = |said: &str| {
            let found = plan(&bench.assembly, &bench.refrigerant, &bench.job(said)).unwrap();
            let words = Words { assembly: &bench.assembly, units: UnitSystem::Si };
            let charge = found.best.steps.iter().find(|step| matches!(step.doing, Doing::Charge { .. }));
            words.why(charge.unwrap())
        };
        let unsaid = why("top up");
        assert!(unsaid.contains("a tenth of the charge is assumed") && unsaid.contains(tells), "{unsaid}");
        assert!(!why("top up: 100 g").contains("assumed"));
    }
}

/// What is there is said, and nothing else: one gauge, a ball without a stem to oil, a welded shell without a drain.
#[test]
fn words_fit_what_is_there() {
    let said = |bench: &Bench, job: &str| {
        let found = plan(&bench.assembly, &bench.refrigerant, &bench.job(job)).unwrap();
        let words = Words { assembly: &bench.assembly, units: UnitSystem::Si };
        let steps = found.best.steps.iter().map(|step| words.say(step, &found.best.job));
        steps.collect::<Vec<_>>().join("\n")
    };
    let one = said(&freezer(true), "take readings");
    assert!(one.contains("Read the gauge and") && !one.contains("both gauges"), "{one}");
    let oil = said(&freezer(true), "change the oil");
    assert!(oil.contains("pour its oil") && !oil.contains("Open the drain"), "{oil}");
    let bolted = said(&Bench::example("walk-in-cooler"), "replace the compressor");
    assert!(!bolted.contains("Braze"), "{bolted}");
    let drained = said(&Bench::example("walk-in-cooler"), "change the oil");
    assert!(drained.contains("Open the drain"), "{drained}");
}

/// A procedure given with another circuit is told so once.
#[test]
fn a_wrong_circuit_is_said_once() {
    let cooler = Bench::example("walk-in-cooler");
    let text = stemwise_prove::write(&cooler.assembly, &accepted(&cooler, "replace the drier"));
    let other = Bench::example("heat-pump").assembly.circuit;
    let problems = read(text.as_bytes(), &other, stemwise_circuit::Rig::usual()).problems;
    let ids: Vec<&str> = problems.iter().map(|problem| problem.id).collect();
    assert_eq!(ids, ["another-circuit"]);
    assert!(problems[0].say.contains("Walk-in cooler") && problems[0].say.contains(&other.name));
    // A fault in a procedure for this very circuit keeps its place.
    let typo = text.replacen("turn king to", "turn kign to", 1);
    let problems = read(typo.as_bytes(), &cooler.assembly.circuit, stemwise_circuit::Rig::usual()).problems;
    assert!(problems.iter().all(|problem| problem.id != "another-circuit") && !problems.is_empty());
}

/// Two stems right after each other shut liquid in, whether they stand in one step or in two.
#[test]
fn stems_turned_at_once_in_two_steps_shut_liquid_in() {
    let bench = Bench::example("walk-in-cooler");
    let text = include_str!("data/two-stems-at-once.txt");
    let judge = |text: &str| {
        let reading = read(text.as_bytes(), &bench.assembly.circuit, stemwise_circuit::Rig::usual());
        let task = stemwise_prove::Task::new(&bench.assembly, &bench.refrigerant, None);
        let failure = verify(&task, &reading.procedure.unwrap()).first_failure();
        match failure {
            Some(Failure::Broken { finding, .. }) => finding.rule.to_owned(),
            other => format!("{other:?}"),
        }
    };
    assert_eq!(judge(text), "liquid-shut-in");
    let parted =
        text.replacen("\n  cap off stem drier-valve", "\nstep: The other.\n  cap off stem drier-valve", 1);
    let parted = if parted == text {
        text.replacen("\n  turn drier-valve", "\nstep: The other.\n  turn drier-valve", 1)
    } else {
        parted
    };
    assert_ne!(parted, text);
    assert_eq!(judge(&parted), "liquid-shut-in");
    // A look at the gauge in between, and it has been emptied.
    let looked = parted.replacen("\nstep: The other.", "\n  read\nstep: The other.", 1);
    assert_ne!(judge(&looked), "liquid-shut-in");
}

/// A normally closed solenoid valve falls with the thermostat: what it feeds is parted from the liquid line while the system stands.
#[test]
fn a_solenoid_of_a_standing_system_is_shut() {
    let bench = Bench::example("walk-in-cooler");
    let stops = stemwise_service::Stops::usual(bench.assembly.circuit.atmosphere);
    let here = State::standing(&bench.assembly, &bench.refrigerant, &stops);
    let graph = &bench.assembly.circuit.graph;
    let mut solenoids = 0;
    for joint in &graph.joints {
        if matches!(joint.kind, stemwise_circuit::JointKind::Solenoid { .. }) {
            solenoids += 1;
            assert!(!here.settled.sections.joined(joint.a, joint.b), "{}", joint.name);
        }
    }
    assert_eq!(solenoids, 1);
    let charge = bench.assembly.circuit.charge.value.as_kg();
    assert!((here.state.circuit_mass(&bench.assembly).as_kg() - charge).abs() < 1e-9 * charge);
}

/// A cold cabinet warms up during the standing test: the gas presses more, and stays within what the parts are built for. The rise is reckoned here by the settling
/// with a warm cabinet, with ideal nitrogen; real nitrogen rises by some 2 % more between −20 and 27 °C at 15 bar (compressibility 0.986 and 0.997; NIST, from
/// memory).
#[test]
fn a_test_leaves_room_for_a_cabinet_that_warms_up() {
    let bench = freezer(true);
    let job = bench.job("test with nitrogen");
    let found = plan(&bench.assembly, &bench.refrigerant, &job).unwrap();
    let task = stemwise_prove::Task::new(&bench.assembly, &bench.refrigerant, Some(&job));
    let mut warm = bench.assembly.clone();
    for place in &mut warm.circuit.places {
        place.temperature.value = stemwise_units::Temperature::from_celsius(27.0);
    }
    let (mut here, mut tested) = (task.start(false), 0);
    for action in found.best.steps.iter().flat_map(|step| &step.actions) {
        here = task.act(&here, action).unwrap();
        if !matches!(action, Action::AdmitNitrogen { to } if to.as_bar() > 2.0) {
            continue;
        }
        tested += 1;
        let mut later = here.state.clone();
        let settled = stemwise_service::settle(&warm, &bench.refrigerant, &task.stops, &mut later);
        let (mut least, mut closest) = (f64::INFINITY, 0.0_f64);
        for (id, space) in bench.assembly.circuit.graph.spaces_with_ids() {
            let Some(design) = space.design else { continue };
            let (cold, warm) = (here.settled.pressure(id).unwrap(), settled.pressure(id).unwrap());
            assert!(warm.as_pa() > 1.02 * cold.as_pa(), "{}: it rises", space.name);
            assert!(warm.as_pa() <= design.value.as_pa(), "{}: {} Pa", space.name, warm.as_pa());
            least = least.min(design.value.as_pa());
            closest = closest.max(warm.as_pa());
        }
        assert!(closest > 0.9 * least, "{closest} of {least}");
    }
    assert_eq!(tested, 1);
}
