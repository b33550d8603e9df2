//! The cycle on a diagram, and where things were written.

use stemwise_units::{SpecificEnergy, Temperature, UnitSystem};
use stemwise_wire::{CycleAnswer, DiagramAnswer, PageAnswer};

use super::properties::by;
use super::text::{Text, row};

/// The diagram itself, or where it was written and the cycle's figures.
pub(crate) fn diagram(answer: &DiagramAnswer, units: UnitSystem, written: Option<&str>) -> String {
    let Some(path) = written else { return answer.svg.clone() };
    let mut text = Text::new();
    text.line("", &format!("Diagram of {} written to {path}.", answer.fluid));
    if let Some(cycle) = &answer.cycle {
        text.table("", &figures(cycle, units), &[]);
    }
    by(&mut text, &answer.model, &answer.estimated);
    text.done()
}

fn figures(cycle: &CycleAnswer, units: UnitSystem) -> Vec<Vec<String>> {
    let energy = |j_per_kg: f64| {
        let energy = SpecificEnergy::from_j_per_kg(j_per_kg);
        match units {
            UnitSystem::Si => format!("{:.1} kJ/kg", energy.as_kj_per_kg()),
            UnitSystem::Ip => format!("{:.1} Btu/lb", energy.as_btu_per_lb()),
        }
    };
    let mut rows = vec![
        row(["COP, cooling", &format!("{:.2}", cycle.cooling_cop)]),
        row(["COP, heating", &format!("{:.2}", cycle.heating_cop)]),
        row(["discharge temperature", &units.temperature(Temperature::from_k(cycle.discharge_temperature))]),
        row(["capacity", &energy(cycle.refrigerating_effect)]),
        row(["work", &energy(cycle.work)]),
        row(["pressure ratio", &format!("{:.2}", cycle.pressure_ratio)]),
    ];
    let vapour = cycle.vapour_after_expansion;
    rows.extend(vapour.map(|part| row(["vapour after expansion", &format!("{:.1} %", 100.0 * part)])));
    rows
}

/// Where a page was written.
pub(crate) fn page(answer: &PageAnswer, path: &str) -> String {
    let mut text = Text::new();
    text.line(
        "",
        &format!("Saturation tables of {} written to {path}. Print them from a browser.", answer.fluid),
    );
    by(&mut text, &answer.model, &answer.estimated);
    text.done()
}
