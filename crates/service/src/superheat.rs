//! The published table of target superheats for fixed metering devices.

use std::sync::OnceLock;

use serde::Deserialize;
use stemwise_units::{Temperature, TemperatureDifference};

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Grid {
    source: String,
    wet_bulb: Vec<f64>,
    row: Vec<GridRow>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct GridRow {
    outdoor: f64,
    from: f64,
    superheat: Vec<f64>,
}

fn grid() -> Option<&'static Grid> {
    static GRID: OnceLock<Option<Grid>> = OnceLock::new();
    GRID.get_or_init(|| toml::from_str(include_str!("../../../data/readings/superheat.toml")).ok()).as_ref()
}

/// Why the table of target superheats has no value.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoTarget {
    /// Outside the table.
    #[error(
        "the table of target superheats goes from 55 to 115 °F outdoors and from 50 to 76 °F wet bulb; here it is {outdoor_f:.1} °F and {wet_f:.1} °F: weigh \
         the charge in"
    )]
    Outside {
        /// Air onto the condenser, °F.
        outdoor_f: f64,
        /// Wet bulb onto the evaporator, °F.
        wet_f: f64,
    },
    /// The table has a dash there.
    #[error(
        "at {outdoor_f:.1} °F outdoors and {wet_f:.1} °F wet bulb the table of target superheats gives none: liquid could reach the compressor; weigh the \
         charge in"
    )]
    Dash {
        /// Air onto the condenser, °F.
        outdoor_f: f64,
        /// Wet bulb onto the evaporator, °F.
        wet_f: f64,
    },
}

/// The published target superheat for a fixed metering device, between its rows and columns in proportion.
///
/// # Errors
/// [`NoTarget`] outside the table, and where a neighbour has no value.
///
/// ```
/// use stemwise_service::target_superheat;
/// use stemwise_units::Temperature;
/// let at = |outdoor, wet| target_superheat(Temperature::from_fahrenheit(outdoor), Temperature::from_fahrenheit(wet));
/// assert!((at(95.0, 68.0)?.as_fahrenheit_degrees() - 14.0).abs() < 1e-9);
/// assert!((at(95.0, 67.0)?.as_fahrenheit_degrees() - 12.0).abs() < 1e-9); // facts.md 7.1: 12 interpolated
/// assert!(at(95.0, 55.0).is_err());
/// # Ok::<(), stemwise_service::NoTarget>(())
/// ```
pub fn target_superheat(
    outdoor: Temperature,
    wet_bulb: Temperature,
) -> Result<TemperatureDifference, NoTarget> {
    let (outdoor_f, wet_f) = (outdoor.as_fahrenheit(), wet_bulb.as_fahrenheit());
    let outside = NoTarget::Outside { outdoor_f, wet_f };
    let grid = grid().ok_or(outside)?;
    // A hair of rounding from °C is not outside.
    let row = bracket(grid.row.iter().map(|row| row.outdoor), outdoor_f).ok_or(outside)?;
    let column = bracket(grid.wet_bulb.iter().copied(), wet_f).ok_or(outside)?;
    let mut sum = 0.0;
    for (r, part) in [(row.0, 1.0 - row.1), (row.0 + 1, row.1)] {
        for (c, share) in [(column.0, 1.0 - column.1), (column.0 + 1, column.1)] {
            let weight: f64 = part * share;
            if weight > 1e-9 {
                let cell = grid.cell(r, c).ok_or(NoTarget::Dash { outdoor_f, wet_f })?;
                sum += weight * cell;
            }
        }
    }
    Ok(TemperatureDifference::from_fahrenheit_degrees(sum))
}

/// Where the table of target superheats comes from.
pub fn target_superheat_source() -> &'static str {
    grid().map_or("", |grid| &grid.source)
}

impl Grid {
    fn cell(&self, row: usize, column: usize) -> Option<f64> {
        let row = self.row.get(row)?;
        let first = self.wet_bulb.iter().position(|wet| (wet - row.from).abs() < 1e-9)?;
        row.superheat.get(column.checked_sub(first)?).copied()
    }
}

/// The interval that holds a value, and how far along it lies.
fn bracket(steps: impl Iterator<Item = f64>, value: f64) -> Option<(usize, f64)> {
    let steps: Vec<f64> = steps.collect();
    let (first, last) = (steps.first()?, steps.last()?);
    if !(first - 1e-6..=last + 1e-6).contains(&value) {
        return None;
    }
    let value = value.clamp(*first, *last);
    let at = steps.windows(2).position(|pair| matches!(pair, [_, high] if value <= *high))?;
    let (low, high) = (steps.get(at)?, steps.get(at + 1)?);
    Some((at, (value - low) / (high - low)))
}
