//! Where the rig stands: the manifold in a row below the circuit, machines and cylinders below that.

use std::collections::BTreeSet;

use stemwise_circuit::{Graph, JointKind, SpaceId};

use crate::compose::Seated;
use crate::network::{Network, Node};
use crate::room::{STEP, room};
use crate::{Pose, Rect, Sheet, Symbol, Thing};

/// Under the circuit, and between the rows of the rig.
const APART: f64 = 4.0 * STEP;

/// Things that stand side by side, each with how it lies.
type Group = Vec<(usize, Pose)>;

struct Rows<'n> {
    network: &'n Network,
    rig: &'n BTreeSet<usize>,
    graph: &'n Graph,
}

/// Adds the rig's nodes below what is seated already.
pub(crate) fn seat_rig(
    network: &Network,
    graph: &Graph,
    rig: &BTreeSet<usize>,
    sheet: Sheet,
    seated: &mut Vec<Seated>,
) {
    let around = seated.iter().map(footprint).reduce(|one, other| one.with(&other));
    let around = around.unwrap_or_default();
    let room_wide = match sheet {
        Sheet::Wide => around.width.max(60.0 * STEP),
        Sheet::Tall => around.width.max(30.0 * STEP),
    };
    let rows = Rows { network, rig, graph };
    let mut top = libm::ceil((around.bottom() + APART) / STEP) * STEP;
    for row in rows.rows(room_wide) {
        top = seat_row(network, &row, around.x, top, seated) + APART;
    }
}

/// What a seat takes up.
fn footprint(seat: &Seated) -> Rect {
    let room = &seat.room;
    match seat.sheet {
        Sheet::Wide => Rect {
            x: seat.at.x - room.m_minus,
            y: seat.at.y - room.c_minus,
            width: room.m_minus + room.m_plus,
            height: room.c_minus + room.c_plus,
        },
        Sheet::Tall => Rect {
            x: seat.at.x - room.c_plus,
            y: seat.at.y - room.m_minus,
            width: room.c_minus + room.c_plus,
            height: room.m_minus + room.m_plus,
        },
    }
}

fn width(network: &Network, group: &Group) -> f64 {
    let widths = group.iter().filter_map(|(node, _)| network.nodes.get(*node)).map(|node| {
        let room = room(node, Sheet::Wide);
        room.m_minus + room.m_plus + STEP
    });
    widths.sum()
}

fn seat_row(network: &Network, row: &Group, left: f64, top: f64, seated: &mut Vec<Seated>) -> f64 {
    let rooms: Vec<_> = row
        .iter()
        .filter_map(|(node, pose)| {
            network.nodes.get(*node).map(|found| (*node, *pose, room(found, Sheet::Wide)))
        })
        .collect();
    let above = rooms.iter().map(|(.., room)| room.c_minus).fold(0.0, f64::max);
    let below = rooms.iter().map(|(.., room)| room.c_plus).fold(0.0, f64::max);
    let axis = libm::ceil((top + above) / STEP) * STEP;
    let mut x = libm::ceil(left / STEP) * STEP;
    for (node, pose, room) in rooms {
        let at = crate::Point::new(x + room.m_minus, axis);
        x += room.m_minus + room.m_plus + STEP;
        seated.push(Seated { node, at, pose, room, sheet: Sheet::Wide });
    }
    axis + below
}

impl Rows<'_> {
    fn find(&self, wanted: impl Fn(&Node) -> bool) -> Vec<usize> {
        self.rig.iter().copied().filter(|&at| self.network.nodes.get(at).is_some_and(&wanted)).collect()
    }

    fn joint(&self, node: &Node) -> Option<&JointKind> {
        match node.of {
            Thing::Joint(id) => self.graph.joint(id).map(|joint| &joint.kind),
            _ => None,
        }
    }

    fn tee_of(&self, space: SpaceId) -> Option<usize> {
        self.find(|node| node.symbol == Symbol::Tee && node.spaces.contains(&space)).first().copied()
    }

    /// The manifold in line: gauge, hand valve, hand valve, gauge.
    fn manifold(&self) -> (Group, BTreeSet<usize>) {
        let valves = self.find(|node| matches!(self.joint(node), Some(JointKind::HandValve { .. })));
        let mut group = Group::new();
        for (at, &valve) in valves.iter().enumerate() {
            let hose = self.network.nodes.get(valve).and_then(|node| node.spaces.first().copied());
            let tee = hose.and_then(|hose| self.tee_of(hose));
            let pose = if at == 0 { Pose::Right } else { Pose::Left };
            let pair = [tee.map(|tee| (tee, pose)), Some((valve, pose))];
            let pair = pair.into_iter().flatten();
            if at == 0 { group.extend(pair) } else { group.extend(pair.rev()) }
        }
        let used = group.iter().map(|(node, _)| *node).collect();
        (group, used)
    }

    /// Machines with their cylinders, then single gauges.
    fn groups(&self, used: &BTreeSet<usize>) -> Vec<Group> {
        let one = |wanted: Symbol| self.find(|node| node.symbol == wanted);
        let together = |symbols: [Symbol; 2], pose: Pose| -> Group {
            symbols.into_iter().flat_map(one).map(|node| (node, pose)).collect()
        };
        let mut groups = vec![
            together([Symbol::RecoveryMachine, Symbol::Cylinder], Pose::Right),
            one(Symbol::VacuumPump).into_iter().map(|node| (node, Pose::Right)).collect(),
            together([Symbol::NitrogenRegulator, Symbol::NitrogenCylinder], Pose::Left),
        ];
        let seen: BTreeSet<usize> =
            groups.iter().flatten().map(|(node, _)| *node).chain(used.iter().copied()).collect();
        groups.extend(
            self.rig.iter().filter(|node| !seen.contains(node)).map(|&node| vec![(node, Pose::Right)]),
        );
        groups.retain(|group| !group.is_empty());
        groups
    }

    fn rows(&self, room: f64) -> Vec<Group> {
        let (manifold, used) = self.manifold();
        let mut rows: Vec<Group> = Vec::new();
        let mut row = Group::new();
        for group in self.groups(&used) {
            if !row.is_empty() && width(self.network, &row) + width(self.network, &group) > room {
                rows.push(core::mem::take(&mut row));
            }
            row.extend(group);
        }
        rows.push(row);
        rows.insert(0, manifold);
        rows.retain(|row| !row.is_empty());
        rows
    }
}
