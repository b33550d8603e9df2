//! `report`: diagrams with and without a cycle, and a saturation page, as files.

use stemwise_report::{
    CycleAsk, Error, Level, Options, Outlet, PageOptions, PressureAxis, Sheet, pressure_enthalpy,
    saturation_page,
};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, Temperature, TemperatureDifference, UnitSystem};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for (name, sheet) in [("R-134a", Sheet::Wide), ("R-454B", Sheet::Narrow)] {
        put(report, &format!("{name} diagram"), diagram(name, sheet));
        put(report, &format!("{name} page"), page(name));
    }
    let nothing = Options { heading: Some("x".repeat(99)), ..Options::default() };
    let refused =
        Substance::named("R-134a").map_err(Error::Thermo).and_then(|it| pressure_enthalpy(&it, &nothing));
    report
        .line(&format!("refused: {}", refused.map_or_else(|why| why.to_string(), |_| "error: drawn".into())));
}

fn put(report: &mut Report, what: &str, file: Result<String, Error>) {
    match file {
        Ok(file) => report.digest(what, &file),
        Err(error) => report.line(&format!("{what}: error: {error}")),
    }
}

fn diagram(name: &str, sheet: Sheet) -> Result<String, Error> {
    let cycle = CycleAsk {
        evaporating: Level::DewPoint(Temperature::from_celsius(-10.0)),
        condensing: Level::DewPoint(Temperature::from_celsius(40.0)),
        superheat: TemperatureDifference::from_k(8.0),
        outlet: Outlet::Subcooling(TemperatureDifference::from_k(4.0)),
        efficiency: 0.7,
    };
    let pressure_axis = PressureAxis::Gauge(Pressure::from_kpa(95.0));
    let options = Options { pressure_axis, sheet, densities: true, cycle: Some(cycle), ..Options::default() };
    pressure_enthalpy(&Substance::named(name)?, &options)
}

fn page(name: &str) -> Result<String, Error> {
    saturation_page(&Substance::named(name)?, &PageOptions::usual(UnitSystem::Ip, Pressure::from_kpa(95.0)))
}
