//! What a state comes to after an action, and what is dangerous about it.
//!
//! In this order: every class mixes; every running compressor, as often as there are compressors, empties what is upstream of its suction
//! into its discharge; one-way joints let pressure pass until nothing changes.

use super::plant::{Content, Plant, root};
use super::state::State;

/// What is dangerous about a settled state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hazard {
    /// Air met refrigerant.
    Mix,
    /// Liquid shut in, or a vessel overfilled.
    Lock,
    /// A compressor runs against a shut discharge.
    DeadHead,
    /// A compressor runs on a vacuum or on air.
    VacuumRun,
}

/// Hazards of one state, each a bit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Hazards(u8);

impl Hazards {
    pub(crate) const fn none(self) -> bool {
        self.0 == 0
    }
    fn add(&mut self, hazard: Hazard) {
        self.0 |= 1 << hazard as u8;
    }
    /// Each once, in order.
    pub(crate) fn list(self) -> Vec<Hazard> {
        let all = [Hazard::Mix, Hazard::Lock, Hazard::DeadHead, Hazard::VacuumRun];
        all.into_iter().filter(|&hazard| self.0 & 1 << hazard as u8 != 0).collect()
    }
}

/// The classes of a state: for each cell the smallest cell of its class.
#[derive(Clone, Debug, Default)]
pub(crate) struct Classes(Vec<u32>);

impl Classes {
    /// Finds the classes of a state.
    pub(crate) fn find(&mut self, plant: &Plant, state: &State) {
        let up = &mut self.0;
        up.clear();
        up.extend((0u32..).take(plant.cells.len()));
        for (at, valve) in plant.valves.iter().enumerate() {
            if state.position(at).joins() {
                let (a, b) = (root(up, valve.a), root(up, valve.b));
                let (low, high) = (a.min(b), a.max(b));
                if let Some(slot) = up.get_mut(high as usize) {
                    *slot = low;
                }
            }
        }
        for cell in 0..up.len() {
            // Roots are smaller than what hangs on them, so one step suffices in this order.
            let above = up.get(cell).copied().unwrap_or(0);
            let top = up.get(above as usize).copied().unwrap_or(above);
            if let Some(slot) = up.get_mut(cell) {
                *slot = top;
            }
        }
    }

    pub(crate) fn of(&self, cell: u32) -> u32 {
        self.0.get(cell as usize).copied().unwrap_or(cell)
    }

    /// A class and all from which one-way joints lead to it.
    pub(crate) fn upstream(&self, plant: &Plant, class: u32, found: &mut Vec<u32>) {
        found.clear();
        found.push(class);
        let mut at = 0;
        while let Some(&here) = found.get(at) {
            at += 1;
            for way in &plant.ways {
                let from = self.of(way.from);
                if self.of(way.to) == here && !found.contains(&from) {
                    found.push(from);
                }
            }
        }
    }

    /// The cells of some classes.
    pub(crate) fn cells<'a>(&'a self, within: &'a [u32]) -> impl Iterator<Item = u32> + 'a {
        (0u32..).zip(&self.0).filter(|(_, class)| within.contains(class)).map(|(cell, _)| cell)
    }
}

/// What a class holds and may hold.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    mass: u64,
    limit: u64,
    relief: bool,
}

/// Working storage of settling, kept from one state to the next.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch {
    pub(crate) classes: Classes,
    /// Classes upstream of what is looked at.
    pub(crate) upstream: Vec<u32>,
    /// The contents that a class holds, one bit each.
    holds: Vec<u8>,
    liquid: Vec<u64>,
    sums: Vec<Sum>,
}

const fn bit(content: Content) -> u8 {
    1 << content as u8
}

impl Plant {
    /// Settles a state; returns its hazards.
    pub(crate) fn settle(&self, state: &mut State, scratch: &mut Scratch) -> Hazards {
        scratch.classes.find(self, state);
        let mut mixed = self.mix_every_class(state, scratch);
        for _ in 0..self.compressors.len() {
            for at in 0..self.compressors.len() {
                if state.runs(self, at) {
                    mixed |= self.pump(state, scratch, at);
                }
            }
        }
        mixed |= self.pass_one_way(state, scratch);
        if mixed {
            let mut found = Hazards::default();
            found.add(Hazard::Mix);
            return found;
        }
        self.hazards(state, scratch)
    }

    /// Gives every class one content. Returns whether air met refrigerant.
    fn mix_every_class(&self, state: &mut State, scratch: &mut Scratch) -> bool {
        let Scratch { classes, holds, liquid, .. } = scratch;
        let count = self.cells.len();
        holds.clear();
        holds.resize(count, 0);
        liquid.clear();
        liquid.resize(count, 0);
        let mut any = 0;
        for (cell, &class) in (0u32..).zip(&classes.0) {
            if let Some(flags) = holds.get_mut(class as usize) {
                *flags |= bit(state.content(self, cell));
            }
            let here = state.liquid(self, cell);
            any |= here;
            if let Some(sum) = liquid.get_mut(class as usize) {
                *sum += here;
            }
        }
        let mut met = false;
        for (cell, &class) in (0u32..).zip(&classes.0) {
            let flags = holds.get(class as usize).copied().unwrap_or(0);
            let has = |content| flags & bit(content) != 0;
            met |= has(Content::Air) && (has(Content::Pressure) || has(Content::Residual));
            let order = [Content::Pressure, Content::Air, Content::Residual];
            let content = order.into_iter().find(|&content| has(content)).unwrap_or(Content::Nothing);
            state.set_content(self, cell, content);
        }
        if any > 0 {
            self.lay(state, &classes.0, liquid);
        }
        met
    }

    /// Lays the liquid of several sets of cells at once; `set_of` names each cell's set by its smallest cell.
    fn lay(&self, state: &mut State, set_of: &[u32], liquid: &mut [u64]) {
        state.clear_liquid(self);
        for &(cell, room) in &self.filling {
            let set = set_of.get(cell as usize).copied().unwrap_or(0);
            let Some(left) = liquid.get_mut(set as usize) else { continue };
            if *left > 0 {
                let put = room.min(*left);
                *left -= put;
                state.set_liquid(self, cell, state.liquid(self, cell) + put);
            }
        }
        for (cell, left) in (0u32..).zip(liquid.iter()) {
            if *left > 0 {
                state.set_liquid(self, cell, state.liquid(self, cell) + left);
            }
        }
    }

    /// A running compressor empties what is upstream of it. Returns whether air met refrigerant.
    fn pump(&self, state: &mut State, scratch: &mut Scratch, at: usize) -> bool {
        let Some(compressor) = self.compressors.get(at) else { return false };
        let Scratch { classes, upstream, .. } = scratch;
        classes.upstream(self, classes.of(compressor.from), upstream);
        let to = classes.of(compressor.to);
        if upstream.contains(&to) {
            return false;
        }
        let mut moved = 0;
        let mut any = false;
        for cell in classes.cells(upstream) {
            if state.content(self, cell) == Content::Pressure {
                any = true;
                moved += state.liquid(self, cell);
                state.set_liquid(self, cell, 0);
                state.set_content(self, cell, Content::Residual);
            }
        }
        if !any {
            return false;
        }
        let met = state.content(self, to) == Content::Air;
        self.put_under_pressure(state, classes, &[to], moved);
        met
    }

    /// Puts classes under pressure with their own liquid and more of it.
    fn put_under_pressure(&self, state: &mut State, classes: &Classes, within: &[u32], more: u64) {
        let mut left = more;
        let mut first = None;
        for cell in classes.cells(within) {
            first = first.or(Some(cell));
            left += state.liquid(self, cell);
            state.set_content(self, cell, Content::Pressure);
            state.set_liquid(self, cell, 0);
        }
        if left == 0 {
            return;
        }
        for &(cell, room) in &self.filling {
            if left > 0 && within.contains(&classes.of(cell)) {
                let put = room.min(left);
                left -= put;
                state.set_liquid(self, cell, state.liquid(self, cell) + put);
            }
        }
        if let (true, Some(first)) = (left > 0, first) {
            state.set_liquid(self, first, state.liquid(self, first) + left);
        }
    }

    /// One-way joints pass from the higher level to the lower until nothing changes. Returns whether air met refrigerant.
    fn pass_one_way(&self, state: &mut State, scratch: &Scratch) -> bool {
        let classes = &scratch.classes;
        let mut met = false;
        while let Some((from, to)) = self.ways.iter().find_map(|way| {
            let (from, to) = (classes.of(way.from), classes.of(way.to));
            let flows = state.content(self, from).level() > state.content(self, to).level();
            (from != to && flows).then_some((from, to))
        }) {
            let (one, other) = (state.content(self, from), state.content(self, to));
            let has = |content| one == content || other == content;
            let pressure = has(Content::Pressure);
            let clash = has(Content::Air) && (pressure || has(Content::Residual));
            met |= clash;
            if pressure {
                self.put_under_pressure(state, classes, &[from, to], 0);
            } else {
                // The lower end holds nothing here; it takes on what the higher end holds.
                let content = if has(Content::Air) { Content::Air } else { Content::Residual };
                for cell in classes.cells(&[from, to]) {
                    state.set_content(self, cell, content);
                }
            }
            if clash {
                break;
            }
        }
        met
    }

    fn hazards(&self, state: &State, scratch: &mut Scratch) -> Hazards {
        let mut found = Hazards::default();
        if self.locked(state, scratch) {
            found.add(Hazard::Lock);
        }
        let Scratch { classes, upstream, .. } = scratch;
        for (at, compressor) in self.compressors.iter().enumerate() {
            if !state.runs(self, at) {
                continue;
            }
            let to = classes.of(compressor.to);
            classes.upstream(self, classes.of(compressor.from), upstream);
            let sink = || (0u32..).zip(&self.cells).any(|(cell, found)| found.sink && classes.of(cell) == to);
            if !upstream.contains(&to) && !sink() {
                found.add(Hazard::DeadHead);
            }
            if matches!(state.content(self, compressor.from), Content::Nothing | Content::Air) {
                found.add(Hazard::VacuumRun);
            }
        }
        found
    }

    fn locked(&self, state: &State, scratch: &mut Scratch) -> bool {
        let Scratch { classes, sums, .. } = scratch;
        sums.clear();
        sums.resize(self.cells.len(), Sum::default());
        for ((cell, &class), (own, relieved)) in
            (0u32..).zip(&classes.0).zip(self.cells.iter().zip(&self.relief))
        {
            if let Some(sum) = sums.get_mut(class as usize) {
                if state.content(self, cell) == Content::Pressure {
                    sum.mass += own.vapour + state.liquid(self, cell);
                }
                sum.limit += own.limit;
                sum.relief |= relieved;
            }
        }
        sums.iter().any(|sum| !sum.relief && 100 * sum.mass > sum.limit)
    }
}
