//! The circuit as a graph of spaces and joints: positions, connectivity, the file format and the rig.

mod circuit;
mod examples;
mod file;
mod graph;
mod joined;
mod known;
mod lineup;
mod rig;

pub use circuit::*;
pub use examples::{Example, examples};
pub use file::*;
pub use graph::*;
pub use joined::*;
pub use known::*;
pub use lineup::*;
pub use rig::*;
