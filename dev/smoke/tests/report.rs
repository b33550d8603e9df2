//! The report says something about every core crate, and nothing in it failed.

use std::sync::LazyLock;

use stemwise_smoke::smoke;

static REPORT: LazyLock<String> = LazyLock::new(smoke);

const SECTIONS: [&str; 9] =
    ["units", "thermo", "search", "circuit", "service", "record", "teach", "readings", "wire"];

#[test]
fn every_section_has_lines_and_no_errors() {
    let report = &*REPORT;
    for section in SECTIONS {
        let mut lines = report.lines().skip_while(|line| *line != format!("[{section}]")).skip(1);
        let found = lines.by_ref().take_while(|line| !line.starts_with('[')).count();
        assert!(found >= 3, "{section}: {found} lines in\n{report}");
    }
    let failed: Vec<_> = report.lines().filter(|line| line.contains("error:")).collect();
    assert!(failed.is_empty(), "{failed:#?}");
}

#[test]
fn most_states_are_found() {
    let counts: Vec<(u32, u32)> = REPORT.lines().filter_map(states).collect();
    assert!(counts.len() >= 11, "only {} fluids", counts.len());
    let (found, asked) = counts.iter().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    assert!(asked > 1000 && found * 10 > asked * 9, "{found} of {asked}");
}

/// "R-134a: 12 of 13 states, …" as (12, 13).
fn states(line: &str) -> Option<(u32, u32)> {
    let (counts, _) = line.split_once(": ")?.1.split_once(" states, ")?;
    let (found, asked) = counts.split_once(" of ")?;
    Some((found.parse().ok()?, asked.parse().ok()?))
}

#[test]
fn two_runs_agree() {
    assert_eq!(*REPORT, smoke());
}

#[test]
fn cheapest_plans_are_found() {
    let solved = REPORT.lines().filter(|line| line.contains("outcome: Solved")).count();
    assert!(solved >= 20, "only {solved} plans");
}

#[test]
fn examples_are_read_and_joined() {
    let report = &*REPORT;
    for example in stemwise_circuit::examples() {
        // An example that is still to be written has no text.
        let read = report.contains(&format!("{} as read: ", example.name));
        assert!(read || example.text.trim().is_empty(), "{} was not read", example.name);
    }
    assert!(report.contains(" lineups joined: "), "no example was read");
}

#[test]
fn jobs_are_planned() {
    let report = &*REPORT;
    let planned = report.lines().filter(|line| line.contains(" about ") && line.contains(" steps: ")).count();
    assert!(planned >= 5, "only {planned} plans in\n{report}");
}
