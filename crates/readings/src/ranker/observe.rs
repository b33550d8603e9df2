//! What a balance would show at the gauges.

use stemwise_rehearse::SteadyBalance;

use crate::set::Reading;

/// The readings that the balance foretells.
pub(super) const OBSERVED: [Reading; 12] = [
    Reading::SuctionPressure,
    Reading::DischargePressure,
    Reading::LiquidPressure,
    Reading::SuctionLine,
    Reading::EvaporatorOutlet,
    Reading::LiquidLine,
    Reading::DischargeLine,
    Reading::OffCondenser,
    Reading::OffEvaporator,
    Reading::Power,
    Reading::LiquidLineEnd,
    Reading::AirFlow,
];
pub(super) const COUNT: usize = OBSERVED.len();

/// One number for each reading: logarithms of pressures, powers and flows, temperatures in K.
pub(super) type Shown = [f64; COUNT];

/// Whether a reading counts by its logarithm.
pub(super) const fn by_part(reading: Reading) -> bool {
    matches!(
        reading,
        Reading::SuctionPressure
            | Reading::DischargePressure
            | Reading::LiquidPressure
            | Reading::Power
            | Reading::AirFlow
    )
}

/// How far the balance itself may be off where all its sizes are right: pressure drops, uneven air, what it leaves out. Assumed.
pub(super) const fn own(reading: Reading) -> f64 {
    match reading {
        Reading::SuctionPressure => 0.015,
        Reading::DischargePressure | Reading::LiquidPressure => 0.01,
        Reading::SuctionLine | Reading::EvaporatorOutlet => 0.8,
        Reading::LiquidLine | Reading::LiquidLineEnd => 0.5,
        Reading::DischargeLine => 2.0,
        Reading::OffCondenser | Reading::OffEvaporator => 0.5,
        Reading::Power => 0.02,
        _ => 0.05,
    }
}

pub(super) fn observe(found: &SteadyBalance) -> Shown {
    let first = found.evaporators.first().copied().unwrap_or_default();
    let ln = |value: f64| libm::log(value.max(1e-9));
    [
        ln(found.suction_pa),
        ln(found.discharge_pa),
        ln(found.discharge_pa),
        found.suction_line_k,
        first.outlet_k,
        found.liquid_line_k,
        found.discharge_line_k,
        found.condenser_off_k,
        first.air_off_k,
        ln(found.power_w),
        found.liquid_end_k,
        ln(found.evaporator_air_m3_per_s),
    ]
}
