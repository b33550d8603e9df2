//! The three conditions brought to nothing: Broyden's method from a start nearby, and a walk from the design point where that fails.

use super::look::{Look, SteadyBalance};
use super::size::SteadyPlant;
use super::{SteadyAsk, SteadyError, SteadyFaults, SteadyTuning};

/// How near the conditions must come to nothing.
const NEAR: f64 = 1e-9;
/// Rounds before a start is given up.
const ROUNDS: usize = 60;
/// Steps by which slopes are found.
const STEPS: [f64; 3] = [1e-5, 1e-5, 1e-5];

/// An unfinished search.
struct Search<'a> {
    plant: &'a SteadyPlant,
    ask: &'a SteadyAsk,
    /// A held end of the condenser, where the charge is what is wanted.
    held: Option<f64>,
    evaluations: u32,
}

impl Search<'_> {
    fn look(&mut self, x: [f64; 3]) -> Look {
        self.evaluations += 1;
        let mut look = self.plant.look(self.ask, x);
        if let Some(held) = self.held {
            look.off[2] = x[2] - held;
        }
        look
    }

    fn bounded(&self, mut x: [f64; 3]) -> [f64; 3] {
        let curves = &self.plant.curves;
        let (low, high) = (libm::log(1.001 * curves.lowest_pa), libm::log(0.999 * curves.highest_pa));
        x[0] = x[0].clamp(low, high);
        x[1] = x[1].clamp(low, high);
        x[2] = x[2].clamp(-0.98, 12.0);
        x
    }

    fn slopes(&mut self, x: [f64; 3], at: &Look) -> [[f64; 3]; 3] {
        let mut slopes = [[0.0; 3]; 3];
        for column in 0..3 {
            let mut moved = x;
            moved[column] += STEPS[column];
            let there = self.look(moved).off;
            for row in 0..3 {
                slopes[row][column] = (there[row] - at.off[row]) / STEPS[column];
            }
        }
        slopes
    }

    /// Newton's step with Broyden's update of the slopes; none where it doesn't come to rest.
    fn run(&mut self, start: [f64; 3]) -> Option<([f64; 3], Look)> {
        let mut x = self.bounded(start);
        let mut look = self.look(x);
        let mut slopes = self.slopes(x, &look);
        let mut fresh = true;
        for _ in 0..ROUNDS {
            let size = norm(&look.off);
            if size < NEAR {
                return Some((x, look));
            }
            let Some(step) = solve(&slopes, &look.off) else {
                if fresh {
                    return None;
                }
                (slopes, fresh) = (self.slopes(x, &look), true);
                continue;
            };
            let most = (step[0].abs() / 0.3).max(step[1].abs() / 0.3).max(step[2].abs() / 0.6).max(1.0);
            let mut part = 1.0 / most;
            let mut better = None;
            for _ in 0..5 {
                let next =
                    self.bounded([x[0] - part * step[0], x[1] - part * step[1], x[2] - part * step[2]]);
                let there = self.look(next);
                if norm(&there.off) < size {
                    better = Some((next, there));
                    break;
                }
                if !fresh {
                    break;
                }
                part *= 0.35;
            }
            match better {
                Some((next, there)) => {
                    let slow = norm(&there.off) > 0.3 * size;
                    update(&mut slopes, &x, &next, &look.off, &there.off);
                    (x, look, fresh) = (next, there, false);
                    if slow && norm(&look.off) >= NEAR {
                        (slopes, fresh) = (self.slopes(x, &look), true);
                    }
                }
                None if fresh => return None,
                None => (slopes, fresh) = (self.slopes(x, &look), true),
            }
        }
        None
    }
}

fn norm(off: &[f64; 3]) -> f64 {
    let sum: f64 = off.iter().map(|value| value * value).sum();
    if sum.is_finite() { sum.sqrt() } else { f64::MAX }
}

/// Broyden's rank-one update.
fn update(slopes: &mut [[f64; 3]; 3], x: &[f64; 3], next: &[f64; 3], off: &[f64; 3], there: &[f64; 3]) {
    let moved: [f64; 3] = core::array::from_fn(|at| next[at] - x[at]);
    let square: f64 = moved.iter().map(|value| value * value).sum();
    if square < 1e-24 {
        return;
    }
    for row in 0..3 {
        let foretold: f64 = (0..3).map(|at| slopes[row][at] * moved[at]).sum();
        let missed = (there[row] - off[row] - foretold) / square;
        (0..3).for_each(|at| slopes[row][at] += missed * moved[at]);
    }
}

/// Cramer's rule; none for slopes that part nothing.
fn solve(a: &[[f64; 3]; 3], b: &[f64; 3]) -> Option<[f64; 3]> {
    let cross = |u: &[f64; 3], v: &[f64; 3]| {
        [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
    };
    let dot = |u: &[f64; 3], v: &[f64; 3]| u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
    let column = |at: usize| [a[0][at], a[1][at], a[2][at]];
    let (one, two, three) = (column(0), column(1), column(2));
    let whole = dot(&one, &cross(&two, &three));
    let found = [
        dot(b, &cross(&two, &three)) / whole,
        dot(&one, &cross(b, &three)) / whole,
        dot(&one, &cross(&two, b)) / whole,
    ];
    found.iter().all(|value| value.is_finite()).then_some(found)
}

impl SteadyPlant {
    /// The balance under given air, with faults.
    ///
    /// # Errors
    /// [`SteadyError::Input`] and [`SteadyError::NoBalance`].
    pub fn solve(&self, ask: &SteadyAsk) -> Result<SteadyBalance, SteadyError> {
        self.solve_near(ask, None)
    }

    /// The same from a balance nearby, which is faster.
    ///
    /// # Errors
    /// As [`SteadyPlant::solve`].
    pub fn solve_near(
        &self,
        ask: &SteadyAsk,
        near: Option<&SteadyBalance>,
    ) -> Result<SteadyBalance, SteadyError> {
        check(ask)?;
        let mut search = Search { plant: self, ask, held: None, evaluations: 0 };
        let start = near.map_or(self.start, |near| near.x);
        if let Some((x, look)) = search.run(start) {
            return Ok(self.answer(ask, x, look, search.evaluations));
        }
        let evaluations = search.evaluations;
        self.walk(ask, evaluations)
    }

    /// From the design point to the question in steps that are halved where they are too long.
    fn walk(&self, ask: &SteadyAsk, mut evaluations: u32) -> Result<SteadyBalance, SteadyError> {
        let (mut x, mut done, mut step) = (self.start, 0.0_f64, 0.25);
        loop {
            let part: f64 = (done + step).min(1.0);
            let between = between(&self.at_design, ask, part);
            let mut search = Search { plant: self, ask: &between, held: None, evaluations: 0 };
            let found = search.run(x);
            evaluations += search.evaluations;
            match found {
                Some((next, look)) if part >= 1.0 => return Ok(self.answer(ask, next, look, evaluations)),
                Some((next, _)) => (x, done, step) = (next, part, step * 1.6),
                None => step *= 0.4,
            }
            if step < 2e-3 {
                return Err(SteadyError::NoBalance { part: done });
            }
        }
    }

    /// From a start, with the condenser's end held where that is given; for sizing.
    pub(super) fn seek(
        &self,
        ask: &SteadyAsk,
        start: [f64; 3],
        held: Option<f64>,
    ) -> Result<([f64; 3], Look), SteadyError> {
        let mut search = Search { plant: self, ask, held, evaluations: 0 };
        search.run(start).ok_or(SteadyError::NoBalance { part: 0.0 })
    }
}

/// A question between two.
fn between(one: &SteadyAsk, other: &SteadyAsk, part: f64) -> SteadyAsk {
    let mix = |a: f64, b: f64| a + part * (b - a);
    let (f, g) = (&one.faults, &other.faults);
    let (t, u) = (&one.tuning, &other.tuning);
    SteadyAsk {
        outdoor_k: mix(one.outdoor_k, other.outdoor_k),
        indoor_k: mix(one.indoor_k, other.indoor_k),
        humidity: mix(one.humidity, other.humidity),
        air_pa: mix(one.air_pa, other.air_pa),
        faults: SteadyFaults {
            charge: mix(f.charge, g.charge),
            air_kg: mix(f.air_kg, g.air_kg),
            restriction: mix(f.restriction, g.restriction),
            metering: mix(f.metering, g.metering),
            bulb_k: mix(f.bulb_k, g.bulb_k),
            condenser_air: mix(f.condenser_air, g.condenser_air),
            evaporator_air: mix(f.evaporator_air, g.evaporator_air),
            leak_back: mix(f.leak_back, g.leak_back),
        },
        tuning: SteadyTuning {
            condenser: mix(t.condenser, u.condenser),
            evaporator: mix(t.evaporator, u.evaporator),
            condenser_fan: mix(t.condenser_fan, u.condenser_fan),
            evaporator_fan: mix(t.evaporator_fan, u.evaporator_fan),
            swept: mix(t.swept, u.swept),
            losses: mix(t.losses, u.losses),
            opening: mix(t.opening, u.opening),
            superheat: mix(t.superheat, u.superheat),
            shell: mix(t.shell, u.shell),
            line: mix(t.line, u.line),
            charge: mix(t.charge, u.charge),
        },
    }
}

fn check(ask: &SteadyAsk) -> Result<(), SteadyError> {
    let (f, t) = (&ask.faults, &ask.tuning);
    let inputs = [
        ("air onto the condenser, K,", ask.outdoor_k, 220.0, 350.0),
        ("air onto the evaporator, K,", ask.indoor_k, 220.0, 350.0),
        ("relative humidity", ask.humidity, 0.0, 1.0),
        ("atmosphere, Pa,", ask.air_pa, 4e4, 1.2e5),
        ("charge over the nameplate's", f.charge, 0.02, 3.0),
        ("air in the system, kg,", f.air_kg, 0.0, 50.0),
        ("restriction", f.restriction, 0.0, 0.99),
        ("the metering device's opening", f.metering, 0.02, 10.0),
        ("what a bulb is off by, K,", f.bulb_k, -15.0, 30.0),
        ("air over the condenser", f.condenser_air, 0.02, 3.0),
        ("air over the evaporator", f.evaporator_air, 0.02, 3.0),
        ("leak back through the compressor's valves", f.leak_back, 0.0, 0.9),
        ("condenser's heat transfer", t.condenser, 0.1, 10.0),
        ("evaporator's heat transfer", t.evaporator, 0.1, 10.0),
        ("condenser's fan", t.condenser_fan, 0.1, 10.0),
        ("evaporator's fan", t.evaporator_fan, 0.1, 10.0),
        ("what the compressor sweeps", t.swept, 0.1, 10.0),
        ("the compressor's losses", t.losses, 0.1, 10.0),
        ("the metering device's own opening", t.opening, 0.1, 10.0),
        ("the valve's own superheat", t.superheat, 0.0, 10.0),
        ("the shell's loss", t.shell, 0.0, 5.0),
        ("the suction line's gain", t.line, 0.0, 20.0),
        ("what the volumes take", t.charge, 0.2, 3.0),
    ];
    for (what, value, low, high) in inputs {
        if !(value >= low && value <= high) {
            return Err(SteadyError::Input { what, value, low, high });
        }
    }
    Ok(())
}
