//! The technician's rig: what is brought along, and the one graph that it forms with a circuit.

use stemwise_units::{GaugePressure, Length, Mass, Pressure, Volume};

use crate::{
    Circuit, Fitted, Graph, Joint, JointId, JointKind, Known, Port, PortOn, Position, Space, SpaceId,
    SpaceKind, Stem, Wrench,
};

/// Tops of the scales in which gauges for this work are made, from -1 bar on (EN 837-1).
const GAUGE_TOPS: [f64; 9] = [1.5, 3.0, 5.0, 9.0, 15.0, 24.0, 39.0, 59.0, 159.0];

/// The class of a usual dial gauge: so many percent of its scale it may be off (EN 837-1).
pub const GAUGE_CLASS: f64 = 1.6;

/// The top of the smallest usual scale, from -1 bar on, that holds a reading.
pub fn gauge_top(reading: GaugePressure) -> GaugePressure {
    let top = GAUGE_TOPS.into_iter().find(|top| *top >= reading.as_bar());
    GaugePressure::from_bar(top.unwrap_or(GAUGE_TOPS[GAUGE_TOPS.len() - 1]))
}

/// A cylinder that takes recovered refrigerant.
#[derive(Clone, Debug, PartialEq)]
pub struct RecoveryCylinder {
    /// The mass of water it would hold, brim-full.
    pub water_capacity: Mass,
    /// How many of these there are, filled one after the other. In the graph they are one space.
    pub count: u32,
    /// What it weighs empty.
    pub tare: Mass,
    /// The refrigerant in it, and how much; none: empty and evacuated.
    pub holds: Option<(String, Mass)>,
    /// The highest pressure it is built for.
    pub design: Pressure,
    /// Whether its test date has passed.
    pub out_of_date: bool,
}

impl RecoveryCylinder {
    /// The mass of water that all of them would hold.
    pub fn all_water(&self) -> Mass {
        self.water_capacity * f64::from(self.count)
    }
}

/// What the technician has along.
#[derive(Clone, Debug, PartialEq)]
pub struct Rig {
    /// The recovery cylinder, if there is one.
    pub cylinder: Option<RecoveryCylinder>,
    /// Whether there is a recovery machine.
    pub recovery_machine: bool,
    /// Whether there is a vacuum pump with a vacuum gauge.
    pub vacuum_pump: bool,
    /// Whether there is dry nitrogen with a regulator.
    pub nitrogen: bool,
    /// Whether there is a core removal tool.
    pub core_tool: bool,
    /// The inside diameter of the hoses.
    pub hose_bore: Length,
    /// The length of each hose.
    pub hose_length: Length,
    /// How many single gauges on a hose of their own there are besides the manifold.
    pub single_gauges: usize,
    /// The top of the gauges' range.
    pub gauge_range: Pressure,
    /// Whether the recovery machine can be set up for push–pull: two more hoses with a sight glass, to the liquid valve of a cylinder that has two.
    pub push_pull: bool,
}

impl Rig {
    /// A usual van: manifold with three 1/4 in hoses of 1.5 m, recovery machine, vacuum pump, nitrogen, and an empty cylinder of
    /// 47.6 lb water capacity (the worked example of AHRI Guideline K uses this size).
    pub fn usual() -> Self {
        Self {
            cylinder: Some(RecoveryCylinder {
                water_capacity: Mass::from_lb(47.6),
                count: 1,
                tare: Mass::from_lb(27.5),
                holds: None,
                design: Pressure::from_psi(414.7),
                out_of_date: false,
            }),
            recovery_machine: true,
            vacuum_pump: true,
            nitrogen: true,
            core_tool: true,
            hose_bore: Length::from_mm(4.8),
            hose_length: Length::from_m(1.5),
            single_gauges: 0,
            gauge_range: Pressure::from_psi(814.7),
            push_pull: false,
        }
    }
}

/// A circuit and a rig as one graph: the circuit's spaces, joints and ports first, with the ids they have in the circuit. Where the circuit has
/// no port at all, those that could be fitted follow: `access-on-` with the name of a part or line.
#[derive(Clone, Debug, PartialEq)]
pub struct Assembly {
    /// The circuit.
    pub circuit: Circuit,
    /// The rig.
    pub rig: Rig,
    /// Both together.
    pub graph: Graph,
    /// The rig's spaces and joints.
    pub rigged: Rigged,
}

/// Where the rig's pieces are in the graph of an [`Assembly`].
#[derive(Clone, Debug, PartialEq)]
pub struct Rigged {
    /// The atmosphere.
    pub atmosphere: SpaceId,
    /// The manifold's low-side hose, with its gauge.
    pub low_hose: SpaceId,
    /// The manifold's high-side hose, with its gauge.
    pub high_hose: SpaceId,
    /// The manifold's chamber and centre hose.
    pub centre_hose: SpaceId,
    /// Single gauges, each on a hose of its own.
    pub gauge_hoses: Vec<SpaceId>,
    /// The hand valve between low-side hose and centre.
    pub low_hand_valve: JointId,
    /// The hand valve between high-side hose and centre.
    pub high_hand_valve: JointId,
    /// The recovery cylinder.
    pub cylinder: Option<SpaceId>,
    /// The recovery machine, from the centre hose into the cylinder.
    pub recovery_machine: Option<JointId>,
    /// The vacuum pump, from the centre hose to the atmosphere.
    pub vacuum_pump: Option<JointId>,
    /// The nitrogen cylinder.
    pub nitrogen: Option<SpaceId>,
    /// Its regulator, from the nitrogen cylinder into the centre hose.
    pub nitrogen_regulator: Option<JointId>,
    /// What push–pull takes besides.
    pub push_pull: Option<PushPull>,
}

/// The recovery machine set up for push–pull: it draws vapour from the recovery cylinder and pushes it into the system, whose liquid comes into the cylinder
/// through a hose of its own. It is the machine that is also [`Rigged::recovery_machine`], on other hoses: one of the two runs.
///
/// ```
/// use stemwise_circuit::{Assembly, Rig};
/// # let text = stemwise_circuit::examples().iter().find(|example| example.name == "walk-in-cooler").map_or("", |example| example.text);
/// # let circuit = stemwise_circuit::read(text.as_bytes()).circuit.ok_or("no circuit")?;
/// let assembly = Assembly::new(circuit.clone(), Rig { push_pull: true, ..Rig::usual() });
/// assert!(assembly.graph.find_joint("push-pull").is_some());
/// // Without a cylinder there is nothing to draw from.
/// let without = Assembly::new(circuit, Rig { push_pull: true, cylinder: None, ..Rig::usual() });
/// assert_eq!(without.rigged.push_pull, None);
/// # Ok::<(), &str>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PushPull {
    /// The machine, from the cylinder into the push hose.
    pub machine: JointId,
    /// The hose from the machine's outlet to the system's vapour side.
    pub push_hose: SpaceId,
    /// The hose from the system's liquid side to the cylinder's liquid valve, with a sight glass.
    pub liquid_hose: SpaceId,
    /// The cylinder's liquid valve, with its dip tube; from the liquid hose into the cylinder.
    pub liquid_valve: JointId,
}

struct Builder {
    graph: Graph,
    bore: Length,
}

impl Assembly {
    /// Puts a rig beside a circuit; nothing is connected yet.
    pub fn new(circuit: Circuit, rig: Rig) -> Self {
        let mut build = Builder { graph: circuit.graph.clone(), bore: rig.hose_bore };
        if circuit.graph.ports.is_empty() {
            build.accesses();
        }
        let atmosphere = build.atmosphere();
        let low_hose = build.hose("low-hose", "low-side hose", &rig);
        let high_hose = build.hose("high-hose", "high-side hose", &rig);
        let centre_hose = build.hose("centre-hose", "centre hose", &rig);
        let gauge_hoses = (1..=rig.single_gauges)
            .map(|n| build.hose(&format!("gauge-hose-{n}"), &format!("gauge hose {n}"), &rig))
            .collect();
        let low_hand_valve =
            build.hand_valve("low-hand-valve", "manifold low hand valve", low_hose, centre_hose);
        let high_hand_valve =
            build.hand_valve("high-hand-valve", "manifold high hand valve", high_hose, centre_hose);
        let cylinder = rig.cylinder.as_ref().map(|cylinder| build.cylinder(cylinder));
        let recovery_machine = cylinder.filter(|_| rig.recovery_machine).map(|to| {
            build.joint(
                "recovery-machine",
                "recovery machine",
                JointKind::RecoveryMachine,
                centre_hose,
                to,
                None,
            )
        });
        let vacuum_pump = rig.vacuum_pump.then(|| {
            build.joint("vacuum-pump", "vacuum pump", JointKind::VacuumPump, centre_hose, atmosphere, None)
        });
        let nitrogen = rig.nitrogen.then(|| build.nitrogen());
        let nitrogen_regulator = nitrogen.map(|from| {
            let stem = Some(Builder::stem(Position::Shut));
            let kind = JointKind::NitrogenRegulator;
            build.joint("nitrogen-regulator", "nitrogen regulator", kind, from, centre_hose, stem)
        });
        let push_pull = cylinder.filter(|_| rig.recovery_machine && rig.push_pull).map(|at| {
            let push_hose = build.hose("push-hose", "push hose", &rig);
            let liquid_hose = build.hose("liquid-hose", "liquid hose", &rig);
            let stem = Some(Builder::stem(Position::Shut));
            let valve = ("cylinder-liquid-valve", "cylinder's liquid valve");
            let liquid_valve = build.joint(valve.0, valve.1, JointKind::CylinderValve, liquid_hose, at, stem);
            let name = "recovery machine in push–pull";
            let machine = build.joint("push-pull", name, JointKind::RecoveryMachine, at, push_hose, None);
            PushPull { machine, push_hose, liquid_hose, liquid_valve }
        });
        let rigged = Rigged {
            atmosphere,
            low_hose,
            high_hose,
            centre_hose,
            gauge_hoses,
            low_hand_valve,
            high_hand_valve,
            cylinder,
            recovery_machine,
            vacuum_pump,
            nitrogen,
            nitrogen_regulator,
            push_pull,
        };
        Self { circuit, rig, graph: build.graph, rigged }
    }
}

impl Builder {
    fn space(&mut self, id: &str, name: &str, kind: SpaceKind, volume: Known<Volume>) -> SpaceId {
        let at = SpaceId(u32::try_from(self.graph.spaces.len()).unwrap_or(u32::MAX));
        self.graph.spaces.push(Space {
            id: id.into(),
            name: name.into(),
            kind,
            volume,
            place: None,
            design: None,
            height: Known::entered(Length::from_m(0.0)),
            approach: None,
            fill_limit: None,
            bore: None,
        });
        at
    }

    fn joint(
        &mut self,
        id: &str,
        name: &str,
        kind: JointKind,
        a: SpaceId,
        b: SpaceId,
        stem: Option<Stem>,
    ) -> JointId {
        let at = JointId(u32::try_from(self.graph.joints.len()).unwrap_or(u32::MAX));
        self.graph.joints.push(Joint { id: id.into(), name: name.into(), kind, a, b, stem });
        at
    }

    const fn stem(normal: Position) -> Stem {
        Stem { normal, packing_nut: false, cap: false, wrench: Wrench::Hand, turns: Known::entered(2.0) }
    }

    /// The atmosphere takes any amount, as its kind says; no rule reads its volume.
    fn atmosphere(&mut self) -> SpaceId {
        if let Some((found, _)) =
            self.graph.spaces_with_ids().find(|(_, space)| space.kind == SpaceKind::Atmosphere)
        {
            return found;
        }
        let volume = Known::entered(Volume::from_m3(0.0));
        self.space("atmosphere", "the atmosphere", SpaceKind::Atmosphere, volume)
    }

    /// Where a sealed circuit can be given an access: a port on each part and line, which is not there before it is fitted.
    fn accesses(&mut self) {
        // The compressor's process tube and other tubes come first: nobody pierces a drier or a coil who has a tube.
        let rank = |kind| match kind {
            SpaceKind::CompressorShell => 0,
            SpaceKind::SuctionLine => 1,
            SpaceKind::LiquidLine | SpaceKind::DischargeLine => 2,
            _ => 3,
        };
        let all = self.graph.spaces_with_ids().filter(|(_, space)| space.kind != SpaceKind::Atmosphere);
        let mut places: Vec<_> = all.collect();
        places.sort_by_key(|(_, space)| rank(space.kind));
        let on = |space: &Space| match space.kind {
            SpaceKind::CompressorShell => format!("process tube of the {}", space.name),
            _ => space.name.clone(),
        };
        let port = |(at, space): (SpaceId, &Space)| Port {
            id: format!("access-on-{}", space.id),
            name: format!("access fitted on the {}", on(space)),
            on: PortOn::Space(at),
            core: true,
            fitted: Fitted::Brazed,
            cap: true,
            size: "1/4 in flare".into(),
        };
        self.graph.ports = places.into_iter().map(port).collect();
    }

    fn hose(&mut self, id: &str, name: &str, rig: &Rig) -> SpaceId {
        let bore = self.bore.as_m();
        let volume = core::f64::consts::FRAC_PI_4 * bore * bore * rig.hose_length.as_m();
        let volume = Known::computed(Volume::from_m3(volume), "bore and length of the hose");
        let hose = self.space(id, name, SpaceKind::Hose, volume);
        if let Some(space) = self.graph.spaces.get_mut(hose.index()) {
            space.design = Some(Known::entered(rig.gauge_range));
            space.bore = Some(rig.hose_bore);
            // Hoses hang from above: liquid runs out of them while their port is open.
            space.height = Known::entered(Length::from_m(2.0));
        }
        hose
    }

    fn hand_valve(&mut self, id: &str, name: &str, a: SpaceId, b: SpaceId) -> JointId {
        let stem = Some(Self::stem(Position::Shut));
        self.joint(id, name, JointKind::HandValve { quarter_turn: false }, a, b, stem)
    }

    fn cylinder(&mut self, cylinder: &RecoveryCylinder) -> SpaceId {
        let volume = Volume::from_l(cylinder.all_water().as_kg() / WATER_KG_PER_L);
        let volume = Known::computed(volume, "water capacity of the cylinder");
        let at = self.space("cylinder", "recovery cylinder", SpaceKind::Cylinder, volume);
        if let Some(space) = self.graph.spaces.get_mut(at.index()) {
            space.design = Some(Known::entered(cylinder.design));
            space.fill_limit = Some(Known::entered(0.8));
        }
        at
    }

    fn nitrogen(&mut self) -> SpaceId {
        let volume = Known::entered(Volume::from_l(10.0));
        self.space("nitrogen", "nitrogen cylinder", SpaceKind::NitrogenCylinder, volume)
    }
}

/// Water at 15.6 °C (60 °F), the temperature at which water capacity is stated: 0.999 kg/L (IAPWS-95).
const WATER_KG_PER_L: f64 = 0.999;
