//! What one cell holds and what follows from it: pressure, temperature, level, and the two phases that can leave it.

use super::medium::{GAS_CONSTANT, Medium};

/// What is counted in every cell: refrigerant (kg), energy (J), air, nitrogen and water vapour (kg).
pub(crate) const COUNTED: usize = 5;
pub(crate) const ENERGY: usize = 1;
/// Where the gases begin.
pub(crate) const GASES: usize = 2;
pub(crate) const AIR: usize = 2;
pub(crate) const NITROGEN: usize = 3;
pub(crate) const WATER: usize = 4;

/// The amounts of a cell.
pub(crate) type Amounts = [f64; COUNTED];

/// A gas with constant heat capacity; its energy is counted from 0 K.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gas {
    /// kg/mol.
    pub(crate) molar_mass: f64,
    /// J/(kg K), at constant volume.
    pub(crate) cv: f64,
}

impl Gas {
    /// J/(kg K).
    pub(crate) const fn constant(&self) -> f64 {
        GAS_CONSTANT / self.molar_mass
    }
    /// J/(kg K), at constant pressure.
    pub(crate) const fn cp(&self) -> f64 {
        self.cv + self.constant()
    }
}

/// Dry air (US Standard Atmosphere 1976), nitrogen, water vapour; heat capacities at 300 K, ideal gas (5/2 R and 3 R).
pub(crate) const GAS: [Gas; COUNTED - GASES] = [
    Gas { molar_mass: 0.028_964_4, cv: 2.5 * GAS_CONSTANT / 0.028_964_4 },
    Gas { molar_mass: 0.028_013_4, cv: 2.5 * GAS_CONSTANT / 0.028_013_4 },
    Gas { molar_mass: 0.018_015_3, cv: 3.0 * GAS_CONSTANT / 0.018_015_3 },
];

/// What follows from the amounts of a cell. SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Eval {
    pub(crate) t: f64,
    /// Total pressure.
    pub(crate) p: f64,
    /// The part of the volume that liquid fills.
    pub(crate) alpha: f64,
    /// The part of the mass that is liquid.
    pub(crate) x: f64,
    /// Density and enthalpy of all.
    pub(crate) rho: f64,
    pub(crate) h: f64,
    pub(crate) rho_l: f64,
    pub(crate) h_l: f64,
    /// Of the vapour phase, gases included.
    pub(crate) rho_v: f64,
    pub(crate) h_v: f64,
    /// Mass fractions of the gases in the vapour phase.
    pub(crate) w: [f64; COUNTED - GASES],
    /// Pressure of the refrigerant alone.
    pub(crate) p_r: f64,
    /// Temperatures that belong to the enthalpies of liquid and vapour: of a blend's bubble and dew point, where it has two phases.
    pub(crate) t_l: f64,
    pub(crate) t_v: f64,
}

/// The least density that a cell is taken to have, kg/m³: about 1e-4 Pa.
const LEAST: f64 = 1e-9;

pub(crate) fn evaluate(medium: &Medium, volume: f64, amounts: &Amounts, t_guess: f64) -> Eval {
    let gases: f64 = amounts[GASES..].iter().sum();
    if gases <= 0.0 {
        let mass = amounts[0].max(LEAST * volume);
        return refrigerant(medium, volume, mass, amounts[ENERGY] / mass);
    }
    mixed(medium, volume, amounts, t_guess)
}

/// Refrigerant alone.
fn refrigerant(medium: &Medium, volume: f64, mass: f64, u: f64) -> Eval {
    let rho = mass / volume;
    let at = medium.at(rho, u);
    let h = u + at.p / rho;
    let mut eval = Eval {
        t: at.t,
        p: at.p,
        alpha: 0.0,
        x: 0.0,
        rho,
        h,
        rho_l: rho,
        h_l: h,
        rho_v: rho,
        h_v: h,
        w: [0.0; COUNTED - GASES],
        p_r: at.p,
        t_l: at.t,
        t_v: at.t,
    };
    if at.two_phase {
        let phases = medium.phases(at.p);
        eval.alpha = ((rho - phases.rho_v) / (phases.rho_l - phases.rho_v)).clamp(0.0, 1.0);
        eval.x = (eval.alpha * phases.rho_l / rho).min(1.0);
        (eval.rho_l, eval.rho_v, eval.h_l, eval.h_v) = (phases.rho_l, phases.rho_v, phases.h_l, phases.h_v);
        (eval.t_l, eval.t_v) = (phases.t_l, phases.t_v);
    } else if rho > medium.critical_density {
        (eval.alpha, eval.x) = (1.0, 1.0);
    }
    eval
}

/// Temperature at which refrigerant and gases together have the energy, and the refrigerant's state there.
fn temperature(medium: &Medium, volume: f64, amounts: &Amounts, guess: f64) -> (f64, f64, bool) {
    let mass = amounts[0].max(0.0);
    let rho = mass / volume;
    let heat: f64 = amounts[GASES..].iter().zip(&GAS).map(|(mass, gas)| mass * gas.cv).sum();
    let energy = amounts[ENERGY];
    if medium.is_thin(rho) {
        let mut t = guess;
        for _ in 0..20 {
            let (u, cv) = medium.thin_energy(t);
            let step = (energy - mass * u - heat * t) / (mass * cv + heat);
            t = (t + step).clamp(50.0, 2000.0);
            if step.abs() < 1e-9 * t {
                break;
            }
        }
        let at = medium.at(rho.max(LEAST), medium.thin_energy(t).0);
        return (t, at.p, false);
    }
    let (low, high) = medium.energies();
    let ask = |t: f64| medium.at(rho, ((energy - heat * t) / mass).clamp(low, high));
    let mut t = guess;
    let mut at = ask(t);
    let mut slope = heat / (mass * 900.0) + 1.0;
    for round in 0..30 {
        let off = at.t - t;
        if off.abs() < 1e-8 * t {
            break;
        }
        let next = (t + off / slope).clamp(50.0, 2000.0);
        let there = ask(next);
        if round < 12 && (next - t).abs() > 1e-9 * t {
            let found = 1.0 - (there.t - at.t) / (next - t);
            if found.is_finite() && found >= 1.0 {
                slope = found;
            }
        } else {
            slope *= 1.5;
        }
        (t, at) = (next, there);
    }
    (t, at.p, at.two_phase)
}

/// Refrigerant and gases: Dalton's law in the volume that liquid leaves.
fn mixed(medium: &Medium, volume: f64, amounts: &Amounts, guess: f64) -> Eval {
    let (t, p_r, two_phase) = temperature(medium, volume, amounts, guess);
    let mass = amounts[0].max(0.0);
    let rho_r = mass / volume;
    let gases: f64 = amounts[GASES..].iter().sum();
    let pressures: f64 = amounts[GASES..].iter().zip(&GAS).map(|(mass, gas)| mass * gas.constant() * t).sum();
    let cp: f64 = amounts[GASES..].iter().zip(&GAS).map(|(mass, gas)| mass * gas.cp() * t).sum();
    let total = (mass + gases).max(LEAST * volume);
    let liquid = !two_phase && rho_r > medium.critical_density;
    let (p_s, phases) = if two_phase {
        (p_r, medium.phases(p_r))
    } else if liquid {
        let p_s = medium.bubble(t);
        (p_s, medium.phases(p_s))
    } else {
        let p = p_r + pressures / volume;
        let h_r = if mass > 0.0 { (amounts[ENERGY] - thermal(amounts, t)) + p_r * volume } else { 0.0 };
        let h_v = (h_r + cp) / total;
        let rho = total / volume;
        let w = core::array::from_fn(|at| amounts[GASES + at] / total);
        return Eval {
            t,
            p,
            alpha: 0.0,
            x: 0.0,
            rho,
            h: h_v,
            rho_l: rho,
            h_l: h_v,
            rho_v: rho,
            h_v,
            w,
            p_r,
            t_l: t,
            t_v: t,
        };
    };
    let m_l = if liquid {
        mass
    } else {
        let alpha = ((rho_r - phases.rho_v) / (phases.rho_l - phases.rho_v)).clamp(0.0, 1.0);
        alpha * phases.rho_l * volume
    };
    // The gas presses on liquid that gives way a little: a bubble that never vanishes.
    let free = volume - m_l / phases.rho_l;
    let gives = m_l / (phases.rho_l * phases.stiff);
    let root = (free * free + 4.0 * gives * pressures).sqrt();
    let p_g =
        if free > 0.0 { 2.0 * pressures / (free + root) } else { (root - free) / (2.0 * gives.max(1e-30)) };
    let vapour_volume = (pressures / p_g.max(1e-30)).clamp(1e-6 * volume, volume);
    let m_v = if liquid { 0.0 } else { (mass - m_l).max(0.0) };
    let in_vapour = (m_v + gases).max(1e-30);
    let w = core::array::from_fn(|at| amounts[GASES + at] / in_vapour);
    let p = p_s + p_g;
    // A pure refrigerant's phases have the cell's temperature; a blend's those of its bubble and dew point.
    let (t_l, t_v) = if two_phase { (phases.t_l, phases.t_v) } else { (t, t) };
    Eval {
        t,
        p,
        alpha: 1.0 - vapour_volume / volume,
        x: (m_l / total).min(1.0),
        rho: total / volume,
        h: (amounts[ENERGY] + p * volume) / total,
        rho_l: phases.rho_l,
        h_l: phases.h_l + phases.cp_l * (t_l - phases.t_l) + p_g / phases.rho_l,
        rho_v: in_vapour / vapour_volume,
        h_v: (m_v * phases.h_v + cp) / in_vapour,
        w,
        p_r: p_s,
        t_l,
        t_v,
    }
}

/// Energy of the gases, J.
pub(crate) fn thermal(amounts: &Amounts, t: f64) -> f64 {
    amounts[GASES..].iter().zip(&GAS).map(|(mass, gas)| mass * gas.cv * t).sum()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    fn amounts(medium: &Medium, volume: f64, t: f64, mass: f64, air: f64) -> Amounts {
        let u = medium.energy(t, mass / volume);
        let mut all = [mass, 0.0, air, 0.0, 0.0];
        all[ENERGY] = mass * u + thermal(&all, t);
        all
    }

    /// Dalton's law: air at 1 bar of its own over liquid R-134a at 20 °C (571.71 kPa, ASHRAE tables).
    #[test]
    fn air_adds_its_pressure() {
        let medium = Medium::named("R-134a").unwrap();
        let volume = 0.01;
        let alpha: f64 = 0.4;
        let mass = volume * (alpha * 1225.3 + (1.0 - alpha) * 27.78);
        let air = 1e5 * 0.6 * volume / (GAS[0].constant() * 293.15);
        let found = evaluate(&medium, volume, &amounts(&medium, volume, 293.15, mass, air), 300.0);
        assert!((found.t - 293.15).abs() < 1e-3 && (found.alpha - 0.4).abs() < 3e-4, "{found:?}");
        assert!((found.p - 671_710.0).abs() < 200.0, "{found:?}");
    }

    /// A gas bubble shrinks without a step as liquid fills the cell, and the pressure rises steeply at the end.
    #[test]
    fn a_bubble_never_vanishes() {
        let medium = Medium::named("R-134a").unwrap();
        let (volume, air) = (0.001, 1e-5);
        let mut before = 0.0;
        for grams in (1200..1236).map(f64::from) {
            let found =
                evaluate(&medium, volume, &amounts(&medium, volume, 293.15, grams * 1e-3, air), 293.0);
            assert!(found.p > before && found.t.is_finite(), "{grams} {found:?}");
            before = found.p;
        }
        assert!(before > 2e6, "{before}");
    }

    /// Nearly no refrigerant in nitrogen, and nearly no gas in refrigerant, go over into the pure cases.
    #[test]
    fn limits_meet() {
        let medium = Medium::named("R-134a").unwrap();
        let volume = 0.002;
        let pure = evaluate(&medium, volume, &amounts(&medium, volume, 290.0, 0.02, 0.0), 290.0);
        let near = evaluate(&medium, volume, &amounts(&medium, volume, 290.0, 0.02, 1e-12), 290.0);
        assert!((pure.p / near.p - 1.0).abs() < 1e-6 && (pure.h / near.h - 1.0).abs() < 1e-6);
        let gas = evaluate(&medium, volume, &amounts(&medium, volume, 290.0, 1e-9, 0.01), 250.0);
        assert!((gas.t - 290.0).abs() < 1e-3, "{gas:?}");
        assert!((gas.p * volume / (0.01 * GAS[0].constant() * 290.0) - 1.0).abs() < 1e-4);
    }
}
