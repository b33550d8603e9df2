//! Carries a procedure's actions out in several surroundings at once: usual, cool, warm, and with compressors that don't leak back while they stand, so that
//! each expected reading has its range.

use stemwise_circuit::{
    Assembly, GAUGE_CLASS, JointId, JointKind, PortId, PortOn, Position, Regulator, Sections, Space, SpaceId,
    SpaceKind, gauge_top, port_reach,
};
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature};

use super::price;
use super::procedure::Cylinders;
use super::write::rise_limit;
use crate::hazard::{Finding, Look, Severity, hazards, left_behind};
use crate::props::Refrigerant;
use crate::rules::opening::is_flammable;
use crate::rules::running::is_zeotropic;
use crate::settle::{Running, Settled, Stops};
use crate::supply::king_valve;
use crate::{Action, Done, Job, State, apply, line_allowance};

/// What a hose holds is drawn back, or made up for, above so many times what a scale shows: two stems are moved for it.
const WORTH_DRAWING: f64 = 2.0;
/// Below this part of the atmosphere a vacuum gauge is read.
const IN_VACUUM: f64 = 0.5;
/// The circuit with compressors that hold while they stand: leaking back takes hours; none where all hold anyway.
fn tight(assembly: &Assembly) -> Option<Assembly> {
    let mut tight = assembly.clone();
    let mut any = false;
    for joint in &mut tight.graph.joints {
        if let JointKind::Compressor(compressor) = &mut joint.kind {
            any |= core::mem::take(&mut compressor.leaks_back);
        }
    }
    any.then_some(tight)
}

/// What stands behind a compressor at more than so many times the pressure before it leaks back through its valves (assumed).
const CLIMBS: f64 = 1.05;
/// Up to this part above the stop pressure a side counts as pumped down.
const PUMPED: f64 = 1.2;

/// The surroundings. The first is the usual one, which the others only widen.
pub(super) struct Runs<'a> {
    assembly: &'a Assembly,
    refrigerant: &'a Refrigerant,
    stops: Stops,
    surroundings: Vec<Assembly>,
    pub(super) done: Vec<Done>,
    first: Done,
    findings: Vec<Finding>,
}

impl<'a> Runs<'a> {
    /// Starts as the job does; with the ranges of readings or without.
    pub(super) fn new(
        assembly: &'a Assembly,
        refrigerant: &'a Refrigerant,
        stops: Stops,
        job: &Job,
        ranges: bool,
    ) -> Self {
        let mut surroundings = Vec::new();
        if ranges {
            surroundings.extend([shifted(assembly, false), shifted(assembly, true)]);
            surroundings.extend(tight(assembly));
        }
        let start = |assembly: &Assembly| State::begin(assembly, refrigerant, &stops, Some(job), true);
        let first = start(assembly);
        let done = core::iter::once(first.clone()).chain(surroundings.iter().map(start)).collect();
        Self { assembly, refrigerant, stops, surroundings, done, first, findings: Vec::new() }
    }

    pub(super) const fn assembly(&self) -> &'a Assembly {
        self.assembly
    }

    pub(super) fn here(&self) -> &Done {
        self.done.first().unwrap_or(&self.first)
    }

    pub(super) fn state(&self) -> &State {
        &self.here().state
    }

    pub(super) fn settled(&self) -> &Settled {
        &self.here().settled
    }

    /// Every warning and danger that came up so far.
    pub(super) fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Test gas and air in the circuit itself.
    pub(super) fn gas_left(&self) -> Mass {
        let own = self.assembly.circuit.graph.spaces.len();
        let held = self.state().contents.iter().take(own);
        held.fold(Mass::from_kg(0.0), |sum, held| sum + held.nitrogen + held.air)
    }

    /// What is left behind now.
    pub(super) fn left_behind(&self) -> Vec<Finding> {
        let here = self.here();
        left_behind(&Look {
            assembly: self.assembly,
            refrigerant: self.refrigerant,
            before: here,
            action: None,
            after: here,
        })
    }

    /// Does an action in all surroundings; returns the rules that fire in the usual one.
    pub(super) fn act(&mut self, action: &Action) -> Result<Vec<&'static str>, String> {
        let mut rules = Vec::new();
        for at in 0..self.done.len() {
            let assembly =
                if at == 0 { self.assembly } else { self.surroundings.get(at - 1).unwrap_or(self.assembly) };
            let Some(before) = self.done.get(at) else { continue };
            let after = apply(assembly, self.refrigerant, &self.stops, &before.state, action)
                .map_err(|why| why.to_string())?;
            if at == 0 {
                let look = Look {
                    assembly,
                    refrigerant: self.refrigerant,
                    before,
                    action: Some(action),
                    after: &after,
                };
                let found = hazards(&look);
                rules.extend(found.iter().map(|finding| finding.rule));
                self.findings
                    .extend(found.into_iter().filter(|finding| finding.severity > Severity::Caution));
            }
            if let Some(slot) = self.done.get_mut(at) {
                *slot = after;
            }
        }
        Ok(rules)
    }

    /// What a gauge on a space may show: the lowest, the usual one, the highest. Wide enough for the surroundings, the charge, the gauge's class,
    /// and for what the oil gives off after a pump-down. In a vacuum the vacuum gauge is read, which shows what it is.
    pub(super) fn band(&self, space: SpaceId) -> Option<(Pressure, Pressure, Pressure)> {
        let atmosphere = self.assembly.circuit.atmosphere;
        let usual = self.settled().pressure(space)?;
        let all = self.done.iter().filter_map(|done| done.settled.pressure(space));
        let (mut low, mut high) = all.fold((usual, usual), |(low, high), at| (low.min(at), high.max(at)));
        if self.is_pumped_down(space) {
            low = low.min(atmosphere);
            high = high.max(rise_limit(usual.gauge(atmosphere)).absolute(atmosphere));
        }
        if let Some(boiling) = self.held_back(space) {
            low = low.min(boiling);
        }
        if usual.as_pa() < IN_VACUUM * atmosphere.as_pa() {
            return Some((low, usual, high));
        }
        let off = |reading: Pressure| {
            let top = gauge_top(reading.gauge(atmosphere)).as_pa();
            GAUGE_CLASS / 100.0 * (top + 1e5)
        };
        let wide = |reading: Pressure, sign: f64| {
            Pressure::from_pa((reading.as_pa() + sign * off(reading)).max(0.0))
        };
        Some((wide(low, -1.0), usual, wide(high, 1.0)))
    }

    /// What a standing evaporator may be held at although it is joined to what is warmer: its metering device shuts while nothing draws, and what boils in
    /// it keeps the pressure of its own temperature.
    fn held_back(&self, space: SpaceId) -> Option<Pressure> {
        if !self.stands() {
            return None;
        }
        let members = self.section_of(&[space], false);
        let coils = members.iter().filter(|&&member| {
            self.assembly.graph.space(member).is_some_and(|found| found.kind == SpaceKind::Evaporator)
        });
        let boiling = coils.filter_map(|&coil| {
            let held = self.state().held(coil).filter(|held| held.refrigerant.as_kg() > 1e-3)?;
            self.refrigerant.sat(held.temperature.as_k()).map(|sat| sat.dew)
        });
        boiling.min_by(f64::total_cmp).map(Pressure::from_pa)
    }

    /// Whether a space climbs while the compressors that draw from it stand, because their valves leak back. A solenoid valve that is shut opens by pressure
    /// from behind, and a metering device lets some through: what lies behind them climbs too.
    pub(super) fn climbs(&self, space: SpaceId) -> bool {
        let graph = &self.assembly.graph;
        let sections = Sections::new(graph, &self.state().lineup);
        let Some(section) = sections.of(space) else { return false };
        let pressure = |space| self.settled().pressure(space).map_or(0.0, |found| found.as_pa());
        let leaking = graph.joints_with_ids().filter(|(id, joint)| match &joint.kind {
            JointKind::Compressor(compressor) => {
                let stands = !self.state().lineup.is_active(*id);
                compressor.leaks_back && stands && pressure(joint.b) > CLIMBS * pressure(joint.a)
            }
            _ => false,
        });
        let mut reached: Vec<usize> = leaking.filter_map(|(_, joint)| sections.of(joint.a)).collect();
        let pass = |joint: &&stemwise_circuit::Joint| {
            matches!(joint.kind, JointKind::Solenoid { .. } | JointKind::Metering(_))
        };
        let mut at = 0;
        while let Some(&here) = reached.get(at) {
            at += 1;
            for joint in graph.joints.iter().filter(pass) {
                let ends = [joint.a, joint.b].map(|end| sections.of(end));
                let next = match ends {
                    [Some(one), Some(other)] if one == here => other,
                    [Some(one), Some(other)] if other == here => one,
                    _ => continue,
                };
                if !reached.contains(&next) {
                    reached.push(next);
                }
            }
        }
        reached.contains(&section)
    }

    /// Whether a space stands where a compressor stopped, with nothing but refrigerant in it: what oil and cold corners give off lets it climb.
    fn is_pumped_down(&self, space: SpaceId) -> bool {
        let atmosphere = self.assembly.circuit.atmosphere;
        let stop = PUMPED * self.stops.pump_down.absolute(atmosphere).as_pa();
        let stands = self
            .settled()
            .pressure(space)
            .is_some_and(|found| (atmosphere.as_pa()..=stop).contains(&found.as_pa()));
        let members = self.section_of(&[space], false);
        let held = members.iter().filter_map(|&at| self.state().held(at));
        stands && held.map(|held| held.nitrogen.as_kg() + held.air.as_kg()).sum::<f64>() < 1e-6
    }

    pub(super) fn position(&self, valve: JointId) -> Option<Position> {
        self.state().lineup.position(valve)
    }

    pub(super) fn recovered(&self) -> Mass {
        Mass::from_kg(self.state().left.recovered_kg)
    }

    pub(super) const fn required_level(&self) -> Pressure {
        self.stops.recovery
    }

    /// The compressors that run with their supply cut.
    pub(super) fn pumping_down(&self) -> Vec<JointId> {
        let all = self.settled().compressors.iter();
        all.filter(|(_, running)| *running == Running::PumpedDown).map(|(joint, _)| *joint).collect()
    }

    /// What is flooded beside a compressor that is to start from rest.
    pub(super) fn floods(&self, compressor: JointId) -> Option<SpaceId> {
        let rested = self.state().rested >= crate::rules::running::WARM_MINUTES;
        let here = self.here();
        let found = crate::rules::running::flooded(here, &self.assembly.circuit.graph, compressor);
        found.filter(|_| !rested && self.stands()).map(|(space, _)| space)
    }

    /// Whether every compressor stands.
    pub(super) fn stands(&self) -> bool {
        !self.state().lineup.runs(&self.assembly.graph)
    }

    /// Where the low side of these compressors stopped.
    pub(super) fn stop_pressure(&self, compressors: &[JointId]) -> GaugePressure {
        let shell =
            compressors.first().and_then(|joint| self.assembly.graph.joint(*joint)).map(|joint| joint.a);
        let pressure = shell.and_then(|shell| self.settled().pressure(shell));
        pressure.map_or(self.stops.pump_down, |found| found.gauge(self.assembly.circuit.atmosphere))
    }

    /// The spaces joined to some, and those from which one-way joints lead to them.
    pub(super) fn section_of(&self, spaces: &[SpaceId], upstream: bool) -> Vec<SpaceId> {
        let sections = Sections::new(&self.assembly.graph, &self.state().lineup);
        let mut found: Vec<SpaceId> = Vec::new();
        for section in spaces.iter().filter_map(|&space| sections.of(space)) {
            let reached = if upstream { sections.upstream(section, true) } else { vec![section] };
            for &member in reached.iter().flat_map(|&section| sections.members(section)) {
                if !found.contains(&member) {
                    found.push(member);
                }
            }
        }
        found
    }

    /// The spaces that will be joined to some once these stems stand so.
    pub(super) fn section_at(
        &self,
        spaces: &[SpaceId],
        stems: impl Iterator<Item = (JointId, Position)>,
    ) -> Vec<SpaceId> {
        let graph = &self.assembly.graph;
        let mut lineup = self.state().lineup.clone();
        for (valve, to) in stems {
            lineup.set(graph, valve, to);
        }
        let sections = Sections::new(graph, &lineup);
        let inside: Vec<usize> = spaces.iter().filter_map(|&space| sections.of(space)).collect();
        let all = graph.spaces_with_ids().map(|(id, _)| id);
        all.filter(|&space| sections.of(space).is_some_and(|section| inside.contains(&section))).collect()
    }

    /// Whether a port is joined to one of these spaces as things stand.
    pub(super) fn reads_any_of(&self, port: PortId, spaces: &[SpaceId]) -> bool {
        let reach =
            port_reach(&self.assembly.graph, port, &self.state().lineup).and_then(|reach| reach.space);
        reach.is_some_and(|space| spaces.contains(&space))
    }

    /// Whether a port is joined to anything as things stand.
    pub(super) fn is_joined(&self, port: PortId) -> bool {
        port_reach(&self.assembly.graph, port, &self.state().lineup)
            .is_some_and(|reach| reach.of_system().is_some())
    }

    /// Whether the low-side hose is joined to the circuit.
    pub(super) fn low_hose_is_live(&self, hose: SpaceId) -> bool {
        let sections = Sections::new(&self.assembly.graph, &self.state().lineup);
        let own = &self.assembly.circuit.graph;
        let parted: Vec<SpaceId> = own
            .joints_with_ids()
            .filter(|(id, joint)| {
                matches!(joint.kind, JointKind::PiercingValve) && self.position(*id) == Some(Position::Shut)
            })
            .map(|(_, joint)| joint.b)
            .collect();
        let live = |member: &&SpaceId| member.index() < own.spaces.len() && !parted.contains(member);
        sections.of(hose).is_some_and(|section| sections.members(section).iter().any(|member| live(&member)))
    }

    /// Whether a port reads mostly liquid in normal running: a hose on it fills with liquid, which is lost when it comes off.
    pub(super) fn reads_liquid(&self, port: PortId) -> bool {
        let Some(space) = self.reach(port) else { return false };
        let lineup = &self.first.state.lineup;
        let holds = self.first.state.circuit_mass(self.assembly).as_kg() > 1e-3;
        if lineup.runs(&self.assembly.graph) || !holds {
            return self.first.settled.liquid_fraction(space) > 0.5;
        }
        // Pumped down it holds vapour, and liquid again once it runs.
        let kind = self.assembly.graph.space(space).map(|found| found.kind);
        matches!(kind, Some(SpaceKind::LiquidLine | SpaceKind::Drier))
    }

    /// The space that a port would read with a hose on.
    pub(super) fn reach(&self, port: PortId) -> Option<SpaceId> {
        let graph = &self.assembly.graph;
        match graph.port(port)?.on {
            PortOn::Space(space) => {
                Some(graph.needle(port).and_then(|id| graph.joint(id)).map_or(space, |needle| needle.a))
            }
            PortOn::ServiceValve(valve) => {
                let mut lineup = self.state().lineup.clone();
                if lineup.position(valve) == Some(Position::BackSeated) {
                    lineup.set(graph, valve, Position::Cracked);
                }
                let mut cored = lineup;
                cored.cores_out.push(port);
                port_reach(graph, port, &cored)?.space
            }
        }
    }

    pub(super) fn pressure_at(&self, port: PortId) -> Option<Pressure> {
        self.settled().pressure(self.reach(port)?)
    }

    pub(super) fn below_atmosphere(&self, port: PortId) -> bool {
        self.pressure_at(port)
            .is_some_and(|found| found.as_pa() < 0.97 * self.assembly.circuit.atmosphere.as_pa())
    }

    /// Whether a hose can go on a port as things stand: a core, or a service valve on its back seat or without pressure.
    pub(super) fn can_fit(&self, port: PortId) -> bool {
        let Some(found) = self.assembly.graph.port(port) else { return false };
        match found.on {
            PortOn::Space(_) => found.core || self.assembly.graph.needle(port).is_some(),
            PortOn::ServiceValve(valve) => found.core || self.position(valve) == Some(Position::BackSeated),
        }
    }

    /// Whether a port reads the low side in normal running: by the pressures, or where nothing runs at first by the flow.
    pub(super) fn reads_low_side(&self, port: PortId) -> bool {
        let Some(space) = self.reach(port) else { return false };
        if !self.first.state.lineup.runs(&self.assembly.graph) {
            return crate::jobs::is_suction_side(&self.assembly.graph, space);
        }
        let of = |space: SpaceId| self.first.settled.pressure(space).map_or(0.0, Pressure::as_pa);
        let mut compressors =
            self.assembly.graph.joints.iter().filter(|joint| matches!(joint.kind, JointKind::Compressor(_)));
        compressors.any(|joint| of(space) < (of(joint.a) * of(joint.b)).max(0.0).sqrt())
    }

    /// The receiver that liquid runs down into through a valve as things stand: a condenser is joined to its other side, and lies above it.
    pub(super) fn drains_through(&self, valve: JointId) -> Option<SpaceId> {
        let graph = &self.assembly.graph;
        let joint = graph.joint(valve).filter(|_| king_valve(self.assembly) != Some(valve))?;
        let kind = |space| graph.space(space).map(|found| found.kind);
        let height = |space| graph.space(space).map(|found| found.height.value);
        let receiver = [joint.a, joint.b].into_iter().find(|&end| kind(end) == Some(SpaceKind::Receiver))?;
        let above = joint.other(receiver);
        let sections = &self.settled().sections;
        let condenses = |(id, space): (SpaceId, &Space)| {
            space.kind == SpaceKind::Condenser && sections.joined(id, above) && sections.joined(id, receiver)
        };
        (height(above) > height(receiver) && graph.spaces_with_ids().any(condenses)).then_some(receiver)
    }

    /// Saturation at the pressure that a port reads: the dew point, or the bubble point.
    pub(super) fn saturation_at(&self, port: PortId, dew: bool) -> Option<Temperature> {
        let found = self.refrigerant.substance().saturation_at_pressure(self.pressure_at(port)?).ok()?;
        Some(if dew { found.dew.temperature() } else { found.bubble.temperature() })
    }

    /// What a line set adds to the charge that a split unit comes with.
    pub(super) fn line_allowance(&self) -> Mass {
        line_allowance(self.assembly, self.refrigerant)
    }

    /// Whether the refrigerant is a blend that may only leave its cylinder as liquid.
    pub(super) fn is_blend(&self) -> bool {
        is_zeotropic(self.refrigerant)
    }

    /// Whether the refrigerant burns.
    pub(super) fn is_flammable(&self) -> bool {
        is_flammable(self.refrigerant)
    }

    /// What stays in the hoses when they come off: what is in them goes back into the system down to the lowest pressure that a hose reads.
    pub(super) fn stays_in_hoses(&self) -> Mass {
        let rigged = &self.assembly.rigged;
        let hoses = [rigged.low_hose, rigged.high_hose, rigged.centre_hose];
        let attached = self.state().lineup.attached.iter().filter_map(|on| self.settled().pressure(on.hose));
        let Some(lowest) = attached.reduce(Pressure::min) else { return Mass::from_kg(0.0) };
        let stays = hoses.into_iter().filter_map(|hose| {
            let (held, space) = (self.state().held(hose)?, self.assembly.graph.space(hose)?);
            let thin = self.refrigerant.thin(held.temperature.as_k(), lowest.as_pa());
            Some(Mass::from_kg((thin * space.volume.value.as_m3()).min(held.refrigerant.as_kg())))
        });
        stays.sum::<Mass>() + self.lost_with_the_last_hose()
    }

    /// The ports of running liquid lines whose hoses nothing lets be drawn empty.
    pub(super) fn full_hoses(&self) -> Vec<PortId> {
        let full = |port: &PortId| {
            let liquid = self.live_liquid(*port).is_some_and(|space| self.fills_a_hose(self.here(), space));
            liquid && !self.stands() && self.draws_empty(*port).is_none()
        };
        self.state().lineup.attached.iter().map(|on| on.port).filter(full).collect()
    }

    /// What is lost when the only hose that is on comes off a running liquid line that nothing lets it be drawn empty from.
    pub(super) fn lost_with_the_last_hose(&self) -> Mass {
        let none = Mass::from_kg(0.0);
        let [on] = self.state().lineup.attached.as_slice() else { return none };
        let graph = &self.assembly.graph;
        let Some(space) = self.live_liquid(on.port) else { return none };
        let starts = !self.first.state.lineup.runs(graph);
        let started = starts.then(|| State::start(self.assembly, self.refrigerant, &self.stops, true));
        let running = started.as_ref().unwrap_or(&self.first);
        if self.empties(running, on.port).is_some() || !self.fills_a_hose(running, space) {
            return none;
        }
        let volume = graph.space(on.hose).map_or(0.0, |found| found.volume.value.as_m3());
        Mass::from_kg(volume * self.density(running, space))
    }

    /// kg/m³.
    fn density(&self, done: &Done, space: SpaceId) -> f64 {
        let volume = self.assembly.graph.space(space).map_or(0.0, |found| found.volume.value.as_m3());
        let held = done.state.held(space).map_or(0.0, |held| held.refrigerant.as_kg());
        held / volume.max(1e-30)
    }

    /// Whether a hose that is full of what a space holds is worth weighing.
    fn fills_a_hose(&self, done: &Done, space: SpaceId) -> bool {
        let hose = self.assembly.graph.space(self.assembly.rigged.high_hose);
        let volume = hose.map_or(0.0, |found| found.volume.value.as_m3());
        Mass::from_kg(volume * self.density(done, space)) > super::write::SCALE * WORTH_DRAWING
    }

    /// The space that a port reads which can't be shut off, where liquid may stand in it while the system runs.
    fn live_liquid(&self, port: PortId) -> Option<SpaceId> {
        match self.assembly.graph.port(port)?.on {
            PortOn::Space(_) if self.assembly.graph.needle(port).is_some() => None,
            PortOn::Space(space) => {
                let kind = self.assembly.graph.space(space)?.kind;
                matches!(kind, SpaceKind::LiquidLine | SpaceKind::Drier | SpaceKind::Stub).then_some(space)
            }
            PortOn::ServiceValve(_) => None,
        }
    }

    /// The stem near what a port reads that, shut while the compressor runs, lets it draw the hose there empty: where to, and how it stood.
    pub(super) fn draws_empty(&self, port: PortId) -> Option<(JointId, Position, Position)> {
        self.empties(self.here(), port)
    }

    fn empties(&self, before: &Done, port: PortId) -> Option<(JointId, Position, Position)> {
        let space = self.live_liquid(port)?;
        let graph = &self.assembly.graph;
        if !before.state.lineup.runs(graph) || !self.fills_a_hose(before, space) {
            return None;
        }
        let low = PUMPED * self.stops.pump_down.absolute(self.assembly.circuit.atmosphere).as_pa();
        let own = &self.assembly.circuit.graph;
        let mut near = vec![space];
        let mut at = 0;
        while let Some(&here) = near.get(at) {
            at += 1;
            let pipes = own.joints.iter().filter(|joint| joint.stem.is_none() && joint.touches(here));
            for joint in pipes.filter(|joint| matches!(joint.kind, JointKind::Pipe)) {
                let other = joint.other(here);
                if !near.contains(&other) {
                    near.push(other);
                }
            }
        }
        let beside = own.joints_with_ids().filter(|(_, joint)| near.iter().any(|&here| joint.touches(here)));
        let mut stems = beside.filter_map(|(valve, joint)| {
            let to = crate::supply::shut_position(joint);
            let stands = before.state.lineup.position(valve)?;
            let turns = joint.stem.is_some() && !matches!(joint.kind, JointKind::PiercingValve);
            (turns && stands != to).then_some((valve, to, stands))
        });
        stems.find(|&(valve, to, _)| {
            let action = Action::Turn { valve, to };
            let done = apply(self.assembly, self.refrigerant, &self.stops, &before.state, &action);
            done.is_ok_and(|after| {
                let look = Look {
                    assembly: self.assembly,
                    refrigerant: self.refrigerant,
                    before,
                    action: Some(&action),
                    after: &after,
                };
                let empties = after.settled.pressure(space).is_some_and(|found| found.as_pa() <= low);
                empties && hazards(&look).iter().all(|finding| finding.severity < Severity::Danger)
            })
        })
    }

    /// The evaporator pressure regulators with a manual opener that would shut before a pump-down has come to its end.
    pub(super) fn regulators_that_hold_up(&self) -> Vec<JointId> {
        let holds = |joint: &stemwise_circuit::Joint| match joint.kind {
            JointKind::Regulator { kind: Regulator::EvaporatorPressure, setting, manual_opener } => {
                manual_opener && setting > self.stops.pump_down
            }
            _ => false,
        };
        let own = self.assembly.circuit.graph.joints_with_ids();
        own.filter(|(_, joint)| holds(joint)).map(|(id, _)| id).collect()
    }

    /// Whether the hoses that are on draw from every part of the circuit with every coil off.
    pub(super) fn drawn_with_coils_off(&self) -> bool {
        let graph = &self.assembly.graph;
        let mut lineup = self.state().lineup.clone();
        for (id, _) in
            graph.joints_with_ids().filter(|(_, joint)| matches!(joint.kind, JointKind::Solenoid { .. }))
        {
            lineup.switch(graph, id, false);
        }
        let sections = Sections::new(graph, &lineup);
        let read = lineup.attached.iter().filter_map(|on| port_reach(graph, on.port, &lineup)?.space);
        // What comes only through regulators and other one-way joints takes half a day: that does not count.
        let drawn: Vec<usize> = read.filter_map(|space| sections.of(space)).collect();
        let own = self.assembly.circuit.graph.spaces_with_ids();
        own.filter(|(_, space)| space.kind != SpaceKind::Atmosphere)
            .all(|(id, _)| sections.of(id).is_some_and(|section| drawn.contains(&section)))
    }

    /// What an evacuated system draws from a cylinder beside it until the pressures are equal: saturated vapour at each place's temperature,
    /// as far as that is no warmer than the coldest place with liquid would allow.
    pub(super) fn vapour_that_fills(&self) -> Mass {
        let places = &self.assembly.circuit.places;
        let coldest = places.iter().map(|place| place.temperature.value.as_k()).fold(f64::INFINITY, f64::min);
        let pressure = self.refrigerant.sat(coldest).map_or(0.0, |sat| sat.p);
        let of = |space: &Space| {
            let place = space.place.and_then(|place| places.get(place.index()));
            let kelvin = place.map_or(293.15, |place| place.temperature.value.as_k());
            space.volume.value.as_m3() * self.refrigerant.thin(kelvin, 0.95 * pressure)
        };
        Mass::from_kg(self.assembly.circuit.graph.spaces.iter().map(of).sum())
    }

    /// Whether every one of these spaces stands below a pressure.
    pub(super) fn all_below(&self, spaces: &[SpaceId], limit: Pressure) -> bool {
        spaces.iter().all(|&space| self.settled().pressure(space).is_some_and(|found| found < limit))
    }

    /// Whether a valve's two sides stand at pressures far apart, one of them evacuated.
    pub(super) fn needs_refill(&self, valve: JointId) -> bool {
        let Some(joint) = self.assembly.graph.joint(valve) else { return false };
        let of = |space| self.settled().pressure(space).map_or(0.0, Pressure::as_pa);
        of(joint.a).min(of(joint.b)) < 5_000.0
    }

    /// The stems of the circuit that don't stand as they belong.
    pub(super) fn stems_off_normal(&self) -> Vec<JointId> {
        let own = self.assembly.circuit.graph.joints_with_ids();
        let off = |(id, joint): &(JointId, &stemwise_circuit::Joint)| {
            joint.stem.as_ref().is_some_and(|stem| self.position(*id) != Some(stem.normal))
        };
        own.filter(off).map(|(id, _)| id).collect()
    }

    /// Whether less than half of the charge is in the circuit.
    pub(super) fn is_nearly_empty(&self) -> bool {
        self.state().circuit_mass(self.assembly) < self.assembly.circuit.charge.value * 0.5
    }

    /// The largest amount that the cylinder holds at the end.
    pub(super) fn in_cylinder(&self) -> Mass {
        let at = self.assembly.rigged.cylinder;
        at.and_then(|at| self.state().held(at)).map_or(Mass::from_kg(0.0), |held| held.refrigerant)
    }

    /// The cylinders of the rig that a mass fills.
    pub(super) fn cylinders(&self, mass: Mass) -> Option<Cylinders> {
        price::cylinders(self.assembly, self.refrigerant, mass)
    }

    pub(super) fn into_state(self) -> State {
        self.done.into_iter().next().map_or(self.first.state, |done| done.state)
    }
}

/// The same with every place and the charge at the lower, or the upper, end of its range.
fn shifted(assembly: &Assembly, warm: bool) -> Assembly {
    let mut other = assembly.clone();
    let charge = other.circuit.charge;
    other.circuit.charge.value = if warm { charge.high } else { charge.low };
    for place in &mut other.circuit.places {
        let range = place.temperature;
        place.temperature.value = if warm { range.high } else { range.low };
    }
    other
}
