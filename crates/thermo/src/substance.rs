//! What a name or a composition stands for: a pure fluid, a blend of the catalogue, or a mixture of one's own.

use stemwise_units::{Pressure, Temperature};

use crate::blend::{Blend, blends};
use crate::names::{key, unknown};
use crate::state::RawState;
use crate::{Error, Fluid, Given, MassFractions, Mixture, MixtureState, MoleFractions, fluids};

/// A pure fluid, a blend of the catalogue, or a mixture of one's own; all answer alike.
#[derive(Debug)]
pub enum Substance {
    /// One component.
    Pure(&'static Fluid),
    /// A blend of the catalogue.
    Blend(&'static Blend, &'static Mixture),
    /// A mixture of one's own.
    Mixture(Box<Mixture>),
}

/// Bubble and dew point at one temperature or at one pressure. A pure fluid's are the same point.
#[derive(Clone, Debug, PartialEq)]
pub struct BubbleDew {
    /// The liquid about to boil; its `vapour()` is the first bubble.
    pub bubble: MixtureState,
    /// The vapour about to condense; its `liquid()` is the first drop.
    pub dew: MixtureState,
}

impl Substance {
    /// By a name ("R-134a", "r454b", "410A", "propane"), or by the components with their parts by mass: "R-32/R-125 50/50",
    /// "R-32/R-1234yf (68.9/31.1)".
    ///
    /// # Errors
    /// [`Error::UnknownFluid`] with the nearest name, [`Error::Composition`], [`Error::NotAComposition`], [`Error::TwiceInMixture`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// assert_eq!(Substance::named("r454b")?.name(), "R-454B");
    /// assert_eq!(Substance::named("R-32/R-125 50/50")?.components().len(), 2);
    /// assert!(Substance::named("R-455").unwrap_err().to_string().contains("did you mean R-455A?"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn named(name: &str) -> Result<Self, Error> {
        let wanted = key(name);
        if let Some(fluid) = Fluid::find(&wanted) {
            return Ok(Self::Pure(fluid));
        }
        if let Some(blend) = Blend::find(&wanted) {
            let mixture = blend.mixture().ok_or_else(|| unknown(name, names()))?;
            return Ok(Self::Blend(blend, mixture));
        }
        if name.contains('/') { Self::typed(name) } else { Err(unknown(name, names())) }
    }

    /// "R-32/R-125 50/50": components, then as many parts by mass.
    fn typed(text: &str) -> Result<Self, Error> {
        let not = || Error::NotAComposition { typed: text.chars().take(120).collect() };
        let (components, parts) = text.trim().rsplit_once([' ', '(']).ok_or_else(not)?;
        let parts = parts.trim().trim_end_matches([')', '%', ' ']);
        let number = |part: &str| part.trim().replace(',', ".").parse::<f64>().map_err(|_| not());
        let parts = parts.split('/').map(number).collect::<Result<Vec<f64>, _>>()?;
        let component = |name: &str| Self::component(name.trim_matches([' ', '(']));
        let components = components.split('/').map(component).collect::<Result<Vec<_>, _>>()?;
        if parts.len() != components.len() {
            return Err(not());
        }
        Self::by_mass(components, &MassFractions::of_parts(&parts)?)
    }

    /// A pure fluid by its name.
    ///
    /// # Errors
    /// [`Error::BlendAsComponent`] for a blend, [`Error::UnknownFluid`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// assert_eq!(Substance::component("ammonia")?.name(), "R-717");
    /// assert!(Substance::component("R-410A").is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn component(name: &str) -> Result<&'static Fluid, Error> {
        let wanted = key(name);
        let blend = || {
            Blend::find(&wanted).map_or_else(
                || unknown(name, names()),
                |blend| Error::BlendAsComponent { name: blend.name().to_owned() },
            )
        };
        Fluid::find(&wanted).ok_or_else(blend)
    }

    /// From mole fractions; components without a part are left out.
    ///
    /// # Errors
    /// As [`Mixture::new`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, MoleFractions, Substance};
    /// let parts = vec![Fluid::named("R-32")?, Fluid::named("R-125")?];
    /// let pure = Substance::by_mole(parts.clone(), &MoleFractions::of_parts(&[1.0, 0.0])?)?;
    /// assert_eq!(pure.name(), "R-32");
    /// assert!(Substance::by_mole(parts, &MoleFractions::of_parts(&[1.0])?).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn by_mole(components: Vec<&'static Fluid>, mole: &MoleFractions) -> Result<Self, Error> {
        if components.len() != mole.values().len() {
            return Err(Error::Composition { parts: mole.values().to_vec() });
        }
        let there = components.into_iter().zip(mole.values()).filter(|(_, x)| **x > 0.0);
        let (components, parts): (Vec<&'static Fluid>, Vec<f64>) =
            there.map(|(fluid, x)| (fluid, *x)).unzip();
        match components.as_slice() {
            [only] => Ok(Self::Pure(only)),
            _ => Ok(Self::Mixture(Box::new(Mixture::new(components, MoleFractions::of_parts(&parts)?)?))),
        }
    }

    /// From mass fractions; components without a part are left out.
    ///
    /// # Errors
    /// As [`Mixture::new`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, MassFractions, Substance};
    /// let parts = vec![Fluid::named("R-32")?, Fluid::named("R-125")?];
    /// let half = Substance::by_mass(parts.clone(), &MassFractions::of_parts(&[50.0, 50.0])?)?;
    /// assert_eq!(half.components().len(), 2);
    /// assert!(Substance::by_mass(parts, &MassFractions::of_parts(&[1.0])?).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn by_mass(components: Vec<&'static Fluid>, mass: &MassFractions) -> Result<Self, Error> {
        let molar: Vec<f64> = components.iter().map(|fluid| fluid.molar_mass_kg_per_mol()).collect();
        Self::by_mole(components, &mass.by_mole(&molar)?)
    }

    /// The mixture, where it is one.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!(blend.mixture().is_some() && Substance::named("R-32")?.mixture().is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn mixture(&self) -> Option<&Mixture> {
        match self {
            Self::Pure(_) => None,
            Self::Blend(_, mixture) => Some(mixture),
            Self::Mixture(mixture) => Some(mixture),
        }
    }

    /// The components, in the order of every composition.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert_eq!(blend.components().len(), 2);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn components(&self) -> Vec<&'static Fluid> {
        match self {
            Self::Pure(fluid) => vec![fluid],
            _ => self.mixture().map_or_else(Vec::new, |mixture| mixture.components().to_vec()),
        }
    }

    /// Its designation, or the components with their parts by mass.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert_eq!(blend.name(), "R-454B");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn name(&self) -> String {
        match self {
            Self::Pure(fluid) => fluid.name().to_owned(),
            Self::Blend(blend, _) => blend.name().to_owned(),
            Self::Mixture(mixture) => {
                let names: Vec<&str> = mixture.components().iter().map(|fluid| fluid.name()).collect();
                let part = |w: &f64| format!("{}", libm::round(1e4 * w) / 100.0);
                let parts: Vec<String> = mixture.mass_fractions().values().iter().map(part).collect();
                format!("{} {}", names.join("/"), parts.join("/"))
            }
        }
    }

    /// The safety class of ANSI/ASHRAE Standard 34; a composition of one's own has none.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert_eq!(blend.safety_class(), Some("A2L"));
    /// assert_eq!(Substance::named("R-32/R-125 60/40")?.safety_class(), None);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn safety_class(&self) -> Option<&str> {
        match self {
            Self::Pure(fluid) => Some(fluid.safety_class()).filter(|class| !class.is_empty()),
            Self::Blend(blend, _) => Some(blend.safety_class()),
            Self::Mixture(_) => None,
        }
    }

    /// The model and the data behind every number; says where parameters are estimated.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!(blend.model().contains("R-32"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn model(&self) -> String {
        match self {
            Self::Pure(fluid) => fluid.model(),
            _ => self.mixture().map_or_else(String::new, Mixture::model),
        }
    }

    /// Molar mass, kg/mol.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!((blend.molar_mass_kg_per_mol() - 0.0626).abs() < 1e-4);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn molar_mass_kg_per_mol(&self) -> f64 {
        match self {
            Self::Pure(fluid) => fluid.molar_mass_kg_per_mol(),
            _ => self.mixture().map_or(f64::NAN, Mixture::molar_mass_kg_per_mol),
        }
    }

    /// The critical temperature.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!((340.0..360.0).contains(&blend.critical_temperature().as_k()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_temperature(&self) -> Temperature {
        match (self, self.mixture()) {
            (Self::Pure(fluid), _) => fluid.critical_temperature(),
            (_, Some(mixture)) => mixture.critical_temperature(),
            (_, None) => Temperature::from_k(f64::NAN),
        }
    }

    /// The critical pressure.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!((45.0..60.0).contains(&blend.critical_pressure().as_bar()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_pressure(&self) -> Pressure {
        match (self, self.mixture()) {
            (Self::Pure(fluid), _) => fluid.critical_pressure(),
            (_, Some(mixture)) => mixture.critical_pressure(),
            (_, None) => Pressure::from_pa(f64::NAN),
        }
    }

    /// The lowest temperature that is answered.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!(blend.lowest_temperature() < blend.critical_temperature());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn lowest_temperature(&self) -> Temperature {
        self.temperatures().0
    }

    /// The lowest and the highest temperature that is answered.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert_eq!(blend.temperatures().0, blend.lowest_temperature());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn temperatures(&self) -> (Temperature, Temperature) {
        match (self, self.mixture()) {
            (Self::Pure(fluid), _) => (fluid.lowest_temperature(), fluid.highest_temperature()),
            (_, Some(mixture)) => mixture.temperature_range(),
            (_, None) => (Temperature::from_k(f64::NAN), Temperature::from_k(f64::NAN)),
        }
    }

    /// The highest pressure that is answered.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!(blend.highest_pressure() > blend.critical_pressure());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn highest_pressure(&self) -> Pressure {
        match (self, self.mixture()) {
            (Self::Pure(fluid), _) => fluid.highest_pressure(),
            (_, Some(mixture)) => mixture.highest_pressure(),
            (_, None) => Pressure::from_pa(f64::NAN),
        }
    }

    /// The state that two given values fix.
    ///
    /// # Errors
    /// [`Error`] where a value is out of range or nothing stable reproduces them.
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// assert_eq!(Substance::named("R-410A")?.state(given)?.phase().word(), "vapour");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn state(&self, given: Given) -> Result<MixtureState, Error> {
        match self {
            Self::Pure(fluid) => fluid.raw_state(given).map(MixtureState::pure),
            Self::Blend(_, mixture) => mixture.state(given),
            Self::Mixture(mixture) => mixture.state(given),
        }
    }

    /// The same in plain SI numbers.
    ///
    /// # Errors
    /// As [`Substance::state`].
    ///
    /// ```
    /// use stemwise_thermo::{Given, Substance};
    /// use stemwise_units::{Pressure, Temperature};
    /// let blend = Substance::named("R-454B")?;
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(40.0), Pressure::from_bar(10.0));
    /// assert!(blend.raw_state(given)?.rho > 20.0);
    /// let outside = Given::TemperaturePressure(Temperature::from_k(3.0), Pressure::from_bar(10.0));
    /// assert!(blend.raw_state(outside).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn raw_state(&self, given: Given) -> Result<RawState, Error> {
        match self {
            Self::Pure(fluid) => fluid.raw_state(given),
            _ => self.state(given).map(|state| *state.raw()),
        }
    }

    /// Bubble and dew point at a temperature.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`], [`Error::NotConverged`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Temperature;
    /// let at = Substance::named("R-407C")?.saturation_at(Temperature::from_celsius(0.0))?;
    /// assert!(at.bubble.pressure() > at.dew.pressure());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_at(&self, temperature: Temperature) -> Result<BubbleDew, Error> {
        let at = |q| self.state(Given::TemperatureQuality(temperature, q));
        Ok(BubbleDew { bubble: at(0.0)?, dew: at(1.0)? })
    }

    /// Bubble and dew point at a pressure.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtPressure`], [`Error::NotConverged`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::Pressure;
    /// let blend = Substance::named("R-454B")?;
    /// let found = blend.saturation_at_pressure(Pressure::from_bar(10.0))?;
    /// assert!(found.dew.temperature() > found.bubble.temperature());
    /// assert!(blend.saturation_at_pressure(Pressure::from_bar(500.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_at_pressure(&self, pressure: Pressure) -> Result<BubbleDew, Error> {
        let at = |q| self.state(Given::PressureQuality(pressure, q));
        Ok(BubbleDew { bubble: at(0.0)?, dew: at(1.0)? })
    }
}

/// Bubble and dew point at a temperature as solvers need them, SI; a pure fluid's pressures are the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RawSaturation {
    /// Pressure of the bubble point, Pa.
    pub bubble: f64,
    /// Pressure of the dew point, Pa.
    pub dew: f64,
    /// Density of the liquid at the bubble point, kg/m³.
    pub liquid: f64,
    /// Density of the vapour at the dew point, kg/m³.
    pub vapour: f64,
}

/// For solvers that know their phase. A mixture keeps its composition in each.
impl Substance {
    /// Bubble and dew point at a temperature, in K.
    ///
    /// # Errors
    /// As [`Substance::saturation_at`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let found = blend.saturation_raw(273.15)?;
    /// assert!(found.bubble > found.dew && found.liquid > found.vapour);
    /// assert!(blend.saturation_raw(500.0).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_raw(&self, kelvin: f64) -> Result<RawSaturation, Error> {
        if let Self::Pure(fluid) = self {
            let (p, liquid, vapour) = fluid.saturation_raw(kelvin)?;
            return Ok(RawSaturation { bubble: p, dew: p, liquid, vapour });
        }
        let BubbleDew { bubble, dew } = self.saturation_at(Temperature::from_k(kelvin))?;
        let (bubble, dew) = (bubble.raw(), dew.raw());
        Ok(RawSaturation { bubble: bubble.p, dew: dew.p, liquid: bubble.rho, vapour: dew.rho })
    }

    /// Pressure of one phase at a temperature (K) and density (kg/m³), the dome ignored; Pa.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let rho = blend.density_kg_per_m3(313.15, 1e6)?;
    /// assert!((blend.pressure_pa(313.15, rho) / 1e6 - 1.0).abs() < 1e-8);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn pressure_pa(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        match (self, self.mixture()) {
            (Self::Pure(fluid), _) => fluid.pressure_pa(kelvin, kg_per_m3),
            (_, Some(mixture)) => mixture.pressure_pa(kelvin, kg_per_m3),
            (_, None) => f64::NAN,
        }
    }

    /// Density at a temperature (K) and pressure (Pa) on the stable branch, kg/m³.
    ///
    /// # Errors
    /// As [`Substance::state`].
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// assert!(blend.density_kg_per_m3(313.15, 1e6)? < blend.density_kg_per_m3(273.15, 1e6)?);
    /// assert!(blend.density_kg_per_m3(313.15, -1.0).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn density_kg_per_m3(&self, kelvin: f64, pascal: f64) -> Result<f64, Error> {
        match self {
            Self::Pure(fluid) => fluid.density_kg_per_m3(kelvin, pascal),
            _ => {
                let given =
                    Given::TemperaturePressure(Temperature::from_k(kelvin), Pressure::from_pa(pascal));
                self.raw_state(given).map(|raw| raw.rho)
            }
        }
    }

    /// Density of the vapour below the dew point, kg/m³; `saturated` is the density there.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let at = blend.saturation_raw(273.15)?;
    /// assert!(blend.vapour_density_raw(273.15, 0.5 * at.dew, at.vapour).unwrap() < at.vapour);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn vapour_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        match self {
            Self::Pure(fluid) => fluid.vapour_density_raw(kelvin, pascal, saturated),
            _ => self.mixture()?.vapour_density_raw(kelvin, pascal, saturated),
        }
    }

    /// Density of the liquid above the bubble point, kg/m³; `saturated` is the density there.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let blend = Substance::named("R-454B")?;
    /// let at = blend.saturation_raw(273.15)?;
    /// assert!(blend.liquid_density_raw(273.15, 2.0 * at.bubble, at.liquid).unwrap() > at.liquid);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn liquid_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        match self {
            Self::Pure(fluid) => fluid.liquid_density_raw(kelvin, pascal, saturated),
            _ => self.mixture()?.liquid_density_raw(kelvin, pascal, saturated),
        }
    }
}

/// Every name that stands for something.
fn names() -> impl Iterator<Item = &'static str> {
    let aliases = |names: &'static [String]| names.iter().map(String::as_str);
    let pure = fluids().into_iter().filter_map(|name| Fluid::named(name).ok());
    let pure = pure.flat_map(move |fluid| core::iter::once(fluid.name()).chain(aliases(fluid.aliases())));
    pure.chain(
        blends().iter().flat_map(move |blend| core::iter::once(blend.name()).chain(aliases(blend.aliases()))),
    )
}
