//! Faults, ranked by the running balance of this circuit, or by published signs for want of a circuit.

use stemwise_readings::{FaultRanker, MayAdd, Ranking, Reading, SignRules};
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
    let mut builder = Builder::new(&basis, "faults", "Faults");
    let read = read(&basis, common, ask, Some(&mut builder))?;
    add_derived(&mut builder, &read.worked);
    let healthy = healthy(&ask.healthy)?;
    let evidence = read.evidence(&healthy);
    let ranking = match read.ranker(&basis) {
        Some(ranker) => ranker.rank(&evidence),
        None => SignRules.rank(&evidence),
    };
    match &read.plant {
        None => builder
            .remark("With a circuit file the faults would be ranked by its own running balance, with sizes."),
        Some(Err(why)) => builder.remark(format!("This circuit's running balance can't be had: {why}.")),
        Some(Ok(_)) => {}
    }
    put_ranking(&mut builder, &ranking);
    judge(&mut builder, &ranking);
    builder.done()
}

/// A ranking into an answer, the verdict apart.
pub(super) fn put_ranking(builder: &mut Builder<'_>, ranking: &Ranking) {
    builder.answer.suspects = ranking
        .suspects
        .iter()
        .map(|it| wire::SuspectAnswer {
            id: it.id.clone(),
            name: it.name.clone(),
            weight: it.weight,
            size: it.size.map(|(low, high)| [low, high]),
            sizes: it.sizes.clone(),
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
            "Too little refrigerant is what these readings show, and they rule a restriction out. Find and mend the leak before refrigerant is added.",
        ),
        MayAdd::NotCalledFor => {
            ("not-called-for", "These readings do not call for refrigerant: do not add any.")
        }
        MayAdd::NotParted if builder.answer.values.iter().any(|it| it.id == "subcooling") => (
            "not-parted",
            "These readings can't part too little refrigerant from a restriction in the liquid line, subcooling among them: do not add any until the temperature drop along the liquid line has been read, or a restriction is ruled out otherwise.",
        ),
        MayAdd::NotParted => (
            "not-parted",
            "These readings can't part too little refrigerant from a restriction in the liquid line: do not add any until subcooling, or the temperature drop along the liquid line, has been read.",
        ),
    };
    builder.answer.may_add = Some(word.into());
    builder.answer.calibrated = Some(ranking.calibrated);
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
    if let Some(stakes) = &ranking.stakes {
        builder.answer.stakes = Some(stakes.clone());
        builder.advise(stakes.clone());
    }
    builder.remark(format!("Ranked by: {}.", ranking.method));
    for remark in &ranking.remarks {
        builder.remark(remark.clone());
    }
}

fn judge(builder: &mut Builder<'_>, ranking: &Ranking) {
    let mut first = ranking.suspects.iter();
    let (say, mark) = match (first.next(), first.next()) {
        (Some(one), _) if one.id == "none" && one.weight > 0.7 => {
            ("Nothing wrong that these readings show.".to_owned(), Mark::Good)
        }
        (Some(one), other) if other.is_none_or(|other| one.weight > 3.0 * other.weight) => {
            let sizes =
                if one.sizes.is_empty() { String::new() } else { format!(" ({})", one.sizes.join("; ")) };
            (format!("Most likely: {}{sizes}.", one.name), Mark::Bad)
        }
        (Some(one), Some(other)) => (format!("Not decided: {} or {}.", one.name, other.name), Mark::Open),
        (None, _) | (_, None) => ("Nothing to go by.".to_owned(), Mark::Open),
    };
    builder.verdict(mark, say);
}
