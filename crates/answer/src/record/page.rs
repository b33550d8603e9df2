//! The job as carried out, on paper.

use stemwise_record::Moment;
use stemwise_report::{Block, Document, Entry, Section, document};
use stemwise_units::{Mass, Time, UnitSystem};
use stemwise_wire as wire;

use super::say::duration;
use crate::Error;
use crate::report::paper;

/// What the page shall be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobPageAsk {
    /// "a4", as if left out, or "letter".
    pub paper: Option<String>,
    /// A heading of one's own: the firm, the order's number; at most 60 characters.
    pub heading: Option<String>,
}

pub(super) fn page(
    state: &wire::JobState,
    ask: &JobPageAsk,
    units: UnitSystem,
) -> Result<wire::JobPage, Error> {
    let page = Page { state, units };
    let sections = [
        page.open(),
        page.refrigerant(),
        page.steps(),
        page.dropped(),
        page.readings(),
        page.timers(),
        page.not_back(),
        page.timeline(),
        Some(sign()),
    ];
    let title = if state.job.is_empty() { "Job as carried out".into() } else { capital(&state.job) };
    let html = document(&Document {
        title,
        heading: ask.heading.clone(),
        boxed: vec![page.stands()],
        lead: page.lead(),
        sections: sections.into_iter().flatten().collect(),
        notes: NOTES.iter().map(|&note| note.into()).collect(),
        paper: paper(ask.paper.as_deref())?,
    })?;
    Ok(wire::JobPage { html })
}

const NOTES: &[&str] = &[
    "This is what was entered, in the order in which it happened; corrected and withdrawn entries stay to be seen. Pressures are as gauges \
     read at the site. Figures marked as reckoned follow from the steps that are done and the volumes of the circuit file.",
    "It takes the place of no record that a law, a permit or the maker asks for.",
];

struct Page<'a> {
    state: &'a wire::JobState,
    units: UnitSystem,
}

/// A time as people write it: the day and the hour on the wall there.
fn when(text: &str) -> String {
    Moment::parse(text)
        .map_or_else(|_| text.to_owned(), |moment| format!("{} {}", moment.date(), moment.clock()))
}

/// A later time: the hour alone on the same day.
fn later(begun: &str, ended: &str) -> String {
    match (Moment::parse(begun), Moment::parse(ended)) {
        (Ok(begun), Ok(ended)) if begun.date() == ended.date() => ended.clock(),
        _ => when(ended),
    }
}

/// With a capital letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn table<const N: usize>(head: [&str; N], rows: Vec<Vec<String>>) -> Block {
    Block::Table { head: head.iter().map(|&cell| cell.into()).collect(), rows }
}

/// A section with one block, or none where there is nothing in it.
fn section(title: &str, is_empty: bool, block: impl FnOnce() -> Block) -> Option<Section> {
    (!is_empty).then(|| Section { title: title.into(), blocks: vec![block()] })
}

fn sign() -> Section {
    let lines = ["Carried out by, date", "Seen by, date"];
    Section { title: "Signed".into(), blocks: vec![Block::Sign(lines.map(str::to_owned).to_vec())] }
}

impl Page<'_> {
    fn mass(&self, kg: f64) -> String {
        self.units.mass(Mass::from_kg(kg))
    }

    fn stands(&self) -> String {
        match (self.state.stands.as_str(), self.state.open.len()) {
            ("closed", 0) => "closed, nothing open".into(),
            ("closed", open) => format!("closed in spite of {open} open items"),
            (stands, 0) => stands.replace('-', " "),
            (stands, 1) => format!("{}, 1 thing to see to", stands.replace('-', " ")),
            (stands, open) => format!("{}, {open} things to see to", stands.replace('-', " ")),
        }
    }

    fn lead(&self) -> Vec<String> {
        let state = self.state;
        let mut lead = vec![format!("{} ({})", state.circuit, state.refrigerant)];
        let by = |by: &Option<String>| by.as_ref().map_or_else(String::new, |by| format!(" by {by}"));
        lead.extend(state.opened.as_ref().map(|at| format!("Opened {}{}", when(at), by(&state.opened_by))));
        lead.extend(state.closed.as_ref().map(|at| format!("Closed {}", when(at))));
        lead.extend(
            state.closed_despite.as_ref().map(|why| format!("Closed in spite of what is open: {why}")),
        );
        if state.replaced > 0 {
            let times = if state.replaced == 1 { "once".into() } else { format!("{} times", state.replaced) };
            lead.push(format!("The procedure was replaced {times}."));
        }
        lead
    }

    fn open(&self) -> Option<Section> {
        let says = self.state.open.iter().map(|item| &item.say).chain(&self.state.trouble);
        let blocks: Vec<Block> = says.map(|say| Block::Warning(capital(say))).collect();
        (!blocks.is_empty()).then(|| Section { title: "Open".into(), blocks })
    }

    fn refrigerant(&self) -> Option<Section> {
        let account = &self.state.account;
        let mut blocks = Vec::new();
        let row = |of: &wire::JobCylinder| {
            let mass = |kg| self.mass(kg);
            vec![
                of.cylinder.clone(),
                of.weighings.to_string(),
                mass(of.recovered_kg),
                mass(of.charged_kg),
                mass(of.last_kg),
            ]
        };
        if !account.cylinders.is_empty() {
            let rows = account.cylinders.iter().map(row).collect();
            blocks.push(table(
                ["Cylinder", "Weighed", "Recovered into it", "Charged from it", "Last weight"],
                rows,
            ));
        }
        let mut facts = vec![
            ("Recovered, by weight".to_owned(), self.mass(account.recovered_kg)),
            ("Charged, by weight".to_owned(), self.mass(account.charged_kg)),
            ("Lost, as entered".to_owned(), self.mass(account.lost_kg)),
        ];
        if let Some(reckoned) = &account.reckoned {
            let all = [reckoned.recovered_kg, reckoned.charged_kg, reckoned.lost_kg].map(|kg| self.mass(kg));
            let [recovered, charged, lost] = all;
            facts.push((
                "Reckoned from the steps done".into(),
                format!("recovered {recovered}, charged {charged}, lost {lost}"),
            ));
        }
        blocks.push(Block::Facts(facts));
        Some(Section { title: "Refrigerant".into(), blocks })
    }

    fn steps(&self) -> Option<Section> {
        let steps = &self.state.steps;
        let entries = || Block::Entries(steps.iter().map(|step| self.step(step)).collect());
        section("Steps", steps.is_empty(), entries)
    }

    fn dropped(&self) -> Option<Section> {
        let steps = &self.state.dropped;
        let mark = |step| Entry { mark: "–".into(), ..self.step(step) };
        let entries = || Block::Entries(steps.iter().map(mark).collect());
        section("Steps of an earlier procedure that the last one no longer has", steps.is_empty(), entries)
    }

    fn step(&self, step: &wire::JobStepState) -> Entry {
        let mut under = Vec::new();
        let mut warnings = Vec::new();
        let times = match (&step.begun, &step.ended) {
            (Some(begun), Some(ended)) => Some(format!("{} to {}", when(begun), later(begun, ended))),
            (None, Some(ended)) => Some(format!("At {}", when(ended))),
            (Some(begun), None) => Some(format!("Begun {}", when(begun))),
            (None, None) => None,
        };
        let took = step.took_s.map_or_else(String::new, |s| format!(", {}", duration(Time::from_s(s))));
        under.extend(times.map(|times| times + &took));
        under.extend(step.why.as_ref().map(|why| format!("Why: {why}")));
        for reading in self.state.readings.iter().filter(|reading| step.events.contains(&reading.event)) {
            let line = reading_line(reading);
            let outside =
                matches!(reading.verdict.as_str(), "below" | "above") && reading.retracted.is_none();
            if outside { warnings.push(line) } else { under.push(line) }
        }
        match (&step.hold, step.proved, &step.proof) {
            (Some(hold), Some(true), Some(proof)) => {
                under.push(format!("Hold point: {hold} Proved: {proof}"))
            }
            (Some(hold), Some(false), Some(proof)) => {
                warnings.push(format!("HOLD POINT PASSED OVER: {hold} Why: {proof}"))
            }
            (Some(hold), ..) => under.push(format!("Hold point, not proved: {hold}")),
            _ => {}
        }
        let lines = self.state.timeline.iter().filter(|line| step.events.contains(&line.id));
        let told = lines.filter(|line| matches!(line.kind.as_str(), "note" | "photo" | "weighed"));
        under.extend(told.map(said));
        Entry {
            mark: step.n.to_string(),
            stands: step.stands.replace('-', " "),
            say: step.say.clone(),
            under,
            warnings,
            boxes: Vec::new(),
        }
    }

    fn readings(&self) -> Option<Section> {
        let row = |reading: &wire::JobReading| {
            let with = [&reading.instrument, &reading.by].map(|text| text.clone().unwrap_or_default());
            let with: Vec<String> = with.into_iter().filter(|text| !text.is_empty()).collect();
            vec![
                when(&reading.at),
                reading.n.map_or_else(String::new, |n| n.to_string()),
                reading.place.clone(),
                history(reading),
                with.join(", "),
            ]
        };
        let readings = &self.state.readings;
        section("Readings", readings.is_empty(), || {
            table(["Time", "Step", "Where", "Reading", "Instrument, by"], readings.iter().map(row).collect())
        })
    }

    fn timers(&self) -> Option<Section> {
        let row = |timer: &wire::JobTimer| {
            let back = timer.retracted.as_ref().map_or_else(String::new, |why| format!(" WITHDRAWN: {why}"));
            vec![
                when(&timer.begun),
                timer.n.map_or_else(String::new, |n| n.to_string()),
                [Some(timer.say.clone()), timer.verdict.clone()]
                    .into_iter()
                    .flatten()
                    .collect::<Vec<_>>()
                    .join(". ")
                    + &back,
            ]
        };
        let timers = &self.state.timers;
        section("Tests by the clock", timers.is_empty(), || {
            table(["Begun", "Step", "Result"], timers.iter().map(row).collect())
        })
    }

    fn not_back(&self) -> Option<Section> {
        let things = &self.state.not_back;
        section("Not in its normal place, by the steps done", things.is_empty(), || {
            table(["What"], things.iter().map(|thing| vec![capital(&thing.say)]).collect())
        })
    }

    fn timeline(&self) -> Option<Section> {
        let row = |line: &wire::JobLine| {
            vec![when(&line.at), line.by.clone().unwrap_or_default(), said(line), line.id.clone()]
        };
        let lines = &self.state.timeline;
        section("Everything that was entered", lines.is_empty(), || {
            table(["Time", "By", "Entry", "Number"], lines.iter().map(row).collect())
        })
    }
}

/// An entry, with why it was taken back if it was.
fn said(line: &wire::JobLine) -> String {
    match &line.retracted {
        Some(why) => format!("WITHDRAWN ({why}): {}", line.say),
        None => line.say.clone(),
    }
}

/// A reading with all that became of it.
fn history(reading: &wire::JobReading) -> String {
    let mut text = reading.say.clone();
    for was in &reading.corrected {
        text.push_str(&format!("; corrected, was {}: {}", was.was, was.why));
    }
    if let Some(why) = &reading.accepted {
        text.push_str(&format!("; accepted: {why}"));
    }
    match &reading.retracted {
        Some(why) => format!("WITHDRAWN ({why}): {text}"),
        None => text,
    }
}

fn reading_line(reading: &wire::JobReading) -> String {
    format!("Gauge at {}: {}", reading.place, history(reading))
}
