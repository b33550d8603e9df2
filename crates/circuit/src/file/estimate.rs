//! What is not in the file is estimated by these rules, each with its range.
//!
//! The rules are rough on purpose and their ranges wide; they are common practice, not measured. The file overrides them.

use stemwise_units::{Length, Power, Temperature, TemperatureDifference, Volume};

use crate::{Known, SpaceKind};

/// Litres per kilowatt of refrigerating capacity, with a factor up and down, for parts whose volume is not in the file.
const fn litres_per_kilowatt(kind: SpaceKind) -> Option<(f64, f64, &'static str)> {
    Some(match kind {
        SpaceKind::Condenser => {
            (0.45, 2.0, "condenser: 0.45 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::Evaporator => {
            (0.55, 2.0, "evaporator: 0.55 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::ReversibleCoil => {
            (0.5, 2.0, "coil: 0.5 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::CompressorShell => {
            (0.8, 2.0, "compressor shell: 0.8 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::Receiver => {
            (1.2, 2.0, "receiver: 1.2 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::Accumulator => {
            (0.6, 2.0, "accumulator: 0.6 L per kW of capacity, half to double (common practice)")
        }
        SpaceKind::OilSeparator => {
            (0.3, 2.0, "oil separator: 0.3 L per kW of capacity, half to double (common practice)")
        }
        _ => return None,
    })
}

/// A part's volume from the system's capacity, or a usual size where it hardly depends on it.
pub(crate) fn volume(kind: SpaceKind, capacity: Option<Power>) -> Option<Known<Volume>> {
    let spread = |litres: f64, factor: f64, rule| {
        let of = Volume::from_l;
        Known::estimated(of(litres), of(litres / factor), of(litres * factor), rule)
    };
    match kind {
        SpaceKind::Drier => {
            Some(spread(0.15, 2.0, "drier: 0.15 L beside its grains, half to double (common practice)"))
        }
        SpaceKind::Stub => {
            Some(spread(0.005, 3.0, "passage between two devices: 5 mL, a third to triple (common practice)"))
        }
        _ => {
            let (litres, factor, rule) = litres_per_kilowatt(kind)?;
            capacity.map(|capacity| spread(litres * capacity.as_kw(), factor, rule))
        }
    }
}

/// A sight glass's volume.
pub(crate) fn sight_glass() -> Known<Volume> {
    let of = Volume::from_ml;
    Known::estimated(of(20.0), of(8.0), of(50.0), "sight glass: 20 mL, 8 to 50 (common practice)")
}

/// How far the needle of a piercing valve turns.
pub(crate) fn needle_turns() -> Known<f64> {
    Known::estimated(3.0, 1.5, 6.0, "needle of a piercing valve: 3 turns, half to double (common practice)")
}

/// The discharge side of a compressor, from its shell.
pub(crate) fn head(shell: &Known<Volume>) -> Known<Volume> {
    let rule =
        "discharge side of the compressor: a twentieth of the shell, a fortieth to a tenth (common practice)";
    Known::estimated(shell.value * 0.05, shell.low * 0.025, shell.high * 0.1, rule)
}

/// Where liquid settles first, when the file gives no heights.
pub(crate) fn height(kind: SpaceKind) -> Known<Length> {
    let metres = match kind {
        SpaceKind::LiquidLine => 0.1,
        SpaceKind::Receiver => 0.2,
        SpaceKind::Drier | SpaceKind::Stub => 0.15,
        SpaceKind::Accumulator | SpaceKind::Vessel => 0.3,
        SpaceKind::DistributorLine => 0.45,
        SpaceKind::Evaporator => 0.5,
        SpaceKind::ReversibleCoil => 0.55,
        SpaceKind::Condenser => 0.6,
        SpaceKind::ReversibleLine => 0.65,
        SpaceKind::SuctionLine => 0.7,
        SpaceKind::CompressorShell => 0.8,
        SpaceKind::DischargeLine => 0.9,
        _ => 1.0,
    };
    let rule = "height: the usual order of parts, liquid lines and receiver lowest (common practice)";
    Known::estimated(Length::from_m(metres), Length::from_m(0.0), Length::from_m(metres + 5.0), rule)
}

/// A line from a condenser down to a receiver: it drains into the receiver.
pub(crate) fn condensate_height() -> Known<Length> {
    let rule = "height: a condensate line runs down from the condenser to the receiver (common practice)";
    Known::estimated(Length::from_m(0.4), Length::from_m(0.2), Length::from_m(5.6), rule)
}

/// How far a coil's saturation lies from the air while the system runs.
pub(crate) fn approach(kind: SpaceKind) -> Option<Known<TemperatureDifference>> {
    let of = TemperatureDifference::from_k;
    match kind {
        SpaceKind::Condenser | SpaceKind::ReversibleCoil => Some(Known::estimated(
            of(12.0),
            of(8.0),
            of(18.0),
            "condensing 12 K above the air, 8 to 18 (common practice)",
        )),
        SpaceKind::Evaporator => Some(Known::estimated(
            of(8.0),
            of(5.0),
            of(12.0),
            "evaporating 8 K below the air, 5 to 12 (common practice)",
        )),
        _ => None,
    }
}

/// The part of a receiver that liquid may fill.
pub(crate) const fn fill_limit() -> Known<f64> {
    Known::computed(0.9, "receiver: liquid at most 90 % by volume (CSA B52)")
}

/// A place whose temperature is not in the file.
pub(crate) fn place_temperature() -> Known<Temperature> {
    let of = Temperature::from_celsius;
    Known::estimated(of(20.0), of(5.0), of(40.0), "place: 20 °C, 5 to 40 (common practice)")
}

/// The range of a place whose usual temperature is in the file.
pub(crate) fn place_range(usual: Temperature) -> Known<Temperature> {
    let spread = TemperatureDifference::from_k(10.0);
    let rule = "place: its usual temperature, 10 K down and 15 K up (common practice)";
    Known::estimated(usual, usual - spread, usual + spread * 1.5, rule)
}

/// Turns of a stem from seat to seat.
pub(crate) fn turns(kind: &str) -> Known<f64> {
    match kind {
        "ball-valve" => Known::computed(0.25, "a ball valve shuts in a quarter turn"),
        "line-set-valve" => {
            Known::estimated(6.0, 4.0, 12.0, "line-set valve: 6 turns, 4 to 12 (common practice)")
        }
        _ => Known::estimated(5.0, 3.0, 10.0, "stem: 5 turns, 3 to 10 (common practice)"),
    }
}
