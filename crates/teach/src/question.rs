//! What a question is.

use stemwise_circuit::{JointId, PortId, Position};
use stemwise_units::{GaugePressure, Mass, TemperatureDifference};

/// What a question asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Which spaces does this port read now?
    ReadsNow,
    /// Are these two parted?
    Parted,
    /// What does this gauge show?
    GaugeShows,
    /// Which stem parts these two?
    WhichStem,
    /// What happens with the next turn?
    NextTurn,
    /// Where is liquid shut in?
    ShutIn,
    /// What is not back yet?
    NotBack,
    /// Which position gives a reading while the system runs?
    Position,
    /// What is the pressure in a standing cylinder?
    CylinderPressure,
    /// What does the port stay with when its valve is front-seated?
    PortSide,
    /// How much may the cylinder take?
    CylinderRoom,
    /// Where is a step missing?
    MissingStep,
    /// Which steps changed places?
    SwappedSteps,
    /// Superheat from two readings.
    Superheat,
    /// Subcooling from two readings.
    Subcooling,
    /// What does the pressure at rest say?
    AtRest,
    /// Which fault fits these readings?
    WhatIsWrong,
}

impl Kind {
    /// Every kind, in the order in which they are listed.
    pub const ALL: [Self; 17] = [
        Self::ReadsNow,
        Self::Parted,
        Self::GaugeShows,
        Self::WhichStem,
        Self::NextTurn,
        Self::ShutIn,
        Self::NotBack,
        Self::Position,
        Self::CylinderPressure,
        Self::PortSide,
        Self::CylinderRoom,
        Self::MissingStep,
        Self::SwappedSteps,
        Self::Superheat,
        Self::Subcooling,
        Self::AtRest,
        Self::WhatIsWrong,
    ];

    /// Its word in files and options.
    pub const fn word(self) -> &'static str {
        match self {
            Self::ReadsNow => "reads-now",
            Self::Parted => "parted",
            Self::GaugeShows => "gauge-shows",
            Self::WhichStem => "which-stem",
            Self::NextTurn => "next-turn",
            Self::ShutIn => "shut-in",
            Self::NotBack => "not-back",
            Self::Position => "position",
            Self::CylinderPressure => "cylinder-pressure",
            Self::PortSide => "port-side",
            Self::CylinderRoom => "cylinder-room",
            Self::MissingStep => "missing-step",
            Self::SwappedSteps => "swapped-steps",
            Self::Superheat => "superheat",
            Self::Subcooling => "subcooling",
            Self::AtRest => "at-rest",
            Self::WhatIsWrong => "what-is-wrong",
        }
    }

    /// From its word.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word.trim())
    }
}

/// How everything stands in a question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scene {
    /// Whether the system ran when the stems were turned, and goes on running.
    pub running: bool,
    /// The stems that stand otherwise than in normal running.
    pub turned: Vec<(JointId, Position)>,
    /// The ports with a hose and gauge on.
    pub hoses: Vec<PortId>,
    /// What is given besides: names and values.
    pub given: Vec<(String, String)>,
    /// The steps that the question is about.
    pub steps: Vec<String>,
}

/// One of several answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The answer.
    pub say: String,
    /// Why it is right, or which mistake leads to it.
    pub because: String,
}

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// What a gauge shows at the site.
    Gauge(GaugePressure),
    /// A mass.
    Mass(Mass),
    /// A difference of temperatures.
    Difference(TemperatureDifference),
}

impl Quantity {
    /// In SI units: Pa, kg, K.
    pub const fn si(self) -> f64 {
        match self {
            Self::Gauge(pressure) => pressure.as_pa(),
            Self::Mass(mass) => mass.as_kg(),
            Self::Difference(difference) => difference.as_k(),
        }
    }
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// One of several.
    Choice {
        /// What can be chosen.
        choices: Vec<Choice>,
        /// The right one, from 0.
        right: usize,
    },
    /// A number.
    Number {
        /// The right one.
        value: Quantity,
        /// What it may be off by, in the same unit.
        tolerance: f64,
        /// Wrong ones, and which mistake leads to each.
        wrong: Vec<(Quantity, String)>,
    },
}

/// A question.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// What it asks.
    pub kind: Kind,
    /// How everything stands.
    pub scene: Scene,
    /// The question.
    pub ask: String,
    /// The answer.
    pub answer: Answer,
    /// Why.
    pub why: String,
}
