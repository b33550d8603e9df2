//! The multi-fluid Helmholtz energy: every component's equation at one common reduced state, reducing functions, departure functions.
//!
//! J. Gernert, R. Span (2016) and O. Kunz, W. Wagner (2012) give the form; the derivatives here are taken by the molar densities of the
//! components (U. K. Deiters, I. H. Bell, AIChE J. 64 (2018) 2745-2757), so that chemical potentials and their slopes come out directly.

use crate::MOST_COMPONENTS;
use crate::eos::Eos;
use crate::kernel::{Alpha, Equation, Shared};

use super::pairs::{Pair, mean_volume};
use super::saturate::Link;

/// J/(mol K): the exact value of the SI.
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

pub(crate) type Vector = [f64; MOST_COMPONENTS];
pub(crate) type Matrix = [Vector; MOST_COMPONENTS];

/// The components' equations and the pairs between them.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    pub(crate) components: Vec<&'static Eos>,
    /// For `i < j`, at `i * n + j`.
    pairs: Vec<Option<Coupling>>,
    links: Vec<Link>,
    /// Reducing temperatures and volumes of the components.
    points: (Vec<f64>, Vec<f64>),
}

/// A pair as the reducing functions need it.
#[derive(Clone, Copy, Debug)]
struct Coupling {
    pair: Pair,
    /// `2 beta gamma sqrt(T1 T2)` and `2 beta gamma (1/8) (v1^(1/3) + v2^(1/3))^3`.
    t: f64,
    v: f64,
}

impl Coupling {
    fn link(&self, i: usize, j: usize) -> Link {
        let square = |beta: f64| beta * beta;
        Link {
            i,
            j,
            t: [self.t, square(self.pair.beta_t)],
            v: [self.v, square(self.pair.beta_v)],
            departure: self.pair.departure,
        }
    }
}

/// A reducing function with its slopes by the molar densities.
struct Reducing {
    value: f64,
    slope: Vector,
    bend: Matrix,
}

/// The residual part at temperature and molar densities: `a = rho alpha_r` and its slopes.
#[derive(Clone, Debug)]
pub(crate) struct Residual {
    /// Slopes of `rho alpha_r` by the components' densities: the residual chemical potentials over RT.
    pub(crate) slope: Vector,
    /// Second slopes, m³/mol.
    pub(crate) bend: Matrix,
    /// Slopes of `slope` by temperature at fixed densities, 1/K.
    pub(crate) by_t: Vector,
    /// `p / (R T)`, mol/m³.
    pub(crate) z_rho: f64,
    /// Slope of `p / (R T)` by temperature at fixed densities, mol/(m³ K).
    pub(crate) z_rho_t: f64,
}

/// Everything at one state of fixed composition, molar.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bulk {
    pub(crate) p: f64,
    pub(crate) h: f64,
    pub(crate) s: f64,
    pub(crate) u: f64,
    pub(crate) cv: f64,
    pub(crate) cp: f64,
    /// Square of the speed of sound times the molar mass, J/mol.
    pub(crate) w2: f64,
    pub(crate) dp_drho: f64,
    pub(crate) dp_dt: f64,
}

impl Model {
    pub(crate) fn new(components: Vec<&'static Eos>) -> Self {
        let n = components.len();
        let mut pairs = vec![None; n * n];
        for (i, one) in components.iter().enumerate() {
            for (j, two) in components.iter().enumerate().skip(i + 1) {
                let facts = |eos: &'static Eos| {
                    (eos.data.name.as_str(), eos.data.reducing_temperature, eos.data.reducing_density)
                };
                let (a, b) = (facts(one), facts(two));
                let pair = Pair::of(a, b);
                let t = 2.0 * pair.beta_t * pair.gamma_t * (a.1 * b.1).sqrt();
                let v = 2.0 * pair.beta_v * pair.gamma_v * mean_volume(a.2, b.2);
                if let Some(slot) = pairs.get_mut(i * n + j) {
                    *slot = Some(Coupling { pair, t, v });
                }
            }
        }
        let points = (
            components.iter().map(|eos| eos.data.reducing_temperature).collect(),
            components.iter().map(|eos| 1.0 / eos.data.reducing_density).collect(),
        );
        let mut model = Self { components, pairs, links: Vec::new(), points };
        model.links = model.couplings().map(|(i, j, coupling)| coupling.link(i, j)).collect();
        model
    }

    /// The pairs, flat.
    pub(super) fn links(&self) -> &[Link] {
        &self.links
    }

    /// Reducing temperatures and volumes of the components.
    pub(super) fn pure_points(&self) -> (&[f64], &[f64]) {
        (&self.points.0, &self.points.1)
    }

    pub(crate) fn len(&self) -> usize {
        self.components.len()
    }

    /// The pairs with the places of their components.
    fn couplings(&self) -> impl Iterator<Item = (usize, usize, &Coupling)> {
        let n = self.len();
        self.pairs
            .iter()
            .enumerate()
            .filter_map(move |(at, coupling)| coupling.as_ref().map(|coupling| (at / n, at % n, coupling)))
    }

    /// The pairs with their papers; none where estimated.
    pub(crate) fn sources(&self) -> impl Iterator<Item = (usize, usize, Option<&'static str>)> {
        self.couplings().map(|(i, j, coupling)| (i, j, coupling.pair.source))
    }

    /// Reducing temperature and reducing volume with their slopes by the molar densities.
    fn reducing(&self, rho: f64, x: &Vector) -> (Reducing, Reducing) {
        let pure_t = |eos: &Eos| eos.data.reducing_temperature;
        let pure_v = |eos: &Eos| 1.0 / eos.data.reducing_density;
        let t = self.reduce(rho, x, pure_t, |coupling| (coupling.t, coupling.pair.beta_t));
        let v = self.reduce(rho, x, pure_v, |coupling| (coupling.v, coupling.pair.beta_v));
        (t, v)
    }

    fn reduce(
        &self,
        rho: f64,
        x: &Vector,
        pure: impl Fn(&Eos) -> f64,
        of: impl Fn(&Coupling) -> (f64, f64),
    ) -> Reducing {
        let n = self.len();
        let mut value = 0.0;
        let (mut first, mut second): (Vector, Matrix) = Default::default();
        for (i, eos) in self.components.iter().enumerate() {
            let one = pure(eos);
            value += x[i] * x[i] * one;
            first[i] += 2.0 * x[i] * one;
            second[i][i] += 2.0 * one;
        }
        for (i, j, coupling) in self.couplings() {
            let (c, beta) = of(coupling);
            let (a, b, bb) = (x[i], x[j], beta * beta);
            let below = bb * a + b;
            if below <= 0.0 {
                continue;
            }
            // f = a b (a + b) / (bb a + b), and its slopes by a and b as independent variables.
            let f = a * b * (a + b) / below;
            let fa = (b * (2.0 * a + b) - f * bb) / below;
            let fb = (a * (a + 2.0 * b) - f) / below;
            value += c * f;
            first[i] += c * fa;
            first[j] += c * fb;
            second[i][i] += c * (2.0 * b - 2.0 * fa * bb) / below;
            second[j][j] += c * (2.0 * a - 2.0 * fb) / below;
            let mixed = c * (2.0 * (a + b) - fa - fb * bb) / below;
            second[i][j] += mixed;
            second[j][i] += mixed;
        }
        // From slopes by independent fractions to slopes by densities, with x = rho_i / rho.
        let s: f64 = (0..n).map(|k| x[k] * first[k]).sum();
        let mut row = Vector::default();
        for (slot, line) in row.iter_mut().zip(&second).take(n) {
            *slot = (0..n).map(|k| x[k] * line[k]).sum();
        }
        let total: f64 = (0..n).map(|k| x[k] * row[k]).sum();
        let (mut slope, mut bend): (Vector, Matrix) = Default::default();
        for i in 0..n {
            slope[i] = (first[i] - s) / rho;
            for j in 0..n {
                let inner = second[i][j] - row[i] - row[j] + total - (first[i] - s) - (first[j] - s);
                bend[i][j] = inner / (rho * rho);
            }
        }
        Reducing { value, slope, bend }
    }

    /// The residual part at temperature (K) and the components' molar densities (mol/m³).
    pub(crate) fn residual(&self, t: f64, densities: &Vector) -> Residual {
        let n = self.len();
        let rho: f64 = densities.iter().take(n).sum();
        let x: Vector = core::array::from_fn(|i| densities[i] / rho);
        let (red_t, red_v) = self.reducing(rho, &x);
        let (delta, tau) = (rho * red_v.value, red_t.value / t);
        // e: slope of rho alpha_r by a density at fixed delta and tau; mean: alpha_r itself; partner: what the departure functions add to e.
        let mut mean = Alpha::default();
        let mut q = Alpha::default();
        let mut e = [Alpha::default(); MOST_COMPONENTS];
        let mut partner = Vector::default();
        let mut between = Matrix::default();
        let shared = Shared::new(delta, tau);
        let residual = |equation: &Equation| {
            let scaled = shared.as_ref().map_or(Alpha::NONE, |shared| equation.residual_at(shared));
            scaled.unscaled(delta, tau)
        };
        for ((eos, slot), x) in self.components.iter().zip(&mut e).zip(&x) {
            *slot = residual(eos.equation());
            mean.add_times(slot, *x);
        }
        for (i, j, coupling) in self.couplings() {
            if let Some((function, factor)) = coupling.pair.departure {
                let found = residual(function);
                e[i].add_times(&found, factor * x[j]);
                e[j].add_times(&found, factor * x[i]);
                partner[i] += factor * x[j] * found.a;
                partner[j] += factor * x[i] * found.a;
                between[i][j] = factor * found.a;
                between[j][i] = factor * found.a;
                q.add_times(&found, factor * x[i] * x[j]);
            }
        }
        mean.add_times(&q, 1.0);
        for slot in e.iter_mut().take(n) {
            slot.add_times(&q, -1.0);
        }
        let d: Vector = core::array::from_fn(|i| red_v.value + rho * red_v.slope[i]);
        let k: Vector = core::array::from_fn(|i| red_t.slope[i] / t);
        let (m_d, m_t) = (rho * mean.d, rho * mean.t);
        let mut out = Residual {
            slope: Vector::default(),
            bend: Matrix::default(),
            by_t: Vector::default(),
            z_rho: rho * (1.0 + delta * mean.d),
            z_rho_t: -rho * delta * mean.dt * tau / t,
        };
        for i in 0..n {
            out.slope[i] = e[i].a + m_d * d[i] + m_t * k[i];
            let inner = e[i].t + rho * (mean.dt * d[i] + mean.tt * k[i]);
            out.by_t[i] = -inner * tau / t - m_t * k[i] / t;
        }
        for i in 0..n {
            for j in 0..=i {
                let explicit = (between[i][j] - partner[i] - partner[j] + 2.0 * q.a) / rho;
                let crossed = e[i].d * d[j] + e[i].t * k[j] + e[j].d * d[i] + e[j].t * k[i];
                let squared =
                    mean.dd * d[i] * d[j] + mean.dt * (d[i] * k[j] + d[j] * k[i]) + mean.tt * k[i] * k[j];
                let d_ij = red_v.slope[i] + red_v.slope[j] + rho * red_v.bend[i][j];
                let curved = m_d * d_ij + m_t * red_t.bend[i][j] / t;
                let value = explicit + crossed + rho * squared + curved;
                out.bend[i][j] = value;
                out.bend[j][i] = value;
            }
        }
        out
    }

    /// Reducing temperature and density of a composition.
    pub(crate) fn reduced_point(&self, x: &Vector) -> (f64, f64) {
        let (t, v) = self.reducing(1.0, x);
        (t.value, 1.0 / v.value)
    }

    /// Residual part of a fixed composition with the reducing point already known, scaled slopes.
    fn scaled(&self, t: f64, rho: f64, x: &Vector, point: (f64, f64)) -> (f64, f64, Alpha) {
        let (delta, tau) = (rho / point.1, point.0 / t);
        let Some(shared) = Shared::new(delta, tau) else { return (delta, tau, Alpha::NONE) };
        let mut mean = Alpha::default();
        for (eos, &x) in self.components.iter().zip(x) {
            mean.add_times(&eos.equation().residual_at(&shared), x);
        }
        for (i, j, coupling) in self.couplings() {
            if let Some((function, factor)) = coupling.pair.departure {
                mean.add_times(&function.residual_at(&shared), factor * x[i] * x[j]);
            }
        }
        (delta, tau, mean)
    }

    /// Pressure and its slope by density, for density solves at fixed composition.
    pub(crate) fn isotherm(&self, t: f64, rho: f64, x: &Vector, point: (f64, f64)) -> (f64, f64) {
        let (_, _, r) = self.scaled(t, rho, x, point);
        let rt = GAS_CONSTANT * t;
        (rho * rt * (1.0 + r.d), rt * (1.0 + 2.0 * r.d + r.dd))
    }

    /// Everything at temperature (K), molar density (mol/m³) and composition; energies without a reference state.
    pub(crate) fn bulk(&self, t: f64, rho: f64, x: &Vector, point: (f64, f64)) -> Bulk {
        let (_, _, r) = self.scaled(t, rho, x, point);
        let (mut a0, mut t0, mut tt0) = (0.0, 0.0, 0.0);
        for (eos, &x) in self.components.iter().zip(x).filter(|(_, x)| **x > 0.0) {
            let data = &eos.data;
            let ratio = data.gas_constant / GAS_CONSTANT;
            // At the critical point of each component, as Kunz and Wagner write it and the reference library does. Where an equation
            // reduces by another temperature (R-134a by 374.18 K, critical at 374.21 K), its ideal part moves by some 1e-5.
            let ideal = eos.ideal(data.critical_temperature / t);
            a0 += x * ratio * (ideal.a + libm::log(rho * x / data.critical_density));
            t0 += x * ratio * ideal.t;
            tt0 += x * ratio * ideal.tt;
        }
        let rt = GAS_CONSTANT * t;
        let p = rho * rt * (1.0 + r.d);
        let slope = 1.0 + 2.0 * r.d + r.dd;
        let cross = 1.0 + r.d - r.dt;
        let u = rt * (t0 + r.t);
        let cv = -GAS_CONSTANT * (tt0 + r.tt);
        Bulk {
            p,
            h: u + p / rho,
            s: GAS_CONSTANT * (t0 + r.t - a0 - r.a),
            u,
            cv,
            cp: cv + GAS_CONSTANT * cross * cross / slope,
            w2: rt * (slope - cross * cross / (tt0 + r.tt)),
            dp_drho: rt * slope,
            dp_dt: rho * GAS_CONSTANT * cross,
        }
    }
}
