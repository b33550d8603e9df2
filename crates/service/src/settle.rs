//! What the spaces come to when left alone: the pressures, the levels, and what running machines move.
//!
//! Quasi-static. At rest joined spaces share one pressure and liquid ends where it is coldest; a compressor with a way round comes to its
//! running balance; with its supply cut it pumps down to the stop pressure. Every species of mass is kept.

use stemwise_circuit::{
    Assembly, Graph, Joint, JointId, JointKind, Metering, Passage, Sections, SpaceId, SpaceKind, passage,
};
use stemwise_units::{GaugePressure, Pressure};

use crate::balance;
use crate::props::{AIR, GAS_CONSTANT, Refrigerant};
use crate::section::{AtRest, Cell, Load, at_rest};
use crate::{Contents, State, push_pull};

/// Where machines stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stops {
    /// A compressor that pumps down: 2 psig, never below 0 (US Army TM 5-4110-234-14 §5-6 gives 0 to 2 psig).
    pub pump_down: GaugePressure,
    /// A recovery machine: the required level.
    pub recovery: Pressure,
    /// A vacuum pump.
    pub vacuum: Pressure,
}

impl Stops {
    /// The usual ones, with the recovery level that a rule requires.
    pub const fn usual(recovery: Pressure) -> Self {
        Self { pump_down: GaugePressure::from_psi(2.0), recovery, vacuum: Pressure::from_micron(300.0) }
    }
}

/// What a running compressor does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// It circulates: running balance.
    Balanced,
    /// Its supply is cut: it has pumped down what is upstream.
    PumpedDown,
    /// It runs against a shut discharge.
    DeadHeaded,
    /// Nothing is upstream but vacuum or gas.
    Empty,
}

/// A settled state.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// Total pressure of each space, Pa.
    pub pressures: Vec<f64>,
    /// The part of each space's volume that liquid fills.
    pub liquid: Vec<f64>,
    /// What each running compressor does.
    pub compressors: Vec<(JointId, Running)>,
    /// Refrigerant that left to the atmosphere while settling, kg.
    pub vented_kg: f64,
    /// Air that came in while settling, kg.
    pub air_in_kg: f64,
    /// Refrigerant that a recovery machine moved into the cylinder, kg.
    pub recovered_kg: f64,
    /// The sections.
    pub sections: Sections,
}

impl Settled {
    /// The pressure of a space.
    pub fn pressure(&self, space: SpaceId) -> Option<Pressure> {
        self.pressures.get(space.index()).copied().map(Pressure::from_pa)
    }
    /// The part of a space's volume that liquid fills.
    pub fn liquid_fraction(&self, space: SpaceId) -> f64 {
        self.liquid.get(space.index()).copied().unwrap_or(0.0)
    }
    /// What a compressor does, if it runs.
    pub fn running(&self, compressor: JointId) -> Option<Running> {
        self.compressors.iter().find(|(id, _)| *id == compressor).map(|(_, running)| *running)
    }
}

/// Settles a state in place.
pub fn settle(assembly: &Assembly, refrigerant: &Refrigerant, stops: &Stops, state: &mut State) -> Settled {
    let sections = Sections::new(&assembly.graph, &state.lineup);
    let mut settler = Settler::new(assembly, refrigerant, stops, state, sections);
    settler.run_machines();
    settler.pass_one_way();
    settler.open_up();
    settler.write_back()
}

/// By so much, K: a tenth to half a bar, as the machine keeps it (assumed).
const PULLED: f64 = 1.0;
/// Above everything, m.
const ABOVE: f64 = 1e6;

pub(crate) struct Settler<'a> {
    pub(crate) assembly: &'a Assembly,
    pub(crate) refrigerant: &'a Refrigerant,
    stops: &'a Stops,
    pub(crate) state: &'a mut State,
    pub(crate) sections: Sections,
    loads: Vec<Load>,
    rest: Vec<Option<AtRest>>,
    balanced: Vec<Option<balance::Balance>>,
    compressors: Vec<(JointId, Running)>,
    /// Sections into which a compressor discharges: their condensers are warmer than the air.
    warm: Vec<usize>,
    /// The cylinder of a push–pull that runs, and how cold it counts, K.
    pulled: Option<(SpaceId, f64)>,
    /// Receivers with the coldest of what drains into each, K.
    drained: Vec<(SpaceId, f64)>,
    pub(crate) touching: Touching,
    vented_kg: f64,
    air_in_kg: f64,
    recovered_kg: f64,
}

impl<'a> Settler<'a> {
    fn new(
        assembly: &'a Assembly,
        refrigerant: &'a Refrigerant,
        stops: &'a Stops,
        state: &'a mut State,
        sections: Sections,
    ) -> Self {
        let count = sections.len();
        let mut loads = vec![Load::default(); count];
        for (held, section) in
            state.contents.iter().zip(0u32..).map(|(held, at)| (held, sections.of(SpaceId(at))))
        {
            if let Some(load) = section.and_then(|section| loads.get_mut(section)) {
                load.add(Load {
                    refrigerant: held.refrigerant.as_kg(),
                    air: held.air.as_kg(),
                    nitrogen: held.nitrogen.as_kg(),
                });
            }
        }
        let mut settler = Self {
            assembly,
            refrigerant,
            stops,
            state,
            sections,
            loads,
            rest: vec![None; count],
            balanced: vec![None; count],
            compressors: Vec::new(),
            warm: Vec::new(),
            pulled: None,
            drained: Vec::new(),
            touching: Touching::new(&assembly.graph),
            vented_kg: 0.0,
            air_in_kg: 0.0,
            recovered_kg: 0.0,
        };
        settler.find_drained();
        settler.find_pulled();
        settler
    }

    /// Liquid runs where the machine keeps the pressure low: the cylinder counts as colder than what it is drawn from.
    fn find_pulled(&mut self) {
        let Some((cylinder, from)) = push_pull::drawn(self.assembly, self.state) else { return };
        let drained = |space: SpaceId| self.drained.iter().find(|(at, _)| *at == space).map(|(_, k)| *k);
        let kelvin = from.iter().map(|&space| drained(space).unwrap_or_else(|| self.kelvin(space)));
        let coldest = kelvin.fold(self.kelvin(cylinder), f64::min);
        self.pulled = Some((cylinder, coldest - PULLED));
    }

    /// What condenses above a receiver runs down into it and boils there again, so that neither keeps the liquid up there however cold it is:
    /// the receiver comes to the coldest of what drains into it. What drains is reached without going down, through open joints.
    fn find_drained(&mut self) {
        let graph = &self.assembly.graph;
        let height = |space: SpaceId| graph.space(space).map_or(0.0, |found| found.height.value.as_m());
        let receivers = graph.spaces_with_ids().filter(|(_, space)| space.kind == SpaceKind::Receiver);
        for (receiver, _) in receivers {
            let mut above = vec![receiver];
            let mut met = Marked::new(graph, [receiver]);
            let mut at = 0;
            while let Some(&here) = above.get(at) {
                at += 1;
                for &id in self.touching.at(here) {
                    let Some(joint) = graph.joint(id) else { continue };
                    let other = joint.other(here);
                    let open = passage(joint, id, &self.state.lineup) == Passage::Open;
                    if open && height(other) >= height(here) && met.add(other) {
                        above.push(other);
                    }
                }
            }
            let coldest = above.iter().map(|&space| self.kelvin(space)).fold(f64::INFINITY, f64::min);
            self.drained.push((receiver, coldest));
        }
    }

    fn is_boundless(&self, section: usize) -> bool {
        self.sections.members(section).iter().any(|&space| {
            self.assembly.graph.space(space).is_some_and(|space| {
                matches!(space.kind, SpaceKind::Atmosphere | SpaceKind::NitrogenCylinder)
            })
        })
    }

    pub(crate) fn kelvin(&self, space: SpaceId) -> f64 {
        let place = self.assembly.graph.space(space).and_then(|space| space.place);
        let places = &self.assembly.circuit.places;
        let found = place.and_then(|place| places.get(place.index())).or_else(|| places.first());
        found.map_or(293.15, |place| place.temperature.value.as_k())
    }

    fn cells(&self, section: usize) -> Vec<Cell> {
        let warm = self.warm.contains(&section);
        let cell = |&space: &SpaceId| {
            let found = self.assembly.graph.space(space);
            let condenser = found.filter(|found| {
                warm && matches!(found.kind, SpaceKind::Condenser | SpaceKind::ReversibleCoil)
            });
            let warmer =
                condenser.and_then(|found| found.approach).map_or(0.0, |approach| approach.value.as_k());
            // Behind a running compressor the condenser's heat holds the receiver up.
            let drained = self.drained.iter().find(|(receiver, _)| *receiver == space && !warm);
            let pulled = self.pulled.filter(|(cylinder, _)| *cylinder == space).map(|(_, kelvin)| kelvin);
            Cell {
                volume: found.map_or(0.0, |found| found.volume.value.as_m3()),
                kelvin: pulled
                    .or(drained.map(|(_, coldest)| *coldest))
                    .unwrap_or_else(|| self.kelvin(space) + warmer),
                height: match found {
                    // Nothing runs into a cylinder of itself whose vapour has no way out; nor can one count on what is in it staying there.
                    Some(found) if found.kind == SpaceKind::Cylinder && pulled.is_none() => ABOVE,
                    found => found.map_or(0.0, |found| found.height.value.as_m()),
                },
            }
        };
        self.sections.members(section).iter().map(cell).collect()
    }

    fn load(&self, section: usize) -> Load {
        self.loads.get(section).copied().unwrap_or_default()
    }

    fn solve(&self, section: usize, load: &Load) -> AtRest {
        at_rest(&self.cells(section), load, self.refrigerant)
    }

    /// The section at rest, solved once for each load.
    fn rest(&mut self, section: usize) -> AtRest {
        if let Some(Some(found)) = self.rest.get(section) {
            return found.clone();
        }
        let found = self.solve(section, &self.load(section));
        if let Some(slot) = self.rest.get_mut(section) {
            *slot = Some(found.clone());
        }
        found
    }

    fn set_load(&mut self, section: usize, load: Load) {
        if let (Some(slot), Some(rest)) = (self.loads.get_mut(section), self.rest.get_mut(section)) {
            *slot = load;
            *rest = None;
        }
    }

    fn pressure(&mut self, section: usize) -> f64 {
        if self.is_boundless(section) {
            return self.assembly.circuit.atmosphere.as_pa();
        }
        self.rest(section).pressure
    }

    fn run_machines(&mut self) {
        let pumped = self.sections.pumped.clone();
        for _ in 0..pumped.len().min(4) {
            for &(joint, from, to) in &pumped {
                self.run(joint, from, to);
            }
        }
    }

    fn run(&mut self, joint: JointId, from: SpaceId, to: SpaceId) {
        let (Some(source), Some(target)) = (self.sections.of(from), self.sections.of(to)) else { return };
        match self.assembly.graph.joint(joint).map(|found| &found.kind) {
            Some(JointKind::Compressor(_)) => self.run_compressor(joint, source, target),
            // In push–pull liquid runs as the sections come to rest; without a way round nothing has moved yet.
            Some(JointKind::RecoveryMachine) if self.is_push_pull(joint) => {}
            Some(JointKind::RecoveryMachine) => {
                let level = self.stops.recovery.as_pa();
                let moved = self.drain(source, level, Some(target));
                self.recovered_kg += moved;
            }
            Some(JointKind::VacuumPump) => {
                let level = self.stops.vacuum.as_pa();
                let moved = self.drain(source, level, None);
                self.vented_kg += moved;
            }
            _ => {}
        }
    }

    fn is_push_pull(&self, joint: JointId) -> bool {
        self.assembly.rigged.push_pull.is_some_and(|found| found.machine == joint)
    }

    fn run_compressor(&mut self, joint: JointId, source: usize, target: usize) {
        let upstream = self.sections.upstream(source, true);
        let running = if upstream.contains(&target) {
            self.balance(source, target, joint)
        } else if !self.has_sink(target) {
            Running::DeadHeaded
        } else {
            let level = self.stop_level(joint);
            if !self.warm.contains(&target) {
                self.warm.push(target);
            }
            self.drain(source, level, Some(target));
            if self.load(source).refrigerant > 0.0 { Running::PumpedDown } else { Running::Empty }
        };
        match self.compressors.iter_mut().find(|(id, _)| *id == joint) {
            Some(slot) if slot.1 != Running::PumpedDown || running != Running::Empty => slot.1 = running,
            Some(_) => {}
            None => self.compressors.push((joint, running)),
        }
    }

    /// Where a compressor stops with its supply cut, Pa: at the stop pressure, or before that at its low cut-out unless that is jumpered.
    pub(crate) fn stop_level(&self, compressor: JointId) -> f64 {
        let cut_out = match self.assembly.graph.joint(compressor).map(|found| &found.kind) {
            Some(JointKind::Compressor(found)) if !self.state.jumpered => found.low_cut_out,
            _ => None,
        };
        let stop = cut_out.map_or(self.stops.pump_down, |cut_out| cut_out.max(self.stops.pump_down));
        stop.absolute(self.assembly.circuit.atmosphere).as_pa()
    }

    fn has_sink(&self, section: usize) -> bool {
        self.sections.members(section).iter().any(|&space| {
            self.assembly.graph.space(space).is_some_and(|space| {
                matches!(space.kind, SpaceKind::Condenser | SpaceKind::ReversibleCoil | SpaceKind::Receiver)
            })
        })
    }

    fn balance(&mut self, source: usize, target: usize, joint: JointId) -> Running {
        // A loop that passes one-way joints is reckoned over all its sections together.
        let mut within = self.sections.upstream(source, true);
        within.retain(|&section| !self.is_boundless(section));
        within.sort_unstable();
        within.dedup();
        if !within.contains(&target) {
            return Running::Balanced;
        }
        let mut total = Load::default();
        for &section in &within {
            total.add(self.load(section));
        }
        let spaces: Vec<SpaceId> =
            within.iter().flat_map(|&section| self.sections.members(section).iter().copied()).collect();
        let Some(found) = balance::balance(self, joint, &spaces, &total) else { return Running::Balanced };
        let mut first = 0;
        for &section in &within {
            let part = found.part(first, self.sections.members(section).len());
            first += self.sections.members(section).len();
            let share = total.refrigerant.max(1e-12);
            let gas = part.refrigerant() / share;
            self.set_load(
                section,
                Load {
                    refrigerant: part.refrigerant(),
                    air: total.air * gas,
                    nitrogen: total.nitrogen * gas,
                },
            );
            if let Some(slot) = self.balanced.get_mut(section) {
                *slot = Some(part);
            }
        }
        Running::Balanced
    }

    /// Takes what is upstream down to a pressure; what comes out goes into the target, or away. Returns the refrigerant moved, kg.
    fn drain(&mut self, source: usize, level: f64, target: Option<usize>) -> f64 {
        let mut moved = Load::default();
        for section in self.sections.upstream(source, true) {
            if Some(section) == target
                || self.is_boundless(section)
                || self.pressure(section) <= level * (1.0 + 1e-9)
            {
                continue;
            }
            let load = self.load(section);
            let before = self.pressure(section);
            let kept = self.kept_at(section, &load, before, level);
            moved.add(Load {
                refrigerant: load.refrigerant - kept.refrigerant,
                air: load.air - kept.air,
                nitrogen: load.nitrogen - kept.nitrogen,
            });
            self.set_load(section, kept);
        }
        if let Some(target) = target {
            let mut load = self.load(target);
            load.add(moved);
            self.set_load(target, load);
        }
        moved.refrigerant
    }

    /// What a section keeps when it is taken down from one pressure to another: its gases in proportion, and vapour for the rest.
    fn kept_at(&self, section: usize, load: &Load, before: f64, level: f64) -> Load {
        let cells = self.cells(section);
        let per_kelvin: f64 = cells.iter().map(|cell| cell.volume / cell.kelvin).sum();
        let gas = load.moles_of_gas() * GAS_CONSTANT / per_kelvin.max(1e-30);
        let part = (level / before.max(1e-30)).min(1.0);
        let vapour = (level - gas * part).max(0.0);
        // Few temperatures occur.
        let mut known: Vec<(u64, f64)> = Vec::new();
        let mut thin_at = |kelvin: f64| match known.iter().find(|(at, _)| *at == kelvin.to_bits()) {
            Some((_, thin)) => *thin,
            None => {
                let thin = self.refrigerant.thin(kelvin, vapour);
                known.push((kelvin.to_bits(), thin));
                thin
            }
        };
        let thin: f64 = cells.iter().map(|cell| cell.volume * thin_at(cell.kelvin)).sum();
        Load { refrigerant: thin.min(load.refrigerant), air: load.air * part, nitrogen: load.nitrogen * part }
    }

    /// One-way joints let the higher pressure pass until nothing changes.
    fn pass_one_way(&mut self) {
        let ways = self.sections.one_way.clone();
        for _ in 0..40 * ways.len() {
            let mut moved = false;
            for &(joint, from, to) in &ways {
                moved |= self.pass(joint, from, to);
            }
            if !moved {
                return;
            }
        }
    }

    fn pass(&mut self, joint: JointId, from: SpaceId, to: SpaceId) -> bool {
        let (Some(high), Some(low)) = (self.sections.of(from), self.sections.of(to)) else { return false };
        let pumped = self.sections.pumped.iter().any(|way| way.0 == joint);
        let settled = |section: usize| self.balanced.get(section).is_some_and(Option::is_some);
        if high == low || pumped || settled(high) || settled(low) || self.is_boundless(low) {
            return false;
        }
        let (above, below) = (self.pressure(high), self.pressure(low));
        if above <= below * (1.0 + 1e-7) + 1e-6 {
            return false;
        }
        if self.is_boundless(high) {
            return false;
        }
        self.equalise(high, low);
        true
    }

    /// Lets mass pass from the higher to the lower section until their pressures meet.
    fn equalise(&mut self, high: usize, low: usize) {
        let (full, other) = (self.load(high), self.load(low));
        let shared = |part: f64| {
            let keep = Load {
                refrigerant: full.refrigerant * (1.0 - part),
                air: full.air * (1.0 - part),
                nitrogen: full.nitrogen * (1.0 - part),
            };
            let mut take = other;
            take.add(Load {
                refrigerant: full.refrigerant - keep.refrigerant,
                air: full.air - keep.air,
                nitrogen: full.nitrogen - keep.nitrogen,
            });
            (keep, take)
        };
        let gap = |part: f64| {
            let (keep, take) = shared(part);
            self.solve(high, &keep).pressure - self.solve(low, &take).pressure
        };
        // False position with halving: the gap falls from positive to negative as more passes.
        let (mut little, mut much) = (0.0, 1.0);
        let (mut above, mut below) = (gap(0.0), gap(1.0));
        let whole = above.abs().max(1.0);
        let mut part = 0.0;
        for round in 0..40 {
            let straight = little + (much - little) * above / (above - below);
            part = if round % 4 == 3 { 0.5 * (little + much) } else { straight };
            let here = gap(part);
            if here > 0.0 {
                (little, above) = (part, here);
            } else {
                (much, below) = (part, here);
            }
            if here.abs() < 1e-9 * whole || much - little < 1e-13 {
                break;
            }
        }
        let (keep, take) = shared(part);
        self.set_load(high, keep);
        self.set_load(low, take);
    }

    /// Sections that are open come to the atmosphere's pressure: refrigerant goes out, air comes in.
    fn open_up(&mut self) {
        let atmosphere = self.assembly.circuit.atmosphere.as_pa();
        let mut open: Vec<usize> =
            self.state.open_spaces.iter().filter_map(|&space| self.sections.of(space)).collect();
        let outside = |section: &usize| {
            let is = |&space: &SpaceId| {
                self.assembly.graph.space(space).is_some_and(|space| space.kind == SpaceKind::Atmosphere)
            };
            self.sections.members(*section).iter().any(is)
        };
        open.extend(
            (0..self.sections.len())
                .filter(|section| outside(section) && self.sections.members(*section).len() > 1),
        );
        open.sort_unstable();
        open.dedup();
        for section in open {
            let load = self.load(section);
            let per_kelvin: f64 = self.cells(section).iter().map(|cell| cell.volume / cell.kelvin).sum();
            let air = atmosphere * per_kelvin / GAS_CONSTANT * AIR;
            self.vented_kg += load.refrigerant;
            self.air_in_kg += (air - load.air).max(0.0);
            self.set_load(section, Load { refrigerant: 0.0, air, nitrogen: 0.0 });
            // Whatever ran there runs on air now.
            if let Some(slot) = self.balanced.get_mut(section) {
                *slot = None;
            }
            for space in self.sections.members(section).to_vec() {
                if let Some(held) = self.state.contents.get_mut(space.index()) {
                    held.wet = true;
                }
            }
        }
    }

    fn write_back(mut self) -> Settled {
        let in_cylinder = |state: &State| {
            let at = self.assembly.rigged.push_pull.and(self.assembly.rigged.cylinder);
            at.and_then(|at| state.held(at)).map_or(0.0, |held| held.refrigerant.as_kg())
        };
        let before = in_cylinder(self.state);
        let count = self.assembly.graph.spaces.len();
        let (mut pressures, mut liquid) = (vec![0.0; count], vec![0.0; count]);
        for section in 0..self.sections.len() {
            let members = self.sections.members(section).to_vec();
            if let Some(Some(found)) = self.balanced.get(section).cloned() {
                found.write(&members, &mut pressures, &mut liquid, self.state);
                continue;
            }
            let boundless = self.is_boundless(section);
            let load = self.load(section);
            let rest = self.rest(section);
            let volumes: Vec<Cell> = self.cells(section);
            let vapour: f64 = volumes
                .iter()
                .zip(&rest.held)
                .map(|(cell, held)| cell.volume * (1.0 - held.liquid) / cell.kelvin)
                .sum();
            for ((&space, held), cell) in members.iter().zip(&rest.held).zip(&volumes) {
                let at = space.index();
                let share = if vapour > 0.0 {
                    cell.volume * (1.0 - held.liquid) / cell.kelvin / vapour
                } else {
                    cell.volume / volumes.iter().map(|cell| cell.volume).sum::<f64>().max(1e-30)
                };
                if let (Some(pressure), Some(level), Some(slot)) =
                    (pressures.get_mut(at), liquid.get_mut(at), self.state.contents.get_mut(at))
                {
                    *pressure =
                        if boundless { self.assembly.circuit.atmosphere.as_pa() } else { rest.pressure };
                    *level = held.liquid;
                    if !boundless {
                        *slot = Contents {
                            refrigerant: stemwise_units::Mass::from_kg(held.refrigerant),
                            air: stemwise_units::Mass::from_kg(load.air * share),
                            nitrogen: stemwise_units::Mass::from_kg(load.nitrogen * share),
                            temperature: stemwise_units::Temperature::from_k(cell.kelvin),
                            wet: slot.wet,
                        };
                    }
                }
            }
        }
        if self.assembly.rigged.push_pull.is_some() {
            self.recovered_kg = in_cylinder(self.state) - before;
        }
        self.state.left.recovered_kg += self.recovered_kg;
        self.state.left.lost_kg += self.vented_kg;
        Settled {
            pressures,
            liquid,
            compressors: self.compressors,
            vented_kg: self.vented_kg,
            air_in_kg: self.air_in_kg,
            recovered_kg: self.recovered_kg,
            sections: self.sections,
        }
    }

    /// The hoses with the spaces that they are joined to through a port.
    pub(crate) fn hoses(&self) -> impl Iterator<Item = (SpaceId, SpaceId)> + '_ {
        let graph = &self.assembly.graph;
        let lineup = &self.state.lineup;
        lineup.attached.iter().filter_map(move |attached| {
            let reach = stemwise_circuit::port_reach(graph, attached.port, lineup)?.space?;
            Some((attached.hose, reach))
        })
    }

    /// The spaces that a joint lets refrigerant pass to while a compressor circulates, metering devices not crossed.
    pub(crate) fn beyond(&self, id: JointId, from: SpaceId) -> Option<SpaceId> {
        let joint = self.assembly.graph.joint(id)?;
        let other = if joint.a == from {
            joint.b
        } else if joint.b == from {
            joint.a
        } else {
            return None;
        };
        let crosses = match (&joint.kind, passage(joint, id, &self.state.lineup)) {
            (JointKind::Metering(Metering::Orifice | Metering::Capillary), _)
            | (JointKind::Metering(_), _) => false,
            (JointKind::Compressor(_), _) => false,
            (_, Passage::Open | Passage::Restricted) => true,
            (_, Passage::OneWay(start, _)) => start == from,
            _ => false,
        };
        crosses.then_some(other)
    }
}

/// For each space the joints that touch it, in their order.
#[derive(Debug)]
pub(crate) struct Touching {
    /// For each space where its joints begin, and where the last ones end.
    begins: Vec<u32>,
    joints: Vec<JointId>,
}

impl Touching {
    fn new(graph: &Graph) -> Self {
        let mut begins = vec![0u32; graph.spaces.len() + 1];
        let ends = |joint: &Joint| {
            let other = (joint.b != joint.a).then_some(joint.b);
            [Some(joint.a), other].into_iter().flatten()
        };
        for space in graph.joints.iter().flat_map(ends) {
            if let Some(count) = begins.get_mut(space.index() + 1) {
                *count += 1;
            }
        }
        let mut sum = 0;
        for begin in &mut begins {
            sum += *begin;
            *begin = sum;
        }
        let mut next = begins.clone();
        let mut joints = vec![JointId(0); sum as usize];
        for (id, joint) in graph.joints_with_ids() {
            for space in ends(joint) {
                let Some(at) = next.get_mut(space.index()) else { continue };
                if let Some(slot) = joints.get_mut(*at as usize) {
                    *slot = id;
                }
                *at += 1;
            }
        }
        Self { begins, joints }
    }

    /// The joints at a space.
    pub(crate) fn at(&self, space: SpaceId) -> &[JointId] {
        let begin = |at: usize| self.begins.get(at).map_or(0, |&begin| begin as usize);
        self.joints.get(begin(space.index())..begin(space.index() + 1)).unwrap_or(&[])
    }
}

/// Some spaces of a graph, to ask for at once.
#[derive(Debug)]
pub(crate) struct Marked(Vec<bool>);

impl Marked {
    pub(crate) fn new(graph: &Graph, spaces: impl IntoIterator<Item = SpaceId>) -> Self {
        let mut marked = Self(vec![false; graph.spaces.len()]);
        for space in spaces {
            marked.add(space);
        }
        marked
    }
    pub(crate) fn has(&self, space: SpaceId) -> bool {
        self.0.get(space.index()).is_some_and(|marked| *marked)
    }
    /// Adds one; whether it was not among them.
    pub(crate) fn add(&mut self, space: SpaceId) -> bool {
        self.0.get_mut(space.index()).is_some_and(|slot| !std::mem::replace(slot, true))
    }
}
