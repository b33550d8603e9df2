//! Compares states of a reference library with ours, by every pair of given values: the other half of `scripts/sweep_reference.py`.
//!
//! `sweep check` reads lines `substance kind T rho p h s u cp cv w q` (SI; the first of a substance gives the zero of h and s; `nan` where there is
//! none) and prints what disagrees and a tally. `sweep make SUBSTANCE COUNT SEED` prints states of a blend for the reference library to prove.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a program for one's own eyes")]

use std::collections::BTreeMap;
use std::io::BufRead as _;

use stemwise_thermo::{Given, MixtureState, RawState, Substance};
use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

const PAIRS: [&str; 16] = [
    "T,p", "T,rho", "T,h", "T,s", "T,u", "p,rho", "p,h", "p,s", "p,u", "rho,h", "rho,s", "rho,u", "h,s",
    "s,u", "T,q", "p,q",
];

fn given(pair: &str, raw: &RawState) -> Given {
    let (t, p, rho) =
        (Temperature::from_k(raw.t), Pressure::from_pa(raw.p), Density::from_kg_per_m3(raw.rho));
    let (h, u) = (SpecificEnergy::from_j_per_kg(raw.h), SpecificEnergy::from_j_per_kg(raw.u));
    let s = SpecificHeat::from_j_per_kg_k(raw.s);
    match pair {
        "T,p" => Given::TemperaturePressure(t, p),
        "T,rho" => Given::TemperatureDensity(t, rho),
        "T,h" => Given::TemperatureEnthalpy(t, h),
        "T,s" => Given::TemperatureEntropy(t, s),
        "T,u" => Given::TemperatureEnergy(t, u),
        "p,rho" => Given::PressureDensity(p, rho),
        "p,h" => Given::PressureEnthalpy(p, h),
        "p,s" => Given::PressureEntropy(p, s),
        "p,u" => Given::PressureEnergy(p, u),
        "rho,h" => Given::DensityEnthalpy(rho, h),
        "rho,s" => Given::DensityEntropy(rho, s),
        "rho,u" => Given::DensityEnergy(rho, u),
        "h,s" => Given::EnthalpyEntropy(h, s),
        "s,u" => Given::EntropyEnergy(s, u),
        "T,q" => Given::TemperatureQuality(t, raw.q.unwrap()),
        _ => Given::PressureQuality(p, raw.q.unwrap()),
    }
}

/// Whether a pair can be asked of a state: in two phases of a pure fluid temperature and pressure fix nothing.
fn fits(pair: &str, raw: &RawState, pure: bool) -> bool {
    match pair {
        "T,p" => !pure || raw.q.is_none(),
        "T,q" | "p,q" => raw.q.is_some(),
        _ => true,
    }
}

#[derive(Default)]
struct Tally(BTreeMap<(String, &'static str, &'static str), u32>);

impl Tally {
    fn count(&mut self, kind: &str, pair: &'static str, what: &'static str) -> u32 {
        let slot = self.0.entry((kind.to_owned(), pair, what)).or_default();
        *slot += 1;
        *slot
    }
}

/// How what was found by a pair compares with the state it came from.
fn verdict(pair: &str, found: &RawState, truth: &RawState, tolerance: f64) -> &'static str {
    let off = |a: f64, b: f64| (a / b - 1.0).abs();
    if off(found.t, truth.t) < tolerance && off(found.rho, truth.rho) < tolerance {
        return "same";
    }
    // What was given fixes the rest badly: then it must come back itself.
    let back = |a: f64, b: f64, scale: f64| (a - b).abs() <= 2e-9 * b.abs().max(scale);
    let one = |name: &str| match name {
        "T" => back(found.t, truth.t, 0.0),
        "p" => back(found.p, truth.p, 0.0),
        "rho" => back(found.rho, truth.rho, 0.0),
        "h" => back(found.h, truth.h, 1e5),
        "u" => back(found.u, truth.u, 1e5),
        "s" => back(found.s, truth.s, 1e3),
        _ => found.q.zip(truth.q).is_some_and(|(a, b)| (a - b).abs() < 1e-9),
    };
    match (pair.split(',').all(one), off(found.t, truth.t) < 1e-4 && off(found.rho, truth.rho) < 1e-2) {
        (true, true) => "same, badly fixed",
        (true, false) => "another state",
        (false, _) => "OFF",
    }
}

fn check() {
    let mut tally = Tally::default();
    let mut worst: BTreeMap<&str, f64> = BTreeMap::new();
    let mut current: Option<(String, Substance, f64, f64)> = None;
    for line in std::io::stdin().lock().lines() {
        let line = line.unwrap();
        let words: Vec<&str> = line.split('\t').collect();
        let number = |at: usize| words[at].parse::<f64>().unwrap();
        let (name, kind) = (words[0], words[1]);
        let (t, rho) = (number(2), number(3));
        let ask = |substance: &Substance| {
            substance
                .raw_state(Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho)))
        };
        if current.as_ref().is_none_or(|(known, ..)| known != name) {
            let substance = Substance::named(name).unwrap();
            let ours = ask(&substance).unwrap();
            current = Some((name.to_owned(), substance, ours.h - number(5), ours.s - number(6)));
        }
        let (_, substance, h_shift, s_shift) = current.as_ref().unwrap();
        let pure = substance.mixture().is_none();
        let q = Some(number(11)).filter(|q| (0.0..=1.0).contains(q));
        let some = |at: usize| Some(number(at)).filter(|value| value.is_finite());
        let truth = RawState {
            t,
            p: number(4),
            rho,
            h: number(5) + h_shift,
            s: number(6) + s_shift,
            u: number(7) + h_shift,
            cp: some(8),
            cv: some(9),
            w: some(10),
            q,
            ..ask(substance).unwrap_or_else(|error| {
                println!("ERROR\t{line}\tT,rho\t{error}");
                substance
                    .raw_state(Given::TemperatureDensity(
                        Temperature::from_k(300.0),
                        Density::from_kg_per_m3(1.0),
                    ))
                    .unwrap()
            })
        };
        let near = (t / substance.critical_temperature().as_k() - 1.0).abs() < 0.01;
        let tolerance = if pure && !near { 1e-8 } else { 1e-6 };
        let Ok(ours) = ask(substance) else { continue };
        for (key, a, b, scale) in [
            ("p", Some(ours.p), Some(truth.p), 0.0),
            ("h", Some(ours.h), Some(truth.h), 1e5),
            ("s", Some(ours.s), Some(truth.s), 1e3),
            ("cp", ours.cp, truth.cp, 0.0),
            ("cv", ours.cv, truth.cv, 0.0),
            ("w", ours.w, truth.w, 0.0),
        ] {
            let (Some(a), Some(b)) = (a, b) else { continue };
            let allowed = if matches!(key, "cp" | "cv" | "w") { 10.0 * tolerance } else { tolerance };
            let off = (a - b).abs() / b.abs().max(scale);
            let slot = worst.entry(key).or_default();
            *slot = slot.max(off);
            if off > allowed && tally.count(kind, key, "OFF") < 6 {
                println!("OFF\t{line}\t{key}\tours {a:.12e} against {b:.12e}");
            }
        }
        for pair in PAIRS.into_iter().filter(|pair| fits(pair, &truth, pure)) {
            let what = match substance.raw_state(given(pair, &truth)) {
                Ok(found) => {
                    let what = verdict(pair, &found, &truth, tolerance);
                    if matches!(what, "OFF" | "another state") && tally.count(kind, pair, "listed") < 6 {
                        println!(
                            "{what}\t{line}\t{pair}\tfound {:.9} K {:.9e} kg/m3 {:.9e} Pa",
                            found.t, found.rho, found.p
                        );
                    }
                    what
                }
                Err(error) => {
                    if tally.count(kind, pair, "listed") < 6 {
                        println!("ERROR\t{line}\t{pair}\t{error}");
                    }
                    "error"
                }
            };
            tally.count(kind, pair, what);
        }
    }
    for ((kind, pair, what), count) in &tally.0 {
        println!("tally\t{kind}\t{pair}\t{what}\t{count}");
    }
    println!("worst by T,rho\t{worst:?}");
}

/// A fixed sequence of numbers from 0 to 1.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A random state: anywhere, thin, next to the critical point, or in two phases.
fn ask(substance: &Substance, kind: u32, random: &mut Random) -> (&'static str, Given) {
    let (tc, pc) = (substance.critical_temperature().as_k(), substance.critical_pressure().as_pa());
    let low = substance.lowest_temperature().as_k().max(0.45 * tc);
    let t = |part: f64| Temperature::from_k(low + part * (1.3 * tc - low));
    let p = |low: f64, high: f64, part: f64| Pressure::from_pa(low * libm::exp(part * libm::log(high / low)));
    match kind {
        0 => ("wide", Given::TemperaturePressure(t(random.next()), p(1e3, 4.0 * pc, random.next()))),
        1 => ("thin", Given::TemperaturePressure(t(random.next()), p(10.0, 1e3, random.next()))),
        2 => {
            let t = Temperature::from_k(tc * (0.97 + 0.06 * random.next()));
            ("critical", Given::TemperaturePressure(t, Pressure::from_pa(pc * (0.85 + 0.4 * random.next()))))
        }
        3 => {
            let t = Temperature::from_k(low + random.next() * (0.97 * tc - low));
            ("dome", Given::TemperatureQuality(t, random.next()))
        }
        _ => {
            let t = Temperature::from_k(tc * (0.97 + 0.03 * random.next()));
            ("top", Given::TemperatureQuality(t, random.next()))
        }
    }
}

fn make(name: &str, count: u32, seed: u64) {
    let substance = Substance::named(name).unwrap();
    let mut random = Random(seed);
    let mut tally = Tally::default();
    for n in 0..count {
        let (kind, wanted) = ask(&substance, n % 5, &mut random);
        let state = match substance.state(wanted) {
            Ok(state) => state,
            Err(error) => {
                if tally.count(kind, "T,p", "error") < 8 {
                    println!("#ERROR\t{name}\t{kind}\t{wanted:?}\t{error}");
                }
                continue;
            }
        };
        let truth = *state.raw();
        print_state(name, kind, &state);
        for pair in PAIRS.into_iter().filter(|pair| fits(pair, &truth, false)) {
            match substance.raw_state(given(pair, &truth)) {
                Ok(found) => {
                    let what = verdict(pair, &found, &truth, 1e-6);
                    if matches!(what, "OFF" | "another state") && tally.count(kind, pair, "listed") < 4 {
                        println!(
                            "#{what}\t{name}\t{kind}\t{pair}\t{:.9} K {:.9e} kg/m3 {:.9e} Pa q {:?}\tfound {:.9} K {:.9e} kg/m3 {:.9e} Pa",
                            truth.t, truth.rho, truth.p, truth.q, found.t, found.rho, found.p
                        );
                    }
                    tally.count(kind, pair, what);
                }
                Err(error) => {
                    if tally.count(kind, pair, "listed") < 4 {
                        println!(
                            "#ERROR\t{name}\t{kind}\t{pair}\t{:.9} K {:.9e} kg/m3 {:.9e} Pa q {:?}\t{error}",
                            truth.t, truth.rho, truth.p, truth.q
                        );
                    }
                    tally.count(kind, pair, "error");
                }
            }
        }
    }
    for ((kind, pair, what), count) in &tally.0 {
        println!("#tally\t{kind}\t{pair}\t{what}\t{count}");
    }
}

fn print_state(name: &str, kind: &str, state: &MixtureState) {
    let raw = state.raw();
    let number = |value: Option<f64>| value.unwrap_or(f64::NAN);
    let list = |side: Option<&stemwise_thermo::MoleFractions>| {
        side.map_or_else(String::new, |side| {
            side.values().iter().map(|x| format!("{x:e}")).collect::<Vec<_>>().join(" ")
        })
    };
    println!(
        "{name}\t{kind}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{:e}\t{}\t{}",
        raw.t,
        raw.rho,
        raw.p,
        raw.h,
        raw.s,
        raw.u,
        number(raw.cp),
        number(raw.cv),
        number(raw.w),
        number(raw.q),
        number(raw.rho_l),
        number(raw.rho_v),
        list(state.liquid()),
        list(state.vapour())
    );
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["check"] => check(),
        ["make", name, count, seed] => make(name, count.parse().unwrap(), seed.parse().unwrap()),
        _ => println!("sweep check < states, or: sweep make SUBSTANCE COUNT SEED"),
    }
}
