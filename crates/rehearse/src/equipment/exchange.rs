//! Heat between air, walls and refrigerant.
//!
//! Air side: one surface temperature for the coil and the contact factor 1 − e^(−NTU) for heat and for water alike (Lewis number 1): the bypass
//! method of any air-conditioning textbook, which is ε-NTU with one side at constant temperature. Inside: zones by how full the coil is. Coefficients
//! are the caller's; typical ones (textbooks): boiling and condensing 1500 to 4000, liquid 300 to 800, vapour 50 to 150, air on fins 20 to
//! 60 W/(m²·K).

use super::moisture::{TRIPLE_K, WATER_GAS_CONSTANT, latent_j_per_kg, latent_slope, saturation_pa};
use super::smooth::{positive, step};

/// Isobaric heat of dry air with a little water, J/(kg·K).
pub const AIR_CP: f64 = 1006.0;
const GRAVITY: f64 = 9.806_65;
const STEFAN_BOLTZMANN: f64 = 5.670_374e-8;

/// Water in air that carries that vapour pressure, kg for each kg of dry air.
#[must_use]
pub fn humidity_ratio(vapour_pa: f64, air_pa: f64) -> f64 {
    0.621_945 * vapour_pa / (air_pa - vapour_pa).max(0.05 * air_pa)
}

/// Air on its way to a coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// What the fan moves over the coil, kg/s; 0 when it stands.
    pub kg_per_s: f64,
    /// Temperature, K.
    pub kelvin: f64,
    /// Water, kg for each kg of dry air.
    pub humidity_ratio: f64,
    /// Pressure, Pa.
    pub pa: f64,
}

/// The outside of a coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilOutside {
    /// Conductance from air to surface at the nominal air flow, fin efficiency in it, W/K.
    pub nominal_w_per_k: f64,
    /// Nominal air flow, kg/s.
    pub nominal_kg_per_s: f64,
    /// Conductance with still air at 10 K difference, W/K: 2 to 6 % of the nominal one (assumed).
    pub still_w_per_k: f64,
    /// Outside surface, m².
    pub area_m2: f64,
    /// Clear gap between fins, m.
    pub gap_m: f64,
}

/// What passes between air and a coil.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Exchanged {
    /// Sensible heat from air to surface, W.
    pub sensible_w: f64,
    /// Latent heat to the surface, W.
    pub latent_w: f64,
    /// Water taken out of the air (as water or frost), kg/s.
    pub water_kg_per_s: f64,
    /// Temperature of the surface that the air sees (the frost's, if there is any), K.
    pub surface_k: f64,
    /// Conductance between incoming air and surface, W/K.
    pub w_per_k: f64,
}

impl Exchanged {
    /// All heat to the wall, W.
    #[must_use]
    pub const fn total_w(&self) -> f64 {
        self.sensible_w + self.latent_w
    }
}

impl CoilOutside {
    /// What passes between air and a wall at that temperature, under that layer of frost.
    ///
    /// Outside conductance grows with the 0.6th power of the air flow (textbooks: 0.5 to 0.65), with still air by the fourth root of the
    /// difference. Frost narrows the gap: see [`Frost::air_part`] for the flow that is left.
    #[must_use]
    pub fn exchange(&self, air: &Air, wall_k: f64, frost: &Frost) -> Exchanged {
        let contact = self.contact_w_per_k(air, wall_k);
        let through = frost.resistance_k_per_w(self.area_m2);
        let mut surface = wall_k;
        let (mut found, mut slope) = at_surface(air, surface, contact);
        if through <= 0.0 {
            return found;
        }
        // Newton on the surface temperature: heat from the air against heat through the frost.
        for _ in 0..12 {
            let step = (found.total_w() - (surface - wall_k) / through) / (slope + 1.0 / through);
            surface += step;
            (found, slope) = at_surface(air, surface, contact);
            if step.abs() < 1e-5 {
                break;
            }
        }
        found
    }

    /// Conductance between the incoming air and the surface, W/K: ε·C of the fan's air and what still air adds.
    #[must_use]
    pub fn contact_w_per_k(&self, air: &Air, wall_k: f64) -> f64 {
        let difference = air.kelvin - wall_k;
        let still = self.still_w_per_k * (difference * difference / 100.0 + 1e-4).sqrt().sqrt().sqrt();
        let part = (air.kg_per_s / self.nominal_kg_per_s.max(1e-9)).max(0.0);
        if part < 1e-9 {
            return still;
        }
        let capacity = air.kg_per_s * AIR_CP;
        let outside = self.nominal_w_per_k * libm::pow(part, 0.6);
        still + capacity * -libm::expm1(-outside / capacity)
    }
}

/// What a surface of that temperature takes from the air, and how much less for each kelvin that it is warmer.
fn at_surface(air: &Air, surface_k: f64, contact: f64) -> (Exchanged, f64) {
    let latent = latent_j_per_kg(surface_k);
    let saturated = humidity_ratio(saturation_pa(surface_k), air.pa);
    let (over, wet) = positive(air.humidity_ratio - saturated, 1e-4);
    let water = contact / AIR_CP * over;
    let found = Exchanged {
        sensible_w: contact * (air.kelvin - surface_k),
        latent_w: water * latent,
        water_kg_per_s: water,
        surface_k,
        w_per_k: contact,
    };
    let per_k = latent / (WATER_GAS_CONSTANT * surface_k * surface_k);
    let wet_slope = (wet * latent * saturated * per_k - over * latent_slope(surface_k)) / AIR_CP;
    (found, contact * (1.0 + wet_slope))
}

/// A layer of frost.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Frost {
    /// Its mass, kg.
    pub kg: f64,
    /// Its density, kg/m³: [`frost_density`] at the temperature it grew at, or 150 to 400.
    pub kg_per_m3: f64,
}

/// Density of fresh frost by the temperature of its surface, kg/m³: 650·e^(0.277·t), t in °C (Y. Hayashi et al., J. Heat Transfer 99 (1977) 239; −18.6
/// to −5 °C; held level outside −25 to 0 °C). From memory.
#[must_use]
pub fn frost_density(surface_k: f64) -> f64 {
    650.0 * libm::exp(0.277 * (surface_k - 273.15).clamp(-25.0, 0.0)).max(0.0385)
}

impl Frost {
    /// Thickness on that surface, m.
    #[must_use]
    pub fn thickness_m(&self, area_m2: f64) -> f64 {
        self.kg.max(0.0) / (self.kg_per_m3.clamp(25.0, 917.0) * area_m2.max(1e-9))
    }

    /// Conductivity, W/(m·K): 0.02422 + 7.214e-4·ρ + 1.1797e-6·ρ² (J. D. Yonko & C. F. Sepsy, ASHRAE Transactions 73(2) (1967); below 573 kg/m³).
    /// From memory.
    #[must_use]
    pub fn conductivity(&self) -> f64 {
        let density = self.kg_per_m3.clamp(25.0, 917.0);
        0.024_22 + density * (7.214e-4 + density * 1.1797e-6)
    }

    fn resistance_k_per_w(&self, area_m2: f64) -> f64 {
        self.thickness_m(area_m2) / (self.conductivity() * area_m2.max(1e-9))
    }

    /// The part of the clean air flow that a fan still moves through the narrowed gaps: g^1.5 of what is left of the gap (a pressure that the
    /// fan holds, drag with the square of the speed in a slit; assumed).
    #[must_use]
    pub fn air_part(&self, outside: &CoilOutside) -> f64 {
        let left = (1.0 - 2.0 * self.thickness_m(outside.area_m2) / outside.gap_m.max(1e-6)).clamp(0.0, 1.0);
        left * left.sqrt()
    }

    /// Melting on a wall above 0 °C, kg/s, and the heat that it takes from the wall, W: contact of 50 W/(m²·K) over the frosted surface (assumed), fading
    /// with the last of it.
    #[must_use]
    pub fn melting(&self, wall_k: f64, area_m2: f64) -> (f64, f64) {
        let (left, _) = step(self.kg / (0.05 * area_m2).max(1e-9));
        let heat = 50.0 * area_m2 * left * positive(wall_k - TRIPLE_K, 0.1).0;
        (heat / 3.335e5, heat)
    }
}

/// The inside of a coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilInside {
    /// Inside surface, m².
    pub area_m2: f64,
    /// Where liquid boils on the wall, W/(m²·K).
    pub boiling: f64,
    /// Where vapour condenses, W/(m²·K).
    pub condensing: f64,
    /// Where vapour runs along, W/(m²·K).
    pub vapour: f64,
    /// Where liquid runs along, W/(m²·K).
    pub liquid: f64,
    /// The part of the volume that liquid takes up when an evaporator's whole wall is wet, or that a condenser's film takes up before liquid backs
    /// up in it: 0.15 to 0.25 (void fraction models; common practice).
    pub film: f64,
}

/// Heat and outlet of a coil's inside.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Inside {
    /// Heat from wall to refrigerant, W.
    pub heat_w: f64,
    /// What leaves is that much warmer than saturation (evaporator) or colder (condenser), K.
    pub outlet_off_k: f64,
}

impl CoilInside {
    /// An evaporator with that part of its volume liquid: the wet part boils, the rest superheats what leaves (vapour, kg/s and its heat capacity).
    /// A wall colder than the refrigerant condenses it wherever it is.
    #[must_use]
    pub fn evaporating(&self, wall_k: f64, saturation_k: f64, fill: f64, leaving: (f64, f64)) -> Inside {
        let wet = rounded_part(fill / self.film.max(1e-3));
        let above = wall_k - saturation_k;
        let wall_w = two_sided(above, self.boiling * self.area_m2 * wet, self.condensing * self.area_m2);
        let (dry_w, outlet_off_k) =
            passing(one_sided(above), self.vapour * self.area_m2 * (1.0 - wet), leaving);
        Inside { heat_w: wall_w + dry_w, outlet_off_k }
    }

    /// A condenser with that part of its volume liquid: what backs up beyond the film floods the end of the coil and cools the liquid that leaves
    /// (kg/s and its heat capacity) below saturation; the rest condenses. A wall warmer than saturation boils what liquid there is.
    #[must_use]
    pub fn condensing(&self, wall_k: f64, saturation_k: f64, fill: f64, leaving: (f64, f64)) -> Inside {
        let film = self.film.clamp(0.01, 0.9);
        let flooded = positive((fill - film) / (1.0 - film), 0.02).0.min(1.0);
        let above = wall_k - saturation_k;
        let boiling = self.boiling * self.area_m2 * rounded_part(fill / film);
        let wall_w = two_sided(above, boiling, self.condensing * self.area_m2 * (1.0 - flooded));
        let (liquid_w, outlet_off_k) =
            passing(one_sided(-above), self.liquid * self.area_m2 * flooded, leaving);
        Inside { heat_w: wall_w - liquid_w, outlet_off_k }
    }
}

/// The temperature difference over which one conductance gives way to the other, K.
const ROUNDING_K: f64 = 0.3;

/// A difference where it is positive, 0 where not: x²/√(x² + w²), which is level at 0.
fn one_sided(x: f64) -> f64 {
    if x > 0.0 { x * x / (x * x + ROUNDING_K * ROUNDING_K).sqrt() } else { 0.0 }
}

/// Heat by one conductance where the difference is positive and by another where it is negative: near 0 by the lesser, never falling.
fn two_sided(x: f64, above: f64, below: f64) -> f64 {
    let least = above.min(below);
    least * x + (above - least) * one_sided(x) - (below - least) * one_sided(-x)
}

/// Heat to a stream that comes at saturation and leaves along a surface of that conductance, and by how much it has come nearer to the wall: the stream
/// C·ΔT·(1 − e^(−UA/C)).
fn passing(difference_k: f64, w_per_k: f64, (kg_per_s, cp): (f64, f64)) -> (f64, f64) {
    let capacity = (kg_per_s * cp).max(0.0);
    if capacity < 1e-9 {
        return (0.0, if w_per_k > 0.0 { difference_k } else { 0.0 });
    }
    let off = difference_k * -libm::expm1(-w_per_k / capacity);
    (capacity * off, off)
}

/// Rises with slope 1 and levels off at 1, without a corner.
fn rounded_part(z: f64) -> f64 {
    let z = z.max(0.0);
    z - positive(z - 1.0, 0.2).0
}

/// A still outside surface in a room: natural convection and radiation, W/(m²·K) at that difference. 1.32·(ΔT/d)^¼ (air at room temperature, horizontal
/// cylinders; textbooks) and 4εσT³.
#[must_use]
pub fn still_air_w_per_m2_k(surface_k: f64, room_k: f64, diameter_m: f64, emissivity: f64) -> f64 {
    let difference = surface_k - room_k;
    let spread = (difference * difference + 0.01).sqrt() / diameter_m.max(1e-3);
    let mean = 0.5 * (surface_k + room_k);
    1.32 * spread.sqrt().sqrt() + 4.0 * emissivity * STEFAN_BOLTZMANN * mean * mean * mean
}

/// Conductance of an insulated tube to a room, W/K: insulation of that thickness and conductivity, 9 W/(m²·K) at its surface (textbooks).
#[must_use]
pub fn insulated_tube_w_per_k(outside_m: f64, length_m: f64, thickness_m: f64, conductivity: f64) -> f64 {
    let outer = outside_m + 2.0 * thickness_m;
    let through = libm::log(outer / outside_m.max(1e-6)) / (core::f64::consts::TAU * conductivity.max(1e-6));
    let surface = 1.0 / (9.0 * core::f64::consts::PI * outer);
    length_m / (through + surface)
}

/// What boiling in a pool needs to know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boiling {
    /// Pressure over critical pressure.
    pub reduced_pressure: f64,
    /// Molar mass, g/mol.
    pub molar_g: f64,
    /// Density of liquid, kg/m³.
    pub liquid_kg_per_m3: f64,
    /// Density of vapour, kg/m³.
    pub vapour_kg_per_m3: f64,
    /// Heat of vaporisation, J/kg.
    pub vaporisation_j_per_kg: f64,
    /// Surface tension, N/m.
    pub tension_n_per_m: f64,
}

impl Boiling {
    /// Heat flux from a wall that much above saturation, W/m²: M. G. Cooper (Int. Chem. Eng. Symp. Ser. 86 (1984) 785) with 1 µm roughness,
    /// q^0.33 = 55·p_r^0.12·(−log₁₀ p_r)^−0.55·M^−0.5·ΔT, joined to still liquid (150 W/(m²·K)) at small and levelled at the greatest flux at large
    /// differences. The film beyond that isn't told.
    #[must_use]
    pub fn flux_w_per_m2(&self, above_k: f64) -> f64 {
        let pr = self.reduced_pressure.clamp(0.001, 0.95);
        let factor = 55.0 * libm::pow(pr, 0.12) * libm::pow(-libm::log10(pr), -0.55) / self.molar_g.sqrt();
        let above = above_k.max(0.0);
        let nucleate = libm::pow(factor * above, 1.0 / 0.33);
        let free = 150.0 * above;
        super::smooth::lesser(nucleate + free, self.greatest_w_per_m2()).0 + 150.0 * above_k.min(0.0)
    }

    /// The greatest flux that a pool takes, W/m²: 0.131·Δh·√ρv·(σ·g·Δρ)^¼ (N. Zuber 1959; textbooks).
    #[must_use]
    pub fn greatest_w_per_m2(&self) -> f64 {
        let lift = self.tension_n_per_m.max(0.0)
            * GRAVITY
            * (self.liquid_kg_per_m3 - self.vapour_kg_per_m3).max(0.0);
        0.131 * self.vaporisation_j_per_kg * self.vapour_kg_per_m3.sqrt() * lift.sqrt().sqrt()
    }
}

/// Condensation of still vapour on a vertical wall, W/(m²·K): 0.943·(g·ρ·Δρ·k³·Δh/(η·ΔT·L))^¼ (W. Nusselt 1916; textbooks). `difference_k` is wall below
/// saturation; the coefficient is held below 0.1 K, where it would grow without end.
#[must_use]
pub fn film_condensation(
    of: &Boiling,
    conductivity: f64,
    viscosity_pa_s: f64,
    difference_k: f64,
    height_m: f64,
) -> f64 {
    let weight = GRAVITY * of.liquid_kg_per_m3 * (of.liquid_kg_per_m3 - of.vapour_kg_per_m3).max(0.0);
    let difference = (difference_k * difference_k + 0.01).sqrt();
    let all = weight * conductivity * conductivity * conductivity * of.vaporisation_j_per_kg
        / (viscosity_pa_s * difference * height_m.max(1e-3));
    0.943 * all.sqrt().sqrt()
}
