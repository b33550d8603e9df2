//! The search core on a domain that has nothing to do with refrigeration: power supply restoration, the published relative of valve
//! isolation (4th International Planning Competition, 2004, domain `psr-middle-derived-predicates-adl`, problems 1 to 7).
//!
//! The optimal costs were found with a general-purpose planner (Fast Downward, blind A*; one for each open, close and wait). The plans are
//! replayed by an executor that reads the domain's derived predicates literally, and shares no code with the model.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at the first surprise")]

#[path = "../examples/support/supply.rs"]
mod supply;

use std::collections::BTreeSet;

use stemwise_search::{Outcome, search};
use supply::{Step, Supply};

const PROBLEMS: [(&str, u64); 7] = [
    (include_str!("data/psr/p1.pddl"), 4),
    (include_str!("data/psr/p2.pddl"), 3),
    (include_str!("data/psr/p3.pddl"), 5),
    (include_str!("data/psr/p4.pddl"), 4),
    (include_str!("data/psr/p5.pddl"), 5),
    (include_str!("data/psr/p6.pddl"), 10),
    (include_str!("data/psr/p7.pddl"), 3),
];

/// The domain's derived predicates, taken from the facts of the file word by word until nothing more follows.
struct Literal {
    devices: usize,
    /// (line, device, side), sides 0 and 1.
    ext: BTreeSet<(usize, usize, usize)>,
    /// (device, side, device, side).
    con: BTreeSet<(usize, usize, usize, usize)>,
    faulty: BTreeSet<usize>,
    breakers: BTreeSet<usize>,
    wanted: BTreeSet<usize>,
    closed: BTreeSet<usize>,
}

impl Literal {
    /// From the text, line by line: every fact of these files stands on a line of its own.
    fn read(text: &str, supply: &Supply) -> Self {
        let device = |name: &str| supply.devices.iter().position(|known| known == name).unwrap();
        let line = |name: &str| supply.lines.iter().position(|known| known == name).unwrap();
        let side = |name: &str| if name == "side1" { 0 } else { 1 };
        let mut read = Self {
            devices: supply.devices.len(),
            ext: BTreeSet::new(),
            con: BTreeSet::new(),
            faulty: BTreeSet::new(),
            breakers: BTreeSet::new(),
            wanted: BTreeSet::new(),
            closed: BTreeSet::new(),
        };
        for text in text.lines() {
            let words: Vec<&str> = text.trim().trim_matches(['(', ')']).split_whitespace().collect();
            match words[..] {
                ["ext", l, x, s] => drop(read.ext.insert((line(l), device(x), side(s)))),
                ["con", x, s, y, t] => drop(read.con.insert((device(x), side(s), device(y), side(t)))),
                ["faulty", l] => drop(read.faulty.insert(line(l))),
                ["breaker", x] => drop(read.breakers.insert(device(x))),
                ["closed", x] => drop(read.closed.insert(device(x))),
                ["fed", l] => drop(read.wanted.insert(line(l))),
                _ => {}
            }
        }
        read
    }

    fn ends(&self) -> impl Iterator<Item = (usize, usize)> + Clone {
        let devices = self.devices;
        (0..devices).flat_map(|device| [(device, 0), (device, 1)])
    }

    /// `unsafe`: current that enters a closed device here comes to a faulty line.
    fn faults(&self) -> BTreeSet<(usize, usize)> {
        let mut found = BTreeSet::new();
        loop {
            let follows = |&(x, side): &(usize, usize)| {
                let other = 1 - side;
                let hit = self.ext.iter().any(|&(line, at, to)| {
                    let beyond = || {
                        self.ends()
                            .any(|(y, t)| self.con.contains(&(x, other, y, t)) && found.contains(&(y, t)))
                    };
                    at == x && to == other && (self.faulty.contains(&line) || beyond())
                });
                self.closed.contains(&x) && hit
            };
            let more: Vec<_> = self.ends().filter(|end| !found.contains(end)).filter(follows).collect();
            if more.is_empty() {
                return found;
            }
            found.extend(more);
        }
    }

    fn affected(&self) -> BTreeSet<usize> {
        let faults = self.faults();
        let hit = |x: &&usize| [0, 1].iter().any(|&side| faults.contains(&(**x, side)));
        self.breakers.iter().filter(hit).copied().collect()
    }

    /// `upstream` from breakers: (y, side) that current from a closed breaker arrives at.
    fn arrives(&self) -> BTreeSet<(usize, usize)> {
        let mut found = BTreeSet::new();
        for &x in self.breakers.intersection(&self.closed) {
            found.extend(
                self.ends().filter(|&(y, t)| [0, 1].iter().any(|&s| self.con.contains(&(x, s, y, t)))),
            );
        }
        loop {
            let follows = |&(y, t): &(usize, usize)| {
                self.ends().any(|(z, side)| {
                    self.closed.contains(&z)
                        && self.con.contains(&(z, side, y, t))
                        && found.contains(&(z, 1 - side))
                })
            };
            let more: Vec<_> = self.ends().filter(|end| !found.contains(end)).filter(follows).collect();
            if more.is_empty() {
                return found;
            }
            found.extend(more);
        }
    }

    fn fed(&self, line: usize) -> bool {
        let arrives = self.arrives();
        self.ext.iter().any(|&(at, x, side)| {
            at == line
                && self.closed.contains(&x)
                && (self.breakers.contains(&x) || arrives.contains(&(x, 1 - side)))
        })
    }

    fn step(&mut self, step: Step) {
        let affected = self.affected();
        match step {
            Step::Wait => {
                assert!(!affected.is_empty(), "nothing to wait for");
                self.closed.retain(|x| !affected.contains(x));
            }
            Step::Open(x) => assert!(affected.is_empty() && self.closed.remove(&x)),
            Step::Close(x) => assert!(affected.is_empty() && self.closed.insert(x)),
        }
    }
}

#[test]
fn optima_equal_those_of_a_general_purpose_planner() {
    for (at, (text, optimum)) in (1..).zip(PROBLEMS) {
        let problem = Supply::read(text).unwrap();
        let Outcome::Solved { plan, cost } = search(&problem, problem.closed, 1_000_000).outcome else {
            panic!("problem {at} is not solved");
        };
        assert_eq!(cost, optimum, "problem {at}");
        let mut literal = Literal::read(text, &problem);
        assert!(!literal.wanted.is_empty());
        for &step in &plan {
            literal.step(step);
        }
        assert!(literal.affected().is_empty(), "problem {at}");
        assert!(literal.wanted.iter().all(|&line| literal.fed(line)), "problem {at}");
        assert_eq!(plan.len() as u64, cost, "problem {at}");
    }
}

#[test]
fn states_expanded_are_pinned() {
    let expanded = |text: &str| {
        let problem = Supply::read(text).unwrap();
        search(&problem, problem.closed, 1_000_000).statistics.expanded
    };
    assert_eq!(PROBLEMS.map(|(text, _)| expanded(text)), [83, 6, 385, 113, 663, 26_741, 6]);
}

#[test]
fn a_broken_problem_is_refused() {
    let text = PROBLEMS[0].0;
    assert!(Supply::read(&text.replace("(fed l1)", "(fed l99)")).is_err());
    assert!(Supply::read(&text.replace("(con sd2 side1 cb1 side2)", "(con sd2 side1 cb1)")).is_err());
    assert!(Supply::read(&text.replace("(faulty l3)", "(broken l3)")).is_err());
    assert!(Supply::read(text.trim_end().trim_end_matches(')')).is_err());
}
