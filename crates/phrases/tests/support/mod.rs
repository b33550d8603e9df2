//! Everything that the answer layer says, gathered by asking it: the sentences, and the names and ids of the files it was asked about.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use stemwise_answer as answer;
use stemwise_answer::{
    AirAsk, ChargeAsk, EvidenceCommon, JobOpening, JobPageAsk, JobRecord, JoinedAsk, Moment, Motion, PlanAsk,
    ProcedureAsk, QuestionAsk, RecoveryAsk, SetAsk, ShiftAsk, Stamp, StandingAsk, StateAsk, TableAsk, Trial,
    VacuumAsk,
};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire as wire;

/// Sentences, each with where it was first met; names and ids that are people's own.
#[derive(Debug, Default)]
pub struct Said {
    /// By text.
    pub texts: BTreeMap<String, &'static str>,
    /// Ids, names and other words that come out of the files.
    pub own: BTreeSet<String>,
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
    pub fn take(&mut self, answer: &impl serde::Serialize) {
        let value = serde_json::to_value(answer).unwrap();
        self.walk(&value);
    }

    fn walk(&mut self, value: &Value) {
        match value {
            Value::String(text) => self.text(text),
            Value::Array(items) => items.iter().for_each(|item| self.walk(item)),
            Value::Object(fields) => {
                for (key, value) in fields {
                    if key == "id"
                        && let Some(id) = value.as_str()
                    {
                        self.own.insert(id.to_owned());
                    }
                    if !NO_SENTENCE.contains(&key.as_str()) {
                        self.walk(value);
                    }
                }
            }
            _ => {}
        }
    }

    /// Takes one text; words for machines, in small letters with hyphens, are no text.
    pub fn text(&mut self, text: &str) {
        let machine =
            text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == ',');
        if !machine && !text.trim().is_empty() {
            self.texts.entry(text.to_owned()).or_insert(self.topic);
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

/// All of it; `all_jobs`: of the large rack too.
pub fn everything(all_jobs: bool) -> Said {
    let mut said = Said::default();
    for example in stemwise_circuit::examples() {
        said.own_names(example.text);
        said.own.insert(example.name.to_owned());
    }
    let parts: [(&'static str, fn(&mut Said, bool)); 13] = [
        ("lists", lists),
        ("plans", plans),
        ("procedures", procedures),
        ("joined", joined),
        ("check", checks),
        ("questions", questions),
        ("drills", drills),
        ("evidence", evidence),
        ("motion", motion),
        ("record", records),
        ("properties", properties),
        ("errors", errors),
        ("words", words),
    ];
    for (topic, part) in parts {
        said.topic = topic;
        part(&mut said, all_jobs);
    }
    said
}

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

fn evidence(said: &mut Said, _: bool) {
    for units in UNITS {
        let of = |fluid: &str| EvidenceCommon { fluid: Some(fluid.into()), ..common(units) };
        let on = EvidenceCommon { circuit: Some(walk_in().to_vec()), ..common(units) };
        sets(said, &of, &on);
        charges(said, &of, &on);
        tests(said, &of, &on);
    }
}

fn common(units: UnitSystem) -> EvidenceCommon {
    EvidenceCommon {
        fluid: None,
        circuit: None,
        atmosphere: None,
        measured_atmosphere: false,
        units,
        page: None,
        heading: None,
    }
}

fn sets(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    let all = [
        "suction-pressure=1.3 bar",
        "suction-line=4 C",
        "discharge-pressure=9 bar",
        "discharge-line=70 C",
        "liquid-line=33 C",
        "onto-condenser=25 C",
        "off-condenser=31 C",
        "onto-evaporator=5 C",
        "off-evaporator=0 C",
        "outdoor=25 C",
        "wet-bulb-onto-evaporator=3 C",
        "box=5 C",
        "before-drier=33 C",
        "behind-drier=31 C",
        "current=5 A",
        "voltage=230 V",
        "evaporator-outlet=2 C",
        "evaporator-pressure=1.4 bar",
        "oil=40 C",
    ];
    let mut commons = vec![on.clone(), of("R-410A"), of("R-407C"), of("R-22"), of("R-134a")];
    commons[0].measured_atmosphere = true;
    for (n, common) in commons.iter().enumerate() {
        let known: Vec<&str> = all
            .iter()
            .copied()
            .filter(|read| {
                let ask = SetAsk { reads: texts(&[read]), ..SetAsk::default() };
                match answer::readings(common, &ask) {
                    Err(answer::Error::Evidence(error)) => error.kind() != "unknown-name",
                    _ => true,
                }
            })
            .collect();
        for (metering, scale) in
            [(None, 1.0), (Some("fixed"), 0.4), (Some("thermostatic"), 1.0), (Some("electronic"), 2.0)]
        {
            let reads: Vec<String> = known.iter().map(|read| scaled(read, scale)).collect();
            let mut ask =
                SetAsk { reads, metering: metering.map(str::to_owned), phases: Some(1), ..SetAsk::default() };
            ask.instruments = texts(&["liquid-line=0.5 K, insulated", "suction-line=1 K"]);
            said.result(answer::readings(common, &ask));
            said.result(answer::faults(common, &ask));
            ask.healthy = texts(&["superheat=6 K, 2 K", "subcooling=5 K, 1 K"]);
            ask.targets = texts(&["superheat=6 K, 2 K", "subcooling=5 K"]);
            said.result(answer::readings(common, &ask));
            said.result(answer::faults(common, &ask));
            for skip in 0..known.len() {
                let mut less = ask.clone();
                less.reads.remove(skip);
                said.result(answer::faults(common, &less));
                if n == 0 {
                    said.result(answer::readings(common, &less));
                }
            }
        }
        for few in [
            &["suction-pressure=1.3 bar"][..],
            &["liquid-line=33 C"],
            &["suction-pressure=1.3 bar", "suction-line=-20 C"],
            &["discharge-pressure=60 bar", "liquid-line=33 C"],
            &[
                "suction-pressure=48 psig",
                "suction-line=70 F",
                "onto-evaporator=75 F",
                "discharge-pressure=200 psig",
                "onto-condenser=95 F",
            ],
        ] {
            for metering in [None, Some("fixed"), Some("thermostatic")] {
                let ask =
                    SetAsk { reads: texts(few), metering: metering.map(str::to_owned), ..SetAsk::default() };
                said.result(answer::readings(common, &ask));
                said.result(answer::faults(common, &ask));
            }
        }
    }
    for bad in [
        "suction=1 bar",
        "suction-pressure 1 bar",
        "suction-pressure=1 kg",
        "suction-pressure=1",
        "suction-pressure=x",
    ] {
        said.result(answer::readings(&of("R-22"), &SetAsk { reads: texts(&[bad]), ..SetAsk::default() }));
    }
    for with in ["suction-line=good", "nobody=1 K", "suction-line=1 bar"] {
        let ask =
            SetAsk { reads: texts(&["suction-line=9 C"]), instruments: texts(&[with]), ..SetAsk::default() };
        said.result(answer::readings(&of("R-22"), &ask));
    }
    let twice = SetAsk { reads: texts(&["suction-line=9 C", "suction-line=9 C"]), ..SetAsk::default() };
    said.result(answer::readings(&of("R-22"), &twice));
    said.result(answer::readings(&of("R-22"), &SetAsk::default()));
    said.result(answer::readings(&common(UnitSystem::Si), &SetAsk::default()));
    said.result(answer::readings(&of("R-999"), &twice));
    let odd =
        SetAsk { reads: texts(&["suction-line=9 C"]), metering: Some("magic".into()), ..SetAsk::default() };
    said.result(answer::readings(&of("R-22"), &odd));
    let paper = EvidenceCommon { page: Some("a9".into()), ..of("R-22") };
    said.result(answer::readings(
        &paper,
        &SetAsk { reads: texts(&["suction-line=9 C"]), ..SetAsk::default() },
    ));
}

/// A reading with its figure made larger or smaller.
fn scaled(read: &str, by: f64) -> String {
    let (name, typed) = read.split_once('=').unwrap();
    let (figure, unit) = typed.split_once(' ').unwrap();
    let pressure = unit == "bar" && name.starts_with("suction");
    format!(
        "{name}={} {unit}",
        if pressure { figure.parse::<f64>().unwrap() * by } else { figure.parse().unwrap() }
    )
}

fn charges(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    let asks = [
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            included: Some("50 ft".into()),
            lines: texts(&["liquid=1/4 in, 25 ft", "suction=3/4 in, 25 ft"]),
            rate: Some("0.27 oz/ft".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            lines: texts(&["liquid=1/4 in, 25 ft"]),
            scale: Some("5 g".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            included: Some("5 m".into()),
            lines: texts(&["liquid=3/8 in, 2 m"]),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            lost: Some("2.5 kg".into()),
            volume: Some("10 L".into()),
            at: Some("25 C".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            lost: Some("0.1 kg".into()),
            out: Some("liquid".into()),
            volume: Some("10 L".into()),
            at: Some("25 C".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            holds: Some("4 kg".into()),
            since: Some("20 min".into()),
            added: Some("200 g".into()),
            before: Some("3 K".into()),
            cylinder: Some("30 lb".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk::default(),
    ];
    for (n, ask) in asks.iter().enumerate() {
        for common in [of("R-410A"), of("R-407C"), of("R-134a"), on.clone()] {
            said.result(answer::charge(&common, ask));
            for by in ["subcooling", "superheat", "weight", "magic"] {
                for (metering, reads) in [
                    ("fixed", ["55 psig", "75 F", "200 psig", "95 F"]),
                    ("thermostatic", ["60 psig", "65 F", "260 psig", "100 F"]),
                    ("thermostatic", ["60 psig", "65 F", "200 psig", "80 F"]),
                    ("fixed", ["60 psig", "50 F", "260 psig", "115 F"]),
                ] {
                    let mut ask = ask.clone();
                    ask.by = Some(by.into());
                    ask.charge = ask.charge.or(Some("7 lb".into()));
                    ask.set.metering = Some(metering.into());
                    let names = ["suction-pressure", "suction-line", "discharge-pressure", "liquid-line"];
                    ask.set.reads =
                        names.iter().zip(reads).map(|(name, typed)| format!("{name}={typed}")).collect();
                    ask.set.reads.extend(texts(&["onto-condenser=90 F", "wet-bulb-onto-evaporator=66 F"]));
                    said.result(answer::charge(&common, &ask));
                    ask.set.reads.truncate(2 + n % 4);
                    ask.since = Some("3 min".into());
                    ask.added = Some("100 g".into());
                    said.result(answer::charge(&common, &ask));
                    ask.set.targets = texts(&["superheat=8 K", "subcooling=8 K"]);
                    ask.before = Some("4 K".into());
                    said.result(answer::charge(&common, &ask));
                }
            }
        }
    }
}

fn tests(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    for (end, time) in [
        ("479.4 psig", "24 h"),
        ("430 psig", "24 h"),
        ("520 psig", "24 h"),
        ("499 psig", "10 min"),
        ("479.4 psig", "2 h"),
    ] {
        for parts in [&["all=80 F, 60 F"][..], &["a=80 F, 60 F", "b=80 F, 82 F"], &[]] {
            for rule in [None, Some("ufgs"), Some("en-378"), Some("x"), Some("no-drop")] {
                let ask = StandingAsk {
                    start: Some("500 psig".into()),
                    end: Some(end.into()),
                    time: Some(time.into()),
                    parts: texts(parts),
                    volume: Some("12 L".into()),
                    rule: rule.map(str::to_owned),
                    gauge: Some("1 psi".into()),
                    probe: Some("0.5 K".into()),
                    ..StandingAsk::default()
                };
                said.result(answer::standing_test(&of("R-410A"), &ask));
                said.result(answer::standing_test(
                    on,
                    &StandingAsk { volume: None, gauge: None, shares: texts(&["a=30 %", "b=70 %"]), ..ask },
                ));
            }
        }
    }
    said.result(answer::standing_test(&of("R-32"), &StandingAsk::default()));
    let pull = |values: &[f64]| {
        values
            .iter()
            .enumerate()
            .map(|(n, value)| format!("{} min={value} micron", n * 3))
            .collect::<Vec<_>>()
    };
    let falls: Vec<f64> = (0..20).map(|n| 300.0 + 20000.0 * (-0.5 * f64::from(n)).exp()).collect();
    let stuck: Vec<f64> = (0..20).map(|n| 4600.0 + 20000.0 * (-0.9 * f64::from(n)).exp()).collect();
    let flat: Vec<f64> = (0..20).map(|n| 350.0 + 0.1 * f64::from(n)).collect();
    let leak: Vec<f64> = (0..20).map(|n| 300.0 + 40.0 * f64::from(n)).collect();
    let small: Vec<f64> = (0..20).map(|n| 300.0 + 2.0 * f64::from(n)).collect();
    let wet: Vec<f64> = (0..20).map(|n| 300.0 + 1500.0 * (1.0 - (-0.6 * f64::from(n)).exp())).collect();
    let down: Vec<f64> = (0..20).map(|n| 900.0 - 20.0 * f64::from(n)).collect();
    for (pulled, rise) in [
        (&falls, &flat),
        (&falls, &leak),
        (&stuck, &wet),
        (&falls, &wet),
        (&falls, &small),
        (&stuck, &leak),
        (&leak, &flat),
        (&falls, &down),
        (&flat, &flat),
    ] {
        let ask = VacuumAsk {
            pull: pull(pulled),
            rise: pull(rise),
            volume: Some("10 L".into()),
            at: Some("20 C".into()),
            ..VacuumAsk::default()
        };
        let more = VacuumAsk {
            target: Some("500 micron".into()),
            pump: Some("100 L/min".into()),
            ultimate: Some("20 micron".into()),
            hoses: texts(&["1/4 in, 1.5 m"]),
            cores: 1,
            lines: Some(1),
            gauge: Some("10 %".into()),
            ..ask.clone()
        };
        for common in [of("R-32"), on.clone()] {
            said.result(answer::vacuum(&common, &ask));
            said.result(answer::vacuum(&common, &more));
            said.result(answer::vacuum(&common, &VacuumAsk { pull: Vec::new(), ..more.clone() }));
            said.result(answer::vacuum(&common, &VacuumAsk { rise: Vec::new(), ..more.clone() }));
            said.result(answer::vacuum(
                &common,
                &VacuumAsk { at: Some("-5 C".into()), rise: ask.rise[..2].to_vec(), ..more.clone() },
            ));
            said.result(answer::vacuum(
                &common,
                &VacuumAsk { rise: ask.rise[..6].to_vec(), cores: 0, ..more.clone() },
            ));
        }
    }
    said.result(answer::vacuum(&of("R-32"), &VacuumAsk::default()));
    for (pressure, temperature) in
        [("142 psig", "70 F"), ("121.4 psig", "70 F"), ("90 psig", "70 F"), ("124 psig", "70 F")]
    {
        for common in [of("R-22"), of("R-407C"), on.clone()] {
            let ask =
                AirAsk { pressure: pressure.into(), temperature: temperature.into(), ..AirAsk::default() };
            said.result(answer::air(&common, &ask));
            let ask = AirAsk {
                room: Some("70 F".into()),
                volume: Some("10 L".into()),
                charge: Some("3 kg".into()),
                gauge: Some("1 psi".into()),
                probe: Some("0.5 K".into()),
                ..ask
            };
            said.result(answer::air(&common, &ask));
            said.result(answer::air(&common, &AirAsk { room: Some("90 F".into()), ..ask }));
        }
    }
    for machine in [None, Some("before-1993"), Some("after-1993"), Some("x")] {
        for small in [None, Some("running"), Some("dead"), Some("x")] {
            for pressure in [None, Some("12 inHg vac"), Some("1 bar"), Some("28 inHg vac")] {
                let ask = RecoveryAsk {
                    charge: Some("10 lb".into()),
                    machine: machine.map(str::to_owned),
                    small: small.map(str::to_owned),
                    pressure: pressure.map(str::to_owned),
                    gauge: Some("0.5 psi".into()),
                    at: Some("20 C".into()),
                    volume: Some("10 L".into()),
                    ..RecoveryAsk::default()
                };
                for common in [of("R-134a"), of("R-410A"), of("R-123"), on.clone()] {
                    said.result(answer::recovery(&common, &ask));
                    for recovered in ["0.1 kg", "4.5 kg"] {
                        said.result(answer::recovery(
                            &common,
                            &RecoveryAsk {
                                recovered: Some(recovered.into()),
                                cylinder: Some("30 lb".into()),
                                holds: Some("3 lb".into()),
                                ..ask.clone()
                            },
                        ));
                        said.result(answer::recovery(
                            &common,
                            &RecoveryAsk {
                                recovered: Some(recovered.into()),
                                cylinder: Some("1 lb".into()),
                                pressure: None,
                                ..ask.clone()
                            },
                        ));
                    }
                }
            }
        }
    }
    said.result(answer::recovery(&of("R-134a"), &RecoveryAsk::default()));
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

fn records(said: &mut Said, _: bool) {
    let mut clock = 0;
    let mut stamp = || {
        clock += 1;
        Stamp {
            device: "phone".into(),
            random: 40 + clock,
            at: Moment { unix_ms: 1_790_000_000_000 + 60_000 * clock as i64, offset_min: 120 },
        }
    };
    said.own.extend(
        [
            "phone",
            "Ana",
            "A-17",
            "gauge 3",
            "misread, seen by two",
            "the gauge is broken",
            "seen on the gauge",
            "the site was evacuated",
            "wet",
            "hurt",
            "rain",
            "a note of mine",
        ]
        .map(str::to_owned),
    );
    for job in ["replace the drier", "take readings", "pump down"] {
        let ask = ProcedureAsk { job: Some(job.into()), ..ProcedureAsk::default() };
        let opening = JobOpening { circuit_file: walk_in(), ask: &ask, words: None, by: Some("Ana") };
        let (mut record, _) = JobRecord::open(&opening, &stamp()).unwrap();
        let step = |n: usize| wire::JobStep { n, procedure: None };
        let measured =
            |of: &str, typed: &str| wire::JobMeasured { of: of.into(), typed: typed.into(), value: None };
        let mut add = |said: &mut Said, record: &mut JobRecord, entry: wire::JobEntry| match record.add(
            &entry,
            Some("Ana"),
            &stamp(),
        ) {
            Ok(added) => Some(added.id),
            Err(error) => {
                said.error(&error);
                None
            }
        };
        for n in 1..=60 {
            let state = record.state(UNITS[n % 2]);
            said.take(&state);
            let Some(next) = state.next else { break };
            let now = state.steps[next - 1].clone();
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next + 1) });
            add(said, &mut record, wire::JobEntry::StepBegun { step: step(next) });
            if n % 5 == 0 {
                add(said, &mut record, wire::JobEntry::StepHeld { step: step(next), why: "rain".into() });
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepBegun { step: step(next) });
                add(said, &mut record, wire::JobEntry::Paused { why: "rain".into() });
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
                add(said, &mut record, wire::JobEntry::Resumed {});
                add(
                    said,
                    &mut record,
                    wire::JobEntry::Note { step: Some(step(next)), text: "a note of mine".into() },
                );
            }
            for (at, band) in now.bands.iter().enumerate() {
                let off = [0.0, 3.0e5, -0.4e5][at % 3];
                let typed = format!("{} Pa abs", (band.low_pa + band.high_pa) / 2.0 + off);
                let reading = wire::JobEntry::Reading {
                    step: Some(step(next)),
                    place: band.gauge.clone(),
                    measured: measured("pressure", &typed),
                    instrument: Some("gauge 3".into()),
                };
                let id = add(said, &mut record, reading);
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
                if let Some(id) = id {
                    add(
                        said,
                        &mut record,
                        wire::JobEntry::Corrected {
                            event: id.clone(),
                            measured: measured("pressure", &typed),
                            why: "misread, seen by two".into(),
                        },
                    );
                    add(
                        said,
                        &mut record,
                        wire::JobEntry::ReadingAccepted { reading: id, why: "misread, seen by two".into() },
                    );
                }
            }
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
            if now.hold.is_some() {
                add(
                    said,
                    &mut record,
                    wire::JobEntry::HoldPoint {
                        step: step(next),
                        proved: n % 2 == 0,
                        say: "seen on the gauge".into(),
                    },
                );
            }
            if n % 7 == 0 {
                add(said, &mut record, wire::JobEntry::StepSkipped { step: step(next), why: "hurt".into() });
            }
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
        }
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "12.5 kg"),
                anew: false,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "12.9 kg"),
                anew: true,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "9 bar"),
                anew: false,
            },
        );
        add(said, &mut record, wire::JobEntry::Lost { mass: measured("mass", "20 g"), why: "hurt".into() });
        let timers = [
            ("decay", "300 micron", "320 micron"),
            ("standing", "20 bar", "20 bar"),
            ("wait", "2 bar", "1.9 bar"),
            ("standing", "20 bar", "19.5 bar"),
        ];
        for (test, begin, end) in timers {
            let timer = wire::JobEntry::TimerBegun {
                step: None,
                test: test.into(),
                minutes: 5,
                pressure: Some(measured("pressure", begin)),
                temperature: Some(measured("temperature", "20 C")),
            };
            let Some(id) = add(said, &mut record, timer) else { continue };
            said.take(&record.state(UnitSystem::Si));
            add(
                said,
                &mut record,
                wire::JobEntry::TimerEnded {
                    timer: id.clone(),
                    pressure: Some(measured("pressure", end)),
                    temperature: Some(measured("temperature", "21 C")),
                },
            );
            add(
                said,
                &mut record,
                wire::JobEntry::TimerEnded { timer: id.clone(), pressure: None, temperature: None },
            );
            add(said, &mut record, wire::JobEntry::Retracted { event: id, why: "hurt".into() });
        }
        add(
            said,
            &mut record,
            wire::JobEntry::Retracted { event: "phone.99.0000000000000001".into(), why: "x".into() },
        );
        add(said, &mut record, wire::JobEntry::Retracted { event: "nonsense".into(), why: "x".into() });
        add(said, &mut record, wire::JobEntry::Resumed {});
        add(said, &mut record, wire::JobEntry::StepDone { step: step(0) });
        add(said, &mut record, wire::JobEntry::StepDone { step: step(99) });
        add(said, &mut record, wire::JobEntry::Closed { despite: None });
        add(said, &mut record, wire::JobEntry::Note { step: None, text: String::new() });
        add(said, &mut record, wire::JobEntry::Note { step: None, text: "x".repeat(90_000) });
        add(said, &mut record, wire::JobEntry::Closed { despite: Some("the site was evacuated".into()) });
        add(said, &mut record, wire::JobEntry::Resumed {});
        said.take(&record.state(UnitSystem::Ip));
        let _ = record.page(&JobPageAsk::default(), UnitSystem::Si);
        let file = record.file();
        for broken in [
            file.replacen("phone", "fone", 3),
            file.replacen("job", "jobs", 1),
            file[..file.len() - 30].to_owned(),
            String::new(),
            file.lines().skip(2).collect::<Vec<_>>().join("\n"),
        ] {
            match answer::job(&[broken.into_bytes()], None) {
                Ok((_, told)) => said.take(&told),
                Err(error) => said.error(&error),
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
