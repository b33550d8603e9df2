//! Refrigerant dissolved in oil, by pressure and temperature.
//!
//! Flory and Huggins' law of polymer solutions (any textbook): p/p_sat = φ·exp((1 − 1/r)(1 − φ) + χ(1 − φ)²), φ the refrigerant's part by volume,
//! r the ratio of the molar volumes, χ a constant of the pair. It has the right limits (nothing at p = 0, all at p_sat), which empirical
//! polynomials lack. χ 0.4 for HFC and polyol ester (fits about 16 % R-134a at 40 °C and 4 bar; from memory), 0.8 for R-22 and mineral oil (from
//! the polynomial of M. Takaishi & K. Oguchi, 1987, as given by J. R. Thome, HVAC&R Research 1 (1995) 110; from memory; pressures within 8 % up to half oil). Oils differ by grade:
//! take the dissolved mass as known to ±25 %.

/// An oil with a refrigerant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Density of the oil, kg/m³ (POE 960 to 1000, mineral 880 to 920).
    pub oil_kg_per_m3: f64,
    /// Molar volume of the oil over that of the liquid refrigerant (about 6).
    pub volume_ratio: f64,
    /// χ.
    pub interaction: f64,
    /// Time in which a still pool comes near to equilibrium, s (600 to 7200; a running compressor's about 100; assumed).
    pub lag_s: f64,
}

impl Pair {
    /// Polyol ester oil with an HFC or HFO.
    pub const POLYOL_ESTER: Self =
        Self { oil_kg_per_m3: 970.0, volume_ratio: 6.6, interaction: 0.4, lag_s: 1800.0 };
    /// Mineral oil or alkylbenzene with an HCFC or CFC.
    pub const MINERAL: Self =
        Self { oil_kg_per_m3: 900.0, volume_ratio: 5.0, interaction: 0.8, lag_s: 1800.0 };
    /// Mineral oil with an HFC: hardly any dissolves (assumed; two liquids part at low temperature, which isn't told here).
    pub const MINERAL_HFC: Self =
        Self { oil_kg_per_m3: 900.0, volume_ratio: 5.0, interaction: 2.0, lag_s: 1800.0 };

    /// Pressure over the mixture as a part of saturation, and its slope by φ, from the refrigerant's part by volume.
    #[must_use]
    pub fn activity(&self, volume_part: f64) -> (f64, f64) {
        let phi = volume_part.clamp(0.0, 1.0);
        let rest = 1.0 - phi;
        let unlike = 1.0 - 1.0 / self.volume_ratio;
        let factor = libm::exp(unlike * rest + self.interaction * rest * rest);
        (phi * factor, factor * (1.0 - phi * (unlike + 2.0 * self.interaction * rest)))
    }

    /// Refrigerant in solution in equilibrium with its vapour, kg for each kg of oil, from the pressure, the saturation pressure and the density
    /// of the liquid refrigerant at the oil's temperature. At and above saturation liquid refrigerant joins the oil without limit; the value is
    /// then that at 0.98 of saturation. Where χ is so high that two liquids part, the poorer one is meant.
    #[must_use]
    pub fn dissolved(&self, pa: f64, saturation_pa: f64, liquid_kg_per_m3: f64) -> f64 {
        let target = (pa / saturation_pa.max(1e-9)).clamp(0.0, 0.98);
        let mut phi = target / self.activity(0.0).1;
        for _ in 0..60 {
            let (value, slope) = self.activity(phi);
            if slope <= 1e-6 {
                break;
            }
            let step = (target - value) / slope;
            phi = (phi + step).clamp(0.0, 0.995);
            if step.abs() < 1e-12 {
                break;
            }
        }
        phi / (1.0 - phi) * liquid_kg_per_m3 / self.oil_kg_per_m3
    }

    /// Pressure over so much refrigerant in so much oil, Pa.
    #[must_use]
    pub fn pressure_pa(
        &self,
        refrigerant_kg: f64,
        oil_kg: f64,
        saturation_pa: f64,
        liquid_kg_per_m3: f64,
    ) -> f64 {
        let (wet, oil) = (refrigerant_kg.max(0.0) / liquid_kg_per_m3, oil_kg.max(0.0) / self.oil_kg_per_m3);
        if wet + oil <= 0.0 {
            return 0.0;
        }
        saturation_pa * self.activity(wet / (wet + oil)).0.min(1.0)
    }

    /// Uptake by a pool (outgassing, if negative), kg/s, towards equilibrium.
    #[must_use]
    pub fn uptake_kg_per_s(&self, oil_kg: f64, dissolved_kg: f64, equilibrium_per_kg: f64) -> f64 {
        (oil_kg * equilibrium_per_kg - dissolved_kg) / self.lag_s.max(1.0)
    }
}
