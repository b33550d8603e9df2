//! Viscosity formulas, Pa s.

use super::conformal::conformal;
use super::data::{
    BatschinskiHildebrand, DiluteViscosity, EntropyScaling, HigherViscosity, RainwaterFriend, ShanDense,
    ViscosityModel, ViscosityR23, ViscosityStates, ViscosityTerms, of,
};
use super::spot::{Spot, polynomial, series};
use crate::Fluid;

/// The value, not yet checked; none where a formula has no answer.
pub(super) fn viscosity(model: &ViscosityModel, spot: &Spot<'_>) -> Option<f64> {
    match model {
        ViscosityModel::Terms(terms) => {
            let dilute = dilute(&terms.dilute, spot);
            Some(dilute + background(terms, spot, dilute)?)
        }
        ViscosityModel::CorrespondingStates(states) => corresponding(states, spot),
        ViscosityModel::EntropyScaling(scaling) => Some(entropy_scaling(scaling, spot)),
        ViscosityModel::Chung { acentric, dipole } => Some(chung(*acentric, *dipole, spot)),
        ViscosityModel::R23(model) => r23(model, spot),
        ViscosityModel::Water { dilute, finite } => Some(water(dilute, finite, spot)),
    }
}

/// The dilute gas alone, where a model says what that is.
pub(super) fn dilute_of(model: &ViscosityModel, spot: &Spot<'_>) -> Option<f64> {
    match model {
        ViscosityModel::Terms(terms) => Some(dilute(&terms.dilute, spot)),
        ViscosityModel::CorrespondingStates(ViscosityStates { epsilon, sigma, .. })
        | ViscosityModel::EntropyScaling(EntropyScaling { epsilon, sigma, .. }) => {
            Some(kinetic_theory(*epsilon, *sigma, spot))
        }
        ViscosityModel::Chung { acentric, dipole } => Some(chung_dilute(*acentric, *dipole, spot)),
        ViscosityModel::R23(model) => Some(r23_dilute(model, spot)),
        ViscosityModel::Water { dilute, .. } => Some(1e-6 * water_dilute(dilute, spot.t / 647.096)),
    }
}

/// Chapman and Enskog, with the collision integral of P. D. Neufeld, A. R. Janzen, R. A. Aziz, J. Chem. Phys. 57 (1972) 1100-1102.
pub(super) fn kinetic_theory(epsilon: f64, sigma_nm: f64, spot: &Spot<'_>) -> f64 {
    let x = spot.t / epsilon;
    26.692e-9 * libm::sqrt(spot.grams_per_mol() * spot.t) / (sigma_nm * sigma_nm * neufeld(x))
}

fn neufeld(x: f64) -> f64 {
    1.16145 * libm::pow(x, -0.14874) + 0.52487 * libm::exp(-0.77320 * x) + 2.16178 * libm::exp(-2.43787 * x)
}

fn dilute(model: &DiluteViscosity, spot: &Spot<'_>) -> f64 {
    match model {
        DiluteViscosity::KineticTheory { epsilon, sigma } => kinetic_theory(*epsilon, *sigma, spot),
        DiluteViscosity::CollisionIntegral { epsilon, sigma, factor, molar_mass, a, t } => {
            let integral = libm::exp(series(a, t, libm::log(spot.t / epsilon)));
            factor * libm::sqrt(molar_mass * spot.t) / (sigma * sigma * integral)
        }
        DiluteViscosity::Powers { reducing_temperature, a, t } => series(a, t, spot.t / reducing_temperature),
        DiluteViscosity::LaeseckeMuzny { a } => carbon_dioxide_dilute(a, spot.t),
    }
}

/// A. Laesecke, C. D. Muzny (2017), equation 4.
fn carbon_dioxide_dilute(a: &[f64], t: f64) -> f64 {
    let &[a0, a1, a2, a3, a4, a5, a6] = a else { return f64::NAN };
    let (sixth, third) = (libm::pow(t, 1.0 / 6.0), libm::cbrt(t));
    let below = a0
        + a1 * sixth
        + a2 * libm::exp(a3 * third)
        + (a4 + a5 * third) * libm::exp(-third)
        + a6 * libm::sqrt(t);
    0.0010055 * libm::sqrt(t) / below
}

/// What density adds to the dilute gas; none beyond the formula's closest packing.
pub(super) fn background(terms: &ViscosityTerms, spot: &Spot<'_>, dilute: f64) -> Option<f64> {
    let initial = terms.initial.as_ref().map_or(0.0, |initial| dilute * rainwater_friend(initial, spot));
    let higher = match &terms.higher {
        HigherViscosity::BatschinskiHildebrand(higher) => batschinski_hildebrand(higher, spot)?,
        HigherViscosity::LaeseckeMuzny { c1, c2, gamma, triple_temperature, triple_liquid_density } => {
            let (tt, dense) = (*triple_temperature, *triple_liquid_density);
            let (tr, rho) = (spot.t / tt, spot.mass_density() / dense);
            let scale = libm::pow(dense, 2.0 / 3.0) * libm::sqrt(spot.eos.data.gas_constant * tt)
                / (libm::pow(spot.eos.data.molar_mass, 1.0 / 6.0) * 84_446_887.435_799_45);
            scale * (c1 * tr * rho * rho * rho + (rho * rho + libm::pow(rho, *gamma)) / (tr - c2))
        }
    };
    Some(initial + higher)
}

/// Dimensionless: the second viscosity virial coefficient times the density.
fn rainwater_friend(initial: &RainwaterFriend, spot: &Spot<'_>) -> f64 {
    let sigma = initial.sigma * 1e-9;
    let per_mol = 6.022_141_29e23 * sigma * sigma * sigma;
    per_mol * series(&initial.b, &initial.t, spot.t / initial.epsilon) * spot.rho
}

fn batschinski_hildebrand(model: &BatschinskiHildebrand, spot: &Spot<'_>) -> Option<f64> {
    let (delta, tau) = (spot.rho / model.reducing_density, model.reducing_temperature / spot.t);
    let powers = model.a.iter().zip(&model.d1).zip(&model.t1);
    let sum: f64 = powers
        .zip(model.gamma.iter().zip(&model.l))
        .map(|(((a, &d), &t), (gamma, &l))| {
            a * libm::pow(delta, d) * libm::pow(tau, t) * libm::exp(gamma * libm::pow(delta, l))
        })
        .sum();
    let packing: f64 = model
        .f
        .iter()
        .zip(model.d2.iter().zip(&model.t2))
        .map(|(f, (&d, &t))| f * libm::pow(delta, d) * libm::pow(tau, t))
        .sum();
    let packed = model.f.iter().any(|f| f.abs() > 0.0);
    if !packed {
        return Some(sum);
    }
    let closest = series(&model.g, &model.h, tau) / series(&model.p, &model.q, tau);
    (delta < closest).then(|| sum + packing * (1.0 / (closest - delta) - 1.0 / closest))
}

/// S. A. Klein, M. O. McLinden, A. Laesecke (1997); M. L. Huber, A. Laesecke, R. A. Perkins (2003).
fn corresponding(model: &ViscosityStates, spot: &Spot<'_>) -> Option<f64> {
    let reference = Fluid::named(&model.reference).ok()?.eos();
    let terms = of(&model.reference)?.viscosity.iter().find_map(|entry| match &entry.model {
        ViscosityModel::Terms(terms) => Some(terms),
        _ => None,
    })?;
    let state = conformal(spot, reference)?;
    let psi = series(&model.psi, &model.psi_powers, spot.rho / model.psi_density);
    let there = Spot::new(reference, state.t0, state.rho0 * psi);
    let added = background(terms, &there, dilute(&terms.dilute, &there))?;
    let masses = spot.eos.data.molar_mass / reference.data.molar_mass;
    let scale = libm::sqrt(state.f * masses) * libm::pow(state.h, -2.0 / 3.0);
    Some(kinetic_theory(model.epsilon, model.sigma, spot) + added * scale)
}

/// I. H. Bell, A. Laesecke (2016).
fn entropy_scaling(model: &EntropyScaling, spot: &Spot<'_>) -> f64 {
    let data = &spot.eos.data;
    let critical = model.critical.unwrap_or_else(|| {
        Spot::new(spot.eos, data.critical_temperature, data.critical_density).residual_entropy()
    });
    let x = spot.residual_entropy() / critical;
    let liquid = 1.0 / (1.0 + libm::exp(-100.0 * (x - 2.0)));
    let power = liquid * polynomial(&model.liquid, x) + (1.0 - liquid) * polynomial(&model.vapour, x);
    let reduced = 1.0 + model.factor * (libm::exp(power) - 1.0);
    reduced * kinetic_theory(model.epsilon, model.sigma, spot)
}

/// `a0 + a1 omega + a2 mu^4` of T. H. Chung et al. (1988), the association factor left out.
const CHUNG: [[f64; 3]; 10] = [
    [6.32402, 50.41190, -51.68010],
    [0.12102e-2, -0.11536e-2, -0.62571e-2],
    [5.28346, 254.20900, -168.48100],
    [6.62263, 38.09570, -8.46414],
    [19.74540, 7.63034, -14.35440],
    [-1.89992, -12.53670, 4.98529],
    [24.27450, 3.44945, -11.29130],
    [0.79716, 1.11764, 0.12348e-1],
    [-0.23816, 0.67695e-1, -0.81630],
    [0.68629e-1, 0.34793, 0.59256],
];

/// Critical volume in cm³/mol, reduced dipole moment to the fourth, reduced temperature.
fn chung_terms(dipole: f64, spot: &Spot<'_>) -> (f64, f64, f64) {
    let data = &spot.eos.data;
    let volume = 1e6 / data.critical_density;
    let mu = 131.3 * dipole / libm::sqrt(volume * data.critical_temperature);
    (volume, mu * mu * mu * mu, spot.t * 1.2593 / data.critical_temperature)
}

/// What shape and dipole make of the dilute gas, against a Lennard-Jones molecule: T. H. Chung et al. (1988).
pub(super) fn chung_shape(acentric: f64, dipole: f64, spot: &Spot<'_>) -> f64 {
    1.0 - 0.2756 * acentric + 0.059035 * chung_terms(dipole, spot).1
}

fn chung_dilute(acentric: f64, dipole: f64, spot: &Spot<'_>) -> f64 {
    let (volume, _, x) = chung_terms(dipole, spot);
    let wave = 6.435e-4 * libm::pow(x, 0.14874) * libm::sin(18.0323 * libm::pow(x, -0.76830) - 7.27371);
    let poise = 4.0785e-5 * libm::sqrt(spot.grams_per_mol() * spot.t)
        / (libm::pow(volume, 2.0 / 3.0) * (neufeld(x) - wave));
    0.1 * poise * chung_shape(acentric, dipole, spot)
}

fn chung(acentric: f64, dipole: f64, spot: &Spot<'_>) -> f64 {
    let (volume, mu4, x) = chung_terms(dipole, spot);
    let a = CHUNG.map(|[a0, a1, a2]| a0 + a1 * acentric + a2 * mu4);
    let [a1, a2, a3, a4, a5, a6, a7, a8, a9, a10] = a;
    let y = spot.rho * 1e-6 * volume / 6.0;
    let left = 1.0 - y;
    let g1 = (1.0 - 0.5 * y) / (left * left * left);
    let g2 = (a1 * -libm::expm1(-a4 * y) / y + a2 * g1 * libm::exp(a5 * y) + a3 * g1) / (a1 * a4 + a2 + a3);
    let kinetic = chung_dilute(acentric, dipole, spot) * (1.0 / g2 + a6 * y);
    let critical = 36.344e-7 * libm::sqrt(spot.grams_per_mol() * spot.eos.data.critical_temperature)
        / libm::pow(volume, 2.0 / 3.0);
    kinetic + critical * a7 * y * y * g2 * libm::exp(a8 + a9 / x + a10 / (x * x))
}

fn r23_dilute(model: &ViscosityR23, spot: &Spot<'_>) -> f64 {
    let integral = libm::exp(polynomial(&model.a, libm::log(spot.t / model.epsilon)));
    // The paper's molar mass, g/mol.
    1.25e-6 * 0.021357 * libm::sqrt(70.014 * spot.t) / (model.sigma * model.sigma * integral)
}

fn r23(model: &ViscosityR23, spot: &Spot<'_>) -> Option<f64> {
    Some(1e-6 * shan(&model.dense, spot, 1e6 * r23_dilute(model, spot))?)
}

/// Z. Shan, S. G. Penoncello, R. T Jacobsen (2000), in the unit of the dilute value; none beyond the closest packing.
pub(super) fn shan(model: &ShanDense, spot: &Spot<'_>, dilute: f64) -> Option<f64> {
    let (rho, most) = (spot.rho / 1000.0, model.liquid_density);
    if rho >= most {
        return None;
    }
    let free = most - rho;
    let liquid = model.c2 * most * most / free
        * libm::sqrt(spot.t)
        * libm::exp(rho / free * model.activation / (8.31451 * spot.t));
    let (chi, warm) = (rho - model.critical_density, spot.t - model.critical_temperature);
    let critical = model.enhancement / (libm::cosh(chi) * libm::cosh(warm));
    Some(libm::pow(free / most, model.c1) * dilute + libm::pow(rho / most, model.c1) * liquid + critical)
}

fn water_dilute(h: &[f64], t: f64) -> f64 {
    100.0 * libm::sqrt(t) / polynomial(h, 1.0 / t)
}

/// IAPWS R12-08, with the critical enhancement.
fn water(dilute: &[f64], finite: &[Vec<f64>], spot: &Spot<'_>) -> f64 {
    let (t, rho) = (spot.t / 647.096, spot.mass_density() / 322.0);
    let rows: Vec<f64> = finite.iter().map(|row| polynomial(row, rho - 1.0)).collect();
    let dense = libm::exp(rho * polynomial(&rows, 1.0 / t - 1.0));
    1e-6 * water_dilute(dilute, t) * dense * libm::exp(0.068 * water_crossover(water_length(spot)))
}

/// The correlation length of water in nm, IAPWS R12-08 equations 20 and 21.
pub(super) fn water_length(spot: &Spot<'_>) -> f64 {
    let (t, rho) = (spot.t / 647.096, spot.mass_density() / 322.0);
    let per_mass = |slope: f64| 22.064e6 / 322.0 * spot.eos.data.molar_mass / slope;
    let (here, there) = (per_mass(spot.slope_at(spot.t)), per_mass(spot.slope_at(1.5 * 647.096)));
    let excess = (rho * (here - there * 1.5 / t)).max(0.0);
    0.13 * libm::pow(excess / 0.06, 0.630 / 1.239)
}

/// IAPWS R12-08 equations 15 to 19, `xi` in nm.
fn water_crossover(xi: f64) -> f64 {
    let (qc, qd) = (xi / 1.9, xi / 1.1);
    if xi < 0.3817016416 {
        let qd2 = qd * qd;
        return 0.2 * qc * qd2 * qd2 * qd * (1.0 - qc + qc * qc - 765.0 / 504.0 * qd2);
    }
    let psi = libm::acos(1.0 / libm::sqrt(1.0 + qd * qd));
    let w = libm::sqrt(((qc - 1.0) / (qc + 1.0)).abs()) * libm::tan(psi / 2.0);
    let l = if qc > 1.0 { libm::log((1.0 + w) / (1.0 - w)) } else { 2.0 * libm::atan(w) };
    let qc2 = qc * qc;
    libm::sin(3.0 * psi) / 12.0 - libm::sin(2.0 * psi) / (4.0 * qc)
        + (1.0 - 1.25 * qc2) / qc2 * libm::sin(psi)
        - ((1.0 - 1.5 * qc2) * psi - libm::pow((qc2 - 1.0).abs(), 1.5) * l) / (qc2 * qc)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the data files say of the method for the pentanes.
    #[test]
    fn chung_against_the_alkanes_that_have_correlations() {
        for (name, dipole, low) in [("R-290", 0.0, -7.0), ("R-600", 0.0, -5.0), ("R-600a", 0.13, -23.0)] {
            let eos = Fluid::named(name).unwrap().eos();
            let acentric = crate::transport::general::acentric(eos).unwrap();
            let known = &of(name).unwrap().viscosity.first().unwrap().model;
            for part in [0.55, 0.65, 0.75, 0.85, 0.95] {
                let t = part * eos.data.critical_temperature;
                let sat = eos.saturation(t).unwrap();
                let off = |rho: f64| {
                    let spot = Spot::new(eos, t, rho);
                    100.0 * (chung(acentric, dipole, &spot) / viscosity(known, &spot).unwrap() - 1.0)
                };
                assert!(
                    (low..1.0).contains(&off(sat.liquid)),
                    "{name} liquid at {t} K: {} %",
                    off(sat.liquid)
                );
                assert!(
                    (-2.0..5.0).contains(&off(sat.vapour)),
                    "{name} vapour at {t} K: {} %",
                    off(sat.vapour)
                );
            }
        }
    }
}
