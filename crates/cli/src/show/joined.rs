//! What is joined.

use stemwise_units::{Mass, Pressure, Temperature, UnitSystem};
use stemwise_wire::{Gauge, Hazard, JoinedAnswer, PartOfSection, Section};

use super::text::{Text, percent};

pub(crate) fn joined(answer: &JoinedAnswer, units: UnitSystem) -> String {
    let mut text = Text::new();
    let printer = Printer { units, atmosphere: Pressure::from_pa(answer.atmosphere_pa) };
    text.heading(&format!("What is joined: {}", answer.circuit));
    for note in &answer.notes {
        text.wrap("", note);
    }
    for (n, section) in (1..).zip(&answer.sections) {
        text.blank();
        printer.section(&mut text, n, section);
    }
    if !answer.gauges.is_empty() {
        text.blank();
        text.heading("Gauges");
        for gauge in &answer.gauges {
            printer.gauge(&mut text, gauge);
        }
    }
    hazards(&mut text, &answer.hazards);
    text.done()
}

fn hazards(text: &mut Text, hazards: &[Hazard]) {
    text.blank();
    text.heading("Hazards");
    if hazards.is_empty() {
        text.line("", "No rule finds fault with this state.");
    }
    for hazard in hazards {
        text.wrap(&format!("{}: ", hazard.severity.to_uppercase()), &hazard.say);
        text.wrap("    avoid: ", &hazard.avoid);
        text.wrap("    source: ", &hazard.source);
    }
}

struct Printer {
    units: UnitSystem,
    atmosphere: Pressure,
}

impl Printer {
    fn pressure(&self, pa: f64) -> String {
        self.units.gauge_pressure(Pressure::from_pa(pa).gauge(self.atmosphere))
    }

    fn section(&self, text: &mut Text, n: usize, section: &Section) {
        let (low, high) = (self.pressure(section.pressure_pa), self.pressure(section.highest_pressure_pa));
        let pressure = if low == high { low } else { format!("{low} to {high}") };
        let mass = self.units.mass(Mass::from_kg(section.mass_kg));
        let liquid = percent(section.liquid_fraction);
        text.line("", &format!("Section {n}: {pressure}, {mass}, {liquid} of it filled with liquid"));
        let rows: Vec<Vec<String>> = section.parts.iter().map(|part| self.part(part)).collect();
        text.table("    ", &rows, &[1, 2, 3, 4]);
        let ports = if section.ports.is_empty() { "no port".into() } else { section.ports.join(", ") };
        text.wrap("    read at: ", &ports);
    }

    fn part(&self, part: &PartOfSection) -> Vec<String> {
        vec![
            part.space.clone(),
            self.pressure(part.pressure_pa),
            self.units.temperature(Temperature::from_k(part.temperature_k)),
            self.units.mass(Mass::from_kg(part.mass_kg)),
            percent(part.liquid_fraction),
        ]
    }

    fn gauge(&self, text: &mut Text, gauge: &Gauge) {
        let atmosphere = self.atmosphere.as_pa();
        let reads = match gauge.pressure_gauge_pa {
            Some(pa) => format!("{} (it reads {})", self.pressure(pa + atmosphere), gauge.reads),
            None => "nothing of the system".into(),
        };
        text.wrap(&format!("{}: ", gauge.at), &format!("{reads}; {}.", gauge.why));
    }
}
