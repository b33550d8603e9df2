//! Rounding of a round's linear system: what leaves one cell enters another, so over all cells the changes add up to what was asked for.
//!
//! Long steps through wide openings make a system in which flows are large beside what a cell holds, and now and then its solution is off by so much that
//! a millionth of the charge would be lost. Where the sum tells so, the solution is improved by that of what is left over (iterative refinement; Golub
//! and Van Loan, Matrix Computations, section 3.5.3).

use super::cell::{Amounts, GASES, WATER};
use super::past::Base;
use super::step::{Network, Room};

/// What may be lost in a round, as a part of all.
const LOST: f64 = 1e-11;
const TIMES: usize = 3;

impl Network {
    /// Solves the round's system.
    pub(super) fn solve<const K: usize>(&self, base: &Base, amounts: &[Amounts], room: &mut Room<K>) {
        let asked = self.sums(&room.right);
        room.system.solve(&self.pattern, &mut room.right);
        let whole: f64 = amounts.iter().zip(&self.cells).filter(|(_, cell)| !cell.boundless).map(mass).sum();
        for _ in 0..TIMES {
            let found = self.sums(&room.right);
            let kept = |k: usize| (found[k] - asked[k]).abs() <= LOST * whole;
            // Energy comes in from outside, water from wet walls.
            let counted = |k: &usize| self.counted[*k] == 0 || (GASES..WATER).contains(&self.counted[*k]);
            if (0..K).filter(counted).all(kept) {
                break;
            }
            self.refine(base, amounts, room);
        }
    }

    fn refine<const K: usize>(&self, base: &Base, amounts: &[Amounts], room: &mut Room<K>) {
        let solved = room.right.clone();
        core::mem::swap(&mut room.system, &mut room.spare);
        self.assemble(base, amounts, room);
        room.system.subtract_from(&self.pattern, &mut room.right, &solved);
        // The factors back into their place, for another round and for the next.
        core::mem::swap(&mut room.system, &mut room.spare);
        room.system.solve(&self.pattern, &mut room.right);
        for (right, solved) in room.right.iter_mut().zip(&solved) {
            right.iter_mut().zip(solved).for_each(|(right, solved)| *right += solved);
        }
    }

    fn sums<const K: usize>(&self, values: &[[f64; K]]) -> [f64; K] {
        core::array::from_fn(|k| values.iter().map(|row| row[k]).sum())
    }
}

fn mass<T>((amounts, _): (&Amounts, T)) -> f64 {
    amounts[0].abs() + amounts[GASES..].iter().map(|gas| gas.abs()).sum::<f64>()
}
