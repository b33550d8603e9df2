//! A circuit in motion at one moment: what a clock adds to a frame.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What goes on at a moment.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MotionFrame {
    /// Seconds since the start.
    pub seconds: f64,
    /// The gauges, with lag and error.
    pub gauges: Vec<MotionGauge>,
    /// What goes wrong soon if things go on like this, the soonest first.
    pub clocks: Vec<MotionClock>,
    /// The compressors.
    pub compressors: Vec<MotionCompressor>,
    /// Electric power of the compressors, W.
    pub power_w: f64,
    /// Heat taken out of the cooled places, W.
    pub cooling_w: f64,
    /// What the vacuum gauge on the centre hose shows, Pa absolute.
    pub vacuum_pa: f64,
    /// What goes on and ends by itself, in the words of the procedure file.
    pub tasks: Vec<String>,
    /// Whether nothing that was started goes on any more.
    pub is_still: bool,
}

/// A gauge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MotionGauge {
    /// The hose that it is on.
    pub hose: String,
    /// The port that the hose is on; left out: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub port: Option<String>,
    /// What it shows, Pa absolute.
    pub shows_pa: f64,
    /// What it may be at least, by the gauge's class.
    pub low_pa: f64,
    /// What it may be at most.
    pub high_pa: f64,
    /// The part of its dial.
    pub needle: f64,
    /// The end of its dial, Pa above the atmosphere.
    pub dial_pa: f64,
    /// Whether the needle is at the end of its range.
    pub beyond: bool,
}

/// Something that is about to go wrong.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MotionClock {
    /// Its kind: "relief-lifts", "past-design", "bursts", "past-fill", "low-cut-out", "high-cut-out", "into-vacuum", "motor-hot" or "slugging".
    pub id: String,
    /// Where: a space or a joint.
    pub on: String,
    /// In a sentence.
    pub say: String,
    /// In how many seconds; 0: now.
    pub seconds: f64,
}

/// A compressor.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MotionCompressor {
    /// Its id.
    pub id: String,
    /// Whether it turns.
    pub runs: bool,
    /// Why it stands although it was started.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trip: Option<String>,
    /// Electric power, W.
    pub power_w: f64,
    /// Superheat of what it draws in, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub superheat_k: Option<f64>,
    /// Temperature of its discharge, K.
    pub discharge_k: f64,
}

/// A gauge's curve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MotionCurve {
    /// The hose whose gauge it is.
    pub hose: String,
    /// Seconds and Pa absolute.
    pub points: Vec<(f64, f64)>,
}

/// A fault that can be put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FaultChoice {
    /// Its kind and where: what putting it in takes.
    pub id: String,
    /// In words.
    pub say: String,
    /// The unit of its size: "%", "kg", "g", "K" or "mm²".
    pub unit: String,
    /// A size that shows.
    pub usual: f64,
    /// The largest size.
    pub most: f64,
}

/// Something that went wrong in motion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WentWrong {
    /// When it came about first, seconds since the start.
    pub seconds: f64,
    /// Its kind, as of [`MotionClock`].
    pub id: String,
    /// Where: a space or a joint.
    pub on: String,
    /// In a sentence.
    pub say: String,
}

/// A run that is seen once more.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SeenAgain {
    /// When it ended, seconds since the start.
    pub end_s: f64,
    /// How many actions it had.
    pub actions: usize,
    /// Whether all of it has been seen.
    pub over: bool,
    /// What went wrong in it.
    pub went_wrong: Vec<WentWrong>,
}

/// A procedure that is followed in motion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FollowedProcedure {
    /// The job that it is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// Its steps.
    pub steps: Vec<StepInMotion>,
}

/// A step in motion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StepInMotion {
    /// From 1.
    pub n: usize,
    /// What is done.
    pub say: String,
    /// What must be proved before going on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<String>,
    /// "done", "not-ended" (what it waits for did not come), "refused" (hands can't do it), "next" or "to-come".
    pub stands: String,
    /// When it began, seconds since the start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_s: Option<f64>,
    /// When it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_s: Option<f64>,
    /// What the gauges showed at its end.
    pub shown: Vec<GaugeInMotion>,
    /// Why hands can't do it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// What went wrong on the way.
    pub happened: Vec<WentWrong>,
}

/// What a gauge showed beside what was expected, absolute.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GaugeInMotion {
    /// The port that its hose is on.
    pub gauge: String,
    /// What it showed, Pa.
    pub shows_pa: f64,
    /// The lower end of what was expected, Pa.
    pub low_pa: f64,
    /// The upper end, Pa.
    pub high_pa: f64,
    /// What a gauge of its class may err by in either direction, Pa.
    pub may_err_pa: f64,
    /// "as-expected", "on-the-way" (not there yet, but nearer than before the step) or "off".
    pub fit: String,
}

/// A circuit in motion: its running balance, or a procedure from its first step to its last.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RehearseAnswer {
    /// The circuit's name.
    pub circuit: String,
    /// The refrigerant.
    pub refrigerant: String,
    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    pub atmosphere_pa: f64,
    /// Faults that were put in, in words.
    pub faults: Vec<String>,
    /// What it comes to when it runs; left out where a procedure was followed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub balance: Option<RunningBalance>,
    /// The procedure that was followed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub procedure: Option<FollowedProcedure>,
    /// How long it took, s.
    pub seconds: f64,
    /// What went wrong, in order of time.
    pub went_wrong: Vec<WentWrong>,
    /// Refrigerant that went into the recovery cylinder, kg.
    pub recovered_kg: f64,
    /// Refrigerant that was charged, kg.
    pub charged_kg: f64,
    /// Refrigerant that went to the atmosphere, kg.
    pub lost_kg: f64,
    /// What each gauge showed.
    pub curves: Vec<MotionCurve>,
    /// What was taken by rule because the file doesn't say.
    pub assumed: Vec<String>,
}

/// What a running circuit comes to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunningBalance {
    /// Whether it came to rest: pressures move by less than 0.2 % a minute. A system that a control stops or that hunts never does.
    pub steady: bool,
    /// Temperatures of the places, K.
    pub places: Vec<PlaceInMotion>,
    /// The coils.
    pub coils: Vec<CoilInMotion>,
    /// The compressors.
    pub compressors: Vec<MotionCompressor>,
    /// Heat taken out of the cooled places, W.
    pub cooling_w: f64,
    /// Electric power of the compressors, W.
    pub power_w: f64,
    /// Mass flow of all compressors, kg/s.
    pub kg_per_second: f64,
    /// Refrigerant in each part and line, kg.
    pub charge: Vec<ChargeInMotion>,
}

/// A place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PlaceInMotion {
    /// Its name in the file.
    pub id: String,
    /// Its temperature, K.
    pub temperature_k: f64,
}

/// A coil.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CoilInMotion {
    /// Its id.
    pub id: String,
    /// Whether it gives heat off.
    pub condenses: bool,
    /// Absolute, Pa.
    pub pressure_pa: f64,
    /// Bubble point at that pressure, K.
    pub bubble_k: f64,
    /// Dew point at that pressure, K.
    pub dew_k: f64,
    /// Superheat (from the dew point) at an evaporator's outlet, subcooling (from the bubble point) at a condenser's, K.
    pub difference_k: f64,
    /// Heat from the air, W; given off: negative.
    pub heat_w: f64,
}

/// What a part or line holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChargeInMotion {
    /// Its id.
    pub id: String,
    /// Refrigerant, kg.
    pub kg: f64,
}
