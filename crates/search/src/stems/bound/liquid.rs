//! The liquid that has to be recovered, since nothing else can hold it while the component stands open.
//!
//! Liquid that settles only goes on in the order of filling: joining spaces never brings more of it past a place in that order. Only a compressor
//! lifts it, into what its discharge is joined to. Where that is joined to the component, the component takes it, if it has room for all; so more
//! than the spaces before the component hold comes only into what a discharge leads to without the component, and that may hold so much under
//! pressure as its limit says.

use super::*;

/// What may hold liquid while one cell of the component is empty.
#[derive(Debug)]
pub(super) struct Holding {
    /// What of all liquid the cell has room for.
    room: u64,
    /// For each cell whether a discharge leads to it without the component.
    high: Vec<bool>,
    /// For each cell its room before the component's in the order of filling.
    before: Vec<u64>,
    /// For each cell what it may hold.
    holds: Vec<u64>,
}

/// Liquid for which there is no room, or the room that is left.
#[derive(Clone, Copy, Debug)]
pub(super) struct TooMuch<'b> {
    /// What has to be recovered.
    pub(super) grams: u64,
    /// What could come in besides.
    pub(super) slack: u64,
    pub(super) holding: &'b Holding,
}

impl Holding {
    /// For each cell of the component with room for liquid.
    pub(super) fn of(plant: &Plant) -> Vec<Self> {
        plant.component.iter().filter_map(|&cell| Self::without(plant, cell)).collect()
    }

    fn without(plant: &Plant, cell: u32) -> Option<Self> {
        let last = plant.filling.iter().rposition(|&(at, room)| at == cell && room > 0)?;
        let mut before = vec![0u64; plant.cells.len()];
        for &(at, room) in plant.filling.iter().take(last + 1) {
            if let Some(sum) = before.get_mut(at as usize) {
                *sum += room;
            }
        }
        let room = before.get(cell as usize).copied()?;
        let high = reached_from_discharges(plant, cell);
        let relieved = |at: usize| plant.relief.get(at).is_some_and(|relief| *relief);
        if high.iter().enumerate().any(|(at, high)| *high && relieved(at)) {
            return None;
        }
        let holds = (0u32..).zip(&plant.cells).zip(high.iter().zip(&before)).map(
            |((at, sums), (high, before))| match (plant.component.contains(&at), high) {
                (true, _) => 0,
                (false, true) => sums.limit.div_ceil(100).saturating_sub(sums.vapour),
                (false, false) => *before,
            },
        );
        let holds = holds.collect();
        Some(Self { room, high, before, holds })
    }

    /// What a cell may hold.
    pub(super) fn holds(&self, cell: u32) -> u64 {
        self.holds.get(cell as usize).copied().unwrap_or(0)
    }

    /// The same for cells to which no discharge leads without the component.
    pub(super) fn low(&self, cell: usize) -> u64 {
        let high = self.high.get(cell).is_none_or(|high| *high);
        if high { 0 } else { self.holds.get(cell).copied().unwrap_or(0) }
    }

    /// Of all that is liquid.
    fn too_much(&self, all: u64, liquid: &impl Fn(usize) -> u64) -> Option<TooMuch<'_>> {
        let beyond = |(at, (high, before)): (usize, (&bool, &u64))| {
            if *high { 0 } else { liquid(at).saturating_sub(*before) }
        };
        let beyond: u64 = self.high.iter().zip(&self.before).enumerate().map(beyond).sum();
        let held: u64 = beyond + self.holds.iter().sum::<u64>();
        let (grams, slack) = (all.saturating_sub(held), held.saturating_sub(all));
        (all <= self.room && slack < held).then_some(TooMuch { grams, slack, holding: self })
    }
}

/// The cells to which what a compressor discharges may come without passing one cell, whatever stands open.
fn reached_from_discharges(plant: &Plant, without: u32) -> Vec<bool> {
    let mut reached = vec![false; plant.cells.len()];
    let mut queue: Vec<u32> = plant.compressors.iter().map(|found| found.to).collect();
    while let Some(here) = queue.pop() {
        match reached.get_mut(here as usize) {
            Some(slot) if !*slot && here != without => *slot = true,
            _ => continue,
        }
        for valve in plant.valves.iter().filter(|valve| valve.movable || valve.position.joins()) {
            if valve.a == here {
                queue.push(valve.b);
            } else if valve.b == here {
                queue.push(valve.a);
            }
        }
        queue.extend(plant.ways.iter().filter(|way| way.from == here).map(|way| way.to));
    }
    reached
}

/// The cells between two, through which every way from one to the other leads.
pub(super) fn on_every_way(leads: &[Vec<u32>], from: u32, to: u32) -> Vec<u32> {
    let Some(way) = way(leads, from, to, None) else { return Vec::new() };
    let between = way.into_iter().filter(|&cell| cell != from && cell != to);
    between.filter(|&cell| self::way(leads, from, to, Some(cell)).is_none()).collect()
}

/// A shortest way that does not touch one cell.
fn way(leads: &[Vec<u32>], from: u32, to: u32, without: Option<u32>) -> Option<Vec<u32>> {
    let mut before: Vec<Option<u32>> = vec![None; leads.len()];
    *before.get_mut(from as usize)? = Some(from);
    let mut queue = vec![from];
    let mut next = 0;
    while let Some(&here) = queue.get(next) {
        next += 1;
        if here == to {
            let mut way = vec![here];
            while let Some(&last) = way.last()
                && last != from
            {
                way.push((*before.get(last as usize)?)?);
            }
            return Some(way);
        }
        for &there in leads.get(here as usize).into_iter().flatten() {
            if let Some(slot) = before.get_mut(there as usize)
                && slot.is_none()
                && without != Some(there)
            {
                *slot = Some(here);
                queue.push(there);
            }
        }
    }
    None
}

impl Planner<'_> {
    /// The liquid that has to be recovered before the work, or how much more there could be; none where nothing is known of it.
    pub(super) fn too_much(&self, state: &State) -> Option<TooMuch<'_>> {
        let plant = self.plant;
        if state.work_done() || self.bounds.holding.is_empty() {
            return None;
        }
        let liquid = |at: usize| u32::try_from(at).map_or(0, |at| state.liquid(plant, at));
        let all: u64 = (0..plant.cells.len()).map(liquid).sum();
        let each = self.bounds.holding.iter().filter_map(|holding| holding.too_much(all, &liquid));
        each.max_by_key(|found| (found.grams, u64::MAX - found.slack))
    }
}
