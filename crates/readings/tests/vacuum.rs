//! Vacuum logs made by another simulator, in another language with another integrator (`scripts/vacuum_logs.py`; SciPy, BDF).
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::Value as Json;
use stemwise_readings::{Decay, DecayAsk, Element, Line, Path, Pull, PullAsk, Pump, Seen, WhatLimits};
use stemwise_units::{Length, Pressure, Temperature, Volume, VolumeFlow};

fn logs() -> Json {
    serde_json::from_str(include_str!("vacuum_logs.json")).unwrap()
}

fn series(log: &Json) -> (Vec<f64>, Vec<f64>) {
    let numbers = |name: &str| -> Vec<f64> {
        log[name].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
    };
    let pascal = numbers("micron").iter().map(|micron| Pressure::from_micron(*micron).as_pa()).collect();
    (numbers("seconds"), pascal)
}

fn split(log: &Json) -> Decay {
    let (seconds, pascal) = series(log);
    let ask = DecayAsk {
        seconds: &seconds,
        pascal: &pascal,
        volume: Some(Volume::from_l(log["volume_l"].as_f64().unwrap())),
        volume_within: 0.0,
        temperature: Temperature::from_k(log["kelvin"].as_f64().unwrap()),
        gauge_part: 0.05,
        substance: None,
        atmosphere: 101_325.0,
    };
    ask.split().unwrap()
}

/// A part of logs, for what is asked of most of them.
struct Count {
    right: u32,
    all: u32,
    wrong: Vec<String>,
}

impl Count {
    const fn new() -> Self {
        Self { right: 0, all: 0, wrong: Vec::new() }
    }
    fn add(&mut self, right: bool, what: impl Fn() -> String) {
        self.all += 1;
        if right {
            self.right += 1;
        } else {
            self.wrong.push(what());
        }
    }
    #[track_caller]
    fn at_least(&self, part: f64, enough: u32) {
        assert!(self.all >= enough, "only {} to check", self.all);
        let found = f64::from(self.right) / f64::from(self.all);
        assert!(
            found >= part,
            "{} of {}: {found:.3}, wanted {part}\n{}",
            self.right,
            self.all,
            self.wrong.join("\n")
        );
    }
}

#[test]
fn decays_are_split() {
    let (mut verdicts, mut leaks, mut water, mut honest) =
        (Count::new(), Count::new(), Count::new(), Count::new());
    for (at, log) in logs()["decays"].as_array().unwrap().iter().enumerate() {
        let decay = split(log);
        let kind = log["kind"].as_str().unwrap();
        let (truth_leak, truth_water) = (log["leak"].as_f64().unwrap(), log["water_kg"].as_f64().unwrap());
        let right = match kind {
            "tight" => (decay.leaks, decay.wet) == (Seen::No, Seen::No),
            "leak" => (decay.leaks, decay.wet) == (Seen::Yes, Seen::No),
            "wet" => (decay.leaks, decay.wet) == (Seen::No, Seen::Yes),
            "both" => (decay.leaks, decay.wet) == (Seen::Yes, Seen::Yes),
            _ => decay.wet == Seen::Yes && decay.soaked && decay.leaks != Seen::Yes,
        };
        let say = || {
            format!(
                "{at} {kind}: leaks {:?} wet {:?} leak {:.3e} ± {:.1e} (true {truth_leak:.3e}), water {:?} (true {truth_water:.3e}), ending {:.1} ± {:.1}, half {:.0}, lasted {:.0}",
                decay.leaks,
                decay.wet,
                decay.leak.as_ref().unwrap().value,
                decay.leak.as_ref().unwrap().standard,
                decay.water.as_ref().map(|it| it.value),
                decay.ending.value,
                decay.ending.standard,
                decay.half_time,
                decay.lasted
            )
        };
        verdicts.add(right, say);
        // Reckoned at 20 °C, the simulator's at the wall's temperature.
        let room = 293.15 / log["kelvin"].as_f64().unwrap();
        if matches!(kind, "leak" | "both") {
            let found = decay.leak.as_ref().unwrap();
            leaks.add((found.value / (truth_leak * room) - 1.0).abs() < 0.2, say);
            honest
                .add((found.value - truth_leak * room).abs() < 2.0 * found.standard + 0.05 * truth_leak, say);
        }
        if matches!(kind, "wet" | "both") {
            let close =
                decay.water.as_ref().is_some_and(|found| (found.value / truth_water - 1.0).abs() < 0.3);
            water.add(close, say);
        }
        if kind == "soaked" {
            water.add(decay.water.as_ref().is_some_and(|found| found.value < 1.05 * truth_water), say);
        }
    }
    verdicts.at_least(0.98, 240);
    leaks.at_least(0.95, 100);
    water.at_least(0.95, 100);
    honest.at_least(0.9, 100);
}

fn path(log: &Json) -> Path {
    let number = |name: &str| log[name].as_f64().unwrap();
    Path {
        lines: vec![Line {
            elements: vec![Element::tube(
                "hose",
                Length::from_mm(number("bore_mm")),
                Length::from_m(number("length_m")),
            )],
            count: 1,
        }],
        // What the plate says: the pump with old oil does not know that it is bad.
        pump: Pump {
            speed: VolumeFlow::from_m3_per_s(number("pump_m3_per_s")),
            ultimate: Pressure::from_pa(number("ultimate_pa").min(3.0)),
        },
        temperature: Temperature::from_k(number("kelvin")),
    }
}

/// The pull-down as far as it had come when the gauge first showed this or less, or all of it.
fn judge(log: &Json, until: f64, known_leak: Option<f64>) -> (Pull, f64) {
    let (seconds, pascal) = series(log);
    let end = pascal.iter().position(|p| *p <= until).map_or(pascal.len(), |at| at + 1).max(5);
    let path = path(log);
    let ask = PullAsk {
        seconds: &seconds[..end],
        pascal: &pascal[..end],
        volume: Volume::from_l(log["volume_l"].as_f64().unwrap()),
        path: &path,
        target: Pressure::from_micron(500.0),
        known_leak,
    };
    (ask.judge().unwrap(), seconds[end - 1])
}

fn named<'a>(logs: &'a Json, name: &str) -> &'a Json {
    logs["pulls"].as_array().unwrap().iter().find(|log| log["name"] == name).unwrap()
}

#[test]
fn time_left_is_foreseen() {
    let logs = logs();
    let mut checked = 0;
    for name in ["a quarter-inch hose", "a three-eighths hose, large", "a small pump"] {
        let log = named(&logs, name);
        let (pull, now) = judge(log, Pressure::from_micron(2500.0).as_pa(), None);
        let truth = log["reaches_500_s"].as_f64().unwrap() - now;
        let left = pull.left.unwrap().as_s();
        assert!(
            (left / truth - 1.0).abs() < 0.25,
            "{name}: {left} s foreseen, {truth} s it took; factor {}",
            pull.factor
        );
        assert!((pull.factor - 1.0).abs() < 0.25, "{name}: {}", pull.factor);
        checked += 1;
    }
    assert_eq!(checked, 3);
}

#[test]
fn what_limits_is_found() {
    let logs = logs();
    let limit = |name: &str, until: f64, leak: Option<f64>| judge(named(&logs, name), until, leak).0;
    let hose = limit("a quarter-inch hose", 300.0, None);
    assert!(
        matches!(&hose.limits, WhatLimits::Way(stage) if stage.name == "hose" && stage.part > 0.7),
        "{:?}",
        hose.limits
    );
    let pump = limit("a small pump", 300.0, None);
    assert!(matches!(&pump.limits, WhatLimits::Way(stage) if stage.name == "pump"), "{:?}", pump.limits);
    for name in ["a leak", "a leak and a thin hose"] {
        let log = named(&logs, name);
        let leak = limit(name, 0.0, None);
        assert_eq!(leak.limits, WhatLimits::SteadyLoad, "{name}");
        assert!((leak.load / log["leak"].as_f64().unwrap() - 1.0).abs() < 0.2, "{name}: {}", leak.load);
        assert!(leak.left.is_none() && leak.left_ideal.is_some());
    }
    // A decay test that shows next to no leak leaves the pump itself.
    let oil = limit("old oil in the pump", 0.0, Some(1e-6));
    assert_eq!(oil.limits, WhatLimits::PumpItself);
    // In the middle of the water, and after it has gone.
    let wet = limit("water", 250.0, None);
    assert!(wet.at_waters_pressure, "{:?}", wet.limits);
    let dry = limit("a half-inch hose", 0.0, None);
    assert!(dry.limits == WhatLimits::Nothing && !dry.at_waters_pressure);
}
