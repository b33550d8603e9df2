//! Published rules for standing tests and for vacuum, side by side; from `data/readings`.

use std::sync::OnceLock;

use serde::Deserialize;

/// How a test stands to one rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// It meets the rule.
    Met,
    /// It does not.
    NotMet,
    /// It has not gone on long enough, or not low or high enough yet.
    NotYet,
    /// These readings can't tell.
    CantTell,
}

impl Outcome {
    /// As printed: "met", "not met", "not yet", "can't tell".
    pub const fn word(self) -> &'static str {
        match self {
            Self::Met => "met",
            Self::NotMet => "not met",
            Self::NotYet => "not yet",
            Self::CantTell => "can't tell",
        }
    }
}

/// One rule and how the test stands to it.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleOutcome {
    /// The rule's id.
    pub id: String,
    /// What it wants, in words.
    pub wants: String,
    /// Where it stands written.
    pub source: String,
    /// How the test stands to it.
    pub outcome: Outcome,
    /// Why, with the numbers.
    pub why: String,
}

/// A rule for a standing test.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StandingRule {
    /// Its id.
    pub id: String,
    /// What it wants, in words.
    pub wants: String,
    /// How long, hours; 0 where it says nothing.
    pub hours: f64,
    /// At least this gauge pressure, psi, where it says one.
    pub least_psig: Option<f64>,
    /// Where it stands written.
    pub source: String,
}

/// A rule for a vacuum.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct VacuumRule {
    /// Its id.
    pub id: String,
    /// What it wants, in words.
    pub wants: String,
    /// Evacuated to at most this before the valve is shut, micron.
    pub start: f64,
    /// After so many minutes at most so many micron; each must hold.
    pub hold: Vec<Hold>,
    /// Where it stands written.
    pub source: String,
}

/// After so many minutes with the valve shut at most so many micron, and at no moment before.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Hold {
    /// Minutes since the valve was shut.
    pub minutes: f64,
    /// At most, micron.
    pub most: f64,
}

#[derive(Deserialize)]
struct Standing {
    rule: Vec<StandingRule>,
}

#[derive(Deserialize)]
struct Vacuum {
    rule: Vec<VacuumRule>,
}

/// The rules for standing tests.
pub fn standing_rules() -> &'static [StandingRule] {
    static RULES: OnceLock<Vec<StandingRule>> = OnceLock::new();
    RULES.get_or_init(|| {
        toml::from_str(include_str!("../../../data/readings/standing.toml"))
            .map_or_else(|_| Vec::new(), |it: Standing| it.rule)
    })
}

/// The rules for a vacuum.
pub fn vacuum_rules() -> &'static [VacuumRule] {
    static RULES: OnceLock<Vec<VacuumRule>> = OnceLock::new();
    RULES.get_or_init(|| {
        toml::from_str(include_str!("../../../data/readings/vacuum.toml"))
            .map_or_else(|_| Vec::new(), |it: Vacuum| it.rule)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_is_whole() {
        assert_eq!(standing_rules().len(), 5);
        assert_eq!(vacuum_rules().len(), 6);
        assert!(
            vacuum_rules()
                .iter()
                .all(|rule| !rule.hold.is_empty() && rule.start > 0.0 && rule.source.len() > 5)
        );
        assert!(standing_rules().iter().all(|rule| rule.hours >= 0.0 && rule.source.len() > 5));
    }
}
