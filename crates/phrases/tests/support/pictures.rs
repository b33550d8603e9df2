//! What stands on a screen beside the answers: the words around valves cut open, and the forms in which evidence is typed.

use stemwise_answer::evidence_forms;
use stemwise_drawing::{Fixture, cutaway};
use stemwise_wire::FormEntry;

use super::{Said, UNITS};

/// Names and callouts of every fixture, shut, halfway and open.
pub(super) fn cutaways(said: &mut Said, _: bool) {
    for fixture in Fixture::ALL {
        for travel in [0.0, 0.5, 1.0] {
            let cut = cutaway(fixture, travel);
            said.word(cut.name);
            cut.callouts.iter().for_each(|callout| said.word(&callout.text));
        }
    }
}

/// Questions, hows, titles, labels and choices; examples are typed as they stand.
pub(super) fn forms(said: &mut Said, _: bool) {
    for form in UNITS.into_iter().flat_map(evidence_forms) {
        said.word(&form.question);
        said.word(&form.how);
        form.columns.iter().for_each(|column| said.word(&column.label));
        for part in &form.parts {
            said.word(&part.title);
            for field in &part.fields {
                said.word(&field.label);
                if let FormEntry::Choice(choices) = &field.entry {
                    choices.iter().for_each(|choice| said.word(&choice.label));
                }
            }
        }
    }
}
