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
pub fn fluids() -> Vec<&'static str> {
    slots().iter().map(|slot| slot.name.as_str()).collect()
}

impl Fluid {
    /// Finds a fluid by its name, with or without the hyphen, in any case ("R-134a", "r134a", "propane").
    ///
    /// # Errors
    /// [`Error::UnknownFluid`] with the nearest name.
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
    pub fn name(&self) -> &str {
        &self.eos.data.name
    }
    /// Other names.
    pub fn aliases(&self) -> &[String] {
        &self.eos.data.aliases
    }
    /// The safety class of ANSI/ASHRAE Standard 34.
    pub fn safety_class(&self) -> &str {
        &self.eos.data.safety_class
    }
    /// Where the safety class comes from.
    pub fn safety_source(&self) -> &str {
        &self.eos.data.safety_source
    }
    /// The equation's paper.
    pub fn source(&self) -> &str {
        &self.eos.data.source
    }
    /// What is known of the citation itself.
    pub fn source_note(&self) -> &str {
        &self.eos.data.source_note
    }
    /// The equation and the data behind every number.
    pub fn model(&self) -> String {
        format!("Helmholtz energy equation, {} ({}); data 1", self.eos.data.source_key, self.eos.data.name)
    }
    /// Molar mass, kg/mol.
    pub fn molar_mass_kg_per_mol(&self) -> f64 {
        self.eos.data.molar_mass
    }
    /// The mass of one mole.
    pub fn mole(&self) -> Mass {
        Mass::from_kg(self.eos.data.molar_mass)
    }
    /// Critical temperature.
    pub fn critical_temperature(&self) -> Temperature {
        Temperature::from_k(self.eos.top.temperature)
    }
    /// Critical pressure.
    pub fn critical_pressure(&self) -> Pressure {
        Pressure::from_pa(self.eos.top.pressure)
    }
    /// The lowest temperature of the saturation curve.
    pub fn lowest_temperature(&self) -> Temperature {
        Temperature::from_k(self.eos.data.min_temperature)
    }
    /// The highest temperature that is answered.
    pub fn highest_temperature(&self) -> Temperature {
        Temperature::from_k(1.5 * self.eos.data.max_temperature)
    }

    /// The highest pressure that is answered.
    pub fn highest_pressure(&self) -> Pressure {
        Pressure::from_pa(2.0 * self.eos.data.max_pressure)
    }

    /// Saturation at a temperature.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`] outside the curve.
    pub fn saturation_at(&self, temperature: Temperature) -> Result<Saturation, Error> {
        let sat = self.eos.saturation(temperature.as_k())?;
        self.saturation(&sat)
    }

    /// Saturation at a pressure.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtPressure`] outside the curve.
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
    pub fn state(&self, given: Given) -> Result<State, Error> {
        self.raw_state(given).map(State::new)
    }

    /// The same in plain SI numbers.
    ///
    /// # Errors
    /// As [`Fluid::state`].
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
    pub fn pressure_pa(&self, kelvin: f64, kg_per_m3: f64) -> f64 {
        self.eos.pressure(kelvin, kg_per_m3 / self.eos.data.molar_mass).0
    }

    /// Density at (T, p) on the stable branch, kg/m³.
    ///
    /// # Errors
    /// As [`Fluid::state`].
    pub fn density_kg_per_m3(&self, kelvin: f64, pascal: f64) -> Result<f64, Error> {
        self.eos.density(kelvin, pascal).map(|molar| molar * self.eos.data.molar_mass)
    }

    /// Density of the vapour at (T, p) below saturation, kg/m³; `saturated` is the saturated vapour's. For solvers that know their phase.
    pub fn vapour_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        let molar = self.eos.data.molar_mass;
        self.eos.bracketed_density(kelvin, pascal, 0.0, saturated / molar).map(|rho| rho * molar)
    }

    /// Density of the liquid at (T, p) above saturation, kg/m³; `saturated` is the saturated liquid's.
    pub fn liquid_density_raw(&self, kelvin: f64, pascal: f64, saturated: f64) -> Option<f64> {
        let data = &self.eos.data;
        let (start, most) = (saturated / data.molar_mass, self.eos.densest);
        self.eos.density_from(kelvin, pascal, start, most, start).map(|rho| rho * data.molar_mass)
    }

    /// Saturation at a temperature: pressure in Pa, densities of liquid and vapour in kg/m³.
    ///
    /// # Errors
    /// [`Error::NoSaturationAtTemperature`] outside the curve.
    pub fn saturation_raw(&self, kelvin: f64) -> Result<(f64, f64, f64), Error> {
        self.eos.saturation(kelvin).map(|sat| self.raw_saturation(&sat))
    }

    /// The same by the equation alone, without the saturation curves; slower.
    ///
    /// # Errors
    /// As [`Fluid::saturation_raw`].
    pub fn solve_saturation_raw(&self, kelvin: f64) -> Result<(f64, f64, f64), Error> {
        self.eos.solve_saturation(kelvin).map(|sat| self.raw_saturation(&sat))
    }

    fn raw_saturation(&self, sat: &crate::saturation::SatPoint) -> (f64, f64, f64) {
        let molar = self.eos.data.molar_mass;
        (sat.p, sat.liquid * molar, sat.vapour * molar)
    }

    /// Highest temperature of the saturation curves (K), their size (bytes), and how many full solves they took.
    pub fn curve_facts(&self) -> Option<(f64, usize, usize)> {
        self.eos.curves().map(|curves| (curves.highest(), curves.bytes(), curves.solves()))
    }

    /// The size of the tables that flashes start from, bytes.
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
