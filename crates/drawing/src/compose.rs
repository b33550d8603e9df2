//! From a circuit, alone or with a rig, to a scene.

use std::collections::{BTreeMap, BTreeSet};

use stemwise_circuit::{Assembly, Circuit, Graph, JointKind, Lineup, SpaceId, SpaceKind};

use crate::flow::infer;
use crate::lettering::{LETTERS, LINE, widest, wrap};
use crate::network::{Extract, Flow, Network, Node, Satellite};
use crate::order::order;
use crate::place::{Layout, place};
use crate::rig::seat_rig;
use crate::room::{Room, STEP, TOUCH};
use crate::route::{Grid, Routed, Terminal};
use crate::{Align, Arrow, Element, Label, Pipe, Point, Pose, Rect, Region, Scene, Sheet, Symbol, Thing};

/// What of the rig is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum RigShown {
    /// Nothing.
    #[default]
    Nothing,
    /// The hoses that are on a port, with their gauges; the manifold if one of its hoses is; machines and cylinders that run or stand open.
    Connected,
    /// All of it.
    All,
}

/// How a scene shall be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Which way it is longer.
    pub sheet: Sheet,
    /// What of the rig is drawn.
    pub rig: RigShown,
    /// The spaces to show with what touches them, instead of the whole circuit; the rest is an arrow where its pipe leaves.
    pub focus: Option<Vec<SpaceId>>,
}

/// A node with its place in the picture.
#[derive(Clone, Debug)]
pub(crate) struct Seated {
    pub(crate) node: usize,
    pub(crate) at: Point,
    pub(crate) pose: Pose,
    pub(crate) room: Room,
    pub(crate) sheet: Sheet,
}

/// Tries with more room between things, until every pipe finds a way.
const TRIES: [f64; 5] = [-STEP, 0.0, 12.0, 36.0, 84.0];

impl Scene {
    /// Draws a circuit without a rig.
    ///
    /// ```
    /// use stemwise_circuit::{examples, read};
    /// use stemwise_drawing::{Options, Scene};
    /// let circuit = read(examples()[0].text.as_bytes()).circuit.unwrap();
    /// let scene = Scene::of_circuit(&circuit, &Options::default());
    /// assert!(scene.element("king").is_some() && scene.unrouted == 0);
    /// ```
    pub fn of_circuit(circuit: &Circuit, options: &Options) -> Self {
        let extract = Extract {
            circuit,
            graph: &circuit.graph,
            lineup: None,
            rig: BTreeSet::new(),
            focus: options.focus.as_ref().map(|focus| focus.iter().copied().collect()),
        };
        compose(&extract, options.sheet)
    }

    /// Draws a circuit with a rig; which hoses are on, and what stands open, is the lineup's. The circuit's own part is placed as without the rig.
    pub fn of_assembly(assembly: &Assembly, lineup: &Lineup, options: &Options) -> Self {
        let extract = Extract {
            circuit: &assembly.circuit,
            graph: &assembly.graph,
            lineup: Some(lineup),
            rig: shown(assembly, lineup, options.rig),
            focus: options.focus.as_ref().map(|focus| focus.iter().copied().collect()),
        };
        compose(&extract, options.sheet)
    }
}

/// The spaces of the rig that are drawn.
fn shown(assembly: &Assembly, lineup: &Lineup, rig: RigShown) -> BTreeSet<SpaceId> {
    let is_rig = |kind| matches!(kind, SpaceKind::Hose | SpaceKind::Cylinder | SpaceKind::NitrogenCylinder);
    let all = assembly.graph.spaces_with_ids().filter(|(_, space)| is_rig(space.kind)).map(|(id, _)| id);
    match rig {
        RigShown::Nothing => BTreeSet::new(),
        RigShown::All => all.collect(),
        RigShown::Connected => connected(assembly, lineup),
    }
}

fn connected(assembly: &Assembly, lineup: &Lineup) -> BTreeSet<SpaceId> {
    let rigged = &assembly.rigged;
    let manifold = [rigged.low_hose, rigged.high_hose, rigged.centre_hose];
    let mut found: BTreeSet<SpaceId> = lineup.attached.iter().map(|attached| attached.hose).collect();
    if manifold.iter().any(|hose| found.contains(hose)) {
        found.extend(manifold);
    }
    for (id, joint) in assembly.graph.joints_with_ids() {
        let works = match joint.kind {
            JointKind::RecoveryMachine => lineup.is_active(id),
            JointKind::NitrogenRegulator | JointKind::CylinderValve => {
                lineup.position(id) == Some(stemwise_circuit::Position::Open)
            }
            _ => false,
        };
        if works {
            found.extend([joint.a, joint.b]);
        }
    }
    found
}

fn compose(extract: &Extract<'_>, sheet: Sheet) -> Scene {
    let mut network = Network::new(extract);
    infer(&mut network);
    turn_valves(&mut network, extract.graph);
    name_lines(&mut network, extract.graph);
    let rig: BTreeSet<usize> = (0..network.nodes.len()).filter(|&at| is_rig(&network, extract, at)).collect();
    let circuit = (0..network.nodes.len()).filter(|at| !rig.contains(at)).collect();
    let order = order(&network, &circuit);
    let mut best: Option<Scene> = None;
    let tries = if sheet == Sheet::Tall { &TRIES[..] } else { &TRIES[1..] };
    for &extra in tries {
        let layout = place(&network, &order, sheet, extra);
        let mut seated = seat(&layout);
        seat_rig(&network, extract.graph, &rig, sheet, &mut seated);
        let scene = Composer { extract, network: &network, seated }.scene(&layout, &order.reading(&network));
        let better = best.as_ref().is_none_or(|best| scene.unrouted < best.unrouted);
        let whole = scene.unrouted == 0;
        if better {
            best = Some(scene);
        }
        if whole {
            break;
        }
    }
    best.unwrap_or_else(|| empty(extract, sheet))
}

fn empty(extract: &Extract<'_>, sheet: Sheet) -> Scene {
    Scene {
        title: extract.circuit.name.clone(),
        sheet,
        view: Rect { x: 0.0, y: 0.0, width: TOUCH, height: TOUCH },
        regions: Vec::new(),
        elements: Vec::new(),
        pipes: Vec::new(),
        crossings: Vec::new(),
        unrouted: 0,
        looked_at: 0,
    }
}

/// Whether a node belongs to the rig.
fn is_rig(network: &Network, extract: &Extract<'_>, at: usize) -> bool {
    network.nodes.get(at).is_some_and(|node| node.spaces.iter().any(|space| extract.rig.contains(space)))
}

/// Service valves and line-set valves know which of their sides lies ahead once the flow is known.
fn turn_valves(network: &mut Network, graph: &Graph) {
    let nets: Vec<SpaceId> = network.nets.iter().map(|net| net.space).collect();
    for node in &mut network.nodes {
        let Thing::Joint(id) = node.of else { continue };
        let Some(joint) = graph.joint(id) else { continue };
        if !matches!(joint.kind, JointKind::ServiceValve { .. } | JointKind::LineSetValve { .. }) {
            continue;
        }
        let line = node.ends.iter().find(|end| nets.get(end.net) == Some(&joint.a));
        let body = node.ends.iter().find(|end| nets.get(end.net) == Some(&joint.b));
        let from_a =
            line.map(|end| end.flow == Flow::In).or(body.map(|end| end.flow == Flow::Out)).unwrap_or(true);
        if let Some(symbol) = Symbol::of_joint(&joint.kind, from_a) {
            node.symbol = symbol;
        }
    }
}

/// What the pipe right at a coil is for depends on which side it is; a stub carries what leads to it.
fn name_lines(network: &mut Network, graph: &Graph) {
    let ends = network.ends_by_net();
    for (at, ends) in ends.iter().enumerate() {
        let Some(space) = network.nets.get(at).map(|net| net.space) else { continue };
        let own = |(node, end): &(usize, usize)| {
            let node = network.nodes.get(*node)?;
            (node.of == Thing::Space(space)).then(|| node.ends.get(*end).map(|end| end.flow))?
        };
        let beside = |(node, _): &(usize, usize)| {
            let ends = network.nodes.get(*node).map_or(&[][..], |node| &node.ends);
            let lines = ends.iter().filter_map(|end| network.nets.get(end.net)).map(|net| net.line);
            lines.into_iter().find(|line| *line != crate::LineKind::Plain)
        };
        let line = match (graph.space(space).map(|space| space.kind), ends.iter().find_map(own)) {
            (Some(SpaceKind::Condenser), Some(Flow::In)) => Some(crate::LineKind::Discharge),
            (Some(SpaceKind::Evaporator), Some(Flow::In)) => Some(crate::LineKind::Mixture),
            (Some(SpaceKind::Stub | SpaceKind::Vessel), _) => ends.iter().find_map(beside),
            _ => None,
        };
        if let (Some(line), Some(net)) = (line, network.nets.get_mut(at)) {
            net.line = line;
        }
    }
}

fn seat(layout: &Layout) -> Vec<Seated> {
    let seated = layout.places.iter().filter_map(|(&node, place)| {
        let room = layout.rooms.get(&node)?.clone();
        let axis = layout.lanes.get(&place.lane)?.axis;
        let (at, pose) = (layout.point(place.m, axis), layout.pose(place.forward));
        Some(Seated { node, at, pose, room, sheet: layout.sheet })
    });
    seated.collect()
}

struct Composer<'c> {
    extract: &'c Extract<'c>,
    network: &'c Network,
    seated: Vec<Seated>,
}

impl Composer<'_> {
    fn scene(mut self, layout: &Layout, reading: &[usize]) -> Scene {
        let rank: BTreeMap<usize, usize> = reading.iter().enumerate().map(|(at, node)| (*node, at)).collect();
        self.seated.sort_by_key(|seat| (rank.get(&seat.node).copied().unwrap_or(usize::MAX), seat.node));
        let regions = crate::regions::regions(self.extract.circuit, self.network, layout);
        let mut elements = Vec::new();
        let mut stubs = Vec::new();
        for seat in &self.seated {
            self.element(seat, &mut elements, &mut stubs);
        }
        let bounds = self.bounds(&elements, &regions);
        let mut grid = Grid::new(&bounds.grown(8.0 * STEP));
        for region in &regions {
            grid.block(&region.label.bounds);
        }
        for element in &elements {
            grid.block(&element.bounds);
            if let Some(label) = &element.label {
                grid.block(&label.bounds.grown(2.0));
            }
        }
        for stub in &stubs {
            for pair in stub.runs.iter().flat_map(|run| run.windows(2)) {
                grid.block(&Rect::spanning(pair[0], pair[1]).grown(3.0));
            }
        }
        let (mut pipes, unrouted) = self.pipes(&mut grid);
        pipes.extend(stubs);
        let crossings = grid.crossings();
        let view = pipes
            .iter()
            .flat_map(|pipe| pipe.runs.iter().flatten())
            .fold(bounds, |view, point| view.with(&Rect::spanning(*point, *point).grown(6.0)))
            .grown(if layout.sheet == Sheet::Tall { 1.0 } else { 8.0 });
        Scene {
            title: self.extract.circuit.name.clone(),
            sheet: layout.sheet,
            view,
            regions,
            elements,
            pipes,
            crossings,
            unrouted,
            looked_at: grid.looked_at,
        }
    }

    fn bounds(&self, elements: &[Element], regions: &[Region]) -> Rect {
        let boxes = elements.iter().flat_map(|element| {
            [Some(element.hit), element.label.as_ref().map(|label| label.bounds)].into_iter().flatten()
        });
        let regions = regions.iter().flat_map(|region| region.boxes.iter().copied());
        let whole = boxes.chain(regions).reduce(|one, other| one.with(&other));
        whole.unwrap_or(Rect { x: 0.0, y: 0.0, width: TOUCH, height: TOUCH })
    }

    /// A node and the small things on it.
    fn element(&self, seat: &Seated, elements: &mut Vec<Element>, stubs: &mut Vec<Pipe>) {
        let Some(node) = self.network.nodes.get(seat.node) else { return };
        let bounds = placed(&node.symbol.bounds(), seat.pose, seat.at);
        let host = elements.len();
        elements.push(Element {
            id: node.id.clone(),
            of: node.of,
            joints: node.joints.clone(),
            spaces: node.spaces.clone(),
            symbol: node.symbol,
            at: seat.at,
            pose: seat.pose,
            bounds,
            hit: bounds.at_least(TOUCH),
            label: node_label(seat, &bounds),
            name: spoken(node.symbol, &node.name),
            on: None,
        });
        for (at, small) in node.satellites.iter().enumerate() {
            self.small(seat, node, at, small, host, elements);
            stubs.extend(self.stub(seat, node, at, small));
        }
    }

    fn small(
        &self,
        seat: &Seated,
        node: &Node,
        at: usize,
        small: &Satellite,
        host: usize,
        elements: &mut Vec<Element>,
    ) {
        let Some(room) = seat.room.small.get(at) else { return };
        let centre = small_at(seat, at);
        let pose = away(seat.sheet);
        let bounds = placed(&small.symbol.bounds(), pose, centre);
        let label = (!room.label.is_empty()).then(|| {
            let height = LINE * room.label.len() as f64;
            let width = widest(&room.label);
            // A hose gets out between the port and its label.
            let top = bounds.at_least(TOUCH).y - 18.0 - height;
            Label {
                lines: room.label.clone(),
                at: Point::new(centre.x, top + LETTERS - 1.0),
                align: Align::Middle,
                bounds: Rect { x: centre.x - width / 2.0, y: top, width, height },
            }
        });
        elements.push(Element {
            id: small.id.clone(),
            of: small.of,
            joints: small.joints.clone(),
            spaces: small.spaces.clone(),
            symbol: small.symbol,
            at: centre,
            pose,
            bounds,
            hit: bounds.at_least(TOUCH),
            label,
            name: spoken(small.symbol, &small.name),
            on: Some(small.on.map_or(host, |below| host + 1 + below.min(node.satellites.len()))),
        });
    }

    /// The short pipe to something small.
    fn stub(&self, seat: &Seated, node: &Node, at: usize, small: &Satellite) -> Option<Pipe> {
        let room = seat.room.small.get(at)?;
        let local = |along: f64, up: f64| {
            let (x, y) = if seat.sheet == Sheet::Wide { (along, -up) } else { (-up, along) };
            seat.at.moved(x, y)
        };
        let from = room.away - small.symbol.edge(Pose::Right);
        let points = match small.on.and_then(|below| seat.room.small.get(below).map(|room| (room, below))) {
            Some((below, on)) => {
                let edge = node.satellites.get(on).map_or(0.0, |below| below.symbol.edge(Pose::Right));
                vec![local(room.along, from), local(room.along, below.away + edge)]
            }
            None if node.symbol == Symbol::Compressor && room.along.abs() > 1.0 => {
                let side = if room.along > 0.0 { 1.0 } else { -1.0 };
                vec![local(room.along, from), local(room.along, 14.0), local(side * 19.0, 14.0)]
            }
            None if room.along.abs() <= 24.0 && node.symbol.reach() > 30.0 || room.along.abs() < 1.0 => {
                vec![local(room.along, from), local(room.along, -node.symbol.top())]
            }
            None => vec![
                local(room.along, from),
                local(room.along, room.away - 30.0),
                local(0.0, room.away - 30.0),
                local(0.0, -node.symbol.top()),
            ],
        };
        let line = self.network.nets.iter().find(|net| net.space == small.space).map(|net| net.line);
        let line = line.or_else(|| {
            self.extract.graph.space(small.space).map(|space| crate::LineKind::of_space(space.kind))
        });
        Some(Pipe {
            id: format!("to-{}", small.id),
            space: small.space,
            line: line.unwrap_or(crate::LineKind::Plain),
            runs: vec![points],
            tees: Vec::new(),
            arrows: Vec::new(),
            is_header: false,
            name: format!("to the {}", small.name),
        })
    }

    /// The ends of every net: where they are and which hang together.
    fn terminals(&self) -> BTreeMap<usize, Vec<Terminal>> {
        let mut found: BTreeMap<usize, Vec<Terminal>> = BTreeMap::new();
        let mut group = 0;
        for seat in &self.seated {
            let Some(node) = self.network.nodes.get(seat.node) else { continue };
            group += 1;
            let tee = matches!(node.symbol, Symbol::Tee);
            let (mut ahead, mut behind) = (0, 0);
            for (at, end) in node.ends.iter().enumerate() {
                let gives = end.flow == Flow::Out;
                let count = if gives { &mut ahead } else { &mut behind };
                let (local, outward) = connection(node.symbol, seat.pose, at, gives, *count);
                *count += 1;
                group += usize::from(!tee);
                found.entry(end.net).or_default().push(Terminal {
                    at: moved(seat.at, seat.pose.apply(local)),
                    outward: seat.pose.apply(outward),
                    group,
                    gives,
                    inset: inset(node.symbol, seat.pose, at),
                });
            }
            for (at, small) in node.satellites.iter().enumerate() {
                let Some(net) = small.hose else { continue };
                group += 1;
                let tip = Point::new(small.symbol.reach(), 0.0);
                let pose = away(seat.sheet);
                found.entry(net).or_default().push(Terminal {
                    at: moved(small_at(seat, at), pose.apply(tip)),
                    outward: pose.apply(Point::new(1.0, 0.0)),
                    group,
                    gives: false,
                    inset: 6.0,
                });
            }
        }
        found
    }

    fn pipes(&self, grid: &mut Grid) -> (Vec<Pipe>, usize) {
        let terminals = self.terminals();
        for (net, ends) in &terminals {
            for end in ends {
                grid.open(end.at, end.outward, *net);
            }
        }
        let length = |ends: &[Terminal]| {
            let boxes =
                ends.iter().map(|end| Rect::spanning(end.at, end.at)).reduce(|one, other| one.with(&other));
            boxes.map_or(0.0, |around| around.width + around.height)
        };
        let hose =
            |net: usize| self.network.nets.get(net).is_some_and(|net| net.line == crate::LineKind::Hose);
        let mut turn: Vec<usize> = terminals.keys().copied().collect();
        turn.sort_by(|one, other| {
            let key = |net: usize| (hose(net), length(terminals.get(&net).map_or(&[], Vec::as_slice)));
            let ((one_hose, one_length), (other_hose, other_length)) = (key(*one), key(*other));
            one_hose.cmp(&other_hose).then(one_length.total_cmp(&other_length)).then(one.cmp(other))
        });
        let mut routed: BTreeMap<usize, Routed> = BTreeMap::new();
        for net in turn {
            let ends = terminals.get(&net).map_or(&[][..], Vec::as_slice);
            routed.insert(net, grid.join(net, ends));
        }
        let failed = routed.values().map(|routed| routed.failed).sum();
        let pipe = |(net, routed): (usize, Routed)| {
            self.pipe(net, routed, terminals.get(&net).map_or(&[], Vec::as_slice))
        };
        (routed.into_iter().filter_map(pipe).collect(), failed)
    }

    fn pipe(&self, net: usize, mut routed: Routed, ends: &[Terminal]) -> Option<Pipe> {
        if routed.runs.is_empty() {
            return None;
        }
        for run in &mut routed.runs {
            reach_in(&mut run.points, ends);
        }
        let found = self.network.nets.get(net)?;
        let space = self.extract.graph.space(found.space)?;
        let twin = self.network.nets.iter().take(net).filter(|other| other.space == found.space).count();
        let tees = found.tees.len();
        Some(Pipe {
            id: if twin == 0 {
                format!("pipe-of-{}", space.id)
            } else {
                format!("pipe-of-{}-{}", space.id, twin + 1)
            },
            space: found.space,
            line: found.line,
            arrows: routed
                .runs
                .iter()
                .filter_map(|run| arrow(&run.points, run.along_flow, &routed.tees))
                .collect(),
            runs: routed.runs.into_iter().map(|run| run.points).collect(),
            tees: routed.tees,
            is_header: ends.len() > 4 + 2 * tees && found.line != crate::LineKind::Hose,
            name: space.name.clone(),
        })
    }
}

/// How far a pipe goes on past a connection, to meet what is drawn.
fn inset(symbol: Symbol, pose: Pose, end: usize) -> f64 {
    match (symbol, end) {
        (Symbol::ReversingValve, 2 | 3) => 14.0,
        _ => symbol.reach() - symbol.edge(pose),
    }
}

/// Leads both ends of a run on to what they are connected to.
fn reach_in(points: &mut Vec<Point>, ends: &[Terminal]) {
    let same = |one: Point, other: Point| (one.x - other.x).abs() < 0.5 && (one.y - other.y).abs() < 0.5;
    for _ in 0..2 {
        points.reverse();
        let (Some(&last), Some(&before)) = (points.last(), points.iter().rev().nth(1)) else { return };
        let Some(end) = ends.iter().find(|end| same(end.at, last)) else { continue };
        let further = last.moved(-end.outward.x * end.inset, -end.outward.y * end.inset);
        let straight = (before.x - further.x).abs() < 0.5 || (before.y - further.y).abs() < 0.5;
        if straight {
            points.pop();
        }
        points.push(further);
    }
}

/// Small things point away from their node.
const fn away(sheet: Sheet) -> Pose {
    match sheet {
        Sheet::Wide => Pose::Up,
        Sheet::Tall => Pose::Left,
    }
}

fn small_at(seat: &Seated, at: usize) -> Point {
    let Some(room) = seat.room.small.get(at) else { return seat.at };
    match seat.sheet {
        Sheet::Wide => seat.at.moved(room.along, -room.away),
        Sheet::Tall => seat.at.moved(-room.away, room.along),
    }
}

fn moved(at: Point, by: Point) -> Point {
    at.moved(by.x, by.y)
}

fn placed(local: &Rect, pose: Pose, at: Point) -> Rect {
    let turned = pose.apply_rect(local);
    Rect { x: turned.x + at.x, y: turned.y + at.y, ..turned }
}

/// Where a connection of a symbol is, and where its pipe leaves.
fn connection(symbol: Symbol, pose: Pose, end: usize, gives: bool, count: usize) -> (Point, Point) {
    // A reversing valve turns these two towards the low side.
    let side = if pose == Pose::Down { -1.0 } else { 1.0 };
    match (symbol, end) {
        (Symbol::ReversingValve, 2) => (Point::new(12.0, side * 36.0), Point::new(0.0, side)),
        (Symbol::ReversingValve, 3) => (Point::new(-12.0, side * 36.0), Point::new(0.0, side)),
        _ => (symbol.connection(gives, count), Point::new(if gives { 1.0 } else { -1.0 }, 0.0)),
    }
}

/// "king valve, service valve": what people call it, with its kind where the name doesn't say it.
fn spoken(symbol: Symbol, name: &str) -> String {
    let kind = symbol.name();
    if name.to_lowercase().contains(kind) { name.to_owned() } else { format!("{name}, {kind}") }
}

fn node_label(seat: &Seated, bounds: &Rect) -> Option<Label> {
    let lines = &seat.room.label;
    if lines.is_empty() {
        return None;
    }
    let (width, height) = (widest(lines), LINE * lines.len() as f64);
    let hit = bounds.at_least(TOUCH);
    let (align, x, top) = match seat.sheet {
        Sheet::Wide if seat.room.label_above => (Align::Middle, seat.at.x, hit.y - 4.0 - height),
        Sheet::Wide => (Align::Middle, seat.at.x, hit.bottom() + 3.0),
        Sheet::Tall => (Align::Start, seat.at.x + 8.0, hit.bottom() + 1.0),
    };
    let left = if align == Align::Middle { x - width / 2.0 } else { x };
    Some(Label {
        lines: lines.clone(),
        at: Point::new(x, top + LETTERS - 1.0),
        align,
        bounds: Rect { x: left, y: top, width, height },
    })
}

/// A mark in the middle of the longest stretch, if that is long enough to carry one.
fn arrow(points: &[Point], along: bool, tees: &[Point]) -> Option<Arrow> {
    let length = |pair: &[Point]| (pair[0].x - pair[1].x).abs() + (pair[0].y - pair[1].y).abs();
    let longest = points.windows(2).max_by(|one, other| length(one).total_cmp(&length(other)))?;
    if length(longest) < 5.0 * STEP {
        return None;
    }
    let (from, to) = if along { (longest[0], longest[1]) } else { (longest[1], longest[0]) };
    let pose = if to.x > from.x + 0.5 {
        Pose::Right
    } else if to.x < from.x - 0.5 {
        Pose::Left
    } else if to.y > from.y {
        Pose::Down
    } else {
        Pose::Up
    };
    let at = Rect::spanning(from, to).centre();
    let clear = tees.iter().all(|tee| (tee.x - at.x).abs() + (tee.y - at.y).abs() > 16.0);
    clear.then_some(Arrow { at, pose })
}

/// A line of text for a region, at a place.
pub(crate) fn heading(text: &str, at: Point, room: f64) -> Label {
    let lines = wrap(text, room, 1);
    let width = widest(&lines);
    Label {
        lines,
        at: Point::new(at.x, at.y + LETTERS - 1.0),
        align: Align::Start,
        bounds: Rect { x: at.x, y: at.y, width, height: LINE },
    }
}
