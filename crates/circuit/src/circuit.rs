//! A circuit on file: its graph and what is known about it besides.

use stemwise_units::{Length, Mass, Pressure, Temperature};

use crate::{Graph, Known, SpaceId};

/// Somewhere parts stand, and how warm it is there.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The id from the file.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// The usual temperature; the range is what it may come to.
    pub temperature: Known<Temperature>,
}

/// The oil in a circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Oil {
    /// Its kind, as printed on the can ("POE 32").
    pub kind: String,
    /// How much, if known.
    pub mass: Option<Mass>,
}

/// A refrigerant system on file.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// What people call it.
    pub name: String,
    /// A remark from the file.
    pub note: Option<String>,
    /// The refrigerant, as the file names it, normalised ("R-134a").
    pub refrigerant: String,
    /// The charge.
    pub charge: Known<Mass>,
    /// The oil, if the file names it.
    pub oil: Option<Oil>,
    /// The height of the site above the sea.
    pub altitude: Length,
    /// The atmosphere's pressure there (from the altitude, or the file's barometer).
    pub atmosphere: Pressure,
    /// The places.
    pub places: Vec<Place>,
    /// The spaces, joints and ports.
    pub graph: Graph,
    /// Which of the liquid lines are sight glasses: for pictures; rules see a piece of liquid line.
    pub sight_glasses: Vec<SpaceId>,
}
