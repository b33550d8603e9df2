//! A procedure as a value: steps with their actions, whoever wrote them.

use stemwise_circuit::{Assembly, PortId, Rig};
use stemwise_service::plan::{Doing, Procedure as Planned, Words};
use stemwise_service::{Action, Cap};
use stemwise_units::{GaugePressure, Mass, Pressure, UnitSystem};

/// What a gauge should show after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The port that the gauge's hose is on.
    pub port: PortId,
    /// The lower end.
    pub low: Pressure,
    /// The upper end.
    pub high: Pressure,
}

/// One step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Step {
    /// The sentence.
    pub say: String,
    /// What people wrote to it.
    pub notes: Vec<String>,
    /// What must be proved before going on.
    pub hold: Option<String>,
    /// What the gauges should show.
    pub expect: Vec<Expected>,
    /// The single actions, in order.
    pub actions: Vec<Action>,
}

/// An ordered list of steps, with what it is for.
#[derive(Clone, Debug, PartialEq)]
pub struct Procedure {
    /// The circuit's name, for people.
    pub circuit: String,
    /// The job, as the technician says it; none: only the rules are checked.
    pub job: Option<String>,
    /// Whether it starts while the system stands instead of running.
    pub standing: bool,
    /// What is not at hand.
    pub without: Vec<String>,
    /// What is at hand besides.
    pub with: Vec<String>,
    /// How many recovery cylinders are at hand.
    pub cylinders: u32,
    /// Notes to the whole.
    pub notes: Vec<String>,
    /// The steps.
    pub steps: Vec<Step>,
}

impl Default for Procedure {
    fn default() -> Self {
        Self {
            circuit: String::new(),
            job: None,
            standing: false,
            without: Vec::new(),
            with: Vec::new(),
            cylinders: 1,
            notes: Vec::new(),
            steps: Vec::new(),
        }
    }
}

impl Procedure {
    /// A planned procedure, as people would write it: pressures to 0.01 bar (test pressures rounded down), masses to 0.1 g.
    pub fn planned(assembly: &Assembly, planned: &Planned, without: &[String], units: UnitSystem) -> Self {
        let words = Words { assembly, units };
        let job = &planned.job;
        let step = |step: &stemwise_service::plan::Step| Step {
            say: words.say(step, job),
            notes: Vec::new(),
            hold: step.hold.map(|hold| words.hold(hold)),
            // While a tag is hung or a record written nobody reads.
            expect: if matches!(step.doing, Doing::Record { .. } | Doing::Tag { .. }) {
                Vec::new()
            } else {
                step.expect.iter().map(expected).collect()
            },
            actions: step.actions.iter().map(rounded).collect(),
        };
        Self {
            circuit: assembly.circuit.name.clone(),
            job: Some(planned.job.words()),
            standing: false,
            without: without.to_vec(),
            with: if assembly.rig.push_pull { vec!["push-pull".into()] } else { Vec::new() },
            cylinders: assembly.rig.cylinder.as_ref().map_or(1, |cylinder| cylinder.count),
            notes: Vec::new(),
            steps: planned.steps.iter().map(step).collect(),
        }
    }
}

fn expected(expect: &stemwise_service::plan::Expect) -> Expected {
    Expected { port: expect.port, low: expect.low, high: expect.high }
}

/// The action with its values as they are written down.
fn rounded(action: &Action) -> Action {
    let down = |to: GaugePressure| GaugePressure::from_bar(whole(to.as_bar() * 100.0) / 100.0);
    match action {
        Action::AdmitNitrogen { to } => Action::AdmitNitrogen { to: down(*to) },
        Action::ReleaseNitrogen { to } => Action::ReleaseNitrogen { to: down(*to) },
        Action::Evacuate { to } => {
            Action::Evacuate { to: Pressure::from_micron(whole(to.as_micron() + 0.5)) }
        }
        Action::Charge { mass, liquid } => Action::Charge { mass: tenths(*mass), liquid: *liquid },
        Action::ChargeThrottled { mass } => Action::ChargeThrottled { mass: tenths(*mass) },
        Action::AddOil { mass } => Action::AddOil { mass: tenths(*mass) },
        other => other.clone(),
    }
}

/// To a tenth of a gram.
fn tenths(mass: Mass) -> Mass {
    Mass::from_g(whole(mass.as_g() * 10.0 + 0.5) / 10.0)
}

/// Rounded down.
fn whole(value: f64) -> f64 {
    // A hundredth below a whole number by rounding alone counts as that number.
    (value + 1e-9).floor()
}

/// Nothing of that name belongs to the rig.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnknownThing;

/// Takes a thing out of a rig: "recovery-machine", "cylinder", "vacuum-pump", "nitrogen", "core-tool".
///
/// # Errors
/// [`UnknownThing`].
pub fn leave_out(rig: &mut Rig, thing: &str) -> Result<(), UnknownThing> {
    match thing.trim().to_lowercase().replace([' ', '_'], "-").as_str() {
        "recovery-machine" => rig.recovery_machine = false,
        "cylinder" | "recovery-cylinder" => rig.cylinder = None,
        "vacuum-pump" => rig.vacuum_pump = false,
        "nitrogen" => rig.nitrogen = false,
        "core-tool" | "core-removal-tool" => rig.core_tool = false,
        _ => return Err(UnknownThing),
    }
    Ok(())
}

/// Adds a thing to a rig that a usual van hasn't ready: "push-pull", the hoses, sight glass and cylinder with two valves for it.
///
/// # Errors
/// [`UnknownThing`].
///
/// ```
/// let mut rig = stemwise_circuit::Rig::usual();
/// stemwise_prove::bring_along(&mut rig, "push-pull").map_err(|_| "unknown")?;
/// assert!(rig.push_pull);
/// assert!(stemwise_prove::bring_along(&mut rig, "a torch").is_err());
/// # Ok::<(), &str>(())
/// ```
pub fn bring_along(rig: &mut Rig, thing: &str) -> Result<(), UnknownThing> {
    match thing.trim().to_lowercase().replace([' ', '_', '–'], "-").as_str() {
        "push-pull" => rig.push_pull = true,
        _ => return Err(UnknownThing),
    }
    Ok(())
}

/// What a cap covers, by name.
pub(crate) fn cap_name(assembly: &Assembly, cap: Cap) -> Option<(&'static str, &str)> {
    match cap {
        Cap::Port(port) => assembly.graph.port(port).map(|port| ("port", port.id.as_str())),
        Cap::Stem(joint) => assembly.graph.joint(joint).map(|joint| ("stem", joint.id.as_str())),
    }
}
