//! Thermal conductivity formulas, W/(m K).

use core::f64::consts::PI;

use super::conformal::conformal;
use super::data::{
    ConductivityModel, ConductivityR23, ConductivityStates, ConductivityTerms, CriticalConductivity,
    DiluteConductivity, OlchowySengers, ResidualConductivity, ViscosityModel, of,
};
use super::spot::{Spot, polynomial, series};
use super::viscosity::{dilute_of, kinetic_theory, shan, viscosity, water_length};
use crate::Fluid;

/// The value, not yet checked; `flow` is the fluid's viscosity model, which the critical enhancement needs.
pub(super) fn conductivity(model: &ConductivityModel, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    Some(background(model, spot, flow)? + enhancement(model, spot, flow)?)
}

/// The same without its critical enhancement (R-23's is part of its formula and stays).
pub(super) fn background(model: &ConductivityModel, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    match model {
        ConductivityModel::Terms(terms) => {
            Some(dilute(&terms.dilute, spot, flow)? + residual(&terms.residual, spot))
        }
        ConductivityModel::CorrespondingStates(states) => corresponding(states, spot),
        ConductivityModel::R23(ConductivityR23 { b1, b2, dense }) => {
            Some(1e-3 * shan(dense, spot, b1 + b2 * spot.t)?)
        }
        ConductivityModel::Water { dilute, finite } => Some(water(dilute, finite, spot)),
    }
}

fn enhancement(model: &ConductivityModel, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    match model {
        ConductivityModel::Terms(terms) => critical(&terms.critical, spot, flow),
        ConductivityModel::CorrespondingStates(states) => olchowy_sengers(&states.critical, spot, flow),
        ConductivityModel::R23(_) => Some(0.0),
        ConductivityModel::Water { .. } => water_enhancement(spot, flow),
    }
}

fn dilute(model: &DiluteConductivity, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    match model {
        DiluteConductivity::RatioOfPolynomials { reducing_temperature, a, n, b, m } => {
            let t = spot.t / reducing_temperature;
            Some(series(a, n, t) / series(b, m, t))
        }
        DiluteConductivity::ViscosityAndPowers { a, t } => {
            let (first, rest) = a.split_first()?;
            Some(first * 1e6 * dilute_of(flow, spot)? + series(rest, t.get(1..)?, spot.tau()))
        }
        DiluteConductivity::InversePolynomial { l } => {
            let tau = spot.tau();
            Some(1e-3 / (libm::sqrt(tau) * polynomial(l, tau)))
        }
    }
}

fn residual(model: &ResidualConductivity, spot: &Spot<'_>) -> f64 {
    match model {
        ResidualConductivity::Polynomial { reducing_temperature, reducing_density, b, t, d } => {
            let (tau, delta) = (reducing_temperature / spot.t, spot.mass_density() / reducing_density);
            let powers = t.iter().zip(d);
            b.iter().zip(powers).map(|(b, (&t, &d))| b * libm::pow(tau, t) * libm::pow(delta, d)).sum()
        }
        ResidualConductivity::Exponential { a, t, d, gamma, l } => {
            let (tau, delta) = (spot.tau(), spot.delta());
            let powers = t.iter().zip(d).zip(gamma.iter().zip(l));
            a.iter()
                .zip(powers)
                .map(|(a, ((&t, &d), (gamma, &l)))| {
                    a * libm::pow(tau, t) * libm::pow(delta, d) * libm::exp(-gamma * libm::pow(delta, l))
                })
                .sum()
        }
    }
}

fn critical(model: &CriticalConductivity, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    match model {
        CriticalConductivity::OlchowySengers(model) => olchowy_sengers(model, spot, flow),
        CriticalConductivity::BellCurve { height, tau, delta } => {
            let (warm, dense) = (spot.tau() - 1.0, spot.delta() - 1.0);
            let warm2 = warm * warm;
            Some(height * libm::exp(tau * warm2 * warm2 + delta * dense * dense))
        }
        CriticalConductivity::Tufeu => tufeu(spot),
    }
}

/// G. A. Olchowy, J. V. Sengers, Int. J. Thermophys. 10 (1989) 417-426, simplified; exponent nu 0.63.
fn olchowy_sengers(model: &OlchowySengers, spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    let data = &spot.eos.data;
    let scale = model.reducing_pressure / (data.reducing_density * data.reducing_density) * spot.rho;
    let reference = model.reference_temperature;
    let here = scale / spot.slope_at(spot.t);
    let there = scale / spot.slope_at(reference) * reference / spot.t;
    let excess = here - there;
    if excess < 10.0 * f64::EPSILON {
        return Some(0.0);
    }
    let xi = model.xi0 * libm::pow(excess / model.big_gamma, 0.63 / model.gamma);
    let props = spot.props();
    let (y, ratio) = (model.cutoff * xi, props.cv / props.cp);
    let delta = spot.delta();
    let omega = (1.0 - ratio) * libm::atan(y) + ratio * y;
    let omega0 = -libm::expm1(-1.0 / (1.0 / y + y * y / (3.0 * delta * delta)));
    // J/K, the constant that the papers' parameters were fitted with.
    let boltzmann = 1.380_648_8e-23;
    let heat = spot.rho * props.cp * data.molar_mass;
    let flowing = viscosity(flow, spot)?;
    Some(heat * model.r0 * boltzmann * spot.t / (6.0 * PI * flowing * xi) * 2.0 / PI * (omega - omega0))
}

/// R. Tufeu, D. Y. Ivanov, Y. Garrabos, B. Le Neindre (1984). None within 0.1 % of its critical temperature, where its width of the
/// enhancement shrinks to nothing.
fn tufeu(spot: &Spot<'_>) -> Option<f64> {
    let (critical_t, critical_rho) = (405.4, 235.0);
    let t = ((spot.t - critical_t) / critical_t).abs();
    if t < 1e-3 {
        return None;
    }
    let rho = spot.mass_density();
    let root = libm::sqrt(t);
    let slope = (2.18 - 0.12 * libm::exp(-17.8 * t)) * 1e5;
    let length = 1.34e-10 * libm::pow(t, -0.63) * (1.0 + root);
    let chi = 0.423e-8 * libm::pow(t, -1.24) * (1.0 + root / 0.7);
    let flow = (2.60 + 1.6 * t) * 1e-5;
    let peak = 1.2 * 1.380_650_4e-23 * spot.t * spot.t / (6.0 * PI * flow * length) * slope * slope * chi;
    let width = 0.61 * critical_rho + 16.5 * libm::log(t);
    let width2 = width * width;
    let centre = 0.96 * critical_rho;
    let edge = 0.6 * critical_rho;
    let shape = |rho: f64| width2 / (width2 + (rho - centre) * (rho - centre));
    let part = if rho < edge { shape(edge) * rho * rho / (edge * edge) } else { shape(rho) };
    Some(peak * libm::exp(-36.0 * t * t) * part)
}

/// M. O. McLinden, S. A. Klein, R. A. Perkins (2000); M. L. Huber, A. Laesecke, R. A. Perkins (2003).
fn corresponding(model: &ConductivityStates, spot: &Spot<'_>) -> Option<f64> {
    let reference = Fluid::named(&model.reference).ok()?.eos();
    let ConductivityModel::Terms(ConductivityTerms { residual: dense, .. }) =
        &of(&model.reference)?.conductivity.as_ref()?.model
    else {
        return None;
    };
    let data = &spot.eos.data;
    let thin = kinetic_theory(model.epsilon, model.sigma, spot);
    let inside = series(&model.internal, &model.internal_powers, spot.t / model.internal_temperature);
    // The factors are printed for µPa s, mW and g/mol: 1e3 of the internal one is in its unit.
    let internal = 1e3 * inside * thin * (spot.ideal_cp() - 2.5 * data.gas_constant) / data.molar_mass;
    let translation = 3.75 * data.gas_constant / data.molar_mass * thin;
    let state = conformal(spot, reference)?;
    let psi = series(&model.psi, &model.psi_powers, spot.rho / model.psi_density);
    let there = Spot::new(reference, state.t0, state.rho0 * psi);
    let masses = reference.data.molar_mass / data.molar_mass;
    let scale = libm::sqrt(state.f * masses) * libm::pow(state.h, -2.0 / 3.0);
    Some(translation + internal + residual(dense, &there) * scale)
}

/// IAPWS R15-11.
fn water(dilute: &[f64], finite: &[Vec<f64>], spot: &Spot<'_>) -> f64 {
    let (t, rho) = (spot.t / 647.096, spot.mass_density() / 322.0);
    let thin = libm::sqrt(t) / polynomial(dilute, 1.0 / t);
    let rows: Vec<f64> = finite.iter().map(|row| polynomial(row, rho - 1.0)).collect();
    1e-3 * thin * libm::exp(rho * polynomial(&rows, 1.0 / t - 1.0))
}

/// IAPWS R15-11, the critical enhancement.
fn water_enhancement(spot: &Spot<'_>, flow: &ViscosityModel) -> Option<f64> {
    let (t, rho) = (spot.t / 647.096, spot.mass_density() / 322.0);
    let props = spot.props();
    let (y, ratio) = (water_length(spot) / 0.4, props.cv / props.cp);
    if y < 1.2e-7 {
        return Some(0.0);
    }
    let crossover = -libm::expm1(-1.0 / (1.0 / y + y * y / (3.0 * rho * rho)));
    let z = 2.0 / (PI * y) * ((1.0 - ratio) * libm::atan(y) + ratio * y - crossover);
    let flowing = 1e6 * viscosity(flow, spot)?;
    // The formulation's gas constant, J/(kg K).
    Some(1e-3 * 177.8514 * rho * props.cp / 461.518_05 * t / flowing * z)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the library (CoolProp 8.0.0) leaves the paper's cutoff unread and takes 2e9 1/m, the same cutoff gives its number.
    #[test]
    fn with_the_usual_cutoff_the_same_number_as_a_library_that_knows_no_other() {
        let points = [
            ("R-13", 265.16866743, 1173.31134718, 0.0544325319958),
            ("R-13", 304.565155162, 605.012089757, 0.0508086738689),
            ("R-142b", 404.106329162, 245.480578106, 0.038393406382),
            ("R-218", 346.74506886, 659.375349079, 0.0453272072676),
        ];
        for (name, t, rho, theirs) in points {
            let data = of(name).unwrap();
            let eos = Fluid::named(name).unwrap().eos();
            let mut model = data.conductivity.as_ref().unwrap().model.clone();
            let ConductivityModel::CorrespondingStates(states) = &mut model else { panic!("{name}") };
            states.critical.cutoff = 2e9;
            let spot = Spot::new(eos, t, rho / eos.data.molar_mass);
            let ours = conductivity(&model, &spot, &data.viscosity[0].model).unwrap();
            assert!((ours / theirs - 1.0).abs() < 1e-8, "{name}: {ours} against {theirs}");
        }
    }
}
