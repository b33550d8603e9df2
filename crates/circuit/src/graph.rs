//! Spaces, joints and ports: the graph that a circuit, alone or with a rig on it, consists of.

use stemwise_units::{
    GaugePressure, Length, Power, Pressure, PressureDifference, TemperatureDifference, Time, Volume,
};

use crate::Known;

macro_rules! index {
    ($($(#[$meta:meta])* $name:ident),*) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl $name {
            /// As a position in the list that it indexes.
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

index!(
    /// A space of a [`Graph`], by its position in [`Graph::spaces`].
    SpaceId,
    /// A joint of a [`Graph`], by its position in [`Graph::joints`].
    JointId,
    /// A port of a [`Graph`], by its position in [`Graph::ports`].
    PortId,
    /// A place of a circuit, by its position in [`Circuit::places`](crate::Circuit::places).
    PlaceId
);

/// What a space is. Rules look at this, never at names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SpaceKind {
    /// The suction side of a compressor: shell or crankcase. It holds the oil.
    CompressorShell,
    /// The discharge side of a compressor, between its valves and its outlet.
    CompressorHead,
    /// A coil that gives off heat in normal running.
    Condenser,
    /// A coil that takes up heat in normal running.
    Evaporator,
    /// A coil that does one or the other, as a reversing valve stands.
    ReversibleCoil,
    /// A liquid receiver.
    Receiver,
    /// A suction accumulator.
    Accumulator,
    /// A filter drier.
    Drier,
    /// An oil separator.
    OilSeparator,
    /// Tubing that carries discharge gas.
    DischargeLine,
    /// Tubing that carries condensate or liquid.
    LiquidLine,
    /// Tubing that carries the mixture behind a metering device.
    DistributorLine,
    /// Tubing that carries suction vapour.
    SuctionLine,
    /// Tubing that carries liquid or vapour, as a reversing valve stands.
    ReversibleLine,
    /// The short passage between two devices that sit on each other.
    Stub,
    /// Another vessel of the circuit.
    Vessel,
    /// A hose of the rig.
    Hose,
    /// A cylinder of the rig that holds or takes refrigerant.
    Cylinder,
    /// A nitrogen cylinder.
    NitrogenCylinder,
    /// The atmosphere.
    Atmosphere,
}

/// One volume that holds fluid.
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    /// The id from the file, unique in the graph.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// What it is.
    pub kind: SpaceKind,
    /// The volume that refrigerant can fill (a drier's without its grains, a shell's without motor and oil).
    pub volume: Known<Volume>,
    /// Where it stands; its surroundings' temperature at rest. None: the atmosphere.
    pub place: Option<PlaceId>,
    /// The highest pressure it is built for; none for the atmosphere.
    pub design: Option<Known<Pressure>>,
    /// Height above the lowest point of the circuit; liquid settles where it is lowest.
    pub height: Known<Length>,
    /// For coils: how far the refrigerant's saturation lies from the air when running (condenser above, evaporator below).
    pub approach: Option<Known<TemperatureDifference>>,
    /// The largest part of the volume that liquid may fill, if a rule limits it (receiver, cylinder).
    pub fill_limit: Option<Known<f64>>,
    /// For tubing: the inside diameter, where the tube's size is known.
    pub bore: Option<Length>,
}

/// Which end of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum End {
    /// The line side (a service valve's line; the unit side of a line-set valve): [`Joint::a`].
    Line,
    /// The body side (the part that a service valve is fitted to; the line-set side of a line-set valve): [`Joint::b`].
    Body,
}

/// Where a stem stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// Three-connection valve, stem out: line and body joined, port shut off.
    BackSeated,
    /// Three-connection valve, about an eighth of a turn off the back seat: all joined, the port through a small gap.
    Cracked,
    /// Three-connection valve, between its seats: all joined.
    MidSeated,
    /// Three-connection valve, stem in: line and body parted, the port with the side it stays with.
    FrontSeated,
    /// Any other valve, open.
    Open,
    /// Any other valve, shut.
    Shut,
}

/// What turns a stem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Wrench {
    /// A square service wrench with a ratchet.
    Square,
    /// A hexagon key.
    HexKey,
    /// A fixed hand wheel or lever: no tool.
    Hand,
}

/// The stem of a valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Stem {
    /// Where it belongs in normal running.
    pub normal: Position,
    /// Whether a packing nut has to be eased before and tightened after turning.
    pub packing_nut: bool,
    /// Whether a cap covers it.
    pub cap: bool,
    /// What turns it.
    pub wrench: Wrench,
    /// Turns from the back seat to the front seat (open to shut).
    pub turns: Known<f64>,
}

/// How a metering device works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Metering {
    /// A fixed orifice or piston.
    Orifice,
    /// A capillary tube.
    Capillary,
    /// A thermostatic expansion valve.
    Thermostatic {
        /// Whether a bleed lets pressures equalise when it is shut.
        bleed: bool,
    },
    /// An electronic expansion valve.
    Electronic,
}

/// What a pressure regulator holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Regulator {
    /// Keeps the pressure before it from falling below the setting.
    EvaporatorPressure,
    /// Keeps the pressure behind it from rising above the setting.
    CrankcasePressure,
    /// Keeps the pressure before it from falling below the setting (condenser outlet).
    HeadPressure,
}

/// How a reversing valve stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// The indoor coil cools.
    Cooling,
    /// The indoor coil heats.
    Heating,
}

/// A compressor's controls and habits.
#[derive(Clone, Debug, PartialEq)]
pub struct Compressor {
    /// Whether it runs in normal operation.
    pub normally_running: bool,
    /// The low-pressure cut-out, if there is one.
    pub low_cut_out: Option<GaugePressure>,
    /// The high-pressure cut-out, if there is one.
    pub high_cut_out: Option<GaugePressure>,
    /// Whether its valves leak back slowly while it stands.
    pub leaks_back: bool,
    /// Whether the motor is in the refrigerant (hermetic, semi-hermetic).
    pub motor_in_refrigerant: bool,
    /// What its crankcase heater takes; it is on while the compressor stands. None: there is no heater.
    pub crankcase_heater: Option<Power>,
    /// After it has stopped it doesn't start again for so long.
    pub restart_delay: Option<Time>,
}

/// What joins two spaces, or refuses to.
#[derive(Clone, Debug, PartialEq)]
pub enum JointKind {
    /// Always joined.
    Pipe,
    /// A three-connection service valve; `a` is the line, `b` the body.
    ServiceValve {
        /// Its port, if it has one.
        port: Option<PortId>,
        /// Which side the port stays with when the valve is front-seated.
        port_stays_with: End,
        /// Whether the file says so, or it is the default of this kind of valve and has to be proved first.
        port_side_entered: bool,
    },
    /// A split unit's line-set valve; `a` is the unit side, `b` the line-set side, to which its port always belongs.
    LineSetValve {
        /// Its port.
        port: Option<PortId>,
    },
    /// A ball or hand valve.
    HandValve {
        /// Whether a quarter turn shuts it (ball valve).
        quarter_turn: bool,
    },
    /// The needle of a bolt-on piercing valve; `a` is the pierced tube, `b` the passage below its port.
    PiercingValve,
    /// Lets flow pass from `a` to `b` only.
    Check,
    /// A solenoid valve in the flow from `a` to `b`; shut, it holds back `a` only.
    Solenoid {
        /// Whether the coil opens it (normally closed) or shuts it (normally open).
        energised_opens: bool,
        /// The pressure difference that it needs to open.
        minimum_opening: PressureDifference,
        /// Whether it can be opened by hand.
        manual_opener: bool,
        /// Whether the coil is energised in normal running.
        normally_energised: bool,
    },
    /// A metering device, from `a` (liquid) to `b`.
    Metering(Metering),
    /// A pressure regulator, from `a` to `b`.
    Regulator {
        /// What it holds.
        kind: Regulator,
        /// At which pressure.
        setting: GaugePressure,
        /// Whether it can be held wide open by hand.
        manual_opener: bool,
    },
    /// A relief valve from `a` to `b` (usually the atmosphere).
    Relief {
        /// Where it lifts.
        setting: GaugePressure,
    },
    /// A compressor from `a` (shell) to `b` (head).
    Compressor(Compressor),
    /// One way through a reversing valve.
    ReversingPath {
        /// In which of its two positions this way is open.
        open_in: Mode,
    },
    /// A recovery machine, from `a` to `b` while it runs.
    RecoveryMachine,
    /// A vacuum pump, from `a` to the atmosphere while it runs.
    VacuumPump,
    /// A regulator on a nitrogen cylinder, from `a` to `b`.
    NitrogenRegulator,
    /// A cylinder's own valve.
    CylinderValve,
}

/// What joins two spaces.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// The id from the file, unique in the graph.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// What it is.
    pub kind: JointKind,
    /// One side: line, unit side, inlet.
    pub a: SpaceId,
    /// The other side: body, line-set side, outlet.
    pub b: SpaceId,
    /// Its stem, if a wrench or hand can set it.
    pub stem: Option<Stem>,
}

/// How an access port came to be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fitted {
    /// Made with the system.
    Factory,
    /// Brazed on later.
    Brazed,
    /// A bolt-on piercing valve: temporary, a leak risk until it is gone.
    Piercing,
}

/// What a port belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PortOn {
    /// The port of a three-connection service valve: what it is joined to follows the stem.
    ServiceValve(JointId),
    /// An access port on a space.
    Space(SpaceId),
}

/// A place where a hose can go on.
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    /// The id from the file, unique in the graph.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// What it belongs to.
    pub on: PortOn,
    /// Whether a spring core shuts it while nothing presses it.
    pub core: bool,
    /// How it was fitted.
    pub fitted: Fitted,
    /// Whether a cap covers it.
    pub cap: bool,
    /// The connection, as printed ("1/4 in flare").
    pub size: String,
}

/// Spaces, the joints between them, and the ports.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Graph {
    /// The spaces.
    pub spaces: Vec<Space>,
    /// The joints.
    pub joints: Vec<Joint>,
    /// The ports.
    pub ports: Vec<Port>,
}

impl Graph {
    /// The space, if the id is of this graph.
    pub fn space(&self, id: SpaceId) -> Option<&Space> {
        self.spaces.get(id.index())
    }
    /// The joint, if the id is of this graph.
    pub fn joint(&self, id: JointId) -> Option<&Joint> {
        self.joints.get(id.index())
    }
    /// The port, if the id is of this graph.
    pub fn port(&self, id: PortId) -> Option<&Port> {
        self.ports.get(id.index())
    }
    /// Every space with its id.
    pub fn spaces_with_ids(&self) -> impl Iterator<Item = (SpaceId, &Space)> {
        (0u32..).map(SpaceId).zip(&self.spaces)
    }
    /// Every joint with its id.
    pub fn joints_with_ids(&self) -> impl Iterator<Item = (JointId, &Joint)> {
        (0u32..).map(JointId).zip(&self.joints)
    }
    /// Every port with its id.
    pub fn ports_with_ids(&self) -> impl Iterator<Item = (PortId, &Port)> {
        (0u32..).map(PortId).zip(&self.ports)
    }
    /// The space of that name.
    pub fn find_space(&self, id: &str) -> Option<SpaceId> {
        self.spaces_with_ids().find(|(_, space)| space.id == id).map(|(at, _)| at)
    }
    /// The joint of that name.
    pub fn find_joint(&self, id: &str) -> Option<JointId> {
        self.joints_with_ids().find(|(_, joint)| joint.id == id).map(|(at, _)| at)
    }
    /// The needle that parts a port from its tube, where the port is that of a bolt-on piercing valve.
    ///
    /// ```
    /// # let text = stemwise_circuit::examples().iter().find(|example| example.name == "heat-pump").map_or("", |example| example.text);
    /// # let graph = stemwise_circuit::read(text.as_bytes()).circuit.map(|circuit| circuit.graph).unwrap_or_default();
    /// let needles = graph.ports_with_ids().filter(|(port, _)| graph.needle(*port).is_some()).count();
    /// assert_eq!(needles, 1);
    /// assert_eq!(graph.needle(stemwise_circuit::PortId(999)), None);
    /// ```
    pub fn needle(&self, port: PortId) -> Option<JointId> {
        let PortOn::Space(passage) = self.port(port)?.on else { return None };
        let is = |joint: &Joint| matches!(joint.kind, JointKind::PiercingValve) && joint.b == passage;
        self.joints_with_ids().find(|(_, joint)| is(joint)).map(|(id, _)| id)
    }
    /// The port of that name.
    pub fn find_port(&self, id: &str) -> Option<PortId> {
        self.ports_with_ids().find(|(_, port)| port.id == id).map(|(at, _)| at)
    }
}

impl Joint {
    /// The positions that its stem can take, from back seat to front seat or from open to shut; none without a stem.
    pub fn positions(&self) -> &'static [Position] {
        use Position::{BackSeated, Cracked, FrontSeated, MidSeated, Open, Shut};
        match (&self.stem, &self.kind) {
            (None, _) => &[],
            (Some(_), JointKind::ServiceValve { .. }) => &[BackSeated, Cracked, MidSeated, FrontSeated],
            (Some(_), _) => &[Open, Shut],
        }
    }
    /// The space at that end.
    pub const fn end(&self, end: End) -> SpaceId {
        match end {
            End::Line => self.a,
            End::Body => self.b,
        }
    }
    /// Whether a space is at one of its ends.
    pub fn touches(&self, space: SpaceId) -> bool {
        self.a == space || self.b == space
    }
    /// The space at the end that is not this one.
    pub fn other(&self, space: SpaceId) -> SpaceId {
        if self.a == space { self.b } else { self.a }
    }
}
