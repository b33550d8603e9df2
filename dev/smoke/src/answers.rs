//! `answer`: the composition functions on the examples, as JSON.

use stemwise_answer::{JoinedAsk, PlanAsk, check, circuit_schema, example, joined, list, plan};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for name in ["walk-in-cooler", "sealed-freezer"] {
        let Ok(text) = example(name) else {
            report.line(&format!("{name}: error: no such example"));
            continue;
        };
        let file = text.as_bytes();
        put(report, name, "check", Ok::<_, String>(check(file)));
        put(report, name, "list", list(file));
        put(report, name, "joined", joined(file, &JoinedAsk { running: true, ..JoinedAsk::default() }));
        put(
            report,
            name,
            "plan",
            plan(file, &PlanAsk { job: "replace the drier".into(), ..PlanAsk::default() }),
        );
    }
    report.digest("circuit schema", &circuit_schema().to_string());
}

fn put<T: serde::Serialize, E: std::fmt::Display>(
    report: &mut Report,
    name: &str,
    task: &str,
    answer: Result<T, E>,
) {
    match answer {
        Ok(answer) => {
            report.digest(&format!("{name} {task}"), &serde_json::to_string(&answer).unwrap_or_default())
        }
        Err(error) => report.line(&format!("{name} {task}: error: {error}")),
    }
}
