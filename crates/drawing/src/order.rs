//! The order of a drawing: the main loop from the compressor round to it again, its two rows, and what branches off (ears).

use std::collections::{BTreeSet, VecDeque};

use crate::network::{Flow, Network};
use crate::{LineKind, Symbol};

/// A node passed on a walk, and the connections by which it is entered and left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Step {
    pub(crate) node: usize,
    pub(crate) enter: Option<usize>,
    pub(crate) leave: Option<usize>,
}

/// A walk in the direction of flow, and the nets that it starts from and leads to.
#[derive(Clone, Debug, Default)]
pub(crate) struct Chain {
    pub(crate) steps: Vec<Step>,
    pub(crate) start: Option<usize>,
    pub(crate) end: Option<usize>,
}

/// The order of everything.
#[derive(Clone, Debug, Default)]
pub(crate) struct Order {
    /// The high side, in the direction of flow.
    pub(crate) high: Vec<Step>,
    /// The low side and the compressor, in the direction of flow.
    pub(crate) low: Vec<Step>,
    /// Where in the low row the steps begin that stand with the compressor.
    pub(crate) with_compressor: usize,
    /// What branches off.
    pub(crate) ears: Vec<Chain>,
}

impl Order {
    /// All nodes as one walks: from the compressor round, each branch where it leaves, the rest at the end.
    pub(crate) fn reading(&self, network: &Network) -> Vec<usize> {
        let whole: Vec<&Step> = self.low.iter().chain(&self.high).collect();
        let is_compressor =
            |step: &&Step| network.nodes.get(step.node).is_some_and(|node| node.symbol == Symbol::Compressor);
        let start = whole.iter().position(is_compressor).unwrap_or(0);
        let mut waiting: Vec<&Chain> = self.ears.iter().collect();
        let mut reading = Vec::new();
        for step in whole.iter().cycle().skip(start).take(whole.len()) {
            reading.push(step.node);
            let left = network.net_of_end(step.node, step.leave);
            let (now, later) = waiting.into_iter().partition(|ear| ear.start.is_some() && ear.start == left);
            waiting = later;
            let now: Vec<&Chain> = now;
            reading.extend(now.iter().flat_map(|ear| ear.steps.iter().map(|step| step.node)));
        }
        reading.extend(waiting.iter().flat_map(|ear| ear.steps.iter().map(|step| step.node)));
        reading
    }
}

struct Finder<'n> {
    network: &'n Network,
    by_net: Vec<Vec<(usize, usize)>>,
    placed: BTreeSet<usize>,
}

/// Orders the nodes that `wanted` holds.
pub(crate) fn order(network: &Network, wanted: &BTreeSet<usize>) -> Order {
    let tees: BTreeSet<usize> = network.nets.iter().flat_map(|net| net.tees.iter().copied()).collect();
    let placed = (0..network.nodes.len()).filter(|at| !wanted.contains(at)).collect();
    let mut finder = Finder { network, by_net: network.ends_by_net(), placed };
    finder.placed.extend(&tees);
    let main = finder.main();
    finder.placed.extend(main.iter().map(|step| step.node));
    let mut order = Order::default();
    finder.ears(&mut order.ears);
    finder.rows(&main, &mut order);
    for &tee in tees.iter().filter(|tee| wanted.contains(tee)) {
        insert_tee(network, &mut order, tee);
    }
    order.with_compressor = finder.with_compressor(&order.low, &order.ears);
    order
}

impl Network {
    pub(crate) fn net_of_end(&self, node: usize, end: Option<usize>) -> Option<usize> {
        self.nodes.get(node)?.ends.get(end?).map(|end| end.net)
    }
}

impl Finder<'_> {
    fn symbol(&self, node: usize) -> Symbol {
        self.network.nodes.get(node).map_or(Symbol::Tee, |node| node.symbol)
    }

    fn ends(&self, node: usize, flow: Flow) -> Vec<usize> {
        let ends = self.network.nodes.get(node).map_or(&[][..], |node| &node.ends);
        ends.iter().enumerate().filter(|(_, end)| end.flow == flow).map(|(at, _)| at).collect()
    }

    /// The connections by which fluid that entered at one leaves.
    fn ways_out(&self, node: usize, enter: Option<usize>) -> Vec<usize> {
        match (self.symbol(node), enter) {
            (Symbol::ReversingValve, Some(0)) => vec![1],
            (Symbol::ReversingValve, Some(2)) => vec![3],
            _ => self.ends(node, Flow::Out),
        }
    }

    /// The connections into which a connection leads, those of plain valves first.
    fn next(&self, node: usize, leave: usize, flow: Flow) -> Vec<(usize, usize)> {
        let Some(net) = self.network.net_of_end(node, Some(leave)) else { return Vec::new() };
        let ends = self.by_net.get(net).map_or(&[][..], Vec::as_slice);
        let tees = self.network.nets.get(net).map_or(&[][..], |net| &net.tees);
        let mut found: Vec<(usize, usize)> = ends
            .iter()
            .copied()
            .filter(|&(other, end)| {
                other != node && !tees.contains(&other) && self.ends(other, flow).contains(&end)
            })
            .collect();
        found.sort_by_key(|&(other, _)| (self.symbol(other) == Symbol::CheckValve, other));
        found
    }

    /// The shortest walk from a node to one that is looked for; a reversing valve may be passed twice, nothing else.
    fn shortest(&self, from: Step, passed: &[Step], goal: impl Fn(usize) -> bool) -> Option<Vec<Step>> {
        let mut seen: BTreeSet<(usize, usize)> = BTreeSet::new();
        let mut queue = VecDeque::from([vec![from]]);
        while let Some(walk) = queue.pop_front() {
            let last = *walk.last()?;
            for leave in self.ways_out(last.node, last.enter) {
                for (node, enter) in self.next(last.node, leave, Flow::In) {
                    let mut longer = walk.clone();
                    if let Some(step) = longer.last_mut() {
                        step.leave = Some(leave);
                    }
                    longer.push(Step { node, enter: Some(enter), leave: None });
                    if goal(node) {
                        return Some(longer);
                    }
                    let twice = self.symbol(node) != Symbol::ReversingValve
                        && (passed.iter().chain(&walk).any(|step| step.node == node));
                    if !twice && seen.insert((node, enter)) {
                        queue.push_back(longer);
                    }
                }
            }
        }
        None
    }

    /// The main loop, compressor first: by way of a condenser and an evaporator. Without such a loop, the longest walk through the compressor or
    /// through the first node there is.
    fn main(&self) -> Vec<Step> {
        let wanted = || (0..self.network.nodes.len()).filter(|node| !self.placed.contains(node));
        let compressor = wanted().find(|&node| self.symbol(node) == Symbol::Compressor);
        if let Some(loop_) = compressor.and_then(|compressor| self.closed(compressor)) {
            return loop_;
        }
        compressor.or_else(|| wanted().next()).map_or_else(Vec::new, |seed| self.through(seed).steps)
    }

    fn closed(&self, compressor: usize) -> Option<Vec<Step>> {
        let start = Step { node: compressor, enter: None, leave: None };
        let coil = |node| matches!(self.symbol(node), Symbol::Condenser | Symbol::ReversibleCoil);
        let cold = |node| matches!(self.symbol(node), Symbol::Evaporator | Symbol::ReversibleCoil);
        let mut walk = vec![start];
        let mut extend = |goal: &dyn Fn(usize) -> bool| {
            let from = walk.pop()?;
            match self.shortest(from, &walk, goal) {
                Some(more) => walk.extend(more),
                None => walk.push(from),
            }
            Some(walk.clone())
        };
        let first = extend(&coil)?.last()?.node;
        extend(&|node| cold(node) && node != first)?;
        let mut whole = extend(&|node| node == compressor)?;
        if whole.len() < 2 || whole.last()?.node != compressor {
            return None;
        }
        let entered = whole.pop()?.enter;
        whole.first_mut()?.enter = entered;
        Some(whole)
    }

    /// A walk through a node, as far as there are nodes without a place both ways, and the nets with a place that it begins and ends at.
    fn through(&self, seed: usize) -> Chain {
        let mut taken: BTreeSet<usize> = BTreeSet::from([seed]);
        let free =
            |node: usize, taken: &BTreeSet<usize>| !self.placed.contains(&node) && !taken.contains(&node);
        let mut steps = VecDeque::from([Step { node: seed, enter: None, leave: None }]);
        let mut chain = Chain::default();
        while let Some(&last) = steps.back() {
            let Some(leave) = self.ways_out(last.node, last.enter).first().copied() else { break };
            let next = self.next(last.node, leave, Flow::In);
            if let Some(step) = steps.back_mut() {
                step.leave = Some(leave);
            }
            let net = self.network.net_of_end(last.node, Some(leave));
            let met = net.is_some_and(|net| self.meets_placed(net));
            let found = next.iter().find(|(node, _)| free(*node, &taken)).copied();
            match found.filter(|_| !met) {
                Some((node, enter)) => {
                    taken.insert(node);
                    steps.push_back(Step { node, enter: Some(enter), leave: None });
                }
                None => {
                    chain.end = net;
                    break;
                }
            }
        }
        while let Some(&first) = steps.front() {
            let Some(enter) = self.ends(first.node, Flow::In).first().copied() else { break };
            let before = self.next(first.node, enter, Flow::Out);
            if let Some(step) = steps.front_mut() {
                step.enter = step.enter.or(Some(enter));
            }
            let net = self.network.net_of_end(first.node, Some(enter));
            let met = net.is_some_and(|net| self.meets_placed(net));
            let found = before.iter().find(|(node, _)| free(*node, &taken)).copied();
            match found.filter(|_| !met) {
                Some((node, leave)) => {
                    taken.insert(node);
                    steps.push_front(Step { node, enter: None, leave: Some(leave) });
                }
                None => {
                    chain.start = net;
                    break;
                }
            }
        }
        chain.steps = steps.into();
        chain
    }

    /// Whether a net touches something that has a place; what sits in the middle of it doesn't count.
    fn meets_placed(&self, net: usize) -> bool {
        let tees = self.network.nets.get(net).map_or(&[][..], |net| &net.tees);
        let ends = self.by_net.get(net).map_or(&[][..], Vec::as_slice);
        ends.iter().any(|(node, _)| self.placed.contains(node) && !tees.contains(node))
    }

    fn ears(&mut self, ears: &mut Vec<Chain>) {
        while let Some(seed) = (0..self.network.nodes.len()).find(|node| !self.placed.contains(node)) {
            let ear = self.through(seed);
            self.placed.extend(ear.steps.iter().map(|step| step.node));
            ears.push(ear);
        }
    }

    /// Parts the main walk into the two rows.
    fn rows(&self, main: &[Step], order: &mut Order) {
        let mut main: Vec<Step> = main.to_vec();
        let mut seen = BTreeSet::new();
        main.retain(|step| seen.insert(step.node));
        let compressor = main.iter().position(|step| self.symbol(step.node) == Symbol::Compressor);
        let metering = self.low_start(&main, &order.ears);
        match compressor {
            Some(0) => {
                let head = self.valves_behind(&main);
                let start = metering.unwrap_or(main.len()).max(head);
                order.high = main.get(head..start).unwrap_or_default().to_vec();
                order.low = main.get(start..).unwrap_or_default().to_vec();
                order.low.extend(main.get(..head).unwrap_or_default());
            }
            Some(at) => {
                let cut = (at + 1).min(main.len());
                order.low = main.get(..cut).unwrap_or_default().to_vec();
                order.high = main.get(cut..).unwrap_or_default().to_vec();
            }
            None => {
                let low_only = main.first().is_some_and(|step| self.is_low(step.node));
                let cut = if low_only { 0 } else { metering.unwrap_or(main.len()) };
                order.high = main.get(..cut).unwrap_or_default().to_vec();
                order.low = main.get(cut..).unwrap_or_default().to_vec();
            }
        }
    }

    fn is_low(&self, node: usize) -> bool {
        let ends = self.network.nodes.get(node).map_or(&[][..], |node| &node.ends);
        let mut lines = ends.iter().filter_map(|end| self.network.nets.get(end.net)).map(|net| net.line);
        lines.any(|line| matches!(line, LineKind::Suction | LineKind::Mixture))
    }

    /// The compressor and the service valve on its outlet.
    fn valves_behind(&self, main: &[Step]) -> usize {
        let valve =
            main.get(1).is_some_and(|step| matches!(self.symbol(step.node), Symbol::ServiceValve { .. }));
        if valve { 2 } else { 1 }
    }

    /// Where the low row begins: at the last metering device before the evaporator, with what stands beside it before that; or behind the
    /// net from which other branches lead to the low side.
    fn low_start(&self, main: &[Step], ears: &[Chain]) -> Option<usize> {
        let is_metering = |step: &Step| {
            matches!(
                self.symbol(step.node),
                Symbol::ThermostaticValve | Symbol::ElectronicValve | Symbol::Orifice | Symbol::Capillary
            )
        };
        let is_coil = |step: &Step| {
            matches!(self.symbol(step.node), Symbol::Condenser | Symbol::Evaporator | Symbol::ReversibleCoil)
        };
        let cold = main.iter().rposition(is_coil);
        let hot = main.iter().position(is_coil).filter(|hot| Some(*hot) != cold);
        let before_cold = main.get(..cold.unwrap_or(main.len())).unwrap_or_default();
        let mut start = before_cold.iter().rposition(is_metering).or(cold)?;
        let place = |at: usize| {
            main.get(at).and_then(|step| self.network.nodes.get(step.node)).and_then(|node| node.place)
        };
        let floor = hot.map_or(1, |hot| hot + 1);
        let there = cold.and_then(place);
        while start > floor && place(start - 1) == there && hot.is_none_or(|hot| place(hot) != there) {
            start -= 1;
        }
        for ear in ears {
            let begins =
                main.iter().position(|step| self.network.net_of_end(step.node, step.leave) == ear.start);
            let ends = main.iter().position(|step| self.network.net_of_end(step.node, step.enter) == ear.end);
            if let (Some(begins), Some(ends), true) = (begins, ends, ear.start.is_some() && ear.end.is_some())
            {
                let feeds_low = begins + 1 >= floor && begins + 1 < start && (ends > start || ends == 0);
                start = if feeds_low { begins + 1 } else { start };
            }
        }
        Some(start)
    }

    /// From where on the low row's steps stand in the compressor's place.
    fn with_compressor(&self, low: &[Step], ears: &[Chain]) -> usize {
        let place = |step: &Step| self.network.nodes.get(step.node).and_then(|node| node.place);
        let Some(at) = low.iter().position(|step| self.symbol(step.node) == Symbol::Compressor) else {
            return low.len();
        };
        let there = low.get(at).and_then(place);
        let is_coil =
            |step: &Step| matches!(self.symbol(step.node), Symbol::Evaporator | Symbol::ReversibleCoil);
        let before = low.get(..at).unwrap_or_default();
        let same = before.iter().rev().take_while(|step| place(step) == there && !is_coil(step)).count();
        // What leads into a header stays with the other branches that do.
        let gathers = |step: &Step| {
            let net = self.network.net_of_end(step.node, step.leave);
            net.is_some() && ears.iter().any(|ear| ear.end == net)
        };
        let gathered = before.iter().rposition(gathers).map_or(0, |last| last + 1);
        (at - same).max(gathered)
    }
}

/// Puts a tee into the walk that passes its net.
fn insert_tee(network: &Network, order: &mut Order, tee: usize) {
    let Some(net) = network.net_of_end(tee, Some(0)) else { return };
    let step = Step { node: tee, enter: Some(0), leave: Some(1) };
    let leaves = |step: &Step| network.net_of_end(step.node, step.leave) == Some(net);
    let enters = |step: &Step| network.net_of_end(step.node, step.enter) == Some(net);
    let between = |row: &[Step]| {
        let found =
            row.windows(2).position(|pair| matches!(pair, [one, other] if leaves(one) && enters(other)));
        found.map(|at| at + 1)
    };
    if let Some(at) = between(&order.low) {
        return order.low.insert(at, step);
    }
    if let Some(at) = between(&order.high) {
        return order.high.insert(at, step);
    }
    for row in [&mut order.low, &mut order.high] {
        if let Some(at) = row.iter().rposition(leaves) {
            return row.insert(at + 1, step);
        }
        if let Some(at) = row.iter().position(enters) {
            return row.insert(at, step);
        }
    }
    for ear in &mut order.ears {
        if let Some(at) = between(&ear.steps) {
            return ear.steps.insert(at, step);
        }
        if ear.steps.last().is_some_and(leaves) {
            return ear.steps.push(step);
        }
        if ear.steps.first().is_some_and(enters) {
            return ear.steps.insert(0, step);
        }
    }
    order.ears.push(Chain { steps: vec![step], start: Some(net), end: Some(net) });
}
