//! Water on the walls of a circuit: how fast it boils off or comes down, and what it holds.
//!
//! A wet wall is a pool that evaporates as [`FreeWater`] says: what the wall gives is what evaporation takes, so that a hard pull freezes it. Water
//! vapour then moves with everything else. What refrigerant and oil dissolve, and what a drier takes, isn't told here.

use crate::engine::cell::{GAS, GASES, WATER};
use crate::engine::network::{Cell, Seep};
use crate::engine::step::Moment;
use crate::equipment::moisture::{FreeWater, TRIPLE_K, latent_j_per_kg, saturation_pa};

/// Surface of a pool in a litre or more, m² (assumed: a strip of water 4 cm wide and half a metre long in the bottom of a coil), less in a smaller space.
const AREA: f64 = 0.02;
/// From the wall into it, W/(m² K): the middle of what [`FreeWater`] names.
const FROM_WALL: f64 = 20.0;
/// With less than this the pool shrinks, kg: a quarter of a millimetre deep (assumed).
const FILM: f64 = 5e-3;
/// Nothing, kg.
const DRY: f64 = 1e-9;

/// Energy of liquid water at the triple point, J/kg, counted as that of its vapour is: vapour there less the heat of vaporisation.
pub(crate) fn energy() -> f64 {
    GAS[WATER - GASES].cp() * TRIPLE_K - latent_j_per_kg(TRIPLE_K)
}

/// What every wall gives off or takes over a step of that length at most, by how things stand.
pub(crate) fn seep(cells: &mut [Cell], moment: &Moment, longest: f64) {
    for (at, &water) in moment.damp.iter().enumerate() {
        if let Some(cell) = cells.get_mut(at) {
            cell.seep = if cell.boundless { None } else { of(cell, moment, at, water, longest) };
        }
    }
}

fn of(cell: &Cell, moment: &Moment, at: usize, water: f64, longest: f64) -> Option<Seep> {
    let (eval, wall) = (moment.evals.get(at)?, *moment.walls.get(at)?);
    let pa = eval.water_pa();
    // Vapour comes down on a dry wall too.
    let comes_down = pa > saturation_pa(wall);
    if water < DRY && !comes_down {
        return None;
    }
    let part = if comes_down { 1.0 } else { (water / FILM).min(1.0) };
    let area_m2 = AREA * (cell.volume / 1e-3).min(1.0) * part;
    let pool = FreeWater { area_m2, from_wall_w_per_k: FROM_WALL * area_m2, film_kg: DRY };
    let here = pool.leaving(1.0, wall, pa);
    let more = 0.01 * pa + 0.5;
    let slope = ((pool.leaving(1.0, wall, pa + more).kg_per_s - here.kg_per_s) / more).min(0.0);
    // At most half of what is there leaves within a step, wherever the pressure goes.
    let most = (here.kg_per_s - slope * pa) * longest;
    let held = if most > 0.5 * water && !comes_down { 0.5 * water / most } else { 1.0 };
    let enthalpy = GAS[WATER - GASES].cp() * here.water_k;
    // Water that freezes on its way gives off there what it takes more later: only where it begins and ends counts.
    let heat = enthalpy - energy();
    Some(Seep { kg_per_s: held * here.kg_per_s, per_pa: held * slope, at_pa: pa, enthalpy, heat })
}
