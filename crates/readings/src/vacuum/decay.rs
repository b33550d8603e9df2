//! The decay test: with the valve to the pump shut, what a rise is made of.
//!
//! A leak to the atmosphere rises straight on, for the flow through it is choked. Water and gas out of the oil rise towards an end. Where the
//! gauge sits on the pump's side it jumps within seconds. Sums of these shapes, with their times free, are all tried, and what each says is
//! weighed by how well it fits (Bayesian information criterion; G. Schwarz, Ann. Stat. 6 (1978) 461): what can't be told apart shows as doubt.

use stemwise_thermo::Substance;
use stemwise_units::{Temperature, Volume};

use super::{MICRON, with_gauge};
use crate::fit::{correlation_factor, shapes, thin};
use crate::leak::{AIR, GAS_CONSTANT, ROOM, RefrigerantLeak, of_refrigerant};
use crate::moist::{WATER, water_pa};
use crate::uncertain::{Uncertain, rectangular, square};

/// A log is thinned to so many means.
const MEANS: usize = 90;
/// Pressures between system and gauge have evened out after so long, s.
const EVEN: f64 = 20.0;
/// A rise this small over an hour, or a step this small, is not told from what seals give off: 100 micron, Pa. Assumed.
const SEALS: f64 = 100.0 * MICRON;
/// How many of its standard uncertainties a part must be to count as seen.
const SEEN: f64 = 2.5;
/// How many times of a rise are tried.
const TIMES: u32 = 16;

/// A decay test.
#[derive(Debug)]
pub struct DecayAsk<'a> {
    /// Seconds since the valve was shut, rising.
    pub seconds: &'a [f64],
    /// Absolute pressure, Pa; NaN where there is none.
    pub pascal: &'a [f64],
    /// The volume that rises; without it there are rises but no amounts.
    pub volume: Option<Volume>,
    /// By which part it may be off.
    pub volume_within: f64,
    /// How warm the walls are.
    pub temperature: Temperature,
    /// By which part of its reading the gauge may be off.
    pub gauge_part: f64,
    /// The refrigerant, for what a leak would let out of it.
    pub substance: Option<&'a Substance>,
    /// The atmosphere, Pa.
    pub atmosphere: f64,
}

/// Whether something is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Seen {
    /// It is.
    Yes,
    /// It is not, as far as this test can see.
    No,
    /// This test can't tell.
    CantTell,
}

/// A point of the log beside the fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DecayPoint {
    /// Seconds since the valve was shut.
    pub seconds: f64,
    /// Measured, Pa.
    pub measured: f64,
    /// By the fit, Pa.
    pub fitted: f64,
}

/// What a decay test says.
#[derive(Clone, Debug, PartialEq)]
pub struct Decay {
    /// Whether there is a leak.
    pub leaks: Seen,
    /// Whether there is water, or gas that comes out of oil and behaves alike.
    pub wet: Seen,
    /// The steady rise, Pa/s.
    pub steady: Uncertain,
    /// The rise towards an end, Pa, all of it once it has ended.
    pub ending: Uncertain,
    /// When half of that has come, s.
    pub half_time: f64,
    /// Pressure in the system as the valve was shut, by the fit, Pa.
    pub start: f64,
    /// By how much the gauge's first reading was lower: where it sits, Pa.
    pub jump: f64,
    /// The leak, Pa m³/s at 20 °C, into the vacuum.
    pub leak: Option<Uncertain>,
    /// The smallest leak that this test could have shown, Pa m³/s at 20 °C.
    pub smallest_leak: Option<f64>,
    /// What the leak lets out of the refrigerant at rest.
    pub refrigerant: Option<RefrigerantLeak>,
    /// Water that was still there as the valve was shut, kg.
    pub water: Option<Uncertain>,
    /// The rise came to the pressure of water itself: there is liquid or ice, and more water than this.
    pub soaked: bool,
    /// How long it lasted, s.
    pub lasted: f64,
    /// For how much longer it should stand to tell, s; where it can't yet.
    pub longer: Option<f64>,
    /// The points and the best fit.
    pub points: Vec<DecayPoint>,
}

/// Why a decay test has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DecayError {
    /// Too few readings.
    #[error(
        "{readings} readings of the vacuum gauge after the first {EVEN} s; it takes at least 5 to tell a leak from water"
    )]
    TooFew {
        /// How many.
        readings: usize,
    },
    /// A pressure below none.
    #[error("a reading of {pascal} Pa is below no pressure at all")]
    Negative {
        /// The reading.
        pascal: f64,
    },
}

/// One sum of shapes with what it gives.
struct Candidate {
    criterion: f64,
    slope: (f64, f64),
    ending: (f64, f64),
    half: f64,
    fitted: Vec<f64>,
    start: f64,
}

/// The shape of a rise that ends.
#[derive(Clone, Copy)]
enum Ending {
    /// Slower and slower: out of oil, off walls.
    Slowing(f64),
    /// Straight until it is gone: a film that dries.
    Straight(f64),
}

impl Ending {
    fn at(self, t: f64) -> f64 {
        match self {
            Self::Slowing(time) => -libm::expm1(-t / time),
            Self::Straight(time) => (t / time).min(1.0),
        }
    }

    const fn half(self) -> f64 {
        match self {
            Self::Slowing(time) => core::f64::consts::LN_2 * time,
            Self::Straight(time) => 0.5 * time,
        }
    }
}

impl DecayAsk<'_> {
    /// Splits the rise.
    ///
    /// # Errors
    /// [`DecayError`].
    ///
    /// ```
    /// use stemwise_readings::{DecayAsk, Seen};
    /// use stemwise_units::{Temperature, Volume};
    /// let minutes: Vec<f64> = (0..=30).map(f64::from).collect();
    /// let seconds: Vec<f64> = minutes.iter().map(|m| 60.0 * m).collect();
    /// let pascal: Vec<f64> = minutes.iter().map(|m| 40.0 + 3.0 * m).collect();
    /// let ask = DecayAsk { seconds: &seconds, pascal: &pascal, volume: Some(Volume::from_l(10.0)), volume_within: 0.0,
    ///     temperature: Temperature::from_celsius(20.0), gauge_part: 0.0, substance: None, atmosphere: 101_325.0 };
    /// let decay = ask.split()?;
    /// assert_eq!((decay.leaks, decay.wet), (Seen::Yes, Seen::No));
    /// assert!((decay.leak.unwrap().value - 0.01 * 3.0 / 60.0).abs() < 1e-6); // V dp/dt
    /// # Ok::<(), stemwise_readings::DecayError>(())
    /// ```
    pub fn split(&self) -> Result<Decay, DecayError> {
        if let Some(pascal) = self.pascal.iter().find(|p| **p < 0.0) {
            return Err(DecayError::Negative { pascal: *pascal });
        }
        let readings: Vec<(f64, f64)> = self
            .seconds
            .iter()
            .zip(self.pascal)
            .filter(|(_, p)| p.is_finite())
            .map(|(t, p)| (*t, *p))
            .collect();
        let Some(first) = readings.first().copied() else { return Err(DecayError::TooFew { readings: 0 }) };
        let late: Vec<(f64, f64)> =
            readings.iter().map(|(t, p)| (t - first.0, *p)).filter(|(t, _)| *t >= EVEN).collect();
        if late.len() < 5 {
            return Err(DecayError::TooFew { readings: late.len() });
        }
        let (times, values): (Vec<f64>, Vec<f64>) = late.into_iter().unzip();
        let means = thin(&times, &values, MEANS);
        let t: Vec<f64> = means.iter().map(|mean| mean.t).collect();
        let y: Vec<f64> = means.iter().map(|mean| mean.y).collect();
        let mut mixed = by_windows(&t, &y).ok_or(DecayError::TooFew { readings: t.len() })?;
        // A gauge nearer to the pump reads low at first, never high: where the fit starts below the first reading, its early rise is made up.
        let made_up = (first.1 - mixed.start).max(0.0);
        if made_up > 0.0 {
            let doubt = 0.5 * made_up + 3.0 * mixed.slope.1 * t.last().copied().unwrap_or(0.0);
            mixed.ending = ((mixed.ending.0 - made_up).max(0.0), mixed.ending.1.min(doubt));
            mixed.start = first.1;
        }
        Ok(self.judge(&mixed, first.1, &t, &y))
    }

    fn judge(&self, mixed: &Mixed, first: f64, t: &[f64], y: &[f64]) -> Decay {
        let lasted = t.last().copied().unwrap_or(0.0);
        let saturated = water_pa(self.temperature.as_k()).unwrap_or(f64::INFINITY);
        // A wet film is colder than the walls, so its pressure stays below that of water at theirs. Near it and no longer climbing: water. A
        // leak would have climbed on.
        let half_way = t.iter().zip(y).find(|(t, _)| **t >= lasted / 2.0).map_or(0.0, |(_, p)| *p);
        let end = y.iter().rev().take(3).sum::<f64>() / 3.0;
        let soaked = end > 0.5 * saturated && half_way > first + 0.85 * (end - first);
        let steady = with_gauge(mixed.slope.0, mixed.slope.1, self.gauge_part, &[]);
        let ending = with_gauge(mixed.ending.0, mixed.ending.1, self.gauge_part, &[]);
        let hour = SEALS / 3600.0;
        let leaks = if soaked { Seen::CantTell } else { seen(mixed.slope, hour) };
        let wet = if soaked { Seen::Yes } else { seen(mixed.ending, SEALS) };
        let volume = self.volume.map(Volume::as_m3);
        let room = ROOM / self.temperature.as_k();
        let volume_standard = |value: f64| rectangular(self.volume_within) * value;
        let scaled = |part: (f64, f64), factor: f64| {
            with_gauge(
                part.0 * factor,
                part.1 * factor,
                self.gauge_part,
                &[("volume", volume_standard(part.0 * factor))],
            )
        };
        let leak = volume.map(|v| scaled(mixed.slope, v * room));
        let grams = |v: f64| v * WATER / (GAS_CONSTANT * self.temperature.as_k());
        let water_part = if soaked { (end - first.min(end), 0.1 * end) } else { mixed.ending };
        let unclear = leaks == Seen::CantTell || wet == Seen::CantTell;
        Decay {
            leaks,
            wet,
            half_time: mixed.half,
            start: mixed.start,
            jump: mixed.start - first,
            smallest_leak: volume.map(|v| (SEEN * mixed.slope.1).max(hour) * v * room),
            refrigerant: leak
                .as_ref()
                .filter(|_| leaks == Seen::Yes)
                .and_then(|leak| of_refrigerant(self.substance?, leak.value, 0.0, self.atmosphere, AIR)),
            leak,
            water: volume.filter(|_| wet == Seen::Yes).map(|v| scaled(water_part, grams(v))),
            soaked,
            lasted,
            longer: unclear.then(|| (4.0 * mixed.half - lasted).max(lasted)),
            points: t
                .iter()
                .zip(y)
                .zip(&mixed.fitted)
                .map(|((t, p), f)| DecayPoint { seconds: *t, measured: *p, fitted: *f })
                .collect(),
            steady,
            ending,
        }
    }
}

/// Whether a part is there: larger than its doubt and than what seals give off.
fn seen((value, standard): (f64, f64), least: f64) -> Seen {
    if value > least && value > SEEN * standard {
        Seen::Yes
    } else if value + SEEN * standard < 1.5 * least || value < least && standard < least {
        Seen::No
    } else {
        Seen::CantTell
    }
}

fn candidates(t: &[f64], y: &[f64]) -> Vec<Candidate> {
    let last = t.last().copied().unwrap_or(1.0);
    // A gauge of this kind repeats to a few per mille of its reading, and shows steps of a micron or ten.
    let weights: Vec<f64> = y.iter().map(|p| 1.0 / square(0.2 + 0.005 * p)).collect();
    let shortest = (last / 60.0).max(EVEN);
    let longest = 0.55 * last;
    let step = libm::pow((longest / shortest).max(1.0), 1.0 / f64::from(TIMES - 1));
    let times: Vec<f64> = (0..TIMES)
        .scan(shortest, |time, _| {
            let now = *time;
            *time *= step;
            Some(now)
        })
        .collect();
    let endings: Vec<Ending> = times
        .iter()
        .map(|time| Ending::Slowing(*time))
        .chain(times.iter().map(|time| Ending::Straight(1.6 * *time)))
        .collect();
    let mut found: Vec<Candidate> = Vec::new();
    found.extend(candidate(t, y, &weights, &[]));
    for (at, one) in endings.iter().enumerate() {
        found.extend(candidate(t, y, &weights, &[*one]));
        for other in endings.iter().skip(at + 1).step_by(2) {
            found.extend(candidate(t, y, &weights, &[*one, *other]));
        }
    }
    found
}

fn candidate(t: &[f64], y: &[f64], weights: &[f64], endings: &[Ending]) -> Option<Candidate> {
    let mut columns = vec![vec![1.0; t.len()], t.to_vec()];
    columns.extend(endings.iter().map(|ending| t.iter().map(|t| ending.at(*t)).collect()));
    let fit = shapes(&columns, y, weights)?;
    let n = t.len() as f64;
    let fitted: Vec<f64> = (0..t.len())
        .map(|i| {
            columns
                .iter()
                .zip(&fit.parts)
                .map(|(column, part)| column.get(i).copied().unwrap_or(0.0) * part)
                .sum()
        })
        .collect();
    let residuals: Vec<f64> =
        y.iter().zip(&fitted).zip(weights).map(|((y, f), w)| (y - f) * w.sqrt()).collect();
    let spread = correlation_factor(&residuals);
    // Residuals that go together count as fewer points.
    let points = n / (spread * spread);
    // A gauge shows steps: no fit is better than a third of its noise.
    let variance = (fit.rest / (n - fit.used as f64).max(1.0)).max(0.1);
    let used_endings = fit.parts.iter().skip(2).filter(|part| **part > 0.0).count();
    let free = (fit.used + used_endings) as f64;
    let standard = |at: usize| fit.variances.get(at).map_or(0.0, |v| (v * variance).sqrt() * spread);
    let total: f64 = fit.parts.iter().skip(2).sum();
    let half =
        endings.iter().zip(fit.parts.iter().skip(2)).map(|(ending, part)| ending.half() * part).sum::<f64>();
    Some(Candidate {
        criterion: points * libm::log(variance) + free * libm::log(n),
        slope: (fit.parts.get(1).copied()?, standard(1)),
        ending: (total, (fit.rest_variance * variance).sqrt() * spread),
        half: if total > 0.0 { half / total } else { 0.0 },
        start: fit.parts.first().copied()?,
        fitted,
    })
}

struct Mixed {
    slope: (f64, f64),
    ending: (f64, f64),
    half: f64,
    start: f64,
    fitted: Vec<f64>,
}

/// The rise as a whole, and its late parts alone: how a film dried at the start says nothing of the leak, and no sum of shapes follows it
/// exactly. The window that knows the steady rise best stands; the rise that ends is what lies between its line and the start.
fn by_windows(t: &[f64], y: &[f64]) -> Option<Mixed> {
    let mut best = mix(&candidates(t, y))?;
    let (whole_start, last) = (best.start, t.last().copied()?);
    for part in [0.15, 0.3, 0.45] {
        let from = t.iter().position(|t| *t >= part * last)?;
        let (late_t, late_y) = (t.get(from..)?, y.get(from..)?);
        if late_t.len() < 12 {
            break;
        }
        let begin = late_t.first().copied()?;
        let shifted: Vec<f64> = late_t.iter().map(|t| t - begin).collect();
        let Some(late) = mix(&candidates(&shifted, late_y)) else { continue };
        if late.slope.1 < 0.8 * best.slope.1 {
            let ending = late.start + late.ending.0 - late.slope.0 * begin - whole_start;
            let standard = (square(late.ending.1) + square(late.slope.1 * begin)).sqrt();
            best = Mixed { slope: late.slope, ending: (ending.max(0.0), standard), ..best };
        }
    }
    Some(best)
}

/// All candidates by their weights; what they differ in is doubt.
fn mix(candidates: &[Candidate]) -> Option<Mixed> {
    let best = candidates.iter().min_by(|a, b| a.criterion.total_cmp(&b.criterion))?;
    let weight = |it: &Candidate| libm::exp(-0.5 * (it.criterion - best.criterion));
    let sum: f64 = candidates.iter().map(weight).sum();
    let mean =
        |of: &dyn Fn(&Candidate) -> f64| candidates.iter().map(|it| weight(it) * of(it)).sum::<f64>() / sum;
    let part = |of: &dyn Fn(&Candidate) -> (f64, f64)| {
        let value = mean(&|it| of(it).0);
        let variance = mean(&|it| square(of(it).1) + square(of(it).0 - value));
        (value, variance.sqrt())
    };
    Some(Mixed {
        slope: part(&|it| it.slope),
        ending: part(&|it| it.ending),
        half: mean(&|it| it.half),
        start: mean(&|it| it.start),
        fitted: best.fitted.clone(),
    })
}
