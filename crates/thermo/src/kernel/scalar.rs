//! The equation term by term, one number at a time, with `libm`: what the lanes are tested against.

use super::Alpha;
use crate::data::{FluidData, Ideal, Residual};

impl Alpha {
    /// Adds a product term `f` whose logarithm has the scaled slopes `a1` (delta), `b1` (tau), with `da1 = delta d(a1)/d(delta)`,
    /// `db1` likewise.
    fn add(&mut self, f: f64, a1: f64, da1: f64, b1: f64, db1: f64) {
        self.a += f;
        self.d += f * a1;
        self.dd += f * (a1 * (a1 - 1.0) + da1);
        self.t += f * b1;
        self.tt += f * (b1 * (b1 - 1.0) + db1);
        self.dt += f * a1 * b1;
    }
}

/// A product term `n delta^d tau^t exp(...)`.
#[derive(Clone, Copy, Debug)]
struct Term {
    n: f64,
    d: i32,
    t: f64,
    shape: Shape,
}

#[derive(Clone, Copy, Debug)]
enum Shape {
    Plain,
    Exponential { l: i32, g: f64 },
    Double { l: i32, m: f64 },
    Gaussian { eta: f64, beta: f64, gamma: f64, epsilon: f64 },
    GaoB { eta: f64, beta: f64, gamma: f64, epsilon: f64, b: f64 },
}

#[derive(Clone, Copy, Debug)]
struct Critical {
    n: f64,
    a: f64,
    b: f64,
    beta: f64,
    big_a: f64,
    big_b: f64,
    big_c: f64,
    big_d: f64,
}

/// An equation ready to be evaluated.
#[derive(Clone, Debug)]
pub(crate) struct Scalar {
    terms: Vec<Term>,
    critical: Vec<Critical>,
    ideal: Ideal,
}

const MAX_DELTA_POWER: usize = 24;

fn integer(value: f64) -> i32 {
    // The papers print whole numbers here; the test of the data says so.
    value as i32
}

impl Scalar {
    pub(crate) fn new(data: &FluidData) -> Self {
        Self { ideal: data.ideal.clone(), ..Self::of_terms(&data.residual) }
    }

    /// Residual terms alone.
    pub(crate) fn of_terms(residual: &[Residual]) -> Self {
        let mut equation = Self { terms: Vec::new(), critical: Vec::new(), ideal: Ideal::default() };
        for residual in residual {
            equation.add(residual);
        }
        equation
    }

    fn add(&mut self, residual: &Residual) {
        match residual {
            Residual::Power { n, d, t, l, g } => {
                let g = g.iter().copied().chain(core::iter::repeat(1.0));
                for ((((&n, &d), &t), &l), g) in n.iter().zip(d).zip(t).zip(l).zip(g) {
                    let l = integer(l);
                    let shape = if l == 0 { Shape::Plain } else { Shape::Exponential { l, g } };
                    self.terms.push(Term { n, d: integer(d), t, shape });
                }
            }
            Residual::DoubleExponential { n, d, t, l, m } => {
                for ((((&n, &d), &t), &l), &m) in n.iter().zip(d).zip(t).zip(l).zip(m) {
                    self.terms.push(Term { n, d: integer(d), t, shape: Shape::Double { l: integer(l), m } });
                }
            }
            Residual::Gaussian { n, d, t, eta, beta, gamma, epsilon } => {
                let shapes = eta.iter().zip(beta).zip(gamma).zip(epsilon);
                for (((&n, &d), &t), (((&eta, &beta), &gamma), &epsilon)) in
                    n.iter().zip(d).zip(t).zip(shapes)
                {
                    let shape = Shape::Gaussian { eta, beta, gamma, epsilon };
                    self.terms.push(Term { n, d: integer(d), t, shape });
                }
            }
            Residual::GaoB { n, d, t, eta, beta, gamma, epsilon, b } => {
                let shapes = eta.iter().zip(beta).zip(gamma).zip(epsilon).zip(b);
                for (((&n, &d), &t), ((((&eta, &beta), &gamma), &epsilon), &b)) in
                    n.iter().zip(d).zip(t).zip(shapes)
                {
                    let shape = Shape::GaoB { eta, beta, gamma, epsilon, b };
                    self.terms.push(Term { n, d: integer(d), t, shape });
                }
            }
            Residual::NonAnalytic { n, a, b, beta, big_a, big_b, big_c, big_d } => {
                let bigs = big_a.iter().zip(big_b).zip(big_c).zip(big_d);
                for ((((&n, &a), &b), &beta), (((&big_a, &big_b), &big_c), &big_d)) in
                    n.iter().zip(a).zip(b).zip(beta).zip(bigs)
                {
                    self.critical.push(Critical { n, a, b, beta, big_a, big_b, big_c, big_d });
                }
            }
        }
    }

    /// The residual part at reduced density `delta` and inverse reduced temperature `tau`.
    pub(crate) fn residual(&self, delta: f64, tau: f64) -> Alpha {
        let mut sum = Alpha::default();
        let powers = delta_powers(delta);
        let log_tau = libm::log(tau);
        let power = |d: i32| powers.get(d as usize).copied().unwrap_or(f64::NAN);
        let (mut last_t, mut tau_t) = (0.0, 1.0);
        let mut exponentials = [f64::NAN; 8];
        for term in &self.terms {
            if term.t.to_bits() != f64::to_bits(last_t) {
                last_t = term.t;
                tau_t = libm::exp(term.t * log_tau);
            }
            let base = term.n * power(term.d) * tau_t;
            let d = f64::from(term.d);
            match term.shape {
                Shape::Plain => sum.add(base, d, 0.0, term.t, 0.0),
                Shape::Exponential { l, g } => {
                    let u = g * power(l);
                    let lf = f64::from(l);
                    let e = if g.to_bits() == 1.0f64.to_bits() {
                        cached_exponential(&mut exponentials, l, u)
                    } else {
                        libm::exp(-u)
                    };
                    sum.add(base * e, d - lf * u, -lf * lf * u, term.t, 0.0);
                }
                Shape::Double { l, m } => {
                    add_double(&mut sum, base, d, term.t, l, m, power(l), tau_of(m, log_tau))
                }
                Shape::Gaussian { eta, beta, gamma, epsilon } => {
                    let (x, y) = (delta - epsilon, tau - gamma);
                    let f = base * libm::exp(-eta * x * x - beta * y * y);
                    let (a1, b1) = (d - 2.0 * eta * delta * x, term.t - 2.0 * beta * tau * y);
                    let da1 = -2.0 * eta * delta * (x + delta);
                    sum.add(f, a1, da1, b1, -2.0 * beta * tau * (y + tau));
                }
                Shape::GaoB { eta, beta, gamma, epsilon, b } => {
                    let (x, y) = (delta - epsilon, tau - gamma);
                    let big = b + beta * y * y;
                    let f = base * libm::exp(eta * x * x + 1.0 / big);
                    let u_t = -2.0 * beta * y / (big * big);
                    let u_tt = -2.0 * beta / (big * big) + 8.0 * beta * beta * y * y / (big * big * big);
                    let a1 = d + 2.0 * eta * delta * x;
                    let da1 = 2.0 * eta * delta * (x + delta);
                    sum.add(f, a1, da1, term.t + tau * u_t, tau * u_t + tau * tau * u_tt);
                }
            }
        }
        for term in &self.critical {
            add_critical(&mut sum, term, delta, tau);
        }
        sum
    }

    /// The ideal-gas part, without `ln(delta)` and its derivatives (which are 0, 1 and -1, scaled).
    pub(crate) fn ideal(&self, tau: f64) -> Alpha {
        let ideal = &self.ideal;
        let log_tau = libm::log(tau);
        let mut sum = Alpha {
            a: ideal.constant + ideal.linear * tau + ideal.log * log_tau,
            t: ideal.linear * tau + ideal.log,
            tt: -ideal.log,
            ..Alpha::default()
        };
        for (&n, &t) in ideal.power_n.iter().zip(&ideal.power_t) {
            let f = n * libm::exp(t * log_tau);
            sum.a += f;
            sum.t += f * t;
            sum.tt += f * t * (t - 1.0);
        }
        for (&n, &theta) in ideal.einstein_n.iter().zip(&ideal.einstein_theta) {
            let x = theta * tau;
            let e = libm::exp(-x);
            let one = -libm::expm1(-x);
            sum.a += n * libm::log(one);
            sum.t += n * x * e / one;
            sum.tt -= n * x * x * e / (one * one);
        }
        sum
    }
}

fn delta_powers(delta: f64) -> [f64; MAX_DELTA_POWER] {
    let mut powers = [1.0; MAX_DELTA_POWER];
    let mut value = 1.0;
    for slot in powers.iter_mut().skip(1) {
        value *= delta;
        *slot = value;
    }
    powers
}

fn cached_exponential(cache: &mut [f64; 8], l: i32, u: f64) -> f64 {
    match cache.get_mut(l as usize) {
        Some(slot) => {
            if slot.is_nan() {
                *slot = libm::exp(-u);
            }
            *slot
        }
        None => libm::exp(-u),
    }
}

fn tau_of(m: f64, log_tau: f64) -> f64 {
    libm::exp(m * log_tau)
}

#[allow(clippy::too_many_arguments, reason = "one product term, spelt out")]
fn add_double(sum: &mut Alpha, base: f64, d: f64, t: f64, l: i32, m: f64, delta_l: f64, tau_m: f64) {
    let (u, l) = if l == 0 { (0.0, 0.0) } else { (delta_l, f64::from(l)) };
    let v = if m > 0.0 { tau_m } else { 0.0 };
    let f = base * libm::exp(-u - v);
    sum.add(f, d - l * u, -l * l * u, t - m * v, -m * m * v);
}

/// R. Span, W. Wagner, J. Phys. Chem. Ref. Data 25 (1996), table 32, with `(delta - 1)^2` kept off zero, where the derivatives have
/// no value.
fn add_critical(sum: &mut Alpha, c: &Critical, delta: f64, tau: f64) {
    let x = if (delta - 1.0).abs() < 1e-10 { 1e-10 } else { delta - 1.0 };
    let x2 = x * x;
    let y = 1.0 - tau;
    let inner = libm::pow(x2, 0.5 / c.beta);
    let theta = y + c.big_a * inner;
    let dist_a = libm::pow(x2, c.a);
    let big = theta * theta + c.big_b * dist_a;
    let psi = libm::exp(-c.big_c * x2 - c.big_d * y * y);
    // Derivatives of the distance function by delta.
    let inner_over = inner / x2;
    let d_big = x * (c.big_a * theta * 2.0 / c.beta * inner_over + 2.0 * c.big_b * c.a * dist_a / x2);
    let dd_big = d_big / x
        + x2 * (4.0 * c.big_b * c.a * (c.a - 1.0) * dist_a / (x2 * x2)
            + 2.0 * c.big_a * c.big_a / (c.beta * c.beta) * inner_over * inner_over
            + c.big_a * theta * 4.0 / c.beta * (0.5 / c.beta - 1.0) * inner_over / x2);
    let (pow_b, pow_b1) = (libm::pow(big, c.b), libm::pow(big, c.b - 1.0));
    let pow_b2 = pow_b1 / big;
    let b_d = c.b * pow_b1 * d_big;
    let b_dd = c.b * (pow_b1 * dd_big + (c.b - 1.0) * pow_b2 * d_big * d_big);
    let b_t = -2.0 * theta * c.b * pow_b1;
    let b_tt = 2.0 * c.b * pow_b1 + 4.0 * theta * theta * c.b * (c.b - 1.0) * pow_b2;
    let b_dt = -c.big_a * c.b * 2.0 / c.beta * pow_b1 * x * inner_over
        - 2.0 * theta * c.b * (c.b - 1.0) * pow_b2 * d_big;
    let psi_d = -2.0 * c.big_c * x * psi;
    let psi_dd = (2.0 * c.big_c * x2 - 1.0) * 2.0 * c.big_c * psi;
    let psi_t = 2.0 * c.big_d * y * psi;
    let psi_tt = (2.0 * c.big_d * y * y - 1.0) * 2.0 * c.big_d * psi;
    let psi_dt = -2.0 * c.big_c * x * psi_t;
    sum.a += c.n * pow_b * delta * psi;
    sum.d += c.n * delta * (pow_b * (psi + delta * psi_d) + b_d * delta * psi);
    sum.dd += c.n
        * delta
        * delta
        * (pow_b * (2.0 * psi_d + delta * psi_dd) + 2.0 * b_d * (psi + delta * psi_d) + b_dd * delta * psi);
    sum.t += c.n * delta * tau * (b_t * psi + pow_b * psi_t);
    sum.tt += c.n * delta * tau * tau * (b_tt * psi + 2.0 * b_t * psi_t + pow_b * psi_tt);
    sum.dt += c.n
        * delta
        * tau
        * (pow_b * (psi_t + delta * psi_dt)
            + delta * b_d * psi_t
            + b_t * (psi + delta * psi_d)
            + b_dt * delta * psi);
}
