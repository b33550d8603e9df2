//! Terms of the residual part, some in a row: each is a product of a function of delta and one of tau.

use super::Alpha;
use crate::lanes::{Lanes, WIDTH, exp, gather, ln, sum};

/// Powers of delta that a table holds.
pub(super) const POWERS: usize = 16;
/// Different `g delta^l` that a table holds; the first is none.
pub(super) const DAMPINGS: usize = 8;

/// Sums over the terms, a lane each.
#[derive(Default)]
pub(super) struct Sums {
    a: Lanes,
    d: Lanes,
    dd: Lanes,
    t: Lanes,
    tt: Lanes,
    dt: Lanes,
}

impl Sums {
    /// Adds terms `f`; `a1` and `a2` are their scaled slopes by delta over `f`, `b1` and `b2` those by tau.
    #[inline(always)]
    fn add(&mut self, f: Lanes, a1: Lanes, a2: Lanes, b1: Lanes, b2: Lanes) {
        let fb = f * b1;
        self.a += f;
        self.d += f * a1;
        self.dd += f * a2;
        self.t += fb;
        self.tt += f * b2;
        self.dt += fb * a1;
    }

    /// The same, where nothing by tau is wanted.
    #[inline(always)]
    fn add_by_delta(&mut self, f: Lanes, a1: Lanes, a2: Lanes) {
        self.a += f;
        self.d += f * a1;
        self.dd += f * a2;
    }

    #[inline(always)]
    pub(super) fn total(self) -> Alpha {
        Alpha {
            a: sum(self.a),
            d: sum(self.d),
            dd: sum(self.dd),
            t: sum(self.t),
            tt: sum(self.tt),
            dt: sum(self.dt),
        }
    }
}

/// What the terms share at one reduced density.
pub(super) struct Density {
    pub(super) delta: f64,
    powers: [f64; POWERS],
    /// `g delta^l`
    u: [f64; DAMPINGS],
}

impl Density {
    /// `dampings` are the pairs of `l` and `g`, the first of them (0, 0).
    #[inline(always)]
    pub(super) fn new(delta: f64, dampings: &[(u8, f64); DAMPINGS]) -> Self {
        Self::with(delta, powers(delta), dampings)
    }

    #[inline(always)]
    pub(super) fn with(delta: f64, powers: [f64; POWERS], dampings: &[(u8, f64); DAMPINGS]) -> Self {
        let u = dampings.map(|(l, g)| g * powers[usize::from(l) & (POWERS - 1)]);
        Self { delta, powers, u }
    }

    /// `exp(-g delta^l)` of each damping.
    #[inline(always)]
    pub(super) fn damped(&self, count: usize) -> [f64; DAMPINGS] {
        let mut out = [1.0; DAMPINGS];
        for (to, from) in
            out.chunks_exact_mut(WIDTH).zip(self.u.chunks_exact(WIDTH)).take(count.div_ceil(WIDTH))
        {
            let u = Lanes::new([from[0], from[1]]);
            to.copy_from_slice(&exp(-u).to_array());
        }
        out
    }
}

#[inline(always)]
pub(super) fn powers(delta: f64) -> [f64; POWERS] {
    let mut powers = [1.0; POWERS];
    powers[1] = delta;
    for k in 2..POWERS {
        powers[k] = powers[k / 2] * powers[k - k / 2];
    }
    powers
}

/// `n delta^d tau^t exp(-g delta^l)`
#[derive(Clone, Copy, Debug)]
pub(super) struct Power {
    pub(super) n: Lanes,
    pub(super) d: Lanes,
    pub(super) t: Lanes,
    /// t (t - 1)
    pub(super) tt: Lanes,
    pub(super) l: Lanes,
    pub(super) power: [u8; WIDTH],
    pub(super) damping: [u8; WIDTH],
}

impl Power {
    #[inline(always)]
    fn by_delta(&self, at: &Density) -> (Lanes, Lanes, Lanes) {
        let u = gather(&at.u, self.damping);
        let lu = self.l * u;
        let a1 = self.d - lu;
        (u, a1, a1 * (a1 - 1.0) - self.l * lu)
    }

    #[inline(always)]
    pub(super) fn exponent(&self, at: &Density, log_delta: f64, log_tau: f64) -> Lanes {
        self.d * log_delta + self.t * log_tau - gather(&at.u, self.damping)
    }

    /// With the exponential of the exponent.
    #[inline(always)]
    pub(super) fn add(&self, sums: &mut Sums, at: &Density, grown: Lanes) {
        let (_, a1, a2) = self.by_delta(at);
        sums.add(self.n * grown, a1, a2, self.t, self.tt);
    }

    /// The factor that depends on tau.
    #[inline(always)]
    pub(super) fn factor(&self, log_tau: f64) -> Lanes {
        self.n * exp(self.t * log_tau)
    }

    /// With the factor known, at a density whose dampings are known.
    #[inline(always)]
    pub(super) fn add_by_delta(
        &self,
        sums: &mut Sums,
        at: &Density,
        damped: &[f64; DAMPINGS],
        factor: Lanes,
    ) {
        let (_, a1, a2) = self.by_delta(at);
        let f = factor * gather(&at.powers, self.power) * gather(damped, self.damping);
        sums.add_by_delta(f, a1, a2);
    }
}

/// `n delta^d tau^t`
#[derive(Clone, Copy, Debug)]
pub(super) struct Free {
    pub(super) n: Lanes,
    pub(super) d: Lanes,
    /// d (d - 1)
    pub(super) dd: Lanes,
    pub(super) t: Lanes,
    /// t (t - 1)
    pub(super) tt: Lanes,
    pub(super) power: [u8; WIDTH],
}

impl Free {
    #[inline(always)]
    pub(super) fn exponent(&self, log_delta: f64, log_tau: f64) -> Lanes {
        self.d * log_delta + self.t * log_tau
    }

    #[inline(always)]
    pub(super) fn add(&self, sums: &mut Sums, grown: Lanes) {
        sums.add(self.n * grown, self.d, self.dd, self.t, self.tt);
    }

    #[inline(always)]
    pub(super) fn factor(&self, log_tau: f64) -> Lanes {
        self.n * exp(self.t * log_tau)
    }

    #[inline(always)]
    pub(super) fn add_by_delta(&self, sums: &mut Sums, at: &Density, factor: Lanes) {
        sums.add_by_delta(factor * gather(&at.powers, self.power), self.d, self.dd);
    }
}

/// Powers of tau by eighths: most papers' exponents are such, and a product of two table entries is much quicker than an exponential.
pub(super) struct Eighths {
    /// tau^(k/8)
    low: [f64; LOW],
    /// tau^(2 k - 2)
    high: [f64; HIGH],
}

const LOW: usize = 16;
const HIGH: usize = 32;

/// The places of `tau^t` in the tables, if `t` is a multiple of an eighth and in their range.
pub(super) fn eighths(t: f64) -> Option<(u8, u8)> {
    let k = 8.0 * (t + 2.0);
    let whole = k.trunc();
    let fits = (0.0..(LOW * HIGH) as f64).contains(&k) && (k - whole).abs() < 1e-300;
    fits.then_some(((whole as usize % LOW) as u8, (whole as usize / LOW) as u8))
}

impl Eighths {
    #[inline(always)]
    pub(super) fn new(tau: f64) -> Self {
        let quarter = tau.sqrt().sqrt();
        let mut low = [1.0; LOW];
        low[1] = quarter.sqrt();
        low[2] = quarter;
        for k in 3..LOW {
            low[k] = low[k / 2] * low[k - k / 2];
        }
        let square = tau * tau;
        let mut high = [1.0; HIGH];
        high[0] = 1.0 / square;
        high[2] = square;
        for k in 3..HIGH {
            // The index over the exponent is one too high: tau^(2 a) tau^(2 b) stand at a + 1 and b + 1.
            high[k] = high[k.div_ceil(2)] * high[k / 2 + 1];
        }
        Self { low, high }
    }
}

/// The same where every `t` is a multiple of an eighth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chained {
    pub(super) power: Power,
    pub(super) low: [u8; WIDTH],
    pub(super) high: [u8; WIDTH],
}

impl Chained {
    #[inline(always)]
    pub(super) fn factor(&self, tau: &Eighths) -> Lanes {
        self.power.n * gather(&tau.low, self.low) * gather(&tau.high, self.high)
    }

    #[inline(always)]
    pub(super) fn add(&self, sums: &mut Sums, at: &Density, damped: &[f64; DAMPINGS], tau: &Eighths) {
        let power = &self.power;
        let (_, a1, a2) = power.by_delta(at);
        let f = self.factor(tau) * gather(&at.powers, power.power) * gather(damped, power.damping);
        sums.add(f, a1, a2, power.t, power.tt);
    }
}

/// The same times `exp(-tau^m)`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Double {
    pub(super) power: Power,
    pub(super) m: Lanes,
}

impl Double {
    #[inline(always)]
    pub(super) fn add(&self, sums: &mut Sums, at: &Density, log_tau: f64) {
        let v = exp(self.m * log_tau);
        let (u, a1, a2) = self.power.by_delta(at);
        let exponent = self.power.t * log_tau - u - v;
        let f = self.power.n * gather(&at.powers, self.power.power) * exp(exponent);
        let mv = self.m * v;
        let b1 = self.power.t - mv;
        sums.add(f, a1, a2, b1, b1 * (b1 - 1.0) - self.m * mv);
    }

    #[inline(always)]
    pub(super) fn factor(&self, log_tau: f64) -> Lanes {
        self.power.n * exp(self.power.t * log_tau - exp(self.m * log_tau))
    }
}

/// `n delta^d tau^t exp(-eta (delta - epsilon)^2)` times a hump over tau.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bell {
    pub(super) n: Lanes,
    pub(super) d: Lanes,
    pub(super) t: Lanes,
    pub(super) eta: Lanes,
    pub(super) epsilon: Lanes,
    pub(super) power: [u8; WIDTH],
    pub(super) hump: Hump,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Hump {
    /// `exp(-beta (tau - gamma)^2)`
    Gauss { beta: Lanes, gamma: Lanes },
    /// `exp(1/(b + beta (tau - gamma)^2))`
    Gao { beta: Lanes, gamma: Lanes, b: Lanes },
}

impl Hump {
    /// The exponent, its scaled slope, and the scaled slope of that.
    #[inline(always)]
    fn parts(&self, tau: f64) -> (Lanes, Lanes, Lanes) {
        match *self {
            Self::Gauss { beta, gamma } => {
                let y = -gamma + tau;
                let slope = beta * (-2.0 * tau);
                (-(beta * y * y), slope * y, slope * (y + tau))
            }
            Self::Gao { beta, gamma, b } => {
                let y = -gamma + tau;
                let over = Lanes::splat(1.0) / (b + beta * y * y);
                let slope = beta * y * over * over * (-2.0 * tau);
                let bend = (beta * y * y * over * 4.0 - 1.0) * beta * over * over * (2.0 * tau * tau);
                (over, slope, slope + bend)
            }
        }
    }
}

impl Bell {
    #[inline(always)]
    fn by_delta(&self, at: &Density) -> (Lanes, Lanes) {
        let x = -self.epsilon + at.delta;
        let slope = self.eta * (-2.0 * at.delta);
        let a1 = self.d + slope * x;
        (a1, a1 * (a1 - 1.0) + slope * (x + at.delta))
    }

    /// The exponent that depends on the density.
    #[inline(always)]
    pub(super) fn fall(&self, at: &Density) -> Lanes {
        let x = -self.epsilon + at.delta;
        -(self.eta * x * x)
    }

    #[inline(always)]
    pub(super) fn exponent(&self, at: &Density, tau: f64, log_delta: f64, log_tau: f64) -> Lanes {
        self.d * log_delta + self.t * log_tau + (self.hump.parts(tau).0 + self.fall(at))
    }

    /// With the exponential of the exponent.
    #[inline(always)]
    pub(super) fn add(&self, sums: &mut Sums, at: &Density, tau: f64, grown: Lanes) {
        let (_, slope, bend) = self.hump.parts(tau);
        let (a1, a2) = self.by_delta(at);
        let b1 = self.t + slope;
        sums.add(self.n * grown, a1, a2, b1, b1 * (b1 - 1.0) + bend);
    }

    #[inline(always)]
    pub(super) fn factor(&self, tau: f64, log_tau: f64) -> Lanes {
        self.n * exp(self.t * log_tau + self.hump.parts(tau).0)
    }

    #[inline(always)]
    pub(super) fn add_by_delta(&self, sums: &mut Sums, at: &Density, factor: Lanes) {
        let (a1, a2) = self.by_delta(at);
        sums.add_by_delta(factor * gather(&at.powers, self.power), a1, a2);
    }
}

/// `n Delta^b delta psi`: R. Span, W. Wagner, J. Phys. Chem. Ref. Data 25 (1996), table 32.
#[derive(Clone, Copy, Debug)]
pub(super) struct Critical {
    pub(super) n: Lanes,
    pub(super) a: Lanes,
    pub(super) b: Lanes,
    pub(super) beta: Lanes,
    pub(super) big_a: Lanes,
    pub(super) big_b: Lanes,
    pub(super) big_c: Lanes,
    pub(super) big_d: Lanes,
}

/// The distance function `Delta^b` with its plain slopes.
struct Distance {
    f: Lanes,
    d: Lanes,
    dd: Lanes,
    t: Lanes,
    tt: Lanes,
    dt: Lanes,
}

impl Critical {
    /// `(delta - 1)^2` is kept off zero, where the derivatives have no value.
    pub(super) fn add(&self, sums: &mut Sums, delta: f64, tau: f64) {
        let x = if (delta - 1.0).abs() < 1e-10 { 1e-10 } else { delta - 1.0 };
        let y = 1.0 - tau;
        let (cx, dy) = (self.big_c * x, self.big_d * y);
        let exponent = -(cx * x) - dy * y;
        // Far from the critical point the term is below 1e-18 of anything, however large its factors.
        if exponent.to_array().iter().all(|&e| e < -60.0) {
            return;
        }
        let psi = exp(exponent) * self.n;
        let psi_d = psi * cx * -2.0;
        let psi_dd = (cx * (2.0 * x) - 1.0) * self.big_c * psi * 2.0;
        let psi_t = psi * dy * 2.0;
        let psi_tt = (dy * (2.0 * y) - 1.0) * self.big_d * psi * 2.0;
        let psi_dt = psi_t * cx * -2.0;
        let far = self.distance(x, y);
        let grown = psi + psi_d * delta;
        sums.a += far.f * psi * delta;
        sums.d += (far.f * grown + far.d * psi * delta) * delta;
        sums.dd += (far.f * (psi_d * 2.0 + psi_dd * delta) + far.d * grown * 2.0 + far.dd * psi * delta)
            * (delta * delta);
        sums.t += (far.t * psi + far.f * psi_t) * (delta * tau);
        sums.tt += (far.tt * psi + far.t * psi_t * 2.0 + far.f * psi_tt) * (delta * tau * tau);
        let mixed = far.f * (psi_t + psi_dt * delta) + far.d * psi_t * delta;
        sums.dt += (mixed + far.t * grown + far.dt * psi * delta) * (delta * tau);
    }

    #[inline(always)]
    fn distance(&self, x: f64, y: f64) -> Distance {
        let x2 = x * x;
        let log = ln(Lanes::splat(x2));
        let half = Lanes::splat(0.5) / self.beta;
        let inner = exp(half * log);
        let outer = self.big_b * exp(self.a * log);
        let theta = self.big_a * inner + y;
        let big = theta * theta + outer;
        let inner_over = inner / x2;
        let a_over = self.big_a * inner_over * half * 4.0;
        // Slopes of the distance itself by delta.
        let d = (a_over * theta + outer * self.a * (2.0 / x2)) * x;
        let dd = d / x
            + (outer * self.a * (self.a - 1.0) * (4.0 / (x2 * x2))
                + a_over * a_over * 0.5
                + a_over * theta * (half - 1.0) * (2.0 / x2))
                * x2;
        let f = exp(self.b * ln(big));
        let f1 = f / big * self.b;
        let f2 = f1 / big * (self.b - 1.0);
        Distance {
            f,
            d: f1 * d,
            dd: f1 * dd + f2 * d * d,
            t: theta * f1 * -2.0,
            tt: f1 * 2.0 + theta * theta * f2 * 4.0,
            dt: -(a_over * f1 * x) - theta * f2 * d * 2.0,
        }
    }
}
