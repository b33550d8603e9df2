//! Jobs that isolate nothing, so that nothing has to be searched but their ports: new systems, charging, line sets, cores, oil.

use stemwise_circuit::{Assembly, JointId, JointKind, PortId, PortOn, Position, SpaceId, SpaceKind};
use stemwise_units::Mass;

use super::procedure::{Doing, Hold, Label, Phase, Reason};
use super::rigging::{self, watching_port};
use super::run::Runs;
use super::skeleton::Skeleton;
use super::why_not::Missing;
use super::write::{SCALE, Stuck, Writer, Written, is_on_valve, to_scale};
use super::{NoWay, Plan, Planning, Way};
use crate::supply::{king_valve, supply};
use crate::{Action, ChargeTarget, JobKind, JudgedBy, Start, State, Target, compressors};

/// A system has to run so long before it is read (California Title 24, RA3.2: 15 minutes).
const STEADY_MINUTES: u32 = 15;
/// What is missing goes in in these parts, the last the smallest, so that the target is not passed (common practice).
const PARCELS: [f64; 3] = [0.5, 0.3, 0.2];
/// Oil that is added where nothing else is known: this part of the oil charge, or so much (assumed).
const OIL_PART: f64 = 0.1;
const OIL: Mass = Mass::from_g(100.0);

/// Whether a job is written without a search.
pub(super) const fn is_direct(kind: JobKind) -> bool {
    matches!(
        kind,
        JobKind::TakeReadings
            | JobKind::ReturnToService
            | JobKind::TestWithNitrogen
            | JobKind::Evacuate
            | JobKind::EvacuateThrice
            | JobKind::FirstCharge
            | JobKind::TopUp
            | JobKind::ChargeBySubcooling
            | JobKind::ChargeBySuperheat
            | JobKind::ReleaseCharge
            | JobKind::MoveOut
            | JobKind::SwapCore
            | JobKind::AddOil
    )
}

impl Planning<'_> {
    /// Writes a job that isolates nothing.
    pub(super) fn direct(&self) -> Result<Plan, NoWay> {
        let graph = &self.assembly.circuit.graph;
        let only_open = [JobKind::TakeReadings, JobKind::TopUp, JobKind::AddOil, JobKind::ReturnToService]
            .contains(&self.job.kind);
        if graph.ports.is_empty() && only_open {
            return Err(NoWay { missing: vec![Missing::Sealed(self.job.kind)], tried: Vec::new() });
        }
        if let Some(missing) = self.lacks() {
            return Err(NoWay { missing: vec![missing], tried: Vec::new() });
        }
        let runs = Runs::new(self.assembly, self.refrigerant, self.stops, self.job, false);
        let found = [true, false].map(|low| watching_port(self.assembly, &runs, low));
        let fitted = crate::jobs::accesses(&self.assembly.circuit);
        let any = found.iter().any(Option::is_some)
            || self.job.kind == JobKind::SwapCore
            || (graph.ports.is_empty() && !fitted.is_empty());
        let none = |missing| NoWay { missing: vec![missing], tried: Vec::new() };
        if !any {
            return Err(none(Missing::NoPort));
        }
        let turns = found.iter().flatten().filter(|port| is_on_valve(self.assembly, **port)).count();
        let skeleton = Skeleton {
            moves: Vec::new(),
            critical: Vec::new(),
            cost: 40 * turns as u64,
            gap: None,
            expanded: 0,
        };
        match self.written(Way::Cheapest, &skeleton) {
            Ok((best, warnings)) => Ok(Plan { best, warnings, others: Vec::new(), unbeaten: Vec::new() }),
            Err(because) => Err(NoWay {
                missing: vec![Missing::Unknown],
                tried: vec![super::Other { way: Way::Cheapest, cost: None, because: Some(because) }],
            }),
        }
    }

    /// What of the rig the job can't do without.
    fn lacks(&self) -> Option<Missing> {
        let (job, rigged) = (self.job, &self.assembly.rigged);
        let dries =
            [JobKind::Evacuate, JobKind::EvacuateThrice, JobKind::FirstCharge, JobKind::ReleaseCharge];
        let dries = dries.into_iter().any(|kind| job.has(kind));
        let gas = job.has(JobKind::TestWithNitrogen)
            || job.has(JobKind::EvacuateThrice)
            || job.has(JobKind::ReleaseCharge);
        if dries && rigged.vacuum_pump.is_none() {
            return Some(Missing::VacuumPump);
        }
        if gas && rigged.nitrogen_regulator.is_none() {
            return Some(Missing::Nitrogen);
        }
        let circuit = &self.assembly.circuit;
        let no_target = |by| crate::jobs::charge_target(circuit, by, job.difference).is_none();
        if job.kind.judged_by().is_some_and(no_target) {
            return Some(Missing::NoTarget);
        }
        if job.has(JobKind::MoveOut) && rigged.recovery_machine.is_none() {
            return Some(Missing::Recovery);
        }
        if job.has(JobKind::ReturnToService) {
            let running = State::start(self.assembly, self.refrigerant, &self.stops, true);
            let supply = supply(self.assembly, self.refrigerant, &self.stops, &running, &job.spaces);
            return supply.is_none().then_some(Missing::NothingToPumpInto);
        }
        (job.has(JobKind::SwapCore) && !self.assembly.rig.core_tool).then_some(Missing::CoreTool)
    }
}

impl Writer<'_> {
    /// The whole of a job that isolates nothing.
    pub(super) fn write_direct(&mut self) -> Written {
        match self.job.kind {
            JobKind::TestWithNitrogen
            | JobKind::Evacuate
            | JobKind::EvacuateThrice
            | JobKind::FirstCharge => self.new_system(),
            JobKind::TopUp => self.top_up(),
            JobKind::ChargeBySubcooling | JobKind::ChargeBySuperheat => self.charge_to_target(),
            JobKind::ReleaseCharge => self.release_charge(),
            JobKind::MoveOut => self.move_out(),
            JobKind::SwapCore => self.swap_core(),
            JobKind::AddOil => self.add_oil(),
            JobKind::ReturnToService => self.return_to_service(),
            _ => self.prepare(),
        }
    }

    /// Test, vacuum and first charge of a system that holds no refrigerant, as far as they are asked for.
    fn new_system(&mut self) -> Written {
        let charges = self.job.has(JobKind::FirstCharge);
        let tests = self.job.has(JobKind::TestWithNitrogen);
        let dries = charges || self.job.has(JobKind::Evacuate) || self.job.has(JobKind::EvacuateThrice);
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, None)?;
        let king = if charges { king_valve(self.assembly()) } else { None };
        let king_port = king.and_then(|valve| self.port_of(valve));
        let low = watching_port(self.assembly(), &self.runs, true);
        let high = king_port.or(watching_port(self.assembly(), &self.runs, false));
        let mut ports: Vec<PortId> = [low, high].into_iter().flatten().collect();
        if ports.is_empty() {
            ports.extend(self.braze_access()?);
        }
        for &port in &ports {
            if !self.hoses.contains_key(&port) {
                self.fit_hose(port)?;
                self.join_port(port)?;
            }
        }
        let Some(&port) = ports.first() else { return Ok(()) };
        let all = self.job.spaces.clone();
        self.lock_out()?;
        if tests {
            self.phase = Phase::Prove;
            self.pressure_test(port, &all)?;
        }
        self.worked = true;
        if dries {
            self.region.clone_from(&all);
            self.dry(port)?;
        }
        if charges {
            self.first_charge(high.unwrap_or(port), king)?;
        }
        let label = match (charges, dries) {
            (true, _) => None,
            (false, true) => Some(Label::Vacuum),
            (false, false) => Some(Label::Nitrogen),
        };
        if let Some(label) = label {
            self.step(Doing::Label { label }, Vec::new(), Reason::LeftOff, None)?;
        }
        Ok(())
    }

    /// A sealed system that holds no refrigerant is given an access valve first.
    fn braze_access(&mut self) -> Result<Option<PortId>, Stuck> {
        let tubes = crate::jobs::accesses(&self.assembly().circuit);
        let Some(tube) = tubes.first() else { return Ok(None) };
        let Some(port) = tube.access(self.assembly()) else { return Ok(None) };
        self.lock_out()?;
        self.phase = Phase::Work;
        let spaces = tube.spaces.clone();
        let mut actions = vec![Action::OpenUp { spaces: spaces.clone(), with_heat: false }];
        actions.extend(self.runs.is_flammable().then_some(Action::CheckAir));
        actions.extend([Action::BrazeAccess { port }, Action::CloseUp { spaces, with_heat: true }]);
        self.step(Doing::BrazeAccess { port }, actions, Reason::NoPortAtAll, Some(Hold::PowerOff))?;
        Ok(Some(port))
    }

    /// What the vacuum draws in first, while everything stands; the rest while it runs: as liquid before the metering device where the receiver's
    /// outlet valve lets it, else into the suction side.
    fn first_charge(&mut self, port: PortId, king: Option<JointId>) -> Written {
        self.phase = Phase::Refill;
        let charge = self.assembly().circuit.charge.value;
        let low = self.hoses.keys().any(|&port| self.runs.reads_low_side(port));
        let low = low || self.port_for(rigging::is_on_suction).is_some();
        // No cylinder presses against a running high side: without another port all of it goes in as liquid while everything stands (common practice).
        let is_sealed = self.assembly().circuit.graph.ports.is_empty();
        let drawn = match king {
            // What a sealed circuit holds is weighed in while it stands: a start would draw it into a vacuum.
            None if !low || is_sealed => charge + self.runs.lost_with_the_last_hose(),
            _ => to_scale(self.runs.vapour_that_fills().min(charge)),
        };
        self.region.clear();
        self.charge(port, drawn, if is_sealed { Form::Vapour } else { Form::Liquid })?;
        self.restore_power()?;
        let compressors = compressors(&self.assembly().circuit);
        let rest = (charge - drawn).max(Mass::from_kg(0.0));
        let through_king =
            king.filter(|&king| self.port_of(king) == Some(port) && stays_with_line(self.assembly(), king));
        if let Some(king) = through_king {
            self.turn(king, Position::FrontSeated, Reason::FeedFromCylinder, None)?;
        }
        self.start(compressors)?;
        if rest.as_kg() > 1e-6 {
            self.phase = Phase::Refill;
            match through_king {
                Some(_) => self.charge(port, rest, Form::Liquid)?,
                None => self.charge_running(rest)?,
            }
        }
        self.phase = Phase::Return;
        if let Some(king) = through_king {
            self.turn(king, Position::Cracked, Reason::JoinAgain, None)?;
        }
        self.see_it_run()
    }

    /// Into the suction side of the running system, as its refrigerant allows.
    fn charge_running(&mut self, mass: Mass) -> Written {
        self.charge_running_for(mass, Reason::ByWeight)
    }

    pub(super) fn charge_running_for(&mut self, mass: Mass, reason: Reason) -> Written {
        let form = if self.runs.is_blend() { Form::Throttled } else { Form::Vapour };
        let low = self.hoses.keys().copied().find(|&port| self.runs.reads_low_side(port));
        let low = low.or_else(|| self.port_for(rigging::is_on_suction));
        let Some(port) = low.or_else(|| self.hoses.keys().copied().next()) else { return Ok(()) };
        self.ensure_hose(port, self.skeleton.moves.len())?;
        self.join_port(port)?;
        self.charge_for(port, mass, form, reason)
    }

    fn see_it_run(&mut self) -> Written {
        self.let_run()?;
        self.step(Doing::Read { gauges: self.hoses.len() }, vec![Action::Read], Reason::SeeItRun, None)?;
        self.step(Doing::SearchLeaks, vec![Action::SearchLeaks], Reason::ProveTight, Some(Hold::NoLeak))
    }

    fn top_up(&mut self) -> Written {
        self.prepare()?;
        self.phase = Phase::Refill;
        let mass = match self.job.start(self.assembly()) {
            Start::Short(missing) => missing,
            _ => return Ok(()),
        };
        if to_scale(mass) < SCALE {
            return Err(self.stuck("it is less than a charging scale shows: nothing to weigh in"));
        }
        // What the hoses hold comes back when they are drawn down, or is made up for at the end.
        let reason = if self.job.amount.is_some() { Reason::ByWeight } else { Reason::NobodySaid };
        self.charge_running_for(mass + self.runs.lost_with_the_last_hose(), reason)?;
        self.phase = Phase::Return;
        self.see_it_run()
    }

    /// Added little by little while it runs, with a wait and a look at what tells the charge after each.
    fn charge_to_target(&mut self) -> Written {
        let circuit = &self.assembly().circuit;
        let target = self.job.kind.judged_by();
        let target = target.and_then(|by| crate::jobs::charge_target(circuit, by, self.job.difference));
        let Some(target) = target else { return Err(self.stuck("there is no target to charge to")) };
        self.prepare()?;
        self.phase = Phase::Refill;
        let Start::Short(missing) = self.job.start(self.assembly()) else { return Ok(()) };
        self.judge(target, false)?;
        let mut left = to_scale(missing);
        for (at, part) in PARCELS.into_iter().enumerate() {
            let last = at + 1 == PARCELS.len();
            let parcel = if last { left } else { to_scale(missing * part).min(left) };
            // Too little for the scale goes in with the next.
            if parcel < SCALE {
                continue;
            }
            left = left - parcel;
            self.phase = Phase::Refill;
            self.charge_running_for(parcel, Reason::NotTooMuch)?;
            self.judge(target, true)?;
        }
        self.phase = Phase::Return;
        self.step(Doing::SearchLeaks, vec![Action::SearchLeaks], Reason::ProveTight, Some(Hold::NoLeak))
    }

    /// Waits until the system is steady, and measures what tells its charge.
    fn judge(&mut self, target: ChargeTarget, again: bool) -> Written {
        self.let_run()?;
        let low = target.by == JudgedBy::Superheat;
        let port = self.hoses.keys().copied().find(|&port| self.runs.reads_low_side(port) == low);
        let Some(port) = port.or_else(|| self.hoses.keys().copied().next()) else { return Ok(()) };
        let Some(saturation) = self.runs.saturation_at(port, low) else {
            return Err(self.stuck("the pressure there has no saturation temperature"));
        };
        let pipe = if low { saturation + target.value } else { saturation - target.value };
        self.step(
            Doing::Judge { target, port, saturation, pipe, again },
            vec![Action::Read],
            Reason::TellsCharge,
            Some(Hold::OnTarget),
        )
    }

    fn let_run(&mut self) -> Written {
        let minutes = STEADY_MINUTES;
        self.step(Doing::LetRun { minutes }, vec![Action::Hold { minutes }], Reason::Steady, None)
    }

    /// The line set tested and dried while its valves are shut, then the unit's charge let in.
    fn release_charge(&mut self) -> Written {
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, None)?;
        let (liquid, gas) = line_set_valves(self.assembly());
        let (Some(liquid), Some(gas)) = (liquid, gas) else {
            return Err(self.stuck("it has no two line-set valves"));
        };
        let ports: Vec<PortId> =
            [gas, liquid].into_iter().filter_map(|valve| self.line_set_port(valve)).collect();
        for &port in &ports {
            self.fit_hose(port)?;
        }
        let Some(&port) = ports.first() else { return Err(self.stuck("the line-set valves have no port")) };
        self.lock_out()?;
        self.phase = Phase::Prove;
        let targets = self.job.spaces.clone();
        self.pressure_test(port, &targets)?;
        self.worked = true;
        self.region = targets;
        self.dry(port)?;
        self.phase = Phase::Refill;
        let added = self.runs.line_allowance();
        if added.as_kg() > 0.0 {
            self.charge_for(port, added, Form::Liquid, Reason::LongerLine)?;
        }
        for valve in [gas, liquid] {
            self.turn(valve, Position::Open, Reason::LetChargeIn, None)?;
        }
        self.restore_power()?;
        self.phase = Phase::Return;
        let compressors = compressors(&self.assembly().circuit);
        self.start(compressors)?;
        self.see_it_run()
    }

    /// Liquid valve shut, pumped down, gas valve shut, stopped; what is left in the line set recovered.
    fn move_out(&mut self) -> Written {
        let (liquid, gas) = line_set_valves(self.assembly());
        let (Some(liquid), Some(gas)) = (liquid, gas) else {
            return Err(self.stuck("it has no two line-set valves"));
        };
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, Some(Hold::CylinderReady))?;
        let ports = [gas, liquid].map(|valve| self.line_set_port(valve));
        for port in ports.into_iter().flatten() {
            self.fit_hose(port)?;
        }
        self.step(Doing::Read { gauges: self.hoses.len() }, vec![Action::Read], Reason::SeePressures, None)?;
        self.phase = Phase::Isolate;
        self.turn(liquid, Position::Shut, Reason::CutOff { section: Vec::new() }, None)?;
        self.pump_down_if_running()?;
        self.phase = Phase::Isolate;
        self.turn(gas, Position::Shut, Reason::KeepInUnit, Some(Hold::Slip))?;
        let compressors = compressors(&self.assembly().circuit);
        let actions = compressors.iter().map(|&which| Action::Stop(which)).collect();
        self.step(Doing::Stop { compressors }, actions, Reason::MustStand, None)?;
        self.lock_out()?;
        let port = self.line_set_port(gas).or_else(|| self.line_set_port(liquid));
        if let Some(port) = port {
            self.region = self.job.spaces.clone();
            self.recover(port, 0)?;
        }
        Ok(())
    }

    /// After a pump-down: what was shut is opened while everything stands, and the system is seen to run as it did.
    fn return_to_service(&mut self) -> Written {
        self.locked_out = true;
        self.prepare()?;
        if let Some(read) = self.steps.last_mut().filter(|step| matches!(step.doing, Doing::Read { .. })) {
            read.hold = Some(Hold::LowSideKept);
        }
        self.phase = Phase::Refill;
        for valve in self.runs.stems_off_normal() {
            let gauged = self.port_of(valve).is_some_and(|port| self.hoses.contains_key(&port));
            let shut = matches!(self.runs.position(valve), Some(Position::FrontSeated | Position::Shut));
            let normal =
                self.assembly().graph.joint(valve).and_then(|joint| Some(joint.stem.as_ref()?.normal));
            match normal.filter(|_| shut) {
                Some(Position::BackSeated) if gauged => {
                    self.turn(valve, Position::Cracked, Reason::JoinAgain, None)?;
                }
                Some(normal) => self.turn(valve, normal, Reason::JoinAgain, None)?,
                None => {}
            }
        }
        self.phase = Phase::Return;
        self.restore_power()?;
        let compressors = compressors(&self.assembly().circuit);
        self.start(compressors)?;
        self.see_it_run()
    }

    fn swap_core(&mut self) -> Written {
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, None)?;
        let Target::Port(port) = self.job.about else { return Err(self.stuck("no port is named")) };
        self.phase = Phase::Work;
        let mut actions = Vec::new();
        if self.assembly().graph.port(port).is_some_and(|found| found.cap) {
            actions.push(Action::TakeCapOff(crate::Cap::Port(port)));
        }
        actions.extend([Action::PullCore { port, with_tool: true }, Action::PutCoreBack { port }]);
        self.step(Doing::SwapCore { port }, actions, Reason::Repair, Some(Hold::Slip))?;
        self.phase = Phase::Prove;
        self.step(Doing::SearchLeaks, vec![Action::SearchLeaks], Reason::ProveTight, Some(Hold::NoLeak))
    }

    fn add_oil(&mut self) -> Written {
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, None)?;
        let Some(port) = watching_port(self.assembly(), &self.runs, true) else {
            return Err(self.stuck("no port reads the suction side"));
        };
        self.fit_hose(port)?;
        self.join_port(port)?;
        self.step(Doing::Read { gauges: self.hoses.len() }, vec![Action::Read], Reason::SeePressures, None)?;
        self.phase = Phase::Work;
        let oil = self.assembly().circuit.oil.as_ref().and_then(|oil| oil.mass);
        let mass = oil.map_or(OIL, |oil| oil * OIL_PART);
        self.step(Doing::AddOil { port, mass }, vec![Action::AddOil { mass }], Reason::Repair, None)?;
        self.phase = Phase::Return;
        self.see_it_run()
    }

    /// The port of a line-set valve.
    fn line_set_port(&self, valve: JointId) -> Option<PortId> {
        let graph = &self.assembly().graph;
        let joint = graph.joint(valve)?;
        let JointKind::LineSetValve { port } = joint.kind else { return None };
        port.or_else(|| {
            graph.ports_with_ids().find(|(_, port)| port.on == PortOn::Space(joint.b)).map(|(id, _)| id)
        })
    }

    pub(super) fn stuck(&self, why: &str) -> Stuck {
        Stuck { step: self.steps.len() + 1, why: why.into() }
    }
}

/// How refrigerant goes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Form {
    /// As liquid.
    Liquid,
    /// As vapour.
    Vapour,
    /// Out of the cylinder as liquid, throttled on its way.
    Throttled,
}

/// The line-set valves: the one of the liquid line, and the other.
fn line_set_valves(assembly: &Assembly) -> (Option<JointId>, Option<JointId>) {
    let graph = &assembly.circuit.graph;
    let valves =
        || graph.joints_with_ids().filter(|(_, joint)| matches!(joint.kind, JointKind::LineSetValve { .. }));
    let liquid = |space: SpaceId| graph.space(space).is_some_and(|space| space.kind == SpaceKind::LiquidLine);
    let of = |wanted: bool| valves().find(|(_, joint)| liquid(joint.b) == wanted).map(|(id, _)| id);
    (of(true), of(false))
}

fn stays_with_line(assembly: &Assembly, valve: JointId) -> bool {
    assembly.graph.joint(valve).is_some_and(|joint| {
        matches!(joint.kind, JointKind::ServiceValve { port_stays_with: stemwise_circuit::End::Line, .. })
    })
}
