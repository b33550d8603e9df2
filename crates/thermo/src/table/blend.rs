//! A mixture behind a table: one phase by the full model; two phases by a dome.
//!
//! Two phases of a mixture take many solves of many equations each, too many for thousands of nodes. So the dome is fitted first, over
//! temperature and vapour fraction, where everything is smooth and few solves do; the nodes of the table are then found in the fit.

use wide::f64x4;

use super::source::{Both, Range, Single, Source, limits};
use crate::Mixture;
use crate::envelope::Rim;
use crate::mixture::curves::MixtureCurves;
use crate::mixture::equilibrium::{Phases, Spec, fractions, sum};
use crate::mixture::helmholtz::GAS_CONSTANT;
use crate::pieces::{coefficients_of_surface, nodes, powers_of_surface, surface_with_slopes};

/// Nodes of a panel in each direction.
const SIDE: usize = 8;
/// Panels before cutting, over the temperature and over the vapour fraction, and how often one may be halved in each direction.
const PANELS: [usize; 2] = [4, 1];
const CUTS: [u32; 2] = [3, 6];
/// The dome is fitted up to this part of the critical temperature.
const TOP: f64 = 0.985;
/// A panel serves if its last coefficients are below this part of its values.
const FADED: f64 = 3e-8;

/// A mixture at its own composition.
pub(super) struct BlendSource<'a> {
    mixture: &'a Mixture,
    curves: &'a MixtureCurves,
    rim: Rim<'a>,
    range: Range,
    dome: Dome,
}

impl<'a> BlendSource<'a> {
    /// `curves` are the mixture's bubble and dew line. None where those don't reach far enough.
    pub(super) fn new(mixture: &'a Mixture, curves: &'a MixtureCurves) -> Option<Self> {
        let (lowest, highest) = mixture.temperature_range();
        let limit = mixture.critical_temperature().as_k();
        let lowest = lowest.as_k().max(curves.reach(0.0).0).max(curves.reach(1.0).0);
        let (cold, hot, most) = limits(lowest, limit, highest.as_k(), mixture.highest_pressure().as_pa());
        let molar = mixture.molar_mass_kg_per_mol();
        let edge = |q| curves.edge(cold, q).map(|(_, rho)| rho * molar);
        let (liquid, vapour) = (edge(0.0)?, edge(1.0)?);
        let (_, _, critical) = mixture.critical();
        let range = Range {
            cold,
            hot,
            most,
            vapour,
            liquid,
            critical: critical * molar,
            densest: mixture.liquid_density_raw(cold, most, liquid)?,
            bounded: mixture.dense_raw(hot, most)?,
        };
        let rim = Rim::new(&mixture.model, &mixture.z, mixture.point.0)?;
        let dome = Dome::new(mixture, curves, cold, TOP * limit);
        Some(Self { mixture, curves, rim, range, dome })
    }

    /// The end of the bubble line (`q` 0) or dew line: temperature and density.
    fn last(&self, q: f64) -> Option<(f64, f64)> {
        let (_, high) = self.curves.reach(q);
        let (_, rho) = self.curves.edge(high, q)?;
        Some((high, rho * self.mixture.molar_mass_kg_per_mol()))
    }
}

impl Source for BlendSource<'_> {
    fn range(&self) -> &Range {
        &self.range
    }

    fn single(&self, t: f64, rho: f64) -> Single {
        self.mixture.single_raw(t, rho)
    }

    fn saturated(&self, rho: f64) -> Option<f64> {
        let molar = rho / self.mixture.molar_mass_kg_per_mol();
        let (bubble, dew) = (self.last(0.0)?, self.last(1.0)?);
        let (q, end) = if rho >= bubble.1 {
            (0.0, bubble.0)
        } else if rho <= dew.1 {
            (1.0, dew.0)
        } else {
            return self.rim.temperature(molar);
        };
        let (mut low, mut high) = (self.range.cold, end);
        for _ in 0..60 {
            let half = 0.5 * (low + high);
            let (_, there) = self.curves.edge(half, q)?;
            if (there > molar) == (q < 0.5) { low = half } else { high = half }
        }
        Some(0.5 * (low + high))
    }

    fn coldest(&self, rho: f64) -> Option<f64> {
        // The volume rises nearly straight with the vapour fraction.
        let mut q = 0.5;
        for _ in 0..30 {
            let spot = self.dome.at(self.range.cold, q)?;
            let step = (spot.volume() - 1.0 / rho) / spot.slopes(&spot.by_q, 1.0).0;
            q = (q - step).clamp(-0.01, 1.01);
            if step.abs() * rho < 1e-13 * rho.max(1.0) {
                break;
            }
        }
        self.dome.at(self.range.cold, q).map(|spot| spot.energy())
    }

    fn both(&self, rho: f64, u: f64, start: f64) -> Option<Both> {
        self.dome.find(rho, u, start)
    }

    fn gas_constant(&self) -> f64 {
        GAS_CONSTANT / self.mixture.molar_mass_kg_per_mol()
    }
}

/// Everything in two phases over the root of the distance from the critical temperature and the molar vapour fraction.
struct Dome {
    critical: f64,
    cold: f64,
    top: f64,
    x_low: f64,
    per_x: f64,
    cells: Vec<u16>,
    panels: Vec<Panel>,
}

/// Powers of the first coordinate within powers of the second, of two groups: densities and enthalpies of liquid and vapour; pressure, mass of
/// a mole of vapour as a part of that of a mole of all, entropies of liquid and vapour.
struct Panel {
    middle: [f64; 2],
    scale: [f64; 2],
    groups: [[[f64x4; SIDE]; SIDE]; 2],
}

/// A place in the dome: both groups, and their slopes by temperature and vapour fraction.
struct Spot {
    t: f64,
    q: f64,
    values: [[f64; 4]; 2],
    by_t: [[f64; 4]; 2],
    by_q: [[f64; 4]; 2],
}

impl Spot {
    /// The part of the mass that is vapour.
    fn part(&self) -> f64 {
        self.q * self.values[1][1]
    }

    fn volume(&self) -> f64 {
        let [liquid, vapour, ..] = self.values[0];
        let w = self.part();
        (1.0 - w) / liquid + w / vapour
    }

    fn energy(&self) -> f64 {
        let [_, _, h_l, h_v] = self.values[0];
        let w = self.part();
        (1.0 - w) * h_l + w * h_v - self.values[1][0] * self.volume()
    }

    /// Slopes of volume and energy by a coordinate in which the groups and the vapour fraction have the given ones.
    fn slopes(&self, by: &[[f64; 4]; 2], q_slope: f64) -> (f64, f64) {
        let [liquid, vapour, h_l, h_v] = self.values[0];
        let [by_liquid, by_vapour, by_h_l, by_h_v] = by[0];
        let w = self.part();
        let by_w = q_slope * self.values[1][1] + self.q * by[1][1];
        let volume = -(1.0 - w) * by_liquid / (liquid * liquid) - w * by_vapour / (vapour * vapour)
            + by_w * (1.0 / vapour - 1.0 / liquid);
        let enthalpy = (1.0 - w) * by_h_l + w * by_h_v + by_w * (h_v - h_l);
        (volume, enthalpy - by[1][0] * self.volume() - self.values[1][0] * volume)
    }
}

const FINEST: [usize; 2] = [PANELS[0] << CUTS[0], PANELS[1] << CUTS[1]];

impl Dome {
    fn new(mixture: &Mixture, curves: &MixtureCurves, cold: f64, top: f64) -> Self {
        let critical = mixture.critical_temperature().as_k();
        let x = |t: f64| (1.0 - t / critical).sqrt();
        let (x_low, x_high) = (x(top), x(cold));
        let mut dome = Self {
            critical,
            cold,
            top,
            x_low,
            per_x: 1.0 / (x_high - x_low),
            cells: vec![0; FINEST[0] * FINEST[1]],
            panels: Vec::new(),
        };
        let mut maker = DomeMaker { mixture, curves, last: None };
        for along in 0..PANELS[0] {
            for across in 0..PANELS[1] {
                let size = PANELS.map(|count| 1.0 / count as f64);
                dome.cut(&mut maker, [along as f64 * size[0], across as f64 * size[1]], size, CUTS);
            }
        }
        dome
    }

    fn temperature(&self, along: f64) -> f64 {
        let x = self.x_low + along / self.per_x;
        self.critical * (1.0 - x * x)
    }

    /// A panel, or two where one is not good enough.
    fn cut(&mut self, maker: &mut DomeMaker<'_>, corner: [f64; 2], size: [f64; 2], cuts: [u32; 2]) {
        let half = size.map(|size| 0.5 * size);
        let middle = [corner[0] + half[0], corner[1] + half[1]];
        let found = maker.panel(self, middle, half);
        // Where a solve fails it is near the critical temperature.
        let rest = found.as_ref().map_or([f64::INFINITY, 0.0], |(_, rest)| *rest);
        if let Some((panel, _)) = found.filter(|_| rest[0] < FADED && rest[1] < FADED) {
            self.keep(panel, corner, size);
            return;
        }
        let along = usize::from(rest[1] > rest[0]);
        if cuts[along] == 0 {
            return;
        }
        let (mut size, mut cuts, mut next) = (size, cuts, corner);
        size[along] = half[along];
        cuts[along] -= 1;
        next[along] = middle[along];
        self.cut(maker, corner, size, cuts);
        self.cut(maker, next, size, cuts);
    }

    fn keep(&mut self, panel: Panel, corner: [f64; 2], size: [f64; 2]) {
        self.panels.push(panel);
        let Ok(id) = u16::try_from(self.panels.len()) else { return };
        let range = |at: usize| {
            let cell = |part: f64| libm::round(part * FINEST[at] as f64) as usize;
            cell(corner[at])..cell(corner[at] + size[at])
        };
        for a in range(0) {
            for b in range(1) {
                if let Some(slot) = self.cells.get_mut(a * FINEST[1] + b) {
                    *slot = id;
                }
            }
        }
    }

    /// Everything at a temperature and a vapour fraction; both may lie a little outside.
    fn at(&self, t: f64, q: f64) -> Option<Spot> {
        let x = (1.0 - t / self.critical).sqrt();
        let a = (x - self.x_low) * self.per_x;
        let cell = |part: f64, at: usize| ((part.max(0.0) * FINEST[at] as f64) as usize).min(FINEST[at] - 1);
        let id = *self.cells.get(cell(a, 0) * FINEST[1] + cell(q, 1))?;
        let panel = self.panels.get(usize::from(id).checked_sub(1)?)?;
        let by_x = -1.0 / (2.0 * x * self.critical) * self.per_x * panel.scale[0];
        let (x, y) = ((a - panel.middle[0]) * panel.scale[0], (q - panel.middle[1]) * panel.scale[1]);
        let mut spot = Spot { t, q, values: [[0.0; 4]; 2], by_t: [[0.0; 4]; 2], by_q: [[0.0; 4]; 2] };
        for (k, group) in panel.groups.iter().enumerate() {
            let [value, dx, dy] = surface_with_slopes(group, x, y);
            spot.values[k] = value.to_array();
            spot.by_t[k] = (dx * by_x).to_array();
            spot.by_q[k] = (dy * panel.scale[1]).to_array();
        }
        Some(spot)
    }

    /// Newton in temperature and vapour fraction.
    fn find(&self, rho: f64, u: f64, start: f64) -> Option<Both> {
        let mut t = start.clamp(self.cold, self.top);
        let v = 1.0 / rho;
        let first = self.at(t, 0.5)?;
        let [liquid, vapour, ..] = first.values[0];
        let mut q = ((v - 1.0 / liquid) / (1.0 / vapour - 1.0 / liquid) / first.values[1][1]).clamp(0.0, 1.0);
        for _ in 0..30 {
            let spot = self.at(t, q)?;
            let (gap_v, gap_u) = (spot.volume() - v, spot.energy() - u);
            let (v_t, u_t) = spot.slopes(&spot.by_t, 0.0);
            let (v_q, u_q) = spot.slopes(&spot.by_q, 1.0);
            let det = v_t * u_q - v_q * u_t;
            let dt = ((gap_u * v_q - gap_v * u_q) / det).clamp(-20.0, 20.0);
            let dq = (gap_v * u_t - gap_u * v_t) / det;
            if !(dt.is_finite() && dq.is_finite()) {
                return None;
            }
            let settled = dt.abs() < 1e-8 * t && (dq * v_q).abs() < 1e-8 * v;
            let next = ((t + dt).clamp(self.cold - 1.0, self.top + 0.01), (q + dq).clamp(-0.01, 1.01));
            if settled {
                return (next.0 <= self.top)
                    .then(|| self.at(next.0, next.1))
                    .flatten()
                    .map(|spot| spot.both());
            }
            (t, q) = next;
        }
        None
    }
}

impl Spot {
    fn both(&self) -> Both {
        let [liquid, vapour, h_l, h_v] = self.values[0];
        let [p, _, s_l, s_v] = self.values[1];
        let w = self.part();
        Both { t: self.t, p, s: s_l + w * (s_v - s_l), densities: [liquid, vapour], enthalpies: [h_l, h_v] }
    }
}

/// Solves one place after the other.
struct DomeMaker<'a> {
    mixture: &'a Mixture,
    curves: &'a MixtureCurves,
    last: Option<Phases>,
}

impl DomeMaker<'_> {
    /// A panel, and how large its last coefficients are in both directions.
    fn panel(&mut self, dome: &Dome, middle: [f64; 2], half: [f64; 2]) -> Option<(Panel, [f64; 2])> {
        let at: [f64; SIDE] = nodes();
        let mut groups = [[[f64x4::ZERO; SIDE]; SIDE]; 2];
        for (a, x) in at.iter().enumerate() {
            let t = dome.temperature(middle[0] + half[0] * x);
            for (b, y) in at.iter().enumerate() {
                let found = self.solve(t, middle[1] + half[1] * y)?;
                [groups[0][b][a], groups[1][b][a]] = self.lanes(&found);
            }
        }
        let groups = groups.map(|group| coefficients_of_surface(&group));
        let sizes = |group: usize| {
            let [a, b, ..] = groups[group][0][0].abs().to_array();
            if group == 0 { f64x4::new([a, b, 1e5, 1e5]) } else { f64x4::new([a, b, 1e3, 1e3]) }
        };
        let mut rest = [0.0f64; 2];
        for (group, terms) in groups.iter().enumerate() {
            for (b, row) in terms.iter().enumerate() {
                for (a, term) in row.iter().enumerate() {
                    let part = (term.abs() / sizes(group)).to_array().into_iter().fold(0.0, f64::max);
                    if a == SIDE - 1 {
                        rest[0] = rest[0].max(part);
                    }
                    if b == SIDE - 1 {
                        rest[1] = rest[1].max(part);
                    }
                }
            }
        }
        let groups = groups.map(|group| powers_of_surface(&group));
        Some((Panel { middle, scale: half.map(|half| 1.0 / half), groups }, rest))
    }

    fn lanes(&self, found: &Phases) -> [f64x4; 2] {
        let mixture = self.mixture;
        let n = mixture.components().len();
        let shift = mixture.shift_by_mass();
        let side = |densities| {
            let (x, rho) = (fractions(n, densities), sum(n, densities));
            let bulk = mixture.model.bulk(found.t, rho, &x, mixture.model.reduced_point(&x));
            let masses = mixture.components().iter().map(|fluid| fluid.molar_mass_kg_per_mol());
            let molar: f64 = masses.zip(&x).map(|(molar, x)| molar * x).sum();
            (rho * molar, bulk.h / molar + shift.0, bulk.s / molar + shift.1, molar)
        };
        let (l, v) = (side(&found.liquid), side(&found.vapour));
        let part = v.3 / mixture.molar_mass_kg_per_mol();
        [f64x4::new([l.0, v.0, l.1, v.1]), f64x4::new([found.p, part, l.2, v.2])]
    }

    fn solve(&mut self, t: f64, q: f64) -> Option<Phases> {
        let mixture = self.mixture;
        let specs = [Spec::Temperature(t), Spec::Quality(q)];
        let near = self.last.filter(|last| (last.t / t - 1.0).abs() < 0.02);
        let warm = near.and_then(|last| mixture.model.two_phases(&mixture.z, specs, last));
        self.last = warm.or_else(|| {
            let n = mixture.components().len();
            let (bubble, dew) =
                (self.curves.at(n, &mixture.z, t, 0.0)?, self.curves.at(n, &mixture.z, t, 1.0)?);
            mixture.model.two_phases(&mixture.z, specs, mixture.between(&bubble, &dew, q))
        });
        self.last
    }
}
