//! Compressors against textbook cycles, the equations of state and hand arithmetic.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(clippy::disallowed_methods, reason = "what is compared here needs no bits alike on two machines")]
#![allow(clippy::float_cmp, reason = "zero and limits are meant exactly")]

use proptest::prelude::*;
use stemwise_rehearse::equipment::compressor::{
    CrankcaseHeater, Displacement, Motor, Polynomial, Published, Scale, Suction, isentropic_work, slugging,
    superheat_correction,
};
use stemwise_thermo::{Fluid, Given};
use stemwise_units::{Pressure, SpecificHeat, Temperature};

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    let off = (value / expected - 1.0).abs();
    assert!(off <= relative, "{what}: {value} instead of {expected}, off by {:.2} %", 100.0 * off);
}

fn suction(fluid: &Fluid, kelvin: f64, pa: f64) -> (Suction, f64, f64) {
    let given = Given::TemperaturePressure(Temperature::from_k(kelvin), Pressure::from_pa(pa));
    let state = fluid.raw_state(given).unwrap();
    let exponent = state.rho * state.w.unwrap().powi(2) / pa;
    (Suction { pa, kg_per_m3: state.rho, exponent }, state.h, state.s)
}

/// Against the equations of state, suction 10 K superheated.
#[test]
fn isentropic_work_is_that_of_the_equation_of_state() {
    let mut checked = 0;
    for name in ["R134a", "R22", "R290", "R717", "R32"] {
        let fluid = Fluid::named(name).unwrap();
        for evaporating in [243.15, 263.15, 278.15] {
            let pa = fluid.saturation_at(Temperature::from_k(evaporating)).unwrap().pressure.as_pa();
            let (at, h, s) = suction(fluid, evaporating + 10.0, pa);
            for ratio in [1.5, 3.0, 5.0, 8.0] {
                if pa * ratio > 0.7 * fluid.critical_pressure().as_pa() {
                    continue;
                }
                let given =
                    Given::PressureEntropy(Pressure::from_pa(pa * ratio), SpecificHeat::from_j_per_kg_k(s));
                let end = fluid.raw_state(given).unwrap();
                checked += 1;
                near(
                    isentropic_work(&at, pa * ratio),
                    end.h - h,
                    0.05,
                    &format!("{name} {evaporating} K, {ratio}"),
                );
            }
        }
    }
    assert!(checked >= 50, "{checked}");
}

/// Moran & Shapiro, Example 10.1 (R-134a, 0 °C saturated to 6.853 bar, 0.08 kg/s: 1.398 kW) and Çengel & Boles, Example 11-1 (0.14 to 0.8 MPa,
/// 0.05 kg/s: 1.81 kW): as read for the project's check values.
#[test]
fn textbook_cycles() {
    let fluid = Fluid::named("R134a").unwrap();
    for (low, high, flow, expected) in [(292.8e3, 685.3e3, 0.08, 1398.0), (140e3, 800e3, 0.05, 1810.0)] {
        let top = fluid.saturation_at_pressure(Pressure::from_pa(low)).unwrap().temperature.as_k();
        let (at, _, _) = suction(fluid, top + 0.01, low);
        near(flow * isentropic_work(&at, high), expected, 0.02, "work");
    }
}

/// Clearance volumetric efficiency as in any textbook: 1 − c·(r^(1/n) − 1); c 0.05, n 1.13, r 5: 0.8423.
#[test]
fn clearance_gas_expands_again() {
    let ideal =
        Displacement { clearance: 0.05, suction_loss: 0.0, filling: 1.0, ..Displacement::piston(1e-3) };
    near(ideal.volumetric(5.0, 1.13).0, 1.0 - 0.05 * (5f64.powf(1.0 / 1.13) - 1.0), 1e-12, "clearance");
    // Nothing more is moved once the clearance gas fills the cylinder: r = (1 + 1/c)^n = 31.2.
    assert!(ideal.volumetric(40.0, 1.13).0 == 0.0 && ideal.volumetric(28.0, 1.13).0 > 0.0);
}

/// Typical isentropic efficiencies at the shaft of piston and scroll compressors lie at 0.6 to 0.75 for ratios of 3 to 6 (common practice), volumetric at 0.68 to 0.85 for pistons and 0.88 to 0.96 for scrolls.
#[test]
fn typical_figures_are_typical() {
    let fluid = Fluid::named("R134a").unwrap();
    let (at, _, _) = suction(fluid, 273.15, 200.6e3);
    for ratio in [3.0, 4.0, 5.0, 6.0] {
        for (machine, low, high) in
            [(Displacement::piston(2.8e-3), 0.68, 0.85), (Displacement::scroll(2.8e-3), 0.88, 0.96)]
        {
            let running = machine.run(&at, ratio * at.pa, 1.0);
            let efficiency = running.isentropic_efficiency();
            assert!((0.6..0.75).contains(&efficiency), "{ratio}: {efficiency}");
            let volumetric = machine.volumetric(ratio, at.exponent).0;
            assert!((low..high).contains(&volumetric), "{ratio}: {volumetric}");
        }
    }
}

/// By hand: S 10, D 100, all coefficients different, so that a swapped pair shows. In °F and lb/h it must be the same as the substitution.
#[test]
fn ten_coefficients_in_their_order() {
    let coefficients = [1.0, 2.0, 3.0, 5e-1, 7e-1, 11e-2, 13e-3, 17e-4, 19e-4, 23e-5];
    let printed = 1.0 + 20.0 + 300.0 + 50.0 + 700.0 + 1100.0 + 13.0 + 17.0 + 190.0 + 230.0;
    let celsius = Polynomial { coefficients, scale: Scale::Celsius, unit: 1.0 };
    near(celsius.at(283.15, 373.15).0, printed, 1e-12, "°C");
    let fahrenheit = Polynomial { coefficients, scale: Scale::Fahrenheit, unit: Polynomial::POUND_PER_HOUR };
    let (s, d) = ((10.0 - 32.0) / 1.8 + 273.15, (100.0 - 32.0) / 1.8 + 273.15);
    near(fahrenheit.at(s, d).0, printed * 0.453_592_37 / 3600.0, 1e-10, "°F, lb/h");
    for polynomial in [celsius, fahrenheit] {
        let (_, by_s, by_d) = polynomial.at(s, d);
        let difference =
            |ds: f64, dd: f64| (polynomial.at(s + ds, d + dd).0 - polynomial.at(s - ds, d - dd).0) / 2e-3;
        near(by_s, difference(1e-3, 0.0), 1e-6, "by S");
        near(by_d, difference(0.0, 1e-3), 1e-6, "by D");
    }
}

#[test]
fn published_tables_say_where_they_end() {
    let flat = |value: f64, unit: f64| Polynomial {
        coefficients: [value, value / 100.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        scale: Scale::Celsius,
        unit,
    };
    let table = Published {
        flow: flat(100.0, Polynomial::KILOGRAM_PER_HOUR),
        power: flat(1000.0, 1.0),
        evaporating_k: [243.15, 283.15],
        condensing_k: [293.15, 333.15],
        rated_superheat_k: Some(10.0),
        rated_return_k: 291.45,
    };
    assert!(table.inside(263.15, 313.15) && !table.inside(240.0, 313.15));
    near(table.at(273.15, 313.15).0, 100.0 / 3600.0, 1e-12, "inside");
    assert_eq!(table.at(200.0, 313.15).0, 0.0);
    assert!(table.at(300.0, 313.15).0 == table.at(283.15, 313.15).0);
    assert_eq!(table.rated_suction_k(263.15), 273.15);
    // A tenth denser: three quarters of that more flow (Dabiri & Rice).
    near(superheat_correction(11.0, 10.0), 1.075, 1e-12, "superheat");
}

/// One lump with constant loss: T = T∞ − (T∞ − T₀)·e^(−t/τ), worked by hand. 300 W, 4 W/K, 3000 J/K, 300 K: τ 750 s, T∞ 375 K.
#[test]
fn a_motor_without_gas_overheats() {
    let motor = Motor {
        efficiency: 0.85,
        idle_w: 50.0,
        in_refrigerant: true,
        heat_capacity_j_per_k: 3000.0,
        to_room_w_per_k: 4.0,
        gas_contact: 0.5,
        cut_out_k: 360.0,
        ruin_k: 473.0,
    };
    let vacuum = (0.0, 900.0, 280.0);
    let seconds = motor.seconds_to(360.0, 300.0, 300.0, vacuum, 300.0).unwrap();
    near(seconds, 750.0 * (75.0f64 / 15.0).ln(), 1e-9, "seconds to cut out");
    assert!(motor.seconds_to(400.0, 300.0, 300.0, vacuum, 300.0).is_none());
    assert!(motor.seconds_to(360.0, 300.0, 300.0, (0.02, 900.0, 280.0), 300.0).is_none());
    let warmth = motor.warmth(350.0, 300.0, (0.02, 900.0, 280.0), 300.0);
    let stored = warmth.k_per_s * motor.heat_capacity_j_per_k;
    near(stored + warmth.to_gas_w + warmth.to_room_w, 300.0, 1e-12, "energy");
    near(motor.electric_w(850.0), 1050.0, 1e-12, "electrical power");
}

#[test]
fn heater_and_slugs() {
    let heater = CrankcaseHeater { power_w: 60.0, self_regulating_k: Some(353.15) };
    assert_eq!(heater.heat_w(263.15), 60.0);
    near(heater.heat_w(313.15), 30.0, 1e-12, "half way");
    assert_eq!(heater.heat_w(360.0), 0.0);
    assert!(slugging(0.02, 0.04) < 1.0 && slugging(0.06, 0.04) > 1.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn flow_has_true_slopes(pa in 1e3..1e6f64, ratio in 0.2..60.0f64, exponent in 1.0..1.4f64, speed in 0.0..1.2f64) {
        let machine = Displacement::piston(3e-3);
        let at = |pa: f64| Suction { pa, kg_per_m3: 5.0, exponent };
        let out = ratio * pa;
        let here = machine.run(&at(pa), out, speed).flow;
        prop_assert!(here.kg_per_s >= 0.0 && here.per_b_pa <= 0.0 && here.per_a_pa >= 0.0);
        let step = 1e-6;
        let by_b = (machine.run(&at(pa), out * (1.0 + step), speed).flow.kg_per_s
            - machine.run(&at(pa), out * (1.0 - step), speed).flow.kg_per_s) / (2.0 * step * out);
        prop_assert!((by_b - here.per_b_pa).abs() <= 1e-3 * here.per_b_pa.abs() + 1e-6 * here.kg_per_s.max(1e-3) / out);
        let by_a = (machine.run(&at(pa * (1.0 + step)), out, speed).flow.kg_per_s
            - machine.run(&at(pa * (1.0 - step)), out, speed).flow.kg_per_s) / (2.0 * step * pa);
        prop_assert!((by_a - here.per_a_pa).abs() <= 1e-3 * here.per_a_pa.abs() + 1e-6 * here.kg_per_s.max(1e-3) / pa);
    }

    #[test]
    fn power_is_finite_and_falls_to_friction(pa in 1.0..1e6f64, out in 1e3..4e6f64) {
        let machine = Displacement::piston(3e-3);
        let running = machine.run(&Suction { pa, kg_per_m3: pa * 4.5e-5, exponent: 1.1 }, out, 1.0);
        prop_assert!(running.shaft_w() >= running.friction_w && running.shaft_w().is_finite());
        let efficiency = running.isentropic_efficiency();
        prop_assert!((0.0..0.85).contains(&efficiency), "{efficiency}");
    }
}
