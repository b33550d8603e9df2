//! A state, packed: two bits a valve, two bits a cell, one bit a compressor, liquid in grams a cell.

use super::plant::{Content, Plant, Position};

/// Sixteen two-bit fields fit into a word.
const FIELDS: usize = 16;

/// How everything stands. The words: two hoses, work done, cylinder, then valves, contents, compressors, liquid.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct State(Box<[u32]>);

const NO_PORT: u32 = u32::MAX;
const WORK: usize = 2;
const CYLINDER: usize = 3;
const VALVES: usize = 4;

/// Where the fields of a plant's states begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Layout {
    contents: usize,
    compressors: usize,
    liquid: usize,
    len: usize,
}

impl Layout {
    pub(crate) fn new(valves: usize, cells: usize, compressors: usize) -> Self {
        let contents = VALVES + valves.div_ceil(FIELDS);
        let running = contents + cells.div_ceil(FIELDS);
        let liquid = running + compressors.div_ceil(FIELDS);
        Self { contents, compressors: running, liquid, len: liquid + cells }
    }
}

impl State {
    pub(crate) fn new(plant: &Plant) -> Self {
        let mut state = Self(vec![0; plant.layout.len].into_boxed_slice());
        for (at, valve) in plant.valves.iter().enumerate() {
            state.set_position(at, valve.position);
        }
        for (space, &cell) in plant.spaces.iter().zip(&plant.cell_of) {
            let strongest = strongest(state.content(plant, cell), space.content);
            state.set_content(plant, cell, strongest);
            state.set_liquid(plant, cell, state.liquid(plant, cell) + space.liquid);
        }
        for (at, compressor) in plant.compressors.iter().enumerate() {
            state.set_runs(plant, at, compressor.running);
        }
        state.set_hose(0, None);
        state.set_hose(1, None);
        state
    }

    /// What its fields take, in bytes.
    pub fn bytes(&self) -> usize {
        4 * self.0.len()
    }

    fn word(&self, at: usize) -> u32 {
        self.0.get(at).copied().unwrap_or(0)
    }
    fn set_word(&mut self, at: usize, value: u32) {
        if let Some(slot) = self.0.get_mut(at) {
            *slot = value;
        }
    }
    fn field(&self, base: usize, at: usize) -> u32 {
        self.word(base + at / FIELDS) >> (2 * (at % FIELDS)) & 3
    }
    fn set_field(&mut self, base: usize, at: usize, value: u32) {
        let shift = 2 * (at % FIELDS);
        let word = self.word(base + at / FIELDS);
        self.set_word(base + at / FIELDS, word & !(3 << shift) | (value & 3) << shift);
    }

    /// Where a valve stands (by its place among the valves).
    pub(crate) fn position(&self, valve: usize) -> Position {
        Position::from_bits(self.field(VALVES, valve))
    }
    pub(crate) fn set_position(&mut self, valve: usize, to: Position) {
        self.set_field(VALVES, valve, to as u32);
    }
    pub(crate) fn content(&self, plant: &Plant, cell: u32) -> Content {
        Content::from_bits(self.field(plant.layout.contents, cell as usize))
    }
    pub(crate) fn set_content(&mut self, plant: &Plant, cell: u32, content: Content) {
        self.set_field(plant.layout.contents, cell as usize, content as u32);
    }
    pub(crate) fn runs(&self, plant: &Plant, compressor: usize) -> bool {
        self.field(plant.layout.compressors, compressor) != 0
    }
    pub(crate) fn set_runs(&mut self, plant: &Plant, compressor: usize, runs: bool) {
        self.set_field(plant.layout.compressors, compressor, u32::from(runs));
    }
    pub(crate) fn any_runs(&self, plant: &Plant) -> bool {
        (0..plant.compressors.len()).any(|at| self.runs(plant, at))
    }
    /// The port that a machine (0: recovery, 1: vacuum) or a hose is on.
    pub(crate) fn hose(&self, which: usize) -> Option<u32> {
        let port = self.word(which);
        (port != NO_PORT).then_some(port)
    }
    pub(crate) fn set_hose(&mut self, which: usize, port: Option<u32>) {
        self.set_word(which, port.unwrap_or(NO_PORT));
    }
    pub(crate) fn any_attached(&self) -> bool {
        self.hose(0).is_some() || self.hose(1).is_some()
    }
    pub(crate) fn work_done(&self) -> bool {
        self.word(WORK) != 0
    }
    pub(crate) fn set_work_done(&mut self) {
        self.set_word(WORK, 1);
    }
    /// Grams in the cylinder.
    pub(crate) fn cylinder(&self) -> u64 {
        u64::from(self.word(CYLINDER))
    }
    pub(crate) fn set_cylinder(&mut self, grams: u64) {
        self.set_word(CYLINDER, u32::try_from(grams).unwrap_or(u32::MAX));
    }
    pub(crate) fn liquid(&self, plant: &Plant, cell: u32) -> u64 {
        u64::from(self.word(plant.layout.liquid + cell as usize))
    }
    pub(crate) fn clear_liquid(&mut self, plant: &Plant) {
        if let Some(liquid) = self.0.get_mut(plant.layout.liquid..) {
            liquid.fill(0);
        }
    }
    pub(crate) fn set_liquid(&mut self, plant: &Plant, cell: u32, grams: u64) {
        self.set_word(plant.layout.liquid + cell as usize, u32::try_from(grams).unwrap_or(u32::MAX));
    }
}

fn strongest(one: Content, other: Content) -> Content {
    match (one, other) {
        (Content::Pressure, _) | (_, Content::Pressure) => Content::Pressure,
        (Content::Air, _) | (_, Content::Air) => Content::Air,
        (Content::Residual, _) | (_, Content::Residual) => Content::Residual,
        _ => Content::Nothing,
    }
}
