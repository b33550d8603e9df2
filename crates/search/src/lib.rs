//! Optimal search over transition models, and the abstract service model with its minimum-cut bound.

mod astar;
mod cut;
pub mod stems;

pub use astar::{Model, Outcome, Search, Statistics, search};
pub use cut::{INFINITE, Network};
