//! The words for kinds and positions, as the circuit file has them.

use stemwise_circuit::{Assembly, Basis, JointKind, Known, Metering, Position, Regulator};
use stemwise_service::{Finding, rules};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

/// Every position with its word.
pub(crate) const POSITIONS: [(Position, &str); 6] = [
    (Position::BackSeated, "back-seated"),
    (Position::Cracked, "cracked"),
    (Position::MidSeated, "mid-seated"),
    (Position::FrontSeated, "front-seated"),
    (Position::Open, "open"),
    (Position::Shut, "shut"),
];

pub(crate) const fn position(position: Position) -> &'static str {
    match position {
        Position::BackSeated => "back-seated",
        Position::Cracked => "cracked",
        Position::MidSeated => "mid-seated",
        Position::FrontSeated => "front-seated",
        Position::Open => "open",
        Position::Shut => "shut",
    }
}

/// A position from its word, with or without the hyphen, in any case.
pub(crate) fn read_position(typed: &str) -> Option<Position> {
    let plain = |text: &str| text.to_lowercase().replace(['-', ' ', '_'], "");
    let wanted = plain(typed);
    POSITIONS.iter().find(|(_, word)| plain(word) == wanted).map(|(position, _)| *position)
}

/// The kind of a joint; those of a circuit are called as its file calls them.
pub(crate) const fn joint_kind(kind: &JointKind) -> &'static str {
    match kind {
        JointKind::Pipe => "pipe",
        JointKind::ServiceValve { .. } => "service-valve",
        JointKind::LineSetValve { .. } => "line-set-valve",
        JointKind::HandValve { quarter_turn: true } => "ball-valve",
        JointKind::HandValve { quarter_turn: false } => "hand-valve",
        JointKind::PiercingValve => "piercing-valve",
        JointKind::Check => "check-valve",
        JointKind::Solenoid { .. } => "solenoid-valve",
        JointKind::Metering(Metering::Thermostatic { .. }) => "thermostatic-valve",
        JointKind::Metering(Metering::Electronic) => "electronic-valve",
        JointKind::Metering(Metering::Orifice) => "orifice",
        JointKind::Metering(Metering::Capillary) => "capillary",
        JointKind::Regulator { kind: Regulator::EvaporatorPressure, .. } => "evaporator-pressure-regulator",
        JointKind::Regulator { kind: Regulator::CrankcasePressure, .. } => "crankcase-pressure-regulator",
        JointKind::Regulator { kind: Regulator::HeadPressure, .. } => "head-pressure-regulator",
        JointKind::Relief { .. } => "relief-valve",
        JointKind::Compressor(_) => "compressor",
        JointKind::ReversingPath { .. } => "reversing-valve",
        JointKind::RecoveryMachine => "recovery-machine",
        JointKind::VacuumPump => "vacuum-pump",
        JointKind::NitrogenRegulator => "nitrogen-regulator",
        JointKind::CylinderValve => "cylinder-valve",
    }
}

/// A known value in SI, with its range and origin.
pub(crate) fn quantity<T: Copy>(known: &Known<T>, si: impl Fn(T) -> f64) -> wire::Quantity {
    let (from, rule) = match known.basis {
        Basis::Entered => ("entered", None),
        Basis::Computed { rule } => ("computed", Some(rule)),
        Basis::Estimated { rule } => ("estimated", Some(rule)),
    };
    wire::Quantity {
        value: si(known.value),
        low: si(known.low),
        high: si(known.high),
        from: from.into(),
        rule: rule.map(str::to_owned),
    }
}

/// A hazard that was found, in a person's units.
pub(crate) fn hazard(finding: &Finding, assembly: &Assembly, units: UnitSystem) -> wire::Hazard {
    let rule = finding.rule();
    wire::Hazard {
        id: finding.rule.into(),
        severity: finding.severity.word().into(),
        say: finding.say(assembly, units),
        avoid: rule.map(|rule| rule.avoid.clone()).unwrap_or_default(),
        source: rule.map(|rule| rule.source.clone()).unwrap_or_default(),
    }
}

/// How to avoid a hazard, by the id of its rule.
pub(crate) fn avoid(id: &str) -> Option<String> {
    rules().iter().find(|rule| rule.id == id).map(|rule| rule.avoid.clone())
}
