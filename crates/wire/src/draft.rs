//! A circuit as it is being built, in the order in which one walks along the pipe.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A circuit under construction.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Draft {
    /// The top of the circuit file: its keys and what was typed ("charge": "4.6 kg"; "design.high": "20 bar").
    pub top: BTreeMap<String, String>,
    /// The places.
    pub places: Vec<DraftPlace>,
    /// Everything that is there.
    pub pieces: Vec<DraftPiece>,
    /// The ways along the pipe; the first begins at the compressor's discharge, further ones branch off.
    pub ways: Vec<Vec<DraftStop>>,
}

/// Somewhere parts stand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DraftPlace {
    /// Its id in the file; empty: made from the name.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// How warm it usually is, as typed.
    pub temperature: String,
    /// The coldest, as typed; empty if not said.
    pub coldest: String,
    /// The hottest, as typed; empty if not said.
    pub hottest: String,
}

/// A part, a line, a valve or a port.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DraftPiece {
    /// "part", "line", "valve" or "port".
    pub table: String,
    /// Its kind, as the circuit file has it; empty for a port.
    pub kind: String,
    /// Its id in the file; empty: made from the name.
    pub id: String,
    /// What people call it; empty: as its kind is called.
    pub name: String,
    /// The place, by its position in the list; valves and ports stand nowhere.
    pub place: usize,
    /// The piece that it sits on, by its position in the list.
    pub on: Option<usize>,
    /// Its other keys and what was typed.
    pub keys: BTreeMap<String, String>,
}

/// A piece that one passes on a way.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DraftStop {
    /// Which, by its position in the list of pieces.
    pub piece: usize,
    /// Which of its sides, where it has several ("discharge"); empty otherwise.
    pub side: String,
}

/// A kind of piece that can be chosen, with the keys that it takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PieceKind {
    /// "part", "line" or "valve".
    pub table: String,
    /// Its kind.
    pub kind: String,
    /// Whether it can sit on another piece.
    pub sits_on: bool,
    /// The keys besides kind, name, place and what it sits on.
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
