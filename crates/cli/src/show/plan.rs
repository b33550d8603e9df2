//! A procedure to print, take along and fill in.

use stemwise_answer::{bound_words, cost_words, phase_title};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire::{Alternative, Cost, Expect, NoPlan, PlanAnswer, PlanFound, PlanStep};

use super::text::{Text, WIDTH};

pub(crate) fn plan(answer: &PlanAnswer, units: UnitSystem) -> String {
    match answer {
        PlanAnswer::Found(found) => procedure(found, units),
        PlanAnswer::None(none) => no_way(none, units),
    }
}

fn rule(text: &mut Text, title: &str) {
    let title = if title.is_empty() { String::new() } else { format!("==== {title} ") };
    let rest = "=".repeat(WIDTH.saturating_sub(title.chars().count()));
    text.line("", &format!("{title}{rest}"));
}

fn procedure(found: &PlanFound, units: UnitSystem) -> String {
    let printer = Printer { units, atmosphere: Pressure::from_pa(found.atmosphere_pa) };
    let mut text = Text::new();
    rule(&mut text, "");
    text.wrap("PROCEDURE  ", &found.job);
    text.wrap("Circuit    ", &format!("{} ({})", found.circuit, found.refrigerant));
    text.wrap("Way        ", &format!("{}.", found.way));
    text.wrap("Cost       ", &format!("{}.", printer.cost(&found.cost)));
    text.wrap("Best?      ", &bound_words(&found.optimal, &found.objective));
    text.line("", "Date ______________  Name ________________________  Site ______________________");
    rule(&mut text, "");
    list(&mut text, "Read first", &found.cautions);
    list(&mut text, "Bring", &found.bring);
    let (mut phase, mut before): (&str, &[Expect]) = ("", &[]);
    for step in &found.steps {
        if step.phase != phase {
            phase = &step.phase;
            text.blank();
            let (name, what) = phase_title(phase);
            rule(&mut text, &format!("{}: {what}", name.to_uppercase()));
        }
        printer.step(&mut text, step, before);
        before = &step.expect;
    }
    end(&mut text, found);
    printer.others(&mut text, "Ways that no other beats", &found.unbeaten);
    printer.others(&mut text, "Other ways", &found.alternatives);
    text.done()
}

fn list(text: &mut Text, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    text.blank();
    text.line("", title);
    for item in items {
        text.wrap("  - ", item);
    }
}

fn end(text: &mut Text, found: &PlanFound) {
    text.blank();
    rule(text, "AFTERWARDS: how everything stands");
    let stem = |(stem, position): (&String, &String)| vec![stem.clone(), position.clone(), "[  ]".into()];
    let stems: Vec<Vec<String>> = found.end_state.stems.iter().map(stem).collect();
    text.table("  ", &stems, &[]);
    let rest = |title: &str, ids: &[String]| {
        format!("{title}: {}", if ids.is_empty() { "none".into() } else { ids.join(", ") })
    };
    text.wrap("  ", &rest("caps off", &found.end_state.caps_off));
    text.wrap("  ", &rest("open to the atmosphere", &found.end_state.open_spaces));
}

struct Printer {
    units: UnitSystem,
    atmosphere: Pressure,
}

impl Printer {
    /// As the gauge shows it; a vacuum as the vacuum gauge does.
    fn gauge(&self, pa: f64) -> String {
        self.units.as_read(Pressure::from_pa(pa), self.atmosphere)
    }

    fn cost(&self, cost: &Cost) -> String {
        cost_words(cost, self.units)
    }

    fn step(&self, text: &mut Text, step: &PlanStep, before: &[Expect]) {
        text.blank();
        text.wrap(&format!("{:>3}. ", step.n), &step.say);
        text.wrap("     Why: ", &step.why);
        for caution in &step.cautions {
            text.wrap("     Mind: ", caution);
        }
        let to_be_read = step.hold_point || step.action.kind == "read";
        if !to_be_read && !step.expect.is_empty() && step.expect == before {
            text.line("     ", "Gauges: as before.");
        } else {
            for expect in &step.expect {
                self.expect(text, expect);
            }
        }
        if let Some(hold) = step.hold.as_deref().filter(|_| step.hold_point) {
            text.wrap("  ** HOLD POINT: ", hold);
            text.line("     ", "Go on only when that is proved [  ]  at ____:____  initials [______]");
        }
    }

    fn expect(&self, text: &mut Text, expect: &Expect) {
        let (low, high) = (self.gauge(expect.low), self.gauge(expect.high));
        let value = self.gauge(expect.pressure_pa);
        let range = if low == high { String::new() } else { format!(" ({low} to {high})") };
        text.wrap("     Gauge ", &format!("at {}: expect {value}{range}", expect.gauge));
        text.line("           ", "read [____________]  initials [______]");
    }

    fn others(&self, text: &mut Text, title: &str, alternatives: &[Alternative]) {
        let price = |other: &Alternative| match (&other.cost, &other.because) {
            (Some(cost), _) => self.cost(cost),
            (None, Some(because)) => format!("not possible: {because}"),
            (None, None) => "not possible".into(),
        };
        let ways: Vec<String> =
            alternatives.iter().map(|other| format!("{}: {}", other.say, price(other))).collect();
        list(text, title, &ways);
    }
}

fn no_way(none: &NoPlan, units: UnitSystem) -> String {
    let printer = Printer { units, atmosphere: Pressure::from_pa(0.0) };
    let mut text = Text::new();
    text.wrap("NO SAFE WAY  ", &format!("{}: {}", none.circuit, none.job));
    for because in &none.because {
        text.blank();
        text.wrap("  - ", &because.say);
        text.wrap("    What would help: ", &because.would_help);
    }
    printer.others(&mut text, "Other ways", &none.alternatives);
    text.done()
}
