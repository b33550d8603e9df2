//! Quantities with their units: types, parsing of what people type, and printing.
//!
//! ```
//! use stemwise_units::{Mass, UnitSystem};
//! let charge = Mass::parse("4,5 kg")?;
//! assert_eq!(UnitSystem::Ip.mass(charge), "9 lb 14.7 oz");
//! assert!(Mass::parse("4.5 bar").is_err());
//! # Ok::<(), stemwise_units::ParseError>(())
//! ```

mod error;
mod number;
mod parse;
mod print;
mod quantity;
mod site;
mod tube;

pub use error::ParseError;
pub use parse::{TypedPressure, parse_fraction};
pub use print::{UnitSystem, VACUUM_GAUGE_BELOW};
pub use quantity::*;
pub use site::atmosphere_at;
pub use tube::{Tube, tubes};
