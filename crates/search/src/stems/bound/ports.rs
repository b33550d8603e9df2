//! What the ports add to a bound: a recovery machine and a pump each need one, and the way there has to be emptied too.

use super::*;

/// So many pairs of ports are looked at closely.
const PAIRS: usize = 24;

/// What a machine on a port costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct OnPort {
    /// The two together.
    least: u64,
    /// Moves.
    price: u64,
    /// What is emptied on the way to it.
    way: u64,
    port: usize,
}

/// Where ports are looked for.
struct PortSearch<'c> {
    network: &'c mut Network,
    own: &'c mut Flow,
    region: &'c [bool],
    enough: u64,
    way: Way<'c>,
}

impl Planner<'_> {
    /// What a machine on this port makes its stem move, beyond what the valve's part in the cuts has paid for.
    fn session(&self, state: &State, network: &Network, port: usize) -> u64 {
        let price = self.whole_session(state, port);
        let Some(edge) = self.edge_of(port) else { return 0 };
        let spare = network.spare(edge);
        let paid = network.full(edge).saturating_sub(spare);
        price.saturating_sub(paid).max(price.min(spare))
    }

    /// What a machine on this port makes its stem move.
    fn whole_session(&self, state: &State, port: usize) -> u64 {
        let Some(&PortAt::Valve { valve, .. }) = self.plant.port_cells.get(port) else { return 0 };
        let at = valve as usize;
        let Some(valve) = self.plant.valves.get(at) else { return 0 };
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
        self.weights.price(valve.cost * moves, 0)
    }

    /// What a machine with a hose of its own costs on this port: moves of its stem, and others.
    fn separate(&self, state: &State, slot: usize, port: usize) -> (u64, u64) {
        let cost = &self.plant.cost;
        match state.hose(slot) {
            Some(on) if on as usize == port => match self.plant.port_cells.get(port) {
                Some(PortAt::Valve { valve, .. })
                    if state.position(*valve as usize) == Position::OpenOrBack =>
                {
                    (self.whole_session(state, port), 0)
                }
                _ => (0, 0),
            },
            Some(_) => (self.whole_session(state, port), self.weights.price(cost.attach + cost.detach, 0)),
            None => (self.whole_session(state, port), 0),
        }
    }

    /// The same beyond what the valve's part in the cuts has paid for.
    fn separate_beside(&self, state: &State, network: &Network, slot: usize, port: usize) -> u64 {
        match self.separate(state, slot, port) {
            (0, others) => others,
            (_, others) => others + self.session(state, network, port),
        }
    }

    /// What the hose on this port costs, for reading what is opened and evacuating it.
    pub(super) fn hose(&self, state: &State, network: &Network, port: usize) -> u64 {
        let on = |slot| state.hose(slot).is_some_and(|on| on as usize == port);
        let cost = &self.plant.cost;
        match self.plant.machinery.rigging {
            Rigging::Separate => self.separate_beside(state, network, 1, port),
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

    /// What the ports cost more than the cuts: one in what is evacuated, and one in what is recovered from.
    pub(super) fn ports_extra(
        &self,
        state: &State,
        cuts: &mut Cuts,
        way: Way<'_>,
        recovers: Option<Option<Recovered>>,
        enough: u64,
    ) -> u64 {
        let evacuates = self.plant.goal == Goal::Job;
        if !evacuates && recovers.is_none() {
            return 0;
        }
        let separate = self.plant.machinery.rigging == Rigging::Separate;
        let Cuts { network, own, region, .. } = cuts;
        network.cannot_reach(self.bounds.sink, region);
        let evacuating = evacuates.then(|| self.evacuating(state, network, None));
        let recovering = recovers.and_then(|what| self.recovering(state, network, what));
        let mut search = PortSearch { network, own, region, enough, way };
        match (evacuating, recovers) {
            (Some(vacuum), Some(what)) if separate => {
                self.two_ports(state, &mut search, what, (recovering.as_deref(), &vacuum))
            }
            (Some(vacuum), _) => {
                let price = |network: &Network, port| self.hose(state, network, port);
                self.one_port(&mut search, Some(&vacuum), price)
            }
            (None, _) if separate => {
                let price = |network: &Network, port| self.separate_beside(state, network, 0, port);
                self.one_port(&mut search, recovering.as_deref(), price)
            }
            (None, _) => {
                let price = |network: &Network, port| self.hose(state, network, port);
                self.one_port(&mut search, recovering.as_deref(), price)
            }
        }
    }

    /// The edge of the valve that a port is on.
    fn edge_of(&self, port: usize) -> Option<usize> {
        match self.plant.port_cells.get(port)? {
            PortAt::Valve { valve, .. } => self.bounds.valve_edges.get(*valve as usize).copied(),
            PortAt::Core { .. } | PortAt::Still => None,
        }
    }

    /// The ports that a plan may use.
    pub(super) fn useful_ports(&self) -> impl Iterator<Item = usize> {
        self.plant.useful.iter().map(|&port| port as usize)
    }

    /// What the way to a port takes, which its own side of the valve is always a part of.
    pub(super) fn way_to(&self, port: usize, ways: Option<&[u64]>) -> u64 {
        let cell = self.bounds.port_cells.get(port).map_or(0, |&cell| cell as usize);
        ways.map_or(0, |ways| ways.get(cell).copied().unwrap_or(0))
    }

    fn one_port(
        &self,
        search: &mut PortSearch<'_>,
        ways: Option<&[u64]>,
        price: impl Fn(&Network, usize) -> u64,
    ) -> u64 {
        let PortSearch { network, own, region, enough, .. } = search;
        let mut ports: Vec<(u64, usize, u32)> = Vec::new();
        for port in self.useful_ports() {
            let cell = self.bounds.port_cells.get(port).copied().unwrap_or(0);
            let least = price(network, port).saturating_add(self.way_to(port, ways));
            ports.push((least, port, cell));
        }
        ports.sort_unstable();
        network.keep(own);
        let mut best = *enough;
        for (least, port, cell) in ports {
            if least >= best {
                break;
            }
            let hose = price(network, port);
            let inside = region.get(cell as usize).copied().unwrap_or(false);
            let more = if inside {
                0
            } else {
                // What the stem is moved for is not paid again for shutting it.
                if let Some(edge) = self.edge_of(port) {
                    network.narrow(edge, hose);
                }
                let more = network.flow(cell, self.bounds.sink, best - hose);
                network.go_back(own);
                more
            };
            best = best.min((hose + more).max(least));
        }
        best
    }

    /// A recovery machine and a pump, each on a port: on different ones, or one after the other on the same. The cut is made anew for each
    /// pair: a stem that is moved for its port costs less to shut.
    fn two_ports(
        &self,
        state: &State,
        search: &mut PortSearch<'_>,
        what: Option<Recovered>,
        ways: (Option<&[u64]>, &[u64]),
    ) -> u64 {
        let PortSearch { network, enough, way: emptied, .. } = search;
        let (enough, emptied) = (*enough, *emptied);
        // For each machine its ports with the price of its own and the way there, the cheapest first.
        let priced = |slot, ways| {
            let mut ports: Vec<OnPort> = self
                .useful_ports()
                .map(|port| {
                    let price = self.separate_beside(state, network, slot, port);
                    let way = self.way_to(port, ways);
                    OnPort { least: price.saturating_add(way), price, way, port }
                })
                .filter(|on| on.least < enough)
                .collect();
            ports.sort_unstable();
            ports
        };
        let (recovery, vacuum) = (priced(0, ways.0), priced(1, Some(ways.1)));
        // The cheapest pairs, the dearest of them on top.
        let mut pairs = BinaryHeap::with_capacity(PAIRS + 1);
        let mut more = false;
        let beyond = |pairs: &BinaryHeap<(u64, usize, usize)>, least: u64| {
            pairs.len() == PAIRS && pairs.peek().is_some_and(|top| least >= top.0)
        };
        for one in &recovery {
            for other in &vacuum {
                if beyond(&pairs, one.least.max(other.least)) {
                    more = true;
                    break;
                }
                let second = if one.port == other.port {
                    self.second_session(state, one.port) + self.separate(state, 1, one.port).1
                } else {
                    other.price
                };
                let least = (one.price + second).saturating_add(one.way.max(other.way));
                if least >= enough {
                    continue;
                }
                pairs.push((least, one.port, other.port));
                if pairs.len() > PAIRS {
                    more = true;
                    pairs.pop();
                }
            }
        }
        let pairs = pairs.into_sorted_vec();
        // Those that are not looked at come to no less than the last that is.
        let unseen = pairs.last().filter(|_| more).map_or(enough, |last| last.0);
        let paid: u64 = self.bounds.source_edges.iter().map(|&edge| network.passed(edge)).sum();
        let mut best = enough;
        for (least, one, other) in pairs {
            if least >= best {
                break;
            }
            if emptied.pumped == Some(true) {
                // The cut made anew would pay what the cut for pumping has paid once more.
                best = least;
                break;
            }
            let whole = self.pair(state, network, emptied, what, (one, other), paid.saturating_add(best));
            best = best.min(least.max(whole.saturating_sub(paid)));
        }
        best.min(unseen)
    }

    /// The cut and the moves for a recovery machine on one port and a pump on another, or the same.
    fn pair(
        &self,
        state: &State,
        network: &mut Network,
        emptied: Way<'_>,
        what: Option<Recovered>,
        (one, other): (usize, usize),
        enough: u64,
    ) -> u64 {
        let sink = self.bounds.sink;
        network.reset();
        self.open_sinks(state, network, emptied);
        let mut sum = 0;
        for (slot, port) in [(0, one), (1, other)] {
            let (session, others) = self.separate(state, slot, port);
            if slot == 1 && one == other && session > 0 {
                sum += self.second_session(state, port) + others;
                continue;
            }
            if let Some(edge) = self.edge_of(port) {
                network.narrow(edge, session);
            }
            sum += session + others;
        }
        sum += network.flow(self.bounds.source, sink, enough.saturating_sub(sum));
        self.liquid_is_paid(state, network, emptied);
        for port in [one, other] {
            if let Some(&cell) = self.bounds.port_cells.get(port) {
                sum += network.flow(cell, sink, enough.saturating_sub(sum));
            }
        }
        if sum >= enough {
            return sum;
        }
        let recovering = self.recovering(state, network, what);
        let evacuating = self.evacuating(state, network, Some(one));
        let way = self.way_to(one, recovering.as_deref()).max(self.way_to(other, Some(&evacuating)));
        let joined = if one == other {
            self.joined_between(state, network, emptied, what, one, enough - sum)
        } else {
            0
        };
        sum.saturating_add(way.max(joined))
    }

    /// Between the two machines the stem is on its back seat: then what the valve leads to is emptied too.
    fn joined_between(
        &self,
        state: &State,
        network: &mut Network,
        way: Way<'_>,
        what: Option<Recovered>,
        port: usize,
        enough: u64,
    ) -> u64 {
        let Some(&PortAt::Valve { valve, a, stays }) = self.plant.port_cells.get(port) else { return 0 };
        let attached = [0, 1].iter().any(|&slot| state.hose(slot).is_some());
        if attached || what.is_none_or(|what| what.cell != stays) {
            return 0;
        }
        let Some(valve) = self.plant.valves.get(valve as usize) else { return 0 };
        let line = if a == stays { valve.b } else { a };
        for (cell, &edge) in (0u32..).zip(&self.bounds.sink_edges) {
            network.at_most(edge, self.drained(state, way, cell));
        }
        network.flow(line, self.bounds.sink, enough)
    }

    /// The stem of a port that both machines go on, one after the other, comes back to its back seat in between.
    pub(super) fn second_session(&self, state: &State, port: usize) -> u64 {
        let attached = [0, 1].iter().any(|&slot| state.hose(slot).is_some());
        match self.plant.port_cells.get(port) {
            Some(&PortAt::Valve { valve, .. }) if !attached => {
                let cost = self.plant.valves.get(valve as usize).map_or(0, |valve| valve.cost);
                self.weights.price(2 * cost, 0)
            }
            _ => 0,
        }
    }
}
