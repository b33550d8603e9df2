//! Extended corresponding states: where the reference fluid has the same residual energy and compressibility.

use super::spot::Spot;
use crate::eos::Eos;
use crate::kernel::Alpha;

/// A state of the reference fluid (density in mol/m³) and the ratios `f = T/T0`, `h = rho0/rho`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Conformal {
    pub(super) t0: f64,
    pub(super) rho0: f64,
    pub(super) f: f64,
    pub(super) h: f64,
}

/// Below this part of the critical density both equalities say the same, so the ratios are taken here.
const THIN: f64 = 1e-4;
/// Below this part of the critical density a failed search may fall back on the critical points' ratios: what the reference adds to the
/// dilute gas is a few per cent there.
const GAS: f64 = 0.1;

/// The conformal state, none where there is none.
pub(super) fn conformal(spot: &Spot<'_>, reference: &Eos) -> Option<Conformal> {
    let own = &spot.eos.data;
    let thin = THIN * own.critical_density;
    let from = if spot.rho < thin { Spot::new(spot.eos, spot.t, thin) } else { *spot };
    let f = own.critical_temperature / reference.data.critical_temperature;
    let h = reference.data.critical_density / own.critical_density;
    let found = newton(&from.residual, reference, from.t / f, from.rho * h);
    let (f, h) = match found {
        Some((t0, rho0)) => (from.t / t0, rho0 / from.rho),
        None if spot.rho < GAS * own.critical_density => (f, h),
        None => return None,
    };
    Some(Conformal { t0: spot.t / f, rho0: spot.rho * h, f, h })
}

/// How far the reference at a state is from what is wanted: residual energy, residual compressibility.
fn gap(wanted: &Alpha, at: &Alpha) -> (f64, f64) {
    (at.a - wanted.a, at.d - wanted.d)
}

/// Newton in the logarithms of temperature and density, steps halved until they help.
fn newton(wanted: &Alpha, reference: &Eos, t0: f64, rho0: f64) -> Option<(f64, f64)> {
    let at = |t: f64, rho: f64| Spot::new(reference, t, rho).residual;
    let norm = |(one, other): (f64, f64)| libm::sqrt(one * one + other * other);
    let goal = 1e-13 * (wanted.a.abs() + wanted.d.abs());
    let (mut t, mut rho) = (t0, rho0);
    let mut here = at(t, rho);
    for _ in 0..100 {
        let (r1, r2) = gap(wanted, &here);
        let size = norm((r1, r2));
        let (j11, j12, j21, j22) = (-here.t, here.d, -here.dt, here.d + here.dd);
        let det = j11 * j22 - j12 * j21;
        let (dt, drho) = ((j12 * r2 - j22 * r1) / det, (j21 * r1 - j11 * r2) / det);
        if !(dt.is_finite() && drho.is_finite()) {
            return None;
        }
        if size <= goal || (dt.abs() < 1e-12 && drho.abs() < 1e-12) {
            return Some((t, rho));
        }
        let longest = dt.abs().max(drho.abs());
        let mut part = if longest > 0.5 { 0.5 / longest } else { 1.0 };
        loop {
            let (t_new, rho_new) = (t * libm::exp(part * dt), rho * libm::exp(part * drho));
            let there = at(t_new, rho_new);
            if norm(gap(wanted, &there)) < size {
                (t, rho, here) = (t_new, rho_new, there);
                break;
            }
            part *= 0.5;
            if part < 1e-4 {
                // Nothing better is to be had in this arithmetic.
                return (size < 1e-9 * (wanted.a.abs() + wanted.d.abs())).then_some((t, rho));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Fluid;
    use crate::transport::data::of;

    /// One-phase states of a fluid, thin gas to dense liquid, cold to hot.
    fn states(eos: &Eos) -> Vec<(f64, f64)> {
        let data = &eos.data;
        let (low, high) =
            (data.min_temperature.max(0.45 * data.critical_temperature), 1.4 * data.critical_temperature);
        let grid = (0..30).flat_map(|i| (0..20).map(move |j| (f64::from(i) / 29.0, f64::from(j) / 19.0)));
        let all = grid.map(|(warm, dense)| {
            (low + warm * (high - low), data.critical_density * libm::pow(10.0, -5.0 + 5.5 * dense))
        });
        let one_phase = |&(t, rho): &(f64, f64)| {
            eos.saturation(t).map_or(true, |sat| rho <= sat.vapour || rho >= sat.liquid)
        };
        all.filter(one_phase).collect()
    }

    #[test]
    fn conformal_states_reproduce_what_they_stand_for_or_are_thin_gas() {
        let (mut solved, mut fallen_back) = (0, 0);
        for name in crate::fluids() {
            let references = of(name).into_iter().flat_map(|data| {
                let flows = data.viscosity.iter().filter_map(|entry| match &entry.model {
                    crate::transport::ViscosityModel::CorrespondingStates(model) => {
                        Some(model.reference.as_str())
                    }
                    _ => None,
                });
                flows.collect::<Vec<_>>()
            });
            for reference in references {
                let (eos, other) =
                    (Fluid::named(name).unwrap().eos(), Fluid::named(reference).unwrap().eos());
                for (t, rho) in states(eos) {
                    let spot = Spot::new(eos, t, rho);
                    let thin = rho < THIN * eos.data.critical_density;
                    let found = conformal(&spot, other)
                        .unwrap_or_else(|| panic!("{name} at {t} K and {rho} mol/m3: no conformal state"));
                    let there = Spot::new(other, found.t0, found.rho0).residual;
                    let off = (there.a - spot.residual.a).abs() + (there.d - spot.residual.d).abs();
                    if thin || off < 1e-8 * (spot.residual.a.abs() + spot.residual.d.abs()) {
                        solved += 1;
                    } else {
                        fallen_back += 1;
                        assert!(rho < GAS * eos.data.critical_density, "{name} at {t} K, {rho} mol/m3");
                    }
                }
            }
        }
        assert!(solved > 5000 && fallen_back > 0, "{solved} solved, {fallen_back} fallen back");
        assert!(fallen_back * 10 < solved, "{solved} solved, {fallen_back} fallen back");
    }
}
