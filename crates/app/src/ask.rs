//! What the page asks of the worker that computes beside it, so that the page never stands still.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use stemwise_answer::{
    Error, EvidenceCommon, PlanAsk, ProcedureAsk, evidence_of, replayed, slips, walked_through, why,
};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

/// The units, as they travel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Units {
    /// SI.
    #[default]
    Si,
    /// IP.
    Ip,
}

impl Units {
    /// As the core has them.
    pub(crate) const fn system(self) -> UnitSystem {
        match self {
            Self::Si => UnitSystem::Si,
            Self::Ip => UnitSystem::Ip,
        }
    }
}

/// A question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) enum Ask {
    /// Nothing: an example is planned, so that the browser has compiled the planner before a person waits for it.
    WarmUp,
    /// A plan, walked through.
    Plan {
        /// The circuit file.
        circuit: String,
        /// The jobs, as `list` prints them.
        job: String,
        /// What is not at hand.
        without: Vec<String>,
        /// What "cheapest" is to mean.
        cost: Option<String>,
        /// For the sentences.
        units: Units,
    },
    /// The verdict on a procedure, walked through.
    Replay {
        /// The circuit file.
        circuit: String,
        /// The procedure file.
        procedure: String,
        /// For the sentences.
        units: Units,
    },
    /// The slips of a procedure.
    Slips {
        /// The circuit file.
        circuit: String,
        /// The procedure file.
        procedure: String,
        /// For the sentences.
        units: Units,
    },
    /// Why a step is there.
    Why {
        /// The circuit file.
        circuit: String,
        /// The procedure file.
        procedure: String,
        /// The step, from 1.
        step: usize,
        /// For the sentences.
        units: Units,
    },
    /// What readings and tests prove.
    Evidence {
        /// The circuit file.
        circuit: String,
        /// Which question.
        kind: String,
        /// What was filled in.
        filled: wire::Filled,
        /// A logged file.
        log: Option<String>,
        /// Whether a page is wanted.
        page: bool,
        /// For the sentences.
        units: Units,
    },
}

/// What comes back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Reply<T> {
    /// The answer.
    Answer(T),
    /// Why there is none.
    Failed(wire::Failure),
}

fn reply<T: Serialize>(answer: Result<T, Error>) -> String {
    let reply = match answer {
        Ok(answer) => Reply::Answer(answer),
        Err(error) => Reply::Failed(error.failure().error),
    };
    serde_json::to_string(&reply).unwrap_or_default()
}

fn procedure(file: String, units: Units) -> ProcedureAsk {
    ProcedureAsk { file: Some(file.into_bytes()), units: units.system(), ..ProcedureAsk::default() }
}

/// Answers a question, JSON to JSON. What is not a question gives an empty text.
pub(crate) fn answer(ask: &str) -> String {
    match serde_json::from_str(ask) {
        Ok(Ask::WarmUp) => {
            warm_up();
            reply(Ok(()))
        }
        Ok(Ask::Plan { circuit, job, without, cost, units }) => {
            let ask = PlanAsk { job, without, cost, units: units.system(), cylinders: None };
            reply(walked_through(circuit.as_bytes(), &ask))
        }
        Ok(Ask::Replay { circuit, procedure: file, units }) => {
            reply(replayed(circuit.as_bytes(), &procedure(file, units)))
        }
        Ok(Ask::Slips { circuit, procedure: file, units }) => {
            reply(slips(circuit.as_bytes(), &procedure(file, units), false, false))
        }
        Ok(Ask::Why { circuit, procedure: file, step, units }) => {
            reply(why(circuit.as_bytes(), &procedure(file, units), step))
        }
        Ok(Ask::Evidence { circuit, kind, filled, log, page, units }) => {
            let common = EvidenceCommon {
                fluid: None,
                circuit: Some(circuit.into_bytes()),
                atmosphere: None,
                measured_atmosphere: false,
                units: units.system(),
                page: page.then(|| String::from("a4")),
                heading: None,
            };
            reply(evidence_of(&common, &kind, &filled, log.as_deref().map(str::as_bytes)))
        }
        Err(_) => String::new(),
    }
}

fn warm_up() {
    if let Ok(circuit) = stemwise_answer::example("walk-in-cooler") {
        let ask = PlanAsk { job: "replace the drier".into(), ..PlanAsk::default() };
        // Nobody waits for what it finds.
        drop(reply(walked_through(circuit.as_bytes(), &ask)));
    }
}

/// Reads what came back.
pub(crate) fn read<T: DeserializeOwned>(reply: &str) -> Result<T, wire::Failure> {
    match serde_json::from_str(reply) {
        Ok(Reply::Answer(answer)) => Ok(answer),
        Ok(Reply::Failed(failure)) => Err(failure),
        Err(error) => Err(wire::Failure {
            kind: "no-reply".into(),
            message: format!("the answer could not be read: {error}"),
            hint: None,
            problems: Vec::new(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(job: &str) -> Result<wire::WalkedThrough, wire::Failure> {
        let circuit = stemwise_answer::example("walk-in-cooler").expect("it is there").to_owned();
        let ask = Ask::Plan { circuit, job: job.into(), without: vec![], cost: None, units: Units::Si };
        read(&answer(&serde_json::to_string(&ask).expect("it is plain data")))
    }

    #[test]
    fn a_plan_comes_back_with_a_frame_for_each_step() {
        let walked = ask("pump down").expect("there is a way");
        let procedure = walked.procedure.expect("there is a procedure");
        assert_eq!(procedure.frames.len(), procedure.actions.len() + 1);
        assert!(procedure.frames.iter().all(|frame| frame.spaces.len() > 10));
    }

    #[test]
    fn warming_up_plans_an_example() {
        assert_eq!(read::<()>(&answer(r#""WarmUp""#)), Ok(()));
        assert!(ask("replace the drier").expect("there is a way").procedure.is_some());
    }

    #[test]
    fn a_failure_comes_back_as_one() {
        assert_eq!(ask("paint it blue").expect_err("no such job").kind, "unknown-job");
        assert_eq!(read::<wire::WalkedThrough>(&answer("nonsense")).expect_err("no ask").kind, "no-reply");
    }
}
