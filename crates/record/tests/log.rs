//! The log as a set: merging loses nothing whatever the order; ids, times and the order of events.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stemwise_record::{Event, EventId, Kind, Log, Measured, Moment, Reading, Stamp, What, fold};
use stemwise_units::Pressure;

const DEVICES: [&str; 3] = ["phone", "tablet", "desk"];

/// Devices that work apart and hear of each other now and then; each with a clock of its own.
#[derive(Clone, Debug)]
enum Move {
    Note(usize, i64),
    Read(usize, f64),
    Hear(usize, usize),
}

fn moves() -> impl Strategy<Value = Vec<Move>> {
    let one = prop_oneof![
        3 => (0..3usize, -5_000_000i64..5_000_000).prop_map(|(device, skew)| Move::Note(device, skew)),
        2 => (0..3usize, 1.0..30.0f64).prop_map(|(device, bar)| Move::Read(device, bar)),
        1 => (0..3usize, 0..3usize).prop_map(|(device, from)| Move::Hear(device, from)),
    ];
    prop::collection::vec(one, 0..40)
}

fn played(moves: &[Move]) -> [Log; 3] {
    let mut logs = [Log::default(), Log::default(), Log::default()];
    for (n, what) in moves.iter().enumerate() {
        let stamp = |device: usize, skew: i64| Stamp {
            device: DEVICES[device].into(),
            random: n as u64,
            at: Moment { unix_ms: 1_800_000_000_000 + 60_000 * n as i64 + skew, offset_min: 0 },
        };
        match *what {
            Move::Note(device, skew) => {
                let note = What::Note { step: None, text: format!("note {n}") };
                logs[device].add(&stamp(device, skew), Some("Ana"), note);
            }
            Move::Read(device, bar) => {
                let typed = format!("{bar} bar");
                let measured = Measured::parse(Kind::Pressure, &typed, Pressure::from_kpa(95.0)).unwrap();
                let reading = Reading { step: None, place: "king".into(), measured, instrument: None };
                logs[device].add(&stamp(device, 0), None, What::Reading(reading));
            }
            Move::Hear(device, from) => logs[device] = logs[device].merged(&logs[from]),
        }
    }
    logs
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, rng_seed: RngSeed::Fixed(20_261_127), ..ProptestConfig::default() })]

    #[test]
    fn merging_is_a_union(moves in moves()) {
        let [a, b, c] = played(&moves);
        prop_assert_eq!(a.merged(&b), b.merged(&a));
        prop_assert_eq!(a.merged(&b).merged(&c), a.merged(&b.merged(&c)));
        prop_assert_eq!(&a.merged(&a), &a);
        let all = a.merged(&b).merged(&c);
        for event in a.events().iter().chain(b.events()).chain(c.events()) {
            prop_assert!(all.events().contains(event));
        }
        let made = moves.iter().filter(|what| !matches!(what, Move::Hear(..))).count();
        prop_assert_eq!(all.events().len(), made);
        prop_assert!(all.conflicts().is_empty());
        prop_assert_eq!(fold(&all), fold(&c.merged(&a).merged(&b)));
    }

    #[test]
    fn events_stand_after_what_their_device_knew(moves in moves()) {
        let mut logs = [Log::default(), Log::default(), Log::default()];
        for n in 0..moves.len() {
            let after = played(&moves[..=n]);
            for (before, after) in logs.iter().zip(&after) {
                let last = before.events().last();
                if let (Some(last), Move::Note(..) | Move::Read(..), Some(new)) = (last, &moves[n], after.events().last())
                    && after.events().len() > before.events().len() {
                    prop_assert!(new.order > last.order && before.events().iter().all(|event| event.order < new.order));
                }
            }
            logs = after;
        }
    }

    #[test]
    fn events_come_in_any_order(moves in moves(), seed in any::<u64>()) {
        let [a, b, c] = played(&moves);
        let all = a.merged(&b).merged(&c);
        let mut shuffled: Vec<Event> = all.events().to_vec();
        let mut dice = seed;
        for at in (1..shuffled.len()).rev() {
            dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(at, (dice >> 33) as usize % (at + 1));
        }
        let mut one_by_one = Log::default();
        for event in &shuffled {
            prop_assert!(one_by_one.insert(event.clone()));
            prop_assert!(!one_by_one.insert(event.clone()));
        }
        prop_assert_eq!(&one_by_one, &all);
        prop_assert_eq!(&shuffled.into_iter().collect::<Log>(), &all);
    }

    #[test]
    fn moments_come_back(unix_ms in -62_135_596_800_000i64..253_402_214_400_000, offset_min in -1439..=1439i32) {
        let moment = Moment { unix_ms, offset_min }.bounded();
        prop_assert_eq!(Moment::parse(&moment.to_string()), Ok(moment));
    }

    #[test]
    fn any_text_is_no_panic(text in any::<String>()) {
        let _ = Moment::parse(&text);
        let _ = EventId::parse(&text);
        for kind in [Kind::Pressure, Kind::Temperature, Kind::Mass, Kind::Other] {
            let _ = Measured::parse(kind, &text, Pressure::from_kpa(101.325));
        }
    }
}

#[test]
fn moments_are_those_of_the_standard() {
    // RFC 3339 §5.8, with the moments that it says they are.
    let same = [
        ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z"),
        ("1990-12-31T23:59:60Z", "1991-01-01T00:00:00Z"),
        ("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.87Z"),
    ];
    for (one, other) in same {
        assert_eq!(Moment::parse(one).unwrap().unix_ms, Moment::parse(other).unwrap().unix_ms, "{one}");
    }
    // POSIX.1-2017 §4.16 counts 2^31 - 1 seconds to this moment.
    assert_eq!(Moment::parse("2038-01-19T03:14:07Z").unwrap().unix_ms, 2_147_483_647_000);
    for wrong in [
        "2026-02-29T00:00:00Z",
        "2026-01-01T24:00:00Z",
        "2026-01-01",
        "2026-01-01T00:00:00",
        "2026-1-1T00:00:00Z",
    ] {
        assert!(Moment::parse(wrong).is_err(), "{wrong}");
    }
    let wall = Moment::parse("2026-03-05T23:50:00+05:30").unwrap();
    assert_eq!((wall.date().as_str(), wall.clock().as_str()), ("2026-03-05", "23:50"));
}

#[test]
fn ids_have_one_spelling() {
    let id = EventId { device: "tablet-2".into(), counter: 17, random: 0xd1ce };
    assert_eq!(EventId::parse(&id.to_string()), Ok(id));
    for wrong in [
        "tablet.1.d1ce",
        "tablet 2.1.000000000000d1ce",
        "t.01.000000000000d1ce",
        "t.1.000000000000D1CE",
        "t.1.000000000000d1ce.1",
        "",
    ] {
        assert!(EventId::parse(wrong).is_err(), "{wrong}");
    }
    let stamp = Stamp { device: "Ana's phone".into(), random: 1, at: Moment { unix_ms: 0, offset_min: 0 } };
    let event = Log::default().next(&stamp, None, What::Resumed);
    assert_eq!(EventId::parse(&event.id.to_string()), Ok(event.id));
}

#[test]
fn two_contents_of_one_id_both_stay() {
    let stamp = Stamp { device: "phone".into(), random: 1, at: Moment { unix_ms: 0, offset_min: 0 } };
    let note = |text: &str| Log::default().next(&stamp, None, What::Note { step: None, text: text.into() });
    let (one, other): (Log, Log) = ([note("a")].into_iter().collect(), [note("b")].into_iter().collect());
    let both = one.merged(&other);
    assert_eq!(both, other.merged(&one));
    assert_eq!((both.events().len(), both.conflicts().len()), (2, 1));
    assert_eq!(fold(&both).conflicts.len(), 1);
}

#[test]
fn a_log_without_an_opening_folds() {
    let progress = fold(&Log::default());
    assert!(progress.next.is_none() && !progress.blocks.is_empty() && !progress.open.is_empty());
}
