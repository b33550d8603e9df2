//! The refrigerant as the engine asks for it: temperature and pressure by density and energy, and both phases by pressure.
//!
//! Density and energy are answered by `thermo`'s tables; what two phases are made of lies on curves over the logarithm of the pressure, made from
//! the full model when a rehearsal begins. Energies have the IIR reference state.

use super::number::Number;
use stemwise_thermo::{Error, Given, RawState, StateTable, Substance};
use stemwise_units::{Density, Pressure, Temperature};

/// J/(mol K); CODATA 2018.
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618;

/// Both phases at a pressure; SI. A blend's phases are those of its bubble and dew point, as its composition stays the same in each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Phases<N = f64> {
    /// Temperature of the bubble and of the dew point, K (a pure fluid has one).
    pub(crate) t_l: N,
    pub(crate) t_v: N,
    /// Densities, kg/m³.
    pub(crate) rho_l: N,
    pub(crate) rho_v: N,
    /// Enthalpies, J/kg.
    pub(crate) h_l: N,
    pub(crate) h_v: N,
    /// Isobaric heat capacities beside the saturation curve, J/(kg K).
    pub(crate) cp_l: N,
    pub(crate) cp_v: N,
    /// Stiffness of the liquid, density times the speed of sound squared, Pa.
    pub(crate) stiff: N,
    /// Isentropic exponent of the vapour, density times the speed of sound squared over pressure.
    pub(crate) kappa: N,
}

const COLUMNS: usize = 10;
const NODES: usize = 480;
const WARMTHS: usize = 160;
/// Of what is kept over the temperature: logarithms of bubble and dew pressure, energy of the thin gas.
const WARM: usize = 3;

/// Temperature and pressure at a density and an energy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct At<N = f64> {
    pub(crate) t: N,
    pub(crate) p: N,
    pub(crate) two_phase: bool,
}

/// A refrigerant, pure or a blend, ready for the engine.
///
/// A blend's composition is taken to be the same wherever it is: what leaves a space as liquid or vapour has the bubble or dew point's enthalpy and
/// density, and takes no component before the others.
#[derive(Debug)]
pub struct Medium {
    pub(super) table: StateTable,
    /// Columns of [`Phases`] at equal steps of the logarithm of the pressure.
    curve: Vec<[f64; COLUMNS]>,
    low: f64,
    per_log: f64,
    /// At equal steps of temperature.
    warmth: Vec<[f64; WARM]>,
    cold: f64,
    per_kelvin: f64,
    critical_temperature: f64,
    /// kg/mol.
    pub(crate) molar_mass: f64,
    /// Below this density the gas is taken as ideal, kg/m³.
    thin: f64,
    /// kg/m³; denser is liquid, thinner vapour.
    pub(crate) critical_density: f64,
    pub(crate) critical_pressure: f64,
    /// The energies between which states are looked for, J/kg.
    coldest: f64,
    hottest: f64,
}

impl Medium {
    /// By name. Takes a few tenths of a second.
    ///
    /// # Errors
    /// [`Error`] of a name that stands for nothing, or of a substance without tables.
    pub fn named(name: &str) -> Result<Self, Error> {
        let table = StateTable::of(Substance::named(name)?)?;
        let substance = table.substance();
        let critical = substance.critical_temperature().as_k();
        let critical_pressure = substance.critical_pressure().as_pa();
        let cold = substance.lowest_temperature().as_k().max(0.552 * critical);
        let hot = (1.34 * critical).max(468.0);
        let molar_mass = substance.molar_mass_kg_per_mol();
        let thin = 1.6e3 * molar_mass / (GAS_CONSTANT * hot);
        let warm_step = (hot - cold) / (WARMTHS - 1) as f64;
        let warmth = |at: usize| {
            let t = cold + warm_step * at as f64;
            let pressure =
                |q| edge(substance, t, q).ok().filter(|_| t < critical).map_or(f64::MAX, |at| at.0);
            let thin = state_at(substance, t, 0.01 * thin)?;
            Ok([libm::log(pressure(0.0)), libm::log(pressure(1.0)), thin.u])
        };
        let warmth: Vec<[f64; WARM]> = (0..WARMTHS).map(warmth).collect::<Result<_, Error>>()?;
        let first = edge(substance, cold, 0.0)?;
        // Up to where a blend's dome is known well.
        let highest = match substance.mixture() {
            Some(_) => edge(substance, 0.985 * critical, 1.0)?.0,
            None => 0.985 * critical_pressure,
        };
        let (low, high) = (libm::log(first.0), libm::log(highest));
        let step = (high - low) / (NODES - 1) as f64;
        let mut guess = (cold, cold);
        let node = |at: usize| {
            let p = libm::exp(low + step * at as f64);
            let (found, temperatures) = node(substance, p, guess)?;
            guess = temperatures;
            Ok(found)
        };
        let curve = (0..NODES).map(node).collect::<Result<_, Error>>()?;
        let last =
            |q| edge(substance, if substance.mixture().is_some() { 0.985 } else { 0.998 } * critical, q);
        let critical_density = 0.5 * (last(0.0)?.1 + last(1.0)?.1);
        let coldest = state_at(substance, cold, first.1 * (1.0 + BESIDE))?.u;
        Ok(Self {
            curve,
            low,
            per_log: 1.0 / step,
            hottest: warmth.last().map_or(6e5, |last| last[2]),
            warmth,
            cold,
            per_kelvin: 1.0 / warm_step,
            critical_temperature: critical,
            molar_mass,
            thin,
            critical_density,
            critical_pressure,
            coldest,
            table,
        })
    }

    /// The substance itself.
    pub const fn substance(&self) -> &Substance {
        self.table.substance()
    }

    /// Whether its bubble and dew points differ.
    pub(crate) const fn is_blend(&self) -> bool {
        !matches!(self.substance(), Substance::Pure(_))
    }

    /// Bubble and dew point at a pressure; beyond the tables (about 0.55 of the critical temperature up to near the critical point) their ends.
    pub fn saturation_temperatures(&self, pressure: Pressure) -> (Temperature, Temperature) {
        let phases = self.phases(pressure.as_pa());
        (Temperature::from_k(phases.t_l), Temperature::from_k(phases.t_v))
    }

    /// Both phases at a pressure, Pa; beyond the curve's ends its ends.
    pub(crate) fn phases<N: Number>(&self, p: N) -> Phases<N> {
        let value = p.value().max(1.0);
        let along = (libm::log(value) - self.low) * self.per_log;
        let columns = if N::HAS_SLOPES {
            let (found, slopes) = cubic_with_slopes(&self.curve, along);
            let by = self.per_log / value;
            core::array::from_fn(|at| p.through(found[at], slopes[at] * by))
        } else {
            cubic(&self.curve, along).map(N::fixed)
        };
        let [t_l, t_v, rho_l, rho_v, h_l, h_v, cp_l, cp_v, stiff, kappa] = columns;
        Phases { t_l, t_v, rho_l, rho_v, h_l, h_v, cp_l, cp_v, stiff, kappa }
    }

    /// Pressure of the bubble point at a temperature, Pa; huge above the critical.
    pub(crate) fn bubble<N: Number>(&self, t: N) -> N {
        let here = self.saturation(t.value(), 0);
        let aside = if N::HAS_SLOPES { self.saturation(t.value() - 0.02, 0) } else { here };
        t.through(here, (here - aside) / 0.02)
    }

    /// Pressure of the dew point at a temperature, Pa; huge above the critical.
    pub(crate) fn dew(&self, t: f64) -> f64 {
        self.saturation(t, 1)
    }

    /// Slope of the dew line at a pressure, Pa/K.
    pub(crate) fn dew_slope(&self, p: f64) -> f64 {
        let t = self.phases(p).t_v;
        (self.dew(t + 0.1) - self.dew(t - 0.1)) / 0.2
    }

    /// The pressure at which bubble and dew point lie about as far below as above a temperature, Pa; a pure fluid's saturation pressure.
    pub(crate) fn middle(&self, t: f64) -> f64 {
        (self.saturation(t, 0) * self.saturation(t, 1)).sqrt()
    }

    /// Of the bubble point (0) or the dew point (1).
    fn saturation(&self, t: f64, column: usize) -> f64 {
        let critical = self.critical_temperature;
        if t >= critical - 0.3 {
            return self.critical_pressure * (1.0 + 0.03 * (t - critical).max(0.0));
        }
        let along = (t - self.cold) * self.per_kelvin;
        let at = (along.max(0.0) as usize).min(self.warmth.len().saturating_sub(2));
        if self.warmth.get(at + 2).is_none_or(|next| next[column] > 600.0) {
            return edge(self.substance(), t, column as f64).map_or(self.critical_pressure, |at| at.0);
        }
        libm::exp(cubic(&self.warmth, along)[column])
    }

    /// Energy of the thin gas at a temperature, J/kg, and its slope.
    pub(crate) fn thin_energy(&self, t: f64) -> (f64, f64) {
        let along = (t - self.cold) * self.per_kelvin;
        let inside = along.clamp(0.0, (self.warmth.len() - 1) as f64);
        let (found, slopes) = cubic_with_slopes(&self.warmth, inside);
        let slope = slopes[2] * self.per_kelvin;
        (found[2] + (along - inside) / self.per_kelvin * slope, slope)
    }

    /// Whether a density, in kg/m³, is that of a thin gas.
    pub(crate) fn is_thin(&self, rho: f64) -> bool {
        rho < self.thin
    }

    /// Temperature and pressure at a density (kg/m³) and an energy (J/kg). Always answers: colder and hotter than anything known, by [`super::beyond`].
    pub(crate) fn at<N: Number>(&self, rho: N, u: N) -> At<N> {
        if rho.value() < self.thin {
            let found = self.inside(N::fixed(self.thin), u);
            return At { p: found.p * (rho * (1.0 / self.thin)).at_least(0.0), ..found };
        }
        self.inside(rho, u)
    }

    fn inside<N: Number>(&self, rho: N, u: N) -> At<N> {
        let (density, energy) = (rho.value(), u.value());
        if N::HAS_SLOPES {
            let found = self.table.look_up_detail(density, energy);
            if let Some(found) = found.or_else(|| self.table.one_phase(density, energy)) {
                let t = [found.temperature_by_density, found.temperature_by_energy];
                let p = [found.pressure_by_density, found.pressure_by_energy];
                return At {
                    t: rho.through_two(u, found.kelvin, t),
                    p: rho.through_two(u, found.pascal, p),
                    two_phase: found.phases.is_some(),
                };
            }
        } else if let Some(found) = self.table.look_up(density, energy) {
            return At { t: N::fixed(found.kelvin), p: N::fixed(found.pascal), two_phase: found.two_phase };
        } else if let Some(found) = self.table.one_phase(density, energy) {
            return At { t: N::fixed(found.kelvin), p: N::fixed(found.pascal), two_phase: false };
        }
        let found = self.beyond(density, energy);
        if !N::HAS_SLOPES {
            return At { t: N::fixed(found.t), p: N::fixed(found.p), two_phase: found.two_phase };
        }
        // Away from the nearer edge of the two phases.
        let (more, warmer) = (if found.two_phase { 1e-5 } else { -1e-5 } * density, 12.0);
        let (denser, hotter) = (self.beyond(density + more, energy), self.beyond(density, energy + warmer));
        let slopes =
            |of: fn(&At) -> f64| [(of(&denser) - of(&found)) / more, (of(&hotter) - of(&found)) / warmer];
        At {
            t: rho.through_two(u, found.t, slopes(|at| at.t)),
            p: rho.through_two(u, found.p, slopes(|at| at.p)),
            two_phase: found.two_phase,
        }
    }

    /// The energy of the coldest liquid, J/kg, and its temperature, K.
    pub(super) const fn coldest(&self) -> (f64, f64) {
        (self.coldest, self.cold)
    }

    /// The energies between which states are looked for, J/kg.
    pub(crate) fn energies(&self) -> (f64, f64) {
        (self.coldest - 2e5, self.hottest + 6e5)
    }

    /// Energy at a temperature (K) and a density (kg/m³), J/kg.
    pub(crate) fn energy(&self, t: f64, rho: f64) -> f64 {
        if rho < self.thin {
            return self.thin_energy(t).0;
        }
        state_at(self.substance(), t, rho).map_or_else(|_| self.thin_energy(t).0, |state| state.u)
    }

    /// Density and enthalpy at a pressure (Pa) and a temperature (K) of vapour or subcooled liquid.
    pub(crate) fn at_pressure(&self, p: f64, t: f64) -> Option<(f64, f64)> {
        let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
        self.substance().raw_state(given).ok().map(|state| (state.rho, state.h))
    }

    /// Enthalpy after an isentropic change of pressure from (p, t) to another pressure, less that before; J/kg.
    pub(crate) fn isentropic_work(&self, p: f64, t: f64, to: f64) -> Option<f64> {
        let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
        let start = self.substance().raw_state(given).ok()?;
        let entropy = stemwise_units::SpecificHeat::from_j_per_kg_k(start.s);
        let end = self.substance().raw_state(Given::PressureEntropy(Pressure::from_pa(to), entropy)).ok()?;
        Some(end.h - start.h)
    }
}

/// The state of one phase beside the saturation curve is taken at a density this much off, as a part of itself.
pub(super) const BESIDE: f64 = 1e-7;

/// By the full model at a temperature, K, and a density, kg/m³.
pub(super) fn state_at(substance: &Substance, t: f64, rho: f64) -> Result<RawState, Error> {
    let given = Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho));
    substance.raw_state(given)
}

/// Pressure and density of the bubble (`q` 0) or dew point at a temperature, K.
fn edge(substance: &Substance, t: f64, q: f64) -> Result<(f64, f64), Error> {
    if let Some(mixture) = substance.mixture() {
        return mixture.saturation_raw(t, q);
    }
    let sat = substance.saturation_raw(t)?;
    Ok((sat.bubble, if q < 0.5 { sat.liquid } else { sat.vapour }))
}

/// One node of the curve by the full model, and the temperatures of its bubble and dew point, which are sought from near ones on.
fn node(substance: &Substance, p: f64, near: (f64, f64)) -> Result<([f64; COLUMNS], (f64, f64)), Error> {
    let (t_l, rho_l) = at_pressure(|t| edge(substance, t, 0.0), p, near.0)?;
    let (t_v, rho_v) = at_pressure(|t| edge(substance, t, 1.0), p, near.1)?;
    let liquid = state_at(substance, t_l, rho_l * (1.0 + BESIDE))?;
    let vapour = state_at(substance, t_v, rho_v * (1.0 - BESIDE))?;
    let stiff = liquid.w.map_or(1e8, |w| w * w * liquid.rho);
    let kappa = vapour.w.map_or(1.1, |w| w * w * vapour.rho / p);
    let cp = |state: &RawState| state.cp.unwrap_or(1e3);
    let found = [t_l, t_v, rho_l, rho_v, liquid.h, vapour.h, cp(&liquid), cp(&vapour), stiff, kappa];
    Ok((found, (t_l, t_v)))
}

/// Where a saturation line comes to a pressure: Newton's method on ln p over 1/T, which is nearly straight. Temperature and density.
fn at_pressure(
    line: impl Fn(f64) -> Result<(f64, f64), Error>,
    p: f64,
    near: f64,
) -> Result<(f64, f64), Error> {
    let mut t = near;
    for _ in 0..30 {
        let (here, rho) = line(t)?;
        let off = libm::log(p / here);
        if off.abs() < 1e-11 {
            return Ok((t, rho));
        }
        // Beside the triple point only the warmer side is there.
        let colder = t * (1.0 - 1e-4);
        let (beside, (aside, _)) = match line(colder) {
            Ok(found) => (colder, found),
            Err(_) => (t * (1.0 + 1e-4), line(t * (1.0 + 1e-4))?),
        };
        // By 1/T.
        let slope = libm::log(here / aside) / (1.0 / t - 1.0 / beside);
        t = 1.0 / (1.0 / t + off / slope);
    }
    let (_, rho) = line(t)?;
    Ok((t, rho))
}

/// Cubic through the four nearest nodes; the ends beyond them.
fn cubic<const N: usize>(nodes: &[[f64; N]], along: f64) -> [f64; N] {
    let last = nodes.len() - 1;
    let along = along.clamp(0.0, last as f64);
    let at = (along as usize).clamp(1, last - 2);
    let x = along - at as f64;
    let (below, above) = (x + 1.0, 1.0 - x);
    let further = 2.0 - x;
    let weights = [
        -x * above * further / 6.0,
        below * above * further / 2.0,
        below * x * further / 2.0,
        -below * x * above / 6.0,
    ];
    let mut value = [0.0; N];
    for (node, weight) in nodes[at - 1..at + 3].iter().zip(weights) {
        for (slot, part) in value.iter_mut().zip(node) {
            *slot += weight * part;
        }
    }
    value
}

/// The same with slopes by the coordinate; none beyond the ends.
fn cubic_with_slopes<const N: usize>(nodes: &[[f64; N]], along: f64) -> ([f64; N], [f64; N]) {
    let last = nodes.len() - 1;
    let inside = along.clamp(0.0, last as f64);
    let at = (inside as usize).clamp(1, last - 2);
    let x = inside - at as f64;
    let held = if (along - inside).abs() > 0.0 { 0.0 } else { 1.0 };
    let (below, above, further) = (x + 1.0, 1.0 - x, 2.0 - x);
    let weights = [
        -x * above * further / 6.0,
        below * above * further / 2.0,
        below * x * further / 2.0,
        -below * x * above / 6.0,
    ];
    let slopes = [
        (6.0 * x - 3.0 * x * x - 2.0) / 6.0,
        (3.0 * x * x - 4.0 * x - 1.0) / 2.0,
        (2.0 + 2.0 * x - 3.0 * x * x) / 2.0,
        (3.0 * x * x - 1.0) / 6.0,
    ];
    let (mut value, mut slope) = ([0.0; N], [0.0; N]);
    for ((node, weight), by) in nodes[at - 1..at + 3].iter().zip(weights).zip(slopes) {
        for column in 0..N {
            value[column] += weight * node[column];
            slope[column] += held * by * node[column];
        }
    }
    (value, slope)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    /// The curves against the full model between their nodes.
    #[test]
    fn curves_are_close_to_the_full_model() {
        let medium = Medium::named("R-134a").unwrap();
        for p in [2e4, 1e5, 2.345e5, 7.7e5, 1.5e6, 3e6] {
            let found = medium.phases(p);
            let near = medium.phases(p).t_l - 1.0;
            let ([t, _, rho_l, rho_v, h_l, h_v, ..], _) = node(medium.substance(), p, (near, near)).unwrap();
            for (a, b) in [
                (found.t_l, t),
                (found.rho_l, rho_l),
                (found.rho_v, rho_v),
                (found.h_l, h_l),
                (found.h_v, h_v),
            ] {
                assert!((a / b - 1.0).abs() < 1e-6, "{p}: {a} {b}");
            }
            assert!((medium.bubble(t) / p - 1.0).abs() < 1e-5, "{p} {}", medium.bubble(t));
        }
        let (u, _) = medium.thin_energy(300.0);
        assert!((u - medium.energy(300.0, 0.02 * medium.thin)).abs() < 20.0);
    }

    /// Whatever is asked, something finite comes back, and colder for less energy.
    #[test]
    fn always_answers() {
        for name in ["R-134a", "R-410A", "R-744"] {
            let medium = Medium::named(name).unwrap();
            for rho in [1e-6, 1e-3, 1.0, 50.0, 800.0, 1400.0, 1700.0, 3000.0] {
                let mut before = 0.0;
                for u in [-1e18, -5e5, 0.0, 1e5, 3e5, 5e5, 9e5, 3e6, 1e12] {
                    let at = medium.at(rho, u);
                    assert!(at.t.is_finite() && at.p.is_finite() && at.p >= 0.0, "{rho} {u}: {at:?}");
                    assert!(at.t >= before, "{name}, {rho} {u}: {at:?}, {before} K before");
                    before = at.t;
                }
            }
        }
    }

    /// A blend colder than its tables goes on as by the full model as far as that goes, and nothing jumps where one takes over from the other.
    #[test]
    fn a_blend_colder_than_its_tables() {
        let medium = Medium::named("R-410A").unwrap();
        let lowest = medium.substance().lowest_temperature().as_k();
        let mut seen = 0;
        for rho in [0.05, 1.0, 30.0, 400.0, 1300.0] {
            let (edge, found) = medium.table.coldest_at(rho).unwrap();
            let [below, above] = [-5.0, 5.0].map(|more| medium.at(rho, edge + more));
            assert!(
                (above.t / below.t - 1.0).abs() < 1e-3 && (above.p / below.p - 1.0).abs() < 1e-2,
                "{rho}"
            );
            let t = found.kelvin - 12.0;
            let Ok(full) = state_at(medium.substance(), t.max(lowest + 0.1), rho) else { continue };
            let at = medium.at(rho, full.u);
            assert!((at.t - full.t).abs() < 0.3, "{rho}: {at:?}, {full:?}");
            assert!((at.p / full.p - 1.0).abs() < 0.02, "{rho}: {at:?}, {full:?}");
            seen += 1;
        }
        assert!(seen >= 3, "{seen}");
    }
}
