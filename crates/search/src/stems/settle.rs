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

/// The classes of a state: for each cell the smallest cell of its class.
pub(crate) struct Classes(pub(crate) Vec<u32>);

impl Classes {
    pub(crate) fn new(plant: &Plant, state: &State) -> Self {
        let mut up: Vec<u32> = (0u32..).take(plant.cells.len()).collect();
        for (at, valve) in plant.valves.iter().enumerate() {
            if state.position(plant, at).joins() {
                let (a, b) = (root(&up, valve.a), root(&up, valve.b));
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
        Self(up)
    }

    pub(crate) fn of(&self, cell: u32) -> u32 {
        self.0.get(cell as usize).copied().unwrap_or(cell)
    }

    /// A class and all from which one-way joints lead to it.
    pub(crate) fn upstream(&self, plant: &Plant, class: u32) -> Vec<u32> {
        let mut found = vec![class];
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
        found
    }

    fn cells<'a>(&'a self, within: &'a [u32]) -> impl Iterator<Item = u32> + 'a {
        (0u32..).zip(&self.0).filter(|(_, class)| within.contains(class)).map(|(cell, _)| cell)
    }
}

impl Plant {
    /// Settles a state; returns its hazards, each once, in order.
    pub(crate) fn settle(&self, state: &mut State) -> Vec<Hazard> {
        let classes = Classes::new(self, state);
        let mut mixed = self.mix_every_class(state, &classes);
        for _ in 0..self.compressors.len() {
            for at in 0..self.compressors.len() {
                if state.runs(self, at) {
                    mixed |= self.pump(state, &classes, at);
                }
            }
        }
        mixed |= self.pass_one_way(state, &classes);
        self.hazards(state, &classes, mixed)
    }

    /// Gives every class one content. Returns whether air met refrigerant.
    fn mix_every_class(&self, state: &mut State, classes: &Classes) -> bool {
        let count = self.cells.len();
        let mut holds = vec![[false; 4]; count];
        let mut liquid = vec![0u64; count];
        for (cell, &class) in (0u32..).zip(&classes.0) {
            let content = state.content(self, cell) as usize;
            if let Some(flag) = holds.get_mut(class as usize).and_then(|flags| flags.get_mut(content)) {
                *flag = true;
            }
            if let Some(sum) = liquid.get_mut(class as usize) {
                *sum += state.liquid(self, cell);
            }
        }
        let mut met = false;
        for (cell, &class) in (0u32..).zip(&classes.0) {
            let [_, residual, pressure, air] = holds.get(class as usize).copied().unwrap_or_default();
            met |= air && (pressure || residual);
            let content = match (pressure, air, residual) {
                (true, ..) => Content::Pressure,
                (_, true, _) => Content::Air,
                (_, _, true) => Content::Residual,
                _ => Content::Nothing,
            };
            state.set_content(self, cell, content);
        }
        self.lay(state, &classes.0, &mut liquid);
        met
    }

    /// Lays the liquid of several sets of cells at once; `set_of` names each cell's set by its smallest cell.
    fn lay(&self, state: &mut State, set_of: &[u32], liquid: &mut [u64]) {
        if liquid.iter().all(|&grams| grams == 0) {
            for cell in (0u32..).take(self.cells.len()) {
                state.set_liquid(self, cell, 0);
            }
            return;
        }
        for cell in (0u32..).take(self.cells.len()) {
            state.set_liquid(self, cell, 0);
        }
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
    fn pump(&self, state: &mut State, classes: &Classes, at: usize) -> bool {
        let Some(compressor) = self.compressors.get(at) else { return false };
        let from = classes.upstream(self, classes.of(compressor.from));
        let to = classes.of(compressor.to);
        if from.contains(&to) {
            return false;
        }
        let mut moved = 0;
        let mut any = false;
        for cell in classes.cells(&from).collect::<Vec<_>>() {
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
        let cells: Vec<u32> = classes.cells(within).collect();
        let mut left = more + cells.iter().map(|&cell| state.liquid(self, cell)).sum::<u64>();
        for &cell in &cells {
            state.set_content(self, cell, Content::Pressure);
            state.set_liquid(self, cell, 0);
        }
        for &(cell, room) in &self.filling {
            if left > 0 && within.contains(&classes.of(cell)) {
                let put = room.min(left);
                left -= put;
                state.set_liquid(self, cell, state.liquid(self, cell) + put);
            }
        }
        if let (true, Some(&first)) = (left > 0, cells.first()) {
            state.set_liquid(self, first, state.liquid(self, first) + left);
        }
    }

    /// One-way joints pass from the higher level to the lower until nothing changes. Returns whether air met refrigerant.
    fn pass_one_way(&self, state: &mut State, classes: &Classes) -> bool {
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
                for cell in classes.cells(&[from, to]).collect::<Vec<_>>() {
                    state.set_content(self, cell, content);
                }
            }
            if clash {
                break;
            }
        }
        met
    }

    fn hazards(&self, state: &State, classes: &Classes, mixed: bool) -> Vec<Hazard> {
        let mut found = Vec::new();
        if mixed {
            found.push(Hazard::Mix);
            return found;
        }
        if self.locked(state, classes) {
            found.push(Hazard::Lock);
        }
        for (at, compressor) in self.compressors.iter().enumerate() {
            if !state.runs(self, at) {
                continue;
            }
            let to = classes.of(compressor.to);
            let back = classes.upstream(self, classes.of(compressor.from)).contains(&to);
            let sink = || (0u32..).zip(&self.cells).any(|(cell, found)| found.sink && classes.of(cell) == to);
            if !back && !sink() {
                found.push(Hazard::DeadHead);
            }
            if matches!(state.content(self, compressor.from), Content::Nothing | Content::Air) {
                found.push(Hazard::VacuumRun);
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    fn locked(&self, state: &State, classes: &Classes) -> bool {
        let mut mass = vec![0u64; self.cells.len()];
        let mut limit = vec![0u64; self.cells.len()];
        let mut relief = vec![false; self.cells.len()];
        for ((cell, &class), (sums, relieved)) in
            (0u32..).zip(&classes.0).zip(self.cells.iter().zip(&self.relief))
        {
            let class = class as usize;
            if let (Some(mass), Some(limit), Some(relief)) =
                (mass.get_mut(class), limit.get_mut(class), relief.get_mut(class))
            {
                if state.content(self, cell) == Content::Pressure {
                    *mass += sums.vapour + state.liquid(self, cell);
                }
                *limit += sums.limit;
                *relief |= relieved;
            }
        }
        mass.iter().zip(&limit).zip(&relief).any(|((&mass, &limit), &relief)| !relief && 100 * mass > limit)
    }
}
