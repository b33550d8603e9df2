//! Temperature and pressure of a pure fluid by density and internal energy from tables, for simulation.
//!
//! Mass and energy are what a simulation carries from step to step, so density and energy are what a table is asked by: they are kept exactly,
//! and only temperature and pressure are interpolated. The plane is cut at the saturation curve and laid out along it: over the logarithm of the
//! density, and over the part of the way from the saturation curve up to the hottest state (one phase) or down to the coldest (two phases), so
//! that no patch crosses a kink. Each patch is a polynomial through the full model at 6 by 6 Chebyshev nodes; a patch that is not good enough
//! is cut in four; where the smallest is not, and outside the table, the full model answers.
//!
//! Bounds, tested at a million random states: temperature within 3e-6 of itself; pressure within 1e-5 of itself, or within what 1e-6 of the density
//! makes of it, which in a stiff liquid is more.

use wide::{f64x2, f64x4};

use crate::eos::Eos;
use crate::lanes::{Lanes, ln};
use crate::pieces::{coefficients, monomials, nodes, value};
use crate::{Error, Fluid};

/// Nodes of a patch in each direction.
const SIDE: usize = 6;
/// Patches of a region before cutting, and how often one may be cut.
const ALONG: usize = 8;
const ACROSS: usize = 4;
const CUTS: u32 = 4;
/// Pieces of the edges of a segment.
const EDGES: usize = 32;
const EDGE_TERMS: usize = 8;
/// What a patch must reach at its test points: of the temperature, of the pressure, and of the density that a pressure stands for.
const TEMPERATURE: f64 = 2e-7;
const PRESSURE: f64 = 1e-6;
const DENSITY: f64 = 2e-7;
/// The range: temperatures as parts of the critical one, but up to so many kelvin at least; pressures from 1 kPa (at the hottest) to 30 MPa.
const COLD: f64 = 0.55;
const HOT: f64 = 1.35;
const HOT_AT_LEAST: f64 = 470.0;
const THIN: f64 = 1e3;
const DENSE: f64 = 30e6;

/// Temperature and pressure at a density and an energy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableState {
    /// Temperature, K.
    pub kelvin: f64,
    /// Absolute pressure, Pa.
    pub pascal: f64,
    /// Whether there are two phases.
    pub two_phase: bool,
}

/// Tables of one fluid.
///
/// ```
/// use stemwise_thermo::{Fluid, StateTable};
/// let fluid = Fluid::named("R-134a")?;
/// let table = StateTable::new(fluid).unwrap();
/// let state = table.state(50.0, 380e3)?;
/// assert!(state.two_phase && table.bytes() < 8 << 20);
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
#[derive(Debug)]
pub struct StateTable {
    fluid: &'static Fluid,
    segments: Vec<Segment>,
}

/// A range of densities.
#[derive(Debug)]
struct Segment {
    /// Logarithms of the densities, kg/m³.
    low: f64,
    high: f64,
    pieces_per_log: f64,
    /// Energies at the edges: bottom of one phase, top of one phase, bottom of two phases.
    edges: Vec<[f64x4; EDGE_TERMS]>,
    single: Region,
    double: Option<Region>,
}

/// The plane of one kind of states in a segment; coordinates from 0 to 1.
#[derive(Debug, Default)]
struct Region {
    /// The patch of each smallest cell; 0: none, otherwise one more than its place.
    cells: Vec<u16>,
    patches: Vec<Patch>,
}

#[derive(Debug)]
struct Patch {
    /// Middle and one over half the width, in both coordinates.
    middle: [f64; 2],
    scale: [f64; 2],
    /// Temperature, and pressure over density: powers of the first coordinate within powers of the second.
    terms: [[f64x2; SIDE]; SIDE],
}

const fn finest(count: usize) -> usize {
    count << CUTS
}

impl Region {
    fn at(&self, a: f64, b: f64) -> Option<(f64, f64)> {
        let cell = |part: f64, count: usize| ((part * finest(count) as f64) as usize).min(finest(count) - 1);
        let id = *self.cells.get(cell(a, ALONG) * finest(ACROSS) + cell(b, ACROSS))?;
        let patch = self.patches.get(usize::from(id).checked_sub(1)?)?;
        let x = (a - patch.middle[0]) * patch.scale[0];
        let y = f64x2::splat((b - patch.middle[1]) * patch.scale[1]);
        let x = f64x2::splat(x);
        let row = |row: &[f64x2; SIDE]| row.iter().rev().fold(f64x2::ZERO, |sum, term| sum * x + *term);
        let [t, p_over_rho] =
            patch.terms.iter().rev().fold(f64x2::ZERO, |sum, terms| sum * y + row(terms)).to_array();
        Some((t, p_over_rho))
    }
}

impl Segment {
    /// Energies at the edges at a logarithm of the density.
    fn edges_at(&self, log: f64) -> Option<[f64; 3]> {
        let along = (log - self.low) * self.pieces_per_log;
        let piece = (along as usize).min(EDGES - 1);
        let s = 2.0 * (along - piece as f64) - 1.0;
        let [bottom, top, floor, _] = value(self.edges.get(piece)?, s).to_array();
        Some([bottom, top, floor])
    }

    fn at(&self, log: f64, u: f64) -> Option<(f64, f64, bool)> {
        let [bottom, top, floor] = self.edges_at(log)?;
        let a = (log - self.low) * self.pieces_per_log / EDGES as f64;
        let (region, b) = if u >= bottom {
            (&self.single, (u - bottom) / (top - bottom))
        } else {
            (self.double.as_ref()?, (bottom - u) / (bottom - floor))
        };
        if !(0.0..=1.0).contains(&b) {
            return None;
        }
        region.at(a, b).map(|(t, over)| (t, over, u < bottom))
    }
}

impl StateTable {
    /// Makes the tables from the full model; none for a fluid without saturation curves.
    pub fn new(fluid: &'static Fluid) -> Option<Self> {
        let maker = Maker::new(fluid.eos())?;
        let segments =
            maker.breaks().windows(2).map(|ends| maker.segment(ends[0], ends[1])).collect::<Option<_>>()?;
        Some(Self { fluid, segments })
    }

    /// From the tables alone: density in kg/m³, energy in J/kg. None outside them and where they are not good enough.
    pub fn look_up(&self, density: f64, energy: f64) -> Option<TableState> {
        if !(1e-9..1e9).contains(&density) {
            return None;
        }
        let [log, _] = ln(Lanes::splat(density)).to_array();
        let segment = self.segments.iter().find(|segment| log >= segment.low && log <= segment.high)?;
        let (kelvin, over, two_phase) = segment.at(log, energy)?;
        Some(TableState { kelvin, pascal: over * density, two_phase })
    }

    /// From the tables, or else by the full model.
    ///
    /// # Errors
    /// As [`Fluid::state`].
    pub fn state(&self, density: f64, energy: f64) -> Result<TableState, Error> {
        if let Some(found) = self.look_up(density, energy) {
            return Ok(found);
        }
        let raw = self.fluid.eos().at_rho_u(density, energy)?;
        Ok(TableState { kelvin: raw.t, pascal: raw.p, two_phase: raw.q.is_some() })
    }

    /// How many patches there are.
    pub fn patches(&self) -> usize {
        let count = |region: &Region| region.patches.len();
        self.segments
            .iter()
            .map(|segment| count(&segment.single) + segment.double.as_ref().map_or(0, count))
            .sum()
    }

    /// Memory, bytes.
    pub fn bytes(&self) -> usize {
        let region =
            |region: &Region| size_of_val(region.cells.as_slice()) + size_of_val(region.patches.as_slice());
        let segment = |segment: &Segment| {
            size_of::<Segment>()
                + size_of_val(segment.edges.as_slice())
                + region(&segment.single)
                + segment.double.as_ref().map_or(0, region)
        };
        size_of::<Self>() + self.segments.iter().map(segment).sum::<usize>()
    }
}

/// What tables are made from.
struct Maker<'a> {
    eos: &'a Eos,
    cold: f64,
    hot: f64,
    /// Densities of vapour and liquid at the cold end, critical density, kg/m³.
    vapour: f64,
    liquid: f64,
    critical: f64,
    /// The coldest liquid's density at the highest pressure, and the density from which on the highest pressure bounds the top.
    densest: f64,
    bounded: f64,
    thinnest: f64,
}

impl<'a> Maker<'a> {
    fn new(eos: &'a Eos) -> Option<Self> {
        let data = &eos.data;
        let molar = data.molar_mass;
        let cold = data.min_temperature.max(COLD * data.critical_temperature) * (1.0 + 1e-9);
        let hot = (HOT * data.critical_temperature)
            .max(HOT_AT_LEAST)
            .min(1.5 * data.max_temperature * (1.0 - 1e-9));
        let most = DENSE.min(2.0 * data.max_pressure) * (1.0 - 1e-9);
        let sat = eos.saturation(cold).ok()?;
        let last = eos.curves()?.last()?;
        let density = |t: f64| eos.bracketed_density(t, most, 0.0, eos.densest).map(|rho| rho * molar);
        let densest = eos.density_from(cold, most, sat.liquid, eos.densest, sat.liquid)? * molar;
        Some(Self {
            eos,
            cold,
            hot,
            vapour: sat.vapour * molar,
            liquid: sat.liquid * molar,
            critical: 0.5 * (last.liquid + last.vapour) * molar,
            densest,
            bounded: density(hot)?,
            thinnest: THIN * molar / (data.gas_constant * hot),
        })
    }

    /// Where segments meet, in the logarithm of the density: at the kinks of their edges.
    fn breaks(&self) -> Vec<f64> {
        let all = [self.thinnest, self.vapour, self.critical, self.bounded, self.liquid, self.densest];
        let mut logs: Vec<f64> = all.into_iter().map(libm::log).collect();
        logs.sort_by(f64::total_cmp);
        logs
    }

    fn molar(&self, log: f64) -> f64 {
        libm::exp(log) / self.eos.data.molar_mass
    }

    /// Bottom of one phase, top of one phase, bottom of two phases, J/kg.
    fn edges(&self, log: f64) -> Option<[f64; 3]> {
        let molar = self.molar(log);
        let rho = libm::exp(log);
        let energy = |t: f64| self.eos.props(t, molar).u;
        let top =
            if rho > self.bounded * (1.0 + 1e-12) { energy(self.hottest(molar)?) } else { energy(self.hot) };
        if rho <= self.vapour || rho >= self.liquid {
            return Some([energy(self.cold), top, 0.0]);
        }
        let sat = self.eos.saturation(self.cold).ok()?;
        let (l, v) = (self.eos.props(sat.t, sat.liquid).u, self.eos.props(sat.t, sat.vapour).u);
        let x = (1.0 / molar - 1.0 / sat.liquid) / (1.0 / sat.vapour - 1.0 / sat.liquid);
        Some([energy(self.saturated(molar)?), top, l + x * (v - l)])
    }

    /// The temperature at which a density is that of a saturated phase.
    fn saturated(&self, molar: f64) -> Option<f64> {
        let liquid = molar * self.eos.data.molar_mass > self.critical;
        let last = self.eos.curves()?.last()?;
        let (mut low, mut high) = (self.cold, last.t);
        for _ in 0..60 {
            let half = 0.5 * (low + high);
            let sat = self.eos.saturation(half).ok()?;
            let colder = if liquid { sat.liquid > molar } else { sat.vapour < molar };
            if colder { low = half } else { high = half }
        }
        Some(0.5 * (low + high))
    }

    /// The temperature at which a dense fluid reaches the highest pressure.
    fn hottest(&self, molar: f64) -> Option<f64> {
        let most = DENSE.min(2.0 * self.eos.data.max_pressure) * (1.0 - 1e-9);
        let (mut low, mut high) = (self.cold, self.hot);
        for _ in 0..60 {
            let half = 0.5 * (low + high);
            if self.eos.pressure(half, molar).0 < most { low = half } else { high = half }
        }
        Some(0.5 * (low + high))
    }

    fn segment(&self, low: f64, high: f64) -> Option<Segment> {
        let at = nodes();
        let half = 0.5 * (high - low) / EDGES as f64;
        let mut edges = Vec::with_capacity(EDGES);
        for piece in 0..EDGES {
            let middle = low + half * (2 * piece + 1) as f64;
            let mut values = [f64x4::ZERO; EDGE_TERMS];
            for (slot, node) in values.iter_mut().zip(&at) {
                let [bottom, top, floor] = self.edges(middle + half * node)?;
                *slot = f64x4::new([bottom, top, floor, 0.0]);
            }
            edges.push(monomials(&coefficients(&values, &at)));
        }
        let mut segment =
            Segment { low, high, pieces_per_log: 0.5 / half, edges, single: Region::default(), double: None };
        let rho = libm::exp(0.5 * (low + high));
        segment.single = self.region(&segment, false);
        segment.double = (rho > self.vapour && rho < self.liquid).then(|| self.region(&segment, true));
        Some(segment)
    }

    fn region(&self, segment: &Segment, double: bool) -> Region {
        let mut region = Region { cells: vec![0; finest(ALONG) * finest(ACROSS)], patches: Vec::new() };
        for along in 0..ALONG {
            for across in 0..ACROSS {
                let size = [1.0 / ALONG as f64, 1.0 / ACROSS as f64];
                let corner = [along as f64 * size[0], across as f64 * size[1]];
                self.cut(segment, double, corner, size, CUTS, &mut region);
            }
        }
        region
    }

    /// A patch, or four where one is not good enough.
    fn cut(
        &self,
        segment: &Segment,
        double: bool,
        corner: [f64; 2],
        size: [f64; 2],
        cuts: u32,
        region: &mut Region,
    ) {
        let half = size.map(|size| 0.5 * size);
        let middle = [corner[0] + half[0], corner[1] + half[1]];
        if let Some(patch) = self.patch(segment, double, middle, half) {
            region.patches.push(patch);
            let Ok(id) = u16::try_from(region.patches.len()) else { return };
            let range = |at: usize, count: usize| {
                let cells = finest(count) as f64;
                let cell = |part: f64| libm::round(part * cells) as usize;
                cell(corner[at])..cell(corner[at] + size[at])
            };
            for a in range(0, ALONG) {
                for b in range(1, ACROSS) {
                    if let Some(slot) = region.cells.get_mut(a * finest(ACROSS) + b) {
                        *slot = id;
                    }
                }
            }
        } else if cuts > 0 {
            for (a, b) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)] {
                let corner = [corner[0] + a * half[0], corner[1] + b * half[1]];
                self.cut(segment, double, corner, half, cuts - 1, region);
            }
        }
    }

    /// Through the full model at the nodes; none where the test points are off.
    fn patch(&self, segment: &Segment, double: bool, middle: [f64; 2], half: [f64; 2]) -> Option<Patch> {
        let at: [f64; SIDE] = nodes();
        let mut start = 0.0;
        let mut values = [[f64x2::ZERO; SIDE]; SIDE];
        for (b, row) in at.iter().zip(&mut values) {
            for (a, slot) in at.iter().zip(row) {
                let (t, over, _) =
                    self.solve(segment, double, middle[0] + half[0] * a, middle[1] + half[1] * b, start)?;
                *slot = f64x2::new([t, over]);
                start = t;
            }
        }
        let rows = values.map(|row| powers(&row));
        let columns: [[f64x2; SIDE]; SIDE] =
            core::array::from_fn(|a| powers(&core::array::from_fn(|b| rows[b][a])));
        let terms = core::array::from_fn(|b| core::array::from_fn(|a| columns[a][b]));
        let patch = Patch { middle, scale: half.map(|half| 1.0 / half), terms };
        let region = Region { cells: vec![1; finest(ALONG) * finest(ACROSS)], patches: vec![patch] };
        for a in TESTS {
            for b in TESTS {
                let (x, y) = (middle[0] + half[0] * a, middle[1] + half[1] * b);
                let (t, over, slope) = self.solve(segment, double, x, y, start)?;
                let (found, found_over) = region.at(x, y)?;
                let off = (found_over - over).abs();
                // A stiff liquid's pressure is known as well as its density.
                let fine =
                    (found / t - 1.0).abs() < TEMPERATURE && off < PRESSURE * over.abs() + DENSITY * slope;
                if !fine {
                    return None;
                }
            }
        }
        region.patches.into_iter().next()
    }

    /// Temperature, pressure over density, and its slope by the logarithm of the density, by the full model.
    fn solve(&self, segment: &Segment, double: bool, a: f64, b: f64, start: f64) -> Option<(f64, f64, f64)> {
        let log = segment.low + a * (segment.high - segment.low);
        let [bottom, top, floor] = segment.edges_at(log)?;
        let u = if double { bottom - b * (bottom - floor) } else { bottom + b * (top - bottom) };
        let molar = self.molar(log);
        let middle = 0.5 * (self.cold + self.hot);
        let start = if start > 0.0 { start } else { self.eos.starts().isochoric(molar, u).unwrap_or(middle) };
        // Each side of the saturation curve is carried on smoothly past it, as far as Newton needs.
        let energy = |t: f64| {
            if double {
                return Some(self.eos.curves()?.at(t)?.energy_of_both(molar, self.eos.data.molar_mass));
            }
            let props = self.eos.props(t, molar);
            Some((props.u, props.cv.max(1.0)))
        };
        let top_of_curves = self.eos.curves()?.highest();
        let mut t = if double { start.min(top_of_curves) } else { start };
        let mut settled = false;
        for _ in 0..40 {
            let (here, slope) = energy(t)?;
            let step = (here - u) / slope;
            let (low, high) = if double {
                (self.eos.data.min_temperature, top_of_curves)
            } else {
                (0.5 * self.cold, 1.5 * self.hot)
            };
            t = (t - step).clamp(low, high);
            if step.abs() < 1e-11 * t {
                settled = true;
                break;
            }
        }
        if !settled {
            return None;
        }
        let rho = molar * self.eos.data.molar_mass;
        if double {
            let sat = self.eos.saturation(t).ok()?;
            return Some((t, sat.p / rho, 0.0));
        }
        let props = self.eos.props(t, molar);
        (props.dp_drho > 0.0).then(|| (t, props.p / rho, props.dp_drho / self.eos.data.molar_mass))
    }
}

/// Where a patch is tried, between its nodes.
const TESTS: [f64; 4] = [-0.99, -0.45, 0.13, 0.86];

/// Powers of the polynomial through values at the nodes.
fn powers(values: &[f64x2; SIDE]) -> [f64x2; SIDE] {
    monomials(&coefficients(values, &nodes()))
}
