//! Invented drills, built in.

/// A drill that is built in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrillExample {
    /// Its name, as `drill:NAME` takes it.
    pub name: &'static str,
    /// The file.
    pub text: &'static str,
}

macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        &[$(DrillExample { name: $name, text: include_str!(concat!("../../../../examples/drills/", $name, ".toml")) }),*]
    };
}

/// The drills that are built in, all of them invented, the simplest first.
pub const fn drills() -> &'static [DrillExample] {
    shipped!(
        "first-readings",
        "forgotten-cap",
        "drier-change",
        "shut-ball-valve",
        "leaking-core",
        "short-of-charge",
        "split-to-move",
        "two-temperatures-by-eye",
        "air-in-the-cooler",
    )
}
