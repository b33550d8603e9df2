//! A bench: an example with the usual rig, in motion, and the sums that must not change.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(clippy::print_stdout, reason = "says where it was")]
#![allow(dead_code, reason = "not every test uses all of it")]

use std::sync::Arc;

use stemwise_circuit::{Assembly, JointId, JointKind, PortId, Position, Rig, SpaceId, examples, read};
use stemwise_rehearse::{Fit, Medium, Rehearsal};
use stemwise_service::plan::{Doing, plan};
use stemwise_service::{Action, Refrigerant, State, Stops, find_job, required_level_of};

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
        let statistics = self.now.statistics();
        assert!(statistics.forced == 0, "{statistics:?}");
    }
}

/// What came of a planned procedure.
pub(crate) struct Carried {
    /// Readings as expected, on the way there, and others.
    pub(crate) expected: usize,
    pub(crate) on_the_way: usize,
    pub(crate) off: Vec<String>,
    pub(crate) gave_up: Vec<String>,
    pub(crate) here: Bench,
    /// Recovered and charged by the plan, kg.
    pub(crate) planned: [f64; 2],
}

/// Plans a job on an example and runs it to its end. With `tight` compressors don't leak back while they stand, as settling takes it: then every gauge
/// shows what the plan expects, or is on its way there, though settling doesn't know of the oil either. Without, the oil is left out: what it gives off
/// and what leaks back are more together than the plan allows for.
pub(crate) fn procedure(example: &str, said: &str, tight: bool) -> Carried {
    let text = examples().iter().find(|found| found.name == example).unwrap().text;
    let mut circuit = read(text.as_bytes()).circuit.unwrap();
    for joint in circuit.graph.joints.iter_mut().filter(|_| tight) {
        if let JointKind::Compressor(compressor) = &mut joint.kind {
            compressor.leaks_back = false;
        }
    }
    if !tight {
        circuit.oil = None;
    }
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let job = find_job(&circuit, said).unwrap();
    let assembly = Assembly::new(circuit, Rig::usual());
    let planned = plan(&assembly, &refrigerant, &job).unwrap().best;
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let begin = State::begin(&assembly, &refrigerant, &stops, Some(&planned.job), true);
    let mut here = from(assembly, refrigerant, stops, &begin.state);
    let (mut expected, mut on_the_way, mut off, mut gave_up) = (0, 0, Vec::new(), Vec::new());
    for step in &planned.steps {
        let ran = here.now.run_step(step, &stops);
        assert!(ran.refused.is_none(), "{:?}: {:?}", step.doing, ran.refused);
        println!("{:8.0} s {:7} steps {:?}", ran.to, here.now.statistics().steps, step.doing);
        if ran.gave_up {
            gave_up.push(format!("{:?}", step.doing));
        }
        for shown in &ran.shown {
            match shown.fit() {
                Fit::Expected => expected += 1,
                Fit::OnTheWay => on_the_way += 1,
                Fit::Off => off.push(format!("{:?}: {shown:?}", step.doing)),
            }
        }
    }
    here.kept();
    let record = planned.steps.iter().rev().find_map(|step| match step.doing {
        Doing::Record { recovered, charged, .. } => Some([recovered.as_kg(), charged.as_kg()]),
        _ => None,
    });
    println!(
        "{example}, {said}: {expected} readings as expected, {on_the_way} on the way, {} off",
        off.len()
    );
    println!("{:?}", here.now.statistics());
    Carried { expected, on_the_way, off, gave_up, here, planned: record.unwrap() }
}
