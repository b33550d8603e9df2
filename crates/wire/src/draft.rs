//! A circuit as it is being built, in the order in which one walks along the pipe.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A circuit under construction: one loop, compressor first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Draft {
    /// The top of the circuit file: its keys and what was typed ("charge": "4.6 kg").
    pub top: BTreeMap<String, String>,
    /// The places.
    pub places: Vec<DraftPlace>,
    /// What one passes, in order.
    pub pieces: Vec<DraftPiece>,
}

/// Somewhere parts stand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DraftPlace {
    /// What people call it.
    pub name: String,
    /// How warm it usually is, as typed.
    pub temperature: String,
    /// The coldest, as typed; empty if not said.
    pub coldest: String,
    /// The hottest, as typed; empty if not said.
    pub hottest: String,
}

/// A part, a line or a valve on the way.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DraftPiece {
    /// "part", "line" or "valve".
    pub table: String,
    /// Its kind, as the circuit file has it.
    pub kind: String,
    /// What people call it; empty: as its kind is called.
    pub name: String,
    /// The place, by its position in the list; valves stand nowhere.
    pub place: usize,
    /// Its other keys and what was typed.
    pub keys: BTreeMap<String, String>,
    /// Whether an access port is on it.
    pub access: bool,
}

/// A kind of piece that can be chosen, with the keys that it takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PieceKind {
    /// "part", "line" or "valve".
    pub table: String,
    /// Its kind.
    pub kind: String,
    /// The keys besides kind, name and place.
    pub keys: Vec<PieceKey>,
}

/// A key of a piece.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PieceKey {
    /// As written.
    pub name: String,
    /// What it means.
    pub doc: String,
    /// The words that it can be, where it is one of a few.
    pub words: Vec<String>,
    /// Whether it must be there.
    pub required: bool,
}
