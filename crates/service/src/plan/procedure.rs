//! A procedure: ordered steps, each with its care, its expected readings, its reason, its cautions and its proof.

use stemwise_circuit::{JointId, PortId, Position, SpaceId};
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature, Time};

use super::beware::Beware;
use super::direct::Form;
use super::testing::SetBy;
use crate::{Action, ChargeTarget, Job, State};

/// The part of a job that a step belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Look, note, lay out, connect.
    Prepare,
    /// Shut the valves that part the section from the rest.
    Isolate,
    /// Get the refrigerant out of it.
    Empty,
    /// Open, repair, close.
    Work,
    /// Prove it tight.
    Prove,
    /// Evacuate, prove it dry.
    Dry,
    /// Let or weigh refrigerant in.
    Refill,
    /// Put everything back, read, record.
    Return,
}

/// What a step does, in terms that a sentence can be made of in any language and unit system.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Identify the refrigerant, look the system over, lay out what is needed.
    LookOver,
    /// Put a hose on a port and purge it.
    FitHose {
        /// The hose.
        hose: SpaceId,
        /// The port.
        port: PortId,
    },
    /// Take a hose off a port.
    TakeHoseOff {
        /// The port.
        port: PortId,
    },
    /// Turn a stem.
    Turn {
        /// The valve.
        valve: JointId,
        /// Where it stood.
        from: Position,
        /// Where to.
        to: Position,
    },
    /// Read the gauges and note them.
    Read {
        /// How many are on.
        gauges: usize,
    },
    /// Hold solenoids open so that no liquid is shut in.
    HoldOpen {
        /// The solenoid valves.
        valves: Vec<JointId>,
    },
    /// Let the solenoids go.
    LetGo {
        /// The solenoid valves.
        valves: Vec<JointId>,
    },
    /// Let compressors run until the low side has come down to this.
    PumpDown {
        /// The compressors that run.
        compressors: Vec<JointId>,
        /// Where to stop.
        to: GaugePressure,
    },
    /// Stop compressors.
    Stop {
        /// The compressors.
        compressors: Vec<JointId>,
    },
    /// Wait for oil to give off what it holds, and start again if the pressure climbs.
    WaitForRise {
        /// How long.
        minutes: u32,
        /// Above this, pump down once more.
        limit: GaugePressure,
    },
    /// Wait for crankcase heater and fans before a start beside liquid.
    LetWarm {
        /// How long.
        minutes: u32,
        /// Where most of the liquid stands.
        beside: SpaceId,
    },
    /// Wait while liquid runs down into a receiver.
    LetDrain {
        /// The receiver.
        into: SpaceId,
        /// How long.
        minutes: u32,
    },
    /// Shut the power off, lock it, try it.
    LockOut,
    /// Recover through a hose down to a level.
    Recover {
        /// The ports.
        ports: Vec<PortId>,
        /// The level.
        to: Pressure,
        /// How much goes into the cylinder.
        mass: Mass,
        /// What one cylinder may hold, where it takes several.
        change_at: Option<Mass>,
    },
    /// Let dry nitrogen in until nothing is drawn in when the section is opened.
    BreakVacuum,
    /// Let dry nitrogen in, and out again in the open air: it takes along what is left of a refrigerant that burns.
    SweepOut {
        /// Up to this pressure.
        to: GaugePressure,
    },
    /// Evacuate what has been swept.
    PullSwept {
        /// Down to.
        to: Pressure,
    },
    /// Measure the air for a refrigerant that burns.
    CheckAir,
    /// Open the section and do the repair.
    OpenUp {
        /// What is opened.
        spaces: Vec<SpaceId>,
        /// Whether with a flame.
        with_heat: bool,
    },
    /// Close it again.
    CloseUp {
        /// What is closed.
        spaces: Vec<SpaceId>,
        /// Whether with a flame.
        with_heat: bool,
    },
    /// Test with nitrogen.
    PressureTest {
        /// The test pressure.
        to: GaugePressure,
        /// How long it stands.
        stand: Time,
        /// What sets the pressure.
        set_by: SetBy,
    },
    /// Let the nitrogen out.
    ReleaseNitrogen,
    /// Evacuate and prove it.
    Evacuate {
        /// The target.
        to: Pressure,
        /// How long the pump stays off while the pressure is watched.
        stand: Time,
        /// What it may rise to.
        may_rise_to: Pressure,
    },
    /// Take the lock off, restore the power.
    RestorePower,
    /// Start compressors.
    Start {
        /// The compressors.
        compressors: Vec<JointId>,
    },
    /// Weigh back what was taken out.
    Charge {
        /// How much.
        mass: Mass,
        /// How it goes in.
        form: Form,
    },
    /// Let the system run until it is steady.
    LetRun {
        /// How long.
        minutes: u32,
    },
    /// Measure what the charge is judged by, and compare.
    Judge {
        /// What it should be.
        target: ChargeTarget,
        /// The port that the gauge is on.
        port: PortId,
        /// Saturation at the pressure that is expected there.
        saturation: Temperature,
        /// The pipe at its target.
        pipe: Temperature,
        /// Whether it has been measured before.
        again: bool,
    },
    /// Evacuate roughly and break the vacuum with nitrogen, to carry water out.
    PullAndBreak {
        /// Down to.
        to: Pressure,
        /// Which time.
        time: u32,
    },
    /// Take a core out behind its tool and put a new one in.
    SwapCore {
        /// The port.
        port: PortId,
    },
    /// Push oil in with a hand pump.
    AddOil {
        /// The port.
        port: PortId,
        /// How much.
        mass: Mass,
    },
    /// Bolt a piercing valve on and pierce the tube.
    Pierce {
        /// The access that it makes.
        port: PortId,
    },
    /// Braze an access valve onto a tube of a system that holds no refrigerant.
    BrazeAccess {
        /// The access that it makes.
        port: PortId,
    },
    /// Hang a label on the system.
    Label {
        /// What it says.
        label: Label,
    },
    /// Look for leaks.
    SearchLeaks,
    /// Put every cap back, every nut tight.
    Caps {
        /// How many caps.
        count: usize,
    },
    /// Write down what was done and what went in and out.
    Record {
        /// Recovered.
        recovered: Mass,
        /// Charged.
        charged: Mass,
        /// Lost.
        lost: Mass,
    },
    /// Hang a tag on what does not stand as usual.
    Tag {
        /// The valves.
        valves: Vec<JointId>,
    },
}

/// What a label says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Label {
    /// Tested, holds dry nitrogen, no refrigerant.
    Nitrogen,
    /// Evacuated, under vacuum.
    Vacuum,
    /// Out of use, the refrigerant recovered.
    OutOfUse,
    /// The charge is in the outdoor unit, its line-set valves shut.
    ChargedUnit,
}

/// Why a step is there.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// Know what is in there before opening anything.
    KnowFirst,
    /// To see the pressures on both sides.
    SeePressures,
    /// Joins the port to the section, so that the gauge there reads it.
    JoinPort,
    /// Parts the section from what holds the charge.
    CutOff {
        /// What stays on this side.
        section: Vec<SpaceId>,
    },
    /// Liquid would stay shut in behind a closed solenoid.
    NoLiquidShutIn,
    /// A regulator would keep its evaporator above what the pump-down comes to.
    NotHeldUp,
    /// Moves the refrigerant into the high side instead of taking it out.
    MoveCharge,
    /// Refrigerant dissolved in the oil comes out slowly.
    OilGivesOff,
    /// What runs down into the receiver does not have to be recovered.
    KeepsCharge,
    /// Hands go in.
    Hands,
    /// What is left has to be taken out before the section may be opened.
    RequiredLevel,
    /// Opening a section under vacuum draws air and water in.
    NoAirIn,
    /// Nothing that burns may be left where it is opened and a flame comes near.
    NothingThatBurns,
    /// The repair.
    Repair,
    /// Prove that it is tight before refrigerant goes in.
    ProveTight,
    /// Take out nitrogen, air and water.
    ProveDry,
    /// Joins the section with the rest again.
    JoinAgain,
    /// Normal position.
    Normal,
    /// What goes in goes in by weight.
    ByWeight,
    /// Nobody said how much is missing.
    NobodySaid,
    /// To see that it runs as before.
    SeeItRun,
    /// The cap is the last seal.
    LastSeal,
    /// The law and the next technician want to know.
    Account,
    /// Frees the port.
    FreePort,
    /// What is in the hose goes back into the system.
    EmptyHose,
    /// The port is needed no longer.
    HoseDone,
    /// The rest of the plan needs the compressor to stand.
    MustStand,
    /// So that nobody opens or starts it unknowingly.
    LeftOff,
    /// A standing compressor's valves would let the test gas through into the charge.
    HoldTestGas,
    /// The valve parts the receiver from the line, so that the compressor draws liquid from the cylinder.
    FeedFromCylinder,
    /// The line set is dry: the unit's charge may come in.
    LetChargeIn,
    /// Nothing may come back into the line set.
    KeepInUnit,
    /// There is no port to connect to.
    NoPortYet,
    /// The system is sealed and empty.
    NoPortAtAll,
    /// Liquid stands beside the compressor's inlet.
    NoLiquidDrawnIn,
    /// Readings mean nothing before the system is steady.
    Steady,
    /// What the running system shows tells whether it is enough.
    TellsCharge,
    /// Little by little, so that it is not passed.
    NotTooMuch,
    /// The line set is longer than the unit's charge covers.
    LongerLine,
    /// Dry nitrogen takes up water and carries it out with the next vacuum.
    CarryWaterOut,
}

/// What must be proved before going on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hold {
    /// The port side of a service valve is the default of its kind: prove it.
    PortSide(JointId),
    /// The valve holds: the pressure behind it does not move.
    ValveHolds,
    /// Pressure at or below the stop pressure and staying there.
    StaysDown,
    /// The low side has kept its pressure since it was pumped down: no air has come in.
    LowSideKept,
    /// No pressure where the circuit will be opened.
    NoPressure,
    /// The air moves, and nothing that could light it is near.
    AirMoves,
    /// The detector shows nothing where the flame is to be.
    NothingBurns,
    /// The power is off and tried.
    PowerOff,
    /// The cylinder has room, is in date and holds the same refrigerant or nothing.
    CylinderReady,
    /// The standing test has passed.
    Tight,
    /// Nothing was found where hands have been.
    NoLeak,
    /// The test gas is out before a pump is opened to it.
    GasOut,
    /// The decay test has passed.
    Dry,
    /// The port that a hose comes off is shut off.
    DiesAway,
    /// What a hose comes off stands at 0.
    AtZero,
    /// The vacuum has held before refrigerant is let in.
    VacuumHeld,
    /// The hose on the cylinder is purged, and nothing else is open to it.
    OnlyCylinder,
    /// The discharge side is open before the start.
    DischargeOpen,
    /// A single slip here is dangerous.
    Slip,
    /// The measure is within its target, or more is added.
    OnTarget,
    /// Everything is back.
    AllBack,
}

/// What a gauge should show after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expect {
    /// The hose with the gauge.
    pub gauge: SpaceId,
    /// The port that it is on.
    pub port: PortId,
    /// The expected pressure.
    pub pressure: Pressure,
    /// The lower end of what is still as expected (cool surroundings, smaller volumes).
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The part of the job.
    pub phase: Phase,
    /// What is done.
    pub doing: Doing,
    /// The single actions, care steps included, in order.
    pub actions: Vec<Action>,
    /// Why.
    pub reason: Reason,
    /// What the gauges show afterwards.
    pub expect: Vec<Expect>,
    /// The hazards to mind here, by the ids of their rules.
    pub cautions: Vec<&'static str>,
    /// The slips that are dangerous here and that nothing else shows in time.
    pub beware: Vec<Beware>,
    /// What must be proved before going on.
    pub hold: Option<Hold>,
    /// Refrigerant that goes to the atmosphere in this step; over all steps it is what the procedure costs.
    pub lost: Mass,
}

/// What a procedure costs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cost {
    /// Refrigerant that goes into the cylinder, kg.
    pub removed_kg: f64,
    /// Refrigerant lost to the atmosphere (hoses, the last vapour), kg.
    pub lost_kg: f64,
    /// Turns of a stem from one position to another.
    pub stem_moves: usize,
    /// Time by the stated rules, minutes.
    pub minutes: f64,
}

/// How a procedure gets the refrigerant out of the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Way {
    /// Whatever the search found cheapest.
    Cheapest,
    /// The system's own compressor moves it; no recovery.
    PumpDownOnly,
    /// A recovery machine takes it out of the isolated section; the compressor stays off.
    RecoverSection,
    /// The whole charge is recovered.
    RecoverWhole,
}

/// How good a procedure is known to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Optimality {
    /// No cheaper one exists, by the stated cost.
    Proved,
    /// It may be off by at most this much of the stated cost.
    Within(u64),
    /// The best by a stated aim of the ways that were tried. No way can cost less by it than the bound.
    Above {
        /// Its price by the aim.
        price: f64,
        /// The bound.
        at_least: f64,
    },
}

impl Procedure {
    /// By how much it may be dearer than the best possible one, in parts of that one's price; 0 where it is proved best.
    pub fn may_be_off(&self) -> f64 {
        match self.optimality {
            Optimality::Proved => 0.0,
            Optimality::Within(gap) => part(gap as f64, self.searched_cost.saturating_sub(gap) as f64),
            Optimality::Above { price, at_least } => part(price - at_least, at_least),
        }
    }
}

/// A bound of nothing bounds nothing.
fn part(gap: f64, of: f64) -> f64 {
    if gap <= 0.0 {
        0.0
    } else if of > 0.0 {
        gap / of
    } else {
        f64::INFINITY
    }
}

/// Recovery cylinders of one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinders {
    /// How many.
    pub count: u32,
    /// The water capacity of each.
    pub water_capacity: Mass,
    /// What each may hold of the refrigerant.
    pub room: Mass,
}

/// A procedure for a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Procedure {
    /// The job.
    pub job: Job,
    /// The way.
    pub way: Way,
    /// The steps.
    pub steps: Vec<Step>,
    /// What it costs.
    pub cost: Cost,
    /// The stated cost that was minimised: grams removed plus the exchange rate times stem moves of the isolation.
    pub searched_cost: u64,
    /// Whether it is the best by that.
    pub optimality: Optimality,
    /// The state after the last step.
    pub end: State,
    /// The cylinders that the refrigerant taken out fills; none where nothing is taken out.
    pub cylinders: Option<Cylinders>,
    /// Statistics of the search: states expanded.
    pub expanded: u64,
}
