//! From numbers to evidence: what the readings at the gauges prove, with the uncertainty of the instruments.
//!
//! Numbers inside results are SI, named by their field or their kind; what comes in has its type from `stemwise-units`.

mod fit;
mod instrument;
mod leak;
mod moist;
mod rules;
mod set;
mod standing;
mod target;
mod uncertain;
mod vacuum;

pub use instrument::{Accuracy, Contact, Instrument, InstrumentError, Measured};
pub use leak::RefrigerantLeak;
pub use moist::water_pressure;
pub use rules::{Hold, Outcome, RuleOutcome, StandingRule, VacuumRule, standing_rules, vacuum_rules};
pub use set::{Derived, Item, Kind, Missing, Reading, ReadingSet, Value, WorkedOut, work_out};
pub use standing::{
    Ends, StandingError, StandingLog, StandingPoint, StandingTest, Stood, TestPart, nitrogen_pressure,
};
pub use target::{Against, MeteringKind, NoTarget, Target, Word, target_superheat, target_superheat_source};
pub use uncertain::{Input, Uncertain, normal, propagate, rectangular};
pub use vacuum::{
    Decay, DecayAsk, DecayError, DecayPoint, Element, Line, Path, Pull, PullAsk, PullError, PullPoint, Pump,
    Seen, Stage, WhatLimits, acceptance, ice_warning,
};
