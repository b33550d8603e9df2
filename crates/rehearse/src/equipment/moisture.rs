//! Water in the circuit: its vapour pressure over liquid and ice, what refrigerants and oils dissolve, what a drier takes, how free water
//! leaves in a vacuum and freezes in a metering device.
//!
//! Dissolved amounts are parts per million by mass. Vapour pressure: W. Wagner & A. Pruß, J. Phys. Chem. Ref. Data 31 (2002) 387, equation 2.5
//! (liquid, to the critical point); IAPWS R14-08(2011), sublimation (ice, 50 to 273.16 K). Refrigerants: ASHRAE Handbook—Refrigeration, Control
//! of Moisture and Other Contaminants, table of solubilities (read in a public copy). What has no such source says so at its place.

use super::smooth::{positive, step};

/// Specific gas constant of water, J/(kg·K).
pub const WATER_GAS_CONSTANT: f64 = 461.523;
/// The triple point, K.
pub const TRIPLE_K: f64 = 273.16;

/// Saturation pressure over liquid water, 273.16 to 647 K (supercooled below, to within a few percent at −30 °C), Pa.
#[must_use]
pub fn liquid_pa(kelvin: f64) -> f64 {
    let t = kelvin.clamp(200.0, 647.0);
    let tau = 1.0 - t / 647.096;
    let root = tau.sqrt();
    let square = tau * tau;
    let cube = square * tau;
    let sum = tau
        * (-7.859_517_83
            + root * 1.844_082_59
            + square * (-11.786_649_7 + root * 22.680_741_1 + tau * -15.961_871_9)
            + cube * cube * root * 1.801_225_02);
    22.064e6 * libm::exp(647.096 / t * sum)
}

/// Sublimation pressure over ice, 50 to 273.16 K, Pa.
#[must_use]
pub fn ice_pa(kelvin: f64) -> f64 {
    let theta = kelvin.clamp(100.0, TRIPLE_K) / TRIPLE_K;
    let log = libm::log(theta);
    let small = 0.003_333_333_33 * log;
    let sum = -21.214_400_6 * (1.0 + small * (1.0 + small * (0.5 + small * (1.0 / 6.0 + small / 24.0))))
        + 27.320_381_9 * libm::exp(1.206_666_67 * log)
        - 6.105_981_30 * libm::exp(1.703_333_33 * log);
    611.657 * libm::exp(sum / theta)
}

/// Over ice below the triple point, over liquid above, Pa.
#[must_use]
pub fn saturation_pa(kelvin: f64) -> f64 {
    if kelvin < TRIPLE_K { ice_pa(kelvin) } else { liquid_pa(kelvin) }
}

/// The temperature at which water boils, or ice sublimes, at that pressure (0.01 Pa to 2 MPa), K.
#[must_use]
pub fn saturation_k(pa: f64) -> f64 {
    let target = libm::log(pa.clamp(0.01, 2e6));
    // ln p is nearly straight in 1/T, with a break at the triple point where the latent heat changes.
    let mut inverse = 1.0 / TRIPLE_K - (target - 6.4162) / if target < 6.4162 { 6140.0 } else { 5200.0 };
    for _ in 0..12 {
        let kelvin = 1.0 / inverse;
        let off = libm::log(saturation_pa(kelvin)) - target;
        let step = off * WATER_GAS_CONSTANT / latent_j_per_kg(kelvin);
        inverse += step;
        if step.abs() < 1e-13 {
            break;
        }
    }
    1.0 / inverse
}

/// Heat of vaporisation or sublimation, J/kg: straight lines through steam-table values, within 1 % from −60 to 100 °C; the step at the freezing point is
/// spread over the 2 K below it, so that a surface passes it smoothly.
#[must_use]
pub fn latent_j_per_kg(kelvin: f64) -> f64 {
    latent_spread(kelvin, 2.0)
}

/// How the latent heat changes with temperature, J/(kg·K).
pub(super) fn latent_slope(kelvin: f64) -> f64 {
    let (liquid, slope) = step((kelvin - TRIPLE_K + 2.0) / 2.0);
    let warm = if kelvin > TRIPLE_K { -2430.0 * liquid } else { 0.0 };
    warm - slope / 2.0 * 3.334e5
}

fn latent_spread(kelvin: f64, width_k: f64) -> f64 {
    let (liquid, _) = step((kelvin - TRIPLE_K + width_k) / width_k);
    2.8343e6 + liquid * (2.5009e6 - 2430.0 * (kelvin.max(TRIPLE_K) - 273.15) - 2.8343e6)
}

/// Water that can dissolve in something, by temperature: ln c = ln c₁ − B·(1/T − 1/T₁).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solubility {
    /// Parts per million by mass at `at_k`.
    pub ppm: f64,
    /// Temperature of that value, K.
    pub at_k: f64,
    /// B, K.
    pub slope_k: f64,
}

impl Solubility {
    /// Liquid R-134a: 89 ppm at −40 °F, 730 at 50 °F, 4200 at 160 °F (the table named above).
    pub const R134A: Self = Self { ppm: 89.0, at_k: 233.15, slope_k: 2784.0 };
    /// Liquid R-22: 120 ppm at −40 °F, 830 at 50 °F, 1800 at 100 °F (the same).
    pub const R22: Self = Self { ppm: 120.0, at_k: 233.15, slope_k: 2524.0 };
    /// Liquid R-12: 1.7 ppm at −40 °F, 44 at 50 °F, 165 at 100 °F (the same).
    pub const R12: Self = Self { ppm: 1.7, at_k: 233.15, slope_k: 4264.0 };
    /// Polyol ester oil: about 2500 ppm at 25 °C (from memory, 1500 to 3000 by grade; slope assumed).
    pub const POLYOL_ESTER: Self = Self { ppm: 2500.0, at_k: 298.15, slope_k: 1500.0 };
    /// Mineral oil: about 80 ppm at 25 °C (from memory, 50 to 120; slope assumed).
    pub const MINERAL: Self = Self { ppm: 80.0, at_k: 298.15, slope_k: 3500.0 };

    /// Through two values (ppm, K).
    #[must_use]
    pub fn through(first: (f64, f64), second: (f64, f64)) -> Self {
        let slope_k = libm::log(second.0 / first.0) / (1.0 / first.1 - 1.0 / second.1);
        Self { ppm: first.0, at_k: first.1, slope_k }
    }

    /// Parts per million by mass that dissolve at that temperature.
    #[must_use]
    pub fn at(&self, kelvin: f64) -> f64 {
        self.ppm * libm::exp(self.slope_k * (1.0 / self.at_k - 1.0 / kelvin.max(100.0)))
    }

    /// Vapour pressure of water over so much dissolved: its part of what dissolves at most, times saturation (Henry's law), Pa.
    #[must_use]
    pub fn vapour_pa(&self, ppm: f64, kelvin: f64) -> f64 {
        saturation_pa(kelvin) * (ppm / self.at(kelvin)).clamp(0.0, 1.0)
    }
}

/// The desiccant of a filter drier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drier {
    /// Mass of desiccant, kg.
    pub desiccant_kg: f64,
    /// Water that it takes at most, kg per kg: about 0.18 for molecular sieve at 25 °C (from memory), 0.05 at the dryness wanted for alumina.
    pub most: f64,
    /// The water content of liquid refrigerant at which it is half full, ppm at 25 °C: about 5 for molecular sieve (assumed); doubles every 15 K.
    pub half_ppm: f64,
    /// Time in which the liquid inside comes near to equilibrium, s (30 to 120; assumed).
    pub lag_s: f64,
}

impl Drier {
    /// Water that the desiccant holds in equilibrium with liquid of that water content (Langmuir), kg.
    #[must_use]
    pub fn holds_kg(&self, ppm: f64, kelvin: f64) -> f64 {
        let half = self.half_at(kelvin);
        let ppm = ppm.max(0.0);
        self.desiccant_kg * self.most * ppm / (ppm + half)
    }

    /// The water content of liquid in equilibrium with a desiccant that holds so much, ppm.
    #[must_use]
    pub fn dryness_ppm(&self, held_kg: f64, kelvin: f64) -> f64 {
        let full = (held_kg / (self.desiccant_kg * self.most).max(1e-12)).clamp(0.0, 0.999);
        self.half_at(kelvin) * full / (1.0 - full)
    }

    /// Water taken up (given off, if negative), kg/s, from so much liquid inside with that water content.
    #[must_use]
    pub fn uptake_kg_per_s(&self, held_kg: f64, liquid_kg: f64, ppm: f64, kelvin: f64) -> f64 {
        (ppm - self.dryness_ppm(held_kg, kelvin)) * 1e-6 * liquid_kg / self.lag_s.max(1.0)
    }

    fn half_at(&self, kelvin: f64) -> f64 {
        self.half_ppm * libm::exp(core::f64::consts::LN_2 * (kelvin - 298.15) / 15.0)
    }
}

/// Free water or ice in a space, warmed by the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreeWater {
    /// Its surface, m².
    pub area_m2: f64,
    /// From the wall into it, W/K: 5 to 50 W/(m²·K) for a film or a pool (assumed).
    pub from_wall_w_per_k: f64,
    /// The mass below which the surface shrinks with it, kg.
    pub film_kg: f64,
}

/// How free water leaves.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Leaving {
    /// Evaporation (condensation, if negative), kg/s.
    pub kg_per_s: f64,
    /// The temperature that water or ice takes on meanwhile, K.
    pub water_k: f64,
}

impl FreeWater {
    /// Evaporation against that vapour pressure of water: at each moment the heat that the wall gives is the heat that evaporation takes, so
    /// that ice forms and slows it in a deep vacuum. Kinetic limit by Hertz and Knudsen with a coefficient of 0.05 (0.01 to 1 in the
    /// literature; it seldom counts beside the heat).
    #[must_use]
    pub fn leaving(&self, water_kg: f64, wall_k: f64, vapour_pa: f64) -> Leaving {
        let (left, _) = step(water_kg / self.film_kg.max(1e-12));
        let area = self.area_m2 * left;
        let conductance = (self.from_wall_w_per_k * left).max(1e-12);
        if area <= 0.0 {
            return Leaving { kg_per_s: 0.0, water_k: wall_k };
        }
        let water_k = self.balance_k(area, conductance, wall_k, vapour_pa);
        Leaving { kg_per_s: conductance * (wall_k - water_k) / freezing_latent(water_k), water_k }
    }
}

impl FreeWater {
    /// The temperature at which heat from the wall and heat of evaporation agree. Their difference falls with it, mostly the faster the warmer,
    /// so Newton's steps from above go straight down; a bracket catches them at the triple point, where the vapour pressure has its break.
    fn balance_k(&self, area_m2: f64, conductance: f64, wall_k: f64, vapour_pa: f64) -> f64 {
        let still = saturation_k(vapour_pa);
        let (mut low, mut high) = (wall_k.min(still), wall_k.max(still));
        let mut kelvin = high;
        for _ in 0..40 {
            let kinetic = 0.05 * area_m2 / (core::f64::consts::TAU * WATER_GAS_CONSTANT * kelvin).sqrt();
            let (pressure, latent) = (saturation_pa(kelvin), freezing_latent(kelvin));
            let surplus = conductance * (wall_k - kelvin) - kinetic * (pressure - vapour_pa) * latent;
            let fall =
                conductance + kinetic * pressure * latent * latent / (WATER_GAS_CONSTANT * kelvin * kelvin);
            if surplus > 0.0 {
                low = kelvin
            } else {
                high = kelvin
            }
            let mut next = kelvin + surplus / fall;
            if next <= low || next >= high {
                next = 0.5 * (low + high);
            }
            let moved = (next - kelvin).abs();
            kelvin = next;
            if moved < 1e-5 {
                break;
            }
        }
        kelvin
    }
}

/// Latent heat with its step at the freezing point spread over 20 K below it: ice forms while water is left, and evaporation must not rise with
/// the vapour pressure (it wouldn't where the latent heat fell faster than the heat from the wall).
fn freezing_latent(kelvin: f64) -> f64 {
    latent_spread(kelvin, 20.0)
}

/// Ice in a metering device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IcePlug {
    /// The ice that shuts it, kg: for an orifice of 1 to 2 mm a few hundredths of a gram (assumed: its volume a few bores long).
    pub shuts_kg: f64,
    /// The part of the free water that freezes onto it rather than passing by (0.1 to 0.5; assumed).
    pub caught: f64,
}

impl IcePlug {
    /// Free water behind a metering device: what the liquid brought along beyond what dissolves in it at the outlet temperature, kg/s.
    #[must_use]
    pub fn free_water(&self, liquid_kg_per_s: f64, ppm: f64, solubility: &Solubility, outlet_k: f64) -> f64 {
        let dissolved = solubility.at(outlet_k);
        let width = 0.05 * dissolved + 1e-3;
        liquid_kg_per_s.max(0.0) * 1e-6 * positive(ppm - dissolved, width).0
    }

    /// Growth of the ice, kg/s: freezing below 0 °C, melting above as the heat (W/K to the device, 0.5 to 5) lets it.
    #[must_use]
    pub fn growth_kg_per_s(&self, ice_kg: f64, free_kg_per_s: f64, device_k: f64, w_per_k: f64) -> f64 {
        let (cold, _) = step((TRIPLE_K - device_k) / 0.5);
        let (some, _) = step(ice_kg / (0.01 * self.shuts_kg).max(1e-12));
        let melting = w_per_k * positive(device_k - TRIPLE_K, 0.05).0 / 3.335e5 * some;
        self.caught * free_kg_per_s * cold - melting
    }

    /// The part of the opening that is left.
    #[must_use]
    pub fn open_part(&self, ice_kg: f64) -> f64 {
        1.0 - step(ice_kg / self.shuts_kg.max(1e-12)).0
    }
}
