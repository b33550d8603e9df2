//! What a run of a drill is worth, and where it went wrong.

use stemwise_prove::{Certificate, During, Procedure, Step, verify_from, words_of};
use stemwise_service::{Action, Done, Finding, Severity};
use stemwise_units::{Mass, Time, UnitSystem};

use super::Drill;
use super::best::{Ground, NoBestWay};

/// What a run comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tally {
    /// Refrigerant lost to the atmosphere.
    pub lost: Mass,
    /// Turns of a stem from one position to another.
    pub turns: usize,
    /// Time by stated rules.
    pub time: Time,
}

/// A rule that fired in the run and does not on the best way.
#[derive(Clone, Debug, PartialEq)]
pub struct Fired {
    /// The action, from 0.
    pub action: usize,
    /// Where within it; none: at its end.
    pub during: Option<During>,
    /// The rule and its numbers.
    pub finding: Finding,
    /// Marks that it costs.
    pub marks: u32,
}

/// What was seen of a run that was done by the clock, and of the best way done by the same clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// What the rules said to its actions at their moments, with the number of the action, from 0.
    pub findings: Vec<(usize, Finding)>,
    /// What they said to those of the best way.
    pub best_findings: Vec<Finding>,
    /// What went wrong and did not on the best way.
    pub happened: Vec<Happened>,
    /// Refrigerant lost to the atmosphere.
    pub lost: Mass,
    /// The same on the best way.
    pub best_lost: Mass,
    /// By the clock.
    pub time: Time,
    /// The best way's.
    pub best_time: Time,
}

/// Something that went wrong while the clock ran.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Happened {
    /// After this action, from 0.
    pub action: usize,
    /// How bad it is.
    pub severity: Severity,
    /// What, in a sentence.
    pub say: String,
}

impl Happened {
    /// Marks that it costs.
    pub const fn marks(&self) -> u32 {
        price(self.severity)
    }
}

/// One head of the marks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// "safety", "goal", "refrigerant", "stems" or "time".
    pub id: &'static str,
    /// Marks.
    pub got: u32,
    /// Of so many.
    pub of: u32,
    /// Why.
    pub say: String,
}

/// Where the run left the best way for the first time at a cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fork {
    /// At this action of the run, from 0; the number of its actions: at its end.
    pub action: usize,
    /// What was done there, in the words of the procedure file.
    pub yours: Vec<String>,
    /// What the best way does there.
    pub best: Vec<String>,
    /// Marks that it costs, the rest done in the best way.
    pub marks: u32,
    /// What comes of it.
    pub why: String,
}

/// One action of the run.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Its step, from 0.
    pub step: usize,
    /// The action, in the words of the procedure file.
    pub action: String,
    /// Whether the best way has it too, in its turn.
    pub on_best: bool,
    /// Refrigerant lost so far.
    pub lost: Mass,
    /// The rules that fire, with their severity.
    pub fired: Vec<(Severity, String)>,
}

/// What a run is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Marks of 100.
    pub marks: u32,
    /// Whether they pass.
    pub passed: bool,
    /// Where they come from.
    pub heads: Vec<Head>,
    /// What the run comes to.
    pub yours: Tally,
    /// What the best known way comes to.
    pub best: Tally,
    /// The rules that cost marks.
    pub fired: Vec<Fired>,
    /// What went wrong while the clock ran, and costs marks.
    pub happened: Vec<Happened>,
    /// What the goal and the end ask for and is not there.
    pub missing: Vec<String>,
    /// The action that could not be done, from 0, and why; the run ends there.
    pub refused: Option<(usize, String)>,
    /// Where it went wrong.
    pub fork: Option<Fork>,
    /// The run, action by action.
    pub trace: Vec<Trace>,
}

/// Marks in all: safety, goal, refrigerant, stems, time.
const SAFETY: u32 = 40;
const GOAL: u32 = 30;
const EACH: u32 = 10;
/// What a danger and a warning cost.
const DANGER: u32 = 20;
const WARNING: u32 = 5;

const fn price(severity: Severity) -> u32 {
    match severity {
        Severity::Danger => DANGER,
        Severity::Warning => WARNING,
        Severity::Caution => 0,
    }
}

/// As much more than on the best way may be lost, g.
const ALLOWED_G: f64 = 1.0;

/// Scores a run: a procedure, from the state with the drill's faults.
///
/// # Errors
/// [`NoBestWay`] where the drill has no job or the planner no way.
pub fn score(drill: &Drill, run: &Procedure) -> Result<Score, NoBestWay> {
    let ground = Ground::new(drill)?;
    let best = ground.best(drill)?.procedure;
    let judge = Judge::new(&ground, drill, &actions(&best));
    Ok(judge.score(run, None))
}

/// Scores a run that was done by the clock. What the goal asks for is judged as if each wait had been long enough; what was dangerous, what was lost and
/// the time are those that were seen.
///
/// # Errors
/// As [`score`].
pub fn score_seen(drill: &Drill, run: &Procedure, seen: &Seen) -> Result<Score, NoBestWay> {
    let ground = Ground::new(drill)?;
    let best = ground.best(drill)?.procedure;
    let judge = Judge::new(&ground, drill, &actions(&best));
    Ok(judge.score(run, Some(seen)))
}

/// The actions of a procedure, each with its step.
fn numbered(procedure: &Procedure) -> Vec<(usize, Action)> {
    let steps = procedure.steps.iter().enumerate();
    steps.flat_map(|(at, step)| step.actions.iter().map(move |action| (at, action.clone()))).collect()
}

fn actions(procedure: &Procedure) -> Vec<Action> {
    procedure.steps.iter().flat_map(|step| step.actions.iter().cloned()).collect()
}

/// A run, replayed.
struct Ran {
    certificate: Certificate,
    tally: Tally,
    /// Refrigerant lost after each action that could be done.
    lost: Vec<Mass>,
}

/// A run with its marks.
struct Marked {
    marks: u32,
    heads: Vec<Head>,
    fired: Vec<Fired>,
    missing: Vec<String>,
}

struct Judge<'a> {
    ground: &'a Ground,
    units: UnitSystem,
    pass: u32,
    standing: bool,
    start: Done,
    best_actions: Vec<Action>,
    best: Ran,
    /// What is asked for and not so at the start.
    wanted: Vec<&'static str>,
}

impl<'a> Judge<'a> {
    fn new(ground: &'a Ground, drill: &Drill, best: &[Action]) -> Self {
        let start = ground.start(drill);
        let idle = verify_from(&ground.task(), start.clone(), &Procedure::default());
        let met = |id: &str| idle.asked.iter().any(|asked| asked.id == id && asked.met);
        let ran = replay(ground, &start, drill.standing, best);
        let asked = ran.certificate.asked.iter().filter(|asked| asked.needed);
        let wanted = asked.map(|asked| asked.id).filter(|id| !met(id)).collect();
        Self {
            ground,
            units: drill.units,
            pass: drill.pass,
            standing: drill.standing,
            start,
            best_actions: best.to_vec(),
            best: ran,
            wanted,
        }
    }

    fn ran(&self, actions: &[Action]) -> Ran {
        replay(self.ground, &self.start, self.standing, actions)
    }

    fn score(&self, run: &Procedure, seen: Option<&Seen>) -> Score {
        let numbered = numbered(run);
        let own: Vec<Action> = numbered.iter().map(|(_, action)| action.clone()).collect();
        let mut ran = self.ran(&own);
        let mut best = self.best.tally;
        if let Some(seen) = seen {
            (ran.tally.lost, ran.tally.time) = (seen.lost, seen.time);
            (best.lost, best.time) = (seen.best_lost, seen.best_time);
        }
        let marked = self.marked(&ran, &best, seen);
        let common = shared(&own, &self.best_actions);
        Score {
            marks: marked.marks,
            passed: marked.marks >= self.pass,
            fork: if marked.marks < 100 { self.fork(&own, &common) } else { None },
            trace: self.trace(&numbered, &ran, &common),
            heads: marked.heads,
            yours: ran.tally,
            best,
            happened: seen.map(|seen| seen.happened.clone()).unwrap_or_default(),
            fired: marked.fired,
            missing: marked.missing,
            refused: refused(&ran.certificate),
        }
    }

    /// The findings of a run that the best way does not have.
    fn fired(&self, ran: &Ran, seen: Option<&Seen>) -> Vec<Fired> {
        let mut found: Vec<Fired> = Vec::new();
        let by_clock = seen.map_or(&[][..], |seen| &seen.findings).iter();
        let by_clock = by_clock.map(|(action, finding)| (*action, None, finding));
        let also = seen.map_or(&[][..], |seen| &seen.best_findings);
        for (action, during, finding) in findings(&ran.certificate).chain(by_clock) {
            let own = findings(&self.best.certificate).any(|(_, _, best)| same(best, finding))
                || also.iter().any(|best| same(best, finding));
            let known = found.iter_mut().find(|known| same(&known.finding, finding));
            let marks = price(finding.severity);
            match known {
                Some(known) if known.finding.severity < finding.severity => {
                    (known.finding, known.marks) = (finding.clone(), marks);
                }
                Some(_) => {}
                None if !own => found.push(Fired { action, during, finding: finding.clone(), marks }),
                None => {}
            }
        }
        found
    }

    fn marks(&self, ran: &Ran) -> Marked {
        self.marked(ran, &self.best.tally, None)
    }

    fn marked(&self, ran: &Ran, best: &Tally, seen: Option<&Seen>) -> Marked {
        let fired = self.fired(ran, seen);
        let asked = &ran.certificate.asked;
        let met = |id: &&&'static str| asked.iter().any(|asked| asked.id == **id && asked.met);
        let share = self.wanted.iter().filter(met).count() as f64 / self.wanted.len().max(1) as f64;
        let lacking = asked.iter().filter(|asked| asked.needed && !asked.met);
        let mut missing: Vec<String> = lacking.map(|asked| asked.say.clone()).collect();
        let unreached = self.wanted.iter().filter(|id| !asked.iter().any(|asked| asked.id == **id));
        missing.extend(unreached.filter_map(|id| {
            self.best.certificate.asked.iter().find(|asked| asked.id == *id).map(|asked| asked.say.clone())
        }));
        let reached = share >= 1.0 && missing.is_empty() && refused(&ran.certificate).is_none();
        let share = if reached { 1.0 } else { share.min(0.9) };
        let happened = seen.map_or(&[][..], |seen| &seen.happened);
        let cost: u32 =
            fired.iter().map(|fired| fired.marks).chain(happened.iter().map(Happened::marks)).sum();
        let part = |of: u32| (f64::from(of) * share) as u32;
        let heads = vec![
            Head {
                id: "safety",
                got: part(SAFETY).saturating_sub(cost),
                of: SAFETY,
                say: format!(
                    "{} for each danger and {} for each warning that the best way does not have, of what the goal reached gives",
                    DANGER, WARNING
                ),
            },
            Head {
                id: "goal",
                got: part(GOAL),
                of: GOAL,
                say: "the part of what is asked for that was not so at the start".into(),
            },
            lost(&ran.tally, best, reached),
            turns(&ran.tally, best, reached),
            time(&ran.tally, best, reached),
        ];
        Marked { marks: heads.iter().map(|head| head.got).sum(), heads, fired, missing }
    }

    /// Follows the run past one difference after the other, each time with the best way's rest: the first that costs marks.
    fn fork(&self, own: &[Action], common: &[(usize, usize)]) -> Option<Fork> {
        let best = &self.best_actions;
        let mut before = self.marks(&self.best);
        for hunk in hunks(common, own.len(), best.len()) {
            let Hunk { own: (from, to), best: (best_from, best_to) } = hunk;
            let rest = best.get(best_to..).unwrap_or(&[]);
            let tried: Vec<Action> = own.iter().take(to).chain(rest).cloned().collect();
            let ran = self.ran(&tried);
            let then = self.marks(&ran);
            if then.marks < before.marks {
                let words = |list: &[Action]| {
                    list.iter().map(|action| words_of(&self.ground.assembly, action)).collect()
                };
                return Some(Fork {
                    action: from,
                    yours: words(own.get(from..to).unwrap_or(&[])),
                    best: words(best.get(best_from..best_to).unwrap_or(&[])),
                    marks: before.marks - then.marks,
                    why: self.why(&before, &then, &ran),
                });
            }
            before = then;
        }
        None
    }

    /// What one run has against it that another has not.
    fn why(&self, before: &Marked, then: &Marked, ran: &Ran) -> String {
        let new = |fired: &&Fired| !before.fired.iter().any(|known| same(&known.finding, &fired.finding));
        let first = |fired: &&Fired| (core::cmp::Reverse(fired.finding.severity), fired.action);
        if let Some(fired) = then.fired.iter().filter(new).min_by_key(first) {
            let avoid = fired.finding.rule().map_or("", |rule| rule.avoid.as_str());
            return format!("{} {avoid}", fired.finding.say(&self.ground.assembly, self.units));
        }
        if let Some((_, why)) = refused(&ran.certificate) {
            return format!("After that something can't be done: {why}.");
        }
        if let Some(missing) = then.missing.iter().find(|missing| !before.missing.contains(missing)) {
            return format!("In the end this is not met: {missing}.");
        }
        let tally = &ran.tally;
        format!(
            "It costs more: in all {} lost, {} stem turns, {:.0} min; the best way {} lost, {} stem turns, {:.0} min.",
            self.units.mass(tally.lost),
            tally.turns,
            tally.time.as_min(),
            self.units.mass(self.best.tally.lost),
            self.best.tally.turns,
            self.best.tally.time.as_min()
        )
    }

    fn trace(&self, numbered: &[(usize, Action)], ran: &Ran, common: &[(usize, usize)]) -> Vec<Trace> {
        let mut trace = Vec::new();
        for ((at, (step, action)), lost) in numbered.iter().enumerate().zip(&ran.lost) {
            let here = findings(&ran.certificate).filter(|(found, _, _)| *found == at);
            let fired = here
                .map(|(_, _, finding)| (finding.severity, finding.say(&self.ground.assembly, self.units)));
            trace.push(Trace {
                step: *step,
                action: words_of(&self.ground.assembly, action),
                on_best: common.iter().any(|(own, _)| *own == at),
                lost: *lost,
                fired: fired.collect(),
            });
        }
        trace
    }
}

fn lost(own: &Tally, best: &Tally, reached: bool) -> Head {
    let more = (own.lost.as_g() - best.lost.as_g() - ALLOWED_G).max(0.0);
    let got = f64::from(EACH) - more.ceil();
    head("refrigerant", got, reached, "one mark for each gram that is lost above the best way's and one gram")
}

fn turns(own: &Tally, best: &Tally, reached: bool) -> Head {
    let more = own.turns.saturating_sub(best.turns);
    head("stems", f64::from(EACH) - more as f64, reached, "one mark for each stem turn above the best way's")
}

fn time(own: &Tally, best: &Tally, reached: bool) -> Head {
    let (own, best) = (own.time.as_min(), best.time.as_min());
    let over = if best > 0.0 { ((own - best) / best * 10.0 - 1e-9).ceil().max(0.0) } else { 0.0 };
    head("time", f64::from(EACH) - over, reached, "one mark for each tenth above the best way's time")
}

fn head(id: &'static str, got: f64, reached: bool, say: &str) -> Head {
    let got = if reached { got.clamp(0.0, f64::from(EACH)) as u32 } else { 0 };
    Head { id, got, of: EACH, say: format!("{say}; none before the goal is reached") }
}

fn same(one: &Finding, other: &Finding) -> bool {
    one.rule == other.rule && one.space == other.space && one.joint == other.joint && one.port == other.port
}

/// What fired above a caution, with its action.
fn findings(certificate: &Certificate) -> impl Iterator<Item = (usize, Option<During>, &Finding)> {
    let steps = certificate.steps.iter().enumerate();
    let all =
        steps.flat_map(|(at, step)| step.found.iter().map(move |found| (at, found.during, &found.finding)));
    all.filter(|(_, _, finding)| finding.severity > Severity::Caution)
}

fn refused(certificate: &Certificate) -> Option<(usize, String)> {
    let mut steps = certificate.steps.iter().enumerate();
    steps.find_map(|(at, step)| step.refused.as_ref().map(|(_, why)| (at, why.clone())))
}

/// Replays actions, each as a step of its own.
fn replay(ground: &Ground, start: &Done, standing: bool, actions: &[Action]) -> Ran {
    let task = ground.task();
    let step = |action: &Action| Step { actions: vec![action.clone()], ..Step::default() };
    let procedure = Procedure { standing, steps: actions.iter().map(step).collect(), ..Procedure::default() };
    let certificate = verify_from(&task, start.clone(), &procedure);
    let mut here = start.clone();
    let (mut turns, mut minutes, mut lost) = (0, 0.0, Vec::with_capacity(actions.len()));
    for action in actions {
        let Ok(after) = task.act(&here, action) else { break };
        if let Action::Turn { valve, .. } = action {
            let moved = here.state.lineup.position(*valve) != after.state.lineup.position(*valve);
            turns += usize::from(moved);
        }
        minutes += minutes_of(ground, &here, action, &after);
        lost.push(Mass::from_kg(after.state.left.lost_kg));
        here = after;
    }
    let tally = Tally { lost: Mass::from_kg(here.state.left.lost_kg), turns, time: Time::from_min(minutes) };
    Ran { certificate, tally, lost }
}

/// Minutes for an action: the planner's usual times of a practised technician (assumed, common practice), shared out to single actions.
fn minutes_of(ground: &Ground, before: &Done, action: &Action, after: &Done) -> f64 {
    match action {
        Action::LockOut | Action::RestorePower => 3.0,
        Action::TakeCapOff(_) | Action::PutCapOn(_) | Action::EaseNut(_) | Action::TightenNut(_) => 0.5,
        Action::Turn { .. } | Action::Stop(_) => 1.0,
        Action::AttachHose { .. } | Action::HoldOpen(_) | Action::LetGo(_) => 3.0,
        Action::DetachHose { .. } | Action::PurgeHose { .. } | Action::Read => 2.0,
        Action::PullCore { .. } | Action::PutCoreBack { .. } => 5.0,
        Action::Start(machine) if ground.assembly.rigged.recovery_machine == Some(*machine) => {
            let moved = after.state.left.recovered_kg - before.state.left.recovered_kg;
            5.0 + moved.max(0.0) / 0.1
        }
        Action::Start(_) => 5.0,
        Action::AdmitNitrogen { .. } | Action::ReleaseNitrogen { .. } => 3.0,
        Action::OpenUp { .. }
        | Action::AddOil { .. }
        | Action::Pierce { .. }
        | Action::BrazeAccess { .. } => 15.0,
        Action::CloseUp { .. } | Action::Evacuate { .. } => 30.0,
        Action::Charge { mass, .. } | Action::ChargeThrottled { mass } => 3.0 + mass.as_kg() / 0.2,
        Action::SearchLeaks => 10.0,
        Action::CheckAir => 5.0,
        Action::Hold { minutes } => f64::from(*minutes),
    }
}

/// A stretch in which the run and the best way differ.
struct Hunk {
    own: (usize, usize),
    best: (usize, usize),
}

/// The stretches between what both have.
fn hunks(common: &[(usize, usize)], own: usize, best: usize) -> Vec<Hunk> {
    let mut found = Vec::new();
    let (mut own_at, mut best_at) = (0, 0);
    for &(one, other) in common.iter().chain(core::iter::once(&(own, best))) {
        if one > own_at || other > best_at {
            found.push(Hunk { own: (own_at, one), best: (best_at, other) });
        }
        (own_at, best_at) = (one + 1, other + 1);
    }
    found
}

/// The longest common subsequence of two lists of actions, as pairs of places.
fn shared(own: &[Action], best: &[Action]) -> Vec<(usize, usize)> {
    let width = best.len() + 1;
    let mut longest = vec![0u32; (own.len() + 1) * width];
    let at = |i: usize, j: usize| i * width + j;
    let get = |table: &[u32], index: usize| table.get(index).copied().unwrap_or(0);
    for (i, one) in own.iter().enumerate().rev() {
        for (j, other) in best.iter().enumerate().rev() {
            let value = if one == other {
                get(&longest, at(i + 1, j + 1)) + 1
            } else {
                get(&longest, at(i + 1, j)).max(get(&longest, at(i, j + 1)))
            };
            if let Some(slot) = longest.get_mut(at(i, j)) {
                *slot = value;
            }
        }
    }
    let mut pairs = Vec::new();
    let (mut i, mut j) = (0, 0);
    while let (Some(one), Some(other)) = (own.get(i), best.get(j)) {
        if one == other {
            pairs.push((i, j));
            (i, j) = (i + 1, j + 1);
        } else if get(&longest, at(i + 1, j)) >= get(&longest, at(i, j + 1)) {
            i += 1;
        } else {
            j += 1;
        }
    }
    pairs
}
