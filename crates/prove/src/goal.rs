//! What must come true at some time, at the moment of opening, and in the end.

use stemwise_circuit::{JointKind, PortId, Position, SpaceId};
use stemwise_service::{Action, Done, Job, JobKind, Target};
use stemwise_units::{Mass, Pressure};

use crate::flame::Flame;
use crate::verify::{Account, Task};

/// Something that the job or the end asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Its id, stable, kebab-case.
    pub id: &'static str,
    /// What is asked for.
    pub say: String,
    /// Whether it is met.
    pub met: bool,
    /// The step at which it was met, from 0, where it is one moment.
    pub step: Option<usize>,
    /// Whether the procedure is refused without it.
    pub needed: bool,
}

/// A moment at which a space was opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// The step, from 0.
    pub step: usize,
    /// The space.
    pub space: SpaceId,
    /// The pressure in it just before, absolute.
    pub pressure: Pressure,
    /// The refrigerant in what was joined to it, liquid and vapour.
    pub refrigerant: Mass,
    /// Whether there was liquid.
    pub liquid: bool,
    /// What went to the atmosphere with the opening.
    pub lost: Mass,
    /// Whether the power was locked out.
    pub locked_out: bool,
}

/// A gauge on it stands at 0 up to the pressure to which a pump-down comes; above it a joint may not be cracked.
const AT_ZERO: core::ops::RangeInclusive<f64> = 0.97..=1.20;
/// More than this comes from elsewhere, kg.
const FROM_ELSEWHERE: f64 = 0.010;
/// A vacuum that proves dryness: it may rise to 500 micron (US DoD UFGS 15182 §3.3.3).
const DRY: Pressure = Pressure::from_micron(500.0);
/// Where no design pressure is on file a test pressure below this proves nothing, Pa gauge (common practice: the joint must at least be soaped); a hair
/// less, for rounding.
const LEAST_TEST: f64 = 0.4999e5;
/// Otherwise a test has to come to this part of the least of what limits it, as gauges read: the lowest design pressure and relief setting of what is under it
/// (ANSI/ASHRAE Standard 15, field tests: no less than the lower of these, from memory), and the pressure behind a one-way joint, above which the gas would
/// pass into the charge. The fifth is what reliefs and one-way joints want to be kept below by (common practice).
const TEST_PART: f64 = 0.8;

/// Above this part of the atmosphere a charge stands behind a one-way joint: up to it a pump-down or a recovery leaves vapour.
const CHARGED: f64 = 1.25;

/// Test gas and air that may be left in the whole system, kg (a vacuum of 500 micron leaves less than a tenth of a gram in 100 L).
const MOST_GAS_LEFT: f64 = 0.5e-3;

/// Follows a replay.
#[derive(Clone, Debug)]
pub(crate) struct Watch<'a, 't> {
    task: &'a Task<'t>,
    running_at_start: bool,
    opened: Vec<Opened>,
    closed: Option<usize>,
    tested: Option<usize>,
    /// Nitrogen stands in what was closed.
    under_test: bool,
    dried: Option<usize>,
    /// A search for leaks with refrigerant back where it was opened.
    searched: Option<usize>,
    read: Option<usize>,
    /// How often a vacuum was broken with nitrogen.
    breaks: u32,
    /// The port whose core is out behind a tool, and the step at which a core went back in there.
    pulled: Option<PortId>,
    swapped: Option<usize>,
    /// Where the low side stood at the stop pressure with the compressor off, and the refrigerant in it and in the hoses then, kg.
    pumped: Option<(usize, f64)>,
    /// Sweeping and measuring before a flame, where the refrigerant burns.
    flame: Flame,
}

impl<'a, 't> Watch<'a, 't> {
    pub(crate) fn new(task: &'a Task<'t>, start: &Done) -> Self {
        Self {
            task,
            running_at_start: start.state.lineup.runs(&task.assembly.graph),
            opened: Vec::new(),
            closed: None,
            tested: None,
            under_test: false,
            dried: None,
            searched: None,
            read: None,
            breaks: 0,
            pulled: None,
            swapped: None,
            pumped: None,
            flame: Flame::new(task, &start.state),
        }
    }

    fn targets(&self) -> &[SpaceId] {
        self.task.job.map_or(&[], |job| &job.spaces)
    }

    fn targets_all(&self, done: &Done, test: impl Fn(Pressure) -> bool) -> bool {
        let mut all = self.targets().iter();
        all.all(|&space| done.settled.pressure(space).is_some_and(&test))
    }

    /// What the pressure of a charge may fall to before a test is over, by a colder night, as a part of what it is: that of saturation at the lowest
    /// temperature that is likely where it is coldest.
    fn colder(&self, members: &[SpaceId]) -> f64 {
        let circuit = &self.task.assembly.circuit;
        let places = members.iter().filter_map(|&space| {
            let place = self.task.assembly.graph.space(space)?.place?;
            Some(circuit.places.get(place.index())?.temperature)
        });
        let ends = places.map(|found| (found.value, found.low));
        let Some((now, low)) = ends.reduce(|one, other| (one.0.min(other.0), one.1.min(other.1))) else {
            return 1.0;
        };
        let substance = self.task.refrigerant.substance();
        let bubble = |at| substance.saturation_at(at).ok().map(|found| found.bubble.pressure().as_pa());
        match (bubble(low), bubble(now)) {
            (Some(low), Some(now)) => (low / now).min(1.0),
            _ => 1.0,
        }
    }

    /// What a test of what is joined to the targets has to come to, Pa gauge. The gas also passes one-way joints, up to where it meets a charge.
    fn least_test(&self, before: &Done) -> f64 {
        let assembly = self.task.assembly;
        let atmosphere = assembly.circuit.atmosphere.as_pa();
        let sections = &before.settled.sections;
        let mut under: Vec<usize> = self.targets().iter().filter_map(|&space| sections.of(space)).collect();
        let mut limits: Vec<f64> = Vec::new();
        let mut at = 0;
        while let Some(&here) = under.get(at) {
            at += 1;
            for &(_, from, to) in
                sections.one_way.iter().filter(|(_, from, _)| sections.of(*from) == Some(here))
            {
                let (Some(next), Some(behind)) = (sections.of(to), before.settled.pressure(to)) else {
                    continue;
                };
                if from != to && behind.as_pa() > CHARGED * atmosphere {
                    let colder = self.colder(sections.members(next));
                    limits.push((colder * behind.as_pa() - atmosphere).max(0.0));
                } else if !under.contains(&next) {
                    under.push(next);
                }
            }
        }
        let within = |space| sections.of(space).is_some_and(|section| under.contains(&section));
        let spaces = assembly.circuit.graph.spaces_with_ids().filter(|(id, _)| within(*id));
        limits
            .extend(spaces.filter_map(|(_, space)| Some(space.design.as_ref()?.value.as_pa() - atmosphere)));
        limits.extend(assembly.graph.joints.iter().filter_map(|joint| match joint.kind {
            JointKind::Relief { setting } if within(joint.a) => Some(setting.as_pa()),
            _ => None,
        }));
        let least = limits.into_iter().min_by(f64::total_cmp);
        least.map_or(LEAST_TEST, |least| (TEST_PART * least).max(LEAST_TEST))
    }

    /// Whether the targets hold refrigerant, and no more test gas or air than that.
    fn holds_refrigerant(&self, done: &Done) -> bool {
        let held = self.targets().iter().map(|&space| done.state.held(space));
        held.into_iter().all(|held| {
            held.is_some_and(|held| held.refrigerant.as_kg() > held.nitrogen.as_kg() + held.air.as_kg())
        })
    }

    pub(crate) fn action(&mut self, step: usize, before: &Done, action: &Action, after: &Done) {
        match action {
            Action::OpenUp { spaces, .. } => {
                let atmosphere = self.task.assembly.circuit.atmosphere.as_pa();
                self.opened.extend(opening(step, spaces, before, after, atmosphere));
                (self.closed, self.tested, self.dried, self.under_test) = (None, None, None, false);
                self.searched = None;
                self.breaks = 0;
            }
            Action::CloseUp { .. } => self.closed = Some(step),
            Action::AdmitNitrogen { .. } => {
                let atmosphere = self.task.assembly.circuit.atmosphere.as_pa();
                let was = self.targets_all(before, |pressure| pressure.as_pa() <= DRY.as_pa() * 1.001);
                let is = self.targets_all(after, |pressure| pressure.as_pa() >= 0.9 * atmosphere);
                self.breaks += u32::from(was && is);
                let least = self.least_test(before);
                self.under_test = self.targets_all(after, |pressure| pressure.as_pa() >= atmosphere + least);
            }
            Action::Hold { .. } | Action::SearchLeaks => {
                let ready = self.closed.is_some() || self.task.job.is_none_or(|job| !job.opens());
                if ready && self.under_test && self.tested.is_none() {
                    self.tested = Some(step);
                }
                // An allowance for what a person typed.
                let dry = self.targets_all(after, |pressure| pressure.as_pa() <= DRY.as_pa() * 1.001);
                if ready && dry && matches!(action, Action::Hold { .. }) {
                    self.dried = Some(step);
                }
                if ready && matches!(action, Action::SearchLeaks) && self.holds_refrigerant(after) {
                    self.searched = Some(step);
                }
            }
            Action::Read if !self.task.reads(after).is_empty() => self.read = Some(step),
            Action::ReleaseNitrogen { .. } => self.under_test = false,
            Action::PullCore { port, with_tool: true } => self.pulled = Some(*port),
            Action::PutCoreBack { port } if self.pulled == Some(*port) => self.swapped = Some(step),
            _ => {}
        }
        self.pumping(step, after);
        self.flame.action(self.task, step, action, after);
    }

    /// Whether the same has been proved of what burns.
    pub(crate) fn same_before_flames(&self, other: &Self) -> bool {
        self.flame == other.flame
    }

    pub(crate) fn finish(self, end: &Done, account: &Account) -> (Vec<Asked>, Vec<Opened>) {
        let mut asked = Vec::new();
        if let Some(job) = self.task.job {
            if job.works() {
                self.worked(&mut asked, job, end, account);
            }
            for part in job.parts() {
                self.part(&mut asked, part, end, account);
            }
        }
        self.before_flames(&mut asked);
        self.everything_back(&mut asked, end, account);
        (asked, self.opened)
    }

    /// What a job that isolates nothing asks for, and what one adds to a repair.
    fn part(&self, asked: &mut Vec<Asked>, part: &Job, end: &Done, account: &Account) {
        match part.kind {
            JobKind::PumpDown => self.pumped_down(asked, end, account),
            JobKind::RecoverAll | JobKind::Decommission => self.recovered(asked, end),
            JobKind::TakeReadings => {
                push(asked, "read", "the gauges have been read", self.read.is_some(), self.read);
            }
            JobKind::TestWithNitrogen if !part.works() => self.tight(asked, false),
            JobKind::Evacuate if !part.works() => self.dry(asked),
            JobKind::EvacuateThrice => {
                self.dry(asked);
                let said = "the vacuum was broken with dry nitrogen twice before the last pull";
                push(asked, "three-pulls", said, self.breaks >= 2, None);
            }
            JobKind::FitAccess => {
                let met = !end.state.brazed.is_empty() && end.state.pierced.is_empty();
                let said = "a brazed access valve is on, and no piercing valve is left";
                push(asked, "access", said, met, None);
            }
            JobKind::FirstCharge
            | JobKind::TopUp
            | JobKind::ChargeBySubcooling
            | JobKind::ChargeBySuperheat => {
                if part.kind == JobKind::FirstCharge {
                    self.dry(asked);
                }
                self.charged(asked, end, account);
                self.runs(asked, end, true);
            }
            JobKind::ReturnToService => {
                self.charged(asked, end, account);
                self.runs(asked, end, true);
            }
            JobKind::ReleaseCharge => {
                self.tight(asked, false);
                self.dry(asked);
                self.charged(asked, end, account);
                self.runs(asked, end, true);
            }
            JobKind::MoveOut => self.moved_out(asked, part, end),
            JobKind::SwapCore => {
                let right = matches!(part.about, Target::Port(port) if self.pulled == Some(port));
                let step = self.swapped.filter(|_| right);
                push(
                    asked,
                    "core-swapped",
                    "a core came out behind a tool and one went in",
                    step.is_some(),
                    step,
                );
            }
            JobKind::AddOil => {
                push(asked, "oil-in", "oil went in", end.state.left.oil_kg > 0.0, None);
                self.runs(asked, end, self.running_at_start);
            }
            _ => {}
        }
    }

    /// A rule of its own, with or without a job.
    fn before_flames(&self, asked: &mut Vec<Asked>) {
        let Some((swept, measured)) = self.flame.outcome() else { return };
        let said = "before it was opened for a flame, what held a refrigerant that burns was swept with dry nitrogen, evacuated, and swept again";
        push(asked, "swept-before-flame", said, swept, None);
        let said = "the air was measured for refrigerant after the opening and before the flame";
        push(asked, "air-before-flame", said, measured, self.flame.first());
    }

    fn recovered(&self, asked: &mut Vec<Asked>, end: &Done) {
        let level = self.task.stops.recovery.as_pa();
        let met = self.targets_all(end, |pressure| pressure.as_pa() <= level * 1.001);
        push(asked, "recovered", "every part is down at the required level", met, None);
    }

    /// The line set at the required level, the charge in the unit, nothing that could let it back or start it.
    fn moved_out(&self, asked: &mut Vec<Asked>, part: &Job, end: &Done) {
        self.recovered(asked, end);
        let graph = &self.task.assembly.circuit.graph;
        let is_valve = |kind: &JointKind| matches!(kind, JointKind::LineSetValve { .. });
        let (mut count, mut shut) = (0, true);
        for (id, _) in graph.joints_with_ids().filter(|(_, joint)| is_valve(&joint.kind)) {
            count += 1;
            shut &= end.state.lineup.position(id) == Some(Position::Shut);
        }
        push(asked, "line-set-valves", "both line-set valves are shut", shut && count > 1, None);
        let charge = self.task.assembly.circuit.charge.value.as_kg();
        let outside = held(end, part.spaces.iter());
        let inside = end.state.circuit_mass(self.task.assembly).as_kg() - outside;
        push(
            asked,
            "in-the-unit",
            "at least nine tenths of the charge are in the unit",
            inside >= 0.9 * charge,
            None,
        );
        let stands = !end.state.lineup.runs(&self.task.assembly.graph) && end.state.locked_out;
        push(asked, "stands", "the compressor stands and the power is locked out", stands, None);
    }

    fn tight(&self, asked: &mut Vec<Asked>, or_vacuum: bool) {
        let nitrogen = self.task.assembly.rigged.nitrogen_regulator.is_some() || !or_vacuum;
        let tight = self.tested.or(self.dried.filter(|_| !nitrogen));
        let how = if nitrogen {
            "it was proved tight: nitrogen in, up to what it is built for, and a wait or a search for leaks before it was let out"
        } else {
            "it was proved tight: without nitrogen only by the vacuum that held"
        };
        push(asked, "proved-tight", how, tight.is_some(), tight);
    }

    fn dry(&self, asked: &mut Vec<Asked>) {
        let dried = "it was proved dry: at most 500 micron, and a wait with the pump off";
        push(asked, "proved-dry", dried, self.dried.is_some(), self.dried);
    }

    fn runs(&self, asked: &mut Vec<Asked>, end: &Done, ran: bool) {
        let runs = end.state.lineup.runs(&self.task.assembly.graph) || !ran;
        push(asked, "runs-again", "the system runs again", runs && !end.state.locked_out, None);
    }

    /// What a repair asks for, or a test or vacuum of a section in service.
    fn worked(&self, asked: &mut Vec<Asked>, job: &Job, end: &Done, account: &Account) {
        if job.opens() {
            self.opens(asked);
        }
        if job.opens() || job.has(JobKind::TestWithNitrogen) {
            self.tight(asked, true);
        }
        self.dry(asked);
        if job.opens() {
            let said = "leaks were searched for with refrigerant back in what was opened";
            push(asked, "leaks-searched", said, self.searched.is_some(), self.searched);
        }
        self.charged(asked, end, account);
        self.runs(asked, end, self.running_at_start);
        self.stems(asked, end, true);
    }

    fn opens(&self, asked: &mut Vec<Asked>) {
        let at = |space: &SpaceId| self.opened.iter().rev().find(|opened| opened.space == *space);
        let moments: Vec<Option<&Opened>> = self.targets().iter().map(at).collect();
        let first = moments.iter().flatten().map(|opened| opened.step).min();
        let all = |test: &dyn Fn(&Opened) -> bool| moments.iter().all(|found| found.is_some_and(test));
        let atmosphere = self.task.assembly.circuit.atmosphere.as_pa();
        let zero = |opened: &Opened| AT_ZERO.contains(&(opened.pressure.as_pa() / atmosphere));
        let alone = |opened: &Opened| opened.lost.as_kg() - opened.refrigerant.as_kg() <= FROM_ELSEWHERE;
        push(asked, "opened", "what the job is about has been opened", all(&|_| true), first);
        if first.is_some() {
            push(
                asked,
                "empty",
                "it held no liquid when it was opened",
                all(&|opened| !opened.liquid),
                first,
            );
            push(asked, "isolated", "nothing came out of it from elsewhere", all(&alone), first);
            push(
                asked,
                "at-atmospheric-pressure",
                "its gauge stood at 0 when it was opened",
                all(&zero),
                first,
            );
            push(
                asked,
                "locked-out",
                "the power was locked out when it was opened",
                all(&|o| o.locked_out),
                first,
            );
        }
        push(asked, "closed", "it has been closed again", self.closed.is_some(), self.closed);
    }

    /// The charge as the nameplate has it, and nothing else with it.
    fn charged(&self, asked: &mut Vec<Asked>, end: &Done, account: &Account) {
        let charge = self.task.assembly.circuit.charge.value.as_kg();
        let met = (account.circuit - charge).abs() <= 0.005 * charge + 0.002;
        push(asked, "charge", "the charge is what it was, within half a percent", met, None);
        let own = self.task.assembly.circuit.graph.spaces.len();
        let gas: f64 =
            end.state.contents.iter().take(own).map(|held| held.nitrogen.as_kg() + held.air.as_kg()).sum();
        let met = gas <= MOST_GAS_LEFT;
        push(asked, "no-gas-left", "no test gas and no air are left in the system", met, None);
    }

    /// Looks whether the low side has been pumped down.
    fn pumping(&mut self, step: usize, after: &Done) {
        let task = self.task;
        let pumps = task.job.is_some_and(|job| job.kind == JobKind::PumpDown);
        if pumps && self.pumped.is_none() && !after.state.lineup.runs(&task.assembly.graph) {
            let limit = task.pump_down_limit();
            if self.targets_all(after, |pressure| pressure.as_pa() <= limit) {
                let rigged = &task.assembly.rigged;
                let hoses = [rigged.low_hose, rigged.high_hose, rigged.centre_hose];
                let all = hoses.iter().chain(&rigged.gauge_hoses).chain(self.targets());
                self.pumped = Some((step, held(after, all)));
            }
        }
    }

    fn pumped_down(&self, asked: &mut Vec<Asked>, end: &Done, account: &Account) {
        let step = self.pumped.map(|(step, _)| step);
        let said = "the low side stood at the stop pressure with the compressor off";
        push(asked, "pumped-down", said, step.is_some(), step);
        if let Some((_, most)) = self.pumped {
            let met = held(end, self.targets().iter()) <= most + 0.001;
            push(asked, "stays-down", "nothing but what the hoses held came back into it", met, None);
        }
        let charge = self.task.assembly.circuit.charge.value.as_kg();
        push(asked, "charge", "the charge is in the system", account.circuit >= charge - 0.1, None);
        let stands = !end.state.lineup.runs(&self.task.assembly.graph);
        push(asked, "stands", "the compressor stands", stands, None);
    }

    /// True in the end of every job.
    fn everything_back(&self, asked: &mut Vec<Asked>, end: &Done, account: &Account) {
        let state = &end.state;
        push(asked, "caps", "every cap is back on", state.caps_off.is_empty(), None);
        push(asked, "nuts", "every packing nut is tight", state.nuts_eased.is_empty(), None);
        push(asked, "cores", "every core is back in", state.lineup.cores_out.is_empty(), None);
        push(asked, "hoses", "every hose is off", state.lineup.attached.is_empty(), None);
        push(asked, "jumper", "no jumper is on a safety control", !state.jumpered, None);
        let stays = [JobKind::PumpDown, JobKind::RecoverAll, JobKind::Decommission, JobKind::MoveOut];
        let comes_back = !self.task.job.is_some_and(|job| stays.contains(&job.kind));
        // A magnet that was left on would keep the compressor from pumping down once the power is back.
        let (met, needed) = (state.lineup.held_open.is_empty(), !comes_back || !state.locked_out);
        asked.push(Asked { id: "held-open", say: "no valve is held open".into(), met, step: None, needed });
        push(asked, "nothing-open", "nothing stands open", state.open_spaces.is_empty(), None);
        push(asked, "account", "the refrigerant account closes to 1e-9", account.gap() <= 1e-9, None);
        if self.task.job.is_none_or(|job| !job.works()) {
            self.stems(asked, end, comes_back && self.task.job.is_some());
        }
    }

    fn stems(&self, asked: &mut Vec<Asked>, end: &Done, needed: bool) {
        let own = self.task.assembly.circuit.graph.joints_with_ids();
        let off = own.filter_map(|(id, joint)| {
            let normal = joint.stem.as_ref()?.normal;
            (end.state.lineup.position(id) != Some(normal)).then_some(joint.name.as_str())
        });
        let off: Vec<&str> = off.collect();
        let say = if off.is_empty() {
            "every stem stands as in normal running".to_owned()
        } else {
            format!("every stem stands as in normal running, but for: {}", off.join(", "))
        };
        asked.push(Asked { id: "stems", say, met: off.is_empty(), step: None, needed });
    }
}

/// The refrigerant in these spaces, kg.
fn held<'s>(done: &Done, spaces: impl Iterator<Item = &'s SpaceId>) -> f64 {
    spaces.filter_map(|&space| done.state.held(space)).map(|held| held.refrigerant.as_kg()).sum()
}

fn push(asked: &mut Vec<Asked>, id: &'static str, say: &str, met: bool, step: Option<usize>) {
    asked.push(Asked { id, say: say.into(), met, step: step.filter(|_| met), needed: true });
}

/// What stands with the spaces that are opened together, one-way joints into them included, as far as its pressure is not above what may be
/// opened.
fn opening(step: usize, spaces: &[SpaceId], before: &Done, after: &Done, atmosphere: f64) -> Vec<Opened> {
    let sections = &before.settled.sections;
    let mut reached: Vec<usize> = spaces
        .iter()
        .filter_map(|&space| sections.of(space))
        .flat_map(|at| sections.upstream(at, true))
        .collect();
    reached.sort_unstable();
    reached.dedup();
    let low = |member: &SpaceId| {
        before.settled.pressure(*member).is_some_and(|found| found.as_pa() <= AT_ZERO.end() * atmosphere)
    };
    let members: Vec<SpaceId> =
        reached.iter().flat_map(|&section| sections.members(section)).copied().filter(low).collect();
    let held = members.iter().filter_map(|&member| before.state.held(member));
    let refrigerant: Mass = held.map(|held| held.refrigerant).sum();
    let wet = |space: &SpaceId| before.settled.liquid_fraction(*space) > 1e-6;
    let liquid = members.iter().chain(spaces).any(wet);
    let lost = Mass::from_kg(after.state.left.lost_kg - before.state.left.lost_kg);
    let one = |&space: &SpaceId| Opened {
        step,
        space,
        pressure: before.settled.pressure(space).unwrap_or(Pressure::from_pa(0.0)),
        refrigerant,
        liquid,
        lost,
        locked_out: before.state.locked_out,
    };
    spaces.iter().map(one).collect()
}
