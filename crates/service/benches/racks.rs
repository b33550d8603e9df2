//! How planning grows with the rack while the section worked on stays the same: `cargo bench -p stemwise-service --bench racks`.
//!
//! Invented racks: the example of six branches with so many more of the same, its vessels and its charge in proportion. Each plan is timed in turns
//! with a yardstick, the settling of the whole rack; the ratio says how many settlings a plan is worth.
#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::disallowed_methods, reason = "a benchmark")]

use std::time::Instant;

use stemwise_circuit::{Assembly, Rig, examples, read};
use stemwise_service::plan::plan;
use stemwise_service::{Refrigerant, State, Stops, cylinders_for, find_job, settle};
use stemwise_units::Pressure;

const TURNS: usize = 3;
const JOBS: [&str; 5] = [
    "pump down",
    "replace the drier",
    "replace the evaporator: case-1",
    "recover all",
    "replace the compressor: compressor-1",
];

/// The example with another number of branches.
fn rack(branches: usize) -> String {
    let text = examples().iter().find(|example| example.name == "rack").unwrap().text;
    let blocks: Vec<String> = text.split("\n[").map(|block| format!("\n[{block}")).collect();
    let of_branch = |block: &str, branch: usize| {
        [format!("branch-{branch}-"), format!("case-{branch}]"), format!("\"case-{branch}\"")]
            .iter()
            .any(|mark| block.contains(mark.as_str()))
    };
    let any = |block: &str| (1..=6).any(|branch| of_branch(block, branch));
    let part = branches as f64 / 6.0;
    let mut grown: String =
        blocks.iter().filter(|block| !any(block)).map(|block| larger(block, part)).collect();
    for branch in 1..=branches {
        for block in blocks.iter().filter(|block| of_branch(block, 1)) {
            let named = block
                .replace("branch-1-", &format!("branch-{branch}-"))
                .replace("case-1", &format!("case-{branch}"));
            grown.push_str(
                &named
                    .replace("branch 1", &format!("branch {branch}"))
                    .replace("case 1", &format!("case {branch}")),
            );
        }
    }
    grown.trim_start_matches("\n[").to_owned()
}

/// A vessel that all branches share, or the head of the file with the charge.
fn larger(block: &str, part: f64) -> String {
    let shared = ["oil-separator", "condenser", "receiver", "drier", "accumulator"];
    let grows = |line: &str, key: &str| {
        let number = line.strip_prefix(key)?.split(' ').next()?.parse::<f64>().ok()?;
        let unit = line.split(' ').next_back()?;
        Some(format!("{key}{:.1} {unit}", number * part))
    };
    let is_shared = shared.iter().any(|name| block.contains(&format!("[part.{name}]")));
    let keys: &[&str] = if is_shared {
        &["volume = \""]
    } else if block.contains("schema = 1") {
        &["charge = \"", "capacity = \""]
    } else {
        &[]
    };
    let line = |line: &str| keys.iter().find_map(|key| grows(line, key)).unwrap_or_else(|| line.to_owned());
    block.lines().map(line).collect::<Vec<_>>().join("\n")
}

fn best_ms(mut run: impl FnMut()) -> f64 {
    let one = |_| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..TURNS).map(one).fold(f64::INFINITY, f64::min)
}

fn main() {
    println!("valves branches        ms  settlings  best?      job");
    for branches in [6, 20, 60, 120] {
        let text = rack(branches);
        let circuit = read(text.as_bytes())
            .circuit
            .unwrap_or_else(|| panic!("{branches} branches: {:?}", read(text.as_bytes()).problems));
        let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
        let valves = circuit.graph.joints.len();
        let mut rig = Rig::usual();
        if let Some(cylinder) = &mut rig.cylinder {
            cylinder.count =
                cylinders_for(&refrigerant, cylinder.water_capacity, circuit.charge.value).unwrap();
        }
        let assembly = Assembly::new(circuit, rig);
        let stops = Stops::usual(Pressure::from_bar(1.0));
        let start = State::start(&assembly, &refrigerant, &stops, true).state;
        for said in JOBS {
            let job = find_job(&assembly.circuit, said).unwrap();
            let settling = best_ms(|| {
                (0..20).for_each(|_| drop(settle(&assembly, &refrigerant, &stops, &mut start.clone())))
            }) / 20.0;
            let ms = best_ms(|| drop(plan(&assembly, &refrigerant, &job)));
            let best =
                plan(&assembly, &refrigerant, &job).map(|found| format!("{:?}", found.best.optimality));
            let best = best.unwrap_or_else(|_| "none".into());
            println!("{valves:>6} {branches:>8} {ms:>9.1} {:>10.0}  {best:<9}  {said}", ms / settling);
        }
    }
}
