//! Frost on the coils of places whose air is damp: it grows on a surface below 0 °C and below the dew point, and melts above 0 °C.

use crate::control::Around;
use crate::engine::network::{Cell, Coil};
use crate::engine::step::Moment;
use crate::equipment::exchange::{AIR_CP, CoilOutside, Frost, frost_density, humidity_ratio};
use crate::equipment::moisture::{TRIPLE_K, latent_j_per_kg, saturation_pa};

/// Air on fins, W/(m² K): the middle of what `equipment::exchange` names; it gives the surface of a coil.
const ON_FINS: f64 = 30.0;
/// Clear gap between the fins of a cooler, m (common practice, 4 to 7 mm).
const GAP: f64 = 4e-3;
/// While there is damp air steps are no longer than this, s: what freezes follows the wall's temperature of the step before.
pub(crate) const LONGEST: f64 = 3.0;
/// A thin layer, kg/m².
const THIN: f64 = 0.01;
/// Time in which what freezes or melts follows the wall, s.
const LAG: f64 = 6.0;

/// The frost of a coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frosted {
    pub(crate) cell: usize,
    pub(crate) kg: f64,
    /// m³.
    volume: f64,
    /// Clean conductance to the air, W/K.
    clean: f64,
    /// Heat onto the wall, W.
    heat: f64,
}

impl Frosted {
    pub(crate) const fn new(cell: usize, clean: f64) -> Self {
        Self { cell, kg: 0.0, volume: 0.0, clean, heat: 0.0 }
    }

    /// Whether anything goes on there.
    pub(crate) fn is_at_work(&self) -> bool {
        self.kg > 0.0 || self.heat.abs() > 1.0
    }

    fn area(&self) -> f64 {
        self.clean / ON_FINS
    }

    fn frost(&self) -> Frost {
        let kg_per_m3 = if self.volume > 0.0 { self.kg / self.volume } else { 300.0 };
        Frost { kg: self.kg, kg_per_m3 }
    }

    /// What is left of the conductance to the air: less air through narrower gaps (by the 0.6th power of its flow, as `equipment::exchange` has it), and the layer's own
    /// resistance.
    fn part(&self) -> f64 {
        if self.kg <= 0.0 {
            return 1.0;
        }
        let (frost, area_m2) = (self.frost(), self.area());
        let outside = CoilOutside {
            nominal_w_per_k: self.clean,
            nominal_kg_per_s: 1.0,
            still_w_per_k: 0.0,
            area_m2,
            gap_m: GAP,
        };
        let air = libm::pow(frost.air_part(&outside), 0.6);
        let layer = frost.thickness_m(area_m2) / (frost.conductivity() * area_m2);
        (air / (1.0 + air * self.clean * layer)).max(0.02)
    }

    /// On the cell, after everything else has been said about its fan.
    pub(crate) fn on_cell(&self, cell: &mut Cell) {
        if let Some(coil) = &mut cell.coil {
            coil.fan *= self.part();
        }
        cell.onto_wall = self.heat;
    }

    /// A step goes by: water that the air loses on a cold surface by the contact factor of heat (Lewis number 1), what falls as frost and what runs off; or
    /// frost that melts and runs off.
    pub(crate) fn go_on(&mut self, cell: &Cell, around: &Around, moment: &Moment, air_pa: f64, dt: f64) {
        let (Some(eval), Some(&wall)) = (moment.evals.get(self.cell), moment.walls.get(self.cell)) else {
            return;
        };
        let damp = around.humidity.unwrap_or(0.0).clamp(0.0, 1.0) * saturation_pa(around.t);
        let over = humidity_ratio(damp, air_pa) - humidity_ratio(saturation_pa(wall), air_pa);
        let condenses = cell.coil.as_ref().is_some_and(|coil: &Coil| coil.condenses);
        let water = if condenses { 0.0 } else { cell.outer_at(eval) / AIR_CP * over.max(0.0) };
        let mut heat = water * latent_j_per_kg(wall);
        if wall < TRIPLE_K {
            self.kg += dt * water;
            self.volume += dt * water / frost_density(wall);
        } else if self.kg > 0.0 {
            // The last of it melts as fast as a thin layer does.
            let layer = Frost { kg: self.kg.max(THIN * self.area()), ..self.frost() };
            let (rate, takes) = layer.melting(wall, self.area());
            let gone = (dt * rate).min(self.kg);
            let held = if rate > 0.0 { gone / (dt * rate) } else { 0.0 };
            heat -= takes * held;
            self.volume *= 1.0 - gone / self.kg;
            self.kg -= gone;
            if self.kg < 1e-9 {
                (self.kg, self.volume) = (0.0, 0.0);
            }
        }
        self.heat += (heat - self.heat) * (1.0 - libm::exp(-dt / LAG));
    }
}
