//! The upstream state of a flow: what it is and how it expands.
//!
//! The volume is taken to grow as v/v₀ = ω·(p₀/p − 1) + 1 below the pressure where vapour is present, and not at all above it: the omega
//! method for homogeneous equilibrium flow (J. C. Leung, AIChE J. 32 (1986) 1743; subcooled inlets: J. C. Leung & M. A. Grolmes, AIChE J. 34
//! (1988) 688; gas beside flashing liquid: Leung, AIChE J. 36 (1990) 797; the same equations stand in API 520 Part I, annex on two-phase
//! relief). Equations from memory; against homogeneous equilibrium flow worked out from the equations of state (three refrigerants, −10 to
//! 40 °C, 10 K subcooled to 80 % vapour) the tests find at most 2 %.
//!
//! A gas fits the same law with an ω that makes its choked flow that of an isentropic perfect gas; on the way there it is at most 1.2 % off
//! (exponents 0.7 to 1.67; 0.3 % for the 1.0 to 1.1 of most refrigerant vapours).
//!
//! Where it doesn't hold: openings so short that liquid hasn't time to flash pass more than this (a sharp-edged orifice fed with liquid that
//! is barely subcooled, up to the cold-liquid flow), and the law is rough within some 10 % of the critical pressure.

/// The pressure below which nothing is told apart, Pa.
const LEAST_PA: f64 = 1e-6;
/// Half the width over which the onset of flashing is rounded, as a part of the saturation pressure.
const ROUNDING: f64 = 0.01;

/// How the volume of a fluid grows as its pressure falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expansion {
    nozzle: f64,
    tube: f64,
}

/// What is needed to say how a boiling liquid expands: one component, or a blend with little glide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boiling {
    /// Density of the saturated liquid, kg/m³.
    pub liquid_kg_per_m3: f64,
    /// Density of the saturated vapour, kg/m³.
    pub vapour_kg_per_m3: f64,
    /// Isobaric heat of the liquid, J/(kg·K).
    pub liquid_cp_j_per_kg_k: f64,
    /// Heat of vaporisation, J/kg.
    pub vaporisation_j_per_kg: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Saturation pressure at that temperature (the vapour's own share, where there is air or nitrogen too), Pa.
    pub saturation_pa: f64,
}

impl Expansion {
    /// Gas or vapour with this isentropic exponent ρw²/p (0.6 to 1.8; perfect gas: ratio of heats).
    ///
    /// In a tube the gas takes up what it loses and p·v stays, so there ω is 1.
    #[must_use]
    pub fn gas(exponent: f64) -> Self {
        let less = 1.0 / exponent.clamp(0.6, 1.8) - 1.0;
        let nozzle = 1.0
            + less * (1.307_229_4 + less * (0.155_746_15 + less * (-0.066_150_825 + less * 0.028_072_63)));
        Self { nozzle, tube: 1.0 }
    }

    /// Liquid at its boiling point: ω = ρ·cp·T·p·(Δv/Δh)².
    #[must_use]
    pub fn boiling(of: &Boiling) -> Self {
        let grown = 1.0 / of.vapour_kg_per_m3.max(1e-9) - 1.0 / of.liquid_kg_per_m3.max(1e-9);
        let slope = grown / of.vaporisation_j_per_kg.max(1.0);
        let omega = of.liquid_kg_per_m3
            * of.liquid_cp_j_per_kg_k
            * of.temperature_k
            * of.saturation_pa
            * slope
            * slope;
        let omega = omega.clamp(0.3, 1e3);
        Self { nozzle: omega, tube: omega }
    }

    /// Liquid and vapour together, the vapour taking up this part of the volume (0 to 1).
    #[must_use]
    pub fn mixed(vapour: &Self, boiling: &Self, void_fraction: f64) -> Self {
        let wet = 1.0 - void_fraction;
        Self {
            nozzle: void_fraction * vapour.nozzle + wet * boiling.nozzle,
            tube: void_fraction * vapour.tube + wet * boiling.tube,
        }
    }

    /// Given directly; kept within 0.3 to 1000.
    #[must_use]
    pub const fn omega(omega: f64) -> Self {
        let omega = omega.clamp(0.3, 1e3);
        Self { nozzle: omega, tube: omega }
    }

    /// ω as it is used for openings.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.nozzle
    }
}

/// What drives a flow, and its slopes by the upstream and the downstream pressure.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drive {
    /// The value.
    pub value: f64,
    /// Slope by the upstream pressure, density and saturation held.
    pub per_up: f64,
    /// Slope by the downstream pressure.
    pub per_down: f64,
}

/// A state that can flow out: made once for each state of a space, then used for every joint on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    pressure: f64,
    density: f64,
    viscosity: f64,
    friction_density: f64,
    friction_viscosity: f64,
    expansion: Expansion,
    /// Where vapour begins: the pressure itself for gas and mixtures.
    onset: f64,
    /// (p − onset) / onset.
    cold: f64,
    /// The choking pressure over the onset.
    choke: f64,
}

impl Source {
    /// Gas, vapour, or a mixture of liquid and vapour: pressure, (homogeneous) density, dynamic viscosity, expansion.
    #[must_use]
    pub fn expanding(pa: f64, kg_per_m3: f64, viscosity_pa_s: f64, expansion: Expansion) -> Self {
        Self::new(pa, kg_per_m3, viscosity_pa_s, expansion, pa)
    }

    /// Liquid at or below its boiling point; `saturation_pa` belongs to its temperature.
    #[must_use]
    pub fn liquid(
        pa: f64,
        kg_per_m3: f64,
        viscosity_pa_s: f64,
        expansion: Expansion,
        saturation_pa: f64,
    ) -> Self {
        Self::new(pa, kg_per_m3, viscosity_pa_s, expansion, saturation_pa)
    }

    fn new(pa: f64, density: f64, viscosity: f64, expansion: Expansion, onset: f64) -> Self {
        let pressure = pa.max(LEAST_PA);
        let onset = onset.clamp(LEAST_PA, pressure);
        let cold = (pressure - onset) / onset;
        let density = density.max(1e-12);
        let viscosity = viscosity.max(1e-9);
        let choke = choke(expansion.nozzle, cold);
        Self {
            pressure,
            density,
            viscosity,
            friction_density: density,
            friction_viscosity: viscosity,
            expansion,
            onset,
            cold,
            choke,
        }
    }

    /// The same with the density and viscosity that stand for its friction in a tube (see [`TwoPhase`](super::TwoPhase)).
    #[must_use]
    pub const fn with_friction(mut self, kg_per_m3: f64, viscosity_pa_s: f64) -> Self {
        self.friction_density = kg_per_m3.max(1e-12);
        self.friction_viscosity = viscosity_pa_s.max(1e-9);
        self
    }

    /// Pressure, Pa.
    #[must_use]
    pub const fn pa(&self) -> f64 {
        self.pressure
    }
    /// Density, kg/m³.
    #[must_use]
    pub const fn kg_per_m3(&self) -> f64 {
        self.density
    }
    /// Dynamic viscosity, Pa·s.
    #[must_use]
    pub const fn viscosity_pa_s(&self) -> f64 {
        self.viscosity
    }
    /// Density and viscosity for friction.
    pub(super) const fn friction(&self) -> (f64, f64) {
        (self.friction_density, self.friction_viscosity)
    }
    /// How it expands in a tube.
    pub(super) const fn tube_omega(&self) -> f64 {
        self.expansion.tube
    }
    /// How much colder than boiling: (p − onset) / onset.
    pub(super) const fn cold(&self) -> f64 {
        self.cold
    }
    /// Where vapour begins, Pa.
    #[must_use]
    pub const fn onset_pa(&self) -> f64 {
        self.onset
    }

    /// The downstream pressure at and below which nothing more passes an opening, Pa.
    #[must_use]
    pub fn choke_pa(&self) -> f64 {
        self.choke * self.onset
    }

    /// The square of the mass flux through a frictionless nozzle, (kg/(m²·s))², against this downstream pressure.
    #[must_use]
    pub fn nozzle(&self, down_pa: f64) -> Drive {
        if down_pa >= self.pressure {
            let slope = 2.0 * self.density;
            return Drive { value: slope * (self.pressure - down_pa), per_up: slope, per_down: -slope };
        }
        let ratio = down_pa / self.onset;
        let mut drive = self.sharp(ratio);
        if self.cold > 0.0 {
            self.round(ratio, &mut drive);
        }
        drive
    }

    /// The square of the flux without the rounding at the onset of flashing; `ratio` is the downstream pressure over the onset.
    fn sharp(&self, ratio: f64) -> Drive {
        let twice = 2.0 * self.density;
        if ratio >= 1.0 && self.cold > 0.0 {
            let down = ratio * self.onset;
            return if self.choke < 1.0 || ratio > self.choke {
                Drive { value: twice * (self.pressure - down), per_up: twice, per_down: -twice }
            } else {
                Drive { value: twice * self.onset * self.cold, per_up: twice, per_down: 0.0 }
            };
        }
        let omega = self.expansion.nozzle;
        let at = ratio.max(self.choke);
        if at >= 1.0 {
            return Drive { value: twice * self.onset * self.cold, per_up: twice, per_down: 0.0 };
        }
        let spent = self.cold - omega * libm::log(at) - (omega - 1.0) * (1.0 - at);
        let grown = omega / at - omega + 1.0;
        let flux = spent / (grown * grown);
        let slope = if ratio > self.choke {
            (2.0 * spent * omega / (at * at * grown * grown) - 1.0).min(0.0) / grown
        } else {
            0.0
        };
        let per_up = if self.cold > 0.0 { 1.0 / (grown * grown) } else { flux - at * slope };
        Drive { value: twice * self.onset * flux, per_up: twice * per_up, per_down: twice * slope }
    }

    /// Rounds the corner at the onset of flashing, on the low side.
    fn round(&self, ratio: f64, drive: &mut Drive) {
        let part = self.cold / (self.cold + 2.0 * ROUNDING);
        let width = ROUNDING * part;
        let away = (ratio - 1.0).abs();
        if away >= width {
            return;
        }
        let double_omega = 2.0 * self.expansion.nozzle;
        let (corner, corner_by_cold) = if double_omega * self.cold < 1.0 {
            (double_omega * self.cold, double_omega)
        } else {
            (1.0, 0.0)
        };
        let near = 1.0 - away / width;
        let near_squared = near * near;
        let twice = 2.0 * self.density;
        let width_by_cold = ROUNDING * (1.0 - part) / (self.cold + 2.0 * ROUNDING);
        drive.value -= twice * self.onset * 0.25 * corner * width * near_squared;
        drive.per_up -= twice
            * 0.25
            * (corner_by_cold * width * near_squared
                + corner * width_by_cold * (near_squared + 2.0 * near * (1.0 - near)));
        let side = if ratio > 1.0 { 1.0 } else { -1.0 };
        drive.per_down += twice * 0.5 * corner * near * side;
    }

    /// ∫ρ dp between the two pressures, Pa·kg/m³, with the density for friction: what drives a tube.
    pub(super) fn throttled(&self, down_pa: f64) -> Drive {
        let density = self.friction_density;
        if down_pa >= self.onset {
            return Drive { value: density * (self.pressure - down_pa), per_up: density, per_down: -density };
        }
        let (omega, ratio) = (self.expansion.tube, down_pa.max(0.0) / self.onset);
        let inner = expanding_integral(omega, ratio);
        let here = if ratio > 0.0 { 1.0 / (omega / ratio - omega + 1.0) } else { 0.0 };
        let per_up = if self.cold > 0.0 { 1.0 } else { inner + ratio * here };
        Drive {
            value: density * (self.pressure - self.onset + self.onset * inner),
            per_up: density * per_up,
            per_down: -density * here,
        }
    }
}

/// ∫ s/((1−ω)s + ω) ds from `ratio` to 1.
pub(super) fn expanding_integral(omega: f64, ratio: f64) -> f64 {
    let (beta, y) = (1.0 - omega, 1.0 - ratio);
    if (beta * y).abs() < 0.01 {
        let (b, c, d, e) = (y / 2.0, y * y / 3.0, y * y * y / 4.0, y * y * y * y / 5.0);
        return y * (1.0 - b + beta * (b - c) + beta * beta * (c - d) + beta * beta * beta * (d - e));
    }
    y / beta + (1.0 - beta) / (beta * beta) * libm::log1p(-beta * y)
}

/// The choking pressure over the onset of vapour, 1 where a cold liquid chokes at the onset itself.
///
/// Newton on f(t) = (ω − (ω−1)t)² − 2ω(c − ω ln t − (ω−1)(1−t)), whose slope is 2(ω − (ω−1)t)²/t: rising and (for ω ≥ ½) concave, so that
/// after its first step it nears the root from below. It starts from the quadratic around t = 1. The flow is level in t here, so 1e-6 is enough.
fn choke(omega: f64, cold: f64) -> f64 {
    let left = 1.0 - 2.0 * omega * cold;
    if left <= 0.0 {
        return 1.0;
    }
    let mut at = 1.0 - left / (1.0 + (1.0 + (2.0 * omega - 1.0) * left).max(0.0).sqrt());
    for _ in 0..8 {
        let grown = omega - (omega - 1.0) * at;
        let off = grown * grown - 2.0 * omega * (cold - omega * near_one_ln(at) - (omega - 1.0) * (1.0 - at));
        let step = off * at / (2.0 * grown * grown);
        at -= step;
        if step.abs() < 1e-5 {
            break;
        }
    }
    at.clamp(1e-3, 1.0)
}

/// ln t for 0.4 to 1, to 1e-7: the series in (t−1)/(t+1), which costs one division.
fn near_one_ln(t: f64) -> f64 {
    let z = (t - 1.0) / (t + 1.0);
    let s = z * z;
    2.0 * z
        * (1.0
            + s * (1.0 / 3.0 + s * (0.2 + s * (1.0 / 7.0 + s * (1.0 / 9.0 + s * (1.0 / 11.0 + s / 13.0))))))
}
