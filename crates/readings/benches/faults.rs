//! A set of readings to its ranked list, against single solutions of the steady balance: `cargo bench -p stemwise-readings`.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::disallowed_methods, reason = "a benchmark")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use stemwise_circuit::{Assembly, Rig, examples, read};
use stemwise_readings::{
    Evidence, FaultRanker, Item, MeteringKind, ModelRanker, Reading, ReadingSet, Value, standards, work_out,
};
use stemwise_rehearse::{SteadyAsk, SteadyPlant};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, PressureDifference};

fn best(mut what: impl FnMut()) -> Duration {
    (0..7)
        .map(|_| {
            let start = Instant::now();
            what();
            start.elapsed()
        })
        .min()
        .unwrap()
}

fn main() {
    for name in ["split-air-conditioner", "heat-pump", "walk-in-cooler"] {
        let text = examples().iter().find(|it| it.name == name).unwrap().text;
        let circuit = read(text.as_bytes()).circuit.unwrap();
        let substance = Substance::named(&circuit.refrigerant).unwrap();
        let assembly = Assembly::new(circuit, Rig::usual());
        let plant = SteadyPlant::new(&substance, &assembly).unwrap();
        let made = best(|| drop(black_box(SteadyPlant::new(&substance, &assembly).unwrap())));
        let mut ask: SteadyAsk = *plant.design();
        ask.outdoor_k += 5.0;
        let solve = best(|| (0..100).for_each(|_| drop(black_box(plant.solve(&ask).unwrap())))) / 100;
        ask.faults.condenser_air = 0.6;
        let found = plant.solve(&ask).unwrap();
        let coil = found.evaporators[0];
        let item = |reading, value| Item { reading, value: Value::Si(value), instrument: None };
        let set = ReadingSet {
            substance: &substance,
            atmosphere: Pressure::from_pa(101_325.0),
            atmosphere_within: PressureDifference::from_kpa(1.0),
            items: vec![
                item(Reading::SuctionPressure, found.suction_pa),
                item(Reading::DischargePressure, found.discharge_pa),
                item(Reading::SuctionLine, found.suction_line_k),
                item(Reading::LiquidLine, found.liquid_line_k),
                item(Reading::LiquidLineEnd, found.liquid_end_k),
                item(Reading::DischargeLine, found.discharge_line_k),
                item(Reading::EvaporatorOutlet, coil.outlet_k),
                item(Reading::OntoCondenser, ask.outdoor_k),
                item(Reading::OffCondenser, found.condenser_off_k),
                item(Reading::OntoEvaporator, ask.indoor_k),
                item(Reading::OffEvaporator, coil.air_off_k),
                item(Reading::Power, found.power_w),
            ],
            metering: MeteringKind::Unknown,
            phases: 1,
            given_targets: Vec::new(),
        };
        let worked = work_out(&set);
        let readings: Vec<(Reading, f64)> = set
            .items
            .iter()
            .map(|it| match it.value {
                Value::Gauge(si) | Value::Si(si) => (it.reading, si),
            })
            .collect();
        let standards = standards(&set);
        let evidence = Evidence {
            worked: &worked,
            readings: &readings,
            standards: &standards,
            metering: set.metering,
            healthy: &[],
        };
        let ranker = ModelRanker { plant: &plant, atmosphere_pa: 101_325.0 };
        let ranking = ranker.rank(&evidence);
        let ranked = best(|| drop(black_box(ranker.rank(&evidence))));
        println!(
            "{name}: sized in {made:?}, one balance {solve:?} ({} evaluations), ranked in {ranked:?}, {:.0} balances' worth; first: {} {:.2}",
            found.evaluations,
            ranked.as_secs_f64() / solve.as_secs_f64(),
            ranking.suspects[0].id,
            ranking.suspects[0].weight
        );
    }
}
