//! How long properties take, beside a yardstick: `cargo bench -p stemwise-thermo --bench reference`.
//!
//! `scripts/bench_reference.py` runs this program and a reference library in turns on the same states and prints the ratios.
//! Arguments: `states` prints the states (one a line), `times` prints nanoseconds only, one operation a line.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench stops at the first surprise and prints"
)]
#![allow(clippy::disallowed_methods, reason = "a bench reads the clock")]

use std::hint::black_box;
use std::time::Instant;

use stemwise_thermo::{Fluid, Given, RawState, StateTable, Substance};
use stemwise_units::{Density, Pressure, SpecificEnergy, Temperature};

const FLUIDS: [&str; 7] = ["R-134a", "R-32", "R-1234yf", "R-290", "R-744", "R-717", "R-22"];
const BLENDS: [&str; 3] = ["R-454B", "R-410A", "R-448A"];
const STATES: usize = 400;

/// A fixed sequence of numbers from 0 to 1.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

struct Case {
    fluid: &'static Fluid,
    single: Vec<RawState>,
    two: Vec<RawState>,
    saturated: Vec<RawState>,
}

impl Case {
    fn new(name: &str) -> Self {
        let fluid = Fluid::named(name).unwrap();
        let (tc, pc) = (fluid.critical_temperature().as_k(), fluid.critical_pressure().as_pa());
        let low = (1.05 * fluid.lowest_temperature().as_k()).max(0.62 * tc);
        let mut random = Random(name.len() as u64);
        let mut case = Self { fluid, single: Vec::new(), two: Vec::new(), saturated: Vec::new() };
        while case.single.len() < STATES {
            let t = low + random.next() * (1.25 * tc - low);
            let p = pc * libm::exp(-4.0 + 5.0 * random.next());
            if (t / tc - 1.0).abs() < 0.04 && (p / pc - 1.0).abs() < 0.6 {
                continue;
            }
            let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
            case.single.extend(fluid.raw_state(given));
        }
        while case.two.len() < STATES {
            let t = Temperature::from_k(low + random.next() * (0.97 * tc - low));
            let q = 0.02 + 0.96 * random.next();
            case.two.push(fluid.raw_state(Given::TemperatureQuality(t, q)).unwrap());
            case.saturated.push(fluid.raw_state(Given::TemperatureQuality(t, 0.0)).unwrap());
        }
        case
    }

    /// (what, nanoseconds a state)
    fn times(&self) -> Vec<(&'static str, f64)> {
        let state = |given| black_box(self.fluid.raw_state(given)).unwrap();
        let t = |s: &RawState| Temperature::from_k(s.t);
        let rho = |s: &RawState| Density::from_kg_per_m3(s.rho);
        let p = |s: &RawState| Pressure::from_pa(s.p);
        let h = |s: &RawState| SpecificEnergy::from_j_per_kg(s.h);
        let u = |s: &RawState| SpecificEnergy::from_j_per_kg(s.u);
        let (single, two, saturated) = (&self.single, &self.two, &self.saturated);
        let table = StateTable::new(self.fluid).unwrap();
        let start = Instant::now();
        _ = black_box(StateTable::new(self.fluid));
        let made = start.elapsed().as_nanos() as f64;
        let all: Vec<RawState> = single.iter().chain(two).copied().collect();
        vec![
            ("table, made", made),
            ("table, rho,u to T,p", time(&all, |s| _ = black_box(table.look_up(s.rho, s.u)))),
            ("T,rho to p,h,s,cp,w", time(single, |s| _ = state(Given::TemperatureDensity(t(s), rho(s))))),
            ("T,p to rho,h,s,cp,w", time(single, |s| _ = state(Given::TemperaturePressure(t(s), p(s))))),
            ("p,h, one phase", time(single, |s| _ = state(Given::PressureEnthalpy(p(s), h(s))))),
            ("rho,u, one phase", time(single, |s| _ = state(Given::DensityEnergy(rho(s), u(s))))),
            ("p,h, two phases", time(two, |s| _ = state(Given::PressureEnthalpy(p(s), h(s))))),
            ("rho,u, two phases", time(two, |s| _ = state(Given::DensityEnergy(rho(s), u(s))))),
            ("T,rho, two phases", time(two, |s| _ = state(Given::TemperatureDensity(t(s), rho(s))))),
            ("T to p,rho',rho''", time(saturated, |s| _ = black_box(self.fluid.saturation_raw(s.t)))),
            ("T,q=0 to p,h,s,cp,w", time(saturated, |s| _ = state(Given::TemperatureQuality(t(s), 0.0)))),
            ("p,q=0 to T,h,s,cp,w", time(saturated, |s| _ = state(Given::PressureQuality(p(s), 0.0)))),
        ]
    }
}

/// Nanoseconds for one item: the best of several turns of each handful, so that another process in between spoils little. What the clock takes
/// itself is subtracted, as it is on the other side.
fn time<T>(items: &[T], mut each: impl FnMut(&T)) -> f64 {
    let mut handful = |items: &[T]| {
        let start = Instant::now();
        items.iter().for_each(&mut each);
        start.elapsed().as_nanos() as f64
    };
    let mut best = vec![f64::INFINITY; items.len().div_ceil(20)];
    let mut clock = f64::INFINITY;
    for _ in 0..15 {
        for (best, items) in best.iter_mut().zip(items.chunks(20)) {
            *best = best.min(handful(items));
            clock = clock.min(handful(&[]));
        }
    }
    (best.iter().sum::<f64>() - clock * best.len() as f64) / items.len() as f64
}

/// A blend by the full model, by its curves, and its states.
fn blend(name: &str) -> Vec<(&'static str, f64)> {
    let substance = Substance::named(name).unwrap();
    let blend = substance.mixture().unwrap();
    let temperatures: Vec<f64> = (0..60).map(|n| 233.15 + f64::from(n)).collect();
    let kelvin = Temperature::from_k;
    let state = |given| black_box(blend.state(given)).unwrap();
    let vapour = Pressure::from_pa(1e5);
    let h: Vec<SpecificEnergy> = temperatures
        .iter()
        .map(|&t| state(Given::TemperaturePressure(kelvin(t + 20.0), vapour)).enthalpy())
        .collect();
    vec![
        (
            "bubble, full",
            time(&temperatures, |&t| _ = black_box(blend.solve_saturation_raw(t, 0.0)).unwrap()),
        ),
        ("dew, full", time(&temperatures, |&t| _ = black_box(blend.solve_saturation_raw(t, 1.0)).unwrap())),
        ("bubble, curve", time(&temperatures, |&t| _ = black_box(blend.saturation_raw(t, 0.0)).unwrap())),
        ("dew, curve", time(&temperatures, |&t| _ = black_box(blend.saturation_raw(t, 1.0)).unwrap())),
        (
            "T,p vapour",
            time(&temperatures, |&t| _ = state(Given::TemperaturePressure(kelvin(t + 20.0), vapour))),
        ),
        ("p,h vapour", time(&h, |&h| _ = state(Given::PressureEnthalpy(vapour, h)))),
    ]
}

/// A fixed piece of arithmetic: a hundred exponentials of `libm`.
fn yardstick() -> f64 {
    let numbers: Vec<f64> = (0..100).map(|n| -0.07 * f64::from(n)).collect();
    time(&[(); 200], |()| _ = black_box(numbers.iter().map(|&x| libm::exp(black_box(x))).sum::<f64>()))
}

fn main() {
    let wanted = std::env::args().skip(1).find(|word| !word.starts_with("--")).unwrap_or_default();
    let cases = FLUIDS.map(Case::new);
    if wanted == "states" {
        for case in &cases {
            let kinds = [("single", &case.single), ("two", &case.two), ("saturated", &case.saturated)];
            for (kind, s) in
                kinds.into_iter().flat_map(|(kind, states)| states.iter().map(move |s| (kind, s)))
            {
                println!("{}\t{kind}\t{:e}\t{:e}\t{:e}", case.fluid.name(), s.t, s.rho, s.p);
            }
        }
        return;
    }
    let unit = yardstick();
    if wanted != "times" {
        println!("yardstick, 100 exponentials: {unit:.0} ns");
    }
    let pure = cases.iter().flat_map(|case| case.times().into_iter().map(|row| (case.fluid.name(), row)));
    let blends = BLENDS.iter().flat_map(|&name| blend(name).into_iter().map(move |row| (name, row)));
    for (name, (what, ns)) in pure.chain(blends) {
        if wanted == "times" {
            println!("{name}\t{what}\t{ns:.1}");
        } else {
            println!("{name:10} {what:22} {ns:9.0} ns {:8.2} yardsticks", ns / unit);
        }
    }
}
