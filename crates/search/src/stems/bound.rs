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

use std::cell::RefCell;

use super::Planner;
use super::plant::{Cell, CompressorAt, Content, Goal, Plant, PortAt, Position, Rigging};
use super::state::State;
use crate::cut::{Flow, INFINITE, Network};

/// The network of cells: one edge a valve, one from each cell to the sink.
#[derive(Debug)]
pub(crate) struct Bounds {
    cuts: RefCell<Cuts>,
    valve_edges: Vec<usize>,
    sink_edges: Vec<usize>,
    /// For each port, the cell that it stays with.
    port_cells: Vec<u32>,
    has_core: bool,
    source: u32,
    sink: u32,
    /// In the network of pumping: for each cell of the component an edge from the source, for each compressor one to its suction side and one
    /// from its discharge side to the sink.
    component_edges: Vec<usize>,
    compressor_edges: Vec<(usize, usize)>,
}

impl Bounds {
    pub(crate) fn new(plant: &Plant) -> Self {
        let cells = u32::try_from(plant.cells.len()).unwrap_or(u32::MAX);
        let (source, sink) = (cells, cells + 1);
        let mut network = Network::new(plant.cells.len() + 2);
        let valve_edges = plant.valves.iter().map(|valve| network.join(valve.a, valve.b, 0, 0)).collect();
        let sink_edges = (0..cells).map(|cell| network.join(cell, sink, 0, 0)).collect();
        for &cell in &plant.component {
            network.join(source, cell, INFINITE, 0);
        }
        let port_cells = plant.port_cells.iter().map(|port| match *port {
            PortAt::Core { cell } => cell,
            PortAt::Valve { stays, .. } => stays,
        });
        let has_core = plant.port_cells.iter().any(|port| matches!(port, PortAt::Core { .. }));
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
        let port_cells = port_cells.collect();
        let cuts = RefCell::new(Cuts { network, pumping, ..Cuts::default() });
        Self {
            cuts,
            valve_edges,
            sink_edges,
            port_cells,
            has_core,
            source,
            sink,
            component_edges,
            compressor_edges,
        }
    }
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
    /// Recovery.
    Recovery,
    /// Both.
    Both,
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
        if self.plant.goal == Goal::Job && state.work_done() {
            return Some(base);
        }
        let mut cuts = self.bounds.cuts.borrow_mut();
        let cuts = &mut *cuts;
        self.price_valves(state, &mut cuts.network);
        let floor = self.common_cut(state, cuts);
        let (pumped, others) = self.drains(state);
        cuts.network.keep(&mut cuts.beside);
        let mut best = self.cheapest_way(state, cuts, floor, &others, INFINITE);
        for pump in self.emptying(state) {
            cuts.network.go_back(&cuts.common);
            let apart = pump.map_or(0, |pump| self.cut_for_pumping(state, cuts, pump));
            cuts.network.keep(&mut cuts.beside);
            best = self.cheapest_way(state, cuts, floor + apart, &pumped, best);
        }
        (best < INFINITE).then(|| base + best)
    }

    /// The cheapest of some ways of draining on top of what they have in common, or what was cheapest before.
    fn cheapest_way(
        &self,
        state: &State,
        cuts: &mut Cuts,
        floor: u64,
        ways: &[(Drain, u64)],
        before: u64,
    ) -> u64 {
        ways.iter().fold(before, |best, &(drain, fixed)| {
            let least = fixed.saturating_add(floor);
            if least >= best {
                return best;
            }
            best.min(least.saturating_add(self.rest_of_cut(state, cuts, drain, best - least)))
        })
    }

    /// Which compressors may empty the component; none by name where it need not be emptied.
    fn emptying(&self, state: &State) -> Vec<Option<usize>> {
        let plant = self.plant;
        if !plant.component.iter().any(|&cell| state.content(plant, cell) == Content::Pressure) {
            return vec![None];
        }
        let all = plant.compressors.iter().enumerate();
        all.filter(|(at, found)| found.startable || state.runs(plant, *at)).map(|(at, _)| Some(at)).collect()
    }

    /// The cut between what a compressor empties, one cell of the component that is under pressure among it, and its discharge side, as far as
    /// the first flow leaves room; then narrows the first network by it.
    fn cut_for_pumping(&self, state: &State, cuts: &mut Cuts, compressor: usize) -> u64 {
        let Cuts { network, pumping, .. } = cuts;
        for &edge in &self.bounds.valve_edges {
            let left = network.spare(edge);
            pumping.set(edge, left, left);
        }
        let mut first = true;
        for (&cell, &edge) in self.plant.component.iter().zip(&self.bounds.component_edges) {
            let chosen = first && state.content(self.plant, cell) == Content::Pressure;
            first &= !chosen;
            pumping.set(edge, if chosen { INFINITE } else { 0 }, 0);
        }
        for (at, &(suction, discharge)) in self.bounds.compressor_edges.iter().enumerate() {
            let price = if at == compressor { INFINITE } else { 0 };
            pumping.set(suction, price, 0);
            pumping.set(discharge, price, 0);
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
        network.reset();
        let floor = network.flow(self.bounds.source, self.bounds.sink, INFINITE);
        network.keep(&mut cuts.common);
        floor
    }

    /// What one way of draining adds to the cut, up to `enough`.
    fn rest_of_cut(&self, state: &State, cuts: &mut Cuts, drain: Drain, enough: u64) -> u64 {
        cuts.network.go_back(&cuts.beside);
        let plant = self.plant;
        let mut add = |cell: u32, price: u64| {
            if let Some(&edge) = self.bounds.sink_edges.get(cell as usize) {
                cuts.network.widen(edge, price);
            }
        };
        let pressure = |cell: u32| state.content(plant, cell) == Content::Pressure;
        let taken_out = |sums: &Cell| self.weights.price(0, sums.vapour.saturating_sub(sums.residual));
        match drain {
            Drain::Compressor { head, sink } => [head, sink].into_iter().for_each(|cell| add(cell, INFINITE)),
            Drain::Both => {
                for cell in self.only_head().into_iter().filter(|&cell| pressure(cell)) {
                    add(cell, plant.cells.get(cell as usize).map_or(0, taken_out));
                }
            }
            Drain::None | Drain::Recovery => {
                for (cell, sums) in (0u32..).zip(&plant.cells).filter(|(cell, _)| pressure(*cell)) {
                    add(cell, if matches!(drain, Drain::None) { INFINITE } else { taken_out(sums) });
                }
            }
        }
        let cut = cuts.network.flow(self.bounds.source, self.bounds.sink, enough);
        if cut >= enough {
            return cut;
        }
        let recovers = matches!(drain, Drain::Recovery | Drain::Both);
        let cut = cut + if recovers { self.recovery_extra(state, &cuts.network) } else { 0 };
        if cut >= enough || plant.goal == Goal::Ready {
            return cut;
        }
        cut + self.evacuation_extra(state, cuts, enough - cut)
    }

    /// With one compressor its head is under pressure after every pumping.
    fn only_head(&self) -> Option<u32> {
        match self.plant.compressors.as_slice() {
            [only] => Some(only.to),
            _ => None,
        }
    }

    /// What a machine on this port makes its stem move, beyond what the valve's part in the cuts has paid for.
    fn session(&self, state: &State, network: &Network, port: usize) -> u64 {
        let Some(&PortAt::Valve { valve, .. }) = self.plant.port_cells.get(port) else { return 0 };
        let at = valve as usize;
        let (Some(valve), Some(&edge)) = (self.plant.valves.get(at), self.bounds.valve_edges.get(at)) else {
            return 0;
        };
        let back = Position::OpenOrBack;
        let (here, normal) = (state.position(at), valve.normal);
        let to_seat = distance(here, back, true);
        let moves = match self.plant.goal {
            // Nothing has to be taken off again.
            Goal::Ready => to_seat + 1,
            Goal::Job => {
                (to_seat + 2 + distance(back, normal, true)).saturating_sub(distance(here, normal, true))
            }
        };
        let price = self.weights.price(valve.cost * moves, 0);
        let spare = network.spare(edge);
        let paid = network.full(edge).saturating_sub(spare);
        price.saturating_sub(paid).max(price.min(spare))
    }

    fn cheapest_session(&self, state: &State, network: &Network) -> u64 {
        if self.bounds.has_core {
            return 0;
        }
        let all = 0..self.plant.port_cells.len();
        all.map(|port| self.session(state, network, port)).min().unwrap_or(0)
    }

    /// What it costs to get the recovery machine on, where the pump's hose doesn't serve for it.
    fn recovery_extra(&self, state: &State, network: &Network) -> u64 {
        let served = match self.plant.machinery.rigging {
            Rigging::Separate => state.hose(0).is_some(),
            Rigging::Manifold => self.plant.goal == Goal::Job || state.any_attached(),
        };
        if served { 0 } else { self.cheapest_session(state, network) }
    }

    /// What the hose on this port costs, for reading what is opened and evacuating it.
    fn hose(&self, state: &State, network: &Network, port: usize) -> u64 {
        let on = |slot| state.hose(slot).is_some_and(|on| on as usize == port);
        let cost = &self.plant.cost;
        match self.plant.machinery.rigging {
            Rigging::Separate if state.hose(1).is_some() => 0,
            Rigging::Separate => self.session(state, network, port),
            Rigging::Manifold if on(0) || on(1) => match self.plant.port_cells.get(port) {
                Some(PortAt::Valve { valve, .. })
                    if state.position(*valve as usize) == Position::OpenOrBack =>
                {
                    self.session(state, network, port)
                }
                _ => 0,
            },
            Rigging::Manifold => {
                // One hose is in the count of what is due; this would be another.
                let second = if state.any_attached() { cost.attach + cost.detach } else { 0 };
                self.weights.price(second, 0) + self.session(state, network, port)
            }
        }
    }

    /// What it costs more to have a hose on a port in the region; or, with a pump of its own, a one-way joint out of it, or to evacuate something
    /// else as well.
    fn evacuation_extra(&self, state: &State, cuts: &mut Cuts, enough: u64) -> u64 {
        let plant = self.plant;
        let sink = self.bounds.sink;
        let Cuts { network, own, region, .. } = cuts;
        network.cannot_reach(sink, region);
        let inside = |cell: u32| region.get(cell as usize).copied().unwrap_or(false);
        let separate = plant.machinery.rigging == Rigging::Separate;
        let ports = || self.bounds.port_cells.iter().copied().enumerate();
        let mut best = enough;
        for (port, _) in ports().filter(|(_, cell)| inside(*cell)) {
            best = best.min(self.hose(state, network, port));
        }
        let away = if separate { self.away_extra(state, network) } else { (INFINITE, INFINITE) };
        best = best.min(away.1);
        if plant.ways.iter().any(|way| inside(way.from)) {
            best = best.min(away.0);
        }
        network.keep(own);
        for (port, cell) in ports() {
            let hose = self.hose(state, network, port);
            if hose < best {
                best = best.min(hose + network.flow(cell, sink, best - hose));
                network.go_back(own);
            }
        }
        for way in &plant.ways {
            if away.0 < best {
                best = best.min(away.0 + network.flow(way.from, sink, best - away.0));
                network.go_back(own);
            }
        }
        best
    }

    /// What it costs to evacuate through a port elsewhere: downstream of the region; or after another place was evacuated.
    fn away_extra(&self, state: &State, network: &Network) -> (u64, u64) {
        let plant = self.plant;
        let emptied = |cell| matches!(state.content(plant, cell), Content::Nothing | Content::Air);
        let elsewhere = (0u32..).take(plant.cells.len()).any(emptied);
        let again = if elsewhere { 0 } else { self.weights.price(plant.cost.evacuate, 0) };
        let session = if state.hose(1).is_some() { 0 } else { self.cheapest_session(state, network) };
        (session, session + again)
    }
}
