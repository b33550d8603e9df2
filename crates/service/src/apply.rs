//! What one action does to a state: a precondition, an effect, and settling.

use stemwise_circuit::{Assembly, JointId, JointKind, Lineup, PortId, Position, SpaceId, SpaceKind};
use stemwise_thermo::Substance;
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature};

use crate::props::{AIR, GAS_CONSTANT, NITROGEN, Refrigerant};
use crate::settle::{Settled, Stops, settle};
use crate::{Action, Contents, State};

/// Why an action can't be done.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refused {
    /// There is no such joint, port or space, or it can't be set like that.
    #[error("{what} is not there, or can't be set like that")]
    NotThere {
        /// What was named.
        what: &'static str,
    },
    /// The port has a hose on, or has none.
    #[error("the {port} {state}")]
    Port {
        /// The port's name.
        port: String,
        /// What is wrong with it.
        state: &'static str,
    },
    /// The hose is on another port.
    #[error("the {hose} is on another port")]
    HoseInUse {
        /// The hose's name.
        hose: String,
    },
    /// The power is locked out.
    #[error("the power is locked out: {what} can't be started")]
    LockedOut {
        /// What was to start.
        what: String,
    },
    /// The rig has no such thing.
    #[error("there is no {what} at hand")]
    NotAtHand {
        /// What is missing.
        what: &'static str,
    },
    /// More than there is.
    #[error("only {available} g can be charged, {wanted} g were asked for")]
    NotEnough {
        /// What there is, g.
        available: i64,
        /// What was asked for, g.
        wanted: i64,
    },
    /// What it would go into is full of liquid.
    #[error(
        "so much can't go in: what the centre hose is joined to would be full of liquid, at a higher pressure than any cylinder gives"
    )]
    NoRoom,
}

/// A state after an action.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// The state.
    pub state: State,
    /// Its pressures and levels.
    pub settled: Settled,
}

impl State {
    /// The state in normal running, or standing, with the charge where it settles.
    pub fn start(assembly: &Assembly, refrigerant: &Refrigerant, stops: &Stops, running: bool) -> Done {
        let mut lineup = Lineup::normal(&assembly.graph);
        if !running {
            lineup.stop_all(&assembly.graph);
        }
        let mut state = Self::empty(assembly, lineup);
        state.put_charge(assembly, assembly.circuit.charge.value);
        let settled = settle(assembly, refrigerant, stops, &mut state);
        Done { state, settled }
    }

    /// The state of a system that stands as a thermostat leaves it: where solenoid valves feed it they have fallen with the compressors, and what was in
    /// the evaporators has been drawn out before; else as [`State::start`] has it.
    pub fn standing(assembly: &Assembly, refrigerant: &Refrigerant, stops: &Stops) -> Done {
        let falls = |joint: &stemwise_circuit::Joint| {
            matches!(joint.kind, JointKind::Solenoid { energised_opens: true, normally_energised: true, .. })
        };
        if !assembly.circuit.graph.joints.iter().any(falls) {
            return Self::start(assembly, refrigerant, stops, false);
        }
        let mut state = Self::start(assembly, refrigerant, stops, true).state;
        for (id, joint) in assembly.graph.joints_with_ids() {
            if falls(joint) {
                state.lineup.switch(&assembly.graph, id, false);
            }
        }
        settle(assembly, refrigerant, stops, &mut state);
        state.lineup.stop_all(&assembly.graph);
        let settled = settle(assembly, refrigerant, stops, &mut state);
        Done { state, settled }
    }

    /// Nothing in any space but what the rig brings along.
    pub fn empty(assembly: &Assembly, lineup: Lineup) -> Self {
        let site = assembly
            .circuit
            .places
            .first()
            .map_or(Temperature::from_k(293.15), |place| place.temperature.value);
        let nothing = Contents {
            refrigerant: Mass::from_kg(0.0),
            air: Mass::from_kg(0.0),
            nitrogen: Mass::from_kg(0.0),
            temperature: site,
            wet: false,
        };
        let mut contents = vec![nothing; assembly.graph.spaces.len()];
        let held = assembly
            .rig
            .cylinder
            .as_ref()
            .and_then(|cylinder| cylinder.holds.as_ref())
            .map(|(_, mass)| *mass);
        if let (Some(cylinder), Some(mass)) = (assembly.rigged.cylinder, held)
            && let Some(slot) = contents.get_mut(cylinder.index())
        {
            slot.refrigerant = mass;
        }
        // What lies between a shut needle and the cap over its port holds air.
        for (id, joint) in assembly.circuit.graph.joints_with_ids() {
            let shut = lineup.position(id) == Some(Position::Shut);
            if shut && matches!(joint.kind, JointKind::PiercingValve) {
                let air = air_in(assembly, joint.b, site);
                if let Some(slot) = contents.get_mut(joint.b.index()) {
                    slot.air = air;
                }
            }
        }
        if let Some(slot) = assembly.rigged.nitrogen.and_then(|at| contents.get_mut(at.index())) {
            // 10 L at 150 bar and room temperature.
            slot.nitrogen = Mass::from_kg(150e5 * 0.010 / (GAS_CONSTANT * 293.15) * NITROGEN);
        }
        Self {
            lineup,
            contents,
            caps_off: Default::default(),
            nuts_eased: Default::default(),
            purged: Default::default(),
            rested: 0,
            pierced: Default::default(),
            brazed: Default::default(),
            open_spaces: Default::default(),
            locked_out: false,
            jumpered: false,
            left: Default::default(),
        }
    }

    /// Puts the charge where the largest vessel of the high side is; settling spreads it.
    pub(crate) fn put_charge(&mut self, assembly: &Assembly, charge: Mass) {
        let rank = |kind: SpaceKind| match kind {
            SpaceKind::Receiver => 0,
            SpaceKind::Condenser | SpaceKind::ReversibleCoil => 1,
            SpaceKind::Atmosphere => 9,
            _ => 2,
        };
        let spaces = assembly.circuit.graph.spaces_with_ids();
        let best = spaces.min_by_key(|(id, space)| (rank(space.kind), *id)).map(|(id, _)| id);
        if let Some(slot) = best.and_then(|best| self.contents.get_mut(best.index())) {
            slot.refrigerant = charge;
        }
    }
}

/// The air that a space holds at the atmosphere's pressure.
fn air_in(assembly: &Assembly, space: SpaceId, at: Temperature) -> Mass {
    let volume = assembly.graph.space(space).map_or(0.0, |space| space.volume.value.as_m3());
    let moles = assembly.circuit.atmosphere.as_pa() * volume / (GAS_CONSTANT * at.as_k());
    Mass::from_kg(moles * AIR)
}

/// Does an action.
///
/// # Errors
/// [`Refused`] where hands can't do it; what is merely dangerous is done, and the hazard rules say so.
pub fn apply(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    stops: &Stops,
    before: &State,
    action: &Action,
) -> Result<Done, Refused> {
    let molar_mass = refrigerant.substance().molar_mass_kg_per_mol();
    let mut hand = Hand { assembly, state: before.clone(), molar_mass };
    let settles = hand.act(action)?;
    let mut state = hand.state;
    // A vacuum pump is stopped where the action says, and no lower than it gets.
    let stops = &match action {
        Action::Evacuate { to } => Stops { vacuum: to.max(DEEPEST), ..*stops },
        _ => *stops,
    };
    let mut settled = settle(assembly, refrigerant, stops, &mut state);
    match settles {
        Then::Nothing => {}
        Then::Nitrogen(to) => {
            admit_nitrogen(assembly, refrigerant, stops, &mut state, &mut settled, to);
        }
        Then::Stop(machine) => {
            state.lineup.switch(&assembly.graph, machine, false);
            let moved = settled.recovered_kg;
            settled = settle(assembly, refrigerant, stops, &mut state);
            settled.recovered_kg += moved;
        }
    }
    let charges = matches!(action, Action::Charge { .. } | Action::ChargeThrottled { .. });
    let pressure = settled.pressure(assembly.rigged.centre_hose).map_or(0.0, Pressure::as_pa);
    if charges && pressure > CYLINDER * refrigerant.substance().critical_pressure().as_pa() {
        return Err(Refused::NoRoom);
    }
    Ok(Done { state, settled })
}

/// No cylinder presses harder than so many times its refrigerant's critical pressure: below the critical temperature none reaches it, and carbon
/// dioxide at 60 °C, filled as regulations have it, stands at somewhat more than twice it (from memory).
const CYLINDER: f64 = 2.5;

/// What hands alone change: the state as an action leaves it, before anything settles or flows.
///
/// # Errors
/// [`Refused`], as [`apply`].
pub fn handle(
    assembly: &Assembly,
    refrigerant: &Substance,
    before: &State,
    action: &Action,
) -> Result<State, Refused> {
    let molar_mass = refrigerant.molar_mass_kg_per_mol();
    let mut hand = Hand { assembly, state: before.clone(), molar_mass };
    hand.act(action)?;
    Ok(hand.state)
}
/// What a service vacuum pump reaches at best (common practice: 15 to 50 micron, blanked off).
const DEEPEST: Pressure = Pressure::from_micron(15.0);

/// What follows the settling of an action.
enum Then {
    Nothing,
    Nitrogen(GaugePressure),
    Stop(JointId),
}

struct Hand<'a> {
    assembly: &'a Assembly,
    state: State,
    molar_mass: f64,
}

impl Hand<'_> {
    fn act(&mut self, action: &Action) -> Result<Then, Refused> {
        self.swap_ends(action);
        self.rest(action);
        match action {
            Action::LockOut => {
                self.state.lineup.stop_all(&self.assembly.graph);
                self.cut_coils();
                self.state.locked_out = true;
            }
            Action::RestorePower => self.restore_power(),
            Action::TakeCapOff(cap) => {
                self.state.caps_off.insert(*cap);
            }
            Action::PutCapOn(cap) => {
                self.state.caps_off.remove(cap);
            }
            Action::EaseNut(joint) => {
                self.state.nuts_eased.insert(*joint);
            }
            Action::TightenNut(joint) => {
                self.state.nuts_eased.remove(joint);
            }
            Action::Turn { valve, to } => self.turn(*valve, *to)?,
            Action::AttachHose { hose, port } => self.attach(*hose, *port)?,
            Action::PurgeHose { hose } => self.purge(*hose)?,
            Action::DetachHose { port } => self.detach(*port)?,
            Action::PullCore { port, .. } => self.pull_core(*port)?,
            Action::PutCoreBack { port } => self.state.lineup.cores_out.retain(|out| out != port),
            Action::Start(joint) => self.switch(*joint, true)?,
            Action::Stop(joint) => self.switch(*joint, false)?,
            Action::HoldOpen(joint) => self.hold_open(*joint, true)?,
            Action::LetGo(joint) => self.hold_open(*joint, false)?,
            Action::AdmitNitrogen { to } => {
                self.assembly
                    .rigged
                    .nitrogen_regulator
                    .ok_or(Refused::NotAtHand { what: "nitrogen with a regulator" })?;
                return Ok(Then::Nitrogen(*to));
            }
            Action::ReleaseNitrogen { to } => self.release(*to),
            Action::OpenUp { spaces, .. } => self.state.open_spaces.extend(spaces.iter().copied()),
            Action::CloseUp { spaces, .. } => self.state.open_spaces.retain(|open| !spaces.contains(open)),
            Action::Evacuate { .. } => {
                let pump =
                    self.assembly.rigged.vacuum_pump.ok_or(Refused::NotAtHand { what: "vacuum pump" })?;
                self.state.lineup.switch(&self.assembly.graph, pump, true);
                self.dry();
                return Ok(Then::Stop(pump));
            }
            Action::Charge { mass, .. } | Action::ChargeThrottled { mass } => self.charge(*mass)?,
            Action::AddOil { mass } => self.state.left.oil_kg += mass.as_kg(),
            Action::Pierce { port } => {
                self.fits(*port)?;
                self.state.pierced.insert(*port);
                self.state.caps_off.insert(crate::Cap::Port(*port));
            }
            Action::BrazeAccess { port } => {
                self.fits(*port)?;
                self.state.pierced.remove(port);
                self.state.brazed.insert(*port);
            }
            Action::Read | Action::SearchLeaks | Action::CheckAir | Action::Hold { .. } => {}
        }
        Ok(Then::Nothing)
    }

    /// What goes on the end of the centre hose lets air into it, unless it is there already; a charge fills it with refrigerant.
    fn swap_ends(&mut self, action: &Action) {
        let rigged = &self.assembly.rigged;
        let machines = [rigged.recovery_machine, rigged.vacuum_pump];
        match action {
            Action::Evacuate { .. } | Action::AdmitNitrogen { .. } => {
                self.state.purged.remove(&rigged.centre_hose);
            }
            Action::Start(machine) if machines.contains(&Some(*machine)) => {
                self.state.purged.remove(&rigged.centre_hose);
            }
            Action::Charge { .. } | Action::ChargeThrottled { .. } => {
                self.state.purged.insert(rigged.centre_hose);
            }
            _ => {}
        }
    }

    /// How long a standing compressor's heater and fans have had.
    fn rest(&mut self, action: &Action) {
        let stands = !self.state.lineup.runs(&self.assembly.graph);
        match action {
            Action::Hold { minutes } if stands && !self.state.locked_out => {
                let rested = self.state.rested.saturating_add(*minutes);
                self.state.rested = rested.min(crate::rules::running::WARM_MINUTES);
            }
            Action::LockOut
            | Action::Stop(_)
            | Action::Start(_)
            | Action::Charge { .. }
            | Action::ChargeThrottled { .. } => self.state.rested = 0,
            _ => {}
        }
    }

    fn purge(&mut self, hose: SpaceId) -> Result<(), Refused> {
        let kind = self.assembly.graph.space(hose).map(|space| space.kind);
        if kind != Some(SpaceKind::Hose) {
            return Err(Refused::NotThere { what: "a hose" });
        }
        let rigged = &self.assembly.rigged;
        if hose != rigged.centre_hose && rigged.vacuum_pump.is_none() {
            return Err(Refused::NotAtHand { what: "vacuum pump" });
        }
        self.state.purged.insert(hose);
        Ok(())
    }

    fn turn(&mut self, valve: JointId, to: Position) -> Result<(), Refused> {
        self.before_a_needle(valve, to);
        let set = self.state.lineup.set(&self.assembly.graph, valve, to);
        if set { Ok(()) } else { Err(Refused::NotThere { what: "a valve with such a position" }) }
    }

    /// A needle that opens lets the air above it out with the purge of the hose on its port.
    fn before_a_needle(&mut self, needle: JointId, to: Position) {
        let graph = &self.assembly.graph;
        let is = |joint: &&stemwise_circuit::Joint| matches!(joint.kind, JointKind::PiercingValve);
        let passage = graph.joint(needle).filter(is).map(|joint| joint.b);
        let hose = self.state.lineup.attached.iter().any(|on| graph.needle(on.port) == Some(needle));
        if let (Some(passage), true) = (passage, hose && to == Position::Open)
            && let Some(slot) = self.state.contents.get_mut(passage.index())
        {
            slot.air = Mass::from_kg(0.0);
        }
    }

    /// The passage above a shut needle opens to the air with the hose that comes off.
    fn open_passage(&mut self, port: PortId) {
        let graph = &self.assembly.graph;
        let needle =
            graph.needle(port).filter(|&needle| self.state.lineup.position(needle) == Some(Position::Shut));
        let Some(passage) = needle.and_then(|needle| graph.joint(needle)).map(|joint| joint.b) else {
            return;
        };
        if let Some(held) = self.state.contents.get_mut(passage.index()) {
            self.state.left.lost_kg += held.refrigerant.as_kg();
            held.refrigerant = Mass::from_kg(0.0);
            held.nitrogen = Mass::from_kg(0.0);
            held.air = air_in(self.assembly, passage, held.temperature);
        }
    }

    fn name(&self, port: PortId) -> String {
        self.assembly.graph.port(port).map_or_else(|| "port".into(), |port| port.name.clone())
    }

    fn attach(&mut self, hose: SpaceId, port: PortId) -> Result<(), Refused> {
        let kind = self.assembly.graph.space(hose).map(|space| space.kind);
        if kind != Some(SpaceKind::Hose) || self.assembly.graph.port(port).is_none() {
            return Err(Refused::NotThere { what: "a hose or a port" });
        }
        if self.state.lineup.hose_on(port).is_some() {
            return Err(Refused::Port { port: self.name(port), state: "has a hose on already" });
        }
        if self.state.lineup.attached.iter().any(|attached| attached.hose == hose) {
            let hose = self.assembly.graph.space(hose).map_or_else(String::new, |space| space.name.clone());
            return Err(Refused::HoseInUse { hose });
        }
        self.state.lineup.attached.push(stemwise_circuit::Attached { hose, port });
        Ok(())
    }

    /// What is in the hose is lost, as far as it is refrigerant.
    fn detach(&mut self, port: PortId) -> Result<(), Refused> {
        let Some(hose) = self.state.lineup.hose_on(port) else {
            return Err(Refused::Port { port: self.name(port), state: "has no hose on" });
        };
        self.fill_hose(hose, port);
        self.state.purged.remove(&hose);
        self.state.lineup.attached.retain(|attached| attached.port != port);
        if let Some(held) = self.state.contents.get_mut(hose.index()) {
            self.state.left.lost_kg += held.refrigerant.as_kg();
            held.refrigerant = Mass::from_kg(0.0);
            held.air = Mass::from_kg(0.0);
            held.nitrogen = Mass::from_kg(0.0);
        }
        self.open_passage(port);
        Ok(())
    }

    /// A hose that is still open to the liquid line of a running system is as full of liquid as that: it hangs in colder air than the liquid condensed in. While it is on, the
    /// little that it takes from the charge is left where it is.
    fn fill_hose(&mut self, hose: SpaceId, port: PortId) {
        let graph = &self.assembly.graph;
        let reached =
            stemwise_circuit::port_reach(graph, port, &self.state.lineup).and_then(|reach| reach.space);
        let (Some(at), true) = (reached, self.state.lineup.runs(graph)) else { return };
        let (Some(line), Some(inside)) = (graph.space(at), graph.space(hose)) else { return };
        if !matches!(line.kind, SpaceKind::LiquidLine | SpaceKind::Drier | SpaceKind::Stub) {
            return;
        }
        let (Some(from), Some(into)) = (self.state.held(at), self.state.held(hose)) else { return };
        let part = inside.volume.value.as_m3() / line.volume.value.as_m3().max(1e-30);
        let wanted = from.refrigerant * part - into.refrigerant;
        // It comes from wherever most is: the next settling shares out what is left.
        let sections = stemwise_circuit::Sections::new(graph, &self.state.lineup);
        let joined = sections.of(at).map_or(&[] as &[SpaceId], |section| sections.members(section));
        let kg = |space: &SpaceId| self.state.held(*space).map_or(0.0, |held| held.refrigerant.as_kg());
        let others = joined.iter().copied().filter(|&space| space != hose);
        let Some(most) = others.max_by(|one, other| kg(one).total_cmp(&kg(other))) else { return };
        let more = wanted.max(Mass::from_kg(0.0)).min(Mass::from_kg(kg(&most)));
        for (space, change) in [(most, more * -1.0), (hose, more)] {
            if let Some(slot) = self.state.contents.get_mut(space.index()) {
                slot.refrigerant = slot.refrigerant + change;
            }
        }
    }

    /// Whether a port is one that can be fitted.
    fn fits(&self, port: PortId) -> Result<(), Refused> {
        let is = port.index() >= self.assembly.circuit.graph.ports.len()
            && self.assembly.graph.port(port).is_some();
        if is { Ok(()) } else { Err(Refused::NotThere { what: "a place for an access valve" }) }
    }

    fn pull_core(&mut self, port: PortId) -> Result<(), Refused> {
        match self.assembly.graph.port(port) {
            Some(found) if found.core => {
                if !self.state.lineup.cores_out.contains(&port) {
                    self.state.lineup.cores_out.push(port);
                }
                Ok(())
            }
            _ => Err(Refused::NotThere { what: "a core" }),
        }
    }

    fn switch(&mut self, joint: JointId, on: bool) -> Result<(), Refused> {
        let found = self.assembly.graph.joint(joint);
        let compressor = found.is_some_and(|found| matches!(found.kind, JointKind::Compressor(_)));
        if on && compressor && self.state.locked_out {
            return Err(Refused::LockedOut {
                what: found.map_or_else(String::new, |found| found.name.clone()),
            });
        }
        let rigged = &self.assembly.rigged;
        let machines = [rigged.recovery_machine, rigged.push_pull.map(|found| found.machine)];
        let other = |at: JointId| at != joint && self.state.lineup.is_active(at);
        if on && machines.contains(&Some(joint)) && machines.into_iter().flatten().any(other) {
            return Err(Refused::NotAtHand { what: "second recovery machine" });
        }
        let switched = self.state.lineup.switch(&self.assembly.graph, joint, on);
        if switched { Ok(()) } else { Err(Refused::NotThere { what: "something to start or stop" }) }
    }

    fn hold_open(&mut self, joint: JointId, open: bool) -> Result<(), Refused> {
        match self.assembly.graph.joint(joint).map(|found| &found.kind) {
            Some(JointKind::Solenoid { energised_opens, .. }) => {
                let coil = if open { *energised_opens } else { !*energised_opens && !self.state.locked_out };
                self.state.lineup.switch(&self.assembly.graph, joint, coil);
                if open {
                    self.state.lineup.held_open.insert(joint);
                } else {
                    self.state.lineup.held_open.remove(&joint);
                }
                Ok(())
            }
            Some(JointKind::Regulator { manual_opener: true, .. }) => {
                if open {
                    self.state.lineup.held_open.insert(joint);
                } else {
                    self.state.lineup.held_open.remove(&joint);
                }
                Ok(())
            }
            _ => Err(Refused::NotThere { what: "a solenoid valve, or a regulator with a manual opener" }),
        }
    }

    /// Without power the coils fall, but for the valves that are held open.
    fn cut_coils(&mut self) {
        for (id, joint) in self.assembly.graph.joints_with_ids() {
            if matches!(joint.kind, JointKind::Solenoid { .. }) && !self.state.lineup.held_open.contains(&id)
            {
                self.state.lineup.switch(&self.assembly.graph, id, false);
            }
        }
    }

    fn restore_power(&mut self) {
        self.state.locked_out = false;
        for (id, joint) in self.assembly.graph.joints_with_ids() {
            if let JointKind::Solenoid { normally_energised, .. } = joint.kind
                && !self.state.lineup.held_open.contains(&id)
            {
                self.state.lineup.switch(&self.assembly.graph, id, normally_energised);
            }
        }
    }

    /// Lets gas out of what the centre hose is joined to; what refrigerant is mixed into it goes along.
    fn release(&mut self, to: GaugePressure) {
        let atmosphere = self.assembly.circuit.atmosphere;
        let level = to.absolute(atmosphere).as_pa();
        let sections = stemwise_circuit::Sections::new(&self.assembly.graph, &self.state.lineup);
        let Some(section) = sections.of(self.assembly.rigged.centre_hose) else { return };
        for upstream in sections.upstream(section, true) {
            let members = sections.members(upstream);
            let held = |space: &SpaceId| self.state.contents.get(space.index()).copied();
            let molar = self.molar_mass;
            let amount = |held: Contents| {
                held.nitrogen.as_kg() / NITROGEN + held.air.as_kg() / AIR + held.refrigerant.as_kg() / molar
            };
            let moles: f64 = members.iter().filter_map(held).map(amount).sum();
            let space = |space: &SpaceId| {
                let volume =
                    self.assembly.graph.space(*space).map_or(0.0, |found| found.volume.value.as_m3());
                held(space).map_or(0.0, |held| volume / held.temperature.as_k())
            };
            let per_kelvin: f64 = members.iter().map(space).sum();
            let pressure = moles * GAS_CONSTANT / per_kelvin.max(1e-30);
            let keep = (level / pressure.max(1e-30)).min(1.0);
            for member in members {
                if let Some(slot) = self.state.contents.get_mut(member.index()) {
                    slot.nitrogen = slot.nitrogen * keep;
                    slot.air = slot.air * keep;
                    self.state.left.lost_kg += slot.refrigerant.as_kg() * (1.0 - keep);
                    slot.refrigerant = slot.refrigerant * keep;
                }
            }
        }
    }

    fn dry(&mut self) {
        let sections = stemwise_circuit::Sections::new(&self.assembly.graph, &self.state.lineup);
        let Some(section) = sections.of(self.assembly.rigged.centre_hose) else { return };
        for upstream in sections.upstream(section, true) {
            for member in sections.members(upstream) {
                if let Some(slot) = self.state.contents.get_mut(member.index()) {
                    slot.wet = false;
                }
            }
        }
    }

    fn charge(&mut self, mass: Mass) -> Result<(), Refused> {
        // From the cylinder what it holds; the rest is new refrigerant from another cylinder on the same scale.
        let centre = self.assembly.rigged.centre_hose;
        let cylinder = self.assembly.rigged.cylinder;
        let held = cylinder
            .and_then(|at| self.state.contents.get(at.index()))
            .map_or(0.0, |held| held.refrigerant.as_kg());
        if mass.as_kg() < 0.0 || !mass.is_finite() {
            return Err(Refused::NotEnough {
                available: (held * 1e3) as i64,
                wanted: (mass.as_kg() * 1e3) as i64,
            });
        }
        let from_cylinder = held.min(mass.as_kg());
        if let Some(slot) = cylinder.and_then(|at| self.state.contents.get_mut(at.index())) {
            slot.refrigerant = Mass::from_kg(held - from_cylinder);
        }
        if let Some(slot) = self.state.contents.get_mut(centre.index()) {
            slot.refrigerant = slot.refrigerant + mass;
        }
        self.state.left.charged_kg += mass.as_kg();
        self.state.left.new_kg += mass.as_kg() - from_cylinder;
        Ok(())
    }
}

/// Lets nitrogen into what the centre hose is joined to, and through one-way joints on from there, until the pressure is reached.
fn admit_nitrogen(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    stops: &Stops,
    state: &mut State,
    settled: &mut Settled,
    to: GaugePressure,
) {
    let centre = assembly.rigged.centre_hose;
    let target = to.absolute(assembly.circuit.atmosphere).as_pa();
    for _ in 0..12 {
        let here = settled.pressure(centre).map_or(0.0, Pressure::as_pa);
        if here >= target * (1.0 - 1e-6) {
            return;
        }
        let per_kelvin = reached_volume(assembly, settled, state, centre);
        let kg = (target - here) * per_kelvin / GAS_CONSTANT * NITROGEN;
        let supply = assembly.rigged.nitrogen.and_then(|at| state.contents.get_mut(at.index()));
        if let Some(supply) = supply {
            supply.nitrogen = supply.nitrogen - Mass::from_kg(kg);
        }
        if let Some(slot) = state.contents.get_mut(centre.index()) {
            slot.nitrogen = slot.nitrogen + Mass::from_kg(kg);
        }
        *settled = settle(assembly, refrigerant, stops, state);
    }
}

/// Volume over temperature of the vapour spaces that gas from here fills.
fn reached_volume(assembly: &Assembly, settled: &Settled, state: &State, from: SpaceId) -> f64 {
    let Some(section) = settled.sections.of(from) else { return 0.0 };
    let volume = |space: &SpaceId| {
        let found = assembly.graph.space(*space).map_or(0.0, |found| found.volume.value.as_m3());
        let held = state.held(*space).map_or(293.15, |held| held.temperature.as_k());
        found * (1.0 - settled.liquid_fraction(*space)) / held
    };
    settled.sections.members(section).iter().map(volume).sum()
}
