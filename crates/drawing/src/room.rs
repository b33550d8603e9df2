//! How much room each node takes with its label and the small things on it.

use crate::lettering::{LINE, widest, width, wrap};
use crate::network::{Node, Satellite};
use crate::{Sheet, Symbol};

/// One step of the grid on which pipes run.
pub(crate) const STEP: f64 = 12.0;
/// From a node's middle to the middle of the small thing on it, at least.
const FIRST_LEVEL: f64 = 48.0;
/// From that to the next one on it.
const NEXT_LEVEL: f64 = 48.0;
/// The smallest side of what answers to a touch.
pub(crate) const TOUCH: f64 = 44.0;
/// Room for labels beside a column.
const COLUMN_LABEL: f64 = 96.0;

/// A node's room from its middle, along the row or column (`m`) and across it (`c`, from the high side to the low side).
#[derive(Clone, Debug)]
pub(crate) struct Room {
    pub(crate) m_minus: f64,
    pub(crate) m_plus: f64,
    pub(crate) c_minus: f64,
    pub(crate) c_plus: f64,
    pub(crate) label: Vec<String>,
    /// Whether the label stands above the symbol.
    pub(crate) label_above: bool,
    pub(crate) small: Vec<SmallRoom>,
}

/// Where something small stands: beside the middle along the flow, and away from it towards the actuator's side; with its label.
#[derive(Clone, Debug, Default)]
pub(crate) struct SmallRoom {
    pub(crate) along: f64,
    pub(crate) away: f64,
    pub(crate) label: Vec<String>,
}

/// How many satellites a satellite stands on.
fn level(all: &[Satellite], at: usize) -> f64 {
    let mut levels = 0.0;
    let mut on = all.get(at).and_then(|found| found.on);
    while let Some(below) = on {
        levels += 1.0;
        on = all.get(below).and_then(|found| found.on).filter(|next| *next < below);
    }
    levels
}

fn small_rooms(node: &Node, sheet: Sheet) -> Vec<SmallRoom> {
    let ground: Vec<usize> = (0..node.satellites.len())
        .filter(|&at| node.satellites.get(at).is_some_and(|small| small.on.is_none()))
        .collect();
    let labelled = sheet == Sheet::Wide && node.satellites.iter().any(|small| small.label.is_some());
    let spacing = if labelled && ground.len() > 1 { 120.0 } else { 48.0 };
    let column = |at: usize| {
        let mut base = at;
        while let Some(below) =
            node.satellites.get(base).and_then(|small| small.on).filter(|below| *below < base)
        {
            base = below;
        }
        ground.iter().position(|found| *found == base).unwrap_or(0)
    };
    let middle = (ground.len().saturating_sub(1)) as f64 / 2.0;
    let first = FIRST_LEVEL.max(up(Symbol::AccessPort.reach() - node.symbol.bounds().y));
    let room = |(at, small): (usize, &Satellite)| SmallRoom {
        along: (column(at) as f64 - middle) * spacing,
        away: first + NEXT_LEVEL * level(&node.satellites, at),
        label: small.label.as_deref().filter(|_| labelled).map_or_else(Vec::new, |text| wrap(text, 112.0, 4)),
    };
    node.satellites.iter().enumerate().map(room).collect()
}

/// The narrowest label of at most so many lines.
fn narrowest(text: &str, lines: usize) -> Vec<String> {
    let word = text.split_whitespace().map(width).fold(0.0, f64::max);
    let rooms = [64.0, 76.0, 88.0, 100.0, 112.0, 124.0].map(|room: f64| room.max(word.min(124.0)));
    let fits = rooms.iter().map(|room| wrap(text, *room, usize::MAX)).find(|found| found.len() <= lines);
    fits.unwrap_or_else(|| wrap(text, 124.0, lines + 1))
}

fn up(value: f64) -> f64 {
    libm::ceil(value / STEP) * STEP
}

pub(crate) fn room(node: &Node, sheet: Sheet) -> Room {
    match sheet {
        Sheet::Wide => wide(node),
        Sheet::Tall => tall(node),
    }
}

fn wide(node: &Node) -> Room {
    let bounds = node.symbol.bounds();
    let label = node.label.as_deref().map_or_else(Vec::new, |text| narrowest(text, 3));
    let small = small_rooms(node, Sheet::Wide);
    let label_above = node.symbol == Symbol::ReversingValve;
    let width = widest(&label) + 10.0;
    let side = small.iter().map(|small| small.along.abs() + (widest(&small.label) / 2.0 + 5.0).max(24.0));
    let half = up(side.fold((node.symbol.reach() + 6.0).max(width / 2.0).max(24.0), f64::max));
    let tops = small.iter().map(|small| {
        small.away + if small.label.is_empty() { 26.0 } else { 42.0 } + LINE * small.label.len() as f64
    });
    let lines = if label.is_empty() { 0.0 } else { LINE * label.len() as f64 + 8.0 };
    let above = tops.fold((-bounds.y).max(22.0), f64::max);
    let below = bounds.bottom().max(22.0);
    Room {
        m_minus: half,
        m_plus: half,
        c_minus: if label_above { above + lines } else { above },
        c_plus: if label_above { below } else { below + lines },
        label,
        label_above,
        small,
    }
}

fn tall(node: &Node) -> Room {
    let bounds = node.symbol.bounds();
    let label = node.label.as_deref().map_or_else(Vec::new, |text| wrap(text, COLUMN_LABEL, 4));
    let small = small_rooms(node, Sheet::Tall);
    let along = small.iter().map(|small| small.along.abs() + 24.0);
    let half = up(along.fold((node.symbol.reach() + 4.0).max(24.0), f64::max));
    let lines = if label.is_empty() { 0.0 } else { LINE * label.len() as f64 + 4.0 };
    let left = small.iter().map(|small| small.away + 22.0).fold((-bounds.y).max(22.0), f64::max);
    let right =
        bounds.bottom().max(22.0).max(if label.is_empty() { 0.0 } else { 8.0 + widest(&label) + 2.0 });
    Room {
        m_minus: half,
        m_plus: half + up(lines),
        c_minus: right,
        c_plus: left,
        label,
        label_above: false,
        small,
    }
}
