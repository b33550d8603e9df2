//! Turns a circuit and a job into the abstract service model, and what its search finds back into moves.

use stemwise_circuit::{
    Assembly, Graph, Joint as CircuitJoint, JointId, JointKind, PortId, PortOn, Position, SpaceId, SpaceKind,
    passage,
};
use stemwise_search::Outcome;
use stemwise_search::stems::{
    self, Content, Cost, Effort, Goal, Joint, Machine, Machinery, Nearby, Planner, Plant, PlantError,
    Rigging, SpaceSpec, Weights,
};
use stemwise_units::{Mass, Pressure};

use super::skeleton::{Machine as Put, Move, Skeleton};
use crate::level::cylinder_limit;
use crate::props::Refrigerant;
use crate::{Done, Job, JobKind, Way};

/// A closed section may be this full at its hottest likely temperature (facts §10: steep rise with less than 10 to 20 % vapour).
const FULLEST: f64 = 0.95;
/// So many states a search with the stems near the work may expand: for the cheapest way, and for the price of another way.
const NEAR: u64 = 2_000;
const NEAR_FOR_OTHERS: u64 = 1_000;
const EFFORT_NEAR_FOR_OTHERS: u64 = 20_000;
/// How much a search with every stem may do where that proves nothing: states expanded times the joints and ports that each is tried on, and for
/// large plants once more times what a state and its bound take, which grows as well. Below so many states it is not begun.
const EFFORT: u64 = 200_000;
const EFFORT_FOR_OTHERS: u64 = 8_000;
const EFFORT_LARGE: u64 = 340_000_000;
const TOO_FEW: u64 = 100;
const EFFORT_TURNS: u64 = 4_000;
/// Where no plan is found so, the bound is weighted, with the nearest stems: a way is found soon, and the gap to the bound is told. So many stems,
/// the weight, and the effort; the cheaper of what they find.
const HASTE: [(usize, u64, u64); 2] = [(24, 4, 12_000), (8, 8, 100_000)];
/// At most so many states in that.
const HASTE_STATES: u64 = 5_000;
const HASTE_STATES_FOR_OTHERS: u64 = 1_000;

/// What a search may use, changed one thing at a time to find out what is missing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Means {
    pub(super) way: Way,
    pub(super) cylinder_unlimited: bool,
    pub(super) no_fill_limits: bool,
    pub(super) more_recovery: bool,
    pub(super) more_vacuum: bool,
    pub(super) core_at: Option<SpaceId>,
    pub(super) closable: Option<JointId>,
    /// What a gram and a move cost.
    pub(super) weights: Weights,
    /// Only whether a way is found soon.
    pub(super) brief: bool,
    /// Turns of stems alone cost anything: two from open to shut, one to or from the middle of a three-connection valve.
    pub(super) turns_only: bool,
}

impl Means {
    pub(super) const fn of(way: Way) -> Self {
        Self {
            way,
            cylinder_unlimited: false,
            no_fill_limits: false,
            more_recovery: false,
            more_vacuum: false,
            core_at: None,
            closable: None,
            weights: Weights::BALANCED,
            brief: false,
            turns_only: false,
        }
    }
}

/// An abstract plant with the way back to the circuit.
pub(super) struct Sketch {
    plant: Plant,
    /// For each joint of the plant, the circuit's.
    joints: Vec<JointId>,
    /// For each port of the plant, the circuit's.
    ports: Vec<Option<PortId>>,
    /// How many joints can be turned, started or stopped.
    movable: usize,
    way: Way,
    weights: Weights,
    compressors: Vec<JointId>,
}

/// How a search for a skeleton ended.
pub(super) enum Found {
    Skeleton(Skeleton),
    Nothing,
    /// Not known: the search was cut short; no way costs less than this.
    Unknown {
        at_least: u64,
    },
}

fn grams(kg: f64) -> u64 {
    (kg * 1e3).round().max(0.0) as u64
}

impl Sketch {
    fn new(
        assembly: &Assembly,
        refrigerant: &Refrigerant,
        start: &Done,
        job: &Job,
        means: &Means,
    ) -> Result<Self, PlantError> {
        let graph = &assembly.circuit.graph;
        let spaces =
            graph.spaces_with_ids().map(|(id, _)| space(assembly, refrigerant, start, id, means)).collect();
        let mut joints = Vec::new();
        let mut from = Vec::new();
        let component: Vec<u32> =
            job.spaces.iter().filter(|space| !is_outside(graph, **space)).map(|space| space.0).collect();
        for (id, joint) in graph.joints_with_ids() {
            if let Some(found) = abstract_joint(joint, id, start, means) {
                joints.push(found);
                from.push(id);
            }
        }
        let (ports, port_ids) = ports(graph, &from, means);
        let goal = if job.works() { Goal::Job } else { Goal::Ready };
        let each = u64::from(!means.turns_only);
        let one = Cost {
            start: each,
            stop: each,
            attach: each,
            detach: each,
            recover: each,
            evacuate: each,
            work: each,
        };
        let movable = joints
            .iter()
            .filter(|joint| {
                !matches!(
                    joint,
                    Joint::Pipe { .. } | Joint::Check { .. } | Joint::Valve { movable: false, .. }
                )
            })
            .count();
        let plant = Plant::new(
            spaces,
            joints,
            ports,
            machinery(assembly, refrigerant, start, job, means),
            one,
            goal,
            &component,
        )?;
        let compressors = crate::compressors(&assembly.circuit);
        Ok(Self {
            plant,
            joints: from,
            ports: port_ids,
            movable,
            way: means.way,
            weights: means.weights,
            compressors,
        })
    }

    /// The cheapest way, if the effort allows; else a good one with how far it may be off.
    ///
    /// First with the stems near the work only, which is mostly proved to be the best of all. Otherwise the whole plant is tried.
    pub(super) fn solve(
        assembly: &Assembly,
        refrigerant: &Refrigerant,
        start: &Done,
        job: &Job,
        means: &Means,
    ) -> Result<Found, PlantError> {
        let sketch = Self::new(assembly, refrigerant, start, job, means)?;
        let thorough = means.way == Way::Cheapest && !means.brief;
        let planner = sketch.planner();
        let few = sketch.states(EFFORT_NEAR_FOR_OTHERS).max(NEAR_FOR_OTHERS);
        let near = planner.plan_near(if thorough { NEAR } else { few });
        let Some(Nearby { plan, mut at_least, statistics }) = near else { return Ok(Found::Nothing) };
        let mut expanded = statistics.expanded;
        if plan.as_ref().is_some_and(|(_, cost)| *cost <= at_least) {
            return Ok(sketch.found(plan.map(flat), at_least, expanded));
        }
        let states = sketch.states(if thorough { EFFORT } else { EFFORT_FOR_OTHERS });
        if states >= TOO_FEW {
            let search = planner.plan(states);
            expanded += search.statistics.expanded;
            match search.outcome {
                Outcome::Solved { plan, cost } => {
                    return Ok(sketch.found(Some(flat((plan, cost))), cost, expanded));
                }
                Outcome::Unsolvable => return Ok(Found::Nothing),
                Outcome::Limit { at_least: least } => at_least = at_least.max(least),
            }
        }
        if plan.is_some() {
            return Ok(sketch.found(plan.map(flat), at_least, expanded));
        }
        let most = if thorough { HASTE_STATES } else { HASTE_STATES_FOR_OTHERS };
        let hasty = HASTE
            .iter()
            .filter_map(|&(stems, weight, effort)| {
                planner.plan_hastily(stems, weight, sketch.states(effort).min(most))
            })
            .min_by_key(|(_, cost)| *cost);
        Ok(sketch.found(hasty, at_least, expanded))
    }

    /// A lower bound on the turns of stems that any way takes. A three-connection valve that goes from one seat to the other is turned once here,
    /// though it passes its middle.
    pub(super) fn fewest_turns(
        assembly: &Assembly,
        refrigerant: &Refrigerant,
        start: &Done,
        job: &Job,
    ) -> Result<u64, PlantError> {
        let means =
            Means { weights: Weights { gram: 0, step: 1 }, turns_only: true, ..Means::of(Way::Cheapest) };
        let sketch = Self::new(assembly, refrigerant, start, job, &means)?;
        let planner = sketch.planner();
        let Some(near) = planner.plan_near(NEAR_FOR_OTHERS) else { return Ok(0) };
        let halves = if near.proved() {
            near.at_least
        } else {
            match planner.plan(sketch.states(EFFORT_TURNS)).outcome {
                Outcome::Solved { cost, .. } => cost,
                Outcome::Limit { at_least } => at_least.max(near.at_least),
                Outcome::Unsolvable => 0,
            }
        };
        Ok(halves.div_ceil(2))
    }

    fn planner(&self) -> Planner<'_> {
        Planner::new(&self.plant, self.weights, Effort::Full)
    }

    /// So many states an effort is worth on this plant.
    fn states(&self, effort: u64) -> u64 {
        let tried = ((self.movable + self.plant.ports().len()) as u64).max(1);
        (effort / tried).min(EFFORT_LARGE / (tried * tried * tried))
    }

    /// A plan with how far it may be off.
    fn found(&self, plan: Option<(Vec<stems::Action>, u64)>, at_least: u64, expanded: u64) -> Found {
        let Some((plan, cost)) = plan else { return Found::Unknown { at_least } };
        let gap = Some(cost.saturating_sub(at_least)).filter(|gap| *gap > 0);
        Found::Skeleton(self.skeleton(&plan, cost, gap, expanded))
    }

    fn skeleton(&self, plan: &[stems::Action], cost: u64, gap: Option<u64>, expanded: u64) -> Skeleton {
        let critical = self.critical(plan);
        let mut moves: Vec<Move> = Vec::new();
        let mut flags = Vec::new();
        // Where the compressor is not part of the search it is stopped before and started after.
        let aside = self.way == Way::RecoverSection || self.way == Way::RecoverWhole;
        if aside {
            moves.extend(self.compressors.iter().map(|&compressor| Move::Stop(compressor)));
        }
        flags.resize(moves.len(), false);
        for (action, critical) in plan.iter().zip(critical) {
            if let Some(step) = self.back(action) {
                moves.push(step);
                flags.push(critical);
            }
        }
        if aside && moves.contains(&Move::Work) {
            moves.extend(self.compressors.iter().map(|&compressor| Move::Start(compressor)));
            flags.resize(moves.len(), true);
        }
        Skeleton { moves, critical: flags, cost, gap, expanded }
    }

    /// Whether leaving a step out is unsafe, or a wrong turn before it is.
    fn critical(&self, plan: &[stems::Action]) -> Vec<bool> {
        let Ok(trace) = self.plant.trace(plan) else { return vec![true; plan.len()] };
        let (slips, _) = self.plant.slips(plan, &trace);
        let omitted = self.plant.omissions(plan, &trace);
        let unsafe_without = |at: usize| {
            matches!(omitted.get(at), Some(stems::Verdict::Fails { why: stems::Refused::Unsafe(_), .. }))
        };
        (0..plan.len()).map(|at| unsafe_without(at) || slips.iter().any(|slip| slip.step == at)).collect()
    }

    fn joint(&self, at: u32) -> Option<JointId> {
        self.joints.get(at as usize).copied()
    }

    fn port(&self, at: u32) -> Option<PortId> {
        self.ports.get(at as usize).copied().flatten()
    }

    fn back(&self, action: &stems::Action) -> Option<Move> {
        Some(match *action {
            stems::Action::Turn(joint, to) => Move::Turn(self.joint(joint)?, self.position(joint, to)?),
            stems::Action::Start(joint) => Move::Start(self.joint(joint)?),
            stems::Action::Stop(joint) => Move::Stop(self.joint(joint)?),
            stems::Action::Attach(machine, port) => Move::Attach(put(machine), self.port(port)?),
            stems::Action::Detach(machine, port) => Move::Detach(put(machine), self.port(port)?),
            stems::Action::Recover(port) => Move::Recover(self.port(port?)?),
            stems::Action::Evacuate(port) => Move::Evacuate(self.port(port?)?),
            stems::Action::Work => Move::Work,
        })
    }

    fn position(&self, joint: u32, to: stems::Position) -> Option<Position> {
        let three = matches!(self.plant.joints().get(joint as usize)?, Joint::Valve { three: true, .. });
        Some(match (three, to) {
            (true, stems::Position::OpenOrBack) => Position::BackSeated,
            (true, stems::Position::Mid) => Position::MidSeated,
            (true, stems::Position::ShutOrFront) => Position::FrontSeated,
            (false, stems::Position::ShutOrFront) => Position::Shut,
            (false, _) => Position::Open,
        })
    }
}

fn flat((plan, cost): (Vec<stems::Steps>, u64)) -> (Vec<stems::Action>, u64) {
    (plan.into_iter().flatten().collect(), cost)
}

const fn put(machine: Machine) -> Put {
    match machine {
        Machine::Vacuum => Put::Vacuum,
        _ => Put::Recovery,
    }
}

fn is_outside(graph: &Graph, space: SpaceId) -> bool {
    graph.space(space).is_none_or(|space| space.kind == SpaceKind::Atmosphere)
}

fn space(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    start: &Done,
    id: SpaceId,
    means: &Means,
) -> SpaceSpec {
    let nothing = SpaceSpec {
        content: Content::Nothing,
        liquid: 0,
        room: 0,
        vapour: 0,
        residual: 0,
        limit: 0,
        rank: 0,
        sink: false,
        relief: false,
    };
    let Some(found) = assembly.graph.space(id).filter(|found| found.kind != SpaceKind::Atmosphere) else {
        return nothing;
    };
    let place = found.place.and_then(|place| assembly.circuit.places.get(place.index()));
    let usual = place.map_or(293.15, |place| place.temperature.value.as_k());
    let critical = refrigerant.substance().critical_temperature().as_k();
    let hot = place.map_or(usual, |place| place.temperature.high.as_k()).min(0.97 * critical);
    let volume = found.volume.value.as_m3();
    let cool = refrigerant.sat(usual.min(0.97 * critical));
    let (liquid, vapour) = cool.map_or((0.0, 0.0), |sat| (sat.liquid, sat.vapour));
    let hottest = refrigerant.sat(hot).map_or(liquid, |sat| sat.liquid);
    let held = start.state.held(id).map_or(0.0, |held| held.refrigerant.as_kg());
    let pressure = start.settled.pressure(id).map_or(0.0, Pressure::as_pa);
    let atmosphere = assembly.circuit.atmosphere.as_pa();
    let full = found.fill_limit.map_or(FULLEST, |limit| limit.value.min(FULLEST));
    SpaceSpec {
        content: if held > 0.0 && pressure > 1.05 * atmosphere {
            Content::Pressure
        } else {
            Content::Residual
        },
        liquid: grams(held - vapour * volume),
        room: grams((liquid - vapour) * volume),
        vapour: grams(vapour * volume),
        residual: grams(refrigerant.thin(usual, atmosphere) * volume),
        limit: grams(hottest * volume * full * 100.0),
        rank: (found.height.value.as_m() * 1e3) as i64,
        sink: matches!(found.kind, SpaceKind::Condenser | SpaceKind::ReversibleCoil | SpaceKind::Receiver),
        relief: means.no_fill_limits
            || assembly
                .circuit
                .graph
                .joints
                .iter()
                .any(|joint| joint.a == id && matches!(joint.kind, JointKind::Relief { .. })),
    }
}

fn abstract_joint(joint: &CircuitJoint, id: JointId, start: &Done, means: &Means) -> Option<Joint> {
    let (a, b) = (joint.a.0, joint.b.0);
    // The needle of a piercing valve that was left behind is nobody's stem: it stays as it is until the valve comes off.
    let left_behind = matches!(joint.kind, JointKind::PiercingValve);
    let frozen = left_behind || means.way == Way::RecoverWhole;
    let valve = |three: bool, stays: u32| {
        let position = |found: Option<Position>| match found {
            Some(Position::FrontSeated | Position::Shut) => stems::Position::ShutOrFront,
            Some(Position::MidSeated | Position::Cracked) if three => stems::Position::Mid,
            _ => stems::Position::OpenOrBack,
        };
        Joint::Valve {
            a,
            b,
            three,
            port_stays_with: stays,
            position: position(start.state.lineup.position(id)),
            normal: position(joint.stem.as_ref().map(|stem| stem.normal)),
            cost: if means.turns_only && !three { 2 } else { 1 },
            movable: joint.stem.is_some() && !frozen,
        }
    };
    let two = |stays| valve(false, stays);
    Some(match &joint.kind {
        _ if means.closable == Some(id) => two(b),
        JointKind::Pipe
        | JointKind::Solenoid { .. }
        | JointKind::Metering(_)
        | JointKind::Regulator { .. } => Joint::Pipe { a, b },
        JointKind::ServiceValve { port_stays_with, .. } => valve(true, joint.end(*port_stays_with).0),
        JointKind::LineSetValve { .. } | JointKind::HandValve { .. } | JointKind::PiercingValve => two(b),
        JointKind::Check => Joint::Check { from: a, to: b },
        JointKind::Compressor(compressor) => {
            let aside = matches!(means.way, Way::RecoverSection | Way::RecoverWhole);
            let normal = compressor.normally_running && !aside;
            let running = start.state.lineup.is_active(id) && !aside;
            let leaks = compressor.leaks_back;
            Joint::Compressor { from: a, to: b, running, normal, startable: !aside, leaks }
        }
        JointKind::ReversingPath { .. } if passage(joint, id, &start.state.lineup).joins() => {
            Joint::Pipe { a, b }
        }
        _ => return None,
    })
}

fn ports(graph: &Graph, joints: &[JointId], means: &Means) -> (Vec<stems::PortOn>, Vec<Option<PortId>>) {
    let mut ports = Vec::new();
    let mut ids = Vec::new();
    for (id, port) in graph.ports_with_ids() {
        let on = match port.on {
            // What a piercing valve is on, its port reads with the needle drawn back.
            PortOn::Space(space) => match graph.needle(id).and_then(|needle| graph.joint(needle)) {
                Some(needle) => Some(stems::PortOn::Core(needle.a.0)),
                None => port.core.then_some(stems::PortOn::Core(space.0)),
            },
            PortOn::ServiceValve(valve) => {
                // A stem that can't be reached is frozen: its port is of no use.
                let reachable = graph.joint(valve).is_some_and(|joint| joint.stem.is_some());
                let at = (0u32..).zip(joints).find(|(_, joint)| **joint == valve).map(|(at, _)| at);
                at.filter(|_| reachable).map(stems::PortOn::Valve)
            }
        };
        if let Some(on) = on {
            ports.push(on);
            ids.push(Some(id));
        }
    }
    if let Some(space) = means.core_at {
        ports.push(stems::PortOn::Core(space.0));
        ids.push(None);
    }
    (ports, ids)
}

fn machinery(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    start: &Done,
    job: &Job,
    means: &Means,
) -> Machinery {
    let cylinder = assembly.rig.cylinder.as_ref();
    let held = assembly
        .rigged
        .cylinder
        .and_then(|at| start.state.held(at))
        .map_or(Mass::from_kg(0.0), |held| held.refrigerant);
    let usable = cylinder.filter(|cylinder| {
        let same = cylinder.holds.as_ref().is_none_or(|(name, _)| *name == assembly.circuit.refrigerant);
        same && !cylinder.out_of_date
    });
    let limit = usable.and_then(|cylinder| cylinder_limit(refrigerant, cylinder.all_water()));
    let room = limit.map_or(0, |limit| grams((limit - held).as_kg()));
    let wanted = means.way != Way::PumpDownOnly && job.kind != JobKind::PumpDown;
    Machinery {
        recovery: wanted && (assembly.rigged.recovery_machine.is_some() || means.more_recovery),
        vacuum: assembly.rigged.vacuum_pump.is_some() || means.more_vacuum,
        cylinder_room: if means.cylinder_unlimited || means.more_recovery { 1_000_000_000 } else { room },
        rigging: Rigging::Manifold,
    }
}
