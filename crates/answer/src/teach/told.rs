//! Questions as they leave the program, and back.

use stemwise_teach::{Answer, Choice, Classroom, Quantity, Question};
use stemwise_units::{GaugePressure, Mass, TemperatureDifference};
use stemwise_wire as wire;

use crate::words;

pub(super) fn question(room: &Classroom, at: usize, question: &Question) -> wire::QuestionTold {
    let (choices, number) = match &question.answer {
        Answer::Choice { choices, right } => {
            let told = |(at, choice): (usize, &Choice)| wire::QuestionChoice {
                say: choice.say.clone(),
                right: at == *right,
                because: choice.because.clone(),
            };
            (choices.iter().enumerate().map(told).collect(), None)
        }
        Answer::Number { value, tolerance, wrong } => {
            let mistake = |(value, because): &(Quantity, String)| wire::WrongNumber {
                value: value.si(),
                say: value.say(room.units),
                because: because.clone(),
            };
            let number = wire::QuestionNumber {
                of: of(*value).into(),
                value: value.si(),
                tolerance: *tolerance,
                say: value.say(room.units),
                wrong: wrong.iter().map(mistake).collect(),
            };
            (Vec::new(), Some(number))
        }
    };
    wire::QuestionTold {
        n: at + 1,
        kind: question.kind.word().into(),
        ask: question.ask.clone(),
        scene: scene(room, question),
        choices,
        number,
        why: question.why.clone(),
    }
}

fn scene(room: &Classroom, question: &Question) -> wire::QuestionScene {
    let graph = &room.assembly.graph;
    let scene = &question.scene;
    let port = |port: &stemwise_circuit::PortId| graph.port(*port).map(|port| port.id.clone());
    let given =
        |(name, value): &(String, String)| wire::QuestionGiven { name: name.clone(), value: value.clone() };
    wire::QuestionScene {
        running: scene.running,
        turned: scene.turned.iter().map(|turned| stem(graph, *turned)).collect(),
        hoses: scene.hoses.iter().filter_map(port).collect(),
        given: scene.given.iter().map(given).collect(),
        steps: scene.steps.clone(),
    }
}

pub(super) fn stem(
    graph: &stemwise_circuit::Graph,
    (valve, at): (stemwise_circuit::JointId, stemwise_circuit::Position),
) -> wire::StemTurned {
    wire::StemTurned {
        stem: graph.joint(valve).map_or_else(String::new, |joint| joint.id.clone()),
        position: words::position(at).into(),
    }
}

const fn of(value: Quantity) -> &'static str {
    match value {
        Quantity::Gauge(_) => "gauge-pressure",
        Quantity::Mass(_) => "mass",
        Quantity::Difference(_) => "temperature-difference",
    }
}

/// The answer alone, for grading: what it is about does not matter then.
pub(super) fn answer(told: &wire::QuestionTold) -> Question {
    let answer = match &told.number {
        Some(number) => {
            let quantity = |si: f64| match number.of.as_str() {
                "mass" => Quantity::Mass(Mass::from_kg(si)),
                "temperature-difference" => Quantity::Difference(TemperatureDifference::from_k(si)),
                _ => Quantity::Gauge(GaugePressure::from_pa(si)),
            };
            let wrong = number.wrong.iter().map(|wrong| (quantity(wrong.value), wrong.because.clone()));
            Answer::Number {
                value: quantity(number.value),
                tolerance: number.tolerance,
                wrong: wrong.collect(),
            }
        }
        None => {
            let choice =
                |told: &wire::QuestionChoice| Choice { say: told.say.clone(), because: told.because.clone() };
            let right = told.choices.iter().position(|choice| choice.right).unwrap_or(usize::MAX);
            Answer::Choice { choices: told.choices.iter().map(choice).collect(), right }
        }
    };
    let kind = stemwise_teach::Kind::named(&told.kind).unwrap_or(stemwise_teach::Kind::ReadsNow);
    Question { kind, scene: Default::default(), ask: told.ask.clone(), answer, why: told.why.clone() }
}

/// The right answer in words.
pub(super) fn right(told: &wire::QuestionTold) -> String {
    let choice = told.choices.iter().find(|choice| choice.right).map(|choice| choice.say.clone());
    choice.or_else(|| told.number.as_ref().map(|number| number.say.clone())).unwrap_or_default()
}
