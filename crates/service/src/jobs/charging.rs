//! Charging by what the running system shows: which measure tells its charge, and what it should be.

use stemwise_circuit::{Circuit, Graph, JointKind, Metering, SpaceKind};
use stemwise_units::{Temperature, TemperatureDifference};

use crate::superheat::target_superheat;

/// What a charge is judged by while the system runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JudgedBy {
    /// How far the liquid leaving the condenser is below its bubble point.
    Subcooling,
    /// How far the suction vapour is above its dew point.
    Superheat,
}

/// Where a target comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TargetFrom {
    /// Whoever asked said it: the nameplate, the maker's papers.
    Given,
    /// Usual where the nameplate gives none: 5 to 8 K (8 to 15 °F; common practice).
    Usual,
    /// The published table of target superheats.
    Table {
        /// Air onto the condenser, dry bulb.
        outdoor: Temperature,
        /// Air onto the evaporator, wet bulb.
        wet_bulb: Temperature,
    },
}

/// What the measure should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeTarget {
    /// By what.
    pub by: JudgedBy,
    /// What it should be.
    pub value: TemperatureDifference,
    /// How far off it may be.
    pub tolerance: TemperatureDifference,
    /// Where the target comes from.
    pub from: TargetFrom,
}

/// The usual subcooling (facts 7.1, S5: 8 to 15 °F, common practice), °F.
const USUAL_SUBCOOLING: f64 = 10.0;
/// California Title 24, RA3.2.2.6.2: ±3 °F of the maker's target (from memory).
const SUBCOOLING_TOLERANCE: f64 = 3.0;
/// California Title 24, RA3.2.2.6.1: ±5 °F of the target superheat.
const SUPERHEAT_TOLERANCE: f64 = 5.0;
/// Below this a target superheat is no valid test (California Title 24, RA3.2.2.6.1), °F.
const LEAST_SUPERHEAT: f64 = 5.0;
/// Indoor air, where nobody measured its wet bulb (assumed), % relative humidity.
const HUMIDITY: f64 = 50.0;

/// Why a measure does not tell the charge of a circuit; none where it does.
pub(crate) fn why_not(graph: &Graph, by: JudgedBy) -> Option<&'static str> {
    let receiver = graph.spaces.iter().any(|space| space.kind == SpaceKind::Receiver);
    let in_use: Vec<bool> = metering_in_use(graph).collect();
    if in_use.is_empty() || graph.ports.is_empty() {
        return Some("the circuit has no metering device, or no port to read it through: charge by weight");
    }
    let all = |fixed: bool| in_use.iter().all(|&is| is == fixed);
    match by {
        JudgedBy::Subcooling if receiver => Some(
            "its receiver takes up what is too much or too little, so that subcooling does not tell the charge: charge by weight",
        ),
        JudgedBy::Subcooling if !all(false) => Some(
            "its metering device is fixed, so that subcooling does not tell the charge: charge by superheat",
        ),
        JudgedBy::Superheat if receiver => {
            Some("its receiver takes up what is too much or too little: charge by weight")
        }
        JudgedBy::Superheat if !all(true) => {
            Some("its expansion valve holds the superheat whatever the charge: charge by subcooling")
        }
        _ => None,
    }
}

/// Whether a measure tells the charge of a circuit.
pub(crate) fn tells(graph: &Graph, by: JudgedBy) -> bool {
    why_not(graph, by).is_none()
}

/// Whether each metering device that no check valve passes in its direction is fixed.
fn metering_in_use(graph: &Graph) -> impl Iterator<Item = bool> + '_ {
    let passed = |a, b| {
        graph
            .joints
            .iter()
            .any(|joint| matches!(joint.kind, JointKind::Check) && joint.a == a && joint.b == b)
    };
    graph.joints.iter().filter_map(move |joint| match joint.kind {
        JointKind::Metering(metering) if !passed(joint.a, joint.b) => {
            Some(matches!(metering, Metering::Orifice | Metering::Capillary))
        }
        _ => None,
    })
}

/// The target of a circuit: as given, or the usual one, or that of the table for its places; none where the table gives none there.
pub(crate) fn target(
    circuit: &Circuit,
    by: JudgedBy,
    given: Option<TemperatureDifference>,
) -> Option<ChargeTarget> {
    let of = TemperatureDifference::from_fahrenheit_degrees;
    let (usual, tolerance) = match by {
        JudgedBy::Subcooling => (Some((of(USUAL_SUBCOOLING), TargetFrom::Usual)), of(SUBCOOLING_TOLERANCE)),
        JudgedBy::Superheat => (by_table(circuit), of(SUPERHEAT_TOLERANCE)),
    };
    let (value, from) = given.map(|given| (given, TargetFrom::Given)).or(usual)?;
    Some(ChargeTarget { by, value, tolerance, from })
}

fn by_table(circuit: &Circuit) -> Option<(TemperatureDifference, TargetFrom)> {
    let air_at = |kind: SpaceKind| {
        let space = circuit.graph.spaces.iter().find(|space| space.kind == kind)?;
        Some(circuit.places.get(space.place?.index())?.temperature.value)
    };
    let outdoor = air_at(SpaceKind::Condenser)?;
    let wet_bulb = wet_bulb(air_at(SpaceKind::Evaporator)?, HUMIDITY);
    let value = table_superheat(outdoor.as_fahrenheit(), wet_bulb.as_fahrenheit())?;
    let value = TemperatureDifference::from_fahrenheit_degrees(value);
    Some((value, TargetFrom::Table { outdoor, wet_bulb }))
}

/// Wet bulb at sea level: R. Stull, Wet-bulb temperature from relative humidity and air temperature, J. Appl. Meteorol. Climatol. 50 (2011)
/// 2267; coefficients from memory. Good to 1 K from −20 to 50 °C and 5 to 99 %.
fn wet_bulb(air: Temperature, humidity: f64) -> Temperature {
    let celsius = air.as_celsius();
    let wet = celsius * libm::atan(0.151_977 * (humidity + 8.313_659).sqrt())
        + libm::atan(celsius + humidity)
        - libm::atan(humidity - 1.676_331)
        + 0.003_918_38 * humidity * humidity.sqrt() * libm::atan(0.023_101 * humidity)
        - 4.686_035;
    Temperature::from_celsius(wet)
}

/// The published target superheat, °F; none outside the table, where it has a dash, and below what makes a valid test.
fn table_superheat(outdoor: f64, wet_bulb: f64) -> Option<f64> {
    let at = Temperature::from_fahrenheit;
    let found = target_superheat(at(outdoor), at(wet_bulb)).ok()?.as_fahrenheit_degrees();
    (found >= LEAST_SUPERHEAT).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed values (facts 7.1) and the ones between them.
    #[test]
    fn the_table_of_target_superheats() {
        let near = |outdoor, wet, wanted: f64| {
            assert!(
                (table_superheat(outdoor, wet).unwrap_or(f64::NAN) - wanted).abs() < 1e-6,
                "{outdoor}/{wet}"
            );
        };
        near(95.0, 68.0, 14.0);
        near(95.0, 67.0, 12.0);
        near(80.0, 70.0, 25.0);
        near(55.0, 50.0, 9.0);
        near(115.0, 76.0, 23.0);
        // A dash, outside, and too little for a valid test (there is none in the table below 5).
        assert_eq!(table_superheat(95.0, 55.0), None);
        assert_eq!(table_superheat(120.0, 70.0), None);
    }

    /// The rule of thumb (3 WB - 80 - DB) / 2 (common practice) agrees within 2 °F in the table's middle (facts 7.1).
    #[test]
    fn the_table_against_the_rule_of_thumb() {
        for (outdoor, wet) in [(70.0, 64.0), (80.0, 66.0), (85.0, 68.0), (90.0, 70.0), (95.0, 70.0)] {
            let rule = (3.0 * wet - 80.0 - outdoor) / 2.0;
            let found = table_superheat(outdoor, wet).unwrap_or(f64::NAN);
            assert!((found - rule).abs() <= 2.5, "{outdoor}/{wet}: {found}, {rule}");
        }
    }

    /// Stull's own example: 20 °C and 50 % give 13.7 °C (from memory); saturated air is its own wet bulb within a kelvin.
    #[test]
    fn wet_bulbs() {
        let at = |celsius, humidity| wet_bulb(Temperature::from_celsius(celsius), humidity).as_celsius();
        assert!((at(20.0, 50.0) - 13.7).abs() < 0.05, "{}", at(20.0, 50.0));
        assert!((at(25.0, 99.0) - 25.0).abs() < 1.0);
    }
}
