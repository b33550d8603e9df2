//! What hands started and what ends by itself: evacuating to a level, letting nitrogen in or out, charging by the scale.

use stemwise_circuit::{Graph, JointId, Position, Sections, SpaceId};
use stemwise_service::{Action, State};
use stemwise_units::Mass;

use crate::engine::cell::COUNTED;
use crate::engine::network::{Draw, Law, Link};
use crate::engine::step::{Moment, Network};
use crate::rehearsal::Stage;

/// Something that goes on.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What started it.
    pub action: Action,
    kind: Kind,
    over: bool,
    /// How long its end has held, s.
    held: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    Evacuate {
        pump: JointId,
        below: f64,
    },
    Admit {
        regulator: JointId,
        above: f64,
        set: f64,
    },
    Release {
        below: f64,
    },
    /// Out of a cell (the cylinder's, or the supply's) so many kilograms, at a rate.
    Charge {
        from: usize,
        liquid: bool,
        rate: f64,
        left: f64,
        before: Option<f64>,
    },
}

/// What a hose and a hand valve let through: liquid, throttled, vapour, kg/s (common practice).
const LIQUID_RATE: f64 = 1.5 / 60.0;
const THROTTLED_RATE: f64 = 0.35 / 60.0;
const VAPOUR_RATE: f64 = 0.25 / 60.0;

/// How long an end has to hold, s: the hose alone is there at once.
const STEADY: f64 = 10.0;
const STEADY_VACUUM: f64 = 60.0;
/// Nothing flows, kg/s.
const STILL: f64 = 1e-5;

impl Task {
    /// The tasks of an action; none where the rig lacks what it takes.
    pub(crate) fn of(stage: &Stage, action: &Action) -> Option<Self> {
        let rigged = &stage.assembly.rigged;
        let atmosphere = stage.assembly.circuit.atmosphere;
        let kind = match action {
            Action::Evacuate { to } => Kind::Evacuate { pump: rigged.vacuum_pump?, below: to.as_pa() },
            Action::AdmitNitrogen { to } => {
                let set = to.absolute(atmosphere).as_pa();
                Kind::Admit { regulator: rigged.nitrogen_regulator?, above: 0.999 * set, set }
            }
            Action::ReleaseNitrogen { to } => Kind::Release {
                below: (to.absolute(atmosphere).as_pa() + 100.0).max(1.002 * atmosphere.as_pa()),
            },
            Action::Charge { mass, liquid } => {
                let rate = if *liquid { LIQUID_RATE } else { VAPOUR_RATE };
                Self::charge(stage, *mass, *liquid, rate)
            }
            Action::ChargeThrottled { mass } => Self::charge(stage, *mass, true, THROTTLED_RATE),
            _ => return None,
        };
        Some(Self { action: action.clone(), kind, over: false, held: 0.0 })
    }

    fn charge(stage: &Stage, mass: Mass, liquid: bool, rate: f64) -> Kind {
        Kind::Charge { from: stage.plant.supply, liquid, rate, left: mass.as_kg(), before: None }
    }

    pub(crate) const fn is_over(&self) -> bool {
        self.over
    }

    /// How much is still to come, kg, where it is a matter of mass.
    pub fn kilograms_left(&self) -> Option<f64> {
        match self.kind {
            Kind::Charge { left, .. } => Some(left),
            _ => None,
        }
    }

    /// The link that it takes.
    pub(crate) fn link(&self, stage: &Stage) -> Option<Link> {
        let rigged = &stage.assembly.rigged;
        match self.kind {
            Kind::Charge { from, liquid, rate, .. } => {
                let draw = if liquid { Draw::Bottom(0.01) } else { Draw::Top(0.95) };
                let from = SpaceId(u32::try_from(from).unwrap_or(u32::MAX));
                Some(stage.plant.link((from, draw), (rigged.centre_hose, Draw::Mixed), Law::Fixed { rate }))
            }
            Kind::Release { .. } => Some(stage.plant.opening(rigged.centre_hose, rigged.atmosphere, 1.2e-6)),
            _ => None,
        }
    }

    /// After a step: whether links changed.
    pub(crate) fn look(
        &mut self,
        stage: &Stage,
        network: &Network,
        moment: &Moment,
        state: &mut State,
        dt: f64,
    ) -> bool {
        let reached = self.is_reached(stage, network, moment, state);
        self.held = if reached { self.held + dt } else { 0.0 };
        let graph = &stage.assembly.graph;
        match &mut self.kind {
            Kind::Evacuate { pump, .. } => {
                if !state.lineup.is_active(*pump) {
                    self.over = true;
                } else if self.held >= STEADY_VACUUM {
                    state.lineup.switch(graph, *pump, false);
                    self.over = true;
                }
            }
            Kind::Admit { regulator, .. } => {
                if state.lineup.position(*regulator) != Some(Position::Open) {
                    state.lineup.set(graph, *regulator, Position::Open);
                    return true;
                }
                if self.held >= STEADY {
                    state.lineup.set(graph, *regulator, Position::Shut);
                    self.over = true;
                }
            }
            Kind::Release { .. } => self.over = self.held >= STEADY,
            Kind::Charge { from, left, before, .. } => {
                let now: f64 = moment.amounts[*from]
                    .iter()
                    .enumerate()
                    .filter(|(at, _)| *at != 1 && *at < COUNTED)
                    .map(|(_, part)| part)
                    .sum();
                if let Some(before) = *before {
                    *left -= before - now;
                }
                *before = Some(now);
                self.over = *left <= 1e-5;
            }
        }
        self.over
    }

    /// Whether what it waits for is so at this moment.
    fn is_reached(&self, stage: &Stage, network: &Network, moment: &Moment, state: &State) -> bool {
        let centre = stage.assembly.rigged.centre_hose.index();
        let p = moment.evals[centre].p;
        match &self.kind {
            // The gauge belongs on the section, as far from the pump as it goes.
            Kind::Evacuate { below, .. } => p <= *below && all_below(stage, network, moment, state, *below),
            // The hose is at the regulator's pressure at once: the system is when nothing flows any more.
            Kind::Admit { regulator, above, .. } => {
                p >= 0.99 * above && network.flux(moment, regulator.index()).mass() < STILL
            }
            Kind::Release { below } => p <= *below,
            Kind::Charge { .. } => false,
        }
    }

    /// Where the regulator has to stand for it, Pa.
    pub(crate) const fn regulator(&self) -> Option<f64> {
        match self.kind {
            Kind::Admit { set, .. } => Some(set),
            _ => None,
        }
    }

    /// How long a step may be so that the scale is read in time, s.
    pub(crate) fn longest(&self) -> f64 {
        match self.kind {
            Kind::Charge { rate, left, .. } => (left / rate).max(1e-3),
            _ => f64::INFINITY,
        }
    }
}

/// Whether everything that the pump draws on is at a pressure or below, Pa. What a regulator holds back, because it is under pressure, is no part of it.
fn all_below(stage: &Stage, network: &Network, moment: &Moment, state: &State, below: f64) -> bool {
    let centre = stage.assembly.rigged.centre_hose;
    let open = drawn_on(&stage.assembly.graph, network, moment, state, centre);
    open.iter().all(|space| moment.evals.get(space.index()).is_none_or(|eval| eval.p <= below))
}

/// The spaces that stand open to a space, but for those behind a crankcase pressure regulator that their own pressure holds shut.
pub(crate) fn drawn_on(
    graph: &Graph,
    network: &Network,
    moment: &Moment,
    state: &State,
    from: SpaceId,
) -> Vec<SpaceId> {
    let sections = Sections::new(graph, &state.lineup);
    let Some(section) = sections.of(from) else { return Vec::new() };
    let members = sections.members(section);
    let mut open = vec![from];
    let mut next = 0;
    while let Some(&here) = open.get(next) {
        next += 1;
        for beside in network.beside(moment, here.index()) {
            let found = members.iter().find(|space| space.index() == beside);
            open.extend(found.filter(|space| !open.contains(space)).copied().iter());
        }
    }
    open
}
