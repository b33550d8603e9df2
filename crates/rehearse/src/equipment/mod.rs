//! The laws of single pieces of equipment, each a pure function of plain SI numbers with the unit in the name.
