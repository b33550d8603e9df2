//! States from pairs of given values: a result is returned only if it reproduces what was given and is stable.

use crate::Error;
use crate::eos::{Eos, Props};
use crate::saturation::SatPoint;
use crate::state::{Phase, RawState};

/// Relative agreement that a result must have with what was given.
const REPRODUCES: f64 = 1e-9;
/// Within this part of the saturation pressure a (T, p) pair does not say which phase is meant.
const ON_THE_CURVE: f64 = 1e-10;

/// The second value of a flash at given pressure or density.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    Enthalpy,
    Entropy,
    Energy,
}

impl Target {
    const fn of(self, props: &Props) -> f64 {
        match self {
            Self::Enthalpy => props.h,
            Self::Entropy => props.s,
            Self::Energy => props.u,
        }
    }
    /// A size against which a difference is small.
    const fn scale(self) -> f64 {
        match self {
            Self::Enthalpy | Self::Energy => 1e5,
            Self::Entropy => 1e3,
        }
    }
}

impl Eos {
    fn molar(&self, rho: f64) -> f64 {
        rho / self.data.molar_mass
    }

    fn check_temperature(&self, t: f64) -> Result<(), Error> {
        // The equations extrapolate well; half as far again as their papers went is accepted and no more.
        let (low, high) = (self.data.min_temperature, 1.5 * self.data.max_temperature);
        if t >= low && t <= high {
            Ok(())
        } else {
            Err(Error::TemperatureOutOfRange { kelvin: t, low, high })
        }
    }

    fn check_pressure(&self, p: f64) -> Result<(), Error> {
        let high = 2.0 * self.data.max_pressure;
        if p > 0.0 && p <= high { Ok(()) } else { Err(Error::PressureOutOfRange { pascal: p, high }) }
    }

    fn single(&self, t: f64, rho: f64) -> Result<RawState, Error> {
        let props = self.props(t, rho);
        if !(props.dp_drho > 0.0 && props.p.is_finite() && props.h.is_finite()) {
            return Err(Error::Unstable { kelvin: t, kg_per_m3: rho * self.data.molar_mass });
        }
        Ok(RawState::single(t, rho * self.data.molar_mass, &props, self.phase_of(t, rho, props.p)))
    }

    fn phase_of(&self, t: f64, rho: f64, p: f64) -> Phase {
        let data = &self.data;
        if t >= data.critical_temperature {
            if p >= data.critical_pressure { Phase::Supercritical } else { Phase::Vapour }
        } else if rho > data.critical_density {
            Phase::Liquid
        } else {
            Phase::Vapour
        }
    }

    fn two_phase(&self, sat: &SatPoint, quality: f64) -> RawState {
        let (l, v) = (self.props(sat.t, sat.liquid), self.props(sat.t, sat.vapour));
        RawState::two_phase(sat, quality, &l, &v, self.data.molar_mass)
    }

    /// (T, rho); rho in kg/m³.
    pub(crate) fn at_t_rho(&self, t: f64, rho: f64) -> Result<RawState, Error> {
        self.check_temperature(t)?;
        if !(rho > 0.0 && rho.is_finite()) {
            return Err(Error::DensityOutOfRange { kg_per_m3: rho });
        }
        let molar = self.molar(rho);
        if t < self.data.critical_temperature && self.may_be_two_phase(t, molar) {
            let sat = self.saturation(t)?;
            if molar > sat.vapour && molar < sat.liquid {
                return Ok(self.two_phase(&sat, self.quality(&sat, molar)));
            }
        }
        let state = self.single(t, molar)?;
        self.check_pressure(state.p)?;
        // The given density, not what two conversions make of it.
        Ok(RawState { rho, ..state })
    }

    /// Whether a density may lie in the dome: the rough curves with a margin spare most saturation solves.
    fn may_be_two_phase(&self, t: f64, molar: f64) -> bool {
        if t > 0.98 * self.data.critical_temperature {
            return true;
        }
        molar > 0.9 * self.start_vapour(t) && molar < 1.05 * self.start_liquid(t)
    }

    fn quality(&self, sat: &SatPoint, molar: f64) -> f64 {
        (1.0 / molar - 1.0 / sat.liquid) / (1.0 / sat.vapour - 1.0 / sat.liquid)
    }

    /// Density in mol/m³ at (T, p), on the stable branch.
    pub(crate) fn density(&self, t: f64, p: f64) -> Result<f64, Error> {
        self.check_temperature(t)?;
        self.check_pressure(p)?;
        let none = || Error::NotConverged { what: "density", kelvin: t };
        let most = self.densest;
        if t >= self.data.critical_temperature {
            return self.bracketed_density(t, p, p * 1e-12, most).ok_or_else(none);
        }
        let sat = match self.saturation(t) {
            // A sliver below the published critical temperature the equation itself has no dome any more.
            Err(_) if t > 0.9995 * self.data.critical_temperature => {
                return self.bracketed_density(t, p, p * 1e-12, most).ok_or_else(none);
            }
            other => other?,
        };
        if (p - sat.p).abs() <= ON_THE_CURVE * sat.p {
            return Err(Error::OnSaturation { kelvin: t, pascal: p });
        }
        if p < sat.p {
            self.bracketed_density(t, p, 0.0, sat.vapour).ok_or_else(none)
        } else {
            self.density_from(t, p, sat.liquid, most, sat.liquid).ok_or_else(none)
        }
    }

    /// (T, p).
    pub(crate) fn at_t_p(&self, t: f64, p: f64) -> Result<RawState, Error> {
        let molar = self.density(t, p)?;
        let mut state = self.single(t, molar)?;
        // A liquid's pressure is known only as well as its slope times the last place of the density.
        let uncertain = REPRODUCES * p + 1e-14 * molar * self.pressure(t, molar).1;
        if (state.p - p).abs() > uncertain {
            return Err(Error::NotConverged { what: "density", kelvin: t });
        }
        state.p = p;
        Ok(state)
    }

    /// (T, q) or (p, q).
    pub(crate) fn at_quality(&self, sat: &SatPoint, quality: f64) -> Result<RawState, Error> {
        if !(0.0..=1.0).contains(&quality) {
            return Err(Error::QualityOutOfRange { quality });
        }
        Ok(self.two_phase(sat, quality))
    }

    /// (p, h), (p, s) or (p, u).
    pub(crate) fn at_p_and(&self, p: f64, target: Target, value: f64) -> Result<RawState, Error> {
        self.check_pressure(p)?;
        if !value.is_finite() {
            return Err(Error::NotFinite);
        }
        let (mut low, mut high) = (self.data.min_temperature, 1.5 * self.data.max_temperature);
        if p < self.data.critical_pressure
            && let Ok(sat) = self.saturation_at_pressure(p)
        {
            let (l, v) = (self.props(sat.t, sat.liquid), self.props(sat.t, sat.vapour));
            let (l, v) = (target.of(&l), target.of(&v));
            if value >= l && value <= v {
                return self.at_quality(&sat, ((value - l) / (v - l)).clamp(0.0, 1.0));
            }
            if value < l {
                high = sat.t;
                return self.along_isobar(p, target, value, low, high, (sat.liquid, self.densest));
            }
            low = sat.t;
            return self.along_isobar(p, target, value, low, high, (0.0, sat.vapour));
        }
        self.along_isobar(p, target, value, low, high, (0.0, self.densest))
    }

    /// Newton in T, kept in a bracket, with the density followed along the isobar; densities stay inside `branch`.
    fn along_isobar(
        &self,
        p: f64,
        target: Target,
        value: f64,
        low: f64,
        high: f64,
        branch: (f64, f64),
    ) -> Result<RawState, Error> {
        let none = || Error::NotConverged { what: "temperature", kelvin: 0.5 * (low + high) };
        let (mut floor, mut ceiling) = (low, high);
        let mut t = if branch.0 > 0.0 { high - 1e-6 } else { low + 1e-6 };
        if self.data.critical_pressure <= p {
            t = 0.5 * (low + high);
        }
        for _ in 0..100 {
            let rho = self.density_on(t, p, branch).ok_or_else(none)?;
            let props = self.props(t, rho);
            let gap = target.of(&props) - value;
            if gap > 0.0 {
                ceiling = t
            } else {
                floor = t
            }
            let slope = self.isobaric_slope(t, rho, &props, target);
            let next = t - gap / slope;
            let next =
                if slope > 0.0 && next > floor && next < ceiling { next } else { 0.5 * (floor + ceiling) };
            if gap.abs() <= 1e-13 * target.scale() || (next - t).abs() <= 1e-12 * t {
                return self.accept_isobaric(t, rho, p, target, value);
            }
            t = next;
        }
        Err(none())
    }

    fn density_on(&self, t: f64, p: f64, branch: (f64, f64)) -> Option<f64> {
        if t >= self.data.critical_temperature {
            return self.bracketed_density(t, p, 0.0, self.densest);
        }
        if branch.0 > 0.0 {
            return self.density_from(
                t,
                p,
                self.start_liquid(t).min(branch.0),
                branch.1,
                self.start_liquid(t),
            );
        }
        if p >= self.data.critical_pressure {
            // Compressed liquid below the critical temperature; in the sliver where the equation has no dome any more, the one root there is.
            return match self.saturation(t) {
                Ok(sat) => self.density_from(t, p, sat.liquid, branch.1, sat.liquid),
                Err(_) => self.bracketed_density(t, p, 0.0, branch.1),
            };
        }
        self.bracketed_density(t, p, 0.0, branch.1)
    }

    fn isobaric_slope(&self, t: f64, rho: f64, props: &Props, target: Target) -> f64 {
        match target {
            Target::Enthalpy => props.cp,
            Target::Entropy => props.cp / t,
            // du/dT = cp - p dv/dT along an isobar.
            Target::Energy => {
                props.cp - props.p * props.dp_dt / (props.dp_drho * rho * rho) / self.data.molar_mass
            }
        }
    }

    fn accept_isobaric(
        &self,
        t: f64,
        rho: f64,
        p: f64,
        target: Target,
        value: f64,
    ) -> Result<RawState, Error> {
        let mut state = self.single(t, rho)?;
        let props = self.props(t, rho);
        if (target.of(&props) - value).abs() > REPRODUCES * target.scale() {
            return Err(Error::NotConverged { what: "temperature", kelvin: t });
        }
        state.p = p;
        self.check_temperature(t)?;
        Ok(state)
    }

    /// (rho, u): the energy rises with temperature at constant density, across the dome too.
    pub(crate) fn at_rho_u(&self, rho: f64, u: f64) -> Result<RawState, Error> {
        if !(rho > 0.0 && rho.is_finite()) {
            return Err(Error::DensityOutOfRange { kg_per_m3: rho });
        }
        if !u.is_finite() {
            return Err(Error::NotFinite);
        }
        let molar = self.molar(rho);
        let (mut floor, mut ceiling) = (self.data.min_temperature, 1.5 * self.data.max_temperature);
        let mut t = 0.5 * (floor + self.data.critical_temperature);
        for _ in 0..100 {
            let (here, slope) = self.energy_and_slope(t, molar)?;
            let gap = here - u;
            if gap > 0.0 {
                ceiling = t
            } else {
                floor = t
            }
            let next = t - gap / slope;
            let next = if next > floor && next < ceiling { next } else { 0.5 * (floor + ceiling) };
            if gap.abs() <= 1e-13 * Target::Energy.scale() || (next - t).abs() <= 1e-12 * t {
                let state = self.at_t_rho(t, rho)?;
                let off = (state.u - u).abs();
                return if off <= REPRODUCES * Target::Energy.scale().max(u.abs()) {
                    Ok(state)
                } else {
                    Err(Error::NotConverged { what: "temperature", kelvin: t })
                };
            }
            t = next;
        }
        Err(Error::NotConverged { what: "temperature", kelvin: t })
    }

    fn energy_and_slope(&self, t: f64, molar: f64) -> Result<(f64, f64), Error> {
        if t < self.data.critical_temperature && self.may_be_two_phase(t, molar) {
            let sat = self.saturation(t)?;
            if molar > sat.vapour && molar < sat.liquid {
                return Ok(self.two_phase_energy(&sat, molar));
            }
        }
        let props = self.props(t, molar);
        Ok((props.u, props.cv.max(1.0)))
    }

    /// Energy in two phases and its slope at constant volume, from the slopes along the saturation curve.
    fn two_phase_energy(&self, sat: &SatPoint, molar: f64) -> (f64, f64) {
        let (l, v) = (self.props(sat.t, sat.liquid), self.props(sat.t, sat.vapour));
        let (vl, vv) = (1.0 / sat.liquid, 1.0 / sat.vapour);
        let x = (1.0 / molar - vl) / (vv - vl);
        let dp = (v.h - l.h) * self.data.molar_mass / (sat.t * (vv - vl));
        let along = |props: &Props, rho: f64| {
            let drho = (dp - props.dp_dt) / props.dp_drho;
            let dv = -drho / (rho * rho);
            // du = cv dT + (T dp/dT - p) dv
            (dv, props.cv + (sat.t * props.dp_dt - props.p) * dv / self.data.molar_mass)
        };
        let ((dvl, dul), (dvv, duv)) = (along(&l, sat.liquid), along(&v, sat.vapour));
        let dx = -(dvl + x * (dvv - dvl)) / (vv - vl);
        (l.u + x * (v.u - l.u), dul + x * (duv - dul) + dx * (v.u - l.u))
    }
}
