//! `service`: the jobs of every example, each planned.

use stemwise_circuit::{Assembly, Circuit, Rig, examples, read};
use stemwise_service::plan::plan;
use stemwise_service::{Job, Refrigerant, find_job, jobs};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for example in examples() {
        match read(example.text.as_bytes()).circuit {
            Some(circuit) => write_jobs(report, example.name, circuit),
            None => report.line(&format!("{}: no circuit", example.name)),
        }
    }
}

fn write_jobs(report: &mut Report, name: &str, circuit: Circuit) {
    let refrigerant = match Refrigerant::named(&circuit.refrigerant) {
        Ok(refrigerant) => refrigerant,
        Err(error) => return report.line(&format!("{name}: error: {error}")),
    };
    let assembly = Assembly::new(circuit, Rig::usual());
    // On a large circuit the jobs that name no single part are enough here: the bits are the same code's.
    let large = assembly.circuit.graph.spaces.len() > 40;
    for job in jobs(&assembly.circuit).into_iter().filter(|job| !large || job.target.is_none()) {
        let again = find_job(&assembly.circuit, &job.words());
        let found = if again.as_ref() == Ok(&job) { "" } else { ", error: not found again by its words" };
        let said = format!("{name}: {} about {} spaces{found}", job.words(), job.spaces.len());
        write_plan(report, &said, &assembly, &refrigerant, &job);
    }
}

fn write_plan(report: &mut Report, said: &str, assembly: &Assembly, refrigerant: &Refrigerant, job: &Job) {
    match plan(assembly, refrigerant, job) {
        Ok(plan) => {
            let steps = plan.best.steps.len();
            report.digest(&format!("{said}: {steps} steps"), &format!("{plan:?}"));
        }
        Err(no_way) => report.digest(&format!("{said}: no way"), &format!("{no_way:?}")),
    }
}
