//! What the tests share: an example with its rig, and a plan as a procedure.
#![allow(dead_code, reason = "each test takes what it needs")]

pub(crate) mod agree;
pub(crate) mod made;

use stemwise_circuit::{Assembly, Circuit, Rig, examples, read};
use stemwise_prove::{Certificate, Procedure, Task, verify};
use stemwise_service::plan::{NoWay, plan};
use stemwise_service::{Job, Refrigerant, find_job};
use stemwise_units::UnitSystem;

/// A circuit with the usual rig.
pub(crate) struct Bench {
    pub(crate) assembly: Assembly,
    pub(crate) refrigerant: Refrigerant,
}

impl Bench {
    pub(crate) fn example(name: &str) -> Self {
        let text = examples().iter().find(|found| found.name == name).unwrap().text;
        Self::of(read(text.as_bytes()).circuit.unwrap())
    }

    pub(crate) fn of(circuit: Circuit) -> Self {
        let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
        Self { assembly: Assembly::new(circuit, Rig::usual()), refrigerant }
    }

    pub(crate) fn job(&self, said: &str) -> Job {
        find_job(&self.assembly.circuit, said).unwrap()
    }

    pub(crate) fn planned(&self, job: &Job) -> Result<Procedure, NoWay> {
        let found = plan(&self.assembly, &self.refrigerant, job)?;
        Ok(Procedure::planned(&self.assembly, &found.best, &[], UnitSystem::Si))
    }

    pub(crate) fn verify(&self, job: Option<&Job>, procedure: &Procedure) -> Certificate {
        verify(&Task::new(&self.assembly, &self.refrigerant, job), procedure)
    }
}
