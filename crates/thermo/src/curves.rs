//! Saturation curves of a pure fluid: piecewise polynomials through full solves, so that saturation costs next to nothing.
//!
//! Over `x = sqrt(1 - T/T*)`, with T* where the equation's own dome closes, pressure, densities and energies of both phases are smooth right up
//! to the critical point. Each piece goes through the full solve's answers at Chebyshev nodes, as I. H. Bell and B. K. Alpert do it for other
//! equations (Int. J. Thermophys. 42 (2021) 75, cited from memory); a piece whose last coefficients don't
//! fade is halved. Curves are made whole, from the equation alone, when first needed: what was asked before changes no bit.

use wide::f64x4;

use crate::eos::Eos;
use crate::pieces::{TERMS, coefficients, monomials, nodes, value, with_slope};
use crate::saturation::SatPoint;

/// Cells of the finest halving.
const CELLS: usize = 256;
/// The first pieces.
const FIRST: usize = 4;
/// Coefficients over the pressure, where shorter pieces make a quicker answer.
const SHORT: usize = 10;
/// A piece is halved while its last coefficients are above this part of its values.
const FADED: f64 = 3e-13;
/// A piece as small as a cell serves if its last coefficients are below this part; else the full solve answers there.
const GOOD_ENOUGH: f64 = 1e-10;
/// How far beyond the ends of a cell a density still counts as near the dome, as a part.
const ROOM: f64 = 1e-4;
/// This close to the top of the dome, as a part of the temperature, the full solve itself gets too rough for a curve.
const NEAR_THE_TOP: f64 = 1e-5;

#[derive(Clone, Debug)]
struct Segment<const N: usize> {
    middle: f64,
    /// One over half the width.
    scale: f64,
    /// Pressure, density of liquid and vapour, slope of the pressure by temperature; over the pressure: temperature, densities.
    a: [f64x4; N],
    /// Enthalpy of liquid and vapour, entropy of liquid and vapour.
    b: [f64x4; N],
}

/// Segments over cells, all of one width or not.
#[derive(Clone, Debug)]
struct Cover<const N: usize> {
    /// The segment of each cell; none where the full solve must answer.
    cells: Vec<Option<u16>>,
    segments: Vec<Segment<N>>,
}

/// What segments go through: both groups at a coordinate.
type Through<'a> = &'a mut dyn FnMut(f64) -> Option<[f64x4; 2]>;

/// How a cover is made.
struct Fit<'a> {
    /// The coordinate at the beginning of a cell.
    edge: &'a dyn Fn(usize) -> f64,
    /// Sizes beside which the last coefficients of the first group are small.
    sizes: fn(f64x4) -> f64x4,
    at: Through<'a>,
}

/// Cells of one width over the root of the distance from the top.
#[derive(Clone, Debug)]
struct Line {
    low: f64,
    cells_per_x: f64,
    cover: Cover<TERMS>,
}

/// The curves of one fluid.
#[derive(Clone, Debug)]
pub(crate) struct Curves {
    /// Where the dome closes, K and Pa.
    top: f64,
    p_top: f64,
    /// The range of the curves, K and Pa.
    low: f64,
    high: f64,
    p_low: f64,
    p_high: f64,
    by_temperature: Line,
    /// The thinnest vapour and the densest liquid of cells of temperatures of one width, mol/m³.
    bounds: Vec<[f64; 2]>,
    bounds_per_kelvin: f64,
    by_pressure: Octaves,
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
    segment: &'a Segment<TERMS>,
}

/// A place on the curves by its pressure.
#[derive(Clone, Copy)]
pub(crate) struct PlaceAtPressure<'a> {
    p: f64,
    s: f64,
    segment: &'a Segment<SHORT>,
}

/// One phase at saturation, J/kg and J/(kg K).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub(crate) h: f64,
    pub(crate) s: f64,
}

/// Energies of both phases at saturation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edges {
    pub(crate) liquid: Edge,
    pub(crate) vapour: Edge,
}

impl Edges {
    fn of([h_l, h_v, s_l, s_v]: [f64; 4]) -> Self {
        Self { liquid: Edge { h: h_l, s: s_l }, vapour: Edge { h: h_v, s: s_v } }
    }
}

impl PlaceAtPressure<'_> {
    pub(crate) fn saturation(&self) -> SatPoint {
        let [t, liquid, vapour, _] = value(&self.segment.a, self.s).to_array();
        SatPoint { t, p: self.p, liquid, vapour }
    }

    pub(crate) fn edges(&self) -> Edges {
        Edges::of(value(&self.segment.b, self.s).to_array())
    }
}

impl Place<'_> {
    pub(crate) fn saturation(&self) -> SatPoint {
        let [p, liquid, vapour, _] = value(&self.segment.a, self.s).to_array();
        SatPoint { t: self.t, p, liquid, vapour }
    }

    pub(crate) fn edges(&self) -> Edges {
        Edges::of(value(&self.segment.b, self.s).to_array())
    }

    /// Enthalpy (or entropy) of the liquid and its slope by temperature along the curve.
    pub(crate) fn liquid_energy(&self, entropy: bool) -> (f64, f64) {
        let (value, slope) = with_slope(&self.segment.b, self.s);
        let at = if entropy { 2 } else { 0 };
        (value.to_array()[at], slope.to_array()[at] * self.slope)
    }

    /// The two phases at a molar density inside the dome: energy in J/kg and its slope by temperature at constant density. None outside.
    pub(crate) fn energy_inside(&self, molar: f64, molar_mass: f64) -> Option<(f64, f64)> {
        let [_, liquid, vapour, _] = value(&self.segment.a, self.s).to_array();
        (molar > vapour && molar < liquid).then(|| self.energy_of_both(molar, molar_mass))
    }

    /// The same without asking whether the density lies inside: carried on smoothly where it does not.
    pub(crate) fn energy_of_both(&self, molar: f64, molar_mass: f64) -> (f64, f64) {
        let (a, a_s) = with_slope(&self.segment.a, self.s);
        let [p, liquid, _, p_t] = a.to_array();
        let [_, liquid_t, _, p_tt] = (a_s * self.slope).to_array();
        let (b, b_s) = with_slope(&self.segment.b, self.s);
        let (h, h_t) = (b.to_array()[0], b_s.to_array()[0] * self.slope);
        // Along the curve (u'' - u')/(v'' - v') = T dp/dT - p, so u = u' + (v - v') (T dp/dT - p).
        let (v, v_t) = (1.0 / (liquid * molar_mass), -liquid_t / (liquid * liquid * molar_mass));
        let rise = self.t * p_t - p;
        let more = 1.0 / (molar * molar_mass) - v;
        let u = h - p * v + more * rise;
        let u_t = h_t - p_t * v - p * v_t - v_t * rise + more * self.t * p_tt;
        (u, u_t)
    }
}

impl<const N: usize> Cover<N> {
    const fn nothing() -> Self {
        Self { cells: Vec::new(), segments: Vec::new() }
    }

    /// Each of the first ranges of cells, the far end first.
    fn new(first: &[core::ops::Range<usize>], fit: &mut Fit<'_>) -> Self {
        let cells = first.iter().map(|range| range.end).max().unwrap_or(0);
        let mut cover = Self { cells: vec![None; cells], segments: Vec::new() };
        for range in first.iter().rev() {
            cover.fit(fit, range.start, range.len(), f64::INFINITY);
        }
        cover.segments.shrink_to_fit();
        cover
    }

    /// A segment over some cells, or two over the halves; `before` is how large the last coefficients were over twice the width.
    fn fit(&mut self, fit: &mut Fit<'_>, cell: usize, count: usize, before: f64) {
        let (low, high) = ((fit.edge)(cell), (fit.edge)(cell + count));
        if low >= high {
            return;
        }
        let half = 0.5 * (high - low);
        let found = Segment::through(fit, low + half, half);
        let rest = found.as_ref().map_or(f64::INFINITY, |(_, rest)| *rest);
        // Where halving no longer helps, what is left is the last places of the full solve.
        let fading = found.is_none() || (rest > FADED && rest < 0.05 * before) || rest > GOOD_ENOUGH;
        if fading && count > 1 {
            self.fit(fit, cell + count / 2, count / 2, rest);
            self.fit(fit, cell, count / 2, rest);
            return;
        }
        let Some((segment, _)) = found.filter(|_| rest < GOOD_ENOUGH) else { return };
        let id = u16::try_from(self.segments.len()).ok();
        self.segments.push(segment);
        for slot in self.cells.iter_mut().skip(cell).take(count) {
            *slot = id;
        }
    }

    #[inline(always)]
    fn at(&self, cell: usize) -> Option<&Segment<N>> {
        self.segments.get(usize::from((*self.cells.get(cell)?)?))
    }

    fn bytes(&self) -> usize {
        size_of_val(self.cells.as_slice()) + size_of_val(self.segments.as_slice())
    }
}

impl Line {
    /// From `low` to `high`, from the far end on.
    fn new(low: f64, high: f64, sizes: fn(f64x4) -> f64x4, at: Through<'_>) -> Self {
        let cells_per_x = CELLS as f64 / (high - low);
        let edge = |cell: usize| low + cell as f64 / cells_per_x;
        let width = CELLS / FIRST;
        let first: [_; FIRST] = core::array::from_fn(|part| part * width..(part + 1) * width);
        let cover = Cover::new(&first, &mut Fit { edge: &edge, sizes, at });
        Self { low, cells_per_x, cover }
    }

    #[inline(always)]
    fn cell(&self, x: f64) -> usize {
        (((x - self.low) * self.cells_per_x) as usize).min(CELLS - 1)
    }

    #[inline(always)]
    fn at(&self, x: f64) -> Option<&Segment<TERMS>> {
        self.cover.at(self.cell(x))
    }
}

impl<const N: usize> Segment<N> {
    /// A segment through what there is at the nodes, and how large its last coefficients are.
    fn through(fit: &mut Fit<'_>, middle: f64, half: f64) -> Option<(Self, f64)> {
        let (mut a, mut b) = ([f64x4::ZERO; N], [f64x4::ZERO; N]);
        let nodes = nodes();
        for ((a, b), node) in a.iter_mut().zip(&mut b).zip(&nodes) {
            [*a, *b] = (fit.at)(middle + half * node)?;
        }
        let (a, b) = (coefficients(&a, &nodes), coefficients(&b, &nodes));
        // The zeros of energies are anywhere.
        let energy = f64x4::new([1e5, 1e5, 1e3, 1e3]);
        let rest = |piece: &[f64x4; N], size: f64x4| {
            let last = (piece[N - 1].abs() + piece[N - 2].abs()) / size;
            last.to_array().into_iter().fold(0.0, f64::max)
        };
        let rest = rest(&a, (fit.sizes)(a[0].abs())).max(rest(&b, energy));
        Some((Self { middle, scale: 1.0 / half, a: monomials(&a), b: monomials(&b) }, rest))
    }
}

/// Cells over the pressure in halvings of it, counted down from the top and straight within each: what takes no logarithm. The segments run over
/// the root of that count, in which everything is smooth within a halving, right up to the top.
#[derive(Clone, Debug)]
struct Octaves {
    /// One over the pressure at the top, 1/Pa.
    per_top: f64,
    cover: Cover<SHORT>,
}

/// Cells of one halving of the pressure.
const PER_OCTAVE: usize = 256;
/// The bits of one, and how much they count for a halving.
const ONE: u64 = 1023 << 52;
const HALVING: f64 = 4_503_599_627_370_496.0;

impl Octaves {
    fn new(p_top: f64, p_low: f64, p_high: f64, at: Through<'_>) -> Self {
        let per_top = 1.0 / p_top;
        let (shallow, deep) = (Self::depth(p_high * per_top), Self::depth(p_low * per_top));
        let edge = |cell: usize| (cell as f64 / PER_OCTAVE as f64).clamp(shallow, deep).sqrt();
        let count = deep as usize + 1;
        let first: Vec<_> = (0..count).map(|octave| octave * PER_OCTAVE..(octave + 1) * PER_OCTAVE).collect();
        let mut through = |x: f64| at((p_top * Self::part(x * x)).clamp(p_low, p_high));
        let mut fit = Fit { edge: &edge, sizes: sizes_by_pressure, at: &mut through };
        Self { per_top, cover: Cover::new(&first, &mut fit) }
    }

    /// How many halvings a part of the top's pressure lies below it: the exponent, and the mantissa between.
    #[inline(always)]
    fn depth(part: f64) -> f64 {
        ONE.wrapping_sub(part.to_bits()).cast_signed() as f64 * (1.0 / HALVING)
    }

    /// The part of the top's pressure at a depth.
    fn part(depth: f64) -> f64 {
        f64::from_bits(ONE - libm::round(depth * HALVING) as u64)
    }

    /// The coordinate of a pressure, and its segment.
    #[inline(always)]
    fn at(&self, p: f64) -> Option<(f64, &Segment<SHORT>)> {
        let depth = Self::depth(p * self.per_top);
        Some((depth.sqrt(), self.cover.at((depth * PER_OCTAVE as f64) as usize)?))
    }
}

/// Newton needs the slope of the pressure less exactly.
fn sizes_by_temperature(a: f64x4) -> f64x4 {
    a * f64x4::new([1.0, 1.0, 1.0, 100.0])
}

fn sizes_by_pressure(a: f64x4) -> f64x4 {
    a + f64x4::new([0.0, 0.0, 0.0, 1.0])
}

impl Curves {
    /// From full solves; none where the equation gives no dome to speak of.
    pub(crate) fn new(eos: &Eos) -> Option<Self> {
        let top = top_of_dome(eos);
        let low = eos.data.min_temperature;
        let high = top.min(eos.top.temperature) * (1.0 - NEAR_THE_TOP);
        let x = |t: f64| (1.0 - t / top).sqrt();
        let mut solves = 0;
        // From the cold end up, so that each solve starts from the one before.
        let mut builder = Builder { eos, last: None };
        let by_temperature = Line::new(x(high), x(low), sizes_by_temperature, &mut |x| {
            solves += 1;
            Some(values(eos, &builder.solve(top, x)?))
        });
        let by_pressure = Octaves { per_top: 0.0, cover: Cover::nothing() };
        let mut curves = Self {
            top,
            p_top: 0.0,
            low,
            high,
            p_low: 0.0,
            p_high: 0.0,
            by_temperature,
            bounds: Vec::new(),
            bounds_per_kelvin: 0.0,
            by_pressure,
            solves,
        };
        curves.keep_what_is_joined()?;
        curves.fit_by_pressure();
        curves.bound();
        Some(curves)
    }

    /// The curves reach from the cold end to the first gap.
    fn keep_what_is_joined(&mut self) -> Option<()> {
        let line = &self.by_temperature;
        let joined = line.cover.cells.iter().rev().take_while(|cell| cell.is_some()).count();
        if joined < CELLS {
            let x = line.low + (CELLS - joined) as f64 / line.cells_per_x * (1.0 + 1e-9);
            self.high = self.top * (1.0 - x * x);
        }
        (joined > 0).then_some(())
    }

    /// From both ends of each cell, with room for what a curve does in between: water is densest at 4 °C.
    fn bound(&mut self) {
        self.bounds_per_kelvin = CELLS as f64 / (self.high - self.low);
        let at = |cell: usize| {
            let t = self.low + cell as f64 / self.bounds_per_kelvin;
            let sat = self.at(t.min(self.high)).map(|place| place.saturation());
            sat.map_or((f64::INFINITY, 0.0), |sat| (sat.liquid, sat.vapour))
        };
        let bound = |cell: usize| {
            let (one, other) = (at(cell), at(cell + 1));
            [one.1.min(other.1) * (1.0 - ROOM), one.0.max(other.0) * (1.0 + ROOM)]
        };
        self.bounds = (0..CELLS).map(bound).collect();
    }

    /// Whether a density is far from the dome at a temperature on the curves.
    #[inline]
    pub(crate) fn far_from_dome(&self, t: f64, molar: f64) -> bool {
        if !(t >= self.low && t <= self.high) {
            return false;
        }
        let cell = ((t - self.low) * self.bounds_per_kelvin) as usize;
        self.bounds.get(cell.min(CELLS - 1)).is_some_and(|[thin, dense]| molar < *thin || molar > *dense)
    }

    /// The same over the pressure, from the curves themselves.
    fn fit_by_pressure(&mut self) {
        let ends = [self.low, self.high].map(|t| self.at(t).map(|place| place.pressure()));
        let [Some((p_low, _)), Some((p_high, slope))] = ends else { return };
        self.p_top = p_high + slope * (self.top - self.high);
        let line = Octaves::new(self.p_top, p_low, p_high, &mut |p| {
            let t = self.newton(p)?;
            let place = self.at(t)?;
            let [_, liquid, vapour, _] = value(&place.segment.a, place.s).to_array();
            Some([f64x4::new([t, liquid, vapour, 0.0]), value(&place.segment.b, place.s)])
        });
        self.by_pressure = line;
        (self.p_low, self.p_high) = (p_low, p_high);
    }

    /// Newton on the logarithm of the pressure along the curve.
    fn newton(&self, p: f64) -> Option<f64> {
        let part = libm::log(p / self.p_top) / libm::log(self.lowest()? / self.p_top);
        let mut t = 1.0 / (1.0 / self.top + part * (1.0 / self.low - 1.0 / self.top));
        for _ in 0..30 {
            let (here, slope) = self.at(t.clamp(self.low, self.high))?.pressure();
            let step = libm::log(here / p) * here / slope;
            t = (t - step).clamp(self.low, self.high);
            if step.abs() < 1e-15 * t {
                break;
            }
        }
        Some(t)
    }

    fn lowest(&self) -> Option<f64> {
        self.at(self.low).map(|place| place.pressure().0)
    }

    /// The place of a temperature; none outside the curves.
    #[inline]
    pub(crate) fn at(&self, t: f64) -> Option<Place<'_>> {
        if !(t >= self.low && t <= self.high) {
            return None;
        }
        let x = (1.0 - t / self.top).sqrt();
        let segment = self.by_temperature.at(x)?;
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
    #[inline]
    pub(crate) fn at_pressure(&self, p: f64) -> Option<PlaceAtPressure<'_>> {
        if !(p >= self.p_low && p <= self.p_high) {
            return None;
        }
        let (x, segment) = self.by_pressure.at(p)?;
        Some(PlaceAtPressure { p, s: (x - segment.middle) * segment.scale, segment })
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
            + self.by_temperature.cover.bytes()
            + self.by_pressure.cover.bytes()
            + size_of_val(self.bounds.as_slice())
    }

    /// How many full solves they took.
    pub(crate) const fn solves(&self) -> usize {
        self.solves
    }
}

/// Solves one point after the other.
struct Builder<'a> {
    eos: &'a Eos,
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
    let published = eos.top.temperature;
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

fn values(eos: &Eos, sat: &SatPoint) -> [f64x4; 2] {
    let (l, v) = (eos.props(sat.t, sat.liquid), eos.props(sat.t, sat.vapour));
    let volume = (1.0 / sat.vapour - 1.0 / sat.liquid) / eos.data.molar_mass;
    let slope = (v.h - l.h) / (sat.t * volume);
    [f64x4::new([sat.p, sat.liquid, sat.vapour, slope]), f64x4::new([l.h, v.h, l.s, v.s])]
}
