//! A bench: an example with the usual rig, in motion, and the sums that must not change.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(dead_code, reason = "not every test uses all of it")]

use std::sync::Arc;

use stemwise_circuit::{Assembly, JointId, PortId, Position, Rig, SpaceId, examples, read};
use stemwise_rehearse::{Fit, Medium, Rehearsal};
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

/// What came of a planned procedure.
pub(crate) struct Carried {
    pub(crate) fine: usize,
    pub(crate) off: usize,
    pub(crate) all: usize,
    pub(crate) gave_up: usize,
    pub(crate) seconds: f64,
    pub(crate) statistics: stemwise_rehearse::Statistics,
}

/// Plans a job on an example and runs it to its end; none where there is no such job or no plan. With `tight` compressors don't leak back while they
/// stand, as settling takes it.
pub(crate) fn procedure(example: &str, said: &str, tight: bool) -> Option<Carried> {
    use stemwise_circuit::JointKind;
    let text = examples().iter().find(|found| found.name == example).unwrap().text;
    let mut circuit = read(text.as_bytes()).circuit.unwrap();
    for joint in circuit.graph.joints.iter_mut().filter(|_| tight) {
        if let JointKind::Compressor(compressor) = &mut joint.kind {
            compressor.leaks_back = false;
        }
    }
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let job = stemwise_service::find_job(&circuit, said).ok()?;
    let assembly = Assembly::new(circuit, Rig::usual());
    let planned = stemwise_service::plan::plan(&assembly, &refrigerant, &job).ok()?;
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let begin = State::begin(&assembly, &refrigerant, &stops, Some(&planned.best.job), true);
    let mut here = from(assembly, refrigerant, stops, &begin.state);
    let stops = here.stops;
    let (mut all, mut fine, mut off, mut gave_up) = (0, 0, 0, 0);
    for step in &planned.best.steps {
        let before = here.now.statistics();
        let one = here.now.run_step(step, &stops);
        assert!(one.refused.is_none(), "{:?}: {:?}", step.doing, one.refused);
        gave_up += usize::from(one.gave_up);
        let after = here.now.statistics();
        let cost = (after.steps - before.steps, after.rounds - before.rounds);
        println!("          {cost:?} steps and rounds, {} s", one.to - one.from);
        println!("{:8.0} s {:?}{}", one.to, step.doing, if one.gave_up { " GAVE UP" } else { "" });
        for shown in &one.shown {
            all += 1;
            let fit = shown.fit();
            fine += usize::from(fit == Fit::Expected);
            off += usize::from(fit == Fit::Off);
            if fit != Fit::Expected {
                println!(
                    "          {fit:?} {}: {:.3} then {:.3} bar, expected {:.3} ({:.3} to {:.3})",
                    here.assembly.graph.port(shown.port).unwrap().id,
                    shown.before.as_bar(),
                    shown.pressure.as_bar(),
                    shown.expected.as_bar(),
                    shown.low.as_bar(),
                    shown.high.as_bar()
                );
            }
        }
    }
    here.kept();
    Some(Carried { fine, off, all, gave_up, seconds: here.now.seconds(), statistics: here.now.statistics() })
}
