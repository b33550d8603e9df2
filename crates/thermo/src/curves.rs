//! Saturation curves of a pure fluid: piecewise polynomials through full solves, so that saturation costs next to nothing.
//!
//! Over `x = sqrt(1 - T/T*)`, with T* where the equation's own dome closes, pressure, densities and energies of both phases are smooth right up
//! to the critical point. Each piece goes through the full solve's answers at Chebyshev nodes, as I. H. Bell and B. K. Alpert do it for other
//! equations (Int. J. Thermophys. 42 (2021) 75, cited from memory); a piece whose last coefficients don't
//! fade is halved. Curves are made whole, from the equation alone, when first needed: what was asked before changes no bit.

use wide::f64x4;

use crate::eos::Eos;
use crate::pieces::{Piece, TERMS, coefficients, monomials, nodes, value, with_slope};
use crate::saturation::SatPoint;

/// Cells of the finest halving.
const CELLS: usize = 256;
/// The first pieces.
const FIRST: usize = 4;
/// Pieces of the temperature over the logarithm of the pressure.
const BY_PRESSURE: usize = 16;
/// A piece is halved while its last coefficients are above this part of its values.
const FADED: f64 = 3e-13;
/// A piece as small as a cell serves if its last coefficients are below this part; else the full solve answers there.
const GOOD_ENOUGH: f64 = 1e-10;
/// This close to the top of the dome, as a part of the temperature, the full solve itself gets too rough for a curve.
const NEAR_THE_TOP: f64 = 1e-5;

#[derive(Clone, Debug)]
struct Segment {
    middle: f64,
    /// One over half the width.
    scale: f64,
    /// Pressure, density of liquid and vapour, slope of the pressure by temperature.
    a: Piece,
    /// Enthalpy of liquid and vapour, entropy of liquid and vapour.
    b: Piece,
}

/// The curves of one fluid.
#[derive(Clone, Debug)]
pub(crate) struct Curves {
    /// Where the dome closes, K.
    top: f64,
    /// The range of the curves, K and Pa.
    low: f64,
    high: f64,
    p_low: f64,
    p_high: f64,
    x_low: f64,
    cells_per_x: f64,
    /// The segment of each cell; none where the full solve must answer.
    cells: Vec<Option<u16>>,
    segments: Vec<Segment>,
    log_p_low: f64,
    pieces_per_log_p: f64,
    by_pressure: Vec<[f64; TERMS]>,
    /// Full solves that it took.
    solves: usize,
}

/// A place on the curves.
#[derive(Clone, Copy)]
pub(crate) struct Place<'a> {
    t: f64,
    s: f64,
    /// ds/dT
    slope: f64,
    segment: &'a Segment,
}

/// One phase at saturation, J/kg and J/(kg K).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub(crate) h: f64,
    pub(crate) s: f64,
    pub(crate) u: f64,
}

/// Energies of both phases at saturation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edges {
    pub(crate) liquid: Edge,
    pub(crate) vapour: Edge,
}

impl Place<'_> {
    pub(crate) fn saturation(&self) -> SatPoint {
        let [p, liquid, vapour, _] = value(&self.segment.a, self.s).to_array();
        SatPoint { t: self.t, p, liquid, vapour }
    }

    pub(crate) fn edges(&self, sat: &SatPoint, molar_mass: f64) -> Edges {
        let [h_l, h_v, s_l, s_v] = value(&self.segment.b, self.s).to_array();
        let edge = |h: f64, s: f64, rho: f64| Edge { h, s, u: h - sat.p / (rho * molar_mass) };
        Edges { liquid: edge(h_l, s_l, sat.liquid), vapour: edge(h_v, s_v, sat.vapour) }
    }

    /// Enthalpy (or entropy) of the liquid and its slope by temperature along the curve.
    pub(crate) fn liquid_energy(&self, entropy: bool) -> (f64, f64) {
        let (value, slope) = with_slope(&self.segment.b, self.s);
        let at = if entropy { 2 } else { 0 };
        (value.to_array()[at], slope.to_array()[at] * self.slope)
    }

    /// The two phases at a molar density inside the dome: energy in J/kg and its slope by temperature at constant density. None outside.
    pub(crate) fn energy_inside(&self, molar: f64, molar_mass: f64) -> Option<(f64, f64)> {
        let (a, a_s) = with_slope(&self.segment.a, self.s);
        let [p, liquid, vapour, p_t] = a.to_array();
        if !(molar > vapour && molar < liquid) {
            return None;
        }
        let [_, liquid_t, _, p_tt] = (a_s * self.slope).to_array();
        let (b, b_s) = with_slope(&self.segment.b, self.s);
        let (h, h_t) = (b.to_array()[0], b_s.to_array()[0] * self.slope);
        // Along the curve (u'' - u')/(v'' - v') = T dp/dT - p, so u = u' + (v - v') (T dp/dT - p).
        let (v, v_t) = (1.0 / (liquid * molar_mass), -liquid_t / (liquid * liquid * molar_mass));
        let rise = self.t * p_t - p;
        let more = 1.0 / (molar * molar_mass) - v;
        let u = h - p * v + more * rise;
        let u_t = h_t - p_t * v - p * v_t - v_t * rise + more * self.t * p_tt;
        Some((u, u_t))
    }
}

impl Curves {
    /// From full solves; none where the equation gives no dome to speak of.
    pub(crate) fn new(eos: &Eos) -> Option<Self> {
        let top = top_of_dome(eos);
        let low = eos.data.min_temperature;
        let high = top.min(eos.data.critical_temperature) * (1.0 - NEAR_THE_TOP);
        let x = |t: f64| (1.0 - t / top).sqrt();
        let (x_low, x_high) = (x(high), x(low));
        let mut curves = Self {
            top,
            low,
            high,
            p_low: 0.0,
            p_high: 0.0,
            x_low,
            cells_per_x: CELLS as f64 / (x_high - x_low),
            cells: vec![None; CELLS],
            segments: Vec::new(),
            log_p_low: 0.0,
            pieces_per_log_p: 0.0,
            by_pressure: Vec::new(),
            solves: 0,
        };
        let nodes = nodes();
        let first = CELLS / FIRST;
        // From the cold end up, so that each solve starts from the one before.
        let mut builder = Builder { eos, nodes, last: None };
        for at in (0..FIRST).rev() {
            curves.fit(&mut builder, at * first, first, f64::INFINITY);
        }
        curves.keep_what_is_joined()?;
        curves.fit_by_pressure(&nodes);
        Some(curves)
    }

    /// The curves reach from the cold end to the first gap.
    fn keep_what_is_joined(&mut self) -> Option<()> {
        let joined = self.cells.iter().rev().take_while(|cell| cell.is_some()).count();
        if joined < CELLS {
            let x = self.x_low + (CELLS - joined) as f64 / self.cells_per_x * (1.0 + 1e-9);
            self.high = self.top * (1.0 - x * x);
        }
        (joined > 0).then_some(())
    }

    /// A segment over some cells, or two over the halves; `before` is how large the last coefficients were over twice the width.
    fn fit(&mut self, builder: &mut Builder<'_>, cell: usize, count: usize, before: f64) {
        let half = 0.5 * count as f64 / self.cells_per_x;
        let middle = self.x_low + cell as f64 / self.cells_per_x + half;
        let found = self.through(builder, middle, half);
        let rest = found.as_ref().map_or(f64::INFINITY, |(_, rest)| *rest);
        // Where halving no longer helps, what is left is the last places of the full solve.
        let fading = found.is_none() || (rest > FADED && rest < 0.05 * before) || rest > GOOD_ENOUGH;
        if fading && count > 1 {
            self.fit(builder, cell + count / 2, count / 2, rest);
            self.fit(builder, cell, count / 2, rest);
            return;
        }
        let Some((segment, _)) = found.filter(|_| rest < GOOD_ENOUGH) else { return };
        let id = u16::try_from(self.segments.len()).ok();
        self.segments.push(segment);
        for slot in self.cells.iter_mut().skip(cell).take(count) {
            *slot = id;
        }
    }

    /// A segment through full solves, and how large its last coefficients are.
    fn through(&mut self, builder: &mut Builder<'_>, middle: f64, half: f64) -> Option<(Segment, f64)> {
        let (mut a, mut b) = ([f64x4::ZERO; TERMS], [f64x4::ZERO; TERMS]);
        let nodes = &builder.nodes.clone();
        for ((a, b), node) in a.iter_mut().zip(&mut b).zip(nodes) {
            self.solves += 1;
            (*a, *b) = values(builder.eos, &builder.solve(self.top, middle + half * node)?);
        }
        let (a, b) = (coefficients(&a, nodes), coefficients(&b, nodes));
        // Newton needs the slope of the pressure less exactly; the zeros of energies are anywhere.
        let [p, liquid, vapour, slope] = a[0].abs().to_array();
        let sizes = f64x4::new([p, liquid, vapour, 100.0 * slope]);
        let energy = f64x4::new([1e5, 1e5, 1e3, 1e3]);
        let rest = |piece: &Piece, size: f64x4| {
            let last = (piece[TERMS - 1].abs() + piece[TERMS - 2].abs()) / size;
            last.to_array().into_iter().fold(0.0, f64::max)
        };
        let rest = rest(&a, sizes).max(rest(&b, energy));
        Some((Segment { middle, scale: 1.0 / half, a: monomials(&a), b: monomials(&b) }, rest))
    }

    /// The temperature over the logarithm of the pressure, from the curve itself.
    fn fit_by_pressure(&mut self, nodes: &[f64; TERMS]) {
        let ends = [self.low, self.high].map(|t| self.at(t).map(|place| place.saturation().p));
        let [Some(p_low), Some(p_high)] = ends else { return };
        let (log_low, log_high) = (libm::log(p_low), libm::log(p_high));
        let half = 0.5 * (log_high - log_low) / BY_PRESSURE as f64;
        let mut pieces = Vec::with_capacity(BY_PRESSURE);
        for piece in 0..BY_PRESSURE {
            let middle = log_low + half * (2 * piece + 1) as f64;
            let mut values = [f64x4::ZERO; TERMS];
            for (slot, node) in values.iter_mut().zip(nodes) {
                let log_p = middle + half * node;
                let part = (log_p - log_low) / (log_high - log_low);
                let start = 1.0 / (1.0 / self.low + part * (1.0 / self.high - 1.0 / self.low));
                let Some(t) = self.newton(libm::exp(log_p), start, 12) else { return };
                *slot = f64x4::splat(t);
            }
            pieces.push(monomials(&coefficients(&values, nodes)).map(|lanes| lanes.to_array()[0]));
        }
        self.by_pressure = pieces;
        (self.p_low, self.p_high, self.log_p_low) = (p_low, p_high, log_low);
        self.pieces_per_log_p = 0.5 / half;
    }

    /// Newton on the logarithm of the pressure along the curve.
    fn newton(&self, p: f64, start: f64, steps: usize) -> Option<f64> {
        let mut t = start;
        for _ in 0..steps {
            let (here, slope) = self.at(t)?.pressure();
            t = (t - libm::log(here / p) * here / slope).clamp(self.low, self.high);
        }
        Some(t)
    }

    /// The place of a temperature; none outside the curves.
    #[inline]
    pub(crate) fn at(&self, t: f64) -> Option<Place<'_>> {
        if !(t >= self.low && t <= self.high) {
            return None;
        }
        let x = (1.0 - t / self.top).sqrt();
        let cell = (((x - self.x_low) * self.cells_per_x) as usize).min(CELLS - 1);
        let segment = self.segments.get(usize::from((*self.cells.get(cell)?)?))?;
        let slope = -segment.scale / (2.0 * x * self.top);
        Some(Place { t, s: (x - segment.middle) * segment.scale, slope, segment })
    }

    /// Saturation between the curves' end and the top of the dome, by Newton from there.
    pub(crate) fn beyond(&self, eos: &Eos, t: f64) -> Option<SatPoint> {
        if !(t > self.high && t < self.top) {
            return None;
        }
        let found = scaled(eos, &self.last()?, self.top, (1.0 - t / self.top).sqrt())?;
        Some(SatPoint { t, ..found })
    }

    /// Saturation at the highest temperature of the curves.
    pub(crate) fn last(&self) -> Option<SatPoint> {
        self.at(self.high).map(|place| place.saturation())
    }

    /// The place of a pressure; none outside the curves.
    pub(crate) fn at_pressure(&self, p: f64) -> Option<Place<'_>> {
        if !(p >= self.p_low && p <= self.p_high) {
            return None;
        }
        let along = (libm::log(p) - self.log_p_low) * self.pieces_per_log_p;
        let piece = (along as usize).min(BY_PRESSURE - 1);
        let s = 2.0 * (along - piece as f64) - 1.0;
        let t = self.by_pressure.get(piece)?.iter().rev().fold(0.0, |sum, c| sum * s + c);
        let (here, slope) = self.at(t.clamp(self.low, self.high))?.pressure();
        self.at((t - (here - p) / slope).clamp(self.low, self.high))
    }

    /// The lowest pressure, Pa.
    pub(crate) const fn lowest_pressure(&self) -> f64 {
        self.p_low
    }

    /// The highest pressure, Pa.
    pub(crate) const fn highest_pressure(&self) -> f64 {
        self.p_high
    }

    /// The highest temperature, K.
    pub(crate) const fn highest(&self) -> f64 {
        self.high
    }

    /// Memory, bytes.
    pub(crate) fn bytes(&self) -> usize {
        size_of::<Self>()
            + size_of_val(self.cells.as_slice())
            + size_of_val(self.segments.as_slice())
            + size_of_val(self.by_pressure.as_slice())
    }

    /// How many full solves they took.
    pub(crate) const fn solves(&self) -> usize {
        self.solves
    }
}

/// Solves one point after the other.
struct Builder<'a> {
    eos: &'a Eos,
    nodes: [f64; TERMS],
    last: Option<SatPoint>,
}

impl Builder<'_> {
    /// By Newton alone: where that fails, the curves end.
    fn solve(&mut self, top: f64, x: f64) -> Option<SatPoint> {
        let t = top * (1.0 - x * x);
        let near = self.last.filter(|_| x < 0.3).and_then(|last| scaled(self.eos, &last, top, x));
        let rough = || self.eos.newton(t, self.eos.start_liquid(t), self.eos.start_vapour(t));
        self.last = near.or_else(rough);
        self.last
    }
}

/// Newton from a point nearby: close to the top the difference of the densities goes with x, and their mean hardly moves.
fn scaled(eos: &Eos, from: &SatPoint, top: f64, x: f64) -> Option<SatPoint> {
    let mean = 0.5 * (from.liquid + from.vapour);
    let apart = 0.5 * (from.liquid - from.vapour) * x / (1.0 - from.t / top).sqrt();
    let vapour = mean - apart;
    if vapour > 0.2 * from.vapour { eos.newton(top * (1.0 - x * x), mean + apart, vapour) } else { None }
}

impl Place<'_> {
    /// Pressure and its slope by temperature.
    fn pressure(&self) -> (f64, f64) {
        let [p, _, _, slope] = value(&self.segment.a, self.s).to_array();
        (p, slope)
    }
}

/// Where the equation's own dome closes: the square of the difference of the densities falls nearly straight to zero there. The published
/// critical temperature where that can't be seen.
fn top_of_dome(eos: &Eos) -> f64 {
    let published = eos.data.critical_temperature;
    let seen = [4e-4, 8e-4, 16e-4].map(|below| {
        let t = published * (1.0 - below);
        eos.solve_saturation(t).ok().map(|sat| (t, (sat.liquid - sat.vapour) * (sat.liquid - sat.vapour)))
    });
    let [Some((t1, y1)), Some((t2, y2)), Some((t3, y3))] = seen else { return published };
    // The parabola through the three, T over the square, at zero.
    let top = t1 * y2 * y3 / ((y1 - y2) * (y1 - y3))
        + t2 * y1 * y3 / ((y2 - y1) * (y2 - y3))
        + t3 * y1 * y2 / ((y3 - y1) * (y3 - y2));
    if (top / published - 1.0).abs() < 2e-4 { top } else { published }
}

fn values(eos: &Eos, sat: &SatPoint) -> (f64x4, f64x4) {
    let (l, v) = (eos.props(sat.t, sat.liquid), eos.props(sat.t, sat.vapour));
    let volume = (1.0 / sat.vapour - 1.0 / sat.liquid) / eos.data.molar_mass;
    let slope = (v.h - l.h) / (sat.t * volume);
    (f64x4::new([sat.p, sat.liquid, sat.vapour, slope]), f64x4::new([l.h, v.h, l.s, v.s]))
}
