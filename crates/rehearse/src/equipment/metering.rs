//! Metering devices and pressure regulators: how far each is open. The flow through the opening is in [`flow`](super::flow); a fixed orifice is an
//! [`Opening`] itself, a capillary tube a [`Capillary`](super::flow::Capillary).
//!
//! Thermostatic valves as in any textbook: the bulb's pressure opens, evaporator pressure and spring close. Typical figures are common practice:
//! static superheat 3 to 6 K, 3 to 5 K more to full capacity, bulb time constants 15 to 60 s (ASHRAE Handbook—Refrigeration, refrigerant control
//! devices; from memory).

use super::flow::{MassFlow, Opening, Source};
use super::smooth::{positive, step};

/// From 0 to 1 with both corners rounded: value and slope. `z` is the unrounded part.
fn stroke(z: f64) -> (f64, f64) {
    let (low, low_slope) = positive(z, 0.05);
    let (high, high_slope) = positive(z - 1.0, 0.05);
    (low - high, low_slope - high_slope)
}

/// What a bulb is charged with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Charge {
    /// The system's refrigerant, some of it always liquid: the spring is a fixed pressure, so superheat grows as it gets colder.
    Liquid,
    /// Another fluid, chosen so that superheat stays about the same over the range.
    Cross,
    /// Little of it: all vapour above a point, which limits the evaporator's pressure.
    Limited {
        /// The evaporator pressure that it won't open against, Pa.
        most_pa: f64,
    },
}

/// A thermostatic expansion valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermostatic {
    /// Fully open.
    pub opening: Opening,
    /// What stays open when it is shut, m² (a bleed; 0 without).
    pub bleed_m2: f64,
    /// Superheat at which it begins to open, at `set_k`, K.
    pub static_superheat_k: f64,
    /// Superheat from there to fully open, K.
    pub opening_superheat_k: f64,
    /// The slope of the saturation curve, Pa/K, at the evaporating temperature that it is set for.
    pub set_slope_pa_per_k: f64,
    /// The bulb's charge.
    pub charge: Charge,
    /// Time constant of the bulb, s.
    pub bulb_s: f64,
}

impl Thermostatic {
    /// The bulb's temperature moves towards that of the line that it is strapped to, K/s. `contact` 1 is well strapped and insulated; less is
    /// slower, and drawn towards the room.
    #[must_use]
    pub fn bulb_k_per_s(&self, bulb_k: f64, line_k: f64, room_k: f64, contact: f64) -> f64 {
        let contact = contact.clamp(0.0, 1.0);
        let aim = room_k + (line_k - room_k) * (contact + 0.1 * (1.0 - contact));
        (aim - bulb_k) / self.bulb_s.max(0.1) * (0.2 + 0.8 * contact)
    }

    /// How far it is open, 0 to 1, with slopes by the bulb's saturation pressure and by the evaporator pressure.
    ///
    /// `bulb_pa` is the system refrigerant's saturation pressure at the bulb's temperature, `slope_pa_per_k` the saturation curve's slope at the
    /// evaporator pressure. A bulb that has lost its charge is 0 Pa: shut.
    #[must_use]
    pub fn position(&self, bulb_pa: f64, evaporator_pa: f64, slope_pa_per_k: f64) -> (f64, f64, f64) {
        let (spring, full) = match self.charge {
            Charge::Liquid | Charge::Limited { .. } => {
                (self.static_superheat_k * self.set_slope_pa_per_k, self.opening_superheat_k * slope_pa_per_k)
            }
            Charge::Cross => {
                (self.static_superheat_k * slope_pa_per_k, self.opening_superheat_k * slope_pa_per_k)
            }
        };
        let full = full.max(1.0);
        let (pushing, by_bulb) = match self.charge {
            Charge::Limited { most_pa } => {
                let most = most_pa + spring;
                let (over, slope) = positive(bulb_pa - most, 0.02 * most.max(1.0));
                // All vapour: the bulb's pressure hardly rises any more (5 % of saturation's rise).
                (bulb_pa - 0.95 * over, 1.0 - 0.95 * slope)
            }
            _ => (bulb_pa, 1.0),
        };
        let (value, slope) = stroke((pushing - evaporator_pa - spring) / full);
        (value, slope * by_bulb / full, -slope / full)
    }

    /// The opening at that position.
    #[must_use]
    pub fn opened(&self, position: f64) -> Opening {
        let area = self.bleed_m2 + position.clamp(0.0, 1.0) * self.opening.area_m2;
        let part = (area / self.opening.area_m2.max(1e-12)).clamp(0.0, 1.0);
        Opening {
            area_m2: area,
            hydraulic_diameter_m: self.opening.hydraulic_diameter_m * part.max(0.01),
            ..self.opening
        }
    }
}

/// An electronic expansion valve, driven in steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Electronic {
    /// Fully open.
    pub opening: Opening,
    /// Seconds for the whole stroke (5 to 30; common practice).
    pub stroke_s: f64,
    /// Steps of the whole stroke (240 to 3200; common practice).
    pub steps: f64,
    /// What passes at position 0, m².
    pub leak_m2: f64,
}

impl Electronic {
    /// How its position moves towards a target, 1/s: at its own speed, slowing down within two steps.
    #[must_use]
    pub fn moves_per_s(&self, position: f64, target: f64) -> f64 {
        let off = target.clamp(0.0, 1.0) - position;
        let near = 2.0 / self.steps.max(2.0);
        let part = (off.abs() / near).min(1.0);
        part * off.signum() / self.stroke_s.max(0.1)
    }

    /// The opening at that position.
    #[must_use]
    pub fn opened(&self, position: f64) -> Opening {
        let part = position.clamp(0.0, 1.0);
        Opening {
            area_m2: self.leak_m2 + part * self.opening.area_m2,
            hydraulic_diameter_m: self.opening.hydraulic_diameter_m * part.max(0.01),
            ..self.opening
        }
    }
}

/// A proportional-integral control of superheat for an electronic valve (textbooks).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SuperheatControl {
    /// Wanted superheat, K.
    pub target_k: f64,
    /// Position for each kelvin off, 1/K (0.01 to 0.05).
    pub gain_per_k: f64,
    /// Integral time, s (60 to 200).
    pub integral_s: f64,
}

impl SuperheatControl {
    /// The target position, from the integral part and the superheat.
    #[must_use]
    pub fn target(&self, integral: f64, superheat_k: f64) -> f64 {
        (integral + self.gain_per_k * (superheat_k - self.target_k)).clamp(0.0, 1.0)
    }

    /// How the integral part moves, 1/s; it waits where the valve is at an end.
    #[must_use]
    pub fn integral_per_s(&self, integral: f64, superheat_k: f64) -> f64 {
        let rate = self.gain_per_k * (superheat_k - self.target_k) / self.integral_s.max(1.0);
        let room = if rate > 0.0 { 1.0 - integral } else { integral };
        rate * step(room / 0.02).0
    }
}

/// What a pressure regulator holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// The pressure before it: it opens as that rises above the setting (evaporator pressure, condenser pressure).
    Inlet,
    /// The pressure behind it: it opens as that falls below the setting (crankcase pressure, hot gas bypass, receiver pressure, nitrogen).
    Outlet,
}

/// A direct-acting pressure regulator in the flow from `a` to `b`. It senses one side only: as far as that holds it open, flow may run back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regulator {
    /// Fully open.
    pub opening: Opening,
    /// What it holds.
    pub holds: Holds,
    /// Where it begins to open, Pa absolute.
    pub setting_pa: f64,
    /// From there to fully open, Pa (0.3 to 1.5 bar; common practice).
    pub band_pa: f64,
    /// What passes when it is shut, as a part of the full opening.
    pub leak: f64,
}

impl Regulator {
    /// How far it is open, 0 to 1, and the slope by the pressure that it senses.
    #[must_use]
    pub fn position(&self, a_pa: f64, b_pa: f64) -> (f64, f64) {
        let band = self.band_pa.max(1.0);
        match self.holds {
            Holds::Inlet => {
                let (value, slope) = stroke((a_pa - self.setting_pa) / band);
                (value, slope / band)
            }
            Holds::Outlet => {
                let (value, slope) = stroke((self.setting_pa - b_pa) / band);
                (value, -slope / band)
            }
        }
    }

    /// The flow between two states.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        let (position, slope) = self.position(a.pa(), b.pa());
        self.passing(a, b, position, slope)
    }

    /// The flow with its stem lifted by hand, or stuck, at that position.
    #[must_use]
    pub fn held_at(&self, a: &Source, b: &Source, position: f64) -> MassFlow {
        self.passing(a, b, position.clamp(0.0, 1.0), 0.0)
    }

    fn passing(&self, a: &Source, b: &Source, position: f64, slope: f64) -> MassFlow {
        let whole = self.opening.between(a, b);
        let slope = (1.0 - self.leak) * slope * whole.kg_per_s;
        let mut flow = whole.scaled(self.leak + (1.0 - self.leak) * position);
        match self.holds {
            Holds::Inlet => flow.per_a_pa += slope,
            Holds::Outlet => flow.per_b_pa += slope,
        }
        flow
    }
}
