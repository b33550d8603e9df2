//! Devices that open by the pressure difference across them: check valves, solenoid valves, relief valves.

use super::super::smooth::step;
use super::{MassFlow, Opening, Source};

/// That part of a flow, where the part follows the difference a − b with this slope.
fn portion(flow: MassFlow, part: f64, per_pa: f64) -> MassFlow {
    MassFlow {
        kg_per_s: flow.kg_per_s * part,
        per_a_pa: flow.per_a_pa * part + flow.kg_per_s * per_pa,
        per_b_pa: flow.per_b_pa * part - flow.kg_per_s * per_pa,
    }
}

/// A check valve from `a` to `b`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// Fully open.
    pub opening: Opening,
    /// The difference at which it begins to open, Pa (0.3 to 3 kPa; common practice).
    pub cracking_pa: f64,
    /// The difference at which it is fully open, Pa.
    pub full_pa: f64,
    /// What passes either way when it is shut, as a part of the full opening.
    pub leak: f64,
}

impl Check {
    /// The flow between two states.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        let width = (self.full_pa - self.cracking_pa).max(1.0);
        let (open, slope) = step((a.pa() - b.pa() - self.cracking_pa) / width);
        let part = self.leak + (1.0 - self.leak) * open;
        portion(self.opening.between(a, b), part, (1.0 - self.leak) * slope / width)
    }
}

/// A solenoid valve in the flow from `a` to `b`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solenoid {
    /// Fully open.
    pub opening: Opening,
    /// The difference that holds it fully open, Pa; 0 for one that its coil opens directly.
    pub minimum_opening_pa: f64,
    /// What the pilot alone lets through, as a part of the full opening (about 0.05; assumed).
    pub pilot: f64,
    /// The difference from `b` to `a` that lifts it against its spring when it is shut, Pa.
    pub reverse_lift_pa: f64,
    /// What passes when it is shut, as a part of the full opening: dirt on the seat.
    pub leak: f64,
}

impl Solenoid {
    /// The flow between two states with the plunger lifted (1), dropped (0) or stuck between.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source, lifted: f64) -> MassFlow {
        let difference = a.pa() - b.pa();
        let lifted = lifted.clamp(0.0, 1.0);
        let (held, held_slope) = if self.minimum_opening_pa > 0.0 {
            let (value, slope) = step(difference / self.minimum_opening_pa);
            let rest = 1.0 - self.pilot;
            (self.pilot + rest * value, rest * slope / self.minimum_opening_pa)
        } else {
            (1.0, 0.0)
        };
        let lift = self.reverse_lift_pa.max(1.0);
        let (forced, forced_slope) = step(-difference / lift);
        let closed = (1.0 - self.leak) * (1.0 - forced);
        let open = lifted * held;
        let part = 1.0 - closed * (1.0 - open);
        let slope = closed * lifted * held_slope - (1.0 - self.leak) * (1.0 - open) * forced_slope / lift;
        portion(self.opening.between(a, b), part, slope)
    }
}

/// A spring-loaded relief valve that reseats. Sizing and the 10 % of overpressure for full lift: ISO 4126-1, API 520 Part I.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relief {
    /// Fully lifted. Its discharge coefficient is the certified one (0.6 to 0.975).
    pub opening: Opening,
    /// The difference at which it lifts, Pa.
    pub set_pa: f64,
    /// The part of the setting above it at which it is fully lifted (0.1).
    pub overpressure: f64,
    /// The part of the setting below it at which it is shut again (0.05 to 0.2; small refrigeration valves often reseat badly).
    pub blowdown: f64,
}

impl Relief {
    /// Whether it is off its seat next, from whether it is now and the difference across it.
    #[must_use]
    pub fn lifts(&self, lifted: bool, difference_pa: f64) -> bool {
        if lifted { difference_pa > self.reseat_pa() } else { difference_pa >= self.set_pa }
    }

    /// The difference at which it is shut again, Pa.
    #[must_use]
    pub fn reseat_pa(&self) -> f64 {
        self.set_pa * (1.0 - self.blowdown)
    }

    /// The flow once it has lifted; zero at the reseating difference.
    #[must_use]
    pub fn lifted(&self, a: &Source, b: &Source) -> MassFlow {
        let width = (self.set_pa * (self.overpressure + self.blowdown)).max(1.0);
        let (part, slope) = step((a.pa() - b.pa() - self.reseat_pa()) / width);
        if part <= 0.0 {
            return MassFlow::NONE;
        }
        portion(self.opening.between(a, b), part, slope / width)
    }
}
