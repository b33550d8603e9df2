//! Readings, charging, tests and logs: good, bad and not understood.
#![allow(clippy::disallowed_methods, reason = "samples of gauges don't depend on the last bits")]

use stemwise_answer as answer;
use stemwise_answer::{AirAsk, ChargeAsk, EvidenceCommon, RecoveryAsk, SetAsk, StandingAsk, VacuumAsk};
use stemwise_units::{Pressure, UnitSystem};

use super::{Said, UNITS, texts, walk_in};

pub(super) fn evidence(said: &mut Said, _: bool) {
    for units in UNITS {
        let of = |fluid: &str| EvidenceCommon { fluid: Some(fluid.into()), ..common(units) };
        let on = EvidenceCommon { circuit: Some(walk_in().to_vec()), ..common(units) };
        sets(said, &of, &on);
        charges(said, &of, &on);
        tests(said, &of, &on);
    }
}

fn common(units: UnitSystem) -> EvidenceCommon {
    EvidenceCommon {
        fluid: None,
        circuit: None,
        atmosphere: None,
        measured_atmosphere: false,
        units,
        page: None,
        heading: None,
    }
}

fn sets(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    let all = [
        "suction-pressure=1.3 bar",
        "suction-line=4 C",
        "discharge-pressure=9 bar",
        "discharge-line=70 C",
        "liquid-line=33 C",
        "onto-condenser=25 C",
        "off-condenser=31 C",
        "onto-evaporator=5 C",
        "off-evaporator=0 C",
        "outdoor=25 C",
        "wet-bulb-onto-evaporator=3 C",
        "box=5 C",
        "current=5 A",
        "voltage=230 V",
        "power=1 kW",
        "power-factor=0.9",
        "evaporator-outlet=2 C",
        "air-flow=500 L/s",
        "wet-bulb-off-evaporator=-1 C",
        "liquid-line-end=30 C",
        "liquid-pressure=9 bar",
    ];
    let mut commons = [on.clone(), of("R-410A"), of("R-407C"), of("R-22"), of("R-134a")];
    commons[0].measured_atmosphere = true;
    for (n, common) in commons.iter().enumerate() {
        let known: Vec<&str> = all
            .iter()
            .copied()
            .filter(|read| {
                let ask = SetAsk { reads: texts(&[read]), ..SetAsk::default() };
                match answer::readings(common, &ask) {
                    Err(answer::Error::Evidence(error)) => error.kind() != "unknown-name",
                    _ => true,
                }
            })
            .collect();
        for (metering, scale) in
            [(None, 1.0), (Some("fixed"), 0.4), (Some("thermostatic"), 1.0), (Some("electronic"), 2.0)]
        {
            let reads: Vec<String> = known.iter().map(|read| scaled(read, scale)).collect();
            let mut ask =
                SetAsk { reads, metering: metering.map(str::to_owned), phases: Some(1), ..SetAsk::default() };
            ask.instruments = texts(&[
                "liquid-line=0.5 K, insulated",
                "suction-line=1 K",
                "suction-pressure=class 1.6, -1 to 9 bar",
            ]);
            said.result(answer::readings(common, &ask));
            said.result(answer::faults(common, &ask));
            ask.healthy = texts(&["superheat=6 K, 2 K", "subcooling=5 K, 1 K"]);
            ask.targets = texts(&["superheat=6 K, 2 K", "subcooling=5 K"]);
            said.result(answer::readings(common, &ask));
            said.result(answer::faults(common, &ask));
            for skip in 0..if n == 0 { known.len() } else { 0 } {
                let mut less = SetAsk { instruments: Vec::new(), ..ask.clone() };
                less.reads.remove(skip);
                said.result(answer::faults(common, &less));
                said.result(answer::readings(common, &less));
            }
        }
        for few in [
            &[
                "suction-pressure=4 bar",
                "suction-line=10 C",
                "discharge-pressure=14 bar",
                "onto-condenser=35 C",
                "current=5 A",
                "voltage=230 V",
                "power-factor=0.9",
                "discharge-line=75 C",
                "liquid-line=38 C",
                "phases=3",
            ][..9],
            &["suction-pressure=1.3 bar"],
            &["liquid-line=33 C"],
            &["suction-pressure=1.3 bar", "suction-line=-20 C"],
            &["discharge-pressure=60 bar", "liquid-line=33 C"],
            &[
                "suction-pressure=48 psig",
                "suction-line=70 F",
                "onto-evaporator=75 F",
                "discharge-pressure=200 psig",
                "onto-condenser=95 F",
            ],
        ] {
            for metering in [None, Some("fixed"), Some("thermostatic")] {
                let ask =
                    SetAsk { reads: texts(few), metering: metering.map(str::to_owned), ..SetAsk::default() };
                said.result(answer::readings(common, &ask));
                said.result(answer::faults(common, &ask));
            }
        }
    }
    for bad in [
        "suction=1 bar",
        "suction-pressure 1 bar",
        "suction-pressure=1 kg",
        "suction-pressure=1",
        "suction-pressure=x",
    ] {
        said.result(answer::readings(&of("R-22"), &SetAsk { reads: texts(&[bad]), ..SetAsk::default() }));
    }
    for with in ["suction-line=good", "nobody=1 K", "suction-line=1 bar"] {
        let ask =
            SetAsk { reads: texts(&["suction-line=9 C"]), instruments: texts(&[with]), ..SetAsk::default() };
        said.result(answer::readings(&of("R-22"), &ask));
    }
    let twice = SetAsk { reads: texts(&["suction-line=9 C", "suction-line=9 C"]), ..SetAsk::default() };
    said.result(answer::readings(&of("R-22"), &twice));
    said.result(answer::readings(&of("R-22"), &SetAsk::default()));
    said.result(answer::readings(&common(UnitSystem::Si), &SetAsk::default()));
    said.result(answer::readings(&of("R-999"), &twice));
    let odd =
        SetAsk { reads: texts(&["suction-line=9 C"]), metering: Some("magic".into()), ..SetAsk::default() };
    said.result(answer::readings(&of("R-22"), &odd));
    let paper = EvidenceCommon { page: Some("a9".into()), ..of("R-22") };
    said.result(answer::readings(
        &paper,
        &SetAsk { reads: texts(&["suction-line=9 C"]), ..SetAsk::default() },
    ));
}

/// A reading with its figure made larger or smaller.
fn scaled(read: &str, by: f64) -> String {
    let (name, typed) = read.split_once('=').unwrap();
    let Some((figure, unit)) = typed.split_once(' ') else { return read.to_owned() };
    let pressure = unit == "bar" && name.starts_with("suction");
    format!(
        "{name}={} {unit}",
        if pressure { figure.parse::<f64>().unwrap() * by } else { figure.parse().unwrap() }
    )
}

fn charges(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    let asks = [
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            included: Some("50 ft".into()),
            lines: texts(&["liquid=1/4 in, 25 ft", "suction=3/4 in, 25 ft"]),
            rate: Some("0.27 oz/ft".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            lines: texts(&["liquid=1/4 in, 25 ft"]),
            scale: Some("5 g".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            nameplate: Some("6 lb".into()),
            included: Some("5 m".into()),
            lines: texts(&["liquid=3/8 in, 2 m"]),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            lost: Some("2.5 kg".into()),
            volume: Some("10 L".into()),
            at: Some("25 C".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            lost: Some("0.1 kg".into()),
            out: Some("liquid".into()),
            volume: Some("10 L".into()),
            at: Some("25 C".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk {
            charge: Some("5 kg".into()),
            holds: Some("4 kg".into()),
            since: Some("20 min".into()),
            added: Some("200 g".into()),
            before: Some("3 K".into()),
            cylinder: Some("30 lb".into()),
            ..ChargeAsk::default()
        },
        ChargeAsk::default(),
    ];
    for (n, ask) in asks.iter().enumerate() {
        for common in [of("R-410A"), of("R-407C"), of("R-134a"), on.clone()] {
            said.result(answer::charge(&common, ask));
            for by in ["subcooling", "superheat", "weight", "magic"] {
                for (metering, reads) in [
                    ("fixed", ["55 psig", "75 F", "200 psig", "95 F"]),
                    ("thermostatic", ["60 psig", "65 F", "260 psig", "100 F"]),
                    ("thermostatic", ["60 psig", "65 F", "200 psig", "80 F"]),
                    ("fixed", ["60 psig", "50 F", "260 psig", "115 F"]),
                ] {
                    let mut ask = ask.clone();
                    ask.by = Some(by.into());
                    ask.charge = ask.charge.or(Some("7 lb".into()));
                    ask.set.metering = Some(metering.into());
                    let names = ["suction-pressure", "suction-line", "discharge-pressure", "liquid-line"];
                    ask.set.reads =
                        names.iter().zip(reads).map(|(name, typed)| format!("{name}={typed}")).collect();
                    ask.set.reads.extend(texts(&["onto-condenser=90 F", "wet-bulb-onto-evaporator=66 F"]));
                    said.result(answer::charge(&common, &ask));
                    ask.set.reads.truncate(2 + n % 4);
                    ask.since = Some("3 min".into());
                    ask.added = Some("100 g".into());
                    said.result(answer::charge(&common, &ask));
                    ask.set.targets = texts(&["superheat=8 K", "subcooling=8 K"]);
                    ask.before = Some("4 K".into());
                    said.result(answer::charge(&common, &ask));
                }
            }
        }
    }
}

fn tests(said: &mut Said, of: &dyn Fn(&str) -> EvidenceCommon, on: &EvidenceCommon) {
    for (end, time) in [
        ("479.4 psig", "24 h"),
        ("430 psig", "24 h"),
        ("520 psig", "24 h"),
        ("499 psig", "10 min"),
        ("479.4 psig", "2 h"),
    ] {
        for parts in [&["all=80 F, 60 F"][..], &["a=80 F, 60 F", "b=80 F, 82 F"], &[]] {
            for rule in [None, Some("one-day"), Some("two-hours"), Some("x"), Some("tightness")] {
                let ask = StandingAsk {
                    start: Some("500 psig".into()),
                    end: Some(end.into()),
                    time: Some(time.into()),
                    parts: texts(parts),
                    volume: Some("12 L".into()),
                    rule: rule.map(str::to_owned),
                    gauge: Some("1 psi".into()),
                    probe: Some("0.5 K".into()),
                    ..StandingAsk::default()
                };
                said.result(answer::standing_test(&of("R-410A"), &ask));
                said.result(answer::standing_test(
                    on,
                    &StandingAsk { volume: None, gauge: None, shares: texts(&["a=30 %", "b=70 %"]), ..ask },
                ));
            }
        }
    }
    said.result(answer::standing_test(&of("R-32"), &StandingAsk::default()));
    for (parts, time) in
        [("a=80 F", "1 h"), ("a=80 F, 60 F, 0", "1 h"), ("a=80 F, 60 F", "0 h"), ("a=80 F, x", "1 h")]
    {
        let ask = StandingAsk {
            start: Some("500 psig".into()),
            end: Some("480 psig".into()),
            time: Some(time.into()),
            parts: texts(&[parts]),
            ..StandingAsk::default()
        };
        said.result(answer::standing_test(&of("R-32"), &ask));
        said.result(answer::standing_test(
            &EvidenceCommon { page: Some("letter".into()), ..of("R-32") },
            &StandingAsk { parts: texts(&["a=80 F, 60 F"]), time: None, ..ask },
        ));
    }
    logs(said, &of("R-32"));
    let pull = |values: &[f64]| {
        values
            .iter()
            .enumerate()
            .map(|(n, value)| format!("{} min={value} micron", n * 3))
            .collect::<Vec<_>>()
    };
    let falls: Vec<f64> = (0..20).map(|n| 300.0 + 20000.0 * (-0.5 * f64::from(n)).exp()).collect();
    let stuck: Vec<f64> = (0..20).map(|n| 4600.0 + 20000.0 * (-0.9 * f64::from(n)).exp()).collect();
    let flat: Vec<f64> = (0..20).map(|n| 350.0 + 0.1 * f64::from(n)).collect();
    let leak: Vec<f64> = (0..20).map(|n| 300.0 + 40.0 * f64::from(n)).collect();
    let small: Vec<f64> = (0..20).map(|n| 300.0 + 2.0 * f64::from(n)).collect();
    let wet: Vec<f64> = (0..20).map(|n| 300.0 + 1500.0 * (1.0 - (-0.6 * f64::from(n)).exp())).collect();
    let down: Vec<f64> = (0..20).map(|n| 900.0 - 20.0 * f64::from(n)).collect();
    for (pulled, rise) in [
        (&falls, &flat),
        (&falls, &leak),
        (&stuck, &wet),
        (&falls, &wet),
        (&falls, &small),
        (&stuck, &leak),
        (&leak, &flat),
        (&falls, &down),
        (&flat, &flat),
    ] {
        let ask = VacuumAsk {
            pull: pull(pulled),
            rise: pull(rise),
            volume: Some("10 L".into()),
            at: Some("20 C".into()),
            ..VacuumAsk::default()
        };
        let more = VacuumAsk {
            target: Some("500 micron".into()),
            pump: Some("100 L/min".into()),
            ultimate: Some("20 micron".into()),
            hoses: texts(&["1/4 in x 1.5 m", "8 mm x 1.5 m"]),
            cores: 1,
            lines: Some(1),
            gauge: Some("10 %".into()),
            ..ask.clone()
        };
        for common in [of("R-32"), on.clone()] {
            said.result(answer::vacuum(&common, &ask));
            let page = EvidenceCommon { page: Some("a4".into()), ..common.clone() };
            said.result(answer::vacuum(&page, &more));
            said.result(answer::vacuum(&common, &more));
            said.result(answer::vacuum(&common, &VacuumAsk { pull: Vec::new(), ..more.clone() }));
            said.result(answer::vacuum(&common, &VacuumAsk { rise: Vec::new(), ..more.clone() }));
            said.result(answer::vacuum(
                &common,
                &VacuumAsk { at: Some("-5 C".into()), rise: ask.rise[..2].to_vec(), ..more.clone() },
            ));
            said.result(answer::vacuum(
                &common,
                &VacuumAsk { rise: ask.rise[..6].to_vec(), cores: 0, ..more.clone() },
            ));
        }
    }
    said.result(answer::vacuum(&of("R-32"), &VacuumAsk::default()));
    for (pressure, temperature) in
        [("142 psig", "70 F"), ("121.4 psig", "70 F"), ("90 psig", "70 F"), ("124 psig", "70 F")]
    {
        for common in [of("R-22"), of("R-407C"), on.clone()] {
            let ask =
                AirAsk { pressure: pressure.into(), temperature: temperature.into(), ..AirAsk::default() };
            said.result(answer::air(&common, &ask));
            let ask = AirAsk {
                room: Some("70 F".into()),
                volume: Some("10 L".into()),
                charge: Some("3 kg".into()),
                gauge: Some("1 psi".into()),
                probe: Some("0.5 K".into()),
                ..ask
            };
            said.result(answer::air(&common, &ask));
            said.result(answer::air(&common, &AirAsk { room: Some("90 F".into()), ..ask }));
        }
    }
    for machine in [None, Some("newer"), Some("older"), Some("x")] {
        for small in [None, Some("works"), Some("fails"), Some("x")] {
            for pressure in [None, Some("12 inHg vac"), Some("1 bar"), Some("28 inHg vac")] {
                let ask = RecoveryAsk {
                    charge: Some("10 lb".into()),
                    machine: machine.map(str::to_owned),
                    small: small.map(str::to_owned),
                    pressure: pressure.map(str::to_owned),
                    gauge: Some("0.5 psi".into()),
                    at: Some("20 C".into()),
                    volume: Some("10 L".into()),
                    ..RecoveryAsk::default()
                };
                for common in [of("R-134a"), of("R-410A"), of("R-123"), on.clone()] {
                    said.result(answer::recovery(&common, &ask));
                    for recovered in ["0.1 kg", "4.5 kg"] {
                        said.result(answer::recovery(
                            &common,
                            &RecoveryAsk {
                                recovered: Some(recovered.into()),
                                cylinder: Some("30 lb".into()),
                                holds: Some("3 lb".into()),
                                ..ask.clone()
                            },
                        ));
                        said.result(answer::recovery(
                            &common,
                            &RecoveryAsk {
                                recovered: Some(recovered.into()),
                                cylinder: Some("1 lb".into()),
                                pressure: None,
                                ..ask.clone()
                            },
                        ));
                    }
                }
            }
        }
    }
    said.result(answer::recovery(&of("R-134a"), &RecoveryAsk::default()));
}

/// Logs, whole and broken.
fn logs(said: &mut Said, common: &EvidenceCommon) {
    use stemwise_answer::{LogAsk, LogKind, read_log};
    let sea = Pressure::from_pa(101_325.0);
    let ask = |columns: &[&str]| LogAsk { columns: texts(columns), ..LogAsk::default() };
    let good = |value: &dyn Fn(f64) -> f64| {
        let rows = (0..90).map(|n| format!("{},{:.1}\n", n * 20, value(f64::from(n)))).collect::<String>();
        format!("Time (s),Vac (micron)\n{rows}")
    };
    let columns = ["time=Time", "pressure=Vac"];
    for file in [
        good(&|n| 300.0 + 25000.0 * (-0.2 * n).exp()),
        good(&|n| 300.0 + 9000.0 * (-0.03 * n).exp()),
        good(&|n| 18000.0 + 9000.0 * (-0.2 * n).exp()),
        good(&|n| 300.0 + 6.0 * n),
    ] {
        let Ok(log) = read_log(file.as_bytes(), &ask(&columns), LogKind::Pressure, sea) else { continue };
        for (volume, pump, shut) in [
            ("10 L", "2 cfm", None),
            ("0.2 L", "0.1 cfm", None),
            ("60 L", "5 cfm", Some("10 min")),
            ("10 L", "5 cfm", Some("0 s")),
        ] {
            let asked = VacuumAsk {
                log: Some(log.clone()),
                shut_at: shut.map(str::to_owned),
                volume: Some(volume.into()),
                pump: Some(pump.into()),
                hoses: texts(&["1/4 in x 1.5 m"]),
                cores: 2,
                ..VacuumAsk::default()
            };
            said.result(answer::vacuum(common, &asked));
        }
    }
    let bad = [
        "",
        "a,b\n1,2",
        "Time (s),Vac (micron)\n0,x\n",
        "Time (s),Vac (micron)\nx,3\n",
        "Time (s),Vac\n0,3\n",
        "Time (s),Vac (kg)\n0,3\n",
        "Time (s),Vac (micron)\n9,3\n1,3\n",
        "Time (s),Vac (micron)\n1\n",
        "Time (s),Vac (micron)\n1,-900000\n",
        "Time (s),Vac (micron),Vac2 (micron)\n1,2,3\n",
        "Time,Vac (micron)\n01/02/2026 10:00,3\n",
        "Time (s),Vac (micron)\n",
    ];
    for file in bad {
        said.result(read_log(file.as_bytes(), &ask(&columns), LogKind::Pressure, sea).map(|_| ()));
    }
    let dates = LogAsk { dates: Some("x".into()), ..ask(&columns) };
    said.result(read_log(good(&|n| n).as_bytes(), &dates, LogKind::Pressure, sea).map(|_| ()));
    for row in ["0 s=x", "0 s=-900 bar", "x=3 micron", "5"] {
        said.result(answer::vacuum(common, &VacuumAsk { pull: texts(&[row]), ..VacuumAsk::default() }));
    }
    for (hose, volume) in [("0 mm x 1 m", "10 L"), ("8 mm", "10 L"), ("8 mm x 1 m", "0 L")] {
        let asked = VacuumAsk {
            hoses: texts(&[hose]),
            volume: Some(volume.into()),
            pump: Some("0 cfm".into()),
            pull: texts(&["0 s=900 micron", "60 s=800 micron", "120 s=700 micron", "180 s=600 micron"]),
            ..VacuumAsk::default()
        };
        said.result(answer::vacuum(common, &asked));
    }
}
