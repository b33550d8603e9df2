//! What walls and what lies on or against them give off over a step: heat, water, and refrigerant that was dissolved in oil.

use super::cell::{ENERGY, Eval, WATER};
use super::network::Cell;
use super::number::{Number, Sloped};
use super::past::Base;
use super::step::{Network, Room};

impl Network {
    /// Heat from the wall into the fluid (W) at a state, with the wall's own change over the step taken along, and what water on it takes.
    pub(super) fn from_wall<N: Number>(cell: &Cell, base: &Base, at: usize, eval: &Eval<N>) -> N {
        let (wall, dt) = (base.walls[at], base.h);
        let (inner, outer, felt) = (cell.inner_at(eval), cell.outer_at(eval), cell.felt(eval));
        let hold = cell.wall / dt;
        let mut given = outer * cell.around + inner * felt + (hold * wall + cell.onto_wall);
        if let Some(seep) = &cell.seep {
            given = given - seep.flow(eval) * seep.heat;
        }
        if let Some(pool) = &cell.pool {
            given = given - pool.flow(eval, base.oil[at], dt) * pool.heat;
        }
        let t = given / (outer + inner + hold).at_least(1e-30);
        inner * (t - felt)
    }

    /// What comes into a cell from its wet wall and its oil besides heat from the wall: for each row of the system a flow, kg/s or W.
    pub(super) fn give_off<const K: usize>(
        &self,
        cell: &Cell,
        base: &Base,
        at: usize,
        state: &Eval<Sloped<K>>,
    ) -> [Option<(usize, Sloped<K>)>; 4] {
        let row = |wanted: usize| self.counted.iter().position(|&kind| kind == wanted);
        let mut given = [None; 4];
        if let (Some(seep), Some(water)) = (&cell.seep, row(WATER)) {
            let flow = seep.flow(state);
            (given[0], given[1]) = (Some((water, flow)), Some((ENERGY, flow * seep.enthalpy)));
        }
        if let Some(pool) = &cell.pool {
            let flow = pool.flow(state, base.oil[at], base.h);
            (given[2], given[3]) = (Some((0, flow)), Some((ENERGY, flow * pool.enthalpy)));
        }
        given
    }

    /// The walls after the step, and the heat from outside (J).
    pub(super) fn exchanged<const K: usize>(&self, base: &Base, room: &Room<K>) -> (Vec<f64>, f64) {
        let (dt, mut heat) = (base.h, 0.0);
        let wall_after = |(at, cell): (usize, &Cell)| {
            let wall = base.walls[at];
            if cell.boundless {
                return wall;
            }
            let state = &room.states[at];
            let into = Self::from_wall(cell, base, at, state);
            let given = into.value + into.change(&room.right[at]);
            let outer = cell.outer_at(state).value;
            let hold = cell.wall / dt;
            let water = cell.seep.map_or(0.0, |seep| {
                let flow = seep.flow(state);
                seep.heat * (flow.value + flow.change(&room.right[at]))
            });
            let dissolved = cell.pool.map_or(0.0, |pool| {
                let flow = pool.flow(state, base.oil[at], dt);
                pool.heat * (flow.value + flow.change(&room.right[at]))
            });
            let t = (hold * wall + outer * cell.around + cell.onto_wall - given - water - dissolved)
                / (hold + outer).max(1e-30);
            heat += dt * (outer * (cell.around - t) + cell.heater + cell.onto_wall);
            t
        };
        let walls = self.cells.iter().enumerate().map(wall_after).collect();
        (walls, heat)
    }

    /// Water on each wall after the step, kg, with the round's step taken along.
    pub(super) fn left_damp<const K: usize>(&self, base: &Base, room: &Room<K>) -> Vec<f64> {
        let left = |(at, damp): (usize, &f64)| {
            let Some(seep) = &self.cells[at].seep else { return *damp };
            let flow = seep.flow(&room.states[at]);
            damp - base.h * (flow.value + flow.change(&room.right[at]))
        };
        base.damp.iter().enumerate().map(left).collect()
    }

    /// Refrigerant in the oil of each cell after the step, kg, with the round's step taken along.
    pub(super) fn left_in_oil<const K: usize>(&self, base: &Base, room: &Room<K>) -> Vec<f64> {
        let left = |(at, held): (usize, &f64)| {
            let Some(pool) = &self.cells[at].pool else { return *held };
            let flow = pool.flow(&room.states[at], *held, base.h);
            held - base.h * (flow.value + flow.change(&room.right[at]))
        };
        base.oil.iter().enumerate().map(left).collect()
    }
}
