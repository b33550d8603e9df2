//! Teaching: questions made from a circuit with computed answers, and drills that are scored.
//!
//! Everything follows from the circuit, a seed and the rules that the planner and the verifier use; nothing is random in here.

mod ask;
mod classroom;
mod dice;
mod drill;
mod grade;
mod question;

pub use ask::questions;
pub use classroom::Classroom;
pub use drill::{
    Best, Drill, DrillCircuit, DrillExample, DrillReading, Fault, FaultKind, Fired, Fork, Goal, Happened,
    Head, KEYS, Key, LARGEST_FILE, NoBestWay, SCHEMA, Score, Seen, Size, Tally, Trace, best_way,
    drill_questions, drill_start, drills, fault_words, faults_note, read_drill, read_run, score, score_seen,
};
pub use grade::{Grade, NotUnderstood, grade};
pub use question::{Answer, Choice, Kind, Quantity, Question, Scene};
