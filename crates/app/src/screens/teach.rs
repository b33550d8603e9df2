//! Who knows? A procedure on the wall, questions, drills.

use leptos::prelude::*;
use leptos::task::spawn_local;
use stemwise_wire as wire;

use super::plan::{Failed, Stepwise};
use crate::ask::Ask;
use crate::desk::{Card, Desk};
use crate::hand::value;
use crate::words::Word;

/// What is taught with.
#[derive(Clone, Copy, PartialEq, Eq)]
enum With {
    Questions,
    Wall,
}

/// Teaching on a circuit.
#[component]
pub fn Teach(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let with = RwSignal::new(With::Questions);
    let pick = move |it: With, word: Word| view! {
        <button class="pick" aria-pressed=move || if with.get() == it { "true" } else { "false" } on:click=move |_| with.set(it)>{move || desk.say(word)}</button>
    };
    let card = StoredValue::new(card);
    view! {
        <h1>{move || desk.say(Word::WhoKnows)}</h1>
        <div class="row no-print">
            {pick(With::Questions, Word::Questions)}
            {pick(With::Wall, Word::OnTheWall)}
        </div>
        {move || match with.get() {
            With::Questions | With::Wall => view! { <Wall card=card.get_value()/> }.into_any(),
        }}
    }
}

/// A procedure for the wall: large, one step at a time.
#[component]
fn Wall(card: Card) -> impl IntoView {
    let desk = Desk::here();
    let jobs = stemwise_answer::list(card.text.as_bytes()).map(|list| list.jobs).unwrap_or_default();
    let job = RwSignal::new(jobs.first().cloned().unwrap_or_default());
    let found = RwSignal::new(None::<Result<wire::WalkedThrough, wire::Failure>>);
    let card = StoredValue::new(card);
    let show = move |_| {
        let circuit = card.with_value(|card| card.text.clone());
        let ask = Ask::Plan { circuit, job: job.get_untracked(), without: Vec::new(), cost: None, units: desk.units.get_untracked() };
        spawn_local(async move { found.set(Some(desk.worker().ask(&ask).await)) });
    };
    view! {
        <div class="ask">
            <label>{move || desk.say(Word::WhichJob)}
                <select on:change=move |event| job.set(value(&event))>
                    {jobs.into_iter().map(|name| view! { <option value=name.clone()>{name.clone()}</option> }).collect_view()}
                </select>
            </label>
            <button on:click=show>{move || desk.say(Word::ShowIt)}</button>
        </div>
        {move || found.get().map(|found| match found {
            Err(failure) => view! { <Failed failure/> }.into_any(),
            Ok(wire::WalkedThrough { plan: wire::PlanAnswer::Found(plan), procedure: Some(walk) }) => view! {
                <div id="wall" class="wall">
                    <Stepwise plan=StoredValue::new(*plan) walk=StoredValue::new(walk) card/>
                    <button class="quiet" on:click=|_| fill_screen()>{desk.say(Word::FullScreen)}</button>
                </div>
            }.into_any(),
            Ok(wire::WalkedThrough { plan: wire::PlanAnswer::None(none), .. }) => view! {
                <div class="note warning">{none.because.into_iter().map(|because| view! { <p>{because.say}</p> }).collect_view()}</div>
            }.into_any(),
            Ok(_) => ().into_any(),
        })}
    }
}

fn fill_screen() {
    if let Some(wall) = document().get_element_by_id("wall") {
        // A browser that can't fill the screen shows it as it is.
        let _ = wall.request_fullscreen();
    }
}
