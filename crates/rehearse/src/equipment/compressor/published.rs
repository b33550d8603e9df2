//! The ten-coefficient polynomial in which makers publish flow and power (AHRI 540, EN 12900), by evaporating and condensing temperature.

use super::super::smooth::step;

/// The temperature scale that a table of coefficients is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// °C.
    Celsius,
    /// °F.
    Fahrenheit,
}

/// X = C1 + C2·S + C3·D + C4·S² + C5·S·D + C6·D² + C7·S³ + C8·D·S² + C9·S·D² + C10·D³ with S the suction and D the discharge dew point: the
/// order of AHRI 540 and of EN 12900 (C1 to C10 there as well).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Polynomial {
    /// C1 to C10, as printed.
    pub coefficients: [f64; 10],
    /// The scale of S and D.
    pub scale: Scale,
    /// What one printed unit is in SI: 1/3600 for kg/h, 0.45359237/3600 for lb/h, 1e-3 for g/s, 1 for W.
    pub unit: f64,
}

impl Polynomial {
    /// Pounds an hour in kg/s.
    pub const POUND_PER_HOUR: f64 = 0.453_592_37 / 3600.0;
    /// Kilograms an hour in kg/s.
    pub const KILOGRAM_PER_HOUR: f64 = 1.0 / 3600.0;

    /// The value in SI and its slopes by both temperatures, per K.
    #[must_use]
    pub fn at(&self, evaporating_k: f64, condensing_k: f64) -> (f64, f64, f64) {
        let (s, d, per_k) = match self.scale {
            Scale::Celsius => (evaporating_k - 273.15, condensing_k - 273.15, 1.0),
            Scale::Fahrenheit => (1.8 * evaporating_k - 459.67, 1.8 * condensing_k - 459.67, 1.8),
        };
        let [c1, c2, c3, c4, c5, c6, c7, c8, c9, c10] = self.coefficients;
        let value =
            c1 + s * (c2 + s * (c4 + s * c7 + d * c8) + d * (c5 + d * c9)) + d * (c3 + d * (c6 + d * c10));
        let by_s = c2 + s * (2.0 * c4 + 3.0 * s * c7 + 2.0 * d * c8) + d * (c5 + d * c9);
        let by_d = c3 + d * (2.0 * c6 + 3.0 * d * c10) + s * (c5 + s * c8 + 2.0 * d * c9);
        (value * self.unit, by_s * self.unit * per_k, by_d * self.unit * per_k)
    }
}

/// A compressor by its published tables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Published {
    /// Mass flow.
    pub flow: Polynomial,
    /// Electrical power.
    pub power: Polynomial,
    /// Lowest and highest evaporating temperature of the tables, K.
    pub evaporating_k: [f64; 2],
    /// Lowest and highest condensing temperature of the tables, K.
    pub condensing_k: [f64; 2],
    /// The suction superheat that the tables are made for, K; none: they are made for a return temperature.
    pub rated_superheat_k: Option<f64>,
    /// The suction temperature that the tables are made for, K, where they name no superheat (18.3 °C and 20 °C are usual).
    pub rated_return_k: f64,
}

impl Published {
    /// The suction temperature that the tables stand for at that evaporating temperature, K.
    #[must_use]
    pub fn rated_suction_k(&self, evaporating_k: f64) -> f64 {
        self.rated_superheat_k.map_or(self.rated_return_k, |superheat| evaporating_k + superheat)
    }

    /// Flow (kg/s) and power (W) at the rated suction condition.
    ///
    /// Outside its range a cubic runs anywhere, so the temperatures are led back to the range's edge; 0 at `beyond_k` (30 K) below it. What is
    /// told there is a continuation, not a published value: [`Published::inside`] says which.
    #[must_use]
    pub fn at(&self, evaporating_k: f64, condensing_k: f64) -> (f64, f64) {
        const BEYOND_K: f64 = 30.0;
        let s = evaporating_k.clamp(self.evaporating_k[0], self.evaporating_k[1]);
        let d = condensing_k.clamp(self.condensing_k[0], self.condensing_k[1]);
        let (flow, power) = (self.flow.at(s, d).0.max(0.0), self.power.at(s, d).0.max(0.0));
        let below = (self.evaporating_k[0] - evaporating_k).max(0.0);
        let (kept, _) = step(1.0 - below / BEYOND_K);
        (flow * kept, power * (0.4 + 0.6 * kept))
    }

    /// Whether the tables cover that.
    #[must_use]
    pub fn inside(&self, evaporating_k: f64, condensing_k: f64) -> bool {
        let within = |range: [f64; 2], at: f64| at >= range[0] && at <= range[1];
        within(self.evaporating_k, evaporating_k) && within(self.condensing_k, condensing_k)
    }
}

/// By how much flow changes when the suction vapour isn't as rated: 1 + F·(ρ/ρ_rated − 1), F 0.75 (A. E. Dabiri & C. K. Rice, ASHRAE
/// Transactions 87(2) (1981) 771; from memory). Power follows it times the ratio of the isentropic works.
#[must_use]
pub fn superheat_correction(kg_per_m3: f64, rated_kg_per_m3: f64) -> f64 {
    1.0 + 0.75 * (kg_per_m3 / rated_kg_per_m3.max(1e-12) - 1.0)
}
