//! Steps in time: implicit Euler with Newton's method over all cells at once, and a step size that follows the error.
//!
//! What leaves one cell enters another in the same row sums, so mass and energy are kept to rounding whatever Newton's method did.
//! Implicit Euler is of first order, but it keeps amounts positive where small spaces are flushed thousands of times within a step, and liquid that
//! fills a space is one kink in a rising function, over which Newton's method goes in two or three rounds.

use super::block::{Pattern, System};
use super::cell::{Amounts, COUNTED, ENERGY, Eval, GASES, evaluate};
use super::medium::Medium;
use super::network::{Cell, Flux, Link, flux};

/// Cells, links, and which of what is counted is there.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Network {
    pub(crate) cells: Vec<Cell>,
    pub(crate) links: Vec<Link>,
    /// Which amounts are reckoned: refrigerant and energy always, gases where there are any.
    pub(crate) counted: Vec<usize>,
    pattern: Pattern,
    /// For each link the places of its four blocks.
    places: Vec<[usize; 4]>,
}

/// What changes in time.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Moment {
    pub(crate) amounts: Vec<Amounts>,
    /// Temperatures of the walls, K.
    pub(crate) walls: Vec<f64>,
    pub(crate) evals: Vec<Eval>,
    /// Amounts before the last step and its length, for looking ahead; none after something was changed from outside.
    before: Option<(Vec<Amounts>, f64)>,
    /// Length of the next step, s.
    pub(crate) next: f64,
}

/// What a step did.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Done {
    /// Its length, s.
    pub(crate) seconds: f64,
    /// Heat from the surroundings and heaters, J.
    pub(crate) heat: f64,
    /// Work of machines (less what their coolers give off), J.
    pub(crate) work: f64,
}

/// What all steps cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Steps that were kept.
    pub steps: u64,
    /// Steps that were thrown away and tried again, shorter.
    pub rejected: u64,
    /// Rounds of Newton's method.
    pub rounds: u64,
    /// Steps that were kept though Newton's method had not come to its end at the shortest step.
    pub forced: u64,
}

/// How exact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Accuracy {
    /// Error of a step, as a part of each cell's amounts.
    pub(crate) tolerance: f64,
    /// The longest step, s.
    pub(crate) longest: f64,
}

/// The shortest step, s.
const SHORTEST: f64 = 1e-5;
/// Length of the first step after something was changed, s.
pub(crate) const FIRST: f64 = 2e-3;
const ROUNDS: usize = 9;

/// Room for the numbers of a step, kept between steps.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch {
    two: Room<2>,
    three: Room<3>,
    four: Room<4>,
    five: Room<5>,
}

#[derive(Clone, Debug, Default)]
struct Room<const K: usize> {
    system: System<K>,
    right: Vec<[f64; K]>,
    bumped: Vec<[Eval; K]>,
    bumps: Vec<[f64; K]>,
}

impl Network {
    /// After cells or links have changed.
    pub(crate) fn relink(&mut self) {
        let pairs: Vec<(usize, usize)> = self.links.iter().map(|link| (link.a.cell, link.b.cell)).collect();
        self.pattern = Pattern::new(self.cells.len(), &pairs);
        let at = |a, b| self.pattern.place(a, b).unwrap_or(0);
        self.places = pairs.iter().map(|&(a, b)| [at(a, a), at(a, b), at(b, a), at(b, b)]).collect();
    }

    /// Which gases there are.
    pub(crate) fn count(&mut self, moment: &Moment) {
        self.counted.clear();
        self.counted.extend([0, ENERGY]);
        for gas in GASES..COUNTED {
            // A gas that can't leave its cell needs no reckoning: it is in the cell's state all the same.
            let can_leave = |link: &Link| {
                let (a, b) = (link.a.cell, link.b.cell);
                let from = |at: usize| {
                    let cell = &self.cells[at];
                    let outside = cell.boundless && moment.evals[at].w[gas - GASES] > 0.0;
                    outside || !cell.boundless && moment.amounts[at][gas].abs() > 0.0
                };
                let (from_a, from_b) = link.law.ways();
                from_a && from(a) || from_b && from(b)
            };
            if self.links.iter().any(can_leave) {
                self.counted.push(gas);
            }
        }
    }

    pub(crate) fn evaluate(&self, medium: &Medium, moment: &mut Moment) {
        let evals = self.cells.iter().zip(&moment.amounts).enumerate().map(|(at, (cell, amounts))| {
            let guess = moment.evals.get(at).map_or(290.0, |eval| eval.t);
            evaluate(medium, cell.volume, amounts, guess)
        });
        moment.evals = evals.collect();
    }

    /// One cell anew.
    pub(crate) fn evaluate_one(&self, medium: &Medium, moment: &mut Moment, at: usize) {
        let old = moment.evals[at];
        moment.evals[at] = evaluate(medium, self.cells[at].volume, &moment.amounts[at], old.t);
    }

    /// What passes a link at this moment.
    pub(crate) fn flux(&self, moment: &Moment, at: usize) -> Flux {
        let link = &self.links[at];
        let (a, b) = (link.a.cell, link.b.cell);
        flux(link, [&self.cells[a], &self.cells[b]], &moment.evals[a], &moment.evals[b])
    }

    /// One step, as long as the accuracy allows and no longer than `most`.
    pub(crate) fn step(
        &self,
        medium: &Medium,
        moment: &mut Moment,
        scratch: &mut Scratch,
        accuracy: &Accuracy,
        most: f64,
        statistics: &mut Statistics,
    ) -> Done {
        match self.counted.len() {
            2 => self.step_of::<2>(medium, moment, &mut scratch.two, accuracy, most, statistics),
            3 => self.step_of::<3>(medium, moment, &mut scratch.three, accuracy, most, statistics),
            4 => self.step_of::<4>(medium, moment, &mut scratch.four, accuracy, most, statistics),
            _ => self.step_of::<5>(medium, moment, &mut scratch.five, accuracy, most, statistics),
        }
    }

    fn step_of<const K: usize>(
        &self,
        medium: &Medium,
        moment: &mut Moment,
        room: &mut Room<K>,
        accuracy: &Accuracy,
        most: f64,
        statistics: &mut Statistics,
    ) -> Done {
        let mut dt = moment.next.clamp(SHORTEST, accuracy.longest).min(most);
        let mut cut_short = dt < moment.next;
        loop {
            let forced = dt <= SHORTEST * 1.001;
            let cut = match self.attempt(medium, moment, room, dt, forced, statistics) {
                None if forced => return self.pass_over(moment, dt, statistics),
                None => 0.25,
                Some(made) => {
                    let error = self.error(moment, &made, dt) / accuracy.tolerance;
                    let factor = (0.9 / error.max(1e-9).sqrt()).clamp(0.2, 2.0);
                    if error <= 2.5 || forced {
                        let wanted = dt * factor;
                        // A step cut short by `most` says nothing about the next.
                        let next = if cut_short && factor > 0.7 { moment.next.max(wanted) } else { wanted };
                        return self.keep(moment, made, dt, next, statistics);
                    }
                    factor.min(0.5)
                }
            };
            statistics.rejected += 1;
            cut_short = false;
            dt = (dt * cut).max(SHORTEST);
        }
    }

    /// Not even the shortest step goes: the moment stays as it is for so long. It is counted, and tests allow none.
    fn pass_over(&self, moment: &mut Moment, dt: f64, statistics: &mut Statistics) -> Done {
        statistics.forced += 1;
        moment.before = None;
        moment.next = 10.0 * dt;
        Done { seconds: dt, heat: 0.0, work: 0.0 }
    }

    fn keep(&self, moment: &mut Moment, made: Made, dt: f64, next: f64, statistics: &mut Statistics) -> Done {
        statistics.steps += 1;
        let amounts = core::mem::replace(&mut moment.amounts, made.amounts);
        moment.before = Some((amounts, dt));
        moment.evals = made.evals;
        moment.walls = made.walls;
        moment.next = next;
        Done { seconds: dt, heat: made.heat, work: made.work }
    }

    /// The error of a step, by how far the amounts are from where the step before pointed.
    fn error(&self, moment: &Moment, made: &Made, dt: f64) -> f64 {
        let mut worst = 0.0f64;
        let total: f64 = self.cells.iter().filter(|cell| !cell.boundless).map(|cell| cell.volume).sum();
        for (at, cell) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let (old, new) = (&moment.amounts[at], &made.amounts[at]);
            // Small passages may be off by more: they follow what they join.
            let weight = cell.volume / (cell.volume + 0.004 * total);
            let mass = old[0] + old[GASES..].iter().sum::<f64>();
            let scale = mass + 1e-4 * cell.volume;
            for &kind in &self.counted {
                let ahead = match &moment.before {
                    Some((before, seconds)) => {
                        let slope = (old[kind] - before[at][kind]) / seconds;
                        (new[kind] - old[kind] - dt * slope) * dt / (dt + seconds)
                    }
                    None => 0.2 * (new[kind] - old[kind]),
                };
                let scale = if kind == ENERGY { 2e5 * scale } else { scale };
                worst = worst.max(weight * (ahead / scale).abs());
            }
        }
        worst
    }

    /// A step of that length; none where Newton's method doesn't come to an end.
    fn attempt<const K: usize>(
        &self,
        medium: &Medium,
        moment: &Moment,
        room: &mut Room<K>,
        dt: f64,
        forced: bool,
        statistics: &mut Statistics,
    ) -> Option<Made> {
        let mut made = Made {
            amounts: self.ahead(moment, dt),
            evals: Vec::new(),
            walls: Vec::new(),
            heat: 0.0,
            work: 0.0,
        };
        made.evals = self.evals(medium, moment, &made.amounts);
        for round in 0..ROUNDS {
            statistics.rounds += 1;
            self.assemble(medium, moment, &made, room, dt);
            if !room.system.factor(&self.pattern) {
                return None;
            }
            room.system.solve(&self.pattern, &mut room.right);
            let moves = self.moves(&made, room);
            (made.heat, made.work) = self.exchanged(moment, &mut made.walls, &made.evals, room, dt);
            made.work += self.work(&made, room) * dt;
            // Where two kinks face each other, whole steps may go to and fro for ever; half a step is never the last.
            let half = matches!(round, 3 | 5 | 7);
            if half {
                room.right.iter_mut().flatten().for_each(|part| *part *= 0.5);
            }
            let old = made.amounts.clone();
            for (amounts, change) in made.amounts.iter_mut().zip(&room.right) {
                for (&kind, part) in self.counted.iter().zip(change) {
                    amounts[kind] += part;
                }
            }
            let mut after = self.evals(medium, moment, &made.amounts);
            let strays = self.strays(&made, room, &after);
            let stopped = self.stop_at_kinks(medium, &old, &mut made, &mut after);
            made.evals = after;
            let last = forced && round + 1 == ROUNDS;
            if last {
                statistics.forced += 1;
            }
            // Flow that hardly knows which way to go may swing between two answers, both of which keep mass and energy: either will do, if the
            // pressures are where the round pointed; the error of the step judges it.
            // One round alone is enough only where hardly anything moved: otherwise two states may take turns for ever.
            let enough = match round {
                0 => 0.15,
                1..=3 => 1.0,
                _ => 20.0,
            };
            if (strays < 1.0 && moves < enough && !half && !stopped) || last {
                return (forced || self.sound(moment, &made)).then_some(made);
            }
            if !moves.is_finite() {
                return None;
            }
        }
        None
    }

    /// A cell that would go far over the edge between liquid alone and two phases, where the slope changes by orders, is stopped at the edge; the
    /// next round sees the slope beyond. True where one was; such a round is never the last, so no amount is lost.
    fn stop_at_kinks(&self, medium: &Medium, old: &[Amounts], made: &mut Made, after: &mut [Eval]) -> bool {
        let mut stopped = false;
        for (at, cell) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let (from, to) = (made.evals[at], after[at]);
            let fills = from.alpha < 1.0 && to.alpha >= 1.0 && to.p > 1.02 * from.p + 1e4;
            let parts = from.alpha >= 1.0 && to.alpha < 1.0 && from.p > 1.02 * to.p + 1e4 && to.alpha > 0.0;
            if !fills && !parts {
                continue;
            }
            stopped = true;
            let goal = made.amounts[at];
            let along = |part: f64| -> Amounts {
                core::array::from_fn(|kind| old[at][kind] + part * (goal[kind] - old[at][kind]))
            };
            let (mut near, mut far) = (0.0, 1.0);
            for _ in 0..26 {
                let half = 0.5 * (near + far);
                let there = evaluate(medium, cell.volume, &along(half), from.t);
                if (there.alpha >= 1.0) == (to.alpha >= 1.0) { far = half } else { near = half }
            }
            made.amounts[at] = along(far);
            after[at] = evaluate(medium, cell.volume, &made.amounts[at], from.t);
        }
        stopped
    }

    /// No amount may be noticeably less than nothing, unless it was so before.
    fn sound(&self, moment: &Moment, made: &Made) -> bool {
        let cells = self.cells.iter().zip(&made.amounts).zip(&moment.amounts);
        cells.filter(|((cell, _), _)| !cell.boundless).all(|((cell, amounts), old)| {
            // A trace among much else may come out as a little less than nothing; what follows takes it for nothing.
            let mass = amounts[0] + amounts[GASES..].iter().sum::<f64>();
            let least = -1e-9 * cell.volume - 1e-4 * mass.max(0.0);
            let fits = |kind: usize| kind == ENERGY || amounts[kind] >= least.min(old[kind]);
            (0..COUNTED).all(|kind| amounts[kind].is_finite() && fits(kind))
        })
    }

    /// Where the step before points, if that is sensible.
    fn ahead(&self, moment: &Moment, dt: f64) -> Vec<Amounts> {
        let mut amounts = moment.amounts.clone();
        let Some((before, seconds)) = &moment.before else { return amounts };
        let part = (dt / seconds).min(2.0);
        for ((cell, slot), old) in self.cells.iter().zip(&mut amounts).zip(before) {
            let change: [f64; COUNTED] = core::array::from_fn(|kind| part * (slot[kind] - old[kind]));
            let fits = (0..COUNTED).all(|kind| {
                kind == ENERGY
                    || change[kind].abs() < 0.3 * slot[kind] + 1e-6 * cell.volume
                        && slot[kind] + change[kind] >= 0.0
            });
            if fits && !cell.boundless {
                (0..COUNTED).for_each(|kind| slot[kind] += change[kind]);
            }
        }
        amounts
    }

    fn evals(&self, medium: &Medium, moment: &Moment, amounts: &[Amounts]) -> Vec<Eval> {
        let one = |((cell, amounts), old): ((&Cell, &Amounts), &Eval)| {
            if cell.boundless { *old } else { evaluate(medium, cell.volume, amounts, old.t) }
        };
        self.cells.iter().zip(amounts).zip(&moment.evals).map(one).collect()
    }

    /// Heat from the wall into the fluid (W) at a state, with the wall's own change over the step taken along.
    fn from_wall(cell: &Cell, wall: f64, eval: &Eval, dt: f64) -> f64 {
        let (inner, outer, felt) = (cell.inner_at(eval), cell.outer_at(eval), cell.felt(eval));
        let hold = cell.wall / dt;
        let t = (hold * wall + outer * cell.around + inner * felt) / (hold + outer + inner).max(1e-30);
        inner * (t - felt)
    }

    /// The linear system of one round: how amounts must change so that each is its value before plus what flows in.
    fn assemble<const K: usize>(
        &self,
        medium: &Medium,
        moment: &Moment,
        made: &Made,
        room: &mut Room<K>,
        dt: f64,
    ) {
        room.system.clear(&self.pattern);
        let count = self.cells.len();
        room.right.clear();
        room.right.resize(count, [0.0; K]);
        room.bumped.clear();
        room.bumps.clear();
        for (at, cell) in self.cells.iter().enumerate() {
            let (amounts, eval) = (&made.amounts[at], &made.evals[at]);
            let diagonal = self.pattern.place(at, at).unwrap_or(0);
            let mut bumped = [*eval; K];
            let mut bumps = [1.0; K];
            let block = &mut room.system.blocks[diagonal];
            for k in 0..K {
                block[k][k] = 1.0;
                room.right[at][k] = moment.amounts[at][self.counted[k]] - amounts[self.counted[k]];
            }
            if !cell.boundless {
                let mass = amounts[0].max(0.0) + amounts[GASES..].iter().sum::<f64>().max(0.0);
                // Slopes are taken on the cell's own side of the saturation curve: away from the nearer edge.
                let (more, warmer) = match eval.alpha {
                    alpha if alpha >= 1.0 => (1.0, -1.0),
                    alpha if alpha > 0.5 => (-1.0, 1.0),
                    alpha if alpha > 0.0 => (1.0, -1.0),
                    _ => (-1.0, 1.0),
                };
                for k in 0..K {
                    let kind = self.counted[k];
                    bumps[k] = match kind {
                        ENERGY => warmer * 12.0 * mass.max(1e-6 * cell.volume),
                        0 => more * 1e-5 * amounts[kind].abs().max(1e-4 * mass).max(1e-5 * cell.volume),
                        _ => 1e-5 * amounts[kind].abs().max(1e-4 * mass).max(1e-5 * cell.volume),
                    };
                    let mut other = *amounts;
                    other[kind] += bumps[k];
                    bumped[k] = evaluate(medium, cell.volume, &other, eval.t);
                }
                let heat = |eval: &Eval| Self::from_wall(cell, moment.walls[at], eval, dt);
                let here = heat(eval);
                room.right[at][1] += dt * (here + cell.heater);
                for k in 0..K {
                    block[1][k] -= dt * (heat(&bumped[k]) - here) / bumps[k];
                }
            }
            room.bumped.push(bumped);
            room.bumps.push(bumps);
        }
        for (link, places) in self.links.iter().zip(&self.places) {
            self.put_link(link, places, made, room, dt);
        }
    }

    fn put_link<const K: usize>(
        &self,
        link: &Link,
        places: &[usize; 4],
        made: &Made,
        room: &mut Room<K>,
        dt: f64,
    ) {
        let (a, b) = (link.a.cell, link.b.cell);
        let cells = [&self.cells[a], &self.cells[b]];
        let ends = [&made.evals[a], &made.evals[b]];
        let here = flux(link, cells, ends[0], ends[1]);
        for k in 0..K {
            room.right[a][k] -= dt * here.out[self.counted[k]];
            room.right[b][k] += dt * here.into[self.counted[k]];
        }
        for side in 0..2 {
            let cell = [a, b][side];
            if self.cells[cell].boundless {
                continue;
            }
            // By pressure over a very small change, as the slope near no difference is steep; by what leaves the cell over a larger one.
            let base = ends[side];
            let with = |eval: &Eval| {
                if side == 0 { flux(link, cells, eval, ends[1]) } else { flux(link, cells, ends[0], eval) }
            };
            let push = 1e-7 * base.p + 1e-4;
            let pushed = with(&Eval { p: base.p + push, ..*base });
            for k in 0..K {
                let bumped = &room.bumped[cell][k];
                let there = with(&Eval { p: base.p, ..*bumped });
                let per = dt / room.bumps[cell][k];
                let by_pressure = per * (bumped.p - base.p) / push;
                // places: [aa, ab, ba, bb]
                for row in 0..K {
                    let kind = self.counted[row];
                    let out = per * (there.out[kind] - here.out[kind])
                        + by_pressure * (pushed.out[kind] - here.out[kind]);
                    let into = per * (there.into[kind] - here.into[kind])
                        + by_pressure * (pushed.into[kind] - here.into[kind]);
                    room.system.blocks[places[side]][row][k] += out;
                    room.system.blocks[places[2 + side]][row][k] -= into;
                }
            }
        }
    }

    /// How much a value that depends on a cell's state changes with the round's step, to first order.
    fn linear<const K: usize>(room: &Room<K>, at: usize, here: f64, of: impl Fn(&Eval) -> f64) -> f64 {
        (0..K).map(|k| (of(&room.bumped[at][k]) - here) / room.bumps[at][k] * room.right[at][k]).sum()
    }

    /// How large the round's step is against what Newton's method must come down to.
    fn moves<const K: usize>(&self, made: &Made, room: &Room<K>) -> f64 {
        let mut most = 0.0f64;
        for (at, cell) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let eval = &made.evals[at];
            // Flow near no difference bends within some hundred pascals; a liquid's pressure follows it by itself.
            let part = if eval.alpha > 0.999 { 5e-3 } else { 7e-4 };
            let p = Self::linear(room, at, eval.p, |eval| eval.p).abs() / (part * eval.p + 0.5);
            let amounts = &made.amounts[at];
            let mass = amounts[0] + amounts[GASES..].iter().sum::<f64>();
            let m: f64 = self
                .counted
                .iter()
                .zip(&room.right[at])
                .filter(|(kind, _)| **kind != ENERGY)
                .map(|(_, part)| part.abs())
                .sum();
            let m = m / (7e-4 * mass + 1e-5 * cell.volume);
            let t = Self::linear(room, at, eval.t, |eval| eval.t).abs() / 0.5;
            let here = p.max(m).max(t);
            if !here.is_finite() {
                return f64::NAN;
            }
            most = most.max(here);
        }
        most
    }

    /// How far the states after a round are from where it pointed.
    fn strays<const K: usize>(&self, made: &Made, room: &Room<K>, after: &[Eval]) -> f64 {
        let mut most = 0.0f64;
        for (at, _) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let (eval, new) = (&made.evals[at], &after[at]);
            let p = eval.p + Self::linear(room, at, eval.p, |eval| eval.p);
            let t = eval.t + Self::linear(room, at, eval.t, |eval| eval.t);
            most = most.max((new.p - p).abs() / (2e-3 * new.p + 2.0)).max((new.t - t).abs() / 0.1);
        }
        most
    }

    /// The walls after the step, and the heat from outside (J); the second number is nothing yet.
    fn exchanged<const K: usize>(
        &self,
        moment: &Moment,
        walls: &mut Vec<f64>,
        evals: &[Eval],
        room: &Room<K>,
        dt: f64,
    ) -> (f64, f64) {
        walls.clear();
        let mut heat = 0.0;
        for (at, cell) in self.cells.iter().enumerate() {
            let wall = moment.walls[at];
            if cell.boundless {
                walls.push(wall);
                continue;
            }
            let of = |eval: &Eval| Self::from_wall(cell, wall, eval, dt);
            let here = of(&evals[at]);
            let given = here + Self::linear(room, at, here, of);
            let outer = cell.outer_at(&evals[at]);
            let hold = cell.wall / dt;
            let t = (hold * wall + outer * cell.around - given) / (hold + outer).max(1e-30);
            heat += dt * (outer * (cell.around - t) + cell.heater);
            walls.push(t);
        }
        (heat, 0.0)
    }

    /// Power that machines add, W, with the round's step taken along.
    fn work<const K: usize>(&self, made: &Made, room: &Room<K>) -> f64 {
        let mut power = 0.0;
        for link in self.links.iter().filter(|link| !matches!(link.law, super::network::Law::Passage(_))) {
            let (a, b) = (link.a.cell, link.b.cell);
            let cells = [&self.cells[a], &self.cells[b]];
            let added = |one: &Eval, other: &Eval| {
                let flux = flux(link, cells, one, other);
                flux.into[ENERGY] - flux.out[ENERGY]
            };
            let (one, other) = (&made.evals[a], &made.evals[b]);
            let here = added(one, other);
            power += here
                + Self::linear(room, a, here, |eval| added(eval, other))
                + Self::linear(room, b, here, |eval| added(one, eval));
        }
        power
    }
}

/// A step before it is kept.
#[derive(Clone, Debug, Default)]
struct Made {
    amounts: Vec<Amounts>,
    evals: Vec<Eval>,
    walls: Vec<f64>,
    heat: f64,
    work: f64,
}

impl Moment {
    /// After something was changed from outside: the step before says nothing any more.
    pub(crate) fn disturb(&mut self) {
        self.before = None;
        self.next = self.next.min(FIRST);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::super::cell::{GAS, NITROGEN, thermal};
    use super::super::network::{Draw, Gate, Law, LinkEnd, Passage};
    use super::*;

    fn vessel(volume: f64, boundless: bool) -> Cell {
        Cell { volume, wall: 1.0, inner: 0.0, outer: 0.0, around: 293.15, heater: 0.0, coil: None, boundless }
    }

    fn hole(area: f64) -> Law {
        Law::Passage(Passage { area, laminar: 0.0, molecular: 0.0, open: 1.0, back: 1.0, gate: Gate::Free })
    }

    fn nitrogen(volume: f64, p: f64) -> Amounts {
        let mut amounts = [1e-9 * volume, 0.0, 0.0, p * volume / (GAS[1].constant() * 293.15), 0.0];
        amounts[ENERGY] = thermal(&amounts, 293.15) + amounts[0] * 4e5;
        amounts
    }

    /// Nitrogen in an insulated vessel through a hole, choked: the closed solution for an ideal gas with constant heat capacities (any textbook of gas
    /// dynamics): p/p0 = (1 + (k-1)/2 c A/V sqrt(p0/rho0) t)^(-2k/(k-1)), c = 0.6847.
    #[test]
    fn a_vessel_blows_down_as_the_closed_solution_says() {
        let medium = Medium::named("R-134a").unwrap();
        let (volume, p0, area) = (0.01, 20e5, 2e-6);
        let end = |cell| LinkEnd { cell, draw: Draw::Mixed };
        let mut network = Network {
            cells: vec![vessel(volume, false), vessel(1.0, true)],
            links: vec![Link { a: end(0), b: end(1), drop: 0.0, law: hole(area) }],
            ..Network::default()
        };
        let mut moment = Moment {
            amounts: vec![nitrogen(volume, p0), nitrogen(1.0, 1e5)],
            walls: vec![293.15; 2],
            next: FIRST,
            ..Moment::default()
        };
        network.evaluate(&medium, &mut moment);
        network.relink();
        network.count(&moment);
        let (mut scratch, mut statistics) = (Scratch::default(), Statistics::default());
        let accuracy = Accuracy { tolerance: 1e-4, longest: 10.0 };
        let rho0 = moment.amounts[0][NITROGEN] / volume;
        let mut t = 0.0;
        while t < 20.0 {
            let done = network.step(&medium, &mut moment, &mut scratch, &accuracy, 20.0 - t, &mut statistics);
            t += done.seconds;
            let exact = p0 * libm::pow(1.0 + 0.2 * 0.6847 * area / volume * (p0 / rho0).sqrt() * t, -7.0);
            if exact > 2.2e5 {
                let found = moment.evals[0].p;
                assert!((found / exact - 1.0).abs() < 0.01, "{t} s: {found} Pa, {exact} Pa");
            }
        }
        assert!(t >= 20.0 && moment.evals[0].p < 0.75 * p0 && statistics.forced == 0, "{statistics:?}");
    }

    /// A vacuum pump on a vessel without resistance: t = V/S ln((p0 - pu)/(p1 - pu)) (isothermal; a vacuum pump maker's page, and any textbook).
    #[test]
    fn a_pump_takes_the_time_of_the_formula() {
        let medium = Medium::named("R-134a").unwrap();
        let (volume, swept, ultimate) = (0.02, 2.36e-3, 2.0);
        let end = |cell| LinkEnd { cell, draw: Draw::Mixed };
        let law = Law::Vacuum { swept, ultimate, speed: 1.0 };
        // Walls of much heat keep it at one temperature.
        let warm = Cell { wall: 1e6, inner: 1e5, ..vessel(volume, false) };
        let mut network = Network {
            cells: vec![warm, vessel(1.0, true)],
            links: vec![Link { a: end(0), b: end(1), drop: 0.0, law }],
            ..Network::default()
        };
        let mut moment = Moment {
            amounts: vec![nitrogen(volume, 1e5), nitrogen(1.0, 1e5)],
            walls: vec![293.15; 2],
            next: FIRST,
            ..Moment::default()
        };
        network.evaluate(&medium, &mut moment);
        network.relink();
        network.count(&moment);
        let (mut scratch, mut statistics) = (Scratch::default(), Statistics::default());
        let accuracy = Accuracy { tolerance: 5e-5, longest: 10.0 };
        let mut t = 0.0;
        while moment.evals[0].p > 66.66 && t < 300.0 {
            t += network
                .step(&medium, &mut moment, &mut scratch, &accuracy, 300.0 - t, &mut statistics)
                .seconds;
        }
        let p1 = moment.evals[0].p;
        let exact = volume / swept * libm::log((1e5 - ultimate) / (p1 - ultimate));
        assert!((t / exact - 1.0).abs() < 0.015, "{t} s, {exact} s by the formula, {statistics:?}");
    }
}
