//! Verdicts on procedures, their slips, and why each step is there.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::Hazard;

/// The verdict on a procedure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VerifyAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    pub atmosphere_pa: f64,
    /// The job, if the procedure names one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// Whether it is accepted.
    pub accepted: bool,
    /// The first thing that keeps it from being accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// Notes to the whole.
    pub notes: Vec<String>,
    /// Each step, judged.
    pub steps: Vec<VerifiedStep>,
    /// What the job and the end ask for.
    pub asked: Vec<AskedFor>,
    /// The moments at which the circuit was opened.
    pub opened: Vec<OpenedAt>,
    /// What is left behind.
    pub left_behind: Vec<Hazard>,
    /// Where the refrigerant is in the end.
    pub account: RefrigerantAccount,
    /// How many states were checked, those during an action included.
    pub states: usize,
    /// The verdict over the ranges of what was estimated, where it was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ranges: Option<RangeVerdict>,
}

/// A step, judged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VerifiedStep {
    /// From 1.
    pub n: usize,
    /// What is done.
    pub say: String,
    /// What people wrote to it.
    pub notes: Vec<String>,
    /// "holds", "warned", "broken", "refused" or "not-reached".
    pub verdict: String,
    /// The rules that fired.
    pub found: Vec<RuleFired>,
    /// Why it can't be done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// What the gauges show after it.
    pub reads: Vec<GaugeReads>,
    /// The tightest margin of each kind in it.
    pub margins: Vec<MarginLeft>,
}

/// A rule that fired in a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RuleFired {
    /// The rule's id.
    pub id: String,
    /// "caution", "warning" or "danger".
    pub severity: String,
    /// The sentence with its numbers.
    pub say: String,
    /// The action, in the words of the procedure file.
    pub action: String,
    /// Where within the action, if not at its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub during: Option<String>,
}

/// What a gauge shows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GaugeReads {
    /// The port that it is on.
    pub gauge: String,
    /// Absolute, Pa.
    pub pressure_pa: f64,
    /// Whether that lies within what the step expects; left out where it expects nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fits: Option<bool>,
}

/// How far a step stays from a limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MarginLeft {
    /// "pressure" (Pa absolute), "fill" (part of the volume), "cylinder" (kg) or "suction" (Pa absolute, the limit is the least).
    pub of: String,
    /// The space or compressor.
    pub on: String,
    /// The value that came closest.
    pub value: f64,
    /// Its limit.
    pub limit: f64,
    /// The part of the way to the limit: 1 at the limit.
    pub used: f64,
}

/// Something that the job or the end asks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AskedFor {
    /// Its id, stable.
    pub id: String,
    /// The sentence.
    pub say: String,
    /// Whether it is met.
    pub met: bool,
    /// Whether the procedure is refused without it.
    pub needed: bool,
    /// The step at which it was met, where it is one moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
}

/// A moment at which the circuit was opened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OpenedAt {
    /// The step.
    pub n: usize,
    /// The space.
    pub space: String,
    /// Its pressure just before, Pa absolute.
    pub pressure_pa: f64,
    /// The refrigerant in what was joined to it, kg.
    pub refrigerant_kg: f64,
    /// What went to the atmosphere, kg.
    pub lost_kg: f64,
    /// Whether the power was locked out.
    pub locked_out: bool,
}

/// Where the refrigerant is in the end, kg.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RefrigerantAccount {
    /// At the start: the charge and what the cylinder held.
    pub start_kg: f64,
    /// In the circuit.
    pub circuit_kg: f64,
    /// In hoses and cylinders.
    pub rig_kg: f64,
    /// To the atmosphere.
    pub lost_kg: f64,
    /// New refrigerant that came in.
    pub new_kg: f64,
    /// What is not accounted for, as a part of the start.
    pub gap: f64,
}

/// The verdict over ranges.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RangeVerdict {
    /// Whether it holds at every value tried.
    pub holds: bool,
    /// How that was found out.
    pub method: String,
    /// How many quantities are estimates.
    pub estimates: usize,
    /// How many choices of values were replayed, and at how many of them it fails.
    pub tried: usize,
    /// Those at which it fails.
    pub fails: Vec<String>,
    /// The measurements of which each one alone would settle it.
    pub would_settle: Vec<String>,
}

/// The slips of a procedure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SlipsAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The atmosphere's pressure at the site, Pa.
    pub atmosphere_pa: f64,
    /// The job, if the procedure names one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// What the steps say.
    pub steps: Vec<String>,
    /// Every slip, in the order of the steps.
    pub slips: Vec<SlipTold>,
    /// How many starts the lock on the disconnect prevents.
    pub prevented: usize,
    /// How many actions were replayed.
    pub replayed: usize,
    /// The steps at which a single slip is dangerous.
    pub sharpened: Vec<SharpStep>,
    /// Orders with fewer dangerous slips, where they were asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reorderings: Option<Vec<OtherOrder>>,
    /// Pairs that are dangerous only together, where they were asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pairs: Option<SlipPairs>,
}

/// One slip.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SlipTold {
    /// The step, from 1.
    pub n: usize,
    /// "skipped", "forgotten", "left-on", "wrong-stem", "wrong-way", "too-far", "not-far-enough", "early", "swapped", "wrong-port",
    /// "wrong-part", "started-early" or "no-tool".
    pub kind: String,
    /// The slip in a sentence.
    pub say: String,
    /// "harmless", "delays", "breaks-machine", "loses-charge" or "hurts-someone".
    pub harm: String,
    /// What comes of it first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<SlipComes>,
    /// How it would be noticed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub noticed: Option<SlipNoticed>,
    /// How it is undone.
    pub undo: String,
    /// Whether a hold point or a gauge stands between the slip and the harm.
    pub guarded: bool,
}

/// What comes of a slip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SlipComes {
    /// The rule, "can-not-be-done", or what is missing in the end.
    pub id: String,
    /// The sentence with its numbers.
    pub say: String,
    /// The step at which it comes; left out: in the end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n: Option<usize>,
    /// How soon.
    pub soon: String,
}

/// The gauge that shows a slip.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SlipNoticed {
    /// After this step.
    pub n: usize,
    /// The port that the gauge is on.
    pub gauge: String,
    /// What it would show, Pa absolute; left out: nothing of the system.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shows_pa: Option<f64>,
    /// What it should show, Pa absolute; left out: nothing of the system.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expected_pa: Option<f64>,
}

/// A step at which a single slip is dangerous.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SharpStep {
    /// The step, from 1.
    pub n: usize,
    /// The worst of its slips.
    pub worst: String,
    /// How many of them are dangerous.
    pub dangerous: usize,
    /// Whether the step is a hold point.
    pub hold_point: bool,
    /// Whether each of them is guarded.
    pub guarded: bool,
    /// What the step should say.
    pub say: String,
}

/// Two neighbours that may change places.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OtherOrder {
    /// This step changes places with the next.
    pub n: usize,
    /// Dangerous slips as it is.
    pub dangerous_now: usize,
    /// Dangerous slips then.
    pub dangerous_then: usize,
}

/// Pairs of slips.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SlipPairs {
    /// How many pairs were replayed.
    pub tried: usize,
    /// Whether that was all of them.
    pub all: bool,
    /// Those that are dangerous only together.
    pub pairs: Vec<SlipPair>,
}

/// Two slips.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SlipPair {
    /// The first.
    pub first: SlipTold,
    /// The second.
    pub second: SlipTold,
}

/// Why a step is there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WhyAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The atmosphere's pressure at the site, Pa.
    pub atmosphere_pa: f64,
    /// The step, from 1.
    pub n: usize,
    /// What it does.
    pub say: String,
    /// The reason that the planner gives, for a planned procedure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// Other ways, and what breaks first.
    pub instead: Vec<InsteadOf>,
    /// What the stems that it turns are for.
    pub stems: Vec<StemFor>,
}

/// Another way to go on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct InsteadOf {
    /// The other way, in a sentence.
    pub way: String,
    /// What breaks first; left out: nothing, it would do as well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub breaks: Option<String>,
}

/// What a stem does for some steps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StemFor {
    /// The valve.
    pub stem: String,
    /// How it stands.
    pub position: String,
    /// From this step.
    pub from: usize,
    /// To this one.
    pub to: usize,
    /// The line side where the two differ most.
    pub line: StemSide,
    /// The body side then.
    pub body: StemSide,
}

/// One side of a stem.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StemSide {
    /// The space at the stem.
    pub space: String,
    /// Pa absolute.
    pub pressure_pa: f64,
    /// The refrigerant in what is joined to it, kg.
    pub mass_kg: f64,
}
