//! What steps take: time by stated rules, and the cylinder that the refrigerant needs.

use stemwise_circuit::Assembly;
use stemwise_units::Mass;

use super::procedure::{Cylinders, Doing, Step};
use crate::level::{cylinder_limit, cylinders_for};
use crate::props::Refrigerant;

/// Minutes for a turn of a stem, with what care it takes.
pub(super) const MINUTES_OF_A_TURN: f64 = 2.0;

/// Minutes for a step: usual times of a practised technician (assumed, common practice); standing times as stated in the step.
pub(super) fn minutes(steps: &[Step]) -> f64 {
    steps.iter().map(|step| minutes_of(&step.doing)).sum()
}

/// Minutes of the steps that a job has whichever way it is done: looking, the lock, the repair, the proofs, the run afterwards, the record.
pub(super) fn unavoidable_minutes(steps: &[Step]) -> f64 {
    let mut seen: Vec<core::mem::Discriminant<Doing>> = Vec::new();
    let mut minutes = 0.0;
    for doing in steps.iter().map(|step| &step.doing).filter(|doing| is_unavoidable(doing)) {
        let kind = core::mem::discriminant(doing);
        if !seen.contains(&kind) {
            seen.push(kind);
            minutes += minutes_of(doing);
        }
    }
    minutes
}

const fn is_unavoidable(doing: &Doing) -> bool {
    matches!(
        doing,
        Doing::LookOver
            | Doing::LockOut
            | Doing::RestorePower
            | Doing::OpenUp { .. }
            | Doing::CloseUp { .. }
            | Doing::PressureTest { .. }
            | Doing::ReleaseNitrogen
            | Doing::Evacuate { .. }
            | Doing::LetRun { .. }
            | Doing::Record { .. }
    )
}

fn minutes_of(doing: &Doing) -> f64 {
    match doing {
        Doing::LookOver => 10.0,
        Doing::FitHose { .. } => 3.0,
        Doing::TakeHoseOff { .. } => 2.0,
        Doing::Turn { .. } => MINUTES_OF_A_TURN,
        Doing::Read { .. } => 2.0,
        Doing::Judge { .. } => 5.0,
        Doing::HoldOpen { valves } | Doing::LetGo { valves } => 3.0 * valves.len() as f64,
        Doing::PumpDown { .. } => 10.0,
        Doing::Stop { .. } | Doing::Start { .. } => 1.0,
        Doing::WaitForRise { minutes, .. }
        | Doing::LetDrain { minutes, .. }
        | Doing::LetWarm { minutes, .. } => f64::from(*minutes),
        Doing::LockOut | Doing::RestorePower => 3.0,
        // A small machine takes about a tenth of a kilogram of vapour a minute, and five minutes to pull the last of it.
        Doing::Recover { mass, .. } => 5.0 + mass.as_kg() / 0.1,
        Doing::BreakVacuum | Doing::ReleaseNitrogen => 3.0,
        // In, a minute, out; a vacuum that need not be deep.
        Doing::SweepOut { .. } => 6.0,
        Doing::PullSwept { .. } => 20.0,
        Doing::CheckAir => 5.0,
        Doing::OpenUp { .. } => 15.0,
        Doing::CloseUp { .. } => 30.0,
        Doing::PressureTest { stand, .. } => 10.0 + stand.as_min(),
        Doing::Evacuate { stand, .. } => 30.0 + stand.as_min(),
        Doing::Charge { mass, .. } => 3.0 + mass.as_kg() / 0.2,
        Doing::LetRun { minutes } => f64::from(*minutes),
        Doing::PullAndBreak { .. } => 35.0,
        Doing::SwapCore { .. } => 10.0,
        Doing::AddOil { .. } | Doing::Pierce { .. } => 15.0,
        Doing::BrazeAccess { .. } => 20.0,
        Doing::SearchLeaks => 10.0,
        Doing::Caps { count } => *count as f64,
        Doing::Record { .. } | Doing::Tag { .. } | Doing::Label { .. } => 3.0,
    }
}

/// The cylinders of the rig that a mass fills; none where there is nothing to hold.
pub(super) fn cylinders(assembly: &Assembly, refrigerant: &Refrigerant, mass: Mass) -> Option<Cylinders> {
    let water_capacity = assembly.rig.cylinder.as_ref()?.water_capacity;
    let room = cylinder_limit(refrigerant, water_capacity)?;
    let count = cylinders_for(refrigerant, water_capacity, mass)?;
    (mass.as_kg() > 1e-6).then_some(Cylinders { count, water_capacity, room })
}
