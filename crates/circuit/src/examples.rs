//! Invented example circuits, built in.

/// An example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Example {
    /// Its name, as `example:NAME` takes it.
    pub name: &'static str,
    /// The file.
    pub text: &'static str,
}

macro_rules! examples {
    ($($name:literal),* $(,)?) => {
        &[$(Example { name: $name, text: include_str!(concat!("../../../examples/circuits/", $name, ".toml")) }),*]
    };
}

/// The examples: together they use every kind of valve. All are invented.
pub const fn examples() -> &'static [Example] {
    examples!(
        "walk-in-cooler",
        "split-air-conditioner",
        "sealed-freezer",
        "heat-pump",
        "two-temperature",
        "rack"
    )
}
