//! What a stem, a ball or a core leaves open.
//!
//! The dimensions are the caller's. Where none are known, the constants here are common practice and say so: no published table of seat lifts
//! was found.

use super::super::smooth::lesser;
use super::Opening;

/// Discharge coefficient of a valve passage (common practice: globe and angle valves 0.6 to 0.8).
const VALVE: f64 = 0.7;
/// A cone of 45° opens this much of its lift (geometry of a poppet: sin 45°).
const CONE: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// A stem's cone on its seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StemSeat {
    /// Bore of the passage, m.
    pub bore_m: f64,
    /// Lift for one turn, m (thread pitch; 1.5e-3 is common practice for service valves).
    pub lift_per_turn_m: f64,
    /// What still passes when it is shut, m²: 0 for a sound seat.
    pub leak_m2: f64,
}

impl StemSeat {
    /// The opening at that many turns off the seat: the curtain between cone and seat (π·d·h·sin 45°), then the bore.
    #[must_use]
    pub fn opening(&self, turns_off: f64) -> Opening {
        let bore = self.bore_m.max(0.0);
        let full = std::f64::consts::FRAC_PI_4 * bore * bore;
        let lift = (turns_off * self.lift_per_turn_m).max(0.0);
        let curtain = std::f64::consts::PI * bore * lift * CONE;
        let area = lesser(curtain, full).0 + self.leak_m2.max(0.0);
        let part = if full > 0.0 { (area / full).min(1.0) } else { 0.0 };
        Opening {
            area_m2: area,
            discharge: VALVE,
            hydraulic_diameter_m: 0.5 * bore * part * (1.0 + part),
            softening_pa: 1.0,
        }
    }
}

/// A three-connection service valve: one stem with a cone at each end of its travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ServiceValve {
    /// The front seat, which parts line and body.
    pub line: StemSeat,
    /// The back seat, which shuts off the port.
    pub port: StemSeat,
    /// Turns from the back seat to the front seat.
    pub turns: f64,
}

impl ServiceValve {
    /// The passages from line to body and to the port, at that many turns off the back seat.
    #[must_use]
    pub fn openings(&self, turns_off_back_seat: f64) -> (Opening, Opening) {
        let turns = turns_off_back_seat.clamp(0.0, self.turns);
        (self.line.opening(self.turns - turns), self.port.opening(turns))
    }
}

/// A ball valve: two equal circles that slide over each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BallValve {
    /// Bore, m.
    pub bore_m: f64,
}

impl BallValve {
    /// The opening at that part of the quarter turn, 0 shut to 1 open. The circles part at one tenth of it (a seat has some width: assumed).
    #[must_use]
    pub fn opening(&self, part: f64) -> Opening {
        let apart = ((1.0 - part) / 0.9).clamp(0.0, 1.0);
        let free = std::f64::consts::FRAC_2_PI * (libm::acos(apart) - apart * (1.0 - apart * apart).sqrt());
        let free = free.clamp(0.0, 1.0);
        let mut opening = Opening::round(self.bore_m, 0.6 + 0.2 * free);
        opening.area_m2 *= free;
        opening.hydraulic_diameter_m *= free;
        opening
    }
}

/// A spring core in its port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    /// Free area around the pin when it is pressed down, m².
    pub pressed_m2: f64,
    /// Bore of the port with the core out, m.
    pub bore_m: f64,
}

impl Core {
    /// A core of a quarter-inch port: 3 mm² pressed down (common practice says 2 to 4 mm²; no published figure found), 4.8 mm bore without it.
    pub const QUARTER_INCH: Self = Self { pressed_m2: 3e-6, bore_m: 4.8e-3 };

    /// With the core in, pressed down by this part of its travel (0 shut, 1 as far as a depressor goes).
    #[must_use]
    pub fn pressed(&self, part: f64) -> Opening {
        let area = self.pressed_m2 * part.clamp(0.0, 1.0);
        // A ring about 3 mm wide across: its gap is area over circumference.
        let gap = area / (std::f64::consts::PI * 3e-3);
        Opening { area_m2: area, discharge: 0.65, hydraulic_diameter_m: 2.0 * gap, softening_pa: 1.0 }
    }

    /// With the core out.
    #[must_use]
    pub fn out(&self) -> Opening {
        Opening::round(self.bore_m, 0.8)
    }
}
