//! Evidence: what readings and tests prove, in one shape for all of them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a set of readings or a test says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EvidenceAnswer {
    /// "readings", "faults", "standing-test", "vacuum", "charge", "air" or "recovery".
    pub kind: String,
    /// What it is, as a heading.
    pub title: String,
    /// The refrigerant; left out where none counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fluid: Option<String>,
    /// How it came out, in a sentence.
    pub verdict: String,
    /// The same in a word: "good", "bad" or "open".
    pub outcome: String,
    /// What was given.
    pub given: Vec<GivenLine>,
    /// What follows, each with its uncertainty.
    pub values: Vec<Estimate>,
    /// Published criteria, side by side.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rules: Vec<RuleAnswer>,
    /// Faults, the likeliest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub suspects: Vec<SuspectAnswer>,
    /// What to read next; left out where nothing more would tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<NextReading>,
    /// Whether refrigerant may be added on this evidence: "yes", "not-called-for" or "not-parted" (from a restriction). Of faults only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub may_add: Option<String>,
    /// What it would cost to act on the first suspect where the second is true; left out where there is no second.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stakes: Option<String>,
    /// Whether the suspects' weights are probabilities that were compared with outcomes; left out where there are none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<bool>,
    /// What to do, in sentences.
    pub advice: Vec<String>,
    /// What to know about it.
    pub remarks: Vec<String>,
    /// What it is worked out by.
    pub model: String,
    /// The series over time as an SVG; left out where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub svg: Option<String>,
    /// A page of evidence to print (HTML); left out where none was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub page: Option<String>,
}

/// Something that was given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GivenLine {
    /// What.
    pub name: String,
    /// Its value, in the units of whoever asked.
    pub shown: String,
}

/// A value with its uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Estimate {
    /// Its id, stable: "superheat".
    pub id: String,
    /// What it is.
    pub name: String,
    /// The value, in `unit`.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// The lower end of the interval that holds it with about 95 %.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The SI unit: "K", "Pa" (absolute), "W", "kg", "kg/s", "s", "m3", "m3/s", "Pa m3/s", "J/kg" or "1".
    pub unit: String,
    /// The value and half the width of that interval, in the units of whoever asked.
    pub shown: String,
    /// How it follows.
    pub from: String,
    /// Whether it rests on assumptions that `from` names, more than on readings.
    pub estimate: bool,
    /// What brings the uncertainty, the largest part first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shares: Vec<UncertaintyShare>,
    /// What it should be; left out where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target: Option<TargetAnswer>,
}

/// A part of an uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct UncertaintyShare {
    /// Where it comes from.
    pub of: String,
    /// Which part of the variance.
    pub part: f64,
}

/// What a value should be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TargetAnswer {
    /// At least, in the value's unit; left out where there is no lower end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// At most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// In the units of whoever asked.
    pub shown: String,
    /// On whose word: "given", "published" or "practice".
    pub word: String,
    /// Where from.
    pub source: String,
    /// How the value stands to it, its uncertainty counted in: "below", "within", "above" or "doubtful".
    pub against: String,
}

/// A published criterion and how the test stands to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RuleAnswer {
    /// Its id.
    pub id: String,
    /// What it wants.
    pub wants: String,
    /// Where it stands written.
    pub source: String,
    /// "met", "not met", "not yet" or "can't tell".
    pub outcome: String,
    /// Why, with the numbers.
    pub why: String,
}

/// A fault, or none, with what speaks for and against it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SuspectAnswer {
    /// Its id; "none" where nothing is wrong.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its part of all the weight, from 0 to 1.
    pub weight: f64,
    /// Its size, from and to, as a part; left out where it is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<[f64; 2]>,
    /// The same in words, one for each fault of a pair.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sizes: Vec<String>,
    /// What speaks for it.
    pub in_favour: Vec<String>,
    /// What speaks against it.
    pub against: Vec<String>,
    /// Where its signs come from.
    pub source: String,
}

/// What to read next.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NextReading {
    /// The readings.
    pub read: Vec<String>,
    /// What follows from them.
    pub gives: String,
    /// What that tells apart.
    pub parts: String,
    /// What it costs, in minutes.
    pub minutes: f64,
}
