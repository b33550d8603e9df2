//! Reads what people type: a number, with its unit, in any of the ways that the trade writes it.

use crate::number::split_number;
use crate::{
    Density, ElectricCurrent, GasFlow, GaugePressure, Length, LinearDensity, Mass, MassFlow, ParseError,
    Power, Pressure, PressureDifference, SpecificEnergy, SpecificHeat, Speed, Temperature,
    TemperatureDifference, Time, Voltage, Volume, VolumeFlow,
};

/// A unit: its spellings (lower case, without spaces) and its size in SI.
type Unit = (&'static [&'static str], f64);

/// A kind of quantity: what it is called and its units.
struct Kind {
    name: &'static str,
    accepted: &'static str,
    units: &'static [Unit],
}

const PSI: f64 = crate::quantity::PSI;
const INHG: f64 = crate::quantity::INHG;
const TORR: f64 = 101_325.0 / 760.0;

const ABSOLUTE: Kind = Kind {
    name: "an absolute pressure",
    accepted: "psia, bara, kPa abs, Pa abs, mbar abs, micron, torr, mmHg abs, inHg abs, atm",
    units: &[
        (&["psia", "psiabs"], PSI),
        (&["bara", "barabs", "bar(a)"], 1e5),
        (&["mbara", "mbarabs"], 1e2),
        (&["kpaa", "kpaabs", "kpa(a)"], 1e3),
        (&["megapaa", "megapaabs", "megapa(a)"], 1e6),
        (&["paa", "paabs", "pa(a)"], 1.0),
        (&["micron", "microns", "µmhg", "umhg", "mtorr", "millitorr"], TORR * 1e-3),
        (&["torr", "mmhgabs", "mmhga"], TORR),
        (&["inhgabs", "inhga"], INHG),
        (&["atm"], 101_325.0),
    ],
};

const GAUGE: Kind = Kind {
    name: "a pressure",
    accepted: "psig, bar, kPa, MPa, inHg (below 0: vacuum), inHg vac; or absolute: psia, bara, kPa abs, micron, torr",
    units: &[
        (&["psig", "psi", "psi(g)", "lb/in2", "lb/in²"], PSI),
        (&["barg", "bar", "bar(g)", "barü"], 1e5),
        (&["mbarg", "mbar"], 1e2),
        (&["kpag", "kpa", "kpa(g)"], 1e3),
        (&["megapa", "megapag", "megapa(g)"], 1e6),
        (&["pag", "pa", "pa(g)"], 1.0),
        (&["inhg", "\"hg", "inchhg", "inofmercury", "inchesofmercury"], INHG),
        (&["mmhg", "mmhgg"], TORR),
        (&["kgf/cm2", "kg/cm2", "kgf/cm²", "kg/cm²"], 98_066.5),
    ],
};

/// Typed with "vac": below the atmosphere, whatever the sign.
const VACUUM: &[Unit] = &[
    (&["inhgvac", "inhgvacuum", "\"hgvac", "invac", "invacuum"], INHG),
    (&["mmhgvac", "mmhgvacuum"], TORR),
    (&["kpavac", "kpavacuum"], 1e3),
    (&["barvac", "barvacuum"], 1e5),
    (&["psivac"], PSI),
];

const MASS: Kind = Kind {
    name: "a mass",
    accepted: "kg, g, lb, oz",
    units: &[
        (&["kg", "kilogram", "kilograms", "kgs"], 1.0),
        (&["g", "gram", "grams"], 1e-3),
        (&["lb", "lbs", "pound", "pounds", "lbm"], 0.453_592_37),
        (&["oz", "ounce", "ounces"], 0.453_592_37 / 16.0),
        (&["t", "tonne"], 1e3),
    ],
};

const VOLUME: Kind = Kind {
    name: "a volume",
    accepted: "L, mL, cm3, m3, ft3, in3, gal",
    units: &[
        (&["l", "liter", "litre", "liters", "litres", "dm3", "dm³"], 1e-3),
        (&["ml", "cm3", "cm³", "cc"], 1e-6),
        (&["m3", "m³"], 1.0),
        (&["ft3", "ft³", "cuft"], 0.028_316_846_592),
        (&["in3", "in³", "cuin"], 1.638_706_4e-5),
        (&["gal", "gallon", "gallons"], 3.785_411_784e-3),
    ],
};

const LENGTH: Kind = Kind {
    name: "a length",
    accepted: "m, cm, mm, ft, in",
    units: &[
        (&["m", "metre", "meter", "metres", "meters"], 1.0),
        (&["cm"], 1e-2),
        (&["mm"], 1e-3),
        (&["ft", "'", "′", "foot", "feet"], 0.3048),
        (&["in", "\"", "″", "inch", "inches"], 0.0254),
        (&["km"], 1e3),
    ],
};

const TIME: Kind = Kind {
    name: "a duration",
    accepted: "s, min, h, d",
    units: &[
        (&["s", "sec", "second", "seconds"], 1.0),
        (&["min", "minute", "minutes"], 60.0),
        (&["h", "hr", "hour", "hours"], 3600.0),
        (&["d", "day", "days"], 86_400.0),
    ],
};

const POWER: Kind = Kind {
    name: "a power",
    accepted: "W, kW, Btu/h, tons of refrigeration",
    units: &[
        (&["w", "watt", "watts"], 1.0),
        (&["kw"], 1e3),
        (&["btu/h", "btuh", "btu/hr"], 1_055.055_852_62 / 3600.0),
        (
            &["ton", "tons", "tr", "tonsofrefrigeration", "tonofrefrigeration"],
            12_000.0 * 1_055.055_852_62 / 3600.0,
        ),
    ],
};

const DENSITY: Kind = Kind {
    name: "a density",
    accepted: "kg/m3, kg/L, lb/ft3",
    units: &[
        (&["kg/m3", "kg/m³"], 1.0),
        (&["kg/l", "g/cm3", "g/ml"], 1e3),
        (&["lb/ft3", "lb/ft³"], 0.453_592_37 / 0.028_316_846_592),
    ],
};

const SPEED: Kind = Kind {
    name: "a speed",
    accepted: "m/s, ft/s, ft/min",
    units: &[(&["m/s"], 1.0), (&["ft/s"], 0.3048), (&["ft/min", "fpm"], 0.00508)],
};

const VOLUME_FLOW: Kind = Kind {
    name: "a volume flow",
    accepted: "cfm, m3/h, L/s, L/min, m3/s",
    units: &[
        (&["cfm", "ft3/min", "ft³/min", "cuft/min"], 0.028_316_846_592 / 60.0),
        (&["m3/h", "m³/h", "m3/hr", "cmh"], 1.0 / 3600.0),
        (&["l/s"], 1e-3),
        (&["l/min", "lpm"], 1e-3 / 60.0),
        (&["m3/s", "m³/s"], 1.0),
    ],
};

const GAS_FLOW: Kind = Kind {
    name: "a leak rate",
    accepted: "mbar L/s, Pa m3/s, torr L/s, atm cm3/s",
    units: &[
        (&["mbarl/s", "mbar*l/s", "mbar·l/s"], 0.1),
        (&["pam3/s", "pa*m3/s", "pam³/s", "pa·m³/s"], 1.0),
        (&["torrl/s", "torr*l/s"], TORR * 1e-3),
        (&["atmcm3/s", "atmcc/s", "stdcc/s"], 0.101_325),
    ],
};

const MASS_FLOW: Kind = Kind {
    name: "a mass flow",
    accepted: "kg/h, g/s, g/min, lb/h, lb/min, g/year, oz/year",
    units: &[
        (&["kg/s"], 1.0),
        (&["kg/h", "kg/hr"], 1.0 / 3600.0),
        (&["kg/min"], 1.0 / 60.0),
        (&["g/s"], 1e-3),
        (&["g/min"], 1e-3 / 60.0),
        (&["lb/h", "lb/hr"], 0.453_592_37 / 3600.0),
        (&["lb/min"], 0.453_592_37 / 60.0),
        (&["g/year", "g/a", "g/yr", "g/y"], 1e-3 / (365.25 * 86_400.0)),
        (&["oz/year", "oz/yr", "oz/y"], 0.453_592_37 / 16.0 / (365.25 * 86_400.0)),
    ],
};

const LINEAR_DENSITY: Kind = Kind {
    name: "a mass per length",
    accepted: "g/m, oz/ft",
    units: &[
        (&["g/m"], 1e-3),
        (&["kg/m"], 1.0),
        (&["oz/ft"], 0.453_592_37 / 16.0 / 0.3048),
        (&["lb/ft"], 0.453_592_37 / 0.3048),
    ],
};

const CURRENT: Kind =
    Kind { name: "a current", accepted: "A", units: &[(&["a", "amp", "amps", "ampere", "amperes"], 1.0)] };

const VOLTAGE: Kind =
    Kind { name: "a voltage", accepted: "V", units: &[(&["v", "volt", "volts"], 1.0), (&["kv"], 1e3)] };

const SPECIFIC_ENERGY: Kind = Kind {
    name: "an energy per mass",
    accepted: "kJ/kg, J/kg, Btu/lb",
    units: &[(&["kj/kg"], 1e3), (&["j/kg"], 1.0), (&["btu/lb", "btu/lbm"], 2326.0)],
};

const SPECIFIC_HEAT: Kind = Kind {
    name: "an entropy or heat capacity per mass",
    accepted: "kJ/(kg K), J/(kg K), Btu/(lb F)",
    units: &[
        (&["kj/(kgk)", "kj/kgk", "kj/kg/k", "kj/(kg*k)"], 1e3),
        (&["j/(kgk)", "j/kgk", "j/kg/k", "j/(kg*k)"], 1.0),
        (&["btu/(lbf)", "btu/lbf", "btu/lb/f", "btu/(lb*f)", "btu/(lbr)"], 4186.8),
    ],
};

const TEMPERATURE_NAME: &str = "a temperature";
const TEMPERATURE_UNITS: &str = "C, F, K, R";
const DIFFERENCE_UNITS: &str = "K, C, F, R (degrees of difference)";

const KINDS: &[&Kind] = &[
    &ABSOLUTE,
    &GAUGE,
    &MASS,
    &VOLUME,
    &LENGTH,
    &TIME,
    &POWER,
    &DENSITY,
    &SPEED,
    &SPECIFIC_ENERGY,
    &SPECIFIC_HEAT,
    &VOLUME_FLOW,
    &GAS_FLOW,
    &MASS_FLOW,
    &LINEAR_DENSITY,
    &CURRENT,
    &VOLTAGE,
];

/// Lower case, without spaces and degree signs, with the usual words for gauge and absolute drawn together. A millipascal is no
/// megapascal: only a capital M makes one.
fn normal(unit: &str) -> String {
    let text: String = unit.trim().chars().filter(|c| !c.is_whitespace() && *c != '°' && *c != '.').collect();
    let lower = text.to_lowercase();
    let mega = lower.strip_prefix("mpa").filter(|_| text.starts_with('M'));
    mega.map_or_else(|| lower.clone(), |rest| format!("megapa{rest}"))
        .replace("absolute", "abs")
        .replace("gauge", "g")
        .replace("vacuum", "vac")
        .replace('μ', "µ")
}

fn find(units: &[Unit], unit: &str) -> Option<f64> {
    units.iter().find(|(names, _)| names.contains(&unit)).map(|(_, size)| *size)
}

fn unknown(number: f64, unit: &str, kind: &Kind) -> ParseError {
    let typed = unit.trim().chars().take(20).collect::<String>();
    if typed.is_empty() {
        return ParseError::MissingUnit { number, quantity: kind.name, accepted: kind.accepted };
    }
    let plain = normal(unit);
    let got = KINDS.iter().find(|other| find(other.units, &plain).is_some()).map(|other| other.name);
    let got = got.or_else(|| matches!(plain.as_str(), "c" | "f" | "k" | "r").then_some(TEMPERATURE_NAME));
    match got {
        Some(got) => {
            ParseError::WrongQuantity { unit: typed, got, wanted: kind.name, accepted: kind.accepted }
        }
        None => {
            let near = near(kind.units, &plain);
            ParseError::UnknownUnit {
                number,
                unit: typed,
                quantity: kind.name,
                accepted: kind.accepted,
                near,
            }
        }
    }
}

/// A unit that differs by one letter left out, added or changed.
fn near(units: &[Unit], typed: &str) -> Option<&'static str> {
    let close = |name: &str| {
        let (a, b): (Vec<char>, Vec<char>) = (name.chars().collect(), typed.chars().collect());
        let same_start = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
        let same_end = a.iter().rev().zip(b.iter().rev()).take_while(|(x, y)| x == y).count();
        a.len().abs_diff(b.len()) <= 1 && same_start + same_end + 1 >= a.len().max(b.len()) && a.len() > 1
    };
    units.iter().flat_map(|(names, _)| names.iter()).find(|name| close(name)).copied()
}

fn simple(text: &str, kind: &Kind) -> Result<f64, ParseError> {
    let (number, unit) = split_number(text)?;
    let size = find(kind.units, &normal(unit)).ok_or_else(|| unknown(number, unit, kind))?;
    finite(number * size)
}

fn finite(value: f64) -> Result<f64, ParseError> {
    if value.is_finite() { Ok(value) } else { Err(ParseError::NotFinite) }
}

/// Several parts added, largest first: "2 lb 4 oz", "5 ft 6 in", "1 h 30 min".
fn compound(text: &str, kind: &Kind) -> Result<f64, ParseError> {
    let (number, rest) = split_number(text)?;
    let end = rest.find(|c: char| c.is_ascii_digit() && !is_power(rest, c)).unwrap_or(rest.len());
    let (unit, more) = rest.split_at_checked(end).unwrap_or((rest, ""));
    let size = find(kind.units, &normal(unit)).or_else(|| find(kind.units, &normal(rest)));
    let size = size.ok_or_else(|| unknown(number, unit, kind))?;
    let whole = find(kind.units, &normal(rest)).is_some() || more.trim().is_empty();
    let first = finite(number * size)?;
    if whole {
        return Ok(first);
    }
    let (second, second_unit) = split_number(more)?;
    let second_size =
        find(kind.units, &normal(second_unit)).ok_or_else(|| unknown(second, second_unit, kind))?;
    if second < 0.0 || second_size >= size {
        let unit = second_unit.trim().chars().take(20).collect();
        return Err(ParseError::PartsOutOfOrder { unit });
    }
    finite(first + second * second_size * if number < 0.0 { -1.0 } else { 1.0 })
}

/// The 2 or 3 of "cm3" is part of the unit.
fn is_power(rest: &str, digit: char) -> bool {
    rest.find(digit).is_some_and(|at| {
        rest.get(..at).and_then(|before| before.chars().last()).is_some_and(char::is_alphabetic)
    })
}

fn not_negative(value: f64, text: &str, quantity: &'static str) -> Result<f64, ParseError> {
    if value >= 0.0 { Ok(value) } else { Err(ParseError::Negative { typed: text.trim().into(), quantity }) }
}

/// A pressure as typed: gauge unless the unit says absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TypedPressure {
    /// Absolute.
    Absolute(Pressure),
    /// Above or below the atmosphere at the site.
    Gauge(GaugePressure),
}

impl TypedPressure {
    /// Reads "68 psig", "5 bar", "-2 inHg", "2 inHg vac", "500 micron", "200 kPa abs".
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    ///
    /// ```
    /// use stemwise_units::{Pressure, TypedPressure};
    /// let sea_level = Pressure::from_pa(101_325.0);
    /// let typed = TypedPressure::parse("68 psig")?.absolute(sea_level);
    /// assert!((typed.as_psi() - 82.696).abs() < 0.001);
    /// assert!(TypedPressure::parse("68 kg").is_err());
    /// # Ok::<(), stemwise_units::ParseError>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        let (number, unit) = split_number(text)?;
        let plain = normal(unit);
        let absolute = |size: f64| finite(number * size).map(|pa| Self::Absolute(Pressure::from_pa(pa)));
        let gauge = |value: f64| finite(value).map(|pa| Self::Gauge(GaugePressure::from_pa(pa)));
        if let Some(size) = find(VACUUM, &plain) {
            return gauge(-number.abs() * size);
        }
        if let Some(size) = find(ABSOLUTE.units, &plain) {
            not_negative(number, text, ABSOLUTE.name)?;
            return absolute(size);
        }
        match find(GAUGE.units, &plain) {
            Some(size) => gauge(number * size),
            None => Err(unknown(number, unit, &GAUGE)),
        }
    }

    /// As an absolute pressure at a site with this atmosphere.
    pub const fn absolute(self, atmosphere: Pressure) -> Pressure {
        match self {
            Self::Absolute(pressure) => pressure,
            Self::Gauge(gauge) => gauge.absolute(atmosphere),
        }
    }

    /// As an absolute pressure that can exist.
    ///
    /// # Errors
    /// [`ParseError::BelowVacuum`] where a gauge reading lies below no pressure at all.
    pub fn existing(self, atmosphere: Pressure) -> Result<Pressure, ParseError> {
        let pressure = self.absolute(atmosphere);
        if pressure.as_pa() > 0.0 {
            return Ok(pressure);
        }
        let Self::Gauge(gauge) = self else { return Ok(pressure) };
        Err(ParseError::BelowVacuum {
            typed: format!("{:.2} kPa (gauge)", gauge.as_kpa()),
            atmosphere: format!("{:.2} kPa", atmosphere.as_kpa()),
        })
    }

    /// As a gauge at such a site shows it.
    pub const fn gauge(self, atmosphere: Pressure) -> GaugePressure {
        match self {
            Self::Absolute(pressure) => pressure.gauge(atmosphere),
            Self::Gauge(gauge) => gauge,
        }
    }
}

macro_rules! parses {
    ($($name:ident, $reader:ident, $kind:ident, $from:ident, $what:literal;)*) => {$(
        impl $name {
            #[doc = concat!("Reads ", $what, ". Not negative.")]
            ///
            /// # Errors
            /// [`ParseError`], which says what was understood.
            pub fn parse(text: &str) -> Result<Self, ParseError> {
                let value = $reader(text, &$kind)?;
                not_negative(value, text, $kind.name).map(Self::$from)
            }
        }
    )*};
}

parses! {
    Mass, compound, MASS, from_kg, "\"4,5 kg\", \"2 lb 4 oz\"";
    Volume, simple, VOLUME, from_m3, "\"6 L\", \"250 cm3\"";
    Time, compound, TIME, from_s, "\"1 h 30 min\"";
    Power, simple, POWER, from_w, "\"3 kW\", \"2 tons\"";
    Density, simple, DENSITY, from_kg_per_m3, "\"1200 kg/m3\"";
    Speed, simple, SPEED, from_m_per_s, "\"3 m/s\"";
    VolumeFlow, simple, VOLUME_FLOW, from_m3_per_s, "\"5 cfm\", \"8 m3/h\"";
    GasFlow, simple, GAS_FLOW, from_pa_m3_per_s, "\"0.001 mbar L/s\"";
    MassFlow, simple, MASS_FLOW, from_kg_per_s, "\"5 g/year\", \"200 g/min\"";
    LinearDensity, simple, LINEAR_DENSITY, from_kg_per_m, "\"0.60 oz/ft\", \"60 g/m\"";
    ElectricCurrent, simple, CURRENT, from_a, "\"9.4 A\"";
    Voltage, simple, VOLTAGE, from_v, "\"230 V\"";
}

impl Length {
    /// Reads "9 m", "1/2 in", "5 ft 6 in"; may be negative (a height below).
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        compound(text, &LENGTH).map(Self::from_m)
    }
}

impl SpecificEnergy {
    /// Reads "400 kJ/kg", "80 Btu/lb"; may be negative, as its zero is a convention.
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        simple(text, &SPECIFIC_ENERGY).map(Self::from_j_per_kg)
    }
}

impl SpecificHeat {
    /// Reads "1.72 kJ/(kg K)", "0.22 Btu/(lb F)"; may be negative, as the entropy's zero is a convention.
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        simple(text, &SPECIFIC_HEAT).map(Self::from_j_per_kg_k)
    }
}

impl PressureDifference {
    /// Reads "5 psi", "0.2 bar".
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        simple(text, &GAUGE).map(Self::from_pa)
    }
}

impl Temperature {
    /// Reads "40 F", "5 °C", "278 K".
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        let (number, unit) = split_number(text)?;
        let value = match normal(unit).as_str() {
            "c" | "celsius" | "degc" => Self::from_celsius(number),
            "f" | "fahrenheit" | "degf" => Self::from_fahrenheit(number),
            "k" | "kelvin" => Self::from_k(number),
            "r" | "rankine" | "degr" => Self::from_k(number * 5.0 / 9.0),
            _ => return Err(unknown(number, unit, &temperature_kind(TEMPERATURE_NAME, TEMPERATURE_UNITS))),
        };
        // Rounding may leave absolute zero a hair below.
        if value.as_k() < -1e-9 {
            return Err(ParseError::BelowAbsoluteZero { typed: text.trim().into() });
        }
        finite(value.as_k()).map(Self::from_k)
    }
}

impl TemperatureDifference {
    /// Reads "5 K", "10 F" as differences.
    ///
    /// # Errors
    /// [`ParseError`], which says what was understood.
    pub fn parse(text: &str) -> Result<Self, ParseError> {
        let (number, unit) = split_number(text)?;
        match normal(unit).as_str() {
            "k" | "c" | "kelvin" | "degc" => finite(number).map(Self::from_k),
            "f" | "r" | "degf" | "degr" => finite(number * 5.0 / 9.0).map(Self::from_k),
            _ => Err(unknown(number, unit, &temperature_kind("a temperature difference", DIFFERENCE_UNITS))),
        }
    }
}

const fn temperature_kind(name: &'static str, accepted: &'static str) -> Kind {
    Kind { name, accepted, units: &[] }
}

/// Reads a fraction: "80 %", "0.8". From 0 to 1.
///
/// # Errors
/// [`ParseError`], which says what was understood.
pub fn parse_fraction(text: &str) -> Result<f64, ParseError> {
    let (number, unit) = split_number(text)?;
    let value = match unit.trim() {
        "%" => number / 100.0,
        "" => number,
        _ => {
            return Err(unknown(
                number,
                unit,
                &Kind { name: "a fraction", accepted: "%, or no unit", units: &[] },
            ));
        }
    };
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err(ParseError::NotANumber {
            found: format!("{} (a fraction lies between 0 and 100 %)", text.trim()),
        })
    }
}
