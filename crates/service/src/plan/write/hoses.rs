//! Hoses onto ports and off them, needles, and what is pierced for them.

use stemwise_circuit::{JointId, PortId, Position, SpaceId};

use super::{Stuck, Writer, Written};
use crate::plan::procedure::{Doing, Hold, Reason};
use crate::plan::rigging;
use crate::{Action, Cap};

impl Writer<'_> {
    /// Cracks a back-seated service valve so that its port reads.
    pub(in crate::plan) fn join_port(&mut self, port: PortId) -> Written {
        match self.valve_of(port) {
            Some(valve) if self.runs.position(valve) == Some(Position::BackSeated) => {
                self.turn(valve, Position::Cracked, Reason::JoinPort, None)
            }
            _ => match self.shut_needle(port) {
                Some(needle) => self.turn(needle, Position::Open, Reason::JoinPort, None),
                None => Ok(()),
            },
        }
    }

    /// The needle of a piercing valve that is on a port, where it is shut.
    pub(in crate::plan) fn shut_needle(&self, port: PortId) -> Option<JointId> {
        let needle = self.assembly().graph.needle(port)?;
        (self.runs.position(needle) == Some(Position::Shut)).then_some(needle)
    }

    /// Whether a port is shut off from the system by its own stem or needle.
    pub(in crate::plan) fn is_shut_off(&self, port: PortId) -> bool {
        let seat = self.valve_of(port).and_then(|valve| self.runs.position(valve));
        seat == Some(Position::BackSeated) || self.shut_needle(port).is_some()
    }

    /// A hose that the search puts on, unless what it is for has been done: onto a vacuum it would bring the air that is in it.
    pub(in crate::plan) fn attach(&mut self, port: PortId, at: usize) -> Written {
        if self.worked && self.runs.below_atmosphere(port) { Ok(()) } else { self.ensure_hose(port, at) }
    }

    /// Puts a hose on a port, moving one from a port that is not needed any more where both are in use.
    pub(in crate::plan) fn ensure_hose(&mut self, port: PortId, at: usize) -> Written {
        if self.hoses.contains_key(&port) {
            return Ok(());
        }
        if self.hoses.len() >= 2 {
            let needed = |used: &PortId| rigging::is_used_later(self.skeleton, at, *used);
            let spare = self.hoses.keys().copied().find(|used| !needed(used));
            if let Some(spare) = spare.or_else(|| self.hoses.keys().copied().next()) {
                self.take_hose_off(spare)?;
            }
        }
        self.fit_hose(port)
    }

    /// A hose that goes onto a section under vacuum would bring air in: nitrogen first, through a hose that is on already.
    pub(in crate::plan) fn break_vacuum_behind(&mut self, port: PortId) -> Written {
        let shut_off = self.is_shut_off(port);
        if shut_off
            || !self.runs.below_atmosphere(port)
            || self.assembly().rigged.nitrogen_regulator.is_none()
        {
            return Ok(());
        }
        let Some(space) = self.runs.reach(port) else { return Ok(()) };
        self.region = self.runs.section_of(&[space], false);
        let through = self.hoses.keys().copied().find(|&on| self.runs.reads_any_of(on, &self.region));
        match through {
            Some(on) => self.break_vacuum(on),
            None => Err(Stuck {
                step: self.steps.len() + 1,
                why: "a hose would go onto a section under vacuum and bring air in".into(),
            }),
        }
    }

    /// An access that is not there yet: a piercing valve makes it.
    pub(in crate::plan) fn pierce(&mut self, port: PortId) -> Written {
        if !self.is_to_be_made(port) {
            return Ok(());
        }
        self.step(Doing::Pierce { port }, vec![Action::Pierce { port }], Reason::NoPortYet, Some(Hold::Slip))
    }

    /// Whether an access is still to be made.
    pub(in crate::plan) fn is_to_be_made(&self, port: PortId) -> bool {
        let state = self.runs.state();
        let there = port.index() < self.assembly().circuit.graph.ports.len()
            || state.pierced.contains(&port)
            || state.brazed.contains(&port);
        !there
    }

    pub(in crate::plan) fn fit_hose(&mut self, port: PortId) -> Written {
        let pierces = self.is_to_be_made(port);
        if !pierces {
            self.break_vacuum_behind(port)?;
        }
        self.pierce(port)?;
        let rigged = &self.assembly().rigged;
        let free = |hose: SpaceId| !self.hoses.values().any(|&used| used == hose);
        let wanted = if self.runs.reads_low_side(port) { rigged.low_hose } else { rigged.high_hose };
        let other = if wanted == rigged.low_hose { rigged.high_hose } else { rigged.low_hose };
        let hose = if free(wanted) { wanted } else { other };
        let mut actions = Vec::new();
        if self.assembly().graph.port(port).is_some_and(|found| found.cap)
            && !self.runs.state().caps_off.contains(&Cap::Port(port))
        {
            actions.push(Action::TakeCapOff(Cap::Port(port)));
        }
        // What stands below the atmosphere gives nothing to purge the hose with, and would draw in the air that is in it.
        if pierces && self.runs.below_atmosphere(port) {
            actions.push(Action::PurgeHose { hose });
        }
        actions.push(Action::AttachHose { hose, port });
        self.hoses.insert(port, hose);
        let hold = pierces.then_some(Hold::Slip);
        self.step(Doing::FitHose { hose, port }, actions, Reason::SeePressures, hold)
    }

    pub(in crate::plan) fn take_hose_off(&mut self, port: PortId) -> Written {
        if let Some(valve) = self.valve_of(port)
            && self.runs.position(valve) != Some(Position::FrontSeated)
        {
            self.turn(valve, Position::BackSeated, Reason::FreePort, None)?;
        }
        if let Some(needle) = self.assembly().graph.needle(port) {
            self.turn(needle, Position::Shut, Reason::FreePort, None)?;
        }
        let supply = self.runs.draws_empty(port);
        if let Some((valve, to, _)) = supply {
            self.turn(valve, to, Reason::EmptyHose, None)?;
        }
        let mut actions = self.draw_hose_down(port);
        self.hoses.remove(&port);
        actions.push(Action::DetachHose { port });
        let reason = if supply.is_some() { Reason::EmptyHose } else { Reason::HoseDone };
        self.step(Doing::TakeHoseOff { port }, actions, reason, None)?;
        match supply {
            Some((valve, _, stood)) => self.turn(valve, stood, Reason::Normal, None),
            None => Ok(()),
        }
    }

    /// With its port shut off, what is in a high-side hose is drawn into the low side through the manifold.
    fn draw_hose_down(&self, port: PortId) -> Vec<Action> {
        let rigged = &self.assembly().rigged;
        let low_on = self.hoses.values().any(|&hose| hose == rigged.low_hose);
        let high = self.hoses.get(&port) == Some(&rigged.high_hose);
        let shut_off = self.is_shut_off(port);
        if !(low_on && high && shut_off && self.runs.low_hose_is_live(rigged.low_hose)) {
            return Vec::new();
        }
        let both =
            |to| [rigged.high_hand_valve, rigged.low_hand_valve].map(|valve| Action::Turn { valve, to });
        both(Position::Open).into_iter().chain(both(Position::Shut)).collect()
    }
}
