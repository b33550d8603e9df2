//! One phase by the model itself, where the tables end or have holes and there is no doubt about the phases.
//!
//! The general way from density and energy to a state looks for phases at every temperature that it tries, which for a blend takes a hundred
//! times as long as the state itself. Above the saturation curve, which the tables know, and in a liquid denser than the coldest, nothing is to be
//! looked for.

use super::{Single, StateTable, TableDetail};

/// Rounds of Newton's method.
const ROUNDS: usize = 40;
/// Its last step, as a part of the temperature; what is left is its square.
const LAST: f64 = 1e-7;
/// No liquid is under so many times the highest pressure of its model.
const PRESSED: f64 = 10.0;
/// Where a segment ends: past it there are no edges.
const LAST_PLACE: f64 = 1.0 - 1e-9;

impl StateTable {
    /// One phase at a density (kg/m³) and an energy (J/kg) by the model, in or beyond the tables. None where there may be two phases, where it is
    /// colder than the tables go or hotter than the model does, under far more pressure, and where the model has no stable state.
    ///
    /// ```
    /// use stemwise_thermo::{StateTable, Substance};
    /// let table = StateTable::of(Substance::named("R-410A")?)?;
    /// let found = table.one_phase(496.0, 599e3).unwrap();
    /// assert!(table.look_up(496.0, 599e3).is_none() && found.kelvin > 470.0);
    /// assert!(table.one_phase(496.0, 200e3).is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn one_phase(&self, density: f64, energy: f64) -> Option<TableDetail> {
        let last = self.segments.last()?;
        let segment = self.segment(density).unwrap_or(last);
        let fits = density > 0.0 && density.is_finite() && energy.is_finite();
        let dense = density >= segment.spacing.high;
        let [bottom, top, _, start] =
            segment.edges_at(if dense { LAST_PLACE } else { segment.spacing.at(density) });
        if !fits || !dense && energy < bottom {
            return None;
        }
        let (cold, hot) = (self.coldest, self.hottest);
        let far = ((energy - bottom) / (top - bottom)).clamp(0.0, 1.0);
        let mut t = start + far * (hot - start).max(0.0);
        for _ in 0..ROUNDS {
            let here = self.single(t, density)?;
            let step = (energy - here.u) / here.cv.max(1.0);
            if step.abs() < LAST * t {
                let pressed = here.p > PRESSED * self.substance.highest_pressure().as_pa();
                let fits = (cold..=hot).contains(&(t + step)) && here.dp_drho > 0.0 && !pressed;
                return fits.then(|| self.detail_alone(density, energy, t, step, &here));
            }
            // From either end of the range one way out is enough: the energy rises all along.
            let next = (t + step).clamp(cold, hot);
            if (next - t).abs() <= 0.0 {
                return None;
            }
            t = next;
        }
        None
    }

    /// The coldest state of the tables at a density (kg/m³), in two phases or one, or by the model where it is denser than the tables: its energy (J/kg)
    /// and itself. None without a density, and in a hole of the tables.
    ///
    /// ```
    /// use stemwise_thermo::{StateTable, Substance};
    /// let table = StateTable::of(Substance::named("R-410A")?)?;
    /// let (energy, state) = table.coldest_at(50.0).unwrap();
    /// assert!(state.kelvin < 200.0 && state.phases.is_some() && table.look_up(50.0, energy - 1.0).is_none());
    /// assert!(table.coldest_at(-1.0).is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn coldest_at(&self, density: f64) -> Option<(f64, TableDetail)> {
        if !(density > 0.0 && density.is_finite()) {
            return None;
        }
        if let Some(segment) = self.segment(density).filter(|segment| segment.double.is_some()) {
            let [bottom, _, floor, _] = segment.edges_at(segment.spacing.at(density));
            // A little inside, so that rounding doesn't count.
            let energy = floor + 1e-9 * (bottom - floor);
            return self.look_up_detail(density, energy).map(|found| (energy, found));
        }
        let here = self.single(self.coldest, density)?;
        let detail = self.detail_alone(density, here.u, self.coldest, 0.0, &here);
        (here.cv > 0.0 && here.p.is_finite()).then_some((here.u, detail))
    }

    /// The dome ignored.
    fn single(&self, t: f64, rho: f64) -> Option<Single> {
        match self.substance.mixture() {
            Some(mixture) => Some(mixture.single_raw(t, rho)),
            None => Some(Single::pure(self.substance.components().first()?.eos(), t, rho)),
        }
    }

    fn detail_alone(&self, density: f64, energy: f64, t: f64, step: f64, here: &Single) -> TableDetail {
        let pascal = here.p + here.dp_dt * step;
        // At constant temperature the energy changes by (p - T dp/dT)/rho² a density.
        let by_density = (pascal - t * here.dp_dt) / (density * density);
        let temperature_by_density = -by_density / here.cv;
        TableDetail {
            kelvin: t + step,
            pascal,
            enthalpy: energy + pascal / density,
            entropy: here.s + here.cv / t * step,
            pressure_by_density: here.dp_drho + here.dp_dt * temperature_by_density,
            pressure_by_energy: here.dp_dt / here.cv,
            temperature_by_density,
            temperature_by_energy: 1.0 / here.cv,
            phases: None,
        }
    }
}
