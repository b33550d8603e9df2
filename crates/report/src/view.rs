//! The critical point, and which part of the properties a sheet shows.

use stemwise_thermo::{Given, RawState, Substance};
use stemwise_units::{Density, Pressure, SpecificEnergy, Temperature};

use crate::cycle::Cycle;
use crate::options::{Options, highest_fitted};
use crate::scale::{View, nice_step};

/// The lowest temperature shown of a refrigerant whose critical temperature is high.
const COLD_ENOUGH: f64 = 263.15;

/// The critical point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Critical {
    pub(crate) kelvin: f64,
    pub(crate) pascal: f64,
    pub(crate) enthalpy: f64,
    pub(crate) entropy: f64,
    pub(crate) density: f64,
}

/// What is asked of one substance again and again.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asked<'s> {
    pub(crate) substance: &'s Substance,
    pub(crate) critical: Critical,
    /// The lowest and highest temperature that is drawn: what the equations were fitted to.
    pub(crate) kelvin: (f64, f64),
}

impl<'s> Asked<'s> {
    pub(crate) fn new(substance: &'s Substance) -> Result<Self, stemwise_thermo::Error> {
        let critical = critical(substance)?;
        let lowest = substance.lowest_temperature().as_k();
        Ok(Self {
            substance,
            critical,
            kelvin: (lowest, highest_fitted(substance).max(critical.kelvin + 5.0)),
        })
    }
    pub(crate) fn by_t_p(&self, kelvin: f64, pascal: f64) -> Option<RawState> {
        let given = Given::TemperaturePressure(Temperature::from_k(kelvin), Pressure::from_pa(pascal));
        self.substance.raw_state(given).ok()
    }
    pub(crate) fn by_t_q(&self, kelvin: f64, q: f64) -> Option<RawState> {
        self.substance.raw_state(Given::TemperatureQuality(Temperature::from_k(kelvin), q)).ok()
    }
    pub(crate) fn by_p_q(&self, pascal: f64, q: f64) -> Option<RawState> {
        self.substance.raw_state(Given::PressureQuality(Pressure::from_pa(pascal), q)).ok()
    }
    pub(crate) fn by_p_h(&self, pascal: f64, enthalpy: f64) -> Option<RawState> {
        let enthalpy = SpecificEnergy::from_j_per_kg(enthalpy);
        self.substance.raw_state(Given::PressureEnthalpy(Pressure::from_pa(pascal), enthalpy)).ok()
    }
    /// The liquid above a bubble point's pressure, or the vapour below a dew point's, at the same temperature.
    pub(crate) fn beside(&self, edge: &RawState, pascal: f64) -> Option<RawState> {
        let rho = if edge.q == Some(0.0) {
            self.substance.liquid_density_raw(edge.t, pascal, edge.rho)
        } else {
            self.substance.vapour_density_raw(edge.t, pascal, edge.rho)
        };
        let given = Given::TemperatureDensity(Temperature::from_k(edge.t), Density::from_kg_per_m3(rho?));
        self.substance.raw_state(given).ok()
    }
    /// Where two phases begin, at the lowest temperature or pressure: bubble and dew point.
    pub(crate) fn foot(&self, pascal: f64) -> Option<(RawState, RawState)> {
        if pascal >= self.critical.pascal {
            return None;
        }
        let coldest = self.kelvin.0 + 0.01;
        let at_pressure = |pascal, q| self.by_p_q(pascal, q).filter(|state| state.t >= coldest);
        let at_coldest = |q| self.by_t_q(coldest, q);
        // Where the model has no answer at the edge itself, the lines start where it has one.
        let higher = [1.0, 1.02, 1.05, 1.1, 1.2, 1.35, 1.5].map(|part| part * pascal);
        let found =
            higher.into_iter().find_map(|pascal| at_pressure(pascal, 0.0).zip(at_pressure(pascal, 1.0)));
        found.or_else(|| at_coldest(0.0).zip(at_coldest(1.0)))
    }
}

/// From the saturated states next to it: the means of both phases, as near as they are answered.
fn critical(substance: &Substance) -> Result<Critical, stemwise_thermo::Error> {
    let (kelvin, pascal) = (substance.critical_temperature().as_k(), substance.critical_pressure().as_pa());
    let both = |below: f64| {
        let liquid =
            substance.raw_state(Given::TemperatureQuality(Temperature::from_k(kelvin - below), 0.0))?;
        let vapour =
            substance.raw_state(Given::PressureQuality(Pressure::from_pa(liquid.p.min(pascal)), 1.0))?;
        let mean = |of: fn(&RawState) -> f64| f64::midpoint(of(&liquid), of(&vapour));
        Ok(Critical {
            kelvin,
            pascal,
            enthalpy: mean(|state| state.h),
            entropy: mean(|state| state.s),
            density: mean(|state| state.rho),
        })
    };
    let mut found = both(1e-3);
    for below in [0.01, 0.03, 0.1, 0.3, 1.0] {
        if found.is_ok() {
            break;
        }
        found = both(below);
    }
    found
}

/// What is drawn: as asked, or what a refrigerant and a cycle need.
pub(crate) fn view(asked: &Asked<'_>, options: &Options, cycle: Option<&Cycle>) -> View {
    let pressure =
        options.pressures.map_or_else(|| pressures(asked, cycle), |(low, high)| (low.as_pa(), high.as_pa()));
    let enthalpy = options.enthalpies.map_or_else(
        || enthalpies(asked, pressure, cycle),
        |(low, high)| (low.as_j_per_kg(), high.as_j_per_kg()),
    );
    View { enthalpy, pressure }
}

fn pressures(asked: &Asked<'_>, cycle: Option<&Cycle>) -> (f64, f64) {
    let critical = asked.critical;
    let coldest = (0.58 * critical.kelvin).min(COLD_ENOUGH).max(asked.kelvin.0 + 0.01);
    let mut low = asked.by_t_q(coldest, 1.0).map_or(critical.pascal / 200.0, |state| state.p);
    let mut high = 2.0 * critical.pascal;
    if let Some([suction, discharge, ..]) = cycle.map(Cycle::points) {
        low = low.min(0.6 * suction.p);
        high = high.max(1.5 * discharge.p);
    }
    (round_down(low), round_up(high))
}

const ROUND: [f64; 9] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0];

fn round_down(value: f64) -> f64 {
    let size = libm::pow(10.0, libm::floor(libm::log10(value)));
    ROUND.into_iter().rev().map(|part| part * size).find(|round| *round <= 1.02 * value).unwrap_or(size)
}

fn round_up(value: f64) -> f64 {
    let size = libm::pow(10.0, libm::floor(libm::log10(value)));
    ROUND.into_iter().map(|part| part * size).find(|round| *round >= 0.98 * value).unwrap_or(10.0 * size)
}

fn enthalpies(asked: &Asked<'_>, (low, high): (f64, f64), cycle: Option<&Cycle>) -> (f64, f64) {
    let critical = asked.critical;
    let (liquid, most) = match asked.foot(low) {
        Some((bubble, dew)) => {
            let steps = (1..20).filter_map(|n| {
                let part = f64::from(n) / 20.0;
                asked.by_p_q(dew.p * libm::pow(critical.pascal / dew.p, part), 1.0)
            });
            (bubble.h, steps.map(|state| state.h).fold(dew.h, f64::max))
        }
        None => (critical.enthalpy - 1e5, critical.enthalpy + 1e5),
    };
    let span = (most - liquid).max(2e4);
    let mut left = liquid - 0.04 * span;
    let mut right = most + 0.46 * span;
    let hottest = asked.by_t_p(asked.kelvin.1, low.min(0.5 * high));
    right = hottest.map_or(right, |state| right.min(state.h + 0.02 * span));
    if let Some([_, discharge, liquid, _]) = cycle.map(Cycle::points) {
        left = left.min(liquid.h - 0.04 * span);
        right = right.max(discharge.h + 0.08 * span);
    }
    let step = nice_step(span / 40.0);
    (step * libm::floor(left / step), step * libm::ceil(right / step))
}
