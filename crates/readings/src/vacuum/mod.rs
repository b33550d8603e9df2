//! Vacuum: how gas flows to the pump, how far a pull-down has come, and what a rise with the valve shut is made of.

mod decay;
mod flow;
mod pull;

pub use decay::{Decay, DecayAsk, DecayError, DecayPoint, Seen};
pub use flow::{Element, Line, Path, Pump, Stage};
pub use pull::{Pull, PullAsk, PullError, PullPoint, WhatLimits};

use crate::moist::{TRIPLE_PA, water_pa};
use crate::rules::{Outcome, RuleOutcome, VacuumRule, vacuum_rules};
use crate::uncertain::{Uncertain, rectangular};

/// One micron, Pa.
pub(crate) const MICRON: f64 = 101_325.0 / 760_000.0;

/// How a rise with the valve shut stands to the published criteria. `seconds` since the valve was shut, `pascal` absolute; the first reading
/// is the start. `part`: by which part of the reading the gauge may be off.
pub fn acceptance(seconds: &[f64], pascal: &[f64], part: f64) -> Vec<RuleOutcome> {
    vacuum_rules().iter().map(|rule| accept(rule, seconds, pascal, part)).collect()
}

fn accept(rule: &VacuumRule, seconds: &[f64], pascal: &[f64], part: f64) -> RuleOutcome {
    let points = || seconds.iter().zip(pascal).filter(|(_, p)| p.is_finite());
    let done = |outcome, why: String| RuleOutcome {
        id: rule.id.clone(),
        wants: rule.wants.clone(),
        source: rule.source.clone(),
        outcome,
        why,
    };
    let Some((first, start)) = points().next() else {
        return done(Outcome::CantTell, "there are no readings".into());
    };
    let start = start / MICRON;
    // The gauge shows whole steps: a hair over is not over.
    if start > rule.start * 1.005 {
        return done(
            Outcome::NotYet,
            format!("the valve was shut at {start:.0} micron, not at {:.0} or less", rule.start),
        );
    }
    let lasted = points().next_back().map_or(0.0, |(t, _)| (t - first) / 60.0);
    let mut near = false;
    for hold in &rule.hold {
        let highest = points()
            .take_while(|(t, _)| (*t - first) / 60.0 <= hold.minutes + 1e-9)
            .map(|(_, p)| p / MICRON)
            .fold(0.0, f64::max);
        if highest > hold.most * 1.005 {
            if highest * (1.0 - part) <= hold.most {
                near = true;
                continue;
            }
            return done(
                Outcome::NotMet,
                format!("{highest:.0} micron within {:.0} min, more than {:.0}", hold.minutes, hold.most),
            );
        }
        near |= highest * (1.0 + part) > hold.most;
        if lasted < hold.minutes - 0.01 {
            return done(
                Outcome::NotYet,
                format!(
                    "held for {lasted:.0} min of {:.0}, at most {highest:.0} micron so far",
                    hold.minutes
                ),
            );
        }
    }
    if near {
        return done(
            Outcome::CantTell,
            format!("so near the limit that this gauge ({:.0} %) can't tell", 100.0 * part),
        );
    }
    // A vacuum that goes on rising past the limit after the rule's time is no dry and tight system.
    let limit = rule.hold.iter().map(|hold| hold.most).fold(0.0, f64::max);
    let later = points()
        .map(|(t, p)| ((t - first) / 60.0, p / MICRON))
        .find(|(_, p)| *p * (1.0 - part) > limit * 1.005);
    if let Some((minutes, micron)) = later.filter(|_| limit > 0.0) {
        return done(
            Outcome::CantTell,
            format!(
                "it held as long as the rule wants, but stood at {micron:.0} micron after {minutes:.0} min, more than {limit:.0}"
            ),
        );
    }
    done(Outcome::Met, format!("held for {lasted:.0} min"))
}

/// Whether water can freeze in there: below the triple point's 4588 micron whatever liquid is left turns to ice, and ice goes many times
/// slower. Returns the sentence, or none where there is no sign of water.
pub fn ice_warning(pascal: f64, wall_kelvin: f64, water_seen: bool) -> Option<String> {
    let cold = wall_kelvin < 273.15 + 2.0;
    let micron = pascal / MICRON;
    if water_seen && pascal < TRIPLE_PA {
        return Some(format!(
            "There is water in it, and at {micron:.0} micron (below 4588) what is left as liquid freezes: ice leaves slowly and hides from the gauge. \
             Break the vacuum with dry nitrogen, warm the cold places, and evacuate again."
        ));
    }
    if cold {
        let over = water_pa(wall_kelvin).map_or(0.0, |p| p / MICRON);
        return Some(format!(
            "The walls are near freezing: water there stays ice, and the gauge then reads no more than {over:.0} micron of it. Warm them above 2 °C (35 °F) \
             before this test means anything."
        ));
    }
    None
}

/// The gauge's part of the uncertainty on a rise: its calibration, as a rectangle.
pub(crate) fn gauge_standard(value: f64, part: f64) -> f64 {
    rectangular(part) * value.abs()
}

/// A plain value with its gauge's doubt and the fit's.
pub(crate) fn with_gauge(value: f64, fit: f64, part: f64, other: &[(&str, f64)]) -> Uncertain {
    let gauge = gauge_standard(value, part);
    let mut shares = vec![("fit".to_owned(), fit * fit), ("gauge".to_owned(), gauge * gauge)];
    shares.extend(other.iter().map(|(name, standard)| ((*name).to_owned(), standard * standard)));
    let variance: f64 = shares.iter().map(|(_, part)| part).sum();
    if variance > 0.0 {
        for (_, share) in &mut shares {
            *share /= variance;
        }
    }
    shares.sort_by(|one, other| other.1.total_cmp(&one.1));
    Uncertain { value, standard: variance.sqrt(), shares }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcome(id: &str, rise: &[(f64, f64)]) -> Outcome {
        let (minutes, micron): (Vec<f64>, Vec<f64>) = rise.iter().copied().unzip();
        let seconds: Vec<f64> = minutes.iter().map(|m| m * 60.0).collect();
        let pascal: Vec<f64> = micron.iter().map(|m| m * MICRON).collect();
        let found = acceptance(&seconds, &pascal, 0.0);
        found.into_iter().find(|rule| rule.id == id).map_or(Outcome::CantTell, |rule| rule.outcome)
    }

    #[test]
    fn criteria_side_by_side() {
        // facts.md 4.1, V1: 300 micron, 1 h, repeat if it passes 500.
        let v1 = "300-one-hour-500";
        assert_eq!(outcome(v1, &[(0.0, 290.0), (30.0, 400.0), (60.0, 480.0)]), Outcome::Met);
        assert_eq!(outcome(v1, &[(0.0, 290.0), (30.0, 520.0), (60.0, 480.0)]), Outcome::NotMet);
        assert_eq!(outcome(v1, &[(0.0, 290.0), (30.0, 400.0)]), Outcome::NotYet);
        assert_eq!(outcome(v1, &[(0.0, 450.0), (60.0, 480.0)]), Outcome::NotYet);
        // V5: 30 min at no more than 500, then up to 750; V6: 250, 15 min, 700.
        assert_eq!(outcome("500-half-hours", &[(0.0, 480.0), (30.0, 500.0), (60.0, 740.0)]), Outcome::Met);
        assert_eq!(outcome("500-half-hours", &[(0.0, 480.0), (30.0, 560.0), (60.0, 740.0)]), Outcome::NotMet);
        assert_eq!(outcome("250-quarter-hour-700", &[(0.0, 240.0), (15.0, 690.0)]), Outcome::Met);
        assert_eq!(outcome(v1, &[]), Outcome::CantTell);
    }

    #[test]
    fn ice_is_warned_of() {
        assert!(ice_warning(60.0, 295.0, true).is_some_and(|say| say.contains("450 micron")));
        assert!(ice_warning(900.0, 295.0, true).is_none());
        assert!(ice_warning(60.0, 295.0, false).is_none());
        // -10 °C: 1950 micron (IAPWS R14-08; facts.md 4.2: 2000 micron at -9.7 °C).
        assert!(
            ice_warning(60.0, 263.15, false)
                .is_some_and(|say| say.contains("1949 micron") || say.contains("1950 micron"))
        );
    }
}
