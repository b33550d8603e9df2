//! Drills and a running rehearsal speak of the same faults.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_answer::{Motion, drill};

const FAULTS: [(&str, &str, &str); 12] = [
    ("undercharge", "", "20 %"),
    ("overcharge", "", "500 g"),
    ("air", "", "60 g"),
    ("leaking-core", "drier-port", ""),
    ("leaking-packing", "king", ""),
    ("restricted-drier", "drier", "97 %"),
    ("stuck-solenoid", "solenoid", ""),
    ("starved-valve", "expansion-valve", "8 K"),
    ("flooding-valve", "expansion-valve", "10 K"),
    ("fouled-condenser", "condenser", "60 %"),
    ("failed-fan", "evaporator", ""),
    ("frosted-evaporator", "evaporator", "70 %"),
];

fn file(kind: &str, at: &str, size: &str) -> String {
    let line = |key: &str, value: &str| {
        if value.is_empty() { String::new() } else { format!("{key} = \"{value}\"\n") }
    };
    format!(
        "schema = 1\nname = \"x\"\nbrief = \"y\"\ncircuit = \"example:walk-in-cooler\"\n[[fault]]\nkind = \"{kind}\"\n{}{}[goal]\njob = \"take readings\"\n",
        line("at", at),
        line("size", size)
    )
}

#[test]
fn every_fault_of_a_drill_can_be_put_into_motion() {
    let mut tried = 0;
    for (kind, at, size) in FAULTS {
        let told = drill(file(kind, at, size).as_bytes(), None).unwrap();
        let fault = told.faults[0].in_motion.clone().unwrap_or_else(|| panic!("{kind}"));
        let mut motion = Motion::new(told.circuit_file.as_bytes(), true).unwrap();
        motion.put_fault(&fault.id, fault.size).unwrap_or_else(|error| panic!("{kind}: {error}"));
        tried += 1;
    }
    assert_eq!(tried, FAULTS.len());
}

#[test]
fn caps_and_stems_are_no_faults_in_motion() {
    let told = drill(file("closed-valve", "drier-valve", "").as_bytes(), None).unwrap();
    assert!(told.faults[0].in_motion.is_none() && told.faults[0].shows_at_rest);
    let told = drill(file("leaking-reed", "compressor", "30 %").as_bytes(), None).unwrap();
    assert!(
        told.faults[0].in_motion.is_some() && !told.faults[0].shows_at_rest && told.note_on_faults.is_some()
    );
}
