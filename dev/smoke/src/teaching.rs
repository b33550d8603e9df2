//! `teach`: questions of every kind, and drills with their best way scored.

use stemwise_circuit::{examples, read};
use stemwise_prove::Procedure;
use stemwise_teach::{
    Classroom, Goal, Kind, best_way, drill_questions, drills, questions, read_drill, score,
};
use stemwise_units::UnitSystem;

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for example in examples().iter().filter(|example| example.name != "rack") {
        let circuit = read(example.text.as_bytes()).circuit;
        match circuit.map(|circuit| Classroom::new(&circuit, UnitSystem::Ip)) {
            Some(Ok(room)) => {
                let made = questions(&room, &Kind::ALL, 17, 9);
                report.digest(&format!("{} questions", made.len()), &format!("{made:?}"));
            }
            other => report.line(&format!("error: {}: {other:?}", example.name)),
        }
    }
    for example in drills() {
        match read_drill(example.text.as_bytes()).drill {
            None => report.line(&format!("error: {} is not read", example.name)),
            Some(drill) if matches!(drill.goal, Goal::Job(_)) => {
                let best = best_way(&drill).map(|best| best.procedure).unwrap_or_default();
                let marks =
                    [best, Procedure::default()].map(|run| score(&drill, &run).map(|score| score.marks));
                report.line(&format!("{}: {marks:?}", example.name));
            }
            Some(drill) => report.digest(example.name, &format!("{:?}", drill_questions(&drill))),
        }
    }
}
