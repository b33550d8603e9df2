//! One composition function for each task; every face calls these.
//!
//! Everything comes in as a value (the bytes of a file, what was typed, settings) and goes out as a shape of `stemwise-wire` or as an
//! [`Error`], which knows what a person reads, the exit code and the HTTP status.

mod batch;
mod check;
mod circuit_file;
mod coverage;
mod draft;
mod draw;
mod drawn;
mod envelope;
mod evidence;
mod examples;
mod explain;
mod fractionate;
mod frame;
mod joined;
mod list;
mod motion;
mod plan;
mod properties;
mod prove;
mod record;
mod rehearse;
mod report;
mod saturation;
mod schema;
mod settings;
mod teach;
mod transport;
mod trial;
mod words;

pub use batch::{Batch, LONGEST_LINE, line_too_long};
pub use check::check;
pub use circuit_file::{circuit_keys_page, circuit_schema};
pub use coverage::coverage;
pub use draft::{DraftChange, draft_changed, draft_file, draft_of, first_draft, piece_kinds};
pub use draw::{DrawAsk, draw};
pub use drawn::Drawn;
pub use envelope::envelope;
pub use evidence::{
    AirAsk, ChargeAsk, EvidenceCommon, EvidenceError, LogAsk, LogFeed, LogKind, ReadLog, RecoveryAsk, SetAsk,
    StandingAsk, VacuumAsk, air, charge, circuit_atmosphere, delimiter, evidence_forms, evidence_of, faults,
    log_header, read_log, readings, recovery, standing_test, vacuum,
};
pub use examples::{example, examples};
pub use explain::Error;
pub use fractionate::{ShiftAsk, ShiftError, shift};
pub use joined::{JoinedAsk, JoinedError, joined};
pub use list::list;
pub use motion::Motion;
pub use plan::{
    PlanAsk, PlanError, PlanPageAsk, bound_words, cost_words, phase_title, plan, plan_page, plan_with_file,
};
pub use properties::{RequestError, StateAsk, fluids, properties, state};
pub use prove::{ProcedureAsk, ProveError, procedure_file, replayed, slips, verify, walked_through, why};
pub use record::{JobOpening, JobPageAsk, JobRecord, RecordError, job};
pub use rehearse::{RehearseAsk, RehearseError, rehearse, rehearse_watched, rehearsed_chart};
pub use report::{CycleWords, DiagramAsk, PageAsk, diagram, saturation_page};
pub use saturation::{SaturationError, TableAsk, saturation, saturation_table};
pub use schema::{schema, schema_names};
pub use settings::{Settings, SettingsError, atmosphere, units};
pub use stemwise_circuit::{Headline, headline};
pub use stemwise_readings::chance_words;
pub use stemwise_record::{Moment, Stamp};
pub use teach::{
    QuestionAsk, TeachError, drill, drill_best_way, drill_bytes, drill_file, drill_score, drills, grade,
    grades, question_kinds, questions,
};
pub use trial::{Trial, TrialError};
