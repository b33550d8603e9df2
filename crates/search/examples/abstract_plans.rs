//! Reads abstract service problems, one JSON object a line, and prints the optimal cost of each (grams and twenty a move).

mod support;

use std::io::{BufRead, Write};

use serde_json::{Value, json};
use stemwise_search::Outcome;
use stemwise_search::stems::{Effort, Planner, Weights};

/// More states than this are not expanded: past it memory would run out.
const LIMIT: u64 = 20_000_000;

fn answer(line: &str) -> Value {
    let value: Value = match serde_json::from_str(line) {
        Ok(value) => value,
        Err(error) => return json!({"id": null, "error": error.to_string()}),
    };
    let id = value["id"].clone();
    let problem = match support::Problem::read(&value, support::Constants::read(&value)) {
        Ok(problem) => problem,
        Err(error) => return json!({"id": id, "error": error}),
    };
    let found = Planner::new(&problem.plant, Weights::BALANCED, Effort::Full).plan(LIMIT);
    let expanded = found.statistics.expanded;
    match found.outcome {
        Outcome::Solved { cost, .. } => json!({"id": id, "cost": cost, "expanded": expanded}),
        Outcome::Unsolvable => json!({"id": id, "cost": null, "expanded": expanded}),
        Outcome::Limit { at_least } => json!({"id": id, "error": "gave up", "at_least": at_least}),
    }
}

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        if !line.trim().is_empty() {
            writeln!(out, "{}", answer(&line))?;
            out.flush()?;
        }
    }
    Ok(())
}
