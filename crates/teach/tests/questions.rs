//! Questions: every kind on the examples, deterministic, one right answer, mistakes that are mistakes; numbers against outside tables.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};

use stemwise_circuit::{examples, read};
use stemwise_teach::{Answer, Classroom, Kind, Quantity, Question, grade, questions};
use stemwise_units::{Pressure, UnitSystem};

fn room(name: &str, units: UnitSystem) -> Classroom {
    let text = examples().iter().find(|example| example.name == name).unwrap().text;
    Classroom::new(&read(text.as_bytes()).circuit.unwrap(), units).unwrap()
}

fn atmosphere(room: &Classroom) -> Pressure {
    room.assembly.circuit.atmosphere
}

fn sound(question: &Question, room: &Classroom) {
    assert!(!question.ask.is_empty() && !question.why.is_empty(), "{question:?}");
    assert!(question.ask.ends_with('?'), "{}", question.ask);
    match &question.answer {
        Answer::Choice { choices, right } => {
            let said: BTreeSet<&str> = choices.iter().map(|choice| choice.say.as_str()).collect();
            assert!(
                said.len() == choices.len() && (2..=4).contains(&choices.len()) && *right < choices.len(),
                "{question:?}"
            );
            for (at, choice) in choices.iter().enumerate() {
                assert!(!choice.say.is_empty() && !choice.because.is_empty(), "{question:?}");
                let graded = grade(question, &(at + 1).to_string(), atmosphere(room)).unwrap();
                assert_eq!(graded.right, at == *right);
                assert_eq!(graded.mistake.is_some(), at != *right);
            }
            assert!(
                grade(question, "9", atmosphere(room)).is_err()
                    && grade(question, "king", atmosphere(room)).is_err()
            );
        }
        Answer::Number { value, tolerance, wrong } => {
            assert!(value.si().is_finite() && *tolerance > 0.0, "{question:?}");
            let typed = |value: &Quantity| match value {
                Quantity::Gauge(pressure) => format!("{} Pa", pressure.as_pa()),
                Quantity::Mass(mass) => format!("{} kg", mass.as_kg()),
                Quantity::Difference(difference) => format!("{} K", difference.as_k()),
            };
            assert!(grade(question, &typed(value), atmosphere(room)).unwrap().right, "{question:?}");
            for (mistake, why) in wrong.iter().filter(|(mistake, _)| mistake.si() >= 0.0) {
                let graded = grade(question, &typed(mistake), atmosphere(room)).unwrap();
                assert!(!graded.right && graded.mistake.is_some() && !why.is_empty(), "{question:?}");
            }
            assert!(grade(question, "3 parsecs", atmosphere(room)).is_err());
        }
    }
}

#[test]
fn every_kind_is_asked_somewhere_and_is_sound() {
    let mut asked: BTreeMap<Kind, usize> = BTreeMap::new();
    for example in examples().iter().filter(|example| example.name != "rack") {
        for units in [UnitSystem::Si, UnitSystem::Ip] {
            let room = room(example.name, units);
            let made = questions(&room, &Kind::ALL, 24, 11);
            assert!(made.len() == 24, "{}: {}", example.name, made.len());
            for question in &made {
                sound(question, &room);
                *asked.entry(question.kind).or_default() += 1;
            }
        }
    }
    for kind in Kind::ALL {
        assert!(asked.get(&kind).is_some_and(|count| *count >= 2), "{}: {asked:?}", kind.word());
    }
}

#[test]
fn the_walk_in_cooler_is_asked_every_kind() {
    let room = room("walk-in-cooler", UnitSystem::Si);
    for kind in Kind::ALL {
        let made = questions(&room, &[kind], 3, 5);
        assert!(!made.is_empty() && made.iter().all(|question| question.kind == kind), "{}", kind.word());
        made.iter().for_each(|question| sound(question, &room));
    }
}

#[test]
fn a_seed_gives_the_same_questions_and_another_others() {
    let room = room("two-temperature", UnitSystem::Si);
    let one = questions(&room, &Kind::ALL, 17, 3);
    assert_eq!(one, questions(&room, &Kind::ALL, 17, 3));
    assert_ne!(one, questions(&room, &Kind::ALL, 17, 4));
    // The right answer is not always at the same place.
    let places: BTreeSet<usize> = (0..8)
        .flat_map(|seed| questions(&room, &[Kind::WhichStem], 2, seed))
        .filter_map(|question| match question.answer {
            Answer::Choice { right, .. } => Some(right),
            Answer::Number { .. } => None,
        })
        .collect();
    assert!(places.len() >= 3, "{places:?}");
}

#[test]
fn sealed_systems_are_asked_what_they_have() {
    let room = room("sealed-freezer", UnitSystem::Si);
    assert!(questions(&room, &[Kind::PortSide], 3, 1).is_empty());
    assert!(questions(&room, &[Kind::CylinderRoom, Kind::PortSide], 2, 1).len() == 2);
}

#[test]
fn a_standing_cylinder_is_that_of_the_tables() {
    // R-134a at 30 °C: 770.6 kPa absolute (Çengel and Boles, Thermodynamics, table A-11: 770.64 kPa); the cooler stands at 150 m,
    // 99.54 kPa by the US Standard Atmosphere 1976.
    let room = room("walk-in-cooler", UnitSystem::Si);
    let found = (0..60).flat_map(|seed| questions(&room, &[Kind::CylinderPressure], 1, seed));
    let thirty = found.filter(|question| question.ask.contains("30.0 °C")).last().unwrap();
    let Answer::Number { value: Quantity::Gauge(gauge), .. } = thirty.answer else { panic!("{thirty:?}") };
    assert!((gauge.as_kpa() - (770.64 - 99.54)).abs() < 0.5, "{}", gauge.as_kpa());
}

#[test]
fn a_recovery_cylinder_is_that_of_the_guideline() {
    // AHRI Guideline K: 0.80 × 47.6 lb × specific gravity at 77 °F; R-134a has 1.2067 g/cm³ there (its saturation tables), so 46.1 lb.
    let room = room("walk-in-cooler", UnitSystem::Ip);
    let found = (0..20).flat_map(|seed| questions(&room, &[Kind::CylinderRoom], 1, seed));
    let usual = found.filter(|question| question.ask.contains("47.6 lb")).last().unwrap();
    let Answer::Number { value: Quantity::Mass(mass), .. } = usual.answer else { panic!("{usual:?}") };
    assert!((mass.as_lb() - 46.1).abs() < 0.3, "{}", mass.as_lb());
}

#[test]
fn front_seated_ports_follow_the_table_of_positions() {
    // The trade's table (common practice): suction and discharge valves keep the port with the body, king and queen with the line.
    let room = room("walk-in-cooler", UnitSystem::Si);
    let mut seen = BTreeSet::new();
    for question in (0..40).flat_map(|seed| questions(&room, &[Kind::PortSide], 1, seed)) {
        let Answer::Choice { choices, right } = &question.answer else { panic!() };
        let body = question.ask.contains("suction service valve")
            || question.ask.contains("discharge service valve");
        assert!(choices[*right].say.starts_with(if body { "The body" } else { "The line" }), "{question:?}");
        seen.insert(question.ask.clone());
    }
    assert_eq!(seen.len(), 4);
}
