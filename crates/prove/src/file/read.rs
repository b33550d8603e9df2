//! A procedure from text, with every problem at its place.

use std::ops::Range;

use stemwise_circuit::{
    Assembly, Circuit, JointId, PortId, Position, Problem, Problems, Rig, Severity, SpaceId,
};
use stemwise_service::{Action, Cap};
use stemwise_units::{GaugePressure, Mass, Pressure, TypedPressure};

use super::action::POSITIONS;
use crate::procedure::{Expected, Procedure, Step, bring_along, leave_out};

/// A larger file is not a procedure.
pub const LARGEST_FILE: usize = 1 << 20;
/// Nor is one with more actions.
const MOST_ACTIONS: usize = 20_000;

/// What reading a file gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The circuit with the rig that the procedure has.
    pub assembly: Assembly,
    /// The procedure, if no error forbids it.
    pub procedure: Option<Procedure>,
    /// Everything found, in the order of the file.
    pub problems: Vec<Problem>,
}

/// Reads a procedure file for a circuit. Never panics, whatever the bytes.
pub fn read(bytes: &[u8], circuit: &Circuit, mut rig: Rig) -> Reading {
    let text = core::str::from_utf8(bytes);
    let whole = text.unwrap_or("");
    let mut problems = Problems::new(whole);
    if bytes.len() > LARGEST_FILE {
        let say = format!("the file has {} bytes; a procedure has at most {LARGEST_FILE}", bytes.len());
        problems.error(&(0..0), "file-too-large", say, "is this the right file?");
    }
    if let Err(error) = text {
        let say = format!("byte {} of the file is not text (UTF-8)", error.valid_up_to());
        problems.error(&(0..0), "not-text", say, "save it as UTF-8 text");
    }
    if problems.any_error() {
        let assembly = Assembly::new(circuit.clone(), rig);
        return Reading { assembly, procedure: None, problems: problems.finish() };
    }
    let lines = lines(whole);
    for line in lines.iter().filter(|line| line.key == Some("without")) {
        for thing in line.rest.split(',').map(str::trim).filter(|thing| !thing.is_empty()) {
            if leave_out(&mut rig, thing).is_err() {
                let say = format!("nothing called \"{thing}\" belongs to the rig");
                let hint = "it can be: recovery-machine, cylinder, vacuum-pump, nitrogen, core-tool";
                problems.error(&line.at, "unknown-thing", say, hint);
            }
        }
    }
    for line in lines.iter().filter(|line| line.key == Some("with")) {
        for thing in line.rest.split(',').map(str::trim).filter(|thing| !thing.is_empty()) {
            if bring_along(&mut rig, thing).is_err() {
                let say = format!("nothing called \"{thing}\" can be brought along");
                problems.error(&line.at, "unknown-thing", say, "it can be: push-pull");
            }
        }
    }
    let count = cylinders(&lines, &mut problems);
    if let (Some(cylinder), Some(count)) = (&mut rig.cylinder, count) {
        cylinder.count = count;
    }
    let assembly = Assembly::new(circuit.clone(), rig);
    let mut reader = Reader { assembly: &assembly, problems, procedure: Procedure::default(), last: None };
    reader.all(&lines);
    let Reader { problems, procedure, .. } = reader;
    let procedure = (!problems.any_error()).then_some(procedure);
    let mut problems = problems.finish();
    let errors = problems.iter().filter(|problem| problem.severity == Severity::Error).count();
    if let Some((at, say)) = another_circuit(&lines, circuit).filter(|_| errors >= ANOTHER) {
        let mut one = Problems::new(whole);
        let hint = "give the circuit that it was written for; or, where this is that one under another name, mend the line \"circuit:\" and see what is left";
        one.error(&at, "another-circuit", say, hint);
        problems = one.finish();
    }
    Reading { procedure, problems, assembly }
}

/// From so many faults on a procedure that names another circuit is told so once, and not each name that is not there.
const ANOTHER: usize = 3;

/// Where the file names another circuit than the one that it is read for, and which.
fn another_circuit(lines: &[Line<'_>], circuit: &Circuit) -> Option<(Range<usize>, String)> {
    let line = lines.iter().find(|line| line.key == Some("circuit"))?;
    let plain = |name: &str| name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let other = !line.rest.is_empty() && plain(line.rest) != plain(&circuit.name);
    let say = || format!("the procedure is for \"{}\", and the circuit is \"{}\"", line.rest, circuit.name);
    other.then(|| (line.at.clone(), say()))
}

/// How many cylinders the file names, if it does.
fn cylinders(lines: &[Line<'_>], problems: &mut Problems<'_>) -> Option<u32> {
    let line = lines.iter().rev().find(|line| line.key == Some("cylinders"))?;
    let count = line.rest.parse().ok().filter(|count| (1..=1000).contains(count));
    if count.is_none() {
        let say = format!("\"{}\" is not a number of cylinders", line.rest);
        problems.error(&line.at, "not-understood", say, "write it like cylinders: 2");
    }
    count
}

/// A line: "key: rest", or an action with no key.
struct Line<'t> {
    at: Range<usize>,
    key: Option<&'t str>,
    rest: &'t str,
    rest_at: usize,
}

const KEYS: [&str; 9] =
    ["circuit", "job", "start", "without", "with", "cylinders", "note", "step", "hold point"];

fn lines(text: &str) -> Vec<Line<'_>> {
    let mut found = Vec::new();
    let mut start = 0;
    for raw in text.split('\n') {
        let trimmed = raw.trim();
        let begin = start + (raw.len() - raw.trim_start().len());
        start += raw.len() + 1;
        if trimmed.is_empty() || trimmed.starts_with('#') {
            continue;
        }
        let at = begin..begin + trimmed.len();
        let split = trimmed.split_once(':').filter(|(key, _)| KEYS.contains(&key.trim()));
        found.push(match split {
            Some((key, rest)) => {
                let lead = rest.len() - rest.trim_start().len();
                Line { at, key: Some(key.trim()), rest: rest.trim(), rest_at: begin + key.len() + 1 + lead }
            }
            None if trimmed.starts_with('|') => {
                Line { at, key: Some("|"), rest: trimmed.trim_start_matches('|').trim(), rest_at: begin }
            }
            None => Line { at, key: None, rest: trimmed, rest_at: begin },
        });
    }
    found
}

/// Which entry a line with a bar goes on with.
#[derive(Clone, Copy)]
enum Last {
    Say,
    Note,
    Hold,
    WholeNote,
    Other,
}

struct Reader<'a, 't> {
    assembly: &'a Assembly,
    problems: Problems<'t>,
    procedure: Procedure,
    last: Option<Last>,
}

impl Reader<'_, '_> {
    fn all(&mut self, lines: &[Line<'_>]) {
        match lines.first() {
            Some(line)
                if line.key.is_none() && words(line).iter().map(|word| word.text).eq(["procedure", "1"]) => {}
            first => {
                let at = first.map_or(0..0, |line| line.at.clone());
                let hint = "begin the file with the line: procedure 1";
                self.problems.error(&at, "not-a-procedure", "the first line is not \"procedure 1\"", hint);
                return;
            }
        }
        for line in lines.iter().skip(1) {
            self.line(line);
        }
        if self.procedure.steps.is_empty() {
            let hint = "a step begins with the line: step: what is done";
            self.problems.error(&(0..0), "no-step", "the procedure has no step", hint);
        }
        if self.procedure.steps.iter().map(|step| step.actions.len()).sum::<usize>() > MOST_ACTIONS {
            let say = format!("the procedure has more than {MOST_ACTIONS} actions");
            self.problems.error(&(0..0), "too-many-actions", say, "verify it in parts");
        }
    }

    fn line(&mut self, line: &Line<'_>) {
        let said = line.rest.split_whitespace().collect::<Vec<_>>().join(" ");
        let in_step = !self.procedure.steps.is_empty();
        match line.key {
            Some("step") => {
                self.procedure.steps.push(Step { say: said, ..Step::default() });
                self.last = Some(Last::Say);
            }
            Some("|") => self.goes_on(line, &said),
            Some("note") => {
                match self.procedure.steps.last_mut() {
                    Some(step) => step.notes.push(said),
                    None => self.procedure.notes.push(said),
                }
                self.last = Some(if in_step { Last::Note } else { Last::WholeNote });
            }
            Some("hold point") => self.hold(line, said),
            Some(key) if in_step => {
                let say = format!("\"{key}:\" stands after the first step");
                self.problems.error(&line.at, "misplaced-key", say, "move it to the top of the file");
            }
            Some("circuit") => self.procedure.circuit = said,
            Some("job") => self.procedure.job = Some(said),
            Some("start") => self.start(line, &said),
            Some("with") => {
                let things = said.split(',').map(|thing| thing.trim().to_owned());
                self.procedure.with = things.filter(|thing| !thing.is_empty()).collect();
            }
            Some("without") => {
                let things = said.split(',').map(|thing| thing.trim().to_owned());
                self.procedure.without = things.filter(|thing| !thing.is_empty()).collect();
            }
            Some("cylinders") => self.procedure.cylinders = said.parse().unwrap_or(1),
            Some(_) => {}
            None => self.action_line(line),
        }
    }

    fn goes_on(&mut self, line: &Line<'_>, said: &str) {
        let step = self.procedure.steps.last_mut();
        let slot = match (self.last, step) {
            (Some(Last::Say), Some(step)) => Some(&mut step.say),
            (Some(Last::Note), Some(step)) => step.notes.last_mut(),
            (Some(Last::Hold), Some(step)) => step.hold.as_mut(),
            (Some(Last::WholeNote), _) => self.procedure.notes.last_mut(),
            _ => None,
        };
        match slot {
            Some(slot) if slot.is_empty() => slot.push_str(said),
            Some(slot) => {
                slot.push(' ');
                slot.push_str(said);
            }
            None => {
                let hint = "a line that begins with | goes on with a step, a note or a hold point above it";
                self.problems.error(&line.at, "nothing-to-go-on-with", "nothing goes on here", hint);
            }
        }
    }

    fn hold(&mut self, line: &Line<'_>, said: String) {
        self.last = Some(Last::Hold);
        match self.procedure.steps.last_mut() {
            Some(step) if step.hold.is_none() => step.hold = Some(said),
            Some(_) => {
                let hint = "say all that must be proved in one; go on with a line that begins with |";
                self.problems.error(&line.at, "second-hold-point", "the step has a hold point already", hint);
            }
            None => self.before_steps(line),
        }
    }

    fn before_steps(&mut self, line: &Line<'_>) {
        let hint = "begin a step with the line: step: what is done";
        self.problems.error(&line.at, "before-first-step", "this stands before the first step", hint);
    }

    fn start(&mut self, line: &Line<'_>, said: &str) {
        match said {
            "running" => self.procedure.standing = false,
            "standing" => self.procedure.standing = true,
            _ => {
                let say = format!("the system can't start \"{said}\"");
                self.problems.error(&line.at, "unknown-start", say, "say running or standing");
            }
        }
    }

    fn action_line(&mut self, line: &Line<'_>) {
        self.last = Some(Last::Other);
        let words = words(line);
        if self.procedure.steps.is_empty() {
            self.before_steps(line);
            return;
        }
        let mut parser =
            Parser { assembly: self.assembly, problems: &mut self.problems, words: &words, line };
        if words.first().is_some_and(|word| word.text == "expect") {
            if let (Some(expected), Some(step)) = (parser.expect(), self.procedure.steps.last_mut()) {
                step.expect.push(expected);
            }
        } else if let (Some(action), Some(step)) = (parser.action(), self.procedure.steps.last_mut()) {
            step.actions.push(action);
        }
    }
}

#[derive(Clone, Debug)]
struct Word<'t> {
    text: &'t str,
    at: Range<usize>,
    quoted: bool,
}

/// Words parted by blanks; quotes keep a name together; a comma is a word of its own.
fn words<'t>(line: &Line<'t>) -> Vec<Word<'t>> {
    let (text, base) = (line.rest, line.rest_at);
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let lead = rest.len() - rest.trim_start().len();
        if lead > 0 {
            at += lead;
            continue;
        }
        let (length, inner, quoted) = if let Some(after) = rest.strip_prefix('"') {
            let end = after.find('"').unwrap_or(after.len());
            ((end + 2).min(rest.len()), after.get(..end).unwrap_or(after), true)
        } else if rest.starts_with(',') {
            (1, ",", false)
        } else {
            let end = rest.find(|c: char| c.is_whitespace() || c == ',' || c == '"').unwrap_or(rest.len());
            (end, rest.get(..end).unwrap_or(rest), false)
        };
        found.push(Word { text: inner, at: base + at..base + at + length, quoted });
        at += length;
    }
    found
}

struct Parser<'a, 'p, 't> {
    assembly: &'a Assembly,
    problems: &'p mut Problems<'t>,
    words: &'a [Word<'a>],
    line: &'a Line<'a>,
}

/// What a line can say.
const FORMS: &[&str] = &[
    "lock out",
    "restore power",
    "cap off port NAME",
    "cap off stem VALVE",
    "cap on port NAME",
    "cap on stem VALVE",
    "ease nut VALVE",
    "tighten nut VALVE",
    "turn VALVE to POSITION",
    "fit HOSE on PORT",
    "purge HOSE",
    "take hose off PORT",
    "pull core PORT with tool",
    "pull core PORT without tool",
    "put core back PORT",
    "start MACHINE",
    "stop MACHINE",
    "hold open SOLENOID",
    "let go SOLENOID",
    "nitrogen in to PRESSURE",
    "nitrogen out to PRESSURE",
    "open up SPACES",
    "close up SPACES",
    "evacuate to VACUUM",
    "charge MASS as liquid",
    "charge MASS as vapour",
    "read",
    "search leaks",
    "check air",
    "wait MINUTES min",
    "expect PORT PRESSURE to PRESSURE",
];

impl Parser<'_, '_, '_> {
    fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.text)
    }

    fn place(&self, at: usize) -> Range<usize> {
        self.words.get(at).map_or_else(|| self.line.at.end..self.line.at.end, |word| word.at.clone())
    }

    fn wrong(&mut self, at: usize, id: &'static str, say: String, hint: String) {
        let place = self.place(at);
        self.problems.error(&place, id, say, hint);
    }

    /// Whether the line ends after so many words; a problem otherwise.
    fn ends<T>(&mut self, after: usize, value: T) -> Option<T> {
        if self.words.len() <= after {
            return Some(value);
        }
        let extra = self.word(after).to_owned();
        self.wrong(after, "too-much", format!("\"{extra}\" is too much here"), "one action a line".into());
        None
    }

    fn needs(&mut self, at: usize, word: &str) -> Option<()> {
        if self.word(at) == word {
            return Some(());
        }
        let say = if self.word(at).is_empty() {
            format!("\"{word}\" is missing")
        } else {
            format!("\"{word}\" is missing before \"{}\"", self.word(at))
        };
        let hint = self.form();
        self.wrong(at, "missing-word", say, hint);
        None
    }

    /// The form that the line seems to be meant for.
    fn form(&self) -> String {
        let typed = self.words.iter().map(|word| word.text).collect::<Vec<_>>().join(" ");
        let common = |form: &&&str| {
            let pairs = form.split(' ').zip(typed.split(' '));
            pairs.take_while(|(one, other)| one == other).count()
        };
        let best = FORMS.iter().rev().max_by_key(common).filter(|form| common(form) > 0);
        match best {
            Some(form) => format!("the line is: {form}"),
            None => {
                let first = nearest(self.word(0), FORMS.iter().filter_map(|form| form.split(' ').next()));
                match first {
                    Some(word) => {
                        format!("did you mean \"{word}\"? docs/procedure-file.md lists every action")
                    }
                    None => "docs/procedure-file.md lists every action".into(),
                }
            }
        }
    }

    fn action(&mut self) -> Option<Action> {
        match (self.word(0), self.word(1)) {
            ("lock", "out") => self.ends(2, Action::LockOut),
            ("restore", "power") => self.ends(2, Action::RestorePower),
            ("cap", "off") => self.cap().map(Action::TakeCapOff),
            ("cap", "on") => self.cap().map(Action::PutCapOn),
            ("ease", "nut") => self.nut().map(Action::EaseNut),
            ("tighten", "nut") => self.nut().map(Action::TightenNut),
            ("turn", _) => self.turn(),
            ("fit", _) => self.fit(),
            ("purge", _) => self.space(1).and_then(|hose| self.ends(2, Action::PurgeHose { hose })),
            ("take", "hose") => self.take_hose(),
            ("pull", "core") => self.pull_core(),
            ("put", "core") => {
                self.needs(2, "back")?;
                let port = self.port(3)?;
                self.ends(4, Action::PutCoreBack { port })
            }
            ("start", _) => self.joint(1).and_then(|machine| self.ends(2, Action::Start(machine))),
            ("stop", _) => self.joint(1).and_then(|machine| self.ends(2, Action::Stop(machine))),
            ("hold", "open") => self.joint(2).and_then(|valve| self.ends(3, Action::HoldOpen(valve))),
            ("let", "go") => self.joint(2).and_then(|valve| self.ends(3, Action::LetGo(valve))),
            ("nitrogen", "in") => self.nitrogen().map(|to| Action::AdmitNitrogen { to }),
            ("nitrogen", "out") => self.nitrogen().map(|to| Action::ReleaseNitrogen { to }),
            ("open", "up") => self.spaces().map(|(spaces, with_heat)| Action::OpenUp { spaces, with_heat }),
            ("close", "up") => self.spaces().map(|(spaces, with_heat)| Action::CloseUp { spaces, with_heat }),
            ("evacuate", _) => {
                self.needs(1, "to")?;
                let (typed, _) = self.pressure(2, self.words.len())?;
                let to = typed.absolute(self.assembly.circuit.atmosphere);
                Some(Action::Evacuate { to })
            }
            ("charge", _) => self.charge(),
            ("add", _) => self.add_oil(),
            ("pierce", _) => {
                let port = self.port(1)?;
                self.ends(2, Action::Pierce { port })
            }
            ("braze", _) => {
                self.needs(1, "access")?;
                let port = self.port(2)?;
                self.ends(3, Action::BrazeAccess { port })
            }
            ("read", _) => self.ends(1, Action::Read),
            ("search", "leaks") => self.ends(2, Action::SearchLeaks),
            ("check", "air") => self.ends(2, Action::CheckAir),
            ("wait", _) => self.wait(),
            _ => {
                let say = format!("no action begins with \"{}\"", self.word(0));
                let hint = self.form();
                self.wrong(0, "unknown-action", say, hint);
                None
            }
        }
    }

    fn cap(&mut self) -> Option<Cap> {
        let cap = match self.word(2) {
            "port" => Cap::Port(self.port(3)?),
            "stem" => Cap::Stem(self.joint(3)?),
            _ => {
                self.needs(2, "port")?;
                return None;
            }
        };
        self.ends(4, cap)
    }

    fn nut(&mut self) -> Option<JointId> {
        let valve = self.joint(2)?;
        self.ends(3, valve)
    }

    fn turn(&mut self) -> Option<Action> {
        let valve = self.joint(1)?;
        self.needs(2, "to")?;
        let to = self.position(3, valve)?;
        self.ends(4, Action::Turn { valve, to })
    }

    fn position(&mut self, at: usize, valve: JointId) -> Option<Position> {
        let plain = |text: &str| text.to_lowercase().replace(['-', '_'], "");
        let wanted = plain(self.word(at));
        let allowed = self.assembly.graph.joint(valve).map_or(&[] as &[Position], |joint| joint.positions());
        let found = POSITIONS.iter().find(|(_, word)| plain(word) == wanted).map(|(position, _)| *position);
        match found {
            Some(position) if allowed.contains(&position) => Some(position),
            _ => {
                let words = allowed.iter().map(|&position| super::action::position_word(position));
                let words = words.collect::<Vec<_>>().join(", ");
                let say = format!("{} can't stand \"{}\"", self.word(1), self.word(at));
                let hint =
                    if words.is_empty() { "it has no stem".into() } else { format!("it can be: {words}") };
                self.wrong(at, "unknown-position", say, hint);
                None
            }
        }
    }

    fn fit(&mut self) -> Option<Action> {
        let hose = self.space(1)?;
        self.needs(2, "on")?;
        let port = self.port(3)?;
        self.ends(4, Action::AttachHose { hose, port })
    }

    fn take_hose(&mut self) -> Option<Action> {
        self.needs(2, "off")?;
        let port = self.port(3)?;
        self.ends(4, Action::DetachHose { port })
    }

    fn pull_core(&mut self) -> Option<Action> {
        let port = self.port(2)?;
        let with_tool = match self.word(3) {
            "without" => false,
            _ => {
                self.needs(3, "with")?;
                true
            }
        };
        self.needs(4, "tool")?;
        self.ends(5, Action::PullCore { port, with_tool })
    }

    fn nitrogen(&mut self) -> Option<GaugePressure> {
        self.needs(2, "to")?;
        let (typed, _) = self.pressure(3, self.words.len())?;
        Some(typed.gauge(self.assembly.circuit.atmosphere))
    }

    /// The pressure in some words.
    fn pressure(&mut self, from: usize, to: usize) -> Option<(TypedPressure, Range<usize>)> {
        let typed = self.words.get(from..to).unwrap_or(&[]);
        let text = typed.iter().map(|word| word.text).collect::<Vec<_>>().join(" ");
        let start = self.place(from);
        let at = start.start..typed.last().map_or(start.end, |word| word.at.end);
        let parsed = TypedPressure::parse(&text)
            .and_then(|typed| typed.existing(self.assembly.circuit.atmosphere).map(|_| typed));
        match parsed {
            Ok(typed) => Some((typed, at)),
            Err(error) => {
                self.problems.error(
                    &at,
                    "not-understood",
                    error.to_string(),
                    "write it like 2.5 bar, 35 psig or 300 micron",
                );
                None
            }
        }
    }

    fn spaces(&mut self) -> Option<(Vec<SpaceId>, bool)> {
        let with_heat = self.words.len() > 3
            && self.word(self.words.len() - 2) == "with"
            && self.word(self.words.len() - 1) == "flame";
        let end = self.words.len() - if with_heat { 2 } else { 0 };
        let mut found = Vec::new();
        let mut sound = true;
        for at in (2..end.max(3)).step_by(2) {
            if at > 2 && self.word(at - 1) != "," {
                self.needs(at - 1, ",")?;
            }
            match self.space(at) {
                Some(space) => found.push(space),
                None => sound = false,
            }
        }
        sound.then_some((found, with_heat))
    }

    fn charge(&mut self) -> Option<Action> {
        let (mass, end) = self.mass_before("as")?;
        let throttled = self.word(end + 1) == "throttled" && self.word(end + 2) == "liquid";
        let (past, action) = match self.word(end + 1) {
            _ if throttled => (end + 3, Action::ChargeThrottled { mass }),
            "liquid" => (end + 2, Action::Charge { mass, liquid: true }),
            "vapour" => (end + 2, Action::Charge { mass, liquid: false }),
            _ => {
                self.needs(end + 1, "liquid")?;
                return None;
            }
        };
        self.ends(past, action)
    }

    fn add_oil(&mut self) -> Option<Action> {
        let (mass, end) = self.mass_before("of")?;
        self.needs(end + 1, "oil")?;
        self.ends(end + 2, Action::AddOil { mass })
    }

    /// A mass from the second word on up to a word of the format, and where that stands.
    fn mass_before(&mut self, word: &str) -> Option<(Mass, usize)> {
        let Some(end) = self.words.iter().position(|found| found.text == word && !found.quoted) else {
            self.needs(self.words.len(), word)?;
            return None;
        };
        let text =
            self.words.get(1..end).unwrap_or(&[]).iter().map(|word| word.text).collect::<Vec<_>>().join(" ");
        match Mass::parse(&text) {
            Ok(mass) if mass.as_kg() >= 0.0 => return Some((mass, end)),
            Ok(_) => {
                let say = "less than nothing can't be charged".into();
                self.wrong(1, "not-understood", say, "write it like 1.2 kg".into());
            }
            Err(error) => {
                self.wrong(1, "not-understood", error.to_string(), "write it like 1.2 kg or 40 g".into());
            }
        }
        None
    }

    fn wait(&mut self) -> Option<Action> {
        match (self.word(1).parse::<u32>(), self.word(2)) {
            (Ok(minutes), "min") if minutes <= 100_000 => self.ends(3, Action::Hold { minutes }),
            _ => {
                let say = format!("\"{}\" is not a number of minutes", self.word(1));
                self.wrong(1, "not-understood", say, "the line is: wait 60 min".into());
                None
            }
        }
    }

    fn expect(&mut self) -> Option<Expected> {
        let port = self.port(1)?;
        let to = self.words.iter().position(|word| word.text == "to" && !word.quoted);
        let (low, _) = self.pressure(2, to.unwrap_or(self.words.len()))?;
        let high = match to {
            Some(to) => self.pressure(to + 1, self.words.len())?.0,
            None => low,
        };
        let atmosphere = self.assembly.circuit.atmosphere;
        let (low, high): (Pressure, Pressure) = (low.absolute(atmosphere), high.absolute(atmosphere));
        Some(Expected { port, low: low.min(high), high: low.max(high) })
    }

    fn joint(&mut self, at: usize) -> Option<JointId> {
        let found = self.assembly.graph.find_joint(self.word(at));
        let known = self.assembly.graph.joints.iter().map(|joint| joint.id.as_str());
        found.or_else(|| self.unknown(at, "valve or machine", known))
    }

    fn port(&mut self, at: usize) -> Option<PortId> {
        let found = self.assembly.graph.find_port(self.word(at));
        let known = self.assembly.graph.ports.iter().map(|port| port.id.as_str());
        found.or_else(|| self.unknown(at, "port", known))
    }

    fn space(&mut self, at: usize) -> Option<SpaceId> {
        let found = self.assembly.graph.find_space(self.word(at));
        let known = self.assembly.graph.spaces.iter().map(|space| space.id.as_str());
        found.or_else(|| self.unknown(at, "space or hose", known))
    }

    fn unknown<'k, T>(&mut self, at: usize, what: &str, known: impl Iterator<Item = &'k str>) -> Option<T> {
        let typed: String = self.word(at).chars().take(60).collect();
        if typed.is_empty() {
            let hint = self.form();
            self.wrong(at, "missing-name", format!("the name of a {what} is missing"), hint);
            return None;
        }
        let hint = match nearest(&typed, known) {
            Some(near) => format!("did you mean {}?", super::action::name(near)),
            None => "\"stemwise list CIRCUIT\" prints the names".into(),
        };
        self.wrong(at, "unknown-name", format!("no {what} is called \"{typed}\""), hint);
        None
    }
}

/// The known word that differs least, if that is little.
fn nearest<'k>(typed: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    let typed: String = typed.chars().take(60).collect();
    let scored = known.map(|word| (distance(&typed, word), word));
    scored.min().filter(|(distance, word)| *distance * 2 <= word.chars().count()).map(|(_, word)| word)
}

/// Letters to insert, drop or change.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (at, letter) in one.chars().enumerate() {
        let mut diagonal = at;
        let mut left = at + 1;
        for (slot, &against) in row.iter_mut().skip(1).zip(&other) {
            let changed = diagonal + usize::from(letter != against);
            diagonal = *slot;
            *slot = changed.min(left + 1).min(diagonal + 1);
            left = *slot;
        }
        if let Some(first) = row.first_mut() {
            *first = at + 1;
        }
    }
    row.last().copied().unwrap_or(0)
}
