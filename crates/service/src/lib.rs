//! Service work on a circuit: settle, hazards, jobs and the planner.

mod action;
mod state;

pub use action::*;
pub use state::*;
