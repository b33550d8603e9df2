//! Reads abstract service problems (semantics PS-1, see the module of the stems model) from JSON.

use serde_json::Value;
use stemwise_search::stems::{
    Action, Content, Cost, Goal, Joint, Machine, Machinery, Plant, PortOn, Position, Rigging, SpaceSpec,
};

/// A problem with the names of its joints and ports.
#[derive(Debug)]
pub(crate) struct Problem {
    /// The plant.
    pub(crate) plant: Plant,
    /// The joints' ids, in order.
    pub(crate) joints: Vec<String>,
    /// The ports' ids, in order.
    pub(crate) ports: Vec<String>,
}

/// The constants of a problem: liquid, vapour and residual grams per litre, and the fill limit in per cent.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Constants {
    rl: u64,
    rv: u64,
    ra: u64,
    fill: u64,
}

impl Constants {
    /// Reads them from an object that may hold them under "constants"; what is missing has the usual value.
    pub(crate) fn read(value: &Value) -> Self {
        let get = |key: &str, usual: u64| value["constants"][key].as_u64().unwrap_or(usual);
        Self { rl: get("rl", 1200), rv: get("rv", 30), ra: get("ra", 4), fill: get("fill_pct", 85) }
    }
}

fn text<'v>(value: &'v Value, key: &str) -> Result<&'v str, String> {
    value[key].as_str().ok_or_else(|| format!("\"{key}\" is missing or no text in {value}"))
}

fn number(value: &Value, key: &str) -> Result<u64, String> {
    value[key].as_u64().ok_or_else(|| format!("\"{key}\" is missing or no whole number in {value}"))
}

fn list<'v>(value: &'v Value, key: &str) -> Result<&'v Vec<Value>, String> {
    value[key].as_array().ok_or_else(|| format!("\"{key}\" is missing or no list"))
}

fn place(ids: &[String], id: &str) -> Result<u32, String> {
    let at = ids.iter().position(|known| known == id).ok_or_else(|| format!("nothing is called \"{id}\""))?;
    u32::try_from(at).map_err(|_| "too many".to_owned())
}

fn ids(values: &[Value]) -> Result<Vec<String>, String> {
    values.iter().map(|value| text(value, "id").map(str::to_owned)).collect()
}

fn space(value: &Value, c: Constants) -> Result<SpaceSpec, String> {
    let volume = number(value, "vol")?;
    let content = match text(value, "content")? {
        "X" => Content::Nothing,
        "Z" => Content::Residual,
        "P" => Content::Pressure,
        "A" => Content::Air,
        other => return Err(format!("\"{other}\" is no content")),
    };
    Ok(SpaceSpec {
        content,
        liquid: number(value, "liq")?,
        room: (c.rl - c.rv) * volume,
        vapour: c.rv * volume,
        residual: c.ra * volume,
        limit: c.fill * c.rl * volume,
        rank: value["rank"].as_i64().unwrap_or(0),
        sink: value["sink"].as_bool().unwrap_or(false),
        relief: value["relief"].as_bool().unwrap_or(false),
    })
}

/// A position by its word.
pub(crate) fn position(word: &str) -> Result<Position, String> {
    match word {
        "open" | "back" => Ok(Position::OpenOrBack),
        "mid" => Ok(Position::Mid),
        "closed" | "front" => Ok(Position::ShutOrFront),
        other => Err(format!("\"{other}\" is no position")),
    }
}

fn joint(value: &Value, spaces: &[String]) -> Result<Joint, String> {
    let end = |key: &str| place(spaces, text(value, key)?);
    let kind = text(value, "kind")?;
    Ok(match kind {
        "pipe" => Joint::Pipe { a: end("a")?, b: end("b")? },
        "check" => Joint::Check { from: end("from")?, to: end("to")? },
        "comp" => Joint::Compressor {
            from: end("from")?,
            to: end("to")?,
            running: value["running"].as_bool().unwrap_or(false),
            normal: value["normal_running"].as_bool().unwrap_or(false),
            startable: true,
            leaks: false,
        },
        "ball2" | "sol2" | "svc3" => {
            let three = kind == "svc3";
            let (a, b) = if three { (end("line")?, end("body")?) } else { (end("a")?, end("b")?) };
            Joint::Valve {
                a,
                b,
                three,
                port_stays_with: b,
                position: position(text(value, "pos")?)?,
                normal: position(text(value, "normal")?)?,
                cost: number(value, "cost")?,
                movable: true,
            }
        }
        other => return Err(format!("\"{other}\" is no kind of valve")),
    })
}

impl Problem {
    /// Reads one problem.
    pub(crate) fn read(value: &Value, constants: Constants) -> Result<Self, String> {
        let spaces = ids(list(value, "spaces")?)?;
        let joints = ids(list(value, "valves")?)?;
        let ports = ids(list(value, "ports")?)?;
        let port = |value: &Value| match text(value, "type")? {
            "svc3" => Ok(PortOn::Valve(place(&joints, text(value, "valve")?)?)),
            "core" => Ok(PortOn::Core(place(&spaces, text(value, "space")?)?)),
            other => Err(format!("\"{other}\" is no kind of port")),
        };
        let equipment = &value["equipment"];
        let machinery = Machinery {
            recovery: equipment["recovery"].as_bool().unwrap_or(false),
            vacuum: equipment["vacuum"].as_bool().unwrap_or(false),
            cylinder_room: equipment["cylinder_cap_g"].as_u64().unwrap_or(0),
            rigging: Rigging::Separate,
        };
        let price = |key: &str| value["cost"][key].as_u64().unwrap_or(1);
        let cost = Cost {
            start: price("start"),
            stop: price("stop"),
            attach: price("attach"),
            detach: price("detach"),
            recover: price("recover"),
            evacuate: price("evacuate"),
            work: price("work"),
        };
        let goal = match text(&value["job"], "kind")? {
            "job" => Goal::Job,
            "ready" => Goal::Ready,
            other => return Err(format!("\"{other}\" is no kind of job")),
        };
        let component: Vec<u32> = list(&value["job"], "component")?
            .iter()
            .map(|id| place(&spaces, id.as_str().unwrap_or_default()))
            .collect::<Result<_, _>>()?;
        let plant = Plant::new(
            list(value, "spaces")?.iter().map(|value| space(value, constants)).collect::<Result<_, _>>()?,
            list(value, "valves")?.iter().map(|value| joint(value, &spaces)).collect::<Result<_, _>>()?,
            list(value, "ports")?.iter().map(port).collect::<Result<_, _>>()?,
            machinery,
            cost,
            goal,
            &component,
        );
        plant.map(|plant| Self { plant, joints, ports }).map_err(|error| format!("{error:?}"))
    }

    /// Reads an action such as `["turn", "KV", "mid"]`.
    #[allow(dead_code, reason = "the example that prints costs reads no plans; the tests do")]
    pub(crate) fn action(&self, value: &Value) -> Result<Action, String> {
        let word = |at: usize| value[at].as_str().ok_or_else(|| format!("word {at} is missing in {value}"));
        let valve = || place(&self.joints, word(1)?);
        let machine = || match word(1)? {
            "recovery" => Ok(Machine::Recovery),
            "vacuum" => Ok(Machine::Vacuum),
            other => Err(format!("\"{other}\" is no machine")),
        };
        Ok(match word(0)? {
            "turn" => Action::Turn(valve()?, position(word(2)?)?),
            "start" => Action::Start(valve()?),
            "stop" => Action::Stop(valve()?),
            "attach" => Action::Attach(machine()?, place(&self.ports, word(2)?)?),
            "detach" => Action::Detach(machine()?, place(&self.ports, word(2)?)?),
            "recover" => Action::Recover(None),
            "evacuate" => Action::Evacuate(None),
            "work" => Action::Work,
            other => return Err(format!("\"{other}\" is no action")),
        })
    }
}
