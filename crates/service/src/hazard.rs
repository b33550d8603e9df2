//! The hazard rules: data from `data/hazards.toml`, a predicate each.

use std::sync::OnceLock;

use serde::Deserialize;
use stemwise_circuit::{Assembly, JointId, PortId, SpaceId};
use stemwise_units::{Mass, Pressure, Temperature, UnitSystem};

use crate::Action;
use crate::apply::Done;
use crate::props::Refrigerant;

/// A rule as it stands in the data.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// Its id, stable.
    pub id: String,
    /// The sentence, with places for the numbers.
    pub say: String,
    /// What it does to people.
    pub people: String,
    /// What it does to the plant.
    pub plant: String,
    /// How to avoid it.
    pub avoid: String,
    /// Where it comes from.
    pub source: String,
}

/// Every rule.
pub fn rules() -> &'static [Rule] {
    #[derive(Deserialize)]
    struct File {
        hazard: Vec<Rule>,
    }
    static RULES: OnceLock<Vec<Rule>> = OnceLock::new();
    let read = || {
        toml::from_str(include_str!("../../../data/hazards.toml"))
            .map_or_else(|_| Vec::new(), |file: File| file.hazard)
    };
    RULES.get_or_init(read)
}

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Something to mind with this action, every time.
    Caution,
    /// Something is wrong, but nobody is hurt at once.
    Warning,
    /// Someone can be hurt, or the charge or the plant lost.
    Danger,
}

impl Severity {
    /// As printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Danger => "danger",
        }
    }
}

/// A rule that fired, with the numbers behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule's id.
    pub rule: &'static str,
    /// How bad it is here.
    pub severity: Severity,
    /// The space it is about.
    pub space: Option<SpaceId>,
    /// The joint it is about.
    pub joint: Option<JointId>,
    /// The port it is about.
    pub port: Option<PortId>,
    /// A pressure or pressure difference.
    pub pressure: Option<Pressure>,
    /// The limit of the pressure.
    pub limit: Option<Pressure>,
    /// A mass.
    pub mass: Option<Mass>,
    /// The limit of the mass.
    pub mass_limit: Option<Mass>,
    /// A part of a volume, and its limit.
    pub fraction: Option<(f64, f64)>,
    /// A temperature.
    pub temperature: Option<Temperature>,
}

impl Finding {
    /// A finding without numbers yet.
    pub const fn new(rule: &'static str, severity: Severity) -> Self {
        Self {
            rule,
            severity,
            space: None,
            joint: None,
            port: None,
            pressure: None,
            limit: None,
            mass: None,
            mass_limit: None,
            fraction: None,
            temperature: None,
        }
    }
    /// About a space.
    pub const fn space(mut self, space: SpaceId) -> Self {
        self.space = Some(space);
        self
    }
    pub(crate) const fn joint(mut self, joint: JointId) -> Self {
        self.joint = Some(joint);
        self
    }
    pub(crate) const fn port(mut self, port: PortId) -> Self {
        self.port = Some(port);
        self
    }
    /// With a pressure, Pa absolute.
    pub const fn pressure(mut self, pascal: f64) -> Self {
        self.pressure = Some(Pressure::from_pa(pascal));
        self
    }
    pub(crate) const fn limit(mut self, limit: Pressure) -> Self {
        self.limit = Some(limit);
        self
    }

    /// The rule.
    pub fn rule(&self) -> Option<&'static Rule> {
        rules().iter().find(|rule| rule.id == self.rule)
    }

    /// The sentence, with its numbers in a unit system.
    pub fn say(&self, assembly: &Assembly, units: UnitSystem) -> String {
        let Some(rule) = self.rule() else { return self.rule.to_owned() };
        let gauge = |pressure: Pressure| units.gauge_pressure(pressure.gauge(assembly.circuit.atmosphere));
        let text = |found: Option<String>| found.unwrap_or_default();
        let graph = &assembly.graph;
        let space = self.space.and_then(|id| graph.space(id)).map(|space| format!("the {}", space.name));
        let joint = self.joint.and_then(|id| graph.joint(id)).map(|joint| joint.name.clone());
        let port = self.port.and_then(|id| graph.port(id)).map(|port| port.name.clone());
        let limit = self.limit.map(gauge).or_else(|| self.mass_limit.map(|mass| units.mass(mass)));
        let percent = |part: f64| format!("{:.0} %", part * 100.0);
        let said = rule
            .say
            .replace("{space}", &text(space))
            .replace("{joint}", &text(joint))
            .replace("{port}", &text(port))
            .replace("{pressure}", &text(self.pressure.map(gauge)))
            .replace("{limit}", &text(limit))
            .replace("{mass}", &text(self.mass.map(|mass| units.mass(mass))))
            .replace("{fraction}", &text(self.fraction.map(|(part, _)| percent(part))))
            .replace("{limit-fraction}", &text(self.fraction.map(|(_, limit)| percent(limit))))
            .replace("{temperature}", &text(self.temperature.map(|found| units.temperature(found))));
        let mut letters = said.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }
}

/// What the rules look at: a state, an action, and the state after it.
#[derive(Clone, Copy, Debug)]
pub struct Look<'a> {
    /// The circuit with the rig.
    pub assembly: &'a Assembly,
    /// The refrigerant.
    pub refrigerant: &'a Refrigerant,
    /// Before the action; the same as after where there was none.
    pub before: &'a Done,
    /// The action.
    pub action: Option<&'a Action>,
    /// After it.
    pub after: &'a Done,
}

type Predicate = fn(&Look<'_>, &mut Vec<Finding>);

/// A predicate for every rule of the data, in its order.
pub(crate) const PREDICATES: &[(&str, Predicate)] = &[
    ("compressor-against-shut-discharge", crate::rules::running::dead_head),
    ("liquid-shut-in", crate::rules::standing::liquid_shut_in),
    ("pressure-opened", crate::rules::opening::pressure_opened),
    ("refrigerant-vented", crate::rules::opening::vented),
    ("air-drawn-in", crate::rules::opening::air_drawn_in),
    ("heat-on-refrigerant", crate::rules::opening::heat),
    ("compressor-in-vacuum", crate::rules::running::in_vacuum),
    ("receiver-overfull", crate::rules::standing::receiver_overfull),
    ("condenser-full", crate::rules::standing::condenser_full),
    ("cylinder-overfull", crate::rules::rig::cylinder_overfull),
    ("cylinder-out-of-date", crate::rules::rig::cylinder_out_of_date),
    ("cylinder-holds-another", crate::rules::rig::cylinder_holds_another),
    ("push-pull-runs-back", crate::rules::push_pull::runs_back),
    ("push-pull-without-liquid", crate::rules::push_pull::without_liquid),
    ("push-pull-small", crate::rules::push_pull::small),
    ("push-pull-watched", crate::rules::push_pull::watched),
    ("regulator-holds-back", crate::rules::regulator::holds_back),
    ("test-pressure-too-high", crate::rules::rig::test_pressure),
    ("dry-inert-gas-only", crate::rules::rig::inert_gas),
    ("gas-into-charge", crate::rules::rig::gas_into_charge),
    ("relief-under-test", crate::rules::rig::relief_under_test),
    ("vacuum-pump-on-pressure", crate::rules::rig::vacuum_pump_on_pressure),
    ("vacuum-pump-stopped-open", crate::rules::rig::vacuum_pump_stopped_open),
    ("gauge-beyond-range", crate::rules::rig::gauge_beyond_range),
    ("fast-opening", crate::rules::hands::fast_opening),
    ("liquid-into-suction", crate::rules::running::liquid_into_suction),
    ("charge-runs-back", crate::rules::running::charge_runs_back),
    ("hose-not-purged", crate::rules::running::hose_not_purged),
    ("start-beside-liquid", crate::rules::running::start_beside_liquid),
    ("blend-from-vapour", crate::rules::running::blend_from_vapour),
    ("core-pulled-open", crate::rules::hands::core_pulled),
    ("packing-nut-tight", crate::rules::hands::packing_nut_tight),
    ("packing-nut-loose", crate::rules::hands::packing_nut_loose),
    ("cap-forgotten", crate::rules::hands::cap_forgotten),
    ("core-forgotten", crate::rules::hands::core_forgotten),
    ("piercing-valve-left", crate::rules::hands::piercing_left),
    ("jumper-left", crate::rules::hands::jumper_left),
    ("held-open-left", crate::rules::hands::held_open_left),
    ("not-locked-out", crate::rules::opening::not_locked_out),
    ("hose-on-live-port", crate::rules::hands::hose_on),
    ("hose-off-live-port", crate::rules::hands::hose_off),
    ("flammable-refrigerant", crate::rules::opening::flammable),
    ("toxic-refrigerant", crate::rules::opening::toxic),
    ("very-high-pressure", crate::rules::opening::very_high_pressure),
];

/// The ids of the rules that have a predicate.
pub fn predicate_ids() -> impl Iterator<Item = &'static str> {
    PREDICATES.iter().map(|(id, _)| *id)
}

/// The rules that only matter when the job is over.
const AT_THE_END: &[&str] = &[
    "packing-nut-loose",
    "cap-forgotten",
    "core-forgotten",
    "piercing-valve-left",
    "jumper-left",
    "held-open-left",
];

/// Every rule that fires during a job.
pub fn hazards(look: &Look<'_>) -> Vec<Finding> {
    find(look, |id| !AT_THE_END.contains(&id))
}

/// Every rule about what is left behind that fires.
pub fn left_behind(look: &Look<'_>) -> Vec<Finding> {
    find(look, |id| AT_THE_END.contains(&id))
}

fn find(look: &Look<'_>, wanted: impl Fn(&str) -> bool) -> Vec<Finding> {
    let mut found = Vec::new();
    for (_, predicate) in PREDICATES.iter().filter(|(id, _)| wanted(id)) {
        predicate(look, &mut found);
    }
    found
}
