//! Every command with good and bad input.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::fs;
use std::io::Read;
use std::process::Stdio;

use insta::assert_snapshot;
use stemwise_wire::{
    CheckAnswer, EnvelopeAnswer, EnvelopeLine, ExamplesAnswer, FailureAnswer, FluidsAnswer, JoinedAnswer,
    ListAnswer, PlanAnswer, SaturationAnswer, SaturationTable, StateAnswer,
};
use support::{Ran, check, command, run, run_command, run_with, shape};

const COOLER: &str = "example:walk-in-cooler";
const EXAMPLES: [&str; 6] =
    ["walk-in-cooler", "split-air-conditioner", "sealed-freezer", "heat-pump", "two-temperature", "rack"];

fn narrow(ran: &Ran) {
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "wider than 80: {line}");
    }
}

#[test]
fn without_a_command_the_main_job_runs() {
    let ran = check(&[], 0, &["PROCEDURE replace the drier", "HOLD POINT", "stemwise plan my-cooler.toml"]);
    narrow(&ran);
    for phase in ["PREPARE", "ISOLATE", "EMPTY", "WORK", "PROVE", "DRY", "REFILL", "RETURN", "AFTERWARDS"] {
        assert!(ran.out.contains(&format!("==== {phase}")), "{phase}");
    }
    assert!(run(&["--units", "ip"]).out.contains("psig"));
}

#[test]
fn every_example_can_be_used() {
    for name in EXAMPLES {
        let circuit = format!("example:{name}");
        narrow(&check(&["check", &circuit], 0, &[&circuit]));
        narrow(&check(&["list", &circuit], 0, &["Jobs, for plan --job", "recover all"]));
        narrow(&check(&["joined", &circuit], 0, &["Section 1", "Hazards"]));
        assert!(shape::<CheckAnswer>(&run(&["check", &circuit, "--json"])).ok);
        assert!(!shape::<ListAnswer>(&run(&["list", &circuit, "--json"])).valves.is_empty());
        assert!(!shape::<JoinedAnswer>(&run(&["joined", &circuit, "--json"])).sections.is_empty());
    }
}

#[test]
fn faults_have_place_and_carets() {
    let file = b"schema = 1\nname = 5\n";
    let ran = run_with(&["check", "-"], file);
    assert_eq!(ran.code, 1);
    let fault = ran.out.split("\n\n").find(|part| part.contains("wrong-type")).unwrap();
    assert_snapshot!(fault, @r#"
    error [wrong-type] line 2, column 8
      "name" of the file is a TOML integer, not text in quotes
      2 | name = 5
        |        ^
      hint: write text in quotes
    "#);
    let answer: CheckAnswer = shape(&run_with(&["check", "-", "--json"], file));
    assert!(!answer.ok && answer.problems.iter().any(|problem| problem.line == 2 && problem.column == 8));
    let long = format!("schema = 1\nname = \"{}\" ]\n", "x".repeat(5000));
    let ran = run_with(&["check", "-"], long.as_bytes());
    assert_eq!(ran.code, 1);
    narrow(&ran);
}

#[test]
fn files_that_can_not_be_read_are_named() {
    check(&["check", "no-such-file.toml"], 2, &["could not read no-such-file.toml", "stemwise examples"]);
    check(&["list", "."], 2, &["could not read ."]);
    check(&["list", "example:no-such"], 2, &["no example is called \"no-such\"", "walk-in-cooler"]);
    let ran = run_with(&["list", "-"], b"\xff\xfe\x00");
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("[not-text]"), "{}", ran.err);
    let failure: FailureAnswer = shape(&run_with(&["joined", "-", "--json"], b""));
    assert_eq!(failure.error.kind, "circuit-file");
    assert!(!failure.error.problems.is_empty());
}

#[test]
fn joined_follows_the_stems() {
    let stem =
        ["joined", COOLER, "--set", "suction-valve=front-seated", "--hose", "suction-valve-port", "--json"];
    let answer: JoinedAnswer = shape(&run(&stem));
    let gauge = answer.gauges.first().unwrap();
    assert_eq!((gauge.at.as_str(), gauge.reads.as_str()), ("suction-valve-port", "compressor"));
    assert_snapshot!(gauge.why, @"the suction service valve is front-seated; its port stays with the body: the compressor");
    let back: JoinedAnswer = shape(&run(&["joined", COOLER, "--hose", "king-port", "--json"]));
    let gauge = back.gauges.first().unwrap();
    assert_eq!((gauge.reads.as_str(), gauge.pressure_gauge_pa), ("nothing", None));
    let whole: f64 = back.sections.iter().map(|section| section.mass_kg).sum();
    assert!((whole - 4.6).abs() < 1e-9, "the charge of the file is 4.6 kg, found {whole}");
    narrow(&check(&stem[..6], 0, &["Gauges", "it reads compressor"]));
}

#[test]
fn a_running_system_with_its_supply_shut_pumps_down() {
    let ask = ["joined", COOLER, "--set", "king=front-seated", "--hose", "king-port", "--running", "--json"];
    let answer: JoinedAnswer = shape(&run(&ask));
    let psi = answer.gauges.first().unwrap().pressure_gauge_pa.unwrap() / 6894.757;
    // US Army TM 5-4110-234-14 §5-6: pump down to 0 to 2 psig.
    assert!((0.0..=2.01).contains(&psi), "{psi} psig");
}

#[test]
fn hazards_are_found() {
    let ask = ["joined", COOLER, "--set", "discharge-valve=front-seated", "--running", "--json"];
    let answer: JoinedAnswer = shape(&run(&ask));
    let found =
        answer.hazards.iter().find(|hazard| hazard.id == "compressor-against-shut-discharge").unwrap();
    assert!(found.severity == "danger" && !found.source.is_empty() && !found.avoid.is_empty());
    assert!(shape::<JoinedAnswer>(&run(&["joined", COOLER, "--running", "--json"])).hazards.is_empty());
}

#[test]
fn lineups_that_can_not_be_are_explained() {
    check(
        &["joined", COOLER, "--set", "king"],
        2,
        &["\"king\" is not STEM=POSITION", "--set king=front-seated"],
    );
    check(&["joined", COOLER, "--set", "kong=open"], 2, &["no valve with a stem is called \"kong\"", "king"]);
    check(&["joined", COOLER, "--set", "king=open"], 2, &["king can't be \"open\"", "back-seated, cracked"]);
    check(&["joined", COOLER, "--set", "solenoid=open"], 2, &["no valve with a stem is called \"solenoid\""]);
    check(&["joined", COOLER, "--hose", "nose"], 2, &["no port is called \"nose\"", "king-port"]);
    check(
        &["joined", COOLER, "--hose", "king-port", "--hose", "king-port"],
        2,
        &["two hoses can't be on king-port"],
    );
    check(&["joined", "example:sealed-freezer", "--hose", "x"], 2, &["this circuit has none"]);
    check(&["joined", COOLER, "--running", "--standing"], 2, &["cannot be used with"]);
}

#[test]
fn plans_are_of_their_shape() {
    let answer: PlanAnswer = shape(&run(&["plan", COOLER, "--job", "Replace drier", "--json"]));
    let PlanAnswer::Found(found) = answer else { panic!("no plan") };
    assert!(found.found && found.end_state.caps_off.is_empty() && found.end_state.open_spaces.is_empty());
    assert!(found.steps.iter().enumerate().all(|(at, step)| step.n == at + 1 && !step.say.is_empty()));
    assert!(
        found.steps.iter().any(|step| step.hold_point)
            && found.steps.iter().any(|step| !step.expect.is_empty())
    );
    assert!(
        found
            .steps
            .iter()
            .flat_map(|step| &step.expect)
            .all(|it| it.low <= it.pressure_pa && it.pressure_pa <= it.high)
    );
    let normal: ListAnswer = shape(&run(&["list", COOLER, "--json"]));
    for valve in normal.valves.iter().filter(|valve| valve.normal.is_some()) {
        assert_eq!(found.end_state.stems.get(&valve.id), valve.normal.as_ref(), "{}", valve.id);
    }
}

#[test]
fn where_there_is_no_safe_way_it_says_what_is_missing() {
    let ran = run(&["plan", "example:sealed-freezer", "--job", "top up"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(ran.out.contains("NO SAFE WAY") && ran.out.contains("has leaked out"), "{}", ran.out);
    let answer: PlanAnswer = shape(&run(&["plan", "example:sealed-freezer", "--job", "top up", "--json"]));
    assert!(matches!(answer, PlanAnswer::None(none) if !none.found && !none.because.is_empty()));
    let without = ["plan", COOLER, "--job", "recover all", "--without", "recovery-machine"];
    assert_eq!(run(&without).code, 1);
}

#[test]
fn jobs_that_are_not_understood_are_explained() {
    check(
        &[
            "plan",
            COOLER,
            "--job",
            "replace the drier",
            "--job",
            "replace the solenoid valve",
            "--cost",
            "turns",
        ],
        0,
        &[
            "replace the drier + replace the solenoid valve",
            "the fewest stem moves",
            "Ways that no other beats",
        ],
    );
    check(&["plan", COOLER, "--job", "pump down", "--cost", "beauty"], 2, &["no cost is called \"beauty\""]);
    check(&["plan", COOLER, "--job", "repair the leak: roof"], 2, &["drier-port", "suction-line"]);
    check(&["plan", COOLER, "--job", "top up: 9 kg"], 2, &["no more than the charge"]);
    check(&["plan", COOLER, "--job", "paint it"], 2, &["no job is called \"paint it\"", "replace the drier"]);
    check(&["plan", COOLER, "--job", "repair the liquid line"], 2, &["could mean", "say which"]);
    check(&["plan", COOLER], 2, &["--job <JOB>"]);
    check(
        &["plan", COOLER, "--job", "pump down", "--without", "luck"],
        2,
        &["nothing called \"luck\"", "vacuum-pump"],
    );
}

#[test]
fn states_and_saturation_agree_with_the_handbook() {
    // ASHRAE Handbook Fundamentals, R-134a at 0 °C: 292.80 kPa, 1294.8 kg/m3, h'' 398.60 kJ/kg.
    let answer: SaturationAnswer = shape(&run(&["saturation", "R134a", "--at", "0 C", "--json"]));
    assert!((answer.pressure_pa - 292_800.0).abs() < 10.0 && (answer.rho_l - 1294.8).abs() < 0.05);
    let ask = ["properties", "r-134a", "--temperature", "32 F", "--quality", "1", "--json"];
    let answer: StateAnswer = shape(&run(&ask));
    assert!((answer.h - 398_600.0).abs() < 10.0 && answer.phase == "vapour");
    narrow(&check(&ask[..6], 0, &["398.60 kJ/kg", "Helmholtz"]));
    narrow(&check(
        &["saturation", "R-134a", "--at", "0 C", "--units", "ip"],
        0,
        &["32.0 °F", "42.5 psia", "27.8 psig"],
    ));
}

#[test]
fn the_site_decides_where_gauges_read_zero() {
    let gauge = |more: &[&str]| {
        let ask: Vec<&str> =
            ["saturation", "R-134a", "--at", "0 C", "--json"].iter().chain(more).copied().collect();
        shape::<SaturationAnswer>(&run(&ask)).pressure_gauge_pa
    };
    // US Standard Atmosphere 1976: 12.23 psia at 5000 ft.
    let raised = gauge(&["--altitude", "5000 ft"]) - gauge(&[]);
    assert!((raised / 6894.757 - (14.696 - 12.23)).abs() < 0.01, "{raised}");
    let measured = gauge(&["--barometer", "1000 mbar"]) - gauge(&[]);
    assert!((measured - 1325.0).abs() < 0.01, "{measured}");
    check(
        &["saturation", "R-134a", "--at", "0 C", "--altitude", "30 km"],
        2,
        &["--altitude", "barometer instead"],
    );
}

#[test]
fn a_blend_has_two_phases_above_its_critical_temperature() {
    let answer: EnvelopeAnswer = shape(&run(&["envelope", "R-407C", "--json"]));
    assert!(answer.cricondentherm.temperature_k > answer.critical.temperature_k);
    assert!(answer.cricondenbar.pressure_pa > answer.critical.pressure_pa);
    // CoolProp 8.0.0, all_critical_points with the same parameters: 86.1379 °C and 46.393 bar.
    assert!((answer.critical.temperature_k - 273.15 - 86.1379).abs() < 2e-3, "{:?}", answer.critical);
    assert!((answer.critical.pressure_pa - 46.393e5).abs() < 1e3, "{:?}", answer.critical);
    let lines = answer.points.iter().map(|spot| spot.line);
    assert!(
        lines.clone().any(|line| line == EnvelopeLine::Bubble)
            && lines.clone().any(|line| line == EnvelopeLine::Dew)
    );
    assert!(answer.points.iter().all(|spot| (spot.forming.iter().sum::<f64>() - 1.0).abs() < 1e-9));
    let text =
        check(&["envelope", "R-407C"], 0, &["critical point", "cricondentherm", "cricondenbar", "dew"]);
    narrow(&text);
    check(&["envelope", "R-407Z"], 1, &["no refrigerant is called"]);
}

#[test]
fn tables_have_every_step() {
    let ask = ["saturation", "R-290", "--from", "-30 C", "--to", "50 C", "--step", "20 K"];
    assert_snapshot!(check(&ask, 0, &[]).out, @r"
    Saturation of R-290
                                           liquid  vapour  liquid  vapour
                   absolute    on a gauge   kg/m3   kg/m3   kJ/kg   kJ/kg
    -30.0 °C   1.678 bar(a)   0.67 bar(g)  566.64  3.8669  127.97  540.38
    -10.0 °C   3.453 bar(a)   2.44 bar(g)  541.80  7.6321  175.35  563.65
     10.0 °C   6.366 bar(a)   5.35 bar(g)  514.73  13.783  225.40  585.67
     30.0 °C  10.790 bar(a)   9.78 bar(g)  484.39  23.451  278.83  605.54
     50.0 °C  17.133 bar(a)  16.12 bar(g)  448.87  38.630  336.80  621.66
    by Helmholtz energy equation, Lemmon-JCED-2009 (R-290); data 1
    ");
    let json: Vec<&str> = ask.iter().chain(&["--json"]).copied().collect();
    assert_eq!(shape::<SaturationTable>(&run(&json)).rows.len(), 5);
    let with = |from: &str, to: &str, step: &str| {
        run(&["saturation", "R-290", "--from", from, "--to", to, "--step", step]).code
    };
    assert_eq!(with("10 psig", "0 psig", "5 psi"), 0);
    assert_eq!(with("0 C", "10 C", "0 K"), 2);
    assert_eq!(with("0 C", "10 C", "0.0001 K"), 2);
    assert_eq!(with("0 C", "10 bar", "5 K"), 2);
    assert_eq!(with("0 C", "200 C", "50 K"), 1);
}

#[test]
fn properties_that_can_not_be_are_explained() {
    check(&["properties", "R-134b", "--temperature", "5 C", "--quality", "1"], 1, &["did you mean R-1"]);
    check(&["properties", "R-134a", "--temperature", "5 C"], 2, &["given: T; two values fix a state"]);
    check(
        &["properties", "R-134a", "--energy", "400 kJ/kg", "--enthalpy", "420 kJ/kg"],
        2,
        &["h and u don't fix a state (a thin gas has the same at any pressure)"],
    );
    check(
        &["properties", "R-134a", "--temperature", "5 C", "--enthalpy", "1 kJ/kg"],
        1,
        &["no density reproduces what was given"],
    );
    check(
        &["properties", "R-134a", "--temperature", "5", "--quality", "1"],
        2,
        &["temperature: 5 has no unit"],
    );
    check(
        &["properties", "R-134a", "--temperature", "NaN C", "--quality", "1"],
        2,
        &["does not start with a number"],
    );
    check(
        &["properties", "R-134a", "--temperature", "200 C", "--quality", "1"],
        1,
        &["no saturation at 473.15 K"],
    );
    check(
        &["properties", "R-134a", "--temperature", "5 C", "--pressure", "-20 psig"],
        2,
        &["less than no pressure"],
    );
    check(&["properties"], 2, &["<FLUID>"]);
    check(&["saturation", "R-134a"], 2, &["--at <VALUE>"]);
    check(&["saturation", "R-134a", "--at", "40"], 2, &["40 has no unit", "psig"]);
    check(&["saturation", "R-134a", "--at", "5 furlongs"], 2, &["furlongs"]);
    let failure: FailureAnswer = shape(&run(&["saturation", "R-999", "--at", "5 C", "--json"]));
    assert_eq!(failure.error.kind, "unknown-fluid");
    assert!(shape::<FluidsAnswer>(&run(&["properties", "--fluids", "--json"])).fluids.len() > 20);
    narrow(&check(&["properties", "--fluids"], 0, &["R-1234ze(E)", "A2L"]));
}

#[test]
fn examples_are_listed_printed_and_written() {
    let listed: ExamplesAnswer = shape(&run(&["examples", "--json"]));
    assert_eq!(listed.examples.iter().map(|it| it.name.as_str()).collect::<Vec<_>>(), EXAMPLES);
    assert!(listed.examples.iter().all(|it| it.note.as_ref().is_some_and(|note| note.contains("nvented"))));
    narrow(&check(&["examples"], 0, &["example:rack"]));
    let text = check(&["examples", "heat-pump"], 0, &[]).out;
    assert_eq!(run_with(&["check", "-"], text.as_bytes()).code, 0);
    let path = format!("{}/written.toml", env!("CARGO_TARGET_TMPDIR"));
    let _ = fs::remove_file(&path);
    check(&["examples", "heat-pump", "--write", &path], 0, &["stemwise check"]);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    check(&["examples", "rack", "--write", &path], 2, &["could not write"]);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    check(&["examples", "no-such"], 2, &["no example is called"]);
}

#[test]
fn schemas_and_completions_are_printed() {
    for name in run(&["schema"]).out.lines() {
        let schema: serde_json::Value = serde_json::from_str(&run(&["schema", name]).out).unwrap();
        assert!(schema.get("$schema").is_some(), "{name}");
    }
    check(&["schema", "plam"], 2, &["no schema is called \"plam\"", "plan"]);
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        assert!(check(&["completions", shell], 0, &["stemwise"]).out.contains("saturation"), "{shell}");
    }
    check(&["completions", "tcsh"], 2, &["invalid value 'tcsh'"]);
    check(&["chek", COOLER], 2, &["unrecognized subcommand 'chek'", "check"]);
}

#[test]
fn settings_come_from_the_nearest_place() {
    let path = format!("{}/settings-test.toml", env!("CARGO_TARGET_TMPDIR"));
    let out = |file: &str, environment: Option<&str>, more: &[&str]| {
        fs::write(&path, file).unwrap();
        let ask: Vec<&str> = ["saturation", "R-134a", "--at", "0 C"].iter().chain(more).copied().collect();
        let mut command = command(&ask);
        command.env("STEMWISE_SETTINGS", &path);
        command.envs(environment.map(|units| ("STEMWISE_UNITS", units)));
        run_command(command, b"")
    };
    let in_ip = |ran: &Ran| ran.out.contains("psig");
    assert!(in_ip(&out("units = \"ip\"", None, &[])));
    assert!(!in_ip(&out("units = \"ip\"", Some("si"), &[])));
    assert!(in_ip(&out("units = \"si\"", Some("si"), &["--units", "IP"])));
    assert!(out("units = \"ip\"\naltitude = \"5000 ft\"", None, &[]).out.contains("30.2 psig"));
    for (file, says) in [
        ("unit = \"ip\"", "line 1, column 1"),
        ("units = \"metric\"", "\"metric\" is not a system of units"),
        ("units = \"si\"\naltitude = \"5\"", "altitude: 5 has no unit"),
        ("altitude = \"5 m\"\nbarometer = \"1 bar\"", "keep one"),
        ("units = ", "line 1"),
    ] {
        let ran = out(file, None, &[]);
        let plain = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            ran.code == 2 && plain.contains(says) && plain.contains("settings-test.toml"),
            "{file}: {plain}"
        );
    }
    fs::remove_file(&path).unwrap();
    let mut gone = command(&["list", COOLER]);
    gone.env("STEMWISE_SETTINGS", &path);
    assert_eq!(run_command(gone, b"").code, 2);
}

#[test]
fn a_closed_pipe_is_no_failure() {
    for arguments in
        [&["list", "example:rack"][..], &["schema", "plan"], &["--help"], &["properties", "--batch"]]
    {
        let mut command = command(arguments);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        drop(child.stdout.take());
        drop(child.stdin.take());
        let mut err = String::new();
        child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
        assert_eq!((child.wait().unwrap().code(), err.as_str()), (Some(0), ""), "{arguments:?}");
    }
}
