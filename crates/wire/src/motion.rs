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
    /// Its kind: "relief-lifts", "past-design", "past-fill", "low-cut-out", "high-cut-out", "into-vacuum", "motor-hot" or "slugging".
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
    /// The unit of its size: "%", "kg", "K" or "mm²".
    pub unit: String,
    /// A size that shows.
    pub usual: f64,
    /// The largest size.
    pub most: f64,
}
