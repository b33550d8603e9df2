//! Mixtures: the true multi-fluid model, any composition.

pub(crate) mod curves;
pub(crate) mod equilibrium;
mod flash;
pub(crate) mod helmholtz;
mod pairs;
mod saturate;
pub(crate) mod solve;

use std::sync::OnceLock;

use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Temperature};

use crate::composition::{MassFractions, MoleFractions};
use crate::envelope::ends;
use crate::state::RawState;
use crate::table::Single;
use crate::{Error, Fluid, Given, Phase};
use curves::MixtureCurves;
use equilibrium::{Phases, fractions, sum};
use helmholtz::{Bulk, Model, Vector};
pub(crate) use pairs::estimate_words;
use saturate::Ladder;

/// A mixture of refrigerants with its model.
///
/// ```
/// use stemwise_thermo::{Fluid, MassFractions, Mixture};
/// use stemwise_units::Temperature;
/// let components = vec![Fluid::named("R-32")?, Fluid::named("R-1234yf")?];
/// let blend = Mixture::by_mass(components, &MassFractions::of_parts(&[68.9, 31.1])?)?;
/// let bubble = blend.bubble_at(Temperature::from_celsius(0.0))?;
/// assert!((bubble.pressure().as_kpa() - 767.4).abs() < 0.1); // CoolProp 8.0.0, same parameters
/// assert!(blend.estimated_pairs().is_empty());
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
#[derive(Debug)]
pub struct Mixture {
    components: Vec<&'static Fluid>,
    pub(crate) model: Model,
    mole: MoleFractions,
    mass: MassFractions,
    pub(crate) z: Vector,
    pub(crate) molar_mass: f64,
    /// Reducing temperature and density.
    pub(crate) point: (f64, f64),
    /// Added to the enthalpy, J/mol, and to the entropy, J/(mol K), for the IIR reference state.
    shift: (f64, f64),
    limits: OnceLock<Limits>,
    /// Where bubble and dew points start, made when first needed.
    ladders: [OnceLock<Option<Ladder>>; 2],
    /// Curves of the bubble and dew line, made when first needed; of catalogued blends only.
    curves: Option<OnceLock<Option<MixtureCurves>>>,
}

/// Where two phases end.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    /// The critical point: K, Pa, mol/m³.
    critical: (f64, f64, f64),
    /// The highest temperature (cricondentherm), K.
    hottest: f64,
    /// The highest pressure (cricondenbar), Pa.
    most_pressure: f64,
}

/// A state of a mixture, and what both phases consist of where there are two.
#[derive(Clone, Debug, PartialEq)]
pub struct MixtureState {
    raw: RawState,
    x: Option<MoleFractions>,
    y: Option<MoleFractions>,
}

impl MixtureState {
    /// Of a pure fluid.
    pub(crate) const fn pure(raw: RawState) -> Self {
        Self { raw, x: None, y: None }
    }
    /// In plain SI numbers; `q` is the molar vapour fraction.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert_eq!(state.raw().q, Some(0.5));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn raw(&self) -> &RawState {
        &self.raw
    }
    /// Temperature.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert!((state.temperature().as_celsius() - 0.0).abs() < 1e-9);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn temperature(&self) -> Temperature {
        Temperature::from_k(self.raw.t)
    }
    /// Absolute pressure.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert!((4.0..6.0).contains(&state.pressure().as_bar()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn pressure(&self) -> Pressure {
        Pressure::from_pa(self.raw.p)
    }
    /// Density.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert!(state.density().as_kg_per_m3() > 10.0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn density(&self) -> Density {
        Density::from_kg_per_m3(self.raw.rho)
    }
    /// Specific enthalpy (200 kJ/kg for the liquid at its bubble point at 0 °C).
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// let bubble = blend.mixture().unwrap().bubble_at(Temperature::from_celsius(0.0))?;
    /// assert!((bubble.enthalpy().as_kj_per_kg() - 200.0).abs() < 1e-6 && state.enthalpy() > bubble.enthalpy());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn enthalpy(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.raw.h)
    }
    /// Specific internal energy.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert!(state.energy() < state.enthalpy());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn energy(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.raw.u)
    }
    /// Specific entropy (1 kJ/(kg K) for the liquid at its bubble point at 0 °C).
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// let bubble = blend.mixture().unwrap().bubble_at(Temperature::from_celsius(0.0))?;
    /// assert!((bubble.entropy().as_j_per_kg_k() - 1000.0).abs() < 1e-6 && state.entropy() > bubble.entropy());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn entropy(&self) -> SpecificHeat {
        SpecificHeat::from_j_per_kg_k(self.raw.s)
    }
    /// The phase.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert_eq!(state.phase().word(), "two-phase");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn phase(&self) -> Phase {
        self.raw.phase
    }
    /// Molar vapour fraction, in two phases and at saturation.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// assert_eq!(state.quality(), Some(0.5));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn quality(&self) -> Option<f64> {
        self.raw.q
    }
    /// What the liquid consists of, where there are two phases; at the dew point the liquid that is about to form.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// // The liquid keeps more of what boils last.
    /// assert!(state.liquid().unwrap().values()[2] > blend.mixture().unwrap().mole_fractions().values()[2]);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn liquid(&self) -> Option<&MoleFractions> {
        self.x.as_ref()
    }
    /// What the vapour consists of, where there are two phases; at the bubble point the vapour that is about to form.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-407C")?;
    /// let half = Given::TemperatureQuality(Temperature::from_celsius(0.0), 0.5);
    /// let state = blend.mixture().unwrap().state(half)?;
    /// // The vapour takes more of what boils first.
    /// assert!(state.vapour().unwrap().values()[0] > blend.mixture().unwrap().mole_fractions().values()[0]);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn vapour(&self) -> Option<&MoleFractions> {
        self.y.as_ref()
    }
}

impl Mixture {
    /// From mole fractions.
    ///
    /// # Errors
    /// [`Error::Composition`] where the lists differ in length, [`Error::TwiceInMixture`] where a component is named twice.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Mixture, MoleFractions};
    /// let parts = vec![Fluid::named("R-32")?, Fluid::named("R-125")?];
    /// assert_eq!(Mixture::new(parts.clone(), MoleFractions::of_parts(&[1.0, 1.0])?)?.components().len(), 2);
    /// assert!(Mixture::new(parts, MoleFractions::of_parts(&[1.0])?).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn new(components: Vec<&'static Fluid>, mole: MoleFractions) -> Result<Self, Error> {
        let molar: Vec<f64> = components.iter().map(|fluid| fluid.molar_mass_kg_per_mol()).collect();
        let mass = mole.by_mass(&molar)?;
        for (at, fluid) in components.iter().enumerate() {
            if components.iter().skip(at + 1).any(|other| other.name() == fluid.name()) {
                return Err(Error::TwiceInMixture { name: fluid.name().to_owned() });
            }
        }
        let model = Model::new(components.iter().map(|fluid| fluid.eos()).collect());
        let mut z = Vector::default();
        z.iter_mut().zip(mole.values()).for_each(|(slot, x)| *slot = *x);
        let molar_mass = mole.values().iter().zip(&molar).map(|(x, molar)| x * molar).sum();
        let point = model.reduced_point(&z);
        let mut mixture = Self {
            components,
            model,
            mole,
            mass,
            z,
            molar_mass,
            point,
            shift: (0.0, 0.0),
            limits: OnceLock::new(),
            ladders: [OnceLock::new(), OnceLock::new()],
            curves: None,
        };
        mixture.anchor();
        Ok(mixture)
    }

    /// From mass fractions.
    ///
    /// # Errors
    /// As [`Mixture::new`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, MassFractions, Mixture};
    /// let parts = vec![Fluid::named("R-32")?, Fluid::named("R-125")?];
    /// let mixture = Mixture::by_mass(parts.clone(), &MassFractions::of_parts(&[50.0, 50.0])?)?;
    /// // The lighter has more moles in the same mass.
    /// assert!(mixture.mole_fractions().values()[0] > 0.69);
    /// assert!(Mixture::by_mass(parts, &MassFractions::of_parts(&[1.0])?).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn by_mass(components: Vec<&'static Fluid>, mass: &MassFractions) -> Result<Self, Error> {
        let molar: Vec<f64> = components.iter().map(|fluid| fluid.molar_mass_kg_per_mol()).collect();
        Self::new(components, mass.by_mole(&molar)?)
    }

    /// With curves of its own for bubble and dew points: worth their making where a mixture is asked about often.
    pub(crate) fn with_curves(self) -> Self {
        Self { curves: Some(OnceLock::new()), ..self }
    }

    pub(crate) fn curves(&self) -> Option<&MixtureCurves> {
        self.curves.as_ref()?.get_or_init(|| MixtureCurves::new(self, &self.limits())).as_ref()
    }

    /// Memory of the curves, bytes, where the mixture has any: blends of the catalogue do.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.curve_bytes().unwrap() < 1 << 20);
    /// assert!(Substance::named("R-32/R-134a 30/70")?.mixture().unwrap().curve_bytes().is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn curve_bytes(&self) -> Option<usize> {
        self.curves().map(MixtureCurves::bytes)
    }

    /// Bubble point (`q` 0) or dew point (`q` 1) at a temperature.
    fn saturated_at(&self, t: f64, q: f64) -> Option<Phases> {
        let by_curve = self.curves().and_then(|curves| curves.at(self.model.len(), &self.z, t, q));
        by_curve.or_else(|| self.solve_saturated_at(t, q))
    }

    /// The same by the full model, whatever curves there are.
    fn solve_saturated_at(&self, t: f64, q: f64) -> Option<Phases> {
        let ladder = &self.ladders[usize::from(q >= 0.5)];
        let (reducing, _) = self.point;
        let ladder = ladder.get_or_init(|| Ladder::new(&self.model, &self.z, reducing, self.range().0, q));
        let start = ladder.as_ref().and_then(|ladder| ladder.at(t));
        let quickly = start.and_then(|start| self.model.quickly_saturated(&start, &self.z));
        quickly.or_else(|| self.model.saturated_at(t, &self.z, q))
    }

    /// Its pressure, Pa, and the molar density of the phase that is there.
    fn edge(&self, t: f64, q: f64) -> Option<(f64, f64)> {
        self.curves().and_then(|curves| curves.edge(t, q)).or_else(|| {
            let found = self.solve_saturated_at(t, q)?;
            let side = if q <= 0.0 { &found.liquid } else { &found.vapour };
            Some((found.p, sum(self.model.len(), side)))
        })
    }

    /// The bubble point (`q` 0) or dew point (`q` 1) at a temperature in K by the full model, whatever curves there are: absolute pressure in Pa
    /// and density in kg/m³.
    ///
    /// # Errors
    /// [`Error::NotConverged`] where there is none.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let (bubble, dew) = (mixture.solve_saturation_raw(273.15, 0.0)?, mixture.solve_saturation_raw(273.15, 1.0)?);
    /// assert!(bubble.0 > dew.0);
    /// assert!(mixture.solve_saturation_raw(500.0, 0.0).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn solve_saturation_raw(&self, kelvin: f64, q: f64) -> Result<(f64, f64), Error> {
        let found = self.solve_saturated_at(kelvin, q);
        let found = found.ok_or(Error::NotConverged { what: "saturation", kelvin })?;
        let side = if q <= 0.0 { &found.liquid } else { &found.vapour };
        Ok((found.p, sum(self.model.len(), side) * self.molar_mass))
    }

    /// The same by the curves where there are any.
    ///
    /// # Errors
    /// As [`Mixture::solve_saturation_raw`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let (curves, full) = (mixture.saturation_raw(273.15, 0.0)?, mixture.solve_saturation_raw(273.15, 0.0)?);
    /// assert!((curves.0 / full.0 - 1.0).abs() < 1e-7);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_raw(&self, kelvin: f64, q: f64) -> Result<(f64, f64), Error> {
        let (p, molar) = self.edge(kelvin, q).ok_or(Error::NotConverged { what: "saturation", kelvin })?;
        Ok((p, molar * self.molar_mass))
    }

    /// IIR: 200 kJ/kg and 1 kJ/(kg K) for the liquid at its bubble point at 0 °C; at 101325 Pa where there is none.
    fn anchor(&mut self) {
        let at_zero = self.model.saturated_at(273.15, &self.z, 0.0);
        let Some(found) = at_zero.or_else(|| self.model.saturated_at_pressure(101_325.0, &self.z, 0.0))
        else {
            return;
        };
        let bulk = self.model.bulk(found.t, sum(self.model.len(), &found.liquid), &self.z, self.point);
        self.shift = (200_000.0 * self.molar_mass - bulk.h, 1000.0 * self.molar_mass - bulk.s);
    }

    /// The components, in the order of every composition.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert_eq!(mixture.components()[0].name(), "R-32");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn components(&self) -> &[&'static Fluid] {
        &self.components
    }
    /// The composition by amount of substance.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.mole_fractions().values()[0] > 0.8);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn mole_fractions(&self) -> &MoleFractions {
        &self.mole
    }
    /// The composition by mass.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!((mixture.mass_fractions().values()[0] - 0.689).abs() < 1e-12);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn mass_fractions(&self) -> &MassFractions {
        &self.mass
    }
    /// Molar mass, kg/mol.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!((mixture.molar_mass_kg_per_mol() - 0.0626).abs() < 1e-4);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn molar_mass_kg_per_mol(&self) -> f64 {
        self.molar_mass
    }

    /// The pairs of components whose parameters are estimated by the linear combining rule, for want of published ones.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.estimated_pairs().is_empty());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn estimated_pairs(&self) -> Vec<(&'static str, &'static str)> {
        let name = |at: usize| self.components.get(at).map_or("", |fluid| fluid.name());
        let pairs = self.model.sources().filter(|(_, _, source)| source.is_none());
        pairs.map(|(i, j, _)| (name(i), name(j))).collect()
    }

    /// Each pair of components with the paper of its parameters; none where they are estimated.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.pair_sources()[0].2.is_some());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn pair_sources(&self) -> Vec<(&'static str, &'static str, Option<&'static str>)> {
        let name = |at: usize| self.components.get(at).map_or("", |fluid| fluid.name());
        self.model.sources().map(|(i, j, source)| (name(i), name(j), source)).collect()
    }

    /// The model and the data behind every number.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.model().contains("R-1234yf"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn model(&self) -> String {
        let names: Vec<&str> = self.components.iter().map(|fluid| fluid.name()).collect();
        let estimated: Vec<String> =
            self.estimated_pairs().iter().map(|(one, two)| format!("{one} with {two}")).collect();
        let note = if estimated.is_empty() {
            String::new()
        } else {
            format!("; ESTIMATED parameters: {}", estimated.join(", "))
        };
        format!("multi-fluid Helmholtz energy model ({}); data 1{note}", names.join(", "))
    }

    /// The bubble point at a temperature.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`] above the critical point, [`Error::NotConverged`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let at = Temperature::from_celsius(0.0);
    /// assert!(mixture.bubble_at(at)?.pressure() > mixture.dew_at(at)?.pressure());
    /// assert!(mixture.bubble_at(Temperature::from_celsius(300.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn bubble_at(&self, temperature: Temperature) -> Result<MixtureState, Error> {
        self.state(Given::TemperatureQuality(temperature, 0.0))
    }
    /// The dew point at a temperature.
    ///
    /// # Errors
    /// As [`Mixture::bubble_at`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Temperature;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let at = Temperature::from_celsius(0.0);
    /// assert!(mixture.dew_at(at)?.density() < mixture.bubble_at(at)?.density());
    /// assert!(mixture.dew_at(Temperature::from_celsius(300.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn dew_at(&self, temperature: Temperature) -> Result<MixtureState, Error> {
        self.state(Given::TemperatureQuality(temperature, 1.0))
    }
    /// The bubble point at a pressure.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtPressure`] above the critical point, [`Error::NotConverged`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Pressure;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let at = Pressure::from_bar(10.0);
    /// assert!(mixture.bubble_at_pressure(at)?.temperature() < mixture.dew_at_pressure(at)?.temperature());
    /// assert!(mixture.bubble_at_pressure(Pressure::from_bar(500.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn bubble_at_pressure(&self, pressure: Pressure) -> Result<MixtureState, Error> {
        self.state(Given::PressureQuality(pressure, 0.0))
    }
    /// The dew point at a pressure.
    ///
    /// # Errors
    /// As [`Mixture::bubble_at_pressure`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Pressure;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let dew = mixture.dew_at_pressure(Pressure::from_bar(10.0))?;
    /// assert!((dew.pressure().as_bar() - 10.0).abs() < 1e-8);
    /// assert!(mixture.dew_at_pressure(Pressure::from_bar(500.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn dew_at_pressure(&self, pressure: Pressure) -> Result<MixtureState, Error> {
        self.state(Given::PressureQuality(pressure, 1.0))
    }
    /// The critical temperature; see [`Mixture::envelope`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.critical_temperature() <= mixture.cricondentherm());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_temperature(&self) -> Temperature {
        Temperature::from_k(self.limits().critical.0)
    }
    /// The critical pressure.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.critical_pressure() <= mixture.cricondenbar());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_pressure(&self) -> Pressure {
        Pressure::from_pa(self.limits().critical.1)
    }
    /// The highest temperature at which two phases exist.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!((340.0..360.0).contains(&mixture.cricondentherm().as_k()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn cricondentherm(&self) -> Temperature {
        Temperature::from_k(self.limits().hottest)
    }
    /// The highest pressure at which two phases exist.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!((45.0..60.0).contains(&mixture.cricondenbar().as_bar()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn cricondenbar(&self) -> Pressure {
        Pressure::from_pa(self.limits().most_pressure)
    }

    /// The lowest temperature that is answered, and the highest: the components' own, by their mole fractions.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// let (lowest, highest) = mixture.temperature_range();
    /// assert!(lowest < mixture.critical_temperature() && highest > mixture.critical_temperature());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn temperature_range(&self) -> (Temperature, Temperature) {
        let (low, high) = self.range();
        (Temperature::from_k(low), Temperature::from_k(high))
    }

    /// The highest pressure that is answered: the least of the components'.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let mixture = blend.mixture().unwrap();
    /// assert!(mixture.highest_pressure() > mixture.cricondenbar());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn highest_pressure(&self) -> Pressure {
        Pressure::from_pa(self.most_pressure())
    }

    fn range(&self) -> (f64, f64) {
        let mean = |of: fn(&crate::data::FluidData) -> f64| -> f64 {
            self.model.components.iter().zip(&self.z).map(|(eos, x)| x * of(&eos.data)).sum()
        };
        (mean(|data| data.min_temperature), 1.5 * mean(|data| data.max_temperature))
    }

    /// Its curves, made anew: for a mixture that keeps none.
    pub(crate) fn new_curves(&self) -> Option<MixtureCurves> {
        MixtureCurves::new(self, &self.limits())
    }

    /// The critical point: K, Pa, mol/m³.
    pub(crate) fn critical(&self) -> (f64, f64, f64) {
        self.limits().critical
    }

    /// One phase at a temperature and a density in kg/m³, the dome ignored.
    pub(crate) fn single_raw(&self, t: f64, rho: f64) -> Single {
        let bulk = self.model.bulk(t, rho / self.molar_mass, &self.z, self.point);
        Single {
            p: bulk.p,
            u: (bulk.u + self.shift.0) / self.molar_mass,
            s: (bulk.s + self.shift.1) / self.molar_mass,
            cv: bulk.cv / self.molar_mass,
            dp_drho: bulk.dp_drho / self.molar_mass,
            dp_dt: bulk.dp_dt,
        }
    }

    /// Enthalpy of a phase of a composition of its own at a temperature (K) and density (kg/m³), J/kg.
    pub(crate) fn enthalpy_of(&self, t: f64, rho: f64, x: &MoleFractions) -> f64 {
        let mut fractions = Vector::default();
        fractions.iter_mut().zip(x.values()).for_each(|(slot, x)| *slot = *x);
        let masses = self.components.iter().map(|fluid| fluid.molar_mass_kg_per_mol());
        let molar: f64 = masses.zip(&fractions).map(|(molar, x)| molar * x).sum();
        let bulk = self.model.bulk(t, rho / molar, &fractions, self.model.reduced_point(&fractions));
        bulk.h / molar + self.shift.0 / self.molar_mass
    }

    /// What is added to enthalpy, J/kg, and entropy, J/(kg K).
    pub(crate) fn shift_by_mass(&self) -> (f64, f64) {
        (self.shift.0 / self.molar_mass, self.shift.1 / self.molar_mass)
    }

    fn limits(&self) -> Limits {
        *self.limits.get_or_init(|| {
            let (critical, hottest, most_pressure) = ends(&self.model, &self.z, self.point);
            Limits { critical, hottest, most_pressure }
        })
    }

    fn saturated_at_pressure(&self, p: f64, q: f64) -> Option<Phases> {
        let by_curve = self.curves().and_then(|curves| curves.at_pressure(self.model.len(), &self.z, p, q));
        by_curve.or_else(|| self.model.saturated_at_pressure(p, &self.z, q))
    }

    /// A single phase at a molar density.
    fn single(&self, t: f64, rho: f64) -> Result<MixtureState, Error> {
        let bulk = self.model.bulk(t, rho, &self.z, self.point);
        // Mechanically and thermally stable: in the loops between the phases one of them fails.
        let stable = bulk.dp_drho > 0.0 && bulk.cv > 0.0 && bulk.cp > 0.0;
        if !(stable && bulk.p.is_finite() && bulk.h.is_finite() && bulk.p > 0.0) {
            return Err(Error::Unstable { kelvin: t, kg_per_m3: rho * self.molar_mass });
        }
        let phase = self.phase_of(t, rho, bulk.p);
        Ok(MixtureState { raw: self.raw_single(t, rho, &bulk, phase), x: None, y: None })
    }

    fn phase_of(&self, t: f64, rho: f64, p: f64) -> Phase {
        let (tc, pc, rho_c) = self.limits().critical;
        if t >= tc {
            if p >= pc { Phase::Supercritical } else { Phase::Vapour }
        } else if rho > rho_c {
            Phase::Liquid
        } else {
            Phase::Vapour
        }
    }

    fn raw_single(&self, t: f64, rho: f64, bulk: &Bulk, phase: Phase) -> RawState {
        let molar = self.molar_mass;
        RawState {
            t,
            p: bulk.p,
            rho: rho * molar,
            h: (bulk.h + self.shift.0) / molar,
            s: (bulk.s + self.shift.1) / molar,
            u: (bulk.u + self.shift.0) / molar,
            cp: Some(bulk.cp / molar),
            cv: Some(bulk.cv / molar),
            w: Some((bulk.w2 / molar).max(0.0).sqrt()),
            phase,
            q: None,
            rho_l: None,
            rho_v: None,
        }
    }

    /// Both phases as one state; at the bubble and dew points the properties of the one phase that is there.
    fn both(&self, found: &Phases) -> MixtureState {
        let n = self.model.len();
        let side = |densities: &Vector| {
            let x = fractions(n, densities);
            let rho = sum(n, densities);
            let bulk = self.model.bulk(found.t, rho, &x, self.model.reduced_point(&x));
            let molar: f64 = (0..n).map(|i| x[i] * self.components[i].molar_mass_kg_per_mol()).sum();
            (x, rho, bulk, molar)
        };
        let (l, v) = (side(&found.liquid), side(&found.vapour));
        let q = if found.q <= 1e-14 {
            0.0
        } else if found.q >= 1.0 - 1e-14 {
            1.0
        } else {
            found.q
        };
        let composition = |x: &Vector| MoleFractions::of_parts(&x[..n]).ok();
        let (rho_l, rho_v) = (l.1 * l.3, v.1 * v.3);
        let one =
            |side: &(Vector, f64, Bulk, f64), phase: Phase| self.raw_single(found.t, side.1, &side.2, phase);
        let mut raw = if q <= 0.0 {
            one(&l, Phase::Liquid)
        } else if q >= 1.0 {
            one(&v, Phase::Vapour)
        } else {
            let mix = |l: f64, v: f64| l + q * (v - l);
            let rho = 1.0 / mix(1.0 / l.1, 1.0 / v.1);
            RawState {
                t: found.t,
                p: found.p,
                rho: rho * self.molar_mass,
                h: (mix(l.2.h, v.2.h) + self.shift.0) / self.molar_mass,
                s: (mix(l.2.s, v.2.s) + self.shift.1) / self.molar_mass,
                u: (mix(l.2.u, v.2.u) + self.shift.0) / self.molar_mass,
                cp: None,
                cv: None,
                w: None,
                phase: Phase::TwoPhase,
                q: None,
                rho_l: None,
                rho_v: None,
            }
        };
        raw.p = found.p;
        (raw.q, raw.rho_l, raw.rho_v) = (Some(q), Some(rho_l), Some(rho_v));
        MixtureState { raw, x: composition(&l.0), y: composition(&v.0) }
    }
}
