//! The running balance from a circuit and the temperatures around it alone: the state that it comes to in normal running.

use std::sync::Arc;

use stemwise_circuit::{Assembly, JointKind, PlaceId, SpaceId};
use stemwise_service::{Refrigerant, State, Stops};
use stemwise_units::{Mass, Power, Pressure, Temperature, TemperatureDifference};

use crate::design::Assumed;
use crate::engine::medium::Medium;
use crate::rehearsal::{Error, Rehearsal};

/// A coil in the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilBalance {
    /// The coil.
    pub space: SpaceId,
    /// Whether it gives off heat.
    pub condenses: bool,
    /// Pressure in it.
    pub pressure: Pressure,
    /// Bubble point at the refrigerant's pressure.
    pub bubble: Temperature,
    /// Dew point at the refrigerant's pressure; a pure refrigerant's bubble point, a blend's warmer by its glide.
    pub dew: Temperature,
    /// Superheat at an evaporator's outlet, above the dew point; subcooling at a condenser's, below the bubble point.
    pub difference: TemperatureDifference,
    /// Heat from the air (given off: negative).
    pub heat: Power,
}

/// The balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Balance {
    /// The coils.
    pub coils: Vec<CoilBalance>,
    /// Refrigerating capacity.
    pub capacity: Power,
    /// Electric power of the compressors.
    pub power: Power,
    /// Mass flow of all compressors, kg/s.
    pub kg_per_second: f64,
    /// Refrigerant in each space of the circuit.
    pub charge: Vec<(SpaceId, Mass)>,
    /// How long it took to come to it, s.
    pub seconds: f64,
    /// Whether it has come to rest: pressures move by less than 0.2 % a minute. A system that a control stops or that hunts never does.
    pub steady: bool,
    /// What was taken by rule.
    pub assumed: Vec<Assumed>,
}

/// Nobody runs longer to see it, s.
const LONGEST: f64 = 4.0 * 3600.0;

/// The balance with some places at other temperatures than in the file.
///
/// # Errors
/// [`Error`].
pub fn running_balance(
    medium: Arc<Medium>,
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    stops: &Stops,
    places: &[(PlaceId, Temperature)],
) -> Result<Balance, Error> {
    let begin = State::start(assembly, refrigerant, stops, true);
    let mut now = Rehearsal::with(medium, assembly, &begin.state)?;
    for (place, temperature) in places {
        now.set_place(*place, *temperature);
    }
    Ok(now.come_to_balance())
}

impl Rehearsal {
    /// Lets it run as it stands until it has come to rest, four hours at most, and says what it comes to.
    pub fn come_to_balance(&mut self) -> Balance {
        let start = self.seconds();
        self.advance(600.0);
        let mut quiet = 0;
        while self.seconds() - start < LONGEST && quiet < 3 {
            let before: Vec<f64> = self.moment.evals.iter().map(|eval| eval.p).collect();
            self.advance(60.0);
            let own = self.assembly().circuit.graph.spaces.len();
            let moved = before.iter().zip(&self.moment.evals).take(own);
            let most = moved.map(|(old, eval)| (eval.p / old - 1.0).abs()).fold(0.0, f64::max);
            quiet = if most < 2e-3 { quiet + 1 } else { 0 };
        }
        self.balance(quiet >= 3)
    }

    /// What coils, compressors and charge are doing at this moment, as a balance.
    pub fn balance(&self, steady: bool) -> Balance {
        let graph = &self.assembly().circuit.graph;
        let coils: Vec<CoilBalance> = graph.spaces_with_ids().filter_map(|(id, _)| self.coil(id)).collect();
        let compressors =
            graph.joints_with_ids().filter(|(_, joint)| matches!(joint.kind, JointKind::Compressor(_)));
        Balance {
            capacity: Power::from_w(
                coils.iter().filter(|coil| !coil.condenses).map(|coil| coil.heat.as_w()).sum(),
            ),
            coils,
            power: self.power(),
            kg_per_second: compressors.map(|(id, _)| self.flow_kg_per_s(id)).sum(),
            charge: graph
                .spaces_with_ids()
                .filter_map(|(id, _)| Some((id, self.space(id)?.refrigerant)))
                .collect(),
            seconds: self.seconds(),
            steady,
            assumed: self.assumed().to_vec(),
        }
    }

    /// A coil at this moment; none for another space.
    pub fn coil(&self, space: SpaceId) -> Option<CoilBalance> {
        let at = space.index();
        let (cell, eval) = (self.network.cells.get(at)?, self.moment.evals.get(at)?);
        let coil = cell.coil.as_ref()?;
        let phases = self.stage.medium.phases(eval.p_r.max(1e3));
        let out = crate::control::outlet(&self.network, &self.moment, at);
        let difference = if coil.condenses { phases.t_l - out } else { out - phases.t_v };
        Some(CoilBalance {
            space,
            condenses: coil.condenses,
            pressure: Pressure::from_pa(eval.p),
            bubble: Temperature::from_k(phases.t_l),
            dew: Temperature::from_k(phases.t_v),
            difference: TemperatureDifference::from_k(difference),
            heat: Power::from_w(cell.outer_at(eval) * (cell.around - self.moment.walls[at])),
        })
    }
}
