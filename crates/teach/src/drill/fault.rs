//! Faults: what can be wrong with a system, how large it is, and what it does to the state at rest and in balance.

use stemwise_circuit::{Assembly, JointId, PortId, Position, SpaceId, SpaceKind};
use stemwise_prove::Task;
use stemwise_service::{Action, Cap, Done, State, settle};
use stemwise_units::{Mass, TemperatureDifference};

/// What can be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// The cap of a port or a stem is off.
    ForgottenCap,
    /// A stem stands where it does not belong.
    WrongStem,
    /// A valve is shut.
    ClosedValve,
    /// Too little refrigerant.
    Undercharge,
    /// Air in the system.
    Air,
    /// Water in the system.
    Moisture,
    /// A port's core does not shut.
    LeakingCore,
    /// Too much refrigerant.
    Overcharge,
    /// The filter drier lets too little through.
    RestrictedDrier,
    /// A solenoid valve does not move.
    StuckSolenoid,
    /// A metering device passes too little.
    StarvedValve,
    /// A metering device passes too much.
    FloodingValve,
    /// A condenser gives off too little heat.
    FouledCondenser,
    /// A fan stands.
    FailedFan,
    /// Frost or dirt keeps the air from an evaporator.
    FrostedEvaporator,
    /// A compressor's discharge reed leaks back.
    LeakingReed,
    /// A stem's packing leaks.
    LeakingPacking,
    /// Another refrigerant is in the system.
    WrongRefrigerant,
}

/// What a fault needs to be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) kind: FaultKind,
    pub(crate) word: &'static str,
    /// What "at" names; empty: nothing.
    pub(crate) at: &'static str,
    /// What "size" is; empty: it has none.
    pub(crate) size: &'static str,
    /// Whether the state at rest and in balance shows it.
    pub(crate) at_rest: bool,
    pub(crate) doc: &'static str,
}

const fn entry(
    kind: FaultKind,
    word: &'static str,
    at: &'static str,
    size: &'static str,
    at_rest: bool,
    doc: &'static str,
) -> Entry {
    Entry { kind, word, at, size, at_rest, doc }
}

use FaultKind as F;
/// Every kind.
pub(crate) const ENTRIES: [Entry; 18] = [
    entry(
        F::ForgottenCap,
        "forgotten-cap",
        "a port, or a valve for the cap of its stem",
        "",
        true,
        "The cap is off.",
    ),
    entry(
        F::WrongStem,
        "wrong-stem",
        "a valve",
        "a position",
        true,
        "The stem stands at that position instead of where it belongs.",
    ),
    entry(F::ClosedValve, "closed-valve", "a valve", "", true, "The valve is shut (front-seated)."),
    entry(
        F::Undercharge,
        "undercharge",
        "",
        "a part or a mass",
        true,
        "So much of the charge is missing. For a job that tops up it is what has to go in.",
    ),
    entry(F::Air, "air", "", "a mass", true, "So much air is in the system."),
    entry(F::Moisture, "moisture", "", "", true, "The system has been open and is wet inside."),
    entry(
        F::LeakingCore,
        "leaking-core",
        "a port with a core",
        "",
        true,
        "The core does not shut: it has to be replaced behind a core removal tool.",
    ),
    entry(F::Overcharge, "overcharge", "", "a part or a mass", true, "So much refrigerant is too much."),
    entry(
        F::RestrictedDrier,
        "restricted-drier",
        "a drier",
        "a part",
        false,
        "So much of its passage is closed.",
    ),
    entry(F::StuckSolenoid, "stuck-solenoid", "a solenoid valve", "", false, "It stays as it stands."),
    entry(
        F::StarvedValve,
        "starved-valve",
        "a thermostatic valve",
        "a difference",
        false,
        "It senses too cold by so much: its bulb has lost charge.",
    ),
    entry(
        F::FloodingValve,
        "flooding-valve",
        "a thermostatic valve",
        "a difference",
        false,
        "It senses too warm by so much: its bulb hangs loose.",
    ),
    entry(
        F::FouledCondenser,
        "fouled-condenser",
        "a condenser",
        "a part",
        false,
        "It gives off so much less heat.",
    ),
    entry(F::FailedFan, "failed-fan", "a coil", "", false, "The coil's fan stands."),
    entry(
        F::FrostedEvaporator,
        "frosted-evaporator",
        "an evaporator",
        "a part",
        false,
        "So much less air passes it.",
    ),
    entry(
        F::LeakingReed,
        "leaking-reed",
        "a compressor",
        "a part",
        false,
        "So much of what it discharges leaks back.",
    ),
    entry(
        F::LeakingPacking,
        "leaking-packing",
        "a valve",
        "",
        false,
        "Its stem's packing leaks while it is off its back seat.",
    ),
    entry(
        F::WrongRefrigerant,
        "wrong-refrigerant",
        "",
        "a refrigerant",
        false,
        "That refrigerant is in it instead of its own.",
    ),
];

impl FaultKind {
    pub(crate) fn entry(self) -> Option<&'static Entry> {
        ENTRIES.iter().find(|entry| entry.kind == self)
    }

    /// Its word in files.
    pub fn word(self) -> &'static str {
        self.entry().map_or("", |entry| entry.word)
    }

    /// Whether the state at rest and in balance shows it; the others show only while the system is followed second by second.
    pub fn shows_at_rest(self) -> bool {
        self.entry().is_some_and(|entry| entry.at_rest)
    }
}

/// How large a fault is.
#[derive(Clone, Debug, PartialEq)]
pub enum Size {
    /// It has no size.
    None,
    /// A part, 0 to 1.
    Part(f64),
    /// A mass.
    Mass(Mass),
    /// A difference of temperatures.
    Difference(TemperatureDifference),
    /// A position.
    Position(Position),
    /// The name of a refrigerant.
    Refrigerant(String),
}

/// A fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Where: the name in the circuit file; none where it is about the whole.
    pub at: Option<String>,
    /// How large.
    pub size: Size,
}

/// Every kind of fault: its word, what "at" names, what "size" is, and what it means; for the page about the file.
pub fn fault_words() -> impl Iterator<Item = (&'static str, &'static str, &'static str, &'static str)> {
    ENTRIES.iter().map(|entry| (entry.word, entry.at, entry.size, entry.doc))
}

/// A sentence about the faults that only a running rehearsal shows; none where there is no such fault.
pub fn faults_note(faults: &[Fault]) -> Option<String> {
    let words: Vec<&str> = faults
        .iter()
        .map(|fault| fault.kind)
        .filter(|kind| !kind.shows_at_rest())
        .map(FaultKind::word)
        .collect();
    (!words.is_empty()).then(|| {
        format!("{} show only while the system is followed second by second; at rest and in balance they change nothing", words.join(", "))
    })
}

impl Fault {
    fn port(&self, assembly: &Assembly) -> Option<PortId> {
        assembly.graph.find_port(self.at.as_deref()?)
    }

    fn valve(&self, assembly: &Assembly) -> Option<JointId> {
        assembly.graph.find_joint(self.at.as_deref()?)
    }

    fn cap(&self, assembly: &Assembly) -> Option<Cap> {
        self.port(assembly).map(Cap::Port).or_else(|| self.valve(assembly).map(Cap::Stem))
    }

    /// Where the stem of a wrong or closed valve stands.
    fn stands(&self, assembly: &Assembly) -> Option<(JointId, Position)> {
        let valve = self.valve(assembly)?;
        let shut = assembly.graph.joint(valve)?.positions().last().copied()?;
        match (self.kind, &self.size) {
            (FaultKind::ClosedValve, _) => Some((valve, shut)),
            (FaultKind::WrongStem, Size::Position(at)) => Some((valve, *at)),
            _ => None,
        }
    }

    /// What of a charge is missing or too much.
    pub(crate) fn amount(&self, charge: Mass) -> Option<Mass> {
        match self.size {
            Size::Part(part) => Some(charge * part),
            Size::Mass(mass) => Some(mass),
            _ => None,
        }
    }

    /// Changes a state; what does not show at rest changes nothing.
    fn apply(&self, assembly: &Assembly, state: &mut State) {
        match self.kind {
            FaultKind::ForgottenCap => {
                if let Some(cap) = self.cap(assembly) {
                    state.caps_off.insert(cap);
                }
            }
            FaultKind::WrongStem | FaultKind::ClosedValve => {
                if let Some((valve, at)) = self.stands(assembly) {
                    state.lineup.set(&assembly.graph, valve, at);
                }
            }
            FaultKind::Undercharge => self.scale(assembly, state, -1.0),
            FaultKind::Overcharge => self.scale(assembly, state, 1.0),
            FaultKind::Air => {
                let at = gas_gathers(assembly).and_then(|space| state.contents.get_mut(space.index()));
                if let (Some(held), Size::Mass(mass)) = (at, &self.size) {
                    held.air = held.air + *mass;
                }
            }
            FaultKind::Moisture => {
                let own = assembly.circuit.graph.spaces.len();
                state.contents.iter_mut().take(own).for_each(|held| held.wet = true);
            }
            FaultKind::LeakingCore => {
                let port = self.port(assembly).filter(|port| !state.lineup.cores_out.contains(port));
                state.lineup.cores_out.extend(port);
            }
            _ => {}
        }
    }

    /// Every space holds so much less or more, in proportion.
    fn scale(&self, assembly: &Assembly, state: &mut State, sign: f64) {
        let held = state.circuit_mass(assembly).as_kg();
        let Some(amount) = self.amount(assembly.circuit.charge.value).filter(|_| held > 0.0) else { return };
        let factor = (1.0 + sign * amount.as_kg() / held).max(0.0);
        let own = assembly.circuit.graph.spaces.len();
        state.contents.iter_mut().take(own).for_each(|held| held.refrigerant = held.refrigerant * factor);
    }

    /// What puts it right before the work, and what after it; none for a fault that the work itself has to see to.
    pub(crate) fn remedy(&self, assembly: &Assembly) -> (Vec<Action>, Vec<Action>) {
        match self.kind {
            FaultKind::ForgottenCap => {
                (Vec::new(), self.cap(assembly).map(Action::PutCapOn).into_iter().collect())
            }
            FaultKind::WrongStem | FaultKind::ClosedValve => {
                let back = self.stands(assembly).map(|(valve, _)| put_back(assembly, valve));
                (back.unwrap_or_default(), Vec::new())
            }
            _ => (Vec::new(), Vec::new()),
        }
    }
}

/// Turns a stem to where it belongs, with its care.
fn put_back(assembly: &Assembly, valve: JointId) -> Vec<Action> {
    let Some(stem) = assembly.graph.joint(valve).and_then(|joint| joint.stem.as_ref()) else {
        return Vec::new();
    };
    let some = |wanted: bool, action: Action| wanted.then_some(action);
    [
        some(stem.cap, Action::TakeCapOff(Cap::Stem(valve))),
        some(stem.packing_nut, Action::EaseNut(valve)),
        Some(Action::Turn { valve, to: stem.normal }),
        some(stem.packing_nut, Action::TightenNut(valve)),
        some(stem.cap, Action::PutCapOn(Cap::Stem(valve))),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Where gas that does not condense gathers: the high side's coil, else its receiver.
fn gas_gathers(assembly: &Assembly) -> Option<SpaceId> {
    let rank = |kind: SpaceKind| match kind {
        SpaceKind::Condenser | SpaceKind::ReversibleCoil => 0,
        SpaceKind::Receiver => 1,
        SpaceKind::Atmosphere => 9,
        _ => 2,
    };
    let spaces = assembly.circuit.graph.spaces_with_ids();
    spaces.min_by_key(|(id, space)| (rank(space.kind), *id)).map(|(id, _)| id)
}

/// A state with faults, settled.
pub(crate) fn with_faults(
    task: &Task<'_>,
    start: Done,
    faults: &[Fault],
    turned: &[(JointId, Position)],
) -> Done {
    let mut state = start.state;
    for &(valve, at) in turned {
        state.lineup.set(&task.assembly.graph, valve, at);
    }
    for fault in faults {
        fault.apply(task.assembly, &mut state);
    }
    let settled = settle(task.assembly, task.refrigerant, &task.stops, &mut state);
    Done { state, settled }
}
