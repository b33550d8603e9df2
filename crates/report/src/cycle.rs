//! The simple cycle: compress, give off heat, expand, take up heat.

use stemwise_thermo::{Given, MixtureState, RawState, Substance};
use stemwise_units::{Pressure, SpecificEnergy, Temperature, TemperatureDifference};

use crate::Error;

/// The most superheat or subcooling.
const MOST_DIFFERENCE: f64 = 150.0;

/// A side of the cycle, by temperature or by pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Level {
    /// The temperature of the dew point, as makers of compressors rate blends.
    DewPoint(Temperature),
    /// The pressure itself.
    Pressure(Pressure),
}

/// What leaves the high side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlet {
    /// Liquid, so far below its bubble point; 0 is the bubble point.
    Subcooling(TemperatureDifference),
    /// Liquid, or above the critical pressure whatever it is, at a temperature.
    Temperature(Temperature),
}

/// A cycle to work out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CycleAsk {
    /// The low side.
    pub evaporating: Level,
    /// The high side; above the critical pressure it must be a pressure and the outlet a temperature.
    pub condensing: Level,
    /// Between the dew point and the compressor, 0 to 150 K.
    pub superheat: TemperatureDifference,
    /// What leaves the high side.
    pub outlet: Outlet,
    /// The compressor's isentropic efficiency, above 0.05, up to 1.
    pub efficiency: f64,
}

/// A cycle with its points. Heat is exchanged at constant pressure, expansion at constant enthalpy; lines lose no pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    points: [RawState; 4],
    after_expansion: Option<f64>,
    efficiency: f64,
}

/// Works out a cycle.
///
/// # Errors
/// [`Error::Levels`], [`Error::Efficiency`], [`Error::Difference`], [`Error::NothingCondenses`], [`Error::NotLiquid`],
/// [`Error::NoEffect`], [`Error::Thermo`].
///
/// ```
/// use stemwise_report::{CycleAsk, Level, Outlet, cycle};
/// use stemwise_units::{Pressure, TemperatureDifference};
/// let none = TemperatureDifference::from_k(0.0);
/// let ask = CycleAsk {
///     evaporating: Level::Pressure(Pressure::from_kpa(140.0)),
///     condensing: Level::Pressure(Pressure::from_kpa(800.0)),
///     superheat: none,
///     outlet: Outlet::Subcooling(none),
///     efficiency: 1.0,
/// };
/// let found = cycle(&stemwise_thermo::Substance::named("R-134a")?, &ask)?;
/// assert!((found.cooling_cop() - 3.97).abs() < 0.01); // Çengel and Boles, Thermodynamics, example 11-1
/// # Ok::<(), stemwise_report::Error>(())
/// ```
pub fn cycle(substance: &Substance, ask: &CycleAsk) -> Result<Cycle, Error> {
    check(ask)?;
    let (low, high) = (pressure(substance, ask.evaporating)?, pressure(substance, ask.condensing)?);
    if !(high > low && low > 0.0) {
        return Err(Error::Levels { low, high });
    }
    let suction = suction(substance, low, ask.superheat.as_k())?;
    let discharge = compressed(substance, &suction, high, ask.efficiency)?;
    let liquid = outlet(substance, high, ask.outlet)?;
    let expanded = substance
        .state(Given::PressureEnthalpy(Pressure::from_pa(low), SpecificEnergy::from_j_per_kg(liquid.h)))?;
    if liquid.h >= suction.h {
        return Err(Error::NoEffect);
    }
    Ok(Cycle {
        points: [suction, discharge, liquid, *expanded.raw()],
        after_expansion: vapour_by_mass(substance, &expanded),
        efficiency: ask.efficiency,
    })
}

fn check(ask: &CycleAsk) -> Result<(), Error> {
    let efficiency = ask.efficiency;
    if !(efficiency > 0.05 && efficiency <= 1.0) {
        return Err(Error::Efficiency { efficiency });
    }
    let check = |what, difference: TemperatureDifference| {
        let kelvin = difference.as_k();
        if (0.0..=MOST_DIFFERENCE).contains(&kelvin) {
            Ok(())
        } else {
            Err(Error::Difference { what, kelvin })
        }
    };
    check("a superheat", ask.superheat)?;
    match ask.outlet {
        Outlet::Subcooling(difference) => check("a subcooling", difference),
        Outlet::Temperature(_) => Ok(()),
    }
}

fn pressure(substance: &Substance, level: Level) -> Result<f64, Error> {
    match level {
        Level::Pressure(pressure) => Ok(pressure.as_pa()),
        Level::DewPoint(temperature) => {
            Ok(substance.raw_state(Given::TemperatureQuality(temperature, 1.0))?.p)
        }
    }
}

fn suction(substance: &Substance, low: f64, superheat: f64) -> Result<RawState, Error> {
    let pressure = Pressure::from_pa(low);
    let dew = substance.raw_state(Given::PressureQuality(pressure, 1.0))?;
    if superheat > 0.0 {
        let temperature = Temperature::from_k(dew.t + superheat);
        return Ok(substance.raw_state(Given::TemperaturePressure(temperature, pressure))?);
    }
    Ok(dew)
}

/// What a compressor of an isentropic efficiency makes of a state at a higher pressure.
pub(crate) fn compressed(
    substance: &Substance,
    from: &RawState,
    pascal: f64,
    efficiency: f64,
) -> Result<RawState, Error> {
    let pressure = Pressure::from_pa(pascal);
    let entropy = stemwise_units::SpecificHeat::from_j_per_kg_k(from.s);
    let ideal = substance.raw_state(Given::PressureEntropy(pressure, entropy))?;
    if efficiency >= 1.0 {
        return Ok(ideal);
    }
    let enthalpy = SpecificEnergy::from_j_per_kg(from.h + (ideal.h - from.h) / efficiency);
    Ok(substance.raw_state(Given::PressureEnthalpy(pressure, enthalpy))?)
}

fn outlet(substance: &Substance, high: f64, outlet: Outlet) -> Result<RawState, Error> {
    let pressure = Pressure::from_pa(high);
    let at = |kelvin| substance.raw_state(Given::TemperaturePressure(Temperature::from_k(kelvin), pressure));
    let critical = substance.critical_pressure().as_pa();
    match outlet {
        Outlet::Subcooling(_) if high >= critical => Err(Error::NothingCondenses { pascal: high, critical }),
        Outlet::Temperature(temperature) if high >= critical => Ok(at(temperature.as_k())?),
        _ => {
            let bubble = substance.raw_state(Given::PressureQuality(pressure, 0.0))?;
            match outlet {
                Outlet::Subcooling(difference) if difference.as_k() > 0.0 => {
                    Ok(at(bubble.t - difference.as_k())?)
                }
                Outlet::Subcooling(_) => Ok(bubble),
                Outlet::Temperature(temperature) if temperature.as_k() < bubble.t => {
                    Ok(at(temperature.as_k())?)
                }
                Outlet::Temperature(temperature) => {
                    Err(Error::NotLiquid { pascal: high, bubble: bubble.t, kelvin: temperature.as_k() })
                }
            }
        }
    }
}

/// The vapour's part of the mass; the state's own quality is its part of the moles.
pub(crate) fn vapour_by_mass(substance: &Substance, state: &MixtureState) -> Option<f64> {
    let q = state.quality()?;
    Some(q * vapour_mass_ratio(substance, state))
}

/// The molar mass of the vapour in a state over that of the whole.
pub(crate) fn vapour_mass_ratio(substance: &Substance, state: &MixtureState) -> f64 {
    let Some(vapour) = state.vapour() else { return 1.0 };
    let components = substance.components();
    let molar = components.iter().zip(vapour.values()).map(|(fluid, y)| y * fluid.molar_mass_kg_per_mol());
    molar.sum::<f64>() / substance.molar_mass_kg_per_mol()
}

impl Cycle {
    /// The points: 1 drawn in by the compressor, 2 let out by it, 3 leaving the high side, 4 after expansion.
    pub const fn points(&self) -> &[RawState; 4] {
        &self.points
    }
    /// The vapour's part of the mass after expansion; none where that is no mixture of liquid and vapour.
    pub const fn vapour_after_expansion(&self) -> Option<f64> {
        self.after_expansion
    }
    /// The isentropic efficiency that was given.
    pub const fn efficiency(&self) -> f64 {
        self.efficiency
    }
    /// Heat that a kilogram takes up.
    pub const fn refrigerating_effect(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.points[0].h - self.points[3].h)
    }
    /// Work that a kilogram needs.
    pub const fn work(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.points[1].h - self.points[0].h)
    }
    /// Heat that a kilogram gives off.
    pub const fn heating_effect(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.points[1].h - self.points[2].h)
    }
    /// Heat taken up over work.
    pub const fn cooling_cop(&self) -> f64 {
        self.refrigerating_effect().as_j_per_kg() / self.work().as_j_per_kg()
    }
    /// Heat given off over work.
    pub const fn heating_cop(&self) -> f64 {
        self.heating_effect().as_j_per_kg() / self.work().as_j_per_kg()
    }
    /// Heat that a cubic metre of drawn-in vapour takes up, J/m³.
    pub const fn volumetric_effect_j_per_m3(&self) -> f64 {
        self.refrigerating_effect().as_j_per_kg() * self.points[0].rho
    }
    /// The high pressure over the low one.
    pub const fn pressure_ratio(&self) -> f64 {
        self.points[1].p / self.points[0].p
    }
    /// The temperature at which the compressor lets out.
    pub const fn discharge_temperature(&self) -> Temperature {
        Temperature::from_k(self.points[1].t)
    }
}
