//! The drill file: TOML in, a drill and every problem out.

use std::ops::Range;

use stemwise_circuit::{
    Circuit, JointId, JointKind, Metering, Position, Problem, Problems, Rig, Severity, SpaceKind, examples,
};
use stemwise_prove::leave_out;
use stemwise_service::find_job;
use stemwise_thermo::Substance;
use stemwise_units::{Mass, TemperatureDifference, UnitSystem, parse_fraction};
use toml::de::DeTable;

use super::fault::{ENTRIES, Entry, Fault, FaultKind, Size};
use super::table::{At, Fields, meant, short};
use super::{Drill, DrillCircuit, Goal};
use crate::Kind;
use crate::classroom::position;

/// The version of the format that this program reads.
pub const SCHEMA: u64 = 1;
/// A larger file is not a drill.
pub const LARGEST_FILE: usize = 5 << 20;
/// Deeper nesting is refused before the parser meets it.
const DEEPEST: usize = 32;
/// No bulb senses further off.
const MOST_KELVIN: f64 = 20.0;
/// More questions are no drill.
const MOST_QUESTIONS: u64 = 100;

/// What reading a file gave.
#[derive(Clone, Debug, PartialEq)]
pub struct DrillReading {
    /// The drill, if no error forbids it.
    pub drill: Option<Drill>,
    /// Everything found, in the order of the file.
    pub problems: Vec<Problem>,
}

/// Reads a drill file. Never panics, whatever the bytes.
///
/// ```
/// let reading = stemwise_teach::read_drill(b"schema = 1\nname = \"Nothing yet\"\n");
/// assert!(reading.drill.is_none() && reading.problems.iter().any(|problem| problem.id == "missing-key"));
/// ```
pub fn read_drill(bytes: &[u8]) -> DrillReading {
    let refuse = |text: &str, id, say: String, hint: &str| {
        let mut problems = Problems::new(text);
        problems.error(&(0..0), id, say, hint);
        DrillReading { drill: None, problems: problems.finish() }
    };
    if bytes.len() > LARGEST_FILE {
        let say = format!("the file has {} bytes; a drill has at most {LARGEST_FILE}", bytes.len());
        return refuse("", "file-too-large", say, "is this the right file?");
    }
    let Ok(text) = core::str::from_utf8(bytes) else {
        return refuse("", "not-text", "the file is not text (UTF-8)".into(), "save it as UTF-8 text");
    };
    if too_deep(text) {
        return refuse(text, "too-deep", "brackets are nested too deeply".into(), "a drill needs no nesting");
    }
    let mut problems = Problems::new(text);
    let (document, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let at = error.span().unwrap_or(0..0);
        let say = format!("not TOML: {}", error.message());
        problems.error(&at, "syntax", say, "mend this line; see docs/drill-file.md");
    }
    let top = Fields::new("", "the file".into(), 0..0, document.get_ref());
    let drill = Reader { problems: &mut problems }.drill(&top);
    let drill = if problems.any_error() { None } else { drill };
    DrillReading { drill, problems: problems.finish() }
}

/// Where brackets nest too deeply, comments and texts not regarded: they can only make it stricter. A line's end closes what a text left open.
fn too_deep(text: &str) -> bool {
    let mut depth = 0usize;
    text.bytes().any(|byte| {
        match byte {
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            b'\n' if depth < 4 => depth = 0,
            _ => {}
        }
        depth > DEEPEST
    })
}

struct Reader<'p, 't> {
    problems: &'p mut Problems<'t>,
}

impl Reader<'_, '_> {
    fn drill(&mut self, top: &Fields<'_>) -> Option<Drill> {
        top.check(self.problems);
        top.whole("schema", SCHEMA..=SCHEMA, self.problems);
        let (name, brief) = (top.text("name", self.problems), top.text("brief", self.problems));
        let note = top.text("note", self.problems).map(|note| note.value);
        let units = top.word("units", &["si", "ip"], self.problems);
        let start = top.word("start", &["running", "standing"], self.problems);
        let pass = top.whole("pass", 0..=100, self.problems).map_or(80, |pass| pass.value);
        let without = self.without(top);
        let on = self.circuit(top);
        let goal = top.table("goal", self.problems);
        let circuit = &on.as_ref()?.circuit;
        let turned = self.turned(top, circuit);
        let faults = top.tables("fault", self.problems);
        let faults = faults.iter().filter_map(|fault| self.fault(fault, circuit)).collect();
        let goal = goal.and_then(|goal| self.goal(&goal, circuit));
        Some(Drill {
            name: name?.value,
            note,
            brief: brief?.value,
            units: if units.is_some_and(|units| units.value == "ip") {
                UnitSystem::Ip
            } else {
                UnitSystem::Si
            },
            standing: start.is_some_and(|start| start.value == "standing"),
            turned,
            without,
            faults,
            goal: goal?,
            pass: u32::try_from(pass).unwrap_or(80),
            on: on?,
        })
    }

    fn without(&mut self, top: &Fields<'_>) -> Vec<String> {
        let mut rig = Rig::usual();
        let things = top.texts("without", self.problems);
        for thing in &things {
            if leave_out(&mut rig, &thing.value).is_err() {
                let say = format!("nothing called \"{}\" belongs to the rig", short(&thing.value));
                let hint = "it can be: recovery-machine, cylinder, vacuum-pump, nitrogen, core-tool";
                self.problems.error(&thing.at, "unknown-thing", say, hint);
            }
        }
        things.into_iter().map(|thing| thing.value).collect()
    }

    fn circuit(&mut self, top: &Fields<'_>) -> Option<DrillCircuit> {
        let named = top.text("circuit", self.problems);
        let text = top.text("circuit-text", self.problems);
        match (named, text) {
            (Some(named), None) => self.example(&named),
            (None, Some(text)) => self.embedded(&text),
            (Some(_), Some(text)) => {
                let say = "the drill has both \"circuit\" and \"circuit-text\"";
                self.problems.error(&text.at, "two-circuits", say, "leave one of them out");
                None
            }
            (None, None) => {
                if !top.has("circuit") && !top.has("circuit-text") {
                    let hint = "add circuit = \"example:NAME\", or circuit-text with the whole circuit file";
                    self.problems.error(&top.at, "missing-key", "the file has no circuit", hint);
                }
                None
            }
        }
    }

    fn example(&mut self, named: &At<String>) -> Option<DrillCircuit> {
        let known: Vec<&str> = examples().iter().map(|example| example.name).collect();
        let name = named.value.trim().strip_prefix("example:");
        let found = name.and_then(|name| examples().iter().find(|example| example.name == name.trim()));
        let Some(found) = found else {
            let say = format!("no circuit is called \"{}\"", short(&named.value));
            let hint = match name {
                Some(name) => meant(name, &known),
                None => {
                    "write circuit = \"example:NAME\", or circuit-text with the whole circuit file".into()
                }
            };
            self.problems.error(&named.at, "unknown-circuit", say, hint);
            return None;
        };
        let circuit = stemwise_circuit::read(found.text.as_bytes()).circuit?;
        Some(DrillCircuit { example: Some(found.name.into()), text: found.text.into(), circuit })
    }

    fn embedded(&mut self, text: &At<String>) -> Option<DrillCircuit> {
        let reading = stemwise_circuit::read(text.value.as_bytes());
        for problem in reading.problems.iter().filter(|problem| problem.severity == Severity::Error) {
            let say = format!("line {} of the circuit: {}", problem.line, problem.say);
            self.problems.error(&text.at, "circuit", say, problem.hint.clone());
        }
        let circuit = reading.circuit?;
        Some(DrillCircuit { example: None, text: text.value.clone(), circuit })
    }

    fn valve(&mut self, typed: &str, at: &Range<usize>, circuit: &Circuit) -> Option<JointId> {
        let with_stem = || circuit.graph.joints_with_ids().filter(|(_, joint)| joint.stem.is_some());
        let found = with_stem().find(|(_, joint)| joint.id == typed.trim());
        if found.is_none() {
            let known: Vec<&str> = with_stem().map(|(_, joint)| joint.id.as_str()).collect();
            let say = format!("no valve with a stem is called \"{}\"", short(typed.trim()));
            self.problems.error(at, "unknown-name", say, meant(typed.trim(), &known));
        }
        found.map(|(id, _)| id)
    }

    fn position(
        &mut self,
        typed: &str,
        at: &Range<usize>,
        valve: JointId,
        circuit: &Circuit,
    ) -> Option<Position> {
        let allowed = circuit.graph.joint(valve).map_or(&[] as &[Position], |joint| joint.positions());
        let found = allowed.iter().copied().find(|&known| position(known) == typed.trim());
        if found.is_none() {
            let known: Vec<&str> = allowed.iter().map(|&known| position(known)).collect();
            let say = format!("the stem can't stand \"{}\"", short(typed.trim()));
            self.problems.error(at, "unknown-position", say, meant(typed.trim(), &known));
        }
        found
    }

    fn turned(&mut self, top: &Fields<'_>, circuit: &Circuit) -> Vec<(JointId, Position)> {
        let mut turned = Vec::new();
        for typed in top.texts("turned", self.problems) {
            let Some((valve, at)) = typed.value.split_once('=') else {
                let say = format!("\"{}\" is not VALVE=POSITION", short(&typed.value));
                self.problems.error(&typed.at, "not-a-setting", say, "write it like \"king=front-seated\"");
                continue;
            };
            let valve = self.valve(valve, &typed.at, circuit);
            turned
                .extend(valve.and_then(|valve| Some((valve, self.position(at, &typed.at, valve, circuit)?))));
        }
        turned
    }

    fn fault(&mut self, fields: &Fields<'_>, circuit: &Circuit) -> Option<Fault> {
        fields.check(self.problems);
        let words: Vec<&str> = ENTRIES.iter().map(|entry| entry.word).collect();
        let kind = fields.word("kind", &words, self.problems);
        let (at, size) = (fields.text("at", self.problems), fields.text("size", self.problems));
        let entry =
            ENTRIES.iter().find(|entry| kind.as_ref().is_some_and(|kind| kind.value == entry.word))?;
        self.belongs(fields, "at", entry.at, at.as_ref().map(|at| &at.at), entry);
        self.belongs(fields, "size", entry.size, size.as_ref().map(|size| &size.at), entry);
        let name = at.as_ref().filter(|_| !entry.at.is_empty());
        if let Some(at) = name {
            self.place(entry, at, circuit)?;
        } else if !entry.at.is_empty() {
            return None;
        }
        let size = match size.as_ref().filter(|_| !entry.size.is_empty()) {
            Some(size) => self.size(entry, size, name, circuit)?,
            None if entry.size.is_empty() => Size::None,
            None => return None,
        };
        if !entry.at_rest {
            let say = format!("\"{}\" shows only while the system is followed second by second", entry.word);
            let hint = "at rest and in balance it changes nothing; the score of a written procedure does not know it";
            self.problems.warning(&fields.at, "not-at-rest", say, hint);
        }
        Some(Fault { kind: entry.kind, at: name.map(|at| at.value.trim().to_owned()), size })
    }

    /// A key that the kind wants must be there, and no other.
    fn belongs(
        &mut self,
        fields: &Fields<'_>,
        key: &str,
        wanted: &str,
        at: Option<&Range<usize>>,
        entry: &Entry,
    ) {
        match (at, wanted.is_empty()) {
            (Some(at), true) => {
                let say = format!("\"{key}\" has no meaning for a fault of kind \"{}\"", entry.word);
                self.problems.error(at, "key-not-for-this-kind", say, "leave it out");
            }
            (None, false) if !fields.has(key) => {
                let say = format!("a fault of kind \"{}\" has no \"{key}\"", entry.word);
                self.problems.error(&fields.at, "missing-key", say, format!("add {key} = \"…\": {wanted}"));
            }
            _ => {}
        }
    }

    /// Whether a fault can be where it says.
    fn place(&mut self, entry: &Entry, at: &At<String>, circuit: &Circuit) -> Option<()> {
        let graph = &circuit.graph;
        let spaces = |kinds: &[SpaceKind]| -> Vec<&str> {
            graph
                .spaces
                .iter()
                .filter(|space| kinds.contains(&space.kind))
                .map(|space| space.id.as_str())
                .collect()
        };
        let joints = |test: fn(&JointKind) -> bool| -> Vec<&str> {
            graph.joints.iter().filter(|joint| test(&joint.kind)).map(|joint| joint.id.as_str()).collect()
        };
        let stems =
            || graph.joints.iter().filter(|joint| joint.stem.is_some()).map(|joint| joint.id.as_str());
        let capped = || {
            let ports = graph.ports.iter().filter(|port| port.cap).map(|port| port.id.as_str());
            let valves = graph.joints.iter().filter(|joint| joint.stem.as_ref().is_some_and(|stem| stem.cap));
            ports.chain(valves.map(|joint| joint.id.as_str())).collect()
        };
        let known: Vec<&str> = match entry.kind {
            FaultKind::ForgottenCap => capped(),
            FaultKind::LeakingCore => {
                graph.ports.iter().filter(|port| port.core).map(|port| port.id.as_str()).collect()
            }
            FaultKind::RestrictedDrier => spaces(&[SpaceKind::Drier]),
            FaultKind::FouledCondenser => spaces(&[SpaceKind::Condenser, SpaceKind::ReversibleCoil]),
            FaultKind::FrostedEvaporator => spaces(&[SpaceKind::Evaporator, SpaceKind::ReversibleCoil]),
            FaultKind::FailedFan => {
                spaces(&[SpaceKind::Condenser, SpaceKind::Evaporator, SpaceKind::ReversibleCoil])
            }
            FaultKind::StuckSolenoid => joints(|kind| matches!(kind, JointKind::Solenoid { .. })),
            FaultKind::StarvedValve | FaultKind::FloodingValve => {
                joints(|kind| matches!(kind, JointKind::Metering(Metering::Thermostatic { .. })))
            }
            FaultKind::LeakingReed => joints(|kind| matches!(kind, JointKind::Compressor(_))),
            _ => stems().collect(),
        };
        if known.contains(&at.value.trim()) {
            return Some(());
        }
        let say = format!("\"{}\" is not {} of this circuit", short(&at.value), entry.at);
        self.problems.error(&at.at, "unknown-name", say, meant(at.value.trim(), &known));
        None
    }

    fn size(
        &mut self,
        entry: &Entry,
        size: &At<String>,
        name: Option<&At<String>>,
        circuit: &Circuit,
    ) -> Option<Size> {
        let typed = size.value.trim();
        match entry.size {
            "a position" => {
                let valve = circuit.graph.find_joint(name?.value.trim())?;
                self.position(typed, &size.at, valve, circuit).map(Size::Position)
            }
            "a difference" => {
                let found = TemperatureDifference::parse(typed).map_err(|error| error.to_string());
                let sound = found.and_then(|found| match found.as_k() {
                    kelvin if kelvin > 0.0 && kelvin <= MOST_KELVIN => Ok(Size::Difference(found)),
                    kelvin => {
                        Err(format!("{kelvin} K is no such difference; it can be up to {MOST_KELVIN} K"))
                    }
                });
                self.understood(sound, size)
            }
            "a refrigerant" => {
                let found = Substance::named(typed).map(|found| Size::Refrigerant(found.name()));
                self.understood(found.map_err(|error| error.to_string()), size)
            }
            _ => {
                let part = || parse_fraction(typed).map(Size::Part).map_err(|error| error.to_string());
                let mass = || Mass::parse(typed).map(Size::Mass).map_err(|error| error.to_string());
                let read = match entry.size {
                    "a part" => part(),
                    "a mass" => mass(),
                    _ => part().or_else(|_| mass()),
                };
                let read = self.understood(read, size)?;
                self.sensible(entry, read, size, circuit)
            }
        }
    }

    fn understood(&mut self, read: Result<Size, String>, size: &At<String>) -> Option<Size> {
        read.map_err(|why| {
            self.problems.error(
                &size.at,
                "bad-size",
                why,
                "write it with its unit, like \"20 %\", \"300 g\" or \"8 K\"",
            );
        })
        .ok()
    }

    /// No more can be missing than there is.
    fn sensible(&mut self, entry: &Entry, read: Size, size: &At<String>, circuit: &Circuit) -> Option<Size> {
        let charge = circuit.charge.value;
        let most = match entry.kind {
            FaultKind::Undercharge => charge,
            _ => charge * 10.0,
        };
        let fault = Fault { kind: entry.kind, at: None, size: read.clone() };
        if fault.amount(charge).is_none_or(|amount| amount.as_kg() <= most.as_kg()) {
            return Some(read);
        }
        let say = format!(
            "\"{}\" is more than can be: the charge is {}",
            short(&size.value),
            UnitSystem::Si.mass(charge)
        );
        self.problems.error(&size.at, "bad-size", say, "take less");
        None
    }

    fn goal(&mut self, fields: &Fields<'_>, circuit: &Circuit) -> Option<Goal> {
        fields.check(self.problems);
        let job = fields.text("job", self.problems);
        let count = fields.whole("questions", 1..=MOST_QUESTIONS, self.problems);
        let seed = fields.whole("seed", 0..=u64::MAX, self.problems).map_or(1, |seed| seed.value);
        let kinds = self.kinds(fields);
        match (job, count) {
            (Some(job), None) => match find_job(circuit, job.value.trim()) {
                Ok(found) => Some(Goal::Job(found.words())),
                Err(error) => {
                    self.problems.error(
                        &job.at,
                        "unknown-job",
                        error.to_string(),
                        "say it as \"stemwise list CIRCUIT\" prints it",
                    );
                    None
                }
            },
            (None, Some(count)) => {
                let count = usize::try_from(count.value).unwrap_or(1);
                Some(Goal::Questions { count, kinds, seed })
            }
            (Some(job), Some(_)) => {
                let say = "the goal has both a job and questions";
                self.problems.error(&job.at, "two-goals", say, "make two drills of it");
                None
            }
            (None, None) => {
                if !fields.has("job") && !fields.has("questions") {
                    let say = "the goal has neither a job nor questions";
                    self.problems.error(&fields.at, "missing-key", say, "add job = \"…\" or questions = 8");
                }
                None
            }
        }
    }

    fn kinds(&mut self, fields: &Fields<'_>) -> Vec<Kind> {
        let known: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
        let mut kinds = Vec::new();
        for word in fields.texts("kinds", self.problems) {
            match Kind::named(&word.value) {
                Some(kind) => kinds.push(kind),
                None => {
                    let say = format!("\"{}\" is no kind of question", short(&word.value));
                    self.problems.error(&word.at, "unknown-word", say, meant(&word.value, &known));
                }
            }
        }
        if fields.has("kinds") { kinds } else { Kind::ALL.to_vec() }
    }
}
