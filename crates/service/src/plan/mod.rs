//! The planner: the cheapest safe procedure for a job, what the other ways cost, and why there is none.

mod aim;
mod beware;
mod direct;
mod isolated;
mod price;
mod procedure;
mod pumped;
mod rigging;
mod run;
mod say;
mod skeleton;
mod sketch;
mod testing;
mod whole;
mod why_not;
mod work;
mod write;

pub use aim::Aim;
pub use beware::Beware;
pub use direct::Form;
pub use procedure::{
    Cost, Cylinders, Doing, Expect, Hold, Label, Optimality, Phase, Procedure, Reason, Step, Way,
};
pub use say::Words;
pub use testing::SetBy;
pub use why_not::Missing;

use stemwise_circuit::Assembly;
use stemwise_search::stems::Weights;
use stemwise_units::Mass;

use crate::hazard::{Finding, Severity};
use crate::props::Refrigerant;
use crate::settle::Stops;
use crate::{Done, Job, JobKind, State, required_level_of};
use run::Runs;
use skeleton::Skeleton;
use sketch::{Found, Means, Sketch};
use write::Writer;

/// A plan: the best procedure and the other ways.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The best procedure.
    pub best: Procedure,
    /// What else was found wanting in it by the rules, below danger.
    pub warnings: Vec<Finding>,
    /// The other ways, each with its price or why it does not go.
    pub others: Vec<Other>,
    /// The procedures that no other one that was found beats in every respect, the best by the aim first; only where an aim was stated.
    pub unbeaten: Vec<Procedure>,
}

/// Another way.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// Which.
    pub way: Way,
    /// Its price; none where it does not go.
    pub cost: Option<Cost>,
    /// Why it does not go.
    pub because: Option<Because>,
}

/// Why a way does not go.
#[derive(Clone, Debug, PartialEq)]
pub enum Because {
    /// No sequence of moves does it.
    NoSequence,
    /// Not known within the effort allowed.
    NotFound,
    /// The physics found something dangerous.
    Dangerous(Box<Finding>),
    /// A step can't be done.
    Stuck {
        /// Its number.
        step: usize,
        /// Why.
        why: String,
    },
}

/// No safe way.
#[derive(Clone, Debug, PartialEq)]
pub struct NoWay {
    /// What is missing, smallest changes first.
    pub missing: Vec<Missing>,
    /// What was dangerous about the ways that were tried.
    pub tried: Vec<Other>,
}

/// Plans a job on a circuit with a rig, from normal running. A repair of a sealed circuit is planned with its way in: the plan's job says so.
///
/// # Errors
/// [`NoWay`] with what is missing.
pub fn plan(assembly: &Assembly, refrigerant: &Refrigerant, job: &Job) -> Result<Plan, NoWay> {
    plan_by(assembly, refrigerant, job, None)
}

/// The same with an aim of one's own: the best by it of every way that was found, and those that no other beats.
///
/// # Errors
/// [`NoWay`] with what is missing.
pub fn plan_by(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    job: &Job,
    aim: Option<&Aim>,
) -> Result<Plan, NoWay> {
    let with_access = job.with_access(&assembly.circuit);
    let job = with_access.as_ref().unwrap_or(job);
    let stops = Stops::usual(required_level_of(assembly, refrigerant));
    let planning = Planning {
        assembly,
        refrigerant,
        job,
        stops,
        start: State::begin(assembly, refrigerant, &stops, Some(job), true),
    };
    if direct::is_direct(job.kind) && !job.works() {
        return planning.direct();
    }
    match aim {
        Some(aim) => planning.by_aim(aim),
        None => planning.by_search(),
    }
}

/// Test gas and air that may be left in the whole system (a vacuum of 500 micron leaves less than a tenth of a gram in 100 L).
const MOST_GAS_LEFT: Mass = Mass::from_g(0.5);

/// A procedure with the warnings about it, or why there is none.
type Attempt = Result<(Procedure, Vec<Finding>), Because>;

pub(crate) struct Planning<'a> {
    pub(crate) assembly: &'a Assembly,
    pub(crate) refrigerant: &'a Refrigerant,
    pub(crate) job: &'a Job,
    pub(crate) stops: Stops,
    pub(crate) start: Done,
}

impl Planning<'_> {
    fn ways(&self) -> &'static [Way] {
        match self.job.kind {
            _ if self.job.has(JobKind::FitAccess) => &[Way::RecoverWhole],
            JobKind::PumpDown => &[Way::PumpDownOnly],
            JobKind::RecoverAll | JobKind::Decommission => &[Way::RecoverWhole],
            _ => &[Way::Cheapest, Way::PumpDownOnly, Way::RecoverSection, Way::RecoverWhole],
        }
    }

    fn by_search(&self) -> Result<Plan, NoWay> {
        let mut tried: Vec<(Way, Attempt)> = Vec::new();
        let mut lower_bound = None;
        for &way in self.ways() {
            let (attempt, cost) = self.one_way_by(way, Weights::BALANCED);
            if way == Way::Cheapest {
                lower_bound = cost;
            }
            tried.push((way, attempt));
        }
        // With the compressor off the charge comes to rest where it is coldest only after hours: where it can be pumped, that is only another way.
        let pumps = crate::supply::king_valve(self.assembly).is_some()
            && tried.iter().any(|(way, outcome)| *way == Way::Cheapest && outcome.is_ok());
        let price = |way: Way, found: &(Procedure, Vec<Finding>)| {
            (pumps && way == Way::RecoverSection, found.0.searched_cost)
        };
        let best = tried
            .iter()
            .enumerate()
            .filter_map(|(at, (way, outcome))| outcome.as_ref().ok().map(|found| (price(*way, found), at)))
            .min();
        let Some((_, at)) = best else {
            let others = tried.into_iter().map(|(way, outcome)| other(way, &outcome)).collect();
            return Err(NoWay { missing: self.missing(), tried: others });
        };
        let others: Vec<Other> = tried
            .iter()
            .enumerate()
            .filter(|(other, (way, outcome))| {
                *other != at && *way != Way::Cheapest && !same_as(outcome, tried.get(at))
            })
            .map(|(_, (way, outcome))| other(*way, outcome))
            .collect();
        let (_, outcome) = tried.swap_remove(at);
        let unproved = lower_bound.filter(|_| at > 0);
        let Ok((mut best, warnings)) = outcome else {
            return Err(NoWay { missing: self.missing(), tried: others });
        };
        if let Some(lower) = unproved {
            // What the search found cheapest was refused by the physics: how far this way is from the best is known only by that bound.
            best.optimality = match best.searched_cost.saturating_sub(lower) {
                0 => Optimality::Proved,
                gap => Optimality::Within(gap),
            };
        }
        Ok(Plan { best, warnings, others, unbeaten: Vec::new() })
    }

    /// One way: search, write out, verify; with the cost by the search, if it found anything.
    fn one_way_by(&self, way: Way, weights: Weights) -> (Attempt, Option<u64>) {
        if way == Way::RecoverWhole {
            let Some(skeleton) = self.whole() else { return (Err(Because::NoSequence), None) };
            let cost = skeleton.cost;
            return (self.written(way, &skeleton), Some(cost));
        }
        let means = Means { weights, ..Means::of(way) };
        let found = Sketch::solve(self.assembly, self.refrigerant, &self.start, self.job, &means);
        let (skeleton, at_least) = match found {
            Ok(Found::Skeleton(skeleton)) => {
                let at_least = skeleton.cost - skeleton.gap.unwrap_or(0).min(skeleton.cost);
                (Some(skeleton), at_least)
            }
            Ok(Found::Nothing) | Err(_) => return (Err(Because::NoSequence), None),
            Ok(Found::Unknown { at_least }) => (None, at_least),
        };
        let searched = skeleton.as_ref().map(|skeleton| self.written(way, skeleton));
        let proved = skeleton.is_some_and(|skeleton| skeleton.gap.is_none());
        let price = |attempt: &Attempt| attempt.as_ref().map_or(u64::MAX, |(found, _)| found.searched_cost);
        let usual = if self.job.kind == JobKind::PumpDown {
            let usual = self.by_the_outlet_valve(at_least);
            if let Some(Ok(usual)) = usual {
                return (Ok(usual), Some(at_least));
            }
            None
        } else if way == Way::Cheapest && !proved {
            let usual = [self.pumped(at_least), self.isolated(at_least)];
            usual.into_iter().flatten().min_by_key(price)
        } else {
            None
        };
        let attempt = match (searched, usual) {
            (Some(one), Some(other)) if price(&other) < price(&one) => other,
            (Some(one), _) => one,
            (None, Some(Ok(other))) => Ok(other),
            (None, _) => Err(Because::NotFound),
        };
        (attempt, Some(at_least))
    }

    pub(crate) fn written(&self, way: Way, skeleton: &Skeleton) -> Attempt {
        let runs = Runs::new(self.assembly, self.refrigerant, self.stops, self.job, true);
        let written = Writer::new(self.job, way, skeleton, runs).write();
        let writer = written.map_err(|stuck| Because::Stuck { step: stuck.step, why: stuck.why })?;
        let danger = writer.runs.findings().iter().find(|finding| finding.severity == Severity::Danger);
        if let Some(danger) = danger {
            return Err(Because::Dangerous(Box::new(danger.clone())));
        }
        if self.job.works() && writer.runs.gas_left() > MOST_GAS_LEFT {
            let why = "test gas or air would stay in a part that no hose was drawing from".to_owned();
            return Err(Because::Stuck { step: writer.steps.len(), why });
        }
        let mut warnings = writer.runs.findings().to_vec();
        warnings.extend(writer.runs.left_behind());
        let stem_moves = writer.stem_moves();
        let taken = writer.runs.in_cylinder().max(writer.runs.recovered());
        let cylinders = price::cylinders(self.assembly, self.refrigerant, taken);
        let Writer { steps, runs, .. } = writer;
        let end = runs.into_state();
        let minutes = price::minutes(&steps);
        let cost = Cost { removed_kg: end.left.recovered_kg, lost_kg: end.left.lost_kg, stem_moves, minutes };
        let optimality = skeleton.gap.map_or(Optimality::Proved, Optimality::Within);
        let procedure = Procedure {
            job: self.job.clone(),
            way,
            steps,
            cost,
            searched_cost: skeleton.cost,
            optimality,
            end,
            cylinders,
            expanded: skeleton.expanded,
        };
        Ok((procedure, warnings))
    }
}

/// Whether a way came to the same procedure as the best one.
fn same_as(outcome: &Attempt, best: Option<&(Way, Attempt)>) -> bool {
    match (outcome, best) {
        (Ok((one, _)), Some((_, Ok((other, _))))) => {
            one.searched_cost == other.searched_cost && one.cost.stem_moves == other.cost.stem_moves
        }
        _ => false,
    }
}

fn other(way: Way, outcome: &Attempt) -> Other {
    match outcome {
        Ok((procedure, _)) => Other { way, cost: Some(procedure.cost), because: None },
        Err(because) => Other { way, cost: None, because: Some(because.clone()) },
    }
}
