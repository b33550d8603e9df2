//! What an hour of the walk-in cooler's pump-down, recovery and evacuation costs, and a day's running: beside the time that passes in it, and beside
//! a fixed piece of arithmetic that is measured in the same turn. `cargo bench -p stemwise-rehearse`.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program that reads the clock and prints what it measured"
)]

use std::sync::Arc;
use std::time::Instant;

use stemwise_circuit::{Assembly, Position, Rig, examples, read};
use stemwise_rehearse::{Medium, Rehearsal};
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};
use stemwise_units::Pressure;

/// A million roots and divisions: the yardstick.
fn yardstick() -> f64 {
    let clock = Instant::now();
    let mut sum = 0.0f64;
    for n in 1..1_000_000u32 {
        sum += f64::from(n).sqrt() / (1.0 + sum);
    }
    std::hint::black_box(sum);
    clock.elapsed().as_secs_f64()
}

fn begin(name: &str, running: bool) -> Rehearsal {
    begin_text(examples().iter().find(|found| found.name == name).unwrap().text, running)
}

/// The rack with so many branches, each like its sixth, and charge for their lines.
fn rack_of(branches: usize) -> String {
    let text = examples().iter().find(|found| found.name == "rack").unwrap().text;
    let blocks: Vec<&str> =
        text.split("\n\n").filter(|block| block.contains("branch-6") || block.contains("case-6")).collect();
    let mut large =
        text.replace("charge = \"62 kg\"", &format!("charge = \"{} kg\"", 62 + 5 * (branches - 6)));
    for branch in 7..=branches {
        for block in &blocks {
            large.push_str("\n\n");
            large.push_str(
                &block.replace("-6", &format!("-{branch}")).replace(" 6\"", &format!(" {branch}\"")),
            );
        }
    }
    large
}

fn begin_text(text: &str, running: bool) -> Rehearsal {
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let medium = Arc::new(Medium::named(&circuit.refrigerant).unwrap());
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let start = State::start(&assembly, &refrigerant, &stops, running);
    Rehearsal::with(medium, &assembly, &start.state).unwrap()
}

fn hose_on(now: &mut Rehearsal, port: &str) {
    let (hose, valve) = (now.assembly().rigged.low_hose, now.assembly().rigged.low_hand_valve);
    let port = now.assembly().graph.find_port(port).unwrap();
    now.act(&Action::AttachHose { hose, port }).unwrap();
    now.act(&Action::Turn { valve, to: Position::Open }).unwrap();
}

fn measure(name: &str, seconds: f64, start: &Rehearsal) {
    let (mut best, mut stick) = (f64::INFINITY, f64::INFINITY);
    let mut statistics = start.statistics();
    for _ in 0..3 {
        stick = stick.min(yardstick());
        let mut now = start.clone();
        let clock = Instant::now();
        now.advance(seconds);
        best = best.min(clock.elapsed().as_secs_f64());
        statistics = now.statistics();
    }
    println!(
        "{name:36} {:3} spaces {:9.1} ms, {:8.0} times real time, {:6.1} yardsticks, {} steps, {} rejected, {} rounds",
        start.assembly().graph.spaces.len(),
        best * 1e3,
        seconds / best,
        best / stick,
        statistics.steps,
        statistics.rejected,
        statistics.rounds
    );
}

fn main() {
    let mut pump_down = begin("walk-in-cooler", true);
    let valve = pump_down.assembly().graph.find_joint("king").unwrap();
    pump_down.act(&Action::Turn { valve, to: Position::FrontSeated }).unwrap();
    measure("walk-in cooler, pump-down, 1 h", 3600.0, &pump_down);
    let mut recovery = begin("walk-in-cooler", false);
    hose_on(&mut recovery, "drier-port");
    let machine = recovery.assembly().rigged.recovery_machine.unwrap();
    recovery.act(&Action::Start(machine)).unwrap();
    measure("walk-in cooler, recovery, 1 h", 3600.0, &recovery);
    recovery.advance(6.0 * 3600.0);
    recovery.act(&Action::Stop(machine)).unwrap();
    recovery.act(&Action::Evacuate { to: Pressure::from_micron(10.0) }).unwrap();
    measure("walk-in cooler, evacuation, 1 h", 3600.0, &recovery);
    measure("walk-in cooler, running, 24 h", 86400.0, &begin("walk-in-cooler", true));
    measure("rack, running, 10 min", 600.0, &begin("rack", true));
    measure("rack of 44 branches, running, 10 min", 600.0, &begin_text(&rack_of(44), true));
}
