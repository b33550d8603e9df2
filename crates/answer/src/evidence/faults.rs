//! Faults, ranked by published signs for want of a model of this circuit.

use stemwise_readings::{Evidence, FaultRanker, MayAdd, Ranking, Reading, SignRules};
use stemwise_report::Mark;
use stemwise_wire as wire;

use super::readings::{add_derived, healthy, read};
use super::{Basis, Builder, EvidenceCommon, SetAsk};
use crate::Error;

/// Ranks the faults that a set of readings speaks for.
///
/// # Errors
/// As [`readings`](super::readings::readings).
pub fn faults(common: &EvidenceCommon, ask: &SetAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let mut builder = Builder::new(&basis, "faults", "Faults by their signs");
    let read = read(&basis, common, ask, Some(&mut builder))?;
    add_derived(&mut builder, &read.worked);
    let healthy = healthy(&ask.healthy)?;
    let evidence =
        Evidence { worked: &read.worked, readings: &read.values, metering: read.metering, healthy: &healthy };
    let ranking = SignRules.rank(&evidence);
    put(&mut builder, &ranking);
    builder.done()
}

fn put(builder: &mut Builder<'_>, ranking: &Ranking) {
    builder.answer.suspects = ranking
        .suspects
        .iter()
        .map(|it| wire::SuspectAnswer {
            id: it.id.clone(),
            name: it.name.clone(),
            weight: it.weight,
            size: it.size.map(|(low, high)| [low, high]),
            in_favour: it.in_favour.clone(),
            against: it.against.clone(),
            source: it.source.clone(),
        })
        .collect();
    builder.answer.next = ranking.next.as_ref().map(|next| wire::NextReading {
        read: next.read.iter().map(|reading| Reading::word(*reading).to_owned()).collect(),
        gives: next.gives.clone(),
        parts: next.parts.clone(),
        minutes: next.minutes,
    });
    let (word, say) = match ranking.may_add {
        MayAdd::Yes => (
            "yes",
            "Too little refrigerant is what these readings show, and subcooling rules a restriction out. Find and mend the leak before refrigerant is added.",
        ),
        MayAdd::NotCalledFor => {
            ("not-called-for", "These readings do not call for refrigerant: do not add any.")
        }
        MayAdd::NotParted => (
            "not-parted",
            "These readings can't part too little refrigerant from a restriction in the liquid line: do not add any until subcooling, or the temperature drop along the liquid line, has been read.",
        ),
    };
    builder.answer.may_add = Some(word.into());
    builder.advise(say);
    if let Some(next) = &builder.answer.next {
        let say = format!(
            "Read next: {} (about {:.0} min). It gives {}: {}.",
            next.read.join(" and "),
            next.minutes,
            next.gives,
            next.parts
        );
        builder.advise(say);
    }
    builder.remark(format!("Ranked by: {}.", ranking.method));
    for remark in &ranking.remarks {
        builder.remark(remark.clone());
    }
    let mut first = ranking.suspects.iter();
    let (say, mark) = match (first.next(), first.next()) {
        (Some(one), _) if one.id == "none" && one.weight > 0.7 => {
            ("Nothing wrong that these readings show.".to_owned(), Mark::Good)
        }
        (Some(one), Some(other)) if one.weight > 3.0 * other.weight => {
            (format!("Most likely: {}.", one.name), Mark::Bad)
        }
        (Some(one), Some(other)) => (format!("Not decided: {} or {}.", one.name, other.name), Mark::Open),
        _ => ("Nothing to go by.".to_owned(), Mark::Open),
    };
    builder.verdict(mark, say);
}
