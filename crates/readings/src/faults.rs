//! Faults: who ranks them, and the fall-back that ranks by published signs.
//!
//! A ranking by a model of this circuit fits the same trait: it gives sizes and calibrated probabilities where the signs give neither.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use crate::set::{Derived, Missing, Reading, WorkedOut};
use crate::target::{MeteringKind, Target};
use crate::uncertain::normal;

/// What a ranking goes by.
#[derive(Clone, Copy, Debug)]
pub struct Evidence<'a> {
    /// The readings worked out.
    pub worked: &'a WorkedOut,
    /// The readings themselves, SI.
    pub readings: &'a [(Reading, f64)],
    /// Standard uncertainties of the readings by their instruments, SI.
    pub standards: &'a [(Reading, f64)],
    /// What meters.
    pub metering: MeteringKind,
    /// How this system runs when it is well, under the same air: ids of derived values, SI, and how far either way is nothing.
    pub healthy: &'a [(String, f64, f64)],
}

/// A sign against the healthy system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// Lower.
    Lower,
    /// As it should be.
    Same,
    /// Higher.
    Higher,
}

impl Sign {
    const ALL: [Self; 3] = [Self::Lower, Self::Same, Self::Higher];

    /// As said: "lower", "as usual", "higher".
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lower => "lower than usual",
            Self::Same => "as usual",
            Self::Higher => "higher than usual",
        }
    }
}

/// A feature with how likely it is lower, the same, higher.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// The derived value's id.
    pub id: &'static str,
    /// What it is.
    pub name: &'static str,
    /// The value, SI.
    pub value: f64,
    /// What is usual, SI.
    pub usual: f64,
    /// How far either way is still usual, SI.
    pub within: f64,
    /// On whose word.
    pub source: String,
    /// Probabilities of lower, same, higher, by the instruments' uncertainty.
    pub chances: [f64; 3],
}

impl Feature {
    /// The likeliest sign.
    pub fn sign(&self) -> Sign {
        let [lower, same, higher] = self.chances;
        if higher > same && higher > lower {
            Sign::Higher
        } else if lower > same {
            Sign::Lower
        } else {
            Sign::Same
        }
    }
}

/// One fault, or none, with what speaks for and against it.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The fault's id; "none" where nothing is wrong.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its part of all the weight, from 0 to 1.
    pub weight: f64,
    /// Its size where the ranker knows one: a part, from and to ("charge 0.78 to 0.86").
    pub size: Option<(f64, f64)>,
    /// The same in words, one for each fault of a pair.
    pub sizes: Vec<String>,
    /// What speaks for it.
    pub in_favour: Vec<String>,
    /// What speaks against it.
    pub against: Vec<String>,
    /// Where its signs come from.
    pub source: String,
}

/// A suspect's part of all the weight in words; never certain, never out of the question.
///
/// ```
/// assert_eq!(stemwise_readings::chance_words(0.934), "93 %");
/// assert_eq!(stemwise_readings::chance_words(0.9999), "over 99 %");
/// assert_eq!(stemwise_readings::chance_words(0.001), "under 1 %");
/// ```
pub fn chance_words(part: f64) -> String {
    let percent = 100.0 * part;
    if percent > 99.0 {
        "over 99 %".into()
    } else if percent < 1.0 {
        "under 1 %".into()
    } else {
        format!("{percent:.0} %")
    }
}

/// What to measure next.
#[derive(Clone, Debug, PartialEq)]
pub struct NextMeasurement {
    /// What is to be read.
    pub read: Vec<Reading>,
    /// What follows from it.
    pub gives: String,
    /// What it tells apart.
    pub parts: String,
    /// What it costs, minutes.
    pub minutes: f64,
    /// How much doubt it takes away on average, bits.
    pub bits: f64,
}

/// A ranking.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// By what it ranks.
    pub method: &'static str,
    /// Whether its weights are probabilities that have been checked against outcomes.
    pub calibrated: bool,
    /// The likeliest first.
    pub suspects: Vec<Suspect>,
    /// What it went by.
    pub features: Vec<Feature>,
    /// The cheapest reading that would tell the first ones apart; none where nothing more would.
    pub next: Option<NextMeasurement>,
    /// Whether refrigerant may be added on this evidence.
    pub may_add: MayAdd,
    /// What it would cost to act on the first where the second is true.
    pub stakes: Option<String>,
    /// What to know about it.
    pub remarks: Vec<String>,
}

/// Whether refrigerant may be added on some evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MayAdd {
    /// It points to too little refrigerant and rules a restriction out.
    Yes,
    /// It does not point to too little refrigerant.
    NotCalledFor,
    /// It can't part too little refrigerant from a restriction.
    NotParted,
}

/// Ranks faults.
pub trait FaultRanker {
    /// The likeliest first, with what speaks for and against each.
    fn rank(&self, evidence: &Evidence<'_>) -> Ranking;
}

/// Ranks by published signs.
#[derive(Clone, Copy, Debug, Default)]
pub struct SignRules;

#[derive(Deserialize)]
struct File {
    fault: Vec<FaultRow>,
    usual: Vec<UsualRow>,
    cost: Vec<CostRow>,
    act: Vec<ActRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ActRow {
    fault: String,
    loss: String,
    #[serde(rename = "source")]
    _source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FaultRow {
    id: String,
    name: String,
    metering: String,
    weak: bool,
    signs: BTreeMap<String, String>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct UsualRow {
    of: String,
    over: Option<String>,
    under: Option<String>,
    by: f64,
    within: f64,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CostRow {
    reading: String,
    minutes: f64,
    #[serde(rename = "source")]
    _source: String,
}

fn file() -> &'static File {
    static FILE: OnceLock<File> = OnceLock::new();
    FILE.get_or_init(|| {
        toml::from_str(include_str!("../../../data/readings/signs.toml")).unwrap_or(File {
            fault: Vec::new(),
            usual: Vec::new(),
            cost: Vec::new(),
            act: Vec::new(),
        })
    })
}

/// How often a fault shows lower, same, higher where its row has a sign: some faults are too small to show, few show the other way. Assumed;
/// a row from memory counts less. A feature that the row does not name may show anything.
fn shows(signs: Option<&str>, weak: bool) -> [f64; 3] {
    let (much, little, least) = if weak { (0.70, 0.22, 0.08) } else { (0.85, 0.11, 0.04) };
    match signs {
        Some("+") => [least, little, much],
        Some("-") => [much, little, least],
        Some("0") => [(1.0 - much) / 2.0, much, (1.0 - much) / 2.0],
        Some("0+") => [least, (1.0 - least) / 2.0, (1.0 - least) / 2.0],
        Some("0-") => [(1.0 - least) / 2.0, (1.0 - least) / 2.0, least],
        _ => [1.0 / 3.0; 3],
    }
}

/// A hypothesis: a row, or nothing wrong.
struct Hypothesis {
    id: &'static str,
    name: &'static str,
    source: &'static str,
    row: Option<&'static FaultRow>,
}

impl Hypothesis {
    fn shows(&self, feature: &str) -> [f64; 3] {
        match self.row {
            Some(row) => shows(row.signs.get(feature).map(String::as_str), row.weak),
            None => shows(Some("0"), false),
        }
    }
}

/// The rows for a metering device; where nobody says which, those for a fixed one, which are the published ones.
fn hypotheses(metering: MeteringKind) -> Vec<Hypothesis> {
    let word = if metering == MeteringKind::Thermostatic { "thermostatic" } else { "fixed" };
    let none =
        Hypothesis { id: "none", name: "nothing wrong", source: "every reading is as usual", row: None };
    let rows = file().fault.iter().filter(|row| row.metering == word);
    core::iter::once(none)
        .chain(rows.map(|row| Hypothesis {
            id: &row.id,
            name: &row.name,
            source: &row.source,
            row: Some(row),
        }))
        .collect()
}

/// Every feature that a row names.
fn feature_ids() -> Vec<&'static str> {
    let mut ids: Vec<&str> =
        file().fault.iter().flat_map(|row| row.signs.keys().map(String::as_str)).collect();
    ids.sort_unstable();
    ids.dedup();
    ids
}

impl FaultRanker for SignRules {
    fn rank(&self, evidence: &Evidence<'_>) -> Ranking {
        let mut remarks = Vec::new();
        let features = features(evidence, &mut remarks);
        let hypotheses = hypotheses(evidence.metering);
        let weights = weights(&hypotheses, &features);
        let mut suspects: Vec<Suspect> =
            hypotheses.iter().zip(&weights).map(|(it, weight)| suspect(it, *weight, &features)).collect();
        suspects
            .sort_by(|one, other| other.weight.total_cmp(&one.weight).then_with(|| one.id.cmp(&other.id)));
        let next = next(evidence, &hypotheses, &weights, &features);
        let may_add = may_add(&suspects, &features);
        let stakes = stakes(&suspects);
        remarks.extend(general_remarks(evidence, &features));
        Ranking {
            method: "published signs of faults (Rossi and Braun; others from memory), for want of a model of this circuit fitted to the readings",
            calibrated: false,
            suspects,
            features,
            next,
            may_add,
            stakes,
            remarks,
        }
    }
}

fn general_remarks(evidence: &Evidence<'_>, features: &[Feature]) -> Vec<String> {
    let mut remarks = vec![
        "The weights say how the readings fit each fault's signs. They are no probabilities that were checked against outcomes, and two faults at once \
         can look like a third."
            .to_owned(),
    ];
    if evidence.metering == MeteringKind::Unknown {
        remarks.push("Nobody said what meters the refrigerant: the signs for a fixed orifice are used. A thermostatic valve hides faults in superheat.".into());
    }
    if features.len() < 4 {
        remarks.push(format!(
            "Only {} of the signs could be read: take this as a hint of what to read next.",
            features.len()
        ));
    }
    if features.iter().any(|feature| feature.source.starts_with("common practice")) {
        remarks.push(
            "Where nobody said how this system runs when it is well, values from common practice stand in, and they are wide. Readings taken when it was \
             well would tell far more."
                .into(),
        );
    }
    remarks
}

/// What is usual for a derived value, and how far either way: as given, by its target, or by common practice.
fn usual(evidence: &Evidence<'_>, derived: &Derived) -> Option<(f64, f64, String)> {
    if let Some((_, value, within)) = evidence.healthy.iter().find(|(id, ..)| id == derived.id) {
        return Some((*value, *within, "as given for this system".into()));
    }
    if let Some(Target { low: Some(low), high: Some(high), source, .. }) = &derived.target {
        return Some(((low + high) / 2.0, (high - low) / 2.0, source.clone()));
    }
    let row = file().usual.iter().find(|row| row.of == derived.id)?;
    let degrees = |f: f64| f / 1.8;
    let reading = |word: &Option<String>| -> Option<f64> {
        let reading = Reading::by_word(word.as_deref()?)?;
        evidence.readings.iter().find(|(it, _)| *it == reading).map(|(_, value)| *value)
    };
    let base = match (&row.over, &row.under) {
        (Some(_), _) => reading(&row.over)? + degrees(row.by),
        (None, Some(_)) => reading(&row.under)? - degrees(row.by),
        (None, None) => degrees(row.by),
    };
    Some((base, degrees(row.within), row.source.clone()))
}

fn features(evidence: &Evidence<'_>, remarks: &mut Vec<String>) -> Vec<Feature> {
    let mut found = Vec::new();
    let mut without = Vec::new();
    for id in feature_ids() {
        let Some(derived) = evidence.worked.get(id) else { continue };
        match usual(evidence, derived) {
            Some((usual, within, source)) => found.push(feature(derived, usual, within, source)),
            None => without.push(derived.name),
        }
    }
    if !without.is_empty() {
        remarks
            .push(format!("Nothing says what is usual for: {}. It counts for nothing.", without.join(", ")));
    }
    found
}

fn feature(derived: &Derived, usual: f64, within: f64, source: String) -> Feature {
    let off = derived.value.value - usual;
    let standard = derived.value.standard.max(1e-9);
    let higher = normal((off - within) / standard);
    let lower = normal((-off - within) / standard);
    Feature {
        id: derived.id,
        name: derived.name,
        value: derived.value.value,
        usual,
        within,
        source,
        chances: [lower, (1.0 - lower - higher).max(0.0), higher],
    }
}

fn weights(hypotheses: &[Hypothesis], features: &[Feature]) -> Vec<f64> {
    let likelihood = |it: &Hypothesis| -> f64 {
        features.iter().map(|feature| fit(&it.shows(feature.id), &feature.chances)).product()
    };
    let raw: Vec<f64> = hypotheses.iter().map(likelihood).collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|weight| weight / sum).collect()
}

fn fit(shows: &[f64; 3], chances: &[f64; 3]) -> f64 {
    shows.iter().zip(chances).map(|(a, b)| a * b).sum()
}

fn suspect(hypothesis: &Hypothesis, weight: f64, features: &[Feature]) -> Suspect {
    let (mut in_favour, mut against) = (Vec::new(), Vec::new());
    for feature in features {
        let shows = hypothesis.shows(feature.id);
        let (sign, fits) = (feature.sign(), fit(&shows, &feature.chances));
        let say = format!("{} is {}", feature.name, sign.word());
        let expected =
            Sign::ALL.iter().zip(shows).filter(|(_, chance)| *chance > 0.4).map(|(sign, _)| sign.word());
        let expected = expected.collect::<Vec<_>>().join(" or ");
        if expected.is_empty() {
            continue;
        }
        if fits > 0.4 {
            in_favour.push(say);
        } else if fits < 0.25 {
            against.push(format!("{say}; with this it would be {expected}"));
        }
    }
    Suspect {
        id: hypothesis.id.to_owned(),
        name: hypothesis.name.to_owned(),
        weight,
        size: None,
        sizes: Vec::new(),
        in_favour,
        against,
        source: hypothesis.source.to_owned(),
    }
}

/// Doubt in bits (C. E. Shannon 1948).
fn doubt(weights: &[f64]) -> f64 {
    weights.iter().filter(|weight| **weight > 0.0).map(|weight| -weight * libm::log2(*weight)).sum()
}

/// By how much a feature would lessen the doubt on average.
fn lessens(hypotheses: &[Hypothesis], weights: &[f64], feature: &str) -> f64 {
    let mut left = 0.0;
    for at in 0..3 {
        let joint: Vec<f64> = hypotheses
            .iter()
            .zip(weights)
            .map(|(it, weight)| weight * it.shows(feature).get(at).copied().unwrap_or(0.0))
            .collect();
        let chance: f64 = joint.iter().sum();
        if chance > 0.0 {
            let after: Vec<f64> = joint.iter().map(|part| part / chance).collect();
            left += chance * doubt(&after);
        }
    }
    doubt(weights) - left
}

/// The reading that takes the most doubt away for its cost; that which parts undercharge from a restriction goes first where both are suspects.
fn next(
    evidence: &Evidence<'_>,
    hypotheses: &[Hypothesis],
    weights: &[f64],
    features: &[Feature],
) -> Option<NextMeasurement> {
    let cost = |reading: &Reading| minutes(*reading);
    let weight = |id: &str| {
        hypotheses.iter().zip(weights).find(|(it, _)| it.id == id).map_or(0.0, |(_, weight)| *weight)
    };
    let pair = [weight("undercharge"), weight("liquid-restriction")];
    let unparted = pair.iter().all(|weight| *weight > 0.1);
    let mut best: Option<(f64, NextMeasurement)> = None;
    for Missing { id, name, lacks } in missing(evidence) {
        if features.iter().any(|feature| feature.id == id) {
            continue;
        }
        let minutes: f64 = lacks.iter().map(cost).sum();
        let bits = lessens(hypotheses, weights, id);
        let parts_pair = unparted && (id == "subcooling" || id == "liquid-line-drop");
        let worth = bits / minutes + if parts_pair { 10.0 / minutes } else { 0.0 };
        if bits > 0.02 && best.as_ref().is_none_or(|(most, _)| worth > *most) {
            let parts = tells_apart(hypotheses, weights, id);
            best =
                Some((worth, NextMeasurement { read: lacks, gives: name.to_owned(), parts, minutes, bits }));
        }
    }
    best.map(|(_, next)| next)
}

/// Minutes to read something more.
pub(crate) fn minutes(reading: Reading) -> f64 {
    file().cost.iter().find(|row| row.reading == reading.word()).map_or(5.0, |row| row.minutes)
}

/// What is lost where a fault that is not there is acted on.
pub(crate) fn loss(fault: &str) -> Option<&'static str> {
    file().act.iter().find(|row| row.fault == fault).map(|row| row.loss.as_str())
}

fn stakes(suspects: &[Suspect]) -> Option<String> {
    let (first, second) = (suspects.first()?, suspects.get(1)?);
    let lost = loss(&first.id)?;
    Some(format!("To act on {} where it is {} costs {lost}.", first.name, second.name))
}

/// Every feature that some more readings would give, with what it lacks.
fn missing(evidence: &Evidence<'_>) -> Vec<Missing> {
    let known = |reading: &Reading| evidence.readings.iter().any(|(it, _)| it == reading);
    let mut all: Vec<Missing> = crate::set::needs(&feature_ids());
    for it in &mut all {
        it.lacks.retain(|reading| !known(reading));
    }
    all.retain(|it| !it.lacks.is_empty() && evidence.worked.get(it.id).is_none());
    all
}

fn tells_apart(hypotheses: &[Hypothesis], weights: &[f64], feature: &str) -> String {
    let mut order: Vec<(&Hypothesis, f64)> = hypotheses.iter().zip(weights.iter().copied()).collect();
    order.sort_by(|one, other| other.1.total_cmp(&one.1));
    let likely = |it: &Hypothesis| {
        let shows = it.shows(feature);
        let most = shows.iter().copied().fold(0.0, f64::max);
        let signs = Sign::ALL.iter().zip(shows).filter(|(_, chance)| *chance > 0.4 && *chance > most - 0.05);
        signs.map(|(sign, _)| sign.word()).collect::<Vec<_>>().join(" or ")
    };
    let said = order.iter().take(3).map(|(it, _)| (it.name, likely(it))).filter(|(_, sign)| !sign.is_empty());
    said.map(|(name, sign)| format!("{name}: {sign}")).collect::<Vec<_>>().join("; ")
}

/// Only where undercharge leads, and a feature that parts it from a restriction was read and says undercharge.
fn may_add(suspects: &[Suspect], features: &[Feature]) -> MayAdd {
    let weight = |id: &str| suspects.iter().find(|it| it.id == id).map_or(0.0, |it| it.weight);
    let (lacks, restricted) = (weight("undercharge"), weight("liquid-restriction"));
    if lacks < 0.3 && lacks < restricted || lacks < 0.15 {
        return MayAdd::NotCalledFor;
    }
    let parted = features.iter().any(|it| it.id == "subcooling" && it.chances[0] > 0.95);
    if parted && lacks > 0.5 && lacks > 19.0 * restricted { MayAdd::Yes } else { MayAdd::NotParted }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::Kind;
    use crate::uncertain::Uncertain;

    /// Derived values that are off by so much from healthy ones of 20 K.
    fn worked(off: &[(&'static str, f64)]) -> WorkedOut {
        let derived = |(id, off): &(&'static str, f64)| Derived {
            id,
            name: id,
            kind: Kind::Difference,
            value: Uncertain::plain(20.0 + off, 0.6),
            from: "made up",
            target: None,
            estimate: false,
        };
        WorkedOut { derived: off.iter().map(derived).collect(), missing: Vec::new(), remarks: Vec::new() }
    }

    fn rank(off: &[(&'static str, f64)], metering: MeteringKind) -> Ranking {
        let worked = worked(off);
        let healthy: Vec<(String, f64, f64)> =
            off.iter().map(|(id, _)| ((*id).to_owned(), 20.0, 1.0)).collect();
        let readings = [(Reading::DischargePressure, 2e6), (Reading::SuctionPressure, 8e5)];
        SignRules.rank(&Evidence {
            worked: &worked,
            readings: &readings,
            standards: &[],
            metering,
            healthy: &healthy,
        })
    }

    /// facts.md, section 9: the rule set of Rossi and Braun, column by column.
    const COLUMNS: [&str; 7] = [
        "evaporating",
        "superheat",
        "condensing-dew",
        "subcooling",
        "discharge-line",
        "condenser-air-rise",
        "evaporator-air-drop",
    ];
    const TABLE: [(&str, [f64; 7]); 5] = [
        ("undercharge", [-1.0, 1.0, -1.0, -1.0, 1.0, -1.0, -1.0]),
        ("compressor-valves", [1.0, -1.0, -1.0, -1.0, -1.0, -1.0, -1.0]),
        ("liquid-restriction", [-1.0, 1.0, -1.0, 1.0, 1.0, -1.0, -1.0]),
        ("condenser-fouling", [1.0, -1.0, 1.0, -1.0, 1.0, 1.0, -1.0]),
        ("evaporator-fouling", [-1.0, -1.0, -1.0, -1.0, -1.0, -1.0, 1.0]),
    ];

    #[test]
    fn the_published_table_is_reproduced() {
        for (id, signs) in TABLE {
            let off: Vec<(&'static str, f64)> =
                COLUMNS.iter().zip(signs).map(|(name, sign)| (*name, 4.0 * sign)).collect();
            let ranking = rank(&off, MeteringKind::Fixed);
            let first = ranking.suspects.first().unwrap();
            assert_eq!(first.id, id);
            assert!(first.weight > 0.85, "{id}: {}", first.weight);
            assert!(first.in_favour.len() == 7 && first.against.is_empty(), "{first:?}");
            assert_eq!(ranking.may_add == MayAdd::Yes, id == "undercharge", "{id}");
            assert!((ranking.suspects.iter().map(|it| it.weight).sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn nothing_wrong_is_an_answer() {
        let off: Vec<(&'static str, f64)> = COLUMNS.iter().map(|name| (*name, 0.1)).collect();
        let ranking = rank(&off, MeteringKind::Fixed);
        assert_eq!(ranking.suspects.first().unwrap().id, "none");
        assert_eq!(ranking.may_add, MayAdd::NotCalledFor);
    }

    #[test]
    fn without_subcooling_refrigerant_is_not_called_for() {
        // Everything that undercharge and a restriction share; only subcooling parts them (facts.md, section 9, discriminators).
        let shared = [
            ("evaporating", -4.0),
            ("superheat", 4.0),
            ("condensing-dew", -4.0),
            ("discharge-line", 4.0),
            ("condenser-air-rise", -4.0),
            ("evaporator-air-drop", -4.0),
        ];
        let ranking = rank(&shared, MeteringKind::Fixed);
        let first: Vec<&str> = ranking.suspects.iter().take(2).map(|it| it.id.as_str()).collect();
        assert!(first.contains(&"undercharge") && first.contains(&"liquid-restriction"));
        assert_eq!(ranking.may_add, MayAdd::NotParted);
        let next = ranking.next.unwrap();
        assert!(next.gives == "subcooling" && next.read.contains(&Reading::LiquidLine), "{next:?}");
        // And a doubtful subcooling does not part them either.
        let doubtful: Vec<(&'static str, f64)> =
            shared.iter().copied().chain([("subcooling", -1.2)]).collect();
        assert_eq!(rank(&doubtful, MeteringKind::Fixed).may_add, MayAdd::NotParted);
        let low: Vec<(&'static str, f64)> = shared.iter().copied().chain([("subcooling", -4.0)]).collect();
        assert_eq!(rank(&low, MeteringKind::Fixed).may_add, MayAdd::Yes);
    }

    #[test]
    fn a_thermostatic_valve_hides_superheat() {
        let off = [("superheat", 0.0), ("subcooling", -5.0), ("condensing-dew", -3.0), ("evaporating", 0.0)];
        assert_eq!(rank(&off, MeteringKind::Thermostatic).suspects.first().unwrap().id, "undercharge");
    }

    #[test]
    fn the_signs_are_whole() {
        for row in &file().fault {
            assert!(
                row.signs.values().all(|sign| ["+", "-", "0", "0+", "0-"].contains(&sign.as_str())),
                "{}",
                row.id
            );
        }
        assert_eq!(file().fault.len(), 14);
        assert!(file().cost.iter().all(|row| Reading::by_word(&row.reading).is_some()));
        // Every feature can be read.
        assert!(crate::set::needs(&feature_ids()).len() >= feature_ids().len());
    }
}
