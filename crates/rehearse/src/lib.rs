//! The circuit in motion: mass and energy in every space, flow through every joint, with a clock.

mod again;
mod balance;
mod carry;
mod control;
mod design;
mod engine;
pub mod equipment;
mod faults;
mod follow;
mod frost;
mod log;
mod plant;
mod record;
#[cfg(test)]
mod reference;
mod rehearsal;
mod steady;
mod sump;
mod task;
mod view;
mod wet;

pub use balance::{Balance, CoilBalance, running_balance};
pub use carry::{Fit, Ran, Shown};
pub use control::{Gauge, Guard, Room, Trip};
pub use design::Assumed;
pub use engine::medium::Medium;
pub use engine::step::Statistics;
pub use faults::Fault;
pub use follow::Band;
pub use log::{Entry, Log, Times};
pub use record::{Curve, Curves};
pub use rehearsal::{Error, Ledger, Rehearsal};
pub use steady::{
    SteadyAsk, SteadyBalance, SteadyCoil, SteadyError, SteadyFaults, SteadyKind, SteadyPlant, SteadyTuning,
};
pub use task::Task;
pub use view::{Clock, CompressorView, Danger, GaugeView, JointView, MeteringView, SpaceView};
