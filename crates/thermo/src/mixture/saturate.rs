//! Bubble and dew points at a temperature, quickly: Newton with no more unknowns than there are.
//!
//! The phase that is there keeps its composition, so it has one unknown, the logarithm of its density; the phase that forms has one for each
//! component. Only the latter needs second slopes by composition. Where Newton has come close, one more step with the same matrix both finishes
//! and shows, by the fugacities and pressures found there, that the phases are in equilibrium.

use super::equilibrium::Phases;
use super::helmholtz::{GAS_CONSTANT, Model, Vector};
use crate::kernel::{Alpha, Equation, Shared};
use crate::lanes::{Lanes, WIDTH, exp, ln};
use crate::pieces::{coefficients, monomials, nodes};

/// How many Newton steps may be taken, how far one may go, and after which one the matrix serves once more.
const STEPS: usize = 12;
const CAP: f64 = 0.3;
const CLOSE: f64 = 1e-3;
/// What may be left after the last step.
const LEFT: f64 = 1e-12;
/// After a step of this size nothing is left: Newton squares it.
const SURE: f64 = 2e-7;
/// How far apart logarithms of fugacities and pressures may be before the last step.
const EQUAL: f64 = 1e-5;

/// A pair of components as the reducing functions need it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link {
    pub(super) i: usize,
    pub(super) j: usize,
    /// Factor and square of beta, of the temperature and of the volume.
    pub(super) t: [f64; 2],
    pub(super) v: [f64; 2],
    pub(super) departure: Option<(&'static Equation, f64)>,
}

/// A reducing function: value, slopes by the densities times the density, second slopes times its square.
struct Reduced<const N: usize> {
    value: f64,
    slope: [f64; N],
    bend: [[f64; N]; N],
}

impl<const N: usize> Reduced<N> {
    fn new(model: &Model, x: &[f64; N], pure: &[f64], of: impl Fn(&Link) -> [f64; 2], second: bool) -> Self {
        let mut value = 0.0;
        let (mut first, mut bend) = ([0.0; N], [[0.0; N]; N]);
        for i in 0..N {
            value += x[i] * x[i] * pure[i];
            first[i] = 2.0 * x[i] * pure[i];
            bend[i][i] = 2.0 * pure[i];
        }
        for link in model.links() {
            let [c, bb] = of(link);
            let (i, j) = (link.i, link.j);
            let (a, b) = (x[i], x[j]);
            // f = a b (a + b) / (bb a + b), and its slopes by a and b as independent variables.
            let over = 1.0 / (bb * a + b);
            let f = a * b * (a + b) * over;
            let fa = (b * (2.0 * a + b) - f * bb) * over;
            let fb = (a * (a + 2.0 * b) - f) * over;
            value += c * f;
            first[i] += c * fa;
            first[j] += c * fb;
            if second {
                let twice = 2.0 * c * over;
                bend[i][i] += twice * (b - fa * bb);
                bend[j][j] += twice * (a - fb);
                let mixed = c * over * (2.0 * (a + b) - fa - fb * bb);
                bend[i][j] += mixed;
                bend[j][i] += mixed;
            }
        }
        // From slopes by independent fractions to slopes by densities, with x = rho_i / rho.
        let s: f64 = (0..N).map(|k| x[k] * first[k]).sum();
        let slope: [f64; N] = core::array::from_fn(|i| first[i] - s);
        if second {
            let row: [f64; N] = core::array::from_fn(|i| (0..N).map(|k| x[k] * bend[i][k]).sum());
            let total: f64 = (0..N).map(|k| x[k] * row[k]).sum();
            for i in 0..N {
                for j in 0..N {
                    bend[i][j] += total - row[i] - row[j] - slope[i] - slope[j];
                }
            }
        }
        Self { value, slope, bend }
    }
}

/// Both reducing functions of a composition.
struct Reducing<const N: usize> {
    t: Reduced<N>,
    v: Reduced<N>,
    /// Slopes over values: of the logarithm of delta (with that of the density itself) and of tau.
    d: [f64; N],
    k: [f64; N],
}

impl<const N: usize> Reducing<N> {
    fn new(model: &Model, x: &[f64; N], second: bool) -> Self {
        let (pure_t, pure_v) = model.pure_points();
        let t = Reduced::new(model, x, pure_t, |link| link.t, second);
        let v = Reduced::new(model, x, pure_v, |link| link.v, second);
        let d = core::array::from_fn(|i| 1.0 + v.slope[i] / v.value);
        let k = core::array::from_fn(|i| t.slope[i] / t.value);
        Self { t, v, d, k }
    }
}

/// The components' residual parts at one state.
struct Parts<const N: usize> {
    /// Residual part of each component with what its departure functions add, less what they add to the whole: `a`, and slopes by delta and tau.
    own: [[f64; 3]; N],
    mean: Alpha,
    partner: [f64; N],
    between: [[f64; N]; N],
    departure: f64,
}

impl<const N: usize> Parts<N> {
    fn new(model: &Model, x: &[f64; N], delta: f64, tau: f64) -> Option<Self> {
        let shared = Shared::new(delta, tau)?;
        let mut parts = Self {
            own: [[0.0; 3]; N],
            mean: Alpha::default(),
            partner: [0.0; N],
            between: [[0.0; N]; N],
            departure: 0.0,
        };
        for ((own, eos), x) in parts.own.iter_mut().zip(&model.components).zip(x) {
            let found = eos.equation().residual_at(&shared);
            *own = [found.a, found.d, found.t];
            parts.mean.add_times(&found, *x);
        }
        let mut all = [0.0; 3];
        for link in model.links() {
            let Some((equation, factor)) = link.departure else { continue };
            let (i, j) = (link.i, link.j);
            let found = equation.residual_at(&shared);
            let three = [found.a, found.d, found.t].map(|value| factor * value);
            for k in 0..3 {
                parts.own[i][k] += x[j] * three[k];
                parts.own[j][k] += x[i] * three[k];
                all[k] += x[i] * x[j] * three[k];
            }
            parts.partner[i] += x[j] * three[0];
            parts.partner[j] += x[i] * three[0];
            parts.between[i][j] = three[0];
            parts.between[j][i] = three[0];
            parts.mean.add_times(&found, factor * x[i] * x[j]);
        }
        parts.departure = all[0];
        parts.own.iter_mut().for_each(|own| (0..3).for_each(|k| own[k] -= all[k]));
        Some(parts)
    }

    /// Residual chemical potentials over RT.
    fn potentials(&self, reducing: &Reducing<N>) -> [f64; N] {
        let Alpha { d, t, .. } = self.mean;
        core::array::from_fn(|i| self.own[i][0] + d * reducing.d[i] + t * reducing.k[i])
    }

    /// Their slopes by the logarithm of the density at fixed composition.
    fn along(&self, reducing: &Reducing<N>) -> [f64; N] {
        let Alpha { d, dd, dt, .. } = self.mean;
        core::array::from_fn(|i| self.own[i][1] + (d + dd) * reducing.d[i] + dt * reducing.k[i])
    }

    /// Their slopes by the densities times the density.
    fn bend(&self, reducing: &Reducing<N>) -> [[f64; N]; N] {
        let (Alpha { d, dd, t, tt, dt, .. }, rd, rk) = (self.mean, &reducing.d, &reducing.k);
        let (over_v, over_t) = (d / reducing.v.value, t / reducing.t.value);
        let mut out = [[0.0; N]; N];
        for i in 0..N {
            for j in 0..=i {
                let explicit = self.between[i][j] - self.partner[i] - self.partner[j] + 2.0 * self.departure;
                let (a, b) = (&self.own[i], &self.own[j]);
                let crossed = a[1] * rd[j] + a[2] * rk[j] + b[1] * rd[i] + b[2] * rk[i];
                let squared = dd * rd[i] * rd[j] + dt * (rd[i] * rk[j] + rd[j] * rk[i]) + tt * rk[i] * rk[j];
                let v = &reducing.v;
                let curved =
                    over_v * (v.slope[i] + v.slope[j] + v.bend[i][j]) + over_t * reducing.t.bend[i][j];
                out[i][j] = explicit + crossed + squared + curved;
                out[j][i] = out[i][j];
            }
        }
        out
    }
}

/// A system of N + 1 equations, factored; the last column of the last row closes it.
struct Factors<const N: usize> {
    rows: [[f64; 9]; 9],
    order: [usize; 9],
    scale: [f64; 9],
}

impl<const N: usize> Factors<N> {
    const M: usize = N + 1;

    /// With scaled rows and pivots by column; none where singular.
    fn new(mut rows: [[f64; 9]; 9]) -> Option<Self> {
        let mut scale = [0.0; 9];
        for (row, scale) in rows.iter_mut().zip(&mut scale).take(Self::M) {
            let size = row.iter().take(Self::M).fold(0.0f64, |most, value| most.max(value.abs()));
            if !(size > 0.0 && size.is_finite()) {
                return None;
            }
            *scale = 1.0 / size;
            row.iter_mut().take(Self::M).for_each(|value| *value *= *scale);
        }
        let mut order: [usize; 9] = core::array::from_fn(|at| at);
        for at in 0..Self::M {
            let mut best = at;
            for other in at + 1..Self::M {
                if rows[other][at].abs() > rows[best][at].abs() {
                    best = other;
                }
            }
            if rows[best][at].abs() <= 1e-300 {
                return None;
            }
            if best != at {
                rows.swap(at, best);
                order.swap(at, best);
            }
            let pivot = rows[at];
            let over = 1.0 / pivot[at];
            for row in rows.iter_mut().take(Self::M).skip(at + 1) {
                let factor = row[at] * over;
                row[at] = factor;
                for k in at + 1..Self::M {
                    row[k] -= factor * pivot[k];
                }
            }
        }
        Some(Self { rows, order, scale })
    }

    fn solve(&self, right: &[f64; 9]) -> [f64; 9] {
        let mut out = [0.0; 9];
        for at in 0..Self::M {
            let from = self.order[at];
            let known: f64 = (0..at).map(|k| self.rows[at][k] * out[k]).sum();
            out[at] = right[from] * self.scale[from] - known;
        }
        for at in (0..Self::M).rev() {
            let known: f64 = (at + 1..Self::M).map(|k| self.rows[at][k] * out[k]).sum();
            out[at] = (out[at] - known) / self.rows[at][at];
        }
        out
    }
}

/// What is solved for, and what it is solved with.
struct Search<'a, const N: usize> {
    model: &'a Model,
    t: f64,
    z: [f64; N],
    log_z: [f64; N],
    fixed: Reducing<N>,
    /// Logarithms of the density of the phase that is there and of the densities in the phase that forms.
    log: [f64; 9],
    /// The densities themselves.
    value: [f64; 9],
    /// Whether the vapour is the phase that forms.
    bubble: bool,
}

/// Residuals at a place, and pressures over RT.
struct Gaps {
    right: [f64; 9],
    pressures: [f64; 2],
    scale: f64,
}

impl<const N: usize> Search<'_, N> {
    const M: usize = N + 1;

    fn forming(&self) -> ([f64; N], f64) {
        let rho: f64 = (0..N).map(|i| self.value[i + 1]).sum();
        (core::array::from_fn(|i| self.value[i + 1] / rho), rho)
    }

    fn parts(&self, reducing: &Reducing<N>, x: &[f64; N], rho: f64) -> Option<Parts<N>> {
        Parts::new(self.model, x, rho * reducing.v.value, reducing.t.value / self.t)
    }

    fn gaps(&self, there: &Parts<N>, forming: &Parts<N>, reducing: &Reducing<N>, rho: f64) -> Gaps {
        let (a, b) = (there.potentials(&self.fixed), forming.potentials(reducing));
        let mut right = [0.0; 9];
        for i in 0..N {
            right[i] = self.log[0] + self.log_z[i] + a[i] - self.log[i + 1] - b[i];
        }
        let pressures = [self.value[0] * (1.0 + there.mean.d), rho * (1.0 + forming.mean.d)];
        let scale = if self.bubble { rho } else { self.value[0] };
        right[N] = (pressures[0] - pressures[1]) / scale;
        Gaps { right, pressures, scale }
    }

    /// Moves on; says how far.
    fn step(&mut self, step: &[f64; 9]) -> f64 {
        let largest = step.iter().take(Self::M).fold(0.0f64, |most, value| most.max(value.abs()));
        let damp = if largest > CAP { CAP / largest } else { 1.0 };
        let lanes = self.log.chunks_mut(WIDTH).zip(self.value.chunks_mut(WIDTH)).zip(step.chunks(WIDTH));
        for ((log, value), step) in lanes.take(Self::M.div_ceil(WIDTH)) {
            let mut both = [0.0; WIDTH];
            for ((slot, log), step) in both.iter_mut().zip(log).zip(step) {
                *log += damp * step;
                *slot = *log;
            }
            for (slot, value) in value.iter_mut().zip(exp(Lanes::new(both)).to_array()) {
                *slot = value;
            }
        }
        largest
    }

    /// Both phases, if the liquid is by far the denser: near the critical point a start from afar can lead elsewhere.
    fn phases(&self, p: f64) -> Option<Phases> {
        let there: Vector = core::array::from_fn(|i| if i < N { self.z[i] * self.value[0] } else { 0.0 });
        let forms: Vector = core::array::from_fn(|i| if i < N { self.value[i + 1] } else { 0.0 });
        let (liquid, vapour, q) = if self.bubble { (there, forms, 0.0) } else { (forms, there, 1.0) };
        let dense = |phase: &Vector| phase.iter().take(N).sum::<f64>();
        let apart = dense(&liquid) > 2.0 * dense(&vapour);
        (p > 0.0 && apart).then_some(Phases { t: self.t, p, liquid, vapour, q })
    }

    /// Newton to the end; none where it leads nowhere.
    fn run(mut self) -> Option<Phases> {
        for _ in 0..STEPS {
            let (x, rho) = self.forming();
            let reducing = Reducing::new(self.model, &x, true);
            let there = self.parts(&self.fixed, &self.z, self.value[0])?;
            let forming = self.parts(&reducing, &x, rho)?;
            let gaps = self.gaps(&there, &forming, &reducing, rho);
            let (along, bend) = (there.along(&self.fixed), forming.bend(&reducing));
            let stiff = self.value[0] * (1.0 + 2.0 * there.mean.d + there.mean.dd);
            let mut rows = [[0.0; 9]; 9];
            let mut softs = [0.0; N];
            for i in 0..N {
                rows[i][0] = -1.0 - along[i];
                for j in 0..N {
                    rows[i][j + 1] = x[j] * bend[i][j];
                    softs[j] += x[i] * bend[i][j];
                }
                rows[i][i + 1] += 1.0;
            }
            rows[N][0] = -stiff / gaps.scale;
            for j in 0..N {
                softs[j] = rho * x[j] * (1.0 + softs[j]);
                rows[N][j + 1] = softs[j] / gaps.scale;
            }
            let factors = Factors::<N>::new(rows)?;
            let step = factors.solve(&gaps.right);
            let largest = self.step(&step);
            if !largest.is_finite() {
                return None;
            }
            if largest < CLOSE && stiff > 0.0 && softs.iter().sum::<f64>() > 0.0 {
                let p = if largest < SURE {
                    let [there, forms] = gaps.pressures;
                    let moved: f64 = (0..N).map(|j| softs[j] * step[j + 1]).sum();
                    Some(if self.bubble { forms + moved } else { there + stiff * step[0] })
                } else {
                    self.finish(&factors, largest)
                };
                if let Some(found) = p.and_then(|p| self.phases(GAS_CONSTANT * self.t * p)) {
                    return Some(found);
                }
            }
        }
        None
    }

    /// One more step with the same matrix. What is left after it is smaller than it by as much as it is smaller than the step before. Gives the
    /// pressure of the vapour over RT, with what the last step makes of it.
    fn finish(&mut self, factors: &Factors<N>, before: f64) -> Option<f64> {
        let (x, rho) = self.forming();
        let reducing = Reducing::new(self.model, &x, false);
        let there = self.parts(&self.fixed, &self.z, self.value[0])?;
        let forming = self.parts(&reducing, &x, rho)?;
        let gaps = self.gaps(&there, &forming, &reducing, rho);
        let step = factors.solve(&gaps.right);
        let thin = if self.bubble { rho } else { self.value[0] };
        let largest = self.step(&step);
        let equal = gaps.right.iter().take(N).all(|gap| gap.abs() < EQUAL);
        let (parts, at, moved) = if self.bubble {
            // The pressure of the vapour depends mostly on how much of it there is.
            (&forming, 1, (0..N).map(|j| x[j] * step[j + 1]).sum::<f64>())
        } else {
            (&there, 0, step[0])
        };
        let slope = 1.0 + 2.0 * parts.mean.d + parts.mean.dd;
        let settled = largest * (largest / before) < LEFT && largest < before && equal;
        settled.then_some(gaps.pressures[at] + thin * slope * moved)
    }
}

fn search<const N: usize>(model: &Model, start: &Start, z: &Vector) -> Option<Phases> {
    let z: [f64; N] = core::array::from_fn(|i| z[i]);
    if z.iter().any(|z| *z <= 0.0) {
        return None;
    }
    let log_z = z.map(|z| ln(Lanes::splat(z)).to_array()[0]);
    let fixed = Reducing::new(model, &z, false);
    let Start { t, bubble, log } = *start;
    let mut search = Search { model, t, z, log_z, fixed, log, value: [1.0; 9], bubble };
    search.step(&[0.0; 9]);
    search.run()
}

/// Where Newton starts: logarithms of the density of the phase that is there and of the densities in the phase that forms.
#[derive(Clone, Copy, Debug)]
pub(super) struct Start {
    t: f64,
    bubble: bool,
    log: [f64; 9],
}

impl Start {
    pub(super) fn at(n: usize, phases: &Phases, q: f64) -> Self {
        let bubble = q < 0.5;
        let (there, forms) =
            if bubble { (&phases.liquid, &phases.vapour) } else { (&phases.vapour, &phases.liquid) };
        let mut log = [0.0; 9];
        log[0] = libm::log(there.iter().take(n).sum());
        for (slot, rho) in log.iter_mut().skip(1).zip(forms).take(n) {
            *slot = libm::log(*rho);
        }
        Self { t: phases.t, bubble, log }
    }
}

/// Starts for one composition: what Newton settles on at some temperatures, and polynomials between. Made when first needed; they decide only
/// how many steps Newton takes.
#[derive(Clone, Debug)]
pub(super) struct Ladder {
    middle: f64,
    /// One over half the width, of one over the temperature.
    scale: f64,
    bubble: bool,
    terms: Vec<[f64; RUNGS]>,
}

/// Temperatures of a ladder, and its range as parts of the reducing temperature.
const RUNGS: usize = 12;
const RANGE: (f64, f64) = (0.5, 0.935);

impl Ladder {
    /// None where one of the temperatures has no solution.
    pub(super) fn new(model: &Model, z: &Vector, reducing: f64, lowest: f64, q: f64) -> Option<Self> {
        let (low, high) = (1.0 / (RANGE.1 * reducing), 1.0 / lowest.max(RANGE.0 * reducing));
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let n = model.len();
        let at: [f64; RUNGS] = nodes();
        let mut values = vec![[0.0; RUNGS]; n + 1];
        for (k, node) in at.iter().enumerate() {
            let found = model.saturated_at(1.0 / (middle + half * node), z, q)?;
            let start = Start::at(n, &found, q);
            values.iter_mut().zip(&start.log).for_each(|(row, log)| row[k] = *log);
        }
        let terms = values.iter().map(|row| monomials(&coefficients(row, &at))).collect();
        Some(Self { middle, scale: 1.0 / half, bubble: q < 0.5, terms })
    }

    /// None outside.
    pub(super) fn at(&self, t: f64) -> Option<Start> {
        let s = (1.0 / t - self.middle) * self.scale;
        if !(-1.0..=1.0).contains(&s) {
            return None;
        }
        let mut log = [0.0; 9];
        for (slot, terms) in log.iter_mut().zip(&self.terms) {
            *slot = terms.iter().rev().fold(0.0, |sum, term| sum * s + term);
        }
        Some(Start { t, bubble: self.bubble, log })
    }
}

impl Model {
    /// Bubble or dew point at the temperature of a start, not near the critical point; none where this way leads nowhere.
    pub(super) fn quickly_saturated(&self, start: &Start, z: &Vector) -> Option<Phases> {
        match self.len() {
            2 => search::<2>(self, start, z),
            3 => search::<3>(self, start, z),
            4 => search::<4>(self, start, z),
            5 => search::<5>(self, start, z),
            6 => search::<6>(self, start, z),
            7 => search::<7>(self, start, z),
            8 => search::<8>(self, start, z),
            _ => None,
        }
    }
}
