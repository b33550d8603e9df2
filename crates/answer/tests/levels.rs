//! One number in one place: the recovery level of a plan is that of the recovery's evidence, and what burns is said wherever refrigerant is handled.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_answer::{ChargeAsk, EvidenceCommon, PlanAsk, RecoveryAsk, charge, example, plan, recovery};
use stemwise_units::UnitSystem;
use stemwise_wire::PlanAnswer;

/// A sealed R-290 freezer, invented.
const FREEZER: &str = r#"
schema = 1
name = "Freezer"
refrigerant = "R-290"
charge = "140 g"
capacity = "0.6 kW"
[place.kitchen]
temperature = "27 C"
[place.cabinet]
temperature = "-20 C"
[part.compressor]
kind = "compressor"
[part.condenser]
kind = "condenser"
[part.drier]
kind = "drier"
[part.evaporator]
kind = "evaporator"
place = "cabinet"
[line.suction]
kind = "suction"
size = "3/8 in"
length = "2.5 m"
[valve.cap]
kind = "capillary"
[[walk]]
along = ["compressor", "condenser", "drier", "cap", "evaporator", "suction", "compressor"]
"#;

fn common(file: &str) -> EvidenceCommon {
    EvidenceCommon {
        fluid: None,
        circuit: Some(file.as_bytes().to_vec()),
        atmosphere: None,
        measured_atmosphere: false,
        units: UnitSystem::Si,
        page: None,
        heading: None,
    }
}

/// The levels by 40 CFR 82.156 (facts §11; small appliances from memory): 4 inHg for a small sealed appliance; 10 inHg for a medium-pressure one below 200 lb, and for
/// a sealed one whose cold cabinet keeps its liquid below 4 inHg.
#[test]
fn plan_and_recovery_ask_for_one_level() {
    let cases = [
        (FREEZER, 4.0),
        (example("sealed-freezer").unwrap(), 10.0),
        (example("walk-in-cooler").unwrap(), 10.0),
    ];
    for (file, inches) in cases {
        let circuit = stemwise_circuit::read(file.as_bytes()).circuit.unwrap();
        let level = circuit.atmosphere.as_pa() - inches * 3_386.389;
        let judged = recovery(&common(file), &RecoveryAsk::default()).unwrap();
        let required = judged.values.iter().find(|value| value.id == "required").unwrap().value;
        assert!((required - level).abs() < 20.0, "{required}, {level}");
        let ask = PlanAsk { job: "recover all".into(), ..PlanAsk::default() };
        let PlanAnswer::Found(found) = plan(file.as_bytes(), &ask).unwrap() else { panic!() };
        let recover = found.steps.iter().find(|step| step.action.kind == "recover").unwrap();
        assert_eq!(recover.action.to, Some(format!("{required} Pa")));
        assert!(recover.why.contains("40 CFR 82.156"), "{}", recover.why);
    }
}

/// R-290 is A3 and R-32 A2L (ANSI/ASHRAE Standard 34); R-134a is A1.
#[test]
fn what_burns_is_said_where_it_is_handled() {
    for (file, burns) in [
        (FREEZER, true),
        (example("split-air-conditioner").unwrap(), true),
        (example("walk-in-cooler").unwrap(), false),
    ] {
        let recovered = recovery(&common(file), &RecoveryAsk::default()).unwrap();
        let ask = ChargeAsk { nameplate: Some("1 kg".into()), ..ChargeAsk::default() };
        let charged = charge(&common(file), &ask).unwrap();
        for advice in [recovered.advice, charged.advice] {
            assert_eq!(advice.iter().any(|say| say.starts_with("It burns (class A")), burns, "{advice:?}");
        }
    }
}
