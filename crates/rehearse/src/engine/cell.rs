//! What one cell holds and what follows from it: pressure, temperature, level, and the two phases that can leave it.

use super::medium::{At, GAS_CONSTANT, Medium};
use super::number::{Number, Sloped};

/// What is counted in every cell: refrigerant (kg), energy (J), air, nitrogen and water vapour (kg).
pub(crate) const COUNTED: usize = 5;
pub(crate) const ENERGY: usize = 1;
/// Where the gases begin.
pub(crate) const GASES: usize = 2;
pub(crate) const AIR: usize = 2;
pub(crate) const NITROGEN: usize = 3;
pub(crate) const WATER: usize = 4;

/// The amounts of a cell.
pub(crate) type Amounts<N = f64> = [N; COUNTED];

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
pub(crate) struct Eval<N = f64> {
    pub(crate) t: N,
    /// Total pressure.
    pub(crate) p: N,
    /// The part of the volume that liquid fills.
    pub(crate) alpha: N,
    /// The part of the mass that is liquid.
    pub(crate) x: N,
    /// Density and enthalpy of all.
    pub(crate) rho: N,
    pub(crate) h: N,
    pub(crate) rho_l: N,
    pub(crate) h_l: N,
    /// Of the vapour phase, gases included.
    pub(crate) rho_v: N,
    pub(crate) h_v: N,
    /// Mass fractions of the gases in the vapour phase.
    pub(crate) w: [N; COUNTED - GASES],
    /// Pressure of the refrigerant alone.
    pub(crate) p_r: N,
    /// Temperatures that belong to the enthalpies of liquid and vapour: of a blend's bubble and dew point, where it has two phases.
    pub(crate) t_l: N,
    pub(crate) t_v: N,
}

impl<N: Number> Eval<N> {
    /// The same in other numbers.
    #[inline(always)]
    pub(crate) fn each<M>(&self, of: impl Fn(N) -> M) -> Eval<M> {
        Eval {
            t: of(self.t),
            p: of(self.p),
            alpha: of(self.alpha),
            x: of(self.x),
            rho: of(self.rho),
            h: of(self.h),
            rho_l: of(self.rho_l),
            h_l: of(self.h_l),
            rho_v: of(self.rho_v),
            h_v: of(self.h_v),
            w: [of(self.w[0]), of(self.w[1]), of(self.w[2])],
            p_r: of(self.p_r),
            t_l: of(self.t_l),
            t_v: of(self.t_v),
        }
    }

    /// Pressure of the water vapour in it, Pa.
    #[inline]
    pub(crate) fn water_pa(&self) -> N {
        self.w[WATER - GASES] * self.rho_v * self.t * GAS[WATER - GASES].constant()
    }

    /// One phase.
    #[inline(always)]
    fn single(t: N, p: N, p_r: N, rho: N, h: N) -> Self {
        let none = N::fixed(0.0);
        Self {
            t,
            p,
            alpha: none,
            x: none,
            rho,
            h,
            rho_l: rho,
            h_l: h,
            rho_v: rho,
            h_v: h,
            w: [none; COUNTED - GASES],
            p_r,
            t_l: t,
            t_v: t,
        }
    }
}

/// The least density that a cell is taken to have, kg/m³: about 1e-4 Pa.
const LEAST: f64 = 1e-9;

pub(crate) fn evaluate<N: Number>(
    medium: &Medium,
    volume: f64,
    amounts: &Amounts<N>,
    t_guess: f64,
) -> Eval<N> {
    let gases: f64 = amounts[GASES..].iter().map(|gas| gas.value()).sum();
    if gases <= 0.0 {
        let mass = amounts[0].at_least(LEAST * volume);
        let found = refrigerant(medium, volume, mass, amounts[ENERGY] / mass);
        // Where gases may come in, how they would change it is asked for as well.
        if N::VARIABLES <= GASES || found.alpha.value() >= 1.0 {
            return found;
        }
    }
    // A trace that came out as a little less than nothing is none: in the last bubble of a cell it would draw the pressure below the liquid's own.
    let mut kept = *amounts;
    for gas in &mut kept[GASES..] {
        *gas = gas.through(gas.value().max(0.0), 1.0);
    }
    mixed(medium, volume, &kept, t_guess)
}

/// Refrigerant alone.
fn refrigerant<N: Number>(medium: &Medium, volume: f64, mass: N, u: N) -> Eval<N> {
    let rho = mass * (1.0 / volume);
    let at = medium.at(rho, u);
    let h = u + at.p / rho;
    let mut eval = Eval::single(at.t, at.p, at.p, rho, h);
    if at.two_phase {
        let phases = medium.phases(at.p);
        // Whoever asks on which side of the edge it is must be told by the phase itself: the tables' densities differ from it by rounding.
        let alpha = part((rho - phases.rho_v) / (phases.rho_l - phases.rho_v));
        eval.alpha = alpha.at_most(1.0 - 1e-12);
        eval.x = (eval.alpha * phases.rho_l / rho).at_most(1.0);
        (eval.rho_l, eval.rho_v, eval.h_l, eval.h_v) = (phases.rho_l, phases.rho_v, phases.h_l, phases.h_v);
        (eval.t_l, eval.t_v) = (phases.t_l, phases.t_v);
    } else if rho.value() > medium.critical_density {
        (eval.alpha, eval.x) = (N::fixed(1.0), N::fixed(1.0));
    }
    eval
}

/// Within 0 and 1.
fn part<N: Number>(of: N) -> N {
    of.at_least(0.0).at_most(1.0)
}

fn gases<N: Number>(amounts: &Amounts<N>, of: impl Fn(&Gas) -> f64) -> N {
    let mut sum = N::fixed(0.0);
    for (&mass, gas) in amounts[GASES..].iter().zip(&GAS) {
        sum = sum + mass * of(gas);
    }
    sum
}

/// Temperature at which refrigerant and gases together have the energy, and the refrigerant's state there.
fn temperature<N: Number>(medium: &Medium, volume: f64, amounts: &Amounts<N>, guess: f64) -> At<N> {
    let mass = amounts[0].at_least(0.0);
    let rho = mass * (1.0 / volume);
    let (energy, heat) = (amounts[ENERGY], gases(amounts, |gas| gas.cv));
    if medium.is_thin(rho.value()) {
        let mut t = guess;
        for _ in 0..20 {
            let (u, cv) = medium.thin_energy(t);
            let step =
                (energy.value() - mass.value() * u - heat.value() * t) / (mass.value() * cv + heat.value());
            t = (t + step).clamp(50.0, 2000.0);
            if step.abs() < 1e-9 * t {
                break;
            }
        }
        // One more round carries the slopes.
        let (u, cv) = medium.thin_energy(t);
        let off = energy - mass * u - heat * t;
        let t = off.through(t, 1.0 / (mass.value() * cv + heat.value()));
        let u = t.through(u, cv);
        return At { t, ..medium.at(rho.at_least(LEAST), u) };
    }
    let (low, high) = medium.energies();
    let ask = |t: f64| {
        let u = ((energy.value() - heat.value() * t) / mass.value()).clamp(low, high);
        medium.at(Sloped::<1>::fixed(rho.value()), Sloped::variable(u, 0))
    };
    // The refrigerant's temperature falls as more of the energy is left to the gases: Newton's method on their difference.
    let share = heat.value() / mass.value();
    let mut t = guess;
    for round in 0..30 {
        let there = ask(t);
        let slope = 1.0 + share * there.t.slopes[0].max(0.0);
        // Over an edge of the two phases it may go to and fro.
        let part = if round < 12 { 1.0 } else { 0.6 };
        let step = part * (there.t.value - t) / slope;
        t = (t + step).clamp(50.0, 2000.0);
        if step.abs() < 1e-9 * t {
            break;
        }
    }
    let u = (energy - heat * t) / mass;
    let at = medium.at(rho, u.at_least(low).at_most(high));
    if !N::HAS_SLOPES {
        return At { t: N::fixed(t), ..at };
    }
    // With the slopes of the temperature that follows.
    let slope = ask(t).t.slopes[0].max(0.0);
    let t = at.t.through(t, 1.0 / (1.0 + share * slope));
    let u = (energy - heat * t) / mass;
    At { t, ..medium.at(rho, u.at_least(low).at_most(high)) }
}

/// Refrigerant and gases: Dalton's law in the volume that liquid leaves.
fn mixed<N: Number>(medium: &Medium, volume: f64, amounts: &Amounts<N>, guess: f64) -> Eval<N> {
    let At { t, p: p_r, two_phase } = temperature(medium, volume, amounts, guess);
    let mass = amounts[0].at_least(0.0);
    let rho_r = mass * (1.0 / volume);
    let gas = gases(amounts, |_| 1.0);
    let pressures = gases(amounts, Gas::constant) * t;
    let cp = gases(amounts, Gas::cp) * t;
    let total = (mass + gas).at_least(LEAST * volume);
    let liquid = !two_phase && rho_r.value() > medium.critical_density;
    if !two_phase && !liquid {
        let p = p_r + pressures * (1.0 / volume);
        let h_r = amounts[ENERGY] - gases(amounts, |gas| gas.cv) * t + p_r * volume;
        let h = if mass.value() > 0.0 { (h_r + cp) / total } else { cp / total };
        let mut eval = Eval::single(t, p, p_r, total * (1.0 / volume), h);
        eval.w = core::array::from_fn(|at| amounts[GASES + at] / total);
        return eval;
    }
    let p_s = if two_phase { p_r } else { medium.bubble(t) };
    let phases = medium.phases(p_s);
    let m_l = if liquid {
        mass
    } else {
        part((rho_r - phases.rho_v) / (phases.rho_l - phases.rho_v)) * phases.rho_l * volume
    };
    // The gas presses on liquid that gives way a little: a bubble that never vanishes.
    let free = N::fixed(volume) - m_l / phases.rho_l;
    let gives = m_l / (phases.rho_l * phases.stiff);
    let root = (free * free + gives * pressures * 4.0).root();
    let (p_g, vapour_volume) = if free.value() > 0.0 {
        let room = (free + root) * 0.5;
        (pressures / room, room)
    } else {
        let pressed = (root - free) / (gives * 2.0).at_least(2e-30);
        (pressed, pressures / pressed.at_least(1e-30))
    };
    let vapour_volume = vapour_volume.at_least(1e-6 * volume).at_most(volume);
    let m_v = if liquid { N::fixed(0.0) } else { (mass - m_l).at_least(0.0) };
    let in_vapour = (m_v + gas).at_least(1e-30);
    let p = p_s + p_g;
    // A pure refrigerant's phases have the cell's temperature; a blend's those of its bubble and dew point.
    let (t_l, t_v) = if two_phase { (phases.t_l, phases.t_v) } else { (t, t) };
    Eval {
        t,
        p,
        alpha: N::fixed(1.0) - vapour_volume * (1.0 / volume),
        x: (m_l / total).at_most(1.0),
        rho: total * (1.0 / volume),
        h: (amounts[ENERGY] + p * volume) / total,
        rho_l: phases.rho_l,
        h_l: phases.h_l + phases.cp_l * (t_l - phases.t_l) + p_g / phases.rho_l,
        rho_v: in_vapour / vapour_volume,
        h_v: (m_v * phases.h_v + cp) / in_vapour,
        w: core::array::from_fn(|at| amounts[GASES + at] / in_vapour),
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

    /// A step's rounding may leave a little less than no gas: a cell that liquid nearly fills still has its liquid's pressure.
    #[test]
    fn less_than_no_gas_is_none() {
        let medium = Medium::named("R-134a").unwrap();
        let volume = 0.001;
        let mass = volume * 0.999_999 * medium.phases(medium.bubble(293.15)).rho_l;
        let mut held = amounts(&medium, volume, 293.15, mass, 0.0);
        held[AIR] = -1e-10;
        let held = held.map(Sloped::<4>::fixed);
        let found = evaluate(&medium, volume, &held, 293.0);
        assert!((found.p.value / 571_710.0 - 1.0).abs() < 1e-3, "{found:?}");
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

    /// J for a British thermal unit, m³ for a cubic foot, Pa for a pound on a square inch.
    const BTU: f64 = 1055.056;
    const CUBIC_FOOT: f64 = 0.028_316_85;
    const PSI: f64 = 6894.757;

    fn fahrenheit(kelvin: f64) -> f64 {
        1.8 * (kelvin - 273.15) + 32.0
    }

    /// A shut cell that starts with this part liquid at a temperature (°F): the heat (J) and the temperature (°F) at which liquid fills it.
    fn fills_up(medium: &Medium, volume: f64, liquid: f64, start: f64) -> (Amounts, f64, f64) {
        let t = (start - 32.0) / 1.8 + 273.15;
        let phases = medium.phases(medium.bubble(t));
        let mass = volume * (liquid * phases.rho_l + (1.0 - liquid) * phases.rho_v);
        let first = amounts(medium, volume, t, mass, 0.0);
        let heated = |heat: f64| {
            let mut now = first;
            now[ENERGY] += heat;
            evaluate(medium, volume, &now, 300.0)
        };
        let (mut low, mut high) = (0.0, 4e5 * mass);
        for _ in 0..50 {
            let half = 0.5 * (low + high);
            if heated(half).alpha < 1.0 { low = half } else { high = half }
        }
        (first, high, fahrenheit(heated(high).t))
    }

    /// R-134a in one cubic foot, 80 % liquid, warmed with no way out: the pressure rises steeply from near 2000 Btu (from 80 °F) and 3000 Btu (from
    /// 0 °F) on (plumbingandhvac.ca, "Trapped refrigerant", read); by CoolProp 8.0.0, the equation of Tillner-Roth and Baehr, liquid fills it at 1881 Btu
    /// and 166 °F, and at 2907 Btu and 129 °F.
    #[test]
    fn trapped_liquid_fills_its_space_at_the_heat_in_print() {
        let medium = Medium::named("R-134a").unwrap();
        for (start, printed, btu, end) in [(80.0, 2000.0, 1881.0, 166.0), (0.0, 3000.0, 2907.0, 129.0)] {
            let (first, heat, full) = fills_up(&medium, CUBIC_FOOT, 0.8, start);
            let found = heat / BTU;
            assert!((found / btu - 1.0).abs() < 2e-3, "from {start} F: {found} Btu, {btu} by the library");
            assert!((full - end).abs() < 0.6, "from {start} F: full at {full} F, {end} F by the library");
            assert!(
                (found / printed - 1.0).abs() < 0.07,
                "from {start} F: {found} Btu, near {printed} in print"
            );
            // The curve has its bend there: a tenth more heat does nearly ten times as much as the tenth before.
            let p = |heat: f64| {
                let mut now = first;
                now[ENERGY] += heat;
                evaluate(&medium, CUBIC_FOOT, &now, 300.0).p
            };
            let (before, after) = (p(heat) - p(0.9 * heat), p(1.1 * heat) - p(heat));
            assert!(after > 9.0 * before, "{before} Pa, then {after} Pa");
        }
    }

    /// 20 ft of 1-inch pipe (1.025 in inside), 80 % liquid at 20 °F: the heat and the temperature at which liquid fills it by CoolProp 8.0.0, and
    /// the pressure that 600 Btu come to (the article named above: several refrigerants reach 5000 psi with at most 1200 Btu).
    #[test]
    fn trapped_liquid_in_a_pipe() {
        let bore = 1.025 * 0.0254;
        let volume = core::f64::consts::FRAC_PI_4 * bore * bore * 20.0 * 0.3048;
        for (name, btu, end, high) in [("R-134a", 305.0, 139.0, 5682.0), ("R-22", 253.0, 135.0, 9135.0)] {
            let medium = Medium::named(name).unwrap();
            let (mut first, heat, full) = fills_up(&medium, volume, 0.8, 20.0);
            assert!((heat / BTU / btu - 1.0).abs() < 5e-3, "{name}: {} Btu", heat / BTU);
            assert!((full - end).abs() < 0.6, "{name}: full at {full} F");
            first[ENERGY] += 600.0 * BTU;
            let psi = evaluate(&medium, volume, &first, 300.0).p / PSI;
            assert!(
                (psi / high - 1.0).abs() < 5e-3 && psi > 5000.0,
                "{name}: {psi} psi, {high} by the library"
            );
        }
    }

    /// Liquid that fills its space at 20 °C, warmed by 5, 10, 20 K: bar by CoolProp 8.0.0.
    #[test]
    fn liquid_that_fills_its_space_is_warmed() {
        for (name, bars) in [("R-134a", [39.8, 74.0, 142.6]), ("R-22", [44.0, 79.0, 148.9])] {
            let medium = Medium::named(name).unwrap();
            let rho = medium.phases(medium.bubble(293.15)).rho_l;
            for (warmer, bar) in [5.0, 10.0, 20.0].into_iter().zip(bars) {
                let volume = 0.001;
                let state = amounts(&medium, volume, 293.15 + warmer, rho * volume, 0.0);
                let found = evaluate(&medium, volume, &state, 300.0).p / 1e5;
                // Printed to a tenth of a bar; the start's density counts for some hundredths.
                assert!(
                    (found - bar).abs() < 0.15 + 2e-3 * bar,
                    "{name}, {warmer} K: {found} bar, {bar} bar"
                );
            }
        }
    }
}
