//! Gives every node its place: rows (or columns) for the two sides, lanes beside them for what branches off.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::network::Network;
use crate::order::{Chain, Order, Step};
use crate::room::{Room, STEP, room};
use crate::{Point, Pose, Sheet};

/// A node's place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    /// Along the rows, from the left (or from above).
    pub(crate) m: f64,
    /// Which lane: 0 is the high side's row, 1 the low side's; ears lie further out.
    pub(crate) lane: i32,
    /// Whether flow runs towards larger `m`.
    pub(crate) forward: bool,
}

/// Where a lane lies across the drawing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lane {
    pub(crate) axis: f64,
    pub(crate) from: f64,
    pub(crate) to: f64,
}

/// All places.
#[derive(Clone, Debug, Default)]
pub(crate) struct Layout {
    pub(crate) sheet: Sheet,
    pub(crate) rooms: BTreeMap<usize, Room>,
    pub(crate) places: BTreeMap<usize, Placed>,
    pub(crate) lanes: BTreeMap<i32, Lane>,
}

impl Layout {
    /// From along and across to x and y.
    pub(crate) fn point(&self, m: f64, c: f64) -> Point {
        match self.sheet {
            Sheet::Wide => Point::new(m, c),
            Sheet::Tall => Point::new(-c, m),
        }
    }
    pub(crate) fn pose(&self, forward: bool) -> Pose {
        match (self.sheet, forward) {
            (Sheet::Wide, true) => Pose::Right,
            (Sheet::Wide, false) => Pose::Left,
            (Sheet::Tall, true) => Pose::Down,
            (Sheet::Tall, false) => Pose::Up,
        }
    }
}

/// The longest row is rounded up to this, so that one thing more or less seldom moves the other end.
const WHOLE_ROW: f64 = 144.0;
/// Beside a header, and between what is joined by other ways than straight ahead.
const BESIDE_HEADER: f64 = 24.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Variable {
    Node(usize),
    /// A net, as the low row (true) or the high row meets it.
    Net(bool, usize),
}

/// A longest-path problem: what must lie at least how far behind what.
#[derive(Default)]
struct Ahead {
    behind: BTreeMap<Variable, Vec<(Variable, f64)>>,
}

impl Ahead {
    fn reaches(&self, from: Variable, to: Variable) -> bool {
        let (mut seen, mut stack) = (BTreeSet::from([from]), vec![from]);
        while let Some(at) = stack.pop() {
            if at == to {
                return true;
            }
            let next = self.behind.get(&at).into_iter().flatten().map(|(next, _)| *next);
            stack.extend(next.filter(|next| seen.insert(*next)));
        }
        false
    }

    /// Asks that one lie so far behind another, unless that contradicts what was asked before.
    fn ask(&mut self, first: Variable, second: Variable, by: f64) {
        if !self.reaches(second, first) {
            self.behind.entry(first).or_default().push((second, by));
        }
    }

    /// The smallest places that satisfy it all.
    fn solve(&self, start: &BTreeMap<Variable, f64>) -> BTreeMap<Variable, f64> {
        let mut found = start.clone();
        let mut changed: VecDeque<Variable> = found.keys().copied().collect();
        while let Some(at) = changed.pop_front() {
            let here = found.get(&at).copied().unwrap_or(0.0);
            for (next, by) in self.behind.get(&at).into_iter().flatten() {
                let slot = found.entry(*next).or_insert(f64::NEG_INFINITY);
                if here + by > *slot {
                    *slot = here + by;
                    changed.push_back(*next);
                }
            }
        }
        found
    }
}

struct Placer<'n> {
    network: &'n Network,
    order: &'n Order,
    sheet: Sheet,
    rooms: BTreeMap<usize, Room>,
    /// How many connections each net has, tees not counted.
    uses: Vec<usize>,
    /// Between slots that meet, further apart where a first try was too tight.
    extra: f64,
}

/// An ear with where it goes.
struct Seat<'o> {
    chain: &'o Chain,
    /// Beside the low row, or the high row.
    low: bool,
    /// Whether its flow runs as its row's does.
    with_row: bool,
    /// Whether it lies in its row's own lane.
    in_line: bool,
}

impl Seat<'_> {
    /// Its steps in the order in which its row passes them.
    fn in_row(&self) -> Vec<Step> {
        let turned = |step: &Step| Step { enter: step.leave, leave: step.enter, ..*step };
        if self.with_row {
            self.chain.steps.clone()
        } else {
            self.chain.steps.iter().rev().map(turned).collect()
        }
    }
}

/// Places all nodes of an order.
pub(crate) fn place(network: &Network, order: &Order, sheet: Sheet, extra: f64) -> Layout {
    let steps = order.high.iter().chain(&order.low).chain(order.ears.iter().flat_map(|ear| &ear.steps));
    let rooms = steps
        .filter_map(|step| network.nodes.get(step.node).map(|node| (step.node, room(node, sheet))))
        .collect();
    let uses = network
        .ends_by_net()
        .iter()
        .zip(&network.nets)
        .map(|(ends, net)| ends.iter().filter(|(node, _)| !net.tees.contains(node)).count())
        .collect();
    let mut layout = Placer { network, order, sheet, rooms, uses, extra }.along();
    across(&mut layout, extra);
    layout
}

impl Placer<'_> {
    fn net(&self, step: &Step, leave: bool) -> Option<usize> {
        self.network.net_of_end(step.node, if leave { step.leave } else { step.enter })
    }

    /// How far a node's room goes against and along the flow.
    fn extent(&self, node: usize, forward: bool) -> (f64, f64) {
        self.rooms.get(&node).map_or((0.0, 0.0), |room| {
            if forward { (room.m_minus, room.m_plus) } else { (room.m_plus, room.m_minus) }
        })
    }

    fn place(&self, node: usize) -> Option<stemwise_circuit::PlaceId> {
        self.network.nodes.get(node).and_then(|node| node.place)
    }

    /// Between two neighbours: room for a header, for the name of a place.
    fn gap(&self, one: &Step, other: &Step) -> f64 {
        let header = self.net(one, true).and_then(|net| self.uses.get(net)).is_some_and(|uses| *uses > 2);
        let header = if header { 2.0 * BESIDE_HEADER } else { 0.0 };
        let border = self.sheet == Sheet::Tall && self.place(one.node) != self.place(other.node);
        header + if border { 24.0 } else { 0.0 } + self.extra.max(0.0)
    }

    fn seats(&self) -> Vec<Seat<'_>> {
        let nets = |row: &[Step]| -> BTreeMap<usize, usize> {
            let enter = row.iter().enumerate().filter_map(|(at, step)| Some((self.net(step, false)?, at)));
            let leave = row.iter().enumerate().filter_map(|(at, step)| Some((self.net(step, true)?, at + 1)));
            enter.chain(leave).collect()
        };
        let (high, low) = (nets(&self.order.high), nets(&self.order.low));
        let mut known: BTreeMap<usize, bool> = BTreeMap::new();
        let mut seats = Vec::new();
        for chain in &self.order.ears {
            let at =
                |row: &BTreeMap<usize, usize>, net: Option<usize>| net.and_then(|net| row.get(&net)).copied();
            let on_low = [chain.start, chain.end].map(|net| at(&low, net));
            let on_high = [chain.start, chain.end].map(|net| at(&high, net));
            let inherited = [chain.start, chain.end].iter().flatten().find_map(|net| known.get(net)).copied();
            let all_high = on_high.iter().all(Option::is_some);
            let low_side = match (on_low, on_high) {
                ([Some(_), Some(_)], _) => true,
                _ if all_high => false,
                ([None, None], [None, None]) => inherited.unwrap_or(true),
                ([None, None], _) => inherited.unwrap_or(false),
                _ => true,
            };
            let pair = if low_side { on_low } else { on_high };
            let (with_row, both) = match pair {
                [Some(start), Some(end)] => (start <= end, true),
                _ => (true, false),
            };
            let in_line = self.sheet == Sheet::Tall && both;
            for step in &chain.steps {
                known.extend(
                    [false, true].iter().filter_map(|&leave| Some((self.net(step, leave)?, low_side))),
                );
            }
            seats.push(Seat { chain, low: low_side, with_row, in_line });
        }
        seats
    }

    fn row_forward(low: bool) -> bool {
        !low
    }

    /// Asks for the order along a row; gives its variables' starts.
    fn ask_row(&self, row: &[Step], low: bool, ahead: &mut Ahead, start: &mut BTreeMap<Variable, f64>) {
        let forward = Self::row_forward(low);
        if let Some(first) = row.first() {
            let net = self.net(first, false).filter(|net| self.uses.get(*net).is_some_and(|uses| *uses > 2));
            let header = if net.is_some() { BESIDE_HEADER } else { 0.0 };
            start.insert(Variable::Node(first.node), self.extent(first.node, forward).0 + header);
            if let Some(net) = net {
                start.insert(Variable::Net(low, net), 0.0);
                ahead.ask(
                    Variable::Net(low, net),
                    Variable::Node(first.node),
                    self.extent(first.node, forward).0 + header,
                );
            }
        }
        self.ask_chain(row, low, forward, ahead);
        if let Some(last) = row.last()
            && let Some(net) = self.net(last, true)
        {
            let by = self.extent(last.node, forward).1 + BESIDE_HEADER;
            ahead.ask(Variable::Node(last.node), Variable::Net(low, net), by);
        }
    }

    fn ask_chain(&self, steps: &[Step], low: bool, forward: bool, ahead: &mut Ahead) {
        for pair in steps.windows(2) {
            let [one, other] = pair else { continue };
            let after = self.extent(one.node, forward).1;
            let before = self.extent(other.node, forward).0;
            let gap = self.gap(one, other);
            ahead.ask(Variable::Node(one.node), Variable::Node(other.node), after + before + gap);
            let is_tee = self.net(one, false) == self.net(one, true);
            if let (Some(net), false) = (self.net(one, true), is_tee) {
                let half = gap / 2.0;
                ahead.ask(Variable::Node(one.node), Variable::Net(low, net), after + half);
                ahead.ask(Variable::Net(low, net), Variable::Node(other.node), before + half);
            }
        }
    }

    fn ask_ear(&self, seat: &Seat<'_>, ahead: &mut Ahead, start: &mut BTreeMap<Variable, f64>) {
        let forward = Self::row_forward(seat.low);
        let steps = seat.in_row();
        let (mut first_net, mut last_net) = (seat.chain.start, seat.chain.end);
        if !seat.with_row {
            core::mem::swap(&mut first_net, &mut last_net);
        }
        let (Some(first), Some(last)) = (steps.first(), steps.last()) else { return };
        let before = self.extent(first.node, forward).0 + BESIDE_HEADER;
        let after = self.extent(last.node, forward).1 + BESIDE_HEADER;
        start.insert(Variable::Node(first.node), before);
        if let Some(net) = first_net {
            ahead.ask(Variable::Net(seat.low, net), Variable::Node(first.node), before);
        }
        if let Some(net) = last_net {
            ahead.ask(Variable::Node(last.node), Variable::Net(seat.low, net), after);
        }
    }

    /// Ears in line follow the stretch of their row that they are parallel to, and each other.
    fn ask_in_line(&self, seats: &[Seat<'_>], ahead: &mut Ahead) {
        for low in [false, true] {
            let row = if low { &self.order.low } else { &self.order.high };
            let forward = Self::row_forward(low);
            let mut last_of: BTreeMap<usize, usize> = BTreeMap::new();
            for seat in seats.iter().filter(|seat| seat.in_line && seat.low == low) {
                let (Some(mut first), Some(mut last)) = (seat.chain.steps.first(), seat.chain.steps.last())
                else {
                    continue;
                };
                let mut behind = seat.chain.end;
                if !seat.with_row {
                    core::mem::swap(&mut first, &mut last);
                    behind = seat.chain.start;
                }
                // The step that leaves into the net which lies further along the row.
                let end = row.iter().position(|step| self.net(step, true) == behind && behind.is_some());
                let Some(end) = end else { continue };
                let before = last_of.get(&end).copied().or_else(|| row.get(end).map(|step| step.node));
                if let Some(before) = before {
                    let by = self.extent(before, forward).1 + self.extent(first.node, forward).0 + 4.0 * STEP;
                    ahead.ask(Variable::Node(before), Variable::Node(first.node), by);
                }
                if let Some(next) = row.get(end + 1) {
                    let by =
                        self.extent(last.node, forward).1 + self.extent(next.node, forward).0 + 4.0 * STEP;
                    ahead.ask(Variable::Node(last.node), Variable::Node(next.node), by);
                }
                last_of.insert(end, last.node);
            }
        }
    }

    fn along(&self) -> Layout {
        let mut ahead = Ahead::default();
        let mut start = BTreeMap::new();
        self.ask_row(&self.order.high, false, &mut ahead, &mut start);
        self.ask_row(&self.order.low, true, &mut ahead, &mut start);
        let seats = self.seats();
        for seat in &seats {
            // Extents depend on which way the row's own coordinate grows, not on the ear's flow.
            self.ask_chain(&seat.in_row(), seat.low, Self::row_forward(seat.low), &mut ahead);
        }
        self.ask_in_line(&seats, &mut ahead);
        for seat in &seats {
            self.ask_ear(seat, &mut ahead, &mut start);
        }
        let mut found = ahead.solve(&start);
        self.settle_short_ears(&seats, &mut found);
        let length = self.move_to_compressor(&ahead, &seats, &mut found);
        self.assemble(&seats, &found, length)
    }

    /// An ear with room to spare stands in the middle of it.
    fn settle_short_ears(&self, seats: &[Seat<'_>], found: &mut BTreeMap<Variable, f64>) {
        for seat in seats.iter().filter(|seat| !seat.in_line && seat.chain.steps.len() == 1) {
            let Some(step) = seat.chain.steps.first() else { continue };
            let at =
                |net: Option<usize>| net.and_then(|net| found.get(&Variable::Net(seat.low, net))).copied();
            if let (Some(one), Some(other)) = (at(seat.chain.start), at(seat.chain.end)) {
                let middle = libm::round((one + other) / 2.0 / STEP) * STEP;
                found.insert(Variable::Node(step.node), middle);
            }
        }
    }

    /// What stands with the compressor goes to the row's end; returns the length of the longest row.
    fn move_to_compressor(
        &self,
        ahead: &Ahead,
        seats: &[Seat<'_>],
        found: &mut BTreeMap<Variable, f64>,
    ) -> f64 {
        let end = |node: usize, low: bool, found: &BTreeMap<Variable, f64>| {
            found
                .get(&Variable::Node(node))
                .map_or(0.0, |at| at + self.extent(node, Self::row_forward(low)).1)
        };
        let ears = seats.iter().flat_map(|seat| seat.chain.steps.iter().map(|step| (step.node, seat.low)));
        let rows = self.order.high.iter().map(|step| (step.node, false));
        let rows = rows.chain(self.order.low.iter().map(|step| (step.node, true)));
        let ends: Vec<(bool, f64)> =
            rows.chain(ears).map(|(node, low)| (low, end(node, low, found))).collect();
        let longest = |side: Option<bool>| {
            let of = ends.iter().filter(|(low, _)| side.is_none_or(|side| side == *low));
            of.map(|(_, end)| *end).fold(0.0, f64::max)
        };
        let length = libm::ceil(longest(None) / WHOLE_ROW) * WHOLE_ROW;
        let spare = libm::floor((length - longest(Some(true))) / STEP) * STEP;
        if let Some(first) =
            self.order.low.get(self.order.with_compressor).filter(|_| self.order.with_compressor > 0)
        {
            let from = Variable::Node(first.node);
            for (variable, at) in found.iter_mut() {
                if ahead.reaches(from, *variable) {
                    *at += spare;
                }
            }
        }
        length
    }

    fn assemble(&self, seats: &[Seat<'_>], found: &BTreeMap<Variable, f64>, length: f64) -> Layout {
        let mut layout = Layout { sheet: self.sheet, ..Layout::default() };
        let snap = |value: f64| libm::round(value / STEP) * STEP;
        let mut put = |node: usize, low: bool, lane: i32, forward: bool| {
            let t = found.get(&Variable::Node(node)).copied().unwrap_or(0.0);
            let m = snap(if low { length - t } else { t });
            layout.places.insert(node, Placed { m, lane, forward });
        };
        for step in &self.order.high {
            put(step.node, false, 0, true);
        }
        for step in &self.order.low {
            put(step.node, true, 1, false);
        }
        let mut taken: BTreeMap<i32, Vec<(f64, f64)>> = BTreeMap::new();
        for seat in seats {
            let lane = if seat.in_line { i32::from(seat.low) } else { self.lane(seat, found, &mut taken) };
            let forward = Self::row_forward(seat.low) == seat.with_row;
            for step in &seat.chain.steps {
                put(step.node, seat.low, lane, forward);
            }
        }
        layout.rooms = self.rooms.clone();
        layout
    }

    /// The nearest lane in which an ear and its ways to its nets are free.
    fn lane(
        &self,
        seat: &Seat<'_>,
        found: &BTreeMap<Variable, f64>,
        taken: &mut BTreeMap<i32, Vec<(f64, f64)>>,
    ) -> i32 {
        let nodes = seat.chain.steps.iter().filter_map(|step| {
            let at = *found.get(&Variable::Node(step.node))?;
            let (before, after) = self.extent(step.node, Self::row_forward(seat.low));
            Some((at - before - BESIDE_HEADER, at + after + BESIDE_HEADER))
        });
        let nets = [seat.chain.start, seat.chain.end].into_iter().flatten();
        let nets = nets.filter_map(|net| found.get(&Variable::Net(seat.low, net))).map(|at| (*at, *at));
        let span = nodes
            .chain(nets)
            .reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
            .unwrap_or((0.0, 0.0));
        let outward = if seat.low { 1 } else { -1 };
        let mut lane = if seat.low { 2 } else { -1 };
        while taken.get(&lane).into_iter().flatten().any(|other| other.0 < span.1 && span.0 < other.1) {
            lane += outward;
        }
        taken.entry(lane).or_default().push(span);
        lane
    }
}

/// Gives the lanes their places across the drawing, high side first.
fn across(layout: &mut Layout, extra: f64) {
    let mut sizes: BTreeMap<i32, (f64, f64)> = BTreeMap::new();
    for (node, place) in &layout.places {
        let Some(room) = layout.rooms.get(node) else { continue };
        let slot = sizes.entry(place.lane).or_insert((0.0, 0.0));
        *slot = (slot.0.max(room.c_minus), slot.1.max(room.c_plus));
    }
    let header = if layout.sheet == Sheet::Wide { 24.0 } else { 0.0 };
    let channel = STEP + extra;
    let mut at = 0.0;
    for (lane, (minus, plus)) in sizes {
        let axis = libm::ceil((at + header + channel + minus) / STEP) * STEP;
        let to = axis + plus + channel;
        layout.lanes.insert(lane, Lane { axis, from: at, to });
        at = to;
    }
}
