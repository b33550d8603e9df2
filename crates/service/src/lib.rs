//! Service work on a circuit: settle, hazards, jobs and the planner.

mod action;
mod apply;
mod balance;
mod begin;
mod hazard;
mod jobs;
mod level;
pub mod plan;
mod props;
mod push_pull;
mod rules;
mod section;
mod settle;
mod state;
mod superheat;
mod supply;

pub use action::*;
pub use apply::{Done, Refused, apply, handle};
pub use begin::{Start, line_allowance};
pub use hazard::{Finding, Look, Rule, Severity, hazards, left_behind, predicate_ids, rules};
pub use jobs::*;
pub use level::{
    LEVEL_RULE, Machine, PressureClass, SMALL_LEVEL_RULE, cylinder_limit, cylinders_for, is_small_appliance,
    level_of, required_level, required_level_by, required_level_of, small_level,
};
pub use plan::Way;
pub use props::Refrigerant;
pub use rules::opening::is_flammable;
pub use settle::{Running, Settled, Stops, settle};
pub use state::*;
pub use superheat::{NoTarget, target_superheat, target_superheat_source};
