//! One hypothesis fitted to the readings: sizes and unknowns by Gauss and Newton's method, how probable the readings are under it by Laplace's.

use stemwise_rehearse::{SteadyAsk, SteadyBalance, SteadyPlant};

use super::hypothesis::{FaultKind, UNKNOWNS};
use super::linear::Square;
use super::observe::{COUNT, Shown, observe};
use crate::uncertain::normal;

/// Unknowns of the circuit and of the air: [`UNKNOWNS`], then both air temperatures and the humidity.
pub(super) const LOOSE: usize = UNKNOWNS.len() + 3;
/// Slopes are taken at one place and say too little of how far a size may be off: over simulated circuits their own intervals of 90 % held 85 %.
const WIDER: f64 = 1.1;
/// By how many standard deviations unknowns are moved to find slopes.
const MOVED: f64 = 0.25;

/// What was read, and under which air.
#[derive(Debug)]
pub(super) struct Problem<'a> {
    pub(super) plant: &'a SteadyPlant,
    pub(super) base: SteadyAsk,
    /// Value and standard uncertainty, instrument and balance together; none where it was not read.
    pub(super) read: [Option<(f64, f64)>; COUNT],
    /// Standard uncertainties of outdoor and indoor air, K, and of the humidity.
    pub(super) air: [f64; 3],
    /// The sizes of each fault that are felt under this air; none where no size is.
    pub(super) felt: [Option<(f64, f64)>; FaultKind::ALL.len()],
    /// What readings of the sound circuit tell of its unknowns.
    pub(super) known: Option<Known>,
}

/// The unknowns as readings of the sound circuit leave them: normal about a middle, with the factor of the inverse of their covariance.
#[derive(Clone, Debug)]
pub(super) struct Known {
    middle: Vec<f64>,
    factor: Square,
}

impl Known {
    /// The unknowns so many of their new standard deviations from the middle; these don't depend on each other.
    fn at(&self, loose: &[f64]) -> Vec<f64> {
        let off = self.factor.solve_upper(loose);
        self.middle.iter().zip(off).map(|(middle, off)| middle + off).collect()
    }
}

/// What costs less of capacity and of efficiency is not called a fault: nobody would feel it, and a receiver that holds a little less is none. Assumed.
const FELT: f64 = 0.03;

/// The sizes of each fault that cost at least [`FELT`], from the least on.
pub(super) fn felt(plant: &SteadyPlant, base: &SteadyAsk) -> [Option<(f64, f64)>; FaultKind::ALL.len()] {
    let well = plant.solve(base).ok();
    FaultKind::ALL.map(|kind| {
        let (low, high) = kind.range(plant);
        let Some(well) = &well else { return Some((low, high)) };
        // What stops the circuit is felt too.
        let felt = |size: f64| {
            let mut ask = *base;
            kind.put(size, plant, &mut ask);
            plant.solve_near(&ask, Some(well)).map_or(true, |found| cost(&found, well) >= FELT)
        };
        if felt(low) {
            return Some((low, high));
        }
        let parts = [0.1, 0.2, 0.35, 0.5, 0.7, 1.0];
        let first = parts.iter().map(|part| low + part * (high - low)).find(|size| felt(*size))?;
        let (mut below, mut above) = (low, first);
        for _ in 0..5 {
            let half = 0.5 * (below + above);
            if felt(half) { above = half } else { below = half }
        }
        Some((above, high))
    })
}

/// What a balance costs against another, of capacity or of efficiency, whichever is more.
fn cost(found: &SteadyBalance, well: &SteadyBalance) -> f64 {
    let part = |now: f64, was: f64| (now / was - 1.0).abs();
    let efficiency = |it: &SteadyBalance| it.capacity_w / it.power_w;
    part(found.capacity_w, well.capacity_w).max(part(efficiency(found), efficiency(well)))
}

/// A fit.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) faults: Vec<FaultKind>,
    pub(super) sizes: Vec<f64>,
    /// The middle and the ends of the interval that holds the size with 90 %.
    pub(super) intervals: Vec<(f64, f64)>,
    pub(super) loose: Vec<f64>,
    pub(super) shown: Shown,
    /// Standard deviation of what each reading would be, instruments and the balance's own doubt apart.
    pub(super) spread: Shown,
    /// Weighted squares of what is left.
    pub(super) squares: f64,
    /// Logarithm of the probability of the readings.
    pub(super) evidence: f64,
    pub(super) balance: SteadyBalance,
    slopes: Vec<Shown>,
}

impl Problem<'_> {
    /// The sizes that are looked for.
    pub(super) fn range(&self, fault: FaultKind) -> (f64, f64) {
        let place = FaultKind::ALL.iter().position(|it| *it == fault);
        place.and_then(|at| self.felt[at]).unwrap_or_else(|| fault.range(self.plant))
    }

    fn ask(&self, faults: &[FaultKind], sizes: &[f64], loose: &[f64]) -> SteadyAsk {
        let mut ask = self.base;
        let (own, air) = loose.split_at(UNKNOWNS.len());
        let known = self.known.as_ref().map(|known| known.at(own));
        for (unknown, z) in UNKNOWNS.iter().zip(known.as_deref().unwrap_or(own)) {
            (unknown.put)(&mut ask, unknown.standard * z);
        }
        let mut air = air.iter().zip(self.air).map(|(z, standard)| z * standard);
        ask.outdoor_k += air.next().unwrap_or(0.0);
        ask.indoor_k += air.next().unwrap_or(0.0);
        ask.humidity = (ask.humidity + air.next().unwrap_or(0.0)).clamp(0.02, 0.98);
        faults.iter().zip(sizes).for_each(|(fault, size)| fault.put(*size, self.plant, &mut ask));
        ask
    }

    fn look(
        &self,
        faults: &[FaultKind],
        sizes: &[f64],
        loose: &[f64],
        near: Option<&SteadyBalance>,
    ) -> Option<(SteadyBalance, Shown)> {
        let found = self.plant.solve_near(&self.ask(faults, sizes, loose), near).ok()?;
        let shown = observe(&found);
        shown.iter().all(|value| value.is_finite()).then_some((found, shown))
    }

    fn squares(&self, shown: &Shown, loose: &[f64]) -> f64 {
        let of_readings: f64 = self
            .read
            .iter()
            .zip(shown)
            .filter_map(|(read, shown)| read.map(|(value, standard)| (value - shown) / standard))
            .map(|z| z * z)
            .sum();
        of_readings + loose.iter().map(|z| z * z).sum::<f64>()
    }

    /// Slopes by each unknown.
    fn loose_slopes(&self, at: &Point<'_>) -> Vec<Shown> {
        (0..LOOSE)
            .map(|column| {
                let mut moved = at.loose.to_vec();
                moved[column] += MOVED;
                self.slope(at, at.sizes, &moved, MOVED)
            })
            .collect()
    }

    fn slope(&self, at: &Point<'_>, sizes: &[f64], loose: &[f64], by: f64) -> Shown {
        match self.look(at.faults, sizes, loose, Some(at.balance)) {
            Some((_, there)) => core::array::from_fn(|row| (there[row] - at.shown[row]) / by),
            None => [0.0; COUNT],
        }
    }

    /// Slopes by each size.
    fn size_slopes(&self, at: &Point<'_>) -> Vec<Shown> {
        let ranges = at.faults.iter().map(|fault| self.range(*fault));
        ranges
            .enumerate()
            .map(|(column, (low, high))| {
                let by = 0.015 * (high - low);
                let by = if at.sizes[column] + by > high { -by } else { by };
                let mut moved = at.sizes.to_vec();
                moved[column] += by;
                self.slope(at, &moved, at.loose, by)
            })
            .collect()
    }

    /// What values of the sound circuit tell of its unknowns, each with its standard uncertainty: Gauss and Newton's method from what its file says.
    pub(super) fn known_by(
        &self,
        healthy: &[(f64, f64)],
        values: impl Fn(&SteadyBalance) -> Vec<f64>,
    ) -> Option<Known> {
        let mut z = vec![0.0; LOOSE];
        let mut factor = None;
        for _ in 0..2 {
            let (found, _) = self.look(&[], &[], &z, None)?;
            let here = values(&found);
            let mut matrix = Square::zero(UNKNOWNS.len());
            let mut right: Vec<f64> = z.iter().take(UNKNOWNS.len()).map(|z| -z).collect();
            let slopes: Vec<Vec<f64>> = (0..UNKNOWNS.len())
                .map(|unknown| {
                    let mut moved = z.clone();
                    moved[unknown] += MOVED;
                    let there = self.look(&[], &[], &moved, Some(&found)).map(|(found, _)| values(&found));
                    let there = there.unwrap_or_else(|| here.clone());
                    there.iter().zip(&here).map(|(there, here)| (there - here) / MOVED).collect()
                })
                .collect();
            for row in 0..UNKNOWNS.len() {
                matrix.add(row, row, 1.0);
                for (at, (value, standard)) in healthy.iter().enumerate() {
                    let weight = 1.0 / (standard * standard);
                    right[row] += slopes[row][at] * (value - here[at]) * weight;
                    for column in 0..UNKNOWNS.len() {
                        matrix.add(row, column, slopes[row][at] * slopes[column][at] * weight);
                    }
                }
            }
            let whole = matrix.factor()?;
            z.iter_mut().zip(whole.solve(&right)).for_each(|(z, step)| *z = (*z + step).clamp(-4.0, 4.0));
            factor = Some(whole);
        }
        z.truncate(UNKNOWNS.len());
        Some(Known { middle: z, factor: factor? })
    }

    /// The circuit with nothing wrong.
    pub(super) fn well(&self) -> Option<Fit> {
        self.fit(&[], &[], None)
    }

    /// Fits a hypothesis from sizes to start with; slopes by the unknowns are taken over where they are given.
    pub(super) fn fit(&self, faults: &[FaultKind], start: &[f64], from: Option<&Fit>) -> Option<Fit> {
        let mut sizes = start.to_vec();
        let mut loose = from.map_or_else(|| vec![0.0; LOOSE], |fit| fit.loose.clone());
        let near = from.map(|fit| &fit.balance);
        let (mut balance, mut shown) = self.look(faults, &sizes, &loose, near)?;
        let mut squares = self.squares(&shown, &loose);
        // Slopes by the unknowns hardly change from fit to fit: those of the fit before serve for the first round.
        let mut loose_slopes: Option<Vec<Shown>> =
            from.and_then(|fit| Some(fit.slopes.get(fit.faults.len()..)?.to_vec()));
        let mut slopes = Vec::new();
        let mut damping = 1e-3;
        for round in 0..7 {
            let at = Point { faults, sizes: &sizes, loose: &loose, balance: &balance, shown: &shown };
            let by_loose = match loose_slopes.take() {
                Some(old) if round != 1 => old,
                _ => self.loose_slopes(&at),
            };
            slopes = self.size_slopes(&at);
            slopes.extend(by_loose.iter().copied());
            loose_slopes = Some(by_loose);
            let mut better = false;
            for _ in 0..4 {
                let Some(step) = self.step(faults, &sizes, &loose, &shown, &slopes, damping) else { break };
                let (new_sizes, new_loose) = self.moved(faults, &sizes, &loose, &step);
                let there = self.look(faults, &new_sizes, &new_loose, Some(&balance));
                if let Some((found, seen)) = there {
                    let now = self.squares(&seen, &new_loose);
                    if now < squares {
                        let gained = squares - now;
                        (sizes, loose, balance, shown, squares) = (new_sizes, new_loose, found, seen, now);
                        damping = (damping * 0.2).max(1e-6);
                        better = gained > 0.02;
                        break;
                    }
                }
                damping = damping.max(1e-2) * 8.0;
            }
            if !better {
                break;
            }
        }
        self.finish(faults, sizes, loose, balance, shown, squares, slopes)
    }

    /// The step that takes what is left to nothing, if slopes held; sizes that lie at an end and would leave stay.
    fn step(
        &self,
        faults: &[FaultKind],
        sizes: &[f64],
        loose: &[f64],
        shown: &Shown,
        slopes: &[Shown],
        damping: f64,
    ) -> Option<Vec<f64>> {
        let (matrix, mut right) = self.normal_equations(faults.len(), loose, shown, slopes);
        let mut matrix = matrix;
        for (at, fault) in faults.iter().enumerate() {
            let (low, high) = self.range(*fault);
            let leaves = (sizes[at] <= low && right[at] < 0.0) || (sizes[at] >= high && right[at] > 0.0);
            if leaves {
                for other in 0..matrix.n {
                    let (row, column) = (matrix.get(at, other), matrix.get(other, at));
                    matrix.add(at, other, -row);
                    if other != at {
                        matrix.add(other, at, -column);
                    }
                }
                matrix.add(at, at, 1.0);
                right[at] = 0.0;
            }
        }
        for at in 0..matrix.n {
            let more = damping * matrix.get(at, at) + 1e-9;
            matrix.add(at, at, more);
        }
        Some(matrix.factor()?.solve(&right))
    }

    fn moved(
        &self,
        faults: &[FaultKind],
        sizes: &[f64],
        loose: &[f64],
        step: &[f64],
    ) -> (Vec<f64>, Vec<f64>) {
        let ranges = faults.iter().map(|fault| self.range(*fault));
        let new = sizes.iter().zip(step).zip(ranges);
        let sizes = new.map(|((size, step), (low, high))| (size + step).clamp(low, high)).collect();
        let loose =
            loose.iter().zip(&step[faults.len()..]).map(|(z, step)| (z + step).clamp(-4.0, 4.0)).collect();
        (sizes, loose)
    }

    /// Curvature and slope of half the squares, downhill.
    fn normal_equations(
        &self,
        sizes: usize,
        loose: &[f64],
        shown: &Shown,
        slopes: &[Shown],
    ) -> (Square, Vec<f64>) {
        let n = slopes.len();
        let mut matrix = Square::zero(n);
        let mut right = vec![0.0; n];
        for (row, read) in self.read.iter().enumerate() {
            let Some((value, standard)) = read else { continue };
            let weight = 1.0 / (standard * standard);
            let left = weight * (value - shown[row]);
            for (one, slope) in slopes.iter().take(n).map(|slopes| slopes[row]).enumerate() {
                right[one] += slope * left;
                for (other, across) in slopes.iter().take(n).map(|slopes| slopes[row]).enumerate() {
                    matrix.add(one, other, weight * slope * across);
                }
            }
        }
        for (at, z) in loose.iter().enumerate() {
            matrix.add(sizes + at, sizes + at, 1.0);
            right[sizes + at] -= z;
        }
        (matrix, right)
    }

    #[allow(clippy::too_many_arguments, reason = "each is a part of one fit")]
    fn finish(
        &self,
        faults: &[FaultKind],
        sizes: Vec<f64>,
        loose: Vec<f64>,
        balance: SteadyBalance,
        shown: Shown,
        squares: f64,
        slopes: Vec<Shown>,
    ) -> Option<Fit> {
        let k = faults.len();
        let (mut matrix, right) = self.normal_equations(k, &loose, &shown, &slopes);
        for at in 0..k {
            matrix.add(at, at, 1e-6);
        }
        let whole = matrix.factor()?;
        let mut inner = Square::zero(LOOSE);
        for row in 0..LOOSE {
            for column in 0..LOOSE {
                inner.add(row, column, matrix.get(k + row, k + column));
            }
        }
        // The unknowns' priors are normal with standard deviation 1.
        let mut evidence = -0.5 * squares - 0.5 * inner.factor()?.log_determinant();
        let column = |at: usize| {
            let mut unit = vec![0.0; matrix.n];
            unit[at] = 1.0;
            whole.solve(&unit)
        };
        let downhill = whole.solve(&right);
        let mut intervals = Vec::new();
        // Determinant of the sizes' own curvature, the unknowns let go.
        evidence -= 0.5 * (whole.log_determinant() - inner.factor()?.log_determinant());
        for (at, fault) in faults.iter().enumerate() {
            let (low, high) = self.range(*fault);
            let standard = column(at).get(at).copied().unwrap_or(1.0).max(1e-12).sqrt();
            // A size that was stopped at an end would have gone on.
            let beyond = if sizes[at] <= low || sizes[at] >= high { downhill[at] } else { 0.0 };
            let middle = sizes[at] + beyond;
            evidence += 0.5 * libm::log(core::f64::consts::TAU) - libm::log(high - low)
                + log_part(middle, standard, low, high)
                + 0.5 * (beyond / standard) * (beyond / standard);
            intervals.push(interval(middle, WIDER * standard, low, high));
        }
        let spread = core::array::from_fn(|row| {
            let slope: Vec<f64> = slopes.iter().map(|slope| slope[row]).collect();
            let moved = whole.solve(&slope);
            slope.iter().zip(&moved).map(|(a, b)| a * b).sum::<f64>().max(0.0).sqrt()
        });
        Some(Fit {
            faults: faults.to_vec(),
            sizes,
            intervals,
            loose,
            shown,
            spread,
            squares,
            evidence,
            balance,
            slopes,
        })
    }

    /// The balance with nothing wrong, one unknown moved by its standard deviation.
    pub(super) fn balance_at(
        &self,
        moved: Option<usize>,
        near: Option<&SteadyBalance>,
    ) -> Option<SteadyBalance> {
        let mut loose = vec![0.0; LOOSE];
        if let Some(place) = moved.and_then(|at| loose.get_mut(at)) {
            *place = 1.0;
        }
        self.look(&[], &[], &loose, near).map(|(found, _)| found)
    }

    /// What readings would be before any was made, with their spread by the unknowns alone.
    pub(super) fn foretold(&self) -> Option<(SteadyBalance, Shown, Shown)> {
        let loose = vec![0.0; LOOSE];
        let (balance, shown) = self.look(&[], &[], &loose, None)?;
        let at = Point { faults: &[], sizes: &[], loose: &loose, balance: &balance, shown: &shown };
        let slopes = self.loose_slopes(&at);
        let spread = core::array::from_fn(|row| {
            slopes.iter().map(|slope| slope[row] * slope[row]).sum::<f64>().sqrt()
        });
        Some((balance, shown, spread))
    }

    /// The best of some sizes to start from: each with the unknowns as the slopes say.
    pub(super) fn start(&self, fault: FaultKind, well: &Fit) -> Option<f64> {
        let (low, high) = self.range(fault);
        let mut best: Option<(f64, f64)> = None;
        let mut near = None;
        for part in [0.08, 0.25, 0.45, 0.7] {
            let size = low + part * (high - low);
            let zero = vec![0.0; LOOSE];
            let Some((found, shown)) = self.look(&[fault], &[size], &zero, near.as_ref()) else { continue };
            near = Some(found);
            let slopes = &well.slopes;
            let (matrix, right) = self.normal_equations(0, &zero, &shown, slopes);
            let Some(factor) = matrix.factor() else { continue };
            let gain: f64 = factor.solve(&right).iter().zip(&right).map(|(a, b)| a * b).sum();
            let squares = self.squares(&shown, &zero) - gain;
            if best.is_none_or(|(least, _)| squares < least) {
                best = Some((squares, size));
            }
        }
        best.map(|(_, size)| size)
    }
}

/// A place in the space of sizes and unknowns, with what shows there.
struct Point<'a> {
    faults: &'a [FaultKind],
    sizes: &'a [f64],
    loose: &'a [f64],
    balance: &'a SteadyBalance,
    shown: &'a Shown,
}

/// Logarithm of the part of a normal distribution between two ends, times its standard deviation... of which the curvature counts already.
fn log_part(middle: f64, standard: f64, low: f64, high: f64) -> f64 {
    let (a, b) = ((low - middle) / standard, (high - middle) / standard);
    let part = if a > 0.0 { normal(-a) - normal(-b) } else { normal(b) - normal(a) };
    if part > 1e-280 {
        return libm::log(part);
    }
    // Far out: the tail of Mills.
    let z = if a > 0.0 { a } else { -b };
    -0.5 * z * z - libm::log(z.max(1.0)) - 0.5 * libm::log(core::f64::consts::TAU)
}

/// Where 5 % and 95 % of a normal distribution lie that is cut off at both ends.
fn interval(middle: f64, standard: f64, low: f64, high: f64) -> (f64, f64) {
    let whole = log_part(middle, standard, low, high);
    let at = |wanted: f64| {
        let (mut below, mut above) = (low, high);
        for _ in 0..50 {
            let half = 0.5 * (below + above);
            let part = libm::exp(log_part(middle, standard, low, half.max(low + 1e-12)) - whole);
            if part < wanted { below = half } else { above = half }
        }
        0.5 * (below + above)
    };
    (at(0.05), at(0.95))
}
