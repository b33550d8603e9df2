//! Racks of any size, invented: one compressor or more, receiver, drier between ball valves, and branches of ball valve, solenoid,
//! evaporator and ball valve. Semantics and quantities of PS-1.
#![allow(dead_code, reason = "each program takes what it needs")]

use stemwise_search::stems::{
    Content, Cost, Goal, Joint, Machinery, Plant, PlantError, PortOn, Position, Rigging, SpaceSpec,
};

/// What is to be opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Drier,
    FirstEvaporator,
    LiquidHeader,
    SuctionLine,
    Compressor,
    Condenser,
    Receiver,
}

/// A rack with so many branches and compressors; with cores on the evaporators or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rack {
    pub(crate) branches: u32,
    pub(crate) compressors: u32,
    pub(crate) cores: bool,
    pub(crate) part: Part,
}

/// Grams a litre: liquid, saturated vapour, vapour at atmospheric pressure; and the fill limit in per cent.
const LIQUID: u64 = 1200;
const VAPOUR: u64 = 30;
const RESIDUAL: u64 = 4;
const FILL: u64 = 85;

#[derive(Default)]
struct Builder {
    spaces: Vec<SpaceSpec>,
    joints: Vec<Joint>,
    ports: Vec<PortOn>,
}

impl Builder {
    fn space(&mut self, litres: u64, rank: i64, filled: u64, sink: bool) -> u32 {
        self.spaces.push(SpaceSpec {
            content: Content::Pressure,
            liquid: (LIQUID - VAPOUR) * litres * filled / 100,
            room: (LIQUID - VAPOUR) * litres,
            vapour: VAPOUR * litres,
            residual: RESIDUAL * litres,
            limit: FILL * LIQUID * litres,
            rank,
            sink,
            relief: false,
        });
        u32::try_from(self.spaces.len()).unwrap_or(0) - 1
    }

    fn valve(&mut self, a: u32, b: u32, three: bool) {
        let (position, normal) = (Position::OpenOrBack, Position::OpenOrBack);
        if three {
            self.ports.push(PortOn::Valve(u32::try_from(self.joints.len()).unwrap_or(0)));
        }
        self.joints.push(Joint::Valve {
            a,
            b,
            three,
            port_stays_with: b,
            position,
            normal,
            cost: 1,
            movable: true,
        });
    }
}

impl Rack {
    /// The valves with a stem.
    pub(crate) const fn valves(&self) -> u32 {
        2 * self.compressors + 5 + 3 * self.branches
    }

    /// The plant.
    pub(crate) fn plant(&self) -> Result<Plant, PlantError> {
        let mut build = Builder::default();
        let [suction, discharge] = [build.space(3, 4, 0, false), build.space(2, 5, 0, false)];
        let first = self.compressor(&mut build, suction, discharge);
        for _ in 1..self.compressors {
            self.compressor(&mut build, suction, discharge);
        }
        let condenser = build.space(5, 3, 0, true);
        let liquid_line = build.space(2, 0, 100, false);
        let receiver = build.space(6 + 3 * u64::from(self.branches), 1, 30, true);
        let [drier, header] = [build.space(1, 0, 100, false), build.space(1, 0, 100, false)];
        build.valve(discharge, condenser, false);
        build.valve(condenser, receiver, true);
        build.valve(liquid_line, receiver, true);
        build.valve(liquid_line, drier, false);
        build.valve(drier, header, false);
        build.ports.push(PortOn::Core(drier));
        let evaporators: Vec<u32> =
            (0..self.branches).map(|_| self.branch(&mut build, header, suction)).collect();
        let component = match self.part {
            Part::Drier => vec![drier],
            Part::FirstEvaporator => evaporators.into_iter().take(1).collect(),
            Part::LiquidHeader => vec![header],
            Part::SuctionLine => vec![suction],
            Part::Compressor => vec![first, first + 1],
            Part::Condenser => vec![condenser],
            Part::Receiver => vec![receiver],
        };
        let machinery =
            Machinery { recovery: true, vacuum: true, cylinder_room: 1_000_000, rigging: Rigging::Separate };
        let one = Cost { start: 1, stop: 1, attach: 1, detach: 1, recover: 1, evacuate: 1, work: 1 };
        Plant::new(build.spaces, build.joints, build.ports, machinery, one, Goal::Job, &component)
    }

    /// Shell and head with their service valves; returns the shell, which the head follows.
    fn compressor(&self, build: &mut Builder, suction: u32, discharge: u32) -> u32 {
        let [shell, head] = [build.space(3, 6, 0, false), build.space(1, 7, 0, false)];
        build.valve(suction, shell, true);
        build.valve(discharge, head, true);
        build.joints.push(Joint::Compressor {
            from: shell,
            to: head,
            running: true,
            normal: true,
            startable: true,
            leaks: false,
        });
        shell
    }

    fn branch(&self, build: &mut Builder, header: u32, suction: u32) -> u32 {
        let [feed, evaporator] = [build.space(1, 0, 100, false), build.space(4, 2, 0, false)];
        build.valve(header, feed, false);
        build.valve(feed, evaporator, false);
        build.valve(evaporator, suction, false);
        if self.cores {
            build.ports.push(PortOn::Core(evaporator));
        }
        evaporator
    }
}
