//! Runs a command: calls the one function for the task and prints what it says.

mod teach;

use std::io::IsTerminal as _;
use std::process::ExitCode;

use clap::CommandFactory;
use serde::Serialize;
use stemwise_answer::{
    self as answer, CycleWords, DiagramAsk, DrawAsk, Error, JobPageAsk, JoinedAsk, PageAsk, PlanAsk,
    PlanPageAsk, ProcedureAsk, RehearseAsk, ShiftAsk, StateAsk, TableAsk,
};
use stemwise_units::{Pressure, UnitSystem};
use stemwise_wire as wire;

use crate::args::{self, Cli, Command, Common};
use crate::{batch, evidence, files, serve, show, site};

/// What to print, and how it ended.
struct Printed {
    text: String,
    code: u8,
}

impl Printed {
    const fn fine(text: String) -> Self {
        Self { text, code: 0 }
    }
}

pub(crate) fn run(cli: Cli) -> ExitCode {
    let json = cli.common.json;
    let done = command(cli).and_then(|printed| files::print(&printed.text).map(|()| printed.code));
    ExitCode::from(done.unwrap_or_else(|error| report(&error, json)))
}

/// An error: as JSON on standard output where JSON was asked for, as text on standard error otherwise.
fn report(error: &Error, json: bool) -> u8 {
    if json && !matches!(error, Error::Unwritable { .. }) {
        // What can't be printed can't be reported either.
        let _ = as_json(&error.failure()).and_then(|text| files::print(&text));
    } else {
        show::failure(&error.failure());
    }
    error.exit_code()
}

fn as_json<T: Serialize>(answer: &T) -> Result<String, Error> {
    let text = serde_json::to_string(answer);
    let text =
        text.map_err(|error| Error::Unwritable { what: "the answer".into(), why: error.to_string() })?;
    Ok(text + "\n")
}

/// One of two forms.
fn form<T: Serialize>(
    common: &Common,
    answer: &T,
    text: impl FnOnce(&T, UnitSystem) -> String,
) -> Result<String, Error> {
    let units = site::unit_system(common)?;
    if common.json { as_json(answer) } else { Ok(text(answer, units)) }
}

fn command(cli: Cli) -> Result<Printed, Error> {
    let common = cli.common;
    match cli.command {
        None => first_run(&common),
        Some(Command::Check(it)) => check(&common, &it),
        Some(Command::List(it)) => {
            let answer = answer::list(&files::circuit(&it.circuit)?)?;
            form(&common, &answer, show::list).map(Printed::fine)
        }
        Some(Command::Joined(it)) => joined(&common, it),
        Some(Command::Draw(it)) => draw(&common, it),
        Some(Command::Plan(it)) => plan(&common, &it),
        Some(Command::Verify(it)) => verify(&common, &it),
        Some(Command::Slips(it)) => slips(&common, &it),
        Some(Command::Why(it)) => why(&common, &it),
        Some(Command::Rehearse(it)) => rehearse(&common, &it),
        Some(Command::Record(it)) => record(&common, &it),
        Some(Command::Serve(it)) => serve::run(&it).map(Printed::fine),
        Some(Command::Questions(it)) => teach::questions(&common, &it),
        Some(Command::Drills(it)) => teach::drills(&common, &it),
        Some(Command::Properties(it)) => properties(&common, it),
        Some(Command::Saturation(it)) => saturation(&common, &it),
        Some(Command::Envelope(it)) => {
            let answer = answer::envelope(&it.fluid, site::site_atmosphere(&it.site)?)?;
            form(&common, &answer, show::envelope).map(Printed::fine)
        }
        Some(Command::Shift(it)) => shift(&common, it),
        Some(Command::Readings(it)) => proved(&common, evidence::readings(&common, &it)?),
        Some(Command::Faults(it)) => proved(&common, evidence::faults(&common, &it)?),
        Some(Command::StandingTest(it)) => proved(&common, evidence::standing_test(&common, *it)?),
        Some(Command::Vacuum(it)) => proved(&common, evidence::vacuum(&common, *it)?),
        Some(Command::Charge(it)) => proved(&common, evidence::charge(&common, *it)?),
        Some(Command::Air(it)) => proved(&common, evidence::air(&common, it)?),
        Some(Command::Recovery(it)) => proved(&common, evidence::recovery(&common, *it)?),
        Some(Command::Diagram(it)) => diagram(&common, *it),
        Some(Command::Coverage(it)) => {
            let answer = answer::coverage(it.fluid.as_deref())?;
            let whole = it.fluid.is_some();
            form(&common, &answer, |answer, units| show::coverage(answer, units, whole)).map(Printed::fine)
        }
        Some(Command::Examples(it)) => examples(&common, &it),
        Some(Command::Schema(it)) => schema(&it),
        Some(Command::Completions(it)) => {
            let mut script = Vec::new();
            clap_complete::generate(it.shell, &mut Cli::command(), "stemwise", &mut script);
            Ok(Printed::fine(String::from_utf8_lossy(&script).into_owned()))
        }
    }
}

const FIRST_CIRCUIT: &str = "walk-in-cooler";
const FIRST_JOB: &str = "replace the drier";

/// The main job on an example, and how to do it on one's own file.
fn first_run(common: &Common) -> Result<Printed, Error> {
    let ask = args::Plan {
        circuit: format!("example:{FIRST_CIRCUIT}"),
        job: vec![FIRST_JOB.into()],
        cost: None,
        without: Vec::new(),
        cylinders: None,
        write: None,
        paper: args::OnPaper::default(),
    };
    let mut printed = plan(common, &ask)?;
    if !common.json {
        printed.text.push_str(&show::first_steps(FIRST_CIRCUIT, FIRST_JOB));
    }
    Ok(printed)
}

fn check(common: &Common, it: &args::Check) -> Result<Printed, Error> {
    let answer = answer::check(&files::circuit(&it.circuit)?);
    let text = form(common, &answer, |answer, _| show::check(&it.circuit, answer))?;
    Ok(Printed { text, code: u8::from(!answer.ok) })
}

fn joined(common: &Common, it: args::Joined) -> Result<Printed, Error> {
    let file = files::circuit(&it.circuit)?;
    let units = site::unit_system(common)?;
    let answer =
        answer::joined(&file, &JoinedAsk { set: it.set, hoses: it.hose, running: it.running, units })?;
    form(common, &answer, show::joined).map(Printed::fine)
}

fn draw(common: &Common, it: args::Draw) -> Result<Printed, Error> {
    let file = files::circuit(&it.circuit)?;
    let ask = DrawAsk { narrow: it.narrow, set: it.set, hoses: it.hose, around: it.around };
    let answer = answer::draw(&file, &ask)?;
    if let Some(path) = &it.write {
        files::write_new(path, &answer.svg)?;
    }
    form(common, &answer, |answer, _| show::draw(answer, it.write.as_deref())).map(Printed::fine)
}

fn plan(common: &Common, it: &args::Plan) -> Result<Printed, Error> {
    let file = files::circuit(&it.circuit)?;
    let units = site::unit_system(common)?;
    let job = it.job.join(" + ");
    let (without, cylinders, cost) = (it.without.clone(), it.cylinders, it.cost.clone());
    let (answer, procedure) =
        answer::plan_with_file(&file, &PlanAsk { job, without, cylinders, cost, units })?;
    let code = u8::from(matches!(answer, wire::PlanAnswer::None(_)));
    if let (Some(path), Some(procedure)) = (&it.write, procedure) {
        files::write_new(path, &procedure)?;
    }
    if let (Some(path), wire::PlanAnswer::Found(found)) = (&it.paper.page, &answer) {
        let args::OnPaper { paper, heading, .. } = it.paper.clone();
        let page = answer::plan_page(found, &PlanPageAsk { paper, heading }, units)?;
        files::write_page(path, &page, it.paper.paper.as_deref())?;
    }
    Ok(Printed { text: form(common, &answer, show::plan)?, code })
}

fn verify(common: &Common, it: &args::Verify) -> Result<Printed, Error> {
    let circuit = files::circuit(&it.circuit)?;
    let ask = ProcedureAsk {
        file: Some(files::file(&it.file)?),
        units: site::unit_system(common)?,
        ..ProcedureAsk::default()
    };
    let answer = answer::verify(&circuit, &ask, it.ranges)?;
    let code = u8::from(!answer.accepted);
    Ok(Printed { text: form(common, &answer, show::verify)?, code })
}

fn slips(common: &Common, it: &args::Slips) -> Result<Printed, Error> {
    let circuit = files::circuit(&it.circuit)?;
    let answer = answer::slips(&circuit, &procedure(common, &it.which)?, it.orders, it.pairs)?;
    form(common, &answer, |answer, units| show::slips(answer, units, it.all)).map(Printed::fine)
}

fn why(common: &Common, it: &args::Why) -> Result<Printed, Error> {
    let circuit = files::circuit(&it.circuit)?;
    let answer = answer::why(&circuit, &procedure(common, &it.which)?, it.step)?;
    form(common, &answer, show::why).map(Printed::fine)
}

fn procedure(common: &Common, which: &args::Which) -> Result<ProcedureAsk, Error> {
    Ok(ProcedureAsk {
        file: which.file.as_deref().map(files::file).transpose()?,
        job: which.job.clone(),
        without: which.without.clone(),
        cylinders: None,
        cost: None,
        units: site::unit_system(common)?,
    })
}

fn rehearse(common: &Common, it: &args::Rehearse) -> Result<Printed, Error> {
    let circuit = files::circuit(&it.circuit)?;
    let units = site::unit_system(common)?;
    let procedure = ProcedureAsk {
        file: it.file.as_deref().map(files::file).transpose()?,
        job: it.job.clone(),
        without: it.without.clone(),
        cylinders: None,
        cost: None,
        units,
    };
    let ask = RehearseAsk { procedure, places: it.place.clone(), faults: it.fault.clone() };
    // Whoever waits at a terminal sees an answer come that takes seconds.
    let waits = !common.json && std::io::stderr().is_terminal();
    let answer = answer::rehearse_watched(&circuit, &ask, &mut |step, seconds| {
        if waits {
            show::coming_step(step, seconds);
        }
    })?;
    if let Some(path) = &it.chart {
        files::write_new(path, answer::rehearsed_chart(&answer, units))?;
    }
    let text =
        form(common, &answer, |answer, units| show::rehearsed(answer, units, it.all, it.chart.as_deref()))?;
    Ok(Printed { text, code: u8::from(!show::went_as_planned(&answer)) })
}

fn record(common: &Common, it: &args::Record) -> Result<Printed, Error> {
    let files = it.files.iter().map(|path| files::file(path)).collect::<Result<Vec<_>, _>>()?;
    let units = site::chosen_units(common)?;
    let (job, answer) = answer::job(&files, units)?;
    let units = units.unwrap_or_else(|| job.units());
    if let Some(path) = &it.paper.page {
        let ask = JobPageAsk { paper: it.paper.paper.clone(), heading: it.paper.heading.clone() };
        files::write_page(path, &job.page(&ask, units)?.html, it.paper.paper.as_deref())?;
    }
    if let Some(path) = &it.merge {
        files::write_new(path, job.file())?;
    }
    let damaged = answer.problems.iter().any(|problem| problem.severity == wire::Severity::Error);
    let written = [it.merge.as_deref(), it.paper.page.as_deref()];
    let text = if common.json { as_json(&answer)? } else { show::job(&answer, units, it.all, &written) };
    Ok(Printed { text, code: u8::from(damaged) })
}

fn properties(common: &Common, it: args::Properties) -> Result<Printed, Error> {
    if it.batch {
        batch::batch()?;
        return Ok(Printed::fine(String::new()));
    }
    if it.fluids {
        return form(common, &answer::fluids(), |fluids, _| show::fluids(fluids)).map(Printed::fine);
    }
    let atmosphere = site::site_atmosphere(&it.site)?;
    let args::Properties { temperature, pressure, density, enthalpy, entropy, energy, quality, .. } = it;
    let ask = StateAsk { temperature, pressure, density, enthalpy, entropy, energy, quality };
    let fluid = it.fluid.unwrap_or_default();
    let answer = answer::state(&fluid, &ask, atmosphere)?;
    form(common, &answer, |answer, units| show::state(answer, units, atmosphere)).map(Printed::fine)
}

fn saturation(common: &Common, it: &args::Saturation) -> Result<Printed, Error> {
    let atmosphere = site::site_atmosphere(&it.site)?;
    if let Some(path) = &it.paper.page {
        return saturation_page(common, it, path, atmosphere);
    }
    let text = match (&it.at, &it.from, &it.to, &it.step) {
        (None, Some(from), Some(to), Some(step)) => {
            let ask = TableAsk { from: from.clone(), to: to.clone(), step: step.clone() };
            form(common, &answer::saturation_table(&it.fluid, &ask, atmosphere)?, show::saturation_table)
        }
        (at, ..) => {
            let at = at.as_deref().unwrap_or_default();
            form(common, &answer::saturation(&it.fluid, at, atmosphere)?, show::saturation)
        }
    };
    text.map(Printed::fine)
}

fn shift(common: &Common, it: args::Shift) -> Result<Printed, Error> {
    let atmosphere = site::site_atmosphere(&it.site)?;
    let args::Shift { at, volume, mass, liquid, out, left, down_to, top_up, add, rounds, every, .. } = it;
    let ask = ShiftAsk { at, volume, mass, liquid, out, left, down_to, top_up, add, rounds, every };
    form(common, &answer::shift(&it.fluid, &ask, atmosphere)?, show::shift).map(Printed::fine)
}

/// Evidence: bad news is an exit code of its own, as for a file with problems.
fn proved(common: &Common, answer: wire::EvidenceAnswer) -> Result<Printed, Error> {
    let code = u8::from(answer.outcome == "bad");
    Ok(Printed { text: form(common, &answer, show::evidence)?, code })
}

fn saturation_page(
    common: &Common,
    it: &args::Saturation,
    path: &str,
    atmosphere: Pressure,
) -> Result<Printed, Error> {
    let ask = PageAsk {
        temperatures: it.from.clone().zip(it.to.clone()),
        step: it.step.clone(),
        paper: it.paper.paper.clone(),
        heading: it.paper.heading.clone(),
    };
    let answer = answer::saturation_page(&it.fluid, &ask, atmosphere, site::unit_system(common)?)?;
    files::write_page(path, &answer.html, it.paper.paper.as_deref())?;
    form(common, &answer, |answer, _| show::page(answer, path)).map(Printed::fine)
}

fn diagram(common: &Common, it: args::Diagram) -> Result<Printed, Error> {
    let atmosphere = site::site_atmosphere(&it.site)?;
    let args::Diagram { superheat, subcooling, outlet, efficiency, .. } = it;
    let cycle = it.evaporating.zip(it.condensing).map(|(evaporating, condensing)| CycleWords {
        evaporating,
        condensing,
        superheat,
        subcooling,
        outlet,
        efficiency,
    });
    let ask = DiagramAsk {
        pressures: it.pressure_from.zip(it.pressure_to),
        enthalpies: it.enthalpy_from.zip(it.enthalpy_to),
        gauge: it.gauge,
        narrow: it.narrow,
        densities: it.densities,
        heading: it.heading,
        cycle,
    };
    let answer = answer::diagram(&it.fluid, &ask, atmosphere, site::unit_system(common)?)?;
    if let Some(path) = &it.write {
        files::write_new(path, &answer.svg)?;
    }
    form(common, &answer, |answer, units| show::diagram(answer, units, it.write.as_deref()))
        .map(Printed::fine)
}

fn examples(common: &Common, it: &args::Examples) -> Result<Printed, Error> {
    let Some(name) = &it.name else {
        return form(common, &answer::examples(), |answer, _| show::examples(answer)).map(Printed::fine);
    };
    let text = answer::example(name)?;
    match &it.write {
        None => Ok(Printed::fine(text.to_owned())),
        Some(path) => {
            files::write_new(path, text)?;
            Ok(Printed::fine(format!("Written to {path}. Next: stemwise check {path}\n")))
        }
    }
}

fn schema(it: &args::Schema) -> Result<Printed, Error> {
    match &it.name {
        None => Ok(Printed::fine(answer::schema_names().join("\n") + "\n")),
        Some(name) => answer::schema(name).map(|text| Printed::fine(text + "\n")),
    }
}
