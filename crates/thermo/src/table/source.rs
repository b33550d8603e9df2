//! What tables are made from: the states of one phase and of two, at a density and an energy, by mass.

use crate::Fluid;
use crate::eos::Eos;

/// The range: temperatures from this part of the critical one or from so many kelvin, whichever is less, up to another part of it, but up to so
/// many kelvin at least; pressures up to 30 MPa.
const COLD: f64 = 0.55;
const COLD_AT_MOST: f64 = 200.0;
const HOT: f64 = 1.35;
const HOT_AT_LEAST: f64 = 470.0;
const DENSE: f64 = 30e6;
const A_LITTLE: f64 = 1e-9;

/// The range of a table; temperatures in K, densities in kg/m³, pressure in Pa.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    pub(super) cold: f64,
    pub(super) hot: f64,
    pub(super) most: f64,
    /// Densities of the saturated vapour and liquid at the cold end, and at the critical point.
    pub(super) vapour: f64,
    pub(super) liquid: f64,
    pub(super) critical: f64,
    /// The coldest liquid's density at the highest pressure, and the density from which on that pressure bounds the top.
    pub(super) densest: f64,
    pub(super) bounded: f64,
}

/// Temperatures from the lowest, the critical and the highest that are answered; pressure from the highest that is.
pub(super) fn limits(lowest: f64, critical: f64, highest: f64, most: f64) -> (f64, f64, f64) {
    let cold = lowest.max(COLD_AT_MOST.min(COLD * critical)) * (1.0 + A_LITTLE);
    let hot = (HOT * critical).max(HOT_AT_LEAST).min(highest * (1.0 - A_LITTLE));
    (cold, hot, DENSE.min(most) * (1.0 - A_LITTLE))
}

/// One phase.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Single {
    pub(crate) p: f64,
    pub(crate) u: f64,
    pub(crate) s: f64,
    pub(crate) cv: f64,
    /// Slopes of the pressure by density and by temperature.
    pub(crate) dp_drho: f64,
    pub(crate) dp_dt: f64,
}

impl Single {
    /// Of a pure fluid at a temperature, K, and a density, kg/m³; the dome ignored.
    pub(super) fn pure(eos: &Eos, t: f64, rho: f64) -> Self {
        let props = eos.props(t, rho / eos.data.molar_mass);
        Self {
            p: props.p,
            u: props.u,
            s: props.s,
            cv: props.cv,
            dp_drho: props.dp_drho / eos.data.molar_mass,
            dp_dt: props.dp_dt,
        }
    }
}

/// Two phases in equilibrium.
#[derive(Clone, Copy, Debug)]
pub(super) struct Both {
    pub(super) t: f64,
    pub(super) p: f64,
    pub(super) s: f64,
    /// Densities and enthalpies of liquid and vapour.
    pub(super) densities: [f64; 2],
    pub(super) enthalpies: [f64; 2],
}

/// A model behind a table.
pub(super) trait Source {
    fn range(&self) -> &Range;
    /// The dome ignored.
    fn single(&self, t: f64, rho: f64) -> Single;
    /// The temperature at which a density is that of a saturated phase.
    fn saturated(&self, rho: f64) -> Option<f64>;
    /// The energy of both phases at the cold end.
    fn coldest(&self, rho: f64) -> Option<f64>;
    /// Both phases at a density and an energy, sought from a temperature on.
    fn both(&self, rho: f64, u: f64, start: f64) -> Option<Both>;
    /// The gas constant by mass, J/(kg K).
    fn gas_constant(&self) -> f64;
}

/// A pure fluid.
pub(super) struct PureSource<'a> {
    eos: &'a Eos,
    range: Range,
}

impl<'a> PureSource<'a> {
    /// None for a fluid without saturation curves.
    pub(super) fn new(fluid: &'a Fluid) -> Option<Self> {
        let eos = fluid.eos();
        let data = &eos.data;
        let molar = data.molar_mass;
        let (cold, hot, most) = limits(
            data.min_temperature,
            eos.top.temperature,
            1.5 * data.max_temperature,
            2.0 * data.max_pressure,
        );
        let sat = eos.saturation(cold).ok()?;
        let last = eos.curves()?.last()?;
        let densest = eos.density_from(cold, most, sat.liquid, eos.densest, sat.liquid)?;
        let range = Range {
            cold,
            hot,
            most,
            vapour: sat.vapour * molar,
            liquid: sat.liquid * molar,
            critical: 0.5 * (last.liquid + last.vapour) * molar,
            densest: densest * molar,
            bounded: eos.bracketed_density(hot, most, 0.0, eos.densest)? * molar,
        };
        Some(Self { eos, range })
    }

    fn molar(&self, rho: f64) -> f64 {
        rho / self.eos.data.molar_mass
    }

    /// Newton in the temperature at constant density along the curves.
    fn temperature(&self, molar: f64, u: f64, start: f64) -> Option<f64> {
        let curves = self.eos.curves()?;
        let mut t = start.clamp(self.range.cold, curves.highest());
        for _ in 0..40 {
            let (here, slope) = curves.at(t)?.energy_of_both(molar, self.eos.data.molar_mass);
            let step = (here - u) / slope;
            t = (t - step).clamp(self.eos.data.min_temperature, curves.highest());
            if step.abs() < 1e-10 * t {
                return Some(t);
            }
        }
        None
    }
}

impl Source for PureSource<'_> {
    fn range(&self) -> &Range {
        &self.range
    }

    fn single(&self, t: f64, rho: f64) -> Single {
        Single::pure(self.eos, t, rho)
    }

    fn saturated(&self, rho: f64) -> Option<f64> {
        let (molar, liquid) = (self.molar(rho), rho > self.range.critical);
        let last = self.eos.curves()?.last()?;
        let (mut low, mut high) = (self.range.cold, last.t);
        for _ in 0..60 {
            let half = 0.5 * (low + high);
            let sat = self.eos.saturation(half).ok()?;
            let colder = if liquid { sat.liquid > molar } else { sat.vapour < molar };
            if colder { low = half } else { high = half }
        }
        Some(0.5 * (low + high))
    }

    fn coldest(&self, rho: f64) -> Option<f64> {
        let place = self.eos.curves()?.at(self.range.cold)?;
        Some(place.energy_of_both(self.molar(rho), self.eos.data.molar_mass).0)
    }

    fn both(&self, rho: f64, u: f64, start: f64) -> Option<Both> {
        let molar_mass = self.eos.data.molar_mass;
        let t = self.temperature(self.molar(rho), u, start)?;
        let place = self.eos.curves()?.at(t)?;
        let sat = place.saturation();
        let edges = place.edges();
        let (liquid, vapour) = (sat.liquid * molar_mass, sat.vapour * molar_mass);
        let part = (1.0 / rho - 1.0 / liquid) / (1.0 / vapour - 1.0 / liquid);
        Some(Both {
            t,
            p: sat.p,
            s: edges.liquid.s + part * (edges.vapour.s - edges.liquid.s),
            densities: [liquid, vapour],
            enthalpies: [edges.liquid.h, edges.vapour.h],
        })
    }

    fn gas_constant(&self) -> f64 {
        self.eos.data.gas_constant / self.eos.data.molar_mass
    }
}
