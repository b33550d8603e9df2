//! What a reading should be: the published table of target superheats, and published or usual ranges.

use std::sync::OnceLock;

use serde::Deserialize;
use stemwise_units::{Temperature, TemperatureDifference};

/// What meters the refrigerant into the evaporator.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum MeteringKind {
    /// Nobody said.
    #[default]
    Unknown,
    /// Orifice, piston or capillary.
    Fixed,
    /// Thermostatic or electronic valve.
    Thermostatic,
}

/// On whose word a target stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Word {
    /// Whoever asked gave it: the maker's plate, the circuit's own papers.
    Given,
    /// Published; the source says where.
    Published,
    /// Common practice: no standard behind it.
    Practice,
}

/// What a value should be, in its SI unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// At least.
    pub low: Option<f64>,
    /// At most.
    pub high: Option<f64>,
    /// On whose word.
    pub word: Word,
    /// Where from.
    pub source: String,
}

/// How a value stands to its target, its uncertainty counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Against {
    /// Below it, with at least 95 %.
    Below,
    /// Within it, with at least 95 %.
    Within,
    /// Above it, with at least 95 %.
    Above,
    /// These instruments can't tell.
    Doubtful,
}

impl Target {
    /// Judges a value.
    pub fn judge(&self, value: &crate::Uncertain) -> Against {
        let below = self.low.map_or(0.0, |low| 1.0 - value.above(low));
        let above = self.high.map_or(0.0, |high| value.above(high));
        if below > 0.95 {
            Against::Below
        } else if above > 0.95 {
            Against::Above
        } else if below + above < 0.05 {
            Against::Within
        } else {
            Against::Doubtful
        }
    }
}

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
/// use stemwise_readings::target_superheat;
/// use stemwise_units::Temperature;
/// let at = |outdoor, wet| target_superheat(Temperature::from_fahrenheit(outdoor), Temperature::from_fahrenheit(wet));
/// assert!((at(95.0, 68.0)?.as_fahrenheit_degrees() - 14.0).abs() < 1e-9);
/// assert!((at(95.0, 67.0)?.as_fahrenheit_degrees() - 12.0).abs() < 1e-9); // facts.md 7.1: 12 interpolated
/// assert!(at(95.0, 55.0).is_err());
/// # Ok::<(), stemwise_readings::NoTarget>(())
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

#[derive(Deserialize)]
struct Targets {
    target: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Entry {
    of: String,
    metering: String,
    #[serde(default)]
    around: bool,
    #[serde(default)]
    absolute: bool,
    low: Option<f64>,
    high: Option<f64>,
    practice: bool,
    source: String,
}

fn entries() -> &'static [Entry] {
    static ENTRIES: OnceLock<Vec<Entry>> = OnceLock::new();
    ENTRIES.get_or_init(|| {
        toml::from_str(include_str!("../../../data/readings/targets.toml"))
            .map_or_else(|_| Vec::new(), |targets: Targets| targets.target)
    })
}

/// The published or usual target of a derived value; `given` is the maker's, or the table's, in kelvin. A given one goes first, a published
/// one before common practice.
pub(crate) fn published(of: &str, metering: MeteringKind, given: Option<(f64, &str)>) -> Option<Target> {
    let word = match metering {
        MeteringKind::Unknown => "any",
        MeteringKind::Fixed => "fixed",
        MeteringKind::Thermostatic => "thermostatic",
    };
    let fits = |entry: &&Entry| {
        entry.of == of
            && (entry.metering == "any" || entry.metering == word)
            && entry.around == given.is_some()
    };
    let entry = entries().iter().find(fits);
    let f_degrees = |value: f64| value * 5.0 / 9.0;
    match (entry, given) {
        (Some(entry), Some((centre, from))) => Some(Target {
            low: entry.low.map(|low| centre + f_degrees(low)),
            high: entry.high.map(|high| centre + f_degrees(high)),
            word: if entry.of == "superheat" { Word::Published } else { Word::Given },
            source: format!("{from}; {}", entry.source),
        }),
        (None, Some((centre, from))) => {
            let within = f_degrees(3.0);
            let source = format!("{from}; within 3 °F of it, as no tolerance is published for it");
            Some(Target {
                low: Some(centre - within),
                high: Some(centre + within),
                word: Word::Given,
                source,
            })
        }
        (Some(entry), None) => {
            let value = |f: f64| {
                if entry.absolute { Temperature::from_fahrenheit(f).as_k() } else { f_degrees(f) }
            };
            Some(Target {
                low: entry.low.map(value),
                high: entry.high.map(value),
                word: if entry.practice { Word::Practice } else { Word::Published },
                source: entry.source.clone(),
            })
        }
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(outdoor: f64, wet: f64) -> Result<f64, NoTarget> {
        let found =
            target_superheat(Temperature::from_fahrenheit(outdoor), Temperature::from_fahrenheit(wet));
        found.map(TemperatureDifference::as_fahrenheit_degrees)
    }

    #[test]
    fn the_printed_table() {
        // facts.md 7.1, the maker's table.
        for (outdoor, wet, superheat) in [
            (55.0, 50.0, 9.0),
            (55.0, 76.0, 45.0),
            (80.0, 70.0, 25.0),
            (85.0, 62.0, 8.0),
            (115.0, 76.0, 23.0),
            (70.0, 58.0, 13.0),
            (60.0, 60.0, 21.0),
            (105.0, 66.0, 5.0),
            (90.0, 73.0, 25.5),
            (97.5, 70.0, 16.5),
        ] {
            assert!((at(outdoor, wet).unwrap() - superheat).abs() < 1e-6, "{outdoor}/{wet}");
        }
    }

    #[test]
    fn its_limits() {
        assert!(matches!(at(54.0, 60.0), Err(NoTarget::Outside { .. })));
        assert!(matches!(at(80.0, 80.0), Err(NoTarget::Outside { .. })));
        assert!(matches!(at(115.0, 60.0), Err(NoTarget::Dash { .. })));
        // A neighbour without a value is not guessed.
        assert!(matches!(at(112.0, 69.0), Err(NoTarget::Dash { .. })));
    }

    #[test]
    fn the_formula_in_common_use_is_near() {
        // facts.md 7.1: SH = (3 WB - 80 - ODB) / 2, within 2 °F of the table in its middle, up to 3.5 °F off elsewhere.
        let mut most: f64 = 0.0;
        for outdoor in 12..=22 {
            for wet in 31..=37 {
                let (outdoor, wet) = (5.0 * f64::from(outdoor), 2.0 * f64::from(wet));
                if let Ok(superheat) = at(outdoor, wet) {
                    most = most.max((superheat - (3.0 * wet - 80.0 - outdoor) / 2.0).abs());
                }
            }
        }
        assert!(most > 0.5 && most < 4.6, "{most}");
    }

    #[test]
    fn targets_stand() {
        assert_eq!(entries().len(), 6);
        let subcooling = published("subcooling", MeteringKind::Thermostatic, Some((5.0, "plate"))).unwrap();
        assert!((subcooling.high.unwrap() - subcooling.low.unwrap() - 10.0 / 3.0).abs() < 1e-9);
        let judged = |value, standard| subcooling.judge(&crate::Uncertain::plain(value, standard));
        assert_eq!(judged(5.0, 0.3), Against::Within);
        assert_eq!(judged(5.0, 3.0), Against::Doubtful);
        assert_eq!(judged(9.0, 0.3), Against::Above);
        assert_eq!(judged(1.0, 0.3), Against::Below);
    }
}
