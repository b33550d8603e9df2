//! Tubes by the size that is printed on them.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::{Length, ParseError, Volume};

/// A tube of the table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Tube {
    size: String,
    outside_mm: f64,
    wall_mm: f64,
    source: String,
}

#[derive(Deserialize)]
struct Table {
    tube: Vec<Tube>,
}

/// Every tube of the table, from `data/tubes.toml`.
pub fn tubes() -> &'static [Tube] {
    static TUBES: OnceLock<Vec<Tube>> = OnceLock::new();
    let read = || {
        toml::from_str(include_str!("../../../data/tubes.toml"))
            .map_or_else(|_| Vec::new(), |table: Table| table.tube)
    };
    TUBES.get_or_init(read)
}

impl Tube {
    /// Finds a tube by its size: "3/8 in", "1 1/8\"", "10 mm".
    ///
    /// # Errors
    /// [`ParseError`] for no length, [`ParseError::UnknownTube`] for a size that is not in the table.
    ///
    /// ```
    /// use stemwise_units::{Length, Tube};
    /// let tube = Tube::parse("3/8 in")?;
    /// assert!((tube.bore().as_mm() - 7.90).abs() < 0.01);
    /// assert!(Tube::parse("13 mm").is_err());
    /// # Ok::<(), stemwise_units::ParseError>(())
    /// ```
    pub fn parse(text: &str) -> Result<&'static Self, ParseError> {
        let wanted = Length::parse(text)?.as_mm();
        let found = tubes().iter().find(|tube| (tube.outside_mm - wanted).abs() < 0.02);
        found.ok_or_else(|| ParseError::UnknownTube {
            typed: text.trim().chars().take(40).collect(),
            known: tubes().iter().map(|tube| tube.size.as_str()).collect::<Vec<_>>().join(", "),
        })
    }

    /// The size as printed.
    pub fn size(&self) -> &str {
        &self.size
    }
    /// The inside diameter.
    pub const fn bore(&self) -> Length {
        Length::from_mm(self.outside_mm - 2.0 * self.wall_mm)
    }
    /// Where the dimensions come from.
    pub fn source(&self) -> &str {
        &self.source
    }
    /// The volume of a length of it.
    pub const fn volume(&self, length: Length) -> Volume {
        let bore = self.bore().as_m();
        Volume::from_m3(core::f64::consts::FRAC_PI_4 * bore * bore * length.as_m())
    }
}
