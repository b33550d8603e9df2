//! Jobs carried out, with every kind of entry, sound and refused.

use stemwise_answer as answer;
use stemwise_answer::{JobOpening, JobPageAsk, JobRecord, Moment, ProcedureAsk, Stamp};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use super::{Said, UNITS, walk_in};

pub(super) fn records(said: &mut Said, _: bool) {
    let mut clock = 0;
    let mut stamp = || {
        clock += 1;
        Stamp {
            device: "phone".into(),
            random: 40 + clock,
            at: Moment { unix_ms: 1_790_000_000_000 + 60_000 * clock as i64, offset_min: 120 },
        }
    };
    said.own.extend(
        [
            "phone",
            "Ana",
            "A-17",
            "gauge 3",
            "misread, seen by two",
            "the gauge is broken",
            "seen on the gauge",
            "the site was evacuated",
            "wet",
            "hurt",
            "rain",
            "a note of mine",
        ]
        .map(str::to_owned),
    );
    for job in ["replace the drier", "take readings", "pump down"] {
        let ask = ProcedureAsk { job: Some(job.into()), ..ProcedureAsk::default() };
        let opening = JobOpening { circuit_file: walk_in(), ask: &ask, words: None, by: Some("Ana") };
        let (mut record, _) = JobRecord::open(&opening, &stamp()).unwrap();
        let step = |n: usize| wire::JobStep { n, procedure: None };
        let measured =
            |of: &str, typed: &str| wire::JobMeasured { of: of.into(), typed: typed.into(), value: None };
        let mut add = |said: &mut Said, record: &mut JobRecord, entry: wire::JobEntry| match record.add(
            &entry,
            Some("Ana"),
            &stamp(),
        ) {
            Ok(added) => Some(added.id),
            Err(error) => {
                said.error(&error);
                None
            }
        };
        for n in 1..=60 {
            let state = record.state(UNITS[n % 2]);
            said.take(&state);
            let Some(next) = state.next else { break };
            let now = state.steps[next - 1].clone();
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next + 1) });
            add(said, &mut record, wire::JobEntry::StepBegun { step: step(next) });
            if n % 5 == 0 {
                add(said, &mut record, wire::JobEntry::StepHeld { step: step(next), why: "rain".into() });
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepBegun { step: step(next) });
                add(said, &mut record, wire::JobEntry::Paused { why: "rain".into() });
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
                add(said, &mut record, wire::JobEntry::Resumed {});
                add(
                    said,
                    &mut record,
                    wire::JobEntry::Note { step: Some(step(next)), text: "a note of mine".into() },
                );
            }
            for (at, band) in now.bands.iter().enumerate() {
                let off = [0.0, 3.0e5, -0.4e5][at % 3];
                let typed = format!("{} Pa abs", (band.low_pa + band.high_pa) / 2.0 + off);
                let reading = wire::JobEntry::Reading {
                    step: Some(step(next)),
                    place: band.gauge.clone(),
                    measured: measured("pressure", &typed),
                    instrument: Some("gauge 3".into()),
                };
                let id = add(said, &mut record, reading);
                said.take(&record.state(UnitSystem::Si));
                add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
                if let Some(id) = id {
                    add(
                        said,
                        &mut record,
                        wire::JobEntry::Corrected {
                            event: id.clone(),
                            measured: measured("pressure", &typed),
                            why: "misread, seen by two".into(),
                        },
                    );
                    add(
                        said,
                        &mut record,
                        wire::JobEntry::ReadingAccepted { reading: id, why: "misread, seen by two".into() },
                    );
                }
            }
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
            if now.hold.is_some() {
                add(
                    said,
                    &mut record,
                    wire::JobEntry::HoldPoint {
                        step: step(next),
                        proved: n % 2 == 0,
                        say: "seen on the gauge".into(),
                    },
                );
            }
            if n % 7 == 0 {
                add(said, &mut record, wire::JobEntry::StepSkipped { step: step(next), why: "hurt".into() });
            }
            add(said, &mut record, wire::JobEntry::StepDone { step: step(next) });
        }
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "12.5 kg"),
                anew: false,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "12.9 kg"),
                anew: true,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: "A-17".into(),
                mass: measured("mass", "9 bar"),
                anew: false,
            },
        );
        add(said, &mut record, wire::JobEntry::Lost { mass: measured("mass", "20 g"), why: "hurt".into() });
        let timers = [
            ("decay", "300 micron", "320 micron"),
            ("standing", "20 bar", "20 bar"),
            ("wait", "2 bar", "1.9 bar"),
            ("standing", "20 bar", "19.5 bar"),
        ];
        for (test, begin, end) in timers {
            let timer = wire::JobEntry::TimerBegun {
                step: None,
                test: test.into(),
                minutes: 5,
                pressure: Some(measured("pressure", begin)),
                temperature: Some(measured("temperature", "20 C")),
            };
            let Some(id) = add(said, &mut record, timer) else { continue };
            said.take(&record.state(UnitSystem::Si));
            add(
                said,
                &mut record,
                wire::JobEntry::TimerEnded {
                    timer: id.clone(),
                    pressure: Some(measured("pressure", end)),
                    temperature: Some(measured("temperature", "21 C")),
                },
            );
            add(
                said,
                &mut record,
                wire::JobEntry::TimerEnded { timer: id.clone(), pressure: None, temperature: None },
            );
            add(said, &mut record, wire::JobEntry::Retracted { event: id, why: "hurt".into() });
        }
        add(
            said,
            &mut record,
            wire::JobEntry::Retracted { event: "phone.99.0000000000000001".into(), why: "x".into() },
        );
        add(said, &mut record, wire::JobEntry::Retracted { event: "nonsense".into(), why: "x".into() });
        add(said, &mut record, wire::JobEntry::Resumed {});
        let jump = |step| wire::JobEntry::StepHeld { step, why: String::new() };
        add(said, &mut record, jump(step(1)));
        add(
            said,
            &mut record,
            wire::JobEntry::Photo {
                step: None,
                hash: "abc".into(),
                size: 3,
                mime: "image/png".into(),
                caption: "a note of mine".into(),
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Photo {
                step: None,
                hash: String::new(),
                size: 3,
                mime: String::new(),
                caption: String::new(),
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Weighed {
                step: None,
                cylinder: String::new(),
                mass: measured("mass", "1 kg"),
                anew: false,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::HoldPoint { step: step(1), proved: true, say: "seen on the gauge".into() },
        );
        for procedure in ["procedure 1\nstep: wait\n  wait 5 min\n", "procedure 9"] {
            add(
                said,
                &mut record,
                wire::JobEntry::ProcedureReplaced {
                    procedure: procedure.into(),
                    accepted: true,
                    because: None,
                    why: "hurt".into(),
                },
            );
            said.take(&record.state(UnitSystem::Si));
        }
        add(
            said,
            &mut record,
            wire::JobEntry::Lost { mass: measured("mass", "nothing"), why: "hurt".into() },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::Lost { mass: measured("pressure", "3 bar"), why: String::new() },
        );
        add(said, &mut record, wire::JobEntry::Lost { mass: measured("dance", "3 bar"), why: "x".into() });
        add(
            said,
            &mut record,
            wire::JobEntry::Opened {
                circuit: String::new(),
                procedure: String::new(),
                job: "x".into(),
                units: "si".into(),
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::TimerBegun {
                step: None,
                test: "dance".into(),
                minutes: 5,
                pressure: None,
                temperature: None,
            },
        );
        add(
            said,
            &mut record,
            wire::JobEntry::TimerBegun {
                step: None,
                test: "wait".into(),
                minutes: 5,
                pressure: Some(measured("mass", "5 kg")),
                temperature: None,
            },
        );
        add(said, &mut record, wire::JobEntry::StepDone { step: step(0) });
        add(said, &mut record, wire::JobEntry::StepDone { step: step(99) });
        add(said, &mut record, wire::JobEntry::Closed { despite: None });
        add(said, &mut record, wire::JobEntry::Note { step: None, text: String::new() });
        add(said, &mut record, wire::JobEntry::Note { step: None, text: "x".repeat(90_000) });
        add(said, &mut record, wire::JobEntry::Closed { despite: Some("the site was evacuated".into()) });
        add(said, &mut record, wire::JobEntry::Resumed {});
        said.take(&record.state(UnitSystem::Ip));
        if let Ok(page) = record.page(&JobPageAsk::default(), UnitSystem::Ip) {
            said.take(&page);
        }
        if let Ok(page) = record.page(&JobPageAsk::default(), UnitSystem::Si) {
            said.take(&page);
        }
        let file = record.file();
        for broken in [
            file.replacen("phone", "fone", 3),
            file.replacen("job", "jobs", 1),
            file[..file.len() - 30].to_owned(),
            String::new(),
            file.lines().skip(2).collect::<Vec<_>>().join("\n"),
        ] {
            match answer::job(&[broken.into_bytes()], None) {
                Ok((_, told)) => said.take(&told),
                Err(error) => said.error(&error),
            }
        }
    }
}
