//! The phase envelope.

use stemwise_units::{GaugePressure, Pressure, Temperature, UnitSystem};
use stemwise_wire::{EnvelopeAnswer, EnvelopeLine, EnvelopeSpot};

use super::properties::{by, density};
use super::text::{Text, row};

pub(crate) fn envelope(answer: &EnvelopeAnswer, units: UnitSystem) -> String {
    let mut text = Text::new();
    text.line("", &format!("Phase envelope of {}", answer.fluid));
    let unit = match units {
        UnitSystem::Si => "kg/m3",
        UnitSystem::Ip => "lb/ft3",
    };
    // What is about to form would not fit: JSON has it.
    let mut rows = vec![row(["", "", "absolute", "on a gauge", "density"]), row(["", "", "", "", unit])];
    for (name, spot) in [
        ("critical point", &answer.critical),
        ("hottest (cricondentherm)", &answer.cricondentherm),
        ("highest (cricondenbar)", &answer.cricondenbar),
    ] {
        rows.push(cells(name, spot, units));
    }
    for line in [EnvelopeLine::Bubble, EnvelopeLine::Dew] {
        let name = if line == EnvelopeLine::Bubble { "bubble" } else { "dew" };
        rows.extend(
            answer.points.iter().filter(|spot| spot.line == line).map(|spot| cells(name, spot, units)),
        );
    }
    text.table("", &rows, &[1, 2, 3, 4]);
    by(&mut text, &answer.model, &answer.estimated);
    text.done()
}

fn cells(name: &str, spot: &EnvelopeSpot, units: UnitSystem) -> Vec<String> {
    let number = |text: String| text.split(' ').next().unwrap_or_default().to_owned();
    vec![
        name.to_owned(),
        units.temperature(Temperature::from_k(spot.temperature_k)),
        units.absolute_pressure(Pressure::from_pa(spot.pressure_pa)),
        units.gauge_pressure(GaugePressure::from_pa(spot.pressure_gauge_pa)),
        number(density(units, spot.rho)),
    ]
}
