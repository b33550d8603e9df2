//! The running balance as equations: what a circuit comes to in steady running, solved at once instead of waited for.
//!
//! Three unknowns (suction pressure, condensing pressure, and how far the condenser's end, or the receiver, is full) meet three conditions: the
//! compressors draw what the metering devices pass, the condenser's zones fill its area, the charge is what it is. The laws of the single
//! pieces are those of [`equipment`](crate::equipment): [`Displacement`] for the compressor, [`CoilOutside`] and [`CoilInside`] for the coils, openings
//! and capillary tubes for what meters, [`Thermostatic`] for the valve. Coils have zones by area (vapour, two phases, liquid), each with the air's and the
//! refrigerant's resistance in series; liquid in two phases by Zivi's void fraction.
//!
//! Sizes that a file doesn't give follow from the design point that it does give, as in motion: capacity and the coils' approaches. Not in it:
//! pressure drops in lines and coils, the exchanger of a capillary tube with the suction line, refrigerant in oil, fans and condenser fan controls,
//! more than one condensing pressure. Some faults are in it, each with a size.
//!
//! [`Displacement`]: crate::equipment::compressor::Displacement
//! [`CoilOutside`]: crate::equipment::exchange::CoilOutside
//! [`CoilInside`]: crate::equipment::exchange::CoilInside
//! [`Thermostatic`]: crate::equipment::metering::Thermostatic

mod curves;
mod look;
mod size;
mod solve;

pub use look::{SteadyBalance, SteadyCoil};
pub use size::{SteadyKind, SteadyPlant};

/// Faults in the balance; the default is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyFaults {
    /// Refrigerant in it as a part of the nameplate's.
    pub charge: f64,
    /// Air, kg: it gathers in the condenser and adds its pressure (Dalton).
    pub air_kg: f64,
    /// A restriction before the metering device, by the part of the pressure difference that it takes where the device is open as at the design
    /// point; 0 to below 1.
    pub restriction: f64,
    /// The metering device's opening as a part of its own; above 1 for one that is too large or stuck open.
    pub metering: f64,
    /// The bulb senses too warm (floods) or too cold (a lost charge starves), K.
    pub bulb_k: f64,
    /// Air over the condenser as a part of its own flow.
    pub condenser_air: f64,
    /// Air over the evaporator as a part of its own flow.
    pub evaporator_air: f64,
    /// The part of what the compressor moves that leaks back through its valves.
    pub leak_back: f64,
}

impl Default for SteadyFaults {
    fn default() -> Self {
        Self {
            charge: 1.0,
            air_kg: 0.0,
            restriction: 0.0,
            metering: 1.0,
            bulb_k: 0.0,
            condenser_air: 1.0,
            evaporator_air: 1.0,
            leak_back: 0.0,
        }
    }
}

/// How a circuit differs from what its file and the rules make of it; factors, 1 by default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyTuning {
    /// Heat transfer of the condenser, both sides.
    pub condenser: f64,
    /// Heat transfer of the evaporator, both sides.
    pub evaporator: f64,
    /// Air flow of the condenser's fan when all is well.
    pub condenser_fan: f64,
    /// Air flow of the evaporator's fan when all is well.
    pub evaporator_fan: f64,
    /// What the compressor sweeps.
    pub swept: f64,
    /// The compressor's losses.
    pub losses: f64,
    /// The metering device's opening when all is well.
    pub opening: f64,
    /// The valve's static superheat.
    pub superheat: f64,
    /// Heat that the compressor's shell loses.
    pub shell: f64,
    /// Heat that the suction line takes up.
    pub line: f64,
    /// The charge that its volumes take at the design point.
    pub charge: f64,
}

impl Default for SteadyTuning {
    fn default() -> Self {
        Self {
            condenser: 1.0,
            evaporator: 1.0,
            condenser_fan: 1.0,
            evaporator_fan: 1.0,
            swept: 1.0,
            losses: 1.0,
            opening: 1.0,
            superheat: 1.0,
            shell: 1.0,
            line: 1.0,
            charge: 1.0,
        }
    }
}

/// What is asked of the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyAsk {
    /// Air onto the condenser, K.
    pub outdoor_k: f64,
    /// Air onto the evaporator, K; with several evaporators that of the first, the others keep their difference from it.
    pub indoor_k: f64,
    /// Relative humidity of the air onto the evaporator, 0 to 1.
    pub humidity: f64,
    /// The atmosphere, Pa.
    pub air_pa: f64,
    /// What is wrong.
    pub faults: SteadyFaults,
    /// How this circuit differs from the rules.
    pub tuning: SteadyTuning,
}

/// Why there is no balance.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SteadyError {
    /// The circuit lacks a piece that a cycle needs.
    #[error("the circuit has no {0}, so it has no running balance")]
    Lacks(&'static str),
    /// The design point can't be met with this refrigerant.
    #[error(
        "condensing at {kelvin:.1} K is too near to the critical point of {refrigerant}, or evaporating too cold, for a balance in two phases"
    )]
    OutOfRange {
        /// K.
        kelvin: f64,
        /// The refrigerant.
        refrigerant: String,
    },
    /// No size of a piece meets the design point.
    #[error("no size of the {0} meets the design point: check capacity and approach")]
    NoSize(&'static str),
    /// An input is not a number, or out of its range.
    #[error("{what} is {value}, outside {low} to {high}")]
    Input {
        /// Which one.
        what: &'static str,
        /// Its value.
        value: f64,
        /// The least.
        low: f64,
        /// The most.
        high: f64,
    },
    /// The equations have no solution that could be reached from the design point.
    #[error("no running balance was found; the last one on the way there was {part:.0} % of the way from the design point to these conditions", part = 100.0 * .part)]
    NoBalance {
        /// How far the way from the design point led.
        part: f64,
    },
    /// A property failed.
    #[error(transparent)]
    Thermo(#[from] stemwise_thermo::Error),
}
