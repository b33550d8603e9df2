//! States beyond what is known of a refrigerant: Newton's method asks for them on its way, and a deep vacuum comes to some of them.
//!
//! Colder than a blend's tables go, or than a pure fluid's equation, a state follows from the coldest known at its density as for a constant heat
//! capacity and heat of evaporation, by Clausius and Clapeyron: temperature and pressure go on without a step in themselves or in their slopes. The full
//! model of a blend takes a tenth of a second to answer there, or to find that it has no answer. Hotter than the equation the gas goes on with its heat
//! capacity.

use super::medium::{At, BESIDE, Medium, state_at};

/// Where continued states end, K.
const END: f64 = 50.0;

/// Where a continuation starts: energy, temperature, pressure, and the slopes of both by the energy.
struct Anchor {
    u: f64,
    t: f64,
    p: f64,
    t_slope: f64,
    p_slope: f64,
    /// In two phases: what condensing all the vapour would set free at constant volume, J/kg.
    vapour: Option<f64>,
}

impl Medium {
    /// At a density, kg/m³, and an energy, J/kg, that the tables don't have and that is not surely one phase.
    pub(super) fn beyond(&self, rho: f64, u: f64) -> At {
        if let Some(anchor) = self.coldest_at(rho).filter(|anchor| u < anchor.u) {
            return anchor.colder(u);
        }
        self.hotter(rho, u).or_else(|| self.known(rho, u)).unwrap_or_else(|| self.denser(rho, u))
    }

    /// By the full model.
    fn known(&self, rho: f64, u: f64) -> Option<At> {
        let found = self.table.state(rho, u).ok()?;
        Some(At { t: found.kelvin, p: found.pascal, two_phase: found.two_phase })
    }

    /// The coldest state that is known at a density: of a blend from its tables, of a pure fluid, whose full model is quick, by that.
    fn coldest_at(&self, rho: f64) -> Option<Anchor> {
        if self.is_blend() {
            let (u, found) = self.table.coldest_at(rho)?;
            return Some(Anchor {
                u,
                t: found.kelvin,
                p: found.pascal,
                t_slope: found.temperature_by_energy,
                p_slope: found.pressure_by_energy,
                vapour: found.phases.map(|phases| {
                    let spread = 1.0 / phases.vapour_density - 1.0 / phases.liquid_density;
                    let each = phases.vapour_enthalpy - phases.liquid_enthalpy - found.pascal * spread;
                    phases.vapour_mass * each
                }),
            });
        }
        let t = self.substance().lowest_temperature().as_k() * (1.0 + 1e-6);
        let here = state_at(self.substance(), t, rho).ok()?;
        let warmer = state_at(self.substance(), t + STRIDE, rho).ok()?;
        let across = warmer.u - here.u;
        Some(Anchor {
            u: here.u,
            t,
            p: here.p,
            t_slope: STRIDE / across,
            p_slope: (warmer.p - here.p) / across,
            vapour: here.rho_l.zip(here.rho_v).and_then(|(liquid, vapour)| {
                let energy = |rho| state_at(self.substance(), t, rho).map(|state| state.u).ok();
                let each = energy(vapour * (1.0 - BESIDE))? - energy(liquid * (1.0 + BESIDE))?;
                Some(here.q? * each)
            }),
        })
    }

    /// Hotter than the model goes: a gas with the heat capacity that it has there.
    fn hotter(&self, rho: f64, u: f64) -> Option<At> {
        let hot = self.substance().temperatures().1.as_k() * (1.0 - 1e-6);
        let edge = state_at(self.substance(), hot, rho).ok().filter(|edge| edge.p > 0.0 && u > edge.u)?;
        let t = hot + (u - edge.u) / edge.cv.unwrap_or(1e3);
        Some(At { t, p: edge.p * t / hot, two_phase: false })
    }

    /// Denser than anything: as stiff as the densest liquid.
    fn denser(&self, rho: f64, u: f64) -> At {
        let (coldest, cold) = self.coldest();
        let dense = self.phases(0.0).rho_l;
        let t = cold.max(cold + (u - coldest) / 1500.0);
        At { t, p: 1e9 * (rho / dense - 1.0).max(0.0) + 1e5, two_phase: false }
    }
}

/// For slopes at the cold end, K.
const STRIDE: f64 = 0.1;

impl Anchor {
    fn colder(&self, u: f64) -> At {
        let t = self.temperature(u);
        At { t, p: self.pressure(t).max(1e-30), two_phase: self.vapour.is_some() }
    }

    /// By Clausius and Clapeyron; of one phase, a curve of the same kind.
    fn pressure(&self, t: f64) -> f64 {
        self.p * libm::exp(-self.steep() * (1.0 / t - 1.0 / self.t))
    }

    /// Slope of the pressure's logarithm by -1/T, K.
    fn steep(&self) -> f64 {
        self.t * self.t * self.p_slope / (self.t_slope * self.p)
    }

    /// Energy above the anchor's and its slope: vapour comes down as its density falls, and what is there has a constant heat capacity.
    fn energy(&self, t: f64) -> (f64, f64) {
        let vapour = self.vapour.unwrap_or(0.0);
        let share = |t: f64| self.pressure(t) * self.t / (self.p * t);
        let slope = |t: f64| share(t) * (self.steep() / t - 1.0) / t;
        let heat = (1.0 / self.t_slope - vapour * slope(self.t)).max(0.1 / self.t_slope);
        (heat * (t - self.t) - vapour * (1.0 - share(t)), heat + vapour * slope(t))
    }

    /// Half way down softened, so that it never comes to the end.
    fn temperature(&self, u: f64) -> f64 {
        let knee = 0.5 * (self.t + END);
        let (at_knee, slope) = self.energy(knee);
        let above = u - self.u;
        if above < at_knee {
            return END + (knee - END) * libm::exp((above - at_knee) / (slope * (knee - END)));
        }
        let (mut low, mut high, mut t) = (knee, self.t, self.t);
        for _ in 0..60 {
            let (here, slope) = self.energy(t);
            if here > above {
                high = t
            } else {
                low = t
            }
            let next = t - (here - above) / slope;
            let next = if next > low && next < high { next } else { 0.5 * (low + high) };
            if (next - t).abs() < 1e-12 * t {
                return next;
            }
            t = next;
        }
        t
    }
}
