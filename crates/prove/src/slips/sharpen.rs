//! What to do about dangerous slips: hold points where they lack, other orders, pairs.

use super::judge::Base;
use super::{Consequence, Harm, Slip, Slips, make, slips};
use crate::procedure::Procedure;
use crate::verify::{Task, verify};

/// A step at which a single slip is dangerous.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sharpened {
    /// The step, from 0.
    pub step: usize,
    /// Its dangerous slips, by their place in the list.
    pub slips: Vec<usize>,
    /// Whether the step is a hold point.
    pub holds: bool,
    /// Whether every one of them is guarded by that, by a gauge or by a later hold point.
    pub guarded: bool,
    /// The worst of them.
    pub worst: Harm,
}

/// The steps with dangerous slips.
pub(super) fn sharpened(procedure: &Procedure, slips: &[Slip]) -> Vec<Sharpened> {
    let mut found: Vec<Sharpened> = Vec::new();
    for (at, slip) in slips.iter().enumerate().filter(|(_, slip)| slip.is_dangerous()) {
        match found.iter_mut().find(|known| known.step == slip.step) {
            Some(known) => {
                known.slips.push(at);
                known.guarded &= slip.guarded;
                known.worst = known.worst.max(slip.harm);
            }
            None => found.push(Sharpened {
                step: slip.step,
                slips: vec![at],
                holds: procedure.steps.get(slip.step).is_some_and(|step| step.hold.is_some()),
                guarded: slip.guarded,
                worst: slip.harm,
            }),
        }
    }
    found
}

/// An order with fewer dangerous slips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reordering {
    /// This step, from 0, changes places with the next.
    pub step: usize,
    /// Dangerous slips as it is.
    pub dangerous_now: usize,
    /// Dangerous slips then.
    pub dangerous_then: usize,
}

/// Neighbouring steps that may change places, at the same cost, so that fewer single slips are dangerous. Each is verified whole; more than
/// one of them at a time is not claimed.
pub fn reorderings(task: &Task<'_>, procedure: &Procedure, now: &Slips) -> Vec<Reordering> {
    let count = |slips: &Slips| slips.slips.iter().filter(|slip| slip.is_dangerous()).count();
    let dangerous_now = count(now);
    let mut found = Vec::new();
    for step in 0..procedure.steps.len().saturating_sub(1) {
        let near = |slip: &&Slip| slip.step == step || slip.step == step + 1;
        let here = now.slips.iter().filter(near).filter(|slip| slip.is_dangerous()).count();
        let mut other = procedure.clone();
        other.steps.swap(step, step + 1);
        if here == 0 || !verify(task, &other).accepted() || local(task, &other, step) >= here {
            continue;
        }
        let dangerous_then = count(&slips(task, &other));
        if dangerous_then < dangerous_now {
            found.push(Reordering { step, dangerous_now, dangerous_then });
        }
    }
    found
}

/// The dangerous slips at a step and the next.
fn local(task: &Task<'_>, procedure: &Procedure, step: usize) -> usize {
    let base = Base::new(task, procedure);
    let mut replayed = 0;
    let edits = [step, step + 1].into_iter().flat_map(|at| make::edits(&base, at)).collect::<Vec<_>>();
    edits.iter().filter_map(|edit| base.judge(edit, &mut replayed)).filter(Slip::is_dangerous).count()
}

/// Two slips, each harmless alone or merely a delay, that are dangerous together.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The first, by its place in the list of slips.
    pub first: usize,
    /// The second.
    pub second: Slip,
}

/// Pairs of slips in different steps that are dangerous only together. Firsts are those that nothing shows before the end; no more than `most`
/// pairs are replayed. Returns how many were.
pub fn pairs(task: &Task<'_>, procedure: &Procedure, singles: &Slips, most: usize) -> (Vec<Pair>, usize) {
    let mut found: Vec<Pair> = Vec::new();
    let (mut tried, mut replayed) = (0, 0);
    let silent = |slip: &&(usize, &Slip)| {
        let unnoticed =
            slip.1.noticed.is_none() && !matches!(slip.1.first, Some((_, Consequence::Refused(_))));
        !slip.1.is_dangerous()
            && unnoticed
            && !slip.1.instead_of.is_empty()
            && slip.1.done != slip.1.instead_of
    };
    let firsts: Vec<(usize, &Slip)> = singles.slips.iter().enumerate().collect();
    for &(at, first) in firsts.iter().filter(|slip| silent(slip)) {
        let Some(slipped) = with_slip(procedure, first) else { continue };
        let base = Base::new(task, &slipped);
        for step in first.step + 1..base.steps() {
            for edit in make::edits(&base, step) {
                if tried >= most {
                    return (found, tried);
                }
                tried += 1;
                let Some(second) = base.judge(&edit, &mut replayed) else { continue };
                let alone = |slip: &&Slip| {
                    slip.step == second.step && slip.kind == second.kind && slip.done == second.done
                };
                let worse = singles.slips.iter().find(alone).is_none_or(|single| single.harm < second.harm);
                if second.is_dangerous() && worse {
                    found.push(Pair { first: at, second });
                }
            }
        }
    }
    (found, tried)
}

/// The procedure with a slip in it, where the slip stays within its step.
fn with_slip(procedure: &Procedure, slip: &Slip) -> Option<Procedure> {
    let mut slipped = procedure.clone();
    let step = slipped.steps.get_mut(slip.step)?;
    if step.actions != slip.instead_of {
        return None;
    }
    step.actions.clone_from(&slip.done);
    Some(slipped)
}
