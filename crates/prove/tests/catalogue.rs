//! The whole catalogue of trade jobs over every example, in both directions: each is planned and its plan is accepted, or it is said why it makes no
//! sense there.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::collections::BTreeSet;

use stemwise_circuit::{Assembly, Circuit, Rig};
use stemwise_service::{Refrigerant, cylinders_for, find_job, jobs};
use support::Bench;

const EXAMPLES: [&str; 6] =
    ["walk-in-cooler", "split-air-conditioner", "sealed-freezer", "heat-pump", "two-temperature", "rack"];

/// A job on an example, as said there, or why there is none.
#[derive(Clone, Copy)]
enum Cell {
    Job(&'static str),
    #[allow(dead_code, reason = "told to who reads the table")]
    No(&'static str),
}
use Cell::{Job, No};

const NONE: Cell = No("has no such part");
const SEALED: Cell = No("not done on a sealed system");
const ONE_BOX: Cell = No("comes charged in one piece");
const RECEIVER: Cell = No("has a receiver, or nothing that tells the charge");

/// Each line of the catalogue over the examples.
const CATALOGUE: &[(&str, [Cell; 6])] = &[
    (
        "readings",
        [
            Job("take readings"),
            Job("take readings"),
            SEALED,
            Job("take readings"),
            Job("take readings"),
            Job("take readings"),
        ],
    ),
    (
        "pump down",
        [
            Job("pump down"),
            Job("pump down"),
            No("nothing shuts the supply off"),
            Job("pump down"),
            Job("pump down"),
            Job("pump down"),
        ],
    ),
    (
        "back to service after a pump-down",
        [
            Job("return to service"),
            Job("return to service"),
            No("it can't be pumped down"),
            Job("return to service"),
            Job("return to service"),
            Job("return to service"),
        ],
    ),
    (
        "compressor",
        [
            Job("replace the compressor"),
            Job("replace the compressor"),
            Job("replace the compressor + fit an access valve: suction-line"),
            Job("replace the compressor"),
            Job("replace the compressor"),
            Job("replace the compressor: compressor-2"),
        ],
    ),
    (
        "drier",
        [
            Job("replace the drier"),
            NONE,
            Job("replace the drier + fit an access valve: suction-line"),
            NONE,
            Job("replace the drier"),
            Job("replace the drier"),
        ],
    ),
    (
        "metering device",
        [
            Job("replace the metering device"),
            Job("replace the metering device"),
            Job("replace the metering device + fit an access valve: suction-line"),
            Job("replace the metering device: outdoor-metering"),
            Job("replace the metering device: freezer-expansion"),
            Job("replace the metering device: branch-4-expansion"),
        ],
    ),
    (
        "solenoid valve",
        [
            Job("replace the solenoid valve"),
            NONE,
            NONE,
            NONE,
            Job("replace the solenoid valve: cooler-solenoid"),
            Job("replace the solenoid valve: branch-6-solenoid"),
        ],
    ),
    (
        "evaporator",
        [
            Job("replace the evaporator"),
            Job("replace the evaporator"),
            Job("replace the evaporator + fit an access valve: suction-line"),
            Job("replace the coil: indoor-coil"),
            Job("replace the evaporator: freezer-evaporator"),
            Job("replace the evaporator: case-3"),
        ],
    ),
    (
        "condenser",
        [
            Job("replace the condenser"),
            Job("replace the condenser"),
            Job("replace the condenser + fit an access valve: suction-line"),
            Job("replace the coil: outdoor-coil"),
            Job("replace the condenser"),
            Job("replace the condenser"),
        ],
    ),
    (
        "receiver",
        [
            Job("replace the receiver"),
            NONE,
            NONE,
            NONE,
            Job("replace the receiver"),
            Job("replace the receiver"),
        ],
    ),
    (
        "accumulator",
        [
            NONE,
            Job("replace the accumulator"),
            NONE,
            Job("replace the accumulator"),
            NONE,
            Job("replace the accumulator"),
        ],
    ),
    ("oil separator", [NONE, NONE, NONE, NONE, NONE, Job("replace the oil separator")]),
    (
        "check valve",
        [
            NONE,
            NONE,
            NONE,
            Job("replace the check valve: indoor-check"),
            Job("replace the check valve"),
            NONE,
        ],
    ),
    (
        "pressure regulator",
        [
            NONE,
            NONE,
            NONE,
            NONE,
            Job("replace the pressure regulator: crankcase-regulator"),
            Job("replace the pressure regulator"),
        ],
    ),
    (
        "a service valve itself",
        [
            Job("replace the service valve: king"),
            NONE,
            NONE,
            NONE,
            Job("replace the service valve: suction-valve"),
            Job("replace the service valve: discharge-valve-2"),
        ],
    ),
    (
        "a hand or line-set valve",
        [
            Job("replace the hand valve"),
            Job("replace the hand valve: liquid-valve"),
            NONE,
            Job("replace the hand valve: gas-valve"),
            Job("replace the hand valve"),
            Job("replace the hand valve: branch-2-suction-valve"),
        ],
    ),
    (
        "relief valve",
        [Job("replace the relief valve"), NONE, NONE, NONE, NONE, Job("replace the relief valve")],
    ),
    ("reversing valve", [NONE, NONE, NONE, Job("replace the reversing valve"), NONE, NONE]),
    ("sight glass", [Job("replace the sight glass"), NONE, NONE, NONE, NONE, Job("replace the sight glass")]),
    (
        "a leak in the liquid line",
        [
            Job("repair the liquid line: valve-feed"),
            Job("repair the liquid line"),
            No("its liquid line is the drier and the capillary"),
            Job("repair the liquid line: liquid-line"),
            Job("repair the liquid line: freezer-feed"),
            Job("repair the liquid line: drop-leg"),
        ],
    ),
    (
        "a leak in the suction line",
        [
            Job("repair the suction line"),
            Job("repair the suction line"),
            Job("repair the suction line + fit an access valve: suction-line"),
            Job("repair the suction line"),
            Job("repair the suction line: cooler-suction"),
            Job("repair the suction line: suction-header"),
        ],
    ),
    (
        "a leak in the discharge line",
        [
            Job("repair the discharge line"),
            Job("repair the discharge line"),
            No("its compressor discharges into the condenser"),
            Job("repair the discharge line"),
            Job("repair the discharge line"),
            Job("repair the discharge line: riser"),
        ],
    ),
    (
        "a leak in another line",
        [Job("repair the line"), NONE, NONE, Job("repair the line: gas-line"), NONE, NONE],
    ),
    (
        "a leak anywhere",
        [
            Job("repair the leak: drier-port"),
            Job("repair the leak: suction-valve-port"),
            Job("repair the leak: capillary + fit an access valve: suction-line"),
            Job("repair the leak: reversing-valve-outdoor-suction"),
            Job("repair the leak: suction-tee"),
            Job("repair the leak: case-5"),
        ],
    ),
    (
        "recover all",
        [
            Job("recover all"),
            Job("recover all"),
            Job("recover all"),
            Job("recover all"),
            Job("recover all"),
            Job("recover all"),
        ],
    ),
    (
        "nitrogen test",
        [
            Job("test with nitrogen"),
            Job("test with nitrogen"),
            Job("test with nitrogen"),
            Job("test with nitrogen"),
            Job("test with nitrogen: cooler-evaporator"),
            Job("test with nitrogen"),
        ],
    ),
    (
        "deep evacuation",
        [
            Job("evacuate: drier"),
            Job("evacuate"),
            Job("evacuate"),
            Job("evacuate"),
            Job("evacuate"),
            Job("evacuate"),
        ],
    ),
    (
        "triple evacuation",
        [
            Job("evacuate three times"),
            Job("evacuate three times"),
            Job("evacuate three times"),
            Job("evacuate three times"),
            Job("evacuate three times"),
            Job("evacuate three times"),
        ],
    ),
    (
        "first charge",
        [
            Job("charge the empty system"),
            Job("test with nitrogen + evacuate three times + charge the empty system"),
            Job("test with nitrogen + evacuate + charge the empty system"),
            Job("charge the empty system"),
            Job("charge the empty system"),
            Job("charge the empty system"),
        ],
    ),
    (
        "top-up by weight",
        [
            Job("top up: 300 g"),
            Job("top up"),
            SEALED,
            Job("top up"),
            Job("top up: 0.2 kg"),
            Job("top up: 5 kg"),
        ],
    ),
    (
        "charge by subcooling",
        [
            RECEIVER,
            No("a fixed opening is charged by superheat"),
            SEALED,
            Job("charge by subcooling"),
            RECEIVER,
            RECEIVER,
        ],
    ),
    (
        "charge by superheat",
        [
            RECEIVER,
            Job("charge by superheat"),
            SEALED,
            No("thermostatic valves are charged by subcooling"),
            RECEIVER,
            RECEIVER,
        ],
    ),
    (
        "oil in",
        [
            Job("add oil"),
            Job("add oil"),
            SEALED,
            Job("add oil"),
            Job("add oil"),
            Job("add oil: compressor-3"),
        ],
    ),
    (
        "oil out and in",
        [
            Job("change the oil"),
            Job("change the oil"),
            Job("change the oil + fit an access valve: suction-line"),
            Job("change the oil"),
            Job("change the oil"),
            Job("change the oil: compressor-1"),
        ],
    ),
    (
        "core under pressure",
        [
            Job("swap the core"),
            Job("swap the core: liquid-valve-port"),
            NONE,
            Job("swap the core: suction-port"),
            Job("swap the core"),
            Job("swap the core: branch-3-port"),
        ],
    ),
    (
        "piercing valve, then a brazed one",
        [
            No("has ports"),
            No("has ports"),
            Job("fit an access valve: compressor"),
            No("has ports"),
            No("has ports"),
            No("has ports"),
        ],
    ),
    (
        "factory charge into the line set",
        [
            ONE_BOX,
            Job("release the factory charge"),
            ONE_BOX,
            Job("release the factory charge"),
            ONE_BOX,
            ONE_BOX,
        ],
    ),
    (
        "pump down into the outdoor unit",
        [
            ONE_BOX,
            Job("pump down into the outdoor unit"),
            ONE_BOX,
            Job("pump down into the outdoor unit"),
            ONE_BOX,
            ONE_BOX,
        ],
    ),
    (
        "decommission",
        [
            Job("decommission"),
            Job("decommission"),
            Job("decommission"),
            Job("decommission"),
            Job("decommission"),
            Job("decommission"),
        ],
    ),
    (
        "several on one visit",
        [
            Job("replace the drier + replace the metering device + take readings"),
            Job("replace the evaporator + replace the metering device + evacuate three times"),
            Job("replace the compressor + replace the drier + fit an access valve: suction-line"),
            Job("replace the coil: indoor-coil + replace the metering device: indoor-metering"),
            Job("replace the drier + replace the evaporator: cooler-evaporator"),
            Job("replace the drier + replace the metering device: branch-1-expansion"),
        ],
    ),
];

/// With as many recovery cylinders as the charge needs.
fn bench(example: &str) -> Bench {
    let Bench { assembly, refrigerant } = Bench::example(example);
    let circuit: Circuit = assembly.circuit;
    let mut rig = Rig::usual();
    if let Some(cylinder) = &mut rig.cylinder {
        cylinder.count = cylinders_for(&refrigerant, cylinder.water_capacity, circuit.charge.value).unwrap();
    }
    Bench {
        assembly: Assembly::new(circuit, rig),
        refrigerant: Refrigerant::named(refrigerant.substance().name().as_str()).unwrap(),
    }
}

#[test]
fn every_job_of_the_trade_on_every_example() {
    let (mut accepted, mut none) = (0, 0);
    for (column, example) in EXAMPLES.into_iter().enumerate() {
        let bench = bench(example);
        for (_, cells) in CATALOGUE {
            match cells[column] {
                Job(said) => {
                    let job = bench.job(said);
                    let planned =
                        bench.planned(&job).unwrap_or_else(|none| panic!("{example}, {said}: {none:?}"));
                    let certificate = bench.verify(Some(&job), &planned);
                    assert_eq!(certificate.first_failure(), None, "{example}, {said}");
                    assert!(certificate.account.gap() <= 1e-9, "{example}, {said}");
                    accepted += 1;
                }
                No(_) => none += 1,
            }
        }
    }
    assert_eq!((accepted, none), (164, 76));
}

/// No kind that a circuit offers is left out of the table, and what the table says makes no sense has no plan.
#[test]
fn the_table_leaves_nothing_out() {
    for (column, example) in EXAMPLES.into_iter().enumerate() {
        let bench = bench(example);
        let circuit = &bench.assembly.circuit;
        let listed: BTreeSet<_> = CATALOGUE
            .iter()
            .filter_map(|(_, cells)| if let Job(said) = cells[column] { Some(said) } else { None })
            .flat_map(|said| {
                find_job(circuit, said).unwrap().parts().iter().map(|part| part.kind).collect::<Vec<_>>()
            })
            .collect();
        for job in jobs(circuit).iter().filter(|job| !listed.contains(&job.kind)) {
            assert!(
                bench.planned(job).is_err(),
                "{example}: {} has a plan and is not in the table",
                job.words()
            );
        }
    }
}
