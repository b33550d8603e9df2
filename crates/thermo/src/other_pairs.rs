//! States from the pairs that no solver of its own answers: one bracketed search each over states that are answered.
//!
//! Each search runs along a line on which the wanted value changes in one direction only, so that what it finds is the one state: entropy,
//! energy, enthalpy and pressure rise with temperature at fixed density; enthalpy and energy rise with pressure at fixed entropy.

use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

use crate::state::RawState;
use crate::{Error, Given};

/// What states are answered by directly.
pub(crate) trait Surface {
    /// A state.
    type State: Clone;
    /// The state of a pair that is answered directly.
    fn direct(&self, given: Given) -> Result<Self::State, Error>;
    /// Its numbers.
    fn numbers(state: &Self::State) -> &RawState;
    /// The lowest and highest temperature, K.
    fn temperatures(&self) -> (f64, f64);
    /// The highest pressure, Pa.
    fn highest_pressure(&self) -> f64;
    /// The critical density or one near it, kg/m³.
    fn middle_density(&self) -> f64;
}

/// The second value of a search.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Wanted {
    Pressure(f64),
    Enthalpy(f64),
    Entropy(f64),
    Energy(f64),
}

impl Wanted {
    const fn value(self) -> f64 {
        match self {
            Self::Pressure(value) | Self::Enthalpy(value) | Self::Entropy(value) | Self::Energy(value) => {
                value
            }
        }
    }

    const fn of(self, raw: &RawState) -> f64 {
        match self {
            Self::Pressure(_) => raw.p,
            Self::Enthalpy(_) => raw.h,
            Self::Entropy(_) => raw.s,
            Self::Energy(_) => raw.u,
        }
    }

    /// A size against which a difference is small.
    fn scale(self) -> f64 {
        match self {
            Self::Pressure(value) => value.abs(),
            Self::Enthalpy(value) | Self::Energy(value) => 1e5 + value.abs(),
            Self::Entropy(value) => 1e3 + value.abs(),
        }
    }
}

/// Relative agreement that a result must have with what was given.
const REPRODUCES: f64 = 1e-9;
/// Searches along an isentrope begin so far below the highest pressure, and go in such steps, both in the logarithm.
const MIDDLE: f64 = 5.0;
const STEP: f64 = 1.0;
/// Beside a pressure, in the logarithm.
const BESIDE: [f64; 3] = [-0.07, 0.07, -0.3];
/// The lowest pressure of such searches, Pa.
const LEAST_PRESSURE: f64 = 1e-3;
/// The logarithm of the thinnest density that is looked at, kg/m³.
const THINNEST: f64 = -60.0;
const MOST_STEPS: u32 = 2000;
/// The first step towards denser states, in the logarithm.
const FIRST_STEP: f64 = 1e-5;
/// Where a search tries next, as parts of its bracket, after a place without an answer.
const ASIDE: [f64; 7] = [0.75, 0.25, 0.9, 0.6, 0.97, 0.4, 0.1];
/// What the densities of a saturated phase may be off, as a part.
const ON_THE_CURVE: f64 = 2e-10;

/// The state of a pair that a surface does not answer directly.
pub(crate) fn indirect<S: Surface>(surface: &S, given: Given) -> Result<S::State, Error> {
    let (energy, entropy) = (SpecificEnergy::as_j_per_kg, SpecificHeat::as_j_per_kg_k);
    match given {
        Given::PressureDensity(p, rho) => {
            by_density(surface, rho.as_kg_per_m3(), Wanted::Pressure(p.as_pa()))
        }
        Given::DensityEnthalpy(rho, h) => {
            by_density(surface, rho.as_kg_per_m3(), Wanted::Enthalpy(energy(h)))
        }
        Given::DensityEntropy(rho, s) => by_density(surface, rho.as_kg_per_m3(), Wanted::Entropy(entropy(s))),
        Given::DensityEnergy(rho, u) => by_density(surface, rho.as_kg_per_m3(), Wanted::Energy(energy(u))),
        Given::EnthalpyEntropy(h, s) => by_entropy(surface, entropy(s), Wanted::Enthalpy(energy(h))),
        Given::EntropyEnergy(s, u) => by_entropy(surface, entropy(s), Wanted::Energy(energy(u))),
        Given::TemperatureEnthalpy(t, h) => by_temperature(surface, t.as_k(), Wanted::Enthalpy(energy(h))),
        Given::TemperatureEntropy(t, s) => by_temperature(surface, t.as_k(), Wanted::Entropy(entropy(s))),
        Given::TemperatureEnergy(t, u) => by_temperature(surface, t.as_k(), Wanted::Energy(energy(u))),
        direct => surface.direct(direct),
    }
}

/// What a try along a line gave.
enum Tried<T> {
    State(T),
    /// The try lies outside the range, before its beginning or beyond its end.
    Before(Error),
    Beyond(Error),
}

/// A temperature or pressure that is too high lies beyond.
fn tried<T>(result: Result<T, Error>) -> Result<Tried<T>, Error> {
    match result {
        Ok(state) => Ok(Tried::State(state)),
        Err(error @ (Error::TemperatureOutOfRange { .. } | Error::PressureOutOfRange { .. })) => {
            Ok(Tried::Beyond(error))
        }
        Err(error) => Err(error),
    }
}

/// Density, and what rises with temperature at fixed density.
fn by_density<S: Surface>(surface: &S, rho: f64, wanted: Wanted) -> Result<S::State, Error> {
    let (low, high) = surface.temperatures();
    let density = Density::from_kg_per_m3(rho);
    let at = |t: f64| tried(surface.direct(Given::TemperatureDensity(Temperature::from_k(t), density)));
    search::<S>((low, high), wanted, true, at)
}

/// Entropy, and what rises with pressure at fixed entropy.
fn by_entropy<S: Surface>(surface: &S, s: f64, wanted: Wanted) -> Result<S::State, Error> {
    let (coldest, hottest) = surface.temperatures();
    let entropy = SpecificHeat::from_j_per_kg_k(s);
    let limit = |p: f64, t: f64| {
        let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
        surface.direct(given).map(|state| S::numbers(&state).s)
    };
    let at = |log_p: f64| {
        let p = libm::exp(log_p);
        match surface.direct(Given::PressureEntropy(Pressure::from_pa(p), entropy)) {
            Ok(state) => Ok(Tried::State(state)),
            // Where the temperature that belongs to the entropy lies outside the range, its ends say on which side.
            Err(error) => match (limit(p, coldest), limit(p, hottest)) {
                (Ok(least), _) if s < least => Ok(Tried::Before(error)),
                (_, Ok(most)) if s > most => Ok(Tried::Beyond(error)),
                _ => Err(error),
            },
        }
    };
    let ends = stepwise::<S>(libm::log(surface.highest_pressure()), wanted, at)?;
    search::<S>(ends, wanted, true, at)
}

/// A bracket around the wanted value, in steps from the middle pressures to the extremes, where states are harder to find.
fn stepwise<S: Surface>(
    most: f64,
    wanted: Wanted,
    at: impl Fn(f64) -> Result<Tried<S::State>, Error>,
) -> Result<(f64, f64), Error> {
    let is_below = |x: f64| {
        // Where no state is found, one beside it tells as much.
        let mut tried = at(x);
        for shift in BESIDE {
            if matches!(tried, Err(Error::NotConverged { .. })) {
                tried = at(x + shift);
            }
        }
        tried.map(|tried| match tried {
            Tried::State(state) => wanted.of(S::numbers(&state)) < wanted.value(),
            Tried::Before(_) => true,
            Tried::Beyond(_) => false,
        })
    };
    let start = most - MIDDLE;
    let upwards = is_below(start)?;
    let mut x = start;
    loop {
        let next = if upwards { (x + STEP).min(most - 1e-12) } else { x - STEP };
        // Beyond the last pressure with an answer the bracket ends, too.
        let passed = is_below(next).ok() != Some(upwards);
        if passed || (upwards && next >= most - 1e-9) || next < libm::log(LEAST_PRESSURE) {
            return Ok(if upwards { (x, next) } else { (next, x) });
        }
        x = next;
    }
}

/// Temperature, and an energy or the entropy. Where a compressed liquid has the same enthalpy or energy as a thinner state, the thinner one is
/// meant.
fn by_temperature<S: Surface>(surface: &S, t: f64, wanted: Wanted) -> Result<S::State, Error> {
    let temperature = Temperature::from_k(t);
    let at_quality = |q: f64| surface.direct(Given::TemperatureQuality(temperature, q));
    let at = |log: f64| {
        let density = Density::from_kg_per_m3(libm::exp(log));
        surface.direct(Given::TemperatureDensity(temperature, density))
    };
    let value = |state: &S::State| wanted.of(S::numbers(state));
    let log_rho = |state: &S::State| libm::log(S::numbers(state).rho);
    let along = |ends: (f64, f64)| search::<S>(ends, wanted, false, |log| tried(at(log)));
    // What is given may be rounded, and leave nothing but the saturation curve itself.
    let or_saturated = |found: Result<S::State, Error>, saturated: S::State| {
        let close = (value(&saturated) - wanted.value()).abs() <= REPRODUCES * wanted.scale();
        found.or_else(|error| if close { Ok(saturated) } else { Err(error) })
    };
    match (at_quality(0.0), at_quality(1.0)) {
        (Ok(bubble), Ok(_)) if wanted.value() < value(&bubble) => {
            let from = log_rho(&bubble);
            let found = crossing::<S>(from, 0.02, wanted, t, at).and_then(|end| along((from, end)));
            or_saturated(found, bubble)
        }
        (Ok(_), Ok(dew)) if wanted.value() > value(&dew) => {
            let most = log_rho(&dew) - 1e-12;
            let found = crossing::<S>(most, -1.0, wanted, t, at).and_then(|end| along((end, most)));
            or_saturated(found, dew)
        }
        (Ok(_), Ok(_)) => search::<S>((0.0, 1.0), wanted, true, |q| tried(at_quality(q))),
        _ => {
            let middle = libm::log(1e-3 * surface.middle_density());
            let thin = crossing::<S>(middle, -1.0, wanted, t, at)?;
            along((thin, crossing::<S>(thin, 0.02, wanted, t, at)?))
        }
    }
}

/// The density, by its logarithm, at which the value first passes the wanted one: upwards with a positive step, where it falls below, and
/// downwards with a negative one.
fn crossing<S: Surface>(
    from: f64,
    step: f64,
    wanted: Wanted,
    kelvin: f64,
    at: impl Fn(f64) -> Result<S::State, Error>,
) -> Result<f64, Error> {
    let gap = |log: f64| at(log).map(|state| wanted.of(S::numbers(&state)) - wanted.value());
    // A compressed liquid's enthalpy may turn soon: short steps first.
    let (most, mut step) = if step > 0.0 { (step, FIRST_STEP) } else { (f64::INFINITY, step) };
    let mut passed = [(from, f64::INFINITY); 2];
    let mut log = from;
    for _ in 0..MOST_STEPS {
        let here = match gap(log) {
            // Nothing as dense as this is answered any more: up to there in shorter steps.
            Err(Error::PressureOutOfRange { .. } | Error::Unstable { .. })
                if step > FIRST_STEP * FIRST_STEP =>
            {
                (log, step) = (log - 0.5 * step, 0.5 * step);
                continue;
            }
            Err(Error::PressureOutOfRange { .. }) => break,
            other => other?,
        };
        if here * step < 0.0 {
            return Ok(log);
        }
        if step > 0.0 && here > passed[1].1 {
            return lowest(passed[0].0, log, gap)?.ok_or(Error::NotConverged { what: "density", kelvin });
        }
        passed = [passed[1], (log, here)];
        if step > 0.0 {
            step = most.min(2.0 * step);
        }
        log += step;
        if log < THINNEST {
            break;
        }
    }
    Err(Error::NotConverged { what: "density", kelvin })
}

/// Where a gap with one lowest place between two ends is below zero; none where it isn't anywhere.
fn lowest(low: f64, high: f64, gap: impl Fn(f64) -> Result<f64, Error>) -> Result<Option<f64>, Error> {
    let (mut low, mut high) = (low, high);
    for _ in 0..60 {
        let third = (high - low) / 3.0;
        let (a, b) = (low + third, high - third);
        let (at_a, at_b) = (gap(a)?, gap(b)?);
        if at_a < 0.0 || at_b < 0.0 {
            return Ok(Some(if at_a < 0.0 { a } else { b }));
        }
        if at_a < at_b { high = b } else { low = a }
    }
    Ok(None)
}

/// Where a search stands: the ends of its bracket, and how far off the value is there.
struct Bracket {
    low: f64,
    high: f64,
    at_low: Option<f64>,
    at_high: Option<f64>,
    /// How many times in a row the same end has moved.
    kept: i32,
}

impl Bracket {
    /// The next try: the false position where both ends are known, otherwise the middle.
    fn next(&self) -> f64 {
        let middle = 0.5 * (self.low + self.high);
        match (self.at_low, self.at_high) {
            (Some(a), Some(b)) => {
                let x = self.high - b * (self.high - self.low) / (b - a);
                if x > self.low && x < self.high { x } else { middle }
            }
            _ => middle,
        }
    }

    /// So far along.
    fn part(&self, part: f64) -> f64 {
        self.low + part * (self.high - self.low)
    }

    /// Illinois: an end that stays counts half.
    fn take(&mut self, x: f64, gap: f64) {
        if gap < 0.0 {
            (self.low, self.at_low) = (x, Some(gap));
            self.kept = self.kept.min(0) - 1;
            self.at_high = self.at_high.map(|b| if self.kept < -1 { 0.5 * b } else { b });
        } else {
            (self.high, self.at_high) = (x, Some(gap));
            self.kept = self.kept.max(0) + 1;
            self.at_low = self.at_low.map(|a| if self.kept > 1 { 0.5 * a } else { a });
        }
    }
}

/// What a pressure changes by where a density doubles, Pa; zero in two phases.
fn stiffness(raw: &RawState) -> f64 {
    match (raw.w, raw.cv, raw.cp) {
        (Some(w), Some(cv), Some(cp)) => raw.rho * w * w * cv / cp,
        _ => 0.0,
    }
}

/// A bracketed search along a line on which the value rises (or falls) with the variable; halving where a try lies outside the range.
fn search<S: Surface>(
    (low, high): (f64, f64),
    wanted: Wanted,
    rises: bool,
    at: impl Fn(f64) -> Result<Tried<S::State>, Error>,
) -> Result<S::State, Error> {
    if !wanted.value().is_finite() {
        return Err(Error::NotFinite);
    }
    let mut bracket = Bracket { low, high, at_low: None, at_high: None, kept: 0 };
    let mut best: Option<(S::State, f64)> = None;
    let mut outside = None;
    let (mut holes, mut stiffest) = (ASIDE.iter(), 0.0f64);
    let mut aside = None;
    for n in 0..200 {
        let x = match n {
            0 => low,
            1 => high,
            _ => aside.take().map_or_else(|| bracket.next(), |part| bracket.part(part)),
        };
        if n > 1 && (x <= bracket.low || x >= bracket.high) {
            break;
        }
        let tried = match at(x) {
            // Not everywhere on the way is a state found.
            Err(error @ (Error::NotConverged { .. } | Error::Unstable { .. })) => {
                if n > 1 {
                    aside = Some(*holes.next().ok_or(error.clone())?);
                }
                outside = Some(error);
                continue;
            }
            other => other?,
        };
        holes = ASIDE.iter();
        match tried {
            Tried::Before(error) => (bracket.low, outside) = (x, Some(error)),
            Tried::Beyond(error) => (bracket.high, outside) = (x, Some(error)),
            Tried::State(state) => {
                stiffest = stiffest.max(stiffness(S::numbers(&state)));
                let rise = wanted.of(S::numbers(&state)) - wanted.value();
                let gap = if rises { rise } else { -rise };
                if best.as_ref().is_none_or(|(_, least)| gap.abs() < *least) {
                    best = Some((state, gap.abs()));
                }
                let wrong_way = (n == 0 && gap > 0.0) || (n == 1 && gap < 0.0);
                if gap.abs() <= 1e-14 * wanted.scale() || wrong_way {
                    break;
                }
                bracket.take(x, gap);
            }
        }
    }
    // A liquid's pressure is known as well as its density.
    let uncertain = if matches!(wanted, Wanted::Pressure(_)) { ON_THE_CURVE * stiffest } else { 0.0 };
    match best {
        Some((state, gap)) if gap <= REPRODUCES * wanted.scale() + uncertain => Ok(state),
        Some((state, _)) => Err(Error::NotConverged { what: "state", kelvin: S::numbers(&state).t }),
        None => Err(outside.unwrap_or(Error::NotFinite)),
    }
}
