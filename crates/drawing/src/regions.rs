//! The places behind the parts: boxes along each lane, joined where neighbours stand in the same place.

use std::collections::BTreeMap;

use stemwise_circuit::{Circuit, PlaceId};

use crate::compose::heading;
use crate::network::Network;
use crate::place::Layout;
use crate::{Point, Rect, Region, Sheet};

/// A stretch of a lane in one place.
struct Stretch {
    place: PlaceId,
    from: f64,
    to: f64,
    lane: i32,
}

/// The regions, in the order of the circuit's places.
pub(crate) fn regions(circuit: &Circuit, network: &Network, layout: &Layout) -> Vec<Region> {
    let mut boxes: BTreeMap<PlaceId, Vec<Rect>> = BTreeMap::new();
    // In a column the name stands beside the pipe.
    let mut axes: BTreeMap<PlaceId, Vec<f64>> = BTreeMap::new();
    for stretch in stretches(network, layout) {
        let Some(lane) = layout.lanes.get(&stretch.lane) else { continue };
        let corners = (layout.point(stretch.from, lane.from), layout.point(stretch.to, lane.to));
        boxes.entry(stretch.place).or_default().push(Rect::spanning(corners.0, corners.1));
        axes.entry(stretch.place).or_default().push(-lane.axis);
    }
    if boxes.len() < 2 {
        return Vec::new();
    }
    let region = |(place, boxes): (PlaceId, Vec<Rect>)| {
        let name = &circuit.places.get(place.index())?.name;
        let needs = crate::width(name) + 12.0;
        let narrow = |at: &Rect| at.width < needs;
        let first = boxes.iter().enumerate().min_by(|(_, one), (_, other)| {
            narrow(one).cmp(&narrow(other)).then(one.y.total_cmp(&other.y)).then(one.x.total_cmp(&other.x))
        })?;
        let (at, first) = first;
        let axis = axes.get(&place).and_then(|axes| axes.get(at)).copied();
        let x = if layout.sheet == Sheet::Tall { axis.map_or(first.x, |axis| axis + 2.0) } else { first.x };
        let label = heading(name, Point::new(x + 6.0, first.y + 3.0), (first.right() - x - 8.0).max(20.0));
        Some(Region { place, boxes, label })
    };
    boxes.into_iter().filter_map(region).collect()
}

fn stretches(network: &Network, layout: &Layout) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    for (node, placed) in &layout.places {
        let place = network.nodes.get(*node).and_then(|node| node.place);
        let (Some(place), Some(room)) = (place, layout.rooms.get(node)) else { continue };
        let above = if layout.sheet == Sheet::Tall { 22.0 } else { 0.0 };
        all.push(Stretch {
            place,
            from: placed.m - room.m_minus - above,
            to: placed.m + room.m_plus,
            lane: placed.lane,
        });
    }
    all.sort_by(|one, other| one.lane.cmp(&other.lane).then(one.from.total_cmp(&other.from)));
    let mut merged: Vec<Stretch> = Vec::new();
    for next in all {
        match merged.last_mut() {
            Some(last) if last.lane == next.lane && last.place == next.place => {
                last.to = last.to.max(next.to)
            }
            Some(last) if last.lane == next.lane && last.to > next.from => {
                let next = Stretch { from: last.to, ..next };
                merged.push(next);
            }
            _ => merged.push(next),
        }
    }
    merged
}
