//! Minimum cuts by augmenting along shortest ways (E. A. Dinic, Soviet Math. Dokl. 11 (1970) 1277-1280).

/// Larger than any sum of real capacities.
pub const INFINITE: u64 = 1 << 50;

/// No edge, no node.
const NONE: u32 = u32::MAX;

#[derive(Clone, Copy, Debug)]
struct Edge {
    to: u32,
    /// The next edge out of the same node.
    next: u32,
    room: u64,
    full: u64,
}

/// A network with one source and one sink. Its working storage is kept from one flow to the next.
#[derive(Clone, Debug, Default)]
pub struct Network {
    edges: Vec<Edge>,
    first: Vec<u32>,
    level: Vec<u32>,
    current: Vec<u32>,
    queue: Vec<u32>,
    way: Vec<u32>,
}

/// The flow at one moment, to come back to.
#[derive(Clone, Debug, Default)]
pub struct Flow(Vec<u64>);

impl Network {
    /// A network of so many nodes, without edges.
    pub fn new(nodes: usize) -> Self {
        Self { first: vec![NONE; nodes], ..Self::default() }
    }

    /// Joins two nodes with these capacities there and back. Returns the edge's number, for [`Network::set`].
    pub fn join(&mut self, a: u32, b: u32, there: u64, back: u64) -> usize {
        let at = self.edges.len();
        if (a as usize) < self.first.len() && (b as usize) < self.first.len() {
            self.half(a, b, there);
            self.half(b, a, back);
        }
        at
    }

    fn half(&mut self, from: u32, to: u32, full: u64) {
        let at = u32::try_from(self.edges.len()).unwrap_or(NONE);
        if let Some(first) = self.first.get_mut(from as usize) {
            self.edges.push(Edge { to, next: *first, room: full, full });
            *first = at;
        }
    }

    /// Changes the capacities of an edge; [`Network::reset`] makes them count.
    pub fn set(&mut self, edge: usize, there: u64, back: u64) {
        for (at, full) in [(edge, there), (edge + 1, back)] {
            if let Some(found) = self.edges.get_mut(at) {
                found.full = full;
            }
        }
    }

    /// Lets more pass through an edge, there, until the next [`Network::reset`] or [`Network::go_back`].
    pub fn widen(&mut self, edge: usize, more: u64) {
        if let Some(found) = self.edges.get_mut(edge) {
            found.room += more;
        }
    }

    /// What passes through an edge at the moment, whichever way; for edges with the same capacity both ways.
    pub fn through(&self, edge: usize) -> u64 {
        let room = |at: usize| self.edges.get(at).map_or(0, |edge| edge.room);
        room(edge).abs_diff(room(edge + 1)) / 2
    }

    /// What of an edge's capacity is free whichever way; for edges with the same capacity both ways.
    pub fn spare(&self, edge: usize) -> u64 {
        let room = |at: usize| self.edges.get(at).map_or(0, |edge| edge.room);
        room(edge).min(room(edge + 1))
    }

    /// What still passes through an edge, there.
    pub fn room(&self, edge: usize) -> u64 {
        self.edges.get(edge).map_or(0, |edge| edge.room)
    }

    /// What has passed through an edge, there.
    pub fn passed(&self, edge: usize) -> u64 {
        self.edges.get(edge).map_or(0, |edge| edge.full.saturating_sub(edge.room))
    }

    /// Lets at most so much more pass through an edge, there.
    pub fn at_most(&mut self, edge: usize, most: u64) {
        if let Some(found) = self.edges.get_mut(edge) {
            found.room = found.room.min(most);
        }
    }

    /// An edge's capacity.
    pub fn full(&self, edge: usize) -> u64 {
        self.edges.get(edge).map_or(0, |edge| edge.full)
    }

    /// Lets less pass through an edge, both ways, until the next [`Network::reset`] or [`Network::go_back`]. What passes already must fit.
    pub fn narrow(&mut self, edge: usize, less: u64) {
        for at in [edge, edge + 1] {
            if let Some(found) = self.edges.get_mut(at) {
                found.room = found.room.saturating_sub(less);
            }
        }
    }

    /// Takes all flow out again.
    pub fn reset(&mut self) {
        for edge in &mut self.edges {
            edge.room = edge.full;
        }
    }

    /// Remembers the flow.
    pub fn keep(&self, flow: &mut Flow) {
        flow.0.clear();
        flow.0.extend(self.edges.iter().map(|edge| edge.room));
    }

    /// Takes up a flow again.
    pub fn go_back(&mut self, flow: &Flow) {
        for (edge, &room) in self.edges.iter_mut().zip(&flow.0) {
            edge.room = room;
        }
    }

    /// Adds flow until no more passes, or until `enough`; returns what was added.
    pub fn flow(&mut self, source: u32, sink: u32, enough: u64) -> u64 {
        let mut total = 0;
        while total < enough && self.levels(source, sink) {
            self.current.clear();
            self.current.extend_from_slice(&self.first);
            loop {
                let pushed = self.augment(source, sink);
                if pushed == 0 {
                    break;
                }
                total += pushed;
            }
        }
        total
    }

    /// Levels of the nodes up to the sink; whether it is reached.
    fn levels(&mut self, source: u32, sink: u32) -> bool {
        let Self { edges, first, level, queue, .. } = self;
        level.clear();
        level.resize(first.len(), NONE);
        queue.clear();
        queue.push(source);
        if let Some(level) = level.get_mut(source as usize) {
            *level = 0;
        }
        let mut at = 0;
        while let Some(&node) = queue.get(at) {
            at += 1;
            let depth = level.get(node as usize).copied().unwrap_or(NONE);
            let mut next = first.get(node as usize).copied().unwrap_or(NONE);
            while let Some(edge) = edges.get(next as usize) {
                next = edge.next;
                if edge.room > 0
                    && let Some(level) = level.get_mut(edge.to as usize)
                    && *level == NONE
                {
                    *level = depth + 1;
                    if edge.to == sink {
                        return true;
                    }
                    queue.push(edge.to);
                }
            }
        }
        false
    }

    fn level_of(&self, node: u32) -> u32 {
        self.level.get(node as usize).copied().unwrap_or(NONE)
    }

    /// One way from source to sink along rising levels, found without recursion.
    fn augment(&mut self, source: u32, sink: u32) -> u64 {
        self.way.clear();
        let mut node = source;
        while node != sink {
            match self.step(node) {
                Some((edge, to)) => {
                    self.way.push(edge);
                    node = to;
                }
                None => {
                    let Some(edge) = self.way.pop() else { return 0 };
                    node = self.edges.get((edge ^ 1) as usize).map_or(source, |back| back.to);
                    self.pass_over(node);
                }
            }
        }
        self.push_along_way()
    }

    fn push_along_way(&mut self) -> u64 {
        let edges = &mut self.edges;
        let room = |edge: &u32| edges.get(*edge as usize).map_or(0, |edge| edge.room);
        let pushed = self.way.iter().map(room).min().unwrap_or(0);
        for &edge in &self.way {
            if let Some(there) = edges.get_mut(edge as usize) {
                there.room -= pushed;
            }
            if let Some(back) = edges.get_mut((edge ^ 1) as usize) {
                back.room += pushed;
            }
        }
        pushed
    }

    fn step(&mut self, node: u32) -> Option<(u32, u32)> {
        let depth = self.level_of(node);
        loop {
            let at = *self.current.get(node as usize)?;
            let &Edge { to, room, .. } = self.edges.get(at as usize)?;
            if room > 0 && self.level_of(to) == depth.saturating_add(1) {
                return Some((at, to));
            }
            self.pass_over(node);
        }
    }

    /// Goes on to the next edge out of a node.
    fn pass_over(&mut self, node: u32) {
        if let Some(current) = self.current.get_mut(node as usize) {
            *current = self.edges.get(*current as usize).map_or(NONE, |edge| edge.next);
        }
    }

    /// After a maximum flow: the nodes from which the sink can't be reached any more; the largest source side of a minimum cut.
    pub fn cannot_reach(&mut self, sink: u32, region: &mut Vec<bool>) {
        let Self { edges, first, queue, .. } = self;
        region.clear();
        region.resize(first.len(), true);
        queue.clear();
        queue.push(sink);
        if let Some(slot) = region.get_mut(sink as usize) {
            *slot = false;
        }
        let mut at = 0;
        while let Some(&node) = queue.get(at) {
            at += 1;
            let mut next = first.get(node as usize).copied().unwrap_or(NONE);
            while let Some(edge) = edges.get(next as usize) {
                let room = edges.get((next ^ 1) as usize).map_or(0, |back| back.room);
                next = edge.next;
                if room > 0
                    && let Some(slot) = region.get_mut(edge.to as usize)
                    && *slot
                {
                    *slot = false;
                    queue.push(edge.to);
                }
            }
        }
    }
}
