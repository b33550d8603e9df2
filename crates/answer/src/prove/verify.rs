//! The verdict on a procedure.

use stemwise_prove::{
    Certificate, Corner, During, Found, Margin, Opened, Ranges, Scale, Settles, StepVerdict, Verdict, ranges,
};
use stemwise_wire as wire;

use super::{Bench, ProcedureAsk};
use crate::{Error, words};

/// Verifies a procedure on the circuit of a file; over the ranges of what was estimated too, if so asked.
///
/// # Errors
/// [`Error::Circuit`], [`Error::Procedure`], [`Error::Job`], [`Error::Plan`], [`Error::Prove`].
///
/// ```
/// use stemwise_answer::{ProcedureAsk, example, verify};
/// let file = b"procedure 1\nstep: Shut the king valve\n  cap off stem king\n  ease nut king\n  turn king to front-seated\n";
/// let ask = ProcedureAsk { file: Some(file.to_vec()), ..ProcedureAsk::default() };
/// let answer = verify(example("walk-in-cooler")?.as_bytes(), &ask, false)?;
/// // The nut and the cap are forgotten.
/// assert!(!answer.accepted);
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn verify(
    circuit_file: &[u8],
    ask: &ProcedureAsk,
    over_ranges: bool,
) -> Result<wire::VerifyAnswer, Error> {
    let bench = Bench::new(circuit_file, ask)?;
    let certificate = stemwise_prove::verify(&bench.task(), &bench.procedure);
    let ranges = over_ranges.then(|| bench.ranges(&ranges(&bench.task(), &bench.procedure)));
    Ok(bench.verdict(&certificate, ranges))
}

impl Bench {
    pub(super) fn verdict(
        &self,
        certificate: &Certificate,
        ranges: Option<wire::RangeVerdict>,
    ) -> wire::VerifyAnswer {
        let account = certificate.account;
        let first = certificate.first_failure();
        let in_ranges = ranges.as_ref().is_none_or(|ranges| ranges.holds);
        let beyond =
            || (!in_ranges).then(|| "it does not hold over the whole range of what was estimated".into());
        wire::VerifyAnswer {
            circuit: self.assembly.circuit.name.clone(),
            atmosphere_pa: self.assembly.circuit.atmosphere.as_pa(),
            job: self.job.as_ref().map(stemwise_service::Job::words),
            accepted: first.is_none() && in_ranges,
            because: first.map(|failure| self.failure(&failure)).or_else(beyond),
            notes: self.procedure.notes.clone(),
            steps: certificate.steps.iter().enumerate().map(|(at, step)| self.step(at, step)).collect(),
            asked: certificate
                .asked
                .iter()
                .map(|asked| wire::AskedFor {
                    id: asked.id.into(),
                    say: asked.say.clone(),
                    met: asked.met,
                    needed: asked.needed,
                    n: asked.step.map(|step| step + 1),
                })
                .collect(),
            opened: certificate.opened.iter().map(|opened| self.opened(opened)).collect(),
            left_behind: certificate
                .left_behind
                .iter()
                .map(|finding| words::hazard(finding, &self.assembly, self.units))
                .collect(),
            account: wire::RefrigerantAccount {
                start_kg: account.start,
                circuit_kg: account.circuit,
                rig_kg: account.rig,
                lost_kg: account.lost,
                new_kg: account.new,
                gap: account.gap(),
            },
            states: certificate.states,
            ranges,
        }
    }

    fn step(&self, at: usize, verdict: &StepVerdict) -> wire::VerifiedStep {
        let step = self.procedure.steps.get(at);
        let reads = verdict.reads.iter().map(|reads| wire::GaugeReads {
            gauge: self.port(reads.port),
            pressure_pa: reads.pressure.as_pa(),
            fits: reads.fits,
        });
        wire::VerifiedStep {
            n: at + 1,
            say: step.map_or_else(String::new, |step| step.say.clone()),
            notes: step.map_or_else(Vec::new, |step| step.notes.clone()),
            verdict: verdict_word(verdict.verdict).into(),
            found: verdict.found.iter().map(|found| self.found(at, found)).collect(),
            refused: verdict
                .refused
                .as_ref()
                .map(|(action, why)| format!("{}: {why}", self.action(at, *action))),
            reads: reads.collect(),
            margins: verdict.margins.iter().map(|margin| self.margin(margin)).collect(),
        }
    }

    fn action(&self, step: usize, action: usize) -> String {
        let found = self.procedure.steps.get(step).and_then(|step| step.actions.get(action));
        found.map_or_else(String::new, |action| self.words(core::slice::from_ref(action)))
    }

    fn found(&self, step: usize, found: &Found) -> wire::RuleFired {
        wire::RuleFired {
            id: found.finding.rule.into(),
            severity: found.finding.severity.word().into(),
            say: found.finding.say(&self.assembly, self.units),
            action: self.action(step, found.action),
            during: found.during.map(|during| match during {
                During::Passing(position) => format!("passing {}", words::position(position)),
                During::BeforePurge => "before it is purged".into(),
                During::AtOnce => "if the stems of this step are turned one right after the other".into(),
                During::Part(part) => format!("when {:.0} % of it is done", part * 100.0),
            }),
        }
    }

    fn margin(&self, margin: &Margin) -> wire::MarginLeft {
        let (of, on) = match margin.scale {
            Scale::Pressure(space) => ("pressure", self.space(space)),
            Scale::Fill(space) => ("fill", self.space(space)),
            Scale::Cylinder(space) => ("cylinder", self.space(space)),
            Scale::Suction(joint) => ("suction", self.joint(joint)),
        };
        wire::MarginLeft { of: of.into(), on, value: margin.value, limit: margin.limit, used: margin.used() }
    }

    fn opened(&self, opened: &Opened) -> wire::OpenedAt {
        wire::OpenedAt {
            n: opened.step + 1,
            space: self.space(opened.space),
            pressure_pa: opened.pressure.as_pa(),
            refrigerant_kg: opened.refrigerant.as_kg(),
            lost_kg: opened.lost.as_kg(),
            locked_out: opened.locked_out,
        }
    }

    fn ranges(&self, ranges: &Ranges) -> wire::RangeVerdict {
        let fails = ranges.tried.iter().filter_map(|corner| {
            corner.failure.as_ref().map(|failure| format!("{}: {}", place(corner), self.failure(failure)))
        });
        wire::RangeVerdict {
            holds: ranges.holds(),
            method: METHOD.into(),
            estimates: ranges.estimates,
            tried: ranges.tried.len(),
            fails: fails.collect(),
            would_settle: ranges
                .settles
                .iter()
                .map(|settles| match settles {
                    Settles::Charge => "weigh the charge".into(),
                    Settles::Volume(space) => format!("measure the volume of {}", self.space(*space)),
                })
                .collect(),
        }
    }
}

const METHOD: &str = "every corner of the volumes of the high side, of the low side, of the rest, and of the charge, because levels and \
                      pressures move one way with each of them; and twelve samples inside, each volume for itself";

fn place(corner: &Corner) -> String {
    if corner.sample {
        return "a sample inside the ranges".into();
    }
    let named = [
        (corner.high_side, "volumes of the high side"),
        (corner.low_side, "volumes of the low side"),
        (corner.others, "other volumes"),
        (corner.charge, "the charge"),
    ];
    let said = named.iter().filter(|(at, _)| *at != 0.0);
    said.map(|(at, what)| format!("{what} at the {} end", if *at < 0.0 { "low" } else { "high" }))
        .collect::<Vec<_>>()
        .join(", ")
}

const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Holds => "holds",
        Verdict::Warned => "warned",
        Verdict::Broken => "broken",
        Verdict::Refused => "refused",
        Verdict::NotReached => "not-reached",
    }
}
