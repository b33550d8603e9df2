//! The compressor: what it moves, what that costs, where the heat goes, what can break it.
//!
//! Two descriptions: [`Displacement`] from swept volume and a few losses, good down into a vacuum, and [`Published`], the ten-coefficient
//! polynomial of a maker's table within its range. Around both: [`Motor`] and its warming, [`CrankcaseHeater`], leaks as openings, slugging.

mod motor;
mod published;

pub use motor::{CrankcaseHeater, Motor};
pub use published::{Polynomial, Published, Scale, superheat_correction};

use super::flow::{MassFlow, Opening, Source};
use super::smooth::positive;
use crate::engine::number::Number;

/// A positive-displacement compressor.
///
/// Volume: η_v = filling·(1 − c·(r^(1/n) − 1)), r = p_d/(p_s·(1 − δ)): clearance gas expands again, and the suction valve costs a part δ of the
/// suction pressure (textbooks; in this form M. J. Jähnig, D. T. Reindl & S. A. Klein, ASHRAE Transactions 106(2) (2000) 122). Power: a fixed
/// loss and a part in proportion to isentropic work, W = W₀ + (1 + a)·W_s (ASHRAE HVAC1 Toolkit: J. Lebrun, J.-P. Bourdouxhe & M. Grodent,
/// 1993). Both from memory. With the typical figures (piston, R-134a from 2 bar) the isentropic efficiency at the shaft is 0.66 at a pressure
/// ratio of 3 and 0.70 from 6 to 10, falls to nothing at 1 and where the clearance gas fills the cylinder, and is less where a low suction pressure
/// gives friction more weight. Measured compressors fall off earlier, from a ratio of about 5; a maker's table says more than this.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Displacement {
    /// Swept volume per time, m³/s.
    pub swept_m3_per_s: f64,
    /// Clearance volume over swept volume: 0.03 to 0.06 pistons, 0 to 0.01 scrolls (textbooks).
    pub clearance: f64,
    /// The part of the suction pressure that the suction valve costs: 0.02 to 0.05 (assumed).
    pub suction_loss: f64,
    /// What warming and leaks within leave of the charge of gas: 0.90 to 0.97 (assumed).
    pub filling: f64,
    /// Losses in proportion to isentropic work: 0.15 to 0.30 (assumed, fits published tables).
    pub proportional_loss: f64,
    /// Friction, as a mean pressure on the swept volume, Pa: 3e4 to 6e4 (assumed, fits published tables).
    pub friction_pa: f64,
}

impl Displacement {
    /// A piston compressor with typical losses (assumed; see the fields).
    #[must_use]
    pub const fn piston(swept_m3_per_s: f64) -> Self {
        Self {
            swept_m3_per_s,
            clearance: 0.05,
            suction_loss: 0.04,
            filling: 0.92,
            proportional_loss: 0.25,
            friction_pa: 5e4,
        }
    }

    /// A scroll compressor with typical losses (assumed; see the fields).
    #[must_use]
    pub const fn scroll(swept_m3_per_s: f64) -> Self {
        Self {
            swept_m3_per_s,
            clearance: 0.006,
            suction_loss: 0.01,
            filling: 0.97,
            proportional_loss: 0.28,
            friction_pa: 4e4,
        }
    }

    /// Volumetric efficiency and its slope by the pressure ratio, for an isentropic exponent; 0 (rounded) where the clearance gas fills the
    /// cylinder, level below a ratio of 1.
    #[must_use]
    pub fn volumetric(&self, ratio: f64, exponent: f64) -> (f64, f64) {
        let open = 1.0 / (1.0 - self.suction_loss);
        let (over, over_slope) = positive(ratio - 1.0, 0.05);
        let r = (1.0 + over) * open;
        let expanded = libm::pow(r, 1.0 / exponent);
        let raw = self.filling * (1.0 - self.clearance * (expanded - 1.0));
        let raw_slope = -self.filling * self.clearance * expanded / (exponent * r) * open * over_slope;
        let (value, slope) = positive(raw, 0.02);
        (value, slope * raw_slope)
    }

    /// The state of running at that part of full speed, from the suction state in front of the cylinders.
    #[must_use]
    pub fn run(&self, suction: &Suction, discharge_pa: f64, speed: f64) -> Running {
        self.run_with(suction, discharge_pa, speed, isentropic_work(suction, discharge_pa))
    }

    /// The same where the isentropic work of each kilogram is known better, J/kg.
    #[must_use]
    pub fn run_with(
        &self,
        suction: &Suction,
        discharge_pa: f64,
        speed: f64,
        isentropic_j_per_kg: f64,
    ) -> Running {
        let (p, density) = (suction.pa.max(1.0), suction.kg_per_m3.max(0.0));
        let ratio = (discharge_pa / p).max(0.0);
        let (volumetric, slope) = self.volumetric(ratio, suction.exponent);
        let sweep = self.swept_m3_per_s * speed.max(0.0);
        let flow = MassFlow {
            kg_per_s: sweep * density * volumetric,
            per_a_pa: -sweep * density * slope * ratio / p,
            per_b_pa: sweep * density * slope / p,
        };
        let isentropic_w = flow.kg_per_s * isentropic_j_per_kg;
        let gas_w = (1.0 + self.proportional_loss) * isentropic_w;
        Running { flow, isentropic_w, gas_w, friction_w: self.friction_pa * sweep }
    }
}

/// The vapour in front of a compressor's cylinders.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    /// Pressure, Pa.
    pub pa: f64,
    /// Density, kg/m³.
    pub kg_per_m3: f64,
    /// Isentropic exponent ρw²/p.
    pub exponent: f64,
}

/// A compressor at work.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Running {
    /// From suction (`a`) to discharge (`b`); slopes at a held suction density, to which the flow is proportional.
    pub flow: MassFlow,
    /// Isentropic work, W.
    pub isentropic_w: f64,
    /// What the gas takes up between suction and discharge, W.
    pub gas_w: f64,
    /// Friction, which warms oil and shell, W.
    pub friction_w: f64,
}

impl Running {
    /// Power at the shaft, W.
    #[must_use]
    pub const fn shaft_w(&self) -> f64 {
        self.gas_w + self.friction_w
    }

    /// Isentropic work over shaft power; 0 where nothing turns.
    #[must_use]
    pub fn isentropic_efficiency(&self) -> f64 {
        if self.shaft_w() > 0.0 { self.isentropic_w / self.shaft_w() } else { 0.0 }
    }
}

/// Isentropic work of compression, J/kg: n/(n−1)·p·v·(r^((n−1)/n) − 1), 0 below a ratio of 1.
///
/// With ρw²/p of the suction vapour as n the tests find it within 5 % of the equations of state up to a ratio of 8 where the discharge
/// stays below 0.7 of the critical pressure; always on the high side.
#[must_use]
pub fn isentropic_work(suction: &Suction, discharge_pa: f64) -> f64 {
    let p = suction.pa.max(1.0);
    work_of(p, suction.kg_per_m3, suction.exponent, discharge_pa / p)
}

/// The same from pressure, density, exponent and pressure ratio, in any numbers.
pub(crate) fn work_of<N: Number>(pa: N, kg_per_m3: N, exponent: f64, ratio: N) -> N {
    let ratio = ratio.at_least(1.0);
    let part = (exponent - 1.0) / exponent;
    let x = part * libm::log(ratio.value());
    // (r^part − 1)/part, whose slope is r^(part − 1).
    let grown = if x.abs() < 1e-9 { libm::log(ratio.value()) } else { libm::expm1(x) / part };
    let grown = ratio.through(grown, libm::exp(x) / ratio.value());
    pa / kg_per_m3.at_least(1e-12) * grown
}

/// What leaks back through a compressor's valves from discharge to suction, standing or (a broken discharge reed) running.
///
/// As an opening: a sound piston compressor leaks like 0.01 to 0.05 mm² (assumed: head and shell of a small unit come together within about
/// an hour), a broken reed like 1 to 10 mm².
#[must_use]
pub fn leak_back(opening: &Opening, suction: &Source, discharge: &Source) -> MassFlow {
    opening.between(suction, discharge)
}

/// How near to a liquid slug: the liquid drawn in with each stroke over the clearance volume that could take it. Above 1 the piston meets
/// liquid (geometry); scrolls give way and stand several times that for a while (common practice).
#[must_use]
pub fn slugging(liquid_volume_fraction: f64, clearance: f64) -> f64 {
    liquid_volume_fraction.clamp(0.0, 1.0) / clearance.max(1e-3)
}
