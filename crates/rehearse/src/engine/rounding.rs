//! What rounding loses: over all cells amounts change by what comes from outside alone. Long steps through wide openings make a linear system in which flows
//! are so large beside what a cell holds that now and then a millionth of the charge would be gone.

use super::cell::{Amounts, ENERGY, Eval, WATER};
use super::number::Sloped;
use super::past::Base;
use super::step::Network;

/// What rounding may lose in a step, as a part of the most that one cell has.
const LOST: f64 = 1e-4;
/// What of all there is is rounding.
const NOISE: f64 = 1e-12;

impl Network {
    /// Puts back what rounding lost of a step's amounts, where most is. False where more than rounding is gone: such a step is none.
    pub(super) fn put_back<const K: usize>(
        &self,
        base: &Base,
        amounts: &mut [Amounts],
        states: &[Eval<Sloped<K>>],
        oil: &[f64],
    ) -> bool {
        let mut kept = true;
        // Water comes from wet walls; energy from everywhere.
        for &kind in self.counted.iter().filter(|&&kind| kind != ENERGY && kind != WATER) {
            let pairs = base.amounts.iter().zip(&*amounts);
            let mut gone: f64 = pairs.map(|(base, new)| base[kind] - new[kind]).sum();
            // Refrigerant comes from oil as well.
            if kind == 0 {
                gone += base.oil.iter().zip(oil).map(|(base, new)| base - new).sum::<f64>();
            }
            // Of what has gone outside no more digits are known.
            let all: f64 = amounts.iter().map(|amounts| amounts[0].abs() + amounts[kind].abs()).sum();
            // Not into what liquid fills, whose pressure would jump.
            let room_in = |state: &Eval<Sloped<K>>| if state.alpha.value < 0.999 { 1.0 } else { 1e-6 };
            let cells = self.cells.iter().zip(states).zip(&mut *amounts);
            let own = cells.filter(|((cell, _), _)| !cell.boundless);
            let own = own.map(|((_, state), amounts)| (room_in(state) * amounts[kind], &mut amounts[kind]));
            let most = own.max_by(|(a, _), (b, _)| a.total_cmp(b)).map(|(_, most)| most);
            match most.filter(|most| gone.abs() <= LOST * **most) {
                Some(most) => *most += gone,
                None => kept &= gone.abs() <= NOISE * all,
            }
        }
        kept
    }
}
