//! Flow through openings, tubes, stems, cores, one-way devices and capillary tubes.
//!
//! One law serves everything from cold liquid to superheated vapour: the upstream state ([`Source`]) carries how its volume grows as the
//! pressure falls ([`Expansion`]), and that decides where the flow chokes. What lies between two spaces (an [`Opening`], a [`Tube`], a
//! [`Capillary`]) then gives the mass flow with its slopes.

mod capillary;
mod oneway;
mod opening;
mod source;
mod stem;
mod tube;

pub use capillary::Capillary;
pub use oneway::{Check, Relief, Solenoid};
pub use opening::Opening;
pub use source::{Boiling, Drive, Expansion, Source};
pub use stem::{BallValve, Core, ServiceValve, StemSeat};
pub use tube::{Hose, Tube, TwoPhase};

/// A mass flow from end `a` to end `b`, and its slopes by the pressures at both ends with upstream density held.
///
/// Where the flow is turbulent or choked it grows with the root of the upstream density: its slope by that is half the flow over the density.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MassFlow {
    /// kg/s, positive from `a` to `b`.
    pub kg_per_s: f64,
    /// Slope by the pressure at `a`, kg/(s·Pa); not negative.
    pub per_a_pa: f64,
    /// Slope by the pressure at `b`, kg/(s·Pa); not positive.
    pub per_b_pa: f64,
}

impl MassFlow {
    /// No flow.
    pub const NONE: Self = Self { kg_per_s: 0.0, per_a_pa: 0.0, per_b_pa: 0.0 };

    /// The same seen from the other end.
    #[must_use]
    pub const fn reversed(self) -> Self {
        Self { kg_per_s: -self.kg_per_s, per_a_pa: -self.per_b_pa, per_b_pa: -self.per_a_pa }
    }

    /// That many times as much.
    #[must_use]
    pub const fn scaled(self, by: f64) -> Self {
        Self { kg_per_s: self.kg_per_s * by, per_a_pa: self.per_a_pa * by, per_b_pa: self.per_b_pa * by }
    }

    /// Both ways together.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self {
            kg_per_s: self.kg_per_s + other.kg_per_s,
            per_a_pa: self.per_a_pa + other.per_a_pa,
            per_b_pa: self.per_b_pa + other.per_b_pa,
        }
    }

    /// What passes two resistances one behind the other, each given as it would be alone under the whole difference; resistances that grow
    /// with the square of the flow. Exact for two openings that pass liquid; for gas the second acts on the thinned stream, which makes the
    /// true flow up to a fifth less where both weigh alike and the pressure ratio is large.
    #[must_use]
    pub fn in_series(self, other: Self) -> Self {
        let (first, second) = (self.kg_per_s, other.kg_per_s);
        let both = (first * first + second * second).sqrt();
        let (one, two) = if both > 0.0 {
            (second.abs() / both, first.abs() / both)
        } else {
            let steep = (self.per_a_pa * self.per_a_pa + other.per_a_pa * other.per_a_pa).sqrt();
            if steep > 0.0 { (other.per_a_pa / steep, self.per_a_pa / steep) } else { (0.0, 0.0) }
        };
        let (of_first, of_second) = (one * one * one, two * two * two);
        Self {
            kg_per_s: first * one,
            per_a_pa: of_first * self.per_a_pa + of_second * other.per_a_pa,
            per_b_pa: of_first * self.per_b_pa + of_second * other.per_b_pa,
        }
    }
}
