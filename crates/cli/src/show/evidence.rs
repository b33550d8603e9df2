//! Evidence from readings and tests.

use stemwise_units::UnitSystem;
use stemwise_wire::{Estimate, EvidenceAnswer, RuleAnswer, SuspectAnswer};

use super::text::Text;

pub(crate) fn evidence(answer: &EvidenceAnswer, _units: UnitSystem) -> String {
    let mut text = Text::new();
    text.heading(&answer.title);
    text.wrap("", &answer.verdict);
    text.blank();
    let given: Vec<Vec<String>> =
        answer.given.iter().map(|it| vec![it.name.clone(), it.shown.clone()]).collect();
    text.folding_table("", &given);
    values(&mut text, &answer.values);
    suspects(&mut text, &answer.suspects, answer.calibrated == Some(true));
    rules(&mut text, &answer.rules);
    list(&mut text, "What to do", &answer.advice);
    list(&mut text, "What to know", &answer.remarks);
    text.blank();
    text.wrap("", "Behind ± stands the expanded uncertainty: the true value lies within with about 95 %.");
    text.wrap("by ", &answer.model);
    text.done()
}

fn values(text: &mut Text, values: &[Estimate]) {
    if values.is_empty() {
        return;
    }
    text.blank();
    text.heading("What follows");
    let rows: Vec<Vec<String>> = values.iter().map(|it| vec![it.name.clone(), it.shown.clone()]).collect();
    let shown: Vec<Vec<String>> = rows
        .into_iter()
        .zip(values)
        .map(|(mut row, it)| {
            row.push(if it.estimate { "estimate".into() } else { String::new() });
            row
        })
        .collect();
    text.table("", &shown, &[]);
    for it in values {
        if let Some(target) = &it.target {
            let word = match target.against.as_str() {
                "within" => "within",
                "below" => "BELOW",
                "above" => "ABOVE",
                _ => "can't tell:",
            };
            text.wrap(
                "  ",
                &format!("{}: {word} {} ({}; {})", it.name, target.shown, target.word, target.source),
            );
        }
    }
}

fn suspects(text: &mut Text, suspects: &[SuspectAnswer], calibrated: bool) {
    if suspects.is_empty() {
        return;
    }
    text.blank();
    text.heading(if calibrated {
        "Suspects, with their probability"
    } else {
        "Suspects, by how the readings fit their signs"
    });
    for it in suspects.iter().take(5) {
        text.line("", &format!("{:>9}  {}", stemwise_answer::chance_words(it.weight), it.name));
        if !it.sizes.is_empty() {
            text.wrap("       size: ", &it.sizes.join("; "));
        }
        if !it.in_favour.is_empty() {
            text.wrap("       for: ", &it.in_favour.join("; "));
        }
        if !it.against.is_empty() {
            text.wrap("       against: ", &it.against.join("; "));
        }
    }
}

fn rules(text: &mut Text, rules: &[RuleAnswer]) {
    if rules.is_empty() {
        return;
    }
    text.blank();
    text.heading("Published criteria, side by side");
    for rule in rules {
        text.wrap(&format!("{:<11}", rule.outcome), &format!("{}: {}", rule.wants, rule.why));
        text.wrap("           ", &format!("[{}] {}", rule.id, rule.source));
    }
}

fn list(text: &mut Text, heading: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    text.blank();
    text.heading(heading);
    for item in items {
        text.wrap("- ", item);
    }
}
