//! The shapes that leave the program: plain serialisable structs in the words of the user.
//!
//! Everything is SI (K, Pa, kg, m³) and UTF-8. Fields may be added; those that are here stay. Each shape has a JSON Schema
//! ([`schemas`]).

mod check;
mod draft;
mod draw;
mod envelope;
mod evidence;
mod examples;
mod failure;
mod form;
mod frame;
mod joined;
mod list;
mod motion;
mod plan;
mod properties;
mod prove;
mod record;
mod report;
mod shift;
mod teach;

pub use check::*;
pub use draft::*;
pub use draw::*;
pub use envelope::*;
pub use evidence::*;
pub use examples::*;
pub use failure::*;
pub use form::*;
pub use frame::*;
pub use joined::*;
pub use list::*;
pub use motion::*;
pub use plan::*;
pub use properties::*;
pub use prove::*;
pub use record::*;
pub use report::*;
pub use shift::*;
pub use teach::*;

/// The name and JSON Schema of every shape that the command line prints with `--json` or in batch.
pub fn schemas() -> Vec<(&'static str, schemars::Schema)> {
    vec![
        ("check", schemars::schema_for!(CheckAnswer)),
        ("coverage", schemars::schema_for!(CoverageAnswer)),
        ("diagram", schemars::schema_for!(DiagramAnswer)),
        ("evidence", schemars::schema_for!(EvidenceAnswer)),
        ("envelope", schemars::schema_for!(EnvelopeAnswer)),
        ("draw", schemars::schema_for!(DrawAnswer)),
        ("drill", schemars::schema_for!(DrillAnswer)),
        ("drill-score", schemars::schema_for!(DrillScore)),
        ("drills", schemars::schema_for!(DrillsAnswer)),
        ("examples", schemars::schema_for!(ExamplesAnswer)),
        ("failure", schemars::schema_for!(FailureAnswer)),
        ("fluids", schemars::schema_for!(FluidsAnswer)),
        ("grades", schemars::schema_for!(GradesAnswer)),
        ("job", schemars::schema_for!(JobAnswer)),
        ("job-event", schemars::schema_for!(JobEvent)),
        ("joined", schemars::schema_for!(JoinedAnswer)),
        ("list", schemars::schema_for!(ListAnswer)),
        ("plan", schemars::schema_for!(PlanAnswer)),
        ("property-request", schemars::schema_for!(PropertyRequest)),
        ("property-answer", schemars::schema_for!(PropertyAnswer)),
        ("questions", schemars::schema_for!(QuestionsAnswer)),
        ("rehearse", schemars::schema_for!(RehearseAnswer)),
        ("saturation", schemars::schema_for!(SaturationAnswer)),
        ("saturation-page", schemars::schema_for!(PageAnswer)),
        ("saturation-table", schemars::schema_for!(SaturationTable)),
        ("shift", schemars::schema_for!(ShiftAnswer)),
        ("slips", schemars::schema_for!(SlipsAnswer)),
        ("verify", schemars::schema_for!(VerifyAnswer)),
        ("why", schemars::schema_for!(WhyAnswer)),
    ]
}
