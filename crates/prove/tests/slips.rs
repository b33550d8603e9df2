//! Slips along planned procedures, and what the answers rest on.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_prove::{
    Consequence, Failure, Harm, Instead, Noticed, Procedure, Settles, Slip, SlipKind, Slips, Task, Undo,
    pairs, ranges, reorderings, slips, verify, why, words_of,
};
use stemwise_service::{Action, Job};
use stemwise_units::{Mass, Volume};
use support::Bench;

struct Case {
    bench: Bench,
    job: Job,
    procedure: Procedure,
}

impl Case {
    fn new(example: &str, said: &str) -> Self {
        let bench = Bench::example(example);
        let job = bench.job(said);
        let procedure = bench.planned(&job).unwrap();
        Self { bench, job, procedure }
    }
    fn task(&self) -> Task<'_> {
        Task::new(&self.bench.assembly, &self.bench.refrigerant, Some(&self.job))
    }
    fn slips(&self) -> Slips {
        slips(&self.task(), &self.procedure)
    }
    fn words(&self, actions: &[Action]) -> String {
        actions.iter().map(|action| words_of(&self.bench.assembly, action)).collect::<Vec<_>>().join("; ")
    }
    /// The first step with such an action, from 0.
    fn step(&self, words: &str) -> usize {
        self.procedure.steps.iter().position(|step| self.words(&step.actions).contains(words)).unwrap()
    }
    /// The slip of a kind at a step whose actions contain some words.
    fn find<'s>(&self, slips: &'s Slips, step: usize, kind: SlipKind, words: &str) -> &'s Slip {
        let is =
            |slip: &&Slip| slip.step == step && slip.kind == kind && self.words(&slip.done).contains(words);
        slips.slips.iter().find(is).unwrap_or_else(|| panic!("{kind:?} {words} in step {step}"))
    }
}

fn rule(slip: &Slip) -> &str {
    match &slip.first {
        Some((_, Consequence::Broken(finding))) => finding.rule,
        Some((_, Consequence::Refused(_))) => "refused",
        Some((_, Consequence::Missing(what))) => what,
        None => "nothing",
    }
}

#[test]
fn the_slips_of_the_drier_on_the_walk_in_cooler() {
    let case = Case::new("walk-in-cooler", "replace the drier");
    let found = case.slips();
    let kinds = [
        SlipKind::Skipped,
        SlipKind::Forgotten,
        SlipKind::LeftOn,
        SlipKind::WrongStem,
        SlipKind::WrongWay,
        SlipKind::TooFar,
        SlipKind::NotFarEnough,
        SlipKind::Early,
        SlipKind::Swapped,
        SlipKind::WrongPort,
        SlipKind::WrongPart,
        SlipKind::StartedEarly,
    ];
    for kind in kinds {
        assert!(found.slips.iter().any(|slip| slip.kind == kind), "{kind:?}");
    }
    for harm in [Harm::Harmless, Harm::Delays, Harm::BreaksMachine, Harm::LosesCharge, Harm::HurtsSomeone] {
        assert!(found.slips.iter().any(|slip| slip.harm == harm), "{harm:?}");
    }
    // The king is to be shut while the compressor runs; the discharge valve is shut instead.
    let shut = case.step("turn king to front-seated");
    let mistaken = case.find(&found, shut, SlipKind::WrongStem, "turn discharge-valve to front-seated");
    assert_eq!(rule(mistaken), "compressor-against-shut-discharge");
    assert_eq!((mistaken.harm, mistaken.first.as_ref().unwrap().0), (Harm::HurtsSomeone, shut));
    // Not locked out: it shows when hands go in, and no gauge tells.
    let lock = case.step("lock out");
    let forgotten = case.find(&found, lock, SlipKind::Skipped, "");
    assert_eq!((rule(forgotten), forgotten.harm), ("not-locked-out", Harm::HurtsSomeone));
    assert_eq!(forgotten.noticed, None);
    // The nitrogen let in too high.
    let test = case.step("search leaks");
    assert_eq!(rule(case.find(&found, test, SlipKind::TooFar, "nitrogen in")), "test-pressure-too-high");
    // The last caps.
    let caps = case.step("cap on stem");
    assert_eq!(rule(case.find(&found, caps, SlipKind::Skipped, "")), "caps");
    // While the lock is on nobody starts the compressor.
    assert!(found.prevented > 5, "{}", found.prevented);
}

#[test]
fn a_gauge_shows_the_king_not_shut_and_it_is_undone_by_shutting_it() {
    let case = Case::new("walk-in-cooler", "replace the drier");
    let found = case.slips();
    let shut = case.step("turn king to front-seated");
    let slip = case.find(&found, shut, SlipKind::NotFarEnough, "turn king to mid-seated");
    assert!(slip.is_dangerous() && slip.guarded);
    let Some(Noticed { step, shows: Some(shows), expected: Some(expected), .. }) = slip.noticed else {
        panic!("{:?}", slip.noticed)
    };
    assert_eq!(step, shut);
    // The high side still stands in the liquid line instead of the pumped-down low side.
    assert!(shows.as_bar() > 5.0 && expected.as_bar() < 1.5, "{shows:?} {expected:?}");
    let Undo::By(actions) = &slip.undo else { panic!("{:?}", slip.undo) };
    assert!(case.words(actions).contains("turn king to front-seated"), "{}", case.words(actions));
}

#[test]
fn hold_points_are_asked_for_where_a_slip_is_not_seen() {
    let case = Case::new("walk-in-cooler", "replace the drier");
    let found = case.slips();
    assert!(!found.sharpened.is_empty());
    for sharp in &found.sharpened {
        let slips: Vec<&Slip> = sharp.slips.iter().map(|&at| &found.slips[at]).collect();
        assert!(slips.iter().all(|slip| slip.step == sharp.step && slip.is_dangerous()));
        assert_eq!(sharp.guarded, slips.iter().all(|slip| slip.guarded));
        assert_eq!(sharp.holds, case.procedure.steps[sharp.step].hold.is_some());
    }
    // With a hold point at every step nothing is unguarded that happens at once.
    let mut held = case.procedure.clone();
    for step in &mut held.steps {
        step.hold = Some("look twice".into());
    }
    assert!(slips(&case.task(), &held).sharpened.iter().all(|sharp| sharp.guarded));
}

#[test]
fn another_order_is_offered_only_with_fewer_dangerous_slips() {
    let case = Case::new("walk-in-cooler", "take readings");
    let now = case.slips();
    let count = |slips: &Slips| slips.slips.iter().filter(|slip| slip.is_dangerous()).count();
    for order in reorderings(&case.task(), &case.procedure, &now) {
        let mut other = case.procedure.clone();
        other.steps.swap(order.step, order.step + 1);
        assert!(verify(&case.task(), &other).accepted());
        assert_eq!(count(&slips(&case.task(), &other)), order.dangerous_then);
        assert!(order.dangerous_then < count(&now));
    }
}

#[test]
fn pairs_are_dangerous_only_together() {
    let case = Case::new("walk-in-cooler", "pump down");
    let singles = case.slips();
    let (found, tried) = pairs(&case.task(), &case.procedure, &singles, 2_000);
    assert!(tried > 100, "{tried}");
    for pair in &found {
        assert!(!singles.slips[pair.first].is_dangerous() && pair.second.is_dangerous());
    }
    assert_eq!(pairs(&case.task(), &case.procedure, &singles, 10).1, 10);
}

#[test]
fn effort_is_pinned() {
    let case = Case::new("walk-in-cooler", "replace the drier");
    let found = case.slips();
    insta::assert_snapshot!(format!("{} slips, {} actions replayed", found.slips.len(), found.replayed), @"230 slips, 2965 actions replayed");
}

#[test]
fn a_verdict_holds_over_ranges_or_says_what_would_settle_it() {
    let case = Case::new("walk-in-cooler", "pump down");
    let fine = ranges(&case.task(), &case.procedure);
    assert!(fine.estimates > 0 && fine.holds(), "{:?}", fine.tried);
    // A charge that nobody knows: at its high end the receiver is too full after the pump-down.
    let mut bench = Bench::example("walk-in-cooler");
    let charge = &mut bench.assembly.circuit.charge;
    charge.high = Mass::from_kg(charge.value.as_kg() * 2.0);
    let doubtful = ranges(&Task::new(&bench.assembly, &bench.refrigerant, Some(&case.job)), &case.procedure);
    assert!(!doubtful.holds());
    assert_eq!(doubtful.settles, [Settles::Charge]);
    let full = doubtful.tried.iter().filter_map(|corner| corner.failure.as_ref());
    assert!(full.clone().count() > 0);
    for failure in full {
        let Failure::Broken { finding, .. } = failure else { panic!("{failure:?}") };
        assert!(["receiver-overfull", "condenser-full"].contains(&finding.rule), "{}", finding.rule);
    }
    // Nor a receiver of which only the outside is known.
    let mut bench = Bench::example("walk-in-cooler");
    let receiver = bench.assembly.graph.find_space("receiver").unwrap();
    for graph in [&mut bench.assembly.graph, &mut bench.assembly.circuit.graph] {
        graph.spaces[receiver.index()].volume.low = Volume::from_l(2.0);
    }
    let doubtful = ranges(&Task::new(&bench.assembly, &bench.refrigerant, Some(&case.job)), &case.procedure);
    assert!(doubtful.settles.contains(&Settles::Volume(receiver)), "{:?}", doubtful.settles);
}

#[test]
fn why_says_what_breaks_and_what_the_stem_parts() {
    let case = Case::new("walk-in-cooler", "replace the drier");
    let shut = case.step("turn king to front-seated");
    let found = why(&case.task(), &case.procedure, shut).unwrap();
    let king = case.bench.assembly.graph.find_joint("king").unwrap();
    let never = found.instead.iter().find(|(what, _)| *what == Instead::StemUntouched(king)).unwrap();
    assert!(never.1.is_some());
    let left_out = found.instead.iter().find(|(what, _)| *what == Instead::LeftOut).unwrap();
    assert!(left_out.1.is_some());
    let parted = found.stems.iter().max_by(|a, b| {
        let apart = |used: &stemwise_prove::StemUse| (used.line.pressure - used.body.pressure).as_pa().abs();
        apart(a).total_cmp(&apart(b))
    });
    let parted = parted.unwrap();
    assert_eq!(parted.position, stemwise_circuit::Position::FrontSeated);
    assert!((parted.line.pressure - parted.body.pressure).as_bar().abs() > 5.0);
    assert!(why(&case.task(), &case.procedure, 999).is_none());
}
