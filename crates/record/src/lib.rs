//! A job as carried out: an append-only list of events with ids and times, and the state that they fold to.
//!
//! Nothing is made up in here: device, random number and time of each event come in from the host. The logs of two devices merge without
//! loss whatever the order. Corrections are events too; what was typed first stays to be seen.
//!
//! ```
//! use stemwise_record::{Log, Moment, Stamp, What};
//! let stamp = |device: &str, ms| Stamp { device: device.into(), random: 7, at: Moment { unix_ms: ms, offset_min: 60 } };
//! let note = |text: &str| What::Note { step: None, text: text.into() };
//! let mut one = Log::default();
//! one.add(&stamp("phone", 1_000), None, note("frost on the drier"));
//! let mut other = one.clone();
//! one.add(&stamp("phone", 2_000), None, note("sight glass clear"));
//! other.add(&stamp("tablet", 1_500), None, note("fan runs"));
//! assert_eq!(one.merged(&other), other.merged(&one));
//! assert_eq!(one.merged(&other).events().len(), 3);
//! ```

mod account;
mod allowed;
mod event;
mod fold;
mod id;
mod log;
mod measured;
mod moment;
mod open_items;
mod progress;
mod replay;
mod revision;

pub use allowed::{NotAllowed, allowed};
pub use event::{Event, Opened, Photo, Proof, Reading, StepRef, Test, Timer, Units, VerdictNoted, What};
pub use fold::fold;
pub use id::{BadId, EventId, Stamp};
pub use log::Log;
pub use measured::{Kind, Measured, MeasuredError, Value};
pub use moment::{BadMoment, Moment};
pub use progress::{
    Account, Band, Block, CylinderAccount, NotBack, NotBackKind, Open, Progress, ReadingState, Standing,
    StepState, TimerState, VerdictOnReading,
};
