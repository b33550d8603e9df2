//! Plans every job of the examples, or those named, has the verifier judge each plan, and prints what came of it with the time it took; of those named
//! also the procedure.
//!
//! `cargo run --release -p stemwise-prove --example jobs -- [EXAMPLE or FILE [JOB ...]]`
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program by hand, which reads the clock"
)]

use std::time::Instant;

use stemwise_circuit::{Assembly, Rig, examples, read};
use stemwise_prove::{Procedure, Task, verify, write};
use stemwise_service::{Refrigerant, cylinders_for, find_job, jobs, plan::plan};
use stemwise_units::UnitSystem;

fn main() {
    let mut typed = std::env::args().skip(1);
    let only = typed.next();
    let said: Vec<String> = typed.collect();
    let own = only.as_deref().and_then(|path| std::fs::read_to_string(path).ok());
    let own = own.as_deref().map(|text| ("own", text));
    let built_in = examples().iter().map(|example| (example.name, example.text));
    let wanted = |name: &str| name == "own" || only.as_deref().is_none_or(|only| only == name);
    for (name, text) in built_in.chain(own).filter(|(name, _)| wanted(name)) {
        let circuit = read(text.as_bytes()).circuit.unwrap();
        let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
        let mut rig = Rig::usual();
        if let Some(cylinder) = &mut rig.cylinder {
            cylinder.count =
                cylinders_for(&refrigerant, cylinder.water_capacity, circuit.charge.value).unwrap();
        }
        let assembly = Assembly::new(circuit, rig);
        let chosen = match said.as_slice() {
            [] => jobs(&assembly.circuit),
            said => said.iter().map(|said| find_job(&assembly.circuit, said).unwrap()).collect(),
        };
        for job in chosen {
            let start = Instant::now();
            let found = plan(&assembly, &refrigerant, &job);
            let took = start.elapsed().as_millis();
            let name = format!("{name}, {}", job.words());
            match found {
                Ok(found) => {
                    let procedure = Procedure::planned(&assembly, &found.best, &[], UnitSystem::Si);
                    let certificate = verify(&Task::new(&assembly, &refrigerant, Some(&job)), &procedure);
                    let tests: Vec<String> = procedure
                        .steps
                        .iter()
                        .flat_map(|step| &step.actions)
                        .filter_map(|action| match action {
                            stemwise_service::Action::AdmitNitrogen { to } if to.as_bar() > 0.01 => {
                                Some(format!("{:.1}", to.as_bar()))
                            }
                            _ => None,
                        })
                        .collect();
                    let cost = found.best.cost;
                    if !said.is_empty() {
                        println!("{}", write(&assembly, &procedure));
                    }
                    println!(
                        "{took:>6} ms  {name}: {:?}, {} steps, {:.3} kg out, {:.4} lost, {} turns, {:.0} min, test {} bar, {:?}; {}",
                        found.best.way,
                        found.best.steps.len(),
                        cost.removed_kg,
                        cost.lost_kg,
                        cost.stem_moves,
                        cost.minutes,
                        tests.join("/"),
                        found.best.optimality,
                        certificate
                            .first_failure()
                            .map_or("accepted".into(), |failure| format!("{failure:?}")),
                    );
                }
                Err(none) => println!("{took:>6} ms  {name}: NO WAY {:?} {:?}", none.missing, none.tried),
            }
        }
    }
}
