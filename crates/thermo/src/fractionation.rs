//! Fractionation: what leaves a vessel with two phases of a blend takes the components in other parts than what stays.
//!
//! A vessel of fixed volume at a fixed temperature; a phase is drawn off, at equilibrium at every moment: batch distillation, with the
//! vapour that stays above the liquid (Lord Rayleigh, Phil. Mag. 4 (1902) 521-537, for a still that holds no vapour). The amounts are
//! followed by mass left with the method of J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6 (1980) 19-26, which keeps the total mass
//! exactly; every slope is a new two-phase equilibrium at temperature and overall density. Real leaks cool the liquid: this is the slow one.

mod draw;

use stemwise_units::{Mass, Pressure, PressureDifference, Temperature, TemperatureDifference, Volume};

use crate::mixture::equilibrium::{Phases, Spec, fractions, sum};
use crate::mixture::helmholtz::{Model, Vector};
use crate::{Error, MassFractions, Mixture, MoleFractions, Substance};
use draw::Run;

/// Which phase leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Draw {
    /// From above the liquid.
    Vapour,
    /// From the bottom; once the liquid is gone, what is left leaves as vapour.
    Liquid,
}

/// How far it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Until {
    /// So much of the mass at the start is left, from 0 to 1, neither included.
    PartLeft(f64),
    /// The absolute pressure has fallen to this.
    Pressure(Pressure),
}

/// What fixes how much is in the vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// The vessel's volume and what is in it.
    VolumeMass(Volume, Mass),
    /// The vessel's volume, and which part of it is liquid, from 0 to 1.
    VolumeLiquid(Volume, f64),
    /// What is in it, and which part of the volume is liquid, between 0 and 1.
    MassLiquid(Mass, f64),
}

/// What is topped up with, from a cylinder of the fresh blend at the vessel's temperature that is nearly full of liquid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fresh {
    /// Liquid: the nominal composition.
    Liquid,
    /// Vapour: what stands over liquid of the nominal composition.
    Vapour,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FractionationError {
    /// A volume or mass that is none.
    #[error("{value} is not a {what}: it must be above 0 and finite")]
    NotPositive {
        /// "volume in m³", "mass in kg".
        what: &'static str,
        /// The value.
        value: f64,
    },
    /// Not a part of the volume.
    #[error("{part} is not the part of a volume that is liquid: it must lie between 0 and 1")]
    LiquidPart {
        /// The part.
        part: f64,
    },
    /// The liquid would fill the vessel.
    #[error("{kg:.4} kg does not fit: at this temperature the vessel is full of liquid with {most_kg:.4} kg")]
    LiquidFull {
        /// The mass.
        kg: f64,
        /// The most.
        most_kg: f64,
    },
    /// Not a part of the mass.
    #[error(
        "{part} is not a part of the mass that can be left: it must lie between 0 and 1, neither included"
    )]
    PartLeft {
        /// The part.
        part: f64,
    },
    /// It is there already, or is none.
    #[error(
        "{:.3} bar absolute is not below the pressure at the start, {:.3} bar absolute, and above 0",
        .pascal / 1e5,
        .start / 1e5
    )]
    PressureNotBelow {
        /// What was asked for.
        pascal: f64,
        /// What is there.
        start: f64,
    },
    /// No liquid to draw off or to keep track of.
    #[error(
        "there is no liquid at the start: all {kg:.4} kg are vapour; liquid needs more than {least_kg:.4} kg"
    )]
    NoLiquid {
        /// The mass.
        kg: f64,
        /// From here there is liquid.
        least_kg: f64,
    },
    /// Equilibrium was lost on the way.
    #[error(
        "no equilibrium of one liquid with its vapour was found at {kg:.4} kg: the temperature may be near the critical one, or so cold \
         that the liquid parts into two"
    )]
    Lost {
        /// The mass left.
        kg: f64,
    },
    /// The substance has no answer.
    #[error(transparent)]
    Thermo(#[from] Error),
}

impl FractionationError {
    /// The kind, stable, kebab-case.
    ///
    /// ```
    /// use stemwise_thermo::{Fill, Substance, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-410A")?;
    /// let fill = Fill::VolumeMass(Volume::from_l(2.0), Mass::from_kg(5.0));
    /// assert_eq!(Vessel::new(&blend, Temperature::from_celsius(25.0), fill).unwrap_err().kind(), "liquid-full");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::NotPositive { .. } | Self::LiquidPart { .. } => "fill",
            Self::LiquidFull { .. } => "liquid-full",
            Self::PartLeft { .. } => "part-left",
            Self::PressureNotBelow { .. } => "pressure-not-below",
            Self::NoLiquid { .. } => "no-liquid",
            Self::Lost { .. } => "not-converged",
            Self::Thermo(error) => error.kind(),
        }
    }
}

/// A composition both ways.
#[derive(Clone, Debug, PartialEq)]
pub struct Composition {
    /// By amount of substance.
    pub mole: MoleFractions,
    /// By mass.
    pub mass: MassFractions,
}

/// How far the pressure-temperature relation has moved from the nominal blend's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// At the pressure of the nominal blend's bubble point: how much hotter the bubble point is now.
    pub bubble: TemperatureDifference,
    /// The same of the dew point.
    pub dew: TemperatureDifference,
    /// At the same temperature: by how much the bubble pressure is higher now.
    pub bubble_pressure: PressureDifference,
    /// The same of the dew pressure.
    pub dew_pressure: PressureDifference,
}

/// What is in the vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Content {
    /// All of it.
    pub mass: Mass,
    /// Absolute pressure.
    pub pressure: Pressure,
    /// How much of it is liquid.
    pub liquid_mass: Mass,
    /// Which part of the volume is liquid.
    pub liquid_part: f64,
    /// Of all of it: what circulates once the system runs.
    pub overall: Composition,
    /// Of the liquid, where there is any.
    pub liquid: Option<Composition>,
    /// Of the vapour.
    pub vapour: Composition,
    /// Bubble pressure of the overall composition at the temperature.
    pub bubble: Pressure,
    /// Its dew pressure.
    pub dew: Pressure,
    /// Against the nominal blend.
    pub shift: Shift,
}

/// Which moment a stage is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Moment {
    /// Before anything has left.
    Start,
    /// On the way.
    Passing,
    /// The last drop of liquid has gone; its composition is the content's `liquid`.
    LastDrop,
    /// As far as was asked.
    End,
}

/// A moment of the draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Which.
    pub moment: Moment,
    /// What is in the vessel.
    pub content: Content,
    /// What leaves at this moment.
    pub leaving: Composition,
    /// What has left so far.
    pub drawn: Mass,
    /// What that consists of, all together; none before anything has left.
    pub drawn_overall: Option<Composition>,
}

/// A draw, moment by moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// From the start to the end.
    pub stages: Vec<Stage>,
    /// How many steps the integration took, refused ones included.
    pub steps: u32,
    /// How many equilibria it solved.
    pub equilibria: u32,
}

/// One round of a leak and a top-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// After the draw.
    pub drawn: Content,
    /// What was topped up.
    pub added: Mass,
    /// After the top-up.
    pub topped_up: Content,
}

/// A vessel or a closed system at one temperature with what is in it.
///
/// ```
/// use stemwise_thermo::{Draw, Fill, Substance, Until, Vessel};
/// use stemwise_units::{Mass, Temperature, Volume};
/// let blend = Substance::named("R-407C")?;
/// let fill = Fill::VolumeMass(Volume::from_l(10.0), Mass::from_kg(5.0));
/// let mut vessel = Vessel::new(&blend, Temperature::from_celsius(25.0), fill)?;
/// let drawn = vessel.draw(Draw::Vapour, Until::PartLeft(0.5), &[])?;
/// let end = drawn.stages.last().unwrap();
/// // The vapour takes R-32 and R-125 along: less of them stays, and the pressure at the same temperature is lower.
/// assert!(end.content.overall.mass.values()[0] < 0.23);
/// assert!(end.content.shift.bubble_pressure.as_pa() < 0.0);
/// # Ok::<(), stemwise_thermo::FractionationError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Vessel<'a> {
    substance: &'a Substance,
    kelvin: f64,
    volume: f64,
    molar: Vec<f64>,
    /// Amounts of the components, mol.
    amounts: Vector,
    nominal: Nominal,
    /// The phases now, where there are two.
    phases: Option<Phases>,
}

/// The fresh blend at the vessel's temperature.
#[derive(Clone, Copy, Debug)]
struct Nominal {
    z: Vector,
    /// What stands over the liquid.
    vapour: Vector,
    bubble: f64,
    dew: f64,
    /// Molar densities of the bubble point's liquid and of the dew point's vapour.
    liquid_density: f64,
    vapour_density: f64,
}

impl<'a> Vessel<'a> {
    /// A vessel with the nominal blend in it.
    ///
    /// # Errors
    /// [`FractionationError`] where the fill isn't one, where liquid would fill the vessel, or above the critical temperature.
    ///
    /// ```
    /// use stemwise_thermo::{Fill, Substance, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-410A")?;
    /// let vessel = |litres| {
    ///     let fill = Fill::VolumeMass(Volume::from_l(litres), Mass::from_kg(5.0));
    ///     Vessel::new(&blend, Temperature::from_celsius(25.0), fill)
    /// };
    /// assert!(vessel(10.0)?.content()?.liquid_mass.as_kg() > 4.0);
    /// assert_eq!(vessel(2.0).unwrap_err().kind(), "liquid-full");
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub fn new(
        substance: &'a Substance,
        temperature: Temperature,
        fill: Fill,
    ) -> Result<Self, FractionationError> {
        let kelvin = temperature.as_k();
        let molar = substance.components().iter().map(|fluid| fluid.molar_mass_kg_per_mol()).collect();
        let nominal = Nominal::at(substance, temperature)?;
        let mut vessel =
            Self { substance, kelvin, volume: 1.0, molar, amounts: nominal.z, nominal, phases: None };
        let (volume, density) = match fill {
            Fill::VolumeMass(volume, mass) => {
                let (volume, mass) = (positive("volume in m³", volume.as_m3())?, mass_of(mass)?);
                (volume, mass / vessel.molar_mass() / volume)
            }
            Fill::VolumeLiquid(volume, part) => {
                (positive("volume in m³", volume.as_m3())?, vessel.density_with(part)?)
            }
            Fill::MassLiquid(mass, part) => {
                let density = vessel.density_with(part)?;
                (mass_of(mass)? / vessel.molar_mass() / density, density)
            }
        };
        vessel.volume = volume;
        vessel.amounts = nominal.z.map(|z| z * density * volume);
        vessel.settle()?;
        Ok(vessel)
    }

    /// What it all stands in: the volume.
    ///
    /// ```
    /// use stemwise_thermo::{Fill, Substance, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-407C")?;
    /// let fill = Fill::VolumeMass(Volume::from_l(10.0), Mass::from_kg(5.0));
    /// let vessel = Vessel::new(&blend, Temperature::from_celsius(25.0), fill)?;
    /// assert_eq!(vessel.volume(), Volume::from_l(10.0));
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub const fn volume(&self) -> Volume {
        Volume::from_m3(self.volume)
    }

    /// What is in it now.
    ///
    /// # Errors
    /// [`FractionationError::Thermo`] where the composition has no bubble or dew point any more.
    ///
    /// ```
    /// use stemwise_thermo::{Fill, Substance, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-407C")?;
    /// let fill = Fill::VolumeMass(Volume::from_l(10.0), Mass::from_kg(5.0));
    /// let vessel = Vessel::new(&blend, Temperature::from_celsius(25.0), fill)?;
    /// let content = vessel.content()?;
    /// assert!(content.liquid.is_some() && content.liquid_mass < Mass::from_kg(5.0));
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub fn content(&self) -> Result<Content, FractionationError> {
        let z = fractions(self.n(), &self.amounts);
        let overall = self.composition(&z)?;
        let Some(mixture) = self.substance.mixture() else { return self.pure_content(overall) };
        let lost = || FractionationError::Lost { kg: self.kg() };
        let saturated = |q| mixture.model.saturated_at(self.kelvin, &z, q).ok_or_else(lost);
        let (bubble, dew) = (saturated(0.0)?.p, saturated(1.0)?.p);
        let warmer = |p: f64, q: f64| -> Result<f64, FractionationError> {
            let found = mixture.model.saturated_at_pressure(p, &z, q).ok_or_else(lost)?;
            Ok(found.t - self.kelvin)
        };
        let shift = Shift {
            bubble: TemperatureDifference::from_k(warmer(self.nominal.bubble, 0.0)?),
            dew: TemperatureDifference::from_k(warmer(self.nominal.dew, 1.0)?),
            bubble_pressure: PressureDifference::from_pa(bubble - self.nominal.bubble),
            dew_pressure: PressureDifference::from_pa(dew - self.nominal.dew),
        };
        let (liquid_mass, liquid_part) = self.liquid();
        let (liquid, vapour) = match &self.phases {
            Some(phases) => {
                let side = |densities: &Vector| self.composition(&fractions(self.n(), densities));
                (Some(side(&phases.liquid)?), side(&phases.vapour)?)
            }
            None => (None, overall.clone()),
        };
        Ok(Content {
            mass: Mass::from_kg(self.kg()),
            pressure: Pressure::from_pa(self.pascal(mixture, &z)),
            liquid_mass: Mass::from_kg(liquid_mass),
            liquid_part,
            overall,
            liquid,
            vapour,
            bubble: Pressure::from_pa(bubble),
            dew: Pressure::from_pa(dew),
            shift,
        })
    }

    /// Draws a phase off. There is a stage at the start, at each of the parts of the mass in `marks` on the way, at the last drop, and at the end.
    ///
    /// # Errors
    /// [`FractionationError`]: the end isn't one, there is no liquid, or equilibrium is lost near a critical point.
    ///
    /// ```
    /// use stemwise_thermo::{Draw, Fill, Substance, Until, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-407C")?;
    /// let fill = Fill::VolumeMass(Volume::from_l(10.0), Mass::from_kg(5.0));
    /// let mut vessel = Vessel::new(&blend, Temperature::from_celsius(25.0), fill)?;
    /// let drawn = vessel.draw(Draw::Liquid, Until::PartLeft(0.5), &[0.75])?;
    /// assert_eq!(drawn.stages.len(), 3);
    /// assert!(vessel.draw(Draw::Liquid, Until::PartLeft(2.0), &[]).is_err());
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub fn draw(&mut self, draw: Draw, until: Until, marks: &[f64]) -> Result<Drawn, FractionationError> {
        self.check(until)?;
        let mut run = Run::new(self, draw, until);
        let begun = self.kg();
        let mut stages = vec![run.stage(self, Moment::Start)?];
        let least = if let Until::PartLeft(part) = until { part } else { 0.0 };
        let mut marks: Vec<f64> = marks.iter().copied().filter(|mark| *mark > least && *mark < 1.0).collect();
        marks.sort_by(|a, b| b.total_cmp(a));
        marks.dedup();
        if let Until::PartLeft(part) = until {
            marks.push(part);
        }
        for mark in marks {
            let ended = run.go(self, mark * begun, &mut stages)?;
            let moment = if ended || mark <= least { Moment::End } else { Moment::Passing };
            stages.push(run.stage(self, moment)?);
            if ended {
                return Ok(run.drawn(stages));
            }
        }
        if let Until::Pressure(_) = until {
            run.go(self, 0.0, &mut stages)?;
            stages.push(run.stage(self, Moment::End)?);
        }
        Ok(run.drawn(stages))
    }

    /// Tops up with the fresh blend. Where that is refused, nothing has changed.
    ///
    /// # Errors
    /// [`FractionationError::NotPositive`], [`FractionationError::LiquidFull`].
    ///
    /// ```
    /// use stemwise_thermo::{Fill, Fresh, Substance, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-454B")?;
    /// let fill = Fill::VolumeLiquid(Volume::from_l(2.0), 0.5);
    /// let mut vessel = Vessel::new(&blend, Temperature::from_celsius(20.0), fill)?;
    /// vessel.top_up(Mass::from_g(200.0), Fresh::Liquid)?;
    /// assert!(vessel.content()?.liquid_part > 0.5);
    /// assert!(vessel.top_up(Mass::from_kg(5.0), Fresh::Liquid).unwrap_err().to_string().contains("does not fit"));
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub fn top_up(&mut self, mass: Mass, with: Fresh) -> Result<(), FractionationError> {
        let kg = mass_of(mass)?;
        let added = match with {
            Fresh::Liquid => self.nominal.z,
            Fresh::Vapour => self.nominal.vapour,
        };
        let molar: f64 = added.iter().zip(&self.molar).map(|(x, molar)| x * molar).sum();
        let before = self.clone();
        self.amounts.iter_mut().zip(added).for_each(|(amount, x)| *amount += x * kg / molar);
        self.phases = None;
        self.settle().inspect_err(|_| *self = before)
    }

    /// The same leak and top-up again and again; topped up with that mass, or else to the mass at the start.
    ///
    /// # Errors
    /// As [`Vessel::draw`] and [`Vessel::top_up`].
    ///
    /// ```
    /// use stemwise_thermo::{Draw, Fill, Fresh, Substance, Until, Vessel};
    /// use stemwise_units::{Mass, Temperature, Volume};
    /// let blend = Substance::named("R-407C")?;
    /// let fill = Fill::VolumeMass(Volume::from_l(10.0), Mass::from_kg(5.0));
    /// let mut vessel = Vessel::new(&blend, Temperature::from_celsius(25.0), fill)?;
    /// let rounds = vessel.rounds((Draw::Vapour, Until::PartLeft(0.5)), (Fresh::Liquid, None), 5)?;
    /// let r32: Vec<f64> = rounds.iter().map(|round| round.topped_up.overall.mass.values()[0]).collect();
    /// assert!(r32[4] < r32[0] && r32[0] < 0.23);
    /// # Ok::<(), stemwise_thermo::FractionationError>(())
    /// ```
    pub fn rounds(
        &mut self,
        (draw, until): (Draw, Until),
        (with, mass): (Fresh, Option<Mass>),
        times: u32,
    ) -> Result<Vec<Round>, FractionationError> {
        let full = self.kg();
        let round = |vessel: &mut Self| {
            vessel.draw(draw, until, &[])?;
            let drawn = vessel.content()?;
            let added = mass.unwrap_or_else(|| Mass::from_kg(full - vessel.kg()));
            vessel.top_up(added, with)?;
            Ok(Round { drawn, added, topped_up: vessel.content()? })
        };
        (0..times).map(|_| round(self)).collect()
    }

    fn n(&self) -> usize {
        self.molar.len()
    }

    fn kg(&self) -> f64 {
        self.amounts.iter().zip(&self.molar).map(|(amount, molar)| amount * molar).sum()
    }

    /// Of the composition now, kg/mol.
    fn molar_mass(&self) -> f64 {
        self.kg() / sum(self.n(), &self.amounts)
    }

    fn composition(&self, x: &Vector) -> Result<Composition, Error> {
        let mole = MoleFractions::of_parts(x.get(..self.n()).unwrap_or_default())?;
        let mass = mole.by_mass(&self.molar)?;
        Ok(Composition { mole, mass })
    }

    /// Molar density of the nominal blend with so much of the volume liquid.
    fn density_with(&self, part: f64) -> Result<f64, FractionationError> {
        if !(part > 0.0 && part < 1.0) {
            return Err(FractionationError::LiquidPart { part });
        }
        let nominal = &self.nominal;
        let (mut liquid, mut vapour) = (nominal.liquid_density, nominal.vapour_density);
        let Some(mixture) = self.substance.mixture() else {
            return Ok(part * liquid + (1.0 - part) * vapour);
        };
        let n = self.n();
        let mut phases = mixture.model.saturated_at(self.kelvin, &nominal.z, 0.0);
        let mut q = 0.0;
        for _ in 0..60 {
            let Some(here) = phases else { break };
            (liquid, vapour) = (sum(n, &here.liquid), sum(n, &here.vapour));
            let next = (1.0 - part) * vapour / (part * liquid + (1.0 - part) * vapour);
            if (next - q).abs() < 1e-13 {
                return Ok(part * liquid + (1.0 - part) * vapour);
            }
            q = next;
            let specs = [Spec::Temperature(self.kelvin), Spec::Quality(q)];
            phases = mixture.model.two_phases(&nominal.z, specs, here);
        }
        Err(FractionationError::Lost { kg: self.kg() })
    }

    /// The phases of what is in it, from scratch.
    fn settle(&mut self) -> Result<(), FractionationError> {
        let n = self.n();
        let z = fractions(n, &self.amounts);
        let density = sum(n, &self.amounts) / self.volume;
        let (liquid, vapour) = match self.substance.mixture() {
            None => (self.nominal.liquid_density, self.nominal.vapour_density),
            Some(mixture) => {
                let at = |q| mixture.model.saturated_at(self.kelvin, &z, q);
                let lost = || FractionationError::Lost { kg: self.kg() };
                let (bubble, dew) = (at(0.0).ok_or_else(lost)?, at(1.0).ok_or_else(lost)?);
                (sum(n, &bubble.liquid), sum(n, &dew.vapour))
            }
        };
        if density >= liquid {
            let most_kg = liquid * self.volume * self.molar_mass();
            return Err(FractionationError::LiquidFull { kg: self.kg(), most_kg });
        }
        self.phases = None;
        if let (Some(mixture), true) = (self.substance.mixture(), density > vapour) {
            let from = self.rough_phases(mixture, &z, density)?;
            let found = self.equilibrium(&mixture.model, &self.amounts, &from);
            self.phases = Some(found.ok_or(FractionationError::Lost { kg: self.kg() })?);
        }
        Ok(())
    }

    fn rough_phases(
        &self,
        mixture: &Mixture,
        z: &Vector,
        density: f64,
    ) -> Result<Phases, FractionationError> {
        let model = &mixture.model;
        let lost = FractionationError::Lost { kg: self.kg() };
        let at = |q| model.saturated_at(self.kelvin, z, q);
        let (Some(bubble), Some(dew)) = (at(0.0), at(1.0)) else { return Err(lost) };
        let n = self.n();
        let (l, v) = (1.0 / sum(n, &bubble.liquid), 1.0 / sum(n, &dew.vapour));
        let q = ((1.0 / density - l) / (v - l)).clamp(0.0, 1.0);
        let mix = |a: f64, b: f64| if a > 0.0 { a * libm::exp(q * libm::log(b / a)) } else { 0.0 };
        Ok(Phases {
            t: self.kelvin,
            p: mix(bubble.p, dew.p),
            liquid: core::array::from_fn(|i| mix(bubble.liquid[i], dew.liquid[i])),
            vapour: core::array::from_fn(|i| mix(bubble.vapour[i], dew.vapour[i])),
            q,
        })
    }

    /// Both phases of other amounts in the vessel. Beyond the last drop the vapour fraction is above 1: so the way there is smooth.
    fn equilibrium(&self, model: &Model, amounts: &Vector, from: &Phases) -> Option<Phases> {
        let n = self.n();
        let density = sum(n, amounts) / self.volume;
        let specs = [Spec::Temperature(self.kelvin), Spec::Density(density)];
        model.two_phases(&fractions(n, amounts), specs, *from)
    }

    /// Mass of the liquid, kg, and its part of the volume.
    fn liquid(&self) -> (f64, f64) {
        let n = self.n();
        let Some(phases) = &self.phases else {
            return if self.n() == 1 { self.pure_liquid() } else { (0.0, 0.0) };
        };
        let amount = (1.0 - phases.q).max(0.0) * sum(n, &self.amounts);
        let density = sum(n, &phases.liquid);
        let molar: f64 =
            phases.liquid.iter().zip(&self.molar).map(|(rho, molar)| rho * molar).sum::<f64>() / density;
        (amount * molar, amount / density / self.volume)
    }

    fn pure_liquid(&self) -> (f64, f64) {
        let (l, v) = (self.nominal.liquid_density, self.nominal.vapour_density);
        let part = ((self.amounts[0] / self.volume - v) / (l - v)).max(0.0);
        (part * l * self.volume * self.molar_mass(), part)
    }

    fn pascal(&self, mixture: &Mixture, z: &Vector) -> f64 {
        let density = sum(self.n(), &self.amounts) / self.volume;
        let one_phase = || mixture.model.isotherm(self.kelvin, density, z, mixture.model.reduced_point(z)).0;
        self.phases.as_ref().map_or_else(one_phase, |phases| phases.p)
    }

    fn pure_content(&self, overall: Composition) -> Result<Content, FractionationError> {
        let (liquid_mass, liquid_part) = self.pure_liquid();
        let saturated = self.nominal.bubble;
        let pascal = if liquid_part > 0.0 {
            saturated
        } else {
            self.substance.pressure_pa(self.kelvin, self.kg() / self.volume)
        };
        let nothing = PressureDifference::from_pa(0.0);
        let same = TemperatureDifference::from_k(0.0);
        Ok(Content {
            mass: Mass::from_kg(self.kg()),
            pressure: Pressure::from_pa(pascal),
            liquid_mass: Mass::from_kg(liquid_mass),
            liquid_part,
            liquid: (liquid_part > 0.0).then(|| overall.clone()),
            vapour: overall.clone(),
            overall,
            bubble: Pressure::from_pa(saturated),
            dew: Pressure::from_pa(saturated),
            shift: Shift { bubble: same, dew: same, bubble_pressure: nothing, dew_pressure: nothing },
        })
    }

    fn check(&self, until: Until) -> Result<(), FractionationError> {
        if self.liquid().1 <= 0.0 {
            let least = self.nominal.vapour_density * self.volume * self.molar_mass();
            return Err(FractionationError::NoLiquid { kg: self.kg(), least_kg: least });
        }
        match until {
            Until::PartLeft(part) if !(part > 0.0 && part < 1.0) => {
                Err(FractionationError::PartLeft { part })
            }
            Until::PartLeft(_) => Ok(()),
            Until::Pressure(pressure) => {
                let (pascal, start) = (pressure.as_pa(), self.content()?.pressure.as_pa());
                let below = pascal > 0.0 && pascal < start;
                if below { Ok(()) } else { Err(FractionationError::PressureNotBelow { pascal, start }) }
            }
        }
    }
}

impl Nominal {
    fn at(substance: &Substance, temperature: Temperature) -> Result<Self, FractionationError> {
        let both = substance.saturation_at(temperature)?;
        let (bubble, dew) = (both.bubble.raw(), both.dew.raw());
        let molar = substance.molar_mass_kg_per_mol();
        let mut z = Vector::default();
        let mut vapour = Vector::default();
        match (substance.mixture(), both.bubble.vapour()) {
            (Some(mixture), Some(over)) => {
                z = mixture.z;
                vapour.iter_mut().zip(over.values()).for_each(|(slot, y)| *slot = *y);
            }
            _ => (z[0], vapour[0]) = (1.0, 1.0),
        }
        let (liquid_density, vapour_density) = (bubble.rho / molar, dew.rho / molar);
        Ok(Self { z, vapour, bubble: bubble.p, dew: dew.p, liquid_density, vapour_density })
    }
}

fn positive(what: &'static str, value: f64) -> Result<f64, FractionationError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(FractionationError::NotPositive { what, value })
    }
}

fn mass_of(mass: Mass) -> Result<f64, FractionationError> {
    positive("mass in kg", mass.as_kg())
}
