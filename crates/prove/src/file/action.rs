//! One action, one line: written and read.

use stemwise_circuit::{Assembly, Position};
use stemwise_service::{Action, Cap};
use stemwise_units::{GaugePressure, Pressure, VACUUM_GAUGE_BELOW};

use crate::procedure::cap_name;

/// Every position with its word.
pub(super) const POSITIONS: [(Position, &str); 6] = [
    (Position::BackSeated, "back-seated"),
    (Position::Cracked, "cracked"),
    (Position::MidSeated, "mid-seated"),
    (Position::FrontSeated, "front-seated"),
    (Position::Open, "open"),
    (Position::Shut, "shut"),
];

pub(super) fn position_word(position: Position) -> &'static str {
    POSITIONS.iter().find(|(found, _)| *found == position).map_or("", |(_, word)| word)
}

/// A name as the file has it: in quotes where it is not one plain word.
pub(super) fn name(text: &str) -> String {
    let plain = !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_'));
    if plain && !KEYWORDS.contains(&text) { text.into() } else { format!("\"{text}\"") }
}

/// Words of the format that a name between two of them could be taken for.
const KEYWORDS: [&str; 6] = ["to", "on", "with", "as", "port", "stem"];

/// A gauge pressure as people write it.
pub(super) fn gauge(pressure: GaugePressure) -> String {
    format!("{} bar", plain(pressure.as_bar(), 1e4))
}

pub(super) fn absolute(pressure: Pressure, assembly: &Assembly) -> String {
    if pressure.as_pa() < VACUUM_GAUGE_BELOW.as_pa() {
        return format!("{} micron", plain(pressure.as_micron(), 1.0));
    }
    let bar = pressure.gauge(assembly.circuit.atmosphere).as_bar();
    format!("{} bar", plain(bar, 1e2))
}

/// With as many digits as it takes, at most those of the grid; never minus nothing.
fn plain(value: f64, grid: f64) -> String {
    let rounded = (value * grid).round() / grid;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

/// An action in the words of the procedure file: "turn king to front-seated".
pub fn words_of(assembly: &Assembly, action: &Action) -> String {
    let graph = &assembly.graph;
    let joint = |id| graph.joint(id).map_or_else(String::new, |found| name(&found.id));
    let port = |id| graph.port(id).map_or_else(String::new, |found| name(&found.id));
    let space = |id| graph.space(id).map_or_else(String::new, |found| name(&found.id));
    let cap = |cap: Cap| {
        cap_name(assembly, cap).map_or_else(String::new, |(kind, id)| format!("{kind} {}", name(id)))
    };
    let opening = |verb: &str, spaces: &[_], heat: bool| {
        let names: Vec<String> = spaces.iter().map(|&id| space(id)).collect();
        format!("{verb} {}{}", names.join(", "), if heat { " with flame" } else { "" })
    };
    match action {
        Action::LockOut => "lock out".into(),
        Action::RestorePower => "restore power".into(),
        Action::TakeCapOff(which) => format!("cap off {}", cap(*which)),
        Action::PutCapOn(which) => format!("cap on {}", cap(*which)),
        Action::EaseNut(valve) => format!("ease nut {}", joint(*valve)),
        Action::TightenNut(valve) => format!("tighten nut {}", joint(*valve)),
        Action::Turn { valve, to } => format!("turn {} to {}", joint(*valve), position_word(*to)),
        Action::AttachHose { hose, port: at } => format!("fit {} on {}", space(*hose), port(*at)),
        Action::PurgeHose { hose } => format!("purge {}", space(*hose)),
        Action::DetachHose { port: at } => format!("take hose off {}", port(*at)),
        Action::PullCore { port: at, with_tool } => {
            format!("pull core {} {} tool", port(*at), if *with_tool { "with" } else { "without" })
        }
        Action::PutCoreBack { port: at } => format!("put core back {}", port(*at)),
        Action::Start(machine) => format!("start {}", joint(*machine)),
        Action::Stop(machine) => format!("stop {}", joint(*machine)),
        Action::HoldOpen(valve) => format!("hold open {}", joint(*valve)),
        Action::LetGo(valve) => format!("let go {}", joint(*valve)),
        Action::AdmitNitrogen { to } => format!("nitrogen in to {}", gauge(*to)),
        Action::ReleaseNitrogen { to } => format!("nitrogen out to {}", gauge(*to)),
        Action::OpenUp { spaces, with_heat } => opening("open up", spaces, *with_heat),
        Action::CloseUp { spaces, with_heat } => opening("close up", spaces, *with_heat),
        Action::Evacuate { to } => format!("evacuate to {} micron", plain(to.as_micron(), 1.0)),
        Action::Charge { mass, liquid } => {
            format!("charge {} g as {}", plain(mass.as_g(), 10.0), if *liquid { "liquid" } else { "vapour" })
        }
        Action::ChargeThrottled { mass } => {
            format!("charge {} g as throttled liquid", plain(mass.as_g(), 10.0))
        }
        Action::AddOil { mass } => format!("add {} g of oil", plain(mass.as_g(), 10.0)),
        Action::Pierce { port: at } => format!("pierce {}", port(*at)),
        Action::BrazeAccess { port: at } => format!("braze access {}", port(*at)),
        Action::Read => "read".into(),
        Action::SearchLeaks => "search leaks".into(),
        Action::CheckAir => "check air".into(),
        Action::Hold { minutes } => format!("wait {minutes} min"),
    }
}
