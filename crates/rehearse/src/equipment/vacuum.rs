//! Flow and pumping in a vacuum.
//!
//! Viscous flow is in [`flow`](super::flow) down to any pressure; [`Rarefied`] gives what molecules add that fly from wall to wall, and the sum
//! of both is Knudsen's formula for tubes (S. Dushman, Scientific Foundations of Vacuum Technique: C = C_v + C_m·(1+x)/(1+1.24x); from
//! memory). Short tubes by D. J. Santeler, J. Vac. Sci. Technol. A 4 (1986) 338: the effective length with the aperture's own resistance,
//! within 1 % of exact transmission (from memory).

use super::flow::MassFlow;

/// A gas in the molecular regime.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Specific gas constant times temperature, J/kg: p/ρ.
    pub rt_j_per_kg: f64,
    /// Dynamic viscosity, Pa·s.
    pub viscosity_pa_s: f64,
}

impl Gas {
    /// Dry air at 20 °C (28.96 g/mol, 1.82e-5 Pa·s).
    pub const AIR_20_C: Self = Self { rt_j_per_kg: 84_158.0, viscosity_pa_s: 1.82e-5 };

    /// Mean speed of its molecules, m/s: √(8RT/πM).
    #[must_use]
    pub fn mean_speed_m_per_s(&self) -> f64 {
        (8.0 * self.rt_j_per_kg / core::f64::consts::PI).sqrt()
    }

    /// d·p̄/(η·√(RT/M)): about 1.6 bores over mean free paths.
    #[must_use]
    fn density_number(&self, bore_m: f64, mean_pa: f64) -> f64 {
        bore_m * mean_pa / (self.viscosity_pa_s * self.rt_j_per_kg.sqrt())
    }
}

/// Molecular conductance of an aperture, m³/s: A·c̄/4.
#[must_use]
pub fn molecular_aperture(area_m2: f64, gas: &Gas) -> f64 {
    0.25 * area_m2 * gas.mean_speed_m_per_s()
}

/// Molecular conductance of a round tube of any length, its entrance included, m³/s.
#[must_use]
pub fn molecular_tube(bore_m: f64, length_m: f64, gas: &Gas) -> f64 {
    let area = core::f64::consts::FRAC_PI_4 * bore_m * bore_m;
    let radius = 0.5 * bore_m.max(1e-9);
    let long = length_m.max(0.0) / radius;
    let effective = long * (1.0 + 1.0 / (3.0 + 3.0 / 7.0 * long));
    molecular_aperture(area, gas) / (1.0 + 0.375 * effective)
}

/// Viscous conductance of a long round tube at that mean pressure, m³/s: πd⁴p̄/(128ηL).
#[must_use]
pub fn viscous_tube(bore_m: f64, length_m: f64, mean_pa: f64, gas: &Gas) -> f64 {
    let square = bore_m * bore_m;
    core::f64::consts::PI * square * square * mean_pa / (128.0 * gas.viscosity_pa_s * length_m.max(1e-9))
}

/// Conductance of a round tube in any regime at that mean pressure, m³/s (laminar).
#[must_use]
pub fn tube(bore_m: f64, length_m: f64, mean_pa: f64, gas: &Gas) -> f64 {
    let x = gas.density_number(bore_m, mean_pa);
    viscous_tube(bore_m, length_m, mean_pa, gas)
        + molecular_tube(bore_m, length_m, gas) * (1.0 + x) / (1.0 + 1.24 * x)
}

/// Conductances one behind the other.
#[must_use]
pub fn series(conductances: &[f64]) -> f64 {
    let resistance: f64 = conductances.iter().map(|c| 1.0 / c).sum();
    1.0 / resistance
}

/// Conductances side by side.
#[must_use]
pub fn parallel(conductances: &[f64]) -> f64 {
    conductances.iter().sum()
}

/// What molecular flow adds to a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rarefied {
    /// A tube.
    Tube {
        /// Bore, m.
        bore_m: f64,
        /// Length, m.
        length_m: f64,
    },
    /// An aperture.
    Aperture {
        /// Free area, m².
        area_m2: f64,
        /// Hydraulic diameter, m.
        hydraulic_diameter_m: f64,
    },
}

impl Rarefied {
    /// The mass flow from `a` to `b` to be added to the viscous one; it stays small beside that where the gas is dense.
    ///
    /// An aperture's molecular share fades as 1/√(1 + (x/10)²), so that the sum joins molecular and viscous flow within the factor of 1.7
    /// between them (interpolation; the tests show it monotone).
    #[must_use]
    pub fn between(&self, a_pa: f64, b_pa: f64, gas: &Gas) -> MassFlow {
        let mean = 0.5 * (a_pa + b_pa).max(0.0);
        let (most, x, x_per_pa) = match *self {
            Self::Tube { bore_m, length_m } => {
                let x = gas.density_number(bore_m, mean);
                (molecular_tube(bore_m, length_m, gas), x, gas.density_number(bore_m, 1.0))
            }
            Self::Aperture { area_m2, hydraulic_diameter_m } => {
                let x = gas.density_number(hydraulic_diameter_m, mean);
                (molecular_aperture(area_m2, gas), x, gas.density_number(hydraulic_diameter_m, 1.0))
            }
        };
        let (share, share_per_x) = match self {
            Self::Tube { .. } => {
                let below = 1.0 + 1.24 * x;
                ((1.0 + x) / below, -0.24 / (below * below))
            }
            Self::Aperture { .. } => {
                let below = 1.0 + 0.01 * x * x;
                let share = 1.0 / below.sqrt();
                (share, -0.01 * x * share / below)
            }
        };
        let scale = most / gas.rt_j_per_kg;
        let drift = (a_pa - b_pa) * share_per_x * 0.5 * x_per_pa;
        MassFlow {
            kg_per_s: scale * (a_pa - b_pa) * share,
            per_a_pa: scale * (share + drift),
            per_b_pa: scale * (drift - share),
        }
    }
}

/// A rotary vacuum pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VacuumPump {
    /// Pumping speed far above its ultimate pressure, m³/s (1 cfm is 4.7195e-4 m³/s).
    pub speed_m3_per_s: f64,
    /// Ultimate pressure with the gas ballast shut, Pa: 2 to 5 Pa (15 to 40 micron) for good two-stage pumps with fresh oil (common practice).
    pub ultimate_pa: f64,
    /// Ultimate pressure with the gas ballast open, Pa: 20 to 100 Pa (common practice).
    pub ballast_ultimate_pa: f64,
    /// What wet or spent oil adds to that, Pa.
    pub oil_pa: f64,
}

impl VacuumPump {
    /// A two-stage pump of that speed with the common ultimate pressures.
    #[must_use]
    pub const fn two_stage(speed_m3_per_s: f64) -> Self {
        Self { speed_m3_per_s, ultimate_pa: 3.0, ballast_ultimate_pa: 50.0, oil_pa: 0.0 }
    }

    /// The pressure at which it moves nothing more, Pa.
    #[must_use]
    pub const fn ultimate(&self, ballast: bool) -> f64 {
        self.oil_pa + if ballast { self.ballast_ultimate_pa } else { self.ultimate_pa }
    }

    /// Pumping speed at that inlet pressure, m³/s: S·(1 − p_u/p), so that ln((p₀−p_u)/(p−p_u)) = S·t/V (textbooks).
    #[must_use]
    pub fn speed(&self, inlet_pa: f64, ballast: bool) -> f64 {
        self.speed_m3_per_s * (1.0 - self.ultimate(ballast) / inlet_pa.max(1e-9)).max(0.0)
    }

    /// What it draws from a gas of that temperature and gas constant, kg/s; `a` is its inlet. Below its ultimate pressure nothing comes back
    /// (its outlet valve and oil seal it while it runs).
    #[must_use]
    pub fn flow(&self, inlet_pa: f64, rt_j_per_kg: f64, ballast: bool) -> MassFlow {
        let limit = self.ultimate(ballast);
        let (above, slope) = super::smooth::positive(inlet_pa - limit, 0.02 * limit.max(1e-6));
        let scale = self.speed_m3_per_s / rt_j_per_kg;
        MassFlow { kg_per_s: scale * above, per_a_pa: scale * slope, per_b_pa: 0.0 }
    }
}

/// Seconds to pump a volume down, conductance and pumping speed joined and constant: V/S·ln((p₀−p_u)/(p−p_u)).
#[must_use]
pub fn pump_down_s(
    volume_m3: f64,
    speed_m3_per_s: f64,
    ultimate_pa: f64,
    from_pa: f64,
    to_pa: f64,
) -> Option<f64> {
    (to_pa > ultimate_pa && from_pa > ultimate_pa)
        .then(|| volume_m3 / speed_m3_per_s * libm::log((from_pa - ultimate_pa) / (to_pa - ultimate_pa)))
}

/// Gas from surfaces in a vacuum, mostly water: falls with time as 1/t (textbooks; unbaked metal).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outgassing {
    /// Surface, m².
    pub area_m2: f64,
    /// Rate after one hour at 20 °C, Pa·m³/(s·m²): about 2e-5 degreased metal, 1e-4 metal as it comes with traces of oil, 5e-3 rubber and
    /// hose liner (orders of magnitude, from memory).
    pub after_1_h: f64,
}

impl Outgassing {
    /// kg/s of water after so many seconds under vacuum, at that temperature. Rises by 5 % for each kelvin (desorption energy of water on metal
    /// oxide about 40 kJ/mol and up; assumed); level within the first minute.
    #[must_use]
    pub fn kg_per_s(&self, seconds: f64, kelvin: f64) -> f64 {
        let hours = (seconds.max(0.0) + 60.0) / 3600.0;
        let warm = libm::exp(0.05 * (kelvin - 293.15).clamp(-80.0, 80.0));
        self.area_m2 * self.after_1_h / hours * warm / (super::moisture::WATER_GAS_CONSTANT * 293.15)
    }
}
