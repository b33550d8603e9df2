//! Which way fluid passes every connection: known for most devices, inferred for valves that the file turns by their body.

use crate::network::{Flow, Network};

/// Infers every flow that is still unknown; what nothing decides runs from a valve's first connection to its second.
pub(crate) fn infer(network: &mut Network) {
    let by_net = network.ends_by_net();
    loop {
        while by_net.iter().any(|ends| settle_net(network, ends)) | settle_nodes(network) {}
        if !guess_one(network) {
            break;
        }
    }
}

fn flow(network: &Network, (node, end): (usize, usize)) -> Flow {
    network.nodes.get(node).and_then(|node| node.ends.get(end)).map_or(Flow::Unknown, |end| end.flow)
}

fn set(network: &mut Network, (node, end): (usize, usize), flow: Flow) {
    if let Some(end) = network.nodes.get_mut(node).and_then(|node| node.ends.get_mut(end)) {
        end.flow = flow;
    }
}

/// The only unknown flow in a list is opposite to all others, if these agree.
fn last_unknown(flows: &[Flow]) -> Option<(usize, Flow)> {
    let mut unknown = flows.iter().enumerate().filter(|(_, flow)| **flow == Flow::Unknown);
    let (Some((at, _)), None) = (unknown.next(), unknown.next()) else { return None };
    let mut known = flows.iter().filter(|flow| **flow != Flow::Unknown);
    let first = *known.next()?;
    known.all(|flow| *flow == first).then(|| (at, first.turned()))
}

fn settle_net(network: &mut Network, ends: &[(usize, usize)]) -> bool {
    // What sits in the middle of a net passes both ways and decides nothing.
    let tee = |node: usize| network.nets.iter().any(|net| net.tees.contains(&node));
    let ends: Vec<_> = ends.iter().copied().filter(|&(node, _)| !tee(node)).collect();
    let flows: Vec<Flow> = ends.iter().map(|&end| flow(network, end)).collect();
    let Some((at, found)) = last_unknown(&flows) else { return false };
    if let Some(&end) = ends.get(at) {
        set(network, end, found);
    }
    true
}

fn settle_nodes(network: &mut Network) -> bool {
    let mut changed = false;
    for node in &mut network.nodes {
        let flows: Vec<Flow> = node.ends.iter().map(|end| end.flow).collect();
        if let Some((at, found)) = last_unknown(&flows)
            && let Some(end) = node.ends.get_mut(at)
        {
            end.flow = found;
            changed = true;
        }
    }
    changed
}

fn guess_one(network: &mut Network) -> bool {
    for node in &mut network.nodes {
        let unknown = node.ends.iter().position(|end| end.flow == Flow::Unknown);
        if let Some(end) = unknown.and_then(|at| node.ends.get_mut(at).map(|end| (at, end))) {
            end.1.flow = if end.0 == 0 { Flow::In } else { Flow::Out };
            return true;
        }
    }
    false
}
