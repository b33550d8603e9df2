//! `prove`: a planned procedure through its file, judged, slipped and explained.

use stemwise_circuit::{Assembly, Rig, examples, read as read_circuit};
use stemwise_prove::{Procedure, Task, read, slips, verify, why, write as write_file};
use stemwise_service::plan::plan;
use stemwise_service::{Refrigerant, find_job};
use stemwise_units::UnitSystem;

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for (name, job) in [("walk-in-cooler", "replace the drier"), ("heat-pump", "pump down")] {
        if let Err(why) = write_proof(report, name, job) {
            report.line(&format!("{name}, {job}: error: {why}"));
        }
    }
}

fn write_proof(report: &mut Report, name: &str, job: &str) -> Result<(), String> {
    let text = examples().iter().find(|example| example.name == name).ok_or("no such example")?.text;
    let circuit = read_circuit(text.as_bytes()).circuit.ok_or("no circuit")?;
    let refrigerant = Refrigerant::named(&circuit.refrigerant).map_err(|error| error.to_string())?;
    let assembly = Assembly::new(circuit, Rig::usual());
    let job = find_job(&assembly.circuit, job).map_err(|error| error.to_string())?;
    let planned = plan(&assembly, &refrigerant, &job).map_err(|no_way| format!("{no_way:?}"))?;
    let procedure = Procedure::planned(&assembly, &planned.best, &[], UnitSystem::Si);
    let file = write_file(&assembly, &procedure);
    let again =
        read(file.as_bytes(), &assembly.circuit, Rig::usual()).procedure.ok_or("its file is not read")?;
    let task = Task::new(&assembly, &refrigerant, Some(&job));
    report.digest(&format!("{name} procedure file"), &file);
    report.digest(&format!("{name} verdict"), &format!("{:?}", verify(&task, &again)));
    report.digest(&format!("{name} slips"), &format!("{:?}", slips(&task, &procedure)));
    let whys: Vec<_> = (0..procedure.steps.len()).map(|step| why(&task, &procedure, step)).collect();
    report.digest(&format!("{name} why"), &format!("{:?}", whys));
    Ok(())
}
