//! The reduced Helmholtz energy and its derivatives: a numeric kernel in plain `f64`, units in the names.
//!
//! Derivatives are scaled: `d` means `delta * d/d(delta)`-like products (`delta^i tau^j` times the derivative), dimensionless. Terms
//! are worked out some at a time; every sum has a fixed order.

mod terms;

#[cfg(test)]
mod scalar;
#[cfg(test)]
mod tests;

use crate::data::{FluidData, Ideal, Residual};
use crate::lanes::{Lanes, WIDTH, columns, exp, exps, ln, sum};
use wide::f64x4;

use crate::pieces::{coefficients, monomials, nodes, value};
use terms::{
    Bell, Chained, Critical, DAMPINGS, Density, Double, Eighths, Free, Hump, POWERS, Power, Sums, eighths,
    powers,
};

/// `alpha` and its scaled derivatives: `d` by delta, `t` by tau.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Alpha {
    pub(crate) a: f64,
    pub(crate) d: f64,
    pub(crate) dd: f64,
    pub(crate) t: f64,
    pub(crate) tt: f64,
    pub(crate) dt: f64,
}

impl Alpha {
    /// The slopes themselves instead of the scaled ones.
    pub(crate) fn unscaled(self, delta: f64, tau: f64) -> Self {
        Self {
            a: self.a,
            d: self.d / delta,
            dd: self.dd / (delta * delta),
            t: self.t / tau,
            tt: self.tt / (tau * tau),
            dt: self.dt / (delta * tau),
        }
    }

    pub(crate) fn add_times(&mut self, other: &Self, factor: f64) {
        self.a += factor * other.a;
        self.d += factor * other.d;
        self.dd += factor * other.dd;
        self.t += factor * other.t;
        self.tt += factor * other.tt;
        self.dt += factor * other.dt;
    }

    /// Outside the domain of the logarithms.
    pub(crate) const NONE: Self =
        Self { a: f64::NAN, d: f64::NAN, dd: f64::NAN, t: f64::NAN, tt: f64::NAN, dt: f64::NAN };
}

/// Up to here no power of tau leaves the range of numbers.
const HIGHEST_TAU: f64 = 1e6;

/// An equation ready to be evaluated.
#[derive(Clone, Debug)]
pub(crate) struct Equation {
    free: Vec<Free>,
    power: Vec<Power>,
    chained: Vec<Chained>,
    double: Vec<Double>,
    bells: Vec<Bell>,
    critical: Vec<Critical>,
    /// Pairs of `l` and `g`; the first of them is no damping.
    dampings: [(u8, f64); DAMPINGS],
    /// How many there are.
    damped: usize,
    /// The highest power of delta.
    highest: usize,
    ideal: IdealLanes,
}

/// The ideal-gas part, some terms in a row.
#[derive(Clone, Debug, Default)]
struct IdealLanes {
    constant: f64,
    linear: f64,
    log: f64,
    /// `n`, `t`
    power: Vec<[Lanes; 2]>,
    /// `n`, `theta`
    einstein: Vec<[Lanes; 2]>,
    /// The same as polynomials over the logarithm of tau, for all temperatures that are asked for.
    first: f64,
    pieces: Vec<[f64x4; IDEAL_TERMS]>,
}

/// Pieces of the ideal-gas part, one over the width of each in the logarithm of tau.
const PIECES_PER_LOG: f64 = 16.0;
const IDEAL_TERMS: usize = 8;

/// The residual part at one tau: what depends on tau alone is worked out once.
#[derive(Clone, Debug)]
pub(crate) struct AtTau<'a> {
    equation: &'a Equation,
    tau: f64,
    factors: Vec<Lanes>,
}

/// A term without damping that would fill half a row, where the bells leave half a row empty.
#[derive(Clone, Copy)]
enum Lodger {
    Wanted,
    /// `n`, `d`, `t`
    Term([f64; 3]),
}

/// Rows of terms with exponentials of their own that one equation may have.
const ROOM: usize = 16;

/// Of the first ones, two at a time.
#[inline(always)]
fn exponentials(x: &mut [Lanes; ROOM], count: usize) {
    for pair in x.chunks_exact_mut(2).take(count.div_ceil(2)) {
        if let [one, other] = pair {
            [*one, *other] = exps([*one, *other]);
        }
    }
}

/// What several equations have in common at one reduced state.
pub(crate) struct Shared {
    delta: f64,
    tau: f64,
    log_delta: f64,
    log_tau: f64,
    powers: [f64; POWERS],
    eighths: Eighths,
}

impl Shared {
    /// None outside the domain of the logarithms.
    #[inline]
    pub(crate) fn new(delta: f64, tau: f64) -> Option<Self> {
        let fine = delta > 0.0 && tau > 0.0 && tau < HIGHEST_TAU;
        fine.then(|| {
            let [log_delta, log_tau] = ln(Lanes::new([delta, tau])).to_array();
            Self { delta, tau, log_delta, log_tau, powers: powers(delta), eighths: Eighths::new(tau) }
        })
    }
}

/// The papers print whole numbers for the powers of delta; a test of the data says so.
fn whole(values: Lanes) -> [u8; WIDTH] {
    values.to_array().map(|value| value as u8)
}

impl Equation {
    pub(crate) fn new(data: &FluidData) -> Self {
        let (reducing, critical) = (data.reducing_temperature, data.critical_temperature);
        let low = 0.99 * reducing.min(critical) / (1.5 * data.max_temperature);
        let high = 1.01 * reducing.max(critical) / data.min_temperature;
        let ideal = IdealLanes::new(&data.ideal).in_pieces(low, high);
        Self { ideal, ..Self::of_terms(&data.residual) }
    }

    /// Residual terms alone.
    pub(crate) fn of_terms(residual: &[Residual]) -> Self {
        let mut equation = Self {
            free: Vec::new(),
            power: Vec::new(),
            chained: Vec::new(),
            double: Vec::new(),
            bells: Vec::new(),
            critical: Vec::new(),
            dampings: [(0, 0.0); DAMPINGS],
            damped: 1,
            highest: 1,
            ideal: IdealLanes::default(),
        };
        let bells = |residual: &&Residual| matches!(residual, Residual::Gaussian { .. });
        let odd =
            |residual: &Residual| matches!(residual, Residual::Gaussian { n, .. } if n.len() % WIDTH == 1);
        let mut lodger = residual.iter().any(odd).then_some(Lodger::Wanted);
        // Bells last: one of the other terms may find room in their last row.
        for residual in residual.iter().filter(|one| !bells(one)).chain(residual.iter().filter(bells)) {
            equation.add(residual, &mut lodger);
        }
        debug_assert!(equation.highest < POWERS && equation.damped <= DAMPINGS && equation.rows() <= ROOM);
        equation
    }

    /// Rows with exponentials of their own.
    fn rows(&self) -> usize {
        self.free.len() + self.power.len() + self.bells.len()
    }

    fn add(&mut self, residual: &Residual, lodger: &mut Option<Lodger>) {
        match residual {
            Residual::Power { n, d, t, l, g } => {
                let g: Vec<f64> = g.iter().copied().chain(core::iter::repeat(1.0)).take(n.len()).collect();
                self.add_power([n, d, t, l, &g], lodger);
            }
            Residual::DoubleExponential { n, d, t, l, m } => self.add_double([n, d, t, l], m),
            Residual::Gaussian { n, d, t, eta, beta, gamma, epsilon } => {
                let hump = |[beta, gamma]: [Lanes; 2], _| Hump::Gauss { beta, gamma };
                let mut columns = [n, d, t, eta, epsilon, beta, gamma, beta].map(|column| column.clone());
                if let Some(Lodger::Term(term)) = lodger.filter(|_| n.len() % WIDTH == 1) {
                    // A bell that is flat.
                    let flat = term.into_iter().chain([0.0; 5]);
                    columns.iter_mut().zip(flat).for_each(|(column, value)| column.push(value));
                    *lodger = None;
                }
                self.add_bells(columns.each_ref().map(Vec::as_slice), 1.0, hump);
            }
            Residual::GaoB { n, d, t, eta, beta, gamma, epsilon, b } => {
                let hump = |[beta, gamma]: [Lanes; 2], b| Hump::Gao { beta, gamma, b };
                // The paper has no minus before this eta.
                self.add_bells([n, d, t, eta, epsilon, beta, gamma, b], -1.0, hump);
            }
            Residual::NonAnalytic { n, a, b, beta, big_a, big_b, big_c, big_d } => {
                let rows = rows([n, a, b, beta, big_a, big_b, big_c, big_d]);
                self.critical.extend(rows.map(|[n, a, b, beta, big_a, big_b, big_c, big_d]| Critical {
                    n,
                    a,
                    b,
                    beta,
                    big_a,
                    big_b,
                    big_c,
                    big_d,
                }));
            }
        }
    }

    /// Terms whose exponents of tau are eighths go the quick way, if there are enough of them to pay for its tables.
    fn add_power(&mut self, columns: [&[f64]; 5], lodger: &mut Option<Lodger>) {
        let quick: Vec<bool> = columns[2].iter().map(|&t| eighths(t).is_some()).collect();
        let worth = quick.iter().filter(|quick| **quick).count() >= 8;
        let chosen = |with: bool| {
            let keep = |quick: bool| (worth && quick) == with;
            columns.map(|column| -> Vec<f64> {
                column
                    .iter()
                    .zip(&quick)
                    .filter(|(_, quick)| keep(**quick))
                    .map(|(value, _)| *value)
                    .collect()
            })
        };
        let [mut n, mut d, mut t, mut l, mut g] = chosen(false);
        let undamped = l.iter().rposition(|&l| l <= 0.0);
        if let (Some(Lodger::Wanted), 1, Some(at)) = (*lodger, n.len() % WIDTH, undamped) {
            *lodger = Some(Lodger::Term([n.remove(at), d.remove(at), t.remove(at)]));
            _ = (l.remove(at), g.remove(at));
        }
        self.take_free([&mut n, &mut d, &mut t, &mut l, &mut g]);
        for [n, d, t, l, g] in rows([&n, &d, &t, &l, &g]) {
            let power = self.power_of([n, d, t, l], g);
            self.power.push(power);
        }
        let [n, d, t, l, g] = &chosen(true);
        for [n, d, t, l, g] in rows([n, d, t, l, g]) {
            let places = t.to_array().map(|t| eighths(t).unwrap_or_default());
            let power = self.power_of([n, d, t, l], g);
            self.chained.push(Chained { power, low: places.map(|at| at.0), high: places.map(|at| at.1) });
        }
    }

    /// Terms without damping need less work; those that fill lanes are taken out of the columns.
    fn take_free(&mut self, columns: [&mut Vec<f64>; 5]) {
        let undamped: Vec<usize> = (0..columns[3].len()).filter(|&at| columns[3][at] <= 0.0).collect();
        let taken = undamped.get(..undamped.len() / WIDTH * WIDTH).unwrap_or_default();
        let [n, d, t, ..] = [0, 1, 2].map(|column: usize| -> Vec<f64> {
            taken.iter().filter_map(|&at| columns[column].get(at).copied()).collect()
        });
        for [n, d, t] in rows([&n, &d, &t]) {
            let power = self.power_index(d);
            self.free.push(Free { n, d, dd: d * (d - 1.0), t, tt: t * (t - 1.0), power });
        }
        for column in columns {
            let mut at = 0..;
            column.retain(|_| at.next().is_some_and(|at| !taken.contains(&at)));
        }
    }

    fn power_of(&mut self, [n, d, t, l]: [Lanes; 4], g: Lanes) -> Power {
        let g = g.to_array();
        let mut damping = [0; WIDTH];
        for ((slot, l), g) in damping.iter_mut().zip(whole(l)).zip(g) {
            *slot = self.damping(l, g);
        }
        Power { n, d, t, tt: t * (t - 1.0), l, power: self.power_index(d), damping }
    }

    /// The place of `g delta^l` in the table.
    fn damping(&mut self, l: u8, g: f64) -> u8 {
        if l == 0 {
            return 0;
        }
        self.highest = self.highest.max(usize::from(l));
        let known = self.dampings.iter().position(|&(a, b)| a == l && b.to_bits() == g.to_bits());
        let at = known.unwrap_or(self.damped);
        if let Some(slot) = self.dampings.get_mut(at) {
            *slot = (l, g);
        }
        self.damped = self.damped.max(at + 1);
        at as u8
    }

    fn power_index(&mut self, d: Lanes) -> [u8; WIDTH] {
        let index = whole(d);
        self.highest = index.iter().fold(self.highest, |most, &d| most.max(usize::from(d)));
        index
    }

    /// Terms without `exp(-tau^m)` are plain ones.
    fn add_double(&mut self, columns: [&[f64]; 4], m: &[f64]) {
        let chosen = |with: bool| {
            columns.map(|column| -> Vec<f64> {
                column.iter().zip(m).filter(|&(_, &m)| (m > 0.0) == with).map(|(&value, _)| value).collect()
            })
        };
        let plain = chosen(false);
        let one = vec![1.0; m.len()];
        let [n, d, t, l] = &plain;
        self.add_power([n, d, t, l, one.get(..n.len()).unwrap_or_default()], &mut None);
        let [n, d, t, l] = &chosen(true);
        let m: Vec<f64> = m.iter().copied().filter(|&m| m > 0.0).collect();
        for [n, d, t, l, m] in rows([n, d, t, l, &m]) {
            let power = self.power_of([n, d, t, l], Lanes::splat(1.0));
            self.double.push(Double { power, m });
        }
    }

    fn add_bells(&mut self, columns: [&[f64]; 8], sign: f64, hump: impl Fn([Lanes; 2], Lanes) -> Hump) {
        for [n, d, t, eta, epsilon, beta, gamma, b] in rows(columns) {
            let power = self.power_index(d);
            let hump = hump([beta, gamma], b);
            self.bells.push(Bell { n, d, t, eta: eta * sign, epsilon, power, hump });
        }
    }

    /// The residual part at reduced density `delta` and inverse reduced temperature `tau`.
    pub(crate) fn residual(&self, delta: f64, tau: f64) -> Alpha {
        let [log_delta, log_tau] = ln(Lanes::new([delta, tau])).to_array();
        self.residual_with(delta, tau, log_delta, log_tau)
    }

    #[inline(always)]
    fn residual_with(&self, delta: f64, tau: f64, log_delta: f64, log_tau: f64) -> Alpha {
        if !(delta > 0.0 && tau > 0.0 && tau < HIGHEST_TAU) {
            return Alpha::NONE;
        }
        let at = Density::new(delta, &self.dampings);
        if self.chained.is_empty() {
            return self.sums(&at, tau, [log_delta, log_tau], None).total();
        }
        self.sums(&at, tau, [log_delta, log_tau], Some(&Eighths::new(tau))).total()
    }

    /// At a place that several equations are asked at.
    #[inline]
    pub(crate) fn residual_at(&self, shared: &Shared) -> Alpha {
        let at = Density::with(shared.delta, shared.powers, &self.dampings);
        self.sums(&at, shared.tau, [shared.log_delta, shared.log_tau], Some(&shared.eighths)).total()
    }

    #[inline(always)]
    fn sums(
        &self,
        at: &Density,
        tau: f64,
        [log_delta, log_tau]: [f64; 2],
        eighths: Option<&Eighths>,
    ) -> Sums {
        let mut sums = Sums::default();
        let mut grown = [Lanes::ZERO; ROOM];
        let mut slots = grown.iter_mut();
        for (free, slot) in self.free.iter().zip(&mut slots) {
            *slot = free.exponent(log_delta, log_tau);
        }
        for (power, slot) in self.power.iter().zip(&mut slots) {
            *slot = power.exponent(at, log_delta, log_tau);
        }
        for (bell, slot) in self.bells.iter().zip(&mut slots) {
            *slot = bell.exponent(at, tau, log_delta, log_tau);
        }
        exponentials(&mut grown, self.rows());
        let mut grown = grown.iter();
        for (free, &grown) in self.free.iter().zip(&mut grown) {
            free.add(&mut sums, grown);
        }
        for (power, &grown) in self.power.iter().zip(&mut grown) {
            power.add(&mut sums, at, grown);
        }
        for (bell, &grown) in self.bells.iter().zip(&mut grown) {
            bell.add(&mut sums, at, tau, grown);
        }
        if let Some(eighths) = eighths.filter(|_| !self.chained.is_empty()) {
            let damped = at.damped(self.damped);
            for chained in &self.chained {
                chained.add(&mut sums, at, &damped, eighths);
            }
        }
        for double in &self.double {
            double.add(&mut sums, at, log_tau);
        }
        for critical in &self.critical {
            critical.add(&mut sums, at.delta, tau);
        }
        sums
    }

    /// The ideal-gas part, without `ln(delta)` and its derivatives (which are 0, 1 and -1, scaled).
    pub(crate) fn ideal(&self, tau: f64) -> Alpha {
        self.ideal.at(tau, libm::log(tau))
    }

    /// The residual part, the ideal-gas part without `ln(delta)`, and that logarithm.
    pub(crate) fn whole(&self, delta: f64, tau: f64) -> (Alpha, Alpha, f64) {
        let [log_delta, log_tau] = ln(Lanes::new([delta, tau])).to_array();
        (self.residual_with(delta, tau, log_delta, log_tau), self.ideal.at(tau, log_tau), log_delta)
    }

    /// For many densities at one temperature.
    pub(crate) fn at_tau(&self, tau: f64) -> AtTau<'_> {
        let log_tau = libm::log(tau);
        let count =
            self.free.len() + self.power.len() + self.chained.len() + self.double.len() + self.bells.len();
        let mut factors = Vec::with_capacity(count);
        factors.extend(self.free.iter().map(|free| free.factor(log_tau)));
        factors.extend(self.power.iter().map(|power| power.factor(log_tau)));
        if !self.chained.is_empty() {
            let eighths = Eighths::new(tau);
            factors.extend(self.chained.iter().map(|chained| chained.factor(&eighths)));
        }
        factors.extend(self.double.iter().map(|double| double.factor(log_tau)));
        factors.extend(self.bells.iter().map(|bell| bell.factor(tau, log_tau)));
        AtTau { equation: self, tau, factors }
    }
}

impl AtTau<'_> {
    /// The residual part and its slopes by delta; those by tau stay zero.
    pub(crate) fn residual(&self, delta: f64) -> Alpha {
        let equation = self.equation;
        if !(delta > 0.0 && self.tau > 0.0 && self.tau < HIGHEST_TAU) {
            return Alpha::NONE;
        }
        let at = Density::new(delta, &equation.dampings);
        let damped = at.damped(equation.damped);
        let mut sums = Sums::default();
        let chained = equation.chained.iter().map(|chained| &chained.power);
        let double = equation.double.iter().map(|double| &double.power);
        let powers = equation.power.iter().chain(chained).chain(double);
        let mut factors = self.factors.iter();
        for (free, &factor) in equation.free.iter().zip(&mut factors) {
            free.add_by_delta(&mut sums, &at, factor);
        }
        for (power, &factor) in powers.zip(&mut factors) {
            power.add_by_delta(&mut sums, &at, &damped, factor);
        }
        let mut fallen = [Lanes::ZERO; ROOM];
        for (bell, slot) in equation.bells.iter().zip(&mut fallen) {
            *slot = bell.fall(&at);
        }
        exponentials(&mut fallen, equation.bells.len());
        for ((bell, &factor), &fallen) in equation.bells.iter().zip(&mut factors).zip(&fallen) {
            bell.add_by_delta(&mut sums, &at, factor * fallen);
        }
        for critical in &equation.critical {
            critical.add(&mut sums, delta, self.tau);
        }
        Alpha { t: 0.0, tt: 0.0, dt: 0.0, ..sums.total() }
    }
}

impl IdealLanes {
    fn new(ideal: &Ideal) -> Self {
        Self {
            constant: ideal.constant,
            linear: ideal.linear,
            log: ideal.log,
            power: rows([&ideal.power_n, &ideal.power_t]).collect(),
            einstein: rows([&ideal.einstein_n, &ideal.einstein_theta]).collect(),
            ..Self::default()
        }
    }

    /// With polynomials for the values of tau from `low` to `high`.
    fn in_pieces(mut self, low: f64, high: f64) -> Self {
        self.first = libm::log(low);
        let count = ((libm::log(high) - self.first) * PIECES_PER_LOG).ceil() as usize;
        let nodes = nodes();
        let piece = |at: usize| {
            let values = nodes.map(|node| {
                let log_tau = self.first + (at as f64 + 0.5 * (node + 1.0)) / PIECES_PER_LOG;
                let Alpha { a, t, tt, .. } = self.exactly(libm::exp(log_tau), log_tau);
                f64x4::new([a, t, tt, 0.0])
            });
            monomials(&coefficients(&values, &nodes))
        };
        self.pieces = (0..count).map(piece).collect();
        self
    }

    #[inline(always)]
    fn at(&self, tau: f64, log_tau: f64) -> Alpha {
        let along = (log_tau - self.first) * PIECES_PER_LOG;
        let piece = if along >= 0.0 { self.pieces.get(along as usize) } else { None };
        let Some(piece) = piece else { return self.exactly(tau, log_tau) };
        let s = 2.0 * (along - (along as usize) as f64) - 1.0;
        let [a, t, tt, _] = value(piece, s).to_array();
        Alpha { a, t, tt, ..Alpha::default() }
    }

    fn exactly(&self, tau: f64, log_tau: f64) -> Alpha {
        let (mut a, mut t, mut tt) = (Lanes::ZERO, Lanes::ZERO, Lanes::ZERO);
        for &[n, power] in &self.power {
            let f = n * exp(power * log_tau);
            a += f;
            t += f * power;
            tt += f * power * (power - 1.0);
        }
        for &[n, theta] in &self.einstein {
            let x = theta * tau;
            let e = exp(-x);
            let one = -e + 1.0;
            let over = Lanes::splat(1.0) / one;
            let slope = n * x * e * over;
            a += n * ln(one);
            t += slope;
            tt -= slope * x * over;
        }
        Alpha {
            a: self.constant + self.linear * tau + self.log * log_tau + sum(a),
            t: self.linear * tau + self.log + sum(t),
            tt: sum(tt) - self.log,
            ..Alpha::default()
        }
    }
}

/// Columns of one length as rows of lanes; the first column, the factors, is filled up with zeros, the others with what stands last.
fn rows<const N: usize>(from: [&[f64]; N]) -> impl Iterator<Item = [Lanes; N]> {
    let count = from.first().map_or(0, |column| column.len().div_ceil(WIDTH));
    let filled: [Vec<Lanes>; N] = core::array::from_fn(|at| {
        let column = from[at];
        let fill = if at == 0 { 0.0 } else { column.last().copied().unwrap_or(1.0) };
        columns(column, fill).collect()
    });
    (0..count)
        .map(move |row| core::array::from_fn(|at| filled[at].get(row).copied().unwrap_or(Lanes::splat(1.0))))
}
