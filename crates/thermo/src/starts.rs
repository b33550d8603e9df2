//! Where Newton starts: coarse tables of temperature and density over (p, h), and of temperature over (rho, u).
//!
//! They decide only how many steps Newton takes; what it settles on is checked as ever. Made whole from the equation when first needed.

use crate::Error;
use crate::eos::Eos;
use crate::flash::{Target, Wanted};

/// Rows over the logarithm of the first value, columns between the ends of each row; two numbers at each node.
#[derive(Clone, Debug)]
struct Grid {
    first: f64,
    per_log: f64,
    columns: usize,
    rows: Vec<(f64, f64)>,
    nodes: Vec<[f64; 2]>,
}

/// The ends of a grid's rows, and how many there are of rows and columns.
struct Shape {
    low: f64,
    high: f64,
    rows: usize,
    columns: usize,
}

impl Grid {
    /// `ends` gives the ends of a row and the node at its start; `next` the node at a value from the node before. A row that can't be had ends the
    /// grid; a node that can't be had repeats the one before.
    fn new(
        shape: &Shape,
        ends: impl Fn(f64) -> Option<(f64, f64, [f64; 2])>,
        next: impl Fn(f64, f64, [f64; 2]) -> Option<[f64; 2]>,
    ) -> Self {
        let (first, last) = (libm::log(shape.low), libm::log(shape.high));
        let per_log = (shape.rows - 1) as f64 / (last - first);
        let mut grid = Self { first, per_log, columns: shape.columns, rows: Vec::new(), nodes: Vec::new() };
        for row in 0..shape.rows {
            let axis = libm::exp(first + row as f64 / per_log);
            let Some((low, high, mut node)) = ends(axis) else { break };
            grid.rows.push((low, high));
            for column in 0..shape.columns {
                let value = low + (high - low) * column as f64 / (shape.columns - 1) as f64;
                node = next(axis, value, node).unwrap_or(node);
                grid.nodes.push(node);
            }
        }
        grid
    }

    /// Between four nodes; none outside.
    fn at(&self, axis: f64, value: f64) -> Option<[f64; 2]> {
        let along = (libm::log(axis) - self.first) * self.per_log;
        if !(along >= 0.0 && along < self.rows.len() as f64 - 1.0) {
            return None;
        }
        let row = along as usize;
        let f = along - row as f64;
        let mix = |a: f64, b: f64, part: f64| a + part * (b - a);
        let (a, b) = (self.rows.get(row)?, self.rows.get(row + 1)?);
        let (low, high) = (mix(a.0, b.0, f), mix(a.1, b.1, f));
        let across = (value - low) / (high - low) * (self.columns - 1) as f64;
        if !(across >= -1.0 && across <= self.columns as f64) {
            return None;
        }
        let column = (across.max(0.0) as usize).min(self.columns - 2);
        let g = across - column as f64;
        let at = row * self.columns + column;
        let [n00, n01] = [self.nodes.get(at)?, self.nodes.get(at + 1)?];
        let [n10, n11] = [self.nodes.get(at + self.columns)?, self.nodes.get(at + self.columns + 1)?];
        Some(core::array::from_fn(|k| mix(mix(n00[k], n01[k], g), mix(n10[k], n11[k], g), f)))
    }

    fn bytes(&self) -> usize {
        size_of_val(self.rows.as_slice()) + size_of_val(self.nodes.as_slice())
    }
}

/// The tables of one fluid.
#[derive(Clone, Debug)]
pub(crate) struct Starts {
    /// (p, h) to T and rho/p: vapour below the critical pressure.
    vapour: Grid,
    /// The same above the critical pressure.
    dense: Grid,
    /// (rho, u) to T.
    energy: Grid,
}

impl Starts {
    pub(crate) fn new(eos: &Eos) -> Self {
        let data = &eos.data;
        let cold = (1.02 * data.min_temperature).max(0.6 * eos.top.temperature);
        let hot = (1.4 * eos.top.temperature).min(1.5 * data.max_temperature);
        Self { vapour: vapour(eos, hot), dense: dense(eos, cold, hot), energy: energy(eos, cold, hot) }
    }

    /// Temperature and molar density near an enthalpy on an isobar.
    pub(crate) fn isobaric(&self, p: f64, h: f64, critical: f64) -> Option<(f64, f64)> {
        let grid = if p < critical { &self.vapour } else { &self.dense };
        grid.at(p, h).map(|[t, rho_over_p]| (t, rho_over_p * p))
    }

    /// Temperature near an energy at a molar density.
    pub(crate) fn isochoric(&self, molar: f64, u: f64) -> Option<f64> {
        self.energy.at(molar, u).map(|[t, _]| t)
    }

    /// Memory, bytes.
    pub(crate) fn bytes(&self) -> usize {
        size_of::<Self>() + self.vapour.bytes() + self.dense.bytes() + self.energy.bytes()
    }
}

/// Newton from the node before.
fn along(eos: &Eos, p: f64, h: f64, [t, rho_over_p]: [f64; 2]) -> Option<[f64; 2]> {
    let wanted = Wanted {
        p,
        target: Target::Enthalpy,
        value: h,
        low: eos.data.min_temperature,
        high: 1.5 * eos.data.max_temperature,
        branch: (0.0, eos.densest),
    };
    let found = eos.quickly(&wanted, (t, rho_over_p * p))?;
    Some([found.t, found.rho / (eos.data.molar_mass * p)])
}

fn vapour(eos: &Eos, hot: f64) -> Grid {
    let critical = eos.top.pressure;
    let high = eos.curves().map_or(0.9 * critical, |curves| curves.highest_pressure());
    let shape =
        Shape { low: critical * libm::exp(-7.0), high: high.min(0.999 * critical), rows: 33, columns: 15 };
    let ends = |p: f64| {
        let thin = eos.bracketed_density(hot, p, 0.0, eos.densest)?;
        let top = eos.props(hot, thin).h;
        if let Ok(sat) = eos.saturation_at_pressure(p) {
            return Some((eos.edges(&sat).vapour.h, top, [sat.t, sat.vapour / p]));
        }
        let cold = eos.data.min_temperature;
        let rho = eos.bracketed_density(cold, p, 0.0, eos.saturation(cold).ok()?.vapour)?;
        Some((eos.props(cold, rho).h, top, [cold, rho / p]))
    };
    Grid::new(&shape, ends, |p, h, before| along(eos, p, h, before))
}

fn dense(eos: &Eos, cold: f64, hot: f64) -> Grid {
    let critical = eos.top.pressure;
    let shape = Shape { low: critical, high: 5.0 * critical, rows: 13, columns: 41 };
    let ends = |p: f64| {
        let liquid = eos.saturation(cold).ok()?.liquid;
        let rho = eos.density_from(cold, p, liquid, eos.densest, liquid)?;
        let thin = eos.bracketed_density(hot, p, 0.0, eos.densest)?;
        Some((eos.props(cold, rho).h, eos.props(hot, thin).h, [cold, rho / p]))
    };
    Grid::new(&shape, ends, |p, h, before| along(eos, p, h, before))
}

fn energy(eos: &Eos, cold: f64, hot: f64) -> Grid {
    let centre = eos.top.density;
    let liquid = eos.saturation(cold).map_or(2.5 * centre, |sat| sat.liquid);
    let shape = Shape { low: 1e-3 * centre, high: liquid, rows: 33, columns: 17 };
    let ends = |rho: f64| {
        let at = |t: f64| eos.energy_by_curves(t, rho).map(|energy| energy.u);
        Some((at(cold)?, at(hot)?, [cold, 0.0]))
    };
    let next = |rho: f64, u: f64, [t, _]: [f64; 2]| {
        let at = |t: f64| {
            eos.energy_by_curves(t, rho).ok_or(Error::NotConverged { what: "saturation", kelvin: t })
        };
        eos.temperature_of_energy(u, t, at).ok().map(|(t, _)| [t, 0.0])
    };
    Grid::new(&shape, ends, next)
}
