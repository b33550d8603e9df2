//! How a blend shifts.

use stemwise_units::{GaugePressure, Mass, Temperature, TemperatureDifference, UnitSystem, Volume};
use stemwise_wire::{Parts, ShiftAnswer, ShiftContent, ShiftDeviation, ShiftRound, ShiftStage};

use super::properties::by;
use super::text::{Text, row};

pub(crate) fn shift(answer: &ShiftAnswer, units: UnitSystem) -> String {
    let mut text = Text::new();
    text.line("", &headline(answer, units));
    text.blank();
    text.heading("What stays");
    pressures(&mut text, answer, units);
    if answer.changes {
        text.blank();
        text.heading("What stays, % by mass");
        let stays = |stage: &ShiftStage| Some(stage.content.overall.clone());
        compositions(&mut text, answer, stays);
        text.blank();
        text.heading(&format!("What has gone out so far, % by mass; {} first and last", answer.leaves));
        compositions(&mut text, answer, |stage| stage.drawn.clone());
        leaving(&mut text, answer);
        text.blank();
        text.heading("What stays against the nominal composition, % of the mass");
        deviation(&mut text, &answer.deviation);
    }
    if !answer.rounds.is_empty() {
        text.blank();
        rounds(&mut text, answer, units);
    }
    text.blank();
    for remark in &answer.remarks {
        text.wrap("- ", remark);
    }
    if answer.changes {
        text.wrap(
            "- ",
            "Where it is out of tolerance, common practice is to recover all of it and to charge fresh liquid by weight. Local rules and \
             the maker's instructions decide; nothing is vented.",
        );
    }
    by(&mut text, &answer.model, &answer.estimated);
    text.done()
}

fn headline(answer: &ShiftAnswer, units: UnitSystem) -> String {
    let mass = answer.stages.first().map_or(f64::NAN, |stage| stage.content.mass_kg);
    format!(
        "{}, {} in {} at {}: {} leaves",
        answer.fluid,
        units.mass(Mass::from_kg(mass)),
        units.volume(Volume::from_m3(answer.volume_m3)),
        units.temperature(Temperature::from_k(answer.temperature_k)),
        answer.leaves
    )
}

/// "50 %", "5.2 %"; with a star at the last drop.
fn left(stage: &ShiftStage) -> String {
    let percent = 100.0 * stage.part_left;
    let whole = (percent - percent.round()).abs() < 1e-6;
    let number = if whole { format!("{percent:.0} %") } else { format!("{percent:.1} %") };
    if stage.moment == "last-drop" { format!("*{number}") } else { number }
}

/// "+1.2 K", "0.0 K".
fn hotter(units: UnitSystem, kelvin: f64) -> String {
    signed(&units.temperature_difference(TemperatureDifference::from_k(kelvin)))
}

fn signed(text: &str) -> String {
    let nothing = text.chars().filter(char::is_ascii_digit).all(|digit| digit == '0');
    match text.strip_prefix('-') {
        Some(rest) if nothing => rest.to_owned(),
        None if !nothing => format!("+{text}"),
        _ => text.to_owned(),
    }
}

fn percent(part: f64) -> String {
    signed(&format!("{:.1} %", 100.0 * part))
}

fn pressures(text: &mut Text, answer: &ShiftAnswer, units: UnitSystem) {
    let mut rows = vec![
        row(["", "", "liquid", "at rest", "bubble", "dew", "bubble", "dew"]),
        row(["left", "mass", "volume", "on a gauge", "point", "point", "press.", "press."]),
    ];
    rows.extend(answer.stages.iter().map(|stage| {
        let content = &stage.content;
        let mut cells = vec![
            left(stage),
            units.mass(Mass::from_kg(content.mass_kg)),
            format!("{:.0} %", 100.0 * content.liquid_part),
            units.gauge_pressure(GaugePressure::from_pa(content.pressure_gauge_pa)),
        ];
        cells.extend(shifts(content, units));
        cells
    }));
    if !answer.changes {
        rows.iter_mut().for_each(|row| row.truncate(4));
    }
    text.table("", &rows, &[0, 1, 2, 3, 4, 5, 6, 7]);
    if answer.stages.iter().any(|stage| stage.moment == "last-drop") {
        text.line("", "* the last drop of liquid goes");
    }
}

fn shifts(content: &ShiftContent, units: UnitSystem) -> [String; 4] {
    [
        hotter(units, content.bubble_shift_k),
        hotter(units, content.dew_shift_k),
        percent(content.bubble_shift_part),
        percent(content.dew_shift_part),
    ]
}

fn numbers(parts: &Parts) -> impl Iterator<Item = String> + '_ {
    parts.mass.iter().map(|part| format!("{:.1}", 100.0 * part))
}

fn compositions(text: &mut Text, answer: &ShiftAnswer, of: impl Fn(&ShiftStage) -> Option<Parts>) {
    let mut rows = vec![head("left", &answer.components)];
    for stage in &answer.stages {
        if let Some(parts) = of(stage) {
            rows.push(core::iter::once(left(stage)).chain(numbers(&parts)).collect());
        }
    }
    text.table("", &rows, &columns(answer.components.len()));
}

fn head(first: &str, components: &[String]) -> Vec<String> {
    core::iter::once(first.to_owned()).chain(components.iter().cloned()).collect()
}

fn columns(components: usize) -> Vec<usize> {
    (0..=components).collect()
}

/// What leaves at the start and at the end.
fn leaving(text: &mut Text, answer: &ShiftAnswer) {
    let ends = [("first", answer.stages.first()), ("last", answer.stages.last())];
    for (word, stage) in ends {
        let Some(stage) = stage else { continue };
        let parts = answer.components.iter().zip(numbers(&stage.leaving));
        let parts: Vec<String> = parts.map(|(name, part)| format!("{name} {part}")).collect();
        text.wrap(&format!("{word:<6}"), &parts.join(", "));
    }
}

fn deviation(text: &mut Text, deviation: &ShiftDeviation) {
    let mut rows = vec![row(["", "nominal", "now", "off", "allowed", ""])];
    rows.extend(deviation.components.iter().map(|component| {
        let now = component.nominal_percent + component.off_percent;
        vec![
            component.component.clone(),
            format!("{:.1}", component.nominal_percent),
            format!("{now:.1}"),
            signed(&format!("{:.1}", component.off_percent)),
            format!("-{:.1} to +{:.1}", component.below_percent, component.above_percent),
            if component.within { "within" } else { "OUT" }.into(),
        ]
    }));
    text.table("", &rows, &[1, 2, 3, 4]);
    text.wrap("tolerances ", &deviation.source);
}

fn rounds(text: &mut Text, answer: &ShiftAnswer, units: UnitSystem) {
    let what = answer.top_up.as_deref().unwrap_or_default();
    text.heading(&format!("Topped up with fresh {what}, % by mass"));
    let mut first = head("round", &answer.components);
    first.extend(["bubble", "dew", ""].map(str::to_owned));
    let mut rows = vec![first];
    rows.extend(answer.rounds.iter().zip(1_u32..).map(|(round, number)| round_row(round, number, units)));
    let n = answer.components.len();
    text.table("", &rows, &columns(n + 2));
    let mut added: Vec<String> =
        answer.rounds.iter().map(|round| units.mass(Mass::from_kg(round.added_kg))).collect();
    added.dedup();
    text.wrap("added ", &added.join(", then "));
}

fn round_row(round: &ShiftRound, number: u32, units: UnitSystem) -> Vec<String> {
    let mut cells = vec![number.to_string()];
    cells.extend(numbers(&round.topped_up.overall));
    cells.push(hotter(units, round.topped_up.bubble_shift_k));
    cells.push(hotter(units, round.topped_up.dew_shift_k));
    cells.push(if round.deviation.within { "within" } else { "OUT" }.into());
    cells
}
