//! The phase envelope of a refrigerant.

use stemwise_thermo::{EnvelopePoint, Line, Substance};
use stemwise_units::Pressure;
use stemwise_wire as wire;

use crate::properties::estimated;
use crate::{Error, SaturationError};

/// The bubble and dew line of a refrigerant or a composition with the critical point and both ends of two phases; gauges read zero at this
/// atmosphere.
///
/// # Errors
/// [`Error::Saturation`] for a name that is no refrigerant, and where the lines don't meet in a critical point.
///
/// ```
/// use stemwise_units::Pressure;
/// let answer = stemwise_answer::envelope("R-32", Pressure::from_pa(101_325.0))?;
/// // R. Tillner-Roth, A. Yokozeki (1997): critical at 351.255 K and 5.782 MPa.
/// assert!((answer.critical.temperature_k - 351.255).abs() < 0.01);
/// assert!((answer.critical.pressure_pa - 5.782e6).abs() < 2e3);
/// assert!(stemwise_answer::envelope("R-9", Pressure::from_pa(101_325.0)).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn envelope(fluid: &str, atmosphere: Pressure) -> Result<wire::EnvelopeAnswer, Error> {
    let substance = Substance::named(fluid).map_err(SaturationError::Thermo)?;
    let found = substance.envelope().map_err(SaturationError::Thermo)?;
    let spot = |point: &EnvelopePoint| spot(point, atmosphere);
    Ok(wire::EnvelopeAnswer {
        fluid: substance.name(),
        components: substance.components().iter().map(|fluid| fluid.name().to_owned()).collect(),
        critical: spot(&found.critical),
        cricondentherm: spot(&found.cricondentherm),
        cricondenbar: spot(&found.cricondenbar),
        points: found.points.iter().map(spot).collect(),
        model: substance.model(),
        estimated: estimated(&substance),
    })
}

fn spot(point: &EnvelopePoint, atmosphere: Pressure) -> wire::EnvelopeSpot {
    wire::EnvelopeSpot {
        line: match point.line {
            Line::Bubble => wire::EnvelopeLine::Bubble,
            Line::Dew => wire::EnvelopeLine::Dew,
        },
        temperature_k: point.temperature.as_k(),
        pressure_pa: point.pressure.as_pa(),
        pressure_gauge_pa: point.pressure.gauge(atmosphere).as_pa(),
        rho: point.density.as_kg_per_m3(),
        forming_rho: point.forming_density.as_kg_per_m3(),
        forming: point.forming.values().to_vec(),
    }
}
