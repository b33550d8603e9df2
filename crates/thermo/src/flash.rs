//! States from pairs of given values: a result is returned only if it reproduces what was given and is stable.

use crate::Error;
use crate::curves::{Edge, Edges};
use crate::eos::{Eos, Props};
use crate::saturation::SatPoint;
use crate::state::{Phase, RawState};

/// Relative agreement that a result must have with what was given.
const REPRODUCES: f64 = 1e-9;
/// Within this part of the saturation pressure a (T, p) pair does not say which phase is meant.
const ON_THE_CURVE: f64 = 1e-10;

/// How far a bound on the density is moved beyond the saturation curve.
const A_LITTLE: f64 = 1e-9;
/// Densities closer than this, as a part, are the same but for rounding.
const SAME_DENSITY: f64 = 1e-12;
/// Steps that Newton gets in two unknowns.
const QUICK_STEPS: usize = 25;

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
    /// At the edges of the dome, liquid and vapour.
    fn at_edges(self, sat: &SatPoint, edges: &Edges, molar_mass: f64) -> (f64, f64) {
        let at = |edge: &Edge, molar: f64| match self {
            Self::Enthalpy => edge.h,
            Self::Entropy => edge.s,
            Self::Energy => edge.h - sat.p / (molar * molar_mass),
        };
        (at(&edges.liquid, sat.liquid), at(&edges.vapour, sat.vapour))
    }
    /// A size against which a difference is small.
    const fn scale(self) -> f64 {
        match self {
            Self::Enthalpy | Self::Energy => 1e5,
            Self::Entropy => 1e3,
        }
    }
}

/// What is looked for on an isobar: a value of the target, temperature and density inside bounds.
pub(crate) struct Wanted {
    pub(crate) p: f64,
    pub(crate) target: Target,
    pub(crate) value: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) branch: (f64, f64),
}

/// Energy at constant density and its slope by temperature; the properties where there is one phase.
pub(crate) struct Energy {
    pub(crate) u: f64,
    slope: f64,
    single: Option<Props>,
}

/// Where the slope changes much, Newton can jump to and fro for ever: then every second step halves the bracket.
fn goes_round(step: usize, floor: f64, ceiling: f64) -> bool {
    step >= 8 && step.is_multiple_of(2) && ceiling - floor > 1e-4 * ceiling
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

    #[inline]
    fn accept_single(&self, t: f64, molar: f64, props: &Props) -> Result<RawState, Error> {
        self.accept(t, molar, molar * self.data.molar_mass, props)
    }

    /// With the density by mass that was given, not what two conversions make of it.
    #[inline]
    fn accept(&self, t: f64, molar: f64, rho: f64, props: &Props) -> Result<RawState, Error> {
        if !(props.dp_drho > 0.0 && props.p.is_finite() && props.h.is_finite()) {
            return Err(Error::Unstable { kelvin: t, kg_per_m3: rho });
        }
        Ok(RawState::single(t, rho, props, self.phase_of(t, molar, props.p)))
    }

    fn phase_of(&self, t: f64, rho: f64, p: f64) -> Phase {
        let top = &self.top;
        if t >= top.temperature {
            if p >= top.pressure { Phase::Supercritical } else { Phase::Vapour }
        } else if rho > top.density {
            Phase::Liquid
        } else {
            Phase::Vapour
        }
    }

    /// At the ends the state is that of the one phase, which has heat capacities and a speed of sound.
    fn two_phase(&self, sat: &SatPoint, quality: f64) -> RawState {
        let molar_mass = self.data.molar_mass;
        if quality > 0.0 && quality < 1.0 {
            return RawState::two_phase(sat, quality, &self.edges(sat), molar_mass);
        }
        let (molar, phase) =
            if quality <= 0.0 { (sat.liquid, Phase::Liquid) } else { (sat.vapour, Phase::Vapour) };
        let props = self.props(sat.t, molar);
        RawState {
            p: sat.p,
            q: Some(quality),
            rho_l: Some(sat.liquid * molar_mass),
            rho_v: Some(sat.vapour * molar_mass),
            ..RawState::single(sat.t, molar * molar_mass, &props, phase)
        }
    }

    /// (T, rho); rho in kg/m³.
    pub(crate) fn at_t_rho(&self, t: f64, rho: f64) -> Result<RawState, Error> {
        self.check_temperature(t)?;
        if !(rho > 0.0 && rho.is_finite()) {
            return Err(Error::DensityOutOfRange { kg_per_m3: rho });
        }
        let molar = self.molar(rho);
        if t < self.top.temperature && !self.curves().is_some_and(|curves| curves.far_from_dome(t, molar)) {
            let sat = self.saturation(t)?;
            if molar > sat.vapour && molar < sat.liquid {
                return Ok(self.two_phase(&sat, self.quality(&sat, molar)));
            }
        }
        let props = self.props(t, molar);
        self.check_pressure(props.p)?;
        self.accept(t, molar, rho, &props)
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
        if t >= self.top.temperature {
            return self.bracketed_density(t, p, p * 1e-12, most).ok_or_else(none);
        }
        let sat = match self.saturation(t) {
            // A sliver below the published critical temperature the equation itself has no dome any more.
            Err(_) if t > 0.9995 * self.top.temperature => {
                return self.bracketed_density(t, p, p * 1e-12, most).ok_or_else(none);
            }
            other => other?,
        };
        if (p - sat.p).abs() <= ON_THE_CURVE * sat.p {
            return Err(Error::OnSaturation { kelvin: t, pascal: p });
        }
        let at = self.at_temperature(t);
        // The ends lie a little beyond the curve, whose last places they might cut off.
        let found = if p < sat.p {
            // Along an isotherm p/(rho R T) falls nearly straight with the pressure.
            let z = 1.0 + (sat.p / (sat.vapour * at.rt) - 1.0) * p / sat.p;
            at.density(p, 0.0, sat.vapour * (1.0 + A_LITTLE), p / (z * at.rt))
        } else {
            at.density(p, sat.liquid * (1.0 - A_LITTLE), most, sat.liquid)
        };
        found.ok_or_else(none)
    }

    /// (T, p).
    pub(crate) fn at_t_p(&self, t: f64, p: f64) -> Result<RawState, Error> {
        let molar = self.density(t, p)?;
        let props = self.props(t, molar);
        let mut state = self.accept_single(t, molar, &props)?;
        // A cold liquid's pressure is a small difference of large terms, which sum up here and in the density solve in different orders: what
        // counts is the density that it stands for.
        let uncertain = REPRODUCES * p + SAME_DENSITY * molar * props.dp_drho;
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
        let (low, high) = (self.data.min_temperature, 1.5 * self.data.max_temperature);
        if p < self.top.pressure
            && let Ok((sat, edges)) = self.edges_at_pressure(p)
        {
            let (l, v) = target.at_edges(&sat, &edges, self.data.molar_mass);
            if value >= l && value <= v {
                let quality = (value - l) / (v - l);
                return Ok(if quality > 0.0 && quality < 1.0 {
                    RawState::two_phase(&sat, quality, &edges, self.data.molar_mass)
                } else {
                    self.two_phase(&sat, quality)
                });
            }
            return if value < l {
                let branch = (sat.liquid * (1.0 - A_LITTLE), self.densest);
                let wanted = Wanted { p, target, value, low, high: sat.t, branch };
                self.on_isobar(&wanted, None, || self.cold_start(sat.t, target, value))
            } else {
                let branch = (0.0, sat.vapour * (1.0 + A_LITTLE));
                let wanted = Wanted { p, target, value, low: sat.t, high, branch };
                self.on_isobar(&wanted, self.start_on_isobar(&wanted), || (sat.t, sat.vapour))
            };
        }
        let wanted = Wanted { p, target, value, low, high, branch: (0.0, self.densest) };
        let start = self.start_on_isobar(&wanted);
        self.on_isobar(&wanted, start, || self.start_without_saturation(p, target, value))
    }

    /// Quickly from one start or another; else slowly.
    fn on_isobar(
        &self,
        wanted: &Wanted,
        first: Option<(f64, f64)>,
        second: impl FnOnce() -> (f64, f64),
    ) -> Result<RawState, Error> {
        let found = first.and_then(|start| self.quickly(wanted, start));
        found.or_else(|| self.quickly(wanted, second())).map_or_else(|| self.along_isobar(wanted), Ok)
    }

    /// Where Newton starts for a vapour and above the critical pressure.
    fn start_on_isobar(&self, wanted: &Wanted) -> Option<(f64, f64)> {
        let known = wanted.target == Target::Enthalpy;
        known.then(|| self.starts().isobaric(wanted.p, wanted.value, self.top.pressure)).flatten()
    }

    /// Where Newton starts for a liquid: a saturated one of nearly that energy, not above `high`.
    fn cold_start(&self, high: f64, target: Target, value: f64) -> (f64, f64) {
        let entropy = target == Target::Entropy;
        let low = self.data.min_temperature;
        let mut t = (0.95 * high).max(low);
        for _ in 0..3 {
            let Some(place) = self.curves().and_then(|curves| curves.at(t)) else { break };
            let (energy, slope) = place.liquid_energy(entropy);
            t = (t - (energy - value) / slope).clamp(low, high);
        }
        let sat = self.curves().and_then(|curves| curves.at(t)).map(|place| place.saturation());
        sat.map_or((t, self.start_liquid(t)), |sat| (t, sat.liquid))
    }

    /// Where Newton starts above the critical pressure and below the lowest of saturation.
    fn start_without_saturation(&self, p: f64, target: Target, value: f64) -> (f64, f64) {
        let data = &self.data;
        let thin = |t: f64, z: f64| (t, p / (z * data.gas_constant * t));
        match self.curves().and_then(|curves| curves.last()) {
            Some(top) if p < top.p => thin(self.top.temperature, 1.0),
            Some(top) if value < target.at_edges(&top, &self.edges(&top), data.molar_mass).0 => {
                self.cold_start(top.t, target, value)
            }
            _ => thin(1.1 * self.top.temperature, 0.7),
        }
    }

    /// Newton in the logarithms of temperature and density; none unless it settles on a stable state inside the bounds. The slow way along the
    /// isobar answers then.
    pub(crate) fn quickly(&self, wanted: &Wanted, start: (f64, f64)) -> Option<RawState> {
        let &Wanted { p, target, value, .. } = wanted;
        let (mut from, mut step) = (start, (0.0, 0.0));
        for _ in 0..QUICK_STEPS {
            // Nearly exp(x), so that a density never gets below zero.
            let t = from.0 * (2.0 + step.0) / (2.0 - step.0);
            let rho = from.1 * (2.0 + step.1) / (2.0 - step.1);
            let props = self.props(t, rho);
            if props.dp_drho <= 0.0 || props.dp_drho.is_nan() {
                // Back from where nothing is stable.
                step = (0.5 * step.0, 0.5 * step.1);
                continue;
            }
            let (gap_p, gap) = (p - props.p, value - target.of(&props));
            let uncertain = 1e-12 * p + 0.1 * SAME_DENSITY * rho * props.dp_drho;
            if gap_p.abs() <= uncertain && gap.abs() <= 1e-12 * target.scale() {
                return self.accept_quick(t, rho, wanted, &props);
            }
            let (by_t, by_rho) = self.slopes(t, rho, &props, target);
            let det = by_t * props.dp_drho - by_rho * props.dp_dt;
            let dt = (gap * props.dp_drho - gap_p * by_rho) / det / t;
            let drho = (gap_p * by_t - gap * props.dp_dt) / det / rho;
            if !(dt.is_finite() && drho.is_finite()) {
                return None;
            }
            (from, step) = ((t, rho), (dt.clamp(-0.3, 0.3), drho.clamp(-0.7, 0.7)));
        }
        None
    }

    /// Slopes of the target by temperature at constant density, and by molar density at constant temperature.
    fn slopes(&self, t: f64, rho: f64, props: &Props, target: Target) -> (f64, f64) {
        let molar = self.data.molar_mass;
        let inner = (props.p - t * props.dp_dt) / (rho * rho * molar);
        match target {
            Target::Energy => (props.cv, inner),
            Target::Enthalpy => (
                props.cv + props.dp_dt / (rho * molar),
                (props.dp_drho * rho - t * props.dp_dt) / (rho * rho * molar),
            ),
            Target::Entropy => (props.cv / t, -props.dp_dt / (rho * rho * molar)),
        }
    }

    /// Checks the bounds and the branch: below the critical temperature and above the critical pressure only a liquid is stable.
    fn accept_quick(&self, t: f64, rho: f64, wanted: &Wanted, props: &Props) -> Option<RawState> {
        let &Wanted { p, low, high, branch, .. } = wanted;
        let inside = t >= low && t <= high && rho >= branch.0 && rho <= branch.1;
        let right = if t >= self.top.temperature {
            true
        } else if p >= self.top.pressure {
            self.saturation(t).is_ok_and(|sat| rho > sat.liquid)
        } else {
            branch.0 > 0.0 || rho < self.top.density
        };
        let mut state = self.accept_single(t, rho, props).ok().filter(|_| inside && right)?;
        state.p = p;
        Some(state)
    }

    /// Newton in T, kept in a bracket, with the density followed along the isobar; densities stay inside `branch`.
    fn along_isobar(&self, wanted: &Wanted) -> Result<RawState, Error> {
        let &Wanted { p, target, value, low, high, branch } = wanted;
        let none = || Error::NotConverged { what: "temperature", kelvin: 0.5 * (low + high) };
        let (mut floor, mut ceiling) = (low, high);
        let mut t = if branch.0 > 0.0 { high - 1e-6 } else { low + 1e-6 };
        if self.top.pressure <= p {
            t = 0.5 * (low + high);
        }
        for step in 0..100 {
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
            let newton = slope > 0.0 && next > floor && next < ceiling && !goes_round(step, floor, ceiling);
            let next = if newton { next } else { 0.5 * (floor + ceiling) };
            if gap.abs() <= 1e-13 * target.scale() || (next - t).abs() <= 1e-12 * t {
                return self.accept_isobaric(t, rho, p, target, value);
            }
            t = next;
        }
        Err(none())
    }

    fn density_on(&self, t: f64, p: f64, branch: (f64, f64)) -> Option<f64> {
        if t >= self.top.temperature {
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
        if p >= self.top.pressure {
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
        let props = self.props(t, rho);
        let mut state = self.accept_single(t, rho, &props)?;
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
        let middle = 0.5 * (self.data.min_temperature + self.top.temperature);
        let start = self.starts().isochoric(molar, u).unwrap_or(middle);
        let (t, energy) = self.temperature_of_energy(u, start, |t| Ok(self.energy_at(t, molar)))?;
        self.accept_rho_u(t, rho, u, energy.single)
    }

    /// Newton in T, kept in a bracket; the energy rises all the way.
    pub(crate) fn temperature_of_energy(
        &self,
        u: f64,
        start: f64,
        at: impl Fn(f64) -> Result<Energy, Error>,
    ) -> Result<(f64, Energy), Error> {
        let (mut floor, mut ceiling) = (self.data.min_temperature, 1.5 * self.data.max_temperature);
        let mut t = start.clamp(floor, ceiling);
        for step in 0..100 {
            let here = at(t)?;
            let gap = here.u - u;
            if gap > 0.0 {
                ceiling = t
            } else {
                floor = t
            }
            let next = t - gap / here.slope;
            let newton = next > floor && next < ceiling && !goes_round(step, floor, ceiling);
            let next = if newton { next } else { 0.5 * (floor + ceiling) };
            if gap.abs() <= 1e-12 * Target::Energy.scale() || (next - t).abs() <= 1e-12 * t {
                return Ok((t, here));
            }
            t = next;
        }
        Err(Error::NotConverged { what: "temperature", kelvin: t })
    }

    /// The state at the temperature that was found, if it has that energy.
    fn accept_rho_u(&self, t: f64, rho: f64, u: f64, single: Option<Props>) -> Result<RawState, Error> {
        let state = match single {
            Some(props) => self.accept(t, self.molar(rho), rho, &props)?,
            None => self.at_t_rho(t, rho)?,
        };
        self.check_temperature(t)?;
        self.check_pressure(state.p)?;
        if (state.u - u).abs() <= REPRODUCES * Target::Energy.scale().max(u.abs()) {
            Ok(state)
        } else {
            Err(Error::NotConverged { what: "temperature", kelvin: t })
        }
    }

    fn energy_at(&self, t: f64, molar: f64) -> Energy {
        if let Some(energy) = self.energy_by_curves(t, molar) {
            return energy;
        }
        let sat = self.saturation(t).ok();
        if let Some(sat) = sat.filter(|sat| molar > sat.vapour && molar < sat.liquid) {
            let (u, slope) = self.two_phase_energy(&sat, molar);
            return Energy { u, slope, single: None };
        }
        // Without a saturation this close to the top, Newton may pass; whether it may stay is asked at the end.
        Energy { single: None, ..self.energy_of_one(t, molar) }
    }

    /// None below the critical temperature where the curves have ended.
    pub(crate) fn energy_by_curves(&self, t: f64, molar: f64) -> Option<Energy> {
        if t < self.top.temperature && !self.curves()?.far_from_dome(t, molar) {
            let place = self.curves()?.at(t)?;
            if let Some((u, slope)) = place.energy_inside(molar, self.data.molar_mass) {
                return Some(Energy { u, slope, single: None });
            }
        }
        Some(self.energy_of_one(t, molar))
    }

    fn energy_of_one(&self, t: f64, molar: f64) -> Energy {
        let props = self.props(t, molar);
        Energy { u: props.u, slope: props.cv.max(1.0), single: Some(props) }
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
