//! From numbers to evidence: what the readings at the gauges prove, with the uncertainty of the instruments.
//!
//! Numbers inside results are SI, named by their field or their kind; what comes in has its type from `stemwise-units`.

mod charge;
mod faults;
mod fit;
mod instrument;
mod leak;
mod log;
mod moist;
mod noncondensable;
mod ranker;
mod recover;
mod rules;
mod set;
mod standing;
mod target;
mod uncertain;
mod vacuum;

pub use charge::{
    Advice, AsWhat, ByWeight, EarlierStep, FieldLine, LineKind, NextStep, SETTLING, ToppedUp, Trim, TrimBy,
    WeighIn, as_what, fastest, topped_up,
};
pub use faults::{
    Evidence, FaultRanker, Feature, MayAdd, NextMeasurement, Ranking, Sign, SignRules, Suspect, chance_words,
};
pub use instrument::{Accuracy, Contact, Instrument, InstrumentError, Measured};
pub use leak::RefrigerantLeak;
pub use log::{DateOrder, GAP_ROWS, Log, LogError, LogReader, Wanted};
pub use moist::water_pressure;
pub use noncondensable::{AIR_LIMIT, AirAsk, AirError, AirFound};
pub use ranker::{BY_BALANCE, Expected, FaultKind, ModelRanker};
pub use recover::{Recovery, RecoveryAsk, Required, SmallAppliance, StillThere, vapour_mass};
pub use rules::{Hold, Outcome, RuleOutcome, StandingRule, VacuumRule, standing_rules, vacuum_rules};
pub use set::{Derived, Item, Kind, Missing, Reading, ReadingSet, Value, WorkedOut, standards, work_out};
pub use standing::{
    Ends, StandingError, StandingLog, StandingPoint, StandingTest, Stood, TestPart, nitrogen_pressure,
};
pub use target::{Against, MeteringKind, NoTarget, Target, Word, target_superheat, target_superheat_source};
pub use uncertain::{Input, Uncertain, normal, propagate, rectangular};
pub use vacuum::{
    Decay, DecayAsk, DecayError, DecayPoint, Element, Line, Path, Pull, PullAsk, PullError, PullPoint, Pump,
    Seen, Stage, WhatLimits, acceptance, ice_warning,
};
