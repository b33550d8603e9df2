//! How a table is made: the plane is laid out along the saturation curve and covered with patches through a model.

use wide::{f64x2, f64x4};

use super::source::{Both, Range, Source};
use super::{
    ACROSS, ALONG, CUTS, Detail, EDGE_TERMS, EDGES, Edge, Patch, Region, SIDE, Segment, Spacing, finest,
};
use crate::pieces::{coefficients, coefficients_of_surface, monomials, nodes, powers_of_surface};

/// What a patch must reach at its test points: of the temperature, of the pressure, and of the density that a pressure stands for.
const TEMPERATURE: f64 = 2e-7;
const PRESSURE: f64 = 1e-6;
const DENSITY: f64 = 2e-7;
/// The same of the densities of both phases, of their enthalpies, J/kg, and of the entropy, J/(kg K).
const DENSITIES: f64 = 2e-6;
const ENTHALPIES: f64 = 1.0;
const ENTROPY: f64 = 5e-3;
/// The least way from the bottom of one phase to its top, J/kg.
const NARROWEST: f64 = 10e3;
/// Densities further apart than this, as a ratio, get two segments.
const WIDE: f64 = 300.0;
/// Where a patch is tried, between its nodes.
const TESTS: [f64; 4] = [-0.99, -0.45, 0.13, 0.86];

/// A node or test point.
#[derive(Clone, Copy)]
struct Spot {
    t: f64,
    over: f64,
    /// Slope of pressure over density by the logarithm of the density; none in two phases.
    stiffness: f64,
    entropy: f64,
    phases: [f64; 4],
}

/// Makes the segments of a table.
pub(super) struct Maker<'a, S> {
    source: &'a S,
    range: &'a Range,
}

impl<'a, S: Source> Maker<'a, S> {
    pub(super) fn new(source: &'a S) -> Self {
        Self { source, range: source.range() }
    }

    /// All segments, from the thinnest on; none where the edges can't be had.
    pub(super) fn segments(&self) -> Option<Vec<Segment>> {
        self.breaks().windows(2).map(|ends| self.segment(ends[0], ends[1])).collect()
    }

    /// Where segments meet: at the kinks of their edges.
    fn breaks(&self) -> Vec<f64> {
        let Range { vapour, liquid, critical, densest, bounded, .. } = *self.range;
        let mut all = vec![0.0, vapour, critical, bounded, liquid, densest];
        // One more where a cold vapour is thin by far.
        all.extend((critical > WIDE * vapour).then(|| (vapour * critical).sqrt()));
        all.sort_by(f64::total_cmp);
        all
    }

    fn inside(&self, rho: f64) -> bool {
        rho > self.range.vapour && rho < self.range.liquid
    }

    /// Bottom of one phase, top of one phase, bottom of two phases, J/kg; temperature at the bottom of one phase.
    fn edges(&self, rho: f64) -> Option<[f64; 4]> {
        let energy = |t: f64| self.source.single(t, rho).u;
        let high = if rho > self.range.bounded * (1.0 + 1e-12) { self.hottest(rho) } else { self.range.hot };
        // Where pressure bounds it there would be nothing between the top and the bottom in the end.
        let Range { bounded, densest, .. } = *self.range;
        let top = energy(high) + NARROWEST * ((rho - bounded) / (densest - bounded)).max(0.0);
        if !self.inside(rho) {
            return Some([energy(self.range.cold), top, 0.0, self.range.cold]);
        }
        let t = self.source.saturated(rho)?;
        Some([energy(t), top, self.source.coldest(rho)?, t])
    }

    /// The temperature at which a dense fluid reaches the highest pressure.
    fn hottest(&self, rho: f64) -> f64 {
        let (mut low, mut high) = (self.range.cold, self.range.hot);
        for _ in 0..50 {
            let half = 0.5 * (low + high);
            if self.source.single(half, rho).p < self.range.most { low = half } else { high = half }
        }
        0.5 * (low + high)
    }

    fn segment(&self, low: f64, high: f64) -> Option<Segment> {
        let at = nodes();
        let spacing = Spacing::new(low, high);
        let half = 0.5 / EDGES as f64;
        let mut edges = Vec::with_capacity(EDGES);
        for piece in 0..EDGES {
            let middle = half * (2 * piece + 1) as f64;
            let (mut single, mut double) = ([f64x2::ZERO; EDGE_TERMS], [f64x2::ZERO; EDGE_TERMS]);
            for ((single, double), node) in single.iter_mut().zip(&mut double).zip(&at) {
                let [bottom, top, floor, start] = self.edges(spacing.density(middle + half * node))?;
                (*single, *double) = (f64x2::new([bottom, 1.0 / (top - bottom)]), f64x2::new([floor, start]));
            }
            let powers = |values| monomials(&coefficients(values, &at));
            edges.push(Edge { single: powers(&single), double: powers(&double) });
        }
        let mut segment = Segment { spacing, edges, single: Region::default(), double: None };
        segment.single = self.region(&segment, false);
        let middle = spacing.density(0.5);
        segment.double = self.inside(middle).then(|| self.region(&segment, true));
        Some(segment)
    }

    fn region(&self, segment: &Segment, double: bool) -> Region {
        let mut region = Region {
            cells: vec![[0; finest(ACROSS)]; finest(ALONG)],
            patches: Vec::new(),
            details: Vec::new(),
        };
        for along in 0..ALONG {
            for across in 0..ACROSS {
                let size = [1.0 / ALONG as f64, 1.0 / ACROSS as f64];
                let corner = [along as f64 * size[0], across as f64 * size[1]];
                self.cut(segment, double, (corner, size), CUTS, &mut region);
            }
        }
        region
    }

    /// A patch, or four where one is not good enough.
    fn cut(
        &self,
        segment: &Segment,
        double: bool,
        (corner, size): ([f64; 2], [f64; 2]),
        cuts: u32,
        region: &mut Region,
    ) {
        let half = size.map(|size| 0.5 * size);
        let middle = [corner[0] + half[0], corner[1] + half[1]];
        if let Some((patch, detail)) = self.patch(segment, double, middle, half) {
            region.keep(patch, detail, corner, size);
        } else if cuts > 0 {
            for (a, b) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)] {
                let corner = [corner[0] + a * half[0], corner[1] + b * half[1]];
                self.cut(segment, double, (corner, half), cuts - 1, region);
            }
        }
    }

    /// Through the model at the nodes; none where the test points are off.
    fn patch(
        &self,
        segment: &Segment,
        double: bool,
        middle: [f64; 2],
        half: [f64; 2],
    ) -> Option<(Patch, Detail)> {
        let at: [f64; SIDE] = nodes();
        let mut start = 0.0;
        let mut states = [[f64x2::ZERO; SIDE]; SIDE];
        let mut entropies = [[0.0; SIDE]; SIDE];
        let mut phases = [[f64x4::ZERO; SIDE]; SIDE];
        for (b, y) in at.iter().enumerate() {
            for (a, x) in at.iter().enumerate() {
                let place = [middle[0] + half[0] * x, middle[1] + half[1] * y];
                let spot = self.solve(segment, double, place, start)?;
                states[b][a] = f64x2::new([spot.t, spot.over]);
                entropies[b][a] = spot.entropy;
                phases[b][a] = f64x4::new(spot.phases);
                start = spot.t;
            }
        }
        let patch = Patch {
            middle,
            scale: half.map(|half| 1.0 / half),
            terms: powers_of_surface(&coefficients_of_surface(&states)),
        };
        let detail = Detail {
            entropy: powers_of_surface(&coefficients_of_surface(&entropies)),
            phases: double.then(|| Box::new(powers_of_surface(&coefficients_of_surface(&phases)))),
        };
        for x in TESTS {
            for y in TESTS {
                let place = [middle[0] + half[0] * x, middle[1] + half[1] * y];
                if !self.fine(segment, &patch, &detail, place)? {
                    return None;
                }
            }
        }
        Some((patch, detail))
    }

    /// Whether a patch is good enough at a place.
    fn fine(&self, segment: &Segment, patch: &Patch, detail: &Detail, place: [f64; 2]) -> Option<bool> {
        let [x, y] = patch.local(place[0], place[1]);
        let [t, over] = patch.at(x, y).to_array();
        let spot = self.solve(segment, detail.phases.is_some(), place, t)?;
        // A stiff liquid's pressure is known as well as its density.
        let allowed = PRESSURE * spot.over.abs() + DENSITY * spot.stiffness;
        if (t / spot.t - 1.0).abs() > TEMPERATURE || (over - spot.over).abs() > allowed {
            return Some(false);
        }
        let (entropy, phases) = detail.at(x, y);
        let scale = if detail.phases.is_some() {
            [DENSITIES * spot.phases[0], DENSITIES * spot.phases[1], ENTHALPIES, ENTHALPIES]
        } else {
            [1.0; 4]
        };
        let close = |k: usize| (phases[k] - spot.phases[k]).abs() <= scale[k];
        Some((entropy - spot.entropy).abs() <= ENTROPY && (0..4).all(close))
    }

    /// Everything at a place of a segment, by the model.
    fn solve(&self, segment: &Segment, double: bool, [a, b]: [f64; 2], start: f64) -> Option<Spot> {
        let [bottom, top, floor, saturated] = segment.edges_at(a);
        let rho = segment.spacing.density(a);
        let u = if double { bottom - b * (bottom - floor) } else { bottom + b * (top - bottom) };
        let far = if double { self.range.cold } else { self.range.hot };
        let start = if start > 0.0 { start } else { saturated + b * (far - saturated) };
        if double {
            let Both { t, p, s, densities: [liquid, vapour], enthalpies: [h_l, h_v] } =
                self.source.both(rho, u, start)?;
            return Some(Spot {
                t,
                over: p / rho,
                stiffness: 0.0,
                entropy: s,
                phases: [liquid, vapour / p, h_l, h_v],
            });
        }
        self.one_phase(rho, u, start)
    }

    /// Newton in the temperature at constant density. Each side of the saturation curve is carried on smoothly past it, as far as Newton needs.
    fn one_phase(&self, rho: f64, u: f64, start: f64) -> Option<Spot> {
        let (low, high) = (0.5 * self.range.cold, 1.5 * self.range.hot);
        let mut t = start;
        for _ in 0..40 {
            let here = self.source.single(t, rho);
            let step = (u - here.u) / here.cv.max(1.0);
            if step.abs() < 1e-6 * t {
                // What is left after the step is smaller by its square.
                let p = here.p + here.dp_dt * step;
                let entropy = here.s + here.cv / t * step + self.source.gas_constant() * libm::log(rho);
                let spot =
                    Spot { t: t + step, over: p / rho, stiffness: here.dp_drho, entropy, phases: [0.0; 4] };
                return (here.dp_drho > 0.0).then_some(spot);
            }
            t = (t + step).clamp(low, high);
        }
        None
    }
}
