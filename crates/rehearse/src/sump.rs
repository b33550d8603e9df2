//! Oil in the crankcases: what it holds of the refrigerant, and how that comes and goes.
//!
//! Each compressor whose file says how much oil there is has its share in its shell, at a temperature between those of its wall and of the motor. How much refrigerant it holds in
//! equilibrium says [`Pair`]; it gets there with a lag. Dissolved refrigerant is counted with the energy of liquid at one temperature: what a wall gives to
//! what leaves, and takes from what comes, is the difference to vapour there, so mass and energy are kept whatever the oil's temperature does between.

use stemwise_circuit::{Assembly, JointKind};

use crate::control::Controls;
use crate::design::{Assumed, Design, share};
use crate::engine::medium::Medium;
use crate::engine::network::Pool;
use crate::engine::step::{Moment, Network};
use crate::equipment::oil::Pair;

/// The oil of one compressor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sump {
    /// The shell's cell, and the compressor's link.
    pub(crate) cell: usize,
    pub(crate) link: usize,
    /// Oil, kg.
    pub(crate) oil: f64,
    pair: Pair,
}

/// Oil never takes up more than so many times its own mass: what comes down on it beyond that is told as liquid in the shell (35 % of the mixture; assumed). Without
/// that bound all refrigerant would end in the oil: liquid has no higher pressure than a solution that is nearly all liquid.
const MOST: f64 = 0.54;
/// Bubbles bring dissolved refrigerant out sooner than it creeps into a still pool: s (assumed; minutes, with foam).
const OUT: f64 = 300.0;
/// A running compressor stirs its oil: s (as [`Pair`] says).
const STIRRED: f64 = 100.0;
/// Oil of a system that starts has been running: as warm as this, K, at the design's suction pressure (common practice: 40 to 60 °C).
const RAN: f64 = 318.15;
/// Oil that runs over bearings and motor is warmer than the shell by this part of what the winding is (assumed: 40 to 60 °C while it runs).
const BETWEEN: f64 = 0.6;
/// Where the energy of what is dissolved is counted, K.
const COUNTED_AT: f64 = 293.15;
/// From this part by mass on oil that lets refrigerant go froths and is drawn up with it (common practice: 20 to 30 %).
pub(crate) const FROTHS: f64 = 0.2;

impl Sump {
    /// The sumps of a circuit whose file says how much oil there is.
    pub(crate) fn all(assembly: &Assembly, assumed: &mut Vec<Assumed>) -> Vec<Self> {
        let oil = assembly.circuit.oil.as_ref();
        let Some((kind, mass)) = oil.and_then(|oil| Some((&oil.kind, oil.mass?.as_kg()))) else {
            return Vec::new();
        };
        let Some(pair) = pair_of(kind, &assembly.circuit.refrigerant) else { return Vec::new() };
        let compressors = assembly.circuit.graph.joints_with_ids();
        let compressors = compressors.filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_)));
        let sump = |(id, joint): (_, &stemwise_circuit::Joint)| Self {
            cell: joint.a.index(),
            link: stemwise_circuit::JointId::index(id),
            oil: mass * share(assembly, id),
            pair,
        };
        let sumps: Vec<Self> = compressors.map(sump).collect();
        assumed.push(Assumed {
            what: "oil".into(),
            property: "the most refrigerant that it takes up",
            value: MOST * mass,
            unit: "kg",
            rule: "by the kinds of oil and refrigerant, known to 25 %; no more than 35 % of the mixture",
        });
        sumps
    }

    /// Dissolved in equilibrium, kg, and its slope by pressure, kg/Pa.
    fn equilibrium(&self, medium: &Medium, pa: f64, kelvin: f64) -> (f64, f64) {
        let t = kelvin.min(0.96 * medium.substance().critical_temperature().as_k());
        let saturation = medium.bubble(t);
        let density = medium.phases(saturation).rho_l;
        let held = |pa: f64| self.oil * self.pair.dissolved(pa, saturation, density).min(MOST);
        let (here, more) = (held(pa), 0.01 * pa + 1.0);
        (here, (held(pa + more) - here).max(0.0) / more)
    }

    /// What it holds as a system starts: as it came to while it ran, or less.
    pub(crate) fn at_the_start(&self, medium: &Medium, design: &Design, pa: f64, kelvin: f64) -> f64 {
        let ran = self.equilibrium(medium, pa.min(design.p_low), kelvin.max(RAN));
        ran.0.min(self.equilibrium(medium, pa, kelvin).0)
    }

    /// What goes in or out over the next step.
    fn pool(&self, medium: &Medium, moment: &Moment, runs: bool, motor: f64) -> Option<Pool> {
        let (eval, wall) = (moment.evals.get(self.cell)?, *moment.walls.get(self.cell)?);
        let dissolved = *moment.oil.get(self.cell)?;
        let at_pa = eval.p_r.max(0.0);
        let kelvin = wall + BETWEEN * (motor - wall).max(0.0);
        let (kg, per_pa) = self.equilibrium(medium, at_pa, kelvin);
        let still = if dissolved > kg { OUT } else { self.pair.lag_s };
        let lag = if runs { still.min(STIRRED) } else { still };
        let (energy, _) = medium.thin_energy(kelvin);
        let enthalpy = energy + crate::engine::medium::GAS_CONSTANT / medium.molar_mass * kelvin;
        let heat = enthalpy - energy_of(medium);
        Some(Pool { kg, per_pa, at_pa, most: MOST * self.oil, lag, enthalpy, heat })
    }
}

/// Energy of what is dissolved, J/kg: of liquid at one temperature.
pub(crate) fn energy_of(medium: &Medium) -> f64 {
    let t = COUNTED_AT.min(0.9 * medium.substance().critical_temperature().as_k());
    medium.phases(medium.bubble(t)).h_l
}

/// Every pool by how things stand.
pub(crate) fn soak(
    sumps: &[Sump],
    controls: &Controls,
    medium: &Medium,
    network: &mut Network,
    moment: &Moment,
) {
    for sump in sumps {
        let runs = network.links.get(sump.link).is_some_and(|link| link.law.runs());
        let starter = controls.starters.iter().find(|starter| starter.joint.index() == sump.link);
        let motor = starter.map_or(0.0, |starter| starter.motor);
        if let Some(cell) = network.cells.get_mut(sump.cell).filter(|cell| !cell.boundless) {
            cell.pool = sump.pool(medium, moment, runs, motor);
        }
    }
}

/// The pair that an oil makes with a refrigerant, by their names; none where hardly any dissolves.
fn pair_of(oil: &str, refrigerant: &str) -> Option<Pair> {
    const LIKE_MINERAL: [&str; 8] = ["R-12", "R-22", "R-502", "R-50", "R-170", "R-290", "R-600a", "R-1270"];
    let oil = oil.to_lowercase();
    if refrigerant == "R-717" {
        return None;
    }
    let mineral = ["mineral", "alkyl", "naphthen", "paraffin"].iter().any(|word| oil.contains(word));
    Some(match mineral || oil.split_whitespace().any(|word| matches!(word, "mo" | "ab")) {
        true if LIKE_MINERAL.contains(&refrigerant) => Pair::MINERAL,
        true => Pair::MINERAL_HFC,
        false => Pair::POLYOL_ESTER,
    })
}
