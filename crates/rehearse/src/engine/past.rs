//! What the last steps did, and what the next one takes from it: the base and length of a step of first or second order, where it is likely to end,
//! and its error.
//!
//! Second order is the backward differentiation formula over two steps, written in what the step before changed: an amount's change is a part `c` of its
//! change over the step before, plus what flows in at the new state over a length `h`, with `r` the ratio of the two steps' lengths,
//! `c = r²/(1 + 2r)`, `h = (1 + r)/(1 + 2r) dt` (Hairer and Wanner, Solving Ordinary Differential Equations II, section V.5, for unequal steps). All that is
//! counted (amounts, walls, water on them, heat and work that came from outside) follows the same line, so nothing is lost or made. First order
//! is the same with `c = 0`.

use super::cell::{Amounts, COUNTED, ENERGY, GASES};
use super::network::Cell;
use super::step::Moment;

/// What a step changed.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Past {
    /// Its length, s.
    pub(crate) seconds: f64,
    pub(crate) amounts: Vec<Amounts>,
    /// K.
    pub(crate) walls: Vec<f64>,
    /// Water on the walls, kg; empty while nothing is wet.
    pub(crate) damp: Vec<f64>,
    /// Refrigerant in oil, kg; empty where there is none.
    pub(crate) oil: Vec<f64>,
    /// Heat and work from outside, J.
    pub(crate) heat: f64,
    pub(crate) work: f64,
}

/// What a step starts from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Base {
    pub(crate) amounts: Vec<Amounts>,
    pub(crate) walls: Vec<f64>,
    pub(crate) damp: Vec<f64>,
    pub(crate) oil: Vec<f64>,
    /// J.
    pub(crate) heat: f64,
    pub(crate) work: f64,
    /// How long flows count, s.
    pub(crate) h: f64,
    /// How long the step is, s.
    pub(crate) seconds: f64,
}

/// Cells below this part of all volume may be off by more: they follow what they join, and gas and liquid that change places in them would otherwise
/// hold the steps down.
const SMALL: f64 = 0.05;
/// Above this part liquid fills a cell: its pressure no longer follows by itself what flows in.
const FULL: f64 = 0.999;

impl Base {
    /// Of a step of that length, by what the step before changed where second order is wanted.
    pub(crate) fn new(moment: &Moment, dt: f64, second: bool) -> Self {
        let mut base = Self {
            amounts: moment.amounts.clone(),
            walls: moment.walls.clone(),
            damp: moment.damp.clone(),
            oil: moment.oil.clone(),
            heat: 0.0,
            work: 0.0,
            h: dt,
            seconds: dt,
        };
        let Some(last) = moment.last.as_ref().filter(|_| second) else { return base };
        let ratio = dt / last.seconds;
        let part = ratio * ratio / (1.0 + 2.0 * ratio);
        base.h = dt * (1.0 + ratio) / (1.0 + 2.0 * ratio);
        for (slot, change) in base.amounts.iter_mut().zip(&last.amounts) {
            slot.iter_mut().zip(change).for_each(|(slot, change)| *slot += part * change);
        }
        let along = |slots: &mut [f64], changes: &[f64]| {
            slots.iter_mut().zip(changes).for_each(|(slot, change)| *slot += part * change);
        };
        along(&mut base.walls, &last.walls);
        along(&mut base.damp, &last.damp);
        along(&mut base.oil, &last.oil);
        (base.heat, base.work) = (part * last.heat, part * last.work);
        base
    }
}

/// Where the step before points, if that is sensible.
pub(crate) fn ahead(cells: &[Cell], moment: &Moment, dt: f64) -> Vec<Amounts> {
    let mut amounts = moment.amounts.clone();
    let Some(last) = &moment.last else { return amounts };
    let part = (dt / last.seconds).min(2.0);
    for ((cell, slot), change) in cells.iter().zip(&mut amounts).zip(&last.amounts) {
        let change: [f64; COUNTED] = core::array::from_fn(|kind| part * change[kind]);
        let fits = (0..COUNTED).all(|kind| {
            kind == ENERGY
                || change[kind].abs() < 0.3 * slot[kind] + 1e-6 * cell.volume
                    && slot[kind] + change[kind] >= 0.0
        });
        if fits && !cell.boundless {
            (0..COUNTED).for_each(|kind| slot[kind] += change[kind]);
        }
    }
    amounts
}

/// The errors of a step that ends at these amounts, as a part of what each cell holds, if it is taken as one of first and as one of second order: by how
/// far it bends off where the steps before pointed, and by how that changes. Without a step before, by how far it goes; without two, the same for both. And whether
/// what bends most swings back.
pub(crate) fn errors(
    cells: &[Cell],
    counted: &[usize],
    moment: &Moment,
    new: &[Amounts],
    dt: f64,
) -> ([f64; 2], bool) {
    let total: f64 = cells.iter().filter(|cell| !cell.boundless).map(|cell| cell.volume).sum();
    let (mut worst, mut swings) = ([0.0f64; 2], false);
    for (at, cell) in cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
        let (old, new) = (&moment.amounts[at], &new[at]);
        let weight = cell.volume / (cell.volume + SMALL * total);
        let mass = old[0] + old[GASES..].iter().sum::<f64>();
        let scale = mass + 1e-4 * cell.volume;
        for &kind in counted {
            let change = new[kind] - old[kind];
            let (mut first, mut second, mut back) = (0.2 * change, 0.2 * change, false);
            if let Some(last) = &moment.last {
                let slope = last.amounts[at][kind] / last.seconds;
                back = slope * change < 0.0;
                let bends = (change / dt - slope) / (dt + last.seconds);
                first = bends * dt * dt;
                second = first;
                if let Some(earlier) = &moment.earlier {
                    let (one, two) = (last.seconds, earlier.seconds);
                    let bent = (slope - earlier.amounts[at][kind] / two) / (one + two);
                    let ratio = dt / one;
                    let part = (1.0 + ratio) * (1.0 + ratio) / (ratio * (1.0 + 2.0 * ratio));
                    second = (bends - bent) / (dt + one + two) * dt * dt * dt * part;
                }
            }
            let scale = if kind == ENERGY { 2e5 * scale } else { scale };
            worst[0] = worst[0].max(weight * (first / scale).abs());
            let second = weight * (second / scale).abs();
            if second > worst[1] {
                (worst[1], swings) = (second, back);
            }
        }
    }
    (worst, swings)
}

/// Whether liquid came to fill a cell, or no longer does, between two moments: what flowed in before says nothing then about what will.
pub(crate) fn filled_or_parted<'a>(before_after: impl Iterator<Item = (&'a f64, &'a f64)>) -> bool {
    let mut pairs = before_after;
    pairs.any(|(before, after)| (*before > FULL) != (*after > FULL))
}
