//! A circuit to try one's hands on: every action settles at once, and can be taken back.

use stemwise_circuit::{Assembly, Circuit, Rig};
use stemwise_prove::{Task, read, words_of};
use stemwise_service::{Action, Done, Finding, Look, Refrigerant, hazards, left_behind};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use crate::frame::frame;
use crate::{Error, check};

/// A circuit with the rig of a usual van, at rest or running, and what was done to it.
#[derive(Debug)]
pub struct Trial {
    assembly: Assembly,
    refrigerant: Refrigerant,
    /// Each state with the action that led to it and what that was found to do; the first has none.
    past: Vec<(Option<Action>, Done, Vec<Finding>)>,
}

/// An action that did not come about.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TrialError {
    /// Not an action.
    #[error("{say}")]
    NotAnAction {
        /// Why.
        say: String,
    },
    /// Hands can't do it.
    #[error("{why}")]
    CanNot {
        /// Why.
        why: String,
    },
}

impl TrialError {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::NotAnAction { .. } => "not-an-action",
            Self::CanNot { .. } => "can-not-be-done",
        }
    }
}

impl Trial {
    /// In normal running, or standing, with its charge.
    ///
    /// # Errors
    /// [`Error::Circuit`] and those of the refrigerant.
    ///
    /// ```
    /// use stemwise_answer::{Trial, example};
    /// use stemwise_units::UnitSystem;
    /// let mut trial = Trial::new(example("walk-in-cooler")?.as_bytes(), true)?;
    /// // The cap is still on.
    /// assert!(trial.act("turn king to front-seated").is_err());
    /// for action in ["cap off stem king", "ease nut king", "turn king to front-seated"] {
    ///     trial.act(action)?;
    /// }
    /// assert_eq!(trial.frame(UnitSystem::Si).stems["king"], "front-seated");
    /// assert!(trial.undo());
    /// # Ok::<(), stemwise_answer::Error>(())
    /// ```
    pub fn new(file: &[u8], running: bool) -> Result<Self, Error> {
        let circuit = check::circuit(file)?;
        let refrigerant = Refrigerant::named(&circuit.refrigerant)?;
        let rig = crate::plan::rig(&circuit, &refrigerant, &[], None)?;
        Ok(Self::of(circuit, refrigerant, rig, running))
    }

    fn of(circuit: Circuit, refrigerant: Refrigerant, rig: Rig, running: bool) -> Self {
        let assembly = Assembly::new(circuit, rig);
        let start = Task::new(&assembly, &refrigerant, None).start(!running);
        Self { assembly, refrigerant, past: vec![(None, start, Vec::new())] }
    }

    /// As a trainee finds it in a drill whose goal is a job.
    ///
    /// # Errors
    /// [`Error::Teach`] for a drill that can't be read, or that asks questions only.
    pub fn of_drill(file: &[u8]) -> Result<Self, Error> {
        let drill = crate::teach::sound(file, None)?;
        let (assembly, start) =
            stemwise_teach::drill_start(&drill).map_err(crate::teach::TeachError::from)?;
        let refrigerant = Refrigerant::named(&assembly.circuit.refrigerant)?;
        Ok(Self { assembly, refrigerant, past: vec![(None, start, Vec::new())] })
    }

    /// What was done so far as a procedure file, a step for each action.
    pub fn procedure(&self) -> String {
        let cylinders = self.assembly.rig.cylinder.as_ref().map_or(1, |cylinder| cylinder.count);
        let steps: String = self.done().iter().map(|words| format!("\nstep: {words}\n  {words}\n")).collect();
        format!("procedure 1\ncylinders: {cylinders}\n{steps}")
    }

    /// The atmosphere's pressure at the site, Pa: gauges read zero there.
    pub const fn atmosphere_pa(&self) -> f64 {
        self.assembly.circuit.atmosphere.as_pa()
    }

    /// Does an action, in the words of the procedure file ("turn king to front-seated").
    ///
    /// # Errors
    /// [`TrialError`]; nothing has changed then.
    pub fn act(&mut self, words: &str) -> Result<(), Error> {
        let (action, done, found) = self.after(words)?;
        self.past.push((Some(action), done, found));
        Ok(())
    }

    /// What an action would do, by the rules; nothing changes.
    ///
    /// # Errors
    /// [`TrialError`].
    pub fn would(&self, words: &str, units: UnitSystem) -> Result<Vec<wire::Hazard>, Error> {
        let (_, _, found) = self.after(words)?;
        Ok(found.iter().map(|finding| crate::words::hazard(finding, &self.assembly, units)).collect())
    }

    /// Takes the last action back; false where there is none.
    pub fn undo(&mut self) -> bool {
        self.past.len() > 1 && self.past.pop().is_some()
    }

    /// What was done so far, in the words of the procedure file.
    pub fn done(&self) -> Vec<String> {
        let actions = self.past.iter().filter_map(|(action, _, _)| action.as_ref());
        actions.map(|action| words_of(&self.assembly, action)).collect()
    }

    /// What is not back as it belongs.
    pub fn left_behind(&self, units: UnitSystem) -> Vec<wire::Hazard> {
        let Some((_, here, _)) = self.past.last() else { return Vec::new() };
        let look = Look {
            assembly: &self.assembly,
            refrigerant: &self.refrigerant,
            before: here,
            action: None,
            after: here,
        };
        left_behind(&look)
            .iter()
            .map(|finding| crate::words::hazard(finding, &self.assembly, units))
            .collect()
    }

    /// How it is now.
    pub fn frame(&self, units: UnitSystem) -> wire::Frame {
        let Some((_, here, found)) = self.past.last() else { return wire::Frame::default() };
        frame(&self.assembly, &self.refrigerant, here, found, units)
    }

    fn after(&self, words: &str) -> Result<(Action, Done, Vec<Finding>), Error> {
        let action = read_action(&self.assembly, words)?;
        let Some((_, here, _)) = self.past.last() else {
            return Err(TrialError::CanNot { why: "nothing to act on".into() }.into());
        };
        let task = Task::new(&self.assembly, &self.refrigerant, None);
        let done = task.act(here, &action).map_err(|why| TrialError::CanNot { why })?;
        let (assembly, refrigerant) = (&self.assembly, &self.refrigerant);
        let found =
            hazards(&Look { assembly, refrigerant, before: here, action: Some(&action), after: &done });
        Ok((action, done, found))
    }
}

/// One action, read as a procedure of one step is.
pub(crate) fn read_action(assembly: &Assembly, words: &str) -> Result<Action, TrialError> {
    let line: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let cylinders = assembly.rig.cylinder.as_ref().map_or(1, |cylinder| cylinder.count);
    let file = format!("procedure 1\ncylinders: {cylinders}\nstep: -\n  {line}\n");
    let reading = read(file.as_bytes(), &assembly.circuit, assembly.rig.clone());
    let said = reading.problems.first().map(|problem| problem.say.clone());
    let action = reading.procedure.as_ref().and_then(|read| read.steps.first()?.actions.first().cloned());
    action.ok_or_else(|| TrialError::NotAnAction {
        say: said.unwrap_or_else(|| format!("\"{}\" is no action", line.trim())),
    })
}
