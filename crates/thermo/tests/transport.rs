//! Viscosity, thermal conductivity and surface tension against an independent property library, the papers' own check values and
//! handbooks.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use serde_json::Value;
use stemwise_thermo::transport::{self, Estimated, Method, Origin, TransportError};
use stemwise_thermo::{Fluid, MassFractions, Mixture, Substance, fluids};
use stemwise_units::{Density, Temperature};

const METHODS: [Method; 4] =
    [Method::Correlation, Method::CorrespondingStates, Method::EntropyScaling, Method::Chung];

fn points() -> Vec<Value> {
    let text = include_str!("data/transport-points.json");
    serde_json::from_str::<Value>(text).unwrap()["points"].as_array().unwrap().clone()
}

fn named(name: &str) -> &'static Fluid {
    Fluid::named(name).unwrap()
}

/// A property in SI of a pure fluid or a blend, under the name that the points have for it.
fn ask_any(what: &str, name: &str, kelvin: f64, kg_per_m3: f64) -> Result<f64, TransportError> {
    let substance = Substance::named(name)?;
    let Some(blend) = substance.mixture() else { return ask(what, named(name), kelvin, kg_per_m3) };
    let (t, rho) = (Temperature::from_k(kelvin), Density::from_kg_per_m3(kg_per_m3));
    match what {
        "viscosity" => transport::mixture_viscosity(blend, t, rho).map(|found| found.value.as_pa_s()),
        "conductivity" => {
            transport::mixture_thermal_conductivity(blend, t, rho).map(|found| found.value.as_w_per_m_k())
        }
        _ => transport::mixture_surface_tension(blend, t).map(|found| found.value.as_n_per_m()),
    }
}

/// A property in SI under the name that the points have for it.
fn ask(what: &str, fluid: &Fluid, kelvin: f64, kg_per_m3: f64) -> Result<f64, TransportError> {
    let (t, rho) = (Temperature::from_k(kelvin), Density::from_kg_per_m3(kg_per_m3));
    match what {
        "viscosity" => transport::viscosity(fluid, t, rho).map(|found| found.value.as_pa_s()),
        "entropy" => {
            transport::viscosity_by(fluid, Method::EntropyScaling, t, rho).map(|found| found.value.as_pa_s())
        }
        "conductivity" => {
            transport::thermal_conductivity(fluid, t, rho).map(|found| found.value.as_w_per_m_k())
        }
        _ => transport::surface_tension(fluid, t).map(|found| found.value.as_n_per_m()),
    }
}

/// Where the numbers differ from the library's, by how much at most, and why.
const DIFFERS: [(&str, &str, f64, &str); 7] = [
    (
        "R-13",
        "conductivity",
        0.11,
        "the library leaves the paper's cutoff of the critical enhancement unread",
    ),
    ("R-142b", "conductivity", 0.06, "as R-13"),
    ("R-218", "conductivity", 0.20, "as R-13"),
    (
        "R-152a",
        "viscosity",
        60.0,
        "below 240 K the liquid comes to the formula's closest packing and passes it: the library returns a tenth or a \
      fiftieth of the liquid's viscosity, here entropy scaling answers",
    ),
    (
        "R-601",
        "viscosity",
        5.0,
        "the library's friction theory was made for another equation of state: at 298 K it is 20 % below handbooks",
    ),
    ("R-601", "conductivity", 0.3, "the viscosity in the critical enhancement"),
    ("R-245fa", "viscosity", 2e-6, "the library's search for the conformal state of thin gas stops early"),
];

#[test]
fn same_correlation_same_number_as_an_independent_library() {
    let mut off = vec![0.0_f64; DIFFERS.len()];
    let (mut compared, mut only_here) = (0, 0);
    for point in points() {
        let name = point["fluid"].as_str().unwrap();
        let (t, rho) = (point["T"].as_f64().unwrap(), point["rho"].as_f64().unwrap());
        for what in ["viscosity", "entropy", "conductivity", "tension"] {
            let Some(theirs) = point.get(what) else { continue };
            let ours = ask_any(what, name, t, rho).unwrap_or_else(|error| panic!("{what} {point}: {error}"));
            let Some(theirs) = theirs.as_f64() else {
                only_here += 1;
                continue;
            };
            compared += 1;
            let gap = (ours / theirs - 1.0).abs();
            let row = DIFFERS.iter().position(|row| row.0 == name && row.1 == what);
            let limit = row.map_or(1e-6, |row| DIFFERS[row].2);
            assert!(gap <= limit, "{what} {point}: {ours:e}, off by {gap:.1e}");
            if let Some(row) = row {
                off[row] = off[row].max(gap);
            }
        }
    }
    assert_eq!((compared, only_here), (1577, 44));
    for (row, off) in DIFFERS.iter().zip(&off) {
        assert!(*off > 0.1 * row.2 && *off > 1e-7, "{} {} differs no more than {off:.1e}", row.0, row.1);
    }
}

/// fluid; K; density; unit of it; property; value in µPa s or mW/(m K); relative tolerance (half a unit of the last printed digit or, for
/// a paper whose table was made with another equation of state, what that makes); source.
const PRINTED: &str = "
R-290    | 280     | 11780 mol/m3 | viscosity    | 117.4      | 1e-3 | Vogel et al. 1998, as quoted in the tests of CoolProp 8.0.0
R-290    | 600     | 10030 mol/m3 | viscosity    | 73.92      | 5e-3 | same; the density's last digit
R-290    | 150     | 15140 mol/m3 | viscosity    | 656.9      | 5e-3 | same
R-125    | 300     | 10596.9998 mol/m3 | viscosity | 177.37    | 1e-3 | Huber and Laesecke 2006, same way
R-125    | 400     | 30.631 mol/m3 | viscosity   | 17.070     | 1e-3 | same
R-717    | 200     | 3.9 mol/m3   | viscosity    | 6.95       | 1e-3 | Fenghour et al. 1995, same way
R-717    | 200     | 42754.4 mol/m3 | viscosity  | 507.28     | 1e-3 | same
nitrogen | 300     | 5000 mol/m3  | viscosity    | 20.7430    | 1e-5 | Lemmon and Jacobsen 2004, table V
nitrogen | 200     | 10000 mol/m3 | viscosity    | 21.0810    | 1e-5 | same
nitrogen | 100     | 25000 mol/m3 | viscosity    | 79.7418    | 1e-5 | same
nitrogen | 126.195 | 11180 mol/m3 | viscosity    | 18.2978    | 1e-5 | same
oxygen   | 300     | 5000 mol/m3  | viscosity    | 23.7577    | 1e-5 | same
oxygen   | 100     | 35000 mol/m3 | viscosity    | 172.136    | 1e-5 | same
argon    | 300     | 5000 mol/m3  | viscosity    | 26.3706    | 1e-5 | same
argon    | 200     | 10000 mol/m3 | viscosity    | 25.5662    | 1e-5 | same
nitrogen | 300     | 5000 mol/m3  | conductivity | 32.7694    | 1e-5 | Lemmon and Jacobsen 2004, table V
nitrogen | 100     | 25000 mol/m3 | conductivity | 103.834    | 1e-5 | same
nitrogen | 126.195 | 11180 mol/m3 | conductivity | 675.800    | 1e-4 | same; 3 mK above the critical temperature
oxygen   | 300     | 5000 mol/m3  | conductivity | 32.5491    | 1e-5 | same
oxygen   | 100     | 35000 mol/m3 | conductivity | 146.044    | 1e-5 | same
argon    | 200     | 10000 mol/m3 | conductivity | 26.1377    | 1e-5 | same
R-744    | 220     | 3 kg/m3      | viscosity    | 11.104     | 1e-4 | Laesecke and Muzny 2017, table 8
R-744    | 225     | 1150 kg/m3   | viscosity    | 222.18     | 1e-4 | same
R-744    | 300     | 65 kg/m3     | viscosity    | 15.563     | 1e-4 | same
R-744    | 700     | 1200 kg/m3   | viscosity    | 229.80     | 1e-4 | same
R-744    | 250     | 2 kg/m3      | conductivity | 13.05      | 1e-3 | Huber et al. 2016, table 5 (number from memory)
R-744    | 250     | 1058 kg/m3   | conductivity | 140.00     | 1e-4 | same
R-744    | 310     | 400 kg/m3    | conductivity | 73.04      | 1e-4 | same
R-123    | 265     | 1545.8 kg/m3 | viscosity    | 627.1      | 1e-3 | Tanaka and Sotani 1996, as quoted in the tests of CoolProp 8.0.0
R-123    | 415     | 1079.4 kg/m3 | viscosity    | 121.3      | 1e-3 | same
R-123    | 430     | 996.35 kg/m3 | conductivity | 45.62      | 1e-3 | Laesecke et al. 1996, same way
R-23     | 420     | 7564 mol/m3  | viscosity    | 39.459     | 1e-4 | Shan et al. 2000, same way
R-23     | 370     | 32.62 mol/m3 | viscosity    | 18.213     | 1e-4 | same
R-23     | 420     | 7564 mol/m3  | conductivity | 50.19      | 2e-4 | same
R-23     | 370     | 32.62 mol/m3 | conductivity | 17.455     | 1e-4 | same
water    | 298.15  | 998 kg/m3    | viscosity    | 889.735100 | 1e-8 | IAPWS R12-08, table 4
water    | 433.15  | 1 kg/m3      | viscosity    | 14.538324  | 1e-7 | same
water    | 873.15  | 100 kg/m3    | viscosity    | 35.802262  | 1e-7 | same
water    | 647.35  | 122 kg/m3    | viscosity    | 25.520677  | 1e-7 | IAPWS R12-08, table 5, with the critical enhancement
water    | 647.35  | 322 kg/m3    | viscosity    | 42.961579  | 1e-7 | same
water    | 647.35  | 422 kg/m3    | viscosity    | 49.436256  | 1e-7 | same
water    | 298.15  | 998 kg/m3    | conductivity | 607.712868 | 1e-6 | IAPWS R15-11, table 4
water    | 647.35  | 122 kg/m3    | conductivity | 130.922885 | 2e-4 | IAPWS R15-11, table 5: its enhancement is made with a fit of the slope
water    | 647.35  | 322 kg/m3    | conductivity | 1443.75556 | 2e-4 | same
R-1234yf | 300     | 4.671556 kg/m3 | conductivity | 13.996    | 1e-4 | Perkins and Huber 2011, as quoted in the tests of CoolProp 8.0.0
R-1234yf | 250     | 1299.50 kg/m3 | conductivity | 88.574    | 2e-4 | same; made with an older equation of state
R-1234yf | 300     | 1182.05 kg/m3 | conductivity | 75.245    | 1e-4 | same
R-1234ze(E) | 300  | 4.67948 kg/m3 | conductivity | 13.933    | 1e-4 | same
R-1234ze(E) | 250  | 1349.37 kg/m3 | conductivity | 100.66    | 1e-4 | same
R-1234ze(E) | 300  | 1233.82 kg/m3 | conductivity | 85.389    | 2e-4 | same
R-600    | 300     | 2.3 kg/m3    | viscosity    | 7.5        | 2e-2 | CRC Handbook, viscosity of gases, 300 K, 100 kPa (from memory)
R-600a   | 300     | 2.3 kg/m3    | viscosity    | 7.6        | 2e-2 | same
R-290    | 300     | 1.8 kg/m3    | viscosity    | 8.3        | 2e-2 | same
R-744    | 300     | 1.8 kg/m3    | viscosity    | 15.0       | 1e-2 | same
R-717    | 300     | 0.7 kg/m3    | viscosity    | 10.2       | 2e-2 | same
R-601    | 298.15  | 621 kg/m3    | viscosity    | 224        | 3e-2 | CRC Handbook, viscosity of liquids, 25 °C (from memory)
R-601a   | 298.15  | 615 kg/m3    | viscosity    | 214        | 1e-1 | same
R-134a   | 273.15  | 1294.8 kg/m3 | viscosity    | 266.5      | 1e-3 | ASHRAE Handbook Fundamentals, table of R-134a, 0 °C, liquid (from memory)
R-134a   | 273.15  | 1294.8 kg/m3 | conductivity | 92.0       | 1e-3 | same
R-134a   | 273.15  | 14.42 kg/m3  | viscosity    | 10.73      | 1e-3 | same, vapour
R-134a   | 273.15  | 14.42 kg/m3  | conductivity | 11.51      | 1e-3 | same, vapour
";

#[test]
fn what_papers_and_handbooks_print() {
    let mut checked = 0;
    for line in PRINTED.trim().lines() {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [name, t, density, what, value, tolerance, source] = cells[..] else { panic!("{line}") };
        let fluid = named(name);
        let (rho, unit) = density.split_once(' ').unwrap();
        let molar = if unit == "mol/m3" { fluid.molar_mass_kg_per_mol() } else { 1.0 };
        let [t, rho, value, tolerance] = [t, rho, value, tolerance].map(|text| text.parse::<f64>().unwrap());
        let scale = if what == "viscosity" { 1e6 } else { 1e3 };
        let ours = scale * ask(what, fluid, t, rho * molar).unwrap_or_else(|error| panic!("{line}: {error}"));
        assert!(
            (ours / value - 1.0).abs() <= tolerance,
            "{name} {what} at {t} K: {ours} against {value}, {source}"
        );
        checked += 1;
    }
    assert_eq!(checked, 61);
}

/// Deviation, per cent, of an estimate from a better value; it must be within what the estimate says of itself.
#[track_caller]
fn percent<Q>(estimate: &Estimated<Q>, better: &Estimated<Q>, number: impl Fn(&Q) -> f64) -> f64 {
    let off = 100.0 * (number(&estimate.value) / number(&better.value) - 1.0);
    assert!(estimate.method.is_estimate() && !better.method.is_estimate());
    assert!(off.abs() <= estimate.uncertainty.percent.unwrap(), "{off} %, {:?}", estimate.uncertainty);
    off
}

/// Lowest and highest deviation, and how many there were.
#[derive(Clone, Copy, Debug)]
struct Spread(f64, f64, usize);

impl Spread {
    const NONE: Self = Self(f64::INFINITY, f64::NEG_INFINITY, 0);
    fn add(&mut self, value: f64) {
        *self = Self(self.0.min(value), self.1.max(value), self.2 + 1);
    }
    #[track_caller]
    fn check(&self, low: f64, high: f64) {
        assert!(self.2 > 30, "only {} to compare", self.2);
        assert!(self.0 >= low && self.1 <= high, "{self:?} is not within {low} to {high}");
        assert!(self.0 - low < 3.0 && high - self.1 < 3.0, "{self:?} is better than {low} to {high}: say so");
    }
}

/// The kind of fluid that the general methods answer for: halogenated, two to four carbons.
const ALIKE: [&str; 14] = [
    "R-116",
    "R-123",
    "R-124",
    "R-125",
    "R-141b",
    "R-142b",
    "R-152a",
    "R-218",
    "R-227ea",
    "R-236fa",
    "R-245fa",
    "R-1234yf",
    "R-1234ze(E)",
    "R-134a",
];

#[test]
fn general_methods_are_as_far_off_as_they_say() {
    let (mut liquid, mut vapour, mut warm, mut cool, mut pull) =
        (Spread::NONE, Spread::NONE, Spread::NONE, Spread::NONE, Spread::NONE);
    let general = Method::GeneralCorrespondingStates;
    for name in ALIKE {
        let fluid = named(name);
        for part in [0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95] {
            let t = Temperature::from_k(part * fluid.critical_temperature().as_k());
            let sat = fluid.saturation_at(t).unwrap();
            for (state, flow, heat) in
                [(sat.liquid, &mut liquid, &mut warm), (sat.vapour, &mut vapour, &mut cool)]
            {
                let rho = state.density();
                let estimate = transport::viscosity_by(fluid, general, t, rho).unwrap();
                let known = transport::viscosity(fluid, t, rho).unwrap();
                if known.method != Method::EntropyScaling {
                    flow.add(percent(&estimate, &known, |q| q.as_pa_s()));
                }
                let estimate = transport::thermal_conductivity_by(fluid, general, t, rho).unwrap();
                let known = transport::thermal_conductivity(fluid, t, rho).unwrap();
                heat.add(percent(&estimate, &known, |q| q.as_w_per_m_k()));
            }
            let known = transport::surface_tension(fluid, t).unwrap();
            let estimate = transport::surface_tension_by(fluid, Method::GeneralTension, t).unwrap();
            pull.add(percent(&estimate, &known, |q| q.as_n_per_m()));
        }
    }
    liquid.check(-33.0, 44.0);
    vapour.check(-10.0, 15.0);
    warm.check(-13.0, 16.0);
    cool.check(-20.0, 26.0);
    pull.check(-13.0, 40.0);
}

#[test]
fn every_fluid_is_covered_and_says_how() {
    let mut estimated = Vec::new();
    for name in fluids() {
        let fluid = named(name);
        let covered = transport::coverage(fluid);
        for (what, methods) in [
            ("viscosity", &covered.viscosity),
            ("conductivity", &covered.conductivity),
            ("tension", &covered.surface_tension),
        ] {
            if methods.first().unwrap().is_estimate() {
                estimated.push(format!("{name} {what}"));
            }
        }
        let t = Temperature::from_k(0.8 * fluid.critical_temperature().as_k());
        let liquid = fluid.saturation_at(t).unwrap().liquid.density();
        let flow = transport::viscosity(fluid, t, liquid).unwrap();
        assert_eq!(Some(&flow.method), covered.viscosity.first(), "{name}");
        let heat = transport::thermal_conductivity(fluid, t, liquid).unwrap();
        assert_eq!(Some(&heat.method), covered.conductivity.first(), "{name}");
        for uncertainty in [flow.uncertainty, heat.uncertainty] {
            let stated = uncertainty.origin != Origin::NotStated;
            assert_eq!(uncertainty.percent.is_some(), stated, "{name}");
            assert_eq!(!uncertainty.words.is_empty(), stated, "{name}");
        }
        for method in METHODS {
            let given = covered.viscosity.contains(&method);
            assert_eq!(transport::viscosity_by(fluid, method, t, liquid).is_ok(), given, "{name} {method:?}");
        }
    }
    assert_eq!(
        estimated.join(", "),
        "R-115 viscosity, R-115 conductivity, R-115 tension, R-601 viscosity, R-601a viscosity, R-1233zd(E) conductivity, \
         R-1336mzz(Z) viscosity, R-1336mzz(Z) conductivity, R-1336mzz(Z) tension"
    );
}

#[test]
fn a_saturated_density_given_back_is_one_phase() {
    for name in fluids() {
        let fluid = named(name);
        let low = fluid.lowest_temperature().as_k();
        for part in [0.05, 0.4, 0.8, 0.99] {
            let t = Temperature::from_k(low + part * (fluid.critical_temperature().as_k() - low));
            let sat = fluid.saturation_at(t).unwrap();
            for state in [sat.liquid, sat.vapour] {
                let found = transport::viscosity(fluid, t, state.density());
                assert!(found.is_ok(), "{name} at {t:?}: {found:?}");
            }
        }
    }
}

#[track_caller]
fn refused<T: core::fmt::Debug>(found: Result<T, TransportError>, kind: &str, says: &str) {
    let error = found.unwrap_err();
    assert_eq!(error.kind(), kind);
    assert!(error.to_string().contains(says), "{error}");
}

#[test]
fn what_cannot_be_told_is_refused() {
    let kelvin = Temperature::from_k;
    let rho = Density::from_kg_per_m3;
    let r134a = named("R-134a");
    refused(transport::viscosity(r134a, kelvin(300.0), rho(300.0)), "two-phases", "ask for each phase");
    refused(transport::viscosity(r134a, kelvin(f64::NAN), rho(5.0)), "temperature-out-of-range", "");
    refused(transport::viscosity(r134a, kelvin(300.0), rho(f64::NAN)), "density-out-of-range", "");
    refused(transport::thermal_conductivity(r134a, kelvin(300.0), rho(-1.0)), "density-out-of-range", "");
    refused(transport::viscosity(r134a, kelvin(50.0), rho(1600.0)), "temperature-out-of-range", "");
    let by = transport::viscosity_by(r134a, Method::EntropyScaling, kelvin(300.0), rho(5.0));
    refused(by, "no-model", "no published parameters are at hand");
    let by = transport::thermal_conductivity_by(named("R-115"), Method::Correlation, kelvin(300.0), rho(5.0));
    refused(by, "no-model", "thermal conductivity of R-115");
    let by = transport::surface_tension_by(named("R-115"), Method::Correlation, kelvin(300.0));
    refused(by, "no-model", "surface tension of R-115");
    refused(transport::surface_tension(r134a, kelvin(374.3)), "no-surface", "liquid and vapour are one");
    refused(transport::surface_tension(r134a, kelvin(f64::NAN)), "no-saturation", "");
    let beyond = transport::viscosity_by(named("R-152a"), Method::Correlation, kelvin(197.0), rho(1114.0));
    refused(beyond, "beyond-formula", "Krauss");
    let near = transport::thermal_conductivity(named("R-717"), kelvin(405.7), rho(230.0));
    refused(near, "beyond-formula", "Tufeu");
}

#[test]
fn blends_that_have_correlations_give_them_and_the_estimate_is_as_near_as_it_says() {
    let (mut liquid, mut vapour, mut warm, mut cool, mut pull) =
        (Spread::NONE, Spread::NONE, Spread::NONE, Spread::NONE, Spread::NONE);
    for name in ["R-404A", "R-407C", "R-410A", "R-507A"] {
        let substance = Substance::named(name).unwrap();
        let blend = substance.mixture().unwrap();
        for celsius in [-40, -30, -20, -10, 0, 10, 20, 30, 40, 50, 60] {
            let t = Temperature::from_celsius(f64::from(celsius));
            let sides = [
                (blend.bubble_at(t).unwrap(), &mut liquid, &mut warm),
                (blend.dew_at(t).unwrap(), &mut vapour, &mut cool),
            ];
            for (state, flow, heat) in sides {
                let rho = state.density();
                let own = transport::mixture_viscosity(blend, t, rho).unwrap();
                assert_eq!(own.method, Method::Correlation);
                let estimate = transport::mixture_viscosity_estimate(blend, t, rho).unwrap();
                flow.add(percent(&estimate, &own, |q| q.as_pa_s()));
                let own = transport::mixture_thermal_conductivity(blend, t, rho).unwrap();
                let estimate = transport::mixture_thermal_conductivity_estimate(blend, t, rho).unwrap();
                heat.add(percent(&estimate, &own, |q| q.as_w_per_m_k()));
            }
            let own = transport::mixture_surface_tension(blend, t).unwrap();
            let estimate = transport::mixture_surface_tension_estimate(blend, t).unwrap();
            pull.add(percent(&estimate, &own, |q| q.as_n_per_m()));
        }
    }
    liquid.check(-18.0, 3.0);
    vapour.check(-9.0, 4.0);
    warm.check(-8.0, 13.0);
    cool.check(-8.0, 9.0);
    pull.check(-0.1, 3.0);
}

/// V. Geller, 2000 Int. Refrigeration Conference at Purdue, as quoted in the tests of CoolProp 8.0.0: µPa s of liquid and vapour. The paper
/// stands on other densities than these: liquid differs by up to 2 %, most for R-507A at -30 °C.
const GELLER: [(&str, f64, f64, f64); 8] = [
    ("R-410A", 243.15, 238.61, 10.37),
    ("R-410A", 333.15, 70.71, 19.19),
    ("R-407C", 243.15, 304.18, 9.83),
    ("R-407C", 333.15, 95.96, 16.38),
    ("R-404A", 243.15, 264.67, 10.13),
    ("R-404A", 333.15, 73.92, 18.56),
    ("R-507A", 243.15, 284.59, 9.83),
    ("R-507A", 333.15, 74.37, 19.35),
];

#[test]
fn blends_as_their_paper_prints_them() {
    for (name, kelvin, liquid, vapour) in GELLER {
        let substance = Substance::named(name).unwrap();
        let (blend, t) = (substance.mixture().unwrap(), Temperature::from_k(kelvin));
        for (state, printed) in [(blend.bubble_at(t).unwrap(), liquid), (blend.dew_at(t).unwrap(), vapour)] {
            let found = transport::mixture_viscosity(blend, t, state.density()).unwrap().value;
            let off = found.as_micropascal_s() / printed - 1.0;
            assert!(off.abs() < 0.021, "{name} at {kelvin} K: {found:?} against {printed}");
        }
    }
}

#[test]
fn every_blend_of_the_catalogue_answers_in_a_sensible_range() {
    let mut answered = 0;
    for name in stemwise_thermo::blends().iter().map(|blend| blend.name()).filter(|name| *name != "air") {
        let substance = Substance::named(name).unwrap();
        let blend = substance.mixture().unwrap();
        let t = Temperature::from_k(0.8 * blend.critical_temperature().as_k());
        let (liquid, vapour) = (blend.bubble_at(t).unwrap().density(), blend.dew_at(t).unwrap().density());
        let flow = |rho| transport::mixture_viscosity(blend, t, rho).unwrap().value.as_micropascal_s();
        let heat =
            |rho| transport::mixture_thermal_conductivity(blend, t, rho).unwrap().value.as_mw_per_m_k();
        assert!((80.0..400.0).contains(&flow(liquid)), "{name}: {}", flow(liquid));
        assert!((7.0..15.0).contains(&flow(vapour)), "{name}: {}", flow(vapour));
        assert!((40.0..140.0).contains(&heat(liquid)), "{name}: {}", heat(liquid));
        assert!((7.0..22.0).contains(&heat(vapour)), "{name}: {}", heat(vapour));
        let pull = transport::mixture_surface_tension(blend, t).unwrap().value.as_mn_per_m();
        assert!((4.0..13.0).contains(&pull), "{name}: {pull}");
        answered += 1;
    }
    assert!(answered > 35, "only {answered}");
}

/// E. W. Lemmon, R. T Jacobsen, Int. J. Thermophys. 25 (2004) 21-69, as quoted in the tests of CoolProp 8.0.0: dry air, which has a correlation that is not used here. K, mol/m³,
/// µPa s, mW/(m K).
const AIR: [(f64, f64, f64, f64); 4] = [
    (300.0, 1e-3, 18.5230, 26.3529),
    (100.0, 28000.0, 107.923, 119.221),
    (200.0, 10000.0, 21.1392, 35.3185),
    (300.0, 5000.0, 21.3241, 32.6062),
];

#[test]
fn the_estimate_makes_air_of_its_components() {
    let substance = Substance::named("air").unwrap();
    let air = substance.mixture().unwrap();
    for (kelvin, density, flow, heat) in AIR {
        let t = Temperature::from_k(kelvin);
        let rho = Density::from_kg_per_m3(density * air.molar_mass_kg_per_mol());
        let found = transport::mixture_viscosity(air, t, rho).unwrap().value.as_micropascal_s();
        assert!((found / flow - 1.0).abs() < 0.025, "{kelvin} K: {found} against {flow}");
        let found = transport::mixture_thermal_conductivity(air, t, rho).unwrap().value.as_mw_per_m_k();
        assert!((found / heat - 1.0).abs() < 0.045, "{kelvin} K: {found} against {heat}");
    }
}

#[test]
fn any_mixture_is_estimated_and_one_component_alone_is_itself() {
    let substance = Substance::named("R-454B").unwrap();
    let blend = substance.mixture().unwrap();
    let t = Temperature::from_celsius(25.0);
    let (liquid, vapour) = (blend.bubble_at(t).unwrap().density(), blend.dew_at(t).unwrap().density());
    for rho in [liquid, vapour] {
        assert!(transport::mixture_viscosity(blend, t, rho).unwrap().method.is_estimate());
        assert!(transport::mixture_thermal_conductivity(blend, t, rho).unwrap().method.is_estimate());
    }
    assert!(transport::mixture_surface_tension(blend, t).unwrap().method.is_estimate());
    let between = Density::from_kg_per_m3(400.0);
    refused(transport::mixture_viscosity(blend, t, between), "mixture", "of its own composition");
    let nan = Density::from_kg_per_m3(f64::NAN);
    refused(transport::mixture_viscosity(blend, t, nan), "density-out-of-range", "");
    let hot = Temperature::from_celsius(150.0);
    refused(transport::mixture_surface_tension(blend, hot), "no-saturation", "");

    let alone = Mixture::by_mass(vec![named("R-290")], &MassFractions::of_parts(&[1.0]).unwrap()).unwrap();
    let liquid = named("R-290").saturation_at(t).unwrap().liquid.density();
    let mixed = transport::mixture_viscosity(&alone, t, liquid).unwrap().value.as_pa_s();
    let own = ask("viscosity", named("R-290"), t.as_k(), liquid.as_kg_per_m3()).unwrap();
    assert!((mixed / own - 1.0).abs() < 1e-4, "{mixed:e} {own:e}");
    let mixed = transport::mixture_surface_tension(&alone, t).unwrap().value.as_n_per_m();
    let own = ask("tension", named("R-290"), t.as_k(), 1.0).unwrap();
    assert!((mixed / own - 1.0).abs() < 1e-4, "{mixed:e} {own:e}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: prop::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn nothing_panics_and_every_value_is_positive(
        at in 0..fluids().len(),
        kelvin in prop_oneof![100.0..700.0, any::<f64>()],
        log in -6.0..3.4f64,
        odd in prop_oneof![9 => Just(None), 1 => any::<f64>().prop_map(Some)],
    ) {
        let fluid = named(fluids()[at]);
        let rho = odd.unwrap_or_else(|| libm::pow(10.0, log));
        for what in ["viscosity", "entropy", "conductivity", "tension"] {
            if let Ok(value) = ask(what, fluid, kelvin, rho) {
                prop_assert!(value.is_finite() && value >= 0.0, "{what} {value}");
            }
        }
    }
}
