//! Lower bounds: what is out of place, and what it takes at least to cut the component off and empty it.
//!
//! At the moment of the work the opened region is bounded by shut valves, each of which must be shut and put back. So the cheapest cut
//! between the component and where the charge stays is a lower bound. It is taken over the ways of getting rid of the pressure (none
//! needed, a compressor into a sink, recovery, both), since each way leaves other cells outside or other grams to pay.
//!
//! Two things add to it. Where a compressor has to empty the component, then at that moment shut valves part it and the suction side from
//! the discharge side. A valve that is in both cuts is paid once, so a second flow is laid through what the first leaves of each valve's price:
//! two flows that share the capacities never come to more than the valves of both cuts together. And a machine on the port of a service
//! valve takes that stem off its back seat and back onto it, which shutting the valve may have paid for already.

mod liquid;
mod ports;

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Planner;
use super::plant::{CompressorAt, Content, Goal, Plant, PortAt, Position, Rigging};
use super::state::State;
use crate::cut::{Flow, INFINITE, Network};
use liquid::{Holding, TooMuch};

/// The network of cells: one edge a valve, one from each cell to the sink.
#[derive(Debug)]
pub(crate) struct Bounds {
    cuts: RefCell<Cuts>,
    valve_edges: Vec<usize>,
    sink_edges: Vec<usize>,
    /// From the source to each cell.
    source_edges: Vec<usize>,
    /// For each port, the cell that it stays with.
    port_cells: Vec<u32>,
    /// For each cell those that it is joined to by a stem that may stand open, or from which a one-way joint leads on.
    leads: Vec<Vec<u32>>,
    /// For each cell, whether no compressor can empty it: every way from a discharge to a sink leads through it.
    kept_full: Vec<bool>,
    source: u32,
    sink: u32,
    /// In the network of pumping: for each cell of the component an edge from the source, for each compressor one to its suction side and one
    /// from its discharge side to the sink.
    component_edges: Vec<usize>,
    compressor_edges: Vec<(usize, usize)>,
    /// From each cell to the sink, for the liquid that it can't hold.
    dry_edges: Vec<usize>,
    holding: Vec<Holding>,
    /// In the network of pumping, from the source to each cell.
    passed_edges: Vec<usize>,
    /// For each cell of the component and each compressor the cells that every way to its suction side leads through.
    passed: Vec<Vec<Vec<u32>>>,
}

impl Bounds {
    pub(crate) fn new(plant: &Plant) -> Self {
        let cells = u32::try_from(plant.cells.len()).unwrap_or(u32::MAX);
        let (source, sink) = (cells, cells + 1);
        let mut network = Network::new(plant.cells.len() + 2);
        let valve_edges = plant.valves.iter().map(|valve| network.join(valve.a, valve.b, 0, 0)).collect();
        let sink_edges = (0..cells).map(|cell| network.join(cell, sink, 0, 0)).collect();
        let source_edges = (0..cells).map(|cell| network.join(source, cell, 0, 0)).collect();
        // Pressure upstream would come into what is emptied, and what is upstream is evacuated with it.
        for way in &plant.ways {
            network.join(way.to, way.from, INFINITE, 0);
        }
        let port_cells = plant.port_cells.iter().map(|port| match *port {
            PortAt::Core { cell } => cell,
            PortAt::Valve { stays, .. } => stays,
            PortAt::Still => 0,
        });
        let mut pumping = Network::new(plant.cells.len() + 2);
        // The valves come first, so that their edges have the same numbers in both networks.
        for valve in &plant.valves {
            pumping.join(valve.a, valve.b, 0, 0);
        }
        // What leads one way into the emptied part is emptied with it.
        for way in &plant.ways {
            pumping.join(way.to, way.from, INFINITE, 0);
        }
        let component_edges = plant.component.iter().map(|&cell| pumping.join(source, cell, 0, 0)).collect();
        let ends = |found: &CompressorAt| {
            (pumping.join(source, found.from, 0, 0), pumping.join(found.to, sink, 0, 0))
        };
        let compressor_edges = plant.compressors.iter().map(ends).collect();
        let dry_edges = (0..cells).map(|cell| pumping.join(cell, sink, 0, 0)).collect();
        let passed_edges = (0..cells).map(|cell| pumping.join(source, cell, 0, 0)).collect();
        let leads = leads(plant);
        let passed = |cell: &u32| {
            plant.compressors.iter().map(|found| liquid::on_every_way(&leads, *cell, found.from)).collect()
        };
        let passed = plant.component.iter().map(passed).collect();
        let port_cells = port_cells.collect();
        let cuts = RefCell::new(Cuts { network, pumping, ..Cuts::default() });
        Self {
            cuts,
            valve_edges,
            sink_edges,
            source_edges,
            port_cells,
            leads,
            kept_full: kept_full(plant),
            source,
            sink,
            component_edges,
            compressor_edges,
            dry_edges,
            holding: Holding::of(plant),
            passed_edges,
            passed,
        }
    }
}

/// For each cell, those to which pressure may pass from it.
fn leads(plant: &Plant) -> Vec<Vec<u32>> {
    let mut leads: Vec<Vec<u32>> = vec![Vec::new(); plant.cells.len()];
    let mut lead = |from: u32, to: u32| {
        if let Some(found) = leads.get_mut(from as usize) {
            found.push(to);
        }
    };
    for valve in plant.valves.iter().filter(|valve| valve.movable || valve.position.joins()) {
        lead(valve.a, valve.b);
        lead(valve.b, valve.a);
    }
    plant.ways.iter().for_each(|way| lead(way.from, way.to));
    leads
}

/// The cells that no compressor can empty, since every way from its discharge to somewhere it may discharge into leads through them.
fn kept_full(plant: &Plant) -> Vec<bool> {
    let mut kept = vec![true; plant.cells.len()];
    for compressor in plant.compressors.iter().filter(|found| found.startable || found.running) {
        let Some(way) = way_to_a_sink(plant, compressor.to, None) else { continue };
        let parts =
            |cell: u32| way.contains(&cell) && way_to_a_sink(plant, compressor.to, Some(cell)).is_none();
        for (cell, kept) in (0u32..).zip(&mut kept) {
            *kept &= parts(cell);
        }
    }
    kept
}

/// A way from a discharge to a sink that does not touch one cell, whatever stands open.
fn way_to_a_sink(plant: &Plant, from: u32, without: Option<u32>) -> Option<Vec<u32>> {
    if without == Some(from) {
        return None;
    }
    let mut seen: Vec<Option<u32>> = vec![None; plant.cells.len()];
    let mut queue = vec![from];
    *seen.get_mut(from as usize)? = Some(from);
    let mut next = 0;
    while let Some(&here) = queue.get(next) {
        next += 1;
        if plant.cells.get(here as usize).is_some_and(|cell| cell.sink) {
            let mut way = vec![here];
            while let Some(before) = way.last().and_then(|&last| *seen.get(last as usize)?)
                && !way.contains(&before)
            {
                way.push(before);
            }
            return Some(way);
        }
        for valve in plant.valves.iter().filter(|valve| valve.movable || valve.position.joins()) {
            let there = match (valve.a == here, valve.b == here) {
                (true, _) => valve.b,
                (_, true) => valve.a,
                _ => continue,
            };
            if let Some(slot) = seen.get_mut(there as usize)
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

/// The network with flows to come back to.
#[derive(Debug, Default)]
struct Cuts {
    network: Network,
    /// The network of the moment at which a compressor empties the component.
    pumping: Network,
    /// The flow that every way of draining has in common.
    common: Flow,
    /// The same with what the cut for pumping leaves of the valves.
    beside: Flow,
    /// A way's own flow.
    own: Flow,
    region: Vec<bool>,
}

const fn distance(from: Position, to: Position, three: bool) -> u64 {
    let steps = (from as u64).abs_diff(to as u64);
    if three { steps } else { steps / 2 }
}

/// Ways of draining, each with what it costs besides the cut.
type Priced = Vec<(Drain, u64)>;

/// A way of getting the pressure out of the region.
#[derive(Clone, Copy, Debug)]
enum Drain {
    /// Nothing under pressure is inside.
    None,
    /// A compressor discharges into a sink; both its head and the sink stay outside.
    Compressor { head: u32, sink: u32 },
    /// A compressor before the work, and one once more after it.
    Again,
    /// Recovery.
    Recovery,
    /// Both.
    Both,
}

/// A way of draining, with the liquid that nothing holds meanwhile.
#[derive(Clone, Copy, Debug)]
struct Way<'b> {
    drain: Drain,
    liquid: Option<TooMuch<'b>>,
    /// What empties the component at last: a compressor, for which the cut for pumping is paid, or recovery; none where it is not told.
    pumped: Option<bool>,
}

/// A cell that has to be recovered from.
#[derive(Clone, Copy, Debug)]
struct Recovered {
    cell: u32,
    /// Whether a compressor may have emptied other cells before.
    pumped: bool,
}

impl Planner<'_> {
    /// What is out of place and what is still due, without regard to connections.
    pub(crate) fn left_to_do(&self, state: &State) -> u64 {
        let moves = match self.plant.goal {
            Goal::Ready => self.stops_due(state),
            Goal::Job => self.moves_due(state),
        };
        self.weights.price(moves, 0)
    }

    fn stops_due(&self, state: &State) -> u64 {
        let running = (0..self.plant.compressors.len()).filter(|&at| state.runs(self.plant, at)).count();
        running as u64 * self.plant.cost.stop
    }

    fn moves_due(&self, state: &State) -> u64 {
        let (plant, cost) = (self.plant, &self.plant.cost);
        let mut moves = 0;
        for (at, valve) in plant.valves.iter().enumerate() {
            moves += valve.cost * distance(state.position(at), valve.normal, valve.three);
        }
        let air = (0u32..).take(plant.cells.len()).any(|cell| state.content(plant, cell) == Content::Air);
        let evacuates = !state.work_done() || air;
        for (at, compressor) in plant.compressors.iter().enumerate() {
            let runs = state.runs(plant, at);
            moves += match (runs, compressor.normal) {
                (true, true) if evacuates => cost.stop + cost.start,
                (true, false) => cost.stop,
                (false, true) => cost.start,
                _ => 0,
            };
        }
        let attached = [0, 1].map(|slot| state.hose(slot).is_some());
        moves += cost.detach * attached.iter().filter(|on| **on).count() as u64;
        if evacuates {
            let ready = match plant.machinery.rigging {
                Rigging::Separate => attached[1],
                Rigging::Manifold => attached[0] || attached[1],
            };
            moves += cost.evacuate + if ready { 0 } else { cost.attach + cost.detach };
        }
        moves + if state.work_done() { 0 } else { cost.work }
    }

    /// The full bound; none where the component can't be cut off and emptied at all.
    pub(crate) fn isolation_bound(&self, state: &State) -> Option<u64> {
        let base = self.left_to_do(state);
        let air = |cell| state.content(self.plant, cell) == Content::Air;
        if state.work_done() && !(0u32..).take(self.plant.cells.len()).any(air) {
            return Some(base);
        }
        let liquid = self.too_much(state);
        let grams = liquid.map_or(0, |found| found.grams);
        let machinery = &self.plant.machinery;
        if grams > 0 && (!machinery.recovery || state.cylinder() + grams > machinery.cylinder_room) {
            return None;
        }
        if grams > 0 {
            return self.cut_bound(state, base, liquid).map(|bound| bound + self.weights.price(0, grams));
        }
        let bound = self.cut_bound(state, base, None)?;
        let Some(TooMuch { slack, .. }) = liquid else { return Some(bound) };
        // What would be dry is paid only as far as there is no other room.
        let other = self.cut_bound(state, base, liquid)?.saturating_sub(self.weights.price(0, slack));
        Some(bound.max(other))
    }

    /// The bound by the cuts, on top of what is out of place.
    fn cut_bound(&self, state: &State, base: u64, liquid: Option<TooMuch<'_>>) -> Option<u64> {
        let mut cuts = self.bounds.cuts.borrow_mut();
        let cuts = &mut *cuts;
        self.price_valves(state, &mut cuts.network);
        let floor = self.common_cut(state, cuts);
        let (mut pumped, mut others) = self.drains(state);
        if liquid.is_some_and(|liquid| liquid.grams > 0) {
            // It is recovered, whatever empties the component.
            let recover = self.weights.price(self.plant.cost.recover, 0);
            let without = |way: &&mut (Drain, u64)| !matches!(way.0, Drain::Recovery | Drain::Both);
            pumped.iter_mut().chain(&mut others).filter(without).for_each(|way| way.1 += recover);
        }
        let alone = self.emptied_alone(state).is_some();
        let both: Priced =
            others.iter().copied().filter(|way| alone && matches!(way.0, Drain::Both)).collect();
        let (mut best, mut after_recovery) = (INFINITE, INFINITE);
        for pump in self.emptying(state) {
            cuts.network.go_back(&cuts.common);
            let apart = pump.map_or(0, |pump| self.cut_for_pumping(state, cuts, pump, liquid));
            cuts.network.keep(&mut cuts.beside);
            best = self.cheapest_way(state, cuts, floor + apart, (&pumped, None, Some(true)), best);
            // The component by a compressor at last, others by recovery.
            after_recovery =
                self.cheapest_way(state, cuts, floor + apart, (&both, None, Some(true)), after_recovery);
        }
        // Recovery last: its ports take the longest, and pumping often costs less.
        cuts.network.go_back(&cuts.common);
        cuts.network.keep(&mut cuts.beside);
        if after_recovery < best {
            // What a way that leaves open how the component is emptied costs at least, this one does too.
            let other = self.cheapest_way(state, cuts, floor, (&both, None, None), best);
            best = best.min(after_recovery.max(other));
        }
        let by_recovery = alone.then_some(false);
        best = self.cheapest_way(state, cuts, floor, (&others, liquid, by_recovery), best);
        (best < INFINITE).then(|| base + best)
    }

    /// The cheapest of some ways of draining on top of what they have in common, or what was cheapest before.
    fn cheapest_way(
        &self,
        state: &State,
        cuts: &mut Cuts,
        floor: u64,
        (ways, liquid, pumped): (&[(Drain, u64)], Option<TooMuch<'_>>, Option<bool>),
        before: u64,
    ) -> u64 {
        ways.iter().fold(before, |best, &(drain, fixed)| {
            let least = fixed.saturating_add(floor);
            if least >= best {
                return best;
            }
            best.min(least.saturating_add(self.rest_of_cut(
                state,
                cuts,
                Way { drain, liquid, pumped },
                best - least,
            )))
        })
    }

    /// Which compressors may empty the component; none by name where it need not be emptied.
    fn emptying(&self, state: &State) -> Vec<Option<usize>> {
        let plant = self.plant;
        if state.work_done()
            || !plant.component.iter().any(|&cell| state.content(plant, cell) == Content::Pressure)
        {
            return vec![None];
        }
        let all = plant.compressors.iter().enumerate();
        all.filter(|(at, found)| found.startable || state.runs(plant, *at)).map(|(at, _)| Some(at)).collect()
    }

    /// The cut between what a compressor empties, one cell of the component that is under pressure among it, and its discharge side, as far as
    /// the first flow leaves room; then narrows the first network by it.
    fn cut_for_pumping(
        &self,
        state: &State,
        cuts: &mut Cuts,
        compressor: usize,
        liquid: Option<TooMuch<'_>>,
    ) -> u64 {
        let Cuts { network, pumping, .. } = cuts;
        for &edge in &self.bounds.valve_edges {
            let left = network.spare(edge);
            pumping.set(edge, left, left);
        }
        for &edge in &self.bounds.passed_edges {
            pumping.set(edge, 0, 0);
        }
        let mut first = true;
        let component = self.plant.component.iter().zip(&self.bounds.passed);
        for ((&cell, passed), &edge) in component.zip(&self.bounds.component_edges) {
            let chosen = first && state.content(self.plant, cell) == Content::Pressure;
            first &= !chosen;
            pumping.set(edge, if chosen { INFINITE } else { 0 }, 0);
            for &on_the_way in passed.get(compressor).into_iter().flatten().filter(|_| chosen) {
                if let Some(&edge) = self.bounds.passed_edges.get(on_the_way as usize) {
                    pumping.set(edge, INFINITE, 0);
                }
            }
        }
        for (at, &(suction, discharge)) in self.bounds.compressor_edges.iter().enumerate() {
            let price = if at == compressor { INFINITE } else { 0 };
            pumping.set(suction, price, 0);
            pumping.set(discharge, price, 0);
        }
        // What is emptied with the component stays so, as only the component could bring more there.
        let alone = self.plant.component.len() == 1;
        for (cell, &edge) in self.bounds.dry_edges.iter().enumerate() {
            let dry = liquid.filter(|_| alone).map_or(0, |liquid| liquid.holding.low(cell));
            pumping.set(edge, self.weights.price(0, dry), 0);
        }
        pumping.reset();
        let cut = pumping.flow(self.bounds.source, self.bounds.sink, INFINITE);
        for &edge in &self.bounds.valve_edges {
            network.narrow(edge, pumping.through(edge));
        }
        cut
    }

    /// The ways of draining without recovery by a compressor, and the others, each with what it costs besides the cut.
    fn drains(&self, state: &State) -> (Priced, Priced) {
        let (plant, cost) = (self.plant, &self.plant.cost);
        let mut pumped = Vec::new();
        let mut others = vec![(Drain::None, 0)];
        let mut cheapest_start = None;
        for (at, compressor) in plant.compressors.iter().enumerate() {
            let runs = state.runs(plant, at);
            if !runs && !compressor.startable {
                continue;
            }
            let fixed = self.weights.price(if runs { 0 } else { cost.start + cost.stop }, 0);
            cheapest_start = Some(cheapest_start.map_or(fixed, |best: u64| best.min(fixed)));
            if state.work_done() {
                pumped.push((Drain::Again, fixed));
                continue;
            }
            if plant.goal == Goal::Job {
                pumped.push((Drain::Again, fixed + self.weights.price(cost.start + cost.stop, 0)));
            }
            for (cell, _) in (0u32..).zip(&plant.cells).filter(|(_, found)| found.sink) {
                pumped.push((Drain::Compressor { head: compressor.to, sink: cell }, fixed));
            }
        }
        if plant.machinery.recovery {
            let ready = match plant.machinery.rigging {
                // The hose for evacuating serves for recovering too.
                Rigging::Manifold => plant.goal == Goal::Job || state.any_attached(),
                Rigging::Separate => state.hose(0).is_some(),
            };
            let detach = if plant.goal == Goal::Job { cost.detach } else { 0 };
            let moves = cost.recover + if ready { 0 } else { cost.attach + detach };
            let fixed = self.weights.price(moves, 0);
            others.push((Drain::Recovery, fixed));
            if let Some(start) = cheapest_start {
                others.push((Drain::Both, fixed + start));
            }
        }
        (pumped, others)
    }

    /// What each valve costs to shut and put back, beyond what putting it back from where it stands costs.
    fn price_valves(&self, state: &State, network: &mut Network) {
        for ((at, valve), &edge) in self.plant.valves.iter().enumerate().zip(&self.bounds.valve_edges) {
            let now = state.position(at);
            let shut = Position::ShutOrFront;
            let price = if !valve.movable {
                if now.joins() { INFINITE } else { 0 }
            } else {
                let there = distance(now, shut, valve.three);
                let moves = match self.plant.goal {
                    Goal::Ready => there,
                    Goal::Job => (there + distance(shut, valve.normal, valve.three))
                        .saturating_sub(distance(now, valve.normal, valve.three)),
                };
                self.weights.price(valve.cost * moves, 0)
            };
            network.set(edge, price, price);
        }
    }

    /// The cut by what every way of draining has to pay for the cells of the region: what stays in them is lost.
    fn common_cut(&self, state: &State, cuts: &mut Cuts) -> u64 {
        let network = &mut cuts.network;
        for ((cell, sums), &edge) in (0u32..).zip(&self.plant.cells).zip(&self.bounds.sink_edges) {
            let refrigerant =
                matches!(state.content(self.plant, cell), Content::Residual | Content::Pressure);
            let kept = if refrigerant && self.plant.goal == Goal::Job { sums.residual } else { 0 };
            network.set(edge, self.weights.price(0, kept), 0);
        }
        for (cell, &edge) in (0u32..).zip(&self.bounds.source_edges) {
            let worked_on = !state.work_done() && self.plant.component.contains(&cell);
            let air = self.plant.goal == Goal::Job && state.content(self.plant, cell) == Content::Air;
            network.set(edge, if worked_on || air { INFINITE } else { 0 }, 0);
        }
        network.reset();
        let floor = network.flow(self.bounds.source, self.bounds.sink, INFINITE);
        network.keep(&mut cuts.common);
        floor
    }

    /// What one way of draining adds to the cut, up to `enough`.
    fn rest_of_cut(&self, state: &State, cuts: &mut Cuts, way: Way<'_>, enough: u64) -> u64 {
        let drain = way.drain;
        cuts.network.go_back(&cuts.beside);
        self.open_sinks(state, &mut cuts.network, way);
        let cut = cuts.network.flow(self.bounds.source, self.bounds.sink, enough);
        if cut >= enough {
            return cut;
        }
        self.liquid_is_paid(state, &mut cuts.network, way);
        let recovers = matches!(drain, Drain::Recovery | Drain::Both);
        let emptied = match drain {
            Drain::Recovery => self.recovered(state, false),
            Drain::Both => self.recovered(state, true),
            _ => None,
        };
        cut + self.ports_extra(state, cuts, way, recovers.then_some(emptied), enough - cut)
    }

    /// Lets what one way of draining has to pay for the cells pass.
    fn open_sinks(&self, state: &State, network: &mut Network, way: Way<'_>) {
        for (cell, &edge) in (0u32..).zip(&self.bounds.sink_edges) {
            let dry = way.liquid.map_or(0, |liquid| liquid.holding.holds(cell));
            network.widen(edge, self.drained(state, way, cell) + self.weights.price(0, dry));
        }
    }

    /// What a cell that is emptied at another time than the work would hold is not paid for.
    fn liquid_is_paid(&self, state: &State, network: &mut Network, way: Way<'_>) {
        if way.liquid.is_none() {
            return;
        }
        for (cell, &edge) in (0u32..).zip(&self.bounds.sink_edges) {
            let most = network.full(edge).saturating_add(self.drained(state, way, cell));
            network.at_most(edge, most);
        }
    }

    /// What one way of draining has to pay for getting the pressure out of a cell.
    fn drained(&self, state: &State, way: Way<'_>, cell: u32) -> u64 {
        let drain = way.drain;
        if let Drain::Compressor { head, sink } = drain
            && (cell == head || cell == sink)
        {
            return INFINITE;
        }
        let at = cell as usize;
        let (Some(sums), Some(&kept)) = (self.plant.cells.get(at), self.bounds.kept_full.get(at)) else {
            return 0;
        };
        if state.content(self.plant, cell) != Content::Pressure {
            return 0;
        }
        match drain {
            Drain::None => INFINITE,
            Drain::Compressor { .. } | Drain::Again if kept => INFINITE,
            Drain::Both
                if !kept && (way.pumped != Some(false) || self.emptied_alone(state) != Some(cell)) =>
            {
                0
            }
            Drain::Recovery | Drain::Both => self.weights.price(0, sums.vapour.saturating_sub(sums.residual)),
            Drain::Compressor { .. } | Drain::Again => 0,
        }
    }

    /// The component, where it is one cell under pressure.
    fn emptied_alone(&self, state: &State) -> Option<u32> {
        let [cell] = *self.plant.component.as_slice() else { return None };
        let due = !state.work_done() && state.content(self.plant, cell) == Content::Pressure;
        due.then_some(cell)
    }

    /// A cell that has to be recovered from before it is opened, and whether the compressor may have emptied others before.
    fn recovered(&self, state: &State, pumped: bool) -> Option<Recovered> {
        let plant = self.plant;
        let kept = |cell: u32| self.bounds.kept_full.get(cell as usize).is_some_and(|kept| *kept);
        let due =
            |cell: &&u32| state.content(plant, **cell) == Content::Pressure && (!pumped || kept(**cell));
        let cell = *plant.component.iter().find(due).filter(|_| !state.work_done())?;
        Some(Recovered { cell, pumped })
    }

    /// For each cell the least sum of weights on a way to it from another.
    fn ways_from(&self, from: u32, weight: impl Fn(u32) -> u64) -> Vec<u64> {
        let mut least = vec![INFINITE; self.plant.cells.len()];
        let mut open = BinaryHeap::new();
        open.push((Reverse(0), from));
        while let Some((Reverse(sum), cell)) = open.pop() {
            match least.get_mut(cell as usize) {
                Some(slot) if sum < *slot => *slot = sum,
                _ => continue,
            }
            for &next in self.bounds.leads.get(cell as usize).into_iter().flatten() {
                let there = sum.saturating_add(weight(next));
                if least.get(next as usize).is_some_and(|known| there < *known) {
                    open.push((Reverse(there), next));
                }
            }
        }
        least
    }

    /// For each cell, what it takes at least to recover from a cell through a port there: until then it is under pressure, and so is
    /// everything on the way to the port; all of it is recovered.
    fn recovering(&self, state: &State, network: &Network, what: Option<Recovered>) -> Option<Vec<u64>> {
        let Recovered { cell, pumped } = what?;
        let plant = self.plant;
        Some(self.ways_from(cell, |cell| {
            let at = cell as usize;
            let taken_out = plant.cells.get(at).map_or(0, |sums| sums.vapour.saturating_sub(sums.residual));
            let price = self.weights.price(0, taken_out);
            let kept = !pumped || self.bounds.kept_full.get(at).is_some_and(|kept| *kept);
            let priced = kept && state.content(plant, cell) == Content::Pressure;
            if priced { price.min(self.free(network, cell)) } else { price }
        }))
    }

    /// What the cut has not paid for a cell.
    fn free(&self, network: &Network, cell: u32) -> u64 {
        self.bounds.sink_edges.get(cell as usize).map_or(0, |&edge| network.room(edge))
    }

    /// For each cell, what it takes at least to evacuate through a port there: everything on the way from what is full of air is emptied.
    /// Through one port, or through another besides.
    fn evacuating(&self, state: &State, network: &Network, recovery: Option<usize>) -> Vec<u64> {
        let (plant, cost) = (self.plant, &self.plant.cost);
        let air = |cell: &u32| state.content(plant, *cell) == Content::Air;
        let opened = plant.component.iter().copied().filter(|cell| !state.work_done() || air(cell));
        let mut all: Vec<u32> = opened.collect();
        if all.is_empty() {
            all.extend((0u32..).take(plant.cells.len()).find(air));
        }
        let goes: Vec<Vec<u64>> =
            all.iter().map(|&cell| self.ways_from(cell, |cell| self.free(network, cell))).collect();
        let [first, others @ ..] = goes.as_slice() else { return vec![0; plant.cells.len()] };
        if others.is_empty() {
            return first.clone();
        }
        // The other port, for what this one does not reach.
        // Where something is on already, what a port costs has its hose in it.
        let on = match plant.machinery.rigging {
            Rigging::Separate => state.hose(1).is_some(),
            Rigging::Manifold => state.any_attached(),
        };
        let hose = if on { 0 } else { cost.attach + cost.detach };
        let again = self.weights.price(cost.evacuate + hose, 0);
        let port = |port: usize| match recovery {
            Some(taken) if taken == port => self.second_session(state, port),
            _ => self.hose(state, network, port),
        };
        let ports: Vec<(usize, u64)> = self.useful_ports().map(|at| (at, port(at))).collect();
        let nearest = |ways: &Vec<u64>| {
            let all = ports.iter().map(|&(port, price)| price.saturating_add(self.way_to(port, Some(ways))));
            all.min().unwrap_or(INFINITE)
        };
        let alone: Vec<u64> = goes.iter().map(nearest).collect();
        let each = |cell: usize| {
            let way = |ways: &Vec<u64>| ways.get(cell).copied().unwrap_or(0);
            let most = goes.iter().map(way).max().unwrap_or(0);
            // One part through this port, another through its own.
            let parts = |(at, ways): (usize, &Vec<u64>)| {
                let rest = alone.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, rest)| *rest);
                way(ways).saturating_add(rest.min().unwrap_or(INFINITE))
            };
            let least = goes.iter().enumerate().map(parts).min().unwrap_or(INFINITE);
            most.min(least.saturating_add(again))
        };
        (0..plant.cells.len()).map(each).collect()
    }
}
