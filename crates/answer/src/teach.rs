//! Questions made from a circuit, drills, and what a run of one is worth.

mod drill;
mod told;

use stemwise_circuit::Problem;
use stemwise_teach::{Classroom, Kind, NoBestWay, NotUnderstood, grade as grade_one, questions as make};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire as wire;

pub use drill::{drill, drill_best_way, drill_bytes, drill_file, drill_score, drills};
pub(crate) use drill::{in_motion, scored, sound};

use crate::{Error, check};

/// What can be wrong with questions and drills.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TeachError {
    /// No kind of question of that name.
    #[error("no kind of question is called \"{typed}\"; there are: {}", .known.join(", "))]
    UnknownKind {
        /// What was typed.
        typed: String,
        /// What there is.
        known: Vec<&'static str>,
    },
    /// No drill of that name.
    #[error("no drill is called \"{name}\"; there are: {}", .known.join(", "))]
    UnknownDrill {
        /// What was asked for.
        name: String,
        /// What there is.
        known: Vec<&'static str>,
    },
    /// The drill file can't be used.
    #[error("the drill file has faults")]
    DrillFile {
        /// Everything found.
        problems: Vec<Problem>,
    },
    /// There is nothing to score against.
    #[error(transparent)]
    NoBestWay(#[from] NoBestWay),
    /// An answer that was not understood.
    #[error(transparent)]
    NotUnderstood(#[from] NotUnderstood),
    /// No such question.
    #[error("there is no question {asked}; there are {there}")]
    NoQuestion {
        /// What was asked for.
        asked: usize,
        /// How many there are.
        there: usize,
    },
    /// The circuit has nothing of these kinds.
    #[error("this circuit gives no question of these kinds: it has no valve, port or job to ask about")]
    NothingToAsk,
}

impl TeachError {
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Self::UnknownKind { .. } => "unknown-kind",
            Self::UnknownDrill { .. } => "unknown-drill",
            Self::DrillFile { .. } => "drill-file",
            Self::NoBestWay(NoBestWay::Questions) => "no-run",
            Self::NoBestWay(_) => "no-way",
            Self::NotUnderstood(_) => "not-understood",
            Self::NoQuestion { .. } => "no-question",
            Self::NothingToAsk => "nothing-to-ask",
        }
    }

    pub(crate) const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::DrillFile { .. } => Some("mend these; docs/drill-file.md explains every key"),
            Self::NoBestWay(NoBestWay::Questions) => Some("show the drill, and answer with --reply"),
            _ => None,
        }
    }

    pub(crate) const fn exit_code(&self) -> u8 {
        match self {
            Self::DrillFile { .. } | Self::NoBestWay(_) | Self::NothingToAsk => 1,
            _ => 2,
        }
    }
}

/// Which questions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuestionAsk {
    /// The kinds, by their words; none: all of them.
    pub kinds: Vec<String>,
    /// How many.
    pub count: usize,
    /// From which seed; the same seed gives the same questions.
    pub seed: u64,
    /// The units of the sentences.
    pub units: UnitSystem,
}

/// More questions than this are not made at once.
const MOST: usize = 200;

/// The words of every kind of question.
pub fn question_kinds() -> Vec<&'static str> {
    Kind::ALL.iter().map(|kind| kind.word()).collect()
}

fn kinds(typed: &[String]) -> Result<Vec<Kind>, TeachError> {
    if typed.is_empty() {
        return Ok(Kind::ALL.to_vec());
    }
    let one = |word: &String| {
        let typed = || word.chars().take(40).collect();
        Kind::named(word).ok_or_else(|| TeachError::UnknownKind { typed: typed(), known: question_kinds() })
    };
    typed.iter().map(one).collect()
}

/// Makes questions about a circuit, with their answers.
///
/// # Errors
/// [`Error::Circuit`], [`Error::Teach`].
///
/// ```
/// use stemwise_answer::{QuestionAsk, example, questions};
/// let file = example("walk-in-cooler")?.as_bytes();
/// let ask = |kind: &str| QuestionAsk { kinds: vec![kind.into()], count: 2, seed: 5, units: Default::default() };
/// assert_eq!(questions(file, &ask("superheat"))?.questions.len(), 2);
/// assert!(questions(file, &ask("weather")).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn questions(circuit_file: &[u8], ask: &QuestionAsk) -> Result<wire::QuestionsAnswer, Error> {
    let circuit = check::circuit(circuit_file)?;
    let room = Classroom::new(&circuit, ask.units)?;
    let made = make(&room, &kinds(&ask.kinds)?, ask.count.clamp(1, MOST), ask.seed);
    if made.is_empty() {
        return Err(TeachError::NothingToAsk.into());
    }
    let told = made.iter().enumerate().map(|(at, question)| told::question(&room, at, question));
    Ok(wire::QuestionsAnswer {
        circuit: circuit.name.clone(),
        atmosphere_pa: circuit.atmosphere.as_pa(),
        seed: ask.seed,
        questions: told.collect(),
    })
}

/// Grades what was typed as the answer to a question: the number of a choice, from 1, or a quantity with its unit.
///
/// # Errors
/// [`Error::Teach`] for what was not understood.
///
/// ```
/// use stemwise_answer::{QuestionAsk, example, grade, questions};
/// let file = example("walk-in-cooler")?.as_bytes();
/// let ask = QuestionAsk { kinds: vec!["superheat".into()], count: 1, seed: 5, units: Default::default() };
/// let answer = questions(file, &ask)?;
/// let kelvin = answer.questions[0].number.as_ref().map_or(0.0, |number| number.value);
/// assert!(grade(&answer.questions[0], &format!("{kelvin} K"), answer.atmosphere_pa)?.right);
/// assert!(grade(&answer.questions[0], "3 bar", answer.atmosphere_pa).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn grade(
    question: &wire::QuestionTold,
    typed: &str,
    atmosphere_pa: f64,
) -> Result<wire::GradeAnswer, Error> {
    let found = told::answer(question);
    let graded = grade_one(&found, typed, Pressure::from_pa(atmosphere_pa)).map_err(TeachError::from)?;
    Ok(wire::GradeAnswer {
        right: graded.right,
        mistake: graded.mistake,
        answer: told::right(question),
        why: question.why.clone(),
    })
}

/// Grades what was typed as the answers to questions, the first to the first and so on.
///
/// # Errors
/// [`Error::Teach`] for what was not understood, or for more answers than questions.
pub fn grades(
    questions: &[wire::QuestionTold],
    typed: &[String],
    atmosphere_pa: f64,
) -> Result<wire::GradesAnswer, Error> {
    if typed.len() > questions.len() {
        return Err(TeachError::NoQuestion { asked: typed.len(), there: questions.len() }.into());
    }
    let graded = questions.iter().zip(typed).map(|(question, typed)| grade(question, typed, atmosphere_pa));
    let grades = graded.collect::<Result<Vec<_>, _>>()?;
    let right = grades.iter().filter(|grade| grade.right).count();
    Ok(wire::GradesAnswer { right, of: questions.len(), grades })
}
