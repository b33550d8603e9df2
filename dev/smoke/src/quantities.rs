//! `units`: what people type, the atmosphere, tubes, printing.

use stemwise_units::{
    Length, Mass, ParseError, Pressure, Temperature, Tube, TypedPressure, UnitSystem, Volume, atmosphere_at,
    tubes,
};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for typed in ["68 psig", "5 bar", "-2 inHg", "500 micron", "200 kPa abs", "0.5 MPa"] {
        report.number(typed, pascal(typed));
    }
    report.number("4,5 kg", Mass::parse("4,5 kg").map(Mass::as_kg));
    report.number("2 lb 4 oz", Mass::parse("2 lb 4 oz").map(Mass::as_kg));
    report.number("1 1/8 in", Length::parse("1 1/8 in").map(Length::as_m));
    report.number("40 F", Temperature::parse("40 F").map(Temperature::as_k));
    report.number("250 cm3", Volume::parse("250 cm3").map(Volume::as_m3));
    report.number("1/2 in tube", Tube::parse("1/2 in").map(|tube| tube.bore().as_m()));
    report.line(&format!("tubes: {}", tubes().len()));
    for metres in [-430.0, 0.0, 1609.344, 5100.0] {
        report.number(&format!("at {metres} m"), atmosphere_at(Length::from_m(metres)).map(Pressure::as_pa));
    }
    for system in [UnitSystem::Ip, UnitSystem::Si] {
        let charge = system.mass(Mass::from_kg(4.5));
        let suction = system.absolute_pressure(Pressure::from_pa(293_000.0));
        report.line(&format!(
            "printed: {charge}, {suction}, {}",
            system.temperature(Temperature::from_k(277.6))
        ));
    }
    for wrong in ["", "4.5", "4.5 furlong", "1e999 bar", "NaN psi"] {
        let said = TypedPressure::parse(wrong).map_or_else(|error| error.to_string(), |_| "taken".to_owned());
        report.line(&format!("{wrong:?} refused: {said}"));
    }
}

fn pascal(typed: &str) -> Result<f64, ParseError> {
    let atmosphere = atmosphere_at(Length::from_m(1609.344))?;
    Ok(TypedPressure::parse(typed)?.existing(atmosphere)?.as_pa())
}
