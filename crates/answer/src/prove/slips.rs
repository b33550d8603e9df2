//! The slips of a procedure, in words.

use stemwise_prove::{Consequence, Harm, Sharpened, Slip, SlipKind, Undo, pairs, reorderings};
use stemwise_wire as wire;

use super::{Bench, ProcedureAsk};
use crate::Error;

/// No more pairs are replayed.
const MOST_PAIRS: usize = 20_000;

/// Every single slip along a procedure; other orders and pairs, if so asked.
///
/// # Errors
/// [`Error::Circuit`], [`Error::Procedure`], [`Error::Job`], [`Error::Plan`], [`Error::Prove`].
pub fn slips(
    circuit_file: &[u8],
    ask: &ProcedureAsk,
    with_orders: bool,
    with_pairs: bool,
) -> Result<wire::SlipsAnswer, Error> {
    let bench = Bench::new(circuit_file, ask)?;
    let task = bench.task();
    let found = stemwise_prove::slips(&task, &bench.procedure);
    let orders = with_orders.then(|| {
        let orders = reorderings(&task, &bench.procedure, &found).into_iter();
        orders
            .map(|order| wire::OtherOrder {
                n: order.step + 1,
                dangerous_now: order.dangerous_now,
                dangerous_then: order.dangerous_then,
            })
            .collect()
    });
    let pairs = with_pairs.then(|| {
        let (pairs, tried) = pairs(&task, &bench.procedure, &found, MOST_PAIRS);
        let told = |slip: Option<&Slip>| slip.map(|slip| bench.slip(slip));
        let pairs = pairs.iter().filter_map(|pair| {
            let first = told(found.slips.get(pair.first))?;
            Some(wire::SlipPair { first, second: bench.slip(&pair.second) })
        });
        wire::SlipPairs { tried, all: tried < MOST_PAIRS, pairs: pairs.collect() }
    });
    Ok(wire::SlipsAnswer {
        circuit: bench.assembly.circuit.name.clone(),
        atmosphere_pa: bench.assembly.circuit.atmosphere.as_pa(),
        job: bench.job.as_ref().map(stemwise_service::Job::words),
        steps: bench.procedure.steps.iter().map(|step| step.say.clone()).collect(),
        slips: found.slips.iter().map(|slip| bench.slip(slip)).collect(),
        prevented: found.prevented,
        replayed: found.replayed,
        sharpened: found.sharpened.iter().map(|step| bench.sharpened(step, &found.slips)).collect(),
        reorderings: orders,
        pairs,
    })
}

impl Bench {
    fn slip(&self, slip: &Slip) -> wire::SlipTold {
        let first = slip.first.as_ref().map(|(at, consequence)| self.comes(slip, *at, consequence));
        let noticed = slip.noticed.as_ref().map(|noticed| wire::SlipNoticed {
            n: noticed.step + 1,
            gauge: self.port(noticed.port),
            shows_pa: noticed.shows.map(|found| found.as_pa()),
            expected_pa: noticed.expected.map(|found| found.as_pa()),
        });
        wire::SlipTold {
            n: slip.step + 1,
            kind: kind_word(slip.kind).into(),
            say: self.slip_words(slip),
            harm: harm_word(slip.harm).into(),
            first,
            noticed,
            undo: match &slip.undo {
                Undo::Nothing => "nothing to undo".into(),
                Undo::By(actions) => format!("undone by: {}", self.words(actions)),
                Undo::NotByItself => {
                    "not undone by taking it back: stop, make it safe and plan anew from here".into()
                }
            },
            guarded: slip.guarded,
        }
    }

    fn slip_words(&self, slip: &Slip) -> String {
        let left_out = || {
            let out = slip.instead_of.iter().filter(|action| !slip.done.contains(action));
            self.words(&out.cloned().collect::<Vec<_>>())
        };
        let new = || {
            let new = slip.done.iter().filter(|action| !slip.instead_of.contains(action));
            self.words(&new.cloned().collect::<Vec<_>>())
        };
        match slip.kind {
            SlipKind::Skipped => "the whole step is left out".into(),
            SlipKind::Forgotten => match left_out() {
                left if left.is_empty() => "an action of the step is forgotten".into(),
                left => format!("forgotten: {left}"),
            },
            SlipKind::LeftOn => format!("left on: no {}", left_out()),
            SlipKind::WrongStem => format!("the wrong stem: {}", new()),
            SlipKind::WrongWay => format!("the wrong way: {}", new()),
            SlipKind::TooFar => format!("too far: {}", new()),
            SlipKind::NotFarEnough => format!("not far enough: {}", new()),
            SlipKind::Early => "done before its time".into(),
            SlipKind::Swapped => "changes places with the step before".into(),
            SlipKind::WrongPort => format!("the wrong port: {}", new()),
            SlipKind::WrongPart => format!("the wrong part: {}", new()),
            SlipKind::StartedEarly => format!("before it: {}", self.words(&slip.done)),
            SlipKind::NoTool => format!("without the tool: {}", new()),
        }
    }

    fn comes(&self, slip: &Slip, at: usize, consequence: &Consequence) -> wire::SlipComes {
        let (id, say) = match consequence {
            Consequence::Broken(finding) => (finding.rule, finding.say(&self.assembly, self.units)),
            Consequence::Refused(why) => {
                ("can-not-be-done", format!("Step {} can't be done: {why}.", at + 1))
            }
            Consequence::Missing(what) => (what.as_str(), format!("In the end this is not met: {what}.")),
        };
        let later = at.saturating_sub(slip.step);
        let soon = match consequence {
            Consequence::Missing(_) => "in the end".into(),
            _ if later == 0 => "at once".into(),
            _ => format!("{later} step{} later", if later == 1 { "" } else { "s" }),
        };
        let n = (!matches!(consequence, Consequence::Missing(_))).then_some(at + 1);
        wire::SlipComes { id: id.into(), say, n, soon }
    }

    fn sharpened(&self, step: &Sharpened, slips: &[Slip]) -> wire::SharpStep {
        let worst =
            step.slips.iter().filter_map(|&at| slips.get(at)).max_by_key(|slip| (!slip.guarded, slip.harm));
        let about = worst.map_or_else(String::new, |slip| {
            let comes = slip.first.as_ref().map(|(at, what)| self.comes(slip, *at, what).say);
            format!("{}. {}", self.slip_words(slip), comes.unwrap_or_default())
        });
        let advice = match (step.holds, step.guarded) {
            (true, _) => "The hold point is there for this",
            (false, true) => "The gauges or a later hold point show it in time",
            (false, false) => {
                "Make this a hold point: a single slip is dangerous and nothing shows it in time"
            }
        };
        wire::SharpStep {
            n: step.step + 1,
            worst: harm_word(step.worst).into(),
            dangerous: step.slips.len(),
            hold_point: step.holds,
            guarded: step.guarded,
            say: format!("{advice}. For example, {about}"),
        }
    }
}

const fn kind_word(kind: SlipKind) -> &'static str {
    match kind {
        SlipKind::Skipped => "skipped",
        SlipKind::Forgotten => "forgotten",
        SlipKind::LeftOn => "left-on",
        SlipKind::WrongStem => "wrong-stem",
        SlipKind::WrongWay => "wrong-way",
        SlipKind::TooFar => "too-far",
        SlipKind::NotFarEnough => "not-far-enough",
        SlipKind::Early => "early",
        SlipKind::Swapped => "swapped",
        SlipKind::WrongPort => "wrong-port",
        SlipKind::WrongPart => "wrong-part",
        SlipKind::StartedEarly => "started-early",
        SlipKind::NoTool => "no-tool",
    }
}

const fn harm_word(harm: Harm) -> &'static str {
    match harm {
        Harm::Harmless => "harmless",
        Harm::Delays => "delays",
        Harm::BreaksMachine => "breaks-machine",
        Harm::LosesCharge => "loses-charge",
        Harm::HurtsSomeone => "hurts-someone",
    }
}
