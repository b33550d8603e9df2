//! A circuit in motion, as text.

use std::io::{self, Write};

use stemwise_units::{Mass, Pressure, PressureDifference, Temperature, TemperatureDifference, UnitSystem};
use stemwise_wire::{CoilInMotion, GaugeInMotion, RehearseAnswer, RunningBalance, StepInMotion};

use super::text::{Text, row};

/// Whether every step was done and no gauge is off.
pub(crate) fn went_as_planned(answer: &RehearseAnswer) -> bool {
    let steps = answer.procedure.iter().flat_map(|procedure| &procedure.steps);
    steps.into_iter().all(|step| step.stands == "done" && step.shown.iter().all(|shown| shown.fit != "off"))
}

/// One line on standard error: which step begins, and when by the clock of the rehearsal.
pub(crate) fn coming_step(step: &StepInMotion, seconds: f64) {
    let mut say: String = step.say.chars().take(56).collect();
    if say.len() < step.say.len() {
        say.push('…');
    }
    // Who doesn't listen misses nothing of the answer.
    let _ = writeln!(io::stderr().lock(), "{:>8}  {:>2}. {say}", clock(seconds), step.n);
}

/// The running balance, or a procedure step by step; with everything assumed if asked for.
pub(crate) fn rehearsed(
    answer: &RehearseAnswer,
    units: UnitSystem,
    all: bool,
    written: Option<&str>,
) -> String {
    let mut text = Text::new();
    let shown = Shown { units, atmosphere: Pressure::from_pa(answer.atmosphere_pa) };
    text.heading(&format!("{} ({}) in motion", answer.circuit, answer.refrigerant));
    for fault in &answer.faults {
        text.wrap("Fault: ", fault);
    }
    if let Some(balance) = &answer.balance {
        shown.balance(&mut text, balance, answer.seconds);
    }
    if let Some(procedure) = &answer.procedure {
        if let Some(job) = &procedure.job {
            text.wrap("Job: ", job);
        }
        text.blank();
        for step in &procedure.steps {
            shown.step(&mut text, step);
        }
        text.blank();
        let mass = |kg| units.mass(Mass::from_kg(kg));
        let (recovered, charged, lost) =
            (mass(answer.recovered_kg), mass(answer.charged_kg), mass(answer.lost_kg));
        text.wrap(
            "",
            &format!("In {}: recovered {recovered}, charged {charged}, lost {lost}.", clock(answer.seconds)),
        );
        text.wrap("", if went_as_planned(answer) { AS_PLANNED } else { NOT_AS_PLANNED });
    } else if !answer.went_wrong.is_empty() {
        text.blank();
        text.heading("On the way");
        for wrong in &answer.went_wrong {
            text.wrap(&format!("{:>8}  ", clock(wrong.seconds)), &wrong.say);
        }
    }
    text.blank();
    if all {
        text.heading("Taken by rule because the file doesn't say");
        for assumed in &answer.assumed {
            text.wrap("  - ", assumed);
        }
    } else if !answer.assumed.is_empty() {
        let count = answer.assumed.len();
        text.wrap(
            "",
            &format!("{count} values were taken by rule because the file doesn't say; --all lists them."),
        );
    }
    if let Some(path) = written {
        text.line("", &format!("Written to {path}."));
    }
    text.done()
}

const AS_PLANNED: &str = "Every step was done, and every gauge shows what it should or is on its way there.";
const NOT_AS_PLANNED: &str = "Not as planned: see the steps that are marked.";

struct Shown {
    units: UnitSystem,
    atmosphere: Pressure,
}

impl Shown {
    fn gauge(&self, pascal: f64) -> String {
        self.units.as_read(Pressure::from_pa(pascal), self.atmosphere)
    }

    fn balance(&self, text: &mut Text, balance: &RunningBalance, seconds: f64) {
        let steady = if balance.steady {
            format!("It has come to rest after {}.", clock(seconds))
        } else {
            format!("It has not come to rest within {}: a control stops it, or it hunts.", clock(seconds))
        };
        text.wrap("", &steady);
        for place in &balance.places {
            let at = self.units.temperature(Temperature::from_k(place.temperature_k));
            text.line("", &format!("{}: {at}", place.id));
        }
        text.blank();
        let mut rows = vec![row(["coil", "gauge", "bubble", "dew", "", "heat"])];
        rows.extend(balance.coils.iter().map(|coil| self.coil(coil)));
        text.table("", &rows, &[1, 2, 3, 5]);
        text.blank();
        for compressor in &balance.compressors {
            let stands = match &compressor.trip {
                Some(trip) => trip.clone(),
                None if compressor.runs => "runs".into(),
                None => "stands".into(),
            };
            let by = |k| self.units.temperature_difference(TemperatureDifference::from_k(k));
            let superheat = compressor
                .superheat_k
                .map_or_else(String::new, |k| format!(", draws in at {} superheat", by(k)));
            let discharge = self.units.temperature(Temperature::from_k(compressor.discharge_k));
            text.wrap(
                &format!("{}: ", compressor.id),
                &format!("{stands}, {}{superheat}, discharge {discharge}", kilowatts(compressor.power_w)),
            );
        }
        text.line(
            "",
            &format!(
                "Capacity {}, power {}, {:.1} g/s",
                kilowatts(balance.cooling_w),
                kilowatts(balance.power_w),
                1000.0 * balance.kg_per_second
            ),
        );
        text.blank();
        text.heading("Where the charge is");
        let whole: f64 = balance.charge.iter().map(|part| part.kg).sum();
        let mut rows: Vec<Vec<String>> = balance
            .charge
            .iter()
            .map(|part| vec![part.id.clone(), self.units.mass(Mass::from_kg(part.kg))])
            .collect();
        rows.push(vec!["in all".into(), self.units.mass(Mass::from_kg(whole))]);
        text.table("", &rows, &[1]);
    }

    fn coil(&self, coil: &CoilInMotion) -> Vec<String> {
        let at = |k| self.units.temperature(Temperature::from_k(k));
        let by = self.units.temperature_difference(TemperatureDifference::from_k(coil.difference_k));
        let what = if coil.condenses { "subcooling" } else { "superheat" };
        vec![
            coil.id.clone(),
            self.gauge(coil.pressure_pa),
            at(coil.bubble_k),
            at(coil.dew_k),
            format!("{what} {by}"),
            kilowatts(coil.heat_w),
        ]
    }

    fn step(&self, text: &mut Text, step: &StepInMotion) {
        let mark = match step.stands.as_str() {
            "done" => String::new(),
            "refused" => "CAN'T BE DONE: ".into(),
            "not-ended" => "DID NOT END: ".into(),
            other => format!("[{other}] "),
        };
        let at = step.to_s.map_or_else(|| " ".repeat(8), clock);
        text.wrap(&format!("{at:>8}  {:>2}. ", step.n), &format!("{mark}{}", step.say));
        let below =
            |text: &mut Text, first: &str, say: &str| text.wrap(&format!("              {first}"), say);
        if let Some(why) = &step.refused {
            below(text, "Why: ", why);
        }
        for gauge in &step.shown {
            below(text, "", &self.shown(gauge));
        }
        for wrong in &step.happened {
            below(text, "! ", &format!("{} at {}", wrong.say, clock(wrong.seconds)));
        }
    }

    fn shown(&self, gauge: &GaugeInMotion) -> String {
        let shows = format!("{} at {}", self.gauge(gauge.shows_pa), gauge.gauge);
        let (low, high) = (self.gauge(gauge.low_pa), self.gauge(gauge.high_pa));
        match gauge.fit.as_str() {
            "as-expected" if gauge.shows_pa < gauge.low_pa || gauge.shows_pa > gauge.high_pa => {
                let off = PressureDifference::from_pa(gauge.may_err_pa);
                format!(
                    "{shows}, expected {low} to {high}: as far off as this gauge may be ({})",
                    self.units.pressure_difference(off)
                )
            }
            "as-expected" => format!("{shows}, as expected"),
            "on-the-way" => format!("{shows}, on its way to {low} to {high}"),
            _ => format!("{shows}, OFF: expected {low} to {high}"),
        }
    }
}

fn kilowatts(watts: f64) -> String {
    format!("{:.2} kW", watts / 1000.0)
}

/// Hours, minutes, seconds.
fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0).round() as u64;
    format!("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
}
