//! What a reading should be: published or usual ranges.

use std::sync::OnceLock;

use serde::Deserialize;
pub use stemwise_service::{NoTarget, target_superheat, target_superheat_source};
use stemwise_units::Temperature;

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
    /// What this circuit's running balance makes of it under this air.
    Circuit,
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
    use stemwise_units::TemperatureDifference;

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
