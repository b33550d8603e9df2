//! `search`: cheapest plans for published random circuits, each with what the search took.

#[path = "../../../crates/search/examples/support/mod.rs"]
#[allow(dead_code, reason = "the reader of these circuits also reads what is not asked here")]
mod support;

use serde_json::Value;
use stemwise_search::stems::{Effort, Planner, Weights};
use support::{Constants, Problem};

use crate::report::Report;

const FILE: &str = include_str!("../../../crates/search/tests/data/service-plans.json");

/// Circuits whose published search looked at more states are left to the tests of `search`.
const MOST_STATES: u64 = 5000;

pub(crate) fn write(report: &mut Report) {
    let file: Value = match serde_json::from_str(FILE) {
        Ok(file) => file,
        Err(error) => return report.line(&format!("error: {error}")),
    };
    let constants = Constants::read(&file);
    for instance in file.get("instances").and_then(Value::as_array).into_iter().flatten() {
        let small = |name: &str| {
            let states =
                instance.pointer(&format!("/optimum/{name}/states_expanded")).and_then(Value::as_u64);
            states.is_some_and(|states| states <= MOST_STATES)
        };
        for (name, weights) in [("balanced", Weights::BALANCED), ("moves", Weights::MOVES)] {
            if small(name) {
                report.line(&format!("{} {name}: {}", instance["id"], plan(instance, constants, weights)));
            }
        }
    }
}

fn plan(instance: &Value, constants: Constants, weights: Weights) -> String {
    match Problem::read(instance, constants) {
        Ok(problem) => {
            format!("{:?}", Planner::new(&problem.plant, weights, Effort::Full).plan(10 * MOST_STATES))
        }
        Err(error) => format!("error: {error}"),
    }
}
