//! Planning a job: the procedure in words, what it costs, what else would do, or what is missing.

mod aim;
mod kit;
mod no_way;
mod page;
mod steps;

use std::collections::BTreeMap;

use stemwise_circuit::{Assembly, Circuit, Rig, SpaceKind};
use stemwise_service::plan::{
    Aim, Because, Cost, Doing, NoWay, Optimality, Other, Plan, Procedure, Reason, Way,
};
use stemwise_service::{Cap, Job, JobKind, PressureClass, Refrigerant, State, cylinders_for, find_job};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

pub(crate) use aim::aim;
pub use page::{PlanPageAsk, bound_words, cost_words, phase_title, plan_page};

use crate::{Error, check, words};

/// What is to be planned.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PlanAsk {
    /// The job, as the technician says it: "replace the drier".
    pub job: String,
    /// What is not at hand: "recovery-machine", "cylinder", "vacuum-pump", "nitrogen", "core-tool".
    pub without: Vec<String>,
    /// How many recovery cylinders are at hand; none: as many as the charge needs.
    pub cylinders: Option<u32>,
    /// What "cheapest" is to mean: "refrigerant", "time", "turns", or a mix like "1 per g, 2 per min, 20 per turn"; none: the usual mix of grams
    /// and moves, with a proof or a bound.
    pub cost: Option<String>,
    /// The units of the sentences.
    pub units: UnitSystem,
}

/// A plan for what can't be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// Nothing of that name belongs to the rig.
    #[error(
        "nothing called \"{typed}\" can be missing; it can be: recovery-machine, cylinder, vacuum-pump, nitrogen, core-tool"
    )]
    UnknownThing {
        /// What was typed.
        typed: String,
    },
    /// No cost of that name, and no mix.
    #[error(
        "no cost is called \"{typed}\": say refrigerant, time or turns, or a mix like \"1 per g, 2 per min, 20 per turn\""
    )]
    UnknownCost {
        /// What was typed.
        typed: String,
    },
}

/// Plans a job on the circuit of a file, with the rig of a usual van but for what is not at hand.
///
/// # Errors
/// [`Error::Circuit`], [`Error::Job`], [`Error::Plan`]. That there is no safe way is an answer, not an error.
///
/// ```
/// use stemwise_answer::{PlanAsk, example, plan};
/// let file = example("walk-in-cooler")?.as_bytes();
/// let ask = |job: &str| PlanAsk { job: job.into(), ..PlanAsk::default() };
/// assert!(matches!(plan(file, &ask("pump down"))?, stemwise_wire::PlanAnswer::Found(_)));
/// assert!(plan(file, &ask("paint it blue")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn plan(file: &[u8], ask: &PlanAsk) -> Result<wire::PlanAnswer, Error> {
    Ok(Planned::new(file, ask)?.answer())
}

/// The same with the procedure's file, for people to edit and for [`verify`](crate::verify) to read; none where there is no safe way.
///
/// # Errors
/// As [`plan`].
pub fn plan_with_file(file: &[u8], ask: &PlanAsk) -> Result<(wire::PlanAnswer, Option<String>), Error> {
    let planned = Planned::new(file, ask)?;
    let text = planned.plan.as_ref().ok().map(|plan| {
        let assembly = &planned.assembly;
        let procedure = stemwise_prove::Procedure::planned(assembly, &plan.best, &ask.without, ask.units);
        stemwise_prove::write(assembly, &procedure)
    });
    Ok((planned.answer(), text))
}

/// A job that was planned, with what it was planned on.
pub(crate) struct Planned {
    pub(crate) assembly: Assembly,
    pub(crate) refrigerant: Refrigerant,
    pub(crate) job: Job,
    pub(crate) plan: Result<Plan, NoWay>,
    units: UnitSystem,
    aim: Option<Aim>,
}

impl Planned {
    pub(crate) fn new(file: &[u8], ask: &PlanAsk) -> Result<Self, Error> {
        let circuit = check::circuit(file)?;
        let job = find_job(&circuit, &ask.job)?;
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        let rig = rig(&circuit, &refrigerant, &ask.without, ask.cylinders)?;
        let aim = ask.cost.as_deref().map(aim).transpose()?;
        let assembly = Assembly::new(circuit, rig);
        let plan = stemwise_service::plan::plan_by(&assembly, &refrigerant, &job, aim.as_ref());
        Ok(Self { assembly, refrigerant, job, plan, units: ask.units, aim })
    }

    pub(crate) fn answer(&self) -> wire::PlanAnswer {
        let (assembly, refrigerant) = (&self.assembly, &self.refrigerant);
        let telling = Telling { assembly, refrigerant, units: self.units, aim: self.aim };
        match &self.plan {
            Ok(plan) => wire::PlanAnswer::Found(Box::new(telling.found(plan))),
            Err(none) => wire::PlanAnswer::None(telling.none(self.job.words(), none)),
        }
    }
}

/// The rig of a usual van, but for what is not at hand, with as many cylinders as are said or as the charge needs.
pub(crate) fn rig(
    circuit: &Circuit,
    refrigerant: &Refrigerant,
    without: &[String],
    cylinders: Option<u32>,
) -> Result<Rig, PlanError> {
    let mut rig = Rig::usual();
    for thing in without {
        stemwise_prove::leave_out(&mut rig, thing)
            .map_err(|_| PlanError::UnknownThing { typed: thing.chars().take(60).collect() })?;
    }
    if let Some(cylinder) = &mut rig.cylinder {
        let enough = || cylinders_for(refrigerant, cylinder.water_capacity, circuit.charge.value);
        cylinder.count = cylinders.or_else(enough).unwrap_or(1);
    }
    Ok(rig)
}

/// Puts a plan into words.
struct Telling<'a> {
    assembly: &'a Assembly,
    refrigerant: &'a Refrigerant,
    units: UnitSystem,
    aim: Option<Aim>,
}

impl Telling<'_> {
    fn found(&self, plan: &Plan) -> wire::PlanFound {
        let best = &plan.best;
        let circuit = &self.assembly.circuit;
        wire::PlanFound {
            circuit: circuit.name.clone(),
            refrigerant: self.refrigerant.substance().name(),
            atmosphere_pa: circuit.atmosphere.as_pa(),
            job: best.job.words(),
            found: true,
            way: way_taken(best),
            cost: cost(&best.cost),
            optimal: optimal(best),
            objective: self.aim.as_ref().map_or_else(|| OBJECTIVE.into(), aim::sentence),
            bring: self.bring(best),
            cylinders: best.cylinders.map(|needed| wire::Cylinders {
                count: needed.count,
                water_capacity_kg: needed.water_capacity.as_kg(),
                room_kg: needed.room.as_kg(),
            }),
            cautions: self.cautions(plan),
            steps: self.steps(best),
            alternatives: plan.others.iter().map(|other| self.alternative(other)).collect(),
            unbeaten: plan.unbeaten.iter().map(unbeaten).collect(),
            end_state: self.end_state(&best.end),
        }
    }

    fn none(&self, job: String, none: &NoWay) -> wire::NoPlan {
        wire::NoPlan {
            circuit: self.assembly.circuit.name.clone(),
            job,
            found: false,
            because: none.missing.iter().map(|missing| self.because(missing)).collect(),
            alternatives: none.tried.iter().map(|other| self.alternative(other)).collect(),
        }
    }

    /// What to read before anything else.
    fn cautions(&self, plan: &Plan) -> Vec<String> {
        let mut said: Vec<String> = GENERAL.iter().map(|&text| text.to_owned()).collect();
        let class = self.refrigerant.substance().safety_class().unwrap_or_default();
        let very_high = PressureClass::of(self.refrigerant) == PressureClass::VeryHigh;
        let special = [
            (matches!(class, "A2L" | "A2" | "A3" | "B2L" | "B2" | "B3"), "flammable-refrigerant"),
            (class.starts_with('B'), "toxic-refrigerant"),
            (very_high, "very-high-pressure"),
        ];
        let rules = special.iter().filter(|(applies, _)| *applies);
        said.extend(rules.filter_map(|(_, id)| words::avoid(id)));
        if plan.best.job.opens() && !plan.best.job.has(JobKind::ReplaceDrier) && self.has_drier() {
            said.push(NEW_DRIER.into());
        }
        for warning in &plan.warnings {
            let sentence = warning.say(self.assembly, self.units);
            if !said.contains(&sentence) {
                said.push(sentence);
            }
        }
        said
    }

    fn has_drier(&self) -> bool {
        self.assembly.circuit.graph.spaces.iter().any(|space| space.kind == SpaceKind::Drier)
    }

    fn alternative(&self, other: &Other) -> wire::Alternative {
        let because = other.because.as_ref().map(|because| match because {
            Because::NoSequence => "no sequence of moves does it".into(),
            Because::NotFound => "none was found within the effort allowed".into(),
            Because::Dangerous(finding) => finding.say(self.assembly, self.units),
            Because::Stuck { step, why } => format!("its step {step} can't be done: {why}"),
        });
        wire::Alternative { say: way(other.way).into(), cost: other.cost.as_ref().map(cost), because }
    }

    fn end_state(&self, end: &State) -> wire::EndState {
        let graph = &self.assembly.graph;
        let own = self.assembly.circuit.graph.joints.len();
        let stem = |(id, joint): (_, &stemwise_circuit::Joint)| {
            end.lineup.position(id).map(|at| (joint.id.clone(), words::position(at).to_owned()))
        };
        let stems: BTreeMap<String, String> = graph.joints_with_ids().take(own).filter_map(stem).collect();
        let cap = |cap: &Cap| match *cap {
            Cap::Port(port) => graph.port(port).map(|port| port.id.clone()),
            Cap::Stem(joint) => graph.joint(joint).map(|joint| joint.id.clone()),
        };
        wire::EndState {
            stems,
            caps_off: end.caps_off.iter().filter_map(cap).collect(),
            open_spaces: end
                .open_spaces
                .iter()
                .filter_map(|&id| graph.space(id))
                .map(|s| s.id.clone())
                .collect(),
        }
    }
}

const OBJECTIVE: &str = "the fewest grams of refrigerant that leave the circuit, with 20 g for each move (a stem, a hose, a machine, a start or stop)";

/// Common practice.
const NEW_DRIER: &str = "A circuit that was opened usually gets a new filter drier: plan \"replace the drier\" on the same visit.";

/// What is true of every job.
const GENERAL: &[&str] = &[
    "This is a plan, not a permit: local codes and the maker's instructions come first, and the work is for those who are \
     trained and licensed for it.",
    "Safety glasses and gloves on; fresh air where you work; no smoking, no open flame until a step calls for it.",
    "Every reading must fit what is expected here. Where one does not, stop, make it safe and find out why.",
];

fn optimal(best: &Procedure) -> wire::Optimal {
    let percent = (best.may_be_off() * 1e3).ceil() / 10.0;
    match best.optimality {
        Optimality::Proved => wire::Optimal::Proved(true),
        Optimality::Within(within) => wire::Optimal::Within { within, percent },
        Optimality::Above { .. } => {
            wire::Optimal::AtMost { percent: Some(percent).filter(|percent| percent.is_finite()) }
        }
    }
}

fn cost(cost: &Cost) -> wire::Cost {
    wire::Cost {
        refrigerant_removed_kg: cost.removed_kg,
        refrigerant_lost_kg: cost.lost_kg,
        stem_moves: cost.stem_moves,
        minutes: cost.minutes,
    }
}

const fn way(way: Way) -> &'static str {
    match way {
        Way::Cheapest => "the cheapest by the stated cost",
        Way::PumpDownOnly => "pump down with the system's own compressor, without recovering anything",
        Way::RecoverSection => {
            "recover the isolated section, with the compressor off and the charge come to rest where it is coldest"
        }
        Way::RecoverWhole => "recover the whole charge",
    }
}

/// A procedure that no other beats, in a sentence with its price.
fn unbeaten(procedure: &Procedure) -> wire::Alternative {
    wire::Alternative { say: way_taken(procedure), cost: Some(cost(&procedure.cost)), because: None }
}

/// What the procedure does with the refrigerant, from its steps.
fn way_taken(best: &Procedure) -> String {
    let pumps = best.steps.iter().any(|step| matches!(step.doing, Doing::PumpDown { .. }));
    let recovers = best.steps.iter().any(|step| matches!(step.doing, Doing::Recover { .. }));
    let said = match (pumps, recovers) {
        (true, true) => {
            "pump the refrigerant into the high side with the system's own compressor, then recover what is left in the section"
        }
        (true, false) => {
            "pump the refrigerant into the high side with the system's own compressor; nothing is recovered"
        }
        (false, true) if best.way == Way::RecoverWhole => "recover the whole charge",
        (false, true) => "isolate the section and recover what is in it",
        (false, false) if best.steps.iter().any(|step| step.reason == Reason::NobodySaid) => {
            "nothing has to be moved or recovered; nobody said how much is missing, so a tenth of the charge is assumed"
        }
        (false, false) => "nothing has to be moved or recovered",
    };
    said.into()
}
