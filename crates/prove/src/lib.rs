//! Proves procedures: replays them, breaks them one slip at a time, and says why each step is there.
//!
//! Shares the physics and the hazard rules with the planner, and none of its search: a procedure written by hand is judged like a planned
//! one.

mod during;
mod file;
mod flame;
mod goal;
mod margin;
mod procedure;
mod range;
mod slips;
mod verify;
mod why;

pub use file::{LARGEST_FILE, Reading, read, words_of, write};
pub use goal::{Asked, Opened};
pub use margin::{Margin, Scale};
pub use procedure::{Expected, Procedure, Step, UnknownThing, bring_along, leave_out};
pub use range::{Corner, Ranges, Settles, ranges};
pub use slips::{
    Consequence, Harm, Noticed, Pair, Reordering, Sharpened, Slip, SlipKind, Slips, Undo, pairs, reorderings,
    slips,
};
pub use verify::{
    Account, Certificate, During, Failure, Found, Reads, StepVerdict, Task, Verdict, verify, verify_from,
};
pub use why::{Instead, Side, StemUse, Why, why};
