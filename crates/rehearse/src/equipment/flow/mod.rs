//! Flow through openings, tubes, stems, cores, one-way devices and capillary tubes.
//!
//! One law serves everything from cold liquid to superheated vapour: the upstream state ([`Source`]) carries how its volume grows as the
//! pressure falls ([`Expansion`]), and that decides where the flow chokes. What lies between two spaces (an [`Opening`], a [`Tube`], a
//! [`Capillary`]) then gives the mass flow with its slopes.
//!
//! ```
//! use stemwise_rehearse::equipment::flow::{Boiling, Expansion, Opening, Source};
//! // R-134a: liquid at 35 °C under 1.0166 MPa, 5 K below its boiling point, through a 1.2 mm orifice into 0.3 MPa.
//! let boiling = Boiling {
//!     liquid_kg_per_m3: 1167.5,
//!     vapour_kg_per_m3: 43.4,
//!     liquid_cp_j_per_kg_k: 1471.0,
//!     vaporisation_j_per_kg: 168.2e3,
//!     temperature_k: 308.15,
//!     saturation_pa: 887.0e3,
//! };
//! let liquid = Source::liquid(1.0166e6, 1168.2, 1.72e-4, Expansion::boiling(&boiling), boiling.saturation_pa);
//! let flow = Opening::round(1.2e-3, 0.7).into_pressure(&liquid, 0.3e6);
//! assert_eq!(liquid.choke_pa(), 887.0e3); // it chokes where it begins to flash
//! assert!((flow.kg_per_s * 3600.0 - 49.6).abs() < 1.0); // kg/h
//! assert_eq!(flow.per_b_pa, 0.0); // choked
//! ```

mod capillary;
mod draw;
mod oneway;
mod opening;
mod source;
mod stem;
mod tube;

pub use capillary::Capillary;
pub use draw::{Outlet, horizontal_level};
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

    /// The same for two resistances that grow in proportion to the flow: viscous and molecular flow, as in a vacuum.
    #[must_use]
    pub fn in_series_viscous(self, other: Self) -> Self {
        let (first, second) = (self.kg_per_s.abs(), other.kg_per_s.abs());
        let both = first + second;
        let (one, two) = if both > 0.0 {
            (second / both, first / both)
        } else {
            let steep = self.per_a_pa + other.per_a_pa;
            if steep > 0.0 { (other.per_a_pa / steep, self.per_a_pa / steep) } else { (0.0, 0.0) }
        };
        Self {
            kg_per_s: self.kg_per_s * one,
            per_a_pa: one * one * self.per_a_pa + two * two * other.per_a_pa,
            per_b_pa: one * one * self.per_b_pa + two * two * other.per_b_pa,
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
