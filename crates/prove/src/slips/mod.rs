//! Slips: each single wrong action along a procedure, and what would come of it.

mod judge;
mod make;
mod sharpen;

pub use sharpen::{Pair, Reordering, Sharpened, pairs, reorderings};

use stemwise_circuit::PortId;
use stemwise_service::{Action, Finding};
use stemwise_units::Pressure;

use crate::procedure::Procedure;
use crate::verify::Task;
use judge::Base;

/// What kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SlipKind {
    /// The whole step is left out.
    Skipped,
    /// One action of the step is forgotten.
    Forgotten,
    /// A machine is left on.
    LeftOn,
    /// Another stem is turned.
    WrongStem,
    /// The stem is turned the other way.
    WrongWay,
    /// The stem is turned too far, or too much is let in.
    TooFar,
    /// The stem is not turned far enough, or too little is let out.
    NotFarEnough,
    /// The step is done before its time.
    Early,
    /// The step and the one before it change places.
    Swapped,
    /// The hose goes on another port.
    WrongPort,
    /// Something else is opened.
    WrongPart,
    /// A machine is started that should stand.
    StartedEarly,
    /// The core is pulled with no tool on.
    NoTool,
}

/// How bad the worst of it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Harm {
    /// Nothing comes of it.
    Harmless,
    /// It costs time, or leaves something for the next visit.
    Delays,
    /// A machine can break.
    BreaksMachine,
    /// The charge, or part of it, is lost or spoilt.
    LosesCharge,
    /// Someone can be hurt.
    HurtsSomeone,
}

/// What happens first.
#[derive(Clone, Debug, PartialEq)]
pub enum Consequence {
    /// A rule is broken.
    Broken(Box<Finding>),
    /// A later action can't be done any more.
    Refused(String),
    /// In the end something is missing.
    Missing(String),
}

/// The gauge that shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noticed {
    /// After which step, from 0.
    pub step: usize,
    /// The port that the gauge is on.
    pub port: PortId,
    /// What it would show, absolute; none: it reads nothing of the system.
    pub shows: Option<Pressure>,
    /// What it should show, absolute; none: there should be nothing to read.
    pub expected: Option<Pressure>,
}

/// How it is undone.
#[derive(Clone, Debug, PartialEq)]
pub enum Undo {
    /// Nothing to undo.
    Nothing,
    /// By these actions, after which everything is as it should have been.
    By(Vec<Action>),
    /// Not by taking the action back: something has gone where it should not be.
    NotByItself,
}

/// One slip.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// The step, from 0.
    pub step: usize,
    /// What kind.
    pub kind: SlipKind,
    /// What was to be done.
    pub instead_of: Vec<Action>,
    /// What is done.
    pub done: Vec<Action>,
    /// What comes of it first, and at which step, from 0; the last step plus one: in the end.
    pub first: Option<(usize, Consequence)>,
    /// How bad that is.
    pub harm: Harm,
    /// How it would be noticed: the first gauge that would show something else.
    pub noticed: Option<Noticed>,
    /// How it is undone.
    pub undo: Undo,
    /// Whether something stands between the slip and the harm: a hold point at the step, a gauge that shows it in an earlier step than
    /// the harm, or a hold point that counts what is left behind.
    pub guarded: bool,
}

impl Slip {
    /// Whether it can hurt someone, lose the charge or break a machine.
    pub fn is_dangerous(&self) -> bool {
        self.harm >= Harm::BreaksMachine
    }
}

/// All slips of a procedure.
#[derive(Clone, Debug, PartialEq)]
pub struct Slips {
    /// In the order of the steps.
    pub slips: Vec<Slip>,
    /// How many the lock on the disconnect prevents.
    pub prevented: usize,
    /// How many actions were replayed for them.
    pub replayed: usize,
    /// What to sharpen.
    pub sharpened: Vec<Sharpened>,
}

/// Every single slip along a procedure. The procedure should be one that [`verify`](crate::verify) accepts; after an action that can't be
/// done nothing more is looked at.
pub fn slips(task: &Task<'_>, procedure: &Procedure) -> Slips {
    let base = Base::new(task, procedure);
    let mut found = Vec::new();
    let (mut prevented, mut replayed) = (0, 0);
    for step in 0..base.steps() {
        for edit in make::edits(&base, step) {
            match base.judge(&edit, &mut replayed) {
                Some(slip) => found.push(slip),
                None => prevented += 1,
            }
        }
    }
    let sharpened = sharpen::sharpened(procedure, &found);
    Slips { slips: found, prevented, replayed, sharpened }
}
