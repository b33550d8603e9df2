//! The slip that is dangerous at a step, said where the hand is: where no gauge and no hold point would show it in time.

use stemwise_circuit::{JointKind, PortOn, Position, SpaceKind};
use stemwise_units::Pressure;

use super::procedure::{Doing, Phase, Reason};
use super::write::Writer;
use crate::Start;

/// Below this a space counts as evacuated (a twentieth of the atmosphere).
const EVACUATED: Pressure = Pressure::from_pa(5_000.0);

/// A single slip that is dangerous at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Beware {
    /// Another stem shut while the compressor runs.
    WrongStem,
    /// Another stem moved, or this one not all the way, while everything stands.
    LeftOpen,
    /// Cracking runs on to the front seat.
    TooFar,
    /// Turned the wrong way, to the front seat.
    WrongWay,
    /// The vacuum pump opened to the test gas.
    PumpOnGas,
    /// The stem moved for the test forgotten, or another one moved.
    TestGas,
    /// Joined again before the vacuum has held, or with the pump open to it.
    BeforeVacuum,
    /// Another machine or supply open to the hose through which it is charged.
    OtherWayOpen,
    /// A machine or a supply open to the manifold while a hose is drawn down.
    MachinesOpen,
    /// The pump opened before what burns has been recovered and swept.
    BeforeSweep,
    /// The hose comes off a port that is not shut off.
    LivePort,
    /// The hose comes off before the vacuum is broken.
    OffUnderVacuum,
    /// The hose goes on another port.
    WrongPort,
    /// A solenoid that is not held open.
    Solenoid,
    /// The compressor started while there is no refrigerant.
    StartedEmpty,
    /// The centre hose opened to the system before the air in it is out.
    NotPurged,
    /// A port opened onto a vacuum before the hose on it is drawn empty.
    HoseFirst,
    /// A hose taken off before it is drawn empty.
    FullHose,
}

impl Beware {
    /// The rules that the slip breaks.
    pub const fn rules(self) -> &'static [&'static str] {
        match self {
            Self::WrongStem | Self::LeftOpen => &[
                "compressor-against-shut-discharge",
                "liquid-shut-in",
                "condenser-full",
                "compressor-in-vacuum",
                "test-pressure-too-high",
                "relief-under-test",
                "gas-into-charge",
                "refrigerant-vented",
                "pressure-opened",
            ],
            Self::TooFar | Self::WrongWay => &[
                "compressor-against-shut-discharge",
                "liquid-shut-in",
                "condenser-full",
                "compressor-in-vacuum",
            ],
            Self::PumpOnGas => {
                &["vacuum-pump-on-pressure", "vacuum-pump-stopped-open", "compressor-in-vacuum"]
            }
            Self::TestGas => &[
                "vacuum-pump-on-pressure",
                "gas-into-charge",
                "test-pressure-too-high",
                "relief-under-test",
                "liquid-shut-in",
                "air-drawn-in",
                "gauge-beyond-range",
            ],
            Self::BeforeVacuum => &[
                "refrigerant-vented",
                "gas-into-charge",
                "vacuum-pump-on-pressure",
                "vacuum-pump-stopped-open",
                "liquid-shut-in",
                "pressure-opened",
                "test-pressure-too-high",
                "relief-under-test",
                "gauge-beyond-range",
            ],
            Self::MachinesOpen => &[
                "compressor-in-vacuum",
                "refrigerant-vented",
                "vacuum-pump-on-pressure",
                "vacuum-pump-stopped-open",
                "gas-into-charge",
                "gauge-beyond-range",
            ],
            Self::OtherWayOpen => &[
                "charge-runs-back",
                "hose-not-purged",
                "refrigerant-vented",
                "vacuum-pump-on-pressure",
                "vacuum-pump-stopped-open",
                "liquid-shut-in",
                "gas-into-charge",
                "gauge-beyond-range",
                "cylinder-overfull",
                "receiver-overfull",
                "condenser-full",
                "compressor-in-vacuum",
                "liquid-into-suction",
            ],
            Self::BeforeSweep => {
                &["refrigerant-vented", "vacuum-pump-on-pressure", "vacuum-pump-stopped-open"]
            }
            Self::LivePort => &["hose-off-live-port"],
            Self::OffUnderVacuum => &["air-drawn-in"],
            Self::NotPurged => &["hose-not-purged"],
            Self::FullHose => &["hose-off-live-port"],
            Self::HoseFirst => &["air-drawn-in", "hose-not-purged"],
            Self::WrongPort => &["air-drawn-in", "hose-on-live-port", "hose-off-live-port"],
            Self::Solenoid => &[
                "air-drawn-in",
                "liquid-shut-in",
                "pressure-opened",
                "refrigerant-vented",
                "vacuum-pump-on-pressure",
            ],
            Self::StartedEmpty => &["compressor-in-vacuum"],
        }
    }
}

impl Writer<'_> {
    /// What to beware of at a step that is about to be done.
    pub(super) fn beware(&self, doing: &Doing, reason: &Reason) -> Vec<Beware> {
        let mut found = match *doing {
            Doing::Turn { valve, .. } if self.is_needle(valve) => Vec::new(),
            Doing::Turn { from, to, .. } => self.beware_at_turn(from, to, reason),
            Doing::ReleaseNitrogen => vec![Beware::PumpOnGas],
            Doing::Charge { .. } => {
                let centre = self.assembly().rigged.centre_hose;
                let swapped = !self.runs.state().purged.contains(&centre);
                let unpurged = swapped.then_some(Beware::NotPurged);
                core::iter::once(Beware::OtherWayOpen).chain(unpurged).collect()
            }
            Doing::LetGo { .. } if self.job.works() => vec![Beware::BeforeVacuum],
            Doing::PullSwept { .. } => vec![Beware::BeforeSweep],
            Doing::HoldOpen { .. } if *reason == Reason::NotHeldUp => Vec::new(),
            Doing::HoldOpen { .. } => vec![Beware::Solenoid],
            Doing::TakeHoseOff { port } => {
                let on_valve = self.assembly().graph.port(port).map(|port| port.on);
                match on_valve {
                    Some(PortOn::ServiceValve(_)) => vec![Beware::LivePort, Beware::MachinesOpen],
                    _ if self.assembly().graph.needle(port).is_some() => vec![Beware::LivePort],
                    _ if self.phase == Phase::Work => vec![Beware::OffUnderVacuum],
                    _ => Vec::new(),
                }
            }
            Doing::FitHose { .. } if self.leaves_vacuum() => vec![Beware::WrongPort],
            _ => Vec::new(),
        };
        let empty = matches!(self.job.start(self.assembly()), Start::Empty | Start::AsDelivered);
        if empty && !self.runs.state().locked_out && !self.worked {
            found.push(Beware::StartedEmpty);
        }
        found
    }

    fn is_needle(&self, valve: stemwise_circuit::JointId) -> bool {
        let joint = self.assembly().graph.joint(valve);
        joint.is_some_and(|joint| matches!(joint.kind, JointKind::PiercingValve))
    }

    fn beware_at_turn(&self, from: Position, to: Position, reason: &Reason) -> Vec<Beware> {
        match (reason, to) {
            (Reason::HoldTestGas, _) => vec![Beware::TestGas],
            (Reason::JoinAgain, _) if self.phase == Phase::Prove => vec![Beware::TestGas],
            (Reason::JoinAgain | Reason::LetChargeIn, _) => vec![Beware::BeforeVacuum, Beware::LeftOpen],
            (Reason::FreePort, _) => vec![Beware::WrongWay],
            (Reason::EmptyHose, _) => vec![Beware::WrongStem, Beware::FullHose],
            (_, Position::Cracked | Position::MidSeated) if from == Position::BackSeated => {
                let vacuum = self.leaves_vacuum().then_some(Beware::HoseFirst);
                core::iter::once(Beware::TooFar).chain(vacuum).collect()
            }
            _ if self.runs.stands() => vec![Beware::LeftOpen],
            _ => vec![Beware::WrongStem],
        }
    }

    /// Whether something that a hose could go on stands under vacuum: what is evacuated, or a passage behind the needle of a piercing valve.
    fn leaves_vacuum(&self) -> bool {
        let graph = &self.assembly().circuit.graph;
        let behind_needle = graph.joints.iter().any(|joint| matches!(joint.kind, JointKind::PiercingValve));
        let settled = self.runs.settled();
        let spaces = graph.spaces_with_ids().filter(|(_, space)| space.kind != SpaceKind::Atmosphere);
        let evacuated = |id| settled.pressure(id).is_some_and(|found: Pressure| found < EVACUATED);
        behind_needle || (!graph.ports.is_empty() && spaces.map(|(id, _)| id).any(evacuated))
    }
}
