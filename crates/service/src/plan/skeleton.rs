//! The bare sequence that a search finds: which stems, machines and attachments, before it is written out as a procedure.

use stemwise_circuit::{JointId, PortId, Position};

/// A machine that is put on a port.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Machine {
    /// The recovery machine.
    Recovery,
    /// The vacuum pump.
    Vacuum,
}

/// One move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Move {
    /// Turn a stem.
    Turn(JointId, Position),
    /// Start a compressor.
    Start(JointId),
    /// Stop a compressor.
    Stop(JointId),
    /// Put a machine on a port.
    Attach(Machine, PortId),
    /// Take it off.
    Detach(Machine, PortId),
    /// Recover through the port that the recovery machine is on.
    Recover(PortId),
    /// Evacuate through the port that the vacuum pump is on.
    Evacuate(PortId),
    /// Open, repair, close.
    Work,
}

/// What a search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Skeleton {
    /// The moves, in order.
    pub(crate) moves: Vec<Move>,
    /// For each move, whether leaving it out, or one wrong turn just before it, leads into a hazard.
    pub(crate) critical: Vec<bool>,
    /// The cost by the objective that was searched.
    pub(crate) cost: u64,
    /// How far above the optimum it may be; none: proved best.
    pub(crate) gap: Option<u64>,
    /// States expanded.
    pub(crate) expanded: u64,
}

impl Skeleton {
    /// The port through which the section is evacuated after the work.
    pub(crate) fn evacuation_port(&self) -> Option<PortId> {
        self.moves.iter().find_map(|step| match step {
            Move::Evacuate(port) => Some(*port),
            _ => None,
        })
    }

    /// Every port that the moves use, in the order of first use.
    pub(crate) fn ports(&self) -> Vec<PortId> {
        let mut ports = Vec::new();
        for step in &self.moves {
            if let Move::Attach(_, port) = step
                && !ports.contains(port)
            {
                ports.push(*port);
            }
        }
        ports
    }
}
