//! An opening: a sharp or rounded restriction between two spaces.

use super::{MassFlow, Source};

/// Below this Reynolds number (of the contracted stream, on the hydraulic diameter) an opening is viscous: (0.61/0.2)² for a sharp round edge
/// (H. E. Merritt, Hydraulic Control Systems, 1967, section 3.4; from memory).
const VISCOUS_REYNOLDS: f64 = 9.3;

/// An opening between two spaces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Free area, m².
    pub area_m2: f64,
    /// Discharge coefficient: 0.61 a sharp edge, 0.7 to 0.85 valves and short tubes, 0.97 a nozzle (textbooks; common practice).
    pub discharge: f64,
    /// Hydraulic diameter (the bore; twice the gap of a slit), m.
    pub hydraulic_diameter_m: f64,
    /// Pressure difference within which the flow is linear in any case, Pa: keeps a large opening from being stiffer than anyone can see.
    pub softening_pa: f64,
}

impl Opening {
    /// A round hole with that bore.
    #[must_use]
    pub fn round(bore_m: f64, discharge: f64) -> Self {
        Self {
            area_m2: core::f64::consts::FRAC_PI_4 * bore_m * bore_m,
            discharge,
            hydraulic_diameter_m: bore_m,
            softening_pa: 1.0,
        }
    }

    /// The flow between two states, smooth through zero even where the two fluids differ.
    #[must_use]
    pub fn between(&self, a: &Source, b: &Source) -> MassFlow {
        if self.area_m2 <= 0.0 {
            return MassFlow::NONE;
        }
        let slope = self.slope_at_rest(a, b);
        if a.pa() >= b.pa() {
            self.out_of(a, b.pa(), slope)
        } else {
            self.out_of(b, a.pa(), slope).reversed()
        }
    }

    /// The flow out of a state against a pressure, where what lies downstream is no matter (a release to the atmosphere; a pressure above the
    /// upstream one gives backflow of the same fluid).
    #[must_use]
    pub fn into_pressure(&self, a: &Source, down_pa: f64) -> MassFlow {
        if self.area_m2 <= 0.0 {
            return MassFlow::NONE;
        }
        self.out_of(a, down_pa, self.slope_at_rest(a, a))
    }

    /// d(flux)/dp at no flow, kg/(m²·s·Pa): viscous, but no steeper than the softening allows; the same from both ends.
    fn slope_at_rest(&self, a: &Source, b: &Source) -> f64 {
        let fluidity = 0.5 * (a.kg_per_m3() / a.viscosity_pa_s() + b.kg_per_m3() / b.viscosity_pa_s());
        let viscous =
            2.0 * self.discharge * self.hydraulic_diameter_m.max(1e-9) * fluidity / VISCOUS_REYNOLDS;
        let soft = (2.0 * (a.kg_per_m3() * b.kg_per_m3()).sqrt() / self.softening_pa.max(1e-9)).sqrt();
        viscous * soft / (viscous + soft)
    }

    /// With q the square of the ideal flux and ε the flux at which viscosity takes over, the flux is q/(q² + ε⁴)^¼: linear below, √q above,
    /// and level where q is level, so that choking stays smooth.
    fn out_of(&self, up: &Source, down_pa: f64, slope: f64) -> MassFlow {
        let drive = up.nozzle(down_pa);
        let onset = 2.0 * up.kg_per_m3() / slope;
        let onset_squared = onset * onset;
        let together = drive.value * drive.value + onset_squared * onset_squared;
        let root = together.sqrt();
        let fourth = root.sqrt();
        let scale = self.discharge * self.area_m2;
        let by_drive = scale * (1.0 - 0.5 * drive.value * drive.value / together) / fourth;
        MassFlow {
            kg_per_s: scale * drive.value / fourth,
            per_a_pa: by_drive * drive.per_up,
            per_b_pa: by_drive * drive.per_down,
        }
    }
}
