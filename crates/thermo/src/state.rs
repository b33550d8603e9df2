//! A state as it is returned.

use stemwise_units::{Density, Pressure, SpecificEnergy, SpecificHeat, Speed, Temperature};

use crate::curves::Edges;
use crate::eos::Props;
use crate::saturation::SatPoint;

/// The phase of a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Liquid, saturated or subcooled.
    Liquid,
    /// Vapour, saturated or superheated.
    Vapour,
    /// Liquid and vapour together.
    TwoPhase,
    /// Above the critical temperature and pressure.
    Supercritical,
}

impl Phase {
    /// As printed: "liquid", "vapour", "two-phase", "supercritical".
    ///
    /// ```
    /// assert_eq!(stemwise_thermo::Phase::TwoPhase.word(), "two-phase");
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Self::Liquid => "liquid",
            Self::Vapour => "vapour",
            Self::TwoPhase => "two-phase",
            Self::Supercritical => "supercritical",
        }
    }
}

/// A state in plain SI numbers; the fields' units are in their comments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RawState {
    /// Temperature, K.
    pub t: f64,
    /// Absolute pressure, Pa.
    pub p: f64,
    /// Density, kg/m³.
    pub rho: f64,
    /// Specific enthalpy, J/kg.
    pub h: f64,
    /// Specific entropy, J/(kg K).
    pub s: f64,
    /// Specific internal energy, J/kg.
    pub u: f64,
    /// Isobaric heat capacity, J/(kg K); none in two phases.
    pub cp: Option<f64>,
    /// Isochoric heat capacity, J/(kg K); none in two phases.
    pub cv: Option<f64>,
    /// Speed of sound, m/s; none in two phases.
    pub w: Option<f64>,
    /// The phase.
    pub phase: Phase,
    /// Vapour fraction by amount of substance (for a pure fluid also by mass), in two phases and at saturation.
    pub q: Option<f64>,
    /// Density of the liquid in two phases, kg/m³.
    pub rho_l: Option<f64>,
    /// Density of the vapour in two phases, kg/m³.
    pub rho_v: Option<f64>,
}

impl RawState {
    pub(crate) const fn single(t: f64, rho: f64, props: &Props, phase: Phase) -> Self {
        Self {
            t,
            p: props.p,
            rho,
            h: props.h,
            s: props.s,
            u: props.u,
            cp: Some(props.cp),
            cv: Some(props.cv),
            w: Some(props.w),
            phase,
            q: None,
            rho_l: None,
            rho_v: None,
        }
    }

    /// Both phases together, neither of them alone: `q` lies between 0 and 1.
    pub(crate) fn two_phase(sat: &SatPoint, q: f64, edges: &Edges, molar_mass: f64) -> Self {
        let mix = |l: f64, v: f64| l + q * (v - l);
        let (l, v) = (&edges.liquid, &edges.vapour);
        let (rho_l, rho_v) = (sat.liquid * molar_mass, sat.vapour * molar_mass);
        let h = mix(l.h, v.h);
        // The volume is (1 - q)/rho_l + q/rho_v.
        let (both, mixed) = (rho_l * rho_v, mix(rho_v, rho_l));
        Self {
            t: sat.t,
            p: sat.p,
            rho: both / mixed,
            h,
            s: mix(l.s, v.s),
            u: h - sat.p * (mixed / both),
            cp: None,
            cv: None,
            w: None,
            phase: Phase::TwoPhase,
            q: Some(q),
            rho_l: Some(rho_l),
            rho_v: Some(rho_v),
        }
    }
}

/// A state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State(RawState);

impl State {
    pub(crate) const fn new(raw: RawState) -> Self {
        Self(raw)
    }
    /// In plain SI numbers.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert_eq!(state.raw().p, state.pressure().as_pa());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn raw(&self) -> &RawState {
        &self.0
    }
    /// Temperature.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!((state.temperature().as_celsius() - 25.0).abs() < 1e-9);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn temperature(&self) -> Temperature {
        Temperature::from_k(self.0.t)
    }
    /// Absolute pressure.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!((state.pressure().as_bar() - 1.0).abs() < 1e-9);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn pressure(&self) -> Pressure {
        Pressure::from_pa(self.0.p)
    }
    /// Density.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!((state.density().as_kg_per_m3() - 4.20).abs() < 0.05);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn density(&self) -> Density {
        Density::from_kg_per_m3(self.0.rho)
    }
    /// Specific enthalpy (200 kJ/kg for the saturated liquid at 0 °C).
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!((420.0..430.0).contains(&state.enthalpy().as_kj_per_kg()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn enthalpy(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.0.h)
    }
    /// Specific internal energy.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!(state.energy() < state.enthalpy());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn energy(&self) -> SpecificEnergy {
        SpecificEnergy::from_j_per_kg(self.0.u)
    }
    /// Specific entropy (1 kJ/(kg K) for the saturated liquid at 0 °C).
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!(state.entropy().as_j_per_kg_k() > 1700.0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn entropy(&self) -> SpecificHeat {
        SpecificHeat::from_j_per_kg_k(self.0.s)
    }
    /// Isobaric heat capacity; none in two phases.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!(state.isobaric_heat() > state.isochoric_heat());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn isobaric_heat(&self) -> Option<SpecificHeat> {
        self.0.cp.map(SpecificHeat::from_j_per_kg_k)
    }
    /// Isochoric heat capacity; none in two phases.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!(state.isochoric_heat().unwrap().as_j_per_kg_k() > 700.0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn isochoric_heat(&self) -> Option<SpecificHeat> {
        self.0.cv.map(SpecificHeat::from_j_per_kg_k)
    }
    /// Speed of sound; none in two phases.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert!((150.0..170.0).contains(&state.speed_of_sound().unwrap().as_m_per_s()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn speed_of_sound(&self) -> Option<Speed> {
        self.0.w.map(Speed::from_m_per_s)
    }
    /// The phase.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert_eq!(state.phase().word(), "vapour");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn phase(&self) -> Phase {
        self.0.phase
    }
    /// Vapour fraction by mass, in two phases and at saturation.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, Given};
    /// use stemwise_units::{Pressure, Temperature};
    /// let given = Given::TemperaturePressure(Temperature::from_celsius(25.0), Pressure::from_bar(1.0));
    /// let state = Fluid::named("R-134a")?.state(given)?;
    /// assert_eq!(state.quality(), None);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn quality(&self) -> Option<f64> {
        self.0.q
    }
}
