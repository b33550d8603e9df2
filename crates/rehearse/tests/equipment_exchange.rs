//! Heat exchange, metering devices and the rig's machines against textbooks and hand arithmetic.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(clippy::disallowed_methods, reason = "what is compared here needs no bits alike on two machines")]
#![allow(clippy::float_cmp, reason = "zero and limits are meant exactly")]

use proptest::prelude::*;
use stemwise_rehearse::equipment::compressor::Suction;
use stemwise_rehearse::equipment::exchange::{
    AIR_CP, Air, Boiling, CoilInside, CoilOutside, Frost, film_condensation, frost_density, humidity_ratio,
    insulated_tube_w_per_k, still_air_w_per_m2_k,
};
use stemwise_rehearse::equipment::flow::{Expansion, Opening, Source};
use stemwise_rehearse::equipment::metering::{
    Charge, Electronic, Holds, Regulator, SuperheatControl, Thermostatic,
};
use stemwise_rehearse::equipment::moisture::saturation_pa;
use stemwise_rehearse::equipment::recovery::{HeatedCylinder, RecoveryMachine, Stop, nitrogen_regulator};

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    let off = (value / expected - 1.0).abs();
    assert!(off <= relative, "{what}: {value} instead of {expected}, off by {:.2} %", 100.0 * off);
}

const COIL: CoilOutside = CoilOutside {
    nominal_w_per_k: 800.0,
    nominal_kg_per_s: 0.8,
    still_w_per_k: 30.0,
    area_m2: 25.0,
    gap_m: 4e-3,
};

fn air(celsius: f64, relative_humidity: f64, kg_per_s: f64) -> Air {
    let kelvin = celsius + 273.15;
    let pa = 101_325.0;
    let humidity_ratio = humidity_ratio(relative_humidity * saturation_pa(kelvin), pa);
    Air { kg_per_s, kelvin, humidity_ratio, pa }
}

/// ASHRAE Handbook—Fundamentals, psychrometrics: 25 °C and 50 %: 9.88 g/kg; 40 °C dry bulb, 20 °C wet bulb is 6.5 g/kg, which is 14.1 %; saturated air at
/// 0 °C 3.790 g/kg, at 20 °C 14.76 g/kg (tables; from memory).
#[test]
fn moist_air() {
    near(air(25.0, 0.5, 0.0).humidity_ratio, 9.88e-3, 4e-3, "25 °C, 50 %");
    near(air(20.0, 1.0, 0.0).humidity_ratio, 14.76e-3, 6e-3, "20 °C saturated");
    near(air(0.01, 1.0, 0.0).humidity_ratio, 3.790e-3, 6e-3, "0 °C saturated");
}

/// ε-NTU with one side at constant temperature: ε = 1 − e^(−NTU) (any textbook); with the nominal flow ε = 1 − e^(−800/804.8).
#[test]
fn dry_coil_is_effectiveness_and_transfer_units() {
    let still = CoilOutside { still_w_per_k: 0.0, ..COIL };
    let found = still.exchange(&air(35.0, 0.1, 0.8), 323.15, &Frost::default());
    let capacity = 0.8 * AIR_CP;
    near(found.sensible_w, capacity * (1.0 - (-800.0 / capacity).exp()) * -15.0, 1e-12, "condenser");
    assert_eq!(found.water_kg_per_s, 0.0);
}

/// Bypass method by hand: 27 °C, 50 % (11.15 g/kg) on a surface at 7 °C (6.21 g/kg saturated): water goes as heat over the enthalpy line, sensible heat
/// ratio cp·ΔT/(cp·ΔT + Δh_v·Δw) = 20.12/(20.12 + 2484·4.94e-3) = 0.621.
#[test]
fn wet_coil_takes_water_and_heat_alike() {
    let found = COIL.exchange(&air(27.0, 0.5, 0.8), 280.15, &Frost::default());
    near(found.sensible_w / found.total_w(), 0.621, 0.01, "sensible heat ratio");
    near(found.water_kg_per_s, found.sensible_w / AIR_CP / 20.0 * 4.94e-3, 0.02, "water");
}

#[test]
fn a_standing_fan_leaves_natural_convection() {
    let running = COIL.contact_w_per_k(&air(35.0, 0.3, 0.8), 318.15);
    let standing = COIL.contact_w_per_k(&air(35.0, 0.3, 0.0), 318.15);
    near(standing, 30.0, 1e-3, "still air at 10 K");
    assert!(running > 10.0 * standing);
    // Fourth root: sixteen times the difference, twice the conductance.
    near(COIL.contact_w_per_k(&air(35.0, 0.3, 0.0), 468.15), 60.0, 1e-3, "still air at 160 K");
}

/// Hayashi: −10 °C 40.7 kg/m³ by the printed formula; Yonko & Sepsy: 200 kg/m³ 0.2157 W/(m·K).
#[test]
fn frost_grows_insulates_blocks_and_melts() {
    near(frost_density(263.15), 650.0 * (-2.77f64).exp(), 1e-12, "density");
    let frost = Frost { kg: 5.0, kg_per_m3: 200.0 };
    near(frost.conductivity(), 0.024_22 + 0.144_28 + 0.047_188, 1e-9, "conductivity");
    near(frost.thickness_m(25.0), 1e-3, 1e-12, "thickness");
    near(frost.air_part(&COIL), 0.5f64.powf(1.5), 1e-12, "half the gap is left");
    assert_eq!(Frost { kg: 10.0, ..frost }.air_part(&COIL), 0.0);

    let cold = air(0.0, 0.85, 0.8);
    let clean = COIL.exchange(&cold, 263.15, &Frost::default());
    let frosted = COIL.exchange(&cold, 263.15, &frost);
    assert!(frosted.total_w() < clean.total_w() && frosted.surface_k > 263.15);
    // What the air gives passes the layer: (surface − wall)·k·A/δ.
    let through = (frosted.surface_k - 263.15) * frost.conductivity() * 25.0 / 1e-3;
    near(frosted.total_w(), through, 1e-6, "heat through the frost");

    assert_eq!(frost.melting(270.0, 25.0).0, 0.0);
    let (rate, heat) = frost.melting(283.15, 25.0);
    near(heat, rate * 3.335e5, 1e-12, "heat of fusion");
    assert!(rate > 0.0 && Frost { kg: 0.0, ..frost }.melting(283.15, 25.0).0 == 0.0);
}

const INSIDE: CoilInside =
    CoilInside { area_m2: 2.0, boiling: 2000.0, condensing: 2000.0, vapour: 80.0, liquid: 400.0, film: 0.2 };

#[test]
fn evaporators_starve_and_condensers_flood() {
    let full = INSIDE.evaporating(283.15, 273.15, 0.3, (0.02, 900.0));
    near(full.heat_w, 2000.0 * 2.0 * 10.0, 0.01, "all wet");
    assert!(full.outlet_off_k < 0.5);
    let starved = INSIDE.evaporating(283.15, 273.15, 0.05, (0.02, 900.0));
    assert!(starved.heat_w < 0.35 * full.heat_w && starved.outlet_off_k > 8.0 && starved.outlet_off_k < 10.0);
    let dry = INSIDE.evaporating(283.15, 273.15, 0.0, (0.02, 900.0));
    near(dry.heat_w, 0.02 * 900.0 * 10.0 * (1.0 - (-160.0f64 / 18.0).exp()), 1e-3, "dry: superheat alone");

    let usual = INSIDE.condensing(303.15, 313.15, 0.15, (0.05, 1500.0));
    near(usual.heat_w, -40_000.0, 1e-3, "no liquid backs up");
    assert_eq!(usual.outlet_off_k, 0.0);
    let flooded = INSIDE.condensing(303.15, 313.15, 0.6, (0.05, 1500.0));
    near(flooded.outlet_off_k, 10.0 * (1.0 - (-400.0f64 * 2.0 * 0.5 / 75.0).exp()), 1e-3, "subcooling");
    assert!(flooded.heat_w > 0.55 * usual.heat_w);
}

/// Textbooks: a bare horizontal tube in a room gives off about 10 W/(m²·K) painted; Incropera's formula for natural convection 1.32·(ΔT/d)^¼ is 7.4 at
/// 50 K and 50 mm. Radiation at 300 K and ε 0.9: 5.5.
#[test]
fn losses_to_the_room() {
    near(still_air_w_per_m2_k(343.15, 293.15, 0.05, 0.0), 7.42, 0.01, "convection");
    let radiant =
        still_air_w_per_m2_k(300.0, 300.0, 0.05, 0.9) - still_air_w_per_m2_k(300.0, 300.0, 0.05, 0.0);
    near(radiant, 4.0 * 0.9 * 5.670_374e-8 * 2.7e7, 1e-9, "radiation");
    // ln(41/22)/(2π·0.04) = 2.477; 1/(9·π·0.041) = 0.863 (m·K/W): 0.2994 W/K for each metre.
    near(insulated_tube_w_per_k(0.022, 1.0, 0.0095, 0.04), 0.2994, 1e-3, "insulated tube");
}

/// Incropera & DeWitt (from memory): water at 1 atm, greatest flux 1.11 MW/m² with Zuber's 0.131 (1.26 with 0.149); film condensation of steam at 1 atm on a
/// wall of 1 m at 50 °C, smooth film: 4094 W/(m²·K) with h'fg 2402 kJ/kg, film properties at 75 °C.
#[test]
fn boiling_and_condensing() {
    let water = Boiling {
        reduced_pressure: 0.004_59,
        molar_g: 18.015,
        liquid_kg_per_m3: 957.9,
        vapour_kg_per_m3: 0.5956,
        vaporisation_j_per_kg: 2.257e6,
        tension_n_per_m: 0.0589,
    };
    near(water.greatest_w_per_m2(), 1.11e6, 0.01, "Zuber");
    let film = Boiling { liquid_kg_per_m3: 975.0, vaporisation_j_per_kg: 2.402e6, ..water };
    near(film_condensation(&film, 0.668, 375e-6, 50.0, 1.0), 4094.0, 2e-3, "Nusselt");
    // Cooper's own form by hand: R-134a-like, p_r 0.1, 20 kW/m²: h = 55·0.1^0.12·102^-0.5·20000^0.67 = 3145, ΔT 6.36 K.
    let refrigerant = Boiling {
        reduced_pressure: 0.1,
        molar_g: 102.0,
        liquid_kg_per_m3: 1261.0,
        vapour_kg_per_m3: 20.2,
        vaporisation_j_per_kg: 1.907e5,
        tension_n_per_m: 0.0101,
    };
    near(
        refrigerant.flux_w_per_m2(20_000.0 / 3145.0),
        20_000.0,
        0.06,
        "Cooper (with still liquid beside it)",
    );
    let mut last = -1e9;
    for step in -50..400 {
        let flux = refrigerant.flux_w_per_m2(f64::from(step) / 10.0);
        assert!(flux > last || flux > 0.999 * refrigerant.greatest_w_per_m2());
        last = flux;
    }
}

fn valve(charge: Charge) -> Thermostatic {
    Thermostatic {
        opening: Opening::round(1.5e-3, 0.7),
        bleed_m2: 0.0,
        static_superheat_k: 4.0,
        opening_superheat_k: 4.0,
        set_slope_pa_per_k: 10.6e3,
        charge,
        bulb_s: 30.0,
    }
}

/// R-134a at 0 °C: 292.8 kPa, 10.6 kPa/K; at −20 °C: 132.7 kPa, 5.5 kPa/K (project's check values and their differences).
#[test]
fn thermostatic_valves_by_charge() {
    let at = |charge: Charge, evaporator: f64, slope: f64, superheat: f64| {
        valve(charge).position(evaporator + slope * superheat, evaporator, slope).0
    };
    assert_eq!(at(Charge::Liquid, 292.8e3, 10.6e3, 3.0), 0.0);
    near(at(Charge::Liquid, 292.8e3, 10.6e3, 6.0), 0.5, 1e-9, "half its stroke");
    near(at(Charge::Liquid, 292.8e3, 10.6e3, 9.0), 1.0, 1e-9, "open");
    // Colder: a liquid charge asks for more superheat (4·10.6/5.5 = 7.7 K), a cross charge for the same.
    assert_eq!(at(Charge::Liquid, 132.7e3, 5.5e3, 7.0), 0.0);
    near(at(Charge::Cross, 132.7e3, 5.5e3, 6.0), 0.5, 1e-9, "cross");
    // A limited charge stays shut above its limit however warm the bulb is; without charge any valve shuts.
    let limited = Charge::Limited { most_pa: 250e3 };
    assert_eq!(valve(limited).position(600e3, 300e3, 10.6e3).0, 0.0);
    assert!(valve(limited).position(600e3, 200e3, 8e3).0 > 0.9);
    assert_eq!(valve(Charge::Liquid).position(0.0, 292.8e3, 10.6e3).0, 0.0);
    near(valve(Charge::Liquid).bulb_k_per_s(280.0, 283.0, 293.0, 1.0), 0.1, 1e-12, "bulb");
    assert!(valve(Charge::Liquid).bulb_k_per_s(280.0, 283.0, 293.0, 0.2) > 0.0);
    assert_eq!(valve(Charge::Liquid).opened(0.0).area_m2, 0.0);
}

#[test]
fn electronic_valves_step() {
    let valve = Electronic { opening: Opening::round(2e-3, 0.7), stroke_s: 10.0, steps: 500.0, leak_m2: 0.0 };
    near(valve.moves_per_s(0.2, 0.8), 0.1, 1e-12, "its speed");
    assert_eq!(valve.moves_per_s(0.5, 0.5), 0.0);
    near(valve.opened(0.5).area_m2, 0.5 * valve.opening.area_m2, 1e-12, "half open");
    let control = SuperheatControl { target_k: 6.0, gain_per_k: 0.02, integral_s: 100.0 };
    near(control.target(0.4, 8.0), 0.44, 1e-12, "target");
    near(control.integral_per_s(0.4, 8.0), 4e-4, 1e-12, "integral");
    assert_eq!(control.integral_per_s(1.0, 20.0), 0.0);
}

fn gas(pa: f64) -> Source {
    Source::expanding(pa, pa / 84_000.0, 1.8e-5, Expansion::gas(1.4))
}

#[test]
fn regulators_hold() {
    let nitrogen = nitrogen_regulator(11e5);
    assert_eq!(nitrogen.between(&gas(150e5), &gas(11.2e5)).kg_per_s, 0.0);
    assert!(nitrogen.between(&gas(150e5), &gas(10e5)).kg_per_s > 0.0);
    assert!(nitrogen.between(&gas(9e5), &gas(10e5)).kg_per_s < 0.0, "an emptier cylinder takes gas back");
    let evaporator = Regulator { holds: Holds::Inlet, setting_pa: 5e5, band_pa: 0.5e5, ..nitrogen };
    assert_eq!(evaporator.between(&gas(4.9e5), &gas(2e5)).kg_per_s, 0.0);
    assert!(evaporator.between(&gas(5.4e5), &gas(2e5)).kg_per_s > 0.0);
    assert!(evaporator.held_at(&gas(3e5), &gas(2e5), 1.0).kg_per_s > 0.0);
}

/// Rates that the constants are meant to give: 0.15 to 0.35 kg/min of R-22 vapour at 5 bar, no more than 3 kg/min of liquid.
#[test]
fn a_recovery_machine_moves_what_it_should() {
    let machine = RecoveryMachine::PORTABLE;
    let vapour = Suction { pa: 5e5, kg_per_m3: 20.0, exponent: 1.12 };
    let run = machine.run(&vapour, 12e5, 303.15, 298.15);
    let per_minute = 60.0 * run.flow.kg_per_s;
    assert!((0.15..0.35).contains(&per_minute), "{per_minute}");
    assert!((200.0..1500.0).contains(&run.electric_w), "{}", run.electric_w);
    let liquid = Suction { pa: 10e5, kg_per_m3: 1200.0, exponent: 1.0 };
    let run = machine.run(&liquid, 12e5, 303.15, 298.15);
    assert!(run.flow.kg_per_s <= 0.05 && run.flow.kg_per_s > 0.045);
    assert_eq!(machine.stops(None, 2e5, 39e5), Some(Stop::HighPressure));
    assert_eq!(machine.stops(Some(Stop::HighPressure), 2e5, 30e5), Some(Stop::HighPressure));
    assert_eq!(machine.stops(Some(Stop::HighPressure), 2e5, 27e5), None);
    assert_eq!(machine.stops(None, 0.3e5, 10e5), Some(Stop::LowPressure));
    assert_eq!(machine.stops(Some(Stop::LowPressure), 0.5e5, 10e5), Some(Stop::LowPressure));
    assert_eq!(machine.stops(Some(Stop::LowPressure), 0.7e5, 10e5), None);
    let heater = HeatedCylinder { power_w: 300.0, limit_k: 325.0 };
    assert!(heater.heat_w(300.0) == 300.0 && heater.heat_w(325.0) == 0.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    /// Colder walls take more heat from the air and more water, with any fan, and never in a leap.
    #[test]
    fn coils_are_monotone(wall in 240.0..330.0f64, celsius in -20.0..45.0f64, humidity in 0.05..1.0f64, fan in 0.0..1.2f64, frost in 0.0..8.0f64) {
        let incoming = air(celsius, humidity, 0.8 * fan);
        let layer = Frost { kg: frost, kg_per_m3: 200.0 };
        let here = COIL.exchange(&incoming, wall, &layer);
        let colder = COIL.exchange(&incoming, wall - 0.01, &layer);
        prop_assert!(colder.total_w() >= here.total_w() - 1e-9);
        prop_assert!(colder.water_kg_per_s >= here.water_kg_per_s - 1e-12);
        prop_assert!((colder.total_w() - here.total_w()).abs() < 0.02 * 4000.0);
        prop_assert!(here.surface_k.is_finite() && here.water_kg_per_s >= 0.0);
    }

    /// Heat into the refrigerant rises with the wall, and nothing leaps at equal temperatures.
    #[test]
    fn insides_are_monotone(wall in 250.0..340.0f64, saturation in 250.0..340.0f64, fill in 0.0..1.0f64, flow in 0.0..0.2f64) {
        for law in [CoilInside::evaporating, CoilInside::condensing] {
            let here = law(&INSIDE, wall, saturation, fill, (flow, 1000.0)).heat_w;
            let warmer = law(&INSIDE, wall + 0.001, saturation, fill, (flow, 1000.0)).heat_w;
            prop_assert!(warmer >= here - 1e-9, "{warmer} {here}");
            prop_assert!((warmer - here).abs() < 20.0);
            let fuller = law(&INSIDE, wall, saturation, (fill + 1e-6).min(1.0), (flow, 1000.0)).heat_w;
            prop_assert!((fuller - here).abs() < 10.0);
        }
    }

    #[test]
    fn regulators_have_true_slopes(a in 1e5..2e6f64, b in 1e5..2e6f64, inlet in any::<bool>()) {
        let holds = if inlet { Holds::Inlet } else { Holds::Outlet };
        let law = Regulator {
            opening: Opening { softening_pa: 1e4, ..Opening::round(5e-3, 0.7) }, holds, setting_pa: 8e5, band_pa: 1e5, leak: 1e-3,
        };
        // Slopes are told at held densities.
        let held = |pa: f64| Source::expanding(pa, 8.0, 1.8e-5, Expansion::gas(1.4));
        let here = law.between(&held(a), &held(b));
        prop_assert!(a < b || (here.per_a_pa >= 0.0 && here.per_b_pa <= 0.0));
        let step = 1.0;
        let up = law.between(&held(a), &held(b + step));
        let down = law.between(&held(a), &held(b - step));
        let quotient = (up.kg_per_s - down.kg_per_s) / (2.0 * step);
        let least = up.per_b_pa.min(down.per_b_pa).min(here.per_b_pa);
        let most = up.per_b_pa.max(down.per_b_pa).max(here.per_b_pa);
        let slack = 1e-3 * quotient.abs() + 1e-15;
        prop_assert!(quotient >= least - slack && quotient <= most + slack, "{quotient} {here:?}");
    }

    #[test]
    fn thermostatic_valves_have_true_slopes(bulb in 0.0..8e5f64, evaporator in 5e4..7e5f64, kind in 0..3) {
        let charge = [Charge::Liquid, Charge::Cross, Charge::Limited { most_pa: 3e5 }][kind as usize];
        let law = valve(charge);
        let (value, by_bulb, by_evaporator) = law.position(bulb, evaporator, 9e3);
        prop_assert!((0.0..=1.0).contains(&value) && by_bulb >= 0.0 && by_evaporator <= 0.0);
        let quotient = (law.position(bulb + 1.0, evaporator, 9e3).0 - law.position(bulb - 1.0, evaporator, 9e3).0) / 2.0;
        prop_assert!((quotient - by_bulb).abs() <= 1e-8);
        let quotient = (law.position(bulb, evaporator + 1.0, 9e3).0 - law.position(bulb, evaporator - 1.0, 9e3).0) / 2.0;
        prop_assert!((quotient - by_evaporator).abs() <= 1e-8);
    }
}
