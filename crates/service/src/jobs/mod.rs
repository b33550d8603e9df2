//! The catalogue of jobs: what a technician says, and which spaces it is about.

mod catalogue;
mod charging;
mod find;

pub use charging::{ChargeTarget, JudgedBy, TargetFrom};
pub(crate) use find::accesses;
pub use find::{JobError, find_job, jobs, together};

use stemwise_circuit::{
    Assembly, Circuit, Graph, Joint, JointId, JointKind, Mode, PortId, PortOn, SpaceId, SpaceKind,
};
use stemwise_units::{Mass, TemperatureDifference};

pub(crate) use catalogue::Opening;
use catalogue::entry;
pub(crate) use charging::{target as charge_target, tells as tells_charge};

/// A kind of job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JobKind {
    /// Read the pressures of the running system.
    TakeReadings,
    /// Get the low side's refrigerant into the high side and hold it there.
    PumpDown,
    /// Get a system that was pumped down to run again.
    ReturnToService,
    /// Replace the filter drier.
    ReplaceDrier,
    /// Replace a compressor, the charge held in the rest of the system.
    ReplaceCompressor,
    /// Replace a metering device.
    ReplaceMetering,
    /// Replace a solenoid valve.
    ReplaceSolenoid,
    /// Replace an evaporator.
    ReplaceEvaporator,
    /// Replace a condenser.
    ReplaceCondenser,
    /// Replace a coil that heats or cools as a reversing valve stands.
    ReplaceCoil,
    /// Replace a receiver.
    ReplaceReceiver,
    /// Replace a suction accumulator.
    ReplaceAccumulator,
    /// Replace an oil separator.
    ReplaceOilSeparator,
    /// Replace a check valve.
    ReplaceCheck,
    /// Replace a pressure regulator.
    ReplaceRegulator,
    /// Replace a three-connection service valve.
    ReplaceServiceValve,
    /// Replace a ball valve, a hand valve or a line-set valve.
    ReplaceHandValve,
    /// Replace a relief valve.
    ReplaceRelief,
    /// Replace a reversing valve.
    ReplaceReversingValve,
    /// Replace a sight glass.
    ReplaceSightGlass,
    /// Repair a leak in a liquid line.
    RepairLiquidLine,
    /// Repair a leak in a suction line.
    RepairSuctionLine,
    /// Repair a leak in a discharge (hot-gas) line.
    RepairDischargeLine,
    /// Repair a leak in another line.
    RepairLine,
    /// Repair a leak at any part, line, valve or port.
    RepairLeak,
    /// Recover the whole charge.
    RecoverAll,
    /// Test a new system, or a section of one in service, with nitrogen.
    TestWithNitrogen,
    /// Evacuate a new system, or a section of one in service.
    Evacuate,
    /// The same three times, with nitrogen between.
    EvacuateThrice,
    /// Charge an evacuated system.
    FirstCharge,
    /// Add what is missing of the charge.
    TopUp,
    /// Add refrigerant until the subcooling is right.
    ChargeBySubcooling,
    /// Add refrigerant until the superheat is right.
    ChargeBySuperheat,
    /// Let a split unit's factory charge into its line set.
    ReleaseCharge,
    /// Get the charge into the outdoor unit, to move it.
    MoveOut,
    /// Replace a port's core under pressure.
    SwapCore,
    /// Add oil to a compressor.
    AddOil,
    /// Drain a compressor's oil and fill in new.
    ChangeOil,
    /// Give a sealed system an access valve: in through a bolt-on piercing valve, which a brazed one replaces.
    FitAccess,
    /// Take a system out of use.
    Decommission,
}

impl JobKind {
    /// Every kind, in the order in which they are listed.
    pub fn all() -> impl Iterator<Item = Self> {
        catalogue::CATALOGUE.iter().map(|entry| entry.kind)
    }

    /// As the technician says it.
    pub fn words(self) -> &'static str {
        entry(self).map_or("", |entry| entry.words)
    }

    /// Whether it isolates nothing and leaves the system running with the charge that the nameplate gives.
    pub(crate) const fn fills(self) -> bool {
        matches!(
            self,
            Self::ReturnToService
                | Self::FirstCharge
                | Self::TopUp
                | Self::ChargeBySubcooling
                | Self::ChargeBySuperheat
                | Self::ReleaseCharge
        )
    }

    /// Whether a part of the circuit is opened, and so tested, dried and refilled.
    pub fn opens(self) -> bool {
        self.opening().is_some()
    }

    /// Whether opening it counts as a major repair (40 CFR 82.152: removal of a compressor, condenser, evaporator or auxiliary coil).
    pub fn is_major(self) -> bool {
        self.opening().is_some_and(|opening| opening.major)
    }

    /// The new part, or what else is brought for the repair.
    pub fn bring(self) -> Option<&'static str> {
        self.opening().map(|opening| opening.bring)
    }

    /// What it charges by, where it does so by what the running system shows.
    pub const fn judged_by(self) -> Option<JudgedBy> {
        match self {
            Self::ChargeBySubcooling => Some(JudgedBy::Subcooling),
            Self::ChargeBySuperheat => Some(JudgedBy::Superheat),
            _ => None,
        }
    }

    pub(crate) fn opening(self) -> Option<&'static Opening> {
        entry(self).and_then(|entry| entry.opening.as_ref())
    }
}

/// What of the circuit a job is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Target {
    /// The circuit as a whole.
    Whole,
    /// One space.
    Space(SpaceId),
    /// A joint, with what is on both sides of it.
    Joint(JointId),
    /// A port.
    Port(PortId),
}

/// A job on a circuit, or several that are done on one visit.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What kind; of several the one that leads.
    pub kind: JobKind,
    /// The id of the part, device or line that it is about; none where it is about the whole, or where there is only one.
    pub target: Option<String>,
    /// What people call that.
    pub target_name: Option<String>,
    /// What it is about.
    pub about: Target,
    /// The spaces that have to be empty when the circuit is opened, or at the stop pressure for a pump-down.
    pub spaces: Vec<SpaceId>,
    /// How much, where the job says so.
    pub amount: Option<Mass>,
    /// The subcooling or superheat to charge to, where the job says so.
    pub difference: Option<TemperatureDifference>,
    /// The jobs that are done together, where there are several.
    pub together: Vec<Job>,
}

impl Job {
    /// The words that name it, and that [`find_job`] understands: the kind, and the target where there are several; jobs that are done
    /// together with a plus between them.
    pub fn words(&self) -> String {
        if !self.together.is_empty() {
            return self.together.iter().map(Self::words).collect::<Vec<_>>().join(" + ");
        }
        match &self.target {
            Some(target) => format!("{}: {target}", self.kind.words()),
            None => self.kind.words().to_owned(),
        }
    }

    /// The jobs that it consists of: itself, where it is one.
    pub fn parts(&self) -> &[Self] {
        if self.together.is_empty() { core::slice::from_ref(self) } else { &self.together }
    }

    /// Whether one of its parts is of a kind.
    pub fn has(&self, kind: JobKind) -> bool {
        self.parts().iter().any(|part| part.kind == kind)
    }

    /// Whether a part of the circuit is opened.
    pub fn opens(&self) -> bool {
        self.parts().iter().any(|part| part.kind.opens())
    }

    /// Whether a section is emptied, worked on and brought back: opened, or tested or dried where it stands.
    pub fn works(&self) -> bool {
        let tests =
            matches!(self.kind, JobKind::TestWithNitrogen | JobKind::Evacuate | JobKind::EvacuateThrice);
        self.opens() || (tests && self.about != Target::Whole)
    }

    /// The access that it fits, where it is about one.
    pub(crate) fn access(&self, assembly: &Assembly) -> Option<PortId> {
        let line = self.parts().iter().find(|part| part.kind == JobKind::FitAccess)?.about;
        let ports = assembly.graph.ports_with_ids();
        ports.filter(|(_, port)| matches!((port.on, line), (PortOn::Space(at), Target::Space(wanted)) if at == wanted)).map(|(id, _)| id).next()
    }

    /// The part in a sentence: "the drier", or by its name where there are several.
    pub(crate) fn it(&self) -> String {
        match (&self.target, &self.target_name) {
            (Some(_), Some(name)) => format!("the {name}"),
            _ => entry(self.kind).map_or("it", |entry| entry.it).to_owned(),
        }
    }
}

/// The spaces from the metering devices to the compressors' suction side, following the flow; stems don't matter here.
fn low_side(graph: &Graph) -> Vec<SpaceId> {
    let mut low: Vec<SpaceId> = graph
        .joints
        .iter()
        .filter(|joint| matches!(joint.kind, JointKind::Compressor(_)))
        .map(|joint| joint.a)
        .collect();
    let mut at = 0;
    while let Some(&space) = low.get(at) {
        at += 1;
        for other in graph.joints.iter().filter_map(|joint| low_side_neighbour(joint, space)) {
            if !low.contains(&other) {
                low.push(other);
            }
        }
    }
    low.sort();
    low
}

/// The space on the other side of a joint, if the low side goes on there. A check valve is followed against its flow only, so that
/// a bypass round a metering device does not lead into the liquid line; a reversing valve as it stands for cooling.
fn low_side_neighbour(joint: &Joint, from: SpaceId) -> Option<SpaceId> {
    let other = if joint.a == from {
        joint.b
    } else if joint.b == from {
        joint.a
    } else {
        return None;
    };
    let goes_on = match joint.kind {
        JointKind::Compressor(_) | JointKind::Metering(_) | JointKind::Relief { .. } => false,
        JointKind::Check => joint.b == from,
        JointKind::ReversingPath { open_in } => open_in == Mode::Cooling,
        _ => true,
    };
    goes_on.then_some(other)
}

/// Whether a space lies on the suction side of the circuit, by the flow.
pub(crate) fn is_suction_side(graph: &Graph, space: SpaceId) -> bool {
    low_side(graph).contains(&space)
}

/// The spaces between a split unit's line-set valves, on the side of the line set.
pub fn line_set(circuit: &Circuit) -> Vec<SpaceId> {
    let graph = &circuit.graph;
    let is_valve = |joint: &&Joint| matches!(joint.kind, JointKind::LineSetValve { .. });
    let stops = |joint: &&Joint| is_valve(joint) || matches!(joint.kind, JointKind::PiercingValve);
    let mut found: Vec<SpaceId> = graph.joints.iter().filter(is_valve).map(|joint| joint.b).collect();
    found.sort_unstable();
    found.dedup();
    let mut at = 0;
    while let Some(&here) = found.get(at) {
        at += 1;
        let beyond = graph.joints.iter().filter(|joint| !stops(joint)).filter_map(|joint| {
            let other = (joint.a == here).then_some(joint.b).or((joint.b == here).then_some(joint.a))?;
            graph.space(other).is_some_and(|space| space.kind != SpaceKind::Atmosphere).then_some(other)
        });
        for other in beyond.collect::<Vec<_>>() {
            if !found.contains(&other) {
                found.push(other);
            }
        }
    }
    found.sort_unstable();
    found
}

/// The compressors of a circuit.
pub fn compressors(circuit: &Circuit) -> Vec<JointId> {
    let joints = circuit.graph.joints_with_ids();
    joints.filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_))).map(|(id, _)| id).collect()
}
