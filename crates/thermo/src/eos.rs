//! One fluid's equation in SI: pressure, energies, heat capacities and speed of sound at (T, rho).

use std::sync::OnceLock;

use crate::curves::Curves;
use crate::data::{Curve, Dome, FluidData, Form};
use crate::kernel::{Alpha, AtTau, Equation};
use crate::starts::Starts;

/// The equation of a fluid with its constants. Densities are in mol/m³ inside.
#[derive(Clone, Debug)]
pub(crate) struct Eos {
    pub(crate) data: FluidData,
    /// The top of the dome.
    pub(crate) top: Dome,
    equation: Equation,
    /// One over the reducing density, m³/mol, and over the molar mass, mol/kg.
    per_reducing_density: f64,
    per_mass: f64,
    /// Added to the enthalpy, J/mol, and to the entropy, J/(mol K), for the IIR reference state.
    h_shift: f64,
    s_shift: f64,
    /// The density up to which the pressure rises at every temperature, mol/m³: some equations turn over beyond the liquids.
    pub(crate) densest: f64,
    curves: OnceLock<Option<Curves>>,
    starts: OnceLock<Starts>,
}

/// Everything at one (T, rho), in one phase. Mass units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Props {
    pub(crate) p: f64,
    pub(crate) h: f64,
    pub(crate) s: f64,
    pub(crate) u: f64,
    pub(crate) cv: f64,
    pub(crate) cp: f64,
    pub(crate) w: f64,
    /// dp/drho at constant T, Pa m³/mol.
    pub(crate) dp_drho: f64,
    /// dp/dT at constant rho, Pa/K.
    pub(crate) dp_dt: f64,
}

/// Pressure, its slope, and the residual Gibbs energy, for density and saturation solves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Isotherm {
    pub(crate) p: f64,
    pub(crate) dp_drho: f64,
    /// (g - g_ideal(T)) / (R T): ln(delta) + alpha_r + delta alpha_r_delta.
    pub(crate) gibbs: f64,
}

/// One temperature, at which many densities are tried.
pub(crate) struct AtTemperature<'a> {
    at: AtTau<'a>,
    reducing_density: f64,
    /// R T, J/mol.
    pub(crate) rt: f64,
}

impl AtTemperature<'_> {
    pub(crate) fn isotherm(&self, rho: f64) -> Isotherm {
        let delta = rho / self.reducing_density;
        let r = self.at.residual(delta);
        Isotherm {
            p: rho * self.rt * (1.0 + r.d),
            dp_drho: self.rt * (1.0 + 2.0 * r.d + r.dd),
            gibbs: libm::log(delta) + r.a + r.d,
        }
    }

    /// Pressure and its slope by density.
    pub(crate) fn pressure(&self, rho: f64) -> (f64, f64) {
        let r = self.at.residual(rho / self.reducing_density);
        (rho * self.rt * (1.0 + r.d), self.rt * (1.0 + 2.0 * r.d + r.dd))
    }
}

impl Eos {
    pub(crate) fn new(data: FluidData) -> Self {
        let equation = Equation::new(&data);
        let (curves, starts) = (OnceLock::new(), OnceLock::new());
        let top = data.top();
        let (per_reducing_density, per_mass) = (1.0 / data.reducing_density, 1.0 / data.molar_mass);
        let mut eos = Self {
            data,
            top,
            equation,
            per_reducing_density,
            per_mass,
            h_shift: 0.0,
            s_shift: 0.0,
            densest: 0.0,
            curves,
            starts,
        };
        let data = &eos.data;
        let temperatures = [data.min_temperature, eos.top.temperature, 1.5 * data.max_temperature];
        eos.densest = temperatures.into_iter().map(|t| eos.turning_density(t)).fold(f64::INFINITY, f64::min);
        eos
    }

    /// Where the pressure stops rising with density beyond the coldest liquid, or passes all that is asked for.
    fn turning_density(&self, t: f64) -> f64 {
        let at = self.at_temperature(t);
        let mut rho = 1.02 * self.start_liquid(self.data.min_temperature);
        while rho < 6.0 * self.top.density {
            let next = 1.01 * rho;
            let (p, dp_drho) = at.pressure(next);
            if dp_drho <= 0.0 {
                break;
            }
            rho = next;
            if p > 4.0 * self.data.max_pressure {
                break;
            }
        }
        rho
    }

    /// The saturation curves, made at their first use.
    pub(crate) fn curves(&self) -> Option<&Curves> {
        self.curves.get_or_init(|| Curves::new(self)).as_ref()
    }

    /// Where Newton starts, made at the first use.
    pub(crate) fn starts(&self) -> &Starts {
        self.starts.get_or_init(|| Starts::new(self))
    }

    /// Moves the zero of enthalpy and entropy so that they have these values (J/kg, J/(kg K)) at a state.
    pub(crate) fn anchor(&mut self, t: f64, rho: f64, h: f64, s: f64) {
        let here = self.props(t, rho);
        (self.curves, self.starts) = (OnceLock::new(), OnceLock::new());
        self.h_shift += (h - here.h) * self.data.molar_mass;
        self.s_shift += (s - here.s) * self.data.molar_mass;
    }

    /// The equation itself, as mixtures need it.
    pub(crate) const fn equation(&self) -> &Equation {
        &self.equation
    }

    /// The ideal-gas part without its logarithm of the density.
    pub(crate) fn ideal(&self, tau: f64) -> Alpha {
        self.equation.ideal(tau)
    }

    fn reduced(&self, t: f64, rho: f64) -> (f64, f64) {
        (rho * self.per_reducing_density, self.data.reducing_temperature / t)
    }

    pub(crate) fn at_temperature(&self, t: f64) -> AtTemperature<'_> {
        AtTemperature {
            at: self.equation.at_tau(self.data.reducing_temperature / t),
            reducing_density: self.data.reducing_density,
            rt: self.data.gas_constant * t,
        }
    }

    /// Pressure and its slope by density, dome ignored.
    pub(crate) fn pressure(&self, t: f64, rho: f64) -> (f64, f64) {
        let (delta, tau) = self.reduced(t, rho);
        let r = self.equation.residual(delta, tau);
        let rt = self.data.gas_constant * t;
        (rho * rt * (1.0 + r.d), rt * (1.0 + 2.0 * r.d + r.dd))
    }

    pub(crate) fn props(&self, t: f64, rho: f64) -> Props {
        let (delta, tau) = self.reduced(t, rho);
        let (r, i, log_delta) = self.equation.whole(delta, tau);
        let (gas, per_mass) = (self.data.gas_constant, self.per_mass);
        let rt = gas * t;
        let p = rho * rt * (1.0 + r.d);
        let slope = 1.0 + 2.0 * r.d + r.dd;
        let cross = 1.0 + r.d - r.dt;
        let u = rt * (i.t + r.t) + self.h_shift;
        let s = gas * (i.t + r.t - i.a - log_delta - r.a) + self.s_shift;
        let cv = -gas * (i.tt + r.tt);
        let cp = cv + gas * cross * cross / slope;
        let w2 = rt * per_mass * (slope - cross * cross / (i.tt + r.tt));
        Props {
            p,
            h: (u + rt * (1.0 + r.d)) * per_mass,
            s: s * per_mass,
            u: u * per_mass,
            cv: cv * per_mass,
            cp: cp * per_mass,
            w: w2.max(0.0).sqrt(),
            dp_drho: rt * slope,
            dp_dt: rho * gas * cross,
        }
    }

    /// Rough saturation pressure, Pa.
    pub(crate) fn start_pressure(&self, t: f64) -> f64 {
        curve(&self.data.start.pressure, t)
    }
    /// Rough density of the saturated liquid, mol/m³.
    pub(crate) fn start_liquid(&self, t: f64) -> f64 {
        curve(&self.data.start.liquid_density, t)
    }
    /// Rough density of the saturated vapour, mol/m³.
    pub(crate) fn start_vapour(&self, t: f64) -> f64 {
        curve(&self.data.start.vapour_density, t)
    }
}

fn curve(curve: &Curve, t: f64) -> f64 {
    let theta = (1.0 - t / curve.reducing_temperature).max(0.0);
    let log = libm::log(theta.max(1e-300));
    let mut sum: f64 = curve.n.iter().zip(&curve.t).map(|(n, e)| n * libm::exp(e * log)).sum();
    if curve.tau_factor {
        sum *= curve.reducing_temperature / t;
    }
    match curve.form {
        Form::Linear => curve.reducing_value * (1.0 + sum),
        Form::Exponential => curve.reducing_value * libm::exp(sum),
    }
}
