//! Blends against an independent property library: same equations and pair parameters, so the same numbers.
//!
//! Points of CoolProp 8.0.0, each cross-checked with a second library (teqp) and polished to equal fugacities; origin in the file.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;

use serde_json::Value;
use stemwise_thermo::{Fluid, Given, Mixture, MixtureState, MoleFractions, Substance, blends};
use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

struct Points {
    blends: BTreeMap<String, Mixture>,
    points: Vec<Value>,
}

fn read() -> Points {
    let file: Value = serde_json::from_str(include_str!("data/blend-points.json")).unwrap();
    let blend = |given: &Value| {
        let names = given["components"].as_array().unwrap();
        let components = names.iter().map(|name| Fluid::named(name.as_str().unwrap()).unwrap()).collect();
        let parts: Vec<f64> =
            given["mole_fractions"].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect();
        Mixture::new(components, MoleFractions::of_parts(&parts).unwrap()).unwrap()
    };
    let blends = file["blends"].as_object().unwrap().iter().map(|(name, given)| (name.clone(), blend(given)));
    Points { blends: blends.collect(), points: file["points"].as_array().unwrap().clone() }
}

fn number(point: &Value, side: &str, key: &str) -> f64 {
    point[side][key].as_f64().unwrap_or_else(|| panic!("{side}.{key} in {}", point["id"]))
}

/// What was off, told at the end, so that a pattern shows.
#[derive(Default)]
struct Tally {
    compared: usize,
    off: Vec<String>,
}

impl Tally {
    fn close(&mut self, point: &Value, what: &str, ours: f64, theirs: f64, relative: f64, absolute: f64) {
        self.compared += 1;
        let gap = (ours - theirs).abs();
        if gap.is_nan() || gap > relative * theirs.abs() + absolute {
            let part = gap / theirs.abs();
            self.off.push(format!(
                "{} {what}: {ours:.12e} against {theirs:.12e}, off by {part:.2e}",
                point["id"]
            ));
        }
    }

    fn state(&mut self, point: &Value, given: &str, mixture: &Mixture, by: Given) -> Option<MixtureState> {
        match mixture.state(by) {
            Ok(state) => Some(state),
            Err(error) => {
                self.off.push(format!("{} by {given}: {error}", point["id"]));
                None
            }
        }
    }

    fn done(self) {
        assert!(self.off.is_empty(), "{} of {}:\n{}", self.off.len(), self.compared, self.off.join("\n"));
        assert!(self.compared > 100, "only {} compared", self.compared);
    }
}

fn single(tally: &mut Tally, point: &Value, state: &MixtureState) {
    let raw = state.raw();
    for (key, ours) in [("h", raw.h), ("s", raw.s)] {
        tally.close(point, key, ours, number(point, "out", key), 1e-8, 1e-3);
    }
    for (key, ours) in [("cp", raw.cp), ("cv", raw.cv), ("w", raw.w)] {
        tally.close(point, key, ours.unwrap_or(f64::NAN), number(point, "out", key), 1e-7, 0.0);
    }
}

fn each(kind: &str, mut check: impl FnMut(&mut Tally, &Value, &Mixture)) {
    let Points { blends, points } = read();
    let mut tally = Tally::default();
    for point in points.iter().filter(|point| point["type"] == kind) {
        check(&mut tally, point, &blends[point["fluid"].as_str().unwrap()]);
    }
    tally.done();
}

#[test]
fn states_at_temperature_and_density() {
    each("Trho", |tally, point, mixture| {
        let (t, rho) = (number(point, "in", "T"), number(point, "in", "rho"));
        let by = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
        if let Some(state) = tally.state(point, "T, rho", mixture, by) {
            tally.close(point, "p", state.raw().p, number(point, "out", "p"), 1e-8, 1e-3);
            single(tally, point, &state);
        }
    });
}

#[test]
fn states_at_temperature_and_pressure_and_back_by_other_pairs() {
    each("pT", |tally, point, mixture| {
        let (t, p) = (number(point, "in", "T"), number(point, "in", "p"));
        let pressure = Pressure::from_pa(p);
        let by = Given::TemperaturePressure(Temperature::from_k(t), pressure);
        let Some(state) = tally.state(point, "T, p", mixture, by) else { return };
        tally.close(point, "rho", state.raw().rho, number(point, "out", "rho"), 1e-8, 0.0);
        single(tally, point, &state);
        let (h, s, rho) = (number(point, "out", "h"), number(point, "out", "s"), number(point, "out", "rho"));
        let u = h - p / rho;
        let others = [
            ("p, h", Given::PressureEnthalpy(pressure, SpecificEnergy::from_j_per_kg(h))),
            ("p, s", Given::PressureEntropy(pressure, SpecificHeat::from_j_per_kg_k(s))),
            ("p, u", Given::PressureEnergy(pressure, SpecificEnergy::from_j_per_kg(u))),
            ("rho, u", Given::DensityEnergy(Density::from_kg_per_m3(rho), SpecificEnergy::from_j_per_kg(u))),
        ];
        for (name, by) in others {
            if let Some(found) = tally.state(point, name, mixture, by) {
                tally.close(point, name, found.raw().t, t, 1e-8, 1e-5);
            }
        }
    });
}

/// Both ends of the dome, by temperature and by pressure.
#[test]
fn bubble_and_dew_points() {
    for (kind, q) in [("bubble", 0.0), ("dew", 1.0)] {
        each(kind, |tally, point, mixture| {
            let t = number(point, "in", "T");
            let by = Given::TemperatureQuality(Temperature::from_k(t), q);
            let Some(state) = tally.state(point, "T, q", mixture, by) else { return };
            let raw = *state.raw();
            tally.close(point, "p", raw.p, number(point, "out", "p"), 1e-8, 0.0);
            tally.close(point, "rho", raw.rho, number(point, "out", "rho"), 1e-8, 0.0);
            tally.close(point, "h", raw.h, number(point, "out", "h"), 1e-8, 1e-3);
            tally.close(point, "s", raw.s, number(point, "out", "s"), 1e-8, 1e-3);
            let other = if q < 0.5 { raw.rho_v } else { raw.rho_l };
            tally.close(point, "incipient", other.unwrap(), number(point, "out", "rho_incipient"), 1e-7, 0.0);
            let formed = if q < 0.5 { state.vapour() } else { state.liquid() }.unwrap();
            for (i, ours) in formed.values().iter().enumerate() {
                tally.close(point, "w_inc", *ours, number(point, "out", &format!("w_inc_{i}")), 1e-7, 1e-9);
            }
            let p = Pressure::from_pa(number(point, "out", "p"));
            if let Some(back) = tally.state(point, "p, q", mixture, Given::PressureQuality(p, q)) {
                tally.close(point, "T by p", back.raw().t, t, 1e-8, 0.0);
            }
        });
    }
}

#[test]
fn states_in_two_phases_and_back_by_other_pairs() {
    each("pq", |tally, point, mixture| {
        let (p, q) = (number(point, "in", "p"), number(point, "in", "q"));
        let pressure = Pressure::from_pa(p);
        let Some(state) = tally.state(point, "p, q", mixture, Given::PressureQuality(pressure, q)) else {
            return;
        };
        let check = |tally: &mut Tally, state: &MixtureState| {
            let raw = state.raw();
            // The reference's own solver converges to about 1e-7 in fugacity here.
            for (key, ours) in
                [("T", raw.t), ("rho", raw.rho), ("rho_l", raw.rho_l.unwrap()), ("rho_v", raw.rho_v.unwrap())]
            {
                tally.close(point, key, ours, number(point, "out", key), 1e-6, 0.0);
            }
            tally.close(point, "h", raw.h, number(point, "out", "h"), 1e-6, 0.0);
            tally.close(point, "s", raw.s, number(point, "out", "s"), 1e-6, 0.0);
            for (side, fractions) in [("x", state.liquid().unwrap()), ("y", state.vapour().unwrap())] {
                for (i, ours) in fractions.values().iter().enumerate() {
                    tally.close(point, side, *ours, number(point, "out", &format!("{side}_{i}")), 1e-6, 1e-8);
                }
            }
        };
        check(tally, &state);
        let raw = *state.raw();
        let others = [
            ("T, q", Given::TemperatureQuality(Temperature::from_k(raw.t), q)),
            ("T, p", Given::TemperaturePressure(Temperature::from_k(raw.t), pressure)),
            (
                "T, rho",
                Given::TemperatureDensity(Temperature::from_k(raw.t), Density::from_kg_per_m3(raw.rho)),
            ),
            ("p, h", Given::PressureEnthalpy(pressure, SpecificEnergy::from_j_per_kg(raw.h))),
            ("p, s", Given::PressureEntropy(pressure, SpecificHeat::from_j_per_kg_k(raw.s))),
            (
                "rho, u",
                Given::DensityEnergy(Density::from_kg_per_m3(raw.rho), SpecificEnergy::from_j_per_kg(raw.u)),
            ),
        ];
        for (name, by) in others {
            if let Some(found) = tally.state(point, name, mixture, by) {
                check(tally, &found);
            }
        }
    });
}

/// A cold liquid of another kind can also be in equilibrium with the vapour: what is met first counts, and so the lines have no jumps.
#[test]
fn bubble_and_dew_lines_have_no_jumps() {
    for blend in blends() {
        let substance = Substance::named(blend.name()).unwrap();
        let low = substance.lowest_temperature().as_k();
        let high = 0.9 * substance.critical_temperature().as_k();
        for q in [0.0, 1.0] {
            let at = |t: f64| libm::log(substance.mixture().unwrap().saturation_raw(t, q).unwrap().0);
            let points: Vec<f64> =
                (0..120).map(|n| at(low + (high - low) * (f64::from(n) + 0.5) / 120.0)).collect();
            for (n, three) in points.windows(3).enumerate() {
                let bend = three[0] - 2.0 * three[1] + three[2];
                assert!(
                    three[1] > three[0] && bend.abs() < 0.02,
                    "{} {q} place {n}: {three:?}",
                    blend.name()
                );
            }
        }
    }
}
