//! What is in a circuit, and the examples.

use stemwise_units::{Mass, UnitSystem, Volume};
use stemwise_wire::{ExamplesAnswer, ListAnswer, Quantity, Valve};

use super::text::{Text, row};

pub(crate) fn list(answer: &ListAnswer, units: UnitSystem) -> String {
    let mut text = Text::new();
    let mass = |kg| units.mass(Mass::from_kg(kg));
    text.heading(&answer.circuit);
    let class = format!("{}, safety class {}", answer.refrigerant, answer.safety_class);
    text.line("", &format!("{class}; charge {}", quantity(&answer.charge, mass)));
    valves(&mut text, &answer.valves);
    ports_and_jobs(&mut text, answer);
    spaces(&mut text, answer, units);
    text.done()
}

fn valves(text: &mut Text, valves: &[Valve]) {
    text.blank();
    text.heading("Valves and devices");
    let mut rows = vec![row(["name for --set", "kind", "normally", "between"])];
    rows.extend(valves.iter().map(|valve| {
        let normal = valve.normal.as_deref().unwrap_or("-");
        row([&valve.id, &valve.kind, normal, &valve.between.join(", ")])
    }));
    text.folding_table("  ", &rows);
    let with_port: Vec<Vec<String>> = valves.iter().filter_map(stays_with).collect();
    if !with_port.is_empty() {
        text.blank();
        text.line("", "Front-seated, the port of these stays with:");
        text.table("  ", &with_port, &[]);
    }
}

fn stays_with(valve: &Valve) -> Option<Vec<String>> {
    let [line, body] = &valve.between;
    let side = valve.port_stays_with.as_deref()?;
    let space = if side == "line" { line } else { body };
    Some(row([&valve.id, &format!("its {side}, {space}")]))
}

fn ports_and_jobs(text: &mut Text, answer: &ListAnswer) {
    text.blank();
    text.heading("Ports");
    let core = |core: bool| if core { "with a core" } else { "no core" };
    let mut rows = vec![row(["name for --hose", "on", ""])];
    rows.extend(answer.ports.iter().map(|port| row([&port.id, &port.on, core(port.core)])));
    if answer.ports.is_empty() {
        text.line("  ", "none");
    } else {
        text.table("  ", &rows, &[]);
    }
    text.blank();
    text.heading("Jobs, for plan --job");
    for job in &answer.jobs {
        text.line("  ", job);
    }
}

fn spaces(text: &mut Text, answer: &ListAnswer, units: UnitSystem) {
    let volume = |m3| units.volume(Volume::from_m3(m3));
    text.blank();
    text.heading("Spaces and their volumes");
    let space =
        |space: &stemwise_wire::Space| row([&space.id, &quantity(&space.volume, volume), &space.volume.from]);
    text.table("  ", &answer.spaces.iter().map(space).collect::<Vec<_>>(), &[]);
    let mut rules: Vec<&str> = Vec::new();
    for volume in answer.spaces.iter().map(|space| &space.volume).filter(|volume| volume.from == "estimated")
    {
        rules.extend(volume.rule.as_deref().filter(|rule| !rules.contains(rule)));
    }
    if !rules.is_empty() {
        text.blank();
        text.line("", "Estimated by these rules, for want of better; the file overrides them:");
        for rule in rules {
            text.wrap("  - ", rule);
        }
    }
}

/// The value, with its range where there is one.
fn quantity(quantity: &Quantity, print: impl Fn(f64) -> String) -> String {
    if quantity.low < quantity.value || quantity.value < quantity.high {
        let (low, high) = (print(quantity.low), print(quantity.high));
        return format!("about {} ({low} to {high})", print(quantity.value));
    }
    print(quantity.value)
}

pub(crate) fn examples(answer: &ExamplesAnswer) -> String {
    let mut text = Text::new();
    for example in &answer.examples {
        text.line("", &format!("example:{}", example.name));
        let what = format!("{} ({}). ", example.circuit, example.refrigerant);
        text.wrap("    ", &(what + example.note.as_deref().unwrap_or_default()));
    }
    text.done()
}
