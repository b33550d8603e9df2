//! Service work on a circuit: settle, hazards, jobs and the planner.

mod action;
mod jobs;
mod state;

pub use action::*;
pub use jobs::*;
pub use state::*;
