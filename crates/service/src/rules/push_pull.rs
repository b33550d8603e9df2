//! A recovery machine in push–pull.

use stemwise_units::Mass;

use crate::Action;
use crate::hazard::{Finding, Look, Severity};
use crate::push_pull::{goes_round, liquid_comes_from};

/// Below so much liquid it isn't worth the hoses (common practice: 15 lb).
const WORTH: Mass = Mass::from_kg(6.8);
/// With less of its volume full of liquid a space gives vapour.
const LIQUID: f64 = 0.01;

fn starts(look: &Look<'_>) -> bool {
    look.assembly.rigged.push_pull.is_some_and(|found| look.action == Some(&Action::Start(found.machine)))
}

/// Without a way round the machine draws from the cylinder and pushes what is in it into the system. One turn that ends it may come before the machine is
/// stopped.
pub(crate) fn runs_back(look: &Look<'_>, found: &mut Vec<Finding>) {
    let Some(rigged) = look.assembly.rigged.push_pull else { return };
    let (before, after) = (&look.before.state.lineup, &look.after.state.lineup);
    let round = |lineup| goes_round(look.assembly, lineup);
    let just_shut = matches!(look.action, Some(Action::Turn { .. })) && round(before);
    if after.is_active(rigged.machine) && !round(after) && !just_shut {
        let held = look.assembly.rigged.cylinder.and_then(|cylinder| look.after.state.held(cylinder));
        let mut finding = Finding::new("push-pull-runs-back", Severity::Danger).joint(rigged.machine);
        finding.mass = held.map(|held| held.refrigerant);
        found.push(finding);
    }
}

pub(crate) fn without_liquid(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !starts(look) {
        return;
    }
    let Some(space) = liquid_comes_from(look.assembly, &look.before.state.lineup) else { return };
    if look.before.settled.liquid_fraction(space) < LIQUID {
        found.push(Finding::new("push-pull-without-liquid", Severity::Warning).space(space));
    }
}

pub(crate) fn small(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !starts(look) {
        return;
    }
    let Some(at) = look.assembly.rigged.cylinder else { return };
    let held = |done: &crate::Done| done.state.held(at).map_or(0.0, |held| held.refrigerant.as_kg());
    let moved = Mass::from_kg((held(look.after) - held(look.before)).max(0.0));
    if moved < WORTH {
        let mut finding = Finding::new("push-pull-small", Severity::Caution);
        (finding.mass, finding.mass_limit) = (Some(moved), Some(WORTH));
        found.push(finding);
    }
}

/// Every time: who watches what.
pub(crate) fn watched(look: &Look<'_>, found: &mut Vec<Finding>) {
    if starts(look) {
        found.push(Finding::new("push-pull-watched", Severity::Caution));
    }
}
