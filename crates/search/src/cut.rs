//! Minimum cuts by augmenting along shortest ways (E. A. Dinic, Soviet Math. Dokl. 11 (1970) 1277-1280).

/// Larger than any sum of real capacities.
pub const INFINITE: u64 = 1 << 50;

#[derive(Clone, Copy, Debug)]
struct Edge {
    to: u32,
    room: u64,
    full: u64,
}

/// A network with one source and one sink.
#[derive(Clone, Debug, Default)]
pub struct Network {
    edges: Vec<Edge>,
    out: Vec<Vec<u32>>,
    level: Vec<u32>,
    next: Vec<u32>,
}

impl Network {
    /// A network of so many nodes, without edges.
    pub fn new(nodes: usize) -> Self {
        Self { out: vec![Vec::new(); nodes], ..Self::default() }
    }

    /// Joins two nodes with these capacities there and back. Returns the edge's number, for [`Network::set`].
    pub fn join(&mut self, a: u32, b: u32, there: u64, back: u64) -> usize {
        let at = self.edges.len();
        let index = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        if let (true, true) = ((a as usize) < self.out.len(), (b as usize) < self.out.len()) {
            self.edges.push(Edge { to: b, room: there, full: there });
            self.edges.push(Edge { to: a, room: back, full: back });
            if let Some(list) = self.out.get_mut(a as usize) {
                list.push(index(at));
            }
            if let Some(list) = self.out.get_mut(b as usize) {
                list.push(index(at + 1));
            }
        }
        at
    }

    /// Changes the capacities of an edge.
    pub fn set(&mut self, edge: usize, there: u64, back: u64) {
        if let Some(found) = self.edges.get_mut(edge) {
            found.full = there;
        }
        if let Some(found) = self.edges.get_mut(edge + 1) {
            found.full = back;
        }
    }

    /// Takes all flow out again.
    pub fn reset(&mut self) {
        for edge in &mut self.edges {
            edge.room = edge.full;
        }
    }

    /// Adds flow until no more passes, or until `enough`; returns what was added.
    pub fn flow(&mut self, source: u32, sink: u32, enough: u64) -> u64 {
        let mut total = 0;
        while total < enough && self.levels(source, sink) {
            self.next.clear();
            self.next.resize(self.out.len(), 0);
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

    fn levels(&mut self, source: u32, sink: u32) -> bool {
        self.level.clear();
        self.level.resize(self.out.len(), u32::MAX);
        let mut queue = vec![source];
        if let Some(level) = self.level.get_mut(source as usize) {
            *level = 0;
        }
        let mut at = 0;
        while let Some(&node) = queue.get(at) {
            at += 1;
            let depth = self.level_of(node);
            for &edge in self.out.get(node as usize).map_or(&[][..], Vec::as_slice) {
                let Some(Edge { to, room, .. }) = self.edges.get(edge as usize).copied() else { continue };
                if room > 0
                    && let Some(level) = self.level.get_mut(to as usize)
                    && *level == u32::MAX
                {
                    *level = depth + 1;
                    queue.push(to);
                }
            }
        }
        self.level_of(sink) != u32::MAX
    }

    fn level_of(&self, node: u32) -> u32 {
        self.level.get(node as usize).copied().unwrap_or(u32::MAX)
    }

    /// One way from source to sink along rising levels, found without recursion.
    fn augment(&mut self, source: u32, sink: u32) -> u64 {
        let mut way: Vec<u32> = Vec::new();
        let mut node = source;
        while node != sink {
            match self.step(node) {
                Some((edge, to)) => {
                    way.push(edge);
                    node = to;
                }
                None => {
                    let Some(edge) = way.pop() else { return 0 };
                    node = self.edges.get((edge ^ 1) as usize).map_or(source, |back| back.to);
                    if let Some(next) = self.next.get_mut(node as usize) {
                        *next += 1;
                    }
                }
            }
        }
        let room = |edge: &u32| self.edges.get(*edge as usize).map_or(0, |edge| edge.room);
        let pushed = way.iter().map(room).min().unwrap_or(0);
        for edge in way {
            if let Some(there) = self.edges.get_mut(edge as usize) {
                there.room -= pushed;
            }
            if let Some(back) = self.edges.get_mut((edge ^ 1) as usize) {
                back.room += pushed;
            }
        }
        pushed
    }

    fn step(&mut self, node: u32) -> Option<(u32, u32)> {
        let depth = self.level_of(node);
        loop {
            let at = *self.next.get(node as usize)?;
            let edge = *self.out.get(node as usize)?.get(at as usize)?;
            let Edge { to, room, .. } = *self.edges.get(edge as usize)?;
            if room > 0 && self.level_of(to) == depth + 1 {
                return Some((edge, to));
            }
            if let Some(next) = self.next.get_mut(node as usize) {
                *next += 1;
            }
        }
    }

    /// After a maximum flow: the nodes from which the sink can't be reached any more; the largest source side of a minimum cut.
    pub fn cannot_reach(&self, sink: u32) -> Vec<bool> {
        let mut reaches = vec![false; self.out.len()];
        let mut queue = vec![sink];
        if let Some(slot) = reaches.get_mut(sink as usize) {
            *slot = true;
        }
        let mut at = 0;
        while let Some(&node) = queue.get(at) {
            at += 1;
            for &edge in self.out.get(node as usize).map_or(&[][..], Vec::as_slice) {
                let from = self.edges.get(edge as usize).map_or(sink, |edge| edge.to);
                let room = self.edges.get((edge ^ 1) as usize).map_or(0, |back| back.room);
                if room > 0
                    && let Some(slot) = reaches.get_mut(from as usize)
                    && !*slot
                {
                    *slot = true;
                    queue.push(from);
                }
            }
        }
        reaches.into_iter().map(|reached| !reached).collect()
    }
}
