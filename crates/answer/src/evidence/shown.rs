//! Values with their uncertainty, in a person's units and with no more digits than the uncertainty allows.

use stemwise_readings::{Kind, Uncertain};
use stemwise_units::{GaugePressure, MassFlow, Pressure, Temperature, UnitSystem};

/// How values are shown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shown {
    pub(super) units: UnitSystem,
    pub(super) atmosphere: Pressure,
}

/// The SI unit of a kind.
pub(super) const fn unit(kind: Kind) -> &'static str {
    match kind {
        Kind::Temperature | Kind::Difference => "K",
        Kind::Pressure | Kind::PressureDifference | Kind::Vacuum => "Pa",
        Kind::Ratio | Kind::Part => "1",
        Kind::Power | Kind::ElectricPower => "W",
        Kind::SpecificEnergy => "J/kg",
        Kind::MassFlow | Kind::YearlyMass => "kg/s",
        Kind::Mass => "kg",
        Kind::Time => "s",
        Kind::Volume => "m3",
        Kind::GasFlow => "Pa m3/s",
        Kind::VolumeFlow => "m3/s",
    }
}

impl Shown {
    const fn ip(self) -> bool {
        matches!(self.units, UnitSystem::Ip)
    }

    /// The factor from SI and the unit; what has an offset is not here.
    fn factor(self, kind: Kind, value: f64) -> (f64, &'static str) {
        match (kind, self.ip()) {
            (Kind::Temperature | Kind::Difference, false) => (1.0, "K"),
            (Kind::Temperature | Kind::Difference, true) => (1.8, "°F"),
            (Kind::Pressure | Kind::PressureDifference, false) => (1e-5, "bar"),
            (Kind::Pressure | Kind::PressureDifference, true) => {
                (1.0 / Pressure::from_psi(1.0).as_pa(), "psi")
            }
            (Kind::Vacuum, _) => (1.0 / Pressure::from_micron(1.0).as_pa(), "micron"),
            (Kind::Ratio, _) => (1.0, ""),
            (Kind::Part, _) => (100.0, "%"),
            (Kind::Power, false) | (Kind::ElectricPower, _) => (1e-3, "kW"),
            (Kind::Power, true) => (3.412_141_6e-3, "kBtu/h"),
            (Kind::SpecificEnergy, false) => (1e-3, "kJ/kg"),
            (Kind::SpecificEnergy, true) => (1.0 / 2326.0, "Btu/lb"),
            (Kind::MassFlow, false) => (1e3, "g/s"),
            (Kind::MassFlow, true) => (60.0 / 0.453_592_37, "lb/min"),
            (Kind::YearlyMass, false) => (1.0 / MassFlow::from_g_per_year(1.0).as_kg_per_s(), "g a year"),
            (Kind::YearlyMass, true) => {
                (1.0 / MassFlow::from_g_per_year(28.349_523).as_kg_per_s(), "oz a year")
            }
            (Kind::Mass, false) if value.abs() < 1e-3 => (1e6, "mg"),
            (Kind::Mass, false) if value.abs() < 1.0 => (1e3, "g"),
            (Kind::Mass, false) => (1.0, "kg"),
            (Kind::Mass, true) if value.abs() < 0.4536 => (16.0 / 0.453_592_37, "oz"),
            (Kind::Mass, true) => (1.0 / 0.453_592_37, "lb"),
            (Kind::Time, _) if value.abs() < 180.0 => (1.0, "s"),
            (Kind::Time, _) if value.abs() < 3.0 * 3600.0 => (1.0 / 60.0, "min"),
            (Kind::Time, _) => (1.0 / 3600.0, "h"),
            (Kind::Volume, false) => (1e3, "L"),
            (Kind::Volume, true) => (1.0 / 0.028_316_846_592, "ft3"),
            (Kind::GasFlow, _) => (10.0, "mbar L/s"),
            (Kind::VolumeFlow, false) => (1e3, "L/s"),
            (Kind::VolumeFlow, true) => (60.0 / 0.028_316_846_592, "cfm"),
        }
    }

    /// A value alone.
    pub(super) fn plain(self, kind: Kind, value: f64) -> String {
        match kind {
            Kind::Temperature => self.units.temperature(Temperature::from_k(value)),
            Kind::Pressure => self.units.gauge_pressure(Pressure::from_pa(value).gauge(self.atmosphere)),
            _ => {
                let (factor, unit) = self.factor(kind, value);
                let text = significant(value * factor, 3);
                format!("{text} {unit}").trim_end().to_owned()
            }
        }
    }

    /// "8.3 K ± 1.2 K".
    pub(super) fn with_doubt(self, kind: Kind, value: &Uncertain) -> String {
        let (factor, unit) = self.factor(kind, value.value);
        let doubt = value.expanded() * factor;
        let behind = |unit: &str| if unit.is_empty() { String::new() } else { format!(" {unit}") };
        if doubt <= 0.0 {
            return self.plain(kind, value.value);
        }
        let decimals = decimals(doubt);
        match kind {
            Kind::Temperature => {
                let t = Temperature::from_k(value.value);
                let (shown, unit_shown) =
                    if self.ip() { (t.as_fahrenheit(), "°F") } else { (t.as_celsius(), "°C") };
                format!(
                    "{} {unit_shown} ± {}{}",
                    rounded(shown, decimals),
                    rounded(doubt, decimals),
                    behind(unit)
                )
            }
            Kind::Pressure => {
                let gauge: GaugePressure = Pressure::from_pa(value.value).gauge(self.atmosphere);
                format!("{} ± {}{}", self.units.gauge_pressure(gauge), rounded(doubt, decimals), behind(unit))
            }
            Kind::GasFlow => format!("{:.1e} ± {:.1e} {unit}", value.value * factor, doubt),
            _ => format!(
                "{} ± {}{}",
                rounded(value.value * factor, decimals),
                rounded(doubt, decimals),
                behind(unit)
            ),
        }
    }
}

/// Two digits of the uncertainty.
fn decimals(doubt: f64) -> i32 {
    if doubt >= 10.0 {
        0
    } else if doubt >= 0.95 {
        1
    } else if doubt >= 0.095 {
        2
    } else if doubt >= 0.0095 {
        3
    } else {
        4
    }
}

fn rounded(value: f64, decimals: i32) -> String {
    let places = usize::try_from(decimals).unwrap_or(0);
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// So many significant digits, without an exponent where it is readable without.
pub(super) fn significant(value: f64, digits: i32) -> String {
    if !value.is_finite() || value.abs() < 1e-4 && value.abs() > 0.0 {
        return format!("{value:.1e}");
    }
    let mut size = 0;
    let mut left = value.abs();
    while left >= 10.0 {
        left /= 10.0;
        size += 1;
    }
    while left < 1.0 && left > 0.0 {
        left *= 10.0;
        size -= 1;
    }
    rounded(value, (digits - 1 - size).max(0))
}
