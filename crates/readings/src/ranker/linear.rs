//! Small dense systems.

/// A square matrix that is positive definite, by rows.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Square {
    pub(super) n: usize,
    pub(super) a: Vec<f64>,
}

impl Square {
    pub(super) fn zero(n: usize) -> Self {
        Self { n, a: vec![0.0; n * n] }
    }

    pub(super) fn get(&self, row: usize, column: usize) -> f64 {
        self.a.get(row * self.n + column).copied().unwrap_or(0.0)
    }

    pub(super) fn add(&mut self, row: usize, column: usize, value: f64) {
        if let Some(place) = self.a.get_mut(row * self.n + column) {
            *place += value;
        }
    }

    /// Cholesky's factor; none where it is not positive definite.
    pub(super) fn factor(&self) -> Option<Self> {
        let mut l = Self::zero(self.n);
        for row in 0..self.n {
            for column in 0..=row {
                let sum: f64 = (0..column).map(|k| l.get(row, k) * l.get(column, k)).sum();
                let left = self.get(row, column) - sum;
                if row == column {
                    if left <= 0.0 {
                        return None;
                    }
                    l.add(row, row, left.sqrt());
                } else {
                    l.add(row, column, left / l.get(column, column));
                }
            }
        }
        Some(l)
    }

    /// Of a factor: the logarithm of the determinant of what it is the factor of.
    pub(super) fn log_determinant(&self) -> f64 {
        (0..self.n).map(|at| 2.0 * libm::log(self.get(at, at))).sum()
    }

    /// Of a factor: solves.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x = right.to_vec();
        for row in 0..self.n {
            let sum: f64 = (0..row).map(|k| self.get(row, k) * x[k]).sum();
            x[row] = (x[row] - sum) / self.get(row, row);
        }
        self.solve_upper(&x)
    }

    /// Of a factor: solves with its transpose alone.
    pub(super) fn solve_upper(&self, right: &[f64]) -> Vec<f64> {
        let mut x = right.to_vec();
        for row in (0..self.n).rev() {
            let sum: f64 = (row + 1..self.n).map(|k| self.get(k, row) * x[k]).sum();
            x[row] = (x[row] - sum) / self.get(row, row);
        }
        x
    }
}
