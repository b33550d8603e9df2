//! A procedure with what it does to the circuit, step by step.

use stemwise_circuit::Assembly;
use stemwise_prove::{Procedure, Task, verify, words_of, write};
use stemwise_service::{Look, Refrigerant, hazards};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use super::{Bench, ProcedureAsk};
use crate::Error;
use crate::frame::frame;
use crate::plan::{PlanAsk, Planned};

/// Plans a job and walks through the procedure.
///
/// # Errors
/// As [`plan`](crate::plan()).
///
/// ```
/// use stemwise_answer::{PlanAsk, example, walked_through};
/// let ask = PlanAsk { job: "replace the drier".into(), ..PlanAsk::default() };
/// let walk = walked_through(example("walk-in-cooler")?.as_bytes(), &ask)?.procedure.unwrap();
/// assert_eq!(walk.frames.len(), walk.actions.len() + 1);
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn walked_through(file: &[u8], ask: &PlanAsk) -> Result<wire::WalkedThrough, Error> {
    let planned = Planned::new(file, ask)?;
    let procedure = planned.plan.as_ref().ok().map(|plan| {
        let (assembly, refrigerant) = (&planned.assembly, &planned.refrigerant);
        let procedure = Procedure::planned(assembly, &plan.best, &ask.without, ask.units);
        let task = Task::new(assembly, refrigerant, Some(&planned.job));
        walk(&task, &procedure, ask.units)
    });
    Ok(wire::WalkedThrough { plan: planned.answer(), procedure })
}

/// Verifies a procedure and walks through it, as far as it can be done.
///
/// # Errors
/// As [`verify`](crate::verify()).
pub fn replayed(circuit_file: &[u8], ask: &ProcedureAsk) -> Result<wire::Replayed, Error> {
    let bench = Bench::new(circuit_file, ask)?;
    let certificate = verify(&bench.task(), &bench.procedure);
    Ok(wire::Replayed {
        verdict: bench.verdict(&certificate, None),
        procedure: walk(&bench.task(), &bench.procedure, ask.units),
    })
}

fn walk(task: &Task<'_>, procedure: &Procedure, units: UnitSystem) -> wire::Walk {
    let (assembly, refrigerant): (&Assembly, &Refrigerant) = (task.assembly, task.refrigerant);
    let mut here = task.start(procedure.standing);
    let mut frames = vec![frame(assembly, refrigerant, &here, &[], units)];
    'steps: for step in &procedure.steps {
        let mut found = Vec::new();
        for action in &step.actions {
            let Ok(after) = task.act(&here, action) else { break 'steps };
            found.extend(hazards(&Look {
                assembly,
                refrigerant,
                before: &here,
                action: Some(action),
                after: &after,
            }));
            here = after;
        }
        frames.push(frame(assembly, refrigerant, &here, &found, units));
    }
    let words =
        |step: &stemwise_prove::Step| step.actions.iter().map(|action| words_of(assembly, action)).collect();
    wire::Walk {
        file: write(assembly, procedure),
        actions: procedure.steps.iter().map(words).collect(),
        frames,
    }
}
