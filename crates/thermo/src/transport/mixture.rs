//! Mixtures: only the viscosity of a thin gas.

use stemwise_units::{DynamicViscosity, Pressure, Temperature};

use super::{Estimated, Method, Origin, Property, TransportError, Uncertainty, thin_viscosity};
use crate::{Given, Mixture, Phase};

const SOURCE: &str =
    "C. R. Wilke, J. Chem. Phys. 18 (1950) 517-519, from the components' thin-gas viscosities";

/// Gas this near to ideal is thin: the compressibility factor at least.
const THIN: f64 = 0.9;

const UNCERTAINTY: Uncertainty = Uncertainty {
    percent: Some(10.0),
    words: "the rule itself a few per cent for gases that are alike; what pressure adds is left out, a few per cent more",
    origin: Origin::Memory,
};

/// The viscosity of a mixture as a thin gas, by Wilke's rule: an estimate.
///
/// # Errors
/// [`TransportError::Mixture`] for liquid, two phases, supercritical fluid and gas whose compressibility factor is under 0.9;
/// [`TransportError::State`] where the state cannot be had.
///
/// ```
/// use stemwise_thermo::{Fluid, MassFractions, Mixture, transport};
/// use stemwise_units::{Pressure, Temperature};
/// let components = vec![Fluid::named("R-32")?, Fluid::named("R-125")?];
/// let blend = Mixture::by_mass(components, &MassFractions::of_parts(&[50.0, 50.0])?)?;
/// let warm = Temperature::from_celsius(25.0);
/// let found = transport::mixture_viscosity(&blend, warm, Pressure::from_bar(1.0))?;
/// assert!(found.method.is_estimate());
/// assert!(transport::mixture_viscosity(&blend, warm, Pressure::from_bar(30.0)).is_err()); // a liquid
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn mixture_viscosity(
    mixture: &Mixture,
    temperature: Temperature,
    pressure: Pressure,
) -> Result<Estimated<DynamicViscosity>, TransportError> {
    let (t, p) = (temperature.as_k(), pressure.as_pa());
    let state = mixture.state(Given::TemperaturePressure(temperature, pressure))?;
    let refused =
        |what| TransportError::Mixture { property: Property::Viscosity, kelvin: t, pascal: p, what };
    match state.phase() {
        Phase::Vapour => {}
        Phase::Liquid => return Err(refused("a liquid")),
        Phase::TwoPhase => return Err(refused("liquid and vapour together")),
        Phase::Supercritical => return Err(refused("a supercritical fluid")),
    }
    let molar = state.density().as_kg_per_m3() / mixture.molar_mass_kg_per_mol();
    // The gas constant only tells thin from dense here.
    if p / (molar * 8.314_462_618 * t) < THIN {
        return Err(refused("too dense a gas"));
    }
    let gases: Option<Vec<Gas>> = mixture
        .components()
        .iter()
        .zip(mixture.mole_fractions().values())
        .map(|(fluid, &part)| {
            Some(Gas { part, molar: fluid.molar_mass_kg_per_mol(), viscosity: thin_viscosity(fluid, t)? })
        })
        .collect();
    let value = gases.map(|gases| wilke(&gases)).filter(|value| value.is_finite() && *value > 0.0);
    let value =
        DynamicViscosity::from_pa_s(value.ok_or_else(|| refused("of components that have no thin gas"))?);
    let (low, high) = mixture.components().iter().fold((0.0_f64, f64::INFINITY), |(low, high), fluid| {
        let data = &fluid.eos().data;
        (low.max(data.min_temperature), high.min(data.max_temperature))
    });
    let extrapolated = !(t >= low && t <= high);
    Ok(Estimated { value, method: Method::Wilke, source: SOURCE, uncertainty: UNCERTAINTY, extrapolated })
}

#[derive(Clone, Copy, Debug)]
struct Gas {
    part: f64,
    molar: f64,
    viscosity: f64,
}

fn wilke(gases: &[Gas]) -> f64 {
    gases
        .iter()
        .map(|one| {
            let crowd: f64 = gases.iter().map(|other| other.part * phi(one, other)).sum();
            one.part * one.viscosity / crowd
        })
        .sum()
}

fn phi(one: &Gas, other: &Gas) -> f64 {
    let root = 1.0 + libm::sqrt(one.viscosity / other.viscosity) * libm::pow(other.molar / one.molar, 0.25);
    root * root / libm::sqrt(8.0 * (1.0 + one.molar / other.molar))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sulphur dioxide (5 %) in dimethyl ether as the documentation of the library `chemicals` 1.x works it out: 9.7016e-6 Pa s.
    #[test]
    fn wilke_as_another_library_has_it() {
        let gases = [
            Gas { part: 0.05, molar: 64.06, viscosity: 1.34e-5 },
            Gas { part: 0.95, molar: 46.07, viscosity: 9.5029e-6 },
        ];
        assert!((wilke(&gases) / 9.701_614_885_866_193e-6 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn parts_of_one_gas_are_that_gas() {
        let gas = |part| Gas { part, molar: 0.1, viscosity: 1.2e-5 };
        assert!((wilke(&[gas(0.3), gas(0.7)]) / 1.2e-5 - 1.0).abs() < 1e-15);
    }
}
