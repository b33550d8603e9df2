//! Viscosity, thermal conductivity and surface tension of a state, with what they rest on.

use stemwise_thermo::transport::{
    Estimated, TransportError, mixture_surface_tension, mixture_thermal_conductivity, mixture_viscosity,
    surface_tension, thermal_conductivity, viscosity,
};
use stemwise_thermo::{Mixture, MixtureState, Phase, Substance};
use stemwise_units::{DynamicViscosity, SurfaceTension, ThermalConductivity};
use stemwise_wire as wire;

/// The values that have a meaning in a state: viscosity and conductivity in one phase, surface tension where there are two.
pub(crate) fn transport(substance: &Substance, state: &MixtureState) -> Vec<wire::TransportValue> {
    let (t, rho) = (state.temperature(), state.density());
    let mut values = Vec::new();
    let mixture = substance.mixture();
    if state.phase() != Phase::TwoPhase {
        let (flows, conducts) = match (substance, mixture) {
            (Substance::Pure(fluid), _) => (viscosity(fluid, t, rho), thermal_conductivity(fluid, t, rho)),
            (_, Some(mixture)) => {
                (mixture_viscosity(mixture, t, rho), mixture_thermal_conductivity(mixture, t, rho))
            }
            (_, None) => return values,
        };
        values.push(value("viscosity", flows, DynamicViscosity::as_pa_s));
        values.push(value("thermal conductivity", conducts, ThermalConductivity::as_w_per_m_k));
    }
    if state.quality().is_some() {
        let tension = |mixture: &Mixture| mixture_surface_tension(mixture, t);
        let pulls = match (substance, mixture) {
            (Substance::Pure(fluid), _) => surface_tension(fluid, t),
            (_, Some(mixture)) => tension(mixture),
            (_, None) => return values,
        };
        values.push(value("surface tension", pulls, SurfaceTension::as_n_per_m));
    }
    values
}

fn value<Q: Copy>(
    property: &str,
    found: Result<Estimated<Q>, TransportError>,
    number: impl Fn(Q) -> f64,
) -> wire::TransportValue {
    match found {
        Ok(found) => wire::TransportValue {
            property: property.into(),
            value: Some(number(found.value)),
            because: None,
            method: Some(found.method.word().into()),
            estimate: found.method.is_estimate(),
            uncertainty: Some(uncertainty(&found)),
            source: Some(found.source.into()),
        },
        Err(error) => wire::TransportValue {
            property: property.into(),
            value: None,
            because: Some(error.to_string()),
            method: None,
            estimate: false,
            uncertainty: None,
            source: None,
        },
    }
}

fn uncertainty<Q>(found: &Estimated<Q>) -> String {
    let said = &found.uncertainty;
    let beyond = if found.extrapolated { "; outside the range of its paper" } else { "" };
    match said.percent {
        Some(percent) => format!("{percent} % ({}; {}){beyond}", said.words, said.origin.word()),
        None => format!("not stated{beyond}"),
    }
}
