//! Fluids by name, and what can be asked of them.

use std::sync::OnceLock;

use stemwise_units::{Density, Mass, Pressure, SpecificEnergy, SpecificHeat, Temperature};

use crate::Error;
use crate::data::{FILES, FluidData, names};
use crate::eos::Eos;
use crate::flash::Target;
use crate::names::{Index, key, unknown};
use crate::other_pairs::{Surface, indirect};
use crate::state::{RawState, State};

/// Two given values that fix a state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Given {
    /// Temperature and absolute pressure.
    TemperaturePressure(Temperature, Pressure),
    /// Temperature and density.
    TemperatureDensity(Temperature, Density),
    /// Pressure and enthalpy.
    PressureEnthalpy(Pressure, SpecificEnergy),
    /// Pressure and entropy.
    PressureEntropy(Pressure, SpecificHeat),
    /// Pressure and internal energy.
    PressureEnergy(Pressure, SpecificEnergy),
    /// Density and internal energy.
    DensityEnergy(Density, SpecificEnergy),
    /// Temperature and vapour fraction (0: bubble point, 1: dew point).
    TemperatureQuality(Temperature, f64),
    /// Pressure and vapour fraction.
    PressureQuality(Pressure, f64),
    /// Pressure and density.
    PressureDensity(Pressure, Density),
    /// Density and enthalpy.
    DensityEnthalpy(Density, SpecificEnergy),
    /// Density and entropy.
    DensityEntropy(Density, SpecificHeat),
    /// Enthalpy and entropy.
    EnthalpyEntropy(SpecificEnergy, SpecificHeat),
    /// Entropy and internal energy.
    EntropyEnergy(SpecificHeat, SpecificEnergy),
    /// Temperature and enthalpy; of two states that have both, the thinner.
    TemperatureEnthalpy(Temperature, SpecificEnergy),
    /// Temperature and entropy.
    TemperatureEntropy(Temperature, SpecificHeat),
    /// Temperature and internal energy; of two states that have both, the thinner.
    TemperatureEnergy(Temperature, SpecificEnergy),
}

/// Both phases in equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    /// Temperature.
    pub temperature: Temperature,
    /// Absolute pressure.
    pub pressure: Pressure,
    /// The saturated liquid.
    pub liquid: State,
    /// The saturated vapour.
    pub vapour: State,
}

/// A pure fluid with its equation of state.
///
/// ```
/// use stemwise_thermo::Fluid;
/// use stemwise_units::Temperature;
/// let fluid = Fluid::named("r134a")?;
/// let saturation = fluid.saturation_at(Temperature::from_celsius(0.0))?;
/// assert!((saturation.pressure.as_kpa() - 292.80).abs() < 0.01); // ASHRAE Fundamentals, same formulation
/// assert!(Fluid::named("R-134b").is_err());
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
#[derive(Debug)]
pub struct Fluid {
    eos: Eos,
}

struct Slot {
    name: String,
    keys: Vec<String>,
    file: &'static str,
    fluid: OnceLock<Option<Fluid>>,
}

fn slots() -> &'static [Slot] {
    static SLOTS: OnceLock<Vec<Slot>> = OnceLock::new();
    SLOTS.get_or_init(|| {
        FILES
            .iter()
            .map(|&file| {
                let (name, aliases) = names(file);
                let keys = core::iter::once(&name).chain(&aliases).map(|name| key(name)).collect();
                Slot { name, keys, file, fluid: OnceLock::new() }
            })
            .collect()
    })
}

/// The names of all fluids, in a fixed order.
///
/// ```
/// let names = stemwise_thermo::fluids();
/// assert!(names.contains(&"R-134a") && names.contains(&"R-744"));
/// ```
pub fn fluids() -> Vec<&'static str> {
    slots().iter().map(|slot| slot.name.as_str()).collect()
}

impl Fluid {
    /// Finds a fluid by its name, with or without the hyphen, in any case ("R-134a", "r134a", "propane").
    ///
    /// # Errors
    /// [`Error::UnknownFluid`] with the nearest name.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// assert_eq!(Fluid::named("propane")?.name(), "R-290");
    /// assert!(Fluid::named("R-9999").is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn named(name: &str) -> Result<&'static Self, Error> {
        Self::find(&key(name)).ok_or_else(|| unknown(name, slots().iter().map(|slot| slot.name.as_str())))
    }

    pub(crate) fn find(typed: &str) -> Option<&'static Self> {
        static INDEX: OnceLock<Index> = OnceLock::new();
        let keys = |slot: &'static Slot| slot.keys.iter().map(String::as_str);
        let at = INDEX.get_or_init(|| Index::new(slots().iter().map(keys))).find(typed)?;
        let slot = slots().get(at)?;
        slot.fluid.get_or_init(|| Self::load(slot.file)).as_ref()
    }

    fn load(file: &str) -> Option<Self> {
        let data: FluidData = toml::from_str(file).ok()?;
        let mut eos = Eos::new(data);
        // IIR: 200 kJ/kg and 1 kJ/(kg K) for the saturated liquid at 0 °C; at 101325 Pa for fluids that have none there.
        let sat = eos.solve_saturation(273.15).or_else(|_| eos.solve_saturation_at_pressure(101_325.0)).ok();
        let sat = sat.or_else(|| eos.solve_saturation(eos.data.min_temperature).ok())?;
        eos.anchor(sat.t, sat.liquid, 200_000.0, 1000.0);
        Some(Self { eos })
    }

    /// The equation itself, for mixtures.
    pub(crate) const fn eos(&self) -> &Eos {
        &self.eos
    }

    /// The name, normalised ("R-134a").
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// assert_eq!(Fluid::named("r134A")?.name(), "R-134a");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn name(&self) -> &str {
        &self.eos.data.name
    }
    /// Other names.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// assert!(!Fluid::named("R-290")?.aliases().is_empty());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn aliases(&self) -> &[String] {
        &self.eos.data.aliases
    }
    /// The safety class of ANSI/ASHRAE Standard 34.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert_eq!(fluid.safety_class(), "A1");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn safety_class(&self) -> &str {
        &self.eos.data.safety_class
    }
    /// Where the safety class comes from.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.safety_source().contains("34"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn safety_source(&self) -> &str {
        &self.eos.data.safety_source
    }
    /// The equation's paper.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.source().contains("Tillner-Roth"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn source(&self) -> &str {
        &self.eos.data.source
    }
    /// What is known of the citation itself.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.source_note().len() < 400);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn source_note(&self) -> &str {
        &self.eos.data.source_note
    }
    /// The equation and the data behind every number.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.model().contains("Helmholtz"));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn model(&self) -> String {
        format!("Helmholtz energy equation, {} ({}); data 1", self.eos.data.source_key, self.eos.data.name)
    }
    /// Molar mass, kg/mol.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!((fluid.molar_mass_kg_per_mol() - 0.102032).abs() < 1e-6);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn molar_mass_kg_per_mol(&self) -> f64 {
        self.eos.data.molar_mass
    }
    /// The mass of one mole.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!((fluid.mole().as_kg() - fluid.molar_mass_kg_per_mol()).abs() < 1e-12);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn mole(&self) -> Mass {
        Mass::from_kg(self.eos.data.molar_mass)
    }
    /// Critical temperature.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!((fluid.critical_temperature().as_k() - 374.21).abs() < 0.01);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_temperature(&self) -> Temperature {
        Temperature::from_k(self.eos.top.temperature)
    }
    /// Critical pressure.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!((fluid.critical_pressure().as_bar() - 40.59).abs() < 0.01);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn critical_pressure(&self) -> Pressure {
        Pressure::from_pa(self.eos.top.pressure)
    }
    /// The lowest temperature of the saturation curve.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!((fluid.lowest_temperature().as_k() - 169.85).abs() < 0.01);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn lowest_temperature(&self) -> Temperature {
        Temperature::from_k(self.eos.data.min_temperature)
    }
    /// The highest temperature that is answered.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.highest_temperature() > fluid.critical_temperature());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn highest_temperature(&self) -> Temperature {
        Temperature::from_k(1.5 * self.eos.data.max_temperature)
    }

    /// The highest pressure that is answered.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.highest_pressure() > fluid.critical_pressure());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn highest_pressure(&self) -> Pressure {
        Pressure::from_pa(2.0 * self.eos.data.max_pressure)
    }

    /// Saturation at a temperature.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`] outside the curve.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// use stemwise_units::Temperature;
    /// let fluid = Fluid::named("R-134a")?;
    /// let at_zero = fluid.saturation_at(Temperature::from_celsius(0.0))?;
    /// assert!((at_zero.pressure.as_kpa() - 292.8).abs() < 0.1);
    /// assert!(fluid.saturation_at(Temperature::from_celsius(120.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_at(&self, temperature: Temperature) -> Result<Saturation, Error> {
        let sat = self.eos.saturation(temperature.as_k())?;
        self.saturation(&sat)
    }

    /// Saturation at a pressure.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtPressure`] outside the curve.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// use stemwise_units::Pressure;
    /// let fluid = Fluid::named("R-134a")?;
    /// let boils = fluid.saturation_at_pressure(Pressure::from_kpa(101.325))?;
    /// assert!((boils.temperature.as_celsius() + 26.07).abs() < 0.01);
    /// assert!(fluid.saturation_at_pressure(Pressure::from_bar(60.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_at_pressure(&self, pressure: Pressure) -> Result<Saturation, Error> {
        let sat = self.eos.saturation_at_pressure(pressure.as_pa())?;
        self.saturation(&sat)
    }

    fn saturation(&self, sat: &crate::saturation::SatPoint) -> Result<Saturation, Error> {
        Ok(Saturation {
            temperature: Temperature::from_k(sat.t),
            pressure: Pressure::from_pa(sat.p),
            liquid: State::new(self.eos.at_quality(sat, 0.0)?),
            vapour: State::new(self.eos.at_quality(sat, 1.0)?),
        })
    }

    /// The state that two given values fix.
    ///
    /// # Errors
    /// [`Error`] where a value is out of range or nothing stable reproduces them.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given, Phase};
    /// use stemwise_units::{Pressure, Temperature};
    /// let fluid = Fluid::named("R-134a")?;
    /// let at = |celsius: f64| Given::TemperaturePressure(Temperature::from_celsius(celsius), Pressure::from_bar(1.0));
    /// assert_eq!(fluid.state(at(25.0))?.phase(), Phase::Vapour);
    /// assert!(fluid.state(at(-200.0)).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn state(&self, given: Given) -> Result<State, Error> {
        self.raw_state(given).map(State::new)
    }

    /// The same in plain SI numbers.
    ///
    /// # Errors
    /// As [`Fluid::state`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let fluid = Fluid::named("R-134a")?;
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let (raw, state) = (fluid.raw_state(given)?, fluid.state(given)?);
    /// assert_eq!(raw.rho, state.density().as_kg_per_m3());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn raw_state(&self, given: Given) -> Result<RawState, Error> {
        let eos = &self.eos;
        match given {
            Given::TemperaturePressure(t, p) => eos.at_t_p(t.as_k(), p.as_pa()),
            Given::TemperatureDensity(t, rho) => eos.at_t_rho(t.as_k(), rho.as_kg_per_m3()),
            Given::PressureEnthalpy(p, h) => eos.at_p_and(p.as_pa(), Target::Enthalpy, h.as_j_per_kg()),
            Given::PressureEntropy(p, s) => eos.at_p_and(p.as_pa(), Target::Entropy, s.as_j_per_kg_k()),
            Given::PressureEnergy(p, u) => eos.at_p_and(p.as_pa(), Target::Energy, u.as_j_per_kg()),
            Given::DensityEnergy(rho, u) => eos.at_rho_u(rho.as_kg_per_m3(), u.as_j_per_kg()),
            Given::TemperatureQuality(t, q) => eos.at_quality(&eos.saturation(t.as_k())?, q),
            Given::PressureQuality(p, q) => eos.at_quality(&eos.saturation_at_pressure(p.as_pa())?, q),
            other => indirect(self, other),
        }
    }

    /// Pressure of one phase at (T, rho), the dome ignored; Pa. For solvers that know their phase.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let rho = fluid.density_kg_per_m3(298.15, 1e5)?;
    /// assert!((fluid.pressure_pa(298.15, rho) / 1e5 - 1.0).abs() < 1e-9);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn pressure_pa(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        self.eos.pressure(kelvin, kg_per_m3 / self.eos.data.molar_mass).0
    }

    /// Density at (T, p) on the stable branch, kg/m³.
    ///
    /// # Errors
    /// As [`Fluid::state`].
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (thin, dense) = (fluid.density_kg_per_m3(298.15, 1e5)?, fluid.density_kg_per_m3(298.15, 1e6)?);
    /// assert!(thin < 5.0 && dense > 1000.0);
    /// assert!(fluid.density_kg_per_m3(298.15, -1.0).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn density_kg_per_m3(&self, kelvin: f64, pascal: f64) -> Result<f64, Error> {
        self.eos.density(kelvin, pascal).map(|molar| molar * self.eos.data.molar_mass)
    }

    /// Density of the vapour at (T, p) below saturation, kg/m³; `saturated` is the saturated vapour's. For solvers that know their phase.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (pressure, liquid, vapour) = fluid.saturation_raw(273.15)?;
    /// let found = fluid.vapour_density_raw(273.15, 0.5 * pressure, vapour).unwrap();
    /// assert!((fluid.pressure_pa(273.15, found) / (0.5 * pressure) - 1.0).abs() < 1e-9 && found < liquid);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn vapour_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        let molar = self.eos.data.molar_mass;
        self.eos.bracketed_density(kelvin, pascal, 0.0, saturated / molar).map(|rho| rho * molar)
    }

    /// Density of the liquid at (T, p) above saturation, kg/m³; `saturated` is the saturated liquid's.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (pressure, liquid, vapour) = fluid.saturation_raw(273.15)?;
    /// let found = fluid.liquid_density_raw(273.15, 2.0 * pressure, liquid).unwrap();
    /// assert!(found > liquid && liquid > vapour);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn liquid_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        let data = &self.eos.data;
        let (start, most) = (saturated / data.molar_mass, self.eos.densest);
        self.eos.density_from(kelvin, pascal, start, most, start).map(|rho| rho * data.molar_mass)
    }

    /// Saturation at a temperature: pressure in Pa, densities of liquid and vapour in kg/m³.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`] outside the curve.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (pressure, liquid, vapour) = fluid.saturation_raw(273.15)?;
    /// assert!((pressure - 292_800.0).abs() < 100.0 && liquid > vapour);
    /// assert!(fluid.saturation_raw(400.0).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn saturation_raw(&self, kelvin: f64) -> Result<(f64, f64, f64), Error> {
        self.eos.saturation(kelvin).map(|sat| self.raw_saturation(&sat))
    }

    /// The same by the equation alone, without the saturation curves; slower.
    ///
    /// # Errors
    /// As [`Fluid::saturation_raw`].
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (full, curves) = (fluid.solve_saturation_raw(273.15)?, fluid.saturation_raw(273.15)?);
    /// assert!((full.0 / curves.0 - 1.0).abs() < 1e-8);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn solve_saturation_raw(&self, kelvin: f64) -> Result<(f64, f64, f64), Error> {
        self.eos.solve_saturation(kelvin).map(|sat| self.raw_saturation(&sat))
    }

    fn raw_saturation(&self, sat: &crate::saturation::SatPoint) -> (f64, f64, f64) {
        let molar = self.eos.data.molar_mass;
        (sat.p, sat.liquid * molar, sat.vapour * molar)
    }

    /// Highest temperature of the saturation curves (K), their size (bytes), and how many full solves they took.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// let (highest, bytes, solved) = fluid.curve_facts().unwrap();
    /// assert!(highest < fluid.critical_temperature().as_k() && bytes > 0 && solved > 0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn curve_facts(&self) -> Option<(f64, usize, usize)> {
        self.eos.curves().map(|curves| (curves.highest(), curves.bytes(), curves.solves()))
    }

    /// The size of the tables that flashes start from, bytes.
    ///
    /// ```
    /// use stemwise_thermo::Fluid;
    /// let fluid = Fluid::named("R-134a")?;
    /// assert!(fluid.start_bytes() < 1 << 20);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn start_bytes(&self) -> usize {
        self.eos.starts().bytes()
    }
}

impl Surface for Fluid {
    type State = RawState;
    fn direct(&self, given: Given) -> Result<RawState, Error> {
        self.raw_state(given)
    }
    fn numbers(state: &RawState) -> &RawState {
        state
    }
    fn temperatures(&self) -> (f64, f64) {
        (self.lowest_temperature().as_k(), self.highest_temperature().as_k())
    }
    fn highest_pressure(&self) -> f64 {
        Self::highest_pressure(self).as_pa()
    }
    fn middle_density(&self) -> f64 {
        self.eos.top.density * self.eos.data.molar_mass
    }
}
