//! The procedures of a job, first and edited ones, and which steps they share.

use stemwise_circuit::{Assembly, Circuit, Problem, Rig, Severity};
use stemwise_prove::{Procedure, Step, read, words_of};
use stemwise_service::{Job, Refrigerant, cylinders_for, find_job};

use crate::{EventId, Opened, StepRef};

/// One procedure, with the circuit and the rig that it has.
pub(crate) struct Revision {
    pub(crate) id: EventId,
    pub(crate) assembly: Assembly,
    pub(crate) procedure: Procedure,
    pub(crate) job: Option<Job>,
    /// What tells one step from another: its actions, or its sentence where it has none.
    keys: Vec<String>,
}

/// All procedures of a job that can be read.
#[derive(Default)]
pub(crate) struct Revisions {
    circuit: Option<Circuit>,
    pub(crate) refrigerant: Option<Refrigerant>,
    list: Vec<Revision>,
    pub(crate) unreadable: Vec<String>,
}

impl Revisions {
    pub(crate) fn open(id: &EventId, opened: &Opened) -> Self {
        let mut all = Self::default();
        let reading = stemwise_circuit::read(opened.circuit.as_bytes());
        match reading.circuit {
            Some(circuit) => {
                all.refrigerant = Refrigerant::named(&circuit.refrigerant).ok();
                all.circuit = Some(circuit);
            }
            None => all.unreadable.push(format!("the circuit file: {}", first(&reading.problems))),
        }
        all.push(id, &opened.procedure);
        all
    }

    pub(crate) fn push(&mut self, id: &EventId, text: &str) {
        let Some(circuit) = &self.circuit else { return };
        match revision(id, text, circuit, self.refrigerant.as_ref()) {
            Ok(revision) => self.list.push(revision),
            Err(why) => self.unreadable.push(format!("the procedure of entry {id}: {why}")),
        }
    }

    pub(crate) const fn circuit(&self) -> Option<&Circuit> {
        self.circuit.as_ref()
    }

    /// The procedure in force: the last one.
    pub(crate) fn current(&self) -> Option<&Revision> {
        self.list.last()
    }

    pub(crate) fn of(&self, id: &EventId) -> Option<&Revision> {
        self.list.iter().find(|revision| revision.id == *id)
    }

    /// The step itself, in the procedure that it was named in.
    pub(crate) fn step(&self, at: &StepRef) -> Option<&Step> {
        self.of(&at.procedure)?.procedure.steps.get(at.step)
    }

    /// Where each step of a procedure is in the one in force.
    pub(crate) fn places(&self, id: &EventId) -> Vec<Option<usize>> {
        let (Some(old), Some(now)) = (self.of(id), self.current()) else { return Vec::new() };
        if old.id == now.id {
            return (0..now.keys.len()).map(Some).collect();
        }
        shared(&old.keys, &now.keys)
    }
}

/// Reads a procedure as it is carried out.
pub(crate) fn revision(
    id: &EventId,
    text: &str,
    circuit: &Circuit,
    refrigerant: Option<&Refrigerant>,
) -> Result<Revision, String> {
    let mut rig = Rig::usual();
    if let (Some(cylinder), Some(refrigerant)) = (&mut rig.cylinder, refrigerant) {
        cylinder.count =
            cylinders_for(refrigerant, cylinder.water_capacity, circuit.charge.value).unwrap_or(1);
    }
    let reading = read(text.as_bytes(), circuit, rig);
    let Some(procedure) = reading.procedure else { return Err(first(&reading.problems)) };
    let job = procedure.job.as_deref().and_then(|said| find_job(circuit, said).ok());
    let key = |step: &Step| match step.actions.as_slice() {
        [] => step.say.clone(),
        actions => {
            let lines: Vec<String> =
                actions.iter().map(|action| words_of(&reading.assembly, action)).collect();
            lines.join("\n")
        }
    };
    let keys = procedure.steps.iter().map(key).collect();
    Ok(Revision { id: id.clone(), assembly: reading.assembly, procedure, job, keys })
}

/// The first error, with its place.
fn first(problems: &[Problem]) -> String {
    let error = problems.iter().find(|problem| problem.severity == Severity::Error);
    error.map_or_else(
        || "it can't be used".into(),
        |problem| format!("line {}: {}", problem.line, problem.say),
    )
}

/// For each of some steps its place among others, such that as many as possible keep their order: the longest common subsequence.
fn shared(old: &[String], new: &[String]) -> Vec<Option<usize>> {
    let width = new.len() + 1;
    let mut longest = vec![0u32; (old.len() + 1) * width];
    let at = |i: usize, j: usize| i * width + j;
    let get = |table: &[u32], index: usize| table.get(index).copied().unwrap_or(0);
    for (i, one) in old.iter().enumerate().rev() {
        for (j, other) in new.iter().enumerate().rev() {
            let best = if one == other {
                get(&longest, at(i + 1, j + 1)) + 1
            } else {
                get(&longest, at(i + 1, j)).max(get(&longest, at(i, j + 1)))
            };
            if let Some(slot) = longest.get_mut(at(i, j)) {
                *slot = best;
            }
        }
    }
    let mut places = vec![None; old.len()];
    let (mut i, mut j) = (0, 0);
    while let (Some(one), Some(other)) = (old.get(i), new.get(j)) {
        if one == other {
            if let Some(slot) = places.get_mut(i) {
                *slot = Some(j);
            }
            (i, j) = (i + 1, j + 1);
        } else if get(&longest, at(i + 1, j)) >= get(&longest, at(i, j + 1)) {
            i += 1;
        } else {
            j += 1;
        }
    }
    places
}
