//! `rehearse`: a pump-down, a recovery and a nitrogen test in motion for some minutes, the states as bits, and the log replayed.

use std::sync::Arc;

use stemwise_circuit::{Assembly, Position, Rig, examples, read};
use stemwise_rehearse::{Medium, Rehearsal};
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};
use stemwise_units::GaugePressure;

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    match begin("walk-in-cooler", true) {
        Ok(now) => pump_down(report, now),
        Err(error) => report.line(&format!("error: {error}")),
    }
    match begin("split-air-conditioner", false) {
        Ok(now) => nitrogen(report, now),
        Err(error) => report.line(&format!("error: {error}")),
    }
}

fn begin(name: &str, running: bool) -> Result<Rehearsal, String> {
    let text = examples().iter().find(|found| found.name == name).ok_or("no such example")?.text;
    let circuit = read(text.as_bytes()).circuit.ok_or("no circuit")?;
    let refrigerant = Refrigerant::named(&circuit.refrigerant).map_err(|error| error.to_string())?;
    let medium = Medium::named(&circuit.refrigerant).map_err(|error| error.to_string())?;
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let start = State::start(&assembly, &refrigerant, &stops, running);
    Rehearsal::with(Arc::new(medium), &assembly, &start.state).map_err(|error| error.to_string())
}

fn act(report: &mut Report, now: &mut Rehearsal, action: &Action) {
    if let Err(refused) = now.act(action) {
        report.line(&format!("error: {refused}"));
    }
}

fn pump_down(report: &mut Report, mut now: Rehearsal) {
    let start = now.clone();
    now.advance(60.0);
    put(report, "running", &now);
    if let Some(valve) = now.assembly().graph.find_joint("king") {
        act(report, &mut now, &Action::Turn { valve, to: Position::FrontSeated });
    }
    for _ in 0..6 {
        now.advance(30.0);
    }
    put(report, "pumped down", &now);
    let mut again = start;
    let replayed = now.log().replay(&mut again);
    let same = replayed.is_ok() && again.state() == now.state() && again.statistics() == now.statistics();
    report.line(if same { "replayed: the same bits" } else { "error: replayed to another state" });
}

fn nitrogen(report: &mut Report, mut now: Rehearsal) {
    let (hose, valve) = (now.assembly().rigged.low_hose, now.assembly().rigged.low_hand_valve);
    let Some(port) = now.assembly().graph.find_port("liquid-valve-port") else { return };
    act(report, &mut now, &Action::AttachHose { hose, port });
    act(report, &mut now, &Action::Turn { valve, to: Position::Open });
    act(report, &mut now, &Action::AdmitNitrogen { to: GaugePressure::from_bar(25.0) });
    now.advance(60.0);
    put(report, "nitrogen on top of the charge", &now);
}

fn put(report: &mut Report, what: &str, now: &Rehearsal) {
    let statistics = now.statistics();
    report.line(&format!(
        "{what}: {} steps, {} rounds, {} given up",
        statistics.steps, statistics.rounds, statistics.forced
    ));
    let spaces = now.assembly().graph.spaces_with_ids().filter_map(|(id, _)| now.space(id));
    report.digest(&format!("{what}: spaces"), &format!("{:?}", spaces.collect::<Vec<_>>()));
    report.digest(&format!("{what}: curves"), &format!("{:?}", now.curves()));
}
