//! A pressure regulator that holds refrigerant back from a recovery machine: told with the action, and seen when it comes about.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]

mod support;

use stemwise_circuit::Position;
use stemwise_rehearse::Danger;
use stemwise_service::{Action, Severity};
use support::{Bench, bench};

/// The two-temperature cabinet stands, with the recovery machine's hose on its suction valve, the liquid side shut off.
fn rigged(opened: bool) -> Bench {
    let mut here = bench("two-temperature", true);
    here.now.advance(600.0);
    let rigged = here.assembly.rigged.clone();
    here.turn("king", Position::FrontSeated);
    here.now.advance(60.0);
    here.act(Action::LockOut);
    if opened {
        for id in ["evaporator-regulator", "crankcase-regulator"] {
            let valve = here.joint(id);
            let _ = here.now.act(&Action::HoldOpen(valve));
        }
    }
    here.act(Action::AttachHose { hose: rigged.low_hose, port: here.port("suction-valve-port") });
    here.turn("suction-valve", Position::MidSeated);
    here.turn("low-hand-valve", Position::Open);
    here
}

#[test]
fn who_recovers_from_behind_it_is_told() {
    for opened in [false, true] {
        let mut here = rigged(opened);
        let machine = here.assembly.rigged.recovery_machine.unwrap();
        let start = Action::Start(machine);
        let said = here.now.hazards(&here.refrigerant, &here.stops, Some(&start));
        let said: Vec<_> = said.iter().filter(|finding| finding.rule == "regulator-holds-back").collect();
        let regulator = here.joint("evaporator-regulator");
        assert_eq!(said.iter().any(|one| one.joint == Some(regulator)), !opened, "{said:?}");
        assert!(said.iter().all(|one| one.severity == Severity::Caution));
        here.act(start);
        let mut seen = None;
        for minute in 0..90 {
            here.now.advance(60.0);
            let held = here.now.clocks().iter().any(|clock| clock.danger == Danger::HeldBack(regulator));
            seen = seen.or(held.then_some(minute));
        }
        let joint = here.assembly.graph.joint(regulator).unwrap().clone();
        let bar = |id| here.now.pressure(id).unwrap().as_bar();
        println!(
            "opened {opened}: before {:.3} bar, behind {:.3} bar, seen {seen:?}",
            bar(joint.a),
            bar(joint.b)
        );
        here.kept();
        assert_eq!(seen.is_some(), !opened);
        // Before it the pressure stays where it is set; opened it is down as well.
        assert!(if opened { bar(joint.a) < 1.2 } else { bar(joint.a) > bar(joint.b) + 1.0 });
    }
}
