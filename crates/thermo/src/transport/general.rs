//! The general methods, for fluids of which nothing is published here: estimates from the equation of state alone.

use super::data::{ConductivityModel, ConductivityStates, OlchowySengers, ViscosityModel, ViscosityStates};
use super::spot::Spot;
use super::viscosity::chung_shape;
use super::{Origin, Uncertainty};
use crate::eos::Eos;

/// Where the method is from.
pub(super) const SOURCE: &str = "extended corresponding states against R-134a with nothing fitted (form of M. L. Huber, A. Laesecke, R. A. Perkins, \
     Ind. Eng. Chem. Res. 42 (2003) 3163-3178); molecule by T. H. Chung et al., Ind. Eng. Chem. Res. 27 (1988) 671-679, dipole left out";

/// Against the fluids with models of their own; `tests/transport.rs` repeats it.
pub(super) const VISCOSITY: Uncertainty = Uncertainty {
    percent: Some(45.0),
    words: "against 14 halogenated ethanes, propanes and propenes from 0.6 to 0.95 of the critical temperature: liquid -33 to +44 %, vapour \
            -10 to +15 %; up to 90 % too high for cold liquids of small polar molecules",
    origin: Origin::Measured,
};

/// Against the fluids with models of their own; `tests/transport.rs` repeats it.
pub(super) const CONDUCTIVITY: Uncertainty = Uncertainty {
    percent: Some(26.0),
    words: "against 14 halogenated ethanes, propanes and propenes from 0.6 to 0.95 of the critical temperature: liquid -13 to +16 %, vapour \
            -20 to +26 %",
    origin: Origin::Measured,
};

/// The acentric factor, from the vapour pressure at 0.7 of the critical temperature; none where the curve doesn't reach there.
pub(super) fn acentric(eos: &Eos) -> Option<f64> {
    let sat = eos.saturation(0.7 * eos.data.critical_temperature).ok()?;
    Some(-libm::log10(sat.p / eos.data.critical_pressure) - 1.0)
}

/// Lennard-Jones energy (K) and diameter (nm), the shape factor folded into the diameter.
fn molecule(eos: &Eos) -> Option<(f64, f64)> {
    let data = &eos.data;
    let shape = chung_shape(acentric(eos)?, 0.0, &Spot::new(eos, data.critical_temperature, 1.0));
    let sigma = 0.809 / libm::cbrt(data.critical_density / 1000.0);
    Some((data.critical_temperature / 1.2593, sigma / libm::sqrt(shape)))
}

const REFERENCE: &str = "R-134a";

/// Nothing fitted: `psi` is one.
pub(super) fn viscosity_model(eos: &Eos) -> Option<ViscosityModel> {
    let (epsilon, sigma) = molecule(eos)?;
    Some(ViscosityModel::CorrespondingStates(ViscosityStates {
        epsilon,
        sigma,
        reference: REFERENCE.to_owned(),
        psi: vec![1.0],
        psi_powers: vec![0.0],
        psi_density: eos.data.critical_density,
    }))
}

/// Nothing fitted: `psi` is one, the internal factor that of the modified Eucken relation (1.32), the enhancement's parameters the usual ones.
pub(super) fn conductivity_model(eos: &Eos) -> Option<ConductivityModel> {
    let (epsilon, sigma) = molecule(eos)?;
    let data = &eos.data;
    Some(ConductivityModel::CorrespondingStates(ConductivityStates {
        epsilon,
        sigma,
        reference: REFERENCE.to_owned(),
        psi: vec![1.0],
        psi_powers: vec![0.0],
        psi_density: data.critical_density,
        internal: vec![1.32e-3],
        internal_powers: vec![0.0],
        internal_temperature: 1.0,
        critical: OlchowySengers {
            reducing_pressure: data.critical_pressure,
            reference_temperature: 1.5 * data.critical_temperature,
            r0: 1.03,
            gamma: 1.239,
            big_gamma: 0.0496,
            xi0: 1.94e-10,
            cutoff: 2e9,
        },
    }))
}
