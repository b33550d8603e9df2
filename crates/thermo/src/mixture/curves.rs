//! The bubble and dew lines of a catalogued blend as piecewise polynomials through full solves.
//!
//! As the curves of pure fluids: over `x = sqrt(1 - T/T*)`, with T* where the line ends (the critical point for the bubble line, the highest
//! temperature of two phases for the dew line), halved until the last coefficients fade. Made whole from the model alone.

use wide::f64x4;

use super::equilibrium::{Phases, Spec, sum};
use super::helmholtz::{Model, Vector};
use super::{Limits, Mixture};
use crate::pieces::{Piece, TERMS, coefficients, monomials, nodes, value, with_slope};

/// Cells of the finest halving.
const CELLS: usize = 64;
/// The first pieces.
const FIRST: usize = 2;
/// A piece is halved while its last coefficients are above this part of its values, and serves below the other.
const FADED: f64 = 3e-12;
const GOOD_ENOUGH: f64 = 1e-10;
/// This close to the end of a line, as a part of the temperature, the full solve answers.
const NEAR_THE_TOP: f64 = 2e-3;
/// The lines begin at this part of the critical temperature.
const COLD: f64 = 0.5;

/// Pressure and densities of both phases, and the mole fractions of the phase that forms.
const GROUPS: usize = 3;

#[derive(Clone, Debug)]
struct Segment {
    middle: f64,
    scale: f64,
    groups: [Piece; GROUPS],
}

/// One line.
#[derive(Clone, Debug)]
struct Line {
    /// 0 for bubble points, 1 for dew points.
    q: f64,
    top: f64,
    low: f64,
    high: f64,
    x_low: f64,
    cells_per_x: f64,
    cells: Vec<Option<u16>>,
    segments: Vec<Segment>,
    /// Pressures at the edges of the cells, from the cold end up.
    edges: Vec<f64>,
}

/// Both lines of a blend.
#[derive(Clone, Debug)]
pub(crate) struct MixtureCurves {
    bubble: Line,
    dew: Line,
}

impl MixtureCurves {
    pub(crate) fn new(mixture: &Mixture, limits: &Limits) -> Option<Self> {
        let line = |q, top: f64| Line::new(&mixture.model, &mixture.z, q, top);
        Some(Self { bubble: line(0.0, limits.critical.0)?, dew: line(1.0, limits.hottest)? })
    }

    fn line(&self, q: f64) -> &Line {
        if q <= 0.0 { &self.bubble } else { &self.dew }
    }

    /// Bubble point (`q` 0) or dew point (`q` 1) at a temperature; none outside the curves.
    pub(crate) fn at(&self, n: usize, z: &Vector, t: f64, q: f64) -> Option<Phases> {
        self.line(q).at(t).map(|place| place.phases(n, z))
    }

    /// The same at a pressure.
    pub(crate) fn at_pressure(&self, n: usize, z: &Vector, p: f64, q: f64) -> Option<Phases> {
        self.line(q).at_pressure(p).map(|place| place.phases(n, z))
    }

    /// The lowest and the highest temperature of a line.
    pub(crate) fn reach(&self, q: f64) -> (f64, f64) {
        (self.line(q).low, self.line(q).high)
    }

    /// Pressure and molar density of the phase that is there.
    pub(crate) fn edge(&self, t: f64, q: f64) -> Option<(f64, f64)> {
        self.line(q).at(t).map(|place| {
            let [p, bulk, ..] = value(&place.segment.groups[0], place.s).to_array();
            (p, bulk)
        })
    }

    /// Memory, bytes.
    pub(crate) fn bytes(&self) -> usize {
        let line = |line: &Line| {
            size_of_val(line.cells.as_slice())
                + size_of_val(line.segments.as_slice())
                + size_of_val(line.edges.as_slice())
        };
        size_of::<Self>() + line(&self.bubble) + line(&self.dew)
    }
}

/// A place on a line.
struct Place<'a> {
    q: f64,
    t: f64,
    s: f64,
    slope: f64,
    segment: &'a Segment,
}

impl Place<'_> {
    fn phases(&self, n: usize, z: &Vector) -> Phases {
        let [p, bulk, formed, _] = value(&self.segment.groups[0], self.s).to_array();
        let mut x = Vector::default();
        for (slot, group) in x.chunks_mut(4).zip(&self.segment.groups[1..]).take(n.div_ceil(4)) {
            slot.copy_from_slice(&value(group, self.s).to_array());
        }
        let (there, forms) = (z.map(|z| z * bulk), x.map(|x| x * formed));
        let (liquid, vapour) = if self.q <= 0.0 { (there, forms) } else { (forms, there) };
        Phases { t: self.t, p, liquid, vapour, q: self.q }
    }

    /// Pressure and its slope by temperature.
    fn pressure(&self) -> (f64, f64) {
        let (value, slope) = with_slope(&self.segment.groups[0], self.s);
        (value.to_array()[0], slope.to_array()[0] * self.slope)
    }
}

impl Line {
    fn new(model: &Model, z: &Vector, q: f64, top: f64) -> Option<Self> {
        let (low, high) = (COLD * top, top * (1.0 - NEAR_THE_TOP));
        let x = |t: f64| (1.0 - t / top).sqrt();
        let (x_low, x_high) = (x(high), x(low));
        let mut line = Self {
            q,
            top,
            low,
            high,
            x_low,
            cells_per_x: CELLS as f64 / (x_high - x_low),
            cells: vec![None; CELLS],
            segments: Vec::new(),
            edges: Vec::new(),
        };
        let mut builder = Builder { model, z, q, nodes: nodes(), last: None };
        let first = CELLS / FIRST;
        // From the cold end up, so that each solve starts from the one before.
        for at in (0..FIRST).rev() {
            line.fit(&mut builder, at * first, first);
        }
        let joined = line.cells.iter().rev().take_while(|cell| cell.is_some()).count();
        if joined == 0 {
            return None;
        }
        if joined < CELLS {
            let x = x_low + (CELLS - joined) as f64 / line.cells_per_x * (1.0 + 1e-9);
            line.high = top * (1.0 - x * x);
        }
        line.edges = line.pressures(joined);
        Some(line)
    }

    /// Pressures at the edges of the cells as far as they rise.
    fn pressures(&self, joined: usize) -> Vec<f64> {
        let mut edges: Vec<f64> = Vec::with_capacity(joined + 1);
        for n in 0..=joined {
            let x = self.x_low + (CELLS - n) as f64 / self.cells_per_x;
            let t = (self.top * (1.0 - x * x)).clamp(self.low, self.high);
            match self.at(t).map(|place| place.pressure()) {
                Some((p, slope)) if slope > 0.0 && edges.last().is_none_or(|last| p > *last) => edges.push(p),
                _ => break,
            }
        }
        edges
    }

    fn fit(&mut self, builder: &mut Builder<'_>, cell: usize, count: usize) {
        let half = 0.5 * count as f64 / self.cells_per_x;
        let middle = self.x_low + cell as f64 / self.cells_per_x + half;
        let found = builder.through(self.top, middle, half);
        let rest = found.as_ref().map_or(f64::INFINITY, |(_, rest)| *rest);
        if rest > FADED && count > 1 {
            self.fit(builder, cell + count / 2, count / 2);
            self.fit(builder, cell, count / 2);
            return;
        }
        let Some((groups, _)) = found.filter(|_| rest < GOOD_ENOUGH) else { return };
        let id = u16::try_from(self.segments.len()).ok();
        self.segments.push(Segment { middle, scale: 1.0 / half, groups });
        for slot in self.cells.iter_mut().skip(cell).take(count) {
            *slot = id;
        }
    }

    fn at(&self, t: f64) -> Option<Place<'_>> {
        if !(t >= self.low && t <= self.high) {
            return None;
        }
        let x = (1.0 - t / self.top).sqrt();
        let cell = (((x - self.x_low) * self.cells_per_x) as usize).min(CELLS - 1);
        let segment = self.segments.get(usize::from((*self.cells.get(cell)?)?))?;
        let slope = -segment.scale / (2.0 * x * self.top);
        Some(Place { q: self.q, t, s: (x - segment.middle) * segment.scale, slope, segment })
    }

    fn at_pressure(&self, p: f64) -> Option<Place<'_>> {
        let n = self.edges.partition_point(|edge| *edge <= p);
        let (below, above) = (*self.edges.get(n.checked_sub(1)?)?, *self.edges.get(n)?);
        let t_of = |n: usize| {
            let x = self.x_low + (CELLS - n) as f64 / self.cells_per_x;
            self.top * (1.0 - x * x)
        };
        let (t_below, t_above) = (t_of(n - 1), t_of(n));
        // In 1/T the logarithm of the pressure is nearly straight.
        let part = libm::log(p / below) / libm::log(above / below);
        let mut t = 1.0 / (1.0 / t_below + part * (1.0 / t_above - 1.0 / t_below));
        for _ in 0..3 {
            let (here, slope) = self.at(t)?.pressure();
            t = (t - libm::log(here / p) * here / slope).clamp(self.low, self.high);
        }
        let place = self.at(t)?;
        ((place.pressure().0 / p - 1.0).abs() < 1e-12).then_some(place)
    }
}

/// Solves one point after the other.
struct Builder<'a> {
    model: &'a Model,
    z: &'a Vector,
    q: f64,
    nodes: [f64; TERMS],
    last: Option<Phases>,
}

impl Builder<'_> {
    /// Pieces through full solves, and how large their last coefficients are.
    fn through(&mut self, top: f64, middle: f64, half: f64) -> Option<([Piece; GROUPS], f64)> {
        let mut values = [[f64x4::ZERO; TERMS]; GROUPS];
        let nodes = self.nodes;
        for (at, node) in nodes.iter().enumerate() {
            let x = middle + half * node;
            let found = self.solve(top * (1.0 - x * x))?;
            for (group, lanes) in values.iter_mut().zip(self.lanes(&found)) {
                group[at] = lanes;
            }
        }
        let chebyshev = values.map(|group| coefficients(&group, &nodes));
        let mut rest = 0.0f64;
        for (at, group) in chebyshev.iter().enumerate() {
            let last = group[TERMS - 1].abs() + group[TERMS - 2].abs();
            let sizes = if at == 0 { group[0].abs() } else { f64x4::splat(1.0) };
            let parts = (last / sizes.max(f64x4::splat(1e-300))).to_array();
            rest = parts.into_iter().fold(rest, f64::max);
        }
        Some((chebyshev.map(|group| monomials(&group)), rest))
    }

    fn lanes(&self, found: &Phases) -> [f64x4; GROUPS] {
        let n = self.model.len();
        let (there, forms) =
            if self.q <= 0.0 { (&found.liquid, &found.vapour) } else { (&found.vapour, &found.liquid) };
        let (bulk, formed) = (sum(n, there), sum(n, forms));
        let part = |from: usize| f64x4::new(core::array::from_fn(|i| forms[from + i] / formed));
        [f64x4::new([found.p, bulk, formed, 1.0]), part(0), part(4)]
    }

    fn solve(&mut self, t: f64) -> Option<Phases> {
        let specs = [Spec::Temperature(t), Spec::Quality(self.q)];
        let near = self.last.filter(|last| (last.t / t - 1.0).abs() < 0.1);
        let warm = near.and_then(|last| self.model.two_phases(self.z, specs, last));
        self.last = warm.or_else(|| self.model.saturated_at(t, self.z, self.q));
        self.last
    }
}
