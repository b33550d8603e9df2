//! A job as carried out, as text.

use stemwise_units::{Mass, UnitSystem};
use stemwise_wire::{JobAnswer, JobState, JobStepState};

use super::check::problems;
use super::text::{Text, count};

/// Where a job stands; with everything that was entered if asked for.
pub(crate) fn job(answer: &JobAnswer, units: UnitSystem, all: bool, written: &[Option<&str>; 2]) -> String {
    let mut text = Text::new();
    let state = &answer.state;
    let what = if state.job.is_empty() { "a job whose opening is missing" } else { &state.job };
    text.wrap(&format!("{}  ", state.stands.to_uppercase()), &format!("{}: {what}", state.circuit));
    let opened = [("Opened ", &state.opened), ("Closed ", &state.closed)];
    for (word, at) in opened.iter().filter_map(|(word, at)| at.as_ref().map(|at| (word, at))) {
        text.line("  ", &format!("{word}{at}"));
    }
    if let Some(why) = &state.closed_despite {
        text.wrap("  In spite of what is open: ", why);
    }
    text.line("  ", &count(answer.entries, "entry", "entries"));
    for trouble in &state.trouble {
        text.wrap("  ! ", trouble);
    }
    next(&mut text, state);
    steps(&mut text, state);
    account(&mut text, state, units);
    list(&mut text, "Not in its normal place", state.not_back.iter().map(|thing| thing.say.as_str()));
    list(&mut text, "Missing before it may be closed", state.open.iter().map(|item| item.say.as_str()));
    if all {
        text.blank();
        text.heading("Everything that was entered");
        for line in &state.timeline {
            let back =
                line.retracted.as_ref().map_or_else(String::new, |why| format!("TAKEN BACK ({why}): "));
            text.wrap(&format!("  {}  ", line.at), &format!("{back}{}", line.say));
        }
    }
    if !answer.problems.is_empty() {
        text.blank();
        text.heading("Damage");
        problems(&mut text, &answer.problems);
    }
    for path in written.iter().flatten() {
        text.line("", &format!("Written to {path}."));
    }
    text.done()
}

fn next(text: &mut Text, state: &JobState) {
    if let Some(step) = state.next.and_then(|next| state.steps.get(next.saturating_sub(1))) {
        text.wrap(&format!("  Next, step {}: ", step.n), &step.say);
    }
    for block in &state.blocks {
        text.wrap("  First: ", &block.say);
    }
}

fn steps(text: &mut Text, state: &JobState) {
    let touched = |step: &&JobStepState| step.stands != "to-do";
    let mut told = state.steps.iter().chain(&state.dropped).filter(touched).peekable();
    if told.peek().is_none() {
        return;
    }
    text.blank();
    text.heading("Steps so far");
    for step in told {
        let took = step.took_s.map_or_else(String::new, |s| format!(", {:.0} min", s / 60.0));
        text.wrap(&format!("{:>3}. [{}{took}] ", step.n, step.stands), &step.say);
        if let Some(why) = &step.why {
            text.wrap("     Why: ", why);
        }
        let readings = state.readings.iter().filter(|reading| step.events.contains(&reading.event));
        for reading in readings.filter(|reading| reading.retracted.is_none()) {
            text.wrap(&format!("     Gauge at {}: ", reading.place), &reading.say);
        }
        match (&step.proof, step.proved) {
            (Some(how), Some(true)) => text.wrap("     Hold point proved: ", how),
            (Some(why), _) => text.wrap("     HOLD POINT PASSED OVER: ", why),
            _ => {}
        }
    }
}

fn account(text: &mut Text, state: &JobState, units: UnitSystem) {
    let account = &state.account;
    let mass = |kg| units.mass(Mass::from_kg(kg));
    text.blank();
    text.heading("Refrigerant");
    let all = [account.recovered_kg, account.charged_kg, account.lost_kg].map(mass);
    let [recovered, charged, lost] = all;
    text.line("  ", &format!("By weight: recovered {recovered}, charged {charged}; entered as lost: {lost}"));
    if let Some(reckoned) = &account.reckoned {
        let [recovered, charged, lost] =
            [reckoned.recovered_kg, reckoned.charged_kg, reckoned.lost_kg].map(mass);
        text.line("  ", &format!("By the steps done: recovered {recovered}, charged {charged}, lost {lost}"));
    }
    for timer in state.timers.iter().filter(|timer| timer.retracted.is_none()) {
        text.wrap("  ", &timer.say);
        if let Some(verdict) = &timer.verdict {
            text.wrap("    ", verdict);
        }
    }
}

fn list<'s>(text: &mut Text, heading: &str, lines: impl Iterator<Item = &'s str>) {
    let lines: Vec<&str> = lines.collect();
    if lines.is_empty() {
        return;
    }
    text.blank();
    text.heading(heading);
    for line in lines {
        text.wrap("  - ", line);
    }
}
