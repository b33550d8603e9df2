//! The lines of a diagram: which there are, and where they run.

use stemwise_thermo::{Given, Phase, RawState};
use stemwise_units::{Density, Pressure, SpecificHeat, Temperature};

use crate::cycle::vapour_mass_ratio;
use crate::geometry::Point;
use crate::scale::{Frame, Shown, multiples, nice_step};
use crate::trace::{Look, trace};
use crate::view::Asked;

/// So near a line of quality keeps to it: on a dome as wide as the sheet a fiftieth of its unit.
const QUALITY: f64 = 2e-5;

/// What is the same all along a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Family {
    /// Bubble line.
    Bubble,
    /// Dew line.
    Dew,
    /// Temperature.
    Isotherm,
    /// Entropy.
    Isentrope,
    /// The vapour's part of the mass.
    Quality,
    /// Density.
    Density,
}

/// Where a part of a line runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Region {
    /// Liquid, or anything above the critical temperature.
    Upper,
    /// Liquid and vapour.
    Between,
    /// Vapour, and all other lines.
    Lower,
}

/// A part of a line, inside the frame.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Part {
    pub(crate) region: Region,
    pub(crate) points: Vec<Point>,
}

/// A line with its constant value, SI.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) family: Family,
    pub(crate) value: f64,
    pub(crate) parts: Vec<Part>,
}

/// Draws lines of a substance on a frame.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plotter<'s> {
    pub(crate) asked: Asked<'s>,
    pub(crate) frame: Frame,
    pub(crate) shown: Shown,
}

impl Plotter<'_> {
    fn point(&self, state: &RawState) -> Option<Point> {
        self.frame.at(state.h, state.p)
    }

    fn line(&self, family: Family, value: f64, curves: Vec<(Region, Vec<Vec<Point>>)>) -> Line {
        let mut parts = Vec::new();
        for (region, curves) in curves {
            let pieces = curves.iter().flat_map(|curve| self.frame.room.pieces(curve));
            parts.extend(pieces.map(|points| Part { region, points }));
        }
        Line { family, value, parts }
    }

    pub(crate) fn critical_point(&self) -> Option<Point> {
        self.frame.at(self.asked.critical.enthalpy, self.asked.critical.pascal)
    }

    /// Bubble and dew line, both up to the critical point.
    pub(crate) fn dome(&self) -> Vec<Line> {
        let Some((bubble, dew)) = self.asked.foot(self.frame.view.pressure.0) else { return Vec::new() };
        let critical = self.asked.critical;
        let by_temperature = |q: f64, coldest: f64, part: f64| {
            let kelvin = critical.kelvin - (critical.kelvin - coldest) * libm::pow(1.0 - part, 3.0);
            self.asked.by_t_q(kelvin, q).and_then(|state| self.point(&state)).into()
        };
        // A blend's dew line goes on above its critical temperature; up its pressures it never turns back.
        let span = libm::log(critical.pascal / dew.p);
        let by_pressure = |part: f64| {
            let pascal = critical.pascal * libm::exp(-span * libm::pow(1.0 - part, 3.0));
            self.asked.by_p_q(pascal, 1.0).and_then(|state| self.point(&state)).into()
        };
        let blend = self.asked.substance.mixture().is_some();
        let curve = |look: &dyn Fn(f64) -> Look| {
            let mut curves = trace((0.0, 0.97), 24, look);
            if let (Some(curve), Some(end)) = (curves.last_mut(), self.critical_point()) {
                curve.push(end);
            }
            vec![(Region::Lower, curves)]
        };
        let dew_curve =
            if blend { curve(&by_pressure) } else { curve(&|part| by_temperature(1.0, dew.t, part)) };
        vec![
            self.line(Family::Bubble, 0.0, curve(&|part| by_temperature(0.0, bubble.t, part))),
            self.line(Family::Dew, 1.0, dew_curve),
        ]
    }

    /// The temperatures in view, from the foot of the dome to the right edge.
    fn temperatures(&self) -> (f64, f64) {
        let (low, high) = self.frame.view.pressure;
        let coldest = self.asked.foot(low).map_or(self.asked.kelvin.0, |(bubble, _)| bubble.t);
        let right = self.frame.view.enthalpy.1;
        let corners =
            [low, (low * high).sqrt(), high].into_iter().filter_map(|p| self.asked.by_p_h(p, right));
        let hottest = corners.map(|state| state.t).fold(f64::NEG_INFINITY, f64::max);
        let hottest =
            if hottest.is_finite() { hottest.min(self.asked.kelvin.1) } else { self.asked.kelvin.1 };
        (coldest, hottest)
    }

    /// Isotherms at round temperatures, at most so many.
    pub(crate) fn isotherms(&self, most: f64) -> Vec<Line> {
        let (low, high) = self.temperatures();
        let (low, high) = (self.shown.temperature(low), self.shown.temperature(high));
        let step = nice_step(((high - low) / most).max(5.0));
        let step = if (step - 25.0).abs() < 0.1 { 20.0 } else { step };
        multiples(step, (low, high))
            .into_iter()
            .map(|value| self.isotherm(self.shown.kelvin(value)))
            .collect()
    }

    pub(crate) fn isotherm(&self, kelvin: f64) -> Line {
        let (bottom, top) = self.frame.log_pressures();
        let saturated = if kelvin < self.asked.critical.kelvin {
            self.asked.by_t_q(kelvin, 0.0).zip(self.asked.by_t_q(kelvin, 1.0))
        } else {
            None
        };
        let single = |log: f64| -> Look {
            self.asked.by_t_p(kelvin, libm::exp(log)).and_then(|state| self.point(&state)).into()
        };
        let Some((bubble, dew)) = saturated else {
            return self.line(
                Family::Isotherm,
                kelvin,
                vec![(Region::Upper, trace((bottom, top), 40, &single))],
            );
        };
        let mut curves = Vec::new();
        // Beside the dome the phase is known: its density is looked for from the saturated one on.
        let beside = |edge: RawState| {
            move |log: f64| {
                let pascal = libm::exp(log);
                let state = if (log - libm::log(edge.p)).abs() < 1e-7 {
                    Some(edge)
                } else {
                    self.asked.beside(&edge, pascal)
                };
                state.and_then(|state| self.point(&state)).into()
            }
        };
        if libm::log(bubble.p) < top {
            curves.push((Region::Upper, trace((libm::log(bubble.p), top), 8, &beside(bubble))));
        }
        let mixed = |q: f64| {
            let state = if q <= 0.0 {
                Some(bubble)
            } else if q >= 1.0 {
                Some(dew)
            } else {
                self.asked.by_t_q(kelvin, q)
            };
            state.and_then(|state| self.point(&state)).into()
        };
        let steps = if self.asked.substance.mixture().is_some() { 6 } else { 1 };
        curves.push((Region::Between, trace((0.0, 1.0), steps, &mixed)));
        if libm::log(dew.p) > bottom {
            curves.push((Region::Lower, trace((libm::log(dew.p), bottom), 12, &beside(dew))));
        }
        self.line(Family::Isotherm, kelvin, curves)
    }

    /// Lines of constant quality; the dome's own lines are 0 and 1.
    pub(crate) fn qualities(&self, every: u32) -> Vec<Line> {
        (1..10)
            .filter(|tenth| tenth % every == 0)
            .map(|tenth| self.quality(f64::from(tenth) / 10.0))
            .collect()
    }

    fn quality(&self, by_mass: f64) -> Line {
        let Some((bubble, _)) = self.asked.foot(self.frame.view.pressure.0) else {
            return self.line(Family::Quality, by_mass, Vec::new());
        };
        let critical = self.asked.critical.kelvin;
        let coldest = bubble.t;
        let look = |part: f64| {
            let kelvin = critical - 0.2 - (critical - 0.2 - coldest) * (1.0 - part) * (1.0 - part);
            self.at_quality(kelvin, by_mass).and_then(|state| self.point(&state)).into()
        };
        let mut curves = trace((0.0, 1.0), 10, &look);
        if let (Some(curve), Some(end)) = (curves.last_mut(), self.critical_point())
            && curve.last().is_some_and(|last| last.distance(end) < 0.06 * self.frame.room.width())
        {
            curve.push(end);
        }
        self.line(Family::Quality, by_mass, vec![(Region::Between, curves)])
    }

    /// The state at a temperature where the vapour is such a part of the mass; the model is asked by parts of the moles.
    fn at_quality(&self, kelvin: f64, by_mass: f64) -> Option<RawState> {
        let substance = self.asked.substance;
        let at = |q: f64| substance.state(Given::TemperatureQuality(Temperature::from_k(kelvin), q)).ok();
        // With the first bubble's molar mass, and as if the vapour's went evenly to the whole's: q (r + (1 - r) q) = quality.
        let first = if substance.mixture().is_some() { vapour_mass_ratio(substance, &at(0.0)?) } else { 1.0 };
        let mut q = 2.0 * by_mass / (first + (first * first + 4.0 * (1.0 - first) * by_mass).sqrt());
        // Nothing of the moles is nothing of the mass, and all is all: between these the secants of the last two tries lead on.
        let (mut low, mut high) = ((0.0, -by_mass), (1.0, 1.0 - by_mass));
        for _ in 0..20 {
            let state = at(q)?;
            let off = q * vapour_mass_ratio(substance, &state) - by_mass;
            if off.abs() < QUALITY {
                return Some(*state.raw());
            }
            let kept = if off < 0.0 { &mut high } else { &mut low };
            // The end that stays counts half, lest the same end stay for ever (the Illinois rule).
            kept.1 *= 0.5;
            if off < 0.0 {
                low = (q, off)
            } else {
                high = (q, off)
            }
            // Near the answer the mass grows with the moles about as the vapour's molar mass says.
            let near = q - off / vapour_mass_ratio(substance, &state);
            let chord = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
            q = if off.abs() < 0.02 && near > low.0 && near < high.0 { near } else { chord };
        }
        None
    }

    /// Isentropes in the vapour, at round entropies, at most so many.
    pub(crate) fn isentropes(&self, most: f64) -> Vec<Line> {
        let (low, _) = self.frame.view.pressure;
        let size = self.shown.entropy_size();
        let lowest = self.asked.critical.entropy / size;
        let corner = self.asked.by_p_h(low, self.frame.view.enthalpy.1);
        let corner = corner.or_else(|| self.asked.by_t_p(self.asked.kelvin.1, low));
        let Some(highest) = corner.map(|state| state.s / size) else { return Vec::new() };
        let step = nice_step(((highest - lowest) / most).max(0.001));
        let range = (lowest + 0.2 * step, highest);
        multiples(step, range).into_iter().map(|value| self.isentrope(value * size)).collect()
    }

    pub(crate) fn isentrope(&self, entropy: f64) -> Line {
        let hottest = self.asked.kelvin.1;
        let look = |log: f64| {
            let pressure = Pressure::from_pa(libm::exp(log));
            let given = Given::PressureEntropy(pressure, SpecificHeat::from_j_per_kg_k(entropy));
            match self.asked.substance.raw_state(given) {
                Ok(state) if state.phase == Phase::TwoPhase || state.t > hottest => Look::Outside,
                Ok(state) => self.point(&state).into(),
                Err(stemwise_thermo::Error::NotConverged { .. }) => Look::Unknown,
                Err(_) => Look::Outside,
            }
        };
        let curves = trace(self.frame.log_pressures(), 20, &look);
        self.line(Family::Isentrope, entropy, vec![(Region::Lower, curves)])
    }

    /// Lines of constant density in the vapour: 1, 2, 5, 10 and so on.
    pub(crate) fn densities(&self) -> Vec<Line> {
        let size = self.shown.density_size();
        let round =
            (-4..4).flat_map(|ten| [1.0, 2.0, 5.0].map(|part| part * libm::pow(10.0, f64::from(ten))));
        let thin = round.map(|value| value * size).filter(|rho| *rho < 0.9 * self.asked.critical.density);
        thin.map(|rho| self.density(rho)).filter(|line| !line.parts.is_empty()).collect()
    }

    fn density(&self, rho: f64) -> Line {
        let (coldest, hottest) = self.temperatures();
        let look = |kelvin: f64| {
            let given = Given::TemperatureDensity(Temperature::from_k(kelvin), Density::from_kg_per_m3(rho));
            match self.asked.substance.raw_state(given) {
                Ok(state) if state.phase == Phase::TwoPhase => Look::Outside,
                Ok(state) => self.point(&state).into(),
                Err(_) => Look::Unknown,
            }
        };
        self.line(Family::Density, rho, vec![(Region::Lower, trace((coldest, hottest), 24, &look))])
    }
}
