//! An answer against the right one.

use stemwise_units::{Mass, ParseError, Pressure, TemperatureDifference, TypedPressure, UnitSystem};

use crate::{Answer, Quantity, Question};

/// How an answer came out.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// Whether it is right.
    pub right: bool,
    /// The mistake that leads to a wrong one, where it is a known one.
    pub mistake: Option<String>,
}

/// An answer that can't be graded.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotUnderstood {
    /// A quantity that was not understood.
    #[error(transparent)]
    Quantity(#[from] ParseError),
    /// Not one of the choices.
    #[error("\"{typed}\" is none of the answers; type a number from 1 to {most}")]
    Choice {
        /// What was typed.
        typed: String,
        /// How many there are.
        most: usize,
    },
}

/// Grades what was typed: the number of a choice, from 1, or a quantity with its unit; pressures are gauge at this atmosphere.
///
/// # Errors
/// [`NotUnderstood`], with what was understood.
pub fn grade(question: &Question, typed: &str, atmosphere: Pressure) -> Result<Grade, NotUnderstood> {
    match &question.answer {
        Answer::Choice { choices, right } => {
            let most = choices.len();
            let chosen = typed.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            let chosen = chosen.filter(|at| *at < most).ok_or_else(|| NotUnderstood::Choice {
                typed: typed.trim().chars().take(40).collect(),
                most,
            })?;
            let mistake = choices.get(chosen).filter(|_| chosen != *right);
            Ok(Grade { right: chosen == *right, mistake: mistake.map(|choice| choice.because.clone()) })
        }
        Answer::Number { value, tolerance, wrong } => {
            let given = read(*value, typed, atmosphere)?;
            // What a person types is rounded: the very edge counts.
            let near = |to: f64| (given - to).abs() <= tolerance * (1.0 + 1e-9);
            let right = near(value.si());
            let mistake = wrong.iter().filter(|_| !right).find(|(wrong, _)| near(wrong.si()));
            Ok(Grade { right, mistake: mistake.map(|(_, mistake)| mistake.clone()) })
        }
    }
}

fn read(like: Quantity, typed: &str, atmosphere: Pressure) -> Result<f64, ParseError> {
    Ok(match like {
        Quantity::Gauge(_) => TypedPressure::parse(typed)?.gauge(atmosphere).as_pa(),
        Quantity::Mass(_) => Mass::parse(typed)?.as_kg(),
        Quantity::Difference(_) => TemperatureDifference::parse(typed)?.as_k(),
    })
}

impl Quantity {
    /// In a person's units.
    pub fn say(self, units: UnitSystem) -> String {
        match self {
            Self::Gauge(pressure) => units.gauge_pressure(pressure),
            Self::Mass(mass) => units.mass(mass),
            Self::Difference(difference) => units.temperature_difference(difference),
        }
    }
}
