//! The actions: what each needs, what it does, what it costs.

use super::plant::{Content, Joint, PortAt, PortOn, Position, Rigging};
use super::settle::{Hazard, Hazards, Scratch};
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

/// The same without a list: most of what a search tries is refused.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Block {
    Not(&'static str),
    Unsafe(Hazards),
}

impl From<Block> for Refused {
    fn from(block: Block) -> Self {
        match block {
            Block::Not(why) => Self::Not(why),
            Block::Unsafe(hazards) => Self::Unsafe(hazards.list()),
        }
    }
}

impl Plant {
    /// Takes an action: precondition, effect, settling, hazards.
    ///
    /// # Errors
    /// [`Refused`].
    pub(crate) fn apply(&self, before: &State, action: Action) -> Result<(State, Paid), Refused> {
        Ok(self.attempt(before, action, &mut Scratch::default())?)
    }

    pub(crate) fn attempt(
        &self,
        before: &State,
        action: Action,
        scratch: &mut Scratch,
    ) -> Result<(State, Paid), Block> {
        if let Some(why) = self.forbids(before, action) {
            return Err(Block::Not(why));
        }
        let mut state = before.clone();
        let paid = match action {
            Action::Turn(joint, to) => self.turn(&mut state, joint, to)?,
            Action::Start(joint) => self.switch(&mut state, joint, true)?,
            Action::Stop(joint) => self.switch(&mut state, joint, false)?,
            Action::Attach(machine, port) => self.attach(&mut state, machine, port)?,
            Action::Detach(machine, port) => self.detach(&mut state, machine, port)?,
            Action::Recover(port) => self.recover(&mut state, port, scratch)?,
            Action::Evacuate(port) => self.evacuate(&mut state, port, scratch)?,
            Action::Work => self.work(&mut state, scratch)?,
        };
        // Hoses on ports change nothing that settles.
        let quiet = matches!(action, Action::Attach(..) | Action::Detach(..));
        let hazards = if quiet { Hazards::default() } else { self.settle(&mut state, scratch) };
        if hazards.none() { Ok((state, paid)) } else { Err(Block::Unsafe(hazards)) }
    }

    /// What forbids an action whatever is joined: looked at before the state is copied.
    fn forbids(&self, state: &State, action: Action) -> Option<&'static str> {
        let stands = matches!(action, Action::Recover(_) | Action::Evacuate(_) | Action::Work);
        (stands && state.any_runs(self)).then_some("a compressor runs")
    }

    fn turn(&self, state: &mut State, joint: u32, to: Position) -> Result<Paid, Block> {
        let none = Block::Not("no such valve");
        let at = self.places.get(joint as usize).map(|&at| at as usize).ok_or(none)?;
        let valve = self.valves.get(at).filter(|valve| valve.joint == joint).ok_or(none)?;
        if !valve.movable {
            return Err(Block::Not("the stem can't be turned"));
        }
        let from = state.position(at);
        if !neighbours(valve.three, from).contains(&Some(to)) {
            return Err(Block::Not("not the next position"));
        }
        state.set_position(at, to);
        Ok(Paid { moves: valve.cost, grams: 0 })
    }

    fn switch(&self, state: &mut State, joint: u32, on: bool) -> Result<Paid, Block> {
        let none = Block::Not("no such compressor");
        let at = self.places.get(joint as usize).map(|&at| at as usize).ok_or(none)?;
        let compressor = self.compressors.get(at).filter(|found| found.joint == joint).ok_or(none)?;
        if state.runs(self, at) == on {
            return Err(Block::Not("it runs, or stands, already"));
        }
        if on && !compressor.startable {
            return Err(Block::Not("it may not be started"));
        }
        if on && self.starves(state, compressor.from) {
            return Err(Block::Not("its suction side is empty"));
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
    fn unread(&self, state: &State, scratch: &Scratch) -> bool {
        let read = [0, 1].map(|slot| {
            let cell = state.hose(slot).and_then(|port| self.port_cell(state, port));
            cell.map(|cell| scratch.classes.of(cell))
        });
        self.machinery.rigging == Rigging::Manifold
            && scratch.upstream.iter().any(|&class| !read.contains(&Some(class)))
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

    fn attach(&self, state: &mut State, machine: Machine, port: u32) -> Result<Paid, Block> {
        let there = match machine {
            Machine::Recovery => self.machinery.recovery,
            Machine::Vacuum => self.machinery.vacuum,
            Machine::Hose => self.machinery.recovery || self.machinery.vacuum,
        };
        if !there {
            return Err(Block::Not("no such machine at hand"));
        }
        let slot = self.slot(state, machine, None).ok_or(Block::Not("no hose is free"))?;
        if state.hose(slot).is_some() {
            return Err(Block::Not("it is on a port already"));
        }
        if [0, 1].into_iter().any(|slot| state.hose(slot) == Some(port)) {
            return Err(Block::Not("the port is in use"));
        }
        if !self.port_is_shut(state, port)? {
            return Err(Block::Not("the port is not shut"));
        }
        state.set_hose(slot, Some(port));
        self.order_hoses(state);
        Ok(Paid { moves: self.cost.attach, grams: 0 })
    }

    fn detach(&self, state: &mut State, machine: Machine, port: u32) -> Result<Paid, Block> {
        let slot = self.slot(state, machine, Some(port)).ok_or(Block::Not("it is not on that port"))?;
        if state.hose(slot) != Some(port) {
            return Err(Block::Not("it is not on that port"));
        }
        if !self.port_is_shut(state, port)? {
            return Err(Block::Not("the port is not shut"));
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

    fn port_is_shut(&self, state: &State, port: u32) -> Result<bool, Block> {
        match self.port_cells.get(port as usize) {
            Some(PortAt::Core { .. }) => Ok(true),
            Some(PortAt::Valve { valve, .. }) => Ok(state.position(*valve as usize) == Position::OpenOrBack),
            Some(PortAt::Still) => Err(Block::Not("the stem can't be turned")),
            None => Err(Block::Not("no such port")),
        }
    }

    /// The cell that a port is joined to; none while its valve is back-seated.
    pub(crate) fn port_cell(&self, state: &State, port: u32) -> Option<u32> {
        match *self.port_cells.get(port as usize)? {
            PortAt::Core { cell } => Some(cell),
            PortAt::Still => None,
            PortAt::Valve { valve, a, stays } => match state.position(valve as usize) {
                Position::OpenOrBack => None,
                Position::Mid => Some(a),
                Position::ShutOrFront => Some(stays),
            },
        }
    }

    /// Finds the classes, and those upstream of the port through which a machine works.
    fn reached(
        &self,
        state: &State,
        machine: Machine,
        port: Option<u32>,
        scratch: &mut Scratch,
    ) -> Result<(), Block> {
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
        let port = port.ok_or(Block::Not("it is on no port"))?;
        let cell = self.port_cell(state, port).ok_or(Block::Not("the port is shut off"))?;
        let Scratch { classes, upstream, .. } = scratch;
        classes.find(self, state);
        classes.upstream(self, classes.of(cell), upstream);
        Ok(())
    }

    fn recover(&self, state: &mut State, port: Option<u32>, scratch: &mut Scratch) -> Result<Paid, Block> {
        if !self.machinery.recovery {
            return Err(Block::Not("no such machine at hand"));
        }
        self.reached(state, Machine::Recovery, port, scratch)?;
        let mut removed = 0;
        let mut any = false;
        for cell in scratch.classes.cells(&scratch.upstream) {
            let residual = self.cells.get(cell as usize).map_or(0, |sums| sums.residual);
            match state.content(self, cell) {
                Content::Air => return Err(Block::Not("there is air in there")),
                Content::Pressure => {
                    removed += self.mass(state, cell) - residual;
                    any = true;
                    state.set_content(self, cell, Content::Residual);
                    state.set_liquid(self, cell, 0);
                }
                _ => {}
            }
        }
        if !any {
            return Err(Block::Not("nothing there is under pressure"));
        }
        if state.cylinder() + removed > self.machinery.cylinder_room {
            return Err(Block::Not("the cylinder has no room"));
        }
        state.set_cylinder(state.cylinder() + removed);
        Ok(Paid { moves: self.cost.recover, grams: removed })
    }

    fn evacuate(&self, state: &mut State, port: Option<u32>, scratch: &mut Scratch) -> Result<Paid, Block> {
        if !self.machinery.vacuum {
            return Err(Block::Not("no such machine at hand"));
        }
        self.reached(state, Machine::Vacuum, port, scratch)?;
        let mut grams = 0;
        let mut any = false;
        for cell in scratch.classes.cells(&scratch.upstream) {
            match state.content(self, cell) {
                Content::Pressure => return Err(Block::Not("there is pressure in there")),
                content => any |= content != Content::Nothing,
            }
            grams += self.mass(state, cell);
            state.set_content(self, cell, Content::Nothing);
        }
        if !any {
            return Err(Block::Not("it is evacuated already"));
        }
        Ok(Paid { moves: self.cost.evacuate, grams })
    }

    fn work(&self, state: &mut State, scratch: &mut Scratch) -> Result<Paid, Block> {
        if self.goal != super::Goal::Job || state.work_done() {
            return Err(Block::Not("there is nothing to do, or it is done"));
        }
        if self.component.iter().any(|&cell| state.content(self, cell) == Content::Pressure) {
            return Err(Block::Not("the component is under pressure"));
        }
        scratch.classes.find(self, state);
        let Scratch { classes, upstream: opened, .. } = &mut *scratch;
        opened.clear();
        opened.extend(self.component.iter().map(|&cell| classes.of(cell)));
        let leaks_in = self.compressors.iter().any(|found| {
            found.leaks
                && opened.contains(&classes.of(found.from))
                && !opened.contains(&classes.of(found.to))
                && state.content(self, found.to) == Content::Pressure
        });
        if self.unread(state, scratch) {
            return Err(Block::Not("no gauge reads what is opened"));
        }
        if leaks_in {
            return Err(Block::Not("only a standing compressor holds the charge back"));
        }
        let mut grams = 0;
        for cell in scratch.classes.cells(&scratch.upstream) {
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

/// Up to three actions that are taken together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Steps([Option<Action>; 3]);

impl Steps {
    const NONE: Self = Self([None; 3]);

    fn and(mut self, action: Action) -> Self {
        if let Some(slot) = self.0.iter_mut().find(|slot| slot.is_none()) {
            *slot = Some(action);
        }
        self
    }
}

impl IntoIterator for Steps {
    type Item = Action;
    type IntoIter = core::iter::Flatten<core::array::IntoIter<Option<Action>, 3>>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter().flatten()
    }
}

/// A state on the way to a successor, with what was paid for it.
struct Here {
    steps: Steps,
    price: u64,
    state: State,
}

impl Here {
    fn put_away(self, out: &mut Successors) {
        out.push((self.steps, self.price, self.state));
    }
}

pub(crate) type Successors = Vec<(Steps, u64, State)>;

impl Planner<'_> {
    fn first(&self, state: &State, action: Action) -> Option<Here> {
        let applied = self.plant.attempt(state, action, &mut self.scratch.borrow_mut());
        let (state, paid) = applied.ok()?;
        let price = self.weights.price(paid.moves, paid.grams);
        Some(Here { steps: Steps::NONE.and(action), price, state })
    }

    fn then(&self, before: &Here, action: Action) -> Option<Here> {
        let mut here = self.first(&before.state, action)?;
        here.steps = before.steps.and(action);
        here.price += before.price;
        Some(here)
    }

    fn take(&self, state: &State, action: Action, out: &mut Successors) {
        if let Some(here) = self.first(state, action) {
            here.put_away(out);
        }
    }

    /// Every single action.
    pub(crate) fn plain_successors(&self, state: &State, out: &mut Successors) {
        for action in self.plant.single_actions(state) {
            self.take(state, action, out);
        }
        for port in (0u32..).take(self.plant.ports.len()) {
            for &machine in self.plant.machines() {
                self.take(state, Action::Attach(machine, port), out);
                self.take(state, Action::Detach(machine, port), out);
            }
        }
        for port in self.working_ports(state) {
            self.take(state, Action::Recover(port), out);
            self.take(state, Action::Evacuate(port), out);
        }
        self.take(state, Action::Work, out);
    }

    fn working_ports(&self, state: &State) -> Vec<Option<u32>> {
        match self.plant.machinery.rigging {
            Rigging::Separate => vec![None],
            Rigging::Manifold => [0, 1].into_iter().filter_map(|slot| state.hose(slot)).map(Some).collect(),
        }
    }

    /// Attaching is taken together with the first use, detaching with the last: both commute with everything else.
    pub(crate) fn canonical_successors(&self, state: &State, out: &mut Successors) {
        // First, as the last of equals is tried first.
        self.hoses_off_after_work(state, out);
        if !state.any_runs(self.plant) {
            self.take(state, Action::Work, out);
            self.work_with_hoses(state, out);
            self.uses(state, out);
        }
        for action in self.plant.single_actions(state) {
            self.take(state, action, out);
            if let Action::Turn(joint, to) = action {
                self.turns_with_a_hose(state, joint, to, out);
            }
        }
    }

    /// The ports with a core that are free.
    fn free_cores(&self, state: &State) -> impl Iterator<Item = u32> {
        let taken = [state.hose(0), state.hose(1)];
        let core =
            |port: &&u32| matches!(self.plant.port_cells.get(**port as usize), Some(PortAt::Core { .. }));
        let cores = self.plant.useful.iter().filter(core);
        cores.copied().filter(move |port| !taken.contains(&Some(*port)))
    }

    /// With a manifold: the work with a hose just put on a core, or two.
    fn work_with_hoses(&self, state: &State, out: &mut Successors) {
        if self.plant.machinery.rigging != Rigging::Manifold || state.work_done() {
            return;
        }
        for port in self.free_cores(state) {
            let Some(on) = self.first(state, Action::Attach(Machine::Hose, port)) else { continue };
            if let Some(worked) = self.then(&on, Action::Work) {
                worked.put_away(out);
            }
            if self.plant.component.len() == 1 {
                continue;
            }
            for second in self.free_cores(state).filter(|&second| second > port) {
                let both = self.then(&on, Action::Attach(Machine::Hose, second));
                if let Some(worked) = both.and_then(|both| self.then(&both, Action::Work)) {
                    worked.put_away(out);
                }
            }
        }
    }

    /// A hose that was on a core for reading what is opened only, comes off after the work without another use: where the other one serves for
    /// evacuating, or nothing is left to evacuate.
    fn hoses_off_after_work(&self, state: &State, out: &mut Successors) {
        if self.plant.machinery.rigging != Rigging::Manifold || !state.work_done() {
            return;
        }
        let air = |cell| state.content(self.plant, cell) == Content::Air;
        let both = state.hose(0).is_some() && state.hose(1).is_some();
        if !both && (0u32..).take(self.plant.cells.len()).any(air) {
            return;
        }
        for port in [0, 1].into_iter().filter_map(|slot| state.hose(slot)) {
            if let Some(PortAt::Core { .. }) = self.plant.port_cells.get(port as usize) {
                self.take(state, Action::Detach(Machine::Hose, port), out);
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
            let slots = if separate { slot..slot + 1 } else { 0..2 };
            let attached = slots.filter_map(|slot| state.hose(slot));
            for port in attached {
                if let Some(used) = self.first(state, using(port)) {
                    let off = self.then(&used, Action::Detach(machine, port));
                    used.put_away(out);
                    off.into_iter().for_each(|off| off.put_away(out));
                }
            }
            if separate && state.hose(slot).is_some() {
                continue;
            }
            for port in self.free_cores(state) {
                let Some(on) = self.first(state, Action::Attach(machine, port)) else { break };
                let Some(used) = self.then(&on, using(port)) else { continue };
                let off = self.then(&used, Action::Detach(machine, port));
                used.put_away(out);
                off.into_iter().for_each(|off| off.put_away(out));
            }
        }
    }

    /// Off the back seat with a machine just put on; onto it with the machine just taken off.
    fn turns_with_a_hose(&self, state: &State, joint: u32, to: Position, out: &mut Successors) {
        if to == Position::ShutOrFront {
            return;
        }
        let ports = (0u32..).zip(&self.plant.ports).filter(|(_, on)| **on == PortOn::Valve(joint));
        for (port, _) in ports {
            for &machine in self.plant.machines() {
                let actions = match to {
                    Position::Mid => [Action::Attach(machine, port), Action::Turn(joint, to)],
                    _ => [Action::Turn(joint, to), Action::Detach(machine, port)],
                };
                let [one, other] = actions;
                let both = self.first(state, one).and_then(|here| self.then(&here, other));
                both.into_iter().for_each(|both| both.put_away(out));
            }
        }
    }
}

impl Plant {
    /// Every turn, start and stop whose precondition holds.
    pub(crate) fn single_actions(&self, state: &State) -> Vec<Action> {
        let mut actions = Vec::new();
        for (at, valve) in self.valves.iter().enumerate().filter(|(_, valve)| valve.movable) {
            for to in neighbours(valve.three, state.position(at)).into_iter().flatten() {
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

    /// What is put on ports.
    const fn machines(&self) -> &'static [Machine] {
        match self.machinery.rigging {
            Rigging::Separate => &[Machine::Recovery, Machine::Vacuum],
            Rigging::Manifold => &[Machine::Hose],
        }
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
