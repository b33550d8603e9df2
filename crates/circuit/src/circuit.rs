//! A circuit on file: its graph and what is known about it besides.

use stemwise_units::{Length, Mass, Power, Pressure, Temperature};

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

/// How a split unit's charge goes with the length of its line set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineSet {
    /// How long it is.
    pub length: Length,
    /// The length that the unit's factory charge covers.
    pub covers: Length,
    /// What the maker asks for beyond that, for each of these lengths; none: by the liquid line's volume.
    pub allowance: Option<(Mass, Length)>,
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
    /// The refrigerating capacity, if the file names it.
    pub capacity: Option<Power>,
    /// What a split unit's line set adds to its factory charge; the charge above has it in.
    pub line_set: Option<LineSet>,
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
    /// Which of the liquid lines are sight glasses: for pictures and for the job of replacing one; rules see a piece of liquid line.
    pub sight_glasses: Vec<SpaceId>,
}
