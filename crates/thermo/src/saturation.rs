//! Saturation of a pure fluid: equal pressure and equal Gibbs energy of both phases.

use crate::Error;
use crate::curves::{Edge, Edges};
use crate::eos::{AtTemperature, Eos, Isotherm, Props};

/// Both phases at saturation; densities in mol/m³.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SatPoint {
    pub(crate) t: f64,
    pub(crate) p: f64,
    pub(crate) liquid: f64,
    pub(crate) vapour: f64,
}

impl Eos {
    /// Saturation at a temperature between the lowest of the curve and the critical one: from the curves, or beyond them by the full solve.
    pub(crate) fn saturation(&self, t: f64) -> Result<SatPoint, Error> {
        let Some(curves) = self.curves() else { return self.solve_saturation(t) };
        match curves.at(t) {
            Some(place) => Ok(place.saturation()),
            None if t < self.top.temperature => {
                curves.beyond(self, t).map_or_else(|| self.solve_saturation(t), Ok)
            }
            None => self.solve_saturation(t),
        }
    }

    /// Saturation at a pressure below the critical one, likewise.
    pub(crate) fn saturation_at_pressure(&self, p: f64) -> Result<SatPoint, Error> {
        let Some(curves) = self.curves() else { return self.solve_saturation_at_pressure(p) };
        if let Some(place) = curves.at_pressure(p) {
            return Ok(place.saturation());
        }
        if p < curves.lowest_pressure() * (1.0 - 1e-12) {
            return Err(Error::NoSaturationAtPressure { pascal: p, high: self.top.pressure });
        }
        self.temperature_of_saturation(p, |t| self.saturation(t))
    }

    /// The same with the energies of both phases.
    pub(crate) fn edges_at_pressure(&self, p: f64) -> Result<(SatPoint, Edges), Error> {
        if let Some(place) = self.curves().and_then(|curves| curves.at_pressure(p)) {
            let sat = place.saturation();
            return Ok((sat, place.edges()));
        }
        let sat = self.saturation_at_pressure(p)?;
        Ok((sat, self.edges(&sat)))
    }

    /// Energies of both phases at a point of saturation.
    pub(crate) fn edges(&self, sat: &SatPoint) -> Edges {
        if let Some(place) = self.curves().and_then(|curves| curves.at(sat.t)) {
            return place.edges();
        }
        let edge = |rho: f64| {
            let Props { h, s, .. } = self.props(sat.t, rho);
            Edge { h, s }
        };
        Edges { liquid: edge(sat.liquid), vapour: edge(sat.vapour) }
    }

    /// Saturation at a temperature, by the equation alone.
    pub(crate) fn solve_saturation(&self, t: f64) -> Result<SatPoint, Error> {
        let (low, high) = (self.data.min_temperature, self.top.temperature);
        if !(t >= low && t < high) {
            return Err(Error::NoSaturationAtTemperature { kelvin: t, low, high });
        }
        self.newton(t, self.start_liquid(t), self.start_vapour(t))
            .or_else(|| self.equal_areas(t))
            .ok_or(Error::NotConverged { what: "saturation", kelvin: t })
    }

    /// Newton on (ln rho', ln rho'') with the two equalities (R. Akasaka, J. Thermal Sci. Technol. 3 (2008) 442-451).
    pub(crate) fn newton(&self, t: f64, liquid: f64, vapour: f64) -> Option<SatPoint> {
        let (mut x, mut y) = (liquid, vapour);
        let at = self.at_temperature(t);
        let rt = at.rt;
        for _ in 0..30 {
            let (l, v) = (at.isotherm(x), at.isotherm(y));
            if !(l.dp_drho > 0.0 && v.dp_drho > 0.0) {
                return None;
            }
            let (f1, f2) = ((l.p - v.p) / rt, l.gibbs - v.gibbs);
            // d gibbs / d ln rho = dp_drho / (R T); d p / d ln rho = rho dp_drho.
            let (gl, gv) = (l.dp_drho / rt, v.dp_drho / rt);
            let dx = ((f2 * y - f1) / (gl * (x - y))).clamp(-0.5, 0.5);
            let dy = ((f2 * x - f1) / (gv * (x - y))).clamp(-0.5, 0.5);
            x *= libm::exp(dx);
            y *= libm::exp(dy);
            if !(x.is_finite() && y.is_finite()) || x <= y {
                return None;
            }
            if dx.abs() < 1e-11 && dy.abs() < 1e-11 {
                return accept(t, x, y, &at);
            }
        }
        accept(t, x, y, &at)
    }

    /// Close to the critical point: bisection on the pressure between the spinodals.
    fn equal_areas(&self, t: f64) -> Option<SatPoint> {
        let at = self.at_temperature(t);
        let middle = self.unstable_density(&at)?;
        let spinodal = |stable: f64| {
            let (mut good, mut bad) = (stable, middle);
            for _ in 0..200 {
                let half = 0.5 * (good + bad);
                if at.pressure(half).1 > 0.0 { good = half } else { bad = half }
            }
            good
        };
        let (low, high) = (spinodal(middle * 0.3), spinodal(middle * 2.2));
        let (mut p_high, mut p_low) = (at.pressure(low).0, at.pressure(high).0.max(0.0));
        let mut found = None;
        for _ in 0..200 {
            if p_high - p_low <= 1e-15 * p_high {
                break;
            }
            let p = 0.5 * (p_low + p_high);
            let start = |low: f64, high: f64| ideal_start(&at, p, low, high);
            let vapour = at.density(p, middle * 1e-9, low, start(middle * 1e-9, low))?;
            let liquid = at.density(p, high, self.densest, start(high, self.densest))?;
            let (l, v) = (at.isotherm(liquid), at.isotherm(vapour));
            found = Some((liquid, vapour));
            // The phase with the smaller Gibbs energy is stable: below saturation the vapour.
            if l.gibbs > v.gibbs { p_low = p } else { p_high = p }
        }
        let (liquid, vapour) = found?;
        accept(t, liquid, vapour, &at).or_else(|| self.newton_from(t, liquid, vapour))
    }

    /// A density between the spinodals: the critical one, or one around it.
    fn unstable_density(&self, at: &AtTemperature<'_>) -> Option<f64> {
        let centre = self.top.density;
        (0..400)
            .map(|n| centre * (1.0 + 0.0005 * f64::from((n / 2) * if n % 2 == 0 { 1 } else { -1 })))
            .find(|&rho| at.pressure(rho).1 < 0.0)
    }

    fn newton_from(&self, t: f64, liquid: f64, vapour: f64) -> Option<SatPoint> {
        if liquid > vapour { self.newton(t, liquid, vapour) } else { None }
    }

    /// The density at (t, p) on a branch where the pressure rises from `low` to `high`.
    pub(crate) fn bracketed_density(&self, t: f64, p: f64, low: f64, high: f64) -> Option<f64> {
        let at = self.at_temperature(t);
        at.density(p, low, high, ideal_start(&at, p, low, high))
    }

    /// The same, from a good start.
    pub(crate) fn density_from(&self, t: f64, p: f64, low: f64, high: f64, start: f64) -> Option<f64> {
        self.at_temperature(t).density(p, low, high, start)
    }

    /// Saturation at a pressure, by the equation alone.
    pub(crate) fn solve_saturation_at_pressure(&self, p: f64) -> Result<SatPoint, Error> {
        self.temperature_of_saturation(p, |t| self.solve_saturation(t))
    }

    /// Newton in T over saturation by temperature.
    fn temperature_of_saturation(
        &self,
        p: f64,
        saturation: impl Fn(f64) -> Result<SatPoint, Error>,
    ) -> Result<SatPoint, Error> {
        let (low, high) = (self.data.min_temperature, self.top.temperature);
        if !(p > 0.0 && p < self.top.pressure) {
            return Err(Error::NoSaturationAtPressure { pascal: p, high: self.top.pressure });
        }
        let mut t = self.start_temperature(p);
        let (mut floor, mut ceiling) = (low, high);
        for _ in 0..60 {
            let sat = saturation(t.clamp(low, high * (1.0 - 1e-12)))?;
            let gap = libm::log(sat.p / p);
            if gap > 0.0 {
                ceiling = sat.t
            } else {
                floor = sat.t
            }
            let next = sat.t - gap / self.log_slope(&sat);
            let next = if next > floor && next < ceiling { next } else { 0.5 * (floor + ceiling) };
            if gap.abs() < 1e-12 || (next - sat.t).abs() < 2e-15 * sat.t {
                return Ok(sat);
            }
            if sat.t <= low && gap > 0.0 {
                return Err(Error::NoSaturationAtPressure { pascal: p, high: self.top.pressure });
            }
            t = next;
        }
        Err(Error::NotConverged { what: "saturation temperature", kelvin: t })
    }

    /// d ln p / dT along the curve (Clausius-Clapeyron).
    fn log_slope(&self, sat: &SatPoint) -> f64 {
        let (l, v) = (self.props(sat.t, sat.liquid), self.props(sat.t, sat.vapour));
        let volume = 1.0 / sat.vapour - 1.0 / sat.liquid;
        (v.h - l.h) * self.data.molar_mass / (sat.t * volume * sat.p)
    }

    fn start_temperature(&self, p: f64) -> f64 {
        let (mut low, mut high) = (self.data.min_temperature, self.top.temperature);
        for _ in 0..60 {
            // In 1/T the logarithm of the pressure is nearly straight.
            let half = 2.0 / (1.0 / low + 1.0 / high);
            if self.start_pressure(half) > p {
                high = half
            } else {
                low = half
            }
            if high - low < 1e-4 * low {
                break;
            }
        }
        0.5 * (low + high)
    }
}

/// Where Newton on the density of a vapour starts.
fn ideal_start(at: &AtTemperature<'_>, p: f64, low: f64, high: f64) -> f64 {
    let start = if p > 0.0 { p / at.rt } else { low };
    if start > low && start < high { start } else { 0.5 * (low + high) }
}

/// Whether two densities are in equilibrium and stable.
fn accept(t: f64, liquid: f64, vapour: f64, at: &AtTemperature<'_>) -> Option<SatPoint> {
    let (l, v): (Isotherm, Isotherm) = (at.isotherm(liquid), at.isotherm(vapour));
    let stable = l.dp_drho > 0.0 && v.dp_drho > 0.0 && liquid > vapour * (1.0 + 1e-7);
    // A cold liquid's pressure is a small difference of large terms: what counts is the density that it stands for.
    let uncertain = 1e-9 * v.p + 1e-11 * liquid * l.dp_drho;
    let equal = (l.gibbs - v.gibbs).abs() < 1e-8 && (l.p - v.p).abs() <= uncertain;
    (stable && equal && v.p > 0.0).then_some(SatPoint { t, p: v.p, liquid, vapour })
}

impl AtTemperature<'_> {
    /// The density at a pressure, between `low` and `high`, where the pressure rises.
    pub(crate) fn density(&self, p: f64, low: f64, high: f64, start: f64) -> Option<f64> {
        let (mut low, mut high) = (low, high);
        let mut rho = start;
        for _ in 0..120 {
            let (here, dp_drho) = self.pressure(rho);
            let gap = here - p;
            if gap > 0.0 {
                high = rho
            } else {
                low = rho
            }
            let step = gap / dp_drho;
            if dp_drho > 0.0 && step.abs() < 1e-11 * rho {
                return Some(rho - step);
            }
            let next = rho - step;
            let next = if dp_drho > 0.0 && next > low && next < high { next } else { 0.5 * (low + high) };
            if (next - rho).abs() <= 4e-16 * rho {
                return Some(next);
            }
            rho = next;
        }
        ((high - low) < 1e-9 * rho).then_some(rho)
    }
}
