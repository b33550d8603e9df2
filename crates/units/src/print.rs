//! Prints quantities in the units that a person chose, with no more digits than the trade uses.

use crate::{
    GaugePressure, Length, Mass, Pressure, PressureDifference, Temperature, TemperatureDifference, Volume,
};

/// The units that a person reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum UnitSystem {
    /// bar, °C, kg, m.
    #[default]
    Si,
    /// psig, °F, lb, ft.
    Ip,
}

/// Below this a manifold gauge tells nothing apart and the vacuum gauge is read (common practice; 3 kPa are 22,500 micron).
pub const VACUUM_GAUGE_BELOW: Pressure = Pressure::from_pa(3000.0);

impl UnitSystem {
    /// An absolute pressure as the instrument shows that reads it: the manifold gauge, or the vacuum gauge below [`VACUUM_GAUGE_BELOW`].
    ///
    /// ```
    /// use stemwise_units::{Pressure, UnitSystem};
    /// let sea_level = Pressure::from_pa(101_325.0);
    /// assert_eq!(UnitSystem::Si.as_read(Pressure::from_bar(3.01325), sea_level), "2.00 bar(g)");
    /// assert_eq!(UnitSystem::Si.as_read(Pressure::from_micron(500.0), sea_level), "500 micron (67 Pa)");
    /// ```
    pub fn as_read(self, pressure: Pressure, atmosphere: Pressure) -> String {
        if pressure.as_pa() < VACUUM_GAUGE_BELOW.as_pa() {
            return self.vacuum(pressure);
        }
        self.gauge_pressure(pressure.gauge(atmosphere))
    }

    /// A pressure as a gauge shows it: "4.70 bar(g)", "68.2 psig"; below the atmosphere "-0.30 bar(g)", "8.9 inHg vac".
    pub fn gauge_pressure(self, pressure: GaugePressure) -> String {
        match self {
            Self::Si => format!("{} bar(g)", fixed(pressure.as_bar(), 2)),
            Self::Ip if pressure.as_inhg() < -0.05 => format!("{} inHg vac", fixed(-pressure.as_inhg(), 1)),
            Self::Ip => format!("{} psig", fixed(pressure.as_psi(), 1)),
        }
    }

    /// An absolute pressure: "5.71 bar(a)", "82.9 psia".
    pub fn absolute_pressure(self, pressure: Pressure) -> String {
        match self {
            Self::Si => format!("{} bar(a)", fixed(pressure.as_bar(), 3)),
            Self::Ip => format!("{} psia", fixed(pressure.as_psi(), 1)),
        }
    }

    /// A vacuum, in microns with the pascals: "500 micron (67 Pa)".
    pub fn vacuum(self, pressure: Pressure) -> String {
        format!("{} micron ({} Pa)", fixed(pressure.as_micron(), 0), fixed(pressure.as_pa(), 0))
    }

    /// A pressure difference.
    pub fn pressure_difference(self, difference: PressureDifference) -> String {
        match self {
            Self::Si => format!("{} bar", fixed(difference.as_bar(), 2)),
            Self::Ip => format!("{} psi", fixed(difference.as_psi(), 1)),
        }
    }

    /// A temperature: "5.0 °C", "41.0 °F".
    pub fn temperature(self, temperature: Temperature) -> String {
        match self {
            Self::Si => format!("{} °C", fixed(temperature.as_celsius(), 1)),
            Self::Ip => format!("{} °F", fixed(temperature.as_fahrenheit(), 1)),
        }
    }

    /// A temperature difference: "5.0 K", "9.0 °F".
    pub fn temperature_difference(self, difference: TemperatureDifference) -> String {
        match self {
            Self::Si => format!("{} K", fixed(difference.as_k(), 1)),
            Self::Ip => format!("{} °F", fixed(difference.as_fahrenheit_degrees(), 1)),
        }
    }

    /// A mass: "4.20 kg", "44 g"; "9 lb 4.1 oz", "1.6 oz".
    pub fn mass(self, mass: Mass) -> String {
        match self {
            Self::Si if mass.as_kg().abs() < 0.9995 => {
                let digits = if mass.as_g().abs() < 9.95 { 1 } else { 0 };
                format!("{} g", fixed(mass.as_g(), digits))
            }
            Self::Si => format!("{} kg", fixed(mass.as_kg(), 2)),
            Self::Ip => pounds_and_ounces(mass),
        }
    }

    /// A volume: "6.00 L", "48 mL"; "0.212 ft3", "2.9 in3".
    pub fn volume(self, volume: Volume) -> String {
        match self {
            Self::Si if volume.as_l().abs() < 0.9995 => format!("{} mL", fixed(volume.as_ml(), 0)),
            Self::Si => format!("{} L", fixed(volume.as_l(), 2)),
            Self::Ip if volume.as_ft3().abs() < 0.1 => format!("{} in3", fixed(volume.as_in3(), 1)),
            Self::Ip => format!("{} ft3", fixed(volume.as_ft3(), 3)),
        }
    }

    /// A length: "9.0 m", "29.5 ft".
    pub fn length(self, length: Length) -> String {
        match self {
            Self::Si => format!("{} m", fixed(length.as_m(), 1)),
            Self::Ip => format!("{} ft", fixed(length.as_ft(), 1)),
        }
    }
}

fn pounds_and_ounces(mass: Mass) -> String {
    let tenths = (mass.as_oz() * 10.0).round();
    let sign = if tenths < 0.0 { "-" } else { "" };
    let tenths = tenths.abs();
    let pounds = (tenths / 160.0).floor();
    let ounces = fixed((tenths - pounds * 160.0) / 10.0, 1);
    if pounds > 0.0 { format!("{sign}{pounds:.0} lb {ounces} oz") } else { format!("{sign}{ounces} oz") }
}

/// So many decimals, and no "-0.0".
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}
