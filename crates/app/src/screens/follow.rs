//! A procedure beside the circuit in motion: one step after the other, with what each gauge showed.

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_wire as wire;

use super::plan::Failed;
use super::rehearse::clock;
use crate::ask::Ask;
use crate::desk::Desk;
use crate::hand::value;
use crate::words::Word;

/// The procedure that is followed, and the way to one.
#[component]
pub(super) fn Follow(
    /// The circuit file.
    file: StoredValue<String>,
    atmosphere_pa: f64,
    /// What came of it so far.
    followed: RwSignal<Option<wire::FollowedProcedure>>,
    /// Takes a procedure file.
    take: Callback<String>,
    /// Does the next step.
    next: Callback<()>,
    /// Does all that are left.
    rest: Callback<()>,
) -> impl IntoView {
    let desk = Desk::here();
    let jobs = file.with_value(|file| stemwise_answer::list(file.as_bytes())).map(|list| list.jobs);
    let jobs = jobs.unwrap_or_default();
    let job = RwSignal::new(jobs.first().cloned().unwrap_or_default());
    let failed = RwSignal::new(None::<wire::Failure>);
    let works = RwSignal::new(false);
    let bring = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let ask = Ask::Plan {
            circuit: file.get_value(),
            job: job.get_untracked(),
            without: Vec::new(),
            cost: None,
            units: desk.units.get_untracked(),
        };
        works.set(true);
        spawn_local(async move {
            let found = desk.worker().ask::<wire::WalkedThrough>(&ask).await;
            works.set(false);
            match found {
                Ok(wire::WalkedThrough { procedure: Some(walk), .. }) => {
                    failed.set(None);
                    take.run(walk.file);
                }
                Ok(_) => failed.set(Some(wire::Failure {
                    kind: "no-way".into(),
                    message: desk.say(Word::NoWay).into(),
                    hint: None,
                    problems: Vec::new(),
                })),
                Err(failure) => failed.set(Some(failure)),
            }
        });
    };
    let is_over = move || {
        let steps = followed.with(|followed| followed.as_ref().map(|all| all.steps.clone()));
        !steps.unwrap_or_default().iter().any(|step| step.stands == "next")
    };
    view! {
        <details class="follow" open=followed.get_untracked().is_some()>
            <summary>{move || desk.say(Word::FollowProcedure)}</summary>
            <form class="fields" on:submit=bring>
                <label>{move || desk.say(Word::WhichJob)}
                    <select id="follow-job" on:change=move |event| job.set(value(&event))>
                        {jobs.into_iter().map(|name| view! { <option value=name.clone()>{desk.phrase(name.clone())}</option> }).collect_view()}
                    </select>
                </label>
                <button id="follow" type="submit" class="quiet" disabled=move || works.get()>{move || desk.say(Word::BringIt)}</button>
            </form>
            {move || failed.get().map(|failure| view! { <Failed failure/> })}
            {move || followed.get().map(|all| view! {
                <div class="row">
                    <button id="next-step" disabled=is_over on:click=move |_| next.run(())>{desk.say(Word::DoNextStep)}</button>
                    <button id="all-steps" class="quiet" disabled=is_over on:click=move |_| rest.run(())>{desk.say(Word::DoTheRest)}</button>
                </div>
                <ol class="steps near">
                    {near(&all.steps).into_iter().map(|step| view! { <Step step atmosphere_pa/> }).collect_view()}
                </ol>
                <details class="all">
                    <summary>{desk.say(Word::AllSteps)}" ("{all.steps.len()}")"</summary>
                    <ol class="steps">
                        {all.steps.into_iter().map(|step| view! { <Step step atmosphere_pa/> }).collect_view()}
                    </ol>
                </details>
            })}
        </details>
    }
}

/// The step that was done last, and the one that comes next.
fn near(steps: &[wire::StepInMotion]) -> Vec<wire::StepInMotion> {
    let next = steps.iter().position(|step| step.to_s.is_none()).unwrap_or(steps.len());
    steps.iter().take(next + 1).skip(next.saturating_sub(1)).cloned().collect()
}

#[component]
fn Step(step: wire::StepInMotion, atmosphere_pa: f64) -> impl IntoView {
    let desk = Desk::here();
    let is_next = step.stands == "next";
    let stands = match step.stands.as_str() {
        "refused" => Some(Word::CanNotBeDone),
        "not-ended" => Some(Word::DidNotEnd),
        _ => None,
    };
    view! {
        <li class="step" class:next=is_next data-stands=step.stands.clone()>
            <p class="do"><strong class="n">{step.n}</strong>{desk.tell(step.say)}</p>
            {step.hold.filter(|_| is_next).map(|hold| view! { <p class="hold-say"><strong>{move || desk.say(Word::HoldPoint)}": "</strong>{desk.tell(hold)}</p> })}
            {step.to_s.map(|to| view! { <p class="small">{clock(to)}</p> })}
            {stands.map(|word| view! { <p class="note warning">{move || desk.say(word)}" "{step.refused.clone().map(|why| desk.tell(why))}</p> })}
            {step.shown.into_iter().map(|shown| {
                let (class, word) = match shown.fit.as_str() {
                    "as-expected" => ("fit good", Word::AsExpected),
                    "on-the-way" => ("fit", Word::OnTheWay),
                    _ => ("fit off", Word::NotAsExpected),
                };
                let off = shown.fit != "as-expected";
                view! {
                    <p class=class><span>{desk.name(shown.gauge)}</span>" "<strong>{move || desk.read(shown.shows_pa, atmosphere_pa)}</strong>" "{move || desk.say(word)}
                        {off.then(|| view! { " ("{move || desk.read(shown.low_pa, atmosphere_pa)}" … "{move || desk.read(shown.high_pa, atmosphere_pa)}")" })}
                    </p>
                }
            }).collect_view()}
            {step.happened.into_iter().map(|wrong| view! { <p class="caution">{clock(wrong.seconds)}" "{desk.tell(wrong.say)}</p> }).collect_view()}
        </li>
    }
}
