//! How is the job done?

use std::collections::BTreeSet;

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_wire as wire;

use super::look::Hazards;
use crate::ask::Ask;
use crate::desk::{Card, Desk};
use crate::diagram::{Diagram, Touched};
use crate::hand::{print, save_text, value};
use crate::route::{Route, Screen};
use crate::words::Word;

/// What may be missing, as the core calls it, and what the app says.
const THINGS: [(&str, Word); 5] = [
    ("recovery-machine", Word::RecoveryMachine),
    ("cylinder", Word::Cylinder),
    ("vacuum-pump", Word::VacuumPump),
    ("nitrogen", Word::Nitrogen),
    ("core-tool", Word::CoreTool),
];

/// What may be asked to be least.
const COSTS: [(&str, Word); 4] = [
    ("", Word::CostUsual),
    ("refrigerant", Word::CostRefrigerant),
    ("time", Word::CostTime),
    ("turns", Word::CostTurns),
];

/// Where the screen is.
#[derive(Clone, Debug)]
enum Found {
    Nothing,
    Working,
    Failed(wire::Failure),
    Walked(Box<wire::WalkedThrough>),
}

/// Asks for the job and shows the procedure.
#[component]
pub(crate) fn Plan(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let jobs = stemwise_answer::list(card.text.as_bytes()).map(|list| list.jobs);
    let jobs = match jobs {
        Ok(jobs) => jobs,
        Err(error) => return view! { <super::change::Broken error/> }.into_any(),
    };
    let first = jobs.iter().find(|job| job.contains("drier")).or(jobs.first()).cloned().unwrap_or_default();
    let job = RwSignal::new(first);
    let without = RwSignal::new(BTreeSet::<&'static str>::new());
    let cost = RwSignal::new(String::new());
    let found = RwSignal::new(Found::Nothing);
    let card = StoredValue::new(card);
    spawn_local(async move { desk.worker().warm_up().await });
    let find = move |_| {
        let units = desk.units.get_untracked();
        let ask = Ask::Plan {
            circuit: card.with_value(|card| card.text.clone()),
            job: job.get_untracked(),
            without: without.get_untracked().into_iter().map(str::to_owned).collect(),
            cost: Some(cost.get_untracked()).filter(|cost| !cost.is_empty()),
            units,
        };
        found.set(Found::Working);
        spawn_local(async move {
            found.set(match desk.worker().ask(&ask).await {
                Ok(walked) => Found::Walked(Box::new(walked)),
                Err(failure) => Found::Failed(failure),
            });
        });
    };
    view! {
        <h1 class="no-print">{move || desk.say(Word::HowIsItDone)}</h1>
        <form class="ask no-print" on:submit=move |event| { event.prevent_default(); find(()); }>
            <label>{move || desk.say(Word::WhichJob)}
                <select id="job" on:change=move |event| job.set(value(&event)) prop:value=move || job.get()>
                    {jobs.into_iter().map(|name| view! { <option value=name.clone() selected=name == job.get_untracked()>{desk.phrase(name.clone())}</option> }).collect_view()}
                </select>
            </label>
            <details>
                <summary>{move || desk.say(Word::NotAtHand)}</summary>
                {THINGS.map(|(thing, word)| view! {
                    <label class="check"><input type="checkbox" on:change=move |event| without.update(|set| {
                        if event_target_checked(&event) { set.insert(thing); } else { set.remove(thing); }
                    })/>{move || desk.say(word)}</label>
                })}
            </details>
            <label>{move || desk.say(Word::Cheapest)}
                <select on:change=move |event| cost.set(value(&event))>
                    {COSTS.map(|(name, word)| view! { <option value=name>{move || desk.say(word)}</option> })}
                </select>
            </label>
            <button type="submit" disabled=move || matches!(found.get(), Found::Working)>{move || desk.say(Word::FindTheWay)}</button>
        </form>
        <div aria-live="polite">
            {move || match found.get() {
                Found::Nothing => ().into_any(),
                Found::Working => view! { <p class="working">{desk.say(Word::Working)}</p> }.into_any(),
                Found::Failed(failure) => view! { <Failed failure/> }.into_any(),
                Found::Walked(walked) => view! { <Walked walked=*walked card=card.get_value()/> }.into_any(),
            }}
        </div>
    }
    .into_any()
}

/// A failure as the core tells it.
#[component]
pub(crate) fn Failed(failure: wire::Failure) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <div class="note warning" role="alert">
            <p>{desk.tell(failure.message)}</p>
            {failure.hint.map(|hint| view! { <p>{desk.tell(hint)}</p> })}
            <super::change::Problems problems=failure.problems/>
        </div>
    }
}

#[component]
fn Walked(walked: wire::WalkedThrough, card: Card) -> impl IntoView {
    let desk = Desk::here();
    match (walked.plan, walked.procedure) {
        (wire::PlanAnswer::Found(plan), Some(walk)) => view! { <Way plan=*plan walk card/> }.into_any(),
        (wire::PlanAnswer::None(none), _) => view! {
            <section class="note warning">
                <h2>{move || desk.say(Word::NoWay)}</h2>
                {none.because.into_iter().map(|because| view! {
                    <p>{desk.tell(because.say)}</p>
                    <p><strong>{move || desk.say(Word::WouldHelp)}": "</strong>{desk.tell(because.would_help)}</p>
                }).collect_view()}
            </section>
            <Alternatives title=Word::OtherWays all=none.alternatives/>
        }
        .into_any(),
        _ => ().into_any(),
    }
}

/// What a procedure costs, in a line.
fn price(desk: Desk, cost: &wire::Cost) -> String {
    let minutes = cost.minutes.round() as u64;
    format!(
        "{} {}, {} {}, {} {}, {} h {:02} {}",
        desk.mass(cost.refrigerant_removed_kg),
        desk.say(Word::Recovered),
        desk.mass(cost.refrigerant_lost_kg),
        desk.say(Word::Lost),
        cost.stem_moves,
        desk.say(Word::Moves),
        minutes / 60,
        minutes % 60,
        desk.say(Word::Minutes)
    )
}

fn best(desk: Desk, optimal: &wire::Optimal) -> String {
    match optimal {
        wire::Optimal::Proved(true) => desk.say(Word::Best).to_owned(),
        wire::Optimal::Within { percent, .. } | wire::Optimal::AtMost { percent: Some(percent) } => {
            format!("{} {percent} %", desk.say(Word::WithinGrams))
        }
        wire::Optimal::Proved(false) | wire::Optimal::AtMost { percent: None } => {
            desk.say(Word::BestTried).to_owned()
        }
    }
}

#[component]
fn Way(plan: wire::PlanFound, walk: wire::Walk, card: Card) -> impl IntoView {
    let desk = Desk::here();
    let stepwise = RwSignal::new(false);
    let editing = RwSignal::new(false);
    let plan = StoredValue::new(plan);
    let walk = StoredValue::new(walk);
    let card = StoredValue::new(card);
    let told = move || plan.get_value();
    let rehearse = move |_| {
        desk.to_rehearse.set(Some(walk.with_value(|walk| walk.file.clone())));
        desk.go(&Route::Circuit(card.with_value(|card| card.key.clone()), Screen::Rehearse));
    };
    let save = move |_| {
        let name =
            format!("{}.procedure.txt", plan.with_value(|plan| plan.job.replace([' ', ':', '/'], "-")));
        save_text(&name, &walk.with_value(|walk| walk.file.clone()), "text/plain");
    };
    view! {
        <section class="sheet">
            <div class="sheet-head">
                <h2>{desk.tell(told().job)}</h2>
                <p>{told().circuit}" · "{told().refrigerant}</p>
                <p><strong>{move || desk.say(Word::TheWay)}": "</strong>{desk.tell(told().way)}"."</p>
                <p><strong>{move || desk.say(Word::Price)}": "</strong>{move || price(desk, &told().cost)}"."</p>
                <p>{move || best(desk, &told().optimal)}" ("{desk.tell(told().objective)}")"</p>
                <p class="fill-in print-only">
                    <span>{move || desk.say(Word::Date)}</span><span>{move || desk.say(Word::Name)}</span><span>{move || desk.say(Word::Site)}</span>
                </p>
            </div>
            <div class="row no-print">
                <button class="pick" aria-pressed=move || if stepwise.get() { "false" } else { "true" } on:click=move |_| stepwise.set(false)>{move || desk.say(Word::AllSteps)}</button>
                <button class="pick" aria-pressed=move || if stepwise.get() { "true" } else { "false" } on:click=move |_| stepwise.set(true)>{move || desk.say(Word::StepByStep)}</button>
                <super::carry::Begin card=card.get_value() job=told().job file=walk.with_value(|walk| walk.file.clone())/>
                <button id="rehearse-it" class="quiet" on:click=rehearse>{move || desk.say(Word::RehearseIt)}</button>
                <button class="quiet" on:click=|_| print()>{move || desk.say(Word::Print)}</button>
                <button class="quiet" on:click=move |_| editing.update(|on| *on = !*on)>{move || desk.say(Word::Edit)}</button>
                <button class="quiet" on:click=save>{move || desk.say(Word::SaveFile)}</button>
            </div>
            <Show when=move || editing.get()>
                <Editor card=card.get_value() file=walk.with_value(|walk| walk.file.clone())/>
            </Show>
            <Show when=move || stepwise.get()><Stepwise plan walk card/></Show>
            <List title=Word::ReadFirst items=told().cautions/>
            <List title=Word::Bring items=told().bring/>
            <Show when=move || !stepwise.get()><Steps steps=told().steps atmosphere_pa=told().atmosphere_pa/></Show>
            <SlipsOf card walk/>
            <Alternatives title=Word::OtherWays all=told().alternatives/>
        </section>
    }
}

#[component]
fn List(title: Word, items: Vec<String>) -> impl IntoView {
    let desk = Desk::here();
    view! {
        <section class="list">
            <h3>{move || desk.say(title)}</h3>
            <ul>{items.into_iter().map(|item| view! { <li>{desk.tell(item)}</li> }).collect_view()}</ul>
        </section>
    }
}

fn phase(id: &str) -> Word {
    match id {
        "prepare" => Word::Prepare,
        "isolate" => Word::Isolate,
        "empty" => Word::Empty,
        "work" => Word::Work,
        "prove" => Word::Prove,
        "dry" => Word::Dry,
        "refill" => Word::Refill,
        _ => Word::Return,
    }
}

/// The whole procedure, to read and to print.
#[component]
fn Steps(steps: Vec<wire::PlanStep>, atmosphere_pa: f64) -> impl IntoView {
    let desk = Desk::here();
    let mut before = String::new();
    view! {
        <ol class="steps">
            {steps.into_iter().map(|step| {
                let head = (step.phase != before).then(|| phase(&step.phase));
                before.clone_from(&step.phase);
                let hold = step.hold_point;
                view! {
                    {head.map(|word| view! { <li class="phase"><h3>{move || desk.say(word)}</h3></li> })}
                    <li class="step" class:hold=hold><OneStep step atmosphere_pa/></li>
                }
            }).collect_view()}
        </ol>
    }
}

/// A step with its reasons, readings and cautions.
#[component]
fn OneStep(step: wire::PlanStep, atmosphere_pa: f64) -> impl IntoView {
    let desk = Desk::here();
    let band = move |expect: &wire::Expect| {
        let (low, high) = (desk.read(expect.low, atmosphere_pa), desk.read(expect.high, atmosphere_pa));
        if low == high { low } else { format!("{low} … {high}") }
    };
    let expect = StoredValue::new(step.expect);
    view! {
        <p class="do"><strong class="n">{step.n}</strong>{desk.tell(step.say)}</p>
        {step.hold.map(|hold| view! { <p class="hold-say"><strong>{move || desk.say(Word::HoldPoint)}": "</strong>{desk.tell(hold)}</p> })}
        {step.cautions.into_iter().map(|caution| view! { <p class="caution">{desk.tell(caution)}</p> }).collect_view()}
        <p class="why">{move || desk.say(Word::Why)}": "{desk.tell(step.why)}</p>
        <div class="expect">
            {move || expect.get_value().iter().map(|expect| view! {
                <p><span>{desk.say(Word::Expect)}" "{desk.name(expect.gauge.clone())}</span><strong>{band(expect)}</strong><span class="box print-only">{desk.say(Word::Reading)}</span></p>
            }).collect_view()}
            <span class="box print-only">{move || desk.say(Word::Initials)}</span>
        </div>
    }
}

/// One step at a time, the diagram beside it.
#[component]
pub(super) fn Stepwise(
    plan: StoredValue<wire::PlanFound>,
    walk: StoredValue<wire::Walk>,
    card: StoredValue<Card>,
) -> impl IntoView {
    let desk = Desk::here();
    let at = RwSignal::new(0_usize);
    let count = plan.with_value(|plan| plan.steps.len());
    let frame = Memo::new(move |_| {
        walk.with_value(|walk| walk.frames.get(at.get() + 1).cloned().unwrap_or_default())
    });
    let touched = RwSignal::new(None::<Touched>);
    let keys = move |event: web_sys::KeyboardEvent| match event.key().as_str() {
        "ArrowRight" | "PageDown" => at.update(|at| *at = (*at + 1).min(count.saturating_sub(1))),
        "ArrowLeft" | "PageUp" => at.update(|at| *at = at.saturating_sub(1)),
        _ => {}
    };
    // A comparison inside a tag would end it.
    let is_last = move || at.get() + 1 >= count;
    view! {
        <div class="stepwise no-print" tabindex="0" on:keydown=keys>
            <Diagram file=card.with_value(|card| card.text.clone()) frame touched lit=Signal::derive(BTreeSet::new)/>
            <div class="side">
                <p class="count">{move || format!("{} {} {} {count}", desk.say(Word::Step), at.get() + 1, desk.say(Word::Of))}</p>
                {move || plan.with_value(|plan| plan.steps.get(at.get()).cloned().map(|step| view! { <OneStep step atmosphere_pa=plan.atmosphere_pa/> }))}
                <Hazards hazards=Signal::derive(move || frame.get().hazards)/>
                <div class="row">
                    <button disabled=move || at.get() == 0 on:click=move |_| at.update(|at| *at -= 1)>{move || desk.say(Word::Previous)}</button>
                    <button disabled=is_last on:click=move |_| at.update(|at| *at += 1)>{move || desk.say(Word::Next)}</button>
                </div>
            </div>
        </div>
    }
}

#[component]
fn Alternatives(title: Word, all: Vec<wire::Alternative>) -> impl IntoView {
    let desk = Desk::here();
    let shown = !all.is_empty();
    let all = StoredValue::new(all);
    view! {
        <Show when=move || shown>
            <section class="list no-print">
                <h3>{move || desk.say(title)}</h3>
                <ul>{move || all.get_value().into_iter().map(|other| view! {
                    <li>{desk.tell(other.say)}": "{desk.tell(other.because.unwrap_or_default())}{other.cost.map(|cost| price(desk, &cost))}</li>
                }).collect_view()}</ul>
            </section>
        </Show>
    }
}

/// The slips to fear, asked for.
#[component]
fn SlipsOf(card: StoredValue<Card>, walk: StoredValue<wire::Walk>) -> impl IntoView {
    let desk = Desk::here();
    let slips = RwSignal::new(None::<Result<wire::SlipsAnswer, wire::Failure>>);
    let working = RwSignal::new(false);
    let look = move |_| {
        let ask = Ask::Slips {
            circuit: card.with_value(|card| card.text.clone()),
            procedure: walk.with_value(|walk| walk.file.clone()),
            units: desk.units.get_untracked(),
        };
        working.set(true);
        spawn_local(async move {
            slips.set(Some(desk.worker().ask(&ask).await));
            working.set(false);
        });
    };
    view! {
        <section class="list no-print">
            <h3>{move || desk.say(Word::SlipToFear)}</h3>
            <button class="quiet" disabled=move || working.get() on:click=look>
                {move || desk.say(if working.get() { Word::Working } else { Word::ShowSlips })}
            </button>
            {move || slips.get().map(|answer| match answer {
                Err(failure) => view! { <Failed failure/> }.into_any(),
                Ok(answer) => view! {
                    <ul>{answer.sharpened.iter().map(|step| view! {
                        <li><strong>{format!("{} {}: ", desk.say(Word::Step), step.n)}</strong>{desk.tell(step.say.clone())}</li>
                    }).collect_view()}</ul>
                }.into_any(),
            })}
        </section>
    }
}

/// The procedure file under one's hands, judged while it is written.
#[component]
fn Editor(card: Card, file: String) -> impl IntoView {
    let desk = Desk::here();
    let text = RwSignal::new(file);
    let verdict = RwSignal::new(None::<Result<wire::Replayed, wire::Failure>>);
    let circuit = StoredValue::new(card.text);
    let turn = StoredValue::new(0_u32);
    Effect::new(move |_| {
        let ask =
            Ask::Replay { circuit: circuit.get_value(), procedure: text.get(), units: desk.units.get() };
        turn.update_value(|turn| *turn += 1);
        let mine = turn.get_value();
        spawn_local(async move {
            let answer = desk.worker().ask(&ask).await;
            // Only the answer to what stands there now counts.
            if turn.get_value() == mine {
                verdict.set(Some(answer));
            }
        });
    });
    view! {
        <section class="editor no-print">
            <p>{move || desk.say(Word::EditHint)}</p>
            <div aria-live="polite">
                {move || verdict.get().map(|answer| match answer {
                    Err(failure) => view! { <Failed failure/> }.into_any(),
                    Ok(replayed) => view! { <Verdict verdict=replayed.verdict/> }.into_any(),
                })}
            </div>
            <textarea aria-label=move || desk.say(Word::Edit) rows="24" spellcheck="false" prop:value=move || text.get() on:input=move |event| text.set(value(&event))></textarea>
            <div class="row">
                <super::carry::BeginEdited circuit text/>
                <button class="quiet" on:click=move |_| save_text("procedure.txt", &text.get_untracked(), "text/plain")>{move || desk.say(Word::SaveFile)}</button>
            </div>
        </section>
    }
}

#[component]
fn Verdict(verdict: wire::VerifyAnswer) -> impl IntoView {
    let desk = Desk::here();
    let warned: Vec<_> = verdict.steps.iter().filter(|step| step.verdict == "warned").cloned().collect();
    if verdict.accepted && warned.is_empty() {
        return view! { <p class="note good">{move || desk.say(Word::Accepted)}</p> }.into_any();
    }
    if verdict.accepted {
        return view! {
            <div class="note warning">
                <p><strong>{move || desk.say(Word::AcceptedWithWarnings)}</strong></p>
                <ul>{warned.into_iter().map(|step| view! { <li>{step.n}": "{desk.tell(step.found.first().map_or(step.say, |found| found.say.clone()))}</li> }).collect_view()}</ul>
            </div>
        }
        .into_any();
    }
    let bad: Vec<_> = verdict
        .steps
        .iter()
        .filter(|step| matches!(step.verdict.as_str(), "broken" | "refused"))
        .cloned()
        .collect();
    view! {
        <div class="note danger">
            <p><strong>{move || desk.say(Word::NotAccepted)}": "</strong>{desk.tell(verdict.because.unwrap_or_default())}</p>
            <ul>{bad.into_iter().map(|step| view! { <li>{step.n}": "{desk.tell(step.refused.or_else(|| step.found.first().map(|found| found.say.clone())).unwrap_or_default())}</li> }).collect_view()}</ul>
        </div>
    }
    .into_any()
}
