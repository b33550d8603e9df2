//! The circuit in motion: mass and energy in every space, flow through every joint, with a clock.

pub mod equipment;
