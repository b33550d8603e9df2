//! `phrases`: sentences of every kind in another language, and what of them stayed as it was.

use stemwise_phrases::{Phrasebook, SPANISH};

use crate::report::Report;

/// A step, a list of names, a number with a unit, a name of one's own, a sentence that no book knows.
const SENTENCES: [&str; 4] = [
    "Stop compressor 1.",
    "Read both gauges and write the pressures down.",
    "Let dry nitrogen in through the regulator until the gauge stands at 0; shut the hand valve.",
    "Something unheard of.",
];

pub(crate) fn write(report: &mut Report) {
    let book = match Phrasebook::read(SPANISH) {
        Ok(book) => book,
        Err(wrong) => return report.line(&format!("error: {wrong}")),
    };
    report.line(&format!("{}: {} phrases", book.language(), book.entries().count()));
    for sentence in SENTENCES {
        let said = book.say(sentence);
        report.line(&format!("{} (whole: {})", said.text(), said.is_whole()));
    }
}
