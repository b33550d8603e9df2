//! `service`: the jobs of every example.

use stemwise_circuit::{examples, read};
use stemwise_service::{find_job, jobs};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for example in examples() {
        let Some(circuit) = read(example.text.as_bytes()).circuit else {
            report.line(&format!("{}: no circuit", example.name));
            continue;
        };
        for job in jobs(&circuit) {
            let again = find_job(&circuit, &job.words());
            let found = if again.as_ref() == Ok(&job) { "" } else { ", error: not found again by its words" };
            report.line(&format!("{}: {} about {:?}{found}", example.name, job.words(), job.spaces));
        }
    }
}
