//! Runs an example circuit and prints what happens: `cargo run --release -p stemwise-rehearse --example watch -- walk-in-cooler pump-down`.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program for looking at things"
)]

use std::time::Instant;

use stemwise_circuit::{Assembly, JointKind, Position, Rig, examples, read};
use stemwise_rehearse::Rehearsal;
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};

fn main() {
    let mut args = std::env::args().skip(1);
    let name = args.next().unwrap_or_else(|| "walk-in-cooler".into());
    let what = args.next().unwrap_or_else(|| "run".into());
    let minutes: f64 = args.next().map_or(10.0, |text| text.parse().unwrap());
    let text = examples().iter().find(|found| found.name == name).unwrap().text;
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let begin = State::start(&assembly, &refrigerant, &stops, what != "stand");
    let clock = Instant::now();
    let mut now = Rehearsal::new(&assembly, &begin.state).unwrap();
    println!("made in {:?}", clock.elapsed());
    let rigged = assembly.rigged.clone();
    if what == "recover" {
        now.act(&Action::LockOut).unwrap();
        let port = assembly.graph.find_port("drier-port").unwrap();
        now.act(&Action::AttachHose { hose: rigged.low_hose, port }).unwrap();
        now.act(&Action::Turn { valve: rigged.low_hand_valve, to: Position::Open }).unwrap();
        now.act(&Action::Start(rigged.recovery_machine.unwrap())).unwrap();
    }
    let first = now.totals();
    show(&now, &assembly);
    let clock = Instant::now();
    let mut spent = 0.0;
    for at in 0..10 {
        let quiet = std::env::var("QUIET").is_ok();
        if at == 5 && what == "pump-down" {
            let king = assembly.graph.find_joint("king").unwrap();
            now.act(&Action::Turn { valve: king, to: Position::FrontSeated }).unwrap();
        }
        if at == 1 && what == "rest" {
            now.act(&Action::LockOut).unwrap();
        }
        let clock = Instant::now();
        now.advance(minutes * 6.0);
        spent += clock.elapsed().as_secs_f64();
        if !quiet {
            show(&now, &assembly);
        }
        println!("{:?}", now.statistics());
    }
    let end = now.totals();
    let ledger = now.ledger();
    println!("{:?} in all, {spent:.3} s of stepping", clock.elapsed());
    println!("mass {:e}", end[0] / first[0] - 1.0);
    println!(
        "energy off by {:e} J of {:e} heat {:e} work",
        end[1] - first[1] - ledger.heat - ledger.work - ledger.hands,
        ledger.heat,
        ledger.work
    );
}

fn show(now: &Rehearsal, assembly: &Assembly) {
    println!("--- {:.1} s", now.seconds());
    let state = now.state();
    for (id, space) in assembly.circuit.graph.spaces_with_ids() {
        let held = state.held(id).unwrap();
        println!(
            "{:24} {:8.3} bar {:7.2} C {:8.4} kg  liquid {:.3}",
            space.id,
            now.pressure(id).unwrap().as_bar(),
            held.temperature.as_celsius(),
            held.refrigerant.as_kg(),
            now.liquid_fraction(id),
        );
    }
    for (id, joint) in assembly.circuit.graph.joints_with_ids() {
        if matches!(joint.kind, JointKind::Compressor(_) | JointKind::Metering(_) | JointKind::Relief { .. })
        {
            println!("{:24} {:8.3} g/s", joint.id, now.flow_kg_per_s(id) * 1e3);
        }
    }
}
