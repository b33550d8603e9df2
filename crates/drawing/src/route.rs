//! Finds ways for pipes: along a grid, around symbols and labels, with few bends and crossings, never along another pipe.

use std::collections::BinaryHeap;

use crate::room::STEP;
use crate::{Point, Rect};

/// What a step, a bend, a crossing and a neighbour cost.
const COST_STEP: u32 = 10;
const COST_BEND: u32 = 26;
const COST_CROSSING: u32 = 70;
const COST_BESIDE: u32 = 3;

/// Right, down, left, up.
const WAYS: [(i32, i32); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];
const NO_WAY: u8 = 4;

/// An end that a net has to reach, and which of its ends are joined by something other than pipe (a tee's).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Terminal {
    pub(crate) at: Point,
    /// Where the pipe leaves it.
    pub(crate) outward: Point,
    /// Those with the same number hang together already.
    pub(crate) group: usize,
    /// Whether fluid comes out of it into the net.
    pub(crate) gives: bool,
    /// How far the pipe goes on from there to meet what is drawn.
    pub(crate) inset: f64,
}

/// A way that was found, from its first point to its last; whether fluid runs that way.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    pub(crate) points: Vec<Point>,
    pub(crate) along_flow: bool,
}

/// All ways of a net.
#[derive(Clone, Debug, Default)]
pub(crate) struct Routed {
    pub(crate) runs: Vec<Run>,
    pub(crate) tees: Vec<Point>,
    pub(crate) failed: usize,
}

/// The grid with what is on it.
pub(crate) struct Grid {
    origin: (i32, i32),
    width: usize,
    height: usize,
    blocked: Vec<bool>,
    /// The net (counted from 1) whose end a place is.
    owner: Vec<u16>,
    /// The net that has its way out over a place, and whether that leads up or down.
    exit: Vec<(u16, bool)>,
    /// The net on the stretch to the right, and downwards.
    across: Vec<u16>,
    down: Vec<u16>,
    best: Vec<(u32, u32)>,
    came: Vec<u8>,
    goal: Vec<u32>,
    search: u32,
    pub(crate) looked_at: usize,
}

impl Grid {
    /// Over a box.
    pub(crate) fn new(over: &Rect) -> Self {
        let cell = |value: f64| libm::floor(value / STEP) as i32;
        let origin = (cell(over.x), cell(over.y));
        let width = usize::try_from(cell(over.right()) + 1 - origin.0 + 1).unwrap_or(1);
        let height = usize::try_from(cell(over.bottom()) + 1 - origin.1 + 1).unwrap_or(1);
        let cells = width * height;
        Self {
            origin,
            width,
            height,
            blocked: vec![false; cells],
            owner: vec![0; cells],
            exit: vec![(0, false); cells],
            across: vec![0; cells],
            down: vec![0; cells],
            best: vec![(0, u32::MAX); cells * 4],
            came: vec![NO_WAY; cells * 4],
            goal: vec![0; cells],
            search: 0,
            looked_at: 0,
        }
    }

    fn cell(&self, at: Point) -> Option<usize> {
        let x = libm::round(at.x / STEP) as i32 - self.origin.0;
        let y = libm::round(at.y / STEP) as i32 - self.origin.1;
        self.inside(x, y)
    }

    fn inside(&self, x: i32, y: i32) -> Option<usize> {
        let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
        (x < self.width && y < self.height).then_some(y * self.width + x)
    }

    fn point(&self, cell: usize) -> Point {
        let x = i32::try_from(cell % self.width).unwrap_or(0) + self.origin.0;
        let y = i32::try_from(cell / self.width).unwrap_or(0) + self.origin.1;
        Point::new(f64::from(x) * STEP, f64::from(y) * STEP)
    }

    fn stepped(&self, cell: usize, way: usize) -> Option<usize> {
        let (x, y) = (i32::try_from(cell % self.width).ok()?, i32::try_from(cell / self.width).ok()?);
        let (dx, dy) = WAYS[way];
        self.inside(x + dx, y + dy)
    }

    /// Keeps pipes out of a box.
    pub(crate) fn block(&mut self, rect: &Rect) {
        let from = |value: f64, origin: i32| libm::ceil(value / STEP) as i32 - origin;
        let to = |value: f64, origin: i32| libm::floor(value / STEP) as i32 - origin;
        for y in from(rect.y, self.origin.1)..=to(rect.bottom(), self.origin.1) {
            for x in from(rect.x, self.origin.0)..=to(rect.right(), self.origin.0) {
                if let Some(cell) = self.inside(x, y) {
                    self.blocked[cell] = true;
                }
            }
        }
    }

    /// Marks where a net may end, and keeps its way out free: other nets may cross that, not turn on it.
    pub(crate) fn open(&mut self, at: Point, outward: Point, net: usize) {
        if let Some(cell) = self.cell(at) {
            self.owner[cell] = tag(net);
        }
        if let Some(cell) = self.cell(at.moved(outward.x * STEP, outward.y * STEP)) {
            self.exit[cell] = (tag(net), outward.y.abs() > 0.5);
        }
    }

    fn is_exit_of_other(&self, cell: usize, net: u16) -> bool {
        self.exit[cell].0 != 0 && self.exit[cell].0 != net
    }

    /// The nets on the four stretches at a place: right, down, left, up.
    fn around(&self, cell: usize) -> [u16; 4] {
        let left = if cell.is_multiple_of(self.width) { 0 } else { self.across[cell - 1] };
        let up = if cell < self.width { 0 } else { self.down[cell - self.width] };
        [self.across[cell], self.down[cell], left, up]
    }

    fn stretch(&self, cell: usize, way: usize) -> u16 {
        self.around(cell)[way]
    }

    fn mark(&mut self, from: usize, to: usize, net: usize) {
        let low = from.min(to);
        if from.abs_diff(to) == 1 {
            self.across[low] = tag(net);
        } else {
            self.down[low] = tag(net);
        }
    }

    /// Joins all ends of a net; ends of one group hang together from the start.
    pub(crate) fn join(&mut self, net: usize, terminals: &[Terminal]) -> Routed {
        let mut routed = Routed::default();
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut by_number: Vec<usize> = Vec::new();
        for terminal in terminals {
            let Some(cell) = self.cell(terminal.at) else { continue };
            match by_number.iter().position(|number| *number == terminal.group) {
                Some(at) => groups[at].push(cell),
                None => {
                    by_number.push(terminal.group);
                    groups.push(vec![cell]);
                }
            }
        }
        while let Some((one, other)) = self.nearest(&groups) {
            let goal = groups.remove(other);
            match self.way(net, &groups[one], &goal, terminals) {
                Some(cells) => {
                    for pair in cells.windows(2) {
                        self.mark(pair[0], pair[1], net);
                    }
                    routed.runs.push(self.run(&cells, terminals));
                    groups[one].extend(cells);
                }
                None => {
                    routed.failed += 1;
                    routed.runs.extend(self.straight(&groups[one], &goal, terminals));
                }
            }
            groups[one].extend(goal);
        }
        routed.tees = self.tees(net, &routed);
        routed
    }

    /// The two groups that lie nearest to each other, the first of which stays.
    fn nearest(&self, groups: &[Vec<usize>]) -> Option<(usize, usize)> {
        let mut best: Option<(usize, usize, usize)> = None;
        for (one, first) in groups.iter().enumerate() {
            for (other, second) in groups.iter().enumerate().skip(one + 1) {
                let apart =
                    first.iter().flat_map(|a| second.iter().map(|b| self.apart(*a, *b))).min().unwrap_or(0);
                if best.is_none_or(|(least, ..)| apart < least) {
                    best = Some((apart, one, other));
                }
            }
        }
        best.map(|(_, one, other)| (one, other))
    }

    fn apart(&self, one: usize, other: usize) -> usize {
        (one % self.width).abs_diff(other % self.width) + (one / self.width).abs_diff(other / self.width)
    }

    fn straight(&self, from: &[usize], to: &[usize], terminals: &[Terminal]) -> Option<Run> {
        let cells = [*from.first()?, *to.first()?];
        let mut run = self.run(&cells, terminals);
        if let [one, other] = run.points[..] {
            run.points = vec![one, Point::new(other.x, one.y), other];
        }
        Some(run)
    }

    /// Whether a net may pass through a place going one way; what it costs there. None: it may not.
    fn entry(&self, cell: usize, way: usize, net: u16) -> Option<u32> {
        if self.blocked[cell] && self.owner[cell] != net {
            return None;
        }
        if self.is_exit_of_other(cell, net) && self.exit[cell].1 == (way % 2 == 1) {
            return None;
        }
        let around = self.around(cell);
        if around.iter().all(|found| *found == 0 || *found == net) {
            return Some(0);
        }
        let (ahead, side) = if way.is_multiple_of(2) { ([0, 2], [1, 3]) } else { ([1, 3], [0, 2]) };
        let free = ahead.iter().all(|at| around[*at] == 0);
        let passes = around[side[0]] == around[side[1]] && around[side[0]] != net;
        (free && passes).then_some(COST_CROSSING)
    }

    fn is_foreign(&self, cell: usize, net: u16) -> bool {
        self.around(cell).iter().any(|found| *found != 0 && *found != net)
    }

    /// Extra for running beside another pipe.
    fn beside(&self, cell: usize, way: usize, net: u16) -> u32 {
        let sides = [(way + 1) % 4, (way + 3) % 4];
        let neighbours = sides.iter().filter_map(|side| self.stepped(cell, *side));
        let used = neighbours.filter(|beside| {
            let found = self.stretch(*beside, way);
            found != 0 && found != net
        });
        COST_BESIDE * u32::try_from(used.count()).unwrap_or(0)
    }

    /// The cheapest way from one group to another (A*).
    fn way(
        &mut self,
        net: usize,
        from: &[usize],
        to: &[usize],
        terminals: &[Terminal],
    ) -> Option<Vec<usize>> {
        let tag = tag(net);
        self.search += 1;
        let search = self.search;
        for cell in to {
            self.goal[*cell] = search;
        }
        let corner = |pick: fn(usize, usize) -> usize, of: fn(usize, usize) -> usize, start: usize| {
            to.iter().map(|cell| of(*cell, self.width)).fold(start, pick)
        };
        let column = |cell: usize, width: usize| cell % width;
        let row = |cell: usize, width: usize| cell / width;
        let (x0, x1) = (corner(usize::min, column, usize::MAX), corner(usize::max, column, 0));
        let (y0, y1) = (corner(usize::min, row, usize::MAX), corner(usize::max, row, 0));
        let width = self.width;
        let left = move |cell: usize| {
            let (x, y) = (cell % width, cell / width);
            let dx = x0.saturating_sub(x) + x.saturating_sub(x1);
            let dy = y0.saturating_sub(y) + y.saturating_sub(y1);
            COST_STEP * u32::try_from(dx + dy).unwrap_or(u32::MAX / 100)
        };
        let mut heap = BinaryHeap::new();
        for &cell in from {
            if self.is_foreign(cell, tag) {
                continue;
            }
            let outward = terminals.iter().find(|terminal| self.cell(terminal.at) == Some(cell));
            for way in 0..4 {
                let bend = outward.is_some_and(|terminal| direction(terminal.outward) != Some(way));
                let cost = if bend { COST_BEND } else { 0 };
                let state = cell * 4 + way;
                self.best[state] = (search, cost);
                self.came[state] = NO_WAY;
                heap.push(core::cmp::Reverse((cost + left(cell), state)));
            }
        }
        while let Some(core::cmp::Reverse((bound, state))) = heap.pop() {
            let (cell, way) = (state / 4, state % 4);
            let (_, cost) = self.best[state];
            if bound > cost + left(cell) {
                continue;
            }
            self.looked_at += 1;
            if self.goal[cell] == search {
                return Some(self.trace(state));
            }
            let crossing = self.is_foreign(cell, tag) || self.is_exit_of_other(cell, tag);
            for next_way in 0..4 {
                let start = self.came[state] == NO_WAY;
                if (next_way + 2) % 4 == way || (crossing && next_way != way) || (start && next_way != way) {
                    continue;
                }
                let Some(next) = self.stepped(cell, next_way) else { continue };
                if self.stretch(cell, next_way) != 0 {
                    continue;
                }
                let Some(entry) = self.entry(next, next_way, tag) else { continue };
                if self.goal[next] == search && entry > 0 {
                    continue;
                }
                let bend = if next_way == way { 0 } else { COST_BEND };
                let total = cost + COST_STEP + bend + entry + self.beside(cell, next_way, tag);
                let slot = next * 4 + next_way;
                if self.best[slot].0 != search || total < self.best[slot].1 {
                    self.best[slot] = (search, total);
                    self.came[slot] = u8::try_from(way).unwrap_or(NO_WAY);
                    heap.push(core::cmp::Reverse((total + left(next), slot)));
                }
            }
        }
        None
    }

    fn trace(&self, end: usize) -> Vec<usize> {
        let mut cells = vec![end / 4];
        let mut state = end;
        while self.came[state] != NO_WAY {
            let before = self.stepped(state / 4, (state % 4 + 2) % 4).unwrap_or(state / 4);
            state = before * 4 + usize::from(self.came[state]);
            cells.push(before);
        }
        cells.reverse();
        cells
    }

    fn run(&self, cells: &[usize], terminals: &[Terminal]) -> Run {
        let at = |cell: Option<&usize>| {
            cell.and_then(|cell| terminals.iter().find(|found| self.cell(found.at) == Some(*cell)))
        };
        let along_flow = match (at(cells.first()), at(cells.last())) {
            (Some(first), _) => first.gives,
            (None, Some(last)) => !last.gives,
            (None, None) => true,
        };
        let mut points: Vec<Point> = Vec::new();
        for (at, cell) in cells.iter().enumerate() {
            let straight = at > 0
                && cells.get(at + 1).is_some_and(|next| {
                    cells.get(at - 1).is_some_and(|before| next.abs_diff(*cell) == cell.abs_diff(*before))
                });
            if !straight {
                points.push(self.point(*cell));
            }
        }
        Run { points, along_flow }
    }

    /// Where three or more stretches of a net meet.
    fn tees(&self, net: usize, routed: &Routed) -> Vec<Point> {
        let mut found: Vec<usize> = Vec::new();
        for run in &routed.runs {
            for end in [run.points.first(), run.points.last()].into_iter().flatten() {
                let Some(cell) = self.cell(*end) else { continue };
                let meets = self.around(cell).iter().filter(|found| **found == tag(net)).count();
                if meets > 2 && !found.contains(&cell) {
                    found.push(cell);
                }
            }
        }
        found.into_iter().map(|cell| self.point(cell)).collect()
    }

    /// Where two nets cross.
    pub(crate) fn crossings(&self) -> Vec<Point> {
        let crosses = |cell: &usize| {
            let [right, down, left, up] = self.around(*cell);
            right != 0 && right == left && down != 0 && down == up && right != down
        };
        (0..self.blocked.len()).filter(crosses).map(|cell| self.point(cell)).collect()
    }
}

fn tag(net: usize) -> u16 {
    u16::try_from(net + 1).unwrap_or(u16::MAX)
}

/// Which of the four ways a unit step is.
fn direction(step: Point) -> Option<usize> {
    WAYS.iter()
        .position(|(x, y)| (f64::from(*x) - step.x).abs() < 0.5 && (f64::from(*y) - step.y).abs() < 0.5)
}
