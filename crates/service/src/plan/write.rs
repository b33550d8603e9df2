//! Writes a skeleton out as a procedure: care steps, hoses, proofs, drying, refilling and the way back.

mod hoses;

use std::collections::BTreeMap;

use stemwise_circuit::{Assembly, Graph, JointId, JointKind, PortId, PortOn, Position, SpaceId, SpaceKind};
use stemwise_units::{GaugePressure, Mass};

use super::beware::Beware;
use super::direct::{Form, is_direct};
use super::procedure::{Doing, Expect, Hold, Label, Phase, Reason, Step};
use super::rigging;
use super::run::Runs;
use super::skeleton::{Move, Skeleton};
use crate::rules::running::WARM_MINUTES;
use crate::{Action, Cap, Job, JobKind, Way};

/// Pump-down stops at 0 to 2 psig and is repeated when it climbs above 2 (US Army TM 5-4110-234-14 §5-6).
pub(super) const RISE_LIMIT: GaugePressure = GaugePressure::from_psi(2.0);
const RISE_WAIT_MINUTES: u32 = 5;

/// Up to where the low side may climb: where a low-pressure control stops the compressor above that, it climbs from there.
pub(super) fn rise_limit(stopped: GaugePressure) -> GaugePressure {
    if stopped > RISE_LIMIT {
        GaugePressure::from_pa(stopped.as_pa() + RISE_LIMIT.as_pa())
    } else {
        RISE_LIMIT
    }
}

/// So long liquid is left to run down into a receiver (common practice).
const DRAIN_MINUTES: u32 = 20;
/// A shortage below this part of the charge is not weighed in: charging scales and the charge on the nameplate are no finer (common
/// practice).
const WORTH_CHARGING: f64 = 0.0025;

/// What a charging scale shows at least (common practice).
pub(super) const SCALE: Mass = Mass::from_g(1.0);

/// Why a skeleton could not be written out: an action that the physics refuses.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stuck {
    /// The step's number, from 1.
    pub(super) step: usize,
    /// The refusal, in a sentence.
    pub(super) why: String,
}

/// Writes one procedure.
pub(super) struct Writer<'a> {
    pub(super) job: &'a Job,
    pub(super) way: Way,
    pub(super) skeleton: &'a Skeleton,
    pub(super) runs: Runs<'a>,
    pub(super) steps: Vec<Step>,
    /// Which hose is on which port.
    pub(super) hoses: BTreeMap<PortId, SpaceId>,
    /// The spaces that are joined to the part worked on while it is open.
    pub(super) region: Vec<SpaceId>,
    pub(super) phase: Phase,
    stem_moves: usize,
    pub(super) locked_out: bool,
    pub(super) held_open: Vec<JointId>,
    /// Whether what the job asks for inside the section has been done.
    pub(super) worked: bool,
}

pub(super) type Written = Result<(), Stuck>;

impl<'a> Writer<'a> {
    pub(super) fn new(job: &'a Job, way: Way, skeleton: &'a Skeleton, runs: Runs<'a>) -> Self {
        Self {
            job,
            way,
            skeleton,
            runs,
            steps: Vec::new(),
            hoses: BTreeMap::new(),
            region: Vec::new(),
            phase: Phase::Prepare,
            stem_moves: 0,
            locked_out: false,
            held_open: Vec::new(),
            worked: false,
        }
    }

    /// Writes all of it.
    pub(super) fn write(mut self) -> Result<Self, Stuck> {
        if is_direct(self.job.kind) && !self.job.works() {
            self.write_direct()?;
            self.finish()?;
            self.join_phases();
            return Ok(self);
        }
        self.prepare()?;
        self.phase = Phase::Isolate;
        let mut at = 0;
        while let Some(step) = self.skeleton.moves.get(at) {
            at += match *step {
                Move::Turn(valve, to) => self.turns(at, valve, to)?,
                Move::Start(_) => self.starts(at)?,
                Move::Stop(_) => self.stops(at)?,
                Move::Attach(_, port) => self.attach(port, at).map(|()| 1)?,
                Move::Detach(..) => 1,
                Move::Recover(port) => self.recover(port, at).map(|()| 1)?,
                Move::Evacuate(port) => self.evacuate(port).map(|()| 1)?,
                Move::Work => self.work(at).map(|()| 1)?,
            };
        }
        self.finish()?;
        self.join_phases();
        Ok(self)
    }

    /// What is done between the first and the last step of emptying, or of refilling, belongs to it: each heading stands once.
    fn join_phases(&mut self) {
        // Stems that are opened before the last refrigerant goes in belong to letting it in.
        let refilled = self.steps.iter().rposition(|step| step.phase == Phase::Refill).unwrap_or(0);
        for step in self.steps.iter_mut().take(refilled).filter(|step| step.phase == Phase::Return) {
            step.phase = Phase::Refill;
        }
        for phase in [Phase::Empty, Phase::Refill] {
            let is = |step: &Step| step.phase == phase;
            let (first, last) = (self.steps.iter().position(is), self.steps.iter().rposition(is));
            let (Some(first), Some(last)) = (first, last) else { continue };
            if let Some(between) = self.steps.get_mut(first..=last) {
                between.iter_mut().for_each(|step| step.phase = phase);
            }
        }
    }

    /// How often a stem was turned from one position to another.
    pub(super) const fn stem_moves(&self) -> usize {
        self.stem_moves
    }

    pub(super) fn assembly(&self) -> &'a Assembly {
        self.runs.assembly()
    }

    /// Applies the actions to every scenario and appends the step with the readings that follow.
    pub(super) fn step(
        &mut self,
        doing: Doing,
        actions: Vec<Action>,
        reason: Reason,
        hold: Option<Hold>,
    ) -> Written {
        let mut cautions = Vec::new();
        let beware = self.beware(&doing, &reason);
        let hold = hold.or_else(|| self.hold_against(&doing, &beware));
        let lost_before = self.runs.state().left.lost_kg;
        for action in &actions {
            let found = self.runs.act(action).map_err(|why| Stuck { step: self.steps.len() + 1, why })?;
            for id in found {
                if !cautions.contains(&id) {
                    cautions.push(id);
                }
            }
        }
        // While a compressor pumps down after a turn the pressures fall: the next step says where to.
        let falling = matches!(doing, Doing::Turn { .. }) && !self.runs.pumping_down().is_empty();
        let mut expect = if falling { Vec::new() } else { self.readings() };
        if let Doing::PressureTest { to, .. } = doing {
            // What a gauge may be off by is no leave to go higher.
            let most = to.absolute(self.assembly().circuit.atmosphere);
            for expected in expect.iter_mut().filter(|expected| expected.high.as_pa() > most.as_pa()) {
                expected.high =
                    if expected.pressure.as_pa() > most.as_pa() { expected.pressure } else { most };
            }
        }
        // What is pumped down has to stay so while one watches; later it climbs as a standing compressor's valves let it, and tells nothing.
        if !matches!(doing, Doing::PumpDown { .. } | Doing::Stop { .. } | Doing::WaitForRise { .. }) {
            expect.retain(|expected| !self.runs.climbs(expected.gauge));
        }
        let lost = Mass::from_kg(self.runs.state().left.lost_kg - lost_before);
        self.steps.push(Step {
            phase: self.phase,
            doing,
            actions,
            reason,
            expect,
            cautions,
            beware,
            hold,
            lost,
        });
        Ok(())
    }

    /// What is proved first where a single slip is dangerous and no gauge shows it in time.
    fn hold_against(&self, doing: &Doing, beware: &[Beware]) -> Option<Hold> {
        let has = |slip| beware.contains(&slip);
        match *doing {
            Doing::TakeHoseOff { .. } if has(Beware::LivePort) => Some(Hold::DiesAway),
            Doing::TakeHoseOff { .. } if has(Beware::OffUnderVacuum) => Some(Hold::AtZero),
            Doing::Turn { .. } if has(Beware::BeforeVacuum) => Some(Hold::VacuumHeld),
            Doing::Charge { .. } if has(Beware::NotPurged) => Some(Hold::OnlyCylinder),
            // A running compressor's discharge valve.
            Doing::Turn { valve, .. } if !self.runs.stands() => {
                let graph = &self.assembly().graph;
                let body = graph.joint(valve).and_then(|joint| graph.space(joint.b));
                body.filter(|space| space.kind == SpaceKind::CompressorHead).map(|_| Hold::Slip)
            }
            _ => None,
        }
    }

    fn readings(&self) -> Vec<Expect> {
        let read = |(&port, &gauge): (&PortId, &SpaceId)| {
            let (low, pressure, high) = self.runs.band(gauge).filter(|_| self.runs.is_joined(port))?;
            Some(Expect { gauge, port, pressure, low, high })
        };
        self.hoses.iter().filter_map(read).collect()
    }

    pub(super) fn prepare(&mut self) -> Written {
        let recovers =
            self.skeleton.moves.iter().any(|step| matches!(step, Move::Recover(_))) || self.job.works();
        let hold = (recovers && self.assembly().rigged.cylinder.is_some()).then_some(Hold::CylinderReady);
        self.step(Doing::LookOver, Vec::new(), Reason::KnowFirst, hold)?;
        // Nothing is pierced while the compressor runs: the way in is made once it stands.
        let sealed = self.assembly().circuit.graph.ports.is_empty();
        let ports = if sealed {
            Vec::new()
        } else {
            rigging::ports_to_fit(self.assembly(), &self.runs, self.skeleton, self.job)
        };
        for port in ports {
            self.fit_hose(port)?;
            self.join_port(port)?;
        }
        if !self.hoses.is_empty() {
            self.step(
                Doing::Read { gauges: self.hoses.len() },
                vec![Action::Read],
                Reason::SeePressures,
                None,
            )?;
        }
        self.open_regulators()
    }

    /// A regulator that keeps its evaporator up would hold a pump-down back for hours: wide open by hand, where it can be.
    fn open_regulators(&mut self) -> Written {
        let shuts = |position| matches!(position, Position::FrontSeated | Position::Shut);
        let until_stop = self.skeleton.moves.iter().take_while(|step| !matches!(step, Move::Stop(_)));
        let cuts = until_stop.clone().any(|step| matches!(step, Move::Turn(_, to) if shuts(*to)));
        let pumps = cuts && !self.runs.stands() && until_stop.count() < self.skeleton.moves.len();
        let valves = if pumps { self.runs.regulators_that_hold_up() } else { Vec::new() };
        if valves.is_empty() {
            return Ok(());
        }
        let actions = valves.iter().map(|&valve| Action::HoldOpen(valve)).collect();
        self.held_open.extend(&valves);
        self.step(Doing::HoldOpen { valves }, actions, Reason::NotHeldUp, None)
    }

    /// Nothing but time: what is above runs down.
    fn let_drain(&mut self, into: SpaceId) -> Written {
        self.phase = Phase::Empty;
        let doing = Doing::LetDrain { into, minutes: DRAIN_MINUTES };
        self.step(doing, vec![Action::Hold { minutes: DRAIN_MINUTES }], Reason::KeepsCharge, None)
    }

    /// Turns a valve; several skeleton turns of the same valve in a row are one movement. Returns how many moves that used up.
    fn turns(&mut self, at: usize, valve: JointId, first: Position) -> Result<usize, Stuck> {
        let mut to = first;
        let mut used = 1;
        for (offset, step) in self.skeleton.moves.iter().enumerate().skip(at + 1) {
            match *step {
                Move::Turn(same, next) if same == valve => {
                    to = next;
                    used = offset + 1 - at;
                }
                Move::Attach(..) => {}
                _ => break,
            }
        }
        for step in self.skeleton.moves.iter().skip(at + 1).take(used - 1) {
            if let Move::Attach(_, port) = *step {
                self.attach(port, at)?;
            }
        }
        let slip = self.skeleton.critical.iter().skip(at).take(used).any(|&critical| critical);
        self.turn_for(valve, to, slip)?;
        Ok(used)
    }

    /// A valve whose port still has a gauge on is left cracked instead of back-seated.
    fn turn_for(&mut self, valve: JointId, to: Position, slip: bool) -> Written {
        let gauged = self.port_of(valve).is_some_and(|port| self.hoses.contains_key(&port));
        let from = self.runs.position(valve);
        let to = match (to, gauged) {
            (Position::BackSeated | Position::MidSeated, true) => Position::Cracked,
            // Nothing reads its port: back where it belongs in one movement.
            (Position::MidSeated, false) if from == Some(Position::FrontSeated) => Position::BackSeated,
            _ => to,
        };
        let same_reach = |one, other| {
            let joins = |position| matches!(position, Position::Cracked | Position::MidSeated);
            one == other || (joins(one) && joins(other))
        };
        if from.is_some_and(|from| same_reach(from, to)) {
            return Ok(());
        }
        let shuts = matches!(to, Position::FrontSeated | Position::Shut);
        if shuts
            && !self.worked()
            && self.runs.stands()
            && let Some(receiver) = self.runs.drains_through(valve)
        {
            self.let_drain(receiver)?;
        }
        let refills = self.worked() && !shuts;
        self.phase = match (self.worked(), shuts) {
            (false, _) => Phase::Isolate,
            (true, _) if self.runs.needs_refill(valve) => Phase::Refill,
            (true, _) => Phase::Return,
        };
        let reason = match (shuts, refills) {
            (true, _) => Reason::CutOff { section: Vec::new() },
            (false, true) => Reason::JoinAgain,
            (false, false) => Reason::JoinPort,
        };
        let hold = self.hold_of_turn(valve, to).or(slip.then_some(Hold::Slip));
        self.turn(valve, to, reason, hold)?;
        self.pump_down_if_running()
    }

    fn hold_of_turn(&self, valve: JointId, to: Position) -> Option<Hold> {
        let joint = self.assembly().graph.joint(valve)?;
        match (&joint.kind, to) {
            (
                JointKind::ServiceValve { port: Some(port), port_side_entered: false, .. },
                Position::FrontSeated,
            ) if self.hoses.contains_key(port) => Some(Hold::PortSide(valve)),
            _ => None,
        }
    }

    /// One turn with its care.
    pub(super) fn turn(
        &mut self,
        valve: JointId,
        to: Position,
        reason: Reason,
        hold: Option<Hold>,
    ) -> Written {
        let Some(from) = self.runs.position(valve) else { return Ok(()) };
        if from == to {
            return Ok(());
        }
        let actions = self.turn_actions(valve, to);
        self.stem_moves += 1;
        self.step(Doing::Turn { valve, from, to }, actions, reason, hold)
    }

    /// Cap off, nut eased, stem turned, nut tightened; only what the fixture has.
    pub(super) fn turn_actions(&self, valve: JointId, to: Position) -> Vec<Action> {
        let stem = self.assembly().graph.joint(valve).and_then(|joint| joint.stem.as_ref());
        let mut actions = Vec::new();
        if stem.is_some_and(|stem| stem.cap) && !self.runs.state().caps_off.contains(&Cap::Stem(valve)) {
            actions.push(Action::TakeCapOff(Cap::Stem(valve)));
        }
        let nut = stem.is_some_and(|stem| stem.packing_nut);
        if nut {
            actions.push(Action::EaseNut(valve));
        }
        actions.push(Action::Turn { valve, to });
        if nut {
            actions.push(Action::TightenNut(valve));
        }
        actions
    }

    /// After a turn: if compressors run with their supply cut, they pump down now.
    pub(super) fn pump_down_if_running(&mut self) -> Written {
        let compressors = self.runs.pumping_down();
        if compressors.is_empty() || self.worked() {
            return Ok(());
        }
        self.phase = Phase::Empty;
        let to = self.runs.stop_pressure(&compressors);
        let doing = Doing::PumpDown { compressors, to };
        self.step(doing, vec![Action::Read], Reason::MoveCharge, Some(Hold::StaysDown))
    }

    fn stops(&mut self, at: usize) -> Result<usize, Stuck> {
        let compressors =
            self.run_of(at, |step| if let Move::Stop(which) = step { Some(which) } else { None });
        let used = compressors.len();
        let pumping = self.runs.pumping_down();
        let pumped = !pumping.is_empty();
        let limit = rise_limit(self.runs.stop_pressure(&pumping));
        self.phase = if pumped { Phase::Empty } else { Phase::Prepare };
        let actions = compressors.iter().map(|&which| Action::Stop(which)).collect();
        self.step(Doing::Stop { compressors }, actions, Reason::MustStand, None)?;
        if pumped {
            let doing = Doing::WaitForRise { minutes: RISE_WAIT_MINUTES, limit };
            let actions = vec![Action::Hold { minutes: RISE_WAIT_MINUTES }];
            self.step(doing, actions, Reason::OilGivesOff, Some(Hold::StaysDown))?;
        }
        let until_work = self.skeleton.moves.iter().skip(at).take_while(|step| **step != Move::Work);
        if !self.worked()
            && self.runs.stands()
            && !until_work.clone().any(|step| matches!(step, Move::Start(_)))
        {
            self.lock_out()?;
        }
        Ok(used)
    }

    pub(super) fn starts(&mut self, at: usize) -> Result<usize, Stuck> {
        let compressors =
            self.run_of(at, |step| if let Move::Start(which) = step { Some(which) } else { None });
        let used = compressors.len();
        if self.worked() && self.runs.is_nearly_empty() {
            // The first charge of an empty system goes in as liquid while the compressor stands.
            self.charge_back(true, at)?;
        }
        self.phase = if self.worked() { Phase::Return } else { Phase::Empty };
        self.restore_power()?;
        self.start(compressors)?;
        self.pump_down_if_running()?;
        Ok(used)
    }

    /// Starts compressors, after a wait where liquid stands beside one.
    pub(super) fn start(&mut self, compressors: Vec<JointId>) -> Written {
        if let Some(beside) = compressors.iter().find_map(|&which| self.runs.floods(which)) {
            let minutes = WARM_MINUTES;
            let doing = Doing::LetWarm { minutes, beside };
            self.step(doing, vec![Action::Hold { minutes }], Reason::NoLiquidDrawnIn, None)?;
        }
        let actions = compressors.iter().map(|&which| Action::Start(which)).collect();
        self.step(Doing::Start { compressors }, actions, Reason::SeeItRun, Some(Hold::DischargeOpen))
    }

    fn run_of(&self, at: usize, pick: impl Fn(Move) -> Option<JointId>) -> Vec<JointId> {
        self.skeleton.moves.iter().skip(at).map_while(|step| pick(*step)).collect()
    }

    const fn worked(&self) -> bool {
        self.worked
    }

    pub(super) fn lock_out(&mut self) -> Written {
        if self.locked_out {
            return Ok(());
        }
        self.locked_out = true;
        // A pump-down opens nothing: its solenoids may fall.
        let opens = self.job.kind != JobKind::PumpDown;
        let mut valves = if opens { self.solenoids_of_region() } else { Vec::new() };
        // Where the hoses reach both sides of each, recovering needs no magnet.
        let recovers = matches!(self.job.kind, JobKind::RecoverAll | JobKind::Decommission);
        if recovers && self.runs.drawn_with_coils_off() {
            valves.clear();
        }
        if !valves.is_empty() {
            let actions = valves.iter().map(|&valve| Action::HoldOpen(valve)).collect();
            self.held_open.extend(&valves);
            self.step(Doing::HoldOpen { valves }, actions, Reason::NoLiquidShutIn, None)?;
        }
        self.step(Doing::LockOut, vec![Action::LockOut], Reason::Hands, Some(Hold::PowerOff))
    }

    pub(super) fn restore_power(&mut self) -> Written {
        if !self.locked_out {
            return Ok(());
        }
        self.locked_out = false;
        self.let_go()?;
        self.step(Doing::RestorePower, vec![Action::RestorePower], Reason::Normal, None)
    }

    fn let_go(&mut self) -> Written {
        if self.held_open.is_empty() {
            return Ok(());
        }
        let valves = core::mem::take(&mut self.held_open);
        let actions = valves.iter().map(|&valve| Action::LetGo(valve)).collect();
        self.step(Doing::LetGo { valves }, actions, Reason::Normal, None)
    }

    /// The solenoids of what will be opened, or of the job's spaces where nothing is: how the stems will stand at the work decides.
    fn solenoids_of_region(&self) -> Vec<JointId> {
        let joints = self.assembly().graph.joints_with_ids();
        let turns = self.skeleton.moves.iter().take_while(|step| **step != Move::Work);
        let stems = turns.filter_map(|step| match *step {
            Move::Turn(valve, to) => Some((valve, to)),
            _ => None,
        });
        let region = self.runs.section_at(&self.job.spaces, stems);
        let whole = self.way == Way::RecoverWhole;
        let touches = |a, b| whole || region.contains(&a) || region.contains(&b);
        joints
            .filter(|(_, joint)| {
                matches!(joint.kind, JointKind::Solenoid { .. }) && touches(joint.a, joint.b)
            })
            .map(|(id, _)| id)
            .collect()
    }

    fn finish(&mut self) -> Written {
        self.phase = Phase::Return;
        if self.job.works() {
            self.restore_power()?;
            self.full_hoses_off()?;
            self.charge_back(false, self.skeleton.moves.len())?;
            self.step(Doing::Read { gauges: self.hoses.len() }, vec![Action::Read], Reason::SeeItRun, None)?;
            self.step(Doing::SearchLeaks, vec![Action::SearchLeaks], Reason::ProveTight, Some(Hold::NoLeak))?;
        } else if self.runs.stands() {
            self.lock_out()?;
        } else if self.job.parts().iter().any(|part| part.kind.fills()) {
            self.make_up_for_hoses()?;
        }
        self.region.clear();
        // The high side first, so that its hose can be drawn down into the low side.
        let mut ports: Vec<PortId> = self.hoses.keys().copied().collect();
        ports.sort_by_key(|&port| self.runs.reads_low_side(port));
        for port in ports {
            self.take_hose_off(port)?;
        }
        // No magnet stays on a valve, with the power off or on.
        self.let_go()?;
        self.tag()?;
        let label = match self.job.kind {
            JobKind::Decommission => Some(Label::OutOfUse),
            JobKind::MoveOut => Some(Label::ChargedUnit),
            _ => None,
        };
        if let Some(label) = label {
            self.step(Doing::Label { label }, Vec::new(), Reason::LeftOff, None)?;
        }
        self.caps()?;
        let left = self.runs.state().left;
        let [recovered, charged, lost] =
            [left.recovered_kg, left.charged_kg, left.lost_kg].map(Mass::from_kg);
        self.step(Doing::Record { recovered, charged, lost }, Vec::new(), Reason::Account, None)
    }

    /// Hoses that nothing lets be drawn empty come off before the charge is made up, so that what they take along is made up too.
    fn full_hoses_off(&mut self) -> Written {
        let full = self.runs.full_hoses();
        for port in full {
            if self.hoses.len() > 1 {
                self.take_hose_off(port)?;
            }
        }
        Ok(())
    }

    fn make_up_for_hoses(&mut self) -> Written {
        let before = self.runs.state().left.lost_kg;
        self.full_hoses_off()?;
        let lost = Mass::from_kg(self.runs.state().left.lost_kg - before);
        if lost > self.worth() {
            self.phase = Phase::Refill;
            self.charge_running_for(lost, Reason::ByWeight)?;
            self.phase = Phase::Return;
        }
        Ok(())
    }

    fn worth(&self) -> Mass {
        (self.assembly().circuit.charge.value * WORTH_CHARGING).max(SCALE)
    }

    /// Weighs back what was taken out and what will stay in the hoses: into an empty standing system as liquid on the high side, else as vapour
    /// on the low side.
    fn charge_back(&mut self, liquid: bool, at: usize) -> Written {
        let left = self.runs.state().left;
        let taken = Mass::from_kg(left.recovered_kg + left.lost_kg - left.charged_kg);
        let mass = taken + self.runs.stays_in_hoses();
        let worth = self.worth();
        if mass <= worth {
            return Ok(());
        }
        let feeds = if liquid { self.port_for(rigging::takes_liquid) } else { None };
        let low = self.port_for(rigging::is_on_suction).or_else(|| self.hoses.keys().copied().next());
        let Some(port) = feeds.or(low) else { return Ok(()) };
        self.phase = Phase::Refill;
        self.region.clear();
        self.ensure_hose(port, at)?;
        self.join_port(port)?;
        let form = match (feeds.is_some(), self.runs.is_blend()) {
            (true, _) => Form::Liquid,
            (false, true) => Form::Throttled,
            (false, false) => Form::Vapour,
        };
        self.charge(port, mass, form)?;
        self.phase = Phase::Return;
        Ok(())
    }

    /// A port of a kind that refrigerant can go in by: one with a hose on, or else the port of a service valve that stands on its back seat, so that
    /// a hose goes on without opening anything.
    pub(super) fn port_for(&self, kind: impl Fn(&Graph, PortId) -> bool) -> Option<PortId> {
        let graph = &self.assembly().graph;
        let on = self.hoses.keys().copied().find(|&port| kind(graph, port));
        on.or_else(|| {
            let own = self.assembly().circuit.graph.ports_with_ids();
            own.map(|(port, _)| port)
                .find(|&port| self.is_shut_off(port) && self.runs.can_fit(port) && kind(graph, port))
        })
    }

    /// Weighs refrigerant in through a port.
    pub(super) fn charge(&mut self, port: PortId, mass: Mass, form: Form) -> Written {
        let draws = form == Form::Liquid && !self.runs.stands();
        self.charge_for(port, mass, form, if draws { Reason::FeedFromCylinder } else { Reason::ByWeight })
    }

    /// The same with its reason.
    pub(super) fn charge_for(&mut self, port: PortId, mass: Mass, form: Form, reason: Reason) -> Written {
        let mass = to_scale(mass);
        if mass < SCALE {
            return Ok(());
        }
        // On the cylinder the centre hose is purged before a hand valve is opened to it.
        let centre = self.assembly().rigged.centre_hose;
        let swapped = !self.runs.state().purged.contains(&centre);
        let mut actions: Vec<Action> =
            swapped.then_some(Action::PurgeHose { hose: centre }).into_iter().collect();
        actions.extend(self.hand_valves(port, Position::Open));
        actions.push(match form {
            Form::Liquid => Action::Charge { mass, liquid: true },
            Form::Vapour => Action::Charge { mass, liquid: false },
            Form::Throttled => Action::ChargeThrottled { mass },
        });
        actions.extend(self.hand_valves(port, Position::Shut));
        self.step(Doing::Charge { mass, form }, actions, reason, None)
    }

    pub(super) fn tag(&mut self) -> Written {
        let valves = self.runs.stems_off_normal();
        if valves.is_empty() {
            return Ok(());
        }
        self.step(Doing::Tag { valves }, Vec::new(), Reason::LeftOff, None)
    }

    pub(super) fn caps(&mut self) -> Written {
        let off: Vec<Cap> = self.runs.state().caps_off.iter().copied().collect();
        if off.is_empty() {
            return Ok(());
        }
        let count = off.len();
        let actions = off.into_iter().map(Action::PutCapOn).collect();
        self.step(Doing::Caps { count }, actions, Reason::LastSeal, Some(Hold::AllBack))
    }

    /// The port of a service valve.
    pub(super) fn port_of(&self, valve: JointId) -> Option<PortId> {
        let ports = self.assembly().graph.ports_with_ids();
        ports.filter(|(_, port)| port.on == PortOn::ServiceValve(valve)).map(|(id, _)| id).next()
    }

    /// The service valve that a port is on.
    pub(super) fn valve_of(&self, port: PortId) -> Option<JointId> {
        match self.assembly().graph.port(port)?.on {
            PortOn::ServiceValve(valve) => Some(valve),
            PortOn::Space(_) => None,
        }
    }
}

/// To what a scale shows.
pub(super) fn to_scale(mass: Mass) -> Mass {
    Mass::from_g((mass.as_g() / SCALE.as_g()).round() * SCALE.as_g())
}

/// Whether a port is on a service valve or behind a needle, so that its stem has to be moved for a reading.
pub(super) fn is_on_valve(assembly: &Assembly, port: PortId) -> bool {
    let on_valve = assembly.graph.port(port).is_some_and(|port| matches!(port.on, PortOn::ServiceValve(_)));
    on_valve || assembly.graph.needle(port).is_some()
}
