//! What people type, and what is made of it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use proptest::prelude::*;
use stemwise_units::*;

const SEA_LEVEL: Pressure = Pressure::from_pa(101_325.0);

#[track_caller]
fn check_pressure(typed: &str, kpa_absolute: f64) {
    let read = TypedPressure::parse(typed).unwrap().absolute(SEA_LEVEL).as_kpa();
    assert!((read - kpa_absolute).abs() <= 1e-3 * kpa_absolute.abs().max(1.0), "{typed}: {read} kPa");
}

#[test]
fn pressures() {
    // Conversion factors: NIST SP 811, appendix B.
    check_pressure("68 psig", 570.17);
    check_pressure("68 psi", 570.17);
    check_pressure("82.696 psia", 570.17);
    check_pressure("5 bar", 601.325);
    check_pressure("5 bar abs", 500.0);
    check_pressure("-2 inHg", 94.552);
    check_pressure("2 inHg vac", 94.552);
    check_pressure("29.92 inHg abs", 101.32);
    check_pressure("500 micron", 0.066_661);
    check_pressure("0.5 MPa", 601.325);
    check_pressure("0.5 MPa abs", 500.0);
    check_pressure("0.5 MPag", 601.325);
    check_pressure("1 atm", 101.325);
    check_pressure("760 torr", 101.325);
    check_pressure("−0,3 bar", 71.325);
}

#[test]
fn other_quantities() {
    assert!((Mass::parse("4,5 kg").unwrap().as_kg() - 4.5).abs() < 1e-12);
    assert!((PressureDifference::parse("0.02 MPa").unwrap().as_kpa() - 20.0).abs() < 1e-9);
    assert!((Mass::parse("2 lb 4 oz").unwrap().as_oz() - 36.0).abs() < 1e-9);
    assert!((Length::parse("1/2 in").unwrap().as_mm() - 12.7).abs() < 1e-9);
    assert!((Length::parse("1 1/8\"").unwrap().as_mm() - 28.575).abs() < 1e-9);
    assert!((Length::parse("5 ft 6 in").unwrap().as_in() - 66.0).abs() < 1e-9);
    assert!((Temperature::parse("40 F").unwrap().as_celsius() - 4.4444).abs() < 1e-3);
    assert!((Temperature::parse("-40°C").unwrap().as_fahrenheit() + 40.0).abs() < 1e-9);
    assert!((TemperatureDifference::parse("9 F").unwrap().as_k() - 5.0).abs() < 1e-12);
    assert!((Time::parse("1 h 30 min").unwrap().as_min() - 90.0).abs() < 1e-9);
    assert!((Volume::parse("250 cm3").unwrap().as_l() - 0.25).abs() < 1e-12);
    assert!((Power::parse("1 ton").unwrap().as_kw() - 3.5169).abs() < 1e-4);
    assert!((parse_fraction("80 %").unwrap() - 0.8).abs() < 1e-12);
    assert!((Mass::parse("1,234.5 g").unwrap().as_g() - 1234.5).abs() < 1e-9);
    assert!((Mass::parse("0,454 kg").unwrap().as_g() - 454.0).abs() < 1e-9);
}

#[track_caller]
fn says<T: std::fmt::Debug>(read: Result<T, ParseError>, words: &[&str]) {
    let said = read.unwrap_err().to_string();
    assert!(words.iter().all(|word| said.contains(word)), "{said}");
}

#[test]
fn errors_say_what_was_understood() {
    says(Mass::parse(""), &["nothing was typed"]);
    // A millipascal is no megapascal.
    says(TypedPressure::parse("5 mPa"), &["5", "mPa", "not a unit"]);
    says(TypedPressure::parse("5 mPa abs"), &["5", "mPa abs", "not a unit"]);
    says(Mass::parse("2 oz 4 lb"), &["lb", "larger unit", "2 lb 4 oz"]);
    says(Mass::parse("2 kg 4 kg"), &["kg", "larger unit"]);
    says(Mass::parse("4.5"), &["4.5 has no unit", "kg"]);
    says(Mass::parse("4.5 bar"), &["\"bar\"", "pressure", "a mass is wanted"]);
    says(Mass::parse("4.5 kq"), &["4.5 was understood", "did you mean \"kg\""]);
    says(Mass::parse("1,234 g"), &["1.234", "1234"]);
    says(Mass::parse("-1 kg"), &["negative"]);
    says(Mass::parse("heavy"), &["\"heavy\"", "number"]);
    says(Mass::parse("1e999 kg"), &["too large"]);
    says(Temperature::parse("-300 C"), &["absolute zero"]);
    says(TypedPressure::parse("5 furlongs"), &["5", "furlongs", "psig"]);
    says(TypedPressure::parse("-40 psig").unwrap().existing(SEA_LEVEL), &["less than no pressure"]);
    says(Tube::parse("13 mm"), &["1/4 in"]);
    says(Mass::parse(&"9".repeat(5000)), &["too long"]);
}

#[test]
fn energies_per_mass_are_read() {
    use stemwise_units::{SpecificEnergy, SpecificHeat};
    // International table Btu: 1 Btu/lb = 2326 J/kg (NIST SP 811, appendix B.8).
    assert!((SpecificEnergy::parse("100 Btu/lb").unwrap().as_kj_per_kg() - 232.6).abs() < 1e-9);
    assert!((SpecificEnergy::parse("-1,5 kJ/kg").unwrap().as_j_per_kg() + 1500.0).abs() < 1e-9);
    assert!((SpecificHeat::parse("1.7 kJ/(kg K)").unwrap().as_j_per_kg_k() - 1700.0).abs() < 1e-9);
    assert!((SpecificHeat::parse("1 Btu/(lb F)").unwrap().as_j_per_kg_k() - 4186.8).abs() < 1e-9);
    says(SpecificEnergy::parse("400"), &["no unit", "kJ/kg"]);
    says(SpecificHeat::parse("400 kJ/kg"), &["kJ/kg", "an energy per mass"]);
}

#[test]
fn altitude_decides_gauge_zero() {
    // US Standard Atmosphere 1976: psia and inHg at feet.
    let table = [
        (0.0, 14.696, 29.92),
        (1000.0, 14.17, 28.86),
        (2000.0, 13.66, 27.82),
        (3000.0, 13.17, 26.82),
        (4000.0, 12.69, 25.84),
    ];
    let more = [
        (5000.0, 12.23, 24.90),
        (6000.0, 11.78, 23.98),
        (7000.0, 11.34, 23.09),
        (8000.0, 10.92, 22.22),
        (10_000.0, 10.11, 20.58),
    ];
    for (feet, psia, inhg) in table.into_iter().chain(more) {
        let found = atmosphere_at(Length::from_ft(feet)).unwrap();
        assert!((found.as_psi() - psia).abs() < 0.006, "{feet} ft: {} psia", found.as_psi());
        assert!(
            (found.as_pa() / 3386.389 - inhg).abs() < 0.011,
            "{feet} ft: {} inHg",
            found.as_pa() / 3386.389
        );
    }
    // A 500 micron vacuum at 5000 ft shows 24.88 inHg below the atmosphere there.
    let site = atmosphere_at(Length::from_ft(5000.0)).unwrap();
    let shown = TypedPressure::parse("500 micron").unwrap().gauge(site);
    assert!((shown.as_inhg() + 24.88).abs() < 0.01, "{}", shown.as_inhg());
}

#[test]
fn tubes_have_sources_and_bores() {
    assert!(tubes().len() > 20);
    assert!(tubes().iter().all(|tube| !tube.source().is_empty() && tube.bore().as_mm() > 3.0));
    // Bores from a published line-charge calculation.
    for (size, bore) in
        [("1/4 in", 4.83), ("5/16 in", 6.31), ("3/8 in", 7.90), ("1/2 in", 10.92), ("5/8 in", 13.84)]
    {
        let found = Tube::parse(size).unwrap().bore().as_mm();
        assert!((found - bore).abs() < 0.01, "{size}: {found}");
    }
}

proptest! {
    #[test]
    fn nothing_typed_panics(text in "\\PC{0,40}") {
        let _ = (Mass::parse(&text), Length::parse(&text), Temperature::parse(&text), TypedPressure::parse(&text));
        let _ = (Tube::parse(&text), Time::parse(&text), parse_fraction(&text), TemperatureDifference::parse(&text));
    }

    #[test]
    fn what_is_printed_can_be_read_again(kpa in -100.0f64..4000.0, grams in 0.0f64..50_000.0, kelvin in 100.0f64..500.0) {
        for system in [UnitSystem::Si, UnitSystem::Ip] {
            let gauge = GaugePressure::from_kpa(kpa);
            let read = TypedPressure::parse(&system.gauge_pressure(gauge)).unwrap().gauge(SEA_LEVEL);
            prop_assert!((read.as_kpa() - kpa).abs() < 0.51, "{}", system.gauge_pressure(gauge));
            let mass = Mass::from_g(grams);
            prop_assert!((Mass::parse(&system.mass(mass)).unwrap().as_g() - grams).abs() < 5.1);
            let t = Temperature::from_k(kelvin);
            prop_assert!((Temperature::parse(&system.temperature(t)).unwrap().as_k() - kelvin).abs() < 0.06);
        }
    }
}
