//! `record`: two devices on one job, apart and merged, folded.

use stemwise_answer::{ProcedureAsk, example, procedure_file};
use stemwise_record::{
    Kind, Log, Measured, Moment, Opened, Reading, Stamp, StepRef, Units, What, allowed, fold,
};
use stemwise_units::Pressure;

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    match carried_out() {
        Ok((log, other)) => {
            let both = log.merged(&other);
            report.digest("log", &format!("{:?}", both.events()));
            report.digest("progress", &format!("{:?}", fold(&both)));
            report.line(&format!("merges agree: {}", both == other.merged(&log)));
            report.line(&format!(
                "{:?}",
                allowed(&both, &fold(&both), &What::Closed { despite: None }).is_err()
            ));
        }
        Err(why) => report.line(&format!("error: {why}")),
    }
    report.line(&format!("{:?}", Moment::parse("1985-04-12T23:20:50.52Z")));
}

fn carried_out() -> Result<(Log, Log), String> {
    let circuit = example("walk-in-cooler").map_err(|error| error.to_string())?;
    let ask = ProcedureAsk { job: Some("pump down".into()), ..ProcedureAsk::default() };
    let procedure = procedure_file(circuit.as_bytes(), &ask).map_err(|error| error.to_string())?;
    let opened = Opened { circuit: circuit.into(), procedure, job: "pump down".into(), units: Units::Si };
    let stamp = |device: &str, n: i64| Stamp {
        device: device.into(),
        random: 3,
        at: Moment { unix_ms: 1_790_000_000_000 + 60_000 * n, offset_min: -300 },
    };
    let mut one = Log::default();
    let procedure = one.add(&stamp("phone", 0), Some("Ana"), What::Opened(Box::new(opened)));
    let mut other = one.clone();
    for step in 0..6 {
        let step = StepRef { procedure: procedure.clone(), step };
        one.add(&stamp("phone", 2 + step.step as i64), None, What::StepDone { step });
    }
    let measured = Measured::parse(Kind::Pressure, "1.7 bar", Pressure::from_kpa(99.5));
    let measured = measured.map_err(|error| error.to_string())?;
    let step = Some(StepRef { procedure, step: 3 });
    let reading = Reading { step, place: "suction-valve-port".into(), measured, instrument: None };
    other.add(&stamp("tablet", 1), None, What::Reading(reading));
    Ok((one, other))
}
