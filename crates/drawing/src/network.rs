//! What is to be drawn, before it has a place: nodes (parts, valves, tees) with their connections, and the nets of pipe between them.

use std::collections::{BTreeMap, BTreeSet};

use stemwise_circuit::{
    Circuit, Graph, Joint, JointId, JointKind, Lineup, PlaceId, Port, PortId, PortOn, SpaceId, SpaceKind,
};

use crate::{LineKind, Symbol, Thing};

/// Which way fluid passes a connection in normal running (cooling), as its node sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Flow {
    In,
    Out,
    Unknown,
}

impl Flow {
    pub(crate) const fn turned(self) -> Self {
        match self {
            Self::In => Self::Out,
            Self::Out => Self::In,
            Self::Unknown => Self::Unknown,
        }
    }
}

/// A connection of a node.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NodeEnd {
    pub(crate) net: usize,
    pub(crate) flow: Flow,
}

/// What is drawn with a symbol in a place of its own.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) id: String,
    pub(crate) of: Thing,
    pub(crate) symbol: Symbol,
    pub(crate) name: String,
    pub(crate) label: Option<String>,
    pub(crate) joints: Vec<JointId>,
    pub(crate) spaces: Vec<SpaceId>,
    pub(crate) place: Option<PlaceId>,
    pub(crate) ends: Vec<NodeEnd>,
    pub(crate) satellites: Vec<Satellite>,
}

/// Something small on a node: a port, a relief valve, a gauge; or on another small thing.
#[derive(Clone, Debug)]
pub(crate) struct Satellite {
    pub(crate) id: String,
    pub(crate) of: Thing,
    pub(crate) symbol: Symbol,
    pub(crate) name: String,
    pub(crate) label: Option<String>,
    pub(crate) joints: Vec<JointId>,
    pub(crate) spaces: Vec<SpaceId>,
    /// What the short pipe to it carries.
    pub(crate) space: SpaceId,
    /// The satellite that it sits on, by its position in the node's list; none: on the node itself.
    pub(crate) on: Option<usize>,
    /// The net of the hose that is on it.
    pub(crate) hose: Option<usize>,
}

/// A stretch of pipe with all its branches, without what it ends at.
#[derive(Clone, Debug)]
pub(crate) struct Net {
    pub(crate) space: SpaceId,
    pub(crate) line: LineKind,
    /// Nodes that sit in the middle of it.
    pub(crate) tees: Vec<usize>,
}

/// All of it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Network {
    pub(crate) nodes: Vec<Node>,
    pub(crate) nets: Vec<Net>,
}

/// What to draw of a graph.
pub(crate) struct Extract<'c> {
    pub(crate) circuit: &'c Circuit,
    pub(crate) graph: &'c Graph,
    pub(crate) lineup: Option<&'c Lineup>,
    /// The rig's spaces that are drawn.
    pub(crate) rig: BTreeSet<SpaceId>,
    /// The spaces that are shown with what touches them; all of the circuit's if none.
    pub(crate) focus: Option<BTreeSet<SpaceId>>,
}

struct Builder<'c> {
    of: &'c Extract<'c>,
    out: Network,
    /// The net of a space that is drawn as pipe.
    net_of: BTreeMap<SpaceId, usize>,
    /// The node of a space that is drawn as a part.
    node_of: BTreeMap<SpaceId, usize>,
    /// The node and satellite of a piercing valve's passage.
    passages: BTreeMap<SpaceId, (usize, usize)>,
    valve_nodes: BTreeMap<JointId, usize>,
    /// How many ways of a reversing valve are still to be passed over.
    ways_left: usize,
}

impl Network {
    pub(crate) fn new(of: &Extract<'_>) -> Self {
        let mut build = Builder {
            of,
            out: Self::default(),
            net_of: BTreeMap::new(),
            node_of: BTreeMap::new(),
            passages: BTreeMap::new(),
            valve_nodes: BTreeMap::new(),
            ways_left: 0,
        };
        build.spaces();
        for (id, joint) in of.graph.joints_with_ids() {
            build.joint(id, joint);
        }
        for (id, port) in of.graph.ports_with_ids() {
            build.port(id, port);
        }
        build.gauges();
        build.loose_ends();
        build.out
    }

    /// The ends on every net: (node, connection).
    pub(crate) fn ends_by_net(&self) -> Vec<Vec<(usize, usize)>> {
        let mut ends = vec![Vec::new(); self.nets.len()];
        for (at, node) in self.nodes.iter().enumerate() {
            for (end, found) in node.ends.iter().enumerate() {
                if let Some(list) = ends.get_mut(found.net) {
                    list.push((at, end));
                }
            }
        }
        ends
    }
}

impl Builder<'_> {
    /// Whether anything of a space is drawn at all.
    fn shows(&self, space: SpaceId) -> bool {
        let Some(found) = self.of.graph.space(space) else { return false };
        match found.kind {
            SpaceKind::Atmosphere => false,
            SpaceKind::Hose | SpaceKind::Cylinder | SpaceKind::NitrogenCylinder => {
                self.of.rig.contains(&space)
            }
            _ => true,
        }
    }

    fn in_focus(&self, space: SpaceId) -> bool {
        self.shows(space)
            && (self.of.focus.as_ref().is_none_or(|focus| focus.contains(&space))
                || self.of.rig.contains(&space))
    }

    fn spaces(&mut self) {
        let heads: BTreeMap<SpaceId, (JointId, SpaceId)> = self
            .of
            .graph
            .joints_with_ids()
            .filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_)))
            .flat_map(|(id, joint)| [(joint.a, (id, joint.b)), (joint.b, (id, joint.b))])
            .collect();
        for (id, space) in self.of.graph.spaces_with_ids() {
            if !self.in_focus(id) && !self.is_beside_focus(id) {
                continue;
            }
            let glass = self.of.circuit.sight_glasses.contains(&id);
            let symbol = if glass { Some(Symbol::SightGlass) } else { Symbol::of_space(space.kind) };
            match (symbol, heads.get(&id)) {
                (Some(_), Some(&(joint, head))) if id != head || !self.node_of.contains_key(&id) => {
                    self.compressor(joint);
                }
                (Some(_), Some(_)) => {}
                (Some(symbol), None) => {
                    self.part(id, symbol);
                }
                (None, _) => {
                    self.add_net(id, true);
                }
            }
        }
    }

    /// Whether a joint leads from the focus into this space.
    fn is_beside_focus(&self, space: SpaceId) -> bool {
        let pairs = self.of.graph.joints.iter().map(|joint| (joint.a, joint.b));
        self.shows(space)
            && pairs
                .into_iter()
                .any(|(a, b)| (a == space && self.in_focus(b)) || (b == space && self.in_focus(a)))
    }

    fn add_net(&mut self, space: SpaceId, whole: bool) -> usize {
        let at = self.out.nets.len();
        let kind = self.of.graph.space(space).map_or(SpaceKind::Stub, |space| space.kind);
        self.out.nets.push(Net { space, line: LineKind::of_space(kind), tees: Vec::new() });
        if whole {
            self.net_of.insert(space, at);
        }
        at
    }

    fn push(&mut self, node: Node) -> usize {
        self.out.nodes.push(node);
        self.out.nodes.len() - 1
    }

    fn compressor(&mut self, joint: JointId) {
        let Some(found) = self.of.graph.joint(joint) else { return };
        let node = self.push(Node {
            id: found.id.clone(),
            of: Thing::Joint(joint),
            symbol: Symbol::Compressor,
            name: found.name.clone(),
            label: Some(found.name.clone()),
            joints: vec![joint],
            spaces: vec![found.a, found.b],
            place: self.place(found.a),
            ends: Vec::new(),
            satellites: Vec::new(),
        });
        self.node_of.insert(found.a, node);
        self.node_of.insert(found.b, node);
    }

    fn part(&mut self, id: SpaceId, symbol: Symbol) {
        let Some(space) = self.of.graph.space(id) else { return };
        let node = self.push(Node {
            id: space.id.clone(),
            of: Thing::Space(id),
            symbol,
            name: space.name.clone(),
            label: Some(space.name.clone()),
            joints: Vec::new(),
            spaces: vec![id],
            place: space.place,
            ends: Vec::new(),
            satellites: Vec::new(),
        });
        self.node_of.insert(id, node);
    }

    fn place(&self, space: SpaceId) -> Option<PlaceId> {
        self.of.graph.space(space).and_then(|space| space.place)
    }

    fn connect(&mut self, node: usize, net: usize, flow: Flow) {
        if let Some(node) = self.out.nodes.get_mut(node) {
            node.ends.push(NodeEnd { net, flow });
        }
    }

    fn joint(&mut self, id: JointId, joint: &Joint) {
        if self.ways_left > 0 && matches!(joint.kind, JointKind::ReversingPath { .. }) {
            self.ways_left -= 1;
            return;
        }
        if !(self.in_focus(joint.a) || self.in_focus(joint.b)) {
            return;
        }
        match joint.kind {
            JointKind::Compressor(_) => {}
            JointKind::Pipe => self.pipe(id, joint),
            JointKind::ReversingPath { .. } => self.reversing(id, joint),
            JointKind::Relief { .. } if !self.shows(joint.b) => self.relief(id, joint),
            JointKind::PiercingValve => self.piercing(id, joint),
            _ => self.device(id, joint),
        }
    }

    /// The net that meets a part, a line or a stub there; a part gets a connection of its own.
    fn net_at(&mut self, space: SpaceId, flow: Flow) -> Option<usize> {
        if let Some(&net) = self.net_of.get(&space) {
            return Some(net);
        }
        let node = *self.node_of.get(&space)?;
        let net = self.add_net(space, false);
        let flow = match self.of.graph.space(space)?.kind {
            SpaceKind::CompressorShell => Flow::In,
            SpaceKind::CompressorHead => Flow::Out,
            _ => flow,
        };
        self.connect(node, net, flow);
        Some(net)
    }

    fn pipe(&mut self, id: JointId, joint: &Joint) {
        let (from, to) = (self.net_of.get(&joint.a).copied(), self.net_of.get(&joint.b).copied());
        let (a, b) = (self.node_of.get(&joint.a).copied(), self.node_of.get(&joint.b).copied());
        match (from, to, a, b) {
            (Some(from), Some(to), ..) => {
                let node = self.union(id, joint);
                self.connect(node, from, Flow::In);
                self.connect(node, to, Flow::Out);
            }
            (Some(net), None, _, Some(node)) => self.connect(node, net, Flow::In),
            (None, Some(net), Some(node), _) => self.connect(node, net, Flow::Out),
            (None, None, Some(a), Some(b)) => {
                let net = self.add_net(joint.a, false);
                self.connect(a, net, Flow::Out);
                self.connect(b, net, Flow::In);
            }
            _ => {}
        }
    }

    fn union(&mut self, id: JointId, joint: &Joint) -> usize {
        let name = |space| self.of.graph.space(space).map_or("", |space| space.name.as_str());
        self.push(Node {
            id: joint.id.clone(),
            of: Thing::Joint(id),
            symbol: Symbol::Union,
            name: format!("{} to {}", name(joint.a), name(joint.b)),
            label: None,
            joints: vec![id],
            spaces: vec![joint.a, joint.b],
            place: self.place(joint.a),
            ends: Vec::new(),
            satellites: Vec::new(),
        })
    }

    fn device(&mut self, id: JointId, joint: &Joint) {
        let Some(symbol) = Symbol::of_joint(&joint.kind, true) else { return };
        let known = !matches!(joint.kind, JointKind::ServiceValve { .. } | JointKind::LineSetValve { .. });
        let flows = if known { (Flow::In, Flow::Out) } else { (Flow::Unknown, Flow::Unknown) };
        let (from, to) = (self.net_at(joint.a, flows.0.turned()), self.net_at(joint.b, flows.1.turned()));
        let node = self.push(Node {
            id: joint.id.clone(),
            of: Thing::Joint(id),
            symbol,
            name: joint.name.clone(),
            label: Some(joint.name.clone()),
            joints: vec![id],
            spaces: vec![joint.a, joint.b],
            place: self.device_place(joint),
            ends: Vec::new(),
            satellites: Vec::new(),
        });
        self.valve_nodes.insert(id, node);
        for (net, flow) in [(from, flows.0), (to, flows.1)] {
            if let Some(net) = net {
                self.connect(node, net, flow);
            }
        }
    }

    /// A valve stands where its body or its unit stands, another device where the part beside it stands; between two lines, where the smaller
    /// one is: long lines lead from place to place. On a header it stands with that.
    fn device_place(&self, joint: &Joint) -> Option<PlaceId> {
        let (a, b) = (self.place(joint.a), self.place(joint.b));
        let volume = |space| self.of.graph.space(space).map_or(0.0, |space| space.volume.value.as_m3());
        let is_line = |space| self.net_of.contains_key(&space);
        let uses =
            |space| self.of.graph.joints.iter().filter(|other| other.a == space || other.b == space).count();
        let is_header = |space| is_line(space) && uses(space) > 3;
        let at_a = match joint.kind {
            JointKind::LineSetValve { .. } => true,
            JointKind::ServiceValve { .. } => false,
            _ if is_header(joint.a) != is_header(joint.b) => is_header(joint.a),
            _ if is_line(joint.a) && is_line(joint.b) => volume(joint.a) < volume(joint.b),
            _ => is_line(joint.b),
        };
        if at_a { a.or(b) } else { b.or(a) }
    }

    /// The four ways of a reversing valve follow each other, in the order in which the reader makes them.
    fn reversing(&mut self, id: JointId, first: &Joint) {
        let way = |after: u32| self.of.graph.joint(JointId(id.0 + after));
        let Some((second, third)) = way(1).zip(way(2)) else { return };
        let whole = third.a == first.a && third.b == second.a;
        if !whole {
            return self.device(id, first);
        }
        self.ways_left = 3;
        let ends = [(first.a, Flow::In), (first.b, Flow::Out), (second.a, Flow::In), (second.b, Flow::Out)];
        let nets = ends.map(|(space, flow)| (self.net_at(space, flow.turned()), flow));
        let node = self.push(Node {
            id: first.id.trim_end_matches("-discharge-outdoor").to_owned(),
            of: Thing::Joint(id),
            symbol: Symbol::ReversingValve,
            name: first.name.clone(),
            label: Some(first.name.clone()),
            joints: (0..4).map(|after| JointId(id.0 + after)).collect(),
            spaces: ends.iter().map(|(space, _)| *space).collect(),
            place: self.place(first.a),
            ends: Vec::new(),
            satellites: Vec::new(),
        });
        for (net, flow) in nets {
            if let Some(net) = net {
                self.connect(node, net, flow);
            }
        }
    }

    /// The part that something small sits on, or a tee put into the line there.
    fn host(&mut self, space: SpaceId, id: &str, label: &str) -> Option<usize> {
        if let Some(&node) = self.node_of.get(&space) {
            return Some(node);
        }
        let net = *self.net_of.get(&space)?;
        let name = self.of.graph.space(space).map_or(String::new(), |space| space.name.clone());
        let node = self.push(Node {
            id: format!("tee-of-{id}"),
            of: Thing::Space(space),
            symbol: Symbol::Tee,
            name: format!("tee in the {name}"),
            label: (!label.is_empty()).then(|| label.to_owned()),
            joints: Vec::new(),
            spaces: vec![space],
            place: self.place(space),
            ends: Vec::new(),
            satellites: Vec::new(),
        });
        self.connect(node, net, Flow::In);
        self.connect(node, net, Flow::Out);
        if let Some(net) = self.out.nets.get_mut(net) {
            net.tees.push(node);
        }
        Some(node)
    }

    fn add_satellite(&mut self, host: usize, satellite: Satellite) -> Option<usize> {
        let node = self.out.nodes.get_mut(host)?;
        node.satellites.push(satellite);
        Some(node.satellites.len() - 1)
    }

    /// A label beside something small: not where its tee bears it already.
    fn own_label(&self, host: usize, name: &str) -> Option<String> {
        let tee = self.out.nodes.get(host).is_some_and(|node| node.symbol == Symbol::Tee);
        (!tee).then(|| name.to_owned())
    }

    fn relief(&mut self, id: JointId, joint: &Joint) {
        let Some(host) = self.host(joint.a, &joint.id, &joint.name) else { return };
        let satellite = Satellite {
            id: joint.id.clone(),
            of: Thing::Joint(id),
            symbol: Symbol::ReliefValve,
            name: joint.name.clone(),
            label: self.own_label(host, &joint.name),
            joints: vec![id],
            spaces: vec![joint.a],
            space: joint.a,
            on: None,
            hose: None,
        };
        self.add_satellite(host, satellite);
    }

    fn piercing(&mut self, id: JointId, joint: &Joint) {
        let Some(host) = self.host(joint.a, &joint.id, &joint.name) else { return };
        let satellite = Satellite {
            id: joint.id.clone(),
            of: Thing::Joint(id),
            symbol: Symbol::PiercingValve,
            name: joint.name.clone(),
            label: self.own_label(host, &joint.name),
            joints: vec![id],
            spaces: vec![joint.a, joint.b],
            space: joint.a,
            on: None,
            hose: None,
        };
        if let Some(at) = self.add_satellite(host, satellite) {
            self.passages.insert(joint.b, (host, at));
        }
    }

    fn port(&mut self, id: PortId, port: &Port) {
        let hose = self.of.lineup.and_then(|lineup| lineup.hose_on(id));
        // An access that could be fitted to a sealed circuit is there once a hose is on it.
        if id.index() >= self.of.circuit.graph.ports.len() && hose.is_none() {
            return;
        }
        let Some((host, on, space)) = self.port_host(id, port) else { return };
        let label = match port.on {
            PortOn::Space(_) if on.is_none() && !self.is_valve(host) => self.own_label(host, &port.name),
            _ => None,
        };
        let satellite = Satellite {
            id: port.id.clone(),
            of: Thing::Port(id),
            symbol: if port.core { Symbol::AccessPort } else { Symbol::PlainPort },
            name: port.name.clone(),
            label,
            joints: Vec::new(),
            spaces: vec![space],
            space,
            on,
            hose: hose.and_then(|hose| self.net_of.get(&hose).copied()),
        };
        self.add_satellite(host, satellite);
    }

    fn is_valve(&self, node: usize) -> bool {
        self.out
            .nodes
            .get(node)
            .is_some_and(|node| matches!(node.of, Thing::Joint(_)) && node.symbol != Symbol::Compressor)
    }

    /// The node that a port is on, the satellite below it, and the space that it opens into.
    fn port_host(&mut self, id: PortId, port: &Port) -> Option<(usize, Option<usize>, SpaceId)> {
        let space = match port.on {
            PortOn::ServiceValve(valve) => {
                let body = self.of.graph.joint(valve)?.b;
                return self.valve_nodes.get(&valve).map(|&node| (node, None, body));
            }
            PortOn::Space(space) => space,
        };
        if let Some(&(host, on)) = self.passages.get(&space) {
            return Some((host, Some(on), space));
        }
        let on_valve = self.valve_nodes.iter().find(|(joint, _)| {
            let kind = self.of.graph.joint(**joint).map(|joint| &joint.kind);
            matches!(kind, Some(JointKind::LineSetValve { port: Some(port) }) if *port == id)
        });
        if let Some((_, &node)) = on_valve {
            return Some((node, None, space));
        }
        if !self.in_focus(space) {
            return None;
        }
        self.host(space, &port.id, &port.name).map(|node| (node, None, space))
    }

    /// Every hose that is drawn, but the centre hose, has its gauge.
    fn gauges(&mut self) {
        let hoses: Vec<SpaceId> =
            self.of.rig.iter().copied().filter(|&space| self.is_gauged(space)).collect();
        for hose in hoses {
            let Some(space) = self.of.graph.space(hose) else { continue };
            let Some(host) = self.host(hose, &space.id, &space.name) else { continue };
            let satellite = Satellite {
                id: format!("gauge-of-{}", space.id),
                of: Thing::Space(hose),
                symbol: Symbol::Gauge,
                name: format!("gauge of the {}", space.name),
                label: None,
                joints: Vec::new(),
                spaces: vec![hose],
                space: hose,
                on: None,
                hose: None,
            };
            self.add_satellite(host, satellite);
        }
    }

    fn is_gauged(&self, space: SpaceId) -> bool {
        self.of.graph.space(space).is_some_and(|found| {
            found.kind == SpaceKind::Hose
                && !self
                    .of
                    .graph
                    .joints
                    .iter()
                    .any(|joint| matches!(joint.kind, JointKind::HandValve { .. }) && joint.b == space)
        })
    }

    /// Where the focus leaves something out, its pipe ends in an arrow.
    fn loose_ends(&mut self) {
        if self.of.focus.is_none() {
            return;
        }
        self.drop_bare_parts();
        for (net, ends) in self.out.ends_by_net().into_iter().enumerate() {
            let ([(node, end)], Some(found)) = (ends.as_slice(), self.out.nets.get(net)) else { continue };
            let space = found.space;
            let flow = self
                .out
                .nodes
                .get(*node)
                .and_then(|node| node.ends.get(*end))
                .map_or(Flow::In, |end| end.flow);
            let Some(beyond) = self.of.graph.space(space) else { continue };
            let id = format!("on-to-{}", beyond.id);
            let again = self.out.nodes.iter().filter(|node| node.id.starts_with(&id)).count();
            let at = self.push(Node {
                id: if again > 0 { format!("{id}-{}", again + 1) } else { id },
                of: Thing::Space(space),
                symbol: Symbol::Continues,
                name: format!("{} continues", beyond.name),
                label: Some(beyond.name.clone()),
                joints: Vec::new(),
                spaces: vec![space],
                place: beyond.place,
                ends: Vec::new(),
                satellites: Vec::new(),
            });
            self.connect(at, net, flow.turned());
        }
    }

    /// Parts beside the focus are left out where nothing that is shown leads to them.
    fn drop_bare_parts(&mut self) {
        let bare: Vec<usize> = (0..self.out.nodes.len())
            .filter(|&at| {
                self.out.nodes.get(at).is_some_and(|node| {
                    node.ends.is_empty() && !node.spaces.iter().any(|&space| self.in_focus(space))
                })
            })
            .collect();
        for at in bare.into_iter().rev() {
            self.out.remove(at);
        }
    }
}

impl Network {
    /// Takes a node out; tees keep to their nets.
    fn remove(&mut self, at: usize) {
        self.nodes.remove(at);
        for net in &mut self.nets {
            net.tees.retain(|&tee| tee != at);
            for tee in &mut net.tees {
                *tee -= usize::from(*tee > at);
            }
        }
    }
}
