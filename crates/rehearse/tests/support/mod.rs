//! A bench: an example with the usual rig, in motion, and the sums that must not change.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(dead_code, reason = "not every test uses all of it")]

use std::sync::Arc;

use stemwise_circuit::{Assembly, JointId, PortId, Position, Rig, SpaceId, examples, read};
use stemwise_rehearse::{Medium, Rehearsal};
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};

pub(crate) struct Bench {
    pub(crate) now: Rehearsal,
    pub(crate) assembly: Assembly,
    pub(crate) refrigerant: Refrigerant,
    pub(crate) stops: Stops,
    first: [f64; 4],
}

pub(crate) fn bench(example: &str, running: bool) -> Bench {
    let text = examples().iter().find(|found| found.name == example).unwrap().text;
    of_text(text, running)
}

pub(crate) fn of_text(text: &str, running: bool) -> Bench {
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let begin = State::start(&assembly, &refrigerant, &stops, running);
    from(assembly, refrigerant, stops, &begin.state)
}

pub(crate) fn from(assembly: Assembly, refrigerant: Refrigerant, stops: Stops, state: &State) -> Bench {
    let medium = Arc::new(Medium::named(&assembly.circuit.refrigerant).unwrap());
    let now = Rehearsal::with(medium, &assembly, state).unwrap();
    let first = now.totals();
    Bench { now, assembly, refrigerant, stops, first }
}

impl Bench {
    pub(crate) fn space(&self, id: &str) -> SpaceId {
        self.assembly.graph.find_space(id).unwrap()
    }
    pub(crate) fn joint(&self, id: &str) -> JointId {
        self.assembly.graph.find_joint(id).unwrap()
    }
    pub(crate) fn port(&self, id: &str) -> PortId {
        self.assembly.graph.find_port(id).unwrap()
    }
    pub(crate) fn turn(&mut self, id: &str, to: Position) {
        self.now.act(&Action::Turn { valve: self.joint(id), to }).unwrap();
    }
    pub(crate) fn act(&mut self, action: Action) {
        self.now.act(&action).unwrap();
    }
    pub(crate) fn bar(&self, id: &str) -> f64 {
        self.now.pressure(self.space(id)).unwrap().as_bar()
    }
    pub(crate) fn celsius(&self, id: &str) -> f64 {
        self.now.space(self.space(id)).unwrap().temperature.as_celsius()
    }
    pub(crate) fn kg(&self, id: &str) -> f64 {
        self.now.space(self.space(id)).unwrap().refrigerant.as_kg()
    }
    pub(crate) fn level(&self, id: &str) -> f64 {
        self.now.liquid_fraction(self.space(id))
    }

    /// Refrigerant, air and nitrogen are where they were or outside; energy is what came in.
    pub(crate) fn kept(&self) {
        let end = self.now.totals();
        let ledger = self.now.ledger();
        for kind in [0, 2, 3] {
            let scale = self.first[0].max(1e-3);
            assert!(
                (end[kind] - self.first[kind]).abs() < 1e-6 * scale,
                "kind {kind}: {} then {}",
                self.first[kind],
                end[kind]
            );
        }
        let off = end[1] - self.first[1] - ledger.heat - ledger.work - ledger.hands;
        let scale = self.first[0] * 2e5 + ledger.heat.abs() + ledger.work.abs();
        assert!(off.abs() < 1e-6 * scale, "energy off by {off} J of {scale} J");
        assert_eq!(self.now.statistics().forced, 0, "{:?}", self.now.statistics());
    }
}
