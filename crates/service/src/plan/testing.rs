//! How high a test may go, what sets it, and which stems keep the test gas out of the charge.

use stemwise_circuit::{Joint, JointId, JointKind, Lineup, Position, Sections, SpaceId, port_reach};
use stemwise_units::{GaugePressure, Pressure};

use super::run::Runs;

/// What sets a test pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SetBy {
    /// The lowest design pressure of what is joined: that of this space (EN 378-2: a test of tightness at no more than the pressure that the
    /// part is built for).
    Design(SpaceId),
    /// The same, kept so far below it that it is not passed while what is cold warms up.
    DesignWarming(SpaceId),
    /// The least that proves anything of it, though it passes it while what is cold warms up.
    DesignWatched(SpaceId),
    /// A relief valve that is joined; the test stays 15 % below its setting.
    Relief(JointId),
    /// The charge behind one-way joints: no test gas may pass into it.
    Behind(SpaceId),
    /// A part behind one-way joints from which the gas could not be taken out again.
    NoWayOut(SpaceId),
    /// The nitrogen regulator's usual range: nothing that is joined has a design pressure.
    Regulator,
}

/// Without any design pressure no more than this (common practice: what a usual nitrogen regulator gives).
const MOST: GaugePressure = GaugePressure::from_bar(40.0);
/// Kept below a relief valve's setting (common practice), and below the pressure behind one-way joints.
const BELOW_RELIEF: f64 = 0.85;
const BELOW_CHARGE: f64 = 0.95;
/// Rounding in the file of a procedure must not pass a limit.
const BELOW_ALL: f64 = 0.999;
/// Above this part of the atmosphere a section counts as charged: up to it a pump-down or a recovery leaves vapour.
const EMPTY: f64 = 1.25;

type Limit = (GaugePressure, SetBy);
/// No test proves anything below this part of what a part is built for (as the verifier asks).
const LEAST_PART: f64 = 0.801;

/// Volumes, m³, with their temperature now and later, K.
struct Warming(Vec<(f64, f64, f64)>);

impl Warming {
    /// What a pressure that is not to be passed later has to be now.
    fn before(&self, later: Pressure) -> Pressure {
        let p = later.as_pa();
        let moles = |pressure: f64, pick: fn(&(f64, f64, f64)) -> f64| {
            self.0
                .iter()
                .map(|part| pressure * part.0 / (compressibility(pressure, pick(part)) * pick(part)))
                .sum::<f64>()
        };
        let wanted = moles(p, |part| part.2);
        let mut now = p;
        // Compressibility changes little with pressure: this comes to rest at once.
        for _ in 0..4 {
            now *= wanted / moles(now, |part| part.1).max(1e-30);
        }
        Pressure::from_pa(if now.is_finite() { now.min(p) } else { p })
    }
}

/// Of nitrogen, by its second virial coefficient: −35.2 cm³/mol at 200 K, −16.2 at 250 K, −4.2 at 300 K, 3.0 at 350 K (J. H. Dymond, E. B. Smith, The virial
/// coefficients of pure gases and mixtures, 1980; from memory), straight between these. Good to 1 % up to 50 bar.
fn compressibility(pressure: f64, kelvin: f64) -> f64 {
    const TABLE: [(f64, f64); 4] = [(200.0, -35.2e-6), (250.0, -16.2e-6), (300.0, -4.2e-6), (350.0, 3.0e-6)];
    let at = TABLE.windows(2).find(|pair| matches!(pair, [_, (next, _)] if kelvin <= *next));
    let virial = match at.or_else(|| TABLE.windows(2).next_back()) {
        Some([(from, low), (to, high)]) => low + (high - low) * (kelvin - from) / (to - from),
        _ => 0.0,
    };
    // R in J/(mol K).
    1.0 + virial * pressure / (8.314_462_6 * kelvin.max(1.0))
}

/// Where a test gas comes from some spaces, with a lineup.
pub(super) struct TestGas {
    sections: Sections,
    /// The sections that it fills, those behind one-way joints included as far as no charge is in them.
    filled: Vec<usize>,
}

impl TestGas {
    fn fills(&self, space: SpaceId) -> bool {
        self.sections.of(space).is_some_and(|section| self.filled.contains(&section))
    }

    /// The spaces that it fills.
    pub(super) fn spaces(&self) -> Vec<SpaceId> {
        self.filled.iter().flat_map(|&section| self.sections.members(section)).copied().collect()
    }
}

/// A stem to move for a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Guard {
    pub(super) valve: JointId,
    pub(super) to: Position,
}

impl Runs<'_> {
    /// The highest test pressure of some spaces as things stand: what everything joined is built for, below what relief valves lift at, and
    /// below the pressure behind one-way joints, so that no nitrogen passes a standing compressor's valves into the charge.
    pub(super) fn test_pressure(&self, targets: &[SpaceId]) -> Limit {
        let (to, set_by) = self.limit(targets, &self.state().lineup);
        // Down to what a gauge shows: a tenth of a bar.
        let shown = (to.as_bar() * BELOW_ALL * 10.0).floor() / 10.0;
        (GaugePressure::from_bar(shown), set_by)
    }

    /// Where test gas gets to as things stand.
    pub(super) fn test_gas(&self, targets: &[SpaceId]) -> TestGas {
        self.gas(targets, &self.state().lineup)
    }

    fn is_charged(&self, space: SpaceId) -> bool {
        let limit = EMPTY * self.assembly().circuit.atmosphere.as_pa();
        let own = space.index() < self.assembly().circuit.graph.spaces.len();
        let above =
            |done: &crate::Done| done.settled.pressure(space).is_some_and(|found| found.as_pa() > limit);
        let refrigerant = self.state().held(space).is_some_and(|held| held.refrigerant.as_kg() > 1e-3);
        own && refrigerant && self.done.iter().any(above)
    }

    fn gas(&self, targets: &[SpaceId], lineup: &Lineup) -> TestGas {
        let sections = Sections::new(&self.assembly().graph, lineup);
        let mut filled: Vec<usize> = Vec::new();
        for section in targets.iter().filter_map(|&space| sections.of(space)) {
            if !filled.contains(&section) {
                filled.push(section);
            }
        }
        let mut at = 0;
        while let Some(&here) = filled.get(at) {
            at += 1;
            for &(_, from, to) in &sections.one_way {
                let Some(next) = sections.of(to).filter(|_| sections.of(from) == Some(here)) else {
                    continue;
                };
                let charged = sections.members(next).iter().any(|&space| self.is_charged(space));
                if !filled.contains(&next) && !charged {
                    filled.push(next);
                }
            }
        }
        TestGas { sections, filled }
    }

    fn limit(&self, targets: &[SpaceId], lineup: &Lineup) -> Limit {
        let graph = &self.assembly().graph;
        let atmosphere = self.assembly().circuit.atmosphere;
        let gas = self.gas(targets, lineup);
        let warms = self.warming(&gas);
        let designs = graph.spaces_with_ids().filter(|(id, _)| gas.fills(*id)).filter_map(|(id, space)| {
            let design = space.design?.value.gauge(atmosphere);
            let cold = warms.before(design.absolute(atmosphere)).gauge(atmosphere);
            Some(match design * LEAST_PART {
                _ if cold.as_pa() > 0.99 * design.as_pa() => (design, SetBy::Design(id)),
                least if cold < least => (least, SetBy::DesignWatched(id)),
                _ => (cold, SetBy::DesignWarming(id)),
            })
        });
        let reliefs =
            graph.joints_with_ids().filter(|(_, joint)| gas.fills(joint.a)).filter_map(|(id, joint)| {
                match joint.kind {
                    JointKind::Relief { setting } => {
                        let cold = warms.before(setting.absolute(atmosphere)).gauge(atmosphere);
                        let least = setting * LEAST_PART;
                        let cold = if cold < least { least } else { cold };
                        let usual = setting * BELOW_RELIEF;
                        Some((if cold < usual { cold } else { usual }, SetBy::Relief(id)))
                    }
                    _ => None,
                }
            });
        let ways = gas.sections.one_way.iter();
        let behind =
            ways.filter(|(_, from, to)| gas.fills(*from) && !gas.fills(*to)).filter_map(|(_, _, to)| {
                let lowest =
                    self.done.iter().filter_map(|done| done.settled.pressure(*to)).reduce(Pressure::min)?;
                Some((lowest.gauge(atmosphere) * BELOW_CHARGE, SetBy::Behind(*to)))
            });
        let shut_in =
            self.shut_in(&gas, lineup).map(|space| (GaugePressure::from_pa(0.0), SetBy::NoWayOut(space)));
        let lower = |one: Limit, other: Limit| if other.0 < one.0 { other } else { one };
        designs.chain(reliefs).chain(behind).chain(shut_in).fold((MOST, SetBy::Regulator), lower)
    }

    /// The volumes that the gas fills, as cold as they are and as warm as they may become while they stand: the warmest place's usual temperature, or the highest
    /// that is likely where they are.
    fn warming(&self, gas: &TestGas) -> Warming {
        let places = &self.assembly().circuit.places;
        let warmest = places.iter().map(|place| place.temperature.value.as_k()).fold(0.0, f64::max);
        let graph = &self.assembly().graph;
        let volumes = gas.spaces().into_iter().filter_map(|space| {
            let found = graph.space(space)?;
            let place = places.get(found.place.map_or(0, stemwise_circuit::PlaceId::index))?;
            let now = place.temperature.value.as_k();
            let later = place.temperature.high.as_k().min(warmest).max(now);
            Some((found.volume.value.as_m3(), now, later))
        });
        Warming(volumes.collect())
    }

    /// A space that the gas fills and from which no hose draws it out again; or one with charge in it.
    fn shut_in(&self, gas: &TestGas, lineup: &Lineup) -> Option<SpaceId> {
        let graph = &self.assembly().graph;
        let mut drawn: Vec<usize> = Vec::new();
        for attached in &lineup.attached {
            let read = port_reach(graph, attached.port, lineup).and_then(|reach| reach.space);
            if let Some(section) = read.and_then(|space| gas.sections.of(space)) {
                drawn.extend(gas.sections.upstream(section, true));
            }
        }
        let missed = gas.filled.iter().find(|section| !drawn.contains(section));
        let space = missed.and_then(|&section| gas.sections.members(section).first().copied());
        space.or_else(|| gas.spaces().into_iter().find(|&space| self.is_charged(space)))
    }

    /// The stem that, moved, lets the test go highest while the gas still reaches all of these spaces that it reached; none where the charge
    /// behind one-way joints is not what keeps it low. Of equals the one that leaves most in the test.
    pub(super) fn guard(&self, targets: &[SpaceId]) -> Option<Guard> {
        let lineup = &self.state().lineup;
        let (at_present, set_by) = self.limit(targets, lineup);
        if !matches!(set_by, SetBy::Behind(_) | SetBy::NoWayOut(_)) {
            return None;
        }
        let now = self.gas(targets, lineup);
        let parted = now.sections.len();
        let own = self.assembly().circuit.graph.joints_with_ids();
        let tried = own.filter_map(|(valve, joint)| {
            let needle = matches!(joint.kind, JointKind::PiercingValve);
            let near = !needle && (now.fills(joint.a) || now.fills(joint.b));
            let to = other_way(joint, lineup.position(valve)?).filter(|_| near)?;
            let mut other = lineup.clone();
            other.set(&self.assembly().graph, valve, to);
            let gas = self.gas(targets, &other);
            // What was tested together stays together.
            let together = gas.filled.len() <= now.filled.len() || gas.sections.len() <= parted;
            let (limit, _) = self.limit(targets, &other);
            let all = together && self.reached(targets, &gas, &other);
            (limit > at_present && all).then(|| (limit.as_pa(), gas.spaces().len(), Guard { valve, to }))
        });
        let better = |one: (f64, usize, Guard), other: (f64, usize, Guard)| {
            if other.0 > one.0 || (other.0 >= one.0 && other.1 > one.1) { other } else { one }
        };
        tried.reduce(better).map(|(_, _, guard)| guard)
    }

    /// Whether a hose lets gas into the section of each of these spaces, or into one from which it passes on to it.
    fn reached(&self, targets: &[SpaceId], gas: &TestGas, lineup: &Lineup) -> bool {
        let graph = &self.assembly().graph;
        let read: Vec<usize> = lineup
            .attached
            .iter()
            .filter_map(|attached| port_reach(graph, attached.port, lineup)?.space)
            .filter_map(|space| gas.sections.of(space))
            .collect();
        targets.iter().filter_map(|&target| gas.sections.of(target)).all(|section| {
            gas.sections.upstream(section, true).iter().any(|upstream| read.contains(upstream))
        })
    }
}

/// Shut where it is open, open where it is shut.
const fn other_way(joint: &Joint, stands: Position) -> Option<Position> {
    let three = matches!(joint.kind, JointKind::ServiceValve { .. });
    match (stands, three) {
        (Position::FrontSeated, _) => Some(Position::MidSeated),
        (Position::Shut, _) => Some(Position::Open),
        (_, true) => Some(Position::FrontSeated),
        (_, false) => Some(Position::Shut),
    }
}
