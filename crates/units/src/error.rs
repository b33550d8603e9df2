//! What can be wrong with a typed quantity: what was understood, and what to do.

/// Why a text is not the quantity that was wanted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ParseError {
    /// Nothing was typed.
    #[error("nothing was typed; type a number and its unit")]
    Empty,
    /// Far too long for a quantity.
    #[error("\"{starts}…\" is too long for a quantity; type a number and its unit")]
    TooLong {
        /// How it starts.
        starts: String,
    },
    /// No number at the start.
    #[error("\"{found}\" does not start with a number; type it like \"4.5 kg\" or \"1/2 in\"")]
    NotANumber {
        /// What was found.
        found: String,
    },
    /// Infinite or NaN.
    #[error("the number is too large to reckon with")]
    NotFinite,
    /// "1,234": decimal comma or thousands.
    #[error("\"{typed}\" could mean {as_decimal} or {as_thousands}; type it without the comma")]
    AmbiguousNumber {
        /// What was typed.
        typed: String,
        /// Read with a decimal comma.
        as_decimal: String,
        /// Read with thousands.
        as_thousands: String,
    },
    /// A number without a unit.
    #[error("{number} has no unit; {quantity} is typed with one of: {accepted}")]
    MissingUnit {
        /// The number understood.
        number: f64,
        /// The quantity wanted.
        quantity: &'static str,
        /// The units accepted.
        accepted: &'static str,
    },
    /// An unknown unit.
    #[error("the number {number} was understood, but \"{unit}\" is not a unit of {quantity}{}; it can be: {accepted}", meant(.near))]
    UnknownUnit {
        /// The number understood.
        number: f64,
        /// The unit typed.
        unit: String,
        /// The quantity wanted.
        quantity: &'static str,
        /// The units accepted.
        accepted: &'static str,
        /// The unit that may have been meant.
        near: Option<&'static str>,
    },
    /// "2 oz 4 lb": the second part is not in a smaller unit than the first.
    #[error(
        "\"{unit}\" can't follow the part before it; type parts from the larger unit to the smaller, like \"2 lb 4 oz\""
    )]
    PartsOutOfOrder {
        /// The unit of the second part.
        unit: String,
    },
    /// A unit of something else.
    #[error("\"{unit}\" is a unit of {got}, but {wanted} is wanted here; it can be: {accepted}")]
    WrongQuantity {
        /// The unit typed.
        unit: String,
        /// What it measures.
        got: &'static str,
        /// What is wanted.
        wanted: &'static str,
        /// The units accepted.
        accepted: &'static str,
    },
    /// Colder than possible.
    #[error("{typed} is below absolute zero")]
    BelowAbsoluteZero {
        /// What was typed.
        typed: String,
    },
    /// Less than no pressure at all.
    #[error("{typed} is less than no pressure at all: a full vacuum is {atmosphere} below the atmosphere")]
    BelowVacuum {
        /// What was typed.
        typed: String,
        /// The atmosphere at the site.
        atmosphere: String,
    },
    /// Must not be negative.
    #[error("{typed} is negative; {quantity} can't be")]
    Negative {
        /// What was typed.
        typed: String,
        /// The quantity.
        quantity: &'static str,
    },
    /// Not in the table of tubes.
    #[error("there is no tube of {typed} in the table; there are: {known}")]
    UnknownTube {
        /// What was typed.
        typed: String,
        /// The sizes of the table.
        known: String,
    },
    /// Out of the range of the standard atmosphere.
    #[error(
        "an altitude of {metres} m is outside the standard atmosphere's range, -500 m to 11000 m; give the barometer instead"
    )]
    AltitudeOutOfRange {
        /// The altitude.
        metres: f64,
    },
}

fn meant(near: &Option<&'static str>) -> String {
    near.map_or_else(String::new, |near| format!(" (did you mean \"{near}\"?)"))
}
