//! The engine: a network of cells and links in plain SI numbers; it knows no circuit.

pub(crate) mod beyond;
pub(crate) mod block;
pub(crate) mod cell;
pub(crate) mod medium;
pub(crate) mod network;
pub(crate) mod number;
pub(crate) mod past;
pub(crate) mod rounding;
pub(crate) mod step;
mod walls;
