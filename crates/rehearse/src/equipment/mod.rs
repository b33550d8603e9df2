//! The laws of single pieces of equipment, each a pure function of plain SI numbers with the unit in the name.
//!
//! They are called millions of times from a stiff integrator, so each is cheap, smooth through zero flow and through its changes of regime,
//! monotone in the pressure difference, and brings its slopes along where a solver wants them. Each module says which paper, standard or
//! practice stands behind it and over which range; what is assumed says so.

pub mod compressor;
pub mod exchange;
pub mod flow;
pub mod gauge;
pub mod metering;
pub mod moisture;
pub mod oil;
pub mod recovery;
pub(crate) mod smooth;
pub mod vacuum;
