//! Two phases in equilibrium: Newton on the logarithms of the components' molar densities in both phases.
//!
//! No density root is solved on the way, so that there are no temperatures at which a root solver fails (isochoric thermodynamics:
//! U. K. Deiters, I. H. Bell, AIChE J. 64 (2018) 2745-2757). What is found is accepted by equality of pressures and fugacities.

use crate::MOST_COMPONENTS;
use crate::envelope::on_line;

use super::helmholtz::{GAS_CONSTANT, Model, Residual, Vector};
use super::saturate::Start;
use super::solve::{MOST, System};

/// Two phases: temperature in K, molar densities of the components in both in mol/m³.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Phases {
    pub(crate) t: f64,
    pub(crate) p: f64,
    pub(crate) liquid: Vector,
    pub(crate) vapour: Vector,
    /// Molar vapour fraction.
    pub(crate) q: f64,
}

/// What a pair of phases has to meet besides equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Spec {
    Temperature(f64),
    Pressure(f64),
    Quality(f64),
    /// Molar density of both together.
    Density(f64),
}

/// How many Newton steps may be taken, and how far one may go.
const STEPS: usize = 60;
const CAP: f64 = 0.3;
/// Newton squares what is left: after a step of this size nothing is.
const CONVERGED: f64 = 1e-7;
/// Less than this mole fraction is hardly any.
const LITTLE: f64 = 1e-3;
/// Above this part of the reducing temperature a curve is followed.
const NEAR_THE_TOP: f64 = 0.94;
/// Below this part of it a liquid of another kind may also be in equilibrium with the vapour.
pub(crate) const COLD: f64 = 0.5;

pub(crate) fn sum(n: usize, vector: &Vector) -> f64 {
    vector.iter().take(n).sum()
}

/// The fractions of a phase.
pub(crate) fn fractions(n: usize, densities: &Vector) -> Vector {
    let total = sum(n, densities);
    core::array::from_fn(|i| if i < n { densities[i] / total } else { 0.0 })
}

/// One phase inside a Newton step.
pub(crate) struct Side {
    densities: Vector,
    pub(crate) residual: Residual,
    /// Slopes of `p / (R T)` by the logarithms of the densities.
    pub(crate) z_slopes: Vector,
}

impl Side {
    pub(crate) fn at(model: &Model, t: f64, densities: Vector) -> Self {
        let n = model.len();
        let residual = model.residual(t, &densities);
        let z_slopes = core::array::from_fn(|j| {
            if j >= n {
                return 0.0;
            }
            let row: f64 = (0..n).map(|i| densities[i] * residual.bend[i][j]).sum();
            densities[j] * (1.0 + row)
        });
        Self { densities, residual, z_slopes }
    }

    /// Logarithm of the fugacity over RT, to be compared between phases.
    pub(crate) fn log_f(&self, i: usize) -> f64 {
        libm::log(self.densities[i]) + self.residual.slope[i]
    }

    /// Its slope by the logarithm of a density.
    pub(crate) fn log_f_slope(&self, i: usize, j: usize) -> f64 {
        let own = if i == j { 1.0 } else { 0.0 };
        own + self.densities[j] * self.residual.bend[i][j]
    }
}

impl Model {
    /// Both phases at two specifications, from a start.
    ///
    /// Unknowns: logarithms of the liquid's densities, of the vapour's, the vapour fraction, the logarithm of the temperature.
    pub(crate) fn two_phases(&self, z: &Vector, specs: [Spec; 2], start: Phases) -> Option<Phases> {
        let n = self.len();
        let mut here = start;
        if let Some(t) =
            specs.iter().find_map(|spec| if let Spec::Temperature(t) = spec { Some(*t) } else { None })
        {
            here.t = t;
        }
        for _ in 0..STEPS {
            let liquid = Side::at(self, here.t, here.liquid);
            let vapour = Side::at(self, here.t, here.vapour);
            let step = self.newton_step(z, specs, &here, &liquid, &vapour)?;
            let largest = step
                .iter()
                .take(2 * n)
                .chain([&step[2 * n + 1]])
                .fold(0.0f64, |most, value| most.max(value.abs()));
            let damp = if largest > CAP { CAP / largest } else { 1.0 };
            for i in 0..n {
                here.liquid[i] *= libm::exp(damp * step[i]);
                here.vapour[i] *= libm::exp(damp * step[n + i]);
            }
            here.q += damp * step[2 * n];
            here.t *= libm::exp(damp * step[2 * n + 1]);
            if !(here.t.is_finite() && here.t > 1.0) || self.is_trivial(&here) {
                return None;
            }
            if largest < CONVERGED {
                return self.accepted(here);
            }
        }
        // A cold liquid's pressure is a small difference of large terms: the last digits may never settle.
        self.accepted(here)
    }

    fn newton_step(
        &self,
        z: &Vector,
        specs: [Spec; 2],
        here: &Phases,
        liquid: &Side,
        vapour: &Side,
    ) -> Option<[f64; MOST]> {
        let n = self.len();
        let (at_q, at_t) = (2 * n, 2 * n + 1);
        let mut system = System::new(2 * n + 2);
        let t = here.t;
        for i in 0..n {
            for j in 0..n {
                system.set(i, j, liquid.log_f_slope(i, j));
                system.set(i, n + j, -vapour.log_f_slope(i, j));
            }
            system.set(i, at_t, t * (liquid.residual.by_t[i] - vapour.residual.by_t[i]));
            system.right(i, vapour.log_f(i) - liquid.log_f(i));
        }
        // Equal pressures, in units of the vapour's density.
        let scale = sum(n, &here.vapour);
        for j in 0..n {
            system.set(n, j, liquid.z_slopes[j] / scale);
            system.set(n, n + j, -vapour.z_slopes[j] / scale);
        }
        system.set(n, at_t, t * (liquid.residual.z_rho_t - vapour.residual.z_rho_t) / scale);
        system.right(n, (vapour.residual.z_rho - liquid.residual.z_rho) / scale);
        self.balances(z, here, &mut system);
        for (k, spec) in specs.into_iter().enumerate() {
            let row = 2 * n + k;
            match spec {
                Spec::Temperature(wanted) => {
                    system.set(row, at_t, 1.0);
                    system.right(row, libm::log(wanted / t));
                }
                Spec::Quality(wanted) => {
                    system.set(row, at_q, 1.0);
                    system.right(row, wanted - here.q);
                }
                Spec::Pressure(wanted) => {
                    let z_rho = vapour.residual.z_rho;
                    if z_rho <= 0.0 {
                        return None;
                    }
                    for j in 0..n {
                        system.set(row, n + j, vapour.z_slopes[j] / z_rho);
                    }
                    system.set(row, at_t, 1.0 + t * vapour.residual.z_rho_t / z_rho);
                    system.right(row, libm::log(wanted / (GAS_CONSTANT * t * z_rho)));
                }
                Spec::Density(wanted) => {
                    let (l, v) = (sum(n, &here.liquid), sum(n, &here.vapour));
                    for j in 0..n {
                        system.set(row, j, -(1.0 - here.q) * wanted * here.liquid[j] / (l * l));
                        system.set(row, n + j, -here.q * wanted * here.vapour[j] / (v * v));
                    }
                    system.set(row, at_q, wanted * (1.0 / v - 1.0 / l));
                    system.right(row, 1.0 - wanted * ((1.0 - here.q) / l + here.q / v));
                }
            }
        }
        system.solve()
    }

    /// What is in both phases together is the composition: one balance for each component but one, the last. Where there is hardly any of
    /// the last, what the sum of the others leaves for it would be lost in rounding: then for each but that of which there is most.
    fn balances(&self, z: &Vector, here: &Phases, system: &mut System) {
        let n = self.len();
        let (x, y) = (fractions(n, &here.liquid), fractions(n, &here.vapour));
        let most = (0..n).max_by(|&a, &b| z[a].total_cmp(&z[b])).unwrap_or(0);
        let left_out = if z[n - 1] > LITTLE { n - 1 } else { most };
        for (at, i) in (0..n).filter(|&i| i != left_out).enumerate() {
            let row = n + 1 + at;
            for j in 0..n {
                let own = if i == j { 1.0 } else { 0.0 };
                system.set(row, j, (1.0 - here.q) * x[i] * (own - x[j]));
                system.set(row, n + j, here.q * y[i] * (own - y[j]));
            }
            system.set(row, 2 * n, y[i] - x[i]);
            system.right(row, z[i] - (1.0 - here.q) * x[i] - here.q * y[i]);
        }
    }

    /// Whether both phases have become one.
    fn is_trivial(&self, here: &Phases) -> bool {
        let n = self.len();
        (0..n).all(|i| (here.liquid[i] - here.vapour[i]).abs() < 1e-5 * here.liquid[i])
    }

    /// Checks equilibrium and stability; gives the pressure.
    fn accepted(&self, mut here: Phases) -> Option<Phases> {
        let n = self.len();
        let (liquid, vapour) = (Side::at(self, here.t, here.liquid), Side::at(self, here.t, here.vapour));
        let rt = GAS_CONSTANT * here.t;
        here.p = rt * vapour.residual.z_rho;
        let stiffness = |side: &Side| sum(n, &side.z_slopes);
        let apart = (liquid.residual.z_rho - vapour.residual.z_rho).abs();
        let uncertain = 1e-9 * vapour.residual.z_rho + 1e-11 * stiffness(&liquid);
        let equal = (0..n).all(|i| (liquid.log_f(i) - vapour.log_f(i)).abs() < 1e-8);
        let stable = stiffness(&liquid) > 0.0 && stiffness(&vapour) > 0.0;
        let ordered = sum(n, &here.liquid) > sum(n, &here.vapour);
        let fine = here.p > 0.0 && apart <= uncertain && equal && stable && ordered;
        (fine && !self.is_trivial(&here)).then_some(here)
    }

    /// Rough saturation pressure of each component, extended above its critical point.
    fn rough_pressures(&self, t: f64) -> Vector {
        let mut out = [0.0; MOST_COMPONENTS];
        for (slot, eos) in out.iter_mut().zip(&self.components) {
            let data = &eos.data;
            let (low, high) = (data.min_temperature, 0.98 * data.critical_temperature);
            *slot = if t >= low && t <= high {
                eos.start_pressure(t)
            } else {
                // Straight in 1/T through two points of the curve.
                let (one, two) = if t < low { (low, 1.1 * low) } else { (0.7 * high, high) };
                let (a, b) = (libm::log(eos.start_pressure(one)), libm::log(eos.start_pressure(two)));
                libm::exp(a + (b - a) * (1.0 / one - 1.0 / t) / (1.0 / one - 1.0 / two))
            };
        }
        out
    }

    fn rough_liquid(&self, t: f64, x: &Vector) -> f64 {
        let volume: f64 = self
            .components
            .iter()
            .zip(x)
            .map(|(eos, x)| {
                let data = &eos.data;
                x / eos.start_liquid(t.clamp(data.min_temperature, 0.92 * data.critical_temperature))
            })
            .sum();
        1.0 / volume
    }

    /// Density of a vapour by the second virial coefficient (K. S. Pitzer, R. F. Curl 1957, simple fluid).
    fn rough_vapour(&self, t: f64, p: f64, y: &Vector) -> f64 {
        let mix = |of: fn(&crate::data::FluidData) -> f64| -> f64 {
            self.components.iter().zip(y).map(|(eos, y)| y * of(&eos.data)).sum()
        };
        let (tc, pc) = (mix(|data| data.critical_temperature), mix(|data| data.critical_pressure));
        let b = 0.083 - 0.422 * libm::pow(tc / t, 1.6);
        let z = (1.0 + b * (p / pc) * (tc / t)).max(0.45);
        p / (GAS_CONSTANT * t * z)
    }

    /// Where Newton starts for a bubble point (`q` 0) or dew point (`q` 1) at a temperature: Raoult's law.
    pub(crate) fn rough_phases(&self, t: f64, z: &Vector, q: f64) -> Phases {
        let n = self.len();
        let pure = self.rough_pressures(t);
        let bubble = q < 0.5;
        let p = if bubble {
            (0..n).map(|i| z[i] * pure[i]).sum::<f64>()
        } else {
            1.0 / (0..n).map(|i| z[i] / pure[i]).sum::<f64>()
        };
        let other: Vector = core::array::from_fn(|i| {
            if i >= n {
                0.0
            } else if bubble {
                z[i] * pure[i] / p
            } else {
                z[i] * p / pure[i]
            }
        });
        let (x, y) = if bubble { (*z, other) } else { (other, *z) };
        let (l, v) = (self.rough_liquid(t, &x), self.rough_vapour(t, p, &y));
        Phases { t, p, liquid: x.map(|x| x * l), vapour: y.map(|y| y * v), q }
    }

    /// A temperature at which the rough bubble or dew pressure is that.
    pub(crate) fn rough_temperature(&self, p: f64, z: &Vector, q: f64) -> f64 {
        let (mut low, mut high) = (50.0, 700.0);
        for _ in 0..60 {
            let half = 2.0 / (1.0 / low + 1.0 / high);
            if self.rough_phases(half, z, q).p > p {
                high = half
            } else {
                low = half
            }
            if high - low < 1e-3 * low {
                break;
            }
        }
        0.5 * (low + high)
    }

    /// Bubble or dew point at a temperature. Near the critical point, and where Raoult's law leads nowhere, by following the whole curve: near
    /// the critical point a start from afar can lead to another solution of the same equations, with a "vapour" as dense as a liquid, or to the
    /// second of two dew points.
    pub(crate) fn saturated_at(&self, t: f64, z: &Vector, q: f64) -> Option<Phases> {
        if t > NEAR_THE_TOP * self.reduced_point(z).0 {
            return self.follow(t, z, q);
        }
        let found = self.nearest_saturated(t, z, q);
        if t < COLD * self.reduced_point(z).0 {
            self.stabler(found, self.down_from_warmer(t, z, q), q)
        } else {
            found
        }
    }

    /// Of two solutions the one that is met first: vapour and liquid part at the lowest dew and the highest bubble pressure.
    fn stabler(&self, one: Option<Phases>, other: Option<Phases>, q: f64) -> Option<Phases> {
        match (one, other) {
            (Some(one), Some(other)) => Some(if (one.p < other.p) == (q > 0.5) { one } else { other }),
            (one, other) => one.or(other),
        }
    }

    /// Followed down from where there is one solution.
    fn down_from_warmer(&self, t: f64, z: &Vector, q: f64) -> Option<Phases> {
        let mut here = self.nearest_saturated(1.02 * COLD * self.reduced_point(z).0, z, q)?;
        while here.t > t {
            let next = t.max(0.98 * here.t);
            here =
                self.two_phases(z, [Spec::Temperature(next), Spec::Quality(q)], Phases { t: next, ..here })?;
        }
        Some(here)
    }

    /// The solution that Raoult's law leads to.
    fn nearest_saturated(&self, t: f64, z: &Vector, q: f64) -> Option<Phases> {
        let start = self.rough_phases(t, z, q);
        if let Some(found) = self.quickly_saturated(&Start::at(self.len(), &start, q), z) {
            return Some(found);
        }
        let specs = [Spec::Temperature(t), Spec::Quality(q)];
        let found = self.two_phases(z, specs, start);
        found.filter(|found| self.far_apart(found)).or_else(|| self.follow(t, z, q))
    }

    /// Whether the phases differ so much that they aren't one of those.
    pub(crate) fn far_apart(&self, found: &Phases) -> bool {
        sum(self.len(), &found.liquid) > 2.0 * sum(self.len(), &found.vapour)
    }

    fn follow(&self, t: f64, z: &Vector, q: f64) -> Option<Phases> {
        let reducing = self.reduced_point(z).0;
        let specs = [Spec::Temperature(t), Spec::Quality(q)];
        let near = on_line(self, z, reducing, specs[0], q)?;
        self.two_phases(z, specs, near).or(Some(near))
    }
}
