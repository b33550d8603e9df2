//! Lower bounds: what is out of place, and what it takes at least to cut the component off and empty it.
//!
//! At the moment of the work the opened region is bounded by shut valves, each of which must be shut and put back. So the cheapest cut
//! between the component and where the charge stays is a lower bound. It is taken over the ways of getting rid of the pressure (none
//! needed, a compressor into a sink, recovery, both), since each way leaves other cells outside or other grams to pay, and over the ports
//! through which the region can be evacuated afterwards.

use std::cell::RefCell;

use super::Planner;
use super::plant::{Cell, Content, Goal, Plant, PortAt, Position, Rigging};
use super::state::State;
use crate::cut::{Flow, INFINITE, Network};

/// The network of cells: one edge a valve, one from each cell to the sink.
#[derive(Debug)]
pub(crate) struct Bounds {
    cuts: RefCell<Cuts>,
    valve_edges: Vec<usize>,
    sink_edges: Vec<usize>,
    /// The cells of ports, and those out of which one-way joints lead, each once.
    doors: Vec<u32>,
    source: u32,
    sink: u32,
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
        let ports = plant.port_cells.iter().map(|port| match *port {
            PortAt::Core { cell } => cell,
            PortAt::Valve { stays, .. } => stays,
        });
        let mut doors: Vec<u32> = ports.chain(plant.ways.iter().map(|way| way.from)).collect();
        doors.sort_unstable();
        doors.dedup();
        let cuts = RefCell::new(Cuts { network, ..Cuts::default() });
        Self { cuts, valve_edges, sink_edges, doors, source, sink }
    }
}

/// The network with flows to come back to.
#[derive(Debug, Default)]
struct Cuts {
    network: Network,
    /// The flow that every way of draining has in common.
    common: Flow,
    /// A way's own flow.
    own: Flow,
    region: Vec<bool>,
}

const fn distance(from: Position, to: Position, three: bool) -> u64 {
    let steps = (from as u64).abs_diff(to as u64);
    if three { steps } else { steps / 2 }
}

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
        let mut best = INFINITE;
        for (drain, fixed) in self.drains(state) {
            let least = fixed.saturating_add(floor);
            if least < best {
                best = best.min(least.saturating_add(self.rest_of_cut(state, cuts, drain, best - least)));
            }
        }
        (best < INFINITE).then(|| base + best)
    }

    /// The ways of draining, each with what it costs besides the cut, cheapest kinds first.
    fn drains(&self, state: &State) -> Vec<(Drain, u64)> {
        let (plant, cost) = (self.plant, &self.plant.cost);
        let mut drains = vec![(Drain::None, 0)];
        let mut cheapest_start = None;
        for (at, compressor) in plant.compressors.iter().enumerate() {
            let runs = state.runs(plant, at);
            if !runs && !compressor.startable {
                continue;
            }
            let fixed = self.weights.price(if runs { 0 } else { cost.start + cost.stop }, 0);
            cheapest_start = Some(cheapest_start.map_or(fixed, |best: u64| best.min(fixed)));
            for (cell, _) in (0u32..).zip(&plant.cells).filter(|(_, found)| found.sink) {
                drains.push((Drain::Compressor { head: compressor.to, sink: cell }, fixed));
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
            drains.push((Drain::Recovery, fixed));
            if let Some(start) = cheapest_start {
                drains.push((Drain::Both, fixed + start));
            }
        }
        drains
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
        cuts.network.go_back(&cuts.common);
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

    /// What it costs more to have a port in the region, or a one-way joint out of it, or to evacuate something else as well.
    fn evacuation_extra(&self, state: &State, cuts: &mut Cuts, enough: u64) -> u64 {
        let plant = self.plant;
        let sink = self.bounds.sink;
        let Cuts { network, own, region, .. } = cuts;
        network.cannot_reach(sink, region);
        let inside = |&cell: &u32| region.get(cell as usize).copied().unwrap_or(false);
        if self.bounds.doors.iter().any(inside) {
            return 0;
        }
        let emptied = |cell| matches!(state.content(plant, cell), Content::Nothing | Content::Air);
        let elsewhere = (0u32..).take(plant.cells.len()).any(emptied);
        let mut best = enough.min(if elsewhere { 0 } else { self.weights.price(plant.cost.evacuate, 0) });
        network.keep(own);
        for &cell in &self.bounds.doors {
            if best == 0 {
                break;
            }
            network.go_back(own);
            best = best.min(network.flow(cell, sink, best));
        }
        best
    }
}
