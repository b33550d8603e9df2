//! Joins what the walks name: who is next to whom, and what is left over.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::element::{RawSpace, RawValve};
use super::problem::Problems;
use super::table::{At, nearest, shorten};
use crate::SpaceKind;

/// Where a pipe ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Terminal {
    /// A part or line; for a compressor its suction side.
    Space(usize),
    /// The discharge side of a compressor.
    Head(usize),
    /// The short passage between two devices.
    Stub(usize),
}

/// The ends of a valve as the walks name them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct ValveEnds {
    pub(crate) inlet: Option<Terminal>,
    pub(crate) outlet: Option<Terminal>,
    /// A reversing valve's four: discharge, suction, indoor, outdoor.
    pub(crate) four: [Option<Terminal>; 4],
}

/// The names of a reversing valve's ends, in the order of [`ValveEnds::four`].
pub(crate) const REVERSING_ENDS: [&str; 4] = ["discharge", "suction", "indoor", "outdoor"];

/// What the walks join.
pub(crate) struct Joined {
    pub(crate) ends: Vec<ValveEnds>,
    pub(crate) pipes: Vec<(Terminal, Terminal)>,
    pub(crate) stubs: Vec<String>,
    /// Whether every name was found; if not, what seems to hang apart may not.
    pub(crate) is_whole: bool,
}

#[derive(Clone, Copy)]
enum Element {
    Space(usize),
    Valve(usize),
    /// One end of a reversing valve.
    End(usize, usize),
}

struct Walker<'f, 'p, 't> {
    spaces: &'f [RawSpace],
    valves: &'f [RawValve],
    names: BTreeMap<&'f str, Element>,
    joined: Joined,
    /// How often something enters and leaves each space.
    uses: Vec<(usize, usize)>,
    unread: &'f BTreeSet<String>,
    /// Names beside something that was not found, or meant by it: what they lack is not their fault.
    excused: BTreeSet<String>,
    problems: &'p mut Problems<'t>,
}

pub(crate) fn walk_too_short(at: &Range<usize>, problems: &mut Problems<'_>) {
    problems.error(
        at,
        "walk-too-short",
        "a walk names at least two things",
        "name what comes next along the pipe",
    );
}

pub(crate) fn walk(
    spaces: &[RawSpace],
    valves: &[RawValve],
    unread: &BTreeSet<String>,
    walks: &[Vec<At<String>>],
    problems: &mut Problems<'_>,
) -> Joined {
    let named_spaces = spaces.iter().enumerate().map(|(at, space)| (space.id.as_str(), Element::Space(at)));
    let named_valves = valves.iter().enumerate().map(|(at, valve)| (valve.id.as_str(), Element::Valve(at)));
    let mut walker = Walker {
        spaces,
        valves,
        names: named_spaces.chain(named_valves).collect(),
        joined: Joined {
            ends: vec![ValveEnds::default(); valves.len()],
            pipes: Vec::new(),
            stubs: Vec::new(),
            is_whole: true,
        },
        uses: vec![(0, 0); spaces.len()],
        unread,
        excused: BTreeSet::new(),
        problems,
    };
    for names in walks {
        walker.walk(names);
    }
    walker.check_left_over();
    walker.joined.is_whole = walker.excused.is_empty();
    walker.joined
}

impl Walker<'_, '_, '_> {
    fn walk(&mut self, names: &[At<String>]) {
        if let [only] = names {
            walk_too_short(&only.at, self.problems);
        }
        let elements: Vec<Option<Element>> = names.iter().map(|name| self.find(name)).collect();
        for (pair, named) in elements.windows(2).zip(names.windows(2)) {
            if let ([Some(from), Some(to)], [_, name]) = (pair, named) {
                self.join(*from, *to, &name.at);
            } else {
                self.excused.extend(named.iter().map(|name| id_of(&name.value).to_owned()));
            }
        }
    }

    fn find(&mut self, name: &At<String>) -> Option<Element> {
        let (id, end) =
            name.value.split_once('.').map_or((name.value.as_str(), None), |(id, end)| (id, Some(end)));
        match (self.names.get(id).copied(), end) {
            (Some(Element::Valve(at)), end) if self.is_reversing(at) => self.reversing_end(name, at, end),
            (Some(element), None) => Some(element),
            (Some(_), Some(_)) => {
                let say = format!("\"{}\" has no named ends", shorten(id));
                self.problems.error(
                    &name.at,
                    "unknown-end",
                    say,
                    "only a reversing valve has; name it without the dot",
                );
                None
            }
            (None, _) => {
                if !self.unread.contains(id) {
                    self.unknown_name(id, &name.at);
                }
                None
            }
        }
    }

    fn unknown_name(&mut self, id: &str, at: &Range<usize>) {
        if self.problems.is_full() {
            self.problems.error(at, "unknown-name", String::new(), String::new());
            return;
        }
        let known: Vec<&str> = self.names.keys().copied().collect();
        let hint = match nearest(id, &known) {
            Some(near) => {
                self.excused.insert(near.to_owned());
                format!("did you mean \"{near}\"?")
            }
            None => "add it as a part, a line or a valve".to_owned(),
        };
        let say = format!("a walk names \"{}\", which is not in the file", shorten(id));
        self.problems.error(at, "unknown-name", say, hint);
    }

    fn is_reversing(&self, valve: usize) -> bool {
        self.valves.get(valve).is_some_and(|valve| valve.kind == "reversing-valve")
    }

    fn reversing_end(&mut self, name: &At<String>, valve: usize, end: Option<&str>) -> Option<Element> {
        let found = end.and_then(|end| REVERSING_ENDS.iter().position(|known| *known == end));
        if found.is_none() {
            let say = format!("\"{}\" does not say which end of the reversing valve", shorten(&name.value));
            let hint = format!("write NAME.END with one of: {}", REVERSING_ENDS.join(", "));
            self.problems.error(&name.at, "unknown-end", say, hint);
        }
        found.map(|end| Element::End(valve, end))
    }

    fn join(&mut self, from: Element, to: Element, at: &Range<usize>) {
        let out = self.way_out(from);
        let into = self.way_in(to);
        match (out, into) {
            (Some(out), Some(into)) => {
                if out == into {
                    self.problems.error(
                        at,
                        "joined-to-itself",
                        "a walk leads from a thing to itself",
                        "name what lies between, or leave one out",
                    );
                    return;
                }
                self.joined.pipes.push((out, into));
                self.count(out, true, at);
                self.count(into, false, at);
            }
            (Some(out), None) => {
                self.count(out, true, at);
                self.set_end(to, false, out, at);
            }
            (None, Some(into)) => {
                self.count(into, false, at);
                self.set_end(from, true, into, at);
            }
            (None, None) => {
                let stub = Terminal::Stub(self.joined.stubs.len());
                let name = |element| match element {
                    Element::Valve(at) | Element::End(at, _) => {
                        self.valves.get(at).map_or("", |valve| valve.id.as_str())
                    }
                    Element::Space(_) => "",
                };
                let id = format!("{}-to-{}", name(from), name(to));
                self.joined.stubs.push(id);
                self.set_end(from, true, stub, at);
                self.set_end(to, false, stub, at);
            }
        }
    }

    /// The space at which one leaves an element; none for a valve.
    fn way_out(&self, element: Element) -> Option<Terminal> {
        match element {
            Element::Space(at) if self.is_compressor(at) => Some(Terminal::Head(at)),
            Element::Space(at) => Some(Terminal::Space(at)),
            _ => None,
        }
    }

    fn way_in(&self, element: Element) -> Option<Terminal> {
        match element {
            Element::Space(at) => Some(Terminal::Space(at)),
            _ => None,
        }
    }

    fn is_compressor(&self, at: usize) -> bool {
        self.spaces.get(at).is_some_and(|space| space.compressor.is_some())
    }

    /// Counts a use of a space and refuses a second pipe on a connection of a part that has only one.
    fn count(&mut self, terminal: Terminal, out: bool, at: &Range<usize>) {
        let (Terminal::Space(space) | Terminal::Head(space)) = terminal else { return };
        let (Some(found), Some(uses)) = (self.spaces.get(space), self.uses.get_mut(space)) else { return };
        if out {
            uses.1 += 1
        } else {
            uses.0 += 1
        }
        let free = found.is_line
            || matches!(found.kind, SpaceKind::Receiver | SpaceKind::Vessel | SpaceKind::OilSeparator);
        let one_way_only = found.kind != SpaceKind::ReversibleCoil;
        let full = if one_way_only { uses.0 > 1 || uses.1 > 1 } else { uses.0 + uses.1 > 2 };
        if full && !free {
            let say = format!("two pipes are on one connection of \"{}\"", found.id);
            self.problems.error(
                at,
                "connection-in-use",
                say,
                "join them in a line first, and the line to the part",
            );
        }
    }

    fn set_end(&mut self, element: Element, out: bool, to: Terminal, at: &Range<usize>) {
        let (Element::Valve(valve) | Element::End(valve, _)) = element else { return };
        let Some(ends) = self.joined.ends.get_mut(valve) else { return };
        let slot = match element {
            Element::End(_, end) => match ends.four.get_mut(end) {
                Some(slot) => slot,
                None => return,
            },
            _ if out => &mut ends.outlet,
            _ => &mut ends.inlet,
        };
        if slot.replace(to).is_some() {
            let id = self.valves.get(valve).map_or("", |valve| valve.id.as_str());
            let say = format!("two things are on one connection of valve \"{id}\"");
            self.problems.error(
                at,
                "connection-in-use",
                say,
                "a valve is passed once: is a second valve meant, with a name of its own?",
            );
        }
    }

    fn check_left_over(&mut self) {
        let blamed = |id: &str| !self.excused.contains(id);
        for (valve, ends) in self.valves.iter().zip(&self.joined.ends).filter(|(valve, _)| blamed(&valve.id))
        {
            let missing = match valve.kind {
                "reversing-valve" => ends.four.iter().any(Option::is_none),
                "relief-valve" => ends.inlet.is_none() && valve.on.is_none(),
                _ => ends.inlet.is_none() || ends.outlet.is_none(),
            };
            if missing {
                let which = match (&ends.inlet, &ends.outlet) {
                    (Some(_), None) => "nothing follows it",
                    (None, Some(_)) => "nothing comes before it",
                    _ => "no walk passes it",
                };
                let say = format!("valve \"{}\" dangles: {which}", valve.id);
                let hint = if valve.kind == "relief-valve" {
                    "name what it protects: on = \"…\""
                } else {
                    "pass it in a walk, between what lies on its two sides"
                };
                self.problems.error(&valve.at, "dangling-valve", say, hint);
            }
        }
        for (space, uses) in self.spaces.iter().zip(&self.uses).filter(|(space, _)| blamed(&space.id)) {
            if *uses == (0, 0) {
                let say = format!("\"{}\" is in no walk", space.id);
                self.problems.error(&space.at, "not-joined", say, "pass it in a walk, or leave it out");
            }
        }
    }
}

/// The name without the end of a reversing valve.
fn id_of(name: &str) -> &str {
    name.split_once('.').map_or(name, |(id, _)| id)
}
