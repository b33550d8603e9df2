//! Quantities with their units: types, parsing of what people type, and printing.

mod quantity;

pub use quantity::*;
