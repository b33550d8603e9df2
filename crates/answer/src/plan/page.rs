//! A procedure on paper, to take along and fill in; and the words that every print of one shares.

use stemwise_report::{Block, Document, Entry, Section, document};
use stemwise_units::{Mass, Pressure, UnitSystem};
use stemwise_wire as wire;

use crate::Error;
use crate::report::paper;

/// What a page of a procedure shall be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PlanPageAsk {
    /// "a4", as if left out, or "letter".
    pub paper: Option<String>,
    /// A heading of one's own: the firm, the order's number; at most 60 characters.
    pub heading: Option<String>,
}

/// What a phase is called, and what it is for.
///
/// ```
/// assert_eq!(stemwise_answer::phase_title("dry"), ("Dry", "evacuate and hold"));
/// ```
pub fn phase_title(phase: &str) -> (&str, &str) {
    match phase {
        "prepare" => ("Prepare", "look, lay out, connect"),
        "isolate" => ("Isolate", "part the section from the rest"),
        "empty" => ("Empty", "get the refrigerant out of it"),
        "work" => ("Work", "open, repair, close"),
        "prove" => ("Prove", "that it is tight"),
        "dry" => ("Dry", "evacuate and hold"),
        "refill" => ("Refill", "let or weigh refrigerant in"),
        "return" => ("Return", "everything back to normal"),
        other => (other, ""),
    }
}

/// A cost in words.
///
/// ```
/// use stemwise_answer::{PlanAsk, cost_words, example, plan};
/// use stemwise_wire::PlanAnswer;
/// let ask = PlanAsk { job: "pump down".into(), ..PlanAsk::default() };
/// let PlanAnswer::Found(found) = plan(example("walk-in-cooler")?.as_bytes(), &ask)? else { unreachable!() };
/// assert!(cost_words(&found.cost, ask.units).contains("stem move"));
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn cost_words(cost: &wire::Cost, units: UnitSystem) -> String {
    let mass = |kg: f64| units.mass(Mass::from_kg(kg));
    let minutes = cost.minutes.round();
    let (hours, minutes) = (libm::floor(minutes / 60.0), minutes % 60.0);
    let moves = if cost.stem_moves == 1 { "stem move" } else { "stem moves" };
    format!(
        "{} into the cylinder, {} lost, {} {moves}, about {hours:.0} h {minutes:.0} min",
        mass(cost.refrigerant_removed_kg),
        mass(cost.refrigerant_lost_kg),
        cost.stem_moves
    )
}

/// How near to the best a procedure is, in words.
///
/// ```
/// use stemwise_wire::Optimal;
/// assert_eq!(stemwise_answer::bound_words(&Optimal::Proved(true), "least lost"), "Yes, proved: least lost.");
/// ```
pub fn bound_words(optimal: &wire::Optimal, objective: &str) -> String {
    match optimal {
        wire::Optimal::Proved(true) => format!("Yes, proved: {objective}."),
        wire::Optimal::Within { within, percent } => {
            format!(
                "At most {percent} % from the best possible ({within} g of the cost). Looked for: {objective}."
            )
        }
        wire::Optimal::AtMost { percent: Some(percent) } => {
            format!("At most {percent} % from the best possible. Looked for: {objective}.")
        }
        wire::Optimal::Proved(false) | wire::Optimal::AtMost { percent: None } => {
            format!("The best of the ways that were tried; no bound is known. Looked for: {objective}.")
        }
    }
}

/// Writes a procedure as a whole HTML file with rules for print: boxes for each reading, for initials and for the time of each hold point.
///
/// # Errors
/// [`Error::Saturation`] for a paper that is none, [`Error::Report`] for a heading that is too long.
///
/// ```
/// use stemwise_answer::{PlanAsk, PlanPageAsk, example, plan, plan_page};
/// use stemwise_wire::PlanAnswer;
/// let ask = PlanAsk { job: "pump down".into(), ..PlanAsk::default() };
/// let PlanAnswer::Found(found) = plan(example("walk-in-cooler")?.as_bytes(), &ask)? else { unreachable!() };
/// assert!(plan_page(&found, &PlanPageAsk::default(), ask.units)?.contains("Initials"));
/// let paper = Some("foolscap".into());
/// assert!(plan_page(&found, &PlanPageAsk { paper, ..PlanPageAsk::default() }, ask.units).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn plan_page(found: &wire::PlanFound, ask: &PlanPageAsk, units: UnitSystem) -> Result<String, Error> {
    let page = Page { found, units, atmosphere: Pressure::from_pa(found.atmosphere_pa) };
    let mut sections = vec![
        listed("Read first", found.cautions.iter().map(|it| Block::Warning(it.clone())).collect()),
        listed("Bring", vec![Block::List(found.bring.clone())]),
    ];
    sections.extend(page.phases());
    sections.push(page.afterwards());
    sections.push(page.ways("Ways that no other beats", &found.unbeaten));
    sections.push(page.ways("Other ways", &found.alternatives));
    let signed = ["Carried out by, date", "Site, system"].map(str::to_owned).to_vec();
    sections.push(listed("Signed", vec![Block::Sign(signed)]));
    sections.retain(|section| !section.blocks.iter().all(Block::is_empty));
    let mut letters = found.job.chars();
    let title =
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    Ok(document(&Document {
        title,
        heading: ask.heading.clone(),
        boxed: Vec::new(),
        lead: vec![
            format!("{} ({})", found.circuit, found.refrigerant),
            format!("Way: {}.", found.way),
            format!("Cost: {}.", cost_words(&found.cost, units)),
            format!("The best? {}", bound_words(&found.optimal, &found.objective)),
        ],
        sections,
        notes: vec![stemwise_report::CAUTION.to_owned()],
        paper: paper(ask.paper.as_deref())?,
    })?)
}

fn listed(title: &str, blocks: Vec<Block>) -> Section {
    Section { title: title.into(), blocks }
}

struct Page<'a> {
    found: &'a wire::PlanFound,
    units: UnitSystem,
    atmosphere: Pressure,
}

impl Page<'_> {
    /// As the gauge shows it; a vacuum as the vacuum gauge does.
    fn gauge(&self, pa: f64) -> String {
        self.units.as_read(Pressure::from_pa(pa), self.atmosphere)
    }

    fn phases(&self) -> Vec<Section> {
        let mut sections: Vec<(&str, Vec<Entry>)> = Vec::new();
        let mut before: &[wire::Expect] = &[];
        for step in &self.found.steps {
            let entry = self.entry(step, before);
            before = &step.expect;
            match sections.last_mut().filter(|(phase, _)| *phase == step.phase) {
                Some((_, entries)) => entries.push(entry),
                None => sections.push((&step.phase, vec![entry])),
            }
        }
        let section = |(phase, entries): (&str, Vec<Entry>)| {
            let (name, what) = phase_title(phase);
            listed(&format!("{name}: {what}"), vec![Block::Entries(entries)])
        };
        sections.into_iter().map(section).collect()
    }

    fn entry(&self, step: &wire::PlanStep, before: &[wire::Expect]) -> Entry {
        let hold = step.hold.as_ref().filter(|_| step.hold_point);
        let as_before = !step.hold_point
            && step.action.kind != "read"
            && !step.expect.is_empty()
            && step.expect == before;
        let expect = |expect: &wire::Expect| {
            let (low, high) = (self.gauge(expect.low), self.gauge(expect.high));
            let range = if low == high { String::new() } else { format!(" ({low} to {high})") };
            format!("Gauge at {}: expect {}{range}", expect.gauge, self.gauge(expect.pressure_pa))
        };
        let mut under = vec![format!("Why: {}", step.why)];
        let mut boxes = Vec::new();
        if as_before {
            under.push("Gauges: as before.".into());
        } else {
            under.extend(step.expect.iter().map(expect));
            boxes.extend(step.expect.iter().map(|expect| format!("Read at {}", expect.gauge)));
        }
        if hold.is_some() {
            boxes.push("Proved at (time)".into());
        }
        boxes.push("Initials".into());
        let hold_words = hold.map(|what| format!("Go on only when this is proved: {what}"));
        Entry {
            mark: step.n.to_string(),
            stands: if hold.is_some() { "HOLD POINT".into() } else { String::new() },
            say: step.say.clone(),
            under,
            warnings: step.cautions.iter().cloned().chain(hold_words).collect(),
            boxes,
        }
    }

    fn afterwards(&self) -> Section {
        let end = &self.found.end_state;
        let row =
            |(stem, position): (&String, &String)| vec![stem.clone(), position.clone(), "\u{2610}".into()];
        let rows = end.stems.iter().map(row).collect();
        let head = ["Valve", "Stands", "Seen"].map(str::to_owned).to_vec();
        let listed_ids = |ids: &[String]| if ids.is_empty() { "none".into() } else { ids.join(", ") };
        let facts = vec![
            ("Caps off".into(), listed_ids(&end.caps_off)),
            ("Open to the atmosphere".into(), listed_ids(&end.open_spaces)),
        ];
        listed("Afterwards: how everything stands", vec![Block::Table { head, rows }, Block::Facts(facts)])
    }

    fn ways(&self, title: &str, ways: &[wire::Alternative]) -> Section {
        let way = |other: &wire::Alternative| {
            let price = match (&other.cost, &other.because) {
                (Some(cost), _) => cost_words(cost, self.units),
                (None, Some(because)) => format!("not possible: {because}"),
                (None, None) => "not possible".into(),
            };
            format!("{}: {price}", other.say)
        };
        listed(title, vec![Block::List(ways.iter().map(way).collect())])
    }
}
