//! A circuit in motion, from the command line.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fs;

use stemwise_wire::RehearseAnswer;
use support::{check, run, shape};

const COOLER: &str = "example:walk-in-cooler";

#[test]
fn every_example_comes_to_a_running_balance() {
    for name in
        ["walk-in-cooler", "split-air-conditioner", "sealed-freezer", "heat-pump", "two-temperature", "rack"]
    {
        let circuit = format!("example:{name}");
        if name == "walk-in-cooler" || name == "heat-pump" {
            let ran = check(&["rehearse", &circuit], 0, &["Where the charge is", "Capacity", "superheat"]);
            assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{name}");
        }
        let answer: RehearseAnswer = shape(&run(&["rehearse", &circuit, "--json"]));
        let balance = answer.balance.unwrap();
        let held: f64 = balance.charge.iter().map(|part| part.kg).sum();
        // One that cycles may stand at the moment that is shown, and says why.
        let works = balance.power_w > 10.0 || balance.compressors.iter().all(|it| it.trip.is_some());
        assert!(held > 0.05 && balance.cooling_w > 50.0 && works, "{name}: {balance:?}");
        // What condensers give off is what evaporators and compressors take up, but for what lines exchange and motors lose (common practice: a fifth).
        if !balance.steady {
            // It cycles: what is stored in walls goes in and out.
            assert_eq!(name, "two-temperature");
            continue;
        }
        let given: f64 = balance.coils.iter().filter(|coil| coil.condenses).map(|coil| -coil.heat_w).sum();
        let taken = balance.cooling_w + balance.power_w;
        assert!((given / taken - 1.0).abs() < 0.2, "{name}: {given} W of {taken} W");
    }
}

#[test]
fn a_planned_job_goes_as_planned_by_the_clock() {
    let ran = check(
        &["rehearse", COOLER, "--job", "replace the drier"],
        0,
        &["Job: replace the drier", "as expected", "Every step was done"],
    );
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80));
    let answer: RehearseAnswer = shape(&run(&["rehearse", COOLER, "--job", "replace the drier", "--json"]));
    let procedure = answer.procedure.unwrap();
    assert!(procedure.steps.iter().all(|step| step.stands == "done"));
    assert!(answer.seconds > 3600.0 && answer.recovered_kg < 0.05, "{} s", answer.seconds);
    let shown: usize = procedure.steps.iter().map(|step| step.shown.len()).sum();
    assert!(shown > 20, "only {shown} readings");
}

#[test]
fn faults_and_places_change_what_it_comes_to() {
    let superheat = |arguments: &[&str]| {
        let all = [&["rehearse", COOLER, "--json"], arguments].concat();
        let balance = shape::<RehearseAnswer>(&run(&all)).balance.unwrap();
        balance.coils.iter().find(|coil| !coil.condenses).unwrap().difference_k
    };
    let usual = superheat(&[]);
    assert!(
        superheat(&["--fault", "starved expansion-valve=8 K"]) > usual
            || superheat(&["--fault", "undercharge=2.5 kg"]) > usual
    );
    check(&["rehearse", COOLER, "--place", "cold-room=10 C"], 0, &["cold-room: 10.0 °C"]);
    check(
        &["rehearse", COOLER, "--fault", "gremlins=3 kg"],
        2,
        &["there is no fault \"gremlins\"", "undercharge"],
    );
    check(&["rehearse", COOLER, "--fault", "undercharge"], 2, &["was not understood", "undercharge=0.5 kg"]);
    check(&["rehearse", COOLER, "--fault", "undercharge=300 kg"], 2, &["no size for \"undercharge\""]);
    check(&["rehearse", COOLER, "--place", "attic=3 C"], 2, &["no place \"attic\"", "cold-room"]);
    check(
        &["rehearse", COOLER, "--place", "cold-room=3000 C"],
        2,
        &["not a temperature that a place can have"],
    );
    check(&["rehearse", COOLER, "--place", "cold-room=warm"], 2, &["cold-room"]);
    check(&["rehearse", COOLER, "no-such-file.txt"], 2, &["could not read no-such-file.txt"]);
}

#[test]
fn what_the_gauges_showed_is_drawn() {
    let folder = std::env::temp_dir().join(format!("stemwise-rehearse-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join("gauges.svg");
    let named = path.to_str().unwrap();
    check(&["rehearse", COOLER, "--job", "pump down", "--chart", named], 0, &["Written to"]);
    let svg = fs::read_to_string(&path).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("low gauge") && svg.contains("minutes"));
    fs::remove_dir_all(&folder).unwrap();
}
