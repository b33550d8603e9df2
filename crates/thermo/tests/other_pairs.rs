//! Every pair of given values leads back to the state it was taken from: pure fluids and blends, one phase and two.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_thermo::{Error, Fluid, Given, MassFractions, Mixture, RawState, Substance, fluids};
use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

const NAMES: [&str; 14] = [
    "T,p", "T,rho", "T,h", "T,s", "T,u", "p,rho", "p,h", "p,s", "p,u", "rho,h", "rho,s", "rho,u", "h,s",
    "s,u",
];

fn pairs(raw: &RawState) -> [Given; 14] {
    let t = Temperature::from_k(raw.t);
    let p = Pressure::from_pa(raw.p);
    let rho = Density::from_kg_per_m3(raw.rho);
    let (h, u) = (SpecificEnergy::from_j_per_kg(raw.h), SpecificEnergy::from_j_per_kg(raw.u));
    let s = SpecificHeat::from_j_per_kg_k(raw.s);
    [
        Given::TemperaturePressure(t, p),
        Given::TemperatureDensity(t, rho),
        Given::TemperatureEnthalpy(t, h),
        Given::TemperatureEntropy(t, s),
        Given::TemperatureEnergy(t, u),
        Given::PressureDensity(p, rho),
        Given::PressureEnthalpy(p, h),
        Given::PressureEntropy(p, s),
        Given::PressureEnergy(p, u),
        Given::DensityEnthalpy(rho, h),
        Given::DensityEntropy(rho, s),
        Given::DensityEnergy(rho, u),
        Given::EnthalpyEntropy(h, s),
        Given::EntropyEnergy(s, u),
    ]
}

#[derive(Default)]
struct Tally {
    tried: usize,
    off: Vec<String>,
}

impl Tally {
    fn check(&mut self, what: &str, raw: &RawState, solve: impl Fn(Given) -> Result<RawState, Error>) {
        for (name, given) in NAMES.iter().zip(pairs(raw)) {
            // On the saturation curve of a pure fluid temperature and pressure fix nothing.
            if *name == "T,p" && raw.q.is_some() {
                continue;
            }
            self.tried += 1;
            let place =
                format!("{what} at {:.3} K, {:.6e} Pa, {:.6e} kg/m3 by {name}", raw.t, raw.p, raw.rho);
            match solve(given) {
                Ok(found) => {
                    // A liquid's pressure hardly fixes its temperature, nor its density its pressure: all values have to fit together.
                    let near = |a: f64, b: f64, scale: f64| (a - b).abs() <= 2e-7 * (scale + b.abs());
                    let same = near(found.t, raw.t, 0.0)
                        && near(found.rho, raw.rho, 0.0)
                        && near(found.h, raw.h, 1e5);
                    // A cold compressed liquid shares temperature and enthalpy with a thinner state, and that one is meant.
                    let thinner = *name == "T,h" && found.rho < raw.rho && near(found.h, raw.h, 1e5);
                    if !same && !thinner {
                        self.off.push(format!("{place}: {:.6} K, {:.6e} kg/m3", found.t, found.rho));
                    }
                }
                Err(error) => self.off.push(format!("{place}: {error}")),
            }
        }
    }

    fn done(self, least: usize) {
        assert!(self.off.is_empty(), "{} of {}:\n{}", self.off.len(), self.tried, self.off.join("\n"));
        assert!(self.tried >= least, "{}", self.tried);
    }
}

#[test]
fn pure_fluids() {
    let mut tally = Tally::default();
    for name in fluids() {
        let fluid = Fluid::named(name).unwrap();
        let (tc, pc) = (fluid.critical_temperature().as_k(), fluid.critical_pressure().as_pa());
        let low = fluid.lowest_temperature().as_k().max(0.5 * tc);
        let solve = |given| fluid.raw_state(given);
        for t in [low + 0.3 * (tc - low), low + 0.8 * (tc - low)] {
            for q in [0.2, 0.9] {
                tally.check(
                    name,
                    &solve(Given::TemperatureQuality(Temperature::from_k(t), q)).unwrap(),
                    solve,
                );
            }
            let saturated = fluid.saturation_at(Temperature::from_k(t)).unwrap().pressure.as_pa();
            for p in [0.05 * saturated, 0.7 * saturated, 1.3 * saturated] {
                let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
                tally.check(name, &solve(given).unwrap(), solve);
            }
        }
        for (t, p) in [(1.1, 0.3), (1.1, 1.4)] {
            let given = Given::TemperaturePressure(Temperature::from_k(t * tc), Pressure::from_pa(p * pc));
            tally.check(name, &solve(given).unwrap(), solve);
        }
    }
    tally.done(5000);
}

#[test]
fn blends() {
    let mut tally = Tally::default();
    let made: [(&[&str], &[f64]); 3] = [
        (&["R-32", "R-1234yf"], &[68.9, 31.1]),
        (&["R-32", "R-125", "R-134a"], &[23.0, 25.0, 52.0]),
        (&["R-744", "R-32", "R-1234yf"], &[3.0, 21.5, 75.5]),
    ];
    for (names, parts) in made {
        let components = names.iter().map(|name| Fluid::named(name).unwrap()).collect();
        let blend = Mixture::by_mass(components, &MassFractions::of_parts(parts).unwrap()).unwrap();
        let solve = |given| blend.state(given).map(|state| *state.raw());
        let what = format!("{names:?}");
        for t in [250.0, 310.0] {
            let t = Temperature::from_k(t);
            for q in [0.2, 0.9] {
                tally.check(&what, &solve(Given::TemperatureQuality(t, q)).unwrap(), solve);
            }
            let (bubble, dew) = (blend.bubble_at(t).unwrap(), blend.dew_at(t).unwrap());
            for p in
                [0.05 * dew.pressure().as_pa(), 0.8 * dew.pressure().as_pa(), 1.3 * bubble.pressure().as_pa()]
            {
                tally.check(
                    &what,
                    &solve(Given::TemperaturePressure(t, Pressure::from_pa(p))).unwrap(),
                    solve,
                );
            }
        }
        let hot = Temperature::from_k(1.1 * blend.critical_temperature().as_k());
        tally.check(&what, &solve(Given::TemperaturePressure(hot, Pressure::from_bar(20.0))).unwrap(), solve);
    }
    tally.done(400);
}

/// Far below what condensers and evaporators see, the liquid between bubble and dew point is quite another than either's.
#[test]
fn cold_blends_between_bubble_and_dew() {
    let mut tally = Tally::default();
    for (name, kelvin) in [
        ("R-407C", 164.066_826_725),
        ("R-407F", 172.003_380_201),
        ("R-438A", 177.352_109_192),
        ("R-407A", 174.822),
    ] {
        let blend = Substance::named(name).unwrap();
        let solve = |given| blend.raw_state(given);
        for q in [0.05, 0.33, 0.66, 0.93] {
            let state = solve(Given::TemperatureQuality(Temperature::from_k(kelvin), q)).unwrap();
            tally.check(name, &state, solve);
        }
    }
    tally.done(200);
}

/// A liquid at saturation of some pascals: its pressure is lost in the last places of its density.
#[test]
fn thin_vapours_and_cold_liquids() {
    let mut tally = Tally::default();
    for (name, kelvin, kg_per_m3) in [
        ("R-123", 200.740_337_576_177_8, 1_692.746_829_384_524),
        ("R-22", 182.918_528_065_237_3, 1_545.503_231_728_564_5),
    ] {
        let fluid = Fluid::named(name).unwrap();
        let solve = |given| fluid.raw_state(given);
        let given =
            Given::TemperatureDensity(Temperature::from_k(kelvin), Density::from_kg_per_m3(kg_per_m3));
        tally.check(name, &solve(given).unwrap(), solve);
    }
    for name in ["R-404A", "R-407C", "R-454B"] {
        let blend = Substance::named(name).unwrap();
        let solve = |given| blend.raw_state(given);
        for kelvin in [220.0, 300.0, 420.0] {
            let given = Given::TemperaturePressure(Temperature::from_k(kelvin), Pressure::from_pa(10.0));
            tally.check(name, &solve(given).unwrap(), solve);
        }
    }
    tally.done(100);
}
