//! The catalogue of jobs: what a technician says, and which spaces it is about.

use stemwise_circuit::{Circuit, Graph, Joint, JointId, JointKind, Mode, Space, SpaceId, SpaceKind};

/// A kind of job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum JobKind {
    /// Read the pressures of the running system.
    TakeReadings,
    /// Get the low side's refrigerant into the high side and hold it there.
    PumpDown,
    /// Replace the filter drier.
    ReplaceDrier,
    /// Replace a compressor, the charge held in the rest of the system.
    ReplaceCompressor,
    /// Replace a metering device.
    ReplaceMetering,
    /// Repair a leak in a liquid line.
    RepairLiquidLine,
    /// Recover the whole charge.
    RecoverAll,
}

/// Every kind, in the order in which they are listed.
pub const JOB_KINDS: [JobKind; 7] = [
    JobKind::TakeReadings,
    JobKind::PumpDown,
    JobKind::ReplaceDrier,
    JobKind::ReplaceCompressor,
    JobKind::ReplaceMetering,
    JobKind::RepairLiquidLine,
    JobKind::RecoverAll,
];

impl JobKind {
    /// As the technician says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TakeReadings => "take readings",
            Self::PumpDown => "pump down",
            Self::ReplaceDrier => "replace the drier",
            Self::ReplaceCompressor => "replace the compressor",
            Self::ReplaceMetering => "replace the metering device",
            Self::RepairLiquidLine => "repair the liquid line",
            Self::RecoverAll => "recover all",
        }
    }

    /// Whether a part of the circuit is opened, and so tested, dried and refilled.
    pub const fn opens(self) -> bool {
        !matches!(self, Self::TakeReadings | Self::PumpDown | Self::RecoverAll)
    }

    /// Whether opening it counts as a major repair (40 CFR 82.152: removal of a compressor, condenser, evaporator or auxiliary coil).
    pub const fn is_major(self) -> bool {
        matches!(self, Self::ReplaceCompressor)
    }
}

/// A job on a circuit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// What kind.
    pub kind: JobKind,
    /// The id of the part, device or line that it is about; none where it is about the whole.
    pub target: Option<String>,
    /// What people call that.
    pub target_name: Option<String>,
    /// The spaces that have to be empty when the circuit is opened, or at the stop pressure for a pump-down.
    pub spaces: Vec<SpaceId>,
}

impl Job {
    /// The words that name it, and that [`find_job`] understands: the kind, and the target where there are several.
    pub fn words(&self) -> String {
        match &self.target {
            Some(target) => format!("{}: {target}", self.kind.words()),
            None => self.kind.words().to_owned(),
        }
    }
}

/// Why no job was found for some words.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum JobError {
    /// No job of the catalogue is meant.
    #[error("no job is called \"{said}\"; this circuit has: {}", .offered.join("; "))]
    Unknown {
        /// What was said.
        said: String,
        /// What there is.
        offered: Vec<String>,
    },
    /// The job is known, but the circuit has no such part.
    #[error("\"{said}\": this circuit has nothing of that kind; it has: {}", .offered.join("; "))]
    NothingThere {
        /// What was said.
        said: String,
        /// What there is.
        offered: Vec<String>,
    },
    /// Several parts could be meant.
    #[error("\"{said}\" could mean: {}; say which", .candidates.join("; "))]
    Several {
        /// What was said.
        said: String,
        /// What it could mean.
        candidates: Vec<String>,
    },
}

/// The jobs that make sense on a circuit.
pub fn jobs(circuit: &Circuit) -> Vec<Job> {
    JOB_KINDS.iter().flat_map(|&kind| jobs_of_kind(circuit, kind)).collect()
}

/// Finds the job that some words mean: "replace the drier", "Replace drier", "replace the metering device: txv-2".
///
/// # Errors
/// [`JobError`] with what the circuit offers.
pub fn find_job(circuit: &Circuit, said: &str) -> Result<Job, JobError> {
    let offered = jobs(circuit);
    let (what, target) = match said.split_once(':') {
        Some((what, target)) => (plain(what), Some(target.trim().to_lowercase())),
        None => (plain(said), None),
    };
    let known = JOB_KINDS.iter().any(|kind| names(*kind, &what));
    let matching: Vec<&Job> = offered.iter().filter(|job| names(job.kind, &what)).collect();
    let chosen: Vec<&Job> = matching.iter().filter(|job| wanted(job, target.as_deref())).copied().collect();
    let words = |list: &[&Job]| list.iter().map(|job| job.words()).collect::<Vec<_>>();
    let said = said.chars().take(120).collect::<String>();
    match (chosen.as_slice(), known) {
        ([one], _) => Ok((*one).clone()),
        ([], false) => Err(JobError::Unknown { said, offered: words(&offered.iter().collect::<Vec<_>>()) }),
        ([], true) if matching.is_empty() => {
            Err(JobError::NothingThere { said, offered: words(&offered.iter().collect::<Vec<_>>()) })
        }
        ([], true) => Err(JobError::Several { said, candidates: words(&matching) }),
        (several, _) => Err(JobError::Several { said, candidates: words(several) }),
    }
}

fn wanted(job: &Job, target: Option<&str>) -> bool {
    target.is_none_or(|target| {
        let is = |text: &Option<String>| text.as_ref().is_some_and(|text| text.to_lowercase() == target);
        is(&job.target) || is(&job.target_name)
    })
}

/// Lower case, one space between words, no articles.
fn plain(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| c.is_whitespace() || c == '-' || c == '_');
    words.filter(|word| !word.is_empty() && *word != "the" && *word != "a").collect::<Vec<_>>().join(" ")
}

fn names(kind: JobKind, said: &str) -> bool {
    let also: &[&str] = match kind {
        JobKind::TakeReadings => &["readings", "read pressures", "read gauges"],
        JobKind::PumpDown => &["pump system down", "pumpdown"],
        JobKind::ReplaceDrier => &["replace filter drier", "change drier"],
        JobKind::ReplaceCompressor => &["change compressor"],
        JobKind::ReplaceMetering => {
            &["replace expansion valve", "replace thermostatic valve", "change metering device"]
        }
        JobKind::RepairLiquidLine => &["repair leak in liquid line", "fix liquid line"],
        JobKind::RecoverAll => &["recover charge", "recover whole charge", "recover everything"],
    };
    plain(kind.words()) == said || also.contains(&said)
}

fn jobs_of_kind(circuit: &Circuit, kind: JobKind) -> Vec<Job> {
    let inside = |(id, space): (SpaceId, &Space)| (space.kind != SpaceKind::Atmosphere).then_some(id);
    let all = || circuit.graph.spaces_with_ids().filter_map(inside).collect::<Vec<_>>();
    let whole = |spaces| vec![Job { kind, target: None, target_name: None, spaces }];
    let found = match kind {
        JobKind::TakeReadings => return whole(Vec::new()),
        JobKind::RecoverAll => return whole(all()),
        JobKind::PumpDown => {
            let low = low_side(&circuit.graph);
            return if low.is_empty() { Vec::new() } else { whole(low) };
        }
        JobKind::ReplaceDrier => spaces_of_kind(circuit, SpaceKind::Drier),
        JobKind::RepairLiquidLine => spaces_of_kind(circuit, SpaceKind::LiquidLine),
        JobKind::ReplaceCompressor => joints_where(circuit, |kind| matches!(kind, JointKind::Compressor(_))),
        JobKind::ReplaceMetering => joints_where(circuit, |kind| matches!(kind, JointKind::Metering(_))),
    };
    let several = found.len() > 1;
    let job = |(id, name, spaces): (String, String, Vec<SpaceId>)| Job {
        kind,
        target: several.then_some(id),
        target_name: Some(name),
        spaces,
    };
    found.into_iter().map(job).collect()
}

type Found = Vec<(String, String, Vec<SpaceId>)>;

fn spaces_of_kind(circuit: &Circuit, kind: SpaceKind) -> Found {
    let spaces = circuit.graph.spaces_with_ids().filter(|(_, space)| space.kind == kind);
    spaces.map(|(id, space)| (space.id.clone(), space.name.clone(), vec![id])).collect()
}

fn joints_where(circuit: &Circuit, is: impl Fn(&JointKind) -> bool) -> Found {
    let joints = circuit.graph.joints.iter().filter(|joint| is(&joint.kind));
    joints.map(|joint| (joint.id.clone(), joint.name.clone(), vec![joint.a, joint.b])).collect()
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

/// The compressors of a circuit.
pub fn compressors(circuit: &Circuit) -> Vec<JointId> {
    let joints = circuit.graph.joints_with_ids();
    joints.filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_))).map(|(id, _)| id).collect()
}
