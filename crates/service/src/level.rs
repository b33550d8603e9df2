//! Levels and limits from the rules: required recovery levels, pressure classes, cylinder fills.

use stemwise_circuit::{Assembly, Circuit, Fitted, Joint, JointKind};
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature};

use crate::props::Refrigerant;

/// The pressure class of an appliance's refrigerant: 40 CFR 82.152, by its pressure at 104 °F.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PressureClass {
    /// Below 45 psia.
    Low,
    /// From 45 to below 170 psia.
    Medium,
    /// From 170 to 355 psia.
    High,
    /// Above 355 psia, or a critical temperature below 104 °F.
    VeryHigh,
}

impl PressureClass {
    /// Of a refrigerant.
    pub fn of(refrigerant: &Refrigerant) -> Self {
        let hot = Temperature::from_fahrenheit(104.0).as_k();
        match refrigerant.sat(hot).map(|sat| Pressure::from_pa(sat.p).as_psi()) {
            None => Self::VeryHigh,
            Some(psia) if psia > 355.0 => Self::VeryHigh,
            Some(psia) if psia >= 170.0 => Self::High,
            Some(psia) if psia >= 45.0 => Self::Medium,
            Some(_) => Self::Low,
        }
    }
}

/// When a recovery machine was made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Machine {
    /// Before 15 November 1993.
    Older,
    /// On or after 15 November 1993.
    #[default]
    Newer,
}

/// The level to which an appliance, or the part of it that is opened, must be evacuated by a recovery machine made on or after 15 November
/// 1993: 40 CFR 82.156 Table 1 (US). Elsewhere the local code decides.
///
/// In inches of mercury below the atmosphere: very high 0; high below 200 lb 0, else 10; medium below 200 lb 10, else 15; low 25 mmHg
/// absolute.
pub fn required_level(class: PressureClass, charge: Mass, atmosphere: Pressure) -> Pressure {
    required_level_by(class, charge, atmosphere, Machine::Newer)
}

/// The same for a machine of either date. With an older one: very high 0; high below 200 lb 0, else 4; medium 4; low 25 mmHg absolute.
pub fn required_level_by(
    class: PressureClass,
    charge: Mass,
    atmosphere: Pressure,
    machine: Machine,
) -> Pressure {
    let large = charge.as_lb() >= 200.0;
    let below = |inches: f64| {
        GaugePressure::from_inhg(-inches).absolute(atmosphere).max(Pressure::from_micron(25_000.0))
    };
    match (class, large, machine) {
        (PressureClass::VeryHigh, ..) | (PressureClass::High, false, _) => below(0.0),
        (PressureClass::High, true, Machine::Newer) | (PressureClass::Medium, false, Machine::Newer) => {
            below(10.0)
        }
        (PressureClass::Medium, true, Machine::Newer) => below(15.0),
        (PressureClass::High | PressureClass::Medium, _, Machine::Older) => below(4.0),
        (PressureClass::Low, ..) => Pressure::from_micron(25_000.0),
    }
}

/// Where the level by pressure class comes from.
pub const LEVEL_RULE: &str = "40 CFR 82.156 Table 1 (US): required level of evacuation by pressure class, charge and date of the recovery machine. Elsewhere the \
                              local code decides";
/// Where that of a small appliance comes from.
pub const SMALL_LEVEL_RULE: &str = "40 CFR 82.156(b) (US), small appliances: 90 % of the charge with a working compressor, 80 % without (80 % with a machine made before \
                                    15 November 1993), or 4 inHg of vacuum";
/// A small appliance holds no more (40 CFR 82.152).
const SMALL: Mass = Mass::from_kg(2.268);

/// The level of a small appliance that is emptied by pressure: 4 inHg below the atmosphere (40 CFR 82.156(b)).
pub fn small_level(atmosphere: Pressure) -> Pressure {
    GaugePressure::from_inhg(-4.0).absolute(atmosphere)
}

/// Whether a circuit is a small appliance: sealed in the factory, without a stem or a port but what was fitted later, and with at most 5 lb (40 CFR 82.152).
pub fn is_small_appliance(circuit: &Circuit) -> bool {
    let later = circuit.graph.ports.iter().all(|port| port.fitted != Fitted::Factory);
    let needle = |joint: &Joint| matches!(joint.kind, JointKind::PiercingValve);
    let stems = circuit.graph.joints.iter().any(|joint| joint.stem.is_some() && !needle(joint));
    later && !stems && circuit.charge.value <= SMALL
}

/// The required level of a circuit, and the rule that it comes from. A small appliance is emptied to 4 inHg of vacuum, unless a cold cabinet keeps its liquid below
/// that: then to the level of its pressure class.
pub fn level_of(circuit: &Circuit, refrigerant: &Refrigerant) -> (Pressure, &'static str) {
    let small = small_level(circuit.atmosphere);
    let coldest = circuit.places.iter().map(|place| place.temperature.value.as_k()).fold(293.15, f64::min);
    let boils_above = refrigerant.sat(coldest).is_some_and(|sat| sat.dew > 1.1 * small.as_pa());
    if is_small_appliance(circuit) && boils_above {
        return (small, SMALL_LEVEL_RULE);
    }
    let class = PressureClass::of(refrigerant);
    (required_level(class, circuit.charge.value, circuit.atmosphere), LEVEL_RULE)
}

/// The required level of a circuit.
pub fn required_level_of(assembly: &Assembly, refrigerant: &Refrigerant) -> Pressure {
    level_of(&assembly.circuit, refrigerant).0
}

/// Density of water at 77 °F, kg/m³ (IAPWS-95), for specific gravity.
const WATER_77F: f64 = 997.05;

/// What a cylinder may hold: AHRI Guideline K, `0.80 x water capacity x specific gravity at 77 °F`, and never so much that liquid fills it at
/// 55 °C (49 CFR 173.304(b)). None for a refrigerant that has no liquid at 77 °F.
pub fn cylinder_limit(refrigerant: &Refrigerant, water_capacity: Mass) -> Option<Mass> {
    let at_77f = refrigerant.sat(Temperature::from_fahrenheit(77.0).as_k())?;
    let by_weight = water_capacity * (0.80 * at_77f.liquid / WATER_77F);
    let volume = water_capacity.as_kg() / 999.0;
    let hot = refrigerant.sat(Temperature::from_celsius(55.0).as_k());
    // A little vapour must be left at 55 °C: 1 %.
    let by_volume = hot.map_or(by_weight, |sat| Mass::from_kg(0.99 * volume * sat.liquid));
    Some(by_weight.min(by_volume))
}

/// How many cylinders of a size a mass fills; at least one. None for a refrigerant that has no liquid at 77 °F.
pub fn cylinders_for(refrigerant: &Refrigerant, water_capacity: Mass, mass: Mass) -> Option<u32> {
    let each = cylinder_limit(refrigerant, water_capacity)?;
    // A thousandth of a gram over is not another cylinder.
    let needed = ((mass.as_kg() - 1e-6) / each.as_kg()).ceil();
    Some(needed.clamp(1.0, 1000.0) as u32)
}
