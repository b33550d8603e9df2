//! Drills: a circuit, a starting state, hidden faults, a goal; and what a run of one is worth.

mod best;
mod fault;
mod keys;
mod read;
mod run;
mod shipped;
mod table;

use stemwise_circuit::{Circuit, JointId, Position};
use stemwise_units::UnitSystem;

pub use best::{Best, NoBestWay, best_way, drill_start, read_run};
pub use fault::{Fault, FaultKind, Size, fault_words, faults_note};
pub use keys::{KEYS, Key};
pub use read::{DrillReading, LARGEST_FILE, SCHEMA, read_drill};
pub use run::{Fired, Fork, Happened, Head, Score, Seen, Tally, Trace, score, score_seen};
pub use shipped::{DrillExample, drills};

pub(crate) use fault::with_faults;

use crate::ask::hidden;
use crate::{Classroom, Kind, Question, questions};

/// Which circuit a drill is on.
#[derive(Clone, Debug, PartialEq)]
pub struct DrillCircuit {
    /// The name of the example that it is, if it is one.
    pub example: Option<String>,
    /// The text of the circuit file.
    pub text: String,
    /// The circuit.
    pub circuit: Circuit,
}

/// What is to be reached.
#[derive(Clone, Debug, PartialEq)]
pub enum Goal {
    /// A job, done.
    Job(String),
    /// Questions, answered.
    Questions {
        /// How many.
        count: usize,
        /// Of which kinds.
        kinds: Vec<Kind>,
        /// From which seed.
        seed: u64,
    },
}

/// A drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// Its name.
    pub name: String,
    /// What it is for, for those who choose it.
    pub note: Option<String>,
    /// What the trainee is told.
    pub brief: String,
    /// The circuit.
    pub on: DrillCircuit,
    /// The units of its sentences.
    pub units: UnitSystem,
    /// Whether the system stands at the start.
    pub standing: bool,
    /// Stems that visibly stand otherwise than in normal running.
    pub turned: Vec<(JointId, Position)>,
    /// What is not at hand.
    pub without: Vec<String>,
    /// What is wrong and not told.
    pub faults: Vec<Fault>,
    /// What is to be reached.
    pub goal: Goal,
    /// So many marks of 100 pass.
    pub pass: u32,
}

/// The questions of a drill; one with faults that its gauges show begins with the question what is wrong. None for a drill whose goal is a
/// job.
///
/// # Errors
/// [`stemwise_thermo::Error`] for a refrigerant that is not known.
pub fn drill_questions(drill: &Drill) -> Result<Vec<Question>, stemwise_thermo::Error> {
    let Goal::Questions { count, kinds, seed } = &drill.goal else { return Ok(Vec::new()) };
    let classroom = Classroom::new(&drill.on.circuit, drill.units)?;
    let first = if drill.faults.is_empty() { None } else { hidden(&classroom, &drill.faults, *seed) };
    let rest = questions(&classroom, kinds, count.saturating_sub(usize::from(first.is_some())), *seed);
    Ok(first.into_iter().chain(rest).collect())
}
