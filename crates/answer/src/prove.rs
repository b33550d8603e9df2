//! Verifying a procedure, telling its slips, and explaining its steps.

mod slips;
mod verify;
mod walk;
mod why;

pub use slips::slips;
pub use verify::verify;
pub use walk::{replayed, walked_through};
pub use why::why;

use stemwise_circuit::{Assembly, Circuit};
use stemwise_prove::{Failure, Procedure, Task, read, words_of, write};
use stemwise_service::plan::{Plan, plan_by};
use stemwise_service::{Action, Job, Refrigerant, find_job};
use stemwise_units::UnitSystem;

use crate::plan::{aim, rig};
use crate::{Error, check};

/// Which procedure: that of a file, or the one that is planned for a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ProcedureAsk {
    /// The bytes of a procedure file.
    pub file: Option<Vec<u8>>,
    /// A job to plan, where no file is given.
    pub job: Option<String>,
    /// What is not at hand, for a planned job; a file says so itself.
    pub without: Vec<String>,
    /// How many recovery cylinders are at hand, for a planned job; none: as many as the charge needs.
    pub cylinders: Option<u32>,
    /// What "cheapest" is to mean, for a planned job; as in [`PlanAsk::cost`](crate::PlanAsk::cost).
    pub cost: Option<String>,
    /// The units of the sentences.
    pub units: UnitSystem,
}

/// Nothing to verify or explain.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProveError {
    /// Neither a file nor a job.
    #[error("name a procedure file, or a job with --job")]
    NothingNamed,
    /// No procedure for the job.
    #[error("there is no safe way for \"{job}\"; \"stemwise plan\" says why")]
    NoWay {
        /// The job.
        job: String,
    },
    /// No such step.
    #[error("there is no step {asked}; the procedure has {steps}")]
    NoStep {
        /// What was asked for.
        asked: usize,
        /// How many there are.
        steps: usize,
    },
}

impl ProveError {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::NothingNamed => "nothing-named",
            Self::NoWay { .. } => "no-way",
            Self::NoStep { .. } => "no-step",
        }
    }
}

/// A procedure with what it is replayed on.
struct Bench {
    assembly: Assembly,
    refrigerant: Refrigerant,
    job: Option<Job>,
    procedure: Procedure,
    /// The plan that it comes from.
    plan: Option<Plan>,
    units: UnitSystem,
}

impl Bench {
    fn new(circuit_file: &[u8], ask: &ProcedureAsk) -> Result<Self, Error> {
        let circuit = check::circuit(circuit_file)?;
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        match (&ask.file, &ask.job) {
            (Some(bytes), _) => Self::written(&circuit, refrigerant, bytes, ask.units),
            (None, Some(said)) => Self::planned(circuit, refrigerant, said, ask),
            (None, None) => Err(ProveError::NothingNamed.into()),
        }
    }

    fn written(
        circuit: &Circuit,
        refrigerant: Refrigerant,
        bytes: &[u8],
        units: UnitSystem,
    ) -> Result<Self, Error> {
        let reading = read(bytes, circuit, stemwise_circuit::Rig::usual());
        let Some(procedure) = reading.procedure else {
            return Err(Error::Procedure { problems: reading.problems });
        };
        let job = procedure.job.as_deref().map(|said| find_job(circuit, said)).transpose()?;
        Ok(Self { assembly: reading.assembly, refrigerant, job, procedure, plan: None, units })
    }

    fn planned(
        circuit: Circuit,
        refrigerant: Refrigerant,
        said: &str,
        ask: &ProcedureAsk,
    ) -> Result<Self, Error> {
        let job = find_job(&circuit, said)?;
        let rig = rig(&circuit, &refrigerant, &ask.without, ask.cylinders)?;
        let assembly = Assembly::new(circuit, rig);
        let aim = ask.cost.as_deref().map(aim).transpose()?;
        let Ok(found) = plan_by(&assembly, &refrigerant, &job, aim.as_ref()) else {
            return Err(ProveError::NoWay { job: job.words() }.into());
        };
        let procedure = Procedure::planned(&assembly, &found.best, &ask.without, ask.units);
        Ok(Self { assembly, refrigerant, job: Some(job), procedure, plan: Some(found), units: ask.units })
    }

    fn task(&self) -> Task<'_> {
        Task::new(&self.assembly, &self.refrigerant, self.job.as_ref())
    }

    fn words(&self, actions: &[Action]) -> String {
        actions.iter().map(|action| words_of(&self.assembly, action)).collect::<Vec<_>>().join("; ")
    }

    fn failure(&self, failure: &Failure) -> String {
        match failure {
            Failure::Refused { step, why } => format!("step {} can't be done: {why}", step + 1),
            Failure::Broken { step, finding } => {
                format!("step {}: {}", step + 1, finding.say(&self.assembly, self.units))
            }
            Failure::Missing(asked) => format!("not met: {}", asked.say),
        }
    }

    fn port(&self, port: stemwise_circuit::PortId) -> String {
        self.assembly.graph.port(port).map_or_else(String::new, |port| port.id.clone())
    }

    fn space(&self, space: stemwise_circuit::SpaceId) -> String {
        self.assembly.graph.space(space).map_or_else(String::new, |space| space.id.clone())
    }

    fn joint(&self, joint: stemwise_circuit::JointId) -> String {
        self.assembly.graph.joint(joint).map_or_else(String::new, |joint| joint.id.clone())
    }
}

/// The file of a planned procedure, for people to edit and for [`verify`] to read.
///
/// # Errors
/// As [`verify`].
pub fn procedure_file(circuit_file: &[u8], ask: &ProcedureAsk) -> Result<String, Error> {
    let bench = Bench::new(circuit_file, ask)?;
    Ok(write(&bench.assembly, &bench.procedure))
}
