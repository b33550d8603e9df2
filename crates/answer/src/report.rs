//! Diagrams and pages to print, from what was typed.

use stemwise_report::{
    Cycle, CycleAsk, Level, Options, Outlet, PageOptions, Paper, PressureAxis, Sheet, pressure_enthalpy,
};
use stemwise_thermo::Substance;
use stemwise_units::{
    Pressure, SpecificEnergy, Temperature, TemperatureDifference, TypedPressure, UnitSystem, parse_fraction,
};
use stemwise_wire as wire;

use crate::Error;
use crate::properties::estimated;
use crate::saturation::{Point, SaturationError, point};

/// What a diagram shall show, as people type it; what is left out follows from the refrigerant.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DiagramAsk {
    /// The ends of the pressure axis: "1 bara", "30 bar".
    pub pressures: Option<(String, String)>,
    /// The ends of the enthalpy axis: "150 kJ/kg", "500 kJ/kg".
    pub enthalpies: Option<(String, String)>,
    /// Whether the pressure axis says what a gauge shows.
    pub gauge: bool,
    /// Whether the sheet is as narrow as a telephone.
    pub narrow: bool,
    /// Whether lines of constant density are drawn.
    pub densities: bool,
    /// A heading of one's own.
    pub heading: Option<String>,
    /// A cycle to draw.
    pub cycle: Option<CycleWords>,
}

/// A cycle, as people type it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CycleWords {
    /// Evaporating: the dew point's temperature, "-10 C", or the pressure, "15 psig".
    pub evaporating: String,
    /// Condensing, likewise.
    pub condensing: String,
    /// "8 K"; none if left out.
    pub superheat: Option<String>,
    /// "4 K"; none if left out.
    pub subcooling: Option<String>,
    /// Or the temperature at the condenser's or gas cooler's outlet, "35 C".
    pub outlet: Option<String>,
    /// The compressor's isentropic efficiency, "0.7" or "70 %"; 1 if left out.
    pub efficiency: Option<String>,
}

/// Draws the pressure-enthalpy diagram of a refrigerant, a blend or any composition.
///
/// # Errors
/// [`Error::Typed`] for a value that was not understood, [`Error::Report`] for what can't be drawn.
///
/// ```
/// use stemwise_answer::{CycleWords, DiagramAsk, diagram};
/// use stemwise_units::{Pressure, UnitSystem};
/// let sea_level = Pressure::from_pa(101_325.0);
/// let cycle = |low: &str| Some(CycleWords { evaporating: low.into(), condensing: "40 C".into(), ..CycleWords::default() });
/// let ask = |low: &str| DiagramAsk { cycle: cycle(low), ..DiagramAsk::default() };
/// let answer = diagram("R-134a", &ask("-10 C"), sea_level, UnitSystem::Si)?;
/// assert!(answer.svg.starts_with("<svg") && answer.cycle.unwrap().points.len() == 4);
/// assert!(diagram("R-134a", &ask("50 C"), sea_level, UnitSystem::Si).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn diagram(
    fluid: &str,
    ask: &DiagramAsk,
    atmosphere: Pressure,
    units: UnitSystem,
) -> Result<wire::DiagramAnswer, Error> {
    let substance = Substance::named(fluid).map_err(stemwise_report::Error::Thermo)?;
    let pressure = |what: &str, typed: &str| {
        let pressure = TypedPressure::parse(typed).and_then(|typed| typed.existing(atmosphere));
        pressure.map_err(Error::typed(what))
    };
    let enthalpy = |what: &str, typed: &str| SpecificEnergy::parse(typed).map_err(Error::typed(what));
    let pressures = ask.pressures.as_ref();
    let enthalpies = ask.enthalpies.as_ref();
    let options = Options {
        units,
        pressure_axis: if ask.gauge { PressureAxis::Gauge(atmosphere) } else { PressureAxis::Absolute },
        sheet: if ask.narrow { Sheet::Narrow } else { Sheet::Wide },
        heading: ask.heading.clone(),
        pressures: pressures
            .map(|(low, high)| {
                Ok::<_, Error>((pressure("pressure-from", low)?, pressure("pressure-to", high)?))
            })
            .transpose()?,
        enthalpies: enthalpies
            .map(|(low, high)| {
                Ok::<_, Error>((enthalpy("enthalpy-from", low)?, enthalpy("enthalpy-to", high)?))
            })
            .transpose()?,
        densities: ask.densities,
        cycle: ask.cycle.as_ref().map(|words| cycle_ask(words, atmosphere)).transpose()?,
    };
    let svg = pressure_enthalpy(&substance, &options)?;
    let cycle = options.cycle.as_ref().map(|ask| stemwise_report::cycle(&substance, ask)).transpose()?;
    Ok(wire::DiagramAnswer {
        fluid: substance.name(),
        svg,
        cycle: cycle.as_ref().map(cycle_answer),
        model: substance.model(),
        estimated: estimated(&substance),
    })
}

fn cycle_ask(words: &CycleWords, atmosphere: Pressure) -> Result<CycleAsk, Error> {
    let level = |what: &str, typed: &str| {
        Ok::<_, Error>(match point(what, typed, atmosphere)? {
            Point::Temperature(temperature) => Level::DewPoint(temperature),
            Point::Pressure(pressure) => Level::Pressure(pressure),
        })
    };
    let difference = |what: &str, typed: &Option<String>| {
        let typed =
            typed.as_deref().map(|typed| TemperatureDifference::parse(typed).map_err(Error::typed(what)));
        typed.transpose().map(|difference| difference.unwrap_or(TemperatureDifference::from_k(0.0)))
    };
    let outlet = match &words.outlet {
        Some(typed) => Outlet::Temperature(Temperature::parse(typed).map_err(Error::typed("outlet"))?),
        None => Outlet::Subcooling(difference("subcooling", &words.subcooling)?),
    };
    let efficiency =
        words.efficiency.as_deref().map(|typed| parse_fraction(typed).map_err(Error::typed("efficiency")));
    Ok(CycleAsk {
        evaporating: level("evaporating", &words.evaporating)?,
        condensing: level("condensing", &words.condensing)?,
        superheat: difference("superheat", &words.superheat)?,
        outlet,
        efficiency: efficiency.transpose()?.unwrap_or(1.0),
    })
}

fn cycle_answer(cycle: &Cycle) -> wire::CycleAnswer {
    let point = |state: &stemwise_thermo::RawState| wire::CyclePoint {
        temperature: state.t,
        p: state.p,
        rho: state.rho,
        h: state.h,
        s: state.s,
    };
    wire::CycleAnswer {
        points: cycle.points().iter().map(point).collect(),
        cooling_cop: cycle.cooling_cop(),
        heating_cop: cycle.heating_cop(),
        discharge_temperature: cycle.discharge_temperature().as_k(),
        refrigerating_effect: cycle.refrigerating_effect().as_j_per_kg(),
        work: cycle.work().as_j_per_kg(),
        volumetric_effect: cycle.volumetric_effect_j_per_m3(),
        pressure_ratio: cycle.pressure_ratio(),
        vapour_after_expansion: cycle.vapour_after_expansion(),
        efficiency: cycle.efficiency(),
    }
}

/// What a saturation page shall show, as people type it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PageAsk {
    /// The ends of the tables: "-40 C", "60 C".
    pub temperatures: Option<(String, String)>,
    /// The step of the full table: "5 K".
    pub step: Option<String>,
    /// "a4", as if left out, or "letter".
    pub paper: Option<String>,
    /// A heading of one's own.
    pub heading: Option<String>,
}

/// Writes the saturation tables of a refrigerant to print; gauges read zero at this atmosphere.
///
/// # Errors
/// [`Error::Typed`] for a value that was not understood, [`Error::Saturation`] for a paper that is none, [`Error::Report`] for what
/// can't be printed.
///
/// ```
/// use stemwise_answer::{PageAsk, saturation_page};
/// use stemwise_units::{Pressure, UnitSystem};
/// let page = |paper: &str| {
///     let ask = PageAsk { paper: Some(paper.into()), ..PageAsk::default() };
///     saturation_page("R-407C", &ask, Pressure::from_pa(101_325.0), UnitSystem::Ip)
/// };
/// assert!(page("letter")?.html.contains("size: letter"));
/// assert!(page("a5").is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn saturation_page(
    fluid: &str,
    ask: &PageAsk,
    atmosphere: Pressure,
    units: UnitSystem,
) -> Result<wire::PageAnswer, Error> {
    let substance = Substance::named(fluid).map_err(stemwise_report::Error::Thermo)?;
    let temperature = |what: &str, typed: &str| Temperature::parse(typed).map_err(Error::typed(what));
    let ends = ask.temperatures.as_ref();
    let step =
        ask.step.as_deref().map(|typed| TemperatureDifference::parse(typed).map_err(Error::typed("step")));
    let options = PageOptions {
        temperatures: ends
            .map(|(low, high)| Ok::<_, Error>((temperature("from", low)?, temperature("to", high)?)))
            .transpose()?,
        step: step.transpose()?,
        paper: paper(ask.paper.as_deref())?,
        heading: ask.heading.clone(),
        ..PageOptions::usual(units, atmosphere)
    };
    Ok(wire::PageAnswer {
        fluid: substance.name(),
        html: stemwise_report::saturation_page(&substance, &options)?,
        model: substance.model(),
        estimated: estimated(&substance),
    })
}

pub(crate) fn paper(typed: Option<&str>) -> Result<Paper, SaturationError> {
    match typed.map(|typed| typed.trim().to_ascii_lowercase()).as_deref() {
        None | Some("a4") => Ok(Paper::A4),
        Some("letter") => Ok(Paper::Letter),
        Some(other) => Err(SaturationError::Paper { typed: other.chars().take(40).collect() }),
    }
}
