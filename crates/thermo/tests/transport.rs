//! Viscosity, thermal conductivity and surface tension against an independent property library and printed values.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use serde_json::Value;
use stemwise_thermo::transport::{self, Method};
use stemwise_thermo::Fluid;
use stemwise_units::{Density, Temperature};

fn points() -> Vec<Value> {
    let text = include_str!("data/transport-points.json");
    serde_json::from_str::<Value>(text).unwrap()["points"].as_array().unwrap().clone()
}

#[test]
fn survey() {
    for point in points() {
        let fluid = Fluid::named(point["fluid"].as_str().unwrap()).unwrap();
        let t = Temperature::from_k(point["T"].as_f64().unwrap());
        let rho = Density::from_kg_per_m3(point["rho"].as_f64().unwrap());
        let say = |what: &str, ours: Result<f64, String>, limit: f64| {
            let Some(theirs) = point.get(what) else { return };
            let off = match (&ours, theirs.as_f64()) {
                (Ok(ours), Some(theirs)) => (ours / theirs - 1.0).abs(),
                (Err(_), None) => 0.0,
                _ => 9.0,
            };
            if off > limit {
                println!("{what} {point} ours {ours:?} off {off:.2e}");
            }
        };
        say("viscosity", transport::viscosity(fluid, t, rho).map(|x| x.value.as_pa_s()).map_err(|e| e.to_string()), 1e-7);
        say("conductivity", transport::thermal_conductivity(fluid, t, rho).map(|x| x.value.as_w_per_m_k()).map_err(|e| e.to_string()), 1e-7);
        say("entropy", transport::viscosity_by(fluid, Method::EntropyScaling, t, rho).map(|x| x.value.as_pa_s()).map_err(|e| e.to_string()), 1e-7);
        say("tension", transport::surface_tension(fluid, t).map(|x| x.value.as_n_per_m()).map_err(|e| e.to_string()), 1e-7);
    }
}
