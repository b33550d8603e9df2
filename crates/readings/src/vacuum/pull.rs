//! The pull-down: how fast it should go, how far it has come, what holds it back, and how long it will take.

use stemwise_units::{Pressure, Time, Volume};

use super::flow::{Path, Stage};
use crate::fit::thin;
use crate::moist::{TRIPLE_PA, water_pa};

/// A log is thinned to so many means.
const MEANS: usize = 240;
/// The steps of the table of flow over the logarithm of the pressure.
const TABLE: usize = 160;
/// A mean square between the logarithms of model and log from which on no steady load follows the log: a quarter, squared.
const UNSTEADY: f64 = 0.0625;
/// No pull-down is followed further, s.
const LONGEST: f64 = 14.0 * 86_400.0;

/// A pull-down.
#[derive(Debug)]
pub struct PullAsk<'a> {
    /// Seconds, rising.
    pub seconds: &'a [f64],
    /// Absolute pressure at the system, Pa; NaN where there is none.
    pub pascal: &'a [f64],
    /// The volume that is evacuated.
    pub volume: Volume,
    /// The way to the pump.
    pub path: &'a Path,
    /// Where to.
    pub target: Pressure,
    /// A leak that a decay test has shown, Pa m³/s.
    pub known_leak: Option<f64>,
}

/// What holds a pull-down back.
#[derive(Clone, Debug, PartialEq)]
pub enum WhatLimits {
    /// It has arrived.
    Nothing,
    /// A part of the way to the pump, with its part of the resistance.
    Way(Stage),
    /// Gas comes in steadily: a leak, or a pump that does not pull as it should; the decay test tells.
    SteadyLoad,
    /// A decay test shows far less leak than the pump has to take away: the pump itself, its oil first.
    PumpItself,
    /// Gas comes in less and less: water that boils away, or gas out of the oil.
    FadingLoad,
}

/// A point of the log beside the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PullPoint {
    /// Seconds.
    pub seconds: f64,
    /// Measured, Pa.
    pub measured: f64,
    /// By the model with the load found, Pa.
    pub model: f64,
    /// A tight and dry system with the same rig, Pa.
    pub ideal: f64,
}

/// What a pull-down says.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// Where it is now, Pa.
    pub now: f64,
    /// The gas that comes in now, Pa m³/s.
    pub load: f64,
    /// By what the flow to the pump is multiplied to follow the log; far from 1 the rig or the volume is not as given. 1 where no steady load
    /// follows it.
    pub factor: f64,
    /// The pressure at which it would stay with this load, Pa.
    pub stays_at: f64,
    /// From now to the target with this load; none where it never comes there.
    pub left: Option<Time>,
    /// From now to the target if nothing came in.
    pub left_ideal: Option<Time>,
    /// What holds it back.
    pub limits: WhatLimits,
    /// How the resistance is shared now.
    pub stages: Vec<Stage>,
    /// It stood for long where water boils at these temperatures.
    pub at_waters_pressure: bool,
    /// Steps that the integrations took.
    pub steps: u32,
    /// The points.
    pub points: Vec<PullPoint>,
}

/// Why a pull-down has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PullError {
    /// Too few readings.
    #[error("{readings} readings of the vacuum gauge; it takes at least 4 at different times")]
    TooFew {
        /// How many.
        readings: usize,
    },
    /// Not above nothing.
    #[error(
        "a reading of {pascal} Pa is not above no pressure at all; a vacuum gauge reads absolute pressure (micron, Pa, mbar abs)"
    )]
    NotPositive {
        /// The reading.
        pascal: f64,
    },
    /// No volume.
    #[error("a volume of {m3} m³ can't be evacuated: it must be above 0")]
    Volume {
        /// The volume.
        m3: f64,
    },
    /// No pump.
    #[error("a pump's speed of {m3_per_s} m³/s is none: it must be above 0")]
    Speed {
        /// The speed.
        m3_per_s: f64,
    },
}

/// The flow out of the system over the logarithm of its pressure, as a table.
struct Flow {
    low: f64,
    step: f64,
    values: Vec<f64>,
}

impl Flow {
    fn new(path: &Path, low: f64, high: f64) -> Self {
        let (low, high) = (libm::log(low), libm::log(high));
        let step = (high - low) / (TABLE - 1) as f64;
        let values = (0..TABLE).map(|at| path.flow(libm::exp(low + step * at as f64))).collect();
        Self { low, step, values }
    }

    fn at(&self, log: f64) -> f64 {
        let place = ((log - self.low) / self.step).clamp(0.0, (TABLE - 2) as f64);
        let at = place as usize;
        let part = place - at as f64;
        let value = |at: usize| self.values.get(at).copied().unwrap_or(0.0);
        value(at) + part * (value(at + 1) - value(at))
    }
}

struct Model<'a> {
    flow: &'a Flow,
    volume: f64,
    factor: f64,
    load: f64,
}

impl Model<'_> {
    /// d ln p / dt.
    fn slope(&self, log: f64) -> f64 {
        (self.load - self.factor * self.flow.at(log)) / (self.volume * libm::exp(log))
    }

    /// On from a logarithm for so long; steps no longer than a part of the time in which the pressure follows.
    fn go(&self, log: f64, seconds: f64, steps: &mut u32) -> f64 {
        let (mut y, mut left) = (log, seconds);
        while left > 0.0 && *steps < 2_000_000 {
            let here = self.slope(y).abs();
            let follows = (self.slope(y + 0.01) - self.slope(y)).abs() / 0.01;
            let h = (0.25 / here.max(1e-12)).min(0.7 / follows.max(1e-12)).min(left);
            y = self.step(y, h);
            left -= h;
            *steps += 1;
        }
        y
    }

    /// One step of Runge and Kutta's fourth order.
    fn step(&self, y: f64, h: f64) -> f64 {
        let a = self.slope(y);
        let b = self.slope(y + 0.5 * h * a);
        let c = self.slope(y + 0.5 * h * b);
        let d = self.slope(y + h * c);
        y + h / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    }

    /// How long it takes to come down to a pressure.
    fn time_to(&self, from: f64, to: f64, steps: &mut u32) -> Option<f64> {
        let (mut y, goal, mut t) = (libm::log(from), libm::log(to), 0.0);
        while y > goal && t < LONGEST && *steps < 4_000_000 {
            let here = self.slope(y);
            if here >= -1e-9 {
                return None;
            }
            let follows = (self.slope(y + 0.01) - here).abs() / 0.01;
            let h = (0.05 / -here).min(0.5 / follows.max(1e-12)).min((y - goal + 1e-9) / -here);
            y = self.step(y, h);
            t += h;
            *steps += 1;
        }
        (y <= goal + 1e-6).then_some(t)
    }

    /// The pressure at which as much flows out as comes in.
    fn stays_at(&self, low: f64, high: f64) -> f64 {
        let (mut low, mut high) = (libm::log(low), libm::log(high));
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if self.factor * self.flow.at(middle) > self.load { high = middle } else { low = middle }
        }
        libm::exp((low + high) / 2.0)
    }
}

impl PullAsk<'_> {
    /// Follows the log with the model and looks ahead.
    ///
    /// # Errors
    /// [`PullError`].
    pub fn judge(&self) -> Result<Pull, PullError> {
        let points = self.points()?;
        let (first, last) = match (points.first(), points.last()) {
            (Some(first), Some(last)) if points.len() >= 4 && last.0 > first.0 => (*first, *last),
            _ => return Err(PullError::TooFew { readings: points.len() }),
        };
        let lowest = points.iter().map(|(_, p)| *p).fold(f64::INFINITY, f64::min).min(self.target.as_pa());
        let highest = points.iter().map(|(_, p)| *p).fold(0.0, f64::max);
        let flow = Flow::new(self.path, 0.05 * lowest.max(0.01), 1.1 * highest.max(self.target.as_pa()));
        let mut steps = 0;
        let (factor, mean_load, off) = self.fit(&flow, &points, &mut steps);
        // Where no steady load follows the log (water that boils away does not), the rig is taken as given, and the load as it is now.
        let steady = off < UNSTEADY;
        let factor = if steady { factor } else { 1.0 };
        let loads = self.loads(&flow, factor, &points);
        let fading = fading(&loads);
        let load =
            if fading || !steady { loads.last().copied().unwrap_or(mean_load).max(0.0) } else { mean_load };
        let model = Model { flow: &flow, volume: self.volume.as_m3(), factor, load };
        let ideal = Model { load: 0.0, ..model };
        let stays_at = model.stays_at(0.05 * lowest.max(0.01), 1.1 * highest.max(self.target.as_pa()));
        let left = model.time_to(last.1, self.target.as_pa(), &mut steps).map(Time::from_s);
        let left_ideal = ideal.time_to(last.1, self.target.as_pa(), &mut steps).map(Time::from_s);
        let stages = self.path.stages(Pressure::from_pa(last.1));
        let limits = self.limits(last.1, stays_at, load, fading, &stages);
        let fitted = Model { flow: &flow, volume: self.volume.as_m3(), factor, load: mean_load };
        let points = follow(&fitted, &ideal, &points, &mut steps);
        Ok(Pull {
            now: last.1,
            load,
            factor,
            stays_at,
            left,
            left_ideal,
            at_waters_pressure: self.at_waters_pressure(&points),
            limits,
            stages,
            steps,
            points,
        }
        .starting_at(first.0))
    }

    fn points(&self) -> Result<Vec<(f64, f64)>, PullError> {
        if self.volume.as_m3() <= 0.0 || !self.volume.is_finite() {
            return Err(PullError::Volume { m3: self.volume.as_m3() });
        }
        let speed = self.path.pump.speed.as_m3_per_s();
        if speed <= 0.0 || !speed.is_finite() {
            return Err(PullError::Speed { m3_per_s: speed });
        }
        if let Some(pascal) = self.pascal.iter().find(|p| **p <= 0.0) {
            return Err(PullError::NotPositive { pascal: *pascal });
        }
        Ok(thin(self.seconds, self.pascal, MEANS).iter().map(|mean| (mean.t, mean.y)).collect())
    }

    /// The sum of squares between the logarithms of model and log.
    fn off(&self, flow: &Flow, x: [f64; 2], points: &[(f64, f64)], steps: &mut u32) -> f64 {
        let scale = flow.at(libm::log(points.last().map_or(1.0, |(_, p)| *p))).max(1e-12);
        let model = Model {
            flow,
            volume: self.volume.as_m3(),
            factor: libm::exp(x[0]),
            load: scale * libm::exp(x[0] + x[1]),
        };
        let mut sum = 0.0;
        let Some((mut t, start)) = points.first().copied() else { return f64::INFINITY };
        let mut y = libm::log(start);
        for (time, p) in points.iter().skip(1) {
            y = model.go(y, time - t, steps);
            t = *time;
            let off = y - libm::log(*p);
            sum += off * off;
        }
        // The rig is as given until the log says otherwise.
        sum / points.len() as f64 + 0.002 * x[0] * x[0]
    }

    /// Factor, steady load, and how far they are off, by the simplex of Nelder and Mead (Comput. J. 7 (1965) 308).
    fn fit(&self, flow: &Flow, points: &[(f64, f64)], steps: &mut u32) -> (f64, f64, f64) {
        let mut value =
            |x: [f64; 2]| self.off(flow, [x[0].clamp(-3.0, 3.0), x[1].clamp(-12.0, 1.0)], points, steps);
        let mut best: Option<([f64; 2], f64)> = None;
        for start in [[0.0, -6.0], [0.0, -0.5]] {
            let found = simplex(start, &mut value);
            if best.as_ref().is_none_or(|(_, least)| found.1 < *least) {
                best = Some(found);
            }
        }
        let (x, off) = best.unwrap_or(([0.0, -12.0], f64::INFINITY));
        let x = [x[0].clamp(-3.0, 3.0), x[1].clamp(-12.0, 1.0)];
        let scale = flow.at(libm::log(points.last().map_or(1.0, |(_, p)| *p))).max(1e-12);
        (libm::exp(x[0]), scale * libm::exp(x[0] + x[1]), off)
    }

    /// The load over the log, in eight windows: what flows out less what the falling pressure gives.
    fn loads(&self, flow: &Flow, factor: f64, points: &[(f64, f64)]) -> Vec<f64> {
        let size = (points.len() / 8).max(2);
        let window = |points: &[(f64, f64)]| {
            let (first, last) = (points.first()?, points.last()?);
            let seconds = last.0 - first.0;
            if seconds <= 0.0 {
                return None;
            }
            let out = points.iter().map(|(_, p)| factor * flow.at(libm::log(*p))).sum::<f64>()
                / points.len() as f64;
            Some(out + self.volume.as_m3() * (last.1 - first.1) / seconds)
        };
        points.chunks(size).filter_map(window).collect()
    }

    fn limits(&self, now: f64, stays_at: f64, load: f64, fading: bool, stages: &[Stage]) -> WhatLimits {
        if now <= self.target.as_pa() {
            return WhatLimits::Nothing;
        }
        let near = now < 3.0 * stays_at;
        match self.known_leak {
            Some(leak) if near && !fading && leak < 0.3 * load => return WhatLimits::PumpItself,
            _ => {}
        }
        if fading && near {
            return WhatLimits::FadingLoad;
        }
        if stays_at > self.target.as_pa() && near {
            return WhatLimits::SteadyLoad;
        }
        let worst = stages.iter().max_by(|a, b| a.part.total_cmp(&b.part));
        worst.map_or(WhatLimits::SteadyLoad, |stage| WhatLimits::Way(stage.clone()))
    }

    /// Whether a third of the log, or ten minutes of it, passed within a third of a decade between the pressures of ice at -15 °C and of water at the walls'
    /// temperature, above what the rig alone would show.
    fn at_waters_pressure(&self, points: &[PullPoint]) -> bool {
        let top = water_pa(self.path.temperature.as_k()).unwrap_or(TRIPLE_PA);
        let inside = points.iter().filter(|point| {
            point.measured > 165.0 && point.measured < top && point.measured > 3.0 * point.ideal
        });
        let (mut first, mut last) = (None, 0.0);
        for point in inside {
            first.get_or_insert(point.seconds);
            last = point.seconds;
        }
        let whole = points.last().map_or(0.0, |point| point.seconds)
            - points.first().map_or(0.0, |point| point.seconds);
        first.is_some_and(|first| last - first > 600.0_f64.min(whole / 3.0))
    }
}

/// A load that has fallen to less than half of what it was at its height, and goes on falling.
fn fading(loads: &[f64]) -> bool {
    let most = loads.iter().skip(1).copied().fold(0.0, f64::max);
    match loads {
        [.., before, last] => most > 0.0 && *last < 0.5 * most && *last < *before * 0.95,
        _ => false,
    }
}

impl Pull {
    /// Times count from the first reading.
    fn starting_at(mut self, first: f64) -> Self {
        self.points.iter_mut().for_each(|point| point.seconds -= first);
        self
    }
}

fn follow(model: &Model<'_>, ideal: &Model<'_>, points: &[(f64, f64)], steps: &mut u32) -> Vec<PullPoint> {
    let Some((mut t, start)) = points.first().copied() else { return Vec::new() };
    let (mut y, mut z) = (libm::log(start), libm::log(start));
    let mut followed = Vec::with_capacity(points.len());
    for (seconds, measured) in points {
        y = model.go(y, seconds - t, steps);
        z = ideal.go(z, seconds - t, steps);
        t = *seconds;
        followed.push(PullPoint {
            seconds: *seconds,
            measured: *measured,
            model: libm::exp(y),
            ideal: libm::exp(z),
        });
    }
    followed
}

/// The simplex of two parameters.
fn simplex(start: [f64; 2], value: &mut impl FnMut([f64; 2]) -> f64) -> ([f64; 2], f64) {
    let mut corners: Vec<([f64; 2], f64)> = [[0.0, 0.0], [0.4, 0.0], [0.0, 1.5]]
        .iter()
        .map(|by| [start[0] + by[0], start[1] + by[1]])
        .map(|x| (x, value(x)))
        .collect();
    for _ in 0..60 {
        corners.sort_by(|a, b| a.1.total_cmp(&b.1));
        let [best, middle, worst] = corners.as_mut_slice() else { break };
        if worst.1 - best.1 < 1e-9 * (1.0 + best.1) {
            break;
        }
        let centre = [(best.0[0] + middle.0[0]) / 2.0, (best.0[1] + middle.0[1]) / 2.0];
        let from = worst.0;
        let at = |by: f64| [centre[0] + by * (from[0] - centre[0]), centre[1] + by * (from[1] - centre[1])];
        let reflected = value(at(-1.0));
        if reflected < best.1 {
            let expanded = value(at(-2.0));
            *worst = if expanded < reflected { (at(-2.0), expanded) } else { (at(-1.0), reflected) };
        } else if reflected < middle.1 {
            *worst = (at(-1.0), reflected);
        } else {
            let inside = value(at(0.5));
            if inside < worst.1 {
                *worst = (at(0.5), inside);
            } else {
                for corner in [middle, worst] {
                    corner.0 = [(corner.0[0] + best.0[0]) / 2.0, (corner.0[1] + best.0[1]) / 2.0];
                    corner.1 = value(corner.0);
                }
            }
        }
    }
    corners.sort_by(|a, b| a.1.total_cmp(&b.1));
    corners.first().copied().unwrap_or((start, f64::INFINITY))
}
