//! What hands can do besides turning stems: gases and refrigerant through the centre hose, opening and closing, looking for leaks.

use leptos::prelude::*;

use super::look::Bench;
use crate::desk::Desk;
use crate::hand::value;
use crate::words::Word;

/// Through the centre hose: the words of the procedure file around what is typed, what the app says, an example.
const THROUGH: [(&str, &str, Word, &str); 7] = [
    ("nitrogen in to ", "", Word::NitrogenIn, "5 bar"),
    ("nitrogen out to ", "", Word::NitrogenOut, "0 bar"),
    ("evacuate to ", "", Word::EvacuateTo, "500 micron"),
    ("charge ", " as liquid", Word::ChargeLiquid, "500 g"),
    ("charge ", " as vapour", Word::ChargeVapour, "200 g"),
    ("add ", " of oil", Word::AddOil, "100 g"),
    ("wait ", " min", Word::WaitMinutes, "10"),
];

/// Everything that is not at one valve, port or part.
#[component]
pub(super) fn OtherHands(bench: Bench) -> impl IntoView {
    let desk = Desk::here();
    let chosen = RwSignal::new(0_usize);
    let typed = RwSignal::new(String::new());
    let example = move || THROUGH.get(chosen.get()).map_or("", |(.., example)| example);
    let act = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        if let Some((before, after, ..)) = THROUGH.get(chosen.get_untracked()) {
            bench.act(&format!("{before}{}{after}", typed.get_untracked().trim()));
        }
    };
    view! {
        <details class="names">
            <summary>{move || desk.say(Word::OtherActions)}</summary>
            <form class="fields" on:submit=act>
                <label>{move || desk.say(Word::WhatToDo)}
                    <select id="other-action" on:change=move |event| chosen.set(value(&event).parse().unwrap_or(0))>
                        {THROUGH.iter().enumerate().map(|(at, (_, _, word, _))| view! { <option value=at.to_string()>{move || desk.say(*word)}</option> }).collect_view()}
                    </select>
                </label>
                <label>{move || desk.say(Word::HowMuch)}
                    <input id="other-amount" placeholder=example prop:value=move || typed.get() on:input=move |event| typed.set(value(&event))/>
                </label>
                <button id="other-do" type="submit" class="quiet">{move || desk.say(Word::DoIt)}</button>
            </form>
            <div class="row">
                <button class="quiet" on:click=move |_| bench.act("read")>{move || desk.say(Word::ReadGauges)}</button>
                <button class="quiet" on:click=move |_| bench.act("purge centre-hose")>{move || desk.say(Word::PurgeHose)}</button>
                <button class="quiet" on:click=move |_| bench.act("search leaks")>{move || desk.say(Word::SearchLeaks)}</button>
            </div>
        </details>
    }
}

/// Opening a part to the air, and closing it.
#[component]
pub(super) fn OpenAndClose(bench: Bench, id: String) -> impl IntoView {
    let desk = Desk::here();
    let flame = RwSignal::new(false);
    let key = StoredValue::new(id);
    let act = move |what: &str| {
        let with = if flame.get_untracked() { " with flame" } else { "" };
        bench.act(&format!("{what} {}{with}", key.get_value()));
    };
    view! {
        <details class="names">
            <summary>{move || desk.say(Word::OpenOrClose)}</summary>
            <label class="check"><input type="checkbox" on:change=move |event| flame.set(event_target_checked(&event))/>{move || desk.say(Word::WithFlame)}</label>
            <div class="row">
                <button class="quiet" on:click=move |_| act("open up")>{move || desk.say(Word::OpenUp)}</button>
                <button class="quiet" on:click=move |_| act("close up")>{move || desk.say(Word::CloseUp)}</button>
            </div>
        </details>
    }
}
