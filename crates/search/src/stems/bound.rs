//! Lower bounds: what is out of place, and what it takes at least to cut the component off and empty it.
//!
//! At the moment of the work the opened region is bounded by shut valves, each of which must be shut and put back. So the cheapest cut
//! between the component and where the charge stays is a lower bound. It is taken over the ways of getting rid of the pressure (none
//! needed, a compressor into a sink, recovery, both), since each way leaves other cells outside or other grams to pay, and over the ports
//! through which the region can be evacuated afterwards.

use std::cell::RefCell;

use super::Planner;
use super::plant::{Content, Goal, Plant, PortAt, Position, Rigging};
use super::state::State;
use crate::cut::{INFINITE, Network};

/// The network of cells: one edge a valve, one from each cell to the sink.
#[derive(Debug)]
pub(crate) struct Bounds {
    network: RefCell<Network>,
    valve_edges: Vec<usize>,
    sink_edges: Vec<usize>,
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
        Self { network: RefCell::new(network), valve_edges, sink_edges, source, sink }
    }
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
            moves += valve.cost * distance(state.position(plant, at), valve.normal, valve.three);
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
        self.price_valves(state);
        let mut best = INFINITE;
        for (drain, fixed) in self.drains(state) {
            if fixed < best {
                best = best.min(fixed.saturating_add(self.cheapest_cut(state, drain, best - fixed)));
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
    fn price_valves(&self, state: &State) {
        let mut network = self.bounds.network.borrow_mut();
        for ((at, valve), &edge) in self.plant.valves.iter().enumerate().zip(&self.bounds.valve_edges) {
            let now = state.position(self.plant, at);
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

    fn cheapest_cut(&self, state: &State, drain: Drain, enough: u64) -> u64 {
        let mut network = self.bounds.network.borrow_mut();
        for (cell, &edge) in (0u32..).zip(&self.bounds.sink_edges) {
            network.set(edge, self.inside(state, drain, cell), 0);
        }
        network.reset();
        let cut = network.flow(self.bounds.source, self.bounds.sink, enough);
        if cut >= enough || self.plant.goal == Goal::Ready {
            return cut;
        }
        cut + self.evacuation_extra(state, &mut network, enough - cut)
    }

    /// What a cell costs when it lies in the opened region.
    fn inside(&self, state: &State, drain: Drain, cell: u32) -> u64 {
        let Some(sums) = self.plant.cells.get(cell as usize) else { return 0 };
        let content = state.content(self.plant, cell);
        let kept = if self.plant.goal == Goal::Job { sums.residual } else { 0 };
        let taken_out = sums.vapour.saturating_sub(sums.residual) + kept;
        let grams = match (drain, content) {
            (Drain::Compressor { head, sink }, _) if cell == head || cell == sink => return INFINITE,
            (_, Content::Nothing | Content::Air) => 0,
            (_, Content::Residual) => kept,
            (Drain::None, Content::Pressure) => return INFINITE,
            (Drain::Recovery, Content::Pressure) => taken_out,
            (Drain::Both, Content::Pressure) if self.only_head() == Some(cell) => taken_out,
            (_, Content::Pressure) => kept,
        };
        self.weights.price(0, grams)
    }

    /// With one compressor its head is under pressure after every pumping.
    fn only_head(&self) -> Option<u32> {
        match self.plant.compressors.as_slice() {
            [only] => Some(only.to),
            _ => None,
        }
    }

    /// What it costs more to have a port in the region, or a one-way joint out of it, or to evacuate something else as well.
    fn evacuation_extra(&self, state: &State, network: &mut Network, enough: u64) -> u64 {
        let plant = self.plant;
        let ports = plant.port_cells.iter().map(|port| match *port {
            PortAt::Core { cell } => cell,
            PortAt::Valve { stays, .. } => stays,
        });
        let doors: Vec<u32> = ports.chain(plant.ways.iter().map(|way| way.from)).collect();
        let region = network.cannot_reach(self.bounds.sink);
        if doors.iter().any(|&cell| region.get(cell as usize).copied().unwrap_or(false)) {
            return 0;
        }
        let emptied = |cell| matches!(state.content(plant, cell), Content::Nothing | Content::Air);
        let elsewhere = (0u32..).take(plant.cells.len()).any(emptied);
        let mut best = enough.min(if elsewhere { 0 } else { self.weights.price(plant.cost.evacuate, 0) });
        for cell in doors {
            if best == 0 {
                break;
            }
            let mut trial = network.clone();
            best = best.min(trial.flow(cell, self.bounds.sink, best));
        }
        best
    }
}
