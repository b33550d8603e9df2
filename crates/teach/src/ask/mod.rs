//! Makes questions: chosen by dice, answered by the same computation that the planner and the verifier use.

mod joined;
mod procedure;
mod readings;
mod state;
mod wrong;

use stemwise_prove::Procedure;

use crate::dice::Dice;
use crate::{Answer, Choice, Classroom, Fault, Kind, Question, Scene};

/// A question has at most so many choices.
const MOST_CHOICES: usize = 4;

/// Makes so many questions of these kinds, in turn; the same seed gives the same questions. Kinds for which the circuit has nothing to ask
/// about are passed over; none of them fit: none are made.
///
/// ```
/// use stemwise_teach::{Classroom, Kind, questions};
/// use stemwise_units::UnitSystem;
/// let example = stemwise_circuit::examples().first().unwrap();
/// let circuit = stemwise_circuit::read(example.text.as_bytes()).circuit.unwrap();
/// let classroom = Classroom::new(&circuit, UnitSystem::Si)?;
/// let asked = questions(&classroom, &[Kind::PortSide, Kind::Superheat], 4, 7);
/// assert_eq!(asked.len(), 4);
/// assert_eq!(asked, questions(&classroom, &[Kind::PortSide, Kind::Superheat], 4, 7));
/// assert!(questions(&classroom, &[], 4, 7).is_empty());
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
pub fn questions(classroom: &Classroom, kinds: &[Kind], count: usize, seed: u64) -> Vec<Question> {
    let mut maker = Maker { room: classroom, dice: Dice::new(seed), planned: None };
    let mut made: Vec<Question> = Vec::new();
    let mut idle = 0;
    for &kind in kinds.iter().cycle() {
        if made.len() >= count || idle >= 3 * kinds.len() {
            break;
        }
        match maker.make(kind).filter(|question| !made.contains(question)) {
            Some(question) => {
                made.push(question);
                idle = 0;
            }
            None => idle += 1,
        }
    }
    made
}

/// Which fault of a drill fits what its gauges show; none where the gauges show none of it.
pub(crate) fn hidden(classroom: &Classroom, faults: &[Fault], seed: u64) -> Option<Question> {
    Maker { room: classroom, dice: Dice::new(seed), planned: None }.what_is_wrong(Some(faults))
}

struct Maker<'a> {
    room: &'a Classroom,
    dice: Dice,
    /// The procedure that questions about steps are made from; none was found: none.
    planned: Option<Option<Box<Procedure>>>,
}

impl Maker<'_> {
    fn make(&mut self, kind: Kind) -> Option<Question> {
        match kind {
            Kind::ReadsNow => self.reads_now(),
            Kind::Parted => self.parted(),
            Kind::GaugeShows => self.gauge_shows(),
            Kind::WhichStem => self.which_stem(),
            Kind::NextTurn => self.next_turn(),
            Kind::ShutIn => self.shut_in(),
            Kind::NotBack => self.not_back(),
            Kind::Position => self.position(),
            Kind::CylinderPressure => self.cylinder_pressure(),
            Kind::PortSide => self.port_side(),
            Kind::CylinderRoom => self.cylinder_room(),
            Kind::MissingStep => self.missing_step(),
            Kind::SwappedSteps => self.swapped_steps(),
            Kind::Superheat => self.superheat(),
            Kind::Subcooling => self.subcooling(),
            Kind::AtRest => self.at_rest(),
            Kind::WhatIsWrong => self.what_is_wrong(None),
        }
    }

    /// The right answer among wrong ones, each once, in an order of the dice; none where there is no wrong one.
    fn choices(&mut self, right: Choice, wrong: Vec<Choice>) -> Option<Answer> {
        let mut others: Vec<Choice> = Vec::new();
        for choice in wrong {
            if choice.say != right.say && !others.iter().any(|known| known.say == choice.say) {
                others.push(choice);
            }
        }
        self.dice.shuffle(&mut others);
        others.truncate(MOST_CHOICES - 1);
        if others.is_empty() {
            return None;
        }
        let say = right.say.clone();
        others.push(right);
        self.dice.shuffle(&mut others);
        let right = others.iter().position(|choice| choice.say == say)?;
        Some(Answer::Choice { choices: others, right })
    }
}

fn choice(say: impl Into<String>, because: impl Into<String>) -> Choice {
    Choice { say: say.into(), because: because.into() }
}

fn question(kind: Kind, scene: Scene, ask: String, answer: Answer, why: String) -> Question {
    Question { kind, scene, ask, answer, why }
}
