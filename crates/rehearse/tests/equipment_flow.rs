//! Flow through openings, tubes and capillaries against textbooks and against flow worked out from the equations of state.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(clippy::disallowed_methods, reason = "what is compared here needs no bits alike on two machines")]
#![allow(clippy::float_cmp, reason = "zero and limits are meant exactly")]

use stemwise_rehearse::equipment::flow::{
    BallValve, Boiling, Capillary, Check, Core, Expansion, Hose, MassFlow, Opening, Outlet, Relief,
    ServiceValve, Solenoid, Source, StemSeat, Tube, TwoPhase, horizontal_level,
};
use stemwise_thermo::{Fluid, Given, RawState, transport};
use stemwise_units::{Density, Pressure, SpecificHeat, Temperature};

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    let off = (value / expected - 1.0).abs();
    assert!(off <= relative, "{what}: {value} instead of {expected}, off by {:.2} %", 100.0 * off);
}

fn perfect_gas(pa: f64, kelvin: f64, gas_constant: f64, exponent: f64, viscosity: f64) -> Source {
    Source::expanding(pa, pa / (gas_constant * kelvin), viscosity, Expansion::gas(exponent))
}

/// The flux of an isentropic perfect gas (any textbook on gas dynamics).
fn isentropic(pa: f64, density: f64, k: f64, ratio: f64) -> f64 {
    let critical = (2.0 / (k + 1.0)).powf(k / (k - 1.0));
    let r = ratio.max(critical);
    (2.0 * k / (k - 1.0) * pa * density * (r.powf(2.0 / k) - r.powf((k + 1.0) / k))).sqrt()
}

#[test]
fn gas_flows_as_an_isentropic_perfect_gas() {
    let mut worst: f64 = 0.0;
    for k in [1.05, 1.1, 1.15, 1.2, 1.3, 1.4, 1.667] {
        for step in 0..=98 {
            let ratio = f64::from(step) / 100.0;
            let source = Source::expanding(1e6, 10.0, 1e-9, Expansion::gas(k));
            let opening = Opening { softening_pa: 1e-6, ..Opening::round(1.0, 1.0) };
            let flux = opening.into_pressure(&source, ratio * 1e6).kg_per_s / opening.area_m2;
            worst = worst.max((flux / isentropic(1e6, 10.0, k, ratio) - 1.0).abs());
        }
    }
    assert!(worst < 0.0125, "{worst}");
}

/// Çengel & Boles, Thermodynamics, Example 17-6 (values from memory: 1 MPa, 600 °C, 150 m/s, throat 50 cm²; 7.10 kg/s choked at 0.4 MPa,
/// 6.76 kg/s at 0.7 MPa; cp 1.005, k 1.4 → T0 884 K, p0 1.045 MPa).
#[test]
fn textbook_converging_nozzle() {
    let source = perfect_gas(1.045e6, 884.0, 287.0, 1.4, 3.9e-5);
    let nozzle = Opening { area_m2: 50e-4, discharge: 1.0, hydraulic_diameter_m: 0.08, softening_pa: 1.0 };
    near(nozzle.into_pressure(&source, 0.4e6).kg_per_s, 7.10, 0.01, "choked");
    near(nozzle.into_pressure(&source, 0.7e6).kg_per_s, 6.76, 0.012, "not choked");
}

/// ISO 4126-1 and API 520 Part I, critical gas flow: W = 0.03948·√(k·(2/(k+1))^((k+1)/(k−1)))·Kd·A·p·√(M/(T·Z)) in kg/h, mm², kPa.
#[test]
fn relief_capacity_by_the_standards_formula() {
    for (k, molar, kelvin) in [(1.4f64, 28.96f64, 300.0f64), (1.11, 102.03, 320.0), (1.3, 17.03, 310.0)] {
        let c = 0.03948 * (k * (2.0 / (k + 1.0)).powf((k + 1.0) / (k - 1.0))).sqrt();
        let (area, kd, kpa) = (78.5, 0.7, 1.1 * 2500.0 + 101.325);
        let expected = c * kd * area * kpa * (molar / kelvin).sqrt() / 3600.0;
        let up = perfect_gas(kpa * 1e3, kelvin, 8314.46 / molar, k, 1.2e-5);
        let air = perfect_gas(101_325.0, 300.0, 287.0, 1.4, 1.8e-5);
        let opening =
            Opening { area_m2: area * 1e-6, discharge: kd, hydraulic_diameter_m: 0.01, softening_pa: 1.0 };
        let valve = Relief { opening, set_pa: 2.5e6, overpressure: 0.1, blowdown: 0.1 };
        near(valve.lifted(&up, &air).kg_per_s, expected, 2e-3, "relief");
    }
}

#[test]
fn relief_lifts_at_its_setting_and_reseats_below() {
    let valve =
        Relief { opening: Opening::round(0.01, 0.7), set_pa: 2.5e6, overpressure: 0.1, blowdown: 0.1 };
    assert!(!valve.lifts(false, 2.49e6) && valve.lifts(false, 2.5e6));
    assert!(valve.lifts(true, 2.3e6) && !valve.lifts(true, 2.25e6));
}

/// API 520 Part I, annex on two-phase relief, example of a flashing crude stream (from memory): p0 556.379 kPa, v0 0.01945 m³/kg, ω 1.482
/// give a critical pressure ratio of 0.66 and 2900 kg/(s·m²). The standard reads the ratio from a chart to two figures, and the flux from that.
#[test]
fn omega_method_example() {
    let source = Source::expanding(556_379.0, 1.0 / 0.01945, 1e-9, Expansion::omega(1.482));
    near(source.choke_pa() / 556_379.0, 0.66, 0.0076, "critical ratio");
    near(source.nozzle(0.0).value.sqrt(), 2900.0, 0.0076, "flux");
}

fn boiling(fluid: &Fluid, kelvin: f64) -> Boiling {
    let liquid = at_quality(fluid, kelvin, 0.0);
    let vapour = at_quality(fluid, kelvin, 1.0);
    let cold = fluid
        .raw_state(Given::TemperaturePressure(Temperature::from_k(kelvin - 1.0), Pressure::from_pa(liquid.p)))
        .unwrap();
    Boiling {
        liquid_kg_per_m3: liquid.rho,
        vapour_kg_per_m3: vapour.rho,
        liquid_cp_j_per_kg_k: cold.cp.unwrap(),
        vaporisation_j_per_kg: vapour.h - liquid.h,
        temperature_k: kelvin,
        saturation_pa: liquid.p,
    }
}

fn at_quality(fluid: &Fluid, kelvin: f64, quality: f64) -> RawState {
    fluid.raw_state(Given::TemperatureQuality(Temperature::from_k(kelvin), quality)).unwrap()
}

/// Homogeneous equilibrium flow from the equation of state: ρ·√(2(h₀ − h)) along the isentrope, the greatest down to the outlet pressure.
fn equilibrium_flux(fluid: &Fluid, from: &RawState, down_pa: f64) -> f64 {
    let steps = 200;
    let mut best: f64 = 0.0;
    for step in 1..=steps {
        let p = from.p + (down_pa - from.p) * f64::from(step) / f64::from(steps);
        let given = Given::PressureEntropy(Pressure::from_pa(p), SpecificHeat::from_j_per_kg_k(from.s));
        let Ok(state) = fluid.raw_state(given) else { continue };
        best = best.max(state.rho * (2.0 * (from.h - state.h)).max(0.0).sqrt());
    }
    best
}

/// Saturated liquid, mixtures and subcooled liquid of three refrigerants, choked, against equilibrium flow from the equations of state.
#[test]
fn flashing_flow_agrees_with_the_equations_of_state() {
    let mut checked = 0;
    for name in ["R134a", "R22", "R290"] {
        let fluid = Fluid::named(name).unwrap();
        for kelvin in [263.15, 293.15, 313.15] {
            let boil = boiling(fluid, kelvin);
            let vapour = at_quality(fluid, kelvin, 1.0);
            let exponent = vapour.rho * vapour.w.unwrap().powi(2) / vapour.p;
            let flash = Expansion::boiling(&boil);
            for quality in [0.0, 0.05, 0.2, 0.5, 0.8] {
                let state = at_quality(fluid, kelvin, quality);
                let void = quality * state.rho / boil.vapour_kg_per_m3;
                let expansion = Expansion::mixed(&Expansion::gas(exponent), &flash, void);
                let source = Source::expanding(state.p, state.rho, 1e-9, expansion);
                let exact = equilibrium_flux(fluid, &state, 0.3 * state.p);
                near(
                    source.nozzle(0.3 * state.p).value.sqrt(),
                    exact,
                    0.025,
                    &format!("{name} {kelvin} K x {quality}"),
                );
                checked += 1;
            }
            for subcooling in [2.0, 5.0, 10.0] {
                let state = fluid
                    .raw_state(Given::TemperaturePressure(
                        Temperature::from_k(kelvin - subcooling),
                        Pressure::from_pa(boil.saturation_pa),
                    ))
                    .unwrap();
                let cold = boiling(fluid, kelvin - subcooling);
                let source =
                    Source::liquid(state.p, state.rho, 1e-9, Expansion::boiling(&cold), cold.saturation_pa);
                let exact = equilibrium_flux(fluid, &state, 0.3 * state.p);
                near(
                    source.nozzle(0.3 * state.p).value.sqrt(),
                    exact,
                    0.025,
                    &format!("{name} {kelvin} K, {subcooling} K subcooled"),
                );
                checked += 1;
            }
        }
    }
    assert_eq!(checked, 72);
}

/// Cold liquid: Bernoulli, ṁ = Cd·A·√(2ρΔp) (any textbook).
#[test]
fn liquid_far_from_boiling_follows_bernoulli() {
    let source = Source::liquid(2e6, 1000.0, 1e-4, Expansion::omega(5.0), 1e4);
    let opening = Opening::round(2e-3, 0.61);
    let expected = 0.61 * opening.area_m2 * (2.0f64 * 1000.0 * 1e6).sqrt();
    near(opening.into_pressure(&source, 1e6).kg_per_s, expected, 1e-4, "Bernoulli");
}

/// Isothermal choked blow-down of a vessel has a closed form: p = p₀·exp(−Cd·A·ψ·√(RT)·t/V), ψ the critical flow function.
#[test]
fn blow_down_of_a_vessel_is_exponential_while_choked() {
    let (volume, kelvin, r, k) = (0.05, 293.15, 296.8, 1.4f64);
    let opening = Opening::round(1.5e-3, 0.8);
    let mut mass = 2e6 * volume / (r * kelvin);
    let (mut time, step) = (0.0, 0.01);
    while time < 60.0 - 1e-9 {
        let flow = |mass: f64| {
            let source = perfect_gas(mass * r * kelvin / volume, kelvin, r, k, 1.76e-5);
            opening.into_pressure(&source, 101_325.0).kg_per_s
        };
        mass -= step * flow(mass - 0.5 * step * flow(mass));
        time += step;
    }
    let psi = (k * (2.0 / (k + 1.0)).powf((k + 1.0) / (k - 1.0))).sqrt();
    let expected = 2e6 * (-0.8 * opening.area_m2 * psi * (r * kelvin).sqrt() * 60.0 / volume).exp();
    assert!(expected > 3e5, "still choked: {expected}");
    near(mass * r * kelvin / volume, expected, 2e-3, "pressure after a minute");
}

/// Hagen–Poiseuille and Moody's chart (Colebrook): water at 20 °C (998 kg/m³, 1.002e-3 Pa·s).
#[test]
fn tube_friction_laminar_and_turbulent() {
    let tube = Tube { roughness_m: 0.0, ..Tube::copper(2e-3, 10.0) };
    let water = |pa: f64| Source::liquid(pa, 998.0, 1.002e-3, Expansion::omega(1.0), 2339.0);
    let laminar = tube.between(&water(103_000.0), &water(101_000.0)).kg_per_s;
    let expected = 998.0 * std::f64::consts::PI * 2e-3f64.powi(4) * 2000.0 / (128.0 * 1.002e-3 * 10.0);
    near(laminar, expected, 2e-3, "Hagen-Poiseuille");

    // Re 1e5, k/d 0: f 0.0180; k/d 0.01: f 0.0385 (Moody's chart as printed in textbooks).
    for (rough, f) in [(0.0, 0.0180), (0.01, 0.0385)] {
        let bore = 0.02;
        let tube = Tube { bore_m: bore, length_m: 400.0, roughness_m: rough * bore, softening_pa: 1.0 };
        let speed = 1e5 * 1.002e-3 / (998.0 * bore);
        let drop = (f * 400.0 / bore + 1.5) * 998.0 * speed * speed / 2.0;
        let flow = tube.between(&water(1e5 + drop), &water(1e5)).kg_per_s;
        near(flow / (998.0 * tube.area_m2()), speed, 0.01, "Colebrook");
    }
}

/// Adiabatic flow of a perfect gas with friction, choked at the end (Fanno): for k 1.4 the tables give 4fL*/D (Darcy's fL/D) at the inlet Mach
/// numbers 0.1: 66.92, 0.2: 14.53, 0.3: 5.299, 0.5: 1.069.
#[test]
fn choked_tube_against_fanno() {
    for (mach, friction) in [(0.1f64, 66.92), (0.2, 14.53), (0.3, 5.299), (0.5, 1.069)] {
        let (kelvin, pa, bore) = (293.15, 1e6, 0.02);
        let viscosity = 1e-5;
        // The length that makes this f for the roughness taken, then the flow out of a reservoir through a rounded entrance.
        let f = 0.0380;
        let length = friction * bore / f;
        let tube = Tube { bore_m: bore, length_m: length, roughness_m: 0.0097 * bore, softening_pa: 1.0 };
        let source = perfect_gas(pa, kelvin, 287.0, 1.4, viscosity);
        let outside = perfect_gas(1e3, kelvin, 287.0, 1.4, viscosity);
        let flux = tube.between(&source, &outside).kg_per_s / tube.area_m2();
        let drop = 1.0 + 0.2 * mach * mach;
        let expected = pa * mach * (1.4 / (287.0 * kelvin)).sqrt() / drop.powi(3);
        near(flux, expected, 0.06, &format!("Fanno at inlet Mach {mach}"));
    }
}

/// ASHRAE Handbook—Refrigeration 2014, chapter 11: R-134a, bore 1.1 mm, 3.0 m, 1.4 MPa, 15 K subcooled: 15.12 kg/h by its correlation (worked
/// example in the documentation of a general-purpose equation solver, read). The correlation itself (from memory) reproduces it.
#[test]
fn capillary_against_the_handbook() {
    near(handbook_capillary("R134a", 1.4e6, 15.0, 1.1e-3, 3.0) * 3600.0, 15.12, 0.01, "the correlation");
    near(capillary_flow("R134a", 1.4e6, 15.0, 1.1e-3, 3.0) * 3600.0, 15.12, 0.04, "the law");
    for (name, pa) in [("R134a", 1.0e6), ("R22", 1.6e6), ("R32", 2.5e6), ("R290", 1.4e6), ("R600a", 0.6e6)] {
        for subcooling in [3.0, 8.0, 15.0] {
            for (bore, length) in [(0.66e-3, 2.0), (0.8e-3, 3.0), (1.1e-3, 1.5), (1.5e-3, 2.0)] {
                let expected = handbook_capillary(name, pa, subcooling, bore, length);
                let what = format!("{name}, {subcooling} K, {bore} m by {length} m");
                let tolerance = if name == "R600a" { 0.2 } else { 0.1 };
                near(capillary_flow(name, pa, subcooling, bore, length), expected, tolerance, &what);
            }
        }
    }
}

/// R. R. Bittle, D. A. Wolf & M. B. Pate, HVAC&R Research 4 (1998) 27, subcooled inlet (from memory).
fn handbook_capillary(name: &str, pa: f64, subcooling: f64, bore: f64, length: f64) -> f64 {
    let fluid = Fluid::named(name).unwrap();
    let kelvin = fluid.saturation_at_pressure(Pressure::from_pa(pa)).unwrap().temperature.as_k() - subcooling;
    let boil = boiling(fluid, kelvin);
    let (liquid, vapour) = (boil.liquid_kg_per_m3, boil.vapour_kg_per_m3);
    let (mu, mu_vapour) = (viscosity(fluid, kelvin, liquid), viscosity(fluid, kelvin, vapour));
    let square = (bore * liquid / mu).powi(2);
    let pi_8 = 1.8925
        * (length / bore).powf(-0.484)
        * (square * boil.vaporisation_j_per_kg).powf(-0.824)
        * (square * pa / liquid).powf(1.369)
        * (square * boil.liquid_cp_j_per_kg_k * subcooling).powf(0.0187)
        * (liquid / vapour).powf(0.773)
        * ((mu - mu_vapour) / mu_vapour).powf(0.265);
    pi_8 * bore * mu
}

fn viscosity(fluid: &Fluid, kelvin: f64, density: f64) -> f64 {
    let (at, density) = (Temperature::from_k(kelvin), Density::from_kg_per_m3(density));
    transport::viscosity(fluid, at, density).unwrap().value.as_micropascal_s() * 1e-6
}

fn capillary_flow(name: &str, pa: f64, subcooling: f64, bore: f64, length: f64) -> f64 {
    let fluid = Fluid::named(name).unwrap();
    let top = fluid.saturation_at_pressure(Pressure::from_pa(pa)).unwrap();
    let kelvin = top.temperature.as_k() - subcooling;
    let boil = boiling(fluid, kelvin);
    let viscosity = viscosity(fluid, kelvin, boil.liquid_kg_per_m3);
    let up =
        Source::liquid(pa, boil.liquid_kg_per_m3, viscosity, Expansion::boiling(&boil), boil.saturation_pa);
    let down = Source::expanding(0.05 * pa, 2.0, 1.1e-5, Expansion::gas(1.1));
    Capillary::copper(bore, length).between(&up, &down).kg_per_s
}

#[test]
fn two_phase_friction_has_its_limits() {
    let mix =
        TwoPhase { liquid_kg_per_m3: 1200.0, vapour_kg_per_m3: 20.0, liquid_pa_s: 2e-4, vapour_pa_s: 1.2e-5 };
    let (density, viscosity) = mix.friction(0.0);
    near(density, 1200.0, 1e-4, "liquid");
    near(viscosity, 2e-4, 1e-4, "liquid viscosity");
    let (density, viscosity) = mix.friction(1.0);
    near(density, 20.0, 1e-9, "vapour");
    near(viscosity, 1.2e-5, 1e-9, "vapour viscosity");
    // Müller-Steinhagen & Heck's own formula at one friction factor: x = 0.3.
    let (a, b, x) = (1.0 / 1200.0, 1.0 / 20.0, 0.3f64);
    let expected = 1.0 / ((a + 2.0 * (b - a) * x) * (1.0 - x).cbrt() + b * x.powi(3));
    near(mix.friction(x).0, expected, 1e-3, "mixture");
}

/// A lying cylinder by the circle's segment: a quarter of the diameter holds 19.55 % (mathematical tables), half holds half.
#[test]
fn outlets_draw_by_level() {
    near(horizontal_level(0.195_501), 0.25, 1e-5, "a quarter of the diameter");
    near(horizontal_level(0.804_499), 0.75, 1e-5, "three quarters");
    near(horizontal_level(0.5), 0.5, 1e-9, "half");
    assert!(horizontal_level(0.0) == 0.0 && horizontal_level(1.0) == 1.0);
    let dip = Outlet { height_m: 0.01, bore_m: 0.01 };
    assert!(dip.liquid_part(0.02) == 1.0 && dip.liquid_part(0.0) == 0.0 && dip.liquid_part(0.01) == 0.5);
    near(Outlet::quality(0.5, 1000.0, 50.0), 50.0 / 1050.0, 1e-12, "half liquid");
    assert_eq!(Outlet::quality(0.0, 1000.0, 50.0), 1.0);
}

/// Where both ends hold the same fluid, the far end's state is no matter.
#[test]
fn into_a_pressure_is_between_two_alike() {
    let up = Source::expanding(1e6, 40.0, 1.2e-5, Expansion::gas(1.1));
    for pa in [0.2e6, 0.7e6, 0.999e6, 1.0e6] {
        let down = Source::expanding(pa, 40.0, 1.2e-5, Expansion::gas(1.1));
        let opening = Opening::round(2e-3, 0.7);
        assert_eq!(opening.into_pressure(&up, pa), opening.between(&up, &down));
        let tube = Tube::copper(8e-3, 2.0);
        assert_eq!(tube.into_pressure(&up, pa), tube.between(&up, &down));
        let capillary = Capillary::copper(1e-3, 2.0);
        assert_eq!(capillary.into_pressure(&up, pa), capillary.between(&up, &down));
    }
}

/// Laminar resistances add up: two like ones pass half; turbulent ones 1/√2.
#[test]
fn resistances_one_behind_the_other() {
    let one = MassFlow { kg_per_s: 2.0, per_a_pa: 0.2, per_b_pa: -0.2 };
    near(one.in_series_viscous(one).kg_per_s, 1.0, 1e-12, "laminar");
    near(one.in_series_viscous(one).per_a_pa, 0.1, 1e-12, "laminar slope");
    near(one.in_series(one).kg_per_s, 2f64.sqrt(), 1e-12, "turbulent");
    near(one.in_series(one).per_a_pa, 0.2 / 2f64.sqrt(), 1e-12, "turbulent slope");
}

#[test]
fn a_stem_shuts_cracks_and_opens() {
    let seat = StemSeat { bore_m: 8e-3, lift_per_turn_m: 1.5e-3, leak_m2: 0.0 };
    let valve = ServiceValve { line: seat, port: StemSeat { bore_m: 3e-3, ..seat }, turns: 7.0 };
    let (line, port) = valve.openings(0.0);
    assert!(port.area_m2 == 0.0 && line.area_m2 > 0.9 * std::f64::consts::FRAC_PI_4 * 64e-6);
    let (_, cracked) = valve.openings(0.125);
    let (_, middle) = valve.openings(3.5);
    assert!(cracked.area_m2 > 0.0 && cracked.area_m2 < 0.3 * middle.area_m2);
    let (line, port) = valve.openings(7.0);
    assert!(line.area_m2 == 0.0 && port.area_m2 > 0.9 * std::f64::consts::FRAC_PI_4 * 9e-6);

    let ball = BallValve { bore_m: 6e-3 };
    assert_eq!(ball.opening(0.1).area_m2, 0.0);
    near(ball.opening(1.0).area_m2, std::f64::consts::FRAC_PI_4 * 36e-6, 1e-12, "open ball");
    assert!(Core::QUARTER_INCH.out().area_m2 > 4.0 * Core::QUARTER_INCH.pressed(1.0).area_m2);
    assert_eq!(Core::QUARTER_INCH.pressed(0.0).area_m2, 0.0);
}

mod shape {
    use proptest::prelude::*;

    use super::*;

    /// Any upstream state that a refrigerating circuit can show, from vacuum to liquid.
    fn source() -> impl Strategy<Value = (u8, f64, f64, f64, f64)> {
        (0u8..3, 2.0..6.5f64, 0.0..1.0f64, 0.0..1.0f64, 0.02..0.98f64)
    }

    fn build((kind, log_p, a, b, cold): (u8, f64, f64, f64, f64)) -> impl Fn(f64) -> Source {
        let p0 = 10f64.powf(log_p);
        move |pa: f64| match kind {
            0 => Source::expanding(pa, p0 / 2e4 * (1.0 + a), 1e-5 * (1.0 + b), Expansion::gas(0.8 + 0.8 * a)),
            1 => Source::expanding(pa, p0 / 2e4 * 10f64.powf(a), 5e-5, Expansion::omega(0.6 + 20.0 * b * b)),
            _ => Source::liquid(pa, 500.0 + 900.0 * a, 2e-4, Expansion::omega(0.8 + 20.0 * b), cold * p0),
        }
    }

    /// The slopes must be those of the values, the flow rise with the one pressure and fall with the other, and pass zero smoothly.
    fn check(flow: impl Fn(f64, f64) -> MassFlow, pa: f64, ratio: f64) -> Result<(), TestCaseError> {
        let (up, down) = (pa, pa * ratio);
        let here = flow(up, down);
        prop_assert!(here.kg_per_s.is_finite() && here.per_a_pa.is_finite() && here.per_b_pa.is_finite());
        prop_assert!(here.per_b_pa <= 0.0, "falls with the pressure behind: {here:?}");
        let step = 1e-5 * pa;
        // Regimes meet with a bend in the slope; there the difference quotient lies between the slopes around it.
        let agrees = |quotient: f64, around: [f64; 3]| {
            let (least, most) = around.iter().fold((f64::MAX, f64::MIN), |(l, m), s| (l.min(*s), m.max(*s)));
            let slack = 1e-3 * quotient.abs().max(here.kg_per_s.abs() / pa);
            quotient >= least - slack && quotient <= most + slack
        };
        let (over, under) = (flow(up, down + step), flow(up, down - step));
        let quotient = (over.kg_per_s - under.kg_per_s) / (2.0 * step);
        let around = [under.per_b_pa, here.per_b_pa, over.per_b_pa];
        prop_assert!(agrees(quotient, around), "by b: {quotient} against {around:?}");
        let (over, under) = (flow(up + step, down), flow(up - step, down));
        let quotient = (over.kg_per_s - under.kg_per_s) / (2.0 * step);
        let around = [under.per_a_pa, here.per_a_pa, over.per_a_pa];
        prop_assert!(agrees(quotient, around), "by a: {quotient} against {around:?}");
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn openings((from, to, ratio) in (source(), source(), 0.0..1.3f64)) {
            let (a, b) = (build(from), build(to));
            let opening = Opening { softening_pa: 0.01 * 10f64.powf(from.1), ..Opening::round(2e-3, 0.7) };
            let pa = 10f64.powf(from.1);
            check(|p, q| opening.between(&a(p), &b(q)), pa, ratio)?;
        }

        #[test]
        fn tubes((from, to, ratio) in (source(), source(), 0.0..1.3f64)) {
            let (a, b) = (build(from), build(to));
            let tube = Tube { softening_pa: 0.01 * 10f64.powf(from.1), ..Tube::copper(8e-3, 2.0) };
            check(|p, q| tube.between(&a(p), &b(q)), 10f64.powf(from.1), ratio)?;
        }

        #[test]
        fn capillaries((from, to, ratio) in (source(), source(), 0.0..1.3f64)) {
            let (a, b) = (build(from), build(to));
            let tube = Tube { softening_pa: 0.01 * 10f64.powf(from.1), ..Tube::copper(0.8e-3, 2.0) };
            let capillary = Capillary { tube };
            check(|p, q| capillary.between(&a(p), &b(q)), 10f64.powf(from.1), ratio)?;
        }

        #[test]
        fn one_way((from, ratio, lifted) in (source(), 0.3..1.3f64, 0.0..1.0f64)) {
            let a = build(from);
            let pa = 10f64.powf(from.1);
            let opening = Opening { softening_pa: 0.01 * pa, ..Opening::round(5e-3, 0.7) };
            let valve = Check { opening, cracking_pa: 0.02 * pa, full_pa: 0.1 * pa, leak: 1e-4 };
            check(|p, q| valve.between(&a(p), &a(q)), pa, ratio)?;
            let valve = Solenoid {
                opening, minimum_opening_pa: 0.1 * pa, pilot: 0.05, reverse_lift_pa: 0.1 * pa, leak: 0.0,
            };
            check(|p, q| valve.between(&a(p), &a(q), lifted), pa, ratio)?;
        }

        #[test]
        fn hoses((from, ratio) in (source(), 0.0..1.3f64)) {
            let a = build(from);
            let pa = 10f64.powf(from.1);
            let tube = Tube { softening_pa: 0.01 * pa, ..Tube::copper(4.8e-3, 1.5) };
            let end = Opening { softening_pa: 0.01 * pa, ..Core::QUARTER_INCH.pressed(1.0) };
            let hose = Hose { tube, end: Some(end) };
            let whole = hose.between(&a(pa), &a(pa * ratio)).kg_per_s.abs();
            let alone = tube.between(&a(pa), &a(pa * ratio)).kg_per_s.abs();
            prop_assert!(whole <= alone * (1.0 + 1e-12));
            check(|p, q| hose.between(&a(p), &a(q)), pa, ratio)?;
        }
    }

    /// Through zero with a different fluid at each end: value and slope from both sides meet.
    #[test]
    fn zero_flow_is_smooth_between_liquid_and_vapour() {
        let liquid = |pa| Source::liquid(pa, 1200.0, 2e-4, Expansion::omega(6.0), 0.9e6);
        let vapour = |pa| Source::expanding(pa, 40.0, 1.3e-5, Expansion::gas(1.05));
        let opening = Opening::round(3e-3, 0.7);
        let tube = Tube::copper(8e-3, 2.0);
        let capillary = Capillary::copper(1e-3, 2.0);
        let laws: [&dyn Fn(f64, f64) -> MassFlow; 3] = [
            &|p, q| opening.between(&liquid(p), &vapour(q)),
            &|p, q| tube.between(&liquid(p), &vapour(q)),
            &|p, q| capillary.between(&liquid(p), &vapour(q)),
        ];
        for law in laws {
            let (over, under) = (law(1e6 + 1e-5, 1e6), law(1e6 - 1e-5, 1e6));
            near(over.per_a_pa, under.per_a_pa, 1e-3, "slope at zero");
            assert!(over.kg_per_s > 0.0 && under.kg_per_s < 0.0);
            let mut last = f64::NEG_INFINITY;
            for step in -400..=400 {
                let x = f64::from(step) / 20.0;
                let flow = law(1e6 + x * x * x, 1e6).kg_per_s;
                assert!(flow >= last, "monotone at {x}");
                last = flow;
            }
        }
    }
}
