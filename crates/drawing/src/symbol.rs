//! Every symbol that a drawing can hold: what it stands for and how much room it takes.

use stemwise_circuit::{End, JointKind, Metering, Regulator, SpaceKind};

use crate::{Point, Pose, Rect};

/// What is drawn, after ISO 14617 (graphical symbols for diagrams) and EN 1861 (refrigerating systems, flow diagrams), with paths of our own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Symbol {
    /// A compressor.
    Compressor,
    /// An air-cooled condenser.
    Condenser,
    /// An evaporator with its fan.
    Evaporator,
    /// A coil that condenses or evaporates.
    ReversibleCoil,
    /// A liquid receiver.
    Receiver,
    /// A suction accumulator.
    Accumulator,
    /// A filter drier.
    Drier,
    /// An oil separator.
    OilSeparator,
    /// A sight glass.
    SightGlass,
    /// Another vessel.
    Vessel,
    /// A heat exchanger between liquid and suction line.
    HeatExchanger,
    /// A distributor before the circuits of an evaporator.
    Distributor,
    /// A muffler.
    Muffler,
    /// A fan by itself.
    Fan,
    /// A service valve with three connections.
    ServiceValve {
        /// Whether the flow leaves at the body, so that the line lies behind.
        body_ahead: bool,
        /// Which side its port stays with.
        stays_with: End,
        /// Whether it has a port.
        port: bool,
    },
    /// A line-set valve of a split unit.
    LineSetValve {
        /// Whether the flow leaves at the line set, to which the port belongs.
        line_set_ahead: bool,
        /// Whether it has a port.
        port: bool,
    },
    /// A ball valve.
    BallValve,
    /// A hand valve.
    HandValve,
    /// A check valve.
    CheckValve,
    /// A solenoid valve.
    SolenoidValve,
    /// A thermostatic expansion valve with its bulb.
    ThermostaticValve,
    /// An electronic expansion valve.
    ElectronicValve,
    /// A fixed orifice or piston.
    Orifice,
    /// A capillary tube.
    Capillary,
    /// A regulator that keeps the pressure before it up.
    EvaporatorPressureRegulator,
    /// A regulator that keeps the pressure behind it down.
    CrankcasePressureRegulator,
    /// A regulator at the condenser's outlet.
    HeadPressureRegulator,
    /// A relief valve.
    ReliefValve,
    /// A reversing valve.
    ReversingValve,
    /// A port with a spring core.
    AccessPort,
    /// A port without a core.
    PlainPort,
    /// A bolt-on piercing valve.
    PiercingValve,
    /// A core removal tool on a port.
    CoreTool,
    /// A branch in a line for a port, a gauge or another small thing.
    Tee,
    /// Where one line ends and the next begins.
    Union,
    /// The rest of the circuit, which isn't shown.
    Continues,
    /// A pressure gauge.
    Gauge,
    /// A cylinder for refrigerant, on its scale.
    Cylinder,
    /// A recovery machine.
    RecoveryMachine,
    /// A vacuum pump.
    VacuumPump,
    /// A nitrogen cylinder.
    NitrogenCylinder,
    /// The regulator on a nitrogen cylinder.
    NitrogenRegulator,
    /// A cylinder's own valve.
    CylinderValve,
}

impl Symbol {
    /// Every symbol, in the order of a page of pictures: parts, valves, ports, rig.
    pub const fn all() -> &'static [Self] {
        use Symbol::*;
        const SERVICE: Symbol = ServiceValve { body_ahead: true, stays_with: End::Body, port: true };
        const LINE_SET: Symbol = LineSetValve { line_set_ahead: true, port: true };
        &[
            Compressor,
            Condenser,
            Evaporator,
            ReversibleCoil,
            Receiver,
            Accumulator,
            Drier,
            OilSeparator,
            SightGlass,
            Vessel,
            HeatExchanger,
            Distributor,
            Muffler,
            Fan,
            SERVICE,
            LINE_SET,
            BallValve,
            HandValve,
            CheckValve,
            SolenoidValve,
            ThermostaticValve,
            ElectronicValve,
            Orifice,
            Capillary,
            EvaporatorPressureRegulator,
            CrankcasePressureRegulator,
            HeadPressureRegulator,
            ReliefValve,
            ReversingValve,
            AccessPort,
            PlainPort,
            PiercingValve,
            CoreTool,
            Tee,
            Union,
            Continues,
            Gauge,
            Cylinder,
            RecoveryMachine,
            VacuumPump,
            NitrogenCylinder,
            NitrogenRegulator,
            CylinderValve,
        ]
    }

    /// The symbol of a kind as the circuit file writes it ("service-valve", "receiver"); none for a word that is no kind of part or valve.
    pub fn of_kind(kind: &str) -> Option<Self> {
        Some(match kind {
            "compressor" => Self::Compressor,
            "condenser" => Self::Condenser,
            "evaporator" => Self::Evaporator,
            "reversible-coil" => Self::ReversibleCoil,
            "receiver" => Self::Receiver,
            "accumulator" => Self::Accumulator,
            "drier" => Self::Drier,
            "oil-separator" => Self::OilSeparator,
            "sight-glass" => Self::SightGlass,
            "vessel" => Self::Vessel,
            "service-valve" => Self::ServiceValve { body_ahead: true, stays_with: End::Body, port: true },
            "line-set-valve" => Self::LineSetValve { line_set_ahead: true, port: true },
            "ball-valve" => Self::BallValve,
            "hand-valve" => Self::HandValve,
            "check-valve" => Self::CheckValve,
            "solenoid-valve" => Self::SolenoidValve,
            "thermostatic-valve" => Self::ThermostaticValve,
            "electronic-valve" => Self::ElectronicValve,
            "orifice" => Self::Orifice,
            "capillary" => Self::Capillary,
            "evaporator-pressure-regulator" => Self::EvaporatorPressureRegulator,
            "crankcase-pressure-regulator" => Self::CrankcasePressureRegulator,
            "head-pressure-regulator" => Self::HeadPressureRegulator,
            "relief-valve" => Self::ReliefValve,
            "reversing-valve" => Self::ReversingValve,
            _ => return None,
        })
    }

    /// The symbol of a space that is a part; none for one that is drawn as a pipe, and for the atmosphere.
    pub const fn of_space(kind: SpaceKind) -> Option<Self> {
        Some(match kind {
            SpaceKind::CompressorShell | SpaceKind::CompressorHead => Self::Compressor,
            SpaceKind::Condenser => Self::Condenser,
            SpaceKind::Evaporator => Self::Evaporator,
            SpaceKind::ReversibleCoil => Self::ReversibleCoil,
            SpaceKind::Receiver => Self::Receiver,
            SpaceKind::Accumulator => Self::Accumulator,
            SpaceKind::Drier => Self::Drier,
            SpaceKind::OilSeparator => Self::OilSeparator,
            SpaceKind::Vessel => Self::Vessel,
            SpaceKind::Cylinder => Self::Cylinder,
            SpaceKind::NitrogenCylinder => Self::NitrogenCylinder,
            SpaceKind::DischargeLine
            | SpaceKind::LiquidLine
            | SpaceKind::DistributorLine
            | SpaceKind::SuctionLine
            | SpaceKind::ReversibleLine
            | SpaceKind::Stub
            | SpaceKind::Hose
            | SpaceKind::Atmosphere => return None,
        })
    }

    /// The symbol of a joint whose flow enters at its first space, or leaves there; none for a plain pipe.
    pub const fn of_joint(kind: &JointKind, from_a: bool) -> Option<Self> {
        Some(match kind {
            JointKind::Pipe => return None,
            JointKind::ServiceValve { port, port_stays_with, .. } => {
                Self::ServiceValve { body_ahead: from_a, stays_with: *port_stays_with, port: port.is_some() }
            }
            JointKind::LineSetValve { port } => {
                Self::LineSetValve { line_set_ahead: from_a, port: port.is_some() }
            }
            JointKind::HandValve { quarter_turn: true } => Self::BallValve,
            JointKind::HandValve { quarter_turn: false } => Self::HandValve,
            JointKind::PiercingValve => Self::PiercingValve,
            JointKind::Check => Self::CheckValve,
            JointKind::Solenoid { .. } => Self::SolenoidValve,
            JointKind::Metering(Metering::Orifice) => Self::Orifice,
            JointKind::Metering(Metering::Capillary) => Self::Capillary,
            JointKind::Metering(Metering::Thermostatic { .. }) => Self::ThermostaticValve,
            JointKind::Metering(Metering::Electronic) => Self::ElectronicValve,
            JointKind::Regulator { kind: Regulator::EvaporatorPressure, .. } => {
                Self::EvaporatorPressureRegulator
            }
            JointKind::Regulator { kind: Regulator::CrankcasePressure, .. } => {
                Self::CrankcasePressureRegulator
            }
            JointKind::Regulator { kind: Regulator::HeadPressure, .. } => Self::HeadPressureRegulator,
            JointKind::Relief { .. } => Self::ReliefValve,
            JointKind::Compressor(_) => Self::Compressor,
            JointKind::ReversingPath { .. } => Self::ReversingValve,
            JointKind::RecoveryMachine => Self::RecoveryMachine,
            JointKind::VacuumPump => Self::VacuumPump,
            JointKind::NitrogenRegulator => Self::NitrogenRegulator,
            JointKind::CylinderValve => Self::CylinderValve,
        })
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Compressor => "compressor",
            Self::Condenser => "condenser",
            Self::Evaporator => "evaporator",
            Self::ReversibleCoil => "reversible coil",
            Self::Receiver => "receiver",
            Self::Accumulator => "suction accumulator",
            Self::Drier => "filter drier",
            Self::OilSeparator => "oil separator",
            Self::SightGlass => "sight glass",
            Self::Vessel => "vessel",
            Self::HeatExchanger => "heat exchanger",
            Self::Distributor => "distributor",
            Self::Muffler => "muffler",
            Self::Fan => "fan",
            Self::ServiceValve { .. } => "service valve",
            Self::LineSetValve { .. } => "line-set valve",
            Self::BallValve => "ball valve",
            Self::HandValve => "hand valve",
            Self::CheckValve => "check valve",
            Self::SolenoidValve => "solenoid valve",
            Self::ThermostaticValve => "thermostatic expansion valve",
            Self::ElectronicValve => "electronic expansion valve",
            Self::Orifice => "fixed orifice",
            Self::Capillary => "capillary tube",
            Self::EvaporatorPressureRegulator => "evaporator pressure regulator",
            Self::CrankcasePressureRegulator => "crankcase pressure regulator",
            Self::HeadPressureRegulator => "head pressure regulator",
            Self::ReliefValve => "relief valve",
            Self::ReversingValve => "reversing valve",
            Self::AccessPort => "access port with core",
            Self::PlainPort => "port",
            Self::PiercingValve => "bolt-on piercing valve",
            Self::CoreTool => "core removal tool",
            Self::Tee => "tee",
            Self::Union => "joint between lines",
            Self::Continues => "continues",
            Self::Gauge => "gauge",
            Self::Cylinder => "cylinder on its scale",
            Self::RecoveryMachine => "recovery machine",
            Self::VacuumPump => "vacuum pump",
            Self::NitrogenCylinder => "nitrogen cylinder",
            Self::NitrogenRegulator => "nitrogen regulator",
            Self::CylinderValve => "cylinder valve",
        }
    }

    /// How far its connections lie from its middle along the flow: a whole number of grid steps.
    pub const fn reach(self) -> f64 {
        match self {
            Self::Condenser | Self::Evaporator | Self::ReversibleCoil => 48.0,
            Self::Receiver | Self::Vessel | Self::HeatExchanger => 48.0,
            Self::Compressor
            | Self::Drier
            | Self::OilSeparator
            | Self::Accumulator
            | Self::ReversingValve => 36.0,
            Self::Muffler | Self::RecoveryMachine | Self::VacuumPump | Self::Capillary => 36.0,
            Self::Cylinder | Self::NitrogenCylinder => 24.0,
            Self::Tee | Self::Union => 12.0,
            _ => 24.0,
        }
    }

    /// How far from its middle, along the flow, pipes lead to meet what is drawn: up to its [`reach`](Self::reach), less than that where the
    /// symbol is shorter.
    pub const fn edge(self, pose: Pose) -> f64 {
        match self {
            Self::Tee | Self::Union => 0.0,
            Self::PlainPort | Self::AccessPort => 8.0,
            Self::NitrogenCylinder => 10.0,
            Self::Cylinder => 13.0,
            Self::CheckValve
            | Self::SightGlass
            | Self::NitrogenRegulator
            | Self::ReliefValve
            | Self::Continues
            | Self::Distributor => 14.0,
            Self::PiercingValve => 14.0,
            Self::Gauge | Self::CoreTool => 18.0,
            Self::VacuumPump | Self::Fan => 20.0,
            Self::Accumulator | Self::OilSeparator => match pose {
                Pose::Right | Pose::Left => 20.0,
                Pose::Down | Pose::Up => 30.0,
            },
            Self::Compressor | Self::Orifice => 24.0,
            Self::Muffler | Self::ReversingValve => 26.0,
            Self::Drier | Self::RecoveryMachine => 28.0,
            Self::Capillary | Self::HeatExchanger => 36.0,
            Self::Condenser | Self::Evaporator | Self::ReversibleCoil | Self::Receiver | Self::Vessel => 40.0,
            _ => 18.0,
        }
    }

    /// The box of everything drawn, before it is turned, its middle at the origin.
    pub const fn bounds(self) -> Rect {
        let reach = self.reach();
        let (up, down) = match self {
            Self::Condenser | Self::Evaporator | Self::ReversibleCoil => (26.0, 26.0),
            Self::Compressor => (26.0, 26.0),
            Self::Receiver | Self::Vessel | Self::HeatExchanger => (22.0, 22.0),
            Self::Accumulator | Self::OilSeparator => (30.0, 30.0),
            Self::ReversingValve => (36.0, 36.0),
            Self::SolenoidValve
            | Self::ThermostaticValve
            | Self::ElectronicValve
            | Self::EvaporatorPressureRegulator
            | Self::CrankcasePressureRegulator
            | Self::HeadPressureRegulator
            | Self::HandValve
            | Self::BallValve => (34.0, 14.0),
            Self::LineSetValve { .. } => (20.0, 21.0),
            Self::Tee | Self::Union => (6.0, 6.0),
            Self::RecoveryMachine => (32.0, 26.0),
            Self::VacuumPump | Self::Fan => (26.0, 26.0),
            Self::Cylinder | Self::NitrogenCylinder => (34.0, 34.0),
            Self::NitrogenRegulator => (34.0, 14.0),
            _ => (20.0, 20.0),
        };
        Rect { x: -reach, y: -up, width: 2.0 * reach, height: up + down }
    }

    /// Where a small thing on its upper edge is connected.
    pub(crate) const fn top(self) -> f64 {
        match self {
            Self::Condenser | Self::Evaporator | Self::ReversibleCoil | Self::Compressor => -24.0,
            Self::Receiver | Self::Vessel | Self::Drier => -18.0,
            Self::Accumulator | Self::OilSeparator => -30.0,
            Self::SightGlass | Self::ServiceValve { .. } => -14.0,
            Self::Tee | Self::Union => 0.0,
            _ => -12.0,
        }
    }

    /// Where the pipe meets it on one side, before it is turned: straight ahead, or further connections beside that.
    pub(crate) fn connection(self, ahead: bool, beside: usize) -> Point {
        let side = if ahead { 1.0 } else { -1.0 };
        let step = match beside {
            0 => 0.0,
            1 => 12.0,
            2 => -12.0,
            more => 12.0 * (more as f64 - 1.0),
        };
        Point::new(side * self.reach(), step)
    }
}
