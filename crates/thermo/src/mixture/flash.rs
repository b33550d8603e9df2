//! States of mixtures from pairs of given values; accepted only if they reproduce what was given.

use super::equilibrium::{COLD, Phases, Spec, sum};
use super::helmholtz::{GAS_CONSTANT, Model, Vector};
use super::{Mixture, MixtureState};
use crate::envelope::on_line;
use crate::other_pairs::{Surface, indirect};
use crate::state::RawState;
use crate::{Error, Given};

const REPRODUCES: f64 = 1e-9;
/// Within this part of a saturated density the state is the bubble or dew point.
const ON_THE_EDGE: f64 = 1e-11;
/// Smaller parts of the way are not tried.
const LEAST_STRIDE: f64 = 1e-3;
/// About how steeply a cold liquid's vapour pressure rises with temperature, by the logarithms of both.
const TROUTON: f64 = 15.0;

/// An energy-like value that grows with temperature at fixed pressure and at fixed density.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Target {
    Enthalpy,
    Entropy,
    Energy,
}

impl Target {
    fn of(self, state: &MixtureState) -> f64 {
        match self {
            Self::Enthalpy => state.raw.h,
            Self::Entropy => state.raw.s,
            Self::Energy => state.raw.u,
        }
    }
    const fn scale(self) -> f64 {
        match self {
            Self::Enthalpy | Self::Energy => 1e5,
            Self::Entropy => 1e3,
        }
    }
}

impl Mixture {
    /// The state that two given values fix.
    ///
    /// # Errors
    /// [`Error`] where a value is out of range or nothing stable reproduces them.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::{Pressure, Temperature};
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let at = |celsius: f64| Given::TemperaturePressure(Temperature::from_celsius(celsius), Pressure::from_bar(10.0));
    /// assert!(mixture.state(at(40.0))?.density() < mixture.state(at(0.0))?.density());
    /// assert!(mixture.state(at(-250.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn state(&self, given: Given) -> Result<MixtureState, Error> {
        match given {
            Given::TemperaturePressure(t, p) => self.at_t_p(t.as_k(), p.as_pa()),
            Given::TemperatureDensity(t, rho) => self.at_t_rho(t.as_k(), rho.as_kg_per_m3()),
            Given::PressureEnthalpy(p, h) => self.at_p_and(p.as_pa(), Target::Enthalpy, h.as_j_per_kg()),
            Given::PressureEntropy(p, s) => self.at_p_and(p.as_pa(), Target::Entropy, s.as_j_per_kg_k()),
            Given::PressureEnergy(p, u) => self.at_p_and(p.as_pa(), Target::Energy, u.as_j_per_kg()),
            Given::DensityEnergy(rho, u) => {
                self.at_rho_and(rho.as_kg_per_m3(), Target::Energy, u.as_j_per_kg())
            }
            Given::TemperatureQuality(t, q) => self.at_t_q(t.as_k(), q),
            Given::PressureQuality(p, q) => self.at_p_q(p.as_pa(), q),
            other => indirect(self, other),
        }
    }

    pub(crate) fn pressure_pa(&self, t: f64, rho: f64) -> f64 {
        self.model.isotherm(t, rho / self.molar_mass, &self.z, self.point).0
    }

    pub(crate) fn vapour_density_raw(&self, t: f64, p: f64, saturated: f64) -> Option<f64> {
        self.vapour_density(t, p, saturated / self.molar_mass).map(|rho| rho * self.molar_mass)
    }

    pub(crate) fn liquid_density_raw(&self, t: f64, p: f64, saturated: f64) -> Option<f64> {
        self.liquid_density(t, p, saturated / self.molar_mass).map(|rho| rho * self.molar_mass)
    }

    /// Density of the one phase at a temperature above the highest of two phases.
    pub(crate) fn dense_raw(&self, t: f64, p: f64) -> Option<f64> {
        self.density_between(t, p, 0.0, 4.0 * self.point.1, self.point.1).map(|rho| rho * self.molar_mass)
    }

    pub(super) fn most_pressure(&self) -> f64 {
        self.model.components.iter().map(|eos| 2.0 * eos.data.max_pressure).fold(f64::INFINITY, f64::min)
    }

    fn check_temperature(&self, t: f64) -> Result<(), Error> {
        let (low, high) = self.range();
        if !t.is_finite() {
            return Err(Error::NotFinite);
        }
        if t >= low && t <= high {
            Ok(())
        } else {
            Err(Error::TemperatureOutOfRange { kelvin: t, low, high })
        }
    }

    fn check_pressure(&self, p: f64) -> Result<(), Error> {
        let high = self.most_pressure();
        if !p.is_finite() {
            return Err(Error::NotFinite);
        }
        if p > 0.0 && p <= high { Ok(()) } else { Err(Error::PressureOutOfRange { pascal: p, high }) }
    }

    fn at_t_q(&self, t: f64, q: f64) -> Result<MixtureState, Error> {
        self.check_temperature(t)?;
        check_quality(q)?;
        let failed = || {
            let (low, high) = (self.range().0, self.limits().critical.0);
            if t >= high {
                Error::NoSaturationAtTemperature { kelvin: t, low, high }
            } else {
                Error::NotConverged { what: "saturation", kelvin: t }
            }
        };
        self.phases_at_t_q(t, q).map(|found| self.both(&found)).ok_or_else(failed)
    }

    fn phases_at_t_q(&self, t: f64, q: f64) -> Option<Phases> {
        if q <= 0.0 || q >= 1.0 {
            return self.saturated_at(t, q);
        }
        let bubble = self.saturated_at(t, 0.0)?;
        let dew = self.saturated_at(t, 1.0)?;
        let start = self.between(&bubble, &dew, q);
        self.inside([Spec::Temperature(t), Spec::Quality(q)], start, [&bubble, &dew])
    }

    /// Both phases from a start; where that leads nowhere, step by step from the bubble or the dew point.
    fn inside(&self, specs: [Spec; 2], start: Phases, ends: [&Phases; 2]) -> Option<Phases> {
        let found = self.model.two_phases(&self.z, specs, start);
        let found = found.filter(|found| (0.0..=1.0).contains(&found.q));
        found.or_else(|| ends.into_iter().find_map(|end| self.approach(end, specs)))
    }

    /// The second specification is moved from where it is to where it shall be.
    fn approach(&self, from: &Phases, [fixed, goal]: [Spec; 2]) -> Option<Phases> {
        let n = self.model.len();
        let log = libm::log;
        let volume = (1.0 - from.q) / sum(n, &from.liquid) + from.q / sum(n, &from.vapour);
        let (begin, end) = match goal {
            Spec::Temperature(t) => (from.t, t),
            Spec::Quality(q) => (from.q, q),
            Spec::Pressure(p) => (log(from.p), log(p)),
            Spec::Density(rho) => (-log(volume), log(rho)),
        };
        let (mut here, mut done, mut stride) = (*from, 0.0, 0.25);
        while stride > LEAST_STRIDE {
            let next = f64::min(done + stride, 1.0);
            let value = begin + next * (end - begin);
            let spec = match goal {
                _ if next >= 1.0 => goal,
                Spec::Temperature(_) => Spec::Temperature(value),
                Spec::Quality(_) => Spec::Quality(value),
                Spec::Pressure(_) => Spec::Pressure(libm::exp(value)),
                Spec::Density(_) => Spec::Density(libm::exp(value)),
            };
            match self.model.two_phases(&self.z, [fixed, spec], here) {
                Some(found) if next >= 1.0 => return Some(found),
                Some(found) => (here, done, stride) = (found, next, 2.0 * stride),
                None => stride *= 0.5,
            }
        }
        None
    }

    fn at_p_q(&self, p: f64, q: f64) -> Result<MixtureState, Error> {
        self.check_pressure(p)?;
        check_quality(q)?;
        let failed = || {
            let high = self.limits().critical.1;
            if p >= high {
                Error::NoSaturationAtPressure { pascal: p, high }
            } else {
                Error::NotConverged { what: "saturation temperature", kelvin: self.point.0 }
            }
        };
        let found = if q <= 0.0 || q >= 1.0 {
            self.saturated_at_pressure(p, q)
        } else {
            self.saturated_at_pressure(p, 0.0)
                .zip(self.saturated_at_pressure(p, 1.0))
                .and_then(|(bubble, dew)| self.phases_at_p_q(p, q, &bubble, &dew))
        };
        found.map(|found| self.both(&found)).ok_or_else(failed)
    }

    fn phases_at_p_q(&self, p: f64, q: f64, bubble: &Phases, dew: &Phases) -> Option<Phases> {
        let start = self.between(bubble, dew, q);
        self.inside([Spec::Pressure(p), Spec::Quality(q)], start, [bubble, dew])
    }

    /// A start between the bubble and the dew point.
    pub(crate) fn between(&self, bubble: &Phases, dew: &Phases, q: f64) -> Phases {
        let mix = |a: f64, b: f64| if a > 0.0 && b > 0.0 { a * libm::exp(q * libm::log(b / a)) } else { 0.0 };
        Phases {
            t: mix(bubble.t, dew.t),
            p: mix(bubble.p, dew.p),
            liquid: core::array::from_fn(|i| mix(bubble.liquid[i], dew.liquid[i])),
            vapour: core::array::from_fn(|i| mix(bubble.vapour[i], dew.vapour[i])),
            q,
        }
    }

    fn at_t_p(&self, t: f64, p: f64) -> Result<MixtureState, Error> {
        self.check_temperature(t)?;
        self.check_pressure(p)?;
        let found = self.settle_t_p(t, p)?;
        reproduced(&found, (found.raw.p - p).abs(), 1e-9 * p + 1e-12 * stiffness(&found), t)
    }

    fn settle_t_p(&self, t: f64, p: f64) -> Result<MixtureState, Error> {
        let limits = self.limits();
        let failed = Error::NotConverged { what: "phase", kelvin: t };
        if t >= limits.hottest || p > limits.most_pressure {
            return self.dense_or_thin(t, p);
        }
        let rough = |q| self.model.rough_phases(t, &self.z, q).p;
        let from_liquid = p * p > rough(0.0) * rough(1.0);
        for side in if from_liquid { [0.0, 1.0] } else { [1.0, 0.0] } {
            let Some((edge, density)) = self.edge(t, side) else {
                // Between the critical point and the highest temperature the bubble line is missing.
                if side <= 0.0 && t >= limits.critical.0 {
                    continue;
                }
                return Err(failed);
            };
            if side <= 0.0 && p >= edge {
                return self.single(t, self.liquid_density(t, p, density).ok_or(failed)?);
            }
            if side >= 1.0 && p <= edge {
                return self.single(t, self.vapour_density(t, p, density).ok_or(failed)?);
            }
        }
        self.two_phase_t_p(t, p)
    }

    fn two_phase_t_p(&self, t: f64, p: f64) -> Result<MixtureState, Error> {
        let dew = self.saturated_at(t, 1.0);
        let bubble = self.saturated_at(t, 0.0);
        let start = match (&bubble, &dew) {
            (Some(bubble), Some(dew)) => {
                let q = ((bubble.p - p) / (bubble.p - dew.p)).clamp(0.0, 1.0);
                Some(self.between(bubble, dew, q))
            }
            (None, Some(dew)) => Some(*dew),
            _ => None,
        };
        let found = start.and_then(|start| {
            let specs = [Spec::Temperature(t), Spec::Pressure(p)];
            match (&bubble, &dew) {
                (Some(bubble), Some(dew)) => self.inside(specs, start, [bubble, dew]),
                _ => self.model.two_phases(&self.z, specs, start),
            }
        });
        match found {
            Some(found) if (0.0..=1.0).contains(&found.q) => Ok(self.both(&found)),
            // Beyond the critical point above the second dew point.
            _ if bubble.is_none() => self.dense_or_thin(t, p),
            _ => Err(Error::NotConverged { what: "phase fraction", kelvin: t }),
        }
    }

    /// Where there is one phase only.
    fn dense_or_thin(&self, t: f64, p: f64) -> Result<MixtureState, Error> {
        let limits = self.limits();
        let failed = Error::NotConverged { what: "density", kelvin: t };
        if t < limits.critical.0
            && p >= limits.critical.1
            && let Some(bubble) = self.saturated_at(t, 0.0)
        {
            let rho = self.liquid_density(t, p, sum(self.model.len(), &bubble.liquid));
            return self.single(t, rho.ok_or(failed)?);
        }
        let low_side = p < 0.2 * limits.critical.1;
        let most = 4.0 * self.point.1;
        let start = p / (GAS_CONSTANT * t);
        let start = if low_side || start < self.point.1 { start } else { self.point.1 };
        self.single(t, self.density_between(t, p, 0.0, most, start).ok_or(failed)?)
    }

    fn liquid_density(&self, t: f64, p: f64, saturated: f64) -> Option<f64> {
        self.density_between(t, p, saturated * (1.0 - 1e-9), 1.6 * saturated + self.point.1, saturated)
    }

    fn vapour_density(&self, t: f64, p: f64, saturated: f64) -> Option<f64> {
        let start = (p / (GAS_CONSTANT * t)).min(saturated);
        self.density_between(t, p, 0.0, saturated * (1.0 + 1e-9), start)
    }

    /// Newton with bisection on a branch where the pressure rises.
    fn density_between(&self, t: f64, p: f64, low: f64, high: f64, start: f64) -> Option<f64> {
        let (mut low, mut high, mut rho) = (low, high, start);
        for _ in 0..120 {
            let (here, slope) = self.model.isotherm(t, rho, &self.z, self.point);
            let gap = here - p;
            if gap > 0.0 {
                high = rho
            } else {
                low = rho
            }
            let step = gap / slope;
            if slope > 0.0 && step.abs() < 1e-12 * rho {
                return Some(rho - step);
            }
            let next = rho - step;
            let next = if slope > 0.0 && next > low && next < high { next } else { 0.5 * (low + high) };
            if (next - rho).abs() <= 4e-16 * rho {
                return Some(next);
            }
            rho = next;
        }
        None
    }

    fn at_t_rho(&self, t: f64, rho: f64) -> Result<MixtureState, Error> {
        self.check_temperature(t)?;
        if !(rho > 0.0 && rho.is_finite()) {
            return Err(Error::DensityOutOfRange { kg_per_m3: rho });
        }
        let molar = rho / self.molar_mass;
        let limits = self.limits();
        if t >= limits.hottest {
            return self.single(t, molar);
        }
        let n = self.model.len();
        let failed = || Error::NotConverged { what: "phase", kelvin: t };
        let bubble = self.saturated_at(t, 0.0);
        if bubble.is_none() && t < limits.critical.0 {
            return Err(failed());
        }
        if let Some(bubble) = &bubble {
            let edge = sum(n, &bubble.liquid);
            if (molar / edge - 1.0).abs() < ON_THE_EDGE {
                return Ok(self.both(bubble));
            }
            if molar > edge {
                return self.single(t, molar);
            }
        }
        let dew = self.saturated_at(t, 1.0).ok_or_else(failed)?;
        let edge = sum(n, &dew.vapour);
        if (molar / edge - 1.0).abs() < ON_THE_EDGE {
            return Ok(self.both(&dew));
        }
        if molar < edge {
            return self.single(t, molar);
        }
        let start = bubble.as_ref().map_or(dew, |bubble| {
            let (l, v) = (1.0 / sum(n, &bubble.liquid), 1.0 / sum(n, &dew.vapour));
            self.between(bubble, &dew, ((1.0 / molar - l) / (v - l)).clamp(0.0, 1.0))
        });
        let specs = [Spec::Temperature(t), Spec::Density(molar)];
        let found = match &bubble {
            Some(bubble) => self.inside(specs, start, [bubble, &dew]),
            None => self.model.two_phases(&self.z, specs, start),
        };
        match found {
            Some(found) if (0.0..=1.0).contains(&found.q) => Ok(self.both(&found)),
            _ if bubble.is_none() => self.single(t, molar),
            _ => Err(Error::NotConverged { what: "phase fraction", kelvin: t }),
        }
    }

    fn at_p_and(&self, p: f64, target: Target, wanted: f64) -> Result<MixtureState, Error> {
        self.check_pressure(p)?;
        if !wanted.is_finite() {
            return Err(Error::NotFinite);
        }
        let (low, high) = self.range();
        let limits = self.limits();
        let one_phase = |t: f64| self.settle_t_p(t, p);
        let found = if p > limits.most_pressure {
            self.climb(low, high, target, wanted, one_phase)?
        } else {
            let failed = Error::NotConverged { what: "saturation temperature", kelvin: limits.critical.0 };
            let edges = self.saturated_at_pressure(p, 0.0).zip(self.saturated_at_pressure(p, 1.0));
            let (bubble, dew) = edges.ok_or(failed)?;
            let n = self.model.len();
            let (at_bubble, at_dew) = (self.both(&bubble), self.both(&dew));
            if wanted < target.of(&at_bubble) {
                let start = (bubble.t, sum(n, &bubble.liquid));
                let liquid = |t: f64| {
                    let rho = self.liquid_density_from(t, p, start);
                    self.single(t, rho.ok_or(Error::NotConverged { what: "density", kelvin: t })?)
                };
                self.climb(low.min(bubble.t), bubble.t, target, wanted, liquid)?
            } else if wanted > target.of(&at_dew) {
                let most = sum(n, &dew.vapour);
                let vapour = |t: f64| {
                    let rho = self.vapour_density(t, p, most);
                    self.single(t, rho.ok_or(Error::NotConverged { what: "density", kelvin: t })?)
                };
                self.climb(dew.t, high, target, wanted, vapour)?
            } else {
                let share = (wanted - target.of(&at_bubble)) / (target.of(&at_dew) - target.of(&at_bubble));
                self.by_quality(p, (&bubble, &dew), target, wanted, share)?
            }
        };
        let gap = (target.of(&found) - wanted).abs();
        reproduced(&found, gap, REPRODUCES * (target.scale() + wanted.abs()), found.raw.t)
    }

    /// A liquid at a pressure above its bubble point, colder than the one whose temperature and density are known.
    ///
    /// Sought from the dense side, where the pressure rises ever more steeply with density: between the phases the equations swing to
    /// huge pressures of either sign and have roots of their own.
    fn liquid_density_from(&self, t: f64, p: f64, (warmer_t, warmer): (f64, f64)) -> Option<f64> {
        let (t_c, rho_c) = self.point;
        let far = |t: f64| (1.0 - t / t_c).max(1e-3);
        // Rackett's form between the two temperatures (H. G. Rackett, J. Chem. Eng. Data 15 (1970) 514-517).
        let stretch = libm::pow(far(t) / far(warmer_t), 2.0 / 7.0);
        let mut rho = 1.02 * rho_c * libm::pow((warmer / rho_c).max(1.01), stretch);
        for _ in 0..80 {
            let (here, slope) = self.model.isotherm(t, rho, &self.z, self.point);
            if slope <= 0.0 || here.is_nan() {
                rho *= 1.03;
                continue;
            }
            let next = (rho - (here - p) / slope).clamp(0.9 * rho, 1.15 * rho);
            if (next - rho).abs() < 1e-13 * rho {
                return Some(next);
            }
            rho = next;
        }
        None
    }

    /// Inside the dome at a pressure: the vapour fraction at which a value is reached.
    fn by_quality(
        &self,
        p: f64,
        (bubble, dew): (&Phases, &Phases),
        target: Target,
        wanted: f64,
        share: f64,
    ) -> Result<MixtureState, Error> {
        let failed = || Error::NotConverged { what: "vapour fraction", kelvin: bubble.t };
        let (mut low, mut high) = (0.0, 1.0);
        let mut q = share.clamp(0.0, 1.0);
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..60 {
            let state = self.both(&self.phases_at_p_q(p, q, bubble, dew).ok_or_else(failed)?);
            let gap = target.of(&state) - wanted;
            if gap.abs() < 1e-11 * (target.scale() + wanted.abs()) || high - low < 1e-15 {
                return Ok(state);
            }
            if gap > 0.0 {
                high = q
            } else {
                low = q
            }
            let slope = match before {
                Some((q0, gap0)) if (q - q0).abs() > 1e-16 => (gap - gap0) / (q - q0),
                _ => (wanted - gap).abs().max(target.scale()),
            };
            before = Some((q, gap));
            let next = q - gap / slope;
            q = if slope > 0.0 && next > low && next < high { next } else { 0.5 * (low + high) };
        }
        Err(failed())
    }

    /// The temperature between two at which a value that grows with temperature is reached.
    fn climb(
        &self,
        low: f64,
        high: f64,
        target: Target,
        wanted: f64,
        at: impl Fn(f64) -> Result<MixtureState, Error>,
    ) -> Result<MixtureState, Error> {
        let (mut low, mut high) = (low, high);
        let mut t = if target == Target::Entropy {
            0.5 * (low + high)
        } else {
            low.max(0.9 * high.min(400.0)).min(high)
        };
        let mut before: Option<(f64, f64)> = None;
        let mut stride = f64::INFINITY;
        for _ in 0..200 {
            let state = at(t)?;
            let gap = target.of(&state) - wanted;
            if gap.abs() < 1e-12 * (target.scale() + wanted.abs()) || high - low < 1e-13 * t {
                return Ok(state);
            }
            if gap > 0.0 {
                high = t
            } else {
                low = t
            }
            let slope = match (before, state.raw.cp, state.raw.cv) {
                (_, Some(cp), _) if target == Target::Enthalpy => cp,
                (_, Some(cp), _) if target == Target::Entropy => cp / t,
                (Some((t0, gap0)), ..) if (t - t0).abs() > 1e-14 * t => (gap - gap0) / (t - t0),
                (_, _, Some(cv)) => cv,
                _ => 1000.0,
            };
            before = Some((t, gap));
            t = newton_or_half(t, gap / slope, &mut stride, (low, high), slope > 0.0);
        }
        Err(Error::NotConverged { what: "temperature", kelvin: t })
    }

    fn at_rho_and(&self, rho: f64, target: Target, wanted: f64) -> Result<MixtureState, Error> {
        if !(rho > 0.0 && rho.is_finite()) {
            return Err(Error::DensityOutOfRange { kg_per_m3: rho });
        }
        if !wanted.is_finite() {
            return Err(Error::NotFinite);
        }
        let (mut low, mut high) = self.range();
        let mut t = 0.5 * (low + self.point.0.min(high));
        let mut before: Option<(f64, f64)> = None;
        let mut stride = f64::INFINITY;
        for _ in 0..200 {
            let state = self.at_t_rho(t, rho)?;
            let gap = target.of(&state) - wanted;
            if gap.abs() < 1e-11 * (target.scale() + wanted.abs()) {
                return Ok(state);
            }
            if high - low < 1e-13 * t {
                break;
            }
            if gap > 0.0 {
                high = t
            } else {
                low = t
            }
            let slope = match (before, state.raw.cv) {
                (_, Some(cv)) => cv,
                (Some((t0, gap0)), None) if (t - t0).abs() > 1e-12 * t => (gap - gap0) / (t - t0),
                _ => 2000.0,
            };
            before = Some((t, gap));
            t = newton_or_half(t, gap / slope, &mut stride, (low, high), slope > 0.0);
        }
        Err(Error::NotConverged { what: "temperature", kelvin: t })
    }
}

impl Surface for Mixture {
    type State = MixtureState;
    fn direct(&self, given: Given) -> Result<MixtureState, Error> {
        self.state(given)
    }
    fn numbers(state: &MixtureState) -> &RawState {
        &state.raw
    }
    fn temperatures(&self) -> (f64, f64) {
        self.range()
    }
    fn highest_pressure(&self) -> f64 {
        self.most_pressure()
    }
    fn middle_density(&self) -> f64 {
        self.point.1 * self.molar_mass
    }
}

/// Newton's next value while its steps shrink and stay in the bracket, the middle of the bracket otherwise: around an inflection the steps
/// alone can go to and fro for ever.
fn newton_or_half(here: f64, step: f64, stride: &mut f64, (low, high): (f64, f64), trusted: bool) -> f64 {
    let next = here - step;
    let fine = trusted && next > low && next < high && step.abs() <= 0.7 * *stride;
    let next = if fine { next } else { 0.5 * (low + high) };
    *stride = (next - here).abs();
    next
}

fn check_quality(q: f64) -> Result<(), Error> {
    if (0.0..=1.0).contains(&q) { Ok(()) } else { Err(Error::QualityOutOfRange { quality: q }) }
}

/// What a relative error of one density step makes of the pressure, Pa.
fn stiffness(state: &MixtureState) -> f64 {
    state.raw.w.map_or(state.raw.p, |w| state.raw.rho * w * w)
}

fn reproduced(state: &MixtureState, gap: f64, allowed: f64, kelvin: f64) -> Result<MixtureState, Error> {
    if gap <= allowed { Ok(state.clone()) } else { Err(Error::NotConverged { what: "state", kelvin }) }
}

impl Model {
    /// Bubble or dew point at a pressure.
    pub(crate) fn saturated_at_pressure(&self, p: f64, z: &Vector, q: f64) -> Option<Phases> {
        let rough = self.rough_temperature(p, z, q);
        let start = self.rough_phases(rough, z, q);
        let specs = [Spec::Pressure(p), Spec::Quality(q)];
        let found = self.two_phases(z, specs, start).filter(|found| self.far_apart(found));
        let found = found.or_else(|| {
            let near = on_line(self, z, self.reduced_point(z).0, specs[0], q)?;
            self.two_phases(z, specs, near).or(Some(near))
        })?;
        let cold = found.t < COLD * self.reduced_point(z).0;
        let sure = if cold { self.cold_at_pressure(p, z, q, found.t) } else { None };
        sure.or(Some(found))
    }

    /// Where there may be two solutions, the one that has this pressure at its temperature: by secants over the logarithms.
    fn cold_at_pressure(&self, p: f64, z: &Vector, q: f64, start: f64) -> Option<Phases> {
        let specs = [Spec::Pressure(p), Spec::Quality(q)];
        let (mut t, mut slope) = (start, TROUTON);
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..30 {
            let here = self.saturated_at(t, z, q)?;
            let gap = libm::log(p / here.p);
            if gap.abs() < 1e-6 {
                return self.two_phases(z, specs, here);
            }
            if let Some((t0, gap0)) = before {
                let found = (gap0 - gap) / libm::log(t / t0);
                slope = if found > 1.0 { found } else { slope };
            }
            before = Some((t, gap));
            t *= libm::exp((gap / slope).clamp(-0.05, 0.05));
        }
        None
    }
}
