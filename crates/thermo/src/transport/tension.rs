//! Surface tension, N/m.

use stemwise_units::{SurfaceTension, Temperature};

use super::data::{Tension, of};
use super::general::acentric;
use super::spot::series;
use super::{Estimated, Method, Origin, Property, TransportError, Uncertainty};
use crate::eos::Eos;
use crate::{Error, Fluid};

const SOURCE: &str = "corresponding states of K. S. Pitzer and R. F. Curl, as B. E. Poling, J. M. Prausnitz, J. P. O'Connell print it, \
     The Properties of Gases and Liquids, 5th ed., equation 12-3.7 (number from memory)";

/// Against the fluids with correlations of their own; `tests/transport.rs` repeats it.
const GENERAL: Uncertainty = Uncertainty {
    percent: Some(40.0),
    words: "against 14 halogenated ethanes, propanes and propenes from 0.6 to 0.95 of the critical temperature: -13 to +40 %, the most near the \
            critical point, where little is left",
    origin: Origin::Measured,
};

/// The surface tension of a liquid against its own vapour.
///
/// # Errors
/// [`TransportError::NoSurface`] at and above the critical temperature, [`TransportError::State`] below the saturation curve.
///
/// ```
/// use stemwise_thermo::{Fluid, transport};
/// use stemwise_units::Temperature;
/// let water = Fluid::named("water")?;
/// let found = transport::surface_tension(water, Temperature::from_celsius(20.0))?;
/// assert!((found.value.as_mn_per_m() - 72.74).abs() < 0.3); // IAPWS R1-76(2014), table 1
/// assert!(transport::surface_tension(water, Temperature::from_celsius(400.0)).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn surface_tension(
    fluid: &Fluid,
    temperature: Temperature,
) -> Result<Estimated<SurfaceTension>, TransportError> {
    match of(fluid.name()).and_then(|data| data.surface_tension.as_ref()) {
        None => surface_tension_by(fluid, Method::GeneralTension, temperature),
        Some(tension) => {
            let t = on_the_curve(fluid, temperature)?;
            answer(tension.at(t), Method::Correlation, &tension.source, tension.uncertainty())
        }
    }
}

/// The surface tension by a method of one's choice: [`Method::Correlation`] or [`Method::GeneralTension`].
///
/// # Errors
/// As [`surface_tension`]; [`TransportError::NoModel`] where the method has no parameters for the fluid.
///
/// ```
/// use stemwise_thermo::{Fluid, transport, transport::Method};
/// use stemwise_units::Temperature;
/// let fluid = Fluid::named("R-134a")?;
/// let by = |celsius: f64| transport::surface_tension_by(fluid, Method::GeneralTension, Temperature::from_celsius(celsius));
/// assert!(by(25.0)?.method.is_estimate());
/// assert!(by(150.0).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn surface_tension_by(
    fluid: &Fluid,
    method: Method,
    temperature: Temperature,
) -> Result<Estimated<SurfaceTension>, TransportError> {
    let published = of(fluid.name()).is_some_and(|data| data.surface_tension.is_some());
    let no_model = || TransportError::NoModel {
        fluid: fluid.name().to_owned(),
        property: Property::SurfaceTension,
        method,
    };
    match method {
        Method::Correlation if published => surface_tension(fluid, temperature),
        Method::GeneralTension => {
            let t = on_the_curve(fluid, temperature)?;
            answer(pitzer(fluid.eos(), t).ok_or_else(no_model)?, method, SOURCE, GENERAL)
        }
        _ => Err(no_model()),
    }
}

impl Tension {
    /// N/m.
    pub(super) fn at(&self, t: f64) -> f64 {
        series(&self.a, &self.n, (1.0 - t / self.critical_temperature).max(0.0))
    }
    pub(super) fn uncertainty(&'static self) -> Uncertainty {
        Uncertainty {
            percent: self.uncertainty_percent,
            words: &self.uncertainty_words,
            origin: self.uncertainty_origin,
        }
    }
}

/// By the preferred method, none where the vapour pressure curve is too short for the general one.
pub(super) fn tension(eos: &Eos, t: f64) -> Option<f64> {
    match of(&eos.data.name).and_then(|data| data.surface_tension.as_ref()) {
        Some(tension) => Some(tension.at(t)),
        None => pitzer(eos, t),
    }
}

fn answer(
    value: f64,
    method: Method,
    source: &'static str,
    uncertainty: Uncertainty,
) -> Result<Estimated<SurfaceTension>, TransportError> {
    let value = SurfaceTension::from_n_per_m(value);
    Ok(Estimated { value, method, source, uncertainty, extrapolated: false })
}

fn on_the_curve(fluid: &Fluid, temperature: Temperature) -> Result<f64, TransportError> {
    let (t, data) = (temperature.as_k(), &fluid.eos().data);
    let (low, high) = (data.min_temperature, data.critical_temperature);
    if t >= high {
        return Err(TransportError::NoSurface { fluid: fluid.name().to_owned(), kelvin: t, critical: high });
    }
    if t >= low { Ok(t) } else { Err(Error::NoSaturationAtTemperature { kelvin: t, low, high }.into()) }
}

fn pitzer(eos: &Eos, t: f64) -> Option<f64> {
    let (omega, data) = (acentric(eos)?, &eos.data);
    let bar = data.critical_pressure / 1e5;
    let size = libm::pow(bar, 2.0 / 3.0) * libm::cbrt(data.critical_temperature);
    let shape = (3.75 + 0.91 * omega) / (0.291 - 0.08 * omega);
    let theta = libm::pow((1.0 - t / data.critical_temperature).max(0.0), 11.0 / 9.0);
    Some(1e-3 * size * (1.86 + 1.18 * omega) / 19.05 * libm::pow(shape, 2.0 / 3.0) * theta)
}
