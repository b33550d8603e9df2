//! The integration of a draw: error control, the last drop, the pressure wanted.

use stemwise_units::Mass;

use super::{Draw, Drawn, FractionationError, Moment, Stage, Until, Vessel};
use crate::mixture::equilibrium::{Phases, fractions, sum};
use crate::mixture::helmholtz::{Model, Vector};

/// Error of one step in each amount, as a part of it and as a part of all.
const TOLERANCE: (f64, f64) = (1e-9, 1e-13);
/// No step is larger, as a part of the mass that is left.
const LARGEST_STEP: f64 = 0.2;
const MOST_STEPS: u32 = 5000;

/// A draw under way.
pub(super) struct Run {
    start: Vector,
    draw: Draw,
    until: Until,
    /// The mass at the start, kg.
    begun: f64,
    steps: u32,
    equilibria: u32,
}

/// Where a step ends.
#[derive(Clone, Copy)]
struct Landing {
    amounts: Vector,
    phases: Phases,
    slope: Vector,
    /// The estimated error against what is allowed.
    error: f64,
}

impl Run {
    pub(super) fn new(vessel: &Vessel<'_>, draw: Draw, until: Until) -> Self {
        Self { start: vessel.amounts, draw, until, begun: vessel.kg(), steps: 0, equilibria: 0 }
    }

    pub(super) fn drawn(self, stages: Vec<Stage>) -> Drawn {
        Drawn { stages, steps: self.steps, equilibria: self.equilibria }
    }

    pub(super) fn stage(&self, vessel: &Vessel<'_>, moment: Moment) -> Result<Stage, FractionationError> {
        let content = vessel.content()?;
        let leaving = match (&content.liquid, self.draw) {
            (Some(liquid), Draw::Liquid) => liquid.clone(),
            _ => content.vapour.clone(),
        };
        let mut left = self.start;
        left.iter_mut().zip(vessel.amounts).for_each(|(slot, now)| *slot = (*slot - now).max(0.0));
        let drawn = self.begun - vessel.kg();
        let drawn_overall = if moment == Moment::Start {
            None
        } else {
            Some(vessel.composition(&fractions(vessel.n(), &left))?)
        };
        Ok(Stage { moment, content, leaving, drawn: Mass::from_kg(drawn), drawn_overall })
    }

    /// On to a mass; whether the pressure wanted was reached before.
    pub(super) fn go(
        &mut self,
        vessel: &mut Vessel<'_>,
        kg: f64,
        stages: &mut Vec<Stage>,
    ) -> Result<bool, FractionationError> {
        if vessel.substance.mixture().is_none() {
            return self.go_pure(vessel, kg, stages);
        }
        if vessel.phases.is_some() && self.go_two_phases(vessel, kg, stages)? {
            return Ok(true);
        }
        if vessel.phases.is_some() || vessel.kg() <= kg {
            return Ok(false);
        }
        let share = self.thin(vessel, kg / vessel.kg());
        vessel.amounts = vessel.amounts.map(|amount| amount * share.0);
        Ok(share.1)
    }

    /// A vapour alone thins out: to which part of it, and whether the pressure wanted was reached.
    fn thin(&self, vessel: &Vessel<'_>, share: f64) -> (f64, bool) {
        let (Until::Pressure(wanted), z) = (self.until, fractions(vessel.n(), &vessel.amounts)) else {
            return (share, false);
        };
        let density = sum(vessel.n(), &vessel.amounts) / vessel.volume;
        let pascal = |share: f64| match vessel.substance.mixture() {
            Some(mixture) => {
                let point = mixture.model.reduced_point(&z);
                mixture.model.isotherm(vessel.kelvin, share * density, &z, point).0
            }
            None => vessel.substance.pressure_pa(vessel.kelvin, share * vessel.kg() / vessel.volume),
        };
        if share > 0.0 && pascal(share) > wanted.as_pa() {
            return (share, false);
        }
        let (mut low, mut high) = (share, 1.0);
        while high - low > 1e-15 {
            let half = 0.5 * (low + high);
            if half <= low || half >= high {
                break;
            }
            if pascal(half) > wanted.as_pa() { high = half } else { low = half }
        }
        (high, true)
    }

    fn go_pure(
        &self,
        vessel: &mut Vessel<'_>,
        kg: f64,
        stages: &mut Vec<Stage>,
    ) -> Result<bool, FractionationError> {
        let nominal = vessel.nominal;
        let dry = nominal.vapour_density * vessel.volume;
        if vessel.amounts[0] > dry && kg / vessel.molar_mass() <= dry {
            vessel.amounts[0] = dry;
            let mut stage = self.stage(vessel, Moment::LastDrop)?;
            stage.content.liquid = Some(stage.content.overall.clone());
            stages.push(stage);
        }
        if vessel.amounts[0] > dry {
            vessel.amounts[0] = kg / vessel.molar_mass();
            return Ok(false);
        }
        let (share, ended) = self.thin(vessel, kg / vessel.kg());
        vessel.amounts[0] *= share;
        Ok(ended)
    }

    /// With error control; stops at the last drop and at the pressure wanted. Whether that was reached.
    fn go_two_phases(
        &mut self,
        vessel: &mut Vessel<'_>,
        kg: f64,
        stages: &mut Vec<Stage>,
    ) -> Result<bool, FractionationError> {
        let Some(mixture) = vessel.substance.mixture() else { return Ok(false) };
        let model = &mixture.model;
        let mut here = self.landing(vessel)?;
        let mut step = LARGEST_STEP * 0.25 * vessel.kg();
        while vessel.kg() - kg > 1e-13 * self.begun {
            let left = vessel.kg();
            step = step.min(LARGEST_STEP * left).min(left - kg);
            self.steps += 1;
            let lost = FractionationError::Lost { kg: left };
            if self.steps > MOST_STEPS || step < 1e-12 * self.begun {
                return Err(lost);
            }
            let next = self.step(vessel, model, &here, step);
            let Some(next) = next.filter(|next| next.error <= 1.0) else {
                let shrink = next.map_or(0.25, |next| 0.9 * libm::pow(next.error, -0.2));
                step *= shrink.clamp(0.1, 0.5);
                continue;
            };
            let (landed, event) = self.up_to_event(vessel, model, &here, (step, next)).ok_or(lost)?;
            (vessel.amounts, vessel.phases, here) = (landed.amounts, Some(landed.phases), landed);
            match event {
                Event::None => {}
                Event::Pressure => return Ok(true),
                Event::LastDrop => {
                    stages.push(self.stage(vessel, Moment::LastDrop)?);
                    vessel.phases = None;
                    return Ok(false);
                }
            }
            step *= (0.9 * libm::pow(next.error.max(1e-10), -0.2)).clamp(0.3, 4.0);
        }
        Ok(false)
    }

    fn landing(&mut self, vessel: &Vessel<'_>) -> Result<Landing, FractionationError> {
        let phases = vessel.phases.ok_or(FractionationError::Lost { kg: vessel.kg() })?;
        let slope = self.slope(vessel, &phases);
        Ok(Landing { amounts: vessel.amounts, phases, slope, error: 0.0 })
    }

    /// Amounts by mass left: what leaves, mol/kg.
    fn slope(&self, vessel: &Vessel<'_>, phases: &Phases) -> Vector {
        let leaving = match self.draw {
            Draw::Vapour => &phases.vapour,
            Draw::Liquid => &phases.liquid,
        };
        let kg: f64 = leaving.iter().zip(&vessel.molar).map(|(rho, molar)| rho * molar).sum();
        leaving.map(|rho| rho / kg)
    }

    /// One step of Dormand and Prince towards less mass.
    fn step(&mut self, vessel: &Vessel<'_>, model: &Model, from: &Landing, kg: f64) -> Option<Landing> {
        let n = vessel.n();
        let mut slopes = [Vector::default(); 7];
        slopes[0] = from.slope;
        let mut phases = from.phases;
        let mut amounts = from.amounts;
        for (stage, row) in STAGES.iter().enumerate() {
            amounts = from.amounts;
            for (weight, slope) in row.iter().zip(&slopes) {
                amounts.iter_mut().zip(slope).for_each(|(amount, slope)| *amount -= kg * weight * slope);
            }
            if amounts.iter().take(n).any(|amount| *amount <= 0.0) {
                return None;
            }
            self.equilibria += 1;
            phases = vessel.equilibrium(model, &amounts, &phases)?;
            slopes[stage + 1] = self.slope(vessel, &phases);
        }
        let all = sum(n, &amounts);
        let error = |i: usize| {
            let off: f64 = ERRORS.iter().zip(&slopes).map(|(weight, slope)| weight * slope[i]).sum();
            (kg * off).abs() / (TOLERANCE.0 * amounts[i] + TOLERANCE.1 * all)
        };
        let error = (0..n).map(error).fold(0.0, f64::max);
        Some(Landing { amounts, phases, slope: slopes[6], error })
    }

    /// The end of a step, or of a shorter one where something happens before.
    fn up_to_event(
        &mut self,
        vessel: &Vessel<'_>,
        model: &Model,
        from: &Landing,
        (kg, whole): (f64, Landing),
    ) -> Option<(Landing, Event)> {
        let until = self.until;
        let distance = |phases: &Phases, event: Event| match (event, until) {
            (Event::LastDrop, _) => 1.0 - phases.q,
            (Event::Pressure, Until::Pressure(wanted)) => phases.p / wanted.as_pa() - 1.0,
            _ => 1.0,
        };
        let mut found = (whole, Event::None);
        let mut most = kg;
        for event in [Event::LastDrop, Event::Pressure] {
            if distance(&found.0.phases, event) >= 0.0 {
                continue;
            }
            let (mut low, mut high) =
                ((0.0, distance(&from.phases, event)), (most, distance(&found.0.phases, event)));
            for turn in 0..60 {
                // False position, and halving in every third turn, so that neither end stays.
                let share = if turn % 3 == 2 { 0.5 } else { low.1 / (low.1 - high.1) };
                let at = low.0 + share.clamp(0.01, 0.99) * (high.0 - low.0);
                let landing = self.step(vessel, model, from, at)?;
                let here = distance(&landing.phases, event);
                found = (landing, event);
                most = at;
                if here.abs() < 1e-12 || high.0 - low.0 < 1e-14 * self.begun {
                    break;
                }
                if here > 0.0 { low = (at, here) } else { high = (at, here) }
            }
        }
        Some(found)
    }
}

/// What ends a step early.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Event {
    None,
    LastDrop,
    Pressure,
}

/// The coefficients of Dormand and Prince: the last row is the result of fifth order.
const STAGES: [[f64; 6]; 6] = [
    [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0],
    [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0, 0.0],
    [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];
/// Fifth order less fourth.
const ERRORS: [f64; 7] =
    [71.0 / 57600.0, 0.0, -71.0 / 16695.0, 71.0 / 1920.0, -17253.0 / 339200.0, 22.0 / 525.0, -1.0 / 40.0];
