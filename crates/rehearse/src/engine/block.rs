//! Sparse linear systems of small dense blocks: the pattern is worked out once for a network, then only numbers change.
//!
//! The pattern is symmetric (a joint couples two spaces both ways). Rows are eliminated in an order that keeps fill low (least degree first), with
//! partial pivoting inside each diagonal block only: the matrices here are the identity plus a step times rates, and stay far from singular.

/// A block of `K` by `K` numbers.
pub(crate) type Block<const K: usize> = [[f64; K]; K];

/// Where the blocks are, and in which order rows are eliminated.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Pattern {
    size: usize,
    /// The place of each pair of coupled rows among the blocks, sorted by row and column: (row, column, place).
    places: Vec<(u32, u32, u32)>,
    /// Eliminations in order.
    pivots: Vec<Pivot>,
}

#[derive(Clone, Debug, PartialEq)]
struct Pivot {
    row: u32,
    /// The rows that are coupled with it and come later: (row, block below, block beside).
    later: Vec<(u32, u32, u32)>,
    /// Updates: (block below, block beside, block that changes).
    updates: Vec<(u32, u32, u32)>,
}

impl Pattern {
    /// From the pairs of rows that are coupled.
    pub(crate) fn new(size: usize, pairs: &[(usize, usize)]) -> Self {
        let mut near: Vec<Vec<usize>> = vec![Vec::new(); size];
        for &(a, b) in pairs {
            if a != b && a < size && b < size && !near[a].contains(&b) {
                near[a].push(b);
                near[b].push(a);
            }
        }
        let mut blocks: Vec<(u32, u32)> = (0..size).map(|row| (row as u32, row as u32)).collect();
        let mut order = Vec::with_capacity(size);
        let mut open = vec![true; size];
        let mut left = near;
        while order.len() < size {
            let degree = |row: usize| left[row].len();
            let Some(row) = (0..size).filter(|&row| open[row]).min_by_key(|&row| (degree(row), row)) else {
                break;
            };
            open[row] = false;
            let mut others = left[row].clone();
            others.sort_unstable();
            for &one in &others {
                blocks.push((one as u32, row as u32));
                blocks.push((row as u32, one as u32));
                left[one].retain(|&other| other != row);
                for &other in &others {
                    if one != other && !left[one].contains(&other) {
                        left[one].push(other);
                    }
                }
            }
            order.push((row, others));
        }
        blocks.sort_unstable();
        blocks.dedup();
        let mut pattern = Self {
            size,
            places: blocks.iter().zip(0u32..).map(|(&(row, column), at)| (row, column, at)).collect(),
            pivots: Vec::new(),
        };
        pattern.pivots = order.iter().map(|(row, others)| pattern.pivot(*row, others)).collect();
        pattern
    }

    fn pivot(&self, row: usize, others: &[usize]) -> Pivot {
        let at = |a: usize, b: usize| self.place(a, b).unwrap_or(0) as u32;
        let later = others.iter().map(|&other| (other as u32, at(other, row), at(row, other))).collect();
        let pairs = others.iter().flat_map(|&one| others.iter().map(move |&other| (one, other)));
        let updates = pairs.map(|(one, other)| (at(one, row), at(row, other), at(one, other))).collect();
        Pivot { row: row as u32, later, updates }
    }

    /// Where the block of a row and a column is.
    pub(crate) fn place(&self, row: usize, column: usize) -> Option<usize> {
        let wanted = (row as u32, column as u32);
        let at = self.places.binary_search_by_key(&wanted, |&(row, column, _)| (row, column)).ok()?;
        Some(at)
    }

    /// How many blocks there are.
    pub(crate) fn blocks(&self) -> usize {
        self.places.len()
    }
}

/// The numbers of a system.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct System<const K: usize> {
    /// The blocks, in the pattern's places; after [`System::factor`] its factors.
    pub(crate) blocks: Vec<Block<K>>,
    inverses: Vec<Block<K>>,
}

impl<const K: usize> System<K> {
    /// All zero.
    pub(crate) fn clear(&mut self, pattern: &Pattern) {
        self.blocks.clear();
        self.blocks.resize(pattern.blocks(), [[0.0; K]; K]);
        self.inverses.resize(pattern.size, [[0.0; K]; K]);
    }

    /// Splits into factors; false where a diagonal block can't be inverted.
    pub(crate) fn factor(&mut self, pattern: &Pattern) -> bool {
        for pivot in &pattern.pivots {
            let row = pivot.row as usize;
            let Some(diagonal) = pattern.place(row, row) else { return false };
            let Some(inverse) = invert(&self.blocks[diagonal]) else { return false };
            self.inverses[row] = inverse;
            for &(_, below, _) in &pivot.later {
                self.blocks[below as usize] = product(&self.blocks[below as usize], &inverse);
            }
            for &(below, beside, changed) in &pivot.updates {
                let (one, other) = (self.blocks[below as usize], self.blocks[beside as usize]);
                subtract_product(&mut self.blocks[changed as usize], &one, &other);
            }
        }
        true
    }

    /// Solves in place, after [`System::factor`].
    pub(crate) fn solve(&self, pattern: &Pattern, values: &mut [[f64; K]]) {
        for pivot in &pattern.pivots {
            let here = values[pivot.row as usize];
            for &(other, below, _) in &pivot.later {
                subtract_times(&mut values[other as usize], &self.blocks[below as usize], &here);
            }
        }
        for pivot in pattern.pivots.iter().rev() {
            let mut here = values[pivot.row as usize];
            for &(other, _, beside) in &pivot.later {
                subtract_times(&mut here, &self.blocks[beside as usize], &values[other as usize]);
            }
            values[pivot.row as usize] = times(&self.inverses[pivot.row as usize], &here);
        }
    }
}

fn times<const K: usize>(block: &Block<K>, values: &[f64; K]) -> [f64; K] {
    core::array::from_fn(|row| (0..K).map(|at| block[row][at] * values[at]).sum())
}

fn subtract_times<const K: usize>(from: &mut [f64; K], block: &Block<K>, values: &[f64; K]) {
    for row in 0..K {
        for at in 0..K {
            from[row] -= block[row][at] * values[at];
        }
    }
}

fn product<const K: usize>(one: &Block<K>, other: &Block<K>) -> Block<K> {
    let mut result = [[0.0; K]; K];
    for row in 0..K {
        for at in 0..K {
            for column in 0..K {
                result[row][column] += one[row][at] * other[at][column];
            }
        }
    }
    result
}

fn subtract_product<const K: usize>(from: &mut Block<K>, one: &Block<K>, other: &Block<K>) {
    for row in 0..K {
        for at in 0..K {
            for column in 0..K {
                from[row][column] -= one[row][at] * other[at][column];
            }
        }
    }
}

/// Gauss-Jordan with partial pivoting; rows are scaled first, as kilograms and joules differ by orders.
fn invert<const K: usize>(block: &Block<K>) -> Option<Block<K>> {
    let mut left = *block;
    let mut right = [[0.0; K]; K];
    for row in 0..K {
        let scale = left[row].iter().fold(0.0f64, |most, value| most.max(value.abs()));
        if !(scale > 0.0 && scale.is_finite()) {
            return None;
        }
        left[row].iter_mut().for_each(|value| *value /= scale);
        right[row][row] = 1.0 / scale;
    }
    for column in 0..K {
        let best = (column..K).max_by(|&a, &b| left[a][column].abs().total_cmp(&left[b][column].abs()))?;
        left.swap(column, best);
        right.swap(column, best);
        let pivot = left[column][column];
        if pivot.abs() <= 1e-300 || pivot.is_nan() {
            return None;
        }
        for at in 0..K {
            left[column][at] /= pivot;
            right[column][at] /= pivot;
        }
        for row in (0..K).filter(|&row| row != column) {
            let factor = left[row][column];
            if factor != 0.0 {
                for at in 0..K {
                    left[row][at] -= factor * left[column][at];
                    right[row][at] -= factor * right[column][at];
                }
            }
        }
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A made network with loops: what is solved, multiplied again, gives the right side.
    #[test]
    fn solved_and_multiplied_again() {
        let pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (3, 4), (4, 5), (5, 6), (6, 2), (6, 7)];
        let pattern = Pattern::new(8, &pairs);
        let mut system = System::<3>::default();
        system.clear(&pattern);
        let mut seed = 7u64;
        let mut random = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        };
        let coupled = pairs.iter().flat_map(|&(a, b)| [(a, b), (b, a)]).chain((0..8).map(|at| (at, at)));
        for (row, column) in coupled {
            let diagonal = if row == column { 4.0 } else { 0.0 };
            let at = pattern.place(row, column).unwrap_or(usize::MAX);
            system.blocks[at] = core::array::from_fn(|a| {
                core::array::from_fn(|b| random() + if a == b { diagonal } else { 0.0 })
            });
        }
        let whole = system.clone();
        let right: Vec<[f64; 3]> = (0..8).map(|_| core::array::from_fn(|_| random())).collect();
        let mut values = right.clone();
        assert!(system.factor(&pattern));
        system.solve(&pattern, &mut values);
        for (row, right) in right.iter().enumerate() {
            let mut sum = [0.0; 3];
            for (column, values) in values.iter().enumerate() {
                if let Some(at) = pattern.place(row, column) {
                    let part = times(&whole.blocks[at], values);
                    (0..3).for_each(|k| sum[k] += part[k]);
                }
            }
            (0..3).for_each(|k| assert!((sum[k] - right[k]).abs() < 1e-12, "{row} {k}"));
        }
    }
}
