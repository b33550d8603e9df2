//! What there is: spaces, joints, ports, machinery, the goal and its price.

use super::settle::Scratch;
use super::state::{Layout, State};

/// What a space holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum Content {
    /// Evacuated.
    Nothing = 0,
    /// Refrigerant vapour at atmospheric pressure.
    Residual = 1,
    /// Refrigerant under pressure.
    Pressure = 2,
    /// Air.
    Air = 3,
}

impl Content {
    pub(crate) const fn from_bits(bits: u32) -> Self {
        match bits & 3 {
            0 => Self::Nothing,
            1 => Self::Residual,
            2 => Self::Pressure,
            _ => Self::Air,
        }
    }
    /// How a one-way joint compares two classes: it lets flow pass from a higher level to a lower one.
    pub(crate) const fn level(self) -> u8 {
        match self {
            Self::Nothing => 0,
            Self::Residual | Self::Air => 1,
            Self::Pressure => 2,
        }
    }
}

/// A space. Masses in grams.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpaceSpec {
    /// What it holds at the start.
    pub content: Content,
    /// Its liquid at the start.
    pub liquid: u64,
    /// How much liquid settles in it before the next space fills.
    pub room: u64,
    /// The vapour in it while it is under pressure.
    pub vapour: u64,
    /// The vapour in it at atmospheric pressure.
    pub residual: u64,
    /// The most that it may hold, in hundredths of a gram; summed over a class.
    pub limit: u64,
    /// Where liquid settles: low rank first.
    pub rank: i64,
    /// Whether a compressor may discharge into a class that holds it (condenser, receiver).
    pub sink: bool,
    /// Whether it has a relief device.
    pub relief: bool,
}

/// Where a stem stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Position {
    /// Two-position: open. Three-position: back-seated.
    OpenOrBack = 0,
    /// Three-position: mid-seated.
    Mid = 1,
    /// Two-position: shut. Three-position: front-seated.
    ShutOrFront = 2,
}

impl Position {
    pub(crate) const fn from_bits(bits: u32) -> Self {
        match bits & 3 {
            0 => Self::OpenOrBack,
            1 => Self::Mid,
            _ => Self::ShutOrFront,
        }
    }
    /// Whether line and body are joined.
    pub const fn joins(self) -> bool {
        !matches!(self, Self::ShutOrFront)
    }
}

/// What joins two spaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joint {
    /// Always joined.
    Pipe {
        /// One space.
        a: u32,
        /// The other.
        b: u32,
    },
    /// A valve with a stem.
    Valve {
        /// Line side.
        a: u32,
        /// Body side.
        b: u32,
        /// Whether it is a three-position service valve.
        three: bool,
        /// For a three-position valve: the space that its port stays with when it is front-seated.
        port_stays_with: u32,
        /// Where it stands at the start.
        position: Position,
        /// Where it belongs.
        normal: Position,
        /// Moves that one turn to a neighbouring position costs.
        cost: u64,
        /// Whether it may be turned.
        movable: bool,
    },
    /// Lets flow pass one way.
    Check {
        /// From.
        from: u32,
        /// To.
        to: u32,
    },
    /// A compressor: one way, and pumping while it runs.
    Compressor {
        /// Suction.
        from: u32,
        /// Discharge.
        to: u32,
        /// Whether it runs at the start.
        running: bool,
        /// Whether it runs in normal operation.
        normal: bool,
        /// Whether it may be started.
        startable: bool,
        /// Whether it leaks back while it stands: then what it discharges into may not be under pressure while its suction side is opened.
        leaks: bool,
    },
}

/// What a port is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PortOn {
    /// A three-position valve, by its joint's number.
    Valve(u32),
    /// A space, through a core.
    Core(u32),
}

/// How machines get on ports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rigging {
    /// Each machine is put on a port by itself.
    Separate,
    /// Two hoses of a manifold go on ports; either machine works through either hose.
    Manifold,
}

/// The machines at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Machinery {
    /// Whether there is a recovery machine.
    pub recovery: bool,
    /// Whether there is a vacuum pump.
    pub vacuum: bool,
    /// What the recovery cylinder still takes, grams.
    pub cylinder_room: u64,
    /// How they get on ports.
    pub rigging: Rigging,
}

/// Moves that actions other than turns cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cost {
    /// Starting a compressor.
    pub start: u64,
    /// Stopping one.
    pub stop: u64,
    /// Attaching.
    pub attach: u64,
    /// Detaching.
    pub detach: u64,
    /// Recovering.
    pub recover: u64,
    /// Evacuating.
    pub evacuate: u64,
    /// The work.
    pub work: u64,
}

/// What is to be achieved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// Opened, worked on, evacuated, and everything back to normal.
    Job,
    /// Compressors stopped and the component not under pressure; nothing needs to be put back.
    Ready,
}

/// Grams and moves in one number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weights {
    /// Of a gram that leaves the circuit.
    pub gram: u64,
    /// Of a move.
    pub step: u64,
}

impl Weights {
    /// Grams, and twenty a move.
    pub const BALANCED: Self = Self { gram: 1, step: 20 };
    /// Fewest moves, then fewest grams.
    pub const MOVES: Self = Self { gram: 1, step: 1_000_000 };
    /// Fewest grams, then fewest moves.
    pub const GRAMS: Self = Self { gram: 1000, step: 1 };

    pub(crate) const fn price(self, moves: u64, grams: u64) -> u64 {
        self.gram.saturating_mul(grams).saturating_add(self.step.saturating_mul(moves))
    }
}

/// Why a plant makes no sense.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlantError {
    /// A joint, port or component names a space or valve that is not there.
    NotThere {
        /// What names it.
        what: &'static str,
        /// Its number.
        index: usize,
    },
    /// A three-position valve's port stays with neither of its sides, or a two-position valve stands mid.
    BadValve {
        /// The joint's number.
        index: usize,
    },
    /// The start is not safe.
    UnsafeStart,
    /// There is nothing to work on.
    NoComponent,
}

/// Everything that a plan is made for. Cells are spaces that pipes join for good.
#[derive(Clone, Debug, PartialEq)]
pub struct Plant {
    pub(crate) spaces: Vec<SpaceSpec>,
    pub(crate) joints: Vec<Joint>,
    pub(crate) ports: Vec<PortOn>,
    pub(crate) machinery: Machinery,
    pub(crate) cost: Cost,
    pub(crate) goal: Goal,
    pub(crate) cell_of: Vec<u32>,
    pub(crate) cells: Vec<Cell>,
    /// Spaces with room, in the order in which liquid fills them: (cell, room).
    pub(crate) filling: Vec<(u32, u64)>,
    /// Numbers of the joints that are valves, check valves and compressors, compressors.
    pub(crate) valves: Vec<ValveAt>,
    /// For each joint that is a valve or a compressor, its place among these.
    pub(crate) places: Vec<u32>,
    pub(crate) ways: Vec<WayAt>,
    pub(crate) compressors: Vec<CompressorAt>,
    pub(crate) port_cells: Vec<PortAt>,
    /// The ports that a plan may use, by number.
    pub(crate) useful: Vec<u32>,
    pub(crate) component: Vec<u32>,
    pub(crate) relief: Vec<bool>,
    pub(crate) layout: Layout,
}

/// A cell: the sums over its spaces.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Cell {
    pub(crate) vapour: u64,
    pub(crate) residual: u64,
    pub(crate) limit: u64,
    pub(crate) sink: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ValveAt {
    pub(crate) joint: u32,
    pub(crate) a: u32,
    pub(crate) b: u32,
    pub(crate) three: bool,
    pub(crate) stays: u32,
    pub(crate) position: Position,
    pub(crate) normal: Position,
    pub(crate) cost: u64,
    pub(crate) movable: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct WayAt {
    pub(crate) from: u32,
    pub(crate) to: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct CompressorAt {
    pub(crate) joint: u32,
    pub(crate) from: u32,
    pub(crate) to: u32,
    pub(crate) running: bool,
    pub(crate) normal: bool,
    pub(crate) startable: bool,
    pub(crate) leaks: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PortAt {
    Valve {
        valve: u32,
        a: u32,
        stays: u32,
    },
    Core {
        cell: u32,
    },
    /// On a valve that is not turned.
    Still,
}

impl Plant {
    /// Checks and prepares a plant. `component` lists the spaces that the job is about.
    ///
    /// # Errors
    /// [`PlantError`] where the parts don't fit together.
    pub fn new(
        spaces: Vec<SpaceSpec>,
        joints: Vec<Joint>,
        ports: Vec<PortOn>,
        machinery: Machinery,
        cost: Cost,
        goal: Goal,
        component: &[u32],
    ) -> Result<Self, PlantError> {
        check(&spaces, &joints, &ports, component)?;
        let cell_of = cells_of(spaces.len(), &joints);
        let count = cell_of.iter().max().map_or(0, |last| *last as usize + 1);
        let mut cells = vec![Cell::default(); count];
        let mut relief = vec![false; count];
        for (space, &cell) in spaces.iter().zip(&cell_of) {
            if let (Some(sum), Some(relieved)) = (cells.get_mut(cell as usize), relief.get_mut(cell as usize))
            {
                sum.vapour += space.vapour;
                sum.residual += space.residual;
                sum.limit += space.limit;
                sum.sink |= space.sink;
                *relieved |= space.relief;
            }
        }
        let mut order: Vec<(i64, usize)> =
            spaces.iter().enumerate().map(|(at, space)| (space.rank, at)).collect();
        order.sort_unstable();
        let filling =
            order.iter().filter_map(|&(_, at)| Some((*cell_of.get(at)?, spaces.get(at)?.room))).collect();
        let mut component: Vec<u32> =
            component.iter().filter_map(|&at| cell_of.get(at as usize).copied()).collect();
        component.sort_unstable();
        component.dedup();
        let mut plant = Self {
            spaces,
            joints,
            ports,
            machinery,
            cost,
            goal,
            cell_of,
            cells,
            filling,
            valves: Vec::new(),
            places: Vec::new(),
            ways: Vec::new(),
            compressors: Vec::new(),
            port_cells: Vec::new(),
            useful: Vec::new(),
            component,
            relief,
            layout: Layout::default(),
        };
        plant.index_joints();
        plant.index_ports();
        plant.layout = Layout::new(plant.valves.len(), plant.cells.len(), plant.compressors.len());
        Ok(plant)
    }

    pub(crate) fn cell(&self, space: u32) -> u32 {
        self.cell_of.get(space as usize).copied().unwrap_or(0)
    }

    fn index_joints(&mut self) {
        for (at, joint) in (0u32..).zip(self.joints.clone()) {
            let place = match joint {
                Joint::Compressor { .. } => self.compressors.len(),
                _ => self.valves.len(),
            };
            self.places.push(u32::try_from(place).unwrap_or(u32::MAX));
            match joint {
                Joint::Pipe { .. } => {}
                Joint::Valve { a, b, three, port_stays_with, position, normal, cost, movable } => {
                    let (a, b, stays) = (self.cell(a), self.cell(b), self.cell(port_stays_with));
                    self.valves.push(ValveAt {
                        joint: at,
                        a,
                        b,
                        three,
                        stays,
                        position,
                        normal,
                        cost,
                        movable,
                    });
                }
                Joint::Check { from, to } => {
                    let (from, to) = (self.cell(from), self.cell(to));
                    self.ways.push(WayAt { from, to });
                }
                Joint::Compressor { from, to, running, normal, startable, leaks } => {
                    let (from, to) = (self.cell(from), self.cell(to));
                    self.ways.push(WayAt { from, to });
                    self.compressors.push(CompressorAt {
                        joint: at,
                        from,
                        to,
                        running,
                        normal,
                        startable,
                        leaks,
                    });
                }
            }
        }
    }

    fn index_ports(&mut self) {
        let valves = &self.valves;
        let at = |joint: u32| (0u32..).zip(valves).find(|(_, valve)| valve.joint == joint);
        self.port_cells = self
            .ports
            .iter()
            .filter_map(|port| match *port {
                PortOn::Valve(joint) => {
                    at(joint).map(|(valve, found)| PortAt::Valve { valve, a: found.a, stays: found.stays })
                }
                PortOn::Core(space) => Some(PortAt::Core { cell: self.cell(space) }),
            })
            .collect();
        self.useful = (0u32..).take(self.port_cells.len()).collect();
    }

    /// The state at the start, settled.
    ///
    /// # Errors
    /// [`PlantError::UnsafeStart`] where it already is a hazard.
    pub fn start(&self) -> Result<State, PlantError> {
        let mut state = State::new(self);
        match self.settle(&mut state, &mut Scratch::default()) {
            hazards if hazards.none() => Ok(state),
            _ => Err(PlantError::UnsafeStart),
        }
    }

    /// Whether a state meets the goal.
    pub fn is_goal(&self, state: &State) -> bool {
        let running = |at| state.runs(self, at);
        match self.goal {
            Goal::Ready => {
                (0..self.compressors.len()).all(|at| !running(at))
                    && self.component.iter().all(|&cell| state.content(self, cell) != Content::Pressure)
            }
            Goal::Job => {
                state.work_done()
                    && !state.any_attached()
                    && self.valves.iter().enumerate().all(|(at, valve)| state.position(at) == valve.normal)
                    && self.compressors.iter().enumerate().all(|(at, found)| running(at) == found.normal)
                    && (0u32..).zip(&self.cells).all(|(cell, _)| state.content(self, cell) != Content::Air)
            }
        }
    }
}

fn check(
    spaces: &[SpaceSpec],
    joints: &[Joint],
    ports: &[PortOn],
    component: &[u32],
) -> Result<(), PlantError> {
    let there = |space: u32| (space as usize) < spaces.len();
    for (index, joint) in joints.iter().enumerate() {
        let (a, b) = match *joint {
            Joint::Pipe { a, b } | Joint::Valve { a, b, .. } => (a, b),
            Joint::Check { from, to } | Joint::Compressor { from, to, .. } => (from, to),
        };
        if !there(a) || !there(b) {
            return Err(PlantError::NotThere { what: "joint", index });
        }
        if let Joint::Valve { three, port_stays_with, position, normal, .. } = *joint {
            let two_in_the_middle = !three && (position == Position::Mid || normal == Position::Mid);
            if two_in_the_middle || (port_stays_with != a && port_stays_with != b) {
                return Err(PlantError::BadValve { index });
            }
        }
    }
    for (index, port) in ports.iter().enumerate() {
        let fits = match *port {
            PortOn::Core(space) => there(space),
            PortOn::Valve(joint) => {
                matches!(joints.get(joint as usize), Some(Joint::Valve { three: true, .. }))
            }
        };
        if !fits {
            return Err(PlantError::NotThere { what: "port", index });
        }
    }
    if component.is_empty() {
        return Err(PlantError::NoComponent);
    }
    match component.iter().position(|&space| !there(space)) {
        Some(index) => Err(PlantError::NotThere { what: "component", index }),
        None => Ok(()),
    }
}

/// Cells are numbered in the order of their first space, so that the smallest cell of a class is that of its first space.
fn cells_of(spaces: usize, joints: &[Joint]) -> Vec<u32> {
    let mut up: Vec<u32> = (0u32..).take(spaces).collect();
    for joint in joints {
        if let Joint::Pipe { a, b } = *joint {
            let (a, b) = (root(&mut up, a), root(&mut up, b));
            if let Some(slot) = up.get_mut(a.max(b) as usize) {
                *slot = a.min(b);
            }
        }
    }
    let mut number = vec![u32::MAX; spaces];
    let mut next = 0;
    let mut cells = Vec::with_capacity(spaces);
    for space in (0u32..).take(spaces) {
        let Some(slot) = number.get_mut(root(&mut up, space) as usize) else { continue };
        if *slot == u32::MAX {
            *slot = next;
            next += 1;
        }
        cells.push(*slot);
    }
    cells
}

/// The root of what something hangs on, halving the way there.
pub(crate) fn root(up: &mut [u32], of: u32) -> u32 {
    let mut at = of;
    while let Some(&above) = up.get(at as usize) {
        let next = up.get(above as usize).copied().unwrap_or(above);
        if above == next {
            return above;
        }
        if let Some(slot) = up.get_mut(at as usize) {
            *slot = next;
        }
        at = next;
    }
    at
}
