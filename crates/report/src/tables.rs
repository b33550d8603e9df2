//! The cycle's points and figures, as text for the sheet.

use stemwise_units::UnitSystem;

use crate::cycle::Cycle;
use crate::lettering::{digits, fixed};
use crate::scale::Shown;

/// Rows of cells; the first row is the head.
pub(crate) fn points(cycle: &Cycle, shown: Shown) -> Vec<Vec<String>> {
    let head = vec![
        "Point".to_owned(),
        format!("p, {}", shown.pressure_unit()),
        format!("t, {}", shown.temperature_unit()),
        format!("h, {}", shown.enthalpy_unit()),
        format!("s, {}", shown.entropy_unit()),
        format!("density, {}", shown.density_unit()),
    ];
    let names = ["1 compressor inlet", "2 compressor outlet", "3 before expansion", "4 after expansion"];
    let rows = names.iter().zip(cycle.points()).map(|(name, state)| {
        vec![
            (*name).to_owned(),
            digits(shown.pressure(state.p), 4),
            fixed(shown.temperature(state.t), 1),
            fixed(shown.enthalpy(state.h), 1),
            fixed(state.s / shown.entropy_size(), 4),
            digits(state.rho / shown.density_size(), 4),
        ]
    });
    core::iter::once(head).chain(rows).collect()
}

/// Figures: what, and how much.
pub(crate) fn figures(cycle: &Cycle, shown: Shown) -> Vec<(String, String)> {
    let energy = |energy: stemwise_units::SpecificEnergy| {
        format!("{} {}", fixed(shown.enthalpy(energy.as_j_per_kg()), 1), shown.enthalpy_unit())
    };
    let volumetric = match shown.units {
        UnitSystem::Si => format!("{} kJ/m³", digits(cycle.volumetric_effect_j_per_m3() / 1000.0, 4)),
        UnitSystem::Ip => {
            // 1 Btu/ft³ = 1055.05585262 J / 0.028316846592 m³ (NIST SP 811, appendix B).
            format!("{} Btu/ft³", digits(cycle.volumetric_effect_j_per_m3() / 37_258.945_8, 4))
        }
    };
    let temperature = format!(
        "{} {}",
        fixed(shown.temperature(cycle.discharge_temperature().as_k()), 1),
        shown.temperature_unit()
    );
    let vapour = cycle.vapour_after_expansion().map(|part| format!("{} %", fixed(100.0 * part, 1)));
    let mut rows = vec![
        ("COP, cooling", fixed(cycle.cooling_cop(), 2)),
        ("COP, heating", fixed(cycle.heating_cop(), 2)),
        ("Discharge temperature", temperature),
        ("Capacity", energy(cycle.refrigerating_effect())),
        ("Volumetric capacity", volumetric),
        ("Work", energy(cycle.work())),
        ("Pressure ratio", fixed(cycle.pressure_ratio(), 2)),
    ];
    rows.extend(vapour.map(|vapour| ("Vapour after expansion", vapour)));
    rows.push(("Isentropic efficiency", fixed(cycle.efficiency(), 2)));
    rows.into_iter().map(|(what, much)| (what.to_owned(), much)).collect()
}
