//! A small dense linear system, on the stack: two phases of eight components, temperature and phase fraction.

/// The most unknowns.
pub(crate) const MOST: usize = 2 * crate::MOST_COMPONENTS + 2;

/// The equations of a Newton step: `matrix * step = right`.
#[derive(Clone, Debug)]
pub(crate) struct System {
    n: usize,
    rows: [[f64; MOST + 1]; MOST],
}

impl System {
    pub(crate) const fn new(n: usize) -> Self {
        Self { n, rows: [[0.0; MOST + 1]; MOST] }
    }

    pub(crate) const fn set(&mut self, row: usize, column: usize, value: f64) {
        self.rows[row][column] = value;
    }

    /// The right-hand side.
    pub(crate) const fn right(&mut self, row: usize, value: f64) {
        self.rows[row][self.n] = value;
    }

    /// Gauss elimination with scaled rows and pivots by column; none where singular.
    pub(crate) fn solve(&mut self) -> Option<[f64; MOST]> {
        let n = self.n;
        for row in self.rows.iter_mut().take(n) {
            let size = row.iter().take(n).fold(0.0f64, |most, value| most.max(value.abs()));
            if !(size > 0.0 && size.is_finite()) {
                return None;
            }
            row.iter_mut().take(n + 1).for_each(|value| *value /= size);
        }
        for at in 0..n {
            let best = (at..n).max_by(|&a, &b| self.rows[a][at].abs().total_cmp(&self.rows[b][at].abs()))?;
            if self.rows[best][at].abs() <= 1e-300 {
                return None;
            }
            self.rows.swap(at, best);
            let pivot = self.rows[at];
            for row in self.rows.iter_mut().take(n).skip(at + 1) {
                let factor = row[at] / pivot[at];
                for (value, above) in row.iter_mut().zip(&pivot).take(n + 1).skip(at) {
                    *value -= factor * above;
                }
            }
        }
        let mut found = [0.0; MOST];
        for at in (0..n).rev() {
            let row = &self.rows[at];
            let known: f64 = (at + 1..n).map(|k| row[k] * found[k]).sum();
            found[at] = (row[n] - known) / row[at];
        }
        found.iter().take(n).all(|value| value.is_finite()).then_some(found)
    }
}
