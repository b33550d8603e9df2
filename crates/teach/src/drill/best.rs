//! The best known way through a drill: its faults put right, and the planner's procedure.

use stemwise_circuit::{Assembly, Problem, Rig};
use stemwise_prove::{Procedure, Step, Task, leave_out, read, write};
use stemwise_service::plan::plan;
use stemwise_service::{Action, Done, Job, JobKind, Refrigerant, cylinders_for, find_job};

use super::fault::{Fault, FaultKind, with_faults};
use super::{Drill, Goal};

/// Why there is no best way.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoBestWay {
    /// The goal is questions.
    #[error("the goal of this drill is questions, not a job: there is no procedure to score")]
    Questions,
    /// The refrigerant is not known.
    #[error(transparent)]
    Refrigerant(#[from] stemwise_thermo::Error),
    /// The planner finds no safe way.
    #[error("the planner finds no safe way for \"{job}\": the drill can't be scored")]
    NoWay {
        /// The job.
        job: String,
    },
}

/// The best known way.
#[derive(Clone, Debug, PartialEq)]
pub struct Best {
    /// As a procedure.
    pub procedure: Procedure,
}

/// What a drill is done on.
pub(crate) struct Ground {
    pub(crate) assembly: Assembly,
    pub(crate) refrigerant: Refrigerant,
    pub(crate) job: Job,
}

impl Ground {
    pub(crate) fn new(drill: &Drill) -> Result<Self, NoBestWay> {
        let Goal::Job(said) = &drill.goal else { return Err(NoBestWay::Questions) };
        let circuit = &drill.on.circuit;
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        let mut rig = Rig::usual();
        for thing in &drill.without {
            // The reader has refused what is not there.
            let _ = leave_out(&mut rig, thing);
        }
        if let Some(cylinder) = &mut rig.cylinder {
            cylinder.count =
                cylinders_for(&refrigerant, cylinder.water_capacity, circuit.charge.value).unwrap_or(1);
        }
        let mut job = find_job(circuit, said).map_err(|_| NoBestWay::NoWay { job: said.clone() })?;
        if job.kind == JobKind::TopUp
            && let Some(missing) = drill.faults.iter().find(|fault| fault.kind == FaultKind::Undercharge)
        {
            job.amount = missing.amount(circuit.charge.value);
        }
        Ok(Self { assembly: Assembly::new(circuit.clone(), rig), refrigerant, job })
    }

    pub(crate) fn task(&self) -> Task<'_> {
        Task::new(&self.assembly, &self.refrigerant, Some(&self.job))
    }

    /// The state that the trainee finds. What a top-up puts in is missing already.
    pub(crate) fn start(&self, drill: &Drill) -> Done {
        let task = self.task();
        let tops_up = self.job.kind == JobKind::TopUp;
        let counted = |fault: &&Fault| tops_up && fault.kind == FaultKind::Undercharge;
        let faults: Vec<Fault> = drill.faults.iter().filter(|fault| !counted(fault)).cloned().collect();
        with_faults(&task, task.start(drill.standing), &faults, &drill.turned)
    }

    pub(crate) fn best(&self, drill: &Drill) -> Result<Best, NoBestWay> {
        let found = plan(&self.assembly, &self.refrigerant, &self.job)
            .map_err(|_| NoBestWay::NoWay { job: self.job.words() })?;
        let mut procedure = Procedure::planned(&self.assembly, &found.best, &drill.without, drill.units);
        procedure.standing = drill.standing;
        let (mut before, mut after) = (Vec::new(), Vec::new());
        for fault in &drill.faults {
            let (first, last) = fault.remedy(&self.assembly);
            before.extend(first);
            after.extend(last);
        }
        after.retain(|action| !does(&procedure, action));
        let step = |say: &str, actions: Vec<Action>| {
            (!actions.is_empty()).then(|| Step { say: say.into(), actions, ..Step::default() })
        };
        let first = step("Put right what stands wrong.", before);
        procedure.steps.splice(0..0, first);
        procedure.steps.extend(step("Put on what is missing.", after));
        Ok(Best { procedure })
    }
}

fn does(procedure: &Procedure, action: &Action) -> bool {
    procedure.steps.iter().flat_map(|step| &step.actions).any(|known| known == action)
}

/// The best known way through a drill.
///
/// # Errors
/// [`NoBestWay`].
pub fn best_way(drill: &Drill) -> Result<Best, NoBestWay> {
    Ground::new(drill)?.best(drill)
}

/// What a trainee finds: the circuit with the drill's rig, and how it stands with everything that is wrong.
///
/// # Errors
/// [`NoBestWay`], for a drill that asks questions only.
pub fn drill_start(drill: &Drill) -> Result<(Assembly, Done), NoBestWay> {
    let ground = Ground::new(drill)?;
    let start = ground.start(drill);
    Ok((ground.assembly, start))
}

/// Reads a procedure file as a run of a drill: with the drill's rig, whatever the file says of its own.
///
/// # Errors
/// Every problem of the file.
pub fn read_run(drill: &Drill, bytes: &[u8]) -> Result<Procedure, Vec<Problem>> {
    let circuit = &drill.on.circuit;
    let mut rig = Rig::usual();
    for thing in &drill.without {
        let _ = leave_out(&mut rig, thing);
    }
    let reading = read(bytes, circuit, rig.clone());
    let Some(run) = reading.procedure else { return Err(reading.problems) };
    if run.without.is_empty() {
        return Ok(run);
    }
    // Ids of another rig differ, names don't.
    let plain = Procedure { without: Vec::new(), ..run };
    let again = read(write(&reading.assembly, &plain).as_bytes(), circuit, rig);
    again.procedure.ok_or(again.problems)
}
