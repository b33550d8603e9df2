//! The point that a system is sized for, and the sizes that the file doesn't give; each by a stated rule, each on a list of what is assumed.

use stemwise_circuit::{Assembly, JointId, JointKind, Metering, SpaceId, SpaceKind};
use stemwise_units::Power;

use crate::engine::medium::Medium;
use crate::equipment::compressor::{Displacement, work_of};

/// Something that isn't in the file and was taken by a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// What: the id of a part or joint, or "system".
    pub what: String,
    /// Which of its properties.
    pub property: &'static str,
    /// The value, SI.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// The rule.
    pub rule: &'static str,
}

/// The design point; SI.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Design {
    /// Refrigerating capacity, W.
    pub(crate) capacity: f64,
    pub(crate) evaporating: f64,
    pub(crate) condensing: f64,
    pub(crate) p_low: f64,
    pub(crate) p_high: f64,
    /// Mass flow, kg/s.
    pub(crate) flow: f64,
    /// At the compressor's suction.
    pub(crate) suction_density: f64,
    pub(crate) discharge_density: f64,
    pub(crate) liquid_density: f64,
    /// Swept volume a second of all compressors, m³/s.
    pub(crate) swept: f64,
    pub(crate) kappa: f64,
    /// Real isentropic work over the ideal formula's.
    pub(crate) work: f64,
    /// Heat that the condensers give off, W.
    pub(crate) rejected: f64,
    pub(crate) approach_cold: f64,
    pub(crate) approach_warm: f64,
    pub(crate) cp_v: f64,
    pub(crate) cp_l: f64,
    /// The dew point above the mean evaporating temperature and the bubble point below the mean condensing temperature, K; 0 for a pure refrigerant.
    pub(crate) dew_above: f64,
    pub(crate) bubble_below: f64,
}

/// Superheat at the evaporator's outlet and subcooling at the condenser's, K (common practice).
pub(crate) const SUPERHEAT: f64 = 6.0;
pub(crate) const SUBCOOLING: f64 = 4.0;
/// A compressor motor's efficiency (common practice for small semi-hermetics).
pub(crate) const MOTOR: f64 = 0.86;

fn place(assembly: &Assembly, space: SpaceId) -> f64 {
    let places = &assembly.circuit.places;
    let found = assembly.graph.space(space).and_then(|found| found.place);
    let found = found.and_then(|place| places.get(place.index())).or_else(|| places.first());
    found.map_or(293.15, |place| place.temperature.value.as_k())
}

impl Design {
    pub(crate) fn new(assembly: &Assembly, medium: &Medium, assumed: &mut Vec<Assumed>) -> Self {
        let graph = &assembly.circuit.graph;
        let capacity =
            assembly.circuit.capacity.map_or_else(|| guess_capacity(assembly, assumed), Power::as_w);
        let coils = |pick: fn(SpaceKind) -> bool| {
            graph.spaces_with_ids().filter(move |(_, space)| pick(space.kind)).map(|(id, space)| {
                (place(assembly, id), space.approach.map_or(10.0, |approach| approach.value.as_k()))
            })
        };
        let is_cold = |kind| matches!(kind, SpaceKind::Evaporator);
        let is_warm = |kind| matches!(kind, SpaceKind::Condenser);
        let two_way = |kind| matches!(kind, SpaceKind::ReversibleCoil);
        let cold = coils(is_cold).min_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)));
        let warm = coils(is_warm).max_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
        let cold = cold.or_else(|| coils(two_way).min_by(|a, b| a.0.total_cmp(&b.0))).unwrap_or((275.0, 8.0));
        let warm =
            warm.or_else(|| coils(two_way).max_by(|a, b| a.0.total_cmp(&b.0))).unwrap_or((300.0, 12.0));
        Self::at(medium, capacity, cold, warm)
    }

    fn at(medium: &Medium, capacity: f64, cold: (f64, f64), warm: (f64, f64)) -> Self {
        let evaporating = cold.0 - cold.1;
        // Cold surroundings would leave no pressure to work with.
        let condensing = (warm.0 + warm.1).max(evaporating + 15.0);
        let (p_low, p_high) = (medium.middle(evaporating), medium.middle(condensing));
        let (low, high) = (medium.phases(p_low), medium.phases(p_high));
        // A glide never takes the whole approach.
        let dew_above = (low.t_v - evaporating).clamp(0.0, 0.7 * cold.1);
        let bubble_below = (condensing - high.t_l).clamp(0.0, 0.7 * warm.1);
        let superheat = SUPERHEAT.min(0.8 * (cold.1 - dew_above));
        let suction_t = low.t_v + superheat;
        let h_in = high.h_l - high.cp_l * SUBCOOLING.min(0.5 * (warm.1 - bubble_below));
        let effect = low.h_v + low.cp_v * superheat - h_in;
        let flow = capacity / effect;
        let suction_density = medium.at_pressure(p_low, suction_t).map_or(low.rho_v, |(rho, _)| rho);
        let ratio = p_high / p_low;
        let kappa = low.kappa;
        let ideal = work_of(p_low, suction_density, kappa, ratio);
        let real = medium.isentropic_work(p_low, suction_t, p_high).unwrap_or(ideal);
        let machine = Displacement::piston(1.0);
        let swept = flow / (suction_density * machine.volumetric(ratio, kappa).0);
        let shaft = flow * real * (1.0 + machine.proportional_loss) + machine.friction_pa * swept;
        let discharge_density = high.rho_v * 0.85;
        Self {
            capacity,
            evaporating,
            condensing,
            p_low,
            p_high,
            flow,
            suction_density,
            discharge_density,
            liquid_density: high.rho_l,
            swept,
            kappa,
            work: real / ideal,
            rejected: capacity + shaft / MOTOR,
            approach_cold: cold.1,
            approach_warm: warm.1,
            cp_v: low.cp_v,
            cp_l: high.cp_l,
            dew_above,
            bubble_below,
        }
    }

    /// The same sizes with another refrigerant in them: what a compressor and the ends of coils make of it, at the same temperatures.
    pub(crate) fn with_inside(&self, medium: &Medium) -> Self {
        let (p_low, p_high) = (medium.middle(self.evaporating), medium.middle(self.condensing));
        let (low, high) = (medium.phases(p_low), medium.phases(p_high));
        let (t, kappa) = (low.t_v + SUPERHEAT, low.kappa);
        let density = medium.at_pressure(p_low, t).map_or(low.rho_v, |(rho, _)| rho);
        let ideal = work_of(p_low, density, kappa, p_high / p_low);
        let real = medium.isentropic_work(p_low, t, p_high).unwrap_or(ideal);
        Self { kappa, work: real / ideal, cp_v: low.cp_v, cp_l: high.cp_l, ..self.clone() }
    }

    /// Bore of a tube that carries the design's flow, m.
    pub(crate) fn bore(&self, kind: SpaceKind) -> f64 {
        // m/s (common practice for the sizing of lines).
        let (density, speed) = match kind {
            SpaceKind::DischargeLine | SpaceKind::CompressorHead | SpaceKind::OilSeparator => {
                (self.discharge_density, 10.0)
            }
            SpaceKind::SuctionLine
            | SpaceKind::CompressorShell
            | SpaceKind::Accumulator
            | SpaceKind::ReversibleLine => (self.suction_density, 8.0),
            SpaceKind::Evaporator | SpaceKind::ReversibleCoil => (self.suction_density, 8.0),
            SpaceKind::DistributorLine => (self.liquid_density, 0.7),
            _ => (self.liquid_density, 0.7),
        };
        (4.0 * self.flow / (core::f64::consts::PI * density * speed)).sqrt().max(3e-3)
    }
}

/// From the evaporators' volume, or the charge, by the reverse of the rule that estimates volumes.
pub(crate) fn guess_capacity(assembly: &Assembly, assumed: &mut Vec<Assumed>) -> f64 {
    let graph = &assembly.circuit.graph;
    let litres: f64 = graph
        .spaces
        .iter()
        .filter(|space| matches!(space.kind, SpaceKind::Evaporator | SpaceKind::ReversibleCoil))
        .map(|space| space.volume.value.as_l())
        .sum();
    let coils = graph.spaces.iter().any(|space| space.kind == SpaceKind::ReversibleCoil);
    let value = if litres > 0.0 {
        1e3 * litres / if coils { 1.0 } else { 0.55 }
    } else {
        1e3 * assembly.circuit.charge.value.as_kg()
    };
    assumed.push(Assumed {
        what: "system".into(),
        property: "refrigerating capacity",
        value,
        unit: "W",
        rule: "1 kW for each 0.55 L of evaporator (common practice), or for each kilogram of charge",
    });
    value
}

/// How many joints of a kind share the design's flow.
pub(crate) fn share(assembly: &Assembly, joint: JointId) -> f64 {
    let graph = &assembly.circuit.graph;
    let same = |kind: &JointKind| match (graph.joint(joint).map(|found| &found.kind), kind) {
        (Some(JointKind::Compressor(_)), JointKind::Compressor(_)) => true,
        (Some(JointKind::Metering(one)), JointKind::Metering(other)) => {
            is_capillary(*one) == is_capillary(*other)
        }
        _ => false,
    };
    let count = graph.joints.iter().filter(|found| same(&found.kind)).count();
    1.0 / count.max(1) as f64
}

const fn is_capillary(metering: Metering) -> bool {
    matches!(metering, Metering::Capillary)
}
