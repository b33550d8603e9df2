//! Steps in time: backward differentiation of second and of first order with Newton's method over all cells at once, and a step size that follows the error.
//!
//! What leaves one cell enters another in the same row sums, so mass and energy are kept to rounding whatever Newton's method did.
//! Second order (`past`) is for what goes smoothly. First order, implicit Euler, keeps amounts positive where small spaces are flushed thousands of times
//! within a step, and liquid that fills a space is one kink in a rising function, over which Newton's method goes in two or three rounds; a step where
//! either happens is of first order.

use super::block::{Pattern, System};
use super::cell::{Amounts, COUNTED, ENERGY, Eval, GASES, WATER, evaluate};
use super::medium::Medium;
use super::network::{Cell, Flux, Law, Link, flux};
use super::number::{Number, Sloped};
use super::past::{Base, Past, ahead, errors, filled_or_parted};

/// Cells, links, and which of what is counted is there.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Network {
    pub(crate) cells: Vec<Cell>,
    pub(crate) links: Vec<Link>,
    /// Which amounts are reckoned: refrigerant and energy always, gases where there are any.
    pub(crate) counted: Vec<usize>,
    pattern: Pattern,
    /// For each cell the place of its own block, for each link those of its four.
    diagonals: Vec<usize>,
    places: Vec<[usize; 4]>,
}

/// What changes in time.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Moment {
    pub(crate) amounts: Vec<Amounts>,
    /// Temperatures of the walls, K.
    pub(crate) walls: Vec<f64>,
    pub(crate) evals: Vec<Eval>,
    /// Water on the walls, liquid or ice, kg; empty while nothing is wet.
    pub(crate) damp: Vec<f64>,
    /// Refrigerant dissolved in the oil of each cell, kg; empty where there is no oil.
    pub(crate) oil: Vec<f64>,
    /// What the last step changed, and the one before it; none after something was changed from outside.
    pub(crate) last: Option<Past>,
    pub(crate) earlier: Option<Past>,
    /// Whether the next step is of first order: liquid came to fill a cell within the last step, or no longer does, or first order goes further.
    rough: bool,
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
    /// Steps that were thrown away and tried again, shorter or of first order.
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
/// A step of first order may be off by so many times as much: it is taken where things jump; and where what flows to and fro between near spaces, faster than
/// anyone cares, would have steps of second order follow each swing, while those of first order go so many times as far and bring it to rest.
const ROUGH: f64 = 8.0;
const ROUGHER: f64 = 1.25;

/// Room for the numbers of a step, kept between steps.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch {
    two: Room<2>,
    three: Room<3>,
    four: Room<4>,
    five: Room<5>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Room<const K: usize> {
    system: System<K>,
    pub(super) right: Vec<[f64; K]>,
    /// The states that the round starts from, with their slopes by what is counted.
    pub(super) states: Vec<Eval<Sloped<K>>>,
    /// And those that it comes to.
    after: Vec<Eval<Sloped<K>>>,
}

impl Network {
    /// After cells or links have changed.
    pub(crate) fn relink(&mut self) {
        let pairs: Vec<(usize, usize)> = self.links.iter().map(|link| (link.a.cell, link.b.cell)).collect();
        self.pattern = Pattern::new(self.cells.len(), &pairs);
        let at = |a, b| self.pattern.place(a, b).unwrap_or(0);
        self.diagonals = (0..self.cells.len()).map(|cell| at(cell, cell)).collect();
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
            if self.links.iter().any(can_leave) || gas == WATER && !moment.damp.is_empty() {
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

    /// The cells on the other side of each passage of a cell that is open at this moment.
    pub(crate) fn beside(&self, moment: &Moment, at: usize) -> impl Iterator<Item = usize> {
        let open = |link: &&Link| moment.evals.get(link.b.cell).is_some_and(|eval| link.law.joins(eval.p));
        self.links.iter().filter(open).filter_map(move |link| match (link.a.cell, link.b.cell) {
            (a, b) if a == at => Some(b),
            (a, b) if b == at => Some(a),
            _ => None,
        })
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
        let mut second = moment.last.is_some() && !moment.rough;
        loop {
            let forced = dt <= SHORTEST * 1.001;
            second &= !forced;
            let base = Base::new(moment, dt, second);
            let made = self.attempt(medium, moment, &base, room, forced, statistics);
            let bent = made.as_ref().is_some_and(|made| moment.bends(made));
            if second && (bent || made.is_none()) {
                // Where liquid fills a cell, or amounts would be less than nothing, the step before is no guide.
                second = false;
                statistics.rejected += 1;
                continue;
            }
            let Some(made) = made else {
                if forced {
                    return self.pass_over(moment, dt, statistics);
                }
                statistics.rejected += 1;
                cut_short = false;
                dt = (dt * 0.25).max(SHORTEST);
                continue;
            };
            let judged = self.judge(moment, &made, dt, second, bent, accuracy.tolerance);
            if judged.off <= 2.5 || forced {
                let wanted = dt * judged.factor;
                // A step cut short by `most` says nothing about the next.
                let next = if cut_short && judged.factor > 0.7 { moment.next.max(wanted) } else { wanted };
                moment.rough = judged.rough;
                return self.keep(moment, base, made, dt, next, statistics);
            }
            statistics.rejected += 1;
            cut_short = false;
            second = moment.last.is_some() && !judged.rough;
            dt = (dt * judged.factor.min(0.5)).max(SHORTEST);
        }
    }

    /// What a step's error says about it and about the next.
    fn judge(
        &self,
        moment: &Moment,
        made: &Made,
        dt: f64,
        second: bool,
        bent: bool,
        tolerance: f64,
    ) -> Judged {
        let (errors, swings) = errors(&self.cells, &self.counted, moment, &made.amounts, dt);
        let first = errors[0] / (ROUGH * tolerance);
        let (off, root) =
            if moment.earlier.is_some() { (errors[1] / tolerance, 1.0 / 3.0) } else { (first, 0.5) };
        let factor = |off: f64, root: f64| libm::pow(0.9 / off.max(1e-9), root).clamp(0.2, 2.0);
        let factors = [factor(first, 0.5), factor(off, root)];
        let rough = bent || swings && factors[0] > ROUGHER * factors[1];
        Judged { off: if second { off } else { first }, factor: factors[usize::from(!rough)], rough }
    }

    /// Not even the shortest step goes: the moment stays as it is for so long. It is counted, and tests allow none.
    fn pass_over(&self, moment: &mut Moment, dt: f64, statistics: &mut Statistics) -> Done {
        statistics.steps += 1;
        statistics.forced += 1;
        (moment.last, moment.earlier) = (None, None);
        moment.next = 10.0 * dt;
        Done { seconds: dt, heat: 0.0, work: 0.0 }
    }

    fn keep(
        &self,
        moment: &mut Moment,
        base: Base,
        made: Made,
        dt: f64,
        next: f64,
        statistics: &mut Statistics,
    ) -> Done {
        statistics.steps += 1;
        let (heat, work) = (base.heat + made.heat, base.work + made.work);
        let less = |new: &[f64], old: &[f64]| new.iter().zip(old).map(|(new, old)| new - old).collect();
        let changes = made.amounts.iter().zip(&moment.amounts);
        let past = Past {
            seconds: dt,
            amounts: changes.map(|(new, old)| core::array::from_fn(|kind| new[kind] - old[kind])).collect(),
            walls: less(&made.walls, &moment.walls),
            damp: less(&made.damp, &moment.damp),
            oil: less(&made.oil, &moment.oil),
            heat,
            work,
        };
        moment.earlier = moment.last.replace(past);
        moment.amounts = made.amounts;
        moment.evals = made.evals;
        moment.walls = made.walls;
        moment.damp = made.damp;
        moment.oil = made.oil;
        moment.next = next;
        Done { seconds: dt, heat, work }
    }

    /// A step of that length; none where Newton's method doesn't come to an end.
    fn attempt<const K: usize>(
        &self,
        medium: &Medium,
        moment: &Moment,
        base: &Base,
        room: &mut Room<K>,
        forced: bool,
        statistics: &mut Statistics,
    ) -> Option<Made> {
        let mut amounts = ahead(&self.cells, moment, base.seconds);
        room.states.clear();
        let cells = self.cells.iter().zip(&amounts).zip(&moment.evals);
        room.states.extend(cells.map(|((cell, amounts), old)| self.state(medium, cell, amounts, old)));
        for round in 0..ROUNDS {
            statistics.rounds += 1;
            self.assemble(base, &amounts, room);
            if !room.system.factor(&self.pattern) {
                return None;
            }
            room.system.solve(&self.pattern, &mut room.right);
            let moves = self.moves(&amounts, room);
            if !moves.is_finite() {
                return None;
            }
            // Where two kinks face each other, whole steps may go to and fro for ever; half a step is never the last.
            let half = matches!(round, 3 | 5 | 7);
            if half {
                room.right.iter_mut().flatten().for_each(|part| *part *= 0.5);
            }
            let old = amounts.clone();
            for (amounts, change) in amounts.iter_mut().zip(&room.right) {
                for (&kind, part) in self.counted.iter().zip(change) {
                    amounts[kind] += part;
                }
            }
            room.after.clear();
            let cells = self.cells.iter().zip(&amounts).zip(&room.states);
            room.after.extend(
                cells.map(|((cell, amounts), old)| {
                    self.state(medium, cell, amounts, &old.each(Sloped::plain))
                }),
            );
            let strays = self.strays(room);
            let stopped = self.stop_at_kinks(medium, &old, &mut amounts, room);
            // A cell that was stopped has lost what flowed to it: never in what is kept.
            let last = forced && round + 1 == ROUNDS && !stopped;
            // Flow that hardly knows which way to go may swing between two answers, both of which keep mass and energy: either will do, if the
            // pressures are where the round pointed; the error of the step judges it.
            // One round alone is enough only where hardly anything moved: otherwise two states may take turns for ever. What is left over counts as an
            // error of the step, so it has to be small beside that.
            let enough = match round {
                0 => 0.03,
                1..=3 => 0.1,
                _ => 20.0,
            };
            let done = strays < 1.0 && moves < enough && !half && !stopped;
            let oil = self.left_in_oil(base, room);
            if (done || last) && self.put_back(base, &mut amounts, &room.after, &oil) {
                let (walls, heat) = self.exchanged(base, room);
                let work = self.work(room) * base.h;
                let evals = room.after.iter().map(|state| state.each(Sloped::plain)).collect();
                let damp = self.left_damp(base, room);
                statistics.forced += u64::from(last && !done);
                let made = Made { amounts, evals, walls, heat, work, damp, oil };
                return (forced || self.sound(moment, &made)).then_some(made);
            }
            core::mem::swap(&mut room.states, &mut room.after);
        }
        None
    }

    /// A cell's state with its slopes; one without bounds stays as it is.
    fn state<const K: usize>(
        &self,
        medium: &Medium,
        cell: &Cell,
        amounts: &Amounts,
        old: &Eval,
    ) -> Eval<Sloped<K>> {
        if cell.boundless {
            return old.each(Sloped::fixed);
        }
        let mut sloped = amounts.map(Sloped::fixed);
        for (place, &kind) in self.counted.iter().enumerate() {
            sloped[kind] = Sloped::variable(amounts[kind], place);
        }
        evaluate(medium, cell.volume, &sloped, old.t)
    }

    /// A cell that would go far over the edge between liquid alone and two phases, where the slope changes by orders, is stopped at the edge; the
    /// next round sees the slope beyond. True where one was; such a round is never the last, so no amount is lost.
    fn stop_at_kinks<const K: usize>(
        &self,
        medium: &Medium,
        old: &[Amounts],
        amounts: &mut [Amounts],
        room: &mut Room<K>,
    ) -> bool {
        let mut stopped = false;
        for (at, cell) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let plain = |state: &Eval<Sloped<K>>| (state.alpha.value, state.p.value);
            let ((from, p), (to, p_to)) = (plain(&room.states[at]), plain(&room.after[at]));
            // What strays less needs no stop.
            let fills = from < 1.0 && to >= 1.0 && p_to > 1.002 * p + 2.0;
            let parts = from >= 1.0 && to < 1.0 && p > 1.002 * p_to + 2.0 && to > 0.0;
            if !fills && !parts {
                continue;
            }
            stopped = true;
            let (start, goal, t) = (old[at], amounts[at], room.states[at].t.value);
            let along = |part: f64| -> Amounts {
                core::array::from_fn(|kind| start[kind] + part * (goal[kind] - start[kind]))
            };
            let (mut near, mut far) = (0.0, 1.0);
            for _ in 0..26 {
                let half = 0.5 * (near + far);
                let there = evaluate(medium, cell.volume, &along(half), t);
                if (there.alpha >= 1.0) == (to >= 1.0) { far = half } else { near = half }
            }
            amounts[at] = along(far);
            let plain = room.states[at].each(Sloped::plain);
            room.after[at] = self.state(medium, cell, &amounts[at], &plain);
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
            // What was less before may swing in its last digits: else every second step would be none.
            let fits = |kind: usize| kind == ENERGY || amounts[kind] >= least.min(old[kind] + 1e-4 * least);
            (0..COUNTED).all(|kind| amounts[kind].is_finite() && fits(kind))
        }) && made.damp.iter().zip(&moment.damp).all(|(new, old)| *new >= old.min(0.0))
    }

    /// The linear system of one round: how amounts must change so that each is its value before plus what flows in.
    fn assemble<const K: usize>(&self, base: &Base, amounts: &[Amounts], room: &mut Room<K>) {
        let dt = base.h;
        room.system.clear(&self.pattern);
        room.right.clear();
        for (at, cell) in self.cells.iter().enumerate() {
            let mut right: [f64; K] =
                core::array::from_fn(|k| base.amounts[at][self.counted[k]] - amounts[at][self.counted[k]]);
            let block = &mut room.system.blocks[self.diagonals[at]];
            for (k, row) in block.iter_mut().enumerate() {
                row[k] = 1.0;
            }
            if !cell.boundless {
                let heat = Self::from_wall(cell, base, at, &room.states[at]);
                right[1] += dt * (heat.value + cell.heater);
                for (slot, slope) in block[1].iter_mut().zip(&heat.slopes) {
                    *slot -= dt * slope;
                }
                let given = self.give_off(cell, base, at, &room.states[at]);
                for (row, flow) in given.into_iter().flatten() {
                    right[row] += dt * flow.value;
                    for (slot, slope) in block[row].iter_mut().zip(&flow.slopes) {
                        *slot -= dt * slope;
                    }
                }
            }
            room.right.push(right);
        }
        for (link, places) in self.links.iter().zip(&self.places) {
            self.put_link(link, places, room, dt);
        }
    }

    /// What passes a link at the states of both ends, by what one of the ends holds.
    fn flux_by<const K: usize>(&self, link: &Link, room: &Room<K>, by_a: bool) -> Flux<Sloped<K>> {
        let cells = [&self.cells[link.a.cell], &self.cells[link.b.cell]];
        let (a, b) = (&room.states[link.a.cell], &room.states[link.b.cell]);
        let fixed = |state: &Eval<Sloped<K>>| state.each(|number| Sloped::fixed(number.value));
        if by_a { flux(link, cells, a, &fixed(b)) } else { flux(link, cells, &fixed(a), b) }
    }

    fn put_link<const K: usize>(&self, link: &Link, places: &[usize; 4], room: &mut Room<K>, dt: f64) {
        let ends = [link.a.cell, link.b.cell];
        let (mut first, shut) = (true, link.law.is_shut());
        for side in 0..2 {
            if shut || self.cells[ends[side]].boundless && !(side == 1 && first) {
                continue;
            }
            let there = self.flux_by(link, room, side == 0);
            for row in 0..K {
                let kind = self.counted[row];
                let (out, into) = (&there.out[kind], &there.into[kind]);
                if first {
                    room.right[ends[0]][row] -= dt * out.value;
                    room.right[ends[1]][row] += dt * into.value;
                }
                // places: [aa, ab, ba, bb]
                for k in 0..K {
                    room.system.blocks[places[side]][row][k] += dt * out.slopes[k];
                    room.system.blocks[places[2 + side]][row][k] -= dt * into.slopes[k];
                }
            }
            first = false;
        }
    }

    /// How large the round's step is against what Newton's method must come down to.
    fn moves<const K: usize>(&self, amounts: &[Amounts], room: &Room<K>) -> f64 {
        let mut most = 0.0f64;
        for (at, cell) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let (state, right) = (&room.states[at], &room.right[at]);
            // Flow near no difference bends within some hundred pascals; a liquid's pressure follows it by itself.
            let part = if state.alpha.value > 0.999 { 5e-3 } else { 7e-4 };
            let p = state.p.change(right).abs() / (part * state.p.value + 0.5);
            let amounts = &amounts[at];
            let mass = amounts[0] + amounts[GASES..].iter().sum::<f64>();
            let parts = self.counted.iter().zip(right).filter(|(kind, _)| **kind != ENERGY);
            let m: f64 = parts.map(|(_, part)| part.abs()).sum();
            let m = m / (7e-4 * mass + 1e-5 * cell.volume);
            let t = state.t.change(right).abs() / 0.5;
            let here = p.max(m).max(t);
            if !here.is_finite() {
                return f64::NAN;
            }
            most = most.max(here);
        }
        most
    }

    /// How far the states after a round are from where it pointed.
    fn strays<const K: usize>(&self, room: &Room<K>) -> f64 {
        let mut most = 0.0f64;
        for (at, _) in self.cells.iter().enumerate().filter(|(_, cell)| !cell.boundless) {
            let (state, new, right) = (&room.states[at], &room.after[at], &room.right[at]);
            let p = state.p.value + state.p.change(right);
            let t = state.t.value + state.t.change(right);
            let off = (new.p.value - p).abs() / (2e-3 * new.p.value + 2.0);
            most = most.max(off).max((new.t.value - t).abs() / 0.1);
        }
        most
    }

    /// Power that machines add, W, with the round's step taken along.
    fn work<const K: usize>(&self, room: &Room<K>) -> f64 {
        let mut power = 0.0;
        for link in self.links.iter().filter(|link| !matches!(link.law, Law::Passage(_))) {
            let added = |by_a| {
                let flux = self.flux_by(link, room, by_a);
                flux.into[ENERGY] - flux.out[ENERGY]
            };
            let (one, other) = (added(true), added(false));
            power +=
                one.value + one.change(&room.right[link.a.cell]) + other.change(&room.right[link.b.cell]);
        }
        power
    }
}

/// What a step's error says.
#[derive(Clone, Copy, Debug)]
struct Judged {
    /// Its error, as a part of what is allowed.
    off: f64,
    /// By how much longer the next may be.
    factor: f64,
    /// Whether that is of first order.
    rough: bool,
}

/// A step before it is kept.
#[derive(Clone, Debug)]
struct Made {
    amounts: Vec<Amounts>,
    evals: Vec<Eval>,
    walls: Vec<f64>,
    heat: f64,
    work: f64,
    damp: Vec<f64>,
    oil: Vec<f64>,
}

impl Moment {
    /// Whether liquid comes to fill a cell within a step, or no longer does.
    fn bends(&self, made: &Made) -> bool {
        filled_or_parted(
            self.evals.iter().map(|eval| &eval.alpha).zip(made.evals.iter().map(|eval| &eval.alpha)),
        )
    }

    /// After something was changed from outside: the step before says nothing any more.
    pub(crate) fn disturb(&mut self) {
        (self.last, self.earlier) = (None, None);
        self.next = self.next.min(FIRST);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::super::cell::{GAS, NITROGEN, thermal};
    use super::super::network::{Draw, Gate, Law, LinkEnd, Passage};
    use super::*;
    use crate::equipment::vacuum::VacuumPump;

    fn vessel(volume: f64, boundless: bool) -> Cell {
        Cell {
            volume,
            wall: 1.0,
            inner: 0.0,
            outer: 0.0,
            around: 293.15,
            heater: 0.0,
            onto_wall: 0.0,
            coil: None,
            boundless,
            seep: None,
            pool: None,
        }
    }

    fn hole(area: f64) -> Law {
        Law::Passage(Passage { area, laminar: 0.0, rarefied: None, open: 1.0, back: 1.0, gate: Gate::Free })
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

    /// How long a vacuum pump takes on a vessel without resistance whose walls keep it at one temperature, from one pressure to another.
    fn pumped(volume: f64, pump: VacuumPump, [from, to]: [f64; 2]) -> (f64, f64) {
        let medium = Medium::named("R-134a").unwrap();
        let end = |cell| LinkEnd { cell, draw: Draw::Mixed };
        let law = Law::Vacuum { pump, speed: 1.0 };
        let warm = Cell { wall: 5e7 * volume, inner: 5e6 * volume, ..vessel(volume, false) };
        let mut network = Network {
            cells: vec![warm, vessel(1.0, true)],
            links: vec![Link { a: end(0), b: end(1), drop: 0.0, law }],
            ..Network::default()
        };
        let mut moment = Moment {
            amounts: vec![nitrogen(volume, from), nitrogen(1.0, 1e5)],
            walls: vec![293.15; 2],
            next: FIRST,
            ..Moment::default()
        };
        network.evaluate(&medium, &mut moment);
        network.relink();
        network.count(&moment);
        let (mut scratch, mut statistics) = (Scratch::default(), Statistics::default());
        let accuracy = Accuracy { tolerance: 1e-5, longest: 10.0 };
        let (mut t, mut before) = (0.0, (0.0, from));
        while moment.evals[0].p > to && t < 3600.0 {
            before = (t, moment.evals[0].p);
            t += network.step(&medium, &mut moment, &mut scratch, &accuracy, 60.0, &mut statistics).seconds;
        }
        assert!(statistics.forced == 0, "{statistics:?}");
        // Straight in the logarithm within the last step.
        let p = moment.evals[0].p;
        let part = libm::log(before.1 / to) / libm::log(before.1 / p);
        (before.0 + part * (t - before.0), p)
    }

    /// A vacuum pump on a vessel without resistance: t = V/S ln((p0 - pu)/(p1 - pu)) (isothermal; a vacuum pump maker's page, and any textbook).
    #[test]
    fn a_pump_takes_the_time_of_the_formula() {
        let (volume, swept, ultimate) = (0.02, 2.36e-3, 2.0);
        let pump = VacuumPump { ultimate_pa: ultimate, ..VacuumPump::two_stage(swept) };
        let (t, _) = pumped(volume, pump, [1e5, 66.66]);
        let exact = volume / swept * libm::log((1e5 - ultimate) / (66.66 - ultimate));
        assert!((t / exact - 1.0).abs() < 0.006, "{t} s, {exact} s by the formula");
    }

    /// Worked examples in print, of pumps whose ultimate pressure doesn't count: 1000 m³ from 1000 to 200 mbar within 10 minutes takes 160 m³/min
    /// (vacuum-guide.com); 1 m³ and 0.1 m³/s take 6.9, 23, 46 s from 1000 to 500, 100, 10 mbar (engineeringtoolbox.com, vacuum evacuation time);
    /// 6 ft³ and 4 ft³/min take 2.41 min from 30 to 6 inHg (Esposito, Fluid Power, example 14.6). To the last digit that is printed.
    #[test]
    fn pumps_take_the_times_of_worked_examples() {
        let feet = 0.3048 * 0.3048 * 0.3048;
        for (volume, per_second, from, to, seconds, digit) in [
            (1000.0, 160.0 / 60.0, 1e5, 2e4, 600.0, 5.0),
            (1.0, 0.1, 1e5, 5e4, 6.9, 0.08),
            (1.0, 0.1, 1e5, 1e4, 23.0, 0.5),
            (1.0, 0.1, 1e5, 1e3, 46.0, 0.5),
            (6.0 * feet, 4.0 / 60.0 * feet, 30.0 * 3386.39, 6.0 * 3386.39, 2.41 * 60.0, 1.0),
        ] {
            let pump = VacuumPump { ultimate_pa: 0.0, ..VacuumPump::two_stage(per_second) };
            let (t, p) = pumped(volume, pump, [from, to]);
            assert!((t - seconds).abs() < digit, "{volume} m3 to {p} Pa: {t} s, printed {seconds} s");
        }
    }
}
