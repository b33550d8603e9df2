//! Friction in tubes, explicit in the pressure difference.
//!
//! With Ka = Re·√f (Darcy's f) known from the pressures alone, the flow follows without iteration: laminar Re = Ka²/64, turbulent
//! Re = −2·Ka·log₁₀(k/3.7d + 2.51/Ka) (Colebrook 1939), between Re 2100 and Ka 800 (Re about 4000) one cubic that keeps value and slope at
//! both ends. The driving term is ∫ρ dp, so that expanding gas and flashing liquid are in it; the entrance loss, the velocity head and choking
//! at the end come from an opening in series. Against choked adiabatic flow of a perfect gas (Fanno) the tests find at most 6 %.

use super::super::smooth::step;
use super::{Drive, MassFlow, Opening, Source};

/// Ka at Re 2100 laminar: √(64·2100).
const LAMINAR: f64 = 366.606_055_6;
/// Ka above which the flow is fully turbulent.
const TURBULENT: f64 = 800.0;
/// An entrance with sharp edges takes half a velocity head, the flow itself one: 1/√1.5 (textbooks).
const ENTRANCE: f64 = 0.816_496_6;

/// A straight round tube; fittings count as length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// Inside diameter, m.
    pub bore_m: f64,
    /// Length with the equivalent length of its fittings, m.
    pub length_m: f64,
    /// Height of the roughness, m (drawn copper 1.5e-6, hose liner about the same; textbooks).
    pub roughness_m: f64,
    /// Pressure difference over which the fluid at one end gives way to that of the other, Pa.
    pub softening_pa: f64,
}

impl Tube {
    /// A drawn copper tube.
    #[must_use]
    pub const fn copper(bore_m: f64, length_m: f64) -> Self {
        Self { bore_m, length_m, roughness_m: 1.5e-6, softening_pa: 1.0 }
    }

    /// Cross section, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        core::f64::consts::FRAC_PI_4 * self.bore_m * self.bore_m
    }

    /// The flow between two states.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        if self.bore_m <= 0.0 {
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
        if self.bore_m <= 0.0 {
            return MassFlow::NONE;
        }
        self.out_of(a, down_pa, shared_fluidity(a, a))
    }

    fn out_of(&self, up: &Source, down_pa: f64, shared: f64) -> MassFlow {
        let friction = self.friction(up, down_pa, shared);
        let end = up.nozzle(down_pa);
        let (flux, square) = (friction.value, ENTRANCE * ENTRANCE);
        let fill = if end.value > 0.0 { flux / (end.value * square) } else { 0.0 };
        let part = flux * fill;
        let root = (1.0 + part).sqrt();
        let slope = |own: f64, of_end: f64| {
            let change = fill * (2.0 * own - fill * of_end * square);
            (own - 0.5 * flux * change / (1.0 + part)) / root * self.area_m2()
        };
        MassFlow {
            kg_per_s: flux / root * self.area_m2(),
            per_a_pa: slope(friction.per_up, end.per_up),
            per_b_pa: slope(friction.per_down, end.per_down),
        }
    }

    /// The mass flux that friction alone allows, kg/(m²·s).
    pub(super) fn friction(&self, up: &Source, down_pa: f64, shared: f64) -> Drive {
        let (density, viscosity) = up.friction();
        let drive = up.throttled(down_pa);
        let difference = up.pa() - down_pa;
        let (blend, blend_slope) = step(difference / self.softening_pa.max(1e-9));
        let off = shared * viscosity / density - 1.0;
        let factor = 1.0 + off * (1.0 - blend);
        let factor_slope = -off * blend_slope / self.softening_pa.max(1e-9);
        let bore = self.bore_m;
        let to_ka = 2.0 * bore * bore * bore / (self.length_m.max(1e-6) * viscosity * viscosity);
        let square = to_ka * drive.value * factor;
        let (reynolds, slope) = reynolds(square, self.roughness_m / (3.7 * bore));
        let to_flux = viscosity / bore;
        let by_drive = to_flux * slope * to_ka;
        Drive {
            value: to_flux * reynolds,
            per_up: by_drive * (drive.per_up * factor + drive.value * factor_slope),
            per_down: by_drive * (drive.per_down * factor - drive.value * factor_slope),
        }
    }
}

/// Density over viscosity that both ends share at no flow: their mean, but never more than twice the lesser, so that the flow stays monotone
/// while one gives way to the other (z·(1 + a·(1 − step z)) rises for a < 1.45).
pub(super) fn shared_fluidity(a: &Source, b: &Source) -> f64 {
    let (first, second) = (a.friction(), b.friction());
    let (first, second) = (first.0 / first.1, second.0 / second.1);
    (0.5 * (first + second)).min(2.0 * first.min(second))
}

/// Re and its slope by Ka², from Ka² and k/3.7d.
pub(super) fn reynolds(square: f64, rough: f64) -> (f64, f64) {
    if square <= LAMINAR * LAMINAR {
        return (square / 64.0, 1.0 / 64.0);
    }
    let ka = square.sqrt();
    if ka >= TURBULENT {
        let (value, slope) = colebrook(ka, rough);
        return (value, slope / (2.0 * ka));
    }
    let (end, end_slope) = colebrook(TURBULENT, rough);
    let width = TURBULENT - LAMINAR;
    let z = (ka - LAMINAR) / width;
    let (start, start_slope) = (LAMINAR * LAMINAR / 64.0, LAMINAR / 32.0);
    let rise = end - start;
    let (s, e) = (start_slope * width, end_slope * width);
    let (b, c) = (3.0 * rise - 2.0 * s - e, s + e - 2.0 * rise);
    let value = start + z * (s + z * (b + z * c));
    let slope = (s + z * (2.0 * b + z * 3.0 * c)) / width;
    (value, slope / (2.0 * ka))
}

/// Turbulent Re and its slope by Ka.
fn colebrook(ka: f64, rough: f64) -> (f64, f64) {
    let inner = rough + 2.51 / ka;
    let root = -2.0 * core::f64::consts::LOG10_E * libm::log(inner);
    (ka * root, root + 2.0 * core::f64::consts::LOG10_E * 2.51 / (ka * inner))
}

/// What is needed for the friction of liquid and vapour together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPhase {
    /// Density of the liquid, kg/m³.
    pub liquid_kg_per_m3: f64,
    /// Density of the vapour, kg/m³.
    pub vapour_kg_per_m3: f64,
    /// Viscosity of the liquid, Pa·s.
    pub liquid_pa_s: f64,
    /// Viscosity of the vapour, Pa·s.
    pub vapour_pa_s: f64,
}

impl TwoPhase {
    /// The density and viscosity of one fluid with the friction of this mixture, by mass quality: the interpolation of H. Müller-Steinhagen &
    /// K. Heck (Chem. Eng. Process. 20 (1986) 297) between all-liquid and all-vapour flow, used for 1/ρ and for μ/ρ. At one friction factor
    /// that is their formula itself. Their own scatter is about 30 %. The cube root is softened within 2 % of dry vapour.
    #[must_use]
    pub fn friction(&self, quality: f64) -> (f64, f64) {
        let x = quality.clamp(0.0, 1.0);
        let wet = 1.0 - x;
        let root = wet * 1.000_033_33 / libm::cbrt(wet * wet + 1e-4);
        let between =
            |liquid: f64, vapour: f64| (liquid + 2.0 * (vapour - liquid) * x) * root + vapour * x * x * x;
        let volume = between(1.0 / self.liquid_kg_per_m3, 1.0 / self.vapour_kg_per_m3);
        let kinematic =
            between(self.liquid_pa_s / self.liquid_kg_per_m3, self.vapour_pa_s / self.vapour_kg_per_m3);
        (1.0 / volume, kinematic / volume)
    }
}

/// A charging hose: a tube with fittings at both ends, perhaps with a core depressor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hose {
    /// The hose itself.
    pub tube: Tube,
    /// The narrowest fitting or the gap around a depressed core; `None`: as wide as the hose.
    pub end: Option<Opening>,
}

impl Hose {
    /// The flow between two states.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        let tube = self.tube.between(a, b);
        match &self.end {
            Some(end) => tube.in_series(end.between(a, b)),
            None => tube,
        }
    }
}
