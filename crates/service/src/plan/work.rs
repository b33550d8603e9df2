//! What is done in the section: emptied, opened, repaired, closed, proved tight and dry.

use stemwise_circuit::{JointId, PortId, Position, SpaceId};
use stemwise_units::{GaugePressure, Mass, Pressure, Time};

use super::procedure::{Doing, Hold, Phase, Reason};
use super::rigging;
use super::testing::Guard;
use super::write::{Stuck, Writer, Written};
use crate::{Action, JobKind};

/// Deep vacuum that is to be reached, and what it may rise to while the pump is off (US DoD UFGS 15182 §3.3.3: passes while it
/// stays at or below 500 micron; the pump must first reach 300).
const VACUUM_TARGET: Pressure = Pressure::from_micron(300.0);
const VACUUM_LIMIT: Pressure = Pressure::from_micron(500.0);
const VACUUM_STAND: Time = Time::from_min(60.0);
/// How long the nitrogen test stands: at least one hour without change (the municipal building code of Chicago, refrigeration chapter).
const TEST_STAND: Time = Time::from_min(60.0);
/// So many stems are shut for a test at most: one for each compressor of a large rack.
const MOST_GUARDS: usize = 8;
/// A test below this proves nothing (common practice: the joints must at least be soaped).
const LEAST_TEST: GaugePressure = GaugePressure::from_bar(0.5);
/// What is under test stands at no less than this part of the pressure (what cools or expands takes a little).
const REACHED: f64 = 0.95;
/// Nitrogen goes in so high to sweep a refrigerant that burns out, where nothing keeps it lower (assumed: it thins what stands at the atmosphere's pressure to a
/// third).
const SWEEP_TO: GaugePressure = GaugePressure::from_bar(2.0);
/// Below this less than half of what is in there would be nitrogen: a vacuum takes the place of that sweep.
const LEAST_SWEEP: GaugePressure = GaugePressure::from_bar(1.2);
/// The vacuum between two sweeps (assumed: it thins what is left a hundred times and more, and a pump is there in minutes).
const SWEEP_VACUUM: Pressure = Pressure::from_micron(5000.0);

impl Writer<'_> {
    /// Empties what is left, opens, repairs, closes, and proves tight.
    pub(super) fn work(&mut self, at: usize) -> Written {
        self.phase = Phase::Empty;
        self.region = self.runs.section_of(&self.job.spaces, true);
        if let Some(port) = self.skeleton.evacuation_port() {
            self.ensure_hose(port, at)?;
            self.join_port(port)?;
            self.lock_out()?;
            self.recover_rest(port)?;
        }
        self.lock_out()?;
        if self.job.opens() {
            self.open_and_close()?;
        }
        self.worked = true;
        if self.job.opens() || self.job.has(JobKind::TestWithNitrogen) { self.prove_tight() } else { Ok(()) }
    }

    fn open_and_close(&mut self) -> Written {
        self.phase = Phase::Work;
        let access = self.job.access(self.assembly());
        if let Some(port) = access {
            self.take_hose_off(port)?;
        }
        let spaces = self.job.spaces.clone();
        // Cut or unbolted cold; a flame only once the section stands open to the air.
        let with_heat = false;
        let actions = vec![Action::OpenUp { spaces: spaces.clone(), with_heat }];
        self.step(
            Doing::OpenUp { spaces: spaces.clone(), with_heat },
            actions,
            Reason::Repair,
            Some(Hold::NoPressure),
        )?;
        let with_heat = rigging::is_brazed(self.assembly(), self.job);
        if self.runs.is_flammable() {
            self.step(
                Doing::CheckAir,
                vec![Action::CheckAir],
                Reason::NothingThatBurns,
                Some(Hold::NothingBurns),
            )?;
        }
        let mut actions: Vec<Action> = access.map(|port| Action::BrazeAccess { port }).into_iter().collect();
        actions.push(Action::CloseUp { spaces: spaces.clone(), with_heat });
        self.step(Doing::CloseUp { spaces, with_heat }, actions, Reason::Repair, None)?;
        match access {
            Some(port) => self.fit_hose(port),
            None => Ok(()),
        }
    }

    /// Whether what a port reads is above the required level, by more than a gauge could show.
    fn is_above_level(&self, port: PortId) -> bool {
        let level = self.runs.required_level();
        self.runs.pressure_at(port).is_some_and(|found| found.as_pa() > 1.0005 * level.as_pa())
    }

    fn recover_rest(&mut self, port: PortId) -> Written {
        if self.is_above_level(port) {
            self.recover_through(port)?;
        }
        if self.burns() {
            return self.sweep(port);
        }
        if self.runs.below_atmosphere(port) && self.assembly().rigged.nitrogen_regulator.is_some() {
            self.break_vacuum(port)?;
        }
        Ok(())
    }

    /// Whether the section is opened and has held what burns.
    fn burns(&self) -> bool {
        self.job.opens() && self.runs.is_flammable()
    }

    /// Nitrogen in and out, a vacuum, nitrogen again: what is left of a refrigerant that burns is taken out before anything is opened (IEC 60335-2-40, Annex DD,
    /// removal and evacuation: recover, purge with inert gas, evacuate, purge with inert gas, open; EN 378-4 asks the same of work with heat; both from memory.
    /// The annex leaves the vacuum and the second purge to the technician where the class is A2L).
    fn sweep(&mut self, port: PortId) -> Written {
        if self.assembly().rigged.nitrogen_regulator.is_none() {
            if !rigging::is_brazed(self.assembly(), self.job) {
                return Ok(());
            }
            return Err(self.stuck(
                "there is no nitrogen at hand, and no flame goes on what has held a refrigerant that burns before it is swept out",
            ));
        }
        let targets = self.job.spaces.clone();
        let (limit, _) = self.runs.test_pressure(&targets);
        let to = limit.min(SWEEP_TO);
        if to >= LEAST_SWEEP {
            self.region = self.runs.test_gas(&targets).spaces();
            let zero = GaugePressure::from_pa(0.0);
            let mut actions = self.hand_valves(port, Position::Open);
            actions.extend([Action::AdmitNitrogen { to }, Action::ReleaseNitrogen { to: zero }]);
            actions.extend(self.hand_valves(port, Position::Shut));
            self.step(Doing::SweepOut { to }, actions, Reason::NothingThatBurns, Some(Hold::AirMoves))?;
        } else {
            self.pull_swept(port, Some(Hold::AirMoves))?;
            self.break_vacuum_for(port, Reason::NothingThatBurns)?;
        }
        self.pull_swept(port, None)?;
        self.break_vacuum_for(port, Reason::NothingThatBurns)
    }

    fn pull_swept(&mut self, port: PortId, hold: Option<Hold>) -> Written {
        let to = SWEEP_VACUUM;
        let mut actions = self.hand_valves(port, Position::Open);
        actions.push(Action::Evacuate { to });
        actions.extend(self.hand_valves(port, Position::Shut));
        self.step(Doing::PullSwept { to }, actions, Reason::NothingThatBurns, hold)
    }

    pub(super) fn break_vacuum(&mut self, port: PortId) -> Written {
        self.break_vacuum_for(port, Reason::NoAirIn)
    }

    fn break_vacuum_for(&mut self, port: PortId, reason: Reason) -> Written {
        let mut actions = self.hand_valves(port, Position::Open);
        actions.push(Action::AdmitNitrogen { to: GaugePressure::from_pa(0.0) });
        actions.extend(self.hand_valves(port, Position::Shut));
        self.step(Doing::BreakVacuum, actions, reason, None)
    }

    pub(super) fn recover(&mut self, port: PortId, at: usize) -> Written {
        self.phase = Phase::Empty;
        self.ensure_hose(port, at)?;
        self.join_port(port)?;
        if !self.is_above_level(port) {
            return Ok(());
        }
        // Every hose that reads the section draws.
        if let Some(space) = self.runs.reach(port) {
            self.region = self.runs.section_of(&[space], true);
        }
        self.recover_through(port)
    }

    fn recover_through(&mut self, port: PortId) -> Written {
        let Some(machine) = self.assembly().rigged.recovery_machine else { return Ok(()) };
        let before = self.runs.recovered();
        let mut actions = self.hand_valves(port, Position::Open);
        actions.extend([Action::Start(machine), Action::Stop(machine)]);
        actions.extend(self.hand_valves(port, Position::Shut));
        let to = self.runs.required_level();
        let also = |on: &PortId| *on != port && self.runs.reads_any_of(*on, &self.region);
        let ports = core::iter::once(port).chain(self.hoses.keys().copied().filter(also)).collect();
        let doing = Doing::Recover { ports, to, mass: Mass::from_kg(0.0), change_at: None };
        self.step(doing, actions, Reason::RequiredLevel, Some(Hold::StaysDown))?;
        let taken = self.runs.recovered() - before;
        let several = self.runs.cylinders(self.runs.in_cylinder()).filter(|needed| needed.count > 1);
        if let Some(Doing::Recover { mass, change_at, .. }) =
            self.steps.last_mut().map(|step| &mut step.doing)
        {
            *mass = taken;
            *change_at = several.map(|needed| needed.room);
        }
        Ok(())
    }

    /// Nitrogen in, a wait, a search, nitrogen out; with what would let it pass into the charge shut off first.
    fn prove_tight(&mut self) -> Written {
        let Some(port) = self.skeleton.evacuation_port() else { return Ok(()) };
        if self.assembly().rigged.nitrogen_regulator.is_none() {
            return Ok(());
        }
        self.phase = Phase::Prove;
        let shut = self.guard_the_charge()?;
        let targets = self.job.spaces.clone();
        let gas = self.runs.test_gas(&targets).spaces();
        self.pressure_test(port, &targets)?;
        for (valve, stood) in shut.into_iter().rev() {
            self.turn(valve, stood, Reason::JoinAgain, None)?;
        }
        // Gas that passed on comes out before anything else is joined to where it went.
        let own = self.runs.section_of(&targets, false);
        if gas.iter().any(|space| !own.contains(space)) {
            self.region = gas;
            self.dry_out(port)?;
        }
        Ok(())
    }

    /// Moves the stems without which the test pressure would be that behind a standing compressor's valves; says how those stood that were
    /// shut for it.
    fn guard_the_charge(&mut self) -> Result<Vec<(JointId, Position)>, Stuck> {
        let mut shut = Vec::new();
        for _ in 0..MOST_GUARDS {
            let Some(Guard { valve, to }) = self.runs.guard(&self.job.spaces) else { break };
            let Some(stood) = self.runs.position(valve) else { break };
            self.turn(valve, to, Reason::HoldTestGas, None)?;
            if matches!(to, Position::FrontSeated | Position::Shut) {
                shut.push((valve, stood));
            }
        }
        Ok(shut)
    }

    /// Tests what stands with some spaces.
    pub(super) fn pressure_test(&mut self, port: PortId, targets: &[SpaceId]) -> Written {
        let (to, set_by) = self.runs.test_pressure(targets);
        if to < LEAST_TEST {
            return Err(self.stuck("no stem keeps the test gas out of the charge, so no pressure that proves anything can be reached"));
        }
        self.region = self.runs.test_gas(targets).spaces();
        let mut actions = self.hand_valves(port, Position::Open);
        actions.extend([Action::AdmitNitrogen { to }, Action::Hold { minutes: 60 }, Action::SearchLeaks]);
        self.step(
            Doing::PressureTest { to, stand: TEST_STAND, set_by },
            actions,
            Reason::ProveTight,
            Some(Hold::Tight),
        )?;
        let atmosphere = self.assembly().circuit.atmosphere;
        let least = (to * REACHED).absolute(atmosphere);
        let settled = self.runs.settled();
        if targets.iter().any(|&space| settled.pressure(space).is_some_and(|found| found < least)) {
            return Err(self
                .stuck("the test gas does not get to all that was opened, so it would not be proved tight"));
        }
        let mut actions = vec![Action::ReleaseNitrogen { to: GaugePressure::from_pa(0.0) }];
        actions.extend(self.hand_valves(port, Position::Shut));
        self.step(Doing::ReleaseNitrogen, actions, Reason::ProveDry, Some(Hold::GasOut))
    }

    pub(super) fn evacuate(&mut self, port: PortId) -> Written {
        self.region = self.runs.section_of(&self.job.spaces, true);
        if self.runs.all_below(&self.region, VACUUM_LIMIT) {
            return Ok(());
        }
        self.ensure_hose(port, 0)?;
        self.join_port(port)?;
        self.dry(port)
    }

    /// Evacuates the region: in one pull, or in three with nitrogen between (US DoD UFGS 15741N §3.7.3, with nitrogen for the refrigerant that it
    /// still allowed).
    pub(super) fn dry(&mut self, port: PortId) -> Written {
        if !self.job.has(JobKind::EvacuateThrice) {
            return self.dry_out(port);
        }
        self.phase = Phase::Dry;
        for time in 1..=2 {
            let mut actions = self.hand_valves(port, Position::Open);
            let to = VACUUM_TARGET;
            actions
                .extend([Action::Evacuate { to }, Action::AdmitNitrogen { to: GaugePressure::from_pa(0.0) }]);
            actions.extend(self.hand_valves(port, Position::Shut));
            self.step(Doing::PullAndBreak { to, time }, actions, Reason::CarryWaterOut, None)?;
        }
        self.dry_out(port)
    }

    /// Evacuates the region and waits.
    fn dry_out(&mut self, port: PortId) -> Written {
        self.phase = Phase::Dry;
        let mut actions = self.hand_valves(port, Position::Open);
        actions.push(Action::Evacuate { to: VACUUM_TARGET });
        actions.extend(self.hand_valves(port, Position::Shut));
        actions.push(Action::Hold { minutes: 60 });
        let doing = Doing::Evacuate { to: VACUUM_TARGET, stand: VACUUM_STAND, may_rise_to: VACUUM_LIMIT };
        self.step(doing, actions, Reason::ProveDry, Some(Hold::Dry))
    }

    /// Opens or shuts the manifold's hand valves of the hose on a port and of every other hose that reads the opened section.
    pub(super) fn hand_valves(&self, port: PortId, to: Position) -> Vec<Action> {
        let rigged = &self.assembly().rigged;
        let region = &self.region;
        let chosen = self.hoses.iter().filter(|(on, _)| **on == port || self.runs.reads_any_of(**on, region));
        let valves = chosen.filter_map(|(_, &hose)| {
            let low = (hose == rigged.low_hose).then_some(rigged.low_hand_valve);
            low.or((hose == rigged.high_hose).then_some(rigged.high_hand_valve))
        });
        valves.map(|valve| Action::Turn { valve, to }).collect()
    }
}
