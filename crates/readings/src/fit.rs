//! Fitting: long series thinned to means, straight lines, and sums of given shapes with parts that can't be negative.

/// A mean of neighbouring points of a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Mean {
    /// Mean time, s.
    pub(crate) t: f64,
    /// Mean value.
    pub(crate) y: f64,
    /// How many points.
    pub(crate) n: f64,
}

/// Thins a series to at most so many means over equal counts of points; points that are NaN are left out.
pub(crate) fn thin(times: &[f64], values: &[f64], most: usize) -> Vec<Mean> {
    let size = times.len().div_ceil(most.max(1)).max(1);
    let mut means = Vec::with_capacity(times.len() / size + 1);
    for (times, values) in times.chunks(size).zip(values.chunks(size)) {
        let mut sum = Mean { t: 0.0, y: 0.0, n: 0.0 };
        for (t, y) in times.iter().zip(values).filter(|(_, y)| y.is_finite()) {
            sum = Mean { t: sum.t + t, y: sum.y + y, n: sum.n + 1.0 };
        }
        if sum.n > 0.0 {
            means.push(Mean { t: sum.t / sum.n, y: sum.y / sum.n, n: sum.n });
        }
    }
    means
}

/// A straight line through points: value at the first time, slope, and the slope's standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) start: f64,
    pub(crate) slope: f64,
    pub(crate) slope_standard: f64,
    /// Standard deviation about the line.
    pub(crate) scatter: f64,
}

/// Least squares; neighbouring residuals that go together make the slope less certain (effective number of points from the lag-one
/// correlation). None for fewer than three times.
pub(crate) fn line(points: &[Mean]) -> Option<Line> {
    let n = points.len() as f64;
    if points.len() < 3 {
        return None;
    }
    let (t0, tm) = (points.first()?.t, points.iter().map(|p| p.t).sum::<f64>() / n);
    let ym = points.iter().map(|p| p.y).sum::<f64>() / n;
    let sxx: f64 = points.iter().map(|p| (p.t - tm) * (p.t - tm)).sum();
    if sxx <= 0.0 {
        return None;
    }
    let slope = points.iter().map(|p| (p.t - tm) * (p.y - ym)).sum::<f64>() / sxx;
    let residuals: Vec<f64> = points.iter().map(|p| p.y - ym - slope * (p.t - tm)).collect();
    let sum: f64 = residuals.iter().map(|r| r * r).sum();
    let scatter = (sum / (n - 2.0)).sqrt();
    let spread = correlation_factor(&residuals);
    Some(Line {
        start: ym + slope * (t0 - tm),
        slope,
        slope_standard: scatter * spread / sxx.sqrt(),
        scatter,
    })
}

/// By how much correlated residuals widen an uncertainty: sqrt((1 + r) / (1 - r)) with the lag-one correlation r, never below 1.
pub(crate) fn correlation_factor(residuals: &[f64]) -> f64 {
    let sum: f64 = residuals.iter().map(|r| r * r).sum();
    let lag: f64 = residuals.iter().zip(residuals.iter().skip(1)).map(|(a, b)| a * b).sum();
    let r = if sum > 0.0 { (lag / sum).clamp(0.0, 0.95) } else { 0.0 };
    ((1.0 + r) / (1.0 - r)).sqrt()
}

/// A sum of shapes fitted to values.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shapes {
    /// One for each shape; 0 where it had to be left out for being negative.
    pub(crate) parts: Vec<f64>,
    /// Their variances, by the weights as given; 0 for those left out.
    pub(crate) variances: Vec<f64>,
    /// The variance of the sum of all parts but the first two.
    pub(crate) rest_variance: f64,
    /// The weighted sum of squares that is left.
    pub(crate) rest: f64,
    /// How many shapes are in.
    pub(crate) used: usize,
}

/// Least squares of few shapes with parts that can't be negative (the first may be): every subset is tried, the best that fits stands.
pub(crate) fn shapes(columns: &[Vec<f64>], y: &[f64], weights: &[f64]) -> Option<Shapes> {
    let free = columns.len().checked_sub(1)?;
    let dot =
        |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).zip(weights).map(|((a, b), w)| a * b * w).sum() };
    let matrix: Vec<Vec<f64>> = columns.iter().map(|a| columns.iter().map(|b| dot(a, b)).collect()).collect();
    let right: Vec<f64> = columns.iter().map(|a| dot(a, y)).collect();
    let whole = dot(y, y);
    let mut best: Option<Shapes> = None;
    for subset in 0..(1_u32 << free) {
        let picked: Vec<usize> =
            (0..columns.len()).filter(|at| *at == 0 || subset >> (at - 1) & 1 == 1).collect();
        let Some(found) = solve(&matrix, &right, whole, &picked) else { continue };
        let fits = found.parts.iter().skip(1).all(|part| *part >= 0.0);
        if fits && best.as_ref().is_none_or(|best| found.rest < best.rest * (1.0 - 1e-12)) {
            best = Some(found);
        }
    }
    best
}

fn solve(matrix: &[Vec<f64>], right: &[f64], whole: f64, picked: &[usize]) -> Option<Shapes> {
    let rows = picked.iter().filter_map(|i| matrix.get(*i));
    let part: Vec<Vec<f64>> =
        rows.map(|row| picked.iter().filter_map(|j| row.get(*j).copied()).collect()).collect();
    let inverse = invert(&part)?;
    let wanted: Vec<f64> = picked.iter().filter_map(|i| right.get(*i).copied()).collect();
    let mut parts = vec![0.0; right.len()];
    let mut variances = vec![0.0; right.len()];
    let (mut explained, mut rest_variance) = (0.0, 0.0);
    for ((at, index), row) in picked.iter().enumerate().zip(&inverse) {
        let value: f64 = row.iter().zip(&wanted).map(|(a, b)| a * b).sum();
        explained += value * wanted.get(at).copied()?;
        *parts.get_mut(*index)? = value;
        *variances.get_mut(*index)? = row.get(at).copied()?;
        if *index >= 2 {
            rest_variance +=
                row.iter().zip(picked).filter(|(_, other)| **other >= 2).map(|(value, _)| value).sum::<f64>();
        }
    }
    Some(Shapes {
        parts,
        variances,
        rest_variance: rest_variance.max(0.0),
        rest: (whole - explained).max(0.0),
        used: picked.len(),
    })
}

/// Gauss and Jordan with scaling and pivots; none where the shapes can't be told apart.
fn invert(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let scale: Vec<f64> = (0..n)
        .map(|i| 1.0 / matrix.get(i).and_then(|row| row.get(i)).copied().unwrap_or(0.0).sqrt())
        .collect();
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let mut work: Vec<Vec<f64>> = Vec::with_capacity(n);
    for (i, row) in matrix.iter().enumerate() {
        let mut line: Vec<f64> =
            row.iter().zip(&scale).map(|(a, s)| a * s * scale.get(i).copied().unwrap_or(0.0)).collect();
        line.extend((0..n).map(|j| f64::from(u8::from(i == j))));
        work.push(line);
    }
    for column in 0..n {
        let pivot = (column..n)
            .max_by(|a, b| entry(&work, *a, column).abs().total_cmp(&entry(&work, *b, column).abs()))?;
        work.swap(column, pivot);
        let top = entry(&work, column, column);
        if top.abs() < 1e-12 {
            return None;
        }
        let line: Vec<f64> = work.get(column)?.iter().map(|a| a / top).collect();
        for (i, row) in work.iter_mut().enumerate() {
            if i == column {
                row.clone_from(&line);
            } else {
                let by = row.get(column).copied()?;
                for (a, b) in row.iter_mut().zip(&line) {
                    *a -= by * b;
                }
            }
        }
    }
    let unscale = |i: usize, j: usize, value: f64| {
        value * scale.get(i).copied().unwrap_or(0.0) * scale.get(j).copied().unwrap_or(0.0)
    };
    Some((0..n).map(|i| (0..n).map(|j| unscale(i, j, entry(&work, i, n + j))).collect()).collect())
}

fn entry(work: &[Vec<f64>], i: usize, j: usize) -> f64 {
    work.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nist_norris() {
        // NIST Statistical Reference Datasets, Norris (linear regression, low difficulty); certified slope 1.00211681802045, its standard
        // deviation 0.000429796848199937, residual standard deviation 0.884796396144373.
        let data = [
            (0.1, 0.2),
            (338.8, 337.4),
            (118.1, 118.2),
            (888.0, 884.6),
            (9.2, 10.1),
            (228.1, 226.5),
            (668.5, 666.3),
            (998.5, 996.3),
            (449.1, 448.6),
            (778.9, 777.0),
            (559.2, 558.2),
            (0.3, 0.4),
            (0.1, 0.6),
            (778.1, 775.5),
            (668.8, 666.9),
            (339.3, 338.0),
            (448.9, 447.5),
            (10.8, 11.6),
            (557.7, 556.0),
            (228.3, 228.1),
            (998.0, 995.8),
            (888.8, 887.6),
            (119.6, 120.2),
            (0.3, 0.3),
            (0.6, 0.3),
            (557.6, 556.8),
            (339.3, 339.1),
            (888.0, 887.2),
            (998.5, 999.0),
            (778.9, 779.0),
            (10.2, 11.1),
            (117.6, 118.3),
            (228.9, 229.2),
            (668.4, 669.1),
            (449.2, 448.9),
            (0.2, 0.5),
        ];
        let points: Vec<Mean> = data.iter().map(|(y, x)| Mean { t: *x, y: *y, n: 1.0 }).collect();
        let fit = line(&points).unwrap();
        assert!((fit.slope - 1.002_116_818_020_45).abs() < 1e-12, "{}", fit.slope);
        assert!((fit.scatter - 0.884_796_396_144_373).abs() < 1e-10, "{}", fit.scatter);
        assert!(fit.slope_standard >= 0.000_429_796_8);
    }

    #[test]
    fn shapes_keep_out_what_would_be_negative() {
        let t: Vec<f64> = (0..50).map(f64::from).collect();
        let columns = vec![vec![1.0; 50], t.clone(), t.iter().map(|t| 1.0 - libm::exp(-t / 8.0)).collect()];
        let y: Vec<f64> = t.iter().map(|t| 5.0 - 0.1 * t + 3.0 * (1.0 - libm::exp(-t / 8.0))).collect();
        let fit = shapes(&columns, &y, &[1.0; 50]).unwrap();
        assert!(fit.parts.iter().skip(1).all(|part| *part >= 0.0) && fit.used < 3);
        let y: Vec<f64> = t.iter().map(|t| 5.0 + 0.1 * t + 3.0 * (1.0 - libm::exp(-t / 8.0))).collect();
        let fit = shapes(&columns, &y, &[1.0; 50]).unwrap();
        for (part, truth) in fit.parts.iter().zip([5.0, 0.1, 3.0]) {
            assert!((part - truth).abs() < 1e-8);
        }
    }
}
