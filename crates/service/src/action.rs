//! The actions of service work: each one thing that a pair of hands does.

use stemwise_circuit::{JointId, PortId, Position, SpaceId};
use stemwise_units::{GaugePressure, Mass, Pressure};

use crate::Cap;

/// One action. Applying it gives the next state; `settle` then says what the spaces come to.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Shut the power off and lock it out.
    LockOut,
    /// Take the lock off and restore the power.
    RestorePower,
    /// Take a cap off.
    TakeCapOff(Cap),
    /// Put a cap back on, tight.
    PutCapOn(Cap),
    /// Ease a packing nut by a turn.
    EaseNut(JointId),
    /// Tighten a packing nut.
    TightenNut(JointId),
    /// Turn a stem to a position.
    Turn {
        /// The valve.
        valve: JointId,
        /// Where to.
        to: Position,
    },
    /// Put a hose on a port, its other end purged.
    AttachHose {
        /// The hose.
        hose: SpaceId,
        /// The port.
        port: PortId,
    },
    /// Get the air out of a hose: the centre hose from the cylinder on its end, another with a pump through the manifold before it is opened to anything.
    PurgeHose {
        /// The hose.
        hose: SpaceId,
    },
    /// Take a hose off a port.
    DetachHose {
        /// The port.
        port: PortId,
    },
    /// Take a port's core out, behind a core removal tool or not.
    PullCore {
        /// The port.
        port: PortId,
        /// Whether a core removal tool is on.
        with_tool: bool,
    },
    /// Put a core back.
    PutCoreBack {
        /// The port.
        port: PortId,
    },
    /// Start a compressor or a machine and let it run until it has done what it can: a compressor with its supply cut pumps down to the
    /// stop pressure, a recovery machine to the required level, a vacuum pump to the target.
    Start(JointId),
    /// Stop it.
    Stop(JointId),
    /// Energise a solenoid's coil, or hold the valve open by hand.
    HoldOpen(JointId),
    /// Let it go.
    LetGo(JointId),
    /// Let dry nitrogen in through the centre hose until this pressure.
    AdmitNitrogen {
        /// The pressure at which to stop.
        to: GaugePressure,
    },
    /// Let nitrogen out until this pressure.
    ReleaseNitrogen {
        /// The pressure at which to stop.
        to: GaugePressure,
    },
    /// Open spaces to the atmosphere: cut, unbolt, take the part out.
    OpenUp {
        /// The spaces.
        spaces: Vec<SpaceId>,
        /// Whether with a flame.
        with_heat: bool,
    },
    /// Close them again: the new part is in.
    CloseUp {
        /// The spaces.
        spaces: Vec<SpaceId>,
        /// Whether with a flame (brazing, with nitrogen flowing).
        with_heat: bool,
    },
    /// Evacuate through the centre hose down to this pressure, then shut the pump off.
    Evacuate {
        /// The target, absolute.
        to: Pressure,
    },
    /// Charge refrigerant through the centre hose from the cylinder on the scale.
    Charge {
        /// How much.
        mass: Mass,
        /// Whether as liquid.
        liquid: bool,
    },
    /// Charge refrigerant that leaves the cylinder as liquid and is throttled to vapour on its way, through the centre hose.
    ChargeThrottled {
        /// How much.
        mass: Mass,
    },
    /// Push oil in with a hand pump, through the low-side hose.
    AddOil {
        /// How much.
        mass: Mass,
    },
    /// Bolt a piercing valve on and pierce the tube.
    Pierce {
        /// The access that it makes.
        port: PortId,
    },
    /// Braze an access valve on, over the hole of the piercing valve that was there.
    BrazeAccess {
        /// The access.
        port: PortId,
    },
    /// Read the gauges.
    Read,
    /// Look for leaks at everything that was touched.
    SearchLeaks,
    /// Measure the air where one works, and at the open ends, with a detector for the refrigerant that burns.
    CheckAir,
    /// Hold: wait and see that nothing moves.
    Hold {
        /// For how many minutes.
        minutes: u32,
    },
}
