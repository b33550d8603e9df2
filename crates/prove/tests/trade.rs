//! Procedures of the trade, written by hand, on the walk-in cooler: accepted, or refused for the right reason.
//!
//! Each file in `tests/data` names its source or says that it is common practice.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use stemwise_circuit::Rig;
use stemwise_prove::{Certificate, Failure, Task, read, verify};
use stemwise_service::plan::plan;
use stemwise_service::{Action, Refrigerant, find_job};
use support::Bench;

fn judged(text: &str) -> Certificate {
    let circuit = Bench::example("walk-in-cooler").assembly.circuit;
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let reading = read(text.as_bytes(), &circuit, Rig::usual());
    assert_eq!(reading.problems, []);
    let procedure = reading.procedure.unwrap();
    let job = procedure.job.as_deref().map(|said| find_job(&circuit, said).unwrap());
    verify(&Task::new(&reading.assembly, &refrigerant, job.as_ref()), &procedure)
}

/// What keeps a procedure from being accepted: a rule, "refused: why", "missing: what", or nothing.
#[track_caller]
fn check(text: &str, expected: &str) {
    let certificate = judged(text);
    let failure = match certificate.first_failure() {
        None => "accepted".to_owned(),
        Some(Failure::Broken { step, finding }) => format!("{} in step {}", finding.rule, step + 1),
        Some(Failure::Refused { step, why }) => format!("refused in step {}: {why}", step + 1),
        Some(Failure::Missing(asked)) => format!("missing: {}", asked.id),
    };
    assert_eq!(failure, expected);
    assert!(certificate.account.gap() <= 1e-9, "{:?}", certificate.account);
}

macro_rules! data {
    ($name:literal) => {
        include_str!(concat!("data/", $name, ".txt"))
    };
}

#[test]
fn sound_procedures_are_accepted() {
    check(data!("pump-down"), "accepted");
    check(data!("drier"), "accepted");
    check(data!("core-with-tool"), "accepted");
}

#[test]
fn what_is_dangerous_is_refused_at_its_step() {
    check(data!("discharge-shut-while-running"), "compressor-against-shut-discharge in step 1");
    check(data!("core-without-tool"), "core-pulled-open in step 1");
    check(data!("drier-cut-full"), "pressure-opened in step 1");
    check(data!("drier-not-locked-out"), "not-locked-out in step 7");
    check(data!("drier-with-a-torch"), "heat-on-refrigerant in step 8");
    check(data!("drier-under-vacuum"), "air-drawn-in in step 8");
    check(data!("drier-test-too-high"), "test-pressure-too-high in step 9");
    check(data!("drier-pump-on-pressure"), "vacuum-pump-on-pressure in step 10");
    check(data!("two-stems-at-once"), "liquid-shut-in in step 1");
    check(data!("charged-uphill"), "charge-runs-back in step 2");
}

#[test]
fn what_hands_can_not_do_is_refused() {
    check(
        data!("stem-with-its-cap-on"),
        "refused in step 1: the cap is on the stem of the receiver outlet (king) valve",
    );
    check(
        data!("drier-nitrogen-without-regulator"),
        "refused in step 7: there is no nitrogen with a regulator at hand",
    );
}

#[test]
fn what_is_asked_for_must_come_true() {
    check(data!("drier-never-tested"), "missing: proved-tight");
    check(data!("drier-test-of-nothing"), "missing: proved-tight");
    check(data!("drier-cap-forgotten"), "missing: caps");
    // A tenth of what the section is built for is no test of it.
    let token = data!("drier").replacen("nitrogen in to 19 bar", "nitrogen in to 2 bar", 1);
    assert_ne!(token, data!("drier"));
    check(&token, "missing: proved-tight");
}

/// Every "always" has its "sometimes": leaving out any one proof is noticed under its own name.
#[test]
fn each_proof_of_the_drier_is_noticed_when_it_lacks() {
    let whole = data!("drier");
    for (without, missing) in [
        ("  evacuate to 300 micron\n", "missing: proved-dry"),
        ("  restore power\n", "refused in step 12: the power is locked out: compressor can't be started"),
        ("  start compressor\n", "missing: runs-again"),
        ("  open up drier\n", "refused in step 8: the filter drier is not open"),
        ("  close up drier with flame\n", "refrigerant-vented in step 11"),
        (
            "  take hose off king-port\n",
            "refused in step 13: a hose is on the port of the receiver outlet (king) valve",
        ),
    ] {
        assert!(whole.contains(without), "{without}");
        check(&whole.replacen(without, "", 1), missing);
    }
    // The search with nitrogen in it is not the one with refrigerant.
    let (before, after) = whole.rsplit_once("  search leaks\n").unwrap();
    check(&format!("{before}{after}"), "missing: leaks-searched");
}

/// The states during an action: back-seated to front-seated passes the middle, where the port is joined.
#[test]
fn a_stem_passes_the_positions_between() {
    let text = "procedure 1\nstart: running\nstep: One turn from seat to seat.\n  cap off stem king\n  ease nut king\n  \
                turn king to front-seated\n  tighten nut king\n";
    let certificate = judged(text);
    // Four actions; two positions between, and two states while the compressor runs the low side down.
    assert_eq!(certificate.steps[0].states, 8);
}

/// What keeps the plan for a job on an example from being accepted once the actions that a test picks are left out.
fn without(example: &str, said: &str, out: impl Fn(&Action) -> bool) -> String {
    let bench = Bench::example(example);
    let job = bench.job(said);
    let mut procedure = bench.planned(&job).unwrap();
    for step in &mut procedure.steps {
        step.actions.retain(|action| !out(action));
    }
    match bench.verify(Some(&job), &procedure).first_failure() {
        None => "accepted".to_owned(),
        Some(Failure::Missing(asked)) => format!("missing: {}", asked.id),
        Some(other) => format!("{other:?}"),
    }
}

/// IEC 60335-2-40, Annex DD (from memory): recover, purge with inert gas, evacuate, purge again, open; no hot work before the air has been measured. R-32 is A2L,
/// R-600a A3 (ANSI/ASHRAE Standard 34).
#[test]
fn no_flame_on_what_burns_before_it_is_swept_and_the_air_measured() {
    for (example, said) in [
        ("split-air-conditioner", "replace the evaporator"),
        ("heat-pump", "replace the reversing valve"),
        ("sealed-freezer", "replace the drier + fit an access valve: suction-line"),
    ] {
        assert_eq!(without(example, said, |_| false), "accepted", "{example}");
        let unmeasured = without(example, said, |action| *action == Action::CheckAir);
        assert_eq!(unmeasured, "missing: air-before-flame", "{example}");
        // The vacuum between the sweeps is the rough one; the last one proves dryness.
        let rough = |action: &Action| matches!(action, Action::Evacuate { to } if to.as_micron() > 1000.0);
        assert_eq!(without(example, said, rough), "missing: swept-before-flame", "{example}");
        let sweep = |action: &Action| matches!(action, Action::AdmitNitrogen { to } if (1.9..2.1).contains(&to.as_bar()));
        assert_eq!(without(example, said, sweep), "missing: swept-before-flame", "{example}");
    }
    // What doesn't burn needs none of it.
    let bench = Bench::example("walk-in-cooler");
    let planned = bench.planned(&bench.job("replace the drier")).unwrap();
    assert!(!planned.steps.iter().flat_map(|step| &step.actions).any(|action| *action == Action::CheckAir));
}

/// The air is measured at the open ends: before the opening it tells nothing of what comes out there.
#[test]
fn the_air_is_measured_after_the_opening() {
    let bench = Bench::example("split-air-conditioner");
    let job = bench.job("replace the evaporator");
    let mut procedure = bench.planned(&job).unwrap();
    for step in &mut procedure.steps {
        step.actions.retain(|action| *action != Action::CheckAir);
        if step.actions.iter().any(|action| matches!(action, Action::OpenUp { .. })) {
            step.actions.insert(0, Action::CheckAir);
        }
    }
    let Some(Failure::Missing(asked)) = bench.verify(Some(&job), &procedure).first_failure() else {
        panic!("it was accepted")
    };
    assert_eq!(asked.id, "air-before-flame");
}

/// Liquid goes in between condenser and metering device only, and what a running compressor draws goes in on its suction side (common practice).
#[test]
fn refrigerant_goes_in_where_it_may() {
    let mut charged = 0;
    for (example, said) in [
        ("walk-in-cooler", "replace the compressor"),
        ("walk-in-cooler", "replace the receiver"),
        ("walk-in-cooler", "charge the empty system"),
        ("walk-in-cooler", "top up"),
        ("heat-pump", "replace the compressor"),
        ("two-temperature", "replace the condenser"),
        ("rack", "replace the drier"),
    ] {
        let bench = Bench::example(example);
        let found = plan(&bench.assembly, &bench.refrigerant, &bench.job(said)).unwrap();
        let graph = &bench.assembly.graph;
        let mut hoses = std::collections::BTreeMap::new();
        let mut open = Vec::new();
        for action in found.best.steps.iter().flat_map(|step| &step.actions) {
            match action {
                Action::AttachHose { hose, port } => drop(hoses.insert(*hose, *port)),
                Action::Turn { valve, to } => {
                    open.retain(|it| it != valve);
                    if *to == stemwise_circuit::Position::Open {
                        open.push(*valve);
                    }
                }
                Action::Charge { liquid: true, .. } => {
                    charged += 1;
                    let through = hoses.iter().filter(|(hose, _)| {
                        open.iter().filter_map(|valve| graph.joint(*valve)).any(|joint| joint.touches(**hose))
                    });
                    for (_, port) in through {
                        let on = match graph.port(*port).unwrap().on {
                            stemwise_circuit::PortOn::Space(space) => vec![space],
                            stemwise_circuit::PortOn::ServiceValve(valve) => {
                                let joint = graph.joint(valve).unwrap();
                                vec![joint.a, joint.b]
                            }
                        };
                        for space in on {
                            let space = graph.space(space).unwrap();
                            use stemwise_circuit::SpaceKind::{
                                CompressorHead, CompressorShell, DischargeLine, SuctionLine,
                            };
                            assert!(
                                !matches!(
                                    space.kind,
                                    CompressorHead | CompressorShell | DischargeLine | SuctionLine
                                ),
                                "{example}, {said}: liquid into the {}",
                                space.name
                            );
                        }
                    }
                }
                _ => {}
            }
        }
    }
    assert!(charged >= 4, "{charged}");
}
