//! Draws a diagram, or with `page` writes saturation tables: `cargo run --release -p stemwise-report --example draw R-134a > r134a.svg`.
#![allow(clippy::print_stdout, reason = "this is what the program is for")]

use stemwise_report::{
    CycleAsk, Error, Level, Options, Outlet, PageOptions, PressureAxis, Sheet, pressure_enthalpy,
    saturation_page,
};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, Temperature, TemperatureDifference, UnitSystem};

fn main() -> Result<(), Error> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let has = |word: &str| words.iter().any(|found| found == word);
    let substance = Substance::named(words.first().map_or("R-134a", String::as_str))?;
    let cycle = CycleAsk {
        evaporating: Level::DewPoint(Temperature::from_celsius(-10.0)),
        condensing: Level::DewPoint(Temperature::from_celsius(40.0)),
        superheat: TemperatureDifference::from_k(8.0),
        outlet: Outlet::Subcooling(TemperatureDifference::from_k(4.0)),
        efficiency: 0.7,
    };
    let high = Level::Pressure(Pressure::from_bar(95.0));
    let gas =
        CycleAsk { condensing: high, outlet: Outlet::Temperature(Temperature::from_celsius(35.0)), ..cycle };
    let options = Options {
        units: if has("ip") { UnitSystem::Ip } else { UnitSystem::Si },
        pressure_axis: if has("gauge") {
            PressureAxis::Gauge(Pressure::from_pa(101_325.0))
        } else {
            PressureAxis::Absolute
        },
        sheet: if has("narrow") { Sheet::Narrow } else { Sheet::Wide },
        densities: has("densities"),
        cycle: if has("gas") { Some(gas) } else { has("cycle").then_some(cycle) },
        ..Options::default()
    };
    if has("page") {
        let page = PageOptions::usual(options.units, Pressure::from_pa(101_325.0));
        print!("{}", saturation_page(&substance, &page)?);
        return Ok(());
    }
    print!("{}", pressure_enthalpy(&substance, &options)?);
    Ok(())
}
