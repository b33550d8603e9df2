//! Everything that the answer layer says, gathered by asking it: the sentences, and the names and ids of the files it was asked about.

mod evidence;
pub(crate) mod judge;
mod pictures;
mod record;

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use stemwise_answer as answer;
use stemwise_answer::{
    JoinedAsk, Motion, PlanAsk, ProcedureAsk, QuestionAsk, ShiftAsk, StateAsk, TableAsk, Trial,
};
use stemwise_units::{Pressure, UnitSystem};

/// Sentences, each with where it was first met; names and ids that are people's own.
#[derive(Debug, Default)]
pub(crate) struct Said {
    /// By text.
    pub(crate) texts: BTreeMap<String, &'static str>,
    /// Ids, names and other words that come out of the files.
    pub(crate) own: BTreeSet<String>,
    topic: &'static str,
}

/// Fields that hold no sentence for people: ids, files, pictures, what was typed, and titles of papers and standards.
const NO_SENTENCE: &[&str] = &[
    "id",
    "source",
    "sources",
    "excerpt",
    "file",
    "circuit_file",
    "line",
    "svg",
    "html",
    "typed",
    "procedure",
    "refrigerant",
    "kind",
    "composition",
    "by",
    "caption",
    "fluid",
    "components",
    "cylinder",
    "opened_by",
    "device",
    "circuit-text",
    "event",
    "events",
    "reading",
    "by",
];

impl Said {
    /// Takes every text out of an answer.
    pub(crate) fn take(&mut self, answer: &impl serde::Serialize) {
        let value = serde_json::to_value(answer).unwrap();
        self.walk(&value);
    }

    fn walk(&mut self, value: &Value) {
        match value {
            Value::String(text) => self.text(text),
            Value::Array(items) => items.iter().for_each(|item| self.walk(item)),
            Value::Object(fields) => {
                for (key, value) in fields {
                    // Papers and standards keep their own titles, on pages too.
                    if ["id", "source"].contains(&key.as_str())
                        && let Some(id) = value.as_str()
                    {
                        self.own.insert(id.to_owned());
                    }
                    match value.as_str() {
                        Some(markup) if markup.starts_with('<') => self.markup(markup),
                        _ if NO_SENTENCE.contains(&key.as_str()) => {}
                        _ => self.walk(value),
                    }
                }
            }
            _ => {}
        }
    }

    /// Takes one text; words for machines, in small letters with hyphens, are no text.
    pub(crate) fn text(&mut self, text: &str) {
        let machine =
            text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == ',');
        if !machine && !text.trim().is_empty() {
            self.word(text);
        }
    }

    /// Takes what is surely for people, be it a single word in small letters.
    pub(crate) fn word(&mut self, text: &str) {
        self.texts.entry(text.to_owned()).or_insert(self.topic);
    }

    /// The texts of a page or a picture.
    fn markup(&mut self, markup: &str) {
        let mut rest = markup;
        while let Some((text, behind)) = rest.split_once('<') {
            let plain =
                text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'");
            self.text(plain.replace("&amp;", "&").trim());
            let behind = if behind.starts_with("style") {
                behind.split_once("</style").map_or("", |(_, behind)| behind)
            } else {
                behind
            };
            rest = behind.split_once('>').map_or("", |(_, behind)| behind);
        }
    }

    fn result<T: serde::Serialize>(&mut self, result: Result<T, answer::Error>) -> Option<T> {
        match result {
            Ok(found) => {
                self.take(&found);
                Some(found)
            }
            Err(error) => {
                self.error(&error);
                None
            }
        }
    }

    fn error(&mut self, error: &answer::Error) {
        let topic = core::mem::replace(&mut self.topic, "errors");
        self.take(&error.failure());
        self.topic = topic;
    }

    /// Names and ids of a circuit.
    fn own_names(&mut self, file: &str) {
        let Some(circuit) = stemwise_circuit::read(file.as_bytes()).circuit else { return };
        let graph = &circuit.graph;
        let all = graph.spaces.iter().map(|it| (&it.id, &it.name));
        let all = all.chain(graph.joints.iter().map(|it| (&it.id, &it.name)));
        let all = all.chain(graph.ports.iter().map(|it| (&it.id, &it.name)));
        let all = all.chain(circuit.places.iter().map(|it| (&it.id, &it.name)));
        self.own.extend(all.map(|(id, _)| id.clone()));
        let assembly = stemwise_circuit::Assembly::new(circuit.clone(), stemwise_circuit::Rig::usual());
        self.own.extend(assembly.graph.spaces.iter().map(|it| it.id.clone()));
        self.own.extend(assembly.graph.joints.iter().map(|it| it.id.clone()));
        self.own.extend(assembly.graph.ports.iter().map(|it| it.id.clone()));
    }
}

const UNITS: [UnitSystem; 2] = [UnitSystem::Si, UnitSystem::Ip];

/// Asks for one topic; whether for every job of the rack too.
type Part = fn(&mut Said, bool);

/// How much is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(dead_code, reason = "each test asks for its own reach")]
pub(crate) enum Reach {
    /// What takes a moment: no plans, no motion.
    Quick,
    /// All of it; of the large rack one job of each kind.
    All,
    /// Every job of the rack too.
    AllJobs,
}

/// Asks the answer layer for everything within reach.
pub(crate) fn everything(reach: Reach) -> Said {
    let mut said = Said::default();
    for example in stemwise_circuit::examples() {
        said.own_names(example.text);
        said.own.insert(example.name.to_owned());
    }
    let parts: [(&'static str, Part); 15] = [
        ("lists", lists),
        ("plans", plans),
        ("procedures", procedures),
        ("joined", joined),
        ("check", checks),
        ("questions", questions),
        ("drills", drills),
        ("evidence", evidence::evidence),
        ("forms", pictures::forms),
        ("cutaways", pictures::cutaways),
        ("motion", motion),
        ("record", record::records),
        ("properties", properties),
        ("errors", errors),
        ("words", words),
    ];
    // Options and instruments as they are typed.
    said.own.extend(["at", "--pull", "gauge 3, Ana"].map(str::to_owned));
    for (topic, part) in parts {
        said.topic = topic;
        if reach != Reach::Quick || QUICK.contains(&topic) {
            part(&mut said, reach == Reach::AllJobs);
        }
    }
    said
}

/// The topics that take a moment.
const QUICK: [&str; 8] = ["lists", "joined", "check", "forms", "cutaways", "record", "errors", "words"];

fn circuits() -> impl Iterator<Item = (&'static str, &'static str)> {
    stemwise_circuit::examples().iter().map(|example| (example.name, example.text))
}

fn walk_in() -> &'static [u8] {
    answer::example("walk-in-cooler").unwrap().as_bytes()
}

fn lists(said: &mut Said, _: bool) {
    said.take(&answer::examples());
    said.take(&answer::drills());
    said.take(&answer::piece_kinds());
    for (_, file) in circuits() {
        said.result(answer::list(file.as_bytes()));
        said.take(&answer::check(file.as_bytes()));
    }
    for rule in stemwise_service::rules() {
        for text in [&rule.people, &rule.plant, &rule.avoid] {
            said.text(text);
        }
    }
}

/// The jobs of a circuit, with amounts and targets where they need one; of the rack one of each kind unless all are asked for.
fn jobs(name: &str, file: &str, all: bool) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for job in answer::list(file.as_bytes()).unwrap().jobs {
        let kind = job.split(':').next().unwrap_or_default();
        if name == "rack" && !all && found.iter().any(|known| known.split(':').next() == Some(kind)) {
            continue;
        }
        found.push(job);
    }
    found.push("top up: 300 g".into());
    found.push("charge by subcooling: 6 K".into());
    found.push("charge by superheat: 7 K".into());
    found.push("replace the drier + replace the solenoid valve".into());
    found
}

const THINGS: [&str; 5] = ["recovery-machine", "cylinder", "vacuum-pump", "nitrogen", "core-tool"];

fn plans(said: &mut Said, all: bool) {
    for (name, file) in circuits() {
        for (n, job) in jobs(name, file, all).into_iter().enumerate() {
            let ask = PlanAsk { job: job.clone(), units: UNITS[n % 2], ..PlanAsk::default() };
            said.result(answer::walked_through(file.as_bytes(), &ask));
        }
    }
    let asks = [
        ("walk-in-cooler", "replace the drier"),
        ("split-air-conditioner", "swap the core"),
        ("sealed-freezer", "fit an access valve"),
    ];
    for (name, job) in asks {
        let file = answer::example(name).unwrap().as_bytes();
        for thing in THINGS {
            let ask = PlanAsk { job: job.into(), without: vec![thing.into()], ..PlanAsk::default() };
            said.result(answer::plan(file, &ask));
        }
        for cost in ["refrigerant", "time", "turns", "2 per gram, 1 per minute, 1 per turn"] {
            let ask = PlanAsk { job: job.into(), cost: Some(cost.into()), ..PlanAsk::default() };
            said.result(answer::plan(file, &ask));
        }
        let ask = PlanAsk { job: "recover all".into(), cylinders: Some(0), ..PlanAsk::default() };
        said.result(answer::plan(file, &ask));
    }
    // A flammable, a toxic and a very-high-pressure refrigerant, a blend, and a circuit with less on it.
    for refrigerant in ["R-290", "R-717", "R-744", "R-32", "R-407C"] {
        let file = answer::example("walk-in-cooler").unwrap().replace("R-134a", refrigerant);
        let file = file.replace("high = \"20 bar\", low = \"12 bar\"", "high = \"90 bar\", low = \"60 bar\"");
        for job in [
            "replace the drier",
            "charge the empty system",
            "top up: 300 g",
            "take readings",
            "test with nitrogen",
        ] {
            said.result(answer::walked_through(
                file.as_bytes(),
                &PlanAsk { job: job.into(), ..PlanAsk::default() },
            ));
        }
    }
    for gone in ["[valve.king]", "[valve.suction-valve]", "[port.drier-port]", "[valve.queen]"] {
        let file = without_table(answer::example("walk-in-cooler").unwrap(), gone);
        for job in ["replace the drier", "pump down", "replace the receiver", "replace the evaporator"] {
            said.result(answer::walked_through(
                file.as_bytes(),
                &PlanAsk { job: job.into(), ..PlanAsk::default() },
            ));
        }
    }
}

/// The file without a table, and without its id in the walk.
fn without_table(file: &str, head: &str) -> String {
    let id = head.trim_matches(['[', ']']).rsplit('.').next().unwrap_or_default();
    let mut out = String::new();
    let mut inside = false;
    for line in file.lines() {
        if line.starts_with('[') {
            inside = line == head;
        }
        if !inside {
            out.push_str(&line.replace(&format!("\"{id}\", "), ""));
            out.push('\n');
        }
    }
    out
}

fn procedures(said: &mut Said, _: bool) {
    let asks = [
        ("walk-in-cooler", "replace the drier"),
        ("walk-in-cooler", "pump down"),
        ("walk-in-cooler", "change the oil"),
        ("split-air-conditioner", "pump down into the outdoor unit"),
        ("split-air-conditioner", "swap the core"),
        ("sealed-freezer", "fit an access valve"),
        ("two-temperature", "test with nitrogen"),
    ];
    for (n, (name, job)) in asks.into_iter().enumerate() {
        let file = answer::example(name).unwrap().as_bytes();
        let ask = ProcedureAsk { job: Some(job.into()), units: UNITS[n % 2], ..ProcedureAsk::default() };
        said.result(answer::slips(file, &ask, n == 0, false));
        let verdict = said.result(answer::verify(file, &ask, n < 3));
        let steps = verdict.map_or(0, |verdict| verdict.steps.len());
        for step in 1..=steps {
            said.result(answer::why(file, &ask, step));
        }
        let Ok(text) = answer::procedure_file(file, &ask) else { continue };
        for broken in broken(&text) {
            let ask =
                ProcedureAsk { file: Some(broken.into_bytes()), units: ask.units, ..ProcedureAsk::default() };
            said.result(answer::replayed(file, &ask));
        }
    }
}

/// A procedure file with each of its actions left out in turn, and with words that it doesn't know.
fn broken(text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let words = |line: &str| line.trim_start().starts_with('|') || line.contains(':');
    let mut all: Vec<String> = (1..lines.len())
        .filter(|at| lines[*at].starts_with("  ") && !words(lines[*at]))
        .map(|at| {
            let kept = lines.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, line)| *line);
            kept.collect::<Vec<_>>().join("\n")
        })
        .collect();
    for line in [
        "turn king sideways",
        "turn nobody to open",
        "fit low-hose on nowhere",
        "start nobody",
        "explain",
        "charge much",
        "wait",
        "nitrogen in to 5",
        "open up",
        "pull core drier-port",
        "evacuate",
        "expect nowhere 5 bar",
        "expect suction-valve-port",
        "cap off",
        "turn king to cracked now",
        "charge 90 kg as vapour",
        "start vacuum-pump",
        "turn solenoid to open",
        "pull core suction-valve-port with tool",
        "braze access drier-port",
        "put core back drier-port",
        "close up drier",
        "cap off port drier-port",
        "take hose off drier-port",
        "hold open king",
    ] {
        all.push(format!("{text}\nstep: more\n  {line}\n"));
        all.push(format!("procedure 1\nstep: one\n  {line}\n"));
    }
    for head in [
        "procedure 2\n",
        "",
        "procedure 1\njob: dance\n",
        "procedure 1\ncylinders: x\n",
        "procedure 1\nwithout: luck\n",
        "procedure 1\nfoo: x\n",
        "procedure 1\nstart: later\n",
        "procedure 1\nstep: a\n  hold point: b\n  | c\n",
        "procedure 1\n  read\n",
        "procedure 1\nstep:\n",
        "| x",
    ] {
        all.push(format!("{head}step: one\n  read\n"));
    }
    all
}

fn joined(said: &mut Said, _: bool) {
    for (n, (_, file)) in circuits().enumerate() {
        let Ok(list) = answer::list(file.as_bytes()) else { continue };
        let hoses: Vec<String> = list.ports.iter().map(|port| port.id.clone()).collect();
        let mut sets: Vec<Vec<String>> = vec![Vec::new()];
        for stem in list.valves.iter().filter(|valve| valve.normal.is_some()) {
            for position in ["back-seated", "cracked", "mid-seated", "front-seated", "open", "shut"] {
                sets.push(vec![format!("{}={position}", stem.id)]);
            }
        }
        for (at, set) in sets.into_iter().enumerate() {
            let ask = JoinedAsk { set, hoses: hoses.clone(), running: at % 2 == 0, units: UNITS[n % 2] };
            said.result(answer::joined(file.as_bytes(), &ask));
        }
    }
}

fn checks(said: &mut Said, _: bool) {
    for (name, file) in circuits().filter(|(name, _)| *name != "rack") {
        let lines: Vec<&str> = file.lines().collect();
        for at in 0..lines.len() {
            let mut versions = vec![String::new()];
            if let Some((key, value)) = lines[at].split_once(" = ") {
                versions.extend(
                    ["\"x\"", "7", "\"0 L\"", "\"900 bar\"", "\"5\"", "true", "[\"1 C\"]", "\"5 kg\""]
                        .map(|it| format!("{key} = {it}")),
                );
                versions.push(format!("{key}s = {value}"));
                versions.push(format!("{}\n{}", lines[at], lines[at]));
            } else if lines[at].starts_with('[') {
                versions.push(lines[at].replace('.', ".x"));
                versions.push(lines[at].replace("[part", "[line").replace("[valve", "[part"));
            } else if lines[at].contains('"') {
                versions.push(lines[at].replacen('"', "\"no-", 1));
                versions.push(lines[at].replacen(", ", ", \"receiver\", ", 1));
            }
            for version in versions {
                if name != "walk-in-cooler" && at % 3 != 0 {
                    continue;
                }
                let mut other = lines.clone();
                other[at] = &version;
                said.take(&answer::check(other.join("\n").as_bytes()));
            }
        }
    }
    for file in [
        &b""[..],
        b"\xff\xfe",
        b"schema = 2",
        b"schema = 1\nname = ",
        b"schema = 1",
        b"[[part]]",
        b"part = 3",
    ] {
        said.take(&answer::check(file));
    }
    let more = [
        ("charge = \"4.6 kg\"", "charge = \"46 kg\""),
        ("charge = \"4.6 kg\"", "charge = \"12 kg\""),
        ("charge = \"4.6 kg\"", ""),
        ("altitude = \"150 m\"", "barometer = \"9 bar abs\""),
        ("altitude = \"150 m\"", "altitude = \"90 km\""),
        ("high = \"20 bar\"", "high = \"3 bar\""),
        ("[place.cold-room]", "[place.\"cold.room\"]"),
        ("temperature = \"3 C\"", "temperature = \"60 C\""),
        ("\"condenser\", \"condensate-line\"", "\"condenser\", \"condenser\", \"condensate-line\""),
        ("\"king\", \"liquid-line\"", "\"king\", \"king\", \"liquid-line\""),
        ("\"queen\", \"receiver\"", "\"queen.end\", \"receiver\""),
        ("[part.condenser]", "[part.king]"),
        ("volume = \"2.4 L\"", ""),
        ("capacity = \"3.5 kW\"", ""),
        ("volume = ", "olume = "),
        ("along = [", "along = [\"receiver\", "),
        ("\"compressor\",\n]", "]"),
        ("name = \"ball valve behind the drier\"", "reachable = false"),
        ("fitted = \"brazed\"", "fitted = \"piercing\""),
        ("on = \"drier\"", "on = \"king\""),
        ("schema = 1", "schema = 9"),
        ("design = {", "design = 3 # {"),
        ("oil = {", "oil = 3 # {"),
        ("[[walk]]", "[walk]"),
        ("\"queen\", \"receiver\", ", ""),
        ("refrigerant = \"R-134a\"", "refrigerant = \"R-32/R-125\""),
        ("refrigerant = \"R-134a\"", "refrigerant = \"R-410A/R-125 50/50\""),
        ("refrigerant = \"R-134a\"", "refrigerant = \"R-32/R-32 50/50\""),
        ("size = \"1/2 in\"", "size = \"99 in\""),
        ("length = \"2.5 m\"", "length = \"-2.5 m\""),
        ("length = \"2.5 m\"", "length = \"1,234 m\""),
        ("length = \"2.5 m\"", "length = \"\""),
        ("length = \"2.5 m\"", "length = \"2 mm 4 m\""),
        ("length = \"2.5 m\"", "length = \"2 meter\""),
        ("temperature = \"3 C\"", "temperature = \"-300 C\""),
        ("low = \"12 bar\"", "low = \"-9 bar\""),
        ("volume = \"2.4 L\"", "volume = \"0.00 L\""),
        ("on = \"compressor\"", ""),
        ("kind = \"receiver\"", "kind = \"reciever\""),
        ("place = \"cold-room\"", "place = \"cellar\""),
        ("[place.plant-room]", "[place.plant-room]\nfoo = 1"),
    ];
    for (old, new) in more {
        let file = answer::example("walk-in-cooler").unwrap();
        said.take(&answer::check(file.replace(old, new).as_bytes()));
        if let Ok(list) = answer::list(file.replace(old, new).as_bytes()) {
            said.take(&list);
        }
        said.take(&answer::check(file.replacen(old, new, 1).as_bytes()));
    }
    let pump = answer::example("heat-pump").unwrap();
    for (old, new) in [
        ("reversing-valve.discharge", "reversing-valve"),
        ("reversing-valve.suction", "reversing-valve.sideways"),
        (".indoor", ".outdoor"),
    ] {
        said.take(&answer::check(pump.replace(old, new).as_bytes()));
    }
    // Sparse files: everything that can be estimated is.
    for (name, file) in circuits() {
        let keys = ["volume", "design", "charge", "temperature", "range", "head-volume", "size", "length"];
        let sparse: Vec<&str> = file
            .lines()
            .filter(|line| !keys.iter().any(|key| line.starts_with(&format!("{key} ="))))
            .collect();
        let capacity = if file.contains("capacity =") { "" } else { "capacity = \"2 kW\"\n" };
        let sparse = format!("{capacity}{}", sparse.join("\n"));
        let lines = file
            .lines()
            .filter(|line| !["volume", "temperature"].iter().any(|key| line.starts_with(key)))
            .collect::<Vec<_>>()
            .join("\n");
        for file in [sparse, format!("{capacity}{lines}"), file.replace("charge =", "# charge =")] {
            said.take(&answer::check(file.as_bytes()));
            if let Ok(list) = answer::list(file.as_bytes()) {
                said.take(&list);
                said.result(answer::joined(file.as_bytes(), &JoinedAsk::default()));
            }
        }
        let _ = name;
    }
    let nested = format!("schema = 1\nx = {}", "[".repeat(400));
    said.take(&answer::check(nested.as_bytes()));
    said.take(&answer::check(&vec![b'#'; 5_000_000]));
}

fn questions(said: &mut Said, _: bool) {
    for (n, (name, file)) in circuits().enumerate() {
        for seed in 0..if name == "rack" { 2 } else { 8 } {
            for kind in answer::question_kinds() {
                let ask = QuestionAsk {
                    kinds: vec![kind.into()],
                    count: 4,
                    seed,
                    units: UNITS[(n + seed as usize) % 2],
                };
                let Some(found) = said.result(answer::questions(file.as_bytes(), &ask)) else { continue };
                for question in &found.questions {
                    for typed in ["1", "2", "3", "9", "x"] {
                        said.result(answer::grade(question, typed, found.atmosphere_pa));
                    }
                }
            }
        }
    }
}

fn drills(said: &mut Said, _: bool) {
    for entry in answer::drills().drills {
        let file = answer::drill_file(&entry.id).unwrap();
        said.result(answer::drill(file.as_bytes(), None));
        let Ok(best) = answer::drill_best_way(file.as_bytes(), None) else { continue };
        said.result(answer::drill_score(file.as_bytes(), best.as_bytes(), None));
        let versions = broken(&best);
        let every = versions.len() / 25 + 1;
        for run in versions.iter().step_by(every) {
            said.result(answer::drill_score(file.as_bytes(), run.as_bytes(), None));
        }
        for at in 0..file.lines().count() {
            let mut lines: Vec<&str> = file.lines().collect();
            let prose = ["name", "brief", "note"].iter().any(|key| lines[at].starts_with(key));
            let other = if prose { String::new() } else { lines[at].replace("= \"", "= \"no ") };
            for version in ["", other.as_str(), "size = \"9 kg\"", "foo = 1", "[goal]\nquestions = 1"] {
                lines[at] = version;
                said.result(answer::drill(lines.join("\n").as_bytes(), None));
            }
        }
    }
    let faults = [
        ("leaking-reed", "at = \"compressor\"\nsize = \"30 %\""),
        ("restricted-drier", "at = \"drier\"\nsize = \"97 %\""),
        ("moisture", ""),
        ("wrong-refrigerant", "size = \"R-404A\""),
        ("wrong-stem", "at = \"king\"\nsize = \"cracked\""),
        ("undercharge", "size = \"900 kg\""),
        ("undercharge", "size = \"lots\""),
        ("starved-valve", "at = \"expansion-valve\"\nsize = \"800 K\""),
        ("closed-valve", "at = \"nobody\""),
        ("closed-valve", "at = \"king\"\nsize = \"3 K\""),
        ("dance", ""),
    ];
    for (kind, rest) in faults {
        let goal = "[goal]\nquestions = 3\nkinds = [\"what-is-wrong\"]";
        let file = format!(
            "schema = 1\nname = \"x\"\nbrief = \"y\"\ncircuit = \"example:walk-in-cooler\"\n[[fault]]\nkind = \"{kind}\"\n{rest}\n{goal}\n"
        );
        said.result(answer::drill(file.as_bytes(), None));
        let score = answer::drill_score(file.as_bytes(), b"procedure 1\nstep: x\n  read\n", None);
        said.result(score);
    }
}

fn texts(of: &[&str]) -> Vec<String> {
    of.iter().map(|text| (*text).to_owned()).collect()
}

fn motion(said: &mut Said, _: bool) {
    for (name, file) in circuits().filter(|(name, _)| ["walk-in-cooler", "sealed-freezer"].contains(name)) {
        let mut motion = match Motion::new(file.as_bytes(), true) {
            Ok(motion) => motion,
            Err(error) => {
                said.error(&error);
                continue;
            }
        };
        said.take(&motion.faults());
        for text in motion.assumed() {
            said.text(&text);
        }
        let stems: Vec<String> = answer::list(file.as_bytes())
            .unwrap()
            .valves
            .iter()
            .filter(|valve| valve.normal.is_some())
            .map(|valve| valve.id.clone())
            .collect();
        for stem in &stems {
            motion.advance(20.0);
            for act in [
                format!("cap off stem {stem}"),
                format!("ease nut {stem}"),
                format!("turn {stem} to front-seated"),
                format!("turn {stem} to shut"),
            ] {
                if let Ok(found) = motion.would(&act, UnitSystem::Si) {
                    said.take(&found)
                }
                if let Err(error) = motion.act(&act) {
                    said.error(&error)
                }
            }
            for _ in 0..10 {
                motion.advance(5.0);
                said.take(&motion.frame(UnitSystem::Si));
                said.take(&motion.moment());
            }
            let _ = motion.start_over(name.starts_with('w'));
        }
        for act in [
            "dance",
            "turn king",
            "start compressor",
            "stop compressor",
            "take hose off drier-port",
            "fit low-hose on drier-port",
            "turn nobody to open",
        ] {
            if let Err(error) = motion.act(act) {
                said.error(&error)
            }
        }
        if let Err(error) = motion.put_fault("dance", 1.0) {
            said.error(&error)
        }
    }
    for (_, file) in circuits() {
        let Ok(mut trial) = Trial::new(file.as_bytes(), true) else { continue };
        let Ok(walked) = answer::list(file.as_bytes()) else { continue };
        for stem in walked.valves.iter().filter(|valve| valve.normal.is_some()) {
            for position in ["front-seated", "shut", "back-seated", "open"] {
                let act = format!("turn {} to {position}", stem.id);
                if let Ok(found) = trial.would(&act, UnitSystem::Ip) {
                    said.take(&found)
                }
                if let Err(error) = trial.act(&act) {
                    said.error(&error)
                }
                said.take(&trial.frame(UnitSystem::Ip));
                said.take(&trial.left_behind(UnitSystem::Ip));
                trial.undo();
            }
        }
    }
}

fn properties(said: &mut Said, _: bool) {
    let sea = Pressure::from_pa(101_325.0);
    for fluid in ["R-134a", "R-407C", "R-410A", "R-32/R-125 40/60", "R-9"] {
        for at in ["5 C", "5 bar", "5", "900 C", "x"] {
            said.result(answer::saturation(fluid, at, sea));
        }
        let ask = ShiftAsk {
            at: "20 C".into(),
            volume: Some("20 L".into()),
            mass: Some("10 kg".into()),
            out: "vapour".into(),
            ..ShiftAsk::default()
        };
        said.result(answer::shift(fluid, &ask, sea));
    }
    let table =
        |from: &str, to: &str, step: &str| TableAsk { from: from.into(), to: to.into(), step: step.into() };
    for (from, to, step) in [("0 C", "10 C", "0 K"), ("0 C", "5 bar", "1 K"), ("0 C", "90 C", "0.0001 K")] {
        said.result(answer::saturation_table("R-134a", &table(from, to, step), sea));
    }
    let _ = StateAsk::default();
}

fn errors(said: &mut Said, _: bool) {
    let file = walk_in();
    for job in [
        "dance",
        "replace",
        "top up",
        "top up: 90 kg",
        "top up: x",
        "repair the leak",
        "repair the leak: nobody",
        "charge by superheat",
        "charge by superheat: 90 K",
        "replace the coil",
        "pump down + recover all",
        "replace the drier: x",
    ] {
        said.result(answer::plan(file, &PlanAsk { job: job.into(), ..PlanAsk::default() }));
    }
    said.result(answer::plan(
        file,
        &PlanAsk { job: "pump down".into(), without: texts(&["luck"]), ..PlanAsk::default() },
    ));
    said.result(answer::plan(
        file,
        &PlanAsk { job: "pump down".into(), cost: Some("love".into()), ..PlanAsk::default() },
    ));
    said.result(answer::plan(b"schema = 1", &PlanAsk { job: "pump down".into(), ..PlanAsk::default() }));
    for set in ["king", "king=sideways", "nobody=open"] {
        said.result(answer::joined(file, &JoinedAsk { set: texts(&[set]), ..JoinedAsk::default() }));
    }
    for hoses in [&["nobody"][..], &["drier-port", "drier-port"]] {
        said.result(answer::joined(file, &JoinedAsk { hoses: texts(hoses), ..JoinedAsk::default() }));
    }
    let freezer = answer::example("sealed-freezer").unwrap().as_bytes();
    said.result(answer::joined(freezer, &JoinedAsk { hoses: texts(&["nobody"]), ..JoinedAsk::default() }));
    said.result(answer::verify(file, &ProcedureAsk::default(), false));
    said.result(answer::why(
        file,
        &ProcedureAsk { job: Some("pump down".into()), ..ProcedureAsk::default() },
        99,
    ));
    said.result(answer::slips(
        freezer,
        &ProcedureAsk { job: Some("pump down".into()), ..ProcedureAsk::default() },
        false,
        false,
    ));
    said.result(answer::questions(
        file,
        &QuestionAsk { kinds: texts(&["dance"]), count: 1, seed: 1, units: UnitSystem::Si },
    ));
    for found in
        [answer::example("nobody"), answer::drill_file("nobody"), answer::schema("nobody").map(|_| "")]
    {
        if let Err(error) = found {
            said.error(&error)
        }
    }
}

/// The words that faces show for the words of machines.
fn words(said: &mut Said, _: bool) {
    for position in ["Back-seated", "Cracked", "Mid-seated", "Front-seated", "Open", "Shut"] {
        said.text(position);
    }
}
