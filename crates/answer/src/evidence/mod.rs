//! Evidence from readings and tests: one shape for all, from what was typed or logged.

mod air;
mod charge;
mod error;
mod faults;
mod form;
mod log;
mod readings;
mod recovery;
mod shown;
mod standing;
mod vacuum;

pub use air::{AirAsk, air};
pub use charge::{ChargeAsk, charge};
pub use error::EvidenceError;
pub use faults::faults;
pub use form::{evidence_forms, evidence_of};
pub use log::{LogAsk, LogFeed, LogKind, ReadLog, delimiter, log_header, read_log};
pub use readings::{SetAsk, readings};
pub use recovery::{RecoveryAsk, recovery};
pub use standing::{StandingAsk, standing_test};
pub use vacuum::{VacuumAsk, vacuum};

use stemwise_circuit::{Assembly, Circuit, Rig};
use stemwise_readings::{Against, Instrument, Kind, Measured, Outcome, RuleOutcome, Target, Uncertain, Word};
use stemwise_rehearse::{SteadyError, SteadyPlant};
use stemwise_report::{Chart, EvidenceSheet, Mark, Paper, chart, evidence_sheet};
use stemwise_thermo::Substance;
use stemwise_units::{Mass, Pressure, UnitSystem, Volume};
use stemwise_wire as wire;

use crate::Error;
use shown::Shown;

/// What every task of evidence takes.
#[derive(Clone, Debug)]
pub struct EvidenceCommon {
    /// The refrigerant; the circuit's, if left out.
    pub fluid: Option<String>,
    /// The bytes of a circuit file, for refrigerant, charge, volume and height.
    pub circuit: Option<Vec<u8>>,
    /// Where gauges read zero; the circuit's, or sea level, if left out.
    pub atmosphere: Option<Pressure>,
    /// Whether that was measured: then the weather does not move it.
    pub measured_atmosphere: bool,
    /// The units to show values in.
    pub units: UnitSystem,
    /// Whether a page is wanted, and on which paper: "a4" or "letter".
    pub page: Option<String>,
    /// The page's heading.
    pub heading: Option<String>,
}

/// Where gauges read zero at a circuit's site.
///
/// # Errors
/// [`Error::Circuit`] where the file can't be used.
pub fn circuit_atmosphere(file: &[u8]) -> Result<Pressure, Error> {
    Ok(crate::check::circuit(file)?.atmosphere)
}

/// What the common part comes to.
struct Basis {
    substance: Option<Substance>,
    circuit: Option<Circuit>,
    atmosphere: Pressure,
    shown: Shown,
    paper: Option<Paper>,
    heading: Option<String>,
}

impl Basis {
    fn new(common: &EvidenceCommon) -> Result<Self, Error> {
        let circuit = common.circuit.as_deref().map(crate::check::circuit).transpose()?;
        let name =
            common.fluid.clone().or_else(|| circuit.as_ref().map(|circuit| circuit.refrigerant.clone()));
        let of_circuit = circuit.as_ref().map(|circuit| circuit.atmosphere);
        let atmosphere = common.atmosphere.or(of_circuit).unwrap_or(Pressure::from_pa(101_325.0));
        Ok(Self {
            substance: name.as_deref().map(Substance::named).transpose()?,
            circuit,
            atmosphere,
            shown: Shown { units: common.units, atmosphere },
            paper: common.page.as_deref().map(paper).transpose()?,
            heading: common.heading.clone(),
        })
    }

    fn substance(&self) -> Result<&Substance, EvidenceError> {
        self.substance
            .as_ref()
            .ok_or(EvidenceError::Needs { what: "the refrigerant, or a circuit that names it" })
    }

    /// All of the circuit's spaces together.
    fn volume(&self) -> Option<Volume> {
        let circuit = self.circuit.as_ref()?;
        Some(circuit.graph.spaces.iter().map(|space| space.volume.value).sum())
    }

    fn charge(&self) -> Option<Mass> {
        self.circuit.as_ref().map(|circuit| circuit.charge.value)
    }

    /// The circuit with its sizes, for its running balance; none without a circuit.
    fn plant(&self) -> Option<Result<SteadyPlant, SteadyError>> {
        let (circuit, substance) = (self.circuit.as_ref()?, self.substance.as_ref()?);
        Some(SteadyPlant::new(substance, &Assembly::new(circuit.clone(), Rig::usual())))
    }

    fn model(&self) -> String {
        self.substance.as_ref().map_or_else(|| "arithmetic".into(), Substance::model)
    }

    /// How far the atmosphere may be off.
    fn atmosphere_within(&self, common: &EvidenceCommon) -> stemwise_units::PressureDifference {
        // Weather moves a barometer by some 2 kPa about the mean for a height; common knowledge of meteorology.
        stemwise_units::PressureDifference::from_kpa(if common.measured_atmosphere { 0.1 } else { 2.0 })
    }
}

fn paper(typed: &str) -> Result<Paper, EvidenceError> {
    match typed.trim().to_ascii_lowercase().as_str() {
        "" | "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        other => Err(EvidenceError::Paper { typed: other.chars().take(40).collect() }),
    }
}

/// The instrument as typed, or a usual one.
fn instrument(
    what: &str,
    typed: Option<&str>,
    measured: Measured,
    si: f64,
) -> Result<Instrument, EvidenceError> {
    match typed {
        None => Ok(Instrument::usual(measured, si)),
        Some(typed) => Instrument::parse(typed, measured)
            .map_err(|error| EvidenceError::Instrument { what: what.to_owned(), error }),
    }
}

/// An answer that is put together part by part.
struct Builder<'b> {
    basis: &'b Basis,
    answer: wire::EvidenceAnswer,
    chart: Option<Chart>,
}

impl<'b> Builder<'b> {
    fn new(basis: &'b Basis, kind: &str, title: impl Into<String>) -> Self {
        let answer = wire::EvidenceAnswer {
            kind: kind.into(),
            title: title.into(),
            fluid: basis.substance.as_ref().map(Substance::name),
            verdict: String::new(),
            outcome: "open".into(),
            given: Vec::new(),
            values: Vec::new(),
            rules: Vec::new(),
            suspects: Vec::new(),
            next: None,
            may_add: None,
            stakes: None,
            calibrated: None,
            advice: Vec::new(),
            remarks: Vec::new(),
            model: basis.model(),
            svg: None,
            page: None,
        };
        let mut builder = Self { basis, answer, chart: None };
        if let Some(fluid) = builder.answer.fluid.clone() {
            builder.given("refrigerant", fluid);
        }
        builder.given("gauges read zero at", basis.shown.units.absolute_pressure(basis.atmosphere));
        builder
    }

    fn given(&mut self, name: impl Into<String>, shown: impl Into<String>) {
        self.answer.given.push(wire::GivenLine { name: name.into(), shown: shown.into() });
    }

    fn value(&mut self, id: &str, name: &str, kind: Kind, value: &Uncertain, from: &str) {
        self.full_value(id, name, kind, value, from, false, None);
    }

    #[allow(clippy::too_many_arguments, reason = "each is a field of one value")]
    fn full_value(
        &mut self,
        id: &str,
        name: &str,
        kind: Kind,
        value: &Uncertain,
        from: &str,
        estimate: bool,
        target: Option<&Target>,
    ) {
        let expanded = value.expanded();
        let shares = value.shares.iter().filter(|(_, part)| *part > 0.02).take(5);
        self.answer.values.push(wire::Estimate {
            id: id.into(),
            name: name.into(),
            value: value.value,
            standard: value.standard,
            low: value.value - expanded,
            high: value.value + expanded,
            unit: shown::unit(kind).into(),
            shown: self.basis.shown.with_doubt(kind, value),
            from: from.into(),
            estimate,
            shares: shares.map(|(of, part)| wire::UncertaintyShare { of: of.clone(), part: *part }).collect(),
            target: target.map(|target| self.target(kind, target, value)),
        });
    }

    fn target(&self, kind: Kind, target: &Target, value: &Uncertain) -> wire::TargetAnswer {
        let show = |value: f64| self.basis.shown.plain(kind, value);
        let shown = match (target.low, target.high) {
            (Some(low), Some(high)) => format!("{} to {}", show(low), show(high)),
            (Some(low), None) => format!("at least {}", show(low)),
            (None, Some(high)) => format!("at most {}", show(high)),
            (None, None) => String::new(),
        };
        let word = match target.word {
            Word::Given => "given",
            Word::Circuit => "circuit",
            Word::Published => "published",
            Word::Practice => "practice",
        };
        let against = match target.judge(value) {
            Against::Below => "below",
            Against::Within => "within",
            Against::Above => "above",
            Against::Doubtful => "doubtful",
        };
        wire::TargetAnswer {
            low: target.low,
            high: target.high,
            shown,
            word: word.into(),
            source: target.source.clone(),
            against: against.into(),
        }
    }

    fn rules(&mut self, rules: &[RuleOutcome]) {
        self.answer.rules.extend(rules.iter().map(|rule| wire::RuleAnswer {
            id: rule.id.clone(),
            wants: rule.wants.clone(),
            source: rule.source.clone(),
            outcome: rule.outcome.word().into(),
            why: rule.why.clone(),
        }));
    }

    fn verdict(&mut self, mark: Mark, say: impl Into<String>) {
        self.answer.outcome = match mark {
            Mark::Good => "good",
            Mark::Bad => "bad",
            Mark::Open => "open",
        }
        .into();
        self.answer.verdict = say.into();
    }

    fn advise(&mut self, say: impl Into<String>) {
        self.answer.advice.push(say.into());
    }

    fn remark(&mut self, say: impl Into<String>) {
        self.answer.remarks.push(say.into());
    }

    /// With the drawing, and the page where one is wanted.
    fn done(mut self) -> Result<wire::EvidenceAnswer, Error> {
        self.answer.svg = self.chart.as_ref().map(chart);
        if let Some(paper) = self.basis.paper {
            self.answer.page = Some(evidence_sheet(&self.sheet(paper))?);
        }
        Ok(self.answer)
    }

    fn sheet(&self, paper: Paper) -> EvidenceSheet {
        let answer = &self.answer;
        let mark = |word: &str| match word {
            "good" | "met" => Mark::Good,
            "bad" | "not met" => Mark::Bad,
            _ => Mark::Open,
        };
        let should = |estimate: &wire::Estimate| {
            estimate.target.as_ref().map_or_else(String::new, |target| {
                format!("should be {} ({}): {}", target.shown, target.word, target.against)
            })
        };
        let weigh = if answer.calibrated == Some(true) { "probable" } else { "of the weight" };
        let suspects = answer.suspects.iter().take(4).map(|it| {
            [
                format!("suspect: {}", it.name),
                format!("{} {weigh}", stemwise_readings::chance_words(it.weight)),
                it.sizes.iter().chain(&it.in_favour).cloned().collect::<Vec<_>>().join("; "),
            ]
        });
        EvidenceSheet {
            title: answer.title.clone(),
            heading: self.basis.heading.clone(),
            verdict: answer.verdict.clone(),
            mark: mark(&answer.outcome),
            given: answer.given.iter().map(|it| (it.name.clone(), it.shown.clone())).collect(),
            values: answer
                .values
                .iter()
                .map(|it| [it.name.clone(), it.shown.clone(), should(it)])
                .chain(suspects)
                .collect(),
            rules: answer
                .rules
                .iter()
                .map(|it| {
                    (
                        mark(&it.outcome),
                        [it.wants.clone(), it.outcome.clone(), it.why.clone(), it.source.clone()],
                    )
                })
                .collect(),
            advice: answer.advice.clone(),
            notes: answer
                .remarks
                .iter()
                .cloned()
                .chain([UNCERTAINTY.to_owned(), format!("Worked out by: {}.", answer.model)])
                .collect(),
            chart: self.chart.clone(),
            paper,
        }
    }
}

/// What "±" means.
const UNCERTAINTY: &str = "Behind \u{b1} stands the expanded uncertainty, coverage factor 2: the true value lies within with about 95 % (JCGM 100:2008).";

/// Whether all rules are met, one is not, or neither.
fn of_rules(rules: &[RuleOutcome]) -> Mark {
    if rules.iter().any(|rule| rule.outcome == Outcome::NotMet) {
        Mark::Bad
    } else if rules.iter().any(|rule| rule.outcome == Outcome::Met) {
        Mark::Good
    } else {
        Mark::Open
    }
}

/// More refrigerant than any plant holds, kg.
const MOST_KG: f64 = 1e6;
/// More room than any plant has, m³.
const MOST_M3: f64 = 1e4;

/// A mass that can be.
fn a_mass(what: &'static str, typed: &str) -> Result<Mass, Error> {
    let mass = Mass::parse(typed).map_err(Error::typed(what))?;
    let wrong = || EvidenceError::Number {
        what,
        typed: typed.chars().take(40).collect(),
        wanted: "no less than 0 and at most 1000 t (2 200 000 lb)",
    };
    if (0.0..=MOST_KG).contains(&mass.as_kg()) { Ok(mass) } else { Err(wrong().into()) }
}

/// A volume that can be.
fn a_volume(what: &'static str, typed: &str) -> Result<Volume, Error> {
    let volume = Volume::parse(typed).map_err(Error::typed(what))?;
    let wrong = || EvidenceError::Number {
        what,
        typed: typed.chars().take(40).collect(),
        wanted: "above 0 and at most 10 000 m³ (350 000 ft³)",
    };
    if volume.as_m3() > 0.0 && volume.as_m3() <= MOST_M3 { Ok(volume) } else { Err(wrong().into()) }
}

/// "NAME=VALUE" in two.
fn name_value<'t>(what: &'static str, typed: &'t str) -> Result<(&'t str, &'t str), EvidenceError> {
    let parts = typed.split_once('=').map(|(name, value)| (name.trim(), value.trim()));
    parts
        .filter(|(name, value)| !name.is_empty() && !value.is_empty())
        .ok_or_else(|| EvidenceError::NameValue { what, typed: typed.chars().take(60).collect() })
}
