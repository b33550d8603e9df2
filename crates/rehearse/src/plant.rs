//! From a circuit with its rig to a network of cells and links: one cell a space, one link a joint, hose, opening or leak.

use std::f64::consts::{FRAC_PI_4, PI};

use stemwise_circuit::{
    Assembly, JointId, JointKind, Lineup, Metering, Passage as Joined, PortOn, Position, Regulator, Space,
    SpaceId, SpaceKind, Why, passage, port_reach,
};
use stemwise_service::State;

use crate::design::{Assumed, Design, MOTOR, SUBCOOLING, SUPERHEAT, share};
use crate::engine::block::{Pattern, System};
use crate::engine::medium::Medium;
use crate::engine::network::{Cell, Coil, Cooled, Draw, Gate, Law, Link, LinkEnd, Machine, Passage};
use crate::equipment::compressor::Displacement;
use crate::equipment::recovery::RecoveryMachine;
use crate::equipment::vacuum::{Rarefied, VacuumPump};
use crate::sump::Sump;

/// Tubing, vessel or coil as the links see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shape {
    /// Inside diameter of its tube or connections, m.
    pub(crate) bore: f64,
    /// Length of tube, m; 0 for vessels.
    pub(crate) length: f64,
    pub(crate) height: f64,
}

/// What the rules say about a circuit's cells, once for all.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plant {
    pub(crate) design: Design,
    pub(crate) shapes: Vec<Shape>,
    pub(crate) assumed: Vec<Assumed>,
    /// For each metering device the evaporator that it feeds.
    pub(crate) feeds: Vec<(JointId, SpaceId)>,
    /// For each coil its share of the design's duty.
    pub(crate) shares: Vec<f64>,
    /// The cell of new refrigerant on the scale: one beyond the graph's spaces.
    pub(crate) supply: usize,
    /// The place of each cell.
    pub(crate) places: Vec<usize>,
    /// For each solenoid the evaporator behind it.
    pub(crate) behind: Vec<(JointId, SpaceId)>,
    /// Whether thermostats work on solenoids (and the compressors pump down) or on the compressors.
    pub(crate) has_solenoid: bool,
    /// Oil in the crankcases.
    pub(crate) sumps: Vec<Sump>,
    /// What leaves the recovery machine.
    cooled: Cooled,
}

/// Outer heat transfer of bare tubes and vessels (still air and radiation), and of insulated suction lines, W/(m² K) (common practice).
const BARE: f64 = 9.0;
const INSULATED: f64 = 2.5;
/// Fluid to tube, W/(m² K): a middle value between boiling and gas (common practice).
const INSIDE: f64 = 250.0;
/// Heat of copper and steel by volume, J/(m³ K).
const METAL: f64 = 3.5e6;

fn tube_like(kind: SpaceKind) -> bool {
    use SpaceKind::{DischargeLine, DistributorLine, Hose, LiquidLine, ReversibleLine, Stub, SuctionLine};
    matches!(kind, DischargeLine | LiquidLine | DistributorLine | SuctionLine | ReversibleLine | Stub | Hose)
}

fn is_coil(kind: SpaceKind) -> bool {
    matches!(kind, SpaceKind::Condenser | SpaceKind::Evaporator | SpaceKind::ReversibleCoil)
}

impl Plant {
    pub(crate) fn new(assembly: &Assembly, medium: &Medium) -> Self {
        let mut assumed = Vec::new();
        let design = Design::new(assembly, medium, &mut assumed);
        let shapes = assembly.graph.spaces.iter().map(|space| shape(space, &design, &mut assumed)).collect();
        let sumps = Sump::all(assembly, &mut assumed);
        let mut plant = Self {
            sumps,
            supply: assembly.graph.spaces.len(),
            cooled: cooled(assembly, medium),
            places: assembly
                .graph
                .spaces
                .iter()
                .map(|space| space.place.map_or(0, |place| place.index()))
                .collect(),
            has_solenoid: assembly
                .graph
                .joints
                .iter()
                .any(|joint| matches!(joint.kind, JointKind::Solenoid { .. })),
            behind: behind(assembly, |kind| matches!(kind, JointKind::Solenoid { .. }), true),
            design,
            shapes,
            assumed,
            feeds: behind(assembly, |kind| matches!(kind, JointKind::Metering(_)), false),
            shares: shares(assembly),
        };
        plant.assume(assembly);
        if medium.is_blend() {
            let phases = medium.phases(plant.design.p_low);
            plant.assumed.push(Assumed {
                what: medium.substance().name(),
                property: "one composition everywhere, with the glide at the evaporating pressure,",
                value: phases.t_v - phases.t_l,
                unit: "K",
                rule: "no component leaves before another; what a leak, or charging as vapour, does to a blend is worked out as its shift",
            });
        }
        plant
    }

    /// The same plant with another refrigerant in it than it is made for.
    pub(crate) fn with_inside(&self, assembly: &Assembly, medium: &Medium) -> Self {
        Self { design: self.design.with_inside(medium), cooled: cooled(assembly, medium), ..self.clone() }
    }

    /// What was sized.
    fn assume(&mut self, assembly: &Assembly) {
        let design = self.design.clone();
        for (id, joint) in assembly.circuit.graph.joints_with_ids() {
            let part = share(assembly, id);
            let mut note = |property, value, unit, rule| {
                self.assumed.push(Assumed { what: joint.id.clone(), property, value, unit, rule });
            };
            match &joint.kind {
                JointKind::Compressor(_) => note(
                    "swept volume",
                    design.swept * part * 3600.0,
                    "m³/h",
                    "what the capacity takes at the coils' approaches, shared evenly among compressors",
                ),
                JointKind::Metering(_) => note(
                    "flow at the design point",
                    design.flow * part * 3600.0,
                    "kg/h",
                    "what the capacity takes, shared evenly among metering devices",
                ),
                _ => {}
            }
        }
        for (id, space) in assembly.circuit.graph.spaces_with_ids().filter(|(_, space)| is_coil(space.kind)) {
            let duty = if space.kind == SpaceKind::Condenser { design.rejected } else { design.capacity };
            self.assumed.push(Assumed {
                what: space.id.clone(),
                property: "heat transfer to the air",
                value: duty * self.shares[id.index()]
                    / space.approach.map_or(10.0, |approach| approach.value.as_k()),
                unit: "W/K",
                rule: "its share of the duty over its approach",
            });
        }
    }

    /// The cells of an assembly.
    pub(crate) fn cells(&self, assembly: &Assembly, mode: &Normal, fans: bool) -> Vec<Cell> {
        let mut cells: Vec<Cell> = assembly
            .graph
            .spaces_with_ids()
            .map(|(id, space)| self.cell(assembly, id, space, mode, fans))
            .collect();
        // The cylinder on the scale.
        let around = cells.first().map_or(293.15, |cell| cell.around);
        cells.push(Cell {
            volume: 1.0,
            wall: 1.0,
            inner: 0.0,
            outer: 0.0,
            around,
            heater: 0.0,
            onto_wall: 0.0,
            coil: None,
            boundless: true,
            seep: None,
            pool: None,
        });
        cells
    }

    fn cell(&self, assembly: &Assembly, id: SpaceId, space: &Space, mode: &Normal, fans: bool) -> Cell {
        let volume = space.volume.value.as_m3().max(1e-7);
        let shape = self.shapes[id.index()];
        let places = &assembly.circuit.places;
        let place = space.place.and_then(|place| places.get(place.index())).or_else(|| places.first());
        let around = place.map_or(293.15, |place| place.temperature.value.as_k());
        let boundless = space.kind == SpaceKind::Atmosphere;
        let (area, thickness) = if tube_like(space.kind) {
            (PI * shape.bore * shape.length, 1.0e-3)
        } else {
            // A cylinder three times as long as wide.
            (PI * 3.5 * libm::cbrt(volume * 4.0 / (3.0 * PI)) * libm::cbrt(volume * 4.0 / (3.0 * PI)), 3.0e-3)
        };
        let mut cell = Cell {
            volume,
            wall: (area * thickness * METAL).max(2.0),
            inner: area * INSIDE,
            outer: area * if space.kind == SpaceKind::SuctionLine { INSULATED } else { BARE },
            around,
            heater: 0.0,
            onto_wall: 0.0,
            coil: None,
            boundless,
            seep: None,
            pool: None,
        };
        match space.kind {
            SpaceKind::CompressorShell => {
                // Castings and motor: 8 kg and a tenth of a square metre for each kilowatt (common practice).
                let kilowatts = 1e-3 * self.design.capacity * self.shares[id.index()];
                cell.wall = 8.0 * 480.0 * kilowatts.max(0.1);
                cell.outer = 0.1 * kilowatts.max(0.1) * BARE;
                cell.inner = 1.5 * kilowatts.max(0.1);
            }
            kind if is_coil(kind) => self.make_coil(&mut cell, id, space, mode, fans),
            _ => {}
        }
        cell
    }

    fn make_coil(&self, cell: &mut Cell, id: SpaceId, space: &Space, mode: &Normal, fans: bool) {
        let design = &self.design;
        let condenses = match space.kind {
            SpaceKind::Condenser => true,
            SpaceKind::Evaporator => false,
            _ => mode.high.get(id.index()).copied().unwrap_or(false),
        };
        let approach = space.approach.map_or(10.0, |approach| approach.value.as_k());
        let duty = if condenses { design.rejected } else { design.capacity } * self.shares[id.index()];
        // A fifth of either coil is liquid in normal running (common practice); there the evaporator's dry end leaves 77 % of it working.
        let (wet, working) = (0.2, if condenses { 1.0 } else { 1.0 - 0.97 * libm::exp(-1.0 / 0.68) });
        let over_all = duty / approach / working;
        // Four fifths of the resistance are on the air's side (common practice).
        cell.outer = over_all / 0.8;
        cell.inner = over_all / 0.2;
        // 3 kg of copper and aluminium for each kilowatt.
        cell.wall = 3.0 * 500.0 * 1e-3 * duty;
        // Superheat begins at the dew point, subcooling at the bubble point.
        let (from, change, far) = if condenses {
            let from = approach - design.bubble_below;
            (from, SUBCOOLING.min(0.5 * from), 1.0)
        } else {
            let from = approach - design.dew_above;
            (from, SUPERHEAT.min(0.8 * from), libm::exp(-1.0 / 0.68))
        };
        let units = libm::log(from / (from - change)) / far;
        cell.coil = Some(Coil {
            condenses,
            wet,
            units,
            cp_v: design.cp_v,
            cp_l: design.cp_l,
            fan: if fans { 1.0 } else { 0.1 },
            glide: 0.0,
        });
    }

    /// The links of a lineup: one for each joint, in their order; then hoses, openings, the supply.
    pub(crate) fn links(&self, assembly: &Assembly, state: &State, mode: &Normal) -> Vec<Link> {
        let graph = &assembly.graph;
        let mut links: Vec<Link> = graph
            .joints_with_ids()
            .map(|(id, joint)| {
                let draw = |space: SpaceId, out: bool| match joint.kind {
                    // The liquid valve of a cylinder has a dip tube.
                    JointKind::CylinderValve if space == joint.b => Draw::Bottom(0.02),
                    _ => self.draw(assembly, space, mode.through(id, out)),
                };
                let law = self.law(assembly, id, &state.lineup);
                self.link((joint.a, draw(joint.a, true)), (joint.b, draw(joint.b, false)), law)
            })
            .collect();
        links.extend(self.hoses(assembly, &state.lineup, mode));
        links
    }

    pub(crate) fn link(&self, a: (SpaceId, Draw), b: (SpaceId, Draw), law: Law) -> Link {
        let height = |space: SpaceId| self.shapes.get(space.index()).map_or(0.0, |shape| shape.height);
        let free = matches!(law, Law::Passage(_));
        Link {
            a: LinkEnd { cell: a.0.index(), draw: a.1 },
            b: LinkEnd { cell: b.0.index(), draw: b.1 },
            drop: if free { height(a.0) - height(b.0) } else { 0.0 },
            law,
        }
    }

    /// Where an end of a link is, by the kind of space and whether flow leaves (+1) or enters (-1) there in normal running.
    fn draw(&self, assembly: &Assembly, space: SpaceId, normal: i8) -> Draw {
        match assembly.graph.space(space).map(|space| space.kind) {
            Some(SpaceKind::Evaporator) if normal > 0 => Draw::Coil,
            Some(SpaceKind::Condenser | SpaceKind::ReversibleCoil) if normal > 0 => Draw::Coil,
            Some(SpaceKind::Condenser) => Draw::Top(0.9),
            Some(SpaceKind::Receiver) if normal > 0 => Draw::Bottom(0.02),
            Some(
                SpaceKind::Receiver | SpaceKind::Accumulator | SpaceKind::OilSeparator | SpaceKind::Cylinder,
            ) => Draw::Top(0.9),
            Some(SpaceKind::CompressorShell) => Draw::Top(0.6),
            _ => Draw::Mixed,
        }
    }

    /// What a hose on a port draws: on a service valve what that valve draws there, the dip tube of a receiver's outlet for one.
    fn draw_at_port(&self, assembly: &Assembly, port: PortOn, space: SpaceId, mode: &Normal) -> Draw {
        let valve = match port {
            PortOn::ServiceValve(valve) => assembly.graph.joint(valve).map(|joint| (valve, joint)),
            PortOn::Space(_) => None,
        };
        let normal = valve.map_or(0, |(valve, joint)| mode.through(valve, joint.a == space));
        match assembly.graph.space(space).map(|space| space.kind) {
            Some(SpaceKind::Receiver) if normal > 0 => Draw::Bottom(0.02),
            Some(SpaceKind::Receiver | SpaceKind::Accumulator | SpaceKind::Condenser) => Draw::Top(0.9),
            Some(SpaceKind::CompressorShell) => Draw::Top(0.6),
            _ => Draw::Mixed,
        }
    }

    /// A tube or valve between two spaces: friction of half of each, and a loss.
    fn tube(&self, a: SpaceId, b: SpaceId, loss: f64) -> Passage {
        let (one, other) = (self.shapes[a.index()], self.shapes[b.index()]);
        let bore = one.bore.min(other.bore);
        let area = FRAC_PI_4 * bore * bore;
        let part = |shape: Shape| 0.5 * shape.length / shape.bore;
        let fourth = |bore: f64| bore * bore * bore * bore;
        let ratio = |shape: Shape| fourth(bore / shape.bore);
        // Darcy's factor 0.025: turbulent flow in drawn tube.
        let losses = loss + 0.025 * (part(one) * ratio(one) + part(other) * ratio(other));
        let laminar = 128.0 / PI * 0.5 * (one.length / fourth(one.bore) + other.length / fourth(other.bore));
        // Molecules pass a tube by the cube of its bore over its length.
        let square = |shape: Shape| (bore / shape.bore) * (bore / shape.bore);
        let length_m = bore * (part(one) * square(one) + part(other) * square(other));
        Passage {
            area: area / losses.sqrt(),
            laminar,
            rarefied: Some(Rarefied::Tube { bore_m: bore, length_m }),
            open: 1.0,
            back: 1.0,
            gate: Gate::Free,
        }
    }

    /// The law of a joint as the lineup sets it; stems are moved afterwards.
    pub(crate) fn law(&self, assembly: &Assembly, id: JointId, lineup: &Lineup) -> Law {
        let graph = &assembly.graph;
        let Some(joint) = graph.joint(id) else { return Law::Fixed { rate: 0.0 } };
        let (a, b) = (joint.a, joint.b);
        let atmosphere = assembly.circuit.atmosphere;
        let absolute = |gauge: stemwise_units::GaugePressure| gauge.absolute(atmosphere).as_pa();
        let (open, back) = match passage(joint, id, lineup) {
            Joined::Open | Joined::Restricted => (1.0, 1.0),
            Joined::OneWay(from, _) if from == a => (1.0, 0.0),
            Joined::OneWay(..) => (0.0, 1.0),
            Joined::Pumped(..) | Joined::Shut => (0.0, 0.0),
        };
        let with = |mut passage: Passage| {
            (passage.open, passage.back) = (open, back);
            passage
        };
        match &joint.kind {
            JointKind::Compressor(found) => {
                Law::Compressor(self.machine(assembly, id, found, lineup.is_active(id)))
            }
            JointKind::RecoveryMachine => Law::Recovery {
                machine: RecoveryMachine::PORTABLE,
                cooled: self.cooled,
                speed: f64::from(u8::from(lineup.is_active(id))),
            },
            // 5 cfm (142 L/min; common practice).
            JointKind::VacuumPump => Law::Vacuum {
                pump: VacuumPump::two_stage(5.0 * 4.719_474e-4),
                speed: f64::from(u8::from(lineup.is_active(id))),
            },
            JointKind::Metering(metering) => Law::Passage(with(self.metering(assembly, id, *metering))),
            JointKind::Check => Law::Passage(with(self.tube(a, b, 6.0))),
            JointKind::Solenoid { .. } => Law::Passage(with(self.tube(a, b, 5.0))),
            JointKind::Regulator { kind, setting, .. } => {
                let set = absolute(*setting);
                let gate = if lineup.held_open.contains(&id) {
                    Gate::Free
                } else {
                    match kind {
                        // Full stroke within half a bar (common practice); it never shuts quite: settling takes it as a restriction.
                        Regulator::EvaporatorPressure => Gate::Upstream(set, set + 0.5e5),
                        Regulator::CrankcasePressure => Gate::Downstream(set - 0.5e5, set),
                        Regulator::HeadPressure => Gate::Upstream(set, set + 1.0e5),
                    }
                };
                Law::Passage(Passage { gate, ..with(self.tube(a, b, 4.0)) })
            }
            JointKind::Relief { setting } => {
                let set = absolute(*setting);
                // Full lift at 10 % over the setting above the atmosphere (ISO 4126-1, from memory).
                let lift = 0.1 * (set - atmosphere.as_pa());
                let bore = 8e-3;
                Law::Passage(Passage {
                    area: 0.6 * FRAC_PI_4 * bore * bore,
                    laminar: 0.0,
                    rarefied: None,
                    open: 1.0,
                    back: 0.0,
                    gate: Gate::Upstream(set, set + lift),
                })
            }
            JointKind::NitrogenRegulator => Law::Passage(Passage {
                area: 4e-6,
                laminar: 0.0,
                rarefied: None,
                open: 0.0,
                back: 0.0,
                gate: Gate::Free,
            }),
            JointKind::CylinderValve => Law::Passage(with(self.tube(a, b, 2.0))),
            JointKind::HandValve { .. } if a.index() >= assembly.circuit.graph.spaces.len() => {
                Law::Passage(with(self.tube(a, b, 3.0)))
            }
            _ => Law::Passage(with(self.tube(a, b, 1.6))),
        }
    }

    fn machine(
        &self,
        assembly: &Assembly,
        id: JointId,
        found: &stemwise_circuit::Compressor,
        runs: bool,
    ) -> Machine {
        let part = share(assembly, id);
        let design = &self.design;
        let swept = design.swept * part;
        Machine {
            law: Displacement::piston(swept),
            speed: f64::from(u8::from(runs)),
            kappa: design.kappa,
            work: design.work,
            motor: MOTOR,
            in_refrigerant: if found.motor_in_refrigerant { 1.0 } else { 0.0 },
            valves: 1.0,
            // 20 mm² for each litre a second (common practice).
            reeds: 2e-5 * (swept * 1e3).max(0.1),
            // Standing, sound discharge valves let the low side rise by about 0.02 bar a minute (common practice: a few psi in ten minutes).
            leak: if found.leaks_back { 2e-9 * (swept * 1e3).max(0.1) } else { 0.0 },
        }
    }

    fn metering(&self, assembly: &Assembly, id: JointId, metering: Metering) -> Passage {
        let design = &self.design;
        let flow = design.flow * share(assembly, id);
        let drop = (design.p_high - design.p_low).max(1e5);
        let exact = flow / (2.0 * design.liquid_density * drop).sqrt();
        let factor = match metering {
            // A valve that is two thirds open at the design point.
            Metering::Thermostatic { .. } | Metering::Electronic => 1.5,
            Metering::Orifice | Metering::Capillary => 1.0,
        };
        Passage {
            area: exact * factor,
            laminar: 0.0,
            rarefied: Some(Rarefied::Aperture { area_m2: exact, hydraulic_diameter_m: exact.sqrt() }),
            open: 1.0,
            back: 1.0,
            gate: Gate::Free,
        }
    }

    /// Hoses that are on ports.
    fn hoses(&self, assembly: &Assembly, lineup: &Lineup, mode: &Normal) -> Vec<Link> {
        let graph = &assembly.graph;
        let one = |attached: &stemwise_circuit::Attached| {
            let reach = port_reach(graph, attached.port, lineup)?;
            let space = reach.of_system().or(reach.space)?;
            let port = graph.port(attached.port)?;
            let mut passage = self.tube(attached.hose, attached.hose, 1.5);
            passage.laminar *= 0.5;
            let bore = match (port.core, lineup.cores_out.contains(&attached.port), reach.why) {
                // An eighth of a turn leaves about 1.2 mm of opening (common practice).
                (_, _, Why::OffBackSeat(_, Position::Cracked)) => 1.2e-3,
                // A core lets through about 3 mm² (common practice, 2 to 4).
                (true, false, _) => 1.95e-3,
                _ => 4.5e-3,
            };
            let opening = 0.7 * FRAC_PI_4 * bore * bore;
            let (one, other) = (1.0 / (passage.area * passage.area), 1.0 / (opening * opening));
            passage.area = 1.0 / (one + other).sqrt();
            let draw = self.draw_at_port(assembly, port.on, space, mode);
            Some(self.link((attached.hose, Draw::Mixed), (space, draw), Law::Passage(passage)))
        };
        lineup.attached.iter().filter_map(one).collect()
    }

    /// An opening to the atmosphere, m².
    pub(crate) fn opening(&self, space: SpaceId, atmosphere: SpaceId, area: f64) -> Link {
        let rarefied = Some(Rarefied::Aperture { area_m2: area, hydraulic_diameter_m: area.sqrt() });
        let passage = Passage { area, laminar: 0.0, rarefied, open: 1.0, back: 1.0, gate: Gate::Free };
        Link {
            drop: 0.0,
            ..self.link((space, Draw::Mixed), (atmosphere, Draw::Mixed), Law::Passage(passage))
        }
    }
}

/// 6 K above the air of the first place (common practice).
fn cooled(assembly: &Assembly, medium: &Medium) -> Cooled {
    let air = assembly.circuit.places.first().map_or(293.15, |place| place.temperature.value.as_k());
    let t = air + 6.0;
    let saturation = medium.bubble(t).min(0.9 * medium.critical_pressure);
    let phases = medium.phases(saturation);
    let (energy, _) = medium.thin_energy(t);
    let vapour = energy + crate::engine::medium::GAS_CONSTANT / medium.molar_mass * t;
    Cooled { air, saturation, vapour: vapour.min(phases.h_v), liquid: phases.h_l, exponent: phases.kappa }
}

fn shape(space: &Space, design: &Design, assumed: &mut Vec<Assumed>) -> Shape {
    let volume = space.volume.value.as_m3().max(1e-7);
    let bore = space.bore.map_or_else(
        || {
            let bore = if space.kind == SpaceKind::Stub { 9e-3 } else { design.bore(space.kind) };
            if tube_like(space.kind) {
                assumed.push(Assumed {
                    what: space.id.clone(),
                    property: "bore",
                    value: bore * 1e3,
                    unit: "mm",
                    rule: "usual velocities of liquid, suction and discharge at the design's flow (common practice)",
                });
            }
            bore
        },
        |bore| bore.as_m(),
    );
    let length = if tube_like(space.kind) { (volume / (FRAC_PI_4 * bore * bore)).min(60.0) } else { 0.0 };
    Shape { bore, length, height: space.height.value.as_m() }
}

/// Each coil's and shell's share of the duty of its kind: by volume.
fn shares(assembly: &Assembly) -> Vec<f64> {
    let spaces = &assembly.graph.spaces;
    let volume = |kind: SpaceKind| {
        spaces.iter().filter(|space| space.kind == kind).map(|space| space.volume.value.as_m3()).sum::<f64>()
    };
    let share = |space: &Space| match space.kind {
        SpaceKind::ReversibleCoil => 1.0,
        kind => space.volume.value.as_m3() / volume(kind).max(1e-12),
    };
    spaces.iter().map(share).collect()
}

/// For each joint of a kind the nearest coil behind it, through metering devices or not.
fn behind(
    assembly: &Assembly,
    pick: fn(&JointKind) -> bool,
    through_metering: bool,
) -> Vec<(JointId, SpaceId)> {
    let graph = &assembly.graph;
    let passes = |kind: &JointKind| match kind {
        JointKind::Metering(_) => through_metering,
        JointKind::Compressor(_) | JointKind::Relief { .. } | JointKind::Solenoid { .. } => false,
        _ => true,
    };
    let nearest = |start: SpaceId| {
        let mut seen = vec![start];
        let mut at = 0;
        while let Some(&space) = seen.get(at) {
            at += 1;
            let kind = graph.space(space).map(|space| space.kind);
            if matches!(kind, Some(SpaceKind::Evaporator | SpaceKind::ReversibleCoil)) {
                return Some(space);
            }
            for joint in graph.joints.iter().filter(|joint| passes(&joint.kind)) {
                let other = match space {
                    space if joint.a == space => joint.b,
                    space if joint.b == space => joint.a,
                    _ => continue,
                };
                if !seen.contains(&other) {
                    seen.push(other);
                }
            }
        }
        None
    };
    let joints = graph.joints_with_ids().filter(|(_, joint)| pick(&joint.kind));
    joints.filter_map(|(id, joint)| Some((id, nearest(joint.b)?))).collect()
}

/// Which way refrigerant goes in normal running.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Normal {
    /// For each joint: from a to b (+1), from b to a (-1), or neither.
    ways: Vec<i8>,
    /// Spaces on the high side.
    pub(crate) high: Vec<bool>,
}

impl Normal {
    /// As a network of equal resistances would have it, with every stem as it belongs.
    pub(crate) fn new(assembly: &Assembly, mode: stemwise_circuit::Mode) -> Self {
        let graph = &assembly.graph;
        let mut lineup = Lineup::normal(graph);
        lineup.mode = mode;
        let own = assembly.circuit.graph.joints.len();
        let count = graph.spaces.len();
        let open: Vec<(usize, usize, f64)> = graph
            .joints_with_ids()
            .take(own)
            .filter_map(|(id, joint)| {
                let found = passage(joint, id, &lineup);
                let there = matches!(found, Joined::Open | Joined::Restricted | Joined::OneWay(..));
                let compressor = matches!(joint.kind, JointKind::Compressor(_) | JointKind::Relief { .. });
                // A metering device resists a thousand times as much as a tube; what passes one way counts as a tube.
                let conductance = if matches!(joint.kind, JointKind::Metering(_)) { 1e-3 } else { 1.0 };
                (there && !compressor).then_some((joint.a.index(), joint.b.index(), conductance))
            })
            .collect();
        let pairs: Vec<(usize, usize)> = open.iter().map(|&(a, b, _)| (a, b)).collect();
        let pattern = Pattern::new(count, &pairs);
        let mut system = System::<1>::default();
        system.clear(&pattern);
        let mut level = vec![[0.0; 1]; count];
        for joint in
            graph.joints.iter().take(own).filter(|joint| matches!(joint.kind, JointKind::Compressor(_)))
        {
            level[joint.a.index()][0] -= 1.0;
            level[joint.b.index()][0] += 1.0;
        }
        let mut put = |row, column, value: f64| {
            if let Some(at) = pattern.place(row, column) {
                system.blocks[at][0][0] += value;
            }
        };
        for &(a, b, conductance) in &open {
            put(a, a, conductance);
            put(b, b, conductance);
            put(a, b, -conductance);
            put(b, a, -conductance);
        }
        (0..count).for_each(|at| put(at, at, 1e-9));
        if system.factor(&pattern) {
            system.solve(&pattern, &mut level);
        }
        let way = |joint: &stemwise_circuit::Joint| {
            let conductance = if matches!(joint.kind, JointKind::Metering(_)) { 1e-3 } else { 1.0 };
            let flow = conductance * (level[joint.a.index()][0] - level[joint.b.index()][0]);
            match joint.kind {
                JointKind::Compressor(_) => 1,
                _ if flow > 1e-3 => 1,
                _ if flow < -1e-3 => -1,
                _ => 0,
            }
        };
        let most = level.iter().map(|level| level[0]).fold(f64::MIN, f64::max);
        let least = level.iter().map(|level| level[0]).fold(f64::MAX, f64::min);
        let high = level.iter().map(|level| level[0] > 0.5 * (most + least)).collect();
        Self { ways: graph.joints.iter().map(way).collect(), high }
    }

    /// Whether flow leaves (+1) or enters (-1) the space at an end (a: true) of a joint.
    fn through(&self, joint: JointId, at_a: bool) -> i8 {
        let way = self.ways.get(joint.index()).copied().unwrap_or(0);
        if at_a { way } else { -way }
    }
}
