//! A job carried out through the composition functions: entered, kept, damaged, merged, told.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stemwise_answer::{JobOpening, JobPageAsk, JobRecord, Moment, ProcedureAsk, Stamp, example, job};
use stemwise_units::UnitSystem;
use stemwise_wire::{JobEntry, JobMeasured, JobState, JobStep};

/// A host: a device with its clock and its dice.
struct Device {
    name: &'static str,
    at: i64,
    random: u64,
}

impl Device {
    fn new(name: &'static str) -> Self {
        Self { name, at: 1_790_000_000_000, random: 40 }
    }

    fn stamp(&mut self) -> Stamp {
        self.at += 60_000;
        self.random = self.random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        Stamp {
            device: self.name.into(),
            random: self.random,
            at: Moment { unix_ms: self.at, offset_min: 120 },
        }
    }
}

fn planned(said: &str) -> ProcedureAsk {
    ProcedureAsk { job: Some(said.into()), ..ProcedureAsk::default() }
}

fn opened(device: &mut Device, said: &str) -> JobRecord {
    let circuit_file = example("walk-in-cooler").unwrap().as_bytes();
    let ask = planned(said);
    let opening = JobOpening { circuit_file, ask: &ask, words: None, by: Some("Ana") };
    JobRecord::open(&opening, &device.stamp()).unwrap().0
}

fn step(n: usize) -> JobStep {
    JobStep { n, procedure: None }
}

fn measured(of: &str, typed: &str) -> JobMeasured {
    JobMeasured { of: of.into(), typed: typed.into(), value: None }
}

fn reading(n: usize, place: &str, typed: &str) -> JobEntry {
    let measured = measured("pressure", typed);
    JobEntry::Reading {
        step: Some(step(n)),
        place: place.into(),
        measured,
        instrument: Some("gauge 3".into()),
    }
}

fn add(record: &mut JobRecord, device: &mut Device, entry: JobEntry) -> String {
    record.add(&entry, Some("Ana"), &device.stamp()).unwrap().id
}

fn refused(record: &mut JobRecord, device: &mut Device, entry: JobEntry) -> String {
    record.add(&entry, Some("Ana"), &device.stamp()).unwrap_err().to_string()
}

fn state(record: &JobRecord) -> JobState {
    record.state(UnitSystem::Si)
}

/// Does the next step as it should be done.
fn do_next(record: &mut JobRecord, device: &mut Device) -> Option<usize> {
    let now = state(record);
    let n = now.next?;
    let next = now.steps[n - 1].clone();
    add(record, device, JobEntry::StepBegun { step: step(n) });
    for band in &next.bands {
        let middle = format!("{} Pa abs", (band.low_pa + band.high_pa) / 2.0);
        add(record, device, reading(n, &band.gauge, &middle));
    }
    if next.hold.is_some() {
        add(
            record,
            device,
            JobEntry::HoldPoint { step: step(n), proved: true, say: "seen on the gauge".into() },
        );
    }
    add(record, device, JobEntry::StepDone { step: step(n) });
    Some(n)
}

fn weigh(record: &mut JobRecord, device: &mut Device, kg: &str) {
    let entry =
        JobEntry::Weighed { step: None, cylinder: "A-17".into(), mass: measured("mass", kg), anew: false };
    add(record, device, entry);
}

#[test]
fn a_whole_job_is_carried_out_and_closed() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "replace the drier");
    weigh(&mut record, &mut device, "12.5 kg");
    let mut saw_caps_off = false;
    while do_next(&mut record, &mut device).is_some() {
        saw_caps_off |= state(&record).not_back.iter().any(|thing| thing.kind == "stem-cap");
    }
    weigh(&mut record, &mut device, "12.9 kg");
    weigh(&mut record, &mut device, "12.48 kg");
    let before = state(&record);
    assert!(saw_caps_off, "no cap was ever off");
    assert!(before.open.is_empty() && before.not_back.is_empty(), "{:?} {:?}", before.open, before.not_back);
    assert!(before.trouble.is_empty(), "{:?}", before.trouble);
    assert!(
        (before.account.recovered_kg - 0.4).abs() < 1e-9 && (before.account.charged_kg - 0.42).abs() < 1e-9
    );
    add(&mut record, &mut device, JobEntry::Closed { despite: None });
    let done = state(&record);
    assert_eq!((done.stands.as_str(), done.next), ("closed", None));
    assert!(done.steps.iter().all(|step| step.stands == "done" && step.took_s.unwrap() >= 60.0));
    assert!(done.readings.iter().all(|reading| reading.verdict == "fits") && done.readings.len() > 10);
    assert!(refused(&mut record, &mut device, JobEntry::Resumed {}).contains("closed"));
    let (again, problems) = JobRecord::read(record.file().as_bytes());
    assert!(problems.is_empty() && again == record);
}

#[test]
fn nothing_passes_silently() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "replace the drier");
    let say = refused(&mut record, &mut device, JobEntry::StepDone { step: step(2) });
    assert!(say.contains("step 1 is neither done nor skipped"), "{say}");
    let holds = |state: &JobState| {
        state.steps.iter().find(|step| step.hold.is_some() && !step.bands.is_empty()).cloned()
    };
    let hold = holds(&state(&record)).unwrap();
    while state(&record).next != Some(hold.n) {
        do_next(&mut record, &mut device);
    }
    let say = refused(&mut record, &mut device, JobEntry::StepDone { step: step(hold.n) });
    assert!(say.contains("hold point") && say.contains(hold.hold.as_ref().unwrap()), "{say}");
    let nothing = JobEntry::HoldPoint { step: step(hold.n), proved: false, say: " ".into() };
    assert_eq!(refused(&mut record, &mut device, nothing), "say why");
    let passed = JobEntry::HoldPoint { step: step(hold.n), proved: false, say: "the gauge is broken".into() };
    add(&mut record, &mut device, passed);
    let place = &hold.bands[0].gauge;
    let outside = add(&mut record, &mut device, reading(hold.n, place, "19.7 bar"));
    let blocks = state(&record).blocks;
    assert!(
        blocks.iter().any(|block| block.id == "outside-band" && block.say.contains("above what is expected")),
        "{blocks:?}"
    );
    let say = refused(&mut record, &mut device, JobEntry::StepDone { step: step(hold.n) });
    assert!(say.contains("outside its band"), "{say}");
    add(
        &mut record,
        &mut device,
        JobEntry::ReadingAccepted { reading: outside, why: "misread, seen by two".into() },
    );
    add(&mut record, &mut device, JobEntry::StepDone { step: step(hold.n) });
    let closed = refused(&mut record, &mut device, JobEntry::Closed { despite: None });
    assert!(closed.contains("things are open"), "{closed}");
    add(&mut record, &mut device, JobEntry::Closed { despite: Some("the site was evacuated".into()) });
    let html = record.page(&JobPageAsk::default(), UnitSystem::Si).unwrap().html;
    assert!(html.contains("HOLD POINT PASSED OVER") && html.contains("closed in spite of"));
}

#[test]
fn what_was_typed_is_understood_or_said() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "take readings");
    let say = refused(&mut record, &mut device, reading(1, "suction-valve-port", "68 kg"));
    assert!(say.contains("a mass") && say.contains("a pressure is wanted"), "{say}");
    let say = refused(&mut record, &mut device, reading(1, "suction-valve-port", "68"));
    assert!(say.contains("68 has no unit"), "{say}");
    let id = add(&mut record, &mut device, reading(1, "suction-valve-port", "1.5 bar"));
    // The cooler stands at 150 m: 99.54 kPa by the US Standard Atmosphere 1976.
    let found = state(&record).readings[0].measured.value.unwrap();
    assert!((found - 249_540.0).abs() < 20.0, "{found}");
    let wrong =
        JobEntry::Corrected { event: id.clone(), measured: measured("mass", "3 kg"), why: "x".into() };
    assert!(refused(&mut record, &mut device, wrong).contains("the correction is pressure"));
    let corrected = JobEntry::Corrected {
        event: id.clone(),
        measured: measured("pressure", "1.7 bar"),
        why: "parallax".into(),
    };
    add(&mut record, &mut device, corrected);
    let reading = state(&record).readings[0].clone();
    assert_eq!((reading.measured.typed.as_str(), reading.corrected[0].was.as_str()), ("1.7 bar", "1.5 bar"));
    add(&mut record, &mut device, JobEntry::Retracted { event: id.clone(), why: "wrong port".into() });
    assert_eq!(state(&record).readings[0].retracted.as_deref(), Some("wrong port"));
    let again = JobEntry::Retracted { event: id, why: "again".into() };
    assert!(refused(&mut record, &mut device, again).contains("taken back"));
    let unknown = JobEntry::Retracted { event: "phone.99.0000000000000001".into(), why: "x".into() };
    assert!(refused(&mut record, &mut device, unknown).contains("no entry has the id"));
}

#[test]
fn a_standing_test_is_brought_back_to_its_first_temperature() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "take readings");
    let begun = JobEntry::TimerBegun {
        step: None,
        test: "standing".into(),
        minutes: 60,
        pressure: Some(measured("pressure", "10 bara")),
        temperature: Some(measured("temperature", "27 C")),
    };
    let timer = add(&mut record, &mut device, begun);
    device.at += 3_600_000;
    // Gay-Lussac: 10 bar at 300.15 K is 10 × 310.15 / 300.15 = 10.33317 bar at 310.15 K.
    let ended = JobEntry::TimerEnded {
        timer,
        pressure: Some(measured("pressure", "10.33317 bara")),
        temperature: Some(measured("temperature", "37 C")),
    };
    add(&mut record, &mut device, ended);
    let timer = state(&record).timers[0].clone();
    assert!((timer.change_pa.unwrap() - 33_317.0).abs() < 1.0, "{timer:?}");
    assert!(timer.change_at_same_temperature_pa.unwrap().abs() < 1.0, "{timer:?}");
    assert!(timer.ran_s.unwrap() > 3_600.0 && !timer.say.contains("shorter"), "{}", timer.say);
}

#[test]
fn an_edited_procedure_goes_on_where_the_old_one_was() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "replace the drier");
    for _ in 0..4 {
        do_next(&mut record, &mut device);
    }
    let old = state(&record);
    let text = record.procedure_file().unwrap().to_owned();
    // One more step in front of the next, and another sentence for the second: what is done in it stays the same.
    let (head, tail) = text.split_at(text.match_indices("\nstep:").nth(4).unwrap().0);
    let second = head.match_indices("\nstep: ").nth(1).unwrap().0;
    let (first, rest) = head.split_at(second);
    let reworded = rest.replacen("step: ", "step: Mind: ", 1);
    let edited = format!("{first}{reworded}\nstep: Read once more.\n  read\n{tail}");
    let replaced = JobEntry::ProcedureReplaced {
        procedure: edited,
        accepted: false,
        because: None,
        why: "one reading more".into(),
    };
    add(&mut record, &mut device, replaced);
    let now = state(&record);
    assert_eq!((now.steps.len(), now.next, now.replaced), (old.steps.len() + 1, Some(5), 1));
    assert!(
        now.steps[..4].iter().all(|step| step.stands == "done")
            && now.steps[4].say.contains("Read once more")
    );
    assert!(
        now.timeline.iter().any(|line| line.say.contains("the verifier accepts it")),
        "{:?}",
        now.timeline.last()
    );
    assert_eq!(now.not_back, old.not_back);
    while do_next(&mut record, &mut device).is_some() {}
    // The cooler's drier leaves less than a gram: nothing that a scale could tell.
    assert_eq!(state(&record).open, []);
    let broken = JobEntry::ProcedureReplaced {
        procedure: "procedure 1\nstep: x\n  turn nothing to open\n".into(),
        accepted: true,
        because: None,
        why: "a test".into(),
    };
    assert!(refused(&mut record, &mut device, broken).contains("the procedure file has 1 error"));
}

#[test]
fn what_was_recovered_has_to_be_weighed() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "recover all");
    while do_next(&mut record, &mut device).is_some() {}
    let open: Vec<_> = state(&record).open.into_iter().map(|item| item.id).collect();
    assert_eq!(open, ["not-weighed"]);
    weigh(&mut record, &mut device, "12.5 kg");
    weigh(&mut record, &mut device, "17 kg");
    let now = state(&record);
    assert!(now.open.is_empty() && (now.account.recovered_kg - 4.5).abs() < 1e-9, "{:?}", now.open);
    assert!(now.not_back.iter().all(|thing| thing.meant), "{:?}", now.not_back);
}

#[test]
fn two_devices_work_apart_and_lose_nothing() {
    let mut phone = Device::new("phone");
    let mut one = opened(&mut phone, "replace the drier");
    do_next(&mut one, &mut phone);
    let (mut other, _) = JobRecord::read(one.file().as_bytes());
    let mut tablet = Device::new("tablet");
    tablet.at -= 7_200_000;
    do_next(&mut one, &mut phone);
    do_next(&mut other, &mut tablet);
    add(&mut other, &mut tablet, JobEntry::Note { step: Some(step(3)), text: "valve tag missing".into() });
    let (mut first, mut second) = (one.clone(), other.clone());
    first.merge(&other).unwrap();
    second.merge(&one).unwrap();
    assert_eq!(first, second);
    assert_eq!(first.file(), second.file());
    assert_eq!(first.merge(&one).unwrap(), 0);
    let both = state(&first);
    assert_eq!(both.next, Some(3));
    assert!(both.trouble.is_empty() && both.timeline.iter().any(|line| line.say.contains("tag missing")));
    let mut elsewhere = Device::new("desk");
    let stranger = opened(&mut elsewhere, "take readings");
    assert!(first.merge(&stranger).unwrap_err().to_string().contains("two different jobs"));
}

#[test]
fn what_a_newer_version_wrote_is_kept() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "take readings");
    let line = |fields: &str| {
        let body = format!("{{{fields}");
        let mut sum = u32::MAX;
        for byte in body.bytes() {
            sum ^= u32::from(byte);
            for _ in 0..8 {
                sum = if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 };
            }
        }
        format!("{body},\"check\":\"{:08x}\"}}\n", !sum)
    };
    let at = "\"at\":\"2027-01-01T00:00:00.000Z\"";
    let newer = [
        line(&format!(
            "\"id\":\"pad.1.00000000000000aa\",\"order\":1890000000000,{at},\"kind\":\"smell\",\"how\":{{\"x\":[1,1e999]}}"
        )),
        line(&format!(
            "\"id\":\"pad.2.00000000000000ab\",\"order\":1890000000001,{at},\"kind\":\"note\",\"text\":\"x\",\"mood\":\"good\""
        )),
        line(&format!(
            "\"id\":\"pad.3.00000000000000ac\",\"order\":1890000000002,{at},\"kind\":\"note\",\"text\":7"
        )),
        line("\"shape\":\"wholly new\""),
    ];
    let (read, problems) = JobRecord::read((record.file() + &newer.concat()).as_bytes());
    let ids: Vec<&str> = problems.iter().map(|problem| problem.id.as_str()).collect();
    assert_eq!(ids, ["not-understood", "not-an-entry"]);
    let file = read.file();
    for line in &newer {
        assert!(file.contains(line.as_str()), "{line} is not in {file}");
    }
    assert_eq!(state(&read).unknown, 2);
    assert_eq!(JobRecord::read(file.as_bytes()).0, read);
    record.merge(&read).unwrap();
    assert_eq!(record, read);
}

#[test]
fn a_cut_off_file_loses_its_last_line_only() {
    let mut device = Device::new("phone");
    let mut record = opened(&mut device, "take readings");
    do_next(&mut record, &mut device);
    let file = record.file();
    let (read, problems) = JobRecord::read(&file.as_bytes()[..file.len() - 30]);
    assert_eq!(read.entries(), record.entries() - 1);
    assert_eq!((problems[0].id.as_str(), problems[0].line), ("cut-off", record.entries() + 1));
    let (_, answer) = job(&[file[..file.len() - 30].into(), file.clone().into()], None).unwrap();
    assert_eq!(answer.entries, record.entries());
    // Without its opening a file still tells what it holds.
    let rest: String = file.lines().skip(2).fold(String::new(), |all, line| all + line + "\n");
    let (_, answer) = job(&[rest.into()], None).unwrap();
    assert_eq!((answer.state.stands.as_str(), answer.entries), ("not-opened", record.entries() - 1));
    assert!(job(&[b"{}\n".to_vec()], None).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]

    /// Byte flips and truncation never panic; what stays intact is read, and no damaged line is taken for a sound one.
    #[test]
    fn damage_is_survived(flips in prop::collection::vec((any::<prop::sample::Index>(), 1u8..=255), 0..6), end in any::<prop::sample::Index>(), cut in any::<bool>()) {
        let mut device = Device::new("phone");
        let mut record = opened(&mut device, "take readings");
        for n in 1..4 {
            add(&mut record, &mut device, reading(1, "suction-valve-port", &format!("{n}.5 bar")));
        }
        let whole = record.file().into_bytes();
        let mut bytes = whole.clone();
        if cut {
            bytes.truncate(end.index(bytes.len()));
        }
        for (at, with) in &flips {
            if !bytes.is_empty() {
                let at = at.index(bytes.len());
                bytes[at] ^= with;
            }
        }
        let (read, problems) = JobRecord::read(&bytes);
        let kept = String::from_utf8_lossy(&bytes).lines().filter(|line| String::from_utf8_lossy(&whole).lines().skip(1).any(|known| known == *line)).count();
        prop_assert_eq!(read.entries(), kept);
        let _ = read.state(UnitSystem::Ip);
        let mut merged = read.clone();
        merged.merge(&record).unwrap();
        prop_assert_eq!(merged.entries(), record.entries());
        prop_assert!(kept + 1 >= whole.split(|byte| *byte == b'\n').count() - 1 || !problems.is_empty() || cut);
    }

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let (read, _) = JobRecord::read(&bytes);
        prop_assert_eq!(read.entries(), 0);
    }
}
