//! Why a step is there, in words.

use stemwise_prove::{Instead, Side, StemUse};
use stemwise_service::Action;
use stemwise_service::plan::Words;
use stemwise_wire as wire;

use super::{Bench, ProcedureAsk, ProveError};
use crate::{Error, words};

/// Explains a step, numbered from 1.
///
/// # Errors
/// [`Error::Circuit`], [`Error::Procedure`], [`Error::Job`], [`Error::Plan`], [`Error::Prove`].
pub fn why(circuit_file: &[u8], ask: &ProcedureAsk, n: usize) -> Result<wire::WhyAnswer, Error> {
    let bench = Bench::new(circuit_file, ask)?;
    let steps = bench.procedure.steps.len();
    let step = n.checked_sub(1).filter(|step| *step < steps);
    let found = step.and_then(|step| stemwise_prove::why(&bench.task(), &bench.procedure, step));
    let Some(found) = found else { return Err(ProveError::NoStep { asked: n, steps }.into()) };
    let told = Words { assembly: &bench.assembly, units: ask.units };
    let planned = bench.plan.as_ref().and_then(|plan| plan.best.steps.get(found.step));
    // Leaving out a wait or a look breaks no rule, and yet nobody would have seen what it is there to show.
    let looks = bench.procedure.steps.get(found.step).is_some_and(only_looks);
    let unseen = |what: &Instead| looks && matches!(what, Instead::LeftOut);
    let instead = found.instead.iter().map(|(what, failure)| wire::InsteadOf {
        way: bench.other_way(*what),
        breaks: failure
            .as_ref()
            .map(|failure| bench.failure(failure))
            .or_else(|| unseen(what).then(|| "nobody would have seen what it shows".into())),
    });
    Ok(wire::WhyAnswer {
        circuit: bench.assembly.circuit.name.clone(),
        atmosphere_pa: bench.assembly.circuit.atmosphere.as_pa(),
        n,
        say: bench.procedure.steps.get(found.step).map_or_else(String::new, |step| step.say.clone()),
        why: planned.map(|step| told.why(step)),
        instead: instead.collect(),
        stems: found.stems.iter().map(|used| bench.stem(used)).collect(),
    })
}

/// Whether a step moves nothing: a reading, a wait, a search for leaks.
fn only_looks(step: &stemwise_prove::Step) -> bool {
    step.actions
        .iter()
        .all(|action| matches!(action, Action::Read | Action::Hold { .. } | Action::SearchLeaks))
}

impl Bench {
    fn other_way(&self, instead: Instead) -> String {
        match instead {
            Instead::LeftOut => "leave the step out".into(),
            Instead::LeftOutWithNext => "leave this step and the next one out".into(),
            Instead::StemUntouched(valve) => format!("never turn {}", self.joint(valve)),
            Instead::Earlier => "do it one step earlier".into(),
            Instead::Later => "do it one step later".into(),
        }
    }

    fn stem(&self, used: &StemUse) -> wire::StemFor {
        let side = |side: &Side| wire::StemSide {
            space: self.space(side.space),
            pressure_pa: side.pressure.as_pa(),
            mass_kg: side.refrigerant.as_kg(),
        };
        wire::StemFor {
            stem: self.joint(used.valve),
            position: words::position(used.position).into(),
            from: used.from + 1,
            to: used.to + 1,
            line: side(&used.line),
            body: side(&used.body),
        }
    }
}
