//! `readings`: a set of readings, a standing test, a rise in vacuum and a ranking of faults.

use stemwise_readings::{
    DecayAsk, Element, Evidence, FaultRanker, Item, MeteringKind, Reading, ReadingSet, SignRules, TestPart,
    Value, nitrogen_pressure, work_out,
};
use stemwise_thermo::Substance;
use stemwise_units::{GaugePressure, Length, Pressure, PressureDifference, Temperature, Volume};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    match Substance::named("R-454B") {
        Ok(substance) => set(report, &substance),
        Err(error) => report.line(&format!("set: error: {error}")),
    }
    let part = TestPart {
        name: "all".into(),
        share: 1.0,
        start: Temperature::from_celsius(25.0),
        end: Temperature::from_celsius(11.0),
    };
    report.number("nitrogen", nitrogen_pressure(Pressure::from_bar(40.0), &[part]).map(Pressure::as_pa));
    let hose = Element::tube("hose", Length::from_mm(4.8), Length::from_m(1.5));
    let conductance = hose.conductance(Pressure::from_micron(500.0), Temperature::from_celsius(20.0));
    report.number("conductance", Ok::<_, String>(conductance.as_m3_per_s()));
    rise(report);
}

fn set(report: &mut Report, substance: &Substance) {
    let item = |reading, value| Item { reading, value, instrument: None };
    let celsius = |value| Value::Si(Temperature::from_celsius(value).as_k());
    let bar = |value| Value::Gauge(GaugePressure::from_bar(value).as_pa());
    let items = vec![
        item(Reading::SuctionPressure, bar(7.2)),
        item(Reading::SuctionLine, celsius(12.0)),
        item(Reading::DischargePressure, bar(25.0)),
        item(Reading::DischargeLine, celsius(78.0)),
        item(Reading::LiquidLine, celsius(36.0)),
        item(Reading::OntoCondenser, celsius(30.0)),
        item(Reading::OntoEvaporator, celsius(25.0)),
    ];
    let worked = work_out(&ReadingSet {
        substance,
        atmosphere: Pressure::from_kpa(95.0),
        atmosphere_within: PressureDifference::from_kpa(2.0),
        items,
        metering: MeteringKind::Thermostatic,
        phases: 1,
        given_targets: Vec::new(),
    });
    for it in &worked.derived {
        report.number(it.id, Ok::<_, String>(it.value.value));
        report.number(&format!("{} within", it.id), Ok::<_, String>(it.value.standard));
    }
    let evidence = Evidence {
        worked: &worked,
        readings: &[],
        metering: MeteringKind::Thermostatic,
        healthy: &[],
        standards: &[],
    };
    for it in SignRules.rank(&evidence).suspects {
        report.number(&it.id, Ok::<_, String>(it.weight));
    }
}

fn rise(report: &mut Report) {
    let seconds: Vec<f64> = (0..60).map(|k| 30.0 * f64::from(k)).collect();
    let pascal: Vec<f64> = seconds.iter().map(|t| 30.0 + 0.02 * t + 40.0 * t / (t + 300.0)).collect();
    let decay = DecayAsk {
        seconds: &seconds,
        pascal: &pascal,
        volume: Some(Volume::from_l(8.0)),
        volume_within: 0.1,
        temperature: Temperature::from_celsius(20.0),
        gauge_part: 0.1,
        substance: None,
        atmosphere: 101_325.0,
    }
    .split();
    match decay {
        Ok(decay) => {
            report.number("steady rise", Ok::<_, String>(decay.steady.value));
            report.number("ending rise", Ok::<_, String>(decay.ending.value));
        }
        Err(error) => report.line(&format!("rise: error: {error}")),
    }
}
