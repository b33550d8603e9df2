//! A capillary tube: liquid friction, then flashing friction up to where it chokes.
//!
//! Homogeneous equilibrium flow in an adiabatic tube with the omega law of expansion (J. C. Leung & M. A. Grolmes, AIChE J. 33 (1987) 524;
//! from memory): G²·(f·L/d + K + 2 ln(v₂/v₁)) = 2·∫ρ dp, which the end pressure τ of choking makes largest. Friction is that of the liquid by
//! Colebrook. Real tubes flash late and pass more: against the correlation of the ASHRAE Handbook (R. R. Bittle, D. A. Wolf & M. B. Pate, HVAC&R
//! Research 4 (1998) 27; subcooled by 3 to 15 K) the tests find −10 to +9 % for R-134a, R-22, R-32 and R-290 and −10 to −19 % for R-600a.
//! Heat exchange with the suction line isn't in it.

use super::source::expanding_integral;
use super::tube::{reynolds, shared_fluidity};
use super::{MassFlow, Source, Tube};

/// Half a velocity head at the entrance and the flow's own.
const ENDS: f64 = 1.5;

/// A capillary tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capillary {
    /// Its bore, length and roughness.
    pub tube: Tube,
}

impl Capillary {
    /// A drawn copper capillary.
    #[must_use]
    pub const fn copper(bore_m: f64, length_m: f64) -> Self {
        Self { tube: Tube::copper(bore_m, length_m) }
    }

    /// The flow between two states.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        if self.tube.bore_m <= 0.0 {
            return MassFlow::NONE;
        }
        let shared = shared_fluidity(a, b);
        if a.pa() >= b.pa() {
            self.out_of(a, b.pa(), shared)
        } else {
            self.out_of(b, a.pa(), shared).reversed()
        }
    }

    /// The flow out of a state against a pressure, where what lies downstream is no matter.
    #[must_use]
    pub fn into_pressure(&self, a: &Source, down_pa: f64) -> MassFlow {
        if self.tube.bore_m <= 0.0 {
            return MassFlow::NONE;
        }
        self.out_of(a, down_pa, shared_fluidity(a, a))
    }

    /// The downstream pressure at and below which nothing more passes, Pa.
    #[must_use]
    pub fn choke_pa(&self, up: &Source) -> f64 {
        self.choke(up) * up.onset_pa()
    }

    fn out_of(&self, up: &Source, down_pa: f64, shared: f64) -> MassFlow {
        let choke_pa = self.choke_pa(up);
        let choked = down_pa <= choke_pa;
        let end_pa = down_pa.max(choke_pa);
        let drive = up.throttled(end_pa);
        let friction = self.tube.friction(up, end_pa, shared);
        let (ends, ends_slope) = ends(up.tube_omega(), end_pa / up.onset_pa());
        let ends_slope = ends_slope / up.onset_pa();
        let flux = friction.value;
        let part = if drive.value > 0.0 { 0.5 * ends * flux * (flux / drive.value) } else { 0.0 };
        let root = (1.0 + part).sqrt();
        let slope = |flux_slope: f64, drive_slope: f64, ends_slope: f64| {
            let change = if drive.value > 0.0 {
                let fill = flux / drive.value;
                fill * (0.5 * ends_slope * flux + ends * flux_slope - 0.5 * ends * fill * drive_slope)
            } else {
                0.0
            };
            (flux_slope - 0.5 * flux * change / (1.0 + part)) / root * self.tube.area_m2()
        };
        // The end ratio moves with the upstream pressure where that is the onset itself. At choking the flow is level in the end ratio, so
        // the slope at a held end pressure (minus what a held ratio would add, nothing) serves there too.
        let ends_by_up = if up.cold() > 0.0 { 0.0 } else { -ends_slope * end_pa / up.pa() };
        MassFlow {
            kg_per_s: flux / root * self.tube.area_m2(),
            per_a_pa: slope(friction.per_up, drive.per_up, ends_by_up),
            per_b_pa: if choked {
                0.0
            } else {
                slope(friction.per_down, drive.per_down, ends_slope).min(0.0)
            },
        }
    }

    /// The end pressure of choking over the onset of vapour.
    ///
    /// F(τ) = τ²·(2e·N + K + 2 ln v) − 2ω·(c + I(τ)), N the friction, e how the friction flow grows with its drive; F′ is about 2τ·(…).
    fn choke(&self, up: &Source) -> f64 {
        let (omega, cold) = (up.tube_omega(), up.cold());
        let (density, viscosity) = up.friction();
        let bore = self.tube.bore_m;
        let to_ka = 2.0 * bore * bore * bore / (self.tube.length_m.max(1e-6) * viscosity * viscosity)
            * density
            * up.onset_pa();
        let rough = self.tube.roughness_m / (3.7 * bore);
        let mut at: f64 = 0.4;
        for _ in 0..20 {
            let drive = cold + expanding_integral(omega, at);
            let square = to_ka * drive;
            let (value, slope) = reynolds(square, rough);
            // 2e·N with e = slope·Ka²/Re and N = (Ka/Re)²·L/d.
            let friction =
                2.0 * slope * self.tube.length_m / bore * square * square / (value * value * value);
            let weight = friction + ends(omega, at).0;
            let off = at * at * weight - 2.0 * omega * drive;
            let step = off / (2.0 * at * weight);
            let next = (at - step).clamp(0.1 * at, 1.0);
            let moved = (next - at).abs();
            at = next;
            if moved < 1e-6 {
                break;
            }
        }
        at
    }
}

/// K + 2 ln(v₂/v₁) at that end pressure over the onset, and its slope by that ratio.
fn ends(omega: f64, ratio: f64) -> (f64, f64) {
    if ratio >= 1.0 {
        return (ENDS, 0.0);
    }
    let grown = omega / ratio - omega + 1.0;
    (ENDS + 2.0 * libm::log(grown), -2.0 * omega / (ratio * ratio * grown))
}
