//! Questions and drills.

use stemwise_answer::{self as answer, Error, QuestionAsk};
use stemwise_wire as wire;

use super::{Printed, as_json, form};
use crate::args::{self, Common};
use crate::{files, show, site};

pub(super) fn questions(common: &Common, it: &args::Questions) -> Result<Printed, Error> {
    let file = files::circuit(&it.circuit)?;
    let units = site::unit_system(common)?;
    let ask = QuestionAsk { kinds: it.kind.clone(), count: usize::from(it.count), seed: it.seed, units };
    let asked = answer::questions(&file, &ask)?;
    if !it.reply.is_empty() {
        return grades(common, &asked.questions, &it.reply, asked.atmosphere_pa);
    }
    form(common, &asked, |asked, _| show::questions(asked, it.answers)).map(Printed::fine)
}

fn grades(
    common: &Common,
    questions: &[wire::QuestionTold],
    typed: &[String],
    atmosphere_pa: f64,
) -> Result<Printed, Error> {
    let graded = answer::grades(questions, typed, atmosphere_pa)?;
    form(common, &graded, |graded, _| show::grades(questions, graded)).map(Printed::fine)
}

pub(super) fn drills(common: &Common, it: &args::Drills) -> Result<Printed, Error> {
    let Some(named) = &it.drill else {
        return form(common, &answer::drills(), |drills, _| show::drills(drills)).map(Printed::fine);
    };
    let file = match answer::drill_bytes(named)? {
        Some(bytes) => bytes,
        None => files::file(named)?,
    };
    let units = site::chosen_units(common)?;
    if it.best {
        return answer::drill_best_way(&file, units).map(Printed::fine);
    }
    if let Some(run) = &it.run {
        let scored = answer::drill_score(&file, &files::file(run)?, units)?;
        let code = u8::from(!scored.passed);
        let units = units.unwrap_or_default();
        let text = if common.json { as_json(&scored)? } else { show::score(&scored, units) };
        return Ok(Printed { text, code });
    }
    let drill = answer::drill(&file, units)?;
    if !it.reply.is_empty() {
        return grades(common, &drill.questions, &it.reply, drill.atmosphere_pa);
    }
    if let Some(path) = &it.write {
        files::write_new(path, &file)?;
    }
    let written = it.write.as_deref();
    form(common, &drill, |drill, _| show::drill(drill, named, it.answers, written)).map(Printed::fine)
}
