//! The state that a job begins in: in service, new and empty, or with the charge still in the outdoor unit.

use stemwise_circuit::{Assembly, JointKind, Lineup, Position, Sections, SpaceId, SpaceKind};
use stemwise_units::{Mass, Temperature};

use crate::props::{AIR, GAS_CONSTANT, Refrigerant};
use crate::settle::{Stops, settle};
use crate::supply::{shut_position, supply};
use crate::{Action, Done, Job, JobKind, State, apply, line_set};

/// How a system stands before a job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Start {
    /// In normal running, with its charge.
    InService,
    /// In normal running, with so much of its charge missing.
    Short(Mass),
    /// New, or opened and closed again: air in it, standing.
    Empty,
    /// With its charge, as a pump-down left it: the supply of the low side shut, standing, locked out.
    PumpedDown,
    /// A split unit as delivered: the charge behind the shut line-set valves, air in the line set, standing.
    AsDelivered,
}

/// A top-up is planned for this part of the charge where nothing else is said (assumed).
const MISSING: f64 = 0.1;

impl Job {
    /// The state that it begins in.
    pub fn start(&self, assembly: &Assembly) -> Start {
        let whole = |kind| self.parts().iter().any(|part| part.kind == kind && !part.works());
        if self.opens() {
            return Start::InService;
        }
        let empty =
            [JobKind::TestWithNitrogen, JobKind::Evacuate, JobKind::EvacuateThrice, JobKind::FirstCharge];
        if empty.into_iter().any(whole) {
            return Start::Empty;
        }
        match self.kind {
            JobKind::ReleaseCharge => Start::AsDelivered,
            JobKind::ReturnToService => Start::PumpedDown,
            JobKind::TopUp | JobKind::ChargeBySubcooling | JobKind::ChargeBySuperheat => {
                Start::Short(self.missing(assembly))
            }
            _ => Start::InService,
        }
    }

    /// What a top-up puts in.
    pub fn missing(&self, assembly: &Assembly) -> Mass {
        self.amount.unwrap_or(assembly.circuit.charge.value * MISSING)
    }
}

/// What a line set adds to the charge that a split unit comes with: the maker's allowance for what is longer than the unit's charge covers, or
/// the liquid that the liquid line holds there at 40 °C.
pub fn line_allowance(assembly: &Assembly, refrigerant: &Refrigerant) -> Mass {
    let nothing = Mass::from_kg(0.0);
    let Some(found) = assembly.circuit.line_set else { return nothing };
    let beyond = (found.length.as_m() - found.covers.as_m()).max(0.0);
    if let Some((mass, per)) = found.allowance {
        return mass * (beyond / per.as_m());
    }
    let graph = &assembly.circuit.graph;
    let lines = line_set(&assembly.circuit).into_iter().filter_map(|space| graph.space(space));
    let liquid: f64 = lines
        .filter(|space| space.kind == SpaceKind::LiquidLine)
        .map(|space| space.volume.value.as_m3())
        .sum();
    let dense = refrigerant.sat(Temperature::from_celsius(40.0).as_k()).map_or(0.0, |sat| sat.liquid);
    Mass::from_kg(liquid * dense * beyond / found.length.as_m())
}

impl State {
    /// The state before a job; in normal running, or standing, where there is none.
    pub fn begin(
        assembly: &Assembly,
        refrigerant: &Refrigerant,
        stops: &Stops,
        job: Option<&Job>,
        running: bool,
    ) -> Done {
        let start = job.map_or(Start::InService, |job| job.start(assembly));
        if let (Start::PumpedDown, Some(job)) = (start, job) {
            return Self::pumped_down(assembly, refrigerant, stops, &job.spaces);
        }
        let mut lineup = Lineup::normal(&assembly.graph);
        let runs = running && matches!(start, Start::InService | Start::Short(_));
        if !runs {
            lineup.stop_all(&assembly.graph);
        }
        let mut state = Self::empty(assembly, lineup);
        match start {
            Start::InService | Start::PumpedDown => state.put_charge(assembly, assembly.circuit.charge.value),
            Start::Short(missing) => state.put_charge(assembly, assembly.circuit.charge.value - missing),
            Start::Empty => state.fill_with_air(assembly, |_| true),
            Start::AsDelivered => state.as_delivered(assembly, refrigerant),
        }
        let settled = settle(assembly, refrigerant, stops, &mut state);
        Done { state, settled }
    }

    /// As a pump-down leaves it; in service where nothing that can be shut gets these spaces down.
    fn pumped_down(
        assembly: &Assembly,
        refrigerant: &Refrigerant,
        stops: &Stops,
        spaces: &[SpaceId],
    ) -> Done {
        let running = Self::start(assembly, refrigerant, stops, true);
        let valve = supply(assembly, refrigerant, stops, &running, spaces);
        let shut = valve.and_then(|valve| {
            let to = shut_position(assembly.graph.joint(valve)?);
            let done =
                apply(assembly, refrigerant, stops, &running.state, &Action::Turn { valve, to }).ok()?;
            apply(assembly, refrigerant, stops, &done.state, &Action::LockOut).ok()
        });
        shut.unwrap_or(running)
    }

    fn fill_with_air(&mut self, assembly: &Assembly, which: impl Fn(SpaceId) -> bool) {
        let atmosphere = assembly.circuit.atmosphere.as_pa();
        for (id, space) in assembly.circuit.graph.spaces_with_ids() {
            let Some(slot) = self.contents.get_mut(id.index()).filter(|_| which(id)) else { continue };
            if space.kind == SpaceKind::Atmosphere {
                continue;
            }
            let place = space.place.and_then(|place| assembly.circuit.places.get(place.index()));
            let kelvin = place.map_or(293.15, |place| place.temperature.value.as_k());
            slot.air = Mass::from_kg(atmosphere * space.volume.value.as_m3() / (GAS_CONSTANT * kelvin) * AIR);
            slot.temperature = Temperature::from_k(kelvin);
            slot.wet = true;
        }
    }

    /// The line-set valves shut: vapour at the site's saturation on the suction side of the unit, the rest in its condenser.
    fn as_delivered(&mut self, assembly: &Assembly, refrigerant: &Refrigerant) {
        let graph = &assembly.graph;
        let outside = line_set(&assembly.circuit);
        for (id, _) in
            graph.joints_with_ids().filter(|(_, joint)| matches!(joint.kind, JointKind::LineSetValve { .. }))
        {
            self.lineup.set(graph, id, Position::Shut);
        }
        self.fill_with_air(assembly, |space| outside.contains(&space));
        let added = line_allowance(assembly, refrigerant);
        self.put_charge(assembly, assembly.circuit.charge.value - added);
        let sections = Sections::new(graph, &self.lineup);
        let mut taken = 0.0;
        let shells = graph.joints.iter().filter(|joint| matches!(joint.kind, JointKind::Compressor(_)));
        for section in shells.filter_map(|joint| sections.of(joint.a)) {
            for &space in sections.members(section).iter().filter(|space| !outside.contains(space)) {
                let Some(found) = graph.space(space) else { continue };
                let place = found.place.and_then(|place| assembly.circuit.places.get(place.index()));
                let kelvin = place.map_or(293.15, |place| place.temperature.value.as_k());
                let vapour =
                    refrigerant.sat(kelvin).map_or(0.0, |sat| sat.vapour) * found.volume.value.as_m3();
                if let Some(slot) = self.contents.get_mut(space.index()) {
                    // A hair less than saturated: it is vapour.
                    slot.refrigerant = slot.refrigerant + Mass::from_kg(0.98 * vapour);
                    taken += 0.98 * vapour;
                }
            }
        }
        if let Some(largest) = self
            .contents
            .iter_mut()
            .take(assembly.circuit.graph.spaces.len())
            .max_by(|a, b| a.refrigerant.as_kg().total_cmp(&b.refrigerant.as_kg()))
        {
            largest.refrigerant = largest.refrigerant - Mass::from_kg(taken);
        }
    }
}
