//! States, saturation and the refrigerants.

use stemwise_units::{
    Density, DynamicViscosity, GaugePressure, Pressure, SpecificEnergy, SpecificHeat, Speed, SurfaceTension,
    Temperature, ThermalConductivity, UnitSystem,
};
use stemwise_wire::{
    CoverageAnswer, CoverageEntry, FluidEntry, FluidsAnswer, SaturationAnswer, SaturationTable, StateAnswer,
    TransportValue,
};

use super::text::{Text, row};

pub(super) fn density(units: UnitSystem, kg_per_m3: f64) -> String {
    let density = Density::from_kg_per_m3(kg_per_m3);
    match units {
        UnitSystem::Si => format!("{} kg/m3", digits(density.as_kg_per_m3())),
        UnitSystem::Ip => format!("{} lb/ft3", digits(density.as_lb_per_ft3())),
    }
}

fn energy(units: UnitSystem, j_per_kg: f64) -> String {
    let energy = SpecificEnergy::from_j_per_kg(j_per_kg);
    match units {
        UnitSystem::Si => format!("{:.2} kJ/kg", energy.as_kj_per_kg()),
        UnitSystem::Ip => format!("{:.2} Btu/lb", energy.as_btu_per_lb()),
    }
}

fn heat(units: UnitSystem, j_per_kg_k: f64) -> String {
    let heat = SpecificHeat::from_j_per_kg_k(j_per_kg_k);
    match units {
        UnitSystem::Si => format!("{:.4} kJ/(kg K)", heat.as_kj_per_kg_k()),
        UnitSystem::Ip => format!("{:.4} Btu/(lb F)", heat.as_btu_per_lb_f()),
    }
}

fn speed(units: UnitSystem, m_per_s: f64) -> String {
    let speed = Speed::from_m_per_s(m_per_s);
    match units {
        UnitSystem::Si => format!("{:.1} m/s", speed.as_m_per_s()),
        UnitSystem::Ip => format!("{:.1} ft/s", speed.as_ft_per_s()),
    }
}

/// Five significant digits.
fn digits(value: f64) -> String {
    let before = f64::from(u32::try_from(format!("{:.0}", value.abs().trunc()).len()).unwrap_or(1));
    let decimals = (5.0 - before).clamp(0.0, 5.0) as usize;
    format!("{value:.decimals$}")
}

fn pairs(text: &mut Text, rows: Vec<(&str, String)>, model: &str, estimated: &[String]) {
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(name, value)| row([name, &value])).collect();
    text.table("", &rows, &[]);
    by(text, model, estimated);
}

/// What is behind the numbers, and whether they are estimates.
pub(super) fn by(text: &mut Text, model: &str, estimated: &[String]) {
    text.wrap("by ", model);
    if !estimated.is_empty() {
        let say =
            format!("no published parameters for {}: every number here is an estimate", estimated.join(", "));
        text.wrap("ESTIMATE ", &say);
    }
}

/// A composition in per cent by mole.
fn composition(components: &[String], fractions: &[f64]) -> Option<String> {
    let part = |(name, x): (&String, &f64)| format!("{name} {:.2} %", 100.0 * x);
    let parts: Vec<String> = components.iter().zip(fractions).map(part).collect();
    (!parts.is_empty()).then(|| format!("{} (mole)", parts.join(", ")))
}

pub(crate) fn state(answer: &StateAnswer, units: UnitSystem, atmosphere: Pressure) -> String {
    let pressure = Pressure::from_pa(answer.p);
    let mut rows = vec![
        ("phase", answer.phase.clone()),
        ("temperature", units.temperature(Temperature::from_k(answer.temperature))),
        ("pressure", units.absolute_pressure(pressure)),
        ("on a gauge", units.gauge_pressure(pressure.gauge(atmosphere))),
        ("density", density(units, answer.rho)),
        ("enthalpy", energy(units, answer.h)),
        ("entropy", heat(units, answer.s)),
        ("energy", energy(units, answer.u)),
    ];
    let optional = [
        ("heat at constant pressure", answer.cp.map(|cp| heat(units, cp))),
        ("heat at constant volume", answer.cv.map(|cv| heat(units, cv))),
        ("speed of sound", answer.w.map(|w| speed(units, w))),
        ("vapour fraction", answer.q.map(|q| format!("{q:.4}"))),
        ("density of the liquid", answer.rho_l.map(|rho| density(units, rho))),
        ("density of the vapour", answer.rho_v.map(|rho| density(units, rho))),
        ("liquid", composition(&answer.components, &answer.x)),
        ("vapour", composition(&answer.components, &answer.y)),
    ];
    rows.extend(optional.into_iter().filter_map(|(name, value)| Some((name, value?))));
    let mut text = Text::new();
    rows.extend(answer.transport.iter().filter_map(|found| {
        Some((
            found.property.as_str(),
            format!("{}{}", transport(units, found)?, if found.estimate { " (estimate)" } else { "" }),
        ))
    }));
    pairs(&mut text, rows, &answer.model, &answer.estimated);
    for found in &answer.transport {
        let how = match (&found.method, &found.because) {
            (Some(method), _) => {
                let source = found.source.as_deref().unwrap_or_default();
                format!("{method}, within {}; {source}", found.uncertainty.as_deref().unwrap_or("not stated"))
            }
            (None, because) => format!("no answer: {}", because.as_deref().unwrap_or_default()),
        };
        text.wrap(&format!("{}: ", found.property), &how);
    }
    text.done()
}

fn transport(units: UnitSystem, found: &TransportValue) -> Option<String> {
    let value = found.value?;
    let (flows, conducts) = (DynamicViscosity::from_pa_s(value), ThermalConductivity::from_w_per_m_k(value));
    let pulls = SurfaceTension::from_n_per_m(value).as_mn_per_m();
    Some(match (found.property.as_str(), units) {
        ("viscosity", UnitSystem::Si) => format!("{} µPa s", digits(flows.as_micropascal_s())),
        ("viscosity", UnitSystem::Ip) => format!("{:.5} lb/(ft h)", flows.as_lb_per_ft_h()),
        ("thermal conductivity", UnitSystem::Si) => format!("{} mW/(m K)", digits(conducts.as_mw_per_m_k())),
        ("thermal conductivity", UnitSystem::Ip) => {
            format!("{:.6} Btu/(h ft F)", conducts.as_btu_per_h_ft_f())
        }
        (_, UnitSystem::Si) => format!("{} mN/m", digits(pulls)),
        (_, UnitSystem::Ip) => format!("{} dyn/cm", digits(pulls)),
    })
}

pub(crate) fn coverage(answer: &CoverageAnswer, units: UnitSystem, whole: bool) -> String {
    let mut text = Text::new();
    if whole {
        answer.substances.iter().for_each(|entry| covered(&mut text, entry, units));
        return text.done();
    }
    text.line("", "What each refrigerant rests on; \"stemwise coverage FLUID\" tells everything about one.");
    let line = |entry: &CoverageEntry| {
        let estimated = entry.pairs.iter().filter(|pair| pair.estimate).count();
        let pairs = match (entry.pairs.len(), estimated) {
            (0, _) => "pure".to_owned(),
            (all, 0) => format!("{all} pairs published"),
            (all, some) => format!("{some} of {all} pairs ESTIMATED"),
        };
        let range = format!(
            "{} to {}",
            units.temperature(Temperature::from_k(entry.lowest_temperature)),
            units.temperature(Temperature::from_k(entry.highest_temperature))
        );
        let agreement = entry.library.clone().unwrap_or_else(|| "no comparison".into());
        row([&entry.name, &pairs, &range, &agreement])
    };
    text.folding_table("", &answer.substances.iter().map(line).collect::<Vec<_>>());
    text.done()
}

fn covered(text: &mut Text, entry: &CoverageEntry, units: UnitSystem) {
    text.heading(&entry.name);
    let temperature = |kelvin| units.temperature(Temperature::from_k(kelvin));
    let pressure = |pascal| units.absolute_pressure(Pressure::from_pa(pascal));
    if let Some(composition) = &entry.composition {
        text.wrap("composition: ", composition);
    }
    for equation in &entry.equations {
        text.wrap(&format!("equation of {}: ", equation.of), &equation.source);
    }
    for pair in &entry.pairs {
        let mark = if pair.estimate { "ESTIMATED, " } else { "" };
        text.wrap(&format!("{}: ", pair.of), &format!("{mark}{}", pair.source));
    }
    let answered = format!(
        "{} to {}, up to {}; the papers cover up to {} and {}",
        temperature(entry.lowest_temperature),
        temperature(entry.highest_temperature),
        pressure(entry.highest_pressure),
        temperature(entry.papers_temperature),
        pressure(entry.papers_pressure)
    );
    text.wrap("answered: ", &answered);
    for (name, found) in [("agreement: ", &entry.library), ("boiling point: ", &entry.printed)] {
        text.wrap(name, found.as_deref().unwrap_or("no comparison"));
    }
    for found in &entry.transport {
        let mark = if found.estimate { " (estimate)" } else { "" };
        text.wrap(&format!("{}: ", found.of), &format!("{}{mark}", found.source));
    }
}

pub(crate) fn saturation(answer: &SaturationAnswer, units: UnitSystem) -> String {
    let mut rows = vec![("refrigerant", answer.fluid.clone())];
    let gauge = |pascal| units.gauge_pressure(GaugePressure::from_pa(pascal));
    let absolute = |pascal| units.absolute_pressure(Pressure::from_pa(pascal));
    let temperature = |kelvin| units.temperature(Temperature::from_k(kelvin));
    if glides(answer) {
        rows.extend([
            ("bubble point (for subcooling)", temperature(answer.bubble_k)),
            ("  pressure", absolute(answer.pressure_pa)),
            ("  on a gauge", gauge(answer.pressure_gauge_pa)),
            ("dew point (for superheat)", temperature(answer.dew_k)),
            ("  pressure", absolute(answer.dew_pressure_pa)),
            ("  on a gauge", gauge(answer.dew_pressure_gauge_pa)),
        ]);
    } else {
        rows.extend([
            ("temperature", temperature(answer.bubble_k)),
            ("pressure", absolute(answer.pressure_pa)),
            ("on a gauge", gauge(answer.pressure_gauge_pa)),
        ]);
    }
    rows.extend([
        ("density of the liquid", density(units, answer.rho_l)),
        ("density of the vapour", density(units, answer.rho_v)),
        ("enthalpy of the liquid", energy(units, answer.h_l)),
        ("enthalpy of the vapour", energy(units, answer.h_v)),
    ]);
    let mut text = Text::new();
    pairs(&mut text, rows, &answer.model, &answer.estimated);
    text.done()
}

/// Whether bubble and dew point differ.
fn glides(answer: &SaturationAnswer) -> bool {
    let apart = |one: f64, other: f64| (one - other).abs() > 1e-9 * one.abs();
    apart(answer.bubble_k, answer.dew_k) || apart(answer.pressure_pa, answer.dew_pressure_pa)
}

/// One value where both are printed alike, otherwise both.
fn both(bubble: String, dew: String) -> String {
    if bubble == dew {
        return bubble;
    }
    let number = bubble.split(' ').next().unwrap_or_default();
    format!("{number} / {dew}")
}

pub(crate) fn saturation_table(answer: &SaturationTable, units: UnitSystem) -> String {
    let mut text = Text::new();
    let Some(first) = answer.rows.first() else { return text.done() };
    let sides = if answer.rows.iter().any(glides) { ": bubble point / dew point" } else { "" };
    text.line("", &format!("Saturation of {}{sides}", first.fluid));
    let [rho, h] = match units {
        UnitSystem::Si => ["kg/m3", "kJ/kg"],
        UnitSystem::Ip => ["lb/ft3", "Btu/lb"],
    };
    let mut rows = vec![
        row(["", "", "", "liquid", "vapour", "liquid", "vapour"]),
        row(["", "absolute", "on a gauge", rho, rho, h, h]),
    ];
    let number = |text: String| text.split(' ').next().unwrap_or_default().to_owned();
    let absolute = |pascal| units.absolute_pressure(Pressure::from_pa(pascal));
    let gauge = |pascal| units.gauge_pressure(GaugePressure::from_pa(pascal));
    let temperature = |kelvin| units.temperature(Temperature::from_k(kelvin));
    rows.extend(answer.rows.iter().map(|row| {
        vec![
            both(temperature(row.bubble_k), temperature(row.dew_k)),
            both(absolute(row.pressure_pa), absolute(row.dew_pressure_pa)),
            both(gauge(row.pressure_gauge_pa), gauge(row.dew_pressure_gauge_pa)),
            number(density(units, row.rho_l)),
            number(density(units, row.rho_v)),
            number(energy(units, row.h_l)),
            number(energy(units, row.h_v)),
        ]
    }));
    text.table("", &rows, &[0, 1, 2, 3, 4, 5, 6]);
    by(&mut text, &first.model, &first.estimated);
    text.done()
}

pub(crate) fn fluids(answer: &FluidsAnswer) -> String {
    let mut text = Text::new();
    let entry = |fluid: &FluidEntry| {
        let class = if fluid.safety_class.is_empty() { "-" } else { fluid.safety_class.as_str() };
        let more =
            if fluid.composition.is_empty() { fluid.aliases.join(", ") } else { fluid.composition.clone() };
        row([&fluid.name, class, &more])
    };
    text.folding_table("", &answer.fluids.iter().map(entry).collect::<Vec<_>>());
    text.done()
}
