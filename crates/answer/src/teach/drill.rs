//! Drills: those that are built in, one of them, its best way, and the score of a run.

use stemwise_circuit::Assembly;
use stemwise_prove::write;
use stemwise_teach::{
    Classroom, Drill, DrillExample, Fault, FaultKind, Fork, Goal, Score, Size, best_way, drill_questions,
    faults_note, read_drill, read_run, score,
};
use stemwise_units::{Mass, UnitSystem};
use stemwise_wire as wire;

use super::{TeachError, told};
use crate::{Error, words};

/// Every drill that is built in.
pub fn drills() -> wire::DrillsAnswer {
    wire::DrillsAnswer { drills: stemwise_teach::drills().iter().filter_map(entry).collect() }
}

fn entry(example: &DrillExample) -> Option<wire::DrillEntry> {
    let drill = read_drill(example.text.as_bytes()).drill?;
    Some(wire::DrillEntry {
        id: example.name.into(),
        circuit: drill.on.circuit.name.clone(),
        goal: goal(&drill.goal),
        note: drill.note,
        name: drill.name,
    })
}

fn goal(goal: &Goal) -> String {
    match goal {
        Goal::Job(job) => job.clone(),
        Goal::Questions { count, .. } => format!("{count} questions"),
    }
}

/// The file of a drill that is built in.
///
/// # Errors
/// [`Error::Teach`] with the names there are.
///
/// ```
/// assert!(stemwise_answer::drill_file("leaking-core")?.contains("leaking-core"));
/// assert!(stemwise_answer::drill_file("leaking-roof").is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn drill_file(name: &str) -> Result<&'static str, Error> {
    let all = stemwise_teach::drills();
    let found = all.iter().find(|drill| drill.name.eq_ignore_ascii_case(name.trim()));
    let unknown = || TeachError::UnknownDrill {
        name: name.chars().take(60).collect(),
        known: all.iter().map(|drill| drill.name).collect(),
    };
    Ok(found.map(|drill| drill.text).ok_or_else(unknown)?)
}

/// The bytes of a drill that is named like "drill:NAME"; none for any other text.
///
/// # Errors
/// As [`drill_file`].
pub fn drill_bytes(named: &str) -> Result<Option<Vec<u8>>, Error> {
    named.strip_prefix("drill:").map(|name| drill_file(name).map(|text| text.as_bytes().to_vec())).transpose()
}

pub(crate) fn sound(file: &[u8], units: Option<UnitSystem>) -> Result<Drill, Error> {
    let reading = read_drill(file);
    let mut drill = reading.drill.ok_or(TeachError::DrillFile { problems: reading.problems })?;
    drill.units = units.unwrap_or(drill.units);
    Ok(drill)
}

/// What is in a drill file, its faults and answers included; in its own units if none are given.
///
/// # Errors
/// [`Error::Teach`] with every fault of the file.
pub fn drill(file: &[u8], units: Option<UnitSystem>) -> Result<wire::DrillAnswer, Error> {
    let drill = sound(file, units)?;
    let room = Classroom::new(&drill.on.circuit, drill.units)?;
    let questions = drill_questions(&drill)?;
    let graph = &drill.on.circuit.graph;
    Ok(wire::DrillAnswer {
        note_on_faults: faults_note(&drill.faults),
        questions: questions
            .iter()
            .enumerate()
            .map(|(at, question)| told::question(&room, at, question))
            .collect(),
        turned: drill.turned.iter().map(|turned| told::stem(graph, *turned)).collect(),
        faults: drill.faults.iter().map(|found| fault(found, drill.on.circuit.charge.value)).collect(),
        job: match &drill.goal {
            Goal::Job(job) => Some(job.clone()),
            Goal::Questions { .. } => None,
        },
        units: match drill.units {
            UnitSystem::Si => "si".into(),
            UnitSystem::Ip => "ip".into(),
        },
        circuit: drill.on.circuit.name.clone(),
        atmosphere_pa: drill.on.circuit.atmosphere.as_pa(),
        circuit_file: drill.on.text,
        standing: drill.standing,
        without: drill.without,
        name: drill.name,
        note: drill.note,
        brief: drill.brief,
        pass: drill.pass,
    })
}

/// What a leak at a core or a packing is taken for in a running rehearsal, mm² (assumed: the usual size that it offers itself is of this order).
const LEAK: f64 = 0.1;

/// A fault as a running rehearsal takes it.
pub(crate) fn in_motion(fault: &Fault, charge: Mass) -> Option<wire::FaultInMotion> {
    let at = fault.at.as_deref();
    let id = |word: &str| at.map_or_else(|| word.to_owned(), |at| format!("{word} {at}"));
    let part = || match fault.size {
        Size::Part(part) => Some(100.0 * part),
        _ => None,
    };
    let kelvin = || match fault.size {
        Size::Difference(difference) => Some(difference.as_k()),
        _ => None,
    };
    let kg = || match fault.size {
        Size::Part(part) => Some(part * charge.as_kg()),
        Size::Mass(mass) => Some(mass.as_kg()),
        _ => None,
    };
    let (id, size) = match fault.kind {
        FaultKind::Undercharge => (id("undercharge"), kg()?),
        FaultKind::Overcharge => (id("overcharge"), kg()?),
        FaultKind::Air => (id("air"), kg()?),
        FaultKind::LeakingCore => (id("leaking-core"), LEAK),
        FaultKind::LeakingPacking => (id("leaking-packing"), LEAK),
        FaultKind::RestrictedDrier => (id("restricted"), part()?),
        FaultKind::StuckSolenoid => (id("stuck"), 100.0),
        FaultKind::StarvedValve => (id("starved"), kelvin()?),
        FaultKind::FloodingValve => (id("flooding"), kelvin()?),
        FaultKind::FouledCondenser => (id("fouled"), part()?),
        FaultKind::FailedFan => (id("fan"), 100.0),
        FaultKind::FrostedEvaporator => (id("frosted"), part()?),
        FaultKind::LeakingReed => (id("leaking-reed"), part()?),
        FaultKind::ForgottenCap
        | FaultKind::WrongStem
        | FaultKind::ClosedValve
        | FaultKind::Moisture
        | FaultKind::WrongRefrigerant => return None,
    };
    Some(wire::FaultInMotion { id, size })
}

fn fault(fault: &Fault, charge: Mass) -> wire::DrillFault {
    let mut told = wire::DrillFault {
        kind: fault.kind.word().into(),
        at: fault.at.clone(),
        part: None,
        mass_kg: None,
        difference_k: None,
        position: None,
        refrigerant: None,
        shows_at_rest: fault.kind.shows_at_rest(),
        in_motion: in_motion(fault, charge),
    };
    match &fault.size {
        Size::None => {}
        Size::Part(part) => told.part = Some(*part),
        Size::Mass(mass) => told.mass_kg = Some(mass.as_kg()),
        Size::Difference(difference) => told.difference_k = Some(difference.as_k()),
        Size::Position(at) => told.position = Some(words::position(*at).into()),
        Size::Refrigerant(name) => told.refrigerant = Some(name.clone()),
    }
    told
}

/// The best known way through a drill, as a procedure file.
///
/// # Errors
/// [`Error::Teach`].
pub fn drill_best_way(file: &[u8], units: Option<UnitSystem>) -> Result<String, Error> {
    let drill = sound(file, units)?;
    let best = best_way(&drill).map_err(TeachError::from)?;
    let mut rig = stemwise_circuit::Rig::usual();
    for thing in &drill.without {
        // The reader has refused what is not there.
        let _ = stemwise_prove::leave_out(&mut rig, thing);
    }
    Ok(write(&Assembly::new(drill.on.circuit, rig), &best.procedure))
}

/// Scores a procedure file as a run of a drill.
///
/// # Errors
/// [`Error::Teach`] for the drill, [`Error::Procedure`] for the run.
///
/// ```
/// use stemwise_answer::{drill_best_way, drill_file, drill_score};
/// let drill = drill_file("first-readings")?.as_bytes();
/// let best = drill_best_way(drill, None)?;
/// assert_eq!(drill_score(drill, best.as_bytes(), None)?.marks, 100);
/// assert!(drill_score(drill, b"procedure 2\n", None).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn drill_score(file: &[u8], run: &[u8], units: Option<UnitSystem>) -> Result<wire::DrillScore, Error> {
    let drill = sound(file, units)?;
    let run = read_run(&drill, run).map_err(|problems| Error::Procedure { problems })?;
    let found = score(&drill, &run).map_err(TeachError::from)?;
    let assembly = Assembly::new(drill.on.circuit.clone(), stemwise_circuit::Rig::usual());
    Ok(scored(&drill, &found, &assembly))
}

pub(crate) fn scored(drill: &Drill, found: &Score, assembly: &Assembly) -> wire::DrillScore {
    let tally = |tally: &stemwise_teach::Tally| wire::RunTally {
        lost_kg: tally.lost.as_kg(),
        turns: tally.turns,
        minutes: tally.time.as_min(),
    };
    let head = |head: &stemwise_teach::Head| wire::ScoreHead {
        id: head.id.into(),
        got: head.got,
        of: head.of,
        say: head.say.clone(),
    };
    let fired = |fired: &stemwise_teach::Fired| wire::ScoreFired {
        action: fired.action + 1,
        id: fired.finding.rule.into(),
        severity: fired.finding.severity.word().into(),
        say: fired.finding.say(assembly, drill.units),
        avoid: fired.finding.rule().map_or_else(String::new, |rule| rule.avoid.clone()),
        marks: fired.marks,
    };
    let happened = |happened: &stemwise_teach::Happened| wire::ScoreHappened {
        action: happened.action,
        severity: happened.severity.word().into(),
        say: happened.say.clone(),
        marks: happened.marks(),
    };
    let action = |trace: &stemwise_teach::Trace| wire::RunAction {
        n: trace.step + 1,
        action: trace.action.clone(),
        on_best: trace.on_best,
        lost_kg: trace.lost.as_kg(),
        fired: trace.fired.iter().map(|(severity, say)| format!("{}: {say}", severity.word())).collect(),
    };
    wire::DrillScore {
        drill: drill.name.clone(),
        marks: found.marks,
        pass: drill.pass,
        passed: found.passed,
        heads: found.heads.iter().map(head).collect(),
        yours: tally(&found.yours),
        best: tally(&found.best),
        fired: found.fired.iter().map(fired).collect(),
        happened: found.happened.iter().map(happened).collect(),
        missing: found.missing.clone(),
        refused: found.refused.as_ref().map(|(at, why)| format!("action {}: {why}", at + 1)),
        fork: found.fork.as_ref().map(|fork| self::fork(fork, &found.trace)),
        trace: found.trace.iter().map(action).collect(),
    }
}

fn fork(fork: &Fork, trace: &[stemwise_teach::Trace]) -> wire::ScoreFork {
    wire::ScoreFork {
        action: fork.action + 1,
        n: trace.get(fork.action).map(|trace| trace.step + 1),
        yours: fork.yours.clone(),
        best: fork.best.clone(),
        marks: fork.marks,
        why: fork.why.clone(),
    }
}
