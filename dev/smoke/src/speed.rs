//! Pieces of work whose times natively and on wasm are compared: `scripts/wasm.sh --speed`.

use std::cell::OnceCell;
use std::sync::Arc;

use stemwise_circuit::{Assembly, Position, Rig, examples, read};
use stemwise_rehearse::{Medium, Rehearsal};
use stemwise_service::plan::plan;
use stemwise_service::{Action, Refrigerant, State, Stops, find_job, required_level_of};
use stemwise_thermo::{Fluid, Given, RawState, StateTable, Substance};
use stemwise_units::{Density, Pressure, SpecificEnergy, Temperature};

/// What there is to do, and how many items a round has.
pub const TASKS: [(&str, u32); 9] = [
    ("T,rho to p,h,s,cp,w", STATES),
    ("p,h, one phase", STATES),
    ("p,h, two phases", STATES),
    ("rho,u, one phase", STATES),
    ("table, rho,u to T,p", STATES),
    ("blend: bubble, full model", BUBBLES),
    ("table, made", 1),
    ("pump-down, an hour", 1),
    ("plan: replace the drier", 1),
];
const STATES: u32 = 400;
const BUBBLES: u32 = 60;

struct Ready {
    fluid: &'static Fluid,
    blend: Substance,
    single: Vec<RawState>,
    double: Vec<RawState>,
    table: StateTable,
    assembly: Assembly,
    refrigerant: Refrigerant,
    pump_down: Rehearsal,
}

thread_local! {
    static READY: OnceCell<Option<Ready>> = const { OnceCell::new() };
}

/// Does one task some rounds long; what comes out is a sum of all results, so that none can be left out. Not a number where something failed.
pub fn work(task: usize, rounds: u32) -> f64 {
    READY.with(|ready| {
        let Some(ready) = ready.get_or_init(Ready::new) else { return f64::NAN };
        (0..rounds).map(|_| ready.round(task)).sum()
    })
}

impl Ready {
    fn new() -> Option<Self> {
        let fluid = Fluid::named("R-134a").ok()?;
        let critical = (fluid.critical_temperature().as_k(), fluid.critical_pressure().as_pa());
        // A fixed sequence of numbers from 0 to 1.
        let mut seed = 7u64;
        let mut random = move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1u64 << 53) as f64
        };
        let (mut single, mut double) = (Vec::new(), Vec::new());
        while single.len() < STATES as usize {
            let t = critical.0 * (0.62 + 0.58 * random());
            let part = random();
            let p = critical.1 * (0.02 + 2.7 * part * part * part);
            let near = (t / critical.0 - 1.0).abs() < 0.04;
            let given = Given::TemperaturePressure(Temperature::from_k(t), Pressure::from_pa(p));
            single.extend(fluid.raw_state(given).ok().filter(|_| !near));
        }
        while double.len() < STATES as usize {
            let t = Temperature::from_k(critical.0 * (0.62 + 0.34 * random()));
            double.extend(fluid.raw_state(Given::TemperatureQuality(t, 0.02 + 0.96 * random())));
        }
        let circuit =
            read(examples().iter().find(|one| one.name == "walk-in-cooler")?.text.as_bytes()).circuit?;
        let refrigerant = Refrigerant::named(&circuit.refrigerant).ok()?;
        let medium = Medium::named(&circuit.refrigerant).ok()?;
        let assembly = Assembly::new(circuit, Rig::usual());
        let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
        let start = State::start(&assembly, &refrigerant, &stops, true);
        let mut pump_down = Rehearsal::with(Arc::new(medium), &assembly, &start.state).ok()?;
        let valve = assembly.graph.find_joint("king")?;
        pump_down.act(&Action::Turn { valve, to: Position::FrontSeated }).ok()?;
        Some(Self {
            fluid,
            blend: Substance::named("R-448A").ok()?,
            single,
            double,
            table: StateTable::new(fluid)?,
            assembly,
            refrigerant,
            pump_down,
        })
    }

    fn round(&self, task: usize) -> f64 {
        let state = |given| self.fluid.raw_state(given).map_or(f64::NAN, |raw| raw.s + raw.t);
        let pressure_enthalpy = |s: &RawState| {
            state(Given::PressureEnthalpy(Pressure::from_pa(s.p), SpecificEnergy::from_j_per_kg(s.h)))
        };
        let (single, double) = (self.single.iter(), self.double.iter());
        match task {
            0 => single
                .map(|s| {
                    state(Given::TemperatureDensity(Temperature::from_k(s.t), Density::from_kg_per_m3(s.rho)))
                })
                .sum(),
            1 => single.map(pressure_enthalpy).sum(),
            2 => double.map(pressure_enthalpy).sum(),
            3 => single
                .map(|s| {
                    let energy = SpecificEnergy::from_j_per_kg(s.u);
                    state(Given::DensityEnergy(Density::from_kg_per_m3(s.rho), energy))
                })
                .sum(),
            4 => single
                .chain(double)
                .step_by(2)
                .map(|s| self.table.look_up(s.rho, s.u).map_or(0.0, |at| at.kelvin))
                .sum(),
            5 => {
                let bubble = |n: u32| {
                    let found = self.blend.mixture()?.solve_saturation_raw(233.15 + f64::from(n), 0.0);
                    found.ok().map(|found| found.0)
                };
                (0..BUBBLES).map(|n| bubble(n).unwrap_or(f64::NAN)).sum()
            }
            6 => StateTable::new(self.fluid).map_or(f64::NAN, |table| table.patches() as f64),
            7 => {
                let mut now = self.pump_down.clone();
                now.advance(3600.0);
                now.statistics().steps as f64
            }
            _ => {
                let job = find_job(&self.assembly.circuit, "replace the drier");
                let found = job.ok().and_then(|job| plan(&self.assembly, &self.refrigerant, &job).ok());
                found.map_or(f64::NAN, |plan| plan.best.steps.len() as f64)
            }
        }
    }
}
