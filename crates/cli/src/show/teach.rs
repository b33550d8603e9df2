//! Questions, drills and scores as text.

use stemwise_units::{Mass, UnitSystem};
use stemwise_wire::{
    DrillAnswer, DrillFault, DrillScore, DrillsAnswer, GradesAnswer, QuestionTold, QuestionsAnswer, RunTally,
};

use super::text::{Text, count, row};

/// So many actions before the place where it went wrong are shown.
const BEFORE: usize = 3;

pub(crate) fn questions(asked: &QuestionsAnswer, answers: bool) -> String {
    let mut text = Text::new();
    text.line("", &format!("{}, paper {}", asked.circuit, asked.seed));
    all(&mut text, &asked.questions, answers);
    if !answers {
        text.blank();
        text.wrap("", "Answer with --reply, once for each question; --answers prints the answers.");
    }
    text.done()
}

fn all(text: &mut Text, questions: &[QuestionTold], answers: bool) {
    for question in questions {
        text.blank();
        text.wrap(&format!("{:>3}. ", question.n), &question.ask);
        for given in &question.scene.given {
            text.wrap("       ", &format!("{}: {}", given.name, given.value));
        }
        for step in &question.scene.steps {
            text.wrap("     | ", step);
        }
        for (at, choice) in question.choices.iter().enumerate() {
            let mark = if answers && choice.right { '*' } else { ' ' };
            text.wrap(&format!("   {mark} {}) ", at + 1), &choice.say);
            if answers && !choice.right {
                text.wrap("        not: ", &choice.because);
            }
        }
        if let Some(number) = question.number.as_ref().filter(|_| answers) {
            text.wrap("   * ", &number.say);
            for wrong in &number.wrong {
                text.wrap("        not: ", &format!("{}: {}", wrong.say, wrong.because));
            }
        }
        if answers {
            text.wrap("     Why: ", &question.why);
        }
    }
}

pub(crate) fn grades(questions: &[QuestionTold], graded: &GradesAnswer) -> String {
    let mut text = Text::new();
    for (question, grade) in questions.iter().zip(&graded.grades) {
        let mark = if grade.right { "right" } else { "WRONG" };
        text.wrap(&format!("{:>3}. {mark}  ", question.n), &question.ask);
        if let Some(mistake) = &grade.mistake {
            text.wrap("     Your answer: ", mistake);
        }
        if !grade.right {
            text.wrap("     It is: ", &grade.answer);
        }
        text.wrap("     Why: ", &grade.why);
    }
    text.line("", &format!("{} of {} right.", graded.right, graded.of));
    text.done()
}

pub(crate) fn drills(list: &DrillsAnswer) -> String {
    let mut text = Text::new();
    for drill in &list.drills {
        text.line("", &format!("drill:{}", drill.id));
        text.wrap("    ", &format!("{} ({}). Goal: {}.", drill.name, drill.circuit, drill.goal));
    }
    text.done()
}

pub(crate) fn drill(drill: &DrillAnswer, named: &str, answers: bool, written: Option<&str>) -> String {
    let mut text = Text::new();
    text.heading(&drill.name);
    text.wrap("", &drill.brief);
    text.blank();
    let found = if drill.standing { "standing" } else { "running" };
    text.wrap("Circuit: ", &format!("{}, found {found}", drill.circuit));
    for turned in &drill.turned {
        text.wrap("  ", &format!("{} stands {}", turned.stem, turned.position));
    }
    if !drill.without.is_empty() {
        text.wrap("Not at hand: ", &drill.without.join(", "));
    }
    if let Some(job) = &drill.job {
        text.wrap("Goal: ", job);
        text.line("", &format!("{} of 100 marks pass.", drill.pass));
    }
    if answers {
        for fault in &drill.faults {
            text.wrap("Fault: ", &fault_words(fault));
        }
        for note in drill.note.iter().chain(&drill.note_on_faults) {
            text.wrap("Note: ", note);
        }
    }
    all(&mut text, &drill.questions, answers);
    text.blank();
    match (&drill.job, written) {
        (_, Some(path)) => text.line("", &format!("Written to {path}.")),
        (Some(_), None) => text.line("", &format!("Score a run: stemwise drills {named} --run FILE")),
        (None, None) => text.line("", "Answer with --reply, once for each question."),
    }
    text.done()
}

fn fault_words(fault: &DrillFault) -> String {
    let mut words = fault.kind.clone();
    words.extend(fault.at.iter().map(|at| format!(" at {at}")));
    words.extend(fault.part.map(|part| format!(", {:.0} %", part * 100.0)));
    words.extend(fault.mass_kg.map(|kg| format!(", {}", UnitSystem::Si.mass(Mass::from_kg(kg)))));
    words.extend(fault.difference_k.map(|kelvin| format!(", {kelvin} K")));
    words.extend(fault.position.iter().chain(&fault.refrigerant).map(|what| format!(", {what}")));
    words
}

pub(crate) fn score(score: &DrillScore, units: UnitSystem) -> String {
    let mut text = Text::new();
    let verdict = if score.passed { "PASSED" } else { "NOT PASSED" };
    text.wrap(
        &format!("{verdict}  "),
        &format!("{}: {} of 100 marks, {} pass", score.drill, score.marks, score.pass),
    );
    for head in &score.heads {
        text.wrap(&format!("  {:>3} of {:>2}  ", head.got, head.of), &format!("{}: {}", head.id, head.say));
    }
    text.blank();
    let tally = |name: &str, tally: &RunTally| {
        let lost = units.mass(Mass::from_kg(tally.lost_kg));
        row([name, &lost, &tally.turns.to_string(), &format!("{:.0} min", tally.minutes)])
    };
    let rows = [
        row(["", "lost", "stem turns", "time"]),
        tally("your way", &score.yours),
        tally("best known way", &score.best),
    ];
    text.table("  ", &rows, &[1, 2, 3]);
    if let Some(refused) = &score.refused {
        text.wrap("  The run ends at ", refused);
    }
    for fired in &score.fired {
        text.wrap(
            &format!("  {} (-{}) ", fired.severity, fired.marks),
            &format!("action {}: {}", fired.action, fired.say),
        );
    }
    for missing in &score.missing {
        text.wrap("  Not met: ", missing);
    }
    fork(&mut text, score);
    text.done()
}

fn fork(text: &mut Text, score: &DrillScore) {
    let Some(fork) = &score.fork else { return };
    text.blank();
    text.heading("Where it went wrong first");
    let at = fork.action.saturating_sub(1);
    for (n, action) in score.trace.iter().enumerate().take(at).skip(at.saturating_sub(BEFORE)) {
        text.wrap(&format!("  {:>3}    ", n + 1), &action.action);
    }
    for (n, line) in fork.yours.iter().enumerate() {
        text.wrap(&format!("  {:>3} >> ", at + n + 1), line);
    }
    if fork.yours.is_empty() {
        text.line("      >> ", "nothing");
    }
    let best = match fork.best.as_slice() {
        [] => "nothing of that".to_owned(),
        lines => lines.join("; "),
    };
    text.wrap("  The best way here: ", &best);
    text.wrap("  ", &format!("{} Costs {}.", fork.why, count(fork.marks as usize, "mark", "marks")));
}
