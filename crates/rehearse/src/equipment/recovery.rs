//! The rig's machines: recovery machine, heated cylinder, nitrogen.
//!
//! Rates: machines rated by AHRI 740 give a vapour rate and a liquid rate; 0.2 to 0.3 kg/min of vapour and 1.5 to 4 kg/min of liquid are usual for
//! portable ones with high-pressure refrigerants (common practice). Cut-out at 38 bar gauge and automatic stop in a vacuum are common practice.

use super::compressor::{Displacement, Suction};
use super::flow::{MassFlow, Opening};
use super::metering::{Holds, Regulator};
use super::smooth::lesser;

/// A recovery machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecoveryMachine {
    /// Its compressor.
    pub compressor: Displacement,
    /// The most that passes when liquid comes in, kg/s: it throttles its own inlet.
    pub liquid_kg_per_s: f64,
    /// What its coil with fan gives off for each kelvin between discharge and room, W/K.
    pub coil_w_per_k: f64,
    /// Electrical power that isn't shaft power, W: fan and motor losses.
    pub losses_w: f64,
    /// High-pressure cut-out, Pa absolute.
    pub high_cut_out_pa: f64,
    /// It starts again below this, Pa absolute.
    pub high_cut_in_pa: f64,
    /// It stops by itself at this inlet pressure, Pa absolute; none: a person stops it.
    pub low_stop_pa: Option<f64>,
}

/// Why a machine stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// Discharge pressure too high.
    HighPressure,
    /// The wanted vacuum is reached.
    LowPressure,
}

/// A recovery machine at work.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Recovering {
    /// From its inlet (`a`) to its outlet (`b`).
    pub flow: MassFlow,
    /// What the refrigerant takes up on the way, less what the coil gives off, W; may be negative.
    pub to_refrigerant_w: f64,
    /// Electrical power, W.
    pub electric_w: f64,
}

impl RecoveryMachine {
    /// A portable machine: 3e-4 m³/s swept (two small cylinders), 3 kg/min of liquid, 60 W/K, stops at 38.6 bar absolute and at 0.33 bar absolute
    /// (about 20 inHg of vacuum). Assumed, to give the rates above.
    pub const PORTABLE: Self = Self {
        compressor: Displacement {
            swept_m3_per_s: 3.0e-4,
            clearance: 0.03,
            suction_loss: 0.05,
            filling: 0.85,
            proportional_loss: 0.4,
            friction_pa: 1.5e5,
        },
        liquid_kg_per_s: 0.05,
        coil_w_per_k: 60.0,
        losses_w: 150.0,
        high_cut_out_pa: 38.6e5,
        high_cut_in_pa: 28e5,
        low_stop_pa: Some(0.33e5),
    };

    /// Running, with what stands before its inlet and the pressure behind it; its coil is in a room of that temperature and condenses at that
    /// saturation temperature of the outlet pressure.
    #[must_use]
    pub fn run(&self, inlet: &Suction, outlet_pa: f64, saturation_k: f64, room_k: f64) -> Recovering {
        let vapour = self.compressor.run(inlet, outlet_pa, 1.0);
        let most = self.liquid_kg_per_s.max(1e-9);
        let (passed, slope, _) = lesser(vapour.flow.kg_per_s, most);
        let scale = if vapour.flow.kg_per_s > 0.0 { passed / vapour.flow.kg_per_s } else { 1.0 };
        let flow = MassFlow {
            kg_per_s: passed,
            per_a_pa: vapour.flow.per_a_pa * slope,
            per_b_pa: vapour.flow.per_b_pa * slope,
        };
        // The coil can take no more than what condensing at its own temperature gives.
        let coil_w = self.coil_w_per_k * (saturation_k - room_k).max(0.0);
        let shaft_w = vapour.gas_w * scale + vapour.friction_w;
        Recovering {
            flow,
            to_refrigerant_w: vapour.gas_w * scale - coil_w,
            electric_w: shaft_w + self.losses_w,
        }
    }

    /// Whether it stands next, from why it stands now and the pressures at its ends.
    #[must_use]
    pub fn stops(&self, standing: Option<Stop>, inlet_pa: f64, outlet_pa: f64) -> Option<Stop> {
        let high = match standing {
            Some(Stop::HighPressure) => outlet_pa > self.high_cut_in_pa,
            _ => outlet_pa >= self.high_cut_out_pa,
        };
        if high {
            return Some(Stop::HighPressure);
        }
        let stop = self.low_stop_pa?;
        // It starts again when refrigerant boils off after: at twice the pressure at which it stopped (assumed).
        let limit = if standing == Some(Stop::LowPressure) { 2.0 * stop } else { stop };
        (inlet_pa <= limit).then_some(Stop::LowPressure)
    }
}

/// A cylinder with a heating blanket or in a warm bath, never a flame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatedCylinder {
    /// Its power, W (100 to 1000; common practice).
    pub power_w: f64,
    /// Where its thermostat stops, K: at most 325 K (52 °C, 125 °F; the limit printed on cylinders).
    pub limit_k: f64,
}

impl HeatedCylinder {
    /// Heat into the cylinder at that wall temperature, W: fades over the last 2 K.
    #[must_use]
    pub fn heat_w(&self, wall_k: f64) -> f64 {
        self.power_w * super::smooth::step((self.limit_k - wall_k) / 2.0).0
    }
}

/// A regulator on a nitrogen cylinder: holds its outlet at the setting and relieves nothing; an emptier cylinder lets gas back through it, which is why
/// a check valve or a shut valve belongs behind it (common practice).
///
/// `setting_pa` absolute; 1.5 mm seat, fully open 1 bar below the setting (assumed).
#[must_use]
pub fn nitrogen_regulator(setting_pa: f64) -> Regulator {
    Regulator {
        opening: Opening::round(1.5e-3, 0.8),
        holds: Holds::Outlet,
        setting_pa,
        band_pa: 1e5,
        leak: 0.0,
    }
}
