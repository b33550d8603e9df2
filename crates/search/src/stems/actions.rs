//! The actions: what each needs, what it does, what it costs.

use super::plant::{Content, Joint, PortAt, PortOn, Position, Rigging};
use super::settle::{Classes, Hazard};
use super::state::State;
use super::{Planner, Plant};

/// A machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Machine {
    /// The recovery machine.
    Recovery,
    /// The vacuum pump.
    Vacuum,
    /// A hose of a manifold, for either.
    Hose,
}

/// One action. Valves, compressors and ports by their numbers in the plant's lists of joints and ports.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// Turn a stem to a neighbouring position.
    Turn(u32, Position),
    /// Start a compressor.
    Start(u32),
    /// Stop a compressor.
    Stop(u32),
    /// Put a machine or hose on a port.
    Attach(Machine, u32),
    /// Take it off.
    Detach(Machine, u32),
    /// Recover through this port; none: through the port that the recovery machine is on.
    Recover(Option<u32>),
    /// Evacuate through this port; none: through the port that the vacuum pump is on.
    Evacuate(Option<u32>),
    /// Open, repair, close.
    Work,
}

/// Why an action can't be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// Its precondition fails.
    Not(&'static str),
    /// It leads to a hazard; the settled state is kept for looking at.
    Unsafe(Vec<Hazard>),
}

/// Moves and grams.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Paid {
    pub(crate) moves: u64,
    pub(crate) grams: u64,
}

type Applied = Result<(State, Paid), Refused>;

impl Plant {
    /// Takes an action: precondition, effect, settling, hazards.
    ///
    /// # Errors
    /// [`Refused`].
    pub(crate) fn apply(&self, before: &State, action: Action) -> Applied {
        let mut state = before.clone();
        let paid = match action {
            Action::Turn(joint, to) => self.turn(&mut state, joint, to)?,
            Action::Start(joint) => self.switch(&mut state, joint, true)?,
            Action::Stop(joint) => self.switch(&mut state, joint, false)?,
            Action::Attach(machine, port) => self.attach(&mut state, machine, port)?,
            Action::Detach(machine, port) => self.detach(&mut state, machine, port)?,
            Action::Recover(port) => self.recover(&mut state, port)?,
            Action::Evacuate(port) => self.evacuate(&mut state, port)?,
            Action::Work => self.work(&mut state)?,
        };
        // Hoses on ports change nothing that settles.
        let quiet = matches!(action, Action::Attach(..) | Action::Detach(..));
        let hazards = if quiet { Vec::new() } else { self.settle(&mut state) };
        if hazards.is_empty() { Ok((state, paid)) } else { Err(Refused::Unsafe(hazards)) }
    }

    fn turn(&self, state: &mut State, joint: u32, to: Position) -> Result<Paid, Refused> {
        let at =
            self.valves.iter().position(|valve| valve.joint == joint).ok_or(Refused::Not("no such valve"))?;
        let valve = self.valves.get(at).ok_or(Refused::Not("no such valve"))?;
        if !valve.movable {
            return Err(Refused::Not("the stem can't be turned"));
        }
        let from = state.position(self, at);
        if !neighbours(valve.three, from).contains(&Some(to)) {
            return Err(Refused::Not("not the next position"));
        }
        state.set_position(at, to);
        Ok(Paid { moves: valve.cost, grams: 0 })
    }

    fn switch(&self, state: &mut State, joint: u32, on: bool) -> Result<Paid, Refused> {
        let none = Refused::Not("no such compressor");
        let at = self.compressors.iter().position(|found| found.joint == joint).ok_or(none.clone())?;
        let compressor = self.compressors.get(at).ok_or(none)?;
        if state.runs(self, at) == on {
            return Err(Refused::Not("it runs, or stands, already"));
        }
        if on && !compressor.startable {
            return Err(Refused::Not("it may not be started"));
        }
        if on && self.starves(state, compressor.from) {
            return Err(Refused::Not("its suction side is empty"));
        }
        state.set_runs(self, at, on);
        Ok(Paid { moves: if on { self.cost.start } else { self.cost.stop }, grams: 0 })
    }

    /// With a manifold, after the work: whether a compressor would start on an empty suction side while the charge is elsewhere.
    fn starves(&self, state: &State, suction: u32) -> bool {
        let pressure = |cell| state.content(self, cell) == Content::Pressure;
        self.machinery.rigging == Rigging::Manifold
            && state.work_done()
            && !pressure(suction)
            && (0u32..).take(self.cells.len()).any(pressure)
    }

    /// With a manifold a gauge has to read every class that is opened: it proves that there is no pressure, and through its hose goes the
    /// nitrogen.
    fn unread(&self, state: &State, classes: &Classes, opened: &[u32]) -> bool {
        let read: Vec<u32> = [0, 1]
            .into_iter()
            .filter_map(|slot| self.port_cell(state, state.hose(slot)?))
            .map(|cell| classes.of(cell))
            .collect();
        self.machinery.rigging == Rigging::Manifold && opened.iter().any(|class| !read.contains(class))
    }

    /// Which hose slot a machine takes.
    fn slot(&self, state: &State, machine: Machine, port: Option<u32>) -> Option<usize> {
        match (self.machinery.rigging, machine) {
            (Rigging::Separate, Machine::Recovery) => Some(0),
            (Rigging::Separate, Machine::Vacuum) => Some(1),
            (Rigging::Manifold, Machine::Hose) => [0, 1].into_iter().find(|&slot| state.hose(slot) == port),
            _ => None,
        }
    }

    fn attach(&self, state: &mut State, machine: Machine, port: u32) -> Result<Paid, Refused> {
        let there = match machine {
            Machine::Recovery => self.machinery.recovery,
            Machine::Vacuum => self.machinery.vacuum,
            Machine::Hose => self.machinery.recovery || self.machinery.vacuum,
        };
        if !there {
            return Err(Refused::Not("no such machine at hand"));
        }
        let slot = self.slot(state, machine, None).ok_or(Refused::Not("no hose is free"))?;
        if state.hose(slot).is_some() {
            return Err(Refused::Not("it is on a port already"));
        }
        if [0, 1].into_iter().any(|slot| state.hose(slot) == Some(port)) {
            return Err(Refused::Not("the port is in use"));
        }
        if !self.port_is_shut(state, port)? {
            return Err(Refused::Not("the port is not shut"));
        }
        state.set_hose(slot, Some(port));
        self.order_hoses(state);
        Ok(Paid { moves: self.cost.attach, grams: 0 })
    }

    fn detach(&self, state: &mut State, machine: Machine, port: u32) -> Result<Paid, Refused> {
        let slot = self.slot(state, machine, Some(port)).ok_or(Refused::Not("it is not on that port"))?;
        if state.hose(slot) != Some(port) {
            return Err(Refused::Not("it is not on that port"));
        }
        if !self.port_is_shut(state, port)? {
            return Err(Refused::Not("the port is not shut"));
        }
        state.set_hose(slot, None);
        self.order_hoses(state);
        Ok(Paid { moves: self.cost.detach, grams: 0 })
    }

    /// The hoses of a manifold are alike: keep them in one order.
    fn order_hoses(&self, state: &mut State) {
        if self.machinery.rigging == Rigging::Manifold {
            let mut hoses = [state.hose(0), state.hose(1)];
            hoses.sort_unstable_by_key(|hose| hose.unwrap_or(u32::MAX));
            state.set_hose(0, hoses[0]);
            state.set_hose(1, hoses[1]);
        }
    }

    fn port_is_shut(&self, state: &State, port: u32) -> Result<bool, Refused> {
        match self.port_cells.get(port as usize) {
            Some(PortAt::Core { .. }) => Ok(true),
            Some(PortAt::Valve { valve, .. }) => {
                Ok(state.position(self, *valve as usize) == Position::OpenOrBack)
            }
            None => Err(Refused::Not("no such port")),
        }
    }

    /// The cell that a port is joined to; none while its valve is back-seated.
    pub(crate) fn port_cell(&self, state: &State, port: u32) -> Option<u32> {
        match *self.port_cells.get(port as usize)? {
            PortAt::Core { cell } => Some(cell),
            PortAt::Valve { valve, a, stays } => match state.position(self, valve as usize) {
                Position::OpenOrBack => None,
                Position::Mid => Some(a),
                Position::ShutOrFront => Some(stays),
            },
        }
    }

    /// The classes upstream of the port through which a machine works.
    fn reached(
        &self,
        state: &State,
        machine: Machine,
        port: Option<u32>,
    ) -> Result<(Classes, Vec<u32>), Refused> {
        let port = match (self.machinery.rigging, machine, port) {
            (Rigging::Separate, Machine::Recovery, None) => state.hose(0),
            (Rigging::Separate, Machine::Vacuum, None) => state.hose(1),
            (Rigging::Manifold, _, Some(port))
                if [0, 1].into_iter().any(|slot| state.hose(slot) == Some(port)) =>
            {
                Some(port)
            }
            _ => None,
        };
        let port = port.ok_or(Refused::Not("it is on no port"))?;
        if state.any_runs(self) {
            return Err(Refused::Not("a compressor runs"));
        }
        let cell = self.port_cell(state, port).ok_or(Refused::Not("the port is shut off"))?;
        let classes = Classes::new(self, state);
        let upstream = classes.upstream(self, classes.of(cell));
        Ok((classes, upstream))
    }

    fn recover(&self, state: &mut State, port: Option<u32>) -> Result<Paid, Refused> {
        if !self.machinery.recovery {
            return Err(Refused::Not("no such machine at hand"));
        }
        let (classes, upstream) = self.reached(state, Machine::Recovery, port)?;
        let mut removed = 0;
        let mut emptied = Vec::new();
        for (cell, sums) in
            (0u32..).zip(&self.cells).filter(|(cell, _)| upstream.contains(&classes.of(*cell)))
        {
            match state.content(self, cell) {
                Content::Air => return Err(Refused::Not("there is air in there")),
                Content::Pressure => {
                    removed += sums.vapour + state.liquid(self, cell) - sums.residual;
                    emptied.push(cell);
                }
                _ => {}
            }
        }
        if emptied.is_empty() {
            return Err(Refused::Not("nothing there is under pressure"));
        }
        if state.cylinder() + removed > self.machinery.cylinder_room {
            return Err(Refused::Not("the cylinder has no room"));
        }
        for cell in emptied {
            state.set_content(self, cell, Content::Residual);
            state.set_liquid(self, cell, 0);
        }
        state.set_cylinder(state.cylinder() + removed);
        Ok(Paid { moves: self.cost.recover, grams: removed })
    }

    fn evacuate(&self, state: &mut State, port: Option<u32>) -> Result<Paid, Refused> {
        if !self.machinery.vacuum {
            return Err(Refused::Not("no such machine at hand"));
        }
        let (classes, upstream) = self.reached(state, Machine::Vacuum, port)?;
        let cells: Vec<u32> =
            (0u32..).take(self.cells.len()).filter(|cell| upstream.contains(&classes.of(*cell))).collect();
        let contents = || cells.iter().map(|&cell| state.content(self, cell));
        if contents().any(|content| content == Content::Pressure) {
            return Err(Refused::Not("there is pressure in there"));
        }
        if contents().all(|content| content == Content::Nothing) {
            return Err(Refused::Not("it is evacuated already"));
        }
        let grams = cells.iter().map(|&cell| self.mass(state, cell)).sum();
        for &cell in &cells {
            state.set_content(self, cell, Content::Nothing);
        }
        Ok(Paid { moves: self.cost.evacuate, grams })
    }

    fn work(&self, state: &mut State) -> Result<Paid, Refused> {
        if self.goal != super::Goal::Job || state.work_done() {
            return Err(Refused::Not("there is nothing to do, or it is done"));
        }
        if state.any_runs(self) {
            return Err(Refused::Not("a compressor runs"));
        }
        if self.component.iter().any(|&cell| state.content(self, cell) == Content::Pressure) {
            return Err(Refused::Not("the component is under pressure"));
        }
        let classes = Classes::new(self, state);
        let opened: Vec<u32> = self.component.iter().map(|&cell| classes.of(cell)).collect();
        let leaks_in = self.compressors.iter().any(|found| {
            found.leaks
                && opened.contains(&classes.of(found.from))
                && !opened.contains(&classes.of(found.to))
                && state.content(self, found.to) == Content::Pressure
        });
        if self.unread(state, &classes, &opened) {
            return Err(Refused::Not("no gauge reads what is opened"));
        }
        if leaks_in {
            return Err(Refused::Not("only a standing compressor holds the charge back"));
        }
        let mut grams = 0;
        for cell in (0u32..).take(self.cells.len()).filter(|cell| opened.contains(&classes.of(*cell))) {
            grams += self.mass(state, cell);
            state.set_content(self, cell, Content::Air);
            state.set_liquid(self, cell, 0);
        }
        state.set_work_done();
        Ok(Paid { moves: self.cost.work, grams })
    }

    fn mass(&self, state: &State, cell: u32) -> u64 {
        let sums = self.cells.get(cell as usize).copied().unwrap_or_default();
        match state.content(self, cell) {
            Content::Residual => sums.residual,
            Content::Pressure => sums.vapour + state.liquid(self, cell),
            Content::Nothing | Content::Air => 0,
        }
    }
}

/// The positions next to one.
fn neighbours(three: bool, from: Position) -> [Option<Position>; 2] {
    use Position::{Mid, OpenOrBack, ShutOrFront};
    match (three, from) {
        (false, OpenOrBack) => [Some(ShutOrFront), None],
        (false, _) => [Some(OpenOrBack), None],
        (true, Mid) => [Some(OpenOrBack), Some(ShutOrFront)],
        (true, _) => [Some(Mid), None],
    }
}

type Successors = Vec<(Vec<Action>, u64, State)>;

impl Planner<'_> {
    /// Every single action.
    pub(crate) fn plain_successors(&self, state: &State, out: &mut Successors) {
        for action in self.plant.single_actions(state) {
            self.chain(state, &[action], out);
        }
        let machines = match self.plant.machinery.rigging {
            Rigging::Separate => &[Machine::Recovery, Machine::Vacuum][..],
            Rigging::Manifold => &[Machine::Hose],
        };
        for port in (0u32..).take(self.plant.ports.len()) {
            for &machine in machines {
                self.chain(state, &[Action::Attach(machine, port)], out);
                self.chain(state, &[Action::Detach(machine, port)], out);
            }
        }
        for port in self.working_ports(state) {
            self.chain(state, &[Action::Recover(port)], out);
            self.chain(state, &[Action::Evacuate(port)], out);
        }
        self.chain(state, &[Action::Work], out);
    }

    fn working_ports(&self, state: &State) -> Vec<Option<u32>> {
        match self.plant.machinery.rigging {
            Rigging::Separate => vec![None],
            Rigging::Manifold => [0, 1].into_iter().filter_map(|slot| state.hose(slot)).map(Some).collect(),
        }
    }

    /// Attaching is taken together with the first use, detaching with the last: both commute with everything else.
    pub(crate) fn canonical_successors(&self, state: &State, out: &mut Successors) {
        self.chain(state, &[Action::Work], out);
        self.work_with_hoses(state, out);
        self.uses(state, out);
        for action in self.plant.single_actions(state) {
            self.chain(state, &[action], out);
            if let Action::Turn(joint, to) = action {
                self.turns_with_a_hose(state, joint, to, out);
            }
        }
    }

    /// With a manifold: the work with a hose just put on a core, or two.
    fn work_with_hoses(&self, state: &State, out: &mut Successors) {
        if self.plant.machinery.rigging != Rigging::Manifold
            || state.work_done()
            || state.any_runs(self.plant)
        {
            return;
        }
        let cores: Vec<u32> = (0u32..)
            .zip(&self.plant.ports)
            .filter(|(port, on)| {
                matches!(on, PortOn::Core(_)) && ![0, 1].map(|slot| state.hose(slot)).contains(&Some(*port))
            })
            .map(|(port, _)| port)
            .collect();
        let attach = |port| Action::Attach(Machine::Hose, port);
        for (at, &port) in cores.iter().enumerate() {
            self.chain(state, &[attach(port), Action::Work], out);
            if self.plant.component.len() > 1 {
                for &second in cores.iter().skip(at + 1) {
                    self.chain(state, &[attach(port), attach(second), Action::Work], out);
                }
            }
        }
    }

    /// Recovering and evacuating, with attaching and detaching where a core allows it at any time.
    fn uses(&self, state: &State, out: &mut Successors) {
        let separate = self.plant.machinery.rigging == Rigging::Separate;
        for (kind, slot) in [(Machine::Recovery, 0), (Machine::Vacuum, 1)] {
            let machine = if separate { kind } else { Machine::Hose };
            let using = |port: u32| {
                let port = if separate { None } else { Some(port) };
                if kind == Machine::Recovery { Action::Recover(port) } else { Action::Evacuate(port) }
            };
            let attached: Vec<u32> = match separate {
                true => state.hose(slot).into_iter().collect(),
                false => [0, 1].into_iter().filter_map(|slot| state.hose(slot)).collect(),
            };
            for &port in &attached {
                self.chain(state, &[using(port)], out);
                self.chain(state, &[using(port), Action::Detach(machine, port)], out);
            }
            for (port, on) in (0u32..).zip(&self.plant.ports) {
                if matches!(on, PortOn::Core(_)) && !attached.contains(&port) {
                    let attach = Action::Attach(machine, port);
                    self.chain(state, &[attach, using(port)], out);
                    self.chain(state, &[attach, using(port), Action::Detach(machine, port)], out);
                }
            }
        }
    }

    /// Off the back seat with a machine just put on; onto it with the machine just taken off.
    fn turns_with_a_hose(&self, state: &State, joint: u32, to: Position, out: &mut Successors) {
        let ports = (0u32..).zip(&self.plant.ports).filter(|(_, on)| **on == PortOn::Valve(joint));
        let machines = match self.plant.machinery.rigging {
            Rigging::Separate => &[Machine::Recovery, Machine::Vacuum][..],
            Rigging::Manifold => &[Machine::Hose],
        };
        for (port, _) in ports {
            for &machine in machines {
                match to {
                    Position::Mid => {
                        self.chain(state, &[Action::Attach(machine, port), Action::Turn(joint, to)], out)
                    }
                    Position::OpenOrBack => {
                        self.chain(state, &[Action::Turn(joint, to), Action::Detach(machine, port)], out);
                    }
                    Position::ShutOrFront => {}
                }
            }
        }
    }

    /// Takes actions in a row; appends the state after them if all are safe.
    fn chain(&self, state: &State, actions: &[Action], out: &mut Successors) {
        let mut here: Option<State> = None;
        let mut price = 0;
        for &action in actions {
            match self.plant.apply(here.as_ref().unwrap_or(state), action) {
                Ok((next, paid)) => {
                    price += self.weights.price(paid.moves, paid.grams);
                    here = Some(next);
                }
                Err(_) => return,
            }
        }
        if let Some(here) = here {
            out.push((actions.to_vec(), price, here));
        }
    }
}

impl Plant {
    /// Every turn, start and stop whose precondition holds.
    pub(crate) fn single_actions(&self, state: &State) -> Vec<Action> {
        let mut actions = Vec::new();
        for (at, valve) in self.valves.iter().enumerate().filter(|(_, valve)| valve.movable) {
            for to in neighbours(valve.three, state.position(self, at)).into_iter().flatten() {
                actions.push(Action::Turn(valve.joint, to));
            }
        }
        for (at, compressor) in self.compressors.iter().enumerate() {
            if state.runs(self, at) {
                actions.push(Action::Stop(compressor.joint));
            } else if compressor.startable {
                actions.push(Action::Start(compressor.joint));
            }
        }
        actions
    }

    /// The joints, as they were given.
    pub fn joints(&self) -> &[Joint] {
        &self.joints
    }
    /// The ports, as they were given.
    pub fn ports(&self) -> &[PortOn] {
        &self.ports
    }
}
