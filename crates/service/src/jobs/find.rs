//! Which jobs make sense on a circuit, and which one some words mean.

use stemwise_circuit::{Circuit, Joint, JointKind, Port, PortOn, Space, SpaceId, SpaceKind};

use stemwise_units::{Mass, TemperatureDifference};

use super::catalogue::{About, CATALOGUE, Entry};
use super::{Job, JobKind, Target, charging, line_set, low_side};

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
    /// A job that needs a part, line, valve or port named after a colon.
    #[error("\"{said}\": name a part, line, valve or port of this circuit after a colon: {}", .names.join(", "))]
    NameOne {
        /// What was said.
        said: String,
        /// What there is.
        names: Vec<String>,
    },
    /// An amount that can't be read, or that is more than the charge.
    #[error(
        "\"{said}\": write how much after the colon, like 300 g, and no more than the charge of {most_g} g"
    )]
    Amount {
        /// What was said.
        said: String,
        /// The charge, g.
        most_g: i64,
    },
    /// A measure that does not tell the charge of this circuit.
    #[error("\"{said}\": {why}")]
    NotByThis {
        /// What was said.
        said: String,
        /// Why, and what does.
        why: &'static str,
    },
    /// A target that can't be read, or that no system is charged to.
    #[error("\"{said}\": write what it should be after the colon, like 6 K or 10 °F, from 1 to 25 K")]
    Difference {
        /// What was said.
        said: String,
    },
    /// Jobs that can't be done on one visit by one plan.
    #[error("\"{one}\" and \"{other}\" can't be planned together: plan one after the other")]
    NotTogether {
        /// One.
        one: String,
        /// The other.
        other: String,
    },
}

/// The jobs that make sense on a circuit. A leak can be anywhere: "repair the leak" is found by [`find_job`] for any part, line, valve or port,
/// and not listed.
pub fn jobs(circuit: &Circuit) -> Vec<Job> {
    CATALOGUE.iter().flat_map(|entry| jobs_of(circuit, entry)).collect()
}

/// Finds the job that some words mean: "replace the drier", "Replace drier", "replace the metering device: txv-2", "repair the leak:
/// suction-line", or several with a plus between them.
///
/// # Errors
/// [`JobError`] with what the circuit offers.
pub fn find_job(circuit: &Circuit, said: &str) -> Result<Job, JobError> {
    let parts: Vec<&str> = said.split(" + ").collect();
    if parts.len() > 1 {
        let found: Result<Vec<Job>, JobError> =
            parts.into_iter().map(|part| find_one(circuit, part)).collect();
        return together(found?);
    }
    find_one(circuit, said)
}

/// Several jobs on one visit: what has to be opened is opened, proved, dried and refilled together.
///
/// # Errors
/// [`JobError::NotTogether`] where one of them is no repair.
pub fn together(jobs: Vec<Job>) -> Result<Job, JobError> {
    let mut parts: Vec<Job> = Vec::new();
    for job in jobs.into_iter().flat_map(|job| job.parts().to_vec()) {
        if !parts.contains(&job) {
            parts.push(job);
        }
    }
    parts.sort_by_key(|part| (part.kind, part.about));
    if let [only] = parts.as_slice() {
        return Ok(only.clone());
    }
    let Some(leading) = parts.iter().find(|part| part.kind.opens()).or(parts.first()) else {
        return Err(JobError::Unknown { said: String::new(), offered: Vec::new() });
    };
    if let Some(odd) = parts.iter().find(|part| !part.goes_with(leading)) {
        return Err(JobError::NotTogether { one: leading.words(), other: odd.words() });
    }
    let about = parts.iter().filter(|part| part.kind.opens() || !leading.kind.opens());
    let mut spaces: Vec<SpaceId> = about.flat_map(|part| part.spaces.iter().copied()).collect();
    spaces.sort_unstable();
    spaces.dedup();
    Ok(Job {
        spaces,
        about: Target::Whole,
        target: None,
        target_name: None,
        together: parts.clone(),
        ..leading.clone()
    })
}

impl Job {
    /// A repair of a sealed circuit with the way in: a bolt-on piercing valve, which a brazed access valve replaces while the circuit is open. On a tube that
    /// the repair leaves alone, where there is one. None where nothing is opened, or there are ports.
    pub(crate) fn with_access(&self, circuit: &Circuit) -> Option<Self> {
        if !self.opens() || self.has(JobKind::FitAccess) {
            return None;
        }
        let tubes = accesses(circuit);
        let kept = tubes.iter().find(|tube| tube.spaces.iter().all(|space| !self.spaces.contains(space)));
        let access = kept.or(tubes.first())?.clone();
        together(vec![self.clone(), access]).ok()
    }

    /// Repairs go together, and with the way their sections are evacuated; so do the steps that bring a new system into service.
    fn goes_with(&self, other: &Self) -> bool {
        let repairs = |job: &Self| job.kind.opens();
        let commissions = |job: &Self| {
            let kinds =
                [JobKind::TestWithNitrogen, JobKind::Evacuate, JobKind::EvacuateThrice, JobKind::FirstCharge];
            kinds.contains(&job.kind) && job.about == Target::Whole
        };
        let dries = self.kind == JobKind::EvacuateThrice && self.about == Target::Whole;
        (repairs(other) && (repairs(self) || dries || self.kind == JobKind::TakeReadings))
            || (commissions(self) && commissions(other))
    }
}

/// The tubes of a sealed circuit that an access valve can be fitted on.
pub(crate) fn accesses(circuit: &Circuit) -> Vec<Job> {
    let fits = CATALOGUE.iter().filter(|entry| entry.kind == JobKind::FitAccess);
    fits.flat_map(|entry| jobs_of(circuit, entry)).collect()
}

fn find_one(circuit: &Circuit, said: &str) -> Result<Job, JobError> {
    let (what, target) = match said.split_once(':') {
        Some((what, target)) => (plain(what), Some(target.trim().to_lowercase())),
        None => (plain(said), None),
    };
    let shown: String = said.trim().chars().take(120).collect();
    let offered = || jobs(circuit).iter().map(Job::words).collect::<Vec<_>>();
    let Some(entry) = CATALOGUE.iter().find(|entry| names(entry, &what)) else {
        return Err(JobError::Unknown { said: shown, offered: offered() });
    };
    let names_one = || JobError::NameOne { said: shown.clone(), names: every_name(circuit) };
    match (entry.about, &target) {
        (About::Named, None) => return Err(names_one()),
        (About::Named | About::WholeOrNamed, Some(target)) => {
            return named(circuit, entry, target).ok_or_else(names_one);
        }
        (About::Amount, Some(target)) => return amount(circuit, entry, &shown, target),
        (About::Judged(by), _) if charging::why_not(&circuit.graph, by).is_some() => {
            let why = charging::why_not(&circuit.graph, by).unwrap_or_default();
            return Err(JobError::NotByThis { said: shown, why });
        }
        (About::Judged(_), Some(target)) => return difference(circuit, entry, &shown, target),
        _ => {}
    }
    let matching = jobs_of(circuit, entry);
    let chosen: Vec<&Job> = matching.iter().filter(|job| wanted(job, target.as_deref())).collect();
    let words = |list: &[&Job]| list.iter().map(|job| job.words()).collect::<Vec<_>>();
    match chosen.as_slice() {
        [one] => Ok((*one).clone()),
        [] if matching.is_empty() => Err(JobError::NothingThere { said: shown, offered: offered() }),
        [] => Err(JobError::Several { said: shown, candidates: matching.iter().map(Job::words).collect() }),
        several => Err(JobError::Several { said: shown, candidates: words(several) }),
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

fn names(entry: &Entry, said: &str) -> bool {
    plain(entry.words) == said || entry.also.contains(&said)
}

fn jobs_of(circuit: &Circuit, entry: &Entry) -> Vec<Job> {
    let whole = |spaces| {
        let (about, kind) = (Target::Whole, entry.kind);
        vec![Job {
            kind,
            target: None,
            target_name: None,
            about,
            spaces,
            amount: None,
            difference: None,
            together: Vec::new(),
        }]
    };
    let found: Vec<Job> = match entry.about {
        About::Nothing => return whole(Vec::new()),
        About::Whole | About::WholeOrNamed => return whole(inside(circuit)),
        About::Amount => return whole(Vec::new()),
        About::Judged(by) => {
            let tells = charging::why_not(&circuit.graph, by).is_none();
            return if tells { whole(Vec::new()) } else { Vec::new() };
        }
        About::ReversingValves => reversing_valves(circuit, entry),
        About::LineSet => {
            let spaces = line_set(circuit);
            return if spaces.is_empty() { Vec::new() } else { whole(spaces) };
        }
        About::Cores => {
            let ports = circuit.graph.ports_with_ids().filter(|(_, port)| port.core);
            let on_space = ports.filter(|(_, port)| matches!(port.on, PortOn::Space(_)));
            on_space.filter_map(|(id, port)| at_port(circuit, entry, Target::Port(id), port)).collect()
        }
        About::LowSide => {
            let low = low_side(&circuit.graph);
            return if low.is_empty() { Vec::new() } else { whole(low) };
        }
        About::Named => return Vec::new(),
        About::Sealed => {
            // A drier's body or a coil is no place for a valve that is bolted or brazed on; the compressor has its process tube.
            let tubes = [
                SpaceKind::CompressorShell,
                SpaceKind::SuctionLine,
                SpaceKind::LiquidLine,
                SpaceKind::DischargeLine,
            ];
            let spaces = circuit.graph.spaces_with_ids().filter(|_| circuit.graph.ports.is_empty());
            spaces
                .filter(|(_, space)| tubes.contains(&space.kind))
                .map(|(id, space)| {
                    let tube = (space.kind == SpaceKind::CompressorShell)
                        .then(|| format!("process tube of the {}", space.name));
                    let job = at_space(entry, id, space);
                    Job { target_name: tube.or(job.target_name), ..job }
                })
                .collect()
        }
        About::SightGlasses => {
            let glasses = circuit.sight_glasses.iter();
            glasses.filter_map(|&id| Some(at_space(entry, id, circuit.graph.space(id)?))).collect()
        }
        About::Spaces(kinds) => {
            // A sight glass is a piece of liquid line to the rules, and a part to people.
            let glass = |id: &SpaceId| circuit.sight_glasses.contains(id);
            let spaces = circuit.graph.spaces_with_ids();
            let spaces = spaces.filter(|(id, space)| kinds.contains(&space.kind) && !glass(id));
            spaces.map(|(id, space)| at_space(entry, id, space)).collect()
        }
        About::Joints(is) => {
            let joints = circuit.graph.joints_with_ids().filter(|(_, joint)| is(&joint.kind));
            joints.map(|(id, joint)| at_joint(circuit, entry, Target::Joint(id), joint)).collect()
        }
    };
    let several = found.len() > 1;
    found.into_iter().map(|job| Job { target: job.target.filter(|_| several), ..job }).collect()
}

/// A reversing valve's four passages are one part: all that they lead to is about it.
fn reversing_valves(circuit: &Circuit, entry: &Entry) -> Vec<Job> {
    let mut found: Vec<Job> = Vec::new();
    let joints = circuit.graph.joints_with_ids();
    for (id, joint) in joints.filter(|(_, joint)| matches!(joint.kind, JointKind::ReversingPath { .. })) {
        let valve = PASSAGES.iter().find_map(|way| joint.id.strip_suffix(way)).unwrap_or(&joint.id);
        match found.iter_mut().find(|job| job.target.as_deref() == Some(valve)) {
            Some(job) => {
                job.spaces.extend([joint.a, joint.b]);
                job.spaces.sort_unstable();
                job.spaces.dedup();
            }
            None => {
                let job = at_joint(circuit, entry, Target::Joint(id), joint);
                found.push(Job { target: Some(valve.to_owned()), ..job });
            }
        }
    }
    found
}

/// How the passages of a reversing valve are called after it.
const PASSAGES: [&str; 4] =
    ["-discharge-outdoor", "-indoor-suction", "-discharge-indoor", "-outdoor-suction"];

/// Every space but the atmosphere and the passages behind the needles of piercing valves.
fn inside(circuit: &Circuit) -> Vec<SpaceId> {
    let spaces = circuit.graph.spaces_with_ids();
    let passage = |id: SpaceId| {
        let mut joints = circuit.graph.joints.iter();
        joints.any(|joint| matches!(joint.kind, JointKind::PiercingValve) && joint.b == id)
    };
    let inside = |(id, space): &(SpaceId, &Space)| space.kind != SpaceKind::Atmosphere && !passage(*id);
    spaces.filter(inside).map(|(id, _)| id).collect()
}

fn at_space(entry: &Entry, id: SpaceId, space: &Space) -> Job {
    Job {
        kind: entry.kind,
        target: Some(space.id.clone()),
        target_name: Some(space.name.clone()),
        about: Target::Space(id),
        spaces: vec![id],
        amount: None,
        difference: None,
        together: Vec::new(),
    }
}

fn at_joint(circuit: &Circuit, entry: &Entry, about: Target, joint: &Joint) -> Job {
    let mut spaces = vec![joint.a, joint.b];
    spaces
        .retain(|&space| circuit.graph.space(space).is_some_and(|space| space.kind != SpaceKind::Atmosphere));
    Job {
        kind: entry.kind,
        target: Some(joint.id.clone()),
        target_name: Some(joint.name.clone()),
        about,
        spaces,
        amount: None,
        difference: None,
        together: Vec::new(),
    }
}

/// The job at the part, line, valve or port of that name.
fn named(circuit: &Circuit, entry: &Entry, name: &str) -> Option<Job> {
    let graph = &circuit.graph;
    let is = |id: &str, name_of: &str| id.to_lowercase() == name || name_of.to_lowercase() == name;
    let space = graph
        .spaces_with_ids()
        .filter(|(_, space)| space.kind != SpaceKind::Atmosphere)
        .find(|(_, space)| is(&space.id, &space.name));
    if let Some((id, space)) = space {
        return Some(at_space(entry, id, space));
    }
    let joint = graph.joints_with_ids().find(|(_, joint)| is(&joint.id, &joint.name));
    if let Some((id, joint)) = joint.filter(|(_, joint)| !matches!(joint.kind, JointKind::Pipe)) {
        return Some(at_joint(circuit, entry, Target::Joint(id), joint));
    }
    let (id, port) = graph.ports_with_ids().find(|(_, port)| is(&port.id, &port.name))?;
    at_port(circuit, entry, Target::Port(id), port)
}

/// At an access port what it is on has to be empty; at a service valve's port both sides of the valve, for its body may be what leaks.
fn at_port(circuit: &Circuit, entry: &Entry, about: Target, port: &Port) -> Option<Job> {
    let job = match port.on {
        PortOn::Space(id) => at_space(entry, id, circuit.graph.space(id)?),
        PortOn::ServiceValve(valve) => at_joint(circuit, entry, about, circuit.graph.joint(valve)?),
    };
    let (target, target_name) = (Some(port.id.clone()), Some(port.name.clone()));
    Some(Job { target, target_name, about, ..job })
}

/// The job with an amount, up to the charge.
fn amount(circuit: &Circuit, entry: &Entry, said: &str, typed: &str) -> Result<Job, JobError> {
    let charge = circuit.charge.value;
    let mass = Mass::parse(typed).ok().filter(|mass| mass.as_kg() > 0.0 && *mass <= charge);
    let mass =
        mass.ok_or_else(|| JobError::Amount { said: said.to_owned(), most_g: charge.as_g() as i64 })?;
    let job = jobs_of(circuit, entry).into_iter().next();
    let job = job.ok_or_else(|| JobError::NothingThere { said: said.to_owned(), offered: Vec::new() })?;
    Ok(Job { amount: Some(mass), target: Some(typed.to_owned()), ..job })
}

/// The job with a subcooling or superheat to charge to.
fn difference(circuit: &Circuit, entry: &Entry, said: &str, typed: &str) -> Result<Job, JobError> {
    let sensible = |found: &TemperatureDifference| (1.0..=25.0).contains(&found.as_k());
    let parsed = TemperatureDifference::parse(typed).ok().filter(sensible);
    let job = jobs_of(circuit, entry).into_iter().next();
    match (parsed, job) {
        (Some(value), Some(job)) => {
            Ok(Job { difference: Some(value), target: Some(typed.to_owned()), ..job })
        }
        _ => Err(JobError::Difference { said: said.to_owned() }),
    }
}

fn every_name(circuit: &Circuit) -> Vec<String> {
    let graph = &circuit.graph;
    let spaces = graph.spaces.iter().filter(|space| space.kind != SpaceKind::Atmosphere);
    let joints = graph.joints.iter().filter(|joint| !matches!(joint.kind, JointKind::Pipe));
    let ports = graph.ports.iter().map(|port| port.id.clone());
    spaces.map(|space| space.id.clone()).chain(joints.map(|joint| joint.id.clone())).chain(ports).collect()
}
