//! The procedure file: lines that people write, cut, move and annotate.

mod action;
mod read;
mod write;

pub use action::words_of;
pub use read::{LARGEST_FILE, Reading, read};
pub use write::write;
